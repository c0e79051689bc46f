"""How readings are begun: a file to fill in beside a design, a set of any kind with what is asked in it, the invented ones of a demo."""

from __future__ import annotations

import json
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import Any, NamedTuple

from springwright.commission.leans import Circle, TiltTable
from springwright.commission.logged_drive import LoggedDrive
from springwright.commission.next_reading import PUSHED
from springwright.commission.parts_read import SpringBench, TyrePress
from springwright.commission.pushes import Push
from springwright.commission.scales import RaisedWeighing, Weighing
from springwright.commission.swings import Bounce, Rap
from springwright.commission.taken import Taken
from springwright.errors import Fault, InputError
from springwright.files import is_there, write_whole
from springwright.vehicle.file import DesignFile

READINGS = ".readings.toml"  # how the name of a readings file ends


class KindRead(NamedTuple):
    """A kind of reading on a sheet: its words, what is done, and the fields that are written in, those of every set left out."""

    words: str
    how: str
    fields: tuple[str, ...]


def _kind_read(words: str, how: str, kind: type[Taken]) -> KindRead:
    return KindRead(words, how, tuple(name for name in kind.model_fields if name not in Taken.model_fields))


READ = {
    "weighings": _kind_read("On the scales", "loads and heights in a load state", Weighing),
    "raised": _kind_read("One end raised", "loads on the axles that stay down", RaisedWeighing),
    "pushes": _kind_read("Push it down", "known masses on and off over an axle", Push),
    "benches": _kind_read("Spring on the bench", "loads at some lengths", SpringBench),
    "tyres": _kind_read("Tyre pressed", "by some loads", TyrePress),
    "bounces": _kind_read("Let it bounce", "a log, or counted off a video", Bounce),
    "raps": _kind_read("Rap the hub", "a log of what rings", Rap),
    "circles": _kind_read("Lean it", "roll in a gentle steady circle", Circle),
    "tilts": _kind_read("A test house's tilt", "the angle at which a wheel lifted", TiltTable),
    "drives": _kind_read("Drive it", "a log over one ground", LoggedDrive),
}


def new_set(file: DesignFile, kind: str) -> dict[str, Any]:
    """A set of readings to be filled in: what is asked stands in it, what is read is empty.

    Raises
    ------
    LookupError
        There is no such kind.

    """
    design = file.design
    names, states = [axle.name for axle in design.axles], [one.name for one in design.states]
    home, empty = design.design_state or states[-1], [""] * len(design.axles)
    loads = [f"{one} kg" for one in PUSHED]
    grounds = [one.name for one in design.grounds if one.iso_class]
    heights: dict[str, Any] = (
        {"heights_left": empty, "heights_right": empty} if all(one.ride_height for one in design.axles) else {}
    )
    made: dict[str, dict[str, Any]] = {
        "weighings": {"state": home, "left": empty, "right": empty, **heights},
        "raised": {"state": states[0], "end": "front", "height": "", "on_scales": {names[-1]: ""}},
        "pushes": {"axle": names[-1], "state": states[0], "loads": loads, "lowered": [""] * len(loads), "between": "frame and ground"},
        "benches": {"axle": names[-1], "lengths": [""] * 3, "loads": [""] * 3},
        "tyres": {"axle": names[0], "loads": [""] * 2, "pressed": [""] * 2},
        "bounces": {"axle": names[-1], "state": home, "log": "", "column": ""},
        "raps": {"axle": names[-1], "state": home, "log": "", "column": ""},
        "circles": {"state": home, "lateral": ["0.05 g", "0.08 g", "0.1 g"], "roll": [""] * 3},
        "tilts": {"state": home, "angle": "", "table": ""},
        "drives": {"state": home, "log": "", "ground": grounds[0] if grounds else "D", "speed": "", "channels": [{"column": "", "direction": "up", "behind_front_axle": ""}]},
    }  # fmt: skip
    return {"date": date.today(), **made[kind]}


