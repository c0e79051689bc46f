"""All that is told of a vehicle that was built, in one: corrected, what brings it back, its as-built file and its seven answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from springwright.commission.as_built import as_built
from springwright.commission.back import Remedy, remedies
from springwright.commission.correct import Correction, correct
from springwright.commission.taken import nothing_due
from springwright.evaluation import evaluated
from springwright.questions.answer import Answer
from springwright.questions.prove import prove
from springwright.questions.question import Question
from springwright.questions.registry import QUESTIONS
from springwright.results import Result
from springwright.sizing.sheet import catalogue_of
from springwright.vehicle.file import DesignFile


@dataclass(frozen=True)
class BuiltReport(Result):
    """A correction with what follows from it: what brings it back, the seven answers as drawn and as built, and the as-built file's text, empty where nothing differs."""

    correction: Correction
    back: tuple[Remedy, ...] = ()
    drawn: tuple[Answer, ...] = ()
    built: tuple[Answer, ...] = ()
    text: str = ""


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
    both: list[tuple[Answer, ...]] = [(), ()]
    if asks:
        both = [prove(one, progress=progress, sensitive=False, questions=questions).answers for one in (file, built)]
    return BuiltReport(_plain(found), tuple(replace(one, does=None) for one in back), both[0], both[1], built.text)


def _plain(found: Correction) -> Correction:
    """A correction without what it was worked out on."""
    sets = tuple(replace(one, due=nothing_due) for one in found.comparison.sets)
    return replace(found, comparison=replace(found.comparison, sets=sets, drawn=None), standing=None)  # type: ignore[arg-type]
