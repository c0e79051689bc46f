"""The vehicle to scale: from the side and from behind, as its design file places it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from springwright.drawing.svg import Drawing
from springwright.units import show

Place = tuple[float, float, float]
Projection = Callable[[float, float], tuple[float, float]]
LONGEST = 24  # letters of a name in the key
MARGIN, GAP, WIDEST, BAR = 24.0, 44.0, 780.0, 0.5  # px; px; px; m of the length drawn to measure by


@dataclass(frozen=True)
class AxleOutline:
    """One axle: x, track, tyre radius and width, where its frame stands over the ground and how wide, and whether a beam joins its wheels [m]."""

    name: str
    x: float
    track: float
    radius: float
    width: float
    frame: float | None
    frame_width: float | None
    beam: bool


@dataclass(frozen=True)
class Outline:
    """What is drawn [m]: x forward, y left, z up from the ground under the front axle; each `cg` has the name of its load state."""

    name: str
    axles: tuple[AxleOutline, ...]
    belly: tuple[tuple[float, float], ...]
    cgs: tuple[tuple[str, Place], ...]
    seats: tuple[tuple[str, Place], ...]
    items: tuple[tuple[str, Place], ...]
    lamp: Place | None


def vehicle_drawing(outline: Outline) -> Drawing:
    """Side view, front to the left, and the view from behind, at one scale."""
    places = [place for _, place in (*outline.cgs, *outline.seats, *outline.items)]
    ahead = (
        max(
            [axle.x + axle.radius for axle in outline.axles] + [x for x, _ in outline.belly] + [x for x, _, _ in places]
        )
        + 0.15
    )
    behind = (
        min(
            [axle.x - axle.radius for axle in outline.axles] + [x for x, _ in outline.belly] + [x for x, _, _ in places]
        )
        - 0.15
    )
    top = max([2 * axle.radius for axle in outline.axles] + [z for _, _, z in places]) + 0.35
    half = max([(axle.track + axle.width) / 2 for axle in outline.axles] + [abs(y) for _, y, _ in places]) + 0.15
    scale = (WIDEST - 2 * MARGIN - GAP) / (ahead - behind + 2 * half)
    sheet = Drawing(WIDEST, MARGIN + scale * top + 76 + 16 * (len(places) // 5), f"{outline.name}, to scale")
    ground = MARGIN + scale * top
    middle = MARGIN + scale * (ahead - behind) + GAP + scale * half

    def side(x: float, z: float) -> tuple[float, float]:
        return MARGIN + scale * (ahead - x), ground - scale * z

    def end(y: float, z: float) -> tuple[float, float]:
        return middle - scale * y, ground - scale * z

    sheet.line(MARGIN, ground, side(behind, 0)[0], ground, "ink")
    sheet.line(end(half, 0)[0], ground, end(-half, 0)[0], ground, "ink")
    _side(sheet, outline, side, scale)
    _end(sheet, outline, end, scale)
    foot = ground + 46
    _marked(sheet, outline, side, end, foot + 26)
    sheet.line(MARGIN, foot, MARGIN + scale * BAR, foot, "bold")
    at = MARGIN + scale * BAR + 8
    sheet.word(at, foot + 4, show(BAR, "length"), "soft")
    at += 70
    for word, ink, wide in (
        ("centre of gravity", "f-pencil", 128),
        ("seat", "f-ink", 52),
        ("load", "hair", 52),
        ("lamp", "ink f-paper", 58),
    ):
        if ink == "hair":
            _cross(sheet, at, foot)
        else:
            sheet.dot(at, foot, 3.5, ink)
        sheet.word(at + 9, foot + 4, word, "soft")
        at += wide
    for word, ink, wide in (("belly", "dash", 80), ("underside of frame", "hair", 160)):
        sheet.line(at, foot, at + 22, foot, ink)
        sheet.word(at + 29, foot + 4, word, "soft")
        at += wide
    return sheet  # fmt: skip


def _side(sheet: Drawing, outline: Outline, at: Projection, scale: float) -> None:
    for axle in outline.axles:
        x, y = at(axle.x, axle.radius)
        sheet.dot(x, y, scale * axle.radius, "ink f-paper")
        sheet.dot(x, y, 3, "f-ink")
        sheet.word(
            x,
            at(0, 0)[1] + 16,
            axle.name if len(axle.name) < LONGEST else axle.name[: LONGEST - 1] + "…",
            "soft middle",
        )
    framed = [(axle.x, axle.frame) for axle in outline.axles if axle.frame is not None]
    if len(framed) > 1:
        sheet.path([at(x, z) for x, z in framed], "hair")
    if outline.belly:
        sheet.path([at(x, z) for x, z in outline.belly], "dash")
    front, rear = outline.axles[0], outline.axles[-1]
    under = at(0, 0)[1] + 32
    (x1, _), (x2, _) = at(front.x, 0), at(rear.x, 0)
    sheet.line(x1, under, x2, under, "hair")
    sheet.word((x1 + x2) / 2, under - 4, show(front.x - rear.x, "length"), "soft middle")


def _end(sheet: Drawing, outline: Outline, at: Projection, scale: float) -> None:
    axle = outline.axles[-1]
    for sign in (1, -1) if axle.track else (0,):
        y = sign * axle.track / 2
        x, top = at(y + axle.width / 2, 2 * axle.radius)
        sheet.box(x, top, scale * axle.width, 2 * scale * axle.radius, "ink f-paper")
    if axle.beam:
        inner = axle.track / 2 - axle.width / 2
        sheet.path([at(inner, axle.radius), at(-inner, axle.radius)], "bold")
    if axle.frame is not None and axle.frame_width:
        sheet.path([at(axle.frame_width / 2, axle.frame), at(-axle.frame_width / 2, axle.frame)], "hair")
    if axle.track:
        under = at(0, 0)[1] + 32
        (x1, _), (x2, _) = at(axle.track / 2, 0), at(-axle.track / 2, 0)
        sheet.line(x1, under, x2, under, "hair")
        sheet.word((x1 + x2) / 2, under - 4, show(axle.track, "length"), "soft middle")


def _marked(sheet: Drawing, outline: Outline, side: Projection, end: Projection, key: float) -> None:
    """Centres of gravity, seats and loads, each place with a number whose name stands in the key below."""
    numbers: dict[tuple[float, float], int] = {}
    names: dict[int, list[str]] = {}
    for places, ink in ((outline.cgs, "f-pencil"), (outline.seats, "f-ink"), (outline.items, "")):
        for name, (x, y, z) in places:
            for spot in (side(x, z), end(y, z)):
                if ink:
                    sheet.dot(*spot, 3.5, ink)
                else:
                    _cross(sheet, *spot)
            where = (round(x, 2), round(z, 2))
            if where not in numbers:
                numbers[where] = len(numbers) + 1
                at, down = side(x, z)
                sheet.word(at + 6, down - 4, str(numbers[where]), "soft")
            names.setdefault(numbers[where], []).append(name)
    at, row = MARGIN, key
    for number, here in names.items():
        word = f"{number} {', '.join(one if len(one) < LONGEST else one[: LONGEST - 1] + '…' for one in here)}"
        if at + 6.2 * len(word) > WIDEST - MARGIN and at > MARGIN:
            at, row = MARGIN, row + 16
        sheet.word(at, row, word, "soft")
        at += 6.2 * len(word) + 22
    if outline.lamp is not None:
        x, y, z = outline.lamp
        sheet.dot(*side(x, z), 4, "ink f-paper")
        for spot in (end(y, z), end(-y, z)):
            sheet.dot(*spot, 4, "ink f-paper")


def _cross(sheet: Drawing, x: float, y: float) -> None:
    sheet.line(x - 4, y, x + 4, y, "hair")
    sheet.line(x, y - 4, x, y + 4, "hair")
