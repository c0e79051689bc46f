"""Where the vehicle rests in each load state on its real springs, and how it rides there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from springwright.errors import UnsolvedError
from springwright.motion.equilibrium import Rest, equilibrium, side_by_side
from springwright.motion.forces import element_forces
from springwright.motion.modes import Mode, modes
from springwright.motion.rig import BUMP_STOP, DROOP_STOP, Rig
from springwright.parts.law import Law
from springwright.results import KEPT, Judged, Result, si
from springwright.sizing import frequency as ride
from springwright.sizing.rates import AxleRates, laws_of_state, state_loads
from springwright.units import GRAVITY
from springwright.vehicle.assemble import assemble, own_springs, sharing
from springwright.vehicle.axle import Axle
from springwright.vehicle.curves import lengths, pull
from springwright.vehicle.design import Design
from springwright.vehicle.weigh import StateWeight

Floats = NDArray[np.float64]
ROUNDS = 3  # of pumping levelled springs to what stands on them: each takes what is left down a hundredfold


@dataclass(frozen=True)
class AxleRest(Result):
    """One axle in one load state, at rest. Left then right where there are two; bump travel positive."""

    name: str
    load: float = si("kg")
    sprung_mass: float = si("kg")
    wheel_loads: tuple[float, ...] = si("kg")
    travel: tuple[float, ...] = si("m")
    rise: float = si("m")
    ride_heights: tuple[float, ...] | None = si("m")
    spring_forces: tuple[float, ...] = si("N")
    wheel_rate: float = si("N/m")
    frequency_on_springs: float | None = si("Hz")
    frequency_with_tyre: float | None = si("Hz")
    damping_ratio: float | None = si("", None)
    bump_left: float = si("m", 0.0)
    droop_left: float = si("m", 0.0)


@dataclass(frozen=True, eq=False)
class Settled:
    """What a load state's rest was worked out on: its laws, its Rig with dampers, and where that comes to rest."""

    laws: tuple[Law, ...]
    rig: Rig
    rest: Rest


@dataclass(frozen=True)
class StateRest(Result):
    """One load state at rest on level ground: attitude, every axle, and the natural modes about it."""

    name: str
    settled: Settled = field(metadata=KEPT, repr=False, compare=False)
    pitch: float = si("rad")
    roll: float = si("rad")
    hitch_load: float | None = si("kg")
    axles: tuple[AxleRest, ...] = ()
    modes: tuple[Mode, ...] = ()


def laws_in(design: Design, weight: StateWeight, springs: tuple[Law, ...], design_loads: Floats) -> tuple[Law, ...]:
    """The laws of a load state: levelled springs at their height, gases settled slowly and quick about where they rest [kg]."""
    loads = state_loads(design, weight, design_loads)
    slow = laws_of_state(design, springs, loads)
    levelled = any(one is not law for one, law in zip(slow, springs, strict=True))
    if not levelled and all(law.about(0.0) is law for law in slow):
        return slow
    rig = assembled(design, weight, slow, design_loads)
    rest = settle(rig, weight.name)
    for _ in range(ROUNDS if levelled else 0):
        # a body that stands nose up or down carries its weight along: levelled springs are pumped to what stands on them there
        slow = laws_of_state(design, springs, _axle_loads(rig, rest))
        rig = assembled(design, weight, slow, design_loads)
        rest = settle(rig, weight.name)
    if all(law.about(0.0) is law for law in slow):
        return slow
    return tuple(
        law.about(
            axle.spring.rest_length
            - float(lengths(axle, float(_spring_travel(rig, rest, np.flatnonzero(rig.wheel_axle == i)).mean())).length)
        )
        for i, (axle, law) in enumerate(zip(design.axles, slow, strict=True))
    )


def assembled(
    design: Design,
    weight: StateWeight,
    springs: tuple[Law, ...],
    design_loads: Floats,
    damping: Sequence[float | None] = (),
) -> Rig:
    """A Rig (see `vehicle.assemble.assemble`) whose supports share side force, braking and driving by their loads at rest on level ground.

    Two supports share by statics. Of more, one that finds no rest is left as statics and ratings share it: what it is asked next says why.
    """
    rig = assemble(design, weight, springs, design_loads, damping)
    if len(design.axles) + len(rig.hitch_place) < 3:
        return rig
    try:
        rest = equilibrium(rig)
    except UnsolvedError:
        return rig
    return sharing(rig, design, _axle_loads(rig, rest))


def _axle_loads(rig: Rig, rest: Rest) -> Floats:
    """Load on every support at rest [kg]."""
    return np.asarray(np.append(np.bincount(rig.wheel_axle, rest.wheel_loads), rest.hitch_loads) / GRAVITY, dtype=float)


def settle(rig: Rig, name: str) -> Rest:
    """Equilibrium whose error names the load state."""
    try:
        return equilibrium(rig)
    except UnsolvedError as error:
        raise UnsolvedError(f'load state "{name}": {error}') from None


def at_rest_in(
    design: Design,
    weight: StateWeight,
    springs: tuple[Law, ...],
    design_loads: Floats,
    rates: Sequence[AxleRates],
) -> StateRest:
    """Everything about one load state at rest [kg]."""
    return at_rest_in_each(design, [weight], springs, design_loads, rates)[0]


def at_rest_in_each(
    design: Design,
    weights: Sequence[StateWeight],
    springs: tuple[Law, ...],
    design_loads: Floats,
    rates: Sequence[AxleRates],
) -> tuple[StateRest, ...]:
    """Everything about every load state at rest, found side by side [kg]."""
    laws = [laws_in(design, weight, springs, design_loads) for weight in weights]
    damping = [rate.damping.wheel if rate.damping else None for rate in rates]
    rigs = [assembled(design, weight, each, design_loads, damping) for weight, each in zip(weights, laws, strict=True)]
    rests = side_by_side(rigs, [weight.name for weight in weights])
    each = zip(weights, rigs, rests, laws, strict=True)
    return tuple(_told(design, weight.name, rig, rest, mine, rates) for weight, rig, rest, mine in each)


