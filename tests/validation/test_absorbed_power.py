"""Absorbed power. Pradko and Lee 1966 (SAE 660139), Lee and Pradko 1968 (SAE 680091): coefficients from memory; the table is their
formula evaluated on its own (K in W/(m/s2)2), so it checks the filter made of it and not the book."""

from __future__ import annotations

import numpy as np
import pytest

from springwright.motion.weighting import SEATED_BOTTOM, SEATED_MASS, SEATED_TOP, digital, gain

# W/(m/s2)2 by frequency [Hz], from the published form K0 K1 (F1 F4 - F2 F3)/(F3^2 + w^2 F4^2)
TABLE = {
    1: 0.09848,
    2: 0.49053,
    3: 1.2628,
    4: 2.0323,
    5: 2.1387,
    6: 1.6091,
    8: 0.68006,
    10: 0.52028,
    15: 0.20836,
    20: 0.11361,
}


@pytest.mark.parametrize(("frequency", "power"), TABLE.items())
def test_gain_squared_is_the_absorption(frequency, power):
    assert gain("absorbed", frequency) ** 2 == pytest.approx(power, rel=1e-3)


def test_filter_gives_force_times_speed():
    """The mean of force times speed of a seated person's apparent mass, worked out on its own in the time domain, 5 Hz, 1 m/s2 rms: 2.1387 W."""
    from scipy.signal import lsim, sosfilt

    step = 0.5e-3
    t = np.arange(0.0, 20.0, step)
    acceleration = np.sqrt(2) * np.sin(2 * np.pi * 5 * t)
    speed = -np.sqrt(2) * np.cos(2 * np.pi * 5 * t) / (2 * np.pi * 5)
    _, force, _ = lsim((SEATED_MASS * np.array(SEATED_TOP), np.array(SEATED_BOTTOM)), acceleration, t)
    late = t > 10
    direct = np.mean(force[late] * speed[late])
    sections = digital("absorbed", step)
    filtered = sosfilt(np.column_stack([sections[:, :3], np.ones(len(sections)), sections[:, 3:]]), acceleration)
    assert direct == pytest.approx(2.1387, rel=1e-3)
    assert np.mean(filtered[late] ** 2) == pytest.approx(direct, rel=2e-3)


def test_apparent_mass_is_that_of_a_person():
    """Peak of |M|/M0 1.446 at 3.91 Hz, as measured for seated people; both polynomials have their roots in the left half."""
    f = np.linspace(1.0, 10.0, 4001)
    mass = np.abs(np.polyval(SEATED_TOP, 2j * np.pi * f) / np.polyval(SEATED_BOTTOM, 2j * np.pi * f))
    assert mass.max() == pytest.approx(1.446, rel=1e-3)
    assert f[mass.argmax()] == pytest.approx(3.91, abs=0.01)
    assert np.roots(SEATED_TOP).real.max() < 0
    assert np.roots(SEATED_BOTTOM).real.max() < 0
