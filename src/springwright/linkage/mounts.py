r"""How a spring or damper acts on a wheel: its length against wheel travel, with first and second slopes.

Every mount answers one question, `lengths(travel, at_rest)`: the seat-to-seat length L, the motion ratio
r = -dL/dx and its slope dr/dx, for wheel travel x [m], bump positive. `at_rest` is the length at zero travel.
Planar and exact; dr/dx is what makes a wheel rate differ from k_s r².

      top *                     arm from its pivot P to the wheel centre W, length b, slope alpha;
           \  lean beta         the foot F lies a along the arm; beta is measured from the path of F,
            \                   positive when the top leans towards P
    P o------F-----------W
"""

from __future__ import annotations

from functools import lru_cache
from typing import Annotated, Any, Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import Field, PrivateAttr, SerializeAsAny, model_validator
from pydantic.json_schema import SkipJsonSchema

from springwright.errors import FieldFault
from springwright.linkage.beam_links import BeamLinks, mirrored
from springwright.linkage.constraint_solver import REACH, LinkReach
from springwright.linkage.rocker import Rocker
from springwright.linkage.wishbones import Point, WheelLinkage
from springwright.quantities import Lean, Length, PerLength, PositiveLength, Ratio, Record
from springwright.units import show

Floats = NDArray[np.float64]


class Lengths(NamedTuple):
    """Length [m], motion ratio [-] and its slope [1/m] at each travel asked."""

    length: Floats
    ratio: Floats
    slope: Floats


def lever_lengths(
    travel: Floats, at_rest: float, arm: float, spring_at: float, lean: float, arm_slope: float
) -> Lengths:
    """A planar lever at wheel travel [m]; nan where the arm cannot reach."""
    with np.errstate(invalid="ignore"):
        theta = np.arcsin(np.sin(arm_slope) + travel / arm)
    along = np.array([np.cos(arm_slope), np.sin(arm_slope)])
    path = np.array([-np.sin(arm_slope), np.cos(arm_slope)])
    top = spring_at * along + at_rest * (np.cos(lean) * path - np.sin(lean) * along)
    foot_y, foot_z = spring_at * np.cos(theta), spring_at * np.sin(theta)
    dy, dz = foot_y - top[0], foot_z - top[1]
    length = np.hypot(dy, dz)
    by_angle = (dz * foot_y - dy * foot_z) / length
    by_angle_twice = (spring_at**2 - dy * foot_y - dz * foot_z - by_angle**2) / length
    x_by_angle, x_by_angle_twice = arm * np.cos(theta), -arm * np.sin(theta)
    slope = -(by_angle_twice * x_by_angle - by_angle * x_by_angle_twice) / x_by_angle**3
    return Lengths(length, -by_angle / x_by_angle, slope)


class Lever(Record):
    """A spring on a lever: wishbone, trailing arm or swing axle seen square to its pivot.

    Positions are plane ones, so a lever whose pivot is not square to the spring's plane needs a measured table.
    """

    by: Literal["lever"]
    arm: PositiveLength
    spring_at: PositiveLength
    lean: Lean = 0.0
    arm_slope: Lean = 0.0

    def lengths(self, travel: ArrayLike, at_rest: float) -> Lengths:
        """See the module's head; nan where the arm cannot reach [m, -, 1/m]."""
        x = np.asarray(travel, dtype=float)
        return lever_lengths(x, at_rest, self.arm, self.spring_at, self.lean, self.arm_slope)


