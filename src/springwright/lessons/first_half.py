"""Lessons 1 to 6: weighing, frequency, lever, beam axle, tyre, travel."""

from __future__ import annotations

from math import pi
from pathlib import Path

from springwright.lessons.vehicle_taken import LessonFigure, Taught, Told
from springwright.linkage.mounts import OnBeam
from springwright.sizing.first_design import first_design
from springwright.sizing.first_number import rate
from springwright.units import show
from springwright.vehicle.curves import mean_ratio
from springwright.vehicle.file import DesignFile, read_text

LOAD = 100.0  # kg
MORE, LESS = 1.1, 0.9


def weighing(taught: Taught) -> Told:
    """Where the centre of gravity goes when something comes aboard."""
    design, state = taught.file.design, taught.state
    behind = design.axles[-1].behind_front_axle + 0.5
    other = taught.with_aboard(LOAD, behind)
    before, after = -state.cg[0], -other.state.cg[0]
    by_hand = (state.mass * before + LOAD * behind) / (state.mass + LOAD)
    loads = [float(one) for one in taught.sheet.design_loads], [float(one) for one in other.sheet.design_loads]
    return Told(
        f"{show(LOAD, 'mass')} comes aboard half a metre behind the {design.axles[-1].name} axle. Does the front axle carry more, the same, or less?",
        f"{show(LOAD, 'mass')} more in the state {state.name}, {show(behind, 'length')} behind the front axle",
        [
            LessonFigure("centre of gravity behind the front axle", "length", before, after),
            *(LessonFigure(f"{axle.name} axle carries", "mass", a, b) for axle, a, b in zip(design.axles, *loads, strict=False)),
        ],
        "Every mass pulls the centre of gravity towards itself, in proportion to its share of the whole. What sits behind the rear axle lifts the front: the axle between is the fulcrum.",
        [
            f"x = (M x₀ + m x₁) / (M + m) = ({state.mass:.0f} · {before:.3f} + {LOAD:.0f} · {behind:.3f}) / {state.mass + LOAD:.0f} = {by_hand:.4f} m",
        ],
        by_hand,
        "Less: what hangs out behind takes load off the front. Weigh every state, not one; a spring that suits the empty vehicle may be wrong for the loaded one.",
    )  # fmt: skip


def frequency(taught: Taught) -> Told:
    """What a tenth more of frequency asks of the spring."""
    i = taught.aimed
    name, target = taught.axle(i).name, taught.target(i)
    assert target is not None
    assert target.frequency is not None
    other = taught.stiffer(MORE, [i])
    a, b = taught.rates(i), other.rates(i)
    on_tyre = target.stiffness == "ride rate"
    mass = a.sprung_mass if target.mass == "sprung mass" else a.axle_load / taught.axle(i).wheels
    before, after = (a.ride_rate, b.ride_rate) if on_tyre else (a.wheel_rate, b.wheel_rate)
    goal = MORE * target.frequency
    by_hand = (2 * pi * goal) ** 2 * mass
    word = "ride rate" if on_tyre else "wheel rate"
    return Told(
        f"The {name} axle is to ride a tenth faster. By how much must its {word} grow: a tenth, a fifth, or more?",
        f"{name} target frequency {show(target.frequency, 'frequency')} to {show(goal, 'frequency')}",
        [
            LessonFigure(f"{name} {word}", "rate", before, after),
            LessonFigure(f"{name} spring rate", "rate", a.spring_rate, b.spring_rate),
            LessonFigure(f"{name} sinks under its own weight", "length", a.static_deflection, b.static_deflection),
        ],
        "Frequency goes with the root of stiffness over mass, so stiffness goes with its square. How far the spring sinks under the weight depends on the frequency alone, whatever the mass.",
        [f"k = (2 π f)² m = (2 π · {goal:.4g})² · {mass:.1f} = {by_hand:.0f} N/m"],
        by_hand,
        "A fifth and a little more: 1.1² = 1.21. And the other way round: a spring that is 21 % stiffer rides only 10 % faster.",
    )  # fmt: skip


