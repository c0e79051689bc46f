"""The window as a band chart: a row for each requirement, what it shuts shaded, the opening left white, the target as a plumb line."""

from __future__ import annotations

import numpy as np

from springwright.drawing.svg import Drawing
from springwright.studies.window import SOFTEST, STIFFEST, Requirement, Window
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
    sheet.word(0, HEAD - 14, f"{window.axle}{'' if window.softest is not None else ': shut'}", "strong")
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
