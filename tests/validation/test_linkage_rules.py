"""Linkages against closed forms and handbook rules: lateral rod, Watt linkage, leaf axle, anti-dive and anti-squat, shafts, bushes.

Roll centre rules for beam axles: lecture notes; Heisler, Advanced Vehicle Technology. Anti-dive: 100 p tan(a) L/h, a web example.
Anti-squat of a solid axle: Gillespie ch. 7, Milliken, from memory. What has no source is derived beside its check.
"""

import numpy as np
import pytest

from springwright.linkage.beam_links import BeamLinks
from springwright.linkage.constraint_solver import in_stages
from springwright.linkage.held import upright_path
from springwright.linkage.mounts import OnAxleLinks, OnLinks, Twisted
from springwright.linkage.shaft import Shaft
from springwright.linkage.steering import DragLink, at_lock
from springwright.linkage.strut import Strut
from springwright.linkage.swing import SwingArm
from springwright.linkage.wishbones import Wishbones
from springwright.motion.equilibrium import equilibrium
from springwright.motion.forces import GRAVITY, element_forces
from springwright.report.geometry import geometry_section
from springwright.sizing.axle_geometry import geometry
from springwright.sizing.fitted import assemble
from springwright.sizing.sheet import size
from tests.build import axle, design_file, vehicle
from tests.validation.test_swing_arms import SEMI
from tests.validation.test_wishbones import PLANE, SPACE


def mm(*values):
    return [f"{value} mm" for value in values]


CENTRE = mm(0, 780, 400)
LOWER = {"name": "lower", "body": mm(900, 500, 320), "axle": mm(0, 500, 300)}
UPPER = {"name": "upper", "body": mm(850, 0, 520), "axle": mm(0, 0, 500), "both": False}
STRUT = {
    "wheel_centre": mm(0, 740, 320), "lower_front": mm(140, 330, 230), "lower_rear": mm(-180, 330, 235), "lower_ball": mm(10, 690, 215),
    "strut_top": mm(-30, 560, 860), "strut_foot": mm(0, 640, 420), "toe_inner": mm(-130, 340, 280), "toe_outer": mm(-140, 680, 265),
}  # fmt: skip


def lateral(x, body=(520, 470), end=(-480, 430)):
    return {"name": "lateral", "body": mm(x, *body), "axle": mm(x, *end), "both": False}


def three_links(x=0, **changes):
    return BeamLinks(wheel_centre=CENTRE, rods=[LOWER, UPPER, lateral(x, **changes)])


def test_lateral_rod_sets_the_roll_centre():
    """Rod height at the middle, 449.2 mm; moved 150 mm back it is met on the roll axis, which rises 20/900: 452.53 mm. Steer 20/900, to the right."""
    beam = three_links().path(0.0)
    assert 1e3 * beam.roll_centre[0] == pytest.approx(449.2, abs=1e-4)
    assert beam.roll_steer[0] == pytest.approx(-20 / 900, rel=1e-6)
    # by hand: the right wheel rises as the body rolls right, its link comes level and pushes that end back: steer to the right
    end = three_links().beam(np.array([-0.01]), np.array([0.01]))
    assert np.tan(-end.toe[0]) == pytest.approx(-20 / 900 * 0.01 / 0.78, rel=0.03)
    assert 1e3 * three_links(-150).path(0.0).roll_centre[0] == pytest.approx(452.5333, abs=1e-4)


def test_lateral_rod_swings_the_axle():
    """A level 1 m rod: L - sqrt(L2 - z2), 1.25078 mm at 50 and 5.01256 at 100; 40 mm off level: 1.0013 mm up and 9.0482 mm down.

    The axle also swings a few mm along the vehicle on its other links, so the figures hold within 1 %.
    """
    level = three_links(body=(500, 430), end=(-500, 430))
    shift = 1e3 * level.path([0.05, 0.1, -0.1]).shift
    assert np.abs(shift) == pytest.approx([1.25078, 5.01256, 5.01256], rel=0.01)
    tilted = three_links(body=(500, 470), end=(-499.1997, 430))
    up, down = np.abs(1e3 * tilted.path([0.1, -0.1]).shift)
    assert (up, down) == pytest.approx((1.0013, 9.0482), rel=0.04)


