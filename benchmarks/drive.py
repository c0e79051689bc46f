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
from numba import njit
from scipy.integrate import solve_ivp

from springwright import assemble, drive, equilibrium, load, modes, response
from springwright.motion.courses import course, way_of
from springwright.motion.drive import drive_many
from springwright.motion.equilibrium import equilibria
from springwright.motion.figures import Point
from springwright.motion.forces import Case, mass_matrix
from springwright.motion.kernel.forces import accelerate, law_alone, sizes_of
from springwright.motion.kernel.ground import read_ground
from springwright.motion.kernel.tools import numbers
from springwright.motion.layout import about, laid_out
from springwright.motion.rig import BODY
from springwright.terrain.roughness import CLASSES, rough_ground

DEMO = Path(__file__).parent.parent / "src" / "springwright" / "demos" / "fire-watch.toml"
SEAT = [Point("driver", (-1.3, 0.38, 1.05))]
SPEED = 11.0


def best(call, repeats: int = 5) -> float:
    """Shortest time of a call [s]."""
    return min(timeit.repeat(call, number=1, repeat=repeats))


def adaptive(rig, ground, seconds: float) -> float:
    """SciPy RK45 at 1e-4 on the compiled law: simulated seconds per second."""
    law = about(laid_out(rig)[1], equilibrium(rig).q[None])
    way = way_of([course(rig, ground, SPEED)])
    n = BODY + len(rig.wheel_places)

    def slope(t, state):
        moved = np.empty_like(state)
        compiled_slope((0,) * (len(law.mate) // (n - BODY)), law, way, SPEED * t, state, moved)
        return moved

    begin = np.concatenate([equilibrium(rig).q, np.zeros(n)])
    slope(0.0, begin)
    start = time.perf_counter()
    solve_ivp(slope, (0, seconds), begin, "RK45", rtol=1e-4, atol=1e-6)
    return seconds / (time.perf_counter() - start)


@njit(cache=True, error_model="numpy")
def compiled_slope(ends, law, way, gone, state, moved):
    """Rate of change of q and v by the kernel's own law."""
    n = len(state) // 2
    ground, rising, still, total = np.zeros(n - BODY), np.zeros(n - BODY), np.zeros(n - BODY), np.zeros(n)
    one = (0,)
    size = sizes_of(one, law)
    read_ground(
        size, numbers(way, one), numbers(way.heights, one), way.start[0] + gone, 0.0, numbers(ground, one), numbers(rising, one)
    )  # fmt: skip
    law_alone(ends, law, state[:n], state[n:], ground, still, False, total)
    moved[:n] = state[n:]
    accelerate(ends, size, numbers(law, one), numbers(total, one), numbers(moved[n:], one))


def in_mujoco(rig, ground, seconds: float) -> float:
    """MuJoCo with the same law called every step: simulated seconds per second.

    Eight bodies of the right masses (heave, pitch, roll of the sprung one; each wheel up and down), Euler at the drive's own step.
    """
    import mujoco

    _, law = laid_out(rig)
    way = way_of([course(rig, ground, SPEED)])
    n, ends = BODY + len(rig.wheel_places), (0,) * (len(law.mate) // len(rig.wheel_places))
    mass = mass_matrix(rig)
    wheels = "".join(
        f'<body><joint type="slide" axis="0 0 1"/><inertial pos="0 0 0" mass="{mass[i, i]}" diaginertia="1 1 1"/></body>'
        for i in range(BODY, n)
    )
    model = mujoco.MjModel.from_xml_string(
        f"""<mujoco><option timestep="{way.dt[0]}" gravity="0 0 0"/><worldbody><body><joint type="slide" axis="0 0 1"/>
        <joint type="hinge" axis="0 1 0"/><joint type="hinge" axis="1 0 0"/>
        <inertial pos="0 0 0" mass="{mass[0, 0]}" diaginertia="{mass[2, 2]} {mass[1, 1]} {mass[1, 1]}"/></body>{wheels}</worldbody></mujoco>"""
    )
    data = mujoco.MjData(model)
    q = equilibrium(rig).q
    moving = [0, 1, 2, *range(BODY, n)]
    data.qpos[:] = q[moving]
    state, moved = np.zeros(2 * n), np.zeros(2 * n)
    mass_of = np.diag(mass)[moving]
    steps = round(seconds / way.dt[0])
    start = time.perf_counter()
    for k in range(steps):
        state[moving], state[[n + i for i in moving]] = data.qpos, data.qvel
        compiled_slope(ends, law, way, SPEED * k * way.dt[0], state, moved)
        data.qfrc_applied[:] = mass_of * moved[n:][moving]
        mujoco.mj_step(model, data)
    return seconds / (time.perf_counter() - start)


def main() -> None:
    if "--compile" in sys.argv:
        with tempfile.TemporaryDirectory() as folder:
            command = [
                sys.executable,
                "-c",
                "import springwright.motion.kernel.drive as k, sys; sys.path.insert(0, 'tests'); from benchmarks.drive import one; one()",
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
    many = [rig] * 256
    drive_many(many[:2], ground, SPEED, points=SEAT, duration=0.1)
    one_core = best(lambda: drive_many(many, ground, SPEED, points=SEAT, threads=1), 2)
    two_cores = best(lambda: drive_many(many, ground, SPEED, points=SEAT, threads=2), 2)
    print(
        f"256 runs: {256 * steps / one_core / 1e6:.1f} million steps a second on one thread, two threads {one_core / two_cores:.2f} times that"
    )
    ours = run.duration / seconds
    for name, theirs in (
        ("SciPy RK45 1e-4 on the compiled law", adaptive(rig, ground, 10.0)),
        ("MuJoCo with the compiled law each step", in_mujoco(rig, ground, 10.0)),
    ):
        print(f"{name}: {theirs:.1f} times real time; the drive is {ours / theirs:.0f} times faster")
    still = equilibrium(rig)
    cases = [Case(across=a) for a in np.linspace(0, 3, 100)]
    equilibria(rig, 0.0, cases)
    print(
        f"equilibria, 100 corners at once: {1e6 * best(lambda: equilibria(rig, 0.0, cases), 20) / 100:.1f} us each",
        end=", ",
    )
    print(
        f"one equilibrium {1e3 * best(lambda: equilibria(rig), 50):.3f} ms, modes {1e3 * best(lambda: modes(rig, still), 50):.3f} ms",
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
