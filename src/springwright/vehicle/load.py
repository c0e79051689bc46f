"""What is on board: kerb mass, items, tanks and load states.

`placed` gives one load in ISO 8855 axes: x forward and y left of the centreline from the front axle, z up from the ground.
The design file writes positions as builders do; `Place.xyz` is the one place where they are turned round.
"""

from __future__ import annotations

from typing import Annotated, Literal, NamedTuple

import numpy as np
from pydantic import Field, model_validator

from springwright.errors import FieldFault
from springwright.quantities import (
    AreaMoment,
    Density,
    Length,
    Mass,
    Name,
    NonNegativeLength,
    PositiveAngle,
    PositiveLength,
    PositiveMass,
    Pressure,
    Record,
    Share,
)
from springwright.units import show


class Place(Record):
    """A point of the vehicle: behind the front axle, left of the centreline, above the ground."""

    behind_front_axle: Length
    left_of_centre: Length = 0.0
    above_ground: Length

    @property
    def xyz(self) -> tuple[float, float, float]:
        """ISO 8855: x forward, y left, z up, origin on the ground under the front axle [m]."""
        return (-self.behind_front_axle, self.left_of_centre, self.above_ground)


class Scales(Record):
    """What the scales read under each wheel, front axle first, the vehicle level. One-wheel axles go in `left`."""

    left: tuple[Mass, ...]
    right: tuple[Mass, ...] = ()


class Raised(Record):
    """A weighing with one end raised: by how much, and what the axles still on the ground read (ISO 10392).

    Suspension locked, brakes off, tyres hard. `height` is how far the raised axle's centre went up; with
    more than two axles give the body's `angle` instead.
    """

    end: Literal["front", "rear"]
    height: PositiveLength | None = None
    angle: PositiveAngle | None = None
    on_scales: dict[str, PositiveMass] = Field(min_length=1)

    @model_validator(mode="after")
    def _one_way(self) -> Raised:
        if (self.height is None) == (self.angle is None):
            raise FieldFault(
                (), "give one of height (how far the axle's centre was raised) and angle (the body's slope)"
            )
        return self


class Kerb(Record):
    """The vehicle as it stands: scale readings, or mass with the centre of gravity."""

    scales: Scales | None = None
    raised: tuple[Raised, ...] = ()
    mass: PositiveMass | None = None
    behind_front_axle: Length | None = None
    left_of_centre: Length | None = None
    above_ground: PositiveLength | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Kerb:
        if (self.scales is None) == (self.mass is None):
            raise FieldFault(
                (), "give one of scales (readings under each wheel) and mass (with behind_front_axle and above_ground)"
            )
        if self.scales is None:
            if self.raised:
                raise FieldFault(
                    ("raised",), "readings with an end raised need the level readings too: give kerb.scales"
                )
            if self.behind_front_axle is None or self.above_ground is None:
                raise FieldFault(
                    (), "kerb mass needs behind_front_axle and above_ground, the place of its centre of gravity"
                )
        else:
            for name in ("behind_front_axle", "left_of_centre"):
                if getattr(self, name) is not None:
                    raise FieldFault((name,), "follows from the scale readings; leave it out")
            if bool(self.raised) == (self.above_ground is not None):
                raise FieldFault(
                    (),
                    "give one of raised (readings with one end up) and above_ground (your estimate of the height of the centre of gravity)",
                )
        return self


class BoxTank(Record):
    """A box: inside length fore and aft, width and height."""

    shape: Literal["box"]
    length: PositiveLength
    width: PositiveLength
    height: PositiveLength
    density: Density = 1000.0

    @property
    def volume(self) -> float:
        """What it holds [m3]."""
        return self.length * self.width * self.height

    def level(self, fill: float) -> tuple[float, float, float]:
        """Fall of the liquid's CG from the full tank's [m], free-surface moments for roll and pitch [m4]."""
        return (
            self.height * (1 - fill) / 2,
            self.length * self.width**3 / 12,
            self.width * self.length**3 / 12,
        )

    def filled(self, fill: float) -> BoxExtent:
        """What the liquid fills [m]."""
        return BoxExtent.model_construct(shape="box", length=self.length, width=self.width, height=fill * self.height)


