"""One axle as the builder describes it: how it is held, what carries it, and what it should do."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from typing import Annotated, Any, Literal, NamedTuple

import numpy as np
from pydantic import ConfigDict, ValidationError, model_validator

from springwright.errors import FieldFault, QuantityError
from springwright.linkage.beam_links import BeamLinks
from springwright.linkage.held import Held
from springwright.linkage.mounts import Lever, OnAxleLinks, OnBeam, OnLinks, Twisted
from springwright.linkage.shaft import Shaft
from springwright.linkage.steering import DragLink
from springwright.linkage.strut import Strut
from springwright.linkage.swing import SwingArm
from springwright.linkage.wishbones import Point, WheelLinkage, Wishbones
from springwright.parts.law import Law
from springwright.parts.stop import Stop
from springwright.parts.torsion import Bar, sized_bar
from springwright.parts.tyre import Tyre
from springwright.quantities import (
    Frequency,
    Inertia,
    Kind,
    Length,
    Name,
    NonNegativeForce,
    NonNegativeLength,
    PositiveAngle,
    PositiveLength,
    PositiveMass,
    Ratio,
    Record,
    Share,
    either,
)
from springwright.units import GRAVITY, show
from springwright.vehicle.built import AS_DRAWN, BuiltAxle
from springwright.vehicle.kinds import kinds_in
from springwright.vehicle.mounted import DamperMount, HelperMount, SpringMount

MOST_TRAVEL = 2.0  # m: no wheel goes further


class ParallelStiffness(NamedTuple):
    """Force [N] and rates in heave and in roll [N/m] at each wheel of what is there beside its springs."""

    force: float
    heave: float
    roll: float


class Target(Record):
    """How the axle should ride: by a `frequency`, or by its `sag` in place of one.

    Sag is how far the sprung load presses its wheels on the springs alone: load over wheel rate, whatever a spring is preloaded by.
    """

    model_config = ConfigDict(json_schema_extra=either(["frequency"], "sag"))

    frequency: Frequency
    sag: PositiveLength | None = None
    stiffness: Literal["wheel rate", "ride rate"] = "wheel rate"
    mass: Literal["sprung mass", "total mass"] = "sprung mass"
    damping_ratio: Annotated[float, Kind("ratio", above=0.0, most=3.0)] | None = None
    rebound_to_bump: Ratio = 1.5
    tolerance: Share = 0.06
    height_tolerance: NonNegativeLength = 0.010

    @model_validator(mode="before")
    @classmethod
    def _by_sag(cls, data: Any) -> Any:
        """The frequency a sag comes to: a mass on a spring that it presses so far swings as a pendulum of that length."""
        if not isinstance(data, dict) or data.get("sag") is None:
            return data
        try:
            sag = Kind("length", above=0.0).read(data["sag"])
        except QuantityError as error:
            raise FieldFault(("sag",), str(error)) from None
        if data.get("stiffness", "wheel rate") != "wheel rate" or data.get("mass", "sprung mass") != "sprung mass":
            raise FieldFault(("sag",), "is of the sprung load on the wheel rate: leave stiffness and mass out")
        frequency = (GRAVITY / sag) ** 0.5 / (2 * np.pi)
        if "frequency" in data and abs(Kind("frequency").read(data["frequency"]) / frequency - 1) > 1e-3:
            raise FieldFault(("frequency",), f"is {show(frequency, 'frequency')} by the sag; keep one of them")
        return {**data, "frequency": f"{frequency!r} Hz"}


class Travel(Record):
    """Wheel travel from the design position: bump until the stop touches, its compression, and droop."""

    bump: Annotated[float, Kind("length", above=0.0, most=MOST_TRAVEL)]
    droop: Annotated[float, Kind("length", above=0.0, most=MOST_TRAVEL)]
    stop_compression: Annotated[float, Kind("length", least=0.0, most=MOST_TRAVEL)] = 0.0


class Room(Record):
    """The nearest body or frame round a tyre, from its wheel centre in the design position: ahead, behind, above, and inward."""

    ahead: PositiveLength | None = None
    behind: PositiveLength | None = None
    above: PositiveLength | None = None
    inside: PositiveLength | None = None


class BrakeHose(Record):
    """A brake hose of a `length` from the body to the wheel's carrier: ahead of the axle, out from the centreline, above ground, left wheel."""

    body: Point
    wheel: Point
    length: PositiveLength


