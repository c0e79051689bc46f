"""Does it shake the people in it? Weighted acceleration at every seat, hours to the exposure values, absorbed power, pitch after a bump."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.evaluation import in_threads
from springwright.formula import Working, formula
from springwright.motion.figures import POINT, PointRide
from springwright.motion.modes import modes
from springwright.motion.response import response
from springwright.motion.rig import Rig
from springwright.motion.weighting import response as weighting
from springwright.questions.answer import (
    PUBLISHED,
    YOURS,
    Answer,
    Curve,
    Curves,
    Fact,
    Figure,
    Mark,
    answer,
    figure,
    no_limit,
    worst,
)
from springwright.questions.context import ProofContext, felt_by, footprint, mean_tyre
from springwright.questions.question import Question
from springwright.questions.road_runs import FEW_SPEEDS, ROUGH, SPEEDS, Runs, ToldRun
from springwright.terrain.roughness import CLASSES
from springwright.units import number, show
from springwright.vehicle.assemble import with_rates

Floats = NDArray[np.float64]
SCATTERS = (
    "one stretch of made ground is driven: another seed moves root mean squares by 1 to 3 %, doses and lives by more"
)


def no_seat() -> str:
    """Why a figure that is felt is not judged."""
    return f"no [[seats]] are given; read {show(1.0, 'length')} up over the front axle"


ASKS = "Ride comfort: does it shake the people in it?"
# 2002/44/EC article 3(2), by ISO 2631-1 with k = 1.4 along and across, 1.0 up: action and limit values, A(8) [m/s2] and VDV [m/s1.75]
HEALTH = 1.4
ACTION, LIMIT, DAY = 0.5, 1.15, 8 * 3600.0
ACTION_DOSE, LIMIT_DOSE = 9.1, 21.0
CREST, DOSE_RATIO = 9.0, 1.75  # ISO 2631-1: past these the root mean square is not enough
BUMP_HEIGHT, BUMP_LENGTH = 0.08, 0.8  # m, of the single bump
RATIOS = tuple(0.8 + 0.1 * k for k in range(10))  # rear over front frequency on the springs
WATCHED = 2.5  # s after the rear axle has left the bump
BANDS = (3.0, 7.0)  # Hz: the body on its springs below, what lies between, the axles on their tyres above
SLIGHT = 0.02  # of the highest density felt: a mode that moves a seat less is not named
LITTLE = 0.15  # a best ratio that gains less than this over an even one is called no gain


def ride(ready: ProofContext, runs: Runs, *, brief: bool = False) -> Answer:
    """Answer the question; `brief` leaves out what is told beside the judged figures."""
    design, limits = ready.design, ready.design.limits
    notes = [
        "figures are at the seat mount: no cushion is modelled; all three axes are taken together with factors of 1 (comfort), hours by the highest with 1.4 along and across (health)",
        SCATTERS,
    ]
    # a single obstacle is judged by its shock, not by means that depend on how long a run goes on after it
    told = [(one, point) for one in runs.told if one.run is not None and one.stretch.rough for point in one.run.points]
    seated = bool(design.seats)
    notes += [f"{one.at.name}, {one.stretch.name}: {one.reason}" for one in runs.told if one.reason]
    figures: list[Figure] = []
    facts: list[Fact] = []
    lost = [one for one in runs.told if one.run is None]
    if told:
        shaken = "weighted acceleration, all three axes"
        power = "absorbed power at the usual speed"
        most, watts = (limits.seat_acceleration, limits.absorbed_power) if seated else (None, None)
        why = no_limit("seat_acceleration") if seated else no_seat()
        shakes = [
            figure(shaken, total(point), "at most", most, "m/s**2", "acceleration", YOURS, where=point.name, why=why, id="weighted_acceleration", **one.place)
            for one, point in told
        ]  # fmt: skip
        absorbs = [
            figure(power, point.absorbed, "at most", watts, "W", "power", _power_source(ready), where=f"{point.name}, {show(one.speed, 'speed')}{one.stretch.taken}", why=no_seat(), id="absorbed_power", **one.place)
            for one, point in told
        ]  # fmt: skip
        figures.append(worst([*_lost(lost, "weighted_acceleration", shaken, most, "m/s**2", "acceleration"), *shakes]))
        figures += _exposure(ready, runs, told)
        figures.append(worst([*_lost(lost, "absorbed_power", power, watts, "W", "power"), *absorbs]))
        facts += [fact for one, point in told for fact in _facts(one, point)]
        notes += _not_enough(told)
    else:
        why = (
            "; ".join(dict.fromkeys(one.reason for one in runs.told if one.reason))
            or "single obstacles are the only grounds given"
        )
        figures.append(
            figure(
                "weighted acceleration, all three axes",
                None,
                "at most",
                limits.seat_acceleration,
                "m/s**2",
                "acceleration",
                YOURS,
                why=why,
                id="weighted_acceleration",
            )
        )
    if brief:
        return answer("ride", ASKS, tuple(figures))
    facts += _six_watt(ready, runs)
    spectra, shares = _spectra(ready)
    facts += shares
    curves = [_map(ready, runs), *spectra, *_pitch(ready, facts)]
    return answer("ride", ASKS, tuple(figures), tuple(facts), tuple(curves), tuple(notes), _workings(told))


def _lost(lost: Sequence[ToldRun], ident: str, measure: str, limit: float | None, unit: str, kind: str) -> list[Figure]:
    """A measure on grounds that could not be driven: not known, and not to be hidden behind those that could."""
    return [
        figure(measure, None, "at most", limit, unit, kind, YOURS, why=one.reason, lost=True, id=ident, **one.place)
        for one in lost
    ]


def total(point: PointRide) -> float:
    """Vibration total value of the three axes, comfort factors of 1 (ISO 2631-1) [m/s2]."""
    return float(np.sqrt(point.up**2 + point.along**2 + point.across**2))


def health(point: PointRide) -> float:
    """The highest axis, along and across by 1.4 (ISO 2631-1, 2002/44/EC) [m/s2]."""
    return max(point.up, HEALTH * point.along, HEALTH * point.across)


def health_dose(point: PointRide) -> float:
    """The highest vibration dose value of the run, along and across by 1.4 [m/s1.75]."""
    return max(point.up_dose, HEALTH * point.along_dose, HEALTH * point.across_dose)


@formula(
    "time to an exposure value by A(8)",
    r"t = T \frac{a_{v}^{2}}{a_{w}^{2}}",
    unit="s",
    source="ISO 2631-1; 2002/44/EC, article 3",
    day=("T", "eight hours", "s"),
    value=("a_{v}", "exposure value, A(8)", "m/s**2"),
    acceleration=("a_{w}", "weighted acceleration, the highest axis by 1.4 along and across", "m/s**2"),
)
def exposure_time(day: Any, value: Any, acceleration: Any) -> Any:
    """Time until A(8) reaches a value at a steady weighted acceleration [s]."""
    return day * (value / acceleration) ** 2


@formula(
    "time to an exposure value by dose",
    r"t = t_{m} \frac{V_{v}^{4}}{V_{m}^{4}}",
    unit="s",
    source="ISO 2631-1; 2002/44/EC, article 3",
    lasted=("t_{m}", "time of which the dose was kept", "s"),
    value=("V_{v}", "exposure value, vibration dose", "m/s**1.75"),
    dose=("V_{m}", "dose in that time, the highest axis by 1.4 along and across", "m/s**1.75"),
)
def dose_time(lasted: Any, value: Any, dose: Any) -> Any:
    """Time until the vibration dose reaches a value [s]."""
    return lasted * (value / dose) ** 4


def hours_to(value: float, acceleration: float) -> float:
    """Time [s] until A(8) reaches a value [m/s2] at a steady weighted acceleration; endless at none."""
    return float(exposure_time(DAY, value, acceleration)) if acceleration > 0 else float("inf")


def hours_to_dose(value: float, dose: float, lasted: float) -> float:
    """Time [s] until the vibration dose value is reached, at so much dose in a time driven [s]; endless at none."""
    return float(dose_time(lasted, value, dose)) if dose > 0 else float("inf")


def _workings(told: Sequence[tuple[ToldRun, PointRide]]) -> tuple[Working, ...]:
    """The hours of the worst seat, state and ground worked out."""
    if not told:
        return ()
    one, point = max(told, key=lambda pair: health(pair[1]))
    where = f"{point.name}, {one.at.name} on {one.stretch.name}"
    return (
        exposure_time.work(where, day=DAY, value=ACTION, acceleration=health(point)),
        dose_time.work(where, lasted=one.lasted, value=ACTION_DOSE, dose=health_dose(point)),
    )


def _power_source(ready: ProofContext) -> str:
    return YOURS if "absorbed_power" in ready.design.limits.model_fields_set else PUBLISHED


def _exposure(ready: ProofContext, runs: Runs, told: Sequence[tuple[ToldRun, PointRide]]) -> list[Figure]:
    """A day's exposure against the directive by A(8): that of the duty cycle summed, or where it has none, of each ground alone; by dose beside it.

    The day's hours are the builder's. What does not decide is told without a limit.
    """
    limits = ready.design.limits
    day = limits.exposure if ready.design.seats else None
    why = no_limit("exposure") if ready.design.seats else no_seat()
    summed = _day(ready, runs, day)
    by_rms = None if summed else day
    by_dose = day if limits.dose_decides else None
    beside = "told beside the A(8) of a day of the duty cycle" if summed and day is not None else why
    doses = "told beside A(8), which decides: limits.dose_decides" if day is not None and by_dose is None else why
    found = list(summed)
    for word, value, dose in (("action", ACTION, ACTION_DOSE), ("limit", LIMIT, LIMIT_DOSE)):
        measure, source = f"hours a day to the exposure {word} value", "2002/44/EC, for your hours a day"
        found.append(worst([
            figure(measure, hours_to(value, health(point)), "at least", by_rms, "s", "time", f"{value:g} m/s² A(8), {source}", where=point.name, why=beside, id="daily_hours", **one.place)
            for one, point in told
        ]))  # fmt: skip
        found.append(worst([
            figure(f"{measure}, by dose", hours_to_dose(dose, health_dose(point), one.lasted), "at least", by_dose, "s", "time", f"{dose:g} m/s^1.75, {source}", where=point.name, why=doses, id="daily_hours_by_dose", **one.place)
            for one, point in told
        ]))  # fmt: skip
    return found


def day_sum(accelerations: Sequence[float], times: Sequence[float]) -> float:
    """A(8) [m/s2] of a day of several parts: root of the sum of a^2 t over eight hours (ISO 2631-1; 2002/44/EC, annex B)."""
    return float(np.sqrt(sum(a**2 * t for a, t in zip(accelerations, times, strict=True)) / DAY))


def _day(ready: ProofContext, runs: Runs, day: float | None) -> list[Figure]:
    """A(8) of a day spent as the duty cycle is, at the worst seat; none where no hours are given, or there is no duty cycle on rough ground, or not all of it is in view."""
    stints = ready.design.duty_cycle
    gone = [(one, runs.of(one.state, one.ground, one.speed)) for one in stints]
    rough = [(one, run) for one, run in gone if run is not None and run.stretch.rough]
    if day is None or not rough or any(run is None for _, run in gone):
        return []
    whole = sum(one.hours for one in stints)
    lost = next((run for _, run in rough if run.run is None), None)
    if lost is not None:
        return [
            _summed(word, None, limit, lost, why=lost.reason) for word, limit in (("action", ACTION), ("limit", LIMIT))
        ]
    parts = [day * one.hours / whole for one, _ in rough]
    seats = np.array([[health(point) for point in run.run.points] for _, run in rough if run.run is not None]).T
    sums = [day_sum(seat.tolist(), parts) for seat in seats]
    worst_seat = int(np.argmax(sums))
    most = rough[int(np.argmax(seats[worst_seat] ** 2 * parts))][1]
    where = f"{ready.points[worst_seat].name}, most of it there"
    return [
        _summed(word, sums[worst_seat], limit, most, where=where)
        for word, limit in (("action", ACTION), ("limit", LIMIT))
    ]


def _summed(word: str, value: float | None, limit: float, run: ToldRun, *, where: str = "", why: str = "") -> Figure:
    """One judgement of a day's A(8) by the directive."""
    measure, source = (
        f"A(8) of a day of the duty cycle, {word} value",
        f"{word} value, 2002/44/EC, over your hours a day",
    )
    return figure(
        measure,
        value,
        "at most",
        limit,
        "m/s**2",
        "acceleration",
        source,
        where=where,
        why=why,
        id="day_acceleration",
        lost=value is None,
        **run.place,
    )


