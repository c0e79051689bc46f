"""The blanks of the worksheet: each a native input tied to its label and to a place in the design file."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any

from markupsafe import Markup, escape

from springwright.units import unit_of
from springwright.vehicle.faults import Location, said_at
from springwright.vehicle.field_types import FieldType, place
from springwright.vehicle.file import DesignFile, parsed
from springwright.workbench.model.chain import is_rate, rate_at
from springwright.workbench.model.document import Wrong, figure_shown, in_unit_shown


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
        return Markup(
            f'<input class="q" id="{ident}" data-at="{escape(json.dumps(at))}" value="{escape(value)}" size="{max(len(value or empty), 2)}" '
            f'placeholder="{escape(empty)}" aria-label="{escape(label)}" title="{escape(self._as_written(at))}" autocomplete="off" spellcheck="false"{bad}>'
        )

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

    def notes(self) -> Markup:
        """Messages that hang from the blanks drawn so far; each goes once."""
        made = []
        for at in dict.fromkeys(self.drawn):
            if at not in self.wrong:
                continue
            wrong, here = self.wrong[at], self.place(*at)
            unit = unit_of(here.kind) if here.sort == "quantity" else ""
            still = f"{figure_shown(at, here, exact=True)} {unit}".strip()
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


@lru_cache(maxsize=4096)
def ident_of(at: Location) -> str:
    """A name for a blank, the same in every rendering."""
    return "f-" + "-".join("".join(c if c.isalnum() else f"_{ord(c):x}" for c in str(step)) for step in at)


def button(text: str, **action: Any) -> Markup:
    """Something to press; what it does goes to the sheet's server as it stands."""
    return Markup('<button type="button" class="lk" data-do="{}">{}</button>').format(json.dumps(action), escape(text))
