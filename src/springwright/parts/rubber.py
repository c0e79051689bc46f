"""A rubber spring by its table: force against compression, with what it is stiffer when moved quickly and what it loses."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Annotated, Any

import numpy as np
from numpy.typing import ArrayLike
from pydantic import Field, model_validator

from springwright.errors import FieldFault
from springwright.parts.law import Law, LinearLaw, MonotoneLaw, Pull, SpringNeed
from springwright.parts.record import AGREE, Dimension, SpringPart, Tolerance, count, length
from springwright.quantities import NonNegativeForce, NonNegativeLength, PositiveLength, Ratio, Share
from springwright.results import Judged


@dataclass(frozen=True)
class Rubber(Law):
    """The table's slow curve; in quick motion about a place of rest every change of force is `dynamic` times as large."""

    slow: MonotoneLaw
    dynamic: float
    rest: float | None = None
    most: float = np.inf
    friction: float = 0.0

    def at(self, pressed: ArrayLike) -> Pull:
        """See `Law` [N, N/m at m]."""
        force, rate = self.slow.at(pressed)
        if self.rest is None:
            return Pull(force, rate)
        still = self.slow.at(self.rest).force
        return Pull(still + self.dynamic * (force - still), self.dynamic * rate)

    def about(self, pressed: float) -> Law:
        """See `Law` [m]."""
        return replace(self, rest=pressed)

    @property
    def rate(self) -> float:
        """Rate of quick motion about zero travel [N/m]."""
        return float((self if self.rest is not None else self.about(0.0)).at(0.0).rate)


class RubberSpring(SpringPart):
    """Points of compression and force from the maker's sheet.

    `dynamic` is quick rate / slow rate (often 1.2 to 2); `loss` is the share of a stroke's energy it keeps, which is told and not used in
    motion.
    """

    free_length: PositiveLength
    points: Annotated[tuple[tuple[NonNegativeLength, NonNegativeForce], ...], Field(min_length=3)]
    dynamic: Ratio = 1.0
    loss: Share = 0.0
    spacer: NonNegativeLength = 0.0

    @model_validator(mode="after")
    def _whole(self) -> RubberSpring:
        if self.points[0] != (0.0, 0.0):
            raise FieldFault(("points", 0), "must begin with no force at no compression: [0 mm, 0 N]")
        for i, ((x0, f0), (x1, f1)) in enumerate(pairwise(self.points)):
            if x1 <= x0:
                raise FieldFault(("points", i + 1), "compression must rise from point to point")
            if f1 <= f0:
                raise FieldFault(("points", i + 1), "force must rise as the spring is pressed; check the points")
        if self.points[-1][0] >= self.free_length:
            raise FieldFault(("points",), "reach further than the spring is long; check free_length")
        if self.dynamic < 1:
            raise FieldFault(("dynamic",), "must be 1 or more: rubber is never softer when moved quickly")
        return self

    @property
    def kind(self) -> str:
        """See `SpringPart`."""
        return "rubber spring"

    @property
    def length_matters(self) -> bool:
        """See `SpringPart`."""
        return True

    def ideal(self, rate: float, force: float) -> Law:
        """See `SpringPart` [N/m, N]."""
        return LinearLaw(rate, force)

    def law(self, need: SpringNeed) -> Law:
        """See `SpringPart`."""
        at_rest = self.free_length + self.spacer - need.ride_length
        (_, _), (x1, f1) = self.points[:2]
        points = ((-1.0 - at_rest, -f1 / x1), *((x - at_rest, f) for x, f in self.points))
        slow = MonotoneLaw(points, most=self.points[-1][0] - at_rest)
        return Rubber(slow, self.dynamic, most=slow.most)

    def told(self, need: SpringNeed, law: Law) -> dict[str, Any]:
        """See `SpringPart`."""
        left = self.points[-1][0] - (self.free_length + self.spacer - need.bump_length)
        return {
            "dimensions": (
                length("free length", self.free_length), length("spacer", self.spacer),
                Dimension("slow rate at zero travel", float(law.at(0.0).rate), "N/m", "rate", found=True),
                Dimension("quick rate at zero travel", law.rate, "N/m", "rate", found=True),
                count("share of a stroke's energy it keeps", self.loss),
            ),
            "judged": (
                Judged.of("table left at full bump", left, "at least", 0.0, unit="m", kind="length", source="your points", id="table_left_at_full_bump"),
                Judged.of("preload at full droop", self.free_length + self.spacer - need.droop_length, "at least", 0.0 if need.loaded_at_droop else None, unit="m", kind="length", source="common practice", id="pressed_at_full_droop"),
            ),
            "material": "rubber to the maker's sheet",
            "tolerances": (Tolerance("load at ride length", 0.15 * law.force, "N", "force", AGREE),),
            "arrival": ("press three times before measuring: the first stroke of new rubber reads high", "press to ride length, wait a minute and write the load down"),
            "remarks": ("rubber creeps a few per cent of its deflection in its first weeks and stiffens in the cold: measure height again",),
        }  # fmt: skip