class OnBeam(Record):
    """A spring on a beam axle, on the beam itself or on a trailing link, `base` apart left to right.

    `lean_in` is the spring's lean in the end view, top inward; `lean` in the side view. With a link
    (`arm` and `spring_at`) `lean` is measured as on a lever. `foot_height` above ground lets a leaning
    spring's share in roll be counted.
    """

    by: Literal["beam"]
    base: PositiveLength
    lean_in: Lean = 0.0
    lean: Lean = 0.0
    arm: PositiveLength | None = None
    spring_at: PositiveLength | None = None
    arm_slope: Lean = 0.0
    foot_height: Length | None = None

    @model_validator(mode="after")
    def _link_is_whole(self) -> OnBeam:
        if (self.arm is None) != (self.spring_at is None):
            raise FieldFault(
                (),
                "a spring on a link needs both arm (pivot to axle) and spring_at (pivot to spring); give both or neither",
            )
        return self

    def lengths(self, travel: ArrayLike, at_rest: float) -> Lengths:
        """See the module's head; travel is the axle's at the spring, along the vertical [m, -, 1/m]."""
        x = np.asarray(travel, dtype=float)
        if self.arm is not None and self.spring_at is not None:
            sideways = at_rest * np.sin(self.lean_in)
            plane = at_rest * float(np.cos(self.lean_in))
            length, ratio, slope = lever_lengths(x, plane, self.arm, self.spring_at, self.lean, self.arm_slope)
        else:
            vertical = at_rest / np.sqrt(1 + np.tan(self.lean) ** 2 + np.tan(self.lean_in) ** 2)
            sideways = np.sqrt(max(at_rest**2 - vertical**2, 0.0))
            length, ratio, slope = vertical - x, np.ones_like(x), np.zeros_like(x)
        if not sideways:
            return Lengths(length, ratio, slope)
        whole = np.hypot(length, sideways)
        whole_ratio = length * ratio / whole
        return Lengths(whole, whole_ratio, (length * slope - ratio**2 + whole_ratio**2) / whole)

    def roll_base(self, roll_centre_height: float | None) -> float:
        """Lateral distance [m] at which the springs act in roll, a lean about the roll centre counted."""
        if not self.lean_in or self.foot_height is None or roll_centre_height is None:
            return self.base
        return self.base + 2 * (self.foot_height - roll_centre_height) * float(np.tan(self.lean_in))


@lru_cache(maxsize=64)
def _smooth(rows: tuple[tuple[float, float], ...]) -> tuple[Floats, float]:
    """Least-squares polynomial of length against travel, and the readings' root-mean-square distance from it [m]."""
    travel, length = np.array(rows).T
    curve = np.polyfit(travel, length, 3 if len(travel) > 5 else 2)
    return curve, float(np.sqrt(np.mean((np.polyval(curve, travel) - length) ** 2)))


class Measured(Record):
    """A measured table: rows of wheel travel and spring length, taken with the spring's eyes or seats in place.

    The curve is the least-squares polynomial through the rows, cubic at most, because tape readings
    are too coarse to be differentiated twice as they stand. On a beam axle `base` is the spring base.
    """

    by: Literal["table"]
    rows: tuple[tuple[Length, PositiveLength], ...] = Field(min_length=3)
    base: PositiveLength | None = None

    @model_validator(mode="after")
    def _falls(self) -> Measured:
        travel, length = np.array(self.rows).T
        if np.any(np.diff(travel) <= 0):
            raise FieldFault(("rows",), "wheel travel must rise from row to row (droop negative, bump positive)")
        if not travel[0] <= 0 <= travel[-1]:
            raise FieldFault(("rows",), "must reach over zero travel: droop negative, bump positive")
        if np.any(np.diff(length) >= 0):
            raise FieldFault(
                ("rows",), "the spring must get shorter as the wheel rises; swap or mend the rows that do not"
            )
        ratio = -np.polyval(np.polyder(_smooth(self.rows)[0]), np.linspace(travel[0], travel[-1], 101))
        if np.any(ratio <= 0):
            raise FieldFault(
                ("rows",), "a smooth curve through these rows turns back; take more readings or check them"
            )
        return self

    @property
    def scatter(self) -> float:
        """Root-mean-square distance of the readings from the smooth curve [m]."""
        return _smooth(self.rows)[1]

    def lengths(self, travel: ArrayLike, at_rest: float) -> Lengths:  # noqa: ARG002 the table knows its own length
        """See the module's head; nan outside the rows, plus a tenth of their range [m, -, 1/m]."""
        x = np.asarray(travel, dtype=float)
        curve, _ = _smooth(self.rows)
        first, last = self.rows[0][0], self.rows[-1][0]
        margin = 0.1 * (last - first)
        inside = np.where((x >= first - margin) & (x <= last + margin), x, np.nan)
        derivative = np.polyder(curve)
        values = (
            np.polyval(curve, inside),
            -np.polyval(derivative, inside),
            -np.polyval(np.polyder(derivative), inside),
        )
        return Lengths(*(np.asarray(value, dtype=float) for value in values))

    def roll_base(self, roll_centre_height: float | None) -> float | None:  # noqa: ARG002 one signature for all mounts
        """Spring base as given [m]."""
        return self.base


class Stated(Record):
    """A motion ratio the builder states, with its progression (how it changes per wheel travel) if that is known."""

    by: Literal["ratio"]
    ratio: Ratio
    progression: PerLength = 0.0
    base: PositiveLength | None = None

    def lengths(self, travel: ArrayLike, at_rest: float) -> Lengths:
        """See the module's head [m, -, 1/m]."""
        x = np.asarray(travel, dtype=float)
        return Lengths(
            at_rest - self.ratio * x - self.progression * x**2 / 2,
            self.ratio + self.progression * x,
            np.full_like(x, self.progression),
        )

    def roll_base(self, roll_centre_height: float | None) -> float | None:  # noqa: ARG002 one signature for all mounts
        """Spring base as given [m]."""
        return self.base


