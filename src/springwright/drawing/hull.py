"""The body in the round: its outlines from the side drawn out to the width its outlines from behind have at each height."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from springwright.drawing.nodes import Skeleton
from springwright.scenes.bodywork import Outline, bodywork
from springwright.vehicle.design import Design

Floats = NDArray[np.float64]
SEAT, BACK = 0.44, 0.55  # m: pan and back of a seat
LEVEL = 0.05  # how far up a face looks, of 1, that is no inside of a wheel arch
BELOW = (0.0, 0.0, -1.0)
CORNER = 0.35  # rad of turn from which an outline's point is a corner with an edge across the body
FINE = 5e-3  # m by which outlines may miss each other and still count as touching


def hull_lines(design: Design, made: Skeleton, heights: tuple[float, ...]) -> None:
    """Put body and seats into a drawing; `heights` are the wheel centres' in the design position [m], one for each axle."""
    sides, ends = bodywork(design, heights)
    covers = 2 * max(abs(y) for shape in ends for y, _ in shape) > max(axle.track or 0.0 for axle in design.axles)
    solids: list[Outline] = []
    for shape in sides:
        within = [i for i, other in enumerate(solids) if _inside(shape, other)]
        if within:
            _panel(made, shape, ends, within[-1] if covers else None)
        else:
            _solid(made, shape, ends, len(solids) if covers else None)
            solids.append(shape)
    for seat in design.seats:
        _seat(made, seat.xyz)


def _solid(made: Skeleton, shape: Outline, ends: tuple[Outline, ...], solid: int | None) -> None:
    """An outline on both sides and the edges across at its corners; each edge knows the faces it parts, so that one behind all is hidden.

    A body that covers its wheels is drawn over them, each solid with its faces; one between its wheels is lines alone.
    """
    points = np.array([(-x, z) for x, z in shape])
    if _area(points) < 0:
        points = points[
            ::-1
        ]  # counter-clockwise seen from the right, so that a face's outside is to the right of its way
    faces = [_outward(a, b) for a, b in pairwise([*points, points[0]])]
    hollow = [_turn(faces[i - 1], faces[i]) < 0 for i in range(len(faces))]
    # the inside of a wheel arch is never seen from above the ground: it does not count as a face
    seen = [
        [face] if face[2] > LEVEL or not (hollow[i] or hollow[(i + 1) % len(faces)]) else []
        for i, face in enumerate(faces)
    ]
    half = [_half(ends, float(z)) for _, z in points]
    rows = {side: [made.node((x, side * y, z)) for (x, z), y in zip(points, half, strict=True)] for side in (1, -1)}
    for side, row in rows.items():
        made.panel(row, (0.0, float(side), 0.0), solid)
    for i in range(len(faces)):
        after = (i + 1) % len(points)
        for face in seen[i]:
            made.panel([rows[1][i], rows[1][after], rows[-1][after], rows[-1][i]], face, solid)
        for side, row in rows.items():
            made.line([row[i], row[after]], faces=[(0.0, float(side), 0.0), *seen[i]], solid=solid)
        if abs(_turn(faces[i - 1], faces[i])) > np.sin(CORNER):
            made.line([rows[1][i], rows[-1][i]], faces=[*seen[i - 1], *seen[i]] or [BELOW], solid=solid)


def _panel(made: Skeleton, shape: Outline, ends: tuple[Outline, ...], solid: int | None) -> None:
    """A window or a door: a thin outline on both sides, seen from its own."""
    for side in (1, -1):
        nodes = [made.node((-x, side * _half(ends, z), z)) for x, z in shape]
        made.line([*nodes, nodes[0]], "hair", faces=[(0.0, float(side), 0.0)], solid=solid)


def _half(ends: tuple[Outline, ...], height: float) -> float:
    """Half the body's width at a height [m]: that of the widest of its outlines from behind there, or at the nearest height they have."""
    low, high = min(z for shape in ends for _, z in shape), max(z for shape in ends for _, z in shape)
    z = min(max(height, low + FINE), high - FINE)
    found = [
        abs(y1 + (y2 - y1) * (z - z1) / (z2 - z1))
        for shape in ends
        for (y1, z1), (y2, z2) in pairwise([*shape, shape[0]])
        if min(z1, z2) <= z <= max(z1, z2) and z1 != z2
    ]
    return max(found, default=max(abs(y) for shape in ends for y, _ in shape))


def _inside(shape: Outline, other: Outline) -> bool:
    """Whether every point of an outline lies within another or on it."""
    return all(_within(x, z, other) for x, z in shape)


def _within(x: float, z: float, shape: Outline) -> bool:
    """Whether a point lies within an outline: the number of its sides that a line to the right crosses is odd."""
    crossed = False
    for (x1, z1), (x2, z2) in pairwise([*shape, shape[0]]):
        if (z1 > z) != (z2 > z) and x < x1 + (x2 - x1) * (z - z1) / (z2 - z1):
            crossed = not crossed
    return crossed


def _area(points: Floats) -> float:
    x, z = points.T
    return float(np.sum(x * np.roll(z, -1) - np.roll(x, -1) * z) / 2)


def _outward(a: Floats, b: Floats) -> tuple[float, float, float]:
    """The normal of the face drawn out from a side a to b, pointing out of the body."""
    way = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
    return (float(way[1]), 0.0, float(-way[0]))


def _turn(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    """Sine of the turn from one face to the next: negative where the outline is hollow."""
    return one[0] * other[2] - one[2] * other[0]


def _seat(made: Skeleton, place: Sequence[float]) -> None:
    """A seat: its pan on the mount and its back."""
    x, y, z = place
    left, right, front, back, top = y + SEAT / 2, y - SEAT / 2, x + SEAT / 2, x - SEAT / 2, z + BACK
    pan = ((front, left, z), (front, right, z), (back, right, z), (back, left, z), (front, left, z))
    rest = ((back, left, z), (back - 0.08, left, top), (back - 0.08, right, top), (back, right, z))
    for line in (pan, rest):
        made.line([made.node(at) for at in line], "hair")
