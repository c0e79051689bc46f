"""Any record of the design as blanks: what is written in it, and behind it what more may be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from markupsafe import Markup
from pydantic import BaseModel

from springwright.report.tables import capital
from springwright.vehicle.faults import Location
from springwright.vehicle.field_types import FieldType, place

if TYPE_CHECKING:
    from springwright.workbench.render.page import Page

HIDDEN = ("links", "made")  # what a model brings in itself and no file writes
BLANKS = ("quantity", "choice", "flag", "whole", "text", "temperature")


@dataclass(frozen=True)
class Entry:
    """One value: its label, and a place for each of its blanks (a point has three)."""

    label: str
    places: tuple[Location, ...]


@dataclass
class Group:
    """A record: a title, its written values, and those that may be added."""

    title: str
    written: list[Entry] = field(default_factory=list)
    more: list[Entry] = field(default_factory=list)


def groups(page: Page, at: Location, title: str, but: tuple[str, ...]) -> list[Group]:
    """The record at a place and the records within it, outermost first; `but` names fields that stand elsewhere."""
    found: list[Group] = []
    _look(page, at, title, found, but)
    return [one for one in found if one.written or one.more]


def _look(page: Page, at: Location, title: str, found: list[Group], but: tuple[str, ...]) -> None:
    here = place(page.design, at)
    if not isinstance(here.value, BaseModel) or len(found) > 40:
        return
    group = Group(title)
    found.append(group)
    for name in type(here.value).model_fields:
        if name in HIDDEN or name in but:
            continue
        inner = place(page.design, (*at, name))
        label = name.replace("_", " ")
        if inner.sort in BLANKS:
            (group.more if inner.value is None else group.written).append(Entry(label, ((*at, name),)))
        elif isinstance(inner.value, BaseModel):
            _look(page, (*at, name), f"{title}, {label}", found, ())
        elif isinstance(inner.value, tuple) and inner.value:
            _list(page, (*at, name), label, inner, group, found, title)


def _list(page: Page, at: Location, label: str, here: FieldType, group: Group, found: list[Group], title: str) -> None:
    value: Any = here.value
    if all(not isinstance(one, tuple | BaseModel) for one in value):
        group.written.append(Entry(label, tuple((*at, i) for i in range(len(value)))))
        return
    for i, one in enumerate(value):
        if isinstance(one, BaseModel):
            _look(page, (*at, i), f"{title}, {label} {i + 1}", found, ())
        elif isinstance(one, tuple):
            group.written.append(Entry(f"{label} {i + 1}", tuple((*at, i, k) for k in range(len(one)))))


class ToldRecord(NamedTuple):
    """A record that is to be told: where it stands, its title, and the fields that are told elsewhere."""

    at: Location
    title: str
    but: tuple[str, ...] = ()


def told(page: Page, at: Location, title: str, *, but: tuple[str, ...] = ()) -> list[ToldRecord]:
    """A record to be told, none where it is not there."""
    return [ToldRecord(at, capital(title), but)] if place(page.design, at).value is not None else []


def record(page: Page, each: Sequence[ToldRecord]) -> Markup:
    """Records as blanks, each made anew only when what is in it has changed; where a blank is wrong, always."""
    return Markup("").join(_record(page, one) for one in each)


def _record(page: Page, one: ToldRecord) -> Markup:
    form = page.form
    same = (
        one, place(page.design, one.at).value, form.written(one.at), page.view.system, form.named_within(one.at),
        object() if page.document.wrong else None,
    )  # fmt: skip

    def made() -> tuple[Markup, list[Location]]:
        with form.apart() as blanks:
            html = page.template("_records").module.record(page, groups(page, *one))  # type: ignore[attr-defined]
        return html, blanks

    html, blanks = page.document.evaluation.last(f"record {form.section} {one.at} {one.title}", same, made)
    for at in blanks:  # made anew or kept, they stand here
        form.named(at)
    return html
