"""What random ground does to many Rigs, each about its rest, compiled: the same figures as `motion.response` gives one by one."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.motion.equilibrium import Rests
from springwright.motion.forces import accelerometer, damper_factor, tyre_forces
from springwright.motion.modes import linear_many
from springwright.motion.response import COUNT, ROUNDS, SETTLED, Response, response
from springwright.motion.rig import BODY, Rig, row
from springwright.motion.weighting import response as weighting
from springwright.terrain.roughness import HIGHEST, LOWEST, displacement_density, track_coherence

if TYPE_CHECKING:
    from springwright.motion.figures import Point

Floats = NDArray[np.float64]
LANES = 8  # frequencies side by side
WEIGHTS = ("Wk", "Wd", "Wd")  # of what is read up, along and across; up is read once more without
READ = len(WEIGHTS) + 1


class Responses(NamedTuple):
    """Root mean squares of runs: weighted acceleration (runs, points, 3) up, along, across, unweighted up (runs, points); tyre load (runs, w), travel (runs, w), damper rate (runs, d) and rounds (runs,) [m/s2, N, m, N s/m]."""

    points: Floats
    up_raw: Floats
    tyre_load: Floats
    travel: Floats
    damper_rate: Floats
    rounds: NDArray[np.int64]


class _Road(NamedTuple):
    omega: Floats  # (f,)
    power: Floats  # (f,) density of the ground times the width of each frequency [m2]
    speed: float
    footprint: float


class _Laid(NamedTuple):
    """Rigs about their rests, wheels first: n coordinates that may move, d dampers of k points."""

    stiffness: Floats  # (runs, n, n)
    mass: Floats  # (runs, n, n)
    rate: Floats  # (runs, w) of the tyres
    own: Floats  # (runs, w) their damping
    dampers: Floats  # (runs, d, n)
    points: Floats  # (runs, d, k) speeds
    force: Floats  # (runs, d, k)
    friction: Floats  # (runs, d)
    zone: Floats  # (runs,) Rig.friction_speed
    places: Floats  # (runs, w) forward
    side: Floats  # (runs, w)
    gamma: Floats  # (runs, f)


class _Outputs(NamedTuple):
    still: Floats  # (runs, o, n) per motion
    moving: Floats  # (runs, o, n) per acceleration
    weight: Floats  # (o, f) on the density


class _Found(NamedTuple):
    outputs: Floats
    loads: Floats
    rates: Floats
    rounds: NDArray[np.int64]


def responses(
    rig: Rig,
    rests: Rests,
    roughness: float,
    speed: float,
    *,
    points: Sequence[Point] = (),
    coherence: float | None = None,
    footprint: float = 0.0,
    count: int = COUNT,
    threads: int = 1,
) -> Responses:
    """Root mean squares of every Rig of a batch over ISO 8608 ground, about its rest [m3, m/s, m]; parameters as those of `response`."""
    frequency = np.geomspace(LOWEST * speed, HIGHEST * speed, count)
    width = np.gradient(frequency)
    width[[0, -1]] = np.diff(frequency)[[0, -1]] / 2
    power = displacement_density(frequency / speed, roughness) / speed * width
    spare = -count % LANES
    road = _Road(2 * np.pi * np.pad(frequency, (0, spare), mode="edge"), np.pad(power, (0, spare)), speed, footprint)
    free = np.concatenate([rig.free[rig.free >= BODY], rig.free[rig.free < BODY]])
    laid = _laid(rig, rests, free, road, coherence)
    asked = _asked(rig, free, points, road.omega / (2 * np.pi))
    runs, dampers, _ = laid.dampers.shape
    wheels = laid.rate.shape[1]
    found = _Found(
        np.zeros((runs, asked.still.shape[1])), np.zeros((runs, wheels)), np.zeros((runs, dampers)),
        np.zeros(runs, dtype=np.int64),
    )  # fmt: skip
    _go(road, laid, asked, found, threads)
    for r in np.flatnonzero(found.rounds < 0).tolist():
        one = row(rig, r)
        told = response(
            one,
            rests.of(r, one),
            roughness,
            speed,
            points=points,
            coherence=coherence,
            footprint=footprint,
            count=count,
        )
        _put(found, r, told)
    read = found.outputs[:, wheels:].reshape(runs, len(points), READ)
    return Responses(read[..., :-1], read[..., -1], found.loads, found.outputs[:, :wheels], found.rates, found.rounds)


def _go(road: _Road, laid: _Laid, asked: _Outputs, found: _Found, threads: int) -> None:
    from springwright.motion.kernel.linear import respond

    def part(rows: slice) -> None:
        mine, wanted = _Laid(*(one[rows] for one in laid)), asked._replace(still=asked.still[rows], moving=asked.moving[rows])  # fmt: skip
        respond((0,) * LANES, road, mine, wanted, ROUNDS, SETTLED, _Found._make(one[rows] for one in found))

    runs = len(found.rounds)
    if threads < 2 or runs < 2 * threads:
        part(slice(0, runs))
        return
    size = -(-runs // threads)
    with ThreadPoolExecutor(threads) as pool:
        list(pool.map(part, [slice(at, at + size) for at in range(0, runs, size)]))


def _laid(rig: Rig, rests: Rests, free: NDArray[np.intp], road: _Road, coherence: float | None) -> _Laid:
    q, square = rests.q, np.ix_(np.arange(len(rests.q)), free, free)
    mass, stiffness = linear_many(rig, rests)
    _, rate, own = tyre_forces(rig, q[:, BODY:])
    # a damper that depends on its travel is taken as it is where it rests
    force = rig.damper_force * damper_factor(rig, np.einsum("rdj,rj->rd", rig.damper_map, q))[..., None]
    across = rig.wheel_places[..., 1]
    apart = 2 * np.abs(across).sum(axis=1) / np.maximum((across != 0).sum(axis=1), 1)
    spatial = road.omega / (2 * np.pi) / road.speed
    gamma = (
        np.full((len(q), len(spatial)), coherence)
        if coherence is not None
        else np.array([track_coherence(spatial, float(wide)) for wide in apart])
    )
    zone = np.broadcast_to(np.asarray(rig.friction_speed, dtype=float), len(q))
    laid = (
        stiffness[square], mass[square], rate, own, rig.damper_map[:, :, free], rig.damper_speed, force, rig.friction, zone,
        rig.wheel_places[..., 0], np.sign(across), gamma,
    )  # fmt: skip
    return _Laid(*(np.ascontiguousarray(one, dtype=float) for one in laid))


def _asked(rig: Rig, free: NDArray[np.intp], points: Sequence[Point], frequency: Floats) -> _Outputs:
    """Travel of every wheel, then of every point what it reads up, along and across."""
    runs, wheels, n = rig.travel_map.shape
    still, moving = [rig.travel_map], [np.zeros((runs, wheels, n))]
    for point in points:
        for kind, rows in zip((moving, still), accelerometer(rig, point.place), strict=True):
            kind.append(np.pad(rows[:, [0, 1, 2, 0]], ((0, 0), (0, 0), (0, n - BODY))))
    plain = np.ones_like(frequency)
    weights = [*(np.abs(weighting(name, frequency)) ** 2 for name in WEIGHTS), plain]
    weight = np.array([plain] * wheels + weights * len(points))
    rows, accelerating = (np.ascontiguousarray(np.concatenate(one, axis=1)[:, :, free]) for one in (still, moving))
    return _Outputs(rows, accelerating, weight)


def _put(found: _Found, run: int, told: Response) -> None:
    found.outputs[run] = [*told.travel, *(one for at in told.points for one in (at.up, at.along, at.across, at.up_raw))]
    found.loads[run], found.rates[run], found.rounds[run] = told.tyre_load, told.damper_rate, told.rounds
