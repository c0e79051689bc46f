"""Weigh: scales, the raised end, what goes aboard, the states it runs in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from springwright.drawing.bars import bar_on_rail
from springwright.report.content import weigh_tables
from springwright.units import number
from springwright.vehicle.weigh import raised_height
from springwright.workbench.render.page import Page, SheetPart, but_targets

INKS = ("series-1", "series-2", "series-3")


def weigh(page: Page) -> Mapping[str, Any]:
    """What the templates of Weigh show."""
    sheet, design = page.sheet, page.design
    kerb = design.kerb
    scales = None
    if kerb.scales is not None:
        right = iter(range(len(kerb.scales.right)))
        scales = []
        for i, axle in enumerate(design.axles):
            r = next(right, None) if axle.wheels == 2 else None
            both = kerb.scales.left[i] + (kerb.scales.right[r] if r is not None else 0.0)
            scales.append((axle.name, i, r, number(both, "mass")))
    top = max(
        [load.load for rest in sheet.rests for load in rest.axles] + [axle.rating or 0.0 for axle in design.axles]
    )
    states = []
    for i, (state, rest) in enumerate(zip(sheet.states, sheet.rests, strict=True)):
        bars = bar_on_rail(
            [
                (one.load, axle.rating, INKS[min(k, 2)])
                for k, (one, axle) in enumerate(zip(rest.axles, design.axles, strict=True))
            ],
            top,
            f"Axle loads, {state.name}",
        )
        x, y, z = state.cg
        states.append(
            {"index": i, "name": state.name, "loads": [number(one.load, "mass") for one in rest.axles], "total": number(state.mass, "mass"), "bars": bars,
             "cg": (number(-x, "length"), number(y, "length"), number(z, "length"))}
        )  # fmt: skip
    aboard = [[item.name in state.aboard for state in design.states] for item in design.items]
    kerb_row = next((one for one in sheet.kerb.workings if one.title == raised_height.title), None)
    return {
        "scales": scales, "states": states, "aboard": aboard, "kerb_cg": number(sheet.kerb.cg[2], "length"), "working": kerb_row, "total": number(sheet.kerb.mass, "mass"),
        "more": weigh_tables(sheet), "overloads": [one for one in sheet.ratings if one.word == "not met"],
    }  # fmt: skip


def _shows(page: Page) -> Any:
    """All but the targets, and the loads to the gram: where a target alone was moved this stays."""
    sheet = page.sheet
    loads = [round(one, 3) for state in sheet.rests for axle in state.axles for one in (axle.load, *axle.wheel_loads)]
    return *but_targets(page), loads, sheet.states, sheet.ratings


PART = SheetPart(
    "weigh", weigh, step=True, edits=("kerb", "items", "states", "inertia", "built", "design_state"), shows=_shows
)
