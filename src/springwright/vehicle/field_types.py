"""What may be written at a place of the design: its kind of quantity, its choices, and how a typed text goes into the file."""

from __future__ import annotations

import re
import types
import typing
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Literal, NamedTuple

from pydantic import BaseModel

from springwright.quantities import Kind
from springwright.units import KINDS, display_system, plain, scale_of, show_temperature, unit_of
from springwright.vehicle.design import Design
from springwright.vehicle.faults import Location

Sort = Literal["quantity", "choice", "flag", "whole", "text", "temperature", "other"]
DIGITS = 6  # significant, of a value shown in a blank


@dataclass(frozen=True)
class FieldType:
    """A value of the design and what may stand there. `kind` names a quantity; `choices` are all there are."""

    value: Any
    sort: Sort
    kind: str = ""
    choices: tuple[str, ...] = ()
    optional: bool = False


def place(design: Design, location: Location) -> FieldType:
    """The place at a location; one that holds nothing yet is told by the models it would be read by.

    Raises
    ------
    LookupError
        The design has no such place.

    """
    value: Any = design
    at = _Within(Design, "", ())
    for step in location:
        model = type(value) if isinstance(value, BaseModel) else _model(_annotation(at)) if value is None else None
        if model is not None and isinstance(step, str):
            if step not in model.model_fields:
                raise LookupError(f"no field {step}")
            at = _Within(model, step, ())
            value = None if value is None else getattr(value, step)
        elif isinstance(value, dict) and isinstance(step, str):
            at = at.inner(None)
            value = value.get(step)
        elif isinstance(value, tuple) and isinstance(step, int):
            at = at.inner(step)
            value = value[step] if step < len(value) else None
        else:
            raise LookupError(f"no place {step}")
    shape = _shape_at(at)
    return shape if value is None else replace(shape, value=value)


class _Within(NamedTuple):
    """A place by the model and field it is in, and the steps further in: an entry of a list by number, one of a table by None."""

    model: type[BaseModel]
    field: str
    steps: tuple[int | None, ...]

    def inner(self, step: int | None) -> _Within:
        return self._replace(steps=(*self.steps, step))


def _annotation(at: _Within) -> Any:
    found: Any = at.model.model_fields[at.field].annotation if at.field else at.model
    for step in at.steps:
        found = _inside(found) | None if step is None else _entry(found, step)
    return found


@lru_cache(maxsize=4096)
def _shape_at(at: _Within) -> FieldType:
    metadata = at.model.model_fields[at.field].metadata if at.field and not at.steps else []
    return shape_of(_annotation(at), metadata)


def shape_of(annotation: Any, metadata: list[Any]) -> FieldType:
    """What value may stand at a place of an annotation."""
    optional = type(None) in alternatives(annotation)
    kind = _kind(annotation, metadata)
    if kind is not None:
        name = "share" if kind.name == "ratio" and kind.most == 1.0 else kind.name
        return FieldType(None, "quantity", name, optional=optional)
    if any(
        getattr(getattr(one, "func", None), "__name__", "") == "_temperature" for one in marks_of(annotation, metadata)
    ):
        return FieldType(None, "temperature", optional=optional)
    literal = [
        one for part in alternatives(annotation) if typing.get_origin(part) is Literal for one in typing.get_args(part)
    ]
    if literal and not any(isinstance(one, int) for one in literal):
        return FieldType(None, "choice", choices=tuple(map(str, literal)), optional=optional)
    bare = [part for part in alternatives(annotation) if part is not type(None)]
    if bool in bare:
        return FieldType(None, "flag", optional=optional)
    if int in bare or literal:
        return FieldType(None, "whole", choices=tuple(map(str, literal)), optional=optional)
    if str in bare:
        return FieldType(None, "text", optional=optional)
    return FieldType(None, "other", optional=optional)


