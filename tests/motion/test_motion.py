"""The force model against its naive twin, equilibrium against statics, modes against hand calculation."""

from dataclasses import replace

import numpy as np
import pytest

from springwright.errors import UnsolvedError
from springwright.motion.equilibrium import equilibrium
from springwright.motion.forces import GRAVITY, Case, applied, element_forces, forces, mass_matrix, weighed
from springwright.motion.modes import modes
from springwright.sizing.frequency import coupling_terms, faster_mode, slower_mode
from springwright.sizing.rates import law_for, wheel_rate_for
from springwright.vehicle.assemble import assemble, without_stops
from springwright.vehicle.weigh import support_loads, weigh
from tests.build import DEMOS, axle, design, quarter, vehicle
from tests.naive import energy, gradient, potential

NAMES = ["fire-watch", "survey-buggy", "bog-carrier"]


def rig_of(made, state=None):
    heaviest = max((weigh(made, one.name) for one in made.states), key=lambda weight: weight.mass)
    loads = support_loads(made, heaviest)
    laws = tuple(
        law_for(one, float(loads[i]), wheel_rate_for(one, float(loads[i]), one.target.frequency))
        for i, one in enumerate(made.axles)
    )
    weight = weigh(made, state or heaviest.name)
    return assemble(made, weight, laws, loads), weight


def demo(name):
    from springwright.vehicle.file import load

    return load(DEMOS / f"{name}.toml").design


