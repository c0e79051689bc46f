"""The builder's own list of springs: a CSV file with the unit of each column in its header."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, overload

import numpy as np
from numpy.typing import NDArray

from springwright.cells import sheet_cells
from springwright.errors import Fault, InputError, QuantityError
from springwright.evaluation import kept_with_argument
from springwright.parts.coil import least_gaps, working_gaps
from springwright.parts.coil import rate as coil_rate
from springwright.parts.wire import MADE, Made
from springwright.results import Result, si
from springwright.units import POSSIBLE, parse, show

Floats = NDArray[np.float64]
_PLAIN_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?")

# column -> (kind of quantity or None for text, must every row have it)
COLUMNS: dict[str, tuple[str | None, bool]] = {
    "part": (None, True),
    "maker": (None, False),
    "rate": ("rate", True),
    "free length": ("length", True),
    "solid length": ("length", True),
    "wire": ("length", False),
    "outside diameter": ("length", True),
    "inside diameter": ("length", False),
    "active coils": ("ratio", False),
    "largest load": ("force", False),
    "mass": ("mass", False),
    "price": (None, False),
    "lead time": ("time", False),
    "pairing": (None, False),
    "made": (None, False),
    "note": (None, False),
}
PAIRINGS = ("single", "pair")
LARGEST_COLD_WIRE = (
    16e-3  # m; where a row does not say, thicker wire is taken as hot coiled (common practice, no source)
)
# How far a row's figures may lie from what its other figures make of them. Our own choice: maker's tolerances of wire, coil diameter
# and coils add up to about a tenth of the rate.
RATE_AGREES, SOLID_AGREES, BORE_AGREES = 0.15, 0.10, 0.03
STEEL = 78.5e9, 81.5e9  # Pa: shear moduli of spring steels
DEAD_COILS = 0.0, 3.5  # that a coil may have beside its active ones, with what unground ends add to its solid length
MOST_MADE = 4096  # springs that are kept once they were asked for
LEAST_INDEX = 1.5  # mean diameter / wire under which nothing can be coiled


@dataclass(frozen=True)
class CatalogueSpring(Result):
    """One row of a catalogue."""

    part: str
    maker: str
    rate: float = si("N/m")
    free_length: float = si("m")
    solid_length: float = si("m")
    outside_diameter: float = si("m")
    wire: float | None = si("m", None)
    inside_diameter: float | None = si("m", None)
    active_coils: float | None = si("", None)
    largest_load: float | None = si("N", None)
    mass: float | None = si("kg", None)
    price: float | None = None
    currency: str = ""
    lead_time: float | None = si("s", None)
    pairing: str = "single"
    made: str = ""
    note: str = ""

    @property
    def how_made(self) -> Made:
        """Cold or hot coiled: as given, else by the wire's thickness."""
        hot = self.made == "hot coiled" if self.made else (self.wire or 0.0) > LARGEST_COLD_WIRE
        return "hot coiled" if hot else "cold coiled"

    @property
    def bore(self) -> float | None:
        """Inside diameter [m], as given or from the wire."""
        if self.inside_diameter is not None or self.wire is None:
            return self.inside_diameter
        return self.outside_diameter - 2 * self.wire

    @property
    def doubts(self) -> tuple[str, ...]:
        """Where the row does not agree with itself, in words."""
        return tuple(
            f"does not agree with itself: {words.format(*(show(one, kind) for one in values))}"
            for words, kind, values in _disagreements(self)
        )

    @property
    def gaps(self) -> tuple[float, float]:
        """Least sum of gaps between coils at full bump and where the stop touches [m]; nan where the row does not tell."""
        return _gaps(self)


@kept_with_argument
def _disagreements(spring: CatalogueSpring) -> list[tuple[str, str, tuple[float, ...]]]:
    """Words, their kind and what is said in them, of each figure that the others of its row do not make."""
    wire = spring.wire
    if wire is None:
        return []
    said: list[tuple[str, str, tuple[float, ...]]] = []
    mean, solid = spring.outside_diameter - wire, spring.solid_length
    if spring.inside_diameter is not None:
        made = spring.outside_diameter - 2 * wire
        if abs(spring.inside_diameter - made) > BORE_AGREES * spring.outside_diameter:
            words = "inside diameter {}, and outside diameter and wire make it {}"
            said.append((words, "length", (spring.inside_diameter, made)))
    few, many = ((solid / wire - dead) for dead in reversed(DEAD_COILS))
    if spring.active_coils is not None:
        low, high = (wire * (spring.active_coils + dead) for dead in DEAD_COILS)
        if not low * (1 - SOLID_AGREES) <= solid <= high * (1 + SOLID_AGREES):
            said.append(("solid length {}, and wire and active coils make it {} to {}", "length", (solid, low, high)))
        few = many = spring.active_coils
    soft, stiff = (
        float(coil_rate(modulus, wire, mean, max(active, 0.5)))
        for modulus, active in zip(STEEL, (many, few), strict=True)
    )
    if not soft / (1 + RATE_AGREES) <= spring.rate <= stiff * (1 + RATE_AGREES):
        said.append(("rate {}, and its dimensions make it {} to {}", "rate", (spring.rate, soft, stiff)))
    return said


