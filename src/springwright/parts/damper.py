"""Damper rates for a target damping ratio, and the test sheet of a damper that is there."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np

from springwright.errors import Fault, InputError
from springwright.formula import formula
from springwright.parts.sheets import read_columns


def read_test_sheet(text: str, file: str) -> list[tuple[float, float]]:
    """Speed [m/s] and force [N] of a damper from CSV: columns `speed` and `force`, units in square brackets, bump positive.

    Rows may stand in any order; readings at one speed are averaged.

    Raises
    ------
    InputError
        A column or unit is missing, a cell is no number, force falls as speed rises, or one direction is missing.

    """
    found: dict[float, list[float]] = {}
    for speed, force in read_columns(text, file, (("speed", "speed"), ("force", "force"))):
        found.setdefault(speed, []).append(force)
    points = [(speed, float(np.mean(forces))) for speed, forces in sorted(found.items())]
    for (_, low), (speed, high) in pairwise(points):
        if high < low:
            raise InputError(
                file,
                [
                    Fault(
                        f"at {speed:g} m/s",
                        f"{high:g} N",
                        "force falls as speed rises; check the signs (bump positive) and smooth the sheet",
                    )
                ],
            )
    if not points[0][0] < 0 < points[-1][0]:
        raise InputError(file, [Fault("", "", "must reach from rebound (negative speed) to bump (positive speed)")])
    return points


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
