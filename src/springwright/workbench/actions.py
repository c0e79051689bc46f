"""What can be done to a sheet besides writing in a blank: each makes a change of the document from what the page sent."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from math import isfinite
from typing import Any

from springwright.commission.back import brought_back
from springwright.commission.begun import READ, new_set, starting_text
from springwright.commission.logs import columns_of
from springwright.errors import Fault, InputError
from springwright.files import write_whole
from springwright.report.travel_panel import NAMES
from springwright.sizing.beginnings import beginning
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import catalogue_of
from springwright.studies.candidates import written_as
from springwright.studies.decisions import told_changes, usual_texts
from springwright.studies.figures import ASKED
from springwright.studies.front_results import FrontDesign
from springwright.studies.setting import PRICE, search_decisions
from springwright.studies.steps import steps_of
from springwright.units import parse, text_in, unit_of
from springwright.vehicle.edits import Change
from springwright.vehicle.faults import Location, said_at
from springwright.vehicle.file import parsed
from springwright.workbench.model.building import axle_in, begin, called, turned
from springwright.workbench.model.building import out as taken_out
from springwright.workbench.model.document import KEPT_STEPS, Document
from springwright.workbench.model.shown import Shown
from springwright.workbench.model.view import SECTIONS, grounds_of
from springwright.workbench.sections.damp import points_of
from springwright.workbench.sections.trade import ORDERS, TAKEN

Asked = Mapping[str, Any]
MOST_DESIGNS = 20_000  # of a search from the page
MOST_ZOOMS = 50  # charts looked at closer at a time


def put(document: Document, asked: Asked) -> None:
    """Write a typed text at a place."""
    at = location(asked["at"])
    if at[0] == "readings":
        document.readings.put(at[1:], text(asked["value"]))
        return
    document.write(at, text(asked["value"]), text(asked.get("label", "")), text(asked.get("gesture", "")))


def move(document: Document, asked: Asked) -> None:
    """Put something where it was drawn to: some coordinates of a point, or the fields that place it, as one edit."""
    at, values = location(asked["at"]), asked["values"]
    if not isinstance(values, list) or not 0 < len(values) <= 3:
        raise LookupError("no point")
    told = {step: text(value) for (step,), value in ((location([k]), value) for k, value in values)}
    document.move(at, told, text(asked.get("label", "")), text(asked.get("gesture", "")))


def mend(document: Document, asked: Asked) -> None:
    """Leave what was typed wrongly."""
    document.wrong.pop(location(asked["at"]), None)


def undo(document: Document, asked: Asked) -> None:
    """Take the last edit back, or so many."""
    for _ in range(min(int(asked.get("times", 1)), KEPT_STEPS)):
        document.undo()


def redo(document: Document, _: Asked) -> None:
    """Make it again."""
    document.redo()


def save(document: Document, asked: Asked) -> None:
    """Write the file."""
    document.save(over=bool(asked.get("over")))
    document.elsewhere = False
    document.said = document.replaced


def read(document: Document, _: Asked) -> None:
    """Take what the disk holds; undo goes back to what was here."""
    disk = document.on_disk()
    if disk is not None:
        document.read_in(disk, "what was on disk", unfinished=True)
        document.saved = disk
    document.elsewhere = False


def keep(document: Document, asked: Asked) -> None:
    """Keep this state as a named revision; `free` lets it have a number after its name where that is taken."""
    document.said = f"Kept as {document.keep(text(asked['name']), free=bool(asked.get('free'))).name}."


def take_text(document: Document, asked: Asked) -> None:
    """Take the whole text of the file as it was edited on the page."""
    try:
        document.read_in(text(asked["text"]), "the file's text")
    except InputError as fault:
        document.text_said = str(fault)
        return
    document.text_said = ""


def fold(document: Document, asked: Asked) -> None:
    """Fold or unfold a section."""
    document.view = replace(document.view, folded=document.view.folded ^ {text(asked["part"])})


def folds(document: Document, asked: Asked) -> None:
    """Fold or unfold every section at once."""
    document.view = replace(document.view, folded=frozenset(SECTIONS) if asked["all"] is True else frozenset())


def unfold(document: Document, asked: Asked) -> None:
    """Unfold a section or a question that something leads to."""
    opened = document.view.open | {text(one) for one in asked.get("open", [])}
    document.view = replace(document.view, folded=document.view.folded - {text(asked.get("part", ""))}, open=opened)


def open_(document: Document, asked: Asked) -> None:
    """Unfold a working and the like, or fold it."""
    document.view = replace(document.view, open=document.view.open ^ {text(asked["what"])})


def tray(document: Document, asked: Asked) -> None:
    """Open an axle's drawings of kinds, or fold them; what is chosen stands whatever the axle becomes."""
    names = [f"{word}-{int(asked['axle'])}" for word in ("tray", "no-tray")]
    chosen = names[0] if asked["open"] is True else names[1]
    document.view = replace(document.view, open=(document.view.open - {*names}) | {chosen})


