"""The Rig: immutable flat arrays, SI, the only thing the solvers in `motion` see.

Coordinates q = [heave, pitch, roll, twist, wheel heights...], zero in the design position. The body turns about its
sprung CG in plan and its roll axis in height; ISO 8855 signs: heave up, pitch nose down, roll right side down. Twist is
the roll of the front of the frame against its rear, shared evenly along the wheelbase; it is held for a stiff frame.
Travel of wheel i = its height minus the body's rise above it, bump positive.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
BODY = 4  # body coordinates before the wheels

SPRING, BAR, BUMP_STOP, DROOP_STOP = range(4)  # kinds of element


@dataclass(frozen=True)
class Rig:
    """A vehicle in one load state: w wheels, a axles, e elements with k knots, d dampers with n points, h hitches.

    sprung_mass, roll_inertia, pitch_inertia
        Sprung body [kg, kg m2], inertias about its own CG.
    sprung_cg : (3,)
        Its CG [m].
    roll_arm
        Height of that CG above the roll axis [m]; the sway that roll implies and gravity's moment follow from it.
    wheel_places : (w, 2)
        x, y of each wheel [m].
    wheel_axle : (w,)
        Which axle each wheel belongs to.
    wheel_masses : (w, w)
        Unsprung mass matrix [kg]: a beam axle is a coupled 2x2 block.
    wheel_weights : (w,)
        Unsprung mass resting on each wheel [kg].
    element_rows : (e, w)
        Displacement of each element per wheel travel: a spring at its base, a bar at its ends.
    element_kind : (e,)
        SPRING, BAR, BUMP_STOP or DROOP_STOP.
    element_start, element_step : (e,)
        First knot and knot spacing of each element's curve [m].
    element_force, element_rate : (e, k)
        Force [N] and tangent rate [N/m] at the knots, positive in compression; linear beyond the ends.
    damper_rows : (d, w)
        Speed of each damper's wheel end per wheel travel speed.
    damper_speed, damper_force : (d, n)
        Points of its force [N] against that speed [m/s], bump positive, both at the wheel; straight lines between and beyond.
    friction : (d,)
        Dry friction at the wheel [N], in line with each damper.
    friction_speed
        Speed [m/s] at which a regularised friction force has reached 76 % of its full value: F tanh(v / friction_speed).
    tyre_rate, tyre_damping, tyre_force : (w,)
        Tyre rate [N/m], damping [N s/m] and its force in the design position on level ground [N].
    axle_share : (a,)
        Share of the vehicle's weight on each axle at rest on level ground.
    axle_roll_centre, axle_track, axle_unsprung, axle_height : (a,)
        Roll centre height [m], track [m] (0 for one wheel), unsprung mass [kg] and its height [m].
    brake_share, drive_share : (a,)
        Share of the braking and of the driving force at each axle.
    brake_slope, drive_slope : (a,)
        Slope of the side-view line from contact patch to instant centre that braking and driving act along.
    hitch_place, hitch_rate, hitch_force : (h,)
        x [m], rate [N/m] and design force [N] of each hitch.
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
    roll_arm: float
    wheel_places: Floats
    wheel_axle: NDArray[np.int64]
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
    friction: Floats
    friction_speed: float
    tyre_rate: Floats
    tyre_damping: Floats
    tyre_force: Floats
    axle_share: Floats
    axle_roll_centre: Floats
    axle_track: Floats
    axle_unsprung: Floats
    axle_height: Floats
    brake_share: Floats
    drive_share: Floats
    brake_slope: Floats
    drive_slope: Floats
    hitch_place: Floats
    hitch_rate: Floats
    hitch_force: Floats
    free_surface: Floats
    twist_rate: float
    roll_free: bool

    @property
    def mass(self) -> float:
        """Mass of the whole vehicle [kg]."""
        return float(self.sprung_mass + self.wheel_weights.sum())

    def rise_row(self, x: float, y: float) -> Floats:
        """(4,): rise of the body at a point in plan [m] = this row times the body coordinates."""
        across = y - self.sprung_cg[1]
        return np.array([1.0, -(x - self.sprung_cg[0]), across, self.twist_shape(x) * across])

    def twist_shape(self, x: float) -> float:
        """Share of the twist angle that the frame has turned at x: half forward, minus half rearward, straight between."""
        ends = self.wheel_places[:, 0]
        span = float(np.ptp(ends))
        return float((x - (ends.max() + ends.min()) / 2) / span) if span else 0.0

    @cached_property
    def travel_map(self) -> Floats:
        """(w, 4 + w): wheel travel = this map times q."""
        body = np.array([self.rise_row(x, y) for x, y in self.wheel_places])
        return np.column_stack([-body, np.eye(len(body))])

    @cached_property
    def element_map(self) -> Floats:
        """(e, 4 + w): displacement of every element = this map times q."""
        return self.element_rows @ self.travel_map

    @cached_property
    def element_energy(self) -> Floats:
        """(e, k): energy [J] of every element at its knots, from its first knot: the cubic between knots, integrated."""
        force, rate, step = self.element_force, self.element_rate, self.element_step[:, None]
        cells = step * (force[:, 1:] + force[:, :-1]) / 2 + step**2 * (rate[:, :-1] - rate[:, 1:]) / 12
        return np.concatenate([np.zeros((len(force), 1)), np.cumsum(cells, axis=1)], axis=1)

    @cached_property
    def damper_map(self) -> Floats:
        """(d, 4 + w): speed of every damper's wheel end = this map times dq/dt."""
        return self.damper_rows @ self.travel_map

    @cached_property
    def hitch_map(self) -> Floats:
        """(h, 4 + w): rise of the body at each hitch = this map times q."""
        rise = np.zeros((len(self.hitch_place), BODY + len(self.wheel_places)))
        for i, x in enumerate(self.hitch_place):
            rise[i, :BODY] = self.rise_row(x, self.sprung_cg[1])
        return rise

    @cached_property
    def free(self) -> NDArray[np.intp]:
        """Indices of the coordinates that may move: roll needs a track, twist a frame that gives."""
        held = {2, 3} if not self.roll_free else set() if np.isfinite(self.twist_rate) else {3}
        return np.array([i for i in range(BODY + len(self.wheel_places)) if i not in held])
