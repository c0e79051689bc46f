"""Does it slam? Falls level, nose first and on one wheel; half-rounds and steps by height and speed; what stops, mounts and dampers feel."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.evaluation import in_threads
from springwright.motion.figures import POINT, DriveTable
from springwright.motion.rig import BUMP_STOP, Rig
from springwright.questions.answer import (
    PUBLISHED,
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
from springwright.questions.blows import TAKEN, blows, crossed, cut, events
from springwright.questions.context import ProofContext, StateModel
from springwright.questions.falls import LEVEL, fall_many, fall_once, falls_of
from springwright.questions.question import Question
from springwright.questions.ride import Crossing, crossing
from springwright.questions.road_runs import Runs
from springwright.results import PRACTICE
from springwright.sizing.rates import wheel_force
from springwright.terrain import obstacles
from springwright.units import GRAVITY, show
from springwright.vehicle.axle import Axle

Floats = NDArray[np.float64]
ASKS = "Impact: does it slam?"
DROPS = (0.0, 0.02, 0.05, *(0.1 * k for k in range(1, 11)))  # m: heights looked at, from nothing
HEIGHTS = (0.06, 0.10, 0.15, 0.20, 0.25)  # m, of half-rounds and steps
# m/s at which they are met: 0.3 to 20; straight lines between, and from nothing at a standstill
SPEEDS = (0.3, 0.6, 1.0, *(1.5 * 1.38**k for k in range(9)))


ALIKE = 2e-3  # m: heights of obstacles nearer than this are told alike


@dataclass(frozen=True)
class _Met:
    """What each run felt: largest acceleration at a seat below 30 Hz [m/s2] and largest bump stop force [N], nan where a run was lost."""

    shock: Floats
    stop: Floats


def land(ready: ProofContext, runs: Runs, *, brief: bool = False) -> Answer:
    """Answer the question; `brief` leaves out what is told beside the judged figures."""
    figures, facts, curves = _drops(ready)
    more, met, speeds = _obstacles(ready, brief=brief)
    felt, also = blows(ready, runs, events(ready))
    felt = [*_load_factors(ready), *felt]
    if brief:
        return answer("land", ASKS, (*figures, *more, *felt))
    curves += _landing(ready)
    notes = (
        "shock is the largest acceleration, up or down, at the seat mount through a second-order low-pass at 30 Hz",
        "a fall is stated by the height of the tyres above the ground beneath them, let go as the vehicle stands on level ground; "
        + "; ".join(one.said for one in falls_of(ready.home.rig)),
        "landing figures are for comparison, not for trying",
    )
    return answer(
        "land",
        ASKS,
        (*figures, *more, *felt),
        (*facts, *met, *also),
        (curves[0], speeds[0], *curves[1:], *speeds[1:]),
        notes,
    )


def _figures(ready: ProofContext, runs: Runs, ident: str) -> tuple[Figure, ...]:
    """Figures of one id: falls, obstacles and blows are driven each for their own."""
    if ident == "bump_load_factor":
        return tuple(_load_factors(ready))
    if ident == "drop_height":
        return tuple(_drops(ready)[0])
    if ident == "obstacle_speed":
        return tuple(_obstacles(ready, brief=True)[0])
    return tuple(blows(ready, runs, events(ready))[0])


def _drops(ready: ProofContext) -> tuple[list[Figure], list[Fact], list[Curves]]:
    """Drop height to stop contact and to the shock limit, for each way of falling and load state."""
    limits = ready.design.limits
    figures, facts = [], []
    shocks: list[Figure] = []
    drawn: list[tuple[str, Curve, tuple[Mark, ...]]] = []
    falls = falls_of(ready.home.rig)
    tables = in_threads(lambda fall: fall_many(ready, fall, DROPS), falls)
    for fall, table in zip(falls, tables, strict=True):
        word = fall.name
        met = _met(ready.home.rig, table)
        for i, at in enumerate(ready.states):
            mine = slice(i * len(DROPS), (i + 1) * len(DROPS))
            touch = _first_contact(met.stop[mine])
            peak = crossing(DROPS, met.shock[mine], limits.shock, "length")
            held = _held(peak, DROPS[-1], limits.drop_height)
            shocks.append(
                figure(
                    f"drop height to {limits.shock / GRAVITY:.1f} g at the seat, {word}",
                    held,
                    "at least",
                    limits.drop_height,
                    "m",
                    "length",
                    YOURS,
                    state=at.name,
                    where="past it even with no gap" if held == 0.0 else "",
                    why=no_limit("drop_height") if peak.at is not None else peak.note,
                    id="drop_height",
                )
            )
            facts.append(
                Fact(
                    f"drop height to stop contact, {word}",
                    touch,
                    "m",
                    "length",
                    at.name,
                    note="" if touch is not None else f"not touched up to {show(DROPS[-1], 'length')}",
                )
            )
            line = Curve(word, tuple(None if np.isnan(x) else float(x) for x in met.shock[mine]))
            marked = () if peak.at is None else (Mark(word, peak.at, f"{word} at {show(peak.at, 'length')}", gated=True),)  # fmt: skip
            drawn.append((at.name, line, marked))
    for fall in falls:
        mine_too = [one for one in shocks if one.measure.endswith(f", {fall.name}")]
        if mine_too:
            figures.append(worst(mine_too))
    governs = worst(shocks).state if shocks else ready.home.name
    mine_drawn = [(line, marked) for state, line, marked in drawn if state == governs]
    curve = Curves(
        "Shock at the seat by drop height",
        "drop",
        "m",
        "length",
        DROPS,
        "shock",
        "m/s**2",
        "lateral",
        tuple(line for line, _ in mine_drawn),
        note=governs,
        state=governs,
        bounds=bounds(
            bound("y", limits.shock, f"over {show(limits.shock, 'lateral')}"),
            bound(
                "x",
                limits.drop_height,
                f"not to be reached before {show(limits.drop_height or 0.0, 'length')}",
                above=False,
            ),
        ),
        marks=tuple(mark for _, marked in mine_drawn for mark in marked),
    )
    return figures, facts, [curve]  # fmt: skip


def _load_factors(ready: ProofContext) -> list[Figure]:
    """Force of each axle's springs at the stop over the sprung load they carry at rest, of the load state where it is least."""
    limits = ready.design.limits
    source = YOURS if "bump_load_factor" in limits.model_fields_set else PRACTICE
    figures = []

    def factor(axle: Axle, at: StateModel, i: int) -> float:
        """Endless where the springs carry nothing, as of an axle that hangs."""
        carried = GRAVITY * (float(np.mean(at.told.axles[i].wheel_loads)) - axle.unsprung_mass / axle.wheels)
        return wheel_force(axle, at.laws[i], axle.travel.bump) / carried if carried > 0 else math.inf

    for i, axle in enumerate(ready.design.axles):
        figures.append(
            worst(
                [
                    figure(
                        f"bump load factor, {axle.name}",
                        factor(axle, at, i),
                        "at least",
                        limits.bump_load_factor,
                        "",
                        "ratio",
                        source,
                        state=at.name,
                        id="bump_load_factor",
                        axle=axle.name,
                    )
                    for at in ready.states
                ]
            )
        )
    return figures


