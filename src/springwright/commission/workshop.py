"""Sheets for the workshop: what to read and in which order, with what is due and its range beside each blank; and the readings file to fill in.

The range holds 95 of 100 vehicles built within the tolerances of the drawing and read with usual care. No sheet asks for a tilt to
lifting, and that of the circle stops at one third of the lesser of what would lift a wheel and what would slide.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from springwright.commission.compare import due_of
from springwright.commission.correct import Problem, problem_of
from springwright.commission.inputs import inputs_of
from springwright.commission.leans import Circle
from springwright.commission.modelled import Modelled, modelled
from springwright.commission.next_reading import PUSHED, pushed_as_due
from springwright.commission.pushes import Push
from springwright.commission.scales import RaisedWeighing, Weighing
from springwright.commission.swings import Bounce, Rap
from springwright.commission.taken import SURE, Reduced, Taken, Workplace
from springwright.errors import SpringwrightError, UnsolvedError
from springwright.evaluation import evaluated
from springwright.motion.equilibrium import equilibrium
from springwright.motion.forces import Case
from springwright.results import Result
from springwright.units import GRAVITY, show
from springwright.vehicle.file import DesignFile, opened

SLIDES = 0.5  # friction taken where no tyre has one: common practice on gravel, no source
THIRD = 1 / 3
CARE = "These are engineering estimates, not approval: follow local codes, and have a changed suspension inspected where the vehicle is used."


@dataclass(frozen=True)
class Blank(Result):
    """One blank of a sheet: what is read, what is due and the range that holds 95 of 100 [SI by `unit`]."""

    what: str
    kind: str
    unit: str
    due: float
    low: float
    high: float


@dataclass(frozen=True)
class WorkshopSheet(Result):
    """A sheet to be filled in: its title, what it takes, the order of work, blanks, tables to fill in, and cautions."""

    title: str
    asks: str
    tools: tuple[str, ...]
    steps: tuple[str, ...]
    blanks: tuple[Blank, ...]
    columns: tuple[tuple[str, tuple[str, ...]], ...] = ()
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class WorkshopSheets(Result):
    """All sheets of a vehicle."""

    vehicle: str
    file: str
    sheets: tuple[WorkshopSheet, ...]


@evaluated
def workshop_sheets(
    file: DesignFile | str | Path, *, progress: Callable[[str], None] | None = None
) -> tuple[WorkshopSheet, ...]:
    """The sheets for weigh-in, push, bounce and drive of a design [SI by each blank's unit].

    Raises
    ------
    InputError
        Something in the design must be mended.

    """
    drawn = modelled(opened(file))
    say = progress or (lambda _: None)
    made = []
    for sheet in (_weigh_in, _push, _bounce, _drive):
        say(f"working out the sheet: {sheet.__name__.strip('_').replace('_', ' ')}")
        made.append(sheet(drawn))
    return tuple(made)


def _due(drawn: Modelled, some: Sequence[tuple[type[Taken], dict[str, Any]]]) -> list[Blank]:
    """What is due of readings that are not made yet, with its range: by the tolerances of the drawing and the readings' own doubt."""
    bench = Workplace(Path(), drawn, lambda _: None)
    sets: list[Reduced] = []
    for kind, content in some:
        try:
            sets.append(kind.model_validate(content).reduced(len(sets) + 1, bench))
        except (SpringwrightError, ValueError):
            continue
    if not sets:
        return []
    inputs = inputs_of(drawn)
    due = due_of(sets, drawn)
    problem: Problem = problem_of(drawn, sets, inputs)
    still = np.zeros(len(inputs))
    slopes = problem.slopes(still, np.arange(len(inputs)), np.array(due), reach=1.0)
    spread = problem.doubts * np.sqrt(1 + np.sum(slopes**2, axis=1))
    figures = [one for each in sets for one in each.figures]
    return [
        Blank(
            figure.name, figure.kind, figure.unit, value, max(value - SURE * float(off), 0.0), value + SURE * float(off)
        )
        for figure, value, off in zip(figures, due, spread, strict=True)
    ]


def _states(drawn: Modelled) -> list[str]:
    """The lightest load state and that of the design."""
    light = min((one.name for one in drawn.design.states), key=lambda name: drawn.at(name).weight.mass)
    return list(dict.fromkeys([light, drawn.sheet.design_state]))


def _weigh_in(drawn: Modelled) -> WorkshopSheet:
    design = drawn.design
    count, long = len(design.axles), design.axles[-1].behind_front_axle
    heights = ("heights_left", "heights_right") if all(one.ride_height for one in design.axles) else ()
    asked: list[tuple[type[Taken], dict[str, Any]]] = []
    for state in _states(drawn):
        sides = {side: [f"{drawn.at(state).weight.mass / 2 / count} kg"] * count for side in ("left", "right")}
        asked.append((Weighing, {"state": state, **sides, **{one: ["500 mm"] * count for one in heights}}))
    tilted = count == 2 and design.hitch is None
    if tilted:
        up = f"{round(0.2 * long, 1)} m"
        asked.append(
            (RaisedWeighing, {"state": _states(drawn)[0], "height": up, "on_scales": {design.axles[-1].name: "900 kg"}})
        )
    return WorkshopSheet(
        "Weigh-in",
        f"{design.vehicle.name}: loads under the wheels and heights of the frame, {' and '.join(_states(drawn))}",
        ("four pads or one, packed level with the others", "a steel rule to 1 mm", "tyre gauge"),
        (
            "Set the tyres to the pressures of the design; level, hard ground; pads all at one height.",
            "Load it as the state says, tanks too; nobody aboard who is not in the state.",
            "Roll it on, bounce it once at each end, brakes off, wheels straight.",
            "Read every pad, then the frame's underside above ground at each axle, left and right.",
            *((f"Raise the front wheels by {show(round(0.2 * long, 1), 'length')} on blocks, rear wheels still on their pads, and read those.",) if tilted else ()),
        ),
        tuple(_due(drawn, asked)),
        cautions=("Chock the wheels that stay down; nobody under it or before it while an end is up.", CARE),
    )  # fmt: skip


def _push(drawn: Modelled) -> WorkshopSheet:
    state = _states(drawn)[0]
    loads = [f"{one} kg" for one in PUSHED]
    asked: list[tuple[type[Taken], dict[str, Any]]] = [
        (Push, {"axle": axle.name, "state": state, **pushed_as_due(rates.ride_rate * axle.wheels)})
        for axle, rates in zip(drawn.design.axles, drawn.sheet.rates, strict=True)
    ]  # fmt: skip
    return WorkshopSheet(
        "Push it down",
        f"{drawn.design.vehicle.name}: known masses on and off over each axle, {state}",
        ("masses that were weighed, 200 kg in steps of 50 kg; water cans of 20 kg do well", "a rule or dial fixed to the ground, read to 0.5 mm"),
        (
            "Roll it back and forth and bounce it once; brakes off, wheels straight.",
            "Set the rule at the frame over the axle, on the centreline; write down 0 mm.",
            "Put masses on over the axle, step by step, gently; wait, and read at each step.",
            "Take them off again in the same steps and read again: the loop between is friction.",
            "The first step hardly moves the deck, friction holds it: never read the rate from one step.",
        ),
        tuple(_due(drawn, asked)),
        columns=tuple((f"{axle.name}, lowered, mm", tuple(loads)) for axle in drawn.design.axles),
        cautions=("Secure every mass; keep hands and feet clear of wheels and frame.", CARE),
    )  # fmt: skip


def _bounce(drawn: Modelled) -> WorkshopSheet:
    state = drawn.sheet.design_state
    asked: list[tuple[type[Taken], dict[str, Any]]] = []
    for axle in drawn.design.axles:
        asked.append(
            (Bounce, {"axle": axle.name, "state": state, "bounces": 3, "seconds": "2.4 s", "rises": ["20 mm", "6 mm"]})
        )
        asked.append((Rap, {"axle": axle.name, "state": state, "frequency": "10 Hz"}))
    return WorkshopSheet(
        "Bounce and rap",
        f"{drawn.design.vehicle.name}: how it swings when pushed and let go, and a hub when struck, {state}",
        ("a phone that logs acceleration, 100 readings a second or more, and writes CSV", "a rubber mallet", "tape to hold the phone flat"),
        (
            "Phone flat on the deck over the axle, on the centreline; start the log.",
            "Push down in time with it until it swings well, let go at the bottom, keep off and keep still for five seconds.",
            "Three runs at each axle; write down which column reads upward.",
            "For the rap, the phone or a sensor taped to the hub or beam, tyre on the ground: strike the axle once beside it, and let it ring.",
            "Without a log: film it against a rule, count bounces and seconds, and read the first two rises.",
        ),
        tuple(_due(drawn, asked)),
        columns=tuple((f"{axle.name}, run", ("file", "column", "bounces", "seconds", "first rise, mm", "second rise, mm")) for axle in drawn.design.axles),
        cautions=("Chock the wheels of the other axle; nobody under it; fingers clear of springs and stops.", CARE),
    )  # fmt: skip


def _drive(drawn: Modelled) -> WorkshopSheet:
    design, state = drawn.design, drawn.sheet.design_state
    most, why = circle_limit(drawn, state)
    steps = [f"{share * most / GRAVITY:.3f} g" for share in (0.5, 0.75, 1.0)]
    asked: list[tuple[type[Taken], dict[str, Any]]] = [
        (Circle, {"state": state, "lateral": steps, "roll": ["1 deg", "1.5 deg", "2 deg"]})
    ]
    grounds = [f"{one.name} (class {one.iso_class})" for one in design.grounds if one.iso_class]
    radius = 15.0
    speed = float(np.sqrt(most * radius))
    return WorkshopSheet(
        "Lean and drive",
        f"{design.vehicle.name}: roll in a gentle steady circle, and a logged drive, {state}",
        ("a logger with acceleration at the seat, 200 readings a second or more, and speed", "an inclinometer or gyro fixed to the body", "cones for a circle of 15 m radius"),
        (
            f"The circle never beyond {show(most, 'lateral')}, {show(speed, 'speed')} on 15 m: {why}.",
            "Set the angle to nought on level ground as it stands; drive the circle both ways, slowly upward in speed, and hold each speed for a full turn.",
            f"Write down lateral acceleration and roll at {', '.join(steps)}.",
            "Then drive one ground at an even speed for a minute or more, the log running, and write down which column is where, which way and in which unit.",
            *((f"Grounds of the design: {', '.join(grounds)}.",) if grounds else ()),
        ),
        tuple(_due(drawn, asked)),
        columns=(("circle", ("lateral, g", "roll left, deg", "roll right, deg")), ("drive", ("file", "ground", "speed", "column, place, direction, unit"))),
        cautions=(
            "A wide, flat, empty place; belts on, loads tied; stop well short of sliding or of a wheel going light.",
            "Nobody tilts a vehicle to lifting in a workshop: that is a test house's, with restraints.",
            CARE,
        ),
    )  # fmt: skip


def circle_limit(drawn: Modelled, state: str) -> tuple[float, str]:
    """Lateral acceleration up to which a steady circle is asked for [m/s2], and why: one third of the lesser of lifting and sliding."""
    rig = drawn.at(state).rig

    def least(across: float) -> float:
        try:
            return float(equilibrium(rig, case=Case(across=across)).wheel_loads.min()) - 1.0
        except UnsolvedError:
            return -1e4

    high = 0.5
    while least(high) > 0 and high < 15:
        high += 0.5
    from scipy.optimize import brentq  # only here: it costs start-up time

    lifts = float(brentq(least, high - 0.5, high, xtol=1e-3)) if least(high) <= 0 else high
    given = [axle.tyre.friction for axle in drawn.design.axles if axle.tyre.friction is not None]
    slides = GRAVITY * (min(given) if given else SLIDES)
    which = (
        f"a wheel lifts at {show(lifts, 'lateral')}"
        if lifts < slides
        else f"the tyres slide at {show(slides, 'lateral')}{'' if given else ', taken'}"
    )
    return THIRD * min(lifts, slides), f"{which}, and a third of that is enough"
