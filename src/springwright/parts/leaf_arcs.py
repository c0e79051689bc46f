r"""A leaf spring between a fixed eye and a shackle: both halves bend as circular arcs, the seat finds its own place and slope.

A half of uniform strength bends to a circle under its end load, so one curvature says all about it; its energy is half its stiffness
times the change of curvature squared. For every height of the seat the energy is made least while both eyes stay where the frame
holds them: that gives the force, how far the seat goes ahead, and how it turns. Derived; held in the tests against a frame solved in
finite elements and against the plain rate where the shackle hangs straight and the bending is small.

      frame  o eye                    o shackle pin
              \\_                  _/|
                 \\____ seat _____/  o eye       side view, front to the left
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
STEP = 1e-6  # of every unknown, for differences of the equations below
SHORT = 1e-5  # m of rise over which the rate is taken


@dataclass(frozen=True)
class Arcs:
    """The spring at rest.

    `front` and `rear` active half lengths [m], `dead` half of what the clamp holds [m], tip rates of the halves [N/m], height of the
    eyes above the seat at zero travel [m], the seat's load there [N]; shackle length [m] and its lean from upright there [rad], the
    spring's eye outward of its pin positive, more than a right angle where the pin is below the eye.
    """

    front: float
    rear: float
    dead: float
    front_rate: float
    rear_rate: float
    height: float
    load: float
    shackle: float
    lean: float


@dataclass(frozen=True)
class ArcsPath:
    """Against the seat's rise: its force [N], rate [N/m], way ahead [m] and turn nose up [rad]; nan where the shackle cannot follow."""

    force: Floats
    rate: Floats
    ahead: Floats
    turn: Floats


def arcs_path(spring: Arcs, rise: Floats) -> ArcsPath:
    """Solve the spring at every rise of its seat [m]."""
    s = spring
    curl = _at_rest(s)
    front, rear = _tip(curl[0], s.front, s.dead)[0], _tip(curl[1], s.rear, s.dead)[0]
    eye = np.array([front[0], front[1]])
    rear_eye = np.array([-rear[0], rear[1]])
    pin = rear_eye + s.shackle * np.array([np.sin(s.lean), np.cos(s.lean)])
    stiff = _stiffness(s)
    free = curl + _pull_at_rest(s, curl, front, rear) / stiff
    unknown = np.zeros((len(rise), 7))
    unknown[:, :2] = curl

    def equations(v: Floats, up: Floats) -> Floats:
        return _equations(v, up, s, stiff, free, eye, pin)

    def slopes(v: Floats, up: Floats) -> Floats:
        aside = np.concatenate([STEP * np.eye(7), -STEP * np.eye(7)])[:, None, :]  # all at once: calls cost most
        found = equations((v + aside).reshape(-1, 7), np.tile(up, 14)).reshape(2, 7, len(v), 7)
        return np.moveaxis((found[0] - found[1]) / (2 * STEP), 0, 2)

    def lift(v: Floats, up: Floats) -> Floats:
        return np.asarray(v[:, 5] + v[:, 6] * _pin_slope(v, up, s, pin))

    least = 1e-12 * np.eye(7)  # so that a shackle that has locked does not stop the rest from being solved
    unknown[:, 4:] = _multipliers(unknown[:1], np.zeros(1), equations)
    with np.errstate(all="ignore"):
        for stage in (0.25, 0.5, 0.75, 1.0):
            for _ in range(30 if stage == 1.0 else 5):
                left, slope = equations(unknown, stage * rise), slopes(unknown, stage * rise)
                change = np.linalg.solve(np.nan_to_num(slope) + least, left[..., None])[..., 0]
                change[:, :4] = np.clip(np.nan_to_num(change[:, :4]), -0.3, 0.3)
                change[:, 4:] = np.nan_to_num(change[:, 4:])
                unknown -= change
                if stage == 1.0 and np.abs(change[:, :4]).max() < 1e-13:
                    break
        # how everything moves as the seat rises: the same equations, once more
        by_rise = (equations(unknown, rise + STEP) - equations(unknown, rise - STEP)) / (2 * STEP)
        moves = -np.linalg.solve(np.nan_to_num(slopes(unknown, rise)) + least, by_rise[..., None])[..., 0]
        off = np.abs(equations(unknown, rise)[:, 4:]).max(axis=1)
        force = lift(unknown, rise)
        rate = (lift(unknown + SHORT * moves, rise + SHORT) - lift(unknown - SHORT * moves, rise - SHORT)) / (2 * SHORT)
    lost = ~(off < 1e-9) | ~np.isfinite(force) | (np.abs(unknown[:, 2]) > 1.0)
    out = [force, rate, unknown[:, 3], unknown[:, 2]]
    return ArcsPath(*(np.where(lost, np.nan, one) for one in out))


def free_height(spring: Arcs) -> float:
    """Height of the eyes above the seat, unladen [m]: the mean of both halves."""
    curl = _at_rest(spring)
    front, rear = _tip(curl[0], spring.front, spring.dead)[0], _tip(curl[1], spring.rear, spring.dead)[0]
    free = curl + _pull_at_rest(spring, curl, front, rear) / _stiffness(spring)
    high = (_tip(free[0], spring.front, 0.0)[0][1], _tip(free[1], spring.rear, 0.0)[0][1])
    return float(sum(high) / 2)


