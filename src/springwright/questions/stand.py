"""Does it lean, and will it fall over? Corners, side slopes, climbs, braking and pulling at rest, and a lateral step in time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.motion.equilibrium import Rests, equilibria
from springwright.motion.forces import GRAVITY, Case, friction_of
from springwright.motion.modes import modes
from springwright.questions.answer import (
    YOURS,
    Answer,
    Curve,
    Curves,
    Fact,
    Figure,
    answer,
    figure,
    no_limit,
    worst,
)
from springwright.questions.reach import Reach, Way, reaches
from springwright.questions.ready import InState, Ready
from springwright.units import show
from springwright.vehicle.rig import Rig

Floats = NDArray[np.float64]
ASKS = "Does it lean, and will it fall over?"
GENTLE = 0.2 * GRAVITY  # lateral, to either side: roll gradient and load transfer are read between
GENTLE_CORNERS = (Case(across=GENTLE), Case(across=-GENTLE))
BRAKING, PULLING = 0.4 * GRAVITY, 0.2 * GRAVITY
STEP, BEGINS, RISE, LONG = (
    0.3 * GRAVITY,
    0.2,
    0.1,
    5.0,
)  # lateral step [m/s2], when it begins, the time it takes and that watched [s]
STEP_SPEED = 15.0  # m/s; on level ground the answer does not depend on it
SETTLED = 0.05  # of the final roll
STEEPEST = 1.4  # rad: as far as a slope is looked for
PAST = 1.3  # of the rigid bound: as far as a limit is looked for
CORNERS = 33  # of the grip curves
TIPS = "no rest in a gentle corner: it tips"
SAID_SLIP = "give tyre.friction on every axle"


@dataclass(frozen=True, eq=False)
class _Stood:
    """One load state: where its wheels lift and it tips, and what it does in gentle corners and stops."""

    at: InState
    ways: dict[str, Reach]
    bound: float
    gradient: float
    transfer: Floats
    brake_pitch: float
    pull_pitch: float
    slides: Floats


def stand(ready: Ready) -> Answer:
    """Answer the question."""
    limits = ready.design.limits
    stood = [_stood(at) for at in ready.states]
    figures: list[Figure] = []

    def judge(
        measure: str, sense: str, field: str, unit: str, kind: str, values: list[tuple[float | None, str, str]]
    ) -> None:
        """The state that governs of a measure; a value of None is one that is not reached as far as it was looked for."""
        limit = getattr(limits, field)
        each = [
            figure(
                measure, math.inf if value is None else value, sense, limit, unit, kind, YOURS,  # type: ignore[arg-type]
                state=one.at.name, where=where, why=why or no_limit(field),
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
            [_least(one, ready, "turning left", "turning right", lift=True) for one in stood],
        )
        judge(
            "tips over at",
            "at least",
            "wheel_lift",
            "m/s**2",
            "lateral",
            [_least(one, ready, "turning left", "turning right", lift=False) for one in stood],
        )
        judge(
            "side slope at which a wheel lifts",
            "at least",
            "side_slope",
            "rad",
            "angle",
            [_least(one, ready, "right side down", "left side down", lift=True) for one in stood],
        )
    judge(
        "steepest climb before it pitches over",
        "at least",
        "climb",
        "rad",
        "angle",
        [_least(one, ready, "climbing", lift=False) for one in stood],
    )
    judge(
        "steepest descent before it pitches over",
        "at least",
        "climb",
        "rad",
        "angle",
        [_least(one, ready, "descending", lift=False) for one in stood],
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
    )
    judge(
        "squat, pulling",
        "at most",
        "pitch_gradient",
        "rad*s**2/m",
        "lean",
        [(one.pull_pitch, "", "no rest there: it pitches over" if math.isnan(one.pull_pitch) else "") for one in stood],
    )
    notes: list[str] = []
    curves: list[Curves] = []
    if ready.home.rig.roll_free:
        stepped, rolled = _stepped(ready)
        figures += stepped
        curves += [*_grip_curves(ready), *rolled]
    facts = [fact for one in stood for fact in _facts(ready, one)] + _anti(ready)
    if any(at.weight.free_surface_roll for at in ready.states):
        notes.append("part-full tanks move their liquid as a free surface; sloshing is not modelled")
    notes.append(
        "climb, descent, dive and squat leave out what gravity adds as the body itself pitches: about 1 deg of the steepest slopes, 7 % of dive and squat, on the unsafe side"
    )
    if not ready.home.rig.roll_free:
        notes.append(
            "a vehicle with no track: what holds it upright is the rider or the towing vehicle; roll is not answered"
        )
    notes.append(
        "rollover figures are for comparison, not for trying; lateral compliance of tyres and load on the outer rim are neglected"
    )
    return answer("stand", ASKS, tuple(figures), tuple(facts), tuple(curves), tuple(notes))  # fmt: skip


def _stood(at: InState) -> _Stood:
    rig, weight = at.rig, at.weight
    bound = rigid_bound(rig, weight.cg)
    ways: dict[str, Way] = {}
    if bound:
        corner, lean = PAST * bound * GRAVITY, min(PAST * math.atan(bound), STEEPEST)
        ways |= {
            "turning left": Way(corner, case=lambda a: Case(across=a)),
            "turning right": Way(corner, case=lambda a: Case(across=-a)),
            "right side down": Way(lean, case=lambda a: Case.slope(lean=a)),
            "left side down": Way(lean, case=lambda a: Case.slope(lean=-a)),
        }
    ways |= {
        "climbing": Way(STEEPEST, case=lambda a: Case.slope(climb=a)),
        "descending": Way(STEEPEST, case=lambda a: Case.slope(climb=-a)),
    }
    found = dict(zip(ways, reaches(rig, list(ways.values())), strict=True))
    cases = [*GENTLE_CORNERS, Case(along=-BRAKING), Case(along=PULLING)]
    rests = equilibria(rig, 0.0, cases)
    pitch = rests.q[:, 1] - at.rest.q[1]
    left = np.sign(rig.wheel_places[:, 1])
    across = np.array([np.bincount(rig.wheel_axle, -left * loads) / 2 for loads in rests.wheel_loads[:2]])
    return _Stood(
        at, found, bound,
        gradient=gradient_of(rests),
        transfer=np.asarray((across[0] - across[1]) / (2 * GENTLE)),
        brake_pitch=float(pitch[2] / BRAKING), pull_pitch=float(-pitch[3] / PULLING),
        slides=_slides(rig, PAST * bound * GRAVITY),
    )  # fmt: skip


def gradient_of(rests: Rests) -> float:
    """Roll per lateral acceleration [rad s2/m] between gentle corners to either side, the first two of some positions of rest."""
    return float(abs(rests.q[0, 2] - rests.q[1, 2]) / (2 * GENTLE))


def roll_gradient(rig: Rig) -> float:
    """Roll per lateral acceleration of a Rig [rad s2/m]."""
    return gradient_of(equilibria(rig, 0.0, GENTLE_CORNERS))


def side_slope(rig: Rig) -> float:
    """The side slope at which the first wheel lifts, the lesser of both directions [rad]."""
    ways = [Way(STEEPEST, case=lambda a: Case.slope(lean=a)), Way(STEEPEST, case=lambda a: Case.slope(lean=-a))]
    return min(STEEPEST if one.lift is None else one.lift for one in reaches(rig, ways))


def _least(one: _Stood, ready: Ready, *ways: str, lift: bool) -> tuple[float | None, str, str]:
    """The least amount over some ways, in which of them, and which wheel lifts; None where none is reached."""
    each = {way: (one.ways[way].lift if lift else one.ways[way].tip) for way in ways}
    known = {way: amount for way, amount in each.items() if amount is not None}
    if not known:
        return None, "", "not reached as far as it was looked for"
    way = min(known, key=lambda name: known[name])
    wheel = one.ways[way].wheel if lift else None
    return known[way], way if wheel is None else f"{way}, {ready.wheels[wheel]}", ""


def rigid_bound(rig: Rig, cg: Sequence[float]) -> float:
    """Lateral acceleration [g] at which a rigid vehicle tips: from its CG across to the nearer line between outer wheels, over its height.

    Track / twice the height for a symmetrical vehicle; 0 for one with no track.
    """
    x, y, z = cg
    places = rig.wheel_places
    if not np.ptp(places[:, 1]):
        return 0.0
    edges = []
    for side in (1, -1):
        outer = {float(at): float((side * places[places[:, 0] == at, 1]).max()) for at in np.unique(places[:, 0])}
        at = np.array(sorted(outer))
        across = np.array([outer[one] for one in at])
        lines = [
            np.interp(x, at[[i, j]], across[[i, j]])
            for i in range(len(at))
            for j in range(i, len(at))
            if at[i] <= x <= at[j]
        ]
        edges.append(max(lines, default=float(across.max())) - side * y)
    return float(min(edges)) / z


def _slides(rig: Rig, most: float) -> Floats:
    """(a,) lateral acceleration at which each axle's tyres can hold no more, counted on the wheel loads there [m/s2]; nan where not known."""
    if not most or np.any(np.isnan(rig.tyre_grip)):
        return np.full(len(rig.axle_share), np.nan)
    found = np.full(len(rig.axle_share), np.inf)
    for side in (1, -1):
        found = np.minimum(found, _slide_to(*_grip_along(rig, side * most)))
    return found


