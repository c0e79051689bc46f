"""A first number drawn: one corner from behind to scale, sagging, and where its frequency lies among vehicles."""

from __future__ import annotations

from collections.abc import Sequence
from math import asin, cos, log10, pi, sin

from springwright.drawing.labels import width_of
from springwright.drawing.marks import zigzag
from springwright.drawing.svg import Drawing
from springwright.reference.shelf import ShelfRow
from springwright.results import PRACTICE
from springwright.sizing.first_number import FirstRate, sinks_at
from springwright.units import drawn_unit, number, plain, show

CORNER_WIDTH, CORNER_HEIGHT = 330.0, 306.0
GROUND, PIVOT, TURNS = 264.0, (42.0, 160.0), 7
DIMENSIONS = (282.0, 298.0)  # px: where the dimensions of spring and wheel stand
FULL = 150.0  # px of the longer lever
SCALE_WIDTH, SCALE_HEIGHT, LOWEST, HIGHEST = 456.0, 206.0, 0.4, 2.2  # Hz


def corner_drawing(one: FirstRate, arm: float | None) -> Drawing:
    """One corner: pivot, spring and wheel at their places on a lever `arm` long [m], or the spring on the axle; dashed where no load holds it."""
    spring = one.ratio * arm if arm is not None else None
    scale = lever_scale(one, arm)
    wheel = PIVOT[0] + (arm * scale if arm is not None else FULL)
    seat = PIVOT[0] + (spring * scale if spring is not None else FULL - 56.0)
    sink = min(one.static_deflection * scale, 96.0) if arm is not None else min(one.static_deflection * 0.3e3, 96.0)
    tall = max(CORNER_HEIGHT, GROUND + sink + 6)
    sheet = Drawing(
        CORNER_WIDTH, tall, f"One corner, rear view: the wheel sinks {show(one.static_deflection, 'length')}"
    )
    body = [
        (8.0, 146.0),
        (8.0, 39.0),
        (max(seat + 34, 191.0), 39.0),
        (max(seat + 34, 191.0), 69.0),
        (36.0, 69.0),
        (36.0, 146.0),
    ]
    tyre = 70.0
    sheet.path(_tyre(wheel + 31, 160 + sink, tyre), "dots", closed=True)
    sheet.path(_tyre(wheel + 31, 160.0, tyre), "ink f-shut", closed=True)
    sheet.path(body, "ink f-paper")
    if arm is not None:
        turn = asin(min(sink / (wheel - PIVOT[0]), 1.0))
        long = wheel - PIVOT[0]
        sheet.line(*PIVOT, PIVOT[0] + long * cos(turn), PIVOT[1] + long * sin(turn), "dots")
        sheet.box(8.0, 146.0, 44.0, 26.0, "ink f-paper")
        sheet.line(*PIVOT, wheel, PIVOT[1], "bold")
        sheet.dot(*PIVOT, 5.0, "ink f-paper")
    else:
        sheet.line(wheel - 120, PIVOT[1], wheel, PIVOT[1], "bold")
    sheet.path(zigzag((seat, PIVOT[1]), (seat, 69.0), 26.0, TURNS), "ink thick")
    sheet.dot(wheel, PIVOT[1], 5.0, "ink f-paper")
    sheet.dot(seat, PIVOT[1], 3.4)
    sheet.line(6.0, GROUND, 324.0, GROUND)
    sheet.word(PIVOT[0] + 58, 58.0, show(one.mass, "mass"), "strong middle")
    sheet.word(seat - 18, 118.0, show(one.spring_force, "force"), "end")
    right = wheel + 78
    sheet.line(right, 160.0, right, 160.0 + sink, "hair")
    for y in (160.0, 160.0 + sink):
        sheet.line(right - 5, y, right + 5, y, "hair")
    sheet.word(right - 4, 152.0, "sinks", "soft")
    sheet.word(right + 8, 164.0 + sink / 2, number(one.static_deflection, "length"), "strong")
    if arm is not None and spring is not None:
        for place, size, y in ((seat, spring, DIMENSIONS[0]), (wheel, arm, DIMENSIONS[1])):
            sheet.line(PIVOT[0], y, place, y, "hair")
            for x in (PIVOT[0], place):
                sheet.line(x, y - 4, x, y + 4, "hair")
            text = number(size, "length")
            sheet.box((PIVOT[0] + place - width_of(text)) / 2 - 3, y - 8, width_of(text) + 6, 12, "f-paper")
            sheet.word((PIVOT[0] + place) / 2, y + 4, text, "middle")
    return sheet


