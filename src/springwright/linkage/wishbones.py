"""A wheel on double wishbones with a toe link, by their pivot points.

Each arm counts as two links from its body joints to one ball, the toe link is the fifth; see `constraint_solver`.
"""

from __future__ import annotations

from functools import cached_property
from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray
from pydantic import AfterValidator, ConfigDict, model_validator

from springwright.errors import FieldFault
from springwright.linkage.constraint_solver import Carrier, LinkReach, Links, reach, turned
from springwright.quantities import Coordinate, Record, TwistRate, either

Floats = NDArray[np.float64]
Point = Annotated[tuple[Coordinate, Coordinate, Coordinate], "ahead of the axle, out from the centreline, above ground"]


class _Points(dict[str, Any]):
    """Points by name that can be hashed, so that what is solved from them can be kept."""

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(tuple(sorted(self.items())))


class WheelLinkage(Record):
    """A wheel held by pivot points of its own: what every such linkage answers.

    `wheel_centre` and the points are on the left: ahead of the axle, out from the centreline, above ground; `points` names a CSV file
    beside the design that holds them (name, x, y, z with units). The right side is their mirror image, but for points given
    under `right` (out from the centreline positive there too); in a file their names begin with "right ".
    """

    model_config = ConfigDict(json_schema_extra=either((), "points"))

    wheel_centre: Point
    points: str | None = None
    right: Annotated[dict[str, Point], AfterValidator(_Points)] | None = None

    @model_validator(mode="after")
    def _both_sides(self) -> WheelLinkage:
        names = [name for name, value in self if isinstance(value, tuple)]
        for name in self.right or {}:
            if name not in names:
                raise FieldFault(("right", name), f"is no point of these links; there are {', '.join(names)}")
        return self

    def on_right(self) -> Any:
        """The links of the right side, told as if on the left: the points that `right` gives in place of the mirrored ones."""
        if self.right is None:
            return self
        kept = {name: value for name, value in self if name not in ("right", *self.right)}
        other: Any = type(self).model_construct(None, **{**kept, **self.right, "right": None})
        check_reach(other.reach())
        return other

    def path(self, travel: Any) -> Any:
        """The wheel at travels [m]; see `Held`."""
        raise NotImplementedError

    def reach(self) -> LinkReach:
        """How far the links can go."""
        raise NotImplementedError

    def carried(self, on: str, point: Any, travel: Any) -> tuple[Floats, Floats]:
        """(n, 3): where a point of one of its bodies has gone and how it moves per wheel travel [m, m/m]."""
        raise NotImplementedError

    def twisted(self, on: str, travel: Any) -> tuple[Floats, Floats]:
        """How far an arm has turned about its pivots [rad], wheel up positive, and how that grows with wheel travel [rad/m]."""
        raise NotImplementedError

    def arm_length(self, on: str) -> float:
        """Distance of an arm's outer joint from its axis [m]."""
        raise NotImplementedError

    @property
    def bodies(self) -> tuple[str, ...]:
        """What a spring or damper may stand on."""
        raise NotImplementedError

    @property
    def steered(self) -> tuple[Links, int] | None:
        """Its links and which of them a steering rack moves; None where the wheel cannot be steered."""
        return None

    def steering_axis(self, path: Any) -> Floats:
        """(n, 3): direction from the lower to the upper end of the steering axis [-]."""
        raise NotImplementedError

    def leans(self, path: Any) -> tuple[Floats, Floats]:
        """Caster and kingpin inclination [rad]: lean of the steering axis to the rear and inward."""
        axis = self.steering_axis(path)
        return np.asarray(np.arctan2(-axis[:, 0], axis[:, 2])), np.asarray(np.arctan2(-axis[:, 1], axis[:, 2]))

    def sketch(self) -> tuple[tuple[str, str], ...]:
        """Pairs of points that a drawing joins."""
        raise NotImplementedError

    def joints(self, travel: float) -> dict[str, Floats]:
        """Every named point at a travel [m]."""
        raise NotImplementedError

    def bush_rate(self, travel: float = 0.0) -> float:
        """What rubber bushes add to the wheel rate [N/m]: the twist rate of each arm's pivots times the square of its turn."""
        twists: dict[str, float] = getattr(self, "bush_twist_rates", {})
        return sum(rate * float(self.twisted(on, travel)[1][0]) ** 2 for on, rate in twists.items())


