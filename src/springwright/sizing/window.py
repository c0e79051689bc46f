"""The window: the ride frequencies of each axle that every requirement allows, and what binds each end.

One axle's frequency is varied (on springs alone, sprung mass), the rest of the design held. Each requirement is a
figure against a limit, worked out from the same equilibrium as everything else; its ends are found by
scanning the range and closing in on each crossing, so a figure that is not monotone is noticed and said.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault, within
from springwright.motion.rig import stack
from springwright.parts.law import Law
from springwright.results import Result, si
from springwright.sizing.crossing_search import (
    SOFTEST,
    STIFFEST,
    Ask,
    FigureAtFrequencies,
    Requirement,
    figure_at,
    scan,
)
from springwright.sizing.frequency_sweep import FrequencySweep
from springwright.sizing.rates import laws_of_state, state_loads
from springwright.sizing.states import assembled
from springwright.units import as_entered, show, show_some
from springwright.vehicle.assemble import without_stops
from springwright.vehicle.design import Design
from springwright.vehicle.weigh import StateWeight

__all__ = ["SOFTEST", "STIFFEST", "Ask", "FigureAtFrequencies", "FrequencySweep", "Requirement", "Window", "windows"]

Floats = NDArray[np.float64]
FACTOR, PRESSED = "bump load factor", "preload at full droop"
SPARE = 1e-4  # by which a remedy is more than enough, so that what it opens has a width
FARTHEST_TRAVEL = 1.0  # m: as far as a travel is looked for


@dataclass(frozen=True)
class Window(Result):
    """The open interval of one axle, what binds its ends, and a sentence that says so."""

    axle: str
    bound_below: str
    bound_above: str
    softest: float | None = si("Hz")
    stiffest: float | None = si("Hz")
    target: float = si("Hz")
    holds_target: bool = False
    sentence: str = ""
    requirements: tuple[Requirement, ...] = ()

    @property
    def outside(self) -> str:
        """That the target lies outside, by how much, which way and where the window is open; empty where it is inside."""
        if self.holds_target:
            return ""
        if self.softest is None or self.stiffest is None:
            ends = [self._of(one) for one in (self.bound_below, self.bound_above) if one]
            return f"{self.axle}: {show(self.target, 'frequency')} lies outside its window, which {' and '.join(ends)} {'shut' if len(ends) > 1 else 'shuts'}"
        soft = self.target < self.softest
        gap, bound = (
            (self.softest - self.target, self.bound_below) if soft else (self.target - self.stiffest, self.bound_above)
        )
        span = f"{show(self.softest, 'frequency')} to {show(self.stiffest, 'frequency')}"
        way = f"{show_some(gap, 'frequency')} too {'soft' if soft else 'stiff'}"
        asks = f"for the {self._of(bound)}" if bound else "for what is looked at"
        return f"{self.axle}: {show(self.target, 'frequency')} lies outside its window, {span}; {way} {asks}"

    def _of(self, name: str) -> str:
        """A requirement with its limit, by name."""
        one = next((each for each in self.requirements if each.name == name), None)
        return name if one is None else f"{name}{_limit(one)}"


def windows(
    design: Design,
    weights: Sequence[StateWeight],
    laws: tuple[Law, ...],
    design_loads: Floats,
    aims: Sequence[float],
    more: Callable[[FrequencySweep], list[Ask]] = lambda _: [],
    progress: Callable[[str], None] | None = None,
) -> tuple[Window, ...]:
    """The window of every axle, the other axles held at `laws`; `aims` are the frequencies aimed at [Hz], `more` asks beside the static ones.

    `progress` is told what is being done.
    """
    say = progress or (lambda _: None)
    carried = np.array([state_loads(design, weight, design_loads) for weight in weights])
    rigs = stack(
        [
            without_stops(assembled(design, weight, laws_of_state(design, laws, loads), design_loads))
            for weight, loads in zip(weights, carried, strict=True)
        ]
    )
    found = []
    for i, axle in enumerate(design.axles):
        with within("axles", i):
            trial = FrequencySweep.of(axle, i, weights, rigs, carried[:, i], float(design_loads[i]))
            asks = [*_asks(trial, design), *more(trial)]
            found.append(_window(trial, asks, aims[i], lambda word, of=trial.axle.name: say(f"{of}: {word}")))  # type: ignore[misc]
    return tuple(found)


def _asks(trial: FrequencySweep, design: Design) -> list[Ask]:
    limits, alone = design.limits, len(design.states) < 2
    one_state = "there is only one load state" if alone else ""
    height, attitude = (None, None) if alone else (limits.height_change, limits.attitude_change)
    made = trial.axle.spring.made
    held = made is not None and made.pulls
    pressed = limits.preload_at_droop and not held
    return [
        Ask(
            "bump_load_factor", FACTOR, limits.bump_load_factor, "", "ratio", "at least", trial.factor,
            f"the bump load factor is under {show(limits.bump_load_factor, 'ratio', 2)}", "",
            "your limit" if "bump_load_factor" in limits.model_fields_set else "common practice", after=trial.rests, kept=trial.looked,
        ),
        Ask(
            "height_change", "height change between load states", height, "m", "length", "at most", trial.height_change,
            f"height changes by more than {show(height, 'length')} between load states", one_state, after=trial.rests, kept=trial.looked,
        ),
        Ask(
            "attitude_change", "attitude change between load states", attitude, "rad", "angle", "at most", trial.attitude_change,
            f"attitude changes by more than {show(attitude, 'angle')} between load states", one_state, after=trial.rests, kept=trial.looked,
        ),
        Ask(
            "pressed_at_full_droop", PRESSED, 0.0 if pressed else None, "N", "force", "at least", trial.droop_force,
            "the coil unseats at full droop", "" if pressed else "does not apply: held at both ends" if held else "the design lets the coil unseat", "common practice", kept=trial.looked,
        ),
    ]  # fmt: skip


def _window(trial: FrequencySweep, asks: Sequence[Ask], aim: float, say: Callable[[str], None]) -> Window:
    found = scan(asks, aim, say)
    kept = [(SOFTEST, STIFFEST)]
    bind = [one for one, ask in zip(found, asks, strict=True) if one.limit is not None and not ask.beside]
    for one in bind:
        kept = [(max(a, c), min(b, d)) for a, b in kept for c, d in one.allowed if min(b, d) > max(a, c)]
    name = trial.axle.name
    if not kept:
        low, high = _exclude(bind)
        return Window(
            axle=name,
            bound_below=low.name if low else "",
            bound_above=high.name if high else "",
            softest=None,
            stiffest=None,
            target=aim,
            sentence=_empty_sentence(trial, asks, low, high),
            requirements=tuple(found),
        )
    softest, stiffest = min(kept, key=lambda band: max(band[0] - aim, aim - band[1], 0.0))
    below = next(
        (one.name for one in bind if any(abs(band[0] - softest) < 1e-9 for band in one.allowed) and softest > SOFTEST),
        "",
    )
    above = next(
        (
            one.name
            for one in bind
            if any(abs(band[1] - stiffest) < 1e-9 for band in one.allowed) and stiffest < STIFFEST
        ),
        "",
    )
    window = Window(name, below, above, softest, stiffest, aim, softest <= aim <= stiffest, requirements=tuple(found))
    return replace(window, sentence=_sentence(window, asks))


def _limit(one: Requirement | Ask) -> str:
    return (
        ""
        if one.kind == "force"
        else f" {one.sense} {show(one.limit, one.kind, decimals=2 if one.kind == 'ratio' else None)}"
    )


def _sentence(window: Window, asks: Sequence[Ask]) -> str:
    broken = {ask.name: ask.broken for ask in asks}
    softest, stiffest = window.softest, window.stiffest
    low, high = "no governing limit so far at the soft end", "no governing limit so far at the stiff end"
    if window.bound_below:
        low = f"softer than {show(softest, 'frequency')}, {broken[window.bound_below]}"
    if window.bound_above:
        high = f"stiffer than {show(stiffest, 'frequency')}, {broken[window.bound_above]}"
    return f"{window.axle}: {low}; {high}."


def _exclude(found: Sequence[Requirement]) -> tuple[Requirement | None, Requirement | None]:
    """The two requirements that shut the window between them: the highest soft end and the lowest stiff end."""
    asked = [one for one in found if one.limit is not None]
    never = next((one for one in asked if not one.allowed), None)
    if never is not None:
        return never, None
    low = max(asked, key=lambda one: min(band[0] for band in one.allowed))
    high = min(asked, key=lambda one: max(band[1] for band in one.allowed))
    return low, high


def _empty_sentence(
    trial: FrequencySweep, asks: Sequence[Ask], low: Requirement | None, high: Requirement | None
) -> str:
    name = trial.axle.name
    if low is None or high is None:
        lone = low or high
        assert lone is not None
        return f"{name}: no frequency from {SOFTEST:g} to {STIFFEST:g} Hz meets {lone.name}{_limit(lone)}; ease it, or change the load it is judged by."
    soft_end, stiff_end = min(band[0] for band in low.allowed), max(band[1] for band in high.allowed)
    openings = _openings(trial, asks, low, high, soft_end, stiff_end)
    opened = f" What would open it: {'; or '.join(openings)}." if openings else ""
    return (
        f"{name}: no feasible range: {low.name}{_limit(low)} wants {show(soft_end, 'frequency')} or more, "
        f"{high.name}{_limit(high)} wants {show(stiff_end, 'frequency')} or less.{opened}"
    )


def _openings(
    trial: FrequencySweep, asks: Sequence[Ask], low: Requirement, high: Requirement, soft_end: float, stiff_end: float
) -> list[str]:
    """What would open a shut window, each tried on the true wheel forces at the value that is told."""
    openings = []
    if _others_hold(asks, low.name, stiff_end):
        eased, _ = figure_at(next(ask for ask in asks if ask.name == low.name), stiff_end)
        if eased is not None:
            decimals = 2 if low.kind == "ratio" else None
            lenient = eased * (1 + (SPARE if low.sense == "at most" else -SPARE))
            entered = as_entered(lenient, low.kind, up=low.sense == "at most", decimals=decimals)
            openings.append(f"{low.name} eased to {show(entered, low.kind, decimals=decimals)}")
        if low.id == "bump_load_factor":
            needed, was = (1 + SPARE) * (low.limit or 0.0), trial.axle.travel.bump
            bump = _travel_that(
                lambda b: float(trial.factor(np.array([stiff_end]), b).values[0]) >= needed, was, up=True
            )
            if bump is not None:
                openings.append(f"{show(bump, 'length')} of bump travel in place of {show(was, 'length')}")
        if low.id == "roll_gradient":
            openings.append("an anti-roll bar; prove says how stiff")
    if high.id == "pressed_at_full_droop" and _others_hold(asks, high.name, soft_end):
        was, least = trial.axle.travel.droop, SPARE * trial.law(soft_end).force
        droop = _travel_that(
            lambda d: float(trial.droop_force(np.array([soft_end]), d).values[0]) >= least, was, up=False
        )
        if droop is not None:
            openings.append(f"{show(droop, 'length')} of droop in place of {show(was, 'length')}")
        openings.append("a helper spring that follows it down")
    return openings


def _others_hold(asks: Sequence[Ask], but: str, frequency: float) -> bool:
    """Whether every other binding requirement holds at a frequency, an end that was closed in on counted in."""
    at = np.array([frequency])
    bind = [ask for ask in asks if ask.limit is not None and not ask.beside and ask.name != but]
    return all(float(ask.margins(ask.figure(at).values)[0]) >= -1e-3 * max(abs(ask.limit or 0.0), 1.0) for ask in bind)


def _travel_that(does: Callable[[float], bool], was: float, *, up: bool) -> float | None:
    """The nearest travel [m] to the present one, as a builder would enter it, that does; None where none is found within what its links follow."""
    step = 0.005 if up else -0.005
    near, far = was, was + step
    try:
        while not does(far):
            near, far = far, far + step
            if not 0 < far < FARTHEST_TRAVEL:
                return None
        while abs(far - near) > 1e-6:
            middle = (near + far) / 2
            near, far = (near, middle) if does(middle) else (middle, far)
        entered = as_entered(far, "length", up=up)
        return entered if entered > 0 and does(entered) else None
    except FieldFault:
        return None
