"""Drive a design over a named ground: the Rig it sizes, the tyre's reading of the ground, ride at every seat."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from springwright.studies.rigs import assemble
from springwright.terrain.ground import Ground
from springwright.terrain.named import ground_named
from springwright.units import GRAVITY
from springwright.vehicle.design import Design
from springwright.vehicle.file import DesignFile

LENGTH = 400.0  # m of made ground
FOOTPRINT_SHARE = (
    0.9  # footprint length / (2 sqrt(2 r x squash)): the flattened chord, a little short of the geometric one
)


def drive_design(
    file: DesignFile, ground: str, speed: float, *, state: str | None = None, seed: int = 1, settle: float | None = None, **options: Any
) -> Any:  # fmt: skip
    """Drive over a ground named as on the command line, at a speed [m/s]; see `motion.drive.drive` for the options."""
    from springwright.motion.drive import drive  # numba comes with it
    from springwright.motion.figures import Point

    design = file.design
    made = felt_by(design, ground_named(ground, _apart(design), LENGTH, seed, Path(file.path).parent))
    places = [Point(seat.name, seat.xyz) for seat in design.seats] or [Point("over the front axle", (0.0, 0.0, 1.0))]
    lead = 3.0 if settle is None and ground.startswith("class") else settle or 0.0
    return drive(assemble(file, state), made, speed, points=places, settle=lead, **options)


def felt_by(design: Design, ground: Ground) -> Ground:
    """The ground as the vehicle's mean tyre feels it: loaded radius for the band, flattened chord for the footprint."""
    radii = [axle.tyre.unloaded_radius for axle in design.axles]
    loads = [0.5 * GRAVITY * (axle.rating or 1000.0) / axle.tyre.rate for axle in design.axles]
    radius, squash = float(np.mean(radii)), float(np.mean(loads))
    return ground.felt(radius - squash, FOOTPRINT_SHARE * 2 * float(np.sqrt(2 * radius * squash)))


def _apart(design: Design) -> float:
    tracks: Sequence[float] = [axle.track for axle in design.axles if axle.track]
    return float(np.mean(tracks)) if tracks else 0.0
