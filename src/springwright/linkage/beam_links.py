"""A beam axle on links, by their pivot points: three links and a lateral rod, four links, trailing links, radius arms, a Watt linkage.

The axle is one rigid body with a height at each wheel; everything else it does (steer, swing, sideways) follows from the links.
Points are given on the left and mirrored, or for a link there is only one of, as it stands. x ahead of the axle, y left of the
centreline, z above ground.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator

from springwright.errors import FieldFault
from springwright.linkage.bodies import GROUND, Chain, End, Joined, Poses, compliant, solve
from springwright.linkage.constraint_solver import REACH, LinkReach
from springwright.linkage.held import Held
from springwright.linkage.wishbones import Point
from springwright.quantities import PositiveRate, Record, TwistRate
from springwright.units import remembered_as_shown, show

Floats = NDArray[np.float64]
HINGE = 0.05  # m either way of a crank's middle at which its hinge is held
SPIN = 0.06  # m over the arm at which it is kept from spinning about itself
COUNT = 121
# N/m along a link through both its bushes, or across a radius arm's bush, where none is given: an estimate and its usual range,
# common practice, no source
BUSH, BUSH_USUAL = 4e6, (1e6, 12e6)
SPRINGS_ALONE = 'for springs alone leave [axles.axle_links] out and let them act by = "beam", which is enough for rates, windows and orders'


class Rod(Record):
    """A link with a joint at each end. `both`: there is one on each side.

    `bush_rate` is what both its bushes give along it, in series; it counts where the axle can only roll by bushes, and is estimated there
    (4 kN/mm, usual 1 to 12) where it is not given.
    """

    name: str = Field(min_length=1, max_length=40)
    body: Point
    axle: Point
    both: bool = True
    bush_rate: PositiveRate | None = None


class RadiusArms(Record):
    """An arm on each side, in a bush on the body and in two on the axle, which it holds against turning.

    `body_bush` and `axle_bush` are rates across, estimated (4 kN/mm, usual 1 to 12) where they are not given.

    `spin` is what the axle's bushes oppose to the arm turning about its own length: their conical rates, 600 N m/rad unless given (a
    guess of practice, no source; the rate in roll depends on it).
    """

    body: Point
    axle_front: Point
    axle_rear: Point
    body_bush: PositiveRate | None = None
    axle_bush: PositiveRate | None = None
    spin: TwistRate = 600.0


class Watt(Record):
    """A crank turning about `crank` on the axle, its ends held sideways by a rod each: `left` and `right` are those rods' body ends."""

    crank: Point
    crank_left: Point
    crank_right: Point
    left: Point
    right: Point


@dataclass(frozen=True)
class Beam(Held):
    """The axle along heave, told of its left wheel; the roll centre and what roll does come from its motion in roll.

    `rolled` and `middle` (n, 3) say where its middle is and how that moves in heave; `rolling` (n, 6) is its motion in roll.
    """

    rolled: Floats
    rolling: Floats
    middle: Floats

    @property
    def brake_slope(self) -> Floats:
        """See `Held`; of the axle's middle, since links that are unlike turn it in plan as it rises [-]."""
        moves = self.middle + np.cross(self.spin, self.at((self.start[0], 0.0, 0.0)) - self.rolled)
        return np.asarray(moves[:, 0] / moves[:, 2])

    @property
    def drive_slope(self) -> Floats:
        """See `Held`; of the axle's middle [-]."""
        return np.asarray(self.middle[:, 0] / self.middle[:, 2])

    @property
    def roll_centre(self) -> Floats:
        """Height above the ground under the wheel, in the axle's own plane, at which a sideways force does not roll it [m]."""
        # in roll (left up, right down) the point of the plane y = 0 that does not go sideways
        sideways, about_x, about_z = self.rolling[:, 1], self.rolling[:, 3], self.rolling[:, 5]
        height = (sideways + about_z * self.rolled[:, 0]) / about_x
        return np.asarray(height - self.at((self.start[0], 0.0, 0.0))[:, 2])

    @property
    def roll_steer(self) -> Floats:
        """Steer of the axle per roll of the body [rad/rad], to the left for the body's right side down."""
        # the body rolling right side down is the axle rolling the other way against it: `rolling` is left side up
        return np.asarray(-self.rolling[:, 5] / self.rolling[:, 3])

    @property
    def shift(self) -> Floats:
        """How far the axle has gone to the left [m]."""
        return np.asarray(self.rolled[:, 1])


