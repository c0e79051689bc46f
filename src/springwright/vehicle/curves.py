"""What acts on a wheel against its travel: springs, stops and damper gas, as curves at the wheel, and whether they can follow it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault
from springwright.linkage.mounts import Lengths, Twisted
from springwright.parts.law import Coiled, Law, Pull
from springwright.parts.stop import Stop
from springwright.units import show
from springwright.vehicle.axle import Axle
from springwright.vehicle.mounted import HelperMount

Floats = NDArray[np.float64]
KNOTS = 97
LEAST_LENGTH = 1e-9  # m, what a length that is not told comes out as
FARTHEST = 1.6  # times full bump up to which a coil's solid length is looked for
MARGIN = 0.25  # how far past full bump and full droop the curves are worked out, as a share of the travel


class ForceCurve(NamedTuple):
    """A force against travel at evenly spaced knots; of many curves, arrays with a row for each."""

    start: Any
    step: Any
    force: Floats
    rate: Floats


def spring_curve(axle: Axle, law: Law, left: Axle | None = None) -> ForceCurve:
    """Force and rate at the wheel end of one side's springs against travel there; no force once a spring that cannot pull is slack.

    `law` is told of the left side's spring; where `axle` is the right side with points of its own, `left` is that side.
    """
    start, step, force, rate = spring_curves(axle, [law], left)
    return ForceCurve(float(start[0]), float(step[0]), force[0], rate[0])


def spring_curves(axle: Axle, laws: Sequence[Law], left: Axle | None = None) -> ForceCurve:
    """The curve of each of many laws in one place, see `spring_curve`: the mount is worked out once for all that begin alike."""
    left, laws = left or axle, [axle.spring.sided(law) for law in laws]
    travel, times = axle.travel, axle.as_built.motion_ratio
    full = travel.bump + travel.stop_compression
    high = (1 + MARGIN) * full
    solids = [law.solid for law in laws if isinstance(law, Coiled)]
    if solids:  # a coil that goes solid only past full bump still locks there
        reach = full * np.linspace(1 + MARGIN, FARTHEST, 12)
        pressed = _pressed(axle, left, lengths(axle, reach).length)[0]
        there = np.flatnonzero(pressed > max(solids))
        high = float(reach[min(there[0] + 1, 11)]) if len(there) else high
    lows = [-(1 + MARGIN) * travel.droop]
    while lows[-1] > -10 * travel.droop:
        lows.append(1.2 * lows[-1])
    # a curve begins where a coil is slack, so that beyond the first knot it stays slack and never pulls
    places, _ = _pressed(axle, left, lengths(axle, np.array(lows)).length)
    begins = np.array([0 if law.pulls else _first_slack(law, places) for law in laws])
    start, step = np.empty(len(laws)), np.empty(len(laws))
    force, rate = np.empty((len(laws), KNOTS)), np.empty((len(laws), KNOTS))
    for begin in np.unique(begins):
        rows = np.flatnonzero(begins == begin)
        mine = [laws[i] for i in rows.tolist()]
        x = _knots(lows[begin], high)
        length, ratio, slope = lengths(axle, x)
        if not np.isfinite(length).all():
            reached = x[np.isfinite(length)]
            x = _knots(float(reached[0]), float(reached[-1]))
            length, ratio, slope = lengths(axle, x)
        ratio, slope = times * ratio, times * slope
        places, arms = _pressed(axle, left, length)
        each = [law.at(places) for law in mine]
        pushed, tangent = np.array([one.force for one in each]) * arms, np.array([one.rate for one in each]) * arms**2
        held = np.array([law.pulls for law in mine])[:, None] | (pushed > 0)
        pushed = np.where(held, pushed, 0.0)
        start[rows], step[rows] = x[0], x[1] - x[0]
        force[rows] = axle.spring.per_wheel * pushed * ratio
        rate[rows] = axle.spring.per_wheel * np.where(held, tangent * ratio**2 + pushed * slope, 0.0)
    return ForceCurve(start, step, force, rate)


def _knots(low: float, high: float) -> Floats:
    """Even places from `low` to `high` or just short of it, one of them at zero travel, so that the force there is exact."""
    before = int(np.ceil(-low / (high - low) * (KNOTS - 1)))
    return np.asarray(-low / before * (np.arange(KNOTS) - before), dtype=float)


def mean_curves(axle: Axle, laws: Sequence[Law]) -> ForceCurve:
    """The curve of each of many laws on an axle, see `spring_curves`: of sides that are unlike, of both in the mean."""
    sides = both_sides(axle)
    each = [spring_curves(side, laws, axle) for side in sides]
    if len(each) == 1:
        return each[0]
    from scipy.interpolate import CubicHermiteSpline  # only for unlike sides: it costs start-up time

    begin = np.max([one.start for one in each], axis=0)
    end = np.min([one.start + one.step * (KNOTS - 1) for one in each], axis=0)
    places = np.linspace(begin, end, KNOTS, axis=-1)
    force, rate = np.zeros((2, len(laws), KNOTS))
    for one in each:
        for k in range(len(laws)):
            x = one.start[k] + one.step[k] * np.arange(KNOTS)
            line = CubicHermiteSpline(x, one.force[k], one.rate[k])
            force[k] += line(places[k]) / len(each)
            rate[k] += line(places[k], 1) / len(each)
    return ForceCurve(begin, (end - begin) / (KNOTS - 1), force, rate)


def _first_slack(law: Law, places: Floats) -> int:
    """The first of some places, ever further let out, at which a law does not push; the last if it always does."""
    slack = np.flatnonzero(~(law.at(places).force > 0))
    return int(slack[0]) if len(slack) else len(places) - 1


def pull(axle: Axle, left: Axle, law: Law, travel: Any) -> Pull:
    """Force and tangent rate in the spring of one side at a travel, counted on past slack; nan out of reach.

    The same spring stands on both sides, but for what the right one has of its own: a coil at its own length, a torsion bar by its
    torque on its own arm.
    """
    places, arms = _pressed(axle, left, lengths(axle, travel).length)
    force, rate = axle.spring.sided(law).at(places)
    return Pull(force * arms, rate * arms**2)


def _pressed(axle: Axle, left: Axle, length: Floats) -> tuple[Floats, float]:
    """How far the spring of one side is pressed at a length, told as the left side's, and the left's lever arm over its own."""
    mine, told = axle.spring.acts, left.spring.acts
    arms = told.lever_arm / mine.lever_arm if isinstance(mine, Twisted) and isinstance(told, Twisted) else 1.0
    return axle.as_built.motion_ratio * arms * (left.spring.rest_length - length), arms


def gas_curve(axle: Axle) -> ForceCurve:
    """What the gas in an axle's damper does at the wheel end against travel there."""
    mount, travel = axle.damper, axle.travel
    assert mount is not None
    assert mount.gas is not None
    x = np.linspace(-(1 + MARGIN) * travel.droop, (1 + MARGIN) * (travel.bump + travel.stop_compression), KNOTS)
    length, ratio, slope = mount.acts.lengths(x, mount.length or 0.0)
    fine = np.isfinite(length)
    x = np.linspace(float(x[fine][0]), float(x[fine][-1]), KNOTS)
    length, ratio, slope = mount.acts.lengths(x, mount.length or 0.0)
    rest = float(mount.acts.lengths(0.0, mount.length or 0.0).length)
    push, rate = mount.gas.law().at(rest - length)
    return ForceCurve(float(x[0]), float(x[1] - x[0]), push * ratio, rate * ratio**2 + push * slope)


