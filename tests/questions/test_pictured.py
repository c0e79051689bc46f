"""What the pictures of the answers tell: curves against the figures and laws they must agree with, ends of travel by hand, poses at rest."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from springwright.motion.forces import Case
from springwright.questions.at_rest import rest
from springwright.questions.prove import make_ready, prove
from springwright.questions.ride import BANDS
from springwright.questions.road_runs import Runs
from springwright.questions.travel_ends import travel_ends
from springwright.scenes.poses import SHORT_OF, leaned, on_ditch
from springwright.sizing.fitted import sized
from springwright.units import GRAVITY
from springwright.vehicle.curves import lengths
from springwright.vehicle.file import load
from tests.build import DEMOS, axle, design_file, vehicle


@pytest.fixture(scope="module")
def truck():
    return load(DEMOS / "fire-watch.toml")


@pytest.fixture(scope="module")
def answers(truck):
    return {one.question: one for one in prove(truck).answers}


def curves_of(answer, begins):
    return next(one for one in answer.curves if one.name.startswith(begins))


def values(curves, name):
    line = next(one for one in curves.lines if one.name == name)
    return np.array([np.nan if y is None else y for y in line.values])


# ---- curves against what they must agree with ---------------------------------------------------------------------


def test_wheel_loads_on_a_diagonal_ditch_carry_the_vehicle_and_lift_where_the_figure_says(truck, answers):
    """Statics: whatever the height, the loads add up to the weight, and their moment about the middle keeps to the centre of gravity."""
    curves = curves_of(answers["grip"], "Load on each wheel")
    loads = np.array([values(curves, line.name) for line in curves.lines])
    weight = next(one.mass for one in sized(truck).states if one.name == curves.state) * GRAVITY
    standing = np.array(curves.x) < curves.marks[0].x
    assert loads[:, standing].sum(axis=0) == pytest.approx(weight, rel=1e-9)
    told = next(one for one in answers["grip"].figures if one.id == "cross_axle_height")
    lift = curves.marks[0]
    assert (told.state, told.value) == (curves.state, pytest.approx(lift.x))  # the picture is of the state that governs
    there = np.interp(lift.x, curves.x, values(curves, lift.line))
    assert there < 0.02 * values(curves, lift.line)[0]


def test_lean_begins_with_the_roll_gradient(truck, answers):
    """The slope of the picture's line up to 0.2 g is the figure."""
    curves = curves_of(answers["stand"], "Lean in")
    across, roll = np.array(curves.x), values(curves, "Full")
    figure = next(one for one in answers["stand"].figures if one.id == "roll_gradient")
    assert figure.state == "Full"
    assert np.interp(0.2 * GRAVITY, across, roll) / (0.2 * GRAVITY) == pytest.approx(figure.value, rel=0.01)
    assert {one.along: one.value for one in curves.bounds} == {
        "slope": pytest.approx(figure.limit),
        "x": pytest.approx(truck.design.limits.wheel_lift),
    }


def test_mirrored_vehicle_leans_alike(truck):
    """A corner to the right is one to the left in a mirror."""
    ready = make_ready(truck)
    one, other = (rest(truck, "Full", Case(across=side * 3.0)) for side in (1, -1))
    home = ready.home.rest.roll
    assert one.roll - home == pytest.approx(-(other.roll - home), rel=0.01)


def test_what_is_felt_adds_up_to_the_weighted_root_mean_square(truck, answers):
    """Parseval: the area under the weighted density is the mean square that the linear response tells for the same ground."""
    from springwright.motion.response import response
    from springwright.questions.context import footprint, mean_tyre
    from springwright.terrain.roughness import CLASSES

    curves = curves_of(answers["ride"], "Acceleration spectrum")
    felt = next(line for line in curves.lines if line.name.endswith("as felt"))
    area = np.trapezoid(np.array(felt.values), curves.x)
    ready = make_ready(truck)
    stretch = next(one for one in ready.stretches if one.name == "forest track")
    found = response(ready.home.rig, ready.home.rest, CLASSES["D"], stretch.speed, points=ready.points, footprint=footprint(*mean_tyre(ready.design, ready.loads)), highest=10.0)  # fmt: skip
    assert math.sqrt(area) == pytest.approx(max(one.up for one in found.points), rel=0.01)
    shares = [int(one.split("%")[0].split()[-1]) for one in curves.note.split(": ")[-1].split(",")]
    assert len(shares) == len(BANDS) + 1
    assert abs(sum(shares) - 100) <= 1


