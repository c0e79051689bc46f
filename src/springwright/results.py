"""Results: frozen dataclasses of SI values, each with its unit beside it, as JSON and as a JSON Schema.

A field made by `si("N/m")` holds an SI float (or None where it is not known); in JSON it becomes
`{"value": 35691.0, "unit": "N/m"}`. Everything else is written as it stands.
"""

from __future__ import annotations

import dataclasses
import math
import types
import typing
from typing import Any, cast

PRACTICE = "common practice, no source"  # where a figure that is nobody's in print comes from


def si(unit: str, default: Any = dataclasses.MISSING) -> Any:
    """A dataclass field holding an SI value, or a tuple of them, in `unit`."""
    return dataclasses.field(default=default, metadata={"unit": unit})


KEPT = {"kept": True}  # metadata of a field for the program's own use, such as a law: not written as JSON


def _written(kind: Any) -> list[Any]:
    return [f for f in dataclasses.fields(kind) if not f.metadata.get("kept")]


class Result:
    """A frozen dataclass that can be written as JSON."""

    def to_json(self) -> dict[str, Any]:
        """Plain data with the unit beside each value; stable field names, SI throughout."""
        return cast("dict[str, Any]", _plain(self))

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """The JSON Schema of `to_json()`."""
        definitions: dict[str, Any] = {}
        root = _schema(cls, definitions)
        return {"$schema": "https://json-schema.org/draft/2020-12/schema", **root, "$defs": definitions}


def _plain(value: Any, unit: str | None = None) -> Any:
    if unit is not None:
        return {"value": _plain(value), "unit": unit}
    if dataclasses.is_dataclass(value):
        return {f.name: _plain(getattr(value, f.name), f.metadata.get("unit")) for f in _written(value)}
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if hasattr(value, "tolist"):  # numpy scalars and arrays
        return _plain(value.tolist())
    return value


def _schema(kind: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    if dataclasses.is_dataclass(kind):
        name = cast("type", kind).__name__
        if name not in definitions:
            definitions[name] = {}
            hints = typing.get_type_hints(kind)
            fields = _written(kind)
            definitions[name] = {
                "type": "object",
                "description": (kind.__doc__ or "").splitlines()[0],
                "properties": {f.name: _field(hints[f.name], f.metadata.get("unit"), definitions) for f in fields},
                "required": [f.name for f in fields],
                "additionalProperties": False,
            }
        return {"$ref": f"#/$defs/{name}"}
    origin, arguments = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        return {"anyOf": [_schema(one, definitions) for one in arguments]}
    if origin is typing.Literal:
        return {"enum": list(arguments)}
    if origin is tuple and arguments[-1] is not ...:
        return {"type": "array", "prefixItems": [_schema(one, definitions) for one in arguments], "items": False}
    if origin in (tuple, list):
        return {"type": "array", "items": _schema(arguments[0], definitions)}
    if origin is dict:
        return {"type": "object", "additionalProperties": _schema(arguments[1], definitions)}
    if kind is Any:
        return {}
    simple = {float: ["number", "null"], int: "integer", str: "string", bool: "boolean", type(None): "null"}
    return {"type": simple[kind]}


def _field(kind: Any, unit: str | None, definitions: dict[str, Any]) -> dict[str, Any]:
    value = _schema(kind, definitions)
    if unit is None:
        return value
    return {
        "type": "object",
        "properties": {"value": value, "unit": {"const": unit}},
        "required": ["value", "unit"],
        "additionalProperties": False,
    }


Word = typing.Literal["met", "close", "not met", "not known"]
CLOSE = 0.05  # margin, as a share of the limit, within which "met" is only "close"; our own choice


@dataclasses.dataclass(frozen=True)
class Judged(Result):
    """A figure held against a limit: the limit's source, the margin and a word for it."""

    measure: str
    value: float | None
    sense: typing.Literal["at most", "at least"]
    limit: float | None
    unit: str
    kind: str
    source: str
    margin: float | None
    word: Word
    where: str = ""
    id: str = ""

    @classmethod
    def of(
        cls,
        measure: str,
        value: float | None,
        sense: typing.Literal["at most", "at least"],
        limit: float | None,
        *,
        unit: str,
        kind: str,
        source: str,
        where: str = "",
        id: str,  # noqa: A002 what it is
    ) -> typing.Self:
        """Judge `value` against `limit`; either being None makes it not known. `kind` says how it is displayed [SI].

        `id` is what the program knows the measure by, whatever its words say of axle, state or size.
        """
        if value is not None and math.isnan(value):
            value = None
        if value is None or limit is None:
            return cls(measure, value, sense, limit, unit, kind, source, None, "not known", where, id)
        margin = (limit - value) if sense == "at most" else (value - limit)
        scale = abs(limit) if limit else 1.0
        word: Word = "not met" if margin < 0 else "close" if margin < CLOSE * scale and limit else "met"
        return cls(measure, value, sense, limit, unit, kind, source, margin, word, where, id)
