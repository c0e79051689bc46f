"""The two questions that a builder asks at a standstill: where does it come to rest, and how does it want to move."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.evaluation import evaluated
from springwright.motion.equilibrium import equilibrium
from springwright.motion.forces import Case, axle_grip, cg_height
from springwright.motion.modes import Mode, modes
from springwright.motion.rig import BUMP_STOP, DROOP_STOP, Rig
from springwright.questions.left_out import left_out_of
from springwright.questions.limit_search import GrowingCase, reaches
from springwright.results import Result, si
from springwright.sizing.fitted import assemble, assumptions, sized, state_of
from springwright.sizing.states import named
from springwright.units import GRAVITY, plain, show
from springwright.vehicle.assemble import split_taken
from springwright.vehicle.file import DesignFile
from springwright.vehicle.interconnections import wheel_names

Floats = NDArray[np.float64]
STEEPEST, CORNER = 1.4, 1.5 * GRAVITY  # as far as a slope [rad] and a corner [m/s2] are looked for


@dataclass(frozen=True)
class WheelRest(Result):
    """One wheel at rest; what is left of bump and droop is told at its stops, which on a beam stand at their own base."""

    name: str
    load: float = si("N")
    travel: float = si("m")
    bump_left: float = si("m")
    droop_left: float = si("m")
    lifted: bool = False


@dataclass(frozen=True)
class AxleGrip(Result):
    """Horizontal force an axle has to pass and what its tyres can; `there` is None where a tyre's friction is not given."""

    name: str
    needed: float = si("N")
    there: float | None = si("N")