def _at_rest(s: Arcs) -> Floats:
    """Curvature of both halves at zero travel [1/m]."""
    return np.array([_curvature_for(s.height, s.front), _curvature_for(s.height, s.rear)])


def _stiffness(s: Arcs) -> Floats:
    """Energy of each half is half of this times its change of curvature squared [N m3]."""
    return np.array([s.front_rate * s.front**4, s.rear_rate * s.rear**4]) / 4


def _tip(curl: Floats | float, long: float, dead: float) -> tuple[Floats, Floats]:
    """Eye of a half in the seat's frame, outward and up [m], and how both change with the curvature."""
    w = np.asarray(curl, dtype=float) * long
    small = np.abs(w) < 1e-3
    safe = np.where(small, 1.0, w)
    sine = np.where(small, 1 - w**2 / 6, np.sin(safe) / safe)
    rise = np.where(small, w / 2 - w**3 / 24, (1 - np.cos(safe)) / safe)
    by_sine = np.where(small, -w / 3 + w**3 / 30, (safe * np.cos(safe) - np.sin(safe)) / safe**2)
    by_rise = np.where(small, 0.5 - w**2 / 8, (safe * np.sin(safe) - 1 + np.cos(safe)) / safe**2)
    return np.array([dead + long * sine, long * rise]), np.array([long**2 * by_sine, long**2 * by_rise])


def _curvature_for(height: float, long: float) -> float:
    """Curvature [1/m] that lifts the end of an arc to a height [m]."""
    from scipy.optimize import brentq

    return float(brentq(lambda w: _tip(w / long, long, 0.0)[0][1] - height, -2.5, 2.5, xtol=1e-14)) / long


def _pull_at_rest(s: Arcs, curl: Floats, front: Floats, rear: Floats) -> Floats:
    """What the load at zero travel does to each curvature: from balance of the leaf between eye, seat and shackle."""
    # shackle force acts along the shackle: (sideways, up) on the leaf's rear eye, down under load
    along = np.array([np.sin(s.lean), np.cos(s.lean)])
    # unknown: front eye force (x, z), shackle force; balance of x, z and turning about the seat under the load upward
    system = np.array(
        [
            [1.0, 0.0, along[0]],
            [0.0, 1.0, along[1]],
            [-front[1], front[0], -rear[1] * along[0] - rear[0] * along[1]],
        ]
    )
    fx, fz, shackle = np.linalg.solve(system, [0.0, -s.load, 0.0])
    by_front, by_rear = _tip(curl[0], s.front, s.dead)[1], _tip(curl[1], s.rear, s.dead)[1]
    rear_force = shackle * along
    # the ends press down: that takes curvature out, so the free curvature is more
    return -np.array([by_front @ np.array([fx, fz]), by_rear @ np.array([-rear_force[0], rear_force[1]])])


def _equations(v: Floats, up: Floats, s: Arcs, stiff: Floats, free: Floats, eye: Floats, pin: Floats) -> Floats:
    """Slopes of energy plus held eyes, and how far the eyes are from where they are held: (n, 7)."""
    front, by_front = _tip(v[:, 0], s.front, s.dead)
    rear, by_rear = _tip(v[:, 1], s.rear, s.dead)
    turn, x = v[:, 2], v[:, 3]
    c, n = np.cos(turn), np.sin(turn)
    # seat turned nose up: (px, pz) -> (px c - pz n, px n + pz c)
    fx, fz = front[0] * c - front[1] * n, front[0] * n + front[1] * c
    rx, rz = -rear[0] * c - rear[1] * n, -rear[0] * n + rear[1] * c
    gap = np.array([x + fx - eye[0], up + fz - eye[1]])
    link = np.array([x + rx - pin[0], up + rz - pin[1]])
    held = (np.sum(link**2, axis=0) - s.shackle**2) / (2 * s.shackle)
    unit = link / s.shackle
    a, b, t = v[:, 4], v[:, 5], v[:, 6]
    return np.stack(
        [
            stiff[0] * (v[:, 0] - free[0]) + a * (by_front[0] * c - by_front[1] * n) + b * (by_front[0] * n + by_front[1] * c),
            stiff[1] * (v[:, 1] - free[1]) + t * (unit[0] * (-by_rear[0] * c - by_rear[1] * n) + unit[1] * (-by_rear[0] * n + by_rear[1] * c)),
            a * -fz + b * fx + t * (unit[0] * -rz + unit[1] * rx),
            a + t * unit[0],
            gap[0],
            gap[1],
            held,
        ],
        axis=1,
    )  # fmt: skip


def _pin_slope(v: Floats, up: Floats, s: Arcs, pin: Floats) -> Floats:
    """How the shackle's length changes with the seat's rise."""
    rear, _ = _tip(v[:, 1], s.rear, s.dead)
    return np.asarray((up - rear[0] * np.sin(v[:, 2]) + rear[1] * np.cos(v[:, 2]) - pin[1]) / s.shackle)


def _multipliers(v: Floats, up: Floats, equations: Callable[[Floats, Floats], Floats]) -> Floats:
    """Forces at the eyes that leave the position of rest in balance: least squares of the first four equations."""
    base = equations(v, up)[0, :4]
    columns = []
    for k in (4, 5, 6):
        one = v.copy()
        one[0, k] = 1.0
        columns.append(equations(one, up)[0, :4] - base)
    return np.asarray(np.linalg.lstsq(np.array(columns).T, -base, rcond=None)[0])
