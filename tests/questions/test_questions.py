"""The seven questions: figures by hand, words, what is missing, odd vehicles, and what moves a figure."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from springwright.errors import InputError
from springwright.motion.equilibrium import equilibria, equilibrium
from springwright.motion.figures import POINT
from springwright.motion.forces import Case, friction_of
from springwright.questions import fit, grip, land, last, leaning, level, ride, sensitivities, stand
from springwright.questions.answer import answer, figure, worst
from springwright.questions.blows import events
from springwright.questions.falls import FALLS, fall_once
from springwright.questions.prove import Proof, make_ready, prove
from springwright.questions.road_runs import Runs, spring_forces
from springwright.sizing.sheet import size
from springwright.terrain.presets import PRESETS, preset_ground
from springwright.units import GRAVITY, parse
from springwright.vehicle.file import load
from tests.build import DEMOS, axle, design_file, merged, vehicle
from tests.naive import gradient, potential


@pytest.fixture(scope="module")
def truck():
    return load(DEMOS / "fire-watch.toml")


@pytest.fixture(scope="module")
def proof(truck):
    return prove(truck)


def small(**changes):
    """The small test vehicle with tyres that grip, dampers and a duty cycle."""
    tyre = {"friction": 0.7, "friction_fall": 0.1, "load_rating": "600 kg"}
    target = {"damping_ratio": 0.3}
    data = vehicle(
        axles=[
            axle("front", 0.0, driven=True, tyre=tyre, target=target),
            axle("rear", 2.5, driven=True, tyre=tyre, target=target),
        ],
        grounds=[{"name": "track", "iso_class": "C"}],
        duty_cycle=[{"hours": "100 h", "ground": "track", "speed": "30 km/h", "state": "full"}],
    )
    return design_file(merged(data, changes))  # fmt: skip


def measure(proof, question, begins):
    found = [
        one
        for one in next(a for a in proof.answers if a.question == question).figures
        if one.measure.startswith(begins)
    ]
    assert found, begins
    return found[0]  # fmt: skip


# ---- words -------------------------------------------------------------------------------------------------------


def test_words_of_figures_and_answers():
    met = figure("a", 1.0, "at most", 2.0, "m", "length", "x", id="a")
    close = figure("b", 1.95, "at most", 2.0, "m", "length", "x", id="b")
    failed = figure("c", 3.0, "at least", 4.0, "m", "length", "x", id="c")
    unknown = figure("d", 3.0, "at least", None, "m", "length", "x", why="no limit given: limits.d", id="d")
    assert [one.word for one in (met, close, failed, unknown)] == ["met", "close", "not met", "not known"]
    assert unknown.why == "no limit given: limits.d"
    assert failed.margin == pytest.approx(-1.0)
    assert answer("q", "?", (met, close, unknown)).word == "close"
    assert answer("q", "?", (met, failed, close)).deciding is failed
    assert answer("q", "?", (unknown,)).word == "not known"


def test_what_is_never_reached_meets_at_least_and_misses_at_most():
    assert figure("a", math.inf, "at least", 2.0, "m", "length", "x", id="a").word == "met"
    assert figure("a", math.inf, "at most", 2.0, "m", "length", "x", id="a").word == "not met"
    assert figure("a", math.inf, "at least", None, "m", "length", "x", why="none", id="a").word == "not known"


def test_a_state_that_could_not_be_worked_out_is_not_hidden_behind_one_that_is_met():
    met = figure("a", 1.0, "at most", 2.0, "m", "length", "x", state="one", id="a")
    lost = figure("a", math.nan, "at most", 2.0, "m", "length", "x", state="two", why="it tips", id="a")
    assert worst([met, lost]).state == "two"
    assert worst([met, lost]).why == "it tips"


# ---- ride --------------------------------------------------------------------------------------------------------


def test_exposure_hours_of_the_directive():
    """0.8 m/s2 reaches 0.5 A(8) in 3.125 h; 1.5 m/s2 reaches 1.15 in 4.7022 h."""
    assert ride.hours_to(0.5, 0.8) == pytest.approx(3.125 * 3600)
    assert ride.hours_to(1.15, 1.5) == pytest.approx(4.7022 * 3600, rel=1e-4)


def test_a_day_of_several_parts_is_summed():
    """2002/44/EC, annex B with ISO 2631-1: A(8) = sqrt(sum a_i^2 t_i / 8 h); by hand, 0.8 m/s2 for 2 h and 0.4 m/s2 for 4 h give sqrt(0.24) = 0.4899."""
    assert ride.day_sum([0.8, 0.4], [2 * 3600.0, 4 * 3600.0]) == pytest.approx(
        math.sqrt((0.64 * 2 + 0.16 * 4) / 8), rel=1e-12
    )


def test_the_day_of_the_mission_decides_and_the_dose_only_where_it_is_asked_to():
    """Half of a day on rough ground and half on smooth: less than the rough one alone, and summed as the directive sums."""
    grounds = [{"name": "rough", "iso_class": "E"}, {"name": "smooth", "iso_class": "A"}]
    duty_cycle = [
        {"hours": "10 h", "ground": name, "speed": "30 km/h", "state": "full"} for name in ("rough", "smooth")
    ]
    seats = [{"name": "driver", "behind_front_axle": "1 m", "above_ground": "1 m"}]
    given = {"grounds": grounds, "duty_cycle": duty_cycle, "seats": seats}
    told = prove(small(**given, limits={"exposure": "6 h"}), ["ride"])
    ready = make_ready(small(**given))
    felt = [ride.health(Runs(ready).of("full", one, 30 / 3.6).run.points[0]) for one in ("rough", "smooth")]
    summed = measure(told, "ride", "A(8) of a day of the duty cycle, action value")
    assert summed.value == pytest.approx(math.sqrt((felt[0] ** 2 + felt[1] ** 2) * 3 / 8), rel=1e-9)
    assert (summed.limit, summed.ground, summed.state) == (0.5, "rough", "full")
    for name in ("hours a day to the exposure limit value", "hours a day to the exposure limit value, by dose"):
        assert measure(told, "ride", name).word == "not known"
    asked = prove(small(**given, limits={"exposure": "6 h", "dose_decides": True}), ["ride"])
    assert measure(asked, "ride", "hours a day to the exposure limit value, by dose").limit == 6 * 3600.0
    alone = prove(small(grounds=grounds, duty_cycle=[], seats=seats, limits={"exposure": "6 h"}), ["ride"])
    assert measure(alone, "ride", "hours a day to the exposure limit value").limit == 6 * 3600.0


def test_what_is_taken_is_said_and_lift_and_tipping_have_limits_of_their_own():
    made = small(
        axles=[
            axle(name, x, driven=True, tyre={"friction": 0.8}, target={"damping_ratio": 0.3})
            for name, x in (("front", 0.0), ("rear", 2.5))
        ],
        limits={"wheel_lift": "0.4 g", "tip_over": "2 g"},
    )
    told = prove(made, ["stand", "grip", "last"])
    assert measure(told, "stand", "first wheel lifts at").limit == pytest.approx(0.4 * GRAVITY)
    assert measure(told, "stand", "tips over at").limit == pytest.approx(2 * GRAVITY)
    notes = next(one for one in told.answers if one.question == "grip").notes
    assert any("driveline.centre_differential is not given" in one for one in notes)
    assert sum("axles.differential is not given" in one for one in notes) == 2
    warm = measure(told, "last", "damper temperature, front")
    assert (warm.limit, warm.source) == (pytest.approx(393.15), "what common seals stand, from memory")


def test_the_load_factor_is_judged_in_land_on_the_spring_fitted():
    """A straight spring on a straight linkage: 1 + rate x travel left to the stop / sprung load, by hand."""
    made = small(limits={"bump_load_factor": 2.9})
    told, at = prove(made, ["land"]), make_ready(made).state("full").told
    for one, mine, name in zip(made.design.axles, at.axles, ("front", "rear"), strict=True):
        carried = GRAVITY * (mine.load / 2 - one.unsprung_mass / 2)
        by_hand = 1 + mine.wheel_rate * (one.travel.bump - mine.travel[0]) / carried
        found = measure(told, "land", f"bump load factor, {name}")
        assert found.value == pytest.approx(by_hand, rel=1e-3)
        assert (found.limit, found.source, found.word) == (2.9, "your limit", "not met")


def test_hours_by_dose():
    """The dose grows with the fourth root of time: half of it in 60 s is reached in 16 times as long."""
    assert ride.hours_to_dose(9.1, 4.55, 60.0) == pytest.approx(960.0)


def test_axes_and_factors():
    """0.3, 0.2, 0.5: total 0.616441; the highest with 1.4 along and across is 0.5 up."""
    from springwright.motion.figures import PointRide

    point = PointRide("seat", 0.5, 0.3, 0.2, 5.0, 3.0, 2.0, 3.0, 0.6, 2.0, 2.0, 1.0)
    assert ride.total(point) == pytest.approx(0.616441, rel=1e-6)
    assert ride.health(point) == 0.5
    assert ride.health(replace(point, along=0.4)) == pytest.approx(0.56)
    assert ride.health_dose(point) == 5.0


def test_crossing_is_found_on_straight_lines():
    assert ride.crossing((1.0, 2.0, 4.0), np.array([0.0, 1.0, 3.0]), 2.0, "speed") == (3.0, "", None)
    assert ride.crossing((1.0, 2.0), np.array([0.0, 1.0]), 2.0, "speed").passed is False
    assert ride.crossing((1.0, 2.0), np.array([3.0, 4.0]), 2.0, "speed").passed is True
    assert ride.crossing((1.0, 2.0), np.array([np.nan, np.nan]), 2.0, "speed") == (None, "no run stood", None)


def test_softer_springs_ride_better_on_the_same_ground():
    soft, stiff = (
        measure(prove(small(limits={"seat_acceleration": "9 m/s**2"}, axles=[axle("front", 0.0, target={"frequency": f"{f} Hz", "damping_ratio": 0.3}), axle("rear", 2.5, target={"frequency": f"{f} Hz", "damping_ratio": 0.3})]), ["ride"]), "ride", "weighted").value
        for f in (1.0, 1.6)
    )  # fmt: skip
    assert stiff > 1.15 * soft


def test_absorbed_power_reaches_the_limit_between_the_speeds_driven(truck):
    ready = make_ready(truck)
    runs = Runs(ready)
    facts = {one.ground: one for one in ride.ride(ready, runs).facts if one.measure.startswith("speed at which")}
    speed = facts["class F"].value
    rows = runs.classes.rows(ready.home.name, "class F")
    power = runs.classes.table.points[rows][:, :, POINT.index("absorbed")].max(axis=1)
    speeds = np.array(runs.classes.speeds)[rows]
    assert power[speeds < speed].max() < 6.0 < np.nanmin(power[speeds > speed])  # at the last it rolls over


# ---- grip --------------------------------------------------------------------------------------------------------


def test_traction_of_open_and_locked_differentials():
    """mu 0.7 falling by 0.1: an open axle gives twice its weaker side, a locked one both; open between axles, the weaker for its share."""
    made = small().design
    ready = make_ready(small())
    rig = replace(ready.home.rig, tyre_grip=np.tile([0.7, 0.0, 5000.0], (4, 1)), drive_share=np.array([0.4, 0.6]))
    loads = np.array([4000.0, 1000.0, 5000.0, 3000.0])
    locked = made.model_copy(update={"driveline": made.driveline.model_copy(update={"centre_differential": "locked"})})
    assert grip.traction(locked, rig, loads, every="locked") == pytest.approx(0.7 * 13000)
    assert grip.traction(made, rig, loads, every="open") == pytest.approx(min(0.7 * 2000 / 0.4, 0.7 * 6000 / 0.6))
    half = locked.model_copy(
        update={"axles": (made.axles[0].model_copy(update={"differential": "locked"}), made.axles[1])}
    )
    assert grip.traction(half, rig, loads) == pytest.approx(0.7 * (5000 + 6000))
    rear = rig.__class__(**{**vars_of(rig), "drive_share": np.array([0.0, 1.0])})
    assert grip.traction(made, rear, loads, every="open") == pytest.approx(0.7 * 6000)  # fmt: skip


def vars_of(rig):
    from dataclasses import fields

    return {field.name: getattr(rig, field.name) for field in fields(rig)}


def test_all_wheel_drive_climbs_to_its_friction():
    """With every wheel driven and locked together tan(slope) = mu, whatever the height of the centre of gravity."""
    ready = make_ready(small())
    rig = replace(ready.home.rig, tyre_grip=np.tile([0.7, 0.0, 5000.0], (4, 1)))
    made = ready.design.model_copy(
        update={
            "driveline": ready.design.driveline.model_copy(update={"centre_differential": "locked"}),
            "axles": tuple(one.model_copy(update={"differential": "locked"}) for one in ready.design.axles),
        }
    )
    assert grip.gradeability(made, rig, np.zeros(4)) == pytest.approx(math.atan(0.7), rel=1e-3)


def test_frame_twist_adds_to_the_diagonal_height():
    stiff = measure(prove(small(), ["grip"]), "grip", "cross-axle").value
    answered = prove(small(frame_twist="300 N*m/deg"), ["grip"]).answers[0]
    gives = next(one for one in answered.facts if one.measure.startswith("of the cross-axle height"))
    height = next(one for one in answered.figures if one.measure.startswith("cross-axle"))
    assert gives.value > 0.01
    assert height.value > stiff


def test_ramp_travel_index_is_lift_over_sine_and_wheelbase():
    """1000 d / L with d = h / sin 20 deg."""
    ready = make_ready(small())
    (ramp,) = grip.reaches(ready.home.rig, [grip.GrowingCase(2.5, grip.one_up(ready.home.rig, front=True))])
    told = grip.grip(ready.narrowed({"full"}, ()), Runs(ready.narrowed({"full"}, ())), brief=True)
    index = next(one for one in told.figures if one.measure == "ramp travel index")
    assert index.value == pytest.approx(1000 * ramp.lift / math.sin(math.radians(20)) / 2.5, rel=1e-6)


def test_twist_course_crosses_a_wheelbase_apart(truck):
    curves = next(
        one
        for one in grip.grip(make_ready(truck), Runs(make_ready(truck))).curves
        if one.name.startswith("Wheel loads")
    )
    first, last_ = (np.array(line.values)[0] for line in curves.lines[:2]), np.array(curves.lines[0].values)[-1]
    assert sum(first) > 0
    assert last_ == pytest.approx(curves.lines[0].values[0], rel=1e-6)
    weight = np.sum([line.values for line in curves.lines], axis=0)
    assert weight == pytest.approx(weight[0], rel=1e-6)  # fmt: skip


# ---- stand -------------------------------------------------------------------------------------------------------


def test_overshoot_and_settling_of_a_known_response():
    """A step on a damped mass overshoots by exp(-pi z / sqrt(1 - z2)): 0.3: 0.372326."""
    time = np.linspace(0.0, 10.0, 20001)
    z, w = 0.3, 5.0
    wd = w * math.sqrt(1 - z**2)
    x = 1 - np.exp(-z * w * time) * (np.cos(wd * time) + z / math.sqrt(1 - z**2) * np.sin(wd * time))
    over, settled = stand.after_step(time, 2.0 + 3.0 * x, 2.0, 5.0)
    assert over == pytest.approx(0.372326, rel=1e-4)
    assert abs(x[np.searchsorted(time, settled) - 2] - 1) > 0.05 >= abs(x[np.searchsorted(time, settled) + 2] - 1)
    assert stand.after_step(time[:200], 2.0 + 3.0 * x[:200], 2.0, 5.0)[1] is None


def test_a_step_that_rolls_it_over_is_no_overshoot():
    tall = small(
        kerb={"above_ground": "3.2 m"},
        limits={"roll_overshoot": 0.5},
        axles=[axle("front", 0.0, roll_centre_height="1.8 m"), axle("rear", 2.5, roll_centre_height="1.8 m")],
    )
    told = measure(prove(tall, ["stand"]), "stand", "roll overshoot")
    assert told.word == "not met"
    assert "rolls over" in told.why  # fmt: skip


def test_roll_gradient_and_dive_by_hand():
    """Roll: m h / (K - m g h) with roll centres on the ground, springs and tyres in series; dive: two ride rates under the moment m h.

    The axles weigh next to nothing, so that the body is all there is; in pitch it stands over the height of the wheel centres, 0.4 m.
    """
    light = [axle("front", 0.0, unsprung_mass="0.1 kg"), axle("rear", 2.5, unsprung_mass="0.1 kg")]
    made = small(axles=light)
    sheet, ready = size(made), make_ready(made)
    full = next(one for one in sheet.states if one.name == "full")
    mass, (x, _, height) = full.mass, full.cg
    track, base, tyre = 1.6, 2.5, 250e3
    series = [1 / (1 / one.wheel_rate + 1 / tyre) for one in sheet.rates]
    risen = ready.home.rest.q[0]  # of the body where it rests, and the centre of gravity with it
    height += risen

    stiffness = sum(k * track**2 / 2 for k in series)
    by_hand = mass * height / (stiffness - mass * GRAVITY * height)
    assert leaning.roll_gradient(ready.home.rig) == pytest.approx(by_hand, rel=5e-3)

    arms = np.array([-x, -base - x])  # of the axles ahead of the centre of gravity
    rates = 2 * np.array(series)
    matrix = np.array(
        [[rates.sum(), -rates @ arms], [-rates @ arms, rates @ arms**2 - mass * GRAVITY * (height - 0.4)]]
    )
    dive = np.linalg.solve(matrix, [0.0, mass * height])[1]  # nose down, rad per m/s2
    told = {one.measure: one for one in stand.stand(ready.narrowed({"full"}, ())).figures}
    assert told["dive, braking"].value == pytest.approx(dive, rel=5e-3)


def test_load_transfer_adds_up_to_the_overturning_moment():
    """At 1 g both axles together move m h cos(roll) / t, plus what body and wheels add as they lean (roll centres on the ground).

    Where the body has risen, its height goes with it.
    """
    ready = make_ready(small())
    moved = [one for one in stand.stand(ready.narrowed({"full"}, ())).facts if one.measure.startswith("load transfer")]
    weight, rig = ready.home.weight, ready.home.rig
    gentle = 0.2  # g, between which the transfer is read
    roll = leaning.roll_gradient(rig) * gentle * GRAVITY
    moment = weight.mass * weight.cg[2] * (np.cos(roll) + np.sin(roll) / gentle)
    turned = equilibrium(rig, 0.0, Case(across=gentle * GRAVITY))
    moment += rig.sprung_mass * (turned.q[0] - turned.q[4:].mean())
    assert sum(one.value for one in moved) == pytest.approx(moment / 1.6, rel=1e-4)


def test_the_axle_that_slides_first_is_the_one_with_less_grip_to_spare():
    tyres = [{"friction": 0.5, "load_rating": "600 kg"}, {"friction": 0.8, "load_rating": "600 kg"}]
    made = small(axles=[axle("front", 0.0, tyre=tyres[0]), axle("rear", 2.5, tyre=tyres[1])])
    fact = next(one for one in stand.stand(make_ready(made)).facts if one.measure == "slides at")
    assert fact.value == pytest.approx(0.5 * GRAVITY, rel=0.01)
    assert fact.note == "front first; slides before it tips"


# ---- land --------------------------------------------------------------------------------------------------------


def test_drop_to_stop_contact_by_energy():
    """A drop on undamped springs and hard tyres uses the bump travel when m g (h + x) = the spring's energy; level, so within what the grid tells."""
    made = small(
        axles=[
            axle(
                "front",
                0.0,
                unsprung_mass="5 kg",
                tyre={"rate": "5000 N/mm"},
                target={"damping_ratio": None, "frequency": "1.8 Hz"},
            ),
            axle(
                "rear",
                2.5,
                unsprung_mass="5 kg",
                tyre={"rate": "5000 N/mm"},
                target={"damping_ratio": None, "frequency": "1.8 Hz"},
            ),
        ],
        states=[{"name": "full", "aboard": ["load"]}],
        kerb={"behind_front_axle": "1.25 m"},
        items=[{"name": "load", "mass": "300 kg", "behind_front_axle": "1.25 m", "above_ground": "1 m"}],
    )
    touch = next(
        one
        for one in land.land(make_ready(made), Runs(make_ready(made))).facts
        if one.measure == "drop height to stop contact, level"
    )
    rate = (2 * np.pi * 1.8) ** 2
    # let go at rest height with the springs loaded: the fall lets them out to a droop stop or to nothing, and the mass comes down with
    # g h of energy a kilogram, of which the springs' own swing takes part: a bound on both sides
    assert rate * 0.14**2 / 2 / GRAVITY * 0.6 < touch.value < rate * 0.14**2 / 2 / GRAVITY * 1.6  # fmt: skip


