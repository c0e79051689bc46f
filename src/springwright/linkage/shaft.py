"""A shaft with a joint at each end, from the vehicle to what moves with the wheel: propshaft or half shaft. Angles and plunge."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import model_validator

from springwright.errors import FieldFault
from springwright.linkage.held import Held
from springwright.linkage.wishbones import Point
from springwright.quantities import Lean, PositiveAngle, PositiveLength, Record

Floats = NDArray[np.float64]


class Shaft(Record):
    """Joints on the vehicle (`inner`) and on the wheel's carrier or axle (`outer`), and how the shafts beyond them run.

    `inner_slope` and `outer_slope` are the rise of those shafts, ahead (or for a half shaft outward). Largest joint angle and plunge
    are the maker's.
    """

    runs: Literal["along", "across"] = "along"
    inner: Point
    outer: Point
    inner_slope: Lean = 0.0
    outer_slope: Lean = 0.0
    largest_angle: PositiveAngle | None = None
    largest_plunge: PositiveLength | None = None

    @model_validator(mode="after")
    def _long(self) -> Shaft:
        if np.linalg.norm(np.array(self.inner) - np.array(self.outer)) < 0.05:
            raise FieldFault(("outer",), "is less than 50 mm from inner; a shaft needs a length")
        return self

    def along(self, path: Held) -> ShaftPath:
        """Its angles and length as the wheel moves."""
        end = path.at(self.outer)
        way = end - np.array(self.inner)
        long = np.linalg.norm(way, axis=1)
        unit = way / long[:, None]
        inner = self._direction(self.inner_slope)
        outer = path.turn @ self._direction(self.outer_slope)
        at_rest = float(np.linalg.norm(np.array(self.outer) - np.array(self.inner)))
        return ShaftPath(_angle(unit @ inner), _angle(np.sum(unit * outer, axis=1)), long - at_rest)

    def _direction(self, slope: float) -> Floats:
        level, up = float(np.cos(slope)), float(np.sin(slope))
        return np.array([level, 0.0, up]) if self.runs == "along" else np.array([0.0, level, up])


@dataclass(frozen=True)
class ShaftPath:
    """Angle at the inner and at the outer joint [rad], and how much longer the shaft has become [m]."""

    inner: Floats
    outer: Floats
    plunge: Floats


def _angle(cosine: Floats) -> Floats:
    return np.asarray(np.arccos(np.clip(np.abs(cosine), 0.0, 1.0)))
