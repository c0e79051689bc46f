"""The vehicle where a question finds its limit: on the side slope at which it first lifts a wheel, and its axles on a diagonal ditch."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import cos, pi, sin

import numpy as np

from springwright.drawing.labels import Labels
from springwright.drawing.marks import centre_mark
from springwright.drawing.shapes import body_shapes, short
from springwright.drawing.svg import Drawing
from springwright.scenes.poses import Leaned, StoodAxle

WIDE, TALL, EDGE = 508.0, 300.0, 12.0
FREE = 3e-2  # of its load on level ground below which a wheel is drawn as lifting
WORDS = 132.0  # px kept beside the protractor for its words
POST, BARS, AXLES = 26.0, 96.0, 150.0  # px: step of the ground under an axle, its load bars, the axles above them
HIGHEST_MARK = pi / 2
CROWDED = 3  # axles beside each other between whose bars there is no room for words

View = Callable[[float, float], tuple[float, float]]


@dataclass(frozen=True)
class SlopeMark:
    """An angle of the protractor [rad] with its words; `strong` is the one that the vehicle is drawn at."""

    angle: float
    says: str
    strong: bool = False


def slope_drawing(one: Leaned, marks: Sequence[SlopeMark], asked: tuple[float, str] | None, wide: float = WIDE) -> Drawing:  # fmt: skip
    """Draw the vehicle on its slope, the angles that matter on a protractor about the foot of its lower wheel; what it must stand on is shut."""
    sheet = Drawing(wide, TALL, "The vehicle on a side slope, where a wheel first lifts")
    axle = one.axle
    left = max(y for shape in one.outlines for y, _ in (*shape, (axle.track / 2 + axle.width / 2, 0.0)))
    right = min(y for shape in one.outlines for y, _ in (*shape, (-axle.track / 2 - axle.width / 2, 0.0)))
    top = max(z for shape in one.outlines for _, z in shape)
    foot, c, s = axle.track / 2, cos(one.angle), sin(one.angle)
    # about the lower wheel's foot: how far the vehicle reaches downhill, uphill and up once it is turned [m]
    down, up = (left - foot) * c + top * s, (foot - right) * c
    high = (foot - right) * s + top * c
    scale = min((TALL - 44) / high, (wide - WORDS - 2 * EDGE) / (down + up))
    px, py = EDGE + scale * down, TALL - 26.0

    def at(y: float, z: float) -> tuple[float, float]:
        along = (foot - y) * scale
        return px + along * c - z * scale * s, py - along * s - z * scale * c

    reach = scale * (foot - right) * 1.16
    farthest = max([one.angle, *(mark.angle for mark in marks)])

    def on(angle: float, far: float = 1.0) -> tuple[float, float]:
        return px + far * reach * cos(angle), py - far * reach * sin(angle)

    if asked is not None:
        arc = [on(a) for a in np.linspace(0, min(asked[0], HIGHEST_MARK), 24)]
        sheet.path([(px, py), *arc], "f-shut", closed=True)
        sheet.line(px, py, *on(asked[0]), "bold")
    sheet.line(EDGE, py, wide - EDGE, py, "hair")
    sheet.path([on(a) for a in np.linspace(0, min(farthest + 0.08, HIGHEST_MARK), 60)], "hair")
    sheet.line(px - EDGE, py, *on(one.angle, 1.02), "ink")
    body_shapes(sheet, one.outlines, at)
    _wheels(sheet, axle, at)
    x, y = at(*one.cg)
    sheet.line(x, y, x, py - (x - px) * s / c if x >= px else py, "dashed hair")
    centre_mark(sheet, x, y)
    labels = Labels(sheet, (4, 12, wide - 2, TALL - 4))
    labels.avoid_line([(px, py), on(one.angle, 1.02)])
    for shape in one.outlines:
        spots = [at(*point) for point in shape]
        labels.avoid_line([*spots, spots[0]])
    told = [*marks, *([SlopeMark(*asked)] if asked else [])]
    for mark in sorted(told, key=lambda each: each.angle):
        if mark.angle <= HIGHEST_MARK:
            sheet.line(*on(mark.angle, 0.97), *on(mark.angle, 1.03), "bold" if mark.strong else "ink")
            labels.beside(*on(mark.angle, 1.03), mark.says, "strong" if mark.strong else "", toward=(cos(mark.angle), -sin(mark.angle)))  # fmt: skip
    if asked is not None:
        sheet.word(*on(asked[0] / 2, 0.5), "shut: it must stand here", "soft middle halo")
    return sheet


def _wheels(sheet: Drawing, axle: StoodAxle, at: View) -> None:
    """An axle's wheels as they stand, the beam between them; one that carries next to nothing is dashed."""
    sides = (1, -1) if len(axle.centres) == 2 else (0,)
    places = [(side * axle.track / 2, centre) for side, centre in zip(sides, axle.centres, strict=True)]
    if axle.beam and len(places) == 2:
        sheet.path([at(*place) for place in places], "bold")
    for (y, centre), ground, load, level in zip(places, axle.ground, axle.loads, axle.level, strict=True):
        half, low = axle.width / 2, max(centre - axle.radius, ground)
        corners = [(y + half, low), (y + half, centre + axle.radius), (y - half, centre + axle.radius), (y - half, low)]
        scale = abs(at(1.0, 0.0)[0] - at(0.0, 0.0)[0])
        spots = [at(*corner) for corner in corners]
        sheet.rounded(spots, "f-shut", 0.3 * axle.width * scale)
        sheet.rounded(spots, "dash" if load < FREE * level else "ink", 0.3 * axle.width * scale)


