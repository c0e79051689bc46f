"""How a Rig wants to move: undamped natural frequencies, shapes and nodes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.evaluation import remembered
from springwright.motion.equilibrium import Rest, Rests
from springwright.motion.forces import damping_matrix, forces, mass_matrix
from springwright.motion.rig import BODY, Rig, row
from springwright.results import Result, si

Floats = NDArray[np.float64]
ALIKE = 1e-6  # share by which frequencies may differ that count as one


@dataclass(frozen=True)
class Mode(Result):
    """One natural mode: its name by shape, frequency, damping, and where its node lies for bounce and pitch.

    `node` is x [m], ISO 8855; None for a mode that has none in the side view. `shape` holds heave [m], pitch,
    roll and twist [rad] and the wheel heights [m], scaled to unit modal mass; of a damped mode, its real part when
    the largest coordinate peaks. `participation` is each coordinate's share of the mode's kinetic energy.
    `kind` is bounce, pitch, roll, twist, hop or tramp. `damping_ratio` is None for undamped modes and 1 or more for one that does not swing.
    """

    name: str
    frequency: float = si("Hz")
    node: float | None = si("m")
    damping_ratio: float | None = si("", None)
    shape: tuple[float, ...] = ()
    participation: tuple[float, ...] = si("", ())
    kind: str = ""


class _Found(NamedTuple):
    """Frequencies [Hz], damping ratios, None where there is none, and shapes in columns scaled to unit modal mass; slowest first."""

    frequencies: list[float]
    ratios: Sequence[float | None]
    shapes: Any


def modes(rig: Rig, rest: Rest, *, damped: bool = False) -> tuple[Mode, ...]:
    """Natural modes about a position of rest, slowest first; a straight generalised eigenproblem.

    With `damped`, the dampers' slopes next to rest (the mean of bump and rebound, dry friction left out) take part:
    frequency is then |lambda| / 2 pi and the ratio -Re lambda / |lambda|.
    """
    moving = rig.free
    square = np.ix_(moving, moving)
    mass, stiffness = _linear(rig, rest)
    apart = _apart(rig)[square]
    frequencies, ratios, vectors = (
        _damped(mass[square], damping_matrix(rig, rest.q)[square], stiffness[square], apart)
        if damped
        else _undamped(mass[square], stiffness[square], apart)
    )
    shapes = np.zeros((len(mass), len(frequencies)), dtype=complex)
    shapes[moving] = vectors
    shares = np.real(np.conj(shapes) * (mass @ shapes))
    shares /= shares.sum(axis=0)
    peaks = shapes[np.argmax(np.abs(shapes), axis=0), np.arange(len(frequencies))]
    reals = np.real(shapes * np.conj(peaks) / np.abs(peaks))
    names = _names(rig, shapes, shares)
    found = []
    for k, (frequency, ratio) in enumerate(zip(frequencies, ratios, strict=True)):
        name = names[k]
        node = _node(rig, reals[:, k]) if name == "body" else None
        found.append(
            Mode(
                name,
                frequency,
                node,
                ratio,
                tuple(reals[:, k].tolist()),
                tuple(shares[:, k].tolist()),
                name.partition(" ")[0],
            )
        )
    return _bounce_and_pitch(rig, found)


class RingDown(NamedTuple):
    """Free motion of a damped Rig about its rest: q(t) = real part of the sum of shapes (4 + w, n) times e^(root t), swinging modes once [1/s]."""

    roots: Any
    shapes: Any


def ring_down(rig: Rig, rest: Rest, away: Floats, moving: Floats) -> RingDown:
    """How it rings down that is let go away from rest, linear, dry friction left out.

    Parameters
    ----------
    rig, rest : Rig, Rest
    away, moving : array of shape (4 + w,)
        Where it is let go, from its rest [m, rad], and how it moves then [m/s, rad/s].

    """
    free = rig.free
    square = np.ix_(free, free)
    mass, stiffness = _linear(rig, rest)
    roots, vectors = np.linalg.eig(
        _first_order(mass[square], damping_matrix(rig, rest.q)[square], stiffness[square]).astype(complex)
    )
    shares = np.linalg.solve(vectors, np.concatenate([away[free], moving[free]]).astype(complex))
    shapes = np.zeros((len(away), len(roots)), dtype=complex)
    shapes[free] = vectors[: len(free)] * shares
    once = roots.imag > -1e-9 * np.abs(roots)
    twice = np.where(roots.imag > 1e-9 * np.abs(roots), 2.0, 1.0)
    return RingDown(roots[once], (shapes * twice)[:, once])


def pushed(rig: Rig, rest: Rest, row: Floats) -> Floats:
    """Where a Rig stands from its rest that is pushed down by one metre, or radian, along a row over its coordinates, linear: (4 + w,) [m, rad]."""
    free = rig.free
    away = np.zeros(len(row))
    away[free] = np.linalg.solve(_linear(rig, rest)[1][np.ix_(free, free)], row[free])
    return np.asarray(-away / float(row @ away))


def struck(rig: Rig, wheel: int) -> Floats:
    """Speeds of a Rig whose wheel is struck upward so that it sets off at one metre a second: (4 + w,) [m/s, rad/s]."""
    free = rig.free
    blow = np.zeros(BODY + len(rig.wheel_places))
    blow[BODY + wheel] = 1.0
    moving = np.zeros(len(blow))
    moving[free] = np.linalg.solve(mass_matrix(rig)[np.ix_(free, free)], blow[free])
    return moving / float(moving[BODY + wheel])


def roll_damping(rig: Rig, rest: Rest) -> float | None:
    """Damping ratio of the slowest mode that is mostly roll, as `modes` tells it; None where none is [-]."""
    moving = rig.free
    square = np.ix_(moving, moving)
    mass, stiffness = _linear(rig, rest)
    _, ratios, vectors = _damped(
        mass[square], damping_matrix(rig, rest.q)[square], stiffness[square], _apart(rig)[square]
    )
    shapes = np.zeros((len(mass), len(ratios)), dtype=complex)
    shapes[moving] = vectors
    slowest = _slowest_roll(np.real(np.conj(shapes) * (mass @ shapes)))
    return None if slowest is None else ratios[slowest]


def _slowest_roll(shares: Floats) -> int | None:
    """Which of some modes, slowest first, is the first that is mostly roll, by every coordinate's share of each (columns)."""
    of_body = shares[:BODY].sum(axis=0) >= shares[BODY:].sum(axis=0)
    return next((k for k in np.flatnonzero(of_body).tolist() if _of_body(shares[:, k]) == "roll"), None)