def _with_points(mount: Any, axle: dict[str, Any], path: tuple[str | int, ...], kinds: Mapping[str, Any]) -> Any:
    """A mount's data with the axle's pivot points where it stands on them; what is wrong with those is said where they stand."""
    if not isinstance(mount, dict) or not isinstance(mount.get("acts"), dict):
        return mount
    acts = mount["acts"]
    by = str(acts.get("by"))
    where = {name.replace("_", " "): name for name in kinds}.get(by)
    if by == "links" or (by == "twist" and "on" in acts):
        where = next((name for name in kinds if name in axle), "wishbones")
    if where is None:
        return mount
    if where not in axle:
        raise FieldFault((*path, "acts", "by"), f"the pivot points are missing: give [axles.{where}]")
    links = axle[where]
    with contextlib.suppress(ValidationError):
        links = kinds[where].model_validate(links)
    return {**mount, "acts": {**acts, "links": links}}


class Axle(Record):
    """One axle. Positions as a builder measures them: behind the front axle, above ground, all positive.

    On a beam `bump_stop_base` and `droop_stop_base` are the distances between its left and right stops, its springs' base where they
    are not given: a stop that far apart on a wider track meets later as the axle tilts. `wheel_shock_rating` is the force a blow may
    put on a wheel. `helpers` are springs beside the axle's own, each at its own place. `friction` is the dry friction at each wheel, whatever it is of.
    """

    name: Name
    behind_front_axle: Length
    kind: Literal["beam", "independent"]
    wheels: Literal[1, 2] = 2
    track: PositiveLength | None = None
    driven: bool = False
    steered: bool = False
    unsprung_mass: PositiveMass
    unsprung_height: PositiveLength | None = None
    roll_inertia: Inertia | None = None
    roll_centre_height: Length | None = None
    ride_height: PositiveLength | None = None
    frame_width: PositiveLength | None = None
    design_load: PositiveMass | None = None
    rating: PositiveMass | None = None
    wheel_rating: PositiveMass | None = None
    differential: Literal["open", "locked"] | None = None
    friction: NonNegativeForce = 0.0
    bump_stop: Stop | None = None
    droop_stop: Stop | None = None
    bump_stop_base: PositiveLength | None = None
    droop_stop_base: PositiveLength | None = None
    wheel_shock_rating: NonNegativeForce | None = None
    brake_slope: Ratio | None = None
    drive_slope: Ratio | None = None
    drive_torque_on: Literal["axle", "body"] | None = None
    brake_torque_on: Literal["axle", "body"] | None = None
    steering_lock: PositiveAngle | None = None
    tyre: Tyre
    spring: SpringMount
    helpers: tuple[HelperMount, ...] = ()
    damper: DamperMount | None = None
    wishbones: Wishbones | None = None
    strut: Strut | None = None
    swing_arm: SwingArm | None = None
    drag_link: DragLink | None = None
    shaft: Shaft | None = None
    axle_links: BeamLinks | None = None
    room: Room | None = None
    brake_hose: BrakeHose | None = None
    clearance: PositiveLength | None = None
    bar: Bar | None = None
    target: Target | None = None
    travel: Travel
    built: BuiltAxle | None = None

    @model_validator(mode="before")
    @classmethod
    def _points_shared(cls, data: Any) -> Any:
        """Give mounts on links the axle's pivot points, so that they are written once, and a bar its diameter where it is to be found."""
        if not isinstance(data, dict):
            return data
        made = dict(data)
        if "bar" in made:
            made["bar"] = sized_bar(made["bar"], made.get("track"))
        for part in ("spring", "damper"):
            if part in made:
                made[part] = _with_points(made[part], made, (part,), cls.linkages())
        if isinstance(made.get("helpers"), list):
            made["helpers"] = [
                _with_points(one, made, ("helpers", i), cls.linkages()) for i, one in enumerate(made["helpers"])
            ]
        return made

    @model_validator(mode="after")
    def _agrees(self) -> Axle:
        if self.wheels == 2 and self.track is None:
            raise FieldFault((), "track is missing: the distance between the centres of the two tyres on the ground")
        if self.track is not None and not 0.3 <= self.track <= 6.0:
            raise FieldFault(("track",), "must be between 300 mm and 6 m; check its unit")
        if self.wheels == 1 and (self.kind == "beam" or self.bar is not None):
            raise FieldFault(("wheels",), "an axle of one wheel is independent and has no anti-roll bar")
        self._mounts_fit()
        self._links_fit()
        self._of_beams()
        if self.target is None and not self.has_spring:
            raise FieldFault(
                (),
                "give a target (frequency) or the existing spring (spring.existing, spring.coil or spring.part)",
            )
        return self

    def _mounts_fit(self) -> None:
        helpers = [(("helpers", i), one.acts) for i, one in enumerate(self.helpers)]
        mounts: list[tuple[tuple[str | int, ...], Any]] = [(("spring",), self.spring.acts), *helpers]
        for part, mount in [*mounts, (("damper",), self.damper.acts if self.damper else None)]:
            if mount is None:
                continue
            if self.kind == "beam" and mount.by == "lever":
                raise FieldFault(
                    (*part, "acts", "by"),
                    'a beam axle takes by = "beam" (with arm and spring_at for a link), "table" or "ratio"',
                )
            if self.kind == "beam" and isinstance(mount, OnLinks):
                raise FieldFault((*part, "acts", "by"), "is for a wheel of its own; this is a beam axle")
            if self.kind == "independent" and isinstance(mount, OnBeam | OnAxleLinks):
                raise FieldFault((*part, "acts", "by"), 'an independent axle takes by = "lever", "table" or "ratio"')

    def _links_fit(self) -> None:
        held = [name for name in self.linkages() if getattr(self, name) is not None]
        if len(held) > 1:
            raise FieldFault((held[1],), f"the wheel is on [axles.{held[0]}] already; keep one of them")
        for where in held:
            links = getattr(self, where)
            if self.kind == "beam" and where != "axle_links":
                raise FieldFault(
                    (where,), "a beam axle's wheels are held by the beam; give what holds it as [axles.axle_links]"
                )
            if self.kind == "independent" and where == "axle_links":
                raise FieldFault((where,), 'hold a beam axle; this one is kind = "independent"')
            if self.track is not None and abs(links.wheel_centre[1] - self.track / 2) > 0.002:
                raise FieldFault(
                    (where, "wheel_centre"),
                    f"stands {show(links.wheel_centre[1], 'length')} from the centreline, but half the track is {show(self.track / 2, 'length')}; mend one of them",
                )

    def _of_beams(self) -> None:
        """What a beam axle must have, and what only one can."""
        if self.drag_link is not None and self.kind != "beam":
            raise FieldFault(("drag_link",), "steers a beam axle; a wheel of its own is steered by its toe link")
        for field in ("bump_stop_base", "droop_stop_base"):
            if self.kind != "beam" and getattr(self, field) is not None:
                raise FieldFault((field,), "is for a beam axle; a wheel of its own meets its stop by its own travel")
        for i, one in enumerate(self.helpers):
            if self.kind == "beam" and self.in_place_of(one).spring_base is None:
                raise FieldFault(
                    ("helpers", i, "acts"),
                    "base is missing: the distance between the left and right helpers of a beam axle",
                )
        if len({one.name for one in self.helpers}) < len(self.helpers):
            raise FieldFault(("helpers",), "two helpers have the same name")
        if self.kind == "beam" and self.spring_base is None:
            raise FieldFault(
                ("spring", "acts"), "base is missing: the distance between the left and right springs of a beam axle"
            )

    @property
    def as_built(self) -> BuiltAxle:
        """How it was built: as it was drawn where nothing was measured."""
        return self.built or AS_DRAWN

    def held(self, travel: Any) -> Held | None:
        """The wheel along its travel [m] as its pivot points say; None where none are given."""
        links = self.links
        return None if links is None else links.path(travel)

    @property
    def links(self) -> WheelLinkage | BeamLinks | None:
        """The pivot points that hold its wheels; None where none are given."""
        return None if self.linkage_field is None else getattr(self, self.linkage_field)

    @property
    def linkage_field(self) -> str | None:
        """The field that holds them."""
        return next((name for name in self.linkages() if getattr(self, name) is not None), None)

    @classmethod
    def linkages(cls) -> Mapping[str, Any]:
        """What can hold a wheel by pivot points, by field."""
        return kinds_in(cls, WheelLinkage, BeamLinks)

    @property
    def has_spring(self) -> bool:
        """Whether the builder has named the spring."""
        made = self.spring.made
        return any((self.spring.existing, self.spring.coil, self.spring.part)) or (made is not None and made.complete)

    def on_side(self, side: int) -> Axle:
        """The axle as one side has it (1 left, -1 right), where its pivot points or springs differ from side to side; else itself."""
        if side > 0:
            return self
        links = self.links
        uneven = isinstance(links, BeamLinks) and not links.even
        other = links.on_right() if isinstance(links, WheelLinkage) and links.right is not None else None
        changed: dict[str, Any] = {}
        if other is not None:
            changed[str(self.linkage_field)] = other

        def turned(mount: Any) -> Any:
            made = mount.on_side(-1) if isinstance(mount, SpringMount) else mount
            if uneven and isinstance(mount.acts, OnAxleLinks):
                return made.model_copy(update={"acts": mount.acts.on_right()})
            if other is not None and isinstance(mount.acts, OnLinks | Twisted) and mount.acts.links is not None:
                return made.model_copy(update={"acts": mount.acts.model_copy(update={"links": other})})
            return made

        for part in ("spring", "damper"):
            mount = getattr(self, part)
            if mount is not None and (made := turned(mount)) is not mount:
                changed[part] = made
        helpers = tuple(turned(one) for one in self.helpers)
        if any(a is not b for a, b in zip(helpers, self.helpers, strict=True)):
            changed["helpers"] = helpers
        return self.model_copy(update=changed) if changed or uneven else self

    def in_place_of(self, helper: HelperMount) -> Axle:
        """The axle with a helper in place of its own spring and nothing beside it, so that whatever tells of springs tells of the helper."""
        return self.model_copy(update={"spring": helper, "helpers": (), "damper": None, "built": None})

    @property
    def bush_rates(self) -> tuple[float, float]:
        """What rubber bushes add at each wheel in heave and in roll, in the design position [N/m]."""
        links = self.links
        if links is None:
            return 0.0, 0.0
        if isinstance(links, BeamLinks):
            return links.bush_rates()
        return links.bush_rate(), links.bush_rate()

    @property
    def beside(self) -> ParallelStiffness:
        """What carries the wheel beside its springs, in the design position: bushes, and the gas in its damper."""
        heave, roll = self.bush_rates
        force = 0.0
        for one in self.helpers:
            own = self.in_place_of(one)
            share = 1.0 if own.spring_base is None else (own.spring_base / (self.track or 1.0)) ** 2
            push, tangent = own.at_wheel(one.law)
            force, heave, roll = force + push, heave + tangent, roll + share * tangent
        if self.damper is None or self.damper.gas is None:
            return ParallelStiffness(force, heave, roll)
        mounts = [side.damper for side in (self, self.on_side(-1)) if side.damper is not None]
        each = np.array([one.acts.lengths(0.0, one.length or 0.0) for one in mounts], dtype=float)
        _, ratio, slope = each.mean(axis=0).tolist()
        push, rate = (float(one) for one in self.damper.gas.law().at(0.0))
        own = rate * ratio**2 + push * slope
        share = 1.0 if self.damper_base is None else (self.damper_base / (self.track or 1.0)) ** 2
        return ParallelStiffness(force + push * ratio, heave + own, roll + own * share)

    def at_wheel(self, law: Law) -> tuple[float, float]:
        """Force [N] and rate [N/m] at a wheel of springs of a law in the design position, both sides in the mean; none of a slack one."""
        told = np.zeros(2)
        sides = (self, self.on_side(-1))
        for side in sides:
            _, ratio, slope = (
                float(each) for each in side.spring.acts.lengths(0.0, side.spring.installed_length or 0.0)
            )
            push, rate = (float(one) for one in side.spring.sided(law).at(0.0))
            if push > 0 or law.pulls:
                told += np.array([push * ratio, rate * ratio**2 + push * slope]) * self.spring.per_wheel / len(sides)
        return float(told[0]), float(told[1])

    @property
    def frame_half(self) -> float:
        """How far either side of the frame stands from the middle [m]; where its width is not given, as far as the springs or else the wheels."""
        return (self.frame_width or self.spring_base or self.track or 0.0) / 2

    @property
    def damper_base(self) -> float | None:
        """Lateral distance at which a beam axle's dampers act in roll [m]: their own where it is known, else the springs'."""
        if self.kind != "beam":
            return None
        base = None
        if self.damper is not None and not isinstance(self.damper.acts, Lever | Twisted):
            base = self.damper.acts.roll_base(self.roll_centre_height)
        return base or self.spring_base

    @property
    def stop_bases(self) -> tuple[float | None, float | None]:
        """Lateral distances at which a beam axle's bump and droop stops act [m]: as given, else the springs'; None where wheels act on their own."""
        own = self.spring_base
        return self.bump_stop_base or own, self.droop_stop_base or own

    @property
    def spring_base(self) -> float | None:
        """Lateral distance at which a beam axle's springs act in roll [m]; None where wheels act on their own."""
        acts = self.spring.acts
        if self.kind != "beam" or isinstance(acts, Lever | Twisted):
            return None
        centre = self.roll_centre_height
        return acts.roll_base(self.tyre.unloaded_radius if centre is None else centre)
