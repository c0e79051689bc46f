"""Rest, modes and drives told: small tables in the display system, and the same as CSV or a drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from springwright.cells import CellWriter, bare
from springwright.drawing.chart import Row, chart
from springwright.drawing.svg import Drawing
from springwright.report.tables import Section, Table
from springwright.units import number, plain, scale_of, show, unit_of

FAR = 50.0  # m: a node farther off than this is told in words
WHEEL_HISTORY = ("travel [m]", "tyre load [N]", "height [m]")  # columns of a history for each wheel

if TYPE_CHECKING:
    from springwright.motion.figures import Drive
    from springwright.questions.at_rest import ModesResult, RestResult
    from springwright.questions.drives import SpeedTable


def rest_section(result: RestResult) -> Section:
    """Where it comes to rest."""
    length, force = unit_of("length"), unit_of("force")
    rows = tuple(
        (wheel.name, number(wheel.load, "force"), number(wheel.travel, "length", 1), number(wheel.bump_left, "length"), number(wheel.droop_left, "length"), "off the ground" if wheel.lifted else "")
        for wheel in result.wheels
    )  # fmt: skip
    says = (
        f"{result.vehicle}: {result.state}, {result.case}.",
        f"Pitch {show(result.pitch, 'angle')} (nose down positive), roll {show(result.roll, 'angle')} (right side down positive)"
        + (f", frame twist {show(result.twist, 'angle')}" if result.twist else "")
        + (f"; {show(result.hitch_load, 'force')} on the hitch." if result.hitch_load is not None else "."),
        f"Centre of gravity {show(result.cg_height, 'length')} above the ground there.",
        *_leaning(result),
    )
    table = Table(
        "At rest",
        ("", f"load {force}", f"travel {length}", f"bump to go {length}", f"droop to go {length}", ""),
        rows,
        "lrrrrl",
        note="Travel from the design position, bump positive.",
    )
    return Section("Rest", "Where does it stand?", says, (table, *_grip_table(result)), result.notes)


def _leaning(result: RestResult) -> tuple[str, ...]:
    """Where the first wheel lifts and it tips, to that side."""
    for what, lift, tip, kind in (
        ("side slope", result.lifts_at, result.tips_at, "angle"),
        ("lateral acceleration", result.lifts_at_corner, result.tips_at_corner, "lateral"),
    ):
        if lift is not None or tip is not None:
            lifted = (
                "no wheel lifts as far as it was looked for"
                if lift is None
                else f"the first wheel lifts at {show(lift, kind)}"
            )
            return (
                f"To that side {lifted}, and it tips {'past what was looked for' if tip is None else f'at {show(tip, kind)}'} of {what}.",
            )
    return ()


def _grip_table(result: RestResult) -> tuple[Table, ...]:
    """What each axle's tyres must hold and can; nothing where nothing has to be held."""
    if not any(axle.needed > 1.0 for axle in result.grip):
        return ()
    force = unit_of("force")
    rows = tuple(
        (axle.name, number(axle.needed, "force"), "–" if axle.there is None else number(axle.there, "force"), "" if axle.there is None else "slides" if axle.needed > axle.there else "holds")
        for axle in result.grip
    )  # fmt: skip
    note = (
        "Force along and across that each axle has to pass, and what its tyres can under their loads."
        if all(axle.there is not None for axle in result.grip)
        else "Force along and across that each axle has to pass; give tyre.friction to see whether its tyres can."
    )
    return (Table("On the ground", ("", f"to hold {force}", f"can hold {force}", ""), rows, "lrrl", note=note),)


def modes_section(result: ModesResult) -> Section:
    """How it wants to move."""
    length = unit_of("length")
    rows = tuple(
        (mode.name, number(mode.frequency, "frequency"), "–" if mode.damping_ratio is None else plain(mode.damping_ratio, 2), "far off" if mode.node is not None and abs(mode.node) > FAR else number(None if mode.node is None else -mode.node, "length"))
        for mode in result.modes
    )  # fmt: skip
    note = "Damping from the dampers' slopes next to rest, bump and rebound in the mean, dry friction left out. Motion centres are measured behind the front axle."
    table = Table(
        "Natural modes about rest", ("", "Hz", "damping ratio", f"motion centre {length}"), rows, "lrrr", note=note
    )
    return Section(
        "Modes",
        "How does it want to move?",
        (f"{result.vehicle}: {result.state}, standing on level ground.",),
        (table,),
        result.notes,
    )


