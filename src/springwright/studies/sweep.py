"""Sweeps: a table of designs over local cores or a cluster, to Parquet or CSV by chunk, that a stop or a lost worker does not harm."""

from __future__ import annotations

import hashlib
import json
import math
import os
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from importlib import import_module
from multiprocessing import get_context
from pathlib import Path
from typing import Any, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from springwright.cells import CellWriter, cells_of
from springwright.errors import Fault, FieldFault, InputError, QuantityError
from springwright.evaluation import evaluated
from springwright.files import read_file, write_whole
from springwright.results import Result
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import catalogue_of
from springwright.studies.chunks import Columns, SweepSpec, axis_of, chunk, lost, on_its_own, spec_of, values_at
from springwright.studies.decisions import Decision, decisions_of, kind_of
from springwright.studies.evaluator import SECONDS, evaluator
from springwright.studies.figures import ASKED, can_ask
from springwright.units import KINDS, parse
from springwright.vehicle.design import Design
from springwright.vehicle.file import DesignFile, opened

Floats = NDArray[np.float64]
CHUNK = 256  # designs
AHEAD = 2  # chunks asked for by each worker
TRIES = 2  # deaths of a worker at a chunk before its designs are asked one by one
USUAL = ("weighted_acceleration", "load_variation", "roll_gradient", "bump_load_factor", "height_change")
KEPT = 1
PATIENCE = 10  # s, till a cluster answers
MANIFEST = "sweep.json"
EXTRA = "install it with: pip install 'springwright[cluster]'"


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