def test_watt_linkage_keeps_the_axle_in_the_middle():
    """Roll centre at the crank's pivot; sideways next to nothing where a lateral rod of the same length would move it 5 mm."""
    watt = {
        "crank": mm(0, 0, 410),
        "crank_left": mm(0, 0, 490),
        "crank_right": mm(0, 0, 330),
        "left": mm(0, 480, 490),
        "right": mm(0, -480, 330),
    }
    beam = BeamLinks(wheel_centre=CENTRE, rods=[LOWER, UPPER], watt=watt).path([0.0, 0.1, -0.1])
    assert 1e3 * beam.roll_centre[0] == pytest.approx(410.0, abs=1e-4)
    assert np.abs(1e3 * beam.shift).max() < 0.3


def test_four_links_roll_about_where_their_planes_meet():
    """Parallel lower links and upper ones that meet over the axle: the roll centre is that meeting point's height on the axis through it.

    Level lower links make the axis level, so its height is that of the point where the upper links meet, 560 mm.
    """
    rods = [
        {"name": "lower", "body": mm(800, 450, 330), "axle": mm(0, 450, 330)},
        {"name": "upper", "body": mm(600, 400, 560), "axle": mm(60, 40, 560)},
    ]
    beam = BeamLinks(wheel_centre=CENTRE, rods=rods).path(0.0)
    assert 1e3 * beam.roll_centre[0] == pytest.approx(560.0, abs=1e-3)
    assert beam.roll_steer[0] == pytest.approx(0.0, abs=1e-9)


def test_radius_arms_hold_roll_by_their_bushes():
    """Far arms and stiff body bushes: in roll by an angle each axle bush pair is twisted about the axle by a / L.

    The arm's line turns by y roll / L against the axle; two bushes 2e apart oppose with 2 k e2 per radian. Both arms, per wheel:
    rate = 2 k e2 (y / L)2 / (t / 2)2, for a body bush that is stiff and an axle whose pitch is balanced between the two sides.
    """
    y, e, long, k, t = 0.4, 0.11, 1.6, 5e6, 1.56
    arms = {"body": mm(-1600, 400, 400), "axle_front": mm(110, 400, 400), "axle_rear": mm(-110, 400, 400), "body_bush": "5000 kN/mm", "axle_bush": "5 kN/mm", "spin": "0.001 N*m/deg"}  # fmt: skip
    rod = {
        "name": "lateral",
        "body": mm(0, 500, 400),
        "axle": mm(0, -500, 400),
        "both": False,
        "bush_rate": "500 kN/mm",
    }
    links = BeamLinks(wheel_centre=CENTRE, rods=[rod], radius_arms=arms)
    heave, roll = links.bush_rates()
    assert roll == pytest.approx(2 * k * e**2 * (y / long) ** 2 / (t / 2) ** 2, rel=0.02)
    assert heave < 1e-3 * roll


