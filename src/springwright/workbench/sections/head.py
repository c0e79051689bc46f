"""The head of the sheet: what it is shown for, the seven questions, the steps of the job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from springwright.questions.prove import PROOF_CAUTIONS, outside
from springwright.questions.question import Question
from springwright.report.proof import on_estimates, word_of
from springwright.workbench.model.view import grounds_of
from springwright.workbench.render.changes import brief, in_two
from springwright.workbench.render.page import Page, SheetPart
from springwright.workbench.render.sheet import answers_of
from springwright.workbench.sections.aim import windows_of


@dataclass(frozen=True)
class StripCell:
    """One cell of the strip."""

    name: str
    verb: str
    word: str
    figure: str
    what: str  # is measured, and where it governs
    whole: str
    state: str
    late: bool


def head(page: Page) -> Mapping[str, Any]:
    """The sentence of pickers."""
    design = page.design
    return {
        "states": [one.name for one in design.states],
        "grounds": grounds_of(design),
        "unusual": [
            *filter(None, [page.sheet.catalogue_lost]),
            *page.document.renamed,
            *page.document.file.beside,
            *page.sheet.unusual,
        ],
    }


def watch(page: Page) -> Mapping[str, Any]:
    """The strip and the tape."""
    wrong: dict[str, int] = {}
    for at in page.document.wrong:
        step = page.section_of(at)
        wrong[step] = wrong.get(step, 0) + 1
    stale = len(page.shown.stale & page.shown.names)
    return {
        "asks": [asked(page, one) for one in page.shown.questions],
        "steps": [(one.name, one.name.capitalize(), wrong.get(one.name, 0)) for one in page.parts if one.step],
        "outside": outside(windows_of(page)),
        "folded": bool(page.view.folded),
        "estimated": f"with {count} of its values estimates" if (count := len(page.form.estimated)) else "",
        "stale_words": f"{stale} of the seven answers are for an older state" if stale else "the rest was left",
    }


def foot(_: Page) -> Mapping[str, Any]:
    """The cautions."""
    return {"cautions": PROOF_CAUTIONS}


def asked(page: Page, question: Question) -> StripCell:
    """A question as the strip has it."""
    name, verb = question.name, question.verb
    answer, late = page.shown.answers.get(name), name in page.shown.stale
    if answer is None:
        why = page.shown.lost.get(name) or ("working out" if page.shown.busy else "not worked out")
        return StripCell(name, verb, "not known", why, "", why, "", late)
    one = answer.deciding
    if one is None:
        missing = next((figure.why for figure in answer.figures if figure.why), "")
        return StripCell(name, verb, "not known", missing.partition(":")[0], "", missing, "", late)
    what, figure = in_two(one)
    state = one.state if one.state != "every state" else ""
    return StripCell(
        name,
        verb,
        word_of(replace(answer, estimates=0)),
        figure + on_estimates(answer.estimates).replace(", on", "; on"),
        ", ".join(filter(None, (what, state))),
        brief(one, whole=True),
        state,
        late,
    )


def _head_hangs_on(page: Page) -> tuple[Any, ...]:
    one = page.document
    return one.dirty, one.undoes, one.redoes, one.said, one.elsewhere, one.unkept


def _watch_hangs_on(page: Page) -> tuple[Any, ...]:
    shown = page.shown
    return (
        answers_of(shown),
        tuple(shown.lost.items()),
        shown.stale,
        shown.busy,
        shown.fault,
        outside(windows_of(page)),
        bool(page.view.folded),
        len(page.form.estimated),
    )


HEAD = SheetPart("head", head, at="above", hangs_on=_head_hangs_on)
WATCH = SheetPart("watch", watch, at="above", hangs_on=_watch_hangs_on)
FOOT = SheetPart("foot", foot, at="below")
