"""How far a thing can grow before a wheel lifts and before the vehicle tips: corners, slopes, ramps, ditches."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from springwright.motion.equilibrium import Rests, equilibria, tyre_springs
from springwright.motion.forces import LEVEL, Case
from springwright.motion.rig import Rig

Floats = NDArray[np.float64]
GRID = 12  # steps of the first look
MOST_ROUNDS, CLOSE, LOST_CLOSE = (
    30,
    1e-9,
    1e-7,
)  # of closing in on a lift: rounds at most, load left over per mean load, stretch left where rest is lost
PARTS, ROUNDS = 4, 6  # each round of closing in on tipping cuts the stretch into so many parts


@dataclass(frozen=True, eq=False)
class GrowingCase:
    """A thing that grows from nothing to `most`: ground under the wheels per amount (w,), and the acceleration and gravity there.

    `of` says which Rig of a batch it is done to.
    """

    most: float
    ground: Floats | float = 0.0
    case: Callable[[float], Case] = lambda _: LEVEL
    of: int = 0


@dataclass(frozen=True)
class LimitFound:
    """Amount at which the first wheel lifts, which wheel, and amount beyond which nothing stands; None where it is not reached.

    Where rest is lost with every wheel still on the ground, the wheel told is the one nearest to lifting there.
    """

    lift: float | None
    wheel: int | None
    tip: float | None


@dataclass
class _Span:
    """Of some ways, the stretch in which something happens: its ends, least wheel load there (nan: no rest), the rest and loads at its start."""

    ways: list[GrowingCase]
    a: Floats
    b: Floats
    fa: Floats
    fb: Floats
    q: Floats
    loads: Floats


def reaches(rig: Rig, ways: Sequence[GrowingCase], *, tips: bool = True) -> list[LimitFound]:
    """For each way, the amount of the first lift and of tipping, of a Rig or of Rigs side by side (see `motion.rig.stack`).

    A first look over even steps, each lost one tried again from the rest before it, finds between which two a wheel's load first
    falls below nothing and between which two rest is last found; false position (Illinois) closes in on the lift, ever smaller
    parts on the tip, which is not looked for where it is not asked for.
    """
    amounts = np.array([way.most for way in ways])[:, None] * np.linspace(0.0, 1.0, GRID + 1)
    q, loads = _first_look(rig, ways, amounts)
    least = loads.min(axis=2)
    found: list[LimitFound] = []
    lifting, tipping = [], []
    for i in range(len(ways)):
        off, lost = (np.flatnonzero(one) for one in (~(least[i] > 0), np.isnan(least[i])))
        found.append(LimitFound(None, None, None))
        if len(off) and off[0] == 0:
            found[i] = LimitFound(0.0, int(np.argmin(np.nan_to_num(loads[i, 0], nan=np.inf))), None)
        elif len(off):
            lifting.append((i, int(off[0])))
        if len(lost) and tips:
            tipping.append((i, int(lost[0])))

    def span(where: list[tuple[int, int]]) -> _Span:
        rows, at = (np.array(one) for one in zip(*where, strict=True))
        return _Span(
            [ways[i] for i in rows],
            amounts[rows, at - 1],
            amounts[rows, at],
            least[rows, at - 1],
            least[rows, at],
            q[rows, at - 1],
            loads[rows, at - 1],
        )

    if lifting:
        for (i, _), lift, wheel in zip(lifting, *_closing_in(rig, span(lifting)), strict=True):
            found[i] = replace(found[i], lift=float(lift), wheel=int(wheel))
    standing = [one for one in tipping if one[1] > 0]
    if standing:
        for (i, _), tip in zip(standing, _cutting(rig, span(standing)), strict=True):
            found[i] = replace(found[i], tip=float(tip))
    for i, at in tipping:
        if at == 0:
            found[i] = replace(found[i], tip=0.0)
    # both are searches: where it tips as its first wheel lifts, the tip is not told before the lift
    return [one if one.tip is None or one.lift is None else replace(one, tip=max(one.tip, one.lift)) for one in found]  # fmt: skip


def _first_look(rig: Rig, ways: Sequence[GrowingCase], amounts: Floats) -> tuple[Floats, Floats]:
    """Rest (ways, steps, 4 + w) and wheel loads (ways, steps, w) at every step, nan where none is found from the rest before it either."""
    steps = amounts.shape[1]
    each = [way for way in ways for _ in range(steps)]
    q = _rest(rig, each, amounts.ravel(), None).q.reshape(*amounts.shape, -1)
    while True:
        lost = np.isnan(q[:, :, 0])
        again = [(i, k) for i in range(len(ways)) for k in range(1, steps) if lost[i, k] and not lost[i, k - 1]]
        if not again:
            break
        tried = _rest(
            rig,
            [ways[i] for i, _ in again],
            np.array([amounts[one] for one in again]),
            np.array([q[i, k - 1] for i, k in again]),
        )
        better = 0
        for one, rest in zip(again, tried.q, strict=True):
            if np.isfinite(rest[0]):
                q[one], better = rest, better + 1
        if not better:
            break
    loads = _loads(rig, each, q.reshape(len(each), -1), amounts.ravel())
    return q, loads.reshape(*amounts.shape, -1)  # fmt: skip


def _closing_in(rig: Rig, span: _Span) -> tuple[Floats, NDArray[np.intp]]:
    """Where the least wheel load passes nought, and which wheel it is; where rest is lost before it does, the last rest there is."""
    mean = np.atleast_2d(rig.tyre_force).mean(axis=1)[_of(span.ways)]
    a, b, fa = span.a.copy(), span.b.copy(), span.fa.copy()
    fb = np.maximum(span.fb, -mean)  # how far a lifted wheel hangs says nothing of where it lifted
    held, which = span.loads.copy(), np.argmin(span.loads, axis=1)
    side, nearest, best = np.zeros(len(a)), np.full(len(a), np.inf), a.copy()
    for _ in range(MOST_ROUNDS):
        going = np.flatnonzero((nearest > CLOSE * mean) & (b - a > np.where(np.isnan(fb), LOST_CLOSE, CLOSE) * b))
        if not len(going):
            break
        low, high, f_low, f_high = a[going], b[going], fa[going], fb[going]
        with np.errstate(invalid="ignore", divide="ignore"):
            at = np.where(np.isfinite(f_high), (low * f_high - high * f_low) / (f_high - f_low), (low + high) / 2)
        at = np.where(np.isfinite(at), at, high)
        ways = [span.ways[i] for i in going]
        rests = _rest(rig, ways, at, span.q[going])
        now = _loads(rig, ways, rests.q, at)
        f = np.maximum(now.min(axis=1), -mean[going])
        over = ~(f > 0)
        stands = ~over
        span.q[going[stands]], held[going[stands]] = rests.q[stands], now[stands]
        better = np.abs(f) < nearest[going]
        nearest[going[better]], best[going[better]] = np.abs(f[better]), at[better]
        off = over & np.isfinite(f)
        which[going[off]] = np.argmin(now[off], axis=1)
        # Illinois: an end that stays twice has its value halved
        was = side[going]
        fa[going] = np.where(over & (was > 0), f_low / 2, np.where(over, f_low, f))
        fb[going] = np.where(stands & (was < 0), f_high / 2, np.where(over, f, f_high))
        side[going] = np.where(over, 1, -1)
        a[going], b[going] = np.where(over, low, at), np.where(over, at, high)
    lost = np.isnan(fb)
    return np.where(lost, a, best), np.where(lost, np.argmin(held, axis=1), which)


def _cutting(rig: Rig, span: _Span) -> Floats:
    """The largest amount at which rest is found, each round going on from the last rest before.

    A way that is lost at one part is not asked for the next: what does not stand is the dearest to look at.
    """
    a, b = span.a.copy(), span.b.copy()
    for _ in range(ROUNDS):
        start, part, guess = a.copy(), b - a, span.q.copy()
        going = np.arange(len(a))
        for share in np.arange(1, PARTS) / PARTS:
            at = start[going] + part[going] * share
            rests = _rest(rig, [span.ways[i] for i in going], at, guess[going]).q
            stands = np.isfinite(rests[:, 0])
            b[going[~stands]] = at[~stands]
            going = going[stands]
            a[going], span.q[going] = at[stands], rests[stands]
            if not len(going):
                break
    return np.asarray((a + b) / 2)


def _rest(rig: Rig, ways: Sequence[GrowingCase], amounts: Floats, guess: Floats | None) -> Rests:
    grounds = _grounds(rig, ways, amounts)
    cases = [way.case(at) for way, at in zip(ways, amounts.tolist(), strict=True)]
    return equilibria(rig, grounds, cases, of=_of(ways), guess=guess, again=False)


def _of(ways: Sequence[GrowingCase]) -> NDArray[np.intp]:
    return np.array([way.of for way in ways])


def _grounds(rig: Rig, ways: Sequence[GrowingCase], amounts: Floats) -> Floats:
    wheels = rig.tyre_rate.shape[-1]
    grounds = np.zeros((len(ways), wheels))
    for i, way in enumerate(ways):
        grounds[i] = way.ground
    return np.asarray(amounts[:, None] * grounds)


def _loads(rig: Rig, ways: Sequence[GrowingCase], q: Floats, amounts: Floats) -> Floats:
    """(runs, w): load under each wheel, counted on below nothing where it hangs; nan where there is no rest."""
    return tyre_springs(rig, _of(ways), q, _grounds(rig, ways, amounts))
