"""The window's ends against closed forms, and what it says when it is shut."""

import numpy as np
import pytest

from springwright.sizing.frequency import softest_for_factor, stiffest_for_droop
from springwright.studies.sheet import size
from springwright.units import GRAVITY
from tests.build import axle, design_file, vehicle

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
    assert (window.bound_below, window.bound_above) == ("load factor at the stop", "coil pressed at full droop")
    assert window.holds_target
    assert (
        window.sentence
        == "front: softer than 1.11 Hz, the load factor at the stop is under 1.70; stiffer than 1.38 Hz, the coil hangs slack at full droop."
    )


def test_height_change_end_is_load_over_rate():
    """240 kg on the rear axle, stiff tyre, rigidly level front: k >= dF / dx, and f = sqrt(k / m) / 2 pi."""
    sheet = sheet_of({"height_change": "0.03 m"}, STIFF_TYRE, STIFF_TYRE)
    rear = next(one for one in sheet.windows[1].requirements if one.name.startswith("height"))
    rate = 120 * GRAVITY / 0.03
    assert rear.allowed[0][0] == pytest.approx(np.sqrt(rate / sheet.rates[1].sprung_mass) / (2 * np.pi), rel=1e-4)
    assert rear.where == "empty to full"


def test_attitude_change_end_is_the_difference_of_heights():
    sheet = sheet_of({"attitude_change": "0.8 deg"}, STIFF_TYRE, STIFF_TYRE)
    rear = next(one for one in sheet.windows[1].requirements if one.name.startswith("attitude"))
    front_sinks = 30 * GRAVITY / sheet.rates[0].wheel_rate
    rate = 120 * GRAVITY / (front_sinks + 2.5 * np.radians(0.8))
    assert rear.allowed[0][0] == pytest.approx(np.sqrt(rate / sheet.rates[1].sprung_mass) / (2 * np.pi), rel=1e-3)


def test_a_two_sided_requirement_is_found_whole():
    """Softening the front against a heavy rear load first evens the attitude, then tips it forward: two crossings."""
    sheet = sheet_of({"attitude_change": "0.4 deg"}, STIFF_TYRE, STIFF_TYRE)
    front = next(one for one in sheet.windows[0].requirements if one.name.startswith("attitude"))
    edges = [edge for band in front.allowed for edge in band if 0.3 < edge < 5]
    assert len(edges) == 2
    assert not front.monotone
    for edge in edges:
        front_sinks = 30 * GRAVITY / ((2 * np.pi * edge) ** 2 * sheet.rates[0].sprung_mass)
        rear_sinks = 120 * GRAVITY / sheet.rates[1].wheel_rate
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
    assert f"eased to {factor:.2f}" in window.sentence
    assert f"about {1e3 * bump_wanted:.0f} mm of bump travel in place of 80 mm" in window.sentence
    assert f"about {1e3 * droop_wanted:.0f} mm of droop in place of 130 mm" in window.sentence


def test_what_was_not_asked_is_not_known():
    window = sheet_of().windows[0]
    height = next(one for one in window.requirements if one.name.startswith("height"))
    assert height.limit is None
    assert height.note == "no limit given: not known"


def test_a_slack_coil_may_be_allowed():
    window = sheet_of({"coil_loaded_at_droop": False}).windows[0]
    assert window.stiffest == 5.0
    assert window.bound_above == ""
    assert "nothing asked so far binds the stiff end" in window.sentence
