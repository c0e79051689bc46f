"""What the tyres can pass on under given loads through open or locked differentials, and how steep a slope that climbs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from springwright.motion.equilibrium import equilibria
from springwright.motion.forces import GRAVITY, Case, friction_of
from springwright.motion.rig import Rig
from springwright.vehicle.design import Design

Floats = NDArray[np.float64]
STEEPEST, SLOPES = 1.2, 33  # rad looked at for gradeability, and steps


def traction(design: Design, rig: Rig, loads: Floats, every: str | None = None) -> float:
    """Driving force [N] the tyres can pass under these loads: an open differential gives each side no more than the weaker one takes.

    Between axles an open differential keeps the torque split, so that the weakest axle for its share decides; locked, they add up.
    `every` takes all differentials as open or locked in place of the design's own.
    """
    limit = friction_of(rig, loads) * loads
    sides = []
    for i, axle in enumerate(design.axles):
        mine = limit[rig.wheel_axle == i]
        if not axle.driven:
            sides.append(0.0)
        elif (every or axle.differential or "open") == "open" and len(mine) == 2:
            sides.append(2 * float(mine.min()))
        else:
            sides.append(float(mine.sum()))
    driven = [i for i, axle in enumerate(design.axles) if axle.driven and rig.drive_share[i] > 0]
    if not driven:
        return 0.0
    if (every or design.driveline.centre_differential or "open") == "locked" or len(driven) == 1:
        return float(sum(sides[i] for i in driven))
    return min(sides[i] / float(rig.drive_share[i]) for i in driven)


def gradeability(design: Design, rig: Rig, ground: Floats) -> float:
    """Steepest slope [rad] on which traction holds the weight, the load moved back by the slope counted; the tipping slope where that comes first."""
    slopes = np.linspace(0.0, STEEPEST, SLOPES)
    rests = equilibria(rig, ground, [Case.slope(climb=float(one)) for one in slopes], again=False)
    needed = GRAVITY * float(rig.mass) * np.sin(slopes)
    spare = (
        np.array(
            [_traction_or_none(design, rig, loads, q) for loads, q in zip(rests.wheel_loads, rests.q, strict=True)]
        )
        - needed
    )
    past = np.flatnonzero(~(spare > 0))
    if not len(past):
        return STEEPEST
    k = int(past[0])
    if k == 0 or np.isnan(spare[k]):
        return float(slopes[max(k - 1, 0)])
    return float(np.interp(0.0, [spare[k], spare[k - 1]], [slopes[k], slopes[k - 1]]))  # fmt: skip


def _traction_or_none(design: Design, rig: Rig, loads: Floats, q: Sequence[float] | Floats) -> float:
    return float("nan") if np.isnan(q[0]) else traction(design, rig, loads)
