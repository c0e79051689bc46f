"""The vehicle from behind: body, tyres, what joins them, springs, roll centre, spring base and track of the rear axle."""

from __future__ import annotations

from math import asin, cos, pi, sin

import numpy as np

from springwright.drawing.labels import Labels, width_of
from springwright.drawing.marks import centre_mark, dimension, ghost_centre, spring_mark
from springwright.drawing.scene import Scene
from springwright.drawing.shapes import axle_ink, body_shapes, ghost_shapes, short, tank_mark
from springwright.drawing.svg import Drawing
from springwright.scenes.elevation import AxleElevation, Elevation
from springwright.units import number

ROD, BALL = 0.10, 0.33  # half height of a beam and radius of its drive, as shares of the wheel's radius
RAIL = (0.07, 0.10)  # m, width and height a frame rail is drawn with


def behind_view(sheet: Drawing, labels: Labels, scene: Scene, e: Elevation) -> None:
    """Draw the view and its words."""
    axle = e.axles[-1]
    sheet.line(scene.split[1], scene.ground, scene.width, scene.ground, "ink")
    if e.ghost is not None:
        with sheet.group("ghost-behind", shift=scene.body_end(e.ghost, axle.x)):
            ghost_shapes(sheet, e.end, scene.end)
    with sheet.group("body-behind", shift=scene.body_end(e.stance, axle.x)):
        body_shapes(sheet, e.end, scene.end)
        for item in e.items:
            if item.tank is not None:
                tank_mark(sheet, item, scene.end, across=True)
        _rails(sheet, scene, axle)
    with sheet.group("wheels-behind"):
        for y, centre in _wheels(axle):
            _tyre(sheet, scene, axle, y, centre)
    with sheet.group("running-behind"):
        if axle.beam:
            _beam(sheet, scene, axle)
        for begin, end in (*axle.links, *axle.dampers):
            sheet.path([scene.end(begin[1], begin[2]), scene.end(end[1], end[2])], "hair" if axle.links_known else "dots")  # fmt: skip
        for spring in axle.springs:
            spring_mark(sheet, spring, lambda place: scene.end(place[1], place[2]), scene.scale, axle_ink(len(e.axles) - 1))  # fmt: skip
    if e.ghost is not None:
        ghost_centre(sheet, *scene.end(e.ghost.cg[1], e.ghost.cg[2]))
    centre_mark(sheet, *scene.end(e.stance.cg[1], e.stance.cg[2]))
    _words(labels, scene, e, axle)


def _wheels(axle: AxleElevation) -> list[tuple[float, float]]:
    """Y and height of each wheel centre [m]."""
    sides = (0.5, -0.5) if len(axle.centres) == 2 else (0.0,)
    return [(side * axle.track, centre) for side, centre in zip(sides, axle.centres, strict=True)]


def _tyre(sheet: Drawing, scene: Scene, axle: AxleElevation, y: float, centre: float) -> None:
    half, top, foot = axle.width / 2, centre + axle.radius, max(centre - axle.radius, 0.0)
    corners = [(y + half, foot), (y + half, top), (y - half, top), (y - half, foot)]
    sheet.rounded([scene.end(*corner) for corner in corners], "ink f-shut", 0.3 * axle.width * scene.scale)


def _beam(sheet: Drawing, scene: Scene, axle: AxleElevation) -> None:
    """The beam from tyre to tyre, round its drive where it has one, tilted as the wheels stand."""
    inner, rod = (axle.track - axle.width) / 2, ROD * axle.radius
    ball = BALL * axle.radius if axle.driven else 0.0
    upper = [(inner, rod)]
    if ball:
        start = asin(rod / ball)
        upper += [(ball * cos(t), ball * sin(t)) for t in np.linspace(start, pi - start, 21)]
    upper.append((-inner, rod))
    outline = [*upper, *((y, -z) for y, z in reversed(upper))]
    tilt = (axle.centres[0] - axle.centres[-1]) / axle.track
    middle = sum(axle.centres) / len(axle.centres)
    sheet.path([scene.end(y, middle + z + tilt * y) for y, z in outline], "ink f-paper", closed=True)


def _rails(sheet: Drawing, scene: Scene, axle: AxleElevation) -> None:
    if axle.frame is None:
        return
    wide, under = axle.frame
    for side in (1, -1):
        x, y = scene.end(side * wide / 2 + (RAIL[0] if side < 0 else 0.0), under + RAIL[1])
        sheet.box(x, y, RAIL[0] * scene.scale, RAIL[1] * scene.scale, "ink f-paper")


def _words(labels: Labels, scene: Scene, e: Elevation, axle: AxleElevation) -> None:
    name = short(axle.name)
    labels.put(scene.split[1], 8, f"From behind, {name}" + ("" if name.endswith("axle") else " axle"), "soft")
    if axle.track:
        left, right = scene.end(axle.track / 2, 0)[0], scene.end(-axle.track / 2, 0)[0]
        _dimension(labels, left, right, scene.ground + 33, f"track {number(axle.track, 'length')}")
    if axle.base is not None:
        left, right = scene.end(axle.base / 2, 0)[0], scene.end(-axle.base / 2, 0)[0]
        _dimension(labels, left, right, scene.ground - max(0.4 * min(axle.centres) * scene.scale, 9), f"base {number(axle.base, 'length')}")  # fmt: skip
    labels.avoid_line([(scene.split[1], scene.ground), (scene.width, scene.ground)])
    for stance in (e.stance, e.ghost):
        for shape in e.end if stance is not None else ():
            labels.avoid_line([scene.end(y, z + stance.rise_at(axle.x, y)) for y, z in (*shape, shape[0])])  # type: ignore[union-attr]
    if axle.frame is not None:
        for side in (1, -1):
            x, y = scene.end(side * axle.frame[0] / 2, axle.frame[1])
            labels.avoid(x - RAIL[0] * scene.scale, y - RAIL[1] * scene.scale, x + RAIL[0] * scene.scale, y)
    for spring in axle.springs:
        spots = [scene.end(y, z) for _, y, z in spring.line]
        half = scene.scale * spring.diameter / 2
        labels.avoid(min(x for x, _ in spots) - half, min(y for _, y in spots), max(x for x, _ in spots) + half, max(y for _, y in spots))  # fmt: skip
    for stance in (e.stance, e.ghost):
        if stance is not None:
            x, y = scene.end(stance.cg[1], stance.cg[2])
            labels.avoid(x - 8, y - 8, x + 8, y + 8)
    if axle.roll_centre is not None:
        x, y = scene.end(0.0, axle.roll_centre)
        labels.sheet.line(x - 6, y, x + 6, y, "bold")
        labels.sheet.line(x, y - 6, x, y + 6, "bold")
        labels.avoid(x - 7, y - 7, x + 7, y + 7)
        said = f"roll centre {number(axle.roll_centre, 'length')}"
        labels.beside(x, y, said if axle.roll_centre_known else f"{said}, an estimate", toward=(0.6, -1.0))


def _dimension(labels: Labels, left: float, right: float, y: float, word: str) -> None:
    middle, half = (left + right) / 2, width_of(word) / 2 + 6
    labels.avoid_line([(left, y), (right, y)])
    dimension(labels.sheet, left, right, y, (middle - half, middle + half))
    labels.put(middle, y, word, "middle")
