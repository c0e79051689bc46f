"""The sections of the worksheet, each a module and its template, in the order they stand on the page: a new one is those two and a row here."""

from __future__ import annotations

from springwright.workbench.render.page import SheetPart
from springwright.workbench.sections import aim, beside, damp, force, measure, order, place, prove, spring, trade, weigh
from springwright.workbench.sections.head import FOOT, HEAD, WATCH
from springwright.workbench.sections.text import TEXT, TRUCK

PARTS: tuple[SheetPart, ...] = (
    HEAD, WATCH, TRUCK, beside.PART, weigh.PART, aim.PART, place.PART, force.PART, spring.PART, damp.PART, prove.PART, trade.PART, order.PART, measure.PART, TEXT, FOOT,
)  # fmt: skip
