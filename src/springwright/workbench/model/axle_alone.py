"""An axle of a design that is not whole yet, by itself as a whole design, so that what is known of it can be drawn."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import tomlkit

from springwright.errors import InputError
from springwright.sizing.filled import filled_up
from springwright.vehicle.axle import Axle
from springwright.vehicle.faults import said_at
from springwright.vehicle.file import DesignFile

DRAWN = ("kind", "wheels", "track", "frame_width", "ride_height", "driven", "travel", "drag_link", "shaft")
SPRING, DAMPER, TYRE = ("acts", "installed_length", "leaf", "largest_outside"), ("acts", "length"), ("unloaded_radius", "size")  # fmt: skip
MASS = "2000 kg"  # of a vehicle on two such axles: it has to weigh something, and nothing is said by it


def axle_alone(data: dict[str, Any], index: int, path: Path) -> tuple[DesignFile, int] | None:
    """A design on two of an axle, of which no load or rate means anything, and which of them it is; None where how it is held is not all written yet."""
    axle = data["axles"][index]
    links = next((name for name in Axle.linkages() if name in axle), "")
    spring = _written(axle.get("spring"), SPRING)
    if not axle.get("kind") or _wants(axle.get(links)) or not (links or spring.get("acts")):
        return None
    own = _written(axle, (*DRAWN, links))
    own |= {"damper": _written(axle.get("damper"), DAMPER), "tyre": _written(axle.get("tyre"), TYRE)}
    own = {name: value for name, value in own.items() if value != {}}
    found = _whole({**own, "spring": spring}, data, index, path)
    if found is None and links:  # where spring and damper stand is not all said yet
        plain = {"spring": {"acts": {"by": "ratio", "ratio": 1.0}, "installed_length": "300 mm"}}
        found = _whole({name: one for name, one in own.items() if name != "damper"} | plain, data, index, path)
    return found


def _whole(own: dict[str, Any], data: dict[str, Any], index: int, path: Path) -> tuple[DesignFile, int] | None:
    """The design on two such axles; None where what is written does not agree with itself yet."""
    at, name = min(index, 1), data["axles"][index].get("name") or f"axle {index + 1}"
    axles = [
        {"name": name if k == at else f"not the {name}", "behind_front_axle": place, **own}
        for k, place in enumerate(("0 mm", "3 m"))
    ]
    vehicle = {"name": said_at(data, ("vehicle", "name")) or path.stem}
    try:
        return filled_up(tomlkit.dumps({"vehicle": vehicle, "kerb": {"mass": MASS}, "axles": axles}), path), at
    except InputError:
        return None


def _written(table: Any, names: tuple[str, ...]) -> dict[str, Any]:
    """Those of a table's fields that are written whole."""
    return {name: table[name] for name in names if name in table and not _wants(table[name])} if isinstance(table, dict) else {}  # fmt: skip


def _wants(said: Any) -> bool:
    """Whether anything within is still empty."""
    if isinstance(said, dict):
        return any(map(_wants, said.values()))
    return any(map(_wants, said)) if isinstance(said, list) else said == ""
