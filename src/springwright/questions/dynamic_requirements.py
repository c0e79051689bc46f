"""The full window: what the ride, the obstacle, the ditch, the corner, the slope, the drop and the belly allow beside the static ends."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from springwright.evaluation import evaluated
from springwright.motion.equilibrium import Rest, Rests, equilibria
from springwright.motion.response import response
from springwright.motion.rig import BODY, Rig, row, stack
from springwright.questions.answer import PUBLISHED
from springwright.questions.blows import cut
from springwright.questions.context import ProofContext, footprint, mean_tyre
from springwright.questions.grip import cross_axle_heights
from springwright.questions.leaning import roll_gradients, side_slopes
from springwright.questions.prove import make_ready
from springwright.results import Result
from springwright.sizing.fitted import sized
from springwright.sizing.rates import sprung_mass, state_loads
from springwright.sizing.states import assembled
from springwright.sizing.window import Ask, FigureAtFrequencies, FrequencySweep, Window, windows
from springwright.terrain.obstacles import half_round
from springwright.terrain.roughness import CLASSES
from springwright.units import GRAVITY, show
from springwright.vehicle.assemble import own_springs, with_curve, with_damping
from springwright.vehicle.curves import ForceCurve, beside_force, bump_stop, lengths, pull
from springwright.vehicle.design import Design
from springwright.vehicle.file import DesignFile, opened

if TYPE_CHECKING:
    from springwright.terrain.ground import Ground

Floats = NDArray[np.float64]
FREQUENCIES = 96  # of a spectrum
POINTS = 14  # frequencies looked at for each end before closing in: they cost more than the static ones
CLOSE = 1e-4  # Hz to which they are closed in on
STEPS = 401  # of an energy
LANES = 32  # runs driven between two words


@dataclass(frozen=True)
class FullWindow(Result):
    """The window of every axle with all its ends."""

    vehicle: str
    windows: tuple[Window, ...]


@evaluated
def full_window(file: DesignFile | str | Path, progress: Callable[[str], None] | None = None) -> FullWindow:
    """The window of every axle with all its ends, the other axles as sized.

    Parameters
    ----------
    file : DesignFile or path
    progress : callable, optional
        Told what is being done, several times a second; what it raises ends the work.

    Raises
    ------
    InputError
        A fault in the design.

    """
    say, file = progress or (lambda _: None), opened(file)
    say("sizing and standing")
    ready = make_ready(file)
    sheet, design = sized(file), file.design
    aims = [rate.frequency_on_springs for rate in sheet.rates]
    laws = tuple(one.law for one in sheet.springs)

    def more(trial: FrequencySweep) -> list[Ask]:
        return _asks(_Moving(ready, trial, aims[trial.index], say))

    return FullWindow(design.vehicle.name, windows(design, sheet.states, laws, ready.loads, aims, more, progress))


@dataclass(frozen=True, eq=False)
class _Many:
    """Rigs side by side, load states within frequencies, where they rest, and which of the frequencies asked for have them all at rest."""

    rigs: Rig
    rests: Rests
    stands: NDArray[np.bool_]
    frequencies: Floats

    def __len__(self) -> int:
        return len(self.rests.q)

    def rig(self, i: int) -> Rig:
        """One of them."""
        return row(self.rigs, i)

    def rest(self, i: int, rig: Rig) -> Rest:
        """Where it rests."""
        return self.rests.of(i, rig)


class _Moving:
    """One axle at trial frequencies with stops, dampers at their ratio and bars: a Rig at rest for each load state."""

    def __init__(self, ready: ProofContext, trial: FrequencySweep, aim: float, say: Callable[[str], None]) -> None:
        self.ready, self.trial, self.aim = ready, trial, aim
        self.axle = ready.design.axles[trial.index]
        self._say = say
        self._known: dict[tuple[bytes, bool], _Many] = {}

    def say(self, word: str) -> None:
        """What is being done for this axle."""
        self._say(f"{self.axle.name}: {word}")

    @cached_property
    def obstacle(self) -> Ground:
        """The reference obstacle, a half-round."""
        height = self.ready.design.reference.obstacle_height
        assert height is not None
        return cut(self.ready, half_round(height))

    @cached_property
    def bare(self) -> Rig:
        """The load states with no anti-roll bars at all."""
        axles = tuple(axle.model_copy(update={"bar": None}) for axle in self.ready.design.axles)
        design = self.ready.design.model_copy(update={"axles": axles})
        return stack([assembled(design, at.weight, at.laws, self.ready.loads, self.ready.damping) for at in self.ready.states])  # fmt: skip

    def many(self, frequencies: Floats, *, bars: bool = True) -> _Many:
        """The Rigs of every load state with this axle's springs and dampers at some frequencies: those at which they all stand [Hz]."""
        key = frequencies.tobytes(), bars
        if key not in self._known:
            self._known[key] = self._made(frequencies, self.ready.batch if bars else self.bare)
        return self._known[key]

    def _made(self, frequencies: Floats, base: Rig) -> _Many:
        trial, states = self.trial, len(self.ready.states)
        stands = np.array([bool(trial.laws(f)) for f in frequencies.tolist()])
        kept = frequencies[stands]
        if not len(kept):
            return _Many(base, Rests(np.zeros((0, 0)), np.zeros((0, 0)), np.zeros(0), ()), stands, kept)
        which, curves = trial.springs(kept.tolist())
        batch = row(base, np.tile(np.arange(states), len(kept)))
        sprung = with_curve(batch, own_springs(batch, trial.index), ForceCurve(*(part[which] for part in curves)))
        rigs = with_damping(
            sprung, trial.index, np.repeat(kept / self.aim, states)
        )  # c = 2 zeta sqrt(k m): the ratio is kept
        rests = equilibria(rigs)
        fine = np.isfinite(rests.q[:, 0]).reshape(-1, states).all(axis=1)
        if not fine.all():
            stands[np.flatnonzero(stands)[~fine]] = False
            at = np.flatnonzero(np.repeat(fine, states))
            rigs = row(rigs, at)
            rests = Rests(rests.q[at], rests.wheel_loads[at], rests.residual[at], tuple(rests.reasons[i] for i in at))
        return _Many(rigs, rests, stands, frequencies[stands])

    def told(
        self, frequencies: Floats, figures: Callable[[_Many], Floats], *, most: bool, bars: bool = True
    ) -> FigureAtFrequencies:
        """The figure that governs at each frequency, of `figures` (runs,) for many Rigs; nan where they do not all stand [Hz, SI]."""
        many, names = self.many(frequencies, bars=bars), [at.name for at in self.ready.states]
        values, worst = np.full(len(frequencies), np.nan), np.zeros(len(frequencies), dtype=int)
        if len(many):
            each = figures(many).reshape(-1, len(names))
            governs = (np.argmax if most else np.argmin)(each, axis=1)
            values[many.stands], worst[many.stands] = np.take_along_axis(each, governs[:, None], axis=1)[:, 0], governs
        return FigureAtFrequencies(values, [names[i] for i in worst])


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
            "weighted_acceleration", "weighted acceleration at the seat", smooth, "m/s**2", "acceleration", "at most", lambda f: moving.told(f, lambda many: _shaken(moving, many, letter), most=True),
            f"the seat shakes by more than {show(smooth, 'acceleration')}", "give limits.seat_acceleration, reference.speed and a reference.ground of an ISO class",
        ),
        Ask(
            "shock", "shock over the reference obstacle", met, "m/s**2", "acceleration", "at most", lambda f: moving.told(f, lambda many: _shocked(moving, many), most=True),
            f"the seat is hit by more than {show(met, 'acceleration')}", "give reference.obstacle_height and limits.obstacle_speed", PUBLISHED if "shock" not in limits.model_fields_set else "your limit",
        ),
        Ask(
            "cross_axle_height", "cross-axle articulation height", limits.cross_axle_height if rolls else None, "m", "length", "at least", lambda f: moving.told(f, lambda many: cross_axle_heights(many.rigs), most=False),
            f"a wheel lifts before {show(limits.cross_axle_height, 'length')} of cross-axle height", "give limits.cross_axle_height",
        ),
        Ask(
            "roll_gradient", "roll gradient with the bars" if barred else "roll gradient", gradient, "rad*s**2/m", "lean", "at most", lambda f: moving.told(f, lambda many: roll_gradients(many.rigs), most=True),
            f"it leans by more than {show(gradient, 'lean')}", "give limits.roll_gradient",
        ),
        Ask(
            "side_slope", "side slope before a wheel lifts", slope, "rad", "angle", "at least", lambda f: moving.told(f, lambda many: side_slopes(many.rigs), most=False),
            f"a wheel lifts on less than {show(slope, 'angle')} of side slope", "give limits.side_slope",
        ),
        Ask(
            "drop_height", "drop taken by spring and stop alone", limits.drop_height, "m", "length", "at least", lambda f: moving.told(f, lambda many: _dropped(moving, many), most=False),
            f"without damper and tyre the stop is pressed solid by a drop of {show(limits.drop_height, 'length')}", "give limits.drop_height",
        ),
        Ask(
            "belly_clearance", "belly clearance at rest", limits.belly_clearance if design.belly else None, "m", "length", "at least", lambda f: moving.told(f, lambda many: _cleared(moving, many), most=False),
            f"the belly stands lower than {show(limits.belly_clearance, 'length')}", "give belly and limits.belly_clearance",
        ),
    ]  # fmt: skip
    if barred and rolls:
        without = Ask(
            "roll_gradient_without_bars", "roll gradient without bars", gradient, "rad*s**2/m", "lean", "at most", lambda f: moving.told(f, lambda many: roll_gradients(many.rigs), most=True, bars=False),
            f"without bars it leans by more than {show(gradient, 'lean')}", "give limits.roll_gradient", beside=True,
        )  # fmt: skip
        asks.insert(4, without)
    return [replace(ask, points=POINTS, close=CLOSE) for ask in asks]