def _slide_to(across: Floats, _: Floats, spare: Floats) -> Floats:
    """(a,) where what is spare of each axle's grip passes nothing [m/s2], either way; endless where it does not."""
    across = np.abs(across)
    found = np.full(spare.shape[1], np.inf)
    for i, line in enumerate(spare.T):
        past = np.flatnonzero(line < 0)
        if len(past) and past[0] > 0:
            k = past[0]
            found[i] = float(np.interp(0.0, [line[k], line[k - 1]], [across[k], across[k - 1]]))
    return found


def _grip_along(rig: Rig, most: float) -> tuple[Floats, Floats, Floats]:
    """Lateral accelerations [m/s2]; at each the share of its grip that an axle uses, and what is spare [N], (n, a)."""
    across = np.linspace(0.0, most, CORNERS)
    rests = equilibria(rig, 0.0, [Case(across=float(a)) for a in across], again=False)
    grip = friction_of(rig, rests.wheel_loads) * rests.wheel_loads
    there = np.array([np.bincount(rig.wheel_axle, row) for row in grip])
    needed = rig.mass * np.abs(across)[:, None] * rig.axle_share
    lost = np.isnan(rests.q[:, 0])
    used, spare = needed / np.maximum(there, 1e-9), there - needed
    used[lost], spare[lost] = np.nan, np.nan
    return across, used, spare