def view(document: Document, asked: Asked) -> None:
    """Choose load state, ground, speed or units for the whole page."""
    name, value = text(asked["name"]), text(asked["value"])
    if name == "speed":
        bare = value.replace(" ", "").replace(".", "", 1).isdigit()
        speed = parse(f"{value} {unit_of('speed')}" if bare else value, "speed")
        if not 0 < speed < 100:
            raise InputError("speed", [Fault("", f'"{value}"', "must be more than 0 and less than 360 km/h")])
        document.view = replace(document.view, speed=speed)
    elif name == "system" and value in ("metric", "imperial"):
        document.view = replace(document.view, system=value, zooms=())  # type: ignore[arg-type]
    elif name in ("across", "up") and (value in ASKED or value == PRICE):
        document.view = replace(document.view, across=value) if name == "across" else replace(document.view, up=value)
    elif name.startswith("curve-") and value in ("", *NAMES):
        k = int(name.removeprefix("curve-"))
        named = [*document.view.curves]
        named[k] = value
        document.view = replace(document.view, curves=tuple(named))
    elif name == "order" and value in ORDERS:
        document.view = replace(document.view, order=value)
    elif name == "designs":
        if not (value.isascii() and value.isdecimal() and 100 <= int(value) <= MOST_DESIGNS):
            raise InputError("designs", [Fault("", f'"{value}"', f"a search tries 100 to {MOST_DESIGNS} designs")])
        document.view = replace(document.view, designs=int(value))
    elif name == "state" and value in [one.name for one in document.file.design.states]:
        document.view = replace(document.view, state=value)
    elif name == "ground" and value in grounds_of(document.file.design):
        document.view = replace(document.view, ground=value)


def zoom(document: Document, asked: Asked) -> None:
    """Look at a part of a chart's axis, or at all of it where no part is named."""
    kept = {name: part for name, part in document.view.zooms if name != text(asked["figure"])}
    part = asked.get("part")
    if part is not None:
        low, high = (float(one) for one in part)
        if not (isfinite(low) and isfinite(high) and low < high):
            raise LookupError("no part of an axis")
        kept[text(asked["figure"])] = (low, high)
    document.view = replace(document.view, zooms=tuple(kept.items())[-MOST_ZOOMS:])


def give(document: Document, asked: Asked) -> None:
    """Begin a table, a row or an entry of a list; `to` is its name where it goes by one."""
    at = location([*asked["at"], asked["to"]] if "to" in asked else asked["at"])
    _build(document, at, lambda data, aside: begin(data, at, aside), "put in")


def turn(document: Document, asked: Asked) -> None:
    """Turn a table into another of its kinds; what is taken from the drawings of kinds keeps them open."""
    at, to = location(asked["at"]), text(asked["to"])
    if asked.get("tray") is True and at[0] == "axles":
        document.view = replace(document.view, open=document.view.open | {f"tray-{at[1]}"})
    _build(document, at, lambda data, aside: turned(data, at, to, aside), to.replace("_", " ") or "left open")


def out(document: Document, asked: Asked) -> None:
    """Take a table or an entry out."""
    at = location(asked["at"])
    _build(document, at, lambda data, aside: taken_out(data, at, aside), "taken out")


def axle(document: Document, asked: Asked) -> None:
    """Put an axle in where it stands, like another one or with nothing known of it."""
    like = asked.get("like")
    changes, at = axle_in(
        parsed(document.text), text(asked.get("place", "")).strip(), like if isinstance(like, int) else None
    )
    document.build(changes, f"axle {at + 1}, put in")


def _build(document: Document, at: Location, change: Callable[[Any, dict[str, Any]], list[Change]], words: str) -> None:
    if any(isinstance(step, int) and step < 0 for step in at):
        raise LookupError("entries are counted from the first")
    data, aside = parsed(document.text), dict(document.aside)
    changes = change(data, aside)
    if changes:
        document.aside = aside
        document.build(changes, f"{called(at, data)}, {words}")


