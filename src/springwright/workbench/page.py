"""Renders the worksheet: every section by its own template, as named parts that a page can change one by one."""

from __future__ import annotations

import json
import re
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property, lru_cache, partial
from typing import Any

import jinja2
from markupsafe import Markup

from springwright.drawing.svg import PAPER, Drawing
from springwright.formula import Working
from springwright.questions.answer import Answer
from springwright.questions.dynamic_requirements import FullWindow
from springwright.questions.sensitivities import Move
from springwright.report.equations import equation
from springwright.report.tables import Table, capital
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import Sheet
from springwright.units import displayed_in, number, plain, pretty, show, unit_of
from springwright.vehicle.design import Design
from springwright.vehicle.file import parsed
from springwright.workbench.document import Document, View
from springwright.workbench.form import Form, button, ident_of
from springwright.workbench.glossary import TERMS
from springwright.workbench.sections.records import record


@dataclass
class Shown:
    """What was worked out for the page besides the sizing; `stale` names what is for an older state."""

    answers: dict[str, Answer] = field(default_factory=dict)
    lost: dict[str, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    window: FullWindow | None = None
    moves: tuple[Move, ...] = ()
    stale: frozenset[str] = frozenset()
    busy: str = ""
    fault: str = ""
    settled: dict[str, Answer] = field(default_factory=dict)
    before: dict[str, Answer] = field(default_factory=dict)
    gesture: str = ""
    beside: dict[str, Any] = field(default_factory=dict)
    alone: dict[tuple[str, str], dict[str, Answer]] = field(
        default_factory=dict
    )  # by kind and name of a load state or ground


@dataclass
class Page:
    """One rendering: all that a section may look at."""

    name: str
    document: Document
    shown: Shown

    @property
    def design(self) -> Design:
        """The design as the builder wrote it."""
        return self.document.file.design

    @property
    def view(self) -> View:
        """Load state, ground, speed and units chosen."""
        return self.document.view

    @cached_property
    def sheet(self) -> Sheet:
        """The sizing."""
        return sized(self.document.file)

    @cached_property
    def form(self) -> Form:
        """Makes the blanks."""
        return Form(self.document.file, self.document.wrong)

    def template(self, name: str) -> jinja2.Template:
        """A template by name."""
        return _template(name)

    def folded(self, section: str) -> bool:
        """Whether a section is folded to its sentence."""
        return section in self.view.folded

    def open(self, what: str) -> bool:
        """Whether a working or the like is unfolded."""
        return what in self.view.open


def render(name: str, document: Document, shown: Shown) -> dict[str, str]:
    """Every part of the page as HTML, by the id of its element."""
    from springwright.workbench.sections import SECTIONS

    with displayed_in(document.view.system), document.evaluation as evaluation:
        page = Page(name, document, shown)
        parts: dict[str, str] = {}
        for part, told in SECTIONS.items():
            parts |= evaluation.last(f"part {part}", _made_from(page, part), partial(_rendered, page, part, told))
        return parts


def _rendered(page: Page, part: str, told: Callable[[Page], Mapping[str, Any]]) -> dict[str, str]:
    """A section and the parts within it that go to the page on their own; in the section a mark stands for each."""
    context = told(page)
    page.form.begin(part)
    whole = _template(part).render(page=page, **context)
    first, *rest = whole.split("<!--+")  # what is typed cannot look like it: it is escaped
    inner, left = {}, [first]
    for one in rest:
        name, _, begun = one.partition("-->")
        inner[name], _, after = begun.partition(f"<!---{name}-->")
        left.append(f'<div id="{name}" data-part></div>{after}')
    return {part: "".join(left), **inner}


def _made_from(page: Page, part: str) -> tuple[Any, ...]:
    """All that a part is made from, so that it is made anew only when one of it has changed."""
    document, shown = page.document, page.shown
    answers = tuple(map(id, shown.answers.values()))
    own: tuple[Any, ...] = ()
    if part == "watch":
        own = (answers, tuple(shown.lost.items()), shown.stale, shown.busy, shown.fault)
    elif part == "head":
        own = (document.dirty, document.undoes, document.redoes, document.said, document.elsewhere, document.unkept)
    elif part == "prove":
        own = (
            answers,
            shown.stale,
            id(shown.moves),
            tuple((key, id(one)) for key, one in shown.beside.items() if key.startswith("round ")),
            shown.notes,
            bool(shown.busy),
            len(shown.alone),
        )
    elif part == "aim":
        own = (id(shown.window), "window" in shown.stale)
    elif part == "beside":
        other = shown.beside.get("other")
        own = (
            answers,
            id(other),
            len(other.answers) if other else 0,
            document.said,
            len(document.past),
            tuple(shown.beside.get("desk", ())),
        )
    elif part == "text":
        own = (document.text_said,)
    if document.edited_in == part:
        own = (*own, answers, shown.stale, document.title)
    return (_content(page, part), document.view, tuple(document.wrong.items()), own)


def _content(page: Page, part: str) -> Any:
    """What a part shows of the design and its sizing: for most the whole; where a target alone was moved, these two stay."""
    if part not in ("place", "weigh"):
        return page.document.file
    written, sheet = parsed(page.document.file.text), page.sheet
    axles = [{name: value for name, value in axle.items() if name != "target"} for axle in written["axles"]]
    rest = {name: value for name, value in written.items() if name != "axles"}
    if part == "place":
        return axles, rest, [one.motion_ratio for one in sheet.rates], [one.record for one in sheet.springs]
    loads = [
        round(one, 3) for state in sheet.rests for axle in state.axles for one in (axle.load, *axle.wheel_loads)
    ]  # to the gram
    return axles, rest, loads, sheet.states, sheet.ratings


_STANDS = re.compile(r'<div id="([\w-]+)" data-part></div>')


def sections(parts: Mapping[str, str]) -> dict[str, str]:
    """Every section of rendered parts whole, with the parts within it where they stand."""
    from springwright.workbench.sections import SECTIONS

    return {part: _STANDS.sub(lambda mark: parts[mark[1]], parts[part]) for part in SECTIONS}


def frame(name: str, title: str, parts: Mapping[str, str], number: int = 0) -> str:
    """The whole page with every section of rendered parts in it; `number` is that by which its live line names it."""
    whole = {part: Markup(html) for part, html in sections(parts).items()}
    return environment().get_template("sheet.html").render(name=name, title=title, parts=whole, number=number)


@cache
def environment() -> jinja2.Environment:
    """Templates that escape everything typed."""
    made = jinja2.Environment(
        loader=jinja2.PackageLoader("springwright.workbench"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals |= {
        "number": number, "show": show, "unit_of": unit_of, "plain": plain, "pretty": pretty, "button": button, "ident_of": ident_of,
        "ink": ink, "term": term, "equation": set_equation, "told_change": told_change, "capital": capital, "json": json.dumps, "bead": bead, "cells": cells, "record": record,
    }  # fmt: skip
    return made


@cache
def _template(part: str) -> jinja2.Template:
    return environment().get_template(f"{part}.html")


def ink(drawing: Drawing | None) -> Markup:
    """A drawing for the page, in the page's own ink."""
    return Markup(drawing.svg()) if drawing is not None else Markup("")


BEADS = {"met": "met", "close": "close", "not met": "not", "not known": "unk"}


def bead(word: str) -> Markup:
    """A verdict: its mark and its word."""
    mark = BEADS[word.removesuffix(" so far")]
    return Markup('<span class="v {}"><svg aria-hidden="true"><use href="#{}"/></svg>{}</span>').format(
        mark, mark, word
    )


def set_equation(work: Working) -> Markup:
    """A worked formula as an equation in the page's ink."""
    return Markup(_set(work))


@lru_cache(maxsize=64)
def _set(work: Working) -> str:
    return equation(work, 15.0, f"e{zlib.crc32(repr(work).encode()):x}").replace('fill="black"', 'fill="currentColor"')


def told_change(page: Page, section: str) -> dict[str, Any] | None:
    """What the last edit changed in the answers, told in the section where the edit was made; None elsewhere."""
    from springwright.workbench.sections.head import changed_rows

    if not page.document.past or page.document.edited_in != section or not page.shown.before:
        return None
    rows, rest = changed_rows(page)
    return {"title": page.document.title, "rows": rows, "rest": rest}


def term(word: str, key: str = "") -> Markup:
    """A word of the trade with its meaning on hover or focus."""
    return Markup('<dfn tabindex="0" data-means="{}" aria-description="{}">{}</dfn>').format(
        TERMS[key or word], TERMS[key or word], word
    )


def cells(table: Table) -> list[list[tuple[str, str]]]:
    """Each row's cells with the side they are set to."""
    sides = {"l": "l", "r": ""}
    return [[(sides[side], cell) for side, cell in zip(table.align, row, strict=True)] for row in table.rows]


_TOKENS = {
    "#1f262b": "var(--ink)", "#59625f": "var(--soft)", "#6b2a63": "var(--pencil)", "#fff": "var(--paper)", "#e8e8e6": "var(--shut)",
    "#0072b2": "var(--front)", "#d55e00": "var(--rear)", "#009e73": "var(--third)", "#cc79a7": "var(--fifth)",
}  # fmt: skip


def ink_css() -> str:
    """The drawings' ink as the page's colours: the same rules as on paper, by token."""
    rules = []
    for name, look in PAPER.items():
        for colour, token in _TOKENS.items():
            look = look.replace(colour, token)
        if name == "text":
            look = "font:12px var(--plain);fill:var(--ink);stroke:none"
        rules.append(f"svg {name}{{{look}}}")
    return "\n".join(rules)
