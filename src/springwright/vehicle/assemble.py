"""From a design, a load state and its springs to a Rig."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault
from springwright.linkage.mounts import Lengths
from springwright.units import GRAVITY, show
from springwright.vehicle.axle import Axle
from springwright.vehicle.design import Design
from springwright.vehicle.rig import Rig
from springwright.vehicle.weigh import StateWeight, unsprung_height

Floats = NDArray[np.float64]
KNOTS = 97
MARGIN = 0.25  # how far past full bump and full droop the curves are worked out, as a share of the travel


class SpringLaw(NamedTuple):
    """A linear spring in its place: rate [N/m] and force at the seat distance of zero travel [N], each spring."""

    rate: float
    force: float


class Curve(NamedTuple):
    """A force against travel at evenly spaced knots."""

    start: float
    step: float
    force: Floats
    rate: Floats


def spring_curve(axle: Axle, law: SpringLaw) -> Curve:
    """Force and rate at the wheel end of one side's spring against travel there; no force once the coil is slack."""
    travel = axle.travel
    high = (1 + MARGIN) * (travel.bump + travel.stop_compression)
    low = -(1 + MARGIN) * travel.droop
    while _force(axle, law, low) > 0:  # so that beyond the last knot a slack coil stays slack and never pulls
        low *= 1.2
    x = np.linspace(low, high, KNOTS)
    reached = x[np.isfinite(lengths(axle, x).length)]
    x = np.linspace(float(reached[0]), float(reached[-1]), KNOTS)
    length, ratio, slope = lengths(axle, x)
    force = law.force + law.rate * (axle.spring.rest_length - length)
    pressed = force > 0
    force = np.where(pressed, force, 0.0)
    rate = np.where(pressed, law.rate * ratio**2 + force * slope, 0.0)
    return Curve(float(x[0]), float(x[1] - x[0]), axle.spring.per_wheel * force * ratio, axle.spring.per_wheel * rate)


def _force(axle: Axle, law: SpringLaw, travel: float) -> float:
    """Force in the spring at a travel [N], counted on past slack; nan out of reach."""
    return law.force + law.rate * (axle.spring.rest_length - float(lengths(axle, travel).length))


def lengths(axle: Axle, travel: Any) -> Lengths:
    """Spring length [m], motion ratio and its slope against wheel travel [m]; `check_travel` says whether they can be."""
    return axle.spring.acts.lengths(travel, axle.spring.rest_length)


def check_travel(axle: Axle) -> None:
    """Refuse a mount that cannot follow the wheel over its whole travel, or that turns back in it."""
    droop, bump = axle.travel.droop, axle.travel.bump + axle.travel.stop_compression
    length, ratio, _ = lengths(axle, np.linspace(-droop, bump, 33))
    for at, end, what in ((-1, bump, "bump"), (0, droop, "droop")):
        if not np.isfinite(length[at]) or length[at] <= 0:
            raise FieldFault(
                ("spring", "acts"),
                f"the spring's mount cannot follow the wheel to {show(end, 'length')} of {what}; check its lengths or shorten travel",
            )
    if np.any(ratio <= 0):
        raise FieldFault(
            ("spring", "acts"),
            "somewhere in the travel the spring gets longer as the wheel rises; check the lean and the arm lengths",
        )


