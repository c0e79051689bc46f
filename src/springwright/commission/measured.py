"""All that is told of a vehicle that was built, in one: corrected, what brings it back, its as-built file and its seven answers as drawn, as built and brought back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from springwright.commission.as_built import as_built
from springwright.commission.back import Remedy, brought_back, remedies, rests_of
from springwright.commission.correct import Correction, correct
from springwright.commission.modelled import modelled
from springwright.commission.taken import nothing_due
from springwright.evaluation import evaluated
from springwright.questions.answer import Answer
from springwright.questions.prove import prove
from springwright.questions.question import Question
from springwright.questions.registry import QUESTIONS
from springwright.results import Result
from springwright.sizing.sheet import catalogue_of
from springwright.sizing.states import AxleRest
from springwright.vehicle.file import DesignFile


@dataclass(frozen=True)
class BuiltReport(Result):
    """A correction with what follows from it: what brings it back, the seven answers as drawn, as built and with all of that made, and the as-built file's text, empty where nothing differs."""

    correction: Correction
    back: tuple[Remedy, ...] = ()
    drawn: tuple[Answer, ...] = ()
    built: tuple[Answer, ...] = ()
    text: str = ""
    mended: tuple[Answer, ...] = ()


@dataclass(frozen=True)
class BroughtBack(Result):
    """Some of what brings a vehicle back made together: the axles at rest in the design state, and the seven answers."""

    remedies: tuple[Remedy, ...]
    axles: tuple[AxleRest, ...]
    answers: tuple[Answer, ...]


@evaluated
def measured(
    file: DesignFile,
    readings: Path,
    questions: Sequence[Question] = QUESTIONS,
    *,
    anyway: bool = False,
    asks: bool = True,
    progress: Callable[[str], None] | None = None,
) -> BuiltReport:
    """Correct a design by its readings and say what follows; plain data that can be sent from one process to another.

    Parameters
    ----------
    file, readings
        The design and the path of its readings.
    questions : sequence of Question
        Those asked as drawn and as built.
    anyway : bool
        Even where the readings look like another vehicle's.
    asks : bool
        Whether they are asked at all.

    Raises
    ------
    InputError
        Something must be mended, or the readings look like another vehicle's.
    UnsolvedError
        The correction does not settle.

    """
    say = progress or (lambda _: None)
    found = correct(file, readings, anyway=anyway, progress=progress)
    if not found.taken:
        return BuiltReport(_plain(found))
    say("looking for what brings it back")
    back = remedies(found.comparison.drawn, found.standing, catalogue_of(file))
    built = as_built(file, found, file.path.with_name(f"{file.path.stem}.as-built.toml"))
    stood = [file, built, *([brought_back(built, back)] if back else [])] if asks else []
    told = [prove(one, progress=progress, sensitive=False, questions=questions).answers for one in stood]
    drawn, as_it_is, *mended = told or [(), ()]
    return BuiltReport(_plain(found), back, drawn, as_it_is, built.text, mended[0] if mended else ())


@evaluated
def tried(
    built: DesignFile,
    some: Sequence[Remedy],
    questions: Sequence[Question] = QUESTIONS,
    *,
    progress: Callable[[str], None] | None = None,
) -> BroughtBack:
    """Make some of what brings a vehicle back, of an as-built design, and ask the questions again."""
    mended = brought_back(built, some)
    standing = modelled(mended)
    answers = prove(mended, progress=progress, sensitive=False, questions=questions).answers
    return BroughtBack(tuple(some), rests_of(standing, standing.sheet.design_state), answers)


def _plain(found: Correction) -> Correction:
    """A correction without what it was worked out on."""
    sets = tuple(replace(one, due=nothing_due) for one in found.comparison.sets)
    return replace(found, comparison=replace(found.comparison, sets=sets, drawn=None), standing=None)  # type: ignore[arg-type]
