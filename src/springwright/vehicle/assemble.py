"""From a design, a load state and its springs to a Rig."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault
from springwright.linkage.held import Held, upright_path
from springwright.linkage.mounts import Lengths, OnBeam
from springwright.parts.law import Law
from springwright.parts.stop import Stop
from springwright.parts.tyre import Tyre
from springwright.units import GRAVITY, show
from springwright.vehicle.axle import Axle
from springwright.vehicle.design import Design
from springwright.vehicle.joined import beam_shares, wheel_names
from springwright.vehicle.rig import BAR, BUMP_STOP, DROOP_STOP, SPRING, Rig
from springwright.vehicle.weigh import StateWeight, shared_loads, unsprung_height

Floats = NDArray[np.float64]
KNOTS = 97
MARGIN = 0.25  # how far past full bump and full droop the curves are worked out, as a share of the travel


class Curve(NamedTuple):
    """A force against travel at evenly spaced knots."""

    start: float
    step: float
    force: Floats
    rate: Floats


def spring_curve(axle: Axle, law: Law, rest_length: float | None = None) -> Curve:
    """Force and rate at the wheel end of one side's springs against travel there; no force once a spring that cannot pull is slack."""
    rest = axle.spring.rest_length if rest_length is None else rest_length
    travel = axle.travel
    high = (1 + MARGIN) * (travel.bump + travel.stop_compression)
    low = -(1 + MARGIN) * travel.droop
    while (
        not law.pulls and low > -10 * travel.droop and _force(axle, law, low, rest) > 0
    ):  # so that beyond the last knot a slack coil stays slack and never pulls
        low *= 1.2
    x = np.linspace(low, high, KNOTS)
    reached = x[np.isfinite(lengths(axle, x).length)]
    x = np.linspace(float(reached[0]), float(reached[-1]), KNOTS)
    length, ratio, slope = lengths(axle, x)
    force, tangent = law.at(rest - length)
    pressed = law.pulls | (force > 0)
    force = np.where(pressed, force, 0.0)
    rate = np.where(pressed, tangent * ratio**2 + force * slope, 0.0)
    return Curve(float(x[0]), float(x[1] - x[0]), axle.spring.per_wheel * force * ratio, axle.spring.per_wheel * rate)


def gas_curve(axle: Axle) -> Curve:
    """What the gas in an axle's damper does at the wheel end against travel there."""
    mount, travel = axle.damper, axle.travel
    assert mount is not None
    assert mount.gas is not None
    x = np.linspace(-(1 + MARGIN) * travel.droop, (1 + MARGIN) * (travel.bump + travel.stop_compression), KNOTS)
    length, ratio, slope = mount.acts.lengths(x, mount.length or 0.0)
    fine = np.isfinite(length)
    x = np.linspace(float(x[fine][0]), float(x[fine][-1]), KNOTS)
    length, ratio, slope = mount.acts.lengths(x, mount.length or 0.0)
    rest = float(mount.acts.lengths(0.0, mount.length or 0.0).length)
    push, rate = mount.gas.law().at(rest - length)
    return Curve(float(x[0]), float(x[1] - x[0]), push * ratio, rate * ratio**2 + push * slope)


def _force(axle: Axle, law: Law, travel: float, rest: float) -> float:
    """Force in the spring at a travel [N], counted on past slack; nan out of reach."""
    return float(law.at(rest - float(lengths(axle, travel).length)).force)


def lengths(axle: Axle, travel: Any) -> Lengths:
    """Spring length [m], motion ratio and its slope against wheel travel [m]; `check_travel` says whether they can be."""
    return axle.spring.acts.lengths(travel, axle.spring.rest_length)


def check_travel(axle: Axle) -> None:
    """Refuse a mount that cannot follow the wheel over its whole travel, or that turns back in it."""
    droop, bump = axle.travel.droop, axle.travel.bump + axle.travel.stop_compression
    _check_damper(axle, droop, bump)
    length, ratio, _ = lengths(axle, np.linspace(-droop, bump, 33))
    for at, end, what in ((-1, bump, "bump"), (0, droop, "droop")):
        if not np.isfinite(length[at]) or (axle.spring.rest_length and length[at] <= 0):
            raise FieldFault(
                ("spring", "acts"),
                f"the spring's mount cannot follow the wheel to {show(end, 'length')} of {what}{_lock(axle)}; check its lengths or shorten travel",
            )
    if np.any(ratio <= 0):
        raise FieldFault(
            ("spring", "acts"),
            "somewhere in the travel the spring gets longer as the wheel rises; check the lean and the arm lengths",
        )


