"""Walking beams, cross-links and tyres whose friction falls with load, in every solver."""

from dataclasses import replace

import numpy as np
import pytest

from springwright.errors import InputError
from springwright.motion.drive import drive
from springwright.motion.equilibrium import equilibria, equilibrium
from springwright.motion.figures import Point
from springwright.motion.forces import GRAVITY, Case, axle_grip, friction_of
from springwright.motion.modes import modes
from springwright.questions.at_rest import rest
from springwright.sizing.fitted import assemble
from springwright.terrain.roughness import rough_ground
from springwright.vehicle.assemble import without_stops
from springwright.vehicle.weigh import shared_loads, weigh
from tests.build import axle, design, design_file, vehicle

BEAM = {"kind": "beam", "spring": {"acts": {"by": "beam", "base": "1.0 m", "ratio": None}}}


def six_wheels(kind=None, **changes):
    """Three axles, the rear two on a walking beam whose pivot is nearer the second."""
    made = {**(kind or {}), "target": {"damping_ratio": 0.3}}
    data = vehicle(
        axles=[axle("a", 0.0, **made), axle("b", 2.0, **made), axle("c", 3.2, **made)],
        kerb={"mass": "2400 kg", "behind_front_axle": "1.5 m", "above_ground": "0.8 m"},
        states=[{"name": "empty"}],
        items=[],
        walking_beams=[{"name": "bogie", "axles": ["b", "c"], "pivot": "2.5 m"}],
    )
    data.update(changes)
    return data


def test_loads_follow_from_statics():
    """By hand: 100 kg at each wheel's own axle, the rest on the front axle and the pivot, 7/12 of that on the nearer axle."""
    made = design(**six_wheels())
    loads = shared_loads(made, weigh(made, "empty"))
    sprung = 2400 - 300
    place = (2400 * 1.5 - 100 * 2.0 - 100 * 3.2) / sprung
    pivot = sprung * place / 2.5
    assert loads == pytest.approx([100 + sprung - pivot, 100 + pivot * 7 / 12, 100 + pivot * 5 / 12], rel=1e-9)


@pytest.mark.parametrize("kind", [None, BEAM])
def test_rest_shares_load_by_the_pivot_on_any_ground(kind):
    """Whatever lies under the wheels, the beam splits its load 7 to 5: moments about its pivot."""
    rig = without_stops(assemble(design_file(six_wheels(kind))))
    for ground in (0.0, np.array([0, 0, 0.06, 0.06, 0, 0]), np.array([0.03, 0, 0.05, 0.0, -0.02, 0.0])):
        still = equilibrium(rig, ground)
        sprung = still.wheel_loads - 50 * GRAVITY
        assert (sprung[2] + sprung[3]) * 5 == pytest.approx((sprung[4] + sprung[5]) * 7, rel=1e-9)
        if kind is None:
            assert sprung[2] * 5 == pytest.approx(sprung[4] * 7, rel=1e-9)
        assert equilibria(rig, ground).q[0] == pytest.approx(still.q, abs=1e-9)


def test_a_beam_turns_freely():
    """Undriven by any spring, the beam's own turning meets the tyres alone: the hop of its wheels against each other is sqrt(k_t / m)."""
    rig = without_stops(assemble(design_file(six_wheels())))
    frequencies = [mode.frequency for mode in modes(rig, equilibrium(rig))]
    alone = np.sqrt(250e3 / 50) / (2 * np.pi)
    # wheels moving as 5 to -7 leave the pivot where it is: springs and body feel nothing
    assert min(abs(np.array(frequencies) / alone - 1)) < 1e-6


@pytest.mark.parametrize("kind", [None, BEAM])
def test_driving_keeps_the_energy(kind):
    """Four wheels joined by one element on beam axles: the wide kernel, its audit and its standing still."""
    rig = assemble(design_file(six_wheels(kind)))
    ground = rough_ground("D", 60.0, 1.6).felt(0.35, 0.2)
    done = drive(rig, ground, 8.0, points=[Point("seat", (-1.0, 0.4, 1.0))])
    assert done.audit.residual < 1e-5
    assert 0.1 < done.points[0].up < 5.0
    still = drive(rig, rough_ground("A", 40.0, 1.6).mirrored(), 5.0, duration=0.001)
    assert still.wheels[0].load_mean == pytest.approx(equilibrium(rig).wheel_loads[0], rel=0.05)


