"""Rigid bodies joined by links and balls, two wheel heights given: every position solved side by side.

Joints that fit exactly are met exactly; where there are more than the bodies have freedoms (radius arms in roll) each gives by its
bushes and the energy in them is made least. Gauss-Newton with the heights as conditions held by multipliers, which are the forces
the bushes put on the wheels.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from springwright.linkage.follow import turned

Floats = NDArray[np.float64]
Place = tuple[float, float, float]
GROUND = -1  # the vehicle's body, which stands still here
CLOSE = 1e-12  # m and rad, the last step of a solution
STEPS, REACHED = 40, 1e-9
STAGES = (0.2, 0.4, 0.6, 0.8, 0.9, 1.0)


@dataclass(frozen=True)
class End:
    """A point of a body, where it is in the design position [m]."""

    body: int
    at: Place


@dataclass(frozen=True)
class Joined:
    """A `link` of fixed length or a ball between two ends; `rate` [N/m] is what its bushes give."""

    name: str
    one: End
    other: End
    link: bool
    rate: float = 1.0


@dataclass(frozen=True)
class Chain:
    """`count` bodies, the first the axle, their joints, the two wheel centres on the axle (left, right), and how many conditions say the same twice."""

    count: int
    joints: tuple[Joined, ...]
    wheels: tuple[Place, Place]
    spare: int = 0


@dataclass(frozen=True)
class Poses:
    """Every body at every pair of wheel travels.

    shift (n, bodies, 3) and turn (n, bodies, 3, 3) from the design position, about the vehicle's origin; `moves` (n, 2, bodies, 6)
    their rates with each wheel's travel (where bushes are strained, of the joints' linear part); `forces` (n, 2) what bushes put on the wheels [N].
    """

    shift: Floats
    turn: Floats
    moves: Floats
    forces: Floats
    off: Floats

    def at(self, body: int, point: Place | Floats) -> Floats:
        """(n, 3): where a point of a body has gone."""
        return np.asarray(self.shift[:, body] + self.turn[:, body] @ np.array(point))

    def moving(self, body: int, point: Place | Floats, wheel: int) -> Floats:
        """(n, 3): how it moves with the travel of one wheel (0 left, 1 right)."""
        rates = self.moves[:, wheel, body]
        return np.asarray(rates[:, :3] + np.cross(rates[:, 3:], self.at(body, point)))


def solve(chain: Chain, left: Floats, right: Floats) -> Poses:
    """Solve a chain at wheel travels [m]; nan where it cannot follow."""
    poses = _solve(chain, left, right, (1.0,))
    lost = np.isnan(poses.shift[:, 0, 0])
    if lost.any():  # too far for one leap: once more in stages
        again = _solve(chain, left[lost], right[lost], STAGES)
        for name in ("shift", "turn", "moves", "forces", "off"):
            getattr(poses, name)[lost] = getattr(again, name)
    return poses


def _solve(chain: Chain, left: Floats, right: Floats, stages: tuple[float, ...]) -> Poses:
    n, k = len(left), chain.count
    size = 6 * k
    shift, turn = np.zeros((n, k, 3)), np.tile(np.eye(3), (n, k, 1, 1))
    rest = [_gap(joint, np.array(joint.one.at), np.array(joint.other.at)) for joint in chain.joints]
    wanted = np.stack([left, right], axis=1)
    start = np.array([place[2] for place in chain.wheels])
    least = 1e-13 * np.eye(size + 2)
    least[-2:, -2:] = 0.0
    largest = max(joint.rate for joint in chain.joints)

    def place(end: End) -> Floats:
        if end.body == GROUND:
            return np.tile(np.array(end.at), (n, 1))
        return np.asarray(shift[:, end.body] + turn[:, end.body] @ np.array(end.at))

    def system(stage: float) -> tuple[Floats, Floats, Floats]:
        hessian = np.zeros((n, size + 2, size + 2))
        gradient = np.zeros((n, size + 2))
        off = np.zeros((n, len(chain.joints)))
        for j, joint in enumerate(chain.joints):
            a, b = place(joint.one), place(joint.other)
            along = b - a
            if joint.link:
                long = np.linalg.norm(along, axis=1)
                unit = along / long[:, None]
                gap = (long - rest[j])[:, None]
                rows = unit[:, None, :]  # of b; a is the opposite
            else:
                gap = along
                rows = np.tile(np.eye(3), (n, 1, 1))
            jacobian = np.zeros((n, rows.shape[1], size))
            for end, at, sign in ((joint.other, b, 1.0), (joint.one, a, -1.0)):
                if end.body != GROUND:
                    lo = 6 * end.body
                    jacobian[:, :, lo : lo + 3] += sign * rows
                    jacobian[:, :, lo + 3 : lo + 6] += sign * np.cross(at[:, None, :], rows)
            weight = joint.rate / largest
            hessian[:, :size, :size] += weight * np.einsum("nri,nrj->nij", jacobian, jacobian)
            gradient[:, :size] += weight * np.einsum("nri,nr->ni", jacobian, gap)
            off[:, j] = np.abs(gap).max(axis=1)
        for wheel in (0, 1):
            at = place(End(0, chain.wheels[wheel]))
            row = np.zeros((n, size))
            row[:, 2] = 1.0
            row[:, 3:6] = np.cross(at, np.array([0.0, 0.0, 1.0]))
            hessian[:, size + wheel, :size] = row
            hessian[:, :size, size + wheel] = row
            gradient[:, size + wheel] = at[:, 2] - start[wheel] - stage * wanted[:, wheel]
        return hessian, gradient, off

    solution = np.zeros((n, size + 2))
    with np.errstate(all="ignore"):
        for stage in [one for one in stages for _ in range(STEPS if one == 1.0 else 5)]:
            hessian, gradient, _ = system(stage)
            solution = np.nan_to_num(np.linalg.solve(hessian + least, -gradient[..., None])[..., 0])
            step = np.clip(solution[:, :size], -0.15, 0.15).reshape(n, k, 6)
            spin = turned(step[:, :, 3:].reshape(-1, 3)).reshape(n, k, 3, 3)
            shift = np.einsum("nkij,nkj->nki", spin, shift) + step[:, :, :3]
            turn = spin @ turn
            if stage == 1.0 and np.abs(step).max() < CLOSE:
                break
        hessian, gradient, off = system(1.0)
        unit = np.zeros((n, size + 2, 2))
        unit[:, size, 0] = unit[:, size + 1, 1] = 1.0
        moves = np.linalg.solve(hessian + least, unit)[:, :size].transpose(0, 2, 1).reshape(n, 2, k, 6)
    reached = (np.abs(step).reshape(n, -1).max(axis=1) < REACHED) & (np.abs(gradient[:, size:]).max(axis=1) < REACHED)
    if not compliant(chain):
        reached &= off.max(axis=1) < REACHED
    lost = ~reached
    shift[lost], turn[lost], moves[lost] = np.nan, np.nan, np.nan
    # the multipliers balance the bushes' pull; the force at the wheel is the other way
    forces = np.where(lost[:, None], np.nan, -largest * solution[:, size:])
    return Poses(shift, turn, np.asarray(moves), forces, off)


@lru_cache(maxsize=64)
def compliant(chain: Chain) -> bool:
    """Whether it has more conditions than freedoms and moves only by its bushes."""
    conditions = sum(1 if joint.link else 3 for joint in chain.joints) - chain.spare
    return conditions + 2 > 6 * chain.count and any(joint.rate != 1.0 for joint in chain.joints)


def _gap(joint: Joined, a: Floats, b: Floats) -> float:
    return float(np.linalg.norm(b - a)) if joint.link else 0.0