def _lock(axle: Axle) -> str:
    """What stops the links, in words."""
    locks = "" if axle.links is None else axle.links.reach().locks
    return f" ({locks})" if locks else ""


def _check_damper(axle: Axle, droop: float, bump: float) -> None:
    """Refuse a damper that is too short or too long for the travel."""
    mount = axle.damper
    if mount is None:
        return
    longest, shortest = (float(one) for one in mount.acts.lengths(np.array([-droop, bump]), mount.length or 0.0).length)
    for length, end, what in ((longest, droop, "droop"), (shortest, bump, "bump")):
        if not np.isfinite(length):
            raise FieldFault(
                ("damper", "acts"),
                f"the damper's mount cannot follow the wheel to {show(end, 'length')} of {what}{_lock(axle)}; check its points or rows, or shorten travel",
            )
    for field, asked, limit, over, what, mend in (
        ("open_length", longest, mount.open_length, 1, "full droop", "longer"),
        ("closed_length", shortest, mount.closed_length, -1, "full bump", "shorter"),
    ):
        if limit is not None and over * (asked - limit) > 1e-6:
            raise FieldFault(
                ("damper", field),
                f"at {what} the damper must be {show(asked, 'length')} long, and its {field.replace('_', ' ')} is {show(limit, 'length')}: it would become the stop. Take a {mend} one, move a mount or shorten the travel",
            )


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
    wheels = [(i, side) for i, axle in enumerate(design.axles) for side in ((1, -1) if axle.wheels == 2 else (0,))]
    places = np.array(
        [(-design.axles[i].behind_front_axle, side * (design.axles[i].track or 0.0) / 2) for i, side in wheels]
    )
    axle_of = np.array([i for i, _ in wheels])
    count = np.array([axle.wheels for axle in design.axles])
    masses = np.zeros((len(wheels), len(wheels)))
    elements: list[tuple[Floats, int, Curve]] = []
    dampers: list[tuple[Floats, DamperLaw, float]] = []
    for i, axle in enumerate(design.axles):
        at = np.flatnonzero(axle_of == i)
        masses[np.ix_(at, at)] = _unsprung(axle)
        sprung = GRAVITY * (float(design_loads[i]) - axle.unsprung_mass) / axle.wheels
        law = damper_law(axle, damping[i] if damping else None)
        friction = axle.friction + springs[i].friction * axle.spring.per_wheel * float(lengths(axle, 0.0).ratio)
        for side, row in enumerate(_rows_at(axle, axle.spring_base)):
            spread = _spread(row, at, len(wheels))
            curve = spring_curve(axle.on_side(-1 if side else 1), springs[i], axle.spring.rest_length)
            elements.append((_carried(design, i, side, axle_of, spread), SPRING, curve))
        for row in _rows_at(axle, axle.damper_base):
            spread = _spread(row, at, len(wheels))
            if law is not None or friction:
                dampers.append((spread, law or DamperLaw(np.array([-1.0, 1.0]), np.zeros(2), LEVEL_ZONE), friction))
            if axle.damper is not None and axle.damper.gas is not None:
                elements.append((spread, BAR, gas_curve(axle)))
        heave, roll = axle.bush_rates
        elements += [(_spread([1.0], np.array([wheel]), len(wheels)), BAR, _straight(heave)) for wheel in at if heave]
        if roll != heave:
            elements.append((_spread([1.0, -1.0], at, len(wheels)), BAR, _straight((roll - heave) / 2)))
        for wheel in at:
            own = _spread([1.0], np.array([wheel]), len(wheels))
            elements.append((own, BUMP_STOP, stop_curve(bump_stop(axle, sprung), axle.travel.bump)))
            elements.append((own, DROOP_STOP, _mirrored(stop_curve(droop_stop(axle, sprung), axle.travel.droop))))
        if axle.bar is not None:
            r = axle.bar.motion_ratio
            elements.append((_spread([r, -r], at, len(wheels)), BAR, _straight(axle.bar.end_rate / 2)))
    names = wheel_names(design.axles)
    for link in design.cross_links:
        joined = np.array([link.shares.get(name, 0.0) for name in names])
        elements.append((joined, BAR, _straight(link.rate)))
    elements.sort(key=lambda one: one[1])
    hitch = [design.hitch] if design.hitch else []
    share = shared_loads(design, weight)
    return Rig(
        sprung_mass=weight.sprung_mass,
        sprung_cg=np.array(weight.sprung_cg),
        roll_inertia=weight.roll_inertia,
        pitch_inertia=weight.pitch_inertia,
        roll_arm=weight.sprung_cg[2] - roll_axis_height(design, weight.sprung_cg[0]),
        wheel_places=places,
        wheel_axle=axle_of,
        wheel_masses=masses,
        wheel_weights=np.array([design.axles[i].unsprung_mass for i in axle_of]) / count[axle_of],
        element_rows=np.array([row for row, _, _ in elements]),
        element_kind=np.array([kind for _, kind, _ in elements]),
        element_start=np.array([curve.start for _, _, curve in elements]),
        element_step=np.array([curve.step for _, _, curve in elements]),
        element_force=np.array([curve.force for _, _, curve in elements]),
        element_rate=np.array([curve.rate for _, _, curve in elements]),
        **_damper_arrays(dampers, len(wheels)),
        tyre_rate=np.array([design.axles[i].tyre.rate for i in axle_of]),
        tyre_damping=np.array([design.axles[i].tyre.damping or 0.0 for i in axle_of]),
        tyre_grip=np.array([_grip(design.axles[i].tyre, float(design_loads[i]) / count[i]) for i in axle_of]),
        tyre_force=GRAVITY * (design_loads[: len(count)] / count)[axle_of],
        axle_share=share[: len(count)] / weight.mass,
        axle_roll_centre=np.array([roll_centre(axle)[0] for axle in design.axles]),
        axle_track=np.array([axle.track or 0.0 for axle in design.axles]),
        axle_unsprung=np.array([axle.unsprung_mass for axle in design.axles]),
        axle_height=np.array([unsprung_height(axle) for axle in design.axles]),
        brake_share=_split(design, design.driveline.brake_split, share, [True] * len(count)),
        drive_share=_split(design, design.driveline.torque_split, share, [axle.driven for axle in design.axles]),
        brake_slope=np.array(
            [
                side_slope(axle, "brake_slope", weight.sprung_cg[0], law)
                for axle, law in zip(design.axles, springs, strict=True)
            ]
        ),
        drive_slope=np.array(
            [
                side_slope(axle, "drive_slope", weight.sprung_cg[0], law)
                for axle, law in zip(design.axles, springs, strict=True)
            ]
        ),
        hitch_place=np.array([-one.behind_front_axle for one in hitch]),
        hitch_rate=np.array([one.rate for one in hitch]),
        hitch_force=GRAVITY * design_loads[len(count) :],
        free_surface=GRAVITY * np.array([weight.free_surface_roll, weight.free_surface_pitch]),
        twist_rate=design.frame_twist or np.inf,
        roll_free=bool(np.ptp(places[:, 1])),
    )