def _facts(one: ToldRun, point: PointRide) -> list[Fact]:
    state, ground = one.at.name, one.stretch.name
    axes = f"vertical {number(point.up, 'acceleration')}, longitudinal {number(point.along, 'acceleration')}, lateral {show(point.across, 'acceleration')}"
    return [
        Fact(f"weighted acceleration, {point.name}", total(point), "m/s**2", "acceleration", state, ground, axes),
        Fact(f"vibration dose value, {point.name}", health_dose(point), "m/s**1.75", "dose", state, ground, f"{one.lasted:.0f} s driven"),
        Fact(f"crest factor, {point.name}", point.up_crest, "", "ratio", state, ground),
    ]  # fmt: skip


def _not_enough(told: Sequence[tuple[ToldRun, PointRide]]) -> list[str]:
    """Where the root mean square is not enough, by ISO 2631-1."""
    said = []
    for one, point in told:
        ratio = point.up_dose / (point.up * one.lasted**0.25) if point.up else 0.0
        if point.up_crest > CREST or ratio > DOSE_RATIO:
            said.append(
                f"{one.at.name}, {one.stretch.name}, {point.name}: crest factor {point.up_crest:.1f}, dose / (r.m.s. × time^¼) {ratio:.2f}: the root mean square is not enough, go by the dose (ISO 2631-1)"
            )
    return said


