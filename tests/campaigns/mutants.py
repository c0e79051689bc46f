"""Files broken at random: each ends in an answer with finite figures or in a fault a builder can read; anything else is a finding.

python -m tests.campaigns.mutants --seconds 60 --seed 1

Designs are mutated by value and by byte, the tables that they read (catalogue, damper and tyre sheets, pivot points, grades, grounds)
and the copies that outlive a crash by cell and by byte. Demos and a design that reads a file of every kind are the stock.
"""

from __future__ import annotations

import copy
import math
import random
import sys
import tempfile
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import tomlkit

from springwright.errors import Fault, InputError, SpringwrightError
from springwright.files import read_file
from springwright.parts.catalogue import read_catalogue
from springwright.parts.damper import read_test_sheet
from springwright.parts.grades import grades_in
from springwright.parts.sheets import read_columns, read_points
from springwright.questions.at_rest import rest
from springwright.sizing.axle_geometry import geometry
from springwright.sizing.sheet import size
from springwright.terrain.profile import read_profile
from springwright.units import KINDS
from springwright.vehicle.file import load
from springwright.workbench.model.document import Document
from springwright.workbench.workspace import _recovered
from tests.build import reading_all
from tests.campaigns.common import asked, run

DEMOS = Path(__file__).parent.parent.parent / "src" / "springwright" / "demos"
SLOWEST = 5  # s that one mutant may take
FIGURES = ("0", "-1", "1e300", "-1e300", "1e-300", "nan", "inf", "-inf", "9" * 400, "", "1", "2.5e9", "0.001", "1e6")
UNITS = sorted({info.metric for info in KINDS.values()} | {"", "furlong", "N*m/s**9", "PSI", "in", "lbf/in", "degC"})
THINGS = (
    0,
    -1,
    1e300,
    float("nan"),
    True,
    "",
    "x",
    [],
    ["1 mm"],
    {},
    {"x": 1},
    [[]],
    [{}],
    "\x00",
    "springs.csv",
    "é" * 3000,
)


