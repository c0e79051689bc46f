"""Where a Rig comes to rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.errors import UnsolvedError
from springwright.motion import laws
from springwright.motion.forces import GRAVITY, LEVEL, Case, at_rest, forces, tyre_forces
from springwright.motion.rig import BODY, Rig, row, stack
from springwright.motion.searching import FARTHEST, LONGEST, SMALLEST, STEPS, TILTED, CurveKnots

Floats = NDArray[np.float64]
CLOSE, SHARES = 1e-10, 8  # force left over per weight, shares in continuation
UPRIGHT = 0.2  # rad: on level ground a body that rests further over has fallen onto its stops
FALLEN = "the body would not stay upright: roll or pitch stiffness is less than gravity's overturning moment"
NUDGE = 2e-3  # m or rad by which a balance that would not hold is pushed off


@dataclass(frozen=True, eq=False)
class Rest:
    """A position of rest: q, wheel travel [m], load under each wheel and on each hitch [N], largest force left over [N]."""

    q: Floats
    travel: Floats
    wheel_loads: Floats
    hitch_loads: Floats
    residual: float

    def rise_at(self, rig: Rig, x: float, y: float = 0.0) -> float:
        """How far the body stands above the design position at a point in plan [m]."""
        return float(rig.rise_row(x, y) @ self.q[:BODY])

    @property
    def pitch(self) -> float:
        """Pitch of the body [rad], nose down."""
        return float(self.q[1])

    @property
    def roll(self) -> float:
        """Roll of the body [rad], right side down."""
        return float(self.q[2])


def equilibrium(rig: Rig, ground: Floats | float = 0.0, case: Case = LEVEL) -> Rest:
    """Newton with a line search on the whole force model; where that fails, the load is put on in steps.

    Parameters
    ----------
    rig : Rig
    ground : float or array of shape (wheels,)
        Height of the ground under each wheel [m].
    case : Case
        Acceleration and gravity: a corner, a braking stop, a slope.

    Raises
    ------
    UnsolvedError
        No position of rest was found, or the one found would not hold: the body rolls or pitches over.

    """
    level = (
        0.0 if len(rig.hitch_place) else float(np.mean(ground))
    )  # solved about its own height, wherever the ground lies
    ground = np.asarray(ground) - level
    found = _lowest(rig, np.zeros(BODY + len(rig.wheel_places)), ground, case)
    if found is None:
        found = _in_steps(rig, ground, case)
    hangs = bool(np.any(tyre_forces(rig, found[0][BODY:] - ground)[0] <= 0))
    if hangs and _least(rig, found[1])[0] <= 0:
        found = _fallen(rig, found, ground, case)
    q, stiffness, left = found
    if _least(rig, stiffness)[0] <= 0:
        raise UnsolvedError(FALLEN)
    loads = tyre_forces(rig, q[BODY:] - ground)[0]
    q[0] += level
    q[BODY:] += level
    return Rest(
        q=q,
        travel=rig.travel_at(q),
        wheel_loads=loads,
        hitch_loads=laws.hitch_holds(rig.hitch_force, rig.hitch_rate, rig.hitch_map @ q),
        residual=left,
    )


@dataclass(frozen=True, eq=False)
class Rests:
    """Positions of rest of many runs: q (runs, 4 + w), wheel loads (runs, w) and force left over (runs,) [N].

    A run that finds none has nan, and says why in `reasons`, which is empty where one was found.
    """

    q: Floats
    wheel_loads: Floats
    residual: Floats
    reasons: tuple[str, ...]

    def some(self, runs: NDArray[np.intp]) -> Rests:
        """Those of some runs [indices]."""
        return Rests(
            self.q[runs], self.wheel_loads[runs], self.residual[runs], tuple(self.reasons[r] for r in runs.tolist())
        )

    def of(self, run: int, rig: Rig) -> Rest:
        """Where one of them comes to rest, of the Rig it took."""
        q = self.q[run]
        hitch = laws.hitch_holds(rig.hitch_force, rig.hitch_rate, rig.hitch_map @ q)
        return Rest(q, rig.travel_at(q), self.wheel_loads[run], hitch, float(self.residual[run]))


def equilibria(
    rig: Rig,
    grounds: Floats | float = 0.0,
    cases: Case | Sequence[Case] = LEVEL,
    *,
    of: NDArray[np.intp] | None = None,
    drawn: CurveKnots | None = None,
    guess: Floats | None = None,
    again: bool = True,
) -> Rests:
    """Where many runs come to rest, compiled; the same positions as `equilibrium` finds.

    Parameters
    ----------
    rig : Rig
        One Rig for every run, or a batch (see `motion.rig.stack`) with one for each.
    of : array of shape (runs,), optional
        Which Rig of the batch each run takes, where that is not its own in turn.
    drawn : Drawn, optional
        Curves of some elements in place of those the Rigs have; goes with `of`, and without `again`.
    grounds : float, array of shape (wheels,) or (runs, wheels)
        Height of the ground under each wheel [m].
    cases : Case or sequence of Case
        Acceleration and gravity, one for all runs or one for each.
    guess : array of shape (4 + w,) or (runs, 4 + w), optional
        Positions to begin from.
    again : bool
        Try a run that finds none once more with the load put on in steps; a search for the end of standing does without.

    """
    from springwright.motion.kernel.newton import settle
    from springwright.motion.layout import drawn_anew, laid_out

    many = rig.tyre_rate.ndim > 1
    given = [cases] if isinstance(cases, Case) else list(cases)
    wheels = rig.tyre_rate.shape[-1]
    heights = np.atleast_2d(np.asarray(grounds, dtype=float))
    width = len(rig.tyre_rate) if many else 1
    runs = max(width if of is None else len(of), len(given), len(heights))
    if of is None:
        of = np.arange(runs) if many else np.zeros(runs, dtype=np.intp)
    ground = np.ascontiguousarray(np.broadcast_to(heights, (runs, wheels)))
    law = laid_out(rig)[1]
    along, specific = _loads(law, width, of, given)
    close = np.broadcast_to(CLOSE * GRAVITY * np.asarray(rig.mass), width)[of]
    q, left = np.zeros((runs, BODY + wheels)), np.zeros(runs)
    if guess is not None:
        q += guess
    level = np.zeros((runs, 1)) if rig.hitch_place.shape[-1] else ground.mean(axis=1, keepdims=True)
    up = np.concatenate([level, np.zeros((runs, BODY - 1)), np.repeat(level, wheels, axis=1)], axis=1)
    q -= up if guess is not None else 0.0
    if drawn is None:
        settle(width, law, of, ground - level, along, specific, close, q, left)
    else:
        settle(runs, drawn_anew(law, of, drawn), np.arange(runs), ground - level, along, specific, close, q, left)
    q += up
    reasons = [""] * runs
    for run in np.flatnonzero(np.isnan(left)):
        if not again:
            reasons[run] = "no position of rest"
            q[run] = np.nan
            continue
        case = given[run] if len(given) > 1 else given[0]
        try:
            found = equilibrium(row(rig, int(of[run])) if many else rig, ground[run], case)
        except UnsolvedError as error:
            reasons[run] = str(error)
            q[run] = np.nan
        else:
            q[run], left[run] = found.q, found.residual
    spring = tyre_springs(rig, of, q, ground)
    return Rests(q, np.where(spring < 0, 0.0, spring), left, tuple(reasons))


def tyre_springs(rig: Rig, of: NDArray[np.intp], q: Floats, ground: Floats) -> Floats:
    """(runs, w): what every tyre's spring pushes with [N], counted on below nothing where a wheel hangs; `of` as in `equilibria`."""
    force, rate, room, rim = (
        np.atleast_2d(one)[of] for one in (rig.tyre_force, rig.tyre_rate, rig.tyre_room, rig.rim_rate)
    )
    pressed = ground - q[:, BODY:]
    return np.asarray(laws.tyre_spring(force, rate, pressed, rim, np.maximum(pressed - room, 0.0)))


