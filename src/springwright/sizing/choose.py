"""Rank a catalogue of springs against what an axle needs, and say why each one left out is left out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from springwright.parts.catalogue import Catalogue, CatalogueSpring
from springwright.parts.law import Law, SpringNeed
from springwright.parts.plain_coil import law_in
from springwright.results import Result, si
from springwright.sizing.rates import AtRest, at_rest, frequencies_of, sprung_mass
from springwright.units import remembered_as_shown, show, show_some
from springwright.vehicle.axle import Axle
from springwright.vehicle.known import known

SPACER_STEP = 1e-3
NEAREST = 2000  # springs of a large catalogue that are judged one by one


class Band(NamedTuple):
    """Ride frequencies [Hz] that every requirement allows, on springs alone and sprung mass."""

    softest: float
    stiffest: float


@dataclass(frozen=True)
class Candidate(Result):
    """One catalogue spring on one axle. `reasons` is empty for a spring that would do."""

    spring: CatalogueSpring
    rank: int | None
    frequency: float | None = si("Hz")
    off_target: float | None = si("")
    spacer: float = si("m", 0.0)
    height_error: float = si("m", 0.0)
    ride_force: float = si("N", 0.0)
    bump_force: float = si("N", 0.0)
    clearance_at_bump: float = si("m", 0.0)
    pressed_at_droop: float = si("m", 0.0)
    axle_price: float | None = None
    reasons: tuple[str, ...] = ()
    remark: str = ""


def rank(
    axle: Axle,
    axle_load: float,
    need: SpringNeed,
    wanted: float,
    springs: Catalogue,
    band: Band | None,
) -> tuple[Candidate, ...]:
    """Every spring, those that would do first: nearest in frequency and height, each as a share of its tolerance.

    Of a catalogue of more than `NEAREST` springs, the nearest so many and the one the axle names.

    Parameters
    ----------
    axle_load : float
        Design load on the axle [kg].
    wanted : float
        Frequency wanted, on springs alone and sprung mass [Hz].
    band : Band, optional
        The axle's window; frequencies outside it are left out.

    """
    frequency_tolerance, height_tolerance = _tolerances(axle)
    if len(springs) > NEAREST:
        springs = _nearest(axle, axle_load, need, wanted, springs)
    place = known(axle.model_copy(update={"target": None}))
    fitted = _fitted(place, axle_load, replace(need, rate=0.0), height_tolerance, springs)
    judged = [_aimed(one, rides, wanted, frequency_tolerance, band) for one, rides in fitted]
    good = sorted(
        (one for one in judged if not one.reasons),
        key=lambda one: (_merit(axle, one), one.axle_price or 0.0, one.spring.part),
    )
    bad = sorted(
        (one for one in judged if one.reasons),
        key=lambda one: (len(one.reasons), abs(one.off_target or 9.0), one.spring.part),
    )
    return tuple(replace(one, rank=i + 1) for i, one in enumerate(good)) + tuple(bad)


def fitted_law(axle: Axle, free_length: float, rate: float, spacer: float, solid: float | None) -> Law:
    """The law of a real spring in its place: its force at its installed length, and where it goes solid if its solid length is known [m]."""
    return law_in(axle.spring.rest_length, free_length, rate, spacer, solid)


def _nearest(axle: Axle, axle_load: float, need: SpringNeed, wanted: float, springs: Catalogue) -> Catalogue:
    """Those of a large catalogue that come nearest in frequency and height, all looked at together."""
    frequency_tolerance, height_tolerance = _tolerances(axle)
    _, ratio, slope = at_rest(axle)
    rate, free = springs.figures["rate"], springs.figures["free_length"]
    sits_short = need.ride_length - (free - need.ride_force / rate)
    spacer = np.clip(np.round(sits_short / SPACER_STEP) * SPACER_STEP, 0.0, axle.spring.largest_spacer)
    at_wheel = rate * ratio**2 + need.ride_force * slope
    whole = axle.spring.per_wheel * at_wheel + axle.beside.heave
    with np.errstate(invalid="ignore", divide="ignore"):
        off = np.sqrt(whole / sprung_mass(axle, axle_load)) / (2 * np.pi) / wanted - 1
        height = (sits_short - spacer) * rate * ratio / at_wheel
        merit = (off / frequency_tolerance) ** 2 + (height / height_tolerance) ** 2
    order = np.argsort(np.where(np.isfinite(merit), merit, np.inf), kind="stable")[:NEAREST]
    named = (
        []
        if axle.spring.part is None
        else [i for i, part in enumerate(springs.texts["part"]) if part == axle.spring.part]
    )
    return springs.picked(sorted({*order.tolist(), *named}))


def _merit(axle: Axle, one: Candidate) -> float:
    """Distance from what is wanted: frequency and height errors as shares of their tolerances, squared and added."""
    frequency_tolerance, height_tolerance = _tolerances(axle)
    return ((one.off_target or 0.0) / frequency_tolerance) ** 2 + (one.height_error / height_tolerance) ** 2


def _tolerances(axle: Axle) -> tuple[float, float]:
    if axle.target is None:
        return 0.06, 0.010
    return axle.target.tolerance or 1e-9, axle.target.height_tolerance or 1e-9


@remembered_as_shown(16)
def _fitted(
    axle: Axle, axle_load: float, need: SpringNeed, height_tolerance: float, springs: Catalogue
) -> list[tuple[Candidate, str]]:
    """Every spring in its place, whatever is aimed at there, and the words for how it rides."""
    still, rides = at_rest(axle), frequencies_of(axle, axle_load)
    fits = [_fits(axle, still, rides, need, height_tolerance, spring) for spring in springs]
    return [(one, "" if one.frequency is None else f"rides at {show(one.frequency, 'frequency')}") for one in fits]


def _aimed(one: Candidate, rides: str, aim: float, tolerance: float, band: Band | None) -> Candidate:
    """A spring in its place held against the frequency aimed at and the window."""
    if one.frequency is None:  # its reasons say why
        return one
    off, reasons = one.frequency / aim - 1, one.reasons
    if abs(off) > tolerance:
        reasons = (f"{rides}, {abs(off):.0%} too {'stiff' if off > 0 else 'soft'}", *reasons)
    elif band and not band.softest <= one.frequency <= band.stiffest:
        reasons = (f"{rides}, outside the window", *reasons)
    return replace(one, off_target=off, reasons=reasons)


def _fits(
    axle: Axle,
    still: AtRest,
    rides: Callable[[float, float], float],
    need: SpringNeed,
    height_tolerance: float,
    spring: CatalogueSpring,
) -> Candidate:
    _, ratio, slope = still
    sits_short = need.ride_length - (spring.free_length - need.ride_force / spring.rate)
    spacer = min(max(round(sits_short / SPACER_STEP) * SPACER_STEP, 0.0), axle.spring.largest_spacer)
    rate = spring.rate * ratio**2 + need.ride_force * slope  # at the wheel, the geometric term with it
    height_error = -(sits_short - spacer) * spring.rate * ratio / rate if rate > 0 else 0.0
    force = spring.rate * (spring.free_length + spacer - need.ride_length)
    reasons = list(spring.doubts)
    frequency = None
    if force <= 0:
        reasons.append(f"too short: unseated at ride height even with {show(spacer, 'length')} of spacer")
    elif rate <= 0:
        reasons.append("gives no wheel rate here: the change of motion ratio takes more than it brings")
    else:
        frequency = rides(spring.rate, need.ride_force)
    if abs(height_error) > height_tolerance:
        reasons.append(
            f"stands {show(abs(height_error), 'length')} too {'low' if height_error < 0 else 'high'}"
            + ("" if height_error > 0 else f" with {show(spacer, 'length')} of spacer")
        )
    bump_length, droop_length = need.bump_length - spacer, need.droop_length - spacer
    clearance = bump_length - spring.solid_length
    bump_force = spring.rate * (spring.free_length - bump_length)
    gaps, stop_gaps = spring.gaps
    at_stop = need.stop_length - spacer - spring.solid_length
    for place, clear, wanted in (("full bump", clearance, gaps), ("the stop", at_stop, stop_gaps)):
        if clear < 0:
            reasons.append(f"coil bind {show_some(-clear, 'length')} short of {place}")
            break
        if clear < wanted:
            reasons.append(f"only {show(clear, 'length')} clear of solid at {place}, {show(wanted, 'length')} wanted")
            break
    pressed = spring.free_length - droop_length
    if need.loaded_at_droop and pressed < 0:
        reasons.append(f"unseats by {show_some(-pressed, 'length')} at full droop")
    if need.largest_outside is not None and spring.outside_diameter > need.largest_outside:
        reasons.append(
            f"outside diameter {show(spring.outside_diameter, 'length')} for a space of {show(need.largest_outside, 'length')}"
            + (" taken from tyre and frame" if need.room_taken else "")
        )
    if need.smallest_inside is not None and spring.bore is not None and spring.bore < need.smallest_inside:
        reasons.append(f"inside diameter {show(spring.bore, 'length')}, {show(need.smallest_inside, 'length')} wanted")
    if spring.largest_load is not None and bump_force > spring.largest_load:
        reasons.append(f"{show(bump_force, 'force')} at full bump, rated to {show(spring.largest_load, 'force')}")
    per_axle = axle.wheels * axle.spring.per_wheel
    price = None if spring.price is None else spring.price * (per_axle / 2 if spring.pairing == "pair" else per_axle)
    unknown = [
        text
        for text, lacking in (
            ("gaps between coils", bool(np.isnan(gaps))),
            ("inside diameter", need.smallest_inside is not None and spring.bore is None),
            ("rated load", spring.largest_load is None),
        )
        if lacking
    ]
    return Candidate(
        spring, None, frequency, None, spacer, height_error, force, bump_force, clearance, pressed, price, tuple(reasons),
        f"not known: {', '.join(unknown)}" if unknown else "",
    )  # fmt: skip
