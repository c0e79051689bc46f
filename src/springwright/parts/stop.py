"""Bump and droop stops: force against compression, energy, and a stop for an energy.

Three ways to say one: force growing with the square of compression; a progressive curve that grows without limit towards its
block length, F = k0 x / (1 - x / x_b), as microcellular urethane does; or the maker's points. The two closed forms are common
shapes of practice, without a source.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator

from springwright.errors import FieldFault, QuantityError
from springwright.parts.supply import Supply
from springwright.quantities import (
    NonNegativeForce,
    NonNegativeLength,
    PositiveEnergy,
    PositiveForce,
    PositiveLength,
    PositiveRate,
    Record,
    Share,
)
from springwright.units import parse

Floats = NDArray[np.float64]
NEAR_BLOCK = 0.9  # share of the block length up to which the progressive curve is used; straight beyond


class Stop(Record):
    """A stop at the wheel: `depth` with `full_force` (square), `initial_rate` with `block` (progressive), or `points`.

    For an `energy` it is worked out: `within` a compression (square, or progressive with `block`), or at no more than `most_force`
    (square). With `fit` the points are replaced by the progressive curve nearest to them. `loss` is the share of the energy it keeps, which is told and not used in motion; `rating` is the force that it and its mount may take.
    """

    depth: PositiveLength | None = None
    full_force: PositiveForce | None = None
    initial_rate: PositiveRate | None = None
    block: PositiveLength | None = None
    energy: PositiveEnergy | None = None
    within: PositiveLength | None = None
    most_force: PositiveForce | None = None
    loss: Share = 0.0
    fit: bool = False
    rating: PositiveForce | None = None
    points: Annotated[tuple[tuple[NonNegativeLength, NonNegativeForce], ...], Field(min_length=3)] | None = None
    supply: Supply | None = None

    @model_validator(mode="before")
    @classmethod
    def _for_energy(cls, data: Any) -> Any:
        """Put in the curve that takes the energy asked for."""
        if not isinstance(data, dict):
            return data
        if data.get("fit") is True and "points" in data:
            return _fitted_data(data)
        if not data.get("energy"):
            return data
        if (data.get("within") is None) == (data.get("most_force") is None):
            raise FieldFault(("energy",), "needs one of within (a compression) and most_force beside it")
        try:
            found = _for_energy(data)
            for name, value in found.items():
                given = data.get(name)
                if given is not None and abs(parse(given, _KINDS[name]) / value - 1) > 1e-6:
                    raise FieldFault(("energy",), f"the curve is given already by {name}; keep one of them")
            if data.get("points") is not None:
                raise FieldFault(("energy",), "the curve is given already by points; keep one of them")
        except (QuantityError, ZeroDivisionError) as error:
            raise FieldFault(("energy",), f"cannot be worked out: {error}") from None
        return {**data, **{name: f"{value!r} {_SI[name]}" for name, value in found.items()}}

    @model_validator(mode="after")
    def _one_way(self) -> Stop:
        ways = {
            "depth and full_force": (self.depth, self.full_force),
            "initial_rate and block": (self.initial_rate, self.block),
            "points": (self.points,),
        }
        whole = [name for name, given in ways.items() if all(one is not None for one in given)]
        begun = [name for name, given in ways.items() if any(one is not None for one in given)]
        if len(whole) != 1 or len(begun) != 1:
            raise FieldFault((), f"give one of {'; '.join(ways)}, whole and on its own")
        if self.points is not None:
            if self.points[0] != (0.0, 0.0):
                raise FieldFault(("points", 0), "must begin with no force at no compression: [0 mm, 0 N]")
            for i, ((x0, f0), (x1, f1)) in enumerate(pairwise(self.points)):
                if x1 <= x0:
                    raise FieldFault(("points", i + 1), "compression must rise from point to point")
                if f1 < f0:
                    raise FieldFault(
                        ("points", i + 1),
                        "force must not fall as the stop is pressed; check the points, or take the block length",
                    )
        return self

    @property
    def reach(self) -> float:
        """Compression up to which its curve is known [m]; straight beyond."""
        if self.points is not None:
            return self.points[-1][0]
        return self.depth if self.depth is not None else NEAR_BLOCK * (self.block or 0.0)

    def law(self, compression: Any) -> tuple[Floats, Floats]:
        """Force [N] and rate [N/m] at a compression [m]: none where it is not touched, straight past its reach."""
        x = np.maximum(np.asarray(compression, dtype=float), 0.0)
        inside = np.minimum(x, self.reach)
        force, rate = self._inside(inside)
        return np.asarray(force + rate * (x - inside)), np.asarray(np.where(np.asarray(compression) > 0, rate, 0.0))

    def energy_to(self, compression: float) -> float:
        """Energy taken up to a compression [J]."""
        x = np.linspace(0.0, compression, 2001)
        return float(np.trapezoid(self.law(x)[0], x))

    def _inside(self, x: Floats) -> tuple[Floats, Floats]:
        if self.points is not None:
            from scipy.interpolate import PchipInterpolator  # only for a table: it costs start-up time

            curve = PchipInterpolator(*np.array(self.points).T)
            return curve(x), curve(x, 1)
        if self.initial_rate is not None:
            return progressive_force(x, self.initial_rate, self.block or 0.0), progressive_rate(
                x, self.initial_rate, self.block or 0.0
            )
        depth, force = self.depth or 1.0, self.full_force or 0.0
        return force * (x / depth) ** 2, 2 * force * x / depth**2


_KINDS = {"depth": "length", "full_force": "force", "initial_rate": "rate"}
_SI = {"depth": "m", "full_force": "N", "initial_rate": "N/m"}


def _for_energy(data: dict[str, Any]) -> dict[str, float]:
    """What makes the curve that takes an energy: SI values of its fields."""
    energy = parse(data["energy"], "energy")
    if data.get("most_force") is not None:
        force = parse(data["most_force"], "force")
        return {"depth": 3 * energy / force, "full_force": force}
    within = parse(data["within"], "length")
    if data.get("block") is None:
        return {"depth": within, "full_force": 3 * energy / within}
    block = parse(data["block"], "length")
    if not 0 < within < block:
        raise FieldFault(("within",), "must be shorter than the block length")
    return {"initial_rate": rate_for_energy(energy, within, block)}


def progressive_force(compression: Any, initial_rate: float, block: float) -> Any:
    """F = k0 x / (1 - x / x_b) [N]."""
    return initial_rate * compression / (1 - compression / block)


def progressive_rate(compression: Any, initial_rate: float, block: float) -> Any:
    """Its slope, k0 / (1 - x / x_b)2 [N/m]."""
    return initial_rate / (1 - compression / block) ** 2


def progressive_energy(compression: Any, initial_rate: float, block: float) -> Any:
    """Energy [J]: k0 x_b2 (-u - ln(1 - u)), u = x / x_b."""
    u = compression / block
    return initial_rate * block**2 * (-u - np.log1p(-u))


def rate_for_energy(energy: float, compression: float, block: float) -> float:
    """Initial rate [N/m] of a progressive stop that takes an energy [J] by a compression [m]."""
    return float(energy / progressive_energy(compression, 1.0, block))


def fitted(points: Any) -> tuple[float, float]:
    """Initial rate [N/m] and block length [m] of the progressive curve nearest to points of compression [m] and force [N], least squares.

    Raises
    ------
    FieldFault
        The points do not stiffen, so that no such curve is near them.

    """
    from scipy.optimize import least_squares  # only for a fit: it costs start-up time

    x, force = np.array(points, dtype=float).T
    begin = [np.log(force[1] / x[1]), np.log(1.3)]

    def off(v: Floats) -> Floats:
        return np.asarray((progressive_force(x, np.exp(v[0]), float(x[-1] * np.exp(v[1]))) - force) / force[-1])

    found = least_squares(off, begin, bounds=([-np.inf, np.log(1.01)], [np.inf, np.log(50.0)]))
    if found.x[1] > np.log(20.0):
        raise FieldFault(
            ("fit",), "the points do not stiffen as they are pressed; leave fit out to use them as they are"
        )
    return float(np.exp(found.x[0])), float(x[-1] * np.exp(found.x[1]))


def _fitted_data(data: dict[str, Any]) -> dict[str, Any]:
    try:
        points = [(parse(x, "length"), parse(force, "force")) for x, force in data["points"]]
    except (QuantityError, ValueError, TypeError) as error:
        raise FieldFault(("points",), f"cannot be read: {error}") from None
    if len(points) < 3 or points[0] != (0.0, 0.0) or any(b[0] <= a[0] or b[1] <= a[1] for a, b in pairwise(points)):
        raise FieldFault(("points",), "must begin at [0 mm, 0 N] and rise, three or more, to be fitted")
    rate, block = fitted(points)
    rest = {name: value for name, value in data.items() if name not in ("points", "fit")}
    return {**rest, "initial_rate": f"{rate!r} N/m", "block": f"{block!r} m"}
