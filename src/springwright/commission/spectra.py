"""Spectra of what was logged, with their confidence, and weighted accelerations as ISO 2631-1 has them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import UnsolvedError
from springwright.motion.weighting import digital

Floats = NDArray[np.float64]
SURE = 0.95
LEAST_SEGMENTS = 8


class Spectrum(NamedTuple):
    """One-sided density at frequencies [Hz] by Welch's mean of overlapping Hann segments, and its 95 % interval (chi-square)."""

    frequency: Floats
    density: Floats
    low: Floats
    high: Floats
    freedoms: float


def spectrum(values: Floats, step: float, resolution: float) -> Spectrum:
    """Spectral density.

    Parameters
    ----------
    values : (n,)
        At even steps, in any unit.
    step : float
        [s]
    resolution : float
        Of frequency, about so many [Hz].

    Raises
    ------
    UnsolvedError
        It is too short for that resolution.

    """
    from scipy.signal import welch
    from scipy.stats import chi2

    size = round(1 / (resolution * step))
    segments = (len(values) - size) // (size - size // 2) + 1 if len(values) >= size else 0
    if segments < LEAST_SEGMENTS:
        raise UnsolvedError(
            f"{len(values) * step:.3g} s are too short for a spectrum to {resolution:.3g} Hz: {LEAST_SEGMENTS} segments of {1 / resolution:.3g} s, half overlapped, are wanted"
        )
    frequency, density = welch(values, 1 / step, window="hann", nperseg=size, noverlap=size // 2, detrend="constant")
    # Welch (1967): half-overlapped Hann segments are alike by 1/36 in power, so that m of them count as this many freedoms
    freedoms = 2 * segments / (1 + 2 * (segments - 1) / segments / 36)
    low, high = (freedoms / chi2.ppf(share, freedoms) for share in ((1 + SURE) / 2, (1 - SURE) / 2))
    return Spectrum(frequency, density, density * low, density * high, float(freedoms))


def weighted(values: Floats, step: float, weighting: str) -> float:
    """Root mean square of an acceleration as weighted ("Wk", "Wd"), its first two seconds left for the filter to settle [m/s2]."""
    from scipy.signal import sosfilt

    rows = digital(weighting, step)
    sections = np.column_stack([rows[:, :3], np.ones(len(rows)), rows[:, 3:]])
    through = sosfilt(sections, values - values.mean())
    settled = through[min(int(2 / step), len(through) // 4) :]
    return float(np.sqrt(np.mean(settled**2)))


# nominal middles of the third-octave bands from 0.5 to 80 Hz, exact ones by powers of ten (ISO 266)
THIRDS = 10.0 ** (np.arange(-3, 20) / 10)


def thirds(one: Spectrum) -> tuple[Floats, Floats]:
    """Middles [Hz] and root mean squares of the third-octave bands that a spectrum reaches."""
    width = one.frequency[1] - one.frequency[0]
    edges = THIRDS * 10**0.05
    inside = (width < THIRDS / 10**0.05) & (edges < one.frequency[-1])
    middles = THIRDS[inside]
    power = np.concatenate([[0.0], np.cumsum(one.density * width)])
    places = np.concatenate([[one.frequency[0] - width / 2], one.frequency + width / 2])
    upper, lower = (np.interp(middles * f, places, power) for f in (10**0.05, 10**-0.05))
    return middles, np.sqrt(np.maximum(upper - lower, 0.0))
