"""Arms that turn about one axis: swing axle, trailing and semi-trailing arm, by closed forms and values worked out outside this project.

The swing axle is the lever case of Barton and Fieldhouse, Automotive Chassis Engineering (2018), fig. 3.57; the rest is derived.
"""

import numpy as np
import pytest
from pydantic import ValidationError

from springwright.errors import InputError
from springwright.linkage.mounts import OnLinks
from springwright.linkage.swing import SwingArm
from springwright.sizing.fitted import assemble
from tests.build import axle, design_file, vehicle


def mm(*values):
    return [f"{value} mm" for value in values]


SEMI = {"wheel_centre": mm(0, 750, 340), "inner_pivot": mm(300, 250, 340), "outer_pivot": mm(420, 650, 340)}


def test_swing_axle():
    """Pivot 100 mm out, 330 up, half-track 750: roll centre 380.769 mm, camber 0.8814 deg per 10 mm at rest."""
    arm = SwingArm(wheel_centre=mm(0, 750, 330), inner_pivot=mm(-100, 100, 330), outer_pivot=mm(100, 100, 330))
    path = arm.path([0.0, 0.005, -0.005])
    assert 1e3 * path.roll_centre[0] == pytest.approx(380.769, abs=1e-3)
    assert np.degrees(path.camber[1] - path.camber[2]) == pytest.approx(-0.8814, abs=1e-4)
    assert path.toe == pytest.approx(np.zeros(3), abs=1e-12)


def test_trailing_arm():
    """Axis across the vehicle: no camber, no toe; the wheel goes towards the pivot by L - sqrt(L2 - dz2)."""
    arm = SwingArm(wheel_centre=mm(0, 700, 340), inner_pivot=mm(450, 300, 340), outer_pivot=mm(450, 600, 340))
    path = arm.path([0.04, 0.08, -0.08])
    assert 1e3 * path.centre[:, 0] == pytest.approx([1.78130, 7.16820, 7.16820], abs=1e-5)
    assert path.camber == pytest.approx(np.zeros(3), abs=1e-12)
    assert path.toe == pytest.approx(np.zeros(3), abs=1e-12)
    assert path.roll_centre[0] == pytest.approx(0.0, abs=1e-12)


def test_semi_trailing_arm():
    path = SwingArm(**SEMI).path([0.03, 0.06, -0.03, -0.06])
    assert np.degrees(path.camber) == pytest.approx([-1.14599, -2.29244, 1.14599, 2.29244], abs=1e-4)
    assert np.degrees(path.toe) == pytest.approx([0.03825, 0.15366, 0.03825, 0.15366], abs=1e-4)
    assert 1e3 * path.centre[:, 0] == pytest.approx([1.0012, 4.0196, 1.0012, 4.0196], abs=1e-3)
    assert 1e3 * (path.centre[:, 1] - 0.75) == pytest.approx([-0.3004, -1.2059, -0.3004, -1.2059], abs=1e-3)


def test_points_keep_their_distance_from_the_axis_and_move_as_said():
    arm = SwingArm(**SEMI)
    x = np.linspace(-0.2, 0.2, 41)
    path, low, high = arm.path(x), arm.path(x - 1e-6), arm.path(x + 1e-6)
    assert path.centre[:, 2] - 0.34 == pytest.approx(x, abs=1e-12)
    for point in ((0.1, 0.6, 0.3), (0.0, 0.75, 0.0)):
        a = np.array([0.3, 0.25, 0.34])
        assert np.linalg.norm(path.at(point) - a, axis=1) == pytest.approx(
            np.linalg.norm(np.array(point) - a), abs=1e-12
        )
        assert (high.at(point) - low.at(point)) / 2e-6 == pytest.approx(path.moves(point), abs=1e-7)


def test_spring_on_the_arm_and_the_axle_on_its_points():
    """The mount's ratio is the slope of its length; the assembled axle's force and rate agree by finite difference."""
    acts = {"by": "swing arm", "foot": mm(170, 620, 335), "top": mm(175, 600, 690)}
    mount = OnLinks(**acts, links=SwingArm.model_validate(SEMI))
    x = np.array([-0.1, 0.0, 0.12])
    low, high = mount.lengths(x - 1e-5, 0.0), mount.lengths(x + 1e-5, 0.0)
    assert -(high.length - low.length) / 2e-5 == pytest.approx(mount.lengths(x, 0.0).ratio, rel=1e-6)
    assert mount.lengths(x, 0.0).ratio == pytest.approx(mount.exact(x)[1], abs=1e-7)
    rear = axle("rear", 2.5, track="1.5 m", roll_centre_height=None, swing_arm=SEMI)
    rear["spring"] = {"acts": acts}
    rig = assemble(design_file(vehicle(axles=[axle("front", 0.0), rear])))
    assert rig.axle_roll_centre[1] == pytest.approx(SwingArm(**SEMI).path(0.0).roll_centre[0])
    e = 2
    assert np.gradient(rig.element_force[e], rig.element_step[e])[20:70] == pytest.approx(
        rig.element_rate[e][20:70], rel=3e-3
    )


