"""How one load state leans and where it tips: corners, side slopes, climbs, stops, and the grip it has left on the way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.motion.equilibrium import equilibria
from springwright.motion.forces import GRAVITY, Case, cg_height, friction_of
from springwright.motion.rig import Rig, stack
from springwright.questions.context import ProofContext, StateModel
from springwright.questions.limit_search import GrowingCase, LimitFound, reaches

Floats = NDArray[np.float64]
TURNING = ("turning left", "turning right")
GENTLE = 0.2 * GRAVITY  # lateral, to either side: roll gradient and load transfer are read between
GENTLE_CORNERS = (Case(across=GENTLE), Case(across=-GENTLE))
BRAKING, PULLING = 0.4 * GRAVITY, 0.2 * GRAVITY
STEEPEST = 1.4  # rad: as far as a slope is looked for
PAST = 1.3  # of the rigid bound: as far as a limit is looked for
CORNERS = 33  # of the grip curves


@dataclass(frozen=True, eq=False)
class Cornered:
    """Lateral accelerations (n,) [m/s2]; at each the share of its grip that an axle uses, and what is spare [N], (n, a)."""

    across: Floats
    used: Floats
    spare: Floats


@dataclass(frozen=True, eq=False)
class Stood:
    """One load state: where its wheels lift and it tips, what it does in gentle corners and stops, and its grip in turns either way."""

    at: StateModel
    ways: dict[str, LimitFound]
    bound: float
    gradient: float
    transfer: Floats
    brake_pitch: float
    pull_pitch: float
    turns: tuple[Cornered, ...]

    @property
    def level_height(self) -> float:
        """Height of the CG above level ground [m]."""
        return cg_height(self.at.rig, self.at.rest.q)

    @property
    def leaning_height(self) -> float | None:
        """The same on the side slope at which the first wheel lifts; None where none does [m]."""
        ways = [
            (one.lift, side)
            for side, name in ((1, "right side down"), (-1, "left side down"))
            if (one := self.ways.get(name)) and one.lift is not None
        ]
        if not ways:
            return None
        lift, side = min(ways)
        rest = equilibria(self.at.rig, 0.0, Case.slope(lean=0.999 * side * lift))
        return None if rest.reasons[0] else cg_height(self.at.rig, rest.q[0])

    @property
    def slides(self) -> Floats:
        """(a,) lateral acceleration at which each axle's tyres can hold no more, counted on the wheel loads there [m/s2]; nan where not known."""
        if not self.turns:
            return np.full(len(self.at.rig.axle_share), np.nan)
        return np.asarray(np.min([_slide_to(turn.across, turn.spare) for turn in self.turns], axis=0))


def stood(ready: ProofContext) -> list[Stood]:
    """Every load state leaned every way there is, side by side."""
    count = len(ready.states)
    bounds = [rigid_bound(at.rig, at.weight.cg) for at in ready.states]
    ways = [_ways(bound, k) for k, bound in enumerate(bounds)]
    reached = iter(reaches(ready.batch, [way for each in ways for way in each.values()]))
    cases = [*GENTLE_CORNERS, Case(along=-BRAKING), Case(along=PULLING)]
    rests = equilibria(ready.batch, 0.0, cases * count, of=np.repeat(np.arange(count), len(cases)))
    turned = grip_along(ready, [PAST * bound * GRAVITY for bound in bounds])
    found = []
    for k, at in enumerate(ready.states):
        mine = slice(k * len(cases), (k + 1) * len(cases))
        q, loads = rests.q[mine], rests.wheel_loads[mine]
        left = np.sign(at.rig.wheel_places[:, 1])
        across = np.array([np.bincount(at.rig.wheel_axle, -left * one) / 2 for one in loads[:2]])
        pitch = q[:, 1] - at.rest.q[1]
        found.append(
            Stood(
                at, dict(zip(ways[k], reached, strict=False)), bounds[k],
                gradient=gradient_of(q),
                transfer=np.asarray((across[0] - across[1]) / (2 * GENTLE)),
                brake_pitch=float(pitch[2] / BRAKING), pull_pitch=float(-pitch[3] / PULLING),
                turns=turned[k],
            )
        )  # fmt: skip
    return found


