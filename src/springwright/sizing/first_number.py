"""A first number from five things: mass, wheels, a frequency and a lever; or any one of frequency, wheel rate, spring rate and static deflection from the others.

The mass is what rides on the springs, shared alike by all wheels unless a share on the front is given; the tyre is left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from springwright.errors import Fault, InputError
from springwright.formula import Working
from springwright.linkage import rates as through
from springwright.reference.shelf import ShelfRow, topic
from springwright.results import Result, si
from springwright.sizing import frequency as ride
from springwright.units import GRAVITY, show

UNSPRUNG = 0.15  # share of the whole mass that does not ride on the springs: common practice, no source, 10 to 25 %
PLACED: tuple[ShelfRow, ...] = topic("ride-frequency").rows[:3]  # wheeled off-road vehicles, soft to stiff


@dataclass(frozen=True)
class FirstRate(Result):
    """One axle's first number: what a wheel carries, how it rides, and the rates that give it; `place` is "all", "front" or "rear"."""

    place: str
    wheels: int
    mass: float = si("kg")
    frequency: float = si("Hz")
    wheel_rate: float = si("N/m")
    spring_rate: float = si("N/m")
    ratio: float = si("")
    static_deflection: float = si("m")
    spring_force: float = si("N")
    workings: tuple[Working, ...] = ()


@dataclass(frozen=True)
class FirstNumber(Result):
    """A first number: what was given, of all wheels or front and rear, what kinds of vehicle ride so, and what was assumed.

    `mass` is what rides on the springs; `total`: the whole vehicle's was given, and the share `unsprung` of it taken off.
    """

    mass: float = si("kg")
    wheels: int = 4
    given: str = ""
    rates: tuple[FirstRate, ...] = ()
    rides: str = ""
    assumed: tuple[str, ...] = ()
    total: bool = False
    unsprung: float = si("", UNSPRUNG)


def rate(  # noqa: PLR0913 the few things that are asked, by name
    mass: float,
    *,
    wheels: int = 4,
    frequency: float | None = None,
    wheel_rate: float | None = None,
    spring_rate: float | None = None,
    sag: float | None = None,
    ratio: float = 1.0,
    front: float | None = None,
    total: bool = False,
    unsprung: float = UNSPRUNG,
) -> FirstNumber:
    """Work out the others of frequency, wheel rate, spring rate and sag from one of them.

    Parameters
    ----------
    mass : float
        On the springs [kg]; with `total` the whole vehicle's, of which the share `unsprung` rides on none.
    wheels : int
    frequency, wheel_rate, spring_rate, sag : float
        One of them: ride frequency on the springs [Hz], wheel rate and spring rate [N/m], how far it sinks under its own weight [m].
    ratio : float
        Motion ratio: how far the spring stands from the pivot over how far the wheel does.
    front : float, optional
        Share of the mass on the wheels of the front axle; every wheel carries the same where it is left out.

    Raises
    ------
    InputError
        None or more than one of them is given, or something that cannot be.

    """
    given = {"frequency": frequency, "wheel_rate": wheel_rate, "spring_rate": spring_rate, "sag": sag}
    named = [name for name, value in given.items() if value is not None]
    if len(named) != 1:
        said = " and ".join(one.replace("_", " ") for one in named) or "none"
        raise InputError(
            "rate", [Fault("", said, "give just one of frequency, wheel rate, spring rate and sag; the others follow")]
        )
    for name, value in {"mass": mass, "ratio": ratio, **{one: given[one] for one in named}}.items():
        if value is None or not math.isfinite(value) or value <= 0:
            raise InputError("rate", [Fault(name.replace("_", " "), f"{value}", "must be more than 0")])
    if wheels < 1:
        raise InputError("rate", [Fault("wheels", str(wheels), "must be 1 or more")])
    if front is not None and (not 0 < front < 1 or wheels < 2):
        raise InputError(
            "rate", [Fault("share on the front", f"{front}", "must lie between 0 and 100 %, of two wheels or more")]
        )
    if not 0 <= unsprung < 1:
        raise InputError("rate", [Fault("unsprung share", f"{unsprung}", "must lie between 0 and 100 %")])
    carried = mass * (1 - unsprung) if total else mass
    first = 2 if wheels % 2 == 0 and wheels > 2 else 1
    places = (
        [("all", wheels, carried)]
        if front is None
        else [("front", first, front * carried), ("rear", wheels - first, (1 - front) * carried)]
    )
    rates = tuple(
        _rate(name, count, share / count, named[0], float(given[named[0]] or 0.0), ratio)
        for name, count, share in places
    )
    rides, assumed = _rides(rates[-1].frequency), _assumed(front, total, unsprung)
    return FirstNumber(carried, wheels, named[0], rates, rides, assumed, total, unsprung)


