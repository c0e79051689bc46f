"""The path of a newcomer, timed: to a first number, a first sized sheet, a first order page; with the keys pressed for each. Run: python -m benchmarks.newcomer

Given --install, a fresh environment is made first and timed too, the libraries as the package index gives them. A bare interpreter start and a
fixed kernel of numpy stand beside the figures.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent
STEPS = (
    ("a first number", 'springwright rate --mass "1740 kg" --frequency "1.25 Hz" --lever "310 mm : 470 mm"'),
    (
        "a first sheet",
        'springwright rate --mass "1740 kg" --frequency "1.25 Hz" --lever "310 mm : 470 mm" --write my-truck.toml',
    ),
    ("sized", "springwright size my-truck.toml"),
    ("a first order page", 'springwright part my-truck.toml "front spring" -o order.pdf'),
)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--install", action="store_true")
    install = asked.parse_args().install
    with tempfile.TemporaryDirectory() as folder:
        bin_ = Path(sys.executable).parent
        if install:
            begun = time.perf_counter()
            subprocess.run([sys.executable, "-m", "venv", f"{folder}/venv"], check=True)
            subprocess.run([f"{folder}/venv/bin/pip", "install", "--quiet", str(ROOT)], check=True)
            bin_ = Path(folder) / "venv" / "bin"
            print(f"| installed | {len('pip install .') + 1} | {time.perf_counter() - begun:.0f} |")
        keys = 0
        for name, line in STEPS:
            begun = time.perf_counter()
            subprocess.run(
                line.replace("springwright", f"{bin_}/springwright", 1),
                shell=True,
                check=True,
                cwd=folder,
                stdout=subprocess.DEVNULL,
            )
            keys += len(line) + 1
            print(f"| {name} | {keys} | {time.perf_counter() - begun:.1f} |")
    print(
        f"bare interpreter {_seconds([sys.executable, '-c', 'pass']):.3f} s, numpy SVD of 400 x 400 {_kernel():.3f} s"
    )


def _seconds(command: list[str]) -> float:
    begun = time.perf_counter()
    subprocess.run(command, check=True)
    return time.perf_counter() - begun


def _kernel() -> float:
    import numpy as np

    matrix = np.random.default_rng(1).normal(size=(400, 400))
    begun = time.perf_counter()
    np.linalg.svd(matrix)
    return time.perf_counter() - begun


if __name__ == "__main__":
    main()
