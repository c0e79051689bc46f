"""Build spread: shares of known models, indices of a known function through the same library, what is built wrong on purpose."""

from __future__ import annotations

import json

import jsonschema
import numpy as np
import pytest
from scipy.stats import norm

from springwright.errors import InputError
from springwright.motion.equilibrium import equilibria
from springwright.motion.modes import modes, roll_damping, roll_dampings
from springwright.motion.rig import stack
from springwright.questions.prove import make_ready
from springwright.report.spread import spread_figure, spread_section
from springwright.sizing.fitted import sized
from springwright.studies.evaluator import evaluator
from springwright.studies.setting import Sought
from springwright.studies.spread import BuildSpread, _points, indices, met, spread, wilson
from springwright.studies.tolerant import built, tolerances_of
from springwright.vehicle.assemble import with_damping
from springwright.vehicle.edits import changed
from springwright.vehicle.file import load
from tests.build import DEMOS
from tests.studies.test_evaluator import trucks


def test_the_interval_of_a_share():
    """Wilson: 881 of 1000 at 95 % lies between 0.8595 and 0.8996 (shared list of checks, recomputed)."""
    found = wilson(881, 1000)
    assert (found.share, found.low, found.high) == pytest.approx((0.881, 0.8595, 0.8996), abs=1e-4)
    assert wilson(0, 10).low == 0
    assert wilson(10, 10).high == pytest.approx(1.0)


def test_a_limit_two_deviations_off_is_met_by_97_72_per_cent():
    """A linear model of five normal inputs with its limit two standard deviations from its mean (normal distribution, table value 0.97725)."""
    weights = np.array([3.0, -1.0, 2.0, 0.5, 1.0])
    points = _points(5, 4096, 1)
    values = points @ weights
    limit = 2 * float(np.linalg.norm(weights))
    held = [Sought("x", "x", "", "ratio", "at most", limit)]
    assert met(values[:, None], held).mean() == pytest.approx(0.97725, abs=0.002)
    assert met(-values[:, None], [Sought("x", "x", "", "ratio", "at least", -limit)]).mean() == pytest.approx(
        0.97725, abs=0.002
    )


def test_sobol_points_against_plain_draws():
    """The share by scrambled Sobol points lies in the interval of as many plain random draws."""
    rng = np.random.default_rng(3)
    draws = rng.normal(size=(4096, 4))
    share = (draws.sum(axis=1) < 1.5).sum()
    found = wilson(int(share), 4096)
    ours = (_points(4, 4096, 2).sum(axis=1) < 1.5).mean()
    assert found.low <= ours <= found.high
    assert ours == pytest.approx(norm.cdf(1.5 / 2), abs=0.004)


def test_indices_of_the_ishigami_function():
    """S1 0.31391, 0.44241, 0; ST 0.55759, 0.44241, 0.24368 for a = 7, b = 0.1 on +-pi (Ishigami, Homma 1990; closed form).

    Our inputs are normal: they are brought to the function's even ones through their distribution.
    """
    width = np.array([0.1, 2.0, 5.0])

    def ishigami(off):
        x = np.pi * (2 * norm.cdf(off / width) - 1)
        return (np.sin(x[:, 0]) + 7 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0]))[:, None]

    (told,) = indices(ishigami, ["a", "b", "c"], width, 4096, 1)
    assert told["S1"] == pytest.approx([0.31391, 0.44241, 0.0], abs=0.02)
    assert told["ST"] == pytest.approx([0.55759, 0.44241, 0.24368], abs=0.02)
    assert (told["S1_conf"] > 0).all()
    known = np.array([0.31391, 0.44241, 0.0])
    assert (np.abs(told["S1"] - known) < 2 * told["S1_conf"]).all()


def test_indices_of_a_sum_are_shares_of_its_variance():
    width = np.array([0.02, 0.01])
    (told,) = indices(lambda off: 5 + off[:, :1] * 3 + off[:, 1:] * 4, ["a", "b"], width, 1024, 1)
    shares = np.array([(3 * 0.02) ** 2, (4 * 0.01) ** 2])
    assert told["S1"] == pytest.approx(shares / shares.sum(), abs=0.02)
    assert told["ST"] == pytest.approx(shares / shares.sum(), abs=0.02)


def test_a_build_off_by_nothing_is_the_drawing():
    file = load(DEMOS / "fire-watch.toml")
    sheet, ready = sized(file), make_ready(file)
    kinds = tolerances_of(file.design, sheet)
    made = built(file.design, sheet, kinds, [0.0] * len(kinds))
    for rig, at in zip(made.rigs, ready.states, strict=True):
        for name in ("sprung_mass", "sprung_cg", "element_force", "tyre_rate", "damper_force", "friction"):
            np.testing.assert_allclose(getattr(rig, name), getattr(at.rig, name), rtol=1e-12, err_msg=name)


