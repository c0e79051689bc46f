"""The one force model: generalised forces, tangent stiffness and damping for a Rig in any position and motion.

q = [heave, pitch, roll, twist, wheel heights...]; see `vehicle.rig` for signs. Nothing else computes a spring force.

Gravity and acceleration of the vehicle enter together as the specific force s = acceleration - gravity, so that a
slope, a corner and a braking stop are the same call. The tyres hold each axle laterally: there is no sway coordinate,
and lateral compliance of the tyres is neglected. What links carry past the springs enters as geometric transfer:

- an axle's links carry P = F_y - m_u s_y into the body at its roll centre; the springs see the rest of the moment;
- its wheel pair feels +-(P h_rc + m_u s_y h_u) / t;
- along, F_x acts through the side-view slope given for braking and driving.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.vehicle.rig import BODY, Rig

Floats = NDArray[np.float64]
GRAVITY = 9.80665


@dataclass(frozen=True)
class Case:
    """How the vehicle is accelerated and how gravity points in its axes [m/s2]: x forward, y left, z up."""

    along: float = 0.0
    across: float = 0.0
    gravity: tuple[float, float, float] = (0.0, 0.0, -GRAVITY)

    @property
    def specific(self) -> tuple[float, float, float]:
        """Acceleration less gravity: what the supports must supply per mass."""
        gx, gy, gz = self.gravity
        return (self.along - gx, self.across - gy, -gz)

    @classmethod
    def slope(cls, climb: float = 0.0, lean: float = 0.0) -> Case:
        """Standing on a slope: `climb` nose up, `lean` right side down [rad]."""
        x, y = -math.sin(climb), -math.sin(lean) * math.cos(climb)
        return cls(gravity=(GRAVITY * x, GRAVITY * y, -GRAVITY * math.cos(climb) * math.cos(lean)))


LEVEL = Case()


def element_forces(rig: Rig, displacement: Floats) -> tuple[Floats, Floats, Floats]:
    """Force [N], tangent rate [N/m] and energy [J] of every element: cubic between knots, linear beyond the ends."""
    last = rig.element_force.shape[1] - 1
    at = (displacement - rig.element_start) / rig.element_step
    inside = np.minimum(np.maximum(at, 0.0), last)
    i = np.minimum(inside.astype(int), last - 1)
    e = np.arange(len(displacement))
    t, h = inside - i, rig.element_step
    f0, f1 = rig.element_force[e, i], rig.element_force[e, i + 1]
    k0, k1 = rig.element_rate[e, i] * h, rig.element_rate[e, i + 1] * h
    rise = f1 - f0
    a, b = k0 + k1 - 2 * rise, 3 * rise - 2 * k0 - k1
    force = f0 + t * (k0 + t * (b + t * a))
    rate = (k0 + t * (2 * b + 3 * t * a)) / h
    beyond = (at - inside) * h
    energy = (
        rig.element_energy[e, i]
        + h * t * (f0 + t * (k0 / 2 + t * (b / 3 + t * a / 4)))
        + beyond * (force + rate * beyond / 2)
    )
    return force + rate * beyond, rate, energy


def damper_factor(rig: Rig, travel: Floats) -> Floats:
    """What each damper's force is multiplied by at its travel at the wheel end [m]; 1 where none depends on it."""
    if not rig.damper_place.shape[-1]:
        return np.ones(len(travel))
    each = zip(travel, rig.damper_place, rig.damper_factor, strict=True)
    return np.array([float(np.interp(x, place, factor)) for x, place, factor in each])


def damper_forces(rig: Rig, speed: Floats, travel: Floats) -> tuple[Floats, Floats]:
    """Force [N] and slope [N s/m] of every damper with its dry friction, for speeds [m/s] and travels [m] at the wheel end."""
    wide = damper_factor(rig, travel)
    points, forces_at = rig.damper_speed, rig.damper_force
    d = np.arange(len(speed))
    i = np.clip((points <= speed[:, None]).sum(axis=1) - 1, 0, points.shape[1] - 2)
    slope = (forces_at[d, i + 1] - forces_at[d, i]) / (points[d, i + 1] - points[d, i])
    force = wide * (forces_at[d, i] + slope * (speed - points[d, i])) + rig.friction * sliding(rig, speed)
    return force, wide * slope + rig.friction * (1 - sliding(rig, speed) ** 2) ** 1.5 / rig.friction_speed


def sliding(rig: Rig, speed: Floats) -> Floats:
    """Share of its dry friction that a damper gives at a speed [m/s]: sticking is regularised, see `Rig.friction_speed`."""
    return np.asarray(speed / np.sqrt(speed**2 + rig.friction_speed**2))