def places(data: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The way to everything in a design's data."""
    steps = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for step, value in steps:
        yield (*at, step)
        yield from places(value, (*at, step))


def holder(data: Any, at: tuple[Any, ...]) -> Any:
    """What holds the thing at a place."""
    for step in at[:-1]:
        data = data[step]
    return data


def broken(data: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    """The data with one to three things wrong."""
    made = copy.deepcopy(data)
    for _ in range(chance.choice((1, 1, 1, 2, 3))):
        at = chance.choice([*places(made)])
        here, step = holder(made, at), at[-1]
        way = chance.randrange(9)
        if way == 0:
            del here[step]
        elif way == 1:
            here[step] = chance.choice(THINGS)
        elif way in (2, 3, 4):
            here[step] = _figure(here[step], chance)
        elif way == 5 and isinstance(here, dict):
            here[chance.choice(["", "x", str(step).upper(), f"{step}s", "name"])] = here[step]
        elif way == 6 and isinstance(here, list):
            here.insert(chance.randrange(len(here) + 1), copy.deepcopy(here[step]))
        elif way == 7:
            other = chance.choice([*places(made)])
            here[step] = copy.deepcopy(holder(made, other)[other[-1]])
        else:
            here[step] = _scaled(here[step], chance)
    return made


def _figure(value: Any, chance: random.Random) -> Any:
    """A figure of another size or unit in place of a value."""
    if isinstance(value, str) and " " in value:
        number, unit = value.split(" ", 1)
        return f"{chance.choice(FIGURES)} {unit}" if chance.random() < 0.6 else f"{number} {chance.choice(UNITS)}"
    return (
        chance.choice(FIGURES)
        if isinstance(value, str)
        else chance.choice((0, -1, 1e300, 1e-300, 5, 1e9, float("inf")))
    )


def _scaled(value: Any, chance: random.Random) -> Any:
    """A figure ten or a thousand times too large or small."""
    factor = 10.0 ** chance.choice((-6, -3, -1, 1, 3, 6)) * chance.choice((1, 1, -1))
    if isinstance(value, int | float) and not isinstance(value, bool):
        return value * factor
    if isinstance(value, str):
        number, _, unit = value.partition(" ")
        try:
            return f"{float(number) * factor!r} {unit}".strip()
        except ValueError:
            return value + value
    return value


def garbled(raw: bytes, chance: random.Random) -> bytes:
    """A file with bytes cut, doubled, swapped or replaced."""
    made = bytearray(raw)
    for _ in range(chance.choice((1, 2, 5))):
        at = chance.randrange(len(made) + 1)
        end = min(len(made), at + chance.choice((1, 3, 40)))
        way = chance.randrange(5)
        made[at:end] = (
            b"" if way == 0
            else made[at:end] * 2 if way == 1
            else bytes(chance.randrange(256) for _ in range(end - at)) if way == 2
            else chance.choice((b",", b"\n", b"\n\n", b"[", b"\xff", b"nan", b"1e300", b"#", b"\"", b";")) if way == 3
            else made[at : at + 1]
        )  # fmt: skip
    return bytes(made)


def recelled(text: str, chance: random.Random) -> str:
    """A table with one to three cells, rows or columns that are others."""
    rows = [line.split(",") for line in text.splitlines()]
    for _ in range(chance.choice((1, 1, 2, 3))):
        row = chance.choice(rows)
        at, way = chance.randrange(len(row)), chance.randrange(7)
        if way == 0:
            row[at] = chance.choice(FIGURES)
        elif way == 1:
            row[at] = _scaled(row[at], chance) or "-"
        elif way == 2:
            row[at] = chance.choice(("", "x", "'=1", '"', "[", "x [mm]", "1;2", "\t", *UNITS))
        elif way == 3:
            row.insert(at, row[at])
        elif way == 4 and len(row) > 1:
            del row[at]
        elif way == 5:
            rows.insert(chance.randrange(len(rows) + 1), [*chance.choice(rows)])
        elif len(rows) > 1:
            rows.remove(row)
    return "\n".join(",".join(row) for row in rows)


def finite(value: Any) -> None:
    """Every figure of what was read is one."""
    if isinstance(value, float):
        assert math.isfinite(value), "a figure that is none"
    elif isinstance(value, dict):
        finite([*value.values()])
    elif isinstance(value, list | tuple):
        for one in value:
            finite(one)


READERS: dict[str, Callable[[str], Any]] = {
    "list.csv": lambda text: [vars(one) for one in read_catalogue(text, "list.csv")[:]],
    "damper.csv": lambda text: read_test_sheet(text, "damper.csv"),
    "tyre.csv": lambda text: read_columns(
        text, "tyre.csv", (("pressure", "pressure"), ("load", "force"), ("deflection", "length"))
    ),
    "points.csv": lambda text: read_points(text, "points.csv"),
    "wire.csv": lambda text: [vars(one) for one in grades_in(text, "wire.csv").values()],
    "steels.csv": lambda text: [vars(one) for one in grades_in(text, "steels.csv").values()],
    "track.csv": lambda text: (ground := read_profile(text, "track.csv")) and [*ground.left, *ground.right],
}


def answer(path: Path, *, whole: bool) -> None:
    """Read a design and size it; where it is asked whole, stand it and look at its links too."""
    file = load(path)
    sheet = size(file)
    assert all(0 < one.wheel_rate < float("inf") for one in sheet.rates), "a wheel rate that is none"
    if whole:
        rest(file)
        for axle in file.design.axles:
            geometry(file, axle.name)


def dressed(text: str) -> str:
    """A demo with what no demo has: helpers, unlike sides, a sag, tyres at another pressure, something it is sure of."""
    data = tomlkit.parse(text).unwrap()
    front, rear = data["axles"][0], data["axles"][-1]
    bags = {
        "area": "80 cm**2",
        "volume": "2.6 L",
        "pressure": "0.8 bar",
        "bump_stroke": "140 mm",
        "droop_stroke": "150 mm",
    }
    coil = {"rate": "8 N/mm", "free_length": "260 mm", "solid_length": "80 mm"}
    acts = {"by": "beam", "base": "1000 mm"}
    rear["helpers"] = [
        {"name": "bags", "acts": acts, "installed_length": "250 mm", "air": bags},
        {"name": "late", "acts": acts, "installed_length": "250 mm", "clear": "30 mm", "existing": coil},
    ]
    rear["spring"]["right"] = {"spacer": "6 mm"}
    rear["tyre"]["size"] = "265/75R16"
    data["states"][-1]["tyre_pressure"] = {rear["name"]: "4 bar"}
    front["target"] = {**{key: one for key, one in front["target"].items() if key != "frequency"}, "sag": "145 mm"}
    data["sure"] = [f"axles.{rear['name']}.travel.bump"]
    return tomlkit.dumps(data)


@cache
def stock() -> dict[str, tuple[str, dict[str, Any]]]:
    """Designs to break: text and what it says, by name."""
    texts = {path.name: path.read_text() for path in sorted(DEMOS.glob("*.toml"))}
    texts["dressed.toml"] = dressed(texts["fire-watch.toml"])
    with tempfile.TemporaryDirectory() as name:
        texts["reading.toml"] = reading_all(Path(name)).read_text()
    return {name: (text, tomlkit.parse(text).unwrap()) for name, text in texts.items()}


@dataclass
class Breaking:
    """Breaks one file of a folder after the other and asks what reads it."""

    folder: Path
    tables: dict[str, bytes] = field(default_factory=dict)  # as they are when whole

    def __post_init__(self) -> None:
        reading_all(self.folder)
        (self.folder / "springs.csv").write_bytes((DEMOS / "springs.csv").read_bytes())
        self.tables = {path.name: path.read_bytes() for path in self.folder.glob("*.csv")}
        whole = self.folder / "whole.toml"
        whole.write_text(stock()["fire-watch.toml"][0])
        document = Document.opened(whole)
        document.write(("kerb", "mass"), "2100 kg")
        self.left = document.to_recover().encode()

    def __call__(self, chance: random.Random) -> str:
        """Break one and ask."""
        for name, raw in self.tables.items():
            path = self.folder / name
            if path.read_bytes() != raw:
                path.write_bytes(raw)
        way = chance.random()
        try:
            if way < 0.45:
                self._design(chance)
            elif way < 0.95:
                self._table(chance)
            else:
                self._left(chance)
        except SpringwrightError as error:
            if not str(error).strip():
                raise AssertionError("a fault without a word") from error
            return "refused"
        return "answered"

    def _design(self, chance: random.Random) -> None:
        text, data = stock()[chance.choice(sorted(stock()))]
        raw = text.encode()
        raw = (_dumped(broken(data, chance)) or raw) if chance.random() < 0.8 else garbled(raw, chance)
        path = self.folder / "mutant.toml"
        path.write_bytes(raw)
        answer(path, whole=chance.random() < 1 / 3)

    def _table(self, chance: random.Random) -> None:
        name = chance.choice(sorted(READERS))
        raw = self.tables[name]
        raw = (
            garbled(raw, chance) if chance.random() < 0.4 else recelled(raw.decode(), chance).encode("utf-8", "replace")
        )
        path = self.folder / name
        path.write_bytes(raw)
        if chance.random() < 0.9:
            finite(READERS[name](read_file(path)))
        else:
            answer(self.folder / "v.toml", whole=chance.random() < 1 / 3)

    def _left(self, chance: random.Random) -> None:
        path = self.folder / "left.json"
        path.write_bytes(garbled(self.left, chance))
        if _recovered(path) is None:
            raise InputError(path.name, [Fault("", "", "is passed over")])

    def keep(self, folder: Path) -> None:
        """Keep the files as they were when something was found."""
        for path in self.folder.iterdir():
            (folder / path.name).write_bytes(path.read_bytes())


def _dumped(data: dict[str, Any]) -> bytes | None:
    """Data as TOML; None where TOML has no words for it."""
    try:
        return tomlkit.dumps(data).encode()
    except (ValueError, TypeError, AttributeError):
        return None


def main() -> int:
    """Break files for a time."""
    warnings.simplefilter("error")
    with tempfile.TemporaryDirectory() as name:
        breaking = Breaking(Path(name))
        answer(breaking.folder / "v.toml", whole=True)  # all of it compiled before the first is timed
        return run("mutants", breaking, asked("Break files at random."), breaking.keep, slowest=SLOWEST)


if __name__ == "__main__":
    sys.exit(main())
