"""Driving in time: against the slow twin, exact solutions, an adaptive solver, energy, and the linear response."""

import io
import os
import platform
import re
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from numba import njit, typeof
from scipy.integrate import solve_ivp
from scipy.optimize import fsolve

from springwright.errors import UnsolvedError
from springwright.motion.compiled import clear_stale
from springwright.motion.courses import course, longest_step
from springwright.motion.drive import Start, _go, batch_memory, drive, drive_many, empty_table
from springwright.motion.equilibrium import equilibria, equilibrium
from springwright.motion.figures import DAMPER, POINT, WHEEL, Point
from springwright.motion.forces import (
    GRAVITY,
    Case,
    damping_matrix,
    forces,
    guided,
    mass_matrix,
    moving_forces,
    tyre_forces,
    weighed,
)
from springwright.motion.kernel import drive as kernel
from springwright.motion.kernel.arrays import BODY
from springwright.motion.kernel.forces import law_alone
from springwright.motion.kernel.tools import LOOP
from springwright.motion.layout import about, laid_out
from springwright.motion.modes import modes
from springwright.motion.processors import processor
from springwright.motion.response import equivalent_rates, response, transfer
from springwright.motion.rig import stack
from springwright.questions.at_rest import natural_modes, rest
from springwright.sizing.fitted import assemble
from springwright.terrain import obstacles
from springwright.terrain.ground import Ground
from springwright.terrain.roughness import CLASSES, rough_ground, velocity_density
from springwright.vehicle.assemble import without_stops
from springwright.vehicle.file import load
from tests.build import DEMOS, all_wheels_at_once, quarter

NAMES = ["fire-watch", "survey-buggy", "bog-carrier"]
SEAT = [Point("seat", (-1.3, 0.4, 1.1))]


@pytest.fixture(scope="module")
def rigs():
    return {name: assemble(load(DEMOS / f"{name}.toml")) for name in NAMES}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("zoned", [False, True])
