"""What every part of the kernel is made with: how it is compiled, room on the stack, the force laws of `motion.laws` put in line."""

from __future__ import annotations

from numba import config, njit

from springwright.motion import laws
from springwright.motion.compiled import clear_stale

if (
    config.DISABLE_JIT
):  # where nothing is compiled, to step through it or to see what a test covers, vehicles go one by one
    from springwright.motion.kernel.plain import anywhere, gather, high, low, numbers, own, part, pick, scratch, whole
else:
    from springwright.motion.kernel.vectors import (
        anywhere,
        gather,
        high,
        low,
        numbers,
        own,
        part,
        pick,
        scratch,
        whole,
    )

clear_stale()
# The law may be rearranged freely and is put in line, since handing its arrays over costs more than the law itself; the loop must still tell a number from none to notice a run that diverges.
LOOP = {"cache": True, "error_model": "numpy", "fastmath": {"contract", "nsz", "arcp"}, "nogil": True}
LAW = {**LOOP, "forceinline": True}


in_cell, in_cell_energy, past_ends, past_end_energy, tyre_spring, tyre_energy, tyre_pushes, sliding, hitch_holds, hitch_energy = (
    njit(**LAW)(one)
    for one in (
        laws.in_cell, laws.in_cell_energy, laws.past_ends, laws.past_end_energy, laws.tyre_spring, laws.tyre_energy, laws.tyre_pushes,
        laws.sliding, laws.hitch_holds, laws.hitch_energy,
    )
)  # fmt: skip

__all__ = [
    "LAW", "LOOP", "anywhere", "gather", "high", "hitch_energy", "hitch_holds", "in_cell", "in_cell_energy", "low", "numbers", "own", "part",
    "past_end_energy", "past_ends", "pick", "scratch", "sliding", "tyre_energy", "tyre_pushes", "tyre_spring", "whole",
]  # fmt: skip