def tyre_forces(rig: Rig, rise: Floats, speed: Floats | float = 0.0) -> tuple[Floats, Floats, Floats]:
    """Force on every tyre, its rate and its damping, for its wheel's rise and speed above the ground; a tyre cannot pull."""
    spring = rig.tyre_force - rig.tyre_rate * rise
    force = spring - rig.tyre_damping * speed
    on_ground = (spring > 0) & (force > 0)
    return (
        np.where(on_ground, force, 0.0),
        np.where(on_ground, rig.tyre_rate, 0.0),
        np.where(on_ground, rig.tyre_damping, 0.0),
    )


def forces(rig: Rig, q: Floats, ground: Floats | float = 0.0, case: Case = LEVEL) -> tuple[Floats, Floats]:
    """Generalised forces [N, N m] at rest in q, and the stiffness matrix, minus their derivative.

    `ground` is the height of the ground under each wheel [m].
    """
    return at_rest(rig, q, ground, applied(rig, case), gravity_by_lean(rig, case))[:2]


def at_rest(rig: Rig, q: Floats, ground: Floats | float, load: Floats, lean: Floats) -> tuple[Floats, Floats, float]:
    """Generalised forces, stiffness and potential energy [J], for a load from `applied` and a lean from `gravity_by_lean`."""
    spring, spring_rate, stored = element_forces(rig, rig.element_map @ q)
    tyre, tyre_rate, _ = tyre_forces(rig, q[BODY:] - ground)
    by, hitch = rig.element_map, rig.hitch_map
    diagonal = -lean
    diagonal[BODY:] += tyre_rate
    energy = stored.sum() + (tyre**2 / (2 * rig.tyre_rate)).sum() - load @ q - (lean @ q**2) / 2
    total = load + lean * q - by.T @ spring
    total[BODY:] += tyre
    stiffness = (by.T * spring_rate) @ by
    if len(hitch):
        held = rig.hitch_force - rig.hitch_rate * (hitch @ q)
        total += hitch.T @ held
        stiffness += (hitch.T * rig.hitch_rate) @ hitch
        energy += (held**2 / (2 * rig.hitch_rate)).sum()
    if np.isfinite(rig.twist_rate):
        total[3] -= rig.twist_rate * q[3]
        diagonal[3] += rig.twist_rate
        energy += rig.twist_rate * q[3] ** 2 / 2
    stiffness.flat[:: len(q) + 1] += diagonal
    return total, stiffness, float(energy)


def moving_forces(
    rig: Rig,
    q: Floats,
    speed: Floats,
    ground: Floats | float = 0.0,
    ground_speed: Floats | float = 0.0,
    case: Case = LEVEL,
) -> Floats:
    """Generalised forces [N, N m] in motion: position forces, dampers with friction, tyre damping."""
    total, _ = forces(rig, q, ground, case)
    still = tyre_forces(rig, q[BODY:] - ground)[0]
    total[BODY:] += tyre_forces(rig, q[BODY:] - ground, speed[BODY:] - ground_speed)[0] - still
    return total - rig.damper_map.T @ damper_forces(rig, rig.damper_map @ speed, rig.damper_map @ q)[0]


def damping_matrix(rig: Rig, q: Floats) -> Floats:
    """Tangent damping matrix [N s/m, ...] next to rest in q: the mean slope of bump and rebound, dry friction left out."""
    still = np.full(len(rig.damper_rows), 1e-6)
    bump, rebound = (
        damper_forces(rig, side * still, rig.damper_map @ q)[0] - rig.friction * sliding(rig, side * still)
        for side in (1, -1)
    )
    slope = (bump - rebound) / (2 * still)
    matrix = (rig.damper_map.T * slope) @ rig.damper_map
    matrix[BODY:, BODY:] += np.diag(tyre_forces(rig, q[BODY:])[2])
    return np.asarray(matrix)


