"""The Rig: immutable flat arrays, SI, the only thing the solvers in `motion` see.

Coordinates q = [heave, pitch, roll, twist, wheel heights...], zero in the design position. The body turns about its
sprung CG in plan and its roll axis in height; ISO 8855 signs: heave up, pitch nose down, roll right side down. Twist is
the roll of the front of the frame against its rear, shared evenly along the wheelbase; it is held for a stiff frame.
Travel of wheel i = its height minus the body's rise above it, bump positive.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
BODY = 4  # body coordinates before the wheels

SPRING, BAR, BUMP_STOP, DROOP_STOP = range(4)  # kinds of element


@dataclass(frozen=True, eq=False)
class Rig:
    """A vehicle in one load state: w wheels, a axles, e elements with k knots, d dampers with n points, h hitches.

    A batch is the same with one more dimension in front of every array (see `stack`); `wheel_axle`, `on_beam`, `element_kind`
    and `roll_free`, which say how it is made, are those of all.

    sprung_mass, roll_inertia, pitch_inertia, yaw_inertia
        Sprung body [kg, kg m2], inertias about its own CG.
    products : (3,)
        Its products of inertia, sums of m x y, m x z and m y z about its CG [kg m2].
    sprung_cg : (3,)
        Its CG [m].
    roll_arm, roll_axis_slope
        Height of that CG above the roll axis [m] and the axis's rise per length ahead; the sway and yaw that roll implies and
        gravity's moment follow from them.
    pitch_arm
        Height of that CG above the side-view pivots [m]: what the body turns over in pitch.
    wheel_places : (w, 2)
        x, y of each wheel [m].
    wheel_axle : (w,)
        Which axle each wheel belongs to.
    on_beam : (w,)
        Whether a wheel is on a beam axle: its springs stand upright between axle and body, and close with the sine of the body's roll.
    wheel_masses : (w, w)
        Unsprung mass matrix [kg]: a beam axle is a coupled 2x2 block.
    wheel_weights : (w,)
        Unsprung mass resting on each wheel [kg].
    element_rows : (e, w)
        Displacement of each element per wheel travel: a spring at its base, a bar at its ends.
    element_kind : (e,)
        SPRING, BAR, BUMP_STOP or DROOP_STOP, in this order: the stops last.
    element_start, element_step : (e,)
        First knot and knot spacing of each element's curve [m].
    element_force, element_rate : (e, k)
        Force [N] and tangent rate [N/m] at the knots, positive in compression; linear beyond the ends.
    damper_rows : (d, w)
        Speed of each damper's wheel end per wheel travel speed.
    damper_speed, damper_force : (d, n)
        Points of its force [N] against that speed [m/s], bump positive, both at the wheel; straight lines between and beyond.
    damper_place, damper_factor : (d, z)
        What a damper's force is multiplied by against its travel at the wheel end [m]: straight lines between, level beyond; z is 0
        where none depends on its travel.
    friction : (d,)
        Dry friction at the wheel [N], in line with each damper.
    friction_speed
        Speed [m/s] at which a regularised friction force has reached 71 % of its full value: F v / sqrt(v2 + friction_speed2).
    tyre_rate, tyre_damping, tyre_force : (w,)
        Tyre rate [N/m], damping [N s/m] and its force in the design position on level ground [N].
    tyre_room, rim_rate : (w,)
        How far a tyre may be pressed past the design position until its rim carries [m], infinite where not known, and the rim's rate [N/m].
    tyre_grip : (w, 3)
        Friction of each tyre at a reference load, its fall per share of load above that, and that load [N]; nan where not known.
    axle_share : (a,)
        Share of the vehicle's weight on each axle at rest on level ground.
    axle_roll_centre, axle_track, axle_unsprung, axle_height : (a,)
        Roll centre height [m], track [m] (0 for one wheel), unsprung mass [kg] and its height [m].
    axle_pivot : (a,)
        Height [m] over which each axle lets the body turn in pitch, see `motion.masses`.
    centre_rise, centre_wander : (a,)
        How much each roll centre rises per rise of the body over its axle: 1 where it keeps its place on the body, 0 on the axle;
        and half of what it goes down by per angle the body rolls against the axle [m/rad].
    axle_upright : (a,)
        How far the wheels lean with their axle: 1 on a beam; 0 where each keeps its lean to the body; between them by the links.
    brake_share, drive_share : (a,)
        Share of the braking and of the driving force at each axle.
    brake_slope, drive_slope : (a,)
        Slope of the side-view line from contact patch to instant centre that braking and driving act along.
    hitch_place, hitch_height, hitch_rate, hitch_force : (h,)
        x and height [m], rate [N/m] and design force [N] of each hitch.
    free_surface : (2,)
        Moment per roll and per pitch angle of part-full tanks [N m/rad], statics only.
    twist_rate
        Frame stiffness in twist between the end axles [N m/rad]; infinite for a stiff frame.
    roll_free
        Whether the body may roll: false for a vehicle with no track.
    """

    sprung_mass: float
    sprung_cg: Floats
    roll_inertia: float
    pitch_inertia: float
    yaw_inertia: float
    products: Floats
    roll_arm: float
    roll_axis_slope: float
    pitch_arm: float
    wheel_places: Floats
    wheel_axle: NDArray[np.int64]
    on_beam: NDArray[np.bool_]
    wheel_masses: Floats
    wheel_weights: Floats
    element_rows: Floats
    element_kind: NDArray[np.int64]
    element_start: Floats
    element_step: Floats
    element_force: Floats
    element_rate: Floats
    damper_rows: Floats
    damper_speed: Floats
    damper_force: Floats
    damper_place: Floats
    damper_factor: Floats
    friction: Floats
    friction_speed: float
    tyre_rate: Floats
    tyre_damping: Floats
    tyre_force: Floats
    tyre_room: Floats
    rim_rate: Floats
    tyre_grip: Floats
    axle_share: Floats
    axle_roll_centre: Floats
    axle_track: Floats
    axle_unsprung: Floats
    axle_height: Floats
    axle_pivot: Floats
    centre_rise: Floats
    centre_wander: Floats
    axle_upright: Floats
    brake_share: Floats
    drive_share: Floats
    brake_slope: Floats
    drive_slope: Floats
    hitch_place: Floats
    hitch_height: Floats
    hitch_rate: Floats
    hitch_force: Floats
    free_surface: Floats
    twist_rate: float
    roll_free: bool

    @property
    def mass(self) -> Any:
        """Mass of the whole vehicle [kg]."""
        return self.sprung_mass + self.wheel_weights.sum(axis=-1)

    @property
    def carried(self) -> Floats:
        """(a,): share of the sprung body that each axle holds sideways, by the loads at rest on level ground."""
        mass, sprung = np.asarray(self.mass)[..., None], np.asarray(self.sprung_mass)[..., None]
        return np.asarray((self.axle_share * mass - self.axle_unsprung) / sprung)

    @cached_property
    def pairs(self) -> NDArray[np.intp]:
        """(a, 2): left and right wheel of each axle, twice the same where there is one [indices]."""
        each = [np.flatnonzero(self.wheel_axle == i) for i in range(int(self.wheel_axle.max()) + 1)]
        return np.array([[mine[0], mine[-1]] for mine in each], dtype=np.intp)

    @cached_property
    def stops(self) -> tuple[tuple[int, int], ...]:
        """Element and wheel of every stop: those of a kind stand in the order of the wheels."""
        each = [np.flatnonzero(self.element_kind == kind).tolist() for kind in (BUMP_STOP, DROOP_STOP)]
        return tuple((e, wheel) for mine in each for wheel, e in enumerate(mine))

    def stop_travel(self, travel: Floats, kind: int) -> Floats:
        """(..., w): how far each wheel's bump or droop stops have come on wheel travels (..., w) [m]; the travels themselves where there are none."""
        mine = self.element_kind == kind
        return np.asarray((self.element_rows[..., mine, :] @ travel[..., None])[..., 0]) if mine.any() else travel

    def rise_row(self, x: Any, y: Any) -> Floats:
        """(4,): rise of the body at a point in plan [m] = this row times the body coordinates."""
        across = y - self.sprung_cg[..., 1]
        ahead = x - self.sprung_cg[..., 0]
        return np.stack([np.ones_like(across), -ahead, across, self.twist_shape(x) * across], axis=-1)

    def twist_shape(self, x: Any) -> Any:
        """Share of the twist angle that the frame has turned at x: half forward, minus half rearward, straight between."""
        front, rear = self.wheel_places[..., 0].max(axis=-1), self.wheel_places[..., 0].min(axis=-1)
        return (x - (front + rear) / 2) / np.where(front > rear, front - rear, np.inf)

    @cached_property
    def travel_map(self) -> Floats:
        """(w, 4 + w): wheel travel = this map times q [m/m, m/rad]."""
        count = self.tyre_rate.shape[-1]
        rows = [self.rise_row(self.wheel_places[..., i, 0], self.wheel_places[..., i, 1]) for i in range(count)]
        body = np.stack(rows, axis=-2)
        wheels = np.broadcast_to(np.eye(count), (*body.shape[:-1], count))
        return np.concatenate([-body, wheels], axis=-1)

    def travel_at(self, q: Floats) -> Floats:
        """(..., w): travel of every wheel in q (..., 4 + w); next to q = 0 it is `travel_map` times q [m]."""
        rolled = q[..., 2:3]
        turned = self.travel_map[..., 2] * np.where(self.on_beam, np.sin(rolled) - rolled, 0.0)
        return np.asarray((self.travel_map @ q[..., None])[..., 0] + turned)

    def travel_slope(self, q: Floats) -> Floats:
        """(w, 4 + w): how the travel of every wheel changes with q [m/m, m/rad]."""
        slope = self.travel_map.copy()
        slope[:, 2] *= np.where(self.on_beam, np.cos(q[2]), 1.0)
        return slope

    @cached_property
    def element_map(self) -> Floats:
        """(e, 4 + w): displacement of every element = this map times q [m/m, m/rad]."""
        return self.element_rows @ self.travel_map

    @cached_property
    def element_energy(self) -> Floats:
        """(e, k): energy [J] of every element at its knots, from its first knot: the cubic between knots, integrated."""
        force, rate, step = self.element_force, self.element_rate, self.element_step[..., None]
        cells = step * (force[..., 1:] + force[..., :-1]) / 2 + step**2 * (rate[..., :-1] - rate[..., 1:]) / 12
        return np.concatenate([np.zeros((*step.shape[:-1], 1)), np.cumsum(cells, axis=-1)], axis=-1)

    @cached_property
    def damper_axle(self) -> NDArray[np.intp]:
        """(d,): which axle each damper belongs to, that of the wheel it moves most with [indices]."""
        return np.asarray(self.wheel_axle[np.argmax(np.abs(self.damper_rows), axis=-1)])

    @cached_property
    def damper_map(self) -> Floats:
        """(d, 4 + w): speed of every damper's wheel end = this map times dq/dt [m/m, m/rad]."""
        return self.damper_rows @ self.travel_map

    @cached_property
    def hitch_map(self) -> Floats:
        """(h, 4 + w): rise of the body at each hitch, which is on the line of the sprung CG, = this map times q [m/m, m/rad]."""
        rise = np.zeros((*self.hitch_place.shape, BODY + self.tyre_rate.shape[-1]))
        rise[..., 0] = 1.0
        rise[..., 1] = self.sprung_cg[..., :1] - self.hitch_place
        return rise

    @cached_property
    def free(self) -> NDArray[np.intp]:
        """Indices of the coordinates that may move: roll needs a track, twist a frame that gives [indices]."""
        held = {2, 3} if not self.roll_free else set() if np.all(np.isfinite(self.twist_rate)) else {3}
        return np.array([i for i in range(BODY + self.tyre_rate.shape[-1]) if i not in held])


