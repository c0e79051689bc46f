"""From a design file to a Rig on the springs its sizing fits, and the two questions a builder asks of it at a standstill."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from springwright.errors import Fault, FieldFault, InputError
from springwright.motion.equilibrium import equilibrium
from springwright.motion.forces import Case, axle_grip
from springwright.motion.modes import Mode, modes
from springwright.results import Result, si
from springwright.sizing.states import laws_in, named
from springwright.studies.sheet import Sheet, size
from springwright.units import GRAVITY, known_as_shown, plain, show
from springwright.vehicle.assemble import assemble as put_together
from springwright.vehicle.file import DesignFile
from springwright.vehicle.joined import wheel_names
from springwright.vehicle.rig import Rig


@dataclass(frozen=True)
class WheelRest(Result):
    """One wheel at rest."""

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
    """Where a vehicle comes to rest under a case: body and every wheel, left before right, front axle first."""

    vehicle: str
    state: str
    case: str
    pitch: float = si("rad")
    roll: float = si("rad")
    twist: float = si("rad")
    rises: tuple[float, ...] = si("m")
    hitch_load: float | None = si("N")
    residual: float = si("N")
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


@known_as_shown(8)
def sized(file: DesignFile) -> Sheet:
    """The sizing of a design file, worked out once."""
    return size(file)


def assemble(file: DesignFile, state: str | None = None) -> Rig:
    """The Rig of a load state (the design state if none is named) on the springs and dampers the sizing fits.

    Raises
    ------
    InputError
        No such load state, or a fault in the design.

    """
    sheet = sized(file)
    weight = next(one for one in sheet.states if one.name == state_of(file, state))
    loads = np.array(sheet.design_loads)
    damping = [rate.damping.wheel if rate.damping else None for rate in sheet.rates]
    try:
        laws = laws_in(file.design, weight, tuple(one.law for one in sheet.springs), loads)
        return put_together(file.design, weight, laws, loads, damping)
    except FieldFault as fault:
        raise file.fault(fault) from None


def state_of(file: DesignFile, state: str | None) -> str:
    """The load state asked for, or the design state."""
    names = [one.name for one in file.design.states]
    if state is None:
        return sized(file).design_state
    if state not in names:
        raise InputError(
            file.path.name, [Fault("states", f'"{state}"', f"no such load state; there are {', '.join(names)}")]
        )
    return state


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
    wheels = tuple(
        WheelRest(
            name,
            float(load),
            float(travel),
            float(axle.travel.bump - travel),
            float(axle.travel.droop + travel),
            bool(load <= 0),
        )
        for name, load, travel, axle in zip(names, found.wheel_loads, found.travel, axles, strict=True)
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
        wheels=wheels,
        grip=tuple(
            AxleGrip(axle.name, float(needed), None if np.isnan(there) else float(there))
            for axle, needed, there in zip(design.axles, *axle_grip(rig, found.wheel_loads, case), strict=True)
        ),
        notes=assumptions(file) + _frame_word(found.pitch, found.roll),
    )


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


def motions_in_each(file: DesignFile) -> tuple[tuple[str, tuple[Mode, ...]], ...]:
    """Name and damped modes of every load state about rest on level ground."""
    axles = [axle.name for axle in file.design.axles]
    return tuple(
        (one.name, named(modes(one.settled.rig, one.settled.rest, damped=True), axles)) for one in sized(file).rests
    )


def assumptions(file: DesignFile) -> tuple[str, ...]:
    """What was taken because the builder did not say: stops, dampers, roll centres."""
    sheet = sized(file)
    notes = [note for note in sheet.notes if "roll centre" in note or "inertias" in note]
    for field, what in (
        ("bump_stop", "three times the sprung load at full bump"),
        ("droop_stop", f"once the sprung load at {show(0.010, 'length')} past full droop"),
    ):
        guessed = [axle.name for axle in file.design.axles if getattr(axle, field) is None]
        if guessed:
            notes.append(
                f"{field.replace('_', ' ')}s of {', '.join(guessed)} are estimates (common practice, no source): {what}"
            )
    undamped = [
        rate.name
        for rate, axle in zip(sheet.rates, file.design.axles, strict=True)
        if rate.damping is None and not (axle.damper and axle.damper.points)
    ]
    if undamped:
        notes.append(f"{', '.join(undamped)}: no damper (give target.damping_ratio or damper.points)")
    return tuple(notes)


def _frame_word(pitch: float, roll: float) -> tuple[str, ...]:
    if max(abs(pitch), abs(roll)) < 0.35:
        return ()
    return (
        "past about 20 deg of lean or pitch the small-angle frame of the model is at its limit; take figures as a first guide",
    )


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
