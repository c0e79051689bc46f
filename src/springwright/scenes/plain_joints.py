"""Joints of an axle that has no pivot points, for a drawing: its wheel, its spring and lever by the mount's own dimensions."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.scenes.running_gear import AxleAt, links, springs
from springwright.vehicle.axle import Axle
from springwright.vehicle.centres import roll_centre

Floats = NDArray[np.float64]
Pair = tuple[str, str]


def plain_joints(axle: Axle, load: float) -> tuple[tuple[Pair, ...], tuple[dict[str, Floats], ...]]:
    """Pairs of joints that a line joins, and the joints in the design position, at full bump and at full droop [m].

    Parameters
    ----------
    axle : Axle
    load : float
        Design load on the axle [N], which says how far its tyres are pressed.

    """
    wheel = axle.tyre.unloaded_radius - load / axle.wheels / axle.tyre.rate
    inward = 1 if axle.behind_front_axle > 0 else -1
    found = [
        _at(axle, wheel, inward, travel)
        for travel in (0.0, axle.travel.bump + axle.travel.stop_compression, -axle.travel.droop)
    ]
    return found[0][0], tuple(joints for _, joints in found)


def _at(axle: Axle, wheel: float, inward: int, travel: float) -> tuple[tuple[Pair, ...], dict[str, Floats]]:
    out = (axle.track or 0.0) / 2
    at = AxleAt(axle, (travel, travel), (travel, travel), wheel, inward)
    joints: dict[str, Any] = {
        "wheel_centre": (0.0, out, wheel + travel),
        "contact": (0.0, out, travel),
        "roll_centre": (0.0, 0.0, roll_centre(axle)[0]),
    }
    pairs: list[Pair] = []
    if axle.kind == "beam":
        joints["wheel_centre right"] = (0.0, -out, wheel + travel)
        pairs.append(("wheel_centre", "wheel_centre right"))
    for i, line in enumerate(links(at)[0]):
        joints[f"lever {i} pivot"], joints[f"lever {i} end"] = line[0], line[-1]
        pairs.append((f"lever {i} pivot", f"lever {i} end"))
    for side, spring in zip(("", " right"), springs(at), strict=False):
        joints[f"spring foot{side}"], joints[f"spring top{side}"] = spring.line[0], spring.line[-1]
    return tuple(pairs), {name: np.array(place, dtype=float) for name, place in joints.items()}
