"""What is stored and what moves: the account a drive is held against."""

from __future__ import annotations

from numba import njit

from springwright.motion.kernel.arrays import BODY
from springwright.motion.kernel.tools import (
    LOOP,
    gather,
    high,
    hitch_energy,
    hitch_holds,
    in_cell,
    in_cell_energy,
    low,
    own,
    past_end_energy,
    pick,
    tyre_energy,
    tyre_spring,
    whole,
)
from springwright.motion.layout import MOST


@njit(**LOOP)
def energy(lanes, ends, size, law, cells, bottom, load, q, v, ground, travel):
    """Energy [J]: in springs, tyres and the hitch, of height and lean, of motion. `cells` and `bottom` are those of the law, flat; `travel` is filled in."""
    wheels, all_elements, count, wide = size.wheels, size.elements, size.cells, len(lanes)
    stored = 0.5 * law.twist_rate[0] * q[3] * q[3] + law.body_mass[4] * v[1] * v[2] - law.lean[4] * q[1] * q[2]
    for b in range(BODY):
        stored += 0.5 * (law.body_mass[b] * v[b] * v[b] - law.lean[b] * q[b] * q[b]) - load[b] * q[b]
    for i in range(wheels):
        n, r = BODY + i, 3 * i
        travel[i] = q[n] - (q[0] + law.rise[r] * q[1] + law.rise[r + 1] * q[2] + law.rise[r + 2] * q[3])
        pressed = ground[i] - q[n]
        past = high(pressed - law.tyre_room[i], 0.0)
        carried = high(tyre_spring(law.tyre_force[i], law.tyre_rate[i], pressed, 0.0, 0.0), 0.0)
        stored += tyre_energy(carried, law.tyre_rate[i], law.rim_rate[i], past) - load[n] * q[n]
        beside = q[BODY + (law.opposite[i] & MOST)]
        stored -= q[n] * (law.tilt[2 * i] * (q[n] - beside) / 2.0 + law.tilt[2 * i + 1] * q[2])
        for m in range(len(ends)):
            s = m * wheels + i
            stored += 0.5 * law.mate_mass[s] * v[n] * v[BODY + (law.mate[s] & MOST)]
    for e in range(all_elements):
        x = 0.0 * law.start[e]
        for r in range(len(ends)):
            s = r * all_elements + e
            x += law.share[s] * travel[law.at[s] & MOST]
        x = (x - law.start[e]) * law.scale[e]
        within = low(high(x, 0.0), float(count))
        cell = whole(low(within, count - 1.0))
        t, c = within - cell, (e * count + cell) * (4 * wide) + own(lanes)
        f0, f1, f2, f3 = (
            gather(cells, c),
            gather(cells, c + wide),
            gather(cells, c + 2 * wide),
            gather(cells, c + 3 * wide),
        )
        out = x - within
        slope = pick(out < 0.0, law.end[2 * e], law.end[2 * e + 1])
        part = in_cell_energy(f0, f1, f2, f3, t) + past_end_energy(in_cell(f0, f1, f2, f3, t), slope, out)
        stored += gather(bottom, (e * count + cell) * wide + own(lanes)) + part / law.scale[e]
    for h in range(size.hitches):
        r = 3 * h
        up = q[0] + law.hitch_rise[r] * q[1] + law.hitch_rise[r + 1] * q[2] + law.hitch_rise[r + 2] * q[3]
        stored += hitch_energy(hitch_holds(law.hitch_force[h], law.hitch_rate[h], up), law.hitch_rate[h])
    return stored
