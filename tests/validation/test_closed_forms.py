"""Closed forms derived on paper; no publication is claimed for their numbers except where said."""

import numpy as np
import pytest

from springwright.linkage.rates import ride_rate
from springwright.motion.modes import solve
from springwright.parts.damper import bump_share, damper_damping, rebound_share, wheel_damping
from springwright.sizing.frequency import (
    coupling_terms,
    faster_mode,
    frequency_of_rate,
    hop_frequency,
    pitch_node,
    rate_for_frequency,
    slower_mode,
)


def test_dynamic_index_of_one_puts_the_nodes_over_the_axles():
    m, a, b, kf, kr = 1500.0, 1.2, 1.6, 40e3, 36e3
    terms = coupling_terms(np.array([kf, kr]), np.array([a, -b]), m, np.sqrt(a * b))
    slow, fast = slower_mode(**terms), faster_mode(**terms)
    assert slow == pytest.approx(1.087235, rel=1e-6)
    assert fast == pytest.approx(1.191007, rel=1e-6)
    assert slow == pytest.approx(np.sqrt(kf * (a + b) / (m * b)) / (2 * np.pi), rel=1e-9)
    assert fast == pytest.approx(np.sqrt(kr * (a + b) / (m * a)) / (2 * np.pi), rel=1e-9)
    assert sorted([pitch_node(terms, slow), pitch_node(terms, fast)]) == pytest.approx([-b, a], rel=1e-9)


def test_equal_moments_of_rate_uncouple_bounce_and_pitch():
    terms = coupling_terms(np.array([30e3, 20e3]), np.array([1.0, -1.5]), 1200.0, 1.3)
    assert sorted([slower_mode(**terms), faster_mode(**terms)]) == pytest.approx(
        sorted([np.sqrt(50e3 / 1200) / (2 * np.pi), np.sqrt((30e3 + 20e3 * 2.25) / (1200 * 1.69)) / (2 * np.pi)]),
        rel=1e-12,
    )


def test_target_to_rates_to_damping():
    """m = 500 kg, f = 1.4 Hz, damping ratio 0.30, motion ratio 0.60."""
    k = rate_for_frequency(1.4, 500.0)
    assert k == pytest.approx(38_688.8, rel=2e-6)
    c = wheel_damping(0.30, k, 500.0)
    assert c == pytest.approx(2638.94, rel=2e-6)
    assert damper_damping(c, 0.60) == pytest.approx(7330.38, rel=2e-6)
    assert k / 0.60**2 == pytest.approx(107_469, rel=1e-5)


@pytest.mark.parametrize(
    ("split", "bump", "rebound"), [(1.5, 2111.15, 3166.73), (2, 1759.29, 3518.58), (3, 1319.47, 3958.41)]
)
def test_bump_and_rebound_keep_their_mean(split, bump, rebound):
    assert bump_share(2638.94, split) == pytest.approx(bump, rel=5e-6)
    assert rebound_share(2638.94, split) == pytest.approx(rebound, rel=5e-6)


def test_quarter_vehicle_with_tyre():
    """k_w = 38.69 and k_t = 300 N/mm, 500 and 60 kg."""
    k, kt, m, mu = 38_690.0, 300e3, 500.0, 60.0
    assert ride_rate(k, kt) == pytest.approx(34_269.4, rel=1e-4)
    assert frequency_of_rate(ride_rate(k, kt), m) == pytest.approx(1.3176, rel=1e-4)
    assert hop_frequency(k, kt, mu) == pytest.approx(11.958, rel=1e-4)
    squares, _ = solve(np.diag([m, mu]), np.array([[k, -k], [-k, k + kt]]))
    assert np.sqrt(squares) / (2 * np.pi) == pytest.approx([1.31657, 11.9671], rel=2e-5)


def test_quarter_car_of_a_textbook():
    """Jazar, Vehicle Dynamics: inputs m_s 375, m_u 75 kg, k_s 35, k_t 193 kN/m; results worked out here, not printed there."""
    squares, _ = solve(np.diag([375.0, 75.0]), np.array([[35e3, -35e3], [-35e3, 228e3]]))
    assert np.sqrt(squares) == pytest.approx([8.86710, 55.26941], rel=1e-6)
    assert hop_frequency(35e3, 193e3, 75.0) == pytest.approx(8.7752, rel=1e-4)
