"""Test sheets as CSV files: named columns with their units in square brackets, numbers below."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from springwright.cells import sheet_cells
from springwright.errors import Fault, InputError, QuantityError
from springwright.units import parse


def read_columns(text: str, file: str, columns: Sequence[tuple[str, str]], least: int = 3) -> list[tuple[float, ...]]:
    """Rows of SI floats under columns (name, kind of quantity) in this order.

    Raises
    ------
    InputError
        A column or unit is missing, a cell is no number, or there are too few rows.

    """
    return columns_of(sheet_cells(text).rows, file, columns, least)


def columns_of(
    rows: list[list[str]], file: str, columns: Sequence[tuple[str, str]], least: int = 3
) -> list[tuple[float, ...]]:
    """The same of rows of cells [SI]."""
    sample = ",".join(f"{name} [unit]" for name, _ in columns)
    if not rows:
        raise InputError(file, [Fault("", "", f"is empty; it needs a header such as: {sample}")])
    scales = []
    for (name, kind), cell in zip(columns, [*rows[0], *[""] * len(columns)], strict=False):
        word, _, unit = cell.partition("[")
        if word.strip().lower() != name:
            raise InputError(
                file,
                [
                    Fault(
                        "header",
                        cell,
                        f"the columns are {', '.join(one for one, _ in columns)}, in this order; {name} is missing",
                    )
                ],
            )
        try:
            scales.append(parse(f"1 {unit.rstrip('] ')}", kind))
        except QuantityError as error:
            raise InputError(file, [Fault(f'column "{cell}"', "", str(error))]) from None
    if len(rows) < least + 1:
        raise InputError(file, [Fault("", f"{len(rows) - 1} rows", f"needs at least {least} rows under its header")])
    found = []
    for i, row in enumerate(rows[1:], start=1):
        try:
            values = tuple(float(cell) * scale for cell, scale in zip(row, scales, strict=True))
        except ValueError:
            raise InputError(file, [Fault(f"row {i}", ",".join(row), f"must be {len(columns)} numbers")]) from None
        if not np.all(np.isfinite(values)):
            raise InputError(file, [Fault(f"row {i}", ",".join(row), "must be finite; take it out")])
        found.append(values)
    return found


def _point_name(text: str) -> str:
    """A point's name as the design file has it, whatever letters and spaces it was typed with: "Right Lower Ball" is "right lower_ball"."""
    words = text.lower().replace("_", " ").split()
    first = words[:1] if words[:1] == ["right"] and len(words) > 1 else []
    return " ".join([*first, "_".join(words[len(first) :])])


def read_points(text: str, file: str) -> dict[str, tuple[float, float, float]]:
    """Pivot points by name from CSV: columns name, x, y, z with units; x ahead of the axle, y out (left), z above ground.

    Raises
    ------
    InputError
        A column or unit is missing, a cell is no number, or a name is there twice.

    """
    rows = [row for row in sheet_cells(text).rows if any(map(str.strip, row))]
    if not rows or rows[0][0].strip().lower() != "name":
        raise InputError(file, [Fault("header", "", "needs a header such as: name,x [mm],y [mm],z [mm]")])
    names = [_point_name(row[0]) for row in rows[1:]]
    double = next((name for name in names if names.count(name) > 1), None)
    if double is not None:
        raise InputError(file, [Fault(f'point "{double}"', "", "is there twice; keep one")])
    if any(not any(map(str.strip, row[1:])) for row in rows[1:]):
        raise InputError(
            file, [Fault("rows", "", "some have a name and no x, y and z; give all three or take the row out")]
        )
    values = columns_of([row[1:] for row in rows], file, (("x", "length"), ("y", "length"), ("z", "length")), least=1)
    return {name: (x, y, z) for name, (x, y, z) in zip(names, values, strict=True)}
