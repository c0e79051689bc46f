"""Where many Rigs come to rest, compiled: Newton on the force model with its exact tangent, one run after the other.

What does not settle here is handed to `motion.equilibrium`, which takes smaller steps downhill in energy and says why.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from springwright.motion import laws, masses
from springwright.motion.kernel.arrays import BODY
from springwright.motion.kernel.tools import (
    LAW,
    LOOP,
    high,
    hitch_energy,
    in_cell,
    in_cell_energy,
    low,
    past_end_energy,
    tyre_energy,
    tyre_spring,
)
from springwright.motion.searching import FARTHEST, LONGEST, SMALLEST, STEPS, TILTED

hang = njit(**LOOP)(masses.hang)
in_cell_slope = njit(**LAW)(laws.in_cell_slope)


@njit(**LOOP)
def masses_of(W, lane, law):
    """Body, axles and wheels of one lane as `motion.masses.hang` takes them."""
    body, axles, weights = np.empty(7), np.empty((len(law.pairs), 8)), np.empty(len(law.weights) // W)
    for k in range(7):
        body[k] = law.sprung[k * W + lane]
    for i in range(len(axles)):
        for k in range(8):
            axles[i, k] = law.axles[(8 * i + k) * W + lane]
    for i in range(len(weights)):
        weights[i] = law.weights[i * W + lane]
    return body, axles, weights


@njit(**LOOP)
def linear_gravity(W, law, q, load, lean, tilt, push, pull):
    """Gravity of every lane as a straight line about its rest in q (W, 4 + w), and what acceleration across and along does there.

    Fills rows of load, push, pull (W, 4 + w), lean (W, 5) and tilt (W, w, 2), see `RigArrays`.
    """
    n = q.shape[1]
    wheels = n - BODY
    total, stiffness, unused = np.zeros(n), np.zeros((n, n)), np.zeros((n, n))
    for lane in range(W):
        body, axles, weights = masses_of(W, lane, law)
        total[:] = 0.0
        stiffness[:] = 0.0
        hang(body, axles, law.pairs, weights, np.array([0.0, 0.0, masses.GRAVITY]), q[lane], total, stiffness)
        load[lane] = total + stiffness @ q[lane]
        for k in range(BODY):
            lean[lane, k] = -stiffness[k, k]
        lean[lane, BODY] = -stiffness[1, 2]
        for i in range(wheels):
            tilt[lane, i, 0] = -stiffness[BODY + i, BODY + i]
            tilt[lane, i, 1] = -stiffness[2, BODY + i]
        push[lane] = 0.0
        hang(body, axles, law.pairs, weights, np.array([0.0, 1.0, 0.0]), q[lane], push[lane], unused)
        pull[lane] = 0.0
        hang(body, axles, law.pairs, weights, np.array([1.0, 0.0, 0.0]), q[lane], pull[lane], unused)


@njit(**LOOP)
def tangent(
    W, lane, law, ground, along, specific, body, axles, weights, q, total, stiffness, by_travel, between, lever
):
    """Forces of one lane at rest in q into `total`, minus their derivative into `stiffness`; gives its energy [J]."""
    wheels, n = len(by_travel), len(q)
    elements = len(law.start) // W
    count = len(law.cells) // (4 * W * elements) if elements else 0
    joins = len(law.at) // elements if elements else 0
    by_travel[:] = 0.0
    between[:] = 0.0
    stiffness[:] = 0.0
    total[:] = along
    energy = hang(body, axles, law.pairs, weights, specific, q, total, stiffness)
    for j in range(n):
        energy -= along[j] * q[j]
    sr, cr = np.sin(q[2]), np.cos(q[2])
    for e in range(elements):
        x = 0.0
        for r in range(joins):
            s = r * elements + e
            i = int(law.at[s])
            k = 3 * i
            rolled = sr if law.on_beam[i] else q[2]
            travel = q[BODY + i] - q[0] - law.rise[k * W + lane] * q[1]
            travel -= law.rise[(k + 1) * W + lane] * rolled + law.rise[(k + 2) * W + lane] * q[3]
            x += law.share[s * W + lane] * travel
        x = (x - law.start[e * W + lane]) * law.scale[e * W + lane]
        cell = min(max(int(x), 0), count - 1)
        t = low(high(x - cell, 0.0), 1.0)
        c = (e * count + cell) * 4 * W + lane
        f0, f1, f2, f3 = law.cells[c], law.cells[c + W], law.cells[c + 2 * W], law.cells[c + 3 * W]
        force, rate, stored = (
            in_cell(f0, f1, f2, f3, t),
            in_cell_slope(f1, f2, f3, t),
            in_cell_energy(f0, f1, f2, f3, t),
        )
        out = x - cell - t
        if out != 0.0:
            rate = law.end[(2 * e + int(out > 0.0)) * W + lane]
            stored += past_end_energy(force, rate, out)
            force += rate * out
        energy += law.bottom[(e * count + cell) * W + lane] + stored / law.scale[e * W + lane]
        rate *= law.scale[e * W + lane]
        for r in range(joins):
            s = r * elements + e
            i = int(law.at[s])
            by_travel[i] += law.share[s * W + lane] * force
            for p in range(joins):
                j = int(law.at[p * elements + e])
                between[i, j] += rate * law.share[s * W + lane] * law.share[(p * elements + e) * W + lane]
    for i in range(wheels):
        k, m = i * W + lane, BODY + i
        total[m] -= by_travel[i]
        total[0] += by_travel[i]
        pressed = ground[i] - q[m]
        past = high(pressed - law.tyre_room[k], 0.0)
        carried = high(tyre_spring(law.tyre_force[k], law.tyre_rate[k], pressed, 0.0, 0.0), 0.0)
        total[m] += tyre_spring(carried, 0.0, 0.0, law.rim_rate[k], past)
        energy += tyre_energy(carried, law.tyre_rate[k], law.rim_rate[k], past)
        if carried > 0.0:
            stiffness[m, m] += law.tyre_rate[k]
        if past > 0.0:
            stiffness[m, m] += law.rim_rate[k]
        for b in range(3):
            lever[i, 1 + b] = law.rise[(3 * i + b) * W + lane]
        if law.on_beam[i]:
            stiffness[2, 2] += lever[i, 2] * sr * by_travel[i]
            lever[i, 2] *= cr
        for b in range(1, BODY):
            total[b] += lever[i, b] * by_travel[i]
    for i in range(wheels):
        m = BODY + i
        for j in range(wheels):
            g = between[i, j]
            if g == 0.0:
                continue
            stiffness[m, BODY + j] += g
            for b in range(BODY):
                rb = lever[j, b]
                stiffness[m, b] -= g * rb
                stiffness[b, m] -= g * rb
                for d in range(BODY):
                    rd = lever[i, d]
                    stiffness[d, b] += g * rb * rd
    for h in range(len(law.hitch_rate) // W):
        rate = law.hitch_rate[h * W + lane]
        held = law.hitch_force[h * W + lane]
        for b in range(BODY):
            held -= rate * (1.0 if b == 0 else law.hitch_rise[(3 * h + b - 1) * W + lane]) * q[b]
        energy += hitch_energy(held, rate)
        for b in range(BODY):
            rb = 1.0 if b == 0 else law.hitch_rise[(3 * h + b - 1) * W + lane]
            total[b] += rb * held
            for d in range(BODY):
                stiffness[b, d] += rate * rb * (1.0 if d == 0 else law.hitch_rise[(3 * h + d - 1) * W + lane])
    total[3] -= law.twist_rate[lane] * q[3]
    energy += law.twist_rate[lane] * q[3] * q[3] / 2
    stiffness[3, 3] += law.twist_rate[lane]
    for b in range(BODY):
        if law.body_inverse[b * W + lane] == 0.0:  # held
            total[b] = 0.0
            stiffness[b, :] = 0.0
            stiffness[:, b] = 0.0
            stiffness[b, b] = 1.0
    return energy


@njit(**LOOP)
def solve(stiffness, total, step):
    """Newton's step by Cholesky into `step`; False where the tangent does not curve upwards, so that nothing would rest there."""
    n = len(total)
    for j in range(n):
        for i in range(j, n):
            x = stiffness[i, j]
            for k in range(j):
                x -= stiffness[i, k] * stiffness[j, k]
            if i == j:
                if not x > 0.0:
                    return False
                stiffness[j, j] = np.sqrt(x)
            else:
                stiffness[i, j] = x / stiffness[j, j]
    for i in range(n):
        x = total[i]
        for k in range(i):
            x -= stiffness[i, k] * step[k]
        step[i] = x / stiffness[i, i]
    for i in range(n - 1, -1, -1):
        x = step[i]
        for k in range(i + 1, n):
            x -= stiffness[k, i] * step[k]
        step[i] = x / stiffness[i, i]
    return True