def _six_watt(ready: ProofContext, runs: Runs) -> list[Fact]:
    """The speed at which the worst seat absorbs the power limit, for each ISO 8608 class."""
    limit, spread, found = ready.design.limits.absorbed_power, runs.classes, []
    for name in ROUGH:
        rows = spread.rows(ready.home.name, f"class {name}")
        power = spread.table.points[rows][:, :, POINT.index("absorbed")].max(axis=1)
        speed, note, _ = crossing(FEW_SPEEDS, np.sqrt(power), float(np.sqrt(limit)), "speed")
        found.append(
            Fact(
                f"speed at which absorbed power reaches {limit:g} W",
                speed,
                "m/s",
                "speed",
                ready.home.name,
                f"class {name}",
                note,
            )
        )
    return found  # fmt: skip


class Crossing(NamedTuple):
    """Where a limit is first passed; None with a word where it is not (`passed` False), or is from the start (True), or nothing is known."""

    at: float | None
    note: str = ""
    passed: bool | None = None


def crossing(x: Sequence[float], y: Floats, limit: float, kind: str) -> Crossing:
    """Where y first passes a limit, on straight lines between [SI]."""
    known = [i for i in range(len(x)) if np.isfinite(y[i])]
    if not known:
        return Crossing(None, "no run stood")
    over = [i for i in known if y[i] >= limit]
    if not over:
        return Crossing(None, f"not reached up to {show(x[known[-1]], kind)}", passed=False)
    i = over[0]
    if i == known[0]:
        return Crossing(None, f"passed already at {show(x[i], kind)}", passed=True)
    return Crossing(float(np.interp(limit, [y[i - 1], y[i]], [x[i - 1], x[i]])))


