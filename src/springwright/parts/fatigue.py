"""How long a coil lasts under loads that vary: rainflow counts of its force, each cycle's life, and Miner's sum.

Each cycle becomes the reversed one that harms alike, by Goodman against the shear strength (0.67 of the tensile strength); its life
lies on the line from 0.9 of that strength at a thousand cycles to Zimmerli's endurance limit at a million (Shigley, helical springs
under fatigue loading, from memory). The line is followed on below the limit, which counts small cycles as harmful (common practice,
no source). Zimmerli's tests went to about 10 mm of wire; thicker wire may last less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwright.parts.coil import correction, shear_stress

Floats = NDArray[np.float64]
LONG, SHORT = 1e6, 1e3  # cycles at the endurance limit, and at nine tenths of the shear strength
SHEAR_SHARE, SHORT_SHARE = 0.67, 0.9
MOST_ENDURED = 0.7  # of the stress survived a thousand times: a peened limit above it is beyond what the tests can say
# Zimmerli: shear amplitude and mean [Pa] that were endured without end, not peened and shot peened
ENDURED = {False: (241.3e6, 379.2e6), True: (396.4e6, 534.3e6)}


@dataclass(frozen=True)
class Wound:
    """The wire of a coil (or arrays of coils) as fatigue sees it: wire and mean diameter [m], tensile strength [Pa], and whether it is shot peened."""

    wire: Any
    mean: Any
    strength: Any
    peened: bool = False

    @property
    def shear_strength(self) -> Any:
        """[Pa]."""
        return SHEAR_SHARE * self.strength

    @property
    def counts_peening(self) -> Any:
        """Whether the peened limit is used: of wire too weak for Zimmerli's peened tests to speak of, it is not."""
        return self.peened & (self._reversed(peened=True) < MOST_ENDURED * SHORT_SHARE * self.shear_strength)

    @property
    def endurance(self) -> Any:
        """Reversed shear endured without end [Pa]."""
        return np.where(self.counts_peening, self._reversed(peened=True), self._reversed(peened=False))[()]

    def _reversed(self, *, peened: bool) -> Any:
        amplitude, mean = ENDURED[peened]
        return amplitude / np.maximum(1 - mean / self.shear_strength, 1e-9)

    @property
    def slope(self) -> Any:
        """Exponent of the life line."""
        return np.log(LONG / SHORT) / np.log(SHORT_SHARE * self.shear_strength / self.endurance)


def cycles(turning: Sequence[float] | Floats) -> Floats:
    """(n, 3): least, most and count (1 or 0.5) of the rainflow cycles of a row of turning points, in its unit (ASTM E1049-85)."""
    import rainflow  # a kept library does the counting

    found = [(mean - span / 2, mean + span / 2, count) for span, mean, count, _, _ in rainflow.extract_cycles(turning)]
    return np.array(found, dtype=float).reshape(-1, 3)


def _swing(least: ArrayLike, most: ArrayLike, coil: Wound) -> tuple[Floats, Floats]:
    """Amplitude and mean of the corrected shear [Pa] between two spring forces [N]."""
    low, high = (np.asarray(one, dtype=float) for one in (least, most))
    factor = correction(coil.mean / coil.wire)
    return tuple(factor * shear_stress(force, coil.mean, coil.wire) for force in ((high - low) / 2, (high + low) / 2))


def factor_of_safety(least: ArrayLike, most: ArrayLike, coil: Wound, strokes: float = LONG) -> Floats:
    """By how much a swing between two spring forces [N] may grow, mean and amplitude alike, until it is survived so many times and no more.

    1/S = t_a/S_N + t_m/S_su, Goodman (Shigley, helical springs under fatigue loading, from memory), S_N being on the life line at `strokes`.
    """
    amplitude, mean = _swing(least, most, coil)
    survived = np.minimum(coil.endurance * (LONG / strokes) ** (1 / coil.slope), SHORT_SHARE * coil.shear_strength)
    return np.asarray(1 / (amplitude / survived + mean / coil.shear_strength))


def reversed_stress(least: ArrayLike, most: ArrayLike, coil: Wound) -> Floats:
    """Reversed shear [Pa] that harms as a swing between two spring forces [N] does; without end where the mean alone breaks it."""
    amplitude, mean = _swing(least, most, coil)
    left = 1 - mean / coil.shear_strength
    return np.where(left > 0, amplitude / np.maximum(left, 1e-9), np.inf)


def life(least: ArrayLike, most: ArrayLike, coil: Wound) -> Floats:
    """Cycles survived between two spring forces [N]; without end where the force does not move."""
    with np.errstate(divide="ignore"):
        return np.asarray(LONG * (coil.endurance / reversed_stress(least, most, coil)) ** coil.slope)


def damage(counted: Floats, coil: Wound) -> float:
    """Miner's sum of counted cycles of spring force [N], see `cycles`."""
    with np.errstate(divide="ignore"):  # a cycle that breaks it at once
        return float(np.sum(counted[:, 2] / life(counted[:, 0], counted[:, 1], coil)))
