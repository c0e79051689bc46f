"""What a drive comes to: the figures of points, wheels, stops, dampers and springs, and where the energy went."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.results import Result, si

Floats = NDArray[np.float64]
BIN = 0.05  # m/s, width of a bin of the damper speed histogram


@dataclass(frozen=True)
class Point:
    """A place on the body where acceleration is read: name and x, y, z [m], ISO 8855."""

    name: str
    place: tuple[float, float, float]


@dataclass(frozen=True)
class PointRide(Result):
    """Ride at one place of the body: weighted accelerations (ISO 2631-1 W_k up, W_d along and across), VDV, peaks."""

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


@dataclass(frozen=True)
class WheelRide(Result):
    """One wheel: travel and load over the run, and how much of it was spent off the ground."""

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


POINT_COLUMNS, WHEEL_COLUMNS = 9, 6


@dataclass(frozen=True, eq=False)
class DriveTable:
    """Figures of many runs: arrays with a row for each run, SI.

    points : (runs, points, 9)
        up, along, across weighted, their doses, raw up, its peak, shock.
    wheels : (runs, wheels, 6)
        travel RMS, least and greatest, load RMS and least, share of time off the ground.
    damper_power : (runs, dampers)
        Mean power [W], dry friction with it.
    residual : (runs,)
        What the energy audit leaves open.
    reasons : why a run gave none, empty where it did.
    """

    points: Floats
    wheels: Floats
    damper_power: Floats
    residual: Floats
    reasons: tuple[str, ...] = ()

    @classmethod
    def empty(cls, runs: int, points: int, wheels: int, dampers: int) -> DriveTable:
        """A table of nan."""
        return cls(
            points=np.full((runs, points, POINT_COLUMNS), np.nan),
            wheels=np.full((runs, wheels, WHEEL_COLUMNS), np.nan),
            damper_power=np.full((runs, dampers), np.nan),
            residual=np.full(runs, np.nan),
        )

    def put(self, row: int, run: Drive) -> None:
        """Fill in one run's row."""
        for i, p in enumerate(run.points):
            self.points[row, i] = (
                p.up,
                p.along,
                p.across,
                p.up_dose,
                p.along_dose,
                p.across_dose,
                p.up_raw,
                p.up_raw_peak,
                p.shock,
            )
        for i, w in enumerate(run.wheels):
            self.wheels[row, i] = (w.travel_rms, w.travel_least, w.travel_most, w.load_rms, w.load_least, w.off_ground)
        self.damper_power[row] = [one.power + one.friction_power for one in run.dampers]
        self.residual[row] = run.audit.residual if run.audit else np.nan


def point_ride(name: str, channels: Floats, count: int, dt: float) -> PointRide:
    """Figures of a place from its five channels (up, along, across weighted, up raw, up below 30 Hz), summed over `count` steps."""
    rms = np.sqrt(channels[:, 0] / count)
    dose = (channels[:, 1] * dt) ** 0.25
    crest = channels[0, 2] / rms[0] if rms[0] > 0 else 0.0
    return PointRide(
        name,
        *map(float, (rms[0], rms[1], rms[2], dose[0], dose[1], dose[2], crest, rms[3], channels[3, 2], channels[4, 2])),
    )


def wheel_ride(axle: int, row: Floats, count: int) -> WheelRide:
    """Figures of a wheel from its sums over `count` steps."""
    mean, load = row[0] / count, row[4] / count
    return WheelRide(
        axle, float(mean), float(np.sqrt(max(row[1] / count - mean**2, 0.0))), float(row[2]), float(row[3]),
        float(load), float(np.sqrt(max(row[5] / count - load**2, 0.0))), float(row[6]), float(row[7]), float(row[8] / count), int(row[9]),
    )  # fmt: skip


def damper_ride(row: Floats, bins: NDArray[np.int64], time: float) -> DamperRide:
    """Figures of a damper from its sums over a time [s] and the steps in each speed bin."""
    middle = BIN * (np.arange(len(bins)) - len(bins) // 2)
    total = max(int(bins.sum()), 1)
    return DamperRide(
        float(row[0]),
        float(row[1]),
        float(row[4]),
        float(row[2] / time),
        float(row[3] / time),
        tuple(middle.tolist()),
        tuple((bins / total).tolist()),
    )
