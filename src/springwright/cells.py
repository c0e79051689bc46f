"""Every CSV file that is written or read: one writer and one reader, each the other's undoing.

A cell that a spreadsheet would take as a formula is kept a text by an apostrophe before it; numbers stay numbers.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator

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
