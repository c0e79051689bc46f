"""Drive a Rig over ground in time: fixed steps, compiled, with every figure kept while it goes.

`drive` takes one Rig over one ground; `drive_many` takes many over the same ground on all cores.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.errors import UnsolvedError
from springwright.motion.equilibrium import equilibrium
from springwright.motion.figures import (
    BIN,
    POINT_COLUMNS,
    WHEEL_COLUMNS,
    Audit,
    Drive,
    DriveTable,
    Point,
    SpringRide,
    StopRide,
    damper_ride,
    point_ride,
    wheel_ride,
)
from springwright.motion.forces import (
    LEVEL,
    Case,
    applied,
    at_rest,
    gravity_by_lean,
    mass_matrix,
)
from springwright.motion.weighting import analogue, digital
from springwright.terrain.ground import Ground
from springwright.vehicle.rig import BODY, BUMP_STOP, DROOP_STOP, SPRING, Rig

Floats = NDArray[np.float64]
LONGEST_STEP = 0.8e-3  # s; RMS and peaks stay within 0.1 % of an exact solution on ground that does not slam the stops
FILTERS = ("Wk", "Wd", "30 Hz")
TURNS = 4096  # turning points kept for each spring
SWING = 0.5e-3  # m: a spring's turn-back smaller than this is no turning point
RESIDUAL_LIMIT = 1e-3


def longest_step(rig: Rig) -> tuple[float, str]:
    """The default time step [s] and what set it: the steepest damper, the stiffest stop, or the cap."""
    slopes = np.abs(np.diff(rig.damper_force, axis=1) / np.diff(rig.damper_speed, axis=1)).max(axis=1, initial=0.0)
    slopes = slopes + rig.friction / rig.friction_speed
    lightest = float(1 / np.diag(np.linalg.inv(rig.wheel_masses)).max())
    found = [(LONGEST_STEP, "the cap that keeps RMS and peaks within 0.1 %")]
    if len(slopes) and slopes.max() > 0:
        found.append((0.5 * lightest / float(slopes.max()), "the steepest damper slope against the lightest wheel"))
    stiffest = float(rig.tyre_rate.max())
    for kind in (BUMP_STOP, DROOP_STOP):
        rates = rig.element_rate[rig.element_kind == kind]
        stiffest = max(stiffest, float(rig.tyre_rate.max() + rates.max(initial=0.0)))
    found.append(
        (0.15 / float(np.sqrt(stiffest / lightest)), "the stiffest stop with the tyre against the lightest wheel")
    )
    return min(found)


def drive(
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
        Time step [s]; see `longest_step` for the default.
    accelerations : array of shape (2, n), optional
        Acceleration of the vehicle along and across [m/s2], even in time over the run: braking, a lateral step.
    speeds : array of shape (n,), optional
        Speed [m/s], even in time over the run, in place of a constant one.
    above, sinking : float
        Height above its rest at which the whole vehicle starts [m], and its downward speed then [m/s]: a drop.
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
    dt, reason = longest_step(rig) if step is None else (step, "asked for")
    made = _Run(
        rig, ground, speed, points, duration, settle, dt, accelerations, speeds, above, sinking, history, turning_points
    )
    bad = made.go()
    if bad >= 0:
        at = made.positions[bad]
        raise UnsolvedError(
            f"the run diverged {bad * dt:.3f} s in, with the front axle {at:.2f} m along {ground.name}; try a step below {dt * 1e3:.3g} ms"
        )
    done = made.result(reason)
    if not check_step:
        return done
    finer = drive(
        rig,
        ground,
        speed,
        points=points,
        duration=duration,
        settle=settle,
        step=dt / 2,
        accelerations=accelerations,
        speeds=speeds,
        above=above,
        sinking=sinking,
    )
    return replace(done, step_error=_largest_change(done, finer))


def drive_many(
    rigs: Sequence[Rig],
    ground: Ground,
    speed: float | Sequence[float],
    *,
    points: Sequence[Point] = (),
    threads: int | None = None,
    **options: Any,
) -> DriveTable:
    """Many Rigs over one ground, at one speed or one each, on all cores; figures as arrays, a row for each run.

    The kernel leaves the interpreter free, so plain threads do. `options` are those of `drive` that make sense for many:
    duration, settle, step, accelerations, speeds, above, sinking. A run that diverges leaves a row of nan and its reason.
    Rigs may differ in everything but their number of wheels and dampers. See `batch_memory` for what the table takes.
    """
    speeds = np.broadcast_to(np.asarray(speed, dtype=float), len(rigs))
    table = DriveTable.empty(len(rigs), len(points), len(rigs[0].wheel_places), len(rigs[0].damper_rows))

    def fill(row: int) -> str:
        try:
            table.put(row, drive(rigs[row], ground, float(speeds[row]), points=points, turning_points=0, **options))
        except UnsolvedError as error:
            return str(error)
        return ""

    with ThreadPoolExecutor(threads or os.cpu_count()) as pool:
        return replace(table, reasons=tuple(pool.map(fill, range(len(rigs)))))


def batch_memory(runs: int, points: int, wheels: int, dampers: int) -> float:
    """Memory [bytes] of the table `drive_many` gives: say it before a long batch starts."""
    return 8.0 * runs * (POINT_COLUMNS * points + WHEEL_COLUMNS * wheels + dampers + 1)


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


def pack(rig: Rig) -> Any:
    """The Rig as the kernel reads it."""
    from springwright.motion.kernel import Packed

    ends = [_ends(row) for row in rig.element_rows]
    damper_ends = [_ends(row) for row in rig.damper_rows]
    inverse = np.linalg.inv(rig.wheel_masses)
    partner = np.arange(len(inverse))
    for i, row in enumerate(inverse):
        others = [j for j in np.flatnonzero(row) if j != i]
        partner[i] = others[0] if others else i
    mass = np.diag(mass_matrix(rig))[:BODY]
    held = np.ones(BODY)
    held[[b for b in range(BODY) if b not in rig.free]] = 0.0
    step = rig.element_step[:, None]
    f0, f1, k0, k1 = (
        rig.element_force[:, :-1],
        rig.element_force[:, 1:],
        rig.element_rate[:, :-1] * step,
        rig.element_rate[:, 1:] * step,
    )
    cells = np.stack([f0, k0, 3 * (f1 - f0) - 2 * k0 - k1, k0 + k1 - 2 * (f1 - f0)], axis=2)
    stops = np.isin(rig.element_kind, (BUMP_STOP, DROOP_STOP))
    reach = np.tile([-np.inf, np.inf], (len(rig.wheel_places), 1))
    for e in np.flatnonzero(stops):
        wheel = int(np.flatnonzero(rig.element_rows[e])[0])
        droop = rig.element_kind[e] == DROOP_STOP
        reach[wheel, 0 if droop else 1] = rig.element_start[e] + (
            rig.element_step[e] * (rig.element_force.shape[1] - 1) if droop else 0.0
        )
    return Packed(
        body_rows=-np.ascontiguousarray(rig.travel_map[:, :BODY]),
        body_inverse=held / mass,
        partner=partner.astype(np.uintp),
        own_inverse=np.diag(inverse).copy(),
        other_inverse=np.array([0.0 if partner[i] == i else inverse[i, partner[i]] for i in range(len(inverse))]),
        element_first=np.array([end[0] for end in ends], dtype=np.uintp),
        element_second=np.array([end[1] for end in ends], dtype=np.uintp),
        element_near=np.array([end[2] for end in ends]),
        element_far=np.array([end[3] for end in ends]),
        element_start=rig.element_start.astype(float),
        element_scale=1 / rig.element_step,
        element_cells=np.ascontiguousarray(cells),
        element_end=np.ascontiguousarray(rig.element_rate[:, [0, -1]]),
        always=int((~stops).sum()),
        reach=reach,
        damper_first=np.array([end[0] for end in damper_ends], dtype=np.uintp),
        damper_second=np.array([end[1] for end in damper_ends], dtype=np.uintp),
        damper_near=np.array([end[2] for end in damper_ends], dtype=float),
        damper_far=np.array([end[3] for end in damper_ends], dtype=float),
        damper_speed=np.ascontiguousarray(rig.damper_speed),
        damper_force=np.ascontiguousarray(rig.damper_force),
        friction=rig.friction.astype(float),
        friction_speed=float(rig.friction_speed),
        tyre_rate=rig.tyre_rate.astype(float),
        tyre_damping=rig.tyre_damping.astype(float),
        tyre_force=rig.tyre_force.astype(float),
        load=applied(rig, LEVEL),
        lean=gravity_by_lean(rig, LEVEL)[:BODY],
        twist_rate=float(rig.twist_rate) if np.isfinite(rig.twist_rate) else 0.0,
        hitch_rows=np.ascontiguousarray(rig.hitch_map[:, :BODY]).reshape(len(rig.hitch_place), BODY),
        hitch_rate=rig.hitch_rate.astype(float),
        hitch_force=rig.hitch_force.astype(float),
    )


def _ends(row: Floats) -> tuple[int, int, float, float]:
    """The two wheels an element joins and its share of each one's travel."""
    at = np.flatnonzero(row)
    if len(at) > 2:
        raise UnsolvedError(
            "an element that joins more than two wheels cannot be driven yet; equilibrium and modes can"
        )
    first, second = int(at[0]), int(at[-1])
    return first, second, float(row[first]), float(row[second]) if second != first else 0.0


