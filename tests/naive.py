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
    for (x, y), rise, on_beam in zip(rig.wheel_places, wheels, rig.on_beam, strict=True):
        rolled = np.sin(body[2]) if on_beam else body[2]
        under = body[0] - body[1] * (x - x_cg) + (rolled + body[3] * rig.twist_shape(x)) * (y - y_cg)
        travel.append(rise - under)
    total = GRAVITY * sum(mass * z for mass, (_, _, z) in places(rig, q))
    total -= rig.free_surface[0] * body[2] ** 2 / 2 + rig.free_surface[1] * body[1] ** 2 / 2
    if np.isfinite(rig.twist_rate):
        total += rig.twist_rate * body[3] ** 2 / 2
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


def turned(pitch=0.0, roll=0.0):
    """Rotation matrix: roll about the body's own line ahead, then pitch about the level one across (ISO 8855)."""
    cp, sp, cr, sr = np.cos(pitch), np.sin(pitch), np.cos(roll), np.sin(roll)
    return np.array([[cp, 0, sp], [0, 1, 0], [-sp, 0, cp]]) @ np.array([[1, 0, 0], [0, cr, -sr], [0, sr, cr]])


def places(rig, q):
    """Mass and place [m] of the sprung body and of each axle's own mass in q, by rotating vectors; z from where each is in the design position.

    The body has risen by q[0], turns about its roll axis and over its side-view pivots, and is carried sideways by axles that
    turn about the ground between their wheels; as it rises over them it goes along their upright for the share that the roll
    centre rises with it, and along its own for the rest.
    """
    heave, pitch, roll = q[:3]
    _, y_cg, high = rig.sprung_cg
    share = (rig.axle_share * rig.mass - rig.axle_unsprung) / rig.sprung_mass
    aside = down = 0.0
    made = []
    up = heave - sum(part * q[4:][rig.wheel_axle == i].mean() for i, part in enumerate(share))
    risen = up - y_cg * roll  # of the roll axis, which is on the centreline: heave is told at the CG
    for i, part in enumerate(share):
        mine = q[4:][rig.wheel_axle == i]
        tilt = np.arcsin((mine[0] - mine[-1]) / rig.axle_track[i]) if rig.axle_track[i] else 0.0
        centre = rig.axle_roll_centre[i] if rig.axle_track[i] else 0.0
        lean = rig.axle_upright[i] * np.sin(tilt) + (1 - rig.axle_upright[i]) * np.sin(roll)
        lifted = rig.centre_rise[i] * risen if rig.axle_track[i] else 0.0
        slid = risen * (1 - rig.centre_rise[i]) if rig.axle_track[i] else risen
        aside += part * ((turned(roll=tilt) @ [0, 0, centre + lifted])[1] + (turned(roll=roll) @ [0, 0, slid])[1])
        aside -= part * rig.centre_wander[i] * (np.sin(roll) - np.sin(tilt)) ** 2 if rig.axle_track[i] else 0.0
        down += part * ((turned(roll=tilt) @ [0, 0, centre])[2] - centre)
        own = turned(roll=np.arcsin(lean)) @ [0, 0, rig.axle_height[i]]
        made.append(
            (
                rig.axle_unsprung[i],
                (rig.axle_height[i] * np.sin(pitch), own[1], mine.mean() + own[2] - rig.axle_height[i]),
            )
        )
    over_axis = turned(roll=roll) @ [0, 0, rig.roll_arm]
    z = heave + down + over_axis[2] - rig.roll_arm + rig.pitch_arm * np.cos(roll) * (np.cos(pitch) - 1)
    y = aside + over_axis[1] + y_cg * (np.cos(roll) - 1)
    x = (turned(pitch, roll) @ [0, 0, high + up])[0]
    return [(rig.sprung_mass, (x, y, z)), *made]


def potential(rig, q, specific):
    """Potential [J] of a specific force on the masses where they are."""
    moved = sum(mass * float(np.dot(specific, place)) for mass, place in places(rig, q))
    moved -= rig.free_surface[0] / GRAVITY * (specific[2] * q[2] ** 2 / 2 + specific[1] * q[2])
    return moved - rig.free_surface[1] / GRAVITY * (specific[2] * q[1] ** 2 / 2 - specific[0] * q[1])


def gradient(function, at, step=1e-5):
    """Central differences."""
    out = []
    for i in range(len(at)):
        ahead, back = at.copy(), at.copy()
        ahead[i] += step
        back[i] -= step
        out.append((function(ahead) - function(back)) / (2 * step))
    return np.array(out)
