"""A design that wants values before it can be worked out: its text, what is still empty, and what is to be mended."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from springwright.errors import Fault
from springwright.vehicle.faults import Location, said_at
from springwright.vehicle.file import faults_in, parsed
from springwright.vehicle.formats import FORMAT
from springwright.vehicle.mounted import SpringMount
from springwright.vehicle.shapes import (
    BROUGHT,
    Shape,
    fault_in,
    fields_in,
    in_place_of,
    misfit,
    shape_at,
    tag_field,
    tag_of,
)
from springwright.vehicle.side_files import SideFiles

MOST_ENTRIES = 5_000  # of an unfinished design: one from elsewhere cannot stall the page


@dataclass(frozen=True)
class Unfinished:
    """A text in TOML on its way to a design; `held` is what the files beside it said when they were last read.

    `unsized` is why it cannot be sized, where nothing else is wanted.
    """

    path: Path
    text: str
    held: dict[str, str] | None = None
    unsized: str = ""

    @property
    def data(self) -> dict[str, Any]:
        """What the text says."""
        return parsed(self.text)

    @cached_property
    def empty(self) -> tuple[Location, ...]:
        """Every blank that must be written in, in the order of the file."""
        found = _empty(self.data, shape_at(self.data, ()), ())
        return tuple(dict.fromkeys([*found, *_by_others(self.data)]))

    @cached_property
    def to_mend(self) -> tuple[tuple[Location, Fault], ...]:
        """What does not agree with something else, once nothing that it hangs on is empty."""
        found = faults_in(self.text, self.path.name, SideFiles(self.path.name, self.path.parent, dict(self.held or {})))
        kept = tuple((at, one) for at, one in found if not at or at not in self._waiting)
        if not found and self.unsized:
            return (((), Fault("", "", self.unsized)),)
        return kept

    @cached_property
    def fits(self) -> bool:
        """Whether it is a design at all: every table, list and value where one has such, in this format, and no more of them than a page can show."""
        try:
            data = self.data
            return (
                data.get("format") == FORMAT
                and isinstance(data.get("vehicle"), dict)
                and misfit(data, MOST_ENTRIES) is None
            )
        except (ValueError, RecursionError, OverflowError):  # no TOML
            return False

    @cached_property
    def in_kind(self) -> bool:
        """Whether every value that is there is one of its kind by itself, so that only empty blanks and agreements are wanted."""
        if not self.fits:
            return False
        for at, _ in self.to_mend:
            if not at and not self.unsized:
                return False
            shape, said = shape_at(self.data, at), said_at(self.data, at)
            if shape.what == "value" and said not in (None, "") and fault_in(shape, said):
                return False
        return True

    @cached_property
    def _waiting(self) -> frozenset[Location]:
        """Every place that holds an empty blank."""
        return frozenset(at[:depth] for at in self.empty for depth in range(len(at) + 1))


def begun(path: Path, name: str) -> Unfinished:
    """A blank sheet: a name, one load state, nothing else."""
    import tomlkit

    document = tomlkit.document()
    document["format"] = FORMAT
    for key, value in (("vehicle", {"name": name}), ("kerb", {})):
        table = tomlkit.table()
        table.update(value)
        document[key] = table
    states = tomlkit.aot()
    states.append(tomlkit.item({"name": "Kerb"}))
    document["states"] = states
    return Unfinished(path, document.as_string())


def _by_others(data: Any) -> list[Location]:
    """Values that must be given because of what else is: a track for two wheels, a length where the mount does not tell it, an aim or a spring."""
    found: list[Location] = []
    if not any(name in data.get("kerb", {}) for name in ("scales", "mass")):
        found.append(("kerb", "mass"))
    if "scales" in data.get("kerb", {}) and not {"raised", "above_ground"} & set(data["kerb"]):
        found.append(("kerb", "above_ground"))
    for i, axle in enumerate(data.get("axles", ())):
        spring, damper = axle.get("spring", {}), axle.get("damper")
        acts, own = tag_of(spring.get("acts")), [name for name in SpringMount.own_fields() if name in spring]
        wants: list[Location] = []
        if axle.get("kind") and axle.get("wheels", 2) == 2:
            wants.append(("track",))
        if acts in STATED and not set(own) & {"leaf"}:
            wants.append(("spring", "installed_length"))
        if axle.get("kind") == "beam" and acts in ("table", "ratio"):
            wants.append(("spring", "acts", "base"))
        if axle.get("target") is None and not own:
            wants.append(("target", "frequency"))
        if damper is not None and tag_of(damper.get("acts")) in ("lever", "beam"):
            wants.append(("damper", "length"))
        found += [("axles", i, *one) for one in wants if said_at(axle, one) in (None, "")]
    return found


def _waived(data: Any, shape: Shape, said: Any, at: Location) -> tuple[str, ...]:
    """Fields of a table that need not be written because of others that are."""
    if at[-2:] == ("bar", "shape") and said_at(data, (*at[:-1], "adds")) is not None:
        return ("diameter",)
    one = in_place_of(shape, said)
    if one is None or not any(other in said for other in one.others):
        return ()
    return one.fields or tuple(name for name, inner in fields_in(shape, said).items() if inner.required)


STATED = ("lever", "beam", "ratio")  # mounts whose spring's length must be told


def _empty(data: Any, shape: Shape, at: Location) -> list[Location]:
    said = said_at(data, at)
    if shape.what == "value":
        return [at] if said == "" or (shape.required and said is None) else []
    if said is None and not shape.required:
        return []
    if said is None and shape.what in ("table", "names"):
        said = {}
    if shape.what == "kinds" and not fields_in(shape, said):
        return [(*at, tag_field(shape))]
    if shape.what in ("table", "kinds"):
        left_out = _waived(data, shape, said, at)
        inner = {name: one for name, one in fields_in(shape, said).items() if name not in BROUGHT + left_out}
        return [found for name, one in inner.items() for found in _empty(data, one, (*at, name))]
    if isinstance(said, dict | list):
        steps: list[str | int] = [*said] if isinstance(said, dict) else [*range(len(said))]
        short = range(len(said), shape.least) if shape.what == "list" else ()
        return [found for step in (*steps, *short) for found in _empty(data, shape_at(data, (*at, step)), (*at, step))]
    return [at]