def beside_force(axle: Axle, travel: Any) -> Any:
    """Force at a wheel [N] of what is there beside its springs, bushes left out, at bump travels [m]; of both sides in the mean."""
    whole, sides = np.zeros(np.shape(travel))[()], (axle.on_side(1), axle.on_side(-1))
    for side in sides:
        curves = [helper_curve(axle, helper, side is not axle) for helper in axle.helpers]
        if side.damper is not None and side.damper.gas is not None:
            curves.append(gas_curve(side))
        for start, step, force, _ in curves:
            whole = whole + np.interp(travel, start + step * np.arange(KNOTS), force)
    return whole / len(sides)


def helper_curve(axle: Axle, helper: HelperMount, right: bool = False) -> ForceCurve:
    """Force and rate at the wheel end of one of an axle's helpers against travel there, see `spring_curve`."""
    left = axle.in_place_of(helper)
    return spring_curve(left.on_side(-1 if right else 1), helper.law, left)


def lengths(axle: Axle, travel: Any) -> Lengths:
    """Spring length [m], motion ratio and its slope against wheel travel [m]; `check_travel` says whether they can be."""
    return axle.spring.acts.lengths(
        travel, axle.spring.installed_length or 0.0
    )  # where points say how long, it is not looked at


def both_sides(axle: Axle) -> tuple[Axle, ...]:
    """The axle as each of its sides has it: one alone where they are alike."""
    right = axle.on_side(-1)
    return (axle,) if right is axle else (axle.on_side(1), right)


def mean_ratio(axle: Axle) -> float:
    """Motion ratio of the springs in the design position, of both sides in the mean."""
    each = [float(lengths(side, 0.0).ratio) for side in both_sides(axle)]
    return sum(each) / len(each)


