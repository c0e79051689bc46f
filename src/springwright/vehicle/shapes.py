"""What may stand at every place of a design file, told by the models it is read by and not by a design: one need not be there yet."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, Literal

from pydantic import BaseModel, TypeAdapter, ValidationError

from springwright.quantities import Either
from springwright.vehicle.design import Design
from springwright.vehicle.faults import Location, message_of, said_at
from springwright.vehicle.field_types import FieldType, alternatives, marks_of, shape_of

TAGS = ("by", "shape")  # fields that say which of several kinds a table is
BROUGHT = ("links", "made")  # fields that a model brings in itself and no file writes
PLACE_OF_ALL = "*"  # stands in a general path for an entry of a list or of a table of names

What = Literal["value", "table", "kinds", "list", "names", "row"]


@dataclass(frozen=True)
class Shape:
    """A place: a value, a table of fields, one of several kinds of tables, a list, a row of so many, or a table by names.

    `value` is what a value may be; `kinds` are the models of a table by the tag that names each; `inner` are the annotations of
    what is in a list (one) or a row (each).
    """

    what: What
    required: bool = True
    value: FieldType | None = None
    kinds: Mapping[str, type[BaseModel]] = field(default_factory=dict, hash=False)
    inner: tuple[Any, ...] = ()
    least: int = 0  # entries that a list must have
    annotation: Any = None

    @property
    def model(self) -> type[BaseModel] | None:
        """The model of a table; None where there are several or it is none."""
        return next(iter(self.kinds.values())) if self.what == "table" else None


def shape_at(data: Any, at: Location, root: type[BaseModel] = Design) -> Shape:
    """The place at a location of a file's plain data, a design's or that of another model, which says where there are several kinds which one it is.

    Raises
    ------
    LookupError
        No such file has such a place.

    """
    here = _shape(root)
    for depth, step in enumerate(at):
        here = _within(here, said_at(data, at[:depth]), step)
    return here


def fields_in(shape: Shape, said: Any = None) -> dict[str, Shape]:
    """The fields of a table, or of that kind of table that the data is; none where it does not say."""
    model = shape.model or (shape.kinds.get(tag_of(said)) if shape.what == "kinds" else None)
    return _fields(model) if model is not None else {}


def in_place_of(shape: Shape, said: Any = None) -> Either | None:
    """Which fields of a table may be left out for which others; None where none may."""
    model = shape.model or (shape.kinds.get(tag_of(said)) if shape.what == "kinds" else None)
    found = None if model is None else model.model_config.get("json_schema_extra")
    return found if isinstance(found, Either) else None


def tag_of(said: Any) -> str:
    """Which kind a table says it is; empty where it does not."""
    if not isinstance(said, dict):
        return ""
    return next((one for name in TAGS if isinstance(one := said.get(name), str)), "")


def tag_field(shape: Shape) -> str:
    """The field by which tables of a place say which kind they are."""
    return next(name for name in TAGS if all(name in one.model_fields for one in shape.kinds.values()))


def skeleton(shape: Shape) -> Any:
    """What a place holds when it is begun: the tables, rows and lists that must be there, every value in them left empty.

    A value in a table is left out, one in a row or a list is an empty text.
    """
    if shape.what == "table":
        model = shape.model
        assert model is not None
        return {
            name: skeleton(inner)
            for name, inner in _fields(model).items()
            if inner.required and inner.what != "value" and name not in BROUGHT
        }
    if shape.what == "row":
        return [skeleton(_shape(one)) for one in shape.inner]
    if shape.what == "list":
        return [skeleton(_shape(shape.inner[0])) for _ in range(shape.least)]
    return {} if shape.what in ("kinds", "names") else ""


def entry_of(shape: Shape) -> Shape:
    """What is in a list or in a table by names."""
    return _shape(shape.inner[0])


def fault_in(shape: Shape, value: Any) -> str:
    """What is wrong with a value by itself, in the builder's words; empty where nothing is."""
    try:
        _checker(shape.annotation).validate_python(value)
    except ValidationError as error:
        return message_of(error.errors(include_url=False)[0])
    return ""


def misfit(data: Any, most: int) -> Location | None:
    """The first place that does not hold what a design has there: a number for a table, a kind that is none, a field unknown; or `most` entries are passed."""
    left = [most]
    return _misfit(data, _shape(Design), (), left)


