"""The typeset order sheet: one page to order each axle's springs by, then how they were chosen, then the working."""

from __future__ import annotations

import json
import tempfile
from dataclasses import asdict
from datetime import date
from importlib.resources import files
from typing import Any

from springwright.drawing.spring import spring_figure
from springwright.drawing.svg import Drawing
from springwright.drawing.window import window_figure
from springwright.formula import Working
from springwright.report.content import sections
from springwright.report.equations import equation
from springwright.report.springs import failures, order_table
from springwright.sizing.order import Order
from springwright.studies.sheet import Sheet
from springwright.units import plain, show


def as_pdf(sheet: Sheet) -> bytes:
    """The whole sheet as a PDF. Texts reach the template as data only, so nothing a user wrote is ever run."""
    import typst

    pictures: dict[str, bytes] = {}
    data = content(sheet, pictures)
    template = (files("springwright.report") / "sheet.typ").read_bytes()
    with tempfile.TemporaryDirectory() as empty:
        inputs = {"main.typ": template, "data.json": json.dumps(data).encode(), **pictures}
        compiler: Any = typst  # its types do not know that inputs may be a dictionary of files
        return bytes(compiler.compile(inputs, root=empty, ignore_system_fonts=True))


def as_png(drawing: Drawing) -> bytes:
    """A drawing as a picture, 200 points to the inch, on white."""
    import typst

    page = '#set page(width: auto, height: auto, margin: 8pt)\n#image("drawing.svg")'
    with tempfile.TemporaryDirectory() as empty:
        compiler: Any = typst
        inputs = {"main.typ": page.encode(), "drawing.svg": drawing.standalone().encode()}
        return bytes(compiler.compile(inputs, root=empty, ignore_system_fonts=True, format="png", ppi=200))


def content(sheet: Sheet, pictures: dict[str, bytes]) -> dict[str, Any]:
    """The data of the template; drawings and equations go into `pictures` by file name."""
    orders = [order_data(one.order) for one in sheet.springs if one.order]
    for i, one in enumerate(one for one in sheet.springs if one.order):
        drawn = spring_figure(one.order) if one.order else None
        orders[i]["picture"] = f"spring{i}.svg" if drawn else ""
        if drawn:
            pictures[f"spring{i}.svg"] = drawn.standalone().encode()
    windows = []
    for i, window in enumerate(sheet.windows):
        pictures[f"window{i}.svg"] = window_figure(window).standalone().encode()
        windows.append({"picture": f"window{i}.svg", "axle": window.axle, "sentence": window.sentence})
    return {
        "vehicle": sheet.vehicle,
        "file": sheet.file,
        "invented": sheet.invented,
        "state": sheet.design_state,
        "date": date.today().strftime("%-d %B %Y"),
        "orders": orders,
        "missing": [f"{one.axle}: {one.fitted.label}" for one in sheet.springs if one.order is None],
        "windows": windows,
        "sections": [asdict(section) for section in sections(sheet)],
        "workings": [_work(i, work, pictures) for i, work in enumerate(sheet.workings)],
        "notes": list(sheet.notes),
        "cautions": list(sheet.cautions),
    }


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
        "heading": f"{'Spring to keep' if order.origin == 'owned' else 'Spring order'}, {order.axle} axle",
        "quantity": order.quantity,
        "label": order.label,
        "maker": order.maker,
        "material": order.material,
        "ends": order.ends,
        "facts": facts,
        "table": asdict(order_table(order)),
        "tolerances": [
            (one.measure, "± " + show(one.value, one.kind, 1 if one.kind == "length" else None), one.source)
            for one in order.tolerances
        ],
        "arrival": list(order.arrival),
        "failures": failures(order),
        "remarks": [remark for remark in order.remarks if remark],
    }


def _work(i: int, work: Working, pictures: dict[str, bytes]) -> dict[str, Any]:
    pictures[f"work{i}.svg"] = equation(work).encode()
    return {
        "title": work.title,
        "subject": work.subject,
        "picture": f"work{i}.svg",
        "text": work.as_text(),
        "terms": [(term.plain_symbol, term.meaning, term.plain_value) for term in work.terms],
        "source": work.source,
    }