def roll_dampings(rig: Rig, rests: Rests) -> Floats:
    """(runs,) the same of every Rig of a batch, nan where none [-]; those with modes that swing alike or not at all are asked one by one."""
    free = rig.free
    square = np.ix_(np.arange(len(rests.q)), free, free)
    mass, stiffness = linear_many(rig, rests)
    mass, stiffness, damping = mass[square], stiffness[square], damping_matrix(rig, rests.q)[square]
    count = len(free)
    roots, vectors = np.linalg.eig(_first_order(mass, damping, stiffness))
    sizes = np.abs(roots)
    order = np.argsort(np.where(roots.imag > 0, sizes, np.inf), axis=1, kind="stable")[:, :count]
    roots, sizes = np.take_along_axis(roots, order, axis=1), np.take_along_axis(sizes, order, axis=1)
    shapes = np.take_along_axis(vectors[:, :count], order[:, None], axis=2)
    shares = np.real(np.conj(shapes) * (mass @ shapes))
    whole = np.zeros((len(mass), BODY + rig.tyre_rate.shape[-1], count))
    whole[:, free] = shares
    found = np.full(len(mass), np.nan)
    plain = np.all(roots.imag > 1e-9 * sizes, axis=1) & np.all(
        np.diff(sizes, axis=1) > 2 * ALIKE * sizes[:, 1:], axis=1
    )
    for r in range(len(mass)):
        if not plain[r]:
            one = row(rig, r)
            told = roll_damping(one, rests.of(r, one))
            found[r] = np.nan if told is None else told
        elif (k := _slowest_roll(whole[r])) is not None:
            found[r] = -roots[r, k].real / sizes[r, k]
    return found


def _first_order(mass: Floats, damping: Floats, stiffness: Floats) -> Floats:
    """(2 n, 2 n) the system in positions and speeds whose eigenvalues are the damped modes' roots, or of many."""
    n = mass.shape[-1]
    inverse = np.linalg.inv(mass)
    system = np.zeros((*mass.shape[:-2], 2 * n, 2 * n))
    system[..., :n, n:] = np.eye(n)
    system[..., n:, :n], system[..., n:, n:] = -inverse @ stiffness, -inverse @ damping
    return system


def linear_many(rig: Rig, rests: Rests) -> tuple[Floats, Floats]:
    """(runs, 4 + w, 4 + w) mass and stiffness matrices of every Rig of a batch about its rest [kg, N/m, ...]; rows of what is held are empty but for a 1."""
    from springwright.motion.kernel.linear import tangents
    from springwright.motion.layout import laid_out

    q = np.ascontiguousarray(rests.q)
    stiffness = np.zeros((*q.shape, q.shape[1]))
    tangents(len(q), laid_out(rig)[1], q, stiffness)
    return mass_matrix(rig), stiffness