def test_bushes_add_to_the_wheel_rate():
    """k (da/dz)2: 40 N m/deg on a level trailing arm of 450 mm is 11 318 N/m; the spring the target asks for is that much softer."""
    arm = {
        "wheel_centre": mm(0, 700, 340),
        "inner_pivot": mm(450, 300, 340),
        "outer_pivot": mm(450, 600, 340),
        "bushes": "40 N*m/deg",
    }
    links = SwingArm(**arm)
    assert links.bush_rate() == pytest.approx(40 * 180 / np.pi / 0.45**2, rel=1e-9)
    seat = {
        "acts": {"by": "swing arm", "foot": mm(150, 600, 340), "top": mm(150, 600, 700), "ratio": None},
        "installed_length": None,
    }
    plain = {name: value for name, value in arm.items() if name != "bushes"}
    rates = []
    for given in (arm, plain):
        file = design_file(
            vehicle(
                axles=[
                    axle("front", 0.0, swing_arm=given, track="1.4 m", roll_centre_height=None, spring=seat),
                    axle("rear", 2.5),
                ]
            )
        )
        rig = assemble(file)
        still = equilibrium(rig)
        step = equilibrium(rig, ground=np.array([0.001, 0.001, 0, 0]))
        # a coil's free length is rounded, so that it stands a little nose up or down, its body carried along over the wheel centres
        carried = rig.sprung_mass * GRAVITY * rig.pitch_arm * np.sin(still.pitch) / 2.5 / 2
        rates.append((still.wheel_loads[0] - carried, step.wheel_loads[0], size(file).rates[0]))
    with_bushes, without = rates
    assert with_bushes[2].wheel_rate == pytest.approx(without[2].wheel_rate, rel=1e-9)
    ratio = (1 - 150 / 450) ** 2
    assert without[2].spring_rate - with_bushes[2].spring_rate == pytest.approx(links.bush_rate() / ratio, rel=1e-6)
    assert with_bushes[0] == pytest.approx(without[0], rel=1e-6)


@pytest.mark.parametrize(
    ("links", "on"), [(Wishbones(**SPACE), "lower arm"), (Strut(**STRUT), "lower arm"), (SwingArm(**SEMI), "arm")]
)
def test_twist_of_an_arm(links, on):
    """The torsion bar's mount: its slope is its difference, its arc the true turn of the arm about its pivots."""
    mount = Twisted(by="twist", on=on, links=links)
    x = np.array([-0.08, 0.0, 0.08])
    length, ratio, slope = mount.lengths(x, 0.0)
    low, high = mount.lengths(x - 1e-5, 0.0), mount.lengths(x + 1e-5, 0.0)
    assert ratio == pytest.approx(-(high.length - low.length) / 2e-5, rel=1e-6)
    assert slope == pytest.approx((high.ratio - low.ratio) / 2e-5, rel=1e-3, abs=1e-3)
    assert length[1] == pytest.approx(0.0, abs=1e-9)
    turned = links.twisted(on, x)[0]
    assert turned == pytest.approx(-length / mount.lever_arm, abs=1e-7)
    assert turned[2] > 0 > turned[0]


def test_spring_on_a_trailing_link():
    """A level link 800 mm long, the spring upright 600 mm from its pivot: ratio 0.75; on the axle at base 1 m over 1.56 m its roll base is 1 m."""
    rods = [
        {"name": "lower", "body": mm(800, 450, 330), "axle": mm(0, 450, 330)},
        {"name": "upper", "body": mm(600, 400, 560), "axle": mm(60, 40, 560)},
    ]
    links = {"wheel_centre": CENTRE, "rods": rods}
    on_link = OnAxleLinks(by="axle links", on="lower", foot=mm(200, 450, 330), top=mm(200, 450, 700), links=links)
    assert on_link.lengths(0.0, 0.0).ratio == pytest.approx(0.75, rel=1e-6)
    on_axle = OnAxleLinks(by="axle links", on="axle", foot=mm(0, 500, 400), top=mm(0, 500, 700), links=links)
    assert on_axle.roll_base(None) == pytest.approx(1.0, rel=1e-6)
    length, own, other = on_axle.shares(np.array([0.02]), np.array([-0.03]))
    step = 1e-6
    for i, share in enumerate((own, other)):
        a, b = (
            on_axle.shares(*(np.array([at + (d if i == k else 0)]) for k, at in enumerate((0.02, -0.03))))[0]
            for d in (-step, step)
        )
        assert -(b - a) / (2 * step) == pytest.approx(share, abs=1e-6)
    mirror = on_axle.shares(np.array([-0.03]), np.array([0.02]), -1)
    assert mirror[0] == pytest.approx(length, abs=1e-9)
    assert mirror[1] == pytest.approx(own, abs=1e-9)


