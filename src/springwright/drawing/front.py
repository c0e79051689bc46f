"""The front drawn: two figures on the axes, down and left better for both, limits shut, the ends, the knee and today named."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from springwright.drawing.chart import nice
from springwright.drawing.svg import Drawing
from springwright.units import plain

Place = Callable[[float, float], tuple[float, float]]
WIDTH, HEIGHT, LEFT, TOP, RIGHT, FOOT = 780.0, 470.0, 62.0, 34.0, 24.0, 52.0
LEAST, MOST, CROWD = 2.5, 6.5, 90  # px, radii of beads; of more than so many smaller ones
WORD = 6.4  # px, about, of a letter
DOTS = 400  # bettered designs drawn at most


@dataclass(frozen=True)
class Scale:
    """An axis: what it is with its unit, its limit, and whether less of it is better; values come in display units."""

    title: str
    limit: float | None
    less: bool


@dataclass(frozen=True)
class Spot:
    """A design on both axes; `size` 0 to 1 is how far its third figure lies from the worst. On a page it has its `number`, what it is `told` as, and what pressing it `does`."""

    x: float
    y: float
    size: float = 0.5
    names: tuple[str, ...] = field(default=())
    number: int = 0
    told: str = ""
    does: Mapping[str, Any] | None = None
    picked: bool = False
    crosses: str = ""  # where it crosses the upright scales


def front_drawing(
    title: str,
    across: Scale,
    up: Scale,
    beads: Sequence[Spot],
    dots: Sequence[Spot],
    misses: Sequence[Spot],
    today: Spot | None,
    tangent: tuple[float, str] | None = None,
) -> Drawing:
    """Beads are the front, dots meet every limit but are bettered, hollow squares miss one; `tangent` is a slope at today's place and its words."""
    sheet = Drawing(WIDTH, HEIGHT, title)
    shown = [*beads, *([today] if today else [])]
    if not shown:
        sheet.word(LEFT, TOP + 20, "no design tried meets every limit", "soft")
        return sheet
    xs, ys = (_ends([getattr(one, name) for one in shown], scale) for name, scale in (("x", across), ("y", up)))

    def at(x: float, y: float) -> tuple[float, float]:
        a, b = (x - xs[0]) / (xs[1] - xs[0]), (y - ys[0]) / (ys[1] - ys[0])
        a, b = (a if across.less else 1 - a), (b if up.less else 1 - b)
        return LEFT + a * (WIDTH - LEFT - RIGHT), HEIGHT - FOOT - b * (HEIGHT - TOP - FOOT)

    _shut(sheet, across, up, xs, ys, at)
    _axes(sheet, across, up, xs, ys, at)
    _others(sheet, [at(one.x, one.y) for one in dots], [at(one.x, one.y) for one in misses])
    edge = sorted(at(one.x, one.y) for one in beads)
    low: list[tuple[float, float]] = []
    for x, y in edge:  # what nothing lies below and left of
        if not low or y > low[-1][1]:
            low.append((x, y))
    if len(low) > 1:
        sheet.path(low, "ink")
    least, most = (LEAST, MOST) if len(beads) <= CROWD else (1.6, 3.6)
    first = next((one for one in beads if one.picked), beads[0] if beads else None)
    for one in sorted(beads, key=lambda one: at(one.x, one.y)):
        x, y = at(one.x, one.y)
        with sheet.pressed(
            one.does, one.told, "bead", tab=0 if one is first else -1, design=one.number, crosses=one.crosses
        ):
            sheet.dot(x, y, least + (most - least) * max(min(one.size, 1.0), 0.0), "f-ink")
            if one.does:
                sheet.dot(x, y, 4.5, "hit")
        if one.picked:
            sheet.path([(x + 8 * np.cos(a), y + 8 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 25)], "pencil")
    taken: list[tuple[float, float, float, float]] = []
    for one in [one for one in beads if one.names]:
        _label(sheet, at(one.x, one.y), one.names, taken, ring=True)
    if today is not None:
        x, y = at(today.x, today.y)
        if tangent is not None:
            slope, words = tangent
            dx = (xs[1] - xs[0]) / 7
            a, b = at(today.x - dx, today.y - slope * dx), at(today.x + dx, today.y + slope * dx)
            sheet.line(*a, *b, "dash")
            sheet.word(b[0] + 4, min(max(b[1], TOP + 10), HEIGHT - FOOT - 6), words, "soft halo" + (" end" if b[0] > WIDTH - 180 else ""))  # fmt: skip
        sheet.path([(x - 4, y - 4), (x + 4, y - 4), (x + 4, y + 4), (x - 4, y + 4)], "bold", closed=True)
        _label(sheet, (x, y), today.names or ("today",), taken)
    return sheet


