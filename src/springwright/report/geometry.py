"""How an axle's wheels are held, told: along the travel, in roll, at full lock, and drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from springwright.drawing.axle_parts import COIL, AxleLooks
from springwright.drawing.linkage import links_drawing
from springwright.drawing.shapes import axle_ink
from springwright.errors import FieldFault, within
from springwright.evaluation import evaluated
from springwright.report.tables import Section, Table, judged_sentence
from springwright.scenes.bodywork import drawn_width
from springwright.scenes.outline import positions_of
from springwright.scenes.plain_joints import plain_joints
from springwright.sizing.axle_geometry import axle_index
from springwright.sizing.fitted import sized
from springwright.units import GRAVITY, number, plain, show, unit_of

if TYPE_CHECKING:
    from springwright.drawing.svg import Drawing
    from springwright.vehicle.file import DesignFile
from springwright.vehicle.geometry import Geometry

NOTE = {
    "": "Motion ratio = spring travel / wheel travel, bump positive.",
    "camber": "Camber (top outward), toe, how far the contact point goes out and the wheel centre ahead are changes from the design position; roll centre above the ground under the wheel.",
    "front_centre": "Slopes: how far the contact point and the wheel centre go ahead per rise. Instant centres are those of the contact point: out and up from behind, ahead and up from the side; a dash where the lines run level.",
    "steer": "Steer is what the drag link does with the steering wheel held, to the left.",
    "roll_steer": "Roll steer: steer of the axle to the left per roll of the body to its right.",
}


def geometry_section(result: Geometry) -> Section:
    """An axle along its travel, in roll and at full lock."""
    says = [f"{result.vehicle}: {result.axle} axle, {result.side} wheel."]
    if result.brake_slope is not None and result.drive_slope is not None:
        says.append(
            f"The side-view line rises {_slope(result.brake_slope)} towards the centre of gravity for braking, {_slope(result.drive_slope)} for driving, by where each one's torque is taken."
        )
    for share, word, what in (
        (result.anti_dive, "Anti-dive", "of the pitch under braking"),
        (result.anti_squat, "Anti-squat", "of the pitch under driving"),
    ):
        if share is not None:
            says.append(
                f"{word} {_percent(share)}: {what} that the links carry, not this axle's springs (a minus adds to it)."
            )
    says += [f"{judged_sentence(one)}." for one in result.judged]
    tables = [_springs(result)]
    if result.positions[0].camber is not None:
        tables += [_wheel(result), _centres(result)]
    if result.positions[0].steer is not None or result.positions[0].shaft_inner is not None:
        tables.append(_joints(result))
    if result.rolls:
        tables.append(_rolls(result))
    if result.locks:
        tables.append(_locks(result))
    return Section("Geometry", "How is the wheel held?", tuple(says), tuple(tables), result.notes)


@evaluated
def joints_of(file: DesignFile, axle: str) -> tuple[Any, Any]:
    """Pairs of an axle's joints that a line joins, and the joints at rest and at both ends of the travel [m].

    Raises
    ------
    InputError
        No such axle, or the links do not reach over the travel.

    """
    index = axle_index(file, axle)
    one = file.design.axles[index]
    if one.links is None:
        return plain_joints(one, GRAVITY * sized(file).design_loads[index])
    try:
        with within("axles", index):
            return tuple(one.links.sketch()), positions_of(one)
    except FieldFault as fault:
        raise file.fault(fault) from None


@evaluated
def geometry_figure(file: DesignFile, axle: str) -> Drawing:
    """The links of an axle, at rest and at both ends of the travel; without pivot points, its lever and spring by the mount's dimensions.

    Raises
    ------
    InputError
        No such axle, or the links do not reach over the travel.

    """
    index = axle_index(file, axle)
    one = file.design.axles[index]
    pairs, positions = joints_of(file, axle)
    ink = axle_ink(index)
    return links_drawing(
        f"{file.design.vehicle.name}, {axle} axle",
        pairs,
        positions,
        one.tyre.unloaded_radius,
        AxleLooks(
            drawn_width(one),
            one.spring.largest_outside or COIL,
            None if one.frame_width is None or one.ride_height is None else (one.frame_width, one.ride_height),
            one.driven,
            ink,
        ),
        beam=one.kind == "beam",
    )


def _columns(
    rows: Any, wanted: tuple[tuple[str, str, str, int], ...]
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Head and cells of the columns that are known."""
    kept = [one for one in wanted if any(getattr(row, one[1]) is not None for row in rows)]
    head = tuple(title for title, *_ in kept)
    return head, tuple(tuple(_cell(getattr(row, name), kind, places) for _, name, kind, places in kept) for row in rows)


