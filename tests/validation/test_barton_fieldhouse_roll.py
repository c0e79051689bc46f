"""Lateral load transfer of a worked example.

@book{bf, author = {Barton, D. C. and Fieldhouse, J. D.}, title = {Automotive Chassis Engineering}, publisher = {Springer}, year = {2018},
  note = {p. 174; g = 9.81. The printed elastic front share 1556 is a misprint for 1566: 1566 + 195 + 158 = 1919}}

Printed: geometric 195 and 760 N, unsprung 158 and 218 N, totals 1919 and 1649 N, roll gradient 0.0194 rad/(m/s2). The front
and rear roll stiffness are not on that page; about 20 000 and 8 600 N m/rad of the 28 650 give the printed elastic shares.
"""

from dataclasses import replace

import numpy as np
import pytest

from springwright.motion.equilibrium import equilibrium
from springwright.motion.forces import Case, applied
from springwright.vehicle.assemble import without_stops
from tests.build import design
from tests.motion.test_motion import rig_of

MS, ARM, T, AY = 1280.0, 0.365, 1.46, 0.6 * 9.81
HEIGHTS, UNSPRUNG, UNSPRUNG_HEIGHT = np.array([0.07, 0.32]), np.array([140.0, 180.0]), np.array([0.28, 0.30])
SHARE = np.array([0.54, 0.46])  # of the sprung mass, front and rear
STIFFNESS = np.array([20_050.0, 8_600.0])


def example():
    """The example's vehicle as a Rig: linear springs at the track, very stiff tyres, gravity's lean left in as the book does."""
    base = without_stops(rig_of(design())[0])
    length = 2.7
    x = np.array([0.0, 0.0, -length, -length])
    axis = HEIGHTS[0] + (HEIGHTS[1] - HEIGHTS[0]) * SHARE[1]
    rate = np.repeat(STIFFNESS * 2 / T**2, 2)
    span = np.linspace(-1, 1, 97)
    loads = np.repeat((MS * SHARE) * 9.80665 / 2, 2)
    total = MS * SHARE + UNSPRUNG
    return replace(
        base,
        sprung_mass=MS,
        sprung_cg=np.array([-length * SHARE[1], 0.0, axis + ARM]),
        roll_arm=ARM,
        pitch_arm=ARM,
        axle_upright=np.ones(2),
        wheel_places=np.column_stack([x, np.array([1, -1, 1, -1]) * T / 2]),
        wheel_weights=np.repeat(UNSPRUNG / 2, 2),
        element_start=np.full(4, -1.0),
        element_step=np.full(4, span[1] - span[0]),
        element_force=loads[:, None] + rate[:, None] * span,
        element_rate=np.repeat(rate[:, None], 97, axis=1),
        tyre_rate=np.full(4, 1e11),
        tyre_force=loads + np.repeat(UNSPRUNG / 2, 2) * 9.80665,
        axle_share=total / total.sum(),
        axle_roll_centre=HEIGHTS,
        axle_track=np.full(2, T),
        axle_unsprung=UNSPRUNG,
        axle_height=UNSPRUNG_HEIGHT,
    )


def test_geometric_and_unsprung_transfer():
    """With the lean held (no acceleration in the springs) what is applied to each wheel pair is geometric plus unsprung."""
    load = applied(example(), Case(across=AY))
    still = applied(example(), Case())
    pairs = (load - still)[4:].reshape(2, 2)
    assert (pairs[:, 0] - pairs[:, 1]) / 2 == pytest.approx([195 + 158, 760 + 218], abs=1.0)
    geometric = MS * SHARE * AY * HEIGHTS / T
    assert geometric == pytest.approx([195, 760], abs=0.5)


def test_body_roll_moment_is_the_arm_not_the_height():
    """The one the total cannot tell: the body feels m_s a_y times its arm above the roll axis."""
    rig = example()
    assert (applied(rig, Case(across=AY)) - applied(rig, Case()))[2] == pytest.approx(MS * AY * ARM, rel=1e-3)


def test_totals_and_roll_gradient():
    """As printed, which is the first derivative at rest: 1919 and 1649 N at 0.6 g, 0.0194 rad/(m/s2), 10.9 deg/g."""
    rig = example()
    small = 1e-3
    level, turned = equilibrium(rig), equilibrium(rig, case=Case(across=small * AY))
    moved = (turned.wheel_loads - level.wheel_loads).reshape(2, 2) / small
    assert -moved[:, 0] == pytest.approx([1919, 1649], rel=5e-3)
    assert turned.roll / (small * AY) == pytest.approx(0.0194, abs=5e-5)
    assert np.degrees(turned.roll / (small * 0.6)) == pytest.approx(10.91, abs=0.01)


def test_roll_with_exact_rotations_by_hand():
    """K roll = m g d sin(roll) + m a d cos(roll) at 0.6 g, the roll axis fixed to the body: 0.11348 rad, 10.84 deg/g with the book's g."""
    roll = {}
    for g in (9.81, 9.80665):
        roll[g] = 0.0
        for _ in range(80):
            roll[g] = MS * ARM * (g * np.sin(roll[g]) + AY * np.cos(roll[g])) / STIFFNESS.sum()
    assert np.degrees(roll[9.81] / 0.6) == pytest.approx(10.84, abs=0.005)
    assert equilibrium(example(), case=Case(across=AY)).roll == pytest.approx(roll[9.80665], rel=1e-5)
