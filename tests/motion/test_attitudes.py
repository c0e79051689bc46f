"""Where masses, stops and tyres are in every attitude, and what that does: by hand, by an eigen-solution of the parts, by mirror images."""

from copy import deepcopy
from dataclasses import replace

import numpy as np
import pytest
import tomlkit
from scipy.linalg import eigh

from springwright.errors import UnsolvedError
from springwright.motion.drive import drive
from springwright.motion.equilibrium import equilibrium
from springwright.motion.figures import Point
from springwright.motion.forces import GRAVITY, Case, accelerometer, axle_grip, damping_matrix, forces, mass_matrix
from springwright.motion.layout import laid_out
from springwright.motion.modes import modes
from springwright.motion.response import response, transfer
from springwright.motion.rig import BODY, BUMP_STOP
from springwright.questions.at_rest import rest
from springwright.questions.grip import diagonal
from springwright.questions.prove import make_ready
from springwright.sizing.fitted import assemble
from springwright.sizing.sheet import size
from springwright.terrain import obstacles
from springwright.terrain.ground import Ground
from springwright.terrain.roughness import CLASSES, rough_ground, track_coherence
from springwright.vehicle.assemble import without_stops
from springwright.vehicle.curves import check_travel
from springwright.vehicle.design import Design
from springwright.vehicle.file import load
from springwright.vehicle.weigh import weigh
from tests.build import DEMOS, axle, design, design_file, merged, vehicle
from tests.motion.test_motion import rig_of

BEAM = {"kind": "beam", "spring": {"acts": {"by": "beam", "base": "1.0 m", "ratio": None}}}
ONE_SIDED = {
    "name": "load",
    "mass": "300 kg",
    "behind_front_axle": "2.0 m",
    "above_ground": "1.0 m",
    "left_of_centre": "0.4 m",
}
SEAT = Point("seat", (-1.3, 0.4, 1.1))


# ---- stops at their base ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("base", [None, "0.8 m", "1.9 m"])
def test_a_stop_meets_where_it_stands(base):
    """In pure roll a stop b apart on a track t meets at t / b times its gap: b / 2 of it per angle, whatever the wheel does."""
    own = {} if base is None else {"bump_stop_base": base}
    rig, _ = rig_of(design(axles=[axle("front", 0.0, **BEAM, **own), axle("rear", 2.5, **BEAM)]))
    apart = 1.0 if base is None else float(base.split()[0])
    bump = rig.stop_travel(np.array([0.14, -0.14, 0.0, 0.0]), BUMP_STOP)
    assert bump[:2] == pytest.approx([0.14 * apart / 1.6, -0.14 * apart / 1.6])
    assert rig.stop_travel(np.full(4, 0.14), BUMP_STOP) == pytest.approx(0.14)


def test_a_bump_under_the_right_track_alone_meets_the_stop():
    """The kernel looks at the stop itself, so that it is met from either side; mirrored it is the same."""
    rig, _ = rig_of(design(axles=[axle("front", 0.0, **BEAM), axle("rear", 2.5, **BEAM)]))
    ground = obstacles.bump(0.24, 1.5)
    right = Ground(ground.name, ground.spacing, np.zeros_like(ground.left), ground.left)
    one, other = (drive(rig, each, 5.0, duration=2.0) for each in (right, right.mirrored()))
    hit = [
        next(stop for stop in run.stops if stop.kind == "bump" and stop.wheel == wheel)
        for run, wheel in ((one, 1), (other, 0))
    ]
    assert hit[0].contacts > 0
    assert hit[0].force == pytest.approx(hit[1].force, rel=1e-9)
    assert one.audit.residual < 1e-4


def test_stop_bases_are_for_beams():
    with pytest.raises(ValueError, match="is for a beam axle"):
        design(axles=[axle("front", 0.0, bump_stop_base="1 m"), axle("rear", 2.5)])


# ---- loads ----------------------------------------------------------------------------------------------------------


