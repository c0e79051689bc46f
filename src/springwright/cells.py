"""Every CSV file that is written or read: one writer and one reader, each the other's undoing.

A cell that a spreadsheet would take as a formula is kept a text by an apostrophe before it; numbers stay numbers.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

GUARD = "'"
STARTS = ("=", "+", "-", "@", "\t", "\r", "#")  # what begins a formula, or a line that is left out


_QUOTED = re.compile('[",;\\r\\n]')


class CellWriter:
    """Rows of cells as the text of a CSV file; None is an empty cell."""

    def __init__(self) -> None:
        self._lines: list[str] = []

    def writerow(self, cells: Iterable[object]) -> None:
        """Add a row."""
        texts = ["" if cell is None else guarded(cell) if isinstance(cell, str) else str(cell) for cell in cells]
        # the library's own writer leaves a lone carriage return bare
        quoted = ['"' + text.replace('"', '""') + '"' if _QUOTED.search(text) else text for text in texts]
        self._lines.append(",".join(quoted) + "\n")

    def writerows(self, rows: Iterable[Iterable[object]]) -> None:
        """Add rows."""
        for row in rows:
            self.writerow(row)

    @property
    def text(self) -> str:
        """All of them."""
        return "".join(self._lines)


def guarded(text: str) -> str:
    """A cell as it is written."""
    bare = text.lstrip(GUARD)
    return GUARD + text if bare.startswith(STARTS) and not _number(text) else text


def unguarded(cell: str) -> str:
    """A cell as it was meant."""
    return cell[1:] if cell.startswith(GUARD) and cell.lstrip(GUARD).startswith(STARTS) else cell


def cells_of(text: str) -> list[list[str]]:
    """The rows of a CSV file by commas, or by semicolons where its first row has more of them; empty lines and those that begin with # are left out."""
    lines = list(_rows(text))
    first = lines[0] if lines else ""
    rows = csv.reader(lines, delimiter=";" if first.count(";") > first.count(",") else ",")
    return [[unguarded(cell) for cell in row] for row in rows]


def bare(text: str) -> str:
    """A figure as a spreadsheet reads it; a text as it is."""
    plain = text.replace("\N{NARROW NO-BREAK SPACE}", "").replace("−", "-")
    return plain if _number(plain) else text


def _rows(text: str) -> Iterator[str]:
    within = False  # a cell in quotes that goes on
    for line in io.StringIO(text, newline=""):
        if not within and (line.startswith("#") or not line.strip()):
            continue
        within ^= bool(line.count('"') % 2)
        yield line


def _number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


class SheetCells(NamedTuple):
    """The rows of a table as a spreadsheet writes it, put as ours are; and in a line what was understood, nothing where it was as ours are."""

    rows: list[list[str]]
    understood: str


def sheet_cells(text: str) -> SheetCells:
    """The rows of a CSV file that a spreadsheet may have written.

    Cells stand between commas, semicolons or tabs, as the header does it; a unit may stand in round brackets; empty rows, and empty columns at
    the end, are left out. A comma within a figure is read where the file leaves one reading: as a decimal comma where one such figure cannot
    be anything else ("12,5", "1.740,5"), as thousands where one such cannot be ("1,740.5"); else it stays as it is.
    """
    lines = list(_rows(text))
    first = lines[0] if lines else ""
    between = max(",;\t", key=lambda sign: (first.count(sign), sign == ","))
    rows = [[unguarded(cell) for cell in row] for row in csv.reader(lines, delimiter=between)]
    said = [] if between == "," else ["semicolons between cells" if between == ";" else "tabs between cells"]
    full = [row for row in rows if any(map(str.strip, row))]
    if len(full) < len(rows):
        said.append(f"{len(rows) - len(full)} empty rows left out")
    full, empty = _without_empty_end(full)
    if empty:
        said.append(f"{empty} empty {'column' if empty == 1 else 'columns'} left out")
    if not full:
        return SheetCells([], "")
    head = [_ROUND.sub(r"\1[\2]", cell) for cell in full[0]]
    if head != full[0]:
        said.append("units in round brackets")
    body, how = _figures(full[1:])
    said += [how] if how else []
    return SheetCells([head, *body], f"read with {', '.join(said)}" if said else "")


_ROUND = re.compile(r"^([^\[\]]*?)\(([^()\[\]]+)\)\s*$")
_DECIMAL_COMMA = re.compile(r"^[-+−]?(?:\d{1,3}(?:\.\d{3})+|\d+),(?:\d{1,2}|\d{4,}|\d{3})$")
_SURE_DECIMAL = re.compile(r"^[-+−]?(?:\d{1,3}(?:\.\d{3})+,\d+|\d+,(?:\d{1,2}|\d{4,})|0,\d+|\d{4,},\d+)$")
_THOUSANDS = re.compile(r"^[-+−]?\d{1,3}(?:,\d{3})+(?:\.\d+)?$")
_SURE_THOUSANDS = re.compile(r"^[-+−]?(?:\d{1,3}(?:,\d{3})+\.\d+|\d{1,3}(?:,\d{3}){2,})$")


def _without_empty_end(rows: list[list[str]]) -> tuple[list[list[str]], int]:
    """Rows without the columns at their end that hold nothing, and how many those were."""
    wide = max((len(row) for row in rows), default=0)
    used = max((i + 1 for row in rows for i, cell in enumerate(row) if cell.strip()), default=0)
    return [row[:used] for row in rows], wide - used


def _figures(rows: list[list[str]]) -> tuple[list[list[str]], str]:
    """Rows with the commas of their figures as ours are, and how they were read; as they are where that is not certain."""
    cells = [cell.strip() for row in rows for cell in row if "," in cell]
    decimal, thousands = (any(sure.match(cell) for cell in cells) for sure in (_SURE_DECIMAL, _SURE_THOUSANDS))
    if decimal == thousands:
        return rows, ""
    if decimal:
        plain = [
            [cell.replace(".", "").replace(",", ".") if _DECIMAL_COMMA.match(cell.strip()) else cell for cell in row]
            for row in rows
        ]
        return plain, "decimal commas"
    plain = [[cell.replace(",", "") if _THOUSANDS.match(cell.strip()) else cell for cell in row] for row in rows]
    return plain, "commas between thousands"