def aboard(document: Document, asked: Asked) -> None:
    """Put an item aboard in a load state, or take it out."""
    i, item = int(asked["state"]), text(asked["item"])
    state = document.file.design.states[i]
    if item in state.aboard:
        changes: list[Change] = [(("states", i, "aboard"), [one for one in state.aboard if one != item])]
        if item in state.fill:
            changes.append((("states", i, "fill", item), None))
    else:
        changes = [(("states", i, "aboard"), [*state.aboard, item])]
    document.apply(changes, f"{item} {'out of' if item in state.aboard else 'into'} {state.name}")


def add(document: Document, asked: Asked) -> None:
    """Add an item or a load state with values that can be changed at once."""
    design = document.file.design
    kind = text(asked["list"])
    if kind == "items":
        name = _free("item", [one.name for one in design.items])
        middle = design.axles[-1].behind_front_axle / 2
        new: dict[str, Any] = {
            "name": name,
            "mass": "50 kg",
            "behind_front_axle": text_in(round(middle, 3), "length", "mm"),
            "above_ground": "1000 mm",
        }
    elif kind == "states":
        name = _free("state", [one.name for one in design.states])
        new = {"name": name, "aboard": [item.name for item in design.items]}
    else:
        raise LookupError(kind)
    document.apply([((kind, len(getattr(design, kind))), new)], f"{name} added")


def remove(document: Document, asked: Asked) -> None:
    """Take an item or a load state out, and out of whatever names it."""
    at = location([text(asked["list"]), int(asked["index"])])
    data = parsed(document.text)
    if at[0] not in ("items", "states"):
        raise LookupError(at[0])
    name = said_at(data, (*at, "name"))
    document.apply(taken_out(data, at, document.aside), f"{name} taken out")


def spring(document: Document, asked: Asked) -> None:
    """Choose a catalogue part, a coil to be made, or another kind to begin with for an axle; with none, take the axle's own spring out."""
    i = int(asked["axle"])
    axle = document.file.design.axles[i]
    at = ("axles", i, "spring")
    changes: list[Change] = [
        ((*at, name), None) for name in axle.spring.own_fields() if getattr(axle.spring, name) is not None
    ]
    title = f"{axle.name} spring taken out"
    if "part" in asked:
        changes.append(((*at, "part"), text(asked["part"])))
        title = f"{axle.name} spring {text(asked['part'])}"
    elif "kind" in asked:
        kind = text(asked["kind"])
        changes += [
            ((*at, name), value) for name, value in beginning(axle, sized(document.file).rates[i], kind).items()
        ]
        title = f"{axle.name} {kind.replace('_', ' ')}"
    elif "coil" in asked:
        changes.append(((*at, "coil"), dict(asked["coil"])))
        title = f"{axle.name} coil of {asked['coil'].get('wire')}"
    document.apply(changes, title)


def damper(document: Document, asked: Asked) -> None:
    """Write a damper's law as points, or have it follow the target again."""
    i = int(asked["axle"])
    name = document.file.design.axles[i].name
    at: Location = ("axles", i, "damper", "points")
    if asked["points"]:
        document.apply([(at, points_of(document.file, i))], f"{name} damper written as points")
    else:
        document.apply([(at, None)], f"{name} damper follows its target")


def step(document: Document, asked: Asked) -> None:
    """Try one step of a decision: a change like any other, taken back by undo."""
    name = text(asked["id"])
    one = next((each for each in steps_of(document.file, sized(document.file)) if each.id == name), None)
    if one is None:
        raise LookupError("no such step")
    if one.why:
        raise InputError(one.what, [Fault("", one.by, one.why)])
    title = f"{one.what} {one.by}"
    if document.undoes != title:  # pressed twice before it was answered to
        document.apply(one.changes, title)


def take(document: Document, asked: Asked) -> None:
    """Take a design of the front: every decision at its value, as one change."""
    decisions, values = search_decisions(document.file), [float(one) for one in asked["values"]]
    if [one.field for one in decisions] != list(asked["fields"]):
        raise LookupError("other decisions")
    document.apply(told_changes(decisions, values), f"design {int(asked['number'])}{TAKEN}")


def candidate(document: Document, asked: Asked) -> None:
    """Keep a design of the front as a design file of its own beside this one."""
    decisions, number = search_decisions(document.file), int(asked["number"])
    values = tuple(float(one) for one in asked["values"])
    if [one.field for one in decisions] != list(asked["fields"]):
        raise LookupError("other decisions")
    path = document.beside(f"design-{number}", free=True)
    called = text(asked.get("called", ""))
    one = FrontDesign(number, values, (), (), called=called if called.isprintable() else "")
    written_as(document.file, one, decisions, path).save()
    document.said = f"Kept as {path.name}."


