"""Grounds by name, as written on the command line or in a design: "class D", "half-round 120 mm", "step 150 mm", a CSV file."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from springwright.errors import Fault, InputError, QuantityError
from springwright.files import is_there, read_file
from springwright.terrain import obstacles
from springwright.terrain.ground import Ground
from springwright.terrain.presets import PRESETS, preset_ground
from springwright.terrain.profile import read_profile
from springwright.terrain.roughness import CLASSES, rough_ground
from springwright.units import parse

# name -> (maker, how many lengths it takes, what they are)
OBSTACLES: dict[str, tuple[Callable[..., Ground], str]] = {
    "half-round": (obstacles.half_round, "radius"),
    "step": (obstacles.step, "height"),
    "ramp": (obstacles.ramp, "height, length"),
    "jump": (obstacles.kicker, "height, length"),
    "bump": (obstacles.bump, "height, length"),
    "ditch": (obstacles.ditch, "depth, width"),
    "pothole": (obstacles.pothole, "depth, width"),
    "corrugation": (obstacles.corrugation, "height, wavelength"),
    "twist": (obstacles.twist, "height, length, distance to the other side's"),
    "drop-off": (obstacles.drop_off, "height"),
}


def known() -> str:
    """Every ground there is, in words."""
    shapes = "; ".join(f"{name} ({sizes})" for name, (_, sizes) in OBSTACLES.items())
    return f"class A to class H; {', '.join(PRESETS)}; level; a CSV file of distance, left and right; or an obstacle with its sizes: {shapes}"


def ground_named(text: str, apart: float, length: float, seed: int = 1, folder: Path = Path()) -> Ground:
    """The ground a text names.

    Parameters
    ----------
    text : str
        Such as "class D", "half-round 120 mm", "ditch 200 mm 1.5 m", "track.csv".
    apart : float
        Distance between the tracks of made ground [m].
    length : float
        Length of made ground [m].
    seed : int
        Of made ground.
    folder : Path
        Where a file is looked for.

    Raises
    ------
    InputError
        No such ground, or sizes that cannot be.

    """
    words = text.strip().split(maxsplit=1)
    name = words[0].lower() if words else ""
    rest = words[1] if len(words) > 1 else ""
    if text.strip().lower() in PRESETS:
        return preset_ground(text.strip().lower(), length, apart, seed)
    if name == "level":
        return obstacles.flat(length)
    if name == "class" and rest.upper() in CLASSES:
        return rough_ground(rest.upper(), length, apart, seed=seed)  # type: ignore[arg-type]
    if name in OBSTACLES:
        maker, sizes = OBSTACLES[name]
        wanted = sizes.split(", ")
        given = re.findall(r"[-+−]?[\d.]+\s*[^\d\s,+-]+", rest)
        if len(given) != len(wanted):
            raise InputError(
                "--ground",
                [
                    Fault(
                        text,
                        "",
                        f"{name} takes {sizes}, each with its unit, such as: {name} {' '.join(['200 mm'] * len(wanted))}",
                    )
                ],
            )
        try:
            lengths = [parse(one, "length") for one in given]
            if min(lengths) <= 0 or max(lengths) > 100:
                raise QuantityError("sizes must be more than 0 and no more than 100 m")
            return maker(*lengths)
        except QuantityError as error:
            raise InputError("--ground", [Fault(text, "", str(error))]) from None
    if text.lower().endswith(".csv"):
        path = folder / text
        if not is_there(path):
            raise InputError(str(path), [Fault("", "", "there is no such file")])
        return read_profile(read_file(path), path.name)
    raise InputError("--ground", [Fault(text, "", f"no such ground; there are {known()}")])
