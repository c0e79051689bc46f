"""What was built against what was drawn: corrections that stand beside the drawing in an as-built file, and leave it as it is.

Sizing goes by the drawing: targets, rates and windows are its own, and its springs are those that carry the drawn load. What stands in
every load state, and all that is proved of it, is of what was built.
"""

from __future__ import annotations

from typing import Annotated

from springwright.parts.law import Law, built_law
from springwright.quantities import Kind, Length, PositiveForce, PositiveLength, PositiveMass, Record

Times = Annotated[float, Kind("ratio", least=0.2, most=5.0)]
Off = Annotated[float, Kind("ratio", above=0.0, most=1.0)]


class AxleWithin(Record):
    """How well an axle as built is known: each half of a 95 % interval, in the unit of what it is of; what is not given is as its tolerance says."""

    spring_rate: Off | None = None
    spring_longer: PositiveLength | None = None
    motion_ratio: Off | None = None
    damping: Off | None = None
    tyre_rate: Off | None = None
    friction: PositiveForce | None = None


class BodyWithin(Record):
    """How well the vehicle at kerb as built is known: each half of a 95 % interval."""

    mass: PositiveMass | None = None
    behind_front_axle: PositiveLength | None = None
    left_of_centre: PositiveLength | None = None
    above_ground: PositiveLength | None = None
    roll_inertia: Off | None = None
    pitch_inertia: Off | None = None


class BuiltAxle(Record):
    """An axle as it was built: how many times as drawn, and by how much its springs are longer."""

    spring_rate: Times = 1.0
    spring_longer: Length = 0.0
    motion_ratio: Times = 1.0
    damping: Times = 1.0
    tyre_rate: Times = 1.0
    within: AxleWithin | None = None

    def law(self, drawn: Law) -> Law:
        """The law of a drawn spring as it was built."""
        return built_law(drawn, self.spring_rate, self.spring_longer)


class BuiltBody(Record):
    """The vehicle at kerb as it was built, in place of what `[kerb]` says of it, and its inertias as so many times those drawn."""

    mass: PositiveMass | None = None
    behind_front_axle: Length | None = None
    left_of_centre: Length | None = None
    above_ground: PositiveLength | None = None
    roll_inertia: Times = 1.0
    pitch_inertia: Times = 1.0
    within: BodyWithin | None = None


AS_DRAWN = BuiltAxle()
