"""Force against travel at a wheel: where each load state rests, where the stop touches and what it takes, and where there is no travel left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from springwright.drawing.chart import nice
from springwright.drawing.labels import Labels
from springwright.drawing.svg import Drawing
from springwright.units import plain

WIDE, TALL, LEFT, TOP, FOOT, RIGHT = 392.0, 292.0, 44.0, 24.0, 40.0, 12.0


@dataclass(frozen=True)
class ForcePicture:
    """One axle's curve in the units shown: along the travel, the force, the stop's part, and words for what is named."""

    name: str
    travel: Sequence[float]
    spring: Sequence[float]
    force: Sequence[float]
    friction: float
    droop: float
    touches: float
    metal: float
    taken: str  # what the stop takes
    at_touch: tuple[float, str]  # the force there, and its share of the load with the word
    least: float | None
    rests: tuple[tuple[str, float, float, bool], ...]  # name, travel, force, whether it is the one chosen
    ink: str
    places: int  # decimals of a force


def force_drawing(
    one: ForcePicture, span: tuple[float, float], most: float, axes: tuple[str, str], wide: float = WIDE
) -> Drawing:
    """Draw one axle's; `span` and `most` are the scales that all axles share, `axes` their titles."""
    sheet = Drawing(wide, TALL, f"Force at a wheel along its travel, {one.name}")
    low, high = span
    left, right, foot = LEFT, wide - RIGHT, TALL - FOOT

    def at(x: float, y: float) -> tuple[float, float]:
        return left + (right - left) * (x - low) / (high - low), foot - (foot - TOP) * min(y, most) / most

    droop, metal = one.droop, one.metal
    for begin, end in ((low, droop), (metal, high)):
        if end > begin:
            sheet.box(at(begin, 0)[0], TOP, at(end, 0)[0] - at(begin, 0)[0], foot - TOP, "f-shut")
    for x in (droop, metal):
        sheet.line(at(x, 0)[0], TOP, at(x, 0)[0], foot, "bold")
    labels = Labels(sheet, (left, TOP - 16, right + RIGHT, foot - 2))
    if metal > one.touches:
        sheet.line(at(one.touches, 0)[0], TOP, at(one.touches, 0)[0], foot, "dashed hair")
    if one.least is not None:  # shut below what is asked at first touch
        x, y = at(one.touches, one.least)
        sheet.box(x - 34, y, 34, foot - y, "f-shut")
        sheet.line(x - 34, y, x, y, "bold")
    if one.friction:
        band = [at(x, y + one.friction) for x, y in zip(one.travel, one.spring, strict=True)]
        band += [at(x, max(y - one.friction, 0.0)) for x, y in reversed(list(zip(one.travel, one.spring, strict=True)))]
        sheet.path(band, "f-shut", closed=True)
    _hatched(sheet, one, at)
    with sheet.row((left, TOP, right, foot), (low, high, axes[0], False), (0.0, most)):
        if list(one.spring) != list(one.force):
            sheet.path(
                [at(x, y) for x, y in zip(one.travel, one.spring, strict=True)], f"{one.ink} dashed", line="spring"
            )
        curve = [at(x, y) for x, y in zip(one.travel, one.force, strict=True) if y <= most]
        sheet.path(curve, f"{one.ink} thick", line="force")
    labels.avoid_line(curve)
    _scales(sheet, (low, high), most, axes[0], at)
    sheet.word(4, 12, f"{one.name}, {axes[1]}", "strong")
    for _, x, y, chosen in one.rests:
        px, py = at(x, y)
        sheet.dot(px, py, 4, "f-ink" if chosen else "f-paper")
        if not chosen:
            sheet.path(
                [(px + 4 * np.cos(a), py + 4 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 25)], "ink", closed=True
            )
        labels.avoid(px - 5, py - 5, px + 5, py + 5)
    for name, x, y, chosen in one.rests:
        labels.beside(*at(x, y), f"{name} {plain(y, one.places)}", "strong" if chosen else "", toward=(0.4, 1.0))
    if metal > one.touches:
        labels.beside(at(one.touches, 0)[0], TOP + 12, "stop touches", "soft", toward=(-1.0, 0.0))
        labels.beside(
            *at((one.touches + metal) / 2, (one.at_touch[0] + one.force[-1]) / 2),
            f"stop takes {one.taken}",
            "soft",
            toward=(-1.0, -0.2),
        )
    labels.beside(*at(one.touches, one.at_touch[0]), one.at_touch[1], "", toward=(-1.0, -0.6))
    return sheet


def _scales(sheet: Drawing, span: tuple[float, float], most: float, title: str, at) -> None:  # type: ignore[no-untyped-def]  # a place of the picture
    """The force upright, the travel along the foot."""
    low, high = span
    step = nice(most / 5)
    for tick in np.arange(0.0, most + step / 2, step):
        x, y = at(low, float(tick))
        sheet.word(x - 6, y + 4, plain(float(tick), 0 if step >= 1 else 1), "soft end")
    left, foot = at(low, 0.0)
    right = at(high, 0.0)[0]
    sheet.line(left, foot, right, foot, "ink")
    step = nice((high - low) / 5)
    for tick in np.arange(np.ceil(low / step) * step, high + 1e-9, step):
        x = at(float(tick), 0.0)[0]
        sheet.line(x, foot, x, foot + 4, "ink")
        sheet.word(x, foot + 17, plain(float(tick), 0 if step >= 1 else 1), "soft middle")
    sheet.word(right, foot + 33, title, "soft end")


def _hatched(sheet: Drawing, one: ForcePicture, at) -> None:  # type: ignore[no-untyped-def]  # a place of the picture
    """Strokes across what the stop takes: the area between the spring and what both press with."""
    lines = []
    for x, low, high in zip(one.travel, one.spring, one.force, strict=True):
        if x >= one.touches and high > low:
            lines.append([at(x, low), at(x, high)])
    if lines:
        sheet.paths(lines[::3], "hair", width=0.6)