@njit(**LOOP)
def settle(W, law, of, ground, along, specific, close, q, left):
    """Bring every run to rest under a specific force (runs, 3) and what passes along side-view lines: `of` is its lane of the W of the law, q (runs, 4 + w) the first guess and then the rest, left what force is left over, nan where none was found."""
    runs, n = q.shape
    wheels = n - BODY
    total, trial, step = np.zeros(n), np.zeros(n), np.zeros(n)
    stiffness, between, by_travel = np.zeros((n, n)), np.zeros((wheels, wheels)), np.zeros(wheels)
    worked, lever = np.zeros((n, n)), np.ones((wheels, BODY))
    for r in range(runs):
        left[r] = np.nan
        body, axles, weights = masses_of(W, of[r], law)
        energy = tangent(
            W,
            of[r],
            law,
            ground[r],
            along[r],
            specific[r],
            body,
            axles,
            weights,
            q[r],
            total,
            stiffness,
            by_travel,
            between,
            lever,
        )
        most = np.abs(total).max()
        for _ in range(STEPS):
            worked[:] = stiffness
            stands = solve(worked, total, step)
            if most < close[r]:
                left[r] = most if stands else np.nan
                break
            shift = 1e-3
            # stiffened until the step leads downhill and is no longer than a vehicle: wheels off the ground may leave nothing that holds
            while not (stands and np.abs(step).max() < LONGEST) and shift < 1e6:
                worked[:] = stiffness
                for j in range(n):
                    worked[j, j] += shift * (abs(stiffness[j, j]) + 1e-3 * law.tyre_rate[of[r]])
                stands = solve(worked, total, step)
                shift *= 4.0
            drop = (total * step).sum()
            size, better = 1.0, False
            while not better and size > SMALLEST:
                for j in range(n):
                    trial[j] = q[r, j] + size * step[j]
                now = tangent(
                    W, of[r], law, ground[r], along[r], specific[r], body, axles, weights, trial, total, stiffness, by_travel, between, lever
                )  # fmt: skip
                left_over = np.abs(total).max()
                better = energy - now > 1e-4 * size * drop or left_over < most / 2
                size *= 0.5
            tilt = max(abs(trial[1]), abs(trial[2]))
            if not better or np.abs(trial).max() > FARTHEST or tilt > TILTED:
                break
            energy, most = now, left_over
            q[r, :] = trial
