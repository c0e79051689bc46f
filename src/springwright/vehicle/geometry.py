"""How an axle's wheels are held: spring and damper along the travel, what the links do with the wheel, at lock and in roll too."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import within
from springwright.linkage.beam_links import Beam, BeamLinks
from springwright.linkage.held import Held, LeafBeam, leaf_beam, upright_path
from springwright.linkage.mounts import BY_POINTS, OnAxleLinks, OnBeam
from springwright.linkage.shaft import ShaftPath
from springwright.linkage.steering import at_lock
from springwright.linkage.wishbones import WheelLinkage
from springwright.parts.law import Law, LinearLaw, SpringNeed
from springwright.parts.leaf_spring import LeafSpring
from springwright.parts.record import SpringPart
from springwright.results import Judged, Result, si
from springwright.units import show
from springwright.vehicle.axle import Axle
from springwright.vehicle.centres import side_slope
from springwright.vehicle.curves import check_travel, lengths
from springwright.vehicle.design import Design
from springwright.vehicle.weigh import brake_shares, drive_shares, kerb_weight, shared_loads, weigh

Floats = NDArray[np.float64]
LeafMotion = Callable[[Floats], LeafBeam]
POSITIONS = 13  # of the travel that are told
ROLLS = 5  # angles of roll told at each heave
FAR = 50.0  # m, beyond which an instant centre is said to lie at infinity


class InPlace(NamedTuple):
    """The spring of an axle as fitted: its law, what it must do, and the part where it is no plain coil."""

    law: Law
    need: SpringNeed
    part: SpringPart | None


@dataclass(frozen=True)
class Position(Result):
    """One wheel travel: spring and damper, and where pivot points are given how the left wheel stands, as change from the design position.

    Camber is positive with the top outward, toe with the front inward, caster with the steering axis leaning back, kingpin inward;
    the roll centre's height is above the ground under the wheel, `half_track` says how far the contact point goes out, `wheelbase` how far the wheel centre goes ahead. Instant centres are those of the contact point's motion: (out, up) from behind, (ahead, up) from the side.
    `steer` is what a drag link does, to the left; `bush_rate` what rubber adds to the wheel rate.
    """

    travel: float = si("m")
    spring_length: float | None = si("m", None)
    motion_ratio: float = si("", 0.0)
    ratio_change: float = si("1/m", 0.0)
    damper_length: float | None = si("m", None)
    damper_ratio: float | None = si("", None)
    camber: float | None = si("rad", None)
    toe: float | None = si("rad", None)
    caster: float | None = si("rad", None)
    kingpin: float | None = si("rad", None)
    axle_turn: float | None = si("rad", None)
    roll_centre: float | None = si("m", None)
    roll_steer: float | None = si("", None)
    half_track: float | None = si("m", None)
    wheelbase: float | None = si("m", None)
    front_centre: tuple[float, ...] | None = si("m", None)
    side_centre: tuple[float, ...] | None = si("m", None)
    brake_slope: float | None = si("", None)
    drive_slope: float | None = si("", None)
    steer: float | None = si("rad", None)
    bush_rate: float | None = si("N/m", None)
    shaft_inner: float | None = si("rad", None)
    shaft_outer: float | None = si("rad", None)
    shaft_plunge: float | None = si("m", None)


@dataclass(frozen=True)
class RollPosition(Result):
    """A beam axle at a heave and a roll of the body (right side down positive): its steer and shift to the left, its springs."""

    heave: float = si("m")
    roll: float = si("rad")
    steer: float = si("rad")
    shift: float = si("m")
    wheelbase: float = si("m")
    roll_centre: float | None = si("m", None)
    left_spring: float | None = si("m", None)
    right_spring: float | None = si("m", None)


@dataclass(frozen=True)
class LockPosition(Result):
    """The left wheel at full steering lock and a travel: its turn to the left, camber, and where wheel centre and contact point stand."""

    lock: str
    rack: float = si("m")
    travel: float = si("m", 0.0)
    turn: float = si("rad", 0.0)
    camber: float = si("rad", 0.0)
    centre: tuple[float, ...] = si("m", ())
    contact: tuple[float, ...] = si("m", ())


@dataclass(frozen=True)
class Geometry(Result):
    """An axle along its travel, droop to full bump; `anti_dive` and `anti_squat` are shares of the pitch that braking and driving would cause."""

    vehicle: str
    axle: str
    side: str
    positions: tuple[Position, ...] = ()
    rolls: tuple[RollPosition, ...] = ()
    locks: tuple[LockPosition, ...] = ()
    brake_slope: float | None = si("", None)
    drive_slope: float | None = si("", None)
    anti_dive: float | None = si("", None)
    anti_squat: float | None = si("", None)
    judged: tuple[Judged, ...] = ()
    notes: tuple[str, ...] = ()


def geometry_of(
    design: Design, index: int, spring: InPlace | None = None, side: Literal["left", "right"] = "left"
) -> Geometry:
    """Work out an axle's geometry over its whole travel, told of one wheel; the sides are alike unless the pivot points differ.

    `spring` is needed where a leaf spring holds the axle.

    Raises
    ------
    FieldFault
        Its mounts cannot follow the wheel.

    """
    with within("axles", index):
        one = design.axles[index].on_side(1 if side == "left" else -1)
        check_travel(one)
    low, high = -one.travel.droop, one.travel.bump + one.travel.stop_compression
    x = np.unique(np.append(np.linspace(low, high, POSITIONS - 1), 0.0))
    leaf = leaf_motion(design.axles[index], spring)
    columns, notes = _along(one, x, leaf)
    locks = _locks(one, low, high)
    if one.steering_lock is not None and isinstance(one.links, WheelLinkage) and not locks:
        notes.append(
            f"the links cannot be steered to the lock of {show(one.steering_lock, 'angle')} by moving the toe link's inner end"
        )
    brake, drive, dive, squat = _anti(design, index, LinearLaw(0.0, 0.0) if spring is None else spring.law)
    notes += [
        f"{word} counts {what} in proportion to the loads on the axles that {do}: driveline.{field} is not given"
        for share, field, word, what, do in (
            (dive, "brake_split", "anti-dive", "braking", "brake, all of them"),
            (squat, "torque_split", "anti-squat", "drive", "are driven"),
        )
        if share is not None and not getattr(design.driveline, field)
    ]
    return Geometry(
        design.vehicle.name, one.name, side,
        tuple(Position(float(at), **{name: _cell(values, i) for name, values in columns.items()}) for i, at in enumerate(x)),
        _rolls(one, low, high), locks, brake, drive, dive, squat, _judged(one, columns), tuple(notes),
    )  # fmt: skip


def leaf_motion(axle: Axle, spring: InPlace | None) -> LeafMotion | None:
    """How a beam axle goes on its leaf springs and their shackles; None for any other axle."""
    leaf = axle.spring.leaf
    if leaf is None or leaf.shackle is None or axle.links is not None:
        return None
    assert spring is not None
    part, need = spring.part, spring.need
    if not isinstance(part, LeafSpring):
        return None  # none could be worked out
    eyes = None
    if isinstance(axle.spring.acts, OnBeam) and axle.spring.acts.foot_height is not None:
        eyes = axle.spring.acts.foot_height + leaf.eyes_above
    start = (0.0, (axle.track or 0.0) / 2, axle.tyre.unloaded_radius)
    return lambda x: leaf_beam(start, x, lambda rise: _seat(part, need, rise), eyes)


def _seat(part: LeafSpring, need: SpringNeed, rise: Floats) -> tuple[Floats, Floats]:
    found = part.seat(need, rise)
    assert found is not None
    return found


def motion_of(axle: Axle, x: Floats, leaf: LeafMotion | None) -> Held | None:
    """The left wheel along heave: by pivot points or leaf springs, else straight up where a beam axle has a drag link or shaft [m]."""
    links = axle.links
    if links is not None:
        return links.path(x)
    if leaf is not None:
        return leaf(x)
    if axle.kind == "beam" and (axle.drag_link or axle.shaft):
        return upright_path((0.0, (axle.track or 0.0) / 2, axle.tyre.unloaded_radius), x)
    return None


def _along(axle: Axle, x: Floats, leaf: LeafMotion | None) -> tuple[dict[str, Any], list[str]]:  # noqa: C901 a column for each thing that moves
    spring = lengths(axle, x)
    columns: dict[str, Any] = {"motion_ratio": spring.ratio, "ratio_change": spring.slope}
    if axle.spring.rest_length:
        columns["spring_length"] = spring.length
    notes: list[str] = []
    if axle.damper is not None:
        damper = axle.damper.acts.lengths(x, axle.damper.length or 0.0)
        columns["damper_ratio"] = damper.ratio
        if axle.damper.length is not None or isinstance(axle.damper.acts, BY_POINTS):
            columns["damper_length"] = damper.length
    path = motion_of(axle, x, leaf)
    if path is None:
        return columns, notes
    if axle.drag_link is not None:
        columns["steer"] = axle.drag_link.steer(path)
    if axle.shaft is not None:
        shaft = axle.shaft.along(path)
        columns |= {"shaft_inner": shaft.inner, "shaft_outer": shaft.outer, "shaft_plunge": shaft.plunge}
    links = axle.links
    if links is None and leaf is None:
        return columns, notes
    contact, still = path.at(path.contact), np.array(path.contact)
    columns |= {
        "camber": path.camber,
        "toe": path.toe,
        "roll_centre": path.roll_centre,
        "half_track": contact[:, 1] - still[1],
        "wheelbase": path.centre[:, 0] - path.start[0],
        "side_centre": path.side_centre,
        "brake_slope": path.brake_slope,
        "drive_slope": path.drive_slope,
    }
    if isinstance(path, Beam | LeafBeam):
        columns |= {"roll_steer": path.roll_steer, "axle_turn": path.pitch}
    else:
        columns["front_centre"] = path.front_centre
    if isinstance(links, WheelLinkage):
        if links.steered is not None:
            columns["caster"], columns["kingpin"] = links.leans(path)
        if getattr(links, "bush_twist_rates", None):
            columns["bush_rate"] = np.array([links.bush_rate(float(at)) for at in x])
    if links is None:
        notes.append(
            "on leaf springs: the seat goes as both halves bend in circles; roll centre at the eyes' height (practice), where foot_height is given"
        )
        return columns, notes
    reach = links.reach()
    if reach.locks:
        notes.append(f"the links themselves: {reach.locks}")
    heave, roll = axle.bush_rates
    if max(heave, roll) > 1.0:
        notes.append(f"bushes add {show(heave, 'rate')} to the wheel rate in heave, {show(roll, 'rate')} in roll")
    return columns, notes


def _cell(values: Any, i: int) -> Any:
    """One value of a column; a point as a tuple, None where it lies at infinity."""
    value = values[i]
    if np.ndim(value) == 0:
        return float(value)
    return tuple(float(one) for one in value) if np.all(np.isfinite(value)) and np.abs(value).max() < FAR else None


def _rolls(axle: Axle, low: float, high: float) -> tuple[RollPosition, ...]:
    links = axle.links
    if not isinstance(links, BeamLinks) or axle.track is None:
        return ()
    found = []
    most = 0.8 * (high - low) / axle.track
    for heave in (low / 2, 0.0, high / 2):
        angle = np.linspace(-most, most, ROLLS)
        # the body's right side down: the right wheel goes into bump
        left, right = heave - angle * axle.track / 2, heave + angle * axle.track / 2
        beam = links.beam(left, right)
        still = np.array(beam.start)
        springs = [np.full(ROLLS, np.nan)] * 2
        if isinstance(axle.spring.acts, OnAxleLinks):
            springs = [axle.spring.acts.shares(left, right, side)[0] for side in (1, -1)]
        found += [
            RollPosition(
                heave, float(angle[i]), float(-beam.toe[i]), float(beam.shift[i]), float(beam.rolled[i, 0] - still[0]), float(beam.roll_centre[i]),
                *(None if np.isnan(one[i]) else float(one[i]) for one in springs),
            )
            for i in range(ROLLS)
        ]  # fmt: skip
    return tuple(found)


def _locks(axle: Axle, low: float, high: float) -> tuple[LockPosition, ...]:
    x = np.array([low, 0.0, high])
    if axle.steering_lock is not None and axle.drag_link is not None:
        path = motion_of(axle, x, None)
        assert path is not None
        return tuple(
            LockPosition(word, 0.0, float(x[i]), turn, float(camber[i]), tuple(centre[i].tolist()), tuple(contact[i].tolist()))
            for word, turn in (("to the left", axle.steering_lock), ("to the right", -axle.steering_lock))
            for centre, contact, camber in [axle.drag_link.locked(path, turn)]
            for i in range(len(x))
        )  # fmt: skip
    if axle.steering_lock is None or not isinstance(axle.links, WheelLinkage):
        return ()
    found = at_lock(axle.links, axle.steering_lock, x)
    if found is None:
        return ()
    return tuple(
        LockPosition(
            word, one.rack, float(x[i]), float(-one.path.toe[i]), float(one.path.camber[i]),
            tuple(one.path.centre[i].tolist()), tuple(one.path.at(one.path.contact)[i].tolist()),
        )
        for word, one in zip(("to the left", "to the right"), found, strict=True)
        for i in range(len(x))
    )  # fmt: skip


def _anti(design: Design, index: int, law: Law) -> tuple[float | None, float | None, float | None, float | None]:
    """Side-view slopes, and for two axles the shares of pitch they take off: at the brake and torque split given, else by load over the axles that brake and drive."""
    axle = design.axles[index]
    if axle.links is None and axle.brake_slope is None and axle.drive_slope is None and law.leads is None:
        return None, None, None, None
    weight = weigh(design, design.design_state or design.states[-1].name, kerb_weight(design))
    brake, drive = (side_slope(axle, which, weight.sprung_cg[0], law) for which in ("brake_slope", "drive_slope"))
    if len(design.axles) != 2:
        return brake, drive, None, None
    lever = abs(design.axles[1].behind_front_axle - design.axles[0].behind_front_axle) / weight.cg[2]
    loads = shared_loads(design, weight)
    shares = brake_shares(design, loads)[index], drive_shares(design, loads)[index]
    dive, squat = (float(share * slope * lever) for share, slope in zip(shares, (brake, drive), strict=True))
    return brake, drive, dive if shares[0] else None, squat if shares[1] else None


def _at_lock(axle: Axle) -> tuple[ShaftPath, ...]:
    """A half shaft at full steering lock both ways, in droop, design position and bump; none where the wheel is not steered."""
    if axle.shaft is None or axle.steering_lock is None or not isinstance(axle.links, WheelLinkage):
        return ()
    x = np.array([-axle.travel.droop, 0.0, axle.travel.bump + axle.travel.stop_compression])
    found = at_lock(axle.links, axle.steering_lock, x)
    return () if found is None else tuple(axle.shaft.along(one.path) for one in found)


def _judged(axle: Axle, columns: dict[str, Any]) -> tuple[Judged, ...]:
    shaft = axle.shaft
    if shaft is None:
        return ()
    turned = _at_lock(axle)
    where = "full lock counted" if turned else ""
    angles = [
        columns["shaft_inner"],
        columns["shaft_outer"],
        *(one for path in turned for one in (path.inner, path.outer)),
    ]
    angle = float(max(np.max(one) for one in angles))
    lengths_ = np.concatenate([columns["shaft_plunge"], *(path.plunge for path in turned)])
    plunge = float(np.max(lengths_) - np.min(lengths_))
    return (
        Judged.of("shaft, largest joint angle", angle, "at most", shaft.largest_angle, unit="rad", kind="angle", source="your limit", where=where, id="shaft_angle"),
        Judged.of("shaft, plunge over the travel", plunge, "at most", shaft.largest_plunge, unit="m", kind="length", source="your limit", where=where, id="shaft_plunge"),
    )  # fmt: skip
