"""Building a design: tables begun, turned into another kind and taken out, axles put in and out. What a turn takes out is put aside, not thrown away."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from springwright.errors import Fault, InputError
from springwright.units import parse
from springwright.vehicle.axle import Axle
from springwright.vehicle.edits import Change, Inserted
from springwright.vehicle.faults import Location, said_at
from springwright.vehicle.mounted import SpringMount
from springwright.vehicle.shapes import entry_of, fields_in, in_place_of, shape_at, skeleton, tag_field, tag_of

Aside = dict[str, Any]
ORDINALS = ("front", "rear", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
GROUND = ("iso_class", "profile", "preset", "obstacle")  # the ways to say which ground it is
NAMED: tuple[tuple[Location, str], ...] = ((("design_state",), "states"), (("reference", "ground"), "grounds"))
OF_BEAMS = ("axle_links", "drag_link", "bump_stop_base", "droop_stop_base")
WITH_MASS = ("mass", "behind_front_axle", "left_of_centre", "above_ground")
WHEELS = {"beam": ("beam", 2), "independent": ("independent", 2), "one": ("independent", 1)}
MOUNTS = {
    "beam": ("beam", "table", "ratio", "axle links"),
    "independent": ("lever", "table", "ratio", "wishbones", "strut", "swing arm", "links", "twist"),
}  # how springs and dampers can act on an axle of a kind
MOST_ENTRIES = 500  # of one list built on the page


def begin(data: Any, at: Location, aside: Aside) -> list[Change]:
    """Begin a table, a row or an entry that is not there; what cannot stand beside it goes aside.

    Raises
    ------
    LookupError
        No design has such a place, or it is there.

    """
    shape = shape_at(data, at)
    if said_at(data, at) is not None or (isinstance(at[-1], int) and at[-1] != len(said_at(data, at[:-1]) or ())):
        raise LookupError("it is there")
    if isinstance(at[-1], int) and at[-1] >= MOST_ENTRIES:
        raise InputError(str(at[0]), [Fault("", "", f"holds {MOST_ENTRIES} entries; no more can be added here")])
    value = aside.get(_key(data, at), skeleton(shape))
    if shape.what in ("list", "names") and value in ([], {}):  # begun with its first entry
        value = [skeleton(entry_of(shape))] if shape.what == "list" else value
    if at == ("kerb", "scales"):
        value = _scales(data)
    elif at[:2] == ("kerb", "raised") and len(at) == 3:
        value = {"end": "front", "on_scales": dict.fromkeys(_names(data)[1:], "")}
    return [*_put_aside(data, rivals(data, at), aside), (at, value)]


def rivals(data: Any, at: Location) -> list[Location]:
    """Places that cannot hold anything beside one that is begun."""
    last, parent = str(at[-1]), at[:-1]
    group: tuple[str, ...] = ()
    if at[:2] == ("kerb", "scales"):
        return [("kerb", one) for one in WITH_MASS if said_at(data, ("kerb", one)) is not None]
    if at[:2] == ("kerb", "raised"):
        return [("kerb", "above_ground")] if said_at(data, ("kerb", "above_ground")) is not None else []
    if len(at) == 4 and at[2] == "spring" and last in SpringMount.own_fields():
        group = SpringMount.own_fields()
    elif len(at) == 3 and at[0] == "axles" and last in Axle.linkages():
        group = tuple(Axle.linkages())
    elif at[0] == "grounds" and last in GROUND:
        group = GROUND
    elif at[0] == "axles" and last in ("points", "test_sheet", "readings"):
        group = ("points", "test_sheet", "readings")
    one = in_place_of(shape_at(data, parent), said_at(data, parent)) if parent and isinstance(at[-1], str) else None
    if one is not None and last in one.others:
        group = (*group, *(one.fields or tuple(name for name, inner in fields_in(shape_at(data, parent)).items() if inner.required)))  # fmt: skip
    return [(*parent, one) for one in group if one != last and said_at(data, (*parent, one)) is not None]


def turned(data: Any, at: Location, to: str, aside: Aside) -> list[Change]:
    """Turn a table into another of its kinds: what both know is carried over, what the old one alone knew goes aside, what was aside comes back.

    Raises
    ------
    LookupError
        There is no such place or no such kind.

    """
    if at[0] == "axles" and len(at) == 3 and at[2] == "wheels":
        return _wheels(data, at, to, aside)
    if at[0] == "axles" and len(at) == 3 and at[2] == "held":
        return _held(data, at[:2], to, aside)
    if at[0] == "axles" and len(at) == 4 and at[2:] == ("spring", "own"):
        return _own(data, at[:3], to, aside)
    if at == ("kerb", "weighed"):
        return _weighed(data, to, aside)
    if len(at) == 4 and at[2:] == ("damper", "acts") and (not to or said_at(data, at) is None):
        return _damper(data, at[:3], to, aside)
    shape, old = shape_at(data, at), said_at(data, at)
    if shape.what != "kinds" or to not in shape.kinds:
        raise LookupError(f"no kind {to}")
    return _acts(data, at, to, aside) if old else [(at, {tag_field(shape): to, **_begun(shape, to)})]


def out(data: Any, at: Location, aside: Aside) -> list[Change]:
    """Take something out; an axle out of all that names it."""
    said = said_at(data, at)
    if said is None or not at:
        raise LookupError("nothing there")
    if len(at) == 2 and at[0] == "axles" and isinstance(at[1], int):
        return axle_out(data, at[1])
    if at == ("format",):
        raise LookupError("every design file says it")
    if isinstance(at[-1], int):
        return [*_named_no_more(data, at), *_entries_out(data, at[:-1], [at[-1]])]
    aside[_key(data, at)] = said
    return [(at, None)]


def _named_no_more(data: Any, at: Location) -> list[Change]:
    """Take an item, a load state or a ground out of all that names it."""
    name, group = said_at(data, (*at, "name")), at[0]
    if len(at) != 2 or name is None:
        return []
    changes: list[Change] = []
    for i, state in enumerate(data.get("states", ()) if group == "items" else ()):
        if name in state.get("aboard", ()):
            changes.append((("states", i, "aboard"), [one for one in state["aboard"] if one != name]))
        if name in state.get("fill", {}):
            changes.append((("states", i, "fill", name), None))
    key = {"states": "state", "grounds": "ground"}.get(str(group), "")
    driven = [i for i, stint in enumerate(data.get("duty_cycle", ())) if key and stint.get(key) == name]
    changes += _entries_out(data, ("duty_cycle",), driven)
    return [*changes, *((place, None) for place, of in NAMED if group == of and said_at(data, place) == name)]


def axle_in(data: Any, place: str, like: int | None) -> tuple[list[Change], int]:
    """Put an axle in where it stands: `place` behind the front axle, or empty at the end; `like` another, or with nothing known.

    Raises
    ------
    QuantityError
        That is no length.

    """
    axles = data.get("axles", [])
    if len(axles) >= len(ORDINALS):
        raise InputError("axles", [Fault("", "", f"are {len(axles)} already; write more in the file's text")])
    names = _names(data)
    at = len(axles)
    if place and axles:
        where = parse(place, "length")
        if where <= 0:
            raise InputError("axles", [Fault("", f'"{place}"', "lies ahead of the front axle, from which all is measured: put an axle in behind it, and write over the front one")])  # fmt: skip
        at = sum(1 for one in axles if _stands(one) <= where)
    usual = ("middle", *ORDINALS) if 0 < at < len(axles) else ORDINALS
    name = next(one for one in usual if one not in names)
    new: dict[str, Any] = {"name": name}
    if not axles:
        new["behind_front_axle"] = "0 mm"
    elif place:
        new["behind_front_axle"] = place
    shape = entry_of(shape_at(data, ("axles",)))
    copied = dict(axles[like]) if like is not None and 0 <= like < len(axles) else skeleton(shape)
    new = {**new, **{key: value for key, value in copied.items() if key not in ("name", "behind_front_axle")}}
    changes: list[Change] = [(("axles", at), Inserted(new) if at < len(axles) else new)]
    sides = ("left", "right") if new.get("wheels", 2) == 2 else ("left",)
    changes += [change for side in sides for change in _reading(data, side, at, put=True)]
    for i, raised in enumerate(said_at(data, ("kerb", "raised")) or ()):
        if not (at == len(axles) and raised.get("end") == "rear"):
            changes.append((("kerb", "raised", i, "on_scales", name), ""))
    return changes, at


def axle_out(data: Any, index: int) -> list[Change]:
    """Take an axle out, and out of scales, states, splits and whatever joins it to others."""
    axles = data["axles"]
    name, sides = axles[index].get("name"), ("left", "right") if axles[index].get("wheels", 2) == 2 else ("left",)
    changes = [change for side in sides for change in _reading(data, side, index, put=False)]
    for at, keys in _naming(data):
        gone = [key for key in keys if key in (name, f"{name} left", f"{name} right")]
        if gone == keys and at[:2] == ("kerb", "raised"):  # a weighing of nothing
            continue
        changes += [((*at, key), None) for key in gone]
    raised = [i for i, one in enumerate(said_at(data, ("kerb", "raised")) or ()) if list(one.get("on_scales", {})) == [name]]  # fmt: skip
    beams = [i for i, one in enumerate(data.get("walking_beams", ())) if name in one.get("axles", ())]
    changes += _entries_out(data, ("kerb", "raised"), raised) + _entries_out(data, ("walking_beams",), beams)
    return [*changes, *_entries_out(data, ("axles",), [index])]


def _reading(data: Any, side: str, index: int, *, put: bool) -> list[Change]:
    """Put an empty scale reading in for an axle, or take its out; on the right stand those of axles of two wheels alone."""
    there = said_at(data, ("kerb", "scales", side))
    before = data.get("axles", [])[:index]
    k = len(before) if side == "left" else sum(one.get("wheels", 2) == 2 for one in before)
    if there is None or k > len(there):
        return []
    return [(("kerb", "scales", side), [*there[:k], "", *there[k:]] if put else [*there[:k], *there[k + 1 :]])]


def _entries_out(data: Any, at: Location, which: Sequence[int]) -> list[Change]:
    """Take entries out of a list, the last first; the list itself where none is left."""
    there = said_at(data, at) or ()
    if which and len(which) == len(there):
        return [(at, None)]
    return [((*at, i), None) for i in sorted(which, reverse=True)]


def renamed(data: Any, at: Location, new: Any) -> list[Change]:
    """Carry a new name of an axle, an item, a load state or a ground to all that names it."""
    if len(at) != 3 or at[2] != "name" or not isinstance(new, str) or not new:
        return []
    old, group = said_at(data, at), at[0]
    if not isinstance(old, str) or not old or old == new:
        return []
    if group == "axles":
        return _axle_renamed(data, old, new)
    changes: list[Change] = []
    for i, state in enumerate(data.get("states", ()) if group == "items" else ()):
        changes += [(("states", i, "aboard", k), new) for k, one in enumerate(state.get("aboard", ())) if one == old]
        if old in state.get("fill", {}):
            changes += [(("states", i, "fill", new), state["fill"][old]), (("states", i, "fill", old), None)]
    for i, stint in enumerate(data.get("duty_cycle", ())):
        changes += [(("duty_cycle", i, key), new) for key in ("state", "ground") if group == f"{key}s" and stint.get(key) == old]  # fmt: skip
    changes += [(place, new) for place, of in NAMED if group == of and said_at(data, place) == old]
    return changes + _told_by_way(data, f"{group}.{old}.", f"{group}.{new}.")


def _told_by_way(data: Any, old: str, new: str) -> list[Change]:
    """Carry a name to the fields that are named by their way: of which a builder is sure, which may vary, which are estimates."""
    places: list[tuple[Location, Any]] = [
        ((*at, i), said) for at in (("sure",), ("trade", "vary")) for i, said in enumerate(said_at(data, at) or ())
    ]
    places += [(("estimates", i, "field"), one.get("field")) for i, one in enumerate(data.get("estimates", ()))]
    return [(at, new + said.removeprefix(old)) for at, said in places if isinstance(said, str) and said.startswith(old)]


def _axle_renamed(data: Any, old: str, new: str) -> list[Change]:
    changes: list[Change] = []
    for table, keys in _naming(data):
        for key in keys:
            if key in (old, f"{old} left", f"{old} right"):
                changes += [((*table, new + key.removeprefix(old)), said_at(data, (*table, key))), ((*table, key), None)]  # fmt: skip
    for i, beam in enumerate(data.get("walking_beams", [])):
        changes += [(("walking_beams", i, "axles", k), new) for k, one in enumerate(beam.get("axles", ())) if one == old]  # fmt: skip
    return changes + _told_by_way(data, f"axles.{old}.", f"axles.{new}.")


def _naming(data: Any) -> Iterator[tuple[Location, list[str]]]:
    """Tables that name axles or wheels, with the names in each."""
    for i, one in enumerate(said_at(data, ("kerb", "raised")) or ()):
        yield ("kerb", "raised", i, "on_scales"), list(one.get("on_scales", {}))
    for i, one in enumerate(data.get("states", [])):
        yield ("states", i, "tyre_pressure"), list(one.get("tyre_pressure", {}))
    for i, one in enumerate(data.get("cross_links", [])):
        yield ("cross_links", i, "shares"), list(one.get("shares", {}))
    for split in ("torque_split", "brake_split"):
        yield ("driveline", split), list(said_at(data, ("driveline", split)) or {})


def _acts(data: Any, at: Location, to: str, aside: Aside) -> list[Change]:
    shape, old = shape_at(data, at), said_at(data, at) or {}
    tag = tag_field(shape)
    if old.get(tag) == to:
        return []
    aside[_key(data, at, tag_of(old))] = old
    known = fields_in(shape, {tag: to})
    kept = {name: value for name, value in old.items() if name in known and name != tag}
    back = {name: value for name, value in aside.get(_key(data, at, to), {}).items() if name in known}
    return [(at, {tag: to, **_begun(shape, to), **back, **kept})]


def _begun(shape: Any, kind: str) -> dict[str, Any]:
    found: dict[str, Any] = skeleton(_kind_alone(shape, kind))
    return found


def _kind_alone(shape: Any, kind: str) -> Any:
    """A place of several kinds as that one kind alone."""
    return replace(shape, what="table", kinds={"": shape.kinds[kind]})


def _wheels(data: Any, at: Location, to: str, aside: Aside) -> list[Change]:
    """Turn an axle's wheels: a beam, two of their own, one."""
    if to not in WHEELS:
        raise LookupError(f"no wheels {to}")
    axle: Location = at[:2]
    kind, wheels = WHEELS[to]
    was = said_at(data, (*axle, "wheels")) or 2
    changes: list[Change] = [((*axle, "kind"), kind)]
    if was != wheels and isinstance(axle[1], int):
        changes += _reading(data, "right", axle[1], put=wheels == 2)
    if wheels == 1:
        changes.append(((*axle, "wheels"), 1))
    elif said_at(data, (*axle, "wheels")) is not None:
        changes.append(((*axle, "wheels"), None))
    goes = (*(name for name in Axle.linkages() if name != "axle_links"),) if kind == "beam" else OF_BEAMS
    goes = (*goes, "bar", "track") if wheels == 1 else goes
    changes += _put_aside(data, [(*axle, one) for one in goes if said_at(data, (*axle, one)) is not None], aside)
    if wheels == 2:
        changes += [((*axle, one), aside[_key(data, (*axle, one))]) for one in ("bar", "track") if said_at(data, (*axle, one)) is None and _key(data, (*axle, one)) in aside and said_at(data, (*axle, "wheels")) == 1]  # fmt: skip
    fit = MOUNTS[kind]
    for part in ("spring", "damper"):
        acts: Location = (*axle, part, "acts")
        by = tag_of(said_at(data, acts))
        if by and by not in fit:
            changes += _acts(data, acts, "beam" if kind == "beam" else "lever", aside)
    return changes


