"""Prove: the seven answers in full, the map of grounds and speeds, and the views in the round."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from springwright.drawing.rails import limit_rail
from springwright.questions.answer import Answer, Figure
from springwright.questions.estimate_spans import EstimateWorth
from springwright.questions.question import Question
from springwright.report.exhibits import Exhibit, charts, in_order, posed
from springwright.report.proof import apart, facts_table, governs, word_of, worths_table
from springwright.report.tables import Table
from springwright.sizing.estimates import listed_estimates
from springwright.units import number, show, told
from springwright.workbench.render.changes import brief
from springwright.workbench.render.limits import limit_place
from springwright.workbench.render.page import Page, SheetPart
from springwright.workbench.render.sheet import answers_of
from springwright.workbench.sections.aim import windows_of
from springwright.workbench.sections.head import asked

SEEN = 2  # pictures of an answer that stand open; what else is drawn is behind one line
ROUNDS = (
    ("drive", "Driven over the ground and at the speed chosen"),
    ("diagonal", "Diagonal ditch, deeper until a wheel lifts"),
    ("obstacle", "Over the reference obstacle"),
    ("landing", "Landing from the drop asked"),
)


def prove(page: Page) -> Mapping[str, Any]:
    """What the template of Prove shows, an entry to a question."""
    return {
        "answers": [_answer(page, one) for one in page.shown.questions],
        "total": _total(page),
        "others": _others(page),
        "rounds": _rounds(page),
        "notes": page.shown.notes,
        "alone": _alone(page),
        "verbs": {one.name: one.verb for one in page.shown.questions},
        "worths": worths_table(worths) if (worths := _worths(page)) else None,
    }


def _worths(page: Page) -> list[EstimateWorth]:
    """How much hangs on each estimate that still stands."""
    names = {one.name for one in listed_estimates(page.design)} if page.design.estimates else set()
    return [one for one in page.shown.worths if one.name in names]


def _answer(page: Page, question: Question) -> dict[str, Any]:
    name = question.name
    answer, strip = page.shown.answers.get(name), asked(page, question)
    late = name in page.shown.stale
    head = {"name": name, "verb": strip.verb, "word": strip.word, "says": strip.whole, "late": late, "answer": None, "known": page.open(f"q-{name}"), "shut": page.open(f"shut-{name}")}  # fmt: skip
    if answer is None:
        return head
    drawn = in_order(answer, *_pictures(page, answer, late=late))
    known, more = page.open(f"q-{name}"), page.open(f"more-{name}")
    worst = answer.deciding
    return {
        **head, "word": word_of(answer), "asks": answer.asks, "answer": answer, "known": known, "more": more,
        "worst": None if worst is None else _row(page, worst), "what": "" if worst is None else worst.measure, "count": count_words(answer),
        "first": drawn[:SEEN], "rest": drawn[SEEN:], "drawn": drawn[: None if more else SEEN],
        "figures": [_row(page, one) for one in answer.figures] if known else [],
        "facts": facts_table(answer) if known else Table("", (), (), ""),
        "moves": [((one.measure, one.input, one.change, apart(one), one.enough), one.at, one.to, f"{one.input}, {one.enough}") for one in page.shown.moves if one.question == name] if "moves" not in page.shown.stale else [],
        "works": [(f"q-{name}-{k}", work) for k, work in enumerate(answer.workings)] if known else [],
    }  # fmt: skip


def _pictures(page: Page, answer: Answer, *, late: bool) -> tuple[tuple[Exhibit, ...], tuple[Exhibit, ...]]:
    """Curves and drawings of an answer; while it is of an older design, the drawings made of that, and none are made of another."""
    last, view = page.document.evaluation.last, page.view
    told = last(f"charts {answer.question}", (answer, view.system, view.ground, view.speed, view.zooms), lambda: charts(answer, view.ground, view.speed, dict(view.zooms)))  # fmt: skip
    key = (answer, view.system)
    drawn = last(f"posed {answer.question}", key, lambda: None if late else posed(page.document.file, answer))
    if drawn is None and not late:  # it was looked for while there was nothing to draw it from
        drawn = last(f"posed again {answer.question}", key, lambda: posed(page.document.file, answer))
    return told, drawn or ()


def _total(page: Page) -> str:
    """All figures of all answers counted."""
    words = [one.word for answer in page.shown.answers.values() for one in answer.figures]
    return f"{len(words)} figures: {_counted(words)}" if words else ""


def _counted(words: Sequence[str]) -> str:
    return ", ".join(
        f"{words.count(word)} {word}" for word in ("met", "close", "not met", "not known") if word in words
    )


def count_words(answer: Answer) -> str:
    """How many figures an answer has, and of which word: "6 figures: 5 met, 1 not met"."""
    words = [one.word for one in answer.figures]
    return f"all {words[0]}" if words and len(set(words)) == 1 else _counted(words)


def _row(page: Page, one: Figure) -> dict[str, Any]:
    """A figure of an answer, with the place where its limit is written."""
    at = limit_place(page.design, one.id, one.axle)
    endless = one.value is None and one.word in ("met", "not met")
    return {
        "measure": one.measure, "value": "never" if endless else told(one.value, one.kind), "sense": one.sense, "limit": told(one.limit, one.kind) if one.limit is not None else "",
        "place": at, "word": one.word, "where": governs(one), "source": one.why if one.word == "not known" and one.why else one.source or one.why, "margin": told(one.margin, one.kind) if one.kind != "temperature" else "",
    }  # fmt: skip


def _alone(page: Page) -> list[dict[str, Any]]:
    """The answers in each load state and on each ground alone, a row each."""
    rows = []
    for (kind, name), answers in page.shown.alone.items():
        cells = []
        for question in page.shown.questions:
            answer = answers.get(question.name)
            one = answer.deciding if answer else None
            cells.append(
                {
                    "word": word_of(answer) if answer else "not known",
                    "says": brief(one) if one else "",
                    "whole": brief(one, whole=True) if one else "",
                }
            )
        rows.append({"kind": kind, "name": name, "cells": cells, "now": name in (page.view.state, page.view.ground)})
    return rows


def _rounds(page: Page) -> list[dict[str, Any]]:
    """The views in the round that can be played; each is worked out when it is asked for."""
    found = []
    for kind, title in ROUNDS:
        ready = page.shown.beside.get(f"round {kind}")
        found.append({"kind": kind, "title": title, "open": page.open(f"round-{kind}"), "ready": ready})
    return found


RATED = {"axle_load": ("rating",), "wheel_load": ("wheel_rating",), "tyre_load": ("tyre", "load_rating"), "spring_mount_load": ("spring", "mount_rating")}  # fmt: skip


def _others(page: Page) -> list[dict[str, Any]]:
    """Every limit that none of the seven takes, on a rail of its own: the window of each axle, and the builder's ratings."""
    rows: list[dict[str, Any]] = []
    for i, one in enumerate(windows_of(page)):
        if one.softest is None or one.stiffest is None:
            if one.outside:
                rows.append({"name": f"{one.axle} aim in its window", "value": show(one.target, "frequency"), "rail": None, "limit": "which is shut", "at": None, "word": "not met", "said": one.outside})  # fmt: skip
            continue
        pad = 0.4 * max(one.stiffest - one.softest, 0.05)
        span = (min(one.softest, one.target) - pad, max(one.stiffest, one.target) + pad)
        rail = limit_rail(f"{one.axle} aim", one.target, span, one.softest, one.stiffest)
        limit = f"{number(one.softest, 'frequency')} to {show(one.stiffest, 'frequency')}"
        at = ("axles", i, "target", "frequency") if page.design.axles[i].target else None
        rows.append({"name": f"{one.axle} aim in its window", "value": show(one.target, "frequency"), "rail": rail, "limit": limit, "at": at, "word": "not met" if one.outside else "met", "said": one.outside})  # fmt: skip
    names = [axle.name for axle in page.design.axles]
    for judged in page.sheet.ratings:
        if judged.value is None or judged.limit is None:
            continue
        axle = next((k for k, name in enumerate(names) if judged.measure.startswith(f"{name} ")), None)
        field = RATED.get(judged.id)
        rail = limit_rail(
            judged.measure, judged.value, (0.0, 1.2 * max(judged.value, judged.limit)), None, judged.limit
        )
        rows.append(
            {"name": judged.measure, "value": show(judged.value, judged.kind), "rail": rail, "limit": f"{judged.sense} {show(judged.limit, judged.kind)}",
             "at": ("axles", axle, *field) if field and axle is not None else None, "word": judged.word, "said": f"in {judged.where}" if judged.where else ""}
        )  # fmt: skip
    return rows


def _hangs_on(page: Page) -> tuple[Any, ...]:
    shown = page.shown
    rounds = tuple((key, id(one)) for key, one in shown.beside.items() if key.startswith("round "))
    return (
        answers_of(shown),
        shown.stale,
        id(shown.moves),
        id(shown.worths),
        rounds,
        shown.notes,
        bool(shown.busy),
        len(shown.alone),
        tuple((one.outside, one.softest, one.stiffest, one.target) for one in windows_of(page)),
    )


PART = SheetPart("prove", prove, step=True, edits=("limits", "grounds", "duty_cycle"), hangs_on=_hangs_on)
