"""Bounced and rapped: how the body swings after it was pushed and let go, and a wheel after a blow, from a log or counted off a video."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import model_validator

from springwright.commission.free_decay import Decay, Release, damping_of, fit_decay
from springwright.commission.logs import Log, Wanted, even, read_log
from springwright.commission.modelled import Modelled
from springwright.commission.taken import YOURS, FigureRead, ReadLine, Reduced, Taken, Trace, Workplace
from springwright.errors import Fault, FieldFault, InputError, UnsolvedError
from springwright.motion.drive import let_go
from springwright.motion.figures import Point
from springwright.motion.modes import pushed, ring_down, struck
from springwright.motion.rig import BODY, Rig
from springwright.quantities import Duration, Frequency, Length, Name, PositiveLength, Share
from springwright.results import PRACTICE

Floats = NDArray[np.float64]
FREQUENCY_SHARE, DAMPING = (
    0.005,
    0.012,
)  # of one run against another, beside what the fit says: common practice, no source
COUNTED, RISES = 0.02, 0.03  # share of a frequency and damping ratio off a video: common practice, no source
HOP_SHARE = 0.02  # of a hop frequency: common practice, no source
SHOWN = 600  # points of a trace that are drawn
LASTS = 5.0  # swings of a model that is let go
SEEN = 0.01  # of the push: a rise that an eye still sees
SEEN_WELL = 0.3  # of the mode that is seen most
LEAST_SWING = 0.002  # m of a push that is simulated at the least

Reads = Literal["acceleration", "height"]
POWER = {"acceleration": 2, "height": 0}
KIND = {"acceleration": "acceleration", "height": "length"}


def _release(
    standing: Modelled, state: str, row: Floats, away: Floats, moving: Floats, power: int, near: float | None = None
) -> Release:
    """The mode that swings most where the sensor is, let go so, and what all others do there meanwhile."""
    at = standing.at(state)
    roots, shapes = ring_down(at.rig, at.rest, away, moving)
    seen = (row @ shapes) * roots**power
    swings = roots.imag > 1e-6 * np.abs(roots)
    if not swings.any():
        raise UnsolvedError("nothing swings there: the model is damped past critical")
    sizes = np.where(swings, np.abs(seen), -1.0)
    most = int(np.argmax(sizes))
    if near is not None:  # of those that are seen well, the one that was read before: hop and tramp may change places
        well = sizes > SEEN_WELL * sizes[most]
        most = int(np.argmin(np.where(well, np.abs(np.abs(roots) / (2 * np.pi) - near), np.inf)))
    root = roots[most]
    rest = np.arange(len(roots)) != most

    def others(time: Floats) -> Floats:
        return np.real(np.exp(np.outer(time, roots[rest])) @ seen[rest])

    return Release(
        float(np.abs(root)) / (2 * np.pi),
        float(-root.real / np.abs(root)),
        complex(seen[most]),
        others,
        power,
        bool(np.any(moving)),
    )


class _Logged(Taken):
    """A log and where in it to look."""

    log: str | None = None
    column: str = ""
    time: str = ""
    unit: str = ""
    begins: Duration | None = None

    def _values(self, bench: Workplace, reads: Reads) -> tuple[Log, float, Floats]:
        """The log, its even step [s], and the channel from where it is let go."""
        assert self.log is not None
        if not self.column:
            raise FieldFault(("column",), "is missing: the header of the column that was read, as it stands in the log")
        path = bench.folder / self.log
        log = read_log(path, [Wanted(self.column, KIND[reads], self.unit)], self.time, bench.say)
        step, values = even(log, self.column)
        if np.ptp(values) == 0:
            raise InputError(
                path.name, [Fault(f'column "{self.column}"', "", "never changes: there is no swing in it")]
            )
        return log, step, values

    def _from(self, step: float, values: Floats, quick: float) -> int:
        """Where it is let go: as said, or where it stands furthest from where it ends, noise quicker than a tenth of the swing [s] smoothed."""
        if self.begins is not None:
            return min(int(self.begins / step), len(values) - 1)
        width = max(int(0.05 * quick / step), 1)
        smooth = np.convolve(np.pad(values, width, mode="edge"), np.ones(2 * width + 1) / (2 * width + 1), "valid")
        end = float(np.median(smooth[-max(len(smooth) // 5, 1) :]))
        return int(np.argmax(np.abs(smooth - end)))


class Bounce(_Logged):
    """Pushed down over an axle and let go: a log of acceleration or height read there, or bounces counted off a video.

    `rises` are the heights of the first two rises off the video; `bounces` in `seconds` after letting go.
    """

    axle: Name
    state: Name | None = None
    reads: Reads = "acceleration"
    behind_front_axle: Length | None = None
    left_of_centre: Length = 0.0
    bounces: int | None = None
    seconds: Duration | None = None
    rises: tuple[PositiveLength, PositiveLength] | None = None
    pushed: PositiveLength | None = None
    frequency_uncertainty: Frequency | None = None
    damping_uncertainty: Share | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Bounce:
        if (self.log is None) == (self.bounces is None):
            raise FieldFault((), "give one of log (with its column) and bounces (with seconds)")
        if self.bounces is not None:
            if self.seconds is None:
                raise FieldFault(("seconds",), "is missing: how long the bounces counted took")
            if self.bounces < 1:
                raise FieldFault(("bounces",), "count one or more")
        if self.rises is not None and self.rises[0] <= self.rises[1]:
            raise FieldFault(("rises",), "the second rise must be the lower one")
        return self

    def reduced(self, number: int, bench: Workplace) -> Reduced:
        """See `taken.Reduced`: frequency and damping of the mode that a push there swings most."""
        drawn = bench.drawn
        i = drawn.axle(self.axle, "axle")
        state = drawn.state_named(self.state, "state")
        at = drawn.at(state)
        x = -(drawn.design.axles[i].behind_front_axle if self.behind_front_axle is None else self.behind_front_axle)
        place = (x, self.left_of_centre, at.weight.cg[2])
        mode = _pushed_there(
            drawn, state, place, self.reads if self.log is not None else "height"
        )  # an eye sees height
        title = f"Let it bounce, {self.axle}, {state}"
        if self.log is None:
            return self._by_eye(number, title, mode, place, state)
        log, step, values = self._values(bench, self.reads)
        begin = self._from(step, values, 1 / mode.frequency)
        time = step * np.arange(float(len(values) - begin))
        found = _fitted(self.log, time, values[begin:], mode)
        far = max(found.amplitude, LEAST_SWING)  # the model was let go one metre away

        def due(standing: Modelled) -> list[float]:
            one = _simulated(standing, state, place, far, mode, self.reads, found)
            return [one.frequency, one.damping_ratio]

        notes = [log.read, *log.notes, *_plain(found, self.axle)]
        if found.damping_ratio > 0.6:
            notes.append(
                f"{self.axle}: hardly one swing is left at {found.damping_ratio:.2f} of critical; push further, or read it in a lighter state"
            )
        return Reduced(
            number, "bounce", title, figures=self._figures(found, state), trace=_drawn(self.reads, time, values[begin:], found, mode), notes=tuple(notes), due=due
        )  # fmt: skip

    def _figures(self, found: Decay, state: str) -> tuple[FigureRead, ...]:
        f = self.frequency_uncertainty or float(np.hypot(found.frequency_off, FREQUENCY_SHARE * found.frequency))
        z = self.damping_uncertainty or float(np.hypot(found.damping_off, DAMPING))
        return (
            FigureRead(f"bounce {self.axle}, {state}", "frequency", "Hz", found.frequency, f, YOURS if self.frequency_uncertainty else PRACTICE),
            FigureRead(f"damping {self.axle}, {state}", "ratio", "", found.damping_ratio, z, YOURS if self.damping_uncertainty else PRACTICE),
        )  # fmt: skip

    def _by_eye(self, number: int, title: str, mode: Release, place: tuple[float, float, float], state: str) -> Reduced:
        """From a video: bounces in seconds, and the first two rises."""
        assert self.bounces is not None
        assert self.seconds is not None
        swung = self.bounces / self.seconds
        ratio = None if self.rises is None else damping_of(float(np.log(self.rises[0] / self.rises[1])))
        frequency = swung / float(np.sqrt(1 - (mode.ratio if ratio is None else ratio) ** 2))
        figures = [
            FigureRead(f"bounce {self.axle}, {state}", "frequency", "Hz", frequency, self.frequency_uncertainty or COUNTED * frequency, YOURS if self.frequency_uncertainty else PRACTICE)
        ]  # fmt: skip
        notes = [] if ratio is not None else [f"{self.axle}: no rises are given, so that damping is taken as drawn"]
        if ratio is not None:
            figures.append(
                FigureRead(f"damping {self.axle}, {state}", "ratio", "", ratio, self.damping_uncertainty or RISES, YOURS if self.damping_uncertainty else PRACTICE)
            )  # fmt: skip
        # the first rise is half a swing after letting go
        far = self.pushed or (
            self.rises[0] * float(np.exp(np.pi * (ratio or 0.0) / np.sqrt(1 - (ratio or 0.0) ** 2)))
            if self.rises
            else 0.04
        )

        def due(standing: Modelled) -> list[float]:
            swing = _pushed_there(standing, state, place, "height")
            told = _counted(*_let_go(standing, state, place, far, "height", LASTS / frequency), swing)
            return list(told[: len(figures)])

        return Reduced(number, "bounce", title, figures=tuple(figures), notes=tuple(notes), due=due)


class Rap(_Logged):
    """A wheel's hub struck with a mallet, a sensor of acceleration on it: the frequency at which the axle hops."""

    axle: Name
    state: Name | None = None
    side: Literal["left", "right"] = "left"
    frequency: Frequency | None = None
    frequency_uncertainty: Frequency | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Rap:
        if (self.log is None) == (self.frequency is None):
            raise FieldFault((), "give one of log (with its column) and the frequency that was read")
        return self

    def reduced(self, number: int, bench: Workplace) -> Reduced:
        """See `taken.Reduced`: the frequency of the mode in which the hub swings most."""
        drawn = bench.drawn
        i = drawn.axle(self.axle, "axle")
        state = drawn.state_named(self.state, "state")
        rig = drawn.at(state).rig
        wheel = int(np.flatnonzero(rig.wheel_axle == i)[0 if self.side == "left" else -1])
        row = np.zeros(BODY + len(rig.wheel_places))
        row[BODY + wheel] = 1.0
        mode = _release(drawn, state, row, np.zeros(len(row)), struck(rig, wheel), 2)
        title, trace = f"Rap the hub, {self.axle} {self.side}, {state}", None
        notes: tuple[str, ...] = ()
        if self.log is not None:
            log, step, values = self._values(bench, "acceleration")
            begin = self._from(step, values, 1 / mode.frequency)
            time = step * np.arange(float(len(values) - begin))
            found = _fitted(self.log, time, values[begin:], mode)
            frequency, doubt = found.frequency, float(np.hypot(found.frequency_off, HOP_SHARE * found.frequency))
            notes, trace = (log.read, *log.notes), _drawn("acceleration", time, values[begin:], found, mode)
        else:
            assert self.frequency is not None
            frequency, doubt = self.frequency, HOP_SHARE * self.frequency
        figures = (
            FigureRead(f"hop {self.axle} {self.side}, {state}", "frequency", "Hz", frequency, self.frequency_uncertainty or doubt, YOURS if self.frequency_uncertainty else PRACTICE),
        )  # fmt: skip

        def due(standing: Modelled) -> list[float]:
            return [
                _release(
                    standing, state, row, np.zeros(len(row)), struck(standing.at(state).rig, wheel), 2, mode.frequency
                ).frequency
            ]

        return Reduced(number, "rap", title, figures=figures, trace=trace, notes=notes, due=due)