@pytest.mark.parametrize("name", ["front", "rear"])
def test_swings_by_how_often_do_the_damage_that_is_told(answers, name):
    """Miner over the picture: the count between two stresses over the count the wire survives there, summed, is the figure."""
    curves = curves_of(answers["last"], "Stress of the coils")
    often = np.array(curves.x)
    stress, breaks = values(curves, f"{name} coil"), values(curves, f"{name} breaks")
    there = np.isfinite(stress)
    survived = np.interp(-np.log(stress[there]), -np.log(breaks), np.log(often))  # what is off its end harms little
    slope = np.log(breaks[-1] / breaks[-21]) / np.log(often[-1] / often[-21])
    beyond = stress[there] < breaks[-1]
    survived[beyond] = np.log(often[-1]) + np.log(stress[there][beyond] / breaks[-1]) / slope
    told = next(one for one in answers["last"].figures if one.id == "miner_sum" and one.axle == name)
    done = np.trapezoid(1 / np.exp(survived), often[there]) + often[0] / np.exp(survived[0])
    assert done == pytest.approx(told.value, rel=0.06)  # of a sum read off a picture of 8 places an octave of ten


def test_warmth_by_speed_is_the_heat_balance(truck, answers):
    """By hand from the power of the busiest damper in every state: 30 degC, 40 W/(m2 K) (common practice, no source), the tube's side and both ends."""
    curves = curves_of(answers["last"], "Damper temperature")
    assert curves.bounds[0].value == truck.design.limits.damper_temperature
    ready = make_ready(truck)
    spread = Runs(ready).spread
    for line in curves.lines:
        warm = np.full(len(curves.x), -np.inf)
        for at in ready.states:
            told = spread.table.dampers[spread.rows(at.name, line.name)]
            for damper, i in enumerate(at.rig.damper_axle):
                mount, given = truck.design.axles[i].damper, at.rig.friction[damper]
                wide, long = mount.outside_diameter or 0.055, mount.body_length or 0.30
                rubbed = truck.design.axles[i].friction / given if given else 0.0
                power = told[:, damper, 3] + rubbed * told[:, damper, 4]
                warm = np.fmax(warm, 303.15 + power / (40.0 * (math.pi * wide * long + math.pi * wide**2 / 2)))
        assert np.array(line.values) - 303.15 == pytest.approx(warm - 303.15, rel=1e-3)


# ---- ends of travel ----------------------------------------------------------------------------------------------


def ended(**changes):
    data = vehicle(axles=[axle("front", 0.0, **changes), axle("rear", 2.5)])
    return {one.part: one for one in travel_ends(design_file(data), "front")}


def test_damper_at_a_plain_ratio_ends_where_its_length_does():
    """By hand: 400 mm between its eyes, 500 open and 310 closed, at 0.8 of the wheel's travel."""
    damper = {"acts": {"by": "ratio", "ratio": 0.8}, "length": "400 mm", "extended_length": "500 mm", "compressed_length": "310 mm"}  # fmt: skip
    found = ended(damper=damper, travel={"bump": "90 mm", "droop": "90 mm", "stop_compression": "10 mm"})["damper"]
    assert found.bump == pytest.approx(0.090 / 0.8, rel=1e-6)
    assert found.droop == pytest.approx(-0.100 / 0.8, rel=1e-6)


def test_tyre_and_drop_link_end_by_their_geometry(truck):
    """By hand: room over the tyre less its radius; an arm's end goes up until its link leans as far as it may."""
    one = truck.design.axles[0]
    found = {each.part: each for each in travel_ends(truck, "front")}
    assert found["tyre to the arch"].bump == pytest.approx(one.room.above - one.tyre.unloaded_radius)
    bar = one.bar
    back = bar.drop_link * math.sin(bar.drop_link_angle)
    up = found["bar's drop link"].bump * bar.motion_ratio
    assert math.hypot(bar.shape.arm - back, up) == pytest.approx(bar.shape.arm, rel=1e-9)