class _Plan(NamedTuple):
    """What is swept: a full grid, or rows of a table."""

    spec: SweepSpec
    decisions: tuple[Decision, ...]
    total: int
    rows: Floats | None
    size: int

    @property
    def chunks(self) -> int:
        """How many there are."""
        return -(-self.total // self.size)

    def values(self, begin: int, end: int) -> Floats:
        """Rows of decisions [SI]."""
        return values_at(self.decisions, begin, end) if self.rows is None else self.rows[begin:end]

    def ends(self, number: int) -> tuple[int, int]:
        """First and past the last design of a chunk."""
        return number * self.size, min((number + 1) * self.size, self.total)


class _Crew(Protocol):
    """Workers: asked for chunks, and asked which are ready."""

    width: int
    said: str

    def ask(self, spec: SweepSpec, begin: int, rows: Any) -> Any:
        """A promise of a chunk."""

    def ready(self, promises: set[Any]) -> Iterator[tuple[Any, Columns | BaseException]]:
        """Those that are kept, or the worker died at; waits for one."""

    def close(self) -> None:
        """Let them go."""


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
    plan = _planned(file, vary, designs, figures, seed, seconds, size)
    say("starting workers")
    crew = _on_cluster(cluster) if cluster else _Local(workers or os.cpu_count() or 1)
    stopped = False
    try:
        store = _Store(target, plan, resume=resume)
        before = len(store.done)
        _run(plan, store, crew, say, begun)
    except KeyboardInterrupt:
        stopped = True
    finally:
        crew.close()
    if not stopped:
        store.finish()
    done = sum(plan.ends(k)[1] - plan.ends(k)[0] for k in store.done)
    earlier = min(before * plan.size, plan.total)
    return Sweep(
        file.design.vehicle.name, file.path.name, str(target), plan.total, done, earlier, store.refused, plan.spec.asked,
        crew.said, time.monotonic() - begun, stopped,
    )  # fmt: skip


def _planned(
    file: DesignFile, vary: Sequence[str], designs: str | Path | None, figures: Sequence[str], seed: int, seconds: float, size: int
) -> _Plan:  # fmt: skip
    design, sheet, catalogue = file.design, sized(file), catalogue_of(file)
    if bool(vary) == (designs is not None):
        raise InputError("--vary", [Fault("", "", 'give what varies, such as --vary "axles.front.target.frequency = 1.0..1.6 Hz by 0.05", or a CSV of designs, one of both')])  # fmt: skip
    rows = None
    try:
        if designs is not None:
            texts, rows = _table(Path(designs), design)
        else:
            texts = tuple(vary)
        decisions = decisions_of(texts, design, sheet, catalogue, ())
    except FieldFault as fault:
        raise InputError("--vary", [Fault("", "", fault.message)]) from None
    for one in decisions:
        if rows is None and not one.choices and not one.step:
            raise InputError(
                "--vary", [Fault(one.field, "", "a sweep goes in steps: end it with one, such as by 0.05")]
            )
    asked = tuple(dict.fromkeys(figures)) or tuple(one for one in USUAL if not can_ask(design, one))
    for ident in asked:
        why = f"no such figure; there are {', '.join(ASKED)}" if ident not in ASKED else can_ask(design, ident, 1.0)
        if why:
            raise InputError("--figures", [Fault(ident, "", why)])
    evaluator(file, decisions, asked, seed=seed, seconds=seconds)  # what cannot be driven is said now
    count = len(rows) if rows is not None else math.prod(len(axis_of(one)) for one in decisions)
    return _Plan(spec_of(file, texts, asked, seed, seconds), decisions, count, rows, size)


def _table(path: Path, design: Design) -> tuple[tuple[str, ...], Floats]:
    """Decisions and their values out of a CSV of designs.

    Raises
    ------
    InputError
        A column or a cell cannot be read.

    """
    head, *body = cells_of(read_file(path)) or [[]]
    if not body:
        raise InputError(path.name, [Fault("", "", "holds no designs: a row of fields, such as axles.front.target.frequency [Hz], and a row for each design")])  # fmt: skip
    texts, columns = [], []
    for k, name in enumerate(head):
        field, _, unit = name.partition("[")
        field, unit = field.strip(), unit.strip(" ]")
        cells = [row[k].strip() if k < len(row) else "" for row in body]
        if field.endswith(".spring.part"):
            names = list(dict.fromkeys(cells))
            if len(names) < 2:
                raise InputError(path.name, [Fault(name, "", "names one part alone; leave the column out and name it in the design")])  # fmt: skip
            text = f"{field} = {' | '.join(names)}"
            columns.append([float(names.index(cell)) for cell in cells])
        else:
            kind = _kind_in(field, design, path.name)
            values = [_cell(cell, unit, kind, f"{path.name}, row {i + 2}, {field}") for i, cell in enumerate(cells)]
            low, high = min(values), max(values)
            high = high if high > low else low + abs(low) * 1e-9 + 1e-9
            text = f"{field} = {low!r}..{high!r} {KINDS[kind].si}".strip()
            columns.append(values)
        texts.append(text)
    return tuple(texts), np.array(columns, dtype=float).T


def _kind_in(field: str, design: Design, name: str) -> str:
    try:
        return kind_of(field, design)
    except FieldFault as fault:
        raise InputError(name, [Fault("", "", fault.message)]) from None


def _cell(text: str, unit: str, kind: str, where: str) -> float:
    try:
        return parse(f"{text} {unit}".strip(), kind)
    except QuantityError as error:
        raise InputError(where, [Fault("", text, str(error))]) from None


class _Store:
    """Where chunks are put, each whole or not at all, and what is there already."""

    def __init__(self, target: Path, plan: _Plan, *, resume: bool) -> None:
        if target.suffix not in (".parquet", ".csv"):
            raise InputError(str(target), [Fault("", "", "the ending tells the form: use .parquet or .csv")])
        self.target, self.plan = target, plan
        self.parquet = target.suffix == ".parquet"
        if self.parquet:
            _pyarrow()
        self.folder = target if self.parquet else target.with_suffix(".csv.parts")
        said = {"springwright sweep": KEPT, "of": self._of(), "designs": plan.total, "chunk": plan.size}
        manifest = self.folder / f"_{MANIFEST}"
        if not resume and (target.exists() or self.folder.exists()):
            raise InputError(str(target), [Fault("", "", "is there already; --resume goes on with it, or write to another name")])  # fmt: skip
        if resume and target.exists() and not self.folder.exists():
            raise InputError(str(target), [Fault("", "", "is a finished sweep; write to another name")])
        if self.folder.exists():
            try:
                held = json.loads(read_file(manifest))
            except (ValueError, InputError):
                held = None
            if held != said:
                raise InputError(str(target), [Fault("", "", "is of another sweep: the design, what varies, what is asked, seed or chunk differ; write to another name")])  # fmt: skip
        else:
            self.folder.mkdir(parents=True)
            write_whole(manifest, json.dumps(said, indent=1))
        self.done = {int(one.stem.removeprefix("part-")) for one in self.folder.glob("part-*")}
        self.refused = sum(self._refused(one) for one in self.folder.glob("part-*"))

    def _of(self) -> str:
        rows = b"" if self.plan.rows is None else self.plan.rows.tobytes()
        return hashlib.sha256(repr(self.plan.spec).encode() + rows).hexdigest()

    def _refused(self, part: Path) -> int:
        """How many designs of a part that is there have a reason in place of figures."""
        if self.parquet:
            return sum(map(bool, _pyarrow()[1].read_table(part, columns=["why"])["why"].to_pylist()))
        return sum(bool(row[-1]) for row in cells_of(read_file(part)))

    def put(self, number: int, columns: Columns) -> None:
        """Write a chunk."""
        self.refused += sum(bool(one) for one in columns["why"])
        path = self.folder / f"part-{number:07d}{self.target.suffix}"
        if self.parquet:
            arrow, parquet = _pyarrow()
            sink = arrow.BufferOutputStream()
            parquet.write_table(arrow.table(columns), sink)
            write_whole(path, sink.getvalue().to_pybytes())
        else:
            writer = CellWriter()
            writer.writerows(zip(*columns.values(), strict=True))
            write_whole(path, writer.text)
        self.done.add(number)

    def finish(self) -> None:
        """Of a CSV, put the parts together under their names, and take them away."""
        if self.parquet:
            return
        head = CellWriter()
        units = [f"{one.field} [{KINDS[one.kind].si}]".replace(" []", "") if one.kind else one.field for one in self.plan.decisions]  # fmt: skip
        figures = [f"{one} [{ASKED[one].unit}]".replace(" []", "") for one in self.plan.spec.asked]
        head.writerow(["design", *units, *figures, "why"])
        draft = self.folder / "whole"
        with draft.open("w", encoding="utf-8") as file:
            file.write(head.text)
            for number in range(self.plan.chunks):
                file.write((self.folder / f"part-{number:07d}.csv").read_text(encoding="utf-8"))
        os.replace(draft, self.target)
        for one in self.folder.iterdir():
            one.unlink()
        self.folder.rmdir()


def _pyarrow() -> Any:
    try:
        return import_module("pyarrow"), import_module("pyarrow.parquet")
    except ImportError:
        raise InputError("--output", [Fault("", "", f"Parquet needs pyarrow, which is not there; write .csv, or {EXTRA}")]) from None  # fmt: skip


def _run(plan: _Plan, store: _Store, crew: _Crew, say: Callable[[str], None], begun: float) -> None:
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


def _singly(plan: _Plan, number: int, crew: _Crew, cause: BaseException) -> Columns:
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


class _Local:
    """Processes on this machine, begun anew where one is killed."""

    def __init__(self, width: int) -> None:
        self.width, self.said = width, f"{width} local"
        self._pool = self._made()

    def _made(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(self.width, mp_context=get_context("spawn"), initializer=on_its_own)

    def ask(self, spec: SweepSpec, begin: int, rows: Any) -> Future[Columns]:
        """See `_Crew`."""
        try:
            return self._pool.submit(chunk, spec, begin, rows)
        except BrokenProcessPool:
            self._pool = self._made()
            return self._pool.submit(chunk, spec, begin, rows)

    def ready(self, promises: set[Any]) -> Iterator[tuple[Any, Columns | BaseException]]:
        """See `_Crew`; of a pool that broke, every promise is."""
        done, _ = wait(promises, return_when=FIRST_COMPLETED)
        for one in done:
            error = one.exception()
            if error is not None and not isinstance(error, BrokenProcessPool):
                raise error
            yield one, error if error is not None else one.result()

    def close(self) -> None:
        """See `_Crew`."""
        self._pool.shutdown(wait=False, cancel_futures=True)


def _on_cluster(address: str) -> _Crew:
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
