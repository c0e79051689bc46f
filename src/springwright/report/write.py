"""Write a sizing to a file: a typeset sheet, a page, or a table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from springwright.errors import Fault, InputError
from springwright.evaluation import evaluated
from springwright.files import write_whole

if TYPE_CHECKING:
    from springwright.sizing.sheet import Sheet

ENDINGS = (".pdf", ".html", ".csv")


def check_ending(path: Path) -> None:
    """Refuse a file name whose ending names no form there is."""
    if path.suffix.lower() not in ENDINGS:
        raise InputError(str(path), [Fault("", "", f"the ending tells the form: use {', '.join(ENDINGS)}")])


@evaluated
def write(sheet: Sheet, path: Path) -> None:
    """Write the sheet in the form its ending names, whole or not at all."""
    check_ending(path)
    ending = path.suffix.lower()
    if ending == ".csv":
        from springwright.report.rows import as_csv

        write_whole(path, as_csv(sheet))
    elif ending == ".html":
        from springwright.report.page import as_html

        write_whole(path, as_html(sheet))
    else:
        from springwright.report.typeset import as_pdf

        write_whole(path, as_pdf(sheet))
