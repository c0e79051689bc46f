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
from pydantic import Field, model_validator
from pydantic.json_schema import SkipJsonSchema

from springwright.errors import FieldFault
from springwright.linkage.swing import SwingArm, arm_reach
from springwright.linkage.wishbones import Point, Solved, Wishbones, solved
from springwright.units import Lean, Length, PerLength, PositiveLength, Ratio, Record

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
        """See the module's head; nan where the arm cannot reach."""
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
        """See the module's head; travel is the axle's at the spring, along the vertical."""
        x = np.asarray(travel, dtype=float)
        if self.arm is not None and self.spring_at is not None:
            sideways = at_rest * np.sin(self.lean_in)
            plane = at_rest * float(np.cos(self.lean_in))
            length, ratio, slope = lever_lengths(x, plane, self.arm, self.spring_at, self.lean, self.arm_slope)
        else:
            vertical = at_rest / np.sqrt(1 + np.tan(self.lean) ** 2 + np.tan(self.lean_in) ** 2)
            sideways = np.sqrt(max(at_rest**2 - vertical**2, 0.0))
            length, ratio, slope = vertical - x, np.ones_like(x), np.zeros_like(x)
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
        """See the module's head; nan outside the rows, plus a tenth of their range."""
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
        """Spring base as given."""
        return self.base


class Stated(Record):
    """A motion ratio the builder states, with how it changes per wheel travel if that is known."""

    by: Literal["ratio"]
    ratio: Ratio
    change: PerLength = 0.0
    base: PositiveLength | None = None

    def lengths(self, travel: ArrayLike, at_rest: float) -> Lengths:
        """See the module's head."""
        x = np.asarray(travel, dtype=float)
        return Lengths(
            at_rest - self.ratio * x - self.change * x**2 / 2,
            self.ratio + self.change * x,
            np.full_like(x, self.change),
        )

    def roll_base(self, roll_centre_height: float | None) -> float | None:  # noqa: ARG002 one signature for all mounts
        """Spring base as given."""
        return self.base


class _OnLinks(Record):
    """A spring or damper between the body and something that moves with the wheel: its foot there, its top on the body."""

    foot: Point
    top: Point

    def _presses(self) -> None:
        if np.linalg.norm(np.array(self.foot) - np.array(self.top)) < 0.02:
            raise FieldFault(("top",), "lies on the foot; a spring needs a length")
        if not self.lengths(0.0, 0.0).ratio > 0:
            raise FieldFault(
                ("top",), "the spring gets longer as the wheel rises; check foot, top and what it stands on"
            )

    def lengths(self, travel: ArrayLike, at_rest: float) -> Lengths:  # noqa: ARG002 the points say how long it is
        """See the module's head; nan where the links do not reach."""
        curve = _tabulated(self)
        x = np.asarray(travel, dtype=float)
        return Lengths(curve(x), -curve(x, 1), -curve(x, 2))

    def exact(self, travel: Floats) -> tuple[Floats, Floats]:
        """Length [m] and motion ratio at travels [m], solved there and not from the table."""
        at, moves = self._foot(travel)
        along = at - np.array(self.top)
        length = np.linalg.norm(along, axis=1)
        return length, -np.sum(along * moves, axis=1) / length

    def roll_base(self, roll_centre_height: float | None) -> float | None:  # noqa: ARG002 one signature for all mounts
        """None: a wheel on links of its own acts on its own."""
        return None

    def _foot(self, travel: Floats) -> tuple[Floats, Floats]:
        raise NotImplementedError

    def _reach(self) -> Solved:
        raise NotImplementedError


class OnWishbones(_OnLinks):
    """A spring or damper on double wishbones: its foot on an arm or the upright.

    The pivot points are the axle's (`[axles.wishbones]`), positions as there; lengths come out of them.
    """

    by: Literal["wishbones"]
    on: Literal["lower arm", "upper arm", "upright"]
    links: SkipJsonSchema[Wishbones]  # put in from the axle, never written in the mount

    @model_validator(mode="after")
    def _stands(self) -> OnWishbones:
        self._presses()
        return self

    def _foot(self, travel: Floats) -> tuple[Floats, Floats]:
        path = self.links.path(travel)
        if self.on == "upright":
            return path.at(self.foot), path.moves(self.foot)
        return path.arm("lower" if self.on == "lower arm" else "upper", self.foot)

    def _reach(self) -> Solved:
        return solved(self.links)


class OnSwingArm(_OnLinks):
    """A spring or damper whose foot is on an arm that turns about one axis (`[axles.swing_arm]`): trailing, semi-trailing, swing axle."""

    by: Literal["swing arm"]
    links: SkipJsonSchema[SwingArm]

    @model_validator(mode="after")
    def _stands(self) -> OnSwingArm:
        self._presses()
        return self

    def _foot(self, travel: Floats) -> tuple[Floats, Floats]:
        path = self.links.path(travel)
        return path.at(self.foot), path.moves(self.foot)

    def _reach(self) -> Solved:
        return arm_reach(self.links)


@lru_cache(maxsize=64)
def _tabulated(mount: Any) -> Any:
    """Length against travel every millimetre of what the links can do, with its slopes: off by less than 1e-9 m between."""
    from scipy.interpolate import CubicHermiteSpline  # only here: it costs start-up time

    reach = mount._reach()  # noqa: SLF001
    travel = np.linspace(reach.low, reach.high, max(round((reach.high - reach.low) / 1e-3), 8) + 1)
    length, ratio = mount.exact(travel)
    return CubicHermiteSpline(travel, length, -ratio, extrapolate=False)


Mount = Annotated[Lever | OnBeam | Measured | Stated | OnWishbones | OnSwingArm, Field(discriminator="by")]
