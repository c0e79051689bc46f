"""Pushed down and let up: known masses on and off a place of the body, how far it goes down; the slope is the ride rate, the loop friction."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator

from springwright.commission.modelled import Modelled, loaded
from springwright.commission.taken import (
    YOURS,
    FigureRead,
    ReadLine,
    Reduced,
    Slope,
    Taken,
    Trace,
    Workplace,
    straight,
)
from springwright.errors import FieldFault, UnsolvedError
from springwright.motion.equilibrium import equilibria
from springwright.motion.rig import BODY, row, stack
from springwright.quantities import Length, Mass, Name, PositiveLength, PositiveMass
from springwright.results import PRACTICE
from springwright.units import GRAVITY

Floats = NDArray[np.float64]
RULE = 0.0005  # m between readings of one rule: common practice, no source
MASS_SHARE = 0.005  # of a mass that was weighed: common practice, no source
LEAST_BRANCH = 2  # readings on a branch beyond its first
Between = Literal["frame and ground", "frame and axle"]


class Branches(NamedTuple):
    """Which readings lie on the line going on and on that coming off: the first of each is left out, friction may still hold there."""

    on: NDArray[np.intp]
    off: NDArray[np.intp]


class Push(Taken):
    """Masses on the body over an axle, in the order they went on and came off, and how far it stood lower with each.

    `lowered` is read between frame and ground, tyres in it, or between frame and axle; at the axle, on the centreline or on one `side`,
    where the masses then lie too.
    """

    axle: Name
    state: Name | None = None
    side: Literal["left", "right"] | None = None
    loads: tuple[Mass, ...] = Field(min_length=3)
    lowered: tuple[Length, ...] = Field(min_length=3)
    between: Between = "frame and ground"
    left_of_centre: PositiveLength | None = None
    mass_uncertainty: PositiveMass | None = None
    lowered_uncertainty: PositiveLength | None = None

    @model_validator(mode="after")
    def _pairs(self) -> Push:
        if len(self.loads) != len(self.lowered):
            raise FieldFault(("lowered",), f"has {len(self.lowered)} readings for {len(self.loads)} loads")
        if np.ptp(self.loads) <= 0:
            raise FieldFault(("loads",), "never change: put masses on, step by step")
        rise = np.diff(self.loads)
        top = int(np.argmax(self.loads))
        if np.any(rise[:top] < 0) or np.any(rise[top:] > 0):
            raise FieldFault(
                ("loads",), "must rise to the most and then fall: masses go on step by step, and off again"
            )
        if np.ptp(self.lowered) <= 0:
            raise FieldFault(("lowered",), "never changes: nothing can be read from it")
        return self

    def branches(self) -> Branches:
        """Readings that tell the rate."""
        loads = np.array(self.loads)
        top = int(np.argmax(loads))
        return Branches(np.arange(1, top + 1), np.arange(top + 2, len(loads)))

    def reduced(self, number: int, bench: Workplace) -> Reduced:
        """See `taken.Reduced`: rate, and friction where it came off again."""
        drawn = bench.drawn
        i = drawn.axle(self.axle, "axle")
        state = drawn.state_named(self.state, "state")
        on, off = self.branches()
        looped = self.side is None and len(on) >= LEAST_BRANCH and len(off) >= LEAST_BRANCH
        used = np.concatenate([on, off]) if looped else np.arange(len(self.loads)) if len(on) < LEAST_BRANCH else on
        force, down = GRAVITY * np.array(self.loads), np.array(self.lowered)
        rule = self.lowered_uncertainty or RULE
        weight = GRAVITY * (self.mass_uncertainty or MASS_SHARE * max(self.loads))
        whose = YOURS if self.lowered_uncertainty and self.mass_uncertainty else PRACTICE
        line = straight(
            _about(down, on, off, looped, used),
            _about(force, on, off, looped, used),
            rule,
            weight,
            levels=2 if looped else 1,
        )
        if line.slope <= 0:
            raise FieldFault(
                ("lowered",),
                "goes up as masses go on: write how far it stands lower, downward positive, not the height",
            )
        what = f"{self.axle} {self.side or ''}".strip()
        figures = [FigureRead(f"rate {what}, {_said(self.between)}", "rate", "N/m", line.slope, line.slope_off, whose)]
        if looped:
            half = (
                force[on].mean() - line.slope * down[on].mean() - force[off].mean() + line.slope * down[off].mean()
            ) / 2
            apart = float(down[on].mean() - down[off].mean())
            doubt = float(np.hypot(line.doubt * np.sqrt(1 / len(on) + 1 / len(off)), line.slope_off * apart)) / 2
            figures.append(FigureRead(f"half loop {what}, {_said(self.between)}", "force", "N", half, doubt, whose))
        notes = []
        if self.side is not None and len(off):
            notes.append(f"push {what}: at a corner the rate alone is told, what was read coming off is left out")
        elif not looped:
            notes.append(f"push {what}: rate alone, friction is not known; take the masses off again in the same steps")

        def due(standing: Modelled) -> list[float]:
            rate, share, friction = self._of_model(standing, i, state, used)
            return [rate, friction * share][: len(figures)]

        trace = Trace(
            "lowered", "added", "length", "mass", (*self._lines(line, figures), *self._due_lines(drawn, i, state, used))
        )
        return Reduced(
            number, "push", f"Push it down, {what}", figures=tuple(figures), trace=trace, notes=tuple(notes), due=due
        )

    def _lines(self, line: Slope, figures: Sequence[FigureRead]) -> list[ReadLine]:
        """What was read, on and off, and the line through both."""
        top = int(np.argmax(self.loads))
        on, off = self.branches()
        made = [ReadLine("going on", self.lowered[: top + 1], self.loads[: top + 1])]
        if top + 1 < len(self.loads):
            made.append(ReadLine("coming off", self.lowered[top:], self.loads[top:]))
        both = np.concatenate([on, off]) if len(figures) > 1 else np.arange(len(self.loads))
        middle = float(np.mean(np.array(self.lowered)[both])), float(np.mean(np.array(self.loads)[both]))
        ends = 0.0, max(self.loads)
        fit = tuple(middle[0] + (one - middle[1]) * GRAVITY / line.slope for one in ends)
        return [*made, ReadLine("fit", fit, ends)]

    def _due_lines(self, drawn: Modelled, i: int, state: str, used: NDArray[np.intp]) -> list[ReadLine]:
        rate, _, _ = self._of_model(drawn, i, state, used)
        ends = 0.0, max(self.loads)
        return [ReadLine("due", tuple(one * GRAVITY / rate for one in ends), ends)]

    def _of_model(self, standing: Modelled, i: int, state: str, used: NDArray[np.intp]) -> tuple[float, float, float]:
        """Rate as these readings have it [N/m], how much of the friction shows in half the loop, and the axle's friction [N].

        A load that goes on is met by spring and friction: over the tyres the axle's friction F moves the line by F / k_s along the
        travel, so that along the load half the loop is F K / k_s, K the rate in series with the tyres and k_s that of the springs.
        """
        at, axle = standing.at(state), standing.design.axles[i]
        half = axle.frame_half
        y = {"left": 1, "right": -1, None: 0}[self.side] * (
            half if self.left_of_centre is None else self.left_of_centre
        )
        x = -axle.behind_front_axle
        mine = np.flatnonzero(at.rig.wheel_axle == i)
        mine = mine if self.side is None else mine[[0 if self.side == "left" else -1]]
        place = (x, y, at.weight.cg[2])
        masses, which = np.unique(np.array(self.loads)[used], return_inverse=True)
        rigs = stack([loaded(at.rig, float(mass), place) for mass in masses])
        rests = equilibria(rigs)
        if any(rests.reasons):
            raise UnsolvedError(next(filter(None, rests.reasons)))
        rise = np.array([float(row(rigs, k).rise_row(x, y) @ q[:BODY]) for k, q in enumerate(rests.q)])
        down = (at.rest.rise_at(at.rig, x, y) - rise)[which]
        closed = (rigs.travel_at(rests.q) - at.rest.travel)[:, mine].mean(axis=1)[which]
        seen = down if self.between == "frame and ground" else closed
        rate = straight(seen, GRAVITY * np.array(self.loads)[used], 0.0, 0.0).slope
        share = 1.0 if self.between == "frame and axle" else float(np.ptp(closed) / np.ptp(down))
        return rate, share, float(at.rig.friction[at.rig.damper_axle == i].sum())


def _about(values: Floats, on: NDArray[np.intp], off: NDArray[np.intp], looped: bool, used: NDArray[np.intp]) -> Floats:
    """Readings about the mean of their own branch, so that both have one slope."""
    if not looped:
        return values[used]
    return np.concatenate([values[on] - values[on].mean(), values[off] - values[off].mean()])


def _said(between: Between) -> str:
    return "over the tyres" if between == "frame and ground" else "on the springs"
