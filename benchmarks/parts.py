"""Prints where the time of a drive goes: each part of the kernel left out in turn, with the operations and bytes it takes in a step.

A part's row is the whole less what is left without it; parts that others hang on cannot be left out and stand under "the law itself".
Run from the project's root: python -m benchmarks.parts
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parent.parent
ZERO = {"for c in range(channels):": "for c in range(0):"}
# part: {file: {text: what stands in its place}}
PARTS: dict[str, dict[str, dict[str, str]]] = {
    "channels and their filters": {"drive": {**ZERO, "for s in range(signals):": "for s in range(0):"}},
    "of these the filters": {"drive": {"if through[c] >= 0:": "if through[c] > 99:"}},
    "look-up of elements' curves": {"forces": {"if law.straight[e] > 0:": "if law.straight[e] >= 0:"}},
    "ground": {
        "drive": {
            "            read_ground(size, way, heights, place, swift, ground, rising)\n": "            read_ground(NOTHING, way, heights, place, swift, ground, rising)\n",
            "ALONE = (0,)": "NOTHING = Sizes(0, 0, 0, 0, 0, 0, 0, 0)\nALONE = (0,)",
            "Workspace\n": "Workspace, Sizes\n",
        }
    },
    "figures of wheels": {
        "drive": {
            "            m = len(WHEEL) * i\n": "            m = len(WHEEL) * i\n            before[i], old_travel[i], old_tyres[i] = ground[i], travel[i], tyres[i]\n            continue\n"
        }
    },
    "figures and work of dampers": {
        "drive": {
            "        for d in range(all_dampers):\n            gone = none": "        for d in range(0):\n            gone = none"
        }
    },
    "figures of springs and bars": {"drive": {"for e in range(always):": "for e in range(0):"}},
}


class Counted(float):
    """A number that counts what is done with it."""

    done = 0


def _counting(name: str):
    plain = getattr(float, name)

    def counted(self, *other):
        Counted.done += 1
        return Counted(plain(self, *(float(one) for one in other)))

    return counted


for _name in ("add", "radd", "sub", "rsub", "mul", "rmul", "truediv", "rtruediv", "neg", "abs"):
    setattr(Counted, f"__{_name}__", _counting(f"__{_name}__"))


class Row(np.ndarray):
    """An array that counts how often one of its numbers is read or written."""

    moved = 0

    def __getitem__(self, at):
        """One of its numbers."""
        Row.moved += 1
        return super().__getitem__(at)

    def __setitem__(self, at, value) -> None:
        """Put a number in."""
        Row.moved += 1
        super().__setitem__(at, value)


def _timed() -> None:
    """Print nanoseconds a step of each design, in lanes and alone."""
    from benchmarks.drive import DEMO, SEAT, SPEED, best
    from springwright import assemble, load
    from springwright.motion.courses import course
    from springwright.motion.drive import drive, drive_many
    from springwright.motion.processors import LANES
    from springwright.terrain.roughness import rough_ground

    rig, ground = assemble(load(DEMO)), rough_ground("D", 400.0, 1.56).felt(0.38, 0.2)
    steps = course(rig, ground, SPEED).steps
    many = [rig] * 4 * LANES
    drive_many(many, ground, SPEED, points=SEAT, duration=0.1)
    lanes = best(lambda: drive_many(many, ground, SPEED, points=SEAT, threads=1), 5)
    drive(rig, ground, SPEED, points=SEAT, duration=0.1)
    alone = best(lambda: drive(rig, ground, SPEED, points=SEAT), 5)
    print(1e9 * lanes / steps / len(many), 1e9 * alone / steps)


def _counted() -> None:
    """Print operations and numbers moved in a step, in plain Python."""
    from benchmarks.drive import DEMO, SEAT, SPEED
    from springwright import assemble, drive, load
    from springwright.motion.kernel import drive as kernel
    from springwright.terrain.roughness import rough_ground

    real = kernel.run

    def rows(given):
        return given._make(
            one.astype(object).view(Row)
            if isinstance(one, np.ndarray) and one.dtype == float and one.ndim == 1
            else one
            for one in given
        )

    def run(lanes, ends, law, way, reading, kept):
        for given in (law, way, reading, kept):
            for one in given:
                if isinstance(one, np.ndarray) and one.dtype == float and one.ndim == 1:
                    one.flags.writeable = True
        given = [rows(one) for one in (law, way, reading, kept)]
        for one in given:
            for each in one:
                if isinstance(each, Row):
                    each[:] = [Counted(x) for x in each.tolist()]
        Counted.done = Row.moved = 0
        real(lanes, ends, *given)

    kernel.run, kernel.scratch = run, lambda count, _lanes: np.full(count, Counted(0.0), dtype=object).view(Row)
    rig, ground = assemble(load(DEMO)), rough_ground("D", 60.0, 1.56).felt(0.38, 0.2)
    found = []
    for duration in (0.08, 0.16):
        drive(rig, ground, SPEED, points=SEAT, duration=duration, step=0.8e-3)
        found.append((Counted.done, Row.moved))
    print((found[1][0] - found[0][0]) / 100, (found[1][1] - found[0][1]) / 100)


def _without(changes: dict[str, dict[str, str]]) -> list[float]:
    """Nanoseconds in lanes and alone, operations and numbers moved of a step, with the kernel's text so changed."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "src"
        shutil.copytree(ROOT / "src", copy, ignore=shutil.ignore_patterns("__pycache__", "*.nb[ic]"))
        for name, texts in changes.items():
            path = copy / "springwright" / "motion" / "kernel" / f"{name}.py"
            text = path.read_text()
            for old, new in texts.items():
                assert old in text, f"{name}: {old!r} is not there any more"
                text = text.replace(old, new)
            path.write_text(text)
        found: list[float] = []
        for how, more in (("timed", {}), ("counted", {"NUMBA_DISABLE_JIT": "1"})):
            given = {
                **os.environ,
                "PYTHONPATH": f"{copy}:{ROOT}",
                "NUMBA_CACHE_DIR": str(Path(folder) / "cache"),
                **more,
            }
            made = subprocess.run(
                [sys.executable, "-m", "benchmarks.parts", how],
                env=given,
                cwd=folder,
                capture_output=True,
                text=True,
                check=True,
            )
            found += [float(one) for one in made.stdout.split()]
        return found


