"""From a design, a load state and its springs to a Rig."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.evaluation import remembered
from springwright.linkage.mounts import OnAxleLinks
from springwright.motion.rig import BAR, BUMP_STOP, DROOP_STOP, SPRING, Rig
from springwright.parts.law import Law
from springwright.parts.tyre import Tyre
from springwright.units import GRAVITY, show
from springwright.vehicle.axle import Axle
from springwright.vehicle.centres import (
    pivot_height,
    roll_centre,
    roll_centre_rise,
    roll_centre_wander,
    side_slope,
    upright_share,
)
from springwright.vehicle.curves import (
    ForceCurve,
    bump_stop,
    droop_stop,
    gas_curve,
    helper_curve,
    mean_ratio,
    mirrored_curve,
    spring_curve,
    stop_curve,
    straight,
)
from springwright.vehicle.design import Design
from springwright.vehicle.interconnections import beam_shares, wheel_names
from springwright.vehicle.known import Itself, known
from springwright.vehicle.weigh import StateWeight, brake_shares, drive_shares, shared_loads, unsprung_height

Floats = NDArray[np.float64]


def assemble(
    design: Design, weight: StateWeight, springs: tuple[Law, ...], design_loads: Floats, damping: Sequence[float | None] = ()
) -> Rig:  # fmt: skip
    """Arrays for the solvers.

    Parameters
    ----------
    design : Design
    weight : StateWeight
        The load state.
    springs : one Law for each axle
    design_loads : array of shape (axles,) or (axles + 1,) with a hitch
        Load on each support in the design position [kg]; tyres and hitch are set by it.
    damping : one for each axle
        Mean damping rate at each wheel [N s/m] where the damper follows the target; none for no damper.

    """
    ahead = weight.sprung_cg[0]
    each = list(zip(design.axles, springs, strict=True))
    made = Rig(
        **_whatever_the_load(Itself(design), springs, tuple(design_loads.tolist()), tuple(damping)),
        sprung_mass=weight.sprung_mass,
        sprung_cg=np.array(weight.sprung_cg),
        roll_inertia=weight.roll_inertia,
        pitch_inertia=weight.pitch_inertia,
        yaw_inertia=weight.yaw_inertia,
        products=np.array(weight.products),
        roll_arm=0.0,
        roll_axis_slope=0.0,
        pitch_arm=0.0,
        axle_share=np.zeros(len(design.axles)),
        axle_pivot=np.array([pivot_height(axle, ahead, law) for axle, law in each]),
        brake_share=np.zeros(len(design.axles)),
        drive_share=np.zeros(len(design.axles)),
        brake_slope=np.array([side_slope(axle, "brake_slope", ahead, law) for axle, law in each]),
        drive_slope=np.array([side_slope(axle, "drive_slope", ahead, law) for axle, law in each]),
        free_surface=GRAVITY * np.array([weight.free_surface_roll, weight.free_surface_pitch]),
    )
    return sharing(_at_pressure(made, design, weight.name), design, shared_loads(design, weight))


def _at_pressure(rig: Rig, design: Design, state: str) -> Rig:
    """The Rig with its tyres at the pressures of a load state: pressed as much in the design position, by a force as their rate is."""
    given = next((one.tyre_pressure for one in design.states if one.name == state), {})
    if not given:
        return rig
    names = [axle.name for axle in design.axles]
    times = np.ones(len(names))
    for name, pressure in given.items():
        tyre = design.axles[names.index(name)].tyre
        times[names.index(name)] = tyre.rate_at(pressure) / tyre.rate
    each = times[rig.wheel_axle]
    return replace(rig, tyre_rate=rig.tyre_rate * each, tyre_force=rig.tyre_force * each)


def on_other_springs(
    rig: Rig, design: Design, springs: tuple[Law, ...], design_loads: Floats, damping: Sequence[float | None] = ()
) -> Rig:
    """The Rig of a load state with what does not hang on the load as another design has it that weighs the same and shares it alike [kg, N s/m]."""
    made = _whatever_the_load(Itself(design), springs, tuple(design_loads.tolist()), tuple(damping))
    return replace(rig, **made)


def sharing(rig: Rig, design: Design, loads: Floats) -> Rig:
    """The Rig with side force, braking and driving shared by the loads on each support [kg or N], and what the body turns over by those."""
    count = len(design.axles)
    share = loads / loads.sum()
    rig = replace(rig, axle_share=share[:count])
    # a hitch holds the body at its own height, sideways and in pitch; a single wheel holds it at the ground
    held = np.append(rig.carried, 1 - rig.carried.sum()) if len(rig.hitch_place) else rig.carried
    places = np.concatenate([[-axle.behind_front_axle for axle in design.axles], rig.hitch_place])
    centres = np.concatenate([np.where(rig.axle_track > 0, rig.axle_roll_centre, 0.0), rig.hitch_height])
    axis = float(held @ centres)
    away = places - float(held @ places)
    spread = float(held @ away**2)
    height = rig.sprung_cg[2]
    return replace(
        rig,
        roll_arm=float(height - axis),
        roll_axis_slope=float(held @ (away * centres)) / spread if spread > 0 else 0.0,
        pitch_arm=float(height - held @ np.append(rig.axle_pivot, rig.hitch_height)),
        brake_share=brake_shares(design, share),
        drive_share=drive_shares(design, share),
    )


@remembered(8)  # the load states of a design on the same springs have all of it in common
def _whatever_the_load(
    itself: Itself[Design], springs: tuple[Law, ...], loads: tuple[float, ...], damping: tuple[float | None, ...]
) -> dict[str, Any]:
    """What of a Rig does not hang on its load state."""
    design, design_loads = itself.one, np.array(loads)
    wheels = [(i, side) for i, axle in enumerate(design.axles) for side in ((1, -1) if axle.wheels == 2 else (0,))]
    places = np.array(
        [(-design.axles[i].behind_front_axle, side * (design.axles[i].track or 0.0) / 2) for i, side in wheels]
    )
    axle_of = np.array([i for i, _ in wheels])
    count = np.array([axle.wheels for axle in design.axles])
    masses = np.zeros((len(wheels), len(wheels)))
    elements: list[tuple[Floats, int, ForceCurve]] = []
    dampers: list[tuple[Floats, DamperLaw, float]] = []
    for i, axle in enumerate(design.axles):
        at = np.flatnonzero(axle_of == i)
        masses[np.ix_(at, at)] = _unsprung(axle)
        own = _elements_of(known(axle), springs[i], float(design_loads[i]), damping[i] if damping else None)
        springing = [
            (_carried(design, i, side, axle_of, _spread(row, at, len(wheels))), SPRING, curve)
            for side, (row, curve) in enumerate(own.springs)
        ]
        elements += springing + [(_spread(row, at, len(wheels)), kind, curve) for row, kind, curve in own.others]
        dampers += [(_spread(row, at, len(wheels)), law, friction) for row, law, friction in own.dampers]
    names = wheel_names(design.axles)
    for link in design.cross_links:
        joined = np.array([link.shares.get(name, 0.0) for name in names])
        elements.append((joined, BAR, straight(link.rate)))
    elements.sort(key=lambda one: one[1])
    hitch = [design.hitch] if design.hitch else []
    tyres = np.array([axle.as_built.tyre_rate for axle in design.axles])[axle_of]
    made = dict(
        wheel_places=places,
        wheel_axle=axle_of,
        on_beam=np.array([design.axles[i].kind == "beam" for i in axle_of]),
        wheel_masses=masses,
        wheel_weights=np.array([design.axles[i].unsprung_mass for i in axle_of]) / count[axle_of],
        element_rows=np.array([row for row, _, _ in elements]),
        element_kind=np.array([kind for _, kind, _ in elements]),
        element_start=np.array([curve.start for _, _, curve in elements]),
        element_step=np.array([curve.step for _, _, curve in elements]),
        element_force=np.array([curve.force for _, _, curve in elements]),
        element_rate=np.array([curve.rate for _, _, curve in elements]),
        **_damper_arrays(dampers, len(wheels)),
        tyre_rate=tyres * [design.axles[i].tyre.rate for i in axle_of],
        tyre_damping=np.array([design.axles[i].tyre.damping or 0.0 for i in axle_of]),
        tyre_grip=np.array([_grip(design.axles[i].tyre, float(design_loads[i]) / count[i]) for i in axle_of]),
        # pressed as much in the design position: a stiffer one stands higher
        tyre_force=tyres * GRAVITY * (design_loads[: len(count)] / count)[axle_of],
        tyre_room=np.array([_room(design.axles[i].tyre, float(design_loads[i]) / count[i]) for i in axle_of]),
        rim_rate=np.array([design.axles[i].tyre.on_rim for i in axle_of]),
        axle_roll_centre=np.array([roll_centre(axle)[0] for axle in design.axles]),
        axle_track=np.array([axle.track or 0.0 for axle in design.axles]),
        axle_unsprung=np.array([axle.unsprung_mass for axle in design.axles]),
        axle_height=np.array([unsprung_height(axle) for axle in design.axles]),
        centre_rise=np.array([roll_centre_rise(axle) for axle in design.axles]),
        centre_wander=np.array([roll_centre_wander(axle) for axle in design.axles]),
        axle_upright=np.array([upright_share(axle) for axle in design.axles]),
        hitch_place=np.array([-one.behind_front_axle for one in hitch]),
        hitch_height=np.array([one.above_ground for one in hitch]),
        hitch_rate=np.array([one.rate for one in hitch]),
        hitch_force=GRAVITY * design_loads[len(count) :],
        twist_rate=design.frame_twist or np.inf,
        roll_free=bool(np.ptp(places[:, 1])),
    )
    for one in made.values():
        if isinstance(one, np.ndarray):
            one.flags.writeable = False  # it is every load state's
    return made


class Elements(NamedTuple):
    """What acts on the wheels of one axle, with rows over its own wheels: springs, bars and stops by kind, dampers with dry friction [N]."""

    springs: list[tuple[list[float], ForceCurve]]
    others: list[tuple[list[float], int, ForceCurve]]
    dampers: list[tuple[list[float], DamperLaw, float]]


@remembered(64)  # the load states of a design differ in little of this
def _elements_of(axle: Axle, law: Law, load: float, damping: float | None) -> Elements:
    """The springs, stops, bars and dampers of an axle under its design load [kg]."""
    alone = [list(row) for row in np.eye(axle.wheels)]
    sides = [axle.on_side(1), axle.on_side(-1)][: axle.wheels]
    sprung = GRAVITY * (load - axle.unsprung_mass) / axle.wheels
    friction = axle.friction + law.friction * axle.spring.per_wheel * mean_ratio(axle)
    made = Elements([], [], [])
    at_springs, at_dampers = _rows(axle)
    curves: dict[int, ForceCurve] = {}  # sides that are alike have one
    for side, row in zip(sides, at_springs, strict=True):
        curve = curves[id(side)] = curves.get(id(side)) or spring_curve(side, law, axle)
        made.springs.append((row, curve))
    for side, row in zip(sides, at_dampers, strict=True):
        damper = damper_law(side, damping)
        if damper is not None:
            damper = damper._replace(force=axle.as_built.damping * damper.force)
        if damper is not None or friction:
            still = DamperLaw(np.array([-1.0, 1.0]), np.zeros(2), LEVEL_ZONE)
            made.dampers.append((row, damper or still, friction))
        if axle.damper is not None and axle.damper.gas is not None:
            made.others.append((row, BAR, gas_curve(side)))
    for helper in axle.helpers:
        rows, _ = _rows(axle.in_place_of(helper))
        made.others.extend((row, BAR, helper_curve(axle, helper, k == 1)) for k, row in enumerate(rows))
    heave, roll = axle.bush_rates
    if heave:
        made.others.extend((row, BAR, straight(side.bush_rates[0])) for side, row in zip(sides, alone, strict=True))
    if roll != heave:
        made.others.append(([1.0, -1.0], BAR, straight((roll - heave) / 2)))
    bump = stop_curve(bump_stop(axle, sprung), axle.travel.bump)
    droop = mirrored_curve(stop_curve(droop_stop(axle, sprung), axle.travel.droop))
    at_bump, at_droop = (_rows_at(axle, base) for base in axle.stop_bases)
    made.others.extend((row, BUMP_STOP, bump) for row in at_bump)
    made.others.extend((row, DROOP_STOP, droop) for row in at_droop)
    if axle.bar is not None:
        r = axle.bar.motion_ratio
        made.others.append(([r, -r], BAR, straight(axle.bar.end_rate / 2)))
    return made


FRICTION_SPEED = 0.02  # m/s, see Rig.friction_speed


LEVEL_ZONE = np.zeros((0, 2))


class DamperLaw(NamedTuple):
    """Force [N] against speed [m/s] at the wheel end, bump positive; straight between the points and beyond.

    `zones` (z, 2) are travels at the wheel end [m] and what the force is multiplied by there; none where it is the same all along.
    """

    speed: Floats
    force: Floats
    zones: Floats


def damper_law(axle: Axle, mean: float | None) -> DamperLaw | None:
    """The damper's points at the wheel: as measured, or from the target's mean rate at the wheel [N s/m]."""
    mount = axle.damper
    ratio = 1.0 if mount is None else float(mount.acts.lengths(0.0, mount.length or 0.0).ratio)
    zones = LEVEL_ZONE if mount is None or mount.zones is None else np.array(mount.zones) * [1 / ratio, 1.0]
    if mount is not None and mount.points is not None:
        speed, force = np.array(mount.points).T
        return DamperLaw(speed / ratio, force * ratio, zones)
    if mean is None or axle.target is None:
        return None
    split = axle.target.rebound_to_bump
    bump, rebound = 2 * mean / (1 + split), 2 * split * mean / (1 + split)
    if mount is None or mount.knee is None:
        return DamperLaw(np.array([-1.0, 0.0, 1.0]), np.array([-rebound, 0.0, bump]), zones)
    knee = mount.knee / ratio
    far = knee + 1.0
    more = mount.beyond
    speed = np.array([-far, -knee, 0.0, knee, far])
    return DamperLaw(
        speed, np.array([-rebound * (knee + more), -rebound * knee, 0.0, bump * knee, bump * (knee + more)]), zones
    )


def _damper_arrays(dampers: list[tuple[Floats, DamperLaw, float]], wheels: int) -> dict[str, Any]:
    """Rows, points padded to one number, and friction; the padding goes on along the last line."""
    most = max([len(law.speed) for _, law, _ in dampers], default=2)
    speed, force = np.zeros((len(dampers), most)), np.zeros((len(dampers), most))
    for d, (_, law, _) in enumerate(dampers):
        n = len(law.speed)
        slope = (law.force[-1] - law.force[-2]) / (law.speed[-1] - law.speed[-2])
        beyond = np.arange(1, most - n + 1)
        speed[d] = np.append(law.speed, law.speed[-1] + beyond)
        force[d] = np.append(law.force, law.force[-1] + slope * beyond)
    kinks = max((len(law.zones) for _, law, _ in dampers), default=0)
    place, factor = np.tile(np.arange(float(kinks)), (len(dampers), 1)), np.ones((len(dampers), kinks))
    for d, (_, law, _) in enumerate(dampers):
        n = len(law.zones)
        if n:
            place[d] = np.append(law.zones[:, 0], law.zones[-1, 0] + np.arange(1, kinks - n + 1))
            factor[d] = np.append(law.zones[:, 1], np.full(kinks - n, law.zones[-1, 1]))
    return {
        "damper_place": place,
        "damper_factor": factor,
        "damper_rows": np.array([row for row, _, _ in dampers]).reshape(len(dampers), wheels),
        "damper_speed": speed,
        "damper_force": force,
        "friction": np.array([friction for _, _, friction in dampers]),
        "friction_speed": FRICTION_SPEED,
    }


def _grip(tyre: Tyre, load: float) -> tuple[float, float, float]:
    """Friction at a load [N], its fall per share of load above that, and that load; nan where the builder gave no friction."""
    reference = GRAVITY * (tyre.friction_load or tyre.load_rating or load)
    return (np.nan if tyre.friction is None else tyre.friction, tyre.friction_fall, reference)


def _room(tyre: Tyre, load: float) -> float:
    """How far a tyre may be pressed past its design load [kg] until the rim carries [m]; endless where its section is not known."""
    return np.inf if tyre.depth is None else tyre.depth - GRAVITY * load / tyre.rate


def split_taken(rig: Rig, design: Design, state: str) -> str:
    """How braking was shared where the design does not say, in words; nothing where it does."""
    if design.driveline.brake_split or len(design.axles) < 2:
        return ""
    shares = ", ".join(
        f"{axle.name} {show(share, 'share', 0)}"
        for axle, share in zip(design.axles, rig.brake_share.tolist(), strict=True)
    )
    return f"driveline.brake_split is not given: braking is shared in proportion to the axle loads at rest in {state}, {shares}"


def with_curve(rig: Rig, elements: NDArray[np.intp], curve: ForceCurve) -> Rig:
    """The Rig with the curve of some elements changed; of a batch, with a curve for each of its Rigs [N, N/m, m]."""

    def put(old: Floats, new: Any) -> Floats:
        changed = old.copy()
        changed[..., elements] = np.asarray(new)[..., None]
        return changed

    def drawn(old: Floats, new: Floats) -> Floats:
        changed = old.copy()
        changed[..., elements, :] = new[..., None, :]
        return changed

    return replace(
        rig,
        element_start=put(rig.element_start, curve.start),
        element_step=put(rig.element_step, curve.step),
        element_force=drawn(rig.element_force, curve.force),
        element_rate=drawn(rig.element_rate, curve.rate),
    )


def with_rates(rig: Rig, axle: int, factor: float) -> Rig:
    """The Rig with an axle's springs so many times as stiff about the design position, their force there kept [-]."""
    force, rate = rig.element_force.copy(), rig.element_rate.copy()
    for e in own_springs(rig, axle):
        x = rig.element_start[e] + rig.element_step[e] * np.arange(force.shape[1])
        still = float(np.interp(0.0, x, force[e]))
        force[e] = still + factor * (force[e] - still)
        rate[e] = factor * rate[e]
    return replace(rig, element_force=force, element_rate=rate)


