"""Springs in parallel at one wheel and springs unlike from side to side: rates, loads and rest by hand and by finite difference."""

import numpy as np
import pytest

from springwright.errors import InputError
from springwright.motion.equilibrium import equilibrium
from springwright.motion.forces import element_forces
from springwright.motion.rig import SPRING
from springwright.questions.prove import prove
from springwright.sizing.fitted import assemble
from springwright.sizing.part_results import part, part_names
from springwright.sizing.rates import wheel_force
from springwright.sizing.sheet import size
from tests.build import axle, design_file, vehicle

ATMOSPHERE = 101325.0
BELLOWS = {
    "name": "bellows", "acts": {"by": "lever", "arm": "0.5 m", "spring_at": "0.3 m", "lean": "8 deg"}, "installed_length": "0.2 m",
    "air": {"area": "60 cm**2", "area_slope": "12 mm", "volume": "1.8 L", "pressure": "1.5 bar", "bump_stroke": "120 mm", "droop_stroke": "120 mm"},
}  # fmt: skip
LEVER = {"by": "lever", "arm": "0.5 m", "spring_at": "0.42 m", "lean": "12 deg", "ratio": None}


def with_helper(helper, **changes):
    front = axle("front", 0.0, spring={"acts": LEVER}, helpers=[helper], **changes)
    return design_file(vehicle(axles=[front, axle("rear", 2.5)]))


def at_wheel(mount, x):
    """Length, ratio and slope of a lever's spring by plane geometry: the foot goes round the pivot, the top stands."""
    arm, at, lean, long = mount

    def length(z):
        angle = np.arcsin(z / arm)
        top = np.array([at - long * np.sin(lean), long * np.cos(lean)])
        return np.linalg.norm(top - at * np.array([np.cos(angle), np.sin(angle)]))

    h = 1e-4
    return (
        length(x),
        -(length(x + h) - length(x - h)) / (2 * h),
        -(length(x + h) - 2 * length(x) + length(x - h)) / h**2,
    )


def test_coil_and_bellows_add_up_at_the_wheel():
    """k = k_coil MR1^2 + F1 dMR1/dx + (n p A^2/V + p_g dA/dx) MR2^2 + F2 dMR2/dx, each through its own linkage."""
    file = with_helper(BELLOWS)
    sheet = size(file)
    rate, front = sheet.rates[0], file.design.axles[0]
    helper = at_wheel((0.5, 0.3, np.radians(8), 0.2), 0.0)
    own = at_wheel((0.5, 0.42, np.radians(12), 0.35), 0.0)
    exponent = front.helpers[0].air.exponent
    gas = exponent * (1.5e5 + ATMOSPHERE) * 60e-4**2 / 1.8e-3 + 1.5e5 * 12e-3
    push = 1.5e5 * 60e-4
    by_gas = gas * helper[1] ** 2 + push * helper[2]
    assert front.beside.heave == pytest.approx(by_gas, rel=2e-3)
    assert front.beside.force == pytest.approx(push * helper[1], rel=1e-5)
    coil_force = (rate.sprung_load - push * helper[1]) / own[1]
    assert rate.spring_force == pytest.approx(coil_force, rel=1e-5)
    assert rate.spring_rate == pytest.approx((rate.wheel_rate - by_gas - coil_force * own[2]) / own[1] ** 2, rel=2e-3)
    mass = rate.sprung_mass
    assert rate.wheel_rate == pytest.approx(mass * (2 * np.pi * 1.2) ** 2, rel=1e-6)


def test_the_rig_feels_the_helper():
    """Wheel rate by finite difference of the force along the true linkage, and of the Rig, is that of the sizing."""
    file = with_helper(BELLOWS)
    front, law = file.design.axles[0], size(file).springs[0].law
    h = 1e-3
    by_force = (wheel_force(front, law, h) - wheel_force(front, law, -h)) / (2 * h)
    rig = assemble(file, "full")

    def springs(x):
        travel = np.array([x, x, 0.0, 0.0])
        return element_forces(rig, rig.element_rows @ travel)[0] @ rig.element_rows

    by_rig = (springs(h) - springs(-h))[0] / (2 * h)
    assert by_rig == pytest.approx(by_force, rel=1e-3)
    assert by_rig == pytest.approx(size(file).rates[0].wheel_rate, rel=5e-3)


