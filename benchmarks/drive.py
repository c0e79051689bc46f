"""Prints how fast motion is solved, side by side in one run: the compiled drive, SciPy on the same law, rest, modes, response.

Cold is a new process with the kernel cached; the first compile on a machine is timed apart with `--compile`.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
import timeit
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp

from springwright import assemble, drive, equilibrium, load, modes, response
from springwright.motion.drive import drive_many
from springwright.motion.figures import Point
from springwright.motion.forces import mass_matrix, moving_forces
from springwright.terrain.roughness import CLASSES, rough_ground
from springwright.vehicle.rig import BODY

DEMO = Path(__file__).parent.parent / "src" / "springwright" / "demos" / "fire-watch.toml"
SEAT = [Point("driver", (-1.3, 0.38, 1.05))]
SPEED = 11.0


def best(call, repeats: int = 5) -> float:
    """Shortest time of a call [s]."""
    return min(timeit.repeat(call, number=1, repeat=repeats))


def adaptive(rig, ground, seconds: float) -> float:
    """SciPy RK45 at 1e-4 on the plain-Python law: simulated seconds per second."""
    ahead = rig.wheel_places[:, 0] - rig.wheel_places[:, 0].max()
    side = (rig.wheel_places[:, 1] < 0).astype(int)
    tracks = np.array([ground.left, ground.right])
    x = ground.spacing * np.arange(tracks.shape[1])
    n = BODY + len(side)
    inverse = np.linalg.inv(mass_matrix(rig))

    def slope(t, state):
        height = np.array(
            [np.interp(a, x, tracks[s]) for a, s in zip(-ahead.min() + SPEED * t + ahead, side, strict=True)]
        )
        total = inverse @ moving_forces(rig, state[:n], state[n:], height)
        total[3] = 0.0
        return np.concatenate([state[n:], total])

    begin = np.concatenate([equilibrium(rig).q, np.zeros(n)])
    start = time.perf_counter()
    solve_ivp(slope, (0, seconds), begin, "RK45", rtol=1e-4, atol=1e-6)
    return seconds / (time.perf_counter() - start)


def main() -> None:
    if "--compile" in sys.argv:
        with tempfile.TemporaryDirectory() as folder:
            command = [
                sys.executable,
                "-c",
                "import springwright.motion.kernel as k, sys; sys.path.insert(0, 'tests'); from benchmarks.drive import one; one()",
            ]
            start = time.perf_counter()
            subprocess.run(command, env={**os.environ, "NUMBA_CACHE_DIR": folder, "PYTHONPATH": "."}, check=True)
            print(f"first run on a fresh machine, compile and all: {time.perf_counter() - start:.1f} s")
    rig = assemble(load(DEMO))
    ground = rough_ground("D", 400.0, 1.56).felt(0.38, 0.2)
    drive(rig, ground, SPEED, points=SEAT, duration=0.1)
    seconds = best(lambda: drive(rig, ground, SPEED, points=SEAT))
    run = drive(rig, ground, SPEED, points=SEAT)
    steps = run.duration / run.step
    print(
        f"drive, one run with all figures: {run.duration / seconds:8.0f} times real time, {1e9 * seconds / steps:.0f} ns a step of {1e3 * run.step:.2f} ms"
    )
    many = [rig] * 64
    one_core = best(lambda: drive_many(many, ground, SPEED, points=SEAT, threads=1), 2)
    two_cores = best(lambda: drive_many(many, ground, SPEED, points=SEAT, threads=2), 2)
    print(
        f"64 runs: {64 * steps / one_core / 1e6:.1f} million steps a second on one thread, two threads {one_core / two_cores:.2f} times that"
    )
    slow = adaptive(rig, ground, 1.0)
    print(
        f"SciPy RK45 1e-4, plain-Python law: {slow:.2f} times real time; the drive is {run.duration / seconds / slow:.0f} times faster"
    )
    still = equilibrium(rig)
    print(
        f"equilibrium {1e3 * best(lambda: equilibrium(rig), 50):.3f} ms, modes {1e3 * best(lambda: modes(rig, still), 50):.3f} ms",
        end=", ",
    )
    print(
        f"response at 256 frequencies {1e3 * best(lambda: response(rig, still, CLASSES['D'], SPEED, points=SEAT), 20):.2f} ms"
    )
    a = np.random.default_rng(1).random((300, 300))
    print(f"numpy: solve 300 x 300 {1e3 * best(lambda: np.linalg.solve(a, a), 20):.2f} ms")


def one() -> None:
    """One short run, for timing a first compile."""
    drive(assemble(load(DEMO)), rough_ground("D", 60.0, 1.56), SPEED, points=SEAT, duration=0.1)


if __name__ == "__main__":
    main()
