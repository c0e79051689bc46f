"""Double wishbones in space against positions worked out outside this project by two independent solvers, to the digits given.

No public source gives a full set of pivot points with its output table; the sets and values here are derived (see the digits: four
after the point in degrees and millimetres). Blundell and Harty eq. 4.33 to 4.43 give the roll centre of the planar set at rest.
"""

import numpy as np
import pytest
from pydantic import ValidationError

from springwright.linkage.mounts import OnLinks
from springwright.linkage.wishbones import Wishbones
from springwright.motion.equilibrium import equilibrium
from springwright.sizing.fitted import assemble
from tests.build import axle, design_file, vehicle


def mm(*values):
    return [f"{value} mm" for value in values]


SPACE = {
    "lower_front": mm(150, 300, 260), "lower_rear": mm(-150, 300, 250), "lower_ball": mm(5, 700, 235), "upper_front": mm(110, 360, 500),
    "upper_rear": mm(-130, 360, 490), "upper_ball": mm(-20, 660, 480), "toe_inner": mm(-120, 320, 290), "toe_outer": mm(-130, 690, 285), "wheel_centre": mm(0, 780, 350),
}  # fmt: skip
PLANE = {
    "lower_front": mm(150, 300, 250), "lower_rear": mm(-150, 300, 250), "lower_ball": mm(0, 700, 230), "upper_front": mm(150, 350, 480),
    "upper_rear": mm(-150, 350, 480), "upper_ball": mm(0, 660, 470), "toe_inner": mm(-100, 300, 250), "toe_outer": mm(-100, 700, 230), "wheel_centre": mm(0, 780, 350),
}  # fmt: skip
TRAVEL = np.array([-0.08, -0.04, 0.0, 0.04, 0.08])
SPRING = {"by": "wishbones", "on": "lower arm", "foot": mm(0, 560, 240), "top": mm(-10, 470, 620)}


def test_in_space():
    """Camber, toe, kingpin, caster, wheel centre, contact point and roll centre over 160 mm of travel."""
    links = Wishbones(**SPACE)
    path = links.path(TRAVEL)
    caster, kingpin = links.leans(path)
    assert np.degrees(path.camber) == pytest.approx([-0.83053, -0.21709, 0, -0.10128, -0.49708], abs=1e-4)
    assert np.degrees(path.toe) == pytest.approx([1.44496, 0.68550, 0, -0.65455, -1.30320], abs=1e-4)
    assert np.degrees(kingpin) == pytest.approx([9.9605, 9.4201, 9.2726, 9.4434, 9.9111], abs=1e-4)
    assert np.degrees(caster) == pytest.approx([5.6755, 5.7495, 5.8263, 5.9054, 5.9870], abs=1e-4)
    moved = 1e3 * (path.centre - path.centre[2])
    assert moved[:, 0] == pytest.approx([5.5202, 2.6842, 0, -2.6110, -5.1932], abs=1e-3)
    assert moved[:, 1] == pytest.approx([-14.1321, -4.4747, 0, -0.2493, -5.0487], abs=1e-3)
    contact = path.at(path.contact)
    assert 1e3 * (contact[:, 1] - contact[2, 1]) == pytest.approx([-8.9964, -3.1346, 0, 0.3822, -1.9610], abs=1e-3)
    assert 1e3 * path.roll_centre == pytest.approx([138.8018, 87.6266, 34.2486, -19.2530, -71.7377], abs=1e-2)


def test_in_a_plane():
    path = Wishbones(**PLANE).path(TRAVEL)
    assert np.degrees(path.camber) == pytest.approx([-0.25535, 0.03074, 0, -0.29931, -0.85699], abs=1e-4)
    assert 1e3 * path.at(path.contact)[:, 1] - 780 == pytest.approx([-11.2532, -4.1371, 0, 1.2210, -0.4116], abs=1e-3)
    assert 1e3 * path.roll_centre == pytest.approx([165.7083, 108.9575, 52.0244, -4.2054, -59.1792], abs=1e-2)
    assert path.toe == pytest.approx(np.zeros(5), abs=1e-9)


def test_equal_parallel_arms_swing_a_circle():
    """Camber stays; the contact point goes in by l - sqrt(l2 - dz2): 8.08164 mm for 400 mm arms at 80."""
    level = {
        **PLANE, "lower_ball": mm(0, 700, 250), "upper_front": mm(150, 300, 480), "upper_rear": mm(-150, 300, 480), "upper_ball": mm(0, 700, 480), "toe_outer": mm(-100, 700, 250)
    }  # fmt: skip
    path = Wishbones(**level).path(TRAVEL)
    assert path.camber == pytest.approx(np.zeros(5), abs=1e-9)
    assert 1e3 * path.at(path.contact)[[0, 4], 1] - 780 == pytest.approx([-8.08164, -8.08164], abs=1e-5)