# Stops and damper knees where the builder gave none: common practice, no source, said on every sheet that uses them.
STOP_FACTOR, DROOP_FACTOR, DROOP_DEPTH, LEAST_DEPTH = 3.0, 1.0, 0.010, 0.010
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


def bump_stop(axle: Axle, sprung_load: float) -> Stop:
    """The bump stop: as given, or three times the sprung load [N] at its full compression, an estimate."""
    return axle.bump_stop or _stop(max(axle.travel.stop_compression, LEAST_DEPTH), STOP_FACTOR * sprung_load)


def droop_stop(axle: Axle, sprung_load: float) -> Stop:
    """The droop stop or strap: as given, or the sprung load [N] at 10 mm, an estimate."""
    return axle.droop_stop or _stop(DROOP_DEPTH, DROOP_FACTOR * sprung_load)


def _stop(depth: float, force: float) -> Stop:
    return Stop.model_construct(depth=depth, full_force=force)


def stop_curve(stop: Stop, contact: float) -> Curve:
    """Force of a stop against travel: none before `contact`, its own law after it, straight past its reach."""
    step = stop.reach / (KNOTS - 2)
    x = np.maximum(np.arange(-1, KNOTS - 1), 0) * step  # one knot before contact keeps the curve at nothing there
    force, rate = stop.law(x)
    return Curve(contact - step, step, force, rate)


def _mirrored(curve: Curve) -> Curve:
    """The same stop met in the other direction."""
    last = curve.start + curve.step * (len(curve.force) - 1)
    return Curve(-last, curve.step, -curve.force[::-1], curve.rate[::-1])


def _straight(rate: float) -> Curve:
    span = np.linspace(-1.0, 1.0, KNOTS)
    return Curve(-1.0, float(span[1] - span[0]), rate * span, np.full(KNOTS, rate))


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


