"""An axle of a design file along its travel, on the spring its sizing fits."""

from __future__ import annotations

from typing import Literal

from springwright.errors import Fault, FieldFault, InputError
from springwright.evaluation import evaluated
from springwright.sizing.sheet import size
from springwright.vehicle.file import DesignFile
from springwright.vehicle.geometry import Geometry, InPlace, geometry_of


@evaluated
def geometry(file: DesignFile, axle: str, side: Literal["left", "right"] = "left") -> Geometry:
    """Work out an axle's geometry over its whole travel, told of one wheel; the sides are alike unless the pivot points differ.

    Raises
    ------
    InputError
        No such axle, or its mounts cannot follow the wheel.

    """
    index = axle_index(file, axle)
    spring = None
    if file.design.axles[index].spring.leaf is not None:  # only a leaf spring holds the axle too
        sized = size(file).springs[index]
        spring = InPlace(sized.law, sized.need, sized.part)
    try:
        return geometry_of(file.design, index, spring, side)
    except FieldFault as fault:
        raise file.fault(fault) from None


def axle_index(file: DesignFile, axle: str) -> int:
    """Which axle has a name; an InputError lists those there are."""
    names = [one.name for one in file.design.axles]
    if axle not in names:
        raise InputError(file.path.name, [Fault("axles", f'"{axle}"', f"no such axle; there are {', '.join(names)}")])
    return names.index(axle)
