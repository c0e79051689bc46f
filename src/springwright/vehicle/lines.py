"""Which line of a TOML text says what stands at a place: its key, or the table that it is missing in."""

from __future__ import annotations

import re

from springwright.vehicle.faults import Location

_HEADER = re.compile(r"^\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"^\s*([\w\-.\"' ]+?)\s*=")


class TextLines:
    """The lines of a text by what stands on them; the text is gone through once, however many places are asked for."""

    def __init__(self, text: str) -> None:
        self._lines = text.splitlines()
        self._numbers: dict[Location, int] = {}
        counts: dict[tuple[str, ...], int] = {}
        table: Location = ()
        for number, line in enumerate(self._lines, start=1):
            if header := _HEADER.match(line):
                names = tuple(step.strip().strip("\"'") for step in header[2].split("."))
                if header[1] == "[[":
                    counts[names] = counts.get(names, -1) + 1
                    for inner in [one for one in counts if len(one) > len(names) and one[: len(names)] == names]:
                        del counts[inner]
                place = table = _placed(names, counts)
            elif key := _KEY.match(line):
                place = (*table, *(step.strip().strip("\"'") for step in key[1].split(".")))
            else:
                continue
            self._numbers.setdefault(place, number)

    def of(self, at: Location) -> int:
        """The number of the line, from 1, that says what stands at a place, or else the header of the innermost table that is there; 0 for none."""
        return next((self._numbers[at[:k]] for k in range(len(at), 0, -1) if at[:k] in self._numbers), 0)

    def said(self, number: int) -> str:
        """A line as it is shown beside a fault; nothing for none."""
        return self._lines[number - 1].strip() if 0 < number <= len(self._lines) else ""


def _placed(names: tuple[str, ...], counts: dict[tuple[str, ...], int]) -> Location:
    """A header's names with the number of the entry after each that is a list of tables."""
    place: list[str | int] = []
    for k, name in enumerate(names, start=1):
        place.append(name)
        if names[:k] in counts:
            place.append(counts[names[:k]])
    return tuple(place)
