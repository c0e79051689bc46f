"""Corners, slopes and ditches: rigid limits against statics, a worked rollover, and a general engine (MuJoCo) on links."""

from dataclasses import replace

import numpy as np
import pytest

from springwright.motion.equilibrium import equilibria, equilibrium
from springwright.motion.forces import GRAVITY, Case, element_forces
from springwright.questions.grip import cross_axle_height, diagonal, one_up
from springwright.questions.leaning import rigid_bound, roll_gradient, side_slope
from springwright.questions.limit_search import GrowingCase, reaches
from springwright.vehicle.assemble import without_stops
from tests.build import design
from tests.motion.test_motion import rig_of
from tests.validation.test_mujoco import LinkedTwin, Twin, made, on_links


def rolling(
    mass=2000.0,
    arm=0.5,
    stiffness=60e3,
    track=1.6,
    height=0.8,
    base=2.5,
    back=1.25,
    tyre=1e12,
    centre=None,
    span=1.0,
    pitch_arm=None,
):
    """A body of a mass on four straight springs of a roll stiffness about a roll axis `arm` below its CG; the wheels weigh nothing."""
    rig, _ = rig_of(design())
    wheels = np.array([[0.0, track / 2], [0.0, -track / 2], [-base, track / 2], [-base, -track / 2]])
    rate = stiffness / (wheels[:, 1] ** 2).sum()
    span = np.linspace(-span, span, 97)  # straight beyond; short for a stiff one, so that nothing is lost to rounding
    load = mass * GRAVITY / 2 * np.repeat([1 - back / base, back / base], 2)
    return replace(
        without_stops(rig),
        sprung_mass=mass,
        roll_arm=arm,
        pitch_arm=height if pitch_arm is None else pitch_arm,
        axle_upright=np.ones(2),
        sprung_cg=np.array([-back, 0.0, height]),
        wheel_places=wheels,
        wheel_masses=np.eye(4) * 1e-3,
        wheel_weights=np.full(4, 1e-9),
        axle_unsprung=np.zeros(2),
        axle_roll_centre=np.full(2, height - arm if centre is None else centre),
        axle_track=np.full(2, track),
        axle_share=np.array([1 - back / base, back / base]),
        element_start=np.full(4, span[0]),
        element_step=np.full(4, span[1] - span[0]),
        element_force=load[:, None] + rate * span,
        element_rate=np.full((4, 97), rate),
        tyre_rate=np.full(4, tyre),
        tyre_force=load,
    )


STIFF = {"stiffness": 1e11, "tyre": 1e12, "arm": 0.3, "span": 1e-4}


def test_rigid_vehicle_lifts_and_tips_at_its_bound():
    """T / 2h in a corner, atan(T / 2h) on a side slope: 1e-6."""
    rig = rolling(**STIFF)
    corner = reaches(
        rig, [GrowingCase(12.0, case=lambda a: Case(across=a)), GrowingCase(12.0, case=lambda a: Case(across=-a))]
    )
    for one in corner:
        assert one.lift == pytest.approx(1.6 / 1.6 * GRAVITY, rel=1e-6)
    assert side_slope(rig) == pytest.approx(np.arctan(1.0), rel=1e-6)
    assert rigid_bound(rig, (-1.25, 0.0, 0.8)) == pytest.approx(1.0, rel=1e-12)


def test_rigid_vehicle_tips_over_at_its_bound():
    """Rest is lost where the wheels have lifted; the search for it is told to 1e-4 of the last step looked at."""
    rig = rolling(**STIFF)
    tips = reaches(
        rig, [GrowingCase(12.0, case=lambda a: Case(across=a)), GrowingCase(1.2, case=lambda a: Case.slope(lean=a))]
    )
    assert tips[0].tip == pytest.approx(GRAVITY, rel=2e-4)
    assert tips[1].tip == pytest.approx(np.arctan(1.0), rel=2e-4)


