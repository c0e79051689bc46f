"""What happens along the travel of every axle, told: its parts' ends, where load states rest, and how what matters changes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from springwright.drawing.shapes import axle_ink, short
from springwright.drawing.svg import Drawing
from springwright.drawing.travel_panel import TravelCurve, TravelMark, travel_panel
from springwright.questions.travel_ends import travel_ends
from springwright.report.tables import capital
from springwright.sizing.axle_geometry import geometry
from springwright.sizing.fitted import sized
from springwright.sizing.wheel_force import wheel_forces
from springwright.units import as_drawn, number, places_of, scale_of, unit_of
from springwright.vehicle.file import DesignFile
from springwright.vehicle.geometry import Position

WHEEL_RATE = "wheel_rate"  # is of the springs, not of a position
# Name, field of a position, kind, decimals: the first that are known are drawn where nothing else is asked for.
CURVES = (
    ("motion ratio", "motion_ratio", "ratio", 3), ("roll steer", "roll_steer", "ratio", 3), ("bump steer", "steer", "angle", 2), ("camber", "camber", "angle", 2),
    ("roll centre", "roll_centre", "length", 0), ("toe-in", "toe", "angle", 2), ("half-track", "half_track", "length", 1), ("axle turns", "axle_turn", "angle", 2),
    ("wheel rate", WHEEL_RATE, "rate", 1), ("caster", "caster", "angle", 2), ("kingpin", "kingpin", "angle", 2), ("wheelbase", "wheelbase", "length", 1),
    ("slope, contact", "brake_slope", "ratio", 3), ("slope, wheel", "drive_slope", "ratio", 3), ("damper ratio", "damper_ratio", "ratio", 3),
)  # fmt: skip
NAMES = tuple(name for name, *_ in CURVES)
MOST, BEYOND = 3, 1.6  # curves of one axle; of the travel: a part that ends farther out is not named
LETTERS = 20  # of a name beside the scale
UNITS = {
    "motion_ratio": "spring / wheel", "roll_steer": "axle / body", "damper_ratio": "damper / wheel", "brake_slope": "ahead / up", "drive_slope": "ahead / up",
}  # fmt: skip


def travel_figures(file: DesignFile, state: str = "", wanted: tuple[str, ...] = ()) -> list[Drawing]:
    """A picture to an axle; `state` is the load state set off, the design state where none is named; `wanted` names up to three curves, of those in `NAMES`.

    In place of one that is not named stands the first that is known.

    Raises
    ------
    InputError
        A mount that cannot follow its wheel.

    """
    sheet = sized(file)
    state = state or sheet.design_state
    return [_figure(file, i, state, wanted) for i in range(len(file.design.axles))]


def _figure(file: DesignFile, i: int, state: str, wanted: tuple[str, ...]) -> Drawing:
    axle, sheet = file.design.axles[i], sized(file)
    travel = axle.travel
    metal = travel.bump + travel.stop_compression
    marks = [TravelMark(metal, "metal to metal", "bold"), TravelMark(-travel.droop, "full droop", "bold")]
    if travel.stop_compression:
        marks.append(TravelMark(travel.bump, "stop touches"))
    for end in travel_ends(file, axle.name):
        for at, word in ((end.bump, end.at_bump), (end.droop, end.at_droop)):
            if at is not None and -BEYOND * travel.droop <= at <= BEYOND * metal:
                says = f"{end.part} {word}"
                marks.append(TravelMark(at, says if len(says) <= LETTERS else end.part, "soft"))
    for rest in sheet.rests:
        mine = rest.axles[i].travel
        marks.append(TravelMark(sum(mine) / len(mine), rest.name, "strong" if rest.name == state else ""))
    marks = [
        TravelMark(as_drawn(one.travel, "length"), short(one.says, LETTERS), one.look, number(one.travel, "length"))
        for one in marks
    ]
    positions = geometry(file, axle.name).positions
    curves = _curves(file, i, positions, wanted)
    x = np.array([as_drawn(one.travel, "length") for one in positions])
    ends = as_drawn(-travel.droop, "length"), as_drawn(metal, "length")
    ink = axle_ink(i)
    return travel_panel(f"Along the travel, {axle.name}", capital(axle.name), x, marks, curves, ends, ink, unit_of("length"))  # fmt: skip


def _curves(file: DesignFile, i: int, positions: Sequence[Position], wanted: tuple[str, ...]) -> list[TravelCurve]:
    """Those that are named, each in its column, and the first that are known in the others; one that is not known of this axle stays empty."""
    found: list[TravelCurve] = []
    others = (_curve(file, i, positions, *row) for row in CURVES if row[0] not in wanted)
    known = (one for one in others if np.isfinite(one.values).any())
    for name in [*wanted, *[""] * MOST][:MOST]:
        one = _curve(file, i, positions, *next(row for row in CURVES if row[0] == name)) if name else next(known, None)
        found += [one] if one is not None else []
    return found


def _curve(
    file: DesignFile, i: int, positions: Sequence[Position], name: str, field: str, kind: str, places: int
) -> TravelCurve:
    if field == WHEEL_RATE:
        values = wheel_forces(file)[i].rate_at([one.travel for one in positions]) / scale_of(kind)
    else:
        read = [getattr(one, field) for one in positions]
        values = np.array([np.nan if value is None else as_drawn(value, kind) for value in read])
    return TravelCurve(name, UNITS.get(field) or unit_of(kind), values, places_of(kind, places))
