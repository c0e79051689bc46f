"""A conical or barrel coil of even pitch: its larger turns close first, so its rate rises as it is pressed.

Each turn gives 64 F r3 / (G d4); it is closed when that reaches what its pitch has over its neighbour: the wire's thickness, or
where the turns slip into one another (a steep cone) less. Turn by turn summed. EN 13906-1's round-wire formulas on a changing radius.
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np
from pydantic import model_validator

from springwright.errors import FieldFault, UnsolvedError
from springwright.parts import coil
from springwright.parts.law import Floats, Law, LinearLaw, MonotoneLaw, SpringNeed
from springwright.parts.material import GradeName
from springwright.parts.record import AGREE, STORED, Dimension, SpringPart, Tolerance, count, length, words
from springwright.parts.wire import wire
from springwright.quantities import NonNegativeLength, PositiveLength, Ratio, Stress
from springwright.results import Judged

SLICES, POINTS = 400, 240


class ProgressiveCoil(SpringPart):
    """A coil whose mean diameter goes evenly from `largest` to `smallest` (conical), or from `smallest` at both ends to `largest` (barrel)."""

    form: Literal["conical", "barrel"]
    wire: PositiveLength
    largest: PositiveLength
    smallest: PositiveLength
    active_coils: Ratio
    free_length: PositiveLength
    dead_coils: Ratio = 2.0
    spacer: NonNegativeLength = 0.0
    grade: GradeName
    solid_shear: Stress | None = None
    stress_origin: str | None = None

    @model_validator(mode="after")
    def _whole(self) -> ProgressiveCoil:
        if self.smallest > self.largest:
            raise FieldFault(("smallest",), "must be no more than the largest mean diameter")
        if self.smallest < 3 * self.wire:
            raise FieldFault(("smallest",), "the wire is too thick for this coil diameter; measure both again")
        if self.solid_shear is not None and not self.stress_origin:
            raise FieldFault(("stress_origin",), "say where your permissible stress comes from")
        try:
            wire(self.grade).strength(self.wire)
        except UnsolvedError as error:
            raise FieldFault(("grade",), str(error)) from None
        if self.free_length <= (self.active_coils + self.dead_coils) * self.wire:
            raise FieldFault(("free_length",), "is less than the wire that lies in it; measure both again")
        return self

    @property
    def kind(self) -> str:
        """See `SpringPart`."""
        return f"{self.form} coil"

    @property
    def length_matters(self) -> bool:
        """See `SpringPart`."""
        return True

    @property
    def _radii(self) -> Floats:
        """Radius in the middle of each slice of the active coils [m]; a barrel has the same ones, twice over."""
        share = (np.arange(SLICES) + 0.5) / SLICES
        return (self.smallest + (self.largest - self.smallest) * share) / 2

    @property
    def _lift(self) -> float:
        """Height that one turn takes when it lies on its neighbour [m]: less than the wire where they slip into one another."""
        turns = self.active_coils / (2 if self.form == "barrel" else 1)
        step = (self.largest - self.smallest) / 2 / turns
        return float(np.sqrt(max(self.wire**2 - step**2, 0.0)))

    @property
    def solid_length(self) -> float:
        """Length with every turn closed [m]."""
        return self.dead_coils * self.wire + self.active_coils * self._lift

    def curve(self) -> tuple[Floats, Floats]:
        """Pressed from free [m] and force [N], from nothing to all turns closed."""
        grade = wire(self.grade)
        each = self.active_coils / SLICES
        room = (self.free_length - self.solid_length) / self.active_coils * each
        soft = 64 * self._radii**3 * each / (grade.shear_modulus * self.wire**4)
        closes = room / soft
        force = np.unique(
            np.concatenate([np.linspace(0.0, closes.min(), 20), np.geomspace(closes.min(), closes.max(), POINTS)])
        )
        pressed = np.minimum(force[:, None] * soft, room).sum(axis=1)
        rises = np.append(True, np.diff(pressed) > 1e-9)  # even diameters close all at once
        return pressed[rises], force[rises]

    def ideal(self, rate: float, force: float) -> Law:
        """See `SpringPart` [N/m, N]."""
        return LinearLaw(rate, force)

    def law(self, need: SpringNeed) -> Law:
        """See `SpringPart`."""
        at_rest = self.free_length + self.spacer - need.ride_length
        return _curved(self, round(at_rest, 9))

    def stress(self, need: SpringNeed, law: Law, pressed: float) -> float:  # noqa: ARG002 see SpringPart
        """See `SpringPart`: uncorrected, in the largest turn still open [Pa]."""
        force = max(float(law.at(pressed).force), 0.0)
        grade = wire(self.grade)
        room = (self.free_length - self.solid_length) / self.active_coils
        still = self._radii[64 * force * self._radii**3 / (grade.shear_modulus * self.wire**4) < room]
        radius = float(still.max()) if len(still) else self.smallest / 2
        return float(coil.shear_stress(force, 2 * radius, self.wire))

    def told(self, need: SpringNeed, law: Law) -> dict[str, Any]:
        """See `SpringPart`."""
        grade = wire(self.grade)
        limit = self.solid_shear or float(grade.solid_shear(self.wire))
        source = self.stress_origin or grade.solid_source()
        rates = [float(law.at(at).rate) for at in (-need.droop, 0.0, need.bump)]
        mean = float(2 * self._radii.mean())
        dimensions = (
            words("form", self.form), length("wire", self.wire), length("largest mean diameter", self.largest), length("smallest mean diameter", self.smallest),
            count("active coils", self.active_coils), length("free length", self.free_length), length("length with every turn closed", self.solid_length, found=True), length("spacer", self.spacer),
            *(Dimension(f"rate at {where}", value, "N/m", "rate", found=True) for where, value in zip(("full droop", "zero travel", "full bump"), rates, strict=True)),
            Dimension("mass", float(coil.coil_mass(self.wire, mean, self.active_coils + self.dead_coils, grade.density)), "kg", "mass", found=True),
        )  # fmt: skip
        judged = (
            Judged.of("shear stress at full bump", self.stress(need, law, need.bump), "at most", limit, unit="Pa", kind="stress", source=source, id="shear_stress_at_full_bump"),
            Judged.of("left before every turn is closed, at full bump", law.most - need.bump, "at least", 0.0, unit="m", kind="length", source="solid length", id="left_before_closed"),
            Judged.of("preload at full droop", self.free_length + self.spacer - need.droop_length, "at least", 0.0 if need.loaded_at_droop else None, unit="m", kind="length", source="common practice", id="pressed_at_full_droop"),
        )  # fmt: skip
        return {
            "dimensions": dimensions, "judged": judged, "material": f"{self.grade}, {grade.made}",
            "tolerances": (Tolerance("load at ride length", 0.07 * law.force, "N", "force", AGREE),),
            "arrival": ("measure wire, both mean diameters and free length", "press to ride length and to full-bump length on a scale: both loads count on a progressive coil"),
            "remarks": ("even pitch taken; turns that close touch along their length and wear: ask for a coating there", grade.caveat),
            "cautions": (STORED,),
        }  # fmt: skip


def _curved(part: ProgressiveCoil, at_rest: float) -> Law:
    pressed, force = part.curve()
    first = force[1] / pressed[1]
    points = [
        (-1.0 - at_rest, -first),
        *((x - at_rest, f) for x, f in zip(pressed.tolist(), force.tolist(), strict=True)),
    ]
    return MonotoneLaw(tuple(points), most=float(pressed[-1]) - at_rest)