@pytest.mark.parametrize("fall", FALLS, ids=lambda fall: fall.name)
def test_a_fall_is_stated_by_the_height_of_the_tyres(truck, fall):
    """Tyres that carry nothing fall freely until they touch; those on the upper ground carry at once what they carry at rest."""
    ready = make_ready(truck)
    at = ready.home
    run = fall_once(at, fall, 0.3, ready.points, history=0.0008)
    air = fall.airborne(at.rig)
    loads = np.array([run.column(f"tyre load [N] {i + 1}")[0] for i in range(len(air))])
    assert air.sum() == {"level": len(air), "nose first": 2, "one wheel first": 1}[fall.name]
    assert loads[air] == pytest.approx(0.0, abs=1e-9)
    assert loads[~air] == pytest.approx(at.rest.wheel_loads[~air], rel=1e-6)
    for i in np.flatnonzero(air):
        height, load = run.column(f"wheel height [m] {i + 1}"), run.column(f"tyre load [N] {i + 1}")
        touches = int(np.argmax(load > 0))
        assert height[0] - height[touches] == pytest.approx(0.3, abs=0.005)  # two rows at 3 m/s
        assert run.column("time [s]")[touches] < math.sqrt(2 * 0.3 / GRAVITY)  # its spring presses it down besides