EXTENTS = {
    "box": ({"shape": "box", "length": "6 m", "width": "2 m", "height": "1 m"}, np.array([4 + 1, 36 + 1, 36 + 4]) / 12),
    "cylinder": ({"shape": "cylinder", "length": "6 m", "diameter": "1 m"}, [1 / 8, 1 / 16 + 3, 1 / 16 + 3]),
    "upright": (
        {"shape": "cylinder", "lies": "upright", "length": "2 m", "diameter": "1 m"},
        [1 / 16 + 1 / 3, 1 / 16 + 1 / 3, 1 / 8],
    ),
    "radii": ({"shape": "radii", "roll": "0.5 m", "pitch": "1.7 m", "yaw": "1.8 m"}, [0.25, 2.89, 3.24]),
}


@pytest.mark.parametrize("name", EXTENTS)
def test_a_load_turns_with_its_own_inertia(name):
    """Solid box and cylinder: m (a2 + b2) / 12, m d2 / 8 about the axis, m (d2 / 16 + l2 / 12) across it (handbook formulas)."""
    extent, squares = EXTENTS[name]
    item = {"name": "load", "mass": "600 kg", "behind_front_axle": "1.2 m", "above_ground": "0.9 m"}
    point, long = (weigh(design(items=[merged(item, more)]), "full") for more in ({}, {"extent": extent}))
    gained = [getattr(long, f"{way}_inertia") - getattr(point, f"{way}_inertia") for way in ("roll", "pitch", "yaw")]
    assert gained == pytest.approx(600 * np.array(squares), rel=1e-12)
    assert (point.points, long.points) == (("load",), ())


def test_a_part_full_tank_is_as_long_as_it_is():
    """A box of 2 m by 1 m by 0.6 m, half full: m (l2 + (h/2)2) / 12 in pitch about its own CG."""
    tank = {"shape": "box", "length": "2 m", "width": "1 m", "height": "0.6 m"}
    item = {"name": "load", "mass": "1200 kg", "behind_front_axle": "1.2 m", "above_ground": "0.9 m", "tank": tank}
    made = design(items=[item], states=[{"name": "half", "aboard": ["load"], "fill": {"load": 0.5}}])
    bare = design(
        items=[merged(item, {"tank": None, "mass": "600 kg", "above_ground": "0.75 m"})],
        states=[{"name": "half", "aboard": ["load"]}],
    )
    gained = weigh(made, "half").pitch_inertia - weigh(bare, "half").pitch_inertia
    assert gained == pytest.approx(600 * (4 + 0.09) / 12, rel=1e-12)


def test_items_taken_as_points_are_said():
    assert any("taken as a point" in note and "load" in note for note in size(design_file(vehicle())).notes)


def test_modes_of_a_one_sided_vehicle_by_the_parts():
    """Seven degrees of freedom from rates, tyres, masses, products of inertia and what gravity does over each pivot: eigh, 1e-9."""
    made = design(
        axles=[axle("front", 0.0, roll_centre_height="0.3 m"), axle("rear", 2.5, roll_centre_height="0.1 m")],
        items=[ONE_SIDED],
        inertia={"yaw": "2500 kg*m**2"},
    )
    rig, weight = rig_of(made)
    rig = without_stops(rig)
    x_cg, y_cg, high = weight.sprung_cg
    x, y = rig.wheel_places.T
    weighs = weight.sprung_mass * GRAVITY
    rate = rig.element_rate[rig.element_kind == 0][:, 60]
    rows = np.hstack([-np.stack([np.ones(4), x_cg - x, y - y_cg], axis=1), np.eye(4)])
    stiffness = (rows.T * rate) @ rows + np.diag([0, 0, 0, *[250e3] * 4])
    rear = -x_cg / 2.5  # share of the body on the rear axle
    share, centres = np.array([1 - rear, rear]), np.array([0.3, 0.1])
    arm = high - share @ centres
    stiffness[1, 1] -= weighs * (high - 0.4)
    stiffness[2, 2] -= weighs * arm + 200 * GRAVITY * 0.4  # the wheels lean with the body
    for i in range(2):
        pair = slice(3 + 2 * i, 5 + 2 * i)
        stiffness[pair, pair] -= share[i] * weighs * centres[i] / 1.6**2 * np.array([[1, -1], [-1, 1]])
    parts = [(weight.sprung_mass - 300, np.array(kerb_sprung(made))), (300.0, np.array([-2.0, 0.4, 1.0]))]
    away = [(m, place - np.array(weight.sprung_cg)) for m, place in parts]
    xy, xz, yz = (sum(m * d[i] * d[j] for m, d in away) for i, j in ((0, 1), (0, 2), (1, 2)))
    rises = (0.3 - 0.1) / 2.5  # of the roll axis per length ahead
    mass = np.diag([weight.sprung_mass, weight.pitch_inertia, 0, *[50.0] * 4])
    mass[2, 2] = weight.roll_inertia + weight.sprung_mass * arm**2 - 2 * rises * xz + rises**2 * weight.yaw_inertia
    mass[1, 2] = mass[2, 1] = -xy - rises * yz
    assert abs(xy) > 50
    wanted = np.sqrt(eigh(stiffness, mass, eigvals_only=True)) / (2 * np.pi)
    about = replace(equilibrium(rig), q=np.zeros(8))
    assert [mode.frequency for mode in modes(rig, about)] == pytest.approx(list(wanted), rel=1e-9)


