"""Is there room for the travel, and does every part stay inside its own limits of length? Each axle over its travel, at lock and fully articulated."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from springwright.motion.equilibrium import Rest, equilibria
from springwright.motion.rig import Rig
from springwright.questions.angles import angles, at_bump
from springwright.questions.answer import YOURS, Answer, Fact, Figure, answer, figure, no_limit, not_below, worst
from springwright.questions.context import ProofContext, StateModel
from springwright.questions.grip import HIGHEST, diagonal, has_diagonal, twists_in
from springwright.questions.question import Question
from springwright.questions.road_runs import Runs
from springwright.questions.room import drop_link, hose, tyre_room
from springwright.results import Judged
from springwright.units import show
from springwright.vehicle.axle import Axle
from springwright.vehicle.curves import lengths
from springwright.vehicle.design import Limits
from springwright.vehicle.geometry import Geometry

Floats = NDArray[np.float64]
ASKS = "Packaging: is there room for the travel?"


@dataclass(frozen=True, eq=False)
class _Bent:
    """A load state on the diagonal height at which its first wheel lifts, both ways: travels (2, w), and the height [m]."""

    at: StateModel
    travel: Floats
    height: float


def fit(ready: ProofContext, runs: Runs | None = None, *, brief: bool = False) -> Answer:  # noqa: ARG001 nothing in it is dear
    """Answer the question."""
    figures: list[Figure] = []
    facts: list[Fact] = []
    bent = _bent(ready)
    for i, axle in enumerate(ready.design.axles):
        figures += _travel(ready, i, axle)
        facts += _articulation(bent, i, axle)
        figures += [
            *_spring(ready, i, axle),
            *_helpers(ready, i),
            *_damper(axle),
            *tyre_room(axle, ready.geometries[i]),
            *_joints(axle, ready.geometries[i], ready.design.limits),
        ]
        facts += _turns(axle, ready.geometries[i])
    figures += _clearance(ready)
    ramps, bumped = angles(ready)
    figures += ramps
    facts += bumped
    notes = [note for geometry in ready.geometries for note in geometry.notes]
    notes.append(
        "room round the tyre and the brake hose are looked at over both wheels' travel together and at lock, not with the axle rolled"
    )
    return answer("fit", ASKS, tuple(figures), tuple(facts), (), tuple(notes))


def _travel(ready: ProofContext, index: int, axle: Axle) -> list[Figure]:
    """Bump and droop left at rest in every load state."""
    bump = [
        not_below(
            f"bump travel to spare at rest, {axle.name}",
            at.told.axles[index].bump_left,
            state=at.name,
            id="bump_left",
            axle=axle.name,
        )
        for at in ready.states
    ]
    droop = [
        not_below(
            f"droop travel to spare at rest, {axle.name}",
            at.told.axles[index].droop_left,
            state=at.name,
            id="droop_left",
            axle=axle.name,
        )
        for at in ready.states
    ]
    return [min(each, key=lambda one: one.value or 0.0) for each in (bump, droop)]


def _bent(ready: ProofContext) -> list[_Bent]:
    if not has_diagonal(ready.design):
        return []
    heights = np.array([[HIGHEST if one.lift is None else one.lift for one in both] for both in twists_in(ready)])
    ways = np.array([[diagonal(at.rig), -diagonal(at.rig)] for at in ready.states])
    of = np.repeat(np.arange(len(ready.states)), 2)
    rests = equilibria(ready.batch, (heights[:, :, None] * ways).reshape(len(of), -1), of=of)
    return [
        _Bent(at, q @ at.rig.travel_map.T, float(least))
        for at, q, least in zip(
            ready.states, rests.q.reshape(len(ready.states), 2, -1), heights.min(axis=1), strict=True
        )
    ]


def _articulation(bent: list[_Bent], index: int, axle: Axle) -> list[Fact]:
    """Bump and droop left at full articulation, a wheel about to lift on a diagonal ditch: the state that leaves least."""
    left: dict[str, list[Fact]] = {"bump": [], "droop": []}
    for one in bent:
        mine = one.travel[:, one.at.rig.wheel_axle == index]
        note = f"cross-axle height {show(one.height, 'length')}"
        for word, spare in (("bump", axle.travel.bump - mine.max()), ("droop", axle.travel.droop + mine.min())):
            left[word].append(
                Fact(
                    f"{word} travel to spare at full articulation, {axle.name}",
                    float(spare),
                    "m",
                    "length",
                    one.at.name,
                    note=note + ("; the stop is pressed" if spare < 0 else ""),
                )
            )
    return [min(facts, key=lambda fact: fact.value or 0.0) for facts in left.values() if facts]  # fmt: skip


def _spring(ready: ProofContext, index: int, axle: Axle) -> list[Figure]:
    """Coil bind at full bump, and a preload at full droop."""
    springs, need = ready.springs[index], ready.springs[index].need
    name, found = axle.name, []
    coil = springs.record.coil if springs.record else None
    if springs.record is not None and coil is None:
        found = [
            _judged(one, name) for one in springs.record.judged
            if one.kind == "length" or one.id in ("solid_shear_stress", "solid_margin")
        ]  # fmt: skip
    elif coil is None or coil.solid_length is None:
        found.append(
            not_below(
                f"from full bump to coil bind, {name}",
                None,
                why="no solid length: give axles.spring.existing.solid_length or the coil's dimensions",
                id="coil_bind",
                axle=name,
            )
        )
    else:
        gap = need.bump_length - coil.spacer - (coil.least_length or coil.solid_length)
        said = (
            "solid length and least gaps, EN 13906-1"
            if coil.least_length
            else "solid length; its least gaps are not known"
        )
        found.append(not_below(f"from full bump to coil bind, {name}", gap, where=said, id="coil_bind", axle=name))
    if springs.law.pulls:
        return found
    longest = float(lengths(axle, -axle.travel.droop).length)
    force = float(springs.law.at(axle.spring.rest_length - longest).force)
    pressed = ready.design.limits.preload_at_droop
    found.append(
        figure(
            f"spring force at full droop, {name}",
            force,
            "at least",
            0.0 if pressed else None,
            "N",
            "force",
            "a slack spring can leave its seat",
            state="every state",
            why="the design lets it unseat: limits.preload_at_droop",
            id="spring_force_at_full_droop",
            axle=name,
        )
    )
    return found  # fmt: skip


def _helpers(ready: ProofContext, index: int) -> list[Figure]:
    """What the travel asks of the springs beside an axle's own."""
    springs = ready.springs[index]
    return [
        replace(_judged(one, f"{record.kind}, {springs.axle}"), why=one.source if one.word == "not known" else "")
        for record in springs.helpers
        for one in record.judged
        if one.kind == "length" or one.id in ("solid_shear_stress", "solid_margin")
    ]


