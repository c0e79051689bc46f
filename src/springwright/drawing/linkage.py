"""An axle as parts to scale, from behind and from the side, its links in plan, in the design position and at both ends of its travel."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.drawing import axle_parts as parts
from springwright.drawing.axle_parts import AxleLooks
from springwright.drawing.labels import width_of
from springwright.drawing.svg import Drawing
from springwright.units import show

Point = NDArray[np.float64]
Joints = Mapping[str, Point]
View = Callable[[Point], tuple[float, float]]
GAP, MARGIN, WIDEST = 48.0, 20.0, 804.0  # px between the views, round them, and of the whole sheet
STEADY = 0.1  # m
BAR = 0.25  # m, the length drawn to measure by
MOST_SCALE, CLOSE = 420.0, 1.2  # px/m; metres past the links up to which an instant centre is drawn where it is
PARTS = (("spring", "series-1"), ("damper", "series-2"), ("drag link", "series-3"), ("shaft", "series-1 dashed"))
PLAN = 100.0  # px from the ground to the plan
PLAIN = (
    "wheel_centre",
    "contact",
    "roll_centre",
    "lever",
    "spring",
)  # joints of a mount without links: a plan would say nothing
PAST = 0.06  # m past the centreline to which half a plan is drawn
BEAM = "wheel_centre right"
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
        return self.second + self.scale * (self.ahead - float(point[0])), self.ground + PLAN + self.scale * (self.left - float(point[1]))  # fmt: skip


def views_of(positions: Sequence[Joints], radius: float, *, beam: bool) -> LinkViews:
    """The views of `links_drawing`; edges lie on whole steps, so that a joint moved a little does not move the sheet under it [m]."""
    still = positions[0]
    every = np.array([at for joints in positions for name, at in joints.items() if name not in HIDDEN])
    wheel = still["wheel_centre"]
    right = float(every[:, 1].min()) - 0.12 if beam else -0.02
    highest = max(float(joints["wheel_centre"][2]) for joints in positions) + radius
    left, top = float(every[:, 1].max()) + 0.14, max(float(every[:, 2].max()), highest) + 0.06
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
    title: str, pairs: Sequence[tuple[str, str]], positions: Sequence[Joints], radius: float, looks: AxleLooks, *, beam: bool
) -> Drawing:  # fmt: skip
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
    looks : AxleLooks
        What is drawn though no joint says it.
    beam : bool
        Whether both sides are there, so that the whole width is drawn.

    """
    still = positions[0]
    views = views_of(positions, radius, beam=beam)
    scale, left = views.scale, views.left
    half = beam and all(_mirrored(joints) for joints in positions)
    deep = left + PAST if half else views.wide  # what the plan shows from the left outwards
    linked = any(not name.startswith(PLAIN) for name in still)
    fall = scale * max(float(still["wheel_centre"][2] - joints["wheel_centre"][2]) for joints in positions)
    ground, under = views.ground, views.ground + PLAN
    tall = under + 46 + scale * deep if linked else ground + max(fall, 0.0) + 52
    sheet = Drawing(2 * MARGIN + GAP + scale * (views.wide + views.long), tall, title)
    sheet.line(MARGIN, ground, MARGIN + scale * views.wide, ground, "ink")
    sheet.line(views.second, ground, views.second + scale * views.long, ground, "ink")
    _running(sheet, positions, looks, views, radius)
    for view in (views.behind, views.side):
        for joints in positions[1:]:
            for begin, end in pairs:
                if "wheel_centre" not in begin:
                    sheet.path([view(joints[begin]), view(joints[end])], "dots")
        _solid(sheet, still, pairs, looks, view, scale)
    if BEAM in still:
        parts.tyre_behind(sheet, views.behind(still[BEAM]), radius * scale, looks.width * scale, ground, cut=False)
    if linked:
        _plan(sheet, positions, pairs, views, deep, half=half)
    _centres(sheet, still, views.behind, views.side, scale, ground)
    middle = MARGIN + scale * left
    sheet.line(middle, ground, middle, ground - scale * views.top, "dots")
    foot = ground + max(fall, 0.0) + 18
    _key(sheet, still, MARGIN, foot)
    _scale(sheet, views.second, foot, scale)
    sheet.word(MARGIN, 18, title, "strong")
    sheet.word(MARGIN + width_of(title, "strong") + 14, 18, "from behind", "soft")
    sheet.word(views.second, 18, "from the left side, front to the left", "soft")
    return sheet


