"""Roll centres, the roll axis and side-view lines of axles: as given, by their links or leaf springs, or estimated."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np

from springwright.linkage.held import Held, upright_path
from springwright.linkage.mounts import OnBeam
from springwright.parts.law import Law
from springwright.vehicle.axle import Axle
from springwright.vehicle.design import Design
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


def side_slope(axle: Axle, which: str, cg: float, law: Law) -> float:
    """Slope of an axle's side-view line: as given, else as its links or leaf springs move it, else level."""
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


@lru_cache(maxsize=64)  # asked for in every load state
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


def roll_axis_height(design: Design, x: float) -> float:
    """Height of the roll axis at x [m]: the straight line nearest to the axles' roll centres."""
    axles = [axle for axle in design.axles if axle.wheels == 2]
    if not axles:
        return 0.0
    at = np.array([-axle.behind_front_axle for axle in axles])
    height = np.array([roll_centre(axle)[0] for axle in axles])
    across = at - at.mean()
    slope = float(across @ height) / (float(across @ across) or 1.0)
    return float(height.mean() + slope * (x - at.mean()))
