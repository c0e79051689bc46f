"""Logs of phones and recorders: CSV files with a header, read as they come, and brought to even time.

What is read is said in one line, and nothing is dropped in silence. The file itself is never changed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import Fault, InputError, QuantityError, SpringwrightError, cut
from springwright.letters import control
from springwright.units import GRAVITY, parse

Floats = NDArray[np.float64]
TIMES = ("time", "t", "seconds", "zeit", "timestamp")  # how a header calls it
LENGTHS = ("m", "mm", "cm", "km", "ft", "in")  # of a log by distance
BARE_TIME = {"ms": 1e-3, "us": 1e-6, "µs": 1e-6, "ns": 1e-9, "s": 1.0, "sec": 1.0, "min": 60.0, "": 1.0}
UNITS = {"g": GRAVITY, "m/s2": 1.0, "m/s^2": 1.0, "m/s²": 1.0, "ms-2": 1.0, "m/s**2": 1.0}  # of acceleration
LARGEST = 1 << 30  # bytes of a file that is read
LINES = 200_000  # at once
FEWEST = 8  # rows that anything can be read from
MOST_GAPS = 20.0  # times as long as its rows at their usual step, that a log may be
BEYOND = 1e9  # in SI: no sensor reads as much
MOST_NAMED = 20  # columns named in a fault
GAP = 5.0  # times the usual step, that counts as a gap
FLAT = 8  # readings alike at an end of the range, that look cut off
HEAD = re.compile(r"^\s*(?P<name>[^\[(]*?)\s*(?:[\[(]\s*(?P<unit>[^\])]*)[\])])?\s*$")
GUESS = 64  # lines looked at before the header is found


class Heading(NamedTuple):
    """A column's heading: its name, and its unit where it has one."""

    name: str
    unit: str


@dataclass(frozen=True, eq=False)
class Log:
    """Channels of a log at their own times [s]; columns as they were called, in SI by `scales`. `read` says what was understood."""

    file: str
    time: Floats
    channels: dict[str, Floats]
    read: str
    notes: tuple[str, ...] = ()

    @property
    def rate(self) -> float:
        """Readings a second, in the middle [Hz]."""
        return 1 / float(np.median(np.diff(self.time)))


class Wanted(NamedTuple):
    """A channel that is asked for: the column it stands in, the kind of its quantity, and the unit where the header has none."""

    column: str
    kind: str
    unit: str = ""


def read_log(
    path: Path, wanted: Sequence[Wanted], time: str = "", progress: Callable[[str], None] | None = None
) -> Log:
    """Read the channels asked for.

    Parameters
    ----------
    path : Path
    wanted : sequence of Wanted
        Kind "acceleration", "length", "speed" or any other kind of the units.
    time : str
        The column of time; found by its name where it is not said.

    Raises
    ------
    InputError
        It is no such file: no header, a column or unit missing, time that runs backwards, a cell that is no number.

    """
    name = path.name
    size = _size(path)
    head, cells, skipped = _heading(path)
    places = {one.name.lower(): i for i, one in enumerate(head)}
    at_time = _time_column(head, places, time, name)
    at = [_column(one, head, places, name) for one in wanted]
    for i in (at_time, *at):
        if sum(one.name.lower() == head[i].name.lower() for one in head) > 1:
            raise InputError(
                name,
                [
                    Fault(
                        f'column "{head[i].name}"',
                        "",
                        "stands in the header more than once; give one of them another name",
                    )
                ],
            )
    scales = [_scale(one, head[i], name) for one, i in zip(wanted, at, strict=True)]
    of_time, said = _time_scale(head[at_time], name)
    columns = [at_time, *at]
    parts = []
    done = 0
    for rows in _rows(path, skipped, cells, columns, len(head), name):
        parts.append(rows)
        done += len(rows)
        if progress:
            progress(f"reading {name}: {done} rows, {min(100 * done * 8 * len(head) // max(size, 1), 99)} %")
    table = np.concatenate(parts) if parts else np.zeros((0, len(columns)))
    if len(table) < FEWEST:
        raise InputError(
            name, [Fault("", f"{len(table)} rows", "are too few to read anything from; record for longer")]
        )
    return _checked(name, table, of_time, said, wanted, scales, cells)


