"""A sheet whose design is not whole yet: everything to build it with, what is still empty and where, and nothing that would hang on it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from markupsafe import Markup

from springwright.errors import SpringwrightError
from springwright.report.tables import capital
from springwright.vehicle.faults import Location, said_at
from springwright.workbench.model.axle_alone import axle_alone
from springwright.workbench.model.unfinished import Unfinished
from springwright.workbench.render.axle_words import AxleWords
from springwright.workbench.render.joints import places_of
from springwright.workbench.render.page import Page, SheetPart
from springwright.workbench.render.records import FIELDS, rest_of, told
from springwright.workbench.render.register import register, standing
from springwright.workbench.sections.place import drawn_links

# sections that stand open: without what is in them nothing can be worked out; of a design that was whole, the second alone
FIRST = ("weigh", "place")
STEPS_SAID = {
    "weigh": "What is it, in every state it runs in?", "aim": "How should it ride?", "place": "How is each wheel held?", "spring": "Which spring does that, and who makes it?",
    "damp": "How is it calmed?", "prove": "Is it good enough, and where does it stop being so?", "trade": "What is given up for what?", "measure": "Is it what was built?",
}  # fmt: skip


def unfinished(page: Page, part: SheetPart) -> Mapping[str, Any]:
    """What a part of an unfinished sheet shows: its blanks, how many are empty, and what in it is to be mended."""
    now = page.document.unfinished
    assert now is not None
    empty: dict[str, list[Location]] = {}
    for at in now.empty:
        empty.setdefault(_stands(at), []).append(at)
    mend: dict[str, list[str]] = {}
    for at, fault in now.to_mend:
        mend.setdefault(_stands(at), []).append(str(fault))
    records = rest_of(part.name)
    return {
        "part": part, "now": now, "empty": empty, "mend": mend, "wrong": [_stands(at) for at in page.document.wrong],
        "axles": [AxleWords(page.form, i) for i in range(len(now.data.get("axles", [])))] if part.name == "place" else [],
        "register": register(standing(now.data)) if part.name in ("place", "truck") else "",
        "asks": STEPS_SAID.get(part.name, ""), "opens": part.name in (FIRST if page.document.good is None else FIRST[1:]) or part.name in {*empty, *mend} or page.open(f"all-{part.name}"),
        "records": records,
        "goes": next((at for at, _ in now.to_mend if at), None), "first_fault": next((fault.message for _, fault in now.to_mend), ""),
        "links": {i: _links(page, now, i) for i in range(len(now.data.get("axles", [])))} if part.name == "place" else {},
        "axle_records": lambda i: told(page, ("axles", i), f"{AxleWords(page.form, i).name} axle"),
        "steps": [(one.name, capital(one.name)) for one in page.parts if one.step],
        "questions": page.shown.questions,
    }  # fmt: skip


def _links(page: Page, now: Unfinished, index: int) -> tuple[Markup | None, str]:
    """How an axle is held, drawn as soon as that is all written; or why it cannot be."""
    data, evaluation = now.data, page.document.evaluation
    made_from = (data["axles"][index], said_at(data, ("vehicle", "name")), page.view.system)
    return evaluation.last(f"axle alone {index}", made_from, lambda: _links_drawn(data, index, now.path))


def _links_drawn(data: Any, index: int, path: Path) -> tuple[Markup | None, str]:
    alone = axle_alone(data, index, path)
    if alone is None:
        return None, ""
    try:
        return drawn_links(*alone, index, places_of(data, index)), ""
    except SpringwrightError as fault:
        return None, str(fault)


def _stands(at: Location) -> str:
    """The section whose blanks hold a place: all of an axle, and what no section holds, in Place."""
    return next((name for name, held in FIELDS.items() if at and at[0] in held), "place")
