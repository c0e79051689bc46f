"""The window: the ride frequencies of each axle that every requirement allows, and what binds each end.

One axle's frequency is varied (on springs alone, sprung mass), the rest of the design held. Each requirement is a
figure against a limit, worked out from the same equilibrium as everything else; its ends are found by
scanning the range and closing in on each crossing, so a figure that is not monotone is noticed and said.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault, UnsolvedError, within
from springwright.motion.equilibrium import Rest, equilibrium
from springwright.parts.law import Law
from springwright.results import Result, si
from springwright.sizing import frequency as ride
from springwright.sizing.rates import kept_level, law_for, laws_of_state, sprung_mass, state_loads, wheel_force
from springwright.units import GRAVITY, show
from springwright.vehicle.assemble import assemble, own_springs, with_curve, without_stops
from springwright.vehicle.curves import lengths, spring_curve
from springwright.vehicle.design import Design
from springwright.vehicle.rig import Rig
from springwright.vehicle.weigh import StateWeight

Floats = NDArray[np.float64]
SOFTEST, STIFFEST, POINTS = 0.3, 5.0, 25  # Hz: the range looked at


@dataclass(frozen=True)
class Requirement(Result):
    """One requirement on one axle: the frequencies it allows, and which load state governs at the axle's own frequency."""

    name: str
    limit: float | None
    unit: str
    kind: str
    sense: str
    allowed: tuple[tuple[float, ...], ...] = si("Hz", ())
    value: float | None = None
    where: str = ""
    monotone: bool = True
    note: str = ""
    source: str = ""


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


@dataclass(frozen=True)
class Ask:
    """A requirement before it is scanned: its figure at a frequency with the state that governs."""

    name: str
    limit: float | None
    unit: str
    kind: str
    sense: str
    figure: Callable[[float], tuple[float, str]]
    broken: str
    missing: str = ""
    source: str = "your limit"
    beside: bool = False  # told for comparison: it binds nothing
    points: int = POINTS  # frequencies looked at before closing in
    close: float = 1e-10  # Hz to which an end is closed in on

    def margin(self, frequency: float) -> float:
        """Spare, positive where the requirement holds."""
        assert self.limit is not None
        value, _ = self.figure(frequency)
        return self.limit - value if self.sense == "at most" else value - self.limit


class Trial:
    """One axle at a trial frequency: rests in every load state, each worked out once."""

    def __init__(
        self,
        design: Design,
        index: int,
        weights: Sequence[StateWeight],
        laws: tuple[Law, ...],
        design_loads: Floats,
    ) -> None:
        self.axle = design.axles[index]
        self.load = float(design_loads[index])
        self.weights = weights
        self.x = -self.axle.behind_front_axle
        each = [state_loads(design, weight, design_loads) for weight in weights]
        self._rigs = [
            without_stops(assemble(design, weight, laws_of_state(design, laws, loads), design_loads))
            for weight, loads in zip(weights, each, strict=True)
        ]
        self._state_loads = [float(loads[index]) for loads in each]
        self._elements = own_springs(self._rigs[0], index)
        self._mine = self._rigs[0].wheel_axle == index
        self._known: dict[float, list[tuple[Rig, Rest]] | UnsolvedError] = {}
        self.index = index

    def law(self, frequency: float) -> Law:
        """The ideal spring at a frequency."""
        mass = sprung_mass(self.axle, self.load)
        return law_for(self.axle, self.load, float(ride.rate_for_frequency(frequency, mass)))

    def rests(self, frequency: float) -> list[tuple[Rig, Rest]]:
        """Rest in each load state."""
        if frequency not in self._known:
            self._known[frequency] = self._settled(frequency)
        known = self._known[frequency]
        if isinstance(known, UnsolvedError):
            raise known
        return known

    def _settled(self, frequency: float) -> list[tuple[Rig, Rest]] | UnsolvedError:
        law = self.law(frequency)
        found = []
        try:
            for rig, load in zip(self._rigs, self._state_loads, strict=True):
                trial = with_curve(rig, self._elements, spring_curve(self.axle, kept_level(self.axle, law, load)))
                found.append((trial, equilibrium(trial)))
        except UnsolvedError as error:
            return error
        return found

    def factor(self, frequency: float) -> tuple[float, str]:
        """Least load factor at the stop over the load states: spring force there / static sprung load, at the wheel."""
        factors = []
        for load, (rig, rest) in zip(self._state_loads, self.rests(frequency), strict=True):
            law = kept_level(self.axle, self.law(frequency), load)
            still = float((rig.element_rows[self._elements] @ rest.travel).mean())
            pressed = self.axle.spring.rest_length - float(lengths(self.axle, still).length)
            at_stop = wheel_force(self.axle, law.about(pressed), self.axle.travel.bump)
            carried = float(rest.wheel_loads[self._mine].mean()) - GRAVITY * self.axle.unsprung_mass / self.axle.wheels
            factors.append(at_stop / carried)
        worst = int(np.argmin(factors))
        return factors[worst], self.weights[worst].name

    def height_change(self, frequency: float) -> tuple[float, str]:
        """Largest difference in height over this axle between two load states [m]."""
        return self._spread([rest.rise_at(rig, self.x) for rig, rest in self.rests(frequency)])

    def attitude_change(self, frequency: float) -> tuple[float, str]:
        """Largest difference in pitch between two load states [rad]."""
        return self._spread([float(rest.q[1]) for _, rest in self.rests(frequency)])

    def droop_force(self, frequency: float) -> tuple[float, str]:
        """Force left in the coil at full droop [N], counted on past zero."""
        law = self.law(frequency)
        longest = float(lengths(self.axle, -self.axle.travel.droop).length)
        return float(law.at(self.axle.spring.rest_length - longest).force), "every state"

    def _spread(self, values: list[float]) -> tuple[float, str]:
        low, high = int(np.argmin(values)), int(np.argmax(values))
        return values[high] - values[low], f"{self.weights[high].name} to {self.weights[low].name}"


