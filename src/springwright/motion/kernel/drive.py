"""The drive itself: step after step, with every figure kept while it goes."""

from __future__ import annotations

import numpy as np
from numba import njit

from springwright.motion.figures import BINS
from springwright.motion.kernel.arrays import BODY, CHANNEL, DAMPER, ELEMENT, LONGEST, LOOK, WHEEL, Workspace
from springwright.motion.kernel.energy import energy
from springwright.motion.kernel.forces import accelerate, act, sizes_of
from springwright.motion.kernel.ground import read_ground
from springwright.motion.kernel.tools import LAW, LOOP, anywhere, high, low, numbers, part, pick, scratch, tyre_spring
from springwright.motion.layout import MOST
from springwright.motion.weighting import SECTIONS

ALONE = (0,)  # one lane


@njit(**LOOP)
def run(lanes, ends, laws, ways, reading, kept):
    """Drive the lanes, each along its own way, and fill in `kept`.

    What it works on is its own, on the stack, which is what lets the compiler keep numbers in the processor's registers.
    """
    size = sizes_of(lanes, laws)
    w, e, d, c, s = size.wheels, size.elements, size.dampers, len(reading.filter), len(kept.turned)
    n = BODY + w
    room = Workspace(
        scratch(n, lanes), scratch(n, lanes), scratch(n, lanes), scratch(n, lanes), scratch(n, lanes), scratch(n, lanes),
        scratch(BODY, lanes), scratch(w, lanes), scratch(w, lanes), scratch(w, lanes), scratch(w, lanes), scratch(w, lanes),
        scratch(w, lanes), scratch(w, lanes), scratch(w, lanes), scratch(w, lanes), scratch(w, lanes), scratch(e, lanes),
        scratch(e, lanes), scratch(d, lanes), scratch(d, lanes), scratch(d, lanes), scratch(d, lanes), scratch(d, lanes),
        scratch(d, lanes), scratch(c * SECTIONS * 2, lanes), scratch(len(reading.leaning), lanes), scratch(s, lanes),
        scratch(s, lanes), scratch(s, lanes),
    )  # fmt: skip
    go(
        lanes, ends, size, numbers(laws, lanes), numbers(laws.cells, ALONE), numbers(laws.bottom, ALONE), numbers(ways, lanes),
        numbers(ways.heights, ALONE), len(ways.pulls) > 0, len(ways.path) > 0, reading, numbers(reading, lanes), kept, numbers(kept, lanes), room,
    )  # fmt: skip


