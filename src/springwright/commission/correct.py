"""What of the model explains the readings: uncertain inputs by the readings and their tolerances together.

The most probable inputs (maximum a posteriori) minimise Σ((reading - due) / u)² + Σ z², where z is how far each input lies from what is
drawn, in standard deviations of its tolerance. With J the slopes of due over u by z, their covariance is (JᵀJ + 1)⁻¹. Left out one
at a time, a reading lies e / sqrt(1 - h) from what the prior and all others predict, in standard deviations of that difference: e its
residual over u, h = jᵀ (JᵀJ + 1)⁻¹ j its leverage (Cook and Weisberg 1982, for a prior taken as readings of z).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from springwright.commission.compare import ComparedFigure, Comparison, beside, compare, due_of
from springwright.commission.inputs import UncertainInput, inputs_of, stands
from springwright.commission.modelled import Modelled
from springwright.commission.next_reading import NextReading, Possible, best_for, best_of, possible
from springwright.commission.readings import ReadingsFile
from springwright.commission.taken import SURE, Reduced
from springwright.errors import Fault, InputError, UnsolvedError
from springwright.evaluation import evaluated
from springwright.results import KEPT, Result
from springwright.vehicle.file import DesignFile, opened

Floats = NDArray[np.float64]
WRONG = 3.0  # standard deviations of its difference left out, beyond which a reading is named
UNCHECKED = (
    0.8  # of what the prior alone leaves open of a reading's due: other readings that take no more off do not check it
)
TOLD = 0.7  # of its prior deviation, down to which an input is told by the readings
ALIKE = 0.9  # correlation from which two inputs go together
CONFOUNDED = (
    0.3  # variance left, as a share of the prior's, of an input that would be told well if it alone were in doubt
)
ALONE = 0.2  # variance that would be left then
JOINED = 0.3  # correlation by which it is joined to others
SPARED = 4.0  # of the sum of squares: two standard deviations of one input
STEP = 0.05  # prior deviations, of the slopes
MATTERS = 1.05  # by how much an input's variance grows without a set that tells of it
ROUNDS = 24
SETTLED = 1e-4  # of the sum of squares, that a step must win to be followed by another
SHORTEST = 0.01  # of a step
PROMISED = 0.02  # of the sum of squares, that a step may promise and not win
NOTHING = 1e-3  # prior deviations: an input that is off by less is not taken


@dataclass(frozen=True)
class CorrectedInput(Result):
    """An input as drawn and as the readings have it [SI by `unit`], with its 95 % half width; which sets tell of it, and what is written."""

    name: str
    kind: str
    unit: str
    drawn: float
    deviation: float
    origin: str
    value: float
    off: float
    told_by: tuple[int, ...]
    told: bool
    written: float | None = None
    input: UncertainInput = field(metadata=KEPT, repr=False, compare=False, default=None)  # type: ignore[assignment]


@dataclass(frozen=True)
class CheckedFigure(Result):
    """A reading against all others: what is due with the inputs corrected, how far it lies from what the others predict, and whether they check it."""

    reading: int
    name: str
    corrected: float
    agrees: bool
    left_out: float
    wrong: bool
    checked: bool


@dataclass(frozen=True)
class NotToldApart(Result):
    """Inputs that the readings tell only together, how strongly they go together, and which reading would settle it."""

    inputs: tuple[str, ...]
    correlation: float
    settled_by: NextReading | None = None


@dataclass(frozen=True)
class Correction(Result):
    """A model corrected by readings: the comparison, every input, every reading against the others, and what is left open."""

    comparison: Comparison
    inputs: tuple[CorrectedInput, ...]
    figures: tuple[CheckedFigure, ...]
    agree: int
    correlation: tuple[tuple[float, ...], ...]
    apart: tuple[NotToldApart, ...] = ()
    next_reading: NextReading | None = None
    rounds: int = 0
    standing: Modelled = field(metadata=KEPT, repr=False, compare=False, default=None)  # type: ignore[assignment]

    @property
    def taken(self) -> tuple[CorrectedInput, ...]:
        """The inputs that are written as corrected."""
        return tuple(one for one in self.inputs if one.written is not None)

    @property
    def wrong(self) -> tuple[CheckedFigure, ...]:
        """Readings that the others contradict, worst first."""
        return tuple(sorted((one for one in self.figures if one.wrong), key=lambda one: -abs(one.left_out)))


@dataclass(frozen=True, eq=False)
class Problem:
    """Readings, inputs, and what is due of both: everything over its own doubt.

    `due` gives the figures for inputs told in prior deviations; `least` is how far down each may go, as friction cannot be less than none.
    """

    values: Floats
    doubts: Floats
    due: Callable[[Floats], Floats]
    least: Floats | None = None

    def within(self, z: Floats) -> Floats:
        """Inputs brought to where they may lie."""
        return z if self.least is None else np.maximum(z, self.least)

    def left(self, z: Floats) -> Floats:
        """(n + k,) what is left of every reading over its doubt, and the inputs' own distance from the prior."""
        return np.concatenate([(self.due(z) - self.values) / self.doubts, z])

    def slopes(self, z: Floats, free: NDArray[np.intp], still: Floats | None = None, reach: float = STEP) -> Floats:
        """(n, k) how due over doubt changes with each input that is free, as far as it may `reach`; `still` is what is due at z where that is known."""
        still = self.due(z) if still is None else still
        columns = []
        for i in free:
            step = np.zeros(len(z))
            for step[i] in (reach, -reach):  # where the vehicle does not stand on one side, the other tells
                try:
                    columns.append((self.due(self.within(z + step)) - still) / (step[i] * self.doubts))
                    break
                except UnsolvedError:
                    continue
            else:
                columns.append(np.zeros(len(self.values)))
        return np.stack(columns, axis=1) if columns else np.zeros((len(self.values), 0))


