"""Beam axles on links, struts and rockers against MuJoCo: every rod and arm a body of its own on joints of the engine.

The loops are closed by a root solve on the engine's forward kinematics, so no soft constraint enters; points are agreed to 1e-5 m and
attitudes to 1e-5 rad over 100 mm of travel either way. Radius arms, which roll by their bushes, are checked against least energy.
"""

import mujoco
import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from springwright.linkage.beam_links import SPIN, BeamLinks
from springwright.linkage.mounts import OnLinks
from springwright.linkage.strut import Strut
from springwright.linkage.wishbones import Wishbones

SIDES = ((1, ""), (-1, " right"))
TIGHT = {"xtol": 1e-15, "ftol": 1e-15, "gtol": 1e-15}
TRAVEL = np.linspace(-0.1, 0.1, 9)
PAIRS = [(h, h) for h in TRAVEL] + [(h + r, h - r) for h in (-0.05, 0.0, 0.05) for r in (-0.05, -0.02, 0.02, 0.05)]
PAIRS += [(0.1, -0.1), (-0.1, 0.1), (0.1, 0.0), (0.0, 0.1), (-0.1, 0.0), (0.0, -0.1)]
BALL = '<joint type="ball"/>'


def mm(*values):
    return [f"{value} mm" for value in values]


def text(v):
    return " ".join(f"{x:.17g}" for x in v)


def hinge(axis):
    return f'<joint type="hinge" axis="{text(axis)}"/>'


def body(name, at, joints, sites, inside="", base=(0, 0, 0)):
    """A body with its origin at a point, and points it carries, all where they are in the design position."""
    marks = "".join(f'<site name="{site}" pos="{text(np.subtract(point, at))}"/>' for site, point in sites.items())
    mass = '<inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>'
    return f'<body name="{name}" pos="{text(np.subtract(at, base))}">{joints}{mass}{marks}{inside}</body>'


def rod(name, fixed, tip, base=(0, 0, 0)):
    """A rod on a universal joint, its tip to be brought to where it belongs."""
    across = np.linalg.svd(np.subtract(tip, fixed)[None])[2][1:]
    sites = {f"{name} tip": tip, f"{name} middle": np.add(tip, fixed) / 2}
    return body(name, fixed, "".join(hinge(one) for one in across), sites, base=base)


class Engine:
    """Bodies in MuJoCo whose named pairs of sites are brought together with the wheels at given heights."""

    def __init__(self, bodies, pairs, wheels):
        self.model = mujoco.MjModel.from_xml_string(f"<mujoco><worldbody>{bodies}</worldbody></mujoco>")
        self.data, self.pairs, self.wheels = mujoco.MjData(self.model), pairs, wheels
        mujoco.mj_kinematics(self.model, self.data)
        self.start = np.array([self.at(wheel)[2] for wheel in wheels])

    def at(self, site):
        return self.data.site(site).xpos.copy()

    def gaps(self, x, up):
        self.data.qpos[:] = self.model.qpos0
        mujoco.mj_integratePos(self.model, self.data.qpos, x, 1.0)
        mujoco.mj_kinematics(self.model, self.data)
        heights = np.array([self.at(wheel)[2] for wheel in self.wheels]) - self.start - up
        return np.concatenate([*(self.at(a) - self.at(b) for a, b in self.pairs), heights])

    def go(self, *up):
        """Close every loop at wheel travels, half way first."""
        x = np.zeros(self.model.nv)
        for part in (0.5, 1.0):
            x = least_squares(self.gaps, x, args=(part * np.array(up),), method="lm", **TIGHT).x
        assert np.abs(self.gaps(x, np.array(up))).max() < 1e-11
        return self

    def off(self, places, attitudes):
        """How far our places of its sites [m] and attitudes of its bodies [rad] are from its own, the largest of them."""
        found = [float(np.abs(np.reshape(place, 3) - self.at(site)).max()) for site, place in places.items()]
        found += [
            float(np.linalg.norm(turn - self.data.body(name).xmat.reshape(3, 3)) / np.sqrt(2))
            for name, turn in attitudes.items()
        ]
        return max(found)