def test_a_helper_that_stands_clear_bears_late():
    """A coil 40 mm clear of its seat: nothing to 40 mm, its own rate from there; two coils, the target met by the first alone."""
    late = {"name": "late", "acts": {"by": "ratio", "ratio": 1.0}, "installed_length": "0.25 m", "existing": {"rate": "30 N/mm", "free_length": "250 mm", "solid_length": "90 mm"}, "clear": "40 mm"}  # fmt: skip
    file = with_helper(late)
    front, sheet = file.design.axles[0], size(file)
    assert front.beside.heave == 0.0
    law = sheet.springs[0].law
    plain = size(design_file(vehicle(axles=[axle("front", 0.0, spring={"acts": LEVER}), axle("rear", 2.5)])))
    assert sheet.rates[0].spring_rate == pytest.approx(plain.rates[0].spring_rate, rel=1e-9)
    alone = plain.springs[0].law
    bare = design_file(vehicle(axles=[axle("front", 0.0, spring={"acts": LEVER}), axle("rear", 2.5)])).design.axles[0]
    for x, more in ((0.02, 0.0), (0.06, 600.0), (0.10, 1800.0)):
        assert wheel_force(front, law, x) - wheel_force(bare, alone, x) == pytest.approx(more, abs=8.0)
    assert sheet.rates[0].bump_load_factor > plain.rates[0].bump_load_factor + 0.5
    assert sheet.windows[0].softest < plain.windows[0].softest


def test_helpers_are_told_ordered_and_judged():
    short = {"name": "short", "acts": {"by": "ratio", "ratio": 1.0}, "installed_length": "0.25 m", "existing": {"rate": "10 N/mm", "free_length": "300 mm", "solid_length": "120 mm"}}  # fmt: skip
    file = with_helper(short)
    sheet = size(file)
    (record,) = sheet.springs[0].helpers
    assert (record.kind, record.quantity) == ("helper short, coil spring", 2)
    assert {one.name: one.force for one in record.points}["ride"] == pytest.approx(500.0, rel=1e-6)
    assert record.judged[0].value == pytest.approx(0.25 - 0.14)
    assert record.judged[0].word == "not met"
    assert "front helper short" in part_names(file)
    assert part(file, "front helper short") == record
    figures = {one.measure: one for one in prove(file, ["fit"], sensitive=False).answers[0].figures}
    assert figures["length at full bump, helper short, coil spring, front"].word == "not met"


def test_a_helper_on_a_beam_acts_at_its_own_base():
    """Roll rate at a wheel: the coil's by its base squared over the track's, the helper's by its own."""
    own = {"acts": {"by": "beam", "ratio": None, "base": "1.0 m"}}
    bags = {"name": "bags", "acts": {"by": "beam", "base": "1.2 m"}, "installed_length": "0.25 m", "existing": {"rate": "12 N/mm", "free_length": "330 mm"}}  # fmt: skip
    beam = axle("rear", 2.5, kind="beam", roll_centre_height="400 mm", spring=own, helpers=[bags])
    rate = size(design_file(vehicle(axles=[axle("front", 0.0), beam]))).rates[1]
    coil = rate.wheel_rate - 12e3
    assert rate.roll_wheel_rate == pytest.approx(coil * (1.0 / 1.6) ** 2 + 12e3 * (1.2 / 1.6) ** 2, rel=1e-6)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"part": "x"}, "is for an axle's own spring"),
        ({}, "give the helper that is there"),
        (
            {"air": {"area": "60 cm**2", "volume": "2 L", "bump_stroke": "0.15 m", "droop_stroke": "0.15 m"}},
            "the gauge pressure of the helper",
        ),
        (
            {"existing": {"rate": "10 N/mm", "free_length": "0.3 m"}, "acts": {"by": "beam", "base": "1 m"}},
            "an independent axle takes",
        ),
    ],
)
def test_helpers_that_cannot_be_are_refused(changes, says):
    with pytest.raises(InputError) as caught:
        with_helper({"name": "h", "acts": {"by": "ratio", "ratio": 1.0}, "installed_length": "0.25 m", **changes})
    assert says in str(caught.value)
    assert 'axles[1] "front".helpers[1] "h"' in str(caught.value)


