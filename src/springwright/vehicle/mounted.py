"""A spring and a damper in their places on an axle: how each acts, the room it has, and what it is."""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise
from math import pi
from typing import Annotated

from pydantic import Field, PrivateAttr, model_validator

from springwright.errors import FieldFault
from springwright.linkage.mounts import BY_POINTS, Mount, Stated, Twisted
from springwright.parts.air import Air, AirSpring, even
from springwright.parts.coil import Ends
from springwright.parts.coil_check import Coil
from springwright.parts.cone import ProgressiveCoil
from springwright.parts.gas import ATMOSPHERE
from springwright.parts.hydropneumatic import HydropneumaticStrut
from springwright.parts.law import Coiled, Law, LinearLaw, Shifted, SpringNeed
from springwright.parts.leaf_spring import LeafSpring
from springwright.parts.material import GradeName
from springwright.parts.record import SpringPart
from springwright.parts.rubber import RubberSpring
from springwright.parts.stack import CoilStack
from springwright.parts.supply import Supply
from springwright.parts.torsion_bar import TorsionBar
from springwright.quantities import (
    Kind,
    Length,
    Name,
    NonNegativeLength,
    PistonSpeed,
    PositiveForce,
    PositiveLength,
    PositiveRate,
    Pressure,
    Ratio,
    Record,
    Share,
    SignedForce,
    Speed,
    Volume,
)
from springwright.vehicle.kinds import kinds_in

Factor = Annotated[float, Kind("ratio", least=0.0, most=20.0)]


COILS = ("existing", "coil", "part")  # the ways an axle names a plain coil of its own


class ExistingSpring(Record):
    """A spring that is there already: its rate and free length, and its solid length if known."""

    rate: PositiveRate
    free_length: PositiveLength
    solid_length: PositiveLength | None = None
    spacer: NonNegativeLength = 0.0


class OtherSide(Record):
    """What the right spring of an axle has that the left one has not: `spacer` so much more under it (less negative).

    Of an existing spring also its own `rate` and `free_length`, as measured.
    """

    spacer: Length = 0.0
    rate: PositiveRate | None = None
    free_length: PositiveLength | None = None


