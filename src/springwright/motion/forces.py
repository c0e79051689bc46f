"""The one force model: generalised forces, tangent stiffness and damping for a Rig in any position and motion.

q = [heave, pitch, roll, twist, wheel heights...]; see `motion.rig` for signs. Nothing else computes a spring force.

Gravity and acceleration of the vehicle enter together as the specific force s = acceleration - gravity, so that a slope, a
corner and a braking stop are the same call; what it does to each mass where that is, geometric transfer included, stands in
`motion.masses`. The tyres hold each axle laterally: there is no sway coordinate, and lateral compliance of the tyres is
neglected. Along, F_x acts through the side-view slope given for braking and driving.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from springwright.motion import laws
from springwright.motion.masses import GRAVITY as GRAVITY
from springwright.motion.masses import axle_rows, body_row, hang
from springwright.motion.rig import BODY, Rig

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """How the vehicle is accelerated and how gravity points in its axes [m/s2]: x forward, y left, z up."""

    along: float = 0.0
    across: float = 0.0
    gravity: tuple[float, float, float] = (0.0, 0.0, -GRAVITY)

    @property
    def specific(self) -> tuple[float, float, float]:
        """Acceleration less gravity: what the supports must supply per mass [m/s2]."""
        gx, gy, gz = self.gravity
        return (self.along - gx, self.across - gy, -gz)

    @classmethod
    def slope(cls, climb: float = 0.0, lean: float = 0.0) -> Case:
        """Standing on a slope: `climb` nose up, `lean` right side down [rad]."""
        x, y = -math.sin(climb), -math.sin(lean) * math.cos(climb)
        return cls(gravity=(GRAVITY * x, GRAVITY * y, -GRAVITY * math.cos(climb) * math.cos(lean)))


LEVEL = Case()


def element_forces(rig: Rig, displacement: Floats) -> tuple[Floats, Floats, Floats]:
    """Force [N], tangent rate [N/m] and energy [J] of every element: cubic between knots, linear beyond the ends. Of a batch, a row for each Rig."""
    last = rig.element_force.shape[-1] - 1
    at = (displacement - rig.element_start) / rig.element_step
    inside = np.minimum(np.maximum(at, 0.0), last)
    i = np.minimum(inside.astype(int), last - 1)
    t, h = inside - i, rig.element_step
    here, beyond_it = _at(i), _at(i + 1)
    f0, f1 = rig.element_force[here], rig.element_force[beyond_it]
    k0, k1 = rig.element_rate[here] * h, rig.element_rate[beyond_it] * h
    rise = f1 - f0
    a, b = k0 + k1 - 2 * rise, 3 * rise - 2 * k0 - k1
    force, slope, beyond = laws.in_cell(f0, k0, b, a, t), laws.in_cell_slope(k0, b, a, t), at - inside
    stored = laws.in_cell_energy(f0, k0, b, a, t) + laws.past_end_energy(force, slope, beyond)
    return laws.past_ends(force, 0.0, 0.0, beyond, slope), slope / h, rig.element_energy[here] + h * stored


def _at(knot: NDArray[np.int_]) -> tuple[NDArray[np.int_], ...]:
    """Where a knot of every curve stands among curves (..., curves, knots); quicker than looking along an axis."""
    count = np.arange(knot.shape[-1])
    return (count, knot) if knot.ndim == 1 else (np.arange(len(knot))[:, None], count[None], knot)


def damper_factor(rig: Rig, travel: Floats) -> Floats:
    """What each damper's force is multiplied by at its travel at the wheel end [m]; 1 where none depends on it. Of a batch, a row for each Rig."""
    kinks = rig.damper_place.shape[-1]
    if not kinks:
        return np.ones(travel.shape)
    each = zip(travel.ravel(), rig.damper_place.reshape(-1, kinks), rig.damper_factor.reshape(-1, kinks), strict=True)
    return np.array([float(np.interp(x, place, factor)) for x, place, factor in each]).reshape(travel.shape)


def damper_forces(rig: Rig, speed: Floats, travel: Floats) -> tuple[Floats, Floats]:
    """Force [N] and slope [N s/m] of every damper with its dry friction, for speeds [m/s] and travels [m] at the wheel end. Of a batch, a row for each Rig."""
    wide = damper_factor(rig, travel)
    points, forces_at = rig.damper_speed, rig.damper_force
    i = np.clip((points <= speed[..., None]).sum(axis=-1) - 1, 0, points.shape[-1] - 2)
    here, beyond = _at(i), _at(i + 1)
    (p0, p1), (f0, f1) = ((one[here], one[beyond]) for one in (points, forces_at))
    slope = (f1 - f0) / (p1 - p0)
    slides = sliding(rig, speed)
    zone = np.asarray(rig.friction_speed)[..., None]
    force = wide * (f0 + slope * (speed - p0)) + rig.friction * slides
    return force, wide * slope + rig.friction * (1 - slides**2) ** 1.5 / zone