def _held(found: Crossing, looked: float, limit: float | None) -> float | None:
    """A value found; endless where it is not reached as far as a limit asks, nought where it is passed from the start, else not known."""
    if found.at is not None or found.passed is None:
        return found.at
    if found.passed:
        return 0.0
    return math.inf if limit is None or limit <= looked else None


def _first_contact(force: Floats) -> float | None:
    """The drop at which a bump stop is first touched; the force past it grows about as the drop, which is followed back to nothing."""
    touched = np.flatnonzero(force > 0)
    if not len(touched):
        return None
    i = int(touched[0])
    if i + 1 < len(force) and force[i + 1] > force[i]:
        back = DROPS[i] - force[i] * (DROPS[i + 1] - DROPS[i]) / (force[i + 1] - force[i])
        return float(max(back, DROPS[i - 1] if i else 0.0))
    return float(DROPS[i])


def _landing(ready: ProofContext) -> list[Curves]:
    """One landing in time, in the design state: travel and acceleration."""
    height = ready.design.limits.drop_height or 0.3
    at = ready.home
    run = fall_once(at, LEVEL, height, ready.points, history=0.004)
    time = tuple(run.column("time [s]").tolist())
    said = "" if ready.design.limits.drop_height else ", taken: limits.drop_height is not given"
    note = f"{at.name}, level drop of {show(height, 'length')}{said}"
    travel = tuple(
        Curve(name, tuple(run.column(f"travel [m] {i + 1}").tolist()), fellow(name))
        for i, name in enumerate(ready.wheels)
    )
    seats = tuple(
        Curve(point.name, tuple(run.column(f"{point.name} up below 30 Hz [m/s2]").tolist())) for point in ready.points
    )
    return [
        Curves("Landing: wheel travel", "time", "s", "duration", time, "travel", "m", "length", travel, note=note),
        Curves("Landing: acceleration at the seats", "time", "s", "duration", time, "up, below 30 Hz", "m/s**2", "acceleration", seats, note=note),
    ]  # fmt: skip


