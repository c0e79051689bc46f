"""A Rig laid out for the compiled kernel: what each lane reads and what it fills in."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import UnsolvedError
from springwright.evaluation import kept_with_argument
from springwright.motion.figures import Point
from springwright.motion.forces import Case, accelerometer, guided, mass_of_body
from springwright.motion.kernel.arrays import RigArrays
from springwright.motion.masses import axle_rows, body_row
from springwright.motion.rig import BODY, BUMP_STOP, Rig, stack
from springwright.motion.searching import CurveKnots
from springwright.motion.weighting import SECTIONS, analogue, digital

Floats = NDArray[np.float64]
MOST = 255  # what the kernel's counts are cut to
STRAIGHT = 1e-12  # share of a curve's greatest force, and of its rate, by which a straight one may stray: rounding
SHARED = (
    "mate",
    "at",
    "straight",
    "damper_at",
    "always",
    "pairs",
    "opposite",
    "on_beam",
)  # of a law: what lanes have in common
FILTERS = ("Wk", "Wd", "30 Hz", "absorbed")
LENGTHS = np.array([len(analogue(name)) for name in FILTERS])


def laid_out(rig: Rig) -> tuple[Rig, Any]:
    """A Rig, or a batch (see `motion.rig.stack`), as a batch and as the kernel reads it, a lane for each."""
    return _alone(rig) if rig.tyre_rate.ndim == 1 else (rig, _together(rig))


@kept_with_argument
def _alone(rig: Rig) -> tuple[Rig, Any]:
    batch = stack([rig])
    return batch, law_of(batch)


@kept_with_argument
def _together(rig: Rig) -> Any:
    return law_of(rig)


def law_of(rig: Rig) -> Any:
    """A batch as the kernel reads it."""
    _fits(rig)
    inverse = np.asarray(np.linalg.inv(rig.wheel_masses), dtype=float)
    ends = _joined(rig, inverse)
    mate, mate_inverse, mate_mass = _mates(rig.wheel_masses, inverse, ends)
    at, share = _ends(rig.element_rows, ends)
    damper_at, damper_share = _ends(rig.damper_rows, ends)
    twisting = np.isfinite(rig.twist_rate)
    free = np.array([True, True, rig.roll_free, rig.roll_free and bool(np.all(twisting))])
    cells, bottom, end = _cells(rig.element_force, rig.element_rate, rig.element_step)
    first, knee, change = _hinges(rig)
    zone_first, zone, zone_change = _zones(rig)
    stops = rig.element_kind >= BUMP_STOP
    mass, mass_inverse = _body(mass_of_body(rig), free)
    beside = [pair for pair in rig.pairs.tolist() if pair[0] != pair[1]]
    opposite = np.arange(rig.tyre_rate.shape[-1])
    for left, right in beside:
        opposite[[left, right]] = right, left
    wheels = rig.tyre_rate.shape
    still = np.zeros((len(rig.tyre_rate), BODY + wheels[1]))
    return RigArrays(
        on_beam=rig.on_beam.astype(np.int64),
        rise=lanes(-rig.travel_map[..., 1:BODY]),
        body_mass=lanes(mass),
        body_inverse=lanes(mass_inverse),
        mate=mate,
        mate_inverse=lanes(mate_inverse),
        mate_mass=lanes(mate_mass),
        at=at,
        share=lanes(share),
        start=lanes(rig.element_start),
        scale=lanes(1 / rig.element_step),
        cells=cells.ravel(),
        bottom=bottom.ravel(),
        end=end.ravel(),
        straight=straight(rig).astype(np.uintp),
        always=int((~stops).sum()),
        reach=lanes(_reach(rig)),
        damper_at=damper_at,
        damper_share=lanes(damper_share),
        damper_first=lanes(first),
        knee=lanes(knee),
        change=lanes(change),
        zone_first=lanes(zone_first),
        zone=lanes(zone),
        zone_change=lanes(zone_change),
        friction=lanes(rig.friction),
        friction_speed=lanes(rig.friction_speed),
        tyre_rate=lanes(rig.tyre_rate),
        tyre_damping=lanes(rig.tyre_damping),
        tyre_force=lanes(rig.tyre_force),
        tyre_room=lanes(rig.tyre_room),
        rim_rate=lanes(rig.rim_rate),
        sprung=lanes(body_row(rig)),
        axles=lanes(axle_rows(rig)),
        pairs=rig.pairs,
        weights=lanes(rig.wheel_weights),
        load=lanes(still),
        lean=lanes(still[:, : BODY + 1]),
        opposite=opposite.astype(np.uintp),
        tilt=lanes(np.zeros((*wheels, 2))),
        twist_rate=lanes(np.where(twisting, rig.twist_rate, 0.0)),
        hitch_rise=lanes(rig.hitch_map[..., 1:BODY]),
        hitch_rate=lanes(rig.hitch_rate),
        hitch_force=lanes(rig.hitch_force),
        push=lanes(still),
        brake=lanes(-guided(rig, Case(along=-1.0))),
        pull=lanes(guided(rig, Case(along=1.0))),
    )


@kept_with_argument
def straight(rig: Rig) -> NDArray[np.bool_]:
    """(e,): which elements of a Rig, or of a batch in every lane, have one straight line for a curve: their law needs no look-up."""
    force, rate = rig.element_force, rig.element_rate
    width = rig.element_step[..., None]
    even = np.abs(np.diff(force, axis=-1) - rate[..., :1] * width) <= STRAIGHT * np.abs(force).max(
        axis=-1, keepdims=True
    )
    level = np.abs(rate - rate[..., :1]) <= STRAIGHT * np.abs(rate[..., :1])
    found = np.all(even, axis=-1) & np.all(level, axis=-1)
    return np.asarray(found if found.ndim == 1 else np.all(found, axis=0))


def _fits(rig: Rig) -> None:
    """Refuse what the kernel has no room to count.

    Raises
    ------
    UnsolvedError
        More than 256 knots of a curve, or more than 255 wheels, elements, dampers or hitches.

    """
    counts = {
        "knots of a force curve": (rig.element_force.shape[-1], MOST + 1),
        "wheels": (rig.tyre_rate.shape[-1], MOST),
        "elements": (len(rig.element_kind), MOST),
        "dampers": (rig.friction.shape[-1], MOST),
        "points of a damper's curve": (rig.damper_speed.shape[-1], MOST),
        "points of a damper's zones": (rig.damper_place.shape[-1], MOST),
    }
    for what, (count, most) in counts.items():
        if count > most:
            raise UnsolvedError(f"{count} {what}: at most {most} can be solved; draw the curve with fewer")


def about(law: Any, q: Floats) -> Any:
    """The law of lanes that go from rests q (runs, 4 + w): gravity and accelerations as they are next to those [m, rad]."""
    from springwright.motion.kernel.newton import linear_gravity

    runs, n = q.shape
    load, push, pull = np.empty((3, runs, n))
    lean, tilt = np.empty((runs, BODY + 1)), np.empty((runs, n - BODY, 2))
    linear_gravity(runs, law, q, load, lean, tilt, push, pull)
    along = lanes(pull)
    return law._replace(
        load=lanes(load),
        lean=lanes(lean),
        tilt=lanes(tilt),
        push=lanes(push),
        brake=law.brake + along,
        pull=law.pull + along,
    )


def repeated(law: Any, width: int) -> Any:
    """The law of one lane as that of so many alike."""
    alike = {name: np.repeat(one, width) for name, one in law._asdict().items() if name not in SHARED}
    return law._replace(**alike)


def drawn_anew(law: Any, of: NDArray[np.intp], drawn: CurveKnots) -> Any:
    """A law with a lane for each of many runs: `of` says which of its lanes each takes, and some elements get curves of their own [N, N/m, m]."""
    width = len(law.twist_rate)
    lane = {
        name: np.take(one.reshape(-1, width), of, axis=1) for name, one in law._asdict().items() if name not in SHARED
    }
    count = len(lane["start"])
    found = _cells(drawn.force[:, None], drawn.rate[:, None], drawn.step[:, None])
    for name, each in zip(("cells", "bottom", "end"), found, strict=True):
        lane[name].reshape(count, -1, len(of))[drawn.elements] = np.take(
            each.reshape(-1, each.shape[-1]), drawn.which, axis=1
        )
    lane["start"][drawn.elements], lane["scale"][drawn.elements] = drawn.start[drawn.which], 1 / drawn.step[drawn.which]
    curved = law.straight.copy()
    curved[drawn.elements] = 0
    return law._replace(straight=curved, **{name: one.ravel() for name, one in lane.items()})


def _body(mass: Floats, free: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """(runs, 5) of the body's mass and of its inverse: one for each coordinate, 0 in the inverse where held, and that between pitch and roll."""
    both = np.ix_(np.arange(len(mass)), free, free)
    inverse = np.zeros_like(mass)
    inverse[both] = np.linalg.inv(mass[both])
    return tuple(  # type: ignore[return-value]
        np.column_stack([np.diagonal(one, axis1=1, axis2=2), one[:, 1, 2]]) for one in (mass, inverse)
    )


