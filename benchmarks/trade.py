"""Prints how fast designs are traded: the evaluator, its drives beside other solvers, the exchange table, front, spread and sweep.

A bare interpreter start and a fixed numpy kernel are printed beside them. Run from the project's root: python -m benchmarks.trade
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import resource
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

import numpy as np

from benchmarks.drive import adaptive, in_mujoco
from springwright import Evaluation, exchange, front, load, spread, sweep
from springwright.motion.drive import drive_many
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import catalogue_of
from springwright.studies.decisions import usual_decisions
from springwright.studies.evaluator import BLOCK, SECONDS, evaluator
from springwright.studies.front import MOST
from springwright.studies.search import hypervolume, unbettered
from springwright.studies.setting import PRICE
from springwright.vehicle.edits import changed

DEMO = Path(__file__).parent.parent / "src" / "springwright" / "demos" / "fire-watch.toml"
DESIGNS = 512


def timed(call):
    """A result and how long it took [s]."""
    begun = time.perf_counter()
    made = call()
    return made, time.perf_counter() - begun


def two_states(file):
    """The truck with its lightest and its design state alone."""
    kept = [i for i, state in enumerate(file.design.states) if state.name not in ("Kerb", "Full")]
    return changed(file, [(("states", i), None) for i in reversed(kept)] + [(("duty_cycle",), None)])


def yardsticks() -> None:
    started = min(timed(lambda: subprocess.run([sys.executable, "-c", ""], check=True))[1] for _ in range(5))
    matrix = np.random.default_rng(0).normal(size=(400, 400))
    numpy = min(timed(lambda: np.linalg.svd(matrix))[1] for _ in range(5))
    print(
        f"bare interpreter start {1e3 * started:.0f} ms; numpy SVD 400 x 400 {1e3 * numpy:.0f} ms; {os.cpu_count()} cores"
    )


ASKED = (
    "weighted_acceleration",
    "load_variation",
    "roll_gradient",
    "bump_load_factor",
    "height_change",
    "weighted_acceleration_linear",
)


def ready(asked=ASKED, threads=None):
    """An evaluator of the truck in two states, warm, and rows of designs for it; within an Evaluation."""
    file = two_states(load(DEMO))
    decisions = usual_decisions(file.design, sized(file), catalogue_of(file))
    rng = np.random.default_rng(0)
    rows = np.array([[one.snapped(rng.uniform(one.low, one.high)) for one in decisions] for _ in range(DESIGNS)])
    able = replace(evaluator(file, decisions, asked), threads=threads)
    able(rows[:BLOCK])
    return able, rows


def beside(barrier) -> float:
    """Designs a second of one process among others that begin together."""
    with Evaluation():
        able, rows = ready(threads=1)
        barrier.wait()
        return DESIGNS / timed(lambda: able(rows))[1]


def designs_a_second() -> None:
    count = os.cpu_count() or 1
    with multiprocessing.Manager() as manager, ProcessPoolExecutor(count, mp_context=get_context("spawn")) as pool:
        barrier = manager.Barrier(count)
        rates = [one.result() for one in [pool.submit(beside, barrier) for _ in range(count)]]
    print(
        f"evaluator, two states, statics, response and a 6 s drive, {count} processes as studies use: {sum(rates):.0f} designs a second"
    )
    with Evaluation():
        for words, some in (
            ("statics, response and a 6 s drive", ASKED),
            ("statics and a 6 s drive", ASKED[:-1]),
            ("statics alone", ASKED[2:5]),
        ):
            able, rows = ready(some)
            _, took = timed(lambda able=able, rows=rows: able(rows))
            print(f"    one process, {words}: {DESIGNS / took:.0f}")
        able, rows = ready()
        made = [able.variants.of(row) for row in rows[:BLOCK].tolist()]
        rigs = [rig for one in made for rig in one.rigs]
        road = able.road
        _, took = min(
            (
                timed(lambda: drive_many(rigs, road.ground, road.speed, points=able.ready.points, duration=SECONDS))
                for _ in range(3)
            ),
            key=lambda one: one[1],
        )
        ours = len(rigs) * SECONDS / took
        print(f"drives alone: {ours:.0f} simulated seconds a second")
        for peer, rate in (
            ("SciPy solve_ivp, RK45 at 1e-4", max(adaptive(rigs[0], road.ground, 2.0) for _ in range(2))),
            ("MuJoCo, the law called each step", max(in_mujoco(rigs[0], road.ground, 5.0) for _ in range(2))),
        ):
            print(f"    {peer}: {rate:.1f}; {ours / rate:.0f} times as many")


def tables() -> None:
    file = load(DEMO)
    with Evaluation():
        exchange(file)
    first = []
    with Evaluation():
        begun = time.perf_counter()
        found, took = timed(lambda: exchange(file, told=lambda _: first.append(time.perf_counter() - begun)))
    print(f"exchange table: first row {first[0]:.2f} s, all {len(found.rows)} {took:.2f} s, warm")


def fronts(times: int) -> None:
    file = load(DEMO)
    told = []
    for most in (MOST, MOST * times):
        found, took = timed(lambda most=most: front(file, most=most, prove="none", workers=None))
        told.append((found, took))
    names = [k for k, one in enumerate(told[0][0].figures) if one.sought and one.id != PRICE]
    points = [np.array([[one.figures[k] for k in names] for one in found.designs]) for found, _ in told]
    low, high = np.min([p.min(axis=0) for p in points], axis=0), np.max([p.max(axis=0) for p in points], axis=0)
    shares = [hypervolume(p[unbettered(p)], low, high + 0.1 * (high - low)) for p in points]
    print(
        f"front: {told[0][0].tried} designs in {told[0][1]:.1f} s; hypervolume {shares[0] / shares[1]:.4f} of that of {told[1][0].tried} designs ({told[1][1]:.0f} s)"
    )
    _, proving = timed(lambda: front(file, most=200, workers=None))
    print(f"a small front with its ends and knee proven: {proving:.1f} s")


def spreads() -> None:
    file = load(DEMO)
    told, begun = [], time.perf_counter()
    _, whole = timed(lambda: spread(file, workers=None, told=lambda _: told.append(time.perf_counter() - begun)))
    print(
        f"spread: share of 1,024 builds told after {told[0]:.1f} s; with indices and tighter tolerances {whole:.1f} s"
    )


def sweeps(designs: int) -> None:
    vary = ["axles.front.target.frequency = 1.1..1.5 Hz by 0.0025", "axles.*.target.damping_ratio = 0.2..0.4 by 0.005"]
    rates = []
    with tempfile.TemporaryDirectory() as folder:
        for workers in (1, 2):
            done = sweep(DEMO, vary=vary, output=Path(folder) / f"{workers}.csv", workers=workers)
            rates.append(done.designs / done.seconds)
        print(
            f"sweep of {done.designs}: one worker {rates[0]:.0f} a second, two {rates[1]:.0f}: {rates[1] / rates[0]:.2f} times"
        )
        if designs:
            text = f"axles.front.target.damping_ratio = 0.2..0.4 by {0.2 / (designs - 1)!r}"
            done = sweep(DEMO, vary=[text], figures=["roll_gradient"], output=Path(folder) / "many.parquet")
            client, workers = (
                resource.getrusage(who).ru_maxrss / 1e6 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
            )
            print(
                f"sweep of {done.designs} designs: {done.seconds:.0f} s; client {client:.2f} GB, largest worker {workers:.2f} GB"
            )


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description="Print how fast designs are traded.")
    asked.add_argument("--times", type=int, default=10, help="evaluations of the front it is held against")
    asked.add_argument("--many", type=int, default=0, help="designs of the large sweep; 100000 takes some minutes")
    given = asked.parse_args()
    yardsticks()
    designs_a_second()
    tables()
    fronts(given.times)
    spreads()
    sweeps(given.many)