def _facts(ready: Ready, one: _Stood) -> list[Fact]:
    state = one.at.name
    names = [axle.name for axle in ready.design.axles]
    facts = []
    if one.bound:
        facts.append(
            Fact(
                "rigid bound, across to the nearer wheels / height of the centre of gravity",
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
                note=f"moved across at 1 g; {each / total:.0%} of the whole",
            )
            for name, each in zip(names, one.transfer, strict=True)
            if total
        ]
        tip, _, _ = _least(one, ready, "right side down", "left side down", lift=False)
        facts.append(
            Fact(
                "side slope at which it tips over",
                tip,
                "rad",
                "angle",
                state,
                note="" if tip is not None else "not reached",
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
    roll = next((mode for mode in modes(one.at.rig, one.at.rest, damped=True) if mode.name == "roll"), None)
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


def _slip_fact(one: _Stood, names: list[str]) -> Fact:
    """Slides or tips first, and which axle goes first."""
    state = one.at.name
    tip = min(
        (reach.tip for way, reach in one.ways.items() if way.startswith("turning") and reach.tip is not None),
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


def _anti(ready: Ready) -> list[Fact]:
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


def _stepped(ready: Ready) -> tuple[list[Figure], list[Curves]]:
    """Roll after a lateral step, in every load state: damping of the roll mode, overshoot, and the time to settle."""
    from springwright.motion.drive import drive
    from springwright.terrain.obstacles import flat

    limits, lines, overshoots, dampings = ready.design.limits, [], [], []
    time = np.arange(0.0, LONG, 0.02)
    pull = np.vstack([np.zeros_like(time), STEP * np.clip((time - BEGINS) / RISE, 0, 1)])
    for at in ready.states:
        mode = next((one for one in modes(at.rig, at.rest, damped=True) if one.name == "roll"), None)
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
            )
        )
        final = float(equilibria(at.rig, 0.0, Case(across=STEP)).q[0, 2])
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
                )
            )
            continue
        run = drive(at.rig, flat(STEP_SPEED * LONG + 20.0), STEP_SPEED, duration=LONG, accelerations=pull, history=0.02)
        history = np.asarray(run.history)
        roll = history[:, 1 + 3 * len(at.rig.wheel_places) + 2]
        over, settled = after_step(history[:, 0] - BEGINS, roll, at.rest.roll, final)
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
            )
        )
    if not lines:
        return [worst(dampings), worst(overshoots)], []
    curve = Curves(
        "Roll after a lateral step",
        "time",
        "s",
        "duration",
        tuple(history[:, 0].tolist()),
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


def _grip_curves(ready: Ready) -> list[Curves]:
    """Share of its grip each axle uses in a corner, in the design state."""
    at = ready.home
    tracks = at.rig.axle_track[at.rig.axle_track > 0]
    if np.any(np.isnan(at.rig.tyre_grip)) or not len(tracks):
        return []
    across, used, _ = _grip_along(at.rig, PAST * float(tracks.mean()) / (2 * at.weight.cg[2]) * GRAVITY)
    stands = np.isfinite(used).all(axis=1)
    across, used = across[stands], used[stands]
    lines = tuple(
        Curve(axle.name, tuple(column.tolist())) for axle, column in zip(ready.design.axles, used.T, strict=True)
    )
    return [
        Curves(
            "Share of its grip each axle uses in a corner", "lateral", "m/s**2", "lateral", tuple(across.tolist()), "share of grip used", "", "ratio", lines,
            note=f"{at.name}; at 1 it slides; the axle that gets there first decides",
        )
    ]  # fmt: skip
