"""One upright scale of wheel travel: everything that ends it named at its own height, load states where they rest, curves running along it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.drawing.labels import spread
from springwright.drawing.svg import Drawing
from springwright.units import plain

Floats = NDArray[np.float64]
WIDE, HEAD, TALL, FOOT = 508.0, 44.0, 330.0, 26.0
NAMES, BAR, GAP, COLUMN, LINE = 168.0, 9.0, 14.0, 88.0, 14.0  # px: for the names, of the bar, round the columns
STEADY = 1e-9


@dataclass(frozen=True)
class TravelMark:
    """Something at a height of the travel in the units shown, and that in words; `look` is bold for metal and full droop, strong for the state chosen, soft for the rest."""

    travel: float
    says: str
    look: str = ""
    told: str = ""


@dataclass(frozen=True)
class TravelCurve:
    """What changes along the travel: its name, its unit, its values, and how many decimals they are told with."""

    name: str
    unit: str
    values: Floats
    places: int


def travel_panel(
    title: str,
    axle: str,
    travel: Floats,
    marks: Sequence[TravelMark],
    curves: Sequence[TravelCurve],
    ends: tuple[float, float],
    ink: str,
    unit: str,
) -> Drawing:
    """Draw it: `travel` are the places of the curves, `ends` full droop and metal to metal, beyond which all is shut."""
    sheet = Drawing(WIDE, HEAD + TALL + FOOT, title)
    heights = [mark.travel for mark in marks]
    low, high = min(*heights, ends[0]), max(*heights, ends[1])
    pad = 0.05 * (high - low)
    low, high = low - pad, high + pad
    left = NAMES + BAR + GAP

    def up(x: float) -> float:
        return HEAD + TALL * (high - x) / (high - low)

    right = left + (COLUMN + GAP) * len(curves)
    for begin, end in ((HEAD, up(ends[1])), (up(ends[0]), HEAD + TALL)):
        sheet.box(NAMES - 4, begin, right - NAMES + 4, end - begin, "f-shut")
    for x in ends:
        sheet.line(NAMES - 4, up(x), right, up(x), "bold")
    sheet.line(NAMES - 4, up(0.0), right, up(0.0), "hair")
    sheet.box(NAMES, up(ends[1]), BAR, up(0.0) - up(ends[1]), "f-ink")
    corners = [(NAMES, up(0.0)), (NAMES + BAR, up(0.0)), (NAMES + BAR, up(ends[0])), (NAMES, up(ends[0]))]
    sheet.path(corners, "f-paper", closed=True)
    sheet.path(corners, "ink", closed=True)
    _names(sheet, marks, up)
    shown = (travel >= ends[0] - STEADY) & (travel <= ends[1] + STEADY)
    for k, curve in enumerate(curves):
        _curve(sheet, curve, travel[shown], curve.values[shown], left + (COLUMN + GAP) * k, up, ink)
    sheet.word(4, 12, axle, "strong")
    sheet.word(4, HEAD + TALL + 18, f"{unit} from the design position", "soft")
    return sheet


def _names(sheet: Drawing, marks: Sequence[TravelMark], up) -> None:  # type: ignore[no-untyped-def]  # a height of the picture
    """Each at its height, moved apart where they would touch, with an elbow to where it is."""
    order = sorted(marks, key=lambda mark: -mark.travel)
    places = spread([up(mark.travel) for mark in order], [LINE] * len(order), HEAD - 8, HEAD + TALL + 8, gap=0)
    for mark, place in zip(order, places, strict=True):
        y = up(mark.travel)
        sheet.path([(NAMES - 16, place), (NAMES - 6, y), (NAMES, y)], "hair")
        look = "strong" if mark.look in ("bold", "strong") else "soft" if mark.look == "soft" else ""
        told = mark.told or plain(mark.travel, 0)
        sign = "+" if mark.travel > 0 and any(digit in told for digit in "123456789") else ""
        sheet.word(NAMES - 20, place + 4, f"{mark.says}  {sign}{told}", f"{look} end".strip())


def _curve(sheet: Drawing, curve: TravelCurve, travel: Floats, values: Floats, left: float, up, ink: str) -> None:  # type: ignore[no-untyped-def]
    """A curve that runs sideways, with its values at both ends and at rest; one that hardly varies is a straight line with one value."""
    there = np.isfinite(values)
    sheet.word(left, 12, curve.name, "strong")
    sheet.word(left, 27, curve.unit, "soft")
    if not there.any():
        sheet.word(left, up(0.0) - 7, "not known", "soft halo")
        return
    x, y = values[there], travel[there]
    low, high = float(x.min()), float(x.max())
    level = high - low < 10.0**-curve.places
    if level:
        low, high, x = low - 1.0, high + 1.0, np.full_like(x, (low + high) / 2)
    margin = 12.0

    def across(value: float) -> float:
        return left + margin + (COLUMN - 2 * margin) * (value - low) / (high - low)

    sheet.path([(across(float(a)), up(float(b))) for a, b in zip(x, y, strict=True)], f"{ink} thick")
    rest = float(np.interp(0.0, y, x))
    sheet.dot(across(rest), up(0.0), 3.5, "f-ink")
    _beside(sheet, across(rest), up(0.0) - 7, plain(rest, curve.places), left, strong=True)
    if not level:
        for at, down in ((-1, 16.0), (0, -8.0)):
            _beside(sheet, across(float(x[at])), up(float(y[at])) + down, plain(float(x[at]), curve.places), left)


def _beside(sheet: Drawing, x: float, y: float, text: str, left: float, *, strong: bool = False) -> None:
    """A value to that side of a place where its column has room."""
    right = x < left + COLUMN / 2
    sheet.word(x + (6 if right else -6), y, text, f"{'strong ' if strong else ''}halo{'' if right else ' end'}")
