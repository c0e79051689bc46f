"""From one axle's load and target to its wheel rate, spring rate and damper rates, with the working."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault
from springwright.formula import Working
from springwright.linkage import rates as through
from springwright.linkage.mounts import Lever, Twisted
from springwright.parts import damper
from springwright.parts.law import Law, LinearLaw, SpringNeed
from springwright.results import Result, si
from springwright.sizing import frequency as ride
from springwright.sizing.space import coil_room
from springwright.units import GRAVITY, show
from springwright.vehicle.axle import Axle
from springwright.vehicle.curves import beside_force, both_sides, lengths
from springwright.vehicle.design import Design
from springwright.vehicle.weigh import StateWeight, shared_loads

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class DamperRates(Result):
    """Damping for the target ratio: means at the wheel and at the damper, then bump and rebound at each."""

    damping_ratio: float = si("")
    motion_ratio: float = si("")
    wheel: float = si("N*s/m")
    damper: float = si("N*s/m")
    bump: float = si("N*s/m")
    rebound: float = si("N*s/m")
    wheel_bump: float = si("N*s/m")
    wheel_rebound: float = si("N*s/m")


@dataclass(frozen=True)
class AxleRates(Result):
    """One axle in the design position: what it carries and the rates that follow. Loads and rates are per wheel."""

    name: str
    basis: str
    springs_per_wheel: int
    frequency: float = si("Hz")
    axle_load: float = si("kg")
    sprung_mass: float = si("kg")
    sprung_load: float = si("N")
    wheel_rate: float = si("N/m")
    ride_rate: float = si("N/m")
    frequency_on_springs: float = si("Hz")
    frequency_with_tyre: float = si("Hz")
    frequency_of_total_mass: float = si("Hz")
    motion_ratio: float = si("")
    motion_ratio_slope: float = si("1/m")
    spring_force: float = si("N")
    spring_rate: float = si("N/m")
    geometric_term: float = si("N/m")
    roll_wheel_rate: float | None = si("N/m", None)
    one_wheel_rate: float | None = si("N/m", None)
    beside_rate: float = si("N/m", 0.0)
    roll_stiffness: float | None = si("N*m/rad", None)
    bar_roll_stiffness: float | None = si("N*m/rad", None)
    static_deflection: float = si("m", 0.0)
    hop_frequency: float = si("Hz", 0.0)
    load_factor_wanted: float = si("", 0.0)
    travel_needed: float = si("m", 0.0)
    bump_load_factor: float = si("", 0.0)
    damping: DamperRates | None = None
    workings: tuple[Working, ...] = ()


def sprung_mass(axle: Axle, axle_load: float) -> float:
    """Sprung mass on one wheel [kg] of an axle that carries `axle_load` [kg]."""
    if axle_load <= axle.unsprung_mass:
        raise FieldFault(
            ("unsprung_mass",),
            f"the axle itself is as heavy as the load on it, {show(axle_load, 'mass')}; check the axle's mass and the readings",
        )
    return (axle_load - axle.unsprung_mass) / axle.wheels


class AtRest(NamedTuple):
    """Spring length [m], motion ratio and its slope [1/m] in the design position."""

    length: float
    ratio: float
    slope: float


def at_rest(axle: Axle) -> AtRest:
    """The spring's mount in the design position; where left and right are unlike, both in the mean: the same spring stands on each."""
    each = np.array([lengths(side, 0.0) for side in both_sides(axle)], dtype=float)
    return AtRest(*each.mean(axis=0).tolist())


def wheel_rate_for(axle: Axle, axle_load: float, frequency: float) -> float:
    """Wheel rate that gives the axle a frequency on the basis its target names [N/m].

    Raises
    ------
    FieldFault
        With the tyre in series, the tyre alone is softer than the frequency asks.

    """
    carried, target = _carried(axle, axle_load), axle.target
    rate = float(ride.rate_for_frequency(frequency, carried))
    if target is None or target.stiffness == "wheel rate":
        return rate
    if rate >= axle.tyre.rate:
        most = float(ride.frequency_of_rate(axle.tyre.rate, carried))
        raise FieldFault(
            ("target", "frequency"),
            f"{show(frequency, 'frequency')} with the tyre in series needs a stiffer tyre: this one alone gives {show(most, 'frequency')}",
        )
    return float(through.wheel_rate_behind_tyre(rate, axle.tyre.rate))


def target_giving(axle: Axle, axle_load: float, wheel_rate: float) -> float:
    """Frequency on the basis the axle's target names that gives a wheel rate [Hz]: `wheel_rate_for` read backwards."""
    behind = axle.target is not None and axle.target.stiffness == "ride rate"
    rate = float(through.ride_rate(wheel_rate, axle.tyre.rate)) if behind else wheel_rate
    return float(ride.frequency_of_rate(rate, _carried(axle, axle_load)))


