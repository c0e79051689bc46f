"""Designs drawn as lines over upright scales: what they are built with, and what that gives, with every limit on one line."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from springwright.drawing.svg import Drawing

WIDTH, HEIGHT, TOP, FOOT = 960.0, 350.0, 72.0, 36.0
SIDE, GAP = 46.0, 56.0  # px beside the outer scales, and more between what is built and what it gives
LIMIT = 0.8  # of a scale's length from its top at which limits lie


@dataclass(frozen=True)
class UprightScale:
    """One scale: head, unit, what stands at its top and at its foot, and its limit in words; without one its foot is its worst. `ends` are the figures there."""

    head: str
    unit: str
    top: str
    foot: str
    limit: str = ""
    ends: tuple[float, float] = (0.0, 1.0)


@dataclass(frozen=True)
class DesignLine:
    """One design: where it crosses each scale, 0 at its top to 1 at its foot, how it is drawn, and on a page its number, its words and what pressing it does."""

    crosses: tuple[float, ...]
    look: str = "hair"
    words: tuple[str, ...] = ()  # beside each scale
    number: int = 0
    told: str = ""
    does: Mapping[str, Any] | None = None


def scales_drawing(
    title: str, built: Sequence[UprightScale], given: Sequence[UprightScale], lines: Sequence[DesignLine]
) -> Drawing:
    """What is built on the left, what that gives on the right: there upward is away from the limit on every scale, and what dips below the line is not met."""
    sheet = Drawing(WIDTH, HEIGHT, title)
    scales = [*built, *given]
    step = (WIDTH - 2 * SIDE - GAP) / max(len(scales) - 1, 1)
    places = [SIDE + step * k + (GAP if k >= len(built) else 0.0) for k in range(len(scales))]
    tall = HEIGHT - TOP - FOOT
    level = TOP + LIMIT * tall
    for x, scale in zip(places[len(built) :], given, strict=True):
        if scale.limit:  # below it is shut; a scale without a limit has no such level
            left, right = x - step / 2, min(x + step / 2, WIDTH)
            sheet.box(left, level, right - left, HEIGHT - FOOT - level, "f-shut")
            sheet.line(left, level, right, level, "ink")
    for line in lines:
        with sheet.pressed(line.does, line.told, f"design {line.look}", tab=-1, design=line.number):
            sheet.path([(x, TOP + tall * y) for x, y in zip(places, line.crosses, strict=True)], line.look)
    for k, (x, scale) in enumerate(zip(places, scales, strict=True)):
        _scale(sheet, x, tall, scale, k)
    for line in lines:
        for x, y, word in zip(places, line.crosses, line.words, strict=False):
            sheet.word(x + 5, TOP + tall * y + 4, word, "strong halo")
    sheet.word(places[0] - SIDE + 4, HEIGHT - 4, "what it is built with", "soft")
    if given:
        sheet.word(
            places[len(built)] - 22,
            HEIGHT - 4,
            "what that gives: up is away from the limit, and every limit lies on one line",
            "soft",
        )
    return sheet


def _scale(sheet: Drawing, x: float, tall: float, scale: UprightScale, number: int) -> None:
    data = json.dumps(
        {
            "x": x,
            "top": TOP,
            "foot": TOP + tall,
            "head": scale.head,
            "number": number,
            "ends": scale.ends,
        }
    )
    first, _, rest = scale.head.partition(" ")
    for level, text in ((10, first), (23, rest)) if rest else ((23, first),):
        sheet.word(x, level, text, "middle")
    sheet.word(x, 37, scale.unit, "soft middle")
    with sheet.held(
        f"{scale.head}: keep a range of it with the arrow keys, its far end with Shift; Escape clears it", "scale", data
    ):
        sheet.box(x - 12, TOP - 6, 24, tall + 12, "hit")
        sheet.line(x, TOP, x, TOP + tall, "ink")
    sheet.word(x, TOP - 10, scale.top, "soft middle halo")
    if scale.limit:
        sheet.word(x + 4, TOP + LIMIT * tall + 14, scale.limit, "soft halo")
    else:
        sheet.word(x, TOP + tall + 13, scale.foot, "soft middle halo")
