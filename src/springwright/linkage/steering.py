"""What steers a wheel besides its driver: a drag link on a beam axle that moves, and the wheel at full lock on a rack."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import model_validator

from springwright.errors import FieldFault
from springwright.linkage.constraint_solver import Carrier, turned
from springwright.linkage.held import Held
from springwright.linkage.rocker import swung
from springwright.linkage.wishbones import Point, WheelLinkage, off_axis
from springwright.quantities import Record

Floats = NDArray[np.float64]


class DragLink(Record):
    """The link from the steering gear to a beam axle's steering knuckle, and the knuckle's kingpin; y is positive on the left."""

    gear_end: Point
    knuckle_end: Point
    kingpin_lower: Point
    kingpin_upper: Point

    @model_validator(mode="after")
    def _steers(self) -> DragLink:
        if np.linalg.norm(np.array(self.kingpin_upper) - np.array(self.kingpin_lower)) < 0.02:
            raise FieldFault(("kingpin_upper",), "is less than 20 mm from kingpin_lower; the kingpin needs an axis")
        if off_axis(self.kingpin_lower, self.kingpin_upper, self.knuckle_end) < 0.02:
            raise FieldFault(("knuckle_end",), "is less than 20 mm from the kingpin's axis, so the link cannot steer")
        if np.linalg.norm(np.array(self.gear_end) - np.array(self.knuckle_end)) < 0.02:
            raise FieldFault(("gear_end",), "coincides with knuckle_end; a link needs a length")
        return self

    def steer(self, path: Held) -> Floats:
        """Turn of the knuckle about its kingpin [rad] as the axle moves with the wheel held by its driver, to the left positive."""
        start = np.array(path.start)
        # seen from the axle it is the gear's end that moves
        end = np.einsum("nji,nj->ni", path.turn, np.array(self.gear_end) - path.centre) + start
        low, high = np.array(self.kingpin_lower), np.array(self.kingpin_upper)
        axis = (high - low) / np.linalg.norm(high - low)
        return swung(low, axis, np.array(self.knuckle_end), end, np.array(self.gear_end))

    def locked(self, path: Held, turn: float) -> tuple[Floats, Floats, Floats]:
        """(n, 3) wheel centre and contact point and (n,) camber [rad] of the left wheel turned about its kingpin [rad] as the axle moves."""
        low, high = np.array(self.kingpin_lower), np.array(self.kingpin_upper)
        axis = (high - low) / np.linalg.norm(high - low)
        about = turned(turn * axis[None])[0]
        swung_to = [low + about @ (np.array(point) - low) for point in (path.start, path.contact)]
        spindle = np.einsum("nij,j->ni", path.turn, about @ np.array([0.0, 1.0, 0.0]))
        return path.at(swung_to[0]), path.at(swung_to[1]), np.asarray(-np.arcsin(spindle[:, 2]))


@dataclass(frozen=True)
class Lock:
    """The wheel along its travel with the rack at the end of its stroke [m, to the left positive]."""

    rack: float
    path: Carrier


def at_lock(wheel: WheelLinkage, lock: float, travel: Any) -> tuple[Lock, Lock] | None:
    """The left wheel at travels [m] turned by `lock` [rad] to the left and to the right in the design position; None where it cannot.

    The toe link's inner end is moved across the vehicle, as a rack does.
    """
    if wheel.steered is None:
        return None
    from scipy.optimize import brentq  # only here: it costs start-up time

    links, joint = wheel.steered
    x = np.atleast_1d(np.asarray(travel, dtype=float))
    found = []

    @cache
    def turn(rack: float) -> float:
        # toe is the front inward: on the left wheel to the right
        return -float(links.moved(joint, (0.0, rack, 0.0)).follow(0.0).toe[0])

    for wanted in (lock, -lock):
        bracket = _nearest(turn, wanted)
        if bracket is None:
            return None
        rack = float(brentq(lambda rack, wanted=wanted: turn(rack) - wanted, *bracket, xtol=1e-10))
        found.append(Lock(rack, links.moved(joint, (0.0, rack, 0.0)).follow(x)))
    return found[0], found[1]


STROKE, STEP = 0.2, 0.005  # m: how far a rack is looked at to either side, and in what steps
JUMP = 0.3  # rad: a turn that changes by more in a step has passed where the links close


def _nearest(turn: Callable[[float], float], wanted: float) -> tuple[float, float] | None:
    """Two places of the rack, nearest to the middle, between which the wheel passes the turn wanted [rad]."""
    for k in range(round(STROKE / STEP)):
        for side in (1, -1):
            near, far = side * k * STEP, side * (k + 1) * STEP
            off, other = turn(near) - wanted, turn(far) - wanted
            if off * other < 0 and max(abs(off), abs(other)) < JUMP:
                return min(near, far), max(near, far)
    return None
