"""Approach, departure and ramp angles (ISO 612) of the belly's outline against the tyres as they stand loaded."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.questions.answer import YOURS, Fact, Figure, figure, no_limit, worst
from springwright.questions.context import ProofContext, StateModel
from springwright.units import show

Floats = NDArray[np.float64]
STEP = 0.01  # m along the outline
GIVE = "give belly a point {} the tyres: its lowest outline, behind the front axle (ahead negative), above ground"


class Found(NamedTuple):
    """The least angle [rad] and the place of the outline that makes it [m behind the front axle]."""

    angle: float
    behind: float


def tangent_angle(away: Any, above: Any, radius: float) -> Floats:
    """Slope [rad] of the line from a point, so far from the wheel's centre along and above ground [m], that touches the tyre from below.

    nan within the tyre's outline. `radius` is the static loaded one: a circle of it stands on the ground.
    """
    x, z = np.asarray(away, dtype=float), np.asarray(above, dtype=float) - radius
    with np.errstate(invalid="ignore"):
        return np.asarray(np.arctan2(z, x) + np.arcsin(radius / np.hypot(x, z)))


def angles(ready: ProofContext) -> tuple[list[Figure], list[Fact]]:
    """The least of each angle over the load states, held against its limit, and with every wheel at full bump."""
    limits, axles = ready.design.limits, ready.design.axles
    if not ready.design.belly:
        return [], []
    asked: list[tuple[str, str, Callable[[Floats, Floats, Floats], Found | None], str]] = [
        ("approach angle", "approach_angle", lambda x, z, r: beyond(x, z, _place(ready, 0), r[0], 1), "ahead of"),
        ("departure angle", "departure_angle", lambda x, z, r: beyond(x, z, _place(ready, -1), r[-1], -1), "behind"),
    ]  # fmt: skip
    for i, (one, next_) in enumerate(pairwise(axles)):
        name = "ramp angle" if len(axles) == 2 else f"ramp angle, {one.name} to {next_.name}"
        asked.append((name, "ramp_angle", lambda x, z, r, i=i: between(x, z, _place(ready, i), _place(ready, i + 1), r[i], r[i + 1]), "between"))  # type: ignore[misc]  # fmt: skip
    figures, facts = [], []
    for name, field, least, where in asked:
        limit = getattr(limits, field)
        each = [_told(least, at, ready, name, limit, field, where) for at in ready.states]
        figures.append(worst(each))
        down = [(least(*_outline(ready, at, bump=True), _radii(ready, at)), at) for at in ready.states]
        seen = [(found.angle, at.name) for found, at in down if found]
        if seen:
            angle, state = min(seen)
            facts.append(Fact(f"{name}, every wheel at full bump", angle, "rad", "angle", state, note="stops pressed"))
    return figures, facts


def beyond(x: Floats, z: Floats, axle: float, radius: float, way: int) -> Found | None:
    """Least angle of the points ahead of an axle (`way` 1) or behind it (-1), places [m ahead]; None where there is none."""
    at = way * (x - axle)
    slopes = np.where(at > 0, tangent_angle(at, z, radius), np.nan)
    return _least(slopes, x)


def between(x: Floats, z: Floats, front: float, rear: float, front_radius: float, rear_radius: float) -> Found | None:
    """Least sum of the slopes to the tyres of two axles of the points between them [m ahead]; None where there is none."""
    slopes = tangent_angle(front - x, z, front_radius) + tangent_angle(x - rear, z, rear_radius)
    return _least(np.where((x < front) & (x > rear), slopes, np.nan), x)


def _least(slopes: Floats, x: Floats) -> Found | None:
    if not np.isfinite(slopes).any():
        return None
    i = int(np.nanargmin(slopes))
    return Found(float(slopes[i]), float(-x[i]))


def _told(
    least: Callable[[Floats, Floats, Floats], Found | None],
    at: StateModel,
    ready: ProofContext,
    name: str,
    limit: float | None,
    field: str,
    where: str,
) -> Figure:
    found = least(*_outline(ready, at), _radii(ready, at))
    if found is None:
        return figure(
            name, None, "at least", limit, "rad", "angle", YOURS, state=at.name, why=GIVE.format(where), id=field
        )
    placed = f"{show(abs(found.behind), 'length')} {'behind' if found.behind >= 0 else 'ahead of'} the front axle"
    return figure(
        name,
        found.angle,
        "at least",
        limit,
        "rad",
        "angle",
        YOURS,
        state=at.name,
        where=placed,
        why=no_limit(field),
        id=field,
    )


def _place(ready: ProofContext, index: int) -> float:
    return -ready.design.axles[index].behind_front_axle


def _radii(ready: ProofContext, at: StateModel) -> Floats:
    """Static loaded radius of every axle's tyres [m], the smaller where they differ."""
    squash = at.rest.wheel_loads / at.rig.tyre_rate
    return np.array(
        [axle.tyre.unloaded_radius - squash[at.rig.wheel_axle == i].max() for i, axle in enumerate(ready.design.axles)]
    )


def _outline(ready: ProofContext, at: StateModel, *, bump: bool = False) -> tuple[Floats, Floats]:
    """The belly's outline close by close: ahead of the front axle and above ground [m], at rest or with every wheel at full bump."""
    behind, high = np.array(sorted(ready.design.belly)).T
    x = np.unique(np.concatenate([behind, np.arange(behind[0], behind[-1], STEP)]))
    z = np.interp(x, behind, high)
    if bump:
        return -x, z - at_bump(ready, at, x)
    front, metre = (at.rest.rise_at(at.rig, -one) for one in (0.0, 1.0))  # the body is straight: it rises evenly along
    return -x, z + front + (metre - front) * x


def at_bump(ready: ProofContext, at: StateModel, behind: Any) -> Floats:
    """How far places of the body [m behind the front axle] sink with every wheel at full bump, on the straight line nearest to the axles' sinking [m]."""
    sunk = []
    for i, axle in enumerate(ready.design.axles):
        high = float(at.rest.q[4:][at.rig.wheel_axle == i].mean())  # the wheel stands on its tyre as at rest
        sunk.append((axle.behind_front_axle, axle.travel.bump + axle.travel.stop_compression - high))
    places, drops = np.array(sunk).T
    return np.asarray(np.polyval(np.polyfit(places, drops, min(1, len(places) - 1)), behind))
