"""Parts of an order, each lying on its side on one scale, so that their lengths compare down the list; and weeks as a bar."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, sin

import numpy as np

from springwright.drawing.marks import zigzag
from springwright.drawing.svg import Drawing
from springwright.sizing.order_list import OrderShape

SCALE, WIDE, PAD = 172.0, 190.0, 3.0  # px/m, px: the widest drawing and what is kept round it
WEEKS_WIDE, WEEKS_TALL = 150.0, 16.0
LEAST = 10.0  # px: the lowest drawing
EYE = 0.018  # m: radius of an eye or a joint as it is drawn
HOOP = 24

View = Callable[[float, float], tuple[float, float]]


def beyond_scale(shape: OrderShape) -> bool:
    """Whether a part is too long for the column and drawn smaller."""
    return shape.form != "ring" and shape.length * SCALE > WIDE - 2 * PAD


def part_drawing(shape: OrderShape, title: str, ink: str) -> Drawing:
    """A part to scale, its length along; a ring is seen on edge, an anti-roll bar from above. Longer than the column, it is drawn smaller."""
    # a ring is told by its diameter and how thick it is, and seen on edge
    along, tall = (max(shape.width, 0.001), shape.length) if shape.form == "ring" else (shape.length, {"rod": 2 * EYE, "damper": max(shape.width, 2 * EYE)}.get(shape.form, shape.width))  # fmt: skip
    scale = min(SCALE, (WIDE - 2 * PAD) / along)
    sheet = Drawing(WIDE, max(tall * scale + 2 * PAD, LEAST), title)
    middle = sheet.height / 2

    def at(x: float, y: float) -> tuple[float, float]:
        return PAD + scale * x, middle - scale * y

    match shape.form:
        case "coil":
            turns = round(min(max(shape.turns, 3), 14))
            sheet.path(zigzag(at(0.0, 0.0), at(shape.length, 0.0), shape.width * scale, turns), f"{ink} thick")
        case "bar":
            half = shape.width / 2
            sheet.path([at(0.0, -half), at(0.0, half), at(shape.length, half), at(shape.length, -half)], "ink", width=max(shape.thick * scale, 1.5))  # fmt: skip
        case "damper":
            _damper(sheet, shape, at, scale)
        case "rod":
            sheet.line(*at(EYE, 0.0), *at(shape.length - EYE, 0.0), "bold")
            for x in (0.0, shape.length):
                _hoop(sheet, at(x, 0.0), EYE * scale)
        case "stop":
            half = shape.width / 2
            nose = [at(shape.length * cos(a), half * sin(a)) for a in np.linspace(-pi / 2, pi / 2, HOOP)]
            sheet.path([at(0.0, -half), *nose, at(0.0, half)], "ink f-shut", closed=True)
        case _:
            sheet.box(*at(0.0, tall / 2), along * scale, tall * scale, "f-ink")
    return sheet


def _damper(sheet: Drawing, shape: OrderShape, at: View, scale: float) -> None:
    """Body with its eye, rod and the other eye."""
    half, body = shape.width / 2, min(shape.thick, shape.length - 2 * EYE)
    corners = [at(EYE, half), at(EYE + body, half), at(EYE + body, -half), at(EYE, -half)]
    sheet.path(corners, "f-shut", closed=True)
    sheet.path(corners, "ink", closed=True)
    sheet.line(*at(EYE + body, 0.0), *at(shape.length - EYE, 0.0), "bold")
    for x in (0.0, shape.length):
        _hoop(sheet, at(x, 0.0), EYE * scale)


def _hoop(sheet: Drawing, middle: tuple[float, float], radius: float) -> None:
    sheet.dot(*middle, radius, "f-paper")
    sheet.dot(*middle, radius, "ink")


def marks_of(step: float) -> int:
    """How many steps [m] the ruler has."""
    return int((WIDE - 40) / SCALE / step)


def ruler(title: str, step: float, word: str) -> Drawing:
    """The scale of the list: marks at each `step` [m], the last with its unit in `word`."""
    sheet = Drawing(WIDE, 26.0, title)
    count = marks_of(step)
    sheet.line(PAD, 22, PAD + SCALE * step * count, 22, "hair")
    for k in range(count + 1):
        x = PAD + SCALE * step * k
        sheet.line(x, 18, x, 26, "hair")
    sheet.word(PAD, 12, "0", "soft")
    sheet.word(PAD + SCALE * step * count, 12, word, "soft middle")
    return sheet


def weeks_drawing(weeks: float | None, most: float, title: str) -> Drawing:
    """How long a part takes as a bar on a scale [weeks]."""
    sheet = Drawing(WEEKS_WIDE, WEEKS_TALL, title)
    middle, unit = WEEKS_TALL / 2, (WEEKS_WIDE - 2) / most
    sheet.line(1, middle, WEEKS_WIDE - 1, middle, "hair")
    for k in range(0, int(most) + 1, 2):
        sheet.line(1 + unit * k, middle - 3, 1 + unit * k, middle + 3, "hair")
    if weeks is not None:
        sheet.box(1, middle - 2.5, unit * min(weeks, most), 5, "f-ink")
    return sheet
