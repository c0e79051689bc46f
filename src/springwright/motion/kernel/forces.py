"""Generalised forces, and the acceleration that follows.

Written for one vehicle; a number is a float, or one of each lane side by side (`motion.kernel.vectors`).
"""

from __future__ import annotations

from numba import njit

from springwright.motion.kernel.arrays import BODY, Sizes
from springwright.motion.kernel.tools import (
    LAW,
    LOOP,
    anywhere,
    gather,
    high,
    hitch_holds,
    in_cell,
    low,
    numbers,
    own,
    past_ends,
    pick,
    scratch,
    sliding,
    tyre_pushes,
    tyre_spring,
    whole,
)
from springwright.motion.layout import MOST


@njit(**LAW)
def sizes_of(lanes, law):
    """How many of each there are; cut to MOST, so that the compiler sees that none is below nought."""
    wide = len(lanes)
    elements, dampers = len(law.start) // wide, len(law.friction) // wide
    return Sizes(
        (len(law.tyre_rate) // wide) & MOST, elements & MOST, law.always & MOST, (len(law.cells) // (4 * wide * max(elements, 1))) & MOST,
        dampers & MOST, (len(law.knee) // (wide * max(dampers, 1))) & MOST, (len(law.zone) // (wide * max(dampers, 1))) & MOST,
        (len(law.hitch_rate) // wide) & MOST,
    )  # fmt: skip


@njit(**LAW)
def _curve(lanes, e, count, x, before, beyond, cells):
    """Force of an element whose curve is `count` cubic cells, `x` of them along, with straight lines `before` and `beyond` them."""
    wide = len(lanes)
    within = low(high(x, 0.0), float(count))
    cell = whole(low(within, count - 1.0))
    c, t = (e * count + cell) * (4 * wide) + own(lanes), within - cell
    f = in_cell(gather(cells, c), gather(cells, c + wide), gather(cells, c + 2 * wide), gather(cells, c + 3 * wide), t)
    return past_ends(f, low(x, 0.0), before, high(x, float(count)) - float(count), beyond)


@njit(**LAW)
def act(lanes, ends, size, law, cells, rubbing, q, v, ground, rising, load, total, travel, rate, by_travel, elements, closing, dampers, frictions, tyres):  # fmt: skip
    """Generalised forces into `total`; what each part does into the other arrays. True where a wheel is where a stop may be met.

    `cells` are those of the law, flat.
    """
    wheels, all_elements, always, count = size.wheels, size.elements, size.always, size.cells
    met = False
    for i in range(wheels):
        r1, r2, r3 = law.rise[3 * i], law.rise[3 * i + 1], law.rise[3 * i + 2]
        u = q[BODY + i] - (q[0] + r1 * q[1] + r2 * q[2] + r3 * q[3])
        travel[i] = u
        rate[i] = v[BODY + i] - (v[0] + r1 * v[1] + r2 * v[2] + r3 * v[3])
        by_travel[i] = 0.0
        met = met or anywhere(u > law.reach[2 * i + 1]) or anywhere(u < law.reach[2 * i])
    for e in range(all_elements if met else always):
        x = 0.0 * law.start[e]
        for r in range(len(ends)):
            s = r * all_elements + e
            x += law.share[s] * travel[law.at[s] & MOST]
        x = (x - law.start[e]) * law.scale[e]
        if law.straight[e] > 0:
            f = law.cells[4 * e * count] + x * law.cells[4 * e * count + 1]
        else:
            f = _curve(lanes, e, count, x, law.end[2 * e], law.end[2 * e + 1], cells)
        elements[e] = f
        for r in range(len(ends)):
            s = r * all_elements + e
            by_travel[law.at[s] & MOST] += law.share[s] * f
    if not met:
        for e in range(always, all_elements):
            elements[e] = 0.0
    all_dampers, knees, zones = size.dampers, size.knees, size.zones
    for d in range(all_dampers):
        speed = 0.0 * law.friction[d]
        for r in range(len(ends)):
            s = r * all_dampers + d
            speed += law.damper_share[s] * rate[law.damper_at[s] & MOST]
        f = law.damper_first[2 * d] + law.damper_first[2 * d + 1] * speed
        for n in range(knees):
            f += law.change[d * knees + n] * high(speed - law.knee[d * knees + n], 0.0)
        if zones > 0:
            place, factor = 0.0 * speed, law.zone_first[d]
            for r in range(len(ends)):
                s = r * all_dampers + d
                place += law.damper_share[s] * travel[law.damper_at[s] & MOST]
            for n in range(zones):
                factor += law.zone_change[d * zones + n] * high(place - law.zone[d * zones + n], 0.0)
            f *= factor
        closing[d], dampers[d] = speed, f
        if rubbing:
            rubbed = law.friction[d] * sliding(speed, law.friction_speed[0])
            frictions[d] = rubbed
            f += rubbed
        for r in range(len(ends)):
            s = r * all_dampers + d
            by_travel[law.damper_at[s] & MOST] += law.damper_share[s] * f
    heave = load[0]
    pitch = load[1] + law.lean[1] * q[1] + law.lean[4] * q[2]
    roll = load[2] + law.lean[2] * q[2] + law.lean[4] * q[1]
    twist = load[3] - law.twist_rate[0] * q[3]
    for i in range(wheels):
        n = BODY + i
        pressed = ground[i] - q[n]
        past = high(pressed - law.tyre_room[i], 0.0)
        spring = tyre_spring(law.tyre_force[i], law.tyre_rate[i], pressed, law.rim_rate[i], past)
        f = high(tyre_pushes(spring, law.tyre_damping[i], v[n] - rising[i]), 0.0)
        f = pick(spring > 0.0, f, 0.0)
        tyres[i] = f
        g, more = by_travel[i], law.tilt[2 * i + 1]
        total[n] = load[n] + f - g + law.tilt[2 * i] * (q[n] - q[BODY + (law.opposite[i] & MOST)]) + more * q[2]
        heave += g
        pitch += law.rise[3 * i] * g
        roll += more * q[n] + law.rise[3 * i + 1] * g
        twist += law.rise[3 * i + 2] * g
    for h in range(size.hitches):
        r1, r2, r3 = law.hitch_rise[3 * h], law.hitch_rise[3 * h + 1], law.hitch_rise[3 * h + 2]
        g = hitch_holds(law.hitch_force[h], law.hitch_rate[h], q[0] + r1 * q[1] + r2 * q[2] + r3 * q[3])
        heave += g
        pitch += r1 * g
        roll += r2 * g
        twist += r3 * g
    total[0], total[1], total[2], total[3] = heave, pitch, roll, twist
    return met


@njit(**LAW)
def accelerate(ends, size, law, total, a):
    """Acceleration from generalised forces: the body on its own, wheels that share a mass together."""
    wheels, inverse = size.wheels, law.body_inverse
    a[0], a[3] = inverse[0] * total[0], inverse[3] * total[3]
    a[1] = inverse[1] * total[1] + inverse[4] * total[2]
    a[2] = inverse[2] * total[2] + inverse[4] * total[1]
    for i in range(wheels):
        moved = 0.0 * total[0]
        for m in range(len(ends)):
            s = m * wheels + i
            moved += law.mate_inverse[s] * total[BODY + (law.mate[s] & MOST)]
        a[BODY + i] = moved


@njit(**LOOP)
def law_alone(ends, laws, q, v, ground, rising, rubbing, total):
    """The whole law of one vehicle on its own, flat arrays in and out: for checks and for other solvers."""
    lanes = (0,)
    law, size = numbers(laws, lanes), sizes_of(lanes, laws)
    w, e, d = size.wheels, size.elements, size.dampers
    act(
        lanes, ends, size, law, numbers(laws.cells, lanes), rubbing, numbers(q, lanes), numbers(v, lanes), numbers(ground, lanes),
        numbers(rising, lanes), law.load, numbers(total, lanes), scratch(w, lanes), scratch(w, lanes), scratch(w, lanes),
        scratch(e, lanes), scratch(d, lanes), scratch(d, lanes), scratch(d, lanes), scratch(w, lanes),
    )  # fmt: skip
