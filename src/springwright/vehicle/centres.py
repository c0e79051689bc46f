"""Roll centres, the roll axis and side-view lines of axles: as given, by their links or leaf springs, or estimated."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from springwright.evaluation import remembered
from springwright.linkage.beam_links import BeamLinks
from springwright.linkage.held import Held, upright_path
from springwright.linkage.mounts import OnBeam
from springwright.parts.law import Law
from springwright.vehicle.axle import Axle
from springwright.vehicle.known import known
from springwright.vehicle.weigh import unsprung_height


def roll_centre(axle: Axle) -> tuple[float, bool]:
    """Roll centre height of an axle [m], and whether it is only an estimate (wheel centre for a beam, ground for the rest)."""
    if axle.roll_centre_height is not None:
        return axle.roll_centre_height, False
    each = [held for side in (1, -1) if (held := _still(known(axle.on_side(side)))) is not None]
    if each:
        return sum(float(held.roll_centre[0]) for held in each) / len(each), False
    leaf, acts = axle.spring.leaf, axle.spring.acts
    if leaf is not None and isinstance(acts, OnBeam) and acts.foot_height is not None:
        return acts.foot_height + leaf.eyes_above, True
    return (unsprung_height(axle) if axle.kind == "beam" else 0.0), True


def roll_centre_rise(axle: Axle) -> float:
    """How much the roll centre rises per rise of the body over the axle: by the links about the design position, else as one fixed to the body [m/m]."""
    if axle.links is None:
        return 1.0
    step = min(0.005, axle.travel.bump / 4, axle.travel.droop / 4)
    each = []
    for side in (1, -1)[: axle.wheels]:
        held = axle.on_side(side).held(np.array([-step, step]))
        assert held is not None
        low, high = (float(one) for one in held.roll_centre)
        each.append((low - high) / (2 * step))
    return sum(each) / len(each)


def roll_centre_wander(axle: Axle) -> float:
    """Half of what a beam axle's roll centre goes down by per angle the body rolls against it [m/rad]: a rod one way round lowers it, the other way raises it."""
    links, track = axle.links, axle.track
    if not isinstance(links, BeamLinks) or track is None:
        return 0.0
    step = min(0.005, axle.travel.bump / 4, axle.travel.droop / 4) * np.array([1.0, -1.0])
    high, low = links.beam(step, -step).roll_centre
    return float(high - low) * track / (8 * float(step[0]))


def side_slope(axle: Axle, which: str, cg: float, law: Law) -> float:
    """Slope of an axle's side-view line: as given, else as its links or leaf springs move it, else level [m/m]."""
    given: float | None = getattr(axle, which)
    held = _still(known(axle))
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


@remembered(64)  # asked for in every load state
def _still(axle: Axle) -> Held | None:
    """The wheel in the design position as its pivot points say."""
    return axle.held(0.0)


def led(axle: Axle, leads: tuple[float, float]) -> Held:
    """A beam axle in the design position as its leaf springs lead it: ahead [-] and nose up [rad/m] per rise of their seats."""
    start = (0.0, (axle.track or 0.0) / 2, axle.tyre.unloaded_radius)
    ahead, turn = leads
    return replace(
        upright_path(start, np.zeros(1)), velocity=np.array([[ahead, 0.0, 1.0]]), spin=np.array([[0.0, -turn, 0.0]])
    )


def pivot_height(axle: Axle, cg: float, law: Law) -> float:
    """Height [m] of the point over which an axle lets the body turn in pitch: the line its wheel centre moves along, at a CG at x [m].

    A wheel that moves straight up and down turns the body about the height of its centre: a rolling wheel is carried under its
    centre however it is turned.
    """
    held = _still(known(axle))
    if held is None and law.leads is not None:
        held = led(axle, law.leads)
    slope = 0.0 if held is None else float(held.drive_slope[0])
    if held is None and axle.kind == "independent" and axle.drive_torque_on != "axle" and axle.drive_slope:
        slope = axle.drive_slope * (1 if -axle.behind_front_axle > cg else -1)
    return axle.tyre.unloaded_radius + slope * (-axle.behind_front_axle - cg)


def upright_share(axle: Axle) -> float:
    """How far an axle's wheels lean with its own tilt in place of the body's roll: 1 on a beam, else by the change of camber of its links [-]."""
    if axle.kind == "beam":
        return 1.0
    each = [held for side in (1, -1) if (held := _still(known(axle.on_side(side)))) is not None]
    if not each or axle.track is None:
        return 0.0
    # a left wheel that turns its top inward by `spin` per bump stands up by that much for half the track of roll
    return sum(float(held.spin[0, 0]) for held in each) / len(each) * axle.track / 2
