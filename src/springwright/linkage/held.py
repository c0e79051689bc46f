"""A wheel along its travel as a rigid body: where its points go, and camber, toe, roll centre and side-view slopes that follow."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Held:
    """The wheel's carrier along its travel: turned by `turn` (n, 3, 3), its wheel centre at `centre` (n, 3) [m]; nan out of reach.

    `start` is the wheel centre in the design position; `velocity` and `spin` (n, 3) say how it moves per wheel travel.
    Left wheel: x ahead, y out from the centreline, z up. Camber is positive with the top outward, toe with the front inward.
    """

    start: tuple[float, float, float]
    travel: Floats
    centre: Floats
    turn: Floats
    velocity: Floats
    spin: Floats

    def at(self, point: Any) -> Floats:
        """(n, 3): where a point of the carrier has gone [m]."""
        return np.asarray(self.centre + self.turn @ (np.array(point) - np.array(self.start)))

    def moves(self, point: Any) -> Floats:
        """(n, 3): how it moves per wheel travel [m/m]."""
        return np.asarray(self.velocity + np.cross(self.spin, self.at(point) - self.centre))

    @property
    def contact(self) -> tuple[float, float, float]:
        """The contact point, as a point of the carrier: on the ground under the wheel centre in the design position [m]."""
        x, y, _ = self.start
        return (x, y, 0.0)

    @property
    def camber(self) -> Floats:
        """Change of camber [rad], top outward."""
        return np.asarray(-np.arcsin(self.turn[:, 2, 1]))

    @property
    def toe(self) -> Floats:
        """Change of toe [rad], front inward: bump steer."""
        return np.asarray(np.arctan2(self.turn[:, 0, 1], self.turn[:, 1, 1]))

    @property
    def roll_centre(self) -> Floats:
        """Height of the roll centre above the contact point [m], by the way that point moves."""
        at, moves = self.at(self.contact), self.moves(self.contact)
        return np.asarray(at[:, 1] * moves[:, 1] / moves[:, 2])

    @property
    def brake_slope(self) -> Floats:
        """How far ahead the contact point of a locked wheel goes per rise: what braking at the wheel acts along [m/m]."""
        moves = self.moves(self.contact)
        return np.asarray(moves[:, 0] / moves[:, 2])

    @property
    def drive_slope(self) -> Floats:
        """The same of the wheel centre: what drive through a shaft acts along [m/m]."""
        return np.asarray(self.velocity[:, 0])

    @property
    def pitch(self) -> Floats:
        """Turn about the axle's own line [rad], nose down: what a pinion does."""
        return np.asarray(np.arctan2(-self.turn[:, 2, 0], self.turn[:, 0, 0]))

    @property
    def front_centre(self) -> Floats:
        """(n, 2): instant centre from behind, out from the centreline and above ground [m]; far away or infinite for arms that stay level."""
        at, moves = self.at(self.contact), self.moves(self.contact)
        with np.errstate(divide="ignore", invalid="ignore"):
            turn = self.spin[:, 0]
            return np.stack([at[:, 1] - moves[:, 2] / turn, at[:, 2] + moves[:, 1] / turn], axis=1)

    @property
    def side_centre(self) -> Floats:
        """(n, 2): instant centre from the side, ahead and above ground [m]."""
        at, moves = self.at(self.contact), self.moves(self.contact)
        with np.errstate(divide="ignore", invalid="ignore"):
            turn = self.spin[:, 1]
            return np.stack([at[:, 0] + moves[:, 2] / turn, at[:, 2] - moves[:, 0] / turn], axis=1)


def upright_path(start: tuple[float, float, float], travel: Floats) -> Held:
    """A wheel that goes straight up and down [m]: what is taken where nothing says how it is led."""
    n = len(travel)
    up = np.tile(np.array([0.0, 0.0, 1.0]), (n, 1))
    return Held(
        start, travel, np.array(start) + travel[:, None] * up, np.tile(np.eye(3), (n, 1, 1)), up, np.zeros((n, 3))
    )


@dataclass(frozen=True)
class LeafBeam(Held):
    """A beam axle on leaf springs: `eyes` is the height of the springs' eyes above ground in the design position [m], nan if not known."""

    eyes: float

    @property
    def roll_centre(self) -> Floats:
        """Height above the ground under the wheel [m]: that of the eyes, where the springs hold the axle sideways (practice)."""
        return np.asarray(self.eyes - self.travel)

    @property
    def roll_steer(self) -> Floats:
        """Steer of the axle to the left per roll of the body to its right: as the right seat rises it goes ahead of the left one [rad/rad]."""
        return np.asarray(self.velocity[:, 0])


def leaf_beam(
    start: tuple[float, float, float],
    travel: Floats,
    seat: Callable[[Floats], tuple[Floats, Floats]],
    eyes: float | None,
) -> LeafBeam:
    """An axle that goes as its springs' seats do: `seat` gives how far ahead [m] and how turned, nose up [rad], at a rise."""
    step = 1e-4
    (ahead, turn), high, low = seat(travel), seat(travel + step), seat(travel - step)
    by_rise, spin = ((b - a) / (2 * step) for a, b in zip(low, high, strict=True))
    n, zero = len(travel), np.zeros(len(travel))
    c, s = np.cos(turn), np.sin(turn)
    rotation = np.zeros((n, 3, 3))
    rotation[:, 0, 0], rotation[:, 0, 2], rotation[:, 1, 1], rotation[:, 2, 0], rotation[:, 2, 2] = c, -s, 1.0, s, c
    centre = np.array(start) + np.stack([ahead, zero, travel], axis=1)
    velocity = np.stack([by_rise, zero, zero + 1.0], axis=1)
    spins = np.stack([zero, -spin, zero], axis=1)
    return LeafBeam(start, travel, centre, rotation, velocity, spins, np.nan if eyes is None else eyes)
