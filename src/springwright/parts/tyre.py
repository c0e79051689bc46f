"""The tyre as a vertical spring under the wheel: its rate as stated, from load-deflection readings, or estimated from its size."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Annotated, Any

import numpy as np
from pydantic import ConfigDict, Field, model_validator

from springwright.errors import FieldFault, QuantityError
from springwright.formula import formula
from springwright.quantities import (
    Damping,
    Kind,
    Length,
    NonNegativeLength,
    PositiveForce,
    PositiveLength,
    PositiveMass,
    PositiveRate,
    Pressure,
    Ratio,
    Record,
    Share,
    SignedForce,
    either,
)
from springwright.units import GRAVITY, parse, show

SCATTER = 0.15  # share that the estimate may be off a test
FLANGE = 0.0175  # m, height of the usual flange (contour J) over the bead seat, from memory
ON_RIM = 10.0  # rim's rate per tyre's where none is given: practice, no source


@formula(
    "vertical rate of a tyre, an estimate",
    r"k = 2.745862 p \sqrt{W D} + 33833.0",
    unit="N/m",
    source="Rhyne, Tire Science and Technology 33 (3), 2005; coefficients from memory, 10 to 15 % off a test",
    pressure=("p", "gauge pressure", "Pa"),
    width=("W", "width at work, (1.03 - 0.4 a) of the section", "m"),
    diameter=("D", "rim diameter + 2 a of the section", "m"),
)
def estimated_rate(pressure: Any, width: Any, diameter: Any) -> Any:
    """Rate [N/m] of a belted radial tyre; not valid at very low pressure, where the carcass carries."""
    return 2.745862 * pressure * np.sqrt(width * diameter) + 33833.0


def size_of(text: str) -> tuple[float, float, float]:
    """Section width [m], aspect ratio and rim diameter [m] of a size such as "265/70R17" or, flotation, "31x10.5R15".

    Raises
    ------
    QuantityError
        The text is no such size.

    """
    metric = re.fullmatch(r"\s*(?:LT|P)?(\d{3})\s*/\s*(\d{2,3})\s*[- ]?[RD]?\s*[- ]?(\d{2}(?:\.5)?)\b.*", text)
    if metric:
        width, aspect, rim = metric.groups()
        return parse(f"{width} mm", "length"), parse(f"{aspect} %", "ratio"), parse(f"{rim} in", "length")
    flotation = re.fullmatch(
        r"\s*(\d{2}(?:\.\d+)?)\s*[xX×]\s*(\d{1,2}(?:\.\d+)?)\s*[- ]?[RD]?\s*[- ]?(\d{2}(?:\.5)?)\b.*", text
    )
    if flotation:
        outside, width, rim = (parse(f"{one} in", "length") for one in flotation.groups())
        return width, (outside - rim) / 2 / width, rim
    raise QuantityError(
        f'"{text}" is no tyre size that can be read; write it as "265/70R17" or "31x10.5R15", or give the rate'
    )


def rate_from_readings(readings: Any, pressure: float | None, load: float) -> float:
    """Rate [N/m] at a load [N]: the slope of load against deflection there, between pressures on a straight line.

    Parameters
    ----------
    readings : rows of gauge pressure [Pa], load [N], deflection [m]
    pressure : float
        At which the tyre runs [Pa].
    load : float

    Raises
    ------
    ValueError
        The readings do not reach the load.

    """
    from scipy.interpolate import PchipInterpolator  # only for a table: it costs start-up time

    rows = np.array(readings, dtype=float)
    levels = np.unique(rows[:, 0])
    rates = []
    for level in levels:
        mine = rows[rows[:, 0] == level]
        mine = mine[np.argsort(mine[:, 2])]
        if mine[0, 2] > 0:
            mine = np.vstack([[level, 0.0, 0.0], mine])
        curve = PchipInterpolator(mine[:, 2], mine[:, 1])
        if load > mine[-1, 1]:
            raise ValueError(
                f"reach to {show(float(mine[-1, 1]), 'force')} only, and the rate is asked at {show(load, 'force')}; measure further, or give a smaller rate_load"
            )
        deflection = float(np.interp(load, mine[:, 1], mine[:, 2]))
        rates.append(float(curve(deflection, 1)))
    return float(np.interp(levels[0] if pressure is None else pressure, levels, rates))


_READING = (Kind("pressure", least=0.0), Kind("force", least=0.0), Kind("length", least=0.0, most=2.0))


class Tyre(Record):
    """A tyre at its running pressure.

    Its `rate` is stated (load / (unloaded radius - loaded radius), by tape and scales), or comes out of `readings` (rows of gauge
    pressure, load, deflection; or a `test_sheet`, a CSV file beside the design with those columns) at `rate_load`, or, with
    `estimate` = true, out of size and pressure with a scatter of 15 %.

    `friction` is that at `friction_load` (else the load rating, else the design load); it falls by `friction_fall` of itself
    for every such load more.

    It ends at its `section_height` (else by its size) less the rim's `flange_height`: past that the rim carries at `rim_rate`, ten
    times the tyre's where it is not given (practice, no source). `shock_rating` is the force a blow may put on it. Peak friction of dry earth is about 0.65 to 0.70, of gravel 0.6 (Wong, after Taborek 1957).
    """

    model_config = ConfigDict(json_schema_extra=either(["rate"], "readings", "test_sheet", "estimate"))

    rate: PositiveRate
    unloaded_radius: PositiveLength
    size: str | None = None
    pressure: Pressure | None = None
    readings: Annotated[tuple[tuple[Pressure, SignedForce, Length], ...], Field(min_length=2)] | None = None
    test_sheet: str | None = None
    rate_load: PositiveMass | None = None
    estimate: bool = False
    damping: Damping | None = None
    load_rating: PositiveMass | None = None
    width: PositiveLength | None = None
    friction: Ratio | None = None
    friction_fall: Share = 0.0
    friction_load: PositiveMass | None = None
    section_height: PositiveLength | None = None
    flange_height: NonNegativeLength = FLANGE
    rim_rate: PositiveRate | None = None
    shock_rating: PositiveForce | None = None

    @model_validator(mode="before")
    @classmethod
    def _rated(cls, data: Any) -> Any:
        """Work the rate out where it is not stated."""
        if not isinstance(data, dict) or not (data.get("readings") or data.get("estimate")):
            return data
        try:
            pressure = _field(data, "pressure", "pressure")
            if data.get("readings"):
                load = data.get("rate_load") or data.get("load_rating")
                if load is None:
                    raise FieldFault(("rate_load",), "is missing: the load at which the rate is read off the curve")
                rows = [[kind.read(cell) for cell, kind in zip(row, _READING, strict=True)] for row in data["readings"]]
                _check(rows, pressure)
                by = "rate_load" if data.get("rate_load") else "load_rating"
                rate = rate_from_readings(rows, pressure, GRAVITY * (_field(data, by, "mass") or 0.0))
            else:
                if pressure is None or not data.get("size"):
                    raise FieldFault(("estimate",), "needs size and pressure")
                rate = float(estimated_rate(pressure, *_shape_of(str(data["size"]))))
        except (QuantityError, ValueError, TypeError) as error:
            if isinstance(error, FieldFault):
                raise
            raise FieldFault(("readings",) if data.get("readings") else ("size",), str(error)) from None
        if "rate" in data and abs(parse(data["rate"], "rate") / rate - 1) > 1e-3:
            raise FieldFault(("rate",), f"is {show(rate, 'rate')} by the readings or the estimate; keep one of them")
        return {**data, "rate": f"{rate!r} N/m"}

    @model_validator(mode="after")
    def _one_way(self) -> Tyre:
        if self.readings is not None and self.estimate:
            raise FieldFault(("estimate",), "the readings give the rate; take the estimate out")
        return self

    def rate_at(self, pressure: float) -> float:
        """Rate [N/m] at another gauge pressure [Pa]: off the readings, else the stated rate in proportion to the estimates by size.

        Raises
        ------
        FieldFault
            Neither readings at several pressures nor size and pressure are given, or the readings do not reach it.

        """
        if self.readings is not None:
            rows = [list(row) for row in self.readings]
            _check(rows, pressure)
            if len({row[0] for row in rows}) > 1:
                return rate_from_readings(rows, pressure, GRAVITY * (self.rate_load or self.load_rating or 0.0))
        if self.size is None or self.pressure is None:
            raise FieldFault(
                ("pressure",),
                "and size, or readings at several pressures, are needed to tell the rate at another pressure",
            )
        shape = _shape_of(self.size)
        return float(self.rate * estimated_rate(pressure, *shape) / estimated_rate(self.pressure, *shape))

    @property
    def section_width(self) -> float | None:
        """Its width [m], as given or by its size; None where neither tells."""
        if self.width is not None or self.size is None:
            return self.width
        try:
            return size_of(self.size)[0]
        except QuantityError:
            return None

    @property
    def depth(self) -> float | None:
        """How far it can be pressed until the rim carries [m]; None where neither its section height nor a size is given."""
        high = self.section_height
        if high is None and self.size is not None:
            try:
                width, aspect, _ = size_of(self.size)
            except QuantityError:
                return None
            high = aspect * width
        return None if high is None else high - self.flange_height

    @property
    def on_rim(self) -> float:
        """Rate of the rim on the ground [N/m]."""
        return self.rim_rate or ON_RIM * self.rate


def _shape_of(size: str) -> tuple[float, float]:
    """Width of the tread and outside diameter [m] that the estimate takes from a size."""
    width, aspect, rim = size_of(size)
    return (1.03 - 0.4 * aspect) * width, rim + 2 * aspect * width


def _field(data: dict[str, Any], name: str, kind: str) -> float | None:
    """One of a tyre's own figures before it is a tyre; its fault is laid at its own door."""
    try:
        return parse(data[name], kind) if data.get(name) else None
    except QuantityError as error:
        raise FieldFault((name,), str(error)) from None


def _check(rows: list[list[float]], pressure: float | None) -> None:
    """Refuse readings that do not rise, and pressures they do not reach."""
    levels = sorted({row[0] for row in rows})
    for level in levels:
        mine = sorted((row[2], row[1]) for row in rows if row[0] == level)
        if len({deflection for deflection, _ in mine}) < len(mine):
            raise FieldFault(("readings",), "two rows of one pressure have the same deflection; keep one")
        if any(b[1] <= a[1] for a, b in pairwise(mine)) or mine[0][0] < 0:
            raise FieldFault(("readings",), "load must rise with deflection at each pressure; check the rows")
    if len(levels) > 1 and pressure is None:
        raise FieldFault(("pressure",), "is missing: the readings are at several pressures")
    if pressure is not None and not 0.9 * levels[0] <= pressure <= 1.1 * levels[-1]:
        raise FieldFault(
            ("pressure",), "lies outside the pressures of the readings; measure nearer to it, or state the rate"
        )
