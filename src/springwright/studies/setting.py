"""What a study of a design is held to: the figures it looks at with their limits, on the ground and in the states that govern today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from springwright.errors import FieldFault
from springwright.questions.answer import Figure
from springwright.questions.prove import ask_briefly, make_ready
from springwright.questions.ride import total
from springwright.questions.road_runs import Runs
from springwright.results import Result
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import catalogue_of
from springwright.studies.chunks import SweepSpec, spec_of
from springwright.studies.decisions import Decision, decisions_of, usual_texts
from springwright.studies.evaluator import Evaluator, evaluator
from springwright.studies.figures import ASKED, DEAR, can_ask, limit_field, limit_of
from springwright.units import show, told
from springwright.vehicle.design import Design
from springwright.vehicle.file import DesignFile

USUAL = ("weighted_acceleration", "roll_gradient", "load_variation")  # sought where the design names none
PRICE = "price"


@dataclass(frozen=True)
class Sought(Result):
    """A figure that the search betters, or holds to a limit; `held` where today's value stands in for a limit missed today [SI by `unit`]."""

    id: str
    words: str
    unit: str
    kind: str
    sense: str
    limit: float | None = None
    held: bool = False
    sought: bool = False
    stands_in: bool = False
    today: float | None = None


class StudySetting(NamedTuple):
    """What a search works on."""

    able: Evaluator
    decisions: tuple[Decision, ...]
    figures: tuple[Sought, ...]
    scale: float  # of the short drive's acceleration, that makes it today's long one
    notes: tuple[str, ...]


def search_setting(file: DesignFile, seed: int) -> StudySetting:
    """What is searched, checked before any work."""
    try:
        decisions = search_decisions(file)
        if not decisions:
            raise FieldFault(("trade", "vary"), 'nothing of this design varies of itself; name fields and their ranges, such as "axles.front.travel.bump = 80..120 mm"')  # fmt: skip
        seek = _sought(file.design, decisions)
    except FieldFault as fault:
        raise file.fault(fault) from None
    return setting_of(file, decisions, seed, sought=seek)


def spec_in(file: DesignFile, setting: StudySetting, seed: int) -> SweepSpec:
    """What another process is told, so that it evaluates as this one does."""
    able, texts = setting.able, file.design.trade.vary
    if not setting.decisions:
        texts = ()
    elif not texts:
        texts = usual_texts(file.design, sized(file), catalogue_of(file))
    states = tuple(able.ready.states[s].name for s in able.driven)
    return spec_of(file, texts, able.asked, seed, able.road.duration, able.road.name, states)


def setting_of(file: DesignFile, decisions: Sequence[Decision], seed: int, *, sought: Sequence[str]) -> StudySetting:
    """An evaluator of a design's limits and of what is sought, on the ground and in the states that govern its ride today.

    Raises
    ------
    InputError
        The design sets no limits.

    """
    design = file.design
    if not design.limits.model_fields_set:
        raise file.fault(FieldFault(("limits",), "no limit is set, so that every design would do; give at least one under [limits], such as roll_gradient"))  # fmt: skip
    ready = make_ready(file, seed)
    ride = next(one for one in _ride(file, seed) if one.id == "weighted_acceleration")
    ground = ride.ground if any(one.name == ride.ground and one.rough for one in ready.stretches) else ""
    states = {ready.home.name, ride.state or ready.home.name}
    limited = [one for one in ASKED if _limited(design, one) and not can_ask(design, one) and (one not in DEAR or one in sought)]  # fmt: skip
    asked = [one for one in dict.fromkeys((*sought, *limited)) if one != PRICE]
    able = evaluator(file, decisions, asked, seed=seed, ground=ground, states=sorted(states))
    scale = _scaled(able)
    here = able.of([able.variants.as_sized()]).figures[0]
    figures, notes = [], []
    for ident, value in zip(asked, here.tolist(), strict=True):
        value *= scale if ident == "weighted_acceleration" else 1.0
        one, said = _held_to(file, seed, ident, value)
        figures.append(replace(one, sought=ident in sought))
        notes += said
    if PRICE in sought:
        figures.append(
            Sought(PRICE, f"price of the springs chosen{_currency(file)}", "", "count", "at most", sought=True)
        )
    if any(one.stands_in for one in figures):
        notes.append(f"rides are driven for {able.road.duration:g} s on {able.road.name} in {' and '.join(ready.states[s].name for s in able.driven)}; weighted acceleration is told as it compares with prove's today, {scale:.3f} times that of the short drive")  # fmt: skip
    looked = {limit_field(k) for k in asked} | {
        "wheel_load_kept" if "load_variation" in asked else "",
        "preload_at_droop",
    }
    left = [one.replace("_", " ") for one in sorted(design.limits.model_fields_set) if one not in looked]
    if left:
        notes.append(f"limits that only prove looks at: {', '.join(left)}")
    figures.sort(key=lambda one: (not one.sought, list(sought).index(one.id) if one.sought else 0))
    return StudySetting(able, tuple(decisions), tuple(figures), scale, tuple(notes))