def _held(data: Any, axle: Location, to: str, aside: Aside) -> list[Change]:
    """Hold an axle's wheels by the pivot points of a linkage, or by none that are known."""
    names = tuple(Axle.linkages())
    if to and to not in names:
        raise LookupError(f"no linkage {to}")
    there = [name for name in names if said_at(data, (*axle, name)) is not None]
    if to in there:
        return []
    changes = _put_aside(data, [(*axle, one) for one in there], aside)
    if to:
        place: Location = (*axle, to)
        changes.append((place, aside.get(_key(data, place), skeleton(shape_at(data, place)))))
    for part in ("spring", "damper"):  # what stood on the links that went stands on nothing known
        acts: Location = (*axle, part, "acts")
        said = said_at(data, acts)
        if tag_of(said).replace(" ", "_") in there or (tag_of(said) == "links" and there and not to):
            aside[_key(data, acts, tag_of(said))] = said
            changes.append((acts, aside.get(_key(data, acts, to.replace("_", " ")), {}) if to else {}))
    return changes


def _own(data: Any, spring: Location, to: str, aside: Aside) -> list[Change]:
    """Name an axle's spring in another way, or leave it to be found."""
    if to and to not in SpringMount.own_fields():
        raise LookupError(f"no spring {to}")
    there = [name for name in SpringMount.own_fields() if said_at(data, (*spring, name)) is not None]
    if to in there:
        return []
    changes = _put_aside(data, [(*spring, one) for one in there], aside)
    if to:
        place: Location = (*spring, to)
        shape = shape_at(data, place)
        changes.append((place, aside.get(_key(data, place), "" if shape.what == "value" else skeleton(shape))))
    acts: Location = (*spring, "acts")
    by = tag_of(said_at(data, acts))
    if to == "torsion_bar" and by != "twist":
        changes += _acts(data, acts, "twist", aside)
    elif to != "torsion_bar" and by == "twist":
        changes += _acts(data, acts, "lever", aside)
    return changes


