"""A part told whole: its dimensions, loads, stresses and what to order, as tables, as an order page, and drawn."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from springwright.drawing.part import law_figure, leaf_figure
from springwright.drawing.spring import spring_figure
from springwright.drawing.svg import Drawing
from springwright.parts.record import CoilShape, Dimension, PartRecord
from springwright.report.tables import Section, Table, capital, judged_row, judged_sentence
from springwright.units import number, plain, scale_of, show, unit_of

LONG_TEXT = 30  # of letters: what is longer stands under the figures of an order page


def part_section(record: PartRecord) -> Section:
    """Everything about one part."""
    tables = [
        Table("Dimensions", ("", "", ""), tuple(_row(one) for one in record.dimensions), "lrl", note="calculated: follows from the rest."),
    ]  # fmt: skip
    if record.points:
        tables.append(loads_table(record))
    elif record.marks:
        tables.append(_marks_table(record))
    if record.judged:
        tables.append(judged_table(record))
    if record.tolerances:
        rows = tuple(
            (one.measure, "± " + show(one.value, one.kind, 1 if one.kind == "length" else None), one.source)
            for one in record.tolerances
        )
        tables.append(Table("Ask for", ("", "", ""), rows, "lrl"))
    if record.arrival:
        tables.append(Table("Check on arrival", ("", ""), tuple((f"{i}", capital(step)) for i, step in enumerate(record.arrival, 1)), "rl"))  # fmt: skip
    says = [
        f"{capital(record.axle)} {record.kind}, {record.quantity} to the axle."
        if record.quantity
        else f"{capital(record.axle)} {record.kind}."
    ]
    if record.material:
        says.append(capital(record.material) + ".")
    says += [
        f"{capital(said)}."
        for said in (*record.misfits, *(judged_sentence(one) for one in record.judged if one.word == "not met"))
    ]
    return Section(
        "Part", "What is it, and will it last?", tuple(says), tuple(tables), (*record.remarks, *record.cautions)
    )


def _row(one: Dimension) -> tuple[str, str, str]:
    if one.text:
        return one.name, one.text, ""
    places = 1 if one.kind in ("length", "mass") else 2 if one.kind in ("ratio", "speed") else None
    if one.kind == "ratio" and one.value is not None and one.value == int(one.value):
        places = 0
    return (
        one.name,
        f"{number(one.value, one.kind, places)} {unit_of(one.kind)}".strip(),
        "calculated" if one.found else "",
    )


def loads_table(record: PartRecord) -> Table:
    """Loads at the places of the travel, or at a coil's own lengths."""
    length, force, stress = unit_of("length"), unit_of("force"), unit_of("stress")
    if record.coil is not None:
        known = any(point.stress is not None for point in record.points)
        rows = tuple(
            (
                point.name, number(point.length, "length", 1), number(point.force, "force"),
                *((number(point.stress, "stress"),) if known else ()),
            )
            for point in record.points
        )  # fmt: skip
        return Table(
            f"{capital(record.axle)}: {record.coil.label}, loads and lengths", ("", f"length {length}", f"load {force}", *((f"shear {stress}",) if known else ())),
            rows, "lrrr" if known else "lrr", 2, "Shear without the correction for curvature." if known else "",
        )  # fmt: skip
    lengths = any(abs(point.length) > 1e-9 and point.length > 0.05 for point in record.points) and all(
        point.length > 0 for point in record.points
    )
    stressed = any(point.stress is not None for point in record.points)
    at = {name: x for name, x, _ in record.marks}
    head = [
        "",
        f"pressed {length}",
        *([f"length {length}"] if lengths else []),
        f"load {force}",
        *([f"stress {stress}"] if stressed else []),
    ]
    rows = tuple(
        (
            point.name, number(at.get(point.name), "length", 1), *((number(point.length, "length", 1),) if lengths else ()), number(point.force, "force"),
            *((number(point.stress, "stress"),) if stressed else ()),
        )
        for point in record.points
    )  # fmt: skip
    strong = next((i for i, point in enumerate(record.points) if point.name == "ride"), None)
    return Table(
        f"{capital(record.axle)}: {record.kind}, loads over the travel", tuple(head), rows, "l" + "r" * (len(head) - 1), strong,
        "Pressed counts from zero wheel travel, at the part.",
    )  # fmt: skip


