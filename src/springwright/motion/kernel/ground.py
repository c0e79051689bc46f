"""The ground under the wheels."""

from __future__ import annotations

import numpy as np
from numba import njit

from springwright.motion.kernel.tools import LAW, high, low
from springwright.motion.layout import MOST


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
