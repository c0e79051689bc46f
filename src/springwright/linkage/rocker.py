"""Something that turns about a fixed line and is held by a rod: a spring's rocker, a steered knuckle on its drag link. Closed form."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import model_validator

from springwright.errors import FieldFault
from springwright.linkage.constraint_solver import turned
from springwright.linkage.wishbones import Point, off_axis
from springwright.quantities import Record

Floats = NDArray[np.float64]


def swung(pivot: Floats, axis: Floats, joint: Floats, end: Floats, start: Floats) -> Floats:
    """(n,) angle [rad] about a line that keeps a rod at its length, its far end at `end` (n, 3) having begun at `start`.

    `joint` is the rod's end on what turns, in the design position; `axis` a unit vector. a cos + b sin = c; nan where it cannot.
    """
    arm = joint - pivot
    along = axis * (arm @ axis)
    out, side = arm - along, np.cross(axis, arm)
    rod = float(np.linalg.norm(joint - start))

    def parts(at: Floats) -> tuple[Floats, Floats]:
        way = at - pivot
        wanted = (arm @ arm + np.sum(way**2, axis=-1) - rod**2) / 2 - way @ along
        a, b = way @ out, way @ side
        with np.errstate(invalid="ignore"):
            return np.arctan2(b, a), np.arccos(wanted / np.hypot(a, b))

    middle, half = parts(start[None])
    sign = 1.0 if abs(np.sin((middle + half)[0] / 2)) < abs(np.sin((middle - half)[0] / 2)) else -1.0
    middle, half = parts(end)
    return np.asarray((middle + sign * half + np.pi) % (2 * np.pi) - np.pi)


class Rocker(Record):
    """A rocker between the wheel and its spring, turning about the line through two points.

    `push` is the joint of the push or pull rod on it, `spring` that of the spring.
    """

    push: Point
    spring: Point
    axis_front: Point
    axis_rear: Point

    @model_validator(mode="after")
    def _turns(self) -> Rocker:
        if np.linalg.norm(np.array(self.axis_front) - np.array(self.axis_rear)) < 1e-3:
            raise FieldFault(("axis_rear",), "coincides with axis_front; the rocker needs an axis")
        for name in ("push", "spring"):
            if off_axis(self.axis_front, self.axis_rear, getattr(self, name)) < 5e-3:
                raise FieldFault((name,), "lies on the rocker's axis, so it does not move")
        return self

    def turned(self, foot: Floats, moves: Floats, start: Any) -> tuple[Floats, Floats]:
        """(n, 3): where the spring's joint goes and how it moves, for the rod's other end at `foot` moving with `moves` [m, m/m]."""
        pivot = np.array(self.axis_front)
        axis = np.array(self.axis_rear) - pivot
        axis = axis / np.linalg.norm(axis)
        push = np.array(self.push)
        angle = swung(pivot, axis, push, foot, np.array(start))
        turn = turned(angle[:, None] * axis)
        joint, spring = turn @ (push - pivot), turn @ (np.array(self.spring) - pivot)
        along_rod = pivot + joint - foot
        rate = np.sum(along_rod * moves, axis=1) / np.sum(along_rod * np.cross(axis, joint), axis=1)
        return pivot + spring, np.asarray(rate[:, None] * np.cross(axis, spring))
