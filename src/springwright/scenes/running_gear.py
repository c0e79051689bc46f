"""Where an axle's springs, dampers and links stand at a travel: by pivot points, by the mount's own dimensions, else plainly by the wheel.

Places are (3,) [m]: x ahead of the axle, y left of the centreline, z above ground, with the body kept in its design position.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, cos, pi, sin, sqrt, tan
from typing import Any

import numpy as np

from springwright.linkage.beam_links import BeamLinks
from springwright.linkage.mounts import Lever, OnAxleLinks, OnBeam, OnLinks, Twisted
from springwright.parts.leaf_spring import LeafSpring
from springwright.scenes.bodywork import drawn_width
from springwright.scenes.outline import spring_ends
from springwright.sizing.springs import AxleSprings
from springwright.vehicle.axle import Axle
from springwright.vehicle.curves import lengths

Place = tuple[float, float, float]
Line = tuple[Place, Place]

WORDS = {"leaf": "leaf", "torsion_bar": "torsion bar", "air": "air", "strut": "strut", "rubber": "rubber"}
COIL, TURNS, BESIDE, NOMINAL = 0.13, 6.5, 0.12, 0.3  # m, number, m, m: drawn where nothing says better


@dataclass(frozen=True)
class SpringLine:
    """One side's spring: what it is called, the line it lies on (foot first), its length [m] if it has one, and whether its place is a guess."""

    word: str
    line: tuple[Place, ...]
    length: float | None
    schematic: bool


@dataclass(frozen=True)
class AxleAt:
    """An axle at a travel: its wheels' and its springs' travel, left then right [m]; wheel centre height in the design position [m].

    `inward` is 1 where the middle of the vehicle lies ahead of the axle, else -1; `aside` is how far ahead of the axle its springs stand.
    """

    axle: Axle
    travel: tuple[float, float]
    at_spring: tuple[float, float]
    centre: float
    inward: int
    aside: float = 0.0


def springs(at: AxleAt) -> tuple[SpringLine, ...]:
    """The springs of an axle, left then right."""
    sides = (1, -1)[: at.axle.wheels]
    return tuple(_placed(_spring(at, at.axle.on_side(side), side), at.aside) for side in sides)


def links(at: AxleAt) -> tuple[tuple[Line, ...], bool]:
    """What holds the wheels, as lines, and whether they are known: on pivot points, or on the lever or link a spring stands on."""
    axle, known = at.axle, at.axle.links
    if isinstance(known, BeamLinks):
        joints = known.joints(*at.travel)
        pairs = [pair for pair in known.sketch() if not pair[0].startswith("wheel_centre")]
        return tuple((_place(joints[a]), _place(joints[b])) for a, b in pairs), True
    found: list[Line] = []
    for side, travel in zip((1, -1)[: axle.wheels], at.travel, strict=False):
        held = axle.on_side(side).links
        if held is not None:
            joints = held.joints(travel)
            found += [(_place(joints[a], side), _place(joints[b], side)) for a, b in held.sketch()]
            continue
        acts = axle.spring.acts
        if isinstance(acts, OnBeam | Lever) and acts.arm is not None:
            found.append(_arm(at, acts, side, travel))
        elif axle.kind == "independent" and axle.wheels == 2:
            out = (axle.track or 0.0) / 2
            found.append(((0.0, side * 0.3 * out, at.centre), (0.0, side * out, at.centre + travel)))
    guessed = axle.links is None and not (isinstance(axle.spring.acts, OnBeam | Lever) and axle.spring.acts.arm)
    return tuple(found), not guessed


def dampers(at: AxleAt) -> tuple[Line, ...]:
    """Dampers whose pivot points are known, foot first."""
    found: list[Line] = []
    for side, travel in zip((1, -1)[: at.axle.wheels], at.travel, strict=False):
        mount = at.axle.on_side(side).damper
        if mount is not None and isinstance(mount.acts, OnLinks | OnAxleLinks):
            ends = _ends(mount.acts, at, side, travel)
            found.append((_place(ends["foot"], side), _place(ends["top"], side)))
    return tuple(found)


