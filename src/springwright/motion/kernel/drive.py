"""The drive itself: step after step, with every figure kept while it goes."""

from __future__ import annotations

import numpy as np
from numba import njit

from springwright.motion.figures import BINS
from springwright.motion.kernel.arrays import BODY, CHANNEL, DAMPER, ELEMENT, LONGEST, LOOK, WHEEL, WORK
from springwright.motion.kernel.energy import energy
from springwright.motion.kernel.forces import accelerate, act
from springwright.motion.kernel.ground import read_ground
from springwright.motion.kernel.tools import LOOP, high, low, scratch, tyre_spring
from springwright.motion.layout import MOST
from springwright.motion.weighting import SECTIONS


@njit(**LOOP)
def run(lanes, ends, law, way, reading, kept):
    """Drive the lanes, each along its own way, and fill in `kept`.

    One long function on purpose: everything it works on is its own, on the stack, which is what lets the compiler keep
    several lanes in one register. Handed to other functions, the same arrays cost more than the work on them.
    """
    W = len(lanes) & MOST
    (
        _, rise, body_mass, body_inverse, mate, mate_inverse, mate_mass, at, share, start, scale, cells, bottom, end, fixed,
        reach, damper_at, damper_share, damper_first, knee, change, zone_first, zone, zone_change, friction, friction_speed, tyre_rate, tyre_damping,
        tyre_force, tyre_room, rim_rate, _, _, _, _, at_rest_load, lean, opposite, tilt, twist_rate, hitch_rise, hitch_rate, hitch_force, push, brake, pull,
    ) = law  # fmt: skip
    (
        dt,
        last_step,
        start_at,
        gain,
        path,
        heights,
        track,
        track_cells,
        over_dx,
        ahead,
        pace,
        paces,
        pulls,
        settle,
        last,
    ) = way
    points, leans, leaning, through, filters, sections, every, bin_width, swing = reading
    (
        kept_wheel, kept_element, kept_damper, kept_channel, kept_work, kept_q, kept_v, diverged, kept_bins, kept_turns,
        kept_turned, kept_history,
    ) = kept  # fmt: skip
    row, n = tyre_rate.shape[0], kept_q.shape[0]
    wheels, all_elements, all_dampers = (row // W) & MOST, (start.shape[0] // W) & MOST, (friction.shape[0] // W) & MOST
    size, channels, steps = (n // W) & MOST, through.shape[0] & MOST, last_step & LONGEST
    count_e, count_d = all_elements * W, all_dampers * W
    pulled, always = pulls.shape[0] > 0, fixed & MOST
    q, v, a, first = scratch(n), scratch(n), scratch(n), scratch(BODY * W)
    total, load, guess, lift = scratch(n), scratch(n), scratch(n), scratch(BODY * W)
    travel, rate, by_travel, tyres = scratch(row), scratch(row), scratch(row), scratch(row)
    elements, old_elements = scratch(count_e), scratch(count_e)
    closing, dampers, frictions = scratch(count_d), scratch(count_d), scratch(count_d)
    old_dampers, old_frictions, old_closed = scratch(count_d), scratch(count_d), scratch(count_d)
    ground, before, speed = scratch(row), scratch(row), scratch(row)
    old_travel, old_tyres, old_extra = scratch(row), scratch(row), scratch(row)
    memory, signal = scratch(channels * SECTIONS * 2 * W), scratch(W)
    w, el, dm, ch, work = (
        scratch(len(WHEEL) * row),
        scratch(len(ELEMENT) * count_e),
        scratch(len(DAMPER) * count_d),
        scratch(len(CHANNEL) * channels * W),
        scratch(len(WORK) * W),
    )
    place, wide = scratch(W), scratch(W)
    on, off, live, gone = scratch(W), scratch(W), scratch(W), scratch(W)
    springs = kept_turned.shape[0]
    highest, lowest, rising = scratch(springs), scratch(springs), scratch(springs)
    for k in range(n):
        q[k], v[k], a[k] = kept_q[k], kept_v[k], 0.0
        load[k] = at_rest_load[k]
    for k in range(BODY * W):
        first[k] = q[k]
    for k in range(row):
        speed[k], old_travel[k], old_tyres[k], old_extra[k] = 0.0, 0.0, 0.0, 0.0
    for k in range(count_e):
        elements[k], old_elements[k] = 0.0, 0.0
    for k in range(count_d):
        old_dampers[k], old_frictions[k], old_closed[k], frictions[k] = 0.0, 0.0, 0.0, 0.0
    for k in range(memory.shape[0]):
        memory[k] = 0.0
    for k in range(w.shape[0]):
        w[k] = kept_wheel[k]
    for k in range(el.shape[0]):
        el[k] = kept_element[k]
    for k in range(dm.shape[0]):
        dm[k] = kept_damper[k]
    for k in range(ch.shape[0]):
        ch[k] = 0.0
    for k in range(work.shape[0]):
        work[k] = 0.0
    for k in range(springs):
        highest[k], lowest[k], rising[k] = 0.0, 0.0, 0.0
    tyre_loss, rubbing, ends_at_rim, touching = False, False, False, 0
    for k in range(row):
        ends_at_rim = ends_at_rim or tyre_room[k] < 1e3
        tyre_loss = tyre_loss or tyre_damping[k] > 0.0
    for k in range(count_d):
        rubbing = rubbing or friction[k] > 0.0
    read_ground(
        lanes,
        heights,
        track,
        track_cells,
        over_dx,
        ahead,
        start_at,
        gain,
        path,
        pace,
        paces,
        0,
        signal,
        place,
        before,
        speed,
    )
    next_end, line, half = steps, 0, len(BINS) // 2
    for lane in range(W):
        next_end = min(next_end, last[lane])
        work[4 * W + lane] = -energy(
            lanes, ends, rise, body_mass, mate, mate_mass, at, share, start, scale, cells, bottom, end, tyre_rate, tyre_force,
            tyre_room, rim_rate, at_rest_load, lean, opposite, tilt, twist_rate, hitch_rise, hitch_rate, hitch_force, q, v, before, travel, lane,
        )  # fmt: skip
    for step in range(steps + 1):
        if step > 0:
            read_ground(
                lanes, heights, track, track_cells, over_dx, ahead, start_at, gain, path, pace, paces, step, signal,
                place, ground, speed,
            )  # fmt: skip
            for j in range(size):
                for lane in range(W):
                    k = j * W + lane
                    q[k] += dt[lane] * (v[k] + 0.5 * dt[lane] * a[k])
                    guess[k] = v[k] + dt[lane] * a[k]
                    v[k] += 0.5 * dt[lane] * a[k]
        else:
            for k in range(row):
                ground[k] = before[k]
            for k in range(n):
                guess[k] = v[k]
        if pulled:
            for j in range(size):
                for lane in range(W):
                    along, across = pulls[step * W + lane], pulls[(steps + 1 + step) * W + lane]
                    k = j * W + lane
                    load[k] = at_rest_load[k] + across * push[k] + along * (brake[k] if along < 0.0 else pull[k])
        met = act(
            lanes, ends, rise, at, share, start, scale, cells, end, always, reach, damper_at, damper_share, damper_first, knee,
            change, zone_first, zone, zone_change, rubbing, friction, friction_speed, tyre_rate, tyre_damping, tyre_force, tyre_room,
            rim_rate, lean, opposite, tilt, twist_rate, hitch_rise, hitch_rate, hitch_force, q, guess, ground, speed, load, total, lift, travel, rate, by_travel, elements,
            closing, dampers, frictions, tyres, place, wide,
        )  # fmt: skip
        accelerate(lanes, ends, body_inverse, mate, mate_inverse, total, a)
        if step > 0:
            for j in range(size):
                for lane in range(W):
                    v[j * W + lane] += 0.5 * dt[lane] * a[j * W + lane]
        if step % LOOK == 0:
            lost = 0
            for lane in range(W):
                if not abs(q[lane]) < 1e3 and diverged[lane] < 0 and step <= last[lane]:
                    diverged[lane] = step
                lost += int(diverged[lane] >= 0)
            if lost == W:
                return
        for lane in range(W):
            keep = settle[lane] <= step <= last[lane]
            on[lane], off[lane] = (1.0, 0.0) if keep else (0.0, 1e300)
            live[lane] = 1.0 if step <= last[lane] else 0.0
        # -- what each part did in this step: mean of both ends times the way it went
        since = 0.5 if step > 0 else 0.0
        for d in range(all_dampers):
            for lane in range(W):
                gone[lane] = 0.0
            for r in range(len(ends)):
                j, s = (damper_at[r * all_dampers + d] & MOST) * W, (r * all_dampers + d) * W
                for lane in range(W):
                    gone[lane] += damper_share[s + lane] * travel[j + lane]
            for lane in range(W):
                k, m = d * W + lane, len(DAMPER) * d * W + lane
                way_gone = since * live[lane] * (gone[lane] - old_closed[k])
                done, rubbed = (dampers[k] + old_dampers[k]) * way_gone, (frictions[k] + old_frictions[k]) * way_gone
                old_closed[k], old_dampers[k], old_frictions[k] = gone[lane], dampers[k], frictions[k]
                work[W + lane] += done + rubbed
                s = closing[k]
                dm[m] = low(dm[m], s + off[lane])
                dm[m + W] = high(dm[m + W], s - off[lane])
                dm[m + 2 * W] += on[lane] * done
                dm[m + 3 * W] += on[lane] * rubbed
                dm[m + 4 * W] = high(dm[m + 4 * W], on[lane] * abs(dampers[k] + frictions[k]))
        if step > 0:
            if tyre_loss:
                for i in range(wheels):
                    for lane in range(W):
                        k, j = i * W + lane, (BODY + i) * W + lane
                        pressed = ground[k] - q[j]
                        past = high(pressed - tyre_room[k], 0.0)
                        spring = tyre_spring(tyre_force[k], tyre_rate[k], pressed, rim_rate[k], past)
                        extra = tyres[k] - high(spring, 0.0)
                        moved = dt[lane] * (v[j] - 0.5 * dt[lane] * a[j]) - (ground[k] - before[k])
                        work[2 * W + lane] -= 0.5 * live[lane] * (extra + old_extra[k]) * moved
                        old_extra[k] = extra
            if pulled:
                for j in range(size):
                    for lane in range(W):
                        k = j * W + lane
                        work[3 * W + lane] += (
                            live[lane] * (load[k] - at_rest_load[k]) * dt[lane] * (v[k] - 0.5 * dt[lane] * a[k])
                        )
        for e in range(always):
            for lane in range(W):
                k, m = e * W + lane, len(ELEMENT) * e * W + lane
                el[m] = low(el[m], elements[k] + off[lane])
                el[m + W] = high(el[m + W], elements[k] - off[lane])
        if met + touching > 0:
            for e in range(always, all_elements):
                for lane in range(W):
                    gone[lane] = 0.0
                for r in range(len(ends)):
                    j, s = (at[r * all_elements + e] & MOST) * W, (r * all_elements + e) * W
                    for lane in range(W):
                        gone[lane] += share[s + lane] * (travel[j + lane] - old_travel[j + lane])
                for lane in range(W):
                    k, m = e * W + lane, len(ELEMENT) * e * W + lane
                    f, old = elements[k], old_elements[k]
                    el[m] = low(el[m], f + off[lane])
                    el[m + W] = high(el[m + W], f - off[lane])
                    pressed = on[lane] if f != 0.0 else 0.0
                    el[m + 2 * W] += pressed if old == 0.0 else 0.0
                    el[m + 3 * W] += pressed * dt[lane]
                    el[m + 4 * W] += on[lane] * high(since * (f + old) * gone[lane], 0.0)
                    old_elements[k] = f
        touching = met
        for i in range(wheels):
            for lane in range(W):
                k = i * W + lane
                m = len(WHEEL) * i * W + lane
                x, f = travel[k], tyres[k]
                work[lane] += since * live[lane] * (f + old_tyres[k]) * (ground[k] - before[k])
                w[m] += on[lane] * x
                w[m + W] += on[lane] * x * x
                w[m + 2 * W] = low(w[m + 2 * W], x + off[lane])
                w[m + 3 * W] = high(w[m + 3 * W], x - off[lane])
                w[m + 4 * W] += on[lane] * f
                w[m + 5 * W] += on[lane] * f * f
                w[m + 6 * W] = low(w[m + 6 * W], f + off[lane])
                w[m + 7 * W] = high(w[m + 7 * W], f - off[lane])
                lifted = on[lane] if f <= 0.0 else 0.0
                w[m + 8 * W] += lifted
                w[m + 9 * W] += lifted if old_tyres[k] > 0.0 else 0.0
                before[k], old_travel[k], old_tyres[k] = ground[k], x, f
        if ends_at_rim:
            for i in range(wheels):
                for lane in range(W):
                    k = i * W + lane
                    w[(len(WHEEL) * i + 10) * W + lane] += (
                        on[lane] if ground[k] - q[BODY * W + k] > tyre_room[k] else 0.0
                    )
        for c in range(channels):
            for lane in range(W):
                signal[lane] = 0.0
            for b in range(BODY):
                for lane in range(W):
                    signal[lane] += points[(c * BODY + b) * W + lane] * a[b * W + lane]
            if leaning[c] > 0:
                for b in range(1 if leaning[c] == 1 else 2, 2 if leaning[c] == 1 else BODY):
                    for lane in range(W):
                        k = b * W + lane
                        signal[lane] += leans[(c * (BODY - 1) + b - 1) * W + lane] * (q[k] - first[k])
            if through[c] >= 0:
                f = through[c] & MOST
                for k in range(sections[f] & MOST):
                    m, p = (c * SECTIONS + k) * 2 * W, (f * SECTIONS + k) * 5 * W
                    for lane in range(W):
                        x = signal[lane]
                        y = filters[p + lane] * x + memory[m + lane]
                        memory[m + lane] = (
                            filters[p + W + lane] * x - filters[p + 3 * W + lane] * y + memory[m + W + lane]
                        )
                        memory[m + W + lane] = filters[p + 2 * W + lane] * x - filters[p + 4 * W + lane] * y
                        signal[lane] = y
            for lane in range(W):
                m, x = len(CHANNEL) * c * W + lane, on[lane] * signal[lane]
                square = x * x
                ch[m] += square
                ch[m + W] += square * square
                ch[m + 2 * W] = high(ch[m + 2 * W], abs(x))
            if W == 1 and every > 0 and step % every == 0:
                kept_history[line, 1 + 3 * wheels + BODY + c] = signal[0]
        if W == 1:
            if on[0] > 0.0:
                for d in range(kept_bins.shape[0]):
                    kept_bins[d, min(max(int(np.floor(closing[d] / bin_width + 0.5)) + half, 0), len(BINS) - 1)] += 1
            for s in range(springs):
                u = 0.0
                for r in range(len(ends)):
                    u += share[r * count_e + s] * travel[at[r * count_e + s]]
                if step <= settle[0]:
                    highest[s], lowest[s] = u, u
                else:
                    highest[s], lowest[s] = max(highest[s], u), min(lowest[s], u)
                    turned = kept_turned[s]
                    if rising[s] >= 0.0 and highest[s] - u > swing:
                        if turned < kept_turns.shape[1]:
                            kept_turns[s, turned] = highest[s]
                        kept_turned[s] += 1
                        rising[s], lowest[s] = -1.0, u
                    elif rising[s] <= 0.0 and u - lowest[s] > swing:
                        if turned < kept_turns.shape[1]:
                            kept_turns[s, turned] = lowest[s]
                        kept_turned[s] += 1
                        rising[s], highest[s] = 1.0, u
            if every > 0 and step % every == 0:
                kept_history[line, 0] = step * dt[0]
                for i in range(wheels):
                    kept_history[line, 1 + i] = travel[i]
                    kept_history[line, 1 + wheels + i] = tyres[i]
                    kept_history[line, 1 + 2 * wheels + i] = q[BODY + i]
                for b in range(BODY):
                    kept_history[line, 1 + 3 * wheels + b] = q[b]
                line += 1
        if step == next_end:
            next_end = steps
            for lane in range(W):
                if last[lane] == step:
                    if not abs(q[lane]) < 1e3 and diverged[lane] < 0:
                        diverged[lane] = step
                    work[4 * W + lane] += energy(
                        lanes, ends, rise, body_mass, mate, mate_mass, at, share, start, scale, cells, bottom, end, tyre_rate,
                        tyre_force, tyre_room, rim_rate, at_rest_load, lean, opposite, tilt, twist_rate, hitch_rise, hitch_rate, hitch_force, q, v, ground,
                        by_travel, lane,
                    )  # fmt: skip
                    for j in range(size):
                        kept_q[j * W + lane], kept_v[j * W + lane] = q[j * W + lane], v[j * W + lane]
                elif last[lane] > step:
                    next_end = min(next_end, last[lane])
    for k in range(w.shape[0]):
        kept_wheel[k] = w[k]
    for k in range(el.shape[0]):
        kept_element[k] = el[k]
    for k in range(dm.shape[0]):
        kept_damper[k] = dm[k]
    for k in range(ch.shape[0]):
        kept_channel[k] = ch[k]
    for k in range(work.shape[0]):
        kept_work[k] = work[k]
