"""Which line of a TOML text says what stands at a place: its key, or the table that it is missing in."""

from __future__ import annotations

import re

from springwright.vehicle.faults import Location

_HEADER = re.compile(r"^\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"^\s*([\w\-.\"' ]+?)\s*=")


def line_of(text: str, at: Location) -> int:
    """The number of the line, from 1, that says what stands at a place, or else the header of the innermost table that is there; 0 for none."""
    counts: dict[tuple[str, ...], int] = {}
    best, found = -1, 0
    table: Location = ()
    place: Location
    for number, line in enumerate(text.splitlines(), start=1):
        if header := _HEADER.match(line):
            names = tuple(step.strip().strip("\"'") for step in header[2].split("."))
            if header[1] == "[[":
                counts[names] = counts.get(names, -1) + 1
                for inner in [one for one in counts if len(one) > len(names) and one[: len(names)] == names]:
                    del counts[inner]
            table = _placed(names, counts)
            place = table
        elif key := _KEY.match(line):
            place = (*table, *(step.strip().strip("\"'") for step in key[1].split(".")))
        else:
            continue
        if len(place) > best and at[: len(place)] == place:
            best, found = len(place), number
    return found


def _placed(names: tuple[str, ...], counts: dict[tuple[str, ...], int]) -> Location:
    """A header's names with the number of the entry after each that is a list of tables."""
    place: list[str | int] = []
    for k, name in enumerate(names, start=1):
        place.append(name)
        if names[:k] in counts:
            place.append(counts[names[:k]])
    return tuple(place)


def told_lines(text: str, number: int) -> str:
    """A line of a text as it is shown beside a fault; nothing for none."""
    lines = text.splitlines()
    return lines[number - 1].strip() if 0 < number <= len(lines) else ""
