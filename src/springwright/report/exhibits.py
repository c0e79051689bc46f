"""The pictures of an answer at reading size, its limits drawn where they act: for the page and the report alike."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from springwright.drawing.ground_map import ground_map
from springwright.drawing.levels import LETTERS, LevelMark, LevelScale, level_drawing
from springwright.drawing.limit_bars import LimitBar, limit_bars
from springwright.drawing.poses import SlopeMark, ditch_drawing, slope_drawing
from springwright.drawing.shapes import axle_ink, short
from springwright.drawing.svg import Drawing
from springwright.drawing.travel_ends import PartEnds, TravelMarks, travel_ends_drawing
from springwright.errors import SpringwrightError
from springwright.questions.answer import Answer, Curves
from springwright.questions.grip import DITCH
from springwright.questions.travel_ends import NONE, travel_ends
from springwright.report.proof import curve_chart
from springwright.report.tables import capital
from springwright.scenes.elevation import elevation, farthest_state
from springwright.scenes.poses import leaned, on_ditch
from springwright.sizing.fitted import sized
from springwright.units import as_drawn, number, places_of, show, unit_of
from springwright.vehicle.file import DesignFile
from springwright.vehicle.interconnections import wheel_names

HALF = 508.0  # px: two pictures beside each other


@dataclass(frozen=True, eq=False)
class Exhibit:
    """One picture: its name for files, its title, what is drawn, and what is said beneath; `figures` where it is drawn from curves."""

    name: str
    title: str
    drawing: Drawing
    note: str = ""
    figures: bool = True
    zooms: bool = False  # its axis can be looked at closer


def exhibits(file: DesignFile, answer: Answer, ground: str = "", speed: float | None = None) -> tuple[Exhibit, ...]:
    """The pictures of an answer, the most telling first; `ground` and `speed` [m/s] are those looked at; the file is that which it is of."""
    return in_order(answer, charts(answer, ground, speed), posed(file, answer))


def charts(
    answer: Answer, ground: str = "", speed: float | None = None, parts: Mapping[str, tuple[float, float]] | None = None
) -> tuple[Exhibit, ...]:
    """The curves of an answer; `ground` and `speed` [m/s] are those looked at, `parts` what of an axis, in the units shown, by the exhibit's name."""
    return tuple(
        Exhibit(
            f"{answer.question}-{k}",
            curves.name,
            map_chart(answer, curves, ground, speed)
            if curves.mapped
            else curve_chart(curves, wide=HALF, part=(parts or {}).get(f"{answer.question}-{k}")),
            f"{capital(curves.note)}.",
            zooms=not curves.mapped,
        )
        for k, curves in enumerate(answer.curves)
    )


def in_order(answer: Answer, told: tuple[Exhibit, ...], drawn: tuple[Exhibit, ...]) -> tuple[Exhibit, ...]:
    """Curves and drawings of an answer, the most telling first."""
    deciding = answer.deciding
    if deciding is not None and deciding.id == "damper_temperature":
        return (*told, *drawn)
    return (*told[:1], *drawn, *told[1:])


def posed(file: DesignFile, answer: Answer) -> tuple[Exhibit, ...]:
    """The pictures of the vehicle itself; none where it cannot be drawn, so that the answer can still be read."""
    try:
        return tuple(DRAWN[answer.question](file, answer)) if answer.question in DRAWN else ()
    except SpringwrightError:
        return ()


