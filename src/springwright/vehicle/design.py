"""The whole design as the builder wrote it: one frozen model of one TOML file."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import Field, model_validator

from springwright.errors import FieldFault, QuantityError
from springwright.quantities import (
    Acceleration,
    Duration,
    Inertia,
    LateralAcceleration,
    Length,
    Name,
    NonNegativeLength,
    PositiveAngle,
    PositiveLength,
    PositiveRate,
    Power,
    Ratio,
    Record,
    RollGradient,
    RollRate,
    Share,
    Slope,
    Speed,
    Temperature,
)
from springwright.terrain.presets import PRESETS
from springwright.vehicle.axle import Axle
from springwright.vehicle.body import Body
from springwright.vehicle.built import BuiltBody
from springwright.vehicle.estimated import EstimatedValue
from springwright.vehicle.interconnections import CrossLink, WalkingBeam, check_joined
from springwright.vehicle.load import Item, Kerb, Place, State
from springwright.vehicle.trade import Tolerances, Trade
from springwright.vehicle.usual import check_sure


class About(Record):
    """Whose vehicle this is, and how its body is drawn."""

    name: Name
    note: str = ""
    invented: bool = False
    builder: str = ""
    body: Body | None = None


class Hitch(Record):
    """A point that a towing vehicle holds up: a support with its own rate."""

    behind_front_axle: Length
    above_ground: PositiveLength
    rate: PositiveRate


class Inertias(Record):
    """Moments of inertia of the sprung body at kerb about its own CG, where they were measured."""

    roll: Inertia | None = None
    pitch: Inertia | None = None
    yaw: Inertia | None = None


class Driveline(Record):
    """How drive and braking are shared, by axle name; the shares of each add up to 1."""

    torque_split: dict[str, Share] = {}
    brake_split: dict[str, Share] = {}
    centre_differential: Literal["open", "locked"] | None = None


class Seat(Place):
    """A place where people sit or a load is judged; the mount of the seat, not its cushion."""

    name: Name


class GroundEntry(Record):
    """A ground to be driven: an ISO 8608 class, a recorded profile in a file beside the design, a preset of ours, or an obstacle.

    `speed` is that at which it is usually driven; else the duty cycle's or the reference's.
    """

    name: Name
    iso_class: Literal["A", "B", "C", "D", "E", "F", "G", "H"] | None = None
    profile: str | None = None
    preset: str | None = None
    obstacle: str | None = None
    speed: Speed | None = None

    @model_validator(mode="after")
    def _one_way(self) -> GroundEntry:
        given = [name for name in ("iso_class", "profile", "preset", "obstacle") if getattr(self, name) is not None]
        if len(given) != 1:
            raise FieldFault(
                (),
                'give one of iso_class (A to H), profile (a file), preset and obstacle (such as "half-round 120 mm")',
            )
        if self.preset is not None and self.preset not in PRESETS:
            raise FieldFault(("preset",), f"no such ground; there are {_list(PRESETS)}")
        return self

    @property
    def text(self) -> str:
        """What `terrain.named.ground_named` reads it by."""
        return f"class {self.iso_class}" if self.iso_class else self.profile or self.preset or self.obstacle or ""


class Stint(Record):
    """A part of the duty cycle: hours on a ground at a speed in a load state."""

    hours: Duration
    ground: str
    speed: Speed
    state: str


class Limits(Record):
    """What the design is judged by. What has no honest default is not known until the builder gives it.

    Defaults: bump load factor 1.7, Miner sum 1.0 and lamp aim 1 % are common practice with no source; 6 W and
    2.5 g are published criteria from memory, as are 120 degC that common damper seals stand. A day of `exposure` is judged
    by A(8), by the vibration dose too where `dose_decides` (2002/44/EC leaves that to the member state).
    """

    bump_load_factor: Ratio = 1.7
    height_change: PositiveLength | None = None
    attitude_change: PositiveAngle | None = None
    preload_at_droop: bool = True
    roll_gradient: RollGradient | None = None
    wheel_lift: LateralAcceleration | None = None
    tip_over: LateralAcceleration | None = None
    side_slope: Slope | None = None
    climb: Slope | None = None
    belly_clearance: PositiveLength | None = None
    approach_angle: PositiveAngle | None = None
    departure_angle: PositiveAngle | None = None
    ramp_angle: PositiveAngle | None = None
    drop_height: PositiveLength | None = None
    seat_acceleration: Acceleration | None = None
    exposure: Duration | None = None
    dose_decides: bool = False
    absorbed_power: Power = 6.0
    shock: Acceleration = 2.5 * 9.80665
    cross_axle_height: PositiveLength | None = None
    wheel_load_kept: Share | None = None
    off_ground: Share | None = None
    ramp_travel_index: Ratio | None = None
    traction_kept: Share | None = None
    roll_damping: Ratio | None = None
    roll_overshoot: Share | None = None
    pitch_gradient: RollGradient | None = None
    obstacle_speed: Speed | None = None
    axle_clearance: PositiveLength | None = None
    bump_steer: PositiveAngle | None = None
    frequency_change: Share | None = None
    damper_temperature: Temperature = 393.15
    lamp_aim_change: Share = 0.01
    miner_sum: Ratio = 1.0


class Reference(Record):
    """The ground, speed and obstacle at which the dynamic ends of the window are judged."""

    ground: str | None = None
    speed: Speed | None = None
    obstacle_height: PositiveLength | None = None


class Design(Record):
    """A vehicle and what it should do. `sure` names fields that are right though out of the ordinary, as in "axles.rear.travel.bump"."""

    format: Literal[2]
    vehicle: About
    kerb: Kerb
    axles: tuple[Axle, ...] = Field(min_length=1)
    hitch: Hitch | None = None
    walking_beams: tuple[WalkingBeam, ...] = ()
    cross_links: tuple[CrossLink, ...] = ()
    items: tuple[Item, ...] = ()
    states: tuple[State, ...] = Field(min_length=1)
    design_state: str | None = None
    inertia: Inertias = Inertias()
    frame_twist: RollRate | None = None
    driveline: Driveline = Driveline()
    seats: tuple[Seat, ...] = ()
    belly: tuple[tuple[Length, NonNegativeLength], ...] = ()
    lamp: Place | None = None
    grounds: tuple[GroundEntry, ...] = ()
    duty_cycle: tuple[Stint, ...] = ()
    reference: Reference = Reference()
    limits: Limits = Limits()
    trade: Trade = Trade()
    tolerances: Tolerances = Tolerances()
    built: BuiltBody | None = None
    catalogue: str | None = None
    grades: tuple[str, ...] = ()
    sure: tuple[str, ...] = ()
    estimates: tuple[EstimatedValue, ...] = ()

    @property
    def as_drawn(self) -> Design:
        """Itself without what was measured of it."""
        if self.built is None and all(axle.built is None for axle in self.axles):
            return self
        axles = tuple(axle if axle.built is None else axle.model_copy(update={"built": None}) for axle in self.axles)
        return self.model_copy(update={"built": None, "axles": axles})

    @model_validator(mode="after")
    def _agrees(self) -> Design:
        for group in ("axles", "items", "states", "seats", "grounds", "walking_beams", "cross_links"):
            _unique(group, [one.name for one in getattr(self, group)])
        self._axles_in_order()
        check_joined(self.axles, self.walking_beams, self.cross_links)
        self._supports_enough()
        self._scales_match()
        self._states_known()
        self._shares_known()
        check_sure(self)
        return self

    def _axles_in_order(self) -> None:
        places = [axle.behind_front_axle for axle in self.axles]
        if places[0] != 0:
            raise FieldFault(("axles", 0, "behind_front_axle"), "the first axle is the front one and stands at 0 mm")
        for i in range(1, len(places)):
            if places[i] <= places[i - 1]:
                raise FieldFault(
                    ("axles", i, "behind_front_axle"),
                    "must be more than that of the axle before it; list the axles from front to rear",
                )

    def _supports_enough(self) -> None:
        supports = len(self.axles) - len(self.walking_beams) + (self.hitch is not None)
        if supports < 2:
            alone = "two axles on a walking beam" if self.walking_beams else "one axle"
            raise FieldFault(("axles",), f"{alone} cannot stand on its own: add an axle or a [hitch]")

    def _scales_match(self) -> None:
        scales = self.kerb.scales
        if scales is None:
            return
        if self.hitch is not None:
            raise FieldFault(
                ("kerb", "scales"),
                "with a hitch give kerb.mass and its centre of gravity; scale readings cannot tell what the hitch carries",
            )
        pairs = sum(axle.wheels == 2 for axle in self.axles)
        for side, wanted in (("left", len(self.axles)), ("right", pairs)):
            got = len(getattr(scales, side))
            if got != wanted:
                raise FieldFault(
                    ("kerb", "scales", side), f"{got} readings for {wanted} wheels; give one for each axle, front first"
                )
        for i, raised in enumerate(self.kerb.raised):
            if raised.height is not None and len(self.axles) != 2:
                raise FieldFault(
                    ("kerb", "raised", i, "height"),
                    "with more than two axles the slope does not follow from it; give angle",
                )
            lifted = self.axles[0 if raised.end == "front" else -1].name
            wanted_names = {axle.name for axle in self.axles} - {lifted}
            if set(raised.on_scales) != wanted_names:
                raise FieldFault(
                    ("kerb", "raised", i, "on_scales"),
                    f"give a reading for each axle still on the ground: {', '.join(sorted(wanted_names))}",
                )

    def _states_known(self) -> None:
        items = {item.name: item for item in self.items}
        for i, state in enumerate(self.states):
            for j, name in enumerate(state.aboard):
                if name not in items:
                    raise FieldFault(("states", i, "aboard", j), f'no item "{name}"; there are {_list(items)}')
                if name in state.aboard[:j]:
                    raise FieldFault(
                        ("states", i, "aboard", j), f'"{name}" is aboard twice; give a second item a name of its own'
                    )
            for name in state.fill:
                if name not in state.aboard:
                    raise FieldFault(("states", i, "fill", name), f"it is not aboard; aboard are {_list(state.aboard)}")
                if items[name].tank is None:
                    raise FieldFault(("states", i, "fill", name), "it has no [items.tank], so it cannot be part full")
        self._pressures_known()
        names = [state.name for state in self.states]
        if self.design_state is not None and self.design_state not in names:
            raise FieldFault(("design_state",), f"no such state; there are {_list(names)}")
        for i, stint in enumerate(self.duty_cycle):
            if stint.state not in names:
                raise FieldFault(("duty_cycle", i, "state"), f"no such state; there are {_list(names)}")
            if stint.ground not in [ground.name for ground in self.grounds]:
                raise FieldFault(
                    ("duty_cycle", i, "ground"), f"no such ground; there are {_list([g.name for g in self.grounds])}"
                )
        if self.reference.ground is not None and self.reference.ground not in [ground.name for ground in self.grounds]:
            raise FieldFault(
                ("reference", "ground"), f"no such ground; there are {_list([g.name for g in self.grounds])}"
            )

    def _pressures_known(self) -> None:
        tyres = {axle.name: axle.tyre for axle in self.axles}
        for i, state in enumerate(self.states):
            for name, pressure in state.tyre_pressure.items():
                path = ("states", i, "tyre_pressure", name)
                if name not in tyres:
                    raise FieldFault(path, f"no such axle; there are {_list(tyres)}")
                try:
                    rate = tyres[name].rate_at(pressure)
                except (FieldFault, QuantityError, ValueError) as error:
                    raise FieldFault(
                        path,
                        f"the tyre's rate there is not known: axles.tyre.{'.'.join(map(str, getattr(error, 'path', ('size',))))} {error}",
                    ) from None
                if rate <= 0:
                    raise FieldFault(path, "the tyre would carry nothing there; check the pressure")

    def _shares_known(self) -> None:
        axles = [axle.name for axle in self.axles]
        for field in ("torque_split", "brake_split"):
            split: dict[str, float] = getattr(self.driveline, field)
            for name in split:
                if name not in axles:
                    raise FieldFault(("driveline", field, name), f"no such axle; there are {_list(axles)}")
                if field == "torque_split" and split[name] and not self.axles[axles.index(name)].driven:
                    raise FieldFault(("driveline", field, name), "this axle is not driven")
            if split and abs(sum(split.values()) - 1) > 1e-6:
                raise FieldFault(("driveline", field), f"the shares add up to {sum(split.values()):g}, not 1")


def _unique(group: str, names: list[str]) -> None:
    for i, name in enumerate(names):
        if name in names[:i]:
            raise FieldFault((group, i, "name"), f'"{name}" is there twice; every name in {group} is used once')


def _list(names: Iterable[str]) -> str:
    return ", ".join(names) or "none"