def _marks_table(record: PartRecord) -> Table:
    kind = "speed" if record.law == "speed" else "length"
    rows = tuple((name, _at(x, kind), number(force, "force")) for name, x, force in record.marks)
    unit = "m/s" if kind == "speed" else unit_of("length")
    return Table("Characteristic at a few places", ("", f"at {unit}", f"force {unit_of('force')}"), rows, "lrr")


def _valving_table(record: PartRecord) -> Table:
    """A damper's valving, once and in one unit: what it is ordered by."""
    rows = tuple(
        (plain(speed, 2), number(bump, "force"), number(rebound, "force")) for speed, bump, rebound in record.valving
    )
    unit = unit_of("force")
    return Table(
        "Valving", ("speed m/s", f"bump {unit}", f"rebound {unit}"), rows, "rrr", note="Speeds are the damper's own."
    )


def _at(value: float, kind: str) -> str:
    return plain(value, 2) if kind == "speed" else plain(value / scale_of(kind), 1)


def judged_table(record: PartRecord) -> Table:
    """Figures held against their limits."""
    rows = tuple((*judged_row(one), one.source) for one in record.judged)
    return Table(
        f"{capital(record.axle)}: {record.kind}, checked against its limits",
        ("", "figure", "limit", "", "", "limit from"),
        rows,
        "lrrlll",
    )


def part_figure(record: PartRecord) -> Drawing | None:
    """The part to scale where its shape is simple, else its law; None for neither."""
    if record.coil is not None:
        return spring_figure(record)
    return leaf_figure(record) or law_figure(record)


def part_order(record: PartRecord) -> dict[str, Any]:
    """One part's order page as texts."""
    coil = record.coil
    facts = (
        _coil_facts(record, coil)
        if coil
        else [(one.name, one.text or _row(one)[1]) for one in record.dimensions if len(one.text) <= LONG_TEXT]
    )
    long = [f"{one.name}: {one.text}" for one in record.dimensions if len(one.text) > LONG_TEXT]
    refused = "It does not fit as it is" if coil and coil.existing else "Do not order it as it is"
    return {
        "axle": record.axle,
        "heading": f"{('Spring to keep' if coil.existing else 'Spring order') if coil else f'{capital(record.kind)} order'}, {record.axle} axle",
        "quantity": record.quantity,
        "label": coil.label if coil else record.kind,
        "maker": coil.maker if coil else "",
        "material": record.material,
        "ends": coil.ends if coil else "",
        "facts": facts,
        "loads": "Loads and lengths"
        if record.points
        else "Force and speed"
        if record.law == "speed"
        else "Characteristic",
        "table": asdict(
            loads_table(record) if record.points else _valving_table(record) if record.valving else _marks_table(record)
        ),
        "settle": [list(row) for row in record.to_settle],
        "tolerances": [
            (one.measure, "± " + show(one.value, one.kind, 1 if one.kind == "length" else None), one.source)
            for one in record.tolerances
        ],
        "arrival": list(record.arrival),
        "limits": [] if coil else [f"{judged_sentence(one)} ({one.source})" for one in record.judged],
        "failures": [
            f"{refused}: {said}."
            for said in (*record.misfits, *(judged_sentence(one) for one in record.judged if one.word == "not met"))
        ],
        "remarks": [remark for remark in (*long, *record.remarks, *(() if coil else record.cautions)) if remark],
    }


def _coil_facts(record: PartRecord, coil: CoilShape) -> list[tuple[str, str]]:
    facts = [("spring rate", show(record.dimensions[0].value, "rate"))]
    for name, value, kind, decimals in (
        ("wire or bar", coil.wire, "length", 1), ("mean diameter", coil.mean_diameter, "length", 1), ("outside diameter", coil.outside_diameter, "length", 1),
        ("free length", coil.free_length, "length", 1), ("solid length", coil.solid_length, "length", 1), ("shortest length allowed", coil.least_length, "length", 1),
        ("mass, each", coil.mass, "mass", 2),
    ):  # fmt: skip
        if value is not None:
            facts.append((name, show(value, kind, decimals)))
    if coil.active_coils is not None:
        total = "" if coil.total_coils is None else f" of {plain(coil.total_coils, 2)}"
        facts.insert(4, ("active coils", plain(coil.active_coils, 2) + total))
    if coil.outside_diameter is not None and coil.wire is not None:
        facts.insert(4, ("inside diameter", show(coil.outside_diameter - 2 * coil.wire, "length", 1)))
    if coil.spacer:
        facts.append(("spacer, on the vehicle", show(coil.spacer, "length")))
    return facts
