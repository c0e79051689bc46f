"""How far a thing can grow before a wheel lifts and before the vehicle tips: corners, slopes, ramps, ditches."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.motion.equilibrium import Rests, equilibria
from springwright.motion.forces import LEVEL, Case
from springwright.vehicle.rig import BODY, Rig

Floats = NDArray[np.float64]
GRID, FALSE_POSITION = 12, 14  # steps of the first look, and of closing in on a lift
PARTS, ROUNDS = 6, 5  # each round of closing in on tipping cuts the stretch into so many parts


@dataclass(frozen=True, eq=False)
class Way:
    """A thing that grows from nothing to `most`: ground under the wheels per amount (w,), and the acceleration and gravity there."""

    most: float
    ground: Floats | float = 0.0
    case: Callable[[float], Case] = lambda _: LEVEL


@dataclass(frozen=True)
class Reach:
    """Amount at which the first wheel lifts, which wheel, and amount beyond which nothing stands; None where it is not reached.

    `beyond` are the wheel loads [N] just before.
    """

    lift: float | None
    wheel: int | None
    tip: float | None


def reaches(rig: Rig, ways: Sequence[Way]) -> list[Reach]:
    """For each way, the amount of the first lift and of tipping.

    A first look over even steps finds between which two a wheel's load first falls below nothing and between which two rest is
    last found; false position (Illinois) closes in on the lift, ever smaller parts on the tip.
    """
    steps = np.linspace(0.0, 1.0, GRID + 1)
    amounts = np.array([way.most * steps for way in ways])
    looked = _rest(rig, [way for way in ways for _ in steps], amounts.ravel(), None)
    least = _loads(rig, ways, looked, amounts.ravel()).reshape(len(ways), len(steps), -1)
    q = looked.q.reshape(len(ways), len(steps), -1)
    low, high = np.full(len(ways), np.nan), np.full(len(ways), np.nan)
    tipping = []
    for i in range(len(ways)):
        lowest = least[i].min(axis=1)
        lifted = np.flatnonzero(~(lowest > 0))
        if len(lifted):
            at = int(lifted[0])
            low[i], high[i] = amounts[i, max(at - 1, 0)], amounts[i, at]
        lost = np.flatnonzero(np.isnan(lowest))
        tipping.append(int(lost[0]) if len(lost) else None)
    lifts, wheels = _closing_in(rig, ways, low, high)
    tips = _cutting(rig, ways, amounts, q, tipping)
    return [
        Reach(None if np.isnan(lift) else float(lift), None if np.isnan(lift) else int(wheel), None if np.isnan(tip) else float(tip))
        for lift, wheel, tip in zip(lifts, wheels, tips, strict=True)
    ]  # fmt: skip


def _closing_in(rig: Rig, ways: Sequence[Way], low: Floats, high: Floats) -> tuple[Floats, NDArray[np.intp]]:
    """Where the least wheel load passes nought, and which wheel it is."""
    mine = np.flatnonzero(np.isfinite(low)).tolist()
    found, wheel = np.full(len(ways), np.nan), np.zeros(len(ways), dtype=np.intp)
    if not len(mine):
        return found, wheel
    some = [ways[i] for i in mine]
    a, b = low[mine].copy(), high[mine].copy()
    loads = [_loads(rig, some, _rest(rig, some, at, None), at) for at in (a, b)]
    fa, fb = (one.min(axis=1) for one in loads)
    which = np.where(np.isnan(fb), 0, np.argmin(np.nan_to_num(loads[1], nan=np.inf), axis=1))
    done = ~(fa > 0)  # lifted already where it begins
    where = np.array(mine)
    found[where[done]], which[done] = a[done], np.argmin(loads[0][done], axis=1)
    side = np.zeros(len(mine))
    for _ in range(FALSE_POSITION):
        safe = np.isfinite(fb) & np.isfinite(fa)
        with np.errstate(invalid="ignore", divide="ignore"):
            at = np.where(safe, (a * fb - b * fa) / (fb - fa), (a + b) / 2)
        at = np.where(np.isfinite(at), at, b)
        now = _loads(rig, some, _rest(rig, some, at, None), at)
        f = now.min(axis=1)
        over = ~(f > 0)
        which = np.where(over & np.isfinite(f), np.argmin(np.nan_to_num(now, nan=np.inf), axis=1), which)
        # Illinois: an end that stays twice has its value halved
        fa = np.where(over & (side > 0), fa / 2, np.where(over, fa, f))
        fb = np.where(~over & (side < 0), fb / 2, np.where(over, f, fb))
        side = np.where(over, 1, -1)
        a, b = np.where(over, a, at), np.where(over, at, b)
        if np.all((np.abs(f) < 1e-7 * rig.tyre_force.mean()) | (b - a < 1e-12 * b)):
            break
    ends = np.where(np.abs(f) < 1e-3 * rig.tyre_force.mean(), at, b)
    found[where[~done]] = ends[~done]
    wheel[where] = which
    return found, wheel


def _cutting(rig: Rig, ways: Sequence[Way], amounts: Floats, q: Floats, tipping: list[int | None]) -> Floats:
    """The largest amount at which rest is found, each round going on from the last rest before."""
    found = np.full(len(ways), np.nan)
    mine = [i for i, at in enumerate(tipping) if at is not None and at > 0]
    for i, at in enumerate(tipping):
        if at == 0:
            found[i] = 0.0
    if not mine:
        return found
    some = [ways[i] for i in mine]
    first = [tipping[i] or 0 for i in mine]
    a = np.array([amounts[i, k - 1] for i, k in zip(mine, first, strict=True)])
    b = np.array([amounts[i, k] for i, k in zip(mine, first, strict=True)])
    guess = np.array([q[i, k - 1] for i, k in zip(mine, first, strict=True)])
    shares = np.arange(1, PARTS) / PARTS
    for _ in range(ROUNDS):
        at = a[:, None] + (b - a)[:, None] * shares
        rests = _rest(rig, [way for way in some for _ in shares], at.ravel(), np.repeat(guess, len(shares), axis=0))
        stands = np.isfinite(rests.q[:, 0]).reshape(at.shape)
        first_lost = np.where(stands.all(axis=1), len(shares), np.argmin(stands, axis=1))
        ends = np.column_stack([a, at, b])
        every = np.arange(len(mine))
        a, b = ends[every, first_lost], ends[every, first_lost + 1]
        held = first_lost > 0
        q_there = rests.q.reshape(*at.shape, -1)
        guess[held] = q_there[every[held], first_lost[held] - 1]
    found[mine] = (a + b) / 2
    return found


def _rest(rig: Rig, ways: Sequence[Way], amounts: Floats, guess: Floats | None) -> Rests:
    grounds = _grounds(rig, ways, amounts)
    cases = [way.case(float(at)) for way, at in zip(ways, amounts, strict=True)]
    return equilibria(rig, grounds, cases, guess=guess, again=False)


def _grounds(rig: Rig, ways: Sequence[Way], amounts: Floats) -> Floats:
    wheels = len(rig.wheel_places)
    return np.array([at * np.broadcast_to(way.ground, wheels) for way, at in zip(ways, amounts, strict=True)])


def _loads(rig: Rig, ways: Sequence[Way], rests: Rests, amounts: Floats) -> Floats:
    """(runs, w): load under each wheel, counted on below nothing where it hangs; nan where there is no rest."""
    many = len(amounts) // len(ways)
    grounds = _grounds(rig, [way for way in ways for _ in range(many)], amounts)
    return np.asarray(rig.tyre_force - rig.tyre_rate * (rests.q[:, BODY:] - grounds))
