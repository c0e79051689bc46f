"""The kinds of a thing that a model has a field for, so that a new kind is its own module and one field."""

from __future__ import annotations

import typing
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from pydantic import BaseModel


@lru_cache(maxsize=64)
def kinds_in(model: type[BaseModel], *bases: type) -> MappingProxyType[str, Any]:
    """Fields of a model that hold one of some base classes, with the class each holds, in the order they are written."""
    found = {}
    for name, info in model.model_fields.items():
        for part in typing.get_args(info.annotation) or (info.annotation,):
            if isinstance(part, type) and issubclass(part, bases):
                found[name] = part
    return MappingProxyType(found)