@pytest.mark.parametrize(
    "links", [Wishbones(**SPACE), Strut(**STRUT), SwingArm(**SEMI)], ids=["wishbones", "strut", "semi-trailing"]
)
def test_roll_centre_is_the_ratio_of_virtual_work(links):
    """Sideways force at the contact point against the vertical one that holds it: y dy / dz, by differences of positions."""
    step = 1e-6
    path, low, high = (links.path([at]) for at in (0.0, -step, step))
    a, b = low.at(path.contact)[0], high.at(path.contact)[0]
    assert path.roll_centre[0] == pytest.approx(path.contact[1] * (b[1] - a[1]) / (b[2] - a[2]), rel=1e-6)
    front, side = path.front_centre[0], path.side_centre[0]
    # the contact point moves square to the line to its instant centre, in each view
    contact = np.array(path.contact)
    assert (b - a)[1] * (contact[1] - front[0]) + (b - a)[2] * (contact[2] - front[1]) == pytest.approx(0.0, abs=1e-9)
    assert (b - a)[0] * (contact[0] - side[0]) + (b - a)[2] * (contact[2] - side[1]) == pytest.approx(0.0, abs=1e-9)


def test_instant_centre_in_a_plane():
    """Where the two arms' lines meet: (-12 754.5, 902.73) mm from behind in the design position, (5 590.5, -1 119.4) at 80 mm of droop."""
    centre = 1e3 * Wishbones(**PLANE).path([0.0, -0.08]).front_centre
    assert centre[0] == pytest.approx([-12754.545, 902.727], abs=0.05)
    assert centre[1] == pytest.approx([5590.52, -1119.36], abs=0.05)


def test_strut_slides_on_its_axis():
    """The top mount stays on the axis that turns with the upright; links keep their length."""
    links = Strut(**STRUT)
    path = links.path(np.linspace(-0.1, 0.1, 41))
    foot, top = path.at(links.strut_foot), np.array(links.strut_top)
    axis = path.turn @ (top - np.array(links.strut_foot))
    off = np.linalg.norm(np.cross(axis, top - foot), axis=1) / np.linalg.norm(axis, axis=1)
    assert off.max() < 1e-9
    ball = np.linalg.norm(path.at(links.lower_ball) - np.array(links.lower_front), axis=1)
    assert ball == pytest.approx(np.linalg.norm(np.array(links.lower_ball) - np.array(links.lower_front)), abs=1e-9)


def test_anti_dive_and_anti_squat():
    """Solid axle, torque in it: e/d over h/L, .30/.90 and .7/2.6 give 1.23810; anti-dive 0.6 tan(5.5993 deg) 2550/600 gives 25 %."""
    rods = [
        {"name": "lower", "body": mm(900, 500, 300), "axle": mm(0, 500, 300)},
        # falling to meet the lower ones 900 mm ahead: the side-view centre is there, 300 up
        {"name": "upper", "body": mm(450, 300, 400), "axle": mm(0, 60, 500)},
    ]
    seat = {
        "acts": {"by": "axle links", "foot": mm(0, 500, 400), "top": mm(0, 500, 750), "ratio": None},
        "installed_length": None,
    }
    rear = axle("rear", 2.6, kind="beam", track="1.56 m", driven=True, drive_torque_on="axle", roll_centre_height=None, axle_links={"wheel_centre": CENTRE, "rods": rods}, spring=seat)  # fmt: skip
    data = vehicle(
        kerb={"mass": "1500 kg", "behind_front_axle": "1.3 m", "above_ground": "0.7 m"}, items=[], states=[{"name": "all"}],
        axles=[axle("front", 0.0), rear], driveline={"torque_split": {"rear": 1.0}},
    )  # fmt: skip
    found = geometry(design_file(data), "rear")
    at_rest = next(one for one in found.positions if one.travel == 0)
    assert 1e3 * np.array(at_rest.side_centre) == pytest.approx([900, 300], abs=0.01)
    assert found.anti_squat == pytest.approx((0.30 / 0.90) / (0.7 / 2.6), rel=1e-5)
    stated = vehicle(
        kerb={"mass": "1500 kg", "behind_front_axle": "1.2 m", "above_ground": "0.6 m"}, items=[], states=[{"name": "all"}],
        axles=[axle("front", 0.0, brake_slope=float(np.tan(np.radians(5.5993)))), axle("rear", 2.55)], driveline={"brake_split": {"front": 0.6, "rear": 0.4}},
    )  # fmt: skip
    assert geometry(design_file(stated), "front").anti_dive == pytest.approx(0.25, rel=1e-3)


