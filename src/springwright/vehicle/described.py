"""Every field of the design file described: what it means, what it holds, its bounds and default, an example, and what is usual for it."""

from __future__ import annotations

import typing
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from importlib import resources
from typing import Any

from pydantic import BaseModel

from springwright.cells import cells_of
from springwright.errors import Fault, InputError
from springwright.quantities import Kind
from springwright.reference.shelf import ShelfTopic, beside
from springwright.results import Result
from springwright.units import KINDS, display_system, pretty, told
from springwright.vehicle.design import Design
from springwright.vehicle.usual import RANGES


@dataclass(frozen=True)
class DescribedField(Result):
    """A field by its path, such as "axles.tyre.rate" (entries of lists are left out), and all that is told of it; `within`: as what of several kinds."""

    path: str
    within: str
    meaning: str
    holds: str
    bounds: str = ""
    default: str = ""
    required: bool = False
    example: str = ""
    usual: str = ""
    topic: str = ""


@dataclass(frozen=True)
class DescribedFields(Result):
    """The fields that were asked for."""

    fields: tuple[DescribedField, ...]


def meaning(model: type[BaseModel], field: str) -> str:
    """What a field of a model means.

    Raises
    ------
    LookupError
        It is not described.

    """
    meanings = _meanings()
    for name in (*(f"{one.__name__}.{field}" for one in model.__mro__), f"*.{field}"):
        if name in meanings:
            return meanings[name]
    raise LookupError(f"{model.__name__}.{field} is not described in fields.csv")


@lru_cache(maxsize=1)
def _meanings() -> dict[str, str]:
    rows = cells_of((resources.files(__package__) / "fields.csv").read_text(encoding="utf-8"))[1:]
    return {row[0]: row[1] for row in rows}


def described_fields() -> tuple[DescribedField, ...]:
    """Every field of a design file, outermost first, figures told in the units that are shown."""
    return _described(display_system())


@lru_cache(maxsize=2)
def _described(_: str) -> tuple[DescribedField, ...]:
    """The same for a system of units that is shown: the models are gone through once for each."""
    found: list[DescribedField] = []
    _look(Design, (), found, ())
    return tuple(found)


@lru_cache(maxsize=1)
def known_paths() -> frozenset[str]:
    """The path of every field of a design file."""
    return frozenset(one.path for one in described_fields())


def described_field(path: str) -> DescribedField | None:
    """The field of a path, entries of lists left out; None where there is none."""
    return next((one for one in described_fields() if one.path == path), None)


def fields_named(name: str) -> tuple[DescribedField, ...]:
    """The fields of a path, or whose path ends in it; indices and names of entries may stand in it.

    Raises
    ------
    InputError
        There are none; the message offers one that is spelled nearly so.

    """
    wanted = ".".join(
        step for step in name.strip().replace("[", ".").replace("]", "").split(".") if step and not step.isdigit()
    )
    every = described_fields()
    exact = [one for one in every if one.path == wanted]
    if exact:
        inner = [one for one in every if one.path.startswith(f"{wanted}.") and "." not in one.path[len(wanted) + 1 :]]
        return tuple(exact + inner)
    ending = [one for one in every if one.path.endswith(f".{wanted}")]
    if ending:
        return tuple(ending)
    last = wanted.rpartition(".")[2]
    words = dict.fromkeys(part for one in every for part in (one.path, one.path.rpartition(".")[2]))
    near = get_close_matches(wanted, words, 1, 0.6) or get_close_matches(last, words, 1, 0.6)
    said = f'; did you mean "{near[0]}"?' if near else ""
    raise InputError("schema", [Fault(name, "", f"is no field of the design file{said}")])


def described_schema() -> dict[str, Any]:
    """The JSON Schema of the design file with every field described."""
    made = Design.model_json_schema()
    known = {one.__name__: one for one in models()}
    for name, part in (("Design", made), *made.get("$defs", {}).items()):
        for field, held in part.get("properties", {}).items():
            model = known.get(name)
            if model is None or field not in model.model_fields:
                continue
            more = held.get("description")
            said = meaning(model, field)
            said = f"{said[0].upper()}{said[1:]}."
            held["description"] = f"{said} {more}" if more else said
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **made}


def models(root: type[BaseModel] = Design) -> list[type[BaseModel]]:
    """Every table a design file, or another one read, may have, outermost first."""
    found: list[type[BaseModel]] = []

    def look(annotation: Any) -> None:
        if isinstance(annotation, type) and issubclass(annotation, BaseModel):
            if annotation not in found:
                found.append(annotation)
                for name, info in annotation.model_fields.items():
                    if name != "links":  # put in from the axle, never written
                        look(info.annotation)
            return
        for part in typing.get_args(annotation):
            look(part)

    look(root)
    return found


