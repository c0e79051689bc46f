"""Prints how fast linkages are solved over 201 points of travel, beside a bare interpreter start and a fixed numpy kernel."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from springwright import load
from springwright.linkage.strut import Strut

DEMOS = Path(__file__).parent.parent / "src" / "springwright" / "demos"
STRUT = {
    "wheel_centre": (0, 740, 320), "lower_front": (140, 330, 230), "lower_rear": (-180, 330, 235), "lower_ball": (10, 690, 215),
    "strut_top": (-30, 560, 860), "strut_foot": (0, 640, 420), "toe_inner": (-130, 340, 280), "toe_outer": (-140, 680, 265),
}  # fmt: skip


def best(call: Callable[[], object], times: int = 20) -> float:
    """Shortest of several runs [s]."""
    found = []
    for _ in range(times):
        begin = time.perf_counter()
        call()
        found.append(time.perf_counter() - begin)
    return min(found)


def main() -> None:
    """Print a line for each linkage."""
    bare = best(lambda: subprocess.run([sys.executable, "-c", ""], check=True), 5)
    square = np.random.default_rng(1).normal(size=(300, 300))
    print(
        f"bare interpreter start {1e3 * bare:.0f} ms; 300 x 300 matrix product {1e3 * best(lambda: square @ square):.2f} ms"
    )
    x = np.linspace(-0.1, 0.1, 201)
    links, buggy, truck = (
        load(DEMOS / f"{name}.toml").design for name in ("fire-watch-links", "survey-buggy", "fire-watch-leaves")
    )
    strut = Strut(**{name: [f"{one} mm" for one in place] for name, place in STRUT.items()})
    named = {
        "double wishbones": buggy.axles[0].links, "semi-trailing arm": buggy.axles[1].links, "strut": strut,
        "four links": links.axles[1].links, "radius arms with bushes and a lateral rod": links.axles[0].links,
    }  # fmt: skip
    for name, held in named.items():
        print(f"{name}: 201 points in {1e3 * best(lambda held=held: held.path(x)):.1f} ms")
    leaf = truck.axles[0].spring.leaf.model_copy(update={"leaves": 14, "thickness": 0.006})
    from springwright.parts.law import SpringNeed

    need = SpringNeed(50e3, 5468, 0.0, -0.11, -0.13, 0.12)
    print(f"leaf spring on its shackle: 201 points in {1e3 * best(lambda: leaf.seat(need, x), 5):.1f} ms")


if __name__ == "__main__":
    main()