@pytest.mark.parametrize(("back", "climb", "descent"), [(1.25, 1.25, 1.25), (1.5, 1.0, 1.5)])
def test_rigid_vehicle_pitches_over_where_its_weight_passes_a_wheel(back, climb, descent):
    """tan = distance of the CG to the lower axle / its height; first both upper wheels lift, 1e-6."""
    rig = replace(
        rolling(back=back, **STIFF),
        drive_share=np.array([0.5, 0.5]),
        brake_share=np.array([0.5, 0.5]),
        brake_slope=np.zeros(2),
        drive_slope=np.zeros(2),
    )
    up, down = reaches(
        rig,
        [GrowingCase(1.4, case=lambda a: Case.slope(climb=a)), GrowingCase(1.4, case=lambda a: Case.slope(climb=-a))],
    )
    assert up.lift == pytest.approx(np.arctan(climb / 0.8), rel=1e-6)
    assert down.lift == pytest.approx(np.arctan(descent / 0.8), rel=1e-6)
    assert up.tip == pytest.approx(up.lift, rel=2e-4)
    assert down.tip == pytest.approx(down.lift, rel=2e-4)  # fmt: skip


def test_rigid_bound_takes_the_side_the_centre_of_gravity_lies_on():
    """(T/2 - |y|) / h; on three wheels the line from the single wheel to the outer one, half way along half as far."""
    rig = rolling()
    assert rigid_bound(rig, (-1.25, 0.1, 0.8)) == pytest.approx(0.7 / 0.8)
    assert rigid_bound(rig, (-1.25, -0.1, 0.8)) == pytest.approx(0.7 / 0.8)
    three = replace(rig, wheel_places=np.array([[0.0, 0.0], [-2.5, 0.8], [-2.5, -0.8]]))
    assert rigid_bound(three, (-1.25, 0.0, 0.8)) == pytest.approx(0.4 / 0.8)


def rolls(share, *, mass=2000.0, arm=0.5, stiffness=60e3):
    """Roll [rad] at a lateral acceleration [g] by hand: K r = m g d sin(r) + m a d cos(r)."""
    roll = 0.0
    for _ in range(200):
        roll = mass * GRAVITY * arm * (np.sin(roll) + share * np.cos(roll)) / stiffness
    return roll


def lifts(*, arm=0.5, height=0.8, track=1.6, stiffness=60e3):
    """Lateral acceleration [g] at which the inner wheels lift, by hand: a (h_r + d cos(r)) + g d sin(r) = g t / 2."""
    share = track / 2 / height
    for _ in range(200):
        roll = rolls(share, arm=arm, stiffness=stiffness)
        share = (track / 2 - arm * np.sin(roll)) / (height - arm + arm * np.cos(roll))
    return share


def straight_on(rig):
    """Lateral acceleration [g] at which the inner wheels would lift if loads went on as they begin: the first derivative at rest."""
    before, after = equilibria(rig, 0.0, [Case(), Case(across=1e-3 * GRAVITY)]).wheel_loads
    return 1e-3 * before[0] / (before[0] - after[0])


def test_suspended_rollover_threshold():
    """(t/2h) / (1 + R (1 - hr/h)) with t 1.6, h 0.8, hr 0.3 m, 2000 kg, 60 kN m/rad: R 0.195377 rad/g, threshold 0.891177 g (derived).

    Those are first derivatives; with exact rotations, by hand in `rolls` and `lifts`, 0.195219 rad/g between corners of 0.2 g and 0.9007 g.
    """
    rig = rolling()
    small = equilibria(rig, 0.0, [Case(across=a) for a in (1e-3, -1e-3)]).q[:, 2]
    assert np.ptp(small) / 2e-3 * GRAVITY == pytest.approx(0.195377, rel=1e-5)
    assert roll_gradient(rig) * GRAVITY == pytest.approx(rolls(0.2) / 0.2, rel=1e-6)
    (turned,) = reaches(rig, [GrowingCase(12.0, case=lambda a: Case(across=a))])
    assert turned.lift / GRAVITY == pytest.approx(lifts(), rel=1e-6)
    assert straight_on(rig) == pytest.approx(0.891177, rel=1e-5)
    assert turned.tip / GRAVITY == pytest.approx(lifts(), rel=3e-4)


