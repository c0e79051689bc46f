"""Do springs, dampers and stops survive the work? Stress at lengths, life by counted cycles of the duty cycle, heat and stop energy."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.formula import Working, formula
from springwright.motion.figures import DAMPER
from springwright.parts.coil_check import CoilCheck
from springwright.parts.fatigue import LONG, SHORT_SHARE, Wound, cycles, damage, reversed_stress
from springwright.parts.plain_coil import PlainCoil
from springwright.parts.wire import wire
from springwright.questions.answer import (
    YOURS,
    Answer,
    Curve,
    Curves,
    Fact,
    Figure,
    answer,
    bound,
    bounds,
    figure,
)
from springwright.questions.context import ProofContext, StateModel
from springwright.questions.question import Question, View, where_it_governs
from springwright.questions.road_runs import SPEEDS, Runs, ToldRun, dampers_of, spring_forces
from springwright.results import PRACTICE, Judged
from springwright.sizing.bar import bar_stress
from springwright.units import show, show_temperature
from springwright.vehicle.axle import Axle

Floats = NDArray[np.float64]
ASKS = "Durability: do springs, dampers and stops survive the work?"
HOUR = 3600.0
SEALS = "what common seals stand, from memory"
WIRE = "the wire is not known: name the coil's dimensions as axles.spring.coil"
BEYOND = 473.15  # K: no oil stands it
OFTEN, LEAST_OFTEN = 161, 10.0  # places of the picture of how often, and from how often on it is told
# A damper in moving air: film coefficient [W/(m2 K)], air [K], and the tube where its size is not given [m]. Common practice, no source.
FILM, AIR, TUBE, TUBE_LONG = 40.0, 303.15, 0.055, 0.30


def last(ready: ProofContext, runs: Runs, *, brief: bool = False) -> Answer:
    """Answer the question; `brief` leaves out what is told beside the judged figures."""
    figures: list[Figure] = []
    facts: list[Fact] = []
    notes = [
        f"damper temperature: all its power leaves the tube at {FILM:g} W/(m² K) into air of {show_temperature(AIR)}, common practice, no source; a tube of {show(TUBE, 'length')} by {show(TUBE_LONG, 'length')} where axles.damper gives no outside_diameter and body_length"
    ]
    for i, axle in enumerate(ready.design.axles):
        figures += _stresses(ready, i)
        figures += [
            figure(one.measure, one.value, one.sense, one.limit, one.unit, one.kind, one.source, state="every state", why="no limit for its steel", id=one.id, axle=axle.name)
            for one in bar_stress(axle)
        ]  # fmt: skip
        life, more = _life(ready, runs, i, axle)
        figures.append(life)
        facts += more
        heat, warm = _heat(ready, runs, i, axle)
        figures += heat
        facts += [*warm, *_stop_work(ready, runs, i, axle)]
    if not ready.design.duty_cycle:
        notes.append("no [[duty_cycle]]: life is not known until it says hours, ground, speed and load state")
    notes.append(
        "a spring is taken as not shot peened unless axles.spring.peened says so; life by counted cycles scatters by a factor of ten either way; corrosion, chips and a missing bump stop shorten it"
    )
    return answer("last", ASKS, tuple(figures), tuple(facts), () if brief else (*_often(ready, runs), *_warmth(ready, runs)), tuple(notes), () if brief else _workings(ready, runs))  # fmt: skip


def _often(ready: ProofContext, runs: Runs) -> list[Curves]:
    """Reversed shear that harms as a swing does, by how often that much or more comes over the duty cycle, beside what the wire survives so often."""
    lines: list[Curve] = []
    often = np.geomspace(1.0, 1e9, OFTEN)
    most = 1.0
    for i, axle in enumerate(ready.design.axles):
        coil, _ = _wound(ready, i, axle)
        found = [] if coil is None else [_swings(told, i, axle, coil, stint.hours) for stint in ready.design.duty_cycle if (told := runs.of(stint.state, stint.ground, stint.speed)) is not None and told.run is not None]  # fmt: skip
        if coil is None or not found:
            continue
        stress, count = np.concatenate(found, axis=1)
        if not len(stress):  # ground on which no spring moves
            continue
        order = np.argsort(-stress)
        total = np.cumsum(count[order])
        most = max(most, float(total[-1]))
        asked = [None if n > total[-1] else float(stress[order][np.searchsorted(total, n)]) for n in often]
        survived = np.minimum(coil.endurance * (LONG / often) ** (1 / coil.slope), SHORT_SHARE * coil.shear_strength)
        lines += [Curve(f"{axle.name} coil", tuple(asked)), Curve(f"{axle.name} breaks", tuple(survived.tolist()), f"{axle.name} coil")]  # fmt: skip
    if not lines:
        return []
    kept = (often >= LEAST_OFTEN) & (often <= 10 * max(most, LONG))
    lines = [replace(one, values=tuple(y for y, here in zip(one.values, kept, strict=True) if here)) for one in lines]
    return [
        Curves(
            "Stress of the coils by how often", "swings of that size and above", "", "count", tuple(often[kept].tolist()), "reversed shear", "Pa", "stress", tuple(lines),
            note="the duty cycle whole, counted by rainflow; dashed: what the wire survives so often, the line of the lives above; lives scatter by a factor of ten either way",
        )
    ]  # fmt: skip


def _swings(told: ToldRun, index: int, axle: Axle, coil: Wound, hours: float) -> Floats:
    """(2, n): reversed shear of the swings of an axle's worst spring [Pa], and how often each comes in so long a stint [s]."""
    counted = max((cycles(forces) for forces in spring_forces(told, index, axle)), key=lambda one: damage(one, coil))
    stress = reversed_stress(counted[:, 0], counted[:, 1], coil)
    return np.array([np.minimum(stress, SHORT_SHARE * coil.shear_strength), counted[:, 2] * hours / told.lasted])


