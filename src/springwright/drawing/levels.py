"""How the vehicle stands in each load state: where its lamp points on a wall ahead, and how high it stands at each axle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from springwright.drawing.labels import spread
from springwright.drawing.scene import Scene
from springwright.drawing.shapes import body_shapes, ghost_shapes, short
from springwright.drawing.svg import Drawing
from springwright.scenes.elevation import Elevation

WIDE, TALL, WALL, COLUMN, HEAD, FOOT = 1048.0, 300.0, 230.0, 140.0, 20.0, 34.0
BESIDE, ROW = 3, 220.0  # axles whose scales stand beside the vehicle; px: of a row of them under it
LEAST_HALF = 60.0  # px: of the wall, above and below where the lamp points
LETTERS = 13  # of a state's name beside a scale
LINE = 15.0  # px between words under each other


@dataclass(frozen=True)
class LevelMark:
    """A load state on a scale: its name, its value in the units shown and that in words; `strong` where it is the worst."""

    state: str
    value: float
    says: str
    strong: bool = False


@dataclass(frozen=True)
class LevelScale:
    """An upright scale: its title, the states on it, the values between which it is open (None: no limit) with words for both ends."""

    title: str
    marks: tuple[LevelMark, ...]
    least: float | None
    most: float | None
    limits: tuple[str, str] = ("", "")


def level_drawing(e: Elevation, wall: LevelScale | None, heights: Sequence[LevelScale], wide: float = WIDE) -> Drawing:
    """Draw the vehicle in one state with another dashed, its lamp's lines onto a wall, and a scale of heights for each axle at the right."""
    beside = heights if len(heights) <= BESIDE else ()
    under = heights[len(beside) :]
    many = max(int(wide // COLUMN), 1)
    rows = -(-len(under) // many)
    sheet = Drawing(wide, TALL + rows * ROW, "How it stands in each load state")
    left = WALL if wall is not None and e.lamp is not None else 0.0
    right = wide - COLUMN * len(beside)
    scene = _scene(e, left + 40, right - 30)
    sheet.line(left + 20, scene.ground, right - 10, scene.ground, "ink")
    if e.ghost is not None:
        with sheet.group("level-ghost", shift=scene.body_side(e.ghost)):
            ghost_shapes(sheet, e.side, scene.side)
    with sheet.group("level-body", shift=scene.body_side(e.stance)):
        body_shapes(sheet, e.side, scene.side)
    for axle in e.axles:
        x, y = scene.side(axle.x, axle.centres[0])
        sheet.dot(x, y, axle.radius * scene.scale, "f-shut")
        sheet.dot(x, y, axle.radius * scene.scale, "ink")
        sheet.dot(x, y, 0.4 * axle.radius * scene.scale, "ink")
    if wall is not None and e.lamp is not None:
        x, _, z = e.lamp
        px, py = scene.side(x, z + e.stance.rise_at(x))
        sheet.dot(px, py, 4, "f-ink")
        _wall(sheet, wall, (px, py), WALL - 60)
    for k, scale in enumerate(beside):
        _scale(sheet, scale, right + COLUMN * k + 30, HEAD + 24, TALL - FOOT)
    for k, scale in enumerate(under):
        top = TALL + ROW * (k // many) + HEAD + 24
        _scale(sheet, scale, COLUMN * (k % many) + 30, top, top + ROW - HEAD - 44)
    return sheet


def _scene(e: Elevation, left: float, right: float) -> Scene:
    points = [(x, z) for shape in e.side for x, z in shape] + [(axle.x + s * axle.radius, 0.0) for axle in e.axles for s in (1, -1)]  # fmt: skip
    ahead, behind, top = max(x for x, _ in points), min(x for x, _ in points), max(z for _, z in points)
    scale = min((right - left) / (ahead - behind), (TALL - HEAD - FOOT) / (top + 0.15))
    return Scene(scale, right, TALL, TALL - FOOT, left + scale * ahead + (right - left - scale * (ahead - behind)) / 2, (right, right), 0.0, 1)  # fmt: skip


def _wall(sheet: Drawing, wall: LevelScale, lamp: tuple[float, float], at: float) -> None:
    """The wall with both limits, and a line from the lamp to where it points in each state."""
    x, lamp_y = lamp
    y = min(
        max(lamp_y, HEAD + 22 + LEAST_HALF), TALL - 20 - LEAST_HALF
    )  # of the wall's middle: a high lamp looks down on it
    far = max([abs(one.value) for one in wall.marks] + [abs(one) for one in (wall.least, wall.most) if one is not None]) or 1.0  # fmt: skip
    half = min(y - HEAD - 22, TALL - 20 - y)
    scale = half / (1.25 * far)
    top, foot = y - half, y + half
    for limit, edge in ((wall.most, top), (wall.least, foot)):
        if limit is not None:
            line = y - scale * limit
            sheet.box(at - 34, min(edge, line), 34, abs(edge - line), "f-shut")
            sheet.line(at - 34, line, at, line, "bold")
    for limit, text, up in ((wall.most, wall.limits[1], True), (wall.least, wall.limits[0], False)):
        if limit is not None:
            sheet.word(at, top - 6 if up else foot + 15, text, "soft end")
    sheet.line(at, top, at, foot, "bold")
    order = sorted(range(len(wall.marks)), key=lambda k: -wall.marks[k].value)
    places = spread([y - scale * wall.marks[k].value for k in order], [LINE] * len(order), top, foot, gap=0)
    for k, place in zip(order, places, strict=True):
        one = wall.marks[k]
        sheet.line(at, y - scale * one.value, x, lamp_y, "bold" if one.strong else "hair")
        sheet.word(
            at - 40, place + 4, f"{short(one.state, LETTERS)} {one.says}", f"{'strong ' if one.strong else ''}end"
        )
    sheet.word(4, 12, wall.title, "soft")


def _scale(sheet: Drawing, one: LevelScale, x: float, top: float, foot: float) -> None:
    """Heights of the states at an axle on an upright scale, what its limit shuts filled."""
    values = [mark.value for mark in one.marks]
    ends = [*values, *(limit for limit in (one.least, one.most) if limit is not None)]
    low, high = min(ends), max(ends)
    pad = 0.12 * (high - low) or 1.0
    low, high = low - pad, high + pad

    def at(value: float) -> float:
        return foot - (foot - top) * (value - low) / (high - low)

    if one.most is not None:
        sheet.box(x - 12, top, 24, at(one.most) - top, "f-shut")
        sheet.line(x - 14, at(one.most), x + 14, at(one.most), "bold")
        sheet.word(x + 18, at(one.most) - 4, one.limits[1], "soft")
    sheet.line(x, top, x, foot, "ink")
    order = sorted(one.marks, key=lambda mark: -mark.value)
    places = spread([at(mark.value) for mark in order], [LINE] * len(order), top, foot, gap=0)
    for mark, place in zip(order, places, strict=True):
        sheet.line(x - 6, at(mark.value), x + 6, at(mark.value), "bold" if mark.strong else "ink")
        sheet.line(x + 6, at(mark.value), x + 16, place, "hair")
        sheet.word(
            x + 18, place + 4, f"{short(mark.state, LETTERS)} {mark.says}", "strong halo" if mark.strong else "halo"
        )
    sheet.word(x - 14, top - 10, one.title, "strong")