def test_kernel_is_the_force_model(rigs, name, zoned):
    """The compiled law against its slow twin in random positions and motions: stops, slack, wheels in the air, dampers that depend on travel."""
    dampers = len(rigs[name].damper_rows)
    rig = replace(rigs[name], friction=np.full(dampers, 150.0))
    if zoned:
        place, factor = np.tile([-0.06, 0.01, 0.07], (dampers, 1)), np.tile([1.6, 0.7, 2.5], (dampers, 1))
        rig = replace(rig, damper_place=place, damper_factor=factor)
    rig = replace(rig, tyre_room=np.full(len(rig.tyre_rate), 0.05))
    still = equilibrium(rig).q
    law = about(laid_out(rig)[1], still[None])
    ends = (0,) * (len(law.mate) // len(rig.wheel_places))
    random = np.random.default_rng(2)
    wheels = len(rig.wheel_places)
    for reach in (0.02, 0.1, 0.3):
        for _ in range(5):
            q, v = random.uniform(-reach, reach, BODY + wheels), random.uniform(-1, 1, BODY + wheels)
            q[3] = v[3] = 0.0
            ground, ground_speed = random.uniform(-0.05, 0.05, (2, wheels))
            total = np.zeros(BODY + wheels)
            law_alone(ends, law, q, v, ground, ground_speed, True, total)
            slow = moving_forces(rig, q, v, ground, ground_speed, still)
            keep = [i for i in range(BODY + wheels) if i != 3]
            assert total[keep] == pytest.approx(slow[keep], rel=1e-12, abs=1e-12 * GRAVITY * rig.mass)


@pytest.mark.parametrize("name", ["fire-watch", "survey-buggy"])
def test_default_step_against_an_adaptive_solver(rigs, name):
    """DOP853 on the same equations over class D: RMS and peak of the seat within 0.1 %."""
    rig = rigs[name]
    ground = rough_ground("D", 60.0, 1.5).felt(0.35, 0.2)
    speed, seconds = 9.0, 1.0
    ahead = rig.wheel_places[:, 0] - rig.wheel_places[:, 0].max()
    start = -ahead.min()
    tracks = np.array([ground.left, ground.right])
    side = (rig.wheel_places[:, 1] < 0).astype(int)
    x = ground.spacing * np.arange(len(ground.left))
    slopes = np.diff(tracks, axis=1) / ground.spacing
    n = BODY + len(side)
    mass = np.linalg.inv(mass_matrix(rig))
    row = np.zeros(n)
    row[:BODY] = rig.rise_row(*SEAT[0].place[:2])

    def under(t):
        at = start + speed * t + ahead
        cell = np.clip((at / ground.spacing).astype(int), 0, slopes.shape[1] - 1)
        return np.array([np.interp(a, x, tracks[s]) for a, s in zip(at, side, strict=True)]), speed * slopes[side, cell]

    def acceleration(t, state):
        height, rising = under(t)
        total = mass @ moving_forces(rig, state[:n], state[n:], height, rising, still)
        total[3] = 0.0
        return total

    still = equilibrium(rig, under(0.0)[0]).q
    begin = np.concatenate([still, np.zeros(n)])
    times = np.linspace(0, seconds, 2001)
    exact = solve_ivp(
        lambda t, s: np.concatenate([s[n:], acceleration(t, s)]),
        (0, seconds),
        begin,
        "DOP853",
        times,
        rtol=1e-7,
        atol=1e-9,
        max_step=2e-3,
    )
    reference = np.array([row @ acceleration(t, s) for t, s in zip(exact.t, exact.y.T, strict=True)])
    done = drive(rig, ground, speed, duration=seconds, points=SEAT, history=2e-3)
    assert done.points[0].up_raw == pytest.approx(np.sqrt(np.mean(reference**2)), rel=1e-3)
    assert done.points[0].up_raw_peak == pytest.approx(np.abs(reference).max(), rel=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_energy_is_accounted_for_and_better_with_the_step(rigs, name):
    ground = rough_ground("E", 80.0, 1.6).felt(0.4, 0.2)
    coarse, fine = (drive(rigs[name], ground, 8.0, step=step).audit.residual for step in (0.8e-3, 0.2e-3))
    assert coarse < 1e-3
    assert fine < max(coarse, 1e-6)
    assert fine < 2e-6


def test_an_undamped_run_runs_back(rigs):
    """No damper, no friction: with every speed turned round, the vehicle goes back to where it was let go."""
    rig = replace(rigs["fire-watch"], damper_force=np.zeros_like(rigs["fire-watch"].damper_force))
    ways = [course(rig, obstacles.flat(), 1.0, duration=0.8)]
    out, _ = _go([rig], ways, [], Start(np.array([0.05])), processor("cpu", 1), 0, 0)
    begin = equilibrium(rig).q.copy()
    begin[0] += 0.05
    begin[BODY:] += 0.05
    back, _ = _go([rig], ways, [], Start(), processor("cpu", 1), 0, 0, state=(out.q, -out.v))
    assert np.abs(out.q - begin).max() > 0.02
    assert back.q == pytest.approx(begin, abs=2e-7)
    assert back.v == pytest.approx(np.zeros(len(begin)), abs=2e-5)


def test_energy_of_a_smooth_vehicle_closes(rigs):
    """Straight springs and dampers on smooth waves at a twentieth of the default step: less than 1e-6 of the work is left open."""
    rig = quarter()
    x = 0.02 * np.arange(4000)
    waves = Ground("waves", 0.02, *(0.02 * (1 - np.cos(2 * np.pi * x / 5)) for _ in range(2)))
    assert drive(rig, waves, 8.0, step=4e-5, duration=5.0).audit.residual < 1e-6


def test_standing_still_stays(rigs):
    done = drive(rigs["fire-watch"], obstacles.flat(), 10.0, duration=3.0, points=SEAT)
    still = equilibrium(rigs["fire-watch"])
    assert done.points[0].up_raw_peak < 1e-7
    for wheel, held in zip(done.wheels, still.wheel_loads, strict=True):
        assert wheel.load_mean == pytest.approx(held, rel=1e-9)
        assert wheel.load_most - wheel.load_least < 1e-3


@pytest.mark.parametrize("name", NAMES)
def test_mirror(rigs, name):
    """A vehicle with no lopsided load, on mirrored ground, does the same mirrored."""
    rig = rigs[name]
    x, _, z = rig.sprung_cg
    rig = replace(rig, sprung_cg=np.array([x, 0.0, z]), products=np.array([0.0, rig.products[1], 0.0]))
    ground = rough_ground("D", 50.0, 1.6)
    one, two = drive(rig, ground, 8.0), drive(rig, ground.mirrored(), 8.0)
    for i in range(0, len(one.wheels), 2):
        assert two.wheels[i + 1].travel_rms == pytest.approx(one.wheels[i].travel_rms, rel=1e-7)
        assert two.wheels[i].load_most == pytest.approx(one.wheels[i + 1].load_most, rel=1e-7)


def test_ground_may_lie_anywhere(rigs):
    ground = rough_ground("C", 50.0, 1.6)
    one, two = (drive(rigs["survey-buggy"], each, 8.0, points=SEAT) for each in (ground, ground.plus(0.25)))
    assert two.points[0].up == pytest.approx(one.points[0].up, rel=1e-8)


def test_many_is_the_same_as_one_by_one(rigs):
    ground = rough_ground("D", 60.0, 1.6)
    rig = rigs["fire-watch"]
    heavier = [replace(rig, sprung_mass=rig.sprung_mass * share) for share in (0.9, 1.0, 1.1)]
    grounds = [ground, ground.mirrored(), rough_ground("C", 40.0, 1.6)]
    speeds = [6.0, 8.0, 10.0]
    table = drive_many(heavier, grounds, speeds, points=SEAT)
    for row, (each, over, speed) in enumerate(zip(heavier, grounds, speeds, strict=True)):
        alone = drive(each, over, speed, points=SEAT)
        point = [getattr(alone.points[0], name) for name in POINT]
        assert table.points[row, 0] == pytest.approx(point, rel=1e-9)
        for made, its in zip(table.wheels[row], alone.wheels, strict=True):
            assert made == pytest.approx([getattr(its, name) for name in WHEEL], rel=1e-9)
        for made, its in zip(table.dampers[row], alone.dampers, strict=True):
            assert made == pytest.approx([getattr(its, name) for name in DAMPER], rel=1e-9, abs=1e-12)
        assert table.springs[row, 0].tolist() == pytest.approx(
            [alone.springs[0].force_least, alone.springs[0].force_most]
        )
        assert table.audit[row, :5] == pytest.approx(
            [
                alone.audit.by_ground,
                alone.audit.in_dampers,
                alone.audit.in_tyres,
                alone.audit.by_load,
                alone.audit.gained,
            ],
            rel=1e-7,
        )
    assert table.reasons == ("", "", "")


@pytest.mark.parametrize("name", NAMES)
def test_lanes_are_bit_for_bit_what_one_lane_is(rigs, name, monkeypatch):
    """Vehicles side by side and each alone: every figure to the last bit, the audit but for how its first and last energy are rounded."""
    rig = rigs[name]
    some = [replace(rig, sprung_mass=rig.sprung_mass * share) for share in (0.9, 1.0, 1.1)]
    given = {"points": SEAT, "duration": 2.0, "settle": 0.3}
    ground = rough_ground("D", 60.0, 1.6)
    many = drive_many(some, ground, 8.0, **given)
    monkeypatch.setattr("springwright.motion.processors.LANES", 1)
    alone = drive_many(some, ground, 8.0, **given)
    for kind in ("points", "wheels", "dampers", "stops", "springs"):
        assert np.array_equal(getattr(many, kind), getattr(alone, kind)), kind
    np.testing.assert_allclose(many.audit[:, :5], alone.audit[:, :5], rtol=1e-9, atol=1e-9 * np.abs(alone.audit).max())


def test_lanes_are_worked_on_in_packed_instructions(rigs, monkeypatch):
    """In the assembly of eight lanes at most a tenth of the arithmetic of doubles, what lanes share, is done one by one."""
    if platform.machine() not in ("x86_64", "AMD64"):
        pytest.skip("knows the names of this kind of processor alone")
    given, driven = [], kernel.run
    monkeypatch.setattr("springwright.motion.processors.LANES", 8)
    monkeypatch.setattr(kernel, "run", lambda *one: given.extend(one))
    drive_many([rigs["fire-watch"]] * 2, rough_ground("D", 40.0, 1.5), 8.0, points=SEAT, duration=0.05)
    anew = njit(**{**LOOP, "cache": False})(driven.py_func)  # what was kept of an earlier run cannot be looked into
    anew.compile(tuple(typeof(one) for one in given))
    (text,) = anew.inspect_asm().values()
    arithmetic = r"\bv?(?:fn?m(?:add|sub)\d*|mul|add|sub|div|min|max|sqrt)"
    packed, single = re.findall(arithmetic + r"pd\b", text), re.findall(arithmetic + r"sd\b", text)
    assert len(packed) > 500
    assert len(single) < 0.1 * len(packed), (
        single
    )  # of what lanes share; a loop done one by one would be eight times as many


def test_the_kernel_runs_uncompiled_to_the_same_figures(rigs):
    """With the compiler off, in plain Python: what steps through it sees what the compiled one does."""
    drive_it = (
        "from springwright import assemble, drive, drive_many, load; from springwright.terrain.roughness import rough_ground; "
        "from springwright.motion.figures import Point; from tests.build import DEMOS; "
        "r = drive(assemble(load(DEMOS / 'fire-watch.toml')), rough_ground('D', 30.0, 1.56), 9.0, points=[Point('seat', (-1.3, 0.4, 1.1))], duration=0.1); "
        "t = drive_many([assemble(load(DEMOS / 'fire-watch.toml'))] * 2, rough_ground('D', 30.0, 1.56), 9.0, points=[Point('seat', (-1.3, 0.4, 1.1))], duration=0.1); "
        "print(t.points[1, 0, 7], r.points[0].up_raw, r.wheels[0].load_rms, r.dampers[3].power, r.audit.in_dampers)"
    )
    made = subprocess.run(
        [sys.executable, "-c", drive_it],
        env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    run = drive(rigs["fire-watch"], rough_ground("D", 30.0, 1.56), 9.0, points=SEAT, duration=0.1)
    ours = [
        run.points[0].up_raw,
        run.points[0].up_raw,
        run.wheels[0].load_rms,
        run.dampers[3].power,
        run.audit.in_dampers,
    ]
    assert [float(one) for one in made.stdout.split()] == pytest.approx(ours, rel=1e-9)


@pytest.mark.parametrize("demo", sorted(one.stem for one in DEMOS.glob("*.toml")))
def test_the_default_step_by_half_of_it(demo):
    """Every demo in each load state over grounds of class B to E at a brisk speed: the default step and half of it, r.m.s. within 0.1 %, peaks within 0.5 %."""
    paces = {"B": 22.0, "C": 14.0, "D": 9.0, "E": 5.0}
    grounds = [rough_ground(grade, 120.0, 1.5).felt(0.35, 0.2) for grade in paces]
    columns = (("points", "up_raw", 1e-3), ("points", "up_raw_peak", 5e-3), ("wheels", "travel_rms", 1e-3), ("wheels", "load_rms", 1e-3))  # fmt: skip
    file = load(DEMOS / f"{demo}.toml")
    for state in file.design.states:
        rig = assemble(file, state.name)
        given = {"points": [Point("near the CG", (rig.sprung_cg[0] - 0.3, 0.4, 1.1))], "duration": 6.0, "settle": 1.0}
        step = longest_step(rig)[0]
        whole, half = (drive_many(rig, grounds, list(paces.values()), step=h, **given) for h in (step, step / 2))
        for kind, column, close in columns:
            at = {"points": POINT, "wheels": WHEEL}[kind].index(column)
            a, b = getattr(whole, kind)[..., at], getattr(half, kind)[..., at]
            assert np.abs(a / b - 1).max() < close, (state.name, column)


def test_many_makes_of_rig_drop_and_stop_in_one_batch(rigs):
    """Rigs of other makes, drops from other heights and a rig that cannot stand, each as alone."""
    mixed = [rigs["fire-watch"], rigs["bog-carrier"], rigs["survey-buggy"], rigs["fire-watch"]]
    mixed = [mixed[0], mixed[2], replace(mixed[0], roll_arm=50.0), mixed[3]]
    seen = []
    table = drive_many(
        mixed,
        obstacles.flat(),
        5.0,
        duration=1.0,
        above=[0.1, 0.2, 0.1, 0.3],
        progress=lambda done, of: seen.append((done, of)),
    )
    assert seen[-1] == (4, 4)
    assert "would not stay upright" in table.reasons[2]
    assert np.all(np.isnan(table.wheels[2]))
    for row, above in ((0, 0.1), (1, 0.2), (3, 0.3)):
        alone = drive(mixed[row], obstacles.flat(), 5.0, duration=1.0, above=above)
        assert table.wheels[row, :, WHEEL.index("load_most")] == pytest.approx(
            [w.load_most for w in alone.wheels], rel=1e-9
        )
        assert table.stops[row, :, 2] == pytest.approx([stop.force for stop in alone.stops], rel=1e-9, abs=1e-9)
        assert table.stops[row, :, 3] == pytest.approx([stop.energy for stop in alone.stops], rel=1e-7, abs=1e-9)


def test_a_batch_can_be_stopped(rigs):
    def stop(done, of):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        drive_many([rigs["fire-watch"]] * 400, obstacles.flat(), 5.0, duration=0.1, progress=stop)


@pytest.mark.parametrize("name", NAMES)
def test_rest_of_many_is_that_of_one(rigs, name):
    """Compiled Newton against the slow twin: rough ground, slopes, corners, braking, and a batch of rigs."""
    rig = rigs[name]
    random = np.random.default_rng(3)
    ground = random.uniform(-0.1, 0.1, (30, len(rig.wheel_places)))
    cases = [
        Case(a, b, Case.slope(c, d).gravity) for a, b, c, d in random.uniform(-1, 1, (30, 4)) * [4.0, 4.0, 0.2, 0.2]
    ]
    many = equilibria(rig, ground, cases)
    for run, case in enumerate(cases):
        alone = equilibrium(rig, ground[run], case)
        assert many.q[run] == pytest.approx(alone.q, abs=1e-8)
        assert many.wheel_loads[run] == pytest.approx(alone.wheel_loads, abs=1e-3)
    heavier = [replace(rig, sprung_mass=rig.sprung_mass * share) for share in (0.8, 1.0, 1.1)]
    batch = equilibria(stack(heavier))
    for run, each in enumerate(heavier):
        assert batch.q[run] == pytest.approx(equilibrium(each).q, abs=1e-9)
    tipped = equilibria(rig, 0.0, [Case(), Case(across=50.0)])
    assert tipped.reasons[0] == ""
    assert tipped.reasons[1]
    assert np.isnan(tipped.wheel_loads[1]).all()


def test_a_run_of_many_that_diverges_leaves_a_reason(rigs):
    table = drive_many([rigs["fire-watch"]] * 2, rough_ground("E", 100.0, 1.6), 12.0, step=0.05)
    assert np.all(np.isnan(table.wheels))
    assert all("diverged" in reason for reason in table.reasons)


def test_a_hundred_thousand_runs_fit_in_a_gigabyte(rigs):
    rig = rigs["fire-watch"]
    assert batch_memory(rig, 100_000, 2) < 2e8
    assert empty_table(rig, 1000, 2).memory == batch_memory(rig, 1000, 2)


def test_quarter_car_over_a_half_sine_bump():
    """Reference run, Runge-Kutta at 1e-11: bump 0.1 m high, 1 m long at 5 m/s; m 400, 50 kg, k 20, 200 kN/m, c 1500."""
    rig = all_wheels_at_once()
    done = drive(
        rig,
        obstacles.bump(0.1, 1.0),
        5.0,
        duration=6.0,
        step=1e-4,
        points=[Point("body", tuple(rig.sprung_cg))],
        history=1e-3,
    )
    history = np.asarray(done.history)
    up = history[:, list(done.columns).index("body up [m/s2]")]
    assert up.max() == pytest.approx(9.079159, rel=2e-3)
    assert up.min() == pytest.approx(-9.226587, rel=2e-3)
    assert done.wheels[0].travel_most == pytest.approx(0.0836465, rel=1e-3)
    assert done.wheels[0].travel_least == pytest.approx(-0.0793667, rel=1e-3)
    static = 450 * GRAVITY
    assert done.wheels[0].load_most - static == pytest.approx(5322.843, rel=2e-3)
    assert done.wheels[0].load_least - static == pytest.approx(-3846.735, rel=2e-3)


def test_drop_on_an_undamped_spring():
    """x = d (1 + sqrt(1 + 2 h / d)), d = g / w2: h = 0.3 m at 1.2 Hz gives F / W = 3.116172; here on the tyre of a rigid body."""
    rig = quarter(spring=1e9, damping=0.0, tyre=400.0 * (2 * np.pi * 1.2) ** 2, unsprung=0.001)
    rate = 400.001 * (2 * np.pi * 1.2) ** 2
    rig = replace(
        rig,
        tyre_rate=np.full(4, rate),
        element_rate=np.full((4, 97), 1e6),
        element_force=np.tile(400 * GRAVITY + 1e6 * np.linspace(-3, 3, 97), (4, 1)),
    )
    still = equilibrium(rig)
    static = float(still.wheel_loads[0])
    done = drive(rig, obstacles.flat(), 1.0, duration=0.9, above=0.3 + static / rate, step=2e-6)
    assert done.wheels[0].load_most / static == pytest.approx(3.116172, rel=5e-3)


def test_damper_power_on_white_ground_is_tyre_rate_times_roughness():
    """k_t G_v / 4 a wheel, whatever the masses, springs and dampers: 200 kN/m, class C, 20 m/s, 101.06 W."""
    expected = 2e5 * 20 * velocity_density(CLASSES["C"]) / 4
    assert expected == pytest.approx(101.06, rel=1e-4)
    ground = rough_ground("C", 6_000.0, 1.6, spacing=0.05, highest=10.0, coherence=1.0)
    powers = []
    for spring, damping in ((2e4, 1500.0), (3e4, 3000.0)):
        rig = all_wheels_at_once(spring=spring, damping=damping)
        powers.append(drive(rig, ground, 20.0, settle=5.0).dampers[0].power)
    assert powers == pytest.approx([expected, expected], rel=0.03)


def test_invariant_points():
    """At w = sqrt(k_t / m_u) the body's acceleration per ground acceleration is m_u / m_s whatever k and c (Karnopp; Hedrick and Butsuen)."""
    for spring, damping in ((2e4, 1500.0), (6e4, 300.0)):
        rig = all_wheels_at_once(spring=spring, damping=damping)
        frequency = np.array([np.sqrt(2e5 / 50), np.sqrt(2e5 / 450)]) / (2 * np.pi)
        moved = transfer(rig, equilibrium(rig), frequency, 10.0).sum(axis=2)
        assert abs(moved[0, 0]) == pytest.approx(50 / 400, rel=5e-4)
        assert abs(moved[1, 0] - moved[1, BODY]) == pytest.approx(450 / 400, rel=5e-4)


def test_response_is_what_a_long_drive_gives():
    """The linear case on 3 km: within what the length lets one expect (about 2 % of an RMS)."""
    rig = assemble(load(DEMOS / "bog-carrier.toml"))
    found = response(rig, equilibrium(rig), CLASSES["C"], 10.0, points=SEAT, apart=2.05)
    done = drive(rig, rough_ground("C", 3000.0, 2.05, spacing=0.05, seed=8), 10.0, settle=5.0, points=SEAT)
    assert done.points[0].up == pytest.approx(found.points[0].up, rel=0.04)
    assert done.wheels[0].travel_rms == pytest.approx(found.travel[0], rel=0.05)
    assert done.wheels[0].load_rms == pytest.approx(found.tyre_load[0], rel=0.04)


def test_digressive_dampers_are_linearised_by_the_work_they_do():
    """RMS within 5 % of the drive while no stop is touched, on dampers with a sharp knee and dry friction."""
    rig = without_stops(assemble(load(DEMOS / "bog-carrier.toml")))
    slope = 6000.0
    speed = np.array([-2.0, -0.08, 0.0, 0.08, 2.0])
    force = np.array([-0.08 * slope - 1.92 * 1500, -0.08 * slope, 0.0, 0.08 * slope, 0.08 * slope + 1.92 * 1500])
    count = len(rig.damper_rows)
    rig = replace(
        rig,
        damper_speed=np.tile(speed, (count, 1)),
        damper_force=np.tile(force, (count, 1)),
        friction=np.full(count, 120.0),
    )
    found = response(rig, equilibrium(rig), CLASSES["C"], 10.0, points=SEAT, apart=2.05)
    done = drive(rig, rough_ground("C", 3000.0, 2.05, spacing=0.05, seed=8), 10.0, settle=5.0, points=SEAT)
    assert found.rounds > 2
    assert done.points[0].up == pytest.approx(found.points[0].up, rel=0.05)
    assert done.wheels[0].travel_rms == pytest.approx(found.travel[0], rel=0.06)


def test_equivalent_rate_of_a_straight_damper_is_its_slope(rigs):
    rig = quarter(damping=1234.0)
    for speed in (1e-4, 0.3, 5.0):
        assert equivalent_rates(rig, np.full(4, speed)) == pytest.approx(1234.0, rel=1e-9)


def test_equivalent_rate_by_integration(rigs):
    """E[F v] / s2 for a Gaussian speed, counted on a fine grid, dry friction in it."""
    rig = replace(rigs["fire-watch"], friction=np.full(4, 200.0))
    s = 0.4
    v = np.linspace(-8 * s, 8 * s, 40_001)
    force = np.interp(
        v,
        *(
            np.append(np.append(2 * a[0] - a[1], a), 2 * a[-1] - a[-2])
            for a in (rig.damper_speed[0] * 1.0, rig.damper_force[0] * 1.0)
        ),
    )
    x, y = rig.damper_speed[0], rig.damper_force[0]
    force = np.where(
        v < x[0],
        y[0] + (v - x[0]) * (y[1] - y[0]) / (x[1] - x[0]),
        np.where(v > x[-1], y[-1] + (v - x[-1]) * (y[-1] - y[-2]) / (x[-1] - x[-2]), np.interp(v, x, y)),
    )
    force = force + 200.0 * v / np.sqrt(v**2 + rig.friction_speed**2)
    density = np.exp(-(v**2) / (2 * s**2)) / (s * np.sqrt(2 * np.pi))
    expected = np.trapezoid(force * v * density, v) / s**2
    assert equivalent_rates(rig, np.full(4, s))[0] == pytest.approx(expected, rel=5e-3)


def test_damped_modes_of_one_mass():
    """Each mode's root satisfies det(M s2 + C s + K) = 0, and light damping leaves the undamped frequency alone."""
    rig = quarter(damping=300.0)
    still = equilibrium(rig)
    mass, damping, stiffness = mass_matrix(rig), damping_matrix(rig, still.q), forces(rig, still.q)[1]
    free = np.ix_(rig.free, rig.free)
    for mode in modes(rig, still, damped=True):
        w = 2 * np.pi * mode.frequency
        s = w * (-mode.damping_ratio + 1j * np.sqrt(1 - mode.damping_ratio**2))
        system = mass[free] * s**2 + damping[free] * s + stiffness[free]
        values = np.linalg.svd(system, compute_uv=False)
        assert values[-1] / values[0] < 1e-7
    plain, damped = ({mode.name: mode for mode in modes(rig, still, damped=d)} for d in (False, True))
    assert damped["bounce"].frequency == pytest.approx(plain["bounce"].frequency, rel=0.02)
    assert damped["bounce"].damping_ratio == pytest.approx(300 / (2 * np.sqrt(2e4 * 400)), rel=0.2)


def applied_in(rig, q, case):
    """What gravity, acceleration and side-view lines do in q."""
    return weighed(rig, q, case)[0] + guided(rig, case)


def test_braking_in_time_settles_where_statics_says(rigs):
    """Steady braking, given time: the drive's mean is where its forces balance, gravity taken straight about the start.

    The equilibrium with exact rotations, the CG lifted and carried ahead as the nose goes down, is within 5e-4 of it.
    """
    rig = rigs["fire-watch"]
    done = drive(
        rig, obstacles.flat(200), 10.0, duration=15.0, settle=12.0, accelerations=np.array([[-3.0, -3.0], [0.0, 0.0]])
    )
    start = equilibrium(rig).q
    pull = applied_in(rig, start, Case(along=-3.0)) - applied_in(rig, start, Case())
    keep = [i for i in range(len(start)) if i != 3]

    def left(free):
        q = np.insert(free, 3, 0.0)
        return (moving_forces(rig, q, 0 * q, 0.0, 0.0, start) + pull)[keep]

    still = fsolve(left, start[keep], xtol=1e-12)[3:]
    loads = [wheel.load_mean for wheel in done.wheels]
    assert loads == pytest.approx(tyre_forces(rig, still)[0], rel=1e-5)
    assert loads == pytest.approx(equilibrium(rig, case=Case(along=-3.0)).wheel_loads, rel=5e-4)
    turned = drive(
        rig, obstacles.flat(300), 10.0, duration=20.0, settle=17.0, accelerations=np.array([[0.0, 0.0], [2.0, 2.0]])
    )
    assert [wheel.load_mean for wheel in turned.wheels] == pytest.approx(
        equilibrium(rig, case=Case(across=2.0)).wheel_loads, rel=1e-3
    )


def test_wheels_leave_the_ground_and_stops_are_counted(rigs):
    done = drive(rigs["survey-buggy"], obstacles.kicker(0.6, 3.0).felt(0.33, 0.2), 14.0, points=SEAT, duration=4.0)
    assert all(wheel.off_ground > 0.05 for wheel in done.wheels)
    assert sum(stop.contacts for stop in done.stops if stop.kind == "droop") >= 4
    assert max(stop.force for stop in done.stops if stop.kind == "bump") > 0
    assert done.points[0].up_raw_peak > GRAVITY


def test_turning_points_alternate(rigs):
    points = np.array(drive(rigs["fire-watch"], rough_ground("D", 100.0, 1.6), 9.0).springs[0].turning_points)
    assert len(points) > 50
    assert np.all(np.diff(np.sign(np.diff(points))) != 0)


def test_damper_histogram_is_a_share_of_time(rigs):
    damper = drive(rigs["fire-watch"], rough_ground("D", 100.0, 1.6), 9.0).dampers[0]
    assert sum(damper.shares) == pytest.approx(1.0)
    assert damper.bins[int(np.argmax(damper.shares))] == pytest.approx(0.0, abs=0.051)


def test_changing_speed_reaches_the_same_place(rigs):
    ground = Ground("edge", 0.05, *(np.where(0.05 * np.arange(1200) > 30, 0.05, 0.0) for _ in range(2)))
    ramped = drive(rigs["survey-buggy"], ground, 5.0, duration=8.0, speeds=np.array([2.0, 8.0]), history=0.01)
    history = np.asarray(ramped.history)
    first = history[np.argmax(np.abs(history[:, 1]) > 0.005), 0]
    start = 2.35
    met = (-2 + np.sqrt(4 + 4 * 0.375 * (30 - start))) / (2 * 0.375)
    assert first == pytest.approx(met, abs=0.06)


def test_a_step_far_too_long_says_where_it_went_wrong(rigs):
    with pytest.raises(
        UnsolvedError,
        match=r"the run diverged .* s in, with the front axle .* m along ISO 8608 class E; it tips over there, or wants a step below 50 ms",
    ):
        drive(rigs["fire-watch"], rough_ground("E", 200.0, 1.6), 12.0, step=0.05)


def test_a_run_that_diverges_in_its_last_steps_says_so_too(rigs):
    """Eight steps are fewer than the kernel takes between two looks; alone and in a batch."""
    ground = rough_ground("E", 200.0, 1.6)
    with pytest.raises(UnsolvedError, match="the run diverged"):
        drive(rigs["fire-watch"], ground, 12.0, step=0.05, duration=0.4)
    assert "diverged" in drive_many(rigs["fire-watch"], ground, 12.0, step=0.05, duration=0.4).reasons[0]


def test_the_step_follows_what_is_stiffest(rigs):
    rig = rigs["fire-watch"]
    step, reason = longest_step(rig)
    assert (step, reason) == (0.8e-3, "the cap that keeps RMS and peaks within 0.1 %")
    harsh = replace(rig, damper_force=rig.damper_force * 40)
    assert "steepest damper" in longest_step(harsh)[1]
    assert longest_step(harsh)[0] < step


def test_step_check_reports_a_small_change(rigs):
    assert drive(rigs["bog-carrier"], rough_ground("C", 60.0, 1.6), 8.0, points=SEAT, check_step=True).step_error < 1e-3


def test_commands_of_motion(tmp_path):
    demo = str(DEMOS / "fire-watch.toml")

    def said(*arguments):
        done = subprocess.run(
            [sys.executable, "-m", "springwright", *arguments],
            capture_output=True,
            text=True,
            check=False,
            cwd=tmp_path,
        )
        return done.returncode, done.stdout.replace("\N{NARROW NO-BREAK SPACE}", " "), done.stderr

    code, out, _ = said("rest", demo, "--slope", "lean 15 deg", "--corner", "0.1 g", "--ground", "front left = 100 mm")
    assert code == 0
    assert "front left 100 mm up" in " ".join(out.split())
    code, out, _ = said("modes", demo, "-o", "m.png")
    assert (tmp_path / "m.png").read_bytes().startswith(b"\x89PNG")
    code, out, _ = said("drive", demo, "--ground", "half-round 100 mm", "--speed", "15 km/h", "-o", "d.csv")
    rows = np.genfromtxt(io.StringIO((tmp_path / "d.csv").read_text()), delimiter=",", skip_header=1)
    assert rows.shape[0] > 100
    assert np.all(np.isfinite(rows))
    for arguments, word in [
        (("rest", demo, "--slope", "steep"), 'write "climb 15 deg"'),
        (("rest", demo, "--corner", "2 g"), "The vehicle tips"),
        (("rest", demo, "--ground", "nose = 1 m"), "wheels are front left, front right, rear left, rear right"),
        (("rest", demo, "--state", "Empty"), "no such load state; there are Kerb, Crew, Half tank, Full"),
        (("drive", demo, "--ground", "class Z", "--speed", "10 km/h"), "no such ground"),
        (("drive", demo, "--ground", "class C", "--speed", "10"), "the unit is missing"),
        (("modes", demo, "-o", "m.gif"), "use .csv, .svg, .png"),
    ]:
        code, _, error = said(*arguments)
        assert code == 2, arguments
        assert word in error
        assert "Traceback" not in error


def test_results_at_a_standstill_follow_their_schema():
    import jsonschema

    file = load(DEMOS / "survey-buggy.toml")
    for result in (
        rest(file),
        natural_modes(file),
        drive(assemble(file), rough_ground("C", 40.0, 1.5), 8.0, points=SEAT),
    ):
        assert list(jsonschema.Draft202012Validator(type(result).schema()).iter_errors(result.to_json())) == []


def test_what_was_compiled_from_other_texts_is_thrown_away(tmp_path):
    """Once: numba fails on an index that names a class of before; what is compiled afterwards stays."""
    (tmp_path / "motion").mkdir()
    old = [tmp_path / "motion" / name for name in ("drive.run-1.py311.nbi", "newton.settle-1.py311.1.nbc")]
    other = tmp_path / "motion" / "another.thing-1.py311.nbi"
    for one in (*old, other):
        one.write_bytes(b"of before")
    clear_stale(tmp_path)
    assert not any(one.exists() for one in old)
    assert other.exists()
    old[0].write_bytes(b"of now")
    clear_stale(tmp_path)
    assert old[0].exists()


def test_when_a_run_is_lost_does_not_hang_on_its_company(rigs):
    """A run that diverges is told at the same step alone and beside shorter ones."""
    rig, ground = rigs["fire-watch"], rough_ground("D", 60.0, 1.5)
    with pytest.raises(UnsolvedError) as alone:
        drive(rig, ground, 8.0, duration=2.0, step=0.02)
    many = drive_many([rig] * 4, ground, 8.0, duration=[0.3, 0.5, 0.7, 2.0], step=0.02)
    assert many.reasons[3] == str(alone.value)


def test_some_of_a_block_that_cannot_stand_are_told_and_the_rest_are_driven(rigs):
    rig = rigs["fire-watch"]
    fallen = replace(rig, roll_arm=50.0)
    some = [fallen if k in (1, 4, 5) else rig for k in range(8)]
    table = drive_many(some, rough_ground("D", 40.0, 1.5), 8.0, points=SEAT, duration=0.5)
    assert [bool(one) for one in table.reasons] == [k in (1, 4, 5) for k in range(8)]
    alone = drive(rig, rough_ground("D", 40.0, 1.5), 8.0, points=SEAT, duration=0.5)
    assert table.points[[0, 2, 3, 6, 7], 0, POINT.index("up_raw")] == pytest.approx([alone.points[0].up_raw] * 5)
