"""What stops, spring mounts, wheels and dampers feel at most: on the grounds it drives over, its obstacle, and the falls it must take."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from itertools import product

import numpy as np

from springwright.errors import UnsolvedError
from springwright.evaluation import in_threads
from springwright.motion.drive import drive
from springwright.motion.figures import WHEEL, Drive
from springwright.questions.answer import Fact, Figure, figure, worst
from springwright.questions.context import USUAL_SPEED, ProofContext, RoadSection, StateModel, felt_by
from springwright.questions.falls import fall_once, falls_of
from springwright.questions.road_runs import Runs, ToldRun, dampers_of, spring_forces
from springwright.terrain import obstacles
from springwright.terrain.ground import Ground
from springwright.units import show
from springwright.vehicle.axle import Axle

RUN_UP = 1.0  # m of level ground before an obstacle
AFTER = 1.2  # s watched after the rear axle has met one
TAKEN = 0.15  # m: height of obstacle taken where reference.obstacle_height is not given


def cut(ready: ProofContext, ground: Ground) -> Ground:
    """An obstacle with no more level ground before it than the vehicle needs to stand on, as the tyres feel it."""
    base = max(float(np.ptp(at.rig.wheel_places[:, 0])) for at in ready.states)
    first = max(round((obstacles.BEFORE - base - RUN_UP) / ground.spacing), 0)
    return felt_by(ready.design, ready.loads, replace(ground, left=ground.left[first:], right=ground.right[first:]))


def crossed(ready: ProofContext, speed: float) -> float:
    """Time [s] watched of a vehicle that meets an obstacle at a speed."""
    return (RUN_UP + float(np.ptp(ready.home.rig.wheel_places[:, 0])) + 1.0) / speed + AFTER


def events(ready: ProofContext) -> tuple[ToldRun, ...]:
    """The half-round and the falls that the design is judged by, gone in every load state; none where it gives no figure for them."""
    limits, reference = ready.design.limits, ready.design.reference
    plan: list[tuple[StateModel, RoadSection, Callable[[], Drive]]] = []
    if reference.obstacle_height is not None or limits.obstacle_speed is not None:
        height = reference.obstacle_height or TAKEN
        speed = limits.obstacle_speed or reference.speed or USUAL_SPEED
        ground = cut(ready, obstacles.half_round(height))
        name = f"half-round of {show(height, 'length')} at {show(speed, 'speed')}"
        met = RoadSection(name, ground, speed, "reference", rough=False)
        for at in ready.states:
            go = partial(drive, at.rig, ground, speed, points=ready.points, duration=crossed(ready, speed))
            plan.append((at, met, go))
    if limits.drop_height is not None:
        for fall, at in product(falls_of(ready.home.rig), ready.states):
            name = f"drop of {show(limits.drop_height, 'length')}, {fall.name}"
            met = RoadSection(name, fall.ground(at, limits.drop_height), 0.0, "limits", rough=False)
            plan.append((at, met, partial(fall_once, at, fall, limits.drop_height, ready.points)))

    def gone(one: tuple[StateModel, RoadSection, Callable[[], Drive]]) -> ToldRun:
        at, met, go = one
        try:
            return ToldRun(at, met, met.speed, go())
        except UnsolvedError as error:
            return ToldRun(at, met, met.speed, None, reason=str(error))

    return tuple(in_threads(gone, plan))


def blows(ready: ProofContext, runs: Runs, met: Sequence[ToldRun]) -> tuple[list[Figure], list[Fact]]:
    """Stop and mount forces, loads under wheels and damper speeds on the grounds it will meet and in the events `met`."""
    figures: list[Figure] = []
    facts: list[Fact] = []
    told = (*runs.told, *met)
    for i, axle in enumerate(ready.design.axles):
        stops, mounts, dampers = [], [], []
        for one in told:
            lost = one.run is None
            stops.append(
                figure(
                    f"bump stop force, {axle.name}",
                    _stop_force(one, i),
                    "at most",
                    axle.bump_stop.rating if axle.bump_stop else None,
                    "N",
                    "force",
                    "your rating",
                    why=one.reason or "no rating given: axles.bump_stop.rating",
                    lost=lost,
                    **one.place,
                    id="bump_stop_force",
                    axle=axle.name,
                )
            )
            mounts.append(
                figure(
                    f"spring mount force, {axle.name}",
                    _mount_force(one, i, axle),
                    "at most",
                    axle.spring.mount_rating,
                    "N",
                    "force",
                    "your rating",
                    why=one.reason or "no rating given: axles.spring.mount_rating",
                    lost=lost,
                    **one.place,
                    id="spring_mount_force",
                    axle=axle.name,
                )
            )
            dampers += _damper_speeds(ready, one, i)
        figures += [worst(each) for each in (stops, mounts) if each]
        figures += _under_wheels(told, i, axle)
        facts += _on_rim(ready, runs, i, axle)
        if dampers and (axle.damper is None or axle.damper.points is None):
            fastest = worst(dampers)
            facts.append(
                Fact(
                    fastest.measure,
                    fastest.value,
                    "m/s",
                    "piston speed",
                    fastest.state,
                    fastest.ground,
                    "no curve to hold it against: axles.damper.points",
                )
            )
        elif dampers:
            figures.append(worst(dampers))
    return figures, facts  # fmt: skip


def _under_wheels(told: Sequence[ToldRun], index: int, axle: Axle) -> list[Figure]:
    """Largest load under a wheel against the blow that its tyre and its wheel may take, where a rating is given."""
    ratings = [
        (axle.tyre.shock_rating, "your rating of the tyre"), (axle.wheel_shock_rating, "your rating of the wheel"),
    ]  # fmt: skip
    given = [(limit, source) for limit, source in ratings if limit is not None]
    if not given:
        return []
    limit, source = min(given)
    each = [
        figure(
            f"blow on a wheel, {axle.name}",
            None if one.run is None else max(wheel.load_most for wheel in one.run.wheels if wheel.axle == index),
            "at most",
            limit,
            "N",
            "force",
            source,
            why=one.reason,
            lost=one.run is None,
            **one.place,
            id="blow_on_a_wheel",
            axle=axle.name,
        )
        for one in told
    ]
    return [worst(each)] if each else []


def _on_rim(ready: ProofContext, runs: Runs, index: int, axle: Axle) -> list[Fact]:
    """Share of the runs over the design's grounds in which a tyre is pressed down to its rim, and the slowest speed at which one is."""
    measure = f"runs in which the rim carries, {axle.name}"
    if axle.tyre.depth is None:
        return [Fact(measure, None, "", "share", note="not known: give tyre.size or tyre.section_height")]
    mine = np.flatnonzero(ready.home.rig.wheel_axle == index)
    met, driven, slowest = 0, 0, (math.inf, "", "")
    for at in ready.states:
        for stretch in ready.stretches:
            rows = runs.spread.rows(at.name, stretch.name)
            shares = runs.spread.table.wheels[rows][:, mine, WHEEL.index("on_rim")].max(axis=1)
            speeds = np.array(runs.spread.speeds)[rows]
            driven += int(np.isfinite(shares).sum())
            met += int((shares > 0).sum())
            if (shares > 0).any():
                slowest = min(slowest, (float(speeds[shares > 0].min()), stretch.name, at.name))
    if not driven:
        return []
    speed, ground, state = slowest
    note = (
        f"from {show(speed, 'speed')} on {ground}, {state}"
        if met
        else f"its tyres give {show(axle.tyre.depth, 'length')} before that"
    )
    return [Fact(measure, met / driven, "", "share", note=note)]