@kept_with_argument
def _gaps(spring: CatalogueSpring) -> tuple[float, float]:
    if spring.wire is None or spring.active_coils is None:
        return math.nan, math.nan
    shape = (spring.wire, spring.outside_diameter - spring.wire, spring.active_coils, spring.how_made)
    return float(least_gaps(*shape)), float(working_gaps(*shape))


class Catalogue(Sequence[CatalogueSpring]):
    """Springs by columns: `figures` hold an array for each (nan where a row does not say), `texts` a list; a spring is made where it is first asked for."""

    def __init__(self, figures: dict[str, Floats], texts: dict[str, list[str]], currency: str = "") -> None:
        self.figures, self.texts, self.currency = figures, texts, currency
        self._made: dict[int, CatalogueSpring] = {}

    def __len__(self) -> int:
        """How many there are."""
        return len(self.texts["part"])

    @overload
    def __getitem__(self, at: int) -> CatalogueSpring: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[CatalogueSpring, ...]: ...
    def __getitem__(self, at: int | slice) -> CatalogueSpring | tuple[CatalogueSpring, ...]:
        """One, or some of them."""
        if isinstance(at, slice):
            return tuple(self[i] for i in range(*at.indices(len(self))))
        if at not in self._made:
            if len(self._made) > MOST_MADE:
                self._made.clear()
            values: dict[str, Any] = {name: text for name, column in self.texts.items() if (text := column[at])}
            values |= {
                name: value for name, column in self.figures.items() if not math.isnan(value := float(column[at]))
            }
            self._made[at] = CatalogueSpring(**{"maker": "", **values}, currency=self.currency)
        return self._made[at]

    def named(self, part: str) -> CatalogueSpring | None:
        """The spring of a part's name; None where there is none."""
        place = self._places.get(part)
        return None if place is None else self[place]

    @cached_property
    def _places(self) -> dict[str, int]:
        return {part: i for i, part in enumerate(self.texts["part"])}

    def picked(self, places: Sequence[int] | NDArray[np.intp]) -> Catalogue:
        """Some of them, as a catalogue [indices]."""
        where = [int(one) for one in places]
        figures = {name: column[where] for name, column in self.figures.items()}
        some = Catalogue(
            figures, {name: [column[i] for i in where] for name, column in self.texts.items()}, self.currency
        )
        some._made = {k: self[i] for k, i in enumerate(where)}
        return some


EMPTY = Catalogue({}, {"part": []})


def read_catalogue(text: str, file: str) -> Catalogue:
    """Every spring in a catalogue's text; `file` is named in faults.

    Raises
    ------
    InputError
        Unknown or missing columns, a missing unit, a hole where a figure is needed, or a figure that cannot be.

    """
    rows = sheet_cells(text).rows
    if not rows:
        raise InputError(
            file,
            [
                Fault(
                    "",
                    "",
                    "is empty; the first line names the columns, each with its unit, such as: part,rate [N/mm],free length [mm]",
                )
            ],
        )
    columns, currency = _header(rows[0], file)
    found = _columns(rows[1:], columns, currency)
    if found is not None:
        return found
    faults: list[Fault] = []  # row by row, to say what is the matter, or to read what is written in an odd way
    each: list[dict[str, Any]] = []
    seen: set[str] = set()
    for number, row in enumerate(rows[1:], start=1):
        cells = dict(zip(columns, (cell.strip() for cell in row), strict=False))
        name = cells.get("part", "")
        where = f'row {number} "{name}"' if name else f"row {number}"
        if len(row) != len(columns):
            said = f"has {len(row)} cells for {len(columns)} columns; put texts with commas in quotes"
            faults.append(Fault(where, "", said))
            continue
        values, wrong = _row(cells, columns, where)
        faults += wrong
        each.append(values)
        if name in seen:
            faults.append(Fault(f'part "{name}"', "", "is there twice; every part name is used once"))
        seen.add(name)
    if faults:
        raise InputError(file, faults)
    names = {name: name.replace(" ", "_") for name in columns}
    words = [name for name in columns if COLUMNS[name][0] is None and name != "price"]
    figures = {
        names[name]: np.array([one.get(names[name], np.nan) for one in each], dtype=float)
        for name in columns
        if name not in words
    }
    return Catalogue(figures, {names[name]: [one.get(names[name], "") for one in each] for name in words}, currency)


