"""One law for everything that can hold a wheel up: force and its tangent against how far the part is pressed.

`pressed` [m] counts from the part's length at zero wheel travel, shortening positive. A law is a pure function of it; the Rig
takes it as a table, and nothing else in the program computes a spring's force.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwright.results import Result, si

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class SpringNeed(Result):
    """What one spring must do, at the spring: lengths at ride, where the stop touches, at full bump and at full droop.

    `room_taken` says how `largest_outside` was taken where the builder gave none; `stress_margin` is the share of a permissible stress
    kept free; `strokes`, each of `fatigue_share` of the travel both ways from ride, are to be survived with a factor of `fatigue_least`,
    and without end by the pulsating line with one of `infinite_life_least` where that is given.
    `arm` is the lever a torsion bar works through: its lengths are arcs at the arm's end.
    """

    rate: float = si("N/m")
    ride_force: float = si("N")
    ride_length: float = si("m")
    stop_length: float = si("m")
    bump_length: float = si("m")
    droop_length: float = si("m")
    largest_outside: float | None = si("m", None)
    smallest_inside: float | None = si("m", None)
    room_taken: str = ""
    seat_factor: float = 0.7
    loaded_at_droop: bool = True
    fatigue_share: float = 1 / 3
    fatigue_least: float = 1.0
    infinite_life_least: float | None = None
    strokes: float = 1e6
    strokes_taken: str = "taken, no [[duty_cycle]]"
    peened: bool = False
    stress_margin: float = 0.05
    arm: float | None = si("m", None)

    @property
    def bump(self) -> float:
        """How far the part is pressed at full bump [m]."""
        return self.ride_length - self.bump_length

    @property
    def droop(self) -> float:
        """How far it is let out at full droop [m]."""
        return self.droop_length - self.ride_length


class Pull(NamedTuple):
    """Force [N], positive in compression, and tangent rate [N/m] at each place asked."""

    force: Floats
    rate: Floats


class Law:
    """What every law answers.

    `pulls`: held at both ends, so that it pulls where a coil would hang slack. `least` and `most` bound the usable range [m],
    `friction` is the dry friction inside the part [N], `leads` how far a leaf spring takes its axle ahead [-] and turns it
    nose up [rad/m] per rise.
    """

    pulls: bool = False
    least: float = -np.inf
    most: float = np.inf
    friction: float = 0.0
    leads: tuple[float, float] | None = None

    def at(self, pressed: ArrayLike) -> Pull:
        """Force and rate, counted on past slack [N, N/m at m]."""
        raise NotImplementedError

    @property
    def force(self) -> float:
        """Force at zero wheel travel [N]."""
        return float(self.at(0.0).force)

    @property
    def rate(self) -> float:
        """Tangent rate there [N/m]."""
        return float(self.at(0.0).rate)

    def energy(self, begin: float, end: float) -> float:
        """Work done on the part from one place to another [J]."""
        x = np.linspace(begin, end, 2001)
        return float(np.trapezoid(self.at(x).force, x))

    def carrying(self, force: float) -> Law:  # noqa: ARG002 a spring that is not levelled carries what it carries
        """The law with its height kept under another load [N]."""
        return self

    def about(self, pressed: float) -> Law:  # noqa: ARG002 only a gas springs otherwise when quick
        """The law for quick motion about a place of rest [m]."""
        return self


@dataclass(frozen=True)
class LinearLaw(Law):
    """A straight line: rate [N/m] and force at zero travel [N]."""

    slope: float
    at_zero: float
    pulls: bool = False
    friction: float = 0.0

    def at(self, pressed: ArrayLike) -> Pull:
        """See `Law` [N, N/m at m]."""
        x = np.asarray(pressed, dtype=float)
        return Pull(self.at_zero + self.slope * x, np.full_like(x, self.slope))


SOLID = 20.0  # rate of a coil pressed solid per its own: as stiff as a block, so that nothing passes it


@dataclass(frozen=True)
class Coiled(Law):
    """A plain coil: rate [N/m] and force at zero travel [N] up to where it is solid, pressed so far [m]; a block from there."""

    slope: float
    at_zero: float
    solid: float

    @property
    def pulls(self) -> bool:  # type: ignore[override]
        """It hangs slack."""
        return False

    def at(self, pressed: ArrayLike) -> Pull:
        """See `Law`; where it goes solid the rate is that beyond it [N, N/m at m]."""
        x = np.asarray(pressed, dtype=float)
        past = np.maximum(x - self.solid, 0.0)
        force = self.at_zero + self.slope * (x + (SOLID - 1) * past)
        return Pull(force, np.where(x >= self.solid, SOLID * self.slope, self.slope))


@dataclass(frozen=True)
class PiecewiseLinearLaw(Law):
    """Straight lines between points (pressed [m], force [N]), the first and last carried on: springs that lock or join one after another."""

    points: tuple[tuple[float, float], ...]
    pulls: bool = False
    most: float = np.inf

    def at(self, pressed: ArrayLike) -> Pull:
        """See `Law`; at a bend the rate is that beyond it [N, N/m at m]."""
        x, y = np.array(self.points).T
        slopes = np.diff(y) / np.diff(x)
        wanted = np.asarray(pressed, dtype=float)
        piece = np.clip(np.searchsorted(x, wanted, side="right") - 1, 0, len(slopes) - 1)
        return Pull(y[piece] + slopes[piece] * (wanted - x[piece]), slopes[piece])


@dataclass(frozen=True)
class MonotoneLaw(Law):
    """A smooth curve through points (pressed [m], force [N]) that keeps rising where they rise; straight beyond them."""

    points: tuple[tuple[float, float], ...]
    pulls: bool = False
    least: float = -np.inf
    most: float = np.inf

    @cached_property
    def _curve(self) -> Any:
        from scipy.interpolate import PchipInterpolator  # only for a table: it costs start-up time

        return PchipInterpolator(*np.array(self.points).T)

    def at(self, pressed: ArrayLike) -> Pull:
        """See `Law` [N, N/m at m]."""
        wanted = np.asarray(pressed, dtype=float)
        inside = np.clip(wanted, self.points[0][0], self.points[-1][0])
        force, rate = self._curve(inside), self._curve(inside, 1)
        return Pull(force + rate * (wanted - inside), rate)


@dataclass(frozen=True)
class ParallelLaws(Law):
    """Laws side by side under one load."""

    laws: tuple[Law, ...]
    pulls: bool = False
    friction: float = 0.0
    leads: tuple[float, float] | None = None

    @property
    def least(self) -> float:  # type: ignore[override]
        """The shortest reach of them [m]."""
        return max(one.least for one in self.laws)

    @property
    def most(self) -> float:  # type: ignore[override]
        """The shortest reach of them [m]."""
        return min(one.most for one in self.laws)

    def at(self, pressed: ArrayLike) -> Pull:
        """See `Law` [N, N/m at m]."""
        each = [one.at(pressed) for one in self.laws]
        return Pull(np.asarray(sum(one.force for one in each)), np.asarray(sum(one.rate for one in each)))


@dataclass(frozen=True)
class Shifted(Law):
    """A law whose part is pressed so much more [m] at every place, as by a spacer on its seat."""

    law: Law
    more: float

    @property
    def pulls(self) -> bool:  # type: ignore[override]
        """As the law's own."""
        return self.law.pulls

    @property
    def friction(self) -> float:  # type: ignore[override]
        """As the law's own [N]."""
        return self.law.friction

    @property
    def least(self) -> float:  # type: ignore[override]
        """The law's own reach, moved [m]."""
        return self.law.least - self.more

    @property
    def most(self) -> float:  # type: ignore[override]
        """The law's own reach, moved [m]."""
        return self.law.most - self.more

    def at(self, pressed: ArrayLike) -> Pull:
        """See `Law` [N, N/m at m]."""
        return self.law.at(np.asarray(pressed, dtype=float) + self.more)

    def about(self, pressed: float) -> Law:
        """See `Law` [m]."""
        quick = self.law.about(pressed + self.more)
        return self if quick is self.law else Shifted(quick, self.more)


