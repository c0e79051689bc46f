"""Leaf springs: multi-leaf and parabolic, rate and stress at the seat, nip, and leaves for a rate.

Beam theory as printed in the machine-design texts (Bhandari ch. 10; Sarkar ch. 8; Khurmi and Gupta ch. 23); the stiffening factor for
full-length leaves follows from it. Loads are per spring at its seat; lengths are between the eyes, less what the clamp takes.
Interleaf friction and shackles are not counted in a rate.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from springwright.formula import formula

_MODULUS = ("E", "Young's modulus", "Pa")
_LEAVES = ("n", "leaves", "")
_WIDE = ("b", "leaf width", "m")
_THICK = ("t", "leaf thickness", "m")
_LONG = ("L", "active length between the eyes", "m")
_FACTOR = ("S", "stiffening factor, 1 all graduated to 1.5 all full length", "")


@formula(
    "seat rate of a leaf spring",
    r"R = \frac{8 E n b t^{3} S}{3 L^{3}}",
    unit="N/m",
    source="beam of uniform strength, Bhandari ch. 10; S for full-length leaves",
    modulus=_MODULUS,
    leaves=_LEAVES,
    width=_WIDE,
    thickness=_THICK,
    length=_LONG,
    factor=_FACTOR,
)
def rate(modulus: Any, leaves: Any, width: Any, thickness: Any, length: Any, factor: Any) -> Any:
    """Rate at the seat of a spring with the axle in its middle [N/m]."""
    return 8 * modulus * leaves * width * thickness**3 * factor / (3 * length**3)


@formula(
    "leaves for a rate",
    r"n = \frac{3 R L^{3}}{8 E b t^{3} S}",
    unit="",
    source="the seat rate, turned round",
    rate=("R", "seat rate", "N/m"),
    modulus=_MODULUS,
    width=_WIDE,
    thickness=_THICK,
    length=_LONG,
    factor=_FACTOR,
)
def leaves_for(rate: Any, modulus: Any, width: Any, thickness: Any, length: Any, factor: Any) -> Any:
    """Number of leaves that gives a rate."""
    return 3 * rate * length**3 / (8 * modulus * width * thickness**3 * factor)


@formula(
    "stress of a leaf spring",
    r"\sigma = \frac{3 F L}{2 n b t^{2}}",
    unit="Pa",
    source="beam of uniform strength, every leaf alike",
    force=("F", "seat load", "N"),
    length=_LONG,
    leaves=_LEAVES,
    width=_WIDE,
    thickness=_THICK,
)
def stress(force: Any, length: Any, leaves: Any, width: Any, thickness: Any) -> Any:
    """Bending stress where every leaf takes its share [Pa]."""
    return 3 * force * length / (2 * leaves * width * thickness**2)


@formula(
    "leaf thickness for a stress and a deflection",
    r"t = \frac{\sigma L^{2}}{4 E y}",
    unit="m",
    source="stress over deflection of the beam of uniform strength; Sarkar ch. 8",
    stress=(r"\sigma", "stress", "Pa"),
    length=_LONG,
    modulus=_MODULUS,
    deflection=("y", "deflection at that stress", "m"),
)
def thickness_for(stress: Any, length: Any, modulus: Any, deflection: Any) -> Any:
    """Thickness of leaf that reaches a stress at a deflection [m]."""
    return stress * length**2 / (4 * modulus * deflection)


def stiffening(full: int, leaves: int) -> float:
    """Factor on the rate of `full` full-length leaves, the main leaf counted, among all: (2 n_g + 3 n_f) / 2 n."""
    return (2 * (leaves - full) + 3 * full) / (2 * leaves)


def stresses(end_load: Any, half_length: Any, width: Any, thickness: Any, full: int, graduated: int) -> tuple[Any, Any]:
    """Stress of full-length and of graduated leaves without nip [Pa]: the full ones take half as much again."""
    share = width * thickness**2 * (2 * graduated + 3 * full)
    return 18 * end_load * half_length / share, 12 * end_load * half_length / share


def nip(
    end_load: Any, half_length: Any, modulus: Any, width: Any, thickness: Any, full: int, graduated: int
) -> tuple[Any, Any]:
    """Gap to leave between full and graduated leaves so that all are stressed alike under the load [m], and the bolt's pull [N]."""
    leaves = full + graduated
    gap = 2 * end_load * half_length**3 / (leaves * modulus * width * thickness**3)
    return gap, 2 * full * graduated * end_load / (leaves * (2 * graduated + 3 * full))


def offset_rate(modulus: Any, second_moment: Any, front: Any, rear: Any, factor: Any = 1.0) -> Any:
    """Seat rate with the axle off the middle, `front` and `rear` of the eyes [m]; second moment of all leaves [m4]."""
    return 2 * modulus * second_moment * factor * (front + rear) / (front**2 * rear**2)


def parabolic_rate(modulus: Any, width: Any, root: Any, half_length: Any, tip_share: Any = 0.0) -> Any:
    """Rate of one parabolic half-leaf at its tip [N/m]: `root` thickness, tip no thinner than `tip_share` of it."""
    second = width * root**3 / 12
    return 3 * modulus * second / (half_length**3 * (2 - tip_share**3))


def friction_share(friction: Any, leaves: Any, thickness: Any, half_length: Any) -> Any:
    """Interleaf friction force / load: mu (n - 1) t / l, for graduated leaves loaded through their tips."""
    return friction * (leaves - 1) * thickness / half_length


def radius_of(camber: Any, length: Any) -> Any:
    """Radius of a leaf curved to a camber over a length between its eyes [m]."""
    return (np.asarray(length) / 2) ** 2 / (2 * camber) + np.asarray(camber) / 2
