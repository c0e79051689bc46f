"""Where the masses are: what gravity and acceleration do to them in any attitude, by exact rotations.

The potential of a specific force s is U = sum m_i (s_x x_i + s_y y_i + s_z z_i) over the sprung body and each axle's own
mass, with their places as the tyres hold them; forces are minus its derivatives. Of a body that has risen by `up` over its
axles, pitched by p and rolled by r, and of axles tilted by asin(d), d = (left - right) / track:

- sprung: z = heave + roll_arm (cos r - 1) + pitch_arm cos r (cos p - 1) + sum c_i h_i (sqrt(1 - d_i2) - 1)
          y = -sum c_i ((h_i + e_i up) d_i + (1 - e_i) up sin r + w_i (sin r - d_i)2) - roll_arm sin r + y_cg (cos r - 1)
          x = (height + up) sin p cos r
  c_i the share of the body that axle i holds sideways at its roll centre, h_i high, which rises by the share e_i of what the
  body rises over the axle: 1 where it keeps its place on the body, 0 where it keeps it on the axle; and which goes down by
  2 w_i per angle between body and axle, as a lateral rod has it;
- unsprung: the mass turns about the middle of its contact points, with the axle or, where a wheel keeps its lean to the
  body, with the body.

In pitch a wheel rolls: the ground carries it under its centre, however it is turned, so that the body turns over the height of
the wheel centres and of the side-view lines they move along. Written once for NumPy and for the compiled solvers.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.motion.rig import BODY, Rig

Floats = NDArray[np.float64]
GRAVITY = 9.80665
SQUARE = 1e-6  # least square of a cosine: an axle on its side is past what any rest holds


def body_row(rig: Rig) -> Floats:
    """(7,): sprung mass, its CG across and high, its height over the roll axis and over the side-view pivots, moved liquid per g in roll and pitch [kg, m, kg m, kg m2]."""
    mass, roll_arm, pitch_arm = (np.asarray(one) for one in (rig.sprung_mass, rig.roll_arm, rig.pitch_arm))
    aside, high = rig.sprung_cg[..., 1], rig.sprung_cg[..., 2]
    liquid = rig.free_surface / GRAVITY
    return np.stack([mass, aside, high, roll_arm, pitch_arm, liquid[..., 0], liquid[..., 1]], axis=-1)


def axle_rows(rig: Rig) -> Floats:
    """(a, 8): share of the body held sideways, roll centre, its rise and wander, unsprung mass and its height, how far its wheels lean with it, track."""
    paired = rig.axle_track > 0
    return np.stack(
        [
            rig.carried, np.where(paired, rig.axle_roll_centre, 0.0), np.where(paired, rig.centre_rise, 0.0),
            np.where(paired, rig.centre_wander, 0.0), rig.axle_unsprung, rig.axle_height, np.where(paired, rig.axle_upright, 0.0), np.where(paired, rig.axle_track, 1.0),
        ],
        axis=-1,
    )  # fmt: skip


def hang(body: Any, axles: Any, pairs: Any, weights: Any, specific: Any, q: Any, total: Any, stiffness: Any) -> Any:  # noqa: PLR0915 compiled in one piece
    """Add what a specific force does in q to generalised forces and their stiffness; gives the potential [J].

    Parameters
    ----------
    body, axles : as `body_row` and `axle_rows` give them
    pairs : (a, 2) left and right wheel of each axle, twice the same where there is one
    weights : (w,) unsprung mass on each wheel [kg]
    specific : (3,) acceleration less gravity [m/s2]
    q, total, stiffness : (4 + w,), (4 + w,), (4 + w, 4 + w)

    """
    mass, aside, high, arm, nose, run_over, run_on = body[0], body[1], body[2], body[3], body[4], body[5], body[6]
    sx, sy, sz = specific[0], specific[1], specific[2]
    pitch, roll = q[1], q[2]
    cp, sp, cr, sr = math.cos(pitch), math.sin(pitch), math.cos(roll), math.sin(roll)
    stood = slides = turned = 0.0
    for i in range(len(pairs)):
        left, right = q[BODY + pairs[i, 0]], q[BODY + pairs[i, 1]]
        stood += axles[i, 0] * (left + right) / 2
        slides += axles[i, 0] * (1 - axles[i, 2])
        turned += axles[i, 0] * axles[i, 2] * (left - right) / axles[i, 7]
    up = q[0] - stood
    risen, far = up - aside * roll, high + up
    over, swept = arm + slides * risen, turned + slides * sr  # sideways per roll, and per rise
    energy = mass * (
        sz * (q[0] + arm * (cr - 1) + nose * cr * (cp - 1))
        + sy * (aside * (cr - 1) - arm * sr - swept * risen)
        + sx * far * sp * cr
    )
    total[0] -= mass * (sz - sy * swept + sx * sp * cr)
    total[1] += mass * (sz * nose * cr * sp - sx * far * cp * cr)
    total[2] += mass * (
        sz * (arm + nose * (cp - 1)) * sr + sy * (over * cr + aside * (sr - swept)) + sx * far * sp * sr
    )
    stiffness[1, 1] -= mass * (sz * nose * cp + sx * far * sp) * cr
    stiffness[2, 2] += mass * (
        sy * (over * sr + aside * (2 * slides - 1) * cr) - sz * (arm + nose * (cp - 1)) * cr - sx * far * sp * cr
    )
    across = mass * (sz * nose * sp - sx * far * cp) * sr
    stiffness[1, 2] += across
    stiffness[2, 1] += across
    ahead, aslant = mass * sx * cp * cr, -mass * (sy * slides * cr + sx * sp * sr)
    stiffness[0, 1] += ahead
    stiffness[1, 0] += ahead
    stiffness[0, 2] += aslant
    stiffness[2, 0] += aslant
    for i in range(len(pairs)):
        carried, rise, track = axles[i, 0], axles[i, 2], axles[i, 7]
        own, height, upright = axles[i, 4], axles[i, 5], axles[i, 6]
        left, right = BODY + pairs[i, 0], BODY + pairs[i, 1]
        tilt = (q[left] - q[right]) / track
        level = math.sqrt(max(1 - tilt * tilt, SQUARE))
        held = carried * mass * axles[i, 1]
        by_tilt, by_tilt2 = -held * (sz * tilt / level + sy), -held * sz / level**3
        rising = -carried * mass * rise * sy  # per tilt and per rise of the body over the axles
        by_tilt += rising * risen
        apart, drawn = sr - tilt, -carried * mass * axles[i, 3] * sy
        energy += drawn * apart * apart
        by_tilt -= 2 * drawn * apart
        by_tilt2 += 2 * drawn
        total[2] -= 2 * drawn * apart * cr
        stiffness[2, 2] += 2 * drawn * (cr * cr - apart * sr)
        lean = upright * tilt + (1 - upright) * sr
        stands = math.sqrt(max(1 - lean * lean, SQUARE))
        by_lean, by_lean2 = -own * height * (sz * lean / stands + sy), -own * height * sz / stands**3
        energy += held * (sz * (level - 1) - sy * tilt) + own * height * (sz * (stands - 1) - sy * lean + sx * sp)
        with_roll = (1 - upright) * cr
        by_tilt += upright * by_lean
        by_tilt2 += upright * upright * by_lean2
        both = upright * by_lean2 * with_roll - rising * aside - 2 * drawn * cr
        total[2] -= by_lean * with_roll
        stiffness[2, 2] += by_lean2 * with_roll**2 - by_lean * (1 - upright) * sr
        total[1] -= own * sx * height * cp
        stiffness[1, 1] -= own * sx * height * sp
        total[left] -= by_tilt / track
        total[right] += by_tilt / track
        stiffness[left, left] += by_tilt2 / track**2
        stiffness[right, right] += by_tilt2 / track**2
        stiffness[left, right] -= by_tilt2 / track**2
        stiffness[right, left] -= by_tilt2 / track**2
        for side in range(2):
            wheel, sign = BODY + pairs[i, side], 1.0 - 2.0 * side
            total[wheel] -= carried * mass * (sy * swept - sx * sp * cr) / 2
            rolled, pitched = both * sign / track - carried * aslant / 2, -carried * ahead / 2
            stiffness[2, wheel] += rolled
            stiffness[wheel, 2] += rolled
            stiffness[1, wheel] += pitched
            stiffness[wheel, 1] += pitched
            stiffness[0, wheel] += rising * sign / track
            stiffness[wheel, 0] += rising * sign / track
            for j in range(len(pairs)):
                for other in range(2):
                    lifted = -rising * sign / track * axles[j, 0] / 2
                    stiffness[wheel, BODY + pairs[j, other]] += lifted
                    stiffness[BODY + pairs[j, other], wheel] += lifted
    total[1] += run_on * (sz * pitch - sx)
    total[2] += run_over * (sz * roll + sy)
    stiffness[1, 1] -= run_on * sz
    stiffness[2, 2] -= run_over * sz
    energy += run_on * (sx * pitch - sz * pitch**2 / 2) - run_over * (sy * roll + sz * roll**2 / 2)
    for i in range(len(weights)):
        total[BODY + i] -= weights[i] * sz
        energy += weights[i] * sz * q[BODY + i]
    return energy


def sway_mass(rig: Rig, q: Floats) -> Floats:
    """(4 + w, 4 + w): what the mass matrix leaves out: the sprung body carried sideways by its axles, unsprung masses leaning [kg, ...]."""
    n = BODY + len(rig.wheel_places)
    unit = np.eye(n)
    roll, more = unit[2], np.zeros((n, n))
    tilts = np.array(
        [
            (unit[BODY + a] - unit[BODY + b]) / (track or 1.0)
            for (a, b), track in zip(rig.pairs, rig.axle_track, strict=True)
        ]
    )
    up = q[0] - rig.carried @ q[BODY:][rig.pairs].mean(axis=1)
    slides = rig.carried @ (1 - rig.centre_rise)
    sway = -(rig.roll_arm + slides * up) * roll - (rig.carried * (rig.axle_roll_centre + rig.centre_rise * up)) @ tilts
    more += rig.sprung_mass * (np.outer(sway, sway) - rig.roll_arm**2 * np.outer(roll, roll))
    leans = rig.axle_upright[:, None] * tilts + (1 - rig.axle_upright)[:, None] * roll
    return np.asarray(more + (leans.T * (rig.axle_unsprung * rig.axle_height**2)) @ leans)