def sliding(rig: Rig, speed: Floats) -> Floats:
    """Share of its dry friction that a damper gives at a speed [m/s]: sticking is regularised, see `Rig.friction_speed`."""
    return np.asarray(laws.sliding(speed, np.asarray(rig.friction_speed)[..., None]))


def tyre_forces(rig: Rig, rise: Floats, speed: Floats | float = 0.0) -> tuple[Floats, Floats, Floats]:
    """Force on every tyre, its rate and its damping, for its wheel's rise and speed above the ground; a tyre cannot pull, past its room the rim carries [N, N/m, N s/m]."""
    past = np.maximum(-rise - rig.tyre_room, 0.0)
    spring = laws.tyre_spring(rig.tyre_force, rig.tyre_rate, -rise, rig.rim_rate, past)
    force = laws.tyre_pushes(spring, rig.tyre_damping, speed)
    on_ground = (spring > 0) & (force > 0)
    return (
        np.where(on_ground, force, 0.0),
        np.where(on_ground, rig.tyre_rate + np.where(past > 0, rig.rim_rate, 0.0), 0.0),
        np.where(on_ground, rig.tyre_damping, 0.0),
    )


def forces(rig: Rig, q: Floats, ground: Floats | float = 0.0, case: Case = LEVEL) -> tuple[Floats, Floats]:
    """Generalised forces [N, N m] at rest in q, and the stiffness matrix, minus their derivative.

    `ground` is the height of the ground under each wheel [m].
    """
    return at_rest(rig, q, ground, case)[:2]


def at_rest(rig: Rig, q: Floats, ground: Floats | float, case: Case) -> tuple[Floats, Floats, float]:
    """Generalised forces, stiffness and potential energy [J]."""
    spring, spring_rate, stored = element_forces(rig, rig.element_rows @ rig.travel_at(q))
    tyre, tyre_rate, _ = tyre_forces(rig, q[BODY:] - ground)
    by, hitch = rig.element_rows @ rig.travel_slope(q), rig.hitch_map
    total, stiffness, energy = weighed(rig, q, case)
    along = guided(rig, case)
    pressed = ground - q[BODY:]
    past = np.maximum(pressed - rig.tyre_room, 0.0)
    carried = np.maximum(laws.tyre_spring(rig.tyre_force, rig.tyre_rate, pressed, 0.0, 0.0), 0.0)
    energy += stored.sum() + laws.tyre_energy(carried, rig.tyre_rate, rig.rim_rate, past).sum() - along @ q
    total += along - by.T @ spring
    total[BODY:] += tyre
    stiffness += (by.T * spring_rate) @ by
    diagonal = np.zeros(len(q))
    diagonal[BODY:] += tyre_rate
    diagonal[2] -= np.sin(q[2]) * (rig.element_rows.T @ spring) @ (rig.travel_map[:, 2] * rig.on_beam)
    if len(hitch):
        held = laws.hitch_holds(rig.hitch_force, rig.hitch_rate, hitch @ q)
        total += hitch.T @ held
        stiffness += (hitch.T * rig.hitch_rate) @ hitch
        energy += laws.hitch_energy(held, rig.hitch_rate).sum()
    if np.isfinite(rig.twist_rate):
        total[3] -= rig.twist_rate * q[3]
        diagonal[3] += rig.twist_rate
        energy += rig.twist_rate * q[3] ** 2 / 2
    stiffness.flat[:: len(q) + 1] += diagonal
    return total, stiffness, float(energy)


def weighed(rig: Rig, q: Floats, case: Case) -> tuple[Floats, Floats, float]:
    """What gravity and acceleration do to the masses in q: generalised forces, stiffness and potential [J]."""
    n = len(q)
    total, stiffness = np.zeros(n), np.zeros((n, n))
    energy = hang(body_row(rig), axle_rows(rig), rig.pairs, rig.wheel_weights, case.specific, q, total, stiffness)
    return total, stiffness, float(energy)


def cg_height(rig: Rig, q: Floats, ground: Floats | float = 0.0) -> float:
    """Height of the whole vehicle's CG in q [m], over the mean of the ground under its wheels."""
    dry = replace(rig, free_surface=np.zeros(2))
    up = weighed(dry, q, Case(gravity=(0.0, 0.0, -1.0)))[2] / rig.mass
    still = (rig.sprung_mass * rig.sprung_cg[2] + rig.axle_unsprung @ rig.axle_height) / rig.mass
    return float(still + up - np.mean(ground))


def moving_forces(
    rig: Rig, q: Floats, speed: Floats, ground: Floats | float, ground_speed: Floats | float, about: Floats
) -> Floats:
    """Generalised forces [N, N m] in motion as a drive from a rest in `about` takes them: dampers with friction, tyre damping.

    Springs close by small angles, and gravity on level ground is the straight one next to that rest.
    """
    there, stiffness, _ = weighed(rig, about, LEVEL)
    total = there - stiffness @ (q - about)
    total -= rig.element_map.T @ element_forces(rig, rig.element_map @ q)[0]
    total[BODY:] += tyre_forces(rig, q[BODY:] - ground, speed[BODY:] - ground_speed)[0]
    total += rig.hitch_map.T @ laws.hitch_holds(rig.hitch_force, rig.hitch_rate, rig.hitch_map @ q)
    total[3] -= rig.twist_rate * q[3] if np.isfinite(rig.twist_rate) else 0.0
    return np.asarray(total - rig.damper_map.T @ damper_forces(rig, rig.damper_map @ speed, rig.damper_map @ q)[0])


