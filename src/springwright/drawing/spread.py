"""Build spread drawn: a mark for each build, and each figure's spread against its limit with what is to blame for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from springwright.drawing.svg import Drawing

MARKS, ACROSS, PITCH = 1024, 32, 6.0  # drawn at most; a row of them; px apart
LEFT, NAME, ROW, HEAD = 220.0, 200.0, 40.0, 40.0
HIST, BLAME = 170.0, 300.0
WIDTH = LEFT + NAME + 60 + HIST + 30 + BLAME


@dataclass(frozen=True)
class SpreadRow:
    """A figure: its name, how many of a thousand meet it, its histogram over a range with the limit's place, and shares by tolerance."""

    name: str
    met: str
    counts: tuple[int, ...]
    edges: tuple[float, ...]
    limit: float | None
    most: bool
    blame: tuple[tuple[str, float], ...]  # name and first-order share


def spread_drawing(
    title: str, met: int, groups: Sequence[tuple[str, int]], of: int, rows: Sequence[SpreadRow]
) -> Drawing:
    """Filled marks meet every limit, hollow ones do not, grouped by what they fail."""
    shown = min(of, MARKS)
    lines = -(-shown // ACROSS)
    height = max(HEAD + lines * PITCH + 26 + 15 * len(groups) + 30, HEAD + ROW * len(rows) + 30)
    sheet = Drawing(WIDTH, height, title)
    good = round(met * shown / of)
    for k in range(shown):
        x, y = 4 + PITCH * (k % ACROSS), HEAD + PITCH * (k // ACROSS)
        if k < good:
            sheet.dot(x, y, 2.1, "f-ink")
        else:
            sheet.path(
                [(x - 1.7, y - 1.7), (x + 1.7, y - 1.7), (x + 1.7, y + 1.7), (x - 1.7, y + 1.7)], "hair", closed=True
            )
    sheet.word(0, 14, f"{met} of {of} meet every limit", "strong")
    y = HEAD + lines * PITCH + 16
    for name, count in groups:
        sheet.word(0, y, f"{count} fail: {name}", "soft")
        y += 15
    left = LEFT + NAME
    for x, text, look in ((left + 50, "of 1 000", "soft end"), (left + 66, "spread against the limit", "soft"), (left + 66 + HIST + 24, "to blame, share of the spread", "soft")):  # fmt: skip
        sheet.word(x, 14, text, look)
    for r, row in enumerate(rows):
        _row(sheet, left, HEAD + ROW * r, row)
    return sheet


def _row(sheet: Drawing, left: float, y: float, row: SpreadRow) -> None:
    sheet.word(left - 4, y + 14, row.name, "end")
    sheet.word(left + 50, y + 14, row.met, "end")
    begin = left + 66
    if row.counts:
        low, high = row.edges[0], row.edges[-1]
        if row.limit is not None:
            span = high - low
            low, high = min(low, row.limit - 0.06 * span), max(high, row.limit + 0.06 * span)
        scale = HIST / (high - low)
        if row.limit is not None:
            at = begin + (row.limit - low) * scale
            far = begin + HIST if row.most else begin
            sheet.box(min(at, far), y - 4, abs(far - at), ROW - 10, "f-shut")
            sheet.line(at, y - 4, at, y + ROW - 14, "ink")
        most = max(row.counts)
        for count, a, b in zip(row.counts, row.edges, row.edges[1:], strict=False):
            tall = (ROW - 16) * count / most
            sheet.box(begin + (a - low) * scale, y + ROW - 14 - tall, max((b - a) * scale - 0.6, 0.6), tall, "f-ink")
    sheet.line(begin, y + ROW - 14, begin + HIST, y + ROW - 14, "hair")
    x = begin + HIST + 24
    whole = max(sum(share for _, share in row.blame), 1.0)  # estimates may add up to a little more
    named = [*row.blame, ("rest", whole - sum(share for _, share in row.blame))] if row.blame else []
    for name, share in named:
        wide = max(share, 0.0) / whole * BLAME
        sheet.path([(x, y), (x + wide, y), (x + wide, y + 16), (x, y + 16)], "hair", closed=True)
        if wide > 5.4 * len(name) + 8:
            sheet.word(x + 4, y + 12, name)
        x += wide