OWNED = {"existing": {"rate": "25 N/mm", "free_length": "480 mm", "solid_length": "150 mm"}}


def sided(**right):
    spring = {"acts": {"by": "ratio", "ratio": 0.8}, **OWNED, **({"right": right} if right else {})}
    return design_file(vehicle(axles=[axle("front", 0.0, target=None, spring=spring), axle("rear", 2.5)]))


def test_a_spacer_on_one_side():
    """10 mm more under the right spring: k s MR more at that wheel in the design position, and the body rolls to its left."""
    even, rig = assemble(sided()), assemble(sided(spacer="10 mm"))
    springs = np.flatnonzero(rig.element_kind == SPRING)
    more = (
        element_forces(rig, np.zeros(len(rig.element_rows)))[0]
        - element_forces(even, np.zeros(len(even.element_rows)))[0]
    )
    assert more[springs] == pytest.approx([0.0, 25e3 * 0.010 * 0.8, 0.0, 0.0], abs=0.01)
    assert equilibrium(even).roll == pytest.approx(0.0, abs=1e-9)
    assert equilibrium(rig).roll < -1e-3
    assert equilibrium(assemble(sided(spacer="-10 mm"))).roll == pytest.approx(-equilibrium(rig).roll, rel=0.05)


def test_a_spacer_under_both_lifts_by_the_rates():
    """k_s s MR / k_w at a wheel: 25 x 10 x 0.8 / 16 mm, the axle carrying the same load."""
    spring = {"acts": {"by": "ratio", "ratio": 0.8}, "existing": {**OWNED["existing"], "spacer": "10 mm"}}
    lifted = design_file(vehicle(axles=[axle("front", 0.0, target=None, spring=spring), axle("rear", 2.5)]))
    before, after = (equilibrium(assemble(one, "full")) for one in (sided(), lifted))
    fall = before.travel[0] - after.travel[0]
    moved = (after.wheel_loads[0] - before.wheel_loads[0]) / 16e3  # nose up, the body carries its weight back
    assert fall + moved == pytest.approx(25 * 10 * 0.8 / 16 * 1e-3, rel=2e-3)
    assert abs(moved) < 0.05 * fall


def test_a_spring_of_another_rate_and_length_on_the_right():
    rig = assemble(sided(rate="30 N/mm", free_length="470 mm"))
    springs = np.flatnonzero(rig.element_kind == SPRING)
    force, rate, _ = element_forces(rig, np.zeros(len(rig.element_rows)))
    assert force[springs][:2] == pytest.approx([25e3 * 0.13 * 0.8, 30e3 * 0.12 * 0.8], rel=1e-6)
    assert rate[springs][:2] == pytest.approx([25e3 * 0.64, 30e3 * 0.64], rel=1e-6)
    assert "the right one has rate 30" in size(sided(rate="30 N/mm")).springs[0].record.remarks[0]
    with pytest.raises(InputError, match="for the left one"):
        design_file(vehicle(axles=[axle("front", 0.0, spring={"right": {"rate": "30 N/mm"}}), axle("rear", 2.5)]))


def test_the_mirror_of_unlike_springs():
    """More under the right of both axles leans as much to the left as a load to the right would have to undo: twice it is twice."""
    one, two = (equilibrium(assemble(sided(spacer=f"{k} mm"), "empty")).roll for k in (4, 8))
    assert two == pytest.approx(2 * one, rel=0.02)


