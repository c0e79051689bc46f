"""A field named as builders do, "axles.front.target.frequency", and where it stands; `*` stands for every entry of a list."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from springwright.vehicle.design import Design
from springwright.vehicle.faults import Location


def located(design: Design, field: str) -> tuple[Location, ...]:
    """Every place that a field names.

    Raises
    ------
    LookupError
        The design has no such place: the message says how far the name leads, and what there is.

    """
    return tuple(_within(design, field.strip().split("."), ()))


def _within(value: Any, steps: list[str], at: Location) -> list[Location]:
    if not steps:
        return [at]
    step, rest = steps[0], steps[1:]
    if isinstance(value, tuple):
        if step == "*":
            return [one for i in range(len(value)) for one in _within(value[i], rest, (*at, i))]
        for count in range(1, len(steps) + 1):  # a name may hold dots itself
            name = ".".join(steps[:count])
            for i, entry in enumerate(value):
                if name == getattr(entry, "name", None):
                    return _within(entry, steps[count:], (*at, i))
        if step.isdigit() and 0 < int(step) <= len(value):  # a number, where no entry is called so
            return _within(value[int(step) - 1], rest, (*at, int(step) - 1))
        names = ", ".join(getattr(entry, "name", str(i + 1)) for i, entry in enumerate(value)) or "none"
        raise LookupError(f'no "{step}" in {_said(at)}; there are {names}')
    if isinstance(value, BaseModel):
        if step not in type(value).model_fields:
            raise LookupError(f'no "{step}" in {_said(at)}; there are {", ".join(type(value).model_fields)}')
        inner = getattr(value, step)
        if inner is None and rest:
            raise LookupError(f"{_said((*at, step))} is not given")
        return _within(inner, rest, (*at, step))
    if isinstance(value, dict):
        return _within(value.get(step), rest, (*at, step))
    raise LookupError(f"{_said(at)} holds no fields")


def _said(at: Location) -> str:
    return ".".join(str(one + 1) if isinstance(one, int) else one for one in at) or "the design"


def put(data: Any, location: Location, value: Any) -> Any:
    """Plain data with a value at a place, None taking it out; what is not on the way is shared, and nothing given is changed."""
    if not location:
        return value
    step, rest = location[0], location[1:]
    if isinstance(step, int):
        entries = list(data)
        if not rest and step == len(entries):
            return [*entries, value]
        entries[step] = put(entries[step], rest, value)
        return entries
    made = dict(data or {})
    if not rest and value is None:
        made.pop(step, None)
    elif rest or value is not None:
        made[step] = put(made.get(step), rest, value)
    return made
