"""Letters that may not stand in a text: control characters reach terminals, drawings and pages, and signs that turn the reading round deceive."""

from __future__ import annotations

import re

# C0 but tab and line ends, DEL and C1, what turns the direction of reading, and halves of letters
_NOT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


def control(text: str) -> int | None:
    """The place of the first letter that may not stand in a text; None where there is none."""
    found = _NOT.search(text)
    return None if found is None else found.start()


def escaped(text: str) -> str:
    """A text with such letters as escapes, so that it may be shown."""
    return _NOT.sub(lambda found: ascii(found.group())[1:-1], text)