def applied(rig: Rig, case: Case) -> Floats:
    """Generalised forces that gravity and acceleration put on the vehicle in the design position, geometric transfer included.

    Of a batch, a row for each Rig.
    """
    x, y, z = case.specific
    wheels = rig.tyre_rate.shape[-1]
    total = np.zeros((*rig.tyre_rate.shape[:-1], BODY + wheels))
    total[..., 0] = -rig.sprung_mass * z
    total[..., BODY:] = -rig.wheel_weights * z
    mass, height = np.asarray(rig.mass), rig.sprung_cg[..., 2]
    if y:
        link = rig.axle_share * (mass * y)[..., None] - rig.axle_unsprung * y
        held = np.sum(link * rig.axle_roll_centre, axis=-1)
        total[..., 2] += rig.sprung_mass * y * height - held + rig.free_surface[..., 0] / GRAVITY * y
        on_pairs = link * rig.axle_roll_centre + rig.axle_unsprung * y * rig.axle_height
        total[..., BODY:] += _pairs(rig, on_pairs)
        # a single wheel cannot take a moment: its body does
        total[..., 2] += np.sum(np.where(rig.axle_track == 0, on_pairs, 0.0), axis=-1)
    if x:
        total[..., 1] -= rig.sprung_mass * x * height + x * np.sum(rig.axle_unsprung * rig.axle_height, axis=-1)
        total[..., 1] -= rig.free_surface[..., 1] / GRAVITY * x
        pull = (mass * x)[..., None] * (rig.brake_share if x < 0 else rig.drive_share)
        slope = rig.brake_slope if x < 0 else rig.drive_slope
        per_wheel = (pull * slope / np.bincount(rig.wheel_axle))[..., rig.wheel_axle]
        held = (mass * x)[..., None] * (1.0 - np.sum(rig.brake_share if x < 0 else rig.drive_share, axis=-1))[..., None]
        total[..., 1] += np.sum(
            held * rig.hitch_height, axis=-1
        )  # what no axle passes the hitch does, at its own height
        ahead = np.where(rig.wheel_places[..., 0] > rig.sprung_cg[..., :1], -1.0, 1.0)
        total -= np.sum(rig.travel_map * (ahead * per_wheel)[..., None], axis=-2)
    return total


LEAST_FRICTION = 0.3  # of a tyre's friction at its reference load: it is held at or above that however heavy the load


def friction_of(rig: Rig, loads: Floats) -> Floats:
    """Friction of every tyre under its load [N]: mu0 (1 - s (F / F_ref - 1)), held at or above 0.3 mu0; nan where not known."""
    friction, fall, reference = np.moveaxis(rig.tyre_grip, -1, 0)
    return np.asarray(friction * np.maximum(1 - fall * (loads / reference - 1), LEAST_FRICTION))


def axle_grip(rig: Rig, loads: Floats, case: Case) -> tuple[Floats, Floats]:
    """(a,) horizontal force each axle has to pass [N] and what its tyres can, under the loads [N] of a position of rest."""
    x, y, _ = case.specific
    share = rig.brake_share if x < 0 else rig.drive_share
    needed = rig.mass * np.hypot(rig.axle_share * y, share * x)
    there = np.bincount(rig.wheel_axle, friction_of(rig, loads) * loads)
    return np.asarray(needed), np.asarray(there)


def _pairs(rig: Rig, moment: Floats) -> Floats:
    """Wheel forces [N] that a rolling moment on each axle makes, right side down positive: left wheel up."""
    left = np.sign(rig.wheel_places[..., 1])
    track = np.where(rig.axle_track > 0, rig.axle_track, 1.0)
    return np.asarray(left * (moment / track)[..., rig.wheel_axle])


def gravity_by_lean(rig: Rig, case: Case) -> Floats:
    """What gravity adds per body coordinate [N m/rad]: a body above its roll axis leans on; liquid runs to the low side."""
    z = case.specific[2]
    lean = np.zeros((*rig.tyre_rate.shape[:-1], BODY + rig.tyre_rate.shape[-1]))
    lean[..., 1] = rig.free_surface[..., 1] * (z / GRAVITY)
    lean[..., 2] = rig.sprung_mass * z * rig.roll_arm + rig.free_surface[..., 0] * (z / GRAVITY)
    return lean


def body_masses(rig: Rig) -> Floats:
    """Mass of each body coordinate [kg, kg m2]: roll carries the sway it implies, twist a twelfth of the roll inertia (an even bar)."""
    turning = rig.roll_inertia + rig.sprung_mass * rig.roll_arm**2
    return np.stack([rig.sprung_mass, rig.pitch_inertia, turning, rig.roll_inertia / 12], axis=-1)


def mass_matrix(rig: Rig) -> Floats:
    """(4 + w, 4 + w) mass matrix."""
    matrix = np.zeros((BODY + len(rig.wheel_places),) * 2)
    matrix.flat[: BODY * len(matrix) : len(matrix) + 1] = body_masses(rig)
    matrix[BODY:, BODY:] = rig.wheel_masses
    return matrix