def _body_row(rig: Rig, place: tuple[float, float, float]) -> Floats:
    """Rise of the body at a place per coordinate: (4 + w,)."""
    row = np.zeros(BODY + len(rig.wheel_places))
    row[:BODY] = rig.rise_row(place[0], place[1])
    return row


def _pushed_there(standing: Modelled, state: str, place: tuple[float, float, float], reads: Reads) -> Release:
    """How it swings where it was pushed down by a metre and let go."""
    at = standing.at(state)
    row = _body_row(at.rig, place)
    return _release(standing, state, row, pushed(at.rig, at.rest, row), np.zeros(len(row)), POWER[reads])


def _fitted(file: str, time: Floats, values: Floats, mode: Release) -> Decay:
    try:
        return fit_decay(time, values, mode)
    except UnsolvedError as error:
        raise InputError(file, [Fault("", "", str(error))]) from None


def _let_go(
    standing: Modelled, state: str, place: tuple[float, float, float], far: float, reads: Reads, lasts: float
) -> tuple[Floats, Floats]:
    """Times and readings of the model let go as far from its rest: with its friction, stops and dampers as they are [m, s]."""
    at = standing.at(state)
    row = _body_row(at.rig, place)
    away = far * pushed(at.rig, at.rest, row)
    told = let_go(at.rig, away, np.zeros(len(away)), lasts, points=[Point("there", place)])
    history = np.asarray(told.history)
    if reads == "acceleration":
        return history[:, 0], history[:, told.columns.index("there up [m/s2]")]
    first = told.columns.index("heave [m]")
    return history[:, 0], history[:, first : first + BODY] @ row[:BODY]


