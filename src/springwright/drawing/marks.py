"""Small marks of a vehicle drawing: springs at their length, wheels on the ground, travel bands, centres of gravity, dimension lines."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import acos, cos, hypot, pi, sin

import numpy as np

from springwright.drawing.svg import Drawing
from springwright.scenes.elevation import Spring

Spot = tuple[float, float]  # px
Place = tuple[float, float, float]  # m
View = Callable[[Place], Spot]


def spring_mark(sheet: Drawing, spring: Spring, view: View, scale: float, ink: str) -> None:
    """A spring in a view: where its line is seen end on, its own section."""
    spots = [view(place) for place in spring.line]
    wide = scale * spring.diameter
    seen = max(hypot(x - spots[0][0], y - spots[0][1]) for x, y in spots)
    if spring.word == "torsion bar":
        if seen < 3:
            sheet.dot(*spots[0], max(wide / 2, 2.5), f"{ink} thick f-paper")
        else:
            sheet.path(_along(spots[0], spots[-1], max(wide, 3.0), lambda _: 1.0), f"{ink} f-paper", closed=True)
    elif spring.word == "leaf":
        _leaf(sheet, spots, wide, ink)
    elif spring.word == "coil":
        sheet.path(zigzag(spots[0], spots[-1], wide, round(min(max(spring.turns, 3), 9))), f"{ink} thick")
    elif spring.word == "air":
        sheet.path(_along(spots[0], spots[-1], wide, lambda t: 0.84 + 0.16 * abs(sin(2 * pi * t))), f"{ink} thick f-paper", closed=True)  # fmt: skip
    elif spring.word == "strut":
        sheet.path(spots, f"{ink} thick")
        sheet.path(
            _along(spots[0], _between(spots[0], spots[-1], 0.62), wide, lambda _: 1.0),
            f"{ink} thick f-paper",
            closed=True,
        )
    else:
        sheet.path(_along(spots[0], spots[-1], wide, lambda t: 1 + 0.12 * sin(pi * t)), f"{ink} thick f-paper", closed=True)  # fmt: skip
        sheet.path([_between(spots[0], spots[-1], 0.2), _between(spots[0], spots[-1], 0.8)], ink)


def _between(begin: Spot, end: Spot, share: float) -> Spot:
    return begin[0] + share * (end[0] - begin[0]), begin[1] + share * (end[1] - begin[1])


def _across(begin: Spot, end: Spot) -> Spot:
    """Unit vector square to a line, to its right."""
    long = hypot(end[0] - begin[0], end[1] - begin[1]) or 1.0
    return -(end[1] - begin[1]) / long, (end[0] - begin[0]) / long


def zigzag(foot: Spot, top: Spot, wide: float, turns: int) -> list[Spot]:
    """A coil as it is sketched: its end turns flat, the others to and fro between them."""
    u, v = _across(foot, top)
    at = [(0.0, 1), *((i / turns, -1 if i % 2 == 0 else 1) for i in range(turns + 1)), (1.0, 1 if turns % 2 == 0 else -1)]  # fmt: skip
    fine = []
    for share, side in at:
        x, y = _between(foot, top, share)
        fine.append((x + side * u * wide / 2, y + side * v * wide / 2))
    return fine


def _along(foot: Spot, top: Spot, wide: float, shape: Callable[[float], float]) -> list[Spot]:
    """An outline about a line, as wide as `shape` says at each share of its length."""
    u, v = _across(foot, top)
    shares = np.linspace(0.0, 1.0, 25).tolist()
    found = []
    for side, way in ((1, shares), (-1, shares[::-1])):
        for share in way:
            x, y = _between(foot, top, share)
            half = side * wide / 2 * shape(share)
            found.append((x + half * u, y + half * v))
    return found


def _leaf(sheet: Drawing, spots: Sequence[Spot], wide: float, ink: str) -> None:
    """The main leaf through its eyes and its seat, a shorter one under it, the shackle; from behind, the pack's section."""
    front, seat, rear = spots[:3]
    if abs(rear[0] - front[0]) < 6:
        sheet.box(seat[0] - wide / 2, seat[1] - 4, wide, 8, f"{ink} thick f-paper")
        return
    bent = np.polyfit([one[0] for one in (front, seat, rear)], [one[1] for one in (front, seat, rear)], 2)
    for share, down in ((1.0, 0.0), (0.62, 3.0)):
        x = np.linspace(seat[0] + share * (front[0] - seat[0]), seat[0] + share * (rear[0] - seat[0]), 25)
        sheet.path(list(zip(x.tolist(), (np.polyval(bent, x) + down).tolist(), strict=True)), f"{ink} thick")
    if len(spots) > 3:
        sheet.path([rear, spots[3]], "ink")
        sheet.dot(*spots[3], 2.5, "ink f-paper")
    for eye in (front, rear):
        sheet.dot(*eye, 3, f"{ink} f-paper")


