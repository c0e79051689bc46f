"""The file as it stands, and the vehicle drawn to scale."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from markupsafe import Markup

from springwright.drawing.elevation import elevation_drawing
from springwright.scenes.elevation import elevation, farthest_state
from springwright.workbench.render.page import Page, SheetPart
from springwright.workbench.render.truck_handles import truck_handles


def text(page: Page) -> Mapping[str, Any]:
    """The text of the file."""
    return {"lines": page.document.text.count("\n"), "said": page.document.text_said}


def truck(page: Page) -> Mapping[str, Any]:
    """Side and end view in the load state chosen, the state whose mass differs most ghosted."""
    file, state = page.document.file, page.view.state
    stands = elevation(file, state, farthest_state(file, state))
    same = (stands, page.view.system)  # most edits move nothing that is drawn
    drawing = page.document.evaluation.last("truck", same, partial(elevation_drawing, stands))
    stretch = page.open("stretch")
    return {"drawing": Markup(drawing.svg(truck_handles(file, stands, stretch=stretch))), "stretch": stretch}


TEXT = SheetPart("text", text, hangs_on=lambda page: (page.document.text_said,))
TRUCK = SheetPart("truck", truck)