def drive_section(result: Drive, names: list[str]) -> Section:
    """What a drive came to."""
    accel = unit_of("acceleration")
    says = [
        f"{result.ground} at {show(result.speed, 'speed')} for {plain(result.duration, 1)} s; time step {plain(1e3 * result.step, 2)} ms, set by {result.step_reason}."
    ]
    if result.step_error is not None:
        says.append(f"At half the step the main figures change by {plain(100 * result.step_error, 3)} %.")
    points = Table(
        "Ride at the seat mount", ("", f"vertical {accel}", f"longitudinal {accel}", f"lateral {accel}", "VDV vertical m/s^1.75", "crest", f"unweighted vertical {accel}", f"unweighted peak {accel}", f"shock {accel}"),
        tuple(
            (point.name, *(number(value, "acceleration") for value in (point.up, point.along, point.across)), plain(point.up_dose, 2), plain(point.up_crest, 1), *(number(value, "acceleration") for value in (point.up_raw, point.up_raw_peak, point.shock)))
            for point in result.points
        ),
        "lrrrrrrrr", note="Root mean square with the weightings of ISO 2631-1 (W_k vertical, W_d longitudinal and lateral); shock: unweighted vertical below 30 Hz.",
    )  # fmt: skip
    length, force = unit_of("length"), unit_of("force")
    wheels = Table(
        "Wheels", ("", f"travel rms {length}", f"droop {length}", f"bump {length}", f"load rms {force}", f"least {force}", f"most {force}", "off ground %", f"stop force {force}", "contacts"),
        tuple(
            (
                name, number(wheel.travel_rms, "length", 1), number(wheel.travel_least, "length"), number(wheel.travel_most, "length"), number(wheel.load_rms, "force"), number(wheel.load_least, "force"),
                number(wheel.load_most, "force"), plain(100 * wheel.off_ground, 1), number(max((stop.force for stop in result.stops if stop.wheel == i), default=0.0), "force"),
                str(sum(stop.contacts for stop in result.stops if stop.wheel == i)),
            )
            for i, (name, wheel) in enumerate(zip(names, result.wheels, strict=True))
        ),
        "lrrrrrrrrr",
    )  # fmt: skip
    dampers = Table(
        "Dampers, at the wheel", ("", "rebound m/s", "bump m/s", f"most {force}", "mean power W"),
        tuple((names[i] if len(names) == len(result.dampers) else f"{i + 1}", plain(one.rebound_speed, 2), plain(one.bump_speed, 2), number(one.force, "force"), plain(one.power + one.friction_power, 1)) for i, one in enumerate(result.dampers)), "lrrrr",
    )  # fmt: skip
    audit = f"Energy balance error: {result.audit.residual:.1e} of the work done." if result.audit else ""
    return Section(
        "Drive",
        "What happens in time?",
        (*says, audit),
        tuple(t for t in (points, wheels, dampers) if t.rows),
        result.notes,
    )


def speeds_section(result: SpeedTable) -> Section:
    """One ground at several speeds, a row each."""
    accel, force, speed = unit_of("acceleration"), unit_of("force"), unit_of("speed")
    rows = tuple(
        (number(one.speed, "speed"), *((*(number(value, "acceleration") for value in (one.up, one.along, one.across, one.shock)), number(one.least_load, "force"), plain(100 * one.off_ground, 1), number(one.stop_force, "force"), plain(one.damper_power, 0)) if not one.reason else ("–",) * 8))
        for one in result.runs
    )  # fmt: skip
    table = Table(
        "By speed", (speed, f"vertical {accel}", f"longitudinal {accel}", f"lateral {accel}", f"shock {accel}", f"least load {force}", "off ground %", f"stop force {force}", "damper power W"),
        rows, "rrrrrrrrr", note="The worst seat, wheel, stop and damper of each run; weighted by ISO 2631-1 (W_k vertical, W_d longitudinal and lateral), shock: unweighted vertical below 30 Hz.",
    )  # fmt: skip
    failed = tuple(f"{show(one.speed, 'speed')}: {one.reason}" for one in result.runs if one.reason)
    return Section(
        "Speeds",
        "What happens as it goes faster?",
        (f"{result.vehicle}: {result.state}, {result.ground}.",),
        (table,),
        failed + result.notes,
    )


