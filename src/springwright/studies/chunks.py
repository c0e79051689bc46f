"""A chunk of a sweep: some designs of a table, evaluated wherever there is a processor, and told as plain columns.

What a worker needs goes with the asking: the design's text and the files it names, what varies, what is asked. So a worker wants nothing but
this package, and two workers asked the same answer alike.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import tempfile
import threading
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from springwright.errors import SpringwrightError
from springwright.evaluation import Evaluation
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import catalogue_of
from springwright.studies.decisions import Decision, decisions_of
from springwright.studies.evaluator import Evaluated, Evaluator, evaluator
from springwright.studies.tolerant import built, tolerances_of
from springwright.vehicle.file import DesignFile, files_named, load, parsed

Floats = NDArray[np.float64]
Columns = dict[str, list[float] | list[str] | list[int]]


@dataclass(frozen=True)
class SweepSpec:
    """All that a worker is told: the design and its side files, what varies, what is asked of each design, the ground's seed and time [s]."""

    name: str
    text: str
    beside: tuple[tuple[str, str], ...]
    vary: tuple[str, ...]
    asked: tuple[str, ...]
    seed: int
    seconds: float
    ground: str = ""
    states: tuple[str, ...] = ()


def spec_of(
    file: DesignFile,
    vary: Sequence[str],
    asked: Sequence[str],
    seed: int,
    seconds: float,
    ground: str = "",
    states: Sequence[str] = (),
) -> SweepSpec:
    """What a worker is told of a design [s]."""
    folder, beside = Path(file.path).parent, {}
    for _, name in files_named(parsed(file.text)):
        with suppress(OSError, UnicodeDecodeError):
            beside[name] = (folder / name).read_text(encoding="utf-8-sig")
    return SweepSpec(
        Path(file.path).name,
        file.text,
        tuple(sorted(beside.items())),
        tuple(vary),
        tuple(asked),
        seed,
        seconds,
        ground,
        tuple(states),
    )


@lru_cache(maxsize=1)
def _ready(spec: SweepSpec) -> tuple[Evaluator, Evaluation]:
    """An evaluator of what is told, kept for the chunks to come."""
    with tempfile.TemporaryDirectory() as folder:
        for name, text in spec.beside:
            path = Path(folder) / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        design = Path(folder) / spec.name
        design.write_text(spec.text, encoding="utf-8")
        evaluation = Evaluation()
        with evaluation:
            file = load(design)
            decisions = decisions_of(spec.vary, file.design, sized(file), catalogue_of(file), ()) if spec.vary else ()
            able = evaluator(
                file,
                decisions,
                spec.asked,
                seed=spec.seed,
                seconds=spec.seconds,
                ground=spec.ground,
                states=spec.states,
            )
    return replace(able, threads=1), evaluation  # there are as many workers as cores


def values_at(decisions: Sequence[Decision], begin: int, end: int) -> Floats:
    """Rows of a full grid from one number to another (n, decisions), the last decision fastest [SI]."""
    axes = [axis_of(one) for one in decisions]
    places = np.unravel_index(np.arange(begin, end), [len(one) for one in axes])
    return np.stack([axis[place] for axis, place in zip(axes, places, strict=True)], axis=1)


def axis_of(decision: Decision) -> Floats:
    """Every value of a decision that has choices or a step [SI]."""
    if decision.choices:
        return np.arange(len(decision.choices), dtype=float)
    count = int(round((decision.high - decision.low) / decision.step, 6)) + 1
    return np.array([decision.snapped(decision.low + decision.step * k) for k in range(count)])


def chunk(spec: SweepSpec, begin: int, rows: Sequence[Sequence[float]] | int) -> Columns:
    """Columns of some designs: their numbers, decisions, figures [SI], and why for each that has none.

    Parameters
    ----------
    begin : int
        Number of the first design.
    rows : sequence of rows, or int
        Their decisions' values [SI], or how many there are of the full grid.

    """
    able, evaluation = _ready(spec)
    decisions = able.variants.decisions
    values = values_at(decisions, begin, begin + rows) if isinstance(rows, int) else np.array(rows, dtype=float)
    try:
        with evaluation:
            told = able(values)
        figures, reasons = told.figures, list(told.reasons)
    except (SpringwrightError, ArithmeticError, ValueError, LookupError):
        figures, reasons = _one_by_one(able, evaluation, values)
    columns: Columns = {"design": list(range(begin, begin + len(values)))}
    for k, one in enumerate(decisions):
        columns[one.field] = [one.shown(value) for value in values[:, k]] if one.choices else values[:, k].tolist()
    for k, ident in enumerate(able.asked):
        columns[ident] = figures[:, k].tolist()
    columns["why"] = reasons
    return columns


def evaluated_rows(spec: SweepSpec, rows: Sequence[Sequence[float]]) -> Evaluated:
    """Figures of some designs, as the evaluator of whoever asks has them [SI]."""
    able, evaluation = _ready(spec)
    with evaluation:
        return able(np.array(rows, dtype=float))


def built_rows(spec: SweepSpec, off: Sequence[Sequence[float]]) -> Evaluated:
    """Figures of the design built off by shares of what is drawn, a row of its tolerances each [-]."""
    able, evaluation = _ready(spec)
    with evaluation:
        return built_of(able, off)


def built_of(able: Evaluator, off: Sequence[Sequence[float]]) -> Evaluated:
    """The same by an evaluator."""
    design, sheet = able.variants.design, able.variants.sheet
    kinds = tolerances_of(design, sheet)
    return able.of([built(design, sheet, kinds, one) for one in off])


def on_its_own() -> None:
    """Begin a worker process: Ctrl-C is for the one that asks to hear, and when that is gone this one goes too."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_ends_with_parent, daemon=True).start()


def _ends_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _one_by_one(able: Evaluator, evaluation: Evaluation, values: Floats) -> tuple[Floats, list[str]]:
    """A chunk of which one design cannot even be asked: that one is a row with its reason."""
    figures, reasons = np.full((len(values), len(able.asked)), np.nan), [""] * len(values)
    for i in range(len(values)):
        try:
            with evaluation:
                told = able(values[i : i + 1])
            figures[i], reasons[i] = told.figures[0], told.reasons[0]
        except (SpringwrightError, ArithmeticError, ValueError, LookupError) as error:
            reasons[i] = f"{type(error).__name__}: {error}"
    return figures, reasons


def lost(
    columns: Sequence[str], begin: int, rows: Floats, shown: Sequence[Decision], asked: Sequence[str], why: str
) -> Columns:
    """The columns of designs that no worker could be asked about."""
    made: Columns = {"design": list(range(begin, begin + len(rows)))}
    for k, one in enumerate(shown):
        made[one.field] = [one.shown(value) for value in rows[:, k]] if one.choices else rows[:, k].tolist()
    for ident in asked:
        made[ident] = [float("nan")] * len(rows)
    made["why"] = [why] * len(rows)
    return {name: made[name] for name in columns}