@dataclass(frozen=True, eq=False)
class MostProbable:
    """The most probable inputs in prior deviations, slopes there and their covariance."""

    z: Floats
    slopes: Floats
    covariance: Floats
    rounds: int


def most_probable(
    problem: Problem, count: int, free: NDArray[np.intp] | None = None, slopes: Floats | None = None
) -> MostProbable:
    """Minimise by Gauss and Newton: slopes are kept while steps by them still win, and worked out anew where they no longer do.

    Inputs that are not `free` stay as drawn; `slopes` (n, free) are some to begin with.

    Raises
    ------
    UnsolvedError
        It does not settle.

    """
    free = np.arange(count) if free is None else free
    z, n, fresh = problem.within(np.zeros(count)), len(problem.values), slopes is None
    if not len(free):
        return MostProbable(z, np.zeros((n, 0)), np.zeros((0, 0)), 0)
    left = problem.left(z)
    for done in range(1, ROUNDS + 1):
        if slopes is None:
            slopes = problem.slopes(z, free, left[:n] * problem.doubts + problem.values)
        # an input that stands at its end and is pushed beyond it stays there, and the readings do not tell of it
        downhill = slopes.T @ left[:n] + z[free]
        held = (
            np.zeros(len(free), dtype=bool)
            if problem.least is None
            else (z[free] <= problem.least[free]) & (downhill > 0)
        )
        moving = np.where(held, 0.0, slopes)
        inverse = np.asarray(np.linalg.inv(moving.T @ moving + np.eye(len(free))), dtype=float)
        step = np.zeros(count)
        step[free] = -inverse @ np.where(held, 0.0, downhill)
        promised = float(downhill[~held] @ -step[free][~held])
        z, left, won = _stepped(problem, z, left, step)
        cost = float(left @ left)
        if won < SETTLED * max(cost, 1.0):
            if fresh:  # slopes of here, or of one step before
                if won == 0 and promised > max(PROMISED * cost, 1.0):
                    break
                return MostProbable(z, moving, inverse, done)
            slopes = None
        fresh = slopes is None
    raise UnsolvedError(
        "the correction does not settle: readings and model are too far from each other, or a reading's uncertainty is far too small; look at the comparison first"
    )


