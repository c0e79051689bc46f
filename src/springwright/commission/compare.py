"""Every reading beside what was due of the design as it says: in units and in the reading's own uncertainty."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from springwright.commission.modelled import Modelled, modelled
from springwright.commission.readings import ReadingsFile, load_readings, reduced_sets
from springwright.commission.taken import FigureRead, Reduced, Workplace
from springwright.errors import Fault, InputError, UnsolvedError
from springwright.evaluation import evaluated
from springwright.results import KEPT, Result
from springwright.units import show
from springwright.vehicle.file import DesignFile, opened

AGREES = 2.0  # standard uncertainties within which a reading agrees
ANOTHER = 0.15  # share by which a mass read may be off before it is asked whether it is this vehicle


@dataclass(frozen=True)
class ComparedFigure(Result):
    """One figure read beside what was due [SI by `unit`]: how far off, in units and in standard uncertainties of the reading."""

    reading: int
    set_kind: str
    name: str
    kind: str
    unit: str
    value: float
    uncertainty: float
    whose: str
    due: float
    off: float
    sigmas: float
    agrees: bool


@dataclass(frozen=True)
class Comparison(Result):
    """All readings of a vehicle beside its design: the sets, every figure, and what is to be looked at first."""

    vehicle: str
    file: str
    readings: str
    invented: bool
    sets: tuple[Reduced, ...]
    figures: tuple[ComparedFigure, ...]
    agree: int
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    drawn: Modelled = field(metadata=KEPT, repr=False, compare=False, default=None)  # type: ignore[assignment]

    @property
    def another(self) -> bool:
        """Whether it may be another vehicle that was read."""
        return bool(self.warnings)


def _silent(_: str) -> None:
    return None


@evaluated
def reduce(
    file: DesignFile | str | Path, readings: ReadingsFile | str | Path, *, progress: Callable[[str], None] | None = None
) -> tuple[Reduced, ...]:
    """Every set of a readings file reduced to figures with their uncertainty [SI by each figure's unit].

    Raises
    ------
    InputError
        Something in the design, the readings or a log must be mended.

    """
    file, read = opened(file), _opened(readings)
    return reduced_sets(read, Workplace(read.path.parent, modelled(file), progress or _silent))


@evaluated
def compare(
    file: DesignFile | str | Path, readings: ReadingsFile | str | Path, *, progress: Callable[[str], None] | None = None
) -> Comparison:
    """Every reading beside what was due of the design [SI by each figure's unit].

    Raises
    ------
    InputError
        Something in the design, the readings or a log must be mended, or there are no readings.

    """
    file, read, say = opened(file), _opened(readings), progress or _silent
    drawn = modelled(file)
    sets = reduced_sets(read, Workplace(read.path.parent, drawn, say))
    if not sets:
        raise InputError(
            read.path.name, [Fault("", "", "holds no readings yet; fill in what was read and compare again")]
        )
    say("working out what was due")
    figures = beside(sets, due_of(sets, drawn))
    warnings = []
    if read.readings.vehicle != file.design.vehicle.name:
        warnings.append(
            f'the readings are of "{read.readings.vehicle}", the design is of "{file.design.vehicle.name}": another vehicle?'
        )
    warnings += _masses(figures)
    return Comparison(
        vehicle=file.design.vehicle.name,
        file=file.path.name,
        readings=read.path.name,
        invented=file.design.vehicle.invented or read.readings.invented,
        sets=sets,
        figures=figures,
        agree=sum(one.agrees for one in figures),
        warnings=tuple(warnings),
        notes=(*_built_already(file), *(note for one in sets for note in one.notes)),
        drawn=drawn,
    )


def _opened(readings: ReadingsFile | str | Path) -> ReadingsFile:
    return readings if isinstance(readings, ReadingsFile) else load_readings(readings)


def due_of(sets: Sequence[Reduced], standing: Modelled) -> list[float]:
    """What is due of every figure of some sets, of a vehicle as it stands [SI by each figure's unit].

    Raises
    ------
    UnsolvedError
        It does not stand in some state that was read; the message names the set.

    """
    due: list[float] = []
    for one in sets:
        try:
            due += one.due(standing)
        except UnsolvedError as error:
            raise UnsolvedError(f"reading {one.number}, {one.title}: {error}") from None
    return due


def beside(sets: Sequence[Reduced], due: Sequence[float]) -> tuple[ComparedFigure, ...]:
    """Figures of some sets beside what is due of each."""
    each = [(one, figure) for one in sets for figure in one.figures]
    return tuple(_compared(one, figure, value) for (one, figure), value in zip(each, due, strict=True))


def _compared(one: Reduced, figure: FigureRead, due: float) -> ComparedFigure:
    off = figure.value - due
    sigmas = off / figure.uncertainty
    return ComparedFigure(
        one.number, one.kind, figure.name, figure.kind, figure.unit, figure.value, figure.uncertainty, figure.whose, due, off, sigmas, abs(sigmas) <= AGREES
    )  # fmt: skip


def _built_already(file: DesignFile) -> tuple[str, ...]:
    """A word where the design was corrected before: the same readings would count twice."""
    if file.design.as_drawn is file.design:
        return ()
    return (
        f"{file.path.name} is as built already, and known as its tables `within` say: readings that it was corrected by would count twice",
    )


def _masses(figures: Sequence[ComparedFigure]) -> list[str]:
    """A word for each set of scales whose total is far from what was due."""
    said = []
    for number in sorted({one.reading for one in figures if one.set_kind == "scales"}):
        mine = [one for one in figures if one.reading == number and one.kind == "mass"]
        read, due = sum(one.value for one in mine), sum(one.due for one in mine)
        if due and abs(read / due - 1) > ANOTHER:
            said.append(
                f"reading {number}: {show(read, 'mass')} on the scales, {show(due, 'mass')} due: another vehicle?"
            )
    return said
