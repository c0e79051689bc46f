"""A wheel's carrier held by links in space, solved for every travel at once.

The carrier is a rigid body on links of fixed length; a strut holds two more of its freedoms by sliding along its own axis. With
the wheel centre's height that makes six conditions. Newton on them, all travels side by side, from the design position; where the
links cannot follow, it is found which one locks. Left wheel: x ahead, y out from the centreline, z up; bump positive.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.linkage.held import Held
from springwright.units import remembered_as_shown, show

Floats = NDArray[np.float64]
CLOSE = 1e-10  # m, what a link may be off its length
REACH, COUNT = 0.30, 241  # m of travel either way, and positions in it
STAGES = (0.2, 0.4, 0.6, 0.75, 0.85, 0.92, 0.97, 1.0)
NEAR = 0.5  # rad, the turn of a carrier up to which a single leap is trusted


@dataclass(frozen=True)
class Carrier(Held):
    """The carrier along its travel; `off` (n, conditions) is how far each link is off its length [m]."""

    off: Floats


@dataclass(frozen=True)
class LinkReach:
    """How far links can go [m], and in words what stops them."""

    low: float
    high: float
    locks: str


@dataclass(frozen=True)
class Links:
    """Conditions on a carrier that starts at `start`, hashable so that what is solved is kept.

    Links from `inner` on the body to `outer` on it, and a strut's `slide` (top on the body, foot on the carrier) where there is one.
    """

    start: tuple[float, float, float]
    inner: tuple[tuple[float, float, float], ...]
    outer: tuple[tuple[float, float, float], ...]
    names: tuple[str, ...]
    slide: tuple[tuple[float, float, float], tuple[float, float, float]] | None = None

    def follow(self, travel: Any) -> Carrier:
        """The carrier at travels [m]; nan where the links do not reach."""
        return _follow(self, np.atleast_1d(np.asarray(travel, dtype=float)))

    def moved(self, joint: int, by: Any) -> Links:
        """The same links with the body joint of one moved: a steering rack at work. Lengths stay as they are."""
        inner = list(self.inner)
        inner[joint] = tuple(np.array(inner[joint]) + np.array(by))
        return Rack(self.start, tuple(inner), self.outer, self.names, self.slide, self.lengths)

    @property
    def lengths(self) -> tuple[float, ...]:
        """Length of each link [m]."""
        return tuple(np.linalg.norm(np.array(self.outer) - np.array(self.inner), axis=1).tolist())


@dataclass(frozen=True)
class Rack(Links):
    """Links of stated lengths, which those of the points they are given by need not be."""

    stated: tuple[float, ...] = ()

    @property
    def lengths(self) -> tuple[float, ...]:
        """See `Links` [m]."""
        return self.stated


@remembered_as_shown(64)
def reach(links: Links) -> LinkReach:
    """The travel the links can follow, up to 300 mm either way."""
    travel = np.linspace(-REACH, REACH, COUNT)
    path = links.follow(travel)
    fine = np.isfinite(path.centre[:, 2])
    middle = COUNT // 2
    high = middle + int(np.argmin(np.append(fine[middle:], False))) - 1
    low = middle - int(np.argmin(np.append(fine[middle::-1], False))) + 1
    words = [
        f"{links.names[int(np.argmax(path.off[i]))]} locks at {show(float(travel[i]), 'length')}"
        for i in (low - 1, high + 1)
        if 0 <= i < COUNT
    ]
    return LinkReach(
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


def square_to(axis: Floats) -> Floats:
    """(2, 3): two unit vectors square to an axis and to each other."""
    other = np.eye(3)[int(np.argmin(np.abs(axis)))]
    first = np.cross(axis, other)
    first = first / np.linalg.norm(first)
    return np.array([first, np.cross(axis, first) / np.linalg.norm(axis)])


def _follow(links: Links, travel: Floats) -> Carrier:
    """In one leap where that ends near the design position, in stages where it does not, so that no other way of closing is found."""
    found = in_stages(links, travel, (1.0,))
    with np.errstate(invalid="ignore"):
        far = ~(np.trace(found.turn, axis1=1, axis2=2) > 1 + 2 * np.cos(NEAR))
    if far.any():
        again = in_stages(links, travel[far], STAGES)
        for name in ("centre", "turn", "velocity", "spin", "off"):
            getattr(found, name)[far] = getattr(again, name)
    return found


def in_stages(links: Links, travel: Floats, stages: tuple[float, ...]) -> Carrier:
    """Newton from the design position to shares of each travel [m], one after another."""
    start = np.array(links.start)
    inner, outer, length = np.array(links.inner), np.array(links.outer), np.array(links.lengths)
    arms = outer - start
    count = len(inner)
    n = len(travel)
    centre, turn = np.tile(start, (n, 1)), np.tile(np.eye(3), (n, 1, 1))
    off = np.zeros((n, 5))
    system = np.zeros((n, 6, 6))
    system[:, 5, 2] = 1.0
    least = 1e-15 * np.eye(6)  # so that one position that has locked does not stop the rest from being solved
    if links.slide is not None:
        top, foot = (np.array(one) for one in links.slide)
        across, foot_arm = square_to(top - foot), foot - start

    def linear() -> Floats:
        swung = np.einsum("nij,kj->nki", turn, arms)
        along = centre[:, None] + swung - inner
        long = np.linalg.norm(along, axis=2)
        unit = along / long[..., None]
        system[:, :count, :3] = unit
        system[:, :count, 3:] = np.cross(swung, unit)
        off[:, :count] = long - length
        if links.slide is not None:
            # the top stays on the strut's axis, which turns with the carrier
            sides = np.einsum("nij,kj->nki", turn, across)
            out = top - centre - turn @ foot_arm
            system[:, count:5, :3] = -sides
            system[:, count:5, 3:] = np.cross(sides, (top - centre)[:, None])
            off[:, count:5] = np.einsum("nki,ni->nk", sides, out)
        return off

    with np.errstate(all="ignore"):
        for stage in stages:
            for _ in range(12 if stage == 1.0 else 4):
                linear()
                left = np.concatenate([-off, (start[2] + stage * travel - centre[:, 2])[:, None]], axis=1)
                if stage == 1.0 and np.abs(left).max() < CLOSE:
                    break
                # a position that has locked is pinned where it is: its equations no longer have a solution
                step = np.clip(np.linalg.solve(system + least, left[..., None])[..., 0], -0.2, 0.2)
                step = np.where(np.isfinite(step), step, 0.0)
                centre = centre + step[:, :3]
                turn = turned(step[:, 3:]) @ turn
        linear()
        moves = np.linalg.solve(system + least, np.tile(np.eye(6)[5], (n, 1))[..., None])[..., 0]
    reached = (np.abs(off).max(axis=1) < 1e-8) & (np.abs(centre[:, 2] - start[2] - travel) < 1e-8)
    lost = ~reached
    centre[lost], turn[lost], moves[lost] = np.nan, np.nan, np.nan
    return Carrier(links.start, travel, centre, turn, moves[:, :3], moves[:, 3:], np.abs(off))