def wheel(sheet: Drawing, x: float, y: float, radius: float, ground: float) -> None:
    """A wheel in side view [px], its tyre flat where it stands on the ground."""
    half = acos(min(max((ground - y) / radius, -1.0), 1.0))
    turns = np.linspace(half, 2 * pi - half, 73)
    sheet.path([(x + radius * sin(turn), y + radius * cos(turn)) for turn in turns], "ink f-shut", closed=True)
    sheet.dot(x, y, 0.56 * radius, "hair f-paper")
    sheet.dot(x, y, 0.16 * radius, "hair")


def band(sheet: Drawing, x: float, y: float, *, bump: float, stop: float, droop: float, ghost: float | None, ink: str) -> None:  # fmt: skip
    """A travel band about where the wheel stands [px]: bump filled, the stop's own compression open above it, droop open below, another state dashed."""
    half = 3.5
    sheet.box(x - half, y - bump - stop, 2 * half, stop, "hair f-paper")
    sheet.box(x - half, y - bump, 2 * half, bump, f"f-{ink}")
    sheet.box(x - half, y, 2 * half, droop, f"{ink} f-paper")
    if ghost is not None:
        sheet.line(x - 7, y - ghost, x + 7, y - ghost, "dots")
    sheet.line(x - 7, y, x + 7, y, "bold")


def centre_mark(sheet: Drawing, x: float, y: float, radius: float = 7.0) -> None:
    """The quartered disc of a centre of gravity."""
    sheet.dot(x, y, radius, "ink f-paper")
    for begin in (0.0, pi):
        turns = np.linspace(begin, begin + pi / 2, 9)
        sheet.path([(x, y), *((x + radius * sin(t), y - radius * cos(t)) for t in turns)], "f-ink", closed=True)


def ghost_centre(sheet: Drawing, x: float, y: float, radius: float = 6.0) -> None:
    """The dashed circle of another state's centre of gravity."""
    sheet.dot(x, y, radius, "dots")
    sheet.line(x - radius, y, x + radius, y, "hair")
    sheet.line(x, y - radius, x, y + radius, "hair")


def arrow(sheet: Drawing, x: float, y: float, long: float = 16.0) -> None:
    """An arrow up to a place from below."""
    sheet.line(x, y + long, x, y, "ink")
    sheet.path([(x - 3.5, y + 5), (x, y), (x + 3.5, y + 5)], "ink")


def dimension(sheet: Drawing, x1: float, x2: float, y: float, gap: tuple[float, float] | None = None) -> None:
    """A dimension line with its end ticks, broken where its figure stands."""
    left, right = min(x1, x2), max(x1, x2)
    for x in (left, right):
        sheet.line(x, y - 4, x, y + 4, "hair")
    if gap is None:
        sheet.line(left, y, right, y, "hair")
        return
    if gap[0] > left:
        sheet.line(left, y, gap[0], y, "hair")
    if gap[1] < right:
        sheet.line(gap[1], y, right, y, "hair")
