"""Frequencies and modes of an automobile.

@book{rao, author = {Rao, S. S.}, title = {Mechanical Vibrations}, note = {example 5.7 in the 4th and 5th editions}}

Printed results, five digits, are from memory: 5.8593 and 9.4341 rad/s, ratios -2.6461 and 0.3061.
"""

import numpy as np
import pytest

from springwright.sizing.frequency import coupling_terms, faster_mode, pitch_node, slower_mode

TERMS = coupling_terms(np.array([18e3, 22e3]), np.array([1.0, -1.5]), 1000.0, 0.9)


def test_frequencies():
    assert 2 * np.pi * slower_mode(**TERMS) == pytest.approx(5.8593, rel=1e-4)
    assert 2 * np.pi * faster_mode(**TERMS) == pytest.approx(9.4341, rel=1e-4)


def test_amplitude_ratios():
    assert pitch_node(TERMS, slower_mode(**TERMS)) == pytest.approx(-2.6461, rel=1e-4)
    assert pitch_node(TERMS, faster_mode(**TERMS)) == pytest.approx(0.3061, rel=2e-4)
