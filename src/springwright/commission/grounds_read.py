"""A ground read from a surveyed or logged profile: its roughness, waviness and class of ISO 8608, each with its interval.

The displacement density G_d(n) = G_d(n0) (n / n0)^-w is a straight line of slope -w on logarithmic scales: it is fitted to means over
octaves and their fractions, each weighted by how many freedoms it has, as ISO 8608 smooths.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.commission.logs import Wanted, read_log
from springwright.commission.spectra import spectrum
from springwright.commission.taken import SURE
from springwright.errors import Fault, InputError, UnsolvedError
from springwright.results import Result, si
from springwright.terrain.roughness import CLASSES

Floats = NDArray[np.float64]
N0 = 0.1  # cycle/m, where roughness is told
LOWEST, HIGHEST = 0.02, 2.0  # cycle/m of the band fitted; ISO 8608 asks for 0.011 to 2.83
COARSEST = 1.0  # m between heights
SEGMENTS = 12  # a profile is cut into at the least
BANDS = 18  # means over equal ratios of spatial frequency


@dataclass(frozen=True)
class GroundRead(Result):
    """A ground as a profile has it: G_d at 0.1 cycle/m and waviness, each with its 95 % interval, and the class it falls into."""

    roughness: float = si("m**3")
    roughness_low: float = si("m**3")
    roughness_high: float = si("m**3")
    waviness: float = si("")
    waviness_off: float = si("")
    iso_class: str = ""
    length: float = si("m", 0.0)
    notes: tuple[str, ...] = ()

    @property
    def said(self) -> str:
        """What was read, in words."""
        return (
            f"{self.length:.4g} m of ground: roughness {1e6 * self.roughness:.3g}e-6 m3 ({1e6 * self.roughness_low:.3g} to {1e6 * self.roughness_high:.3g}), "
            f"waviness {self.waviness:.2f} ± {self.waviness_off:.2f}, class {self.iso_class} of ISO 8608"
        )


class _Bands(NamedTuple):
    middle: Floats
    density: Floats
    freedoms: Floats


def read_ground(height: Floats, spacing: float) -> GroundRead:
    """Fit a ground to heights along one track.

    Parameters
    ----------
    height : (n,)
        [m]
    spacing : float
        Between them [m].

    Raises
    ------
    UnsolvedError
        It is too short or too coarse to say anything.

    """
    length = spacing * (len(height) - 1)
    resolution = max((SEGMENTS + 1) / 2 / length, 0.2 * LOWEST)
    if resolution > 0.25 * N0:
        raise UnsolvedError(
            f"{length:.4g} m are too short to tell a ground's roughness at 10 m waves; survey 260 m or more"
        )
    if spacing > COARSEST:
        raise UnsolvedError(
            f"heights every {spacing:.3g} m are too far apart: survey every {COARSEST:.1f} m or closer; is the distance in metres?"
        )
    slope = np.polynomial.Polynomial.fit(np.arange(len(height)), height, 1)
    flat = height - slope(np.arange(len(height)))
    found = spectrum(flat, spacing, resolution)
    if not np.all(found.density[1:] > 0):
        raise UnsolvedError("the profile is level: there is no roughness in it")
    bands = _bands(found.frequency, found.density, found.freedoms, resolution, spacing)
    x, y = np.log(bands.middle / N0), np.log(bands.density)
    # the logarithm of a chi-square mean with v freedoms lies 1/v low and scatters by sqrt(2/v)
    y = y + 1 / bands.freedoms
    weight = bands.freedoms / 2
    columns = np.column_stack([np.ones_like(x), -x])
    covariance = np.linalg.inv(columns.T @ (weight[:, None] * columns))
    level, waviness = (covariance @ (columns.T @ (weight * y))).tolist()
    off = SURE * np.sqrt(np.diag(covariance))
    roughness = float(np.exp(level))
    notes = []
    if not 1.5 <= waviness <= 2.5:
        notes.append(f"waviness {waviness:.2f} is not near 2, as ISO 8608 takes it: a class says little of this ground")
    return GroundRead(
        roughness,
        float(np.exp(level - off[0])),
        float(np.exp(level + off[0])),
        waviness,
        float(off[1]),
        class_of(roughness),
        length,
        tuple(notes),
    )


def _bands(frequency: Floats, density: Floats, freedoms: float, resolution: float, spacing: float) -> _Bands:
    """Means over bands of equal ratio, each told at the frequency at which a line of slope -2 has that mean."""
    top = min(HIGHEST, 0.35 / spacing)
    edges = np.geomspace(max(LOWEST, 1.5 * resolution), top, BANDS + 1)
    middle, mean, count = [], [], []
    for low, high in pairwise(edges.tolist()):
        inside = (frequency >= low) & (frequency < high)
        if not inside.any():
            continue
        f = frequency[inside]
        middle.append(float(np.exp(np.log(f).mean())))
        # the power law is divided out before the mean is taken, so that a wide band is not led by its low end
        mean.append(float((density[inside] * f**2).mean() / middle[-1] ** 2))
        n = int(inside.sum())
        # neighbours of a Hann window are alike by 2/3, the next by 1/6: in power by the squares of those (Harris 1978)
        alike = 2 * ((2 / 3) ** 2 * (n - 1) + (1 / 6) ** 2 * max(n - 2, 0)) / n
        count.append(freedoms * n / (1 + alike))
    return _Bands(np.array(middle), np.array(mean), np.array(count))


def class_of(roughness: float) -> str:
    """The class of ISO 8608 that a roughness falls into; each reaches from half to twice its middle [m3]."""
    return min(CLASSES, key=lambda name: abs(np.log(CLASSES[name] / roughness)))


def read_profile(path: Path, say: Callable[[str], None]) -> GroundRead:
    """Fit a ground to a profile that was surveyed: a CSV file with columns distance and height, each with its unit.

    Raises
    ------
    InputError
        It is no such file, or too short or coarse.

    """
    name = path.name
    log = read_log(path, [Wanted("height", "length")], "distance", say)
    places, heights = log.time, log.channels["height"]
    spacing = float(np.median(np.diff(places)))
    even = np.interp(np.arange(0.0, places[-1], spacing), places, heights)
    try:
        told = read_ground(even, spacing)
        return replace(told, notes=(log.read, *log.notes, *told.notes))
    except UnsolvedError as error:
        raise InputError(name, [Fault("", "", str(error))]) from None
