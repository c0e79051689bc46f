"""Slips that parse and even work out: each is told with field, value and usual range; never refused, and silent where the builder is sure."""

import pytest

from springwright.errors import InputError
from springwright.questions.prove import prove
from springwright.sizing.sheet import size
from springwright.vehicle.file import load
from springwright.vehicle.usual import unusual
from tests.build import DEMOS, axle, design, design_file, vehicle


def mm(*point):
    return [f"{one} mm" for one in point]


def lever(arm, spring_at):
    return {"spring": {"acts": {"by": "lever", "ratio": None, "arm": arm, "spring_at": spring_at}}}


def arm(z):
    return {
        "swing_arm": {"wheel_centre": mm(0, 800, 400), "inner_pivot": mm(450, 300, z), "outer_pivot": mm(450, 600, z)},
        "roll_centre_height": None,
    }


def rear(**changes):
    return {"axles": [axle("front", 0.0), axle("rear", changes.pop("behind", 2.5), **changes)]}


SLIPS = {
    "an axle far behind": (rear(behind=28.5), "axles.rear.behind_front_axle", "28 500 mm"),
    "an item under the ground": ({"items": [{"name": "load", "mass": "300 kg", "behind_front_axle": "2.0 m", "above_ground": "-0.6 m"}]}, "items.load.above_ground", "−600 mm"),
    "a lever the wrong way round": (rear(**lever("290 mm", "420 mm")), "axles.rear.spring.acts", "1.45 (motion ratio)"),
    "29 for 290 mm": (rear(**lever("420 mm", "29 mm")), "axles.rear.spring.acts", "0.07 (motion ratio)"),
    "a radius that is a diameter": (rear(tyre={"unloaded_radius": "0.8 m"}), "axles.rear.tyre.unloaded_radius", "0.50 (share of the track)"),
    "a radius of another size": (rear(tyre={"size": "225/75R16"}), "axles.rear.tyre.size", "unloaded radius / 372 mm by its size"),
    "720 for 360 mm": (rear(spring={"installed_length": "720 mm"}), "axles.rear.spring.installed_length", "720 mm"),
    "points in inches for millimetres": (rear(**arm(15.7)), "axles.rear.swing_arm", "height of inner pivot"),
    "travel in inches for millimetres": (rear(travel={"bump": "5.5 mm", "droop": "5.1 mm"}), "axles.rear.travel.bump", "6 mm"),
    "pounds for kilograms at the wheel": (rear(unsprung_mass="4 kg"), "axles.rear.unsprung_mass", "4 kg"),
}  # fmt: skip


@pytest.mark.parametrize("name", SLIPS)
def test_a_slip_is_told_with_field_value_and_usual_range(name):
    changes, field, reads = SLIPS[name]
    said = [one.replace("\u202f", " ") for one in unusual(design(**changes))]
    mine = [one for one in said if one.startswith(f"{field} = ")]
    assert len(mine) == 1
    assert reads in mine[0]
    assert "usual" in mine[0]
    assert field not in " ".join(unusual(design(**changes, sure=[field])))


def test_a_raised_height_of_50_mm():
    kerb = {
        "mass": None, "behind_front_axle": None, "above_ground": None,
        "scales": {"left": ["390 kg", "360 kg"], "right": ["390 kg", "360 kg"]},
        "raised": [{"end": "front", "height": "50 mm", "on_scales": {"rear": "727 kg"}}],
    }  # fmt: skip
    (said,) = unusual(design(kerb=kerb))
    assert said.startswith("kerb.raised.1.height = 50 mm is out of the ordinary, usual 150 mm to")


def test_what_is_usual_says_nothing():
    assert unusual(design()) == ()
    for path in sorted(DEMOS.glob("*.toml")):
        assert unusual(load(path).design) == ()


def test_sheet_and_proof_say_it():
    file = design_file(
        vehicle(**rear(travel={"bump": "520 mm", "droop": "130 mm"}, spring={"installed_length": "0.69 m"}))
    )
    assert "axles.rear.travel.bump = 520 mm" in size(file).unusual[0]
    assert prove(file, ["level"], sensitive=False).unusual == size(file).unusual


def test_a_sure_field_that_is_none_is_refused():
    with pytest.raises(InputError) as caught:
        design_file(vehicle(sure=["axles.rear.travel.bumps"]))
    assert 'sure[1] = "axles.rear.travel.bumps": is no field' in str(caught.value)
    assert 'did you mean "axles.rear.travel.bump"?' in str(caught.value)
