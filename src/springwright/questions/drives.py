"""Drive a design over a named ground: the Rig it sizes, the tyre's reading of the ground, ride at every seat."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from springwright.errors import UnsolvedError
from springwright.evaluation import evaluated
from springwright.questions.context import SETTLE, apart, felt_by, points_of
from springwright.questions.road_runs import SHORTEST, driven_in, too_short
from springwright.results import Result, si
from springwright.sizing.fitted import assemble, sized, state_of
from springwright.terrain.ground import Ground
from springwright.terrain.named import ground_named
from springwright.terrain.presets import PRESETS
from springwright.vehicle.design import GroundEntry
from springwright.vehicle.file import DesignFile

if TYPE_CHECKING:
    from springwright.motion.figures import Point
    from springwright.motion.rig import Rig

LENGTH = 400.0  # m of made ground


@dataclass(frozen=True)
class SpeedRun(Result):
    """One speed: weighted accelerations and shock at the worst seat, least load and time off the ground of the worst wheel, greatest stop force, power of the busiest damper."""

    speed: float = si("m/s")
    up: float | None = si("m/s**2", None)
    along: float | None = si("m/s**2", None)
    across: float | None = si("m/s**2", None)
    shock: float | None = si("m/s**2", None)
    least_load: float | None = si("N", None)
    off_ground: float = si("", 0.0)
    stop_force: float | None = si("N", None)
    damper_power: float = si("W", 0.0)
    reason: str = ""


@dataclass(frozen=True)
class SpeedTable(Result):
    """One ground at several speeds."""

    vehicle: str
    state: str
    ground: str
    runs: tuple[SpeedRun, ...] = ()
    notes: tuple[str, ...] = ()


@evaluated
def drive_speeds(
    file: DesignFile, ground: str, speeds: Sequence[float], *, state: str | None = None, seed: int = 1,
    progress: Callable[[int, int], None] | None = None, **options: Any,
) -> SpeedTable:  # fmt: skip
    """Drive over one ground at several speeds [m/s], side by side on all cores.

    A ground too soon driven at a speed gives the reason in place of figures.
    """
    from springwright.motion.drive import drive_many
    from springwright.motion.figures import DAMPER, POINT, STOP, WHEEL

    made, places, lead = _laid(file, ground, seed)
    rig = assemble(file, state)
    short = [_too_short(file, ground, rig, made, speed, lead) for speed in speeds]
    table = drive_many(rig, made, list(speeds), points=places, settle=lead, progress=progress, **options)

    def worst(rows: Any, names: Sequence[str], name: str, pick: Any) -> float:
        column = rows[:, names.index(name)]
        return float(pick(column)) if len(column) else 0.0

    runs = []
    for i, speed in enumerate(speeds):
        if short[i] or table.reasons[i]:
            runs.append(SpeedRun(float(speed), reason=short[i] or table.reasons[i]))
            continue
        points, wheels, dampers, stops = table.points[i], table.wheels[i], table.dampers[i], table.stops[i]
        power = dampers[:, DAMPER.index("power")] + dampers[:, DAMPER.index("friction_power")]
        runs.append(
            SpeedRun(
                float(speed),
                up=worst(points, POINT, "up", np.max),
                along=worst(points, POINT, "along", np.max),
                across=worst(points, POINT, "across", np.max),
                shock=worst(points, POINT, "shock", np.max),
                least_load=worst(wheels, WHEEL, "load_least", np.min),
                off_ground=worst(wheels, WHEEL, "off_ground", np.max),
                stop_force=worst(stops, STOP, "force", np.max),
                damper_power=float(power.max(initial=0.0)),
            )
        )
    return SpeedTable(file.design.vehicle.name, state_of(file, state), made.name, tuple(runs), made.notes)


@evaluated
def drive_design(
    file: DesignFile, ground: str, speed: float, *, state: str | None = None, seed: int = 1, settle: float | None = None, **options: Any
) -> Any:  # fmt: skip
    """Drive over a ground of the design or named as on the command line, at a speed [m/s]; see `motion.drive.drive` for the options.

    Raises
    ------
    UnsolvedError
        A recorded or made ground is driven in too short a time to say anything; as `drive` does.

    """
    from springwright.motion.drive import drive  # numba comes with it

    made, places, lead = _laid(file, ground, seed)
    rig = assemble(file, state)
    if said := _too_short(file, ground, rig, made, speed, lead):
        raise UnsolvedError(said)
    return drive(rig, made, speed, points=places, settle=lead if settle is None else settle, **options)


def _too_short(file: DesignFile, ground: str, rig: Rig, made: Ground, speed: float, lead: float) -> str:
    """Why a ground that goes on (no obstacle, no spectrum) is driven in too short a time to say anything; nothing where it is not."""
    own = own_ground(file, ground)
    text = own.text if own else ground
    if not (text.lower().endswith(".csv") or text.startswith("class") or text in PRESETS):
        return ""
    lasts = driven_in(rig, made, speed)
    return too_short(made, lasts) if lasts - lead < SHORTEST else ""


def _laid(file: DesignFile, ground: str, seed: int) -> tuple[Ground, tuple[Point, ...], float]:
    """The ground as the tyres feel it, where ride is read, and how long a run goes before figures are kept [s]."""
    own = own_ground(file, ground)
    made = felt_by(file.design, np.array(sized(file).design_loads), as_it_lies(file, ground, seed))
    if own is not None:
        made = replace(made, name=f"{own.name}, {made.name}")
    text = own.text if own else ground
    return made, points_of(file.design), SETTLE if text.startswith("class") or text in PRESETS else 0.0


def as_it_lies(file: DesignFile, ground: str, seed: int) -> Ground:
    """A ground of the design, or named as on the command line, as it lies."""
    own = own_ground(file, ground)
    return ground_named(own.text if own else ground, apart(file.design), LENGTH, seed, Path(file.path).parent)


def own_ground(file: DesignFile, ground: str) -> GroundEntry | None:
    """The ground of that name in the design; None where it has none."""
    return next((one for one in file.design.grounds if one.name.lower() == ground.strip().lower()), None)
