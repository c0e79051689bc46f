"""The helical compression spring after EN 13906-1: rate, stress, lengths, buckling, surge, fatigue.

Every function takes SI floats or arrays. Clause numbers are those of EN 13906-1:2013; its formula
text is from memory, confirmed against the worked examples in tests/validation.
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from springwright.formula import formula
from springwright.parts.wire import FATIGUE_SHARES, Made

Ends = Literal["closed and ground", "closed", "open and ground", "open"]
Floats = NDArray[np.float64]

_WIRE = ("d", "wire diameter", "m")
_MEAN = ("D", "mean coil diameter", "m")
_ACTIVE = ("n", "active coils", "")
_FORCE = ("F", "spring force", "N")
_INDEX = ("w", "spring index D/d", "")


@formula(
    "spring rate of a coil",
    r"R = \frac{G d^{4}}{8 D^{3} n}",
    unit="N/m",
    source="EN 13906-1 9.3",
    modulus=("G", "shear modulus", "Pa"),
    wire=_WIRE,
    mean=_MEAN,
    active=_ACTIVE,
)
def rate(modulus: Any, wire: Any, mean: Any, active: Any) -> Any:
    """Spring rate [N/m]."""
    return modulus * wire**4 / (8 * mean**3 * active)


@formula(
    "active coils for a rate",
    r"n = \frac{G d^{4}}{8 D^{3} R}",
    unit="",
    source="EN 13906-1 9.3, turned round",
    modulus=("G", "shear modulus", "Pa"),
    wire=_WIRE,
    mean=_MEAN,
    rate=("R", "spring rate", "N/m"),
)
def active_coils(modulus: Any, wire: Any, mean: Any, rate: Any) -> Any:
    """Active coils that give a rate."""
    return modulus * wire**4 / (8 * mean**3 * rate)


@formula(
    "shear stress, uncorrected",
    r"\tau = \frac{8 F D}{\pi d^{3}}",
    unit="Pa",
    source="EN 13906-1 9.4",
    force=_FORCE,
    mean=_MEAN,
    wire=_WIRE,
)
def shear_stress(force: Any, mean: Any, wire: Any) -> Any:
    """Nominal torsional stress [Pa], for static and solid limits."""
    return 8 * force * mean / (np.pi * wire**3)


@formula(
    "stress correction factor",
    r"k = \frac{w + 0.5}{w - 0.75}",
    unit="",
    source="EN 13906-1 clause 7 (Bergsträsser)",
    index=_INDEX,
)
def correction(index: Any) -> Any:
    """Factor for the raised stress at the inside of the coil."""
    return (index + 0.5) / (index - 0.75)


@formula(
    "Wahl factor",
    r"K_{W} = \frac{4 w - 1}{4 w - 4} + \frac{0.615}{w}",
    unit="",
    source="Wahl; as in Bhandari, Design of Machine Elements, ch. 10",
    index=_INDEX,
)
def wahl(index: Any) -> Any:
    """Wahl's factor, used with the fatigue line below."""
    return (4 * index - 1) / (4 * index - 4) + 0.615 / index


def total_coils(active: Any, ends: Ends, made: Made) -> Any:
    """Total coils: EN 13906-1 9.8 for closed ends, Shigley table 10-1 (from memory) for open ones."""
    if ends in ("closed and ground", "closed"):
        return active + (1.5 if made == "hot coiled" else 2.0)
    return active + (1.0 if ends == "open and ground" else 0.0)


def solid_length(wire: Any, total: Any, ends: Ends, made: Made) -> Any:
    """Solid length [m]: EN 13906-1 9.10 for closed ends, Shigley table 10-1 (from memory) for open ones."""
    more = {
        ("closed and ground", "cold coiled"): 0.0,
        ("closed", "cold coiled"): 1.5,
        ("closed and ground", "hot coiled"): -0.3,
        ("closed", "hot coiled"): 1.1,
    }
    open_more = 0.0 if ends == "open and ground" else 1.0
    return (total + more.get((ends, made), open_more)) * wire


def least_gaps(wire: Any, mean: Any, active: Any, made: Made) -> Any:
    """Sum of the least gaps between coils under static load [m], EN 13906-1 9.9."""
    if made == "hot coiled":
        return 0.02 * active * (mean + wire)
    return active * (0.0015 * mean**2 / wire + 0.1 * wire)


def working_gaps(wire: Any, mean: Any, active: Any, made: Made) -> Any:
    """The same for dynamic load [m]: 1.5 times for cold coiled, twice for hot coiled springs, EN 13906-1 9.9."""
    return least_gaps(wire, mean, active, made) * (2.0 if made == "hot coiled" else 1.5)


def growth_at_solid(wire: Any, mean: Any, pitch: Any) -> Any:
    """How much the outside diameter grows when pressed solid, ends free to turn [m], EN 13906-1 9.11."""
    return 0.1 * (pitch**2 - 0.8 * pitch * wire - 0.2 * wire**2) / mean


def surge_frequency(wire: Any, mean: Any, active: Any, shear_modulus: Any, density: Any) -> Any:
    """First natural frequency of the coil between fixed ends [Hz]: half the root of rate over active mass."""
    return wire / (2 * np.sqrt(2) * np.pi * active * mean**2) * np.sqrt(shear_modulus / density)


def buckling_travel(free: Any, mean: Any, seat_factor: Any, shear_modulus: Any, elastic_modulus: Any) -> Floats:
    """Deflection at which the coil buckles [m], infinite where it cannot, EN 13906-1 9.14.

    `seat_factor` nu: 0.5 both ends held parallel, 0.7 one end free to tilt, 1 both, 2 one end free.
    """
    g = shear_modulus / elastic_modulus
    root = 1 - (1 - g) / (0.5 + g) * (np.pi * mean / (seat_factor * free)) ** 2
    with np.errstate(invalid="ignore"):
        travel = free * 0.5 / (1 - g) * (1 - np.sqrt(root))
    return np.where(root >= 0, travel, np.inf)


def coil_mass(wire: Any, mean: Any, total: Any, density: Any) -> Any:
    """Mass of the whole coil [kg], the pitch angle neglected."""
    return density * np.pi * wire**2 / 4 * np.pi * mean * total


def fatigue_factor(least_force: Any, most_force: Any, wire: Any, mean: Any, strength: Any, kind: str) -> Any:
    """Factor of safety for infinite life between two forces, 1 being the limit.

    1/S = t_m/S_y + t_a/S_e (2 - S_e/S_y); mean stress with the direct-shear factor 1 + 0.5/w, amplitude
    with Wahl's. Sadhu Singh, Machine Design-I, ex. 8.2; Bhandari, Design of Machine Elements, ex. 10.13.
    """
    endurance, yield_ = (share * strength for share in FATIGUE_SHARES[kind])
    index = mean / wire
    middle = (1 + 0.5 / index) * shear_stress((most_force + least_force) / 2, mean, wire)
    swing = wahl(index) * shear_stress((most_force - least_force) / 2, mean, wire)
    return 1 / (middle / yield_ + swing / endurance * (2 - endurance / yield_))
