"""What every question is asked about: the design at rest in each load state on the springs it has, and the grounds it will meet."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault, InputError
from springwright.evaluation import remembered
from springwright.motion.equilibrium import Rest
from springwright.motion.figures import Point
from springwright.motion.rig import Rig, stack
from springwright.parts.law import Law
from springwright.sizing.rates import AxleRates
from springwright.sizing.springs import AxleSprings
from springwright.sizing.states import StateRest
from springwright.terrain.ground import Ground
from springwright.terrain.named import ground_named
from springwright.units import GRAVITY, show
from springwright.vehicle.design import Design
from springwright.vehicle.geometry import Geometry
from springwright.vehicle.interconnections import wheel_names
from springwright.vehicle.weigh import StateWeight

Floats = NDArray[np.float64]
LENGTH = 600.0  # m of made ground
USUAL_SPEED = 30 / 3.6  # m/s on a ground for which neither duty cycle nor reference says one
SETTLE = 3.0  # s driven before figures are kept
# footprint length / (2 sqrt(2 r x squash)): the flattened chord, a little short of the geometric one
FOOTPRINT_SHARE = 0.9


@dataclass(frozen=True, eq=False)
class StateModel:
    """One load state: what it weighs, its laws, the Rig and where it rests; `tell` works out all of its rest when it is asked for."""

    name: str
    weight: StateWeight
    laws: tuple[Law, ...]
    rig: Rig
    rest: Rest
    tell: Callable[[], StateRest]

    @cached_property
    def told(self) -> StateRest:
        """Heights, travel left, frequencies and damping of every axle at rest."""
        return self.tell()


@dataclass(frozen=True, eq=False)
class RoadSection:
    """A ground to be driven, as the tyres feel it, and the speed [m/s] it is usually driven at; `whence` says who gave that.

    `rough` is ground that goes on, of which a stretch stands for hours; a single obstacle is not.
    """

    name: str
    ground: Ground
    speed: float
    whence: str
    rough: bool = True

    @property
    def taken(self) -> str:
        """A word where its usual speed was taken for want of a better."""
        return "" if self.whence in ("duty_cycle", "reference", "ground") else ", speed taken"

    def settles(self, lasts: float) -> float:
        """Time [s] of a run of so long before figures are kept: none on an obstacle, which begins on level ground."""
        return min(SETTLE, lasts / 4) if self.rough else 0.0


@dataclass(frozen=True, eq=False)
class ProofContext:
    """Everything a question may look at.

    `loads` are the design loads on each support [kg], `damping` the mean rates at each wheel of
    dampers that follow the target [N s/m].
    """

    design: Design
    states: tuple[StateModel, ...]
    design_state: str
    springs: tuple[AxleSprings, ...]
    rates: tuple[AxleRates, ...]
    loads: Floats
    geometries: tuple[Geometry, ...]
    stretches: tuple[RoadSection, ...]
    damping: tuple[float | None, ...] = ()
    notes: tuple[str, ...] = ()

    @cached_property
    def wheels(self) -> list[str]:
        """Names of the wheels, left before right, front axle first."""
        return wheel_names(self.design.axles)

    @cached_property
    def points(self) -> tuple[Point, ...]:
        """Places where ride is read: the seats, else over the front axle."""
        return points_of(self.design)

    @cached_property
    def batch(self) -> Rig:
        """The Rigs of the load states side by side."""
        return stack([at.rig for at in self.states])

    @property
    def home(self) -> StateModel:
        """The design state, or where it was left out of a narrowed view, the first."""
        return next((one for one in self.states if one.name == self.design_state), self.states[0])

    def state(self, name: str) -> StateModel:
        """A load state by name."""
        return next(one for one in self.states if one.name == name)

    def stretch(self, name: str) -> RoadSection:
        """A ground by name."""
        return next(one for one in self.stretches if one.name == name)

    def narrowed(self, states: Collection[str], grounds: Collection[str]) -> ProofContext:
        """The same with some load states and grounds alone; all of them where none is named."""
        kept = tuple(one for one in self.states if not states or one.name in states) or self.states
        stretches = tuple(one for one in self.stretches if not grounds or one.name in grounds) or self.stretches
        return replace(self, states=kept, stretches=stretches)


def stretches_of(
    design: Design, loads: Floats, folder: Path, seed: int = 1
) -> tuple[tuple[RoadSection, ...], tuple[str, ...]]:
    """The grounds of a design as its tyres feel them, and what is to be said of them; classes C, D and E where it names none [kg]."""
    grounds = {ground.name: ground.text for ground in design.grounds}
    notes: tuple[str, ...] = ()
    if not grounds:
        grounds = {f"class {name}": f"class {name}" for name in "CDE"}
        notes = ("the design names no [[grounds]]; ISO 8608 classes C, D and E are driven in their place",)
    found = []
    rough = {ground.name: ground.obstacle is None for ground in design.grounds}
    for i, (name, text) in enumerate(grounds.items()):
        try:
            felt = _felt_file if text.lower().endswith(".csv") else _felt  # what stands in a file may change
            made = felt(text, apart(design), seed, folder, mean_tyre(design, loads))
        except InputError as error:
            if not design.grounds:
                raise
            field = next(
                key for key in ("iso_class", "profile", "preset", "obstacle") if getattr(design.grounds[i], key)
            )
            raise FieldFault(("grounds", i, field), "; ".join(str(fault) for fault in error.faults)) from None
        stints = [stint.speed for stint in design.duty_cycle if stint.ground == name]
        own = next((ground.speed for ground in design.grounds if ground.name == name), None)
        if own is not None:
            speed, whence = own, "ground"
        elif stints:
            speed, whence = stints[0], "duty_cycle"
        elif design.reference.speed is not None and design.reference.ground in (None, name):
            speed, whence = design.reference.speed, "reference"
        else:
            speed, whence = USUAL_SPEED, "taken: neither duty cycle nor reference says one"
        found.append(RoadSection(name, made, speed, whence, rough.get(name, True)))
        notes += tuple(f"{name}: {doubt}" for doubt in made.doubts)
    return tuple(found), notes


def _rolled(ground: Ground, radius: float, squash: float) -> Ground:
    loaded, patch = radius - squash, footprint(radius, squash)
    note = f"enveloped by a tyre of {show(loaded, 'length')} radius and {show(patch, 'length')} footprint"
    return ground.felt(loaded, patch, note)


def _felt_file(text: str, between: float, seed: int, folder: Path, tyre: tuple[float, float]) -> Ground:
    """The ground a text names as a tyre of a radius feels it, squashed by so much."""
    return _rolled(ground_named(text, between, LENGTH, seed, folder), *tyre)


_felt = remembered(16)(_felt_file)


def felt_by(design: Design, loads: Floats, ground: Ground) -> Ground:
    """The ground as the vehicle's mean tyre feels it: loaded radius for the band, flattened chord for the footprint; loads [kg] on each axle."""
    return _rolled(ground, *mean_tyre(design, loads))


def footprint(radius: float, squash: float) -> float:
    """Length over which a tyre of a radius, squashed by so much, averages the ground [m]."""
    return float(FOOTPRINT_SHARE * 2 * np.sqrt(2 * radius * squash))


def mean_tyre(design: Design, loads: Floats) -> tuple[float, float]:
    """Unloaded radius and squash of the mean tyre under the loads on each axle [kg], all in m."""
    axles = design.axles
    squash = [GRAVITY * float(load) / axle.wheels / axle.tyre.rate for load, axle in zip(loads, axles, strict=False)]
    return float(np.mean([axle.tyre.unloaded_radius for axle in axles])), float(np.mean(squash))


def points_of(design: Design) -> tuple[Point, ...]:
    """Places where ride is read: the seats, else over the front axle."""
    return tuple(Point(seat.name, seat.xyz) for seat in design.seats) or (
        Point("over the front axle", (0.0, 0.0, 1.0)),
    )


def apart(design: Design) -> float:
    """Mean track [m]; nought for a vehicle with none."""
    tracks: Sequence[float] = [axle.track for axle in design.axles if axle.track]
    return float(np.mean(tracks)) if tracks else 0.0