def ditch_drawing(axles: Sequence[StoodAxle], inks: Sequence[str], told: Callable[[float], str], title: str, wide: float = WIDE) -> Drawing:  # fmt: skip
    """Draw every axle from behind on its two heights of ground, its wheel loads as bars under it, that on level ground a heavy mark; `told` says a load."""
    rows = -(-len(axles) // 3)
    tall = AXLES + BARS + 34
    sheet = Drawing(wide, rows * tall, title)
    across = min(len(axles), 3)
    column = wide / across
    widest = max(axle.track + axle.width for axle in axles)
    low = min(ground for axle in axles for ground in axle.ground)
    high = max(centre + axle.radius for axle in axles for centre in axle.centres)
    scale = min((column - 36) / widest, (AXLES - 24) / (high - low))
    most = max(load for axle in axles for load in (*axle.loads, *axle.level)) or 1.0
    for k, (axle, ink) in enumerate(zip(axles, inks, strict=True)):
        middle, base = column * (k % across + 0.5), tall * (k // across) + AXLES

        def at(y: float, z: float, middle: float = middle, base: float = base) -> tuple[float, float]:
            return middle - scale * y, base - scale * (z - low)

        _axle_on_ground(sheet, axle, at, scale)
        for y, load, level in zip(_across(axle), axle.loads, axle.level, strict=True):
            x, foot = at(y, low)[0], base + POST
            half, long = min(axle.width * scale, 34) / 2, (BARS - POST - 16)
            sheet.box(x - half, foot, 2 * half, long * load / most, f"f-{ink}")
            sheet.line(x - half - 5, foot + long * level / most, x + half + 5, foot + long * level / most, "bold")
            lifts = load < FREE * level
            sheet.word(x, foot + long * max(load, level) / most + 16, "lifts" if lifts else told(load), "strong middle" if lifts else "middle")  # fmt: skip
        level = sum(axle.level) / len(axle.level)
        if across < CROWDED:
            sheet.word(middle, base + POST + 14, short(axle.name), "strong middle")
            sheet.word(middle, base + POST + 30, f"on the level {told(level)}", "soft middle")
        else:
            sheet.word(middle, base + 16, short(axle.name), "strong middle")
    return sheet


def _across(axle: StoodAxle) -> tuple[float, ...]:
    return (axle.track / 2, -axle.track / 2) if len(axle.centres) == 2 else (0.0,)


def _axle_on_ground(sheet: Drawing, axle: StoodAxle, at: View, scale: float) -> None:
    """The ground as a step under each wheel, and the axle on it."""
    half = axle.width * 0.9
    for y, ground in zip(_across(axle), axle.ground, strict=True):
        left, right = at(y + half, ground), at(y - half, ground)
        sheet.line(*left, *right, "bold")
    if len(axle.ground) == 2:
        (y0, y1), (z0, z1) = _across(axle), axle.ground
        sheet.path([at(y0 - half, z0), at(0.0, (z0 + z1) / 2), at(y1 + half, z1)], "hair")
    if not axle.beam and len(axle.centres) == 2:
        hub = sum(axle.centres) / 2
        for y, centre in zip(_across(axle), axle.centres, strict=True):
            sheet.line(*at(y * 0.25, hub), *at(y, centre), "ink")
        x, top = at(0.0, hub)
        sheet.dot(x, top, 0.12 * axle.track * scale, "f-paper")
        sheet.dot(x, top, 0.12 * axle.track * scale, "ink")
    _wheels(sheet, axle, at)