def side_by_side(rigs: Sequence[Rig], names: Sequence[str]) -> list[Rest]:
    """Rigs of one make each at rest on level ground, as `equilibrium` finds them one by one.

    Raises
    ------
    UnsolvedError
        With the name of the first that finds none, and why.

    """
    found = equilibria(stack(rigs))
    for name, reason, q in zip(names, found.reasons, found.q, strict=True):
        if not reason and np.abs(q[1:3]).max() > UPRIGHT:
            raise UnsolvedError(f'load state "{name}": {FALLEN}; it comes to rest on its stops')
        if reason:
            raise UnsolvedError(f'load state "{name}": {reason}')
    return [found.of(run, rig) for run, rig in enumerate(rigs)]


def _loads(law: Any, width: int, of: NDArray[np.intp], cases: list[Case]) -> tuple[Floats, Floats]:
    """(runs, 4 + w) forces along side-view lines and (runs, 3) specific force of every run."""
    each = np.array([case.specific for case in cases])
    x = each[:, :1]
    brake, pull = (one.reshape(-1, width)[:, of].T for one in (law.brake, law.pull))
    along = np.where(x < 0, brake, pull) * x
    return np.ascontiguousarray(along), np.ascontiguousarray(np.broadcast_to(each, (len(of), 3)))