def _obstacles(ready: ProofContext, *, brief: bool) -> tuple[list[Figure], list[Fact], list[Curves]]:
    """Speed at which half-rounds and steps of each height reach the shock limit at the worst seat, and that of the reference obstacle."""
    from springwright.motion.drive import drive_many

    limits, reference = ready.design.limits, ready.design.reference.obstacle_height
    asked = reference or TAKEN
    # two lines of one name would be one
    usual = () if brief else tuple(one for one in HEIGHTS if abs(one - asked) > ALIKE)
    heights = tuple(sorted({*usual, asked}))
    shapes = {"half-round": obstacles.half_round, "step": obstacles.step}
    plan = [
        (at, word, height)
        for at in ready.states
        for word in shapes
        for height in heights
        if at is ready.home or height == (reference or TAKEN)
    ]
    grounds = {(word, height): cut(ready, shapes[word](height)) for word in shapes for height in heights}
    table = drive_many(
        [at.rig for at, _, _ in plan for _ in SPEEDS],
        [grounds[word, height] for _, word, height in plan for _ in SPEEDS],
        [speed for _ in plan for speed in SPEEDS],
        points=ready.points,
        duration=[crossed(ready, speed) for _ in plan for speed in SPEEDS],
    )
    met = _met(ready.home.rig, table)
    facts, by_height, judged = [], {word: {} for word in shapes}, []  # type: ignore[var-annotated]
    shocks: dict[float, Floats] = {}
    source = YOURS if "shock" in limits.model_fields_set else PUBLISHED
    for i, (at, word, height) in enumerate(plan):
        mine = slice(i * len(SPEEDS), (i + 1) * len(SPEEDS))
        found = crossing((0.0, *SPEEDS), np.append(0.0, met.shock[mine]), limits.shock, "speed")
        speed, note, _ = found
        if at is ready.home:
            by_height[word][height] = speed
            if word == "half-round":
                shocks[height] = met.shock[mine]
            facts.append(
                Fact(
                    f"speed at {limits.shock / GRAVITY:.1f} g, {word} {show(height, 'length')}",
                    speed,
                    "m/s",
                    "speed",
                    at.name,
                    note=note,
                )
            )
        if word == "half-round" and height == (reference or TAKEN):
            said = "" if reference else "height taken: reference.obstacle_height is not given"
            judged.append(
                figure(
                    f"speed over a {show(height, 'length')} half-round at {limits.shock / GRAVITY:.1f} g",
                    _held(found, SPEEDS[-1], limits.obstacle_speed),
                    "at least",
                    limits.obstacle_speed,
                    "m/s",
                    "speed",
                    f"{YOURS}; {limits.shock / GRAVITY:.1f} g: {source}",
                    state=at.name,
                    where=said,
                    why=no_limit("obstacle_speed") if speed is not None else note,
                    id="obstacle_speed",
                )
            )
    lines = tuple(Curve(word, tuple(by_height[word].get(height) for height in heights)) for word in shapes)
    curve = Curves(
        f"Speed at {limits.shock / GRAVITY:.1f} g by obstacle height",
        "height",
        "m",
        "length",
        heights,
        "speed",
        "m/s",
        "speed",
        lines,
        note=ready.home.name,
    )
    if brief:
        return [worst(judged)], facts, [curve]
    return [worst(judged)], facts, [_crossing_shocks(ready, shocks, asked, worst(judged)), curve]


def _crossing_shocks(ready: ProofContext, shocks: dict[float, Floats], reference: float, judged: Figure) -> Curves:
    """Shock at the worst seat by speed over a half-round of each height, in the design state, and where the state that governs gets there."""
    limits, speeds = ready.design.limits, (0.0, *SPEEDS)
    lines = tuple(
        Curve(show(height, "length"), (0.0, *(None if np.isnan(one) else float(one) for one in each)))
        for height, each in shocks.items()
    )
    reached = crossing(speeds, np.append(0.0, shocks[reference]), limits.shock, "speed").at
    said = show(reference, "length")
    marks = [] if reached is None else [Mark(said, reached, f"{said} at {show(reached, 'speed')}", gated=True)]
    if judged.value is not None and judged.state not in ("", ready.home.name):
        marks.append(Mark(said, judged.value, f"{judged.state} at {show(judged.value, 'speed')}", gated=True))
    return Curves(
        "Shock at the seat over a half-round", "speed", "m/s", "speed", speeds, "shock", "m/s**2", "lateral", lines,
        note=f"{ready.home.name}; a line to each height; asked of {said}", marks=tuple(marks), state=ready.home.name,
        bounds=bounds(bound("y", limits.shock, f"over {show(limits.shock, 'lateral')}"), bound("x", limits.obstacle_speed, f"not to be reached before {show(limits.obstacle_speed or 0.0, 'speed')}", above=False)),
    )  # fmt: skip


def _met(rig: Rig, table: DriveTable) -> _Met:
    """The worst seat and bump stop of every run."""
    kinds = rig.element_kind[rig.element_kind >= BUMP_STOP]
    bump = table.stops[:, kinds == BUMP_STOP, 2]
    return _Met(
        table.points[:, :, POINT.index("shock")].max(axis=1), bump.max(axis=1) if bump.shape[1] else np.zeros(len(bump))
    )


LAND = Question("land", "Lands", land, part=_figures)
