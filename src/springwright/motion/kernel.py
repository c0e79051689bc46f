"""The force model compiled: vehicles driven step by step, with every figure that can be kept while they go.

Velocity Verlet with a predicted velocity: one force evaluation a step, second order,

    q' = q + v dt + a dt**2 / 2,   a' = M^-1 Q(q', v + a dt),   v' = v + (a + a') dt / 2

Vehicles go side by side in lanes, one number of each after the other in memory, so that the processor works on several at
once: X[item * W + lane]. W is the length of the tuple `lanes`, known when this is compiled; one vehicle alone is W = 1.
So is how many wheels an element may join, the length of `ends`: two, unless a walking beam or a cross-link joins more.
Working arrays live on the stack, which tells the compiler that no two of them overlap. `motion.forces` is the slow twin.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit, types
from numba.extending import intrinsic
from numba.np.arrayobj import make_array, populate_array

from springwright.motion import laws
from springwright.motion.compiled import clear_stale
from springwright.motion.figures import BINS
from springwright.motion.layout import MOST
from springwright.motion.weighting import SECTIONS

BODY = 4
# Counts are cut to these: the compiler then sees that no index is below nought and leaves out looking for one.
LONGEST = 2**40 - 1
LOOK = 16  # steps between looks for a run that diverges
# figures kept for each wheel, element, damper and channel, and of the work done
WHEEL = (
    "travel",
    "travel2",
    "travel_min",
    "travel_max",
    "load",
    "load2",
    "load_min",
    "load_max",
    "off",
    "lifts",
    "rim",
)
ELEMENT = ("force_min", "force_max", "contacts", "time", "work")
DAMPER = ("speed_min", "speed_max", "work", "friction_work", "force_max")
CHANNEL = ("square", "fourth", "peak")
WORK = ("ground", "dampers", "tyres", "load", "gained")

clear_stale()
# The law may be rearranged freely and is put in line, since handing its arrays over costs more than the law itself; the loop must still tell a number from none to notice a run that diverges.
LOOP = {"cache": True, "error_model": "numpy", "fastmath": {"contract", "nsz", "arcp"}, "nogil": True}
LAW = {**LOOP, "forceinline": True}


class RigArrays(NamedTuple):
    """Rigs as the kernel reads them: flat arrays, lane last. w wheels, e elements of c cells, d dampers, h hitches."""

    on_beam: Any  # (w,) whether a wheel is on a beam axle, lanes shared; told to the search for rest alone
    rise: Any  # (w, 3) rise of the body at each wheel per pitch, roll and twist
    body_mass: Any  # (5,) of each body coordinate and between pitch and roll; in the inverse 0 where held
    body_inverse: Any
    mate: Any  # (r, w) wheels whose force moves each wheel, lanes shared
    mate_inverse: Any  # (r, w) acceleration per force there
    mate_mass: Any  # (r, w) and mass between the two
    at: Any  # (r, e), r the length of `ends`: wheels each element joins, lanes shared
    share: Any  # (r, e) share of each one's travel
    start: Any  # (e,)
    scale: Any  # (e,) 1 / knot spacing
    cells: Any  # (e, c, 4) force in a cell as a cubic of the way through it
    bottom: Any  # (e, c) energy at the start of each cell
    end: Any  # (e, 2) force per knot spacing beyond the first and the last knot
    always: int  # elements before this one act always, the stops after it only where a wheel reaches them
    reach: Any  # (w, 2) travel of each wheel below and above which a droop or a bump stop may be met
    damper_at: Any  # (r, d)
    damper_share: Any
    damper_first: Any  # (d, 2) force and slope of the first line at no speed
    knee: Any  # (d, k) speed at which the slope changes
    change: Any  # (d, k) by how much
    zone_first: Any  # (d,) factor far in droop
    zone: Any  # (d, z) travel at which the factor's slope changes
    zone_change: Any  # (d, z) by how much
    friction: Any  # (d,)
    friction_speed: Any  # ()
    tyre_rate: Any  # (w,)
    tyre_damping: Any
    tyre_force: Any
    tyre_room: Any  # (w,) how far a tyre may be pressed past the design position until its rim carries
    rim_rate: Any  # (w,)
    sprung: Any  # (7,) see motion.masses.body_row
    axles: Any  # (a, 8) see motion.masses.axle_rows
    pairs: Any  # (a, 2) left and right wheel of each axle, lanes shared
    weights: Any  # (w,) unsprung mass on each wheel
    load: Any  # (4 + w,) gravity about a rest, as a straight line: what it is with every coordinate nought
    lean: Any  # (5,) more of it per body coordinate, and between pitch and roll
    opposite: Any  # (w,) the other wheel of the axle, itself where there is none; lanes shared
    tilt: Any  # (w, 2) more of it per height over the opposite wheel, and per roll
    twist_rate: Any  # ()
    hitch_rise: Any  # (h, 3)
    hitch_rate: Any  # (h,)
    hitch_force: Any
    push: Any  # (4 + w,) force per acceleration across, braking and driving about that rest; until then of the side-view lines alone
    brake: Any
    pull: Any


class PathArrays(NamedTuple):
    """Where and how the lanes go."""

    dt: Any  # () step [s]
    steps: int  # of the longest
    start: Any  # () where the origin begins [m]
    gain: Any  # () how far it goes in a step [m]
    path: Any  # (n + 1,) where it is at each step [m] for a speed that varies, or nothing
    heights: Any  # every track one after the other, lanes shared
    track: Any  # (w,) where each wheel's track begins in them
    cells: Any  # () cells of a track
    over_dx: Any  # () 1 / spacing
    ahead: Any  # (w,)
    pace: Any  # () speed [m/s]
    paces: Any  # (n + 1,) the same at each step where it varies, or nothing
    pulls: Any  # (2, n + 1) acceleration along and across, or nothing
    settle: Any  # () first step of which figures are kept
    last: Any  # () last step


class OutputSpec(NamedTuple):
    """What is read while it goes: channels of acceleration through filters, histories, turning points."""

    points: Any  # (c, 4) acceleration of each channel per body acceleration
    leans: Any  # (c, 3) gravity's share in it per pitch, roll and twist
    leaning: Any  # (c,) 1 by pitch, 2 by roll and twist, 0 for none; lanes shared
    filter: Any  # (c,) which filter it goes through, -1 for none, lanes shared
    filters: Any  # (f, SECTIONS, 5)
    sections: Any  # (f,) lanes shared
    every: int  # steps between rows of the history, 0 for none
    bin_width: float
    swing: float  # least turn-back that counts as a turning point


class Accumulators(NamedTuple):
    """What a run fills in; see the tuples of their names. Histories, bins and turning points only for one lane alone."""

    wheel: Any  # (w, 11)
    element: Any  # (e, 5)
    damper: Any  # (d, 5)
    channel: Any  # (c, 3)
    work: Any  # (5,)
    q: Any  # (4 + w,) where it starts, and then where it ends
    v: Any
    diverged: Any  # () step at which it was seen to, or -1
    bins: Any  # (d, bins)
    turns: Any  # (s, t)
    turned: Any  # (s,)
    history: Any  # (rows, columns)


@intrinsic
def scratch(_typing, _count):
    """An array of `count` floats on the stack, not cleared; asked for outside every loop."""
    array = types.Array(types.float64, 1, "C")

    def make(context, builder, _signature, arguments):
        item = context.get_data_type(types.float64)
        room = builder.alloca(item, size=arguments[0])
        room.align = 64
        made = make_array(array)(context, builder)
        size = context.get_constant(types.intp, 8)
        populate_array(made, data=room, shape=(arguments[0],), strides=(size,), itemsize=size, meminfo=None)
        return made._getvalue()  # noqa: SLF001 (numba gives no other way to hand an array over)

    return array(types.intp), make


@njit(**LAW)
def low(a, b):
    """Lesser of two, as a choice the compiler can make for several lanes at once."""
    return a if a < b else b


@njit(**LAW)
def high(a, b):
    """Greater of two."""
    return a if a > b else b


in_cell, in_cell_energy, past_ends, past_end_energy, tyre_spring, tyre_energy, tyre_pushes, sliding, hitch_holds, hitch_energy = (
    njit(**LAW)(one)
    for one in (
        laws.in_cell, laws.in_cell_energy, laws.past_ends, laws.past_end_energy, laws.tyre_spring, laws.tyre_energy, laws.tyre_pushes,
        laws.sliding, laws.hitch_holds, laws.hitch_energy,
    )
)  # fmt: skip


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


@njit(**LAW)
def read_ground(
    lanes, heights, track, cells, over_dx, ahead, start, gain, path, pace, paces, step, place, swift, ground, rising
):
    """Height under each wheel where the vehicle's origin has come to, and how fast it rises there; level before and after the profile."""
    W = len(lanes) & MOST
    for lane in range(W):
        place[lane] = path[step * W + lane] if path.shape[0] > 0 else start[lane] + step * gain[lane]
        swift[lane] = over_dx[lane] * (paces[step * W + lane] if paces.shape[0] > 0 else pace[lane])
    for i in range((ahead.shape[0] // W) & MOST):
        for lane in range(W):
            k = i * W + lane
            there = (place[lane] + ahead[k]) * over_dx[lane]
            at = low(high(there, 0.0), float(cells[lane]))
            j = min(int(at), cells[lane] - 1)
            here = heights[np.uintp(track[k] + j)]
            up = heights[np.uintp(track[k] + j + 1)] - here
            ground[k] = here + (at - j) * up
            rising[k] = up * swift[lane] if there == at else 0.0


@njit(**LOOP)
def energy(
    lanes, ends, rise, body_mass, mate, mate_mass, at, share, start, scale, cells, bottom, end, tyre_rate, tyre_force, tyre_room, rim_rate, load,
    lean, opposite, tilt, twist_rate, hitch_rise, hitch_rate, hitch_force, q, v, ground, travel, lane,
):  # fmt: skip
    """Energy of one lane [J]: in springs, tyres and the hitch, of height and lean, of motion."""
    W = len(lanes) & MOST
    wheels, all_elements = tyre_rate.shape[0] // W, start.shape[0] // W
    whole = 0.5 * twist_rate[lane] * q[3 * W + lane] ** 2
    whole += (
        body_mass[4 * W + lane] * v[W + lane] * v[2 * W + lane] - lean[4 * W + lane] * q[W + lane] * q[2 * W + lane]
    )
    for b in range(BODY):
        k = b * W + lane
        whole += 0.5 * (body_mass[k] * v[k] ** 2 - lean[k] * q[k] ** 2) - load[k] * q[k]
    for i in range(wheels):
        k, n, r = i * W + lane, (BODY + i) * W + lane, 3 * i * W + lane
        travel[k] = q[n] - (
            q[lane] + rise[r] * q[W + lane] + rise[r + W] * q[2 * W + lane] + rise[r + 2 * W] * q[3 * W + lane]
        )
        pressed = ground[k] - q[n]
        past = high(pressed - tyre_room[k], 0.0)
        carried = high(tyre_spring(tyre_force[k], tyre_rate[k], pressed, 0.0, 0.0), 0.0)
        whole += tyre_energy(carried, tyre_rate[k], rim_rate[k], past) - load[n] * q[n]
        whole -= q[n] * (
            tilt[2 * i * W + lane] * (q[n] - q[(BODY + opposite[i]) * W + lane]) / 2
            + tilt[(2 * i + 1) * W + lane] * q[2 * W + lane]
        )
        for m in range(len(ends)):
            s = m * wheels + i
            whole += 0.5 * mate_mass[s * W + lane] * v[n] * v[(BODY + mate[s]) * W + lane]
    count = (cells.shape[0] // (4 * W * max(all_elements, 1))) & MOST
    for e in range(all_elements):
        x = 0.0
        for r in range(len(ends)):
            s = r * all_elements + e
            x += share[s * W + lane] * travel[at[s] * W + lane]
        x = (x - start[e * W + lane]) * scale[e * W + lane]
        cell = min(max(int(x), 0), count - 1)
        t, c = low(high(x - cell, 0.0), 1.0), (e * count + cell) * 4 * W + lane
        f0, f1, f2, f3 = cells[c], cells[c + W], cells[c + 2 * W], cells[c + 3 * W]
        out = x - cell - t
        slope = end[2 * e * W + lane] if out < 0.0 else end[(2 * e + 1) * W + lane]
        stored = in_cell_energy(f0, f1, f2, f3, t) + past_end_energy(in_cell(f0, f1, f2, f3, t), slope, out)
        whole += bottom[(e * count + cell) * W + lane] + stored / scale[e * W + lane]
    hitches = (hitch_rate.shape[0] // W) & MOST
    for h in range(hitches):
        k, r = h * W + lane, 3 * h * W + lane
        up = (
            q[lane]
            + hitch_rise[r] * q[W + lane]
            + hitch_rise[r + W] * q[2 * W + lane]
            + hitch_rise[r + 2 * W] * q[3 * W + lane]
        )
        whole += hitch_energy(hitch_holds(hitch_force[k], hitch_rate[k], up), hitch_rate[k])
    return whole


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
