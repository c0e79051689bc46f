"""Readings reduced and what is due of them: closed forms of a plain truck, every kind once, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from pydantic import ValidationError

from springwright.commission.leans import Circle, TiltTable, lifting_tilt
from springwright.commission.modelled import modelled
from springwright.commission.parts_read import SpringBench, TyrePress
from springwright.commission.pushes import Push
from springwright.commission.scales import RaisedWeighing, Weighing
from springwright.commission.swings import Bounce, Rap
from springwright.commission.taken import straight
from springwright.errors import FieldFault, InputError
from springwright.motion.modes import modes
from springwright.sizing.sheet import size
from springwright.units import GRAVITY
from springwright.vehicle.file import load
from tests.build import DEMOS
from tests.commission.made import reduced, truck

LOADS = (0, 50, 100, 150, 200, 150, 100, 50, 0)


@pytest.fixture(scope="module")
def file():
    return truck()


@pytest.fixture(scope="module")
def drawn(file):
    return modelled(file)


def test_a_line_through_readings():
    """Slope and its error against numpy's polyfit, and the textbook u / sqrt(sum (x - mean)2) where the scatter is less than the doubt."""
    x = np.array([0.0, 1.0, 2.0, 3.0])
    y = np.array([0.1, 2.1, 3.9, 6.1])
    found = straight(x, y, 0.0, 0.5)
    assert found.slope == pytest.approx(np.polyfit(x, y, 1)[0])
    assert found.slope_off == pytest.approx(0.5 / np.sqrt(np.sum((x - 1.5) ** 2)))
    assert found.middle_off == pytest.approx(0.25)
    scattered = straight(x, y, 0.0, 1e-9)
    covariance = np.polyfit(x, y, 1, cov=True)[1]
    assert scattered.slope_off == pytest.approx(np.sqrt(covariance[0, 0]))
    assert straight(x, 2 * x, 0.0, 0.1, through_zero=True).slope == pytest.approx(2.0)


def loop(rate, friction, tyre):
    """Deck readings [mm] of a spring with friction over a tyre, by hand: it moves only as its load leaves the band of twice the friction."""
    at, read = 0.0, []
    for mass in LOADS:
        force = mass * GRAVITY
        at = min(max(at, (force - friction) / rate), (force + friction) / rate)
        read.append(1e3 * (at + force / tyre))
    return read


def pushed(lowered, **more):
    return {
        "axle": "rear",
        "state": "empty",
        "loads": [f"{one} kg" for one in LOADS],
        "lowered": [f"{one} mm" for one in lowered],
        **more,
    }


def test_a_friction_loop(file):
    """K = 1/(1/k_s + 1/k_t); half the loop along the load is F K/k_s: 48 N/mm and 500 N/mm in series are 43.796, of 120 N friction 109.49 N show."""
    told = reduced(file, Push, pushed(loop(48e3, 120.0, 500e3)))
    rate, half = told.figures
    assert rate.value == pytest.approx(43_796, rel=1e-3)
    assert half.value == pytest.approx(109.49, rel=0.01)


def test_what_is_due_of_a_push(file, drawn):
    """The model's own axle: two coils and two tyres in series, its friction through them."""
    told = reduced(file, Push, pushed(loop(48e3, 120.0, 500e3)))
    rate, half = told.due(drawn)
    sheet = size(file)
    spring, tyre, at = 2 * sheet.springs[1].law.rate, 2 * 250e3, drawn.at("empty")
    series = spring * tyre / (spring + tyre)
    # as the tail goes down the body leans back and carries W h / L2 a metre of its weight along
    leans = GRAVITY * at.weight.sprung_mass * at.rig.pitch_arm / 2.5**2
    assert leans < 0.03 * series
    assert rate == pytest.approx(series - leans, rel=3e-3)
    assert half == pytest.approx(40.0 * series / spring, rel=0.02)
    between = reduced(file, Push, pushed(loop(48e3, 120.0, 500e3), between="frame and axle"))
    rate, half = between.due(drawn)
    assert rate == pytest.approx(spring - leans * spring / series, rel=3e-3)
    assert half == pytest.approx(40.0, rel=1e-6)


def test_on_alone_the_rate_alone(file):
    told = reduced(
        file,
        Push,
        {"axle": "rear", "loads": ["0 kg", "50 kg", "100 kg", "150 kg"], "lowered": ["0 mm", "9 mm", "20 mm", "31 mm"]},
    )
    assert len(told.figures) == 1
    assert any("friction is not known" in note for note in told.notes)
    # the first step, held by friction, does not count: 50 kg a step of 11 mm
    assert told.figures[0].value == pytest.approx(50 * GRAVITY / 0.011, rel=1e-3)


