"""The parts of an axle as they are drawn from behind and from the side: tyres cut and whole, tubes with eyes, coils, dampers, frame rails."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, pi

import numpy as np

from springwright.drawing.marks import zigzag
from springwright.drawing.svg import Drawing

Spot = tuple[float, float]

LINK, EYE, BEAM, BALL = (
    0.014,
    0.022,
    0.042,
    0.15,
)  # m: half thickness of a link, radius of its eyes, of a beam, and of its drive: usual sizes
COIL, TURNS, BODY, BODY_SHARE = (
    0.13,
    7,
    0.028,
    0.55,
)  # m and turns of a coil, m and share of a damper's body, where not given
RIM, HUB, WALL = 0.55, 0.16, 0.2  # shares of the tyre's radius; of its width, the wall of one cut through
RAIL = (0.07, 0.10)  # m: width and height of a frame rail
FINE = 17


@dataclass(frozen=True)
class AxleLooks:
    """What of an axle is drawn though no joint says it [m]: width of its tyres, of its coils, its frame's width and underside; and its springs' ink."""

    width: float
    coil: float = COIL
    frame: tuple[float, float] | None = None
    driven: bool = False
    ink: str = "series-1"


def tube(sheet: Drawing, begin: Spot, end: Spot, half: float, *, eyes: float = 0.0, ink: str = "ink") -> None:
    """A round bar from place to place with its ends rounded, and an eye at either where it has one [px]."""
    long = hypot(end[0] - begin[0], end[1] - begin[1])
    if long < 0.5:
        sheet.dot(*begin, max(half, eyes), "f-paper")
        sheet.dot(*begin, max(half, eyes), ink)
        return
    along = np.arctan2(end[1] - begin[1], end[0] - begin[0])
    far = [(end[0] + half * np.cos(a), end[1] + half * np.sin(a)) for a in along + np.linspace(-pi / 2, pi / 2, FINE)]
    near = [(begin[0] + half * np.cos(a), begin[1] + half * np.sin(a)) for a in along + np.linspace(pi / 2, 1.5 * pi, FINE)]  # fmt: skip
    outline = [*far, *near]
    sheet.path(outline, "f-paper", closed=True)
    sheet.path(outline, ink, closed=True)
    if eyes:
        for spot in (begin, end):
            sheet.dot(*spot, eyes, "f-paper")
            sheet.dot(*spot, eyes, ink)
            sheet.dot(*spot, 0.4 * eyes, "hair")


def coil(sheet: Drawing, foot: Spot, top: Spot, wide: float, ink: str) -> None:
    """A coil spring between its seats; seen end on, its own ring [px]."""
    if hypot(top[0] - foot[0], top[1] - foot[1]) < 3:
        sheet.dot(*foot, wide / 2, "f-paper")
        sheet.dot(*foot, wide / 2, f"{ink} thick")
        return
    sheet.path(zigzag(foot, top, wide, TURNS), f"{ink} thick")


def damper(sheet: Drawing, foot: Spot, top: Spot, scale: float) -> None:
    """A damper: its body from the foot, its rod to the top, an eye at either [px, px/m]."""
    middle = foot[0] + BODY_SHARE * (top[0] - foot[0]), foot[1] + BODY_SHARE * (top[1] - foot[1])
    sheet.line(*middle, *top, "bold")
    tube(sheet, foot, middle, BODY * scale)
    for spot in (foot, top):
        sheet.dot(*spot, EYE * scale, "f-paper")
        sheet.dot(*spot, EYE * scale, "ink")


def tyre_behind(sheet: Drawing, centre: Spot, radius: float, wide: float, ground: float, *, cut: bool) -> None:
    """A tyre from behind with its flat on the ground; cut through, its walls shaded and the rim within them [px]."""
    x, y = centre
    foot, top, half = min(y + radius, ground), y - radius, wide / 2
    corners = [(x - half, foot), (x - half, top), (x + half, top), (x + half, foot)]
    sheet.rounded(corners, "ink f-shut", 0.3 * wide)
    if not cut:
        for share in (0.75, 0.4, -0.4, -0.75):  # the lines of its tread
            sheet.line(x - half * 0.8, y + share * radius, x + half * 0.8, y + share * radius, "faint")
        return
    rim, wall = RIM * radius, WALL * wide
    for way, edge in ((-1, top), (1, foot)):
        inner = [(x - half + wall, y + way * rim), (x - half + wall, edge - way * wall * 1.4), (x + half - wall, edge - way * wall * 1.4), (x + half - wall, y + way * rim)]  # fmt: skip
        sheet.rounded(inner, "hair f-paper", 0.2 * wide)
    sheet.box(x - half + 0.5, y - rim, wide - 1, 2 * rim, "f-paper")
    sheet.path([(x - half, y - rim), (x + half, y - rim)], "ink")
    sheet.path([(x - half, y + rim), (x + half, y + rim)], "ink")
    sheet.path([(x, y - rim), (x, y + rim)], "bold")


def tyre_side(sheet: Drawing, centre: Spot, radius: float, ground: float) -> None:
    """A tyre from the side: tread flat on the ground, rim and hub [px]."""
    x, y = centre
    angles = np.linspace(0, 2 * pi, 73)
    outline = [(x + radius * np.cos(a), min(y + radius * np.sin(a), ground)) for a in angles]
    sheet.path(outline, "f-shut", closed=True)
    sheet.path(outline, "ink", closed=True)
    for share, ink in ((RIM, "f-paper"), (RIM, "ink"), (HUB, "hair")):
        sheet.dot(x, y, share * radius, ink)


def ghost_tyres(sheet: Drawing, behind: tuple[Spot, ...], side: Spot, radius: float, wide: float) -> None:
    """Where the wheels stand at an end of the travel, dashed [px]."""
    for x, y in behind:
        corners = [(x - wide / 2, y + radius), (x - wide / 2, y - radius), (x + wide / 2, y - radius), (x + wide / 2, y + radius)]  # fmt: skip
        sheet.rounded(corners, "dash", 0.3 * wide)
    sheet.dot(*side, radius, "dash")


def rails(sheet: Drawing, centres: tuple[float, ...], under: float, scale: float) -> None:
    """Frame rails cut through, as channels [px, px/m]."""
    wide, tall = RAIL[0] * scale, RAIL[1] * scale
    for k, x in enumerate(centres):
        way = 1 if k == 0 else -1  # the left rail's outer face is where the frame is widest
        corners = [(x + way * wide, under - tall), (x, under - tall), (x, under), (x + way * wide, under)]
        sheet.path(corners, "bold")