@pytest.mark.parametrize(
    ("changes", "ground"),
    [
        ({"reference": {"obstacle_height": "250 mm", "speed": "30 km/h"}}, "half-round of 250 mm at 30 km/h"),
        ({"limits": {"drop_height": "800 mm"}}, "drop of 800 mm"),
    ],
)
def test_stops_and_mounts_are_judged_on_the_designs_own_obstacle_and_falls(changes, ground):
    """On smooth ground alone no stop is touched; the half-round or the fall that the design names presses them hard."""
    smooth = {"grounds": [{"name": "track", "iso_class": "A"}], "duty_cycle": []}
    before = prove(small(**smooth), ["land"])
    assert measure(before, "land", "bump stop force, front").value == pytest.approx(0.0)
    after = prove(small(**smooth, **changes), ["land"])
    assert measure(after, "land", "bump stop force, front").value > 5000.0
    assert measure(after, "land", "bump stop force, front").ground.startswith(ground)
    assert (
        measure(after, "land", "spring mount force, front").value
        > measure(before, "land", "spring mount force, front").value
    )


def test_higher_drops_and_faster_obstacles_hit_harder(truck):
    told = land.land(make_ready(truck), Runs(make_ready(truck)))
    drop = next(one for one in told.curves if one.name.startswith("Shock"))
    for line in drop.lines:
        held = [y for y in line.values if y is not None]  # the last of them may go over
        assert held[-1] > held[0]
    speed = next(one for one in told.curves if one.name.startswith("Speed"))
    known = [y for y in speed.lines[0].values if y is not None]
    assert known == sorted(known, reverse=True)