class SpringMount(Record):
    """How the spring acts, the room it has, and the spring itself where there is one.

    Coils to be made or bought keep `stress_margin` of the permissible stress free (practice, no source) and survive the strokes of the
    duty cycle (a million where there is none), each of `fatigue_share` of the travel both ways from ride, with a factor of `fatigue_least`;
    with `infinite_life_least` without end, by the stricter pulsating line, too.
    """

    acts: Mount
    installed_length: PositiveLength | None = None
    per_wheel: Annotated[int, Field(ge=1, le=4)] = 1
    mount_rating: PositiveForce | None = None
    largest_outside: PositiveLength | None = None
    smallest_inside: PositiveLength | None = None
    largest_spacer: NonNegativeLength = 0.0
    seat_factor: Ratio | None = None
    grade: GradeName = "52CrMoV4"
    ends: Ends = "closed and ground"
    peened: bool = False
    fatigue_share: Share = 1 / 3
    fatigue_least: Ratio = 1.0
    infinite_life_least: Ratio | None = None
    stress_margin: Share = 0.05
    rate_tolerance: Share = 0.05
    load_tolerance: Share = 0.05
    free_length_tolerance: Share = 0.02
    right: OtherSide | None = None
    supply: Supply | None = None
    _turned: bool = PrivateAttr(False)  # told of the right side
    existing: ExistingSpring | None = None
    coil: Coil | None = None
    part: str | None = None
    stack: CoilStack | None = None
    progressive: ProgressiveCoil | None = None
    leaf: LeafSpring | None = None
    torsion_bar: TorsionBar | None = None
    air: AirSpring | None = None
    strut: HydropneumaticStrut | None = None
    rubber: RubberSpring | None = None

    @model_validator(mode="after")
    def _one_spring(self) -> SpringMount:
        given = [name for name in self.own_fields() if getattr(self, name) is not None]
        if len(given) > 1:
            raise FieldFault((given[1],), f"the spring is already given as {given[0]}; keep one of them")
        if (self.torsion_bar is None) != (self.acts.by != "twist"):
            raise FieldFault(
                ("acts", "by"), 'a torsion bar, and nothing else, acts by = "twist" with the arm that turns it'
            )
        if self.right is not None and self.existing is None and (self.right.rate or self.right.free_length):
            raise FieldFault(
                ("right",),
                "its own rate and free_length are for springs that are there: give spring.existing for the left one",
            )
        made = self.made
        if made is not None and not made.length_matters:
            return self
        if self.installed_length is None and not isinstance(self.acts, BY_POINTS):
            raise FieldFault(
                (), "installed_length is missing: the distance between the spring's seats at zero wheel travel"
            )
        return self

    @classmethod
    def own_fields(cls) -> tuple[str, ...]:
        """The fields by which an axle names its own spring, one of them at a time."""
        return (*COILS, *kinds_in(cls, SpringPart))

    @property
    def own_field(self) -> str | None:
        """The one of them that does; None where the spring is to be found."""
        return next((name for name in self.own_fields() if getattr(self, name) is not None), None)

    @property
    def made(self) -> SpringPart | None:
        """The spring where it is of another kind than a plain coil."""
        return next(
            (part for name in kinds_in(type(self), SpringPart) if (part := getattr(self, name)) is not None), None
        )

    def on_side(self, side: int) -> SpringMount:
        """The mount as one side has it (1 left, -1 right)."""
        if side > 0 or self.right is None:
            return self
        made = self.model_copy()
        made._turned = True  # noqa: SLF001 a copy of its own
        return made

    def sided(self, law: Law) -> Law:
        """The law of the left spring as this side's spring has it."""
        if self.right is None or not self._turned:  # the cheaper one first: all springs are asked
            return law
        other, existing = self.right, self.existing
        if not isinstance(law, LinearLaw | Coiled):
            return Shifted(law, other.spacer)
        # told of the right spring as it is; what was measured of both counts for it too
        times = law.slope / existing.rate if existing is not None else 1.0
        rate, longer = other.rate * times if other.rate else law.slope, 0.0
        if existing is not None and other.free_length is not None:
            longer = other.free_length - existing.free_length
        pressed = law.at_zero / law.slope + longer + other.spacer  # at zero travel
        if isinstance(law, Coiled):
            return Coiled(rate, rate * pressed, law.solid - other.spacer)
        return LinearLaw(rate, rate * pressed, law.pulls, law.friction)

    @property
    def rest_length(self) -> float:
        """Seat-to-seat distance at zero wheel travel [m]; none where the part has no length that counts."""
        if isinstance(self.acts, BY_POINTS):
            return float(self.acts.lengths(0.0, 0.0).length)
        return self.installed_length or 0.0


class HelperMount(SpringMount):
    """A spring beside the axle's own, at a place and ratio of its own: a coil that is there, or another kind with its dimensions given.

    One shorter than the distance between its seats bears only where the wheel has closed it, as one that stands `clear` of its seat does;
    a gas keeps its mass and is told quick about zero travel.
    """

    name: Name
    clear: NonNegativeLength = 0.0

    @model_validator(mode="after")
    def _whole(self) -> HelperMount:
        if self.part is not None or self.leaf is not None:
            field = "part" if self.part is not None else "leaf"
            raise FieldFault(
                (field,),
                "is for an axle's own spring; give a helper as existing, coil, air, rubber, stack, progressive, strut or torsion_bar",
            )
        if self.existing is None and self.coil is None and (self.made is None or not self.made.complete):
            raise FieldFault(
                (),
                "give the helper that is there: existing (rate, free_length), coil, or another kind with all its dimensions",
            )
        if self.air is not None and self.air.pressure is None:
            raise FieldFault(("air", "pressure"), "is missing: the gauge pressure of the helper at zero travel")
        return self

    @cached_property
    def law(self) -> Law:
        """Its force against how far it is pressed from zero travel."""
        if self.made is not None:
            # whatever sets its height is given, so that what it is needed for does not matter
            still, arm = self.rest_length, self.acts.lever_arm if isinstance(self.acts, Twisted) else None
            need = SpringNeed(0.0, 0.0, still, still, still, still, arm=arm)
            whole = self.made.law(need).about(0.0)
            return Shifted(whole, -self.clear) if self.clear else whole
        if self.coil is not None:
            made = self.coil.made
            rate, free, spacer, solid = made.rate, self.coil.free_length, 0.0, made.solid
        else:
            assert self.existing is not None
            rate, free, spacer, solid = (
                self.existing.rate,
                self.existing.free_length,
                self.existing.spacer,
                self.existing.solid_length,
            )
        pressed = free + spacer - self.rest_length - self.clear
        if solid is None:
            return LinearLaw(rate, rate * pressed)
        return Coiled(rate, rate * pressed, self.rest_length + self.clear - spacer - solid)


