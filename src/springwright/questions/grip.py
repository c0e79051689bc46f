"""Does it keep its wheels on the ground, and can it pull? Ramps, ditches and a twist course at rest; rough ground in time."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.evaluation import kept_with_argument, remembered
from springwright.formula import Working, formula
from springwright.motion.equilibrium import equilibria
from springwright.motion.figures import WHEEL
from springwright.motion.rig import Rig, row
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
    fellow,
    figure,
    no_limit,
    worst,
)
from springwright.questions.context import ProofContext, StateModel
from springwright.questions.limit_search import GrowingCase, LimitFound, reaches
from springwright.questions.question import Question
from springwright.questions.road_runs import SPEEDS, Runs
from springwright.questions.traction import gradeability, traction
from springwright.units import show
from springwright.vehicle.design import Design

Floats = NDArray[np.float64]
DITCH = "Load on each wheel over a diagonal ditch"
PULL = "Pull kept over a diagonal ditch"
ASKS = "Traction: does it keep its wheels on the ground, and can it pull?"
RAMP = math.radians(20)  # the usual ramp; an index on another is not comparable
HIGHEST = 2.5  # m: as far as a ramp or a ditch is looked for
TWIST_STEPS = 49
TWIST_SHARE = 0.8  # height of the twist course, of the cross-axle articulation height
DEEPER = 1.25  # of the first lift, or of what is asked: as far as wheel loads are told
DITCH_STEPS = 41
LEAST_SHARE = 5.0  # percent: the percentile of wheel load that is told
TAKEN = 0.2  # m: the height of a diagonal ditch where none is given
LARGE_ROLL = 0.35  # rad, past which small angles are at their limit


def grip(ready: ProofContext, runs: Runs, *, brief: bool = False) -> Answer:
    """Answer the question; `brief` leaves out what is told beside the judged figures."""
    figures, facts, curves, notes = _twisted(ready)
    rough, varied, more = _rough(ready, runs)
    pulls, pulled = _pulls(ready)
    if brief:
        return answer("grip", ASKS, (*figures, *rough, *pulls))
    notes += [
        *_taken(ready.design),
        f"ramp of {math.degrees(RAMP):.0f} deg; rolling resistance is left out of traction and gradeability",
        *more,
    ]
    return answer(
        "grip",
        ASKS,
        (*figures, *rough, *pulls),
        (*facts, *varied, *pulled),
        (*curves, *_pull_kept(ready, pulls), _off_map(ready, runs)),
        tuple(notes),
        _workings(ready),
    )


@formula(
    "ramp travel index",
    r"R = \frac{1000 h}{\sin\left(\alpha\right) L}",
    unit="",
    source="common measure of the trade: distance up the ramp over the wheelbase",
    height=("h", "height under the wheel when another lifts", "m"),
    slope=(r"\alpha", "slope of the ramp", "rad"),
    wheelbase=("L", "wheelbase", "m"),
)
def ramp_travel_index(height: Any, slope: Any, wheelbase: Any) -> Any:
    """Distance up a ramp until another wheel lifts, in thousandths of the wheelbase."""
    return 1000 * height / (np.sin(slope) * wheelbase)


def _taken(design: Design) -> list[str]:
    """What is taken of its differentials for want of a word."""
    driven = [axle for axle in design.axles if axle.driven]
    said = [
        f"{axle.name}: differential taken as open, axles.differential is not given"
        for axle in driven
        if axle.differential is None and axle.wheels == 2
    ]
    if len(driven) > 1 and design.driveline.centre_differential is None:
        said.append("differential between the axles taken as open, driveline.centre_differential is not given")
    return said


def diagonal(rig: Rig) -> Floats:
    """(w,) which way each wheel stands on a diagonal ditch: end axles up and down by half, those between on the straight line [-]."""
    x, y = rig.wheel_places.T
    along = 2 * (x - x.min()) / np.ptp(x) - 1
    return np.asarray(along * np.sign(y) / 2)


@kept_with_argument
def twists(rig: Rig) -> tuple[LimitFound, LimitFound]:
    """A diagonal ditch both ways: the height at which a wheel lifts [m]."""
    way = diagonal(rig)
    one, other = reaches(rig, [GrowingCase(HIGHEST, way), GrowingCase(HIGHEST, -way)], tips=False)
    return one, other


@remembered(8)
def twists_in(ready: ProofContext) -> tuple[tuple[LimitFound, LimitFound], ...]:
    """The same in every load state, side by side."""
    ways = [
        GrowingCase(HIGHEST, side * diagonal(at.rig), of=k) for k, at in enumerate(ready.states) for side in (1, -1)
    ]
    found = reaches(ready.batch, ways, tips=False)
    return tuple(zip(found[::2], found[1::2], strict=True))


def cross_axle_height(rig: Rig) -> float:
    """The cross-axle height at which the first wheel lifts, the lesser of both ways [m]."""
    return min(_amount(one) for one in twists(rig))


def cross_axle_heights(rigs: Rig) -> Floats:
    """(runs,) the same of every Rig of a batch [m]."""
    ways = [
        GrowingCase(HIGHEST, side * diagonal(row(rigs, of)), of=of)
        for of in range(len(rigs.tyre_rate))
        for side in (1, -1)
    ]
    return np.asarray(np.reshape([_amount(one) for one in reaches(rigs, ways, tips=False)], (-1, 2)).min(axis=1))


def has_diagonal(design: Design) -> bool:
    """Whether a diagonal ditch can be laid under it: two wheels on the first and on the last of two axles or more."""
    return len(design.axles) > 1 and design.axles[0].wheels == 2 and design.axles[-1].wheels == 2


def one_up(rig: Rig, *, front: bool) -> Floats:
    """(w,) the left or only wheel of an end axle on a ramp, all others level [-]."""
    x, y = rig.wheel_places.T
    end = x.max() if front else x.min()
    return np.asarray(((x == end) & (y >= 0)).astype(float))


def _twisted(ready: ProofContext) -> tuple[list[Figure], list[Fact], list[Curves], list[str]]:
    """Ramp and diagonal ditch in every load state, and wheel loads through a twist course in the design state."""
    limits, facts, notes = ready.design.limits, [], []
    if not has_diagonal(ready.design):
        return (
            [],
            [],
            [],
            [
                "a diagonal ditch and a ramp under one wheel are asked of vehicles whose first and last axle have two wheels"
            ],
        )
    heights, indices, found, sides = [], [], {}, {}
    wheelbase = float(np.ptp(ready.home.rig.wheel_places[:, 0]))
    ramps = [
        GrowingCase(HIGHEST, one_up(at.rig, front=front), of=k)
        for k, at in enumerate(ready.states)
        for front in (True, False)
    ]
    ramped = reaches(ready.batch, ramps, tips=False)
    for k, (at, (ditch, other)) in enumerate(zip(ready.states, twists_in(ready), strict=True)):
        rig = at.rig
        ramp, back = ramped[2 * k : 2 * k + 2]
        found[at.name] = least = min((ditch, other), key=_amount)
        sides[at.name] = 1 if least is ditch else -1
        heights.append(
            figure(
                "cross-axle articulation height",
                _amount(least),
                "at least",
                limits.cross_axle_height,
                "m",
                "length",
                YOURS,
                state=at.name,
                where=_wheel(ready, least),
                why=no_limit("cross_axle_height"),
                id="cross_axle_height",
            )
        )
        index = float(ramp_travel_index(_amount(ramp), RAMP, wheelbase))
        indices.append(
            figure(
                "ramp travel index",
                index,
                "at least",
                limits.ramp_travel_index,
                "",
                "count",
                YOURS,
                state=at.name,
                where=f"front wheel up, {_wheel(ready, ramp)} lifts",
                why=no_limit("ramp_travel_index"),
                id="ramp_travel_index",
            )
        )
        if math.isfinite(_amount(back)):
            facts.append(
                Fact(
                    "ramp travel index, backwards up the ramp",
                    float(ramp_travel_index(_amount(back), RAMP, wheelbase)),
                    "",
                    "count",
                    at.name,
                    note=f"{_wheel(ready, back)} lifts",
                )
            )
        if np.isfinite(rig.twist_rate):
            facts.append(
                Fact(
                    "of the cross-axle height, what chassis twist gives",
                    _amount(least) - cross_axle_height(stiff_framed(rig)),
                    "m",
                    "length",
                    at.name,
                    note="against a frame that does not give",
                )
            )
        if any(reach.lift is None for reach in (ditch, ramp)):
            notes.append(f"{at.name}: no wheel lifts up to {show(HIGHEST, 'length')} of height")
    home, least = ready.home, found[ready.home.name]
    height = TWIST_SHARE * (least.lift or HIGHEST)
    worst_at = worst(heights).state
    governs = _ditch_loads(ready, ready.state(worst_at), found[worst_at], side=sides[worst_at])
    curves = [governs, _twist_course(ready, home, height)]
    lean = equilibria(home.rig, (least.lift or 0.0) * diagonal(home.rig)[None])
    rise = lean.q[0, 4:]
    track = float(home.rig.axle_track.max())
    tilted = math.asin(min(abs(rise[0] - rise[1]) / track, 1.0)) if track else 0.0
    if tilted + abs(lean.q[0, 2]) > LARGE_ROLL:
        notes.append(
            f"at the first lift the front axle stands at {show(tilted + abs(lean.q[0, 2]), 'angle')} to the body: springs and links are taken as they move by small angles there"
        )
    return [worst(heights), worst(indices)], facts, curves, notes  # fmt: skip


def _workings(ready: ProofContext) -> tuple[Working, ...]:
    """The ramp travel index of the design state worked out."""
    rig = ready.home.rig
    if not has_diagonal(ready.design):
        return ()
    (ramp,) = reaches(rig, [GrowingCase(HIGHEST, one_up(rig, front=True))], tips=False)
    if ramp.lift is None:
        return ()
    wheelbase = float(np.ptp(rig.wheel_places[:, 0]))
    return (ramp_travel_index.work(ready.home.name, height=ramp.lift, slope=RAMP, wheelbase=wheelbase),)


def stiff_framed(rig: Rig) -> Rig:
    """The same Rig on a frame that does not give."""
    return replace(rig, twist_rate=np.inf)


def _amount(reach: LimitFound) -> float:
    return math.inf if reach.lift is None else reach.lift


def _wheel(ready: ProofContext, reach: LimitFound) -> str:
    return "" if reach.wheel is None else ready.wheels[reach.wheel]


def _ditch_loads(ready: ProofContext, at: StateModel, least: LimitFound, *, side: int) -> Curves:
    """Wheel loads as a diagonal ditch grows deeper, the way round on which a wheel lifts first."""
    asked = ready.design.limits.cross_axle_height
    heights = np.linspace(0.0, DEEPER * max(least.lift or HIGHEST, asked or 0.0), DITCH_STEPS)
    loads = equilibria(at.rig, side * heights[:, None] * diagonal(at.rig), again=False).wheel_loads
    lifts = (
        ()
        if least.lift is None or least.wheel is None
        else (Mark(ready.wheels[least.wheel], least.lift, f"{ready.wheels[least.wheel]} lifts at {show(least.lift, 'length')}", gated=True),)
    )  # fmt: skip
    return Curves(
        DITCH, "one end's wheel up, the other's across from it", "m", "length", tuple(heights.tolist()), "load", "N", "force",
        tuple(Curve(name, tuple(None if np.isnan(x) else x for x in loads[:, i].tolist()), fellow(name)) for i, name in enumerate(ready.wheels)),
        note=f"{at.name}; the height on which one wheel stands above its fellow at each end, the other way round behind; at rest",
        state=at.name, bounds=bounds(bound("x", asked, f"no wheel may lift before {show(asked or 0.0, 'length')}", above=False)), marks=lifts,
    )  # fmt: skip


def _twist_course(ready: ProofContext, at: StateModel, height: float) -> Curves:
    """Wheel loads as a vehicle crawls over a hump under the left and, a wheelbase on, the right track."""
    rig = at.rig
    base, long = float(np.ptp(rig.wheel_places[:, 0])), 1.5
    place = np.linspace(-0.2, 2 * base + long + 0.2, TWIST_STEPS)
    ahead = rig.wheel_places[:, 0] - rig.wheel_places[:, 0].max()
    late = np.where(rig.wheel_places[:, 1] < 0, base, 0.0)
    within = (place[:, None] + ahead - late) / long
    ground = np.where((within > 0) & (within < 1), height / 2 * (1 - np.cos(2 * np.pi * within)), 0.0)
    loads = equilibria(rig, ground).wheel_loads
    return Curves(
        "Wheel loads over a twist course", "front axle", "m", "distance", tuple(place.tolist()), "load", "N", "force",
        tuple(Curve(name, tuple(loads[:, i].tolist()), fellow(name)) for i, name in enumerate(ready.wheels)),
        note=f"{at.name}; humps {show(height, 'length')} high and {show(long, 'length')} long, left, and a wheelbase on right; crawling",
    )  # fmt: skip


def _rough(ready: ProofContext, runs: Runs) -> tuple[list[Figure], list[Fact], list[str]]:
    """Wheel load kept and time off the ground, every load state on every ground."""
    limits, notes = ready.design.limits, []
    kept, off, facts = [], [], []
    for one in runs.told:
        if one.run is not None and not one.stretch.rough:
            continue
        share = away = None
        held = gone = ""
        if one.run is None:
            notes.append(f"{one.at.name}, {one.stretch.name}: {one.reason}")
        else:
            shares = np.percentile(one.loads, LEAST_SHARE, axis=0) / one.at.rest.wheel_loads
            share, held = float(shares.min()), ready.wheels[int(shares.argmin())]
            aways = np.array([wheel.off_ground for wheel in one.run.wheels])
            away, gone = float(aways.max()), ready.wheels[int(aways.argmax())]
            moves = np.array([wheel.load_rms for wheel in one.run.wheels]) / one.at.rest.wheel_loads
            most = int(moves.argmax())
            measure = "wheel load variation, root mean square / static"
            facts.append(
                Fact(measure, float(moves[most]), "", "share", one.at.name, one.stretch.name, ready.wheels[most])
            )
        lost = one.run is None
        kept.append(
            figure(
                "share of static wheel load kept 95 % of the time",
                share,
                "at least",
                limits.wheel_load_kept,
                "",
                "share",
                YOURS,
                where=held,
                why=one.reason or no_limit("wheel_load_kept"),
                lost=lost,
                **one.place,
                id="wheel_load_kept",
            )
        )
        off.append(
            figure(
                "share of time a wheel is off the ground",
                away,
                "at most",
                limits.off_ground,
                "",
                "share",
                YOURS,
                where=gone,
                why=one.reason or no_limit("off_ground"),
                lost=lost,
                **one.place,
                id="off_ground",
            )
        )
    return [worst(one) for one in (kept, off) if one], facts, notes


def _off_map(ready: ProofContext, runs: Runs) -> Curves:
    """Share of time off the ground by ground and speed: the worst wheel and load state."""
    spread, lines = runs.spread, []
    for stretch in ready.stretches:
        each = [
            spread.table.wheels[spread.rows(at.name, stretch.name)][:, :, WHEEL.index("off_ground")].max(axis=1)
            for at in ready.states
        ]
        lines.append(Curve(stretch.name, tuple(None if np.isnan(x) else float(x) for x in np.max(each, axis=0))))
    return Curves("Share of time a wheel is off the ground", "speed", "m/s", "speed", SPEEDS, "off the ground", "", "share", tuple(lines), note="the worst wheel and load state", mapped="off_ground")  # fmt: skip


def _pulls(ready: ProofContext) -> tuple[list[Figure], list[Fact]]:
    """Traction on the twisted ground as a share of that on the flat, and the steepest slope on each, per load state."""
    limits, design = ready.design.limits, ready.design
    rig = ready.home.rig
    if np.any(np.isnan(rig.tyre_grip)) or not any(axle.driven for axle in design.axles):
        why = "give driven and tyre.friction on the driven axles"
        return [
            figure(
                "traction kept on twisted ground",
                None,
                "at least",
                limits.traction_kept,
                "",
                "share",
                YOURS,
                why=why,
                id="traction_kept",
            )
        ], []
    if not has_diagonal(design):
        return [], [
            Fact(
                "steepest slope it can climb, even ground",
                gradeability(design, at.rig, np.zeros(len(at.rig.wheel_places))),
                "rad",
                "angle",
                at.name,
            )
            for at in ready.states
        ]
    height = design.reference.obstacle_height or TAKEN
    said = f"cross-axle height {show(height, 'length')}" + (
        "" if design.reference.obstacle_height else ", taken: reference.obstacle_height is not given"
    )
    figures, grades, facts = [], [], []
    for at in ready.states:
        rig = at.rig
        twisted = height * diagonal(rig)
        rests = equilibria(rig, np.vstack([np.zeros_like(twisted), twisted, -twisted]), again=False)
        if np.isnan(rests.q[:, 0]).any():
            continue
        flat, *rough = (traction(design, rig, loads) for loads in rests.wheel_loads)
        kept = min(rough) / flat
        figures.append(
            figure(
                "traction kept on twisted ground",
                kept,
                "at least",
                limits.traction_kept,
                "",
                "share",
                YOURS,
                state=at.name,
                where=said,
                why=no_limit("traction_kept"),
                id="traction_kept",
            )
        )
        for word, locks in (("all differentials open", "open"), ("all differentials locked", "locked")):
            both = [traction(design, rig, loads, every=locks) for loads in rests.wheel_loads]
            facts.append(
                Fact(
                    f"traction kept, {word}",
                    min(both[1:]) / both[0],
                    "",
                    "share",
                    at.name,
                    note=f"{show(both[0], 'force')} on the flat",
                )
            )
        worse = twisted if rough[0] <= rough[1] else -twisted
        grades.append(
            figure(
                "steepest slope it can climb on twisted ground",
                gradeability(design, rig, worse),
                "at least",
                limits.climb,
                "rad",
                "angle",
                YOURS,
                state=at.name,
                where=said,
                why=no_limit("climb"),
                id="climb",
            )
        )
        facts.append(
            Fact(
                "steepest slope it can climb, even ground",
                gradeability(design, rig, 0 * twisted),
                "rad",
                "angle",
                at.name,
            )
        )
    return [worst(one) for one in (figures, grades) if one], facts  # fmt: skip


def _pull_kept(ready: ProofContext, pulls: list[Figure]) -> list[Curves]:
    """What is kept of the pull as a diagonal ditch grows deeper, with the differentials as fitted, open and locked; of the load state that governs."""
    governs = next((one for one in pulls if one.id == "traction_kept" and one.value is not None), None)
    at = next((one for one in ready.states if governs is not None and one.name == governs.state), None)
    if governs is None or at is None:
        return []
    design, height = ready.design, ready.design.reference.obstacle_height or TAKEN
    least, heights = design.limits.traction_kept, np.linspace(0.0, DEEPER * height, DITCH_STEPS)
    rests = [equilibria(at.rig, side * heights[:, None] * diagonal(at.rig), again=False) for side in (1, -1)]
    rounds = [np.where(np.abs(one.q[:, 2:3]) > LARGE_ROLL, np.nan, one.wheel_loads) for one in rests]

    def kept(every: str | None) -> tuple[float | None, ...]:
        pull = np.array([[traction(design, at.rig, loads, every=every) for loads in one] for one in rounds])
        share = pull.min(axis=0) / pull[0, 0]
        return tuple(None if np.isnan(one) else float(one) for one in share)

    lines = tuple(
        Curve(name, kept(every))
        for name, every in (("as fitted", None), ("all open", "open"), ("all locked", "locked"))
    )
    mark = Mark("as fitted", height, f"{show(governs.value, 'share')} at {show(height, 'length')}")
    return [
        Curves(
            PULL, "one end's wheel up, the other's across from it", "m", "length", tuple(heights.tolist()), "pull kept", "", "share", lines,
            note=f"{at.name}; what the tyres can pass on, of that on the flat; the way round that keeps less; at rest",
            state=at.name, bounds=bounds(bound("y", least, f"under {show(least, 'share')}", above=False)), marks=(mark,),
        )
    ]  # fmt: skip


GRIP = Question("grip", "Grips", grip)
