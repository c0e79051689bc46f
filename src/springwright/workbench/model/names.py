"""A name that is changed is changed wherever the design uses it."""

from __future__ import annotations

from typing import Any

from springwright.vehicle.design import Design
from springwright.vehicle.edits import Change
from springwright.vehicle.faults import Location


def renamed(design: Design, at: Location, new: Any) -> list[Change]:
    """Changes that carry the new name of an item, a load state or a ground to all that names it; none for any other place."""
    if len(at) != 3 or at[2] != "name" or not isinstance(at[1], int) or not isinstance(new, str):
        return []
    group, index = str(at[0]), at[1]
    entries = getattr(design, group, ())
    old = entries[index].name if index < len(entries) else None
    if old is None or old == new:
        return []
    begin = f"{group}.{old}."
    sure: list[Change] = [
        (("sure", i), f"{group}.{new}.{name.removeprefix(begin)}")
        for i, name in enumerate(design.sure)
        if name.startswith(begin)
    ]
    return sure + {"items": _item, "states": _state, "grounds": _ground}.get(group, _nothing)(design, old, new)


def overruled(design: Design, at: Location) -> list[Change]:
    """What must go where an axle's aim is written the other way: its sag where a frequency is, its frequency where a sag is."""
    if len(at) != 4 or at[2] != "target" or at[3] not in ("frequency", "sag"):
        return []
    target = design.axles[int(at[1])].target
    if target is None or (at[3] == "frequency" and target.sag is None):
        return []
    return [((*at[:3], "sag" if at[3] == "frequency" else "frequency"), None)]


def _item(design: Design, old: str, new: str) -> list[Change]:
    changes: list[Change] = []
    for i, state in enumerate(design.states):
        if old in state.aboard:
            changes.append((("states", i, "aboard", state.aboard.index(old)), new))
        if old in state.fill:
            changes += [
                (("states", i, "fill", new), f"{100 * state.fill[old]:g} %"),
                (("states", i, "fill", old), None),
            ]
    return changes


def _state(design: Design, old: str, new: str) -> list[Change]:
    changes: list[Change] = [
        (("duty_cycle", i, "state"), new) for i, stint in enumerate(design.duty_cycle) if stint.state == old
    ]
    return [(("design_state",), new), *changes] if design.design_state == old else changes


def _ground(design: Design, old: str, new: str) -> list[Change]:
    changes: list[Change] = [
        (("duty_cycle", i, "ground"), new) for i, stint in enumerate(design.duty_cycle) if stint.ground == old
    ]
    return [(("reference", "ground"), new), *changes] if design.reference.ground == old else changes


def _nothing(_: Design, __: str, ___: str) -> list[Change]:
    return []
