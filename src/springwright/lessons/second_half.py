"""Lessons 7 to 12: damping, roll, load states, pitch, the trade, measuring."""

from __future__ import annotations

from math import exp, pi, sqrt

from springwright.errors import Fault, InputError
from springwright.lessons.vehicle_taken import LessonFigure, Taught, Told
from springwright.questions.prove import ask_briefly
from springwright.units import GRAVITY, show
from springwright.vehicle.centres import roll_centre

MORE, LESS = 1.1, 0.9
PUSHED = 100.0  # kg


def damping(taught: Taught) -> Told:
    """What half as much damping again does."""
    i = taught.aimed
    axle, target = taught.axle(i), taught.target(i)
    assert target is not None
    if target.damping_ratio is None:
        raise InputError(
            taught.file.path.name,
            [Fault(f"axles.{axle.name}.target.damping_ratio", "", "is not given; this lesson is about it")],
        )
    by = 1.5
    ratio = target.damping_ratio
    other = taught.times(i, ("target", "damping_ratio"), ratio, by, "ratio", "")
    a, b = taught.rates(i), other.rates(i)
    assert a.damping is not None
    assert b.damping is not None
    by_hand = 2 * by * ratio * sqrt(a.wheel_rate * a.sprung_mass)
    swings = [exp(-pi * z / sqrt(1 - z * z)) for z in (ratio, by * ratio)]
    return Told(
        f"The {axle.name} dampers are made half as strong again. After a push, how much of the swing is left on the other side?",
        f"damping ratio {ratio:.2f} to {by * ratio:.2f}",
        [
            LessonFigure(f"{axle.name} damping at a wheel", "damping", a.damping.wheel, b.damping.wheel),
            LessonFigure("swing left half a cycle later, of the push", "share", swings[0], swings[1]),
        ],
        "The damping ratio tells the damper against what would only just not swing back, two times the root of rate and mass. What is left after half a swing depends on the ratio alone.",
        [
            f"c = 2 ζ √(k m) = 2 · {by * ratio:.3f} · √({a.wheel_rate:.0f} · {a.sprung_mass:.1f}) = {by_hand:.0f} N s/m",
            f"e^(−π ζ / √(1 − ζ²)) = {swings[1]:.3f}",
        ],
        by_hand,
        "More damping stops the swing sooner and passes more of every small roughness on to the people: above a third it is felt as harsh off road. Set the ratio low and the blow-off high, not the other way round.",
        0.03,
    )  # fmt: skip


def roll(taught: Taught) -> Told:
    """What stiffer springs do to lean."""
    other = taught.stiffer(MORE)
    state = taught.state
    found = [_lean(one) for one in (taught, other)]
    stiff = [_roll_stiffness(each) for each in (taught, other)]
    centre = sum(roll_centre(axle)[0] for axle in taught.file.design.axles) / len(taught.file.design.axles)
    falls = GRAVITY * state.sprung_mass * (state.sprung_cg[2] - centre)
    by_hand = found[0] * (stiff[0] - falls) / (stiff[1] - falls)
    return Told(
        "Every axle is to ride a tenth faster. Does it lean a tenth less in a corner, a fifth less, or more than that?",
        "all target frequencies up by a tenth",
        [
            LessonFigure("roll gradient", "lean", found[0], found[1]),
            LessonFigure("roll stiffness of springs, bars and tyres", "roll rate", stiff[0], stiff[1]),
        ],
        "In a corner the body is tipped by its mass times its height over the roll axis, and as it leans its weight pulls it further. The springs have to win against both: what counts is their roll stiffness less what the weight takes.",
        [
            f"the weight takes m g h = {state.sprung_mass:.0f} · 9.807 · {state.sprung_cg[2] - centre:.3f} = {falls:.0f} N m/rad",
            f"lean goes with 1 / (K − m g h): {show(found[0], 'lean', 2)} · ({stiff[0]:.0f} − {falls:.0f}) / ({stiff[1]:.0f} − {falls:.0f}) = {show(by_hand, 'lean', 2)}",
        ],
        by_hand,
        f"By {1 - found[1] / found[0]:.0%} here. The springs' share of the stiffness grows by a fifth; bars and tyres stay what they are, and what the weight takes is lost from all of it. An anti-roll bar does the same without the ride: it is idle while both wheels rise alike. It takes from ground-following, where one wheel rises alone.",
        0.03,
    )  # fmt: skip