class _Tabulated(Record):
    """A mount whose length comes out of pivot points: solved every millimetre of what the links can do, a smooth curve between."""

    def lengths(self, travel: ArrayLike, at_rest: float) -> Lengths:  # noqa: ARG002 the points say how long it is
        """See the module's head; nan where the links do not reach [m, -, 1/m]."""
        curve = _tabulated(self)
        x = np.asarray(travel, dtype=float)
        return Lengths(curve(x), -curve(x, 1), -curve(x, 2))

    def exact(self, travel: Floats) -> tuple[Floats, Floats]:
        """Length [m] and motion ratio at travels [m], solved there and not from the table."""
        raise NotImplementedError

    def roll_base(self, roll_centre_height: float | None) -> float | None:  # noqa: ARG002 one signature for all mounts
        """None: a wheel on links of its own acts on its own [m]."""
        return None

    def _reach(self) -> LinkReach:
        raise NotImplementedError

    def _presses(self) -> None:
        """Refuse a spring that gets longer as the wheel rises, or has no length."""
        if not self.lengths(0.0, 0.0).ratio > 0:
            raise FieldFault(
                ("top",), "the spring gets longer as the wheel rises; check foot, top and what it stands on"
            )


def _ends(foot: Any, top: Any) -> None:
    if np.linalg.norm(np.array(foot) - np.array(top)) < 0.02:
        raise FieldFault(("top",), "lies on the foot; a spring needs a length")
    if min(foot[1], top[1]) < -0.05 and max(foot[1], top[1]) > 0.05:
        wrong, other, y = ("foot", "top", foot[1]) if foot[1] < top[1] else ("top", "foot", top[1])
        raise FieldFault(
            (wrong,),
            f"stands {show(y, 'length')} out, on the other side of the centreline than its {other}; points are given on the left, out from the centreline positive",
        )


class OnLinks(_Tabulated):
    """A spring or damper on the links of a wheel of its own, its foot on one of their bodies, its top on the vehicle's.

    The pivot points are the axle's (`[axles.wishbones]`, `[axles.strut]` or `[axles.swing_arm]`, or by "links" whichever there are),
    positions as there; lengths come out of them. With a `rocker` the foot is the push rod's.
    """

    by: Literal["wishbones", "strut", "swing arm", "links"]
    on: str = "arm"
    foot: Point
    top: Point
    rocker: Rocker | None = None
    links: SkipJsonSchema[SerializeAsAny[WheelLinkage]]  # put in from the axle, never written in the mount

    @model_validator(mode="after")
    def _stands(self) -> OnLinks:
        if self.on not in self.links.bodies:
            raise FieldFault(("on",), f"is none of these links' bodies; there are {', '.join(self.links.bodies)}")
        _ends(self.foot if self.rocker is None else self.rocker.spring, self.top)
        self._presses()
        return self

    def exact(self, travel: Floats) -> tuple[Floats, Floats]:
        """See `_Tabulated` [m, -]."""
        at, moves = self.links.carried(self.on, self.foot, travel)
        if self.rocker is not None:
            at, moves = self.rocker.turned(at, moves, self.foot)
        along = at - np.array(self.top)
        length = np.linalg.norm(along, axis=1)
        return length, -np.sum(along * moves, axis=1) / length

    def _reach(self) -> LinkReach:
        return self.links.reach()


