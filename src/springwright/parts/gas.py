"""Gas springs: air bellows and hydropneumatic struts, by the polytropic law p V^n = const.

The exponent is 1.0 for slow changes and about 1.38 for quick ones (from memory). Pressures here are absolute unless named gauge.
Above 200 bar a real gas is stiffer than this law says.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from springwright.formula import formula

ATMOSPHERE = 101_325.0  # Pa
ROOM = 293.15  # K, what springs are charged at unless said


@formula(
    "rate of a gas spring",
    r"k = \frac{N p A^{2}}{V} + p_{g} A_{x}",
    unit="N/m",
    source="derivative of (p - p_a) A along the stroke, p V^N constant",
    exponent=("N", "polytropic exponent", ""),
    pressure=("p", "absolute pressure", "Pa"),
    area=("A", "effective area", "m**2"),
    volume=("V", "gas volume", "m**3"),
    gauge=("p_{g}", "gauge pressure", "Pa"),
    area_slope=("A_{x}", "change of effective area per compression", "m"),
)
def rate(exponent: Any, pressure: Any, area: Any, volume: Any, gauge: Any, area_slope: Any) -> Any:
    """Rate [N/m] at one height."""
    return exponent * pressure * area**2 / volume + gauge * area_slope


def pressure_at(charge: Any, volume: Any, at: Any, exponent: Any) -> Any:
    """Absolute pressure [Pa] when gas charged at a pressure and volume [m3] has been pressed to another volume."""
    return charge * (volume / at) ** exponent


def volume_for(rate: Any, load: Any, area: Any, exponent: Any) -> Any:
    """Gas volume [m3] that gives a rate [N/m] under a load [N] at a constant area."""
    return exponent * (load / area + ATMOSPHERE) * area**2 / rate


def precharge_at(gauge: Any, temperature: Any, charged_at: Any = ROOM) -> Any:
    """Gauge precharge [Pa] at a temperature [K] when it was set at another; the volume is shut."""
    return (gauge + ATMOSPHERE) * temperature / charged_at - ATMOSPHERE


def area_fits_volume(height: Any, area: Any, volume: Any, tolerance: float = 0.02) -> bool:
    """Whether curves of effective area and volume against compression agree: A = -dV/dx, within a share of the mean area."""
    x, a, v = (np.asarray(one, dtype=float) for one in (height, area, volume))
    middle = (a[1:] + a[:-1]) / 2
    return bool(np.all(np.abs(-np.diff(v) / np.diff(x) - middle) <= tolerance * middle.mean()))