def test_an_obstacle_ground_is_driven_from_its_start():
    """The hit itself is in the figures: a half-round at 30 km/h reaches the stops that level ground does not."""
    made = small(
        grounds=[{"name": "track", "iso_class": "A"}, {"name": "log", "obstacle": "half-round 250 mm"}],
        duty_cycle=[{"hours": "1 h", "ground": "track", "speed": "30 km/h", "state": "full"}],
    )
    ready = make_ready(made)
    on_log = next(one for one in Runs(ready).told if one.stretch.name == "log" and one.at.name == "full")
    assert on_log.settle == 0.0
    assert max(wheel.travel_most for wheel in on_log.run.wheels) > 0.1
    figures = {one.measure: one for one in last.last(ready, Runs(ready)).figures}
    assert figures["damper temperature, front"].ground == "track"  # fmt: skip


def test_mount_force_is_the_springs_own(truck):
    """Spring force at the spring's travel: on a beam axle both wheels share it, so that it is less than at the wheel's travel."""
    ready = make_ready(truck)
    runs = Runs(ready)
    told = measure(prove(truck, ["land"]), "land", "spring mount force, front").value
    most = max(
        float(max(forces.max() for forces in spring_forces(one, 0, ready.design.axles[0])))
        for one in (*runs.told, *events(ready))
    )
    assert told == pytest.approx(most, rel=1e-6)  # fmt: skip


