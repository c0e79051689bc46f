"""The seven questions asked of a design: made ready once, asked in order, and what each not-met figure would take."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np

from springwright.errors import FieldFault, UnsolvedError
from springwright.evaluation import evaluated
from springwright.questions.answer import Answer
from springwright.questions.context import ProofContext, StateModel, stretches_of
from springwright.questions.estimate_spans import EstimateWorth, spans
from springwright.questions.question import Question
from springwright.questions.registry import QUESTIONS, named
from springwright.questions.road_runs import Runs
from springwright.questions.sensitivities import Move, Trials, moves
from springwright.results import Judged, Result
from springwright.sizing.estimates import estimates_of
from springwright.sizing.fitted import assumptions, sized
from springwright.sizing.sheet import CAUTIONS
from springwright.sizing.states import StateRest
from springwright.sizing.window import Window
from springwright.units import remembered_as_shown
from springwright.vehicle.file import DesignFile, opened
from springwright.vehicle.geometry import InPlace, geometry_of

PROOF_CAUTIONS = (
    *CAUTIONS,
    "Tilt tests, drops and vehicles on jacks injure. Rollover and landing figures are for comparison between designs, not for trying.",
)


@dataclass(frozen=True)
class Proof(Result):
    """The answers, overloads first; `moves` say what input would bring a not-met figure nearer to its limit, and by how much.

    `windows` say of each axle aimed outside its window by how much and for which limit, as the sizing does; `estimates` name
    what is estimated and decides a verdict.
    """

    vehicle: str
    file: str
    invented: bool
    design_state: str
    ratings: tuple[Judged, ...]
    windows: tuple[str, ...] = ()
    answers: tuple[Answer, ...] = ()
    moves: tuple[Move, ...] = ()
    unusual: tuple[str, ...] = ()
    estimates: tuple[str, ...] = ()
    worths: tuple[EstimateWorth, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = PROOF_CAUTIONS
    stopped: bool = False


def outside(windows: Sequence[Window]) -> tuple[str, ...]:
    """Of every axle aimed outside its window, by how much and for which limit."""
    return tuple(filter(None, (one.outside for one in windows)))


@remembered_as_shown(4)
def make_ready(file: DesignFile, seed: int = 1) -> ProofContext:
    """The design at rest in every load state on the springs its sizing fits, and its grounds.

    Raises
    ------
    InputError
        A fault in the design.
    UnsolvedError
        No position of rest in some load state.

    """
    sheet, design = sized(file), file.design
    loads = np.array(sheet.design_loads)
    damping = tuple(rate.damping.wheel if rate.damping else None for rate in sheet.rates)
    states = [
        StateModel(weight.name, weight, told.settled.laws, told.settled.rig, told.settled.rest, partial(_same, told))
        for weight, told in zip(sheet.states, sheet.rests, strict=True)
    ]
    try:
        geometries = tuple(
            geometry_of(design, i, InPlace(one.law, one.need, one.part)) for i, one in enumerate(sheet.springs)
        )
        stretches, notes = stretches_of(design, loads, Path(file.path).parent, seed)
    except FieldFault as fault:
        raise file.fault(fault) from None
    return ProofContext(
        design, tuple(states), sheet.design_state, sheet.springs, sheet.rates, loads, geometries, stretches, damping,
        (*assumptions(file), *notes),
    )  # fmt: skip


@evaluated
def ask_briefly(
    file: DesignFile, names: Sequence[str], seed: int = 1, questions: Sequence[Question] = QUESTIONS
) -> list[Answer]:
    """Some questions of a design, without what is told beside the judged figures."""
    ready = make_ready(file, seed)
    runs = Runs(ready)
    return [named(name, questions).ask(ready, runs, brief=True) for name in names]


def _same(told: StateRest) -> StateRest:
    return told


@evaluated
def prove(
    file: DesignFile | str | Path,
    only: Sequence[str] = (),
    *,
    seed: int = 1,
    progress: Callable[[str], None] | None = None,
    sensitive: bool = True,
    questions: Sequence[Question] = QUESTIONS,
) -> Proof:
    """Ask the questions of a design.

    Parameters
    ----------
    file : DesignFile or path
    only : names of questions
        Those to ask; all seven if empty.
    seed : int
        Of made ground.
    progress : callable, optional
        Told what is being done.
    sensitive : bool
        Work out what moves each not-met figure.
    questions : sequence of Question
        Those there are.

    A stop with Ctrl-C gives the answers finished so far, marked `stopped`.

    Raises
    ------
    InputError
        A fault in the design.
    UnsolvedError
        No position of rest in some load state.

    """
    say, file = progress or (lambda _: None), opened(file)
    say("sizing and standing")
    sheet, ready = sized(file), make_ready(file, seed)
    runs = Runs(ready, say)
    notes = [*ready.notes]
    found = Proof(
        sheet.vehicle, sheet.file, sheet.invented, sheet.design_state,
        tuple(sorted(sheet.ratings, key=lambda one: one.word != "not met")), outside(sheet.windows),
        unusual=sheet.unusual,
    )  # fmt: skip
    try:
        for one in questions:
            if only and one.name not in only:
                continue
            say(one.name)
            try:
                found = replace(found, answers=(*found.answers, one.ask(ready, runs)))
            except UnsolvedError as error:
                notes.append(f"{one.name} could not be answered: {error}")
        if estimates_of(file.design):
            found = replace(
                found, **spans(file, found.answers, partial(ask_briefly, seed=seed, questions=questions), say)._asdict()
            )
        if sensitive:
            trials = Trials(ready)
            for answer in found.answers:
                say(f"what moves {answer.question}")
                found = replace(found, moves=(*found.moves, *moves(trials, answer, named(answer.question, questions))))
    except KeyboardInterrupt:
        found = replace(found, stopped=True)
        notes.insert(0, "stopped before the end: only what was finished is told")
    return replace(found, notes=tuple(dict.fromkeys(notes)))
