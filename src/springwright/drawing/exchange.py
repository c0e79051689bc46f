"""The exchange table drawn: a rail for each figure with its limit a length away, and a bar for what each step wins or loses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from springwright.drawing.svg import Drawing

LEFT, COLUMN, ROW, HEAD, FOOT = 266.0, 92.0, 34.0, 78.0, 34.0
LENGTH = 26.0  # px of a margin
CUT = 1.2  # margins at which a bar is cut


@dataclass(frozen=True)
class Rail:
    """A column: its head, unit, today's figure, limit and margin in words, and where the limit lies: -1 left of today, which is met, 1 right, 0 nowhere."""

    head: str
    unit: str
    now: str
    limit: str
    margin: str
    side: int


@dataclass(frozen=True)
class ChangeBar:
    """What a step does to a figure: margins won (lost below nothing) and the change in words; None where there is none to draw."""

    won: float | None
    change: str
    broken: bool = False


@dataclass(frozen=True)
class Ledger:
    """A row: what is changed, by how much, a word under it, its bars, its margins lost and won in all.

    `does` is what pressing it does on a page, `tried` whether it was tried.
    """

    what: str
    by: str
    under: str
    bars: tuple[ChangeBar, ...]
    lost: float
    won: float
    does: Mapping[str, Any] | None = None
    tried: bool = False


@dataclass(frozen=True)
class Plumb:
    """Where a figure stands with the steps tried: margins won (lost below nothing), and the figure in words."""

    won: float | None
    now: str


def exchange_drawing(
    title: str, rails: Sequence[Rail], rows: Sequence[Ledger], plumbs: Sequence[Plumb] = ()
) -> Drawing:
    """Bars to scale, in lengths of each column's own margin: right and filled what is won, left and hollow what is lost.

    `plumbs`, one for each column, hang through all rows where the figures stand with the steps tried.
    """
    width, height = LEFT + COLUMN * (len(rails) + 1) + 10, HEAD + ROW * len(rows) + FOOT + (20 if plumbs else 0)
    sheet = Drawing(width, height, title)
    for k, rail in enumerate(rails):
        x = LEFT + COLUMN * (k + 0.5)
        for level, text, look in ((12, rail.head, "middle"), (26, rail.unit, "soft middle"), (42, rail.now, "middle"), (56, rail.limit, "soft middle"), (70, rail.margin, "soft middle")):  # fmt: skip
            sheet.word(x, level, text, look)
        _rail(sheet, x, HEAD, HEAD + ROW * len(rows), rail)
    for down, text in ((42, "stands at"), (56, "limit"), (70, "margin, one length")):
        sheet.word(0, down, text, "soft")
    total = LEFT + COLUMN * (len(rails) + 0.5)
    sheet.word(total, 12, "In all", "middle")
    sheet.word(total, 26, "margins", "soft middle")
    sheet.line(total, HEAD, total, HEAD + ROW * len(rows), "hair")
    for r, row in enumerate(rows):
        y = HEAD + ROW * r
        what = f"{'take back' if row.tried else 'try'} {row.what} {row.by}"
        with sheet.pressed(row.does, what, "press" if row.does else ""):
            sheet.box(0, y, width, ROW, "hit")
            if row.tried:
                sheet.path([(0, y + 10), (4, y + 15), (12, y + 4)], "pencil")
            sheet.word(16, y + 15, f"{row.what} {row.by}", "mine" if row.tried else "")
            if row.under:
                sheet.word(16, y + 29, row.under, "soft")
            for k, bar in enumerate(row.bars):
                _bar(sheet, LEFT + COLUMN * (k + 0.5), y, bar)
            _total(sheet, total, y, row)
    for k, plumb in enumerate(plumbs):
        _plumb(sheet, LEFT + COLUMN * (k + 0.5), HEAD + ROW * len(rows), plumb)
    foot = HEAD + ROW * len(rows) + 14
    sheet.word(0, foot, "filled: won; hollow: lost; shut is what the limit forbids", "soft")
    for k, rail in enumerate(rails):
        x = LEFT + COLUMN * (k + 0.5)
        sheet.word(x, foot, "now", "soft middle")
        if rail.side:
            sheet.word(x + rail.side * LENGTH * 1.1, foot + 12, "limit", "soft middle")
    if plumbs:
        sheet.word(0, foot + 32, "with the steps tried", "strong")
        for k, plumb in enumerate(plumbs):
            sheet.word(LEFT + COLUMN * (k + 0.5), foot + 32, plumb.now, "strong middle")
    return sheet


def _plumb(sheet: Drawing, x: float, foot: float, plumb: Plumb) -> None:
    if plumb.won is None:
        return
    at = x + max(min(plumb.won, CUT), -CUT) * LENGTH
    sheet.line(at, HEAD, at, foot, "pencil")
    sheet.dot(at, foot, 3.5, "f-pencil")


def _rail(sheet: Drawing, x: float, top: float, bottom: float, rail: Rail) -> None:
    if rail.side:
        edge, far = x + rail.side * LENGTH, x - (COLUMN / 2 - 3)
        sheet.box(far, top, edge - far, bottom - top, "f-shut")
        sheet.line(edge, top, edge, bottom, "ink")
    sheet.line(x, top, x, bottom, "hair")


def _bar(sheet: Drawing, x: float, y: float, bar: ChangeBar) -> None:
    if bar.broken:
        sheet.line(x - 8, y + 22, x + 8, y + 22, "dots")
        return
    if not bar.change:
        return
    sheet.word(x, y + 13, bar.change, "middle halo")
    if bar.won is None:
        return
    long = min(abs(bar.won), CUT) * LENGTH
    if bar.won > 0:
        sheet.box(x, y + 18, long, 7, "f-ink")
    else:
        sheet.path([(x - long, y + 18), (x, y + 18), (x, y + 25), (x - long, y + 25)], "ink", closed=True)
    if abs(bar.won) > CUT:  # torn: the figure is whole
        end = x + long if bar.won > 0 else x - long
        sheet.line(end - 2, y + 27, end + 2, y + 16, "ink")


def _total(sheet: Drawing, x: float, y: float, row: Ledger) -> None:
    scale = 8.0
    for value, sign in ((row.lost, -1), (row.won, 1)):
        if value < 0.05:
            continue
        long = min(value, 4.0) * scale
        begin = x if sign > 0 else x - long
        if sign > 0:
            sheet.box(begin, y + 18, long, 7, "f-ink")
        else:
            sheet.path([(begin, y + 18), (x, y + 18), (x, y + 25), (begin, y + 25)], "ink", closed=True)
        sheet.word(x + sign * 20, y + 13, f"{value:.1f}", "middle")
