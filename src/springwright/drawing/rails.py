"""What may vary, each on a rail from the least to the most: where designs lie that meet every limit, the best compromises, today, and one picked."""

from __future__ import annotations

from collections.abc import Sequence

from springwright.drawing.svg import Drawing

WIDTH, HEIGHT, SIDE = 240.0, 24.0, 8.0
PRESSED = 0.02  # of a rail within which what lies on it is said to press against its end


def rail_drawing(
    title: str, lies: tuple[float, float] | None, best: Sequence[float], today: float | None, picked: float | None
) -> Drawing:
    """Places from 0, the least that is allowed, to 1."""
    sheet = Drawing(WIDTH, HEIGHT, title)

    def at(share: float) -> float:
        return SIDE + min(max(share, 0.0), 1.0) * (WIDTH - 2 * SIDE)

    middle = HEIGHT / 2
    sheet.line(at(0), middle, at(1), middle, "hair")
    for end in (0.0, 1.0):
        sheet.line(at(end), middle - 5, at(end), middle + 5, "ink")
    if lies is not None:
        sheet.box(at(lies[0]), middle - 2.5, max(at(lies[1]) - at(lies[0]), 1.5), 5, "f-soft")
    for one in sorted({round(at(one), 1) for one in best}):
        sheet.line(one, middle - 5, one, middle + 5, "hair")
    if today is not None:
        sheet.line(at(today), middle - 9, at(today), middle + 9, "bold")
    if picked is not None:
        sheet.dot(at(picked), middle, 5.5, "f-paper")
        sheet.dot(at(picked), middle, 5.5, "pencil")
    return sheet


def limit_rail(title: str, value: float, span: tuple[float, float], least: float | None, most: float | None) -> Drawing:
    """A figure on a rail of its own; what its limits shut is filled, and each limit is an edge."""
    sheet = Drawing(WIDTH, HEIGHT, title)
    low, high = span

    def at(one: float) -> float:
        return SIDE + min(max((one - low) / (high - low), 0.0), 1.0) * (WIDTH - 2 * SIDE)

    middle = HEIGHT / 2
    for begin, end, limit in ((low, least, least), (most, high, most)):
        if begin is not None and end is not None and limit is not None:
            sheet.box(at(begin), middle - 5, at(end) - at(begin), 10, "f-shut")
            sheet.line(at(limit), middle - 8, at(limit), middle + 8, "bold")
    sheet.line(at(low), middle, at(high), middle, "hair")
    sheet.dot(at(value), middle, 4.5, "f-ink")
    return sheet


def presses(lies: tuple[float, float] | None) -> str:
    """At which end of its rail what meets every limit presses against it: there the range might be opened."""
    if lies is None:
        return ""
    low, high = lies[0] <= PRESSED, lies[1] >= 1 - PRESSED
    return "at both ends" if low and high else "at the least" if low else "at the most" if high else ""
