"""Drives that several questions look at, each gone once and only when asked for: every load state on every ground."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypedDict

import numpy as np
from numpy.typing import NDArray

from springwright.errors import UnsolvedError
from springwright.evaluation import in_threads
from springwright.motion.figures import Drive, DriveTable
from springwright.motion.rig import Rig
from springwright.questions.context import SETTLE, ProofContext, RoadSection, StateModel, apart, felt_by
from springwright.terrain.ground import Ground
from springwright.terrain.roughness import CLASSES, rough_ground
from springwright.units import show
from springwright.vehicle.axle import Axle
from springwright.vehicle.curves import pull

Floats = NDArray[np.float64]
SPEEDS = tuple(k / 3.6 for k in (10, 20, 30, 40, 50, 60, 70, 80))  # m/s, of the map: every 10 km/h
WATCHED = 20.0  # s of which figures are kept, at each speed of the map
TOLD = 60.0  # s of a run that is told whole
SHORTEST = 3.0  # s of which figures are kept: a shorter run on rough ground says nothing of hours
EVERY = 0.005  # s between rows of its history
ROUGH = "BCDEFG"  # ISO 8608 classes of the 6 W speeds
FEW_SPEEDS = tuple(k / 3.6 for k in (10, 20, 35, 55, 80))  # m/s at which they are driven


class RunPlace(TypedDict):
    """Where a figure was seen, as `figure` takes it."""

    state: str
    ground: str


@dataclass(frozen=True, eq=False)
class ToldRun:
    """One run told whole: which load state, ground and speed [m/s], the run, or the reason that there is none."""

    at: StateModel
    stretch: RoadSection
    speed: float
    run: Drive | None
    settle: float = 0.0
    reason: str = ""

    @property
    def place(self) -> RunPlace:
        """Its load state and ground, as figures name them."""
        return RunPlace(state=self.at.name, ground=self.stretch.name)

    @property
    def lasted(self) -> float:
        """Time of which figures were kept [s]."""
        return 0.0 if self.run is None else self.run.duration - self.settle

    @property
    def loads(self) -> Floats:
        """(times, wheels): load under each wheel [N]."""
        assert self.run is not None
        wheels = len(self.at.rig.wheel_places)
        history = np.asarray(self.run.history)
        kept = history[history[:, 0] >= self.settle]
        return np.asarray(kept[:, 1 + wheels : 1 + 2 * wheels])


@dataclass(frozen=True, eq=False)
class Spread:
    """A table of runs and which load state, ground and speed each row is of."""

    states: tuple[str, ...]
    grounds: tuple[str, ...]
    speeds: tuple[float, ...]
    table: DriveTable

    def part(self, rows: slice) -> Spread:
        """Some of its rows."""
        return Spread(self.states[rows], self.grounds[rows], self.speeds[rows], self.table.rows(rows))

    def rows(self, state: str, ground: str) -> NDArray[np.intp]:
        """Rows of a state and a ground, slowest first."""
        return np.array(
            [i for i, one in enumerate(zip(self.states, self.grounds, strict=True)) if one == (state, ground)]
        )


class Runs:
    """The runs of a design, driven when first asked for and kept."""

    def __init__(self, ready: ProofContext, progress: Callable[[str], None] | None = None) -> None:
        self.ready = ready
        self._say = progress or (lambda _: None)

    @property
    def spread(self) -> Spread:
        """Every load state over every ground at every speed of the map."""
        return self._maps[0]

    @property
    def classes(self) -> Spread:
        """The design state over ISO 8608 classes at a few speeds."""
        return self._maps[1]

    @cached_property
    def _maps(self) -> tuple[Spread, Spread]:
        """Both maps in one go, so that no core stands idle."""
        self._say("driving every ground at every speed")
        ready = self.ready
        grounds = [
            RoadSection(
                f"class {name}",
                felt_by(
                    ready.design,
                    ready.loads,
                    rough_ground(CLASSES[name], SPEEDS[-1] * (SETTLE + WATCHED), apart(ready.design), spacing=0.04),
                ),
                SPEEDS[0],
                "",
            )
            for name in ROUGH
        ]
        own = [(at, stretch, speed) for at in ready.states for stretch in ready.stretches for speed in SPEEDS]
        classed = [(ready.home, ground, speed) for ground in grounds for speed in FEW_SPEEDS]
        whole = _spread(ready, [*own, *classed])
        return whole.part(slice(0, len(own))), whole.part(slice(len(own), None))  # fmt: skip

    @cached_property
    def told(self) -> tuple[ToldRun, ...]:
        """Runs told whole: every load state on every ground at its usual speed, every stint of the duty cycle, the reference in the design state."""
        self._say("driving the duty cycle")
        ready, design = self.ready, self.ready.design
        wanted = [(at.name, stretch.name, stretch.speed) for at in ready.states for stretch in ready.stretches]
        wanted += [(stint.state, stint.ground, stint.speed) for stint in design.duty_cycle]
        if design.reference.ground is not None and design.reference.speed is not None:
            wanted.append((ready.design_state, design.reference.ground, design.reference.speed))
        here = {at.name for at in ready.states}, {stretch.name for stretch in ready.stretches}
        plan = [
            (ready.state(state), ready.stretch(ground), speed)
            for state, ground, speed in dict.fromkeys(wanted)
            if state in here[0] and ground in here[1]
        ]
        return tuple(in_threads(lambda one: _told(ready, *one), plan))

    def of(self, state: str, ground: str, speed: float) -> ToldRun | None:
        """The run of a stint [m/s]."""
        wanted = (state, ground, speed)
        return next((one for one in self.told if (one.at.name, one.stretch.name, one.speed) == wanted), None)


def spring_forces(told: ToldRun, index: int, axle: Axle) -> list[Floats]:
    """Turning points of the force in each spring of an axle [N], one spring of each side, from those of its travel."""
    assert told.run is not None
    sides = (axle.on_side(1), axle.on_side(-1))[: axle.wheels]
    first = int((told.at.rig.wheel_axle < index).sum())
    found = []
    for k, side in enumerate(sides):
        travel = np.array(told.run.springs[first + k].turning_points)
        found.append(np.maximum(np.asarray(pull(side, axle, told.at.laws[index], travel).force), 0.0))
    return found


def dampers_of(at: StateModel, index: int) -> list[int]:
    """Which dampers of a Rig are an axle's own; dry friction alone, as of leaves, is none."""
    rig = at.rig
    return [d for d, axle in enumerate(rig.damper_axle) if axle == index and np.any(rig.damper_force[d])]


