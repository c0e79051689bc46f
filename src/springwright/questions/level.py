"""Does it stay level, and at the same frequency, as the load changes? And what a helper, a progressive spring or levelling would change."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from springwright.motion.equilibrium import equilibria
from springwright.motion.rig import BODY, row
from springwright.parts.law import Law, LinearLaw, ParallelLaws, SplineLaw
from springwright.questions.answer import YOURS, Answer, Fact, Figure, answer, figure, no_limit, worst
from springwright.questions.context import ProofContext, StateModel
from springwright.questions.question import Question, View
from springwright.questions.road_runs import Runs
from springwright.results import PRACTICE
from springwright.sizing import frequency as ride
from springwright.sizing.rates import spring_load, state_loads
from springwright.sizing.states import wheel_rates
from springwright.units import GRAVITY, show
from springwright.vehicle.assemble import own_springs, with_curve
from springwright.vehicle.axle import Axle
from springwright.vehicle.curves import lengths, mean_curves

Floats = NDArray[np.float64]
ASKS = "Load levelling: does it stay level, and ride alike, as the load changes?"
HELPER_SHARE = 0.5  # of the spring's rate, that a helper adds
PLACES = 61  # of a progressive law


def level(ready: ProofContext, runs: Runs | None = None, *, brief: bool = False) -> Answer:  # noqa: ARG001 nothing in it is dear
    """Answer the question."""
    design, limits = ready.design, ready.design.limits
    figures, facts = [], []
    alone = len(ready.states) < 2
    only = "there is only one load state" if alone else ""
    for i, axle in enumerate(design.axles):
        rises = [at.told.axles[i].rise for at in ready.states]
        low, high = int(np.argmin(rises)), int(np.argmax(rises))
        between = f"{ready.states[high].name} to {ready.states[low].name}"
        figures.append(
            figure(
                f"height change between load states, {axle.name}",
                None if alone else rises[high] - rises[low],
                "at most",
                limits.height_change,
                "m",
                "length",
                YOURS,
                state=ready.states[low].name,
                where=between,
                why=only or no_limit("height_change"),
                id="height_change",
                axle=axle.name,
            )
        )
        rides = [(at.told.axles[i].frequency_on_springs or 0.0) for at in ready.states]
        soft, stiff = int(np.argmin(rides)), int(np.argmax(rides))
        change = rides[stiff] / rides[soft] - 1 if rides[soft] else None
        figures.append(
            figure(
                f"frequency change between load states, {axle.name}",
                None if alone else change,
                "at most",
                limits.frequency_change,
                "",
                "share",
                YOURS,
                state=ready.states[soft].name,
                where=f"{show(rides[stiff], 'frequency')} to {show(rides[soft], 'frequency')}",
                why=only or no_limit("frequency_change"),
                id="frequency_change",
                axle=axle.name,
            )
        )
        for at in ready.states:
            told = at.told.axles[i]
            facts.append(
                Fact(f"height over {axle.name}", told.rise, "m", "length", at.name, note="against the design position")
            )
            damped = "" if told.damping_ratio is None else f"damping ratio {told.damping_ratio:.2f}"
            facts.append(
                Fact(f"frequency of {axle.name}", told.frequency_on_springs, "Hz", "frequency", at.name, note=damped)
            )
    pitches = [at.rest.pitch for at in ready.states]
    low, high = int(np.argmin(pitches)), int(np.argmax(pitches))
    figures.append(
        figure(
            "attitude change between load states",
            None if alone else pitches[high] - pitches[low],
            "at most",
            limits.attitude_change,
            "rad",
            "angle",
            YOURS,
            state=ready.states[high].name,
            where=f"{ready.states[high].name} to {ready.states[low].name}",
            why=only or no_limit("attitude_change"),
            id="attitude_change",
        )
    )
    still = ready.home.rest.pitch
    if design.lamp is None:
        figures.append(
            figure(
                "headlamp aim change",
                None,
                "at most",
                limits.lamp_aim_change,
                "",
                "share",
                PRACTICE,
                why="give [lamp]",
                id="lamp_aim_change",
            )
        )
    else:
        source = YOURS if "lamp_aim_change" in limits.model_fields_set else PRACTICE
        figures.append(worst([
            figure("headlamp aim change", abs(float(np.tan(at.rest.pitch - still))), "at most", limits.lamp_aim_change, "", "share", source, state=at.name, where=f"{'down' if at.rest.pitch > still else 'up'}, aimed in {ready.home.name}", id="lamp_aim_change")
            for at in ready.states
        ]))  # fmt: skip
    for at in ready.states:
        facts.append(Fact("attitude", at.rest.pitch, "rad", "angle", at.name, note="nose down positive"))
        if design.lamp is not None:
            x, y, z = design.lamp.xyz
            facts.append(Fact("height of the lamp", z + at.rest.rise_at(at.rig, x, y), "m", "length", at.name))
    if not alone:
        facts += _would_change(ready)
    return answer("level", ASKS, tuple(figures), tuple(facts))  # fmt: skip


def _would_change(ready: ProofContext) -> list[Fact]:
    """The axle whose height changes most, on other springs: height change and frequencies of each, worked out."""
    spread = [
        max(at.told.axles[i].rise for at in ready.states) - min(at.told.axles[i].rise for at in ready.states)
        for i in range(len(ready.design.axles))
    ]
    i = int(np.argmax(spread))
    if ready.design.walking_beams or ready.springs[i].law.about(0.0) is not ready.springs[i].law:
        return []
    axle, law = ready.design.axles[i], ready.springs[i].law
    lightest = min(_pressed(at, axle, i) for at in ready.states)
    force, rate = law.force, law.rate
    pressed = np.linspace(-0.9 * force / rate, 2.5 * force / rate, PLACES)
    growing = SplineLaw(tuple(pressed.tolist()), tuple((force * np.exp(pressed * rate / force)).tolist()))

    def levelled(at: StateModel) -> Law:
        carried = float(state_loads(ready.design, at.weight, ready.loads)[i])
        return LinearLaw(rate, spring_load(axle, carried))

    options: dict[str, Callable[[StateModel], Law]] = {
        f"a helper of {HELPER_SHARE:.0%} of its rate, touching in the lightest state": lambda _: ParallelLaws(
            (law, _helper(law, lightest))
        ),
        "a progressive spring whose rate grows with its load": lambda _: growing,
        "levelling that keeps the spring": levelled,
    }
    return _tried(ready, i, options, spread[i])


def _helper(law: Law, touches: float) -> Law:
    """A spring that begins to carry at a place [m]."""
    rate = HELPER_SHARE * law.rate
    x = np.linspace(touches - 0.5, touches + 0.5, 401)
    width = 0.004  # m over which it comes in, so that the curve stays smooth
    eased = np.where(
        x < touches - width, 0.0, np.where(x > touches + width, x - touches, (x - touches + width) ** 2 / (4 * width))
    )
    return SplineLaw(tuple(x.tolist()), tuple((rate * eased).tolist()))


def _pressed(at: StateModel, axle: Axle, index: int) -> float:
    """How far an axle's springs are pressed at rest, from zero wheel travel [m]."""
    travel = float((at.rig.element_rows[own_springs(at.rig, index)] @ at.rest.travel).mean())
    return axle.spring.rest_length - float(lengths(axle, travel).length)