def damping_matrix(rig: Rig, q: Floats) -> Floats:
    """Tangent damping matrix [N s/m, ...] next to rest in q: the mean slope of bump and rebound, dry friction left out. Of a batch, one for each Rig."""
    still = np.full(rig.friction.shape, 1e-6)
    travel = (rig.damper_map @ q[..., None])[..., 0]
    bump, rebound = (
        damper_forces(rig, side * still, travel)[0] - rig.friction * sliding(rig, side * still) for side in (1, -1)
    )
    slope = (bump - rebound) / (2 * still)
    matrix = np.swapaxes(rig.damper_map, -1, -2) @ (slope[..., None] * rig.damper_map)
    wheels = np.arange(BODY, matrix.shape[-1])
    matrix[..., wheels, wheels] += tyre_forces(rig, q[..., BODY:])[2]
    return np.asarray(matrix)


def applied(rig: Rig, case: Case) -> Floats:
    """Generalised forces that gravity and acceleration put on the vehicle in the design position, side-view lines included [N, N m]."""
    return weighed(rig, np.zeros(BODY + len(rig.wheel_places)), case)[0] + guided(rig, case)


def guided(rig: Rig, case: Case) -> Floats:
    """Generalised forces of braking and driving along the side-view lines of the axles and at a hitch. Of a batch, a row for each Rig [N, N m]."""
    x = case.specific[0]
    wheels = rig.tyre_rate.shape[-1]
    total = np.zeros((*rig.tyre_rate.shape[:-1], BODY + wheels))
    if x:
        share, slope = (rig.brake_share, rig.brake_slope) if x < 0 else (rig.drive_share, rig.drive_slope)
        whole = (np.asarray(rig.mass) * x)[..., None]
        per_wheel = (whole * share * slope / np.bincount(rig.wheel_axle))[..., rig.wheel_axle]
        held = whole * (1.0 - np.sum(share, axis=-1))[..., None]
        # what no axle passes the hitch does, at its own height
        total[..., 1] += np.sum(held * rig.hitch_height, axis=-1)
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


def accelerometer(rig: Rig, place: tuple[float, float, float]) -> tuple[Floats, Floats]:
    """What accelerometers fixed to the body at a place [m] read up, along and across: (3, 4) per body acceleration, and per body coordinate.

    The second is gravity's share as the body tilts, a_x - g pitch and a_y + g roll: ISO 2631-1 measures at the seat, and so it
    counts. Of a batch, with a row for each Rig.
    """
    x, y, z = place
    high, ahead = rig.sprung_cg[..., 2], x - rig.sprung_cg[..., 0]
    axis = high - np.asarray(rig.roll_arm) + np.asarray(rig.roll_axis_slope) * ahead
    rows = np.zeros((*high.shape, 3, BODY))
    rows[..., 0, :] = rig.rise_row(x, y)
    rows[..., 1, 1] = z - high
    rows[..., 2, 2] = axis - z
    leans = np.zeros_like(rows)
    leans[..., 1, 1] = -GRAVITY
    leans[..., 2, 2] = GRAVITY
    leans[..., 2, 3] = GRAVITY * rig.twist_shape(x)
    return rows, leans


def mass_of_body(rig: Rig) -> Floats:
    """(4, 4) mass matrix of the body coordinates [kg, kg m2]. Of a batch, one for each Rig.

    Roll carries the sway and, about an axis that rises, the yaw it implies; products of inertia join it to pitch. Twist has a
    twelfth of the roll inertia (an even bar).
    """
    slope = np.asarray(rig.roll_axis_slope)
    xy, xz, yz = np.moveaxis(rig.products, -1, 0)
    matrix = np.zeros((*rig.tyre_rate.shape[:-1], BODY, BODY))
    matrix[..., 0, 0] = rig.sprung_mass
    matrix[..., 1, 1] = rig.pitch_inertia
    turning = rig.roll_inertia + rig.sprung_mass * np.asarray(rig.roll_arm) ** 2
    matrix[..., 2, 2] = turning - 2 * slope * xz + slope**2 * rig.yaw_inertia
    matrix[..., 1, 2] = matrix[..., 2, 1] = -xy - slope * yz
    matrix[..., 3, 3] = np.asarray(rig.roll_inertia) / 12
    return matrix


def mass_matrix(rig: Rig) -> Floats:
    """(4 + w, 4 + w) mass matrix [kg, kg m, kg m2]. Of a batch, one for each Rig."""
    n = BODY + rig.tyre_rate.shape[-1]
    matrix = np.zeros((*rig.tyre_rate.shape[:-1], n, n))
    matrix[..., :BODY, :BODY] = mass_of_body(rig)
    matrix[..., BODY:, BODY:] = rig.wheel_masses
    return matrix
