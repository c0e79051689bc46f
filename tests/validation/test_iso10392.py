"""Height of the centre of gravity by lifting one axle, ISO 10392.

The standard gives h = r + L dm / (m tan theta), sin theta = lift / L. The readings are a synthetic vehicle of 1800 kg,
L = 2.7 m, front 990 kg, h = 0.72 m, r = 0.36 m, worked out from statics; printed to 1e-4 kg.
"""

import numpy as np
import pytest

from springwright.vehicle.design import Design
from springwright.vehicle.weigh import kerb_weight, raised_height, raised_height_any
from tests.build import vehicle

READINGS = [(0.3, 1016.8328), (0.6, 1044.7011), (0.8, 1064.4544)]  # lift of the rear [m], front scale [kg]


@pytest.mark.parametrize(("lift", "front"), READINGS)
def test_formula(lift, front):
    angle = np.arcsin(lift / 2.7)
    assert raised_height(0.36, front - 990, 2.7, 1800, angle) == pytest.approx(0.72, abs=2e-6)


def test_any_number_of_axles_is_the_same_statics():
    places, level = np.array([0.0, 2.7]), np.array([990.0, 810.0])
    for lift, front in READINGS:
        up = np.array([front, 1800 - front])
        assert raised_height_any(places, level, up, np.arcsin(lift / 2.7), "rear", 0.36) == pytest.approx(
            0.72, abs=2e-6
        )


def test_three_axles_on_a_slope():
    """Readings made up from statics of a tilted body: each axle's contact moves back by the axle height's lean."""
    places, level, height, centre, angle = np.array([0.0, 2.3, 3.7]), np.array([1900.0, 1800.0, 1600.0]), 1.1, 0.55, 0.2
    total, x = level.sum(), level @ places / level.sum()
    shift = total * (height - centre) * np.tan(angle)
    up = level + np.array([-shift / 3.7, 0.0, shift / 3.7])  # any readings with this moment
    assert up @ places == pytest.approx(total * (x + (height - centre) * np.tan(angle)))
    assert raised_height_any(places, level, up, angle, "front", centre) == pytest.approx(height, rel=1e-12)


def test_through_the_design_file():
    """The tyre's loaded radius is the axle height: unloaded 0.4 m less mean wheel load over rate."""
    raised = [{"end": "rear", "height": f"{lift} m", "on_scales": {"front": f"{front} kg"}} for lift, front in READINGS]
    scales = {"left": ["495 kg", "405 kg"], "right": ["495 kg", "405 kg"]}
    data = vehicle(
        kerb={"scales": scales, "raised": raised, "mass": None, "behind_front_axle": None, "above_ground": None}
    )
    for axle in data["axles"]:
        axle["tyre"] = {"rate": "1e6 N/mm", "unloaded_radius": "0.36 m"}
    data["axles"][1]["behind_front_axle"] = "2.7 m"
    found = kerb_weight(Design.model_validate(data))
    assert found.cg[2] == pytest.approx(0.72, abs=1e-5)
    assert -found.cg[0] == pytest.approx(2.7 * 810 / 1800, rel=1e-12)
    assert found.cg_height_scatter == pytest.approx(0.0, abs=1e-5)
