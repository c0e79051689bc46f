"""A hydropneumatic strut as the builder writes it: a piston, oil, and one or two gas accumulators.

Oil is taken as stiff. As the strut is pressed the oil goes into the accumulators at one pressure; each takes none below its
precharge. The force falls steeply once the last gas is fully out, and that place is the end of the usable range.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Annotated, Any

import numpy as np
from numpy.typing import ArrayLike
from pydantic import Field, model_validator

from springwright.errors import FieldFault
from springwright.parts import gas
from springwright.parts.gas_part import GasPart
from springwright.parts.law import Floats, Law, Pull, SpringNeed, as_drawn
from springwright.parts.record import AGREE, Dimension, Tolerance, length
from springwright.quantities import NonNegativeLength, PositiveLength, Pressure, Ratio, Record, Volume
from springwright.results import Judged
from springwright.units import show, show_temperature

FULL = 0.95  # share of the accumulators' volume that oil may fill at most
REAL_GAS = 200e5  # Pa, above which a real gas is noticeably stiffer than the law used here


class Accumulator(Record):
    """A gas chamber: gauge precharge at the temperature it is charged at, and its gas volume with no oil in it."""

    precharge: Pressure
    volume: Volume


@dataclass(frozen=True)
class Oil(Law):
    """Gas behind oil: acting `area` [m2], `chambers` of absolute precharge [Pa] and volume [m3], oil in them at zero travel [m3].

    For quick motion about a place, `rest` holds that place, and each chamber's own pressure and volume are those it has there.
    """

    area: float
    chambers: tuple[tuple[float, float], ...]
    oil: float
    exponent: float
    slow_exponent: float
    levelled: bool = False
    rest: float | None = None
    most: float = np.inf

    @property
    def least(self) -> float:  # type: ignore[override]
        """Where the last gas is out [m]."""
        return -self.oil / self.area

    @property
    def locks(self) -> float:
        """How far it can be pressed until hardly any gas is left [m]."""
        return (FULL * sum(volume for _, volume in self.chambers) - self.oil) / self.area

    def _taken(self, pressure: Floats) -> tuple[Floats, Floats]:
        """Oil in the chambers [m3] at an absolute pressure [Pa], and how it grows with pressure."""
        taken, growth = np.zeros_like(pressure), np.zeros_like(pressure)
        for precharge, volume in self.chambers:
            begin_p, begin_v, n = precharge, volume, self.slow_exponent
            if self.rest is not None:  # from where it rests the gas goes by the quick exponent
                still = max(self._still, precharge)
                begin_p, begin_v, n = still, volume * (precharge / still) ** (1 / self.slow_exponent), self.exponent
            # out of oil where the gas would fill the chamber
            empty = begin_p * (begin_v / volume) ** n
            filled = pressure > empty
            left = begin_v * (begin_p / np.maximum(pressure, empty)) ** (1 / n)
            taken = taken + np.where(filled, volume - left, 0.0)
            growth = growth + np.where(filled, left / (n * np.maximum(pressure, empty)), 0.0)
        return taken, growth

    @cached_property
    def _still(self) -> float:
        """Absolute pressure where it rests [Pa], reached slowly."""
        return float(replace(self, rest=None).pressures(np.array([self.rest or 0.0]))[0])

    def pressures(self, pressed: Floats) -> Floats:
        """Absolute pressure [Pa] at each place, by bisection in the logarithm and Newton to the end."""
        wanted = np.maximum(self.oil + self.area * np.asarray(pressed, dtype=float), 1e-9)
        low = np.full_like(wanted, np.log(1e-2 * min(p for p, _ in self.chambers)))
        high = np.full_like(wanted, np.log(1e4 * max(p for p, _ in self.chambers)))
        for _ in range(60):
            middle = (low + high) / 2
            short = self._taken(np.exp(middle))[0] < wanted
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        return np.asarray(np.exp((low + high) / 2))

    def at(self, pressed: ArrayLike) -> Pull:
        """See `Law`; below the usable range the force falls on with the rate it had [N, N/m at m]."""
        x = np.asarray(pressed, dtype=float)
        inside = np.maximum(x, self.least + 1e-6)
        pressure = self.pressures(np.atleast_1d(inside)).reshape(inside.shape)
        growth = self._taken(np.atleast_1d(pressure))[1].reshape(inside.shape)
        rate = self.area**2 / np.maximum(growth, 1e-18)
        return Pull((pressure - gas.ATMOSPHERE) * self.area + rate * (x - inside), rate)

    def carrying(self, force: float) -> Law:
        """See `Law`: oil is pumped in or let out at its height [N]."""
        if not self.levelled:
            return self
        pressure = np.array([force / self.area + gas.ATMOSPHERE])
        return replace(self, oil=float(replace(self, rest=None)._taken(pressure)[0][0]))  # noqa: SLF001

    def about(self, pressed: float) -> Law:
        """See `Law` [m]."""
        return replace(self, rest=pressed)

    @property
    def rate(self) -> float:
        """Rate of quick motion about zero travel [N/m]."""
        return float((self if self.rest is not None else self.about(0.0)).at(0.0).rate)


class HydropneumaticStrut(GasPart):
    """Piston of `bore` diameter, its whole face or (`acts_on` = "rod") only the rod's area at work, on one or two accumulators.

    Left out, the gas `volume` of a single accumulator is worked out from the target at `precharge_share` of the ride pressure.
    The oil is set to carry the design load at zero travel, unless `pressure` (gauge, at zero travel) is given. `runs_at` is the
    temperature of the gas when it works.
    """

    bore: PositiveLength
    rod: NonNegativeLength = 0.0
    acts_on: Annotated[str, Field(pattern="^(piston|rod)$")] = "piston"
    accumulators: Annotated[tuple[Accumulator, ...], Field(max_length=2)] = ()
    precharge_share: Ratio = 0.6

    @model_validator(mode="after")
    def _whole(self) -> HydropneumaticStrut:
        if self.rod >= self.bore:
            raise FieldFault(("rod",), "must be thinner than the bore")
        if self.acts_on == "rod" and not self.rod:
            raise FieldFault(("rod",), "is missing: the rod's area is what works")
        if not 0.05 <= self.precharge_share < 1:
            raise FieldFault(("precharge_share",), "must be between 0.05 and 1")
        return self

    @property
    def kind(self) -> str:
        """See `SpringPart`."""
        return "hydropneumatic strut"

    @property
    def complete(self) -> bool:
        """See `SpringPart`."""
        return bool(self.accumulators)

    @property
    def area(self) -> float:
        """Area at work [m2]."""
        across = self.bore if self.acts_on == "piston" else self.rod
        return float(np.pi * across**2 / 4)

    def ideal(self, rate: float, force: float) -> Law:
        """See `SpringPart`: one chamber at the precharge share that gives the rate."""
        pressure = force / self.area + gas.ATMOSPHERE
        there = float(gas.volume_for(rate, force, self.area, self.exponent))
        precharge = self.precharge_share * force / self.area + gas.ATMOSPHERE
        volume = there * (pressure / precharge) ** (1 / self.slow_exponent)
        return Oil(
            self.area, ((precharge, volume),), volume - there, self.exponent, self.slow_exponent, levelled=self.levelled
        )

    def sized(self, need: SpringNeed) -> HydropneumaticStrut:
        """See `SpringPart`."""
        if self.complete:
            return self
        force = need.ride_force if self.pressure is None else self.pressure * self.area
        law = self.ideal(need.rate, force)
        assert isinstance(law, Oil)
        ((precharge, volume),) = law.chambers
        at_charge = float(
            gas.precharge_at(precharge - gas.ATMOSPHERE, self.charged_at, self.runs_at or self.charged_at)
        )
        made = Accumulator.model_construct(precharge=round(at_charge, -3), volume=round(volume, 6))
        return self.model_copy(update={"accumulators": (made,)})

    def law(self, need: SpringNeed) -> Law:
        """See `SpringPart`."""
        warm = self.runs_at or self.charged_at
        chambers = tuple(
            (float(gas.precharge_at(one.precharge, warm, self.charged_at)) + gas.ATMOSPHERE, one.volume)
            for one in self.accumulators
        )
        empty = Oil(self.area, chambers, 1.0, self.exponent, self.slow_exponent, levelled=True, most=self.bump_stroke)
        force = need.ride_force if self.pressure is None else self.pressure * self.area
        low = min(p for p, _ in chambers)
        if force / self.area + gas.ATMOSPHERE <= low:
            raise FieldFault(
                ("spring", "strut", "accumulators"),
                f"precharge {show(low - gas.ATMOSPHERE, 'pressure')} at work is above the {show(force / self.area, 'pressure')} that carries the load: the gas would never be pressed; charge it lower",
            )
        set_ = empty.carrying(force)
        assert isinstance(set_, Oil)
        return replace(set_, levelled=self.levelled)

    def judged_in(self, need: SpringNeed, states: Mapping[str, Law]) -> tuple[Judged, ...]:
        """See `SpringPart`: pressure at full bump, and gas left there, before the strut locks on its oil."""
        laws = {name: drawn for name, law in states.items() if isinstance(drawn := as_drawn(law), Oil)}
        at = min(need.bump, self.bump_stroke)
        tight = max(laws, key=lambda name: float(laws[name].at(at).force))
        full = min(laws, key=lambda name: laws[name].locks)
        return (
            Judged.of("gauge pressure at full bump, quick", float(laws[tight].at(at).force) / self.area, "at most", self.largest_pressure, unit="Pa", kind="pressure", source="your limit", where=tight, id="gauge_pressure_at_full_bump"),
            Judged.of("bump before oil fills the accumulators", laws[full].locks, "at least", need.bump, unit="m", kind="length", source=f"{1 - FULL:.0%} of the gas volume left", where=full, id="bump_before_oil"),
        )  # fmt: skip

    def told(self, need: SpringNeed, law: Law) -> dict[str, Any]:
        """See `SpringPart`."""
        assert isinstance(law, Oil)
        quick = law.about(0.0)
        at_rest, at_bump = (float(quick.at(x).force) / self.area for x in (0.0, min(need.bump, self.bump_stroke)))
        dimensions = [
            length("bore", self.bore), length("rod", self.rod), Dimension("area at work", self.area, "m**2", "area"),
            *(
                d
                for i, one in enumerate(self.accumulators, start=1)
                for d in (
                    Dimension(f"accumulator {i}, gas volume without oil", one.volume, "m**3", "volume"),
                    Dimension(f"accumulator {i}, precharge at {show_temperature(self.charged_at)}", one.precharge, "Pa", "pressure"),
                )
            ),
            Dimension("oil in the accumulators at zero travel", law.oil, "m**3", "volume", found=True),
            Dimension("gauge pressure at zero travel", at_rest, "Pa", "pressure", found=True), Dimension("gauge pressure at full bump, quick", at_bump, "Pa", "pressure", found=True),
            Dimension("quick rate at zero travel", law.rate, "N/m", "rate", found=True), Dimension("slow rate", float(law.at(0.0).rate), "N/m", "rate", found=True),
            *self.stroke_dimensions("levelled by pumping oil", "a fixed amount of oil"),
        ]  # fmt: skip
        judged = [
            *self.strokes(need),
            Judged.of("droop before the gas is fully out", -law.least, "at least", need.droop, unit="m", kind="length", source="the oil in the accumulators", id="droop_before_gas_out"),
        ]  # fmt: skip
        remarks = [f"{self.exponents}; oil and walls taken as stiff"]
        for temperature in (gas.ROOM - 40, gas.ROOM + 40):
            said = ", ".join(
                show(float(gas.precharge_at(one.precharge, temperature, self.charged_at)), "pressure")
                for one in self.accumulators
            )
            remarks.append(f"precharge at {show_temperature(temperature)}: {said}")
        if at_bump > REAL_GAS:
            remarks.append(
                f"above {show(REAL_GAS, 'pressure')} a real gas is stiffer than worked out here: have the maker confirm the curve"
            )
        return {
            "dimensions": tuple(dimensions), "judged": tuple(judged), "material": "to the maker's sheet; nitrogen only",
            "tolerances": (Tolerance("precharge", 2e5, "Pa", "pressure", AGREE),),
            "arrival": ("check the precharge with the oil side empty, at a known temperature", "check rod and seals for scoring; stroke the strut empty by hand"),
            "workings": (
                gas.rate.work(
                    "strut, quick", exponent=self.exponent, pressure=at_rest + gas.ATMOSPHERE, area=self.area, gauge=at_rest, area_slope=0.0,
                    volume=self.exponent * (at_rest + gas.ATMOSPHERE) * self.area**2 / law.rate,
                ),
            ) if len(self.accumulators) == 1 else (),
            "remarks": tuple(remarks),
            "cautions": ("Let oil and gas pressure out by the maker's method before a line is loosened; nitrogen only; never heat, drill or weld a chamber.",),
        }  # fmt: skip
