"""Prints what a graphics processor makes of many drives, and threads of a processor: how fast, and how near to each other.

Needs the extra `gpu` and a device for the first part. Run from the project's root: python -m benchmarks.device
"""

from __future__ import annotations

import argparse
import os
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np
from numba import njit

from benchmarks.drive import SEAT, best
from springwright import assemble, load
from springwright.motion.drive import drive_many
from springwright.motion.figures import AUDIT, DAMPER, POINT, SPRING, STOP, WHEEL, DriveTable
from springwright.motion.rig import Rig
from springwright.terrain.roughness import rough_ground

DEMOS = Path(__file__).parent.parent / "src" / "springwright" / "demos"
MAKES = ("fire-watch", "fire-watch-leaves", "fire-watch-links", "survey-buggy", "bog-carrier")
COLUMNS = {"points": POINT, "wheels": WHEEL, "dampers": DAMPER, "stops": STOP, "springs": SPRING, "audit": AUDIT}


def vehicles(make: str, count: int, seed: int = 1) -> list[Rig]:
    """Random vehicles of a demo's make: every spring, damper and tyre its own, dry friction in some."""
    random = np.random.default_rng(seed)
    rig = assemble(load(DEMOS / f"{make}.toml"))
    made = []
    for k in range(count):
        many = random.uniform(0.8, 1.25, (3, len(rig.element_force)))
        stiff, damped, tyre = (
            many[0],
            random.uniform(0.6, 1.5, len(rig.damper_force)),
            random.uniform(0.8, 1.25, len(rig.tyre_rate)),
        )
        rubbing = random.uniform(0, 150, len(rig.friction)) * (k % 3 == 0)
        made.append(
            replace(
                rig,
                element_force=rig.element_force * stiff[:, None],
                element_rate=rig.element_rate * stiff[:, None],
                damper_force=rig.damper_force * damped[:, None],
                tyre_rate=rig.tyre_rate * tyre,
                tyre_force=rig.tyre_force * tyre,
                friction=rubbing,
            )
        )
    return made


TIGHT = 1e-6  # of a figure's scale


def told(make: str, ours: DriveTable, theirs: DriveTable) -> None:
    """Print how far the figures of two tables lie apart, each of its own scale; what the audit leaves open is a share already."""
    worst, where = np.zeros(len(ours.audit)), ""
    for part, columns in COLUMNS.items():
        a, b = getattr(ours, part), getattr(theirs, part)
        scale = np.nanmax(np.abs(a), axis=tuple(range(a.ndim - 1)))
        scale = np.where(np.array(columns) == "residual", 1.0, np.maximum(scale, 1e-12))
        apart = np.where(np.isnan(a) & np.isnan(b), 0.0, np.abs(a - b) / scale)
        each = apart.reshape(len(a), -1, len(columns)).max(axis=1, initial=0.0)
        if each.max() > worst.max():
            where = f"{part} {columns[int(each.max(axis=0).argmax())]}"
        worst = np.maximum(worst, each.max(axis=1))
    compared = sum(int(np.isfinite(getattr(ours, part)).sum()) for part in COLUMNS)
    lost = sum(bool(one) != bool(other) for one, other in zip(ours.reasons, theirs.reasons, strict=True))
    print(
        f"{make}: {len(worst)} vehicles, {compared} figures, all within {TIGHT:.0e} of their scale in {np.mean(worst <= TIGHT):.2%}; half within "
        f"{np.quantile(worst, 0.5):.1e}, 99 of 100 within {np.quantile(worst, 0.99):.1e}, worst {worst.max():.1e} ({where}); without figures in one alone: {lost}"
    )


