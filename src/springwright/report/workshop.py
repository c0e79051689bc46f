"""Workshop sheets typeset: one page each, with the vehicle drawn, blanks, what is due beside them, and cautions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from springwright.commission.workshop import Blank, WorkshopSheet
from springwright.drawing.elevation import elevation_drawing
from springwright.report.measure import figure_told
from springwright.report.tables import Section, Table
from springwright.report.typeset import compiled, today
from springwright.scenes.elevation import elevation, farthest_state
from springwright.units import unit_of
from springwright.vehicle.file import DesignFile

PICTURE = 700.0  # px that the vehicle is drawn wide
FILLED = {"Push it down": 1, "Bounce and rap": 3, "Lean and drive": 3}  # empty lines of a sheet's tables


def workshop_pdf(sheets: Sequence[WorkshopSheet], file: DesignFile) -> bytes:
    """The sheets as a PDF."""
    scene = elevation(file, None, farthest_state(file))
    pictures = {"vehicle.svg": elevation_drawing(scene, PICTURE).standalone().encode()}
    drawn = [_drawn(one) for one in sheets]
    vehicle = file.design.vehicle
    data = {
        "vehicle": vehicle.name,
        "file": file.path.name,
        "date": today(),
        "invented": vehicle.invented,
        "sheets": drawn,
    }
    return compiled(data, pictures, "workshop.typ")


def _drawn(one: WorkshopSheet) -> dict[str, Any]:
    """A sheet as its template has it."""
    return {
        "title": one.title,
        "asks": one.asks,
        "tools": list(one.tools),
        "steps": list(one.steps),
        "picture": "vehicle.svg",
        "rows": [
            {"what": blank.what, "due": figure_told(blank.due, blank.kind, unit=False), "range": _range(blank), "unit": unit_of(blank.kind)}
            for blank in one.blanks
        ],
        "columns": [{"name": name, "heads": list(heads), "lines": FILLED.get(one.title, 1)} for name, heads in one.columns],
        "cautions": list(one.cautions),
    }  # fmt: skip


def _range(blank: Blank, *, unit: bool = False) -> str:
    return f"{figure_told(blank.low, blank.kind, unit=False)} to {figure_told(blank.high, blank.kind, unit=unit)}"


def workshop_section(sheets: Sequence[WorkshopSheet]) -> Section:
    """The sheets as tables."""
    tables = tuple(
        Table(
            one.title, ("", "due", "range", "read"),
            tuple((blank.what, figure_told(blank.due, blank.kind), _range(blank, unit=True), "") for blank in one.blanks),
            "lrrr", note=" ".join(one.steps),
        )
        for one in sheets
    )  # fmt: skip
    cautions = tuple(dict.fromkeys(caution for one in sheets for caution in one.cautions))
    return Section(
        "Measure",
        "What is to be read, and what is due?",
        ("Each range holds 95 of 100 vehicles built within the drawing's tolerances and read with usual care.",),
        tables,
        cautions,
    )
