"""Lines over one axis, each row a quantity of its own: histories and the like, names written at the lines' ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.drawing.svg import Drawing
from springwright.units import plain

WIDTH, LEFT, RIGHT, ROW, GAP, FOOT = 780.0, 60.0, 140.0, 110.0, 32.0, 40.0
NOISE = 1e-9
BARE_RIGHT = 20.0  # where no line has a name
INKS = ("series-1", "series-2", "series-3", "ink", "series-1 dashed", "series-2 dashed")


@dataclass(frozen=True)
class Row:
    """One row of a chart: its title with unit, and lines by name."""

    title: str
    lines: dict[str, NDArray[np.float64]]


def chart(  # noqa: C901 a picture from its top to its foot
    title: str,
    x: NDArray[np.float64],
    x_title: str,
    rows: Sequence[Row],
    *,
    logarithmic: bool = False,
    from_zero: bool = False,
    width: float = WIDTH,
) -> Drawing:
    """Rows of lines over one axis, thinned to what the eye can tell; a line is broken where it has nan.

    `from_zero` begins an axis of nothing but positive values at nought.
    """
    if logarithmic:
        x = np.log10(x)
    sheet = Drawing(width, len(rows) * (ROW + GAP) + FOOT, title)
    left, right = LEFT, width - (RIGHT if any(name for row in rows for name in row.lines) else BARE_RIGHT)
    every = max(len(x) // 1500, 1)
    low, high = float(x[0]), float(x[-1]) if x[-1] > x[0] else float(x[0]) + 1.0
    for r, row in enumerate(rows):
        top = r * (ROW + GAP) + GAP
        values = np.concatenate(list(row.lines.values()))
        known = values[np.isfinite(values)]
        least, most = (float(known.min()), float(known.max())) if len(known) else (0.0, 1.0)
        if from_zero and least > 0:
            least = 0.0
        if most - least < NOISE * max(
            abs(most), abs(least), NOISE
        ):  # nothing but rounding: drawn as the level line it is
            row = Row(row.title, {name: np.where(np.isfinite(one), most, one) for name, one in row.lines.items()})
            least = most = 0.0 if abs(most) < NOISE else most
        span = (most - least) or 1.0
        sheet.word(left + 8, top - 8, row.title, "soft")
        sheet.line(left, top + ROW, right, top + ROW, "hair")
        if least < 0 < most:
            zero = top + ROW * (1 - (0 - least) / span)
            sheet.line(left, zero, right, zero, "dots")
        for value in (least, most) if most > least else (least,):
            sheet.word(left - 6, top + ROW * (1 - (value - least) / span) + 4, plain(value, _places(span)), "soft end")
        with sheet.row((left, top, right, top + ROW), (low, high, x_title, logarithmic), (least, most)):
            ends: list[float] = []
            for k, (name, line) in enumerate(row.lines.items()):
                y = top + ROW * (1 - (line[::every] - least) / span)
                across = left + (right - left) * (x[::every] - low) / (high - low)
                there = np.isfinite(y)
                for piece in np.split(np.arange(len(y)), np.flatnonzero(np.diff(there)) + 1):
                    if there[piece[0]]:
                        sheet.path(
                            zip(across[piece].tolist(), y[piece].tolist(), strict=True), INKS[k % len(INKS)], line=name
                        )
                at = float(y[there][-1]) + 4 if there.any() else top + ROW
                while any(abs(at - other) < 13 for other in ends):
                    at = max(other for other in ends if abs(at - other) < 13) - 13
                ends.append(at)
                if name:
                    sheet.line(right + 5, at - 4, right + 19, at - 4, INKS[k % len(INKS)])
                    sheet.word(right + 23, at, name)
    base = len(rows) * (ROW + GAP)
    step = nice((high - low) / 6)
    if logarithmic:
        for tick in (m * 10.0**p for p in range(-3, 4) for m in (1, 2, 5)):
            if low <= np.log10(tick) <= high:
                at = left + (right - left) * (np.log10(tick) - low) / (high - low)
                sheet.line(at, base, at, base + 4, "ink")
                sheet.word(at, base + 18, f"{tick:g}", "soft middle")
        sheet.word(right, base + 34, x_title, "soft end")
        return sheet
    for tick in np.arange(np.ceil(low / step - 1e-9) * step, high + 1e-9, step):
        at = left + (right - left) * (tick - low) / (high - low)
        sheet.line(at, base, at, base + 4, "ink")
        sheet.word(at, base + 18, plain(float(tick), max(0, -int(np.floor(np.log10(step))))), "soft middle")
    sheet.word(right, base + 34, x_title, "soft end")
    return sheet


def nice(step: float) -> float:
    """The next 1, 2 or 5 times a power of ten."""
    power = 10.0 ** np.floor(np.log10(step))
    return float(next(times * power for times in (1, 2, 5, 10) if times * power >= step))


def ticks(low: float, high: float, count: int) -> list[tuple[float, str]]:
    """Whole steps between two ends, about so many, each as it is told."""
    step = nice((high - low) / count)
    places = max(0, -int(np.floor(np.log10(step) + NOISE)))
    return [(float(at), plain(float(at), places)) for at in np.arange(np.ceil(low / step - NOISE) * step, high + NOISE * step, step)]  # fmt: skip


def _places(span: float) -> int:
    return max(0, 2 - int(np.floor(np.log10(span)))) if span < 100 else 0
