"""Order: what is to be bought, page by page, and everything that can be taken away from the sheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from springwright.report.parts import part_order
from springwright.report.tables import Table
from springwright.workbench.render.page import Page, SheetPart

# What may be taken: name of the route, words, whether it is worked out anew.
TAKEN = (
    ("report.pdf", "the whole case, typeset"),
    ("orders.pdf", "the sizing and its order sheets"),
    ("sheet.html", "the sizing as one page"),
    ("sizing.csv", "the sizing as a table"),
    ("answers.csv", "every figure of the seven answers"),
    ("design.toml", "the design file as it stands here"),
)


def order(page: Page) -> Mapping[str, Any]:
    """What the template of Order shows."""
    pages = []
    for one in page.sheet.springs:
        if one.record is not None:
            pages.append(part_order(one.record))
        pages += [part_order(record) for record in one.helpers]
    tables = [Table(**{**texts["table"], "caption": "Loads and lengths"}) for texts in pages]
    missing = [axle.axle for axle in page.sheet.springs if axle.record is None]
    return {"pages": list(zip(pages, tables, strict=True)), "taken": TAKEN, "missing": missing}


PART = SheetPart("order", order, step=True)