def wheel_rate_giving(axle: Axle, axle_load: float, spring_rate: float) -> float:
    """Wheel rate [N/m] whose ideal spring has a rate [N/m]: `law_for` read backwards."""
    return _at_wheel(axle, at_rest(axle), spring_rate, spring_load(axle, axle_load), axle.beside.heave)


def _at_wheel(axle: Axle, still: AtRest, rate: float, force: float, beside: float) -> float:
    """Wheel rate of an axle's springs in the design position, with what acts `beside` them [N/m]."""
    each = float(through.wheel_rate(rate, still.ratio, force, still.slope))
    return axle.spring.per_wheel * each + beside


def _carried(axle: Axle, axle_load: float) -> float:
    """Mass on a wheel that the axle's target is meant for [kg]."""
    sprung, target = sprung_mass(axle, axle_load), axle.target
    return axle_load / axle.wheels if target is not None and target.mass == "total mass" else sprung


def law_for(axle: Axle, axle_load: float, wheel_rate: float) -> Law:
    """The ideal spring: it carries the design load at zero travel and gives the wheel rate.

    Raises
    ------
    FieldFault
        The change of motion ratio alone gives more.

    """
    return laws_for(axle, axle_load)(wheel_rate)


def laws_for(axle: Axle, axle_load: float) -> Callable[[float], Law]:
    """The ideal spring as a function of the wheel rate [N/m], see `law_for`: its mount is worked out once."""
    _, ratio, slope = at_rest(axle)
    force, beside, made = spring_load(axle, axle_load), axle.beside.heave, axle.spring.made

    def law(wheel_rate: float) -> Law:
        by_springs = wheel_rate - beside
        rate = float(through.spring_rate(by_springs / axle.spring.per_wheel, force, slope, ratio))
        if rate <= 0:
            raise FieldFault(
                ("spring", "acts"),
                "the change of motion ratio alone gives more wheel rate than the target asks; lean the spring less or aim higher",
            )
        return LinearLaw(rate, force) if made is None else made.ideal(rate, force)

    return law


def kept_level(axle: Axle, law: Law, axle_load: float) -> Law:
    """The law of a spring under another load on its axle [kg]: pumped or bled to its height where it is levelled, else itself."""
    return law.carrying(spring_load(axle, axle_load))


def spring_load(axle: Axle, axle_load: float) -> float:
    """Force of each spring that carries a load on the axle [kg] at zero travel [N]."""
    load = (GRAVITY * sprung_mass(axle, axle_load) - axle.beside.force) / axle.spring.per_wheel
    return float(through.spring_force(load, at_rest(axle).ratio))


def state_loads(design: Design, weight: StateWeight, design_loads: Floats) -> Floats:
    """Load on each support in a state [kg]: the design loads where it is the design state, else balanced and shared by ratings."""
    if np.isclose(design_loads.sum(), weight.mass, rtol=1e-9):
        return design_loads
    return shared_loads(design, weight)


def laws_of_state(design: Design, laws: Sequence[Law], loads: Floats) -> tuple[Law, ...]:
    """Every axle's law under the loads of a state [kg]."""
    return tuple(kept_level(axle, law, float(load)) for axle, law, load in zip(design.axles, laws, loads, strict=False))


def frequency_of(axle: Axle, axle_load: float, law: Law) -> float:
    """Ride frequency on springs alone and sprung mass [Hz] that a spring gives in the design position.

    Raises
    ------
    FieldFault
        It gives no wheel rate there.

    """
    return frequencies_of(axle, axle_load)(law.rate, law.force)


def frequencies_of(axle: Axle, axle_load: float) -> Callable[[float, float], float]:
    """The same as a function of the spring's rate and force there [N/m, N]: its mount is worked out once [Hz]."""
    still, mass, beside = at_rest(axle), sprung_mass(axle, axle_load), axle.beside.heave

    def frequency(spring_rate: float, force: float) -> float:
        rate = _at_wheel(axle, still, spring_rate, force, beside)
        if rate <= 0:
            raise FieldFault(
                ("spring",),
                "this spring gives no wheel rate here: the change of motion ratio takes more than the spring brings",
            )
        return float(ride.frequency_of_rate(rate, mass))

    return frequency


def wheel_force(axle: Axle, law: Law, travel: float) -> float:
    """Force of one side's springs, and of helpers and damper gas beside them, at the wheel [N] at a bump travel [m], along the true linkage; of unlike sides in the mean."""
    return wheel_forces(axle, [law], travel)[0]