def _warmth(ready: ProofContext, runs: Runs) -> list[Curves]:
    """Steady temperature of the busiest damper by speed, a line to each ground, and what it may reach."""
    spread, lines = runs.spread, []
    power, friction = (DAMPER.index(name) for name in ("power", "friction_power"))
    for stretch in ready.stretches:
        warmest = np.full(len(SPEEDS), -np.inf)
        for at in ready.states:
            rows = spread.rows(at.name, stretch.name)
            for i, axle in enumerate(ready.design.axles):
                for d, share in zip(*_busy(at, i, axle), strict=True):
                    each = spread.table.dampers[rows][:, d]
                    warm = steady_temperature(AIR, each[:, power] + share * each[:, friction], FILM, _surface(axle))
                    warmest = np.fmax(warmest, warm)
        if np.isfinite(warmest).any():
            lines.append(Curve(stretch.name, tuple(float(one) if np.isfinite(one) else None for one in warmest)))
    if not lines:
        return []
    limit = ready.design.limits.damper_temperature
    return [
        Curves(
            "Damper temperature by speed", "speed", "m/s", "speed", SPEEDS, "steady temperature", "K", "temperature", tuple(lines),
            note="the busiest damper in the load state that works it hardest, kept at that speed until it is as warm as it gets",
            bounds=bounds(bound("y", limit, f"over {show_temperature(limit)}")) if _says_where(ready) else (),
        )
    ]  # fmt: skip


def _busy(at: StateModel, index: int, axle: Axle) -> tuple[list[int], list[float]]:
    """An axle's own dampers, and how much of the dry friction beside each heats it: the axle's own does, that between leaves does not."""
    mine = dampers_of(at, index)
    return mine, [axle.friction / at.rig.friction[d] if at.rig.friction[d] else 0.0 for d in mine]


def _stresses(ready: ProofContext, index: int) -> list[Figure]:
    """Stresses at ride, bump and solid as the parts judge them; as they stand where nothing is known to hold them against."""
    springs = ready.springs[index]
    record, check = springs.record, made_of(ready, index)
    coil = record.coil if record else None
    judged: Iterable[Judged] = ()
    if record is not None and coil is None:
        judged = [
            one
            for one in record.judged
            if one.kind == "stress" or one.id in ("gauge_pressure", "gauge_pressure_at_full_bump")
        ]
    elif check is not None:
        judged = [
            one for one in check.judged if one.kind == "stress" or one.id in ("solid_margin", "fatigue", "endless_life")
        ]
    found = [
        figure(f"{one.measure}, {springs.axle}", one.value, one.sense, one.limit, one.unit, one.kind, one.source, state=one.where or "every state", why="its maker's limit is not given", id=one.id, axle=springs.axle)
        for one in judged
    ]  # fmt: skip
    if check is None and record is not None and coil is not None:
        found += [
            figure(f"shear stress at {point.name}, {springs.axle}", point.stress, "at most", None, "Pa", "stress", "", state="every state", why="the maker's steel is not known: give it as axles.spring.coil", id="shear_stress")
            for point in record.points
            if point.stress is not None and point.name in ("ride", "full bump", "solid")
        ]  # fmt: skip
    if not found:
        found.append(
            figure(
                f"stress, {springs.axle}",
                None,
                "at most",
                None,
                "Pa",
                "stress",
                "",
                why=springs.none_because or WIRE,
                id="stress",
                axle=springs.axle,
            )
        )
    return found  # fmt: skip


def made_of(ready: ProofContext, index: int) -> CoilCheck | None:
    """The coil of an axle as it was checked or designed; None where its wire or steel is not known."""
    part = ready.springs[index].part
    return part.made if isinstance(part, PlainCoil) else None


