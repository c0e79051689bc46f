"""Rates and forces through a linkage, by virtual work.

Motion ratio r = spring (or damper) compression / bump travel of the wheel, positive.
"""

from __future__ import annotations

import numpy as np

from springwright.formula import formula

VIRTUAL_WORK = (
    "virtual work; general form with dr/dx as in Barton & Fieldhouse, Automotive Chassis Engineering (2018) ch. 3"
)


@formula(
    "spring force at rest",
    r"F_{s} = \frac{F_{w}}{r}",
    unit="N",
    source=VIRTUAL_WORK,
    wheel_force=("F_{w}", "sprung load on one wheel", "N"),
    ratio=("r", "motion ratio, spring travel / wheel travel", ""),
)
def spring_force(wheel_force: float, ratio: float) -> float:
    """Force in the spring that holds a wheel force [N]."""
    return wheel_force / ratio


@formula(
    "spring rate",
    r"k_{s} = \frac{k_{w} - F_{s} r_{x}}{r^{2}}",
    unit="N/m",
    source=VIRTUAL_WORK,
    wheel_rate=("k_{w}", "wheel rate", "N/m"),
    force=("F_{s}", "force in the spring", "N"),
    slope=("r_{x}", "how fast the motion ratio grows with bump", "1/m"),
    ratio=("r", "motion ratio, spring travel / wheel travel", ""),
)
def spring_rate(wheel_rate: float, force: float, slope: float, ratio: float) -> float:
    """Spring rate that gives a wheel rate [N/m], with the geometric term F_s dr/dx taken off."""
    return (wheel_rate - force * slope) / ratio**2


@formula(
    "wheel rate from a spring",
    r"k_{w} = k_{s} r^{2} + F_{s} r_{x}",
    unit="N/m",
    source=VIRTUAL_WORK,
    rate=("k_{s}", "spring rate", "N/m"),
    ratio=("r", "motion ratio, spring travel / wheel travel", ""),
    force=("F_{s}", "force in the spring", "N"),
    slope=("r_{x}", "how fast the motion ratio grows with bump", "1/m"),
)
def wheel_rate(rate: float, ratio: float, force: float, slope: float) -> float:
    """Wheel rate a spring gives [N/m]; the second term is the geometric one."""
    return rate * ratio**2 + force * slope


@formula(
    "motion ratio of a lever",
    r"r = \frac{a \cos\left(\beta\right)}{b \cos\left(\alpha\right)}",
    unit="",
    source="lever with an inclined spring; cos² in the rate, see Barton & Fieldhouse (2018) eq. 3.29 to 3.33",
    spring_at=("a", "arm pivot to spring foot", "m"),
    arm=("b", "arm pivot to wheel centre", "m"),
    lean=(r"\beta", "spring's inclination to the path of its foot", "rad"),
    slope=(r"\alpha", "arm's slope, outer end up", "rad"),
)
def lever_ratio(spring_at: float, arm: float, lean: float, slope: float) -> float:
    """Motion ratio of a lever at zero travel."""
    return float(spring_at * np.cos(lean) / (arm * np.cos(slope)))


@formula(
    "roll wheel rate of a beam axle",
    r"k_{R} = \left(\frac{t_{s}}{t_{w}}\right)^{2} k_{w}",
    unit="N/m",
    source="statics of a beam axle (Milliken; Gillespie), from memory; derived again in the tests",
    heave=("k_{w}", "heave wheel rate", "N/m"),
    base=("t_{s}", "spring base", "m"),
    track=("t_{w}", "track", "m"),
)
def beam_roll_rate(heave: float, base: float, track: float) -> float:
    """Wheel rate of a beam axle in roll [N/m]: the springs act at their base, not at the track."""
    return heave * (base / track) ** 2


@formula(
    "one-wheel rate of a beam axle",
    r"k_{1} = \frac{k_{w}}{2} \left(1 + \left(\frac{t_{s}}{t_{w}}\right)^{2}\right)",
    unit="N/m",
    source="superposition: one wheel's bump is half heave and half roll",
    heave=("k_{w}", "heave wheel rate", "N/m"),
    base=("t_{s}", "spring base", "m"),
    track=("t_{w}", "track", "m"),
)
def beam_one_wheel_rate(heave: float, base: float, track: float) -> float:
    """Wheel rate of a beam axle when one wheel lifts and the other stays [N/m]."""
    return heave / 2 * (1 + (base / track) ** 2)


@formula(
    "roll stiffness of an axle",
    r"K_{\phi} = \frac{k_{R} t_{w}^{2}}{2}",
    unit="N*m/rad",
    source="two wheels at half the track each",
    roll_rate=("k_{R}", "wheel rate in roll", "N/m"),
    track=("t_{w}", "track", "m"),
)
def roll_stiffness(roll_rate: float, track: float) -> float:
    """Roll moment per roll angle of one axle's springs, tyres excluded [N*m/rad]."""
    return roll_rate * track**2 / 2


@formula(
    "two springs in series",
    r"k_{r} = \frac{k_{w} k_{t}}{k_{w} + k_{t}}",
    unit="N/m",
    source="springs in series",
    wheel_rate=("k_{w}", "wheel rate", "N/m"),
    tyre_rate=("k_{t}", "tyre rate", "N/m"),
)
def ride_rate(wheel_rate: float, tyre_rate: float) -> float:
    """Ride rate: wheel rate in series with the tyre [N/m]."""
    return wheel_rate * tyre_rate / (wheel_rate + tyre_rate)


@formula(
    "wheel rate behind a tyre",
    r"k_{w} = \frac{k_{r} k_{t}}{k_{t} - k_{r}}",
    unit="N/m",
    source="springs in series",
    ride=("k_{r}", "ride rate", "N/m"),
    tyre_rate=("k_{t}", "tyre rate", "N/m"),
)
def wheel_rate_behind_tyre(ride: float, tyre_rate: float) -> float:
    """Wheel rate that gives a ride rate through this tyre [N/m]; `ride` must be below `tyre_rate`."""
    return ride * tyre_rate / (tyre_rate - ride)
