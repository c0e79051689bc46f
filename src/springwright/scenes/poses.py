"""How the vehicle stands where a question finds its limit: leaned over on a side slope, and its axles on a diagonal ditch.

Positions are seen from behind: y to the left from the middle, z up from the ground the wheels stand on [m].
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, sin

import numpy as np

from springwright.evaluation import evaluated
from springwright.motion.forces import Case
from springwright.questions.at_rest import RestResult, rest
from springwright.questions.grip import diagonal
from springwright.results import Result, si
from springwright.scenes.elevation import Elevation, elevation
from springwright.sizing.fitted import assemble
from springwright.vehicle.file import DesignFile
from springwright.vehicle.interconnections import wheel_names

SHORT_OF = 0.999  # of the amount at which a wheel lifts: there is a rest just before it

Flat = tuple[float, float]


@dataclass(frozen=True)
class StoodAxle(Result):
    """One axle as it stands: ground under, centre of and load on each of its wheels, left then right, and the load on level ground."""

    name: str
    track: float = si("m")
    radius: float = si("m")
    width: float = si("m")
    beam: bool = False
    ground: tuple[float, ...] = si("m", ())
    centres: tuple[float, ...] = si("m", ())
    loads: tuple[float, ...] = si("N", ())
    level: tuple[float, ...] = si("N", ())


@dataclass(frozen=True)
class Leaned(Result):
    """The vehicle on a side slope, drawn with its left side low: `angle`, the body's outlines, one axle's wheels and the CG over the slope."""

    axle: StoodAxle
    angle: float = si("rad")
    outlines: tuple[tuple[Flat, ...], ...] = si("m")
    cg: tuple[float, float] = si("m")


@evaluated
def leaned(file: DesignFile, state: str, angle: float, axle: int, left: bool) -> Leaned:
    """The vehicle just short of a side slope [rad] with its left or its right side down; seen from ahead where that is the right one.

    Raises
    ------
    UnsolvedError
        It does not stand there.

    """
    e = elevation(file, state)
    stood = rest(file, state, Case.slope(lean=SHORT_OF * angle * (-1 if left else 1)))
    one, mirror = e.axles[axle], 1.0 if left else -1.0
    low, about = stood.rises[axle], one.roll_centre or 0.0

    def moved(y: float, z: float) -> Flat:
        """A point of the body, turned about the axle's roll centre, its left side down."""
        turn = -mirror * stood.roll  # left side down
        y, z = mirror * y, z + low - about
        return y * cos(turn) + z * sin(turn), about + z * cos(turn) - y * sin(turn)

    placed = _stood(e, stood, axle, (0.0,) * len(one.centres), rest(file, state))
    if not left:
        placed = replace(placed, centres=placed.centres[::-1], loads=placed.loads[::-1], level=placed.level[::-1])
    outlines = tuple(tuple(moved(*point) for point in shape) for shape in e.end)
    return Leaned(placed, angle, outlines, moved(e.stance.cg[1], e.stance.cg[2] - e.stance.rises[axle]))


@evaluated
def on_ditch(file: DesignFile, state: str, height: float, wheel: str) -> tuple[StoodAxle, ...]:
    """Every axle on a diagonal ditch of a cross-axle height [m], the way round on which a wheel carries least.

    Raises
    ------
    UnsolvedError
        It does not stand there.

    """
    names = wheel_names(file.design.axles)
    way = SHORT_OF * height * diagonal(assemble(file, state))
    both = [rest(file, state, None, dict(zip(names, (side * way).tolist(), strict=True))) for side in (1, -1)]
    at = names.index(wheel)
    side = int(np.argmin([one.wheels[at].load for one in both]))
    heights = ((1, -1)[side] * way).tolist()
    e, level = elevation(file, state), rest(file, state)
    found, first = [], 0
    for i, axle in enumerate(file.design.axles):
        found.append(_stood(e, both[side], i, tuple(heights[first : first + axle.wheels]), level))
        first += axle.wheels
    return tuple(found)


def _stood(e: Elevation, stood: RestResult, i: int, ground: tuple[float, ...], level: RestResult) -> StoodAxle:
    """An axle of a rest: its wheels' centres follow from where they are on level ground, the body's rise and their travel."""
    one = e.axles[i]
    first = sum(len(axle.centres) for axle in e.axles[:i])
    mine = slice(first, first + len(one.centres))
    sides = (1, -1) if len(one.centres) == 2 else (0,)
    centres = []
    for side, centre, was, now in zip(sides, one.centres, one.travel, stood.wheels[mine], strict=True):
        y = side * one.track / 2
        rose = stood.rises[i] + stood.roll * y - e.stance.rise_at(one.x, y)
        centres.append(centre + rose + now.travel - was)
    loads = tuple(max(wheel.load, 0.0) for wheel in stood.wheels[mine])
    return StoodAxle(one.name, one.track, one.radius, one.width, one.beam, ground, tuple(centres), loads, tuple(wheel.load for wheel in level.wheels[mine]))  # fmt: skip
