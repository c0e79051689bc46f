"""Prints how long the commands take and how much memory they use; best of several new processes, kernels cached.

A bare interpreter start and a fixed numpy kernel stand beside them, so that two machines can be compared.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

DEMOS = Path(__file__).parent.parent / "src" / "springwright" / "demos"
BIN = Path(sys.executable).parent
DESIGN = 'design("52CrMoV4", need)'


def best(command: list[str], repeats: int = 7) -> tuple[float, float]:
    """Shortest wall time [s] and largest resident memory [MB] over new processes."""
    times, memory = [], 0.0
    for _ in range(repeats):
        begin = time.perf_counter()
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
        _, status, usage = os.wait4(process.pid, 0)
        times.append(time.perf_counter() - begin)
        memory = max(memory, usage.ru_maxrss / 1024)
        assert status == 0, command
    return min(times), memory


def warm(statement: str, setup: str) -> float:
    """Shortest time [s] of a statement inside one process."""
    code = f"import timeit\nprint(min(timeit.repeat({statement!r}, {setup!r}, number=5, repeat=7)) / 5)"
    return float(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout)


def main() -> None:
    rows = [
        ("bare interpreter", [sys.executable, "-c", "pass"], None),
        ("import springwright", [sys.executable, "-c", "import springwright"], 0.15),
    ]
    rows.append(("springwright --help", [str(BIN / "springwright"), "--help"], 0.3))
    rows += [
        (f"size {demo}", [str(BIN / "springwright"), "size", str(DEMOS / f"{demo}.toml")], 1.5)
        for demo in ("fire-watch", "survey-buggy", "bog-carrier")
    ]
    with tempfile.TemporaryDirectory() as folder:
        rows.append(
            (
                "size fire-watch -o .pdf",
                [str(BIN / "springwright"), "size", str(DEMOS / "fire-watch.toml"), "-o", f"{folder}/o.pdf"],
                None,
            )
        )
        print(f"{'':28}{'s':>8}{'target':>8}{'MB':>7}")
        for name, command, target in rows:
            seconds, memory = best(command)
            print(f"{name:28}{seconds:8.3f}{'' if target is None else f'{target:8.2f}':>8}{memory:7.0f}")
    need = (
        "from springwright.parts.coil_check import CoilNeed, design\n"
        "need = CoilNeed(38.9e3, 5553, 0.340, 0.232, 0.213, 0.459, 0.19, 0.09)"
    )
    print(f"{'design a coil, warm':28}{warm(DESIGN, need):8.4f}{0.5:8.2f}")
    kernel = "import numpy as np\na = np.random.default_rng(1).random((300, 300))"
    print(f"{'numpy: solve 300 x 300':28}{warm('np.linalg.solve(a, a)', kernel):8.4f}")


if __name__ == "__main__":
    main()
