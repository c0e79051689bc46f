"""An axle's links to scale: from behind, from the side and in plan, in the design position and at both ends of its travel."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.drawing.svg import Drawing
from springwright.units import show

Point = NDArray[np.float64]
Joints = Mapping[str, Point]
View = Callable[[Point], tuple[float, float]]
GAP, MARGIN, WIDEST = 64.0, 34.0, 1100.0  # px between the views, round them, and of the whole sheet
STEADY = 0.1  # m
BAR = 0.25  # m, the length drawn to measure by
MOST_SCALE, CLOSE = 420.0, 1.2  # px/m; metres past the links up to which an instant centre is drawn where it is
PARTS = (("spring", "series-1"), ("damper", "series-2"), ("drag link", "series-3"), ("shaft", "series-1 dashed"))
PAST = 0.06  # m past the centreline to which half a plan is drawn
HIDDEN = ("roll_centre", "contact", "side_centre", "front_centre")


class LinkViews(NamedTuple):
    """Where joints come to lie on the sheet: its scale [px/m], and what lies at its edges [m, px]."""

    scale: float
    left: float
    ahead: float
    wide: float
    long: float
    top: float

    @property
    def ground(self) -> float:
        """Where the ground is drawn [px]."""
        return MARGIN + self.scale * self.top

    @property
    def second(self) -> float:
        """Where the views from the side and from above begin [px]."""
        return MARGIN + self.scale * self.wide + GAP

    def behind(self, point: Point) -> tuple[float, float]:
        """A joint seen from behind [px]."""
        return MARGIN + self.scale * (self.left - float(point[1])), self.ground - self.scale * float(point[2])

    def side(self, point: Point) -> tuple[float, float]:
        """A joint seen from the left side [px]."""
        return self.second + self.scale * (self.ahead - float(point[0])), self.ground - self.scale * float(point[2])

    def above(self, point: Point) -> tuple[float, float]:
        """A joint seen from above [px]."""
        return self.second + self.scale * (self.ahead - float(point[0])), self.ground + 60 + self.scale * (self.left - float(point[1]))  # fmt: skip


def views_of(positions: Sequence[Joints], radius: float, *, beam: bool) -> LinkViews:
    """The views of `links_drawing`; edges lie on whole steps, so that a joint moved a little does not move the sheet under it [m]."""
    still = positions[0]
    every = np.array([at for joints in positions for name, at in joints.items() if name not in HIDDEN])
    wheel = still["wheel_centre"]
    right = float(every[:, 1].min()) - 0.12 if beam else -0.02
    left, top = float(every[:, 1].max()) + 0.14, max(float(every[:, 2].max()), float(wheel[2]) + radius) + 0.06
    ahead, behind = (
        max(float(every[:, 0].max()), wheel[0] + radius) + 0.05,
        min(float(every[:, 0].min()), wheel[0] - radius) - 0.05,
    )
    if "side_centre" in still and -CLOSE < still["side_centre"][0] - wheel[0] < CLOSE:
        ahead, behind = max(ahead, float(still["side_centre"][0]) + 0.05), min(behind, float(still["side_centre"][0]) - 0.05)  # fmt: skip
    left, top, ahead = (STEADY * float(np.ceil(one / STEADY)) for one in (left, top, ahead))
    behind, right = STEADY * float(np.floor(behind / STEADY)), (STEADY * float(np.floor(right / STEADY)) if beam else right)  # fmt: skip
    wide, long = left - right, ahead - behind
    return LinkViews(min(MOST_SCALE, (WIDEST - 2 * MARGIN - GAP) / (wide + long)), left, ahead, wide, long, top)


def links_drawing(
    title: str, pairs: Sequence[tuple[str, str]], positions: Sequence[Joints], radius: float, *, beam: bool
) -> Drawing:
    """Draw joints and links.

    Parameters
    ----------
    title : str
    pairs
        Names of joints that a link joins; a spring or damper is drawn between its `foot` and `top`.
    positions : sequence of joints
        The design position first, then others in thin line.
    radius : float
        Of the tyre [m].
    beam : bool
        Whether both sides are there, so that the whole width is drawn.

    """
    still = positions[0]
    views = views_of(positions, radius, beam=beam)
    scale, left, wide, long, top = views.scale, views.left, views.wide, views.long, views.top
    half = beam and all(_mirrored(joints) for joints in positions)
    deep = left + PAST if half else wide  # what the plan shows from the left outwards
    plan = 46 + scale * deep
    sheet = Drawing(2 * MARGIN + GAP + scale * (wide + long), 2 * MARGIN + scale * top + 26 + plan, title)
    ground, second, under = views.ground, views.second, views.ground + 60
    from_behind, from_side, from_above = views.behind, views.side, views.above

    def draw(view: View, points: Sequence[Point], ink: str) -> None:
        if points:
            sheet.path([view(at) for at in points], ink)

    sheet.line(MARGIN, ground, MARGIN + scale * wide, ground, "hair")
    sheet.line(second, ground, second + scale * long, ground, "hair")
    for view in (from_behind, from_side, from_above):
        shown = partial(_down_to, left - deep) if view is from_above else _whole
        for i, joints in reversed(list(enumerate(positions))):
            for begin, end in pairs:
                draw(view, shown(joints[begin], joints[end]), "ink" if i == 0 else "dots")
            for part, ink in PARTS:
                for side in ("", " right"):
                    if f"{part} foot{side}" in joints and i == 0:
                        draw(view, shown(joints[f"{part} foot{side}"], joints[f"{part} top{side}"]), ink)
                if f"{part} rod" in joints:
                    rocker = ("rod", "rocker", "pivot", "foot")
                    draw(view, [joints[f"{part} {end}"] for end in rocker], "ink" if i == 0 else "dots")
        for name, point in still.items():
            if name not in HIDDEN and shown(point, point):
                sheet.dot(*view(point), 3, "f-ink")
    _tyres(sheet, still, from_behind, from_side, scale * radius)
    _centres(sheet, still, from_behind, from_side, scale, ground)
    middle = MARGIN + scale * left
    sheet.line(middle, ground, middle, ground - scale * top, "dots")
    sheet.line(second, under + scale * left, second + scale * long, under + scale * left, "dots")
    sheet.word(MARGIN, ground + 20, "from behind; the dotted upright is the centreline", "soft")
    sheet.word(second, ground + 20, "from the left side, front to the left", "soft")
    sheet.word(
        second, under + scale * deep + 16, f"from above, {'left half, ' if half else ''}front to the left", "soft"
    )
    _key(sheet, still, MARGIN, under + 14)
    _scale(sheet, MARGIN, under + scale * deep + 12, scale)
    sheet.word(MARGIN, 18, title, "strong")
    return sheet


def _mirrored(joints: Joints) -> bool:
    """Whether the right side is the left one mirrored, so that one half in plan tells all."""
    places = np.array([at for name, at in joints.items() if name not in HIDDEN])
    apart = np.abs(places[:, None] - places * (1, -1, 1)).max(axis=-1)
    return bool((apart.min(axis=1) < 1e-6).all())


def _whole(begin: Point, end: Point) -> list[Point]:
    return [begin, end]


def _down_to(low: float, begin: Point, end: Point) -> list[Point]:
    """What of a line lies to the left of y = `low`."""
    inside = [at for at in (begin, end) if at[1] >= low]
    if len(inside) == 1:
        inside.append(begin + (end - begin) * (low - begin[1]) / (end[1] - begin[1]))
    return inside


def _tyres(sheet: Drawing, still: Joints, behind: View, side: View, radius: float) -> None:
    sheet.dot(*side(still["wheel_centre"]), radius, "hair")
    for name in ("wheel_centre", "wheel_centre right"):
        if name in still:
            x, z = behind(still[name])
            sheet.path([(x, z - radius), (x, z + radius)], "dash")


def _centres(sheet: Drawing, still: Joints, behind: View, side: View, scale: float, ground: float) -> None:
    """Roll centre and instant centres, each with the line that leads to it; a far one as a line towards it."""
    x, z = behind(still["roll_centre"])
    sheet.dot(x, z, 5, "pencil")
    sheet.word(x - 9, z + 18, "roll centre", "mine end")
    for name, view in (("front_centre", behind), ("side_centre", side)):
        if name not in still:
            continue
        begin, end = np.array(view(still["contact"])), np.array(view(still[name]))
        way = end - begin
        far = float(np.hypot(*way))
        near = far <= CLOSE * scale
        stop = end if near else begin + way * min(0.9 * scale / max(far, 1e-9), 1.0)
        sheet.path([tuple(begin), tuple(stop)], "dash")
        if near and stop[1] < ground:
            sheet.dot(float(stop[0]), float(stop[1]), 4, "pencil")
            late = stop[0] > sheet.width - 110
            sheet.word(
                float(stop[0]) + (-8 if late else 8),
                float(stop[1]) - 8,
                "instant centre",
                "mine end" if late else "mine",
            )


def _scale(sheet: Drawing, x: float, y: float, scale: float) -> None:
    """A length to measure the drawing by."""
    end = x + scale * BAR
    sheet.line(x, y, end, y, "ink")
    for at in (x, end):
        sheet.line(at, y - 4, at, y + 4, "ink")
    sheet.word(end + 8, y + 4, show(BAR, "length"), "soft")


def _key(sheet: Drawing, still: Joints, x: float, y: float) -> None:
    rows = [
        ("ink", "links in the design position"),
        ("dots", "the same at full bump and full droop"),
        ("dash", "towards the instant centre, and the tyre's middle"),
    ]
    rows += [(ink, part) for part, ink in PARTS if f"{part} foot" in still]
    for i, (ink, text) in enumerate(rows):
        sheet.line(x, y + 18 * i, x + 26, y + 18 * i, ink)
        sheet.word(x + 34, y + 18 * i + 4, text, "soft")