class BeamLinks(Record):
    """What holds a beam axle: `rods`, `radius_arms` and a `watt` linkage; together they must leave it heave and roll."""

    wheel_centre: Point
    rods: tuple[Rod, ...] = ()
    radius_arms: RadiusArms | None = None
    watt: Watt | None = None

    @model_validator(mode="after")
    def _holds(self) -> BeamLinks:
        for i, rod in enumerate(self.rods):
            if np.linalg.norm(np.array(rod.body) - np.array(rod.axle)) < 0.02:
                raise FieldFault(("rods", i, "axle"), "coincides with its body end; a link needs a length")
        names = [rod.name for rod in self.rods]
        if len(set(names)) < len(names):
            raise FieldFault(("rods",), "two links have the same name")
        held = self.conditions
        if self.radius_arms is None and held < 4:
            raise FieldFault(
                (),
                f"the links hold {held} of the axle's freedoms and must hold 4: along, sideways, turn about its own line, steer; add what is missing; {SPRINGS_ALONE}",
            )
        chain = self.chain
        rate = chain_freedom(chain)
        if rate < 1e-4:
            raise FieldFault(
                (),
                f"the links leave the axle loose in some direction besides heave and roll; check their points; {SPRINGS_ALONE}",
            )
        found = self.reach()
        if found.low > -0.02 or found.high < 0.02:
            raise FieldFault(
                (),
                f"the axle cannot follow even 20 mm from the design position: {found.locks}; check the points; {SPRINGS_ALONE}",
            )
        return self

    @property
    def conditions(self) -> int:
        """Of its rods and Watt linkage; four hold an axle that is free to heave and roll."""
        return sum(2 if rod.both else 1 for rod in self.rods) + (1 if self.watt else 0)

    @property
    def estimated(self) -> tuple[tuple[str | int, ...], ...]:
        """The fields of bush rates that count and are not given, so that an estimate stands for them."""
        fields: list[tuple[str | int, ...]] = []
        if self.radius_arms is None and self.conditions > 4:
            fields += [("rods", i, "bush_rate") for i, rod in enumerate(self.rods) if rod.bush_rate is None]
        if self.radius_arms is not None:
            fields += [
                ("radius_arms", name) for name in ("body_bush", "axle_bush") if getattr(self.radius_arms, name) is None
            ]
        return tuple(fields)

    @cached_property
    def chain(self) -> Chain:
        """Its bodies and joints."""
        joints: list[Joined] = []
        over = self.radius_arms is None and self.conditions > 4
        soft = over or self.radius_arms is not None or any(rod.bush_rate for rod in self.rods)
        stiff = 50e6 if soft else 1.0  # a joint without a bush beside ones with: a hundred times theirs
        for rod in self.rods:
            for side, word in ((1, "left "), (-1, "right ")) if rod.both else ((1, ""),):
                joints.append(
                    Joined(
                        word + rod.name,
                        End(GROUND, mirrored(rod.body, side)),
                        End(0, mirrored(rod.axle, side)),
                        True,
                        rod.bush_rate or (BUSH if over else stiff),
                    )
                )
        count = 1
        if self.radius_arms is not None:
            arm = self.radius_arms
            for side, word in ((1, "left"), (-1, "right")):
                body = count
                count += 1
                joints.append(
                    Joined(
                        f"{word} radius arm, body",
                        End(GROUND, mirrored(arm.body, side)),
                        End(body, mirrored(arm.body, side)),
                        False,
                        arm.body_bush or BUSH,
                    )
                )
                for place, point in (("front", arm.axle_front), ("rear", arm.axle_rear)):
                    at = mirrored(point, side)
                    joints.append(
                        Joined(
                            f"{word} radius arm, axle {place}", End(0, at), End(body, at), False, arm.axle_bush or BUSH
                        )
                    )
                # three bushes nearly in line leave the arm free to spin about itself; the rubber's own twist holds it
                above = mirrored((arm.axle_front[0], arm.axle_front[1], arm.axle_front[2] + SPIN), side)
                joints.append(
                    Joined(f"{word} radius arm, spin", End(0, above), End(body, above), False, arm.spin / SPIN**2)
                )
        if self.watt is not None:
            crank, one = count, self.watt
            count += 1
            for along in (HINGE, -HINGE):
                at = (one.crank[0] + along, one.crank[1], one.crank[2])
                joints.append(Joined("crank's hinge", End(0, at), End(crank, at), False, stiff))
            joints.append(
                Joined("left rod of the crank", End(GROUND, one.left), End(crank, one.crank_left), True, stiff)
            )
            joints.append(
                Joined("right rod of the crank", End(GROUND, one.right), End(crank, one.crank_right), True, stiff)
            )
        wheels = (self.wheel_centre, mirrored(self.wheel_centre, -1))
        return Chain(
            count, tuple(joints), wheels, spare=0 if self.watt is None else 1
        )  # a hinge by two balls: one too many

    @property
    def bodies(self) -> tuple[str, ...]:
        """What a spring or damper may stand on."""
        return ("axle", *(rod.name for rod in self.rods), *(("radius arm",) if self.radius_arms else ()))

    def poses(self, left: Any, right: Any) -> Poses:
        """The axle at travels of its wheels [m]."""
        a, b = (np.atleast_1d(np.asarray(one, dtype=float)) for one in (left, right))
        return solve(self.chain, a, b)

    @property
    def even(self) -> bool:
        """Whether left and right are alike: a rod on one side alone, or a Watt linkage, makes them unlike."""
        return self.watt is None and all(rod.both or (rod.body[1] == rod.axle[1] == 0.0) for rod in self.rods)

    def path(self, travel: Any) -> Beam:
        """The axle in heave at travels [m]."""
        x = np.atleast_1d(np.asarray(travel, dtype=float))
        return self.beam(x, x)

    def beam(self, left: Floats, right: Floats) -> Beam:
        """The axle at travels of its wheels [m], told of its left wheel; velocities are those of heave."""
        poses = self.poses(left, right)
        heave = poses.moves[:, 0, 0] + poses.moves[:, 1, 0]
        rolling = poses.moves[:, 0, 0] - poses.moves[:, 1, 0]
        centre = poses.at(0, self.wheel_centre)
        velocity = heave[:, :3] + np.cross(heave[:, 3:], centre)
        rolled = poses.at(0, (self.wheel_centre[0], 0.0, self.wheel_centre[2]))
        middle = heave[:, :3] + np.cross(heave[:, 3:], rolled)
        return Beam(self.wheel_centre, left, centre, poses.turn[:, 0], velocity, heave[:, 3:], rolled, rolling, middle)

    def reach(self) -> LinkReach:
        """How far the axle can go in heave, and what stops it."""
        return _reach(self)

    def carried(self, on: str, point: Any, left: Any, right: Any, side: int = 1) -> tuple[Floats, Floats, Floats]:
        """(n, 3): where a point of one of its bodies has gone, and how it moves with the left and the right wheel [m, m/m].

        The point is given on the left; with `side` -1 its mirror image on the right is meant.
        """
        poses = self.poses(left, right)
        place = mirrored(point, side)
        if on in ("axle", "radius arm"):
            body = 0 if on == "axle" else 1 if side > 0 else 2
            return poses.at(body, place), poses.moving(body, place, 0), poses.moving(body, place, 1)
        rod = next(rod for rod in self.rods if rod.name == on)
        held = side if rod.both else 1
        begin, outer = np.array(mirrored(rod.body, held)), mirrored(rod.axle, held)
        end = poses.at(0, outer)
        frame = _frame((np.array(outer) - begin)[None])[0][0]
        local = frame @ (np.array(place) - begin)
        now, along = _frame(end - begin)
        at = begin + np.einsum("nji,j->ni", now, local)
        moves = []
        for wheel in (0, 1):
            swing = poses.moving(0, outer, wheel) / along[:, None]
            swing = swing - np.sum(swing * now[:, 0], axis=1)[:, None] * now[:, 0]
            spin = np.cross(now[:, 0], swing)
            level = -np.cross(spin, now[:, 1])[:, 2] / now[:, 2, 2]  # the rod's second direction stays level
            moves.append(np.cross(spin + level[:, None] * now[:, 0], at - begin))
        return at, moves[0], moves[1]

    def bush_rates(self) -> tuple[float, float]:
        """What the bushes add in the design position: wheel rate in heave and in roll [N/m at each wheel]."""
        return self._bush_rates

    @cached_property
    def _bush_rates(self) -> tuple[float, float]:
        if not compliant(self.chain):
            return 0.0, 0.0
        h = 1e-3
        travel = np.array([[h, h], [-h, -h], [h, -h], [-h, h]])
        left, right = self.poses(travel[:, 0], travel[:, 1]).forces.T
        # a rod on one side makes the wheels unlike: what counts is the work of both, so the mean
        heave, roll = (left[0] - left[1] + right[0] - right[1]), (left[2] - left[3] - right[2] + right[3])
        return float(heave) / (4 * h), float(roll) / (4 * h)

    def sketch(self) -> tuple[tuple[str, str], ...]:
        """Pairs of points that a drawing joins."""
        pairs = [
            (f"{rod.name} body{tag}", f"{rod.name} axle{tag}")
            for rod in self.rods
            for tag in (("", " right") if rod.both else ("",))
        ]
        if self.radius_arms:
            pairs += [
                (f"arm {a}{tag}", f"arm {b}{tag}")
                for tag in ("", " right")
                for a, b in (("body", "front"), ("front", "rear"))
            ]
        if self.watt:
            pairs += [("watt left", "crank left"), ("crank left", "crank right"), ("crank right", "watt right")]
        return (*pairs, ("wheel_centre", "wheel_centre right"))

    def joints(self, left: float, right: float | None = None) -> dict[str, Floats]:
        """Every joint at travels [m], by name."""
        poses = self.poses(left, left if right is None else right)
        found: dict[str, Floats] = {}
        for rod in self.rods:
            for side, tag in ((1, ""), (-1, " right")) if rod.both else ((1, ""),):
                found[f"{rod.name} body{tag}"] = np.array(mirrored(rod.body, side))
                found[f"{rod.name} axle{tag}"] = poses.at(0, mirrored(rod.axle, side))[0]
        if self.radius_arms:
            for body, side, tag in ((1, 1, ""), (2, -1, " right")):
                for name, point in (
                    ("body", self.radius_arms.body),
                    ("front", self.radius_arms.axle_front),
                    ("rear", self.radius_arms.axle_rear),
                ):
                    found[f"arm {name}{tag}"] = poses.at(body, mirrored(point, side))[0]
        if self.watt:
            crank = self.chain.count - 1
            found |= {"watt left": np.array(self.watt.left), "watt right": np.array(self.watt.right)}
            found |= {
                "crank left": poses.at(crank, self.watt.crank_left)[0],
                "crank right": poses.at(crank, self.watt.crank_right)[0],
            }
        for side, tag in ((1, ""), (-1, " right")):
            found[f"wheel_centre{tag}"] = poses.at(0, mirrored(self.wheel_centre, side))[0]
        return found


