"""A wheel on an arm that turns about one fixed axis: trailing arm, semi-trailing arm, swing axle. Closed form.

Left wheel: x ahead of the axle, y out from the centreline, z above ground. The arm turns about the line through its two pivots; the
angle at a travel follows from the wheel centre's height on its circle.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import model_validator

from springwright.errors import FieldFault
from springwright.linkage.held import Held
from springwright.linkage.wishbones import Point, Solved, turned
from springwright.units import Record

Floats = NDArray[np.float64]
REACH = 0.30  # m of travel either way that is asked for at most


class SwingArm(Record):
    """Two pivots on the body and the wheel centre; an arm along the vehicle is a trailing arm, one across it a swing axle."""

    wheel_centre: Point
    inner_pivot: Point
    outer_pivot: Point

    @model_validator(mode="after")
    def _turns(self) -> SwingArm:
        a, b, c = (np.array(one) for one in (self.inner_pivot, self.outer_pivot, self.wheel_centre))
        if np.linalg.norm(b - a) < 1e-3:
            raise FieldFault(("outer_pivot",), "coincides with inner_pivot; the arm needs an axis")
        axis = (b - a) / np.linalg.norm(b - a)
        if abs(np.cross(axis, c - a)[2]) < 0.02:
            raise FieldFault(
                ("wheel_centre",), "hardly rises as the arm turns: it lies over or under the axis, or on it"
            )
        return self

    def path(self, travel: Any) -> Held:
        """The wheel at travels [m]; see `Held`."""
        x = np.atleast_1d(np.asarray(travel, dtype=float))
        a, b, c = (np.array(one) for one in (self.inner_pivot, self.outer_pivot, self.wheel_centre))
        axis = (b - a) / np.linalg.norm(b - a)
        foot = a + axis * ((c - a) @ axis)
        out = c - foot
        side = np.cross(axis, out)
        # height of the wheel centre: foot + out cos + side sin
        size, phase = np.hypot(out[2], side[2]), np.arctan2(side[2], out[2])
        with np.errstate(invalid="ignore"):
            turn_by = np.arccos((c[2] + x - foot[2]) / size)
        angle = phase - turn_by if side[2] > 0 else phase + turn_by
        angle = (angle + np.pi) % (2 * np.pi) - np.pi
        centre = foot + np.cos(angle)[:, None] * out + np.sin(angle)[:, None] * side
        moved = -np.sin(angle)[:, None] * out + np.cos(angle)[:, None] * side
        spin = axis / moved[:, 2:]
        return Held(self.wheel_centre, x, centre, turned(angle[:, None] * axis), moved / moved[:, 2:], spin)


@lru_cache(maxsize=64)
def arm_reach(arm: SwingArm) -> Solved:
    """How far the arm can go, to within a tenth of its end."""
    travel = np.linspace(-REACH, REACH, 601)
    fine = np.isfinite(arm.path(travel).centre[:, 2])
    return Solved(
        float(travel[fine][0]), float(travel[fine][-1]), "" if fine.all() else "the arm stands straight up or down"
    )
