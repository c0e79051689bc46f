"""What a sweep goes through: a full grid of what varies, or the rows of a CSV of designs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.cells import cells_of
from springwright.errors import Fault, FieldFault, InputError, QuantityError
from springwright.files import read_file
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import catalogue_of
from springwright.studies.chunks import SweepSpec, axis_of, spec_of, values_at
from springwright.studies.decisions import Decision, decisions_of, kind_of
from springwright.studies.evaluator import evaluator
from springwright.studies.figures import ASKED, can_ask
from springwright.units import KINDS, parse
from springwright.vehicle.design import Design
from springwright.vehicle.file import DesignFile

Floats = NDArray[np.float64]
USUAL = ("weighted_acceleration", "load_variation", "roll_gradient", "bump_load_factor", "height_change")


class SweepPlan(NamedTuple):
    """What is swept: a full grid, or rows of a table."""

    spec: SweepSpec
    decisions: tuple[Decision, ...]
    total: int
    rows: Floats | None
    size: int

    @property
    def chunks(self) -> int:
        """How many there are."""
        return -(-self.total // self.size)

    def values(self, begin: int, end: int) -> Floats:
        """Rows of decisions [SI]."""
        return values_at(self.decisions, begin, end) if self.rows is None else self.rows[begin:end]

    def ends(self, number: int) -> tuple[int, int]:
        """First and past the last design of a chunk."""
        return number * self.size, min((number + 1) * self.size, self.total)


def planned(
    file: DesignFile, vary: Sequence[str], designs: str | Path | None, figures: Sequence[str], seed: int, seconds: float, size: int
) -> SweepPlan:  # fmt: skip
    """The plan of a sweep [s].

    Raises
    ------
    InputError
        What varies or what is asked cannot be.

    """
    design, sheet, catalogue = file.design, sized(file), catalogue_of(file)
    if bool(vary) == (designs is not None):
        raise InputError("--vary", [Fault("", "", 'give what varies, such as --vary "axles.front.target.frequency = 1.0..1.6 Hz by 0.05", or a CSV of designs, one of both')])  # fmt: skip
    rows = None
    try:
        if designs is not None:
            texts, rows = _table(Path(designs), design)
        else:
            texts = tuple(vary)
        decisions = decisions_of(texts, design, sheet, catalogue, ())
    except FieldFault as fault:
        raise InputError("--vary", [Fault("", "", fault.message)]) from None
    for one in decisions:
        if rows is None and not one.choices and not one.step:
            raise InputError(
                "--vary", [Fault(one.field, "", "a sweep goes in steps: end it with one, such as by 0.05")]
            )
    asked = tuple(dict.fromkeys(figures)) or tuple(one for one in USUAL if not can_ask(design, one))
    for ident in asked:
        why = f"no such figure; there are {', '.join(ASKED)}" if ident not in ASKED else can_ask(design, ident, 1.0)
        if why:
            raise InputError("--figures", [Fault(ident, "", why)])
    evaluator(file, decisions, asked, seed=seed, seconds=seconds)  # what cannot be driven is said now
    count = len(rows) if rows is not None else math.prod(len(axis_of(one)) for one in decisions)
    return SweepPlan(spec_of(file, texts, asked, seed, seconds), decisions, count, rows, size)


def _table(path: Path, design: Design) -> tuple[tuple[str, ...], Floats]:
    """Decisions and their values out of a CSV of designs.

    Raises
    ------
    InputError
        A column or a cell cannot be read.

    """
    head, *body = cells_of(read_file(path)) or [[]]
    if not body:
        raise InputError(path.name, [Fault("", "", "holds no designs: a row of fields, such as axles.front.target.frequency [Hz], and a row for each design")])  # fmt: skip
    texts, columns = [], []
    for k, name in enumerate(head):
        field, _, unit = name.partition("[")
        field, unit = field.strip(), unit.strip(" ]")
        cells = [row[k].strip() if k < len(row) else "" for row in body]
        if field.endswith(".spring.part"):
            names = list(dict.fromkeys(cells))
            if len(names) < 2:
                raise InputError(path.name, [Fault(name, "", "names one part alone; leave the column out and name it in the design")])  # fmt: skip
            text = f"{field} = {' | '.join(names)}"
            columns.append([float(names.index(cell)) for cell in cells])
        else:
            kind = _kind_in(field, design, path.name)
            values = [_cell(cell, unit, kind, f"{path.name}, row {i + 2}, {field}") for i, cell in enumerate(cells)]
            low, high = min(values), max(values)
            high = high if high > low else low + abs(low) * 1e-9 + 1e-9
            text = f"{field} = {low!r}..{high!r} {KINDS[kind].si}".strip()
            columns.append(values)
        texts.append(text)
    return tuple(texts), np.array(columns, dtype=float).T


def _kind_in(field: str, design: Design, name: str) -> str:
    try:
        return kind_of(field, design)
    except FieldFault as fault:
        raise InputError(name, [Fault("", "", fault.message)]) from None


def _cell(text: str, unit: str, kind: str, where: str) -> float:
    try:
        return parse(f"{text} {unit}".strip(), kind)
    except QuantityError as error:
        raise InputError(where, [Fault("", text, str(error))]) from None
