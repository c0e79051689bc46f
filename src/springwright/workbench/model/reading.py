"""A design's text as it comes to the desk: from the disk, from a crash, from the page. Nothing outside its folder is read for it."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Literal

from springwright.errors import Fault, InputError, SpringwrightError
from springwright.evaluation import current
from springwright.files import read_file
from springwright.sizing.fitted import sized
from springwright.vehicle.faults import dotted
from springwright.vehicle.file import DesignFile, files_named, leniently, parsed
from springwright.workbench.model.unfinished import Unfinished

Accept = Literal["whole", "in kind", "anything"]


def stays_beside(text: str, path: Path) -> None:
    """Refuse a design that names a file outside its own folder: nothing is read that was not opened.

    What is no TOML names nothing; reading it says what is wrong with it.

    Raises
    ------
    InputError
        It names such a file.

    """
    folder = path.parent.resolve()

    def inside(value: str) -> bool:
        try:
            return (folder / value).resolve().is_relative_to(folder)
        except (OSError, ValueError, RuntimeError):  # no name of a file, or links in a ring
            return False

    try:
        data = parsed(text)
    except (ValueError, RecursionError, OverflowError):
        return
    for where, value in files_named(data):
        if not inside(value):
            said = "lies outside the design's folder; put the file beside the design"
            raise InputError(path.name, [Fault(dotted(where, data), f'"{value}"', said)])


def check_opens(path: Path) -> None:
    """Refuse what is neither a design nor one on its way to it, before anything is worked out.

    Raises
    ------
    SpringwrightError
        It is neither.

    """
    text = read_file(path)
    stays_beside(text, path)
    try:
        leniently(path, text)
    except SpringwrightError:
        if not Unfinished(path, text).in_kind:
            raise


def check_sized(file: DesignFile) -> None:
    """Refuse a design that cannot be sized; one that could be before, as it is now and with what it reads, is not sized again for that.

    Raises
    ------
    SpringwrightError
        It cannot.

    """
    said = repr((file.text, sorted((file.held or {}).items())))
    current().last(f"sized {hashlib.sha256(said.encode()).hexdigest()}", (), lambda: sized(file) is not None)


def as_written(
    path: Path, text: str, held: dict[str, str] | None = None, *, accept: Accept = "in kind"
) -> tuple[DesignFile | None, Unfinished | None]:
    """A text as a design, or as one on its way to it: where all it says is in kind, or anything, as what was on the desk before; or a whole one alone.

    Raises
    ------
    SpringwrightError
        It is neither.

    """
    try:
        file = leniently(path, text, held)
    except SpringwrightError:
        made = Unfinished(path, text, held)
        if accept == "whole" or (accept == "in kind" and not made.in_kind):
            raise
        return None, made
    try:
        check_sized(file)
    except SpringwrightError as fault:
        made = Unfinished(path, text, held, str(fault))
        if accept == "whole" or (accept == "in kind" and not made.fits):
            raise
        return None, made
    return file, None
