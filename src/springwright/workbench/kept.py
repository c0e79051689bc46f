"""What a section worked out last, kept while what it was worked out from is the same."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

Made = TypeVar("Made")
MOST = 1024
_known: dict[tuple[str, str], tuple[Any, Any]] = {}


def kept(sheet: str, what: str, made_from: Any, make: Callable[[], Made]) -> Made:
    """`make()`, or what it gave the last time if `made_from` is equal to what it was then."""
    key = (sheet, what)
    if key in _known and _known[key][0] == made_from:
        found: Made = _known[key][1]
        return found
    value = make()
    if len(_known) > MOST:
        _known.clear()
    _known[key] = (made_from, value)
    return value