def _judged(one: Judged, name: str) -> Figure:
    return figure(
        f"{one.measure}, {name}",
        one.value,
        one.sense,
        one.limit,
        one.unit,
        one.kind,
        one.source,
        state=one.where or "every state",
        id=one.id,
    )


def _damper(axle: Axle) -> list[Figure]:
    """What is left of a damper's extended and compressed length at the ends of the travel."""
    mount = axle.damper
    if mount is None:
        return []
    ends = np.array([-axle.travel.droop, axle.travel.bump + axle.travel.stop_compression])
    at_droop, at_bump = (float(one) for one in mount.acts.lengths(ends, mount.length or 0.0).length)
    found = []
    for word, own, asked, sign in (
        ("extended", mount.extended_length, at_droop, 1),
        ("compressed", mount.compressed_length, at_bump, -1),
    ):
        where = "full droop" if sign > 0 else "full bump, the stop pressed"
        left = None if own is None else sign * (own - asked)
        found.append(
            not_below(
                f"damper travel to spare, {'opening' if sign > 0 else 'closing'}, {axle.name}",
                left,
                where=where,
                why=f"give axles.damper.{word}_length",
                id="damper_left",
            )
        )
    return found  # fmt: skip


def _joints(axle: Axle, geometry: Geometry, limits: Limits) -> list[Figure]:
    """Shaft angles and plunge, brake hose, bump steer, drop link."""
    found = [_judged(one, axle.name) for one in geometry.judged]
    found = [replace(one, why="" if one.word != "not known" else "give its limit under axles.shaft") for one in found]
    if axle.driven and axle.shaft is None:
        found.append(
            figure(
                f"shaft, largest joint angle, {axle.name}",
                None,
                "at most",
                None,
                "rad",
                "angle",
                YOURS,
                why="give [axles.shaft]",
                id="shaft_angle",
                axle=axle.name,
            )
        )
    found += [*hose(axle, geometry), *_bump_steer(axle, geometry, limits), *drop_link(axle)]
    return found


