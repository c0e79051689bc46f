"""The readings file of a design on the desk: written in blank by blank, each valid one kept in the file at once, with undo."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from springwright.commission.readings import Readings
from springwright.errors import Fault, InputError, SpringwrightError
from springwright.files import is_there, read_file, write_whole
from springwright.vehicle.edits import Change, rewritten
from springwright.vehicle.faults import Location, located_faults, said_at
from springwright.vehicle.field_types import FieldType, typed
from springwright.vehicle.file import parsed
from springwright.vehicle.shapes import shape_at

KEPT = 200  # steps of undo


@dataclass
class ReadingsDesk:
    """A readings file: its text as it is on disk, what was typed wrongly by place, and what it said before."""

    path: Path
    text: str = ""
    wrong: dict[Location, tuple[str, str]] = field(default_factory=dict)
    past: list[str] = field(default_factory=list)
    fault: str = ""  # why it cannot be read
    _stamp: tuple[float, int] = (0.0, 0)

    def look(self) -> ReadingsDesk:
        """Itself, read anew where the file was changed by something else."""
        stamp = _stamp(self.path)
        if stamp != self._stamp:
            self._stamp, self.fault = stamp, ""
            try:
                self.text = read_file(self.path) if is_there(self.path) else ""
                parsed(self.text)
            except (SpringwrightError, ValueError) as error:
                self.text, self.fault = "", str(error)
            self.wrong.clear()
        return self

    @property
    def data(self) -> dict[str, Any]:
        """What it says."""
        return parsed(self.text) if self.text else {}

    @property
    def faults(self) -> list[tuple[Location, Fault]]:
        """What must be mended or is still empty, each with its place."""
        if not self.text:
            return []
        try:
            Readings.model_validate(self.data)
        except ValidationError as error:
            return located_faults(error, self.data, Readings)
        return []

    def place(self, at: Location) -> FieldType:
        """What may stand at a place.

        Raises
        ------
        LookupError
            No readings file has such a place.

        """
        shape = shape_at(self.data, at, Readings)
        if shape.value is None:
            raise LookupError(f"no value {at}")
        return shape.value

    def put(self, at: Location, text: str) -> None:
        """Put a typed text at a place; one that is none of its kind stays in the blank, with the reason."""
        if any(isinstance(step, int) and step < 0 for step in at):
            raise LookupError("entries are counted from the first")
        text = text.strip()
        inside = isinstance(at[-1], int)
        value: Any = typed(self.place(at), text) if text else "" if inside else None
        if at[-1] == "log" and Path(text).name != text:
            self.wrong[at] = text, "name a file beside the design, without its folder"
            return
        if at[-1] == "date" and text:
            try:
                value = date.fromisoformat(text)
            except ValueError:
                self.wrong[at] = text, "a day is written as 2026-03-31"
                return
        made = rewritten(self.text, [(at, value)], self.path.name)
        if text and (said := _fault_at(made, at)):
            self.wrong[at] = text, said
            return
        self.wrong.pop(at, None)
        self._keep(made)

    def add(self, kind: str, content: Mapping[str, Any]) -> None:
        """Add a set of readings."""
        if kind not in Readings.model_fields:
            raise LookupError(kind)
        held = self.data.get(kind, [])
        self._keep(rewritten(self.text, [((kind, len(held)), dict(content))], self.path.name))

    def out(self, at: Location) -> None:
        """Take a set, or a list of it, out."""
        if said_at(self.data, at) is None:
            raise LookupError(f"nothing at {at}")
        changes: list[Change] = [(at, None)]
        if len(at) == 2 and len(self.data[str(at[0])]) == 1:
            changes = [((at[0],), None)]
        self.wrong.clear()
        self._keep(rewritten(self.text, changes, self.path.name))

    def start(self, text: str) -> None:
        """Begin the file.

        Raises
        ------
        InputError
            There is one.

        """
        if is_there(self.path):
            raise InputError(self.path.name, [Fault("", "", "is there already")])
        self._keep(text)

    def undo(self) -> None:
        """Take the last step back."""
        if self.past:
            self._write(self.past.pop())
            self.wrong.clear()

    def _keep(self, text: str) -> None:
        if text != self.text:
            before = self.text
            self._write(text)
            if before:
                self.past = [*self.past[-KEPT:], before]

    def _write(self, text: str) -> None:
        write_whole(self.path, text)
        self.text, self.fault, self._stamp = text, "", _stamp(self.path)


def _fault_at(text: str, at: Location) -> str:
    """What is the matter with just one place of a text; nothing where it is well."""
    data = parsed(text)
    try:
        Readings.model_validate(data)
    except ValidationError as error:
        return next((fault.message for where, fault in located_faults(error, data, Readings) if where == at), "")
    return ""


def _stamp(path: Path) -> tuple[float, int]:
    try:
        found = path.stat()
    except OSError:
        return 0.0, 0
    return found.st_mtime, found.st_size
