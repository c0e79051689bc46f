"""What happens along the travel of every axle, and the force at its wheel: a part of Place of its own, because a target that is dragged moves it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from springwright.report.travel_panel import NAMES, travel_figures
from springwright.report.wheel_force import force_figures
from springwright.workbench.render.page import Page, SheetPart


def force(page: Page) -> Mapping[str, Any]:
    """What the template shows, a picture to an axle; none where Place is folded."""
    if page.folded("place"):
        return {"figures": [], "along": [], "curves": ()}
    file, state = page.document.file, page.view.state
    same = (file, state, page.view.system)
    return {
        "figures": page.document.evaluation.last("force", same, partial(force_figures, file, state)),
        "along": page.document.evaluation.last(
            "along", (*same, page.view.curves), partial(travel_figures, file, state, page.view.curves)
        ),
        "curves": NAMES,
    }


PART = SheetPart("force", force)