def _ways(bound: float, of: int) -> dict[str, GrowingCase]:
    """Every way there is to lean a vehicle with a rigid bound [g], the Rig `of` a batch."""
    ways: dict[str, GrowingCase] = {}
    if bound:
        corner, lean = PAST * bound * GRAVITY, min(PAST * math.atan(bound), STEEPEST)
        ways |= {
            TURNING[0]: GrowingCase(corner, case=lambda a: Case(across=a), of=of),
            TURNING[1]: GrowingCase(corner, case=lambda a: Case(across=-a), of=of),
            "right side down": GrowingCase(lean, case=lambda a: Case.slope(lean=a), of=of),
            "left side down": GrowingCase(lean, case=lambda a: Case.slope(lean=-a), of=of),
        }
    return ways | {
        "climbing": GrowingCase(STEEPEST, case=lambda a: Case.slope(climb=a), of=of),
        "descending": GrowingCase(STEEPEST, case=lambda a: Case.slope(climb=-a), of=of),
    }


def gradient_of(q: Floats) -> float:
    """Roll per lateral acceleration [rad s2/m] between gentle corners to either side, the first two of some positions of rest."""
    return float(abs(q[0, 2] - q[1, 2]) / (2 * GENTLE))


def roll_gradient(rig: Rig) -> float:
    """Roll per lateral acceleration of a Rig [rad s2/m]."""
    return gradient_of(equilibria(rig, 0.0, GENTLE_CORNERS).q)


def roll_gradients(rigs: Rig) -> Floats:
    """(runs,) the same of every Rig of a batch [rad s2/m]."""
    count = len(rigs.tyre_rate)
    rests = equilibria(rigs, 0.0, GENTLE_CORNERS * count, of=np.repeat(np.arange(count), 2))
    return np.array([gradient_of(q) for q in rests.q.reshape(count, 2, -1)])


def side_slope(rig: Rig) -> float:
    """The side slope at which the first wheel lifts, the lesser of both directions [rad]."""
    return float(side_slopes(stack([rig]))[0])


def side_slopes(rigs: Rig) -> Floats:
    """(runs,) the same of every Rig of a batch [rad]."""
    ways = [
        GrowingCase(STEEPEST, case=lambda a, side=side: Case.slope(lean=side * a), of=of)  # type: ignore[misc]
        for of in range(len(rigs.tyre_rate))
        for side in (1, -1)
    ]
    lifts = [STEEPEST if one.lift is None else one.lift for one in reaches(rigs, ways, tips=False)]
    return np.asarray(np.reshape(lifts, (-1, 2)).min(axis=1))


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


def grip_along(ready: ProofContext, most: Sequence[float]) -> list[tuple[Cornered, ...]]:
    """Turns to the left and to the right in every load state, up to a lateral acceleration in each; none where a tyre's friction is not known [m/s2]."""
    count = len(ready.states)
    across = np.array([side * one * np.linspace(0.0, 1.0, CORNERS) for one in most for side in (1, -1)])
    if not np.any(across) or np.any(np.isnan(ready.batch.tyre_grip)):
        return [()] * count
    of = np.repeat(np.arange(count), 2 * CORNERS)
    rests = equilibria(ready.batch, 0.0, [Case(across=a) for a in across.ravel().tolist()], of=of, again=False)
    found = []
    for k, at in enumerate(ready.states):
        turns = []
        for side in range(2):
            mine = slice((2 * k + side) * CORNERS, (2 * k + side + 1) * CORNERS)
            loads, lost = rests.wheel_loads[mine], np.isnan(rests.q[mine, 0])
            grip = friction_of(at.rig, loads) * loads
            there = np.array([np.bincount(at.rig.wheel_axle, row) for row in grip])
            needed = at.rig.mass * np.abs(across[2 * k + side])[:, None] * at.rig.axle_share
            used, spare = needed / np.maximum(there, 1e-9), there - needed
            used[lost], spare[lost] = np.nan, np.nan
            turns.append(Cornered(across[2 * k + side], used, spare))
        found.append(tuple(turns))
    return found