def with_damping(rig: Rig, axle: int, factor: float | Floats) -> Rig:
    """The Rig with an axle's dampers so many times as strong; of a batch, with a factor for each of its Rigs [-]."""
    strength = np.where(rig.damper_axle == axle, np.asarray(factor)[..., None], 1.0)
    return replace(rig, damper_force=rig.damper_force * strength[..., None])


def without_stops(rig: Rig) -> Rig:
    """The Rig with its stops taken off: what springs alone would do, even where a stop would hold the wheel."""
    kept = (rig.element_kind != BUMP_STOP) & (rig.element_kind != DROOP_STOP)
    names = ("element_rows", "element_kind", "element_start", "element_step", "element_force", "element_rate")
    arrays: dict[str, Any] = {name: getattr(rig, name)[kept] for name in names}
    return replace(rig, **arrays)


def own_springs(rig: Rig, axle: int) -> NDArray[np.intp]:
    """The elements that are an axle's own springs: they stand in the order of the axles, one for each wheel [indices]."""
    before = int((rig.wheel_axle < axle).sum())
    return np.flatnonzero(rig.element_kind == SPRING)[before : before + int((rig.wheel_axle == axle).sum())]


@remembered(64)
def _rows(axle: Axle) -> tuple[list[list[float]], list[list[float]]]:
    """Travel at each spring and at each damper per wheel travel: where left and right are unlike, each by its own."""
    made = []
    for mount, base in ((axle.spring, axle.spring_base), (axle.damper, axle.damper_base)):
        acts = mount.acts if mount is not None else None
        if isinstance(acts, OnAxleLinks) and not acts.links.even:
            still, rows = np.zeros(1), []
            for side in (1, -1):
                _, own, other = (float(one[0]) for one in acts.shares(still, still, side))
                near, far = own / (own + other), other / (own + other)
                rows.append([near, far] if side > 0 else [far, near])
            made.append(rows)
        else:
            made.append(_rows_at(axle, base))
    return made[0], made[1]