def _held_to(file: DesignFile, seed: int, ident: str, value: float) -> tuple[Sought, list[str]]:
    """A figure with the limit it is held to, today's value where that misses it, and what is to be said of that [SI]."""
    design, one = file.design, ASKED[ident]
    limit, held, notes = limit_of(design, ident), False, []
    if ident == "load_variation" and design.limits.wheel_load_kept is not None:
        limit = _variation(file, seed, design.limits.wheel_load_kept, value)
        notes.append(f"wheel load kept is held through the variation of load that goes with it today, at most {show(limit, 'share')}")  # fmt: skip
    if limit is not None and ((value > limit) if one.sense == "at most" else (value < limit)):
        notes.append(f"{one.words} misses its limit today, {told(value, one.kind)} against {told(limit, one.kind)}: it is held no worse than it is")  # fmt: skip
        limit, held = value, True
    return Sought(
        ident, one.words, one.unit, one.kind, one.sense, limit, held, stands_in=one.stands_in, today=value
    ), notes


def search_decisions(file: DesignFile) -> tuple[Decision, ...]:
    """What a search of a design varies."""
    return decisions_of(file.design.trade.vary, file.design, sized(file), catalogue_of(file), ("trade", "vary"))


def _limited(design: Design, ident: str) -> bool:
    """Whether a design sets a limit for a figure; that of the wheel load kept is one of its variation."""
    return limit_of(design, ident) is not None or (
        ident == "load_variation" and design.limits.wheel_load_kept is not None
    )


def _ride(file: DesignFile, seed: int) -> tuple[Figure, ...]:
    """Figures of the ride as the design stands."""
    return ask_briefly(file, ["ride"], seed)[0].figures


def _sought(design: Design, decisions: Sequence[Decision]) -> tuple[str, ...]:
    """Ids of the figures that are bettered."""
    seek = design.trade.seek
    if not seek:
        found = [one for one in USUAL if not can_ask(design, one)]
        priced = [one for one in decisions if one.choices]
        if priced and all(choice.price is not None for one in priced for choice in one.choices):
            found.append(PRICE)
        return tuple(found)
    for i, one in enumerate(seek):
        if one != PRICE and (one not in ASKED or (why := can_ask(design, one))):
            reason = f"it cannot be asked: {why}" if one in ASKED else f"no such figure; there are {', '.join((*ASKED, PRICE))}"  # fmt: skip
            raise FieldFault(("trade", "seek", i), reason)
        if one == PRICE and not any(decision.choices for decision in decisions):
            raise FieldFault(("trade", "seek", i), "no part is chosen, so that every design costs the same; vary a spring.part")  # fmt: skip
    if len(dict.fromkeys(seek)) < 2:
        raise FieldFault(("trade", "seek"), f"names one figure, {seek[0]}; a trade is between two or more")
    return tuple(dict.fromkeys(seek))


def _scaled(able: Evaluator) -> float:
    """The long drive's weighted acceleration over the short one's, of the design as it stands [-]."""
    short = replace(able, asked=("weighted_acceleration",)).of([able.variants.as_sized()]).figures[0, 0]
    names = {able.ready.states[s].name for s in able.driven}
    narrowed = able.ready.narrowed(names, {able.road.name})
    runs = [one for one in Runs(narrowed).told if one.run is not None and one.speed == able.road.speed]
    long = max((total(point) for one in runs for point in one.run.points), default=0.0)  # type: ignore[union-attr]
    return float(long / short) if long and np.isfinite(short) and short > 0 else 1.0


def _variation(file: DesignFile, seed: int, kept: float, varied: float) -> float:
    """The variation of wheel load at which the share kept comes to its limit, as both lie today [-]."""
    figures = ask_briefly(file, ["grip"], seed)[0].figures
    now = next((one.value for one in figures if one.id == "wheel_load_kept"), None)
    return varied * (1 - kept) / (1 - now) if now is not None and now < 1 else varied


def _currency(file: DesignFile) -> str:
    currency = catalogue_of(file).currency
    return f", {currency}" if currency else ""


def scale_of(one: Sought) -> float:
    """What a limit missed by is measured in [SI]: the limit, of one of nothing what it is today."""
    return abs(one.limit or 0.0) or abs(one.today or 0.0) or 1.0
