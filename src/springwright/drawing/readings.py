"""Readings drawn: every figure read against what was due in its own uncertainty, and what was read as points and lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from springwright.drawing.chart import ticks
from springwright.drawing.labels import width_of
from springwright.drawing.svg import Drawing

NUMBER, NAME, CHART, CELL, ROW, HEAD, FOOT = 22.0, 250.0, 300.0, 74.0, 19.0, 40.0, 34.0
MOST = 8.0  # standard uncertainties drawn; what is further off stands at the edge with its figure
AGREES = 2.0
WIDTH = NUMBER + NAME + CHART + 4 * CELL + 20


@dataclass(frozen=True)
class ReadingRow:
    """A figure: the number of its set, its name, figures as told, and where it lies in its own standard uncertainties, as drawn and corrected."""

    number: str
    name: str
    due: str
    read: str
    doubt: str
    corrected: str
    drawn_at: float
    corrected_at: float | None = None
    wrong: bool = False


def readings_drawing(title: str, rows: Sequence[ReadingRow]) -> Drawing:
    """Hollow squares as drawn, beads as corrected, between them what the correction did; open between minus two and plus two."""
    sheet = Drawing(WIDTH, HEAD + ROW * len(rows) + FOOT, title)
    left = NUMBER + NAME
    middle, scale = left + CHART / 2, CHART / 2 / (MOST + 1)
    foot = HEAD + ROW * len(rows)
    for side in (-1, 1):
        edge, end = middle + side * AGREES * scale, middle + side * CHART / 2
        sheet.box(min(edge, end), HEAD - 4, abs(end - edge), foot - HEAD + 4, "f-shut")
    sheet.line(middle, HEAD - 4, middle, foot, "ink")
    for side, word in ((-1, "less than due"), (1, "more than due")):
        sheet.word(middle + side * CHART / 3.2, HEAD - 10, word, "soft middle")
    sheet.word(middle, HEAD - 10, "agrees", "strong middle")
    corrected = any(row.corrected_at is not None for row in rows)
    ends = [left + CHART + CELL * (k + 1) for k in range(4)]
    for x, word in zip(ends, ("due", "read", "±", "corrected" if corrected else ""), strict=True):
        sheet.word(x, HEAD - 10, word, "soft end")
    for tick in range(-8, 9, 2):
        at = middle + tick * scale
        sheet.line(at, foot, at, foot + 4, "hair")
        sheet.word(at, foot + 17, f"{tick:+d}".replace("-", "−") if tick else "0", "soft middle")
    sheet.word(left - 8, foot + 17, "off, in standard uncertainties", "soft end")
    before = ""
    for r, row in enumerate(rows):
        y = HEAD + ROW * r + 13
        if row.number != before:
            if r:
                sheet.line(0, y - 13, WIDTH, y - 13, "faint")
            sheet.word(0, y, row.number, "soft")
        before = row.number
        sheet.word(NUMBER, y, row.name, "strong" if row.wrong else "")
        for x, text, look in zip(
            ends,
            (row.due, row.read, row.doubt, row.corrected),
            ("end", "mine end", "soft end", "strong end"),
            strict=True,
        ):
            sheet.word(x, y, text, look)
        _marks(sheet, middle, scale, y - 4, row)
    return sheet


def _marks(sheet: Drawing, middle: float, scale: float, y: float, row: ReadingRow) -> None:
    """The square and the bead of a row, and the line between."""
    places = [one for one in (row.drawn_at, row.corrected_at) if one is not None]
    shown = [min(max(one, -MOST - 0.5), MOST + 0.5) for one in places]
    if len(shown) == 2:
        sheet.line(middle + shown[0] * scale, y, middle + shown[1] * scale, y, "ink")
    x = middle + shown[0] * scale
    sheet.box(x - 3.2, y - 3.2, 6.4, 6.4, "f-paper")
    sheet.path([(x - 3.2, y - 3.2), (x + 3.2, y - 3.2), (x + 3.2, y + 3.2), (x - 3.2, y + 3.2)], "ink", closed=True)
    if abs(places[0]) > MOST:
        text = f"{places[0]:+.0f}".replace("-", "−")
        inward = -1 if places[0] > 0 else 1
        sheet.word(x + inward * 9, y + 4, text, "soft halo end" if inward < 0 else "soft halo")
    if len(shown) == 2:
        sheet.dot(middle + shown[1] * scale, y, 3.2)


@dataclass(frozen=True)
class TraceLine:
    """A line or points of a trace: its name, look ("points", "pencil", "bold", "dash"), and places."""

    name: str
    look: str
    x: Sequence[float]
    y: Sequence[float]


TRACE_WIDTH, TRACE_HEIGHT, T_LEFT, T_RIGHT, T_TOP, T_FOOT = 380.0, 220.0, 48.0, 12.0, 24.0, 38.0


def trace_drawing(title: str, across: str, up: str, lines: Sequence[TraceLine], *, powers: bool = False) -> Drawing:
    """What was read: points in pencil, fits bold, what was due dashed; `powers` has both axes by powers of ten."""
    sheet = Drawing(TRACE_WIDTH, TRACE_HEIGHT, title)
    xs = np.concatenate([np.asarray(one.x, dtype=float) for one in lines])
    ys = np.concatenate([np.asarray(one.y, dtype=float) for one in lines])
    if powers:
        xs, ys = np.log10(xs[xs > 0]), np.log10(ys[ys > 0])
    x0, x1 = _range(xs, from_zero=not powers and xs.min() >= 0 and xs.min() < 0.5 * xs.max())
    y0, y1 = _range(ys, from_zero=not powers and ys.min() >= 0 and ys.min() < 0.5 * ys.max())
    right, foot = TRACE_WIDTH - T_RIGHT, TRACE_HEIGHT - T_FOOT

    def at(x: float, y: float) -> tuple[float, float]:
        a, b = (np.log10(x), np.log10(y)) if powers else (x, y)
        return T_LEFT + (right - T_LEFT) * (a - x0) / (x1 - x0), foot - (foot - T_TOP) * (b - y0) / (y1 - y0)

    sheet.line(T_LEFT, foot, right, foot, "hair")
    sheet.line(T_LEFT, T_TOP, T_LEFT, foot, "hair")
    if y0 < 0 < y1 and not powers:
        zero = at(x0, 0.0)[1]
        sheet.line(T_LEFT, zero, right, zero, "dots")
    _scales(sheet, (x0, x1), (y0, y1), at, powers=powers)
    sheet.word(T_LEFT, T_TOP - 10, up, "soft")
    sheet.word(right, TRACE_HEIGHT - 6, across, "soft end")
    named, told = T_LEFT + width_of(up) + 20, set[str]()
    for one in lines:
        points = [at(float(x), float(y)) for x, y in zip(one.x, one.y, strict=True) if not powers or (x > 0 and y > 0)]
        if not points:
            continue
        if one.look == "points":
            for x, y in points:
                sheet.dot(x, y, 3.0, "f-paper")
                sheet.path(
                    [(x + 3 * np.cos(a), y + 3 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 13)[:-1]],
                    "pencil",
                    closed=True,
                )
        else:
            sheet.path(points, one.look, line=one.name)
        if one.name and one.name not in told and named + 24 + width_of(one.name) < right + T_RIGHT:
            if one.look == "points":
                sheet.dot(named + 8, T_TOP - 14, 2.6, "f-pencil")
            else:
                sheet.line(named, T_TOP - 14, named + 16, T_TOP - 14, one.look)
            sheet.word(named + 20, T_TOP - 10, one.name, "soft")
            named += 34 + width_of(one.name)
            told.add(one.name)
    return sheet


def _range(values: np.ndarray, *, from_zero: bool) -> tuple[float, float]:
    low, high = float(values.min()), float(values.max())
    low = 0.0 if from_zero else low
    room = 0.06 * ((high - low) or abs(high) or 1.0)
    return (low if from_zero else low - room), high + room


def _scales(sheet: Drawing, x: tuple[float, float], y: tuple[float, float], at: object, *, powers: bool) -> None:
    assert callable(at)
    foot = TRACE_HEIGHT - T_FOOT
    if powers:
        marks = [(m * 10.0**p, f"{m * 10.0**p:g}") for p in range(-4, 4) for m in (1, 2, 5)]
        across = [(v, text) for v, text in marks if x[0] <= np.log10(v) <= x[1]]
        up = [(v, text) for v, text in marks if y[0] <= np.log10(v) <= y[1] and text.lstrip("0.").startswith("1")]
    else:
        across, up = ticks(x[0], x[1], 6), ticks(y[0], y[1], 4)
    still = (10.0 ** x[0], 10.0 ** y[0]) if powers else (x[0], y[0])
    for value, text in across:
        place = at(value, still[1])[0]
        sheet.line(place, foot, place, foot + 4, "hair")
        sheet.word(place, foot + 16, text, "soft middle")
    for value, text in up:
        place = at(still[0], value)[1]
        sheet.line(T_LEFT - 4, place, T_LEFT, place, "hair")
        sheet.word(T_LEFT - 7, place + 4, text, "soft end")
