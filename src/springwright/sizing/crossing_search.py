"""Requirements scanned over the ride frequency of an axle: where each one holds, every end found side by side.

A grid finds between which two frequencies a figure passes its limit; each crossing is then closed in on by cubics through the places
tried so far. All requirements are asked at many frequencies at once, so that what they are read from is worked out in batches.
"""

from __future__ import annotations

from collections.abc import Callable, MutableMapping, Sequence
from copy import copy
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.results import Result, si

Floats = NDArray[np.float64]
SOFTEST, STIFFEST, POINTS = 0.3, 5.0, 25  # Hz: the range looked at
CLOSE = 2e-6  # Hz to which an end is closed in on


@dataclass(frozen=True)
class Requirement(Result):
    """One requirement on one axle: the frequencies it allows, and which load state governs at the axle's own frequency."""

    name: str
    limit: float | None
    unit: str
    kind: str
    sense: str
    allowed: tuple[tuple[float, ...], ...] = si("Hz", ())
    value: float | None = None
    where: str = ""
    monotone: bool = True
    note: str = ""
    source: str = ""
    beside: bool = False  # told for comparison: it binds nothing
    id: str = ""


@dataclass(frozen=True)
class Ask:
    """A requirement before it is scanned, known by `id`: its figure at many frequencies, nan where it has none, with the state that governs each.

    `after` works out beforehand what the figure is read from; asks that share it have all their frequencies worked out together.
    """

    id: str
    name: str
    limit: float | None
    unit: str
    kind: str
    sense: str
    figure: Callable[[Floats], FigureAtFrequencies]
    broken: str
    missing: str = ""
    source: str = "your limit"
    beside: bool = False  # told for comparison: it binds nothing
    points: int = POINTS  # frequencies looked at before closing in
    close: float = CLOSE  # Hz to which an end is closed in on
    after: Callable[[Floats], object] | None = None
    kept: MutableMapping[Any, Any] | None = None  # where the look stays, for who asks the same of the same again

    def margins(self, values: Floats) -> Floats:
        """Spare of each value, positive where the requirement holds, endlessly negative where there is no figure [SI]."""
        spare = values - (self.limit or 0.0)
        return np.where(np.isnan(spare), -np.inf, -spare if self.sense == "at most" else spare)


class FigureAtFrequencies(NamedTuple):
    """A figure at n frequencies, nan where it has none, and which load state governs each."""

    values: Floats
    states: Sequence[str]


def scan(asks: Sequence[Ask], aim: float, say: Callable[[str], None]) -> list[Requirement]:
    """Where every requirement holds over the range: crossings found on a grid, then all closed in on side by side [Hz]."""
    looks = {id(ask): _Look.over_range(ask) for ask in asks if ask.limit is not None}
    _close_in(list(looks.values()), np.array([aim]), say)
    for look in looks.values():
        look.keep()
    found = {key: look.at_too(aim) for key, look in looks.items()}
    _close_in(list(found.values()), np.zeros(0), say)
    return [found[id(ask)].told(aim) if id(ask) in found else _not_asked(ask) for ask in asks]


def _close_in(looks: Sequence[_Look], soon: Floats, say: Callable[[str], None]) -> None:
    """Have every look tried until it has found all, side by side; what figures are read from is worked out for `soon` as well."""
    while going := [(look, tried) for look in looks if len(tried := look.next_tries())]:
        together: dict[Callable[[Floats], object], list[Floats]] = {}
        for look, tried in going:
            if look.ask.after is not None:
                together.setdefault(look.ask.after, [soon]).append(tried)
        for after, each in together.items():
            after(np.unique(np.concatenate(each)))
        for look, tried in going:
            say(look.ask.name)
            look.take(tried)


def _not_asked(ask: Ask) -> Requirement:
    note = ask.missing or "no limit given: not known"
    return Requirement(ask.name, None, ask.unit, ask.kind, ask.sense, note=note, id=ask.id)