def test_gillespie_factor():
    """1 / (1 + R (1 - hr/h)) with R = 0.1 rad/g and hr/h = 0.5: 0.952 of the rigid bound (from memory; Fundamentals of Vehicle Dynamics, ch. 9).

    As loads begin to move; with exact rotations 0.955, by hand in `lifts`.
    """
    arm, height = 0.4, 0.8
    stiffness = 2000 * GRAVITY * arm * (1 + 1 / 0.1)
    rig = rolling(arm=arm, height=height, stiffness=stiffness)
    (turned,) = reaches(rig, [GrowingCase(12.0, case=lambda a: Case(across=a))])
    bound = rigid_bound(rig, (-1.25, 0.0, height))
    assert straight_on(rig) / bound == pytest.approx(0.952, abs=5e-4)
    assert turned.lift / GRAVITY == pytest.approx(lifts(arm=arm, height=height, stiffness=stiffness), rel=1e-6)


@pytest.mark.parametrize("tyre", [4e5, 1.5e5])
def test_on_tyres_alone(tyre):
    """Springs locked, CG centred: at the lift the far side carries all of W, so sin(r) = W / (k_side T) and a/g = T/2h - tan(r).

    To first order T/2h - W/(k_side T), which it is within 1 % of here. On a slope tan(slope) is the same.
    """
    rig = replace(rolling(stiffness=1e10, tyre=tyre, arm=0.3, span=1e-4), on_beam=np.ones(4, dtype=bool))
    weight, side = 2000 * GRAVITY, 2 * tyre
    tilt = np.arcsin(weight / (side * 1.6))
    corner, slope = reaches(
        rig, [GrowingCase(12.0, case=lambda a: Case(across=a)), GrowingCase(1.2, case=lambda a: Case.slope(lean=a))]
    )
    exact = 1.0 - np.tan(tilt)
    assert corner.lift / GRAVITY == pytest.approx(exact, rel=2e-5)
    assert corner.lift / GRAVITY == pytest.approx(1.0 - weight / (side * 1.6), rel=0.01)
    # on a slope of a the tyres carry g cos(a) only
    angle = np.arctan(exact)
    for _ in range(60):
        angle = np.arctan(1.0 - np.tan(np.arcsin(weight * np.cos(angle) / (side * 1.6))))
    assert slope.lift == pytest.approx(angle, abs=0.01)


def test_diagonal_height_of_straight_springs():
    """Warp alone: a wheel lifts when the height under it has let out what it carries; the body stands still in a pure diagonal.

    By hand: each wheel gives F / k_t of its tyre and z of its spring, where k z - m g c h_r d / (T sqrt(1 - d2)) = F, d = 2 z / T: the
    axle's own tilt lets down the body it carries at its roll centre.
    """
    rig = rolling(tyre=4e5)
    spring, carries = rig.element_rate[0, 0], 500 * GRAVITY
    rise = 0.0
    for _ in range(200):
        tilt = 2 * rise / 1.6
        rise = (carries + 1000 * GRAVITY * 0.3 * tilt / np.sqrt(1 - tilt**2) / 1.6) / spring
    assert cross_axle_height(rig) == pytest.approx(2 * (carries / 4e5 + rise), rel=1e-6)


def test_one_wheel_up_a_ramp_by_hand():
    """One wheel up by h on equal rates k, the mass at the ground: a quarter of it is warp, the next lifts when k h / 4 = F."""
    rig = rolling(arm=0.0, height=1e-9, tyre=4e5)
    spring = rig.element_rate[0, 0]
    series = spring * 4e5 / (spring + 4e5)
    (ramp,) = reaches(rig, [GrowingCase(4.0, one_up(rig, front=True))])
    assert ramp.lift == pytest.approx(4 * 500 * GRAVITY / series, rel=1e-6)
    assert ramp.wheel in (1, 2)


def test_a_wheel_whose_coil_hangs_slack_stays_on_the_ground_by_its_own_weight():
    """No droop stop, a coil that cannot pull: the wheel is heavy enough to stay down, however deep the hole; nothing lifts and nothing fails."""
    _, rig = made("independent")
    (one,) = reaches(replace(rig, roll_arm=0.0), [GrowingCase(0.8, diagonal(rig))])
    assert one.lift is None
    assert one.tip is None


@pytest.mark.parametrize(("kind", "side"), [("independent", 1), ("beam", 1), ("beam", -1)])
def test_tilt_on_real_links(kind, side):
    """A wheel lifts within 1.5 degrees of our angle in an engine with links, free sway and true rotations; on a lateral rod either way round."""
    ours_design, rig = on_links(kind)
    (found,) = reaches(rig, [GrowingCase(1.4, case=lambda a: Case.slope(lean=side * a))], tips=False)
    least = []
    for off in (-1.5, 1.5):
        with LinkedTwin(ours_design, rig, lean=side * (found.lift + np.radians(off))) as twin:
            least.append(twin.settle(np.zeros(4), most=7.0).min())
    assert least[0] > 0.0
    assert least[1] == 0.0 or np.abs(twin.data.qpos).max() > 0.5  # gone over