def _tried(ready: ProofContext, axle: int, options: dict[str, Callable[[StateModel], Law]], was: float) -> list[Fact]:
    """Every option in every load state, side by side; nothing is told of one that finds no rest in some state."""
    one, states = ready.design.axles[axle], len(ready.states)
    laws = [choose(at) for choose in options.values() for at in ready.states]
    batch = row(ready.batch, np.tile(np.arange(states), len(options)))
    rigs = with_curve(batch, own_springs(batch, axle), mean_curves(one, laws))
    rests = equilibria(rigs)
    rises = np.sum(rigs.rise_row(-one.behind_front_axle, 0.0) * rests.q[:, :BODY], axis=1)
    masses = rests.wheel_loads[:, rigs.wheel_axle == axle].mean(axis=1) / GRAVITY - one.unsprung_mass / one.wheels
    found = []
    for word, begin in zip(options, range(0, len(laws), states), strict=True):
        mine = range(begin, begin + states)
        if any(rests.reasons[k] for k in mine):
            continue
        rates = [float(wheel_rates(rig, rig.travel_at(rests.q[k]))[axle]) for k in mine for rig in [row(rigs, k)]]
        rides = [float(ride.frequency_of_rate(rate, masses[k])) for rate, k in zip(rates, mine, strict=True)]
        note = f"in place of {show(was, 'length')}; rides at {show(min(rides), 'frequency')} to {show(max(rides), 'frequency')}"
        change = float(np.ptp(rises[begin : begin + states]))
        found.append(Fact(f"height change at {one.name} with {word}", change, "m", "length", note=note))
    return found


def _every_state(_: ProofContext, __: Figure) -> View:
    return frozenset(), frozenset()


LEVEL = Question("level", "Level", level, view=_every_state)
