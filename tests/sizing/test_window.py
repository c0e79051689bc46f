"""The window's ends against closed forms, and what it says when it is shut."""

import re
from importlib.resources import files

import numpy as np
import pytest
from scipy.optimize import brentq

from springwright.errors import UnsolvedError
from springwright.evaluation import Evaluation
from springwright.motion.equilibrium import equilibrium
from springwright.motion.rig import stack
from springwright.questions.dynamic_requirements import full_window
from springwright.sizing.crossing_search import SOFTEST, STIFFEST, Ask, FigureAtFrequencies, scan
from springwright.sizing.frequency import softest_for_factor, stiffest_for_droop
from springwright.sizing.frequency_sweep import FrequencySweep
from springwright.sizing.rates import laws_of_state, state_loads
from springwright.sizing.sheet import size
from springwright.units import GRAVITY
from springwright.vehicle.assemble import assemble, own_springs, with_curve, without_stops
from springwright.vehicle.curves import spring_curve
from springwright.vehicle.file import load
from tests.build import axle, design_file, merged, vehicle

STIFF_TYRE = {"tyre": {"rate": "1e6 N/mm", "unloaded_radius": "0.4 m"}}


def sheet_of(limits=None, front=None, rear=None):
    axles = [axle("front", 0.0, **(front or {})), axle("rear", 2.5, **(rear or {}))]
    return size(design_file(vehicle(axles=axles, limits=limits or {})))


def test_load_factor_and_droop_ends_are_the_closed_forms():
    """f >= sqrt((n - 1) g / x_b) / 2 pi and f <= sqrt(g / x_d) / 2 pi for a straight spring at ratio 1."""
    window = sheet_of().windows[0]
    assert window.softest == pytest.approx(np.sqrt(0.7 * GRAVITY / 0.14) / (2 * np.pi), rel=1e-7)
    assert window.stiffest == pytest.approx(np.sqrt(GRAVITY / 0.13) / (2 * np.pi), rel=1e-7)
    assert softest_for_factor(1.7, 0.14) == pytest.approx(window.softest, rel=1e-7)
    assert stiffest_for_droop(0.13) == pytest.approx(window.stiffest, rel=1e-7)
    assert (window.bound_below, window.bound_above) == ("bump load factor", "preload at full droop")
    assert window.holds_target
    assert (
        window.sentence
        == "front: softer than 1.11 Hz, the bump load factor is under 1.70; stiffer than 1.38 Hz, the coil unseats at full droop."
    )


def carried(sheet, rise_front, rise_rear):
    """Load [N] that a rise of the axles of the empty vehicle takes from each rear wheel to each front one: the body lies over its wheel centres, 0.4 m up."""
    empty = sheet.states[0]
    nose = (rise_rear - rise_front) / 2.5
    return empty.sprung_mass * (empty.sprung_cg[2] - 0.4) * GRAVITY * np.sin(nose) / 2.5 / 2


def test_height_change_end_is_load_over_rate():
    """240 kg on the rear axle, stiff tyre: k >= dF / dx, dF with what pitching carries along, and f = sqrt(k / m) / 2 pi."""
    sheet = sheet_of({"height_change": "0.03 m"}, STIFF_TYRE, STIFF_TYRE)
    rear = next(one for one in sheet.windows[1].requirements if one.name.startswith("height"))
    front = 0.0
    for _ in range(30):
        moved = carried(sheet, front, 0.03)
        front = (30 * GRAVITY - moved) / sheet.rates[0].wheel_rate
    rate = (120 * GRAVITY + moved) / 0.03
    assert rear.allowed[0][0] == pytest.approx(np.sqrt(rate / sheet.rates[1].sprung_mass) / (2 * np.pi), rel=1e-4)
    assert rear.where == "empty to full"


