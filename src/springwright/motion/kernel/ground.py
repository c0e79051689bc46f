"""The ground under the wheels."""

from __future__ import annotations

from numba import njit

from springwright.motion.kernel.tools import LAW, gather, high, low, pick, whole


@njit(**LAW)
def read_ground(size, way, heights, place, swift, ground, rising):
    """Height under each wheel [m] with the vehicle's origin at `place`, and how fast it rises there where it passes `swift` cells a second; level before and after the profile.

    `heights` are those of the way, flat.
    """
    cells, over_dx = way.cells[0], way.over_dx[0]
    for i in range(size.wheels):
        there = (place + way.ahead[i]) * over_dx
        at = low(high(there, 0.0), 1.0 * cells)
        cell = whole(low(at, cells - 1.0))
        k = way.track[i] + cell
        here = gather(heights, k)
        up = gather(heights, k + 1) - here
        ground[i] = here + (at - cell) * up
        rising[i] = pick(there == at, up * swift, 0.0)