def wheel_forces(axle: Axle, laws: Sequence[Law], travel: float) -> list[float]:
    """The same for each of many laws [N]."""
    whole, sides = np.zeros(len(laws)), both_sides(axle)
    for side in sides:
        length, ratio, _ = lengths(side, travel)
        pressed, share = axle.spring.rest_length - float(length), axle.spring.per_wheel * float(ratio)
        forces = [(float(side.spring.sided(law).at(pressed).force), law.pulls) for law in laws]
        whole += [share * (force if pulls else max(force, 0.0)) for force, pulls in forces]
    return (whole / len(sides) + beside_force(axle, travel)).tolist()  # type: ignore[no-any-return]


def work_out(axle: Axle, axle_load: float, law: Law | None, factor: float) -> AxleRates:
    """Rates of one axle: from its target, or (with `law`) from the existing spring.

    Parameters
    ----------
    axle_load : float
        Load on the axle in the design state [kg].
    law : SpringLaw, optional
        The spring that is there; None to work from the target.
    factor : float
        Load factor wanted at the stop.

    """
    name, tyre = axle.name, axle.tyre.rate
    mass = sprung_mass(axle, axle_load)
    load = GRAVITY * mass
    _, ratio, slope = at_rest(axle)
    works: list[Working] = []
    if isinstance(axle.spring.acts, Lever):
        lever = axle.spring.acts
        works.append(
            through.lever_ratio.work(
                name, spring_at=lever.spring_at, arm=lever.arm, lean=lever.lean, slope=lever.arm_slope
            )
        )
    each, beside = axle.spring.per_wheel, axle.beside
    if law is None:
        frequency = axle.target.frequency if axle.target else 0.0
        basis, wheel_rate = _from_target(axle, axle_load, mass, works)
        force_work = through.spring_force.work(
            name,
            {"wheel_force": "less what helpers and damper gas carry" if beside.force else ""},
            wheel_force=(load - beside.force) / each,
            ratio=ratio,
        )
        law = law_for(axle, axle_load, wheel_rate)
        works += [
            force_work,
            through.spring_rate.work(
                name,
                {"wheel_rate": "less bushes, helpers and damper gas" if beside.heave else ""},
                wheel_rate=(wheel_rate - beside.heave) / each,
                force=force_work.value,
                slope=slope,
                ratio=ratio,
            ),
        ]
    else:
        basis = "from the existing spring"
        work = through.wheel_rate.work(name, rate=law.rate, ratio=ratio, force=law.force, slope=slope)
        wheel_rate, frequency = each * work.value + beside.heave, frequency_of(axle, axle_load, law)
        works += [work, ride.frequency_of_rate.work(name, rate=wheel_rate, mass=mass)]
    ride_rate = through.ride_rate.work(name, wheel_rate=wheel_rate, tyre_rate=tyre)
    deflection = ride.static_deflection.work(name, load=load, rate=wheel_rate)
    needed = ride.travel_to_factor.work(name, factor=factor, load=load, rate=wheel_rate)
    hop = ride.hop_frequency.work(name, wheel_rate=wheel_rate, tyre_rate=tyre, mass=axle.unsprung_mass / axle.wheels)
    works += [ride_rate, deflection, needed, hop]
    roll, one, stiffness, bar = _sideways(axle, wheel_rate, works)
    return AxleRates(
        name=name,
        frequency=frequency,
        basis=basis,
        axle_load=axle_load,
        sprung_mass=mass,
        sprung_load=load,
        wheel_rate=wheel_rate,
        ride_rate=ride_rate.value,
        frequency_on_springs=float(ride.frequency_of_rate(wheel_rate, mass)),
        frequency_with_tyre=float(ride.frequency_of_rate(ride_rate.value, mass)),
        frequency_of_total_mass=float(ride.frequency_of_rate(wheel_rate, axle_load / axle.wheels)),
        motion_ratio=ratio,
        motion_ratio_slope=slope,
        springs_per_wheel=each,
        spring_force=law.force,
        spring_rate=law.rate,
        geometric_term=each * law.force * slope,
        roll_wheel_rate=roll,
        one_wheel_rate=one,
        beside_rate=beside.heave,
        roll_stiffness=stiffness,
        bar_roll_stiffness=bar,
        static_deflection=deflection.value,
        hop_frequency=hop.value,
        load_factor_wanted=factor,
        travel_needed=needed.value,
        bump_load_factor=wheel_force(axle, law.about(0.0), axle.travel.bump) / load,
        damping=_damping(axle, wheel_rate, mass, works),
        workings=tuple(works),
    )


