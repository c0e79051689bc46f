"""Free decays read: closed forms, the golden car's own trace, and what is no decay."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from springwright.commission.free_decay import Release, alone, damping_of, fit_decay
from springwright.errors import UnsolvedError
from springwright.motion.drive import let_go
from springwright.motion.equilibrium import equilibrium
from springwright.motion.figures import Point
from springwright.motion.modes import pushed, ring_down
from springwright.motion.rig import BODY
from tests.build import all_wheels_at_once, one_mass


def decay(frequency, ratio, time, offset=0.0, size=1.0):
    """A mass let go from rest: x = e^(-ζωt) (cos ω_d t + ζ/sqrt(1 - ζ²) sin ω_d t), any textbook."""
    w = 2 * np.pi * frequency
    turned = w * np.sqrt(1 - ratio**2) * time
    return offset + size * np.exp(-ratio * w * time) * (np.cos(turned) + ratio / np.sqrt(1 - ratio**2) * np.sin(turned))


def test_logarithmic_decrement():
    """ln(A1/A2) = 2 pi zeta / sqrt(1 - zeta2): 3.606 at 0.2, 1.874 at 0.0995 (shared list of checks; any textbook)."""
    assert np.exp(2 * np.pi * 0.2 / np.sqrt(1 - 0.2**2)) == pytest.approx(3.606, abs=5e-4)
    assert damping_of(np.log(3.606)) == pytest.approx(0.2, abs=1e-4)


@pytest.mark.parametrize(("frequency", "ratio"), [(1.25, 0.2), (1.1, 0.05), (1.6, 0.45), (10.7, 0.3)])
def test_a_trace_of_known_frequency_and_damping(frequency, ratio):
    time = np.arange(0.0, 6 / frequency, 0.01 / frequency)
    found = fit_decay(time, decay(frequency, ratio, time, 9.6, -0.4), alone(1.15 * frequency, 0.25))
    assert found.frequency == pytest.approx(frequency, rel=1e-5)
    assert found.damping_ratio == pytest.approx(ratio, rel=1e-4)
    assert found.offset == pytest.approx(9.6, rel=1e-5)
    assert found.explained == pytest.approx(1.0, abs=1e-8)


def test_the_peaks_alone_say_the_same():
    time = np.arange(0.0, 5.0, 0.005)
    found = fit_decay(time, decay(1.25, 0.2, time), alone(1.3, 0.25))
    assert found.decrement == pytest.approx(0.2, rel=0.03)
    sizes = [one.size for one in found.peaks]
    assert sizes[1] / sizes[2] == pytest.approx(3.606, rel=0.03)


def test_it_does_not_matter_when_the_trace_begins():
    """Begun up to a quarter of a swing late, the same mode is read."""
    time = np.arange(0.0, 5.0, 0.01)
    for late in (0.02, 0.1, 0.2):
        found = fit_decay(time, decay(1.25, 0.22, time + late, 1.0), alone(1.2, 0.3))
        assert found.frequency == pytest.approx(1.25, rel=1e-4)
        assert found.damping_ratio == pytest.approx(0.22, rel=1e-3)
        assert found.start == pytest.approx(late, abs=1e-4)


def test_noise_leaves_it_within_what_is_said_of_it():
    """Of 100 noisy traces the truth lies within two standard errors of 90 or more, and the errors are no wider than they need to be."""
    rng, inside, away = np.random.default_rng(4), 0, []
    time = np.arange(0.0, 5.0, 0.01)
    for _ in range(100):
        found = fit_decay(time, decay(1.25, 0.25, time) + 0.05 * rng.standard_normal(len(time)), alone(1.3, 0.2))
        off = (found.damping_ratio - 0.25) / found.damping_off
        away.append(off)
        inside += abs(off) < 2 and abs(found.frequency - 1.25) < 2 * found.frequency_off
    assert inside >= 85
    assert np.std(away) == pytest.approx(1.0, abs=0.35)


def golden_trace(every):
    """The golden car (k_t/m_s = 653, k_s/m_s = 63.3, m_u/m_s = 0.15, c/m_s = 6.0) pushed down and let go."""
    rig = all_wheels_at_once(mass=400.0, unsprung=60.0, spring=63.3 * 400, damping=6.0 * 400, tyre=653 * 400)
    rest = equilibrium(rig)
    row = np.zeros(BODY + 4)
    row[0] = 1.0
    away = pushed(rig, rest, row)
    told = let_go(
        rig, 0.03 * away, np.zeros(len(away)), 4.0, points=[Point("there", tuple(rig.sprung_cg))], every=every
    )
    return rig, rest, row, away, np.asarray(told.history), told.columns


def test_the_golden_car_by_its_own_trace():
    """1.2363 Hz at 0.3334 of critical: roots as printed in the supplement of Šroubek, Šorel and Žák (2021)."""
    rig, rest, row, away, history, columns = golden_trace(0.002)
    roots, shapes = ring_down(rig, rest, away, np.zeros(len(away)))
    for power, values in (
        (0, history[:, columns.index("heave [m]")]),
        (2, history[:, columns.index("there up [m/s2]")]),
    ):
        seen = (row @ shapes) * roots**power
        body = int(np.argmin(np.abs(np.abs(roots) / (2 * np.pi) - 1.3)))
        rest_of = np.arange(len(roots)) != body
        release = Release(
            1.3, 0.3, complex(seen[body]), lambda t, s=seen, k=rest_of: np.real(np.exp(np.outer(t, roots[k])) @ s[k])
        )
        found = fit_decay(history[:, 0], values, release)
        assert found.frequency == pytest.approx(1.2363, rel=2e-3)
        assert found.damping_ratio == pytest.approx(0.3334, rel=5e-3)
        assert found.amplitude == pytest.approx(0.03, rel=0.01)


def test_ring_down_is_what_the_kernel_drives():
    """The linear free motion against the compiled run, of a vehicle whose parts are straight."""
    rig, rest, row, away, history, columns = golden_trace(0.01)
    roots, shapes = ring_down(rig, rest, away, np.zeros(len(away)))
    rise = 0.03 * np.real(np.exp(np.outer(history[:, 0], roots)) @ (row @ shapes))
    heave = history[:, columns.index("heave [m]")] - rest.q[0]
    assert heave == pytest.approx(rise, abs=2e-4)
    assert row @ away == pytest.approx(-1.0)


@pytest.mark.parametrize(
    ("values", "says"),
    [
        (lambda t: np.random.default_rng(1).standard_normal(len(t)), "no decay"),
        (lambda t: t, "no decay"),
        (lambda t: np.sin(2 * np.pi * 8.0 * t), "no decay"),
    ],
)
def test_what_is_no_decay(values, says):
    time = np.arange(0.0, 5.0, 0.01)
    with pytest.raises(UnsolvedError, match=says):
        fit_decay(time, values(time), alone(1.25, 0.25))


def test_a_trace_that_is_too_short():
    time = np.arange(0.0, 0.4, 0.01)
    with pytest.raises(UnsolvedError, match="less than one swing"):
        fit_decay(time, decay(1.25, 0.2, time), alone(1.25, 0.25))


def test_96_53_ec_road_friendly():
    """Directive 96/53/EC, annex II, from memory: dropped by 80 mm, a driving axle's suspension counts as equivalent to air where its bounce is at most 2.0 Hz with 20 % of critical.

    A worked example: 5 000 kg on springs of 600 kN/m in series with tyres of 3 600 kN/m swing at sqrt(514 286/5 000)/2pi = 1.614 Hz; with
    a damper of 0.22 of critical the first two peaks of one side are 2pi 0.22/sqrt(1 - 0.22²) = 1.417 apart in logarithm, a ratio of 4.125.
    """
    rate = 600e3 * 3600e3 / (600e3 + 3600e3)
    frequency = np.sqrt(rate / 5000) / (2 * np.pi)
    assert frequency == pytest.approx(1.614, abs=1e-3)
    time = np.arange(0.0, 4.0, 0.005)
    found = fit_decay(time, decay(frequency, 0.22, time, 0.0, -0.08), alone(1.8, 0.2))
    assert found.frequency == pytest.approx(1.614, rel=1e-3)
    assert found.frequency <= 2.0
    assert found.damping_ratio == pytest.approx(0.22, rel=1e-3)
    assert found.damping_ratio >= 0.20
    assert found.peaks[0].size / found.peaks[1].size == pytest.approx(4.125, rel=0.03)


def test_dry_friction_alone_takes_4_f_over_k_off_every_swing():
    """Coulomb friction: peaks of one side fall by 4F/k each full cycle, in a straight line (textbook). The trace is driven; its friction is smoothed over 20 mm/s."""
    frequency, force = 1.2, 60.0
    rig = one_mass(frequency, 1e-6, 400.0)
    rig = replace(rig, friction=np.full(4, force))
    rate = 400.0 * (2 * np.pi * frequency) ** 2
    away = np.zeros(8)
    away[0] = -0.06
    history = np.asarray(let_go(rig, away, np.zeros(8), 2.2, every=0.001).history)
    heave = history[:, 1 + 3 * 4]
    still = equilibrium(rig).q[0]
    tops = [float(-(heave - still)[np.abs(history[:, 0] - k / frequency) < 0.1].min()) for k in (0, 1, 2)]
    falls = -np.diff(tops)
    assert falls == pytest.approx(np.full(2, 4 * force / rate), rel=0.06)
