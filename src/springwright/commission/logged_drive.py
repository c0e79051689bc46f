"""A logged drive: accelerations over a ground at a speed, of places of the body as ISO 2631-1 weighs them and of hubs as they are."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator

from springwright.commission.grounds_read import read_profile
from springwright.commission.logs import Log, Wanted, even, read_log
from springwright.commission.modelled import Modelled
from springwright.commission.spectra import THIRDS, spectrum, thirds, weighted
from springwright.commission.taken import SURE, YOURS, FigureRead, ReadLine, Reduced, Taken, Trace, Workplace
from springwright.errors import FieldFault
from springwright.motion.figures import Point
from springwright.motion.response import response
from springwright.quantities import Acceleration, Kind, Length, Name, Record, Speed
from springwright.questions.context import apart, footprint, mean_tyre
from springwright.results import PRACTICE
from springwright.terrain.roughness import CLASSES, HIGHEST
from springwright.units import show

Floats = NDArray[np.float64]
SENSOR_SHARE = 0.03  # of a weighted acceleration: common practice, no source
GROUND_SHARE = 0.15  # by which one stretch of a class differs from another: common practice, no source
RESOLUTION = 0.25  # Hz
LEAST_DRIVEN = 20.0  # s
SLOWEST_LOG = 50.0  # readings a second
SEEN_TO = 0.4  # of its readings a second, that a log tells of: what is due counts no further
SLOWEST = 0.5  # m/s
HUB_TO = 25.0  # Hz: a hub's acceleration is told up to here; beyond it bearings, brakes and the tyre's own modes ring
Direction = Literal["up", "along", "across"]
SCATTER = "95 of 100 stretches"  # a line's name, that of its two edges
WEIGHTINGS: dict[Direction, str] = {"up": "Wk", "along": "Wd", "across": "Wd"}


class Channel(Record):
    """A column of a log: what it reads (`direction`) and where: at a seat of the design, on a hub (`axle` and `side`), or at a place of the body."""

    column: str
    unit: str = ""
    direction: Direction = "up"
    seat: Name | None = None
    axle: Name | None = None
    side: Literal["left", "right"] = "left"
    behind_front_axle: Length | None = None
    left_of_centre: Length = 0.0
    above_ground: Length | None = None

    @model_validator(mode="after")
    def _one_place(self) -> Channel:
        if sum(one is not None for one in (self.seat, self.axle, self.behind_front_axle)) != 1:
            raise FieldFault(
                (),
                "give one of seat, axle (and side) of the hub, and behind_front_axle (and left_of_centre, above_ground) of the sensor",
            )
        if self.axle is not None and self.direction != "up":
            raise FieldFault(("direction",), "is up on a hub: the model knows no other of it")
        return self

    def hub(self, standing: Modelled) -> int | None:
        """The wheel whose hub it is on, of all wheels; None on the body."""
        if self.axle is None:
            return None
        i = standing.axle(self.axle, "axle")
        mine = np.flatnonzero(standing.at(standing.sheet.design_state).rig.wheel_axle == i)
        return int(mine[0 if self.side == "left" else -1])

    def point(self, standing: Modelled) -> Point:
        """Where it is [m]."""
        design = standing.design
        if self.seat is not None:
            names = [one.name for one in design.seats]
            if self.seat not in names:
                raise FieldFault(("seat",), f"no such seat; there are {', '.join(names) or 'none'}")
            seat = design.seats[names.index(self.seat)]
            return Point(seat.name, seat.xyz)
        assert self.behind_front_axle is not None
        height = (
            standing.at(standing.sheet.design_state).weight.cg[2] if self.above_ground is None else self.above_ground
        )
        return Point(self.column, (-self.behind_front_axle, self.left_of_centre, height))


class LoggedDrive(Taken):
    """A log of a drive over one ground: its channels, and the speed it was driven at, stated or in a column.

    The ground is a class or a ground of the design, its `roughness`, or a `profile` that was surveyed along it: a CSV of distance and height.

    Where a column tells the speed, what lies between `slowest` and `fastest` is used, the longest stretch of it.
    """

    log: str
    state: Name | None = None
    ground: Name | None = None
    roughness: Annotated[float, Kind("roughness", above=0.0)] | None = None
    profile: str | None = None
    time: str = ""
    channels: tuple[Channel, ...] = Field(min_length=1)
    speed: Speed | None = None
    speed_column: str = ""
    speed_unit: str = ""
    slowest: Speed | None = None
    fastest: Speed | None = None
    acceleration_uncertainty: Acceleration | None = None

    @model_validator(mode="after")
    def _known(self) -> LoggedDrive:
        if (self.speed is None) == (not self.speed_column):
            raise FieldFault(("speed",), "give one of speed (as it was driven) and speed_column")
        if sum(one is not None for one in (self.ground, self.roughness, self.profile)) != 1:
            raise FieldFault(
                ("ground",),
                "give one of ground (a class A to H, or the name of a ground with one), roughness and profile",
            )
        return self

    def reduced(self, number: int, bench: Workplace) -> Reduced:
        """See `taken.Reduced`: a weighted acceleration for each channel."""
        drawn = bench.drawn
        state = drawn.state_named(self.state, "state")
        rough, doubt, said = self._ground(drawn, bench)
        hubs = [one.hub(drawn) for one in self.channels]
        places = [one.point(drawn) if hub is None else None for one, hub in zip(self.channels, hubs, strict=True)]
        points = [one for one in places if one is not None]
        names = [
            f"{one.axle} {one.side} hub" if place is None else f"{place.name} {one.direction}"
            for one, place in zip(self.channels, places, strict=True)
        ]
        wanted = [Wanted(one.column, "acceleration", one.unit) for one in self.channels]
        if self.speed_column:
            wanted.append(Wanted(self.speed_column, "speed", self.speed_unit))
        log = read_log(bench.folder / self.log, wanted, self.time, bench.say)
        if log.rate < SLOWEST_LOG:
            raise FieldFault(
                ("log",),
                f"holds {log.rate:.3g} readings a second; {SLOWEST_LOG:.0f} or more are wanted, since what is felt reaches to 20 Hz and beyond",
            )
        begin, end, speed = self._stretch(log)
        reach = min(SEEN_TO * log.rate, HIGHEST * speed)
        figures, lines, notes = [], [], [log.read, *log.notes, *said]
        step = 1 / log.rate
        expected = self._told(drawn, state, rough, speed, points, hubs, reach)
        for one, hub, name, told in zip(self.channels, hubs, names, expected, strict=True):
            bench.say(f"weighing {one.column} of {self.log}")
            values = even(log, one.column)[1][int(begin / step) : int(end / step)]
            middles, levels = thirds(spectrum(values, step, RESOLUTION))
            felt = weighted(values, step, WEIGHTINGS[one.direction]) if hub is None else _below(middles, levels, reach)
            figures.append(
                FigureRead(
                    f"{name}, {state}, {show(speed, 'speed')}", "acceleration", "m/s**2", felt,
                    self.acceleration_uncertainty or float(np.hypot(SENSOR_SHARE, doubt)) * felt, YOURS if self.acceleration_uncertainty else PRACTICE,
                )
            )  # fmt: skip
            lines.append(ReadLine(f"{name} read", tuple(middles.tolist()), tuple(levels.tolist())))
            if told.density is not None:
                lines += _thirds_due(name, told, middles, end - begin, doubt)
        notes.append(f"{self.log}: {end - begin:.4g} s at {show(speed, 'speed')} are used")

        def due(standing: Modelled) -> list[float]:
            return [one.felt for one in self._told(standing, state, rough, speed, points, hubs, reach)]

        trace = Trace("frequency", "acceleration", "frequency", "acceleration", tuple(one for one in lines if one.x))
        return Reduced(
            number, "drive", f"Drive it, {state}", figures=tuple(figures), trace=trace, notes=tuple(notes), due=due
        )

    def _ground(self, drawn: Modelled, bench: Workplace) -> tuple[float, float, list[str]]:
        """Its roughness [m3], the share by which an acceleration on it is in doubt for that, and what was read of it."""
        if self.roughness is not None:
            return self.roughness, 0.0, []
        if self.profile is not None:
            told = read_profile(bench.folder / self.profile, bench.say)
            # accelerations grow with the root of roughness: half its share, of one standard deviation
            spread = float(np.log(told.roughness_high / told.roughness_low)) / (2 * SURE)
            return told.roughness, spread / 2, [told.said, *told.notes]
        entries = {one.name: one.iso_class for one in drawn.design.grounds}
        letter = entries.get(self.ground or "", self.ground)
        if letter not in CLASSES:
            known = ", ".join(name for name, one in entries.items() if one)
            raise FieldFault(
                ("ground",), f"is no class A to H, nor a ground of the design with one{': ' + known if known else ''}"
            )
        return CLASSES[letter], GROUND_SHARE, []

    def _stretch(self, log: Log) -> tuple[float, float, float]:
        """Begin and end of what is used [s], and the mean speed [m/s]."""
        if self.speed is not None:
            begin, end, speed = 0.0, float(log.time[-1]), self.speed
        else:
            speeds = log.channels[self.speed_column]
            middle = float(np.median(speeds))
            low, high = self.slowest or 0.9 * middle, self.fastest or 1.1 * middle
            inside = np.concatenate([[0], ((speeds >= low) & (speeds <= high)).astype(int), [0]])
            turns = np.flatnonzero(np.diff(inside)).reshape(-1, 2)
            if not len(turns):
                raise FieldFault(
                    ("slowest",), f"the log is never driven between {show(low, 'speed')} and {show(high, 'speed')}"
                )
            last = np.minimum(turns[:, 1], len(log.time) - 1)
            longest = int(np.argmax(log.time[last] - log.time[turns[:, 0]]))
            a, b = int(turns[longest, 0]), int(last[longest])
            begin, end, speed = float(log.time[a]), float(log.time[b]), float(speeds[a:b].mean())
        if not speed > SLOWEST:
            raise FieldFault(
                ("speed_column" if self.speed_column else "speed",),
                f"comes to {show(speed, 'speed')}: nothing is driven so",
            )
        if end - begin < LEAST_DRIVEN:
            raise FieldFault(
                ("log",),
                f"only {end - begin:.3g} s of it can be used; {LEAST_DRIVEN:.0f} s at an even speed are wanted",
            )
        return begin, end, speed

    def _told(
        self, standing: Modelled, state: str, rough: float, speed: float, points: Sequence[Point], hubs: Sequence[int | None], reach: float
    ) -> list[_ChannelDue]:  # fmt: skip
        """What is due of every channel."""
        at, design = standing.at(state), standing.design
        told = response(
            at.rig, at.rest, rough, speed, points=points, apart=apart(design), highest=reach / speed,
            footprint=footprint(*mean_tyre(design, np.array(standing.sheet.design_loads))),
        )  # fmt: skip
        frequency, found = np.array(told.frequencies), iter(told.points)
        made = []
        for one, hub in zip(self.channels, hubs, strict=True):
            if hub is None:
                point = next(found)
                density = np.array(point.density) if one.direction == "up" else None  # that of the rise alone is told
                made.append(_ChannelDue(float(getattr(point, one.direction)), frequency, density))
            else:
                density = np.array(told.hubs[hub])
                bands = THIRDS[frequency[-1] > THIRDS * 10**0.05]
                made.append(_ChannelDue(_below(bands, _levels(frequency, density, bands), reach), frequency, density))
        return made


class _ChannelDue(NamedTuple):
    """What is due of a channel: its figure [m/s2] and its density [(m/s2)2/Hz] at frequencies [Hz], where that is told."""

    felt: float
    frequency: Floats
    density: Floats | None


def _below(middles: Floats, levels: Floats, reach: float) -> float:
    """Root mean square of the third octaves of a hub up to `HUB_TO`, or as far as the log tells [m/s2]."""
    return float(np.sqrt(np.sum(levels[middles * 10**0.05 < min(HUB_TO * 10**0.05, reach)] ** 2)))


def _levels(frequency: Floats, density: Floats, middles: Floats) -> Floats:
    """Root mean square within each third octave [m/s2]."""
    inside = np.geomspace(middles / 10**0.05, middles * 10**0.05, 9)
    return np.asarray(np.sqrt(np.trapezoid(np.interp(inside, frequency, density, left=0.0, right=0.0), inside, axis=0)))


def _thirds_due(name: str, told: _ChannelDue, middles: Floats, seconds: float, doubt: float) -> list[ReadLine]:
    """The third octaves that were due, and between what 95 of 100 stretches so long of such ground would lie.

    The power of a band f wide over T seconds has 2 f T degrees of freedom (chi-square); the ground's own doubt stands beside it.
    """
    from scipy.stats import chi2

    assert told.density is not None
    levels = _levels(told.frequency, told.density, middles)
    freedoms = np.maximum(2 * middles * (10**0.05 - 10**-0.05) * seconds, 1.0)
    made = [ReadLine(f"{name} due", tuple(middles.tolist()), tuple(levels.tolist()))]
    for sign, share in ((-1, 0.025), (1, 0.975)):
        apart_by = np.hypot(np.log(np.sqrt(chi2.ppf(share, freedoms) / freedoms)), SURE * doubt)
        scattered = levels * np.exp(sign * apart_by)
        made.append(ReadLine(SCATTER, tuple(middles.tolist()), tuple(scattered.tolist())))
    return made
