"""The one force model: generalised forces and their tangent for a Rig at any position.

q = [heave, pitch, roll, wheel heights...]; see `vehicle.rig` for signs. Nothing else computes a spring force.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from springwright.vehicle.rig import Rig

Floats = NDArray[np.float64]
GRAVITY = 9.80665
BODY = 3  # body coordinates before the wheels


def element_forces(rig: Rig, displacement: Floats) -> tuple[Floats, Floats]:
    """Force [N] and tangent rate [N/m] of every element: cubic between knots, linear beyond the ends."""
    last = rig.element_force.shape[1] - 1
    at = (displacement - rig.element_start) / rig.element_step
    inside = np.clip(at, 0.0, last)
    i = np.minimum(inside.astype(int), last - 1)
    e = np.arange(len(displacement))
    t, h = inside - i, rig.element_step
    f0, f1 = rig.element_force[e, i], rig.element_force[e, i + 1]
    k0, k1 = rig.element_rate[e, i] * h, rig.element_rate[e, i + 1] * h
    rise = f1 - f0
    a, b = k0 + k1 - 2 * rise, 3 * rise - 2 * k0 - k1
    force = f0 + t * (k0 + t * (b + t * a))
    rate = (k0 + t * (2 * b + 3 * t * a)) / h
    return force + rate * (at - inside) * h, rate


def tyre_forces(rig: Rig, wheel_rise: Floats) -> tuple[Floats, Floats]:
    """Force on and rate of every tyre for its wheel's rise above the ground; a tyre cannot pull."""
    force = rig.tyre_force - rig.tyre_rate * wheel_rise
    on_ground = force > 0
    return np.where(on_ground, force, 0.0), np.where(on_ground, rig.tyre_rate, 0.0)


def forces(rig: Rig, q: Floats, ground: Floats | float = 0.0) -> tuple[Floats, Floats]:
    """Generalised forces [N, N m] at rest in q, and the stiffness matrix, minus their derivative.

    `ground` is the height of the ground under each wheel [m].
    """
    by_travel, by_hitch = rig.element_map, rig.hitch_map
    spring, spring_rate = element_forces(rig, by_travel @ q)
    tyre, tyre_rate = tyre_forces(rig, q[BODY:] - ground)
    held = rig.hitch_force - rig.hitch_rate * (by_hitch @ q)
    roll_rate = rig.sprung_mass * GRAVITY * rig.roll_arm + rig.free_surface[0]
    gravity = np.concatenate(
        [[-rig.sprung_mass * GRAVITY, rig.free_surface[1] * q[1], roll_rate * q[2]], -rig.wheel_weights * GRAVITY]
    )
    total = gravity - by_travel.T @ spring + by_hitch.T @ held
    total[BODY:] += tyre
    stiffness = by_travel.T @ (spring_rate[:, None] * by_travel) + by_hitch.T @ (rig.hitch_rate[:, None] * by_hitch)
    stiffness[BODY:, BODY:] += np.diag(tyre_rate)
    stiffness[1, 1] -= rig.free_surface[1]
    stiffness[2, 2] -= roll_rate
    return total, stiffness


def mass_matrix(rig: Rig) -> Floats:
    """(3 + w, 3 + w) mass matrix; roll carries the sway it implies."""
    wheels = len(rig.wheel_places)
    matrix = np.zeros((BODY + wheels, BODY + wheels))
    matrix[0, 0] = rig.sprung_mass
    matrix[1, 1] = rig.pitch_inertia
    matrix[2, 2] = rig.roll_inertia + rig.sprung_mass * rig.roll_arm**2
    matrix[BODY:, BODY:] = rig.wheel_masses
    return matrix


def free(rig: Rig) -> NDArray[np.intp]:
    """Indices of the coordinates that may move: roll is held where there is no track."""
    every = np.arange(BODY + len(rig.wheel_places))
    return every if rig.roll_free else every[every != 2]