def windows(
    design: Design,
    weights: Sequence[StateWeight],
    laws: tuple[Law, ...],
    design_loads: Floats,
    aims: Sequence[float],
    more: Callable[[Trial], list[Ask]] = lambda _: [],
) -> tuple[Window, ...]:
    """The window of every axle, the other axles held at `laws`; `aims` are the frequencies aimed at [Hz], `more` asks beside the static ones."""
    found = []
    for i in range(len(design.axles)):
        with within("axles", i):
            trial = Trial(design, i, weights, laws, design_loads)
            found.append(_window(trial, [*_asks(trial, design), *more(trial)], aims[i]))
    return tuple(found)


def _asks(trial: Trial, design: Design) -> list[Ask]:
    limits, alone = design.limits, len(design.states) < 2
    one_state = "there is only one load state" if alone else ""
    height, attitude = (None, None) if alone else (limits.height_change, limits.attitude_change)
    made = trial.axle.spring.made
    held = made is not None and made.pulls
    pressed = limits.coil_loaded_at_droop and not held
    return [
        Ask(
            "load factor at the stop", limits.load_factor, "", "ratio", "at least", trial.factor,
            f"the load factor at the stop is under {show(limits.load_factor, 'ratio', 2)}", "",
            "your limit" if "load_factor" in limits.model_fields_set else "common practice",
        ),
        Ask(
            "height change between load states", height, "m", "length", "at most", trial.height_change,
            f"height changes by more than {show(height, 'length')} between load states", one_state,
        ),
        Ask(
            "attitude change between load states", attitude, "rad", "angle", "at most", trial.attitude_change,
            f"attitude changes by more than {show(attitude, 'angle')} between load states", one_state,
        ),
        Ask(
            "coil pressed at full droop", 0.0 if pressed else None, "N", "force", "at least", trial.droop_force,
            "the coil hangs slack at full droop", "" if pressed else "does not apply: held at both ends" if held else "the design lets the coil go slack", "common practice",
        ),
    ]  # fmt: skip


def _window(trial: Trial, asks: Sequence[Ask], aim: float) -> Window:
    found = [_scan(ask, aim) for ask in asks]
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