class DamperGas(Record):
    """What gas in a damper does: its rod is pushed out by gauge `pressure` (at zero wheel travel) on the rod's area.

    `volume` is the gas there (none: the push does not change), `bore` the piston's, for the force at which oil would cavitate.
    """

    rod: PositiveLength
    pressure: Pressure
    volume: Volume | None = None
    bore: PositiveLength | None = None
    exponent: Ratio = 1.38

    @model_validator(mode="after")
    def _fits(self) -> DamperGas:
        if self.bore is not None and self.bore <= self.rod:
            raise FieldFault(("bore",), "must be wider than the rod")
        return self

    @property
    def area(self) -> float:
        """Of the rod [m2]."""
        return pi * self.rod**2 / 4

    def law(self) -> Law:
        """Its push along the damper's travel."""
        if self.volume is None:
            return LinearLaw(0.0, self.pressure * self.area, pulls=True)
        shape = even(self.area, 0.0, self.volume, -1.0, 1.0)
        return Air(shape, self.pressure, exponent=self.exponent, quick=True)

    def most_compression(self) -> float | None:
        """Bump force above which the gas no longer keeps oil on the piston's far side [N]; None where the bore is not known."""
        if self.bore is None:
            return None
        return (self.pressure + ATMOSPHERE) * (pi * self.bore**2 / 4 - self.area)


class DamperMount(Record):
    """How the damper acts and what it does.

    `points`, or a `test_sheet` (a CSV file beside the design with columns speed and force), are its own force against
    its own speed, bump positive, nought at no speed. Without them the damper follows the target: straight up to `knee`, its slope beyond it times `beyond`.
    `outside_diameter` and `body_length` are of the tube that sheds its heat.
    `zones` multiply its force along its own travel, pressed from zero wheel travel: straight lines between, level beyond.
    """

    acts: Mount
    points: Annotated[tuple[tuple[PistonSpeed, SignedForce], ...], Field(min_length=2)] | None = None
    test_sheet: str | None = None
    knee: Speed | None = None
    beyond: Share = 0.3
    zones: Annotated[tuple[tuple[Length, Factor], ...], Field(min_length=2)] | None = None
    gas: DamperGas | None = None
    length: PositiveLength | None = None
    outside_diameter: PositiveLength | None = None
    body_length: PositiveLength | None = None
    extended_length: PositiveLength | None = None
    compressed_length: PositiveLength | None = None
    supply: Supply | None = None

    @model_validator(mode="after")
    def _length_known(self) -> DamperMount:
        if self.length is None and not isinstance(self.acts, (*BY_POINTS, Stated)):
            raise FieldFault((), "length is missing: the damper's eye-to-eye length at zero wheel travel")
        if self.zones is not None and any(b <= a for (a, _), (b, _) in pairwise(self.zones)):
            raise FieldFault(("zones",), "travel must rise from zone to zone (let out negative, pressed positive)")
        ends = self.compressed_length, self.extended_length
        if ends[0] is not None and ends[1] is not None and ends[0] >= ends[1]:
            raise FieldFault(("compressed_length",), "must be shorter than the extended length")
        if isinstance(self.acts, Stated) and self.length is None and (self.extended_length or self.compressed_length):
            raise FieldFault(
                (),
                "length is missing: the damper's eye-to-eye length at zero wheel travel, to hold extended_length and compressed_length against",
            )
        if self.points is not None:
            speeds, forces = zip(*self.points, strict=True)
            if any(b <= a for a, b in pairwise(speeds)):
                raise FieldFault(("points",), "speed must rise from point to point (rebound negative, bump positive)")
            if any(b < a for a, b in pairwise(forces)):
                raise FieldFault(
                    ("points",),
                    "force must not fall as speed rises; check the sheet's signs: bump speed and force positive",
                )
            if not speeds[0] < 0 < speeds[-1]:
                raise FieldFault(("points",), "must reach from rebound (negative speed) to bump (positive speed)")
            if self.test_sheet is None and any(force for speed, force in self.points if speed == 0):
                raise FieldFault(
                    ("points",),
                    "a damper at rest gives no force of its own: write 0 N at no speed; what its gas pushes with goes into [gas]",
                )
        return self