@dataclass(frozen=True)
class Assumed(Result):
    """Something that a first number takes for granted: how it is here, what if it were otherwise, and the spring rate then [N/m]."""

    what: str
    here: str
    instead: str
    spring_rate: float = si("N/m")
    change: float = si("")


def sinks_at(frequency: float, times: float = 1.0) -> float:
    """How far a wheel sinks [m] under so many times its own load at a ride frequency [Hz], whatever its mass."""
    return float(ride.static_deflection(times * GRAVITY, ride.rate_for_frequency(frequency, 1.0)))


MORE, LEANING, FORWARD = 0.2, 15.0, 0.55  # share more aboard; degrees; share on the front axle: for comparison alone


def taken_for_granted(found: FirstNumber) -> tuple[Assumed, ...]:
    """What a first number leaves out, each with what it would make of the spring at the same frequency; what moves it most first: measure that first."""
    one = found.rates[-1]
    tyre = topic("tyre-rate").row("light truck or light off-road vehicle")
    tyre_rate = (tyre.low + tyre.high) / 2
    cases = [("load", "as heavy as stated", f"{MORE:.0%} more aboard, the same frequency", 1 + MORE)]
    if one.wheel_rate < tyre_rate:
        cases.append(
            (
                "tyre",
                "left out",
                f"the frequency is meant with a tyre of {show(tyre_rate, 'rate', 0)} in series",
                tyre_rate / (tyre_rate - one.wheel_rate),
            )
        )
    if not found.total:
        cases.append(
            (
                "wheels' own mass",
                "not in it",
                f"it is: {found.unsprung:.0%} of it rides on no spring",
                1 - found.unsprung,
            )
        )
    if len(found.rates) == 1 and found.wheels > 2:
        cases.append(
            (
                "balance",
                "the same on every wheel",
                f"{FORWARD:.0%} on the front axle: its springs",
                FORWARD * found.wheels / (2 if found.wheels > 3 else 1),
            )
        )
    cases.append(
        (
            "lean of the spring",
            "square to its lever",
            f"{LEANING:.0f}° from that",
            math.cos(math.radians(LEANING)) ** -2,
        )
    )
    made = [Assumed(what, here, instead, one.spring_rate * times, times - 1) for what, here, instead, times in cases]
    return tuple(sorted(made, key=lambda each: -abs(each.change)))


def _rate(place: str, wheels: int, mass: float, given: str, value: float, ratio: float) -> FirstRate:
    load, works = GRAVITY * mass, []
    if given == "frequency":
        works.append(ride.rate_for_frequency.work(place, frequency=value, mass=mass))
        at_wheel = works[-1].value
    elif given == "spring_rate":
        works.append(through.wheel_rate.work(place, rate=value, ratio=ratio, force=load / ratio, slope=0.0))
        at_wheel = works[-1].value
    else:
        at_wheel = load / value if given == "sag" else value
    if given != "frequency":
        works.append(ride.frequency_of_rate.work(place, rate=at_wheel, mass=mass))
    if given != "spring_rate":
        works.append(through.spring_rate.work(place, wheel_rate=at_wheel, force=load / ratio, slope=0.0, ratio=ratio))
    works.append(ride.static_deflection.work(place, load=load, rate=at_wheel))
    return FirstRate(
        place, wheels, mass, float(ride.frequency_of_rate(at_wheel, mass)), at_wheel, at_wheel / ratio**2, ratio, load / at_wheel, load / ratio, tuple(works)
    )  # fmt: skip


def _rides(frequency: float) -> str:
    """What kind of vehicle rides so, in words."""
    row = next((one for one in PLACED if one.low <= frequency <= one.high), None)
    if row is not None:
        return f"usual for a {row.what}"
    return (
        "softer than off-road vehicles are"
        if frequency < PLACED[0].low
        else "stiffer than off-road vehicles mostly are"
    )


def _assumed(front: float | None, total: bool, unsprung: float) -> tuple[str, ...]:
    said = [
        "the tyre is left out: with it a wheel rides a little slower",
        "the motion ratio stays what it is along the travel, the spring upright on its lever",
    ]
    if front is None:
        said.append("every wheel carries the same")
    said.append(
        f"of the whole mass {100 * unsprung:.0f} % rides on no spring"
        if total
        else "the mass is what rides on the springs: wheels, axles and half their links are not in it"
    )
    return tuple(said)