def test_attitude_change_end_is_the_difference_of_heights():
    sheet = sheet_of({"attitude_change": "0.8 deg"}, STIFF_TYRE, STIFF_TYRE)
    rear = next(one for one in sheet.windows[1].requirements if one.name.startswith("attitude"))
    front_sinks = 0.0
    for _ in range(30):
        moved = carried(sheet, front_sinks, front_sinks + 2.5 * np.radians(0.8))
        front_sinks = (30 * GRAVITY - moved) / sheet.rates[0].wheel_rate
    rate = (120 * GRAVITY + moved) / (front_sinks + 2.5 * np.radians(0.8))
    assert rear.allowed[0][0] == pytest.approx(np.sqrt(rate / sheet.rates[1].sprung_mass) / (2 * np.pi), rel=1e-3)


def test_a_two_sided_requirement_is_found_whole():
    """Softening the front against a heavy rear load first evens the attitude, then tips it forward: two crossings."""
    sheet = sheet_of({"attitude_change": "0.4 deg"}, STIFF_TYRE, STIFF_TYRE)
    front = next(one for one in sheet.windows[0].requirements if one.name.startswith("attitude"))
    edges = [edge for band in front.allowed for edge in band if 0.3 < edge < 5]
    assert len(edges) == 2
    assert not front.monotone
    for edge in edges:
        front_sinks = rear_sinks = 0.0
        for _ in range(30):
            moved = carried(sheet, front_sinks, rear_sinks)
            front_sinks = (30 * GRAVITY - moved) / ((2 * np.pi * edge) ** 2 * sheet.rates[0].sprung_mass)
            rear_sinks = (120 * GRAVITY + moved) / sheet.rates[1].wheel_rate
        assert abs(front_sinks - rear_sinks) / 2.5 == pytest.approx(np.radians(0.4), rel=1e-3)


def test_shut_window_names_the_two_and_what_would_open_it():
    short = {"travel": {"bump": "0.08 m", "droop": "0.13 m"}}
    window = sheet_of(None, short).windows[0]
    assert window.softest is None
    soft, stiff = np.sqrt(0.7 * GRAVITY / 0.08) / (2 * np.pi), np.sqrt(GRAVITY / 0.13) / (2 * np.pi)
    assert soft > stiff
    assert f"wants {soft:.2f} Hz or more" in window.sentence
    assert f"wants {stiff:.2f} Hz or less" in window.sentence
    bump_wanted, droop_wanted = 0.7 * 0.13, 0.08 / 0.7
    factor = 1 + 0.08 / 0.13
    assert f"eased to {np.floor(factor * 100) / 100:.2f}" in window.sentence  # rounded to where it is met
    assert (
        f"{1e3 * bump_wanted + 1:.0f} mm of bump travel in place of 80 mm" in window.sentence
    )  # at 91.0 mm nothing is open yet
    assert f"{np.floor(1e3 * droop_wanted):.0f} mm of droop in place of 130 mm" in window.sentence


SHUT = {"travel": {"bump": "150 mm", "droop": "150 mm"}}


@pytest.mark.parametrize("acts", [1.0, 0.7])
def test_every_remedy_of_a_shut_window_opens_it_as_told(acts):
    """Straight springs at ratio 1: the end at the stop is (n - 1) g / x_b, that at droop g / x_d; so 2.2 wants 1.2 times 150 mm of bump."""
    shut = merged(SHUT, {"spring": {"acts": {"by": "ratio", "ratio": acts}}})
    told = sheet_of({"bump_load_factor": 2.2}, shut, shut).windows[0].sentence
    assert "no feasible range" in told
    bump, droop = (float(re.search(rf"(\d+) mm of {word}", told).group(1)) for word in ("bump travel", "droop"))
    eased = float(re.search(r"eased to ([\d.]+)", told).group(1))
    if acts == 1.0:
        assert bump == pytest.approx(180.0, abs=1.01)
        assert eased == pytest.approx(2.0, abs=0.0101)
    assert sheet_of({"bump_load_factor": eased}, shut, shut).windows[0].softest is not None
    for travel in ({"bump": f"{bump} mm"}, {"droop": f"{droop} mm"}):
        opened = sheet_of({"bump_load_factor": 2.2}, merged(shut, {"travel": travel}), shut).windows[0]
        assert opened.softest is not None, travel
    for travel in ({"bump": f"{bump - 2} mm"}, {"droop": f"{droop + 2} mm"}):
        assert sheet_of({"bump_load_factor": 2.2}, merged(shut, {"travel": travel}), shut).windows[0].softest is None, (
            travel
        )