# ---- fit ---------------------------------------------------------------------------------------------------------


def with_room(**room):
    return small(
        axles=[
            axle(
                "front",
                0.0,
                steered=True,
                steering_lock="35 deg",
                tyre={"unloaded_radius": "405 mm", "width": "230 mm"},
                room=room,
            ),
            axle("rear", 2.5),
        ]
    )


def test_room_ahead_of_a_steered_tyre_is_taken_at_the_corners_worst():
    """R 405, width 230: the corner reaches hypot(405, 115) = 421.0 mm on the way to 35 deg of lock."""
    told = measure(prove(with_room(ahead="415 mm", above="600 mm", inside="500 mm"), ["fit"]), "fit", "room ahead of")
    assert told.value == pytest.approx(0.415 - math.hypot(0.405, 0.115), abs=1e-9)
    assert told.word == "not met"


def test_room_over_and_inside_a_tyre():
    proof = prove(with_room(above="600 mm", inside="500 mm"), ["fit"])
    assert measure(proof, "fit", "room over").value == pytest.approx(0.6 - 0.405 - 0.14)
    turn = math.radians(35)
    assert measure(proof, "fit", "room inside").value == pytest.approx(
        0.5 - 0.115 * math.cos(turn) - 0.405 * math.sin(turn)
    )


def test_hose_is_taut_at_its_farthest():
    """Straight up and down, no lock: the farthest of droop and bump, by Pythagoras."""
    hose = {"body": ["0 mm", "500 mm", "600 mm"], "wheel": ["0 mm", "700 mm", "400 mm"], "length": "450 mm"}
    proof = prove(small(axles=[axle("front", 0.0, brake_hose=hose), axle("rear", 2.5)]), ["fit"])
    droop = math.hypot(0.2, 0.2 + 0.13)
    assert measure(proof, "fit", "brake hose to spare, front").value == pytest.approx(0.45 - droop, abs=1e-9)


def test_drop_link_lean():
    """A bar's end on a 300 mm arm moved by 0.5 x 140 mm stands 300 - sqrt(300^2 - 70^2) mm back; a 150 mm link leans by its arcsine."""
    bar = {
        "shape": {"diameter": "20 mm", "between": "600 mm", "arm": "300 mm"},
        "motion_ratio": 0.5,
        "drop_link": "150 mm",
        "drop_link_angle": "20 deg",
    }
    proof = prove(small(axles=[axle("front", 0.0, bar=bar), axle("rear", 2.5)]), ["fit"])
    assert measure(proof, "fit", "drop link lean").value == pytest.approx(math.asin((0.3 - math.sqrt(0.3**2 - 0.07**2)) / 0.15))  # fmt: skip


def test_belly_and_axle_clearance(truck):
    ready = make_ready(truck)
    told = {one.measure: one for one in fit.fit(ready).figures}
    lows = {at.name: min(z + at.rest.rise_at(at.rig, -x) for x, z in ready.design.belly) for at in ready.states}
    assert told["belly clearance at rest"].value == pytest.approx(min(lows.values()))
    assert told["belly clearance at rest"].state == min(lows, key=lows.get)
    assert told["axle clearance, front"].value == pytest.approx(0.245, abs=1e-3)


# ---- level -------------------------------------------------------------------------------------------------------


def test_level_figures_are_those_of_the_sheet(truck):

    rests = size(truck).rests
    told = {one.measure: one for one in level.level(make_ready(truck)).figures}
    rises = [rest.axles[1].rise for rest in rests]
    assert told["height change between load states, rear"].value == pytest.approx(max(rises) - min(rises))
    home = next(rest for rest in rests if rest.name == "Full")
    aims = [abs(math.tan(rest.pitch - home.pitch)) for rest in rests]
    assert told["headlamp aim change"].value == pytest.approx(max(aims))


def test_what_other_springs_would_change(truck):
    """A helper stiffens and so lessens the height change; a spring that grows with its load keeps its frequency and gives more; levelling leaves the tyre."""
    ready = make_ready(truck)
    told = {
        one.measure.split(" with ")[1]: one.value
        for one in level.level(ready).facts
        if one.measure.startswith("height change at")
    }
    now = max(at.told.axles[1].rise for at in ready.states) - min(at.told.axles[1].rise for at in ready.states)
    helper, progressive, levelled = told.values()
    assert levelled < helper < now < progressive
    tyre = ready.design.axles[1].tyre.rate
    loads = [at.told.axles[1].load * GRAVITY / 2 for at in ready.states]
    assert levelled == pytest.approx((max(loads) - min(loads)) / tyre, rel=0.05)  # fmt: skip


def test_a_helper_begins_to_carry_where_the_lightest_state_stands(truck):
    """There it carries nothing: the lightest state rests as it did, to what its eased beginning takes."""
    ready = make_ready(truck)
    axle_, law = ready.design.axles[1], ready.springs[1].law
    lightest = min(level._pressed(at, axle_, 1) for at in ready.states)
    helper = level._helper(law, lightest)
    assert float(helper.at(lightest - 0.01).force) == pytest.approx(0.0, abs=1.0)
    assert float(helper.at(lightest + 0.03).force) == pytest.approx(0.5 * law.rate * 0.03, rel=1e-6)


# ---- last --------------------------------------------------------------------------------------------------------

COIL = {
    "wire": "14 mm",
    "outside_diameter": "140 mm",
    "active_coils": 7.5,
    "free_length": "480 mm",
    "grade": "52CrMoV4",
}


def with_coils(**changes):
    spring = {"coil": COIL, "largest_outside": "200 mm"}
    return small(
        **merged(
            {
                "axles": [
                    axle("front", 0.0, target={"damping_ratio": 0.3}, spring=spring),
                    axle("rear", 2.5, target={"damping_ratio": 0.3}, spring=spring),
                ]
            },
            changes,
        )
    )


