"""Does it lean, and will it fall over? Corners, side slopes, climbs, braking and pulling at rest, and a lateral step in time."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from springwright.errors import UnsolvedError
from springwright.evaluation import remembered
from springwright.motion.equilibrium import equilibria
from springwright.motion.forces import GRAVITY, Case, friction_of
from springwright.motion.modes import Mode, modes
from springwright.questions.answer import (
    YOURS,
    Answer,
    Curve,
    Curves,
    Fact,
    Figure,
    Mark,
    answer,
    bound,
    bounds,
    figure,
    no_limit,
    worst,
)
from springwright.questions.context import ProofContext, StateModel
from springwright.questions.leaning import GENTLE, TURNING, Stood
from springwright.questions.leaning import stood as stood_in_every_state
from springwright.questions.left_out import left_out_of
from springwright.questions.question import Question
from springwright.questions.road_runs import Runs
from springwright.units import show
from springwright.vehicle.assemble import split_taken

Floats = NDArray[np.float64]
ASKS = "Roll stability: does it lean, and will it fall over?"
STEP, BEGINS, RISE, LONG = (
    0.3 * GRAVITY,
    0.2,
    0.1,
    5.0,
)  # lateral step [m/s2], when it begins, the time it takes and that watched [s]
STEP_SPEED = 15.0  # m/s; on level ground the answer does not depend on it
SETTLED = 0.05  # of the final roll
LEANS = 25  # lateral accelerations at which the lean is told
TIPS = "no rest in a gentle corner: it tips"
SAID_SLIP = "give tyre.friction on every axle"


def stand(ready: ProofContext, runs: Runs | None = None, *, brief: bool = False) -> Answer:  # noqa: ARG001 nothing in it is dear
    """Answer the question."""
    limits = ready.design.limits
    stood = stood_in_every_state(ready)
    figures: list[Figure] = []

    def judge(
        measure: str,
        sense: str,
        field: str,
        unit: str,
        kind: str,
        values: list[tuple[float | None, str, str]],
        ident: str = "",
    ) -> None:
        """The state that governs of a measure; a value of None is one that is not reached as far as it was looked for."""
        limit = getattr(limits, field)
        each = [
            figure(
                measure, math.inf if value is None else value, sense, limit, unit, kind, YOURS,  # type: ignore[arg-type]
                state=one.at.name, where=where, why=why or no_limit(field), id=ident or field,
            )
            for one, (value, where, why) in zip(stood, values, strict=True)
        ]  # fmt: skip
        figures.append(worst(each))

    if any(axle.wheels == 2 for axle in ready.design.axles):
        judge(
            "roll gradient",
            "at most",
            "roll_gradient",
            "rad*s**2/m",
            "lean",
            [(one.gradient, "", TIPS if math.isnan(one.gradient) else "") for one in stood],
        )
        judge(
            "first wheel lifts at",
            "at least",
            "wheel_lift",
            "m/s**2",
            "lateral",
            [_least(one, ready, *TURNING, lift=True) for one in stood],
        )
        judge(
            "tips over at",
            "at least",
            "tip_over",
            "m/s**2",
            "lateral",
            [_least(one, ready, *TURNING, lift=False) for one in stood],
        )
        judge(
            "side slope at which a wheel lifts",
            "at least",
            "side_slope",
            "rad",
            "angle",
            [_least(one, ready, "right side down", "left side down", lift=True) for one in stood],
        )
    if ready.design.hitch is None:
        judge(
            "steepest climb before it pitches over",
            "at least",
            "climb",
            "rad",
            "angle",
            [_least(one, ready, "climbing", lift=False) for one in stood],
            "steepest_climb",
        )
        judge(
            "steepest descent before it pitches over",
            "at least",
            "climb",
            "rad",
            "angle",
            [_least(one, ready, "descending", lift=False) for one in stood],
            "steepest_descent",
        )
    judge(
        "dive, braking",
        "at most",
        "pitch_gradient",
        "rad*s**2/m",
        "lean",
        [
            (one.brake_pitch, "", "no rest there: it pitches over" if math.isnan(one.brake_pitch) else "")
            for one in stood
        ],
        "dive",
    )
    judge(
        "squat, pulling",
        "at most",
        "pitch_gradient",
        "rad*s**2/m",
        "lean",
        [(one.pull_pitch, "", "no rest there: it pitches over" if math.isnan(one.pull_pitch) else "") for one in stood],
        "squat",
    )
    notes: list[str] = []
    curves: list[Curves] = []
    if ready.home.rig.roll_free:
        stepped, rolled = _stepped(ready)
        figures += stepped
        home = next(one for one in stood if one.at is ready.home)
        curves += [*_lean_curves(ready, stood), *_grip_curves(ready, home), *rolled]
    facts = [fact for one in stood for fact in _facts(ready, one)] + _anti(ready)
    if any(at.weight.free_surface_roll for at in ready.states):
        notes.append("part-full tanks move their liquid as a free surface; sloshing is not modelled")
    notes += left_out_of(ready.home.rig, ready.home.name)
    notes += filter(None, [split_taken(ready.home.rig, ready.design, ready.home.name)])
    if not ready.home.rig.roll_free:
        notes.append(
            "a vehicle with no track: what holds it upright is the rider or the towing vehicle; roll is not answered"
        )
    notes.append("rollover figures are for comparison, not for trying; load on the outer rim sideways is neglected")
    return answer("stand", ASKS, tuple(figures), tuple(facts), tuple(curves), tuple(notes))  # fmt: skip


def _least(one: Stood, ready: ProofContext, *ways: str, lift: bool) -> tuple[float | None, str, str]:
    """The least amount over some ways, in which of them, and which wheel lifts; None where none is reached."""
    each = {way: (one.ways[way].lift if lift else one.ways[way].tip) for way in ways}
    known = {way: amount for way, amount in each.items() if amount is not None}
    if not known:
        return None, "", "not reached as far as it was looked for"
    way = min(known, key=lambda name: known[name])
    wheel = one.ways[way].wheel if lift else None
    return known[way], way if wheel is None else f"{way}, {ready.wheels[wheel]}", ""


def _facts(ready: ProofContext, one: Stood) -> list[Fact]:
    state = one.at.name
    names = [axle.name for axle in ready.design.axles]
    facts = []
    if one.bound:
        facts.append(
            Fact(
                "static stability factor T/2h, across to the nearer wheels / height of the centre of gravity",
                one.bound * GRAVITY,
                "m/s**2",
                "lateral",
                state,
            )
        )
        total = float(one.transfer.sum())
        facts += [
            Fact(
                f"load transfer at {name}",
                float(each),
                "kg",
                "mass",
                state,
                note=f"lateral load transfer at 1 g; {each / total:.0%} of the whole",
            )
            for name, each in zip(names, one.transfer, strict=True)
            if total
        ]
        tip, side, _ = _least(one, ready, "right side down", "left side down", lift=False)
        lift, leant, _ = _least(one, ready, "right side down", "left side down", lift=True)
        facts += [
            Fact("centre of gravity above ground, level", one.level_height, "m", "length", state),
            Fact(
                "side slope at which the first wheel lifts",
                lift,
                "rad",
                "angle",
                state,
                note=leant if lift is not None else "not reached",
            ),
        ]
        if one.leaning_height is not None:
            facts.append(Fact("centre of gravity above ground there", one.leaning_height, "m", "length", state))
        facts.append(
            Fact(
                "side slope at which it tips over",
                tip,
                "rad",
                "angle",
                state,
                note=side if tip is not None else "not reached",
            )
        )
        facts.append(_slip_fact(one, names))
    wheelbase = max(axle.behind_front_axle for axle in ready.design.axles)
    if wheelbase and not np.any(np.isnan(one.at.rig.tyre_grip)):
        loads = one.at.rest.wheel_loads
        holds = float(np.sum(friction_of(one.at.rig, loads) * loads) / np.sum(loads))
        facts.append(
            Fact(
                "slope on which all tyres held would slide",
                math.atan(holds),
                "rad",
                "angle",
                state,
                note="friction under the loads at rest on level ground",
            )
        )
    roll = _roll_mode(one.at)
    if roll is not None:
        facts.append(
            Fact(
                "roll frequency",
                roll.frequency,
                "Hz",
                "frequency",
                state,
                note=f"damping ratio {roll.damping_ratio or 0:.2f}",
            )
        )
    return facts  # fmt: skip


@remembered(16)
def _roll_mode(at: StateModel) -> Mode | None:
    """The mode that is mostly roll, if there is one."""
    return next((mode for mode in modes(at.rig, at.rest, damped=True) if mode.kind == "roll"), None)


def _slip_fact(one: Stood, names: list[str]) -> Fact:
    """Slides or tips first, and which axle goes first."""
    state = one.at.name
    tip = min(
        (reach.tip for way, reach in one.ways.items() if way in TURNING and reach.tip is not None),
        default=None,
    )
    if np.any(np.isnan(one.slides)):
        return Fact("slides at", None, "m/s**2", "lateral", state, note=f"not known: {SAID_SLIP}")
    first = float(one.slides.min())
    if math.isinf(first):
        return Fact("slides at", None, "m/s**2", "lateral", state, note="tips before any axle slides")
    which = names[int(np.argmin(one.slides))]
    word = "slides before it tips" if tip is None or first < tip else "TIPS BEFORE IT SLIDES on this ground"
    return Fact("slides at", first, "m/s**2", "lateral", state, note=f"{which} first; {word}")  # fmt: skip


def _anti(ready: ProofContext) -> list[Fact]:
    found = []
    for geometry in ready.geometries:
        for word, share in (("anti-dive", geometry.anti_dive), ("anti-squat", geometry.anti_squat)):
            if share:
                found.append(
                    Fact(
                        f"{word} at {geometry.axle}",
                        share,
                        "",
                        "ratio",
                        ready.design_state,
                        note="share of the pitch it would cause",
                    )
                )
    return found  # fmt: skip


def _stepped(ready: ProofContext) -> tuple[list[Figure], list[Curves]]:
    """Roll after a lateral step, in every load state: damping of the roll mode, overshoot, and the time to settle."""
    from springwright.motion.drive import drive
    from springwright.terrain.obstacles import flat

    limits, lines, overshoots, dampings = ready.design.limits, [], [], []
    time = np.arange(0.0, LONG, 0.02)
    pull = np.vstack([np.zeros_like(time), STEP * np.clip((time - BEGINS) / RISE, 0, 1)])
    finals = equilibria(ready.batch, 0.0, Case(across=STEP)).q[:, 2]
    for at, final in zip(ready.states, finals.tolist(), strict=True):
        mode = _roll_mode(at)
        ratio = mode.damping_ratio if mode else None
        dampings.append(
            figure(
                "damping ratio in roll",
                ratio,
                "at least",
                limits.roll_damping,
                "",
                "ratio",
                YOURS,
                state=at.name,
                why=no_limit("roll_damping") if mode else "no mode of its own is mostly roll",
                id="roll_damping",
            )
        )
        measure = "roll overshoot after a lateral step"
        if not np.isfinite(final):
            overshoots.append(
                figure(
                    measure,
                    math.inf,
                    "at most",
                    limits.roll_overshoot,
                    "",
                    "share",
                    YOURS,
                    state=at.name,
                    why=f"it rolls over at {show(STEP, 'lateral')}",
                    id="roll_overshoot",
                )
            )
            continue
        try:
            run = drive(
                at.rig, flat(STEP_SPEED * LONG + 20.0), STEP_SPEED, duration=LONG, accelerations=pull, history=0.02
            )
        except UnsolvedError as error:
            overshoots.append(
                figure(measure, math.inf, "at most", limits.roll_overshoot, "", "share", YOURS, state=at.name, why=f"it rolls over after a step of {show(STEP, 'lateral')}: {error}", id="roll_overshoot")
            )  # fmt: skip
            continue
        watched, roll = run.column("time [s]"), run.column("roll [rad]")
        over, settled = after_step(watched - BEGINS, roll, at.rest.roll, final)
        said = (
            f"not settled within 5 % in {LONG - BEGINS:.1f} s"
            if settled is None
            else f"settled within 5 % in {settled:.1f} s"
        )
        lines.append(Curve(at.name, tuple(roll.tolist())))
        overshoots.append(
            figure(
                measure,
                over,
                "at most",
                limits.roll_overshoot,
                "",
                "share",
                YOURS,
                state=at.name,
                where=said,
                why=no_limit("roll_overshoot"),
                id="roll_overshoot",
            )
        )
    if not lines:
        return [worst(dampings), worst(overshoots)], []
    curve = Curves(
        "Roll after a lateral step",
        "time",
        "s",
        "duration",
        tuple(watched.tolist()),
        "roll",
        "rad",
        "angle",
        tuple(lines),
        note="0.3 g to the left within 0.1 s on level ground",
    )
    return [worst(dampings), worst(overshoots)], [curve]  # fmt: skip


def after_step(time: Floats, roll: Floats, before: float, final: float) -> tuple[float, float | None]:
    """Overshoot past the final roll as a share of the way there, and the time [s] after which it stays within 5 %; None where it does not."""
    moved = (roll - before) / (final - before)
    late = np.flatnonzero(np.abs(moved - 1) > SETTLED)
    if len(late) and late[-1] == len(time) - 1:
        return float(max(moved.max() - 1.0, 0.0)), None
    return float(max(moved.max() - 1.0, 0.0)), float(time[late[-1] + 1]) if len(late) else 0.0


def _lean_curves(ready: ProofContext, stood: list[Stood]) -> list[Curves]:
    """Roll by lateral acceleration in every load state, to the side on which a wheel lifts first, and what happens on the way, each in the state where it comes first."""
    leant = [one for one in stood if one.bound]
    if not leant:
        return []
    limits = ready.design.limits

    def first(word: str) -> list[tuple[float, str, Stood]]:
        """Amounts at which wheels lift, or it tips, with the way and the state, the least first."""
        found = [(getattr(one.ways[way], word), way, one) for one in leant for way in TURNING]
        return sorted((each for each in found if each[0] is not None), key=lambda each: each[0])

    lifts, tips = first("lift"), first("tip")
    way = (lifts or tips or [(0.0, TURNING[0], leant[0])])[0][1]
    most = max([one.ways[way].tip or one.bound * GRAVITY for one in leant])
    across = np.linspace(0.0, most, LEANS)
    count, side = len(ready.states), 1 if way == TURNING[0] else -1
    rests = equilibria(ready.batch, 0.0, [Case(across=side * a) for a in across.tolist()] * count, of=np.repeat(np.arange(count), LEANS), again=False)  # fmt: skip
    rolls = rests.q[:, 2].reshape(count, LEANS)
    rolls = np.abs(rolls - rolls[:, :1])
    lines = tuple(
        Curve(at.name, tuple(None if np.isnan(x) else x for x in roll.tolist()))
        for at, roll in zip(ready.states, rolls, strict=True)
    )
    marks = []
    slides = [(float(one.slides.min()), one) for one in leant if np.isfinite(one.slides).any()]
    if slides:
        amount, one = min(slides, key=lambda each: each[0])
        axle = ready.design.axles[int(np.argmin(one.slides))].name
        marks.append(Mark(one.at.name, amount, f"{axle} slides at {show(amount, 'lateral')}"))
    for word, found in (("a wheel lifts", lifts), ("tips over", tips)):
        if found:
            amount, _, one = found[0]
            marks.append(Mark(one.at.name, amount, f"{one.at.name}: {word} at {show(amount, 'lateral')}", gated=True))
    judged = f"leans more than {show(limits.roll_gradient or 0.0, 'lean')}, judged up to {show(GENTLE, 'lateral')}"
    return [
        Curves(
            "Lean in a steady corner", "lateral", "m/s**2", "lateral", tuple(across.tolist()), "roll from rest", "rad", "angle", lines,
            note=f"{way}; each event in the load state where it comes first", marks=tuple(marks),
            bounds=bounds(bound("slope", limits.roll_gradient, judged), bound("x", limits.wheel_lift, f"no wheel may lift before {show(limits.wheel_lift or 0.0, 'lateral')}", above=False)),
        )
    ]  # fmt: skip


def _grip_curves(ready: ProofContext, home: Stood) -> list[Curves]:
    """Share of its grip each axle uses in a corner, in the design state."""
    if not home.turns:
        return []
    left = home.turns[0]
    stands = np.isfinite(left.used).all(axis=1)
    across, used = left.across[stands], left.used[stands]
    lines = tuple(
        Curve(axle.name, tuple(column.tolist())) for axle, column in zip(ready.design.axles, used.T, strict=True)
    )
    return [
        Curves(
            "Share of its grip each axle uses in a corner", "lateral", "m/s**2", "lateral", tuple(across.tolist()), "share of grip used", "", "ratio", lines,
            note=f"{home.at.name}; at 1 it slides; the axle that gets there first decides",
        )
    ]  # fmt: skip


STAND = Question("stand", "Stands", stand)
