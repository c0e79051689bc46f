"""How one load state leans and where it tips: corners, side slopes, climbs, stops, and the grip it has left on the way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.motion.equilibrium import Rests, equilibria
from springwright.motion.forces import GRAVITY, Case, friction_of
from springwright.questions.reach import Reach, Way, reaches
from springwright.questions.ready import InState
from springwright.vehicle.rig import Rig

Floats = NDArray[np.float64]
GENTLE = 0.2 * GRAVITY  # lateral, to either side: roll gradient and load transfer are read between
GENTLE_CORNERS = (Case(across=GENTLE), Case(across=-GENTLE))
BRAKING, PULLING = 0.4 * GRAVITY, 0.2 * GRAVITY
STEEPEST = 1.4  # rad: as far as a slope is looked for
PAST = 1.3  # of the rigid bound: as far as a limit is looked for
CORNERS = 33  # of the grip curves


@dataclass(frozen=True, eq=False)
class Stood:
    """One load state: where its wheels lift and it tips, and what it does in gentle corners and stops."""

    at: InState
    ways: dict[str, Reach]
    bound: float
    gradient: float
    transfer: Floats
    brake_pitch: float
    pull_pitch: float
    slides: Floats


def stood_in(at: InState) -> Stood:
    """A load state leaned every way there is."""
    rig, weight = at.rig, at.weight
    bound = rigid_bound(rig, weight.cg)
    ways: dict[str, Way] = {}
    if bound:
        corner, lean = PAST * bound * GRAVITY, min(PAST * math.atan(bound), STEEPEST)
        ways |= {
            "turning left": Way(corner, case=lambda a: Case(across=a)),
            "turning right": Way(corner, case=lambda a: Case(across=-a)),
            "right side down": Way(lean, case=lambda a: Case.slope(lean=a)),
            "left side down": Way(lean, case=lambda a: Case.slope(lean=-a)),
        }
    ways |= {
        "climbing": Way(STEEPEST, case=lambda a: Case.slope(climb=a)),
        "descending": Way(STEEPEST, case=lambda a: Case.slope(climb=-a)),
    }
    found = dict(zip(ways, reaches(rig, list(ways.values())), strict=True))
    cases = [*GENTLE_CORNERS, Case(along=-BRAKING), Case(along=PULLING)]
    rests = equilibria(rig, 0.0, cases)
    pitch = rests.q[:, 1] - at.rest.q[1]
    left = np.sign(rig.wheel_places[:, 1])
    across = np.array([np.bincount(rig.wheel_axle, -left * loads) / 2 for loads in rests.wheel_loads[:2]])
    return Stood(
        at, found, bound,
        gradient=gradient_of(rests),
        transfer=np.asarray((across[0] - across[1]) / (2 * GENTLE)),
        brake_pitch=float(pitch[2] / BRAKING), pull_pitch=float(-pitch[3] / PULLING),
        slides=_slides(rig, PAST * bound * GRAVITY),
    )  # fmt: skip


def gradient_of(rests: Rests) -> float:
    """Roll per lateral acceleration [rad s2/m] between gentle corners to either side, the first two of some positions of rest."""
    return float(abs(rests.q[0, 2] - rests.q[1, 2]) / (2 * GENTLE))


def roll_gradient(rig: Rig) -> float:
    """Roll per lateral acceleration of a Rig [rad s2/m]."""
    return gradient_of(equilibria(rig, 0.0, GENTLE_CORNERS))


def side_slope(rig: Rig) -> float:
    """The side slope at which the first wheel lifts, the lesser of both directions [rad]."""
    ways = [Way(STEEPEST, case=lambda a: Case.slope(lean=a)), Way(STEEPEST, case=lambda a: Case.slope(lean=-a))]
    return min(STEEPEST if one.lift is None else one.lift for one in reaches(rig, ways))


def rigid_bound(rig: Rig, cg: Sequence[float]) -> float:
    """Lateral acceleration [g] at which a rigid vehicle tips: from its CG across to the nearer line between outer wheels, over its height.

    Track / twice the height for a symmetrical vehicle; 0 for one with no track.
    """
    x, y, z = cg
    places = rig.wheel_places
    if not np.ptp(places[:, 1]):
        return 0.0
    edges = []
    for side in (1, -1):
        outer = {float(at): float((side * places[places[:, 0] == at, 1]).max()) for at in np.unique(places[:, 0])}
        at = np.array(sorted(outer))
        across = np.array([outer[one] for one in at])
        lines = [
            np.interp(x, at[[i, j]], across[[i, j]])
            for i in range(len(at))
            for j in range(i, len(at))
            if at[i] <= x <= at[j]
        ]
        edges.append(max(lines, default=float(across.max())) - side * y)
    return float(min(edges)) / z


def _slides(rig: Rig, most: float) -> Floats:
    """(a,) lateral acceleration at which each axle's tyres can hold no more, counted on the wheel loads there [m/s2]; nan where not known."""
    if not most or np.any(np.isnan(rig.tyre_grip)):
        return np.full(len(rig.axle_share), np.nan)
    found = np.full(len(rig.axle_share), np.inf)
    for side in (1, -1):
        across, _, spare = grip_along(rig, side * most)
        found = np.minimum(found, _slide_to(across, spare))
    return found


def _slide_to(across: Floats, spare: Floats) -> Floats:
    """(a,) where what is spare of each axle's grip passes nothing [m/s2], either way; endless where it does not."""
    across = np.abs(across)
    found = np.full(spare.shape[1], np.inf)
    for i, line in enumerate(spare.T):
        past = np.flatnonzero(line < 0)
        if len(past) and past[0] > 0:
            k = past[0]
            found[i] = float(np.interp(0.0, [line[k], line[k - 1]], [across[k], across[k - 1]]))
    return found


def grip_along(rig: Rig, most: float) -> tuple[Floats, Floats, Floats]:
    """Lateral accelerations [m/s2]; at each the share of its grip that an axle uses, and what is spare [N], (n, a)."""
    across = np.linspace(0.0, most, CORNERS)
    rests = equilibria(rig, 0.0, [Case(across=float(a)) for a in across], again=False)
    grip = friction_of(rig, rests.wheel_loads) * rests.wheel_loads
    there = np.array([np.bincount(rig.wheel_axle, row) for row in grip])
    needed = rig.mass * np.abs(across)[:, None] * rig.axle_share
    lost = np.isnan(rests.q[:, 0])
    used, spare = needed / np.maximum(there, 1e-9), there - needed
    used[lost], spare[lost] = np.nan, np.nan
    return across, used, spare
