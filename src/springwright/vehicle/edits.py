"""Changes to a design file by place: values put, tables made on the way, entries added and taken out, all or none."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from springwright.errors import Fault, InputError
from springwright.vehicle.faults import Location, dotted
from springwright.vehicle.file import DesignFile

Change = tuple[Location, Any]
IN_LINE = frozenset(
    ("acts", "tank", "extent", "on_scales", "fill", "shares", "torque_split", "brake_split", "tyre_pressure")
)  # tables that a person writes on one line


@dataclass(frozen=True)
class Inserted:
    """A value that goes in front of the entry of a list that is there."""

    value: Any


def changed(file: DesignFile, changes: Sequence[Change], check: Callable[[str], None] | None = None) -> DesignFile:
    """The file with every change made, checked as a whole; comments and all that is not named stay as they are.

    Parameters
    ----------
    file : DesignFile
    changes : sequence of (location, value)
        A value as TOML has it: text in the builder's units, number, flag, list or table. None takes the entry out;
        the number one past the end of a list adds to it, and so does `Inserted` in it. Tables that are missing on the way are made.
    check : callable, optional
        Told the new text before any file that it names is read; refuses it by raising.

    Raises
    ------
    InputError
        The changed design is not valid, or there is no such place; `file` stays as it is.

    """
    document = file.document()
    for location, value in changes:
        _put(document, location, value, file.path.name)
    text = document.as_string()
    if check is not None:
        check(text)
    return file.saying(text).written_as(document)


def rewritten(text: str, changes: Sequence[Change], name: str) -> str:
    """A text in TOML with every change made, whether or not it is a design; `name` is the file named in faults.

    Raises
    ------
    InputError
        There is no such place in it.

    """
    import tomlkit

    document = tomlkit.parse(text)
    for location, value in changes:
        _put(document, location, value, name)
    return spaced(document.as_string())


def spaced(text: str) -> str:
    """A text in TOML with an empty line in front of every table, as a person leaves one."""
    if '"""' in text or "'''" in text:  # a line of a long text may look like a table's
        return text
    return _HEADER.sub(r"\1\n\n\2", text)


_HEADER = re.compile(r"(?m)^([^\n#].*)\n(?=(\[{1,2}[\w.\-]+\]{1,2}[ \t]*(?:#.*)?$))\2")


def _put(document: Any, location: Location, value: Any, name: str) -> None:
    import tomlkit
    from tomlkit.items import InlineTable

    table = document
    for at, step in enumerate(location[:-1]):
        if isinstance(step, str) and step not in table:
            if value is None:
                return
            if isinstance(location[at + 1], int):
                table[step] = tomlkit.aot() if isinstance(value, dict | Inserted) or at + 2 < len(location) else []
            else:
                inline = step in IN_LINE or isinstance(table, InlineTable)
                table[step] = tomlkit.inline_table() if inline else tomlkit.table()
        try:
            table = table[step]
        except (KeyError, IndexError, TypeError):
            raise InputError(
                name, [Fault(dotted(location, document), "", "there is no such place in the file")]
            ) from None
    last = location[-1]
    if value is None:
        if isinstance(last, int) or last in table:
            del table[last]
    elif isinstance(value, Inserted):
        table.insert(last, as_written(value.value))
    elif isinstance(last, int) and last == len(table):
        table.append(as_written(value))
    else:
        table[last] = as_written(value, str(last))


def as_written(value: Any, key: str = "") -> Any:
    """A value as it is to stand in the file: a table of its own, or on one line where a person would write it so."""
    import tomlkit

    if isinstance(value, list) and value and all(isinstance(one, dict) for one in value):
        entries = tomlkit.aot()
        for one in value:
            entries.append(as_written(one))
        return entries
    if not isinstance(value, dict):
        return value
    made: Any = tomlkit.inline_table() if key in IN_LINE else tomlkit.table()
    plain = [name for name, one in value.items() if not isinstance(one, dict) or name in IN_LINE]
    for name in (*plain, *(name for name in value if name not in plain)):  # TOML puts tables last
        made[name] = as_written(value[name], name)
    return made