@pytest.mark.parametrize("name", ["fire-watch", "fire-watch-leaves", "survey-buggy", "bog-carrier"])
def test_a_build_off_by_next_to_nothing_is_next_to_the_drawing(name):
    """Levelling, friction and lead of a leaf, the quick rate of a gas: whatever a law does besides, the spring as built does too."""
    file = load(DEMOS / f"{name}.toml")
    sheet = sized(file)
    kinds = tolerances_of(file.design, sheet)
    able = evaluator(file, (), ["roll_gradient", "bump_load_factor", "height_change", "attitude_change", "frequency_change", "weighted_acceleration"])  # fmt: skip
    drawn, off = able.of([built(file.design, sheet, kinds, [share] * len(kinds)) for share in (0.0, 1e-9)]).figures
    assert off == pytest.approx(drawn, rel=2e-6)


def test_a_levelled_spring_of_another_rate_is_levelled_still():
    file = load(DEMOS / "bog-carrier.toml")
    sheet = sized(file)
    kinds = tolerances_of(file.design, sheet)
    able = evaluator(file, (), ["height_change"])
    stiff = [0.04 if one.what == "spring_rate" else 0.0 for one in kinds]
    drawn, off = able.of([built(file.design, sheet, kinds, share) for share in ([0.0] * len(kinds), stiff)]).figures[
        :, 0
    ]
    assert off == pytest.approx(drawn, rel=0.1)


def test_a_stiffer_tyre_stands_higher():
    file = trucks()
    sheet = sized(file)
    kinds = tolerances_of(file.design, sheet)
    made = built(file.design, sheet, kinds, [0.08 if one.what == "tyre_rate" else 0.0 for one in kinds])
    drawn = built(file.design, sheet, kinds, [0.0] * len(kinds))
    up = equilibria(made.rigs[-1]).q[0] - equilibria(drawn.rigs[-1]).q[0]
    load = 9.80665 * sheet.states[-1].mass / 4
    assert up[0] == pytest.approx(load / 250e3 - load / 270e3, rel=0.1)


def test_what_is_built_wrong_is_what_the_design_would_be():
    """Springs and tyres off by a share against the design written so; a coil 2 % long stands as one of that free length."""
    file = trucks()
    sheet = sized(file)
    kinds = tolerances_of(file.design, sheet)
    off = {
        ("spring_rate", 0): 0.04,
        ("free_length", 1): -0.01,
        ("tyre_rate", 1): 0.06,
        ("damping", 0): -0.08,
        ("mass", -1): 0.0,
    }
    made = built(file.design, sheet, kinds, [off.get((one.what, one.axle), 0.0) for one in kinds])
    written = changed(
        file,
        [
            (("axles", 0, "spring", "existing", "rate"), "33.28 N/mm"),
            (("axles", 1, "spring", "existing", "free_length"), "0.495 m"),
            (("axles", 1, "tyre", "rate"), "265 N/mm"),
        ],
    )
    for rig, at in zip(made.rigs, make_ready(written).states, strict=True):
        for name in ("element_start", "element_step", "tyre_rate", "sprung_mass"):
            np.testing.assert_allclose(getattr(rig, name), getattr(at.rig, name), rtol=1e-9, err_msg=name)
        np.testing.assert_allclose(rig.element_force, at.rig.element_force, rtol=1e-9, atol=1e-6)
        front = rig.damper_axle == 0
        np.testing.assert_allclose(rig.damper_force[front], 0.92 * at.rig.damper_force[front], rtol=1e-9)


def test_a_heavier_build_carries_more_and_its_centre_is_where_it_was():
    file = trucks()
    sheet = sized(file)
    kinds = tolerances_of(file.design, sheet)
    off = [{"mass": 0.03, "cg_height": 0.02}.get(one.what, 0.0) for one in kinds]
    made = built(file.design, sheet, kinds, off)
    for one, drawn in zip(made.weights, sheet.states, strict=True):
        assert one.mass == pytest.approx(1.03 * drawn.mass)
        assert one.cg[2] == pytest.approx(1.02 * drawn.cg[2])
        unsprung = drawn.mass - drawn.sprung_mass
        assert one.mass - one.sprung_mass == pytest.approx(unsprung)
        # moments of all that is sprung and of all that is not add up to the vehicle's, and what is unsprung is as drawn
        low = drawn.mass * np.array(drawn.cg) - drawn.sprung_mass * np.array(drawn.sprung_cg)
        np.testing.assert_allclose(
            one.sprung_mass * np.array(one.sprung_cg) + low, one.mass * np.array(one.cg), rtol=1e-12
        )