def _stepped(problem: Problem, z: Floats, left: Floats, step: Floats) -> tuple[Floats, Floats, float]:
    """A step, or that part of it that wins something: where it leads, what is left there, and what was won of the sum of squares."""
    cost, share = float(left @ left), 1.0
    while share > SHORTEST:
        there = problem.within(z + share * step)
        try:
            after = problem.left(there)
        except UnsolvedError:  # nothing stands there: less of it
            share /= 4
            continue
        if float(after @ after) < cost:
            return there, after, cost - float(after @ after)
        share /= 4
    return z, left, 0.0


@evaluated
def correct(
    file: DesignFile | str | Path,
    readings: ReadingsFile | str | Path,
    *,
    anyway: bool = False,
    progress: Callable[[str], None] | None = None,
) -> Correction:
    """Correct a model's inputs by its readings, their tolerances as prior [SI by each input's unit].

    Parameters
    ----------
    file, readings
        The design and its readings.
    anyway : bool
        Even where the readings look like another vehicle's.

    Raises
    ------
    InputError
        Something must be mended, or the readings look like another vehicle's.
    UnsolvedError
        The correction does not settle.

    """
    file = opened(file)
    say = progress or (lambda _: None)
    told = compare(file, readings, progress=progress)
    if told.another and not anyway:
        raise InputError(
            told.readings, [Fault("", "", f"{told.warnings[0]} Compare it first; --anyway corrects all the same")]
        )
    drawn, sets = told.drawn, told.sets
    inputs = inputs_of(drawn)
    problem = problem_of(drawn, sets, inputs)
    say(f"correcting {len(inputs)} inputs by {len(problem.values)} readings")
    found = most_probable(problem, len(inputs))
    deviations = np.sqrt(np.diag(found.covariance))
    is_told = deviations < TOLD
    free = np.array([i for i in fewest(problem, found) if abs(found.z[i]) > NOTHING], dtype=np.intp)
    say("correcting again with what is told alone")
    kept = most_probable(problem, len(inputs), free, found.slopes[:, free])
    standing = stands(drawn, inputs, _values(inputs, kept.z)) if len(free) else drawn
    after = beside(sets, due_of(sets, standing))
    corrected = tuple(
        CorrectedInput(
            name=one.name,
            kind=one.kind,
            unit=one.unit,
            drawn=one.drawn,
            deviation=one.deviation,
            origin=one.origin,
            value=one.drawn + one.deviation * float(found.z[i]),
            off=SURE * one.deviation * float(deviations[i]),
            told_by=_told_by(i, sets, found),
            told=bool(is_told[i]),
            written=one.drawn + one.deviation * float(kept.z[i]) if i in free else None,
            input=one,
        )
        for i, one in enumerate(inputs)
    )
    say("looking for what would tell most")
    maybe = possible(drawn, sets)
    slopes = _slopes_of([one.told for one in maybe], drawn, inputs, found.z)
    correlation = found.covariance / np.outer(deviations, deviations)
    return Correction(
        comparison=told,
        inputs=corrected,
        figures=_checked(problem, found, after),
        agree=sum(one.agrees for one in after),
        correlation=tuple(map(tuple, correlation.tolist())),
        apart=_not_apart(inputs, found, correlation, maybe, slopes),
        next_reading=best_of(maybe, slopes, found.covariance),
        rounds=found.rounds,
        standing=standing,
    )


def fewest(problem: Problem, found: MostProbable) -> NDArray[np.intp]:
    """The fewest inputs that explain the readings about as well as all together: those furthest from what is drawn in their own doubt first.

    About as well: the sum of squares, with slopes as they are, is no more than `SPARED` above that of all.
    """
    sizes = np.abs(found.z) / np.sqrt(np.diag(found.covariance))
    order = np.argsort(-sizes)
    n = len(problem.values)
    left = problem.left(found.z)[:n] - found.slopes @ found.z  # with every input as drawn, by these slopes
    whole = _cost(found.slopes, left)
    for count in range(len(order) + 1):
        some = np.sort(order[:count])
        if _cost(found.slopes[:, some], left) <= whole + SPARED:
            return some
    return np.sort(order)


def _cost(slopes: Floats, left: Floats) -> float:
    """The least sum of squares that some inputs reach, the prior's part in it."""
    z = -np.linalg.solve(slopes.T @ slopes + np.eye(slopes.shape[1]), slopes.T @ left)
    rest = left + slopes @ z
    return float(rest @ rest + z @ z)


