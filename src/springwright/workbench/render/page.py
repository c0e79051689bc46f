"""What a section of the sheet sees, and what a section is."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

import jinja2

from springwright.sizing.fitted import sized
from springwright.sizing.sheet import Sheet
from springwright.vehicle.design import Design
from springwright.vehicle.faults import Location
from springwright.vehicle.file import parsed
from springwright.workbench.model.document import Document
from springwright.workbench.model.shown import Shown
from springwright.workbench.model.view import View
from springwright.workbench.render.form import Form, UnfinishedForm


@dataclass
class Page:
    """One rendering: all that a section may look at."""

    name: str
    document: Document
    shown: Shown
    template: Callable[[str], jinja2.Template]  # by name
    parts: tuple[SheetPart, ...]

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
        one = self.document
        if one.unfinished is not None:
            return UnfinishedForm(one.good, one.wrong, unfinished=one.unfinished)  # type: ignore[arg-type]  # it asks no design
        return Form(one.file, one.wrong)

    def folded(self, section: str) -> bool:
        """Whether a section is folded to its sentence."""
        return section in self.view.folded

    def open(self, what: str) -> bool:
        """Whether a working or the like is unfolded."""
        return what in self.view.open

    @property
    def edited(self) -> str:
        """The section that tells what the last edit did: where it was made, else where its place is edited."""
        one = self.document
        return (
            one.edited_in
            if any(part.name == one.edited_in and part.step for part in self.parts)
            else self.section_of(one.edited_at)
        )

    def section_of(self, at: Location) -> str:
        """The section in which a place of the design is edited."""
        return section_of(at, self.parts)


def _nothing(_: Page) -> tuple[Any, ...]:
    return ()


def _whole(page: Page) -> Any:
    return page.document.file


def _plain(_: Page) -> Mapping[str, Any]:
    return {}


def but_targets(page: Page) -> tuple[Any, ...]:
    """The design as it is written but for the targets of its axles."""
    written = parsed(page.document.file.text)
    axles = [{name: value for name, value in axle.items() if name != "target"} for axle in written["axles"]]
    return axles, {name: value for name, value in written.items() if name != "axles"}


@dataclass(frozen=True)
class SheetPart:
    """A part of the sheet: its template's name, what that shows, where it stands, and when it is made anew.

    `edits` are the fields that are edited in it, the longest that fits a place telling its section: "kerb", "axles.spring". It is made
    anew when what it `shows` of the design changes, or what else it `hangs_on`; an edit made in it and a wrong blank always count.
    """

    name: str
    tell: Callable[[Page], Mapping[str, Any]] = _plain
    at: Literal["above", "main", "below"] = "main"
    step: bool = False  # of the job, told on the tape
    edits: tuple[str, ...] = ()
    shows: Callable[[Page], Any] = _whole
    hangs_on: Callable[[Page], tuple[Any, ...]] = _nothing


def section_of(at: Location, parts: Sequence[SheetPart]) -> str:
    """The section in which a place of the design is edited, by the longest of its fields that a part names."""
    fields = [str(step) for step in at if isinstance(step, str)]
    found = [
        (len(field), one.name)
        for one in parts
        for field in (edit.split(".") for edit in one.edits)
        if fields[: len(field)] == field
    ]
    return max(found, default=(0, "text"))[1]