def kerb_sprung(made):
    """CG of the sprung body without the load: the kerb's less its wheels', 0.4 m up."""
    kerb, wheels = np.array([-1.2, 0.0, 0.7]), np.array([-1.25, 0.0, 0.4])
    return (1500 * kerb - 200 * wheels) / 1300


# ---- three axles ----------------------------------------------------------------------------------------------------


def test_three_axles_pass_side_force_by_their_loads_at_rest():
    """Friction 0.6 everywhere: each axle slides at 0.6 g, also one that carries little."""
    grips = {"tyre": {"friction": 0.6}}
    loads = ("700 kg", "150 kg", "650 kg")
    made = [
        axle(name, x, **grips, design_load=load)
        for (name, x), load in zip((("a", 0.0), ("b", 1.4), ("c", 2.6)), loads, strict=True)
    ]
    behind = (150 * 1.4 + 650 * 2.6) / 1500
    file = design_file(
        vehicle(axles=made, items=[], states=[{"name": "one"}], kerb={"behind_front_axle": f"{behind} m"})
    )
    rig = assemble(file)
    assert rig.axle_share * 1500 == pytest.approx([700, 150, 650], rel=2e-3)
    still = equilibrium(rig)
    needed, there = axle_grip(rig, still.wheel_loads, Case(across=0.6 * GRAVITY))
    assert needed / there == pytest.approx(1.0, rel=1e-6)
    slides = next(one for one in make_ready_facts(file) if one.measure == "slides at")
    assert slides.value == pytest.approx(
        0.6 * GRAVITY, rel=0.1
    )  # b's inner wheel lifts before, which takes load from the others


def make_ready_facts(file):
    from springwright.questions.stand import stand

    return stand(make_ready(file)).facts


# ---- springs, tyres -------------------------------------------------------------------------------------------------