def check_travel(axle: Axle) -> None:
    """Refuse a mount that cannot follow the wheel over its whole travel, or that turns back in it."""
    for i, helper in enumerate(axle.helpers):
        try:
            check_travel(axle.in_place_of(helper))
        except FieldFault as fault:
            raise FieldFault(("helpers", i, *fault.path[1:]), fault.message) from None
    droop, bump = axle.travel.droop, axle.travel.bump + axle.travel.stop_compression
    _check_damper(axle, droop, bump)
    length, ratio, _ = lengths(axle, np.linspace(-droop, bump, 33))
    for at, end, what in ((-1, bump, "bump"), (0, droop, "droop")):
        # of a mount that does not say how long the spring is, lengths count from nought in the design position
        if not np.isfinite(length[at]) or (axle.spring.rest_length > LEAST_LENGTH and length[at] <= 0):
            raise FieldFault(
                ("spring", "acts"),
                f"the spring's mount cannot follow the wheel to {show(end, 'length')} of {what}{_lock(axle)}; check its lengths or shorten travel",
            )
    if np.any(ratio <= 0):
        raise FieldFault(
            ("spring", "acts"),
            "somewhere in the travel the spring gets longer as the wheel rises; check the lean and the arm lengths",
        )


def _lock(axle: Axle) -> str:
    """What stops the links, in words."""
    locks = "" if axle.links is None else axle.links.reach().locks
    return f" ({locks})" if locks else ""


def _check_damper(axle: Axle, droop: float, bump: float) -> None:
    """Refuse a damper that is too short or too long for the travel."""
    mount = axle.damper
    if mount is None:
        return
    longest, shortest = (float(one) for one in mount.acts.lengths(np.array([-droop, bump]), mount.length or 0.0).length)
    for length, end, what in ((longest, droop, "droop"), (shortest, bump, "bump")):
        if not np.isfinite(length):
            raise FieldFault(
                ("damper", "acts"),
                f"the damper's mount cannot follow the wheel to {show(end, 'length')} of {what}{_lock(axle)}; check its points or rows, or shorten travel",
            )
    for field, asked, limit, over, what, mend in (
        ("extended_length", longest, mount.extended_length, 1, "full droop", "longer"),
        ("compressed_length", shortest, mount.compressed_length, -1, "full bump", "shorter"),
    ):
        if limit is not None and over * (asked - limit) > 1e-6:
            raise FieldFault(
                ("damper", field),
                f"at {what} the damper must be {show(asked, 'length')} long, and its {field.replace('_', ' ')} is {show(limit, 'length')}: it would become the stop. Take a {mend} one, move a mount or shorten the travel",
            )


# Stops and damper knees where the builder gave none: common practice, no source, said on every sheet that uses them.
STOP_FACTOR, DROOP_FACTOR, DROOP_DEPTH, LEAST_DEPTH = 3.0, 1.0, 0.010, 0.010


def bump_stop(axle: Axle, sprung_load: float) -> Stop:
    """The bump stop: as given, or three times the sprung load [N] at its full compression, an estimate."""
    return axle.bump_stop or _stop(max(axle.travel.stop_compression, LEAST_DEPTH), STOP_FACTOR * sprung_load)


def droop_stop(axle: Axle, sprung_load: float) -> Stop:
    """The droop stop or strap: as given, or the sprung load [N] at 10 mm, an estimate."""
    return axle.droop_stop or _stop(DROOP_DEPTH, DROOP_FACTOR * sprung_load)


def _stop(depth: float, force: float) -> Stop:
    return Stop.model_construct(depth=depth, full_force=force)


def stop_curve(stop: Stop, contact: float) -> ForceCurve:
    """Force of a stop against travel: none before `contact`, its own law after it, straight past its reach [N, N/m, m]."""
    step = stop.reach / (KNOTS - 2)
    x = np.maximum(np.arange(-1, KNOTS - 1), 0) * step  # one knot before contact keeps the curve at nothing there
    force, rate = stop.law(x)
    return ForceCurve(contact - step, step, force, rate)


def mirrored_curve(curve: ForceCurve) -> ForceCurve:
    """The same stop met in the other direction."""
    last = curve.start + curve.step * (len(curve.force) - 1)
    return ForceCurve(-last, curve.step, -curve.force[::-1], curve.rate[::-1])


def straight(rate: float) -> ForceCurve:
    """A rate [N/m] that is the same everywhere, with no force at zero travel."""
    span = np.linspace(-1.0, 1.0, KNOTS)
    return ForceCurve(-1.0, float(span[1] - span[0]), rate * span, np.full(KNOTS, rate))