def lanes(rows: Any) -> Floats:
    """Flat array with the leading dimension, one row for each lane, put last [SI]."""
    rows = np.asarray(rows, dtype=float)
    return np.asarray(rows.reshape(len(rows), -1).T.ravel())


class Channels(NamedTuple):
    """What is read: signals, up, along and across at each point, per body acceleration (runs, s, 4), gravity's share in them per pitch, roll and twist (runs, s, 3) and by which of them there is any (s,); the signal each channel follows and the filter it goes through (c,)."""

    points: Floats
    leans: Floats
    leaning: NDArray[np.int64]
    signal: NDArray[np.uintp]
    through: NDArray[np.int64]


def channels_of(rig: Rig, points: Sequence[Point]) -> Channels:
    """Channels of points, as accelerometers fixed to the body there read them."""
    runs, count = len(rig.sprung_cg), len(points)
    rows, leans = np.zeros((2, runs, count, 3, BODY))
    for i, point in enumerate(points):
        rows[:, i], leans[:, i] = accelerometer(rig, point.place)
    follows = 3 * np.arange(count)[:, None] + [0, 1, 2, 0, 0, 0]
    return Channels(
        rows.reshape(runs, -1, BODY),
        leans[..., 1:].reshape(runs, -1, BODY - 1),
        np.array([0, 1, 2] * count, dtype=np.int64),
        follows.ravel().astype(np.uintp),
        np.array([0, 1, 1, -1, 2, 3] * count, dtype=np.int64),
    )


