"""The Rig: immutable flat arrays, SI, the only thing the solvers in `motion` see.

Coordinates q = [heave, pitch, roll, wheel heights...], zero in the design position. The body turns about
its sprung CG in plan and its roll axis in height; ISO 8855 signs: heave up, pitch nose down, roll right side down.
Travel of wheel i = its height minus the body's rise above it, bump positive.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Rig:
    """A vehicle in one load state, w wheels, e elements, k knots.

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
    element_start, element_step : (e,)
        First knot and knot spacing of each element's curve [m].
    element_force, element_rate : (e, k)
        Force [N] and tangent rate [N/m] at the knots, positive in compression; linear beyond the ends.
    tyre_rate, tyre_force : (w,)
        Tyre rate [N/m] and its force in the design position on level ground [N].
    hitch_place, hitch_rate, hitch_force : (h,)
        x [m], rate [N/m] and design force [N] of each hitch.
    free_surface : (2,)
        Moment per roll and per pitch angle of part-full tanks [N m/rad], statics only.
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
    element_start: Floats
    element_step: Floats
    element_force: Floats
    element_rate: Floats
    tyre_rate: Floats
    tyre_force: Floats
    hitch_place: Floats
    hitch_rate: Floats
    hitch_force: Floats
    free_surface: Floats
    roll_free: bool

    @cached_property
    def travel_map(self) -> Floats:
        """(w, 3 + w): wheel travel = this map times q."""
        x, y = (self.wheel_places - self.sprung_cg[:2]).T
        return np.column_stack([-np.ones(len(x)), x, -y, np.eye(len(x))])

    @cached_property
    def element_map(self) -> Floats:
        """(e, 3 + w): displacement of every element = this map times q."""
        return self.element_rows @ self.travel_map

    @cached_property
    def hitch_map(self) -> Floats:
        """(h, 3 + w): rise of the body at each hitch = this map times q."""
        rise = np.zeros((len(self.hitch_place), 3 + len(self.wheel_places)))
        rise[:, 0] = 1.0
        rise[:, 1] = -(self.hitch_place - self.sprung_cg[0])
        return rise
