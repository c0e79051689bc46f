"""What is stored and what moves: the account a drive is held against."""

from __future__ import annotations

from numba import njit

from springwright.motion.kernel.arrays import BODY
from springwright.motion.kernel.tools import (
    LOOP,
    high,
    hitch_energy,
    hitch_holds,
    in_cell,
    in_cell_energy,
    low,
    past_end_energy,
    tyre_energy,
    tyre_spring,
)
from springwright.motion.layout import MOST


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