def columns_of(path: Path) -> str:
    """What columns a log has, in a sentence; what is the matter where that cannot be told."""
    try:
        return f"Its columns: {_names(_heading(path)[0])}."
    except InputError as error:
        return str(error)


def _size(path: Path) -> int:
    try:
        size = path.stat().st_size
    except OSError as error:
        raise InputError(path.name, [Fault("", "", f"cannot be read: {error.strerror or error}")]) from None
    if not path.is_file():
        raise InputError(path.name, [Fault("", "", "is no file; name the CSV file of the log")])
    if size > LARGEST:
        raise InputError(
            path.name, [Fault("", f"{size / 1e9:.1f} GB", "is more than is read at once (1.1 GB); cut it into parts")]
        )
    return size


class Cells(NamedTuple):
    """How a file writes its cells: what stands between them, and whether decimals have a comma."""

    between: str
    comma: bool

    def values(self, line: str) -> list[str]:
        """The cells of a line."""
        return [cell.strip().strip('"') for cell in line.split(self.between)]

    def number(self, cell: str) -> float:
        """A cell as a number; a ValueError where it is none."""
        return float(cell.replace(",", ".") if self.comma else cell)


def _heading(path: Path) -> tuple[tuple[Heading, ...], Cells, int]:
    """The header, how cells are written, and how many lines come before the first row."""
    lines = []
    try:
        with path.open(encoding="utf-8-sig", errors="strict", newline=None) as file:
            for line in file:
                lines.append(line.rstrip("\n"))
                if len(lines) == GUESS:
                    break
    except UnicodeDecodeError:
        raise InputError(path.name, [Fault("", "", "is no text in UTF-8; export it as CSV")]) from None
    except OSError as error:
        raise InputError(path.name, [Fault("", "", f"cannot be read: {error.strerror or error}")]) from None
    for i in range(len(lines) - 1):
        for between in (";", "\t", ","):
            for comma in (False, True) if between != "," else (False,):
                cells = Cells(between, comma)
                names, first = cells.values(lines[i]), cells.values(lines[i + 1])
                if len(names) < 2 or len(first) < len(names) or not _numbers(cells, first[: len(names)]):
                    continue
                if _numbers(cells, names):
                    break
                if any(control(one) is not None for one in names):
                    raise InputError(path.name, [Fault("header", "", "holds a control character; is it a CSV file?")])
                return tuple(_head(one) for one in names), cells, i + 1
    raise InputError(
        path.name,
        [Fault("header", "", "none found: the first lines must name the columns, as in: time [s],acc z [m/s2]")],
    )


def _numbers(cells: Cells, row: Sequence[str]) -> bool:
    try:
        for cell in row:
            if cell:
                cells.number(cell)
    except ValueError:
        return False
    return any(row)


def _head(cell: str) -> Heading:
    match = HEAD.match(cell)
    if match is None:
        return Heading(cell.strip(), "")
    return Heading(match["name"].strip(), (match["unit"] or "").strip())


def _time_column(head: Sequence[Heading], places: dict[str, int], time: str, name: str) -> int:
    if time:
        if time.lower() not in places:
            raise _no_column(time, head, name)
        return places[time.lower()]
    found = [places[one] for one in TIMES if one in places]
    found = found or [i for i, one in enumerate(head) if one.name.lower().split(" ")[0] in TIMES]
    if not found:
        raise InputError(
            name, [Fault("header", "", f'no column of time among {_names(head)}; say which with time = "NAME"')]
        )
    return found[0]


