"""What hangs on an estimate: the questions asked again at both ends of its usual range."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from springwright.counted import CountedStep
from springwright.errors import SpringwrightError
from springwright.evaluation import evaluated
from springwright.questions.answer import Answer, Figure
from springwright.results import Result
from springwright.sizing.estimates import Estimate, estimates_of
from springwright.units import told
from springwright.vehicle.design import Design
from springwright.vehicle.edits import changed
from springwright.vehicle.file import DesignFile

MOVES = 0.02  # of a figure: one that an estimate moves by less does not hang on it
Ask = Callable[[DesignFile, Sequence[str]], Sequence[Answer]]


@dataclass(frozen=True)
class EstimateWorth(Result):
    """An estimate with how much hangs on it: the questions whose figures move with it by 2 % over its range, the figure it moves most [share of it], and the verdicts that turn.

    `ranged`: it has a range to be asked over.
    """

    name: str
    said: str
    questions: tuple[str, ...] = ()
    most: str = ""
    share: float = 0.0
    turns: tuple[str, ...] = ()
    ranged: bool = True


class Spans(NamedTuple):
    """The answers with what an estimate is worth among their notes, the verdicts that hang on one, and all estimates by how much hangs on them."""

    answers: tuple[Answer, ...]
    estimates: tuple[str, ...]
    worths: tuple[EstimateWorth, ...]


@evaluated
def spans(
    file: DesignFile,
    answers: Sequence[Answer],
    ask: Ask,
    say: Callable[[str], None] = lambda _: None,
    of: Callable[[Design], tuple[Estimate, ...]] = estimates_of,
) -> Spans:
    """What each estimate is worth over its usual range: the judged figures that move with it by 2 %, and those whose verdict hangs on it.

    `ask` answers questions by name, here those of a design file with the estimate replaced; `of` tells which estimates are looked at.
    """
    noted, hanging, worths = list(answers), [], []
    each = of(file.design)
    names = [answer.question for answer in answers]
    for count, one in enumerate(each, start=1):
        say(CountedStep(f"what hangs on estimates, {count} of {len(each)}", count - 1, len(each)))
        ends = [_at(file, one, text, names, ask) for text in one.ends]
        turned, moved, most = [], [], ("", 0.0)
        for i, answer in enumerate(noted):
            pairs = [
                (figure, [end.get((answer.question, figure.measure)) for end in ends]) for figure in answer.figures
            ]
            found = [span for figure, over in pairs if ends and (span := _span(figure, over))]
            turned += [words for words, hangs in found if hangs]
            shares = [(figure.measure, _share(figure, over)) for figure, over in pairs]
            most = max(most, *shares, key=lambda pair: pair[1]) if shares else most
            if found or not ends or max((share for _, share in shares), default=0.0) > MOVES:
                moved.append(answer.question)
            if found:
                worth = f"{one.said}; over that range: {'; '.join(words for words, _ in found)}"
                noted[i] = replace(noted[i], notes=(*answer.notes, worth))
        if turned:
            hanging.append(f"{one.said}; on it hangs the verdict of {'; '.join(turned)}: {one.mend}")
        worths.append(EstimateWorth(one.name, one.said, tuple(moved), *most, tuple(turned), bool(one.ends)))
    worths.sort(key=lambda worth: (-len(worth.turns), -worth.share))
    stands = tuple(replace(one, estimates=sum(one.question in worth.questions for worth in worths)) for one in noted)
    return Spans(stands, tuple(hanging), tuple(worths))


def _at(
    file: DesignFile, one: Estimate, text: str | float, names: Sequence[str], ask: Ask
) -> dict[tuple[str, str], Figure]:
    try:
        answers = ask(changed(file, [(field, text) for field in one.fields]), names)
    except SpringwrightError:
        return {}
    return {(answer.question, figure.measure): figure for answer in answers for figure in answer.figures}


def _share(figure: Figure, ends: list[Figure | None]) -> float:
    """By how much of itself a figure moves over the range; nothing where it cannot be told."""
    values = [end.value for end in ends if end is not None and end.value is not None]
    if figure.value is None or not values:
        return 0.0
    scale = max(abs(figure.value), abs(figure.limit or 0.0)) or 1.0
    return max(abs(value - figure.value) for value in values) / scale


def _span(figure: Figure, ends: list[Figure | None]) -> tuple[str, bool] | None:
    """A judged figure over the range in words, and whether its word changes; None where it hardly moves."""
    if figure.limit is None or figure.value is None:
        return None
    values = [None if end is None else end.value for end in ends]
    words = {figure.word, *(end.word for end in ends if end is not None)}
    hangs = "not met" in words and len(words) > 1
    scale = abs(figure.value) or 1.0
    if not hangs and all(value is not None and abs(value - figure.value) < MOVES * scale for value in values):
        return None
    if not hangs and None in values:
        return None
    low, high = ("not known" if value is None else told(value, figure.kind) for value in values)
    return f"{figure.measure}, {told(figure.value, figure.kind)} ({low} to {high})", hangs