def lever(taught: Taught) -> Told:
    """What moving a spring a tenth inward on its lever asks of it."""
    i = taught.aimed
    one, ratio = taught.rates(i), mean_ratio(taught.axle(i))
    first, other = (
        rate(one.sprung_mass, wheels=1, frequency=one.frequency_on_springs, ratio=times * ratio).rates[0]
        for times in (1.0, LESS)
    )
    by_hand = first.wheel_rate / (LESS * ratio) ** 2
    name = taught.axle(i).name
    return Told(
        f"The {name} spring is moved a tenth nearer to the pivot, and the axle is to ride as before. How much stiffer must the spring be?",
        f"motion ratio {ratio:.3f} to {LESS * ratio:.3f}, the same wheel rate",
        [
            LessonFigure(f"{name} spring rate", "rate", first.spring_rate, other.spring_rate),
            LessonFigure("force in the spring", "force", first.spring_force, other.spring_force),
            LessonFigure("wheel rate", "rate", first.wheel_rate, other.wheel_rate),
        ],
        "The lever counts twice: nearer to the pivot the spring has more force to give for the same wheel load, and it is pressed less for the same wheel travel. Each goes with the ratio, so the rate goes with its square.",
        [f"k_s = k_w / r² = {first.wheel_rate:.0f} / {LESS * ratio:.4f}² = {by_hand:.0f} N/m"],
        by_hand,
        "By 1 / 0.9² = 1.23. What this leaves out: where the ratio changes with travel, the force in the spring times that change is a rate of its own; the sheet counts it.",
    )  # fmt: skip


def beam(taught: Taught) -> Told:
    """Why a beam axle is softer in roll than in bump."""
    said, here = "", taught
    i = next(
        (k for k, axle in enumerate(taught.file.design.axles) if isinstance(axle.spring.acts, OnBeam) and axle.track),
        -1,
    )
    if i < 0:  # this vehicle has none: the same mass on beams
        j = taught.aimed
        one = taught.rates(j)
        text = first_design(rate(4 * one.sprung_mass, frequency=one.frequency_on_springs), "The same on beam axles")
        here = Taught(DesignFile(Path("beam axles"), text, read_text(text, "beam axles")))
        i, said = 1, " This vehicle has no springs on a beam; the same mass is taken on beam axles."
    axle = here.axle(i)
    acts = axle.spring.acts
    assert isinstance(acts, OnBeam)
    assert axle.track is not None
    other = here.times(i, ("spring", "acts", "base"), acts.base, LESS, "length", "mm")
    a, b = here.rates(i), other.rates(i)
    rolls = [
        (one.wheel_rate - one.beside_rate) * (acts.base * times / axle.track) ** 2
        for one, times in ((a, 1.0), (b, LESS))
    ]
    found = [one.roll_wheel_rate or 0.0 for one in (a, b)]
    return Told(
        f"The {axle.name} springs are moved inward by a tenth of their distance. In bump nothing changes: how much softer is the axle in roll?{said}",
        f"distance between the springs {show(acts.base, 'length')} to {show(LESS * acts.base, 'length')}",
        [
            LessonFigure(f"{axle.name} rate at a wheel in roll, of its springs", "rate", found[0], found[1]),
            LessonFigure(f"{axle.name} wheel rate in bump", "rate", a.wheel_rate, b.wheel_rate),
            LessonFigure("axle's roll stiffness, of its springs", "roll rate", a.roll_stiffness or 0.0, b.roll_stiffness or 0.0),
        ],
        "In bump both wheels press both springs fully. In roll the springs stand nearer to the middle than the wheels: their travel and their lever are both smaller, by the same share, and so it counts twice.",
        [f"k_roll = k_w (b / t)² = {b.wheel_rate - b.beside_rate:.0f} · ({LESS * acts.base:.3f} / {axle.track:.3f})² = {rolls[1]:.0f} N/m"],
        rolls[1],
        "By 0.9² = 0.81. This is why beam axles lean more than independent wheels of the same ride, and why a bar, or springs set wide, does more for them.",
        0.03,
    )  # fmt: skip


