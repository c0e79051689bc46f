"""Obstacles, tyre enveloping, recorded profiles, grounds by name."""

import numpy as np
import pytest

from springwright.errors import InputError
from springwright.terrain import obstacles
from springwright.terrain.ground import Ground
from springwright.terrain.named import ground_named
from springwright.terrain.profile import read_profile


def test_half_round_is_half_a_circle():
    ground = obstacles.half_round(0.12)
    x = ground.spacing * np.arange(len(ground.left)) - obstacles.BEFORE
    assert ground.left.max() == pytest.approx(0.12)
    inside = (x > 0.01) & (x < 0.23)
    assert np.hypot(ground.left[inside], x[inside] - 0.12) == pytest.approx(0.12)


def test_a_rolled_circle_over_a_step_is_a_quarter_circle():
    """Before a step of h, a wheel of radius r rises from x = -sqrt(2 r h - h2): height of its centre on the edge, less r."""
    radius, height = 0.4, 0.1
    felt = obstacles.step(height).felt(radius, 0.0)
    x = felt.spacing * np.arange(len(felt.left)) - obstacles.BEFORE
    before = (x > -np.sqrt(2 * radius * height - height**2) + 0.01) & (x < -0.01)
    assert felt.left[before] == pytest.approx(height + np.sqrt(radius**2 - x[before] ** 2) - radius, abs=1e-9)
    far = x < -np.sqrt(2 * radius * height - height**2) - 0.02
    assert np.all(felt.left[far] == 0.0)


def test_a_circle_does_not_reach_into_a_narrow_hole():
    """A hole of width w takes a wheel down by r - sqrt(r2 - w2/4) only."""
    felt = obstacles.pothole(0.2, 0.3, "both").felt(0.4, 0.0)
    assert -felt.left.min() == pytest.approx(0.4 - np.sqrt(0.16 - 0.15**2), abs=2e-3)


def test_footprint_is_a_mean():
    """A sine loses sinc(width / wavelength) of its height."""
    x = np.arange(0, 50, 0.01)
    ground = Ground("sine", 0.01, np.sin(2 * np.pi * x / 0.8), np.sin(2 * np.pi * x / 0.8))
    felt = ground.felt(0.0, 0.23)
    assert felt.left[500:-500].max() == pytest.approx(np.sinc(0.23 / 0.8), rel=2e-3)


def test_level_ground_is_felt_as_it_is():
    ground = obstacles.flat(20).plus(0.3)
    assert ground.felt(0.4, 0.2).left == pytest.approx(0.3)


def test_twist_is_one_side_after_the_other():
    ground = obstacles.twist(0.2, 1.5, 2.5)
    apart = (int(np.argmax(ground.right)) - int(np.argmax(ground.left))) * ground.spacing
    assert apart == pytest.approx(2.5)


@pytest.mark.parametrize(
    "text",
    [
        "level",
        "class C",
        "half-round 120 mm",
        "step 6 in",
        "ditch 200 mm 1.5 m",
        "jump 0.5 m 3 m",
        "corrugation 40 mm 0.9 m",
        "twist 0.2 m 1.5 m 2.5 m",
        "drop-off 300 mm",
    ],
)
def test_grounds_by_name(text):
    ground = ground_named(text, 1.6, 80.0)
    assert ground.length > 20
    assert np.all(np.isfinite(ground.left))
    assert len(ground.left) == len(ground.right)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("clas D", "no such ground; there are class A to class H"),
        ("class Q", "no such ground"),
        ("", "no such ground"),
        ("step", "step takes height, each with its unit"),
        ("step 120", "step takes height, each with its unit"),
        ("ditch 200 mm", "ditch takes depth, width"),
        ("step 120 kg", '"kg" is a unit of mass; a length is wanted'),
        ("none.csv", "there is no such file"),
    ],
)
def test_grounds_that_cannot_be(text, says):
    with pytest.raises(InputError) as error:
        ground_named(text, 1.6, 80.0)
    assert says in str(error.value)


def test_recorded_profile_with_gaps_and_spikes():
    text = "# my lane\ndistance [m],left [mm],right [mm]\n" + "\n".join(
        f"{x:.2f},{10 * np.sin(x):.3f},0" for x in np.arange(0, 20, 0.05) if not 8 < x < 9.2
    )
    text = text.replace("15.00,6.503", "15.00,506.503")
    ground = read_profile(text, "lane.csv")
    assert ground.left[int(3.0 / 0.02)] == pytest.approx(0.01 * np.sin(3.0), abs=2e-5)
    assert any(
        "1 gaps, the widest 1 25" in note.replace("\N{NARROW NO-BREAK SPACE}", " ") or "1 gaps" in note
        for note in ground.notes
    )
    assert any("steeper than two to one" in note for note in ground.notes)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "needs a header"),
        ("distance [m],left\n0,1\n1,2\n", "the unit is missing"),
        ("x [m],left [mm]\n0,1\n1,2\n", 'column "x [m]": no such column'),
        ("distance [m],left [mm]\n0,1\n1,x\n", "row 2 = 1,x: must be 2 numbers"),
        ("distance [m],left [mm]\n0,1\n0,2\n", "distance must rise"),
        ("distance [m],left [mm]\n0,1\n1,nan\n", "not finite"),
        ("distance [m],left [m],right [m]\n0,0,0\n1,0.1,0\n2\n3,0,0\n", "row 3 = 2: must be 3 numbers"),
        ("distance [m],left [m],left [mm]\n0,0,0\n1,0,0\n2,0,0\n", 'column "left [mm]": is there twice'),
        ("distance [m],left [m]\n0,0\n1e9,0\n2e9,0.1\n", "long; at most 20"),
        ("distance [m],left [m]\n0,0\n1,2e6\n2,0.1\n", "row 2, left = 2e+06 m: is no height of a ground"),
        ("distance [km],left [m]\n0,0\n1e306,0\n2e306,0.1\n", "not finite"),
    ],
)
def test_profiles_that_cannot_be(text, says):
    with pytest.raises(InputError) as error:
        read_profile(text, "lane.csv")
    assert says in str(error.value)
