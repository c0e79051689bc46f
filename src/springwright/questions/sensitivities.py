"""What moves a figure that is not met: every input changed a little, the question asked again, and how far it would have to go."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwright.errors import FieldFault, UnsolvedError
from springwright.evaluation import in_threads
from springwright.motion.equilibrium import equilibrium
from springwright.motion.rig import BAR, Rig
from springwright.parts.law import Law, Pull
from springwright.questions.answer import Answer, Figure
from springwright.questions.context import ProofContext, StateModel
from springwright.questions.question import Question, QuestionFunction, View
from springwright.questions.road_runs import Runs
from springwright.results import Result
from springwright.sizing.states import assembled, at_rest_in
from springwright.units import as_entered, show, text_in
from springwright.vehicle.assemble import with_damping
from springwright.vehicle.axle import Axle
from springwright.vehicle.design import Design
from springwright.vehicle.weigh import StateWeight

Floats = NDArray[np.float64]
RATE, DAMPING, ROLL, TYRE = 0.10, 0.10, 0.10, 0.10  # shares by which each is changed
TRAVEL, LOWER = 0.010, 0.020  # m
AT_LEAST = 0.01  # of the limit: a figure moved by less is not said to be moved
SAID = 3  # inputs told for each figure
TRIES, MORE = 4, 1.03  # how often what would be enough is tried, and how much more of it each time
FARTHEST = 8.0  # times the trial change: as far as a straight line is trusted


@dataclass(frozen=True)
class Move(Result):
    """One input against one not-met figure: the trial change, the figure before and after, and the change that would meet the limit.

    `at` and `to`: the place of the design file and the text there with which it would, where one field alone says it.
    """

    question: str
    measure: str
    kind: str
    unit: str
    input: str
    change: str
    before: float
    after: float
    limit: float
    enough: str
    at: tuple[str | int, ...] = ()
    to: str = ""


@dataclass(frozen=True)
class _Step:
    """A trial change of a kind [SI], of the sense that more of it is written with; a kind of share is told in whole per cents."""

    size: float
    kind: str
    more: str = "+"

    def reads(self, times: float) -> str:
        """So many of it, rounded away from nothing as it is shown [SI]."""
        sign = self.more if times > 0 else ("−" if self.more == "+" else "+")
        return f"{sign}{show(abs(self.snapped(times)) * self.size, self.kind, self._decimals)}"

    def snapped(self, times: float) -> float:
        """The number of it that is read [-]."""
        return math.copysign(
            as_entered(abs(times) * self.size, self.kind, up=True, decimals=self._decimals) / self.size, times
        )

    @property
    def _decimals(self) -> int | None:
        return 0 if self.kind == "share" else None


class _Written(NamedTuple):
    """A field of the design file and its new text."""

    at: tuple[str | int, ...]
    to: str


@dataclass(frozen=True)
class _Change:
    """An input, how it reads with a number of times its trial change, and the design made ready with it changed so many times."""

    input: str
    step: _Step
    made: Callable[[ProofContext, float], ProofContext]
    writes: Callable[[Design, float], _Written | None] = lambda _, __: None

    def reads(self, times: float) -> str:
        """How so many times the trial change reads [SI]."""
        return self.step.reads(times)

    def snapped(self, times: float) -> float:
        """How many times the trial change what is read is: no less than `times` [-]."""
        return self.step.snapped(times)


class Trials:
    """Designs with one input changed a little, for each view that is asked for: made once, and their runs shared by all questions."""

    def __init__(self, ready: ProofContext) -> None:
        self.ready = ready
        self._known: dict[View, dict[tuple[str, float], Runs | None]] = {}

    def seen(self, view: View, change: _Change | None, times: float) -> Runs | None:
        """A view of the design with an input changed so many times, or as it is; None where it cannot be [-]."""
        key = (change.input if change else "", times)
        known = self._known.setdefault(view, {})
        if key not in known:
            narrowed = self.ready.narrowed(*view)
            try:
                known[key] = Runs(change.made(narrowed, times) if change else narrowed)
            except (UnsolvedError, FieldFault):
                known[key] = None
        return known[key]


def moves(trials: Trials, answer: Answer, question: Question) -> tuple[Move, ...]:  # noqa: C901 a way for each kind of part
    """The inputs that move each not-met figure of an answer towards its limit, the strongest first.

    Every input is changed by a small step, the way that helps, and the question is asked again in the load state and on the ground
    that govern, as it is and as it is changed, and again where a straight line through the two meets the limit. `enough` is where the line
    through the last two does, rounded as it is told, and is told only where the question asked again with just that meets it.
    """
    failed = [
        one for one in answer.figures if one.word == "not met" and one.value is not None and one.limit is not None
    ]
    if not failed:
        return ()
    asked: dict[tuple[View, str, float], dict[str, Figure]] = {}
    changes = _changes(trials.ready)

    def all_asked(wanted: list[tuple[View, _Change | None, float]]) -> None:
        """Ask about those not asked about before, side by side."""
        new = {
            (view, change.input if change else "", times): trials.seen(view, change, times)
            for view, change, times in wanted
        }
        new = {key: runs for key, runs in new.items() if key not in asked}
        asked.update(zip(new, in_threads(lambda runs: _figures(question.ask, runs), new.values()), strict=True))

    def value(view: View, change: _Change | None, times: float, measure: str) -> float | None:
        figure = asked[view, change.input if change else "", times].get(measure)
        return figure.value if figure else None

    views = {one.measure: question.view(trials.ready, one) for one in failed}
    all_asked([(view, change, 1.0) for view in views.values() for change in (None, *changes)])
    ways: list[tuple[Figure, _Change, float]] = []
    for one in failed:
        was = value(views[one.measure], None, 1.0, one.measure)
        for change in changes:
            now = value(views[one.measure], change, 1.0, one.measure)
            if was is not None and now is not None and abs(now - was) >= AT_LEAST * abs(one.limit or 1.0):
                ways.append((one, change, 1.0 if (now - was) * ((one.limit or 0.0) - was) > 0 else -1.0))
    all_asked([(views[one.measure], change, times) for one, change, times in ways])
    chosen: list[tuple[Figure, _Change, float, float, float]] = []
    for one in failed:
        was = value(views[one.measure], None, 1.0, one.measure)
        mine = []
        for change, times in [(change, times) for figure, change, times in ways if figure is one]:
            now = value(views[one.measure], change, times, one.measure)
            if was is not None and now is not None and (now - was) * ((one.limit or 0.0) - was) > 0:
                mine.append((one, change, times, was, now))
        mine.sort(key=lambda way: -abs(way[4] - way[3]))
        chosen += mine[:SAID]
    far = [times * ((one.limit or 0.0) - was) / (now - was) for one, _, times, was, now in chosen]
    near = [abs(one) <= FARTHEST for one in far]
    all_asked([(views[way[0].measure], way[1], there) for way, there, ok in zip(chosen, far, near, strict=True) if ok])
    enough: list[float | None] = []
    for (one, change, times, _, now), there, ok in zip(chosen, far, near, strict=True):
        after = value(views[one.measure], change, there, one.measure) if ok else None
        # a step further along the line through the two values that were worked out
        known = after not in (None, now)
        least = there + ((one.limit or 0.0) - after) * (there - times) / (after - now) if known else there  # type: ignore[operator]
        enough.append(change.snapped(least) if ok and 0 < least / times <= FARTHEST else None)
    met = [False] * len(chosen)
    for _ in range(TRIES):
        trying = [k for k, there in enumerate(enough) if there is not None and not met[k]]
        all_asked([(views[chosen[k][0].measure], chosen[k][1], enough[k] or 0.0) for k in trying])
        for k in trying:
            one, change, there = chosen[k][0], chosen[k][1], enough[k] or 0.0
            figure = asked[views[one.measure], change.input, there].get(one.measure)
            met[k] = figure is not None and figure.word in ("met", "close")
            if not met[k]:
                more = change.snapped(there * MORE)
                enough[k] = more if abs(more) <= FARTHEST else None
    return tuple(
        Move(
            answer.question,
            one.measure,
            one.kind,
            one.unit,
            change.input,
            change.reads(times),
            was,
            now,
            one.limit or 0.0,
            change.reads(there)
            if ok and there is not None
            else f"not by {change.reads(math.copysign(FARTHEST, times))}",
            *((ok and there is not None and change.writes(trials.ready.design, there)) or ()),
        )
        for (one, change, times, was, now), there, ok in zip(chosen, enough, met, strict=True)
    )


def _figures(ask: QuestionFunction, runs: Runs | None) -> dict[str, Figure]:
    if runs is None:
        return {}
    try:
        return {figure.measure: figure for figure in ask(runs.ready, runs, brief=True).figures}
    except UnsolvedError:
        return {}


def _changes(ready: ProofContext) -> list[_Change]:
    changes: list[_Change] = []
    for i, axle in enumerate(ready.design.axles):
        name = axle.name
        changes += [
            _Change(
                f"spring rate of {name}, same wire and height",
                _Step(RATE, "share"),
                partial(_stiffer, i),
                partial(_aimed, i),
            ),
            _Change(f"damping of {name}", _Step(DAMPING, "share"), partial(_damped, i), partial(_damped_to, i)),
            _Change(
                f"tyre rate of {name}",
                _Step(TYRE, "share"),
                partial(_tyred, i),
                partial(_tyred_to, i),
            ),
            *(
                _Change(
                    f"{end} travel of {name}",
                    _Step(TRAVEL, "length"),
                    partial(_travel, i, end),
                    partial(_travel_to, i, end),
                )
                for end in ("bump", "droop")
            ),
        ]
        if axle.wheels == 2:
            stiffness = ready.rates[i].roll_stiffness or 0.0
            step = _Step(ROLL * stiffness, "roll rate")
            changes.append(_Change(f"anti-roll bar of {name}", step, partial(_barred, i), partial(_barred_to, i, ROLL * stiffness)))  # fmt: skip
    changes.append(
        _Change(
            "height of the sprung body's centre of gravity",
            _Step(LOWER, "length", more="−"),
            _lower,
        )
    )
    return changes  # fmt: skip


def _aimed(index: int, design: Design, times: float) -> _Written | None:
    """A stiffer spring is asked for by a higher target: the rate goes as its square; none where the spring is the builder's own."""
    axle = design.axles[index]
    target = axle.target
    if target is None or target.frequency is None or any(getattr(axle.spring, name) is not None for name in axle.spring.own_fields()):  # fmt: skip
        return None
    frequency = target.frequency * math.sqrt(max(1 + times * RATE, 0.0))
    return _Written(("axles", index, "target", "frequency"), text_in(round(frequency, 3), "frequency", "Hz"))


