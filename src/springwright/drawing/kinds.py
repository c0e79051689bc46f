"""Kinds of what an axle is made of, as small drawings to pick from: how its wheels go together, what holds, springs, damps and stops them.

They show how a kind works, to no scale; one size for all, so that a row of them compares.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from springwright.drawing.axle_parts import coil, damper, tube, tyre_behind
from springwright.drawing.marks import zigzag
from springwright.drawing.svg import Drawing

WIDE, TALL = 112.0, 66.0  # px
GROUND, RADIUS, TYRE = 62.0, 15.0, 11.0  # px
LEFT, RIGHT, HUB = 14.0, WIDE - 14.0, GROUND - RADIUS  # px, of the tyres' middles and their centres
INK = "series-2"  # what springs are drawn with
EYE = 3.0  # px

Spot = tuple[float, float]


def kind_drawing(row: str, kind: str, title: str) -> Drawing:
    """The drawing of a kind in a row of its likes; of one that has none, an empty sheet with a broken line."""
    sheet = Drawing(WIDE, TALL, title)
    sketch = SKETCHES.get(row, {}).get(kind)
    if sketch is None:
        sheet.line(20, TALL / 2, WIDE - 20, TALL / 2, "dash")
    else:
        sketch(sheet)
    return sheet


def _tyres(sheet: Drawing, *middles: float) -> None:
    for x in middles:
        tyre_behind(sheet, (x, HUB), RADIUS, TYRE, GROUND, cut=False)


def _beam(sheet: Drawing) -> None:
    tube(sheet, (LEFT, HUB), (RIGHT, HUB), 3.0)
    sheet.dot(WIDE / 2, HUB, 8, "f-paper")
    sheet.dot(WIDE / 2, HUB, 8, "ink")
    _tyres(sheet, LEFT, RIGHT)


def _each(sheet: Drawing) -> None:
    sheet.box(WIDE / 2 - 15, HUB - 16, 30, 20, "ink")
    for hub, way in ((LEFT, 1), (RIGHT, -1)):
        for up in (-8.0, 3.0):
            sheet.line(hub + 7 * way, HUB + up, WIDE / 2 - 15 * way, HUB + up * 1.1, "ink")
    _tyres(sheet, LEFT, RIGHT)


def _one(sheet: Drawing) -> None:
    for way in (-1, 1):
        sheet.line(WIDE / 2 + 11 * way, HUB, WIDE / 2 + 11 * way, 12, "ink")
    sheet.line(WIDE / 2 - 11, HUB, WIDE / 2 + 11, HUB, "bold")
    _tyres(sheet, WIDE / 2)


def _corner(sheet: Drawing, *, frame: float = 78.0) -> None:
    """The left wheel from behind and the frame it is held on."""
    _tyres(sheet, LEFT + 8)
    sheet.line(frame, 4, frame, GROUND - 8, "bold")


def _link(sheet: Drawing, begin: Spot, end: Spot) -> None:
    tube(sheet, begin, end, 1.6, eyes=EYE)


def _double_wishbones(sheet: Drawing) -> None:
    _corner(sheet)
    sheet.line(LEFT + 17, HUB - 15, LEFT + 17, HUB + 8, "ink")
    _link(sheet, (LEFT + 18, HUB - 16), (78, HUB - 20))
    _link(sheet, (LEFT + 18, HUB + 8), (78, HUB + 3))
    coil(sheet, (52, HUB + 4), (62, 8), 13, INK)


def _strut(sheet: Drawing) -> None:
    _corner(sheet)
    _link(sheet, (LEFT + 18, HUB + 8), (78, HUB + 3))
    damper(sheet, (LEFT + 18, HUB + 6), (52, 5), 100)
    coil(sheet, (40, 33), (51, 7), 13, INK)


def _swing_arm(sheet: Drawing) -> None:
    """Seen from the side: the wheel trails its pivot."""
    sheet.dot(76, HUB, RADIUS, "ink f-shut")
    sheet.line(8, 16, 104, 16, "bold")
    sheet.line(26, 16, 26, HUB - 4, "ink")
    _link(sheet, (26, HUB - 4), (76, HUB))
    coil(sheet, (54, HUB - 4), (52, 17), 13, INK)


def _axle_links(sheet: Drawing) -> None:
    """Seen from above: arms along, a rod across."""
    sheet.line(60, 8, 60, 58, "bold")
    for y in (8, 58):
        sheet.box(48, y - 5, 24, 10, "ink f-shut")
    for y in (18, 48):
        _link(sheet, (16, y + (4 if y < 30 else -4)), (60, y))
    _link(sheet, (74, 16), (70, 50))
    sheet.line(60, 48, 70, 50, "ink")


def _leaf_held(sheet: Drawing) -> None:
    """What no points tell: wheel, frame and a question."""
    _corner(sheet)
    sheet.line(LEFT + 18, HUB, 78, HUB - 4, "dash")


def _coil(sheet: Drawing) -> None:
    coil(sheet, (WIDE / 2, 60), (WIDE / 2, 6), 30, INK)


def _existing(sheet: Drawing) -> None:
    coil(sheet, (WIDE / 2 - 14, 60), (WIDE / 2 - 14, 6), 26, INK)
    sheet.line(WIDE / 2 + 12, 6, WIDE / 2 + 12, 60, "hair")
    for y in (6, 60):
        sheet.line(WIDE / 2 + 7, y, WIDE / 2 + 17, y, "hair")


def _part(sheet: Drawing) -> None:
    for k, wide in enumerate((16, 20, 24)):
        coil(sheet, (24 + 32 * k, 52), (24 + 32 * k, 18), wide, INK)
    sheet.line(8, 58, WIDE - 8, 58, "hair")


def _stack(sheet: Drawing) -> None:
    coil(sheet, (WIDE / 2, 60), (WIDE / 2, 30), 30, INK)
    sheet.line(WIDE / 2 - 19, 28, WIDE / 2 + 19, 28, "bold")
    sheet.path(zigzag((WIDE / 2, 26), (WIDE / 2, 6), 30, 5), f"{INK} thick")


def _progressive(sheet: Drawing) -> None:
    ups = np.cumsum([3.0, 3.4, 4.4, 6.0, 7.6, 9.0, 10.0, 10.0])
    spots = [(WIDE / 2 + (15 if k % 2 else -15), 60 - up) for k, up in enumerate(ups)]
    sheet.path([(WIDE / 2, 60), *spots, (WIDE / 2, 5)], f"{INK} thick")


def _leaf(sheet: Drawing) -> None:
    for k, half in enumerate((46, 34, 22)):
        along = np.linspace(-half, half, 17)
        sheet.path([(WIDE / 2 + x, 44 + 6 * k - 20 * (x / 46) ** 2) for x in along], f"{INK} thick")
    for x in (-46, 46):
        sheet.dot(WIDE / 2 + x, 24, EYE, "ink")


def _torsion_bar(sheet: Drawing) -> None:
    sheet.path([(12, 30), (84, 30)], INK)
    tube(sheet, (14, 30), (82, 30), 3.5, ink=INK)
    tube(sheet, (84, 30), (98, 54), 2.5, eyes=EYE)
    sheet.box(8, 22, 7, 16, "f-ink")


def _air(sheet: Drawing) -> None:
    middle, half = WIDE / 2, 22
    for top in (12, 35):
        corners = [(middle - half, top + 20), (middle - half, top), (middle + half, top), (middle + half, top + 20)]
        sheet.rounded(corners, f"{INK} thick", 9)
    for y in (8, 58):
        sheet.line(middle - 14, y, middle + 14, y, "bold")


def _gas_strut(sheet: Drawing) -> None:
    damper(sheet, (WIDE / 2 - 8, 60), (WIDE / 2 - 8, 6), 130)
    sheet.dot(WIDE / 2 + 20, 34, 9, INK)
    sheet.line(WIDE / 2 - 2, 42, WIDE / 2 + 13, 38, "ink")


def _rubber(sheet: Drawing) -> None:
    for y in (10, 26, 42):
        corners = [(WIDE / 2 - 20, y + 13), (WIDE / 2 - 20, y), (WIDE / 2 + 20, y), (WIDE / 2 + 20, y + 13)]
        sheet.rounded(corners, f"{INK} thick", 5)
        sheet.line(WIDE / 2 - 24, y - 1.5, WIDE / 2 + 24, y - 1.5, "ink")


def _on(place: Callable[[Drawing, Spot, Spot], None]) -> Mapping[str, Callable[[Drawing], None]]:
    """How a spring or damper stands in each mount, drawn by `place` between its foot and its top."""

    def lever(sheet: Drawing) -> None:
        _corner(sheet, frame=98)
        _link(sheet, (LEFT + 18, HUB + 2), (96, HUB))
        place(sheet, (62, HUB), (66, 6))

    def beam(sheet: Drawing) -> None:
        tube(sheet, (LEFT, HUB), (RIGHT, HUB), 3.0)
        _tyres(sheet, LEFT, RIGHT)
        for way in (-1, 1):
            place(sheet, (WIDE / 2 + 24 * way, HUB - 3), (WIDE / 2 + 20 * way, 6))

    def links(sheet: Drawing) -> None:
        _corner(sheet, frame=98)
        _link(sheet, (LEFT + 18, HUB - 15), (96, HUB - 19))
        _link(sheet, (LEFT + 18, HUB + 8), (96, HUB + 4))
        place(sheet, (66, HUB + 5), (78, 5))

    def strut(sheet: Drawing) -> None:
        _corner(sheet, frame=98)
        _link(sheet, (LEFT + 18, HUB + 8), (96, HUB + 3))
        place(sheet, (LEFT + 19, HUB + 6), (52, 5))

    def trailing(sheet: Drawing) -> None:
        sheet.dot(82, HUB, RADIUS, "ink f-shut")
        _link(sheet, (22, HUB - 6), (82, HUB))
        place(sheet, (54, HUB - 4), (50, 6))

    return {"lever": lever, "beam": beam, "wishbones": links, "links": links, "axle links": beam, "strut": strut, "swing arm": trailing, "twist": _torsion_bar, "table": _measured, "ratio": _ratio}  # fmt: skip


def _measured(sheet: Drawing) -> None:
    spots = [(16 + 16 * k, 12 + 44 * (k / 5) ** 0.8) for k in range(6)]
    sheet.path([(10, 6), (10, 60), (104, 60)], "hair")
    sheet.path(spots, "ink")
    for spot in spots:
        sheet.dot(*spot, 2.5, "f-ink")


def _ratio(sheet: Drawing) -> None:
    sheet.path([(14, 60), (22, 46), (30, 60)], "ink", closed=True)
    tube(sheet, (22, 46), (100, 30), 1.8)
    coil(sheet, (78, 34), (78, 6), 12, INK)
    sheet.line(100, 28, 100, 10, "dash")


def _spring_in(sheet: Drawing, foot: Spot, top: Spot) -> None:
    coil(sheet, foot, top, 13, INK)


def _damper_in(sheet: Drawing, foot: Spot, top: Spot) -> None:
    damper(sheet, foot, top, 100)


def _bar(sheet: Drawing) -> None:
    for width, ink in ((4.5, "wire"), (2.5, "paper-line")):
        sheet.path([(14, 56), (22, 22), (90, 22), (98, 56)], ink, width=width)
    for x in (40, 72):
        sheet.box(x - 4, 17, 8, 10, "f-ink")


def _stop(sheet: Drawing) -> None:
    sheet.line(24, 12, 88, 12, "bold")
    sheet.path([(44, 13), (44, 26), (50, 38), (56, 41), (62, 38), (68, 26), (68, 13)], "ink f-shut", closed=True)
    tube(sheet, (20, 56), (92, 56), 3.0)


SKETCHES: Mapping[str, Mapping[str, Callable[[Drawing], None]]] = {
    "wheels": {"beam": _beam, "independent": _each, "one": _one},
    "held": {"": _leaf_held, "wishbones": _double_wishbones, "strut": _strut, "swing_arm": _swing_arm, "axle_links": _axle_links},
    "own": {
        "existing": _existing, "coil": _coil, "part": _part, "stack": _stack, "progressive": _progressive, "leaf": _leaf, "torsion_bar": _torsion_bar, "air": _air,
        "strut": _gas_strut, "rubber": _rubber,
    },
    "spring": _on(_spring_in),
    "damper": _on(_damper_in),
    "bar": {"bar": _bar},
    "stop": {"bump_stop": _stop},
}  # fmt: skip
