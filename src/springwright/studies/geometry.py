"""How an axle's wheel is held: spring and damper along the travel, and what its links do with the wheel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.errors import Fault, FieldFault, InputError, within
from springwright.linkage.mounts import Measured, OnSwingArm, OnWishbones
from springwright.linkage.swing import arm_reach
from springwright.linkage.wishbones import Wishbones, solved
from springwright.results import Result, si
from springwright.vehicle.assemble import check_travel, lengths
from springwright.vehicle.file import DesignFile

POSITIONS = 13  # of the travel that are told


@dataclass(frozen=True)
class Position(Result):
    """One wheel travel: spring and damper, and for a wheel held by pivot points how it stands, as change from the design position.

    Camber is positive with the top outward, toe with the front inward; the roll centre's height is above the ground under
    the wheel, and `half_track` and `wheelbase` say how far the contact point goes out and ahead.
    """

    travel: float = si("m")
    spring_length: float = si("m")
    motion_ratio: float = si("")
    ratio_change: float = si("1/m")
    damper_length: float | None = si("m", None)
    damper_ratio: float | None = si("", None)
    camber: float | None = si("rad", None)
    toe: float | None = si("rad", None)
    caster: float | None = si("rad", None)
    roll_centre: float | None = si("m", None)
    half_track: float | None = si("m", None)
    wheelbase: float | None = si("m", None)


@dataclass(frozen=True)
class Geometry(Result):
    """An axle along its travel, droop to full bump."""

    vehicle: str
    axle: str
    positions: tuple[Position, ...] = ()
    brake_slope: float | None = si("", None)
    drive_slope: float | None = si("", None)
    notes: tuple[str, ...] = ()


def geometry(file: DesignFile, axle: str) -> Geometry:
    """Work out an axle's geometry over its whole travel.

    Raises
    ------
    InputError
        No such axle, or its mounts cannot follow the wheel.

    """
    names = [one.name for one in file.design.axles]
    if axle not in names:
        raise InputError(file.path.name, [Fault("axles", f'"{axle}"', f"no such axle; there are {', '.join(names)}")])
    index = names.index(axle)
    one = file.design.axles[index]
    try:
        with within("axles", index):
            check_travel(one)
    except FieldFault as fault:
        raise file.fault(fault) from None
    x = np.linspace(-one.travel.droop, one.travel.bump + one.travel.stop_compression, POSITIONS - 1)
    x = np.unique(np.append(x, 0.0))
    spring = lengths(one, x)
    columns = {"spring_length": spring.length, "motion_ratio": spring.ratio, "ratio_change": spring.slope}
    if one.damper is not None:
        damper = one.damper.acts.lengths(x, one.damper.length or 0.0)
        columns["damper_ratio"] = damper.ratio
        if one.damper.length is not None or isinstance(one.damper.acts, Measured | OnWishbones | OnSwingArm):
            columns["damper_length"] = damper.length
    path, rest, notes = one.held(x), one.held(0.0), []
    if path is not None and rest is not None:
        contact, still = path.at(path.contact), rest.at(rest.contact)
        columns |= {
            "camber": path.camber,
            "toe": path.toe,
            "roll_centre": path.roll_centre,
            "half_track": contact[:, 1] - still[0, 1],
            "wheelbase": contact[:, 0] - still[0, 0],
        }
        if one.wishbones is not None:
            columns["caster"] = one.wishbones.path(x).caster
        reach = solved(one.wishbones) if one.wishbones else arm_reach(one.swing_arm) if one.swing_arm else None
        if reach is not None and reach.locks:
            notes.append(f"the links themselves: {reach.locks}")
    return Geometry(
        file.design.vehicle.name,
        axle,
        tuple(
            Position(float(at), **{name: float(values[i]) for name, values in columns.items()})
            for i, at in enumerate(x)
        ),
        None if rest is None else float(rest.brake_slope[0]),
        None if rest is None else float(rest.drive_slope[0]),
        tuple(notes),
    )


def outline(links: Wishbones, travel: float) -> dict[str, NDArray[np.float64]]:
    """Joints at a travel [m], by name: those on the body where they are, those on the upright where they went; contact and roll centre."""
    path = links.path(travel)
    moved = ("lower_ball", "upper_ball", "toe_outer", "wheel_centre")
    joints = {name: np.array(getattr(links, name)) for name in Wishbones.model_fields if name not in moved}
    joints |= {name: path.at(getattr(links, name))[0] for name in moved}
    joints["contact"] = path.at(path.contact)[0]
    joints["roll_centre"] = np.array([joints["contact"][0], 0.0, joints["contact"][2] + path.roll_centre[0]])
    return joints
