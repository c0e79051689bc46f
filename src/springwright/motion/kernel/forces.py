"""Generalised forces, and the acceleration that follows."""

from __future__ import annotations

from numba import njit

from springwright.motion.kernel.arrays import BODY
from springwright.motion.kernel.tools import (
    LAW,
    high,
    hitch_holds,
    in_cell,
    low,
    past_ends,
    sliding,
    tyre_pushes,
    tyre_spring,
)
from springwright.motion.layout import MOST


@njit(**LAW)
def act(
    lanes, ends, rise, at, share, start, scale, cells, end, always, reach, damper_at, damper_share, damper_first, knee,
    change, zone_first, zone, zone_change, rubbing, friction, friction_speed, tyre_rate, tyre_damping, tyre_force, tyre_room, rim_rate, lean, opposite, tilt, twist_rate,
    hitch_rise, hitch_rate, hitch_force, q, v, ground, ground_speed, load, total, lift, travel, rate, by_travel, elements, closing,
    dampers, frictions, tyres, place, wide,
):  # fmt: skip
    """Generalised forces into `total`; what each part does into the other arrays."""
    W = len(lanes) & MOST
    wheels, all_elements = (tyre_rate.shape[0] // W) & MOST, (start.shape[0] // W) & MOST
    met = 0  # how many wheels are where a stop may be met; counted, since a branch here costs more than the whole law
    for i in range(wheels):
        for lane in range(W):
            k = i * W + lane
            r = 3 * i * W + lane
            r1, r2, r3 = rise[r], rise[r + W], rise[r + 2 * W]
            travel[k] = q[(BODY + i) * W + lane] - (
                q[lane] + r1 * q[W + lane] + r2 * q[2 * W + lane] + r3 * q[3 * W + lane]
            )
            rate[k] = v[(BODY + i) * W + lane] - (
                v[lane] + r1 * v[W + lane] + r2 * v[2 * W + lane] + r3 * v[3 * W + lane]
            )
            by_travel[k] = 0.0
            met += int(travel[k] > reach[(2 * i + 1) * W + lane]) + int(travel[k] < reach[2 * i * W + lane])
    count = (cells.shape[0] // (4 * W * max(all_elements, 1))) & MOST
    for e in range(all_elements if met > 0 else always):
        for lane in range(W):
            elements[e * W + lane] = 0.0
        for r in range(len(ends)):
            j, s = (at[r * all_elements + e] & MOST) * W, (r * all_elements + e) * W
            for lane in range(W):
                elements[e * W + lane] += share[s + lane] * travel[j + lane]
        for lane in range(W):
            k = e * W + lane
            x = (elements[k] - start[k]) * scale[k]
            cell = min(max(int(x), 0), count - 1)
            t = low(high(x - cell, 0.0), 1.0)
            c = (e * count + cell) * 4 * W + lane
            f = in_cell(cells[c], cells[c + W], cells[c + 2 * W], cells[c + 3 * W], t)
            below, above = low(x, 0.0), high(x, float(count)) - count
            elements[k] = past_ends(f, below, end[2 * e * W + lane], above, end[(2 * e + 1) * W + lane])
        for r in range(len(ends)):
            j, s = (at[r * all_elements + e] & MOST) * W, (r * all_elements + e) * W
            for lane in range(W):
                by_travel[j + lane] += share[s + lane] * elements[e * W + lane]
    if met == 0:
        for k in range(always * W, all_elements * W):
            elements[k] = 0.0
    all_dampers = (friction.shape[0] // W) & MOST
    knees = (knee.shape[0] // (W * max(all_dampers, 1))) & MOST
    zones = (zone.shape[0] // (W * max(all_dampers, 1))) & MOST
    for d in range(all_dampers):
        for lane in range(W):
            closing[d * W + lane] = 0.0
        for r in range(len(ends)):
            j, s = (damper_at[r * all_dampers + d] & MOST) * W, (r * all_dampers + d) * W
            for lane in range(W):
                closing[d * W + lane] += damper_share[s + lane] * rate[j + lane]
        for lane in range(W):
            k = d * W + lane
            dampers[k] = damper_first[2 * d * W + lane] + damper_first[(2 * d + 1) * W + lane] * closing[k]
        for n in range(knees):
            for lane in range(W):
                k, m = d * W + lane, (d * knees + n) * W + lane
                dampers[k] += change[m] * high(closing[k] - knee[m], 0.0)
        if zones > 0:
            for lane in range(W):
                place[lane], wide[lane] = 0.0, zone_first[d * W + lane]
            for r in range(len(ends)):
                j, s = (damper_at[r * all_dampers + d] & MOST) * W, (r * all_dampers + d) * W
                for lane in range(W):
                    place[lane] += damper_share[s + lane] * travel[j + lane]
            for n in range(zones):
                for lane in range(W):
                    m = (d * zones + n) * W + lane
                    wide[lane] += zone_change[m] * high(place[lane] - zone[m], 0.0)
            for lane in range(W):
                dampers[d * W + lane] *= wide[lane]
        if rubbing:
            for lane in range(W):
                k = d * W + lane
                frictions[k] = friction[k] * sliding(closing[k], friction_speed[lane])
        for r in range(len(ends)):
            j, s = (damper_at[r * all_dampers + d] & MOST) * W, (r * all_dampers + d) * W
            for lane in range(W):
                by_travel[j + lane] += damper_share[s + lane] * (dampers[d * W + lane] + frictions[d * W + lane])
    for lane in range(W):
        lift[lane] = load[lane]
        lift[W + lane] = load[W + lane] + lean[W + lane] * q[W + lane] + lean[4 * W + lane] * q[2 * W + lane]
        lift[2 * W + lane] = (
            load[2 * W + lane] + lean[2 * W + lane] * q[2 * W + lane] + lean[4 * W + lane] * q[W + lane]
        )
        lift[3 * W + lane] = load[3 * W + lane] - twist_rate[lane] * q[3 * W + lane]
    for i in range(wheels):
        j = (BODY + (opposite[i] & MOST)) * W
        for lane in range(W):
            k, n = i * W + lane, (BODY + i) * W + lane
            pressed = ground[k] - q[n]
            past = high(pressed - tyre_room[k], 0.0)
            spring = tyre_spring(tyre_force[k], tyre_rate[k], pressed, rim_rate[k], past)
            f = high(tyre_pushes(spring, tyre_damping[k], v[n] - ground_speed[k]), 0.0)
            f = f if spring > 0.0 else 0.0
            tyres[k] = f
            g = by_travel[k]
            more = tilt[(2 * i + 1) * W + lane]
            total[n] = load[n] + f - g + tilt[2 * i * W + lane] * (q[n] - q[j + lane]) + more * q[2 * W + lane]
            lift[2 * W + lane] += more * q[n]
            r = 3 * i * W + lane
            lift[lane] += g
            lift[W + lane] += rise[r] * g
            lift[2 * W + lane] += rise[r + W] * g
            lift[3 * W + lane] += rise[r + 2 * W] * g
    hitches = (hitch_rate.shape[0] // W) & MOST
    for h in range(hitches):
        for lane in range(W):
            k, r = h * W + lane, 3 * h * W + lane
            r1, r2, r3 = hitch_rise[r], hitch_rise[r + W], hitch_rise[r + 2 * W]
            up = q[lane] + r1 * q[W + lane] + r2 * q[2 * W + lane] + r3 * q[3 * W + lane]
            g = hitch_holds(hitch_force[k], hitch_rate[k], up)
            lift[lane] += g
            lift[W + lane] += r1 * g
            lift[2 * W + lane] += r2 * g
            lift[3 * W + lane] += r3 * g
    for k in range(BODY * W):
        total[k] = lift[k]
    return met


@njit(**LAW)
def accelerate(lanes, ends, body_inverse, mate, mate_inverse, total, a):
    """Acceleration from generalised forces: the body on its own, wheels that share a mass together."""
    W = len(lanes) & MOST
    wheels = (total.shape[0] // W - BODY) & MOST
    for k in range(BODY * W):
        a[k] = body_inverse[k] * total[k]
    for lane in range(W):
        a[W + lane] += body_inverse[4 * W + lane] * total[2 * W + lane]
        a[2 * W + lane] += body_inverse[4 * W + lane] * total[W + lane]
    for i in range(wheels):
        for lane in range(W):
            a[(BODY + i) * W + lane] = 0.0
    for m in range(len(ends)):
        for i in range(wheels):
            j, s = (BODY + (mate[m * wheels + i] & MOST)) * W, (m * wheels + i) * W
            for lane in range(W):
                a[(BODY + i) * W + lane] += mate_inverse[s + lane] * total[j + lane]