def arm_twist(front: Any, rear: Any, ball: Any, now: Floats, moves: Floats) -> tuple[Floats, Floats]:
    """Turn of an arm [rad] about the line through its pivots when its ball has gone to `now`, and the turn's rate; wheel up positive."""
    front, rear, ball = (np.array(one) for one in (front, rear, ball))
    axis = (rear - front) / np.linalg.norm(rear - front)
    begin = ball - front - axis * ((ball - front) @ axis)
    out = now - front
    out = out - (out @ axis)[:, None] * axis
    angle = np.arctan2(np.cross(begin, out) @ axis, out @ begin)
    rate = np.sum(np.cross(axis, out) * moves, axis=1) / np.sum(out**2, axis=1)
    return angle, rate


def on_arm(front: Any, rear: Any, angle: Floats, rate: Floats, point: Any) -> tuple[Floats, Floats]:
    """(n, 3): where a point of a turned arm has gone, and how it moves [m, m/m]."""
    front, rear = np.array(front), np.array(rear)
    axis = (rear - front) / np.linalg.norm(rear - front)
    at = front + turned(angle[:, None] * axis) @ (np.array(point) - front)
    return at, np.asarray(rate[:, None] * np.cross(axis, at - front))


def check_arm(owner: Any, arm: str, front: str, rear: str, ball: str) -> None:
    """Refuse an arm whose joints lie in one line."""
    a, b, c = (np.array(getattr(owner, name)) for name in (front, rear, ball))
    if np.linalg.norm(b - a) < 1e-3:
        raise FieldFault((rear,), f"coincides with {front}; the {arm} arm needs an axis")
    if np.linalg.norm(np.cross(b - a, c - a)) < 1e-6:
        raise FieldFault((ball,), f"lies in line with the {arm} arm's two body joints, so the arm cannot turn")


def check_link(owner: Any, inner: str, outer: str) -> None:
    """Refuse a link whose ends coincide."""
    if np.linalg.norm(np.subtract(getattr(owner, inner), getattr(owner, outer))) < 1e-3:
        raise FieldFault((inner,), f"coincides with {outer}; a link needs a length")


def check_reach(found: LinkReach) -> None:
    """Refuse links that do not even follow the wheel 20 mm."""
    if found.low > -0.02 or found.high < 0.02:
        raise FieldFault(
            (),
            f"the links do not follow the wheel even 20 mm from the design position: {found.locks}; check the points",
        )


class OnArms(WheelLinkage):
    """A wheel whose carrier hangs on arms of two pivots and a ball each, followed by their links."""

    @property
    def links(self) -> Links:
        """Its links; see `constraint_solver`."""
        raise NotImplementedError

    @property
    def arms(self) -> dict[str, tuple[str, str, str]]:
        """Each arm's front pivot, rear pivot and ball, by their names."""
        raise NotImplementedError

    @property
    def bodies(self) -> tuple[str, ...]:
        """See `WheelLinkage`."""
        return (*self.arms, "upright")

    def path(self, travel: Any) -> Carrier:
        """See `WheelLinkage`."""
        return self.links.follow(travel)

    def reach(self) -> LinkReach:
        """See `WheelLinkage`."""
        return reach(self.links)

    def _arm(self, on: str) -> tuple[Any, Any, Any]:
        front, rear, ball = (getattr(self, name) for name in self.arms[on])
        return front, rear, ball

    def _turn(self, on: str, travel: Any) -> tuple[Floats, Floats]:
        path, (front, rear, ball) = self.path(travel), self._arm(on)
        return arm_twist(front, rear, ball, path.at(ball), path.moves(ball))

    def twisted(self, on: str, travel: Any) -> tuple[Floats, Floats]:
        """See `WheelLinkage` [rad, rad/m]."""
        angle, rate = self._turn(on, travel)
        sign = np.sign(self._turn(on, 0.0)[1][0])
        return sign * angle, sign * rate

    def carried(self, on: str, point: Any, travel: Any) -> tuple[Floats, Floats]:
        """See `WheelLinkage` [m, m/m]."""
        if on == "upright":
            path = self.path(travel)
            return path.at(point), path.moves(point)
        front, rear, _ = self._arm(on)
        return on_arm(front, rear, *self._turn(on, travel), point)

    def arm_length(self, on: str) -> float:
        """See `WheelLinkage` [m]."""
        return off_axis(*self._arm(on))