@pytest.mark.parametrize("kind", ["independent", "beam"])
def test_diagonal_ditch_in_a_general_engine(kind):
    """The height at which we say a wheel lifts: there the engine's least load is within 1 % of the mean load of nothing, roll axis through the CG."""
    ours_design, rig = made(kind)
    x = rig.element_start[:, None] + rig.element_step[:, None] * np.arange(rig.element_force.shape[1])
    still = np.array([np.interp(0.0, *line) for line in zip(x, rig.element_force, strict=True)])
    rate = np.array([np.interp(0.0, *line) for line in zip(x, rig.element_rate, strict=True)])
    held = {"element_force": still[:, None] + rate[:, None] * x, "element_rate": np.tile(rate[:, None], x.shape[1])}
    rig = replace(rig, roll_arm=0.0, **held)  # springs held at both ends, so that wheels lift
    way = diagonal(rig)
    ditch, _ = reaches(rig, [GrowingCase(2.5, way), GrowingCase(2.5, -way)])
    with Twin(ours_design, rig) as twin:
        loads = twin.settle(ditch.lift * way)
    assert int(np.argmin(loads)) == ditch.wheel
    assert loads.min() == pytest.approx(0.0, abs=0.01 * rig.tyre_force.mean())


class Stopped(Twin):
    """The twin with stops where its springs stand, a metre apart on a track of 1.6 m."""

    def springs(self):
        seat = self.rig.sprung_cg[2] - self.rig.roll_arm
        sites = [(self.data.site(f"s{i}").xpos[2], self.data.site(f"c{i}").xpos[2]) for i in range(len(self.names))]
        closed = np.array([low - 0.4 - (high - seat) for low, high in sites])
        return element_forces(self.rig, np.tile(closed, 3))[0].reshape(3, -1).sum(axis=0)


def test_diagonal_height_with_stops_at_their_base():
    """Within 2 % of the height at which a wheel lifts in the engine, where bump and droop stops are met on the way."""
    ours_design, bare = made("beam")
    rig = replace(
        rig_of(ours_design)[0],
        **{name: getattr(bare, name) for name in ("pitch_arm", "axle_height", "axle_roll_centre", "axle_upright")},
    )
    way = diagonal(rig)
    height = cross_axle_height(rig)
    pressed = np.abs(equilibrium(rig, height * way).travel).max()
    assert pressed > 0.14 + 0.02  # wheels go past the gap of stops at the wheel
    (ditch,) = [
        one for one in reaches(rig, [GrowingCase(2.5, way), GrowingCase(2.5, -way)], tips=False) if one.lift == height
    ]
    side = 1 if reaches(rig, [GrowingCase(2.5, way)], tips=False)[0].lift == ditch.lift else -1
    least = []
    for share in (0.98, 1.02):
        with Stopped(ours_design, rig) as twin:
            least.append(twin.settle(share * height * side * way).min())
    assert least[0] > 0.0
    assert least[1] == 0.0


def test_mirror():
    """A load on the left lifts a wheel turning the one way as a load on the right does turning the other."""

    def item(y):
        return [
            {
                "name": "load",
                "mass": "300 kg",
                "behind_front_axle": "2.0 m",
                "above_ground": "1.0 m",
                "left_of_centre": f"{y} m",
            }
        ]

    found = []
    for y in (0.3, -0.3):
        rig, _ = rig_of(design(items=item(y), states=[{"name": "full", "aboard": ["load"]}]))
        found.append(
            reaches(
                rig,
                [GrowingCase(12.0, case=lambda a: Case(across=a)), GrowingCase(12.0, case=lambda a: Case(across=-a))],
            )
        )
    (left, right), (other_left, other_right) = found
    assert left.lift == pytest.approx(other_right.lift, rel=1e-7)
    assert right.lift == pytest.approx(other_left.lift, rel=1e-7)
    assert left.lift != pytest.approx(right.lift, rel=0.01)  # fmt: skip