def _wound(ready: ProofContext, index: int, axle: Axle) -> tuple[Wound | None, str]:
    """What fatigue sees of an axle's coil, and a word on what was taken; None with what is missing."""
    springs, check = ready.springs[index], made_of(ready, index)
    coil = springs.record.coil if springs.record else None
    if springs.record is not None and coil is None:
        return (
            None,
            f"no life line is known for this {springs.record.kind}: agree it with its maker, who has the stresses above",
        )
    if check is not None:
        return Wound(check.wire, check.mean_diameter, check.strength, axle.spring.peened), ""
    if coil is None or coil.wire is None or coil.mean_diameter is None:
        return None, springs.none_because or WIRE
    taken = f"steel taken as {axle.spring.grade}, axles.spring.grade"
    return Wound(
        coil.wire, coil.mean_diameter, float(wire(axle.spring.grade).strength(coil.wire)), axle.spring.peened
    ), taken


def _life(ready: ProofContext, runs: Runs, index: int, axle: Axle) -> tuple[Figure, list[Fact]]:
    """Miner's sum of an axle's worst spring over the duty cycle, and which stint takes most of it."""
    limits, measure = ready.design.limits, f"Miner sum over the duty cycle, {axle.name}"
    source = YOURS if "miner_sum" in limits.model_fields_set else PRACTICE
    coil, word = _wound(ready, index, axle)
    if coil is not None and coil.peened and not coil.counts_peening:
        word = "; ".join(filter(None, (word, "peening not counted: its tests were on stronger wire")))

    def unknown(why: str, *, lost: bool = False) -> tuple[Figure, list[Fact]]:
        return figure(
            measure,
            None,
            "at most",
            limits.miner_sum,
            "",
            "ratio",
            source,
            why=why,
            lost=lost,
            id="miner_sum",
            axle=axle.name,
        ), []

    if coil is None:
        return unknown(word)
    if not ready.design.duty_cycle:
        return unknown("give [[duty_cycle]]")
    total: dict[tuple[str, str], float] = {}
    hours = 0.0
    for stint in ready.design.duty_cycle:
        told = runs.of(stint.state, stint.ground, stint.speed)
        if told is None:
            continue  # left out of a narrowed view
        if told.run is None:
            return unknown(f"{stint.state}, {stint.ground}: {told.reason}", lost=True)
        rate = max(damage(cycles(forces), coil) for forces in spring_forces(told, index, axle)) / told.lasted
        where = stint.state, stint.ground
        total[where] = total.get(where, 0.0) + rate * stint.hours
        hours += stint.hours
    if not total:
        return unknown("no stint of the duty cycle is in view")
    state, ground = max(total, key=lambda key: total[key])
    whole = sum(total.values())
    found = figure(
        measure,
        whole,
        "at most",
        limits.miner_sum,
        "",
        "ratio",
        source,
        state=state,
        ground=ground,
        where=word,
        id="miner_sum",
        axle=axle.name,
    )
    lasts = hours / whole if whole else math.inf
    return found, [Fact(f"life at that work, {axle.name}", lasts, "s", "time", state, ground, word or "to a Miner sum of 1")]  # fmt: skip


def _says_where(ready: ProofContext) -> bool:
    """Whether dampers can be held against a temperature: the design says on what they work, or the limit is the builder's own."""
    design = ready.design
    return bool(design.grounds or design.duty_cycle) or "damper_temperature" in design.limits.model_fields_set


def _heat(ready: ProofContext, runs: Runs, index: int, axle: Axle) -> tuple[list[Figure], list[Fact]]:
    """Mean power of an axle's busiest damper and the steady temperature it would reach; judged on ground and work that were given alone."""
    limits = ready.design.limits
    yours, judged = "damper_temperature" in limits.model_fields_set, _says_where(ready)
    powers = []
    for told in runs.told:
        mine, rubbed = _busy(told.at, index, axle)
        if told.run is None or not mine or not told.stretch.rough or not _worked(ready, told):
            continue
        power = max(
            told.run.dampers[d].power + share * told.run.dampers[d].friction_power
            for d, share in zip(mine, rubbed, strict=True)
        )
        powers.append((power, told))
    if not powers:
        return [], []
    power, told = max(powers, key=lambda one: one[0])
    warm = float(steady_temperature(AIR, power, FILM, _surface(axle)))
    found = figure(
        f"damper temperature, {axle.name}",
        warm,
        "at most",
        limits.damper_temperature if judged else None,
        "K",
        "temperature",
        YOURS if yours else SEALS,
        **told.place,
        where=f"mean power {power:.0f} W" + ("; far beyond any damper" if warm > BEYOND else ""),
        why=""
        if judged
        else f"neither [[grounds]] nor [[duty_cycle]] says what it works on; {show_temperature(limits.damper_temperature)} is {SEALS}",
        id="damper_temperature",
        axle=axle.name,
    )
    return [found], [Fact(f"damper mean power, {axle.name}", power, "W", "power", told.at.name, told.stretch.name, "the busiest of its dampers")]  # fmt: skip