def test_a_push_at_a_corner(file, drawn):
    """At a corner its own spring, tyre and the body's roll give way: more than the axle's half, by more than half as much again."""
    corner = reduced(
        file,
        Push,
        {
            "axle": "rear",
            "side": "left",
            "loads": ["0 kg", "50 kg", "100 kg", "150 kg"],
            "lowered": ["0 mm", "9 mm", "20 mm", "31 mm"],
        },
    )
    whole = reduced(
        file,
        Push,
        {"axle": "rear", "loads": ["0 kg", "50 kg", "100 kg", "150 kg"], "lowered": ["0 mm", "9 mm", "20 mm", "31 mm"]},
    )
    # a load at y rolls the body on all springs: 1/K = 1/K_heave + y2/K_roll
    tyre = 250e3
    roll = sum(2 * (law.rate * tyre / (law.rate + tyre)) * 0.8**2 for law in drawn.laws)
    state = drawn.at("full")
    roll -= state.weight.sprung_mass * GRAVITY * state.rig.roll_arm
    heave = whole.due(drawn)[0]
    assert corner.due(drawn)[0] == pytest.approx(1 / (1 / heave + 0.45**2 / roll), rel=0.03)


def test_scales_and_heights(file, drawn):
    sheet = size(file)
    content = {
        "state": "full",
        "left": ["450 kg", "450 kg"],
        "right": ["450 kg", "450 kg"],
        "heights_left": ["500 mm", "500 mm"],
        "heights_right": ["500 mm", "500 mm"],
    }
    told = reduced(file, Weighing, content)
    due = told.due(drawn)
    rests = sheet.rests[1].axles
    assert due[:4] == pytest.approx(
        [rests[0].wheel_loads[0], rests[1].wheel_loads[0], rests[0].wheel_loads[1], rests[1].wheel_loads[1]]
    )
    assert due[4:] == pytest.approx(
        [rests[0].ride_heights[0], rests[1].ride_heights[0], rests[0].ride_heights[1], rests[1].ride_heights[1]]
    )
    whole = reduced(file, Weighing, {"state": "full", "axles": ["900 kg", "900 kg"]})
    assert whole.due(drawn) == pytest.approx([rests[0].load, rests[1].load])
    assert any("cross weight" in note for note in told.notes)


def test_one_end_raised_reads_what_it_was_weighed_by():
    """The demo's centre of gravity was found by raising its front: what is due of that is what was read, but for what the springs give."""
    file = load(DEMOS / "fire-watch.toml")
    told = reduced(file, RaisedWeighing, {"state": "Kerb", "height": "600 mm", "on_scales": {"rear": "1049.8 kg"}})
    assert told.due(modelled(file))[0] == pytest.approx(1049.8, abs=2.5)


def test_one_end_raised_by_hand(file, drawn):
    """R L = W (x + (h - r) tan a): kerb 1500 kg, x 1.3 m behind... of a rigid body; the springs' give is under 1 %."""
    told = reduced(file, RaisedWeighing, {"state": "empty", "height": "0.5 m", "on_scales": {"rear": "760 kg"}})
    angle = np.arcsin(0.5 / 2.5)
    loads = 1500 * GRAVITY / 4
    radius = 0.4 - loads / 250e3
    by_hand = 1500 * (1.2 + (0.7 - radius) * np.tan(angle)) / 2.5
    assert told.due(drawn)[0] == pytest.approx(by_hand, rel=0.01)


def test_a_spring_on_the_bench(file, drawn):
    law = drawn.laws[1]
    rate = law.rate
    loads = [law.at(0.35 - one).force for one in (0.40, 0.35, 0.30)]
    told = reduced(
        file,
        SpringBench,
        {"axle": "rear", "lengths": ["400 mm", "350 mm", "300 mm"], "loads": [f"{float(one)} N" for one in loads]},
    )
    assert [one.value for one in told.figures] == pytest.approx([rate, float(np.mean(loads))])
    assert told.due(drawn) == pytest.approx([one.value for one in told.figures])
    stated = reduced(file, SpringBench, {"axle": "rear", "rate": "30 N/mm", "free_length": "520 mm"})
    assert stated.due(drawn)[0] == pytest.approx(rate)
    # a linear coil's force at its place is rate times how far it is pressed from its free length
    assert stated.due(drawn)[1] == pytest.approx(0.35 + law.force / rate)


def test_a_tyre_pressed(file, drawn):
    told = reduced(
        file,
        TyrePress,
        {"axle": "front", "loads": ["2000 N", "4000 N", "6000 N"], "pressed": ["8 mm", "16 mm", "24 mm"]},
    )
    assert told.figures[0].value == pytest.approx(250e3)
    assert told.due(drawn) == pytest.approx([250e3])