MADE = ("wheel_axle", "on_beam", "element_kind", "roll_free")  # the same for every Rig of a batch


def same_make(one: Rig, other: Rig) -> bool:
    """Whether two Rigs may go into one batch: the same wheels, elements, dampers and hitches, and curves as long."""
    shaped = ("element_force", "damper_speed", "damper_place", "hitch_place")
    return (
        all(np.array_equal(getattr(one, name), getattr(other, name)) for name in MADE)
        and all(getattr(one, name).shape == getattr(other, name).shape for name in shaped)
        and bool(np.isfinite(one.twist_rate)) == bool(np.isfinite(other.twist_rate))
    )


def stack(rigs: Sequence[Rig]) -> Rig:
    """A batch: every array of these Rigs with a leading dimension. They must be of the same make."""
    arrays: dict[str, Any] = {
        field.name: getattr(rigs[0], field.name)
        if field.name in MADE
        else np.array([getattr(rig, field.name) for rig in rigs])
        for field in fields(Rig)
    }
    return Rig(**arrays)


def row(batch: Rig, at: int | NDArray[np.intp]) -> Rig:
    """One Rig of a batch; with many places, the batch of those [SI]."""
    arrays: dict[str, Any] = {
        field.name: value if field.name in MADE else value[at]
        for field in fields(Rig)
        for value in [getattr(batch, field.name)]
    }
    return Rig(**arrays)
