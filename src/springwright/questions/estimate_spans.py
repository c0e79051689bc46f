"""What hangs on an estimate: the questions asked again at both ends of its usual range."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple

from springwright.errors import SpringwrightError
from springwright.evaluation import evaluated
from springwright.linkage.beam_links import BUSH_USUAL
from springwright.questions.answer import Answer, Figure
from springwright.sizing.estimates import Estimate, estimates_of
from springwright.units import text_in, told
from springwright.vehicle.edits import changed
from springwright.vehicle.file import DesignFile

Ask = Callable[[DesignFile, Sequence[str]], Sequence[Answer]]


class Spans(NamedTuple):
    """The answers with what an estimate is worth among their notes, and the verdicts that hang on one."""

    answers: tuple[Answer, ...]
    estimates: tuple[str, ...]


@evaluated
def spans(file: DesignFile, answers: Sequence[Answer], ask: Ask) -> Spans:
    """What each estimate is worth over its usual range: the judged figures that move with it by 2 %, and those whose verdict hangs on it.

    `ask` answers questions by name, here those of a design file with the estimate replaced.
    """
    noted, hanging = list(answers), []
    for one in estimates_of(file.design):
        ends = [_at(file, one, rate, [answer.question for answer in answers], ask) for rate in BUSH_USUAL]
        all_hang = []
        for i, answer in enumerate(noted):
            pairs = [
                (figure, [end.get((answer.question, figure.measure)) for end in ends]) for figure in answer.figures
            ]
            found = [span for figure, over in pairs if (span := _span(figure, over))]
            all_hang += [words for words, hangs in found if hangs]
            if found:
                worth = f"{one.said}; over that range: {'; '.join(words for words, _ in found)}"
                noted[i] = replace(answer, notes=(*answer.notes, worth))
        if all_hang:
            hanging.append(
                f"{one.said}; on it hangs the verdict of {'; '.join(all_hang)}: measure the bushes or ask their maker"
            )
    return Spans(tuple(noted), tuple(hanging))


def _at(file: DesignFile, one: Estimate, rate: float, names: Sequence[str], ask: Ask) -> dict[tuple[str, str], Figure]:
    try:
        answers = ask(changed(file, [(field, text_in(rate, "rate", "N/mm")) for field in one.fields]), names)
    except SpringwrightError:
        return {}
    return {(answer.question, figure.measure): figure for answer in answers for figure in answer.figures}


def _span(figure: Figure, ends: list[Figure | None]) -> tuple[str, bool] | None:
    """A judged figure over the range in words, and whether its word changes; None where it hardly moves."""
    if figure.limit is None or figure.value is None:
        return None
    values = [None if end is None else end.value for end in ends]
    words = {figure.word, *(end.word for end in ends if end is not None)}
    hangs = "not met" in words and len(words) > 1
    scale = abs(figure.value) or 1.0
    if not hangs and all(value is not None and abs(value - figure.value) < 0.02 * scale for value in values):
        return None
    if not hangs and None in values:
        return None
    low, high = ("not known" if value is None else told(value, figure.kind) for value in values)
    return f"{figure.measure}, {told(figure.value, figure.kind)} ({low} to {high})", hangs