def _split(design: Design, given: dict[str, float], share: Floats, takes_part: list[bool]) -> Floats:
    """Share of a longitudinal force at each axle: as given, else by load over the axles that take part."""
    if given:
        return np.array([given.get(axle.name, 0.0) for axle in design.axles])
    loads = share[: len(design.axles)] * np.array(takes_part)
    return np.asarray(loads / loads.sum()) if loads.sum() else loads


def with_curve(rig: Rig, elements: NDArray[np.intp], curve: Curve) -> Rig:
    """The Rig with the curve of some elements changed."""

    def put(old: Floats, new: Any) -> Floats:
        changed = old.copy()
        changed[elements] = new
        return changed

    return replace(
        rig,
        element_start=put(rig.element_start, curve.start),
        element_step=put(rig.element_step, curve.step),
        element_force=put(rig.element_force, curve.force),
        element_rate=put(rig.element_rate, curve.rate),
    )


def without_stops(rig: Rig) -> Rig:
    """The Rig with its stops taken off: what springs alone would do, even where a stop would hold the wheel."""
    kept = (rig.element_kind != BUMP_STOP) & (rig.element_kind != DROOP_STOP)
    names = ("element_rows", "element_kind", "element_start", "element_step", "element_force", "element_rate")
    arrays: dict[str, Any] = {name: getattr(rig, name)[kept] for name in names}
    return replace(rig, **arrays)


def roll_centre(axle: Axle) -> tuple[float, bool]:
    """Roll centre height of an axle [m], and whether it is only an estimate (wheel centre for a beam, ground for the rest)."""
    if axle.roll_centre_height is not None:
        return axle.roll_centre_height, False
    each = [held for side in (1, -1) if (held := axle.on_side(side).held(0.0)) is not None]
    if each:
        return sum(float(held.roll_centre[0]) for held in each) / len(each), False
    leaf, acts = axle.spring.leaf, axle.spring.acts
    if leaf is not None and isinstance(acts, OnBeam) and acts.foot_height is not None:
        return acts.foot_height + leaf.eyes_above, True
    return (unsprung_height(axle) if axle.kind == "beam" else 0.0), True


def side_slope(axle: Axle, which: str, cg: float, law: Law) -> float:
    """Slope of an axle's side-view line: as given, else as its links or leaf springs move it, else level."""
    given: float | None = getattr(axle, which)
    held = axle.held(0.0)
    if held is None and law.leads is not None:
        held = led(axle, law.leads)
    if given is not None or held is None:
        return given or 0.0
    # torque taken by the wheel's own carrier acts at the contact point, torque taken by the body through the wheel centre
    inside = "axle" if axle.kind == "beam" else "body"  # a beam axle's housing takes the drive's torque
    on = axle.brake_torque_on or "axle" if which == "brake_slope" else axle.drive_torque_on or inside
    slope = held.brake_slope if on == "axle" else held.drive_slope
    # the line leans towards the CG: ahead of it, the way ahead of the wheel as it rises, behind it the way back
    return float(slope[0]) * (1 if -axle.behind_front_axle > cg else -1)


def led(axle: Axle, leads: tuple[float, float]) -> Held:
    """A beam axle in the design position as its leaf springs lead it: ahead [-] and nose up [rad/m] per rise of their seats."""
    start = (0.0, (axle.track or 0.0) / 2, axle.tyre.unloaded_radius)
    ahead, turn = leads
    return replace(
        upright_path(start, np.zeros(1)), velocity=np.array([[ahead, 0.0, 1.0]]), spin=np.array([[0.0, -turn, 0.0]])
    )


def own_springs(rig: Rig, axle: int) -> NDArray[np.intp]:
    """The elements that are an axle's own springs: they stand in the order of the axles, one for each wheel."""
    before = int((rig.wheel_axle < axle).sum())
    return np.flatnonzero(rig.element_kind == SPRING)[before : before + int((rig.wheel_axle == axle).sum())]


def roll_axis_height(design: Design, x: float) -> float:
    """Height of the roll axis at x [m]: the straight line nearest to the axles' roll centres."""
    axles = [axle for axle in design.axles if axle.wheels == 2]
    if not axles:
        return 0.0
    at = np.array([-axle.behind_front_axle for axle in axles])
    height = np.array([roll_centre(axle)[0] for axle in axles])
    return float(np.polyval(np.polyfit(at, height, min(1, len(axles) - 1)), x))


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
                        _rows_at(design.axles[i], design.axles[i].spring_base)[side],
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