def assemble(design: Design, weight: StateWeight, springs: tuple[SpringLaw, ...], design_loads: Floats) -> Rig:
    """Arrays for the solvers.

    Parameters
    ----------
    design : Design
    weight : StateWeight
        The load state.
    springs : one SpringLaw for each axle
    design_loads : array of shape (axles,) or (axles + 1,) with a hitch
        Load on each support in the design position [kg]; tyres and hitch are set by it.

    """
    wheels = [(i, side) for i, axle in enumerate(design.axles) for side in ((1, -1) if axle.wheels == 2 else (0,))]
    places = np.array(
        [(-design.axles[i].behind_front_axle, side * (design.axles[i].track or 0.0) / 2) for i, side in wheels]
    )
    axle_of = np.array([i for i, _ in wheels])
    count = np.array([axle.wheels for axle in design.axles])
    masses = np.zeros((len(wheels), len(wheels)))
    rows: list[Floats] = []
    curves: list[Curve] = []
    for i, axle in enumerate(design.axles):
        at = np.flatnonzero(axle_of == i)
        masses[np.ix_(at, at)] = _unsprung(axle)
        curve = spring_curve(axle, springs[i])
        for row in _spring_rows(axle):
            rows.append(_spread(row, at, len(wheels)))
            curves.append(curve)
        if axle.bar is not None:
            r, k = axle.bar.motion_ratio, axle.bar.rate / 2
            rows.append(_spread([r, -r], at, len(wheels)))
            span = np.linspace(-1.0, 1.0, KNOTS)
            curves.append(Curve(-1.0, float(span[1] - span[0]), k * span, np.full(KNOTS, k)))
    hitch = [design.hitch] if design.hitch else []
    return Rig(
        sprung_mass=weight.sprung_mass,
        sprung_cg=np.array(weight.sprung_cg),
        roll_inertia=weight.roll_inertia,
        pitch_inertia=weight.pitch_inertia,
        roll_arm=weight.sprung_cg[2] - roll_axis_height(design, weight.sprung_cg[0]),
        wheel_places=places,
        wheel_axle=axle_of,
        wheel_masses=masses,
        wheel_weights=np.array([design.axles[i].unsprung_mass for i in axle_of]) / count[axle_of],
        element_rows=np.array(rows),
        element_start=np.array([curve.start for curve in curves]),
        element_step=np.array([curve.step for curve in curves]),
        element_force=np.array([curve.force for curve in curves]),
        element_rate=np.array([curve.rate for curve in curves]),
        tyre_rate=np.array([design.axles[i].tyre.rate for i in axle_of]),
        tyre_force=GRAVITY * (design_loads[: len(count)] / count)[axle_of],
        hitch_place=np.array([-one.behind_front_axle for one in hitch]),
        hitch_rate=np.array([one.rate for one in hitch]),
        hitch_force=GRAVITY * design_loads[len(count) :],
        free_surface=GRAVITY * np.array([weight.free_surface_roll, weight.free_surface_pitch]),
        roll_free=bool(np.ptp(places[:, 1])),
    )


def with_curve(rig: Rig, elements: NDArray[np.intp], curve: Curve) -> Rig:
    """The Rig with the curve of some elements changed."""

    def put(old: Floats, new: Any) -> Floats:
        changed = old.copy()
        changed[elements] = new
        return changed

    return replace(
        rig,
        element_start=put(rig.element_start, curve.start),
        element_step=put(rig.element_step, curve.step),
        element_force=put(rig.element_force, curve.force),
        element_rate=put(rig.element_rate, curve.rate),
    )


def roll_centre(axle: Axle) -> tuple[float, bool]:
    """Roll centre height of an axle [m], and whether it is only an estimate (wheel centre for a beam, ground for the rest)."""
    if axle.roll_centre_height is not None:
        return axle.roll_centre_height, False
    return (unsprung_height(axle) if axle.kind == "beam" else 0.0), True


def roll_axis_height(design: Design, x: float) -> float:
    """Height of the roll axis at x [m]: the straight line nearest to the axles' roll centres."""
    axles = [axle for axle in design.axles if axle.wheels == 2]
    if not axles:
        return 0.0
    at = np.array([-axle.behind_front_axle for axle in axles])
    height = np.array([roll_centre(axle)[0] for axle in axles])
    return float(np.polyval(np.polyfit(at, height, min(1, len(axles) - 1)), x))


def _spring_rows(axle: Axle) -> list[list[float]]:
    """Travel at each spring per wheel travel: its own wheel's, or on a beam a mix by spring base over track."""
    if axle.wheels == 1:
        return [[1.0]]
    share = 1.0 if axle.spring_base is None else axle.spring_base / (axle.track or 1.0)
    near, far = (1 + share) / 2, (1 - share) / 2
    return [[near, far], [far, near]]


def _spread(row: list[float], at: NDArray[np.intp], size: int) -> Floats:
    whole = np.zeros(size)
    whole[at] = row
    return whole


def _unsprung(axle: Axle) -> Floats:
    """Mass block of an axle's wheels [kg]; a beam's roll inertia, unless stated, has half its mass at the wheels, half spread."""
    mass = axle.unsprung_mass
    if axle.kind == "independent":
        return np.eye(axle.wheels) * mass / axle.wheels
    track = axle.track or 1.0
    spin = (axle.roll_inertia or mass * track**2 / 6) / track**2
    return np.array([[mass / 4 + spin, mass / 4 - spin], [mass / 4 - spin, mass / 4 + spin]])
