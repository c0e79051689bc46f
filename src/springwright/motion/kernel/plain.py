"""What `motion.kernel.vectors` gives, for one vehicle and in plain Python: on a graphics processor, and where nothing is compiled."""

from __future__ import annotations

from typing import Any

import numpy as np


def low(a: Any, b: Any) -> Any:
    """Lesser of two."""
    return a if a < b else b


def high(a: Any, b: Any) -> Any:
    """Greater of two."""
    return a if a > b else b


def pick(condition: Any, a: Any, b: Any) -> Any:
    """`a` where a condition holds, else `b`."""
    return a if condition else b


def whole(x: Any) -> Any:
    """Whole part of a number that is not below nought."""
    return int(x)


def anywhere(condition: Any) -> Any:
    """Whether a condition holds."""
    return condition


def part(x: Any, _lane: Any) -> Any:
    """The number of one lane."""
    return x


def own(_lanes: Any) -> Any:
    """Number of the lane."""
    return 0


def gather(row: Any, index: Any) -> Any:
    """What a row holds at an index."""
    return row[index]


def numbers(array: Any, _lanes: Any) -> Any:
    """A row as it is."""
    return array


def scratch(count: Any, _lanes: Any) -> Any:
    """A row of `count` numbers, not cleared."""
    return np.empty(count)
