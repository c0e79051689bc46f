"""The window as a band chart: a row for each requirement, what it shuts shaded, the opening left white, the target as a plumb line."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from springwright.drawing.svg import Drawing
from springwright.sizing.window import SOFTEST, STIFFEST, Requirement, Window
from springwright.units import plain, show

WIDTH, NAMES, ROW, HEAD, FOOT = 700.0, 300.0, 24.0, 34.0, 46.0


def window_figure(window: Window) -> Drawing:
    """The window of one axle."""
    asked = [one for one in window.requirements if one.limit is not None]
    height = HEAD + ROW * len(asked) + FOOT
    sheet = Drawing(WIDTH, height, f"Window of the {window.axle} axle: {window.sentence}")
    low, high = _range(window, asked)

    def x(frequency: float) -> float:
        return NAMES + (WIDTH - NAMES - 20) * float(np.clip((frequency - low) / (high - low), 0, 1))

    base = HEAD + ROW * len(asked)
    sheet.word(0, HEAD - 14, f"{window.axle}{'' if window.softest is not None else ': no feasible range'}", "strong")
    for i, one in enumerate(asked):
        top = HEAD + ROW * i
        sheet.word(0, top + 16, _label(one))
        sheet.box(x(low), top + 3, x(high) - x(low), ROW - 6, "f-shut")
        shown = [edge for band in one.allowed for edge in band if low < edge < high]
        inside = any(a < high and b > low for a, b in one.allowed)
        if not shown and not inside:  # allowed only beyond what is drawn
            first = min(
                (edge for band in one.allowed for edge in band),
                key=lambda edge: abs(edge - window.target),
                default=None,
            )
            if first is not None:
                sheet.word(
                    (x(low) + x(high)) / 2,
                    top + 16,
                    f"from {plain(first, 2)} Hz" if first > high else f"up to {plain(first, 2)} Hz",
                    "soft middle",
                )
        for a, b in one.allowed:
            sheet.box(x(a), top + 3, x(b) - x(a), ROW - 6, "f-paper")
            for edge, at in (("left", a), ("right", b)):
                if low < at < high:
                    binding = at in (window.softest, window.stiffest)
                    sheet.line(x(at), top + 2, x(at), top + ROW - 2, "bold" if binding else "ink")
                    side = " end" if edge == "left" else ""
                    sheet.word(
                        x(at) + (-4 if edge == "left" else 4),
                        top + 16,
                        plain(at, 2),
                        ("strong" if binding else "soft") + side,
                    )
    sheet.line(x(low), base, x(high), base, "ink")
    for tick in np.arange(np.ceil(low / 0.2 - 1e-9) * 0.2, high + 1e-9, 0.2):
        sheet.line(x(tick), base, x(tick), base + 4, "ink")
        sheet.word(x(tick), base + 18, plain(float(tick), 1), "soft middle")
    sheet.word(
        (x(low) + x(high)) / 2, base + 34, "Hz on the springs alone, sprung mass; grey is ruled out", "soft middle"
    )
    sheet.word(x(low), base + 34, "softer", "soft")
    sheet.word(x(high), base + 34, "stiffer", "soft end")
    if window.softest is not None and window.stiffest is not None:
        sheet.line(x(window.softest), base - 1, x(window.stiffest), base - 1, "bold")
    sheet.line(x(window.target), HEAD - 8, x(window.target), base - 6, "pencil")
    sheet.dot(x(window.target), base - 6, 4, "f-pencil")
    sheet.word(x(window.target), HEAD - 14, plain(window.target, 2), "mine middle")
    return sheet


def _label(one: Requirement) -> str:
    if one.kind == "force":
        return one.name
    return f"{one.name}, {one.sense} {show(one.limit, one.kind, decimals=2 if one.kind == 'ratio' else None)}"


def _range(window: Window, asked: list[Requirement]) -> tuple[float, float]:
    """A range of frequencies that shows every edge near the target."""
    edges = [edge for one in asked for band in one.allowed for edge in band if SOFTEST < edge < STIFFEST]
    near = [edge for edge in [*edges, window.target] if 0.4 * window.target < edge < 2.2 * window.target]
    return np.floor((min(near) - 0.12) / 0.1) * 0.1, np.ceil((max(near) + 0.12) / 0.1) * 0.1


# Of one axle's bands on the worksheet, whose limits stand beside them: px of the whole, of a row, and above the rows for name and target.
BAND_WIDTH, BAND_ROW, BAND_TOP = 330.0, 26.0, 44.0


def band_range(windows: Sequence[Window]) -> tuple[float, float]:
    """One range of frequencies for all axles, so that their windows can be held against each other."""
    aims = [one.target for one in windows]
    ends = [
        edge
        for one in windows
        for edge in (one.softest, one.stiffest)
        if edge is not None and SOFTEST < edge < STIFFEST
    ]
    low = min([0.75 * min(aims), *(0.95 * edge for edge in ends)])
    high = max([1.3 * max(aims), *(1.08 * edge for edge in ends if edge < 2.5 * max(aims))])
    return float(np.floor(low / 0.1) * 0.1), float(np.ceil(high / 0.1) * 0.1)


def window_bands(  # noqa: C901 a picture from its top to its foot
    window: Window,
    rows: Sequence[Requirement | None],
    low: float,
    high: float,
    width: float = BAND_WIDTH,
    *,
    ink: str = "series-1",
    late: Collection[str] = (),
) -> Drawing:
    """One axle's bands without words at the left: a row for each requirement (None where the axle is not asked), its shut side shaded.

    What stays open reads as an opening over the full height; the bar at the foot is the window. `late` names
    requirements whose ends are for an older state.
    """
    foot = BAND_ROW * len(rows)
    sheet = Drawing(width, foot + 106, f"{window.axle} axle: {window.sentence}", top=-BAND_TOP)

    def x(frequency: float) -> float:
        return width * min(max((frequency - low) / (high - low), 0.0), 1.0)

    sheet.word(0, -30, window.axle.capitalize(), "strong")
    for i, one in enumerate(rows):
        top = BAND_ROW * i
        if one is None:
            continue
        allowed = [(a, b) for a, b in one.allowed if b > low and a < high]
        shut = [low, *(edge for a, b in allowed for edge in (max(a, low), min(b, high))), high]
        for a, b in zip(shut[::2], shut[1::2], strict=True):
            if b > a and not one.beside:
                sheet.box(x(a), top + 3, x(b) - x(a), 20, "f-shut")
        for a, b in allowed:
            for edge, left in ((a, True), (b, False)):
                if not low < edge < high:
                    continue
                binding = edge in (window.softest, window.stiffest) and not one.beside
                sheet.line(x(edge), top + 3, x(edge), top + 23, "bold" if binding else "dots" if one.beside else "hair")
                outward = -5 if left else 5
                side = " end" if left else ""
                if left and x(edge) < 34:
                    outward, side = 5, ""
                elif not left and x(edge) > width - 34:
                    outward, side = -5, " end"
                sheet.word(
                    x(edge) + outward,
                    top + 17,
                    plain(edge, 2),
                    ("strong" if binding and one.name not in late else "soft") + side,
                )
        outside = [
            edge for a, b in one.allowed for edge in (a, b) if SOFTEST < edge < STIFFEST and not low < edge < high
        ]
        if allowed and outside:
            left = outside[0] <= low
            sheet.word(
                6 if left else width - 6,
                top + 17,
                f"{plain(outside[0], 2)}, off the {'left' if left else 'right'}",
                f"soft{'' if left else ' end'}",
            )
        if not allowed:
            beyond = min(
                (edge for band in one.allowed for edge in band), key=lambda edge: abs(edge - low), default=None
            )
            words = (
                "never"
                if beyond is None
                else f"from {plain(beyond, 2)} Hz"
                if beyond > high
                else f"up to {plain(beyond, 2)} Hz"
            )
            sheet.word(width / 2, top + 17, words, "soft middle")
    sheet.line(0, foot + 34, width, foot + 34, "ink")
    if window.softest is not None and window.stiffest is not None:
        for edge in (window.softest, window.stiffest):
            if low < edge < high:
                sheet.line(x(edge), 0, x(edge), foot + 34, "hair")
        sheet.box(x(window.softest), foot + 12, x(window.stiffest) - x(window.softest), 6, f"f-{ink}")
    else:
        sheet.word(width / 2, foot + 19, "no feasible range", "strong middle")
    step = 0.1 if high - low < 0.7 else 0.2 if high - low < 1.6 else 0.5
    for tick in np.arange(np.ceil(low / step - 1e-9) * step, high + 1e-9, step):
        sheet.line(x(tick), foot + 34, x(tick), foot + 38, "hair")
        sheet.word(min(max(x(tick), 8.0), width - 8.0), foot + 46 + 4, plain(float(tick), 1), "soft middle")
    return sheet