def _plan(sheet: Drawing, positions: Sequence[Joints], pairs: Sequence[tuple[str, str]], views: LinkViews, deep: float, *, half: bool) -> None:  # fmt: skip
    """The links from above, from the left outwards so `deep` [m]."""
    shown = partial(_down_to, views.left - deep)

    def draw(points: Sequence[Point], ink: str) -> None:
        if points:
            sheet.path([views.above(at) for at in points], ink)

    for i, joints in reversed(list(enumerate(positions))):
        ink = "ink" if i == 0 else "dots"
        for begin, end in pairs:
            draw(shown(joints[begin], joints[end]), ink)
        for part, own in PARTS:
            for side in ("", " right"):
                if f"{part} foot{side}" in joints and i == 0:
                    draw(shown(joints[f"{part} foot{side}"], joints[f"{part} top{side}"]), own)
            if f"{part} rod" in joints:
                draw([joints[f"{part} {end}"] for end in ("rod", "rocker", "pivot", "foot")], ink)
    for name, point in positions[0].items():
        if name not in HIDDEN and shown(point, point):
            sheet.dot(*views.above(point), 3, "f-ink")
    under, scale = views.ground + PLAN, views.scale
    middle = under + scale * views.left
    sheet.line(views.second, middle, views.second + scale * views.long, middle, "dots")
    said = f"from above, {'left half, ' if half else ''}front to the left"
    sheet.word(views.second, under + scale * deep + 16, said, "soft")


def _mirrored(joints: Joints) -> bool:
    """Whether the right side is the left one mirrored, so that one half in plan tells all."""
    places = np.array([at for name, at in joints.items() if name not in HIDDEN])
    apart = np.abs(places[:, None] - places * (1, -1, 1)).max(axis=-1)
    return bool((apart.min(axis=1) < 1e-6).all())


def _down_to(low: float, begin: Point, end: Point) -> list[Point]:
    """What of a line lies to the left of y = `low`."""
    inside = [at for at in (begin, end) if at[1] >= low]
    if len(inside) == 1:
        inside.append(begin + (end - begin) * (low - begin[1]) / (end[1] - begin[1]))
    return inside


def _running(sheet: Drawing, positions: Sequence[Joints], looks: AxleLooks, views: LinkViews, radius: float) -> None:
    """Tyres where they stand and, dashed, at both ends of the travel, and the frame over them; the right one goes over its axle later."""
    scale, still = views.scale, positions[0]
    wheels = [name for name in ("wheel_centre", "wheel_centre right") if name in still]
    for joints in positions[1:]:
        parts.ghost_tyres(sheet, tuple(views.behind(joints[name]) for name in wheels), views.side(joints["wheel_centre"]), radius * scale, looks.width * scale)  # fmt: skip
    parts.tyre_behind(sheet, views.behind(still["wheel_centre"]), radius * scale, looks.width * scale, views.ground, cut=True)  # fmt: skip
    parts.tyre_side(sheet, views.side(still["wheel_centre"]), radius * scale, views.ground)
    if looks.frame is not None:
        wide, under = looks.frame
        ends = (wide / 2, -wide / 2) if len(wheels) > 1 else (wide / 2,)
        parts.rails(sheet, tuple(views.behind(np.array([0.0, y, under]))[0] for y in ends), views.ground - scale * under, scale)  # fmt: skip


def _solid(sheet: Drawing, still: Joints, pairs: Sequence[tuple[str, str]], looks: AxleLooks, view: View, scale: float) -> None:  # fmt: skip
    """Links as tubes with eyes, the beam that joins the wheels, shafts and drag links thin, springs and dampers over them."""
    for begin, end in sorted(pairs, key=lambda pair: BEAM not in pair):
        beam = BEAM in (begin, end) and "wheel_centre" in (begin, end)
        half = (parts.BEAM if beam else parts.LINK) * scale
        parts.tube(sheet, view(still[begin]), view(still[end]), half, eyes=0.0 if beam else parts.EYE * scale)
        if beam and looks.driven:
            middle = view((still[begin] + still[end]) / 2)
            sheet.dot(*middle, parts.BALL * scale, "f-paper")
            sheet.dot(*middle, parts.BALL * scale, "ink")
    for part, ink in sorted(
        PARTS, key=lambda one: one[0] == "spring"
    ):  # a coil stands over the damper it is wound round
        for side in ("", " right"):
            if f"{part} foot{side}" not in still:
                continue
            foot, top = view(still[f"{part} foot{side}"]), view(still[f"{part} top{side}"])
            if part == "spring":
                parts.coil(sheet, foot, top, looks.coil * scale, looks.ink)
            elif part == "damper":
                parts.damper(sheet, foot, top, scale)
            else:
                sheet.path([foot, top], ink)
        if f"{part} rod" in still:
            rocker = [view(still[f"{part} {end}"]) for end in ("rod", "rocker", "pivot", "foot")]
            for a, b in pairwise(rocker):
                parts.tube(sheet, a, b, 0.6 * parts.LINK * scale, eyes=0.7 * parts.EYE * scale)


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
    rows = [("dots", "links at full bump and full droop"), ("dash", "the wheels there; towards an instant centre")]
    rows += [(ink, part) for part, ink in PARTS if f"{part} foot" in still and part not in ("spring", "damper")]
    for i, (ink, text) in enumerate(rows):
        sheet.line(x, y + 18 * i, x + 26, y + 18 * i, ink)
        sheet.word(x + 34, y + 18 * i + 4, text, "soft")
