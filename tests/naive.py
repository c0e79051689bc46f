"""Slow, obvious twins of the force model."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import CubicHermiteSpline

GRAVITY = 9.80665


def energy(rig, q):
    """Potential energy [J] of a Rig in q, counted element by element from the words of its description."""
    body, wheels = q[:4], q[4:]
    x_cg, y_cg, _ = rig.sprung_cg
    travel = []
    for (x, y), rise in zip(rig.wheel_places, wheels, strict=True):
        under = body[0] - body[1] * (x - x_cg) + (body[2] + body[3] * rig.twist_shape(x)) * (y - y_cg)
        travel.append(rise - under)
    total = rig.sprung_mass * GRAVITY * body[0]
    total -= rig.sprung_mass * GRAVITY * rig.roll_arm * body[2] ** 2 / 2
    total -= rig.free_surface[0] * body[2] ** 2 / 2 + rig.free_surface[1] * body[1] ** 2 / 2
    if np.isfinite(rig.twist_rate):
        total += rig.twist_rate * body[3] ** 2 / 2
    for weight, rise in zip(rig.wheel_weights, wheels, strict=True):
        total += weight * GRAVITY * rise
    for row, start, step, force, rate in zip(
        rig.element_rows, rig.element_start, rig.element_step, rig.element_force, rig.element_rate, strict=True
    ):
        knots = start + step * np.arange(len(force))
        curve = CubicHermiteSpline(knots, force, rate)
        total += float(curve.integrate(knots[0], float(np.dot(row, travel))))
    for force, rate, rise in zip(rig.tyre_force, rig.tyre_rate, wheels, strict=True):
        squash = force / rate - rise
        total += rate * max(squash, 0.0) ** 2 / 2
    for place, rate, force in zip(rig.hitch_place, rig.hitch_rate, rig.hitch_force, strict=True):
        rise = body[0] - body[1] * (place - x_cg)
        total += rate * (force / rate - rise) ** 2 / 2
    return total


def gradient(function, at, step=1e-5):
    """Central differences."""
    out = []
    for i in range(len(at)):
        ahead, back = at.copy(), at.copy()
        ahead[i] += step
        back[i] -= step
        out.append((function(ahead) - function(back)) / (2 * step))
    return np.array(out)