def drawn_diameter(axle: Axle, springs: AxleSprings) -> tuple[float, float]:
    """Diameter [m] and number of turns a spring is drawn with: its own where they are known."""
    air, strut, bar = axle.spring.air, axle.spring.strut, springs.part
    coil = springs.record.coil if springs.record else None
    if air is not None:
        area = air.area or float(np.interp(0.0, *np.array(air.curve).T[:2]))
        return sqrt(4 * area / pi), 0.0
    if strut is not None:
        return 1.3 * strut.bore, 0.0
    thick = getattr(bar, "diameter", None)
    if axle.spring.torsion_bar is not None and thick is not None:
        return float(thick), 0.0
    outside = (coil.outside_diameter if coil else None) or axle.spring.largest_outside or COIL
    return outside, (coil.active_coils if coil else None) or TURNS


def _spring(at: AxleAt, axle: Axle, side: int) -> SpringLine:
    mount, acts = axle.spring, axle.spring.acts
    wheel, here = (at.travel[0], at.at_spring[0]) if side > 0 else (at.travel[-1], at.at_spring[-1])
    word = next((word for field, word in WORDS.items() if getattr(mount, field) is not None), "coil")
    length = float(lengths(axle, here).length) if mount.rest_length else None
    if isinstance(acts, Twisted) and mount.torsion_bar is not None:
        return SpringLine(word, _bar(at, axle, side), mount.torsion_bar.length, axle.links is None)
    if isinstance(acts, OnBeam) and mount.leaf is not None:
        return SpringLine(
            word, _leaf(at, acts, mount.leaf, side, here), mount.leaf.front + mount.leaf.rear, schematic=False
        )
    if isinstance(acts, OnLinks | OnAxleLinks):
        ends = _ends(acts, at, side, wheel)
        foot, top = (_place(ends[end], side) for end in ("foot", "top"))
        return SpringLine(word, (foot, top), float(np.linalg.norm(np.subtract(top, foot))), schematic=False)
    rest = mount.rest_length or NOMINAL
    if isinstance(acts, OnBeam | Lever):
        return SpringLine(word, _leaning(at, acts, side, here, rest), length, isinstance(acts, Lever))
    out = _beside(axle)
    high = at.centre + rest
    line = ((0.0, side * out, high - (length or rest)), (0.0, side * out, high))
    return SpringLine(word, line, length, schematic=True)


def _ends(acts: Any, at: AxleAt, side: int, wheel: float) -> dict[str, Any]:
    """Ends of a spring or damper on pivot points, told as on the left; on a beam axle where both wheels' travel puts them."""
    if not isinstance(acts, OnAxleLinks):
        return spring_ends(acts, wheel)
    left, right = (np.array([one]) for one in at.travel)
    foot = acts.links.carried(acts.on, acts.foot, left, right, side)[0][0]
    return {"foot": foot * [1, side, 1], "top": np.array(acts.top)}


def _beside(axle: Axle) -> float:
    """How far from the centreline a spring is drawn whose place is not known [m]."""
    if axle.kind == "beam" and axle.spring_base is not None:
        return axle.spring_base / 2
    inside = (axle.track or 0.0) / 2 - drawn_width(axle) / 2 - BESIDE
    return max(inside, 0.0) if axle.wheels == 2 else drawn_width(axle) / 2 + BESIDE


def _across(at: AxleAt, arm: float) -> bool:
    """Whether a lever lies across the vehicle, so that its pivot is on its own side of the centreline; else along it."""
    return at.axle.kind == "independent" and at.axle.wheels == 2 and arm < 0.95 * (at.axle.track or 0.0) / 2


def _on_lever(at: AxleAt, arm: float, slope: float, side: int, out: float) -> Any:
    """Turns a place in a lever's plane (from its pivot towards the wheel, and up) into one of the vehicle's."""
    level, pivot_height = arm * cos(slope), at.centre - arm * sin(slope)
    if _across(at, arm):
        inner = (at.axle.track or 0.0) / 2 - level
        return lambda along, up: (0.0, side * (inner + along), pivot_height + up)
    return lambda along, up: (at.inward * (level - along), side * out, pivot_height + up)


def _arm(at: AxleAt, acts: OnBeam | Lever, side: int, travel: float) -> Line:
    """The lever from its pivot to the wheel centre."""
    assert acts.arm is not None
    place = _on_lever(at, acts.arm, acts.arm_slope, side, _lever_out(at, acts))
    turn = asin(max(-1.0, min(1.0, sin(acts.arm_slope) + travel / acts.arm)))
    return place(0.0, 0.0), place(acts.arm * cos(turn), acts.arm * sin(turn))


