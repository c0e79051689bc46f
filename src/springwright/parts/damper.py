"""Damper rates for a target damping ratio."""

from __future__ import annotations

from typing import Any

import numpy as np

from springwright.formula import formula


@formula(
    "damping rate at the wheel",
    r"c_{w} = 2 \zeta \sqrt{k_{w} m_{s}}",
    unit="N*s/m",
    source="one-mass oscillator",
    ratio=(r"\zeta", "damping ratio wanted", ""),
    wheel_rate=("k_{w}", "wheel rate", "N/m"),
    mass=("m_{s}", "sprung mass on one wheel", "kg"),
)
def wheel_damping(ratio: Any, wheel_rate: Any, mass: Any) -> Any:
    """Mean damping rate at the wheel [N*s/m]."""
    return 2 * ratio * np.sqrt(wheel_rate * mass)


@formula(
    "damping rate at the damper",
    r"c_{d} = \frac{c_{w}}{r^{2}}",
    unit="N*s/m",
    source="virtual work",
    wheel=("c_{w}", "damping rate at the wheel", "N*s/m"),
    ratio=("r", "damper travel / wheel travel", ""),
)
def damper_damping(wheel: Any, ratio: Any) -> Any:
    """Mean damping rate at the damper [N*s/m]."""
    return wheel / ratio**2


@formula(
    "damping rate in bump",
    r"c_{b} = \frac{2 c}{1 + q}",
    unit="N*s/m",
    source="same mean of bump and rebound: the same work in an even stroke",
    mean=("c", "mean damping rate", "N*s/m"),
    split=("q", "rebound / bump", ""),
)
def bump_share(mean: Any, split: Any) -> Any:
    """Damping rate in bump [N*s/m]."""
    return 2 * mean / (1 + split)


@formula(
    "damping rate in rebound",
    r"c_{r} = \frac{2 q c}{1 + q}",
    unit="N*s/m",
    source="same mean of bump and rebound: the same work in an even stroke",
    mean=("c", "mean damping rate", "N*s/m"),
    split=("q", "rebound / bump", ""),
)
def rebound_share(mean: Any, split: Any) -> Any:
    """Damping rate in rebound [N*s/m]."""
    return 2 * split * mean / (1 + split)