def test_what_was_not_asked_is_not_known():
    window = sheet_of().windows[0]
    height = next(one for one in window.requirements if one.name.startswith("height"))
    assert height.limit is None
    assert height.note == "no limit given: not known"


def test_a_slack_coil_may_be_allowed():
    window = sheet_of({"preload_at_droop": False}).windows[0]
    assert window.stiffest == 5.0
    assert window.bound_above == ""
    assert "no governing limit so far at the stiff end" in window.sentence


FIRE_WATCH = files("springwright") / "demos" / "fire-watch.toml"
BOG_CARRIER = files("springwright") / "demos" / "bog-carrier.toml"


def trial_of(file, index):
    """A trial of one axle, and its Rigs one by one, the other axles on the springs of the sheet."""
    design, sheet = file.design, size(file)
    loads = np.array(sheet.design_loads)
    laws = tuple(one.law for one in sheet.springs)
    carried = np.array([state_loads(design, weight, loads) for weight in sheet.states])
    rigs = [
        without_stops(assemble(design, weight, laws_of_state(design, laws, each), loads))
        for weight, each in zip(sheet.states, carried, strict=True)
    ]
    return FrequencySweep(
        design.axles[index], index, sheet.states, stack(rigs), carried[:, index], float(loads[index])
    ), rigs


def one_by_one(trial, rigs, frequency):
    """The same rests from the slow solver, a Rig and a frequency at a time; None where a load state has none."""
    found = []
    for rig, law in zip(rigs, trial.laws(frequency), strict=True):
        try:
            changed = with_curve(rig, own_springs(rig, trial.index), spring_curve(trial.axle, law))
            found.append(equilibrium(changed))
        except UnsolvedError:
            return None
    return found


@pytest.mark.parametrize(("demo", "index"), [(FIRE_WATCH, 0), (FIRE_WATCH, 1), (BOG_CARRIER, 0), (BOG_CARRIER, 2)])
def test_rests_side_by_side_are_those_one_by_one(demo, index):
    """Coils and levelled air, and frequencies too soft to stand on."""
    trial, rigs = trial_of(load(demo), index)
    frequencies = np.geomspace(SOFTEST, STIFFEST, 9)
    many = trial.rests(frequencies)
    for i, frequency in enumerate(frequencies.tolist()):
        alone = one_by_one(trial, rigs, frequency)
        if alone is None:
            assert np.isnan(many.q[i]).all()
            continue
        assert many.q[i] == pytest.approx(np.array([rest.q for rest in alone]), abs=1e-9)
        assert many.travel[i] == pytest.approx(np.array([rest.travel for rest in alone]), abs=1e-9)
        assert many.wheel_loads[i] == pytest.approx(np.array([rest.wheel_loads for rest in alone]), rel=1e-7)