def pick(document: Document, asked: Asked) -> None:
    """Look at a design of the front, or at none; it is known by its values, which stay what they are while numbers change."""
    values = tuple(float(one) for one in asked["values"])
    document.view = replace(document.view, picked=() if values == document.view.picked else values)


def vary(document: Document, _: Asked) -> None:
    """Write what the search varies of itself into the file, where each range can be changed."""
    design = document.file.design
    if not design.trade.vary:
        texts = usual_texts(design, sized(document.file), catalogue_of(document.file))
        document.apply([(("trade", "vary"), [*texts])], "what may vary written out")


def readings(document: Document, _: Asked) -> None:
    """Start a readings file beside the design."""
    document.readings.start(starting_text(document.file))


def unread(document: Document, _: Asked) -> None:
    """Take the last step in the readings back."""
    document.readings.undo()


def reading_add(document: Document, asked: Asked) -> None:
    """Add a set of readings to be filled in."""
    kind = text(asked["kind"])
    document.readings.add(kind, new_set(document.file, kind))


def reading_out(document: Document, asked: Asked) -> None:
    """Take a set of readings, or a list of one, out."""
    document.readings.out(location(asked["at"]))


def lay_log(document: Document, name: str, at: Location | None) -> None:
    """Name a log that lies beside the design in a set of readings; in a bounce that is added for it where it was brought to none."""
    desk = document.readings
    if not desk.text:
        desk.start(starting_text(document.file))
    logged = at is not None and at[0] in READ and "log" in READ[str(at[0])].fields
    if at is None or not logged or said_at(desk.data, at) is None:
        desk.add("bounces", new_set(document.file, "bounces"))
        at = ("bounces", len(desk.data["bounces"]) - 1)
    desk.put((*at, "log"), name)
    document.said = f'{name} lies beside the design and is named in a set "{READ[str(at[0])].words}". {columns_of(document.path.with_name(name))}'


def keep_built(document: Document, shown: Shown, *, mended: bool = False) -> None:
    """Keep the as-built design that was found as a design file of its own beside this one; `mended`: with what is tried of what brings it back.

    Raises
    ------
    InputError
        There is none for this state of the design and of its readings.

    """
    study, found = shown.studies.get("measure"), shown.built
    if study is None or found is None or not found.text or study.late or study.reads != document.readings.text:
        raise InputError(
            document.path.name,
            [Fault("", "", "has no as-built design that is up to date: hold the readings beside what was due first")],
        )
    text = found.text
    some = [found.back[k] for k in sorted(shown.tried)] if mended else []
    if some:
        said = "; ".join(f"{one.axle} {one.what}, {one.change}" for one in some)
        text = f"# Brought back: {said}.\n{brought_back(document.file.saying(text), some).text}"
    path = document.beside("brought-back" if some else "as-built", free=True)
    write_whole(path, text)
    document.said = f"Kept as {path.name}."


def location(value: Any) -> Location:
    """A place as the page sends it."""
    if (
        not isinstance(value, list)
        or not value
        or len(value) > 12
        or not all(isinstance(one, str) or type(one) is int for one in value)
    ):
        raise LookupError("no place")
    return tuple(value)


def text(value: Any) -> str:
    """A text as the page sends it."""
    if not isinstance(value, str):
        raise LookupError("no text")
    return value


def _free(word: str, taken: list[str]) -> str:
    return next(name for n in range(1, len(taken) + 2) if (name := f"{word} {n}") not in taken)


ACTIONS: dict[str, Callable[[Document, Asked], None]] = {
    "put": put, "move": move, "mend": mend, "undo": undo, "redo": redo, "save": save, "read": read, "keep": keep, "text": take_text, "fold": fold, "folds": folds, "unfold": unfold,
    "open": open_, "view": view, "aboard": aboard, "add": add, "remove": remove, "spring": spring, "damper": damper, "step": step, "take": take,
    "readings": readings, "unread": unread, "reading_add": reading_add, "reading_out": reading_out,
    "give": give, "turn": turn, "out": out, "axle": axle, "candidate": candidate, "pick": pick, "vary": vary, "zoom": zoom, "tray": tray,
}  # fmt: skip

# While a design wants values: what builds it, and what looks at it. All else would read or change the state before.
BUILDING = frozenset(
    ("put", "move", "mend", "undo", "redo", "save", "read", "keep", "text", "fold", "folds", "unfold", "open", "tray", "view", "give", "turn", "out", "axle")
)  # fmt: skip


def wait(document: Document, _: Asked) -> None:
    """Say that something waits for the design to be whole."""
    raise InputError(
        document.path.name, [Fault("", "", "is not whole yet; that waits until its empty blanks are written in")]
    )