def _map(ready: ProofContext, runs: Runs) -> Curves:
    """Weighted acceleration by ground and speed: the worst seat and load state."""
    spread, lines = runs.spread, []
    for stretch in ready.stretches:
        each = []
        for at in ready.states:
            points = spread.table.points[spread.rows(at.name, stretch.name)]
            axes = points[:, :, [POINT.index(name) for name in ("up", "along", "across")]]
            each.append(np.sqrt((axes**2).sum(axis=2)).max(axis=1))
        most = np.max(each, axis=0)
        lines.append(Curve(stretch.name, tuple(None if np.isnan(one) else float(one) for one in most)))
    return Curves(
        "Weighted acceleration by ground and speed", "speed", "m/s", "speed", SPEEDS, "all three axes", "m/s**2", "acceleration", tuple(lines),
        note="the worst seat and load state", mapped="weighted_acceleration",
    )  # fmt: skip


def _spectra(ready: ProofContext) -> tuple[list[Curves], list[Fact]]:
    """Density of the unweighted rise at each seat over ISO 8608 ground, linear about rest, and what gravity's share of tilt adds along and across."""
    at = ready.home
    classed = {ground.name: ground.iso_class for ground in ready.design.grounds if ground.iso_class}
    first = next((one for one in ready.stretches if one.name in classed or one.name.startswith("class ")), None)
    if first is None:
        return [], []
    letter = classed.get(first.name) or first.name[-1]
    found = response(
        at.rig,
        at.rest,
        CLASSES[letter],
        first.speed,
        points=ready.points,
        footprint=footprint(*mean_tyre(ready.design, ready.loads)),
        highest=10.0,
    )
    lines = tuple(Curve(point.name, tuple(float(one) for one in point.density)) for point in found.points)
    worst_ = max(found.points, key=lambda point: point.up)
    felt = np.asarray(worst_.density) * np.abs(weighting("Wk", np.asarray(found.frequencies))) ** 2
    lines += (Curve(f"{worst_.name}, as felt", tuple(felt.tolist())),)
    marks = _peaks(ready, np.asarray(found.frequencies), felt, lines[-1].name)
    note = f"{at.name}, class {letter} at {show(first.speed, 'speed')}, linear about rest"
    if found.beyond:
        note += "; beyond the linear picture: " + "; ".join(found.beyond[:2])
    shares = [
        Fact(
            f"gravity's share of tilt in what {point.name} feels {word}",
            felt / moved - 1,
            "",
            "share",
            at.name,
            first.name,
            "counted, as at a seat (ISO 2631-1): a_y + g roll, a_x - g pitch; linear about rest",
        )
        for point in found.points
        for word, felt, moved in (
            ("along", point.along, point.along_moved),
            ("across", point.across, point.across_moved),
        )
        if moved > 0
    ]
    return [Curves("Acceleration spectrum at the seats", "frequency", "Hz", "frequency", found.frequencies, "density", "(m/s**2)**2/Hz", "ratio", lines, note=f"{note}; as felt: weighted by W_k of ISO 2631-1. {_shares(np.asarray(found.frequencies), felt)}", marks=marks)], shares  # fmt: skip


