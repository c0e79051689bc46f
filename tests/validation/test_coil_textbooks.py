"""Worked coil springs of four textbooks.

@book{bhandari, author = {Bhandari, V. B.}, title = {Design of Machine Elements}, edition = {3}, note = {chapter 10}}
@book{singh, author = {Singh, Sadhu}, title = {Machine Design-I}, note = {chapter 8}}
@book{sarkar, author = {Sarkar, B. K.}, title = {Strength of Materials}, note = {chapter 8}}
@book{shigley, author = {Budynas, R. and Nisbett, K.}, title = {Shigley's Mechanical Engineering Design}, edition = {9},
  note = {chapter 10; results from memory, three digits, and the book rounds on the way}}
"""

import numpy as np
import pytest

from springwright.parts import coil

IN, LBF, PSI = 0.0254, 4.4482216, 6894.757


def test_bhandari_10_1():
    """1250 N, 30 mm, C = 6, shear 545 MPa, G = 81 370 MPa: wire 6.63 rounded to 7, then 7.91 coils rounded to 8."""
    index, force = 6.0, 1250.0
    d = np.sqrt(8 * coil.wahl(index) * force * index / (np.pi * 545))
    assert d == pytest.approx(6.6251, rel=1e-4)
    d, mean = 7e-3, 42e-3
    assert coil.wahl(mean / d) * coil.shear_stress(force, mean, d) / 1e6 == pytest.approx(
        545 * (6.6251 / 7) ** 2, rel=1e-4
    )
    assert coil.active_coils(81_370e6, d, mean, force / 30e-3) == pytest.approx(7.911, rel=1e-4)
    total = coil.total_coils(8, "closed and ground", "cold coiled")
    deflection = force / coil.rate(81_370e6, d, mean, 8)
    free = coil.solid_length(d, total, "closed and ground", "cold coiled") + (total - 1) * 1e-3 + deflection
    assert (total, 1e3 * free) == (10, pytest.approx(109.3376, rel=1e-5))


def test_bhandari_10_13_fatigue():
    """50 to 150 N on 3 mm wire, D = 18 mm, tensile 1430 MPa, oil-hardened: 1.26 printed."""
    found = coil.fatigue_factor(50, 150, 3e-3, 18e-3, 1430e6, "oil-hardened and alloy")
    assert found == pytest.approx(1.26, abs=0.005)


def test_bhandari_10_19_two_coils_share():
    """Outer d6 D36 n10, inner d5 D30 n8, 15 mm shorter, 1000 N: printed shares and stresses; G = 81 370 MPa."""
    outer, inner = coil.rate(81_370e6, 6e-3, 36e-3, 10), coil.rate(81_370e6, 5e-3, 30e-3, 8)
    travel = (1000 + inner * 0.015) / (outer + inner)
    assert 1e3 * travel == pytest.approx(24.98884, rel=1e-6)
    assert outer * travel == pytest.approx(706.021, rel=1e-6)
    assert coil.wahl(6.0) * coil.shear_stress(706.021, 36e-3, 6e-3) / 1e6 == pytest.approx(375.305, rel=1e-5)
    assert coil.wahl(6.0) * coil.shear_stress(293.979, 30e-3, 5e-3) / 1e6 == pytest.approx(225.032, rel=1e-5)


def test_singh_8_2_fatigue():
    """60 to 140 N, otherwise the same spring: 1.44 printed."""
    assert coil.fatigue_factor(60, 140, 3e-3, 18e-3, 1430e6, "oil-hardened and alloy") == pytest.approx(1.44, abs=0.005)


def test_sarkar_8_5_drop():
    """150 N dropped 50 mm on d6 D50 n50, G = 80 GPa: P = 2073.6 delta, 183.9 mm, 224.8 MPa printed."""
    rate = coil.rate(80e9, 6e-3, 50e-3, 50)
    assert rate == pytest.approx(2073.6, rel=1e-5)
    delta = (150 + np.sqrt(150**2 + 2 * rate * 150 * 0.05)) / rate
    assert 1e3 * delta == pytest.approx(183.9, rel=1e-3)
    assert coil.shear_stress(rate * delta, 50e-3, 6e-3) / 1e6 == pytest.approx(224.8, rel=5e-3)


def test_shigley_10_1():
    """No. 16 music wire, OD 7/16 in, squared ends, 12.5 total coils; 0.5 % for three digits and the book's rounding of D."""
    d, outside, total = 0.037 * IN, 7 / 16 * IN, 12.5
    mean = outside - d
    assert mean / d == pytest.approx(10.8, rel=5e-3)
    assert coil.correction(mean / d) == pytest.approx(1.124, rel=1e-3)
    rate = coil.rate(11.85e6 * PSI, d, mean, total - 2)
    assert rate / (LBF / IN) == pytest.approx(4.13, rel=5e-3)
    assert coil.solid_length(d, total - 1, "open", "cold coiled") / IN == pytest.approx(0.50 - 0.037, abs=5e-3)


def test_shigley_10_4_surge():
    """d .092, OD 9/16 in, 21 active: 48.1 lbf/in, 281 Hz, C 5.11, K_B 1.287."""
    d = 0.092 * IN
    mean = 9 / 16 * IN - d
    assert mean / d == pytest.approx(5.11, rel=2e-3)
    assert coil.correction(mean / d) == pytest.approx(1.287, rel=1e-3)
    assert coil.rate(11.75e6 * PSI, d, mean, 21) / (LBF / IN) == pytest.approx(48.1, rel=5e-3)
    density = 0.284 * 0.45359237 / IN**3
    assert coil.surge_frequency(d, mean, 21, 11.75e6 * PSI, density) == pytest.approx(281, rel=5e-3)


def test_shigley_10_1_stability():
    """Critical length 2.63 D / alpha for steel; with the book's D 0.400 in, alpha 0.5: 2.10 in."""
    mean = 0.400 * IN
    lengths = np.linspace(1.5, 2.6, 1101) * IN
    stable = ~np.isfinite(coil.buckling_travel(lengths, mean, 0.5, 78.5e9, 206e9))
    buckles_from = lengths[~stable][0] if np.any(~stable) else None
    stable_up_to = lengths[np.isinf(coil.buckling_travel(lengths, mean, 0.5, 78.5e9, 206e9))].max()
    assert stable_up_to / IN == pytest.approx(2.10, rel=5e-3)
    assert buckles_from is not None