class Wishbones(OnArms):
    """Pivot points of a double wishbone with its toe link. `lower_bushes` and `upper_bushes` are the twist rate of each arm's rubber bushes, both together."""

    lower_front: Point
    lower_rear: Point
    lower_ball: Point
    upper_front: Point
    upper_rear: Point
    upper_ball: Point
    toe_inner: Point
    toe_outer: Point
    lower_bushes: TwistRate | None = None
    upper_bushes: TwistRate | None = None

    @model_validator(mode="after")
    def _closes(self) -> Wishbones:
        for arm in ("lower", "upper"):
            check_arm(self, arm, f"{arm}_front", f"{arm}_rear", f"{arm}_ball")
        lower, upper, toe = (np.array(getattr(self, name)) for name in ("lower_ball", "upper_ball", "toe_outer"))
        if np.linalg.norm(np.cross(upper - lower, toe - lower)) < 1e-6:
            raise FieldFault(
                ("toe_outer",), "lies in line with the two ball joints, so nothing holds the wheel's steering"
            )
        check_link(self, "toe_inner", "toe_outer")
        check_reach(self.reach())
        return self

    @cached_property
    def links(self) -> Links:
        """Its five links."""
        return Links(
            self.wheel_centre,
            (self.lower_front, self.lower_rear, self.upper_front, self.upper_rear, self.toe_inner),
            (self.lower_ball, self.lower_ball, self.upper_ball, self.upper_ball, self.toe_outer),
            ("lower arm, front", "lower arm, rear", "upper arm, front", "upper arm, rear", "toe link"),
        )

    @property
    def arms(self) -> dict[str, tuple[str, str, str]]:
        """See `OnArms`."""
        return {f"{arm} arm": (f"{arm}_front", f"{arm}_rear", f"{arm}_ball") for arm in ("lower", "upper")}

    @property
    def steered(self) -> tuple[Links, int]:
        """See `WheelLinkage`."""
        return self.links, 4

    @property
    def bush_twist_rates(self) -> dict[str, float]:
        """Twist rate of each arm's bushes [N m/rad]."""
        given = {"lower arm": self.lower_bushes, "upper arm": self.upper_bushes}
        return {on: rate for on, rate in given.items() if rate}

    def steering_axis(self, path: Any) -> Floats:
        """See `WheelLinkage` [-]."""
        return np.asarray(path.at(self.upper_ball) - path.at(self.lower_ball))

    def sketch(self) -> tuple[tuple[str, str], ...]:
        """See `WheelLinkage`."""
        return (
            ("lower_front", "lower_ball"), ("lower_rear", "lower_ball"), ("upper_front", "upper_ball"), ("upper_rear", "upper_ball"),
            ("toe_inner", "toe_outer"), ("lower_ball", "upper_ball"), ("lower_ball", "toe_outer"), ("upper_ball", "wheel_centre"),
        )  # fmt: skip

    def joints(self, travel: float) -> dict[str, Floats]:
        """See `WheelLinkage` [m]."""
        return carried_joints(self, ("lower_ball", "upper_ball", "toe_outer", "wheel_centre"), travel)


def off_axis(front: Any, rear: Any, point: Any) -> float:
    """Distance [m] of a point from the line through two others."""
    a, b, c = (np.array(one) for one in (front, rear, point))
    return float(np.linalg.norm(np.cross((b - a) / np.linalg.norm(b - a), c - a)))


def carried_joints(links: WheelLinkage, moved: tuple[str, ...], travel: float) -> dict[str, Floats]:
    """Named points: those that move with the carrier where they have gone, the rest where they are [m]."""
    path = links.path(travel)
    points = [name for name, value in links if isinstance(value, tuple)]
    return {
        name: path.at(getattr(links, name))[0] if name in moved else np.array(getattr(links, name)) for name in points
    }
