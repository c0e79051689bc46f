"""The reference shelf: one CSV file to a topic, each row a range with its source, year and caveat."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from importlib import resources

from springwright.cells import cells_of
from springwright.errors import Fault, InputError
from springwright.results import Result
from springwright.units import display_system, parse, pretty, show


@dataclass(frozen=True)
class ShelfRow(Result):
    """One range: of what, from where to where [SI by the topic's kind], whose it is, its year where it has one, what to mind, and how it is written on the shelf."""

    what: str
    low: float
    high: float
    source: str
    year: str = ""
    caveat: str = ""
    written: str = ""

    @property
    def said(self) -> str:
        """Its source, with the year where the source does not tell it."""
        return f"{self.source} ({self.year})" if self.year and self.year not in self.source else self.source


@dataclass(frozen=True)
class ShelfTopic(Result):
    """A topic: its name, title and kind of quantity, the fields of a design file that it stands beside, and its rows."""

    name: str
    title: str
    kind: str
    fields: tuple[str, ...]
    says: str
    rows: tuple[ShelfRow, ...]

    def row(self, what: str) -> ShelfRow:
        """The row of some vehicle or ground.

        Raises
        ------
        LookupError
            There is none.

        """
        found = next((one for one in self.rows if one.what == what), None)
        if found is None:
            raise LookupError(f"{self.name}: no row {what}")
        return found

    def cited(self, row: ShelfRow) -> str:
        """A row as the basis of an estimate."""
        return f"reference {self.name}, {row.what}: {row.written}, {row.said}"

    def usual(self, row: ShelfRow) -> str:
        """A row's range as it reads: as it stands on the shelf, or in the units shown."""
        if display_system() == "metric":
            return row.written
        low, high = show(row.low, self.kind), show(row.high, self.kind)
        return low if low == high else f"{low} to {high}"


@dataclass(frozen=True)
class Shelf(Result):
    """The whole shelf."""

    topics: tuple[ShelfTopic, ...]


@lru_cache(maxsize=1)
def shelf() -> tuple[ShelfTopic, ...]:
    """Every topic, in the order of the shelf."""
    return tuple(
        ShelfTopic(name, title, kind, tuple(fields.split()), says, _rows(name, kind))
        for name, title, kind, fields, says in _cells("topics")
    )


def topic(name: str) -> ShelfTopic:
    """The topic of a name.

    Raises
    ------
    InputError
        There is none; the message names those there are.

    """
    wanted = name.strip().lower().replace(" ", "-").replace("_", "-")
    names = [one.name for one in shelf()]
    if wanted in names:
        return shelf()[names.index(wanted)]
    near = get_close_matches(wanted, names, 1, 0.5)
    said = f'did you mean "{near[0]}"? ' if near else ""
    raise InputError("reference", [Fault(name, "", f"no such topic; {said}there are {', '.join(names)}")])


def beside(field: str) -> ShelfTopic | None:
    """The topic that stands beside a field of the design file, such as "axles.tyre.rate"; None where there is none."""
    return next((one for one in shelf() if field in one.fields), None)


def _rows(name: str, kind: str) -> tuple[ShelfRow, ...]:
    return tuple(
        ShelfRow(what, _si(low, unit, kind), _si(high, unit, kind), source, year, caveat, _written(low, high, unit))
        for what, low, high, unit, source, year, caveat in _cells(name)
    )


def _written(low: str, high: str, unit: str) -> str:
    return f"{low if low == high else f'{low} to {high}'} {pretty(unit)}".rstrip()


def _si(figure: str, unit: str, kind: str) -> float:
    return parse(f"{figure} {unit}" if unit else float(figure), kind)


def _cells(name: str) -> list[list[str]]:
    return cells_of((resources.files(__package__) / f"{name}.csv").read_text(encoding="utf-8"))[1:]
