"""One spring through the formulas of EN 13906-1:2013.

The standard holds no complete worked example. The set below was derived from its formulas, written from memory: it
guards the arithmetic and the units, and the textbook examples beside it guard the physics. Stated digits, 1e-4.
"""

import numpy as np
import pytest

from springwright.parts import coil

D, MEAN, N, G, E = 14e-3, 120e-3, 7.0, 78.5e9, 206e9


def test_rate_and_stress():
    assert coil.rate(G, D, MEAN, N) == pytest.approx(31_163.8, rel=1e-5)
    assert coil.correction(MEAN / D) == pytest.approx(1.15982, rel=1e-5)
    assert coil.shear_stress(5000, MEAN, D) / 1e6 == pytest.approx(556.81, rel=1e-5)
    assert coil.correction(MEAN / D) * coil.shear_stress(5000, MEAN, D) / 1e6 == pytest.approx(645.80, rel=1e-5)


@pytest.mark.parametrize(("made", "static", "dynamic"), [("cold coiled", 20.60, 30.90), ("hot coiled", 18.76, 37.52)])
def test_least_gaps(made, static, dynamic):
    assert 1e3 * coil.least_gaps(D, MEAN, N, made) == pytest.approx(static, abs=0.005)
    assert 1e3 * coil.working_gaps(D, MEAN, N, made) == pytest.approx(dynamic, abs=0.005)


@pytest.mark.parametrize(
    ("total", "ends", "made", "solid"),
    [
        (9, "closed and ground", "cold coiled", 126.0),
        (9, "closed", "cold coiled", 147.0),
        (8.5, "closed and ground", "hot coiled", 114.8),
        (8.5, "closed", "hot coiled", 134.4),
    ],
)
def test_solid_length(total, ends, made, solid):
    assert coil.total_coils(N, ends, made) == total
    assert 1e3 * coil.solid_length(D, total, ends, made) == pytest.approx(solid, abs=1e-9)


def test_surge_is_the_coil_between_fixed_ends():
    surge = coil.surge_frequency(D, MEAN, N, G, 7850.0)
    assert surge == pytest.approx(49.428, rel=1e-5)
    active_mass = coil.coil_mass(D, MEAN, N, 7850.0)
    assert surge == pytest.approx(np.sqrt(coil.rate(G, D, MEAN, N) / active_mass) / 2, rel=1e-12)


def test_buckling():
    assert 1e3 * coil.buckling_travel(0.4, MEAN, 1.0, G, E) == pytest.approx(124.99, rel=1e-4)
    assert np.all(np.isinf(coil.buckling_travel(0.4, MEAN, np.array([0.5, 0.7]), G, E)))


@pytest.mark.parametrize(("shear", "limit"), [(78.5e9, 2.6331), (81.5e9, 2.5807)])
def test_absolute_stability_follows_from_the_moduli(shear, limit):
    just_below, just_above = (
        coil.buckling_travel(share * limit * MEAN, MEAN, 1.0, shear, E) for share in (0.9999, 1.0001)
    )
    assert np.isinf(just_below)
    assert np.isfinite(just_above)


def test_growth_when_pressed_solid():
    assert 1e3 * coil.growth_at_solid(D, MEAN, 53.143e-3) == pytest.approx(1.825, rel=1e-3)


@pytest.mark.parametrize(
    ("index", "wahl", "bergstraesser"),
    [
        (4, 1.4038, 1.3846),
        (5, 1.3105, 1.2941),
        (6, 1.2525, 1.2381),
        (8, 1.1840, 1.1724),
        (10, 1.1448, 1.1351),
        (12, 1.1194, 1.1111),
    ],
)
def test_correction_factors(index, wahl, bergstraesser):
    assert coil.wahl(index) == pytest.approx(wahl, abs=5e-5)
    assert coil.correction(index) == pytest.approx(bergstraesser, abs=5e-5)
    assert coil.correction(index) == pytest.approx((4 * index + 2) / (4 * index - 3), rel=1e-12)  # as Shigley writes it
