"""What was worked out for a design, kept with whoever asked for it and thrown away with them.

    with Evaluation():
        sheet = size(file)
        proof = prove(file)  # what the sizing found is there already

Functions marked `remembered` give what they gave before for equal arguments, within the Evaluation that is entered. Without one they
work it out anew, so nothing outlives its caller and no two designs meet in a cache. What hangs on what is said by the arguments alone: a
result is found again for as long as all it was made from is the same, and for no longer.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from contextvars import ContextVar, Token, copy_context
from functools import lru_cache, wraps
from threading import Lock, RLock
from typing import Any, ParamSpec, TypeVar

Asked = ParamSpec("Asked")
Given = TypeVar("Given")
Item = TypeVar("Item")

MOST_NAMED = 1024


class Evaluation:
    """Holds what was worked out; entered by one thread at a time, and shared by those it starts with `in_threads`, which do not enter it again."""

    def __init__(self) -> None:
        self._busy, self._adding = RLock(), Lock()
        self._entered: list[Token[Evaluation | None]] = []
        self._by_work: dict[Callable[..., Any], Callable[..., Any]] = {}
        self._by_name: dict[Any, tuple[Any, Any]] = {}

    def __enter__(self) -> Evaluation:
        self._busy.acquire()
        self._entered.append(_CURRENT.set(self))
        return self

    def __exit__(self, *_: object) -> None:
        try:
            _CURRENT.reset(self._entered.pop())
        finally:
            self._busy.release()

    def remembering(self, work: Callable[..., Given], most: int) -> Callable[..., Given]:
        """`work` with the last `most` of its results kept here."""
        with self._adding:
            if work not in self._by_work:
                self._by_work[work] = lru_cache(maxsize=most)(work)
            return self._by_work[work]

    def last(self, name: Any, made_from: Any, make: Callable[[], Given]) -> Given:
        """`make()`, or what it gave the last time under this name if `made_from` is equal to what it was then."""
        known = self._by_name.get(name)
        if known is not None and known[0] == made_from:
            found: Given = known[1]
            return found
        value = make()
        if len(self._by_name) > MOST_NAMED:  # names of before add up
            self._by_name.clear()
        self._by_name[name] = (made_from, value)
        return value


_CURRENT: ContextVar[Evaluation | None] = ContextVar("evaluation", default=None)


def current() -> Evaluation:
    """The Evaluation that is entered, or a new one."""
    return _CURRENT.get() or Evaluation()


def remembered(most: int) -> Callable[[Callable[Asked, Given]], Callable[Asked, Given]]:
    """Mark a function whose last `most` results are kept in the Evaluation that is entered; its arguments can be hashed."""

    def marked(work: Callable[Asked, Given]) -> Callable[Asked, Given]:
        @wraps(work)
        def asked(*args: Asked.args, **more: Asked.kwargs) -> Given:
            evaluation = _CURRENT.get()
            if evaluation is None:
                return work(*args, **more)
            return evaluation.remembering(work, most)(*args, **more)

        return asked

    return marked


def kept_with_argument(work: Callable[[Item], Given]) -> Callable[[Item], Given]:
    """Mark a function of one object that never changes: its result is kept with the object, and goes with it."""
    name = f"_kept {work.__module__} {work.__qualname__}"

    @wraps(work)
    def asked(item: Item) -> Given:
        if name not in item.__dict__:
            item.__dict__[name] = work(item)
        found: Given = item.__dict__[name]
        return found

    return asked


def evaluated(work: Callable[Asked, Given]) -> Callable[Asked, Given]:
    """Mark a function that works within the Evaluation that is entered, or within one of its own."""

    @wraps(work)
    def asked(*args: Asked.args, **more: Asked.kwargs) -> Given:
        if _CURRENT.get() is not None:
            return work(*args, **more)
        with Evaluation():
            return work(*args, **more)

    return asked


def in_threads(work: Callable[[Item], Given], items: Iterable[Item]) -> list[Given]:
    """`work` of each item, side by side in threads that share the Evaluation and the units of who asks; in the order of the items."""
    asked = [(copy_context(), item) for item in items]
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        return list(pool.map(lambda one: one[0].run(work, one[1]), asked))