def _damped_to(index: int, design: Design, times: float) -> _Written | None:
    axle = design.axles[index]
    target = axle.target
    follows = axle.damper is None or axle.damper.points is None
    if target is None or target.damping_ratio is None or not follows:
        return None
    return _Written(("axles", index, "target", "damping_ratio"), f"{target.damping_ratio * (1 + times * DAMPING):.3f}")


def _tyred_to(index: int, design: Design, times: float) -> _Written | None:
    """None where the rate is not stated but read or estimated: what it comes from would have to change."""
    tyre = design.axles[index].tyre
    if tyre.estimate or tyre.readings or tyre.test_sheet:
        return None
    return _Written(("axles", index, "tyre", "rate"), text_in(round(tyre.rate * (1 + times * TYRE)), "rate", "N/mm"))


def _travel_to(index: int, end: str, design: Design, times: float) -> _Written | None:
    longer = getattr(design.axles[index].travel, end) + times * TRAVEL
    return _Written(("axles", index, "travel", end), text_in(round(longer, 6), "length", "mm")) if longer > 0 else None


def _barred_to(index: int, step: float, design: Design, times: float) -> _Written | None:
    bar = design.axles[index].bar
    if bar is None or bar.adds is None or bar.adds + times * step <= 0:
        return None
    return _Written(("axles", index, "bar", "adds"), text_in(round(bar.adds + times * step, 1), "roll rate", "N*m/deg"))