def test_a_coil_locks_at_solid():
    """A coil solid at 70 mm of bump, no stop to speak of: a drop of 0.5 m presses it hardly further, and the energy closes."""
    existing = {
        "spring": {
            "installed_length": "0.35 m",
            "existing": {"rate": "30 N/mm", "free_length": "0.5 m", "solid_length": "0.28 m"},
        },
        "target": {"frequency": "1.2 Hz", "damping_ratio": 0.2},
        "travel": {"bump": "0.14 m", "droop": "0.13 m", "stop_compression": "60 mm"},
        "bump_stop": {"depth": "60 mm", "full_force": "200 N"},
    }
    rig = assemble(design_file(vehicle(axles=[axle("front", 0.0, **existing), axle("rear", 2.5, **existing)])))
    springs = np.flatnonzero(rig.element_kind == 0)
    x = rig.element_start[springs[0]] + rig.element_step[springs[0]] * np.arange(rig.element_force.shape[1])
    past = np.interp(0.09, x, rig.element_force[springs[0]]) - np.interp(0.08, x, rig.element_force[springs[0]])
    assert past == pytest.approx(20 * 30e3 * 0.01, rel=0.02)
    before = np.interp(0.06, x, rig.element_force[springs[0]])
    assert before == pytest.approx(30e3 * (0.5 - 0.35 + 0.06), rel=0.002)
    fell = drive(rig, obstacles.flat(30.0), 3.0, duration=1.0, above=0.5)
    # 450 kg a wheel through the height and the travel, less what tyre and spring have taken, on twenty times the rate
    locked = 0.07 + np.sqrt(2 * 450 * GRAVITY * 0.72 / 600e3)
    assert 0.1 < max(wheel.travel_most for wheel in fell.wheels) < locked
    assert fell.audit.residual < 1e-4


def test_a_tyre_ends_at_its_rim():
    """Section height 0.1 m less a flange of 20 mm: 80 mm under load; past it ten times the tyre's rate, by hand at rest."""
    low = {
        "tyre": {"rate": "60 N/mm", "section_height": "0.1 m", "flange_height": "20 mm"},
        "target": {"frequency": "1.2 Hz", "damping_ratio": 0.2},
    }
    file = design_file(vehicle(axles=[axle("front", 0.0, **low), axle("rear", 2.5, **low)]))
    rig = assemble(file)
    room = 0.08 - rig.tyre_force / 60e3
    assert rig.tyre_room == pytest.approx(room)
    heavy = Case(gravity=(0.0, 0.0, -1.6 * GRAVITY))
    rest_at = equilibrium(rig, case=heavy)
    pressed = -rest_at.q[BODY:]
    by_hand = rig.tyre_force + 60e3 * pressed + 600e3 * np.maximum(pressed - room, 0)
    assert np.all(pressed > room)
    assert rest_at.wheel_loads == pytest.approx(by_hand, rel=1e-12)
    fell = drive(rig, obstacles.flat(30.0), 3.0, duration=1.0, above=0.3)
    assert all(0 < wheel.on_rim < 1 for wheel in fell.wheels)
    assert fell.audit.residual < 1e-4
    soft = replace(rig, tyre_room=np.full(4, np.inf))
    assert max(w.load_most for w in fell.wheels) > 1.1 * max(
        w.load_most for w in drive(soft, obstacles.flat(30.0), 3.0, duration=1.0, above=0.3).wheels
    )


def test_a_tyre_size_says_how_far_it_can_be_pressed():
    """265/70R17: 0.7 of 265 mm less 17.5 mm of flange."""
    made = design(axles=[axle("front", 0.0, tyre={"size": "265/70R17"}), axle("rear", 2.5)])
    assert made.axles[0].tyre.depth == pytest.approx(0.7 * 0.265 - 0.0175)
    assert made.axles[1].tyre.depth is None


def test_a_blow_on_a_wheel_is_judged():
    from springwright.questions.land import land
    from springwright.questions.road_runs import Runs

    rated = {"tyre": {"shock_rating": "9 kN"}, "wheel_shock_rating": "8 kN"}
    ready = make_ready(design_file(vehicle(axles=[axle("front", 0.0, **rated), axle("rear", 2.5)])))
    runs = Runs(ready)
    found = next(one for one in land(ready, runs).figures if one.measure == "blow on a wheel, front")
    most = max(wheel.load_most for one in runs.told if one.run for wheel in one.run.wheels if wheel.axle == 0)
    assert (found.value, found.limit) == (pytest.approx(most), 8000.0)


