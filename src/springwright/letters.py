"""Letters that may not stand in a text: control characters reach terminals, drawings and pages. What turns the reading round is shown as escapes."""

from __future__ import annotations

import re

# C0 but tab and line ends, DEL and C1, and halves of letters
_NOT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")
# The same, and what turns the direction of reading or ends a line unseen
_UNSEEN = re.compile(f"{_NOT.pattern[:-1]}\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def control(text: str) -> int | None:
    """The place of the first letter that may not stand in a text; None where there is none."""
    found = _NOT.search(text)
    return None if found is None else found.start()


def escaped(text: str) -> str:
    """A text with letters that are not seen, or deceive, as escapes, so that it may be said."""
    return _UNSEEN.sub(lambda found: ascii(found.group())[1:-1], text)
