"""Prints how long the seven questions take: cold from the command line, warm in one process, with and without driving in time.

Cold is a new process with the compiled solver cached. A bare interpreter start and a fixed numpy kernel stand beside the figures.
"""

from __future__ import annotations

import sys

from benchmarks.beside import kernel, shortest
from benchmarks.sizing import BIN, DEMOS, best
from springwright.questions.context import ProofContext
from springwright.questions.dynamic_requirements import full_window
from springwright.questions.fit import fit
from springwright.questions.grip import _pulls, _twisted
from springwright.questions.leaning import stood_in
from springwright.questions.level import level
from springwright.questions.prove import make_ready, prove
from springwright.questions.stand import _facts, _grip_curves
from springwright.vehicle.file import load

DEMO = "survey-buggy"  # three load states


def standing(ready: ProofContext) -> None:
    """Everything of the seven questions that needs no run in time."""
    for at in ready.states:
        _facts(ready, stood_in(at))
    _grip_curves(ready)
    _twisted(ready)
    _pulls(ready)
    fit(ready)
    level(ready)


def main() -> None:
    print(f"{'':44}{'s':>8}{'target':>8}{'MB':>7}")

    def row(name: str, seconds: float, target: float | None = None, memory: float | None = None) -> None:
        print(
            f"{name:44}{seconds:8.3f}{'' if target is None else f'{target:8.2f}':>8}{'' if memory is None else f'{memory:7.0f}'}"
        )

    row("bare interpreter", best([sys.executable, "-c", "pass"])[0])
    row("fixed numpy kernel (svd of 400 x 400)", shortest(kernel))
    command = str(BIN / "springwright")
    for name, target in ((DEMO, 3.0), ("fire-watch", None), ("fire-watch-links", None)):
        seconds, memory = best([command, "prove", str(DEMOS / f"{name}.toml")], 3)
        row(f"prove {name}, cold", seconds, target, memory)
    seconds, memory = best([command, "prove", str(DEMOS / f"{DEMO}.toml"), "--question", "last"], 3)
    row(f"prove {DEMO} --question last, cold", seconds, None, memory)
    for name in (DEMO, "fire-watch"):
        seconds, memory = best([command, "window", str(DEMOS / f"{name}.toml")], 3)
        row(f"window {name}, cold", seconds, 6.0, memory)
    file = load(DEMOS / f"{DEMO}.toml")
    prove(file)
    full_window(file)
    ready = make_ready(file)
    row(f"{DEMO}, warm: what needs no run in time", shortest(lambda: standing(ready)), 0.04)
    row(f"{DEMO}, warm: seven questions", shortest(lambda: prove(file, sensitive=False)), 2.0)
    row(f"{DEMO}, warm: and what moves those not met", shortest(lambda: prove(file), 3), 2.0)
    row(f"{DEMO}, warm: full window", shortest(lambda: full_window(file), 3))


if __name__ == "__main__":
    main()
