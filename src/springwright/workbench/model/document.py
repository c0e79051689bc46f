"""One design open on the desk: the last good state, every state before and after it, what is wrong in a blank, and the file on disk."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

from springwright.commission.begun import READINGS
from springwright.errors import Fault, InputError, QuantityError, SpringwrightError
from springwright.evaluation import Evaluation, kept_with_argument
from springwright.files import alone_in, plain_pattern, read_file, write_whole
from springwright.sizing.fitted import sized
from springwright.units import number, parse, split, unit_of, unit_scale
from springwright.vehicle.edits import Change, Inserted, changed, rewritten
from springwright.vehicle.faults import Location, dotted, said_at
from springwright.vehicle.field_types import DIGITS, FieldType, place, shown, typed
from springwright.vehicle.file import DesignFile, in_this_format, parsed
from springwright.vehicle.shapes import TAGS, fault_in, shape_at
from springwright.workbench.model.building import aside_after, renamed
from springwright.workbench.model.chain import is_rate, overruled, rate_at, written_over
from springwright.workbench.model.reading import as_written, check_sized, stays_beside
from springwright.workbench.model.readings_desk import ReadingsDesk
from springwright.workbench.model.unfinished import Unfinished
from springwright.workbench.model.view import View, grounds_of

KEPT_STEPS = 100


@dataclass(frozen=True)
class Wrong:
    """A blank that holds what the design cannot take: the text typed, and what to do in the command line's words."""

    text: str
    message: str
    label: str


@dataclass(frozen=True)
class Step:
    """A state of the file, and the edit that led to it; one gesture, such as a drag, is one edit."""

    text: str
    title: str = ""
    gesture: str = ""


