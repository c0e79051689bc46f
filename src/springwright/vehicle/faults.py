"""Turns what pydantic found wrong into faults in the builder's words: path, value, what is allowed, what to do."""

from __future__ import annotations

import difflib
import types
import typing
from typing import Any

from pydantic import BaseModel, ValidationError

from springwright.errors import Fault, FieldFault
from springwright.vehicle.formats import NEW_NAMES

Location = tuple[str | int, ...]


def faults_of(error: ValidationError, data: Any, model: type[BaseModel]) -> list[Fault]:
    """One fault for each thing pydantic found, in the order of the file."""
    return [fault for _, fault in located_faults(error, data, model)]


def located_faults(error: ValidationError, data: Any, model: type[BaseModel]) -> list[tuple[Location, Fault]]:
    """The same, each with its place."""
    # pivot points are handed on to the mounts that stand on them: what is wrong there is said once, at the points
    errors = [one for one in error.errors(include_url=False) if "links" not in one["loc"]]
    counted = [
        one for one in errors if one["type"] != "too_short"
    ]  # a list is short only because what was in it is faulty
    return [_fault(one, data, model) for one in (counted if counted else errors)]


def dotted(location: Location, data: Any) -> str:
    """A path such as `axles[2] "rear".target.frequency`, counting from 1 and naming the entry where it has a name."""
    text = ""
    for i, step in enumerate(location):
        if isinstance(step, int):
            entry = said_at(data, location[: i + 1])
            name = entry.get("name") if isinstance(entry, dict) else None
            text += f"[{step + 1}]" + (f' "{name}"' if isinstance(name, str) else "")
        else:
            text += ("." if text else "") + step
    return text


def written(data: Any, location: Location) -> str:
    """What the file says at a location, as it stands there; nothing for a table."""
    return _written(said_at(data, location))


def _fault(one: Any, data: Any, model: type[BaseModel]) -> tuple[Location, Fault]:
    raw = tuple(step for step in one["loc"])
    where = _in_file(raw, data)
    cause = one.get("ctx", {}).get("error")
    if isinstance(cause, FieldFault):
        where = where + cause.path
        return where, Fault(dotted(where, data), _written(said_at(data, where)), cause.message)
    message = _missing(where) if one["type"] == "missing" and model.__name__ == "Design" else message_of(one)
    value = _written(one["input"]) if one["type"] != "missing" else ""
    if one["type"] == "extra_forbidden":
        known = sorted(_keys(model, raw[:-1]))
        near = difflib.get_close_matches(str(raw[-1]), known, 1, 0.5)
        hint = f'did you mean "{near[0]}"?' if near else f"known here are {', '.join(known)}"
        if NEW_NAMES.get(str(raw[-1])) in known:
            hint = f"it is {NEW_NAMES[str(raw[-1])]} now"
        message = f"no such key; {hint}"
    return where, Fault(dotted(where, data), value, message, missing=one["type"] == "missing")


def _missing(where: Location) -> str:
    """That a field is not there, with what may stand in it and what is usual."""
    from springwright.vehicle.described import described_field  # told only where something is wrong

    one = described_field(".".join(step for step in where if isinstance(step, str)))
    if one is None:
        return "is missing; add it"
    such = f", such as {one.path.rpartition('.')[2]} = {one.example.partition(' or ')[0]}" if one.example else ""
    usual = f"; usual {one.usual}" if one.usual else ""
    return f"is missing; add it{such}: {one.meaning}{usual}"


def message_of(one: Any) -> str:
    """What pydantic found, in the builder's words."""
    cause = one.get("ctx", {}).get("error")
    return str(cause) if isinstance(cause, ValueError) else _plain(one)


def _plain(one: Any) -> str:
    kind, context = one["type"], one.get("ctx", {})
    if kind == "missing":
        return "is missing; add it"
    if kind == "literal_error":
        return f"must be {context['expected'].replace(chr(39), chr(34))}"
    if kind == "union_tag_invalid":
        return f"must be one of {context['expected_tags'].replace(chr(39), chr(34))}, in {context['discriminator'].replace(chr(39), '')}"
    if kind == "union_tag_not_found":
        return f"{context['discriminator'].replace(chr(39), '')} is missing; it says which kind this is"
    if kind in ("model_type", "dict_type", "model_attributes_type"):
        return "must be a table of keys"
    if kind in ("tuple_type", "list_type"):
        return "must be a list in square brackets"
    if kind == "string_too_short":
        return "must not be empty"
    if kind in ("string_type", "bool_type", "bool_parsing", "int_type", "int_parsing"):
        return {"s": "must be text in quotes", "b": "must be true or false", "i": "must be a whole number"}[kind[0]]
    return str(one["msg"][0].lower() + one["msg"][1:])


def _written(value: Any) -> str:
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, bool):
        return str(value).lower()
    return str(value) if isinstance(value, int | float) else ""


def said_at(data: Any, location: Location) -> Any:
    """What a file's data says at a place; None where it says nothing."""
    for step in location:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _in_file(location: Location, data: Any) -> Location:
    """The location without the union tags that pydantic puts in it."""
    path: list[str | int] = []
    tagged: Location | None = None
    for step in location:
        here = said_at(data, tuple(path))
        if tagged != tuple(path) and isinstance(here, dict) and step in (here.get("by"), here.get("shape")):
            tagged = tuple(path)
        else:
            path.append(step)
    return tuple(path)


def _keys(model: type[BaseModel], location: Location) -> set[str]:
    """The keys a table at this location may have."""
    kinds: list[Any] = [model]
    for step in location:
        inner: list[Any] = []
        for kind in _models(kinds):
            if isinstance(step, str) and step in kind.model_fields:
                inner.append(kind.model_fields[step].annotation)
            elif isinstance(step, str) and _tag(kind) == step:
                inner.append(kind)
        kinds = inner if inner else kinds
    return {name for kind in _models(kinds) for name in kind.model_fields}


def _models(kinds: list[Any]) -> list[type[BaseModel]]:
    """The models inside annotations such as tuple[Axle, ...] or a union."""
    found: list[type[BaseModel]] = []
    for kind in kinds:
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            found.append(kind)
        elif typing.get_origin(kind) in (typing.Union, types.UnionType, tuple, list, typing.Annotated):
            found += _models(list(typing.get_args(kind)))
    return found


def _tag(kind: type[BaseModel]) -> str | None:
    for name in ("by", "shape"):
        if name in kind.model_fields:
            return str(typing.get_args(kind.model_fields[name].annotation)[0])
    return None
