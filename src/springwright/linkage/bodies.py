"""Rigid bodies joined by links and balls, two wheel heights given: every position solved side by side.

Joints that fit exactly are met exactly; where there are more than the bodies have freedoms (radius arms in roll) each gives by its
bushes and the energy in them is made least. Newton (Gauss-Newton from afar) with the heights as conditions held by multipliers, which are the forces
the bushes put on the wheels.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from springwright.linkage.constraint_solver import turned

Floats = NDArray[np.float64]
Place = tuple[float, float, float]
GROUND = -1  # the vehicle's body, which stands still here
CLOSE = 1e-12  # m and rad, the last step of a solution
STEPS, REACHED = 40, 1e-9
NEAR = 0.01  # m and rad, the largest step from which the joints' forces are followed as they turn
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
    their rates with each wheel's travel; `forces` (n, 2) what bushes put on the wheels [N].
    """

    shift: Floats
    turn: Floats
    moves: Floats
    forces: Floats
    off: Floats

    def at(self, body: int, point: Place | Floats) -> Floats:
        """(n, 3): where a point of a body has gone [m]."""
        return np.asarray(self.shift[:, body] + self.turn[:, body] @ np.array(point))

    def moving(self, body: int, point: Place | Floats, wheel: int) -> Floats:
        """(n, 3): how it moves with the travel of one wheel (0 left, 1 right) [m/m]."""
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


class _System:
    """The joints of a chain as arrays, at a set of wheel travels; the vehicle's body is one more, last, that does not move."""

    def __init__(self, chain: Chain, left: Floats, right: Floats) -> None:
        joints = chain.joints
        self.bodies, self.size = chain.count, 6 * chain.count
        self.wanted = np.stack([left, right], axis=1)
        self.ends = np.array(
            [[chain.count if end.body == GROUND else end.body for end in (j.one, j.other)] for j in joints]
        )
        self.places = np.array([[j.one.at, j.other.at] for j in joints])
        self.link = np.array([j.link for j in joints])
        self.long = np.where(self.link, np.linalg.norm(self.places[:, 1] - self.places[:, 0], axis=1), 0.0)
        self.largest = max(j.rate for j in joints)
        self.weight = np.array([j.rate for j in joints]) / self.largest
        self.wheels = np.array(chain.wheels)
        self.compliant = compliant(chain)
        n, count = len(left), len(joints)
        self.jacobian = np.zeros((n, count, 3, self.size + 6))
        self.rows = np.arange(count)[:, None]
        self.columns = [6 * self.ends[:, side][:, None] + np.arange(6) for side in (0, 1)]

    def equations(
        self, shift: Floats, turn: Floats, stage: float, held: Floats | None
    ) -> tuple[Floats, Floats, Floats]:
        """Second and first slopes of the joints' energy with the wheel heights as conditions, and how far each joint is off.

        With `held` (n, 2), the multipliers of the heights, it is counted how forces turn with the bodies, which only strained bushes have.
        """
        n, size = len(shift), self.size
        moved = np.concatenate([shift, np.zeros((n, 1, 3))], axis=1)
        spun = np.concatenate([turn, np.tile(np.eye(3), (n, 1, 1, 1))], axis=1)
        at = [
            moved[:, self.ends[:, side]] + np.einsum("njab,jb->nja", spun[:, self.ends[:, side]], self.places[:, side])
            for side in (0, 1)
        ]
        along = at[1] - at[0]
        long = np.linalg.norm(along, axis=2)
        unit = np.where(self.link[:, None], along / np.where(long > 0, long, 1.0)[..., None], 0.0)
        gap = np.where(self.link[:, None], (long - self.long)[..., None] * unit, along)
        stiff = np.where(self.link[:, None, None], unit[..., :, None] * unit[..., None, :], np.eye(3))
        if held is not None:
            slack = np.where(self.link, (long - self.long) / np.where(long > 0, long, 1.0), 0.0)
            stiff = stiff + slack[..., None, None] * (np.eye(3) - unit[..., :, None] * unit[..., None, :])
        for side, sign in ((0, -1.0), (1, 1.0)):
            rows = np.zeros((n, len(self.rows), 3, 6))
            rows[..., :3] = sign * np.eye(3)
            rows[..., 3:] = -sign * _crossed(at[side])
            for axis in range(3):
                self.jacobian[:, self.rows, axis, self.columns[side]] = rows[:, :, axis]
        flat = self.jacobian[..., :size].reshape(n, -1, size)
        loaded = (self.weight[:, None, None] * stiff) @ self.jacobian[..., :size]
        hessian = np.zeros((n, size + 2, size + 2))
        hessian[:, :size, :size] = flat.transpose(0, 2, 1) @ loaded.reshape(n, -1, size)
        force = self.weight[:, None] * gap
        gradient = np.zeros((n, size + 2))
        gradient[:, :size] = np.einsum("nri,nr->ni", flat, force.reshape(n, -1))
        if held is not None:
            self._turn_with(hessian, at, force)
        self._heights(hessian, gradient, shift, turn, stage, held)
        return hessian, gradient, np.abs(gap).max(axis=2)

    def _turn_with(self, hessian: Floats, at: list[Floats], force: Floats) -> None:
        """Add the second slope of each joint's ends with their body's turn, times the force there."""
        for side, sign in ((0, -1.0), (1, 1.0)):
            second = sign * _by_turn(at[side], force)
            for joint, body in enumerate(self.ends[:, side]):
                if body < self.bodies:
                    lo = 6 * body + 3
                    hessian[:, lo : lo + 3, lo : lo + 3] += second[:, joint]

    def _heights(
        self, hessian: Floats, gradient: Floats, shift: Floats, turn: Floats, stage: float, held: Floats | None
    ) -> None:
        up = np.array([0.0, 0.0, 1.0])
        for wheel in (0, 1):
            at = shift[:, 0] + turn[:, 0] @ self.wheels[wheel]
            row = np.zeros((len(shift), self.size))
            row[:, 2] = 1.0
            row[:, 3:6] = np.cross(at, up)
            if held is not None:
                hessian[:, 3:6, 3:6] += held[:, wheel][:, None, None] * _by_turn(at, np.tile(up, (len(at), 1)))
            hessian[:, self.size + wheel, : self.size] = row
            hessian[:, : self.size, self.size + wheel] = row
            gradient[:, self.size + wheel] = at[:, 2] - self.wheels[wheel, 2] - stage * self.wanted[:, wheel]


