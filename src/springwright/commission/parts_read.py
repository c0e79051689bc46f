"""Parts read by themselves: a spring pressed to some lengths on the bench, and a tyre pressed by some loads."""

from __future__ import annotations

from functools import partial
from typing import Literal

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
from springwright.errors import FieldFault, SpringwrightError
from springwright.quantities import (
    Length,
    Name,
    NonNegativeForce,
    PositiveForce,
    PositiveLength,
    PositiveRate,
    Pressure,
)
from springwright.results import PRACTICE
from springwright.units import show

BENCH_SHARE = 0.01  # of the largest load: a workshop press's gauge; common practice, no source
CALLIPER, TAPE = 0.0005, 0.001  # m: common practice, no source
RATE_SHARE = 0.02  # of a rate that is only told: common practice, no source


class SpringBench(Taken):
    """One spring of an axle pressed to some lengths, seat to seat, with its load at each; or the rate and free length a maker measured.

    The rate is best read between 30 and 70 % of the deflection (EN 15800).
    """

    axle: Name
    side: Literal["left", "right"] = "left"
    lengths: tuple[PositiveLength, ...] = ()
    loads: tuple[NonNegativeForce, ...] = ()
    rate: PositiveRate | None = None
    free_length: PositiveLength | None = None
    load_uncertainty: PositiveForce | None = None
    length_uncertainty: PositiveLength | None = None
    rate_uncertainty: PositiveRate | None = None

    @model_validator(mode="after")
    def _pairs(self) -> SpringBench:
        if bool(self.lengths) == (self.rate is not None):
            raise FieldFault(
                (), "give lengths with the loads read at them, or the rate (and free_length) that was measured"
            )
        if len(self.lengths) != len(self.loads):
            raise FieldFault(("loads",), f"has {len(self.loads)} readings for {len(self.lengths)} lengths")
        if self.lengths and len(set(self.lengths)) < 2:
            raise FieldFault(("lengths",), "press it to two lengths or more")
        return self

    def reduced(self, number: int, bench: Workplace) -> Reduced:
        """See `taken.Reduced`: rate, and the load at the middle of the lengths read (or the free length)."""
        drawn = bench.drawn
        i = drawn.axle(self.axle, "axle")
        what, title = f"spring {self.axle} {self.side}", f"On the bench, {self.axle} spring"
        lengths, loads = np.array(self.lengths), np.array(self.loads)
        if self.rate is not None:
            return self._told(number, i, what, title, drawn)
        doubt = self.load_uncertainty or BENCH_SHARE * max(self.loads)
        line = straight(-lengths, loads, self.length_uncertainty or CALLIPER, doubt)
        if line.slope <= 0:
            raise FieldFault(
                ("lengths",),
                "get longer as the load grows: write the distance between its seats, not how far it is pressed",
            )
        whose = YOURS if self.load_uncertainty and self.length_uncertainty else PRACTICE
        middle = float(lengths.mean())
        figures = (
            FigureRead(f"rate of {what}", "rate", "N/m", line.slope, line.slope_off, whose),
            FigureRead(
                f"load of {what} at {show(middle, 'length')}", "force", "N", line.middle, line.middle_off, whose
            ),
        )

        def due(standing: Modelled) -> list[float]:
            told = straight(-lengths, self._loads(standing, i, lengths), 0.0, 0.0)
            return [told.slope, told.middle]

        drawn_loads = tuple(self._loads(drawn, i, lengths).tolist())
        trace = Trace(
            "length",
            "load",
            "length",
            "force",
            (ReadLine("read", self.lengths, self.loads), ReadLine("due", self.lengths, drawn_loads)),
        )
        return Reduced(number, "bench", title, figures=figures, trace=trace, due=due)

    def _loads(self, standing: Modelled, i: int, lengths: np.ndarray) -> np.ndarray:
        """Loads of the model's spring at some lengths [N]."""
        axle = standing.design.axles[i]
        mount = axle.on_side(1 if self.side == "left" else -1).spring
        return np.asarray(mount.sided(standing.laws[i]).at(axle.spring.rest_length - lengths).force)

    def _told(self, number: int, i: int, what: str, title: str, drawn: Modelled) -> Reduced:
        assert self.rate is not None
        whose = YOURS if self.rate_uncertainty else PRACTICE
        figures = [
            FigureRead(
                f"rate of {what}", "rate", "N/m", self.rate, self.rate_uncertainty or RATE_SHARE * self.rate, whose
            )
        ]
        if self.free_length is not None:
            if drawn.sheet.springs[i].fitted.free_length <= 0:
                raise FieldFault(
                    ("free_length",), "is of a coil; this axle's spring is of another kind: give lengths and loads"
                )
            figures.append(
                FigureRead(
                    f"free length of {what}", "length", "m", self.free_length, self.length_uncertainty or TAPE, whose
                )
            )

        def due(standing: Modelled) -> list[float]:
            rest = standing.design.axles[i].spring.rest_length
            force, rate = (
                standing.design.axles[i]
                .on_side(1 if self.side == "left" else -1)
                .spring.sided(standing.laws[i])
                .at(0.0)
            )
            spacer = standing.sheet.springs[i].fitted.spacer
            return [float(rate), rest - spacer + float(force / rate)][: len(figures)]

        return Reduced(number, "bench", title, figures=tuple(figures), due=due)


