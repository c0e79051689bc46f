"""Ride frequency and the rates, deflections and travels that follow from it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.formula import formula
from springwright.units import GRAVITY

Floats = NDArray[np.float64]
OSCILLATOR = "one-mass oscillator"
_MASS = ("m", "mass carried by one wheel", "kg")


@formula(
    "wheel or ride rate for a frequency",
    r"k = \left(2 \pi f\right)^{2} m",
    unit="N/m",
    source=OSCILLATOR,
    frequency=("f", "ride frequency", "Hz"),
    mass=_MASS,
)
def rate_for_frequency(frequency: Any, mass: Any) -> Any:
    """Rate that gives a mass a natural frequency [N/m]."""
    return (2 * np.pi * frequency) ** 2 * mass


@formula(
    "frequency of a rate",
    r"f = \frac{1}{2 \pi} \sqrt{\frac{k}{m}}",
    unit="Hz",
    source=OSCILLATOR,
    rate=("k", "wheel or ride rate", "N/m"),
    mass=_MASS,
)
def frequency_of_rate(rate: Any, mass: Any) -> Any:
    """Natural frequency of a mass on a rate [Hz]."""
    return np.sqrt(rate / mass) / (2 * np.pi)


@formula(
    "static deflection",
    r"\delta = \frac{F_{w}}{k_{w}}",
    unit="m",
    source="linear spring",
    load=("F_{w}", "sprung load on one wheel", "N"),
    rate=("k_{w}", "wheel rate", "N/m"),
)
def static_deflection(load: Any, rate: Any) -> Any:
    """Travel in which a linear spring of this wheel rate would take up the load [m]."""
    return load / rate


@formula(
    "wheel hop frequency",
    r"f_{h} = \frac{1}{2 \pi} \sqrt{\frac{k_{w} + k_{t}}{m_{u}}}",
    unit="Hz",
    source="unsprung mass between wheel rate and tyre, body held still; exact values come with the modes",
    wheel_rate=("k_{w}", "wheel rate", "N/m"),
    tyre_rate=("k_{t}", "tyre rate", "N/m"),
    mass=("m_{u}", "unsprung mass of one wheel", "kg"),
)
def hop_frequency(wheel_rate: Any, tyre_rate: Any, mass: Any) -> Any:
    """Wheel hop, body held still [Hz]."""
    return np.sqrt((wheel_rate + tyre_rate) / mass) / (2 * np.pi)


@formula(
    "bump travel to a bump load factor",
    r"x_{b} = \frac{\left(N - 1\right) F_{w}}{k_{w}}",
    unit="m",
    source="linear spring; N = spring force at the stop / static load, both at the wheel",
    factor=("N", "bump load factor", ""),
    load=("F_{w}", "sprung load on one wheel", "N"),
    rate=("k_{w}", "wheel rate", "N/m"),
)
def travel_to_factor(factor: Any, load: Any, rate: Any) -> Any:
    """Bump travel at which a linear spring carries `factor` times its static load [m]."""
    return (factor - 1) * load / rate


def softest_for_factor(factor: Any, bump: Any) -> Any:
    """Lowest ride frequency [Hz] at which a linear spring reaches a load factor within the bump travel [m]."""
    return np.sqrt((factor - 1) * GRAVITY / bump) / (2 * np.pi)


def stiffest_for_droop(droop: Any) -> Any:
    """Highest ride frequency [Hz] at which a linear spring is still pressed at full droop [m]."""
    return np.sqrt(GRAVITY / droop) / (2 * np.pi)


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
