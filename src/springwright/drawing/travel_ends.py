"""Every length of an axle on one scale of wheel travel: what each shuts at its ends, and the gap to the wheel's own travel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isinf

import numpy as np

from springwright.drawing.chart import ticks
from springwright.drawing.labels import width_of
from springwright.drawing.shapes import short
from springwright.drawing.svg import Drawing
from springwright.units import plain

WIDE, NAMES, RIGHT, HEAD, ROW, FOOT = 508.0, 112.0, 14.0, 40.0, 28.0, 40.0
MOST_LETTERS = 62  # of why a length is not known
FAR = 1.55  # of the travel: as far out as the scale goes


@dataclass(frozen=True)
class PartEnds:
    """A part's row: its name, where it ends in droop and in bump in the units shown (None: it does not), and why nothing is known."""

    name: str
    droop: float | None
    bump: float | None
    why: str = ""


@dataclass(frozen=True)
class TravelMarks:
    """The wheel's own travel from the design position in the units shown: full droop, where the stop touches, metal to metal, rest and what that is called; and the decimals of a gap."""

    droop: float
    touches: float
    metal: float
    at_rest: float
    rest: str
    places: int = 0


def travel_ends_drawing(title: str, axle: str, marks: TravelMarks, parts: Sequence[PartEnds], unit: str, wide: float = WIDE) -> Drawing:  # fmt: skip
    """Draw one axle's parts; the least gap at either end is set in bold."""
    sheet = Drawing(wide, HEAD + ROW * len(parts) + FOOT, title)
    low, high = FAR * marks.droop, FAR * marks.metal
    left, right, foot = NAMES, wide - RIGHT, HEAD + ROW * len(parts)

    def at(x: float) -> float:
        return left + (right - left) * (min(max(x, low), high) - low) / (high - low)

    gaps = [(part.bump - marks.metal) for part in parts if part.bump is not None]
    gaps_down = [(marks.droop - part.droop) for part in parts if part.droop is not None]
    least, least_down = min(gaps, default=None), min(gaps_down, default=None)
    for k, part in enumerate(parts):
        middle = HEAD + ROW * (k + 0.5)
        sheet.word(left - 8, middle + 4, part.name, "end")
        if part.why:
            said = short(part.why, MOST_LETTERS)
            sheet.line(left, middle, right, middle, "dots")
            sheet.word(at(marks.droop) + 8, middle + 4, f"not known: {said}", "soft halo")
            continue
        sheet.line(left, middle, right, middle, "faint")
        for end, own, sign, bold in ((part.droop, marks.droop, -1, least_down), (part.bump, marks.metal, 1, least)):
            if end is not None:
                _end(sheet, (at(end), at(own), left if sign < 0 else right), middle, sign * (end - own), places=marks.places, beyond=isinf(end) or not low <= end <= high, bold=bold is not None and sign * (end - own) == bold)  # fmt: skip
    for x, look in (
        (marks.droop, "bold"),
        (marks.at_rest, "hair"),
        (marks.touches, "dashed hair"),
        (marks.metal, "bold"),
    ):
        sheet.line(at(x), HEAD - 4, at(x), foot, look)
    _names(sheet, [(at(marks.droop), "full droop"), (at(marks.at_rest), marks.rest), (at(marks.touches), "stop"), (at(marks.metal), "metal")])  # fmt: skip
    sheet.word(4, 12, axle, "strong")
    sheet.line(left, foot, right, foot, "ink")
    sheet.box(at(0.0), foot - 3, at(marks.metal) - at(0.0), 6, "f-ink")
    sheet.path([(at(marks.droop), foot - 3), (at(0.0), foot - 3), (at(0.0), foot + 3), (at(marks.droop), foot + 3)], "ink", closed=True)  # fmt: skip
    for tick, told in ticks(low, high, 6):
        sheet.line(at(tick), foot, at(tick), foot + 5, "ink")
        sheet.word(at(tick), foot + 18, told, "soft middle")
    sheet.word(left, foot + 34, "droop", "soft")
    sheet.word(right, foot + 34, f"bump: wheel travel, {unit}", "soft end")
    return sheet


def _end(sheet: Drawing, ends: tuple[float, float, float], middle: float, gap: float, *, places: int, beyond: bool, bold: bool) -> None:  # fmt: skip
    """What a part shuts at one end, from its own end to the edge of the scale, and the gap; one beyond the scale is said."""
    end, own, edge = ends
    side = 1 if edge > own else -1
    if beyond:
        said = "never" if isinf(gap) else f"{plain(gap, places)}, off the scale"
        sheet.word(own - 6 * side, middle + 4, said, "soft halo end" if side > 0 else "soft halo")
        return
    sheet.box(min(end, edge), middle - 9, abs(edge - end), 18, "f-shut")
    sheet.line(end, middle - 9, end, middle + 9, "bold")
    if gap < 0:
        sheet.box(min(end, own), middle - 9, abs(end - own), 18, "f-ink")
    text, look = plain(gap, places), "strong" if bold else ""
    inside = abs(edge - end) > width_of(text, look) + 10
    at = end + 5 * side if inside else own - 5 * side
    held = side > 0 if inside else side < 0
    sheet.word(at, middle + 4, text, f"{look} {'' if held else 'end'}".strip())


def _names(sheet: Drawing, each: Sequence[tuple[float, str]]) -> None:
    """Names of the uprights in their head, on two lines where they would touch."""
    taken = [-np.inf, -np.inf]
    for x, name in each:
        half = width_of(name) / 2
        row = 0 if x - half > taken[0] else 1
        sheet.word(x, HEAD - 8 - 13 * row, name, "soft middle")
        taken[row] = x + half + 4
