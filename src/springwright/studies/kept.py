"""A search that is kept: every design that was tried with its figures, as JSON, and read again where it is of the same search."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from springwright.errors import Fault, InputError
from springwright.files import is_there, read_file, write_whole
from springwright.studies.chunks import SweepSpec
from springwright.studies.setting import StudySetting

KEPT = 1  # format of what is kept of a search
Known = tuple[list[float], str]  # figures of a design that was tried, and why it has none


def told_apart(setting: StudySetting, spec: SweepSpec) -> str:
    """What tells one search from another: the design and the files beside it, what varies, what is sought, the ground and the seed."""
    figures = [(one.id, one.limit, one.sought) for one in setting.figures]
    return hashlib.sha256(repr((spec, figures, setting.able.road.speed)).encode()).hexdigest()


def known_before(kept: Path | None, of: str, *, resume: bool) -> dict[tuple[float, ...], Known]:
    """What the file says of this search; without `resume` nothing where it is of another, which is written over."""
    if kept is None or not (resume or is_there(kept)):
        return {}
    try:
        return _read(kept, of)
    except InputError:
        if resume:
            raise
        return {}


def _read(kept: Path, of: str) -> dict[tuple[float, ...], Known]:
    """What is kept of a search.

    Raises
    ------
    InputError
        It is of another search, or no such file.

    """
    try:
        data = json.loads(read_file(kept))
        version, held, rows = data["springwright search"], data["of"], data["tried"]
        known = {
            tuple(map(float, values)): ([float("nan") if one is None else float(one) for one in figures], str(why))
            for values, figures, why in rows
        }
    except (ValueError, KeyError, TypeError):
        raise InputError(str(kept), [Fault("", "", "holds no search; begin one without --resume")]) from None
    if version != KEPT or held != of:
        raise InputError(
            str(kept),
            [Fault("", "", "is of another search: the design, what varies, the limits or the seed differ; begin one without --resume")],
        )  # fmt: skip
    return known


def write(kept: Path, of: str, rows: Iterable[tuple[tuple[float, ...], Known]]) -> None:
    """Write what was tried, whole: each design's decisions, its figures, and why it has none [SI]."""
    tried = [
        [list(values), [one if np.isfinite(one) else None for one in figures], reason]
        for values, (figures, reason) in rows
    ]
    write_whole(kept, json.dumps({"springwright search": KEPT, "of": of, "tried": tried}))
