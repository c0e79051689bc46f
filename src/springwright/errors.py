"""What can go wrong, said for a builder.

    SpringwrightError          any fault a builder can mend; `str()` is the whole message
    +-- QuantityError          a text that is not the quantity wanted
    +-- InputError             one or more faults in a file the builder wrote
    +-- UnsolvedError          a calculation that has no answer, and why

A `Fault` is one line of an `InputError`: file, field path, value, what is wrong and what to do.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass

from springwright.letters import escaped


class SpringwrightError(Exception):
    """Any fault a builder can mend. The command line prints it and leaves with code 2."""


class QuantityError(SpringwrightError, ValueError):
    """A text with a missing, unknown or wrong unit, or no number in it."""


class UnsolvedError(SpringwrightError):
    """A calculation that found no answer."""


class FieldFault(ValueError):
    """A fault found while reading a model, `path` being the way to the field from that model."""

    def __init__(self, path: tuple[str | int, ...], message: str) -> None:
        super().__init__(message)
        self.path = path
        self.message = message


class NoneFitsError(FieldFault):
    """What was left out of a part cannot be found: nothing of its kind does what is asked, and the message says what would."""


@contextlib.contextmanager
def within(*path: str | int) -> Iterator[None]:
    """Put `path` in front of the path of any FieldFault raised inside."""
    try:
        yield
    except FieldFault as fault:
        raise FieldFault((*path, *fault.path), fault.message) from None


@dataclass(frozen=True)
class Fault:
    """One thing to mend: where it stands, what was written there, and what would be right.

    `missing`: nothing is there yet. `line` is the line of the file where it stands, or where it would, and `text` what that says; 0 where it is not known.
    """

    path: str
    value: str
    message: str
    missing: bool = False
    line: int = 0
    text: str = ""

    def __str__(self) -> str:
        written = f" = {cut(self.value)}" if self.value else ""
        message = escaped(self.message)
        return f"{cut(self.path, LONGEST_PATH)}{written}: {message}" if self.path else message


MOST_TOLD = 20  # faults of one file
LONGEST_ECHO, LONGEST_PATH = 80, 200  # letters of what a builder wrote that are said back


def cut(text: str, most: int = LONGEST_ECHO) -> str:
    """A text as it is said back: no longer than so many letters, control characters as escapes."""
    text = escaped(text)
    return text if len(text) <= most else f"{text[: most - 1]}…"


class InputError(SpringwrightError):
    """Faults in one file the builder wrote."""

    def __init__(self, file: str, faults: list[Fault]) -> None:
        self.file = file
        self.faults = faults
        name = cut(file, LONGEST_PATH)
        lines = [f"{name}: {fault}" for fault in faults[:MOST_TOLD]]
        if len(faults) > MOST_TOLD:
            lines.append(f"{name}: and {len(faults) - MOST_TOLD} more like these")
        super().__init__("\n".join(lines))
