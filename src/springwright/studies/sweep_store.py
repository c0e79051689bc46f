"""Where a sweep is put, by chunk, whole or not at all: a folder of Parquet, or one CSV in the end."""

from __future__ import annotations

import hashlib
import json
import os
from importlib import import_module
from pathlib import Path
from typing import Any

from springwright.cells import CellWriter, cells_of
from springwright.errors import Fault, InputError
from springwright.files import read_file, write_whole
from springwright.studies.chunks import Columns
from springwright.studies.crews import EXTRA
from springwright.studies.figures import ASKED
from springwright.studies.sweep_plan import SweepPlan
from springwright.units import KINDS

KEPT = 1
MANIFEST = "sweep.json"


class SweepStore:
    """Where chunks are put, each whole or not at all, and what is there already."""

    def __init__(self, target: Path, plan: SweepPlan, *, resume: bool) -> None:
        if target.suffix not in (".parquet", ".csv"):
            raise InputError(str(target), [Fault("", "", "the ending tells the form: use .parquet or .csv")])
        self.target, self.plan = target, plan
        self.parquet = target.suffix == ".parquet"
        if self.parquet:
            _pyarrow()
        self.folder = target if self.parquet else target.with_suffix(".csv.parts")
        said = {"springwright sweep": KEPT, "of": self._of(), "designs": plan.total, "chunk": plan.size}
        manifest = self.folder / f"_{MANIFEST}"
        if not resume and (target.exists() or self.folder.exists()):
            raise InputError(str(target), [Fault("", "", "is there already; --resume goes on with it, or write to another name")])  # fmt: skip
        if resume and target.exists() and not self.folder.exists():
            raise InputError(str(target), [Fault("", "", "is a finished sweep; write to another name")])
        if self.folder.exists():
            try:
                held = json.loads(read_file(manifest))
            except (ValueError, InputError):
                held = None
            if held != said:
                raise InputError(str(target), [Fault("", "", "is of another sweep: the design, what varies, what is asked, seed or chunk differ; write to another name")])  # fmt: skip
        else:
            self.folder.mkdir(parents=True)
            write_whole(manifest, json.dumps(said, indent=1))
        self.done = {int(one.stem.removeprefix("part-")) for one in self.folder.glob("part-*")}
        self.refused = sum(self._refused(one) for one in self.folder.glob("part-*"))

    def _of(self) -> str:
        rows = b"" if self.plan.rows is None else self.plan.rows.tobytes()
        return hashlib.sha256(repr(self.plan.spec).encode() + rows).hexdigest()

    def _refused(self, part: Path) -> int:
        """How many designs of a part that is there have a reason in place of figures."""
        if self.parquet:
            return sum(map(bool, _pyarrow()[1].read_table(part, columns=["why"])["why"].to_pylist()))
        return sum(bool(row[-1]) for row in cells_of(read_file(part)))

    def put(self, number: int, columns: Columns) -> None:
        """Write a chunk."""
        self.refused += sum(bool(one) for one in columns["why"])
        path = self.folder / f"part-{number:07d}{self.target.suffix}"
        if self.parquet:
            arrow, parquet = _pyarrow()
            sink = arrow.BufferOutputStream()
            parquet.write_table(arrow.table(columns), sink)
            write_whole(path, sink.getvalue().to_pybytes())
        else:
            writer = CellWriter()
            writer.writerows(zip(*columns.values(), strict=True))
            write_whole(path, writer.text)
        self.done.add(number)

    def finish(self) -> None:
        """Of a CSV, put the parts together under their names, and take them away."""
        if self.parquet:
            return
        head = CellWriter()
        units = [f"{one.field} [{KINDS[one.kind].si}]".replace(" []", "") if one.kind else one.field for one in self.plan.decisions]  # fmt: skip
        figures = [f"{one} [{ASKED[one].unit}]".replace(" []", "") for one in self.plan.spec.asked]
        head.writerow(["design", *units, *figures, "why"])
        draft = self.folder / "whole"
        with draft.open("w", encoding="utf-8") as file:
            file.write(head.text)
            for number in range(self.plan.chunks):
                file.write((self.folder / f"part-{number:07d}.csv").read_text(encoding="utf-8"))
        os.replace(draft, self.target)
        for one in self.folder.iterdir():
            one.unlink()
        self.folder.rmdir()


def _pyarrow() -> Any:
    try:
        return import_module("pyarrow"), import_module("pyarrow.parquet")
    except ImportError:
        raise InputError("--output", [Fault("", "", f"Parquet needs pyarrow, which is not there; write .csv, or {EXTRA}")]) from None  # fmt: skip