class OnAxleLinks(_Tabulated):
    """A spring or damper of a beam axle on links (`[axles.axle_links]`): its foot on the axle, a link or a radius arm, left side."""

    by: Literal["axle links"]
    on: str = "axle"
    foot: Point
    top: Point
    links: SkipJsonSchema[BeamLinks]
    _side: int = PrivateAttr(1)  # -1 told as the right one of the pair

    @model_validator(mode="after")
    def _stands(self) -> OnAxleLinks:
        if self.on not in self.links.bodies:
            raise FieldFault(("on",), f"is none of these links' bodies; there are {', '.join(self.links.bodies)}")
        _ends(self.foot, self.top)
        self._presses()
        return self

    def exact(self, travel: Floats) -> tuple[Floats, Floats]:
        """See `_Tabulated` [m, -]."""
        length, own, other = self.shares(travel, travel, self._side)
        return length, own + other

    def on_right(self) -> OnAxleLinks:
        """The right one of the pair, told as itself."""
        made = self.model_copy()
        made._side = -1  # noqa: SLF001 a copy of its own
        return made

    def shares(self, left: Floats, right: Floats, side: int = 1) -> tuple[Floats, Floats, Floats]:
        """Length of the left spring (or with `side` -1 the right one) [m] and how much it is pressed per travel of its own and of the other wheel."""
        at, own, other = self.links.carried(self.on, self.foot, left, right, side)
        if side < 0:
            own, other = other, own
        along = at - np.array(mirrored(self.top, side))
        length = np.linalg.norm(along, axis=1)
        return length, -np.sum(along * own, axis=1) / length, -np.sum(along * other, axis=1) / length

    def roll_base(self, roll_centre_height: float | None) -> float:  # noqa: ARG002 one signature for all mounts
        """Lateral distance [m] at which the springs act in roll, all leans and links counted, in the design position."""
        still = np.zeros(1)
        bases = []
        for side in (1, -1):  # a rod on one side only makes them unlike; their mean acts in roll
            _, own, other = (float(one[0]) for one in self.shares(still, still, side))
            bases.append(2 * self.links.wheel_centre[1] * (own - other) / (own + other))
        return sum(bases) / 2

    def _reach(self) -> LinkReach:
        return self.links.reach()


class Twisted(_Tabulated):
    """A torsion bar turned by the wheel's arm: by `arm` (pivot to wheel) and its slope, or `on` an arm of the axle's pivot points.

    Its length is the arc at the arm's end, so that it shortens as the wheel rises.
    """

    by: Literal["twist"]
    arm: PositiveLength | None = None
    arm_slope: Lean = 0.0
    on: str | None = None
    links: SkipJsonSchema[SerializeAsAny[WheelLinkage] | None] = None

    @model_validator(mode="after")
    def _stands(self) -> Twisted:
        if (self.arm is None) == (self.on is None):
            raise FieldFault((), "give one of arm (its length) and on (an arm of the axle's pivot points)")
        if self.on is not None and (self.links is None or self.on not in self.links.bodies or self.on == "upright"):
            there = [] if self.links is None else [body for body in self.links.bodies if body != "upright"]
            raise FieldFault(
                ("on",), f"is none of the axle's arms; there are {', '.join(there) or 'none: give pivot points'}"
            )
        return self

    @property
    def lever_arm(self) -> float:
        """Length of the arm that turns the bar [m]."""
        return self.arm if self.links is None or self.on is None else self.links.arm_length(self.on)  # type: ignore[return-value]

    def exact(self, travel: Floats) -> tuple[Floats, Floats]:
        """See `_Tabulated` [m, -]."""
        lever = self.lever_arm
        if self.links is not None and self.on is not None:
            angle, rate = self.links.twisted(self.on, travel)
        else:
            with np.errstate(invalid="ignore"):
                beta = np.arcsin(np.sin(self.arm_slope) + travel / lever)
            angle, rate = beta - self.arm_slope, 1 / (lever * np.cos(beta))
        return -lever * angle, lever * rate

    def _reach(self) -> LinkReach:
        if self.links is not None:
            return self.links.reach()
        lever, rise = self.lever_arm, self.lever_arm * float(np.sin(self.arm_slope))
        return LinkReach(
            max(-REACH, 0.98 * -lever - rise), min(REACH, 0.98 * lever - rise), "the arm stands straight up or down"
        )


@lru_cache(maxsize=64)
def _tabulated(mount: Any) -> Any:
    """Length against travel every millimetre of what the links can do, with its slopes: off by less than 1e-9 m between."""
    from scipy.interpolate import CubicHermiteSpline  # only here: it costs start-up time

    reach = mount._reach()  # noqa: SLF001
    travel = np.linspace(reach.low, reach.high, max(round((reach.high - reach.low) / 1e-3), 8) + 1)
    length, ratio = mount.exact(travel)
    fine = np.isfinite(length) & np.isfinite(ratio)
    middle = int(np.argmin(np.abs(travel)))
    high = middle + int(np.argmin(np.append(fine[middle:], False)))
    low = middle - int(np.argmin(np.append(fine[middle::-1], False))) + 1
    if high - low < 9:
        raise FieldFault((), "the links do not carry this spring, or its rocker locks; check its points")
    return CubicHermiteSpline(travel[low:high], length[low:high], -ratio[low:high], extrapolate=False)


BY_POINTS = (Measured, OnLinks, OnAxleLinks, Twisted)  # mounts that know their own length
Mount = Annotated[Lever | OnBeam | Measured | Stated | OnLinks | OnAxleLinks | Twisted, Field(discriminator="by")]
