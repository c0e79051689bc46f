"""Exchange rates: what one step of every decision does to the figures that decide, and what one of them costs in another.

Each row is the design worked afresh at its whole step, other decisions held and dependent parts sized again: what trying it gives.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple

from springwright.counted import CountedStep
from springwright.errors import SpringwrightError
from springwright.evaluation import evaluated
from springwright.questions.answer import Answer, Figure
from springwright.questions.context import ProofContext
from springwright.questions.prove import make_ready
from springwright.questions.question import Question
from springwright.questions.registry import QUESTIONS
from springwright.questions.road_runs import Runs
from springwright.results import Result, Word
from springwright.sizing.fitted import sized
from springwright.studies.gradients import Kink, Tangent, slopes
from springwright.studies.steps import DecisionStep, steps_of
from springwright.vehicle.edits import changed
from springwright.vehicle.file import DesignFile, opened

LEAST = 0.03  # of a margin: less is told as no change
NIL = 0.01  # of its limit, that a margin of nothing counts as
NO_LIMIT = 0.01  # of the figure: less is no change where there is no margin to tell it by


@dataclass(frozen=True)
class Column(Result):
    """A figure that decides a question today, in the load state and on the ground that govern [SI by `unit`]."""

    question: str
    head: str
    measure: str
    id: str
    axle: str
    unit: str
    kind: str
    sense: str
    value: float | None
    limit: float | None
    margin: float | None
    state: str
    ground: str
    word: Word

    @property
    def length(self) -> float | None:
        """The margin that changes are measured by; none where there is no limit [SI]."""
        if self.margin is None or self.limit is None:
            return None
        return max(abs(self.margin), NIL * abs(self.limit)) or None

    @property
    def better(self) -> float:
        """1 where more of it is better, -1 where less is."""
        return 1.0 if self.sense == "at least" else -1.0


@dataclass(frozen=True)
class Cell(Result):
    """One figure after a step: the figure, its signed change, and that as margins won (lost below nothing) [SI by its column]."""

    value: float | None
    change: float | None
    won: float | None
    word: Word
    lost: str = ""


@dataclass(frozen=True)
class StepRow(Result):
    """One step of a decision. `total` is margins won less lost over all columns.

    `breaks` names questions of which something met today is so no more, `broken` what, in the state and on the ground in view;
    `mends` names questions whose deciding figure comes to be met; `parts` what is fitted in place of what.
    """

    id: str
    what: str
    by: str
    cells: tuple[Cell, ...] = ()
    total: float | None = None
    breaks: tuple[str, ...] = ()
    broken: tuple[str, ...] = ()
    mends: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    why: str = ""
    field: str = ""

    @property
    def won(self) -> float:
        """Margins won over all columns."""
        return sum(max(cell.won or 0.0, 0.0) for cell in self.cells)

    @property
    def lost(self) -> float:
        """Margins lost over all columns."""
        return -sum(min(cell.won or 0.0, 0.0) for cell in self.cells)


@dataclass(frozen=True)
class Bargain(Result):
    """What a unit of one figure gained costs in another by one decision, both taken from its row [SI by the columns]."""

    gained: str
    lost: str
    by: str
    rate: float


class _Told(NamedTuple):
    """A question, the figure that decides it today, and the word of every figure it has today, by measure."""

    question: Question
    decides: Figure | None
    words: dict[str, Word]


@dataclass(frozen=True)
class Exchange(Result):
    """The exchange table: where the design stands, a row for each step, best first, and the exchange between its first two figures."""

    vehicle: str
    file: str
    invented: bool
    columns: tuple[Column, ...]
    rows: tuple[StepRow, ...] = ()
    bargains: tuple[Bargain, ...] = ()
    tangents: tuple[Tangent, ...] = ()
    kinks: tuple[Kink, ...] = ()
    notes: tuple[str, ...] = ()
    stopped: bool = False


@evaluated
def exchange(
    file: DesignFile | str | Path,
    *,
    seed: int = 1,
    progress: Callable[[str], None] | None = None,
    told: Callable[[Exchange], None] | None = None,
    questions: Sequence[Question] = QUESTIONS,
) -> Exchange:
    """The exchange table of a design.

    Parameters
    ----------
    file : DesignFile or path
    seed : int
        Of made ground.
    progress : callable, optional
        Told what is being done; what it raises ends the work, and Ctrl-C gives the rows so far.
    told : callable, optional
        Given the table so far as each row is ready.
    questions : sequence of Question
        Whose deciding figures are traded.

    Raises
    ------
    InputError
        A fault in the design.
    UnsolvedError
        No position of rest in some load state.

    """
    say, file = progress or (lambda _: None), opened(file)
    say("where it stands")
    ready = make_ready(file, seed)
    columns, asks = _columns(ready, questions)
    made = Exchange(file.design.vehicle.name, file.path.name, file.design.vehicle.invented, columns)
    rows: list[StepRow] = []
    tangents: tuple[Tangent, ...] = ()
    kinks: tuple[Kink, ...] = ()
    stopped = False
    try:
        for row in _rows(file, steps_of(file, sized(file)), columns, asks, seed, say):
            rows.append(row)
            if told is not None:
                told(replace(made, rows=tuple(sorted(rows, key=_rank))))
        say("gradients")
        tangents, kinks = slopes(file, seed)
    except KeyboardInterrupt:
        stopped = True
    rows.sort(key=_rank)
    notes = [f"{one.head}? cannot be traded: nothing of it is known" for one in columns if one.value is None]
    notes += [
        f"{one.head}? is not counted in all: {one.measure} has no limit"
        for one in columns
        if one.value is not None and one.length is None
    ]
    return replace(
        made,
        rows=tuple(rows),
        bargains=tuple(_bargains(columns, rows)),
        tangents=tangents,
        kinks=kinks,
        notes=tuple(notes),
        stopped=stopped,
    )


def _rank(row: StepRow) -> tuple[int, float]:
    return (1, 0.0) if row.total is None else (0, -row.total)


def _columns(ready: ProofContext, questions: Sequence[Question]) -> tuple[tuple[Column, ...], list[_Told]]:  # fmt: skip
    """The deciding figure of each question today."""
    runs = Runs(ready)
    columns, asks = [], []
    for question in questions:
        one, words = None, {}
        with contextlib.suppress(SpringwrightError):
            told = question.ask(ready, runs, brief=True)
            one, words = _decides(told), {each.measure: each.word for each in told.figures}
        asks.append(_Told(question, one, words))
        if one is None:
            columns.append(Column(question.name, question.verb, "", "", "", "", "count", "at most", None, None, None, "", "", "not known"))  # fmt: skip
            continue
        columns.append(
            Column(question.name, question.verb, one.measure, one.id, one.axle, one.unit, one.kind, one.sense, one.value, one.limit, one.margin, one.state, one.ground, one.word)
        )  # fmt: skip
    return tuple(columns), asks


def _decides(told: Answer) -> Figure | None:
    """The figure that decides; of a question with no limits the first that has a value."""
    one = told.deciding
    return one if one is not None and one.value is not None else next((each for each in told.figures if each.value is not None), None)  # fmt: skip


def _rows(
    file: DesignFile,
    steps: Sequence[DecisionStep],
    columns: Sequence[Column],
    asks: Sequence[_Told],
    seed: int,
    say: Callable[[str], None],
) -> Iterator[StepRow]:
    """A row for each step, in their order."""

    def worked(step: DecisionStep) -> StepRow:
        return _row(file, step, columns, asks, seed)

    for k, step in enumerate(steps):
        say(CountedStep(f"{k} of {len(steps)} steps: {step.what}", k, len(steps)))
        yield worked(step)


def _row(
    file: DesignFile,
    step: DecisionStep,
    columns: Sequence[Column],
    asks: Sequence[_Told],
    seed: int,
) -> StepRow:
    plain = StepRow(step.id, step.what, step.by, why=step.why, field=step.field)
    if not step.changes:
        return plain
    try:
        other = changed(file, step.changes)
        ready = make_ready(other, seed)
    except SpringwrightError as error:
        return replace(plain, why=str(error))
    cells, breaks, lost, mends = [], [], [], []
    for column, told in zip(columns, asks, strict=True):
        figures = _asked(ready, told)
        cell = cell_of(column, figures if isinstance(figures, str) else same_figure(figures, told.decides))
        cells.append(cell)
        broken = () if isinstance(figures, str) else [one.measure for one in figures if one.word == "not met" and told.words.get(one.measure) not in (None, "not met")]  # fmt: skip
        if broken:
            breaks.append(column.question)
            lost.append(broken[0])
        elif column.word == "not met" and cell.word in ("met", "close"):
            mends.append(column.question)
    won = [one.won for one in cells if one.won is not None]
    parts = tuple(
        f"{one.axle}: {now.fitted.label} in place of {one.fitted.label}"
        for one, now in zip(sized(file).springs, sized(other).springs, strict=True)
        if one.fitted is not None and now.fitted is not None and one.fitted.label != now.fitted.label
    )
    return replace(
        plain, cells=tuple(cells), total=sum(won) if won else None, breaks=tuple(breaks), broken=tuple(lost),
        mends=tuple(mends), parts=parts,
    )  # fmt: skip


def _asked(ready: ProofContext, told: _Told) -> tuple[Figure, ...] | str:
    """Figures of another design in the load state and on the ground that govern today, or why there are none."""
    if told.decides is None:
        return "not known"
    narrowed = ready.narrowed(*told.question.view(ready, told.decides))
    try:
        return told.question.figures(narrowed, Runs(narrowed), told.decides.id)
    except SpringwrightError as error:
        return str(error)


def same_figure(figures: Sequence[Figure], one: Figure | Column | None) -> Figure | str:
    """Of another design's figures the one that decides today, or why there is none."""
    mine = [each for each in figures if one is not None and (each.id, each.axle) == (one.id, one.axle)]
    same = [each for each in mine if one is not None and each.measure == one.measure] or (mine if len(mine) == 1 else [])  # fmt: skip
    return same[0] if same else "the changed design has no such figure"


