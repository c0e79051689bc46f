"""Two figures that are told only together: the ellipse that holds both with 95 %, over the rectangle that the drawing allows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from springwright.drawing.chart import ticks
from springwright.drawing.svg import Drawing

WIDTH, HEIGHT, LEFT, RIGHT, TOP, FOOT = 380.0, 230.0, 56.0, 12.0, 26.0, 40.0
JOINTLY = 5.991  # chi-square of two freedoms at 95 %


@dataclass(frozen=True)
class Shared:
    """One of the two, in display units: its name with the unit, as drawn, two deviations of its tolerance, as found, and one deviation of that."""

    name: str
    drawn: float
    tolerance: float
    value: float
    deviation: float


def together_drawing(title: str, across: Shared, up: Shared, correlation: float) -> Drawing:
    """The ellipse, the drawn point as a cross, and what the tolerances allow shaded."""
    sheet = Drawing(WIDTH, HEIGHT, title)
    turn = np.linspace(0.0, 2 * np.pi, 73)[:-1]
    a, b = np.sqrt(JOINTLY) * np.cos(turn), np.sqrt(JOINTLY) * np.sin(turn)
    xs = across.value + across.deviation * a
    ys = up.value + up.deviation * (correlation * a + np.sqrt(max(1 - correlation**2, 0.0)) * b)
    x0, x1 = _ends(across, xs)
    y0, y1 = _ends(up, ys)
    right, foot = WIDTH - RIGHT, HEIGHT - FOOT

    def at(x: float, y: float) -> tuple[float, float]:
        return LEFT + (right - LEFT) * (x - x0) / (x1 - x0), foot - (foot - TOP) * (y - y0) / (y1 - y0)

    low, high = (
        at(across.drawn - across.tolerance, up.drawn + up.tolerance),
        at(across.drawn + across.tolerance, up.drawn - up.tolerance),
    )
    sheet.box(low[0], low[1], high[0] - low[0], high[1] - low[1], "f-shut")
    sheet.line(LEFT, foot, right, foot, "hair")
    sheet.line(LEFT, TOP, LEFT, foot, "hair")
    for value, text in ticks(x0, x1, 5):
        x = at(value, y0)[0]
        sheet.line(x, foot, x, foot + 4, "hair")
        sheet.word(x, foot + 16, text, "soft middle")
    for value, text in ticks(y0, y1, 4):
        y = at(x0, value)[1]
        sheet.line(LEFT - 4, y, LEFT, y, "hair")
        sheet.word(LEFT - 7, y + 4, text, "soft end")
    sheet.path([at(float(x), float(y)) for x, y in zip(xs, ys, strict=True)], "bold", closed=True)
    x, y = at(across.drawn, up.drawn)
    sheet.line(x - 5, y, x + 5, y, "ink")
    sheet.line(x, y - 5, x, y + 5, "ink")
    sheet.word(x + 8, y - 6, "drawn", "halo")
    x, y = at(across.value, up.value)
    sheet.dot(x, y, 3.2)
    sheet.word(0, TOP - 12, up.name, "soft")
    sheet.word(right, HEIGHT - 6, across.name, "soft end")
    return sheet


def _ends(one: Shared, values: np.ndarray) -> tuple[float, float]:
    low = min(float(values.min()), one.drawn - one.tolerance)
    high = max(float(values.max()), one.drawn + one.tolerance)
    room = 0.06 * (high - low)
    return low - room, high + room
