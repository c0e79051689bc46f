"""A wheel held by five links in space: double wishbones with a toe link, solved for every travel at once.

The upright is a rigid body with three outer joints. Each arm counts as two links from its body joints to one ball, the toe link is
the fifth; the sixth condition is the wheel centre's height. Newton on the six equations, all travels side by side, from the design
position in four stages. Left wheel: x ahead, y out from the centreline, z up; bump positive. Camber is positive with the top
outward, toe with the front inward.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Any, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import model_validator

from springwright.errors import FieldFault
from springwright.linkage.held import Held
from springwright.units import Length, Record, show

Floats = NDArray[np.float64]
Point = Annotated[tuple[Length, Length, Length], "ahead of the axle, out from the centreline, above ground"]
CLOSE = 1e-10  # m, what a link may be off its length
REACH, COUNT = 0.30, 241  # m of travel either way, and positions in it
LINKS = ("lower arm, front", "lower arm, rear", "upper arm, front", "upper arm, rear", "toe link")


class Wishbones(Record):
    """Pivot points of a double wishbone with its toe link, left side: ahead of the axle, out from the centreline, above ground."""

    wheel_centre: Point
    lower_front: Point
    lower_rear: Point
    lower_ball: Point
    upper_front: Point
    upper_rear: Point
    upper_ball: Point
    toe_inner: Point
    toe_outer: Point

    @model_validator(mode="after")
    def _closes(self) -> Wishbones:
        for arm in ("lower", "upper"):
            front, rear, ball = (np.array(getattr(self, f"{arm}_{end}")) for end in ("front", "rear", "ball"))
            if np.linalg.norm(np.cross(rear - front, ball - front)) < 1e-6:
                raise FieldFault(
                    (f"{arm}_ball",), f"lies in line with the {arm} arm's two body joints, so the arm cannot turn"
                )
        lower, upper, toe = (np.array(getattr(self, name)) for name in ("lower_ball", "upper_ball", "toe_outer"))
        if np.linalg.norm(np.cross(upper - lower, toe - lower)) < 1e-6:
            raise FieldFault(
                ("toe_outer",), "lies in line with the two ball joints, so nothing holds the wheel's steering"
            )
        if np.linalg.norm(np.array(self.toe_inner) - toe) < 1e-3:
            raise FieldFault(("toe_inner",), "coincides with toe_outer; a link needs a length")
        path = solved(self)
        if path.low > -0.02 or path.high < 0.02:
            raise FieldFault(
                (),
                f"the links do not follow the wheel even 20 mm from the design position: {path.locks}; check the points",
            )
        return self

    def path(self, travel: Any) -> Path:
        """Positions at travels [m]; see `Path`."""
        return _path(self, np.atleast_1d(np.asarray(travel, dtype=float)))


@dataclass(frozen=True)
class Path(Held):
    """The upright along its travel; `off` (n, 5) is how far each link is off its length [m]."""

    links: Wishbones
    off: Floats

    def _axis(self) -> Floats:
        return self.at(self.links.upper_ball) - self.at(self.links.lower_ball)

    @property
    def caster(self) -> Floats:
        """Caster [rad]: lean of the steering axis to the rear."""
        axis = self._axis()
        return np.asarray(np.arctan2(-axis[:, 0], axis[:, 2]))

    @property
    def kingpin(self) -> Floats:
        """Kingpin inclination [rad]: lean of the steering axis inward."""
        axis = self._axis()
        return np.asarray(np.arctan2(-axis[:, 1], axis[:, 2]))

    def arm(self, which: Literal["lower", "upper"], point: Any) -> tuple[Floats, Floats]:
        """(n, 3): where a point of an arm has gone and how it moves per wheel travel."""
        front, rear, ball = (np.array(getattr(self.links, f"{which}_{end}")) for end in ("front", "rear", "ball"))
        axis = (rear - front) / np.linalg.norm(rear - front)
        begin = ball - front - axis * ((ball - front) @ axis)
        now = self.at(ball) - front
        now = now - (now @ axis)[:, None] * axis
        angle = np.arctan2(np.cross(begin, now) @ axis, now @ begin)
        rate = np.sum(np.cross(axis, now) * self.moves(ball), axis=1) / np.sum(now**2, axis=1)
        at = front + turned(angle[:, None] * axis) @ (np.array(point) - front)
        return at, np.asarray(rate[:, None] * np.cross(axis, at - front))


@dataclass(frozen=True)
class Solved:
    """How far the links can go [m], and in words what stops them."""

    low: float
    high: float
    locks: str


@lru_cache(maxsize=64)
def solved(links: Wishbones) -> Solved:
    """The travel the links can follow, up to 300 mm either way."""
    travel = np.linspace(-REACH, REACH, COUNT)
    path = _path(links, travel)
    fine = np.isfinite(path.centre[:, 2])
    middle = COUNT // 2
    high = middle + int(np.argmin(np.append(fine[middle:], False))) - 1
    low = middle - int(np.argmin(np.append(fine[middle::-1], False))) + 1
    words = [
        f"{LINKS[int(np.argmax(path.off[i]))]} locks at {show(float(travel[i]), 'length')}"
        for i in (low - 1, high + 1)
        if 0 <= i < COUNT
    ]
    return Solved(
        float(travel[min(max(low, 0), COUNT - 1)]), float(travel[min(max(high, 0), COUNT - 1)]), "; ".join(words)
    )


def turned(vectors: Floats) -> Floats:
    """(n, 3, 3): rotations by vectors (n, 3) [rad], exact."""
    angle = np.linalg.norm(vectors, axis=1)[:, None, None]
    cross = _cross(vectors)
    small = angle < 1e-9
    safe = np.where(small, 1.0, angle)
    first = np.where(small, 1.0, np.sin(safe) / safe)
    second = np.where(small, 0.5, (1 - np.cos(safe)) / safe**2)
    return np.asarray(np.eye(3) + first * cross + second * (cross @ cross))


def _cross(v: Floats) -> Floats:
    out = np.zeros((len(v), 3, 3))
    out[:, 0, 1], out[:, 0, 2], out[:, 1, 2] = -v[:, 2], v[:, 1], -v[:, 0]
    out[:, 1, 0], out[:, 2, 0], out[:, 2, 1] = v[:, 2], -v[:, 1], v[:, 0]
    return out


def _path(links: Wishbones, travel: Floats) -> Path:
    centre0 = np.array(links.wheel_centre)
    inner = np.array([links.lower_front, links.lower_rear, links.upper_front, links.upper_rear, links.toe_inner])
    outer = np.array([links.lower_ball, links.lower_ball, links.upper_ball, links.upper_ball, links.toe_outer])
    length = np.linalg.norm(outer - inner, axis=1)
    arms = outer - centre0
    n = len(travel)
    centre, turn = np.tile(centre0, (n, 1)), np.tile(np.eye(3), (n, 1, 1))
    off = np.zeros((n, 5))
    system = np.zeros((n, 6, 6))
    system[:, 5, 2] = 1.0
    least = 1e-15 * np.eye(6)  # so that one position that has locked does not stop the rest from being solved

    def linear() -> tuple[Floats, Floats]:
        swung = np.einsum("nij,kj->nki", turn, arms)
        along = centre[:, None] + swung - inner
        long = np.linalg.norm(along, axis=2)
        unit = along / long[..., None]
        system[:, :5, :3] = unit
        system[:, :5, 3:] = np.cross(swung, unit)
        return long - length, swung

    with np.errstate(all="ignore"):
        for stage in np.linspace(0.25, 1.0, 4):
            for _ in range(12 if stage == 1.0 else 4):
                off, _ = linear()
                left = np.concatenate([-off, (centre0[2] + stage * travel - centre[:, 2])[:, None]], axis=1)
                if stage == 1.0 and np.abs(left).max() < CLOSE:
                    break
                # a position that has locked is pinned where it is: its equations no longer have a solution
                step = np.clip(np.linalg.solve(system + least, left[..., None])[..., 0], -0.2, 0.2)
                step = np.where(np.isfinite(step), step, 0.0)
                centre = centre + step[:, :3]
                turn = turned(step[:, 3:]) @ turn
        off, _ = linear()
        moves = np.linalg.solve(system + least, np.tile(np.eye(6)[5], (n, 1))[..., None])[..., 0]
    reached = (np.abs(off).max(axis=1) < 1e-8) & (np.abs(centre[:, 2] - centre0[2] - travel) < 1e-8)
    lost = ~reached
    centre[lost], turn[lost], moves[lost] = np.nan, np.nan, np.nan
    return Path(links.wheel_centre, travel, centre, turn, moves[:, :3], moves[:, 3:], links, np.abs(off))
