"""A map of a figure by ground and speed: cells carry figures, the limit is one stepped line, what lies beyond it is shut."""

from __future__ import annotations

from collections.abc import Sequence

from springwright.drawing.shapes import short
from springwright.drawing.svg import Drawing

WIDTH, ROW, NAMES, HEAD, FOOT = 508.0, 34.0, 124.0, 8.0, 44.0
LETTERS = 18  # of a ground's name


def ground_map(
    title: str,
    grounds: Sequence[str],
    speeds: Sequence[str],
    cells: Sequence[Sequence[str]],
    beyond: Sequence[Sequence[bool]],
    words: tuple[str, str],
    chosen: tuple[int, int] | None = None,
) -> Drawing:
    """Draw a map.

    Parameters
    ----------
    grounds, speeds : sequence of str
        Names of rows, the smoothest first (it is drawn lowest), and of columns.
    cells, beyond : sequence of rows
        The figure in each cell, empty where there is none, and whether it lies beyond the limit.
    words : tuple of str
        What the cells show, and the unit of the columns.
    chosen : tuple of int, optional
        Row and column of the ground and speed looked at.

    """
    wide = (WIDTH - NAMES) / len(speeds)
    tall = ROW * len(grounds)
    sheet = Drawing(WIDTH, HEAD + tall + FOOT, title)

    def corner(row: int, column: int) -> tuple[float, float]:
        return NAMES + wide * column, HEAD + tall - ROW * (row + 1)

    for r, name in enumerate(grounds):
        sheet.word(NAMES - 8, corner(r, 0)[1] + 21, short(name, LETTERS), "end")
        for c, text in enumerate(cells[r]):
            x, y = corner(r, c)
            if beyond[r][c]:
                sheet.box(x, y, wide, ROW, "f-shut")
            sheet.word(x + wide / 2, y + 21, text or "–", "soft middle" if beyond[r][c] or not text else "middle")
    for r in range(len(grounds)):
        for c in range(len(speeds)):
            x, y = corner(r, c)
            if c and beyond[r][c] != beyond[r][c - 1]:
                sheet.line(x, y, x, y + ROW, "bold")
            if r and beyond[r][c] != beyond[r - 1][c]:
                sheet.line(x, y + ROW, x + wide, y + ROW, "bold")
    sheet.path([(NAMES, HEAD), (NAMES, HEAD + tall), (WIDTH, HEAD + tall)], "hair")
    if chosen is not None:
        x, y = corner(*chosen)
        sheet.path(
            [(x + 2, y + 2), (x + wide - 2, y + 2), (x + wide - 2, y + ROW - 2), (x + 2, y + ROW - 2)],
            "pencil thick",
            closed=True,
        )
    for c, speed in enumerate(speeds):
        sheet.word(corner(0, c)[0] + wide / 2, HEAD + tall + 17, speed, "soft middle")
    sheet.word(NAMES, HEAD + tall + 34, words[0], "soft")
    sheet.word(WIDTH, HEAD + tall + 34, words[1], "soft end")
    return sheet