def test_miner_sum_is_hours_times_damage_in_the_time_driven():
    made = with_coils()
    ready = make_ready(made)
    runs = Runs(ready)
    told = measure(prove(made, ["last"]), "last", "Miner sum over the duty cycle, front")
    run = runs.of("full", "track", 30 / 3.6)
    coil, _ = last._wound(ready, 0, ready.design.axles[0])
    rate = (
        max(last.damage(last.cycles(forces), coil) for forces in last.spring_forces(run, 0, ready.design.axles[0]))
        / run.lasted
    )
    assert told.value == pytest.approx(rate * 100 * 3600, rel=1e-9)
    assert coil.wire == pytest.approx(0.014)
    twice = measure(
        prove(
            with_coils(duty_cycle=[{"hours": "200 h", "ground": "track", "speed": "30 km/h", "state": "full"}]),
            ["last"],
        ),
        "last",
        "Miner sum over the duty cycle, front",
    )
    assert twice.value == pytest.approx(2 * told.value, rel=1e-9)  # fmt: skip


def test_rougher_ground_wears_faster():
    smooth, rough = (
        measure(prove(with_coils(grounds=[{"name": "track", "iso_class": name}]), ["last"]), "last", "Miner sum over the duty cycle, front").value
        for name in "CD"
    )  # fmt: skip
    assert rough > 3 * smooth


def test_damper_temperature_is_power_over_surface():
    damper = {"acts": {"by": "ratio", "ratio": 1.0}, "outside_diameter": "60 mm", "body_length": "300 mm"}
    made = small(axles=[axle("front", 0.0, target={"damping_ratio": 0.3}, damper=damper), axle("rear", 2.5)])
    ready = make_ready(made)
    runs = Runs(ready)
    told = last.last(ready, runs)
    power = next(one for one in told.facts if one.measure == "damper mean power, front").value
    warm = next(one for one in told.figures if one.measure == "damper temperature, front").value
    assert warm == pytest.approx(303.15 + power / (40.0 * math.pi * 0.06 * (0.3 + 0.03)))
    assert not [one for one in told.figures if one.measure == "damper temperature, rear"]  # it has none


def test_a_damper_is_judged_on_ground_or_work_that_was_given_alone():
    """On the classes driven in place of grounds its temperature is told, and not held against what seals stand unless that limit is the builder's."""
    damper = {"acts": {"by": "ratio", "ratio": 1.0}}
    axles = [axle("front", 0.0, target={"damping_ratio": 0.3}, damper=damper), axle("rear", 2.5)]

    def told(**more):
        ready = make_ready(small(axles=axles, **more))
        return next(one for one in last.last(ready, Runs(ready)).figures if one.id == "damper_temperature")

    unsaid = told(grounds=[], duty_cycle=[])
    assert (unsaid.word, unsaid.limit) == ("not known", None)
    assert unsaid.value > 303.15
    assert "[[grounds]]" in unsaid.why
    assert told(grounds=[], duty_cycle=[], limits={"damper_temperature": "140 degC"}).word != "not known"
    assert told(grounds=[{"name": "track", "iso_class": "C"}]).limit == pytest.approx(393.15)


# ---- the whole ---------------------------------------------------------------------------------------------------


def test_proof_follows_its_schema(proof):
    told = json.loads(json.dumps(proof.to_json()))
    jsonschema.validate(told, Proof.schema())
    assert [one["question"] for one in told["answers"]] == ["ride", "grip", "stand", "land", "fit", "level", "last"]


def test_every_figure_says_all_there_is_to_say(proof):
    for one in (each for answered in proof.answers for each in answered.figures):
        assert one.word in ("met", "close", "not met", "not known")
        assert (one.limit is None) or one.source, one.measure
        assert one.word != "not known" or one.why, one.measure
        assert one.word in ("not known",) or one.state or one.margin is None, one.measure


def test_overloads_come_first():
    heavy = small(axles=[axle("front", 0.0, rating="300 kg"), axle("rear", 2.5, rating="3000 kg")])
    proof = prove(heavy, ["level"])
    assert proof.ratings[0].word == "not met"
    assert proof.ratings[0].measure == "front axle load"


def test_what_moves_a_figure_moves_it_that_way():
    made = small(limits={"roll_gradient": "3 deg/g"})
    proof = prove(made, ["stand"])
    assert measure(proof, "stand", "roll gradient").word == "not met"
    assert proof.moves
    for move in proof.moves:
        assert move.limit < move.after < move.before
    bar = next(move for move in proof.moves if move.input.startswith("anti-roll bar of rear"))
    assert bar.change.startswith("+")


def test_the_change_said_to_be_enough_is_enough():
    """The rear springs' frequency raised by what is said: the height change meets its limit, to what a straight line can say."""
    made = small(limits={"height_change": "44 mm"})
    proof = prove(made, ["level"])
    told = measure(proof, "level", "height change between load states, rear")
    assert told.word == "not met"
    move = next(
        one for one in proof.moves if one.input.startswith("spring rate of rear") and one.measure == told.measure
    )
    share = float(move.enough.replace("+", "").replace("%", "")) / 100
    mended = small(
        limits={"height_change": "44 mm"},
        axles=[axle("front", 0.0), axle("rear", 2.5, target={"frequency": f"{1.2 * math.sqrt(1 + share)} Hz"})],
    )
    after = measure(prove(mended, ["level"]), "level", "height change between load states, rear").value
    assert after == pytest.approx(0.044, rel=0.02)  # fmt: skip


def test_the_bar_said_to_be_enough_is_enough_as_it_is_told():
    """Entered as it reads, to the last figure, it meets the limit; the ends' own rate of a bar at ratio 1 is 2 K / track^2."""
    loose = measure(prove(small(), ["stand"]), "stand", "roll gradient").value
    wanted = {"roll_gradient": f"{0.83 * loose * 180 / math.pi * GRAVITY} deg/g"}
    proof = prove(small(limits=wanted), ["stand"])
    move = next(one for one in proof.moves if one.input == "anti-roll bar of rear" and one.measure == "roll gradient")
    stiffness = parse(move.enough.removeprefix("+").replace("N m/deg", "N*m/deg"), "roll rate")
    bar = {"rate": f"{2 * stiffness / 1.6**2} N/m", "motion_ratio": 1.0}
    axles = [axle(name, x, **({"bar": bar} if name == "rear" else {})) for name, x in (("front", 0.0), ("rear", 2.5))]
    after = measure(prove(small(limits=wanted, axles=axles), ["stand"]), "stand", "roll gradient")
    assert after.value <= after.limit
    assert after.value == pytest.approx(after.limit, rel=0.01)  # and no more than that