class LyingTank(Record):
    """A cylinder lying `along` or `across` the vehicle."""

    shape: Literal["lying cylinder"]
    lies: Literal["along", "across"] = "along"
    length: PositiveLength
    diameter: PositiveLength
    density: Density = 1000.0

    @property
    def volume(self) -> float:
        """What it holds [m3]."""
        return float(np.pi) * self.diameter**2 / 4 * self.length

    def level(self, fill: float) -> tuple[float, float, float]:
        """Fall of the liquid's CG from the full tank's [m], free-surface moments for roll and pitch [m4]."""
        radius = self.diameter / 2
        half = _half_angle(fill)
        area = half - np.sin(2 * half) / 2  # of the segment, in radii squared
        centre = 2 * np.sin(half) ** 3 / (3 * area)  # below the axis, in radii
        chord = 2 * radius * np.sin(half)
        across, along = self.length * chord**3 / 12, chord * self.length**3 / 12
        return (float(radius * centre), *((across, along) if self.lies == "along" else (along, across)))

    def filled(self, fill: float) -> CylinderExtent:
        """What the liquid fills: a lying cylinder of its volume [m]."""
        return CylinderExtent.model_construct(
            shape="cylinder", lies=self.lies, length=self.length, diameter=self.diameter * float(np.sqrt(fill))
        )


class StandingTank(Record):
    """A cylinder standing upright."""

    shape: Literal["standing cylinder"]
    diameter: PositiveLength
    height: PositiveLength
    density: Density = 1000.0

    @property
    def volume(self) -> float:
        """What it holds [m3]."""
        return float(np.pi) * self.diameter**2 / 4 * self.height

    def level(self, fill: float) -> tuple[float, float, float]:
        """Fall of the liquid's CG from the full tank's [m], free-surface moments for roll and pitch [m4]."""
        surface = np.pi * self.diameter**4 / 64
        return (self.height * (1 - fill) / 2, surface, surface)

    def filled(self, fill: float) -> CylinderExtent:
        """What the liquid fills [m]."""
        return CylinderExtent.model_construct(
            shape="cylinder", lies="upright", length=fill * self.height, diameter=self.diameter
        )


class StatedTank(Record):
    """Any other tank: the second moments of its free surface as the builder states them; its CG is kept where it is."""

    shape: Literal["stated"]
    roll_moment: AreaMoment
    pitch_moment: AreaMoment
    density: Density = 1000.0

    def level(self, fill: float) -> tuple[float, float, float]:  # noqa: ARG002 one signature for all tanks
        """Fall of the liquid's CG (none), free-surface moments for roll and pitch [m4]."""
        return (0.0, self.roll_moment, self.pitch_moment)

    def filled(self, fill: float) -> None:
        """Not known [m]."""


Tank = Annotated[BoxTank | LyingTank | StandingTank | StatedTank, Field(discriminator="shape")]


class BoxExtent(Record):
    """A load that fills a box evenly."""

    shape: Literal["box"]
    length: NonNegativeLength
    width: NonNegativeLength = 0.0
    height: NonNegativeLength = 0.0

    @property
    def squares(self) -> tuple[float, float, float]:
        """Squares of the radii of gyration in roll, pitch and yaw [m2]."""
        x, y, z = (one**2 / 12 for one in (self.length, self.width, self.height))
        return y + z, x + z, x + y