def test_ends_are_those_of_a_plain_search():
    """Height and attitude of the fire-watch truck, each end closed in on by single rests and a textbook root finder."""
    file = load(FIRE_WATCH)
    limits, checked = file.design.limits, 0
    for index, window in enumerate(size(file).windows):
        trial, rigs = trial_of(file, index)
        x = -trial.axle.behind_front_axle

        def height(frequency, trial=trial, rigs=rigs, x=x):
            rests = zip(rigs, one_by_one(trial, rigs, frequency), strict=True)
            return limits.height_change - np.ptp([rest.rise_at(rig, x) for rig, rest in rests])

        def attitude(frequency, trial=trial, rigs=rigs):
            return limits.attitude_change - np.ptp([rest.pitch for rest in one_by_one(trial, rigs, frequency)])

        # the window holds the other axle at its ideal spring, this twin at the fitted one: so compare through the same trial
        asks = [
            Ask(
                "height",
                "height",
                limits.height_change,
                "m",
                "length",
                "at most",
                trial.height_change,
                "",
                after=trial.rests,
            ),
            Ask("attitude", "attitude", limits.attitude_change, "rad", "angle", "at most", trial.attitude_change, ""),
        ]
        for one, twin in zip(scan(asks, window.target, lambda _: None), (height, attitude), strict=True):
            for edge in {edge for band in one.allowed for edge in band} - {SOFTEST, STIFFEST}:
                assert edge == pytest.approx(brentq(twin, 0.97 * edge, 1.03 * edge, xtol=1e-12), abs=1e-7)
                checked += 1
    assert checked >= 3


def made(figure, sense="at least", limit=0.0):
    """A requirement on a figure of the frequency alone."""
    return Ask("made", "made", limit, "", "ratio", sense, lambda f: FigureAtFrequencies(figure(f), [""] * len(f)), "")


@pytest.mark.parametrize(
    ("figure", "ends"),
    [
        (lambda f: np.abs(f - 1.3) - 0.2, [1.1, 1.5]),  # a kink between two ends
        (lambda f: np.where(f < 2, 1e-3, 1e3) * (f - 2), [2.0]),  # a kink at the end itself
        (lambda f: np.cbrt(f - 0.7), [0.7]),  # endlessly steep there
        (lambda f: (f - 3.0) ** 3, [3.0]),  # and endlessly flat
        (lambda f: np.where(f < 1, np.nan, 4 - f), [4.0]),  # no rest below 1 Hz
    ],
)
def test_a_scan_finds_ends_that_are_not_smooth(figure, ends):
    (found,) = scan([made(figure)], 1.2, lambda _: None)
    edges = sorted({edge for band in found.allowed for edge in band} - {SOFTEST, STIFFEST})
    assert edges[-len(ends) :] == pytest.approx(ends, abs=1e-6)


def test_what_has_no_limit_is_not_worked_out():
    def dear(_):
        raise AssertionError

    (found,) = scan([made(dear, limit=None)], 1.2, lambda _: None)
    assert found.limit is None
    assert found.allowed == ()


def test_a_full_window_can_be_stopped():
    class Stop(Exception):
        pass

    def say(word):
        if "shock" in word:
            raise Stop

    with pytest.raises(Stop):
        full_window(load(FIRE_WATCH), say)


def test_rests_of_the_last_edit_serve_where_nothing_else_has_changed():
    """A moved target, a moved load and a moved axle give the windows that a first look at the same design gives."""
    from springwright.vehicle.edits import changed

    file = load(str(files("springwright") / "demos" / "fire-watch.toml"))
    edits = [
        (("axles", 0, "target", "frequency"), "1.36 Hz"),
        (("axles", 0, "target", "frequency"), "1.33 Hz"),
        (("items", 0, "mass"), "260 kg"),
        (("axles", 1, "travel", "bump"), "108 mm"),
        (("axles", 1, "target", "frequency"), "1.5 Hz"),
        (("limits", "height_change"), "64 mm"),
    ]
    for edit in edits:
        file = changed(file, [edit])
        after = size(file).windows
        with Evaluation():
            anew = size(file).windows
        for one, alone in zip(after, anew, strict=True):
            assert one.sentence == alone.sentence
            assert (one.softest, one.stiffest) == pytest.approx((alone.softest, alone.stiffest), abs=5e-6)
            for need, same in zip(one.requirements, alone.requirements, strict=True):
                assert need.value == pytest.approx(same.value, rel=1e-9, abs=1e-9)