def test_a_sound_arm_is_not_refused_for_a_rounding():
    """A torsion bar's length counts from nought in the design position; here that comes out as 6e-17 m."""
    arm = {
        "inner_pivot": ["0.407 m", "0.228 m", "0.447 m"],
        "outer_pivot": ["0.348 m", "0.678 m", "0.447 m"],
        "wheel_centre": ["0 m", "0.8 m", "0.4 m"],
    }
    spring = {
        "acts": {"by": "twist", "on": "arm", "ratio": None},
        "installed_length": None,
        "torsion_bar": {"length": "1.2 m"},
    }
    made = design(axles=[axle("front", 0.0, swing_arm=arm, roll_centre_height=None, spring=spring), axle("rear", 2.5)])
    assert 0 < abs(made.axles[0].spring.rest_length) < 1e-15
    check_travel(made.axles[0])


# ---- modes ----------------------------------------------------------------------------------------------------------


def test_overdamped_modes_are_paired_by_shape():
    """Two like axles at a damping ratio of 1.5, rigid tyres and light wheels: bounce and pitch are alone, each with its own ratio by hand."""
    made = design(
        axles=[
            axle(name, x, unsprung_mass="1 kg", tyre={"rate": "1e5 N/mm"})
            for name, x in (("front", 0.0), ("rear", 2.5))
        ],
        kerb={"behind_front_axle": "1.25 m"},
        items=[],
        states=[{"name": "one"}],
        inertia={"pitch": "1400 kg*m**2"},
    )
    rig = without_stops(rig_of(made)[0])
    k, m = rig.element_rate[0, 60], rig.sprung_mass
    c = 1.5 * 2 * np.sqrt(k * m / 4)
    rig = damped(replace(rig, pitch_arm=0.0), c)
    found = {mode.name: mode for mode in modes(rig, equilibrium(rig), damped=True)}
    for name, inertia, arm in (("bounce", m, 1.0), ("pitch", 1400.0, 1.25)):
        natural = np.sqrt(4 * k * arm**2 / inertia)
        assert found[name].frequency == pytest.approx(natural / (2 * np.pi), rel=2e-3)
        assert found[name].damping_ratio == pytest.approx(4 * c * arm**2 / inertia / (2 * natural), rel=2e-3)


def test_an_overdamped_hop_of_a_single_track_vehicle():
    """Hop of each wheel by hand: |roots| of m_u s2 + c s + k + k_t multiply to (k + k_t) / m_u, the body as good as still."""
    wheel = {"wheels": 1, "track": None, "unsprung_mass": "18 kg", "tyre": {"rate": "120 N/mm"}}
    made = design(
        axles=[axle("front", 0.0, **wheel), axle("rear", 1.4, **wheel)],
        kerb={"mass": "300 kg", "behind_front_axle": "0.7 m"},
        items=[],
        states=[{"name": "one"}],
    )
    rig = without_stops(rig_of(made)[0])
    k = rig.element_rate[0, 60]
    stiff = k + 120e3
    c = 1.1 * 2 * np.sqrt(stiff * 18)
    dampers = {
        "damper_rows": np.eye(2),
        "damper_speed": np.tile([-1.0, 0.0, 1.0], (2, 1)),
        "damper_force": np.tile([-c, 0.0, c], (2, 1)),
        "damper_place": np.zeros((2, 0)),
        "damper_factor": np.zeros((2, 0)),
        "friction": np.zeros(2),
    }
    heavy = {"sprung_mass": 1e6 * rig.sprung_mass, "pitch_inertia": 1e6 * rig.pitch_inertia}
    rig = replace(rig, **dampers)
    still = equilibrium(rig)
    found = modes(replace(rig, **heavy), still, damped=True)
    hops = {mode.name: mode for mode in found if mode.name.startswith("hop")}
    assert sorted(hops) == ["hop 1", "hop 2"]
    for hop in hops.values():
        assert hop.frequency == pytest.approx(np.sqrt(stiff / 18) / (2 * np.pi), rel=1e-3)
        assert hop.damping_ratio == pytest.approx(1.1, rel=1e-3)


def test_names_of_modes_stay_unique_on_axles_that_are_alike():
    data = vehicle(
        axles=[axle("a", 0.0, **BEAM), axle("b", 1.25, **BEAM), axle("c", 2.5, **BEAM)],
        kerb={"behind_front_axle": "1.25 m"},
        items=[],
        states=[{"name": "one"}],
    )
    rig = rig_of(Design.model_validate(data))[0]
    for damped in (False, True):
        names = [mode.name for mode in modes(rig, equilibrium(rig), damped=damped)]
        assert len(set(names)) == len(names)