class CylinderExtent(Record):
    """A load that fills a cylinder evenly, lying `along` or `across` the vehicle or `upright`."""

    shape: Literal["cylinder"]
    lies: Literal["along", "across", "upright"] = "along"
    length: PositiveLength
    diameter: PositiveLength

    @property
    def squares(self) -> tuple[float, float, float]:
        """Squares of the radii of gyration in roll, pitch and yaw [m2]."""
        about_axis, across_axis = self.diameter**2 / 8, self.diameter**2 / 16 + self.length**2 / 12
        axis = ("along", "across", "upright").index(self.lies)
        roll, pitch, yaw = (about_axis if i == axis else across_axis for i in range(3))
        return roll, pitch, yaw


class RadiiExtent(Record):
    """A load whose radii of gyration in roll, pitch and yaw about its own centre of gravity are stated."""

    shape: Literal["radii"]
    roll: NonNegativeLength
    pitch: NonNegativeLength
    yaw: NonNegativeLength

    @property
    def squares(self) -> tuple[float, float, float]:
        """Squares of the radii of gyration in roll, pitch and yaw [m2]."""
        return self.roll**2, self.pitch**2, self.yaw**2


Extent = Annotated[BoxExtent | CylinderExtent | RadiiExtent, Field(discriminator="shape")]


class Item(Place):
    """Something aboard. A tank's mass and place are those of the full tank.

    `extent` says how far it reaches about its centre of gravity, so that it turns with its own inertia; a tank's own sizes say
    it where none is given.
    """

    name: Name
    mass: PositiveMass
    tank: Tank | None = None
    extent: Extent | None = None

    @model_validator(mode="after")
    def _tank_holds_it(self) -> Item:
        if self.tank is None or isinstance(self.tank, StatedTank):
            return self
        holds = self.tank.volume * self.tank.density
        if abs(self.mass - holds) > 0.2 * holds:
            raise FieldFault(
                ("tank",),
                f"this tank full holds {show(holds, 'mass')}, but the item is {show(self.mass, 'mass')}; mend its sizes, its density or the mass",
            )
        return self


class State(Record):
    """A named set of items aboard; `fill` tells how full a tank is, full if not said; `tyre_pressure` what axles run at, by name, if not at their tyres' own."""

    name: Name
    aboard: tuple[str, ...] = ()
    fill: dict[str, Share] = {}
    tyre_pressure: dict[str, Pressure] = {}


class Load(NamedTuple):
    """One load in place: mass [kg], position [m], its free surface's rho i for roll and pitch [kg m], its own inertias in roll, pitch and yaw [kg m2]."""

    name: str
    mass: float
    place: tuple[float, float, float]
    free_roll: float = 0.0
    free_pitch: float = 0.0
    inertias: tuple[float, float, float] = (0.0, 0.0, 0.0)


def placed(item: Item, fill: float = 1.0) -> Load:
    """An item aboard, its tank filled to a share of the whole. Full and empty tanks have no free surface."""
    x, y, z = item.xyz
    if item.tank is None or fill >= 1.0:
        return Load(item.name, item.mass, (x, y, z), inertias=_inertias(item, item.mass, 1.0))
    if fill <= 0.0:
        return Load(item.name, 0.0, (x, y, z))
    fall, roll, pitch = item.tank.level(fill)
    density, mass = item.tank.density, item.mass * fill
    return Load(item.name, mass, (x, y, z - fall), density * roll, density * pitch, _inertias(item, mass, fill))


def _inertias(item: Item, mass: float, fill: float) -> tuple[float, float, float]:
    """Inertias of a load about its own CG [kg m2]: of its extent, else of what stands in its tank, taken as solid."""
    shape = item.extent or (None if item.tank is None else item.tank.filled(fill))
    if shape is None:
        return (0.0, 0.0, 0.0)
    roll, pitch, yaw = (mass * square for square in shape.squares)
    return roll, pitch, yaw


def _half_angle(fill: float) -> float:
    """Half the angle the surface of a lying cylinder spans, seen from its axis, for a filled share."""
    from scipy.optimize import brentq

    return float(brentq(lambda half: half - np.sin(2 * half) / 2 - np.pi * fill, 1e-9, np.pi - 1e-9, xtol=1e-14))