def test_anti_dive_without_a_driveline_table():
    """Braking by the loads at rest, drive by the driven axle alone: 1 500 kg with its middle at 1.2 of 2.5 m, 0.6 m up; a slope of 0.1."""
    slope = {"brake_slope": 0.1, "drive_slope": 0.1}
    data = vehicle(
        kerb={"mass": "1500 kg", "behind_front_axle": "1.2 m", "above_ground": "0.6 m"}, items=[], states=[{"name": "all"}],
        axles=[axle("front", 0.0, **slope), axle("rear", 2.5, driven=True, **slope)],
    )  # fmt: skip
    file = design_file(data)
    front, rear = geometry(file, "front"), geometry(file, "rear")
    lever = 2.5 / 0.6
    assert front.anti_dive == pytest.approx(1.3 / 2.5 * 0.1 * lever, rel=1e-9)
    assert abs(rear.anti_dive) == pytest.approx(1.2 / 2.5 * 0.1 * lever, rel=1e-9)
    assert front.anti_squat is None
    assert abs(rear.anti_squat) == pytest.approx(0.1 * lever, rel=1e-9)
    assert any("driveline.brake_split is not given" in note for note in front.notes)
    told = geometry_section(front).says
    assert any(line.startswith("Anti-dive 21.7 %: of the pitch under braking") for line in told)
    assert any("The side-view line rises 5.7" in line and "deg" in line for line in told)


def test_drag_link_parallel_to_the_lateral_rod_does_not_steer():
    """A drag link that is the lateral rod moved along the vehicle goes with it; one as long but level steers by its height's change."""
    rods = [
        {"name": "lower", "body": mm(900, 500, 300), "axle": mm(0, 500, 300)},
        {"name": "upper", "body": mm(900, 0, 500), "axle": mm(0, 0, 500), "both": False},
        lateral(0, (-520, 480), (480, 430)),
    ]
    path = BeamLinks(wheel_centre=CENTRE, rods=rods).path([-0.08, 0.0, 0.08])
    kingpin = {"kingpin_lower": mm(0, 690, 300), "kingpin_upper": mm(0, 690, 500)}
    alike = DragLink(gear_end=mm(160, -310, 480), knuckle_end=mm(160, 690, 430), **kingpin)
    assert np.abs(np.degrees(alike.steer(path))).max() < 0.05
    level = DragLink(gear_end=mm(160, -310, 430), knuckle_end=mm(160, 690, 430), **kingpin)
    # against a rod 50 mm out of level over 1 m, 80 mm of travel: 4 mm of difference on an arm of 160 mm ahead of the kingpin
    assert np.degrees(level.steer(path)[[0, 2]]) == pytest.approx(np.degrees([0.004 / 0.16, -0.004 / 0.16]), rel=0.02)


@pytest.mark.parametrize("links", [Wishbones(**SPACE), Strut(**STRUT)], ids=["wishbones", "strut"])
def test_full_lock(links):
    """The toe is turned by the lock in the design position, links keep their length, the steering axis stays where it was."""
    left, right = at_lock(links, np.radians(30), [-0.05, 0.0, 0.05])
    assert np.degrees(-left.path.toe[1]) == pytest.approx(30, abs=1e-6)
    assert np.degrees(-right.path.toe[1]) == pytest.approx(-30, abs=1e-6)
    still = links.path(0.0)
    for lock in (left, right):
        rod = np.add(links.toe_inner, (0, lock.rack, 0)) - lock.path.at(links.toe_outer)[1]
        assert np.linalg.norm(rod) == pytest.approx(
            np.linalg.norm(np.array(links.toe_inner) - np.array(links.toe_outer)), abs=1e-9
        )
        # the wheel's height is kept, so the ball only follows the spindle's rise with the steering axis' lean
        assert lock.path.at(links.lower_ball)[1] == pytest.approx(still.at(links.lower_ball)[0], abs=0.025)


