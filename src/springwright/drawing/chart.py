"""Lines over one axis, each row a quantity of its own: histories and the like, names written at the lines' ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.drawing.svg import Drawing
from springwright.units import plain

WIDTH, LEFT, RIGHT, ROW, GAP, FOOT = 760.0, 70.0, 120.0, 110.0, 18.0, 40.0
INKS = ("series-1", "series-2", "series-3", "ink", "series-1 dashed", "series-2 dashed")


@dataclass(frozen=True)
class Row:
    """One row of a chart: its title with unit, and lines by name."""

    title: str
    lines: dict[str, NDArray[np.float64]]


def chart(title: str, x: NDArray[np.float64], x_title: str, rows: Sequence[Row]) -> Drawing:
    """Rows of lines over one axis, thinned to what the eye can tell."""
    sheet = Drawing(WIDTH, len(rows) * (ROW + GAP) + FOOT, title)
    left, right = LEFT, WIDTH - RIGHT
    every = max(len(x) // 1500, 1)
    low, high = float(x[0]), float(x[-1]) if x[-1] > x[0] else float(x[0]) + 1.0
    for r, row in enumerate(rows):
        top = r * (ROW + GAP) + GAP
        values = np.concatenate(list(row.lines.values()))
        least, most = float(values.min()), float(values.max())
        span = (most - least) or 1.0
        sheet.word(0, top - 4, row.title, "soft")
        sheet.line(left, top + ROW, right, top + ROW, "hair")
        if least < 0 < most:
            zero = top + ROW * (1 - (0 - least) / span)
            sheet.line(left, zero, right, zero, "dots")
        for value in (least, most):
            sheet.word(left - 6, top + ROW * (1 - (value - least) / span) + 4, plain(value, _places(span)), "soft end")
        ends: list[float] = []
        for k, (name, line) in enumerate(row.lines.items()):
            y = top + ROW * (1 - (line[::every] - least) / span)
            across = left + (right - left) * (x[::every] - low) / (high - low)
            sheet.path(zip(across.tolist(), y.tolist(), strict=True), INKS[k % len(INKS)])
            at = float(y[-1]) + 4
            while any(abs(at - other) < 12 for other in ends):
                at += 12
            ends.append(at)
            sheet.word(right + 6, at, name)
    base = len(rows) * (ROW + GAP)
    for tick in np.linspace(low, high, 6):
        at = left + (right - left) * (tick - low) / (high - low)
        sheet.line(at, base, at, base + 4, "ink")
        sheet.word(at, base + 18, plain(float(tick), _places(high - low)), "soft middle")
    sheet.word(right, base + 34, x_title, "soft end")
    return sheet


def _places(span: float) -> int:
    return max(0, 2 - int(np.floor(np.log10(span)))) if span < 100 else 0
