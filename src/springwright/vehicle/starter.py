"""Starting files: a commented blank, or one of the invented demos with its catalogue."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from pathlib import Path

from springwright.errors import Fault, InputError
from springwright.files import is_there, write_whole

CATALOGUE = "springs.csv"


def start(file: Path, demo: str | None, *, over: bool = False) -> list[Path]:
    """Write a starting design, and for a demo the catalogue it names if there is none beside it; gives what was written.

    Raises
    ------
    InputError
        The file is there already and `over` was not asked for.

    """
    text = (files("springwright") / "demos" / f"{demo or 'start'}.toml").read_text(encoding="utf-8")
    if is_there(file) and not over:
        raise InputError(
            str(file), [Fault("", "", "is there already; name another file, or say --force to write over it")]
        )
    written = [file]
    write_whole(file, text)
    beside = file.parent / CATALOGUE
    if tomllib.loads(text).get("catalogue") == CATALOGUE and not is_there(beside):
        write_whole(beside, (files("springwright") / "demos" / CATALOGUE).read_text(encoding="utf-8"))
        written.append(beside)
    return written