def starting_text(file: DesignFile) -> str:
    """A commented readings file to fill in, with the vehicle's own axles and load states."""
    design = file.design
    names = [axle.name for axle in design.axles]
    first, last = names[0], names[-1]
    states = [one.name for one in design.states]
    home = design.design_state or states[-1]
    kg, mm = (", ".join(f'"0 {unit}"' for _ in names) for unit in ("kg", "mm"))
    return f"""# Readings of {design.vehicle.name}, beside {file.path.name}. The design file stays what was designed.
# Take the # off the sets you made and fill them in; a set may stand there as often as you like. Every value carries its unit in quotes.
# Uncertainties are standard ones, one standard deviation; where they are left out, common practice stands in and says so.
# Each set may say: date = 2026-03-03, by = "who", instrument = "with what", calibrated = "when last", note = "anything".
readings = 1
vehicle = {_quoted(design.vehicle.name)}

# ---- On the scales: axles in order, front first: {", ".join(names)}
# [[weighings]]
# state = {_quoted(states[0])}
# left = [{kg}]
# right = [{kg}]                  # or: axles = [{kg}]
# heights_left = [{mm}]           # frame's underside above ground at each axle
# heights_right = [{mm}]
# load_uncertainty = "3 kg"
# height_uncertainty = "2 mm"

# [[raised]]                     # front wheels on blocks: what the others read
# state = {_quoted(states[0])}
# height = "500 mm"
# on_scales = {{ {_key(last)} = "0 kg" }}

# ---- Pushed down and let up: masses in the order they went on and came off
# [[pushes]]
# axle = {_quoted(last)}
# state = {_quoted(states[0])}
# loads = ["0 kg", "50 kg", "100 kg", "150 kg", "200 kg", "150 kg", "100 kg", "50 kg", "0 kg"]
# lowered = ["0 mm", "0 mm", "0 mm", "0 mm", "0 mm", "0 mm", "0 mm", "0 mm", "0 mm"]
# between = "frame and ground"   # or "frame and axle"

# ---- A spring on the bench, a tyre under loads
# [[benches]]
# axle = {_quoted(last)}
# lengths = ["0 mm", "0 mm", "0 mm"]
# loads = ["0 N", "0 N", "0 N"]

# [[tyres]]
# axle = {_quoted(first)}
# loads = ["0 N", "0 N"]
# pressed = ["0 mm", "0 mm"]

# ---- Bounced and rapped: a log (CSV with a header), or counted off a video
# [[bounces]]
# axle = {_quoted(last)}
# state = {_quoted(home)}
# log = "bounce-rear.csv"
# column = "acc z"               # as the header calls it; unit = "m/s2" where the header has none
# reads = "acceleration"         # or "height"
# # bounces = 3                  # in place of log: counted, with
# # seconds = "2.4 s"
# # rises = ["20 mm", "6 mm"]

# [[raps]]
# axle = {_quoted(last)}
# state = {_quoted(home)}
# log = "rap-rear.csv"
# column = "acc z"

# ---- Leaned in a gentle steady circle
# [[circles]]
# state = {_quoted(home)}
# lateral = ["0.05 g", "0.08 g", "0.1 g"]
# roll = ["0 deg", "0 deg", "0 deg"]

# ---- Driven
# [[drives]]
# log = "drive.csv"
# state = {_quoted(home)}
# ground = "D"                   # a class, or the name of a ground of the design
# speed = "30 km/h"              # or speed_column = "speed", with slowest and fastest
# channels = [{{ column = "seat z", direction = "up", behind_front_axle = "1500 mm" }}]   # or seat = "driver"; or on a hub: axle = {_quoted(last)}, side = "left"
"""


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _key(text: str) -> str:
    return text if text.replace("-", "").replace("_", "").isalnum() and text.isascii() else _quoted(text)


def has_readings(demo: str) -> bool:
    """Whether there are invented readings of a demo."""
    return (files("springwright") / "demos" / "readings" / f"{demo}{READINGS}").is_file()


def start_demo(target: Path, demo: str) -> list[Path]:
    """Write the invented readings of a demo and the logs they name beside each other; gives what was written.

    Raises
    ------
    InputError
        One of them is there already: nothing is written then.

    """
    source = files("springwright") / "demos" / "readings"
    logs = [one for one in source.iterdir() if one.name.startswith(f"{demo}-")]
    beside = [target.with_name(one.name) for one in logs]
    there = next((one for one in (target, *beside) if is_there(one)), None)
    if there is not None:
        raise InputError(
            str(there),
            [Fault("", "", "is there already and stays as it is; name another file, in a folder of its own")],
        )
    write_whole(target, (source / f"{demo}{READINGS}").read_text(encoding="utf-8"))
    for one, path in zip(logs, beside, strict=True):
        write_whole(path, one.read_text(encoding="utf-8"))
    return [target, *beside]
