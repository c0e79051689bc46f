"""Coils that work together: in line on one seat (one locks at its stop or solid, then the next carries on alone), or nested."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from springwright.errors import FieldFault
from springwright.parts.law import SOLID, Law, PiecewiseLinearLaw, SpringNeed
from springwright.parts.record import AGREE, STORED, Dimension, SpringPart, Tolerance, length, words
from springwright.quantities import NonNegativeLength, PositiveForce, PositiveLength, PositiveRate, Record
from springwright.results import Judged
from springwright.units import show


class StackCoil(Record):
    """One coil of a stack. `locks_at` is the travel its crossover stop allows it; without one it goes on to its solid length."""

    rate: PositiveRate
    free_length: PositiveLength
    solid_length: PositiveLength
    locks_at: PositiveLength | None = None
    largest_load: PositiveForce | None = None

    @model_validator(mode="after")
    def _whole(self) -> StackCoil:
        if self.solid_length >= self.free_length:
            raise FieldFault(("solid_length",), "must be shorter than the free length")
        if self.locks_at is not None and self.locks_at > self.free_length - self.solid_length:
            raise FieldFault(
                ("locks_at",),
                f"the coil is solid after {show(self.free_length - self.solid_length, 'length')}; the stop must come before that",
            )
        return self

    @property
    def stroke(self) -> float:
        """Travel until it locks [m]."""
        return self.locks_at if self.locks_at is not None else self.free_length - self.solid_length


class CoilStack(SpringPart):
    """Two or three coils, `in line` with sliders between them or `nested` side by side. `sliders` is the thickness of all sliders, `spacer` adds preload."""

    arranged: Literal["in line", "nested"] = "in line"
    coils: Annotated[tuple[StackCoil, ...], Field(min_length=2, max_length=3)]
    sliders: NonNegativeLength = 0.0
    spacer: NonNegativeLength = 0.0

    @model_validator(mode="after")
    def _whole(self) -> CoilStack:
        if self.arranged == "nested":
            for i, one in enumerate(self.coils):
                if one.locks_at is not None:
                    raise FieldFault(
                        ("coils", i, "locks_at"), "is a crossover stop, which only coils in line have; take it out"
                    )
        return self

    @property
    def kind(self) -> str:
        """See `SpringPart`."""
        return f"{'two' if len(self.coils) == 2 else 'three'} coils {self.arranged}"

    @property
    def length_matters(self) -> bool:
        """See `SpringPart`."""
        return True

    @property
    def free_length(self) -> float:
        """Length of the whole, unloaded [m]."""
        if self.arranged == "in line":
            return sum(one.free_length for one in self.coils) + self.sliders + self.spacer
        return max(one.free_length for one in self.coils) + self.spacer

    def ideal(self, rate: float, force: float) -> Law:
        """See `SpringPart`: before its first change of rate [N/m, N]."""
        return PiecewiseLinearLaw(((-1.0, force - rate), (0.0, force), (1.0, force + rate)))

    def bends(self) -> list[tuple[float, float, str]]:
        """Where the rate changes: pressed from free [m], force [N] and what happens."""
        if self.arranged == "nested":
            longest = max(one.free_length for one in self.coils)
            joins = sorted((longest - one.free_length, i) for i, one in enumerate(self.coils))
            return [
                (at, sum(max(at - late, 0.0) * self.coils[j].rate for late, j in joins), f"coil {i + 1} begins to carry")
                for at, i in joins if at > 0
            ]  # fmt: skip
        locks = sorted((one.rate * one.stroke, i) for i, one in enumerate(self.coils))
        return [
            (sum(min(force / one.rate, one.stroke) for one in self.coils), force, f"coil {i + 1} {'meets its stop' if self.coils[i].locks_at else 'goes solid'}")
            for force, i in locks
        ]  # fmt: skip

    def law(self, need: SpringNeed) -> Law:
        """See `SpringPart`."""
        pressed_at_rest = self.free_length - need.ride_length
        if self.arranged == "nested":
            first = max(self.coils, key=lambda one: one.free_length)
            end = min(
                one.free_length - one.solid_length + (self.free_length - self.spacer - one.free_length)
                for one in self.coils
            )
            points = [(-1.0, -first.rate), (0.0, 0.0), *((at, force) for at, force, _ in self.bends() if at < end)]
            points.append(
                (
                    end,
                    sum(
                        max(end - (self.free_length - self.spacer - one.free_length), 0.0) * one.rate
                        for one in self.coils
                    ),
                )
            )
        else:
            slack = 1 / sum(1 / one.rate for one in self.coils)
            points = [(-1.0, -slack), (0.0, 0.0), *((at, force) for at, force, _ in self.bends())]
        kept = [points[0]]
        for one in points[1:]:
            if one[0] > kept[-1][0] + 1e-9:
                kept.append(one)
        end = kept[-1][0]
        solid = (
            SOLID * (kept[-1][1] - kept[-2][1]) / (kept[-1][0] - kept[-2][0])
        )  # all locked: as stiff as a block, so that nothing passes it
        kept.append((end + 0.1, kept[-1][1] + 0.1 * solid))
        return PiecewiseLinearLaw(tuple((x - pressed_at_rest, force) for x, force in kept), most=end - pressed_at_rest)

    def told(self, need: SpringNeed, law: Law) -> dict[str, Any]:
        """See `SpringPart`."""
        pressed = self.free_length - need.ride_length
        dimensions = [
            words("arranged", self.arranged),
            length("free length of the whole", self.free_length, found=True),
        ]
        for i, one in enumerate(self.coils, start=1):
            dimensions += [
                Dimension(f"coil {i}, rate", one.rate, "N/m", "rate"), length(f"coil {i}, free length", one.free_length), length(f"coil {i}, solid length", one.solid_length),
            ]  # fmt: skip
            if one.locks_at is not None:
                dimensions.append(length(f"coil {i}, travel to its crossover stop", one.locks_at))
        slopes = (
            [(b[1] - a[1]) / (b[0] - a[0]) for a, b in pairwise(law.points[1:-1])]
            if isinstance(law, PiecewiseLinearLaw)
            else []
        )
        dimensions += [
            Dimension(f"rate, part {i}", value, "N/m", "rate", found=True) for i, value in enumerate(slopes, start=1)
        ]
        dimensions += [
            Dimension(f"{what}, from zero travel", at - pressed, "m", "length", found=True)
            for at, _, what in self.bends()
        ]
        judged = [
            Judged.of("left before all coils are locked, at full bump", law.most - need.bump, "at least", 0.0, unit="m", kind="length", source="solid lengths", id="left_before_locked"),
            Judged.of("preload at full droop", pressed - need.droop, "at least", 0.0 if need.loaded_at_droop else None, unit="m", kind="length", source="common practice", id="pressed_at_full_droop"),
        ]  # fmt: skip
        most = float(law.at(min(need.bump, law.most)).force)
        for i, one in enumerate(self.coils, start=1):
            if one.largest_load is not None:
                load = (
                    min(most, one.rate * one.stroke)
                    if self.arranged == "in line"
                    else one.rate * max(need.bump + pressed - (self.free_length - self.spacer - one.free_length), 0.0)
                )
                judged.append(
                    Judged.of(
                        f"coil {i} load at full bump",
                        load,
                        "at most",
                        one.largest_load,
                        unit="N",
                        kind="force",
                        source="your rating",
                        id="coil_load",
                    )
                )
        return {
            "dimensions": tuple(dimensions), "judged": tuple(judged), "material": "each coil to its own sheet" + ("; wound in opposite hands" if self.arranged == "nested" else ""),
            "tolerances": (Tolerance("rate of each coil", 0.05 * self.coils[0].rate, "N/m", "rate", AGREE),),
            "arrival": ("measure free length of each coil and press each to half its travel on a scale", "check that sliders and crossover stops run free and that no coil can leave its seat at full droop"),
            "cautions": (STORED,),
        }  # fmt: skip