def states(taught: Taught) -> Told:
    """How far a soft vehicle sinks from its lightest to its heaviest state."""
    if len(taught.sheet.states) < 2:
        raise InputError(
            taught.file.path.name, [Fault("states", "", "there is only one load state; this lesson needs two")]
        )
    other = taught.stiffer(MORE)
    light = min(taught.sheet.states, key=lambda one: one.mass).name
    heavy = max(taught.sheet.states, key=lambda one: one.mass).name
    i = max(range(len(taught.file.design.axles)), key=lambda k: abs(_rise(taught, light, k) - _rise(taught, heavy, k)))
    a = taught.rates(i)
    loads = [next(each for each in taught.sheet.rests if each.name == name).axles[i].load for name in (light, heavy)]
    wheels = taught.axle(i).wheels
    by_hand = (loads[1] - loads[0]) * GRAVITY / (wheels * other.rates(i).ride_rate)
    sinks = [_rise(each, light, i) - _rise(each, heavy, i) for each in (taught, other)]
    name = taught.axle(i).name
    return Told(
        f"From {light} to {heavy} the body sinks over the {name} axle. If every axle rides a tenth faster, by how much less?",
        "all target frequencies up by a tenth",
        [
            LessonFigure(f"sinks over the {name} axle from {light} to {heavy}", "length", sinks[0], sinks[1]),
            LessonFigure(f"{name} ride rate", "rate", a.ride_rate, other.rates(i).ride_rate),
        ],
        "What comes aboard presses spring and tyre together. A soft vehicle is soft for its load, too: the same softness that spares the people lets it sag.",
        [f"Δz = Δm g / (n k) = {loads[1] - loads[0]:.0f} · 9.807 / ({wheels} · {other.rates(i).ride_rate:.0f}) = {by_hand:.4f} m"],
        by_hand,
        "By a sixth to a fifth. Travel must be left in every state: bump in the heaviest, droop in the lightest. Where load changes by half of the empty mass, soft steel springs cannot keep level: air, or helpers, can.",
        0.08,
    )  # fmt: skip


def pitch(taught: Taught) -> Told:
    """Why the rear should ride faster than the front."""
    i = taught.aimed
    rear, front = taught.rates(i), taught.rates(0)
    other = taught.stiffer(MORE, [i])
    found = [
        {
            mode.kind: mode.frequency
            for mode in next(each for each in one.sheet.rests if each.name == one.sheet.design_state).modes
        }
        for one in (taught, other)
    ]
    works = {work.title: work.value for work in other.sheet.workings if "whole vehicle" in work.subject}
    slow, fast = sorted(works.values())[:2]
    kinds = [kind for kind in ("bounce", "pitch") if kind in found[0] and kind in found[1]]
    first = min(kinds, key=lambda kind: found[1][kind])
    name = taught.axle(i).name
    return Told(
        f"The {name} axle is to ride a tenth faster, the others stay. Which moves more: how the body bounces, or how it pitches?",
        f"{name} target frequency up by a tenth",
        [
            *(LessonFigure(f"{kind}, body on springs and tyres", "frequency", found[0][kind], found[1][kind]) for kind in sorted(kinds, key=lambda kind: found[1][kind])),
            LessonFigure(f"{taught.axle(0).name} axle on its springs", "frequency", front.frequency_on_springs, other.rates(0).frequency_on_springs),
            LessonFigure(f"{name} axle on its springs", "frequency", rear.frequency_on_springs, other.rates(i).frequency_on_springs),
        ],
        "Both axles and the body's inertia make two swings of their own, each about a point that stands still. A bump meets the front first; where the rear swings faster it catches up, and the body ends level. Where it is slower, the pitch grows.",
        [f"two freedoms in closed form, without dampers: {slow:.3f} Hz and {fast:.3f} Hz"],
        slow if found[1][first] == min(found[1][kind] for kind in kinds) else fast,
        f"The {name} axle is {'faster' if rear.frequency_on_springs > front.frequency_on_springs else 'slower'} than the front one here, by {abs(rear.frequency_on_springs / front.frequency_on_springs - 1):.0%}; 10 to 25 % faster is common practice on roads, no source. Off road it matters less than travel.",
        0.15,  # of three axles and more; dampers and hopping wheels are left out
    )  # fmt: skip