def alternatives(annotation: Any) -> list[Any]:
    """The alternatives of a union, each without its annotations."""
    origin = typing.get_origin(annotation)
    if origin is typing.Annotated:
        return alternatives(typing.get_args(annotation)[0])
    if origin in (typing.Union, types.UnionType):
        return [one for part in typing.get_args(annotation) for one in alternatives(part)]
    return [annotation]


def marks_of(annotation: Any, metadata: list[Any]) -> list[Any]:
    """All that is annotated of it and of its alternatives."""
    found = list(metadata)
    if typing.get_origin(annotation) is typing.Annotated:
        found += annotation.__metadata__
        found += marks_of(typing.get_args(annotation)[0], [])
    elif typing.get_origin(annotation) in (typing.Union, types.UnionType):
        for part in typing.get_args(annotation):
            found += marks_of(part, [])
    return found


def _kind(annotation: Any, metadata: list[Any]) -> Kind | None:
    return next((one for one in marks_of(annotation, metadata) if isinstance(one, Kind)), None)


def _model(annotation: Any) -> type[BaseModel] | None:
    return next((one for one in alternatives(annotation) if isinstance(one, type) and issubclass(one, BaseModel)), None)


def _inside(annotation: Any) -> Any:
    for part in alternatives(annotation):
        if typing.get_origin(part) is dict:
            return typing.get_args(part)[-1]
    return Any


def _entry(annotation: Any, index: int) -> Any:
    for part in alternatives(annotation):
        if typing.get_origin(part) is tuple:
            inner = typing.get_args(part)
            return inner[0] if len(inner) == 2 and inner[1] is ... else inner[min(index, len(inner) - 1)]
    return Any


def shown(here: FieldType, *, exact: bool = True) -> str:
    """The figure in the display system without its unit; empty where there is none.

    `exact` gives as many digits as it has; else, for a value that was written in another unit or in none, as many as
    its kind is usually told with.
    """
    if here.value is None:
        return ""
    if here.sort == "temperature":
        return show_temperature(here.value)
    if here.sort == "flag":
        return "yes" if here.value else "no"
    if here.sort != "quantity":
        return str(here.value)
    info = KINDS[here.kind]
    usual = info.metric_decimals if display_system() == "metric" else info.imperial_decimals
    value = here.value / scale_of(here.kind)
    text = f"{value:.{DIGITS}g}" if exact else f"{float(f'{value:.{usual}f}'):.{DIGITS}g}"
    if "e" in text:
        return text
    own = len(text.partition(".")[2])
    return plain(float(text), max(own, usual) if here.kind == "frequency" else own)


_BARE_NUMBER = re.compile(r"^[-+−]?[\d\s.\u202f\u00a0]+(?:[eE][-+]?\d+)?$")


def typed(here: FieldType, text: str) -> Any:
    """What goes into the file for a typed text: a bare number takes the unit shown; nothing typed takes an optional entry out."""
    text = text.strip()
    if not text and here.optional:
        return None
    if here.sort == "quantity":
        if not _BARE_NUMBER.match(text):
            return text.replace("−", "-")
        number = re.sub(r"[\s\u202f\u00a0]", "", text).replace("−", "-")
        unit = unit_of(here.kind)
        if here.kind == "share":
            return f"{number} %"
        if not unit:
            try:
                return float(number)
            except ValueError:
                return text
        return f"{number} {_WRITTEN.get(unit, unit)}"
    if here.sort == "flag":
        return {"yes": True, "true": True, "no": False, "false": False}.get(text.lower(), text)
    if here.sort == "whole":
        try:
            return int(text)
        except ValueError:
            return text
    if here.sort == "temperature" and _BARE_NUMBER.match(text):
        return f"{text.replace('−', '-')} {'degC' if display_system() == 'metric' else 'degF'}"
    return text


_WRITTEN = {"kg·m²": "kg*m**2", "lb·ft²": "lb*ft**2", "m/s²": "m/s**2", "ft/s²": "ft/s**2"}  # as a file's author would
