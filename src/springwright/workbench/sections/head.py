"""The head of the sheet: what it is shown for, the seven questions, the steps of the job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from springwright.questions.answer import Answer, Figure
from springwright.questions.measures import measure
from springwright.questions.prove import PROOF_CAUTIONS, QUESTIONS
from springwright.report.proof import word_of
from springwright.units import number, show_warming, told, unit_of
from springwright.workbench.document import grounds_of
from springwright.workbench.field_types import step_of

if TYPE_CHECKING:
    from springwright.workbench.page import Page

VERBS = {"ride": "Rides", "grip": "Grips", "stand": "Stands", "land": "Lands", "fit": "Fits", "level": "Level", "last": "Lasts"}  # fmt: skip
STEPS = ("weigh", "aim", "place", "spring", "damp", "prove", "trade", "order", "measure")
LONGEST = 30  # letters of an edit's name on a button


@dataclass(frozen=True)
class StripCell:
    """One cell of the strip."""

    name: str
    verb: str
    word: str
    governs: str
    whole: str
    state: str
    late: bool


def head(page: Page) -> Mapping[str, Any]:
    """The sentence of pickers."""
    design = page.design
    return {
        "states": [one.name for one in design.states],
        "grounds": grounds_of(design),
        "elsewhere": page.document.elsewhere,
        "unusual": [*filter(None, [page.sheet.catalogue_lost]), *page.document.file.beside, *page.sheet.unusual],
        "short": lambda text: text if len(text) <= LONGEST else text[: LONGEST - 1] + "…",
    }


def watch(page: Page) -> Mapping[str, Any]:
    """The strip and the tape."""
    wrong: dict[str, int] = {}
    for at in page.document.wrong:
        step = step_of(at)
        wrong[step] = wrong.get(step, 0) + 1
    stale = len(page.shown.stale & set(QUESTIONS))
    return {
        "asks": [asked(page, name) for name in QUESTIONS],
        "steps": [(step, step.capitalize(), wrong.get(step, 0)) for step in STEPS],
        "stale_words": f"{stale} of the seven answers are for an older state" if stale else "the rest was left",
    }


def foot(_: Page) -> Mapping[str, Any]:
    """The cautions."""
    return {"cautions": PROOF_CAUTIONS}


def asked(page: Page, name: str) -> StripCell:
    """A question as the strip has it."""
    answer, late = page.shown.answers.get(name), name in page.shown.stale
    if answer is None:
        why = page.shown.lost.get(name) or ("working out" if page.shown.busy else "not worked out")
        return StripCell(name, VERBS[name], "not known", why, why, "", late)
    one = answer.deciding
    if one is None:
        missing = next((figure.why for figure in answer.figures if figure.why), "")
        return StripCell(name, VERBS[name], "not known", missing.partition(":")[0], missing, "", late)
    return StripCell(
        name,
        VERBS[name],
        word_of(answer),
        brief(one),
        brief(one, whole=True),
        one.state if one.state != "every state" else "",
        late,
    )


def brief(one: Figure, *, whole: bool = False) -> str:
    """A figure against its limit in a few words: what is measured, the figure, and what it may or must be."""
    name = one.measure if whole else measure(one.id).short or one.measure
    if one.kind == "temperature" or one.value is None:
        return f"{name} {told(one.value, one.kind)}" if one.value is not None else f"{name}: {one.why or one.word}"
    places = 2 if one.kind == "ratio" else 1 if one.kind == "angle" and not whole else None
    value, limit = number(one.value, one.kind, places), number(one.limit, one.kind, places)
    if one.sense == "at most":
        return f"{name} {value} of {limit} {unit_of(one.kind)}".rstrip()
    return f"{name} {value}, {'needs' if whole else 'min'} {limit} {unit_of(one.kind)}".rstrip()


def changed_rows(page: Page) -> tuple[list[dict[str, str]], str]:
    """What the last edit did to each question's deciding figure; and the rest in a sentence."""
    rows, still, words = [], [], []
    for name in QUESTIONS:
        if name in page.shown.stale:
            continue
        was, now = page.shown.before.get(name), page.shown.answers.get(name)
        if was is None or now is None:
            continue
        if was.word != now.word:
            words.append(f"{VERBS[name]}? was {was.word}, is {now.word}.")
        row = _moved(name, was, now)
        if row is None:
            still.append(f"{VERBS[name]}?")
        else:
            rows.append(row)
    rest = f"{', '.join(still[:-1])}{' and ' if len(still) > 1 else ''}{still[-1]} did not move. " if still else ""
    return rows, rest + (" ".join(words) or "No word changed.")


def _moved(name: str, was: Answer, now: Answer) -> dict[str, str] | None:
    """The figure that decides now, as it was before and as it is; None where it reads the same."""
    one = now.deciding
    if one is None or one.value is None:
        return None
    before = next((old for old in was.figures if old.measure == one.measure), None)
    if before is None or before.value is None:
        return None
    places, unit = 2 if one.kind == "ratio" else None, ""
    if one.kind == "temperature":
        texts = told(before.value, one.kind), told(one.value, one.kind)
        change = show_warming(one.value - before.value)
    else:
        texts = number(before.value, one.kind, places), number(one.value, one.kind, places)
        change, unit = number(one.value - before.value, one.kind, places), unit_of(one.kind)
    if texts[0] == texts[1]:
        return None
    return {
        "name": f"{VERBS[name]}?", "unit": unit, "was": texts[0], "now": texts[1],
        "change": change if change.startswith("−") else f"+{change}",
    }  # fmt: skip
