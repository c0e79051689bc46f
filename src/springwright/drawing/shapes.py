"""Shapes of the sprung body: outlines with their windows, tanks with their level, seats; and the words and inks a vehicle drawing shares."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from springwright.drawing.svg import Drawing
from springwright.scenes.elevation import Aboard

Point = tuple[float, float]
View = Callable[[float, float], Point]
ROUND = 0.05  # m, of a body's corners
LONGEST = 24  # letters of a name
SERIES = 5  # inks there are for axles


def axle_ink(i: int) -> str:
    """The ink of an axle, counted from the front, in every picture."""
    return f"series-{min(i, SERIES - 1) + 1}"


def short(name: str, most: int = LONGEST) -> str:
    """A name cut to what a drawing has room for: a number of letters at most."""
    return name if len(name) <= most else name[: most - 1].rstrip() + "…"


def body_shapes(sheet: Drawing, shapes: Sequence[Sequence[Point]], view: View) -> None:
    """Outlines one over the other; one that lies within an earlier one is drawn thin."""
    scale = abs(view(1.0, 0.0)[0] - view(0.0, 0.0)[0])
    for i, shape in enumerate(shapes):
        spots = [view(*point) for point in shape]
        sheet.rounded(spots, "hair" if _inner(shapes, i) else "ink f-paper", ROUND * scale)


def ghost_shapes(sheet: Drawing, shapes: Sequence[Sequence[Point]], view: View) -> None:
    """The outlines of another state, dashed, without what is drawn thin."""
    scale = abs(view(1.0, 0.0)[0] - view(0.0, 0.0)[0])
    for i, shape in enumerate(shapes):
        if not _inner(shapes, i):
            sheet.rounded([view(*point) for point in shape], "dash", ROUND * scale)


def _inner(shapes: Sequence[Sequence[Point]], i: int) -> bool:
    return any(all(_inside(point, shape) for point in shapes[i]) for shape in shapes[:i])


def _inside(point: Point, shape: Sequence[Point]) -> bool:
    """Whether a point lies within an outline: how often a line upward from it crosses the outline."""
    x, z = point
    crossings = 0
    for (x1, z1), (x2, z2) in zip(shape, (*shape[1:], shape[0]), strict=True):
        if (x1 <= x < x2 or x2 <= x < x1) and z1 + (x - x1) * (z2 - z1) / (x2 - x1) > z:
            crossings += 1
    return crossings % 2 == 1


def tank_mark(sheet: Drawing, item: Aboard, view: View, *, across: bool) -> None:
    """A tank in its place with the level in it; `across`: seen from behind."""
    assert item.tank is not None
    x, y, z = item.place
    along, wide, tall = item.tank
    middle, half = (y, wide / 2) if across else (x, along / 2)
    low, level = z - tall / 2, z - tall / 2 + item.fill * tall
    if item.lies and (item.lies == "along") == across:
        turns = np.linspace(0.0, 2 * np.pi, 61)[:-1]
        sheet.path([view(middle + half * np.cos(t), z + half * np.sin(t)) for t in turns], "ink f-paper", closed=True)
        reach = float(np.arcsin(np.clip(2 * item.fill - 1, -1, 1)))
        wet = np.linspace(-np.pi - reach, reach, 41)
        edge = half * float(np.cos(reach))
        if item.fill > 0:
            sheet.path([view(middle + 0.95 * half * np.cos(t), z + 0.95 * half * np.sin(t)) for t in wet], "f-shut", closed=True)  # fmt: skip
    else:
        box = [(middle - half, low), (middle - half, low + tall), (middle + half, low + tall), (middle + half, low)]
        sheet.rounded([view(*point) for point in box], "ink f-paper", ROUND * abs(view(1, 0)[0] - view(0, 0)[0]))
        edge, rim = half, 0.012
        if item.fill > 0:
            under = [(middle - half + rim, low + rim), (middle - half + rim, level - rim), (middle + half - rim, level - rim), (middle + half - rim, low + rim)]  # fmt: skip
            sheet.path([view(*point) for point in under], "f-shut", closed=True)
    if 0 < item.fill < 1:
        sheet.line(*view(middle - edge, level), *view(middle + edge, level), "hair")


def seat_mark(sheet: Drawing, view: View, x: float, z: float) -> None:
    """A seat from the side, about its mount."""
    shape = ((0.26, 0.08), (-0.14, 0.04), (-0.24, 0.12), (-0.34, 0.56), (-0.30, 0.64))
    sheet.path([view(x + ahead, z + up) for ahead, up in shape], "hair")
