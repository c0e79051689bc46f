"""Damp: force against speed with points to drag, and damping by mode and load state."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from markupsafe import Markup

from springwright.drawing.part import DamperGrid, damper_figure
from springwright.questions.at_rest import motions_in_each
from springwright.report.tables import Table
from springwright.sizing.part_results import damper_points, part, part_names
from springwright.units import number, plain, show
from springwright.workbench.render.page import Page, SheetPart
from springwright.workbench.render.records import told
from springwright.workbench.render.slider import slider


def damp(page: Page) -> Mapping[str, Any]:
    """What the template of Damp shows, an entry to an axle."""
    names = part_names(page.document.file)
    axles = []
    for i, axle in enumerate(page.design.axles):
        there = f"{axle.name} damper" in names
        axles.append(
            {"index": i, "name": axle.name, "there": there, "figure": _curve(page, i) if there else None, "given": axle.damper is not None and axle.damper.points is not None and axle.damper.test_sheet is None,
             "sheet": axle.damper.test_sheet if axle.damper else None, "damping": page.sheet.rates[i].damping,
             "record": told(page, ("axles", i, "damper"), f"{axle.name} damper", but=("acts", "points", "zones")), "points": list(axle.damper.points) if axle.damper and axle.damper.points else []}
        )  # fmt: skip
    return {"axles": axles, "modes": _modes(page)}


def _curve(page: Page, index: int) -> Markup:
    """The damper's law, each of its points a handle where they are written in the file."""
    axle, file = page.design.axles[index], page.document.file
    same = (axle, page.sheet.rates[index].damping, page.view.system)
    drawing, grid = page.document.evaluation.last(
        f"damper {index}", same, lambda: damper_figure(part(file, f"{axle.name} damper"))
    )
    handles = Markup("")
    if axle.damper is not None and axle.damper.points is not None and axle.damper.test_sheet is None:
        for k, (speed, force) in enumerate(axle.damper.points):
            if speed == 0:
                continue  # nought, whatever the damper
            handles += _handle(index, k, speed, force, grid)
    return Markup(drawing.svg(handles))


def _handle(index: int, k: int, speed: float, force: float, grid: DamperGrid) -> Markup:
    x, y = (f"{one:.1f}" for one in grid.at(speed, force))
    slide = {
        "at": ["axles", index, "damper", "points", k, 1], "vertical": True, "low": grid.least, "high": grid.most, "top": grid.top, "tall": grid.tall, "unit": "N", "step": 10.0,
        "label": f"damper force at {show(speed, 'piston speed')}",
    }  # fmt: skip
    marks = Markup(
        '<circle cx="{}" cy="{}" r="12" fill="transparent"/><circle class="f-pencil" cx="{}" cy="{}" r="4.5"/>'
    ).format(x, y, x, y)
    ends = (f"{grid.least:.0f}", f"{grid.most:.0f}")
    return slider(
        f"d-{index}-{k}", "handle", f"force at {show(speed, 'piston speed')}, N", f"{force:.0f}", ends, slide, marks
    )


def _modes(page: Page) -> Table:
    """Frequency and damping ratio of every mode in each load state, damped."""
    each = motions_in_each(page.document.file)
    names = list(dict.fromkeys(mode.name for _, modes in each for mode in modes))
    rows = []
    for state, modes in each:
        by = {mode.name: mode for mode in modes}
        rows.append((state, *(_mode(by.get(name)) for name in names)))
    now = next((i for i, (state, _) in enumerate(each) if state == page.view.state), None)
    return Table(
        "Damping ratio and frequency of every motion",
        ("", *names),
        tuple(rows),
        "l" + "r" * len(names),
        now,
        "Share of critical, and Hz, about rest: damper slopes next to rest, bump and rebound in the mean.",
    )


def _mode(mode: Any) -> str:
    if mode is None:
        return "–"
    ratio = "–" if mode.damping_ratio is None else plain(mode.damping_ratio, 2)
    return f"{ratio} at {number(mode.frequency, 'frequency')}"


def points_of(page_file: Any, index: int) -> list[list[str]]:
    """A damper's law as points for the file: speed and force with their units."""
    return [
        [f"{float(speed):.4g} m/s", f"{float(np.round(force)):.6g} N"]
        for speed, force in damper_points(page_file, index)
    ]


PART = SheetPart("damp", damp, step=True, edits=("axles.damper",))