def main() -> None:
    """The table."""
    from benchmarks.drive import best

    whole = _without({})
    print(f"{'in a step of one design':32s} {'ns in lanes':>12s} {'ns alone':>9s} {'operations':>11s} {'bytes':>6s}")
    print(f"{'all of it':32s} {whole[0]:12.1f} {whole[1]:9.1f} {whole[2]:11.0f} {8 * whole[3]:6.0f}")
    left = np.array(whole)
    for name, changes in PARTS.items():
        part = np.array(whole) - _without(changes)
        left -= 0.0 if name.startswith("of these") else part
        print(f"{name:32s} {part[0]:12.1f} {part[1]:9.1f} {part[2]:11.0f} {8 * part[3]:6.0f}", flush=True)
    print(f"{'the law itself, steps and energy':32s} {left[0]:12.1f} {left[1]:9.1f} {left[2]:11.0f} {8 * left[3]:6.0f}")
    a = np.random.default_rng(1).random((1500, 1500))
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    peak = 2 * 1500**3 / best(lambda: a @ a, 5) / 1e9
    print(
        f"{whole[2] / whole[0]:.1f} thousand million operations a second in lanes; a product of matrices does {peak:.0f} on all threads of {model()}"
    )


def model() -> str:
    """Name of the processor, where the system tells it."""
    told = Path("/proc/cpuinfo")
    names = (
        [line.partition(":")[2].strip() for line in told.read_text().splitlines() if line.startswith("model name")]
        if told.exists()
        else []
    )
    return names[0] if names else "this processor"


if __name__ == "__main__":
    {"timed": _timed, "counted": _counted}.get(sys.argv[-1], main)()
