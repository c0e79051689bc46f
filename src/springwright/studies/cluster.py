"""Workers of a running Dask cluster, by its address; dask and distributed are an extra of this package, `cluster`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from distributed import Client, KilledWorker
from distributed import wait as waited

from springwright.studies.chunks import Columns, SweepSpec, chunk


class Cluster:
    """A cluster that runs already; what a worker that dies was at is asked again by its scheduler."""

    def __init__(self, address: str, patience: float) -> None:
        self._client = Client(address, timeout=patience, set_as_default=False)
        workers = self._client.scheduler_info()["workers"]
        self.width = max(sum(one["nthreads"] for one in workers.values()), 1)
        self.said = f"cluster of {len(workers)}"

    def ask(self, spec: SweepSpec, begin: int, rows: Any) -> Any:
        """A promise of a chunk."""
        return self._client.submit(chunk, spec, begin, rows, pure=False)

    def ready(self, promises: set[Any]) -> Iterator[tuple[Any, Columns | BaseException]]:
        """Those that are kept; a chunk at which workers died again and again is told by that."""
        with self._client.as_current():
            done = waited(list(promises), return_when="FIRST_COMPLETED").done
        for one in done:
            error = one.exception()
            if error is not None and not isinstance(error, KilledWorker):
                raise error
            told = error if error is not None else one.result()
            one.release()
            yield one, told

    def close(self, *, at_once: bool = False) -> None:  # noqa: ARG002 as `Crew` has it
        """Leave it running."""
        self._client.close()
