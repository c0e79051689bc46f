"""What ends an axle's travel: each part's own ends told as travel of the wheel, beside the travel that is asked.

Within the travel an end lies where the part's room is used up; beyond it, where it would be if the part went on as it moves at the end
of the travel.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.evaluation import evaluated
from springwright.questions.room import hose_reach
from springwright.results import Result, si
from springwright.sizing.axle_geometry import axle_index, geometry
from springwright.sizing.fitted import sized
from springwright.sizing.springs import AxleSprings
from springwright.vehicle.axle import Axle
from springwright.vehicle.file import DesignFile
from springwright.vehicle.geometry import Geometry

NONE = "there is none"
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class TravelEnd(Result):
    """A part of an axle: the wheel's travel at which it ends in bump and in droop, bump positive; None where it does not, or is not known, as `why` says."""

    part: str
    bump: float | None = si("m", None)
    droop: float | None = si("m", None)
    at_bump: str = ""
    at_droop: str = ""
    why: str = ""


@evaluated
def travel_ends(file: DesignFile, axle: str) -> tuple[TravelEnd, ...]:
    """Every part of an axle whose length or room can end its travel.

    Raises
    ------
    InputError
        No axle of that name, or a fault in the design.

    """
    index = axle_index(file, axle)
    one, springs = file.design.axles[index], sized(file).springs[index]
    along = geometry(file, axle)
    return (
        _damper(one, along),
        _coil(one, springs, along),
        _arch(one),
        _hose(one, along),
        _shaft(one, along),
        *_bar(one),
    )


def _where(travel: Floats, room: Floats, *, bump: bool) -> float:
    """The travel at which the room left is first used up on the way from the design position towards bump or droop [m]; 0 where none is left there."""
    outward = travel >= 0 if bump else travel <= 0
    x, left = travel[outward], room[outward]
    if not bump:
        x, left = x[::-1], left[::-1]
    if left[0] <= 0:
        return 0.0
    past = np.flatnonzero((left[:-1] > 0) & (left[1:] <= 0))
    if len(past):
        i = int(past[0])
        return float(x[i] + (x[i + 1] - x[i]) * left[i] / (left[i] - left[i + 1]))
    slope = (left[-1] - left[-2]) / (x[-1] - x[-2])
    towards = slope < 0 if bump else slope > 0
    return float(x[-1] - left[-1] / slope) if towards else math.inf if bump else -math.inf


def _damper(axle: Axle, along: Geometry) -> TravelEnd:
    mount = axle.damper
    name = "damper"
    places = [(p.travel, p.damper_length) for p in along.positions if p.damper_length is not None]
    if mount is None:
        return TravelEnd(name, why=NONE)
    if len(places) < 2 or (mount.compressed_length is None and mount.extended_length is None):
        return TravelEnd(name, why="give its length, extended_length and compressed_length")
    x, length = np.array(places).T
    closed = None if mount.compressed_length is None else _where(x, length - mount.compressed_length, bump=True)
    opened = None if mount.extended_length is None else _where(x, mount.extended_length - length, bump=False)
    return TravelEnd(name, closed, opened, "closed", "open")


def _coil(axle: Axle, springs: AxleSprings, along: Geometry) -> TravelEnd:
    coil = springs.record.coil if springs.record else None
    places = [(p.travel, p.spring_length) for p in along.positions if p.spring_length is not None]
    if coil is None or len(places) < 2:
        return TravelEnd("spring", why="no coil's lengths are known")
    x, length = np.array(places).T
    shut = coil.least_length or coil.solid_length
    solid = None if shut is None else _where(x, length - coil.spacer - shut, bump=True)
    force = np.array([float(springs.law.at(axle.spring.rest_length - one).force) for one in length])
    return TravelEnd(
        "coil",
        solid,
        _where(x, force, bump=False),
        "solid" if coil.least_length is None else "at its least length",
        "slack",
    )


def _arch(axle: Axle) -> TravelEnd:
    if axle.room is None or axle.room.above is None:
        return TravelEnd("tyre to the arch", why="give axles.room.above")
    return TravelEnd("tyre to the arch", axle.room.above - axle.tyre.unloaded_radius, None, "touches")


def _hose(axle: Axle, along: Geometry) -> TravelEnd:
    if axle.brake_hose is None:
        return TravelEnd("brake hose", why="give [axles.brake_hose]")
    x, far = hose_reach(axle, along)
    spare = axle.brake_hose.length - far
    bump, droop = _where(x, spare, bump=True), _where(x, spare, bump=False)
    return TravelEnd("brake hose", None if math.isinf(bump) else bump, droop, "straight", "straight")


def _shaft(axle: Axle, along: Geometry) -> TravelEnd:
    if not axle.driven and axle.shaft is None:
        return TravelEnd("shaft", why=NONE)
    places = [
        (p.travel, max(p.shaft_inner, p.shaft_outer or 0.0)) for p in along.positions if p.shaft_inner is not None
    ]
    most = axle.shaft.largest_angle if axle.shaft else None
    if most is None or len(places) < 2:
        return TravelEnd("shaft", why="give [axles.shaft] and its largest angle")
    x, angle = np.array(places).T
    return TravelEnd(
        "shaft",
        _where(x, most - angle, bump=True),
        _where(x, most - angle, bump=False),
        "at its largest angle",
        "at its largest angle",
    )


def _bar(axle: Axle) -> tuple[TravelEnd, ...]:
    """An anti-roll bar's drop link, which leans as far either way: how far the arm's end goes until it leans as much as it may."""
    bar = axle.bar
    if bar is None:
        return ()
    if bar.shape is None or bar.drop_link is None or bar.drop_link_angle is None:
        return (TravelEnd("bar's drop link", why="give axles.bar.drop_link, its angle and the bar's shape"),)
    back = bar.drop_link * math.sin(bar.drop_link_angle)
    end = math.sqrt(max(bar.shape.arm**2 - max(bar.shape.arm - back, 0.0) ** 2, 0.0)) / bar.motion_ratio
    return (TravelEnd("bar's drop link", end, -end, "leans as far as it may", "leans as far as it may"),)