@formula(
    "steady temperature of a damper",
    r"T = T_{a} + \frac{P}{c S}",
    unit="K",
    source="heat balance; the film coefficient is common practice, no source",
    air=("T_{a}", "air", "K"),
    power=("P", "mean power", "W"),
    film=("c", "film coefficient in moving air", "W/(m**2*K)"),
    surface=("S", "surface of its tube", "m**2"),
)
def steady_temperature(air: Any, power: Any, film: Any, surface: Any) -> Any:
    """Temperature at which a damper sheds its mean power [K]."""
    return air + power / (film * surface)


@formula(
    "life of a coil in cycles",
    r"N = 10^{6} \left(\frac{\tau_{e}}{\tau_{r}}\right)^{k}",
    unit="",
    source="Shigley, helical springs under fatigue loading, from memory",
    endured=(r"\tau_{e}", "reversed shear endured without end, Zimmerli", "Pa"),
    reversed_=(r"\tau_{r}", "reversed shear that harms as the widest swing does, Goodman", "Pa"),
    slope=("k", "slope of the life line", ""),
)
def cycles_survived(endured: Any, reversed_: Any, slope: Any) -> Any:
    """Cycles of one swing that a coil survives."""
    return 10**6 * (endured / reversed_) ** slope


def _workings(ready: ProofContext, runs: Runs) -> tuple[Working, ...]:
    """The warmest damper and the widest swing of each coil over the duty cycle."""
    found = []
    for i, axle in enumerate(ready.design.axles):
        heat, warm = _heat(ready, runs, i, axle)
        if heat and warm and warm[0].value is not None:
            where = f"{axle.name} damper, {warm[0].state} on {warm[0].ground}"
            found.append(
                steady_temperature.work(where, air=AIR, power=warm[0].value, film=FILM, surface=_surface(axle))
            )
        coil, _ = _wound(ready, i, axle)
        swings = [
            (float(forces.min()), float(forces.max()), told)
            for told in runs.told
            if told.run is not None and _worked(ready, told)
            for forces in spring_forces(told, i, axle)
            if len(forces)
        ]
        if coil is not None and swings:
            low, high, told = max(swings, key=lambda one: one[1] - one[0])
            worst_ = float(reversed_stress(low, high, coil))
            if 0 < worst_ < math.inf:
                where = f"{axle.name} spring, widest swing, {told.at.name} on {told.stretch.name}"
                found.append(cycles_survived.work(where, endured=coil.endurance, reversed_=worst_, slope=coil.slope))
    return tuple(found)


def _surface(axle: Axle) -> float:
    """Surface of a damper's tube and both its ends [m2], as given or as taken."""
    mount = axle.damper
    wide = mount.outside_diameter if mount and mount.outside_diameter else TUBE
    long = mount.body_length if mount and mount.body_length else TUBE_LONG
    return math.pi * wide * (long + wide / 2)


def _worked(ready: ProofContext, told: ToldRun) -> bool:
    """Whether a run is a stint of the duty cycle; every run where there is no duty cycle."""
    stints = {(one.state, one.ground, one.speed) for one in ready.design.duty_cycle}
    return not stints or (told.at.name, told.stretch.name, told.speed) in stints


def _stop_work(ready: ProofContext, runs: Runs, index: int, axle: Axle) -> list[Fact]:
    """Energy put into an axle's busiest bump stop in an hour, on the ground that asks most."""
    found: list[tuple[float, Any]] = []
    for told in runs.told:
        if told.run is None or not told.stretch.rough or not _worked(ready, told):
            continue
        mine = [
            stop.energy
            for stop in told.run.stops
            if stop.kind == "bump" and told.at.rig.wheel_axle[stop.wheel] == index
        ]
        found.append((max(mine, default=0.0) / told.lasted * HOUR, told))
    if not found:
        return []
    energy, told = max(found, key=lambda one: one[0])
    return [
        Fact(
            f"energy into the bump stop in an hour, {axle.name}", energy, "J", "energy", told.at.name, told.stretch.name
        )
    ]


def _seen(ready: ProofContext, one: Figure) -> View:
    """A life takes in every stint of the duty cycle."""
    if one.kind != "ratio":
        return where_it_governs(ready, one)
    return frozenset(stint.state for stint in ready.design.duty_cycle), frozenset(
        stint.ground for stint in ready.design.duty_cycle
    )


LAST = Question("last", "Lasts", last, view=_seen)
