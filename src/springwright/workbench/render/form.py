"""The blanks of the worksheet: each a native input tied to its label and to a place in the design file."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import Any

from markupsafe import Markup, escape

from springwright.errors import QuantityError
from springwright.reference.shelf import beside
from springwright.report.reference import usual_told
from springwright.units import parse, unit_of
from springwright.vehicle.faults import Location, said_at
from springwright.vehicle.field_types import FieldType, place, shown
from springwright.vehicle.file import DesignFile, parsed
from springwright.vehicle.shapes import shape_at
from springwright.vehicle.standing import standing_estimates
from springwright.workbench.model.chain import is_rate, rate_at
from springwright.workbench.model.document import Wrong, figure_shown, in_unit_shown
from springwright.workbench.model.unfinished import Unfinished


@dataclass
class Form:
    """Makes the blanks of one rendering; `drawn` are those it has made, in reading order.

    One place may have a blank in several sections, and several in one: each has a name of its own.
    """

    file: DesignFile
    wrong: Mapping[Location, Wrong]
    section: str = ""
    drawn: list[Location] = field(default_factory=list)
    _times: dict[str, int] = field(default_factory=dict)

    @cached_property
    def data(self) -> dict[str, Any]:
        """The file as it is written."""
        return parsed(self.file.text)

    @cached_property
    def estimated(self) -> dict[Location, str]:
        """The basis of each value that the file calls an estimate and nobody has written over."""
        return {one.at: one.entry.basis for one in standing_estimates(self.file.design)}

    def begin(self, section: str) -> None:
        """What is drawn from here on belongs to a section."""
        self.section = section
        self.drawn.clear()
        self._times.clear()

    @contextmanager
    def apart(self) -> Iterator[list[Location]]:
        """The blanks drawn within, which are not counted among those of the section."""
        drawn, times = self.drawn, dict(self._times)
        self.drawn = []
        yield self.drawn
        self.drawn, self._times = drawn, times

    def state(self, at: Location) -> Any:
        """What is read at a place, whatever it is, so that one can tell when it has changed."""
        return place(self.file.design, at).value

    def given(self, *at: str | int) -> bool:
        """Whether the file says anything there."""
        return self.written(at) is not None

    def place(self, *at: str | int) -> FieldType:
        """What stands at a place."""
        return rate_at(self.file, at) if is_rate(at) else place(self.file.design, at)

    def blank(self, *at: str | int, label: str, unit: bool = True, hint: str = "") -> Markup:
        """An input for one value: text, choice or tick; `unit` writes the unit after a quantity."""
        here, wrong = self.place(*at), self.wrong.get(at)
        ident = self.named(at)
        if here.sort == "choice":
            return self._choice(at, ident, here, label, wrong)
        suffix = unit_of(here.kind) if here.sort == "quantity" and unit else ""
        own = figure_shown(
            at, here, exact=in_unit_shown(self.written(at), suffix or unit_of(here.kind) if here.kind else "")
        )
        value = wrong.text if wrong else f"{own} {suffix}".strip() if own else ""
        empty = hint or ("not given" if here.optional else "")
        bad = f' aria-invalid="true" aria-describedby="{ident_of(at)}-{self.section}-note"' if wrong else ""
        basis = self.estimated.get(at, "")
        if basis:
            label = f"{label}, an estimate"
        return Markup(
            f'<input class="q{" est" if basis else ""}" id="{ident}" data-at="{escape(json.dumps(at))}" value="{escape(value)}" size="{max(len(value or empty), 2)}" '
            f'placeholder="{escape(empty)}" aria-label="{escape(label)}" title="{escape(self._hover(at, basis))}" autocomplete="off" spellcheck="false"{bad}>'
        )

    def picker(self, label: str, chosen: str, options: Sequence[tuple[str, str]], **action: Any) -> Markup:
        """A choice that does something: the value of the option that is picked goes with the action as `to`; one that must be made is marked as empty."""
        open_ = chosen not in [one for one, _ in options]
        offered = [("", "…"), *options] if open_ else options
        chosen = "" if open_ else chosen
        made = "".join(
            f'<option value="{escape(one)}"{" selected" if one == chosen else ""}>{escape(words)}</option>'
            for one, words in offered
        )
        return Markup(
            f'<select class="q{" empty" if open_ and self._must(action) else ""}" data-pick="{escape(json.dumps(action))}" aria-label="{escape(label)}">{made}</select>'
        )

    def _must(self, action: Mapping[str, Any]) -> bool:  # noqa: ARG002 whoever is not whole yet knows
        """Whether a choice must be made before anything can be worked out."""
        return False

    def _choice(self, at: Location, ident: str, here: FieldType, label: str, wrong: Wrong | None) -> Markup:
        chosen = wrong.text if wrong else here.value or ""
        options = ["", *here.choices] if here.optional else here.choices
        made = "".join(
            f'<option value="{escape(one)}"{" selected" if one == chosen else ""}>{escape(one or "not given")}</option>'
            for one in options
        )
        return Markup(
            f'<select class="q" id="{ident}" data-at="{escape(json.dumps(at))}" aria-label="{escape(label)}">{made}</select>'
        )

    def named_within(self, at: Location) -> dict[str, int]:
        """How often each place within another has a blank in this section so far."""
        within = ident_of(at)
        return {name: times for name, times in self._times.items() if name.startswith(within)}

    def named(self, at: Location) -> str:
        """The name of the next blank of a place in this section, which is counted."""
        name = f"{ident_of(at)}-{self.section}"
        self._times[name] = self._times.get(name, 0) + 1
        if self._times[name] > 1:
            name += f"-{self._times[name]}"
        self.drawn.append(at)
        return name

    def written(self, at: Location) -> Any:
        """What the file says at a place; None where it says nothing."""
        return said_at(self.data, at)

    def _hover(self, at: Location, basis: str) -> str:
        """What is told on hover: what the file says or on what an estimate rests, and what is usual."""
        return "; ".join(filter(None, (f"estimate: {basis}" if basis else self._as_written(at), usual_at(at))))

    def _as_written(self, at: Location) -> str:
        """What the file says, told on hover."""
        if is_rate(at):
            return "calculated from the target; write over it, and the target follows"
        written = self.written(at)
        return (
            f"in the file: {written}"
            if isinstance(written, str)
            else ""
            if written is None
            else f"in the file: {json.dumps(written)}"
        )

    def _still(self, at: Location) -> str:
        """What the sheet goes on with where a blank is wrong."""
        here = self.place(*at)
        unit = unit_of(here.kind) if here.sort == "quantity" else ""
        return f"{figure_shown(at, here, exact=True)} {unit}".strip()

    def fold(self, at: Location) -> str:
        """The name of a fold of what more may be given at a place, which may stand in several sections."""
        return f"{ident_of(at)}-{self.section}-more"

    def notes(self) -> Markup:
        """Messages that hang from the blanks drawn so far; each goes once."""
        made = []
        for at in dict.fromkeys(self.drawn):
            if at not in self.wrong:
                continue
            wrong, still = self.wrong[at], self._still(at)
            made.append(
                Markup(
                    '<div class="note" id="{}-note" role="alert"><p><b>{}.</b> {}</p><p>{} <button type="button" data-do="{}">{}</button></p></div>'
                ).format(
                    f"{ident_of(at)}-{self.section}",
                    wrong.label,
                    wrong.message,
                    f"The sheet still uses {still}." if still else "The sheet goes on without it.",
                    json.dumps({"do": "mend", "at": at}),
                    f"Put {still} back" if still else "Leave it empty",
                )
            )
        self.drawn.clear()
        return Markup("").join(made)


def usual_at(at: Location) -> str:
    """What is usual for a place of the design file; nothing where the shelf has no such topic."""
    one = beside(".".join(step for step in at if isinstance(step, str)))
    return "" if one is None else f"usual: {usual_told(one)}"


@dataclass
class UnfinishedForm(Form):
    """The blanks of a design that is not whole yet: each shows what is written in it, and nothing where that is nothing."""

    unfinished: Unfinished | None = None

    @property
    def data(self) -> dict[str, Any]:
        """The text as it is written."""
        assert self.unfinished is not None
        return self.unfinished.data

    @cached_property
    def empty(self) -> frozenset[Location]:
        """The blanks that must be written in."""
        assert self.unfinished is not None
        return frozenset(self.unfinished.empty)

    def state(self, at: Location) -> Any:
        """What is written at a place."""
        return self.written(at)

    def place(self, *at: str | int) -> FieldType:
        """What stands at a place."""
        shape = shape_at(self.data, at)
        if shape.value is None:
            raise LookupError(f"no value {at}")
        return replace(shape.value, value=self.written(at), optional=not shape.required)

    def blank(self, *at: str | int, label: str, unit: bool = True, hint: str = "") -> Markup:  # noqa: ARG002 whoever writes gives the unit
        """An input for one value; one that must be given and is not is marked as empty."""
        here, wrong = self.place(*at), self.wrong.get(at)
        wanted = at in self.empty
        ident = self.named(at)
        if here.sort == "choice":
            made = self._choice(at, ident, replace(here, optional=here.optional or wanted), label, wrong)
            return Markup(made.replace('class="q"', 'class="q empty"', 1)) if wanted else made
        value = wrong.text if wrong else in_units_shown(here)
        empty = wanted_as(here) if wanted else hint or "not given"
        bad = f' aria-invalid="true" aria-describedby="{ident_of(at)}-{self.section}-note"' if wrong else ""
        return Markup(
            f'<input class="q{" empty" if wanted else ""}" id="{ident}" data-at="{escape(json.dumps(at))}" value="{escape(value)}" size="{max(len(value or empty), 2)}" '
            f'placeholder="{escape(empty)}" aria-label="{escape(label)}"{" required" if wanted else ""} title="{escape("; ".join(filter(None, (self._as_written(at), usual_at(at)))))}" autocomplete="off" spellcheck="false"{bad}>'
        )

    def _still(self, at: Location) -> str:
        return as_typed(self.place(*at))

    def _must(self, action: Mapping[str, Any]) -> bool:
        at = tuple(action["at"])
        about = (*at[:-1], "kind") if at[-1] == "wheels" else ("kerb", "mass") if at == ("kerb", "weighed") else at
        return action["do"] == "turn" and any(one[: len(about)] == about for one in self.empty)


def plainly(names: Iterable[str]) -> list[tuple[str, str]]:
    """Options that are told by their own names."""
    return [(one, one) for one in names]


def as_typed(here: FieldType) -> str:
    """What is written at a place, as one would type it."""
    value = here.value
    if value is None or isinstance(value, str):
        return value or ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{100 * value:g} %" if here.kind == "share" else f"{value:g}"


def in_units_shown(here: FieldType) -> str:
    """The same in the units that the page is in; what is in them already, or cannot be read, as it stands."""
    text, unit = as_typed(here), unit_of(here.kind) if here.sort == "quantity" else ""
    if not text or here.sort != "quantity" or here.kind == "share" or in_unit_shown(text, unit):
        return text
    try:
        return f"{shown(replace(here, value=parse(text, here.kind)), exact=False)} {unit}".strip()
    except QuantityError:
        return text


def wanted_as(here: FieldType) -> str:
    """What an empty blank asks for in a few letters."""
    if here.sort == "quantity":
        return unit_of(here.kind) or "a number"
    return {"flag": "yes or no", "whole": "a number", "text": "a name"}.get(here.sort, "…")


@lru_cache(maxsize=4096)
def ident_of(at: Location) -> str:
    """A name for a blank, the same in every rendering."""
    return "f-" + "-".join("".join(c if c.isalnum() else f"_{ord(c):x}" for c in str(step)) for step in at)


def button(text: str, **action: Any) -> Markup:
    """Something to press; what it does goes to the sheet's server as it stands."""
    return Markup('<button type="button" class="lk" data-do="{}">{}</button>').format(json.dumps(action), escape(text))
