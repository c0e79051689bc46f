"""What drives many runs: the lanes of this processor, or a graphics processor."""

from __future__ import annotations

import os
from collections.abc import Callable
from importlib.util import find_spec
from typing import NamedTuple

from springwright.errors import UnsolvedError

LANES = 32  # runs side by side in one call of the kernel
BLOCKS = 8  # of so many lanes that one task takes; runs of a task are put in order of length
DEVICE_LANES = 2**15  # most vehicles that a graphics processor is handed at once: some 2 GB of curves
DEVICES = ("cpu", "gpu")


class Processor(NamedTuple):
    """What drives: how many lanes side by side, how many blocks of them a task takes, how many tasks at once, and the kernel."""

    lanes: int
    blocks: int
    tasks: int
    run: Callable[..., None]


def processor(device: str, runs: int) -> Processor:
    """What drives so many runs; of a graphics processor as many lanes as they fill, to the next power of two.

    Raises
    ------
    UnsolvedError
        The device is none of `DEVICES`, or no graphics processor can be used.

    """
    if device == "cpu":
        from numba import config

        from springwright.motion.kernel.drive import run

        return Processor(1 if config.DISABLE_JIT else LANES, BLOCKS, os.cpu_count() or 1, run)  # type: ignore[attr-defined]
    if device not in DEVICES:
        raise UnsolvedError(f"device: {device!r} is none that drives; it is one of {', '.join(DEVICES)}")
    if find_spec("numba_cuda") is None:
        raise UnsolvedError(
            'device: "gpu" needs the extra of that name: pip install "springwright[gpu]"; or take "cpu"'
        )
    from springwright.motion.kernel import device as graphics

    if why := graphics.missing():
        raise UnsolvedError(f'device: "gpu" cannot be used, {why}; take "cpu"')
    wide = min(max(1 << (runs - 1).bit_length(), 1024), DEVICE_LANES)
    return Processor(wide, 1, 2, graphics.run)
