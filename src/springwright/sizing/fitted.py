"""From a design file to a Rig on the springs its sizing fits, and what was taken on the way."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from springwright.errors import Fault, FieldFault, InputError
from springwright.evaluation import evaluated
from springwright.motion.rig import Rig
from springwright.sizing.sheet import Sheet, size
from springwright.sizing.states import assembled, laws_in
from springwright.units import remembered_as_shown, show
from springwright.vehicle.file import DesignFile, opened

Floats = NDArray[np.float64]


@remembered_as_shown(8)
def sized(file: DesignFile) -> Sheet:
    """The sizing of a design file, worked out once."""
    return size(file)


@evaluated
def assemble(file: DesignFile | str | Path, state: str | None = None) -> Rig:
    """The Rig of a load state (the design state if none is named) on the springs and dampers the sizing fits.

    Raises
    ------
    InputError
        No such load state, or a fault in the design.

    """
    file = opened(file)
    sheet = sized(file)
    weight = next(one for one in sheet.states if one.name == state_of(file, state))
    loads = np.array(sheet.design_loads)
    damping = [rate.damping.wheel if rate.damping else None for rate in sheet.rates]
    try:
        laws = laws_in(file.design, weight, tuple(one.law for one in sheet.springs), loads)
        return assembled(file.design, weight, laws, loads, damping)
    except FieldFault as fault:
        raise file.fault(fault) from None


@evaluated
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


@evaluated
def assumptions(file: DesignFile) -> tuple[str, ...]:
    """What is out of the ordinary, and what was taken because the builder did not say: stops, dampers, roll centres."""
    sheet = sized(file)
    notes = [*sheet.unusual, *sheet.estimates]
    for field, what in (
        ("bump_stop", "three times the sprung load at full bump"),
        ("droop_stop", f"once the sprung load at {show(0.010, 'length')} past full droop"),
    ):
        guessed = [axle.name for axle in file.design.axles if getattr(axle, field) is None]
        if guessed:
            notes.append(
                f"{field.replace('_', ' ')}s of {', '.join(guessed)} are estimates (common practice, no source): {what}"
            )
    based = [
        axle.name
        for axle in file.design.axles
        if axle.kind == "beam" and not (axle.bump_stop_base and axle.droop_stop_base)
    ]
    if based:
        notes.append(
            f"stops of {', '.join(based)} are taken to stand as far apart as the springs: give bump_stop_base and droop_stop_base where they do not"
        )
    undamped = [
        rate.name
        for rate, axle in zip(sheet.rates, file.design.axles, strict=True)
        if rate.damping is None and not (axle.damper and axle.damper.points)
    ]
    if undamped:
        notes.append(f"{', '.join(undamped)}: no damper (give target.damping_ratio or damper.points)")
    return tuple(notes)