@pytest.mark.parametrize(
    ("changes", "says"),
    [({"outer_pivot": mm(300, 250, 340)}, "coincides"), ({"wheel_centre": mm(360, 450, 640)}, "hardly rises")],
)
def test_arms_that_cannot_be(changes, says):
    with pytest.raises(ValidationError, match=says):
        SwingArm(**{**SEMI, **changes})


def test_side_view_slopes_of_a_trailing_arm():
    """Brakes on the arm act along the line from the contact point to the pivot, drive through a shaft from the wheel centre.

    Pivot e up and d ahead of a rear wheel: e / d and (e - r) / d (Gillespie ch. 7, from memory).
    """
    arm = {"wheel_centre": mm(0, 700, 380), "inner_pivot": mm(600, 300, 450), "outer_pivot": mm(600, 600, 450)}
    made = axle("rear", 2.5, track="1.4 m", swing_arm=arm, roll_centre_height=None)
    rig = assemble(design_file(vehicle(axles=[axle("front", 0.0), made])))
    assert rig.brake_slope[1] == pytest.approx(0.45 / 0.6, rel=1e-9)
    assert rig.drive_slope[1] == pytest.approx((0.45 - 0.38) / 0.6, rel=1e-9)
    inboard = assemble(design_file(vehicle(axles=[axle("front", 0.0), {**made, "brake_torque_on": "body"}])))
    assert inboard.brake_slope[1] == pytest.approx((0.45 - 0.38) / 0.6, rel=1e-9)


def test_points_that_contradict_the_axle_are_said():
    beam = {"kind": "beam", "spring": {"acts": {"by": "beam", "base": "1.0 m", "ratio": None}}}
    for changes, says in (
        ({"track": "1.6 m"}, "half the track is"),
        ({"track": "1.5 m", **beam}, "held by the beam"),
    ):
        with pytest.raises(InputError, match=says):
            design_file(vehicle(axles=[axle("front", 0.0), axle("rear", 2.5, swing_arm=SEMI, **changes)]))


@pytest.mark.parametrize(
    ("inner", "outer"),
    [(("300 mm", "250 mm", "340 mm"), ("420 mm", "650 mm", "340 mm")), (("450 mm", "300 mm", "360 mm"), ("450 mm", "600 mm", "360 mm")), (("-100 mm", "100 mm", "330 mm"), ("100 mm", "100 mm", "350 mm"))],
    ids=["semi-trailing", "trailing", "swing axle"],
)  # fmt: skip
def test_in_a_general_engine(inner, outer):
    """A hinge in MuJoCo turned until the wheel is as high: wheel centre, contact point and spindle to 1e-5 m over 200 mm."""
    import mujoco
    from scipy.optimize import brentq

    arm = SwingArm(wheel_centre=mm(0, 750, 340), inner_pivot=inner, outer_pivot=outer)
    a, b, c = (np.array(one) for one in (arm.inner_pivot, arm.outer_pivot, arm.wheel_centre))
    end = c + np.array([0.0, 1.0, 0.0])

    def text(v):
        return " ".join(f"{x:.12g}" for x in v)

    model = mujoco.MjModel.from_xml_string(
        f"""<mujoco><worldbody><body pos="{text(a)}"><joint type="hinge" axis="{text(b - a)}"/><inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>
        <site name="wheel" pos="{text(c - a)}"/><site name="contact" pos="{text([c[0] - a[0], c[1] - a[1], -a[2]])}"/>
        <site name="spindle" pos="{text(end - a)}"/></body></worldbody></mujoco>"""
    )
    data = mujoco.MjData(model)

    def at(angle, name):
        data.qpos[0] = angle
        mujoco.mj_kinematics(model, data)
        return data.site(name).xpos.copy()

    for travel in (-0.1, -0.05, 0.0, 0.05, 0.1):
        path = arm.path(travel)
        angle = brentq(lambda q, up=travel: at(q, "wheel")[2] - c[2] - up, -0.6, 0.6, xtol=1e-14)
        assert at(angle, "wheel") == pytest.approx(path.centre[0], abs=1e-5)
        assert at(angle, "contact") == pytest.approx(path.at(path.contact)[0], abs=1e-5)
        assert at(angle, "spindle") == pytest.approx(path.at(end)[0], abs=1e-5)