def _bump_steer(axle: Axle, geometry: Geometry, limits: Limits) -> list[Figure]:
    """The most a wheel steers by itself over its travel."""
    each = (p.steer if p.steer is not None else p.toe for p in geometry.positions)
    steers = [abs(one) for one in each if one is not None]
    if not steers:
        return (
            [
                figure(
                    f"bump steer, {axle.name}",
                    None,
                    "at most",
                    limits.bump_steer,
                    "rad",
                    "angle",
                    YOURS,
                    why="give the pivot points, or [axles.drag_link] on a beam axle",
                    id="bump_steer",
                    axle=axle.name,
                )
            ]
            if axle.steered
            else []
        )
    return [figure(f"bump steer, {axle.name}", max(steers), "at most", limits.bump_steer, "rad", "angle", YOURS, state="every state", why=no_limit("bump_steer"), id="bump_steer", axle=axle.name)]  # fmt: skip


def _turns(axle: Axle, geometry: Geometry) -> list[Fact]:
    """How far the axle, with its pinion, turns about its own length over the travel."""
    turns = [p.axle_turn for p in geometry.positions if p.axle_turn is not None]
    return (
        [Fact(f"pinion angle over the travel, {axle.name}", max(turns) - min(turns), "rad", "angle")] if turns else []
    )


def _clearance(ready: ProofContext) -> list[Figure]:
    """Belly and axle clearance at rest, and the belly with every wheel at full bump."""
    design, limits = ready.design, ready.design.limits
    found = []
    if not design.belly:
        found.append(
            figure(
                "belly clearance at rest",
                None,
                "at least",
                limits.belly_clearance,
                "m",
                "length",
                YOURS,
                why="give belly: points of its lowest outline",
                id="belly_clearance",
            )
        )
    else:
        each, down = [], []
        for at in ready.states:
            low, x = belly_low(design.belly, at.rig, at.rest)
            each.append(
                figure(
                    "belly clearance at rest",
                    low,
                    "at least",
                    limits.belly_clearance,
                    "m",
                    "length",
                    YOURS,
                    state=at.name,
                    where=f"{show(abs(x), 'length')} {'behind' if x >= 0 else 'ahead of'} the front axle",
                    why=no_limit("belly_clearance"),
                    id="belly_clearance",
                )
            )
            down.append(
                not_below(
                    "belly clearance with every wheel at full bump",
                    _at_bump(ready, at),
                    state=at.name,
                    where="stops pressed",
                    id="belly_clearance_at_bump",
                )
            )
        found += [worst(each), min(down, key=lambda one: one.value or 0.0)]
    for i, axle in enumerate(design.axles):
        if axle.kind != "beam":
            continue
        if axle.clearance is None:
            found.append(
                figure(
                    f"axle clearance, {axle.name}",
                    None,
                    "at least",
                    limits.axle_clearance,
                    "m",
                    "length",
                    YOURS,
                    why="give axles.clearance: the lowest point of the axle over the ground, design state",
                    id="axle_clearance",
                    axle=axle.name,
                )
            )
            continue
        each = []
        for at in ready.states:
            mine = at.rig.wheel_axle == i
            squash = float(at.rest.q[4:][mine].mean())
            each.append(
                figure(
                    f"axle clearance, {axle.name}",
                    axle.clearance + squash,
                    "at least",
                    limits.axle_clearance,
                    "m",
                    "length",
                    YOURS,
                    state=at.name,
                    why=no_limit("axle_clearance"),
                    id="axle_clearance",
                    axle=axle.name,
                )
            )
        found.append(worst(each))
    return found  # fmt: skip


def belly_low(belly: Sequence[tuple[float, float]], rig: Rig, rest: Rest) -> tuple[float, float]:
    """Height of the lowest point of the belly over level ground, and how far behind the front axle it is [m]."""
    return min((z + rest.rise_at(rig, -behind), behind) for behind, z in belly)


def _at_bump(ready: ProofContext, at: StateModel) -> float:
    """Lowest point of the belly with every wheel at full bump [m]."""
    behind, high = np.array(ready.design.belly).T
    return float(np.min(high - at_bump(ready, at, behind)))


FIT = Question("fit", "Fits", fit)
