"""One mass on a spring, shaken at its foot: shock spectra, steps, drops and decay, all with exact answers.

Closed forms as worked out in any text on vibration (Thomson; Rao; Inman; Harris' Shock and Vibration Handbook prints the curves, from
memory); the damped values were integrated at 1e-11 outside this project. The mass is a quarter car on a tyre 400 times as stiff as its
spring, which is worth 0.1 % here, and the ground is a profile driven over at 10 m/s in straight lines of half a millisecond.
"""

import numpy as np
import pytest

from springwright.motion.drive import drive
from springwright.motion.equilibrium import equilibrium
from springwright.motion.figures import Point
from springwright.motion.modes import modes
from springwright.motion.response import transfer
from springwright.motion.rig import BODY
from springwright.terrain.ground import Ground
from tests.build import all_wheels_at_once, one_mass

FREQUENCY, SPEED, HIGH = 2.0, 10.0, 1.0  # Hz, m/s, m/s2
PULSES = {
    "half-sine": lambda x: np.sin(np.pi * x),
    "haversine": lambda x: np.sin(np.pi * x) ** 2,
    "triangle": lambda x: 1 - np.abs(2 * x - 1),
    "rectangle": np.ones_like,
}


def shaken(shape, duration, ratio=0.0):
    """Greatest and least acceleration of the mass per height of the pulse [-], while it lasts and after."""
    rig = one_mass(FREQUENCY, ratio)
    step, lead, fine = 5e-4, 0.2, 1e-5
    time = np.arange(0.0, lead + duration + 1.6 / FREQUENCY, fine)
    into = (time - lead) / duration
    pulse = np.where((into >= 0) & (into < 1), PULSES[shape](np.clip(into, 0, 1)), 0.0)
    speed = np.concatenate([[0.0], np.cumsum((pulse[1:] + pulse[:-1]) / 2 * fine)]) * HIGH
    height = np.concatenate([[0.0], np.cumsum((speed[1:] + speed[:-1]) / 2 * fine)])[:: round(step / fine)]
    ground = Ground(shape, SPEED * step, height, height)
    done = drive(rig, ground, SPEED, points=[Point("mass", tuple(rig.sprung_cg))], history=step)
    history = np.asarray(done.history)
    up = history[:, list(done.columns).index("mass up [m/s2]")] / HIGH
    after = history[:, 0] > lead + duration
    return up, after


@pytest.mark.parametrize(
    ("times", "most"),
    [(0.1, 0.39627), (0.25, 0.94281), (0.5, np.pi / 2), (0.8, 1.76833), (1.0, 1.73205), (1.5, 1.5), (2.5, 1.08253), (3.0, 1.16991)],
)  # fmt: skip
def test_half_sine(times, most):
    """Undamped, by frequency times duration; above 2.5 a later peak is the greatest."""
    up, _ = shaken("half-sine", times / FREQUENCY)
    assert np.abs(up).max() == pytest.approx(most, rel=4e-3)


@pytest.mark.parametrize(("times", "most"), [(0.8, 1.65952), (1.0, 1.33333), (2.0, 0.53333), (1.5, 0.0)])
def test_what_is_left_after_a_half_sine(times, most):
    up, after = shaken("half-sine", times / FREQUENCY)
    assert np.abs(up[after]).max() == pytest.approx(most, rel=6e-3, abs=0.02)


@pytest.mark.parametrize(
    ("ratio", "times", "most", "least"),
    [(0.05, 0.5, 1.4626, 1.2502), (0.05, 1.0, 1.6238, 1.0647), (0.1, 0.8, 1.5572, 1.0689), (0.3, 0.5, 1.1938, 0.4772), (0.3, 2.0, 1.0908, 0.1774)],
)  # fmt: skip
def test_damped_half_sine(ratio, times, most, least):
    up, _ = shaken("half-sine", times / FREQUENCY, ratio)
    assert up.max() == pytest.approx(most, rel=5e-3)
    assert -up.min() == pytest.approx(least, rel=6e-3)


@pytest.mark.parametrize(
    ("shape", "times", "most"),
    [("haversine", 0.5, 1.3333), ("haversine", 1.0, 1.7051), ("triangle", 0.5, 1.2732), ("triangle", 1.0, 1.5085), ("rectangle", 0.1, 0.618034), ("rectangle", 0.25, 1.414214), ("rectangle", 1.0, 2.0)],
)  # fmt: skip
def test_other_pulses(shape, times, most):
    up, _ = shaken(shape, times / FREQUENCY)
    assert np.abs(up).max() == pytest.approx(most, rel=6e-3)


@pytest.mark.parametrize(("ratio", "decrement"), [(0.1, 0.631484), (0.2, 1.282550), (0.3, 1.975970), (0.4, 2.742207)])
def test_logarithmic_decrement(ratio, decrement):
    rig = one_mass(FREQUENCY, ratio)
    slow = modes(rig, equilibrium(rig), damped=True)
    z = next(mode.damping_ratio for mode in slow if mode.name == "bounce")
    assert 2 * np.pi * z / np.sqrt(1 - z**2) == pytest.approx(decrement, rel=6e-3)