def _others(sheet: Drawing, dots: Sequence[tuple[float, float]], misses: Sequence[tuple[float, float]]) -> None:
    """What is bettered as dots, what misses a limit as hollow squares."""
    for x, y in dots[:: max(len(dots) // DOTS, 1)]:
        if _within(x, y):
            sheet.dot(x, y, 1.3, "f-ink")
    for x, y in misses:
        if _within(x, y):
            sheet.path([(x - 2, y - 2), (x + 2, y - 2), (x + 2, y + 2), (x - 2, y + 2)], "hair", closed=True)


def _ends(values: Sequence[float], scale: Scale) -> tuple[float, float]:
    low, high = min(values), max(values)
    span = (high - low) or abs(high) * 0.1 or 1.0
    low, high = low - 0.12 * span, high + 0.12 * span
    if scale.limit is not None:
        reach = span * 0.6
        if scale.less and high < scale.limit + 0.05 * span <= high + reach:
            high = scale.limit + 0.1 * span
        if not scale.less and low > scale.limit - 0.05 * span >= low - reach:
            low = scale.limit - 0.1 * span
    return low, high


def _within(x: float, y: float) -> bool:
    return LEFT <= x <= WIDTH - RIGHT and TOP <= y <= HEIGHT - FOOT


def _shut(
    sheet: Drawing, across: Scale, up: Scale, xs: tuple[float, float], ys: tuple[float, float], place: Place
) -> None:
    if across.limit is not None and xs[0] < across.limit < xs[1]:
        x, _ = place(across.limit, ys[0])
        sheet.box(x, TOP, WIDTH - RIGHT - x, HEIGHT - FOOT - TOP, "f-shut")
        sheet.line(x, TOP, x, HEIGHT - FOOT, "ink")
        sheet.word(WIDTH - RIGHT - 4, HEIGHT - FOOT - 8, "shut: its limit", "soft end")
    if up.limit is not None and ys[0] < up.limit < ys[1]:
        _, y = place(xs[0], up.limit)
        sheet.box(LEFT, TOP, WIDTH - RIGHT - LEFT, y - TOP, "f-shut")
        sheet.line(LEFT, y, WIDTH - RIGHT, y, "ink")
        sheet.word(LEFT + 6, TOP + 14, "shut: its limit", "soft")


def _axes(
    sheet: Drawing, across: Scale, up: Scale, xs: tuple[float, float], ys: tuple[float, float], place: Place
) -> None:
    sheet.line(LEFT, HEIGHT - FOOT, WIDTH - RIGHT, HEIGHT - FOOT, "hair")
    sheet.line(LEFT, TOP, LEFT, HEIGHT - FOOT, "hair")
    sheet.word(LEFT, TOP - 14, f"{up.title}: lower in the picture is better", "soft")
    sheet.word(WIDTH - RIGHT, HEIGHT - 8, f"{across.title}: further left is better", "soft end")
    for low, high, flat in ((*xs, True), (*ys, False)):
        step = nice((high - low) / 6)
        places = max(0, -int(np.floor(np.log10(step))))
        for tick in np.arange(np.ceil(low / step) * step, high, step).tolist():
            x, y = place(tick, ys[0]) if flat else place(xs[0], tick)
            if flat:
                sheet.line(x, HEIGHT - FOOT, x, HEIGHT - FOOT + 4, "hair")
                sheet.word(x, HEIGHT - FOOT + 17, plain(tick, places), "soft middle")
            else:
                sheet.line(LEFT - 4, y, LEFT, y, "hair")
                sheet.word(LEFT - 7, y + 4, plain(tick, places), "soft end")


def _label(
    sheet: Drawing, at: tuple[float, float], lines: Sequence[str], taken: list[tuple[float, float, float, float]], *, ring: bool = False
) -> None:  # fmt: skip
    """Words beside a spot where there is room for them, with a leader."""
    x, y = at
    wide, high = WORD * max(len(one) for one in lines), 14.0 * len(lines)
    if ring:
        sheet.path([(x + 9 * np.cos(a), y + 9 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 25)], "ink")
    spots = [(x + dx, y + dy) for dy in (-34, 22, -64, 52, -94, 82, -124) for dx in (16, -16 - wide)]
    for left, top in spots:
        box = (left, top, left + wide, top + high)
        if left < LEFT + 2 or left + wide > WIDTH - RIGHT or top < TOP or top + high > HEIGHT - FOOT:
            continue
        if all(box[2] < o[0] or box[0] > o[2] or box[3] < o[1] or box[1] > o[3] for o in taken):
            break
    taken.append((left, top, left + wide, top + high))
    near = left if left > x else left + wide
    sheet.line(x, y, near, top + high / 2, "hair")
    for k, line in enumerate(lines):
        sheet.word(left, top + 11 + 14 * k, line, "halo strong" if k == 0 else "halo")
