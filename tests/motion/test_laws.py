"""Each force law by itself, against SciPy's spline and quadrature and the plain formulas: kernel and slow twin share them, so neither can check the other."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import CubicHermiteSpline

from springwright.motion import laws

FORCE, SLOPE = np.array([120.0, 910.0]), np.array([300.0, 1400.0])  # at the ends of a cell, slopes per way through it
SPLINE = CubicHermiteSpline([0.0, 1.0], FORCE, SLOPE)
CUBIC = tuple(SPLINE.c[::-1, 0])  # f0, f1, f2, f3
WAYS = np.linspace(0.0, 1.0, 9)


def test_a_cell_is_the_cubic_through_its_ends_and_slopes():
    assert laws.in_cell(*CUBIC, WAYS) == pytest.approx(SPLINE(WAYS), rel=1e-12)
    assert laws.in_cell_slope(*CUBIC[1:], WAYS) == pytest.approx(SPLINE(WAYS, 1), rel=1e-12)
    assert laws.in_cell_energy(*CUBIC, 0.7) == pytest.approx(quad(SPLINE, 0.0, 0.7)[0], rel=1e-12)


@pytest.mark.parametrize(("out", "end"), [(-0.8, 0), (1.7, 1)])
def test_past_its_ends_it_goes_on_straight(out, end):
    straight = lambda x: FORCE[end] + SLOPE[end] * x  # noqa: E731
    below, above = min(out, 0.0), max(out, 0.0)
    assert laws.past_ends(FORCE[end], below, SLOPE[0], above, SLOPE[1]) == pytest.approx(straight(out), rel=1e-12)
    assert laws.past_end_energy(FORCE[end], SLOPE[end], out) == pytest.approx(quad(straight, 0.0, out)[0], rel=1e-12)


def test_a_tyre_is_a_spring_with_a_rim_that_carries_past_its_room():
    """By a crossing of two straight springs: 4 kN in the design position, 250 N/mm, and past 30 mm a rim of 2 kN/mm more."""
    carried, rate, rim, room = 4000.0, 250e3, 2e6, 0.030
    push = lambda pressed: carried + rate * pressed + (rim * (pressed - room) if pressed > room else 0.0)  # noqa: E731
    for pressed in (-0.01, 0.0, 0.02, 0.045):
        past = max(pressed - room, 0.0)
        assert laws.tyre_spring(carried, rate, pressed, rim, past) == pytest.approx(push(pressed), rel=1e-12)
        free = -carried / rate  # where it just touches
        stored = quad(push, free, pressed, points=[room] if pressed > room else None)[0]
        alone = laws.tyre_spring(carried, rate, pressed, 0.0, 0.0)
        assert laws.tyre_energy(alone, rate, rim, past) == pytest.approx(stored, rel=1e-9)
    assert laws.tyre_pushes(4000.0, 300.0, 2.0) == pytest.approx(3400.0)  # a wheel that leaves the ground at 2 m/s


def test_dry_friction_is_the_sine_of_a_slope_and_whole_far_from_rest():
    """s / sqrt(s2 + z2) is sin(arctan(s / z)): 0.7071 of it at the zone's speed, within 0.5 % at ten times that, odd."""
    speed, zone = np.array([-0.02, 0.0, 0.002, 0.01]), 0.002
    assert laws.sliding(speed, zone) == pytest.approx(np.sin(np.arctan(speed / zone)), abs=1e-14)
    assert laws.sliding(zone, zone) == pytest.approx(0.70711, rel=1e-5)
    assert 0.995 < laws.sliding(10 * zone, zone) < 1.0


def test_a_hitch_gives_way_as_it_rises():
    """8 kN at rest, 400 N/mm: 10 mm up leaves 4 kN, and what it gave back is the work on the way."""
    held = laws.hitch_holds(8000.0, 400e3, 0.010)
    assert held == pytest.approx(4000.0)
    given = laws.hitch_energy(8000.0, 400e3) - laws.hitch_energy(held, 400e3)
    assert given == pytest.approx(quad(lambda rise: 8000.0 - 400e3 * rise, 0.0, 0.010)[0], rel=1e-12)
