"""What the last edit did to the answers, and a figure in a few words."""

from __future__ import annotations

from typing import Any

from springwright.questions.answer import Answer, Figure
from springwright.questions.measures import measure
from springwright.units import number, show_warming, told, unit_of
from springwright.workbench.render.page import Page


def in_two(one: Figure, *, whole: bool = False) -> tuple[str, str]:
    """What is measured, and the figure with what it may or must be, in a few words."""
    name = one.measure if whole else measure(one.id).short or one.measure
    if one.value is None:
        return name, one.why or one.word
    if one.kind == "temperature":
        return name, f"{told(one.value, one.kind)} of {told(one.limit, one.kind)}" if one.limit is not None else told(one.value, one.kind)  # fmt: skip
    places = 2 if one.kind == "ratio" else 1 if one.kind == "angle" and not whole else None
    value, limit = number(one.value, one.kind, places), number(one.limit, one.kind, places)
    if one.sense == "at most":
        return name, f"{value} of {limit} {unit_of(one.kind)}".rstrip()
    return name, f"{value}, needs {limit} {unit_of(one.kind)}".rstrip()


def brief(one: Figure, *, whole: bool = False) -> str:
    """A figure against its limit in a few words."""
    name, figure = in_two(one, whole=whole)
    return f"{name}: {figure}" if one.value is None else f"{name} {figure}"


def changed_rows(page: Page) -> tuple[list[dict[str, str]], str]:
    """What the last edit did to each question's deciding figure; and the rest in a sentence."""
    rows, still, words = [], [], []
    for question in page.shown.questions:
        name, verb = question.name, question.verb
        if name in page.shown.stale:
            continue
        was, now = page.shown.before.get(name), page.shown.answers.get(name)
        if was is None or now is None:
            continue
        if was.word != now.word:
            words.append(f"{verb}? was {was.word}, is {now.word}.")
        row = _moved(verb, was, now)
        if row is None:
            still.append(f"{verb}?")
        else:
            rows.append(row)
    rest = f"{', '.join(still[:-1])}{' and ' if len(still) > 1 else ''}{still[-1]} did not move. " if still else ""
    return rows, rest + (" ".join(words) or "No word changed.")


def _moved(verb: str, was: Answer, now: Answer) -> dict[str, str] | None:
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
        "name": f"{verb}?", "unit": unit, "was": texts[0], "now": texts[1],
        "change": change if change.startswith("−") else f"+{change}",
    }  # fmt: skip


def told_change(page: Page, section: str) -> dict[str, Any] | None:
    """What the last edit changed in the answers, told in the section where the edit was made; None elsewhere."""
    if not page.document.past or page.edited != section or not page.shown.before:
        return None
    rows, rest = changed_rows(page)
    return {"title": page.document.title, "rows": rows, "rest": rest}