def _leaning(file: DesignFile, answer: Answer) -> list[Exhibit]:
    """On the side slope at which the first wheel lifts: the load state and side that govern."""
    lifts = next((one for one in answer.figures if one.id == "side_slope"), None)
    if lifts is None or lifts.value is None:
        return []
    side, _, wheel = lifts.where.partition(", ")
    names = [(i, name) for i, one in enumerate(file.design.axles) for name in wheel_names((one,))]
    axle = next((i for i, name in names if name == wheel), len(file.design.axles) - 1)
    left = side == "left side down"
    marks = [SlopeMark(lifts.value, f"lifts {show(lifts.value, 'angle')}", strong=True)]
    for measure, word in ((TIPS_AT, "tips"), (SLIDES_AT, "slides")):
        fact = next((one for one in answer.facts if one.measure == measure and one.state == lifts.state), None)
        if fact is not None and fact.value is not None:
            marks.append(SlopeMark(fact.value, f"{word} {show(fact.value, 'angle')}"))
    asked = None if lifts.limit is None else (lifts.limit, f"{show(lifts.limit, 'angle')} asked")
    drawing = slope_drawing(leaned(file, lifts.state, lifts.value, axle, left), marks, asked)
    note = f"{lifts.state}, {side}, seen from {'behind' if left else 'ahead'}; {wheel} lifts first. Dashed: the plumb line of the centre of gravity. Only worked out: nobody should try it."
    return [Exhibit("stand-slope", "On a side slope", drawing, note, figures=False)]


def _twisted(file: DesignFile, answer: Answer) -> list[Exhibit]:
    """The axles on the diagonal ditch at which the first wheel lifts, in the load state of the curves beside."""
    curves = next((one for one in answer.curves if one.name == DITCH and one.marks), None)
    if curves is None:
        return []
    lift = curves.marks[0]
    state = curves.state
    stood = on_ditch(file, state, lift.x, lift.line)
    inks = [axle_ink(k) for k in range(len(stood))]
    title = f"The axles at {show(lift.x, 'length')}"
    drawing = ditch_drawing(stood, inks, lambda load: show(load, "force"), title)
    return [Exhibit("grip-axles", title, drawing, f"{state}, from behind. Bars: wheel loads; heavy mark: on level ground.", figures=False)]  # fmt: skip


def _lengths(file: DesignFile, answer: Answer) -> list[Exhibit]:  # noqa: ARG001 drawn from the file alone
    """Every axle's parts on its own travel."""
    found, rest, unit = [], sized(file).design_state, unit_of("length")
    for i, axle in enumerate(file.design.axles):
        travel = axle.travel
        stands = [
            as_drawn(one, "length") for one in (-travel.droop, travel.bump, travel.bump + travel.stop_compression)
        ]
        at_rest = next(one for one in sized(file).rests if one.name == rest).axles[i].travel
        marks = TravelMarks(stands[0], stands[1], stands[2], as_drawn(sum(at_rest) / len(at_rest), "length"), f"rest, {short(rest)}", places_of("length"))  # fmt: skip
        parts = [
            PartEnds(capital(one.part), _drawn(one.droop), _drawn(one.bump), one.why)
            for one in travel_ends(file, axle.name)
            if one.why != NONE
        ]  # fmt: skip
        title = f"Every length on the travel of {axle.name}"
        drawing = travel_ends_drawing(title, capital(axle.name), marks, parts, unit, HALF)
        note = "What each leaves open, and between its end and the wheel's own travel what is to spare at the wheel; from metal to metal in bump."
        found.append(Exhibit(f"fit-{i}-lengths", title, drawing, "" if i else note, figures=False))
    return found


def _drawn(length: float | None) -> float | None:
    return None if length is None else as_drawn(length, "length")


