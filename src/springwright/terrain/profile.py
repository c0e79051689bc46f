"""Recorded ground from a CSV file."""

from __future__ import annotations

import numpy as np

from springwright.cells import sheet_cells
from springwright.errors import Fault, InputError, QuantityError
from springwright.terrain.ground import Floats, Ground
from springwright.units import parse, show

LONGEST, HIGHEST = 20e3, 1e3  # m: of a recorded ground, and of its heights either way


def read_profile(text: str, file: str, spacing: float = 0.02) -> Ground:
    """A recorded profile from CSV: columns `distance`, `left` and (if there is one) `right`, units in square brackets.

    Resampled evenly by straight lines; gaps wider than ten times the usual spacing and jumps steeper than
    two to one are reported in `notes`, not mended.

    Raises
    ------
    InputError
        A column or unit is missing, a cell is no number, or distance does not rise.

    """
    columns = _columns(text, file)
    distance = columns["distance"]
    step = np.diff(distance)
    _drivable(columns, step, file)
    notes = [f"recorded every {show(float(np.median(step)), 'length')}"]
    gaps = int((step > 10 * np.median(step)).sum())
    steep = int((np.abs(np.diff(columns["left"])) > 2 * step).sum())
    doubts = []
    if gaps:
        doubts.append(f"{gaps} gaps, the widest {show(float(step.max()), 'length')}, bridged by straight lines")
    if steep:
        doubts.append(f"{steep} jumps steeper than two to one: look for spikes")
    even = np.arange(distance[0], distance[-1], spacing)
    left = np.interp(even, distance, columns["left"])
    right = np.interp(even, distance, columns["right"]) if "right" in columns else left.copy()
    return Ground(file, spacing, left, right, (*notes, *doubts), tuple(doubts))


def _columns(text: str, file: str) -> dict[str, Floats]:
    """The columns by their names [m], finite, of a file that has those that are needed."""
    rows = sheet_cells(text).rows
    if len(rows) < 3:
        raise InputError(
            file, [Fault("", "", "needs a header such as: distance [m],left [mm],right [mm] and at least two rows")]
        )
    names: list[str] = []
    scales = []
    for cell in rows[0]:
        name, _, unit = cell.partition("[")
        name, unit = name.strip().lower(), unit.rstrip("] ")
        if name not in ("distance", "left", "right"):
            raise InputError(file, [Fault(f'column "{cell}"', "", "no such column; known are distance, left, right")])
        try:
            scales.append(parse(f"1 {unit}", "length"))
        except QuantityError as error:
            raise InputError(file, [Fault(f'column "{cell}"', "", str(error))]) from None
        if name in names:
            raise InputError(file, [Fault(f'column "{cell}"', "", "is there twice; keep one")])
        names.append(name)
    if "distance" not in names or "left" not in names:
        raise InputError(
            file, [Fault("", "", "columns distance and left are needed, each with its unit in square brackets")]
        )
    values = np.zeros((len(rows) - 1, len(names)))
    for i, row in enumerate(rows[1:]):
        try:
            if len(row) != len(names):
                raise ValueError
            values[i] = [float(cell) for cell in row]
        except ValueError:
            raise InputError(file, [Fault(f"row {i + 1}", ",".join(row), f"must be {len(names)} numbers")]) from None
    with np.errstate(over="ignore"):
        values = values * scales
    if not np.all(np.isfinite(values)):
        raise InputError(file, [Fault("", "", "holds a value that is not finite; take it out")])
    return dict(zip(names, values.T, strict=True))


def _drivable(columns: dict[str, Floats], step: Floats, file: str) -> None:
    """Refuse what no ground is."""
    distance = columns["distance"]
    if np.any(step <= 0):
        raise InputError(
            file, [Fault(f"row {int(np.argmax(step <= 0)) + 2}", "", "distance must rise from row to row")]
        )
    if distance[-1] - distance[0] > LONGEST:
        said = f"is {show(float(distance[-1] - distance[0]), 'distance')} long; at most {show(LONGEST, 'distance')} is driven: check the unit of distance, or cut it"
        raise InputError(file, [Fault("distance", "", said)])
    for name in ("left", "right"):
        if name in columns and np.abs(columns[name]).max() > HIGHEST:
            at = int(np.argmax(np.abs(columns[name]))) + 1
            value, said = f"{columns[name][at - 1]:g} m", "is no height of a ground; check the unit"
            raise InputError(file, [Fault(f"row {at}, {name}", value, said)])
