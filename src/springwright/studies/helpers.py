"""Rows of designs evaluated on every core of this machine: by the process that asks, and by others that it begins for a while."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from types import TracebackType

import numpy as np
from numpy.typing import NDArray

from springwright.studies.chunks import SweepSpec, on_its_own
from springwright.studies.evaluator import Evaluated

Floats = NDArray[np.float64]
Rows = Callable[[Floats], Evaluated]
Job = Callable[[SweepSpec, list[list[float]]], Evaluated]
SIXTEEN = 16  # designs of a block: driven in two states they fill the lanes of one call of the kernel
WORTH = 1000  # designs from which other processes are worth their start


class Helpers:
    """Evaluates blocks of designs, alone or with others; who does a block changes nothing of what it gives."""

    def __init__(self, own: Rows, job: Job, spec: SweepSpec, workers: int | None, designs: int) -> None:
        """`own` evaluates rows here, `job` with what `spec` tells elsewhere; `workers` in all, the one that asks among them.

        Where that is left out there are as many as cores, if there are enough designs.
        """
        count = (os.cpu_count() or 1) if workers is None and designs >= WORTH else (workers or 1)
        if multiprocessing.current_process().daemon:  # it may begin none
            count = 1
        self._own, self._job, self.spec = own, job, spec
        self._others = count - 1
        self._pool = self._begun() if self._others else None

    def _begun(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(self._others, mp_context=get_context("spawn"), initializer=on_its_own)

    def __enter__(self) -> Helpers:
        return self

    def __exit__(self, kind: type[BaseException] | None, value: BaseException | None, at: TracebackType | None) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=kind is None, cancel_futures=True)

    def __call__(self, values: Floats) -> Evaluated:
        """Figures of designs given as rows of the decisions' values [SI]."""
        blocks = [values[begin : begin + SIXTEEN] for begin in range(0, len(values), SIXTEEN)]
        told: dict[int, Evaluated] = {}
        left, asked = list(range(len(blocks))), dict[Future[Evaluated], int]()
        while len(told) < len(blocks):
            while len(left) > 1 and self._pool is not None and len(asked) < self._others:
                k = left.pop(0)
                try:
                    asked[self._pool.submit(self._job, self.spec, blocks[k].tolist())] = k
                except BrokenProcessPool:
                    self._pool = None
                    left.insert(0, k)
            if left:
                k = left.pop(0)
                told[k] = self._own(blocks[k])
            done = [one for one in asked if one.done()] if left else [*wait(asked, return_when=FIRST_COMPLETED).done]
            for one in done:
                k = asked.pop(one)
                try:
                    told[k] = one.result()
                except BrokenProcessPool:  # one was killed: what it was at is done here, and the rest of it alone
                    self._pool = None
                    told[k] = self._own(blocks[k])
        each = [told[k] for k in range(len(blocks))]
        return Evaluated(
            np.concatenate([one.figures for one in each]), tuple(why for one in each for why in one.reasons)
        )
