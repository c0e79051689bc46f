"""Aim: target frequencies, the window as a band chart whose plumb lines are the targets, the same springs in every state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from markupsafe import Markup

from springwright.drawing.shapes import axle_ink
from springwright.drawing.window import BAND_ROW, BAND_WIDTH, band_range, window_bands
from springwright.report.tables import Table, capital, signed
from springwright.sizing.window import Requirement, Window
from springwright.units import number, plain, unit_of
from springwright.workbench.render.limits import limit_place
from springwright.workbench.render.page import Page, SheetPart
from springwright.workbench.render.slider import slider

WIDER = 1.7


def aim(page: Page) -> Mapping[str, Any]:
    """What the template of Aim shows."""
    windows = windows_of(page)
    names = list(dict.fromkeys(one.name for window in windows for one in window.requirements if _drawn(one)))
    low, high = _steady(page, *band_range(windows))
    wide = BAND_WIDTH if len(windows) < 3 else BAND_WIDTH * 0.62
    bands = []
    for i, window in enumerate(windows):
        rows = {one.name: one for one in window.requirements}
        drawing = window_bands(
            window,
            [rows.get(name) for name in names],
            low,
            high,
            wide,
            ink=axle_ink(i),
            late=_late(page, window),
        )
        bands.append(Markup(drawing.svg(_target(page, i, low, high, wide, len(names)))))
    asks = []
    for name in names:
        one = next(r for window in windows for r in window.requirements if r.name == name and _drawn(r))
        asks.append(
            {
                "name": name,
                "sense": one.sense,
                "place": limit_place(page.design, one.id),
                "source": one.source,
                "beside": one.beside,
            }
        )
    missing = list(
        dict.fromkeys(
            (one.name, one.note) for window in windows for one in window.requirements if one.limit is None and one.note
        )
    )
    return {
        "bands": bands, "asks": asks, "missing": missing, "sentences": [capital(one.sentence) for one in windows], "states": _states(page),
        "late": "window" in page.shown.stale or page.shown.window is None, "open": [(one.softest, one.stiffest) for one in windows],
        "place": limit_place,
    }  # fmt: skip


def _steady(page: Page, low: float, high: float) -> tuple[float, float]:
    """The range drawn last, where it still shows everything and not much more: a target that is dragged does not move the scale under it."""
    last: tuple[float, float] = page.shown.beside.get("range", (low, high))
    if not (last[0] <= low and last[1] >= high and last[1] - last[0] < WIDER * (high - low)):
        last = (low, high)
    page.shown.beside["range"] = last
    return last


def _static(page: Page) -> set[str]:
    return {one.name for window in page.sheet.windows for one in window.requirements}


def _late(page: Page, window: Window) -> frozenset[str]:
    """Requirements whose ends are for an older state."""
    if "window" not in page.shown.stale:
        return frozenset()
    return frozenset(one.name for one in window.requirements) - _static(page)


def windows_of(page: Page) -> list[Window]:
    """The window of every axle, with what needs motion where that is known."""
    return [_merged(page, one) for one in page.sheet.windows]


def _merged(page: Page, own: Window) -> Window:
    """The full window where it is for this state; else the static ends, the others told as they were."""
    if page.shown.window is None:
        return own
    full = next((one for one in page.shown.window.windows if one.axle == own.axle), None)
    if full is None or "window" not in page.shown.stale:
        return full or own
    known = {one.name for one in own.requirements}
    return replace(own, requirements=(*own.requirements, *(one for one in full.requirements if one.name not in known)))


def _drawn(one: Requirement) -> bool:
    return one.limit is not None


def _target(page: Page, index: int, low: float, high: float, wide: float, rows: int) -> Markup:
    """The target's plumb line as a slider; where the axle has no target, nothing to drag."""
    axle = page.design.axles[index]
    if axle.target is None:
        return Markup("")
    x = (axle.target.frequency - low) / (high - low) * wide
    foot = rows * BAND_ROW + 30
    slide = {
        "at": ["axles", index, "target", "frequency"],
        "low": low,
        "high": high,
        "wide": wide,
        "unit": "Hz",
        "step": 0.01,
        "label": f"{axle.name} target",
    }
    now = plain(axle.target.frequency, 2)
    marks = Markup(
        '<path class="grip" d="M{},-6 V{}" stroke="transparent" stroke-width="16" fill="none"/><path class="pencil" d="M{},-6 V{}"/><path class="f-pencil" d="M{},{} l-5,-11 l2,-5 h6 l2,5 z"/>'
        '<text class="mine middle" x="{}" y="-12">{}</text>'
    ).format(f"{x:.1f}", foot - 8, f"{x:.1f}", foot - 8, f"{x:.1f}", foot + 6, f"{x:.1f}", now)
    ends = (f"{low:.1f}", f"{high:.1f}")
    return slider(f"t-{index}", "target", f"{axle.name} target, Hz", now, ends, slide, marks)


def _states(page: Page) -> Table:
    """The same springs in every load state."""
    axles = [axle.name for axle in page.design.axles]
    length = unit_of("length")
    head = [
        "",
        *(f"{name}, springs alone Hz" for name in axles),
        *(f"{name}, with tyre Hz" for name in axles),
        *(f"{name} stands higher {length}" for name in axles),
    ]
    rows = tuple(
        (
            rest.name, *(number(one.frequency_on_springs, "frequency") for one in rest.axles), *(number(one.frequency_with_tyre, "frequency") for one in rest.axles),
            *(signed(one.rise, 1) for one in rest.axles),
        )
        for rest in page.sheet.rests
    )  # fmt: skip
    now = next((i for i, rest in enumerate(page.sheet.rests) if rest.name == page.view.state), None)
    return Table(
        "The same springs in every state",
        tuple(head),
        rows,
        "l" + "r" * (len(head) - 1),
        now,
        "Higher than in the design position.",
    )


WINDOW_LIMITS = ("bump_load_factor", "height_change", "attitude_change", "roll_gradient", "cross_axle_height", "side_slope", "drop_height", "belly_clearance", "seat_acceleration", "shock", "preload_at_droop")  # fmt: skip
PART = SheetPart(
    "aim",
    aim,
    step=True,
    edits=("axles.target", "reference", *(f"limits.{name}" for name in WINDOW_LIMITS)),
    hangs_on=lambda page: (id(page.shown.window), "window" in page.shown.stale),
)