def test_propshaft():
    """Straight up 100 mm over a level 1 m shaft: atan 0.1 at both ends, sqrt(1 + 0.01) - 1 longer."""
    shaft = Shaft(inner=mm(1000, 0, 400), outer=mm(0, 0, 400))
    path = shaft.along(upright_path((0.0, 0.7, 0.4), np.array([0.0, 0.1])))
    assert path.inner == pytest.approx([0.0, np.arctan(0.1)], abs=1e-12)
    assert path.outer == pytest.approx([0.0, np.arctan(0.1)], abs=1e-12)
    assert path.plunge == pytest.approx([0.0, np.sqrt(1.01) - 1], abs=1e-12)


def test_leaf_axle_rolls_about_its_eyes_and_steers_as_its_seats_go():
    """Roll centre at the eyes (lecture notes; Heisler); steer per roll is the slope of the seat's way ahead, by its own difference."""
    leaf = {
        "front": "700 mm",
        "rear": "700 mm",
        "width": "70 mm",
        "thickness": "8 mm",
        "leaves": 6,
        "eyes_above": "40 mm",
        "shackle": {"length": "100 mm"},
    }
    rear = axle(
        "rear",
        2.5,
        kind="beam",
        roll_centre_height=None,
        spring={
            "acts": {"by": "beam", "base": "1 m", "foot_height": "420 mm", "ratio": None},
            "installed_length": None,
            "leaf": leaf,
        },
    )
    found = geometry(design_file(vehicle(axles=[axle("front", 0.0), rear])), "rear")
    at_rest = next(i for i, one in enumerate(found.positions) if one.travel == 0)
    middle = found.positions[at_rest]
    assert middle.roll_centre == pytest.approx(0.46, rel=1e-9)
    below, above = found.positions[at_rest - 1], found.positions[at_rest + 1]
    assert below.roll_steer < middle.roll_steer < above.roll_steer
    # the eyes stand over the seat: as it rises its halves flatten and push it back towards the shackle
    assert middle.roll_steer < 0


def test_beam_axle_in_the_rig_rolls_on_its_springs_base():
    """One wheel of a beam axle on links raised: the load it takes is that of k/2 (1 + (b/t)2) with the tyre, all other springs held off."""
    rods = [
        {"name": "lower", "body": mm(800, 450, 330), "axle": mm(0, 450, 330)},
        {"name": "upper", "body": mm(600, 400, 560), "axle": mm(60, 40, 560)},
    ]
    seat = {
        "acts": {"by": "axle links", "foot": mm(0, 500, 400), "top": mm(0, 500, 750), "ratio": None},
        "installed_length": None,
    }
    rear = axle(
        "rear",
        2.5,
        kind="beam",
        track="1.56 m",
        roll_centre_height=None,
        axle_links={"wheel_centre": CENTRE, "rods": rods},
        spring=seat,
    )
    file = design_file(vehicle(axles=[axle("front", 0.0), rear]))
    rate = size(file).rates[1]
    share = (1.0 / 1.56) ** 2
    assert rate.one_wheel_rate == pytest.approx(rate.wheel_rate / 2 * (1 + share), rel=1e-6)
    assert rate.roll_wheel_rate == pytest.approx(rate.wheel_rate * share, rel=1e-6)
    rig = assemble(file)
    elements = rig.element_rows[(rig.element_kind == 0) & (np.abs(rig.element_rows[:, 2]) > 0)]
    assert elements[:, 2:] == pytest.approx(np.array([[1 + 1 / 1.56, 1 - 1 / 1.56], [1 - 1 / 1.56, 1 + 1 / 1.56]]) / 2)


