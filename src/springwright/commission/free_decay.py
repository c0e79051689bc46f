r"""A free decay read: frequency and damping of the mode that swings most, by fitting to a trace the model's own free motion.

The trace is y(t) = offset + size · [Re(c e^(λ(t + s))) + w(t + s)]: c is what the model gives that mode when it is let go, and w all its
other modes together. Frequency and damping in λ = ω (-ζ + i sqrt(1 - ζ²)) and the start s are sought; offset and size follow by least
squares for each that is tried. A sensor that stands askew reads less of the motion, which is in size, and gravity less of its own, which
is in offset. Beside it stands the plain check, the logarithmic decrement of successive peaks δ = ln(A1/A2) = 2πζ/sqrt(1 - ζ²).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.errors import UnsolvedError
from springwright.results import Result, si

Floats = NDArray[np.float64]
LEAST_EXPLAINED = 0.5  # of a trace's variance, below which there is no decay in it
MOST = 4000  # points that are fitted; a longer trace is thinned after a mean over what is left out
PERIODS = 5.0  # of the mode, that are looked at
LATEST = 0.3  # of a period, by which a trace may begin after it was let go


@dataclass(frozen=True)
class Peak(Result):
    """A peak of a trace: when, and how far from its rest [unit of the trace]."""

    time: float = si("s")
    size: float = si("")


@dataclass(frozen=True)
class Decay(Result):
    """A decay as fitted: undamped frequency |λ|/2π, damping ratio, each with its standard error; `envelope` is the mode's height where the trace begins. `start` is how long after it was let go the trace begins. `amplitude` is its size against the model's, `offset` where it rests, in the trace's unit.

    `decrement` is the damping ratio by the peaks alone, None where fewer than two stand out. `explained` is the share of the variance.
    """

    frequency: float = si("Hz")
    frequency_off: float = si("Hz")
    damping_ratio: float = si("")
    damping_off: float = si("")
    start: float = si("s")
    amplitude: float = si("")
    offset: float = si("")
    envelope: float = si("", 0.0)
    decrement: float | None = si("", None)
    explained: float = si("", 0.0)
    peaks: tuple[Peak, ...] = ()


@dataclass(frozen=True, eq=False)
class Release:
    """How a model swings that is let go: frequency |λ|/2π [Hz] and damping ratio of the mode that swings most, its complex share of what is read, and what all others do [unit of the trace] by time [s].

    `power` is 0 where heights are read and 2 where accelerations are; `struck` where it is let go by a blow and not from rest.
    """

    frequency: float
    ratio: float
    share: complex
    others: Callable[[Floats], Floats]
    power: int = 0
    struck: bool = False

    def share_at(self, frequency: float, ratio: float) -> complex:
        """The mode's share if its frequency and damping were others: let go the same way, it begins as a mass alone would [Hz, -]."""
        return self.share * self._begun(frequency, ratio) / self._begun(self.frequency, self.ratio)

    def _begun(self, frequency: float, ratio: float) -> complex:
        # let go from rest, x'(0) = 0, or by a blow, x(0) = 0: the real part of c, and of c times the root, say so
        turn = np.sqrt(1 - ratio**2)
        root = 2 * np.pi * frequency * complex(-ratio, turn)
        return complex(root**self.power * (complex(0.0, -1.0) if self.struck else complex(1.0, -ratio / turn)))


def alone(frequency: float, ratio: float) -> Release:
    """One mode by itself, let go from rest away from where it stands [Hz, -]."""
    return Release(frequency, ratio, complex(1.0, -ratio / np.sqrt(1 - ratio**2)), np.zeros_like)


class _Trace:
    """A trace with what is linear in it solved for every frequency, damping and start."""

    def __init__(self, time: Floats, values: Floats, release: Release) -> None:
        self.time, self.values, self.release = time, values, release

    def shape(self, frequency: float, ratio: float, start: float) -> Floats:
        """What the model does, that mode at another frequency and damping."""
        at = self.time + start
        root = 2 * np.pi * frequency * complex(-ratio, np.sqrt(1 - ratio**2))
        share = self.release.share_at(frequency, ratio)
        return np.asarray(np.real(share * np.exp(root * at)) + self.release.others(at), dtype=float)

    def solved(self, x: Floats) -> tuple[float, float, Floats]:
        """Size and offset, and what is left of the trace."""
        shape = self.shape(float(np.exp(x[0])), float(x[1]), float(x[2]))
        middle, mean = float(shape.mean()), float(self.values.mean())
        power = float(np.sum((shape - middle) ** 2))
        size = float(np.sum((shape - middle) * (self.values - mean))) / power if power > 0 else 0.0
        offset = mean - size * middle
        return size, offset, self.values - offset - size * shape


