"""What every part says of itself: dimensions, its law, limits and stresses, and what to order and look at on arrival."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from springwright.formula import Working
from springwright.parts.law import Law, SpringNeed
from springwright.quantities import Record
from springwright.results import Judged, Result, si

STORED = "Compressed springs store energy that can kill: use a rated compressor, restrain the spring and stand clear of its axis."
AGREE = "common practice, no source: agree it with the maker"


@dataclass(frozen=True)
class Dimension(Result):
    """One figure of a part; `kind` says how it is displayed, `text` stands in place of a number."""

    name: str
    value: float | None
    unit: str
    kind: str
    text: str = ""
    found: bool = False


@dataclass(frozen=True)
class LoadPoint(Result):
    """The spring at one length; the stress is uncorrected and None where the wire is not known."""

    name: str
    length: float = si("m")
    force: float = si("N")
    stress: float | None = si("Pa", None)


@dataclass(frozen=True)
class Tolerance(Result):
    """What to ask for: plus and minus this much."""

    measure: str
    value: float
    unit: str
    kind: str
    source: str


@dataclass(frozen=True)
class CoilShape(Result):
    """A plain coil as it is measured and drawn; None where it is not known. `least_length` is the shortest it may be pressed to."""

    label: str
    existing: bool
    maker: str
    ends: str
    wire: float | None = si("m")
    mean_diameter: float | None = si("m")
    outside_diameter: float | None = si("m")
    active_coils: float | None = si("")
    total_coils: float | None = si("")
    free_length: float = si("m")
    solid_length: float | None = si("m")
    least_length: float | None = si("m")
    spacer: float = si("m")
    mass: float | None = si("kg")


@dataclass(frozen=True)
class PartRecord(Result):
    """One part told whole.

    `pressed` counts from zero wheel travel; for a damper (`law` "speed") it is the speed [m/s]. `marks` are places on the law by
    name. Dimensions that are `found` were worked out, the rest are the builder's.
    """

    axle: str
    kind: str
    quantity: int
    dimensions: tuple[Dimension, ...] = ()
    points: tuple[LoadPoint, ...] = ()
    law: str = "travel"
    pressed: tuple[float, ...] = si("m", ())
    forces: tuple[float, ...] = si("N", ())
    rates: tuple[float, ...] = si("N/m", ())
    judged: tuple[Judged, ...] = ()
    tolerances: tuple[Tolerance, ...] = ()
    material: str = ""
    arrival: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    misfits: tuple[str, ...] = ()
    leaves: tuple[float, ...] = si("m", ())
    leaf_front: float = si("m", 0.0)
    leaf_thickness: float = si("m", 0.0)
    leaf_camber: float = si("m", 0.0)
    marks: tuple[tuple[str, float, float], ...] = ()
    workings: tuple[Working, ...] = ()
    coil: CoilShape | None = None  # of a plain coil
    to_settle: tuple[tuple[str, str], ...] = ()  # with the maker: label, and what is settled
    valving: tuple[tuple[float, float, float], ...] = si(
        "m/s, N, N", ()
    )  # of a damper: its speed, force in bump and in rebound


class SpringPart(Record):
    """A spring of any kind, as the builder writes it or as it was found; what is left out is worked out from the target."""

    @property
    def kind(self) -> str:
        """What it is called."""
        raise NotImplementedError

    @property
    def pulls(self) -> bool:
        """Whether it is held at both ends, so that it pulls where a coil would hang slack."""
        return False

    @property
    def complete(self) -> bool:
        """Whether its dimensions are all given."""
        return True

    def ideal(self, rate: float, force: float) -> Law:
        """The law a spring of this kind would have with a rate [N/m] under a force [N] at zero travel."""
        raise NotImplementedError

    def sized(self, need: SpringNeed) -> SpringPart:  # noqa: ARG002 a whole part has nothing left to find
        """The part with what was left out worked out from what it must do."""
        return self

    def law(self, need: SpringNeed) -> Law:
        """Its law in its place; whatever sets its height is set to carry the need's load, unless given."""
        raise NotImplementedError

    def told(self, need: SpringNeed, law: Law) -> dict[str, Any]:
        """Fields of its record: dimensions, judged, material, arrival, remarks, cautions, workings; any other it tells in its own way."""
        raise NotImplementedError

    def stress(self, need: SpringNeed, law: Law, pressed: float) -> float | None:  # noqa: ARG002 not every kind has one
        """The stress that is held against its limit [Pa] at a place."""
        return None

    def friction(self, force: float) -> float:  # noqa: ARG002 most kinds have none
        """Dry friction inside it under a load [N]."""
        return 0.0

    def judged_in(self, need: SpringNeed, states: Mapping[str, Law]) -> tuple[Judged, ...]:  # noqa: ARG002 most are judged once
        """What must hold in every load state, the one that asks most told; `states` are its laws there, about their rests."""
        return ()

    @property
    def length_matters(self) -> bool:
        """Whether it must be long enough between its seats, so that their distance must be known."""
        return False


def over_travel(need: SpringNeed, law: Law, places: Mapping[str, float]) -> dict[str, Any]:
    """Fields of a record: what a coil pushes with over the whole travel, none where it is slack, and at named places of it [m]."""
    x = np.linspace(-need.droop, need.bump, 41)
    force, rate = law.at(x)
    return {
        "pressed": tuple(x.tolist()), "forces": tuple(np.maximum(force, 0.0).tolist()), "rates": tuple(np.where(force > 0, rate, 0.0).tolist()),
        "marks": tuple((name, at, max(float(law.at(at).force), 0.0)) for name, at in places.items()),
    }  # fmt: skip


def record_of(part: SpringPart, axle: str, quantity: int, need: SpringNeed, law: Law) -> PartRecord:
    """A spring part told: its own words, its loads at the lengths it will see and its law over the travel."""
    places = {
        "full droop": -need.droop,
        "ride": 0.0,
        "stop touches": need.ride_length - need.stop_length,
        "full bump": need.bump,
    }
    quick, floor = law.about(0.0), -np.inf if law.pulls else 0.0
    points = tuple(
        LoadPoint(name, need.ride_length - at, max(float(quick.at(at).force), floor), part.stress(need, law, at))
        for name, at in places.items()
    )  # fmt: skip
    x = np.linspace(max(-need.droop, law.least), min(need.bump, law.most), 41)
    pull = quick.at(x)
    whole = {
        "points": points, "pressed": tuple(x.tolist()), "forces": tuple(np.maximum(pull.force, floor).tolist()), "rates": tuple(pull.rate.tolist()),
        "marks": tuple((one.name, places[one.name], one.force) for one in points), **part.told(need, law),
    }  # fmt: skip
    return PartRecord(axle=axle, kind=part.kind, quantity=quantity, **whole)


def length(name: str, value: float | None, *, found: bool = False) -> Dimension:
    """A dimension that is a length [m]."""
    return Dimension(name, value, "m", "length", found=found)


def count(name: str, value: float | None, *, found: bool = False) -> Dimension:
    """A dimension that is a bare number [-]."""
    return Dimension(name, value, "", "ratio", found=found)


def words(name: str, text: str) -> Dimension:
    """A dimension said in words."""
    return Dimension(name, None, "", "ratio", text)