def tyre(taught: Taught) -> Told:
    """What a softer tyre does to how the body rides."""
    i = taught.aimed
    axle, by = taught.axle(i), 0.8
    before, after = axle.tyre.rate, by * axle.tyre.rate
    a, b = taught.rates(i), taught.on_tyre(i, after).rates(i)
    by_hand = a.wheel_rate * after / (a.wheel_rate + after)
    return Told(
        f"The {axle.name} tyres are let down until they are a fifth softer, the springs stay. Does the body ride a fifth softer?",
        f"tyre rate {show(before, 'rate')} to {show(after, 'rate')}, the springs as they are",
        [
            LessonFigure(f"{axle.name} ride rate", "rate", a.ride_rate, b.ride_rate),
            LessonFigure("ride frequency, tyre in series", "frequency", a.frequency_with_tyre, b.frequency_with_tyre),
            LessonFigure("ride frequency on the springs alone", "frequency", a.frequency_on_springs, b.frequency_on_springs),
        ],
        "Spring and tyre carry the same force, one on top of the other, so their give adds up: the softer of the two decides. A tyre is five to ten times as stiff as the spring, so it has little to say in the ride and much in how the wheel hops.",
        [f"1/k = 1/k_w + 1/k_t, k = {a.wheel_rate:.0f} · {after:.0f} / ({a.wheel_rate:.0f} + {after:.0f}) = {by_hand:.0f} N/m"],
        by_hand,
        f"No: by {100 * (1 - b.ride_rate / a.ride_rate):.0f} %. Say which frequency you mean: on the springs, or with the tyre.",
    )  # fmt: skip


def travel(taught: Taught) -> Told:
    """What more travel does before the stop."""
    by = LESS
    i = min(
        range(len(taught.file.design.axles)),
        key=lambda k: abs(_at_stop(taught, k, 1.0) / taught.rates(k).bump_load_factor - 1),
    )
    axle = taught.axle(i)
    bump = axle.travel.bump
    other = taught.times(i, ("travel", "bump"), bump, by, "length", "mm")
    a, b = taught.rates(i), other.rates(i)
    by_hand = _at_stop(taught, i, by)
    return Told(
        f"The {axle.name} axle is given a tenth less travel before its stop. At the stop the spring pushes how much harder than at rest: twice, less, or more?",
        f"{axle.name} bump travel {show(bump, 'length')} to {show(by * bump, 'length')}",
        [
            LessonFigure("force at the stop over that at rest", "ratio", a.bump_load_factor, b.bump_load_factor),
            LessonFigure("wheel rate", "rate", a.wheel_rate, b.wheel_rate),
            LessonFigure("sinks under its own weight", "length", a.static_deflection, b.static_deflection),
        ],
        "At rest the spring carries the weight; each millimetre upward adds the wheel rate. So the force at the stop, over that at rest, is one and the bump travel over the sink at rest. Soft springs sink far and need far travel to reach it.",
        [f"n = 1 + k_w s / F = 1 + {a.wheel_rate:.0f} · {by * bump:.4f} / {a.sprung_load:.0f} = {by_hand:.3f}"],
        by_hand,
        "Below about 1.7 (common practice, no source) a vehicle slams: it has neither the spring nor the travel to catch a dip. The sheet's figure counts how the rate grows with travel, which a hand leaves out.",
        0.12,
    )  # fmt: skip


def _at_stop(taught: Taught, i: int, times: float) -> float:
    """The force at the stop over that at rest, of a straight spring, with so many times the travel."""
    one = taught.rates(i)
    return 1 + one.wheel_rate * times * taught.axle(i).travel.bump / one.sprung_load
