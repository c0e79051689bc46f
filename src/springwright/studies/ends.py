"""The full window: what the ride, the obstacle, the ditch, the corner, the slope, the drop and the belly allow beside the static ends."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from springwright.motion.equilibrium import Rest, equilibrium
from springwright.motion.response import response
from springwright.questions.answer import PUBLISHED
from springwright.questions.fit import belly_low
from springwright.questions.grip import diagonal_height
from springwright.questions.land import cut
from springwright.questions.leaning import roll_gradient, side_slope
from springwright.questions.ready import InState, Ready, footprint, mean_tyre
from springwright.results import Result
from springwright.sizing.rates import kept_level, sprung_mass, state_loads
from springwright.studies.prove import make_ready
from springwright.studies.rigs import sized
from springwright.studies.window import Ask, Trial, Window, windows
from springwright.terrain.obstacles import half_round
from springwright.terrain.roughness import CLASSES
from springwright.units import GRAVITY, show
from springwright.vehicle.assemble import assemble, own_springs, with_curve, with_damping
from springwright.vehicle.curves import bump_stop, lengths, pull, spring_curve
from springwright.vehicle.design import Design
from springwright.vehicle.file import DesignFile
from springwright.vehicle.rig import Rig

if TYPE_CHECKING:
    from springwright.terrain.ground import Ground

Floats = NDArray[np.float64]
FREQUENCIES = 96  # of a spectrum
POINTS = 14  # frequencies looked at for each end before closing in: they cost more than the static ones
CLOSE = 1e-4  # Hz to which they are closed in on
STEPS = 401  # of an energy


@dataclass(frozen=True)
class FullWindow(Result):
    """The window of every axle with all its ends."""

    vehicle: str
    windows: tuple[Window, ...]


def full_window(file: DesignFile) -> FullWindow:
    """The window of every axle with all its ends, the other axles as sized.

    Raises
    ------
    InputError
        A fault in the design.

    """
    ready = make_ready(file)
    sheet, design = sized(file), file.design
    aims = [rate.frequency_on_springs for rate in sheet.rates]
    laws = tuple(one.law for one in sheet.springs)
    found = windows(
        design, sheet.states, laws, ready.loads, aims, lambda trial: _asks(_Moving(ready, trial, aims[trial.index]))
    )
    return FullWindow(design.vehicle.name, found)


class _Moving:
    """One axle at a trial frequency with stops, dampers at their ratio and bars: a Rig at rest for each load state, each made once."""

    def __init__(self, ready: Ready, trial: Trial, aim: float) -> None:
        self.ready, self.trial, self.aim = ready, trial, aim
        self.axle = ready.design.axles[trial.index]
        self.obstacle: Ground | None = None
        self._bare: list[Rig] = []
        self._known: dict[float, list[tuple[InState, Rig, Rest]]] = {}

    def rigs(self, frequency: float) -> list[tuple[InState, Rig, Rest]]:
        """The Rig of every load state with this axle's springs and dampers at a frequency, and where it rests."""
        if frequency not in self._known:
            found = []
            for at in self.ready.states:
                rig = self._changed(at.rig, at, frequency)
                found.append((at, rig, equilibrium(rig)))
            self._known[frequency] = found
        return self._known[frequency]

    def without_bars(self, frequency: float) -> list[tuple[InState, Rig]]:
        """The same with no anti-roll bars at all."""
        if not self._bare:
            axles = tuple(axle.model_copy(update={"bar": None}) for axle in self.ready.design.axles)
            bare = self.ready.design.model_copy(update={"axles": axles})
            self._bare = [
                assemble(bare, at.weight, at.laws, self.ready.loads, self.ready.damping) for at in self.ready.states
            ]
        return [(at, self._changed(rig, at, frequency)) for at, rig in zip(self.ready.states, self._bare, strict=True)]

    def _changed(self, rig: Rig, at: InState, frequency: float) -> Rig:
        index = self.trial.index
        load = float(state_loads(self.ready.design, at.weight, self.ready.loads)[index])
        law = kept_level(self.axle, self.trial.law(frequency), load)
        sprung = with_curve(rig, own_springs(rig, index), spring_curve(self.axle, law))
        return with_damping(sprung, index, frequency / self.aim)  # c = 2 zeta sqrt(k m): the ratio is kept