def _scan(ask: Ask, aim: float) -> Requirement:
    """Where a requirement holds over the range: crossings found on a grid, then closed in on."""
    if ask.limit is None:
        return Requirement(
            ask.name, None, ask.unit, ask.kind, ask.sense, note=ask.missing or "no limit given: not known"
        )
    from scipy.optimize import brentq

    grid = np.unique(np.concatenate([np.geomspace(SOFTEST, STIFFEST, ask.points), [aim]]))
    margins = np.array([_margin(ask, f) for f in grid])
    edges: list[float] = []
    for i in range(len(grid) - 1):
        a, b = float(grid[i]), float(grid[i + 1])
        if (margins[i] >= 0) != (margins[i + 1] >= 0):
            if np.isfinite(margins[i]) and np.isfinite(margins[i + 1]):
                edges.append(float(brentq(lambda f: _margin(ask, f), a, b, xtol=ask.close, rtol=1e-12)))
            else:
                edges.append(a if np.isfinite(margins[i]) else b)
    bounds = [SOFTEST, *edges, STIFFEST]
    allowed = tuple((a, b) for i, (a, b) in enumerate(pairwise(bounds)) if (margins[0] >= 0) == (i % 2 == 0) and b > a)
    value, where = _figure(ask, aim)
    steps = np.diff(margins[np.isfinite(margins)])
    monotone = bool(np.all(steps >= -1e-12) or np.all(steps <= 1e-12))
    note = (
        ""
        if monotone or len(edges) < 2
        else "the figure does not only rise or only fall with frequency; every crossing was found"
    )
    return Requirement(
        ask.name, ask.limit, ask.unit, ask.kind, ask.sense, allowed, value, where, monotone, note, ask.source
    )


def _margin(ask: Ask, frequency: float) -> float:
    try:
        return ask.margin(frequency)
    except (UnsolvedError, FieldFault):
        return -np.inf


def _figure(ask: Ask, frequency: float) -> tuple[float | None, str]:
    try:
        return ask.figure(frequency)
    except (UnsolvedError, FieldFault):
        return None, ""


def _limit(one: Requirement | Ask) -> str:
    return (
        ""
        if one.kind == "force"
        else f" {one.sense} {show(one.limit, one.kind, decimals=2 if one.kind == 'ratio' else None)}"
    )


def _sentence(window: Window, asks: Sequence[Ask]) -> str:
    broken = {ask.name: ask.broken for ask in asks}
    softest, stiffest = window.softest, window.stiffest
    low, high = "nothing asked so far binds the soft end", "nothing asked so far binds the stiff end"
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


def _empty_sentence(trial: Trial, asks: Sequence[Ask], low: Requirement | None, high: Requirement | None) -> str:
    name = trial.axle.name
    if low is None or high is None:
        lone = low or high
        assert lone is not None
        return f"{name}: no frequency from {SOFTEST:g} to {STIFFEST:g} Hz meets {lone.name}{_limit(lone)}; ease it, or change the load it is judged by."
    by_name = {ask.name: ask for ask in asks}
    soft_end, stiff_end = min(band[0] for band in low.allowed), max(band[1] for band in high.allowed)
    eased, _ = _figure(by_name[low.name], stiff_end)
    openings = []
    if eased is not None:
        openings.append(f"{low.name} eased to {show(eased, low.kind, decimals=2 if low.kind == 'ratio' else None)}")
    if low.name == "load factor at the stop":
        law = trial.law(stiff_end)
        heavier = (
            wheel_force(trial.axle, law, trial.axle.travel.bump) / (eased * wheel_force(trial.axle, law, 0.0))
            if eased
            else 1.0
        )
        bump = float(ride.travel_to_factor((low.limit or 0.0) * heavier, GRAVITY, (2 * np.pi * stiff_end) ** 2))
        openings.append(
            f"about {show(bump, 'length')} of bump travel in place of {show(trial.axle.travel.bump, 'length')}"
        )
    if high.name == "coil pressed at full droop":
        droop = GRAVITY / (2 * np.pi * soft_end) ** 2
        openings.append(
            f"about {show(droop, 'length')} of droop in place of {show(trial.axle.travel.droop, 'length')}, or a helper spring"
        )
    if low.name.startswith("roll gradient"):
        openings.append("an anti-roll bar; prove says how stiff")
    opened = f" What would open it: {'; or '.join(openings)}." if openings else ""
    return (
        f"{name}: nothing is left open. {low.name}{_limit(low)} wants {show(soft_end, 'frequency')} or more, "
        f"{high.name}{_limit(high)} wants {show(stiff_end, 'frequency')} or less.{opened}"
    )
