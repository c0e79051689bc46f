"""The corrected model as a design file of its own: the drawing stays in it, each changed value has its reason beside it as a comment."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import Array, InlineTable

from springwright.commission.correct import CorrectedInput, Correction
from springwright.commission.inputs import BUILT_FIELDS
from springwright.errors import Fault, InputError
from springwright.files import is_there
from springwright.studies.candidates import check_place
from springwright.units import KINDS, show, text_in
from springwright.vehicle.built import AxleWithin, BodyWithin
from springwright.vehicle.design import Design
from springwright.vehicle.edits import Change, changed
from springwright.vehicle.faults import Location
from springwright.vehicle.fields import put
from springwright.vehicle.file import DesignFile

NAMED = 3  # readings in a comment


def check_target(target: Path, file: DesignFile) -> None:
    """Refuse a place for an as-built file where something stands already, or from which the design's own files would not be found.

    Raises
    ------
    InputError
        It is so.

    """
    if is_there(target):
        raise InputError(
            str(target), [Fault("", "", "is there already and stays as it is; name a file that is not there yet")]
        )
    check_place(target, file)


def as_built(file: DesignFile, correction: Correction, target: Path) -> DesignFile:
    """The design file with what the readings tell in it, to be saved at `target`; nothing is written yet.

    Raises
    ------
    InputError
        The readings tell nothing that differs from the drawing.

    """
    if not correction.taken:
        raise InputError(
            correction.comparison.readings,
            [Fault("", "", "tell nothing that differs from the drawing: there is nothing to write")],
        )
    changes, reasons = [], {}
    for one in correction.taken:
        at, value = _place(one, correction.standing.design)
        changes.append((at, value))
        reasons[at] = _reason(one, correction)
        if (known := _known_within(one, value)) is not None:
            changes.append(known)
    other = changed(file, _with_tables(changes, file.design))
    document: Any = tomlkit.parse(other.text)
    above = [_head(file, correction)]
    for at, reason in reasons.items():
        table, inline = document, False
        for step in at[:-1]:
            table = table[step]
            inline |= isinstance(table, InlineTable | Array)
        item = table[at[-1]]
        if inline or not hasattr(item, "comment"):  # a comment would end the line within its braces
            above.append(f"# {reason}")
        else:
            item.comment(reason)
    text = "\n".join([*above, document.as_string()])
    return DesignFile(target, text, file.saying(text).design)


def _head(file: DesignFile, correction: Correction) -> str:
    comparison = correction.comparison
    days = sorted({one.day for one in comparison.sets if one.day})
    when = f", read {days[0]}" + (f" to {days[-1]}" if days[-1] != days[0] else "") if days else ""
    return f"# As built: {file.path.name} corrected by {comparison.readings}{when}. What was drawn stays; [built] says how it was built."


def _place(one: CorrectedInput, built: Design) -> Change:
    """Where a corrected input stands in the design file, and its value there."""
    source, written = one.input, one.written
    assert written is not None
    what, i = source.what, source.axle
    if what == "friction":
        return ("axles", i, "friction"), text_in(max(round(written), 0.0), "force", "N")
    if what == "right_longer":
        return ("axles", i, "spring", "right", "spacer"), text_in(round(written, 4), "length", "mm")
    if what == "helper_rate":
        return ("axles", i, "helpers", source.helper, "existing", "rate"), text_in(round(written, 1), "rate", "N/mm")
    if i >= 0:
        field = BUILT_FIELDS.get(what, what)
        value = getattr(built.axles[i].as_built, field)
        if what == "free_length":
            return ("axles", i, "built", field), text_in(round(value, 4), "length", "mm")
        return ("axles", i, "built", field), round(value, 4)
    assert built.built is not None
    value = getattr(built.built, what)
    if one.kind == "ratio":
        return ("built", what), round(value, 4)
    return ("built", what), text_in(round(value, 1 if one.kind == "mass" else 4), one.kind, KINDS[one.kind].metric)


def _known_within(one: CorrectedInput, value: object) -> Change | None:
    """Where it stands how well a corrected input is known, half of its 95 % interval; None of what has no place for it."""
    source, off = one.input, one.off
    body = source.axle < 0
    field = BUILT_FIELDS.get(source.what, source.what)
    if field not in (BodyWithin if body else AxleWithin).model_fields or not off > 0:
        return None
    at = ("built", "within", field) if body else ("axles", source.axle, "built", "within", field)
    if isinstance(value, float) and one.written:  # so many times as drawn
        return at, float(f"{min(off / one.written * value, 1.0):.2g}")
    places = {"length": 1e-4, "mass": 0.1, "force": 1.0}[source.kind]
    return at, text_in(max(round(off / places), 1) * places, source.kind, KINDS[source.kind].metric)


def _with_tables(changes: list[Change], design: Design) -> list[Change]:
    """Changes in the order in which they can be made: tables that are not there yet are put whole."""
    whole: dict[Any, Any] = {}
    plain: list[Change] = []
    for at, value in changes:
        base = _table_of(at)
        if base is None or _there(design, base):
            plain.append((at, value))
        else:
            whole[base] = put(whole.get(base, {}), at[len(base) :], value)
    return [*plain, *whole.items()]


def _table_of(at: Location) -> Location | None:
    """The table of a place that may not be there yet."""
    if at[0] == "built":
        return at[:1]
    if at[2] == "built":
        return at[:3]
    return at[:4] if at[2:4] == ("spring", "right") else None


def _there(design: Design, at: tuple[str | int, ...]) -> bool:
    held: Any = design
    for step in at:
        held = held[step] if isinstance(step, int) else getattr(held, step)
    return held is not None


def _reason(one: CorrectedInput, correction: Correction) -> str:
    """Why a value was changed, as a comment."""
    told = [each for each in correction.comparison.sets if each.number in one.told_by]
    titles = [f"{each.number} {each.title}{f' {each.day}' if each.day else ''}" for each in told[:NAMED]]
    titles += [f"and {len(told) - NAMED} more"] if len(told) > NAMED else []
    drawn, read, off = (show(value, one.kind) for value in (one.drawn, one.written, one.off))
    said = f"{one.name}: {drawn} drawn, {read} ± {off} read"
    return said + (f"; readings {', '.join(titles)}" if titles else "")