def _damper(data: Any, damper: Location, to: str, aside: Aside) -> list[Change]:
    """Give an axle its damper, as it was where it had one, or take it out."""
    if not to:
        return _put_aside(data, [damper] if said_at(data, damper) is not None else [], aside)
    shape = shape_at(data, (*damper, "acts"))
    if to not in shape.kinds:
        raise LookupError(f"no kind {to}")
    was = said_at(data, damper) or aside.get(_key(data, damper), {})
    acts = was.get("acts", {})
    return [(damper, {**was, "acts": acts if tag_of(acts) == to else {"by": to, **_begun(shape, to)}})]


def _weighed(data: Any, to: str, aside: Aside) -> list[Change]:
    """Weigh the vehicle at kerb: on scales, or by its mass and centre of gravity."""
    if to not in ("scales", "mass"):
        raise LookupError(f"not weighed by {to}")
    goes = WITH_MASS[:3] if to == "scales" else ("scales", "raised")
    changes = _put_aside(data, [("kerb", one) for one in goes if said_at(data, ("kerb", one)) is not None], aside)
    comes: Mapping[str, Any] = {"scales": _scales(data)} if to == "scales" else dict.fromkeys(("mass", "behind_front_axle", "above_ground"), "")  # fmt: skip
    for name, value in comes.items():
        at: Location = ("kerb", name)
        if said_at(data, at) is None:
            changes.append((at, aside.get(_key(data, at), value)))
    return changes