@dataclass
class Document:
    """A design on the desk. `good` is its last state that could be read and sized, none where there was none yet.

    While it is `unfinished`, that is what is written, and nothing is worked out.
    """

    good: DesignFile | None
    saved: str
    view: View = field(default_factory=View)
    past: list[Step] = field(default_factory=list)
    future: list[Step] = field(default_factory=list)
    wrong: dict[Location, Wrong] = field(default_factory=dict)
    title: str = ""
    gesture: str = ""
    said: str = ""
    text_said: str = ""
    edited_at: Location = ()  # the place of the last edit
    within: str = ""  # the section in which what is done now was pressed or written
    edited_in: str = ""  # and that of the last edit
    renamed: tuple[str, ...] = ()  # keys of an older format, until it is saved in this one
    elsewhere: bool = False  # the file on disk was changed by something else
    unkept: str = ""  # why no copy can be kept against a crash
    keep_now: Callable[[Document], None] | None = None  # keeps a copy at once
    replaced: str = ""  # what the last save wrote over, and where it is kept
    evaluation: Evaluation = field(default_factory=Evaluation)  # what was worked out of its states
    searched: Path | None = None  # where what a search of its front has tried is kept
    unfinished: Unfinished | None = None
    aside: dict[str, Any] = field(
        default_factory=dict
    )  # tables that a turn took out, by place and kind: they come back with it
    measured: ReadingsDesk | None = None  # what was read of it, once that was looked for
    _saved_read: tuple[str, str] = ("", "")  # what was saved, and that in the format of now
    copies: int = 0  # made of it against a crash, and of those that it goes on from: clocks may jump

    @classmethod
    def opened(cls, path: Path) -> Document:
        """Read a design from disk.

        Raises
        ------
        SpringwrightError
            It cannot be read or sized.

        """
        text = read_file(path)
        stays_beside(text, path)
        with Evaluation() as evaluation:
            good, unfinished = as_written(path, text)
            document = cls(
                good, text, renamed=good.renamed if good else (), evaluation=evaluation, unfinished=unfinished
            )
            document._settle_view()
        return document

    @property
    def file(self) -> DesignFile:
        """Its last state that can be worked out.

        Raises
        ------
        InputError
            There was none yet.

        """
        if self.good is None:
            assert self.unfinished is not None
            wanted = len(self.unfinished.empty) or len(self.unfinished.to_mend)
            words = "value is" if wanted == 1 else "values are"
            raise InputError(self.path.name, [Fault("", "", f"cannot be worked out yet: {wanted} {words} wanted")])
        return self.good

    @property
    def readings(self) -> ReadingsDesk:
        """The readings file beside it, as it is on disk now."""
        path = self.path.with_name(f"{self.path.stem}{READINGS}")
        if self.measured is None or self.measured.path != path:
            self.measured = ReadingsDesk(path)
        return self.measured.look()

    @property
    def text(self) -> str:
        """All that is written."""
        return self.file.text if self.unfinished is None else self.unfinished.text

    @property
    def name(self) -> str:
        """What the vehicle is called."""
        if self.unfinished is None:
            return self.file.design.vehicle.name
        return str(said_at(self.unfinished.data, ("vehicle", "name")) or self.path.stem)

    @property
    def path(self) -> Path:
        """Where it lives."""
        return self.unfinished.path if self.good is None and self.unfinished else self.file.path

    @property
    def dirty(self) -> bool:
        """Whether it holds what the disk does not; that it is read in a newer format is no change."""
        if self.text == self.saved:
            return False
        if self._saved_read[0] != self.saved:
            self._saved_read = (self.saved, in_this_format(self.saved, self.path.name))
        return self.text != self._saved_read[1]

    def write(self, at: Location, text: str, label: str = "", gesture: str = "") -> bool:
        """Put a typed text at a place; where the design cannot take it, the last good state stays and the blank says why."""
        label = label or self._dotted(at)
        if self.unfinished is not None:
            return self._write_unfinished(self.unfinished, at, text, label, gesture)
        try:
            if text.strip() in self._shown_as(at):  # what stands there, rounded or in another unit, is no change
                self.wrong.pop(at, None)
                return True
            title = f"{label}, {text.strip() or 'taken out'}"
            self.apply(self._to_write(at, self._in_own_unit(at, text) if gesture else text), title, gesture)
        except SpringwrightError as fault:
            self.wrong[at] = Wrong(text, _message(fault, self._dotted(at)), label)
            return False
        except LookupError:
            self.said = f"There is no such place in {self.path.name}."
            return False
        self.wrong.pop(at, None)
        return True

    def move(self, at: Location, values: Mapping[str | int, str], label: str, gesture: str) -> None:
        """Put coordinates of a point, or fields of what it is, each in the unit that the file has it in, as one edit.

        Raises
        ------
        SpringwrightError
            The design cannot take it; nothing was changed.

        """
        changes = [((*at, k), self._moved_to((*at, k), one)) for k, one in values.items()]
        if changes:
            self.apply(changes, f"{label or self._dotted(at)} moved", gesture)

    def _moved_to(self, at: Location, text: str) -> Any:
        """What is written where something is drawn to: in the file's own unit, and of its kind even where the design is not whole yet."""
        shape = shape_at(parsed(self.text), at)
        if shape.value is None:
            raise LookupError(f"no value {at}")
        value = typed(shape.value, self._in_own_unit(at, text))
        wrong = fault_in(shape, value)
        if wrong:
            raise InputError(self.path.name, [Fault(self._dotted(at), f'"{text}"', wrong)])
        return value

    def _write_unfinished(self, now: Unfinished, at: Location, text: str, label: str, gesture: str) -> bool:
        """Put a typed text into a design that is not whole yet; one that is none of its kind stays in the blank, which says why."""
        try:
            shape = shape_at(now.data, at)
            value = (
                None if shape.value is None else typed(replace(shape.value, optional=not isinstance(at[-1], int)), text)
            )
        except LookupError:
            self.said = f"There is no such place in {self.path.name}."
            return False
        wrong = fault_in(shape, value) if value not in (None, "") else ""
        if at[2:] == ("name",) and len(at) == 3:
            wrong = wrong or _name_wrong(now.data, at, value)
        if wrong:
            self.wrong[at] = Wrong(text, f"{wrong}.", label)
            return False
        self.wrong.pop(at, None)
        if value != said_at(now.data, at):
            if gesture and isinstance(value, str):
                value = typed(shape.value, self._in_own_unit(at, text)) if shape.value is not None else value
            self.apply([(at, value), *renamed(now.data, at, value)], f"{label}, {text.strip() or 'taken out'}", gesture)
        return True

    def _shown_as(self, at: Location) -> set[str]:
        """The text by which a blank shows what stands at a place, with and without its unit."""
        here = rate_at(self.file, at) if is_rate(at) else place(self.file.design, at)
        unit = unit_of(here.kind) if here.sort == "quantity" else ""
        own = figure_shown(at, here, exact=in_unit_shown(said_at(parsed(self.file.text), at), unit))
        return {own, f"{own} {unit}".strip() if own else own}

    def _in_own_unit(self, at: Location, text: str) -> str:
        """A stepped or dragged value in the unit that the file has it in; what has none, or is typed wrongly, as it is."""
        data = parsed(self.text)
        written = None if is_rate(at) else said_at(data, at)
        here = shape_at(data, at).value if isinstance(written, str) else None
        if here is None or here.sort != "quantity" or here.kind == "share":
            return text
        try:
            told, own = str(typed(here, text)), split(str(written))[1]
            if not own or split(told)[1] == own:
                return text
            return f"{parse(told, here.kind) / unit_scale(own, here.kind):.{DIGITS}g} {own}"
        except (QuantityError, ValueError):
            return text

    def _to_write(self, at: Location, text: str) -> list[Change]:
        if is_rate(at):
            change = written_over(self.file, at, text)
            return [change, *overruled(self.file.design, change[0])]
        value = typed(place(self.file.design, at), text)
        if (
            value not in (None, "")
            and at[-1] not in TAGS
            and (wrong := fault_in(shape_at(parsed(self.file.text), at), value))
        ):
            raise InputError(self.path.name, [Fault(self._dotted(at), "", wrong)])
        if value == "" and isinstance(at[-1], int):
            value = None  # an entry of a list that says nothing goes
        return [(at, value), *renamed(parsed(self.file.text), at, value), *overruled(self.file.design, at)]

    def _dotted(self, at: Location) -> str:
        return dotted(at, parsed(self.text))

    def apply(self, changes: Sequence[Change], title: str, gesture: str = "") -> None:
        """Make changes and remember the state before; edits of one gesture are one step.

        Raises
        ------
        SpringwrightError
            The changed design cannot be; nothing was changed.

        """
        at, value = changes[0]
        old = said_at(parsed(self.text), at)
        if self.unfinished is not None:
            self.settle(rewritten(self.text, changes, self.path.name), title, gesture)
        else:
            self.become(changed(self.file, changes, self._stays_beside), title, gesture)
        if len(at) == 3 and at[2] == "name" and isinstance(old, str) and isinstance(value, str):
            self.aside = aside_after(self.aside, str(at[0]), old, value)
        self.edited_at, self.edited_in = at, self.within

    def build(self, changes: Sequence[Change], title: str) -> None:
        """Make changes of what there is; where values are then wanted, the design is unfinished until they are given."""
        data = parsed(self.text)
        self.settle(rewritten(self.text, changes, self.path.name), title)
        for at, value in changes:
            if isinstance(at[-1], int) and (
                value is None or isinstance(value, Inserted)
            ):  # what stood behind it has other numbers now
                self.wrong = {one: told for one, told in self.wrong.items() if one[: len(at) - 1] != at[:-1]}
                name = said_at(data, (*at, "name"))
                if value is None and isinstance(name, str):
                    self.aside = aside_after(self.aside, str(at[0]), name)
        self.edited_at, self.edited_in = changes[0][0], self.within

    def settle(self, text: str, title: str, gesture: str = "") -> None:
        """Take a text as the next state, whole or on its way to it."""
        if text == self.text:
            return
        self._stays_beside(text)
        self._push(title, gesture)
        self._be(text)

    def _be(self, text: str) -> None:
        held = None if self.good is None else self.good.held
        good, self.unfinished = as_written(self.path, text, held, accept="anything")
        if good is not None:
            self.good = good
            self._settle_view()

    def _push(self, title: str, gesture: str) -> None:
        """The state that is left can be gone back to."""
        if not (gesture and gesture == self.gesture):
            self.past.append(Step(self.text, self.title, self.gesture))
        self.future.clear()
        self.title, self.gesture = title, gesture

    def become(self, file: DesignFile, title: str, gesture: str = "") -> None:
        """Take a new state of the file, if it is good."""
        if file.text == self.text:
            return
        check_sized(file)
        self._push(title, gesture)
        self.good, self.unfinished = file, None
        self._settle_view()

    def read_in(self, text: str, title: str, *, unfinished: bool = False) -> None:
        """Take the whole text of a file as the next state; one that wants values only where the design does so already, or `unfinished`."""
        self._stays_beside(text)
        if self.unfinished is None and not unfinished:
            self.become(self.file.saying(text), title)
        else:
            good, wanting = as_written(self.path, text, None if self.good is None else self.good.held)
            if text != self.text:
                self._push(title, "")
            self.good, self.unfinished = good or self.good, wanting
            self._settle_view()
        self.wrong.clear()

    def _stays_beside(self, text: str) -> None:
        stays_beside(text, self.path)

    def undo(self) -> None:
        """Go back one edit."""
        self._go(self.past, self.future)

    def redo(self) -> None:
        """Go forward one edit."""
        self._go(self.future, self.past)

    def _go(self, source: list[Step], target: list[Step]) -> None:
        if not source:
            return
        step = source[-1]
        held = None if self.good is None else self.good.held
        stays_beside(step.text, self.path)
        good, unfinished = as_written(self.path, step.text, held, accept="anything")  # what was on the desk comes back
        source.pop()
        target.append(Step(self.text, self.title, self.gesture))
        self.good, self.unfinished = good or self.good, unfinished
        self.title, self.gesture = step.title, step.gesture
        self.wrong.clear()
        self._settle_view()

    def _settle_view(self) -> None:
        """See to it that the load state and the ground of the view are there."""
        if self.unfinished is not None:
            return
        design, view = self.file.design, self.view
        states, grounds = [one.name for one in design.states], grounds_of(design)
        usual = design.reference.ground or (grounds[0] if design.grounds else "class D")
        state = view.state if view.state in states else sized(self.file).design_state
        ground = view.ground if view.ground in grounds else usual
        self.view = replace(view, state=state, ground=ground, speed=view.speed or design.reference.speed or 40 / 3.6)

    def since(self, text: str) -> tuple[str, ...] | None:
        """The edits made since its text was this one, as far back as they can be undone; None where it was not."""
        states = [*self.past, Step(self.text, self.title)]
        at = next((k for k in reversed(range(len(states))) if states[k].text == text), None)
        return None if at is None else tuple(one.title for one in states[at + 1 :])

    @property
    def undoes(self) -> str:
        """The edit that undo would take back."""
        return self.title if self.past else ""

    @property
    def redoes(self) -> str:
        """The edit that redo would make again."""
        return self.future[-1].title if self.future else ""

    def on_disk(self) -> str | None:
        """What the file holds now, where somebody else has changed it; None where it is as it was left, or gone.

        Raises
        ------
        InputError
            It is there and cannot be read as text: changed elsewhere, whatever it says now.

        """
        if not os.path.lexists(self.path):
            return None
        text = read_file(self.path)
        return text if text != self.saved else None

    @property
    def elsewhere_now(self) -> bool:
        """Whether the file on the disk is another than the one that was left; any doubt is one."""
        try:
            return self.on_disk() is not None
        except InputError:
            return True

    def save(self, *, over: bool = False) -> None:
        """Write the file whole or not at all; one that was changed elsewhere is not written over unless `over`.

        Compared and written with the folder held against other workbenches; what is written over is kept beside it.
        """
        if self.keep_now is not None:
            self.keep_now(self)  # killed while it is written, nothing of this state is lost
        with alone_in(self.path.parent):
            changed_there = self.elsewhere_now
            if changed_there and not over:
                raise InputError(
                    self.path.name,
                    [Fault("", "", "was changed elsewhere; read it in, or say that yours is to be kept")],
                )
            replaced = self._put_by() if changed_there else None
            write_whole(self.path, self.text)
        self.saved, self.renamed = self.text, ()
        if self.keep_now is not None:
            self.keep_now(self)
        self.replaced = "" if replaced is None else f"What was on the disk is kept as {replaced.name}."

    def _put_by(self) -> Path:
        """Copy what is on the disk to a name of its own, byte for byte."""
        for count in range(1, 1000):
            path = self.path.with_name(f"{self.path.stem}.replaced-{count}{self.path.suffix}")
            if not os.path.lexists(path):
                write_whole(path, self.path.read_bytes())
                return path
        raise InputError(
            self.path.name, [Fault("", "", "has a thousand replaced copies beside it; put some away first")]
        )

    def keep(self, name: str, *, free: bool = False) -> Path:
        """Keep this state as a named revision: a design file of its own beside this one."""
        path = self.beside(name, free=free)
        write_whole(path, self.text)
        return path

    def beside(self, name: str, *, free: bool = False) -> Path:
        """Where a design file of its own beside this one goes; `free`: with a number after its name where that is taken.

        Raises
        ------
        InputError
            There is one of that name.

        """
        for count in range(1, 1000 if free else 2):
            ending = f"-{count}" if count > 1 else ""
            path = self.path.with_name(f"{self.path.stem}.{slug(name)}{ending}{self.path.suffix}")
            if not path.exists():
                return path
        raise InputError(path.name, [Fault("", "", "is there already; give this revision another name")])

    def revisions(self) -> list[Path]:
        """Named revisions beside the file."""
        folder = self.path.parent.resolve()
        found = self.path.parent.glob(f"{plain_pattern(self.path.stem)}.*{self.path.suffix}")
        return sorted(
            one for one in found if one.resolve().parent == folder and not one.name.endswith(READINGS)
        )  # a link elsewhere is no revision

    def to_recover(self) -> str:
        """All that would be lost in a crash, as JSON: of the edits that can be undone, the last hundred."""
        rest = json.dumps(
            {
                "path": str(self.path),
                "copies": self.copies,
                "text": self.text,
                "saved": self.saved,
                "title": self.title,
                "unfinished": self.unfinished is not None,
                "aside": self.aside,
                "future": [asdict(one) for one in self.future],
                "wrong": [[list(at), asdict(one)] for at, one in list(self.wrong.items())],
            },
            ensure_ascii=False,
        )
        return f'{rest[:-1]}, "past": [{", ".join(map(_as_json, self.past[-KEPT_STEPS:]))}]}}'

    @classmethod
    def recovered(cls, kept: str) -> Document:
        """The document of `to_recover`."""
        data = json.loads(kept)
        path = Path(data["path"])
        stays_beside(data["text"], path)
        with Evaluation() as evaluation:
            good, unfinished = as_written(path, data["text"], accept="anything" if data.get("unfinished") else "whole")
            document = cls(
                good,
                data["saved"],
                unfinished=unfinished,
                aside=data.get("aside", {}),
                past=[Step(**one) for one in data["past"]],
                future=[Step(**one) for one in data["future"]],
                wrong={tuple(at): Wrong(**one) for at, one in data["wrong"]},
                title=data["title"],
                copies=int(data.get("copies", 0)),
                evaluation=evaluation,
            )
            document._settle_view()
        return document

    def go_on_from(self, other: Document) -> None:
        """Take in what another workbench left: its last state is one step back, unless it is among those of this one."""
        texts = {self.text, self.saved, *(step.text for step in (*self.past, *self.future))}
        self.copies = max(self.copies, other.copies)
        if other.text not in texts:
            self.past.append(Step(other.text, other.title))
            self.title = "what another window left unsaved"


