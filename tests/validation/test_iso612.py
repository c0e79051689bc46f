"""Approach, departure and ramp angles of ISO 612 by plane geometry: planes tangent to the tyres as they stand loaded."""

import numpy as np
import pytest

from springwright.questions.angles import between, beyond, tangent_angle
from springwright.questions.prove import make_ready, prove
from tests.build import design_file, vehicle


def by_search(away, above, radius):
    """The steepest line from the ground under the tyre's front to the point that leaves the tyre above it, tried angle by angle."""
    angle = np.radians(np.linspace(0.01, 89.99, 900_001))
    # distance of the tyre's centre from the line through the point, above the line positive
    clear = (radius - above) * np.cos(angle) + away * np.sin(angle)
    return float(np.degrees(angle[np.argmin(np.abs(clear - radius))]))


def test_a_point_ahead_of_a_tyre():
    """0.80 m ahead of the tyre's centre and 0.50 m up, static loaded radius 0.38 m: 36.55 deg; from the contact centre it would be 32.0."""
    assert np.degrees(tangent_angle(0.80, 0.50, 0.38)) == pytest.approx(36.55, abs=0.01)
    assert by_search(0.80, 0.50, 0.38) == pytest.approx(36.55, abs=0.01)
    assert np.degrees(np.arctan2(0.5, 0.8)) == pytest.approx(32.0, abs=0.01)
    assert np.isnan(tangent_angle(0.1, 0.4, 0.38))


def test_departure_mirrors_approach_and_a_point_on_the_ground_is_no_angle():
    x, z = np.array([1.0, 0.7]), np.array([0.5, 0.45])
    ahead, behind = beyond(x, z, 0.0, 0.38, 1), beyond(-x, z, 0.0, 0.38, -1)
    assert ahead.angle == behind.angle
    assert (ahead.behind, behind.behind) == (-1.0, 1.0)
    assert tangent_angle(1.0, 0.0, 0.38) == pytest.approx(0.0)
    assert beyond(-x, z, 0.0, 0.38, 1) is None


def test_ramp_angle_of_a_point_midway():
    """Wheels 2.5 m apart, radius 0.40 m, the belly's lowest point midway 0.30 m up: twice the tangent from 1.25 m."""
    found = between(np.array([-1.25]), np.array([0.30]), 0.0, -2.5, 0.4, 0.4)
    assert np.degrees(found.angle) == pytest.approx(2 * by_search(1.25, 0.30, 0.40), abs=0.01)
    assert found.behind == 1.25


BELLY = [["-0.9 m", "450 mm"], ["-0.6 m", "300 mm"], ["3.1 m", "300 mm"], ["3.4 m", "500 mm"]]


def test_angles_of_a_vehicle_in_every_state_and_at_full_bump():
    """The level flat belly of the small vehicle, radii and heights by hand from its loads at rest."""
    file = design_file(
        vehicle(belly=BELLY, limits={"approach_angle": "30 deg", "departure_angle": "40 deg", "ramp_angle": "20 deg"})
    )
    answer = prove(file, ["fit"], sensitive=False).answers[0]
    ready = make_ready(file)
    told = {one.measure: one for one in answer.figures}
    down = {one.measure: one.value for one in answer.facts}
    approach, departure, ramp, low = [], [], [], []
    for at in ready.states:
        front, rear = (0.4 - at.rest.wheel_loads[i] / 250e3 for i in (0, 2))
        rise = [at.rest.rise_at(at.rig, x) for x in (0.9, 0.6, -3.1, -3.4)]
        approach.append(min(by_search(0.9, 0.45 + rise[0], front), by_search(0.6, 0.30 + rise[1], front)))
        departure.append(min(by_search(0.6, 0.30 + rise[2], rear), by_search(0.9, 0.50 + rise[3], rear)))
        x = np.linspace(0.3, 2.2, 191)
        z = 0.3 + np.interp(x, [0, 2.5], [at.rest.rise_at(at.rig, 0.0), at.rest.rise_at(at.rig, -2.5)])
        ramp.append(
            min(by_search(a, b, front) + by_search(2.5 - a, b, rear) for a, b in zip(x[::10], z[::10], strict=True))
        )
        wheel = at.rest.q[4:]
        drops = [0.14 - wheel[:2].mean(), 0.14 - wheel[2:].mean()]
        ahead = [drops[0] + (drops[1] - drops[0]) * x / 2.5 for x in (-0.9, -0.6)]
        low.append(min(by_search(0.9, 0.45 - ahead[0], front), by_search(0.6, 0.30 - ahead[1], front)))
    for name, by_hand, limit in (
        ("approach angle", approach, 30),
        ("departure angle", departure, 40),
        ("ramp angle", ramp, 20),
    ):
        assert np.degrees(told[name].value) == pytest.approx(min(by_hand), abs=0.1)
        assert told[name].word == (
            "met" if min(by_hand) > 1.05 * limit else "not met" if min(by_hand) < limit else "close"
        )
    assert np.degrees(down["approach angle, every wheel at full bump"]) == pytest.approx(min(low), abs=0.1)


def test_an_outline_that_ends_at_the_axle_says_what_is_missing():
    answer = prove(
        design_file(vehicle(belly=[["0.5 m", "300 mm"], ["2.0 m", "300 mm"]])), ["fit"], sensitive=False
    ).answers[0]
    told = {one.measure: one for one in answer.figures}
    assert told["ramp angle"].value is not None
    assert "give belly a point ahead of the tyres" in told["approach angle"].why
