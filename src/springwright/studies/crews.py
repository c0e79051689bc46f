"""Who works a sweep: processes of this machine, or a running cluster."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from typing import Any, Protocol

from springwright.errors import Fault, InputError
from springwright.studies.chunks import Columns, SweepSpec, chunk, on_its_own

PATIENCE = 10  # s, till a cluster answers
EXTRA = "install it with: pip install 'springwright[cluster]'"


class Crew(Protocol):
    """Workers: asked for chunks, and asked which are ready."""

    width: int
    said: str

    def ask(self, spec: SweepSpec, begin: int, rows: Any) -> Any:
        """A promise of a chunk."""

    def ready(self, promises: set[Any]) -> Iterator[tuple[Any, Columns | BaseException]]:
        """Those that are kept, or the worker died at; waits for one."""

    def close(self, *, at_once: bool = False) -> None:
        """Let them go; `at_once` without waiting for what they are at."""


class Local:
    """Processes on this machine, begun anew where one is killed."""

    def __init__(self, width: int) -> None:
        self.width, self.said = width, f"{width} local"
        self._pool = self._made()

    def _made(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(self.width, mp_context=get_context("spawn"), initializer=on_its_own)

    def ask(self, spec: SweepSpec, begin: int, rows: Any) -> Future[Columns]:
        """See `Crew`."""
        try:
            return self._pool.submit(chunk, spec, begin, rows)
        except BrokenProcessPool:
            self._pool = self._made()
            return self._pool.submit(chunk, spec, begin, rows)

    def ready(self, promises: set[Any]) -> Iterator[tuple[Any, Columns | BaseException]]:
        """See `Crew`; of a pool that broke, every promise is."""
        done, _ = wait(promises, return_when=FIRST_COMPLETED)
        for one in done:
            error = one.exception()
            if error is not None and not isinstance(error, BrokenProcessPool):
                raise error
            yield one, error if error is not None else one.result()

    def close(self, *, at_once: bool = False) -> None:
        """See `Crew`."""
        self._pool.shutdown(wait=not at_once, cancel_futures=True)


def on_cluster(address: str) -> Crew:
    """Workers of a running Dask cluster.

    Raises
    ------
    InputError
        Dask is not there, or the cluster does not answer.

    """
    try:
        from springwright.studies.cluster import Cluster
    except ImportError:
        raise InputError("--cluster", [Fault(address, "", f"a cluster needs dask and distributed, which are not there; {EXTRA}")]) from None  # fmt: skip
    try:
        return Cluster(address, PATIENCE)
    except (OSError, TimeoutError, ValueError) as error:
        raise InputError("--cluster", [Fault(address, "", f"does not answer within {PATIENCE} s: {str(error) or type(error).__name__}; is it running, and does it begin with tcp://?")]) from None  # fmt: skip
