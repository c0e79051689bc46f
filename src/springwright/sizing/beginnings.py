"""A spring of another kind to begin with: round dimensions from the load and travel, the rest left to be worked out from the target."""

from __future__ import annotations

from typing import Any

import numpy as np

from springwright.sizing.rates import AxleRates
from springwright.units import KINDS, text_in
from springwright.vehicle.axle import Axle
from springwright.vehicle.curves import lengths

# Common practice with no source: pressures at which air bellows and struts carry a static load, half-lengths of leaves, a bar's length and arm.
BELLOWS, STRUT = 4e5, 60e5  # Pa
LEAF, BAR, ARM = 0.7, 1.2, 0.4  # m
SPARE = 1.25  # stroke over travel
KINDS_THERE = ("leaf", "air", "strut", "torsion_bar")


def kinds_for(axle: Axle) -> tuple[str, ...]:
    """Kinds that an axle could be tried with as it is held."""
    return tuple(
        kind
        for kind in KINDS_THERE
        if (kind != "leaf" or axle.kind == "beam") and (kind != "torsion_bar" or axle.kind == "independent")
    )


def beginning(axle: Axle, rates: AxleRates, kind: str) -> dict[str, Any]:
    """Fields of `axles.spring` to begin with, as they stand in a design file; the part's own table is under its kind.

    Raises
    ------
    ValueError
        No such kind for this axle.

    """
    if kind not in kinds_for(axle):
        raise ValueError(f"no {kind} for a {axle.kind} axle")
    rest = axle.spring.rest_length
    pressed = rest - float(lengths(axle, axle.travel.bump + axle.travel.stop_compression).length)
    let_out = float(lengths(axle, -axle.travel.droop).length) - rest
    strokes = {"bump_stroke": _length(SPARE * abs(pressed)), "droop_stroke": _length(SPARE * abs(let_out))}
    if kind == "leaf":
        return {"leaf": {"front": _length(LEAF), "rear": _length(LEAF), "full_leaves": 2}}
    if kind == "air":
        area = float(np.ceil(rates.spring_force / BELLOWS * 1e4 / 5) * 5e-4)
        return {"air": {"area": text_in(area, "area", KINDS["area"].metric), **strokes}}
    if kind == "strut":
        bore = float(np.ceil(np.sqrt(4 * rates.spring_force / (np.pi * STRUT)) / 5e-3) * 5e-3)
        return {"strut": {"bore": _length(bore, 0.005), **strokes}}
    return {"acts": {"by": "twist", "arm": _length(ARM)}, "torsion_bar": {"length": _length(BAR)}}


def _length(value: float, step: float = 0.010) -> str:
    """A length for the file, rounded up to a step."""
    return text_in(round(float(np.ceil(value / step - 1e-9)) * step, 6), "length", "mm")
