"""Where the fields of a design file are measured, as sketches with their names: to no scale, for those that a word alone would leave open."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import cos, radians, sin

from springwright.drawing.axle_parts import coil, tube, tyre_behind
from springwright.drawing.kinds import kind_drawing
from springwright.drawing.marks import arrow, centre_mark, dimension, wheel
from springwright.drawing.svg import Drawing

WIDE, TALL, GROUND = 620.0, 250.0, 212.0  # px
INK = "series-2"


def place_drawing(name: str) -> Drawing:
    """A sketch by its name, see `SKETCHES`."""
    title, sketch = SKETCHES[name]
    sheet = Drawing(WIDE, TALL, title)
    sketch(sheet)
    return sheet


def _upright(sheet: Drawing, x: float, low: float, high: float, word: str) -> None:
    """A height and its name."""
    sheet.line(x, low, x, high, "hair")
    for y in (low, high):
        sheet.line(x - 4, y, x + 4, y, "hair")
    sheet.word(x + 7, (low + high) / 2 + 4, word, "halo")


def _along(sheet: Drawing, begin: float, end: float, y: float, word: str) -> None:
    """A length along and its name."""
    dimension(sheet, begin, end, y)
    sheet.word((begin + end) / 2, y - 5, word, "middle halo")


def _vehicle(sheet: Drawing) -> None:
    """From the left side, ahead to the left; and from behind."""
    sheet.line(20, GROUND, 540, GROUND)
    front, rear = 110.0, 290.0
    for x in (front, rear):
        wheel(sheet, x, GROUND - 34, 34, GROUND)
    sheet.path([(52, 160), (60, 118), (120, 112), (140, 66), (216, 66), (224, 124), (340, 124), (340, 160)], "ink", closed=True)  # fmt: skip
    centre_mark(sheet, 196, 104)
    sheet.line(front, 40, front, GROUND + 12, "dots")
    _along(sheet, front, 196, 52, "behind_front_axle")
    sheet.line(196, 52, 196, 104, "dots")
    _upright(sheet, 166, GROUND, 104, "above_ground")
    _along(sheet, front, rear, GROUND + 22, "axles.behind_front_axle")
    arrow(sheet, 28, 96, 20)
    sheet.word(10, 90, "ahead is left", "soft")
    for x in (428.0, 512.0):
        tyre_behind(sheet, (x, GROUND - 34), 34, 22, GROUND, cut=False)
    sheet.box(436, 66, 68, 96, "ink")
    centre_mark(sheet, 452, 104)
    sheet.line(470, 40, 470, GROUND + 12, "dots")
    _along(sheet, 452, 470, 52, "left_of_centre")
    _along(sheet, 428, 512, GROUND + 22, "track")
    _upright(sheet, 524, GROUND, 162, "ride_height")
    _along(sheet, 436, 504, 178, "frame_width")


def _lever(sheet: Drawing) -> None:
    """An arm, its spring leaning, from behind."""
    sheet.line(20, GROUND, 540, GROUND)
    pivot, hub = (120.0, 150.0), (400.0, 172.0)
    tyre_behind(sheet, (430, GROUND - 40), 40, 44, GROUND, cut=False)
    tube(sheet, pivot, hub, 4.0, eyes=7.0)
    share = 0.58
    foot = (pivot[0] + share * (hub[0] - pivot[0]), pivot[1] + share * (hub[1] - pivot[1]))
    top = (foot[0] - 92 * sin(radians(14)), foot[1] - 92 * cos(radians(14)))
    coil(sheet, foot, top, 26, INK)
    sheet.line(foot[0], foot[1], foot[0], 40, "dots")
    sheet.word(foot[0] - 8, 52, "lean", "halo end")
    sheet.line(pivot[0], pivot[1], pivot[0], GROUND + 30, "dots")
    sheet.line(foot[0], foot[1], foot[0], GROUND + 14, "dots")
    sheet.line(hub[0], hub[1], hub[0], GROUND + 30, "dots")
    _along(sheet, pivot[0], foot[0], GROUND + 10, "spring_at")
    _along(sheet, pivot[0], hub[0], GROUND + 28, "arm")
    sheet.line(pivot[0], pivot[1], 250, pivot[1], "dots")
    sheet.word(196, 144, "arm_slope", "halo")
    sheet.word(
        20,
        20,
        "From behind: lean is from the path of its foot, positive with its top towards the pivot; arm_slope with the wheel end higher.",
        "soft",
    )
    _upright(sheet, foot[0] + 60, foot[1] - 4, top[1], "installed_length")


def _beam(sheet: Drawing) -> None:
    """A beam with its springs leaning inward, from behind."""
    sheet.line(20, GROUND, 540, GROUND)
    hubs = 120.0, 440.0
    tube(sheet, (hubs[0], 164), (hubs[1], 164), 7.0)
    for x in hubs:
        tyre_behind(sheet, (x, GROUND - 48), 48, 42, GROUND, cut=False)
    for way, foot in ((1, 196.0), (-1, 364.0)):
        coil(sheet, (foot, 156), (foot + 16 * way, 66), 26, INK)
        sheet.line(foot, 156, foot, 50, "dots")
    sheet.word(150, 48, "lean_in", "halo")
    sheet.line(176, 60, 244, 60, "bold")
    sheet.line(316, 60, 384, 60, "bold")
    _along(sheet, 196, 364, 142, "base")
    _along(sheet, hubs[0], hubs[1], GROUND + 22, "track")
    _upright(sheet, 470, GROUND, 60, "ride_height")
    _upright(sheet, 280, GROUND, 157, "foot_height")


def _wishbones(sheet: Drawing) -> None:
    """The points of a linkage and the axes they are written in."""
    sheet.place(kind_drawing("held", "wishbones", ""), 30, 120)
    sheet.word(
        20,
        24,
        "Every point is (x, y, z) of the left side: x ahead of the axle, y out from the centreline, z above ground,",
        "",
    )
    sheet.word(20, 42, "in the design position. The right side is its mirror image unless `right` says otherwise.", "")
    words = ("lower_front, lower_rear: where the lower arm turns on the frame", "lower_ball: where it holds the wheel's carrier",
             "upper_front, upper_rear, upper_ball: the same of the upper arm", "toe_inner, toe_outer: ends of the steering or toe link",
             "wheel_centre: middle of the wheel", "foot, top: ends of spring or damper")  # fmt: skip
    for k, word in enumerate(words):
        sheet.word(168, 88 + 22 * k, word)
    x, y = 572.0, 214.0
    for dx, dy, word in ((-40, 0, "y out"), (0, -40, "z up"), (-22, 16, "x ahead")):
        sheet.line(x, y, x + dx, y + dy, "ink")
        sheet.word(x + 1.3 * dx, y + 1.3 * dy + 4, word, "soft middle" if dx == 0 else "soft end")


SKETCHES: Mapping[str, tuple[str, Callable[[Drawing], None]]] = {
    "places": ("Where masses, axles and seats are measured", _vehicle),
    "lever": ("A spring or damper on a lever", _lever),
    "beam": ("A spring or damper on a beam", _beam),
    "points": ("Pivot points and their axes", _wishbones),
}