LATERAL = {"name": "lateral", "body": mm(-140, -480, 430), "axle": mm(-140, 460, 395), "both": False}
LOWER = {"name": "lower", "body": mm(830, 390, 400), "axle": mm(30, 450, 290)}
UPPER = {"name": "upper", "body": mm(540, 120, 570), "axle": mm(-40, 150, 545), "both": False}
WATT = {"crank": mm(-130, 15, 400), "crank_left": mm(-140, 30, 490), "crank_right": mm(-125, 5, 310), "left": mm(-150, 470, 480), "right": mm(-120, -450, 325)}  # fmt: skip
CENTRE, NOSE = mm(0, 760, 370), np.array([0.32, 0.05, 0.41])
AXLES = {
    "three links and a lateral rod": {"rods": [LOWER, UPPER, LATERAL]},
    "four links": {"rods": [LOWER, {"name": "drawn in", "body": mm(600, 410, 560), "axle": mm(10, 80, 530)}]},
    "Watt linkage": {"rods": [LOWER, UPPER], "watt": WATT},
}


def axle_in_engine(links):
    """The axle as a free body; each rod a body hung from the vehicle, mirrored here and not by the code under test."""
    wheel, watt = np.array(links.wheel_centre), links.watt
    sites, rods, pairs, crank = {"left": wheel, "right": wheel * [1, -1, 1], "nose": NOSE}, "", [], ""
    for one in links.rods:
        for side, tag in SIDES if one.both else SIDES[:1]:
            name, flip = one.name + tag, np.array([1, side, 1])
            sites[f"{name} end"] = one.axle * flip
            rods += rod(name, one.body * flip, one.axle * flip)
            pairs.append((f"{name} tip", f"{name} end"))
    if watt:
        ends = {"crank left": watt.crank_left, "crank right": watt.crank_right}
        crank = body("crank", watt.crank, hinge([1, 0, 0]), ends, base=wheel * [1, 0, 1])
        for side in ("left", "right"):
            rods += rod(f"watt {side}", getattr(watt, side), ends[f"crank {side}"])
            pairs.append((f"watt {side} tip", f"crank {side}"))
    axle = body("axle", wheel * [1, 0, 1], "<freejoint/>", sites, crank)
    return Engine(axle + rods, pairs, ("left", "right"))


@pytest.mark.parametrize("kind", AXLES)
def test_beam_axle(kind):
    """Wheels, rod ends and middles, crank, pinion nose and attitude in heave, roll and both; roll centre and roll steer by difference."""
    links = BeamLinks(wheel_centre=CENTRE, **AXLES[kind])
    engine = axle_in_engine(links)
    for left, right in PAIRS:
        joints, poses = links.joints(left, right), links.poses(left, right)
        places = {"left": joints["wheel_centre"], "right": joints["wheel_centre right"], "nose": poses.at(0, NOSE)}
        for one in links.rods:
            places |= {f"{one.name}{tag} tip": joints[f"{one.name} axle{tag}"] for _, tag in SIDES[: 1 + one.both]}
            places[f"{one.name} middle"] = links.carried(one.name, np.add(one.body, one.axle) / 2, left, right)[0]
        places |= {end: joints[end] for end in ("crank left", "crank right") if links.watt}
        assert engine.go(left, right).off(places, {"axle": poses.turn[0, 0]}) < 1e-5
    (x, y, z), still, rest, h = links.wheel_centre, links.path(0.0), links.poses(0.0, 0.0), 1e-4
    high, low = (np.array([engine.go(up, -up).at(name) for name in ("left", "right")]) for up in (h, -h))
    left, right = (high - low) / (2 * h)
    assert rest.moving(0, (x, y, z), 0)[0] - rest.moving(0, (x, y, z), 1)[0] == pytest.approx(left, abs=1e-6)
    assert still.roll_centre[0] == pytest.approx(z + y * (left[1] + right[1]) / 2, abs=1e-6)
    assert still.roll_steer[0] == pytest.approx((left[0] - right[0]) / 2, abs=1e-6)


LOW = {"lower_front": mm(160, 310, 255), "lower_rear": mm(-170, 295, 240), "lower_ball": mm(8, 705, 225), "toe_inner": mm(-125, 330, 285), "toe_outer": mm(-135, 685, 280)}  # fmt: skip
UP = {"upper_front": mm(120, 370, 505), "upper_rear": mm(-110, 375, 490), "upper_ball": mm(-25, 655, 475)}
STRUT = {**LOW, "strut_top": mm(-45, 570, 830), "strut_foot": mm(-8, 645, 430), "wheel_centre": mm(0, 775, 345)}
SPACE = {**LOW, **UP, "wheel_centre": mm(0, 775, 345)}
ROCKER = {"push": mm(5, 460, 630), "spring": mm(-10, 315, 740), "axis_front": mm(60, 305, 595), "axis_rear": mm(-70, 320, 605)}  # fmt: skip