def _levels(file: DesignFile, answer: Answer) -> list[Exhibit]:
    """Every load state laid over another, the lamp's lines and the heights at each axle."""
    sheet = sized(file)
    if len(sheet.rests) < 2:
        return []
    home = sheet.design_state
    lamp = next((one for one in answer.figures if one.id == "lamp_aim_change"), None)
    ghost = lamp.state if lamp is not None and lamp.state not in ("", home) else farthest_state(file)
    pitch = {one.name: one.pitch for one in sheet.rests}
    wall = None
    if lamp is not None and lamp.value is not None:
        limit = None if lamp.limit is None else as_drawn(lamp.limit * AHEAD, "length")
        told = show(lamp.limit, "share") if lamp.limit is not None else ""
        marks = [LevelMark(name, as_drawn(AHEAD * math.tan(pitch[home] - one), "length"), number(AHEAD * math.tan(pitch[home] - one), "length"), name == lamp.state) for name, one in pitch.items()]  # fmt: skip
        title = f"On a wall {show(AHEAD, 'distance')} ahead, {unit_of('length')}"
        wall = LevelScale(title, tuple(marks), None if limit is None else -limit, limit, (f"−{told}, too low", f"+{told}, dazzles"))  # fmt: skip
    scales = []
    for i, axle in enumerate(file.design.axles):
        change = next((one for one in answer.figures if one.id == "height_change" and one.axle == axle.name), None)
        rises = {one.name: one.axles[i].rise for one in sheet.rests}
        low = min(rises.values())
        most = None if change is None or change.limit is None else as_drawn(low + change.limit, "length")
        marks = [LevelMark(name, as_drawn(rise, "length"), number(rise, "length"), name == max(rises, key=lambda one: rises[one])) for name, rise in rises.items()]  # fmt: skip
        limits = (
            "",
            "" if change is None or change.limit is None else f"at most {show(change.limit, 'length')}",
        )
        scales.append(
            LevelScale(f"{capital(short(axle.name, LETTERS))}, {unit_of('length')}", tuple(marks), None, most, limits)
        )
    drawing = level_drawing(elevation(file, home, ghost), wall, scales)
    note = f"Drawn in {home}; dashed: {ghost}. Heights are of the body over each axle against the design position."
    if wall is not None:
        note += f" Lamp lines: how far up or down the beam points, aimed in {home}; the wall has a scale of its own."
    return [Exhibit("level-states", "How it stands in each load state", drawing, note, figures=False)]


def _stresses(file: DesignFile, answer: Answer) -> list[Exhibit]:
    """Every stress that is told, against its limit where one is known."""
    names = [axle.name for axle in file.design.axles]
    inks = {name: axle_ink(k) for k, name in enumerate(names)}
    rows = [
        LimitBar(
            capital(one.measure), as_drawn(one.value, "stress"), number(one.value, "stress"), None if one.limit is None else as_drawn(one.limit, "stress"),
            "" if one.limit is None else number(one.limit, "stress"), inks.get(one.axle, "ink"),
        )
        for one in answer.figures
        if one.kind == "stress" and one.value is not None
    ]  # fmt: skip
    if not rows:
        return []
    drawing = limit_bars("Stresses against their limits", rows, unit_of("stress"), HALF)
    note = "Filled: judged against the edge; dashed: no limit is known for its steel."
    return [Exhibit("last-stress", "Stresses against their limits", drawing, note, figures=False)]


AHEAD = 10.0  # m: the wall that a lamp is aimed at
TIPS_AT = "side slope at which it tips over"
SLIDES_AT = "slope on which all tyres held would slide"
DRAWN: dict[str, Callable[[DesignFile, Answer], list[Exhibit]]] = {
    "stand": _leaning,
    "grip": _twisted,
    "fit": _lengths,
    "level": _levels,
    "last": _stresses,
}


def map_chart(answer: Answer, curves: Curves, ground: str = "", speed: float | None = None) -> Drawing:
    """A figure by ground and speed, what lies beyond its limit shut."""
    limit = next((one.limit for one in answer.figures if one.id == curves.mapped and one.limit is not None), None)
    grounds = [line.name for line in curves.lines]
    cells = [[number(y, curves.y_kind) if y is not None else "" for y in line.values] for line in curves.lines]
    beyond = [[limit is not None and (y is None or y > limit) for y in line.values] for line in curves.lines]
    row = next((r for r, name in enumerate(grounds) if ground and name.startswith(ground)), None)
    chosen = None
    if row is not None and speed is not None:
        chosen = (row, min(range(len(curves.x)), key=lambda c: abs(curves.x[c] - speed)))
    words = (f"{curves.y_name}, {unit_of(curves.y_kind)}", unit_of(curves.x_kind))
    return ground_map(curves.name, grounds, [number(x, curves.x_kind) for x in curves.x], cells, beyond, words, chosen)