def cell_of(column: Column, after: Figure | str) -> Cell:
    """What has become of a column's figure, or why there is none [SI by the column]."""
    if isinstance(after, str):
        return Cell(None, None, None, "not known", after)
    if after.value is None or column.value is None:
        return Cell(after.value, None, None, after.word, after.why or "has no end that was looked for")
    change = after.value - column.value
    return Cell(after.value, change, None if column.length is None else column.better * change / column.length, after.word)  # fmt: skip


def moved(column: Column, cell: Cell) -> bool:
    """Whether a step moves a figure by enough to be told."""
    if cell.change is None:
        return False
    if cell.won is None:
        return abs(cell.change) >= NO_LIMIT * abs(column.value or 1.0)
    return abs(cell.won) >= LEAST


def _bargains(columns: Sequence[Column], rows: Sequence[StepRow]) -> Iterator[Bargain]:
    """For each pair of figures and each row that gains one for the other: the price, cheapest first."""
    for i, gained in enumerate(columns):
        for j, lost in enumerate(columns):
            if i == j:
                continue
            found = []
            for row in rows:
                if not row.cells or not (moved(gained, row.cells[i]) and moved(lost, row.cells[j])):
                    continue
                gain = gained.better * (row.cells[i].change or 0.0)
                cost = -lost.better * (row.cells[j].change or 0.0)
                # either way of the step: what it gains of one and loses of the other
                if gain * cost > 0 and math.isfinite(cost / gain):
                    found.append(Bargain(gained.question, lost.question, row.what, cost / gain))
            yield from sorted(found, key=lambda one: one.rate)
