"""The force model compiled: one vehicle driven step by step, with every figure that can be kept while it goes.

Velocity Verlet with a predicted velocity: one force evaluation a step, second order,

    q' = q + v dt + a dt**2 / 2,   a' = M^-1 Q(q', v + a dt),   v' = v + (a + a') dt / 2

Plain functions of scalars and small arrays, no objects and no allocation inside the step. `motion.forces` is the
slow twin; a test holds the two equal.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit

BODY = 4
BINS = 41  # of a damper's speed histogram
SECTIONS = 4  # second-order sections of a filter
# columns of the figures kept for each wheel, element, damper and channel
WHEEL = ("travel", "travel2", "travel_min", "travel_max", "load", "load2", "load_min", "load_max", "off", "lifts")
ELEMENT = ("force_min", "force_max", "contacts", "time", "work")
DAMPER = ("speed_min", "speed_max", "work", "friction_work", "force_max")
CHANNEL = ("square", "fourth", "peak", "least", "most")


# The law may be rearranged freely and is put in line, since handing a Packed over costs more than the law itself; the loop must still tell a number from none to notice a run that diverges.
LOOP = {"cache": True, "error_model": "numpy", "fastmath": {"contract", "nsz", "arcp"}, "nogil": True}
LAW = {**LOOP, "forceinline": True}


class Packed(NamedTuple):
    """A Rig as the kernel reads it. Every element and damper joins at most two wheels: `first` and `second` with a share each."""

    body_rows: Any  # (w, 4) rise of the body at each wheel per body coordinate
    body_inverse: Any  # (4,) 1 / mass, 0 where held
    partner: Any  # (w,) the other wheel of the axle, or itself
    own_inverse: Any  # (w,) acceleration of a wheel per force on it
    other_inverse: Any  # (w,) and per force on its partner
    element_first: Any
    element_second: Any
    element_near: Any  # share of the first wheel's travel
    element_far: Any
    element_start: Any
    element_scale: Any  # 1 / knot spacing
    element_cells: Any  # (e, cells, 4) force in a cell as a cubic of the way through it
    element_end: Any  # (e, 2) rate beyond the first and the last knot
    always: int  # elements before this one act always, the stops after it only where a wheel reaches them
    reach: Any  # (w, 2) travel at which a wheel meets its droop and its bump stop
    damper_first: Any
    damper_second: Any
    damper_near: Any
    damper_far: Any
    damper_speed: Any
    damper_force: Any
    friction: Any
    friction_speed: float
    tyre_rate: Any
    tyre_damping: Any
    tyre_force: Any
    load: Any  # (4 + w,) gravity in the design position
    lean: Any  # (4,) gravity per body coordinate
    twist_rate: float
    hitch_rows: Any  # (h, 4)
    hitch_rate: Any
    hitch_force: Any


class Kept(NamedTuple):
    """What a run fills in: figures by row and column (see the tuples above), histories, and the state it ends in."""

    wheel: Any
    element: Any
    damper: Any
    speeds: Any  # (d, BINS) steps spent in each speed bin
    channel: Any
    work: Any  # (4,) by the ground, in dampers and friction, in tyres, by the changing load
    turns: Any  # (s, t) turning points of each spring's displacement
    turned: Any  # (s,) how many there are
    history: Any  # (rows, columns)
    q: Any
    v: Any
    a: Any


@njit(**LAW)
def act(
    body_rows, element_first, element_second, element_near, element_far, element_start, element_scale, element_cells,
    element_end, always, reach, damper_first, damper_second, damper_near, damper_far, damper_speed, damper_force,
    friction, friction_speed, tyre_rate, tyre_damping, tyre_force, lean, twist_rate, hitch_rows, hitch_rate,
    hitch_force, q, v, ground, ground_speed, load, total, travel, rate, by_travel, elements, dampers, frictions,
    tyres,
):  # fmt: skip
    """Generalised forces into `total`; what each part does into the other arrays."""
    wheels = travel.shape[0]
    beyond = -1.0  # how far a wheel is past a stop; as a branch in the loop this costs six times the whole law
    q0, q1, q2, q3 = q[0], q[1], q[2], q[3]
    v0, v1, v2, v3 = v[0], v[1], v[2], v[3]
    for i in range(wheels):
        r1, r2, r3 = body_rows[i, 1], body_rows[i, 2], body_rows[i, 3]
        x = q[BODY + i] - (q0 + r1 * q1 + r2 * q2 + r3 * q3)
        travel[i] = x
        beyond = max(beyond, max(x - reach[i, 1], reach[i, 0] - x))
        rate[i] = v[BODY + i] - (v0 + r1 * v1 + r2 * v2 + r3 * v3)
        by_travel[i] = 0.0
    for e in range(elements.shape[0] if beyond > 0.0 else always):
        j, k = element_first[e], element_second[e]
        at = (element_near[e] * travel[j] + element_far[e] * travel[k] - element_start[e]) * element_scale[e]
        cell = min(max(int(at), 0), element_cells.shape[1] - 1)
        t = min(max(at - cell, 0.0), 1.0)
        f = element_cells[e, cell, 0] + t * (
            element_cells[e, cell, 1] + t * (element_cells[e, cell, 2] + t * element_cells[e, cell, 3])
        )
        if at < 0.0:
            f += element_end[e, 0] * at / element_scale[e]
        elif at > element_cells.shape[1]:
            f += element_end[e, 1] * (at - element_cells.shape[1]) / element_scale[e]
        elements[e] = f
        by_travel[j] += element_near[e] * f
        by_travel[k] += element_far[e] * f
    if beyond <= 0.0:
        for e in range(always, elements.shape[0]):
            elements[e] = 0.0
    for d in range(dampers.shape[0]):
        j, k = damper_first[d], damper_second[d]
        s = damper_near[d] * rate[j] + damper_far[d] * rate[k]
        i = 0
        while i < damper_speed.shape[1] - 2 and s >= damper_speed[d, i + 1]:
            i += 1
        f = damper_force[d, i] + (damper_force[d, i + 1] - damper_force[d, i]) * (s - damper_speed[d, i]) / (
            damper_speed[d, i + 1] - damper_speed[d, i]
        )
        dampers[d] = f
        frictions[d] = friction[d] * np.tanh(s / friction_speed) if friction[d] > 0.0 else 0.0
        f += frictions[d]
        by_travel[j] += damper_near[d] * f
        by_travel[k] += damper_far[d] * f
    t0, t1, t2, t3 = load[0], load[1] + lean[1] * q1, load[2] + lean[2] * q2, load[3] - twist_rate * q3
    for i in range(wheels):
        spring = tyre_force[i] - tyre_rate[i] * (q[BODY + i] - ground[i])
        f = 0.0
        if spring > 0.0:
            f = max(spring - tyre_damping[i] * (v[BODY + i] - ground_speed[i]), 0.0)
        tyres[i] = f
        g = by_travel[i]
        total[BODY + i] = load[BODY + i] + f - g
        t0 += g
        t1 += body_rows[i, 1] * g
        t2 += body_rows[i, 2] * g
        t3 += body_rows[i, 3] * g
    for h in range(hitch_rate.shape[0]):
        r1, r2, r3 = hitch_rows[h, 1], hitch_rows[h, 2], hitch_rows[h, 3]
        g = hitch_force[h] - hitch_rate[h] * (q0 + r1 * q1 + r2 * q2 + r3 * q3)
        t0 += g
        t1 += r1 * g
        t2 += r2 * g
        t3 += r3 * g
    total[0], total[1], total[2], total[3] = t0, t1, t2, t3


@njit(**LAW)
def accelerate(body_inverse, partner, own_inverse, other_inverse, total, a):
    """Acceleration from generalised forces: the body on its own, wheels of an axle together."""
    for b in range(BODY):
        a[b] = body_inverse[b] * total[b]
    for i in range(partner.shape[0]):
        a[BODY + i] = own_inverse[i] * total[BODY + i] + other_inverse[i] * total[BODY + partner[i]]


@njit(**LAW)
def read_ground(tracks, track, dx, position, ahead, ground):
    """Height under each wheel where the vehicle's origin has come to `position`; level before and after the profile."""
    last = tracks.shape[1] - 1
    for i in range(track.shape[0]):
        at = (position + ahead[i]) / dx
        at = min(max(at, 0.0), float(last))
        j = min(int(at), last - 1)
        t = at - j
        ground[i] = tracks[track[i], j] + t * (tracks[track[i], j + 1] - tracks[track[i], j])