class TyrePress(Taken):
    """A tyre of an axle under some loads at a pressure, and how far each pressed it; or the rate that a maker states."""

    axle: Name
    pressure: Pressure | None = None
    loads: tuple[NonNegativeForce, ...] = Field(default=())
    pressed: tuple[Length, ...] = ()
    rate: PositiveRate | None = None
    load_uncertainty: PositiveForce | None = None
    pressed_uncertainty: PositiveLength | None = None
    rate_uncertainty: PositiveRate | None = None

    @model_validator(mode="after")
    def _pairs(self) -> TyrePress:
        if bool(self.loads) == (self.rate is not None):
            raise FieldFault((), "give loads with how far each pressed the tyre, or the rate")
        if len(self.loads) != len(self.pressed):
            raise FieldFault(("pressed",), f"has {len(self.pressed)} readings for {len(self.loads)} loads")
        if self.loads and len(set(self.pressed)) < 2:
            raise FieldFault(("pressed",), "press it by two loads or more")
        return self

    def reduced(self, number: int, bench: Workplace) -> Reduced:
        """See `taken.Reduced`: its rate at that pressure."""
        i = bench.drawn.axle(self.axle, "axle")
        if self.rate is not None:
            rate, doubt, whose = (
                self.rate,
                self.rate_uncertainty or RATE_SHARE * self.rate,
                YOURS if self.rate_uncertainty else PRACTICE,
            )
            trace = None
        else:
            load = self.load_uncertainty or BENCH_SHARE * max(self.loads)
            line = straight(self.pressed, self.loads, self.pressed_uncertainty or TAPE, load)
            if line.slope <= 0:
                raise FieldFault(
                    ("pressed",),
                    "falls as the load grows: write how far each load pressed the tyre, in the order of the loads",
                )
            given = self.load_uncertainty and self.pressed_uncertainty
            rate, doubt, whose = line.slope, line.slope_off, YOURS if given else PRACTICE
            ends = min(self.loads), max(self.loads)
            (stiff,) = self._due(bench.drawn, i)
            lines = (
                ReadLine("read", self.pressed, self.loads),
                ReadLine("due", tuple(one / stiff for one in ends), ends),
            )
            trace = Trace("pressed", "load", "length", "force", lines)
        at = self.pressure or bench.drawn.design.axles[i].tyre.pressure
        where = "" if at is None else f" at {show(at, 'pressure')}"
        figures = (FigureRead(f"rate of {self.axle} tyre{where}", "rate", "N/m", rate, doubt, whose),)

        return Reduced(
            number,
            "tyre",
            f"{self.axle.capitalize()} tyre pressed{where}",
            figures=figures,
            trace=trace,
            due=partial(self._due, i=i),
        )

    def _due(self, standing: Modelled, i: int) -> list[float]:
        axle = standing.design.axles[i]
        try:
            drawn = axle.tyre.rate if self.pressure is None else axle.tyre.rate_at(self.pressure)
        except (SpringwrightError, ValueError) as error:
            raise FieldFault(
                ("pressure",), f"the design does not say the tyre's rate at another pressure than its own: {error}"
            ) from None
        return [drawn * axle.as_built.tyre_rate]
