"""The springs told: the coil given, coils to have made, the catalogue, and what is to be ordered."""

from __future__ import annotations

from springwright.parts.coil_check import CoilCheck
from springwright.report.parts import judged_table, loads_table, part_order
from springwright.report.tables import Section, Table, capital, judged_row, signed
from springwright.sizing.choose import Candidate
from springwright.sizing.sheet import Sheet
from springwright.sizing.springs import AxleSprings
from springwright.units import number, plain, show, unit_of


def spring_section(sheet: Sheet) -> Section:
    """The springs each axle could have, and what is to be ordered."""
    says = []
    tables: list[Table] = []
    for one in sheet.springs:
        spacer = f", {show(one.fitted.spacer, 'length')} of spacer" if one.fitted.spacer else ""
        says.append(
            f"{capital(one.axle)}: {one.fitted.label}, {show(one.fitted.rate, 'rate')}, "
            f"rides at {show(one.fitted.frequency, 'frequency')}{spacer}."
        )
        for record in (one.record, *one.helpers):
            if record is not None:
                says += part_order(record)["failures"]
        tables += _of_axle(one)
        for record in one.helpers:
            tables += [loads_table(record), judged_table(record)]
    return Section("Spring", "Which spring does that, and who makes it?", tuple(says), tuple(tables))


def _of_axle(one: AxleSprings) -> list[Table]:
    tables = []
    if one.record:
        tables.append(loads_table(one.record))
        tables += [judged_table(one.record)] if one.record.coil is None else []
    if one.checked:
        rows = tuple(judged_row(judged) for judged in one.checked.judged)
        tables.append(_figures_of(one.checked, one.axle))
        tables.append(
            Table(
                f"{capital(one.axle)}: the coil given, checked against what the axle asks",
                ("", "figure", "limit", "", ""),
                rows,
                "lrrll",
            )
        )
    if one.designs and one.designs.found:
        rows = tuple(
            (
                number(coil.wire, "length", 1), number(coil.mean_diameter, "length", 1), plain(coil.active_coils, 2), number(coil.free_length, "length", 1),
                number(coil.solid_length, "length"), number(coil.rate, "rate"), number(coil.positions[-1].stress, "stress"), plain(coil.fatigue_factor, 2), number(coil.mass, "mass", 1),
            )
            for coil in one.designs.found
        )  # fmt: skip
        length = unit_of("length")
        head = (
            f"wire {length}",
            f"mean {length}",
            "active",
            f"free {length}",
            f"solid {length}",
            f"rate {unit_of('rate')}",
            f"solid stress {unit_of('stress')}",
            "fatigue factor",
            f"mass {unit_of('mass')}",
        )
        made = one.designs.found[0]
        note = f"{made.grade}, {made.made}, {made.ends}; lightest of each wire out of {plain(one.designs.tried, 0)} coils looked at. {made.kept}."
        tables.append(Table(f"{capital(one.axle)}: coils to have made, lightest first", head, rows, "r" * 9, note=note))
    elif one.designs:
        tables.append(
            Table(f"{capital(one.axle)}: coils to have made", (), (), "", note=capital(one.designs.none_because) + ".")
        )
    elif one.none_because:
        tables.append(
            Table(f"{capital(one.axle)}: {one.fitted.label}", (), (), "", note=capital(one.none_because) + ".")
        )
    if one.candidates:
        tables.append(_catalogue_table(one))
    return tables


def _figures_of(coil: CoilCheck, axle: str) -> Table:
    """What a coil given comes to."""
    rows = (
        ("rate", show(coil.rate, "rate"), "solid length", show(coil.solid_length, "length", 1)),
        ("spring index", plain(coil.index, 2), "least gaps, static and dynamic", f"{show(coil.least_gaps, 'length', 1)}, {show(coil.working_gaps, 'length', 1)}"),
        ("stress correction", plain(coil.correction, 3), "growth at solid", show(coil.growth_at_solid, "length", 1)),
        ("tensile strength, least", show(coil.strength, "stress"), "first surge", show(coil.surge, "frequency", 0)),
        ("mass", show(coil.mass, "mass", 2), "mean diameter tolerance", "–" if coil.mean_diameter_tolerance is None else "± " + show(coil.mean_diameter_tolerance, "length", 1)),
    )  # fmt: skip
    corrected = "; ".join(
        f"{place.name} {show(place.corrected_stress, 'stress')}" for place in coil.positions if place.force
    )
    return Table(
        f"{capital(axle)}: the coil given",
        ("", "", "", ""),
        rows,
        "lrlr",
        note=f"Shear with the correction: {corrected}.",
    )


def _catalogue_table(one: AxleSprings) -> Table:
    good = [candidate for candidate in one.candidates if candidate.rank is not None]
    rest = [candidate for candidate in one.candidates if candidate.rank is None]
    shown = [*good[:6], *rest[: 8 if good else 10]]
    length = unit_of("length")
    head = (
        "",
        "part",
        f"rate {unit_of('rate')}",
        f"free {length}",
        f"spacer {length}",
        f"height error {length}",
        "rides Hz",
        f"bind clear. {length}",
        "price, axle",
        "why",
    )
    rows = tuple(candidate_row(candidate) for candidate in shown)
    left = len(one.candidates) - len(shown)
    note = f"{len(good)} of {len(one.candidates)} would do." + (
        f" {left} more are in --json and the CSV file, each with its reason." if left else ""
    )
    if one.catalogue_size > len(one.candidates):
        note += f" The catalogue holds {plain(one.catalogue_size, 0)}; the nearest in frequency and height were judged one by one."
    return Table(f"{capital(one.axle)}: the catalogue, best first", head, rows, "rlrrrrrrrl", 0 if good else None, note)


def candidate_row(one: Candidate) -> tuple[str, ...]:
    """One catalogue spring as a row: rank, part, figures, and why it is in or out."""
    spring = one.spring
    why = (
        "; ".join(one.reasons)
        if one.reasons
        else (
            "fits"
            if abs(one.off_target or 0) < 0.005
            else f"fits; {abs(one.off_target or 0):.1%} {'stiffer' if (one.off_target or 0) > 0 else 'softer'} than wanted"
        )
    )
    return (
        "" if one.rank is None else str(one.rank), spring.part, number(spring.rate, "rate"), number(spring.free_length, "length"), number(one.spacer, "length"),
        signed(one.height_error, 1), number(one.frequency, "frequency"), number(one.clearance_at_bump, "length"),
        "–" if one.axle_price is None else f"{one.axle_price:.0f} {spring.currency}".strip(),
        ("left out: " if one.reasons else "") + why + (f" ({one.remark})" if one.remark and not one.reasons else ""),
    )  # fmt: skip
