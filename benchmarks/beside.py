"""What stands beside every figure, to compare machines by."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np


def shortest(call: Callable[[], object], repeats: int = 7) -> float:
    """Shortest wall time of a call [s]."""
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        call()
        times.append(time.perf_counter() - begin)
    return min(times)


def kernel() -> None:
    """Fixed work to compare machines by."""
    one = np.random.default_rng(1).random((400, 400))
    np.linalg.svd(one)
