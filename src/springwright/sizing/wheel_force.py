"""What presses on a wheel along its whole travel: spring, what stands beside it and the stops, where each load state rests on it, and what the stop takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.results import Result, si
from springwright.sizing.fitted import sized
from springwright.units import GRAVITY
from springwright.vehicle.curves import bump_stop, droop_stop, mean_curves
from springwright.vehicle.file import DesignFile

POINTS, SAME = 241, 1e-9  # m apart: one place


@dataclass(frozen=True)
class RestPoint(Result):
    """Where a load state rests on the curve: wheel travel [m], bump positive, and force [N], of both wheels in the mean."""

    state: str
    travel: float = si("m")
    force: float = si("N")


@dataclass(frozen=True)
class WheelForce(Result):
    """Force at one wheel against its travel from the design position [m], from full droop to metal or as far as a load state rests beyond, both sides in the mean.

    `spring` is of the spring and what stands beside it, `force` with the stops [N]; `friction` rubs either way [N]. The stop touches
    at `touches`; pressed to metal it takes `energy` more than the spring does [J]. `least` is the force that it is to be touched at,
    as the bump load factor asks of the sprung `load` [N]; none where nothing is asked.
    """

    axle: str
    travel: tuple[float, ...] = si("m")
    spring: tuple[float, ...] = si("N")
    force: tuple[float, ...] = si("N")
    friction: float = si("N", 0.0)
    droop: float = si("m", 0.0)
    touches: float = si("m", 0.0)
    metal: float = si("m", 0.0)
    energy: float = si("J", 0.0)
    at_touch: float = si("N", 0.0)
    load: float = si("N", 0.0)
    least: float | None = si("N", None)
    rests: tuple[RestPoint, ...] = ()

    def rate_at(self, travel: Sequence[float]) -> NDArray[np.float64]:
        """Wheel rate [N/m] of the spring and what stands beside it at places of the travel [m]: the slope of its curve, with the force on a changing ratio in it."""
        slope = np.gradient(np.array(self.spring), np.array(self.travel))
        return np.asarray(np.interp(travel, self.travel, slope))


def wheel_forces(file: DesignFile) -> tuple[WheelForce, ...]:
    """Force at a wheel of every axle along its travel, the springs as they are fitted; the stop's energy is the area under its own force."""
    sheet, design = sized(file), file.design
    still_in = next(one for one in sheet.rests if one.name == sheet.design_state)
    found = []
    for i, axle in enumerate(design.axles):
        load = GRAVITY * sheet.rates[i].sprung_mass
        metal = axle.travel.bump + axle.travel.stop_compression
        travels = [float(np.mean(rest.axles[i].travel)) for rest in sheet.rests]
        low, high = min(-axle.travel.droop, *travels), max(metal, *travels)  # a state may press a stop where it stands
        x = np.union1d(np.linspace(low, high, POINTS), [-axle.travel.droop, axle.travel.bump, metal])
        x = x[np.diff(x, prepend=-np.inf) > SAME]  # two that are one but for rounding would have any slope
        start, step, force, _ = mean_curves(axle, [still_in.settled.laws[i]])
        knots = float(start[0]) + float(step[0]) * np.arange(force.shape[-1])
        spring = np.interp(x, knots, force[0])
        up = bump_stop(axle, load).law(np.maximum(x - axle.travel.bump, 0.0))[0]
        down = droop_stop(axle, load).law(np.maximum(-axle.travel.droop - x, 0.0))[0]
        rests = []
        for rest, travel in zip(sheet.rests, travels, strict=True):
            rests.append(RestPoint(rest.name, travel, float(np.interp(travel, x, spring + up - down))))
        at_touch, load_at_rest = float(np.interp(axle.travel.bump, x, spring)), sheet.rates[i].sprung_load
        factor = design.limits.bump_load_factor
        found.append(
            WheelForce(
                axle.name, tuple(x.tolist()), tuple(spring.tolist()), tuple((spring + up - down).tolist()), axle.friction, -axle.travel.droop, axle.travel.bump, metal,
                float(np.trapezoid(np.where(x <= metal, up, 0.0), x)), at_touch, load_at_rest, factor * load_at_rest if factor else None, tuple(rests),
            )
        )  # fmt: skip
    return tuple(found)
