"""Changes to a design file by place: values put, tables made on the way, entries added and taken out, all or none."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from springwright.errors import Fault, InputError
from springwright.vehicle.faults import Location, dotted
from springwright.vehicle.file import DesignFile

Change = tuple[Location, Any]


def changed(file: DesignFile, changes: Sequence[Change], check: Callable[[str], None] | None = None) -> DesignFile:
    """The file with every change made, checked as a whole; comments and all that is not named stay as they are.

    Parameters
    ----------
    file : DesignFile
    changes : sequence of (location, value)
        A value as TOML has it: text in the builder's units, number, flag, list or table. None takes the entry out;
        the number one past the end of a list adds to it. Tables that are missing on the way are made.
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


def _put(document: Any, location: Location, value: Any, name: str) -> None:
    import tomlkit

    table = document
    for at, step in enumerate(location[:-1]):
        if isinstance(step, str) and step not in table:
            if value is None:
                return
            table[step] = tomlkit.aot() if isinstance(location[at + 1], int) else tomlkit.table()
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
    elif isinstance(last, int) and last == len(table):
        table.append(_as_table(value))
    elif isinstance(value, dict):
        table[last] = _as_table(value)
    else:
        table[last] = value


def _as_table(value: Any) -> Any:
    """A table of its own in the file; entries of a list of tables are such tables too."""
    import tomlkit

    if not isinstance(value, dict):
        return value
    made = tomlkit.table()
    for key, item in value.items():
        made[key] = item
    return made