def filters_of(steps: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """(runs, filters, SECTIONS, 5) of the digital filters at each time step [s], and how many sections each has."""
    return np.array([_filters(dt) for dt in steps.tolist()]), LENGTHS


@lru_cache(maxsize=256)
def _filters(dt: float) -> Floats:
    return np.array([digital(name, dt, SECTIONS) for name in FILTERS])


def _joined(rig: Rig, inverse: Floats) -> int:
    """How many wheels one element, damper or axle joins at most: two, or else the next power of two, so that few kernels are compiled."""
    shapes = (rig.element_rows != 0, rig.damper_rows != 0, _coupled(inverse)[None])
    most = max(int(np.any(one, axis=0).sum(axis=-1).max(initial=0)) for one in shapes)
    return max(2, 1 << (most - 1).bit_length())


def _coupled(inverse: Floats) -> NDArray[np.bool_]:
    return np.asarray(np.any(np.abs(inverse) > 1e-12 * np.abs(inverse).max(), axis=0))


def _sparse(pattern: NDArray[np.bool_], ends: int) -> tuple[NDArray[np.uintp], NDArray[np.bool_]]:
    """(ends, n) columns that hold something in each of n rows, padded with the first, and which of them are not padding."""
    order = np.argsort(~pattern, axis=1, kind="stable")[:, :ends]
    columns, real = np.zeros((ends, len(pattern)), dtype=np.uintp), np.zeros((ends, len(pattern)), dtype=bool)
    columns[: order.shape[1]] = order.T
    real[: order.shape[1]] = np.take_along_axis(pattern, order, axis=1).T
    return columns, real


def _ends(rows: Floats, ends: int) -> tuple[NDArray[np.uintp], Floats]:
    """Wheels that each of n rows joins, and (runs, r, n) the share of each one's travel."""
    count = rows.shape[1]
    if not count:
        return np.zeros(0, dtype=np.uintp), np.zeros((len(rows), 0))
    columns, real = _sparse(np.any(rows != 0, axis=0), ends)
    shares = np.stack([rows[:, np.arange(count), column] for column in columns], axis=1)
    return columns.ravel(), np.asarray(np.where(real, shares, 0.0))


def _mates(mass: Floats, inverse: Floats, ends: int) -> tuple[NDArray[np.uintp], Floats, Floats]:
    """Wheels that share a mass: (r, w) which, and (runs, r, w) the inverse mass and the mass between them."""
    columns, real = _sparse(_coupled(inverse), ends)
    at = np.arange(mass.shape[1])
    made = [
        np.where(real, np.stack([matrix[:, at, column] for column in columns], axis=1), 0.0)
        for matrix in (inverse, mass)
    ]
    return columns.ravel(), made[0], made[1]


def _cells(force: Floats, rate: Floats, step: Floats) -> tuple[Floats, Floats, Floats]:
    """Curves (runs, e, k) by the cell, lane last: (e, c, 4) cubics of the way through, (e, c) energy before, (e, 2) force per cell beyond."""
    h = step.T[:, None]
    f, k = np.ascontiguousarray(force.transpose(1, 2, 0)), rate.transpose(1, 2, 0) * h
    f0, rise, k0, k1 = f[:, :-1], np.diff(f, axis=1), k[:, :-1], k[:, 1:]
    cells = np.empty((*f0.shape[:2], 4, f0.shape[2]))
    cells[:, :, 0], cells[:, :, 1] = f0, k0
    cells[:, :, 2], cells[:, :, 3] = 3 * rise - 2 * k0 - k1, k0 + k1 - 2 * rise
    bottom = np.zeros_like(f0)
    np.cumsum((h * (f0 + rise / 2 + (k0 - k1) / 12))[:, :-1], axis=1, out=bottom[:, 1:])
    return cells, bottom, k[:, [0, -1]]


def _hinges(rig: Rig) -> tuple[Floats, Floats, Floats]:
    """Dampers as a line and its kinks: (runs, d, 2) force and slope at no speed of the first, (runs, d, k) speed and change of slope."""
    speed, force = rig.damper_speed, rig.damper_force
    slope = np.diff(force, axis=-1) / np.diff(speed, axis=-1)
    first = np.stack([force[..., 0] - slope[..., 0] * speed[..., 0], slope[..., 0]], axis=-1)
    return first, speed[..., 1:-1], np.diff(slope, axis=-1)


def _zones(rig: Rig) -> tuple[Floats, Floats, Floats]:
    """A damper's factor as a level line and its kinks: (runs, d) the first, (runs, d, z) travel and change of slope; none for none."""
    place, factor = rig.damper_place, rig.damper_factor
    if not place.shape[-1]:
        return np.ones(place.shape[:-1]), place, factor
    slope = np.diff(factor, axis=-1) / np.diff(place, axis=-1)
    level = np.zeros((*slope.shape[:-1], 1))
    return factor[..., 0], place, np.diff(np.concatenate([level, slope, level], axis=-1), axis=-1)


def _reach(rig: Rig) -> Floats:
    """(runs, w, 2): travel of each wheel between which no stop is met, wherever the other wheels of its rows stand between theirs.

    A stop inside the track lies between its wheels' travels; one outside goes further than either, the more so with them against
    each other, so that its gap is shared by the sum of its shares.
    """
    runs, wheels = rig.tyre_rate.shape
    low, high = np.full((runs, wheels), -np.inf), np.full((runs, wheels), np.inf)
    length = rig.element_step * (rig.element_force.shape[-1] - 1)
    for e in np.flatnonzero(rig.element_kind >= BUMP_STOP):
        side = 1.0 if rig.element_kind[e] == BUMP_STOP else -1.0
        met = rig.element_start[:, e] + (length[:, e] if side < 0 else 0.0)
        shares = rig.element_rows[:, e]
        # one that is pressed in the design position already is looked at always
        gap = np.where(side * met > 0, side * met, -np.inf) / np.abs(shares).sum(axis=1)
        for wheel in np.flatnonzero(np.any(shares != 0, axis=0)):
            way = side * shares[:, wheel]
            high[:, wheel] = np.where(way > 0, np.minimum(high[:, wheel], gap), high[:, wheel])
            low[:, wheel] = np.where(way < 0, np.maximum(low[:, wheel], -gap), low[:, wheel])
    return np.stack([low, high], axis=-1)
