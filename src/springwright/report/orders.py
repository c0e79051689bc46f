"""Order pages: one for each axle's springs, and for any part on its own, as texts and a drawing."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any, NamedTuple

from springwright.drawing.spring import spring_figure
from springwright.drawing.svg import Drawing
from springwright.parts.record import PartRecord
from springwright.report.parts import part_figure, part_order
from springwright.report.springs import failures, order_table
from springwright.sizing.order import Order
from springwright.sizing.sheet import Sheet
from springwright.units import plain, show


class OrderPage(NamedTuple):
    """One order page."""

    texts: dict[str, Any]
    drawing: Drawing | None


def order_pages(sheet: Sheet) -> list[OrderPage]:
    """A page for each axle that has a real spring."""
    pages = []
    for one in sheet.springs:
        if one.order is not None:
            pages.append(OrderPage({**order_data(one.order), "scale": True}, spring_figure(one.order)))
        elif one.record is not None:
            pages.append(part_page(one.record))
        pages += [part_page(record) for record in one.helpers]
    return pages


def part_page(record: PartRecord) -> OrderPage:
    """The page of one part."""
    return OrderPage({**part_order(record), "scale": bool(record.leaves)}, part_figure(record))


def order_data(order: Order) -> dict[str, Any]:
    """One order as texts."""
    facts = [("spring rate", show(order.rate, "rate"))]
    for name, value, kind, decimals in (
        ("wire or bar", order.wire, "length", 1), ("mean diameter", order.mean_diameter, "length", 1), ("outside diameter", order.outside_diameter, "length", 1),
        ("free length", order.free_length, "length", 1), ("solid length", order.solid_length, "length", 1), ("shortest length allowed", order.least_length, "length", 1),
        ("mass, each", order.mass, "mass", 2),
    ):  # fmt: skip
        if value is not None:
            facts.append((name, show(value, kind, decimals)))
    if order.active_coils is not None:
        total = "" if order.total_coils is None else f" of {plain(order.total_coils, 2)}"
        facts.insert(4, ("active coils", plain(order.active_coils, 2) + total))
    if order.spacer:
        facts.append(("spacer, on the vehicle", show(order.spacer, "length")))
    return {
        "axle": order.axle,
        "heading": f"{'Spring to keep' if order.origin == 'existing' else 'Spring order'}, {order.axle} axle",
        "quantity": order.quantity,
        "label": order.label,
        "maker": order.maker,
        "material": order.material,
        "ends": order.ends,
        "facts": facts,
        "loads": "Loads and lengths",
        "limits": [],
        "table": asdict(order_table(order)),
        "tolerances": [
            (one.measure, "± " + show(one.value, one.kind, 1 if one.kind == "length" else None), one.source)
            for one in order.tolerances
        ],
        "arrival": list(order.arrival),
        "failures": failures(order),
        "remarks": [remark for remark in order.remarks if remark],
    }
