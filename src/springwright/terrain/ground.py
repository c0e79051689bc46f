"""A ground: heights under the left and the right track at even spacing, and how a tyre reads it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from springwright.cells import cells_of
from springwright.errors import Fault, InputError, QuantityError
from springwright.units import parse, show

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Ground:
    """Heights [m] of both tracks every `spacing` [m] along the way; `notes` say what was done to it."""

    name: str
    spacing: float
    left: Floats
    right: Floats
    notes: tuple[str, ...] = ()

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

    def felt(self, radius: float, footprint: float) -> Ground:
        """The ground as a tyre's centre feels it: a rigid band of its radius rolled over, then the mean over its footprint.

        Parameters
        ----------
        radius, footprint : float
            Loaded radius and length of the footprint [m]; nought leaves that step out.

        """
        tracks = [
            _average(_rolled(track, radius, self.spacing), footprint, self.spacing) for track in (self.left, self.right)
        ]
        note = f"felt by a tyre of {show(radius, 'length')} radius and {show(footprint, 'length')} footprint"
        return replace(self, left=tracks[0], right=tracks[1], notes=(*self.notes, note))


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


LONGEST, HIGHEST = 20e3, 1e3  # m: of a recorded ground, and of its heights either way


def read_profile(text: str, file: str, spacing: float = 0.02) -> Ground:
    """A recorded profile from CSV: columns `distance`, `left` and (if there is one) `right`, units in square brackets.

    Resampled evenly by straight lines; gaps wider than ten times the usual spacing and jumps steeper than
    two to one are reported in `notes`, not mended.

    Raises
    ------
    InputError
        A column or unit is missing, a cell is no number, or distance does not rise.

    """
    rows = cells_of(text)
    if len(rows) < 3:
        raise InputError(
            file, [Fault("", "", "needs a header such as: distance [m],left [mm],right [mm] and at least two rows")]
        )
    names, scales = [], []
    for cell in rows[0]:
        name, _, unit = cell.partition("[")
        name, unit = name.strip().lower(), unit.rstrip("] ")
        if name not in ("distance", "left", "right"):
            raise InputError(file, [Fault(f'column "{cell}"', "", "no such column; known are distance, left, right")])
        try:
            scales.append(parse(f"1 {unit}", "length"))
        except QuantityError as error:
            raise InputError(file, [Fault(f'column "{cell}"', "", str(error))]) from None
        if name in names:
            raise InputError(file, [Fault(f'column "{cell}"', "", "is there twice; keep one")])
        names.append(name)
    if "distance" not in names or "left" not in names:
        raise InputError(
            file, [Fault("", "", "columns distance and left are needed, each with its unit in square brackets")]
        )
    values = np.zeros((len(rows) - 1, len(names)))
    for i, row in enumerate(rows[1:]):
        try:
            if len(row) != len(names):
                raise ValueError
            values[i] = [float(cell) for cell in row]
        except ValueError:
            raise InputError(file, [Fault(f"row {i + 1}", ",".join(row), f"must be {len(names)} numbers")]) from None
    with np.errstate(over="ignore"):
        values = values * scales
    if not np.all(np.isfinite(values)):
        raise InputError(file, [Fault("", "", "holds a value that is not finite; take it out")])
    columns = dict(zip(names, values.T, strict=True))
    distance = columns["distance"]
    step = np.diff(distance)
    if np.any(step <= 0):
        raise InputError(
            file, [Fault(f"row {int(np.argmax(step <= 0)) + 2}", "", "distance must rise from row to row")]
        )
    if distance[-1] - distance[0] > LONGEST:
        said = f"is {show(float(distance[-1] - distance[0]), 'distance')} long; at most {show(LONGEST, 'distance')} is driven: check the unit of distance, or cut it"
        raise InputError(file, [Fault("distance", "", said)])
    for name in ("left", "right"):
        if name in columns and np.abs(columns[name]).max() > HIGHEST:
            at = int(np.argmax(np.abs(columns[name]))) + 1
            raise InputError(
                file,
                [
                    Fault(
                        f"row {at}, {name}",
                        f"{columns[name][at - 1]:g} m",
                        "is no height of a ground; check the unit",
                    )
                ],
            )
    notes = [f"recorded every {show(float(np.median(step)), 'length')}"]
    gaps = int((step > 10 * np.median(step)).sum())
    steep = int((np.abs(np.diff(columns["left"])) > 2 * step).sum())
    if gaps:
        notes.append(f"{gaps} gaps, the widest {show(float(step.max()), 'length')}, bridged by straight lines")
    if steep:
        notes.append(f"{steep} jumps steeper than two to one: look for spikes")
    even = np.arange(distance[0], distance[-1], spacing)
    left = np.interp(even, distance, columns["left"])
    right = np.interp(even, distance, columns["right"]) if "right" in columns else left.copy()
    return Ground(file, spacing, left, right, tuple(notes))