def mirrored(point: Any, side: int) -> tuple[float, float, float]:
    """A point as it stands on the left (1) or on the right (-1) [m]."""
    return (point[0], side * point[1], point[2])


def chain_freedom(chain: Chain) -> float:
    """Smallest singular value of the joints with both wheel heights held, scaled: near nothing where the axle is loose [-]."""
    rows = []
    for joint in chain.joints:
        a, b = np.array(joint.one.at), np.array(joint.other.at)
        across = (b - a)[None] / np.linalg.norm(b - a) if joint.link else np.eye(3)
        for unit in across:
            row = np.zeros(6 * chain.count)
            for end, at, sign in ((joint.other, b, 1.0), (joint.one, a, -1.0)):
                if end.body != GROUND:
                    row[6 * end.body : 6 * end.body + 6] += sign * np.concatenate([unit, np.cross(at, unit)])
            rows.append(row)
    for wheel in chain.wheels:
        row = np.zeros(6 * chain.count)
        row[:6] = np.concatenate([[0.0, 0.0, 1.0], np.cross(np.array(wheel), [0.0, 0.0, 1.0])])
        rows.append(row)
    if len(rows) < 6 * chain.count:
        return 0.0
    return float(np.linalg.svd(np.array(rows), compute_uv=False)[-1])


