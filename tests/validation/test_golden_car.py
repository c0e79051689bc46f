"""The golden-car quarter car of the International Roughness Index.

@techreport{tp46, author = {Sayers, M. W. and Gillespie, T. D. and Paterson, W. D. O.}, title = {Guidelines for Conducting and
  Calibrating Road Roughness Measurements}, institution = {World Bank Technical Paper 46}, year = {1986}}

k_t/m_s = 653, k_s/m_s = 63.3, m_u/m_s = 0.15, c/m_s = 6.0 at 80 km/h (several sources). Roots as printed in the supplement of
Šroubek, Šorel and Žák (2021), doi 10.1007/s42947-021-00097-z. Slope gains are exact for these parameters; their peaks near 15 and
2.4 m wavelength and half gain near 30 and 1.25 m are as described in Sayers and Karamihas, The Little Book of Profiling (from memory).
"""

import numpy as np
import pytest

from springwright.motion.equilibrium import equilibrium
from springwright.motion.modes import modes
from springwright.motion.response import response, transfer
from springwright.motion.rig import BODY
from springwright.terrain.roughness import CLASSES, velocity_density
from tests.motion.test_drive import all_wheels_at_once

MASS, SPEED = 400.0, 80 / 3.6


@pytest.fixture(scope="module")
def car():
    rig = all_wheels_at_once(mass=MASS, unsprung=0.15 * MASS, spring=63.3 * MASS, damping=6.0 * MASS, tyre=653 * MASS)
    return rig, equilibrium(rig)


def gain(car, n):
    """Suspension speed per ground slope and speed: |z_s - z_u| / |z|."""
    moved = transfer(*car, np.atleast_1d(n) * SPEED, SPEED).sum(axis=2)
    return np.abs(moved[:, 0] - moved[:, BODY])


@pytest.mark.parametrize(
    ("n", "value"),
    [(0.01, 0.0316), (0.02, 0.1366), (1 / 30, 0.4548), (0.05, 1.2340), (1 / 15, 1.5273), (0.1, 1.2597), (0.2, 1.1697), (1 / 2.4, 1.6640),
     (0.5, 1.5335), (0.8, 0.4786), (1, 0.2731), (2, 0.0586)],
)  # fmt: skip
def test_slope_gain(car, n, value):
    assert gain(car, n)[0] == pytest.approx(value, abs=3e-4)


def test_extremes(car):
    waves = np.linspace(1.0, 40.0, 40_001)
    found = gain(car, 1 / waves)
    assert found.max() == pytest.approx(1.67648, rel=1e-4)
    assert waves[np.argmax(found)] == pytest.approx(2.2923, abs=2e-3)
    long = waves > 8
    assert found[long].max() == pytest.approx(1.53760, rel=2e-4)
    assert waves[long][np.argmax(found[long])] == pytest.approx(15.777, abs=0.01)


def test_roots(car):
    """Body 1.23630 Hz at 0.33343, wheel 10.75544 Hz at 0.30202."""
    found = modes(*car, damped=True)
    body = next(mode for mode in found if mode.name == "bounce")
    assert body.frequency == pytest.approx(1.23630, rel=1e-5)
    assert body.damping_ratio == pytest.approx(0.33343, rel=1e-4)
    wheel = min(
        found, key=lambda mode: abs(mode.frequency - 10.75544)
    )  # all wheels in phase; the others leave the body still
    assert wheel.frequency == pytest.approx(10.75544, rel=1e-5)
    assert wheel.damping_ratio == pytest.approx(0.30202, rel=1e-4)


def test_roughness_index_of_a_class(car):
    """IRI of class A, geometric mean: 2.2189 m/km over an infinite band, 2.2182 over 0.011 to 2.83 cycle/m."""
    found = response(*car, CLASSES["A"], SPEED, lowest=0.011, highest=2.83, coherence=1.0, count=2048)
    iri = np.sqrt(2 / np.pi) * found.damper_speed[0] / SPEED * 1e3
    assert iri == pytest.approx(2.2182, rel=2e-3)
    n = np.geomspace(1e-3, 30, 20_001)
    assert np.trapezoid(gain(car, n) ** 2, n) == pytest.approx(1.22437, rel=1e-3)
    assert np.sqrt(2 / np.pi * velocity_density(CLASSES["A"]) * 1.22437) * 1e3 == pytest.approx(2.2189, rel=1e-4)