@dataclass(frozen=True)
class _Stiffer(Law):
    """A law so many times as stiff about the design position, its force there kept."""

    law: Law
    factor: float

    @property
    def pulls(self) -> bool:  # type: ignore[override]
        """See `Law`."""
        return self.law.pulls

    def at(self, pressed: ArrayLike) -> Pull:
        """See `Law`."""
        force, rate = self.law.at(pressed)
        still = self.law.force
        return Pull(still + self.factor * (force - still), self.factor * rate)


def _remade(
    ready: ProofContext,
    *,
    design: Design | None = None,
    laws: Callable[[tuple[Law, ...]], tuple[Law, ...]] = lambda laws: laws,
    weight: Callable[[StateWeight], StateWeight] = lambda weight: weight,
    rig: Callable[[Rig], Rig] = lambda rig: rig,
) -> ProofContext:
    """The design made ready again with something changed; the load on each axle in the design position stays."""
    whole = design or ready.design
    states = []
    for at in ready.states:
        carried, loaded = laws(at.laws), weight(at.weight)
        made = rig(assembled(whole, loaded, carried, ready.loads, ready.damping))
        told = partial(at_rest_in, whole, loaded, carried, ready.loads, ready.rates)
        states.append(StateModel(at.name, loaded, carried, made, equilibrium(made), told))
    springs = tuple(
        replace(one, law=laws(tuple(each.law for each in ready.springs))[i]) for i, one in enumerate(ready.springs)
    )
    return replace(ready, design=whole, states=tuple(states), springs=springs)  # fmt: skip


