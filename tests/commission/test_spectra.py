"""Spectra, weighting and grounds read back: against SciPy's own, against closed forms, against what a ground was made of."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal
from scipy.stats import chi2

from springwright.commission.grounds_read import class_of, read_ground
from springwright.commission.spectra import THIRDS, spectrum, thirds, weighted
from springwright.errors import UnsolvedError
from springwright.terrain.roughness import rough_ground

STEP = 1 / 256


def test_welch_is_scipys():
    values = np.random.default_rng(2).standard_normal(256 * 60)
    found = spectrum(values, STEP, 0.5)
    frequency, density = signal.welch(values, 256.0, "hann", 512, 256)
    assert found.frequency == pytest.approx(frequency)
    assert found.density == pytest.approx(density)


def test_white_noise_through_a_filter():
    """White noise of density 1 through a second-order low-pass has |H(f)|2, to the sampling error of its freedoms."""
    b, a = signal.butter(2, 20.0, fs=256.0)
    noise = np.random.default_rng(5).standard_normal(256 * 600) * np.sqrt(256 / 2)
    found = spectrum(signal.lfilter(b, a, noise), STEP, 0.5)
    inside = (found.frequency > 1) & (found.frequency < 60)
    _, h = signal.freqz(b, a, found.frequency[inside], fs=256.0)
    ratio = found.density[inside] / np.abs(h) ** 2
    assert ratio.mean() == pytest.approx(1.0, abs=0.01)
    assert ratio.std() == pytest.approx(np.sqrt(2 / found.freedoms), rel=0.15)
    # the stated interval holds the truth in about 95 of 100 places
    inside_band = np.mean((found.low[inside] <= np.abs(h) ** 2) & (np.abs(h) ** 2 <= found.high[inside]))
    assert 0.90 <= inside_band <= 0.99
    assert found.high[5] / found.density[5] == pytest.approx(found.freedoms / chi2.ppf(0.025, found.freedoms))


@pytest.mark.parametrize(
    ("frequency", "factor"), [(1.0, 0.482), (2.0, 0.531), (4.0, 0.967), (8.0, 1.036), (16.0, 0.768), (31.5, 0.405)]
)
def test_weighting_of_iso_2631(frequency, factor):
    """W_k at third-octave middles: ISO 2631-1:1997, table 3 (0.482, 0.531, 0.967, 1.036, 0.768, 0.405)."""
    exact = 10 ** (round(10 * np.log10(frequency)) / 10)
    time = np.arange(0.0, 60.0, 1 / 2048)
    felt = weighted(np.sqrt(2) * np.sin(2 * np.pi * exact * time), 1 / 2048, "Wk")
    assert felt == pytest.approx(factor, rel=0.01)


def test_third_octaves_add_up():
    """Bands of white noise grow as their width, f (10^0.05 - 10^-0.05), and all of them hold the power of the whole."""
    values = np.random.default_rng(9).standard_normal(256 * 400) * np.sqrt(256 / 2)
    middles, levels = thirds(spectrum(values, STEP, 0.25))
    wide = middles > 4
    assert levels[wide] ** 2 == pytest.approx(middles[wide] * (10**0.05 - 10**-0.05), rel=0.12)
    assert pytest.approx(1.0) == THIRDS[3]


def test_too_short_for_a_spectrum():
    with pytest.raises(UnsolvedError, match="too short"):
        spectrum(np.zeros(300), STEP, 0.5)


def waved(waviness, length, spacing, seed, roughness=64e-6):
    """A random track of density G (n / 0.1)^-w, amplitudes drawn too."""
    rng = np.random.default_rng(seed)
    count = 2 ** int(np.ceil(np.log2(length / spacing)))
    n = np.fft.rfftfreq(count, spacing)
    density = np.where(n >= 0.011, roughness * (np.maximum(n, 0.011) / 0.1) ** -waviness, 0.0)
    drawn = (rng.standard_normal(len(n)) + 1j * rng.standard_normal(len(n))) / np.sqrt(2)
    # one-sided: the mean square of a bin is G dn, half of it in each of its two ends
    track = np.fft.irfft(np.sqrt(density * (n[1] - n[0]) / 2) * drawn * count, count)
    return track[: int(length / spacing)]


def test_a_profile_is_fitted_back():
    """Waviness 1.6 and G 64e-6 m3 from 5 km, within 5 % each (mean of ten), and one alone within its interval."""
    found = [read_ground(waved(1.6, 5000.0, 0.1, seed), 0.1) for seed in range(10)]
    assert np.mean([one.waviness for one in found]) == pytest.approx(1.6, rel=0.05)
    assert np.mean([one.roughness for one in found]) == pytest.approx(64e-6, rel=0.05)
    assert all(abs(one.waviness / 1.6 - 1) < 0.05 for one in found)
    assert all(abs(one.roughness / 64e-6 - 1) < 0.10 for one in found)


def test_from_one_kilometre_the_interval_holds_the_truth():
    """Of 100 profiles of 1 km, 90 to 99 hold G and 90 to 99 hold w in their stated 95 % interval."""
    level = slope = 0
    for seed in range(100):
        one = read_ground(waved(1.6, 1000.0, 0.1, 1000 + seed), 0.1)
        level += one.roughness_low <= 64e-6 <= one.roughness_high
        slope += abs(one.waviness - 1.6) <= one.waviness_off
    assert 90 <= level <= 99
    assert 90 <= slope <= 99


def test_a_made_ground_and_its_class():
    track = rough_ground("C", 3000.0, 1.5, seed=3, spacing=0.1, random_amplitude=True).left
    told = read_ground(track, 0.1)
    assert told.iso_class == "C"
    assert told.waviness == pytest.approx(2.0, rel=0.05)
    assert class_of(64e-6) == "B"
    assert class_of(1000e-6) == "D"


def test_too_short_for_a_ground():
    with pytest.raises(UnsolvedError, match="too short"):
        read_ground(np.zeros(500), 0.1)