def _class_of(design: Design) -> str:
    """The ISO 8608 class of the reference ground; empty where it has none."""
    return next((ground.iso_class or "" for ground in design.grounds if ground.name == design.reference.ground), "")


def _shaken(moving: _Moving, many: _Many, letter: str) -> Floats:
    """Weighted acceleration of all three axes at the worst seat, linear about rest."""
    ready, speed = moving.ready, moving.ready.design.reference.speed
    assert speed is not None
    felt = footprint(*mean_tyre(ready.design, ready.loads))
    found = np.zeros(len(many))
    for i in range(len(many)):
        moving.say("ride")
        rig = many.rig(i)
        told = response(
            rig, many.rest(i, rig), CLASSES[letter], speed, points=ready.points, footprint=felt, count=FREQUENCIES
        )
        found[i] = max(math.hypot(one.up, one.along, one.across) for one in told.points)
    return found


def _shocked(moving: _Moving, many: _Many) -> Floats:
    """Largest acceleration below 30 Hz at the worst seat over the reference obstacle, a half-round, in time; nan where a run is lost."""
    from springwright.motion.drive import drive_many
    from springwright.motion.figures import POINT

    ready, obstacle, speed = moving.ready, moving.obstacle, moving.ready.design.limits.obstacle_speed
    assert speed is not None
    lasts = min(float(obstacle.length) / speed, 3.0 + 4.0 / speed)
    found = np.full(len(many), np.nan)
    for begin in range(0, len(many), LANES):
        moving.say("shock")
        rigs = [many.rig(i) for i in range(begin, min(begin + LANES, len(many)))]
        table = drive_many(rigs, obstacle, speed, points=ready.points, duration=lasts)
        found[begin : begin + LANES] = table.points[:, :, POINT.index("shock")].max(axis=1)
    return found