def _cell(value: Any, kind: str, places: int) -> str:
    if isinstance(value, tuple):
        return ", ".join(number(one, kind, places) for one in value)
    return number(value, kind, places)


def _table(caption: str, rows: Any, wanted: tuple[tuple[str, str, str, int], ...], *notes: str) -> Table:
    head, cells = _columns(rows, wanted)
    return Table(caption, head, cells, "r" * len(head), note=" ".join(NOTE[name] for name in notes))


def _springs(result: Geometry) -> Table:
    length = unit_of("length")
    return _table(
        "Spring and damper along the travel",
        result.positions,
        (
            (f"travel {length}", "travel", "length", 1), (f"spring {length}", "spring_length", "length", 1), ("motion ratio", "motion_ratio", "ratio", 4),
            (f"progression {unit_of('per length')}", "ratio_change", "per length", 3), (f"damper {length}", "damper_length", "length", 1),
            ("damper's ratio", "damper_ratio", "ratio", 4), (f"bushes {unit_of('rate')}", "bush_rate", "rate", 2),
        ),
        "",
    )  # fmt: skip


def _wheel(result: Geometry) -> Table:
    length = unit_of("length")
    return _table(
        "The wheel along the travel",
        result.positions,
        (
            (f"travel {length}", "travel", "length", 1), ("camber deg", "camber", "angle", 2), ("toe-in deg", "toe", "angle", 3), ("caster deg", "caster", "angle", 2),
            ("kingpin deg", "kingpin", "angle", 2), ("caster change, pinion angle deg", "axle_turn", "angle", 2), (f"track change, half {length}", "half_track", "length", 1), (f"wheelbase change {length}", "wheelbase", "length", 1),
        ),
        "camber",
    )  # fmt: skip


def _centres(result: Geometry) -> Table:
    length = unit_of("length")
    return _table(
        "Instant centres along the travel",
        result.positions,
        (
            (f"travel {length}", "travel", "length", 1), (f"roll centre {length}", "roll_centre", "length", 1), ("roll steer", "roll_steer", "ratio", 4),
            (f"instant centre, behind {length}", "front_centre", "length", 0), (f"instant centre, side {length}", "side_centre", "length", 0),
            ("side-view slope, contact", "brake_slope", "ratio", 3), ("side-view slope, wheel centre", "drive_slope", "ratio", 3),
        ),
        "front_centre", *(("roll_steer",) if result.positions[0].roll_steer is not None else ()),
    )  # fmt: skip


def _joints(result: Geometry) -> Table:
    length = unit_of("length")
    return _table(
        "Steering and shaft along the travel",
        result.positions,
        (
            (f"travel {length}", "travel", "length", 1), ("steer deg", "steer", "angle", 3), ("inner joint deg", "shaft_inner", "angle", 2),
            ("outer joint deg", "shaft_outer", "angle", 2), (f"shaft longer by {length}", "shaft_plunge", "length", 1),
        ),
        *(("steer",) if result.positions[0].steer is not None else ()),
    )  # fmt: skip


def _rolls(result: Geometry) -> Table:
    length = unit_of("length")
    return _table(
        "Heave and roll together",
        result.rolls,
        (
            (f"heave {length}", "heave", "length", 1), ("body rolls deg", "roll", "angle", 2), ("steers deg", "steer", "angle", 3), (f"lateral shift {length}", "shift", "length", 1),
            (f"wheelbase change {length}", "wheelbase", "length", 1), (f"roll centre {length}", "roll_centre", "length", 1), (f"left spring {length}", "left_spring", "length", 1), (f"right spring {length}", "right_spring", "length", 1),
        ),
    )  # fmt: skip


def _locks(result: Geometry) -> Table:
    length = unit_of("length")
    rows = tuple(
        (
            one.lock, number(one.travel, "length", 1), number(one.turn, "angle", 2), number(one.camber, "angle", 2),
            _cell(one.centre, "length", 0), _cell(one.contact, "length", 0),
        )
        for one in result.locks
    )  # fmt: skip
    racks = {one.lock: one.rack for one in result.locks if one.rack}
    moved = ", ".join(f"{number(rack, 'length', 1)} {length} {lock}" for lock, rack in racks.items())
    said = f"; the toe link's inner end moves {moved} (to the left positive)" if racks else " turned about its kingpin"
    head = ("full lock", f"travel {length}", "turned deg", "camber deg", f"wheel centre {length}", f"contact {length}")
    note = f"Left wheel{said}. Places: ahead, out, up."
    return Table("At full steering lock", head, rows, "lrrrrr", note=note)


def _slope(slope: float) -> str:
    return show(float(np.arctan(slope)), "angle")


def _percent(share: float) -> str:
    return f"{plain(100 * share, 1)} %"