def test_strut():
    """A tube on a ball at the strut's top, the upright sliding in it; lower arm and toe link close the loops."""
    links, seat = Strut(**STRUT), (0.0, 0.55, 0.25)
    point = {name: np.array(getattr(links, name)) for name in STRUT}
    carried = {name: point[name] for name in ("lower_ball", "toe_outer", "strut_foot", "wheel_centre")}
    slide = f'<joint type="slide" axis="{text(point["strut_top"] - point["strut_foot"])}"/>'
    upright = body("upright", point["strut_foot"], slide, carried, base=point["strut_top"])
    swing = hinge(point["lower_rear"] - point["lower_front"])
    bodies = body("tube", point["strut_top"], BALL, {}, upright) + rod("toe", point["toe_inner"], point["toe_outer"])
    bodies += body("arm", point["lower_front"], swing, {"arm end": point["lower_ball"], "seat": seat})
    engine = Engine(bodies, [("arm end", "lower_ball"), ("toe tip", "toe_outer")], ("wheel_centre",))
    for travel in TRAVEL:
        path = links.path(travel)
        places = {name: path.at(where) for name, where in carried.items()}
        places["seat"] = links.carried("lower arm", seat, travel)[0]
        assert engine.go(travel).off(places, {"upright": path.turn[0]}) < 1e-5


@pytest.mark.parametrize(("on", "foot"), [("lower arm", (0, 640, 245)), ("upright", (-20, 660, 250))])
def test_rocker(on, foot):
    """Wheel, push rod, rocker, spring: spring length, and motion ratio by finite difference of the engine's length."""
    mount = OnLinks(
        by="wishbones",
        on=on,
        foot=mm(*foot),
        top=mm(-20, 40, 700),
        rocker=ROCKER,
        links=Wishbones.model_validate(SPACE),
    )
    links, rocker, foot = mount.links, mount.rocker, {"foot": mount.foot}
    point = {name: np.array(getattr(links, name)) for name in SPACE}
    low, high, pivot = point["lower_front"], point["upper_front"], rocker.axis_front
    carried = {name: point[name] for name in ("upper_ball", "toe_outer", "wheel_centre")}
    upright = body("upright", point["lower_ball"], BALL, carried | (foot if on == "upright" else {}), base=low)
    push = rod("push", rocker.push, mount.foot, base=pivot)
    bodies = body("lower", low, hinge(point["lower_rear"] - low), foot if on == "lower arm" else {}, upright)
    bodies += body("upper", high, hinge(point["upper_rear"] - high), {"arm end": point["upper_ball"]})
    bodies += body("rocker", pivot, hinge(np.subtract(rocker.axis_rear, pivot)), {"spring": rocker.spring}, push)
    bodies += rod("toe", point["toe_inner"], point["toe_outer"])
    pairs = [("arm end", "upper_ball"), ("toe tip", "toe_outer"), ("push tip", "foot")]
    engine = Engine(bodies, pairs, ("wheel_centre",))
    for travel in TRAVEL:
        low, high, now = (np.linalg.norm(engine.go(travel + by).at("spring") - mount.top) for by in (-1e-4, 1e-4, 0.0))
        found, path = mount.lengths(travel, 0.0), links.path(travel)
        assert found.length == pytest.approx(now, abs=1e-5)
        assert found.ratio == pytest.approx((low - high) / 2e-4, abs=1e-5)
        assert engine.off({name: path.at(where) for name, where in carried.items()}, {"upright": path.turn[0]}) < 1e-5


ARMS = {"body": mm(-840, 390, 455), "axle_front": mm(120, 420, 350), "axle_rear": mm(-105, 415, 375), "body_bush": "3 kN/mm", "axle_bush": "6 kN/mm"}  # fmt: skip