def test_a_node_lies_on_the_centreline():
    """Where heave - pitch (x - x_cg) - roll y_cg is nought, by the mode's own shape."""
    rig, _ = rig_of(design(items=[ONE_SIDED]))
    for mode in modes(rig, equilibrium(rig)):
        if mode.node is not None and abs(mode.node) < 10:
            rise = rig.rise_row(mode.node, 0.0) @ np.array(mode.shape[:BODY])
            assert rise == pytest.approx(0.0, abs=1e-9 * abs(mode.shape[0]))


# ---- what a seat reads ----------------------------------------------------------------------------------------------


def test_a_drive_counts_gravitys_share_as_the_response_does():
    """Three kilometres of class C: across within 5 %, which without gravity's share it is not."""
    rig, _ = rig_of(
        design(axles=[axle(n, x, target={"damping_ratio": 0.3}) for n, x in (("front", 0.0), ("rear", 2.5))])
    )
    rig = damped(rig)
    found = response(rig, equilibrium(rig), CLASSES["C"], 10.0, points=[SEAT], apart=1.6).points[0]
    done = drive(rig, rough_ground("C", 3000.0, 1.6, spacing=0.05, seed=8), 10.0, settle=5.0, points=[SEAT]).points[0]
    assert done.across == pytest.approx(found.across, rel=0.05)
    assert found.across > 1.1 * found.across_moved
    assert done.along == pytest.approx(found.along, rel=0.05)


def damped(rig, rate=2000.0):
    return replace(
        rig,
        damper_rows=np.eye(4),
        damper_speed=np.tile([-1.0, 0.0, 1.0], (4, 1)),
        damper_force=np.tile([-rate, 0.0, rate], (4, 1)),
        damper_place=np.zeros((4, 0)),
        damper_factor=np.zeros((4, 0)),
        friction=np.zeros(4),
    )


def test_a_body_that_leans_reads_gravity():
    """Left side up reads g across to the left, nose down reads -g along: what an accelerometer at rest does."""
    rig, _ = rig_of(design())
    _, lean = accelerometer(rig, SEAT.place)
    assert lean @ np.array([0.0, 0.1, 0.2, 0.0]) == pytest.approx([0.0, -0.1 * GRAVITY, 0.2 * GRAVITY])


@pytest.mark.parametrize("axis", ["along", "across"])
def test_seat_across_and_along_by_an_own_model(axis):
    """Seven degrees of freedom from mass, damping and stiffness, two tracks, a late rear axle: the weighted root mean square to 1e-9."""
    from springwright.motion.weighting import response as weighting

    rig, _ = rig_of(
        design(axles=[axle(n, x, target={"damping_ratio": 0.3}) for n, x in (("front", 0.0), ("rear", 2.5))])
    )
    still, speed, apart = equilibrium(rig), 9.0, 1.6
    found = response(rig, still, CLASSES["D"], speed, points=[SEAT], apart=apart)
    frequency = np.array(found.frequencies)
    keep = [i for i in range(BODY + 4) if i != 3]
    mass, stiffness = mass_matrix(rig)[np.ix_(keep, keep)], forces(rig, still.q)[1][np.ix_(keep, keep)]
    rows = (rig.damper_rows @ rig.travel_map)[:, keep]
    damping = (rows.T * np.array(found.damper_rate)) @ rows
    x, y = rig.wheel_places.T
    _, _, z = SEAT.place
    high = rig.sprung_cg[2]
    gains = []
    for f in frequency:
        w = 2 * np.pi * f
        push = np.zeros((7, 2), dtype=complex)
        for i in range(4):
            push[3 + i, 0 if y[i] > 0 else 1] = rig.tyre_rate[i] * np.exp(1j * w * (x[i] - x.max()) / speed)
        moved = np.linalg.solve(stiffness - w**2 * mass + 1j * w * damping, push)
        if axis == "along":
            gains.append(-(w**2) * (z - high) * moved[1] - GRAVITY * moved[1])
        else:
            gains.append(w**2 * (z - (high - rig.roll_arm)) * moved[2] + GRAVITY * moved[2])
    left, right = (np.array(gains) * weighting("Wd", frequency)[:, None]).T
    gamma = track_coherence(frequency / speed, apart)
    density = CLASSES["D"] * (frequency / speed / 0.1) ** -2 / speed
    both = (np.abs(left) ** 2 + np.abs(right) ** 2 + 2 * gamma * np.real(left * np.conj(right))) * density
    wanted = np.sqrt(np.trapezoid(both, frequency))
    assert getattr(found.points[0], axis) == pytest.approx(wanted, rel=1e-9)


