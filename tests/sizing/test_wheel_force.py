"""Force at the wheel along its travel, against what is worked out elsewhere and against statics by hand."""

import numpy as np
import pytest
from scipy.integrate import quad

from springwright.questions.prove import prove
from springwright.sizing.sheet import size
from springwright.sizing.wheel_force import wheel_forces
from springwright.units import GRAVITY
from springwright.vehicle.curves import bump_stop
from springwright.vehicle.edits import changed
from springwright.vehicle.file import load
from springwright.vehicle.starter import start


@pytest.fixture(scope="module", params=["fire-watch", "fire-watch-leaves", "survey-buggy", "bog-carrier"])
def demo(request, tmp_path_factory):
    path = tmp_path_factory.mktemp("force") / "truck.toml"
    start(path, request.param)
    return load(path)


def test_each_state_rests_where_its_own_weight_is_carried(demo):
    """Statics: in a state the mean of both wheels' forces is what stands on the springs, g times the sprung mass of a wheel."""
    sheet, walking = size(demo), {name for one in demo.design.walking_beams for name in one.axles}
    for i, one in enumerate(wheel_forces(demo)):
        if one.axle in walking:
            continue  # a beam shares the load of two
        rest = next(each for each in sheet.rests if each.name == sheet.design_state)
        there = next(each for each in one.rests if each.state == sheet.design_state)
        assert there.force == pytest.approx(GRAVITY * rest.axles[i].sprung_mass, rel=0.01)
        assert there.travel == pytest.approx(float(np.mean(rest.axles[i].travel)))


def test_at_first_touch_it_is_the_load_factor_times_the_load_at_rest(demo):
    sheet = size(demo)
    for i, one in enumerate(wheel_forces(demo)):
        assert one.touches == demo.design.axles[i].travel.bump
        assert one.at_touch == pytest.approx(float(np.interp(one.touches, one.travel, one.spring)))
        if (
            demo.design.axles[i].spring.leaf is None
        ):  # aimed at; those fitted are within some per cent, but for leaves with a helper
            assert one.at_touch / one.load == pytest.approx(sheet.rates[i].bump_load_factor, rel=0.08)


def test_the_stop_takes_the_area_under_its_own_force(demo):
    """By SciPy's own quadrature of the stop's law."""
    sheet = size(demo)
    for i, one in enumerate(wheel_forces(demo)):
        axle = demo.design.axles[i]
        stop = bump_stop(axle, GRAVITY * sheet.rates[i].sprung_mass)
        own, _ = quad(lambda x, stop=stop: float(stop.law(np.array([x]))[0][0]), 0.0, axle.travel.stop_compression)
        assert one.energy == pytest.approx(own, rel=0.01)
        assert np.all(np.diff(one.force) > 0)


def test_it_says_what_lands_says(demo):
    """The least of all axles' factors is the one that Lands tells of the design state, where that governs."""
    found = [one for one in prove(demo, ["land"], sensitive=False).answers[0].figures if one.id == "bump_load_factor"]
    told = {one.measure.partition(", ")[2]: one.value for one in found if one.state == size(demo).design_state}
    for one in wheel_forces(demo):
        if one.axle in told:
            assert one.at_touch / one.load == pytest.approx(told[one.axle], rel=2e-3)
    assert told


def test_a_state_that_rests_on_its_droop_stop_is_drawn_where_it_rests(tmp_path):
    """With 5 mm of droop the light state hangs on the stop: spring less stop carries its weight, farther out than the droop."""
    start(tmp_path / "truck.toml", "fire-watch")
    short = changed(load(tmp_path / "truck.toml"), [(("axles", 1, "travel", "droop"), "5 mm")])
    sheet, one = size(short), wheel_forces(short)[1]
    for rest, there in zip(sheet.rests, one.rests, strict=True):
        carried = GRAVITY * rest.axles[1].sprung_mass
        assert there.force == pytest.approx(carried, rel=0.02), rest.name
    assert min(there.travel for there in one.rests) < one.droop == -0.005
    assert one.travel[0] <= min(there.travel for there in one.rests)
