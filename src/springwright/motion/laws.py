"""Every force law of the model, once, in SI: plain functions of floats in which nothing is chosen, so that arrays pass through as well.

The kernel, its energy, the search for rest and the twin on NumPy arrays all call these; who calls clamps (what lies past an end is
handed over as `below` and `above`, nought within). In a cell of an element's curve a force is the cubic f0 + f1 t + f2 t**2 + f3 t**3
of the way t through it, 0 to 1.
"""

from __future__ import annotations

from typing import Any

import numpy as np


def in_cell(f0: Any, f1: Any, f2: Any, f3: Any, t: Any) -> Any:
    """Force of an element in a cell [N]."""
    return f0 + t * (f1 + t * (f2 + t * f3))


def in_cell_slope(f1: Any, f2: Any, f3: Any, t: Any) -> Any:
    """Its change per way through the cell [N]."""
    return f1 + t * (2 * f2 + 3 * t * f3)


def in_cell_energy(f0: Any, f1: Any, f2: Any, f3: Any, t: Any) -> Any:
    """Its integral from the cell's start per length of the cell [N]."""
    return t * (f0 + t * (f1 / 2 + t * (f2 / 3 + t * f3 / 4)))


def past_ends(force: Any, below: Any, low_slope: Any, above: Any, high_slope: Any) -> Any:
    """A force [N] with what a straight line adds before the first knot and beyond the last, in cells of slope [N] each."""
    return force + low_slope * below + high_slope * above


def past_end_energy(force: Any, slope: Any, out: Any) -> Any:
    """Integral past an end from a force [N] there, per length of a cell [N]."""
    return out * (force + slope * out / 2)


def tyre_spring(force: Any, rate: Any, pressed: Any, rim: Any, past: Any) -> Any:
    """What a tyre's spring pushes with [N]: `force` in the design position, `pressed` further [m], its rim `past` the tyre's room [m]."""
    return force + rate * pressed + rim * past


def tyre_energy(carried: Any, rate: Any, rim: Any, past: Any) -> Any:
    """Energy in a tyre that carries so much without its rim [N], and in its rim [J]."""
    return carried * carried / (2 * rate) + rim * past * past / 2


def tyre_pushes(spring: Any, damping: Any, opening: Any) -> Any:
    """Force of a tyre [N] whose wheel leaves the ground at a speed [m/s], before it is held at nought: it cannot pull."""
    return spring - damping * opening


def sliding(speed: Any, zone: Any) -> Any:
    """Share of its dry friction that a damper gives at a speed [m/s]: sticking is a steep slope within `zone` [m/s]."""
    return speed / np.sqrt(speed * speed + zone * zone)


def hitch_holds(force: Any, rate: Any, rise: Any) -> Any:
    """Force of a hitch [N] that has risen so far [m]."""
    return force - rate * rise


def hitch_energy(held: Any, rate: Any) -> Any:
    """Energy in it [J]."""
    return held * held / (2 * rate)