def test_sag_as_a_target():
    """90 mm of sag: the wheel rate is the sprung load over it, and the frequency that of a pendulum so long."""
    file = design_file(
        vehicle(axles=[axle("front", 0.0, target={"frequency": None, "sag": "90 mm"}), axle("rear", 2.5)])
    )
    rate = size(file).rates[0]
    assert rate.wheel_rate == pytest.approx(rate.sprung_load / 0.090, rel=1e-9)
    assert rate.static_deflection == pytest.approx(0.090, rel=1e-9)
    assert rate.frequency == pytest.approx(np.sqrt(9.80665 / 0.090) / (2 * np.pi), rel=1e-9)
    again = file.with_design(file.design)
    assert again.design.axles[0].target.sag == pytest.approx(0.090)
    for target, says in (
        ({"sag": "90 mm", "frequency": "2 Hz"}, "by the sag; keep one of them"),
        ({"sag": "90 mm", "frequency": None, "mass": "total mass"}, "is of the sprung load"),
        ({"sag": "-5 mm", "frequency": None}, "must be more than 0"),
    ):
        with pytest.raises(InputError, match=says):
            design_file(vehicle(axles=[axle("front", 0.0, target=target), axle("rear", 2.5)]))


def test_tyre_pressure_by_load_state():
    """Readings at 1 and 2 bar, 150 and 250 N/mm: at 1.5 bar half way, the wheel standing lower by load over rate."""
    rows = [[f"{p} bar", f"{k * x} N", f"{x} mm"] for p, k in ((1, 150), (2, 250)) for x in (10, 30, 60)]
    tyre = {"rate": None, "unloaded_radius": "0.4 m", "pressure": "2 bar", "readings": rows, "load_rating": "500 kg"}
    data = vehicle(axles=[axle("front", 0.0, tyre=tyre), axle("rear", 2.5)])
    soft = {
        **data,
        "states": [{"name": "empty", "tyre_pressure": {"front": "1.5 bar"}}, {"name": "full", "aboard": ["load"]}],
    }
    before, after = (assemble(design_file(one), "empty") for one in (data, soft))
    assert after.tyre_rate == pytest.approx([200e3, 200e3, 250e3, 250e3], rel=1e-6)
    rests = equilibrium(before), equilibrium(after)
    load = [one.wheel_loads[0] for one in rests]
    sunk = rests[0].q[4] - rests[1].q[4]
    assert sunk == pytest.approx(load[1] / 200e3 - load[0] / 250e3, rel=1e-6)
    assert assemble(design_file(soft), "full").tyre_rate == pytest.approx(np.full(4, 250e3), rel=1e-6)
    told = size(design_file(soft))
    front = told.rests[0].axles[0]
    assert front.frequency_with_tyre == pytest.approx(
        front.frequency_on_springs * np.sqrt(200e3 / (200e3 + front.wheel_rate)), rel=1e-6
    )
    assert any("front tyres at 1.50 bar, 200" in note for note in told.notes)


def test_tyre_pressures_that_cannot_be_told_are_refused():
    for pressure, tyre, says in (
        ({"middle": "1 bar"}, {}, "no such axle; there are front, rear"),
        ({"front": "1 bar"}, {}, "the tyre's rate there is not known"),
        ({"front": "1 furlong"}, {}, "such as"),
    ):
        data = vehicle(
            axles=[axle("front", 0.0, tyre=tyre), axle("rear", 2.5)],
            states=[{"name": "empty", "tyre_pressure": pressure}],
        )
        with pytest.raises(InputError, match=says):
            design_file(data)
    sized = {"size": "265/70R17", "pressure": "2 bar"}
    data = vehicle(
        axles=[axle("front", 0.0, tyre=sized), axle("rear", 2.5)],
        states=[{"name": "empty", "tyre_pressure": {"front": "1 bar"}}],
    )
    rates = assemble(design_file(data)).tyre_rate
    assert 100e3 < rates[0] < 200e3
    assert rates[2] == 250e3
