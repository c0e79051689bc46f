"""What joins wheels beyond their own axle: walking beams and cross-links."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from springwright.errors import FieldFault
from springwright.quantities import Kind, Length, Name, PositiveRate, Record
from springwright.vehicle.axle import Axle

EndShare = Annotated[float, Kind("ratio", least=-4.0, most=4.0)]


class WalkingBeam(Record):
    """A beam each side that joins two neighbouring axles and turns on a pivot that the springs carry.

    The springs of both axles act together at the pivot: give each axle its half of them. Travel at the pivot is that of
    the two wheels, shared by where it lies; so is the load.
    """

    name: Name
    axles: tuple[str, str]
    pivot: Length  # behind the front axle


class CrossLink(Record):
    """Springing that joins wheels anywhere, such as cross-linked rams: rate times the sum of each wheel's travel by its share."""

    name: Name
    shares: Annotated[dict[str, EndShare], Field(min_length=2)]
    rate: PositiveRate

    @model_validator(mode="after")
    def _joins(self) -> CrossLink:
        if sum(share != 0 for share in self.shares.values()) < 2:
            raise FieldFault(("shares",), "give at least two wheels a share of travel that is not 0")
        return self


def wheel_names(axles: tuple[Axle, ...]) -> list[str]:
    """Name of every wheel, in the Rig's order: "front left", or the axle's own name where it has one wheel."""
    return [
        f"{axle.name} {side}".strip() for axle in axles for side in (("left", "right") if axle.wheels == 2 else ("",))
    ]


def beam_shares(beam: WalkingBeam, axles: tuple[Axle, ...]) -> tuple[int, int, float, float]:
    """The two axles a walking beam joins and the share each has of travel and load at its pivot."""
    names = [axle.name for axle in axles]
    a, b = (names.index(name) for name in beam.axles)
    front, rear = axles[a].behind_front_axle, axles[b].behind_front_axle
    share = (beam.pivot - front) / (rear - front)
    return a, b, 1 - share, share


def check_joined(axles: tuple[Axle, ...], beams: tuple[WalkingBeam, ...], links: tuple[CrossLink, ...]) -> None:
    """Refuse beams and links that name what is not there, or cannot be."""
    names = [axle.name for axle in axles]
    taken: set[str] = set()
    for i, beam in enumerate(beams):
        for j, name in enumerate(beam.axles):
            if name not in names:
                raise FieldFault(("walking_beams", i, "axles", j), f"no such axle; there are {', '.join(names)}")
            if name in taken:
                raise FieldFault(("walking_beams", i, "axles", j), f'"{name}" is on another walking beam already')
        a, b = (names.index(name) for name in beam.axles)
        if b != a + 1:
            raise FieldFault(("walking_beams", i, "axles"), "name two neighbouring axles, the front one first")
        if axles[a].wheels != axles[b].wheels:
            raise FieldFault(("walking_beams", i, "axles"), "both axles need as many wheels")
        if not axles[a].behind_front_axle < beam.pivot < axles[b].behind_front_axle:
            raise FieldFault(("walking_beams", i, "pivot"), "must lie between the two axles")
        taken.update(beam.axles)
    wheels = wheel_names(axles)
    for i, link in enumerate(links):
        for name in link.shares:
            if name not in wheels:
                raise FieldFault(("cross_links", i, "shares", name), f"no such wheel; there are {', '.join(wheels)}")
