"""Beside: this design held against up to three others, revisions, designs on the desk, what the disk holds; differences marked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from springwright.drawing.shapes import short
from springwright.questions.answer import Figure
from springwright.report.compared import ComparedDesign, compared_pictures
from springwright.report.proof import word_of
from springwright.report.tables import Table
from springwright.sizing.fitted import sized
from springwright.units import number, told, unit_of
from springwright.vehicle.faults import dotted
from springwright.vehicle.file import parsed
from springwright.workbench.render.page import Page, SheetPart
from springwright.workbench.render.sheet import answers_of

MOST = 60  # differing inputs told
MOST_BESIDE = 3  # others at a time


def beside(page: Page) -> Mapping[str, Any]:
    """What the template of the comparison shows."""
    others = held(page)
    shown: dict[str, Any] = {
        "others": others,
        "revisions": page.document.revisions() if page.open("compare") else [],
        "desk": page.shown.beside.get("desk", []),
        "full": len(others) == MOST_BESIDE,
    }
    if others and page.open("compare"):
        made_from = (
            page.document.file,
            tuple((one, len(one.answers)) for one in others),
            answers_of(page.shown),
            page.view.system,
        )
        pictures = page.document.evaluation.last("beside pictures", made_from, lambda: compared_pictures(page.document.file, page.shown.answers, others))  # fmt: skip
        shown |= {
            "pictures": pictures,
            "asks": _asks(page, others),
            "springs": _springs(page, others),
            "inputs": _inputs(page, others),
        }
    return shown


def held(page: Page) -> list[ComparedDesign]:
    """The designs that this one is held against."""
    found: list[ComparedDesign] = page.shown.beside.get("others", [])
    return found


def _asks(page: Page, others: Sequence[ComparedDesign]) -> list[dict[str, Any]]:
    rows = []
    for question in page.shown.questions:
        mine = page.shown.answers.get(question.name)
        one = mine.deciding if mine else None
        each = []
        for other in others:
            theirs = other.answers.get(question.name)
            same = next((f for f in theirs.figures if f.measure == one.measure), None) if theirs and one else None
            each.append(
                {
                    "told": _told(same),
                    "word": word_of(theirs) if theirs else "not known",
                    "change": _difference(one, same),
                }
            )
        word, told = word_of(mine) if mine else "not known", _told(one)
        differs = bool(mine) and any(
            other.answers.get(question.name) and (theirs["word"] != word or theirs["told"] != told)
            for other, theirs in zip(others, each, strict=True)
        )
        rows.append(
            {
                "verb": question.verb,
                "measure": one.measure if one else "",
                "mine": told,
                "word": word,
                "others": each,
                "differs": differs,
            }
        )
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


def _springs(page: Page, others: Sequence[ComparedDesign]) -> Table:
    """Aim, rate and spring of each axle in every design, a row each."""
    rows = []
    sheets = [("here", page.sheet), *((short(other.name), sized(other.file)) for other in others)]
    for axle in [one.name for one in page.sheet.rates]:
        for name, sheet in sheets:
            one = next((rate for rate in sheet.rates if rate.name == axle), None)
            fitted = next((spring.fitted for spring in sheet.springs if spring.axle == axle), None)
            first = axle if name == "here" else ""
            if one is None or fitted is None:
                rows.append((first, name, "–", "–", "no such axle"))
                continue
            rows.append((first, name, number(one.frequency, "frequency"), number(one.wheel_rate, "rate"), fitted.label))
    return Table("Springs", ("", "", "aim Hz", f"wheel rate {unit_of('rate')}", "spring"), tuple(rows), "llrrl")


def _inputs(page: Page, others: Sequence[ComparedDesign]) -> tuple[Table, int]:
    """Every input that differs in any of them, as each file has it."""
    texts = [page.document.file.text, *(other.file.text for other in others)]
    each = [_flat(parsed(text)) for text in texts]
    keys = [
        key
        for key in dict.fromkeys(key for one in each for key in one)
        if any(one.get(key) != each[0].get(key) for one in each)
    ]
    data = parsed(page.document.file.text)
    rows = tuple((dotted(key, data), *(_plain(one.get(key)) for one in each)) for key in keys[:MOST])
    head = ("", "here", *(short(other.name) for other in others))
    return Table("Inputs that differ", head, rows, "l" * len(head)), len(keys) - len(rows)


def _flat(value: Any, at: tuple[str | int, ...] = ()) -> dict[tuple[str | int, ...], Any]:
    if isinstance(value, dict):
        return {key: one for name, inner in value.items() for key, one in _flat(inner, (*at, name)).items()}
    if isinstance(value, list) and any(isinstance(one, dict) for one in value):
        return {key: one for i, inner in enumerate(value) for key, one in _flat(inner, (*at, i)).items()}
    return {at: value}


def _plain(value: Any) -> str:
    return "–" if value is None else ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def _hangs_on(page: Page) -> tuple[Any, ...]:
    others, document = held(page), page.document
    return (
        answers_of(page.shown), tuple((one, len(one.answers)) for one in others), document.said, len(document.past),
        tuple(page.shown.beside.get("desk", ())),
    )  # fmt: skip


PART = SheetPart("beside", beside, hangs_on=_hangs_on)