def equal(count: int) -> None:
    """A device against the processor on random vehicles, as many of each make."""
    ground = rough_ground("D", 200.0, 1.56).felt(0.38, 0.2)
    given = {"points": SEAT, "duration": 8.0, "settle": 1.0}
    for make in MAKES:
        rigs = vehicles(make, count // len(MAKES))
        speeds = np.random.default_rng(2).uniform(4.0, 12.0, len(rigs)).tolist()
        start = time.perf_counter()
        ours = drive_many(rigs, ground, speeds, **given)
        print(
            f"{make}: the processor {time.perf_counter() - start:.1f} s, without figures {sum(map(bool, ours.reasons))}"
        )
        start = time.perf_counter()
        theirs = drive_many(rigs, ground, speeds, device="gpu", **given)
        print(f"the device {time.perf_counter() - start:.1f} s, first compile and all")
        told(make, ours, theirs)


def fast(runs: int, seconds: float) -> None:
    """Runs of 1 ms steps a second, the kernel alone and with all that is laid out for it."""
    from springwright.motion.kernel import device as graphics

    rig = vehicles(MAKES[0], 1)[0]
    ground = rough_ground("D", 400.0, 1.56).felt(0.38, 0.2)
    given = {"points": SEAT, "duration": seconds, "step": 1e-3}
    real, spent = graphics.run, []

    def timed(*law):
        start = time.perf_counter()
        real(*law)
        spent.append(time.perf_counter() - start)

    graphics.run = timed
    drive_many([rig] * 2**15, ground, 11.0, device="gpu", threads=1, **{**given, "duration": 0.1})
    spent.clear()
    start = time.perf_counter()
    drive_many([rig] * runs, ground, 11.0, device="gpu", threads=1, **given)
    whole, kernel = time.perf_counter() - start, sum(spent)
    graphics.run = real
    steps = runs * seconds / 1e-3
    print(
        f"{runs} runs of {seconds:g} s at 1 ms on the device: kernel and copying {kernel:.2f} s, {steps / kernel / 1e6:.0f} million design-steps a second; "
        f"with laying out {whole:.1f} s"
    )


def scaling() -> None:
    """Runs a second on 1, 2, 4 ... threads, beside a fixed loop on as many, which shows what clock and shared cores leave of each."""
    rig = vehicles(MAKES[0], 1)[0]
    ground = rough_ground("D", 400.0, 1.56).felt(0.38, 0.2)
    cores = len(os.sched_getaffinity(0))
    siblings = Path("/sys/devices/system/cpu/cpu0/topology/thread_siblings_list")
    print(
        f"{cores} logical cores; beside the first on its core: {siblings.read_text().strip() if siblings.exists() else 'not told'}"
    )
    one, alone = 0.0, 0.0
    for threads in [2**k for k in range(cores.bit_length()) if 2**k <= cores]:
        many = [rig] * 256 * threads
        drive_many(many[: 32 * threads], ground, 11.0, points=SEAT, duration=0.1, threads=threads)
        took = best(lambda many=many, threads=threads: drive_many(many, ground, 11.0, points=SEAT, threads=threads), 2)
        each, fixed = 256 / took, _fixed(threads)
        one, alone = one or each, alone or fixed
        print(
            f"{threads} threads: {256 * threads / took:.0f} runs a second, {each / one:.2f} of one thread's each; a loop in registers keeps "
            f"{alone / fixed:.2f} of its pace, so {each / one * fixed / alone:.2f} of linear"
        )


@njit(nogil=True)
def _spin(count):
    x = 1.0
    for _ in range(count):
        x = x * 1.0000001 + 1e-9
    return x


def _fixed(threads: int) -> float:
    """How long a fixed loop takes on so many threads at once [s]."""
    _spin(10)
    with ThreadPoolExecutor(threads) as pool:
        return best(lambda: list(pool.map(_spin, [100_000_000] * threads)), 2)


def main() -> None:
    """Everything, or a part of it."""
    asked = argparse.ArgumentParser(description="Print what a graphics processor makes of many drives.")
    asked.add_argument("--vehicles", type=int, default=10_000, help="random vehicles of the comparison")
    asked.add_argument("--runs", type=int, default=2**17, help="runs of the timing")
    asked.add_argument("--seconds", type=float, default=20.0, help="how long each is")
    asked.add_argument("--scaling", action="store_true", help="only threads of the processor")
    given = asked.parse_args()
    if given.scaling:
        scaling()
        return
    equal(given.vehicles)
    fast(given.runs, given.seconds)
    scaling()


if __name__ == "__main__":
    main()
