"""A design of a front as a design file of its own, with what was changed as comments."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from springwright.errors import Fault, InputError
from springwright.studies.decisions import Decision, told_changes
from springwright.studies.front_results import Front, FrontDesign
from springwright.vehicle.edits import changed
from springwright.vehicle.file import DesignFile, files_named, parsed


def pick(result: Front, which: str) -> FrontDesign:
    """A design of a front by its number, "knee", or what it is best in, as in "best in roll gradient".

    Raises
    ------
    InputError
        There is none of that name.

    """
    found = next((one for one in result.designs if which in (str(one.number), *one.called.split(", "))), None)
    if found is None:
        names = dict.fromkeys(name for one in result.designs for name in one.called.split(", ") if name)
        said = (
            f"give a number up to {len(result.designs)}, or one of {', '.join(names)}"
            if names
            else "the front is empty"
        )
        raise InputError("--pick", [Fault(which, "", f"no such design; {said}")])
    return found


def check_place(target: Path, file: DesignFile) -> None:
    """Refuse a place from which the files that the design names would not be found.

    Raises
    ------
    InputError
        It is another folder, and the design names files beside it.

    """
    named = sorted({name for _, name in files_named(parsed(file.text))})
    if named and target.resolve().parent != Path(file.path).resolve().parent:
        raise InputError(
            str(target), [Fault("", "", f"the design names {', '.join(named)} beside it; write it to the same folder")]
        )


def written_as(file: DesignFile, one: FrontDesign, decisions: Sequence[Decision], target: Path) -> DesignFile:
    """The design file with a front's design in it, each change with what was there before as a comment; nothing is written yet."""
    import tomlkit

    changes = told_changes(decisions, one.values)
    other = changed(file, changes)
    document: Any = tomlkit.parse(other.text)
    before: Any = tomlkit.parse(file.text)
    for at, value in changes:
        if value is None:
            continue
        table, old = document, before
        for step in at[:-1]:
            table = table[step]
            old = old[step] if old is not None and _has(old, step) else None
        was = old[at[-1]] if old is not None and _has(old, at[-1]) else None
        item = table[at[-1]]
        if hasattr(item, "comment"):
            item.comment(f"traded: was {was}" if was is not None else "traded: was not given")
    head = f"# Design {one.number} of a front traded from {file.path.name}" + (f" ({one.called})" if one.called else "")
    return DesignFile(target, f"{head}\n{document.as_string()}", other.design)


def _has(table: Any, step: Any) -> bool:
    try:
        table[step]
    except (KeyError, IndexError, TypeError):
        return False
    return True