def lever_scale(one: FirstRate, arm: float | None) -> float:
    """The scale of the corner's drawing [px/m]: the longer lever fills what there is."""
    longest = max(arm, one.ratio * arm) if arm is not None else 0.0
    return FULL / longest if longest else 0.4e3


def lever_ends(one: FirstRate, arm: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where the dimensions of the spring and of the wheel end on the drawing [px]."""
    scale = lever_scale(one, arm)
    return (PIVOT[0] + scale * one.ratio * arm, DIMENSIONS[0]), (PIVOT[0] + scale * arm, DIMENSIONS[1])


def _tyre(x: float, y: float, wide: float) -> list[tuple[float, float]]:
    """A tyre from behind, its corners eased [px]."""
    tall, r = 2 * (GROUND - 160.0), 18.0
    made = []
    for cx, cy, begin in ((1, 1, 0.0), (-1, 1, 0.5), (-1, -1, 1.0), (1, -1, 1.5)):
        for k in range(7):
            a = (begin + k / 12) * pi
            made.append((x + cx * (wide / 2 - r) + r * cos(a), y + cy * (tall / 2 - r) + r * sin(a)))
    return made


def scale_drawing(frequency: float, rows: Sequence[ShelfRow]) -> Drawing:
    """Where a ride frequency [Hz] lies among what is usual, and under it how far a wheel sinks by its own weight at each."""
    sheet = Drawing(SCALE_WIDTH, SCALE_HEIGHT, f"Where {show(frequency, 'frequency')} lies among ride frequencies")
    left, right, foot = 6.0, SCALE_WIDTH - 6.0, 152.0

    def at(value: float) -> float:
        share = (log10(min(max(value, LOWEST), HIGHEST)) - log10(LOWEST)) / (log10(HIGHEST) - log10(LOWEST))
        return left + 24 + share * (right - left - 48)

    sheet.word(left, 10.0, "softer", "soft")
    sheet.word(right, 10.0, "stiffer", "soft end")
    sheet.line(at(frequency), 14.0, at(frequency), foot - 6, "pencil")
    for k, row in enumerate(rows):
        y = 24.0 + 24.0 * k
        ours = row.source == PRACTICE
        sheet.box(at(row.low), y, at(row.high) - at(row.low), 6.0, "f-soft" if ours else "hair f-paper")
        said = f"{row.what}, {row.written}"
        middle = (at(row.low) + at(row.high)) / 2
        half = width_of(said) / 2
        place = min(max(middle, left + half), right - half)
        sheet.box(place - half - 2, y + 8, 2 * half + 4, 13, "f-paper")
        sheet.word(place, y + 18, said, "soft middle")
    sheet.line(left, foot, right, foot)
    for value in (0.5, 0.6, 0.8, 1.0, 1.2, 1.4, 1.6, 2.0):
        sheet.line(at(value), foot, at(value), foot + 5, "hair")
        sheet.word(at(value), foot + 18, plain(value, 1), "soft middle")
        sheet.word(at(value), foot + 33, number(sinks_at(value), "length"), "soft middle")
    sheet.word(right, foot + 18, "Hz", "soft end")
    sheet.word(right, foot + 33, drawn_unit("length"), "soft end")
    sheet.word(left, foot + 50, "lower row: how far it sinks under its own weight, whatever its mass", "soft")
    sheet.path(
        [(at(frequency), foot), (at(frequency) - 5, foot - 11), (at(frequency) + 5, foot - 11)],
        "pencil f-pencil",
        closed=True,
    )
    sheet.word(at(frequency), 10.0, plain(frequency, 2), "strong middle")
    return sheet
