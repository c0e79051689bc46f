"""How a Rig wants to move: undamped natural frequencies, shapes and nodes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.formula import formula
from springwright.motion.equilibrium import Rest
from springwright.motion.forces import damping_matrix, forces, mass_matrix
from springwright.results import Result, si
from springwright.vehicle.rig import BODY, Rig

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Mode(Result):
    """One natural mode: its name by shape, frequency, damping, and where its node lies for bounce and pitch.

    `node` is x [m], ISO 8855; None for a mode that has none in the side view. `shape` holds heave [m], pitch,
    roll and twist [rad] and the wheel heights [m], scaled to unit modal mass; of a damped mode, its real part when
    the largest coordinate peaks. `participation` is each coordinate's share of the mode's kinetic energy.
    `damping_ratio` is None for undamped modes and 1 or more for one that does not swing.
    """

    name: str
    frequency: float = si("Hz")
    node: float | None = si("m")
    damping_ratio: float | None = si("", None)
    shape: tuple[float, ...] = ()
    participation: tuple[float, ...] = si("", ())


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
    frequencies, ratios, vectors = (
        _damped(mass[square], damping_matrix(rig, rest.q)[square], stiffness[square])
        if damped
        else _undamped(mass[square], stiffness[square])
    )
    shapes = np.zeros((len(mass), len(frequencies)), dtype=complex)
    shapes[moving] = vectors
    shares = np.real(np.conj(shapes) * (mass @ shapes))
    shares /= shares.sum(axis=0)
    peaks = shapes[np.argmax(np.abs(shapes), axis=0), np.arange(len(frequencies))]
    reals = np.real(shapes * np.conj(peaks) / np.abs(peaks))
    found = []
    for k, (frequency, ratio) in enumerate(zip(frequencies, ratios, strict=True)):
        name = _name(rig, shapes[:, k], shares[:, k])
        node = _node(rig, reals[:, k]) if name == "body" else None
        found.append(Mode(name, frequency, node, ratio, tuple(reals[:, k].tolist()), tuple(shares[:, k].tolist())))
    return _bounce_and_pitch(rig, found)


@lru_cache(maxsize=32)  # a rest is asked for its modes with and without its dampers
def _linear(rig: Rig, rest: Rest) -> tuple[Floats, Floats]:
    """Mass and stiffness matrix about a rest."""
    return mass_matrix(rig), forces(rig, rest.q)[1]


def _undamped(mass: Floats, stiffness: Floats) -> _Found:
    squares, vectors = solve(mass, stiffness)
    frequencies = np.sqrt(np.maximum(squares, 0.0)) / (2 * np.pi)
    return _Found(frequencies.tolist(), [None] * len(squares), vectors)


def _damped(mass: Floats, damping: Floats, stiffness: Floats) -> _Found:
    """Real roots, which do not swing, are taken in pairs."""
    n = len(mass)
    inverse = np.linalg.inv(mass)
    system = np.block([[np.zeros((n, n)), np.eye(n)], [-inverse @ stiffness, -inverse @ damping]])
    roots, vectors = np.linalg.eig(system)
    swinging = [
        (abs(root), -root.real / abs(root), vectors[:n, i])
        for i, root in enumerate(roots)
        if root.imag > 1e-9 * abs(root)
    ]
    creeping = sorted(
        (i for i, root in enumerate(roots) if abs(root.imag) <= 1e-9 * abs(root)), key=lambda i: abs(roots[i])
    )
    pairs = [(a, b) for a, b in zip(creeping[::2], creeping[1::2], strict=False)]
    for a, b in pairs:
        size = float(np.sqrt(abs(roots[a] * roots[b])))
        swinging.append((size, float(abs(roots[a]) + abs(roots[b])) / (2 * size), vectors[:n, a]))
    sizes, ratios, shapes = zip(*sorted(swinging, key=lambda one: one[0]), strict=True)
    columns = np.array(shapes).T
    scale = np.sqrt(np.real(np.sum(np.conj(columns) * (mass @ columns), axis=0)))
    return _Found([float(size) / (2 * np.pi) for size in sizes], [float(one) for one in ratios], columns / scale)


def _bounce_and_pitch(rig: Rig, found: list[Mode]) -> tuple[Mode, ...]:
    """Tell the two body modes of the side view apart: bounce has its node beyond the supports, or else more heave in it."""
    pair = [mode for mode in found if mode.name == "body"]
    ends = np.concatenate([rig.wheel_places[:, 0], rig.hitch_place])

    def heaving(mode: Mode) -> tuple[bool, float]:
        outside = mode.node is None or not ends.min() < mode.node < ends.max()
        return outside, rig.sprung_mass * mode.shape[0] ** 2

    bounce = max(pair, key=heaving) if pair else None
    return tuple(
        replace(mode, name="bounce" if mode is bounce else "pitch") if mode.name == "body" else mode for mode in found
    )


def solve(mass: Floats, stiffness: Floats) -> tuple[Floats, Floats]:
    """Eigenvalues [rad2/s2], ascending, and mass-normalised shapes (columns) of a symmetric pair."""
    root = np.linalg.cholesky(mass)
    inverse = np.linalg.inv(root)
    squares, vectors = np.linalg.eigh(inverse @ stiffness @ inverse.T)
    return squares, inverse.T @ vectors


def _node(rig: Rig, shape: Floats) -> float | None:
    """X where the body stands still, or None when it does not pitch."""
    heave, pitch = shape[:2]
    return float(rig.sprung_cg[0] + heave / pitch) if abs(pitch) > 1e-9 * abs(heave) else None


def _name(rig: Rig, shape: Any, shares: Floats) -> str:
    body, wheels = shares[:BODY], shares[BODY:]
    if wheels.sum() > body.sum():
        by_axle = np.bincount(rig.wheel_axle, wheels)
        pair = shape[BODY:][rig.wheel_axle == int(np.argmax(by_axle))]
        kind = "tramp" if len(pair) == 2 and np.real(pair[0] * np.conj(pair[1])) < 0 else "hop"
        return f"{kind} {int(np.argmax(by_axle)) + 1}"
    if body[3] > body[0] + body[1] and body[3] > body[2]:
        return "twist"
    return "roll" if body[2] > body[0] + body[1] else "body"


@formula(
    "bounce and pitch, the slower mode",
    r"f_{1} = \frac{1}{2 \pi} \sqrt{\frac{A + C}{2} - \sqrt{\left(\frac{A - C}{2}\right)^{2} + \frac{B^{2}}{i^{2}}}}",
    unit="Hz",
    source="coupled two-degree oscillator; Thomson, Theory of Vibration §5.3",
    heave=("A", "sum of ride rates / sprung mass", "1/s**2"),
    coupling=("B", "sum of ride rate times distance from CG / sprung mass", "m/s**2"),
    turn=("C", "sum of ride rate times distance squared / pitch inertia", "1/s**2"),
    radius=("i", "radius of gyration in pitch", "m"),
)
def slower_mode(heave: Any, coupling: Any, turn: Any, radius: Any) -> Any:
    """Slower of the two coupled frequencies of a body on ride rates [Hz]."""
    return np.sqrt((heave + turn) / 2 - np.sqrt(((heave - turn) / 2) ** 2 + coupling**2 / radius**2)) / (2 * np.pi)


@formula(
    "bounce and pitch, the faster mode",
    r"f_{2} = \frac{1}{2 \pi} \sqrt{\frac{A + C}{2} + \sqrt{\left(\frac{A - C}{2}\right)^{2} + \frac{B^{2}}{i^{2}}}}",
    unit="Hz",
    source="coupled two-degree oscillator; Thomson, Theory of Vibration §5.3",
    heave=("A", "sum of ride rates / sprung mass", "1/s**2"),
    coupling=("B", "sum of ride rate times distance from CG / sprung mass", "m/s**2"),
    turn=("C", "sum of ride rate times distance squared / pitch inertia", "1/s**2"),
    radius=("i", "radius of gyration in pitch", "m"),
)
def faster_mode(heave: Any, coupling: Any, turn: Any, radius: Any) -> Any:
    """Faster of the two coupled frequencies of a body on ride rates [Hz]."""
    return np.sqrt((heave + turn) / 2 + np.sqrt(((heave - turn) / 2) ** 2 + coupling**2 / radius**2)) / (2 * np.pi)


def coupling_terms(rates: Floats, arms: Floats, mass: float, radius: float) -> dict[str, float]:
    """A, B, C and i of the two formulas, for ride rates [N/m] at distances ahead of the CG [m]."""
    return {
        "heave": float(rates.sum() / mass),
        "coupling": float(rates @ arms / mass),
        "turn": float(rates @ arms**2 / (mass * radius**2)),
        "radius": radius,
    }


def pitch_node(terms: dict[str, float], frequency: float) -> float:
    """X/Theta of a mode [m/rad], heave up over pitch nose down; the node lies that far ahead of the CG."""
    square = (2 * np.pi * frequency) ** 2
    return float(terms["coupling"] / (terms["heave"] - square))
