"""A wheel on a strut: a lower arm, a toe link, and a strut that is fixed to the upright and slides through its top mount."""

from __future__ import annotations

from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import model_validator

from springwright.errors import FieldFault
from springwright.linkage.constraint_solver import Links
from springwright.linkage.wishbones import OnArms, Point, carried_joints, check_arm, check_link, check_reach, off_axis
from springwright.quantities import TwistRate

Floats = NDArray[np.float64]


class Strut(OnArms):
    """Pivot points of a strut suspension: `strut_top` is its ball in the body, `strut_foot` where its axis meets the upright."""

    lower_front: Point
    lower_rear: Point
    lower_ball: Point
    strut_top: Point
    strut_foot: Point
    toe_inner: Point
    toe_outer: Point
    lower_bushes: TwistRate | None = None

    @model_validator(mode="after")
    def _closes(self) -> Strut:
        check_arm(self, "lower", "lower_front", "lower_rear", "lower_ball")
        if np.linalg.norm(np.array(self.strut_top) - np.array(self.strut_foot)) < 0.05:
            raise FieldFault(("strut_top",), "is less than 50 mm from strut_foot; the strut needs an axis")
        check_link(self, "toe_inner", "toe_outer")
        if off_axis(self.lower_ball, self.strut_top, self.toe_outer) < 1e-3:
            raise FieldFault(("toe_outer",), "lies on the steering axis, so nothing holds the wheel's steering")
        check_reach(self.reach())
        return self

    @cached_property
    def links(self) -> Links:
        """Its three links and the strut."""
        return Links(
            self.wheel_centre,
            (self.lower_front, self.lower_rear, self.toe_inner),
            (self.lower_ball, self.lower_ball, self.toe_outer),
            ("lower arm, front", "lower arm, rear", "toe link", "strut", "strut"),
            (self.strut_top, self.strut_foot),
        )

    @property
    def arms(self) -> dict[str, tuple[str, str, str]]:
        """See `OnArms`."""
        return {"lower arm": ("lower_front", "lower_rear", "lower_ball")}

    @property
    def steered(self) -> tuple[Links, int]:
        """See `WheelLinkage`."""
        return self.links, 2

    @property
    def bush_twist_rates(self) -> dict[str, float]:
        """Twist rate of the arm's bushes [N m/rad]."""
        return {"lower arm": self.lower_bushes} if self.lower_bushes else {}

    def steering_axis(self, path: Any) -> Floats:
        """See `WheelLinkage` [-]."""
        return np.asarray(np.array(self.strut_top) - path.at(self.lower_ball))

    def sketch(self) -> tuple[tuple[str, str], ...]:
        """See `WheelLinkage`."""
        return (
            ("lower_front", "lower_ball"), ("lower_rear", "lower_ball"), ("strut_top", "strut_foot"), ("toe_inner", "toe_outer"),
            ("lower_ball", "strut_foot"), ("lower_ball", "toe_outer"), ("lower_ball", "wheel_centre"),
        )  # fmt: skip

    def joints(self, travel: float) -> dict[str, Floats]:
        """See `WheelLinkage` [m]."""
        return carried_joints(self, ("lower_ball", "strut_foot", "toe_outer", "wheel_centre"), travel)
