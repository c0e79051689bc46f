"""A design as it may be built: springs, dampers, tyres, weight and its height each off by so much of its tolerance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from springwright.errors import SpringwrightError
from springwright.motion.rig import Rig
from springwright.results import PRACTICE, Result
from springwright.sizing.sheet import Sheet
from springwright.sizing.springs import FittedSpring
from springwright.sizing.states import assembled, laws_in
from springwright.studies.variants import Variant, alike_in_all
from springwright.vehicle.axle import Axle
from springwright.vehicle.design import Design
from springwright.vehicle.weigh import StateWeight

Floats = NDArray[np.float64]
What = Literal["spring_rate", "free_length", "damping", "tyre_rate", "mass", "cg_height", "friction"]
ORDER = "as its order says, EN 15800 practice"
YOURS = "yours"
WORDS: dict[What, str] = {
    "spring_rate": "spring rate", "free_length": "free length", "damping": "damping", "tyre_rate": "tyre rate",
    "mass": "mass", "cg_height": "height of the centre of gravity", "friction": "friction",
}  # fmt: skip


@dataclass(frozen=True)
class BuildTolerance(Result):
    """One input that is built with a tolerance: a share of what is drawn, two standard deviations of a normal spread; -1 for no axle."""

    what: What
    axle: int
    name: str
    share: float
    origin: str


def tolerances_of(design: Design, sheet: Sheet) -> tuple[BuildTolerance, ...]:
    """Everything of a design that is built with a tolerance; what has none is left out."""
    given, made = design.tolerances, []

    def origin(field: str) -> str:
        return YOURS if field in given.model_fields_set else PRACTICE

    def add(what: What, axle: int, share: float, whence: str) -> None:
        name = WORDS[what] if axle < 0 else f"{WORDS[what]} {design.axles[axle].name}"
        if share > 0:
            made.append(BuildTolerance(what, axle, name, share, whence))

    for i, axle in enumerate(design.axles):
        mount = axle.spring
        rate, length = given.spring_rate, given.free_length
        add("spring_rate", i, mount.rate_tolerance if rate is None else rate, ORDER if rate is None else YOURS)
        if sheet.springs[i].fitted is not None and sheet.springs[i].fitted.free_length > 0:
            add(
                "free_length",
                i,
                mount.free_length_tolerance if length is None else length,
                ORDER if length is None else YOURS,
            )
        if sheet.rates[i].damping is not None or (axle.damper is not None and axle.damper.points is not None):
            add("damping", i, given.damping, origin("damping"))
        add("tyre_rate", i, given.tyre_rate, origin("tyre_rate"))
    add("mass", -1, given.mass, origin("mass"))
    height = next(one.cg[2] for one in sheet.states if one.name == sheet.design_state)
    add("cg_height", -1, given.cg_height / height, origin("cg_height"))
    if any(axle.friction for axle in design.axles):
        add("friction", -1, given.friction, origin("friction"))
    return tuple(made)


def built(design: Design, sheet: Sheet, tolerances: Sequence[BuildTolerance], off: Sequence[float]) -> Variant | str:
    """The design as sized with every input off by a share of what is drawn, or why it cannot stand [-]."""
    by = {(one.what, one.axle): value for one, value in zip(tolerances, off, strict=True)}
    axles = tuple(_off(axle, i, sheet.springs[i].fitted, by) for i, axle in enumerate(design.axles))
    design = design.model_copy(update={"axles": axles})
    springs = [axle.as_built.law(one.law) for axle, one in zip(axles, sheet.springs, strict=True)]
    weights = tuple(_weighs(one, by.get(("mass", -1), 0.0), by.get(("cg_height", -1), 0.0)) for one in sheet.states)
    loads = np.array(sheet.design_loads)
    damping = tuple(rate.damping.wheel if rate.damping else None for rate in sheet.rates)
    rubs = 1 + by.get(("friction", -1), 0.0)
    try:
        laws = tuple(
            tuple(springs) if alike_in_all(springs) else laws_in(design, weight, tuple(springs), loads)
            for weight in weights
        )
        rigs = tuple(
            _rubbing(assembled(design, weight, each, loads, damping), rubs)
            for weight, each in zip(weights, laws, strict=True)
        )
    except (SpringwrightError, ValueError) as error:
        return str(error)
    return Variant(design, weights, loads, laws, rigs)


def _off(axle: Axle, i: int, fitted: FittedSpring | None, by: dict[tuple[What, int], float]) -> Axle:
    """An axle built off by shares of what is drawn."""
    drawn = axle.as_built
    longer = by.get(("free_length", i), 0.0) * (fitted.free_length if fitted is not None else 0.0)
    return axle.model_copy(
        update={
            "built": drawn.model_copy(
                update={
                    "spring_rate": 1 + by.get(("spring_rate", i), 0.0),
                    "spring_longer": longer,
                    "damping": drawn.damping * (1 + by.get(("damping", i), 0.0)),
                    "tyre_rate": drawn.tyre_rate * (1 + by.get(("tyre_rate", i), 0.0)),
                }
            )
        }
    )


def _rubbing(rig: Rig, times: float) -> Rig:
    """A Rig with so many times its dry friction [-]."""
    return replace(rig, friction=np.maximum(rig.friction * times, 0.0))


def _weighs(weight: StateWeight, heavier: float, higher: float) -> StateWeight:
    """A load state so much heavier all over on the same axles, its centre of gravity so much higher; shares of what is drawn."""
    mass = weight.mass * (1 + heavier)
    sprung = weight.sprung_mass + weight.mass * heavier
    cg = np.array(weight.cg) * (1.0, 1.0, 1 + higher)
    # what is unsprung stays as it is and where it is
    still = weight.mass * np.array(weight.cg) - weight.sprung_mass * np.array(weight.sprung_cg)
    grown = sprung / weight.sprung_mass
    return replace(
        weight,
        mass=mass,
        cg=tuple(cg.tolist()),
        sprung_mass=sprung,
        sprung_cg=tuple(((mass * cg - still) / sprung).tolist()),
        roll_inertia=weight.roll_inertia * grown,
        pitch_inertia=weight.pitch_inertia * grown,
        yaw_inertia=weight.yaw_inertia * grown,
        products=tuple(one * grown for one in weight.products),
    )