def holds(annotation: Any, metadata: list[Any]) -> tuple[str, str]:
    """What a key holds in words, and its bounds."""
    kinds = list(dict.fromkeys(one for one in _marks(annotation, metadata) if isinstance(one, Kind)))
    many = "list of " if tuple in _origins(annotation) else ""
    if len(kinds) > 1:
        return f"rows of {', '.join(_kind(one) for one in kinds)}", ""
    if kinds:
        kind = kinds[0]
        ends = (("over", kind.above), ("from", kind.least), ("to", kind.most))
        return f"{many}{_kind(kind)}", ", ".join(f"{word} {bound:g}" for word, bound in ends if bound is not None)
    names = [part.__name__ for part in _bare(annotation) if part is not type(None) and isinstance(part, type)]
    choices = [
        repr(one)
        for part in _bare(annotation)
        if typing.get_origin(part) is typing.Literal
        for one in typing.get_args(part)
    ]
    words = {"str": "text", "bool": "true or false", "int": "whole number", "float": "number", "dict": "table"}
    told_as = " or ".join(dict.fromkeys(words.get(name, name) for name in names)) or ("one of" if choices else "value")
    return (
        (f"{many}one of {', '.join(choices)}", "") if told_as == "one of" else (f"{many}{told_as}", ", ".join(choices))
    )


def kind_of(annotation: Any, metadata: list[Any]) -> Kind | None:
    """The kind of quantity that a key holds; None where it holds none or several."""
    kinds = list(dict.fromkeys(one for one in _marks(annotation, metadata) if isinstance(one, Kind)))
    return kinds[0] if len(kinds) == 1 else None


def default_said(value: Any) -> str:
    """A default as it reads."""
    if value in (None, (), "") or isinstance(value, BaseModel):
        return "none"
    return f"{value:g}" if isinstance(value, float) else str(value).lower() if isinstance(value, bool) else str(value)


def _look(
    model: type[BaseModel], path: tuple[str, ...], found: list[DescribedField], over: tuple[type[BaseModel], ...]
) -> None:
    for name, info in model.model_fields.items():
        if name == "links":
            continue
        here = (*path, name)
        dotted = ".".join(here)
        held, bounds = holds(info.annotation, list(info.metadata))
        kind = kind_of(info.annotation, list(info.metadata))
        topic, usual = beside(dotted), _usual(dotted)
        found.append(
            DescribedField(
                dotted, model.__name__, meaning(model, name), held, bounds, "" if info.is_required() else default_said(info.default), info.is_required(),
                KINDS[kind.name].example if kind is not None else "", _span(topic) if topic is not None else usual, topic.name if topic is not None else "",
            )
        )  # fmt: skip
        for inner in _inside(info.annotation):
            if inner not in over:
                _look(inner, here, found, (*over, model))


def _usual(dotted: str) -> str:
    """The range past which an entry is called out of the ordinary; nothing where it is held against none."""
    for pattern, usual in RANGES.items():
        if pattern.replace(".*", "") == dotted:
            return f"{told(usual.least, usual.kind)} to {told(usual.most, usual.kind)}"
    return ""


def _span(topic: ShelfTopic) -> str:
    rows = [one for one in topic.rows if one.low > 0] or topic.rows
    low, high = min(rows, key=lambda one: one.low), max(rows, key=lambda one: one.high)
    return (
        f"{topic.usual(low)} ({low.what}) to {topic.usual(high)} ({high.what})" if low is not high else topic.usual(low)
    )


def _inside(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type):
        return [annotation] if issubclass(annotation, BaseModel) else []
    return [one for part in typing.get_args(annotation) for one in _inside(part)]


def _kind(one: Kind) -> str:
    info = KINDS[one.name]
    return f"{info.words} [{pretty(info.si)}]" if info.si else info.words


def _origins(annotation: Any) -> set[Any]:
    return {typing.get_origin(annotation)}.union(*(_origins(part) for part in typing.get_args(annotation)))


def _marks(annotation: Any, metadata: list[Any]) -> list[Any]:
    found = list(metadata)
    if typing.get_origin(annotation) is typing.Annotated:
        found += annotation.__metadata__
    for part in typing.get_args(annotation):
        found += _marks(part, [])
    return found


def _bare(annotation: Any) -> list[Any]:
    origin = typing.get_origin(annotation)
    if origin is typing.Literal or origin is None:
        return [annotation]
    if origin is dict:
        return [dict]
    return [one for part in typing.get_args(annotation) for one in _bare(part)]
