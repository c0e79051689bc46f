"""Small designs for tests, as the plain data of a design file."""

from __future__ import annotations

from copy import deepcopy
from pathlib import Path
from typing import Any

import tomlkit

from springwright.vehicle.design import Design
from springwright.vehicle.file import DesignFile, read_text

DEMOS = Path(__file__).parent.parent / "src" / "springwright" / "demos"


def axle(name: str, behind: float, **changes: Any) -> dict[str, Any]:
    """An independent axle with vertical springs at a ratio of 1, so that wheel and spring are one."""
    made: dict[str, Any] = {
        "name": name,
        "behind_front_axle": f"{behind} m",
        "kind": "independent",
        "track": "1.6 m",
        "unsprung_mass": "100 kg",
        "roll_centre_height": "0 m",
        "tyre": {"rate": "250 N/mm", "unloaded_radius": "0.4 m"},
        "spring": {"acts": {"by": "ratio", "ratio": 1.0}, "seat_distance": "0.35 m"},
        "target": {"frequency": "1.2 Hz"},
        "travel": {"bump": "0.14 m", "droop": "0.13 m"},
    }
    return merged(made, changes)


def vehicle(**changes: Any) -> dict[str, Any]:
    """Two such axles 2.5 m apart under a tonne and a half, and one load of 300 kg."""
    made: dict[str, Any] = {
        "format": 1,
        "vehicle": {"name": "Test"},
        "kerb": {"mass": "1500 kg", "behind_front_axle": "1.2 m", "above_ground": "0.7 m"},
        "items": [{"name": "load", "mass": "300 kg", "behind_front_axle": "2.0 m", "above_ground": "1.0 m"}],
        "states": [{"name": "empty"}, {"name": "full", "aboard": ["load"]}],
        "axles": [axle("front", 0.0), axle("rear", 2.5)],
    }
    return merged(made, changes)


def merged(base: dict[str, Any], changes: dict[str, Any]) -> dict[str, Any]:
    """`base` with `changes` put in at any depth; None takes a key out."""
    made = deepcopy(base)
    for key, value in changes.items():
        if value is None:
            made.pop(key, None)
        elif isinstance(value, dict) and isinstance(made.get(key), dict):
            made[key] = merged(made[key], value)
        else:
            made[key] = value
    return made


def design(**changes: Any) -> Design:
    """The test vehicle as a Design."""
    return Design.model_validate(vehicle(**changes))


def design_file(data: dict[str, Any], path: Path = Path("test.toml")) -> DesignFile:
    """Data as a design file, through its text."""
    text = tomlkit.dumps(data)
    return DesignFile(path, text, read_text(text, path.name))
