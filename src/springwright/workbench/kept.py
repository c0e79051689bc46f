"""What a section worked out last, kept with its sheet while what it was worked out from is the same."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

Made = TypeVar("Made")
MOST = 1024
Known = dict[str, tuple[Any, Any]]  # by what it is: what it was made from, and what came of it


def kept(known: Known, what: str, made_from: Any, make: Callable[[], Made]) -> Made:
    """`make()`, or what it gave the last time if `made_from` is equal to what it was then."""
    if what in known and known[what][0] == made_from:
        found: Made = known[what][1]
        return found
    value = make()
    if len(known) > MOST:  # names of before add up
        known.clear()
    known[what] = (made_from, value)
    return value
