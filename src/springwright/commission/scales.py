"""On the scales: loads under wheels or axles and heights of the frame in a load state, and loads with one end raised."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator

from springwright.commission.modelled import Modelled
from springwright.commission.taken import YOURS, FigureRead, Reduced, Taken, Workplace
from springwright.errors import FieldFault
from springwright.motion.equilibrium import equilibrium
from springwright.motion.forces import Case
from springwright.quantities import Length, Mass, Name, PositiveAngle, PositiveLength, PositiveMass
from springwright.results import PRACTICE
from springwright.units import GRAVITY, show

Floats = NDArray[np.float64]
SCALE_SHARE, SCALE_LEAST = 0.003, 1.5  # of a reading, and kg: common practice, no source
RULE = 0.002  # m: common practice, no source


class Weighing(Taken):
    """Scales and heights in a load state, front axle first. Heights are of the frame's underside at each axle, as `ride_height` is.

    `axles` in place of `left` and `right` where whole axles were weighed.
    """

    state: Name
    left: tuple[Mass, ...] = ()
    right: tuple[Mass, ...] = ()
    axles: tuple[Mass, ...] = ()
    heights_left: tuple[Length, ...] = ()
    heights_right: tuple[Length, ...] = ()
    load_uncertainty: PositiveMass | None = None
    height_uncertainty: PositiveLength | None = None

    @model_validator(mode="after")
    def _some(self) -> Weighing:
        if not any((self.left, self.right, self.axles, self.heights_left, self.heights_right)):
            raise FieldFault(
                ("left",), "nothing was read: give left and right, axles, or heights_left and heights_right"
            )
        if self.axles and (self.left or self.right):
            raise FieldFault(("axles",), "give loads under the wheels (left, right) or of whole axles, one of them")
        if bool(self.left) != bool(self.right):
            raise FieldFault(("right" if self.left else "left",), "is missing: what the other side's scales read")
        return self

    def reduced(self, number: int, bench: Workplace) -> Reduced:
        """See `taken.Reduced`: loads and heights as they were read."""
        drawn = bench.drawn
        state = drawn.state_named(self.state, "state")
        axles = drawn.design.axles
        for field in ("left", "right", "axles", "heights_left", "heights_right"):
            given = getattr(self, field)
            if given and len(given) != len(axles):
                raise FieldFault((field,), f"has {len(given)} readings for {len(axles)} axles; front axle first")
        alone = next((i for i, axle in enumerate(axles) if axle.wheels == 1 and self.right and self.right[i]), None)
        if alone is not None:
            raise FieldFault(
                ("right", alone), f'axle "{axles[alone].name}" has one wheel: write its load on the left and 0 kg here'
            )
        figures, asked = [], []
        for field, side in (("left", 0), ("axles", None), ("right", 1)):
            for i, load in enumerate(getattr(self, field)):
                if axles[i].wheels == 1 and side == 1:
                    continue
                doubt = self.load_uncertainty or float(np.hypot(SCALE_SHARE * load, SCALE_LEAST))
                what = f"load {axles[i].name}" + ("" if side is None or axles[i].wheels == 1 else f" {field}")
                figures.append(
                    FigureRead(
                        f"{what}, {state}", "mass", "kg", load, doubt, YOURS if self.load_uncertainty else PRACTICE
                    )
                )
                asked.append(("load", i, side))
        for field, side in (("heights_left", 0), ("heights_right", 1)):
            for i, height in enumerate(getattr(self, field)):
                if axles[i].ride_height is None:
                    raise FieldFault(
                        (field, i),
                        f'there is nothing to hold it against: give ride_height of axle "{axles[i].name}" in the design, the frame\'s underside above ground',
                    )
                word = field.removeprefix("heights_")
                figures.append(
                    FigureRead(
                        f"height {axles[i].name} {word}, {state}", "length", "m", height,
                        self.height_uncertainty or RULE, YOURS if self.height_uncertainty else PRACTICE,
                    )
                )  # fmt: skip
                asked.append(("height", i, side))

        def due(standing: Modelled) -> list[float]:
            at = standing.at(state)
            return [
                _load(standing, at.rest.wheel_loads, i, side)
                if what == "load"
                else _height(standing, state, i, side or 0)
                for what, i, side in asked
            ]

        return Reduced(
            number, "scales", f"On the scales, {state}", figures=tuple(figures), notes=self._noticed(drawn), due=due
        )

    def _noticed(self, drawn: Modelled) -> tuple[str, ...]:
        """Totals of what was read, in words."""
        notes = []
        if whole := sum(self.left) + sum(self.right) + sum(self.axles):
            due = drawn.at(self.state).weight.mass
            notes.append(f"{self.state}: {show(whole, 'mass')} in all, {show(due, 'mass')} due")
            if len(self.left) == 2 == len(self.right) and all(axle.wheels == 2 for axle in drawn.design.axles):
                cross = (self.left[0] + self.right[1]) / whole
                notes.append(f"cross weight, left front and right rear: {show(cross, 'share', 1)}")
        return tuple(notes)


def _load(standing: Modelled, loads: Floats, axle: int, side: int | None) -> float:
    """Load on an axle, or on its left (0) or right (1) wheel [kg]."""
    mine = np.asarray(loads)[standing.at(standing.sheet.design_state).rig.wheel_axle == axle] / GRAVITY
    return float(mine.sum() if side is None else mine[min(side, len(mine) - 1)])


def _height(standing: Modelled, state: str, i: int, side: int) -> float:
    """Height of the frame's underside at an axle, on the left (0) or right (1) [m]."""
    axle, at = standing.design.axles[i], standing.at(state)
    half = axle.frame_half
    return (axle.ride_height or 0.0) + at.rest.rise_at(at.rig, -axle.behind_front_axle, half if side == 0 else -half)


