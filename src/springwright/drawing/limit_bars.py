"""Figures of one kind as bars against their limits, on one scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from springwright.drawing.chart import nice, ticks
from springwright.drawing.shapes import short
from springwright.drawing.svg import Drawing

WIDE, NAMES, RIGHT, ROW, HEAD, FOOT, BAR = 508.0, 256.0, 84.0, 24.0, 22.0, 36.0, 12.0
MOST_LETTERS = 38


@dataclass(frozen=True)
class LimitBar:
    """A figure in the units shown, in words, and what it must stay at or under; None where nothing is asked."""

    name: str
    value: float
    says: str
    limit: float | None
    limit_says: str = ""
    ink: str = "ink"


def limit_bars(title: str, rows: Sequence[LimitBar], axis: str, wide: float = WIDE) -> Drawing:
    """Draw a bar to each figure, its limit an edge beyond which it is shut; a figure of which nothing is asked is open."""
    sheet = Drawing(wide, HEAD + ROW * len(rows) + FOOT, title)
    most = max(max(row.value, (row.limit or 0.0) * 1.1) for row in rows) or 1.0
    step = nice(most / 5)
    most = step * float(np.ceil(most / step - 1e-9))
    left, right, foot = NAMES, wide - RIGHT, HEAD + ROW * len(rows)

    def at(x: float) -> float:
        return left + (right - left) * x / most

    sheet.word(4, 12, axis, "soft")
    for k, row in enumerate(rows):
        middle = HEAD + ROW * (k + 0.5)
        sheet.word(left - 8, middle + 4, short(row.name, MOST_LETTERS), "end")
        if row.limit is not None:
            sheet.box(at(row.limit), middle - ROW / 2 + 1, right - at(row.limit), ROW - 2, "f-shut")
            sheet.box(left, middle - BAR / 2, at(row.value) - left, BAR, f"f-{row.ink}")
            sheet.line(at(row.limit), middle - ROW / 2 + 2, at(row.limit), middle + ROW / 2 - 2, "bold")
        else:
            corners = [(left, middle - BAR / 2), (at(row.value), middle - BAR / 2), (at(row.value), middle + BAR / 2), (left, middle + BAR / 2)]  # fmt: skip
            sheet.path(corners, "dash", closed=True)
        sheet.word(right + 6, middle + 4, f"{row.says} of {row.limit_says}" if row.limit is not None else row.says)
    sheet.line(left, HEAD, left, foot, "ink")
    for tick, told in ticks(0.0, most, 5):
        sheet.line(at(tick), foot, at(tick), foot + 4, "ink")
        sheet.word(at(tick), foot + 17, told, "soft middle")
    return sheet
