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
            pages.append(part_page(one.record, sheet.estimated))
        pages += [part_page(record, sheet.estimated) for record in one.helpers]
    return pages


def part_page(record: PartRecord, estimated: str = "") -> OrderPage:
    """The page of one part; one whose figures hang on what is `estimated` says so, and has no blank to be signed."""
    scale = bool(record.leaves) or record.coil is not None
    says = f"Not to be ordered by yet: {estimated}." if estimated else ""
    return OrderPage({**part_order(record), "scale": scale, "estimated": says}, part_figure(record))
