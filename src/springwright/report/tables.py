"""What every sheet is made of: sections, small tables, and judgements in words and in rows."""

from __future__ import annotations

from dataclasses import dataclass, field

from springwright.results import Judged
from springwright.units import number, unit_of


@dataclass(frozen=True)
class Table:
    """A small table: `align` has l or r for each column; `strong` is the row that stands out."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str
    strong: int | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.rows and {len(row) for row in self.rows} | {len(self.align)} != {len(self.head)}:
            raise ValueError(f"{self.caption}: rows and alignment must have a cell for each of {self.head}")


@dataclass(frozen=True)
class Section:
    """One step of the job: a verb, sentences, tables."""

    verb: str
    question: str
    says: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    figures: tuple[str, ...] = field(default=())


def judged_sentence(one: Judged) -> str:
    """A judgement in words: measure, figure, limit, state, word."""
    unit = unit_of(one.kind)
    decimals = 2 if one.kind == "ratio" else None
    figure = number(one.value, one.kind, decimals)
    limit = number(one.limit, one.kind, decimals)
    where = f" in {one.where}" if one.where else ""
    if one.limit is None or one.value is None:
        return f"{one.measure} {figure} {unit}, no limit given{where}: not known".replace("  ", " ")
    return f"{one.measure} {figure}, {one.sense} {limit} {unit}".rstrip() + f"{where}: {one.word}"


def judged_row(one: Judged) -> tuple[str, ...]:
    """One judgement as a row: measure, figure, limit, unit, word."""
    decimals = 2 if one.kind == "ratio" else None
    figure = "never" if one.value == float("inf") else number(one.value, one.kind, decimals)
    limit = "–" if one.limit is None else f"{one.sense} {number(one.limit, one.kind, decimals)}"
    return (one.measure, figure, limit, unit_of(one.kind), one.word)


def signed(value: float, decimals: int) -> str:
    """A length with its sign, plus included; nothing is neither [m]."""
    text = number(value, "length", decimals)
    return f"+{text}" if value > 0 and any(digit in text for digit in "123456789") else text


def capital(text: str) -> str:
    """With a capital to begin with."""
    return text[:1].upper() + text[1:]
