"""Words beside what they name: never one over another, never off the sheet, with a thin line to what they name where that is far."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, pi, sin

import numpy as np

from springwright.drawing.svg import Drawing

Box = tuple[float, float, float, float]  # left, top, right, bottom [px]

LETTER, STRONG, HALF = 7.0, 7.6, 7.0  # px: width of a letter, of a bold one, half the height of a line
REACHES = (8, 13, 19, 26, 34, 44, 56, 70, 86, 104, 126, 152, 184, 222, 268, 324, 392, 474)  # px from what is named
WAYS = 16
CELL = 4.0  # px, of the grid that ink is marked on
DIRECTIONS = tuple(
    (ahead, sin(2 * pi * k / WAYS), "" if ahead > 0.35 else "end" if ahead < -0.35 else "middle")
    for k in range(WAYS)
    for ahead in [cos(2 * pi * k / WAYS)]
)  # ahead, down, and by which end a word on that side is held
# cost of lying the wrong way, of a line across a word, of a cell of ink covered
TURN, CROSSING, COVER = 34.0, 70.0, 4.0


def width_of(text: str, look: str = "") -> float:
    """How wide a line of text is at most [px]."""
    return len(text) * (STRONG if "strong" in look else LETTER)


def spread(centres: Sequence[float], widths: Sequence[float], low: float, high: float, gap: float = 10.0) -> list[float]:  # fmt: skip
    """Places in a row, in order, moved apart so that no two overlap, all between `low` and `high` where there is room [px]."""
    at = list(centres)
    for i in range(len(at)):
        left = low if i == 0 else at[i - 1] + widths[i - 1] / 2 + gap
        at[i] = max(at[i], left + widths[i] / 2)
    for i in reversed(range(len(at))):
        right = high if i == len(at) - 1 else at[i + 1] - widths[i + 1] / 2 - gap
        at[i] = min(at[i], right - widths[i] / 2)
    return at


class Labels:
    """The words of a drawing as they are put, inside a frame [px]."""

    def __init__(self, sheet: Drawing, frame: Box) -> None:
        self.sheet, self.frame = sheet, frame
        self._words: list[Box] = []
        self._ink = np.zeros((int(sheet.height / CELL) + 2, int(sheet.width / CELL) + 2), dtype=bool)

    def avoid(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """A box of ink that words should rather not cover."""
        top, bottom, left, right = self._cells((min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)))
        self._ink[top : bottom + 1, left : right + 1] = True

    def avoid_line(self, points: Sequence[tuple[float, float]]) -> None:
        """A line of ink through points, likewise."""
        spots = np.array(points)
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(spots, axis=0).T))])
        at = np.linspace(0.0, along[-1], int(along[-1] / CELL * 1.5) + 2)
        rows, columns = (
            np.clip(np.interp(at, along, spots[:, k]) / CELL, 0, self._ink.shape[1 - k] - 1).astype(int) for k in (1, 0)
        )
        self._ink[rows, columns] = True

    def put(self, x: float, y: float, text: str, look: str = "") -> None:
        """A word at its own place, kept free from here on; `y` is its middle."""
        self._words.append(_box(x, y, text, look))
        self.sheet.word(x, y + 4, text, look)

    def somewhere(self, places: Sequence[tuple[float, float]], text: str, look: str = "") -> None:
        """A word at the first of some places, its left end and its middle, where it covers least ink and no other word; at the first of all where each is taken."""
        boxes = [_box(x, y, text, look) for x, y in places]
        free = [k for k, box in enumerate(boxes) if self._free(box)] or [0]
        best = min(free, key=lambda k: (self._covered(boxes[k]), k))
        self.put(*places[best], text, look)

    def beside(
        self,
        x: float,
        y: float,
        text: str,
        look: str = "",
        toward: tuple[float, float] = (1.0, 0.0),
        clear: float = 0.0,
    ) -> None:
        """A word as near as may be to a place, rather on the side that `toward` points to; left out where there is no room at all.

        `clear` px round the place are the mark's own.
        """
        best: tuple[float, float, float, str, Box] | None = None
        wide, far = width_of(text, look), hypot(*toward)
        for reach in REACHES:
            if best is not None and best[0] <= reach:
                break
            for ahead, down, held in DIRECTIONS:
                turn = TURN * (1 - (ahead * toward[0] + down * toward[1]) / far)
                if best is not None and reach + turn >= best[0]:
                    continue
                at, middle = x + (reach + clear) * ahead, y + (reach + clear) * down
                left = at - wide if held == "end" else at - wide / 2 if held else at
                box = (left, middle - HALF, left + wide, middle + HALF)
                if not self._free(box):
                    continue
                cost = reach + turn + COVER * self._covered(box)
                if reach > REACHES[2]:
                    cost += CROSSING * self._crossed((x, y), box)
                if best is None or cost < best[0]:
                    best = (cost, at, middle, held, box)
        if best is None:
            return
        _, at, middle, held, box = best
        end = (min(max(x, box[0]), box[2]), min(max(y, box[1] + 3), box[3] - 3))
        long = hypot(end[0] - x, end[1] - y)
        if long > REACHES[1] + clear:
            begin = (x + clear * (end[0] - x) / long, y + clear * (end[1] - y) / long)
            self.sheet.line(*begin, *end, "hair")
            self.avoid_line((begin, end))
        self._words.append(box)
        self.sheet.word(at, middle + 4, text, f"{look} halo {held}".strip())

    def _cells(self, box: Box) -> tuple[int, int, int, int]:
        """First and last row and column of the grid that a box touches, on the sheet."""
        rows, columns = self._ink.shape[0] - 1, self._ink.shape[1] - 1
        return (
            min(max(int(box[1] / CELL), 0), rows), min(max(int(box[3] / CELL), 0), rows),
            min(max(int(box[0] / CELL), 0), columns), min(max(int(box[2] / CELL), 0), columns),
        )  # fmt: skip

    def _covered(self, box: Box) -> int:
        """How many cells of ink a box covers."""
        top, bottom, left, right = self._cells(box)
        return int(np.count_nonzero(self._ink[top : bottom + 1, left : right + 1]))

    def _free(self, box: Box) -> bool:
        """Whether a box lies within the frame and touches no word; a word needs 2 px of air at its ends."""
        left, top, right, bottom = box
        frame = self.frame
        if left < frame[0] or top < frame[1] or right > frame[2] or bottom > frame[3]:
            return False
        return not any(w[0] < right + 2 and w[2] > left - 2 and w[1] < bottom and w[3] > top for w in self._words)

    def _crossed(self, begin: tuple[float, float], box: Box) -> int:
        """How many words a line from a place to a word would cross."""
        (x, y), end_x, end_y = begin, min(max(begin[0], box[0]), box[2]), min(max(begin[1], box[1]), box[3])
        left, right, top, bottom = min(x, end_x), max(x, end_x), min(y, end_y), max(y, end_y)
        near = [w for w in self._words if w[0] < right and w[2] > left and w[1] < bottom and w[3] > top]
        steps = [(x + (end_x - x) * i / 12, y + (end_y - y) * i / 12) for i in range(1, 12)] if near else []
        return sum(any(one[0] < px < one[2] and one[1] < py < one[3] for px, py in steps) for one in near)


def _box(x: float, y: float, text: str, look: str) -> Box:
    wide = width_of(text, look)
    left = x - wide if "end" in look.split() else x - wide / 2 if "middle" in look.split() else x
    return (left, y - HALF, left + wide, y + HALF)
