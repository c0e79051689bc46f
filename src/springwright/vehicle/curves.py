"""What acts on a wheel against its travel: springs, stops and damper gas, as curves at the wheel, and whether they can follow it."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault
from springwright.linkage.mounts import Lengths, Twisted
from springwright.parts.law import Law, Pull
from springwright.parts.stop import Stop
from springwright.units import show
from springwright.vehicle.axle import Axle

Floats = NDArray[np.float64]
KNOTS = 97
MARGIN = 0.25  # how far past full bump and full droop the curves are worked out, as a share of the travel


class Curve(NamedTuple):
    """A force against travel at evenly spaced knots."""

    start: float
    step: float
    force: Floats
    rate: Floats


def spring_curve(axle: Axle, law: Law, left: Axle | None = None) -> Curve:
    """Force and rate at the wheel end of one side's springs against travel there; no force once a spring that cannot pull is slack.

    `law` is told of the left side's spring; where `axle` is the right side with points of its own, `left` is that side.
    """
    left = left or axle
    travel = axle.travel
    high = (1 + MARGIN) * (travel.bump + travel.stop_compression)
    low = -(1 + MARGIN) * travel.droop
    while (
        not law.pulls and low > -10 * travel.droop and float(pull(axle, left, law, low).force) > 0
    ):  # so that beyond the last knot a slack coil stays slack and never pulls
        low *= 1.2
    x = np.linspace(low, high, KNOTS)
    reached = x[np.isfinite(lengths(axle, x).length)]
    x = np.linspace(float(reached[0]), float(reached[-1]), KNOTS)
    _, ratio, slope = lengths(axle, x)
    force, tangent = pull(axle, left, law, x)
    pressed = law.pulls | (force > 0)
    force = np.where(pressed, force, 0.0)
    rate = np.where(pressed, tangent * ratio**2 + force * slope, 0.0)
    return Curve(float(x[0]), float(x[1] - x[0]), axle.spring.per_wheel * force * ratio, axle.spring.per_wheel * rate)


def pull(axle: Axle, left: Axle, law: Law, travel: Any) -> Pull:
    """Force and tangent rate in the spring of one side at a travel, counted on past slack; nan out of reach.

    The same spring stands on both sides: a coil at its own length, a torsion bar by its torque on its own arm.
    """
    length = lengths(axle, travel).length
    mine, told = axle.spring.acts, left.spring.acts
    arms = told.lever_arm / mine.lever_arm if isinstance(mine, Twisted) and isinstance(told, Twisted) else 1.0
    force, rate = law.at(arms * (left.spring.rest_length - length))
    return Pull(force * arms, rate * arms**2)


def gas_curve(axle: Axle) -> Curve:
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
    return Curve(float(x[0]), float(x[1] - x[0]), push * ratio, rate * ratio**2 + push * slope)


def lengths(axle: Axle, travel: Any) -> Lengths:
    """Spring length [m], motion ratio and its slope against wheel travel [m]; `check_travel` says whether they can be."""
    return axle.spring.acts.lengths(travel, axle.spring.rest_length)


def check_travel(axle: Axle) -> None:
    """Refuse a mount that cannot follow the wheel over its whole travel, or that turns back in it."""
    droop, bump = axle.travel.droop, axle.travel.bump + axle.travel.stop_compression
    _check_damper(axle, droop, bump)
    length, ratio, _ = lengths(axle, np.linspace(-droop, bump, 33))
    for at, end, what in ((-1, bump, "bump"), (0, droop, "droop")):
        if not np.isfinite(length[at]) or (axle.spring.rest_length and length[at] <= 0):
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
        ("open_length", longest, mount.open_length, 1, "full droop", "longer"),
        ("closed_length", shortest, mount.closed_length, -1, "full bump", "shorter"),
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


def stop_curve(stop: Stop, contact: float) -> Curve:
    """Force of a stop against travel: none before `contact`, its own law after it, straight past its reach."""
    step = stop.reach / (KNOTS - 2)
    x = np.maximum(np.arange(-1, KNOTS - 1), 0) * step  # one knot before contact keeps the curve at nothing there
    force, rate = stop.law(x)
    return Curve(contact - step, step, force, rate)


def mirrored_curve(curve: Curve) -> Curve:
    """The same stop met in the other direction."""
    last = curve.start + curve.step * (len(curve.force) - 1)
    return Curve(-last, curve.step, -curve.force[::-1], curve.rate[::-1])


def straight(rate: float) -> Curve:
    """A rate [N/m] that is the same everywhere, with no force at zero travel."""
    span = np.linspace(-1.0, 1.0, KNOTS)
    return Curve(-1.0, float(span[1] - span[0]), rate * span, np.full(KNOTS, rate))