def _columns(rows: list[list[str]], columns: dict[str, str], currency: str) -> Catalogue | None:
    """The rows by columns, all at once; None where anything in them is not as it must be."""
    if any(len(row) != len(columns) for row in rows):
        return None
    figures: dict[str, Floats] = {}
    texts: dict[str, list[str]] = {}
    for (name, unit), cells in zip(
        columns.items(), zip(*rows, strict=True) if rows else [()] * len(columns), strict=True
    ):
        kind, needed = COLUMNS[name]
        key, column = name.replace(" ", "_"), [cell.strip() for cell in cells]
        if needed and not all(column):
            return None
        if kind is None and name != "price":
            texts[key] = column
            continue
        values = _numbers(column)
        if values is None:
            return None
        values *= parse(f"1 {unit}", kind) if kind and kind != "ratio" else 1.0
        given = values[~np.isnan(values)]
        if np.any(np.abs(given) > POSSIBLE.get(kind or "ratio", np.inf)) or (name != "price" and np.any(given <= 0)):
            return None
        figures[key] = values
    outside = figures["outside_diameter"]
    wire, inside = (figures.get(name, np.full(len(outside), np.nan)) for name in ("wire", "inside_diameter"))
    fine = (
        len(set(texts["part"])) == len(rows)
        and set(texts.get("pairing", ())) <= {"", *PAIRINGS}
        and set(texts.get("made", ())) <= {"", *MADE}
        and not np.any(outside - wire < LEAST_INDEX * wire)
        and not np.any(inside >= outside)
        and not np.any(figures["solid_length"] >= figures["free_length"])
    )
    return Catalogue(figures, texts, currency) if fine else None


def _numbers(cells: list[str]) -> Floats | None:
    """Plain finite numbers, nan where a cell is empty; None where one is anything else."""
    try:
        values = np.array([cell or "nan" for cell in cells], dtype=object).astype(float)
    except ValueError:
        return None
    plain = all(_PLAIN_NUMBER.fullmatch(cell) for cell in cells if cell)
    return values if plain and not np.any(np.isinf(values)) else None


def _header(row: list[str], file: str) -> tuple[dict[str, str], str]:
    """Column -> unit, and the currency of the price column."""
    columns: dict[str, str] = {}
    faults: list[Fault] = []
    for cell in row:
        match = re.fullmatch(r"\s*([^\[\]]+?)\s*(?:\[([^\]]*)\])?\s*", cell)
        name = match.group(1).lower().replace("_", " ") if match else cell
        unit = (match.group(2) or "") if match else ""
        if name not in COLUMNS:
            near = difflib.get_close_matches(name, COLUMNS, 1)
            faults.append(
                Fault(
                    f'column "{cell}"',
                    "",
                    f'no such column; did you mean "{near[0]}"?'
                    if near
                    else f"no such column; known are {', '.join(COLUMNS)}",
                )
            )
            continue
        kind = COLUMNS[name][0]
        if kind and kind != "ratio":
            try:
                parse(f"1 {unit}", kind)
            except QuantityError as error:
                faults.append(Fault(f'column "{cell}"', "", f"its unit stands in square brackets: {error}"))
        if name in columns:
            faults.append(Fault(f'column "{cell}"', "", "is there twice"))
        columns[name] = unit
    missing = [name for name, (_, needed) in COLUMNS.items() if needed and name not in columns]
    faults += [
        Fault(f'column "{name}"', "", "is missing; add it, with its unit in square brackets") for name in missing
    ]
    if faults:
        raise InputError(file, faults)
    return columns, columns.get("price", "")


def _row(cells: dict[str, str], columns: dict[str, str], where: str) -> tuple[dict[str, Any], list[Fault]]:
    """The figures and texts of a row, SI, and what is the matter with it."""
    values: dict[str, Any] = {}
    faults: list[Fault] = []
    for name, unit in columns.items():
        kind, needed = COLUMNS[name]
        text, place = cells[name], f"{where}, {name}"
        if not text:
            if needed:
                faults.append(
                    Fault(
                        place, "", "is empty; this figure is needed to judge a spring: fill it in or take the row out"
                    )
                )
            continue
        if kind is None and name != "price":
            values[name.replace(" ", "_")] = text
            continue
        try:
            value = parse(f"{text} {unit}".strip(), kind) if kind else parse(text, "ratio")
            if value <= 0 and name != "price":
                raise QuantityError("must be more than 0")
        except QuantityError as error:
            faults.append(Fault(place, f'"{text}"', str(error)))
            continue
        values[name.replace(" ", "_")] = value
    pairing = values.get("pairing")
    if pairing is not None and pairing not in PAIRINGS:
        faults.append(
            Fault(f"{where}, pairing", f'"{pairing}"', 'must be "single" (priced each) or "pair" (priced for two)')
        )
    if values.get("made", "cold coiled") not in MADE:
        faults.append(Fault(f"{where}, made", f'"{values["made"]}"', 'must be "cold coiled" or "hot coiled"'))
    wire, outside, inside = (values.get(name) for name in ("wire", "outside_diameter", "inside_diameter"))
    if wire is not None and not faults and outside - wire < LEAST_INDEX * wire:
        said = f"nothing can be coiled so tight of {cells['wire']} {columns['wire']} wire: it takes at least {1 + LEAST_INDEX:g} times the wire"
        faults.append(Fault(f"{where}, outside diameter", cells["outside diameter"], said))
    if inside is not None and not faults and inside >= outside:
        faults.append(
            Fault(f"{where}, inside diameter", cells["inside diameter"], "must be less than the outside diameter")
        )
    if not faults and values["solid_length"] >= values["free_length"]:
        faults.append(Fault(f"{where}, solid length", cells["solid length"], "must be less than the free length"))
    return values, faults
