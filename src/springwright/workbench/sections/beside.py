"""Beside: this design held against a revision, another design on the desk, or what the disk holds; differences marked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from springwright.questions.answer import Answer, Figure
from springwright.report.compared import compared_pictures
from springwright.report.proof import word_of
from springwright.report.tables import Table
from springwright.sizing.fitted import sized
from springwright.units import number, told, unit_of
from springwright.vehicle.faults import dotted
from springwright.vehicle.file import DesignFile, parsed
from springwright.workbench.render.page import Page, SheetPart
from springwright.workbench.render.sheet import answers_of

MOST = 60  # differing inputs told


@dataclass
class ComparedDesign:
    """The other one: its name, its file, and its answers as far as they are there."""

    name: str
    file: DesignFile
    answers: dict[str, Answer]


def beside(page: Page) -> Mapping[str, Any]:
    """What the template of the comparison shows."""
    other: ComparedDesign | None = page.shown.beside.get("other")
    shown: dict[str, Any] = {
        "other": other,
        "revisions": page.document.revisions() if page.open("compare") else [],
        "desk": page.shown.beside.get("desk", []),
    }
    if other is not None and page.open("compare"):
        pictures = page.document.evaluation.last(
            "beside pictures", (page.document.file, other.file, tuple(map(id, other.answers.values())), answers_of(page.shown), page.view.system),
            lambda: compared_pictures(page.document.file, other.file, other.name, page.shown.answers, other.answers),
        )  # fmt: skip
        shown |= {
            "pictures": pictures,
            "asks": _asks(page, other),
            "springs": _springs(page, other),
            "inputs": _inputs(page, other),
        }
    return shown


def _asks(page: Page, other: ComparedDesign) -> list[dict[str, Any]]:
    rows = []
    for question in page.shown.questions:
        mine, theirs = page.shown.answers.get(question.name), other.answers.get(question.name)
        one = mine.deciding if mine else None
        same = next((f for f in theirs.figures if f.measure == one.measure), None) if theirs and one else None
        rows.append(
            {"verb": question.verb, "measure": one.measure if one else "", "mine": _told(one), "theirs": _told(same), "word": word_of(mine) if mine else "not known",
             "other_word": word_of(theirs) if theirs else "not known", "change": _difference(one, same), "differs": bool(mine and theirs and (mine.word != theirs.word or _told(one) != _told(same)))}
        )  # fmt: skip
    return rows


def _told(one: Figure | None) -> str:
    return "–" if one is None else told(one.value, one.kind)


def _difference(one: Figure | None, same: Figure | None) -> str:
    if one is None or same is None or one.value is None or same.value is None or one.kind == "temperature":
        return ""
    text = number(one.value - same.value, one.kind, 2 if one.kind == "ratio" else None)
    if not any(digit in text for digit in "123456789"):
        return ""
    return f"{'' if text.startswith('−') else '+'}{text} {unit_of(one.kind)}".strip()


def _springs(page: Page, other: ComparedDesign) -> Table:
    """Rates and frequencies of both, an axle a row."""
    here, there = page.sheet, sized(other.file)
    rows = []
    for one in here.rates:
        same = next((rate for rate in there.rates if rate.name == one.name), None)
        fitted = next(s.fitted for s in here.springs if s.axle == one.name)
        theirs = next((s.fitted for s in there.springs if s.axle == one.name), None)
        rows.append(
            (one.name, number(one.frequency, "frequency"), number(same.frequency if same else None, "frequency"), number(one.wheel_rate, "rate"), number(same.wheel_rate if same else None, "rate"),
             fitted.label, theirs.label if theirs else "–")
        )  # fmt: skip
    head = ("", "aim Hz, here", "there", f"wheel rate {unit_of('rate')}, here", "there", "spring here", "there")
    return Table("Springs", head, tuple(rows), "lrrrrll")


def _inputs(page: Page, other: ComparedDesign) -> tuple[Table, int]:
    """Every input that differs, as each file has it."""
    mine, theirs = (_flat(parsed(text)) for text in (page.document.file.text, other.file.text))
    keys = [key for key in dict.fromkeys((*mine, *theirs)) if mine.get(key) != theirs.get(key)]
    data = parsed(page.document.file.text)
    rows = tuple((dotted(key, data), _plain(mine.get(key)), _plain(theirs.get(key))) for key in keys[:MOST])
    return Table("Inputs that differ", ("", "here", "there"), rows, "lll"), len(keys) - len(rows)


def _flat(value: Any, at: tuple[str | int, ...] = ()) -> dict[tuple[str | int, ...], Any]:
    if isinstance(value, dict):
        return {key: one for name, inner in value.items() for key, one in _flat(inner, (*at, name)).items()}
    if isinstance(value, list) and any(isinstance(one, dict) for one in value):
        return {key: one for i, inner in enumerate(value) for key, one in _flat(inner, (*at, i)).items()}
    return {at: value}


def _plain(value: Any) -> str:
    return "–" if value is None else ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def _hangs_on(page: Page) -> tuple[Any, ...]:
    other, document = page.shown.beside.get("other"), page.document
    return (
        answers_of(page.shown), id(other), len(other.answers) if other else 0, document.said, len(document.past),
        tuple(page.shown.beside.get("desk", ())),
    )  # fmt: skip


PART = SheetPart("beside", beside, hangs_on=_hangs_on)