def _scales(data: Any) -> dict[str, list[str]]:
    axles = data.get("axles", [])
    pairs = sum(one.get("wheels", 2) == 2 for one in axles)
    return {"left": [""] * len(axles), "right": [""] * pairs}


def _put_aside(data: Any, places: list[Location], aside: Aside) -> list[Change]:
    for at in places:
        aside[_key(data, at)] = said_at(data, at)
    return [(at, None) for at in places]


def _key(data: Any, at: Location, kind: str = "") -> str:
    """A place by the names of what it is in, so that it is found again when others have come or gone."""
    steps: list[Any] = []
    for depth, step in enumerate(at):
        name = said_at(data, (*at[: depth + 1], "name")) if isinstance(step, int) else None
        steps.append(name if isinstance(name, str) else step)
    return json.dumps([*steps, kind])


def _names(data: Any) -> list[str]:
    return [str(one.get("name", "")) for one in data.get("axles", [])]


def _stands(axle: Any) -> float:
    try:
        return float(parse(axle.get("behind_front_axle", ""), "length"))
    except ValueError:
        return float("inf")


def aside_after(aside: Aside, group: str, old: str, new: str = "") -> Aside:
    """What is put aside when an entry of a list has another name; without one it is gone, and so is what was put aside of it."""
    kept: Aside = {}
    for key, value in aside.items():
        steps = json.loads(key)
        if steps[:2] == [group, old]:
            if not new:
                continue
            steps[1] = new
        kept[json.dumps(steps)] = value
    return kept


def one_of(label: str) -> str:
    """One entry of a list by the list's name."""
    return label if label.endswith("ss") else label.removesuffix("s")


IN_WORDS = {"own": "", "held": "links"}  # steps of a place that no builder would say


def called(at: Location, data: Any) -> str:
    """A place in words, as an edit of it is named: front axle, front bar, seat 2, kerb raised 1."""
    words: list[str] = []
    for k, step in enumerate(at):
        if isinstance(step, str):
            words.append(IN_WORDS.get(step, step.replace("_", " ")))
            continue
        of = words.pop() if words else ""
        name = said_at(data, (*at[: k + 1], "name"))
        if not isinstance(name, str) or not name:
            name = f"{one_of(of)} {step + 1}".strip()
        elif len(at) == 2 and at[0] == "axles":
            name = f"{name} {one_of(of)}"
        words.append(name)
    return " ".join(filter(None, words))