def test_radius_arms_in_heave():
    """Nothing is strained: bushes taken as balls close, and every point is where the engine puts it."""
    links = BeamLinks(wheel_centre=CENTRE, radius_arms=ARMS)
    wheel, arm = np.array(links.wheel_centre), links.radius_arms
    sites, bodies, pairs = {"left": wheel, "right": wheel * [1, -1, 1], "nose": NOSE}, "", []
    for side, tag in SIDES:
        front, rear, at = (np.array(p) * [1, side, 1] for p in (arm.axle_front, arm.axle_rear, arm.body))
        ends = {f"front{tag}": front, f"rear{tag}": rear, f"over{tag}": np.add(front, [0, 0, SPIN])}
        sites |= ends
        bodies += body(f"arm{tag}", at, BALL, {f"arm {name}": end for name, end in ends.items()})
        pairs += [(f"arm {name}", name) for name in ends]
    engine = Engine(body("axle", wheel * [1, 0, 1], "<freejoint/>", sites) + bodies, pairs, ("left", "right"))
    for travel in TRAVEL:
        joints, poses = links.joints(travel), links.poses(travel, travel)
        places = {name: joints[name] for name in ("arm front", "arm rear", "arm front right", "arm rear right")}
        places |= {"left": joints["wheel_centre"], "nose": poses.at(0, NOSE)}
        assert (
            engine.go(travel, travel).off(places, dict(zip(("axle", "arm", "arm right"), poses.turn[0], strict=True)))
            < 1e-5
        )
        assert poses.forces == pytest.approx(np.zeros((1, 2)), abs=1e-3)


def least_energy(links, left, right):
    """Energy [J] and where the wheel centres are, with the wheels held at travels: 18 freedoms less the two heights."""
    wheel, arm = np.array(links.wheel_centre), links.radius_arms
    middle, roll = wheel * [1, 0, 1], np.arcsin((left - right) / (2 * wheel[1]))

    def moved(point, home, by, turn):
        return home + by + turn.apply(np.subtract(point, home))

    def axle(x, point):  # turned about y, then x, then z: roll alone sets one wheel over the other
        return moved(point, middle, [x[0], x[1], (left + right) / 2], Rotation.from_euler("ZXY", [x[2], roll, x[3]]))

    def strains(x):
        found = []
        for (side, _), y in zip(SIDES, (x[4:10], x[10:]), strict=True):
            at, front, rear = (np.array(p) * [1, side, 1] for p in (arm.body, arm.axle_front, arm.axle_rear))
            turn, over = Rotation.from_rotvec(y[3:]), np.add(front, [0, 0, SPIN])
            found.append(np.sqrt(arm.body_bush) * (moved(at, front, y[:3], turn) - at))
            for p, rate in ((front, arm.axle_bush), (rear, arm.axle_bush), (over, arm.spin / SPIN**2)):
                found.append(np.sqrt(rate) * (moved(p, front, y[:3], turn) - axle(x, p)))
        for one in links.rods:
            longer = np.linalg.norm(axle(x, one.axle) - one.body) - np.linalg.norm(np.subtract(one.axle, one.body))
            found.append([np.sqrt(one.bush_rate) * longer])
        return np.concatenate(found)

    fit = least_squares(strains, np.zeros(16), x_scale="jac", **TIGHT)
    return fit.cost, axle(fit.x, wheel), axle(fit.x, wheel * [1, -1, 1])


@pytest.mark.parametrize("rods", [(), ({**LATERAL, "bush_rate": "8 kN/mm"},), ({**LATERAL, "body": mm(-140, -480, 520), "bush_rate": "8 kN/mm"},)], ids=["arms", "with a lateral rod", "with a sloping one"])  # fmt: skip
def test_radius_arms_in_roll(rods):
    """Wheel rate in roll and the wheel centres in a roll, by the least energy in the bushes, worked out here."""
    links, h = BeamLinks(wheel_centre=CENTRE, radius_arms=ARMS, rods=rods), 1e-3
    # two wheels, half the rate times the square of the travel each
    assert links.bush_rates()[1] == pytest.approx(least_energy(links, h, -h)[0] / h**2, rel=1e-3)
    for left, right in ((-0.06, 0.06), (0.04, -0.04), (0.07, -0.01)):
        places, joints = least_energy(links, left, right)[1:], links.joints(left, right)
        assert joints["wheel_centre"] == pytest.approx(places[0], abs=1e-5)
        assert joints["wheel_centre right"] == pytest.approx(places[1], abs=1e-5)
