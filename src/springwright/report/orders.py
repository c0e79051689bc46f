"""Order pages: one for each axle's springs, and for any part on its own, as texts and a drawing."""

from __future__ import annotations

from typing import Any, NamedTuple

from springwright.drawing.svg import Drawing
from springwright.parts.record import PartRecord
from springwright.report.parts import part_figure, part_order
from springwright.sizing.sheet import Sheet


class OrderPage(NamedTuple):
    """One order page."""

    texts: dict[str, Any]
    drawing: Drawing | None


def order_pages(sheet: Sheet) -> list[OrderPage]:
    """A page for each axle that has a real spring."""
    pages = []
    for one in sheet.springs:
        if one.record is not None:
            pages.append(part_page(one.record))
        pages += [part_page(record) for record in one.helpers]
    return pages


def part_page(record: PartRecord) -> OrderPage:
    """The page of one part."""
    return OrderPage(
        {**part_order(record), "scale": bool(record.leaves) or record.coil is not None}, part_figure(record)
    )