def test_spring_on_the_lower_arm():
    """Length and motion ratio; the ratio's slope and the ratio itself by finite difference."""
    mount = OnLinks(**SPRING, links=Wishbones.model_validate(SPACE))
    length, ratio, slope = mount.lengths(np.array([-0.08, 0.0, 0.08]), 0.0)
    assert 1e3 * length == pytest.approx([440.4863, 390.6405, 340.0342], abs=1e-4)
    assert ratio == pytest.approx([0.623875, 0.625561, 0.641158], abs=1e-6)
    random = np.random.default_rng(1).uniform(-0.1, 0.1, 50)
    exact = mount.exact(random)
    assert mount.lengths(random, 0.0).length == pytest.approx(exact[0], abs=1e-9)
    assert mount.lengths(random, 0.0).ratio == pytest.approx(exact[1], abs=1e-6)
    for x, r, s in zip((-0.08, 0.0, 0.08), ratio, slope, strict=True):
        low, high = (mount.lengths(x + d, 0.0) for d in (-1e-5, 1e-5))
        assert -(high.length - low.length) / 2e-5 == pytest.approx(r, rel=1e-6)
        assert (high.ratio - low.ratio) / 2e-5 == pytest.approx(s, rel=1e-4, abs=1e-4)


def test_velocities_are_the_slopes_of_positions():
    links = Wishbones(**SPACE)
    path, low, high = links.path(TRAVEL), links.path(TRAVEL - 1e-6), links.path(TRAVEL + 1e-6)
    for point in (links.wheel_centre, links.lower_ball, links.toe_outer, (0.1, 0.9, 0.0)):
        assert (high.at(point) - low.at(point)) / 2e-6 == pytest.approx(path.moves(point), abs=1e-6)
    for which in ("lower", "upper"):
        a, b = (links.carried(f"{which} arm", (0.02, 0.5, 0.3), TRAVEL + d)[0] for d in (-1e-6, 1e-6))
        assert (b - a) / 2e-6 == pytest.approx(links.carried(f"{which} arm", (0.02, 0.5, 0.3), TRAVEL)[1], abs=1e-6)


def test_links_keep_their_length():
    links = Wishbones(**SPACE)
    path = links.path(np.linspace(-0.12, 0.12, 201))
    for inner, outer in (("lower_front", "lower_ball"), ("upper_rear", "upper_ball"), ("toe_inner", "toe_outer")):
        a, b = (np.array(getattr(links, name)) for name in (inner, outer))
        assert np.linalg.norm(path.at(b) - a, axis=1) == pytest.approx(np.linalg.norm(b - a), abs=1e-9)


def test_in_a_general_engine():
    """The same joints in MuJoCo, its loops closed by a root solve on its forward kinematics: 1e-5 m over the travel."""
    import mujoco
    from scipy.optimize import root

    links = Wishbones(**SPACE)
    point = {name: np.array(getattr(links, name)) for name in SPACE}

    def text(v):
        return " ".join(f"{x:.12g}" for x in v)

    lower, upper = (point[f"{arm}_rear"] - point[f"{arm}_front"] for arm in ("lower", "upper"))
    model = mujoco.MjModel.from_xml_string(
        f"""<mujoco><worldbody>
        <body pos="{text(point["lower_front"])}"><joint name="low" type="hinge" axis="{text(lower)}"/><inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>
          <body pos="{text(point["lower_ball"] - point["lower_front"])}"><joint name="ball" type="ball"/><inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>
            <site name="upper" pos="{text(point["upper_ball"] - point["lower_ball"])}"/><site name="toe" pos="{text(point["toe_outer"] - point["lower_ball"])}"/>
            <site name="wheel" pos="{text(point["wheel_centre"] - point["lower_ball"])}"/></body></body>
        <body pos="{text(point["upper_front"])}"><joint name="up" type="hinge" axis="{text(upper)}"/><inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>
          <site name="arm" pos="{text(point["upper_ball"] - point["upper_front"])}"/></body></worldbody></mujoco>"""
    )
    data = mujoco.MjData(model)
    toe_long = np.linalg.norm(point["toe_outer"] - point["toe_inner"])

    def gaps(x, height):
        data.qpos[0], data.qpos[5] = x[0], x[1]
        quaternion = np.zeros(4)
        angle = np.linalg.norm(x[2:])
        mujoco.mju_axisAngle2Quat(quaternion, x[2:] / angle if angle else np.array([1.0, 0, 0]), angle)
        data.qpos[1:5] = quaternion
        mujoco.mj_kinematics(model, data)
        at = {name: data.site(name).xpos.copy() for name in ("upper", "toe", "wheel", "arm")}
        return [
            *(at["upper"] - at["arm"]),
            np.linalg.norm(at["toe"] - point["toe_inner"]) - toe_long,
            at["wheel"][2] - height,
        ]

    ours = links.path(TRAVEL)
    for travel, centre in zip(TRAVEL, ours.centre, strict=True):
        height = point["wheel_centre"][2] + travel
        found = root(gaps, np.zeros(5), args=(height,), tol=1e-13)
        gaps(found.x, height)
        assert data.site("wheel").xpos == pytest.approx(centre, abs=1e-5)
        assert data.site("toe").xpos == pytest.approx(ours.at(links.toe_outer)[list(TRAVEL).index(travel)], abs=1e-5)