def _misfit(said: Any, shape: Shape, at: Location, left: list[int]) -> Location | None:
    left[0] -= 1
    if left[0] < 0:
        return at
    if shape.what == "value":
        return at if isinstance(said, dict | list) else None
    if not isinstance(said, list if shape.what in ("list", "row") else dict):
        return at
    if shape.what == "row" and len(said) != len(shape.inner):
        return at
    if shape.what == "kinds" and said and not fields_in(shape, said):
        return at
    known = fields_in(shape, said) if shape.what in ("table", "kinds") else None
    for step, one in said.items() if isinstance(said, dict) else enumerate(said):
        inner = known.get(str(step)) if known is not None else _within(shape, said, step)
        if inner is None or step in BROUGHT:
            return (*at, step)
        found = _misfit(one, inner, (*at, step), left)
        if found is not None:
            return found
    return None


def all_places() -> Iterator[str]:
    """Every value that a design file can hold, as a path with a star for an entry and the tag of a kind in brackets."""
    yield from _places(_shape(Design), "")


def _places(shape: Shape, at: str) -> Iterator[str]:
    if shape.what == "value":
        yield at
    elif shape.what in ("table", "kinds"):
        for tag, model in shape.kinds.items():
            here = f"{at}[{tag}]" if shape.what == "kinds" else at
            for name, inner in _fields(model).items():
                if name not in BROUGHT:
                    yield from _places(inner, f"{here}.{name}".removeprefix("."))
    else:
        for inner in dict.fromkeys(shape.inner):
            yield from _places(_shape(inner), f"{at}.{PLACE_OF_ALL}")


def general(data: Any, at: Location) -> str:
    """The path of `all_places` that a location is one of."""
    said = ""
    here = _shape(Design)
    for depth, step in enumerate(at):
        value = said_at(data, at[:depth])
        if here.what == "kinds":
            said += f"[{tag_of(value)}]"
        star = here.what in ("list", "names", "row")
        said += f".{PLACE_OF_ALL if star else step}"
        here = _within(here, value, step)
    return said.removeprefix(".")


def _within(here: Shape, said: Any, step: str | int) -> Shape:
    if here.what in ("table", "kinds") and isinstance(step, str):
        inner = fields_in(here, said).get(step)
        if inner is not None:
            return inner
    elif (here.what == "names" and isinstance(step, str)) or (
        here.what == "list" and isinstance(step, int) and step >= 0
    ):
        return replace(_shape(here.inner[0]), required=False)
    elif here.what == "row" and isinstance(step, int) and 0 <= step < len(here.inner):
        return _shape(here.inner[step])
    raise LookupError(f"no place {step}")


@lru_cache(maxsize=256)
def _fields(model: type[BaseModel]) -> dict[str, Shape]:
    every: dict[str, Any] = dict(model.model_fields)
    return {name: _made(one.annotation, tuple(one.metadata), one.is_required()) for name, one in every.items()}


def _shape(annotation: Any) -> Shape:
    return _made(annotation, (), True)


@lru_cache(maxsize=2048)
def _made(annotation: Any, metadata: tuple[Any, ...], required: bool) -> Shape:
    whole = typing.Annotated[annotation, *metadata] if metadata else annotation
    parts = [one for one in alternatives(annotation) if one is not type(None)]
    models = [one for one in parts if isinstance(one, type) and issubclass(one, BaseModel)]
    if models:
        tags = {str(tag): one for one in models for tag in (_tags(one) or ("",))}
        return Shape("kinds" if len(models) > 1 else "table", required, kinds=types.MappingProxyType(tags if len(models) > 1 else {"": models[0]}), annotation=whole)  # fmt: skip
    for one in parts:
        origin, inner = typing.get_origin(one), typing.get_args(one)
        if origin is dict:
            return Shape("names", required, inner=(inner[1],), annotation=whole)
        if origin is tuple:
            if len(inner) == 2 and inner[1] is ...:
                least = max((_least(one) for one in marks_of(annotation, list(metadata))), default=0)
                return Shape("list", required, inner=(inner[0],), least=least, annotation=whole)
            return Shape("row", required, inner=inner, annotation=whole)
    return Shape("value", required, value=shape_of(annotation, list(metadata)), annotation=whole)


def _least(mark: Any) -> int:
    """Entries that a mark on a list asks for."""
    return max((getattr(one, "min_length", None) or 0 for one in (mark, *getattr(mark, "metadata", ()))), default=0)


def _tags(model: type[BaseModel]) -> tuple[str, ...]:
    field = next((model.model_fields[name] for name in TAGS if name in model.model_fields), None)
    return () if field is None else tuple(map(str, typing.get_args(field.annotation)))


@lru_cache(maxsize=1024)
def _checker(annotation: Any) -> TypeAdapter[Any]:
    return TypeAdapter(annotation)