def _frame(along: Floats) -> tuple[Floats, Floats]:
    """Directions of rods (n, 3, 3): along, level across, and up; and their lengths."""
    long = np.linalg.norm(along, axis=1)
    one = along / long[:, None]
    two = np.cross(np.array([0.0, 0.0, 1.0]), one)
    two = two / np.linalg.norm(two, axis=1)[:, None]
    return np.stack([one, two, np.cross(one, two)], axis=1), long


@remembered_as_shown(64)
def _reach(links: BeamLinks) -> LinkReach:
    travel = np.linspace(-REACH, REACH, COUNT)
    poses = links.poses(travel, travel)
    fine = np.isfinite(poses.shift[:, 0, 0])
    middle = COUNT // 2
    if not fine[middle]:
        return LinkReach(0.0, 0.0, "the points do not close")
    high = middle + int(np.argmin(np.append(fine[middle:], False))) - 1
    low = middle - int(np.argmin(np.append(fine[middle::-1], False))) + 1
    words = [
        f"{links.chain.joints[int(np.argmax(poses.off[i]))].name} locks at {show(float(travel[i]), 'length')}"
        for i in (low - 1, high + 1)
        if 0 <= i < COUNT
    ]
    return LinkReach(float(travel[low]), float(travel[high]), "; ".join(words))
