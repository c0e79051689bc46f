"""A sizing as one CSV table: orders with their loads, rates, states, and every catalogue spring with its reason."""

from __future__ import annotations

from springwright.cells import CellWriter, bare
from springwright.report.content import sections
from springwright.report.parts import part_order
from springwright.report.springs import candidate_row
from springwright.sizing.sheet import Sheet
from springwright.units import number, unit_of


def as_csv(sheet: Sheet) -> str:
    """Blocks of rows, each under its own heading; figures without thousands marks, so that a spreadsheet reads them."""
    rows = CellWriter()
    rows.writerow(["vehicle", sheet.vehicle, "invented for demonstration" if sheet.invented else ""])
    for one in sheet.springs:
        rows.writerow([])
        rows.writerow(["order", one.axle])
        for record in one.helpers:
            rows.writerows([[name, bare(text)] for name, text in part_order(record)["facts"]])
        fitted = one.record
        if fitted is None:
            rows.writerow(["", "no real spring found"])
            continue
        coil = fitted.coil
        if coil is None:
            rows.writerows([[name, bare(text)] for name, text in part_order(fitted)["facts"]])
            continue
        texts = (
            ("spring", coil.label),
            ("maker", coil.maker),
            ("how many", str(fitted.quantity)),
            ("material", fitted.material),
            ("ends", coil.ends),
        )
        rows.writerows(texts)
        for name, value, kind in (
            ("rate", one.fitted.rate, "rate"), ("wire", coil.wire, "length"), ("mean diameter", coil.mean_diameter, "length"),
            ("outside diameter", coil.outside_diameter, "length"), ("active coils", coil.active_coils, "ratio"), ("total coils", coil.total_coils, "ratio"),
            ("free length", coil.free_length, "length"), ("solid length", coil.solid_length, "length"), ("spacer", coil.spacer, "length"), ("mass", coil.mass, "mass"),
        ):  # fmt: skip
            rows.writerow([f"{name} [{unit_of(kind)}]" if unit_of(kind) else name, bare(number(value, kind, 3))])
        rows.writerow(
            ["at", f"length [{unit_of('length')}]", f"load [{unit_of('force')}]", f"shear [{unit_of('stress')}]"]
        )
        for point in fitted.points:
            rows.writerow(
                [
                    point.name,
                    bare(number(point.length, "length", 1)),
                    bare(number(point.force, "force", 0)),
                    bare(number(point.stress, "stress", 1)),
                ]
            )
    for section in sections(sheet):
        for table in section.tables:
            if table.rows:
                rows.writerow([])
                rows.writerow([table.caption])
                rows.writerow(table.head)
                rows.writerows([[bare(cell) for cell in row] for row in table.rows])
    for one in sheet.springs:
        if one.candidates:
            rows.writerow([])
            rows.writerow([f"every catalogue spring for {one.axle}"])
            rows.writerow(
                [
                    "rank",
                    "part",
                    f"rate [{unit_of('rate')}]",
                    f"free length [{unit_of('length')}]",
                    f"spacer [{unit_of('length')}]",
                    f"ride height error [{unit_of('length')}]",
                    "rides [Hz]",
                    f"coil-bind clearance at full bump [{unit_of('length')}]",
                    "price, axle",
                    "why",
                ]
            )
            rows.writerows([[bare(cell) for cell in candidate_row(candidate)] for candidate in one.candidates])
    return rows.text