@njit(**LOOP)
def run(
    p, dt, positions, tracks, track, dx, ahead, pulls, push, brake, drive, points, filters, sections, settle, every,
    bin_width, swing, kept,
):  # fmt: skip
    """Drive one vehicle along `positions` [m] of its origin, one for each step; returns the step at which it diverged, or -1.

    pulls (2, n + 1): acceleration along and across at each step [m/s2]; push, brake, drive (4 + w): generalised force per
    unit of it across, braking and driving. points (c, 4 + 1): acceleration read by each channel per body acceleration, and
    which filter it goes through (-1 for none), filters having `sections` each. settle: steps before figures are kept. every: steps between history rows, 0 for none.
    swing (s,): least turn-back that counts as a turning point.
    """
    (
        body_rows, body_inverse, partner, own_inverse, other_inverse, element_first, element_second, element_near,
        element_far, element_start, element_scale, element_cells, element_end, always, reach, damper_first,
        damper_second, damper_near, damper_far, damper_speed, damper_force, friction, friction_speed, tyre_rate,
        tyre_damping, tyre_force, at_rest_load, lean, twist_rate, hitch_rows, hitch_rate, hitch_force,
    ) = p  # fmt: skip
    wheels, steps = track.shape[0], positions.shape[0] - 1
    n = BODY + wheels
    (
        w, kept_element, kept_damper, kept_speeds, kept_channel, kept_work, kept_turns, kept_turned, kept_history, q, v,
        a,
    ) = kept  # fmt: skip
    total, load, guess = np.zeros(n), np.zeros(n), np.zeros(n)
    travel, rate, by_travel, tyres = np.zeros(wheels), np.zeros(wheels), np.zeros(wheels), np.zeros(wheels)
    elements, dampers, frictions = (
        np.zeros(element_first.shape[0]),
        np.zeros(damper_first.shape[0]),
        np.zeros(damper_first.shape[0]),
    )
    old_elements, old_dampers, old_frictions = elements.copy(), dampers.copy(), frictions.copy()
    ground, before, speed = np.zeros(wheels), np.zeros(wheels), np.zeros(wheels)
    old_travel, old_tyres, old_extra = np.zeros(wheels), np.zeros(wheels), np.zeros(wheels)
    channels = points.shape[0]
    memory = np.zeros((channels, SECTIONS, 2))
    springs = kept_turns.shape[0]
    highest, lowest, rising = np.zeros(springs), np.zeros(springs), np.zeros(springs)
    half = BINS // 2
    read_ground(tracks, track, dx, positions[0], ahead, before)
    row, was_pulled = 0, False
    by_ground, in_dampers, in_tyres, tyre_loss = 0.0, 0.0, 0.0, False
    for i in range(wheels):
        tyre_loss = tyre_loss or tyre_damping[i] > 0.0
    for step in range(steps + 1):
        if step > 0:
            read_ground(tracks, track, dx, positions[step], ahead, ground)
            for i in range(wheels):
                speed[i] = (ground[i] - before[i]) / dt
            for j in range(n):
                q[j] += dt * (v[j] + 0.5 * dt * a[j])
                guess[j] = v[j] + dt * a[j]
                v[j] += 0.5 * dt * a[j]
        else:
            for i in range(wheels):
                ground[i] = before[i]
            for j in range(n):
                guess[j] = v[j]
        along, across = pulls[0, step], pulls[1, step]
        pulled = along != 0.0 or across != 0.0
        if pulled or step == 0:
            for j in range(n):
                load[j] = at_rest_load[j] + across * push[j] + along * (brake[j] if along < 0.0 else drive[j])
        elif was_pulled:
            for j in range(n):
                load[j] = at_rest_load[j]
        was_pulled = pulled
        act(
            body_rows, element_first, element_second, element_near, element_far, element_start, element_scale, element_cells,
            element_end, always, reach, damper_first, damper_second, damper_near, damper_far, damper_speed, damper_force,
            friction, friction_speed, tyre_rate, tyre_damping, tyre_force, lean, twist_rate, hitch_rows, hitch_rate,
            hitch_force, q, guess, ground, speed, load, total, travel, rate, by_travel, elements, dampers, frictions, tyres,
        )  # fmt: skip
        accelerate(body_inverse, partner, own_inverse, other_inverse, total, a)
        if step > 0:
            for j in range(n):
                v[j] += 0.5 * dt * a[j]
        if not abs(q[0]) < 1e3:
            return step
        keep = step >= settle
        # -- what each part did in this step: mean of both ends times the way it went
        if step > 0:
            for i in range(wheels):
                by_ground += (tyres[i] + old_tyres[i]) * (ground[i] - before[i])
            if tyre_loss:
                for i in range(wheels):
                    extra = tyres[i] - max(tyre_force[i] - tyre_rate[i] * (q[BODY + i] - ground[i]), 0.0)
                    in_tyres -= (extra + old_extra[i]) * dt * (v[BODY + i] - speed[i])
                    old_extra[i] = extra
            for d in range(dampers.shape[0]):
                j, k = damper_first[d], damper_second[d]
                way = damper_near[d] * (travel[j] - old_travel[j]) + damper_far[d] * (travel[k] - old_travel[k])
                done, rubbed = (dampers[d] + old_dampers[d]) * way, (frictions[d] + old_frictions[d]) * way
                in_dampers += done + rubbed
                if keep:
                    kept_damper[d, 2] += 0.5 * done
                    kept_damper[d, 3] += 0.5 * rubbed
            for e in range(always, elements.shape[0]):
                if keep and (elements[e] != 0.0 or old_elements[e] != 0.0):
                    j, k = element_first[e], element_second[e]
                    way = element_near[e] * (travel[j] - old_travel[j]) + element_far[e] * (travel[k] - old_travel[k])
                    kept_element[e, 4] += max(0.5 * (elements[e] + old_elements[e]) * way, 0.0)
            if pulled:
                for j in range(n):
                    kept_work[3] += (load[j] - at_rest_load[j]) * dt * (v[j] - 0.5 * dt * a[j])
        if keep:
            for i in range(wheels):
                x, f = travel[i], tyres[i]
                w[i, 0] += x
                w[i, 1] += x * x
                w[i, 2], w[i, 3] = min(w[i, 2], x), max(w[i, 3], x)
                w[i, 4] += f
                w[i, 5] += f * f
                w[i, 6], w[i, 7] = min(w[i, 6], f), max(w[i, 7], f)
                if f <= 0.0:
                    w[i, 8] += 1.0
                    if old_tyres[i] > 0.0:
                        w[i, 9] += 1.0
            for e in range(elements.shape[0]):
                f = elements[e]
                if e >= always and f == 0.0:
                    continue
                kept_element[e, 0], kept_element[e, 1] = min(kept_element[e, 0], f), max(kept_element[e, 1], f)
                if e >= always:
                    kept_element[e, 3] += dt
                    if old_elements[e] == 0.0:
                        kept_element[e, 2] += 1.0
            for d in range(dampers.shape[0]):
                s = damper_near[d] * rate[damper_first[d]] + damper_far[d] * rate[damper_second[d]]
                kept_damper[d, 0], kept_damper[d, 1] = min(kept_damper[d, 0], s), max(kept_damper[d, 1], s)
                kept_damper[d, 4] = max(kept_damper[d, 4], abs(dampers[d] + frictions[d]))
                kept_speeds[d, min(max(int(np.floor(s / bin_width + 0.5)) + half, 0), BINS - 1)] += 1
        for c in range(channels):
            x = 0.0
            for b in range(BODY):
                x += points[c, b] * a[b]
            if points[c, BODY] >= 0.0:
                f = int(points[c, BODY])
                for k in range(sections[f]):
                    y = filters[f, k, 0] * x + memory[c, k, 0]
                    memory[c, k, 0] = filters[f, k, 1] * x - filters[f, k, 3] * y + memory[c, k, 1]
                    memory[c, k, 1] = filters[f, k, 2] * x - filters[f, k, 4] * y
                    x = y
            if keep:
                square = x * x
                kept_channel[c, 0] += square
                kept_channel[c, 1] += square * square
                kept_channel[c, 2] = max(kept_channel[c, 2], abs(x))
                kept_channel[c, 3], kept_channel[c, 4] = min(kept_channel[c, 3], x), max(kept_channel[c, 4], x)
            if every > 0 and step % every == 0:
                kept_history[row, 1 + 3 * wheels + BODY + c] = x
        for s in range(springs):
            j, k = element_first[s], element_second[s]
            u = element_near[s] * travel[j] + element_far[s] * travel[k]
            if step <= settle:
                highest[s], lowest[s] = u, u
            elif keep:
                highest[s], lowest[s] = max(highest[s], u), min(lowest[s], u)
                turned = kept_turned[s]
                if rising[s] >= 0.0 and highest[s] - u > swing[s]:
                    if turned < kept_turns.shape[1]:
                        kept_turns[s, turned] = highest[s]
                    kept_turned[s] += 1
                    rising[s], lowest[s] = -1.0, u
                elif rising[s] <= 0.0 and u - lowest[s] > swing[s]:
                    if turned < kept_turns.shape[1]:
                        kept_turns[s, turned] = lowest[s]
                    kept_turned[s] += 1
                    rising[s], highest[s] = 1.0, u
        if every > 0 and step % every == 0:
            kept_history[row, 0] = step * dt
            for i in range(wheels):
                kept_history[row, 1 + i] = travel[i]
                kept_history[row, 1 + wheels + i] = tyres[i]
                kept_history[row, 1 + 2 * wheels + i] = q[BODY + i]
            for b in range(BODY):
                kept_history[row, 1 + 3 * wheels + b] = q[b]
            row += 1
        for i in range(wheels):
            before[i], old_travel[i], old_tyres[i] = ground[i], travel[i], tyres[i]
        for e in range(elements.shape[0]):
            old_elements[e] = elements[e]
        for d in range(dampers.shape[0]):
            old_dampers[d], old_frictions[d] = dampers[d], frictions[d]
    kept_work[0], kept_work[1], kept_work[2] = 0.5 * by_ground, 0.5 * in_dampers, 0.5 * in_tyres
    return -1
