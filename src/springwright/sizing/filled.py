"""A design that is not whole yet, filled up with estimates so that it can be sized as far as it goes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import tomlkit

from springwright.errors import Fault, InputError, QuantityError
from springwright.files import read_file
from springwright.reference.shelf import topic
from springwright.sizing.first_design import first_design
from springwright.sizing.first_number import rate
from springwright.units import parse
from springwright.vehicle.faults import Location, said_at
from springwright.vehicle.fields import put
from springwright.vehicle.file import DesignFile, parsed, read_text

FREQUENCY = 1.25  # Hz, where no axle aims for one: the middle of what is usual
# Fields that another one stands in the place of: what the builder gives is never given twice.
INSTEAD = {
    ("kerb",): (("scales", ("mass", "behind_front_axle", "above_ground")), ("raised", ("above_ground",))),
    ("axles", "tyre"): (("readings", ("rate",)), ("test_sheet", ("rate",)), ("estimate", ("rate",))),
    ("axles", "target"): (("sag", ("frequency",)),),
}
WHOLE = ("acts", "existing", "coil")  # tables that are taken as they are


def filled(path: Path) -> DesignFile:
    """A design file with every value that it lacks estimated from the shelf; nothing is written.

    Raises
    ------
    InputError
        It lacks what nothing can be estimated without, a mass; or something in it must be mended.

    """
    return filled_up(read_file(path), path)


def filled_up(text: str, path: Path) -> DesignFile:
    """The same of a text that is to stand at a path.

    Raises
    ------
    InputError
        As `filled` does.

    """
    try:
        data = parsed(text)
    except ValueError:
        read_text(text, path.name, path.parent)  # says what is the matter with it
        raise
    axles = data.get("axles")
    axles = axles if isinstance(axles, list) and axles else [{}, {}]
    if not all(isinstance(one, dict) for one in axles):
        raise InputError(path.name, [Fault("axles", "", "is a list of tables, [[axles]]")])
    wheels = sum(1 if one.get("wheels") == 1 else 2 for one in axles)
    found = rate(_mass(data, path.name), wheels=max(wheels, 3), frequency=_frequency(axles), total=True)
    base = {**parsed(first_design(found, path.stem))}  # what was parsed is kept, and stays as it is
    estimates, base["axles"] = base.pop("estimates"), base["axles"][: len(axles)]
    made = _merged(base, data, ())
    listed = [*made.pop("estimates", [])]
    names = [one["name"] for one in base["axles"]]
    for one in estimates:
        at = _place(one["field"], names)
        if at is not None and said_at(made, at) == one["value"] and said_at(data, at) is None:
            steps = [str(made["axles"][step]["name"]) if isinstance(step, int) else step for step in at]
            listed.append({**one, "field": ".".join(steps)})
    for i, one in enumerate(made["axles"]):
        at = ("axles", i, "target", "frequency")
        if said_at(data, at) is None and said_at(made, at) is not None:
            shelf = topic("ride-frequency")
            usual = shelf.cited(shelf.row("light or medium off-road vehicle"))
            listed.append({"field": f"axles.{one['name']}.target.frequency", "value": said_at(made, at), "low": "1.0 Hz", "high": "1.6 Hz", "basis": f"as another axle aims, or the middle of {usual}"})  # fmt: skip
    made = put(made, ("estimates",), listed)
    whole = tomlkit.dumps(made)
    try:
        return DesignFile(path, whole, read_text(whole, path.name, path.parent))
    except InputError as fault:  # its lines would be those of the text that was filled up
        raise InputError(fault.file, [replace(one, line=0) for one in fault.faults]) from None


def _mass(data: dict[str, Any], name: str) -> float:
    """The mass at kerb [kg]."""
    kerb = data.get("kerb", {}) if isinstance(data.get("kerb"), dict) else {}
    scales = kerb.get("scales", {}) if isinstance(kerb.get("scales"), dict) else {}
    texts = [kerb["mass"]] if "mass" in kerb else [*scales.get("left", ()), *scales.get("right", ())]
    try:
        mass = sum(parse(text, "mass") for text in texts)
    except QuantityError as error:
        raise InputError(name, [Fault("kerb", "", str(error))]) from None
    if not mass > 0:
        raise InputError(name, [Fault("kerb.mass", "", "is missing, and nothing can be estimated without it")])
    return mass


def _frequency(axles: list[dict[str, Any]]) -> float:
    for one in axles:
        said = one.get("target", {}).get("frequency") if isinstance(one.get("target"), dict) else None
        if isinstance(said, str):
            try:
                return parse(said, "frequency")
            except QuantityError:
                continue  # told when it is read
    return FREQUENCY


def _place(field: str, names: list[str]) -> Location | None:
    """Where a field of the base stands, its axle by number."""
    steps = field.split(".")
    if steps[0] != "axles":
        return tuple(steps)
    for k, name in enumerate(names):
        if field.startswith(f"axles.{name}."):
            return ("axles", k, *field.removeprefix(f"axles.{name}.").split("."))
    return None


def _merged(base: Any, own: Any, at: tuple[str, ...]) -> Any:
    """What the builder says, and where he says nothing the base."""
    if isinstance(base, dict) and isinstance(own, dict):
        left = dict(base)
        for given, replaced in INSTEAD.get(at, ()):
            if given in own:
                left = {key: value for key, value in left.items() if key not in replaced}
        keys = dict.fromkeys((*left, *own))
        return {key: own[key] if key not in left or (key in WHOLE and key in own) else _merged(left[key], own[key], (*at, key)) if key in own else left[key] for key in keys}  # fmt: skip
    if isinstance(base, list) and isinstance(own, list) and at == ("axles",):
        longer = [*base, *[{}] * (len(own) - len(base))]
        return [_merged(a, b, at) for a, b in zip(longer, own, strict=False)]
    return own