class _Look:
    """One requirement looked at: the frequencies tried so far and the margin at each, and those wanted next."""

    def __init__(self, ask: Ask, grid: Floats) -> None:
        self.ask, self.grid, self.wanted = ask, grid, grid
        self.at, self.margin = np.zeros(0), np.zeros(0)
        self.figure: dict[float, tuple[float, str]] = {}

    @classmethod
    def over_range(cls, ask: Ask) -> _Look:
        """A look at a grid over the whole range, or the one that was kept."""
        last = (ask.kept or {}).get(_same(ask))
        look = cls(ask, _grid(ask.points)) if last is None else copy(last)
        look.ask = ask
        return look

    def keep(self) -> None:
        """Let who asks the same again have what was found."""
        if self.ask.kept is not None:
            self.ask.kept[_same(self.ask)] = self

    def at_too(self, frequency: float) -> _Look:
        """The same and a frequency more; should the requirement cease to hold there and hold about it, that is found [Hz]."""
        look = copy(self)
        look.wanted = np.zeros(0) if frequency in self.figure else np.array([frequency])
        return look

    def next_tries(self) -> Floats:
        """Those wanted first; then places about where each crossing that is still too wide is thought to lie [Hz]."""
        if len(self.wanted):
            return self.wanted
        return np.array([f for i in self._crossings() for f in self._about(i)])

    def take(self, tried: Floats) -> None:
        """Work out the figure and its margin at some frequencies [Hz]."""
        self.wanted = np.zeros(0)
        told = self.ask.figure(tried)
        self.figure = self.figure | dict(
            zip(tried.tolist(), zip(told.values.tolist(), told.states, strict=True), strict=True)
        )
        at = np.append(self.at, tried)
        self.at, kept = np.unique(at, return_index=True)
        self.margin = np.append(self.margin, self.ask.margins(told.values))[kept]

    def told(self, aim: float) -> Requirement:
        """What was found."""
        ask = self.ask
        bounds = [SOFTEST, *(self._edge(i) for i in self._signs()), STIFFEST]
        holds = self.margin[0] >= 0
        allowed = tuple((a, b) for i, (a, b) in enumerate(pairwise(bounds)) if holds == (i % 2 == 0) and b > a)
        value, where = _known(*self.figure[aim])
        looked = self.margin[np.searchsorted(self.at, self.grid)]
        steps = np.diff(looked[np.isfinite(looked)])
        monotone = bool(np.all(steps >= -1e-12) or np.all(steps <= 1e-12))
        said = not monotone and len(bounds) > 3
        note = "the figure does not only rise or only fall with frequency; every crossing was found" if said else ""
        return Requirement(
            ask.name,
            ask.limit,
            ask.unit,
            ask.kind,
            ask.sense,
            allowed,
            value,
            where,
            monotone,
            note,
            ask.source,
            ask.beside,
            ask.id,
        )

    def _signs(self) -> NDArray[np.intp]:
        """The places after which the requirement begins or ceases to hold."""
        return np.flatnonzero(np.diff(self.margin >= 0))

    def _crossings(self) -> NDArray[np.intp]:
        """Those with a figure on either side that are not closed in on yet."""
        i = self._signs()
        known = np.isfinite(self.margin[i]) & np.isfinite(self.margin[i + 1])
        return i[known & (self.at[i + 1] - self.at[i] > self.ask.close)]

    def _edge(self, i: int) -> float:
        """Where the margin passes nothing after place i; beside a frequency with no figure, the last that has one."""
        a, b, m, n = self.at[i], self.at[i + 1], self.margin[i], self.margin[i + 1]
        if not (np.isfinite(m) and np.isfinite(n)):
            return float(a if np.isfinite(m) else b)
        return float(a + (b - a) * m / (m - n))

    def _about(self, i: int) -> Floats:
        """Frequencies between places i and i + 1: where a cubic through four neighbours passes nothing, a little to either side, and the middle.

        The cubic goes through frequency against margin; how far it is from the straight line says how far it may be off itself.
        """
        a, b = self.at[i], self.at[i + 1]
        straight = self._edge(i)
        near = slice(max(i - 1, 0), i + 3)
        x, y = self.at[near], self.margin[near]
        guess = straight
        if np.isfinite(y).all() and (np.all(np.diff(y) > 0) or np.all(np.diff(y) < 0)):
            cubic = sum(x[j] * np.prod([y[k] / (y[k] - y[j]) for k in range(len(y)) if k != j]) for j in range(len(y)))
            guess = float(cubic) if a < cubic < b else straight
        aside = max(abs(guess - straight) / 8, self.ask.close / 3)
        tried = np.array([guess - aside, guess, guess + aside, (a + b) / 2])
        return np.asarray(tried[(tried > a) & (tried < b)])


def _same(ask: Ask) -> tuple[Any, ...]:
    """What two asks of one thing have in common."""
    return ask.name, ask.limit, ask.sense, ask.points, ask.close


@lru_cache(maxsize=8)
def _grid(points: int) -> Floats:
    return np.geomspace(SOFTEST, STIFFEST, points)


def figure_at(ask: Ask, frequency: float) -> tuple[float | None, str]:
    """The figure of a requirement at one frequency and the state that governs; None where it has none [Hz, SI]."""
    told = ask.figure(np.array([frequency]))
    return _known(float(told.values[0]), told.states[0])


def _known(value: float, where: str) -> tuple[float | None, str]:
    return (None, "") if np.isnan(value) else (value, where)
