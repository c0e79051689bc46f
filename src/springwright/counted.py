"""What is told of long work whose steps are alike: a text that knows how many are done, so that who shows it can say how long is left."""

from __future__ import annotations

from typing import Any


class CountedStep(str):
    """A word on what is being done, with `done` of `of` steps behind it."""

    __slots__ = ("done", "of")
    done: int
    of: int

    def __new__(cls, text: str, done: int, of: int) -> CountedStep:
        """A text, and how far the work is."""
        made = super().__new__(cls, text)
        made.done, made.of = done, of
        return made

    def __reduce__(self) -> tuple[Any, ...]:
        return CountedStep, (str(self), self.done, self.of)


def left(done: int, of: int, passed: float) -> float | None:
    """Time that is left [s] after so much has passed; none where nothing is done yet."""
    return passed * (of - done) / done if done else None
