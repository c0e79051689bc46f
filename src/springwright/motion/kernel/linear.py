"""What random ground does to many Rigs, compiled: motion about a rest at every frequency, its dampers straightened for the speeds they reach.

`motion.response` is the slow twin, and solves what has no good pivot here. Frequencies go side by side, as many at once as
`lanes` is long.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from springwright.motion.kernel.arrays import BODY
from springwright.motion.kernel.newton import masses_of, tangent
from springwright.motion.kernel.tools import LAW, LOOP, high, scratch, sliding
from springwright.motion.layout import MOST
from springwright.motion.masses import GRAVITY

PIVOT = 1e-8  # least share that a pivot's square may be of the greatest beneath it: below that, digits would be lost
ALONE = (0,)  # one lane
HALF = 300  # points of each half of the bell curve at which friction is weighed, as the slow twin does
STEP = 0.02  # between them, in standard deviations
BELL = STEP * np.exp(-((STEP * np.arange(HALF + 1)) ** 2) / 2) / np.sqrt(2 * np.pi)


@njit(**LOOP)
def straightened(points, force, friction, zone, speeds, rates):
    """Damper rates into `rates` that do the work the dampers do at a Gaussian speed of each root mean square [m/s, N s/m]."""
    last = points.shape[1] - 1
    for d in range(len(points)):
        speed = max(speeds[d], 1e-12)
        below, rates[d] = 0.0, 0.0
        for k in range(last):
            here = 1.0 if k == last - 1 else 0.5 * math.erfc(-points[d, k + 1] / speed / math.sqrt(2.0))
            rates[d] += (force[d, k + 1] - force[d, k]) / (points[d, k + 1] - points[d, k]) * (here - below)
            below = here
        if friction[d] > 0.0:
            rubbed = 0.0
            for i in range(1, HALF + 1):  # both halves are alike; the last point counts half in each
                at = STEP * i
                rubbed += (1.0 if i == HALF else 2.0) * sliding(speeds[d] * at, zone) * at * BELL[i]
            rates[d] += friction[d] * rubbed / speed


@njit(**LAW)
def eliminate(lanes, n, re, im, x, y, scaled, aside):
    """Solve a symmetric complex system re + i im (n, n) for both columns x + i y (2, n) in place; False where a pivot is too small."""
    W = len(lanes) & MOST
    poor = 0
    for j in range(n):
        for lane in range(W):
            p = (j * n + j) * W + lane
            size, most = re[p] * re[p] + im[p] * im[p], 0.0
            for i in range(j + 1, n):
                k = (i * n + j) * W + lane
                most = high(most, re[k] * re[k] + im[k] * im[k])
            poor += int(size <= PIVOT * most)
            re[p], im[p] = re[p] / size, -im[p] / size
        for i in range(j + 1, n):
            for lane in range(W):
                p, q = (j * n + j) * W + lane, (i * n + j) * W + lane
                scaled[lane], aside[lane] = re[q] * re[p] - im[q] * im[p], re[q] * im[p] + im[q] * re[p]
            for k in range(j + 1, i + 1):
                for lane in range(W):
                    q, t = (k * n + j) * W + lane, (i * n + k) * W + lane
                    re[t] -= re[q] * scaled[lane] - im[q] * aside[lane]
                    im[t] -= re[q] * aside[lane] + im[q] * scaled[lane]
            for side in range(2):
                for lane in range(W):
                    q, t = (side * n + j) * W + lane, (side * n + i) * W + lane
                    x[t] -= x[q] * scaled[lane] - y[q] * aside[lane]
                    y[t] -= x[q] * aside[lane] + y[q] * scaled[lane]
    for j in range(n - 1, -1, -1):
        for side in range(2):
            t = (side * n + j) * W
            for k in range(j + 1, n):
                for lane in range(W):
                    p, q = (k * n + j) * W + lane, (side * n + k) * W + lane
                    x[t + lane] -= re[p] * x[q] - im[p] * y[q]
                    y[t + lane] -= re[p] * y[q] + im[p] * x[q]
            for lane in range(W):
                p = (j * n + j) * W + lane
                u, v = x[t + lane], y[t + lane]
                x[t + lane], y[t + lane] = u * re[p] - v * im[p], u * im[p] + v * re[p]
    return poor == 0


@njit(**LOOP)
def move(lanes, omega, stiffness, mass, damping, rate, own, ground_x, ground_y, x, y):
    """Motion of every coordinate, wheels first, per height of each track at every frequency into x + i y (2, n, f); False where that has no good pivot.

    `rate`, `own` (w,) are the tyres' rate and damping, `ground` (w, 2, f) what each meets of the tracks.
    """
    W, n, wheels = len(lanes) & MOST, len(mass) & MOST, len(rate) & MOST
    re, im, u, v = (
        scratch(n * n * W, ALONE),
        scratch(n * n * W, ALONE),
        scratch(2 * n * W, ALONE),
        scratch(2 * n * W, ALONE),
    )
    scaled, aside = scratch(W, ALONE), scratch(W, ALONE)
    good = True
    for f in range(0, len(omega), W):
        for i in range(n):
            for j in range(i + 1):
                k, m, d = (i * n + j) * W, mass[i, j], damping[i, j]
                for lane in range(W):
                    w = omega[f + lane]
                    re[k + lane] = stiffness[i, j] - w * w * m
                    im[k + lane] = w * d
        for side in range(2):
            for i in range(n):
                k = (side * n + i) * W
                for lane in range(W):
                    u[k + lane], v[k + lane] = 0.0, 0.0
                    if i < wheels:
                        a, b, c = ground_x[i, side, f + lane], ground_y[i, side, f + lane], omega[f + lane] * own[i]
                        u[k + lane], v[k + lane] = rate[i] * a - c * b, rate[i] * b + c * a
        good = eliminate(lanes, n, re, im, u, v, scaled, aside) and good
        for side in range(2):
            for i in range(n):
                for lane in range(W):
                    k = (side * n + i) * W + lane
                    x[side, i, f + lane], y[side, i, f + lane] = u[k], v[k]
    return good


@njit(**LAW)
def squared(left_x, left_y, right_x, right_y, gamma):
    """Mean square per density of two tracks that share `gamma` of their cross-spectrum, never below nothing."""
    both = left_x * left_x + left_y * left_y + right_x * right_x + right_y * right_y
    return max(both + 2 * gamma * (left_x * right_x + left_y * right_y), 0.0)


@njit(**LOOP)
def meet(omega, places, side, speed, span, x, y):
    """What each wheel meets of the left and the right track into x + i y (w, 2, f): later the further back, averaged over a footprint."""
    foremost = places.max()
    for f in range(len(omega)):
        at = omega[f] / speed / 2 * span
        even = math.sin(at) / at if at != 0.0 else 1.0
        for i in range(len(places)):
            late = omega[f] * (places[i] - foremost) / speed
            c, s = even * math.cos(late), even * math.sin(late)
            for track in range(2):
                share = (1 + (1 - 2 * track) * side[i]) / 2  # of its own track all, on the middle half of each
                x[i, track, f], y[i, track, f] = share * c, share * s


@njit(**LOOP)
def level(omega, power, gamma, weight, still, moving, x, y):
    """Root mean square of what a row of `still` less omega**2 times one of `moving` reads of the motion, `weight` over its density."""
    square = 0.0
    for f in range(len(omega)):
        w2 = omega[f] ** 2
        lx = ly = rx = ry = 0.0
        for i in range(len(still)):
            share = still[i] - w2 * moving[i]
            lx += share * x[0, i, f]
            ly += share * y[0, i, f]
            rx += share * x[1, i, f]
            ry += share * y[1, i, f]
        square += power[f] * weight[f] * squared(lx, ly, rx, ry, gamma[f])
    return math.sqrt(square)


@njit(**LOOP)
def respond(lanes, road, rigs, asked, most, settled, found):
    """Fill in `found` for every Rig; where one has no good pivot it gets -1 rounds. See `motion.responses` for the tuples."""
    runs, dampers, n = rigs.dampers.shape
    wheels, frequencies = rigs.rate.shape[1], len(road.omega)
    x, y = np.zeros((2, n, frequencies)), np.zeros((2, n, frequencies))
    ground_x, ground_y = np.zeros((wheels, 2, frequencies)), np.zeros((wheels, 2, frequencies))
    damping, speeds, rates, better = np.zeros((n, n)), np.zeros(dampers), np.zeros(dampers), np.zeros(dampers)
    smooth, still, squares = np.zeros(dampers), np.zeros(n), road.omega**2
    for r in range(runs):
        meet(road.omega, rigs.places[r], rigs.side[r], road.speed, road.footprint, ground_x, ground_y)
        gamma, rate, own = rigs.gamma[r], rigs.rate[r], rigs.own[r]
        speeds[:] = 1e-6
        straightened(rigs.points[r], rigs.force[r], smooth, rigs.zone[r], speeds, rates)
        rounds, good, moving = 0, True, True
        while moving:
            damping[:] = 0.0
            for i in range(wheels):
                damping[i, i] = own[i]
            for d in range(dampers):
                for i in range(n):
                    for j in range(n):
                        damping[i, j] += rates[d] * rigs.dampers[r, d, i] * rigs.dampers[r, d, j]
            went = move(
                lanes, road.omega, rigs.stiffness[r], rigs.mass[r], damping, rate, own, ground_x, ground_y, x, y
            )
            good, moving = good and went, False
            if rounds < most and dampers:
                change = 0.0
                for d in range(dampers):
                    speeds[d] = level(road.omega, road.power, gamma, squares, rigs.dampers[r, d], still, x, y)
                straightened(rigs.points[r], rigs.force[r], rigs.friction[r], rigs.zone[r], speeds, better)
                for d in range(dampers):
                    change = max(change, abs(better[d] / max(rates[d], 1e-9) - 1))
                rates[:] = better
                rounds += 1
                moving = change > settled
        found.rates[r] = rates
        found.rounds[r] = rounds if good else -1
        for o in range(asked.still.shape[1]):
            found.outputs[r, o] = level(
                road.omega, road.power, gamma, asked.weight[o], asked.still[r, o], asked.moving[r, o], x, y
            )
        for i in range(wheels):
            square = 0.0
            for f in range(frequencies):
                gain = rate[i] ** 2 + squares[f] * own[i] ** 2
                square += road.power[f] * gain * squared(
                    ground_x[i, 0, f] - x[0, i, f], ground_y[i, 0, f] - y[0, i, f],
                    ground_x[i, 1, f] - x[1, i, f], ground_y[i, 1, f] - y[1, i, f], gamma[f],
                )  # fmt: skip
            found.loads[r, i] = math.sqrt(square)


@njit(**LOOP)
def tangents(W, law, q, stiffness):
    """Stiffness (W, 4 + w, 4 + w) of every lane at rest in q (W, 4 + w) on level ground."""
    n = q.shape[1]
    wheels = n - BODY
    total, by_travel, ground, along = np.zeros(n), np.zeros(wheels), np.zeros(wheels), np.zeros(n)
    between, lever, specific = np.zeros((wheels, wheels)), np.ones((wheels, BODY)), np.array([0.0, 0.0, GRAVITY])
    for lane in range(W):
        body, axles, weights = masses_of(W, lane, law)
        tangent(
            W, lane, law, ground, along, specific, body, axles, weights, q[lane], total, stiffness[lane], by_travel, between, lever
        )  # fmt: skip
