"""Masses, centres of gravity, tanks and inertias."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from springwright.vehicle.load import BoxTank, Item, LyingTank, StandingTank, placed
from springwright.vehicle.weigh import kerb_weight, support_loads, weigh
from tests.build import axle, design


def test_scales_give_the_centre_of_gravity():
    """Moments about the front axle and the centreline, by hand."""
    made = design(
        kerb={
            "scales": {"left": ["400 kg", "380 kg"], "right": ["360 kg", "420 kg"]},
            "above_ground": "0.7 m",
            "mass": None,
            "behind_front_axle": None,
        }
    )
    found = kerb_weight(made)
    assert found.mass == 1560
    assert found.cg == pytest.approx((-800 * 2.5 / 1560, (780 - 780) * 0.8 / 1560, 0.7))
    assert found.cross_weight == pytest.approx(820 / 1560)


def test_items_move_the_centre_of_gravity():
    made = design()
    full = weigh(made, "full")
    assert full.mass == 1800
    assert full.cg == pytest.approx((-(1500 * 1.2 + 300 * 2.0) / 1800, 0.0, (1500 * 0.7 + 300 * 1.0) / 1800))
    assert full.sprung_mass == 1600
    height = (1800 * full.cg[2] - 200 * 0.4) / 1600
    assert full.sprung_cg[2] == pytest.approx(height)


def test_inertia_by_parallel_axes():
    """A stated kerb inertia and one item: I = I0 + m1 d1**2 + m2 d2**2 about the common centre of gravity."""
    made = design(inertia={"pitch": "2000 kg*m**2", "roll": "500 kg*m**2", "yaw": "2100 kg*m**2"})
    empty, full = weigh(made, "empty"), weigh(made, "full")
    assert empty.pitch_inertia == pytest.approx(2000)
    assert not empty.inertia_is_estimate
    m1, m2 = empty.sprung_mass, 300.0
    apart = np.hypot(2.0 + empty.sprung_cg[0], 1.0 - empty.sprung_cg[2])
    assert full.pitch_inertia == pytest.approx(2000 + m1 * m2 / (m1 + m2) * apart**2)
    assert full.roll_inertia == pytest.approx(500 + m1 * m2 / (m1 + m2) * (1.0 - empty.sprung_cg[2]) ** 2)


def test_box_tank_surface_and_fall():
    """Second moment of a rectangle, length * width**3 / 12; half the liquid gone lowers its centre by a quarter of the height."""
    tank = BoxTank(shape="box", length="0.7 m", width="1.04 m", height="0.55 m")
    item = Item(
        name="water", mass="400 kg", behind_front_axle="2 m", above_ground="1.2 m", tank=tank.model_dump(mode="json")
    )
    load = placed(item, 0.5)
    assert load.mass == 200
    assert load.place[2] == pytest.approx(1.2 - 0.55 / 4)
    assert load.free_roll == pytest.approx(1000 * 0.7 * 1.04**3 / 12)
    assert load.free_pitch == pytest.approx(1000 * 1.04 * 0.7**3 / 12)
    assert placed(item, 1.0).free_roll == 0
    assert placed(item, 0.0).mass == 0


@given(st.floats(0.03, 0.97))
def test_lying_cylinder_against_slices(fill):
    """Area, centroid and chord of the filled circle, counted in thin horizontal slices."""
    radius, length = 0.4, 1.2
    tank = LyingTank(shape="lying cylinder", length="1.2 m", diameter="0.8 m")
    z = np.linspace(-radius, radius, 200_001)
    width = 2 * np.sqrt(np.maximum(radius**2 - z**2, 0))
    area = np.cumsum(width) * (z[1] - z[0])
    top = np.searchsorted(area, fill * np.pi * radius**2)
    centre = (z[:top] * width[:top]).sum() / width[:top].sum()
    fall, roll, pitch = tank.level(fill)
    assert fall == pytest.approx(-centre, rel=1e-3, abs=1e-4)
    assert roll == pytest.approx(length * width[top] ** 3 / 12, rel=2e-3)
    assert pitch == pytest.approx(width[top] * length**3 / 12, rel=2e-3)


def test_standing_cylinder_is_a_round_surface():
    """pi d**4 / 64."""
    tank = StandingTank(shape="standing cylinder", diameter="1 m", height="0.8 m")
    assert tank.level(0.25) == pytest.approx((0.3, np.pi / 64, np.pi / 64))


def test_free_surface_raises_the_acting_centre():
    """GG' = rho i / m, as in ship stability."""
    tank = {"shape": "box", "length": "0.7 m", "width": "1.0 m", "height": "0.5 m"}
    made = design(
        items=[{"name": "water", "mass": "350 kg", "behind_front_axle": "2 m", "above_ground": "1 m", "tank": tank}],
        states=[{"name": "half", "aboard": ["water"], "fill": {"water": 0.5}}],
    )
    half = weigh(made, "half")
    assert half.virtual_rise == pytest.approx(1000 * 0.7 / 12 / half.mass)


def test_three_supports_share_by_rating_and_balance():
    made = design(
        axles=[axle("a", 0.0, rating="1000 kg"), axle("b", 2.0, rating="1000 kg"), axle("c", 3.0, rating="1000 kg")],
        kerb={"behind_front_axle": "1.6 m"},
    )
    full = weigh(made, "full")
    loads = support_loads(made, full)
    assert loads.sum() == pytest.approx(full.mass)
    assert loads @ np.array([0.0, -2.0, -3.0]) == pytest.approx(full.mass * full.cg[0])


def test_stated_design_loads_are_kept():
    made = design(
        axles=[
            axle("a", 0.0, design_load="700 kg"),
            axle("b", 2.0, design_load="650 kg"),
            axle("c", 3.0, design_load="450 kg"),
        ],
        kerb={"mass": "1800 kg", "behind_front_axle": f"{(650 * 2 + 450 * 3) / 1800} m"},
        items=[],
        states=[{"name": "only"}],
    )
    assert support_loads(made, weigh(made, "only")) == pytest.approx([700, 650, 450])
