"""What a drive comes to: the figures of points, wheels, stops, dampers and springs, and where the energy went."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.results import Result, si

Floats = NDArray[np.float64]
CHANNELS = 6  # read at each point: up, along, across weighted, up raw, up below 30 Hz, up as absorbed power takes it
BIN = 0.05  # m/s, width of a bin of the damper speed histogram
BINS = tuple((BIN * np.arange(-20, 21)).tolist())  # their middles [m/s]


@dataclass(frozen=True)
class Point:
    """A place on the body where acceleration is read: name and x, y, z [m], ISO 8855."""

    name: str
    place: tuple[float, float, float]


@dataclass(frozen=True)
class PointRide(Result):
    """Ride at one place of the body: weighted accelerations (ISO 2631-1 W_k vertical, W_d longitudinal and lateral), VDV, peaks."""

    name: str
    up: float = si("m/s**2")
    along: float = si("m/s**2")
    across: float = si("m/s**2")
    up_dose: float = si("m/s**1.75")
    along_dose: float = si("m/s**1.75")
    across_dose: float = si("m/s**1.75")
    up_crest: float = si("")
    up_raw: float = si("m/s**2")
    up_raw_peak: float = si("m/s**2")
    shock: float = si("m/s**2")
    absorbed: float = si("W")


@dataclass(frozen=True)
class WheelRide(Result):
    """One wheel: travel and load over the run, and how much of it was spent off the ground and on the rim."""

    axle: int
    travel_mean: float = si("m")
    travel_rms: float = si("m")
    travel_least: float = si("m")
    travel_most: float = si("m")
    load_mean: float = si("N")
    load_rms: float = si("N")
    load_least: float = si("N")
    load_most: float = si("N")
    off_ground: float = si("")
    lifts: int = 0
    on_rim: float = si("", 0.0)


@dataclass(frozen=True)
class StopRide(Result):
    """One stop of one wheel: contacts, time in contact, largest force, energy put in."""

    wheel: int
    kind: str
    contacts: int
    time: float = si("s")
    force: float = si("N")
    energy: float = si("J")


@dataclass(frozen=True)
class DamperRide(Result):
    """One damper, at its wheel end: speeds reached, force, mean power, and the share of time in each speed bin."""

    rebound_speed: float = si("m/s")
    bump_speed: float = si("m/s")
    force: float = si("N")
    power: float = si("W")
    friction_power: float = si("W")
    bins: tuple[float, ...] = si("m/s", ())
    shares: tuple[float, ...] = si("", ())


@dataclass(frozen=True)
class SpringRide(Result):
    """One spring: least and greatest force at the wheel end, and the turning points of its travel, ready for rainflow counting."""

    force_least: float = si("N")
    force_most: float = si("N")
    turning_points: tuple[float, ...] = si("m", ())
    turned: int = 0


@dataclass(frozen=True)
class Audit(Result):
    """Where the energy went [J]; `residual` is what is not accounted for, as a share of all work done."""

    by_ground: float = si("J")
    in_dampers: float = si("J")
    in_tyres: float = si("J")
    by_load: float = si("J")
    gained: float = si("J")
    residual: float = si("")


@dataclass(frozen=True)
class Drive(Result):
    """One run: what was driven, the step used and why, every figure, and histories if asked for."""

    ground: str
    speed: float = si("m/s")
    duration: float = si("s")
    step: float = si("s")
    step_reason: str = ""
    points: tuple[PointRide, ...] = ()
    wheels: tuple[WheelRide, ...] = ()
    stops: tuple[StopRide, ...] = ()
    dampers: tuple[DamperRide, ...] = ()
    springs: tuple[SpringRide, ...] = ()
    audit: Audit | None = None
    step_error: float | None = si("", None)
    history: Any = None
    columns: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    def column(self, name: str) -> Floats:
        """One column of the history, by its name in `columns` [SI]."""
        return np.asarray(self.history)[:, self.columns.index(name)]


# what a table of runs holds: the fields of PointRide, WheelRide, DamperRide, StopRide and SpringRide that are numbers, in order
POINT = (
    "up",
    "along",
    "across",
    "up_dose",
    "along_dose",
    "across_dose",
    "up_crest",
    "up_raw",
    "up_raw_peak",
    "shock",
    "absorbed",
)
WHEEL = ("travel_mean", "travel_rms", "travel_least", "travel_most", "load_mean", "load_rms", "load_least", "load_most", "off_ground", "lifts", "on_rim")  # fmt: skip
DAMPER = ("rebound_speed", "bump_speed", "force", "power", "friction_power")
STOP = ("contacts", "time", "force", "energy")
SPRING = ("force_least", "force_most")
AUDIT = ("by_ground", "in_dampers", "in_tyres", "by_load", "gained", "residual")


@dataclass(frozen=True, eq=False)
class DriveTable:
    """Figures of many runs: arrays with a row for each run, SI; nan where a run gave none.

    points : (runs, points, 11)
        Columns as in POINT.
    wheels : (runs, wheels, 11)
        Columns as in WHEEL.
    dampers : (runs, dampers, 5)
        Columns as in DAMPER.
    stops : (runs, stops, 4)
        Columns as in STOP.
    springs : (runs, springs, 2)
        Columns as in SPRING.
    audit : (runs, 6)
        Columns as in AUDIT.
    reasons : why a run gave none, empty where it did; "not driven" where the batch was stopped before it.
    """

    points: Floats
    wheels: Floats
    dampers: Floats
    stops: Floats
    springs: Floats
    audit: Floats
    reasons: tuple[str, ...] = ()

    @classmethod
    def empty(cls, runs: int, points: int, wheels: int, dampers: int, stops: int, springs: int) -> DriveTable:
        """A table of nan."""

        def nothing(*shape: int) -> Floats:
            return np.full((runs, *shape), np.nan)

        return cls(
            points=nothing(points, len(POINT)),
            wheels=nothing(wheels, len(WHEEL)),
            dampers=nothing(dampers, len(DAMPER)),
            stops=nothing(stops, len(STOP)),
            springs=nothing(springs, len(SPRING)),
            audit=nothing(len(AUDIT)),
        )

    @property
    def memory(self) -> int:
        """Bytes it takes."""
        return sum(one.nbytes for one in self._arrays)

    def rows(self, rows: Any) -> DriveTable:
        """Some rows of it."""
        return DriveTable(*(one[rows] for one in self._arrays))

    def put(self, rows: Any, other: DriveTable) -> None:
        """Fill in rows from another table."""
        for mine, its in zip(self._arrays, other._arrays, strict=True):
            mine[rows] = its

    @property
    def _arrays(self) -> tuple[Floats, ...]:
        return self.points, self.wheels, self.dampers, self.stops, self.springs, self.audit


def tabled(kept: Any, count: Floats, dt: Floats, always: int, springs: int) -> DriveTable:
    """Figures from what the kernel kept, a row for each lane.

    Parameters
    ----------
    kept : Kept
        With its flat arrays as (parts, rows, lanes).
    count, dt : array of shape (lanes,)
        Steps of which figures were kept, and the time step [s].
    always, springs : int
        How many elements are no stops, and how many of those are springs.

    """
    square, fourth, peak = (row.reshape(len(dt), -1, CHANNELS) for row in kept.channel.transpose(1, 2, 0))
    rms = np.sqrt(square / count[:, None, None])
    dose = (fourth * dt[:, None, None]) ** 0.25
    crest = np.divide(peak[..., 0], rms[..., 0], out=np.zeros_like(peak[..., 0]), where=rms[..., 0] > 0)
    points = np.stack(
        [rms[..., 0], rms[..., 1], rms[..., 2], dose[..., 0], dose[..., 1], dose[..., 2], crest, rms[..., 3], peak[..., 3], peak[..., 4], rms[..., 5] ** 2],
        axis=-1,
    )  # fmt: skip
    x, x2, x_low, x_high, f, f2, f_low, f_high, off, lifts, rim = kept.wheel.transpose(1, 2, 0)
    x, f, x2, f2, off, rim = (one / count[:, None] for one in (x, f, x2, f2, off, rim))
    wheels = np.stack(
        [x, np.sqrt(np.maximum(x2 - x**2, 0)), x_low, x_high, f, np.sqrt(np.maximum(f2 - f**2, 0)), f_low, f_high, off, lifts, rim], axis=-1
    )  # fmt: skip
    low, high, work, rubbed, force = kept.damper.transpose(1, 2, 0)
    time = (count * dt)[:, None]
    least, most, contacts, touched, energy = kept.element.transpose(1, 2, 0)
    hit = np.where(contacts > 0, np.maximum(np.abs(least), np.abs(most)), 0.0)[:, always:]
    work_done = kept.work.T
    by_ground, in_dampers, in_tyres, by_load, gained = kept.work
    whole = np.abs(by_ground) + in_dampers + np.abs(in_tyres) + np.abs(by_load) + np.abs(gained)
    open_ = np.abs(gained - by_ground - by_load + in_dampers + in_tyres)
    residual = np.divide(open_, whole, out=np.zeros_like(whole), where=whole > 1e-9)
    return DriveTable(
        points=points,
        wheels=wheels,
        dampers=np.stack([low, high, force, work / time, rubbed / time], axis=-1),
        stops=np.stack([contacts[:, always:], touched[:, always:], hit, energy[:, always:]], axis=-1),
        springs=np.stack([least[:, :springs], most[:, :springs]], axis=-1),
        audit=np.column_stack([work_done, residual]),
    )


def shares_of(counts: NDArray[np.int64]) -> tuple[float, ...]:
    """Share of time in each bin of a damper's speed histogram."""
    return tuple((counts / max(int(counts.sum()), 1)).tolist())
