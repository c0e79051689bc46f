"""Order pages: one for each axle's springs, and for any part on its own, as texts and a drawing."""

from __future__ import annotations

from typing import Any, NamedTuple

from springwright.drawing.svg import Drawing
from springwright.parts.record import PartRecord
from springwright.report.parts import part_figure, part_order
from springwright.sizing.fitted import sized
from springwright.sizing.part_results import part, part_names
from springwright.sizing.sheet import Sheet
from springwright.vehicle.file import DesignFile


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


def every_page(file: DesignFile) -> list[OrderPage]:
    """A page for every part that is to be ordered: springs, then dampers, bars and the bump stops that are given."""
    sheet = sized(file)
    stops = {f"{axle.name} bump stop" for axle in file.design.axles if axle.bump_stop is not None}
    others = [name for name in part_names(file) if name.endswith((" damper", " bar")) or name in stops]
    return [*order_pages(sheet), *(part_page(part(file, name), sheet.estimated) for name in others)]
