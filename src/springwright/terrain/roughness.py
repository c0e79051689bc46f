"""Random ground by ISO 8608: spectra of its classes, and profiles of two tracks made from them.

G_d(n) = G_d(n0) (n / n0)^-2, one-sided, n0 = 0.1 cycle/m; the class value is the geometric mean of its range. On ground
that is alike in every direction the two tracks, B apart, share gamma(n) = 2 pi n B K1(2 pi n B) of their cross-spectrum.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwright.terrain.ground import Ground

Floats = NDArray[np.float64]
RoadClass = Literal["A", "B", "C", "D", "E", "F", "G", "H"]
N0 = 0.1  # cycle/m, ISO 8608
# G_d(n0) of each class [m3], geometric mean, ISO 8608:2016 annex C (from several published copies)
CLASSES: dict[str, float] = {name: 16e-6 * 4**i for i, name in enumerate("ABCDEFGH")}
LOWEST, HIGHEST = 0.011, 10.0  # cycle/m: what a made profile holds, unless asked otherwise
FADE = 10.0  # m over which a made profile rises from level ground


def displacement_density(n: ArrayLike, value: float) -> Floats:
    """One-sided displacement density [m3] at a spatial frequency [cycle/m] for a class value G_d(n0) [m3]."""
    return np.asarray(value * (np.asarray(n, dtype=float) / N0) ** -2)


def velocity_density(value: float) -> float:
    """One-sided slope density [m], the same at every frequency: (2 pi n0)^2 G_d(n0)."""
    return (2 * np.pi * N0) ** 2 * value


def track_coherence(n: ArrayLike, apart: float) -> Floats:
    """Normalised cross-spectrum gamma of two tracks `apart` [m] at n [cycle/m]: 2 pi n B K1(2 pi n B), 1 for n B = 0."""
    from scipy.special import k1

    at = 2 * np.pi * np.asarray(n, dtype=float) * apart
    with np.errstate(invalid="ignore"):
        return np.where(at > 0, at * k1(np.maximum(at, 1e-300)), 1.0)


def rough_ground(
    value: float | RoadClass,
    length: float,
    apart: float,
    *,
    seed: int = 1,
    spacing: float = 0.02,
    lowest: float = LOWEST,
    highest: float = HIGHEST,
    coherence: float | None = None,
    random_amplitude: bool = False,
) -> Ground:
    """A made profile of two tracks.

    Parameters
    ----------
    value : class letter or float
        Class, or G_d(n0) [m3].
    length, apart : float
        Length of the profile and distance between its tracks [m].
    seed : int
        The same seed gives the same ground.
    lowest, highest : float
        Range of spatial frequency it holds [cycle/m].
    coherence : float, optional
        gamma at every frequency, 0 (tracks of their own) to 1 (both alike), in place of that of isotropic ground.
    random_amplitude : bool
        Draw amplitudes too, so that the spectrum scatters as that of a measured stretch does; else they are exact.

    """
    name = f"ISO 8608 class {value}" if isinstance(value, str) else f"roughness {value:g} m3"
    level = CLASSES[value] if isinstance(value, str) else value
    count = 2 ** int(np.ceil(np.log2(length / spacing)))
    n = np.fft.rfftfreq(count, spacing)
    inside = (n >= lowest) & (n <= min(highest, 0.5 / spacing))
    amplitude = np.zeros(len(n))
    amplitude[inside] = np.sqrt(displacement_density(n[inside], level) * (n[1] - n[0]) * 2)
    random = np.random.default_rng(seed)
    gamma = np.clip(track_coherence(n, apart) if coherence is None else np.full(len(n), coherence), 0.0, 1.0)
    if random_amplitude:
        draws = random.standard_normal((2, 2, len(n))) / np.sqrt(2)
        own, other = (draw[0] + 1j * draw[1] for draw in draws)
        across = gamma * own + np.sqrt(1 - gamma**2) * other
    else:  # both tracks keep their exact amplitudes: the phase between them has the cosine gamma, to either side
        own = np.exp(2j * np.pi * random.random(len(n)))
        across = own * np.exp(1j * np.arccos(gamma) * random.choice([-1.0, 1.0], len(n)))
    shared = amplitude * count / 2
    left = np.fft.irfft(shared * own, count)
    right = np.fft.irfft(shared * across, count)
    keep = min(int(length / spacing) + 1, count)
    x = np.arange(keep) * spacing
    fade = np.where(x < FADE, 0.5 - 0.5 * np.cos(np.pi * x / FADE), 1.0)
    notes = (
        f"seed {seed}, {lowest:g} to {highest:g} cycle/m, {'random' if random_amplitude else 'exact'} amplitudes, rising from level over {FADE:g} m",
    )
    return Ground(name, spacing, left[:keep] * fade, right[:keep] * fade, notes)
