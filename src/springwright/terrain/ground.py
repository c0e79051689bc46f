"""A ground: heights under the left and the right track at even spacing, and how a tyre reads it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Ground:
    """Heights [m] of both tracks every `spacing` [m] along the way; `notes` say what was done to it."""

    name: str
    spacing: float
    left: Floats
    right: Floats
    notes: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()  # of the notes, those that ask for a look at what was recorded

    @property
    def length(self) -> float:
        """Length of the profile [m]."""
        return self.spacing * (len(self.left) - 1)

    def plus(self, height: float) -> Ground:
        """The same ground, higher by so much [m]."""
        return replace(self, left=self.left + height, right=self.right + height)

    def mirrored(self) -> Ground:
        """Left and right changed over."""
        return replace(self, left=self.right, right=self.left)

    def felt(self, radius: float, footprint: float, *notes: str) -> Ground:
        """The ground as a tyre's centre feels it: a rigid band of its radius rolled over, then the mean over its footprint.

        Parameters
        ----------
        radius, footprint : float
            Loaded radius and length of the footprint [m]; nought leaves that step out.
        notes : str
            What is said of that.

        """
        tracks = [
            _average(_rolled(track, radius, self.spacing), footprint, self.spacing) for track in (self.left, self.right)
        ]
        return replace(self, left=tracks[0], right=tracks[1], notes=(*self.notes, *notes))


def _rolled(track: Floats, radius: float, spacing: float) -> Floats:
    """Lowest height of a circle rolled over the track, less its radius: max over u of z(x + u) - (r - sqrt(r2 - u2))."""
    reach = int(radius / spacing)
    if reach == 0:
        return track
    padded = np.pad(track, reach, mode="edge")
    best = np.full(len(track), -np.inf)
    for k in range(-reach, reach + 1):
        sag = radius - np.sqrt(max(radius**2 - (k * spacing) ** 2, 0.0))
        np.maximum(best, padded[reach + k : reach + k + len(track)] - sag, out=best)
    return best


def _average(track: Floats, width: float, spacing: float) -> Floats:
    """Moving mean over a width, with its ends counted by their share."""
    half = width / 2 / spacing - 0.5  # cells each side of the middle one
    if half <= 0:
        return track
    whole = int(half)
    weights = np.ones(2 * whole + 3)
    weights[[0, -1]] = half - whole
    pad = whole + 1
    return np.convolve(np.pad(track, pad, mode="edge"), weights / weights.sum(), mode="valid")
