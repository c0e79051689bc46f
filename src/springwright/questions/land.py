"""Does it slam? Drops level, nose first and on one wheel; half-rounds and steps by height and speed; what stops, mounts and dampers feel."""

from __future__ import annotations

import math
import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from springwright.motion.figures import POINT, WHEEL, DriveTable
from springwright.questions.answer import (
    PUBLISHED,
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
from springwright.questions.ready import InState, Ready, felt_by
from springwright.questions.ride import crossing
from springwright.questions.runs import Runs, Told, dampers_of, spring_forces
from springwright.terrain import obstacles
from springwright.terrain.ground import Ground
from springwright.units import GRAVITY, show
from springwright.vehicle.axle import Axle
from springwright.vehicle.rig import BUMP_STOP, Rig

Floats = NDArray[np.float64]
ASKS = "Does it slam?"
DROPS = (0.0, 0.02, 0.05, *(0.1 * k for k in range(1, 11)))  # m: heights looked at, from nothing
FALLS = {
    "level": (0.0, 0.0),
    "nose first": (math.radians(4), 0.0),
    "one wheel first": (math.radians(3), math.radians(3)),
}
FALL_TIME = 1.6  # s watched, the longest fall counted in
HEIGHTS = (0.06, 0.10, 0.15, 0.20, 0.25)  # m, of half-rounds and steps
# m/s at which they are met: 0.3 to 20; straight lines between, and from nothing at a standstill
SPEEDS = (0.3, 0.6, 1.0, *(1.5 * 1.38**k for k in range(9)))
AFTER = 1.2  # s watched after the rear axle has met one
RUN_UP = 1.0  # m of level ground before one
TAKEN = 0.15  # m: height of obstacle taken where reference.obstacle_height is not given


@dataclass(frozen=True)
class _Met:
    """What each run felt: largest acceleration at a seat below 30 Hz [m/s2] and largest bump stop force [N], nan where a run was lost."""

    shock: Floats
    stop: Floats


def land(ready: Ready, runs: Runs, *, brief: bool = False) -> Answer:
    """Answer the question; `brief` leaves out what is told beside the judged figures."""
    figures, facts, curves = _drops(ready)
    more, met, speeds = _obstacles(ready, brief=brief)
    felt, also = _forces(ready, runs)
    if brief:
        return answer("land", ASKS, (*figures, *more, *felt))
    curves += _landing(ready)
    notes = (
        "shock is the largest acceleration, up or down, at the seat mount through a second-order low-pass at 30 Hz",
        "a drop is the gap under the lowest tyre, let go with the springs loaded as they stand; nose first is 4 deg nose down, one wheel first 3 deg nose and 3 deg right side down, so that the other end falls farther",
        "landing figures are for comparison, not for trying",
    )
    return answer("land", ASKS, (*figures, *more, *felt), (*facts, *met, *also), (*curves, *speeds), notes)


def _drops(ready: Ready) -> tuple[list[Figure], list[Fact], list[Curves]]:
    """Drop height to stop contact and to the shock limit, for each way of falling and load state."""
    from springwright.motion.drive import drive_many
    from springwright.terrain.obstacles import flat

    limits, ground = ready.design.limits, flat(30.0)
    figures, facts, lines = [], [], []
    shocks: list[Figure] = []
    falls = {word: tilt for word, tilt in FALLS.items() if ready.home.rig.roll_free or not tilt[1]}

    def fall(tilt: tuple[float, float]) -> DriveTable:
        return drive_many(
            [at.rig for at in ready.states for _ in DROPS], ground, 1.0, points=ready.points, tilt=tilt, duration=FALL_TIME,
            above=[height + _squash(at, tilt) for at in ready.states for height in DROPS],
        )  # fmt: skip

    with ThreadPoolExecutor(os.cpu_count()) as pool:
        tables = list(pool.map(fall, falls.values()))
    for word, table in zip(falls, tables, strict=True):
        met = _met(ready.home.rig, table)
        for i, at in enumerate(ready.states):
            mine = slice(i * len(DROPS), (i + 1) * len(DROPS))
            touch = _first_contact(met.stop[mine])
            peak, note = crossing(DROPS, met.shock[mine], limits.shock, "length")
            held = _held(peak, note, DROPS[-1], limits.drop_height)
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
                    why=no_limit("drop_height") if peak is not None else note,
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
            if at is ready.home:
                lines.append(Curve(word, tuple(None if np.isnan(x) else float(x) for x in met.shock[mine])))
    for word in falls:
        mine_too = [one for one in shocks if one.measure.endswith(word)]
        if mine_too:
            figures.append(worst(mine_too))
    curve = Curves(
        "Shock at the seat by drop height",
        "drop",
        "m",
        "length",
        DROPS,
        "shock",
        "m/s**2",
        "acceleration",
        tuple(lines),
        note=ready.home.name,
    )
    return figures, facts, [curve]  # fmt: skip


def _squash(at: InState, tilt: tuple[float, float]) -> float:
    """How far the lowest tyre is squashed at rest [m]: it leaves the ground only when it is raised by more."""
    lowest = int(np.argmin(-at.rig.travel_map[:, 1:3] @ np.array(tilt)))
    return float(at.rest.wheel_loads[lowest] / at.rig.tyre_rate[lowest])


def _held(found: float | None, note: str, looked: float, limit: float | None) -> float | None:
    """A value found; endless where it is not reached as far as a limit asks, nought where it is passed from the start, else not known."""
    if found is not None:
        return found
    if note.startswith("not reached"):
        return math.inf if limit is None or limit <= looked else None
    return 0.0 if note.startswith("passed") else None


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


def _landing(ready: Ready) -> list[Curves]:
    """One landing in time, in the design state: travel and acceleration."""
    from springwright.motion.drive import drive
    from springwright.terrain.obstacles import flat

    height = ready.design.limits.drop_height or 0.3
    at = ready.home
    run = drive(
        at.rig,
        flat(30.0),
        1.0,
        points=ready.points,
        above=height + _squash(at, (0.0, 0.0)),
        duration=FALL_TIME,
        history=0.004,
    )
    time = tuple(run.column("time [s]").tolist())
    said = "" if ready.design.limits.drop_height else ", taken: limits.drop_height is not given"
    note = f"{at.name}, level drop of {show(height, 'length')}{said}"
    travel = tuple(
        Curve(name, tuple(run.column(f"travel [m] {i + 1}").tolist())) for i, name in enumerate(ready.wheels)
    )
    seats = tuple(
        Curve(point.name, tuple(run.column(f"{point.name} up below 30 Hz [m/s2]").tolist())) for point in ready.points
    )
    return [
        Curves("Landing: wheel travel", "time", "s", "duration", time, "travel", "m", "length", travel, note=note),
        Curves("Landing: acceleration at the seats", "time", "s", "duration", time, "up, below 30 Hz", "m/s**2", "acceleration", seats, note=note),
    ]  # fmt: skip


def _obstacles(ready: Ready, *, brief: bool) -> tuple[list[Figure], list[Fact], list[Curves]]:
    """Speed at which half-rounds and steps of each height reach the shock limit at the worst seat, and that of the reference obstacle."""
    from springwright.motion.drive import drive_many

    limits, reference = ready.design.limits, ready.design.reference.obstacle_height
    heights = tuple(sorted({*(() if brief else HEIGHTS), reference or TAKEN}))
    shapes = {"half-round": obstacles.half_round, "step": obstacles.step}
    plan = [
        (at, word, height)
        for at in ready.states
        for word in shapes
        for height in heights
        if at is ready.home or height == (reference or TAKEN)
    ]
    grounds = {(word, height): cut(ready, shapes[word](height)) for word in shapes for height in heights}
    base = float(np.ptp(ready.home.rig.wheel_places[:, 0]))
    table = drive_many(
        [at.rig for at, _, _ in plan for _ in SPEEDS],
        [grounds[word, height] for _, word, height in plan for _ in SPEEDS],
        [speed for _ in plan for speed in SPEEDS],
        points=ready.points,
        duration=[(RUN_UP + base + 1.0) / speed + AFTER for _ in plan for speed in SPEEDS],
    )
    met = _met(ready.home.rig, table)
    facts, by_height, judged = [], {word: {} for word in shapes}, []  # type: ignore[var-annotated]
    source = YOURS if "shock" in limits.model_fields_set else PUBLISHED
    for i, (at, word, height) in enumerate(plan):
        mine = slice(i * len(SPEEDS), (i + 1) * len(SPEEDS))
        speed, note = crossing((0.0, *SPEEDS), np.append(0.0, met.shock[mine]), limits.shock, "speed")
        if at is ready.home:
            by_height[word][height] = speed
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
                    _held(speed, note, SPEEDS[-1], limits.obstacle_speed),
                    "at least",
                    limits.obstacle_speed,
                    "m/s",
                    "speed",
                    f"{YOURS}; {limits.shock / GRAVITY:.1f} g: {source}",
                    state=at.name,
                    where=said,
                    why=no_limit("obstacle_speed") if speed is not None else note,
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
    return [worst(judged)], facts, [curve]  # fmt: skip


def cut(ready: Ready, ground: Ground) -> Ground:
    """An obstacle with no more level ground before it than the vehicle needs to stand on, as the tyres feel it."""
    base = max(float(np.ptp(at.rig.wheel_places[:, 0])) for at in ready.states)
    first = max(round((obstacles.BEFORE - base - RUN_UP) / ground.spacing), 0)
    return felt_by(ready.design, ready.loads, replace(ground, left=ground.left[first:], right=ground.right[first:]))


def _met(rig: Rig, table: DriveTable) -> _Met:
    """The worst seat and bump stop of every run."""
    kinds = rig.element_kind[rig.element_kind >= BUMP_STOP]
    bump = table.stops[:, kinds == BUMP_STOP, 2]
    return _Met(
        table.points[:, :, POINT.index("shock")].max(axis=1), bump.max(axis=1) if bump.shape[1] else np.zeros(len(bump))
    )


def _forces(ready: Ready, runs: Runs) -> tuple[list[Figure], list[Fact]]:
    """Stop and mount forces and damper speeds on the grounds it will meet."""
    figures: list[Figure] = []
    facts: list[Fact] = []
    for i, axle in enumerate(ready.design.axles):
        stops, mounts, dampers = [], [], []
        for one in runs.told:
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
                )
            )
            dampers += _damper_speeds(ready, one, i)
        figures += [worst(each) for each in (stops, mounts) if each]
        figures += _blows(runs, i, axle)
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


def _blows(runs: Runs, index: int, axle: Axle) -> list[Figure]:
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
        )
        for one in runs.told
    ]
    return [worst(each)] if each else []


def _on_rim(ready: Ready, runs: Runs, index: int, axle: Axle) -> list[Fact]:
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


def _stop_force(told: Told, index: int) -> float | None:
    """Largest force of an axle's bump stops [N]; None for a run that was lost."""
    if told.run is None:
        return None
    mine = np.flatnonzero(told.at.rig.wheel_axle == index)
    return max((stop.force for stop in told.run.stops if stop.wheel in mine and stop.kind == "bump"), default=0.0)


def _mount_force(told: Told, index: int, axle: Axle) -> float | None:
    """Largest force of an axle's springs on the mount of one wheel [N]; None for a run that was lost."""
    if told.run is None:
        return None
    return max(float(forces.max(initial=0.0)) for forces in spring_forces(told, index, axle)) * axle.spring.per_wheel


def _damper_speeds(ready: Ready, told: Told, axle: int) -> list[Figure]:
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
                )
            )
    return found  # fmt: skip