@remembered(32)  # a rest is asked for its modes with and without its dampers
def _linear(rig: Rig, rest: Rest) -> tuple[Floats, Floats]:
    """Mass and stiffness matrix about a rest."""
    return mass_matrix(rig), forces(rig, rest.q)[1]


def _undamped(mass: Floats, stiffness: Floats, apart: Floats) -> _Found:
    squares, vectors = solve(mass, stiffness)
    frequencies = np.sqrt(np.maximum(squares, 0.0)) / (2 * np.pi)
    frequencies, vectors = _told_apart(frequencies, vectors, mass, apart)
    return _Found(frequencies.tolist(), [None] * len(squares), vectors)


def _damped(mass: Floats, damping: Floats, stiffness: Floats, apart: Floats) -> _Found:
    """Modes of one frequency and damping are told apart as undamped ones are. Real roots, which do not swing, belong in twos to one mode each: to that whose undamped shape they are most like, never to the one nearest in size."""
    n = len(mass)
    roots, vectors = np.linalg.eig(_first_order(mass, damping, stiffness))
    still = np.abs(roots.imag) <= 1e-9 * np.abs(roots)
    swinging = np.flatnonzero(~still & (roots.imag > 0))
    roots[swinging], vectors[:, swinging] = _told_apart(roots[swinging], vectors[:, swinging], mass, apart)
    found = [(abs(roots[i]), -roots[i].real / abs(roots[i]), vectors[:n, i]) for i in swinging]
    for a, b in _pairs(mass, solve(mass, stiffness)[1], vectors[:n], swinging, np.flatnonzero(still)):
        size = float(np.sqrt(abs(roots[a] * roots[b])))
        slow = a if abs(roots[a]) < abs(roots[b]) else b
        found.append((size, float(abs(roots[a]) + abs(roots[b])) / (2 * size), vectors[:n, slow]))
    sizes, ratios, shapes = zip(*sorted(found, key=lambda one: one[0]), strict=True)
    columns = np.array(shapes).T
    scale = np.sqrt(np.real(np.sum(np.conj(columns) * (mass @ columns), axis=0)))
    return _Found([float(size) / (2 * np.pi) for size in sizes], [float(one) for one in ratios], columns / scale)


def _apart(rig: Rig) -> Floats:
    """(n, n) what modes of one frequency are told apart by: how like their mirror image they are, then where they move most."""
    n = BODY + len(rig.wheel_axle)
    mirror = np.diag(np.concatenate([[1.0, 1.0, -1.0, -1.0], np.ones(n - BODY)]))
    for axle in range(int(rig.wheel_axle.max()) + 1):
        pair = BODY + np.flatnonzero(rig.wheel_axle == axle)
        mirror[np.ix_(pair, pair)] = np.eye(len(pair))[::-1]
    place = np.concatenate([np.arange(BODY), BODY + rig.wheel_axle]) / n
    return np.asarray(mirror + 0.1 * np.diag(place))


def _told_apart(sizes: Any, vectors: Any, mass: Floats, apart: Floats) -> tuple[Any, Any]:
    """Shapes (columns) of one frequency turned among themselves until rounding decides nothing, and that frequency; `vectors` may be longer than `mass`."""
    n = len(mass)
    weighed = (mass @ apart + apart.T @ mass) / 2
    one, made, left = sizes.copy(), vectors.copy(), list(range(len(sizes)))
    while left:
        alike = [k for k in left if abs(sizes[k] - sizes[left[0]]) <= ALIKE * abs(sizes[k])]
        left = [k for k in left if k not in alike]
        if len(alike) == 1:
            continue
        shapes = vectors[:n, alike]
        root = np.linalg.cholesky(np.conj(shapes.T) @ mass @ shapes)
        inverse = np.linalg.inv(root)
        turns = np.linalg.eigh(inverse @ (np.conj(shapes.T) @ weighed @ shapes) @ np.conj(inverse.T))[1]
        made[:, alike] = vectors[:, alike] @ np.conj(inverse.T) @ turns
        one[alike] = np.mean(sizes[alike])
    return one, made