def _stiffer(index: int, ready: ProofContext, times: float) -> ProofContext:
    factor = 1 + times * RATE
    return _remade(
        ready, laws=lambda laws: tuple(_Stiffer(law, factor) if i == index else law for i, law in enumerate(laws))
    )


def _damped(index: int, ready: ProofContext, times: float) -> ProofContext:
    return _remade(ready, rig=lambda rig: with_damping(rig, index, 1 + times * DAMPING))


def _axle(ready: ProofContext, index: int, change: Callable[[Axle], Axle]) -> ProofContext:
    axles = tuple(change(axle) if i == index else axle for i, axle in enumerate(ready.design.axles))
    return _remade(ready, design=ready.design.model_copy(update={"axles": axles}))


def _tyred(index: int, ready: ProofContext, times: float) -> ProofContext:
    def harder(axle: Axle) -> Axle:
        return axle.model_copy(
            update={"tyre": axle.tyre.model_copy(update={"rate": axle.tyre.rate * (1 + times * TYRE)})}
        )

    return _axle(ready, index, harder)


def _travel(index: int, end: str, ready: ProofContext, times: float) -> ProofContext:
    def longer(axle: Axle) -> Axle:
        travel = axle.travel.model_copy(update={end: getattr(axle.travel, end) + times * TRAVEL})
        return axle.model_copy(update={"travel": travel})

    return _axle(ready, index, longer)


def _barred(index: int, ready: ProofContext, times: float) -> ProofContext:
    """A bar more, of a tenth of the axle's roll stiffness on its springs."""
    track = ready.design.axles[index].track or 1.0
    rate = times * ROLL * (ready.rates[index].roll_stiffness or 0.0) / track**2

    def more(rig: Rig) -> Rig:
        row = np.where(rig.wheel_axle == index, np.sign(rig.wheel_places[:, 1]), 0.0)
        at = int((rig.element_kind <= BAR).sum())  # before the stops
        count = rig.element_force.shape[1]
        span = np.linspace(-1.0, 1.0, count)
        return replace(
            rig,
            element_rows=np.insert(rig.element_rows, at, row, axis=0),
            element_kind=np.insert(rig.element_kind, at, BAR),
            element_start=np.insert(rig.element_start, at, -1.0),
            element_step=np.insert(rig.element_step, at, span[1] - span[0]),
            element_force=np.insert(rig.element_force, at, rate * span, axis=0),
            element_rate=np.insert(rig.element_rate, at, np.full(count, rate), axis=0),
        )

    return _remade(ready, rig=more)


def _lower(ready: ProofContext, times: float) -> ProofContext:
    """The whole sprung body lower, and the vehicle's centre of gravity by its share."""

    def down(place: Sequence[float], by: float) -> tuple[float, ...]:
        return (place[0], place[1], place[2] - by)

    def lowered(weight: StateWeight) -> StateWeight:
        share = weight.sprung_mass / weight.mass
        return replace(
            weight, cg=down(weight.cg, times * share * LOWER), sprung_cg=down(weight.sprung_cg, times * LOWER)
        )

    return _remade(ready, weight=lowered)