def _dropped(moving: _Moving, many: _Many) -> Floats:
    """Height from which a level drop presses the stop just to its full compression: the energy of spring and stop, no damper and no tyre."""
    axle, trial, ready = moving.axle, moving.trial, moving.ready
    loads = [float(state_loads(ready.design, at.weight, ready.loads)[trial.index]) for at in ready.states]
    laws = [law for f in many.frequencies.tolist() for law in trial.laws(f)]
    mine = many.rigs.wheel_axle == trial.index
    stop = bump_stop(axle, GRAVITY * sprung_mass(axle, float(ready.loads[trial.index])))
    end = axle.travel.bump + max(stop.reach, axle.travel.stop_compression)
    travel = np.einsum("rij,rj->ri", many.rigs.travel_map, many.rests.q)
    found = np.zeros(len(many))
    for i, law in enumerate(laws):
        still, mass = float(travel[i, mine].mean()), sprung_mass(axle, loads[i % len(loads)])
        x = np.linspace(still, end, STEPS)
        spring = (
            pull(axle, axle, law, x).force * lengths(axle, x).ratio * axle.spring.per_wheel
            + beside_force(axle, x)
            + axle.bush_rates[0] * x
        )
        taken = float(np.trapezoid(spring, x)) + stop.energy_to(end - axle.travel.bump)
        found[i] = taken / (GRAVITY * mass) - (end - still)
    return found


def _cleared(moving: _Moving, many: _Many) -> Floats:
    """Lowest point of the belly over the ground at rest."""
    behind, above = np.array(moving.ready.design.belly).T
    rows = np.stack([many.rigs.rise_row(-x, 0.0) for x in behind], axis=1)
    return np.asarray((above + np.einsum("rpb,rb->rp", rows, many.rests.q[:, :BODY])).min(axis=1))
