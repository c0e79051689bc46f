"""Files beside a design, such as test sheets: what they say is put into its data in place of their names."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from springwright.errors import Fault, InputError
from springwright.files import is_there, read_file
from springwright.linkage.wishbones import WheelLinkage
from springwright.parts.damper import read_test_sheet
from springwright.parts.grades import grades_in
from springwright.parts.material import Brought
from springwright.parts.sheets import read_columns, read_points
from springwright.vehicle.axle import Axle
from springwright.vehicle.faults import dotted
from springwright.vehicle.kinds import kinds_in
from springwright.vehicle.mounted import SpringMount

Said = TypeVar("Said")
DEFAULT_GRADE = str(SpringMount.model_fields["grade"].default)


@dataclass(frozen=True)
class SideFiles:
    """Reads the files that a design's data names.

    `name` is the file named in faults, `folder` is where the others are looked for. `held` takes in what each said, by its name, and says
    it again where it can be used no more, which `faults` tell; with None such a file is a fault.
    """

    name: str
    folder: Path | None = None
    held: dict[str, str] | None = None
    faults: list[str] = field(default_factory=list)

    def bring(self, data: Any) -> None:
        """Put all of it into the data.

        Raises
        ------
        InputError
            A file is not there or cannot be used, or the data says the same itself.

        """
        self._bring_grades(data)
        self._read_test_sheets(data)
        self._read_tyre_sheets(data)
        self._read_points(data)

    def _read_test_sheets(self, data: Any) -> None:
        """Put the points of every damper's test sheet into the data."""
        for i, axle in enumerate(data.get("axles", []) if isinstance(data.get("axles"), list) else []):
            damper = axle.get("damper") if isinstance(axle, dict) else None
            if not isinstance(damper, dict) or not isinstance(damper.get("test_sheet"), str):
                continue
            sheet = damper["test_sheet"]
            where = dotted(("axles", i, "damper", "test_sheet"), data)
            if "points" in damper:
                raise InputError(
                    self.name, [Fault(where, f'"{sheet}"', "the damper has points already; keep one of them")]
                )
            points = self._said(sheet, ("axles", i, "damper", "test_sheet"), data, read_test_sheet)
            damper["points"] = [[f"{speed!r} m/s", f"{force!r} N"] for speed, force in points]

    def _bring_grades(self, data: Any) -> None:
        """Put the builder's own materials in place of their names, wherever the design names them."""
        brought: dict[str, Any] = {}
        for i, file in enumerate(data.get("grades", []) if isinstance(data.get("grades"), list) else []):
            if isinstance(file, str):
                brought |= self._said(file, ("grades", i), data, grades_in)
        if brought:
            for axle in data.get("axles", []) if isinstance(data.get("axles"), list) else []:
                _name_grades(axle, {one: Brought(one, of) for one, of in brought.items()})

    def _read_tyre_sheets(self, data: Any) -> None:
        """Put the readings of every tyre's test sheet into the data."""
        for i, axle in enumerate(data.get("axles", []) if isinstance(data.get("axles"), list) else []):
            tyre = axle.get("tyre") if isinstance(axle, dict) else None
            if not isinstance(tyre, dict) or not isinstance(tyre.get("test_sheet"), str) or "readings" in tyre:
                continue
            columns = (("pressure", "pressure"), ("load", "force"), ("deflection", "length"))
            where = ("axles", i, "tyre", "test_sheet")
            rows = self._said(tyre["test_sheet"], where, data, partial(read_columns, columns=columns))
            tyre["readings"] = [[f"{p!r} Pa", f"{load!r} N", f"{x!r} m"] for p, load, x in rows]

    def _read_points(self, data: Any) -> None:
        """Put the pivot points of every axle that names a file of them into the data."""
        for i, axle in enumerate(data.get("axles", []) if isinstance(data.get("axles"), list) else []):
            for where in kinds_in(Axle, WheelLinkage):
                links = axle.get(where) if isinstance(axle, dict) else None
                if not isinstance(links, dict) or not isinstance(links.get("points"), str):
                    continue
                points = self._said(links["points"], ("axles", i, where, "points"), data, read_points)
                for point, place in points.items():
                    if point in links:
                        raise InputError(
                            self.name,
                            [
                                Fault(
                                    dotted(("axles", i, where, point), data),
                                    "",
                                    f"is in {Path(links['points']).name} too; keep one",
                                )
                            ],
                        )
                    side, _, own = point.partition(" ")
                    into = links.setdefault("right", {}) if side == "right" and own else links
                    into[own if into is not links else point] = [f"{one!r} m" for one in place]

    def _said(self, file: str, where: Any, data: Any, read: Callable[[str, str], Said]) -> Said:
        """What a file beside the design says, read from its text by `read`, which is told its bare name too."""
        path = (self.folder or Path()) / file
        try:
            if not is_there(path):
                said = "there is no such file beside the design; check the name"
                raise InputError(self.name, [Fault(dotted(where, data), f'"{file}"', said)])
            text = read_file(path)
            found = read(text, path.name)
        except InputError as fault:
            if self.held is None or file not in self.held:
                raise
            self.faults.append(f"{fault}; what it said last is used")
            return read(self.held[file], path.name)
        if self.held is not None:
            self.held[file] = text
        return found


def _name_grades(data: Any, brought: dict[str, Brought]) -> None:
    for key, value in data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ():
        if key in ("grade", "steel") and isinstance(value, str):
            data[key] = brought.get(value, value)
        else:
            _name_grades(value, brought)
    if isinstance(data, dict) and "acts" in data and "grade" not in data and DEFAULT_GRADE in brought:
        data["grade"] = brought[DEFAULT_GRADE]  # a grade of that name of one's own