def _column(one: Wanted, head: Sequence[Heading], places: dict[str, int], name: str) -> int:
    if one.column.lower() in places:
        return places[one.column.lower()]
    if one.column.isdigit() and 1 <= int(one.column) <= len(head):
        return int(one.column) - 1
    raise _no_column(one.column, head, name)


def _no_column(wanted: str, head: Sequence[Heading], name: str) -> InputError:
    return InputError(name, [Fault(f'column "{wanted}"', "", f"is not in the header; there are {_names(head)}")])


def _names(head: Sequence[Heading]) -> str:
    return ", ".join(f'"{cut(one.name, 40)}"' for one in head[:MOST_NAMED]) + (
        " and more" if len(head) > MOST_NAMED else ""
    )


def _scale(one: Wanted, heading: Heading, name: str) -> float:
    unit = heading.unit or one.unit
    where = f'column "{heading.name}"'
    if not unit:
        raise InputError(
            name,
            [Fault(where, "", f'has no unit; write it into the header in brackets, or say unit = "…" ({one.kind})')],
        )
    if one.kind == "acceleration" and unit.lower() in UNITS:
        return UNITS[unit.lower()]
    try:
        return parse(f"1 {unit}", one.kind)
    except (QuantityError, SpringwrightError) as error:
        raise InputError(name, [Fault(where, f"[{unit}]", str(error))]) from None


def _time_scale(heading: Heading, name: str) -> tuple[float, str]:
    unit = heading.unit or next((part for part in heading.name.lower().split("_")[1:] if part in BARE_TIME), "")
    if heading.name.lower() == "distance" and unit.lower() in LENGTHS:
        return parse(f"1 {unit}", "length"), unit
    if unit.lower() not in BARE_TIME:
        raise InputError(
            name,
            [Fault(f'column "{heading.name}"', f"[{unit}]", "is no unit of time read here; use s, ms, us, ns or min")],
        )
    return BARE_TIME[unit.lower()], unit or "s, as none is said"


def _rows(path: Path, skipped: int, cells: Cells, columns: Sequence[int], width: int, name: str) -> Iterator[Floats]:
    """The columns asked for, some rows at a time; a cell that is empty is nan."""
    with path.open(
        encoding="utf-8-sig", errors="replace", newline=None
    ) as file:  # what is no letter is no number either
        for _ in range(skipped):
            next(file)
        number = skipped
        while True:
            lines = [line for line, _ in zip(file, range(LINES), strict=False)]
            if not lines:
                return
            yield _block(lines, number, cells, columns, width, name)
            number += len(lines)


def _block(lines: Sequence[str], number: int, cells: Cells, columns: Sequence[int], width: int, name: str) -> Floats:
    try:  # a block without gaps is read many times as quickly
        return np.loadtxt(
            (line.replace(",", ".") for line in lines) if cells.comma else lines,
            delimiter=cells.between,
            usecols=columns,
            ndmin=2,
            comments=None,
        )
    except ValueError:
        pass
    rows = []
    for k, line in enumerate(lines):
        if not line.strip():
            continue
        row = cells.values(line)
        if len(row) < width and any(column >= len(row) for column in columns):
            raise InputError(name, [Fault(f"line {number + k + 1}", line.strip(), f"has {len(row)} cells of {width}")])
        try:
            rows.append([cells.number(row[column]) if row[column] else np.nan for column in columns])
        except ValueError:
            raise InputError(
                name,
                [Fault(f"line {number + k + 1}", line.strip(), "holds a cell that is no number; mend or empty it")],
            ) from None
    return np.array(rows, dtype=float).reshape(-1, len(columns))


