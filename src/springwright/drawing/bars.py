"""Loads as bars on thin rails that end at the rating, one under another on one scale."""

from __future__ import annotations

from collections.abc import Sequence

from springwright.drawing.svg import Drawing

WIDTH, ROW, BAR = 150.0, 7.0, 5.0


def bar_on_rail(rows: Sequence[tuple[float, float | None, str]], top: float, title: str) -> Drawing:
    """Bars of loads.

    Parameters
    ----------
    rows
        Load, rating (None where there is none) and series ink of each; load and rating in one unit.
    top : float
        The load at the right edge.

    """
    sheet = Drawing(WIDTH, ROW * len(rows) + 2, title)
    for i, (load, rating, look) in enumerate(rows):
        y = ROW * i + 1
        if rating is not None:
            end = WIDTH * rating / top
            sheet.line(0, y + BAR / 2, end, y + BAR / 2, "hair")
        sheet.box(0, y, WIDTH * max(load, 0.0) / top, BAR, f"f-{look}")
        if rating is not None:
            sheet.line(end, y - 1, end, y + BAR + 1, "ink")
    return sheet
