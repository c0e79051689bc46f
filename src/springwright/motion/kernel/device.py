"""The drive for a graphics processor: the same functions, compiled by numba-cuda, one vehicle a thread.

Needs the extra `gpu`. Counts are fixed for each make of vehicle, so that the compiler unrolls its loops; a number of lane t of
a block lies beside that of lane t + 1, so that threads read side by side.
"""

from __future__ import annotations

import math
import types
from collections.abc import Callable
from functools import lru_cache
from typing import Any

import numpy as np
from numba import cuda

from springwright.motion import laws
from springwright.motion.kernel import drive, energy, forces, ground, plain
from springwright.motion.kernel.arrays import (
    BODY,
    CHANNEL,
    DAMPER,
    ELEMENT,
    WHEEL,
    Accumulators,
    OutputSpec,
    PathArrays,
    RigArrays,
    Sizes,
    Workspace,
)
from springwright.motion.weighting import SECTIONS

THREADS = 64  # of a group
LAWS = (
    "in_cell", "in_cell_energy", "past_ends", "past_end_energy", "tyre_spring", "tyre_energy", "tyre_pushes", "sliding", "hitch_holds", "hitch_energy",
)  # fmt: skip
# of the law, the way and what is read: what lanes share, handed over as it is
SHARED = {
    RigArrays: ("on_beam", "mate", "at", "straight", "always", "damper_at", "pairs", "opposite"),
    PathArrays: ("steps", "heights"),
    OutputSpec: ("leaning", "signal", "filter", "sections", "every", "bin_width", "swing"),
    Accumulators: ("bins", "turns", "turned", "history", "diverged"),
}


@lru_cache(maxsize=1)
def functions() -> dict[str, Any]:
    """Every function of the kernel by its name, for the device: its text, with what it calls in place of what the processor's calls."""
    made: dict[str, Any] = {
        name: _device(getattr(plain, name))
        for name in ("low", "high", "pick", "whole", "anywhere", "part", "own", "gather", "numbers")
    }
    made |= {name: _device(getattr(laws, name)) for name in LAWS}
    for module, names in (
        (ground, ("read_ground",)),
        (forces, ("_curve", "act", "accelerate")),
        (energy, ("energy",)),
        (drive, ("_lost", "_turn", "go")),
    ):
        for name in names:
            made[name] = _device(getattr(module, name).py_func, made)
    return made


def _device(function: Callable[..., Any], called: dict[str, Any] | None = None) -> Any:
    known = {
        **function.__globals__,
        "np": math,
        **(called or {}),
    }  # a device has no NumPy; roots and floors are called the same
    return cuda.jit(device=True)(types.FunctionType(function.__code__, known, function.__name__))


def _views(kind: Any, wide: int) -> Any:
    """A device function that gives what one thread sees of a tuple of flat arrays, lane last: its own numbers, and what is shared."""
    taken = ", ".join(f"it.{name}" if name in SHARED[kind] else f"it.{name}[lane::wide]" for name in kind._fields)
    known = {"kind": kind, "wide": wide}
    exec(f"def see(it, lane):\n    return kind({taken})\n", known)
    return cuda.jit(device=True)(known["see"])


@cuda.jit(device=True)
def _copy(source, target):
    for k in range(len(source)):
        target[k] = source[k]


@lru_cache(maxsize=64)
def kernel(size: Sizes, ends: int, channels: int, signals: int, wide: int) -> Any:
    """The drive of one make of vehicle, `wide` of them side by side, as numba-cuda compiles it when it is first launched."""
    go = functions()["go"]
    see_law, see_way, see_read, see_kept = (_views(kind, wide) for kind in SHARED)
    joined, alone = (0,) * ends, (0,)
    n, w, e, d = BODY + size.wheels, size.wheels, max(size.elements, 1), max(size.dampers, 1)
    c, s = max(channels * SECTIONS * 2, 1), max(signals, 1)
    of_wheels, of_elements, of_dampers, of_channels = (
        len(WHEEL) * w,
        len(ELEMENT) * e,
        len(DAMPER) * d,
        max(len(CHANNEL) * channels, 1),
    )
    f8 = np.float64

    @cuda.jit
    def launched(laws, ways, reading, kept):
        lane = cuda.grid(1)
        if lane >= wide:
            return
        local = cuda.local.array
        room = Workspace(
            local(n, f8), local(n, f8), local(n, f8), local(n, f8), local(n, f8), local(n, f8), local(4, f8), local(w, f8),
            local(w, f8), local(w, f8), local(w, f8), local(w, f8), local(w, f8), local(w, f8), local(w, f8), local(w, f8),
            local(w, f8), local(e, f8), local(e, f8), local(d, f8), local(d, f8), local(d, f8), local(d, f8), local(d, f8),
            local(d, f8), local(c, f8), local(s, f8), local(1, f8), local(1, f8), local(1, f8),
        )  # fmt: skip
        law, way, read, mine = see_law(laws, lane), see_way(ways, lane), see_read(reading, lane), see_kept(kept, lane)
        # figures are gathered in a thread's own memory: the compiler then knows that no other array lies there
        figures = Accumulators(
            local(of_wheels, f8), local(of_elements, f8), local(of_dampers, f8), local(of_channels, f8),
            mine.work, mine.q, mine.v, kept.diverged, kept.bins, kept.turns, kept.turned, kept.history,
        )  # fmt: skip
        _copy(mine.wheel, figures.wheel)
        _copy(mine.element, figures.element)
        _copy(mine.damper, figures.damper)
        _copy(mine.channel, figures.channel)
        own = Accumulators(
            mine.wheel, mine.element, mine.damper, mine.channel, mine.work, mine.q, mine.v, kept.diverged[lane : lane + 1],
            kept.bins, kept.turns, kept.turned, kept.history,
        )  # fmt: skip
        go(
            alone, joined, size, law, law.cells, law.bottom, way, ways.heights, len(ways.pulls) > 0, len(ways.path) > 0, reading, read, own, figures, room,
        )  # fmt: skip
        _copy(figures.wheel, mine.wheel)
        _copy(figures.element, mine.element)
        _copy(figures.damper, mine.damper)
        _copy(figures.channel, mine.channel)

    return launched


def run(lanes: Any, ends: Any, law: Any, way: Any, reading: Any, kept: Any) -> None:
    """As `kernel.drive.run`: drive the lanes, each along its own way, and fill in `kept`."""
    size = Sizes(*(int(one) for one in forces.sizes_of.py_func(lanes, law)))
    made = kernel(size, len(ends), len(reading.filter), len(reading.leaning), len(lanes))
    there = [
        kind._make(cuda.to_device(x) if isinstance(x, np.ndarray) else x for x in one)
        for kind, one in zip(SHARED, (law, way, reading, kept), strict=True)
    ]
    made[-(-len(lanes) // THREADS), THREADS](*there)
    for mine, its in zip(kept, there[-1], strict=True):
        if mine.size:
            its.copy_to_host(mine)


def missing() -> str:
    """Why no graphics processor can be used, or nothing."""
    try:
        return "" if cuda.is_available() else "no graphics processor that CUDA can use was found"
    except Exception as error:
        return f"the graphics processor's driver does not answer: {error}"