@pytest.mark.parametrize("name", NAMES)
def test_forces_are_the_slope_of_the_energy(name):
    rig, _ = rig_of(demo(name))
    random = np.random.default_rng(3)
    for _ in range(4):
        q = random.uniform(-0.03, 0.03, 4 + len(rig.wheel_places))
        force, stiffness = forces(rig, q)
        scale = GRAVITY * rig.sprung_mass
        assert force == pytest.approx(-gradient(lambda at: energy(rig, at), q), abs=2e-6 * scale)
        slope = np.array([-gradient(lambda at, i=i: forces(rig, at)[0][i], q) for i in range(len(q))])
        assert stiffness == pytest.approx(slope, rel=1e-5, abs=1e-6 * scale)
        assert stiffness == pytest.approx(stiffness.T, rel=1e-12, abs=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_gravity_is_the_slope_of_where_the_masses_are(name):
    """Attitudes to 0.8 rad of body and axles, on slopes, in corners and braking: virtual work by finite differences of rotated vectors."""
    rig, _ = rig_of(demo(name))
    random = np.random.default_rng(4)
    count = len(rig.wheel_places)
    for upright in (1.0, 0.0, 0.35):
        count_a = len(rig.axle_track)
        made = replace(
            rig,
            axle_upright=np.full(count_a, upright),
            centre_rise=np.linspace(upright, 0.8, count_a),
            centre_wander=np.linspace(-0.1, 0.2, count_a),
            free_surface=np.array([900.0, 1500.0]),
        )
        for case in (Case(), Case.slope(climb=0.4, lean=-0.6), Case(along=-5.0, across=4.0)):
            q = np.concatenate([random.uniform(-0.3, 0.3, 1), random.uniform(-0.8, 0.8, 2), [0.0], np.zeros(count)])
            tilt = np.sin(random.uniform(-0.8, 0.8, len(rig.axle_track)))
            for i, (left, right) in enumerate(rig.pairs):
                q[[4 + left, 4 + right]] = random.uniform(-0.2, 0.2) + tilt[i] * rig.axle_track[i] * np.array(
                    [0.5, -0.5]
                )
            force, stiffness, stored = weighed(made, q, case)
            scale = GRAVITY * rig.sprung_mass
            slope = -gradient(lambda at, made=made, case=case: potential(made, at, case.specific), q)
            assert force == pytest.approx(slope, abs=1e-7 * scale)
            bent = np.array(
                [
                    -gradient(lambda at, i=i, made=made, case=case: weighed(made, at, case)[0][i], q)
                    for i in range(len(q))
                ]
            )
            assert stiffness == pytest.approx(bent, abs=1e-7 * scale)
            still = weighed(made, 0 * q, case)[2] - potential(made, 0 * q, case.specific)
            assert stored - potential(made, q, case.specific) == pytest.approx(still, abs=1e-9 * scale)


def test_two_axles_rest_as_statics_says():
    """Moments about the rear wheels, the body carried ahead by its height over the wheel centres as its nose goes down."""
    made = design()
    for state in ("empty", "full"):
        rig, weight = rig_of(made, state)
        rest = equilibrium(rig)
        ahead = weight.sprung_mass * (weight.sprung_cg[2] - 0.4) * np.sin(rest.pitch)
        front = (weight.mass * (2.5 + weight.cg[0]) + ahead) / 2.5
        loads = rest.wheel_loads / GRAVITY
        assert loads[:2].sum() == pytest.approx(front, rel=1e-9)
        assert loads.sum() == pytest.approx(weight.mass, rel=1e-9)
        assert rest.residual < 1e-6 * GRAVITY * weight.mass


def test_design_state_rests_at_zero():
    rig, _ = rig_of(design())
    assert equilibrium(rig).q == pytest.approx(0.0, abs=1e-9)


def test_three_axles_share_by_their_rates():
    """A beam on three linear springs: loads change by k_i (delta + theta x_i), solved by hand from two balances.

    The body lies over the wheel centres: as its nose rises it is carried back, which the balance of moments takes along.
    """
    data = vehicle(axles=[axle("a", 0.0), axle("b", 2.0), axle("c", 3.1)], kerb={"behind_front_axle": "1.5 m"})
    for one, hertz in zip(data["axles"], (1.1, 1.3, 1.6), strict=True):
        one["target"] = {"frequency": f"{hertz} Hz"}
    from springwright.vehicle.design import Design

    made = Design.model_validate(data)
    rig, empty = rig_of(made, "empty")
    full = weigh(made, "full")
    before = support_loads(made, full)
    x = np.array([0.0, -2.0, -3.1])
    k = []
    for one, load in zip(made.axles, before, strict=True):
        rate = wheel_rate_for(one, float(load), one.target.frequency)
        k.append(2 * rate * one.tyre.rate / (rate + one.tyre.rate))
    k = np.array(k)
    lost = (full.mass - empty.mass) * GRAVITY
    moment = full.mass * full.cg[0] * GRAVITY - empty.mass * empty.cg[0] * GRAVITY
    carried, theta = empty.sprung_mass * GRAVITY * (empty.sprung_cg[2] - 0.4), 0.0
    for _ in range(30):  # the angle is what the springs see, its sine what carries the body back
        delta, theta = np.linalg.solve([[k.sum(), k @ x], [k @ x, k @ x**2]], [lost, moment + carried * np.sin(theta)])
    expected = before * GRAVITY - k * (delta + theta * x)
    rest = equilibrium(rig)
    got = np.array([rest.wheel_loads[rig.wheel_axle == i].sum() for i in range(3)])
    assert got == pytest.approx(expected, rel=1e-9)
    assert rest.rise_at(rig, 0.0) == pytest.approx(delta, rel=1e-9)


def test_lopsided_load_leans_by_roll_stiffness():
    """K roll - (W_s h_s + W_u h_u) sin(roll) = W_s y: springs and tyres in series at the track; the wheels lean with the body."""
    made = design(
        items=[
            {
                "name": "load",
                "mass": "300 kg",
                "behind_front_axle": "1.2 m",
                "left_of_centre": "0.5 m",
                "above_ground": "0.7 m",
            }
        ]
    )
    rig, weight = rig_of(made)
    rest = equilibrium(rig)
    stiffness = 0.0
    for one, load in zip(made.axles, support_loads(made, weight), strict=True):
        rate = wheel_rate_for(one, float(load), one.target.frequency)
        stiffness += rate * one.tyre.rate / (rate + one.tyre.rate) * one.track**2 / 2
    overturning = weight.sprung_mass * GRAVITY
    high = overturning * weight.sprung_cg[2] + 200 * GRAVITY * 0.4
    expected = 0.0
    for _ in range(60):
        expected = (high * np.sin(expected) - overturning * weight.sprung_cg[1]) / stiffness
    assert rest.q[2] == pytest.approx(expected, rel=1e-6)
    assert rest.q[2] < 0  # left side down is negative roll
    left, right = rest.wheel_loads[0::2].sum(), rest.wheel_loads[1::2].sum()
    assert left > right


def test_beam_axle_rolls_on_its_spring_base():
    """Same wheel rate; the roll rate of the springs falls by (base / track) squared."""
    beam = {"kind": "beam", "spring": {"acts": {"by": "beam", "base": "0.8 m", "ratio": None}}}
    rigid = {"tyre": {"rate": "1e7 N/mm"}}
    apart = design(axles=[axle("front", 0.0, **rigid), axle("rear", 2.5, **rigid)])
    joined = design(axles=[axle("front", 0.0, **beam, **rigid), axle("rear", 2.5, **beam, **rigid)])

    def roll_rate(made):
        rig, _ = rig_of(made)
        stiffness = forces(rig, np.zeros(8))[1]
        wheels = slice(4, None)
        condensed = stiffness[2, 2] - stiffness[2, wheels] @ np.linalg.solve(
            stiffness[wheels, wheels], stiffness[wheels, 2]
        )
        leaning = rig.axle_unsprung @ (rig.axle_height * (1 - rig.axle_upright))
        return condensed + GRAVITY * (rig.sprung_mass * rig.roll_arm + leaning)

    assert roll_rate(joined) / roll_rate(apart) == pytest.approx(0.25, rel=1e-4)


def test_a_bar_stiffens_roll_only():
    """Bar of 20 N/mm an end at ratio 0.65: 20e3 * 0.65**2 * track**2 / 2 of roll stiffness, none in heave."""
    plain, barred = (
        design(axles=[axle("front", 0.0, **extra), axle("rear", 2.5)])
        for extra in ({}, {"bar": {"rate": "20 N/mm", "motion_ratio": 0.65}})
    )
    first, second = (forces(rig_of(one)[0], np.zeros(8))[1] for one in (plain, barred))
    assert second[2, 2] - first[2, 2] == pytest.approx(20e3 * 0.65**2 * 1.6**2 / 2, rel=1e-9)
    assert second[0, 0] == pytest.approx(first[0, 0], rel=1e-12)


def test_bounce_and_pitch_of_the_full_model():
    """With stiff tyres and light wheels the full modes are the closed form's."""
    light = {"unsprung_mass": "0.01 kg", "tyre": {"rate": "1e6 N/mm"}}
    made = design(axles=[axle("front", 0.0, **light), axle("rear", 2.5, **light)])
    rig, weight = rig_of(made)
    found = {mode.name: mode for mode in modes(rig, equilibrium(rig))}
    loads = support_loads(made, weight)
    k = np.array([2 * wheel_rate_for(one, float(load), 1.2) for one, load in zip(made.axles, loads, strict=True)])
    terms = coupling_terms(
        k,
        np.array([0.0, -2.5]) - weight.sprung_cg[0],
        weight.sprung_mass,
        np.sqrt(weight.pitch_inertia / weight.sprung_mass),
    )
    terms["turn"] -= (
        weight.sprung_mass * GRAVITY * (weight.sprung_cg[2] - 0.4) / weight.pitch_inertia
    )  # gravity in pitch
    pair = sorted([found["bounce"].frequency, found["pitch"].frequency])
    assert pair == pytest.approx([slower_mode(**terms), faster_mode(**terms)], rel=1e-4)


def test_modes_are_named_by_shape_and_orthogonal():
    rig, _ = rig_of(demo("fire-watch"))
    found = modes(rig, equilibrium(rig))
    assert [mode.name for mode in found[:3]] == ["roll", "bounce", "pitch"]
    assert sorted(mode.name for mode in found[3:]) == ["hop 1", "hop 2", "tramp 1", "tramp 2"]
    shapes = np.array([mode.shape for mode in found])
    assert shapes @ mass_matrix(rig) @ shapes.T == pytest.approx(np.eye(len(found)), abs=1e-9)
    bounce = next(mode for mode in found if mode.name == "bounce")
    assert not -2.85 < bounce.node < 0


def test_a_trailer_rests_on_axle_and_hitch():
    """Statics: hitch load = m (d_axle - d_cg) / (d_axle - d_hitch)."""
    made = design(
        axles=[axle("only", 0.0)],
        hitch={"behind_front_axle": "-3 m", "above_ground": "0.45 m", "rate": "200 N/mm"},
        kerb={"mass": "900 kg", "behind_front_axle": "-0.2 m"},
        items=[],
        states=[{"name": "full"}],
    )
    rig, _ = rig_of(made)
    rest = equilibrium(rig)
    assert rest.hitch_loads[0] / GRAVITY == pytest.approx(900 * 0.2 / 3.0, rel=1e-9)
    assert rest.wheel_loads.sum() / GRAVITY == pytest.approx(840, rel=1e-9)


def test_a_vehicle_without_track_holds_its_roll():
    wheels = {"wheels": 1, "track": None}
    made = design(
        axles=[axle("front", 0.0, **wheels), axle("rear", 1.4, **wheels)],
        kerb={"mass": "250 kg", "behind_front_axle": "0.7 m"},
        items=[],
        states=[{"name": "one"}],
    )
    made_axles = [one.unsprung_mass for one in made.axles]
    assert made_axles == [100, 100]
    rig, _ = rig_of(made)
    found = modes(rig, equilibrium(rig))
    assert [mode.name for mode in found if mode.name == "roll"] == []
    assert len(found) == 4


def test_too_soft_in_roll_falls_over():
    tall = {"tyre": {"rate": "20 N/mm"}, "target": {"frequency": "0.35 Hz"}, "travel": {"bump": "1 m", "droop": "1 m"}}
    made = design(axles=[axle("front", 0.0, **tall), axle("rear", 2.5, **tall)], kerb={"above_ground": "2.5 m"})
    rig, _ = rig_of(made)
    with pytest.raises(UnsolvedError, match=r"would not stay upright|The vehicle tips"):
        equilibrium(rig)


def test_a_slack_coil_never_pulls():
    """Force falls to nothing where the coil reaches its free length (0.1725 m of droop at 1.2 Hz) and stays there."""
    rig = without_stops(rig_of(design())[0])
    slack = GRAVITY / (2 * np.pi * 1.2) ** 2
    force, _, _ = element_forces(rig, np.full(4, -slack + 0.01))
    assert np.all(force > 0)
    for droop in (slack + 0.01, 0.3, 2.0):
        force, rate, _ = element_forces(rig, np.full(4, -droop))
        assert force == pytest.approx(0.0, abs=1.0)
        assert rate == pytest.approx(0.0, abs=1.0)


@pytest.mark.parametrize("case", [Case(across=2.5), Case.slope(lean=-0.35), Case(across=-3.0, along=-2.0)])
def test_a_corner_overturns_by_what_acts_on_the_masses_where_they_are(case):
    """Turn body and axles together by a little: no spring moves, the tyres do the work that the masses do where they are (1e-9).

    To first order it is the mass at the height it has there, and what leans: body over its roll axis, axles over the ground.
    """
    for name in NAMES:
        rig, weight = rig_of(demo(name))
        turned = equilibrium(rig, case=case)
        y = rig.wheel_places[:, 1]
        # a beam's springs close with the sine of the body's roll, so that they stay where axle and body turn by as much of it
        turns = np.where(rig.on_beam, np.cos(turned.roll), 1.0)
        if np.ptp(turns):
            continue
        way = np.concatenate([[rig.sprung_cg[1] * turns[0], 0.0, 1.0, 0.0], y * turns])
        assert rig.travel_slope(turned.q) @ way == pytest.approx(0.0, abs=1e-15)
        by_masses = gradient(lambda at, rig=rig: potential(rig, at, case.specific), turned.q, step=1e-4) @ way
        assert turned.wheel_loads @ (y * turns) == pytest.approx(by_masses, rel=1e-8)
        assert abs(turned.roll) > 0.01
        across, up = case.specific[1:]
        tilt = (
            np.array([np.ptp(turned.q[4:][pair]) * np.sign(turned.q[4 + pair[0]]) for pair in rig.pairs])
            / rig.axle_track
        )
        high = weight.mass * weight.cg[2] + rig.sprung_mass * (
            turned.q[0] - rig.carried @ turned.q[4:][rig.pairs].mean(axis=1)
        )
        wheels_lean = rig.axle_upright * tilt + (1 - rig.axle_upright) * turned.roll
        leaned = rig.sprung_mass * (rig.roll_arm * turned.roll + rig.carried @ (rig.axle_roll_centre * tilt))
        leaned += rig.axle_unsprung @ (rig.axle_height * wheels_lean) + rig.free_surface[0] / GRAVITY * turned.roll
        aside = rig.sprung_mass * up * rig.sprung_cg[1]
        moment = high * across + leaned * up + rig.free_surface[0] / GRAVITY * across - aside
        assert -turned.wheel_loads @ y == pytest.approx(moment, rel=0.01)


def test_mirrored_corner_mirrors():
    rig, _ = rig_of(demo("survey-buggy"))
    left, right = equilibrium(rig, case=Case(across=3.0)), equilibrium(rig, case=Case(across=-3.0))
    assert right.roll == pytest.approx(-left.roll, rel=1e-9)
    assert right.wheel_loads == pytest.approx(left.wheel_loads[[1, 0, 3, 2]], rel=1e-9)


def test_roll_gradient_of_a_worked_example():
    """m g h / (K - m g h) with 2000 kg, arm 0.5 m, K = 60 kN m/rad: 0.195377 rad/g, 11.1943 deg/g; derived, gravity's term kept."""
    rig, _ = rig_of(design())
    wheels = rig.wheel_places
    rate = 60e3 / (wheels[:, 1] ** 2).sum()
    span = np.linspace(-1.0, 1.0, 97)
    made = without_stops(rig)
    made = replace(
        made,
        sprung_mass=2000.0,
        roll_arm=0.5,
        sprung_cg=np.array([-1.25, 0.0, 0.5]),
        wheel_masses=np.eye(4) * 1e-3,
        wheel_weights=np.full(4, 1e-9),
        axle_unsprung=np.zeros(2),
        axle_roll_centre=np.zeros(2),
        element_start=np.full(4, -1.0),
        element_step=np.full(4, span[1] - span[0]),
        element_force=np.tile(500 * GRAVITY + rate * span, (4, 1)),
        element_rate=np.full((4, 97), rate),
        tyre_rate=np.full(4, 1e12),
        tyre_force=np.full(4, 500 * GRAVITY),
    )
    for share in (0.001, 0.002):
        roll = equilibrium(made, case=Case(across=share * GRAVITY)).roll
        assert roll / share == pytest.approx(0.195377, rel=1e-5)
    for share in (0.1, 0.5):
        # by hand with exact rotations; on a roll centre that keeps its place on the axle the body slides up its own line by
        # m a sin(roll) / 4 k, and its arm grows by that
        for rise in (1.0, 0.0):
            roll, pushed = 0.0, 2000 * share * GRAVITY
            for _ in range(80):
                risen = (1 - rise) * pushed * np.sin(roll) / (4 * rate)
                roll = (2000 * GRAVITY * 0.5 * np.sin(roll) + pushed * (0.5 + risen) * np.cos(roll)) / 60e3
            found = equilibrium(replace(made, centre_rise=np.full(2, rise)), case=Case(across=share * GRAVITY))
            assert found.roll == pytest.approx(roll, rel=1e-6)


def test_braking_moves_load_by_statics():
    """Between the axles, whatever the springs do: m a at the height it has there, and the body carried ahead as its nose goes down, over L."""
    rig, weight = rig_of(demo("fire-watch"))
    level, braked = equilibrium(rig), equilibrium(rig, case=Case(along=-4.0))
    front = slice(0, 2)
    moved = braked.wheel_loads[front].sum() - level.wheel_loads[front].sum()
    body = weight.sprung_mass
    up = braked.q[0] - rig.carried @ [braked.q[4:6].mean(), braked.q[6:8].mean()]
    high = body * (weight.sprung_cg[2] + up) + rig.axle_unsprung @ rig.axle_height
    ahead = body * GRAVITY * (weight.sprung_cg[2] - 0.405) * (np.sin(braked.pitch) - np.sin(level.pitch))
    assert moved == pytest.approx((4.0 * high * np.cos(braked.pitch) + ahead) / 2.85, rel=1e-6)
    assert braked.pitch > level.pitch


def test_side_view_slope_holds_the_nose_up():
    """R07: pf tan(alpha) L / h of the dive is taken by the links; at 100 % the front spring does not move.

    What the front takes is m a h / L and what carrying the body ahead over its wheel centres adds as the rear comes up.
    """
    data = vehicle(driveline={"brake_split": {"front": 0.6, "rear": 0.4}})
    from springwright.vehicle.design import Design

    plain = Design.model_validate(data)
    rig, weight = rig_of(plain)
    level = equilibrium(rig)
    dived = equilibrium(rig, case=Case(along=-2.0))
    assert dived.travel[0] - level.travel[0] > 0.01
    held = level
    for _ in range(12):
        up = held.q[0] - rig.carried @ [held.q[4:6].mean(), held.q[6:8].mean()]
        high = weight.mass * weight.cg[2] * np.cos(held.pitch) + weight.sprung_mass * up
        ahead = weight.sprung_mass * (weight.sprung_cg[2] - 0.4) * GRAVITY * np.sin(held.pitch) / 2.0
        along = (
            weight.sprung_mass * np.sin(held.pitch) * 2.5 * rig.carried[0]
        )  # of the braking force, along the body's own z
        slope = (high + ahead - along) / (0.6 * 2.5 * weight.mass)
        held = equilibrium(replace(rig, brake_slope=np.array([slope, 0.0])), case=Case(along=-2.0))
    assert 1.0 < slope / (weight.cg[2] / (0.6 * 2.5)) < 1.05  # gravity in pitch adds 4 % to R07's
    assert held.travel[0] == pytest.approx(level.travel[0], abs=1e-6)


def test_side_slope_is_gravity_tilted():
    """A slope of theta loads like a corner of g sin(theta) under a gravity of g cos(theta)."""
    rig, _ = rig_of(demo("fire-watch"))
    lean = 0.25
    slope = equilibrium(rig, case=Case.slope(lean=lean))
    same = equilibrium(rig, case=Case(across=GRAVITY * np.sin(lean), gravity=(0.0, 0.0, -GRAVITY * np.cos(lean))))
    assert slope.q == pytest.approx(same.q, abs=1e-12)
    assert slope.roll > 0


def test_stiff_vehicle_tips_just_under_half_track_over_height():
    """Short travel and stiff springs: it still stands at 97 % of T / 2h and not at 101 %."""
    stiff = {
        "tyre": {"rate": "1e4 N/mm"},
        "target": {"frequency": "6 Hz"},
        "travel": {"bump": "0.05 m", "droop": "0.002 m"},
        "droop_stop": {"depth": "1 mm", "full_force": "50 kN"},
    }
    made = design(
        axles=[axle("front", 0.0, **stiff), axle("rear", 2.5, **stiff)],
        kerb={"behind_front_axle": "1.25 m"},
        items=[],
        states=[{"name": "one"}],
    )
    rig, weight = rig_of(made)
    bound = 1.6 / 2 / weight.cg[2]
    assert equilibrium(rig, case=Case(across=0.97 * bound * GRAVITY)).wheel_loads.sum() == pytest.approx(
        GRAVITY * weight.mass
    )
    with pytest.raises(UnsolvedError, match="The vehicle tips"):
        equilibrium(rig, case=Case(across=1.01 * bound * GRAVITY))


def test_a_wheel_lifts_over_a_diagonal_ditch():
    """Loads still add up to the weight, the hanging wheel carries nothing and stands on its droop stop."""
    rig, weight = rig_of(demo("fire-watch"))
    rest = equilibrium(rig, np.array([0.4, 0.0, 0.0, 0.4]))
    assert rest.wheel_loads[1] == 0.0
    assert rest.wheel_loads.sum() == pytest.approx(GRAVITY * weight.mass, rel=1e-8)
    assert rest.travel[1] < -0.120


def test_level_ground_may_be_anywhere():
    rig, _ = rig_of(demo("bog-carrier"))
    low, high = equilibrium(rig), equilibrium(rig, np.full(6, 0.35))
    assert high.wheel_loads == pytest.approx(low.wheel_loads, rel=1e-7)
    assert high.q[0] - low.q[0] == pytest.approx(0.35, abs=1e-9)


def test_frame_twist_takes_its_share_of_a_ditch():
    """A soft frame in series with the axles' roll rates: less difference in wheel loads, and the twist angle balances."""
    stiff, soft = design(), design(frame_twist="2000 N*m/deg")
    ground = np.array([0.04, -0.04, -0.04, 0.04])
    a, b = (equilibrium(rig_of(made)[0], ground) for made in (stiff, soft))
    assert a.q[3] == 0.0
    spread = [np.ptp(rest.wheel_loads[:2]) for rest in (a, b)]
    assert spread[1] < spread[0]
    rate = 2000 / np.radians(1)
    front, rear = ((b.wheel_loads[i] - b.wheel_loads[i + 1]) * 0.8 for i in (0, 2))
    assert b.q[3] * rate == pytest.approx((front - rear) / 2, rel=1e-6)


def test_a_part_full_tank_runs_to_the_low_side():
    """rho i g (slope + roll): in a corner rho i a acts on the body at once, before it leans."""
    tank = {"shape": "box", "length": "1 m", "width": "1 m", "height": "0.5 m"}
    item = {"name": "load", "mass": "500 kg", "behind_front_axle": "1.25 m", "above_ground": "1.0 m", "tank": tank}
    made = design(items=[item], states=[{"name": "half", "aboard": ["load"], "fill": {"load": 0.5}}])
    rig, _ = rig_of(made)
    dry = replace(rig, free_surface=np.zeros(2))
    for case, moment in (
        (Case(across=3.0), 1000 / 12 * 3.0),
        (Case.slope(lean=0.1), 1000 / 12 * GRAVITY * np.sin(0.1)),
    ):
        assert (applied(rig, case) - applied(dry, case))[2] == pytest.approx(moment, rel=1e-9)


@pytest.mark.parametrize("damped", [False, True])
def test_modes_of_one_frequency_are_told_apart_whatever_the_rounding(damped):
    """Both ends alike and i2 = a b: bounce and pitch have one frequency and any mixture is a mode; which is told does not hang on the last digit."""
    rig = replace(quarter(), pitch_inertia=1600 * 1.25**2, roll_inertia=1600 * 0.8**2)
    told = []
    for seed in range(4):
        last = 1 + 2.2e-16 * np.random.default_rng(seed).integers(-3, 4, size=(4, rig.element_rate.shape[1]))
        rubbed = replace(rig, element_rate=rig.element_rate * last, element_force=rig.element_force * last)
        told.append(modes(rubbed, equilibrium(rubbed), damped=damped))
    for other in told[1:]:
        assert [mode.name for mode in other] == [mode.name for mode in told[0]]
        for one, first in zip(other, told[0], strict=True):
            assert one.participation == pytest.approx(first.participation, abs=1e-6)
    shares = {mode.name: mode.participation for mode in told[0]}
    assert shares["bounce"][0] > 0.99
    assert shares["pitch"][1] > 0.99
    names = [mode.name for mode in told[0]]
    assert abs(told[0][names.index("bounce")].frequency / told[0][names.index("pitch")].frequency - 1) < 1e-9