def section_csv(section: Section) -> str:
    """The tables of a section as CSV."""
    rows = CellWriter()
    for table in section.tables:
        rows.writerow([table.caption])
        rows.writerow(table.head)
        rows.writerows([[bare(cell) for cell in row] for row in table.rows])
        rows.writerow([])
    return rows.text


def history_csv(result: Drive, names: list[str]) -> str:
    """The history of a drive, SI, units in the header, wheels by name."""
    rows = CellWriter()
    named = ["{1} of {0}".format(*one) for one in ((name, what) for what in WHEEL_HISTORY for name in names)]
    rows.writerow((result.columns[0], *named, *result.columns[1 + len(named) :]))
    rows.writerows([[f"{value:.7g}" for value in row] for row in np.asarray(result.history)])
    return rows.text


def history_figure(result: Drive, names: list[str]) -> Drawing:
    """Travel, tyre loads and acceleration over time."""

    def row(what: str, kind: str, columns: dict[str, str]) -> Row:
        drawn = {name: result.column(column) / scale_of(kind) for name, column in columns.items()}
        return Row(f"{what}, {unit_of(kind)}", drawn)

    rows = [
        row("wheel travel", "length", {name: f"travel [m] {i + 1}" for i, name in enumerate(names)}),
        row("tyre load", "force", {name: f"tyre load [N] {i + 1}" for i, name in enumerate(names)}),
        row("up", "acceleration", {one.name: f"{one.name} up [m/s2]" for one in result.points}),
    ]
    time = result.column("time [s]")
    return chart(f"{result.ground} at {show(result.speed, 'speed')}", time, "s", rows)


def modes_figure(result: ModesResult) -> Drawing:
    """Each mode in the side view: where the body stands and how its sides swing, wheels as they move."""
    row, width = 64.0, 700.0
    sheet = Drawing(width, row * len(result.modes) + 40, f"Natural modes of {result.vehicle}, {result.state}")
    x = np.array(result.wheel_places, dtype=float)
    span = float(np.ptp(x)) or 1.0
    for k, mode in enumerate(result.modes):
        middle = row * k + 34
        shape = np.array(mode.shape)
        largest = (
            max(
                float(np.abs(shape[[0, *range(4, len(shape))]]).max()),
                float(np.abs(shape[[1, 3]]).max()) * span / 2,
                abs(float(shape[2])) * result.half_track,
            )
            or 1.0
        )
        scale = 18 / largest
        at = 260 + 300 * (1 - (x - x.min()) / span)
        sheet.word(0, middle + 4, mode.name)
        sheet.word(150, middle + 4, f"{plain(mode.frequency, 2)} Hz", "end strong")
        sheet.word(
            230, middle + 4, "" if mode.damping_ratio is None else f"damped {plain(mode.damping_ratio, 2)}", "end soft"
        )
        sheet.line(float(at.min()) - 20, middle, float(at.max()) + 20, middle, "dots")
        turned = shape[3] * (x - (x.max() + x.min()) / 2) / span
        for side, style in ((1, "series-1"), (-1, "series-2")):
            lean = side * result.half_track * (shape[2] + turned)
            body = middle - scale * (shape[0] - shape[1] * (x - result.cg) + lean)
            sheet.path(sorted(set(zip(at.tolist(), body.tolist(), strict=True))), style)
        for i, wheel in enumerate(shape[4:]):
            sheet.dot(
                float(at[i]) + (5 if i % 2 else -5),
                middle - scale * float(wheel),
                4,
                "series-1" if i % 2 == 0 else "series-2",
            )
    foot = row * len(result.modes) + 20
    for at_x, style, word in ((260, "series-1", "left side and wheels"), (440, "series-2", "right side and wheels")):
        sheet.dot(at_x, foot - 4, 4, style)
        sheet.word(at_x + 12, foot, word, "soft")
    return sheet