def _rows_at(axle: Axle, base: float | None) -> list[list[float]]:
    """Travel at each spring or damper per wheel travel: its own wheel's, or on a beam a mix by its base over the track."""
    if axle.wheels == 1:
        return [[1.0]]
    share = 1.0 if base is None else base / (axle.track or 1.0)
    near, far = (1 + share) / 2, (1 - share) / 2
    return [[near, far], [far, near]]


def _carried(design: Design, axle: int, side: int, axle_of: NDArray[np.int64], own: Floats) -> Floats:
    """Travel at a spring: its own place's, or on a walking beam the pivot's, from both axles' springs on that side."""
    for beam in design.walking_beams:
        a, b, front, rear = beam_shares(beam, design.axles)
        if axle in (a, b):
            return sum(
                (
                    share
                    * _spread(
                        _rows(known(design.axles[i]))[0][side],
                        np.flatnonzero(axle_of == i),
                        len(own),
                    )
                    for i, share in ((a, front), (b, rear))
                ),
                np.zeros(len(own)),
            )
    return own


def _spread(row: list[float], at: NDArray[np.intp], size: int) -> Floats:
    whole = np.zeros(size)
    whole[at] = row
    return whole


def _unsprung(axle: Axle) -> Floats:
    """Mass block of an axle's wheels [kg]; a beam's roll inertia, unless stated, has half its mass at the wheels, half spread."""
    mass = axle.unsprung_mass
    if axle.kind == "independent":
        return np.eye(axle.wheels) * mass / axle.wheels
    track = axle.track or 1.0
    spin = (axle.roll_inertia or mass * track**2 / 6) / track**2
    return np.array([[mass / 4 + spin, mass / 4 - spin], [mass / 4 - spin, mass / 4 + spin]])