def test_mirror_and_unequal_sides():
    """Points given for the right alone change the right wheel's spring only; given as they are on the left they change nothing."""
    spring = {
        "acts": {
            "by": "wishbones",
            "on": "lower arm",
            "foot": mm(0, 560, 240),
            "top": mm(-10, 470, 620),
            "ratio": None,
        },
        "installed_length": None,
    }

    def rig_with(**right):
        front = axle("front", 0.0, track="1.56 m", roll_centre_height=None, wishbones={**SPACE, **right}, spring=spring)
        return assemble(design_file(vehicle(axles=[front, axle("rear", 2.5)])))

    plain, same, other = (
        rig_with(),
        rig_with(right={"upper_ball": SPACE["upper_ball"]}),
        rig_with(right={"lower_front": mm(150, 340, 260), "lower_rear": mm(-150, 340, 250)}),
    )
    assert same.element_force == pytest.approx(plain.element_force)
    springs = np.flatnonzero(plain.element_kind == 0)[:2]
    still, there = (element_forces(one, np.zeros(len(one.element_kind)))[0][springs] for one in (plain, other))
    assert np.ptp(still) == pytest.approx(0.0, abs=1e-9)
    assert np.ptp(there) > 0.01 * still.mean()  # one spring on two arms
    assert there.sum() == pytest.approx(
        still.sum(), rel=2e-3
    )  # that carries the axle's load with both; a coil's free length is rounded


def test_rocker_follows_its_push_rod():
    """A right-angled rocker with equal arms and a long upright rod: the spring goes as far sideways as the foot goes up."""
    arm = {"wheel_centre": mm(0, 700, 340), "inner_pivot": mm(450, 300, 340), "outer_pivot": mm(450, 600, 340)}
    rocker = {
        "push": mm(0, 500, 1340),
        "spring": mm(0, 400, 1440),
        "axis_front": mm(100, 400, 1340),
        "axis_rear": mm(-100, 400, 1340),
    }
    mount = OnLinks(
        by="swing arm", foot=mm(0, 500, 340), top=mm(0, 100, 1440), rocker=rocker, links=SwingArm.model_validate(arm)
    )
    assert mount.lengths(0.0, 0.0).ratio == pytest.approx(1.0, rel=1e-9)
    low, high = mount.exact(np.array([-0.03])), mount.exact(np.array([0.03]))
    for at, exact in ((-0.03, low), (0.03, high)):
        a, b = (mount.exact(np.array([at + d]))[0] for d in (-1e-6, 1e-6))
        assert -(b - a) / 2e-6 == pytest.approx(exact[1], rel=1e-6)


@pytest.mark.parametrize("points", [SPACE, STRUT], ids=["wishbones", "strut"])
def test_one_leap_lands_where_many_steps_do(points):
    """Random linkages near a sound one: solved in one leap as in twenty small steps, wherever both close.

    Next to a lock the leap may give up a few millimetres earlier; it never lands anywhere else.
    """
    random = np.random.default_rng(7)
    kind = Wishbones if points is SPACE else Strut
    x = np.linspace(-0.2, 0.2, 81)
    compared = 0
    for _ in range(12):
        moved = {}
        for name, place in points.items():
            base = [float(one.split()[0]) if isinstance(one, str) else float(one) for one in place]
            moved[name] = mm(*(base + random.uniform(-25, 25, 3)))
        links = kind(**moved).links
        leap, walk = links.follow(x), in_stages(links, x, tuple(np.linspace(0.05, 1.0, 20)))
        ends = []
        for path in (leap, walk):  # as far as it goes without a gap: past a lock links may close in some other way
            fine = np.isfinite(path.centre[:, 0])
            ends.append((40 - int(np.argmin([*fine[40::-1], False])) + 1, 40 + int(np.argmin([*fine[40:], False]))))
        assert np.abs(np.subtract(*ends)).max() <= 2
        both = slice(max(one[0] for one in ends), min(one[1] for one in ends))
        assert leap.centre[both] == pytest.approx(walk.centre[both], abs=1e-8)
        compared += len(leap.centre[both])
    assert compared > 700