def trade(taught: Taught) -> Told:
    """What softness costs, and what it buys."""
    other = taught.stiffer(LESS)
    lean = [_lean(one) for one in (taught, other)]
    i = taught.aimed
    a, b = taught.rates(i), other.rates(i)
    figures = [
        LessonFigure(
            f"{taught.axle(i).name} sinks under its own weight", "length", a.static_deflection, b.static_deflection
        ),
        LessonFigure("roll gradient", "lean", lean[0], lean[1]),
        LessonFigure("force at the stop over that at rest", "ratio", a.bump_load_factor, b.bump_load_factor),
    ]
    for question, measure, kind in (
        ("ride", "weighted_acceleration", "acceleration"),
        ("grip", "wheel_load_kept", "share"),
    ):
        pair = [_figures(one, question, measure) for one in (taught, other)]
        if all(pair):
            name = {
                "weighted_acceleration": "felt at the seats",
                "wheel_load_kept": "wheel load kept 95 % of the time",
            }[measure]
            worst = max if question == "ride" else min
            figures.append(LessonFigure(name, kind, worst(pair[0]), worst(pair[1])))
    by_hand = a.static_deflection / LESS**2
    return Told(
        "Every axle is to ride a tenth slower. Name what gets better, and what is paid for it.",
        "all target frequencies down by a tenth",
        figures,
        "Soft springs pass less of the ground on and keep wheels loaded on it; they lean more, sag more, and come to their stops sooner. No vehicle has it all: it is weighed for what this one is for.",
        [f"the sink goes with 1 / f²: {a.static_deflection:.4f} / 0.9² = {by_hand:.4f} m"],
        by_hand,
        "`springwright trade` tells what every step of every decision wins and costs, and where the best bargains lie; the workbench tries them.",
        0.02,
    )  # fmt: skip


def measuring(taught: Taught) -> Told:
    """What a known mass over an axle must do."""
    beams = {name for one in taught.file.design.walking_beams for name in one.axles}
    i = next(k for k in reversed(range(len(taught.file.design.axles))) if taught.axle(k).name not in beams)
    axle = taught.axle(i)
    loaded = "pushed down"
    other = taught.with_aboard(PUSHED, axle.behind_front_axle, loaded)
    rate = taught.rates(i).ride_rate
    by_hand = PUSHED * GRAVITY / (axle.wheels * rate)
    name = taught.sheet.design_state
    moved = _rise(other, name, i) - _rise(other, loaded, i)
    return Told(
        f"{show(PUSHED, 'mass')} is laid over the {axle.name} axle, in {name}. How far must the deck come down, if it was built as it was drawn?",
        f"{show(PUSHED, 'mass')} more over the {axle.name} axle",
        [
            LessonFigure(f"the deck comes down over the {axle.name} axle", "length", 0.0, moved),
            LessonFigure("ride rate of a wheel", "rate", rate, rate),
        ],
        "Known masses on and off, and a rule: the slope is the ride rate, and half of what lies between going on and coming off is friction. It costs a quarter of an hour and tells more than any look.",
        [f"Δz = m g / (n k) = {PUSHED:.0f} · 9.807 / ({axle.wheels} · {rate:.0f}) = {1e3 * by_hand:.2f} mm"],
        by_hand,
        "If it comes down less, the spring is stiffer than ordered, or dry friction holds it: put more on and take it off again. `springwright readings` prints the sheets, `springwright measure` says what explains the difference.",
        0.06,
    )  # fmt: skip


def _roll_stiffness(taught: Taught) -> float:
    """Of all axles: springs and bar, the tyres in series with them [N m/rad]."""
    total = 0.0
    for axle, one in zip(taught.file.design.axles, taught.sheet.rates, strict=True):
        if axle.track:
            sprung, tyres = (
                (one.roll_stiffness or 0.0) + (one.bar_roll_stiffness or 0.0),
                axle.tyre.rate * axle.track**2 / 2,
            )
            total += sprung * tyres / (sprung + tyres)
    return total


def _rise(taught: Taught, state: str, i: int) -> float:
    return next(each for each in taught.sheet.rests if each.name == state).axles[i].rise


def _figures(taught: Taught, question: str, measure: str) -> list[float]:
    """The figures of a measure that a question gives, greatest first."""
    answer = ask_briefly(taught.file, [question])[0]
    return sorted((one.value for one in answer.figures if one.id == measure and one.value is not None), reverse=True)


def _lean(taught: Taught) -> float:
    """The roll gradient.

    Raises
    ------
    InputError
        It is not known.

    """
    found = _figures(taught, "stand", "roll_gradient")
    if not found:
        said = "the roll gradient of this vehicle is not known, which this lesson is about"
        raise InputError(taught.file.path.name, [Fault("", "", said)])
    return found[0]