def _checked(
    name: str, table: Floats, of_time: float, said: str, wanted: Sequence[Wanted], scales: Sequence[float], cells: Cells
) -> Log:
    time = table[:, 0] * of_time
    if not np.isfinite(time).all():
        bad = int(np.flatnonzero(~np.isfinite(time))[0])
        raise InputError(name, [Fault(f"row {bad + 1}", "", "has no time; take the row out")])
    steps = np.diff(time)
    if np.any(steps < 0):
        bad = int(np.flatnonzero(steps < 0)[0])
        raise InputError(
            name,
            [
                Fault(
                    f"row {bad + 2}", f"{time[bad + 1]:g} s",
                    f"time runs backwards here, from {time[bad]:g} s; sort the rows, or cut the log where it was begun anew",
                )
            ],
        )  # fmt: skip
    notes = []
    keep = np.concatenate([[True], steps > 0])
    if not keep.all():
        notes.append(f"{name}: {int((~keep).sum())} rows at the time of the row before are left out")
    channels = {}
    for k, (one, scale) in enumerate(zip(wanted, scales, strict=True)):
        values = table[:, k + 1] * scale
        lost = ~np.isfinite(values) | (np.abs(values) > BEYOND)
        if lost.any():
            if lost.mean() > 0.2:
                raise InputError(
                    name,
                    [Fault(f'column "{one.column}"', "", f"{lost.mean():.0%} of its cells are empty or no number")],
                )
            notes.append(
                f'{name}: in "{one.column}" {_cells(int(lost.sum()))} empty or no figure, and filled in from the neighbours'
            )
            values[lost] = np.interp(time[lost], time[~lost], values[~lost])
        if one.kind in ("acceleration", "length") and (flat := _cut_off(values)):
            notes.append(f'{name}: "{one.column}" {flat}: the sensor\'s range was too small there')
        channels[one.column] = values[keep]
    time = time[keep]
    if len(time) < FEWEST:
        raise InputError(name, [Fault("time", f"{time[0]:g} s", "hardly moves: is it the right column?")])
    usual = float(np.median(np.diff(time)))
    wide = np.flatnonzero(np.diff(time) > GAP * usual)
    if time[-1] - time[0] > MOST_GAPS * usual * len(time):
        far = int(np.argmax(np.diff(time)))
        raise InputError(
            name,
            [
                Fault(
                    f"row {far + 2}",
                    f"{time[far + 1]:g} s",
                    f"time jumps here by {np.diff(time)[far]:.3g} s; cut the log where it was begun anew",
                )
            ],
        )
    if len(wide):
        longest = int(wide[np.argmax(np.diff(time)[wide])])
        notes.append(
            f"{name}: {len(wide)} {'gap' if len(wide) == 1 else 'gaps'}, the longest {np.diff(time)[longest]:.3g} s at {time[longest] - time[0]:.3g} s; across them straight lines are drawn"
        )
    between = {";": "semicolons", "\t": "tabs", ",": "commas"}[cells.between]
    columns = ", ".join(f'"{one.column}" as {one.kind}' for one in wanted)
    read = (
        f"{name}: {len(time)} rows by {between}{' with decimal commas' if cells.comma else ''}, time in {said}, "
        f"{1 / usual:.4g} a second, {time[-1] - time[0]:.4g} s; {columns}"
    )
    return Log(name, time - time[0], channels, read, tuple(notes))


def _cells(count: int) -> str:
    return "1 cell is" if count == 1 else f"{count} cells are"


def _cut_off(values: Floats) -> str:
    """Whether a channel lies flat at its own greatest or least for long, as one does that was cut off."""
    if np.ptp(values) == 0:
        return "never changes"
    for end, word in ((values.max(), "most"), (values.min(), "least")):
        at = np.concatenate([[0], (values == end).astype(int), [0]])
        turns = np.flatnonzero(np.diff(at))
        if len(turns) and int((turns[1::2] - turns[::2]).max()) >= FLAT:
            return f"lies flat at its {word}"
    return ""


def even(log: Log, channel: str, rate: float | None = None) -> tuple[float, Floats]:
    """A channel at even steps [s], straight between its readings."""
    step = 1 / (rate or log.rate)
    count = int(log.time[-1] / step) + 1
    return step, np.interp(step * np.arange(count), log.time, log.channels[channel])
