"""An air spring as the builder writes it: bellows or sleeve, levelled or with a fixed mass of air.

Area and volume are one curve, A = -dV/dp along the stroke, so that force and energy agree. Slow changes of load go by
`slow_exponent`, motion about the rest by `exponent` (1.38, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Annotated, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import Field, model_validator

from springwright.errors import FieldFault, NoneFitsError
from springwright.parts import gas
from springwright.parts.gas_part import GasPart
from springwright.parts.law import Law, Pull, SpringNeed, as_drawn
from springwright.parts.record import AGREE, Dimension, Tolerance
from springwright.quantities import Length, PositiveArea, Volume
from springwright.results import Judged
from springwright.units import show, show_temperature

Floats = NDArray[np.float64]
AREA_TOLERANCE = 0.03  # share of the mean area that the maker's area may be off his own volume's slope


@dataclass(frozen=True)
class Bellows:
    """Shape along the stroke: points of pressed [m], effective area [m2] and volume [m3]; two or more make a smooth curve."""

    points: tuple[tuple[float, float, float], ...]

    @cached_property
    def _cubics(self) -> tuple[Floats, Floats]:
        """Knots and (4, pieces) coefficients of the volume between them, whose slope at each knot is the area there taken off."""
        x, area, volume = np.array(self.points).T
        h, rise = np.diff(x), np.diff(volume) / np.diff(x)
        before, after = -area[:-1], -area[1:]
        return x, np.array(
            [volume[:-1], before, (3 * rise - 2 * before - after) / h, (before + after - 2 * rise) / h**2]
        )

    def at(self, pressed: Any) -> tuple[Any, Any, Any]:
        """Volume [m3], effective area [m2] and its slope [m], the area held beyond the ends."""
        knots, cubics = self._cubics
        x = np.asarray(pressed, dtype=float)
        inside = np.minimum(np.maximum(x, knots[0]), knots[-1])
        piece = np.searchsorted(knots[1:-1], inside, side="right")
        t = inside - knots[piece]
        v0, v1, v2, v3 = cubics[:, piece]
        area = -(v1 + t * (2 * v2 + 3 * t * v3))
        volume = v0 + t * (v1 + t * (v2 + t * v3)) - area * (x - inside)
        return volume, area, np.where(x == inside, -2 * v2 - 6 * t * v3, 0.0)


def even(area: float, area_slope: float, volume: float, low: float, high: float) -> Bellows:
    """A shape whose area changes in a straight line from `low` to `high`: the volume follows [m2, m3, m]."""
    x = (low, 0.0, high)
    return Bellows(tuple((one, area + area_slope * one, volume - area * one - area_slope * one**2 / 2) for one in x))


@dataclass(frozen=True)
class Air(Law):
    """Polytropic air in a bellows: `gauge` [Pa] at place `at_place` [m], volume of a tank beside it [m3]."""

    shape: Bellows
    gauge: float
    at_place: float = 0.0
    tank: float = 0.0
    exponent: float = 1.38
    slow_exponent: float = 1.0
    quick: bool = False
    levelled: bool = False
    least: float = -np.inf
    most: float = np.inf

    def at(self, pressed: ArrayLike) -> Pull:
        """See `Law` [N, N/m at m]."""
        n = self.exponent if self.quick else self.slow_exponent
        volume, area, area_slope = self.shape.at(pressed)
        left = np.maximum(volume + self.tank, 1e-3 * self._start)
        pressure = gas.pressure_at(self.gauge + gas.ATMOSPHERE, self._start, left, n)
        over = pressure - gas.ATMOSPHERE
        return Pull(over * area, gas.rate(n, pressure, area, left, over, area_slope))

    @cached_property
    def _start(self) -> float:
        """Volume at `at_place`, with the tank [m3]."""
        return float(self.shape.at(self.at_place)[0]) + self.tank

    def pressure(self, pressed: float) -> float:
        """Gauge pressure at a place [Pa]."""
        pull, area = self.at(pressed).force, self.shape.at(pressed)[1]
        return float(pull / area)

    def carrying(self, force: float) -> Law:
        """See `Law`: a levelled spring is pumped or bled at its height [N]."""
        if not self.levelled:
            return self
        return replace(self, gauge=force / float(self.shape.at(0.0)[1]), at_place=0.0)

    def about(self, pressed: float) -> Law:
        """See `Law`: the gas where it rests, quick from there [m]."""
        return replace(self, gauge=self.pressure(pressed), at_place=pressed, quick=True)

    @property
    def rate(self) -> float:
        """Rate of quick motion about zero travel [N/m]."""
        return float(self.about(0.0).at(0.0).rate) if not self.quick else float(self.at(0.0).rate)


class AirSpring(GasPart):
    """Bellows or sleeve by `area` and `volume` at zero travel, or by the maker's `curve` (pressed, effective area, volume).

    Left out, `volume` (of the bellows, without a tank beside it) is worked out from the target's rate and `pressure` (gauge, at zero travel) from its load.
    `bump_stroke` and `droop_stroke` are what the bellows can be pressed and let out from its place at zero travel.
    """

    area: PositiveArea | None = None
    area_slope: Length = 0.0
    volume: Volume | None = None
    tank: Volume | None = None
    curve: Annotated[tuple[tuple[Length, PositiveArea, Volume], ...], Field(min_length=2)] | None = None

    @model_validator(mode="after")
    def _whole(self) -> AirSpring:
        if (self.area is None) == (self.curve is None):
            raise FieldFault((), "give one of area (with volume) and the maker's curve")
        if self.curve is not None:
            if self.volume is not None:
                raise FieldFault(("volume",), "is in the curve already; take it out, and give a tank beside it as tank")
            x, area, volume = np.array(self.curve).T
            if np.any(np.diff(x) <= 0) or not x[0] < 0 < x[-1]:
                raise FieldFault(("curve",), "must rise from droop (negative) to bump (positive), row by row")
            if x[0] > -self.droop_stroke or x[-1] < self.bump_stroke:
                raise FieldFault(
                    ("curve",),
                    "does not reach over the whole stroke in bump and droop; take its rows further or shorten the strokes",
                )
            if np.any(np.diff(volume) >= 0):
                raise FieldFault(("curve",), "the volume must fall as the spring is pressed")
            if not gas.area_fits_volume(x, area, volume, AREA_TOLERANCE):
                raise FieldFault(
                    ("curve",),
                    f"area and volume do not belong together: the area must be the fall of volume per stroke within {AREA_TOLERANCE:.0%}; check both columns",
                )
        else:
            swept = (self.area or 0.0) * self.bump_stroke + self.area_slope * self.bump_stroke**2 / 2
            if self.volume is not None and self.volume + (self.tank or 0.0) < 1.05 * swept:
                raise FieldFault(
                    ("volume",),
                    f"is hardly more than the {show(swept, 'volume')} that the stroke in bump sweeps: the air would be pressed to nothing; check it, or add the tank",
                )
            for place, at in (("bump", self.bump_stroke), ("droop", -self.droop_stroke)):
                if (self.area or 0.0) + self.area_slope * at <= 0:
                    raise FieldFault(("area_slope",), f"leaves no area at the end of the {place} stroke")
        return self

    @property
    def kind(self) -> str:
        """See `SpringPart`."""
        return "air spring"

    @property
    def complete(self) -> bool:
        """See `SpringPart`."""
        return self.curve is not None or self.volume is not None

    @cached_property
    def _area(self) -> tuple[float, float]:
        """Effective area [m2] and its slope [m] at zero travel."""
        if self.curve is None:
            return self.area or 0.0, self.area_slope
        _, area, slope = Bellows(self.curve).at(0.0)
        return float(area), float(slope)

    def _made(self, volume: float | None, gauge: float) -> Air:
        limits = {"levelled": self.levelled, "least": -self.droop_stroke, "most": self.bump_stroke}
        kind = {"exponent": self.exponent, "slow_exponent": self.slow_exponent}
        if self.curve is not None:
            return Air(Bellows(self.curve), gauge, tank=self.tank or 0.0, **kind, **limits)  # type: ignore[arg-type]
        area, slope = self._area
        shape = even(area, slope, volume or 0.0, -self.droop_stroke, self.bump_stroke)
        return Air(shape, gauge, tank=self.tank or 0.0, **kind, **limits)  # type: ignore[arg-type]

    def ideal(self, rate: float, force: float) -> Law:
        """See `SpringPart`: the volume that gives the rate, found from the gas law turned round [N/m, N]."""
        area, slope = self._area
        gauge = force / area
        by_gas = rate - gauge * slope
        if by_gas <= 0:
            raise FieldFault(
                ("spring", "air", "area_slope"), "the growing area alone gives more rate than the target asks"
            )
        volume = float(gas.volume_for(by_gas, force, area, self.exponent))
        shape = even(area, slope, volume, -self.droop_stroke, self.bump_stroke)
        return Air(shape, gauge, 0.0, 0.0, self.exponent, self.slow_exponent, levelled=self.levelled)

    def sized(self, need: SpringNeed) -> AirSpring:
        """See `SpringPart`.

        Raises
        ------
        FieldFault
            The volume would be less than what the stroke sweeps.

        """
        if self.complete:
            return self
        area, slope = self._area
        force = need.ride_force if self.pressure is None else self.pressure * area
        by_gas = need.rate - force / area * slope
        whole = float(gas.volume_for(by_gas, force, area, self.exponent)) if by_gas > 0 else 0.0
        own = whole - (self.tank or 0.0)
        swept = area * self.bump_stroke + slope * self.bump_stroke**2 / 2
        if own <= swept:
            raise NoneFitsError(
                ("spring", "air", "area"),
                f"the rate asks for {show(whole, 'volume')} of air and the stroke alone sweeps {show(swept, 'volume')}; take a smaller area, a smaller tank or a softer target",
            )
        return self.model_copy(update={"volume": round(own, 5)})

    def law(self, need: SpringNeed) -> Law:
        """See `SpringPart`."""
        area, _ = self._area
        gauge = need.ride_force / area if self.pressure is None else self.pressure
        if self.runs_at is not None and self.pressure is not None and not self.levelled:
            gauge = float(gas.precharge_at(gauge, self.runs_at, self.charged_at))
        return self._made(self.volume, gauge)

    def judged_in(self, need: SpringNeed, states: Mapping[str, Law]) -> tuple[Judged, ...]:
        """See `SpringPart`: pressure at rest and at full bump."""
        laws = {name: drawn for name, law in states.items() if isinstance(drawn := as_drawn(law), Air)}
        found = []
        for what, at in (("at rest", None), ("at full bump, quick", min(need.bump, self.bump_stroke))):
            worst = max(laws, key=lambda name: laws[name].pressure(laws[name].at_place if at is None else at))
            most = laws[worst].pressure(laws[worst].at_place if at is None else at)
            found.append(
                Judged.of(
                    f"gauge pressure {what}",
                    most,
                    "at most",
                    self.largest_pressure,
                    unit="Pa",
                    kind="pressure",
                    source="your limit",
                    where=worst,
                    id="gauge_pressure",
                )
            )
        return tuple(found)

    def told(self, need: SpringNeed, law: Law) -> dict[str, Any]:
        """See `SpringPart`."""
        assert isinstance(law, Air)
        area, slope = self._area
        volume = float(law.shape.at(0.0)[0])
        quick = law.about(0.0)
        at_bump = quick.pressure(min(need.bump, self.bump_stroke)) if isinstance(quick, Air) else 0.0
        dimensions = [
            Dimension("effective area at zero travel", area, "m**2", "area"), Dimension("change of area per stroke", slope, "m", "length"),
            Dimension("volume at zero travel", volume, "m**3", "volume"), Dimension("tank beside it", law.tank, "m**3", "volume"),
            Dimension("gauge pressure at zero travel", law.gauge, "Pa", "pressure", found=self.pressure is None),
            Dimension("gauge pressure at full bump, quick", at_bump, "Pa", "pressure", found=True),
            Dimension("quick rate at zero travel", law.rate, "N/m", "rate", found=True), Dimension("slow rate", float(law.at(0.0).rate), "N/m", "rate", found=True),
            *self.stroke_dimensions("levelled: pumped and bled at its height", "a fixed mass of air"),
        ]  # fmt: skip
        judged = [
            *self.strokes(need),
        ]  # fmt: skip
        remarks = [self.exponents]
        if not self.levelled:
            cold = float(gas.precharge_at(law.gauge, gas.ROOM - 40, gas.ROOM))
            remarks.append(
                f"set at {show_temperature(gas.ROOM)}, the same air at the same height is down by {show(law.gauge - cold, 'pressure')} at {show_temperature(gas.ROOM - 40)}: check the pressure cold"
            )
        return {
            "dimensions": tuple(dimensions), "judged": tuple(judged), "material": "reinforced rubber, to the maker's sheet",
            "tolerances": (Tolerance("load at the gauge pressure and height", 0.05 * law.force, "N", "force", AGREE),),
            "arrival": (
                "check bead plates, piston and seats for damage and that the part number's height and pressure ratings stand on the order",
                "inflate in its place to the pressure at ride and look for leaks with soapy water",
                "never inflate it unmounted or unrestrained",
            ),
            "workings": (
                gas.rate.work(
                    "air spring, quick", exponent=self.exponent, pressure=law.gauge + gas.ATMOSPHERE, area=area, volume=volume + law.tank, gauge=law.gauge, area_slope=slope,
                ),
            ),
            "remarks": tuple(remarks),
            "cautions": ("Let all air out by the maker's method before a fitting is loosened; pressure-rated lines and a relief valve only.",),
        }  # fmt: skip