def _spread(ready: ProofContext, plan: Sequence[tuple[StateModel, RoadSection, float]]) -> Spread:
    from springwright.motion.drive import drive_many

    lasts = [_lasts(at, stretch, speed, WATCHED) for at, stretch, speed in plan]
    table = drive_many(
        [at.rig for at, _, _ in plan],
        [stretch.ground for _, stretch, _ in plan],
        [speed for _, _, speed in plan],
        points=ready.points,
        settle=[stretch.settles(long) for (_, stretch, _), long in zip(plan, lasts, strict=True)],
        duration=lasts,
    )
    return Spread(
        tuple(at.name for at, _, _ in plan), tuple(stretch.name for _, stretch, _ in plan), tuple(speed for _, _, speed in plan), table
    )  # fmt: skip


def _told(ready: ProofContext, at: StateModel, stretch: RoadSection, speed: float) -> ToldRun:
    from springwright.motion.drive import drive

    lasts = _lasts(at, stretch, speed, TOLD)
    settle = stretch.settles(lasts)
    if stretch.rough and lasts - settle < SHORTEST:
        return ToldRun(at, stretch, speed, None, settle, too_short(stretch.ground, lasts))
    try:
        run = drive(
            at.rig, stretch.ground, speed, points=ready.points, settle=settle, duration=lasts, history=EVERY, turning_points=40_000
        )  # fmt: skip
    except UnsolvedError as error:
        return ToldRun(at, stretch, speed, None, settle, str(error))
    return ToldRun(at, stretch, speed, run, settle)


def _lasts(at: StateModel, stretch: RoadSection, speed: float, watched: float) -> float:
    """Time driven [s]: as long as is watched, or to the end of the ground."""
    return min(SETTLE + watched, driven_in(at.rig, stretch.ground, speed))


def driven_in(rig: Rig, ground: Ground, speed: float) -> float:
    """Time [s] from the foremost axle's first metre of a ground to its end."""
    return float(max(ground.length - np.ptp(rig.wheel_places[:, 0]), 1.0) / speed)


def too_short(ground: Ground, lasts: float) -> str:
    """Why a run on a ground so soon driven says nothing [s]."""
    return f"the ground is only {show(ground.length, 'distance')} long, driven in {lasts:.1f} s; give a longer one"