def _peaks(ready: ProofContext, frequency: Floats, felt: Floats, line: str) -> tuple[Mark, ...]:
    """The natural modes that shake a seat up and down, where they lie on its spectrum."""
    low, high = float(frequency[0]), float(frequency[-1])
    found = [
        mode for mode in modes(ready.home.rig, ready.home.rest, damped=True) if mode.kind in ("bounce", "pitch", "hop")
    ]
    top = float(felt.max())
    return tuple(
        Mark(line, mode.frequency, f"{mode.name} {show(mode.frequency, 'frequency')}")
        for mode in found
        if low < mode.frequency < high and np.interp(mode.frequency, frequency, felt) > SLIGHT * top
    )


def _shares(frequency: Floats, felt: Floats) -> str:
    """How much of the mean square that is felt up and down lies in each band, in words."""
    whole = float(np.trapezoid(felt, frequency))
    edges = (frequency[0], *BANDS, frequency[-1])
    told = []
    for low, high, name in zip(edges, edges[1:], ("below {1}", "from {0} to {1}", "above {0}"), strict=False):
        within = np.unique(np.concatenate([[low, high], frequency[(frequency > low) & (frequency < high)]]))
        share = float(np.trapezoid(np.interp(within, frequency, felt), within)) / whole if whole else 0.0
        told.append(f"{share:.0%} {name.format(show(low, 'frequency'), show(high, 'frequency'))}")
    return "Of the mean square that is felt up and down: " + ", ".join(told)


