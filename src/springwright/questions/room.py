"""Room round a tyre at lock and travel, a hose pulled straight, a drop link's lean: what moves with a wheel, and what is in its way."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from springwright.questions.answer import YOURS, Figure, figure, not_below
from springwright.vehicle.axle import Axle
from springwright.vehicle.geometry import Geometry

Floats = NDArray[np.float64]


def tyre_room(axle: Axle, geometry: Geometry) -> list[Figure]:
    """Room round the tyre over the whole travel and at full lock, against the body given."""
    room = axle.room
    if room is None:
        return [
            not_below(
                f"room round the tyre, {axle.name}",
                None,
                why="give [axles.room]: ahead, behind, above and inside of the wheel centre",
                id="room_round_the_tyre",
                axle=axle.name,
            )
        ]
    radius, high = axle.tyre.unloaded_radius, axle.travel.bump + axle.travel.stop_compression
    found = []
    if room.above is not None:
        found.append(
            not_below(
                f"room over the tyre, {axle.name}",
                room.above - radius - high,
                where="full bump",
                id="room_over_the_tyre",
                axle=axle.name,
            )
        )
    width = axle.tyre.section_width
    if width is None:
        return [
            *found,
            not_below(
                f"room beside the tyre, {axle.name}",
                None,
                why="give axles.tyre.width",
                id="room_beside_the_tyre",
                axle=axle.name,
            ),
        ]
    turns = _swung(axle, geometry)
    said = "full lock and travel" if axle.steering_lock else "the whole travel"
    for word, own, sense in (("ahead of", room.ahead, 1.0), ("behind", room.behind, -1.0)):
        if own is not None:
            most = max(sense * x + _ahead(radius, width, turn) for turn, x, _ in turns)
            found.append(
                not_below(f"room {word} the tyre, {axle.name}", own - most, where=said, id=f"room_{word}_the_tyre")
            )
    if room.inside is not None:
        most = max(-y + width / 2 * math.cos(turn) + radius * abs(math.sin(turn)) for turn, _, y in turns)
        found.append(
            not_below(
                f"room inside the tyre, {axle.name}",
                room.inside - most,
                where=said,
                id="room_inside_the_tyre",
                axle=axle.name,
            )
        )
    return found


def _ahead(radius: float, width: float, turn: float) -> float:
    """How far a tyre stands ahead of its centre at most, turned from straight to so far [rad]: its corner, once that points ahead."""
    corner = math.atan(width / 2 / radius)
    if turn >= corner:
        return math.hypot(radius, width / 2)
    return radius * math.cos(turn) + width / 2 * math.sin(turn)


def _swung(axle: Axle, geometry: Geometry) -> list[tuple[float, float, float]]:
    """Turn [rad] of the left wheel, and how far its centre stands ahead of and out from its design position [m], at lock and along the travel."""
    places = [
        (abs(p.toe or 0.0) + abs(p.steer or 0.0), p.wheelbase or 0.0, p.half_track or 0.0) for p in geometry.positions
    ]
    centre = None if axle.links is None else axle.links.wheel_centre
    if geometry.locks and centre is not None:
        return [
            *places,
            *((abs(one.turn), one.centre[0] - centre[0], one.centre[1] - centre[1]) for one in geometry.locks),
        ]
    lock = axle.steering_lock or 0.0  # no pivot points: the wheel turns about its own centre
    return [(max(turn, lock), x, y) for turn, x, y in places]


def hose(axle: Axle, geometry: Geometry) -> list[Figure]:
    """Length left of a brake hose at the farthest point of travel and lock."""
    given = axle.brake_hose
    if given is None:
        return [
            not_below(
                f"brake hose to spare, {axle.name}",
                None,
                why="give [axles.brake_hose]",
                id="brake_hose",
                axle=axle.name,
            )
        ]
    far = float(hose_reach(axle, geometry)[1].max())
    return [not_below(f"brake hose to spare, {axle.name}", given.length - far, where="the farthest of travel and lock, pulled straight", id="brake_hose", axle=axle.name)]  # fmt: skip


def hose_reach(axle: Axle, geometry: Geometry) -> tuple[Floats, Floats]:
    """Travels of the wheel, and how far apart the ends of its brake hose are there at the farthest lock [m]."""
    given = axle.brake_hose
    assert given is not None
    body, wheel = np.array(given.body), np.array(given.wheel)
    start = (
        np.array([0.0, (axle.track or 0.0) / 2, axle.tyre.unloaded_radius])
        if axle.links is None
        else np.array(axle.links.wheel_centre)
    )
    arm = wheel - start
    spots = [(p.travel, p.wheelbase or 0.0, p.half_track or 0.0) for p in geometry.positions]
    far = np.zeros(len(spots))
    lock = axle.steering_lock or 0.0
    for turn in {0.0, lock, -lock}:
        c, s = math.cos(turn), math.sin(turn)
        swung = np.array([c * arm[0] - s * arm[1], s * arm[0] + c * arm[1], arm[2]])
        apart = [float(np.linalg.norm(start + np.array([ahead, out, up]) + swung - body)) for up, ahead, out in spots]
        far = np.maximum(far, apart)
    return np.array([up for up, _, _ in spots]), far


def drop_link(axle: Axle) -> list[Figure]:
    """How far an anti-roll bar's drop link leans off square as its end goes along its arc."""
    bar = axle.bar
    if bar is None:
        return []
    measure = f"drop link lean, {axle.name}"
    if bar.shape is None or bar.drop_link is None:
        return [
            figure(
                measure,
                None,
                "at most",
                bar.drop_link_angle,
                "rad",
                "angle",
                YOURS,
                why="give axles.bar.drop_link and the bar's shape",
                id="drop_link_lean",
                axle=axle.name,
            )
        ]
    most = bar.motion_ratio * max(axle.travel.bump + axle.travel.stop_compression, axle.travel.droop)
    if most >= bar.shape.arm:
        return [
            not_below(
                f"bar arm left, {axle.name}",
                bar.shape.arm - most,
                where="its end cannot follow the travel",
                id="bar_arm_left",
                axle=axle.name,
            )
        ]
    back = bar.shape.arm - math.sqrt(bar.shape.arm**2 - most**2)
    lean = math.asin(min(back / bar.drop_link, 1.0))
    return [figure(measure, lean, "at most", bar.drop_link_angle, "rad", "angle", YOURS, state="every state", why="give axles.bar.drop_link_angle", id="drop_link_lean", axle=axle.name)]  # fmt: skip
