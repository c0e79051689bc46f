"""What of a model may be otherwise than drawn: every uncertain input with its drawn value and its tolerance as prior.

Tolerances are those of `[tolerances]`, two standard deviations; what is not given there is common practice and says so.
What an as-built design was found `within` stands in their place: it was read before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from springwright.commission.modelled import Modelled
from springwright.commission.taken import SURE, YOURS
from springwright.parts.law import built_law
from springwright.results import PRACTICE, Result
from springwright.units import GRAVITY
from springwright.vehicle.axle import Axle
from springwright.vehicle.built import BuiltBody
from springwright.vehicle.curves import mean_ratio
from springwright.vehicle.design import Design
from springwright.vehicle.mounted import OtherSide
from springwright.vehicle.weigh import kerb_weight

Floats = NDArray[np.float64]
What = Literal[
    "spring_rate", "free_length", "right_longer", "helper_rate", "motion_ratio", "damping", "friction", "tyre_rate",
    "mass", "behind_front_axle", "left_of_centre", "above_ground", "roll_inertia", "pitch_inertia",
]  # fmt: skip
WORDS: dict[What, str] = {
    "spring_rate": "spring rate", "free_length": "free length of springs", "right_longer": "right spring longer by", "helper_rate": "helper rate",
    "motion_ratio": "motion ratio", "damping": "damping, times drawn", "friction": "friction at each wheel", "tyre_rate": "tyre rate",
    "mass": "mass at kerb", "behind_front_axle": "centre of gravity behind front axle, kerb", "left_of_centre": "centre of gravity left of centre, kerb",
    "above_ground": "centre of gravity above ground, kerb", "roll_inertia": "roll inertia, times drawn", "pitch_inertia": "pitch inertia, times drawn",
}  # fmt: skip
KINDS: dict[What, tuple[str, str]] = {
    "spring_rate": ("rate", "N/m"), "free_length": ("length", "m"), "right_longer": ("length", "m"), "helper_rate": ("rate", "N/m"),
    "motion_ratio": ("ratio", ""), "damping": ("ratio", ""), "friction": ("force", "N"), "tyre_rate": ("rate", "N/m"),
    "mass": ("mass", "kg"), "behind_front_axle": ("length", "m"), "left_of_centre": ("length", "m"), "above_ground": ("length", "m"),
    "roll_inertia": ("ratio", ""), "pitch_inertia": ("ratio", ""),
}  # fmt: skip
HELPER_SHARE = 0.10  # two standard deviations of a helper's rate: common practice, no source
LEAST_SHARE = 0.2  # of what is drawn, that a rate or a damper may come down to; so has the design file it
READ_BEFORE = "read before, as built"
BUILT_FIELDS: dict[str, str] = {"free_length": "spring_longer"}  # of BuiltAxle, where it is called otherwise
TIMES = ("spring_rate", "helper_rate", "motion_ratio", "damping", "tyre_rate", "roll_inertia", "pitch_inertia")


@dataclass(frozen=True)
class UncertainInput(Result):
    """One input that may be otherwise than drawn [SI by `unit`]: its drawn value, one standard deviation of its prior, and whose that is."""

    what: What
    axle: int
    name: str
    kind: str
    unit: str
    drawn: float
    deviation: float
    origin: str
    helper: int = -1

    @property
    def least(self) -> float:
        """What it cannot be less than [SI]."""
        if self.what == "friction":
            return 0.0
        return LEAST_SHARE * self.drawn if self.what in TIMES else -np.inf


def inputs_of(standing: Modelled) -> tuple[UncertainInput, ...]:
    """Every input of a vehicle that has a tolerance."""
    design, sheet, given = standing.design, standing.sheet, standing.design.tolerances
    made: list[UncertainInput] = []

    def whose(field: str) -> str:
        return YOURS if field in given.model_fields_set else PRACTICE

    def add(what: What, axle: int, drawn: float, deviation: float, origin: str, of: str = "", helper: int = -1) -> None:
        known = _known(design, what, axle, drawn)
        deviation, origin = (deviation, origin) if known is None else (known / SURE, READ_BEFORE)
        name = f"{design.axles[axle].name} {WORDS[what]}" if axle >= 0 else WORDS[what]
        if deviation > 0:
            made.append(UncertainInput(what, axle, name + of, *KINDS[what], drawn, deviation, origin, helper))

    for i, axle in enumerate(design.axles):
        _springs(i, axle, standing, add, whose)
        if sheet.rates[i].damping is not None or (axle.damper is not None and axle.damper.points is not None):
            add("damping", i, axle.as_built.damping, axle.as_built.damping * given.damping / 2, whose("damping"))
        still = given.friction_of_load * GRAVITY * sheet.rates[i].sprung_mass
        rubs = (given.friction * axle.friction if axle.friction else still) / 2
        add("friction", i, axle.friction, rubs, whose("friction" if axle.friction else "friction_of_load"))
        tyre = axle.tyre.rate * axle.as_built.tyre_rate
        add("tyre_rate", i, tyre, tyre * given.tyre_rate / 2, whose("tyre_rate"))
    kerb = standing.kerb
    add("mass", -1, kerb.mass, kerb.mass * given.mass / 2, whose("mass"))
    add("behind_front_axle", -1, -kerb.cg[0], given.cg_place / 2, whose("cg_place"))
    if any(axle.track for axle in design.axles):
        add("left_of_centre", -1, kerb.cg[1], given.cg_place / 2, whose("cg_place"))
    add("above_ground", -1, kerb.cg[2], given.cg_height / 2, whose("cg_height"))
    body = design.built or BuiltBody()
    add("roll_inertia", -1, body.roll_inertia, given.inertia / 2, whose("inertia"))
    add("pitch_inertia", -1, body.pitch_inertia, given.inertia / 2, whose("inertia"))
    return tuple(made)


def _known(design: Design, what: What, axle: int, drawn: float) -> float | None:
    """Half of the 95 % interval within which an as-built design was found before [SI of the input]; None where it says nothing."""
    held: Any = design.axles[axle].built if axle >= 0 else design.built
    field = BUILT_FIELDS.get(what, what)
    said: float | None = getattr(held.within, field, None) if held is not None and held.within is not None else None
    if said is None or what not in TIMES:
        return said
    return said * drawn / float(getattr(held, field))


def _springs(i: int, axle: Axle, standing: Modelled, add: Any, whose: Any) -> None:
    given, mount, fitted = standing.design.tolerances, axle.spring, standing.sheet.springs[i].fitted
    rate, length = given.spring_rate, given.free_length
    share = mount.rate_tolerance if rate is None else rate
    order = "as its order says, EN 15800 practice"
    law = standing.laws[i]
    add("spring_rate", i, law.rate, law.rate * share / 2, order if rate is None else YOURS)
    long = fitted.free_length if fitted.free_length > 0 else mount.rest_length
    doubt = long * (mount.free_length_tolerance if length is None else length) / 2
    drawn = fitted.free_length + axle.as_built.spring_longer if fitted.free_length > 0 else axle.as_built.spring_longer
    add(
        "free_length",
        i,
        drawn,
        doubt,
        order if length is None else YOURS,
        "" if fitted.free_length > 0 else ", beyond that drawn",
    )
    if axle.wheels == 2:
        add("right_longer", i, mount.right.spacer if mount.right else 0.0, doubt / 2, PRACTICE)
    for k, helper in enumerate(axle.helpers):
        if helper.existing is not None:
            add(
                "helper_rate",
                i,
                helper.existing.rate,
                helper.existing.rate * HELPER_SHARE / 2,
                PRACTICE,
                f" {helper.name}",
                k,
            )
    if mount.acts.by not in ("beam",):
        ratio = mean_ratio(axle) * axle.as_built.motion_ratio
        add("motion_ratio", i, ratio, ratio * given.motion_ratio / 2, whose("motion_ratio"))


def stands(drawn: Modelled, inputs: Sequence[UncertainInput], values: Sequence[float]) -> Modelled:
    """The vehicle with every input at a value [SI by its unit]; nothing of the drawn one changes."""
    design = drawn.design
    axles, laws = list(design.axles), list(drawn.laws)
    of_axle: dict[int, dict[What, float]] = {}
    of_body: dict[What, float] = {}
    for one, value in zip(inputs, values, strict=True):
        if one.what == "helper_rate":
            axles[one.axle] = _helped(axles[one.axle], one.helper, max(value, LEAST_SHARE * one.drawn))
        elif one.axle >= 0:
            of_axle.setdefault(one.axle, {})[one.what] = (
                value - one.drawn if one.what == "free_length" else _times(one, value)
            )
        else:
            of_body[one.what] = value
    for i, given in of_axle.items():
        rate, longer = given.get("spring_rate", 1.0), given.get("free_length", 0.0)
        axles[i] = _axle_as(axles[i], given)
        laws[i] = built_law(laws[i], rate, longer)
    body = _body_as(design, of_body) if of_body else design.built
    return Modelled(design.model_copy(update={"axles": tuple(axles), "built": body}), drawn.sheet, tuple(laws))


def _times(one: UncertainInput, value: float) -> float:
    """A rate, a damper, a tyre or a motion ratio as so many times what it is drawn; others as they are."""
    if one.what in ("right_longer", "friction"):
        return value
    return max(value / one.drawn, LEAST_SHARE)


def _axle_as(axle: Axle, given: dict[What, float]) -> Axle:
    was = axle.as_built
    changed: dict[str, Any] = {
        "built": was.model_copy(
            update={
                "spring_rate": was.spring_rate * given.get("spring_rate", 1.0),
                "spring_longer": was.spring_longer + given.get("free_length", 0.0),
                "motion_ratio": was.motion_ratio * given.get("motion_ratio", 1.0),
                "damping": was.damping * given.get("damping", 1.0),
                "tyre_rate": was.tyre_rate * given.get("tyre_rate", 1.0),
            }
        )
    }
    if "friction" in given:
        changed["friction"] = max(given["friction"], 0.0)
    if "right_longer" in given:
        other = axle.spring.right or OtherSide()
        changed["spring"] = axle.spring.model_copy(
            update={"right": other.model_copy(update={"spacer": given["right_longer"]})}
        )
    return axle.model_copy(update=changed)


def _helped(axle: Axle, k: int, rate: float) -> Axle:
    helpers = list(axle.helpers)
    existing = helpers[k].existing
    assert existing is not None
    helpers[k] = helpers[k].model_copy(update={"existing": existing.model_copy(update={"rate": rate})})
    helpers[k].__dict__.pop("law", None)  # a copy brings what was worked out of the old one
    return axle.model_copy(update={"helpers": tuple(helpers)})


def _body_as(design: Design, given: dict[What, float]) -> BuiltBody:
    """The body as built, with everything of it said."""
    kerb, was = kerb_weight(design), design.built or BuiltBody()
    return was.model_copy(
        update={
            "mass": given.get("mass", kerb.mass),
            "behind_front_axle": given.get("behind_front_axle", -kerb.cg[0]),
            "left_of_centre": given.get("left_of_centre", kerb.cg[1]),
            "above_ground": given.get("above_ground", kerb.cg[2]),
            "roll_inertia": max(given.get("roll_inertia", was.roll_inertia), LEAST_SHARE),
            "pitch_inertia": max(given.get("pitch_inertia", was.pitch_inertia), LEAST_SHARE),
        }
    )