def _from_target(axle: Axle, axle_load: float, mass: float, works: list[Working]) -> tuple[str, float]:
    target = axle.target
    assert target is not None
    total = target.mass == "total mass"
    carried = axle_load / axle.wheels if total else mass
    work = ride.rate_for_frequency.work(
        axle.name,
        {"frequency": "target", "mass": "load on the wheel" if total else "load on the wheel less unsprung mass"},
        frequency=target.frequency,
        mass=carried,
    )
    works.append(work)
    rate = work.value
    if target.stiffness == "ride rate":
        rate = wheel_rate_for(axle, axle_load, target.frequency)
        works.append(through.wheel_rate_behind_tyre.work(axle.name, ride=work.value, tyre_rate=axle.tyre.rate))
    return f"{target.stiffness}, on {target.mass}", rate


def _sideways(
    axle: Axle, wheel_rate: float, works: list[Working]
) -> tuple[float | None, float | None, float | None, float | None]:
    """Roll wheel rate, one-wheel rate, roll stiffness of the springs and of the bar; None for an axle of one wheel."""
    if axle.wheels == 1 or axle.track is None:
        return None, None, None, None
    roll, one = wheel_rate, wheel_rate
    beside = axle.beside
    base = axle.spring_base
    if base is not None:
        shape = {"heave": wheel_rate - beside.heave, "base": base, "track": axle.track}
        roll_work, one_work = (
            through.beam_roll_rate.work(axle.name, **shape),
            through.beam_one_wheel_rate.work(axle.name, **shape),
        )
        works += [roll_work, one_work]
        roll = roll_work.value + beside.roll
        one = one_work.value + (beside.heave + beside.roll) / 2
    stiffness = through.roll_stiffness.work(axle.name, roll_rate=roll, track=axle.track)
    works.append(stiffness)
    bar = None
    if axle.bar is not None:
        bar = float(through.roll_stiffness(axle.bar.end_rate * axle.bar.motion_ratio**2, axle.track))
    return roll, one, stiffness.value, bar


def _damping(axle: Axle, wheel_rate: float, mass: float, works: list[Working]) -> DamperRates | None:
    if axle.target is None or axle.target.damping_ratio is None:
        return None
    target, wanted = axle.target, axle.target.damping_ratio
    mount = axle.damper
    ratio = 1.0 if mount is None else damper_ratio(axle)
    wheel = damper.wheel_damping.work(axle.name, ratio=wanted, wheel_rate=wheel_rate, mass=mass)
    own = damper.damper_damping.work(axle.name, wheel=wheel.value, ratio=ratio)
    split = {"mean": own.value, "split": target.rebound_to_bump}
    bump, rebound = damper.bump_share.work(axle.name, **split), damper.rebound_share.work(axle.name, **split)
    works += [wheel, own, bump, rebound]
    back = ratio**2
    return DamperRates(
        wanted, ratio, wheel.value, own.value, bump.value, rebound.value, bump.value * back, rebound.value * back
    )


def damper_ratio(axle: Axle) -> float:
    """Motion ratio of an axle's damper in the design position, of unlike sides in the mean."""
    mounts = [side.damper for side in both_sides(axle) if side.damper is not None]
    return sum(float(one.acts.lengths(0.0, one.length or 0.0).ratio) for one in mounts) / len(mounts)


def spring_need(axle: Axle, law: Law, *, loaded_at_droop: bool, strokes: float | None = None) -> SpringNeed:
    """What one spring of the axle must do, at the spring; `strokes` are those of the duty cycle, where there is one [N, N/m, m]."""
    travel = axle.travel
    places = np.array([-travel.droop, travel.bump, travel.bump + travel.stop_compression])
    each = np.array([lengths(side, places).length for side in both_sides(axle)])
    (droop, *_), (_, stop, bump) = each.max(axis=0), each.min(axis=0)  # of unlike sides the one that asks more
    mount = axle.spring
    room, taken = coil_room(axle)
    need = SpringNeed(
        rate=law.rate,
        ride_force=law.force,
        ride_length=mount.rest_length,
        stop_length=float(stop),
        bump_length=float(bump),
        droop_length=float(droop),
        largest_outside=room,
        room_taken=taken,
        smallest_inside=mount.smallest_inside,
        seat_factor=mount.seat_factor or (0.5 if mount.acts.by == "beam" and mount.acts.arm is None else 0.7),
        loaded_at_droop=loaded_at_droop,
        fatigue_share=mount.fatigue_share,
        fatigue_least=mount.fatigue_least,
        infinite_life_least=mount.infinite_life_least,
        peened=mount.peened,
        stress_margin=mount.stress_margin,
        arm=mount.acts.lever_arm if isinstance(mount.acts, Twisted) else None,
    )
    if strokes is None:
        return need
    return replace(need, strokes=strokes, strokes_taken="one a cycle of the ride frequency over [[duty_cycle]]")
