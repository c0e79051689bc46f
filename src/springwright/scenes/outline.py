"""Where every joint of an axle is, for a drawing: links, springs and dampers, drag link, shaft, roll centre and instant centres."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault
from springwright.linkage.beam_links import Beam
from springwright.linkage.mounts import Lever, OnAxleLinks, Twisted
from springwright.linkage.rocker import Rocker
from springwright.vehicle.axle import Axle
from springwright.vehicle.geometry import FAR

Floats = NDArray[np.float64]


def positions_of(axle: Axle) -> tuple[dict[str, Floats], ...]:
    """Joints for a drawing: in the design position, at full bump and at full droop [m].

    Raises
    ------
    FieldFault
        The axle has no pivot points to draw.

    """
    links = axle.links
    if links is None:
        raise FieldFault((), "has no pivot points to draw; write .csv for its table")
    found = []
    for travel in (0.0, axle.travel.bump + axle.travel.stop_compression, -axle.travel.droop):
        joints = links.joints(travel)
        path = links.path(travel)
        joints["contact"] = path.at(path.contact)[0]
        height = float(path.roll_centre[0]) + float(joints["contact"][2])
        joints["roll_centre"] = np.array([joints["contact"][0], 0.0, height])
        side = path.side_centre[0]
        if np.all(np.isfinite(side)) and np.abs(side).max() < FAR:
            joints["side_centre"] = np.array([side[0], 0.0, side[1]])
        if not isinstance(path, Beam):
            front = path.front_centre[0]
            if np.all(np.isfinite(front)) and np.abs(front).max() < FAR:
                joints["front_centre"] = np.array([0.0, front[0], front[1]])
        for mount in (axle.spring.acts, None if axle.damper is None else axle.damper.acts):
            if mount is not None and not isinstance(mount, Lever | Twisted) and hasattr(mount, "top"):
                word = "spring" if mount is axle.spring.acts else "damper"
                joints |= {f"{word} {end}": at for end, at in spring_ends(mount, travel).items()}
        if axle.drag_link is not None:
            joints |= {
                "drag link foot": path.at(axle.drag_link.knuckle_end)[0],
                "drag link top": np.array(axle.drag_link.gear_end),
            }
        if axle.shaft is not None:
            joints |= {"shaft foot": path.at(axle.shaft.outer)[0], "shaft top": np.array(axle.shaft.inner)}
        found.append(joints)
    return tuple(found)


def _following_push(rocker: Rocker) -> Rocker:
    """The rocker with its push rod's joint in the place of the spring's, to follow that one."""
    return rocker.model_copy(update={"spring": rocker.push})


def spring_ends(mount: Any, travel: float) -> dict[str, Floats]:
    """Foot and top (3,) [m] of the left spring or damper on pivot points at a wheel travel [m], and its rocker's joints where it has one."""
    x = np.array([travel])
    if isinstance(mount, OnAxleLinks):
        return {"foot": mount.links.carried(mount.on, mount.foot, x, x)[0][0], "top": np.array(mount.top)}
    at, moves = mount.links.carried(mount.on, mount.foot, x)
    if mount.rocker is None:
        return {"foot": at[0], "top": np.array(mount.top)}
    push, _ = _following_push(mount.rocker).turned(at, moves, mount.foot)
    spring, _ = mount.rocker.turned(at, moves, mount.foot)
    return {
        "foot": spring[0],
        "top": np.array(mount.top),
        "rod": at[0],
        "rocker": push[0],
        "pivot": np.array(mount.rocker.axis_front),
    }
