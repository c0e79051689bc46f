"""Place: how each wheel is held, its points and mounts as blanks, drawn from three sides, and what moves along the travel."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from markupsafe import Markup

from springwright.errors import SpringwrightError
from springwright.report.geometry import geometry_figure, geometry_section, joints_of
from springwright.report.tables import Section
from springwright.sizing.axle_geometry import geometry
from springwright.units import number, unit_of
from springwright.vehicle.faults import Location
from springwright.vehicle.file import DesignFile, parsed
from springwright.workbench.render.axle_words import AxleWords
from springwright.workbench.render.joints import handles, places_of
from springwright.workbench.render.page import Page, SheetPart, but_targets
from springwright.workbench.render.records import told
from springwright.workbench.render.register import register, standing


def place(page: Page) -> Mapping[str, Any]:
    """What the template of Place shows, an entry to an axle."""
    return {
        "axles": [_axle(page, i) for i in range(len(page.design.axles))],
        "register": register(standing(page.form.data)),
    }


def _axle(page: Page, index: int) -> dict[str, Any]:
    axle, file = page.design.axles[index], page.document.file
    # how a wheel is held does not hang on targets or loads: worked out anew only when the axle itself is changed
    leaf = (
        page.sheet.springs[index].record if axle.spring.leaf is not None else None
    )  # a leaf spring holds its axle too
    same = (axle.model_copy(update={"target": None}), page.view.system, leaf)
    section, links, fault, centre = page.document.evaluation.last(
        f"place {index}", same, lambda: _looked_at(file, index)
    )
    rate = page.sheet.rates[index]
    words = AxleWords(page.form, index)
    follows = {"sprung": [("motion ratio", number(rate.motion_ratio, "ratio"))], "held": centre}
    return {
        "name": axle.name, "index": index, "kind": axle.kind, "words": words, "follows": follows, "all": told(page, ("axles", index), f"{axle.name} axle"), "section": section, "links": links,
        "fault": fault, "ratio": number(rate.motion_ratio, "ratio"),
    }  # fmt: skip


def _looked_at(file: DesignFile, index: int) -> tuple[Section | None, Markup | None, str, list[tuple[str, str]]]:
    name = file.design.axles[index].name
    try:
        result = geometry(file, name)
        links = drawn_links(file, index, index, places_of(parsed(file.text), index))
    except SpringwrightError as fault:
        return None, None, str(fault), []
    still = min(result.positions, key=lambda one: abs(one.travel))
    centre = (
        [] if still.roll_centre is None else [(f"roll centre {unit_of('length')}", number(still.roll_centre, "length"))]
    )
    return geometry_section(result), links, "", centre


def drawn_links(file: DesignFile, at: int, index: int, places: Mapping[str, Location]) -> Markup:
    """An axle as parts, by its place in a design, with handles on the joints that are written at `places` for the axle of that number on the sheet.

    Raises
    ------
    SpringwrightError
        The links do not reach over the travel.

    """
    axle = file.design.axles[at]
    drawn = geometry_figure(file, axle.name)
    over = handles(index, axle, joints_of(file, axle.name)[1], places) if places else Markup("")
    return Markup(drawn.svg(over))


def _shows(page: Page) -> Any:
    """All but the targets: where one alone was moved this stays."""
    rates, springs = page.sheet.rates, page.sheet.springs
    return (
        *but_targets(page),
        page.document.file if any(page.open(f"all-axle-{i}") for i in range(len(page.design.axles))) else None,
        [one.motion_ratio for one in rates],
        [
            one.record if axle.spring.leaf is not None else None
            for one, axle in zip(springs, page.design.axles, strict=True)
        ],
    )


PART = SheetPart(
    "place", place, step=True, edits=("axles", "axles.spring.acts", "axles.spring.installed_length"), shows=_shows
)