def test_what_a_cure_writes_meets_the_limit_it_was_tried_for():
    """The one field a cure names, written as it says: the figure asked anew meets its limit."""
    made = small(limits={"height_change": "44 mm"})
    proof = prove(made, ["level"])
    move = next(one for one in proof.moves if one.input.startswith("spring rate of rear"))
    assert move.at == ("axles", 1, "target", "frequency")
    mended = small(
        limits={"height_change": "44 mm"}, axles=[axle("front", 0.0), axle("rear", 2.5, target={"frequency": move.to})]
    )
    after = measure(prove(mended, ["level"]), "level", "height change between load states, rear")
    assert after.word in ("met", "close")
    assert sensitivities._tyred_to(0, design_file(vehicle()).design, 1.0).to == "275 N/mm"
    read = {"rate": None, "readings": [["2 bar", "0 N", "0 mm"], ["2 bar", "5000 N", "20 mm"]], "pressure": "2 bar", "rate_load": "300 kg"}  # fmt: skip
    assert sensitivities._tyred_to(0, design_file(vehicle(axles=[axle("front", 0.0, tyre=read), axle("rear", 2.5)])).design, 1.0) is None  # fmt: skip
    own = small(limits={"height_change": "44 mm"}, axles=[axle("front", 0.0), axle("rear", 2.5, spring={"existing": {"rate": "40 N/mm", "free_length": "600 mm"}}, target={"damping_ratio": 0.3})])  # fmt: skip
    assert not any(one.at[2:3] == ("target",) and one.input.startswith("spring rate of rear") for one in prove(own, ["level"]).moves)  # fmt: skip


def test_stopped_keeps_what_was_finished():
    def stop(step):
        if step == "land":
            raise KeyboardInterrupt

    proof = prove(small(), progress=stop)
    assert proof.stopped
    assert [one.question for one in proof.answers] == ["ride", "grip", "stand"]
    assert "stopped" in proof.notes[0]


def test_the_same_seed_gives_the_same_answers():
    one, two, other = (prove(small(), ["ride"], seed=seed).answers[0].facts for seed in (3, 3, 4))
    assert [fact.value for fact in one] == [fact.value for fact in two]
    assert [fact.value for fact in one] != [fact.value for fact in other]


def trike():
    return small(axles=[axle("front", 0.0, wheels=1, track=None), axle("rear", 2.5)])


def trailer():
    return design_file(
        vehicle(
            kerb={"mass": "900 kg", "behind_front_axle": "-0.2 m", "above_ground": "0.8 m"}, axles=[axle("only", 0.0)],
            hitch={"behind_front_axle": "-3.0 m", "above_ground": "0.5 m", "rate": "200 N/mm"},
            items=[{"name": "load", "mass": "300 kg", "behind_front_axle": "-0.3 m", "above_ground": "1.0 m"}],
        )
    )  # fmt: skip


ODD = {
    "one state, nothing given": lambda: design_file(vehicle(states=[{"name": "one"}], items=[])),
    "trike": trike,
    "trailer": trailer,
    "cycle": lambda: small(axles=[axle("front", 0.0, wheels=1, track=None), axle("rear", 1.5, wheels=1, track=None)], kerb={"mass": "300 kg", "behind_front_axle": "0.7 m"}, items=[], states=[{"name": "full"}]),
    "three axles": lambda: small(axles=[axle("a", 0.0), axle("b", 1.4), axle("c", 2.6)]),
}  # fmt: skip


@pytest.mark.parametrize("name", ODD)
def test_odd_vehicles_are_answered(name):
    proof = prove(ODD[name]())
    assert len(proof.answers) == 7
    for one in (each for answered in proof.answers for each in answered.figures):
        assert one.word != "not known" or one.why, one.measure


def test_nothing_untested_is_met_on_a_trike():
    proof = prove(
        design_file(
            merged(
                json.loads(json.dumps(_data(trike()))),
                {"limits": {"ramp_travel_index": 500, "cross_axle_height": "300 mm"}},
            )
        ),
        ["grip"],
    )
    assert not [one for one in proof.answers[0].figures if one.measure.startswith(("cross-axle", "ramp"))]  # fmt: skip


def _data(file):
    import tomllib

    return tomllib.loads(file.text)


def test_a_trailer_is_not_asked_to_pitch_over():
    figures = [one.measure for one in prove(trailer(), ["stand"]).answers[0].figures]
    assert not [one for one in figures if "pitches over" in one]


def test_a_trailer_is_pulled_at_its_hitch():
    """Load on the hitch falls by m a (h - h_hitch) / L when it is pulled, and by what carrying the body back over its pivots moves."""
    ready = make_ready(trailer())
    at = ready.home
    still, pulled = equilibrium(at.rig), equilibrium(at.rig, 0.0, Case(along=2.0))
    moved = float(pulled.hitch_loads[0] - still.hitch_loads[0])
    # pitch it about the axle so that no spring moves: the hitch does the work of the pull at its height and of the masses
    rig, x = at.rig, at.rig.wheel_places[0, 0]
    way = np.zeros(4 + len(rig.wheel_places))
    way[:2] = x - rig.sprung_cg[0], 1.0
    slope = [
        gradient(lambda q, s=s: potential(rig, q, s), rest.q, step=1e-4) @ way
        for s, rest in (((0.0, 0.0, GRAVITY), still), ((2.0, 0.0, GRAVITY), pulled))
    ]
    by_masses = (slope[1] - slope[0] - at.weight.mass * 2.0 * 0.5) / (x - float(rig.hitch_place[0]))
    assert moved == pytest.approx(by_masses, rel=1e-5)
    assert moved == pytest.approx(-at.weight.mass * 2.0 * (at.weight.cg[2] - 0.5) / 3.0, rel=0.02)