def _told(
    design: Design, name: str, rig: Rig, rest: Rest, laws: tuple[Law, ...], rates: Sequence[AxleRates]
) -> StateRest:
    at_wheels = wheel_rates(rig, rest.travel)
    axles = tuple(
        _axle(axle, i, rig, rest, laws[i], rates[i], float(at_wheels[i])) for i, axle in enumerate(design.axles)
    )
    hitch = float(rest.hitch_loads[0]) / GRAVITY if len(rest.hitch_loads) else None
    return StateRest(
        name,
        Settled(laws, rig, rest),
        float(rest.q[1]),
        float(rest.q[2]),
        hitch,
        axles,
        named(modes(rig, rest), [axle.name for axle in design.axles]),
    )


def wheel_rates(rig: Rig, travel: Floats) -> Floats:
    """Heave wheel rate of each axle with its wheels at a travel (w,) [N/m]: both wheels moved alike, bars idle. Of a batch, a row for each Rig."""
    _, rate, _ = element_forces(rig, (rig.element_rows @ travel[..., None])[..., 0])
    together = (rig.wheel_axle[:, None] == np.arange(int(rig.wheel_axle.max()) + 1)).astype(float)
    moves = rig.element_rows @ together
    return np.asarray((rate[..., None] * moves**2).sum(axis=-2) / together.sum(axis=0))


def _axle(axle: Axle, i: int, rig: Rig, rest: Rest, law: Law, rates: AxleRates, rate: float) -> AxleRest:
    mine = np.flatnonzero(rig.wheel_axle == i)
    loads = rest.wheel_loads[mine] / GRAVITY
    mass = float(loads.sum() - axle.unsprung_mass) / axle.wheels
    x = -axle.behind_front_axle
    half = axle.frame_half
    rises = [rest.rise_at(rig, x, side * half) for side in ((1, -1) if axle.wheels == 2 else (0,))]
    at_spring = _spring_travel(rig, rest, mine)
    sides = (axle.on_side(1), axle.on_side(-1))[: axle.wheels]
    each = [float(pull(side, axle, law, at).force) for side, at in zip(sides, at_spring, strict=True)]
    forces = np.array(each)
    forces = forces if law.pulls else np.maximum(forces, 0.0)
    ridden = rate > 0 and mass > 0
    tyre = float(rig.tyre_rate[mine].mean())
    series = rate * tyre / (rate + tyre)
    damping = rates.damping
    return AxleRest(
        name=axle.name,
        load=float(loads.sum()),
        sprung_mass=mass,
        wheel_loads=tuple(loads.tolist()),
        travel=tuple(rest.travel[mine].tolist()),
        rise=rest.rise_at(rig, x),
        ride_heights=None if axle.ride_height is None else tuple(axle.ride_height + rise for rise in rises),
        spring_forces=tuple(forces.tolist()),
        wheel_rate=rate,
        frequency_on_springs=float(ride.frequency_of_rate(rate, mass)) if ridden else None,
        frequency_with_tyre=float(ride.frequency_of_rate(series, mass)) if ridden else None,
        damping_ratio=float(axle.as_built.damping * damping.wheel / (2 * np.sqrt(rate * mass)))
        if damping and ridden
        else None,
        bump_left=float(axle.travel.bump - rig.stop_travel(rest.travel, BUMP_STOP)[mine].max()),
        droop_left=float(axle.travel.droop + rig.stop_travel(rest.travel, DROOP_STOP)[mine].min()),
    )


def _spring_travel(rig: Rig, rest: Rest, wheels: NDArray[np.intp]) -> Floats:
    """Travel at each of an axle's springs [m]."""
    return np.asarray(rig.element_rows[own_springs(rig, int(rig.wheel_axle[wheels[0]]))] @ rest.travel)


def named(found: tuple[Mode, ...], axles: Sequence[str]) -> tuple[Mode, ...]:
    """Modes with the builder's axle names in place of numbers."""
    result = []
    for mode in found:
        word, _, number = mode.name.partition(" ")
        result.append(replace(mode, name=f"{word} {axles[int(number) - 1]}") if number else mode)
    return tuple(result)


def ratings(design: Design, rests: Sequence[StateRest]) -> tuple[Judged, ...]:
    """Every rating the builder gave, each held against the load state that asks most of it."""
    judged: list[Judged] = []
    for i, axle in enumerate(design.axles):
        wanted: list[tuple[str, float | None, str, str, list[float]]] = [
            ("axle load", axle.rating, "kg", "mass", [rest.axles[i].load for rest in rests]),
            ("wheel load", axle.wheel_rating, "kg", "mass", [max(rest.axles[i].wheel_loads) for rest in rests]),
            ("tyre load", axle.tyre.load_rating, "kg", "mass", [max(rest.axles[i].wheel_loads) for rest in rests]),
            (
                "spring mount load",
                axle.spring.mount_rating,
                "N",
                "force",
                [max(rest.axles[i].spring_forces) * axle.spring.per_wheel for rest in rests],
            ),
        ]
        for measure, limit, unit, kind, values in wanted:
            if limit is None:
                continue
            worst = int(np.argmax(values))
            judged.append(
                Judged.of(
                    f"{axle.name} {measure}",
                    values[worst],
                    "at most",
                    limit,
                    unit=unit,
                    kind=kind,
                    source="your rating",
                    id=measure.replace(" ", "_"),
                    where=rests[worst].name,
                )
            )
    return tuple(judged)