def test_every_damping_passes_the_ground_on_whole_at_root_two():
    """T(r = sqrt 2) = 1 for every damping ratio."""
    for ratio in (0.05, 0.3, 1.0):
        rig = one_mass(FREQUENCY, ratio)
        moved = transfer(rig, equilibrium(rig), np.array([np.sqrt(2) * FREQUENCY]), SPEED).sum(axis=2)
        assert abs(moved[0, 0]) == pytest.approx(1.0, rel=6e-3)


def over_waves(mass, spring, damping, high, long, speed):
    """Height to which a mass swings over sine waves of a half-height and length [m]."""
    rig = all_wheels_at_once(mass=mass, unsprung=1e-2, spring=spring, damping=damping, tyre=1e4 * spring)
    moved = transfer(rig, equilibrium(rig), np.array([speed / long]), speed).sum(axis=2)
    return high * abs(moved[0, 0])


def test_rao_rough_road():
    """Rao, Mechanical Vibrations, vehicle on a rough road: m 1200 kg, k 400 kN/m, z 0.5, Y 0.05 m, 6 m: 0.0550 m at 20 km/h, 0.042 at 100."""
    damping = 2 * 0.5 * np.sqrt(400e3 * 1200)
    assert over_waves(1200.0, 400e3, damping, 0.05, 6.0, 20 / 3.6) == pytest.approx(0.0550, abs=0.00006)
    assert over_waves(1200.0, 400e3, damping, 0.05, 6.0, 100 / 3.6) == pytest.approx(0.042, abs=0.0006)


@pytest.mark.parametrize(
    ("speed", "small", "large"), [(20, 3.19, 2.32), (80, 0.12, 0.07), (100, 0.09, 0.05), (150, 0.05, 0.03)]
)
def test_inman_cars_over_waves(speed, small, large):
    """Inman, Engineering Vibration, table 2.1: 1007 and 1585 kg, k 40 kN/m, c 2 kN s/m, Y 1 cm, 6 m; printed values from memory, two decimals."""
    for mass, printed in ((1007.0, small), (1585.0, large)):
        assert 100 * over_waves(mass, 4e4, 2e3, 0.01, 6.0, speed / 3.6) == pytest.approx(printed, abs=0.0055)


def test_rao_motorcycle_absorber():
    """Rao, Ex. 2.11: 200 kg, period 2 s, amplitude falls to a quarter in half a cycle: c 554.498, k 2358.265 give them back."""
    rig = all_wheels_at_once(mass=200.0, unsprung=1e-3, spring=2358.2652, damping=554.4981, tyre=2e8)
    mode = next(m for m in modes(rig, equilibrium(rig), damped=True) if m.name == "bounce")
    assert 2 * np.pi * mode.frequency == pytest.approx(3.4338, rel=1e-4)
    assert mode.damping_ratio == pytest.approx(0.4037, rel=2e-4)
    assert mode.frequency * np.sqrt(1 - mode.damping_ratio**2) == pytest.approx(0.5, rel=1e-4)


def test_thomson_decay():
    """Thomson, Ex. 2.7-1: 10 lb, 30 lb/in, 0.12 lb s/in with g 386 in/s2: w 34.0 rad/s, z 0.0681, decrement 0.429."""
    mass, rate = 10 / 386 * 175.12683, 30 * 175.12683
    rig = all_wheels_at_once(mass=mass, unsprung=1e-6, spring=rate, damping=0.12 * 175.12683, tyre=1e5 * rate)
    mode = next(m for m in modes(rig, equilibrium(rig), damped=True) if m.name == "bounce")
    assert 2 * np.pi * mode.frequency == pytest.approx(34.0, abs=0.05)
    assert mode.damping_ratio == pytest.approx(0.0681, abs=0.00006)
    assert 2 * np.pi * mode.damping_ratio / np.sqrt(1 - mode.damping_ratio**2) == pytest.approx(0.429, abs=0.0006)


def test_transfer_functions_of_a_quarter_car():
    """Against scipy.signal on the textbook polynomials of the two-mass model, from below the body's to above the wheel's resonance."""
    from scipy.signal import freqresp

    ms, mu, ks, cs, kt = 400.0, 50.0, 2e4, 1500.0, 2e5
    rig = all_wheels_at_once(mass=ms, unsprung=mu, spring=ks, damping=cs, tyre=kt)
    frequency = np.geomspace(0.2, 40.0, 60)
    moved = transfer(rig, equilibrium(rig), frequency, 1e6).sum(axis=2)
    below = np.polyadd(np.polymul([ms, cs, ks], [mu, cs, ks + kt]), -np.polymul([cs, ks], [cs, ks]))
    for coordinate, above in ((0, kt * np.array([cs, ks])), (BODY, kt * np.array([ms, cs, ks]))):
        _, exact = freqresp((above, below), 2 * np.pi * frequency)
        assert np.abs(moved[:, coordinate]) == pytest.approx(np.abs(exact), rel=2e-5)
