"""Spring wire: supplier tables and published fits.

EN 10270-1 SM: a wire supplier's table, read and not compared with the standard. Lower-bound fits of SM and SH, and the
fits of Shigley's Mechanical Engineering Design table 10-4, are from memory. EN 10089 strengths: mill data sheets.
"""

import numpy as np
import pytest

from springwright.errors import UnsolvedError
from springwright.parts.coil_check import mean_diameter_tolerance
from springwright.parts.wire import wire, wire_names


@pytest.mark.parametrize(("mm", "mpa"), [(2, 1760), (5, 1460), (10, 1240), (12, 1180), (16, 1090), (20, 1020)])
def test_sm_rows_of_the_supplier(mm, mpa):
    assert wire("EN 10270-1 SM").strength(mm / 1e3) / 1e6 == pytest.approx(mpa, rel=1e-12)


@pytest.mark.parametrize("mm", [2.5, 4.5, 7.5, 12.5, 15, 19])
def test_sm_between_rows_follows_its_fit(mm):
    """1980 - 740 log10 d is within 4.6 MPa of the rows; between them half a per cent is asked."""
    assert wire("EN 10270-1 SM").strength(mm / 1e3) / 1e6 == pytest.approx(1980 - 740 * np.log10(mm), rel=5e-3)


@pytest.mark.parametrize(("mm", "mpa"), [(5, 1647), (10, 1400), (12, 1335), (14, 1280), (16, 1233)])
def test_sh_fit(mm, mpa):
    assert wire("EN 10270-1 SH").strength(mm / 1e3) / 1e6 == pytest.approx(mpa, abs=1.0)


@pytest.mark.parametrize(
    ("grade", "mm", "mpa"), [("ASTM A229", 10, 1206), ("ASTM A227", 10, 1151), ("ASTM A232", 10, 1362)]
)
def test_shigley_fits(grade, mm, mpa):
    assert wire(grade).strength(mm / 1e3) / 1e6 == pytest.approx(mpa, abs=1.0)


def test_shigley_example_10_1_wire():
    """No. 16 music wire, 0.037 in: 324 kpsi (three digits)."""
    assert wire("ASTM A228").strength(0.037 * 0.0254) / 6.894757e6 == pytest.approx(324, rel=2e-3)


@pytest.mark.parametrize(("grade", "mpa"), [("52CrMoV4", 1400), ("54SiCrV6", 1650)])
def test_mill_sheets(grade, mpa):
    assert wire(grade).strength(0.018) / 1e6 == pytest.approx(mpa, rel=1e-12)


def test_beyond_the_data_is_refused():
    with pytest.raises(UnsolvedError, match=r"ASTM A228 has strength data from 0\.1 to 6\.5 mm, not at 10 mm"):
        wire("ASTM A228").strength(0.010)
    with pytest.raises(UnsolvedError, match='no wire grade "steel"; there are 51CrV4'):
        wire("steel")


def test_cold_coiled_solid_stress_is_56_per_cent():
    """EN 13906-1 10.1.1."""
    assert wire("EN 10270-1 SM").solid_shear(0.010) == pytest.approx(0.56 * 1240e6, rel=1e-12)


def test_every_grade_names_its_source_and_caveat():
    for name in wire_names():
        grade = wire(name)
        assert len(grade.source) > 20
        assert grade.caveat
        assert np.all(np.diff(grade.diameters) > 0)
        assert np.all(grade.covers(np.array(grade.sizes)))


@pytest.mark.parametrize(
    ("mean", "index", "mm"), [(45, 6, 0.60), (70, 6, 1.00), (110, 7.9, 1.40), (110, 9, 1.90), (190, 10, 2.90)]
)
def test_mean_diameter_tolerance_grade_2(mean, index, mm):
    """DIN 2095 / EN 15800 grade 2, from a supplier's table of DIN 2097."""
    assert mean_diameter_tolerance(mean / 1e3, index) == pytest.approx(mm / 1e3)


def test_no_tolerance_is_made_up_beyond_the_table():
    assert mean_diameter_tolerance(0.250, 8) is None
    assert mean_diameter_tolerance(0.100, 18) is None