def test_cross_link_rows_are_what_was_written():
    """A link on opposite wheels resists warp as its rate says and leaves heave alone."""
    link = {
        "name": "cross",
        "shares": {"front left": 0.5, "front right": -0.5, "rear left": -0.5, "rear right": 0.5},
        "rate": "40 N/mm",
    }
    plain_rig = without_stops(assemble(design_file(vehicle())))
    rig = without_stops(assemble(design_file(vehicle(cross_links=[link]))))
    assert equilibrium(rig).q == pytest.approx(equilibrium(plain_rig).q, abs=1e-9)
    ground = 0.02 * np.array([1, -1, -1, 1])
    pair = [equilibrium(one, ground) for one in (plain_rig, rig)]
    travel = pair[1].travel @ np.array([0.5, -0.5, -0.5, 0.5])
    force = 40e3 * travel / 2
    spring = pair[1].wheel_loads[0] - pair[0].wheel_loads[0]
    moved = pair[1].travel[0] - pair[0].travel[0]
    rate = float(plain_rig.element_rate[0, 48])
    assert spring == pytest.approx(force + rate * moved, rel=1e-6)


def test_friction_falls_with_load():
    """mu0 0.9, fall 0.1, F0 4000 N: an axle whose wheels differ by 0, 1000, 2000 N passes 7200, 7155, 7020 N, exact by the law."""
    rig = assemble(design_file(vehicle()))
    grip = np.tile([0.9, 0.1, 4000.0], (4, 1))
    rig = replace(rig, tyre_grip=grip)
    for spread, expected in ((0, 7200), (1000, 7155), (2000, 7020)):
        loads = np.array([4000 + spread, 4000 - spread, 4000, 4000], dtype=float)
        assert axle_grip(rig, loads, Case())[1][0] == pytest.approx(expected, rel=1e-12)
    assert friction_of(rig, np.full(4, 1e6))[0] == pytest.approx(0.3 * 0.9)


def test_rest_says_what_the_tyres_hold():
    """On a slope of 20 degrees all axles together have to hold m g sin 20; on dry earth they can, on ice they slide."""
    tyre = {"friction": 0.68, "friction_fall": 0.1, "friction_load": "450 kg"}
    data = vehicle(axles=[axle(name, x, tyre=tyre) for name, x in (("front", 0.0), ("rear", 2.5))])
    held = rest(design_file(data), "empty", Case.slope(lean=np.radians(20)))
    assert sum(axle.needed for axle in held.grip) == pytest.approx(1500 * GRAVITY * np.sin(np.radians(20)), rel=1e-6)
    assert all(axle.needed < axle.there for axle in held.grip)
    assert rest(design_file(vehicle()), "empty").grip[0].there is None


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"walking_beams": [{"name": "x", "axles": ["a", "c"], "pivot": "1 m"}]}, "two neighbouring axles"),
        ({"walking_beams": [{"name": "x", "axles": ["b", "q"], "pivot": "2.5 m"}]}, "no such axle"),
        ({"walking_beams": [{"name": "x", "axles": ["b", "c"], "pivot": "4 m"}]}, "between the two axles"),
        ({"walking_beams": [{"name": n, "axles": p, "pivot": at} for n, p, at in (("x", ["a", "b"], "1 m"), ("y", ["b", "c"], "2.5 m"))]}, "another walking beam already"),
        ({"cross_links": [{"name": "x", "shares": {"a left": 1.0, "d left": 1.0}, "rate": "10 N/mm"}]}, "no such wheel"),
        ({"cross_links": [{"name": "x", "shares": {"a left": 1.0, "b left": 0.0}, "rate": "10 N/mm"}]}, "not 0"),
        ({"cross_links": [{"name": "x", "shares": {"a left": 9.0, "b left": 1.0}, "rate": "10 N/mm"}]}, "4"),
    ],
)  # fmt: skip
def test_what_cannot_be_joined_is_said(changes, says):
    with pytest.raises(InputError, match=says):
        design_file(six_wheels(**changes))


def test_two_axles_on_one_beam_cannot_stand_alone():
    data = vehicle(walking_beams=[{"name": "x", "axles": ["front", "rear"], "pivot": "1.2 m"}])
    with pytest.raises(InputError, match="walking beam cannot stand on its own"):
        design_file(data)