@dataclass(frozen=True)
class RestResult(Result):
    """Where a vehicle comes to rest under a case: body and every wheel, left before right, front axle first.

    `cg_height` is over the ground plane in that attitude. On a side slope `lifts_at` and `tips_at` are the slopes [rad] to that side at
    which the first wheel lifts and past which nothing stands; in a corner `lifts_at_corner` and `tips_at_corner` the lateral
    accelerations. None where none is reached, or where the case is another.
    """

    vehicle: str
    state: str
    case: str
    pitch: float = si("rad")
    roll: float = si("rad")
    twist: float = si("rad")
    rises: tuple[float, ...] = si("m")
    hitch_load: float | None = si("N")
    residual: float = si("N")
    cg_height: float = si("m", 0.0)
    lifts_at: float | None = si("rad", None)
    tips_at: float | None = si("rad", None)
    lifts_at_corner: float | None = si("m/s**2", None)
    tips_at_corner: float | None = si("m/s**2", None)
    wheels: tuple[WheelRest, ...] = ()
    grip: tuple[AxleGrip, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class ModesResult(Result):
    """The natural modes of a vehicle about its rest in one load state, damped."""

    vehicle: str
    state: str
    cg: float = si("m", 0.0)
    wheel_places: tuple[float, ...] = si("m", ())
    half_track: float = si("m", 0.0)
    modes: tuple[Mode, ...] = ()
    undamped: tuple[Mode, ...] = ()
    notes: tuple[str, ...] = ()


@evaluated
def rest(
    file: DesignFile, state: str | None = None, case: Case | None = None, ground: Mapping[str, float] | None = None
) -> RestResult:
    """Where the vehicle comes to rest: level by default, or on a slope, in a corner, braking, on uneven ground [m under each wheel].

    Raises
    ------
    UnsolvedError
        It does not come to rest: it tips, or its springs cannot hold it.

    """
    case = case or Case()
    rig = assemble(file, state)
    design = file.design
    names = wheel_names(design.axles)
    heights = np.array([(ground or {}).get(name, 0.0) for name in names])
    found = equilibrium(rig, heights, case)
    axles = [design.axles[i] for i in rig.wheel_axle]
    shared = filter(None, [split_taken(rig, design, state_of(file, state))] if case.along < 0 else [])
    wheels = tuple(
        WheelRest(
            name,
            float(load),
            float(travel),
            float(axle.travel.bump - closed),
            float(axle.travel.droop + let_out),
            bool(load <= 0),
        )
        for name, load, travel, closed, let_out, axle in zip(
            names,
            found.wheel_loads,
            found.travel,
            rig.stop_travel(found.travel, BUMP_STOP),
            rig.stop_travel(found.travel, DROOP_STOP),
            axles,
            strict=True,
        )
    )
    return RestResult(
        vehicle=design.vehicle.name,
        state=state_of(file, state),
        case=_described(case, ground or {}),
        pitch=found.pitch,
        roll=found.roll,
        twist=float(found.q[3]),
        rises=tuple(found.rise_at(rig, -axle.behind_front_axle) for axle in design.axles),
        hitch_load=float(found.hitch_loads[0]) if len(found.hitch_loads) else None,
        residual=found.residual,
        cg_height=cg_height(rig, found.q, heights),
        **_limits(rig, case, heights),
        wheels=wheels,
        grip=tuple(
            AxleGrip(axle.name, float(needed), None if np.isnan(there) else float(there))
            for axle, needed, there in zip(design.axles, *axle_grip(rig, found.wheel_loads, case), strict=True)
        ),
        notes=(*shared, *assumptions(file), *left_out_of(rig, state_of(file, state))),
    )


@evaluated
def natural_modes(file: DesignFile, state: str | None = None) -> ModesResult:
    """Damped and undamped modes about rest on level ground."""
    rig = assemble(file, state)
    found = equilibrium(rig)
    names = [axle.name for axle in file.design.axles]
    return ModesResult(
        file.design.vehicle.name,
        state_of(file, state),
        float(rig.sprung_cg[0]),
        tuple(rig.wheel_places[:, 0].tolist()),
        float(np.abs(rig.wheel_places[:, 1]).max()),
        named(modes(rig, found, damped=True), names),
        named(modes(rig, found), names),
        assumptions(file),
    )


@evaluated
def motions_in_each(file: DesignFile) -> tuple[tuple[str, tuple[Mode, ...]], ...]:
    """Name and damped modes of every load state about rest on level ground."""
    axles = [axle.name for axle in file.design.axles]
    return tuple(
        (one.name, named(modes(one.settled.rig, one.settled.rest, damped=True), axles)) for one in sized(file).rests
    )


def _limits(rig: Rig, case: Case, heights: Floats) -> dict[str, float | None]:
    """Where the first wheel lifts and it tips on a side slope or in a corner to the side of a case, the ground under the wheels as it is."""
    x, y, _ = case.gravity
    ground = np.ptp(heights) != 0.0
    if not rig.roll_free or ground or case.along or bool(x) or bool(y) == bool(case.across):
        return {}
    side = -np.sign(y) if y else np.sign(case.across)
    (found,) = reaches(
        rig,
        [
            GrowingCase(STEEPEST, case=lambda a: Case.slope(lean=side * a))
            if y
            else GrowingCase(CORNER, case=lambda a: Case(across=side * a))
        ],
    )
    ends = "" if y else "_corner"
    return {f"lifts_at{ends}": found.lift, f"tips_at{ends}": found.tip}


def _described(case: Case, ground: Mapping[str, float]) -> str:
    parts = []
    x, y, _ = case.gravity
    if x or y:
        parts.append(
            f"on a slope, gravity {plain(-x / GRAVITY, 3)} g rearward and {plain(-y / GRAVITY, 3)} g to the right"
        )
    if case.across:
        parts.append(
            f"cornering at {plain(abs(case.across) / GRAVITY, 2)} g, turning {'left' if case.across > 0 else 'right'}"
        )
    if case.along:
        parts.append(f"{'braking' if case.along < 0 else 'pulling'} at {plain(abs(case.along) / GRAVITY, 2)} g")
    parts += [f"{name} {show(height, 'length')} up" for name, height in ground.items() if height]
    return "; ".join(parts) or "level ground, standing"