def _pitch(ready: ProofContext, facts: list[Fact]) -> list[Curves]:
    """Pitch after a single bump against the ratio of rear to front frequency, the rear springs changed and all else kept."""
    axles = ready.design.axles
    if len(axles) != 2 or ready.design.walking_beams:
        return []
    at, speed = ready.home, ready.design.reference.speed or ready.stretches[0].speed
    front, rear = (one.frequency_on_springs for one in at.told.axles)
    if not front or not rear:
        return []
    rigs = [with_rates(at.rig, 1, (ratio * front / rear) ** 2) for ratio in RATIOS]
    pitched = in_threads(lambda rig: _pitch_after(ready, rig, speed), rigs)
    best = RATIOS[int(np.argmin(pitched))]
    base = axles[1].behind_front_axle
    even = float(np.interp(1.0, RATIOS, pitched))
    gain = 1 - min(pitched) / even
    matched = 1 / front - base / speed
    rule = (
        f"rule of thumb 1/fr = 1/ff − L/v asks for {1 / matched / front:.2f}"
        if matched > 0
        else "rule of thumb 1/fr = 1/ff − L/v has no answer this slow"
    )
    worth = (
        f"{gain:.0%} less pitch than at 1.0"
        if gain > LITTLE
        else f"only {gain:.0%} less pitch than at 1.0: damping makes the ratio matter little here"
    )
    facts.append(
        Fact(
            "rear / front frequency with the least pitch after a bump",
            best,
            "",
            "ratio",
            at.name,
            note=f"{show(speed, 'speed')}; {worth}; {rule}",
        )
    )
    facts.append(Fact("rear / front frequency it has", rear / front, "", "ratio", at.name))
    return [Curves(
        "Pitch after a single bump", "rear / front frequency", "", "ratio", RATIOS, "pitch, root mean square", "rad", "angle", (Curve("pitch", tuple(pitched)),),
        note=f"{at.name}, bump {show(BUMP_HEIGHT, 'length')} high and {show(BUMP_LENGTH, 'length')} long at {show(speed, 'speed')}, {WATCHED:g} s after the rear axle has left it",
    )]  # fmt: skip


def _pitch_after(ready: ProofContext, rig: Rig, speed: float) -> float:
    """Root mean square of pitch about rest once the rear axle has left the bump [rad]."""
    from springwright.motion.drive import drive
    from springwright.terrain.obstacles import BEFORE, bump

    base = float(np.ptp(rig.wheel_places[:, 0]))
    ground = felt_by(ready.design, ready.loads, bump(BUMP_HEIGHT, BUMP_LENGTH))
    left = (BEFORE + BUMP_LENGTH + 0.5) / speed  # s until the rear axle, which begins at nought, has left it
    run = drive(rig, ground, speed, duration=min(left + WATCHED, (ground.length - base) / speed), history=0.01)
    pitch = run.column("pitch [rad]")
    after = pitch[run.column("time [s]") > left] - pitch[0]
    return float(np.sqrt(np.mean(after**2)))


RIDE = Question("ride", "Rides", ride)
