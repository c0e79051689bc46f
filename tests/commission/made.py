"""Vehicles and readings made up for tests of what was built."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import tomlkit

from springwright.commission.modelled import modelled
from springwright.commission.taken import Reduced, Taken, Workplace
from springwright.vehicle.file import DesignFile
from tests.build import axle, design_file, merged, vehicle

MM = 1e-3


def truck(**changes: Any) -> DesignFile:
    """The plain test vehicle with dampers, friction, heights and a rating of nothing: two axles of one coil a wheel, ratio 1."""
    own = {
        "friction": "20 N",
        "ride_height": "500 mm",
        "frame_width": "0.9 m",
        "target": {"frequency": "1.2 Hz", "damping_ratio": 0.25},
        "damper": {"acts": {"by": "ratio", "ratio": 1.0}},
        "tyre": {"pressure": "2.5 bar"},
    }
    data = vehicle(vehicle={"name": "Readings truck"}, axles=[axle("front", 0.0, **own), axle("rear", 2.5, **own)])
    return design_file(merged(data, changes), Path("truck.toml"))


def reduced(file: DesignFile, kind: type[Taken], content: dict[str, Any], folder: Path = Path()) -> Reduced:
    """A set of readings reduced."""
    return kind.model_validate(content).reduced(1, Workplace(folder, modelled(file), lambda _: None))


def write(folder: Path, sets: dict[str, Any], name: str = "Readings truck") -> Path:
    """A readings file in a folder."""
    path = folder / "truck.readings.toml"
    path.write_text(tomlkit.dumps({"readings": 1, "vehicle": name, **sets}), encoding="utf-8")
    return path