def test_roll_damping_is_that_of_the_modes():
    for name in ("fire-watch", "bog-carrier", "survey-buggy"):
        for at in make_ready(load(DEMOS / f"{name}.toml")).states:
            told = next((one.damping_ratio for one in modes(at.rig, at.rest, damped=True) if one.kind == "roll"), None)
            assert roll_damping(at.rig, at.rest) == (told if told is None else pytest.approx(told, rel=1e-12))


@pytest.mark.parametrize("times", [0.0, 1.0, 6.0])  # dampers gone, as drawn, and so strong that modes swing no more
def test_roll_damping_of_many_is_that_of_each(times):
    for name in ("fire-watch", "bog-carrier", "survey-buggy"):
        rigs = [with_damping(at.rig, 0, times) for at in make_ready(load(DEMOS / f"{name}.toml")).states]
        rests = equilibria(stack(rigs))
        each = [roll_damping(rig, rests.of(r, rig)) for r, rig in enumerate(rigs)]
        told = roll_dampings(stack(rigs), rests)
        assert told == pytest.approx([np.nan if one is None else one for one in each], rel=1e-9, abs=1e-9, nan_ok=True)


@pytest.fixture(scope="module")
def found():
    file = trucks(limits={"roll_gradient": "10.5 deg/g", "seat_acceleration": "2 m/s**2", "height_change": "60 mm"})
    return spread(file, builds=256, base=32)


def test_shares_are_counts_of_builds(found):
    assert found.builds == 256
    assert 0 <= found.met.low <= found.met.share <= found.met.high <= 1
    assert sum(count for _, count in found.fails) == round((1 - found.met.share) * 256)
    for one in found.figures:
        assert sum(one.counts) in (0, 256)
        assert one.low <= one.middle <= one.high
        if one.met is not None:
            assert one.met.share >= found.met.share - 1e-12


def test_the_height_of_the_centre_of_gravity_is_to_blame_for_the_lean(found):
    lean = next(one for one in found.figures if one.id == "roll_gradient")
    assert lean.blame[0].tolerance in (
        "height of the centre of gravity",
        "mass",
        "spring rate rear",
        "spring rate front",
    )
    assert found.sampled == 32 * (len(found.tolerances) + 2)


def test_a_tighter_tolerance_holds_no_fewer(found):
    for one in found.tighter:
        assert one.met.high >= found.met.low
        assert all(to > 0 for to in one.to)


def test_more_processes_build_the_same_to_the_last_bit():
    file = trucks(limits={"roll_gradient": "10.5 deg/g"})
    one, two = (spread(file, builds=64, base=0, workers=count) for count in (1, 2))
    assert [held.counts for held in one.figures] == [held.counts for held in two.figures]
    assert [held.high for held in one.figures] == [held.high for held in two.figures]


def test_the_same_seed_builds_the_same(found):
    file = trucks(limits={"roll_gradient": "10.5 deg/g", "seat_acceleration": "2 m/s**2", "height_change": "60 mm"})
    again = spread(file, builds=256, base=0)
    assert again.met == found.met
    assert [one.middle for one in again.figures] == [one.middle for one in found.figures]


def test_tolerances_are_those_of_the_orders_or_the_builders():
    own = trucks(tolerances={"damping": "5 %", "spring_rate": "3 %", "mass": "0 %"})
    kinds = {one.name: one for one in tolerances_of(own.design, sized(own))}
    assert kinds["damping front"].share == pytest.approx(0.05)
    assert kinds["damping front"].origin == "yours"
    assert kinds["spring rate rear"].share == pytest.approx(0.03)
    assert "EN 15800" in kinds["free length front"].origin
    assert "mass" not in kinds
    with pytest.raises(InputError, match="no such key"):
        trucks(tolerances={"wire": "5 %"})
    with pytest.raises(InputError, match=r"tolerances\.damping"):
        trucks(tolerances={"damping": "150 %"})


def test_ctrl_c_keeps_the_shares():
    file = trucks(limits={"roll_gradient": "10.5 deg/g"})

    def stop(word):
        if word.startswith("which to blame"):
            raise KeyboardInterrupt

    found = spread(file, builds=64, base=32, progress=stop)
    assert found.stopped
    assert found.figures[0].counts
    assert "Stopped before the end" in spread_section(found).says[-1]


def test_the_result_follows_its_schema_is_told_and_drawn(found):
    jsonschema.validate(json.loads(json.dumps(found.to_json())), BuildSpread.schema())
    assert f"of {found.builds} meet every limit" in spread_figure(found).standalone()
    assert len(found.to_dataframe()) == len(found.figures)


def test_no_limits_are_refused():
    with pytest.raises(InputError, match="no limit is set"):
        spread(trucks(), builds=16, base=0)
