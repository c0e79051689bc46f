"""Cycle counting and coil life. ASTM E1049-85 worked example (fig. 6, as widely reprinted); Shigley ex. 10-4 and Zimmerli's limits, from memory."""

import numpy as np
import pytest

from springwright.parts.fatigue import Wound, cycles, damage, factor_of_safety, life, reversed_stress

PSI, INCH, POUND = 6894.757, 0.0254, 4.448222


def test_rainflow_example():
    """-2, 1, -3, 5, -1, 3, -4, 4, -2: ranges 3 (0.5), 4 (1.5), 6 (0.5), 8 (1.0), 9 (0.5)."""
    found = cycles([-2, 1, -3, 5, -1, 3, -4, 4, -2])
    by_range = {}
    for low, high, count in found:
        by_range[round(high - low, 9)] = by_range.get(round(high - low, 9), 0) + count
    assert by_range == {3: 0.5, 4: 1.5, 6: 0.5, 8: 1.0, 9: 0.5}


def music_wire():
    """0.092 in music wire, 9/16 in outside: 201 kpsi / d^0.145."""
    wire = 0.092
    return Wound(wire * INCH, (9 / 16 - wire) * INCH, 201e3 / wire**0.145 * PSI)


def test_shigley_stresses_and_factor():
    """15 lbf about 20 lbf: amplitude 29.7, mean 39.6 kpsi, Goodman factor of safety 1.23, so that loads 1.23 times as large lie on the limit."""
    coil = music_wire()
    least, most = 5 * POUND, 35 * POUND
    mean = 39.6e3 * PSI
    assert reversed_stress(least, most, coil) * (1 - mean / coil.shear_strength) == pytest.approx(
        29.7e3 * PSI, rel=5e-3
    )
    assert reversed_stress(1.233 * least, 1.233 * most, coil) == pytest.approx(coil.endurance, rel=5e-3)
    assert life(1.233 * least, 1.233 * most, coil) == pytest.approx(1e6, rel=0.05)


def test_factor_of_safety_by_strokes():
    """That example's Goodman factor, for coils side by side too; grown by the factor at so many strokes, the life is so many."""
    coil = music_wire()
    assert factor_of_safety(5 * POUND, 35 * POUND, coil) == pytest.approx(1.23, abs=0.005)
    both = Wound(np.full(2, coil.wire), np.full(2, coil.mean), np.full(2, coil.strength), peened=True)
    assert factor_of_safety(5 * POUND, 35 * POUND, both) == pytest.approx(
        float(factor_of_safety(5 * POUND, 35 * POUND, Wound(coil.wire, coil.mean, coil.strength, peened=True)))
        * np.ones(2)
    )
    for strokes in (1e4, 1e5, 1e7):
        grown = factor_of_safety(5 * POUND, 35 * POUND, coil, strokes)
        assert life(grown * 5 * POUND, grown * 35 * POUND, coil) == pytest.approx(strokes, rel=1e-6)


def test_zimmerli_limits():
    """35 and 55 kpsi not peened, 57.5 and 77.5 peened, by Goodman; shear strength 0.67 of the tensile strength."""
    plain = Wound(0.01, 0.1, 1.9e9)
    assert plain.shear_strength == pytest.approx(1.273e9)
    assert plain.endurance == pytest.approx(35e3 * PSI / (1 - 55e3 * PSI / 1.273e9), rel=1e-3)
    peened = Wound(0.01, 0.1, 1.9e9, peened=True)
    assert peened.endurance == pytest.approx(57.5e3 * PSI / (1 - 77.5e3 * PSI / 1.273e9), rel=1e-3)


@pytest.mark.parametrize("strength", [1.2e9, 1.4e9, 1.5e9, 1.7e9, 2.0e9])
def test_life_line_runs_down_for_every_wire(strength):
    """More swing is a shorter life; peening never makes it shorter, and is not counted where its tests say nothing."""
    plain, peened = (Wound(0.014, 0.13, strength, peened=peened) for peened in (False, True))
    for coil in (plain, peened):
        assert 3 < coil.slope < 25
        lives = life(np.full(5, 2000.0), 2000.0 + np.linspace(500, 2500, 5), coil)
        assert np.all(np.diff(lives) < 0)
    assert np.all(life(4000.0, 6000.0, peened) >= life(4000.0, 6000.0, plain))
    assert peened.counts_peening == (strength > 1.8e9)


def test_miner_adds_up():
    coil = music_wire()
    one = cycles([10.0, 150.0] * 50)
    assert damage(one, coil) == pytest.approx(one[:, 2].sum() / life(10.0, 150.0, coil), rel=1e-9)
    assert damage(cycles([20.0, 20.0]), coil) == 0.0