def _pairs(
    mass: Floats, undamped: Floats, vectors: Any, swinging: NDArray[np.intp], still: NDArray[np.intp]
) -> list[tuple[int, int]]:
    """Real roots in twos. `undamped` (n, n) are the shapes without dampers, scaled to unit modal mass; each swinging pair takes one of them, the real roots share the rest."""
    if not len(still):
        return []
    likeness = np.abs(undamped.T @ mass @ vectors) ** 2
    likeness /= np.real(np.sum(np.conj(vectors) * (mass @ vectors), axis=0))
    taken = _shared_out(likeness[:, swinging].T) if len(swinging) else []
    left = np.setdiff1d(np.arange(len(undamped)), taken)
    if len(left) == 1:
        return [(int(still[0]), int(still[1]))]
    from scipy.optimize import linear_sum_assignment  # only here: it costs start-up time

    places, which = linear_sum_assignment(-np.repeat(likeness[np.ix_(left, still)], 2, axis=0))
    order = still[which[np.argsort(places)]]
    return [(int(a), int(b)) for a, b in order.reshape(-1, 2)]


def _bounce_and_pitch(rig: Rig, found: list[Mode]) -> tuple[Mode, ...]:
    """Tell the two body modes of the side view apart: bounce has its node beyond the supports, or else more heave in it."""
    pair = [mode for mode in found if mode.kind == "body"]
    ends = np.concatenate([rig.wheel_places[:, 0], rig.hitch_place])

    def heaving(mode: Mode) -> tuple[bool, float]:
        outside = mode.node is None or not ends.min() < mode.node < ends.max()
        return outside, rig.sprung_mass * mode.shape[0] ** 2

    bounce = max(pair, key=heaving) if pair else None
    return tuple(
        _called(mode, "bounce" if mode is bounce else "pitch") if mode.kind == "body" else mode for mode in found
    )


def _called(mode: Mode, name: str) -> Mode:
    return replace(mode, name=name, kind=name)


def solve(mass: Floats, stiffness: Floats) -> tuple[Floats, Floats]:
    """Eigenvalues [rad2/s2], ascending, and mass-normalised shapes (columns) of a symmetric pair, or of many."""
    inverse = np.linalg.inv(np.linalg.cholesky(mass))
    turned = np.swapaxes(inverse, -1, -2)
    squares, vectors = np.linalg.eigh(inverse @ stiffness @ turned)
    return squares, turned @ vectors


def _node(rig: Rig, shape: Floats) -> float | None:
    """X on the centreline where the body stands still, or None when it does not pitch."""
    pitch = shape[1]
    heave = (
        shape[0] - shape[2] * rig.sprung_cg[1]
    )  # heave is told at the CG, the roll of a one-sided vehicle lifts the centreline
    return float(rig.sprung_cg[0] + heave / pitch) if abs(pitch) > 1e-9 * abs(heave) else None


def _names(rig: Rig, shapes: Any, shares: Floats) -> list[str]:
    """A name for every mode (columns), by its shape: hop and tramp of an axle, of alike ones by whose wheels move most; twist, roll, else body."""
    names = [_of_body(shares[:, k]) for k in range(shares.shape[1])]
    axles = int(rig.wheel_axle.max()) + 1
    kinds: dict[str, list[int]] = {}
    for k in np.flatnonzero(shares[BODY:].sum(axis=0) > shares[:BODY].sum(axis=0)):
        most = int(np.argmax(np.bincount(rig.wheel_axle, shares[BODY:, k])))
        pair = shapes[BODY:, k][rig.wheel_axle == most]
        against = len(pair) == 2 and np.real(pair[0] * np.conj(pair[1])) < 0
        kinds.setdefault("tramp" if against else "hop", []).append(int(k))
    for kind, mine in kinds.items():
        weight = np.array([np.bincount(rig.wheel_axle, shares[BODY:, k], minlength=axles) for k in mine])
        weight += ALIKE * np.outer(np.arange(len(mine)), np.arange(axles))  # shared alike: the slower to the first
        for mode, axle in enumerate(_shared_out(weight)):
            names[mine[mode]] = f"{kind} {axle + 1}"
    return names


def _shared_out(weight: Floats) -> list[int]:
    """Which column each row gets, none twice, so that the sum of what they weigh is the greatest; no more rows than columns."""
    heaviest = [int(one) for one in np.argmax(weight, axis=1)]
    if len(set(heaviest)) == len(heaviest):  # each has the best it could have
        return heaviest
    from scipy.optimize import linear_sum_assignment  # only here: it costs start-up time

    return [int(one) for one in linear_sum_assignment(-weight)[1]]


def _of_body(shares: Floats) -> str:
    body = shares[:BODY]
    if body[3] > body[0] + body[1] and body[3] > body[2]:
        return "twist"
    return "roll" if body[2] > body[0] + body[1] else "body"
