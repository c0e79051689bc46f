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
from springwright.linkage.constraint_solver import LinkReach, turned
from springwright.linkage.held import Held
from springwright.linkage.wishbones import Point, WheelLinkage, carried_joints, off_axis
from springwright.quantities import TwistRate

Floats = NDArray[np.float64]
REACH = 0.30  # m of travel either way that is asked for at most


class SwingArm(WheelLinkage):
    """Two pivots on the body and the wheel centre; an arm along the vehicle is a trailing arm, one across it a swing axle.

    `bushes` is the twist rate of its rubber pivots, both together.
    """

    inner_pivot: Point
    outer_pivot: Point
    bushes: TwistRate | None = None

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

    def _geometry(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Axis, foot of the wheel centre on it, and the centre's two directions round it."""
        a, b, c = (np.array(one) for one in (self.inner_pivot, self.outer_pivot, self.wheel_centre))
        axis = (b - a) / np.linalg.norm(b - a)
        foot = a + axis * ((c - a) @ axis)
        return axis, foot, c - foot, np.cross(axis, c - foot)

    def _angle(self, x: Floats) -> Floats:
        """Turn about the axis [rad] at travels [m]; height of the wheel centre is foot + out cos + side sin."""
        _, foot, out, side = self._geometry()
        size, phase = np.hypot(out[2], side[2]), np.arctan2(side[2], out[2])
        with np.errstate(invalid="ignore"):
            turn_by = np.arccos((self.wheel_centre[2] + x - foot[2]) / size)
        angle = phase - turn_by if side[2] > 0 else phase + turn_by
        return np.asarray((angle + np.pi) % (2 * np.pi) - np.pi)

    def path(self, travel: Any) -> Held:
        """See `WheelLinkage`."""
        x = np.atleast_1d(np.asarray(travel, dtype=float))
        axis, foot, out, side = self._geometry()
        angle = self._angle(x)
        centre = foot + np.cos(angle)[:, None] * out + np.sin(angle)[:, None] * side
        moved = -np.sin(angle)[:, None] * out + np.cos(angle)[:, None] * side
        rise = np.where(
            moved[:, 2:] == 0.0, np.nan, moved[:, 2:]
        )  # an arm that stands straight up or down has no more rise to give
        return Held(self.wheel_centre, x, centre, turned(angle[:, None] * axis), moved / rise, axis / rise)

    def reach(self) -> LinkReach:
        """See `WheelLinkage`."""
        return _reach(self)

    @property
    def bodies(self) -> tuple[str, ...]:
        """See `WheelLinkage`."""
        return ("arm",)

    @property
    def bush_twist_rates(self) -> dict[str, float]:
        """Twist rate of the arm's bushes [N m/rad]."""
        return {"arm": self.bushes} if self.bushes else {}

    def twisted(self, on: str, travel: Any) -> tuple[Floats, Floats]:  # noqa: ARG002 there is one arm
        """See `WheelLinkage` [rad, rad/m]."""
        x = np.atleast_1d(np.asarray(travel, dtype=float))
        _, _, out, side = self._geometry()
        angle = self._angle(x)
        rise = -np.sin(angle) * out[2] + np.cos(angle) * side[2]
        rate = 1 / np.where(rise == 0.0, np.nan, rise)
        sign = np.sign(side[2])
        return np.asarray(sign * angle), np.asarray(sign * rate)

    def carried(self, on: str, point: Any, travel: Any) -> tuple[Floats, Floats]:  # noqa: ARG002 there is one arm
        """See `WheelLinkage` [m, m/m]."""
        path = self.path(travel)
        return path.at(point), path.moves(point)

    def arm_length(self, on: str) -> float:  # noqa: ARG002 there is one arm
        """See `WheelLinkage` [m]."""
        return off_axis(self.inner_pivot, self.outer_pivot, self.wheel_centre)

    def sketch(self) -> tuple[tuple[str, str], ...]:
        """See `WheelLinkage`."""
        return (("inner_pivot", "wheel_centre"), ("outer_pivot", "wheel_centre"), ("inner_pivot", "outer_pivot"))

    def joints(self, travel: float) -> dict[str, Floats]:
        """See `WheelLinkage` [m]."""
        return carried_joints(self, ("wheel_centre",), travel)


@lru_cache(maxsize=64)
def _reach(arm: SwingArm) -> LinkReach:
    """How far the arm can go, to within a tenth of its end."""
    travel = np.linspace(-REACH, REACH, 601)
    fine = np.isfinite(arm.path(travel).centre[:, 2])
    return LinkReach(
        float(travel[fine][0]), float(travel[fine][-1]), "" if fine.all() else "the arm stands straight up or down"
    )