def _lowest(rig: Rig, q: Floats, ground: Floats | float, case: Case) -> tuple[Floats, Floats, float] | None:
    """Newton downhill in potential energy from q: position, tangent and largest force left over; None if it does not settle.

    Every step is one that lowers the energy, so wheels may leave the ground, stops close and coils go slack on
    the way; where the tangent does not curve upwards it is stiffened until it does.
    """
    moving = rig.free
    square = np.ix_(moving, moving)
    scale = GRAVITY * rig.mass
    force, stiffness, energy = at_rest(rig, q, ground, case)
    for _ in range(STEPS):
        left = float(np.abs(force[moving]).max())
        if left < CLOSE * scale:
            return q, stiffness, left
        step = np.zeros_like(q)
        step[moving] = _downhill(stiffness[square], force[moving])
        if not np.all(np.isfinite(step)):
            return None
        drop = float(force @ step)
        size = 1.0
        while True:
            trial = at_rest(rig, q + size * step, ground, case)
            if energy - trial[2] > 1e-4 * size * drop or np.abs(trial[0][moving]).max() < left / 2:
                break
            size /= 2
            if size < SMALLEST:
                return None
        q = q + size * step
        force, stiffness, energy = trial
        if np.abs(q).max() > FARTHEST or np.abs(q[1:3]).max() > TILTED:
            return None
    return None


def _in_steps(rig: Rig, ground: Floats | float, case: Case) -> tuple[Floats, Floats, float]:
    """Continuation: ground and load put on a share at a time, each from the last position of rest."""
    found = (np.zeros(BODY + len(rig.wheel_places)), np.zeros((0, 0)), np.inf)
    for share in np.linspace(0, 1, SHARES + 1):
        part = Case(share * case.along, share * case.across, _between(LEVEL.gravity, case.gravity, float(share)))
        step = _lowest(rig, found[0], share * np.asarray(ground), part)
        if step is None:
            left = float(np.abs(forces(rig, found[0], share * np.asarray(ground), part)[0][rig.free]).max())
            raise UnsolvedError(
                f"no position of rest found with {share:.0%} of the load and ground on; {left:,.0f} N is left over. "
                "The vehicle tips, or its springs are far too soft for the load"
            )
        found = step
    return found


def _downhill(stiffness: Floats, force: Floats) -> Floats:
    """Newton's step, the tangent stiffened until it leads downhill."""
    diagonal = np.abs(np.diag(stiffness))
    diagonal += 1e-3 * diagonal.max()
    shift = 0.0 if np.all(np.diag(stiffness) > 0) else 1e-3
    while shift < 1e9:
        try:
            step = np.asarray(np.linalg.solve(stiffness + np.diag(shift * diagonal), force), dtype=float)
        except np.linalg.LinAlgError:
            step = np.zeros_like(force)
        if force @ step > 0 and np.abs(step).max() < LONGEST:  # wheels off the ground may leave nothing that holds
            return step
        shift = max(4 * shift, 1e-3)
    return force / diagonal


def _least(rig: Rig, stiffness: Floats) -> tuple[float, Floats]:
    """The least curvature of the energy among the coordinates that may move, and the way it is met."""
    moving = rig.free
    values, ways = np.linalg.eigh(stiffness[np.ix_(moving, moving)])
    way = np.zeros(len(stiffness))
    way[moving] = ways[:, 0]
    return float(values[0]), way


def _fallen(
    rig: Rig, found: tuple[Floats, Floats, float], ground: Floats | float, case: Case
) -> tuple[Floats, Floats, float]:
    """Where it comes to rest from a balance that would not hold, such as on two opposite wheels: the lower of both ways it may fall."""
    q, stiffness, _ = found
    way = _least(rig, stiffness)[1]
    ends = [_lowest(rig, q + NUDGE * side * way / np.abs(way).max(), ground, case) for side in (1, -1)]
    stand = [end for end in ends if end is not None and _least(rig, end[1])[0] > 0]
    return min(stand, key=lambda end: at_rest(rig, end[0], ground, case)[2], default=found)


def _between(a: tuple[float, ...], b: tuple[float, ...], share: float) -> tuple[float, float, float]:
    x, y, z = (p + share * (q - p) for p, q in zip(a, b, strict=True))
    return x, y, z