class _Run:
    """One run laid out for the kernel: arrays in, arrays out. It lives only from layout to result."""

    def __init__(
        self, rig: Rig, ground: Ground, speed: float, points: Sequence[Point], duration: float | None, settle: float, dt: float,
        accelerations: Floats | None, speeds: Floats | None, above: float, sinking: float, history: float | None, turns: int,
    ) -> None:  # fmt: skip
        rig = _ordered(rig)
        self.turns = turns
        self.rig, self.ground, self.speed, self.places, self.dt = rig, ground, speed, points, dt
        ahead = rig.wheel_places[:, 0] - rig.wheel_places[:, 0].max()
        start = -float(ahead.min())
        if duration is None:
            duration = max(ground.length - start, 0.0) / speed
        self.steps = max(round(duration / dt), 1)
        time = np.linspace(0.0, 1.0, self.steps + 1)
        if speeds is None:
            self.positions = start + speed * dt * np.arange(self.steps + 1)
        else:
            at = np.interp(time, np.linspace(0, 1, len(speeds)), speeds)
            self.positions = start + np.concatenate([[0.0], np.cumsum((at[1:] + at[:-1]) / 2 * dt)])
        self.pulls = np.zeros((2, self.steps + 1))
        if accelerations is not None:
            for axis in range(2):
                self.pulls[axis] = np.interp(time, np.linspace(0, 1, accelerations.shape[1]), accelerations[axis])
        self.tracks = np.ascontiguousarray([ground.left, ground.right, (ground.left + ground.right) / 2])
        side = np.sign(rig.wheel_places[:, 1])
        self.track = np.select([side > 0, side < 0], [0, 1], 2).astype(np.uintp)
        self.ahead = ahead
        self.settle = round(settle / dt)
        self.every = 0 if history is None else max(round(history / dt), 1)
        self._start(above, sinking)
        self._keep()

    def _start(self, above: float, sinking: float) -> None:
        rig = self.rig
        wheels = len(rig.wheel_places)
        ground = np.array(
            [
                np.interp(
                    self.positions[0] + self.ahead[i],
                    self.ground.spacing * np.arange(len(self.ground.left)),
                    self.tracks[self.track[i]],
                )
                for i in range(wheels)
            ]
        )
        self.first_ground = ground
        self.q = equilibrium(rig, ground).q.copy()
        self.v = np.zeros(BODY + wheels)
        if above or sinking:
            self.q[0] += above
            self.q[BODY:] += above
            self.v[0] -= sinking
            self.v[BODY:] -= sinking

    def _keep(self) -> None:
        from springwright.motion.kernel import BINS, CHANNEL, DAMPER, ELEMENT, WHEEL, Kept

        rig = self.rig
        wheels, elements, dampers = len(rig.wheel_places), len(rig.element_rows), len(rig.damper_rows)
        springs = int((rig.element_kind == SPRING).sum())
        self.springs = springs
        self.channels = self._channels()
        rows = self.steps // self.every + 1 if self.every else 1
        columns = 1 + 3 * wheels + BODY + len(self.channels) if self.every else 1
        wheel = np.zeros((wheels, len(WHEEL)))
        wheel[:, [2, 6]], wheel[:, [3, 7]] = np.inf, -np.inf
        element = np.zeros((elements, len(ELEMENT)))
        element[:, 0], element[:, 1] = np.inf, -np.inf
        channel = np.zeros((len(self.channels), len(CHANNEL)))
        channel[:, 3], channel[:, 4] = np.inf, -np.inf
        self.kept = Kept(
            wheel=wheel,
            element=element,
            damper=np.zeros((dampers, len(DAMPER))),
            speeds=np.zeros((dampers, BINS), dtype=np.int64),
            channel=channel,
            work=np.zeros(4),
            turns=np.zeros((springs, self.turns)),
            turned=np.zeros(springs, dtype=np.int64),
            history=np.zeros((rows, columns)),
            q=self.q.copy(),
            v=self.v.copy(),
            a=np.zeros(BODY + wheels),
        )

    def _channels(self) -> Floats:
        """Rows (body acceleration -> acceleration there, filter): for each point up, along, across weighted, up raw, up low-passed."""
        rig = self.rig
        rows = []
        for point in self.places:
            x, y, z = point.place
            up = rig.rise_row(x, y)
            along = np.array([0.0, z - rig.sprung_cg[2], 0.0, 0.0])
            across = np.array([0.0, 0.0, -(z - (rig.sprung_cg[2] - rig.roll_arm)), 0.0])
            rows += [[*up, 0.0], [*along, 1.0], [*across, 1.0], [*up, -1.0], [*up, 2.0]]
        return np.array(rows).reshape(len(rows), BODY + 1)

    def go(self) -> int:
        from springwright.motion.kernel import SECTIONS, run

        filters = np.array([digital(name, self.dt, SECTIONS) for name in FILTERS])
        level = applied(self.rig, LEVEL)
        push = applied(self.rig, Case(across=1.0)) - level
        brake, pull = level - applied(self.rig, Case(along=-1.0)), applied(self.rig, Case(along=1.0)) - level
        swing = np.full(self.springs, SWING)
        return int(
            run(
                pack(self.rig), self.dt, self.positions, self.tracks, self.track, self.ground.spacing, self.ahead, self.pulls, push, brake, pull,
                self.channels, filters, np.array([len(analogue(name)) for name in FILTERS]), self.settle, self.every, BIN, swing, self.kept,
            )
        )  # fmt: skip

    def result(self, reason: str) -> Drive:
        rig, kept = self.rig, self.kept
        count = self.steps + 1 - self.settle
        time = count * self.dt
        notes = list(self.ground.notes)
        if self.turns and np.any(kept.turned > self.turns):
            notes.append(f"more than {self.turns} turning points of a spring; the first {self.turns} are kept")
        audit = self._audit()
        if audit.residual > RESIDUAL_LIMIT:
            notes.append(f"the energy audit leaves {audit.residual:.1e} of the work open; take a smaller step")
        return Drive(
            ground=self.ground.name,
            speed=self.speed,
            duration=self.steps * self.dt,
            step=self.dt,
            step_reason=reason,
            points=tuple(point_ride(point.name, kept.channel[5 * i : 5 * i + 5], count, self.dt) for i, point in enumerate(self.places)),
            wheels=tuple(wheel_ride(int(axle), row, count) for axle, row in zip(rig.wheel_axle, kept.wheel, strict=True)),
            stops=tuple(
                StopRide(int(np.flatnonzero(rig.element_rows[e])[0]), "bump" if rig.element_kind[e] == BUMP_STOP else "droop", int(row[2]), float(row[3]), float(np.abs(row[:2]).max()) if row[2] else 0.0, float(row[4]))
                for e, row in enumerate(kept.element)
                if rig.element_kind[e] in (BUMP_STOP, DROOP_STOP)
            ),
            dampers=tuple(damper_ride(row, bins, time) for row, bins in zip(kept.damper, kept.speeds, strict=True)),
            springs=tuple(
                SpringRide(float(kept.element[s, 0]), float(kept.element[s, 1]), tuple(kept.turns[s, : min(int(kept.turned[s]), self.turns)].tolist()), int(kept.turned[s]))
                for s in range(self.springs)
            ),
            audit=audit,
            history=kept.history if self.every else None,
            columns=self._columns() if self.every else (),
            notes=tuple(notes),
        )  # fmt: skip

    def _columns(self) -> tuple[str, ...]:
        wheels = range(len(self.rig.wheel_places))
        of_wheels = [f"{what} {i + 1}" for what in ("travel [m]", "tyre load [N]", "wheel height [m]") for i in wheels]
        body = ["heave [m]", "pitch [rad]", "roll [rad]", "twist [rad]"]
        kinds = ("up weighted", "along weighted", "across weighted", "up", "up below 30 Hz")
        read = [f"{point.name} {kind} [m/s2]" for point in self.places for kind in kinds]
        return ("time [s]", *of_wheels, *body, *read)

    def _audit(self) -> Audit:
        rig, kept = self.rig, self.kept
        load, lean = applied(rig, LEVEL), gravity_by_lean(rig, LEVEL)
        mass = mass_matrix(rig)
        last = np.zeros(len(rig.wheel_places))
        for i in range(len(last)):
            at = min(max((self.positions[-1] + self.ahead[i]) / self.ground.spacing, 0.0), len(self.ground.left) - 1.0)
            last[i] = np.interp(at, np.arange(len(self.ground.left)), self.tracks[self.track[i]])
        before = at_rest(rig, self.q, self.first_ground, load, lean)[2] + self.v @ mass @ self.v / 2
        after = at_rest(rig, kept.q, last, load, lean)[2] + kept.v @ mass @ kept.v / 2
        gained = float(after - before)
        by_ground, dampers, tyres, by_load = (float(w) for w in kept.work)
        whole = abs(by_ground) + dampers + abs(tyres) + abs(by_load) + abs(gained)
        return Audit(
            by_ground,
            dampers,
            tyres,
            by_load,
            gained,
            abs(gained - by_ground - by_load + dampers + tyres) / whole if whole > 1e-9 else 0.0,
        )


def _ordered(rig: Rig) -> Rig:
    """The Rig with its springs first among the elements and its stops last, as the kernel wants them."""
    order = np.argsort(rig.element_kind, kind="stable")
    names = ("element_rows", "element_kind", "element_start", "element_step", "element_force", "element_rate")
    arrays: dict[str, Any] = {name: getattr(rig, name)[order] for name in names}
    return replace(rig, **arrays)