def _radius(standing: Modelled, state: str) -> float:
    """Mean loaded radius of the tyres [m]."""
    at = standing.at(state)
    tyres = [standing.design.axles[i].tyre for i in at.rig.wheel_axle]
    each = [
        one.unloaded_radius - load / rate
        for one, load, rate in zip(tyres, at.rest.wheel_loads, at.rig.tyre_rate, strict=True)
    ]
    return float(np.mean(each))


class RaisedWeighing(Taken):
    """One end raised on its wheels by a height, or the vehicle tilted so by an angle: what the axles still on the scales read."""

    state: Name
    end: Literal["front", "rear"] = "front"
    height: PositiveLength | None = None
    angle: PositiveAngle | None = None
    on_scales: Annotated[dict[str, Mass], Field(min_length=1)]
    load_uncertainty: PositiveMass | None = None

    @model_validator(mode="after")
    def _how_far(self) -> RaisedWeighing:
        if (self.height is None) == (self.angle is None):
            raise FieldFault((), "give one of height (by which its wheels were raised) and angle")
        return self

    def reduced(self, number: int, bench: Workplace) -> Reduced:
        """See `taken.Reduced`: the loads on the axles that stayed down."""
        drawn = bench.drawn
        state = drawn.state_named(self.state, "state")
        places = [one.behind_front_axle for one in drawn.design.axles]
        if len(places) != 2 or drawn.design.hitch is not None:
            raise FieldFault(
                (), "how a vehicle of more than two supports tilts on its springs is not read here; leave this set out"
            )
        long = places[-1] - places[0]
        if self.height is not None and self.height >= long:
            raise FieldFault(("height",), f"must be less than the wheelbase, {show(long, 'length')}")
        angle = self.angle if self.angle is not None else float(np.arcsin((self.height or 0.0) / long))
        climb = angle if self.end == "front" else -angle
        asked = [drawn.axle(name, "on_scales", name) for name in self.on_scales]
        figures = tuple(
            FigureRead(
                f"load {name}, {state}, {self.end} raised", "mass", "kg", load,
                self.load_uncertainty or float(np.hypot(SCALE_SHARE * load, SCALE_LEAST)), YOURS if self.load_uncertainty else PRACTICE,
            )
            for name, load in self.on_scales.items()
        )  # fmt: skip

        def due(standing: Modelled) -> list[float]:
            at = standing.at(state)
            # each wheel stands under its own centre, on the scale or the block: gravity turns the body over that height, not over the ground
            over = 1 - _radius(standing, state) / at.weight.cg[2]
            gravity = (-GRAVITY * np.sin(climb) * over, 0.0, -GRAVITY * np.cos(climb))
            rest = equilibrium(at.rig, case=Case(gravity=gravity))
            return [_load(standing, rest.wheel_loads / np.cos(angle), i, None) for i in asked]

        return Reduced(number, "scales", f"With the {self.end} raised, {state}", figures=figures, due=due)