def test_tracks_that_are_one_give_no_nan():
    rig, _ = rig_of(design())
    found = response(rig, equilibrium(rig), CLASSES["D"], 9.0, points=[SEAT], coherence=1.0)
    assert np.isfinite([found.points[0].up, found.points[0].across, *found.travel]).all()
    assert found.points[0].across == pytest.approx(0.0, abs=1e-6)
    assert np.isfinite(transfer(rig, equilibrium(rig), np.array([1.0]), 9.0)).all()
    assert damping_matrix(rig, equilibrium(rig).q).shape == (8, 8)


# ---- the step, the kernel's room ------------------------------------------------------------------------------------


STIFF = {"target": {"frequency": "2.4 Hz", "damping_ratio": 0.5}, "tyre": {"rate": "900 N/mm", "damping": "900 N*s/m"}}
STEPS = [*(("demo", name) for name in ("fire-watch", "survey-buggy", "bog-carrier")), ("stiff", "three axles")]


@pytest.mark.parametrize(("what", "name"), STEPS)
def test_the_default_step_keeps_its_promise(what, name):
    """Against an eighth of it, in every load state: root mean squares within 0.1 %, peaks within 0.5 %."""
    if what == "demo":
        file = load(DEMOS / f"{name}.toml")
    else:
        axles = [axle(n, x, **STIFF) for n, x in (("a", 0.0), ("b", 1.4), ("c", 2.6))]
        file = design_file(vehicle(axles=axles, kerb={"mass": "4500 kg", "behind_front_axle": "1.4 m"}))
    ready = make_ready(file)
    for at in ready.states:
        stretch = ready.stretches[-1]
        runs = [
            drive(at.rig, stretch.ground, stretch.speed, points=ready.points, duration=6.0, settle=1.0, step=step)
            for step in (None, drive(at.rig, stretch.ground, stretch.speed, duration=0.1).step / 8)
        ]
        for one, two in zip(runs[0].points, runs[1].points, strict=True):
            for what_ in ("up", "along", "across", "up_raw"):
                assert getattr(one, what_) == pytest.approx(getattr(two, what_), rel=1e-3)
            assert one.up_raw_peak == pytest.approx(two.up_raw_peak, rel=5e-3)
        for one, two in zip(runs[0].wheels, runs[1].wheels, strict=True):
            assert one.load_rms == pytest.approx(two.load_rms, rel=1e-3)
            assert one.travel_rms == pytest.approx(two.travel_rms, rel=1e-3)
            assert one.load_most == pytest.approx(two.load_most, rel=5e-3)


def test_more_knots_than_the_kernel_can_count_are_refused():
    rig, _ = rig_of(design())
    many = 300
    wide = replace(
        rig, element_force=np.zeros((len(rig.element_kind), many)), element_rate=np.zeros((len(rig.element_kind), many))
    )
    with pytest.raises(UnsolvedError, match="300 knots of a force curve: at most 256"):
        laid_out(wide)


# ---- mirror images --------------------------------------------------------------------------------------------------