@kept_with_argument
def _as_json(step: Step) -> str:
    """A step as it stands in a copy: each is written there a hundred times."""
    return json.dumps(asdict(step), ensure_ascii=False)


def _name_wrong(data: Any, at: Location, value: Any) -> str:
    """Why a name cannot be had: others hang on it, or have it."""
    if value in (None, ""):
        return "give it a name; what names it hangs on that" if said_at(data, at) else ""
    others = [one.get("name") for i, one in enumerate(said_at(data, at[:1]) or ()) if i != at[1]]
    return f'"{value}" is there already; every name in {at[0]} is used once' if value in others else ""


def figure_shown(at: Location, here: FieldType, *, exact: bool) -> str:
    """The figure of a blank; of a rate that is worked out, as it is told elsewhere."""
    return number(here.value, here.kind) if is_rate(at) else shown(here, exact=exact)


def in_unit_shown(written: Any, unit: str) -> bool:
    """Whether a file's entry is in the unit that it is shown in."""
    if written is None:
        return False
    return not isinstance(written, str) or not unit or written.replace("**2", "²").replace("*", "·").endswith(unit)


def slug(name: str) -> str:
    """A name as it may stand in a file's name."""
    made = re.sub(r"[^\w-]+", "-", name.strip().lower()).strip("-")[:40]
    if not made:
        raise InputError("revision", [Fault("", f'"{name}"', "give it a name of letters or figures")])
    return made


def _message(fault: SpringwrightError, here: str) -> str:
    """The command line's words as the page says them; the place is left out where the message hangs from it already, whatever it is called now."""
    if not isinstance(fault, InputError):
        return f"{fault}."

    def unnamed(path: str) -> str:
        return re.sub(r'(\[\d+\]) "[^"]*"', r"\1", path)

    said = " ".join(f"{one.message if unnamed(one.path) == unnamed(here) else one}." for one in fault.faults)
    return said.replace("must be true or false", "must be yes or no")
