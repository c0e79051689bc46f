"""Windows of several designs under each other on one scale of frequency, an axle after the other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from springwright.drawing.chart import nice, ticks
from springwright.drawing.shapes import short
from springwright.drawing.svg import Drawing

NAMES, RIGHT, ROW, GROUP, FOOT, LETTERS = 150.0, 20.0, 24.0, 16.0, 36.0, 18
Ends = tuple[float | None, float | None, float]  # softest, stiffest, aim [Hz]; None where nothing is open


class AxleWindows(NamedTuple):
    """An axle's window in each design: softest, stiffest and aim [Hz]; None where a design has no such axle."""

    axle: str
    ends: tuple[Ends | None, ...]


def windows_beside(title: str, axles: Sequence[AxleWindows], names: Sequence[str], wide: float) -> Drawing:
    """Draw them: what is shut filled, the aim as a dot; `names` are what the designs go by, the one at hand first."""
    tall = len(names) * ROW + GROUP
    sheet = Drawing(wide, len(axles) * tall + FOOT + 14, title)
    known = [x for one in axles for ends in one.ends if ends is not None for x in ends if x is not None]
    step = nice((max(known) - min(known) or 0.1) / 4)
    low, high = max(min(known) - step, 0.0), max(known) + step

    def at(x: float) -> float:
        return NAMES + (wide - NAMES - RIGHT) * (x - low) / (high - low)

    for k, one in enumerate(axles):
        top = 14 + k * tall
        sheet.word(4, top + ROW / 2 + 4, short(one.axle, LETTERS), "strong")
        for j, ends in enumerate(one.ends):
            middle = top + ROW * (j + 0.5)
            if j or len(one.axle) < LETTERS // 2:
                sheet.word(NAMES - 8, middle + 4, short(names[j], LETTERS), "soft end")
            if ends is None:
                sheet.word(at(low), middle + 4, "no such axle", "soft")
                continue
            softest, stiffest, aim = ends
            shut = [(low, high)] if softest is None or stiffest is None else [(low, softest), (stiffest, high)]
            for begin, end in shut:
                sheet.box(at(begin), middle - 7, at(end) - at(begin), 14, "f-shut")
            for edge in (softest, stiffest):
                if edge is not None:
                    sheet.line(at(edge), middle - 9, at(edge), middle + 9, "bold")
            sheet.line(at(low), middle, at(high), middle, "hair" if j == 0 else "dash")
            sheet.dot(at(aim), middle, 4.5, "f-ink" if j == 0 else "f-paper")
            sheet.dot(at(aim), middle, 4.5, "ink")
    foot = sheet.height - FOOT
    sheet.line(at(low), foot, at(high), foot, "ink")
    for tick, told in ticks(low, high, 5):
        sheet.line(at(tick), foot, at(tick), foot + 4, "ink")
        sheet.word(at(tick), foot + 17, told, "soft middle")
    sheet.word(at(high), foot + 33, "Hz", "soft end")
    return sheet