def _stop_force(told: ToldRun, index: int) -> float | None:
    """Largest force of an axle's bump stops [N]; None for a run that was lost."""
    if told.run is None:
        return None
    mine = np.flatnonzero(told.at.rig.wheel_axle == index)
    return max((stop.force for stop in told.run.stops if stop.wheel in mine and stop.kind == "bump"), default=0.0)


def _mount_force(told: ToldRun, index: int, axle: Axle) -> float | None:
    """Largest force of an axle's springs on the mount of one wheel [N]; None for a run that was lost."""
    if told.run is None:
        return None
    return max(float(forces.max(initial=0.0)) for forces in spring_forces(told, index, axle)) * axle.spring.per_wheel


def _damper_speeds(ready: ProofContext, told: ToldRun, axle: int) -> list[Figure]:
    """Speeds a damper reaches at its own ends, against the last points of its curve; none of a run that was lost."""
    run, mount = told.run, ready.design.axles[axle].damper
    if run is None:
        return []
    ratio = 1.0 if mount is None else float(mount.acts.lengths(0.0, mount.length or 0.0).ratio)
    name = ready.design.axles[axle].name
    mine = dampers_of(told.at, axle)
    points = mount.points if mount is not None else None
    found = []
    for word, sign in (("bump", 1), ("rebound", -1)):
        reached = [
            sign * ratio * (run.dampers[d].bump_speed if sign > 0 else run.dampers[d].rebound_speed) for d in mine
        ]
        if reached:
            limit = None if points is None else sign * points[-1 if sign > 0 else 0][0]
            found.append(
                figure(
                    f"damper speed, {name}, {word}",
                    max(reached),
                    "at most",
                    limit,
                    "m/s",
                    "piston speed",
                    "end of the damper's own curve",
                    why="no curve: axles.damper.points",
                    **told.place,
                    id="damper_speed",
                )
            )
    return found  # fmt: skip
