"""Drive Rigs over ground in time: fixed steps, compiled, with every figure kept while they go.

`drive` takes one Rig over one ground; `drive_many` takes many, each over its own ground at its own speed, on all cores.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import UnsolvedError
from springwright.motion.courses import Course, course, way_of
from springwright.motion.equilibrium import equilibria
from springwright.motion.figures import (
    BIN,
    BINS,
    CHANNELS,
    DAMPER,
    POINT,
    WHEEL,
    Audit,
    DamperRide,
    Drive,
    DriveTable,
    Point,
    PointRide,
    SpringRide,
    StopRide,
    WheelRide,
    shares_of,
    tabled,
)
from springwright.motion.figures import SPRING as SPRING_FIGURES
from springwright.motion.layout import about, channels_of, filters_of, laid_out, lanes, repeated, straight
from springwright.motion.processors import Processor, processor
from springwright.motion.rig import BODY, BUMP_STOP, SPRING, Rig, same_make, stack
from springwright.terrain.ground import Ground

Floats = NDArray[np.float64]
TURNS = 4096  # turning points kept for each spring
SWING = 0.5e-3  # m: a spring's turn-back smaller than this is no turning point
RESIDUAL_LIMIT = 1e-3


class _CannotStandError(UnsolvedError):
    """Some lanes find no rest where they begin; `reasons` says of each why, empty where it does."""

    def __init__(self, reasons: Sequence[str]) -> None:
        super().__init__(next(filter(None, reasons)))
        self.reasons = reasons


class Start(NamedTuple):
    """How runs begin: height above rest (runs,) [m], downward speed [m/s], and whether they are held as on level ground."""

    above: Floats = np.zeros(1)
    sinking: float = 0.0
    held: bool = False

    def stands(self, heights: Floats) -> Floats:
        """(runs, wheels): heights of the ground that a run begins at rest on, of those under its wheels [m]."""
        return np.broadcast_to(heights.max(axis=1, keepdims=True), heights.shape) if self.held else heights


def drive(  # noqa: PLR0913 what a drive may be asked, by name
    rig: Rig,
    ground: Ground,
    speed: float,
    *,
    points: Sequence[Point] = (),
    duration: float | None = None,
    settle: float = 0.0,
    step: float | None = None,
    accelerations: Floats | None = None,
    speeds: Floats | None = None,
    above: float = 0.0,
    sinking: float = 0.0,
    held: bool = False,
    history: float | None = None,
    turning_points: int = TURNS,
    check_step: bool = False,
) -> Drive:
    """Drive over a ground at a speed.

    Parameters
    ----------
    rig : Rig
    ground : Ground
        As the tyre feels it (see `Ground.felt`).
    speed : float
        Forward speed [m/s].
    points : sequence of Point
        Places of the body where ride is read.
    duration : float, optional
        Time driven [s]; to the end of the ground if left out.
    settle : float
        Time at the start in which no figures are kept [s].
    step : float, optional
        Time step [s]; see `motion.courses.longest_step` for the default.
    accelerations : array of shape (2, n), optional
        Acceleration of the vehicle along and across [m/s2], even in time over the run: braking, a lateral step.
    speeds : array of shape (n,), optional
        Speed [m/s], even in time over the run, in place of a constant one.
    above, sinking : float
        Height above its rest at which the whole vehicle starts [m], and its downward speed then [m/s]: a drop.
    held : bool
        Begin at rest as on level ground, as high as the highest under a wheel, and be let go: wheels past an edge are in the air.
    history : float, optional
        Time between rows of the history kept [s].
    turning_points : int
        How many turning points of each spring are kept at most.
    check_step : bool
        Drive again at half the step and report the largest change of the main figures.

    Raises
    ------
    UnsolvedError
        The vehicle finds no rest where it starts, or the run diverges: when, and where on the ground.

    """
    way = course(
        rig, ground, speed, duration=duration, settle=settle, step=step, speeds=speeds, accelerations=accelerations
    )
    every = 0 if history is None else max(round(history / way.dt), 1)
    kept, table = _go(
        [rig], [way], points, Start(np.array([above]), sinking, held), processor("cpu", 1), every, turning_points
    )
    if kept.diverged[0] >= 0:
        raise UnsolvedError(_lost(way, int(kept.diverged[0])))
    if _over(kept)[0]:
        raise UnsolvedError(OVER)
    done = _told(rig, way, points, kept, table, every)
    if not check_step:
        return done
    finer = drive(
        rig,
        ground,
        speed,
        points=points,
        duration=duration,
        settle=settle,
        step=way.dt / 2,
        accelerations=accelerations,
        speeds=speeds,
        above=above,
        sinking=sinking,
        held=held,
    )
    return replace(done, step_error=_largest_change(done, finer))


def let_go(
    rig: Rig, away: Floats, moving: Floats, duration: float, *, points: Sequence[Point] = (), every: float = 0.004
) -> Drive:
    """Let a vehicle go on level ground and see it ring down.

    Parameters
    ----------
    rig : Rig
    away, moving : array of shape (4 + w,)
        Where it is let go, from its rest [m, rad], and how it moves then [m/s, rad/s].
    duration : float
        [s]
    points : sequence of Point
        Places of the body where acceleration is read.
    every : float
        Time between rows of the history [s].

    Raises
    ------
    UnsolvedError
        It finds no rest, or tips over.

    """
    level = Ground("level ground", 1.0, np.zeros(2), np.zeros(2))
    way = course(rig, level, 1e-3, duration=duration)
    still = equilibria(rig, np.zeros((1, len(rig.wheel_places))))
    if any(still.reasons):
        raise UnsolvedError(still.reasons[0])
    rows = max(round(every / way.dt), 1)
    state = still.q[0] + away, np.asarray(moving, dtype=float)
    kept, table = _go([rig], [way], points, Start(), processor("cpu", 1), rows, 0, state=state)
    if kept.diverged[0] >= 0 or _over(kept)[0]:
        raise UnsolvedError(OVER)
    return _told(rig, way, points, kept, table, rows)


def drive_many(
    rigs: Rig | Sequence[Rig],
    grounds: Ground | Sequence[Ground],
    speeds: float | Sequence[float],
    *,
    points: Sequence[Point] = (),
    above: float | Sequence[float] = 0.0,
    duration: float | Sequence[float] | None = None,
    settle: float | Sequence[float] = 0.0,
    threads: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    **options: Any,
) -> DriveTable:
    """Many runs on all cores: figures as arrays, a row for each run [m/s, s].

    Rigs (designs, load states), grounds, speeds, drop heights, durations and settling times are one for all or one for each run;
    `options` are those of `drive` that make sense for many: step, accelerations, sinking, held; and `device`. Runs of one make (see
    `motion.rig.same_make`) go side by side in the lanes of the processor, and the kernel leaves the interpreter free, so
    that plain threads do. A run that diverges or finds no rest leaves a row of nan and its reason.

    A long batch takes `batch_memory` for its table. `rigs` is read a task at a time, so a sequence that makes each Rig when
    asked for it keeps the memory of a hundred thousand designs down to those at work.

    Parameters
    ----------
    device : {"cpu", "gpu"}
        What drives them: the processor, or a graphics processor by the extra `gpu`, in double precision as well: its figures are
        the processor's but for rounding. It takes ten seconds to compile for each make, number of points and power of two of
        runs, and pays from some ten thousand long runs of one make on.
    progress : callable, optional
        Told the runs done and the runs in all, after every task. An exception from it, Ctrl-C among them, ends the
        batch after the tasks at work.

    Raises
    ------
    UnsolvedError
        There is no such device, or none that can be used.

    """
    runs = max(1 if _single(one) else len(one) for one in (rigs, grounds, speeds, above, duration, settle))  # type: ignore[arg-type]
    on = processor(options.pop("device", "cpu"), runs)
    first = rigs if isinstance(rigs, Rig) else rigs[0]
    table = empty_table(first, runs, len(points))
    reasons = ["not driven"] * runs
    sinking, held = float(options.pop("sinking", 0.0)), bool(options.pop("held", False))

    def task(rows: range) -> int:
        mine = [_one(rigs, row) for row in rows]
        ways = [
            course(
                rig,
                _one(grounds, row),
                float(_one(speeds, row)),
                duration=_one(duration, row),
                settle=_one(settle, row),
                **options,
            )
            for rig, row in zip(mine, rows, strict=True)
        ]
        for block in _blocks(mine, ways, on.lanes):
            at = np.array(rows)[block]
            chosen, going = [mine[i] for i in block], [ways[i] for i in block]
            begin = Start(np.array([float(_one(above, row)) for row in at]), sinking, held)
            said = _drive_block(table, at, chosen, going, points, begin, on)
            for row, reason in zip(at, said, strict=True):
                reasons[row] = reason
        return len(rows)

    threads = min(threads or on.tasks, on.tasks) if on.blocks == 1 else threads or on.tasks
    size = max(min(on.lanes * on.blocks, -(-runs // (4 * threads))), on.lanes)
    tasks = [range(begin, min(begin + size, runs)) for begin in range(0, runs, size)]
    done = 0
    pool = ThreadPoolExecutor(threads)
    try:
        waiting = {pool.submit(task, rows) for rows in tasks}
        while waiting:
            ready, waiting = wait(waiting, return_when=FIRST_COMPLETED)
            done += sum(one.result() for one in ready)
            if progress:
                progress(done, runs)
    finally:
        pool.shutdown(cancel_futures=True)
    return replace(table, reasons=tuple(reasons))


def empty_table(rig: Rig, runs: int, points: int) -> DriveTable:
    """A table of nan for so many runs of Rigs like this one."""
    stops = int((rig.element_kind >= BUMP_STOP).sum())
    springs = int((rig.element_kind == SPRING).sum())
    return DriveTable.empty(runs, points, len(rig.wheel_places), len(rig.damper_rows), stops, springs)


def batch_memory(rig: Rig, runs: int, points: int) -> int:
    """Memory [bytes] of the table `drive_many` gives: say it before a long batch starts."""
    return runs * empty_table(rig, 1, points).memory


def _single(one: Any) -> bool:
    return one is None or isinstance(one, Rig | Ground | float | int)


def _one(some: Any, row: int) -> Any:
    return some if _single(some) else some[row]


def _blocks(rigs: list[Rig], ways: list[Course], most: int) -> list[list[int]]:
    """Runs that go side by side: of one make, with the same elements straight, so that one in company is driven as it is alone, and near in length so that few lanes idle."""
    blocks: list[list[int]] = []
    for i in sorted(range(len(rigs)), key=lambda i: ways[i].steps):
        fits = (b for b in blocks if len(b) < most and _alike(rigs[b[0]], rigs[i]))
        block = next(fits, None)
        if block is None:
            blocks.append([i])
        else:
            block.append(i)
    return blocks


def _alike(one: Rig, other: Rig) -> bool:
    return one is other or (same_make(one, other) and np.array_equal(straight(one), straight(other)))


def _drive_block(
    table: DriveTable, rows: NDArray[np.intp], rigs: list[Rig], ways: list[Course], points: Sequence[Point], begin: Start, on: Processor
) -> list[str]:  # fmt: skip
    """Drive a block and put its figures into the table; gives a reason for every run that has none."""
    spare = on.lanes - len(rigs)
    rigs, ways = rigs + rigs[-1:] * spare, ways + ways[-1:] * spare
    try:
        kept, made = _go(
            rigs, ways, points, begin._replace(above=np.pad(begin.above, (0, spare), mode="edge")), on, 0, 0
        )
    except _CannotStandError as error:
        count = len(rows)
        said = [*error.reasons[:count]]
        stand = [i for i in range(count) if not said[i]]
        if stand:  # the others once more without them
            again = _drive_block(
                table,
                rows[stand],
                [rigs[i] for i in stand],
                [ways[i] for i in stand],
                points,
                begin._replace(above=begin.above[stand]),
                on,
            )
            for i, reason in zip(stand, again, strict=True):
                said[i] = reason
        return said
    count = len(rows)
    fine, over = kept.diverged[:count] < 0, _over(kept)[:count]
    good = np.flatnonzero(fine & ~over)
    table.put(rows[good], made.rows(good))
    return [
        _lost(way, int(step)) if not ok else OVER if gone else ""
        for ok, gone, way, step in zip(fine, over, ways, kept.diverged, strict=False)
    ]


TIPPED = 1.2  # rad of pitch or roll at the end of a run past which it has gone over
OVER = "the vehicle tips over on the way"


def _over(kept: Any) -> NDArray[np.bool_]:
    """(lanes,): whether the body lies past where anything would stand at the end."""
    return np.asarray(np.abs(kept.q.reshape(-1, len(kept.diverged))[1:3]).max(axis=0) > TIPPED)


def _lost(way: Course, step: int) -> str:
    return (
        f"the run diverged {step * way.dt:.3f} s in, with the front axle {way.place(step):.2f} m along {way.ground.name}; "
        f"it tips over there, or wants a step below {way.dt * 1e3:.3g} ms"
    )


def _go(
    rigs: Sequence[Rig], ways: Sequence[Course], points: Sequence[Point], begin: Start, on: Processor, every: int, turns: int,
    state: tuple[Floats, Floats] | None = None,
) -> tuple[Any, DriveTable]:  # fmt: skip
    """Let the kernel drive lanes side by side, from rest or from a state q, v of one: what it kept, its flat arrays as (parts, rows, lanes), and the figures."""
    from springwright.motion.kernel import arrays

    width, way = len(rigs), way_of(ways)
    alike = all(one is rigs[0] for one in rigs)
    rig, law = laid_out(rigs[0] if alike else stack(rigs))
    law = repeated(law, width) if alike and width > 1 else law
    ends = len(law.mate) // rig.tyre_rate.shape[1]
    channels = channels_of(rig, points)
    accelerating, leans = (np.broadcast_to(one, (width, *one.shape[1:])) for one in (channels.points, channels.leans))
    through = channels.through
    filters, sections = filters_of(way.dt)
    wheels, elements, dampers = rig.tyre_rate.shape[1], len(rig.element_kind), rig.friction.shape[1]
    springs = int((rig.element_kind == SPRING).sum())
    steps = way.steps
    rows, columns = (steps // every + 1, 1 + 3 * wheels + BODY + len(through)) if every else (0, 0)
    reading = arrays.OutputSpec(
        lanes(accelerating), lanes(leans), channels.leaning, channels.signal, through, lanes(filters), sections, every, BIN, SWING
    )  # fmt: skip
    still = equilibria(rigs[0] if alike else rig, begin.stands(np.array([one.heights(0) for one in ways])))
    if any(still.reasons):
        raise _CannotStandError(still.reasons)
    q = still.q
    v = np.zeros_like(q)
    q[:, :1] += begin.above[:, None]
    q[:, BODY:] += begin.above[:, None]
    law = about(law, still.q)
    v[:, :1] -= begin.sinking
    v[:, BODY:] -= begin.sinking
    if state is not None:
        q, v = state[0][None].copy(), state[1][None].copy()
    wheel, element, damper = (
        np.zeros((wheels, len(arrays.WHEEL), width)),
        np.zeros((elements, len(arrays.ELEMENT), width)),
        np.zeros((dampers, len(arrays.DAMPER), width)),
    )
    wheel[:, [2, 6]], wheel[:, [3, 7]] = np.inf, -np.inf
    element[:, 0], element[:, 1], damper[:, 0], damper[:, 1] = np.inf, -np.inf, np.inf, -np.inf
    kept = arrays.Accumulators(
        wheel=wheel.ravel(),
        element=element.ravel(),
        damper=damper.ravel(),
        channel=np.zeros(len(arrays.CHANNEL) * len(through) * width),
        work=np.zeros(len(arrays.WORK) * width),
        q=lanes(q),
        v=lanes(v),
        diverged=np.full(width, -1),
        bins=np.zeros((dampers if width == 1 else 0, len(BINS)), dtype=np.int64),
        turns=np.zeros((springs if width == 1 else 0, turns)),
        turned=np.zeros(springs if width == 1 else 0, dtype=np.int64),
        history=np.zeros((rows, columns)),
    )
    on.run((0,) * width, (0,) * ends, law, way, reading, kept)
    shaped = kept._replace(
        wheel=kept.wheel.reshape(wheel.shape),
        element=kept.element.reshape(element.shape),
        damper=kept.damper.reshape(damper.shape),
        channel=kept.channel.reshape(len(through), len(arrays.CHANNEL), width),
        work=kept.work.reshape(len(arrays.WORK), width),
    )
    count = np.maximum(way.last + 1 - way.settle, 1)
    return shaped, tabled(shaped, count, way.dt, law.always, springs)


def _told(rig: Rig, way: Course, points: Sequence[Point], kept: Any, table: DriveTable, every: int) -> Drive:
    """One run as a result with names."""
    notes = list(way.ground.notes)
    turns = kept.turns.shape[1]
    if turns and np.any(kept.turned > turns):
        notes.append(f"more than {turns} turning points of a spring; the first {turns} are kept")
    audit = Audit(*table.audit[0].tolist())
    if audit.residual > RESIDUAL_LIMIT:
        notes.append(f"the energy audit leaves {audit.residual:.1e} of the work open; take a smaller step")
    return Drive(
        ground=way.ground.name,
        speed=way.speed,
        duration=way.steps * way.dt,
        step=way.dt,
        step_reason=way.reason,
        points=tuple(
            PointRide(point.name, **dict(zip(POINT, row, strict=True)))
            for point, row in zip(points, table.points[0].tolist(), strict=True)
        ),
        wheels=tuple(
            WheelRide(int(axle), **dict(zip(WHEEL, row, strict=True)) | {"lifts": int(row[WHEEL.index("lifts")])})
            for axle, row in zip(rig.wheel_axle, table.wheels[0].tolist(), strict=True)
        ),
        stops=tuple(
            StopRide(
                wheel,
                "bump" if rig.element_kind[e] == BUMP_STOP else "droop",
                int(row[0]),
                *row[1:],
            )
            for (e, wheel), row in zip(rig.stops, table.stops[0].tolist(), strict=True)
        ),
        dampers=tuple(
            DamperRide(**dict(zip(DAMPER, row, strict=True)), bins=BINS, shares=shares_of(bins))
            for row, bins in zip(table.dampers[0].tolist(), kept.bins, strict=True)
        ),
        springs=tuple(
            SpringRide(
                **dict(zip(SPRING_FIGURES, row, strict=True)),
                turning_points=tuple(line[: min(int(turned), turns)].tolist()),
                turned=int(turned),
            )
            for row, line, turned in zip(table.springs[0].tolist(), kept.turns, kept.turned, strict=True)
        ),
        audit=audit,
        history=kept.history if every else None,
        columns=_columns(rig, points) if every else (),
        notes=tuple(notes),
    )


def _columns(rig: Rig, points: Sequence[Point]) -> tuple[str, ...]:
    wheels = range(len(rig.wheel_places))
    of_wheels = [f"{what} {i + 1}" for what in ("travel [m]", "tyre load [N]", "wheel height [m]") for i in wheels]
    body = ["heave [m]", "pitch [rad]", "roll [rad]", "twist [rad]"]
    kinds = (
        "up weighted [m/s2]",
        "along weighted [m/s2]",
        "across weighted [m/s2]",
        "up [m/s2]",
        "up below 30 Hz [m/s2]",
        "absorbing [W^0.5]",
    )
    assert len(kinds) == CHANNELS
    read = [f"{point.name} {kind}" for point in points for kind in kinds]
    return ("time [s]", *of_wheels, *body, *read)


def _largest_change(one: Drive, two: Drive) -> float:
    """Largest relative change between two runs of RMS and peaks at points, travel and loads."""
    worst = 0.0
    for a, b in zip(one.points, two.points, strict=True):
        worst = max(worst, abs(a.up_raw / b.up_raw - 1), abs(a.up_raw_peak / b.up_raw_peak - 1)) if b.up_raw else worst
    for c, d in zip(one.wheels, two.wheels, strict=True):
        worst = max(
            worst,
            abs(c.load_rms - d.load_rms) / d.load_mean,
            abs(c.travel_rms - d.travel_rms) / max(d.travel_rms, 1e-4),
        )
    return worst