def _lever_out(at: AxleAt, acts: OnBeam | Lever) -> float:
    return acts.base / 2 if isinstance(acts, OnBeam) else _beside(at.axle)


def _leaning(at: AxleAt, acts: OnBeam | Lever, side: int, travel: float, rest: float) -> Line:
    """A spring by its mount's own dimensions: installed length and lean, straight over the axle or on its lever."""
    lean_in = acts.lean_in if isinstance(acts, OnBeam) else 0.0
    if acts.arm is None or acts.spring_at is None:
        assert isinstance(acts, OnBeam)
        foot = at.centre if acts.foot_height is None else acts.foot_height
        high = rest / sqrt(1 + tan(acts.lean) ** 2 + tan(lean_in) ** 2)
        ahead, out = at.inward * high * tan(acts.lean), acts.base / 2
        return (0.0, side * out, foot + travel), (ahead, side * (out - high * tan(lean_in)), foot + high)
    place = _on_lever(at, acts.arm, acts.arm_slope, side, _lever_out(at, acts))
    slope, plane = acts.arm_slope, rest * cos(lean_in)
    turn = asin(sin(slope) + travel / acts.arm)
    foot_at = place(acts.spring_at * cos(turn), acts.spring_at * sin(turn))
    x, y, z = place(
        acts.spring_at * cos(slope) - plane * (cos(acts.lean) * sin(slope) + sin(acts.lean) * cos(slope)),
        acts.spring_at * sin(slope) + plane * (cos(acts.lean) * cos(slope) - sin(acts.lean) * sin(slope)),
    )
    return foot_at, (x, y - side * rest * sin(lean_in), z)


def _leaf(at: AxleAt, acts: OnBeam, leaf: LeafSpring, side: int, travel: float) -> tuple[Place, ...]:
    """Front eye, seat, rear eye and shackle pin. The eyes stay where they are at zero travel; the shackle's swing is too small to see."""
    seat = at.centre if acts.foot_height is None else acts.foot_height
    out, eyes = side * acts.base / 2, seat + leaf.eyes_above
    ahead, behind = (sqrt(max(half**2 - leaf.eyes_above**2, 0.0)) for half in (leaf.front, leaf.rear))
    line: tuple[Place, ...] = ((ahead, out, eyes), (0.0, out, seat + travel), (-behind, out, eyes))
    if leaf.shackle is None:
        return line
    up = 1 if leaf.shackle.pin == "above" else -1
    long, lean = leaf.shackle.length, leaf.shackle.lean
    return (*line, (-behind + long * sin(lean), out, eyes + up * long * cos(lean)))


def _bar(at: AxleAt, axle: Axle, side: int) -> Line:
    """A torsion bar from its arm's pivot: along that pivot's axis where it is known, else square to the arm."""
    acts, bar = axle.spring.acts, axle.spring.torsion_bar
    assert isinstance(acts, Twisted)
    assert bar is not None
    if axle.links is not None and acts.on is not None:
        joints = axle.links.joints(0.0)
        word = acts.on.split()[0]
        ends = [f"{word}_rear", f"{word}_front"][:: at.inward] if f"{word}_front" in joints else ["outer_pivot", "inner_pivot"]  # fmt: skip
        begin, end = (np.array(joints[name]) for name in ends)
        way = (end - begin) / np.linalg.norm(end - begin)
        return _place(end, side), _place(end + bar.length * way, side)
    arm = acts.lever_arm
    x, y, z = _on_lever(at, arm, acts.arm_slope, side, _beside(axle))(0.0, 0.0)
    if _across(at, arm):
        return (x, y, z), (x + at.inward * bar.length, y, z)
    return (x, y, z), (x, y - side * bar.length, z)


def _place(point: Any, side: int = 1) -> Place:
    """A point told as on the left, on its own side."""
    x, y, z = (float(one) for one in point)
    return x, side * y, z


def _placed(spring: SpringLine, ahead: float) -> SpringLine:
    if not ahead:
        return spring
    moved = tuple((x + ahead, y, z) for x, y, z in spring.line)
    return SpringLine(spring.word, moved, spring.length, spring.schematic)
