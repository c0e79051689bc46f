"""Sweeps: a table of designs over local cores or a cluster, to Parquet or CSV by chunk, that a stop or a lost worker does not harm."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from springwright.evaluation import evaluated
from springwright.results import Result
from springwright.studies.chunks import Columns, lost
from springwright.studies.crews import Crew, Local, on_cluster
from springwright.studies.evaluator import SECONDS
from springwright.studies.sweep_plan import SweepPlan, planned
from springwright.studies.sweep_store import SweepStore
from springwright.vehicle.file import DesignFile, opened

CHUNK = 256  # designs
AHEAD = 2  # chunks asked for by each worker
TRIES = 2  # deaths of a worker at a chunk before its designs are asked one by one


@dataclass(frozen=True)
class Sweep(Result):
    """What a sweep came to: designs in all, those done now and before, those refused, and where they stand."""

    vehicle: str
    file: str
    output: str
    designs: int
    done: int
    before: int
    refused: int
    figures: tuple[str, ...]
    workers: str
    seconds: float
    stopped: bool = False

    def to_dataframe(self) -> Any:
        """Every design as a pandas DataFrame: decisions, figures [SI], why one has none."""
        import pandas as pd

        return pd.read_csv(self.output) if self.output.endswith(".csv") else pd.read_parquet(self.output)


@evaluated
def sweep(  # noqa: PLR0913 what a sweep may be told, by name
    file: DesignFile | str | Path,
    *,
    vary: Sequence[str] = (),
    designs: str | Path | None = None,
    figures: Sequence[str] = (),
    output: str | Path,
    workers: int | None = None,
    cluster: str | None = None,
    resume: bool = False,
    size: int = CHUNK,
    seed: int = 1,
    seconds: float = SECONDS,
    progress: Callable[[str], None] | None = None,
) -> Sweep:
    """Evaluate a table of designs.

    Parameters
    ----------
    file : DesignFile or path
    vary : texts
        Fields with a range and a step, or choices: every combination is evaluated.
    designs : path, optional
        A CSV of designs in place of `vary`: a column for each field, with its unit in brackets.
    figures : ids
        What is asked of each; see `studies.figures.ASKED`.
    output : path
        A folder .parquet of parts, or a .csv.
    workers : int, optional
        Local processes; one for each core.
    cluster : str, optional
        Address of a running Dask cluster in place of local processes.
    resume : bool
        Go on with what stands in `output`.
    size : int
        Designs of a chunk: what a lost worker costs.
    seconds : float
        Driven by each design in each state [s].

    Raises
    ------
    InputError
        Something cannot be, said before any work begins.

    """
    say, file, target = progress or (lambda _: None), opened(file), Path(output)
    begun = time.monotonic()
    say("sizing and standing")
    plan = planned(file, vary, designs, figures, seed, seconds, size)
    say("starting workers")
    crew: Crew = on_cluster(cluster) if cluster else Local(min(workers or os.cpu_count() or 1, plan.chunks))
    stopped = False
    try:
        store = SweepStore(target, plan, resume=resume)
        before, said = len(store.done), crew.said
        try:
            _run(plan, store, crew, say, begun)
        except KeyboardInterrupt:
            stopped = True
    finally:
        crew.close(at_once=sys.exc_info()[0] is not None or stopped)
    if not stopped:
        store.finish()
    done = sum(plan.ends(k)[1] - plan.ends(k)[0] for k in store.done)
    earlier = min(before * plan.size, plan.total)
    return Sweep(
        file.design.vehicle.name, file.path.name, str(target), plan.total, done, earlier, store.refused, plan.spec.asked,
        said, time.monotonic() - begun, stopped,
    )  # fmt: skip


def _run(plan: SweepPlan, store: SweepStore, crew: Crew, say: Callable[[str], None], begun: float) -> None:
    """Ask for every chunk that is not there, a few ahead, and put each away as it comes."""
    left = iter([k for k in range(plan.chunks) if k not in store.done])
    deaths: dict[int, int] = {}
    asked: dict[Any, int] = {}
    again: list[int] = []
    fresh = 0

    def ask(number: int) -> None:
        begin, end = plan.ends(number)
        rows = (end - begin) if plan.rows is None else plan.rows[begin:end].tolist()
        asked[crew.ask(plan.spec, begin, rows)] = number

    while True:
        while len(asked) < AHEAD * crew.width and (number := again.pop() if again else next(left, None)) is not None:
            ask(number)
        if not asked:
            return
        for promise, told in crew.ready(set(asked)):
            number = asked.pop(promise)
            if isinstance(told, BaseException):
                deaths[number] = deaths.get(number, 0) + 1
                if deaths[number] < TRIES:
                    again.append(number)
                    continue
                told = _singly(plan, number, crew, told)
            store.put(number, told)
            begin, end = plan.ends(number)
            fresh += end - begin
        rate = fresh / max(time.monotonic() - begun, 1e-3)
        done = sum(plan.ends(k)[1] - plan.ends(k)[0] for k in store.done)
        if rate:
            say(f"{done} of {plan.total} designs, {rate:.0f} a second, about {(plan.total - done) / rate:.0f} s to go")


def _singly(plan: SweepPlan, number: int, crew: Crew, cause: BaseException) -> Columns:
    """A chunk at which workers die: its designs one at a time, and one that kills its worker is a row with that as its reason."""
    begin, end = plan.ends(number)
    whole: Columns = {}
    for k in range(begin, end):
        values = plan.values(k, k + 1)
        promise = crew.ask(plan.spec, k, values.tolist())
        _, told = next(iter(crew.ready({promise})))
        if isinstance(told, BaseException):
            names = ["design", *(one.field for one in plan.decisions), *plan.spec.asked, "why"]
            why = f"the worker was lost at this design: {told or cause}"
            told = lost(names, k, values, plan.decisions, plan.spec.asked, why)
        for name, column in told.items():
            whole.setdefault(name, []).extend(column)  # type: ignore[arg-type]
    return whole