def test_lean_and_tilt(file, drawn):
    """Roll per lateral acceleration M / (K - M g), M = m h of the body and of the wheels, which lean with it; the first wheel lifts where its load is gone."""
    told = reduced(
        file, Circle, {"state": "full", "lateral": ["0.1 g", "0.15 g", "0.2 g"], "roll": ["1 deg", "1.5 deg", "2 deg"]}
    )
    assert told.figures[0].value == pytest.approx(np.radians(1.0) / (0.1 * GRAVITY))
    at = drawn.at("full")
    over = at.weight.sprung_mass * at.rig.roll_arm + float(np.sum(at.rig.axle_unsprung * at.rig.axle_height))
    stiff = sum(2 * (law.rate * 250e3 / (law.rate + 250e3)) * 0.8**2 for law in drawn.laws)
    assert told.due(drawn)[0] == pytest.approx(over / (stiff - over * GRAVITY), rel=0.02)
    tilt = lifting_tilt(drawn, "full")
    from springwright.motion.equilibrium import equilibrium
    from springwright.motion.forces import Case

    assert equilibrium(at.rig, case=Case.slope(lean=tilt - 1e-3)).wheel_loads.min() > 0
    assert equilibrium(at.rig, case=Case.slope(lean=tilt)).wheel_loads.min() < 60
    table = reduced(file, TiltTable, {"state": "full", "angle": "35 deg", "table": "a test house"})
    assert table.due(drawn)[0] == pytest.approx(tilt)


def test_a_bounce_counted_off_a_video(file, drawn):
    """Four bounces in 3.4 s fall by 20 to 6 mm: ln(20/6) = 1.204, 0.188 of critical; f = 4/3.4/sqrt(1 - 0.188²) = 1.198 Hz."""
    told = reduced(file, Bounce, {"axle": "rear", "bounces": 4, "seconds": "3.4 s", "rises": ["20 mm", "6 mm"]})
    frequency, ratio = told.figures
    assert ratio.value == pytest.approx(0.188, abs=1e-3)
    assert frequency.value == pytest.approx(1.198, abs=1e-3)
    due = told.due(drawn)
    found = [
        one
        for one in modes(drawn.at("full").rig, drawn.at("full").rest, damped=True)
        if one.kind in ("bounce", "pitch")
    ]
    assert min(one.frequency for one in found) * 0.95 < due[0] < max(one.frequency for one in found) * 1.05
    assert due[1] > min(one.damping_ratio for one in found), "friction takes its part"


def test_a_rap(file, drawn):
    told = reduced(file, Rap, {"axle": "rear", "side": "right", "frequency": "10.4 Hz"})
    at = drawn.at("full")
    hops = [one.frequency for one in modes(at.rig, at.rest, damped=True) if one.kind in ("hop", "tramp")]
    assert told.due(drawn)[0] == pytest.approx(min(hops, key=lambda one: abs(one - told.due(drawn)[0])), rel=1e-6)


@pytest.mark.parametrize(
    ("kind", "content", "says"),
    [
        (Weighing, {"state": "empty"}, "nothing was read"),
        (Weighing, {"state": "empty", "left": ["1 kg"]}, "is missing"),
        (Push, {"axle": "rear", "loads": ["0 kg", "1 kg", "2 kg"], "lowered": ["0 mm", "1 mm"]}, r"at least 3|has 2"),
        (
            Push,
            {"axle": "rear", "loads": ["5 kg", "5 kg", "5 kg"], "lowered": ["0 mm", "1 mm", "2 mm"]},
            "never change",
        ),
        (SpringBench, {"axle": "rear"}, "give lengths"),
        (TyrePress, {"axle": "rear", "loads": ["1 N"], "pressed": ["1 mm"]}, "two loads"),
        (Bounce, {"axle": "rear"}, "give one of log"),
        (Bounce, {"axle": "rear", "bounces": 3}, "how long"),
        (Rap, {"axle": "rear"}, "give one of log"),
        (Circle, {"lateral": ["0.1 g"], "roll": ["1 deg", "2 deg"]}, "has 2"),
    ],
)
def test_what_cannot_be_a_reading(kind, content, says):
    with pytest.raises(ValidationError, match=says):
        kind.model_validate(content)


@pytest.mark.parametrize(
    ("kind", "content", "says"),
    [
        (Weighing, {"state": "gone", "left": ["1 kg", "1 kg"], "right": ["1 kg", "1 kg"]}, "no such load state"),
        (Weighing, {"state": "full", "left": ["1 kg"], "right": ["1 kg"]}, "1 readings for 2 axles"),
        (
            Push,
            {"axle": "middle", "loads": ["0 kg", "1 kg", "2 kg"], "lowered": ["0 mm", "1 mm", "2 mm"]},
            "no such axle",
        ),
        (RaisedWeighing, {"state": "full", "height": "3 m", "on_scales": {"rear": "1 kg"}}, "less than the wheelbase"),
        (Bounce, {"axle": "rear", "log": "x.csv"}, "header of the column"),
    ],
)
def test_what_does_not_fit_the_design(file, kind, content, says):
    with pytest.raises((FieldFault, InputError), match=says):
        reduced(file, kind, content)