def test_coil_is_solid_and_slack_where_its_lengths_say(truck):
    """Within the slope it ends its travel with: the length at its ends is the solid one with its spacer, and the free one."""
    for i, one in enumerate(truck.design.axles):
        found = {each.part: each for each in travel_ends(truck, one.name)}["coil"]
        springs = sized(truck).springs[i]
        coil = springs.record.coil
        solid = float(lengths(one, found.bump).length)
        assert solid == pytest.approx(coil.spacer + (coil.least_length or coil.solid_length), abs=0.004)
        slack = float(lengths(one, found.droop).length)
        assert slack == pytest.approx(coil.free_length + coil.spacer, abs=0.003)


# ---- poses -------------------------------------------------------------------------------------------------------


def test_axles_on_the_ditch_stand_on_it_and_carry_what_statics_says(truck):
    """The wheel that lifts carries next to nothing, all carry the weight, each tyre is pressed by its load over its rate."""
    stood = on_ditch(truck, "Full", 0.39, "front right")
    weight = next(one.mass for one in sized(truck).states if one.name == "Full") * GRAVITY
    assert sum(load for one in stood for load in one.loads) == pytest.approx(weight, rel=1e-6)
    for one, given in zip(stood, truck.design.axles, strict=True):
        assert one.ground[0] == pytest.approx(-one.ground[1])
        assert abs(one.ground[0] - one.ground[1]) == pytest.approx(SHORT_OF * 0.39)
        for ground, centre, carried in zip(one.ground, one.centres, one.loads, strict=True):
            assert centre - ground == pytest.approx(given.tyre.unloaded_radius - carried / given.tyre.rate, abs=2e-4)
    assert min(load for one in stood for load in one.loads) == stood[0].loads[1]


@pytest.mark.parametrize("left", [True, False])
def test_leaning_vehicle_is_drawn_with_its_low_side_left_and_heavy(truck, left):
    one = leaned(truck, "Full", math.radians(36.0), 1, left)
    assert one.axle.loads[0] > 5 * one.axle.loads[1] > 0
    shape = one.outlines[0]
    low, high = sorted((shape[0], shape[-1]), key=lambda at: -at[0])  # the corners of its floor
    assert low[1] < high[1]  # the body leans downhill
    given = leaned(truck, "Full", 1e-6, 1, left).outlines[0]
    for (a, b), (c, d) in zip(pairwise(shape), pairwise(given), strict=True):
        assert math.dist(a, b) == pytest.approx(math.dist(c, d), rel=1e-9)  # turned, not sheared


# ---- odd vehicles -------------------------------------------------------------------------------------------------


def on_flat_ground(tmp_path):
    (tmp_path / "flat.csv").write_text(
        "distance [m],left [m],right [m]\n" + "".join(f"{0.1 * k:.1f},0,0\n" for k in range(900))
    )
    ground = {"name": "yard", "profile": "flat.csv"}
    stint = {"hours": "10 h", "ground": "yard", "speed": "20 km/h", "state": "full"}
    return design_file(vehicle(grounds=[ground], duty_cycle=[stint]), tmp_path / "t.toml")


def test_duty_cycle_on_flat_ground_is_answered(tmp_path):
    """No spring moves: there is no swing to count, and the proof goes on."""
    answers = {one.question: one for one in prove(on_flat_ground(tmp_path)).answers}
    assert not any(one.name.startswith("Stress of the coils") for one in answers["last"].curves)


def test_hose_that_is_too_short_ends_the_travel_where_it_pulls_straight():
    """Too short everywhere: nothing is left even in the design position. Just long enough there: short of the travel asked."""
    at = {"body": ["0 mm", "500 mm", "300 mm"], "wheel": ["0 mm", "700 mm", "420 mm"]}
    assert ended(brake_hose={**at, "length": "100 mm"})["brake hose"].droop == 0.0
    apart = math.hypot(0.2, 0.12)
    found = ended(brake_hose={**at, "length": f"{1000 * apart + 5} mm"})["brake hose"]
    ends = [one for one in (found.bump, found.droop) if one is not None]
    assert any(0 < abs(one) < 0.13 for one in ends)
    for one in ends:
        if abs(one) < 0.13:  # within the travel: as far apart as it is long
            assert math.hypot(0.2, 0.12 + one) == pytest.approx(apart + 0.005, abs=2e-4)


def test_obstacle_that_reads_like_a_usual_one_has_one_line():
    data = vehicle(reference={"obstacle_height": "100.3 mm"})
    curves = next(one for answer in prove(design_file(data)).answers for one in answer.curves if "half-round" in one.name)  # fmt: skip
    names = [line.name for line in curves.lines]
    assert len(set(names)) == len(names)