@njit(**LAW)
def go(lanes, ends, size, law, cells, bottom, way, heights, pulled, varied, reading, read, kept, figures, room):
    """The drive on rows of numbers: of the law, the way, what is read and what is kept, and the `room` it has. `cells`, `bottom` and `heights` are flat."""
    leaning, through, sections, every = reading.leaning, reading.filter, reading.sections, reading.every
    points, leans, filters, follows = read.points, read.leans, read.filters, read.signal
    w, el, dm, ch, work, kept_q, kept_v = (
        figures.wheel, figures.element, figures.damper, figures.channel, figures.work, figures.q, figures.v,
    )  # fmt: skip
    bins, turns, turned, history, diverged = kept.bins, kept.turns, kept.turned, kept.history, kept.diverged
    (
        q, v, a, total, load, guess, first, travel, rate, by_travel, tyres, ground, before, rising, old_travel, old_tyres, old_extra,
        elements, old_elements, closing, dampers, frictions, old_dampers, old_frictions, old_closed, memory, signal, highest, lowest, turning,
    ) = room  # fmt: skip
    wheels, all_elements, all_dampers, always = size.wheels, size.elements, size.dampers, size.always
    n, channels, signals, springs = BODY + wheels, len(through) & MOST, len(leaning) & MOST, len(turned) & MOST
    steps = way.steps & LONGEST
    dt, settle, last = way.dt[0], way.settle[0], way.last[0]
    half_step, none = 0.5 * dt, 0.0 * dt
    for j in range(n):
        q[j], v[j], a[j], load[j] = kept_q[j], kept_v[j], none, law.load[j]
    for b in range(BODY):
        first[b] = q[b]
    for i in range(wheels):
        old_travel[i], old_tyres[i], old_extra[i] = none, none, none
    for e in range(all_elements):
        elements[e], old_elements[e] = none, none
    for d in range(all_dampers):
        old_dampers[d], old_frictions[d], old_closed[d], frictions[d] = none, none, none, none
    for k in range(channels * SECTIONS * 2):
        memory[k] = none
    for s in range(springs):
        highest[s], lowest[s], turning[s] = none, none, none
    ends_at_rim, tyre_loss, rubbing, touching = False, False, False, False
    for i in range(wheels):
        ends_at_rim = ends_at_rim or anywhere(law.tyre_room[i] < 1e3)
        tyre_loss = tyre_loss or anywhere(law.tyre_damping[i] > 0.0)
    for d in range(all_dampers):
        rubbing = rubbing or anywhere(law.friction[d] > 0.0)
    swift = way.over_dx[0] * (way.paces[0] if varied else way.pace[0])
    read_ground(size, way, heights, way.path[0] if varied else way.start[0], swift, before, rising)
    for i in range(wheels):
        ground[i] = before[i]
    done_ground, done_dampers, done_tyres, done_load = none, none, none, none
    gained = -energy(lanes, ends, size, law, cells, bottom, law.load, q, v, before, travel)
    next_end, line, half = steps, 0, len(BINS) // 2
    for lane in range(len(lanes)):
        next_end = min(next_end, part(last, lane))
    for step in range(steps + 1):
        now = 1.0 * step
        since = 0.5 if step > 0 else 0.0
        if step > 0:
            place = way.path[step] if varied else way.start[0] + now * way.gain[0]
            if varied:
                swift = way.over_dx[0] * way.paces[step]
            read_ground(size, way, heights, place, swift, ground, rising)
            for j in range(n):
                q[j] = q[j] + dt * (v[j] + half_step * a[j])
                guess[j] = v[j] + dt * a[j]
                v[j] = v[j] + half_step * a[j]
        else:
            for j in range(n):
                guess[j] = v[j]
        if pulled:
            along, across = way.pulls[step], way.pulls[steps + 1 + step]
            for j in range(n):
                load[j] = law.load[j] + across * law.push[j] + along * pick(along < 0.0, law.brake[j], law.pull[j])
        met = act(
            lanes, ends, size, law, cells, rubbing, q, guess, ground, rising, load, total, travel, rate, by_travel, elements, closing,
            dampers, frictions, tyres,
        )  # fmt: skip
        accelerate(ends, size, law, total, a)
        if step > 0:
            for j in range(n):
                v[j] = v[j] + half_step * a[j]
        if step % LOOK == 0 and _lost(lanes, q[0], step, last, diverged):
            return
        keep = (now >= settle) & (now <= last)
        on, off = pick(keep, 1.0, none), pick(keep, 0.0, none + 1e300)
        live = since * pick(now <= last, 1.0, none)
        # -- what each part did in this step: mean of both ends times the way it went
        for d in range(all_dampers):
            gone = none
            for r in range(len(ends)):
                s = r * all_dampers + d
                gone += law.damper_share[s] * travel[law.damper_at[s] & MOST]
            m = len(DAMPER) * d
            way_gone = live * (gone - old_closed[d])
            f, rubbed, speed = dampers[d], frictions[d], closing[d]
            work_done, work_rubbed = (f + old_dampers[d]) * way_gone, (rubbed + old_frictions[d]) * way_gone
            old_closed[d], old_dampers[d], old_frictions[d] = gone, f, rubbed
            done_dampers += work_done + work_rubbed
            dm[m] = low(dm[m], speed + off)
            dm[m + 1] = high(dm[m + 1], speed - off)
            dm[m + 2] = dm[m + 2] + on * work_done
            dm[m + 3] = dm[m + 3] + on * work_rubbed
            dm[m + 4] = high(dm[m + 4], on * abs(f + rubbed))
        if step > 0:
            if tyre_loss:
                for i in range(wheels):
                    j = BODY + i
                    pressed = ground[i] - q[j]
                    past = high(pressed - law.tyre_room[i], 0.0)
                    spring = tyre_spring(law.tyre_force[i], law.tyre_rate[i], pressed, law.rim_rate[i], past)
                    extra = tyres[i] - high(spring, 0.0)
                    moved = dt * (v[j] - half_step * a[j]) - (ground[i] - before[i])
                    done_tyres -= live * (extra + old_extra[i]) * moved
                    old_extra[i] = extra
            if pulled:
                for j in range(n):
                    done_load += 2.0 * live * (load[j] - law.load[j]) * dt * (v[j] - half_step * a[j])
        for e in range(always):
            m = len(ELEMENT) * e
            el[m] = low(el[m], elements[e] + off)
            el[m + 1] = high(el[m + 1], elements[e] - off)
        if met or touching:
            for e in range(always, all_elements):
                gone = none
                for r in range(len(ends)):
                    s = r * all_elements + e
                    j = law.at[s] & MOST
                    gone += law.share[s] * (travel[j] - old_travel[j])
                m = len(ELEMENT) * e
                f, old = elements[e], old_elements[e]
                el[m] = low(el[m], f + off)
                el[m + 1] = high(el[m + 1], f - off)
                pressing = pick(f != 0.0, on, 0.0)
                el[m + 2] = el[m + 2] + pick(old == 0.0, pressing, 0.0)
                el[m + 3] = el[m + 3] + pressing * dt
                el[m + 4] = el[m + 4] + on * high(since * (f + old) * gone, 0.0)
                old_elements[e] = f
        touching = met
        for i in range(wheels):
            m = len(WHEEL) * i
            x, f, old = travel[i], tyres[i], old_tyres[i]
            done_ground += live * (f + old) * (ground[i] - before[i])
            w[m] = w[m] + on * x
            w[m + 1] = w[m + 1] + on * x * x
            w[m + 2] = low(w[m + 2], x + off)
            w[m + 3] = high(w[m + 3], x - off)
            w[m + 4] = w[m + 4] + on * f
            w[m + 5] = w[m + 5] + on * f * f
            w[m + 6] = low(w[m + 6], f + off)
            w[m + 7] = high(w[m + 7], f - off)
            lifted = pick(f <= 0.0, on, 0.0)
            w[m + 8] = w[m + 8] + lifted
            w[m + 9] = w[m + 9] + pick(old > 0.0, lifted, 0.0)
            if ends_at_rim:
                w[m + 10] = w[m + 10] + pick(ground[i] - q[BODY + i] > law.tyre_room[i], on, 0.0)
            before[i], old_travel[i], old_tyres[i] = ground[i], x, f
        for s in range(signals):
            x = points[s * BODY] * a[0]
            for b in range(1, BODY):
                x += points[s * BODY + b] * a[b]
            if leaning[s] > 0:
                for b in range(1 if leaning[s] == 1 else 2, 2 if leaning[s] == 1 else BODY):
                    x += leans[s * (BODY - 1) + b - 1] * (q[b] - first[b])
            signal[s] = x
        for c in range(channels):
            x = signal[follows[c]]
            if through[c] >= 0:
                f = through[c] & MOST
                for k in range(sections[f] & MOST):
                    m, p = (c * SECTIONS + k) * 2, (f * SECTIONS + k) * 5
                    y = filters[p] * x + memory[m]
                    memory[m] = filters[p + 1] * x - filters[p + 3] * y + memory[m + 1]
                    memory[m + 1] = filters[p + 2] * x - filters[p + 4] * y
                    x = y
            m, kept_part = len(CHANNEL) * c, on * x
            square = kept_part * kept_part
            ch[m] = ch[m] + square
            ch[m + 1] = ch[m + 1] + square * square
            ch[m + 2] = high(ch[m + 2], abs(kept_part))
            if every > 0 and step % every == 0:
                history[line, 1 + 3 * wheels + BODY + c] = part(x, 0)
        # -- of one lane alone
        if len(bins) > 0 and step >= part(settle, 0):
            for d in range(all_dampers):
                at = int(np.floor(part(closing[d], 0) / reading.bin_width + 0.5))
                bins[d, min(max(at + half, 0), len(BINS) - 1)] += 1
        for s in range(springs):
            u = 0.0
            for r in range(len(ends)):
                u += part(law.share[r * all_elements + s] * travel[law.at[r * all_elements + s] & MOST], 0)
            _turn(turns, turned, s, u, step <= part(settle, 0), reading.swing, highest, lowest, turning)
        if every > 0 and step % every == 0:
            history[line, 0] = step * part(dt, 0)
            for i in range(wheels):
                history[line, 1 + i] = part(travel[i], 0)
                history[line, 1 + wheels + i] = part(tyres[i], 0)
                history[line, 1 + 2 * wheels + i] = part(q[BODY + i], 0)
            for b in range(BODY):
                history[line, 1 + 3 * wheels + b] = part(q[b], 0)
            line += 1
        if step == next_end:
            ending = now == last
            after = energy(lanes, ends, size, law, cells, bottom, law.load, q, v, ground, by_travel)
            gained += pick(ending, after, 0.0)
            for j in range(n):
                kept_q[j], kept_v[j] = pick(ending, q[j], kept_q[j]), pick(ending, v[j], kept_v[j])
            for lane in range(len(lanes)):
                if part(last, lane) == step and not abs(part(q[0], lane)) < 1e3 and diverged[lane] < 0:
                    diverged[lane] = step
            next_end = steps
            for lane in range(len(lanes)):
                if part(last, lane) > step:
                    next_end = min(next_end, part(last, lane))
    work[0], work[1], work[2], work[3], work[4] = done_ground, done_dampers, done_tyres, done_load, gained


@njit(**LOOP)
def _lost(lanes, heave, step, last, diverged):
    """Mark which lanes have gone past all bounds; True where all have."""
    lost = 0
    for lane in range(len(lanes)):
        if not abs(part(heave, lane)) < 1e3 and diverged[lane] < 0 and step <= part(last, lane):
            diverged[lane] = step
        lost += int(diverged[lane] >= 0)
    return lost == len(lanes)


@njit(**LOOP)
def _turn(turns, turned, s, u, settling, swing, highest, lowest, turning):
    """Follow the travel `u` of a spring to the next point at which it turns back by more than `swing`."""
    if settling:
        highest[s], lowest[s] = u, u
        return
    highest[s], lowest[s] = high(highest[s], u), low(lowest[s], u)
    up, down = part(highest[s], 0), part(lowest[s], 0)
    found = turned[s]
    if part(turning[s], 0) >= 0.0 and up - u > swing:
        if found < turns.shape[1]:
            turns[s, found] = up
        turned[s] += 1
        turning[s], lowest[s] = -1.0, u
    elif part(turning[s], 0) <= 0.0 and u - down > swing:
        if found < turns.shape[1]:
            turns[s, found] = down
        turned[s] += 1
        turning[s], highest[s] = 1.0, u
