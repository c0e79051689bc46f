"""The sections of the worksheet: each a function that gives its template what it shows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from springwright.workbench.sections.aim import aim
from springwright.workbench.sections.beside import beside
from springwright.workbench.sections.damp import damp
from springwright.workbench.sections.head import foot, head, watch
from springwright.workbench.sections.order import order
from springwright.workbench.sections.place import place
from springwright.workbench.sections.prove import prove
from springwright.workbench.sections.spring import spring
from springwright.workbench.sections.text import text, truck
from springwright.workbench.sections.weigh import weigh

if TYPE_CHECKING:
    from springwright.workbench.page import Page


def _plain(_: Page) -> Mapping[str, Any]:
    return {}


SECTIONS: dict[str, Callable[[Page], Mapping[str, Any]]] = {
    "weigh": weigh, "aim": aim, "place": place, "spring": spring, "damp": damp, "prove": prove, "trade": _plain, "order": order,
    "measure": _plain, "text": text, "truck": truck, "beside": beside, "head": head, "watch": watch, "foot": foot,
}  # fmt: skip
