"""Coupled bounce and pitch of a car body.

@book{thomson, author = {Thomson, W. T.}, title = {Theory of Vibration with Applications},
  note = {section 5.3, automobile, p. 142 of the 2010 Taylor and Francis printing}}

Printed: coupled 6.90 and 9.06 rad/s (three digits; the second is 9.05 when not rounded on the way, hence 0.2 %).
Amplitude ratios -14.6 and 1.09 ft/rad are from memory, three digits, 1 %.
"""

import numpy as np
import pytest

from springwright.motion.modes import solve
from springwright.sizing.frequency import coupling_terms, faster_mode, pitch_node, slower_mode

MASS, RADIUS = 100.0, 4.0  # slug, ft
RATES, ARMS = np.array([2400.0, 2600.0]), np.array([4.5, -5.5])  # lb/ft, ft ahead of the CG
TERMS = coupling_terms(RATES, ARMS, MASS, RADIUS)


def test_coupled_frequencies():
    assert 2 * np.pi * slower_mode(**TERMS) == pytest.approx(6.90, rel=2e-3)
    assert 2 * np.pi * faster_mode(**TERMS) == pytest.approx(9.06, rel=2e-3)


def test_uncoupled_frequencies():
    assert np.sqrt(TERMS["heave"]) == pytest.approx(7.07, abs=0.005)
    assert np.sqrt(TERMS["turn"]) == pytest.approx(8.92, abs=0.005)


def test_amplitude_ratios():
    assert pitch_node(TERMS, slower_mode(**TERMS)) == pytest.approx(-14.6, rel=0.01)
    assert pitch_node(TERMS, faster_mode(**TERMS)) == pytest.approx(1.09, rel=0.01)


def test_eigenvalues_say_the_same():
    mass = np.diag([MASS, MASS * RADIUS**2])
    stiffness = np.array([[RATES.sum(), -RATES @ ARMS], [-RATES @ ARMS, RATES @ ARMS**2]])
    squares, _ = solve(mass, stiffness)
    assert np.sqrt(squares) / (2 * np.pi) == pytest.approx([slower_mode(**TERMS), faster_mode(**TERMS)], rel=1e-12)
