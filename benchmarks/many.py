"""Prints what rest, undamped frequencies, roll damping and the response to random ground cost for many rigs in a batch, each and core.

A fixed numpy kernel is printed beside them. Run from the project's root: python -m benchmarks.many
"""

from __future__ import annotations

import argparse

import numpy as np

from benchmarks.drive import SEAT, SPEED, best
from benchmarks.trade import ready, yardsticks
from springwright import Evaluation
from springwright.motion.equilibrium import equilibria
from springwright.motion.modes import linear_many, roll_dampings, solve
from springwright.motion.response import response
from springwright.motion.responses import responses
from springwright.motion.rig import row, stack
from springwright.terrain.roughness import CLASSES


def main(count: int) -> None:
    yardsticks()
    with Evaluation():
        able, rows = ready(("roll_gradient",))
        made = [able.variants.of(values) for values in rows[:256].tolist()]
    rigs = [rig for one in made for rig in one.rigs]
    batch = stack([rigs[k % len(rigs)] for k in range(count)])
    every = np.arange(count)
    rests = equilibria(batch)
    square = np.ix_(every, batch.free, batch.free)

    def frequencies():
        mass, stiffness = linear_many(batch, rests)
        return solve(mass[square], stiffness[square])

    def linear():
        return responses(batch, rests, CLASSES["D"], SPEED, points=SEAT)

    linear()
    alone = rests.of(0, rigs[0])
    for words, call, goal in (
        ("rest, laid out for the kernel anew", lambda: equilibria(row(batch, every)), ""),
        ("rest, laid out already", lambda: equilibria(batch), "20"),
        ("undamped frequencies and shapes", frequencies, "60"),
        ("damping ratio in roll", lambda: roll_dampings(batch, rests), ""),
        ("response at 256 frequencies", linear, "400"),
    ):
        asked = f" (asked {goal})" if goal else ""
        print(f"{words}: {1e6 * best(call, 3) / count:.1f} us each{asked}")
    slow = best(lambda: response(rigs[0], alone, CLASSES["D"], SPEED, points=SEAT), 5)
    print(f"the slow twin's response, one rig: {1e6 * slow:.0f} us")


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description="Print what many rigs cost.")
    asked.add_argument("--count", type=int, default=2560, help="rigs in the batch")
    main(asked.parse_args().count)