def _asks(moving: _Moving) -> list[Ask]:
    """Every end beside the static ones, each with what is missing where it cannot be asked."""
    design = moving.ready.design
    limits, reference = design.limits, design.reference
    rolls = moving.ready.home.rig.roll_free
    letter = _class_of(design)
    smooth = limits.seat_acceleration if letter and reference.speed else None
    met = limits.shock if reference.obstacle_height and limits.obstacle_speed else None
    gradient, slope = (limits.roll_gradient, limits.side_slope) if rolls else (None, None)
    barred = any(axle.bar is not None for axle in design.axles)
    asks = [
        Ask(
            "weighted acceleration at the seat", smooth, "m/s**2", "acceleration", "at most", lambda f: _worst(_shaken(moving, f, letter), most=True),
            f"the seat shakes by more than {show(smooth, 'acceleration')}", "give limits.seat_acceleration, reference.speed and a reference.ground of an ISO class",
        ),
        Ask(
            "shock over the reference obstacle", met, "m/s**2", "acceleration", "at most", lambda f: _worst(_shocked(moving, f), most=True),
            f"the seat is hit by more than {show(met, 'acceleration')}", "give reference.obstacle_height and limits.obstacle_speed", PUBLISHED if "shock" not in limits.model_fields_set else "your limit",
        ),
        Ask(
            "diagonal height before a wheel lifts", limits.diagonal_height if rolls else None, "m", "length", "at least", lambda f: _worst([(at.name, diagonal_height(rig)) for at, rig, _ in moving.rigs(f)], most=False),
            f"a wheel lifts before {show(limits.diagonal_height, 'length')} of diagonal height", "give limits.diagonal_height",
        ),
        Ask(
            "roll gradient with the bars" if barred else "roll gradient", gradient, "rad*s**2/m", "lean", "at most", lambda f: _worst([(at.name, roll_gradient(rig)) for at, rig, _ in moving.rigs(f)], most=True),
            f"it leans by more than {show(gradient, 'lean')}", "give limits.roll_gradient",
        ),
        Ask(
            "side slope before a wheel lifts", slope, "rad", "angle", "at least", lambda f: _worst([(at.name, side_slope(rig)) for at, rig, _ in moving.rigs(f)], most=False),
            f"a wheel lifts on less than {show(slope, 'angle')} of side slope", "give limits.side_slope",
        ),
        Ask(
            "drop taken by spring and stop alone", limits.drop_height, "m", "length", "at least", lambda f: _worst(_dropped(moving, f), most=False),
            f"without damper and tyre the stop is pressed solid by a drop of {show(limits.drop_height, 'length')}", "give limits.drop_height",
        ),
        Ask(
            "belly clearance at rest", limits.belly_clearance if design.belly else None, "m", "length", "at least", lambda f: _worst(_cleared(moving, f), most=False),
            f"the belly stands lower than {show(limits.belly_clearance, 'length')}", "give belly and limits.belly_clearance",
        ),
    ]  # fmt: skip
    if barred and rolls:
        without = Ask(
            "roll gradient without bars", gradient, "rad*s**2/m", "lean", "at most", lambda f: _worst([(at.name, roll_gradient(rig)) for at, rig in moving.without_bars(f)], most=True),
            f"without bars it leans by more than {show(gradient, 'lean')}", "give limits.roll_gradient", beside=True,
        )  # fmt: skip
        asks.insert(4, without)
    return [replace(ask, points=POINTS, close=CLOSE) for ask in asks]


def _worst(each: list[tuple[str, float]], *, most: bool) -> tuple[float, str]:
    """The value that governs and its load state."""
    name, value = (max if most else min)(each, key=lambda one: one[1])
    return value, name


def _class_of(design: Design) -> str:
    """The ISO 8608 class of the reference ground; empty where it has none."""
    return next((ground.iso_class or "" for ground in design.grounds if ground.name == design.reference.ground), "")


def _shaken(moving: _Moving, frequency: float, letter: str) -> list[tuple[str, float]]:
    """Weighted acceleration of all three axes at the worst seat, linear about rest."""
    ready, speed = moving.ready, moving.ready.design.reference.speed
    assert speed is not None
    found = []
    for at, rig, rest in moving.rigs(frequency):
        told = response(
            rig,
            rest,
            CLASSES[letter],
            speed,
            points=ready.points,
            footprint=footprint(*mean_tyre(ready.design, ready.loads)),
            count=FREQUENCIES,
        )
        found.append((at.name, max(math.hypot(one.up, one.along, one.across) for one in told.points)))
    return found


def _shocked(moving: _Moving, frequency: float) -> list[tuple[str, float]]:
    """Largest acceleration below 30 Hz at the worst seat over the reference obstacle, a half-round, in time."""
    from springwright.motion.drive import drive

    ready, design = moving.ready, moving.ready.design
    speed, height = design.limits.obstacle_speed, design.reference.obstacle_height
    assert speed is not None
    assert height is not None
    if moving.obstacle is None:
        moving.obstacle = cut(ready, half_round(height))
    lasts = min(float(moving.obstacle.length) / speed, 3.0 + 4.0 / speed)
    found = []
    for at, rig, _ in moving.rigs(frequency):
        run = drive(rig, moving.obstacle, speed, points=ready.points, duration=lasts, turning_points=0)
        found.append((at.name, max(point.shock for point in run.points)))
    return found


def _dropped(moving: _Moving, frequency: float) -> list[tuple[str, float]]:
    """Height from which a level drop presses the stop just to its full compression: the energy of spring and stop, no damper and no tyre."""
    axle, trial, found = moving.axle, moving.trial, []
    for at, _, rest in moving.rigs(frequency):
        load = float(state_loads(moving.ready.design, at.weight, moving.ready.loads)[trial.index])
        law = kept_level(axle, trial.law(frequency), load)
        mine = at.rig.wheel_axle == trial.index
        still = float(rest.travel[mine].mean())
        mass = sprung_mass(axle, load)
        stop = bump_stop(axle, GRAVITY * sprung_mass(axle, float(moving.ready.loads[trial.index])))
        end = axle.travel.bump + max(stop.reach, axle.travel.stop_compression)
        x = np.linspace(still, end, STEPS)
        spring = (
            pull(axle, axle, law, x).force * lengths(axle, x).ratio * axle.spring.per_wheel
            + axle.beside.force
            + axle.beside.heave * x
        )
        taken = float(np.trapezoid(spring, x)) + stop.energy_to(end - axle.travel.bump)
        found.append((at.name, taken / (GRAVITY * mass) - (end - still)))
    return found  # fmt: skip


def _cleared(moving: _Moving, frequency: float) -> list[tuple[str, float]]:
    """Lowest point of the belly over the ground at rest."""
    belly = moving.ready.design.belly
    return [(at.name, belly_low(belly, rig, rest)[0]) for at, rig, rest in moving.rigs(frequency)]