def problem_of(drawn: Modelled, sets: Sequence[Reduced], inputs: Sequence[UncertainInput]) -> Problem:
    """The readings of some sets and what is due of them for any inputs."""
    figures = [figure for one in sets for figure in one.figures]
    return Problem(
        np.array([one.value for one in figures]),
        np.array([one.uncertainty for one in figures]),
        lambda z: np.array(due_of(sets, stands(drawn, inputs, _values(inputs, z)))),
        np.array([(one.least - one.drawn) / one.deviation for one in inputs]),
    )


def _values(inputs: Sequence[UncertainInput], z: Floats) -> list[float]:
    return [one.drawn + one.deviation * float(at) for one, at in zip(inputs, z, strict=True)]


def _slopes_of(sets: Sequence[Reduced], drawn: Modelled, inputs: Sequence[UncertainInput], z: Floats) -> list[Floats]:
    """Slopes of each of some sets: the vehicle stands once for all of them."""
    whole = problem_of(drawn, sets, inputs).slopes(z, np.arange(len(inputs)))
    ends = np.cumsum([len(one.figures) for one in sets])
    return np.split(whole, ends[:-1].tolist()) if sets else []


def _told_by(i: int, sets: Sequence[Reduced], found: MostProbable) -> tuple[int, ...]:
    """The sets without which an input would be told less well."""
    whole = np.linalg.inv(found.covariance)
    numbers = np.array([one.number for one in sets for _ in one.figures])
    said = []
    for one in sets:
        mine = found.slopes[numbers == one.number]
        without = np.linalg.inv(whole - mine.T @ mine)
        if without[i, i] > MATTERS * found.covariance[i, i]:
            said.append(one.number)
    return tuple(said)


def _checked(problem: Problem, found: MostProbable, after: Sequence[ComparedFigure]) -> tuple[CheckedFigure, ...]:
    """Every reading against what the prior and all others predict."""
    left = (problem.values - problem.due(found.z)) / problem.doubts
    told = []
    for r, one in enumerate(after):
        j = found.slopes[r]
        leverage = min(float(j @ found.covariance @ j), 1 - 1e-12)
        away = float(left[r]) / float(np.sqrt(1 - leverage))
        # what others leave open of it, beside what the prior alone does
        open_by_others, open_by_prior = leverage / (1 - leverage), float(j @ j)
        checked = open_by_others < UNCHECKED * open_by_prior or open_by_prior < 1.0 or abs(away) > WRONG
        told.append(CheckedFigure(one.reading, one.name, one.due, one.agrees, away, abs(away) > WRONG, checked))
    return tuple(told)


def _not_apart(
    inputs: Sequence[UncertainInput],
    found: MostProbable,
    correlation: Floats,
    maybe: Sequence[Possible],
    slopes: Sequence[Floats],
) -> tuple[NotToldApart, ...]:
    """Groups of inputs that are told only together: pairs that go together, and what each that is left open is joined to."""
    variance = np.diag(found.covariance)
    alone = 1 / (1 + np.sum(found.slopes**2, axis=0))
    open_ = (alone < ALONE) & (variance > CONFOUNDED)
    joined = np.abs(correlation) > np.where(open_[:, None] & open_[None, :], JOINED, ALIKE)
    np.fill_diagonal(joined, False)
    touched = alone < 1 / (1 + 0.25)
    joined &= touched[:, None] & touched[None, :] & (open_[:, None] | open_[None, :])
    groups: list[list[int]] = []
    left: set[int] = set(np.flatnonzero(joined.any(axis=0)).tolist())
    while left:
        group: set[int] = set()
        edge = {left.pop()}
        while edge:
            one = edge.pop()
            group.add(one)
            edge |= set(np.flatnonzero(joined[one]).tolist()) - group
        left -= group
        groups.append(sorted(group))
    told = []
    for mine in sorted(groups):
        apart = correlation[mine][:, mine] - np.eye(len(mine))
        strongest = float(apart.ravel()[np.argmax(np.abs(apart))])
        told.append(
            NotToldApart(
                tuple(inputs[i].name for i in mine), strongest, best_for(mine, maybe, slopes, found.covariance)
            )
        )
    return tuple(told)