@dataclass(frozen=True)
class BuiltLaw(Law):
    """A law as its spring was built: so many times the rate, and so much longer [m]."""

    law: Law
    factor: float
    longer: float

    @property
    def pulls(self) -> bool:  # type: ignore[override]
        """As the law's own."""
        return self.law.pulls

    @property
    def least(self) -> float:  # type: ignore[override]
        """As the law's own [m]."""
        return self.law.least

    @property
    def most(self) -> float:  # type: ignore[override]
        """As the law's own [m]."""
        return self.law.most

    @property
    def friction(self) -> float:  # type: ignore[override]
        """As the law's own [N]."""
        return self.law.friction

    @property
    def leads(self) -> tuple[float, float] | None:  # type: ignore[override]
        """As the law's own [-, rad/m]."""
        return self.law.leads

    def carrying(self, force: float) -> Law:
        """See `Law`: one that is levelled stands at its height however long it is [N]."""
        level = self.law.carrying(force / self.factor)
        return self if level is self.law else BuiltLaw(level, self.factor, 0.0)

    def about(self, pressed: float) -> Law:
        """See `Law` [m]."""
        quick = self.law.about(pressed + self.longer)
        return self if quick is self.law else BuiltLaw(quick, self.factor, self.longer)

    def at(self, pressed: ArrayLike) -> Pull:
        """See `Law` [N, N/m at m]."""
        force, rate = self.law.at(np.asarray(pressed, dtype=float) + self.longer)
        return Pull(self.factor * force, self.factor * rate)


def as_drawn(law: Law) -> Law:
    """A law as its spring was drawn, however it was built."""
    return as_drawn(law.law) if isinstance(law, BuiltLaw) else law


def built_law(law: Law, factor: float, longer: float) -> Law:
    """A law of so many times the rate, of a spring so much longer [m]; a plain coil stays one, that goes solid where it did."""
    if factor == 1 and longer == 0:
        return law
    if isinstance(law, LinearLaw | Coiled):
        return replace(law, slope=factor * law.slope, at_zero=factor * (law.at_zero + law.slope * longer))
    return BuiltLaw(law, factor, longer)


@dataclass(frozen=True)
class SplineLaw(Law):
    """A smooth law solved at evenly spaced places: the cubic spline through them, straight beyond."""

    places: tuple[float, ...]
    forces: tuple[float, ...]
    pulls: bool = False
    friction: float = 0.0
    least: float = -np.inf
    most: float = np.inf
    leads: tuple[float, float] | None = None

    @cached_property
    def _curve(self) -> Any:
        from scipy.interpolate import CubicSpline  # only for a table: it costs start-up time

        return CubicSpline(self.places, self.forces)

    def at(self, pressed: ArrayLike) -> Pull:
        """See `Law` [N, N/m at m]."""
        wanted = np.asarray(pressed, dtype=float)
        inside = np.clip(wanted, self.places[0], self.places[-1])
        force, rate = self._curve(inside), self._curve(inside, 1)
        return Pull(force + rate * (wanted - inside), rate)
