"""Levers, inclined springs and spring base.

@book{bf, author = {Barton, D. C. and Fieldhouse, J. D.}, title = {Automotive Chassis Engineering}, publisher = {Springer}, year = {2018},
  note = {chapter 3, equations 3.29 to 3.33 for the lever}}

The lever's form is the book's. The table of the leaning spring is derived (and held against finite differences here);
the spring-base cases follow from statics (Milliken; Gillespie, from memory).
"""

import numpy as np
import pytest

from springwright.linkage.mounts import Lever, OnBeam
from springwright.linkage.rates import (
    beam_one_wheel_rate,
    beam_roll_rate,
    lever_ratio,
    ride_rate,
    roll_stiffness,
    spring_rate,
    wheel_rate,
)

LEAN = np.degrees(np.arctan(100 / 420))


def lever(**changes):
    return Lever(**{"by": "lever", "arm": "600 mm", "spring_at": "350 mm", "lean": f"{LEAN:.15f} deg", **changes})


def test_upright_spring_on_a_lever():
    ratio = lever_ratio(0.45, 0.60, 0.0, 0.0)
    assert 25.0 * ratio**2 == pytest.approx(14.0625, rel=1e-12)


@pytest.mark.parametrize(("degrees", "share"), [(15, 0.93301), (30, 0.75), (45, 0.5)])
def test_a_lean_counts_twice(degrees, share):
    """cos squared, not cos: some references print it once."""
    assert (lever_ratio(0.45, 0.60, np.radians(degrees), 0.0) / 0.75) ** 2 == pytest.approx(share, rel=1e-5)


TABLE = [  # travel mm: spring length mm, ratio, slope 1/m, spring N, wheel N, k r2 N/mm, wheel rate N/mm
    (-80, 476.6157, 0.555205, 0.12289, 3470.74, 1926.98, 24.6602, 25.0868),
    (0, 431.7407, 0.567470, 0.18290, 7060.75, 4006.76, 25.7618, 27.0532),
    (80, 385.6975, 0.584345, 0.23795, 10744.20, 6278.32, 27.3167, 29.8733),
]


@pytest.mark.parametrize("row", TABLE)
def test_leaning_spring_along_its_travel(row):
    travel, length, ratio, slope, spring, wheel, first, rate = row
    found = lever().lengths(travel / 1e3, np.hypot(0.100, 0.420))
    assert 1e3 * found.length == pytest.approx(length, abs=1e-4)
    assert found.ratio == pytest.approx(ratio, abs=1e-6)
    assert found.slope == pytest.approx(slope, abs=1e-5)
    force = 80e3 * (0.520 - found.length)
    assert force == pytest.approx(spring, abs=0.01)
    assert force * found.ratio == pytest.approx(wheel, abs=0.01)
    assert 80.0 * found.ratio**2 == pytest.approx(first, abs=1e-4)
    assert wheel_rate(80e3, found.ratio, force, found.slope) / 1e3 == pytest.approx(rate, abs=1e-4)
    assert spring_rate(
        wheel_rate(80e3, found.ratio, force, found.slope), force, found.slope, found.ratio
    ) == pytest.approx(80e3, rel=1e-12)


MOUNTS = [
    (lever(), 0.43),
    (lever(lean="-20 deg", arm_slope="12 deg"), 0.43),
    (lever(lean="25 deg", arm_slope="-8 deg", arm="480 mm"), 0.36),
    (OnBeam(by="beam", base="1 m", lean_in="15 deg", lean="-8 deg"), 0.36),
    (
        OnBeam(
            by="beam", base="1 m", lean_in="12 deg", lean="9 deg", arm="760 mm", spring_at="640 mm", arm_slope="5 deg"
        ),
        0.36,
    ),
    (OnBeam(by="beam", base="1 m", arm="700 mm", spring_at="820 mm"), 0.36),
]


@pytest.mark.parametrize(("mount", "at_rest"), MOUNTS)
def test_slopes_are_those_of_the_length(mount, at_rest):
    """Virtual work: ratio and its change are the first and second differences of the spring's length."""
    x, h = np.linspace(-0.1, 0.1, 9), 1e-4
    low, here, high = (mount.lengths(x + step, at_rest) for step in (-h, 0, h))
    assert here.ratio == pytest.approx((low.length - high.length) / (2 * h), rel=1e-7)
    assert here.slope == pytest.approx((2 * here.length - low.length - high.length) / h**2, rel=1e-4, abs=1e-5)
    assert mount.lengths(0.0, at_rest).length == pytest.approx(at_rest, rel=1e-12)


def test_lever_at_rest_is_the_displayed_formula():
    mount = lever(lean="25 deg", arm_slope="-8 deg", arm="480 mm")
    shown = lever_ratio(mount.spring_at, mount.arm, mount.lean, mount.arm_slope)
    assert mount.lengths(0.0, 0.36).ratio == pytest.approx(shown, rel=1e-12)


def test_beam_axle_on_its_spring_base():
    """k = 60 N/mm a side, spring base 0.8, track 1.6 m."""
    roll = beam_roll_rate(60e3, 0.8, 1.6)
    assert roll == pytest.approx(15e3, rel=1e-12)
    assert roll_stiffness(roll, 1.6) == pytest.approx(19_200, rel=1e-12)
    assert roll_stiffness(60e3, 1.6) == pytest.approx(76_800, rel=1e-12)
    assert beam_one_wheel_rate(60e3, 0.8, 1.6) == pytest.approx(37.5e3, rel=1e-12)
    tyres = roll_stiffness(300e3, 1.6)
    assert 19_200 * tyres / (19_200 + tyres) == pytest.approx(18_285.7, rel=1e-5)
    assert ride_rate(38_689.0, 300e3) == pytest.approx(34_269, rel=1e-4)