def test_where_the_links_lock_is_said():
    """Short arms cannot follow the whole range: the travel and the joint are named."""
    short = {
        **PLANE,
        "lower_front": mm(150, 560, 250),
        "lower_rear": mm(-150, 560, 250),
        "upper_front": mm(150, 520, 480),
        "upper_rear": mm(-150, 520, 480),
        "toe_inner": mm(-100, 560, 250),
    }
    reach = Wishbones(**short).reach()
    assert -0.2 < reach.low < -0.05
    assert 0.05 < reach.high < 0.2
    assert "locks at" in reach.locks


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"lower_ball": mm(0, 300, 255)}, "in line with the lower arm"),
        ({"toe_inner": mm(-130, 690, 285)}, "coincides"),
        ({"toe_outer": mm(-7.5, 680, 357.5)}, "in line with the two ball joints"),
    ],
)
def test_points_that_cannot_be(changes, says):
    with pytest.raises(ValidationError, match=says):
        Wishbones(**{**SPACE, **changes})


def test_the_axle_rides_on_its_points():
    """The wheel rate of the assembled axle is the finite difference of its wheel force, and its roll centre comes from the points."""
    front = axle(
        "front",
        0.0,
        track="1.56 m",
        roll_centre_height=None,
        wishbones=SPACE,
        spring={"acts": SPRING, "installed_length": None},
    )
    front["spring"]["acts"] = SPRING
    rig = assemble(design_file(vehicle(axles=[front, axle("rear", 2.5)])))
    assert rig.axle_roll_centre[0] == pytest.approx(0.0342486, abs=1e-6)
    e, step = 0, rig.element_step[0]
    force, rate = rig.element_force[e], rig.element_rate[e]
    inside = slice(20, 76)
    assert np.gradient(force, step)[inside] == pytest.approx(rate[inside], rel=2e-3)
    still = equilibrium(rig)
    assert still.travel == pytest.approx(np.zeros(4), abs=0.1)
    lengths = OnLinks(**SPRING, links=Wishbones.model_validate(SPACE)).lengths(0.0, 0.0)
    assert lengths.ratio == pytest.approx(0.625561, abs=1e-6)


def test_geometry_of_the_demo(tmp_path):
    """The buggy's toe link is laid so that the wheel hardly steers as it moves; the table is what the links say; the drawing has every joint."""
    import json
    import re

    import jsonschema
    from typer.testing import CliRunner

    from springwright.cli.main import app
    from springwright.sizing.axle_geometry import geometry
    from springwright.vehicle.file import load
    from springwright.vehicle.geometry import Geometry
    from tests.build import DEMOS

    file = load(DEMOS / "survey-buggy.toml")
    found = geometry(file, "front")
    assert max(abs(one.toe) for one in found.positions) < np.radians(0.3)
    links = file.design.axles[0].wishbones
    assert [one.camber for one in found.positions] == pytest.approx(
        links.path([one.travel for one in found.positions]).camber
    )
    assert list(jsonschema.Draft202012Validator(Geometry.schema()).iter_errors(found.to_json())) == []
    run = CliRunner()
    demo = str(DEMOS / "survey-buggy.toml")
    assert json.loads(run.invoke(app, ["geometry", demo, "rear", "--json"]).stdout)["axle"] == "rear"
    assert run.invoke(app, ["geometry", demo, "front", "-o", str(tmp_path / "g.svg")]).exit_code == 0
    drawn = (tmp_path / "g.svg").read_text()
    # nine joints, spring and damper ends in plan; in the other views they are parts
    assert len(re.findall(r'class="f-ink" cx="[\d.-]+" cy="[\d.-]+" r="3.00"', drawn)) == 13
    assert "no such axle" in str(run.invoke(app, ["geometry", demo, "nose"]).exception)
    truck = str(DEMOS / "fire-watch.toml")
    assert run.invoke(app, ["geometry", truck, "rear", "-o", str(tmp_path / "h.svg")]).exit_code == 0
    assert "from the left side" in (tmp_path / "h.svg").read_text()