def _simulated(
    standing: Modelled, state: str, place: tuple[float, float, float], far: float, mode: Release, reads: Reads, read: Decay
) -> Decay:  # fmt: skip
    """The model let go and read by the same hand."""
    time, values = _let_go(standing, state, place, far, reads, LASTS / read.frequency + read.start)
    later = time >= read.start
    return fit_decay(time[later], values[later], mode, read)


def _counted(time: Floats, heights: Floats, mode: Release) -> tuple[float, float]:
    """Frequency and damping of a height as an eye counts it: by the first two rises, or a rise and the dip after it; as the mode swings without friction where there is no more."""
    from scipy.signal import find_peaks

    above = heights - float(np.median(heights[-len(heights) // 5 :]))
    least = SEEN * float(np.abs(above).max())
    tops, dips = (find_peaks(side * above, height=least)[0] for side in (1, -1))
    later = dips[dips > tops[0]] if len(tops) else []
    if len(tops) > 1:
        swings, one, two = 1.0, tops[0], tops[1]
    elif len(later):
        swings, one, two = 0.5, tops[0], later[0]
    else:
        return mode.frequency, mode.ratio
    (begun, first), (ended, second) = (_extreme(time, above, k) for k in (one, two))
    ratio = damping_of(float(np.log(abs(first / second))) / swings)
    return float(swings / (ended - begun) / np.sqrt(1 - ratio**2)), ratio


def _extreme(time: Floats, values: Floats, k: int) -> tuple[float, float]:
    """When and how far an extreme is, by the parabola through its row and both neighbours: no step of the history shows in it."""
    before, here, after = values[k - 1 : k + 2].tolist()
    bend = before - 2 * here + after
    off = 0.5 * (before - after) / bend if bend else 0.0
    return float(time[k] + off * (time[k] - time[k - 1])), here - 0.25 * (before - after) * off


def _plain(found: Decay, axle: str) -> list[str]:
    if found.decrement is None:
        return []
    return [f"{axle}: {found.damping_ratio:.3f} of critical by the fit, {found.decrement:.3f} by the peaks alone"]


def _drawn(reads: Reads, time: Floats, values: Floats, found: Decay, mode: Release) -> Trace:
    """The trace about its rest with its envelope, and the envelope that was due."""
    last = min(int(np.searchsorted(time, 5 / found.frequency)), len(time))
    every = max(last // SHOWN, 1)
    t, y = time[:last:every], values[:last:every] - found.offset
    w = 2 * np.pi * found.frequency
    size = found.envelope
    due = size * np.exp(-mode.ratio * 2 * np.pi * mode.frequency * t)
    peaks = found.peaks[:4]
    return Trace(
        "time", reads, "duration", KIND[reads],
        (
            ReadLine("read", tuple(t.tolist()), tuple(y.tolist())),
            ReadLine("fit", tuple(t.tolist()), tuple((size * np.exp(-found.damping_ratio * w * t)).tolist())),
            ReadLine("due", tuple(t.tolist()), tuple(due.tolist())),
            ReadLine("peaks", tuple(one.time for one in peaks), tuple(one.size for one in peaks)),
        ),
    )  # fmt: skip
