"""Which field of the design sets the limit of a figure, so that the limit can be changed where it is read."""

from __future__ import annotations

from springwright.questions.measures import measure
from springwright.vehicle.design import Design
from springwright.vehicle.faults import Location


def limit_place(design: Design, ident: str, axle: str = "") -> Location | None:
    """Where the limit of a measure, of an axle where it is one's, is written; None where it follows from something else."""
    way = measure(ident).limit
    if way[:1] != ("axle",):
        return way or None
    index = next((i for i, one in enumerate(design.axles) if one.name == axle), None)
    return None if index is None else ("axles", index, *way[1:])
