"""The readings file: dated sets of readings beside a design, each with its unit and, where it is not left to practice, its uncertainty.

Uncertainties are standard ones (JCGM 100): one standard deviation.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from pydantic import ValidationError

from springwright.commission.leans import Circle, TiltTable
from springwright.commission.logged_drive import LoggedDrive
from springwright.commission.parts_read import SpringBench, TyrePress
from springwright.commission.pushes import Push
from springwright.commission.scales import RaisedWeighing, Weighing
from springwright.commission.swings import Bounce, Rap
from springwright.commission.taken import Reduced, Taken, Workplace
from springwright.errors import Fault, FieldFault, InputError, UnsolvedError
from springwright.files import read_file
from springwright.quantities import Name, Record
from springwright.vehicle.faults import dotted, faults_of, written

FORMAT = 1


class Readings(Record):
    """Everything that was read of one vehicle; `vehicle` is its name, as the design has it."""

    readings: Literal[1]
    vehicle: Name
    invented: bool = False
    weighings: tuple[Weighing, ...] = ()
    raised: tuple[RaisedWeighing, ...] = ()
    pushes: tuple[Push, ...] = ()
    benches: tuple[SpringBench, ...] = ()
    tyres: tuple[TyrePress, ...] = ()
    bounces: tuple[Bounce, ...] = ()
    raps: tuple[Rap, ...] = ()
    circles: tuple[Circle, ...] = ()
    tilts: tuple[TiltTable, ...] = ()
    drives: tuple[LoggedDrive, ...] = ()

    def sets(self) -> Iterator[tuple[str, int, Taken]]:
        """Every set with the field it stands in and its place there, in the order of the workshop."""
        for field in SETS:
            for i, one in enumerate(getattr(self, field)):
                yield field, i, one


SETS = tuple(
    name for name, info in Readings.model_fields.items() if info.default == () and name not in ("invented", "vehicle")
)


@dataclass(frozen=True, eq=False)
class ReadingsFile:
    """A readings file with the text it came from."""

    path: Path
    text: str
    readings: Readings

    def fault(self, fault: FieldFault, *where: str | int) -> InputError:
        """A fault found while reducing, said as one of this file's."""
        data = tomllib.loads(self.text)
        at = (*where, *fault.path)
        return InputError(self.path.name, [Fault(dotted(at, data), written(data, at), fault.message)])


def load_readings(path: str | Path) -> ReadingsFile:
    """Read and check a readings file.

    Raises
    ------
    InputError
        It is not there, is no TOML, or something in it must be mended; every fault is listed.

    """
    path = Path(path)
    if path.suffix.lower() != ".toml":
        raise InputError(
            path.name,
            [Fault("", "", "is no readings file; start one with: springwright readings DESIGN, and name logs in it")],
        )
    text = read_file(path)
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError(path.name, [Fault("", "", f"is not valid TOML: {error}. Mend that line")]) from None
    if "readings" not in data:
        hint = "is a design; name its readings file" if "axles" in data else f"is missing; write readings = {FORMAT}"
        raise InputError(path.name, [Fault("readings", "", hint)])
    try:
        return ReadingsFile(path, text, Readings.model_validate(data))
    except ValidationError as error:
        raise InputError(path.name, faults_of(error, data, Readings)) from None


def reduced_sets(file: ReadingsFile, bench: Workplace) -> tuple[Reduced, ...]:
    """Every set of a readings file reduced, numbered as they come.

    Raises
    ------
    InputError
        A set does not fit the design or its log; the message names it.

    """
    made = []
    for number, (field, i, one) in enumerate(file.readings.sets(), start=1):
        try:
            told = one.reduced(number, bench)
            for figure in told.figures:
                if not (math.isfinite(figure.value) and figure.uncertainty > 0 and math.isfinite(figure.uncertainty)):
                    raise FieldFault(
                        (),
                        f"{figure.name} comes to {figure.value:g} ± {figure.uncertainty:g}: nothing was read, or its uncertainty must be given",
                    )
        except FieldFault as fault:
            raise file.fault(fault, field, i) from None
        except UnsolvedError as error:
            raise file.fault(FieldFault((), str(error)), field, i) from None
        day = "" if one.date is None else one.date.isoformat()
        made.append(_signed(told, one, day))
    return tuple(made)


def _signed(told: Reduced, one: Taken, day: str) -> Reduced:
    return replace(
        told, day=day, by=one.by, instrument=one.instrument, calibrated=one.calibrated, notes=(*told.notes, *([one.note] if one.note else []))
    )  # fmt: skip