def _by_turn(at: Floats, force: Floats) -> Floats:
    """(..., 3, 3): second slope with a turn about the origin of the work of forces on points."""
    both = at[..., :, None] * force[..., None, :]
    along = np.sum(at * force, axis=-1)[..., None, None]
    return np.asarray((both + both.swapaxes(-1, -2)) / 2 - along * np.eye(3))


def _crossed(v: Floats) -> Floats:
    """(..., 3, 3): matrices that take the cross product with vectors."""
    out = np.zeros((*v.shape, 3))
    out[..., 0, 1], out[..., 0, 2], out[..., 1, 2] = -v[..., 2], v[..., 1], -v[..., 0]
    out[..., 1, 0], out[..., 2, 0], out[..., 2, 1] = v[..., 2], -v[..., 1], v[..., 0]
    return out


def _solve(chain: Chain, left: Floats, right: Floats, stages: tuple[float, ...]) -> Poses:
    n, k = len(left), chain.count
    system = _System(chain, left, right)
    size = system.size
    shift, turn = np.zeros((n, k, 3)), np.tile(np.eye(3), (n, k, 1, 1))
    least = 1e-13 * np.eye(size + 2)
    least[-2:, -2:] = 0.0
    solution, largest_step = np.zeros((n, size + 2)), np.inf
    with np.errstate(all="ignore"):
        for stage in [one for one in stages for _ in range(STEPS if one == 1.0 else 5)]:
            held = solution[:, size:] if system.compliant and largest_step < NEAR else None
            hessian, gradient, _ = system.equations(shift, turn, stage, held)
            solution = np.nan_to_num(np.linalg.solve(hessian + least, -gradient[..., None])[..., 0])
            step = np.clip(solution[:, :size], -0.15, 0.15).reshape(n, k, 6)
            spin = turned(step[:, :, 3:].reshape(-1, 3)).reshape(n, k, 3, 3)
            shift = np.einsum("nkij,nkj->nki", spin, shift) + step[:, :, :3]
            turn = spin @ turn
            largest_step = float(np.abs(step).max())
            if stage == 1.0 and largest_step < CLOSE:
                break
        hessian, gradient, off = system.equations(shift, turn, 1.0, solution[:, size:] if system.compliant else None)
        unit = np.zeros((n, size + 2, 2))
        unit[:, size, 0] = unit[:, size + 1, 1] = 1.0
        moves = np.linalg.solve(hessian + least, unit)[:, :size].transpose(0, 2, 1).reshape(n, 2, k, 6)
    reached = (np.abs(step).reshape(n, -1).max(axis=1) < REACHED) & (np.abs(gradient[:, size:]).max(axis=1) < REACHED)
    if not system.compliant:
        reached &= off.max(axis=1) < REACHED
    lost = ~reached
    shift[lost], turn[lost], moves[lost] = np.nan, np.nan, np.nan
    # the multipliers balance the bushes' pull; the force at the wheel is the other way
    forces = np.where(lost[:, None], np.nan, -system.largest * solution[:, size:])
    return Poses(shift, turn, np.asarray(moves), forces, off)


@lru_cache(maxsize=64)
def compliant(chain: Chain) -> bool:
    """Whether it has more conditions than freedoms and moves only by its bushes."""
    conditions = sum(1 if joint.link else 3 for joint in chain.joints) - chain.spare
    return conditions + 2 > 6 * chain.count and any(joint.rate != 1.0 for joint in chain.joints)