@pytest.mark.parametrize("name", PRESETS)
def test_presets_are_made_alike_and_as_high_as_they_say(name):
    ground, again = preset_ground(name, 300.0, 1.6, 2), preset_ground(name, 300.0, 1.6, 2)
    assert np.array_equal(ground.left, again.left)
    assert not np.array_equal(ground.left, ground.right) or name == "dune crossing"
    assert ground.length == pytest.approx(300.0, abs=0.1)
    laid = PRESETS[name].obstacle()
    plain = preset_ground.__globals__["rough_ground"](PRESETS[name].iso_class, 300.0, 1.6, seed=2)
    assert np.abs(ground.left - plain.left).max() == pytest.approx(np.abs(laid.left).max(), rel=0.02)


def test_a_ground_of_the_design_is_driven_by_its_name(truck):
    from springwright.questions.drives import drive_design

    one, two = (drive_design(truck, name, 8.0, duration=6.0).points[0].up for name in ("forest track", "class D"))
    assert one == pytest.approx(two, rel=1e-9)


@pytest.mark.parametrize(
    ("ground", "says"),
    [
        ({"name": "x", "preset": "the moon"}, "no such ground; there are graded gravel"),
        ({"name": "x", "preset": "farm track", "iso_class": "D"}, "give one of iso_class"),
        ({"name": "x", "obstacle": "wall 2 m"}, "no such ground"),
    ],
)
def test_grounds_that_cannot_be(ground, says):
    with pytest.raises(InputError) as told:
        make_ready(small(grounds=[ground], duty_cycle=[]))
    assert says in str(told.value)


def test_recorded_ground_reports_its_gaps(tmp_path):
    rows = [
        "distance [m],left [mm],right [mm]",
        *(
            f"{x},{5 * (k % 7)},{4 * (k % 5)}"
            for k, x in enumerate([*np.arange(0, 30, 0.1).round(2), *np.arange(40, 200, 0.1).round(2)])
        ),
    ]
    (tmp_path / "track.csv").write_text("\n".join(rows))
    data = _data(small(grounds=[{"name": "track", "profile": "track.csv"}]))
    file = design_file(data, Path(tmp_path / "truck.toml"))
    proof = prove(file, ["ride"])
    assert any("gap" in note for note in proof.notes)  # fmt: skip


def test_a_ground_that_cannot_be_driven_is_not_hidden_behind_one_that_can(tmp_path):
    """Two metres of profile say nothing of an hour on it: not known, with the reason, though the other ground is met."""
    (tmp_path / "tiny.csv").write_text("distance [m],left [mm],right [mm]\n0,0,0\n1,5,5\n2,0,0\n")
    data = _data(
        small(
            grounds=[{"name": "track", "iso_class": "A"}, {"name": "tiny", "profile": "tiny.csv"}],
            seats=[{"name": "driver", "behind_front_axle": "1.2 m", "above_ground": "1 m"}],
            limits={"seat_acceleration": "5 m/s**2"},
        )
    )
    proof = prove(design_file(data, Path(tmp_path / "truck.toml")), ["ride"])
    assert proof.answers[0].word == "not known"
    assert "2.0 m long" in proof.answers[0].deciding.why


def test_obstacles_are_judged_by_shock_and_not_by_means():
    made = small(
        grounds=[{"name": "log", "obstacle": "half-round 200 mm"}], duty_cycle=[],
        seats=[{"name": "driver", "behind_front_axle": "1.2 m", "above_ground": "1 m"}],
    )  # fmt: skip
    ride_, land_ = prove(made, ["ride", "land"]).answers
    assert ride_.figures[0].why == "single obstacles are the only grounds given"
    assert any(one.ground == "log" for one in land_.figures)


def test_without_seats_nobody_is_shaken():
    told = prove(small(limits={"seat_acceleration": "0.1 m/s**2"}), ["ride"]).answers[0]
    assert told.word == "not known"
    assert "[[seats]]" in told.figures[0].why


def test_room_of_a_few_millimetres_is_close():
    told = measure(prove(with_room(above="548 mm"), ["fit"]), "fit", "room over")
    assert told.value == pytest.approx(0.003)
    assert told.word == "close"


def test_every_limit_given_is_judged_somewhere(truck):
    """Each limit set to a figure of its own is found again as the limit of some figure of the seven answers."""
    said_otherwise = {
        "exposure",
        "shock",
    }  # a day's length decides which of the action value or hours is asked; a shock names its drop
    limits = truck.design.limits
    given = {
        name: (getattr(limits, name) or 1.0) * 1.0137
        for name, field in type(limits).model_fields.items()
        if "bool" not in str(field.annotation) and name not in said_otherwise
    }
    made = replace(truck, design=truck.design.model_copy(update={"limits": limits.model_copy(update=given)}))
    seen = {
        figure.limit
        for one in prove(made, sensitive=False).answers
        for figure in one.figures
        if figure.limit is not None
    }
    missing = [name for name, value in given.items() if not any(math.isclose(value, one, rel_tol=1e-9) for one in seen)]
    assert missing == []


def test_pull_kept_falls_with_the_ditch_as_the_figure_says_and_open_keeps_twice_the_weaker_side():
    """The line as fitted passes the judged figure at the asked height; all open, each axle gives twice the lighter wheel's share."""
    file = load(DEMOS / "fire-watch.toml")
    ready = make_ready(file)
    figures, _ = grip._pulls(ready)
    (curves,) = grip._pull_kept(ready, figures)
    kept = next(one for one in figures if one.id == "traction_kept")
    lines = {line.name: np.array(line.values, dtype=float) for line in curves.lines}
    height = file.design.reference.obstacle_height
    assert np.interp(height, curves.x, lines["as fitted"]) == pytest.approx(kept.value, rel=1e-3)
    assert all(line[0] == pytest.approx(1.0) for line in lines.values())
    assert np.all(lines["all open"] <= lines["as fitted"] + 1e-9)
    at = next(one for one in ready.states if one.name == curves.state)
    k = 30
    loads = equilibria(at.rig, np.array([side * curves.x[k] * grip.diagonal(at.rig) for side in (0, 1, -1)]), again=False).wheel_loads  # fmt: skip
    limit = friction_of(at.rig, loads) * loads
    weaker = np.minimum(limit[:, 0::2], limit[:, 1::2])  # wheels stand left, right from the front
    each = 2 * weaker / np.array(at.rig.drive_share)
    least = np.where(np.array(at.rig.drive_share) > 0, each, np.inf).min(axis=1)
    assert lines["all open"][k] == pytest.approx(min(least[1:]) / least[0], rel=1e-6)
