"""A plain coil in its place, whether the builder gave it, a catalogue has it or it is to be made: its law, and what to order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import ConfigDict

from springwright.parts.catalogue import CatalogueSpring
from springwright.parts.coil import shear_stress
from springwright.parts.coil_check import CoilCheck
from springwright.parts.law import Coiled, Law, LinearLaw, SpringNeed
from springwright.parts.record import (
    AGREE,
    STORED,
    CoilShape,
    Dimension,
    LoadPoint,
    SpringPart,
    Tolerance,
    count,
    length,
    over_travel,
)


def law_in(room: float, free_length: float, rate: float, spacer: float, solid: float | None) -> Law:
    """The law of a coil [N/m] between seats so far apart at zero travel: straight, and coil bound where its solid length is known [m]."""
    force = rate * (free_length + spacer - room)
    return LinearLaw(rate, force) if solid is None else Coiled(rate, force, room - spacer - solid)


@dataclass(frozen=True)
class CoilOrder:
    """What its axle adds to the order: how many, the shares its rate, load and free length may be off, and what the right side has of its own."""

    quantity: int
    rate_share: float
    load_share: float
    free_share: float
    right: tuple[str, ...] = ()


class PlainCoil(SpringPart):
    """One that was found: `made` where its wire and steel are known, `row` where it is from a catalogue; lengths in m, rate in N/m."""

    model_config = ConfigDict(arbitrary_types_allowed=True)

    label: str
    existing: bool
    rate: float
    free_length: float
    spacer: float
    solid_length: float | None
    made: CoilCheck | None
    row: CatalogueSpring | None
    order: CoilOrder

    @property
    def kind(self) -> str:
        """See `SpringPart`."""
        return f"coil spring: {self.label}"

    def law(self, need: SpringNeed) -> Law:
        """See `SpringPart`."""
        return law_in(need.ride_length, self.free_length, self.rate, self.spacer, self.solid_length)

    @property
    def shape(self) -> CoilShape:
        """As it is measured and drawn."""
        made, row = self.made, self.row
        wire = made.wire if made else row.wire if row else None
        outside = made.outside_diameter if made else row.outside_diameter if row else None
        return CoilShape(
            label=self.label,
            existing=self.existing,
            maker=row.maker if row else "",
            ends=made.ends if made else "",
            wire=wire,
            mean_diameter=None if outside is None or wire is None else outside - wire,
            outside_diameter=outside,
            active_coils=made.active_coils if made else row.active_coils if row else None,
            total_coils=made.total_coils if made else None,
            free_length=self.free_length,
            solid_length=made.solid_length if made else row.solid_length if row else self.solid_length,
            least_length=made.solid_length + made.least_gaps if made else None,
            spacer=self.spacer,
            mass=made.mass if made else row.mass if row else None,
        )

    def told(self, need: SpringNeed, law: Law) -> dict[str, Any]:
        """See `SpringPart`; loads are at its own lengths, without the spacer."""
        made, shape = self.made, self.shape
        points = self._points(need, shape)
        places = {"full droop": -need.droop, "ride": 0.0, "full bump": need.bump}
        return {
            "coil": shape, "points": points, "dimensions": _dimensions(self.rate, shape), "judged": made.judged if made else (),
            **over_travel(need, law, places),
            "material": f"{made.grade}, {made.made}, tensile strength at least {made.strength / 1e6:.0f} MPa" if made else "",
            "tolerances": self._tolerances(points[2].force), "arrival": self._arrival(), "remarks": (*self.order.right, *self._remarks()),
            "cautions": (STORED,),
        }  # fmt: skip

    def _points(self, need: SpringNeed, shape: CoilShape) -> tuple[LoadPoint, ...]:
        lengths = {
            "free": self.free_length,
            "full droop": min(need.droop_length - self.spacer, self.free_length),
            "ride": need.ride_length - self.spacer,
            "full bump": need.bump_length - self.spacer,
        }
        if shape.solid_length is not None:
            lengths["solid"] = shape.solid_length
        points = []
        for name, at in lengths.items():
            force = max(self.rate * (self.free_length - at), 0.0)
            known = shape.wire is not None and shape.mean_diameter is not None
            points.append(
                LoadPoint(
                    name, at, force, float(shear_stress(force, shape.mean_diameter, shape.wire)) if known else None
                )
            )
        return tuple(points)

    def _tolerances(self, ride_force: float) -> tuple[Tolerance, ...]:
        made, order = self.made, self.order
        asked = [
            Tolerance("spring rate", order.rate_share * self.rate, "N/m", "rate", AGREE),
            Tolerance("load at ride length", order.load_share * ride_force, "N", "force", AGREE),
            Tolerance(
                "free length (for information; load governs)", order.free_share * self.free_length, "m", "length", AGREE
            ),
        ]
        if made is not None and made.mean_diameter_tolerance is not None:
            source = "EN 15800 grade 2, from a supplier's table" + (
                "" if made.made == "cold coiled" else "; hot coiled: agree it with the maker"
            )
            asked.append(Tolerance("mean coil diameter", made.mean_diameter_tolerance, "m", "length", source))
        return tuple(asked)

    def _arrival(self) -> tuple[str, ...]:
        pairs = f"weigh or press all {self.order.quantity} at ride length: left and right of an axle alike within 2 %"
        steps = [
            "measure free length, wire and outside diameter of each spring",
            f"press each to its ride length on a scale and write the load down; {pairs}",
            "look for nicks, rust and bare patches in the coating: each is where a crack begins",
            "press to full-bump length once in a guarded press: free length must come back unchanged",
        ]
        if self.made is not None:
            steps.append(
                "ask for the material certificate and whether the coils were pressed solid (set) and shot peened"
            )
        return tuple(steps)

    def _remarks(self) -> tuple[str, ...]:
        remarks = []
        if self.spacer:
            remarks.append("lengths are the spring's own, without the spacer; the spacer goes between spring and seat")
        if self.made is not None:
            remarks += [f"strength: {self.made.strength_source}", self.made.caveat]
        return tuple(remarks)


def _dimensions(rate: float, shape: CoilShape) -> tuple[Dimension, ...]:
    rows = [
        length("wire or bar", shape.wire), length("mean diameter", shape.mean_diameter), length("outside diameter", shape.outside_diameter),
        count("active coils", shape.active_coils), count("total coils", shape.total_coils), length("free length", shape.free_length),
        length("solid length", shape.solid_length), length("shortest length allowed", shape.least_length), length("spacer", shape.spacer),
    ]  # fmt: skip
    return (Dimension("rate", rate, "N/m", "rate"), *(row for row in rows if row.value is not None))
