"""Small designs for tests, as the plain data of a design file."""

from __future__ import annotations

import io
import re
from copy import deepcopy
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import tomlkit
from pypdf import PdfReader

from springwright.sizing.fitted import assemble
from springwright.units import GRAVITY
from springwright.vehicle.assemble import without_stops
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
        "spring": {"acts": {"by": "ratio", "ratio": 1.0}, "installed_length": "0.35 m"},
        "target": {"frequency": "1.2 Hz"},
        "travel": {"bump": "0.14 m", "droop": "0.13 m"},
    }
    return merged(made, changes)


def vehicle(**changes: Any) -> dict[str, Any]:
    """Two such axles 2.5 m apart under a tonne and a half, and one load of 300 kg."""
    made: dict[str, Any] = {
        "format": 2,
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


def quarter(mass=400.0, unsprung=50.0, spring=2e4, damping=1500.0, tyre=2e5):
    """A quarter car as a Rig: heave only, four wheels alike, so that every wheel carries `mass` of the body."""
    data = vehicle(
        axles=[
            axle(name, x, unsprung_mass=f"{2 * unsprung} kg", tyre={"rate": f"{tyre / 1e3} N/mm"})
            for name, x in (("front", 0.0), ("rear", 2.5))
        ],
        kerb={"mass": f"{4 * (mass + unsprung)} kg", "behind_front_axle": "1.25 m"},
        items=[],
        states=[{"name": "one"}],
    )
    rig = without_stops(assemble(design_file(data)))
    span = np.linspace(-3.0, 3.0, 97)
    return replace(
        rig,
        element_start=np.full(4, -3.0),
        element_step=np.full(4, span[1] - span[0]),
        element_force=np.tile(mass * GRAVITY + spring * span, (4, 1)),
        element_rate=np.full((4, 97), spring),
        damper_rows=np.eye(4),
        damper_speed=np.tile([-1.0, 0.0, 1.0], (4, 1)),
        damper_force=np.tile([-damping, 0.0, damping], (4, 1)),
        friction=np.zeros(4),
        tyre_force=np.full(4, (mass + unsprung) * GRAVITY),
        pitch_inertia=mass * 4 * 1e6,
        roll_inertia=mass * 4 * 1e6,
        pitch_arm=0.0,
        roll_arm=0.0,
    )


def all_wheels_at_once(**changes):
    """The same rig with its axles a millimetre apart, so that all wheels meet the ground together."""
    rig = quarter(**changes)
    places = rig.wheel_places.copy()
    places[:, 0] = rig.sprung_cg[0] + np.array([0.5e-3, 0.5e-3, -0.5e-3, -0.5e-3])
    return replace(rig, wheel_places=places)


def one_mass(frequency: float, ratio: float, mass: float = 400.0) -> Any:
    """One mass on a spring and damper whose foot is the ground: a quarter car on a tyre 400 times as stiff, its wheel 1 kg.

    Spring and tyre in series have the natural frequency [Hz] asked for; the damper has the ratio of critical damping.
    """
    whole = mass * (2 * np.pi * frequency) ** 2
    spring = whole * 401 / 400
    return all_wheels_at_once(
        mass=mass, unsprung=1.0, spring=spring, damping=2 * ratio * np.sqrt(whole * mass), tyre=400 * spring
    )


READ = {
    "list.csv": "part,rate [N/mm],free length [mm],solid length [mm],outside diameter [mm]\na,30,480,150,140\n",
    "damper.csv": "speed [m/s],force [N]\n-0.5,-900\n0,0\n0.5,600\n",
    "tyre.csv": "pressure [bar],load [N],deflection [mm]\n2,2500,10\n2,5400,20\n2,9000,30\n",
    "points.csv": "name,x [mm],y [mm],z [mm]\nwheel_centre,0,800,400\ninner_pivot,450,300,400\nouter_pivot,450,600,400\n",
    "wire.csv": "# name: w\n# made: cold coiled\n# shear modulus: 80e9\n# elastic modulus: 206e9\n# density: 7850\n# fatigue: oil-hardened and alloy\n# source: s\n# caveat: c\n# sizes: 8 10\ndiameter [mm],strength least [MPa]\n8,1700\n16,1500\n",
    "steels.csv": "name,elastic modulus [GPa],shear modulus [GPa],density [kg/m3],leaf at ride [MPa],leaf at bump [MPa],leaf source,bar shear [MPa],bar shear preset [MPa],bar cyclic [MPa],bar source\ns,206,78.5,7850,600,900,x,700,1020,700,y\n",
    "track.csv": "distance [m],left [m]\n" + "".join(f"{0.1 * i:.1f},{0.01 * (i % 3)}\n" for i in range(900)),
}  # fmt: skip


def reading_all(folder: Path) -> Path:
    """A design in a folder, `v.toml`, that reads a file of every kind, with those files."""
    for name, text in READ.items():
        (folder / name).write_text(text)
    front = axle(
        "front", 0.0, swing_arm={"points": "points.csv"}, roll_centre_height=None,
        damper={"acts": {"by": "ratio", "ratio": 1.0}, "test_sheet": "damper.csv"},
        tyre={"rate": None, "test_sheet": "tyre.csv", "rate_load": "400 kg"},
    )  # fmt: skip
    data = vehicle(
        axles=[front, axle("rear", 2.5)],
        catalogue="list.csv",
        grades=["wire.csv", "steels.csv"],
        grounds=[{"name": "track", "profile": "track.csv"}],
    )
    path = folder / "v.toml"
    path.write_text(tomlkit.dumps(data))
    return path


def words_of(pdf):
    """The words of each page of a PDF, one space between them."""
    return [re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages]
