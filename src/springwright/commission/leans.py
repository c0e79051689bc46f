"""Leaned: how far the body rolls in a steady circle, and at which tilt a wheel lifts, as a test house found it.

A steady circle goes up to one third of the lesser of the predicted thresholds of lifting and sliding (ISO 4138 as guide); a tilt table is
a test house's own, with restraints (ISO 16333), and nothing here asks for one.
"""

from __future__ import annotations

import numpy as np
from pydantic import Field, model_validator

from springwright.commission.modelled import Modelled
from springwright.commission.taken import (
    YOURS,
    FigureRead,
    ReadLine,
    Reduced,
    Taken,
    Trace,
    Workplace,
    straight,
)
from springwright.errors import FieldFault, UnsolvedError
from springwright.motion.equilibrium import equilibrium
from springwright.motion.forces import Case
from springwright.quantities import Angle, LateralAcceleration, Name, PositiveAngle
from springwright.results import PRACTICE

ROLL = np.radians(0.1)  # of a roll angle read: common practice, no source
LATERAL = 0.02 * 9.80665  # m/s2: common practice, no source
TILT = np.radians(0.5)  # of the angle at which a wheel lifts: common practice, no source


class Circle(Taken):
    """Roll angles of the body against the ground at lateral accelerations in a steady circle, both told without sign.

    `zeroed` where the angle was set to nought as it stood; else a level of its own is sought.
    """

    state: Name | None = None
    lateral: tuple[LateralAcceleration, ...] = Field(min_length=1)
    roll: tuple[Angle, ...] = Field(min_length=1)
    zeroed: bool = True
    roll_uncertainty: PositiveAngle | None = None
    lateral_uncertainty: LateralAcceleration | None = None

    @model_validator(mode="after")
    def _pairs(self) -> Circle:
        if len(self.lateral) != len(self.roll):
            raise FieldFault(("roll",), f"has {len(self.roll)} readings for {len(self.lateral)} accelerations")
        if not self.zeroed and len(self.lateral) < 3:
            raise FieldFault(("zeroed",), "an angle that was not set to nought takes three readings or more")
        return self

    def reduced(self, number: int, bench: Workplace) -> Reduced:
        """See `taken.Reduced`: the roll gradient, the slope through the readings."""
        state = bench.drawn.state_named(self.state, "state")
        origin = self.zeroed
        doubt = self.roll_uncertainty or ROLL
        line = straight(self.lateral, self.roll, self.lateral_uncertainty or LATERAL, doubt, through_zero=origin)
        figures = (
            FigureRead(f"roll gradient, {state}", "lean", "rad*s**2/m", line.slope, line.slope_off, YOURS if self.roll_uncertainty and self.lateral_uncertainty else PRACTICE),
        )  # fmt: skip

        def rolls(standing: Modelled) -> list[float]:
            at = standing.at(state)
            return [equilibrium(at.rig, case=Case(across=one)).roll - at.rest.roll for one in self.lateral]

        def due(standing: Modelled) -> list[float]:
            return [straight(self.lateral, rolls(standing), 0.0, 0.0, through_zero=origin).slope]

        lines = (ReadLine("read", self.lateral, self.roll), ReadLine("due", self.lateral, tuple(rolls(bench.drawn))))
        trace = Trace("lateral acceleration", "roll", "lateral", "angle", lines)
        return Reduced(number, "lean", f"Lean it, {state}", figures=figures, trace=trace, due=due)


class TiltTable(Taken):
    """The angle at which the first wheel lifted on a test house's tilt table with restraints, the left side up."""

    state: Name | None = None
    angle: PositiveAngle
    table: Name
    angle_uncertainty: PositiveAngle | None = None

    def reduced(self, number: int, bench: Workplace) -> Reduced:
        """See `taken.Reduced`: that angle."""
        state = bench.drawn.state_named(self.state, "state")
        figures = (
            FigureRead(f"tilt at which a wheel lifts, {state}", "angle", "rad", self.angle, self.angle_uncertainty or float(TILT), YOURS if self.angle_uncertainty else PRACTICE),
        )  # fmt: skip

        def due(standing: Modelled) -> list[float]:
            return [lifting_tilt(standing, state)]

        notes = (f"tilt table of {self.table}: a result taken as it was given",)
        return Reduced(number, "lean", f"Tilted, {state}", figures=figures, notes=notes, due=due)


def lifting_tilt(standing: Modelled, state: str) -> float:
    """Tilt, right side down, at which the first wheel carries nothing [rad]; nan where it falls before."""
    rig = standing.at(state).rig

    def least(lean: float) -> float:
        # what stands past lifting leans on: a force as far below nought as the tyre is off the ground keeps the search straight
        try:
            return float(equilibrium(rig, case=Case.slope(lean=lean)).wheel_loads.min()) - 1.0
        except UnsolvedError:
            return -1e4

    high = 0.05
    while least(high) > 0:
        high += 0.05
        if high > 1.2:
            return float("nan")
    from scipy.optimize import brentq  # only here: it costs start-up time

    return float(brentq(least, high - 0.05, high, xtol=1e-5))