def mirrored_design(data):
    """The same vehicle seen in a mirror: what is left is right."""
    made = deepcopy(data)
    for item in made.get("items", []):
        if "left_of_centre" in item:
            item["left_of_centre"] = f"-{item['left_of_centre']}".replace("--", "")
    if "left_of_centre" in made["kerb"]:
        made["kerb"]["left_of_centre"] = f"-{made['kerb']['left_of_centre']}".replace("--", "")
    if "scales" in made["kerb"]:
        scales = made["kerb"]["scales"]
        scales["left"], scales["right"] = scales["right"], scales["left"]
    for one in made["axles"]:
        for rod in one.get("axle_links", {}).get("rods", []):
            if rod.get("both", True) is False:
                for end in ("body", "axle"):
                    rod[end][1] = f"-{rod[end][1]}".replace("--", "")
    return made


def test_a_lateral_rod_mirrored_gives_mirrored_answers():
    """The links demo: rates, rests, curves of either side, slopes and runs, to 1e-9."""
    data = tomlkit.parse((DEMOS / "fire-watch-links.toml").read_text()).unwrap()
    for name in ("catalogue", "grounds"):
        data.pop(name, None)
    data = {key: value for key, value in data.items() if key not in ("duty_cycle", "limits", "reference", "driveline")}
    one, other = design_file(data), design_file(mirrored_design(data))
    a, b = size(one), size(other)
    for left, right in zip(a.rates, b.rates, strict=True):
        assert left.motion_ratio == pytest.approx(right.motion_ratio, rel=1e-9)
        assert left.spring_rate == pytest.approx(right.spring_rate, rel=1e-9)
    rigs = [assemble(file) for file in (one, other)]
    swap = [1, 0, 3, 2]
    springs = [np.flatnonzero(rig.element_kind == 0) for rig in rigs]
    assert rigs[0].element_force[springs[0]] == pytest.approx(
        rigs[1].element_force[springs[1][swap]], rel=1e-9, abs=1e-6
    )
    assert not np.allclose(rigs[0].element_force[springs[0][0]], rigs[0].element_force[springs[0][1]], rtol=1e-4)
    for case, back in (
        (Case(), Case()),
        (Case.slope(lean=0.3), Case.slope(lean=-0.3)),
        (Case(across=3.0), Case(across=-3.0)),
    ):
        here, there = equilibrium(rigs[0], case=case), equilibrium(rigs[1], case=back)
        assert here.wheel_loads == pytest.approx(there.wheel_loads[swap], rel=1e-9)
        assert here.roll == pytest.approx(-there.roll, rel=1e-8, abs=1e-12)
    lift = [equilibrium(rig, diagonal(rig) * side * 0.1) for rig, side in zip(rigs, (1, -1), strict=True)]
    assert lift[0].wheel_loads == pytest.approx(lift[1].wheel_loads[swap], rel=1e-9)


# ---- shown ----------------------------------------------------------------------------------------------------------


def test_rest_tells_the_height_of_the_centre_of_gravity_and_where_it_lifts():
    """On a slope of a the springs carry g cos(a) of the weight: the body rises by (1 - cos a) of what it has sunk, by hand within 2 %."""
    file = design_file(vehicle(items=[], states=[{"name": "one"}], kerb={"behind_front_axle": "1.25 m"}))
    rig, lean = assemble(file), 0.35
    level, slope, corner = rest(file), rest(file, case=Case.slope(lean=lean)), rest(file, case=Case(across=2.0))
    k = rig.element_rate[rig.element_kind == 0][:, 60].sum()
    sunk = 1300 * GRAVITY / k + 1500 * GRAVITY / rig.tyre_rate.sum()
    body = (1300 * (sunk * (1 - np.cos(lean)) - rig.roll_arm * (1 - np.cos(slope.roll)))) / 1500
    assert level.cg_height == pytest.approx(0.7, abs=1e-4)  # a coil's free length is rounded
    assert slope.cg_height - level.cg_height == pytest.approx(body, rel=0.06)
    assert (level.lifts_at, level.lifts_at_corner) == (None, None)
    assert lean < slope.lifts_at <= slope.tips_at
    assert 2.0 < corner.lifts_at_corner <= corner.tips_at_corner
