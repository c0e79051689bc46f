"""Road roughness.

ISO 8608:2016, annex C: class values, from several published copies. Closed forms of its spectrum (w = 2) are exact: variance
G_d(n0) n0^2 (1/n1 - 1/n2), slope 2 pi n0 sqrt(G_d(n0) (n2 - n1)); the tables' figures are to five digits.
"""

import numpy as np
import pytest

from springwright.terrain.roughness import (
    CLASSES,
    displacement_density,
    rough_ground,
    track_coherence,
    velocity_density,
)

TABLE = {
    "A": (16, 3.8064, 0.004220),
    "C": (256, 15.2257, 0.016879),
    "E": (4096, 60.9029, 0.067516),
    "H": (262144, 487.223, 0.540129),
}


@pytest.mark.parametrize("name", TABLE)
def test_class_values_and_closed_forms(name):
    value, height, slope = TABLE[name]
    assert pytest.approx(value * 1e-6, rel=1e-12) == CLASSES[name]
    n = np.geomspace(0.011, 2.83, 200_001)
    density = displacement_density(n, CLASSES[name])
    assert 1e3 * np.sqrt(np.trapezoid(density, n)) == pytest.approx(height, rel=2e-5)
    assert np.sqrt(np.trapezoid((2 * np.pi * n) ** 2 * density, n)) == pytest.approx(slope, rel=1e-4)


def test_velocity_density():
    """Class C at 20 m/s: 2.02129e-3 (m/s)2/Hz, flat."""
    assert 20 * velocity_density(CLASSES["C"]) == pytest.approx(2.02129e-3, rel=1e-5)


def test_made_ground_has_the_class_rms():
    """Exact amplitudes over a whole period: 3.8064 mm for class A, less what falls between the lines of the spectrum."""
    ground = rough_ground("A", 2**19 * 0.05, 1.6, spacing=0.05, lowest=0.011, highest=2.83)
    for track in (ground.left, ground.right):
        assert 1e3 * track[400:].std() == pytest.approx(3.8064, rel=3e-3)


def test_random_amplitudes_scatter_about_it():
    made = [
        rough_ground("C", 2000, 1.6, spacing=0.1, seed=s, lowest=0.05, highest=2.0, random_amplitude=True)
        .left[200:]
        .std()
        for s in range(40)
    ]
    expected = np.sqrt(CLASSES["C"] * 0.01 * (1 / 0.05 - 1 / 2.0))
    assert np.mean(made) == pytest.approx(expected, rel=0.05)
    assert 0.01 < np.std(made) / expected < 0.2


def test_track_coherence():
    """2 pi n B K1(2 pi n B): n = 0.2, B = 1.6 gives 0.27732."""
    assert track_coherence(0.2, 1.6) == pytest.approx(0.27732, abs=5e-6)
    assert track_coherence(0.0, 1.6) == 1.0
    assert track_coherence(5.0, 1.6) < 1e-10


def test_made_tracks_have_that_coherence():
    ground = rough_ground("C", 2**17 * 0.05, 1.6, spacing=0.05, seed=5)
    size, step = 4096, 2048
    window = np.hanning(size)
    cross = left = right = 0.0
    for start in range(400, len(ground.left) - size, step):
        a, b = (np.fft.rfft(window * track[start : start + size]) for track in (ground.left, ground.right))
        cross, left, right = cross + a * np.conj(b), left + abs(a) ** 2, right + abs(b) ** 2
    n = np.fft.rfftfreq(size, 0.05)
    band = (n > 0.08) & (n < 0.12)
    found = (np.real(cross) / np.sqrt(left * right))[band].mean()
    assert found == pytest.approx(track_coherence(n[band], 1.6).mean(), abs=0.05)


def test_the_same_seed_is_the_same_ground():
    one, two, other = (rough_ground("D", 100, 1.6, seed=s).left for s in (3, 3, 4))
    assert np.array_equal(one, two)
    assert not np.allclose(one, other)


@pytest.mark.parametrize(("coherence", "apart"), [(1.0, 1.6), (0.0, 1.6)])
def test_coherence_bounds(coherence, apart):
    ground = rough_ground("C", 3000, apart, coherence=coherence, spacing=0.1)
    found = np.corrcoef(ground.left[200:], ground.right[200:])[0, 1]
    assert found == pytest.approx(coherence, abs=0.0 if coherence else 0.25)
