"""What every kind of reading has in common: when, by whom, with what; and what it comes to, beside what was due."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwright.commission.modelled import Modelled
from springwright.errors import FieldFault
from springwright.quantities import Record
from springwright.results import KEPT, PRACTICE, Result

Floats = NDArray[np.float64]
YOURS = "yours"
SURE = 1.959964  # standard normal quantile of a two-sided 95 %


class Taken(Record):
    """A set of readings: the day, who took it, with what, when that was last calibrated, and a note."""

    date: dt.date | None = None
    by: str = ""
    instrument: str = ""
    calibrated: str = ""
    note: str = ""

    def reduced(self, number: int, bench: Workplace) -> Reduced:
        """What it comes to, as the set of this number."""
        raise NotImplementedError


@dataclass(frozen=True)
class FigureRead(Result):
    """One figure that a set of readings comes to [SI by `unit`], with its standard uncertainty and whose that is."""

    name: str
    kind: str
    unit: str
    value: float
    uncertainty: float
    whose: str = PRACTICE


@dataclass(frozen=True)
class ReadLine(Result):
    """A picture's line or points: its name, places along and readings up [SI by the picture's units]."""

    name: str
    x: tuple[float, ...] = ()
    y: tuple[float, ...] = ()


@dataclass(frozen=True)
class Trace(Result):
    """What was read, to be drawn: the kinds of both axes, what they are called, and its lines."""

    across: str
    up: str
    across_kind: str
    up_kind: str
    lines: tuple[ReadLine, ...] = ()


def nothing_due(_: Modelled) -> Sequence[float]:
    """What is due of a set that was only told."""
    return ()


@dataclass(frozen=True)
class Reduced(Result):
    """A set of readings reduced: its number on the list, its kind, what it was, its figures, a picture's lines, and what was noticed.

    `due` gives the same figures of a vehicle that stands as some model has it, reduced by the same hand.
    """

    number: int
    kind: str
    title: str
    day: str = ""
    by: str = ""
    instrument: str = ""
    calibrated: str = ""
    figures: tuple[FigureRead, ...] = ()
    trace: Trace | None = None
    notes: tuple[str, ...] = ()
    due: Callable[[Modelled], Sequence[float]] = field(metadata=KEPT, repr=False, compare=False, default=nothing_due)


class Workplace(NamedTuple):
    """What a reduction may look at: the folder of the readings file, the vehicle as drawn, and whom to tell how far it is."""

    folder: Path
    drawn: Modelled
    say: Callable[[str], None]


class Slope(NamedTuple):
    """A straight line through readings: slope, its standard error, its value at the mean place with the error of that, and the doubt of one reading."""

    slope: float
    slope_off: float
    middle: float
    middle_off: float
    doubt: float


def straight(
    x: ArrayLike, y: ArrayLike, doubt_x: float, doubt_y: float, *, through_zero: bool = False, levels: int = 1
) -> Slope:
    """The least-squares line y of x; errors by the readings' own doubt, or by their scatter where that is more.

    `doubt_x` and `doubt_y` are standard uncertainties of one reading, in the units of x and y; `levels` of their own were taken out before
    or are found here.

    Raises
    ------
    FieldFault
        All readings are at one place.

    """
    a, b = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    mean = 0.0 if through_zero else float(a.mean())
    base = 0.0 if through_zero else float(b.mean())
    spread = float(np.sum((a - mean) ** 2))
    if not spread > 0:
        raise FieldFault((), "the readings that would tell the slope are all at one place: read at two or more")
    slope = float(np.sum((a - mean) * (b - base))) / spread
    left = b - base - slope * (a - mean)
    free = len(a) - (1 if through_zero else 1 + levels)
    scatter = float(np.sqrt(np.sum(left**2) / free)) if free > 0 else 0.0
    doubt = max(float(np.hypot(doubt_y, slope * doubt_x)), scatter)
    return Slope(slope, doubt / float(np.sqrt(spread)), base, doubt / float(np.sqrt(len(a))), doubt)