def fit_decay(time: Floats, values: Floats, release: Release, near: Decay | None = None) -> Decay:
    """Fit a decay.

    Parameters
    ----------
    time, values : (n,)
        Times from about where it was let go, or later [s], and what was read there, in any unit.
    release : Release
        How the model swings that is let go there.
    near : Decay, optional
        Another fit, to begin the search at.

    Raises
    ------
    UnsolvedError
        There is no decay in it.

    """
    from scipy.optimize import least_squares

    frequency, ratio = release.frequency, release.ratio
    kept = time <= time[0] + PERIODS / frequency
    time, values = time[kept], values[kept]
    if len(time) > MOST:
        every = -(-len(time) // MOST)
        cut = len(time) // every * every
        time, values = (one[:cut].reshape(-1, every).mean(axis=1) for one in (time, values))
    if len(time) < 12 or time[-1] - time[0] < 0.75 / frequency:
        raise UnsolvedError(
            f"the trace ends {time[-1] - time[0]:.2f} s after it is let go, less than one swing at {frequency:.2f} Hz; record for longer"
        )
    trace = _Trace(time - time[0], values, release)
    low, high = float(np.log(0.4 * frequency)), float(np.log(2.5 * frequency))
    latest = LATEST / frequency
    begins = [(frequency, min(share * ratio, 0.9), late * latest) for late in (0.0, 0.4) for share in (1.0, 0.5)]
    if near is not None:
        begins = [(near.frequency, min(near.damping_ratio, 0.9), near.start)]
    best = None
    for f, zeta, start in begins:
        found = least_squares(
            lambda x: trace.solved(x)[2],
            [np.log(f), max(zeta, 2e-4), min(max(start, 1e-3 * latest), 0.999 * latest)],
            bounds=([low, 1e-4, -0.1 * latest], [high, 0.97, latest]),
            x_scale=[0.05, 0.05, 0.1 / frequency],
        )
        if best is None or found.cost < best.cost:
            best = found
    assert best is not None
    log_f, zeta, start = (float(one) for one in best.x)
    f = float(np.exp(log_f))
    size, offset, left = trace.solved(best.x)
    spread = float(np.sum((values - values.mean()) ** 2))
    explained = 1 - float(np.sum(left**2)) / spread if spread > 0 else 0.0
    if explained < LEAST_EXPLAINED or log_f - low < 1e-3 or high - log_f < 1e-3 or zeta < 2e-4:
        raise UnsolvedError(
            f"no decay near {frequency:.2f} Hz in it: a free swing explains {max(explained, 0.0):.0%} of the trace; "
            "push, let go and keep still, and give the part from there"
        )
    off = _errors(best.jac, left)
    peaks = _peaks(trace.time, values - offset, f)
    return Decay(
        frequency=f,
        frequency_off=f * off[0],
        damping_ratio=zeta,
        damping_off=off[1],
        start=start,
        amplitude=abs(size),
        envelope=abs(size * release.share_at(f, zeta)) * float(np.exp(-zeta * 2 * np.pi * f * start)),
        offset=offset,
        decrement=_decrement(peaks),
        explained=explained,
        peaks=tuple(Peak(one.time + float(time[0]), one.size) for one in peaks),
    )


def _errors(slopes: Floats, left: Floats) -> tuple[float, float]:
    """Standard errors of log frequency and damping, what is left of one reading hanging on that before counted (first-order)."""
    free = max(len(left) - 5, 1)
    inverse = np.linalg.pinv(slopes.T @ slopes)
    power = float(left @ left)
    alike = float(left[1:] @ left[:-1]) / power if power > 0 else 0.0
    alike = min(max(alike, 0.0), 0.98)
    scale = power / free * (1 + alike) / (1 - alike)
    one, two, _ = np.sqrt(np.maximum(np.diag(inverse) * scale, 0.0)).tolist()
    return one, two


def _peaks(time: Floats, values: Floats, frequency: float) -> list[Peak]:
    """Extremes of one side, that on which the trace begins, as far as they stand out: of cubics fitted over a quarter of a swing."""
    from scipy.signal import find_peaks, savgol_filter

    side = 1.0 if values[np.argmax(np.abs(values))] > 0 else -1.0
    step = float(np.median(np.diff(time)))
    width = 2 * max(int(0.125 / frequency / step), 2) + 1
    if width >= len(values):
        return []
    smooth = savgol_filter(side * values, width, 3)
    largest = float(smooth.max())
    if largest <= 0:
        return []
    places, _ = find_peaks(smooth, distance=max(int(0.7 / frequency / step), 1), height=0.02 * largest)
    at = [int(one) for one in places]
    if smooth[0] == largest:
        at = [0, *at]
    return [Peak(float(time[i]), float(side * smooth[i])) for i in at]


def damping_of(decrement: float) -> float:
    """Damping ratio of a logarithmic decrement δ: δ / sqrt(4π² + δ²) [-]."""
    return float(decrement / np.sqrt(4 * np.pi**2 + decrement**2))


def _decrement(peaks: list[Peak]) -> float | None:
    sizes = [abs(one.size) for one in peaks[:4]]
    if len(sizes) < 2 or sizes[-1] <= 0 or sizes[0] <= sizes[-1]:
        return None
    return damping_of(float(np.log(sizes[0] / sizes[-1])) / (len(sizes) - 1))
