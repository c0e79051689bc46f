"""Axles without pivot points drawn by their mounts' own dimensions."""

from __future__ import annotations

import numpy as np
import pytest

from springwright import load, size
from springwright.scenes.plain_joints import plain_joints
from tests.build import DEMOS


def test_lever_and_beam_are_drawn_where_their_dimensions_put_them():
    """Without pivot points the drawing follows the mount: seat distance, base, arm and lean, the lever as long over its whole travel."""
    file = load(DEMOS / "fire-watch.toml")
    axle = file.design.axles[1]
    acts = axle.spring.acts
    load_there = 9.80665 * size(file).design_loads[1]
    pairs, (still, bump, droop) = plain_joints(axle, load_there)
    assert still["wheel_centre"][2] == pytest.approx(axle.tyre.unloaded_radius - load_there / 2 / axle.tyre.rate)
    spring = still["spring top"] - still["spring foot"]
    assert np.linalg.norm(spring) == pytest.approx(axle.spring.installed_length, abs=1e-9)
    assert np.degrees(np.arctan2(spring[0], spring[2])) == pytest.approx(np.degrees(acts.lean), abs=1e-6)
    assert still["spring top"][1] - still["spring top right"][1] == pytest.approx(acts.base)
    for joints in (still, bump, droop):
        assert np.linalg.norm(joints["lever 0 end"] - joints["lever 0 pivot"]) == pytest.approx(acts.arm)
    assert bump["wheel_centre"][2] - droop["wheel_centre"][2] == pytest.approx(
        axle.travel.bump + axle.travel.stop_compression + axle.travel.droop
    )
    assert ("wheel_centre", "wheel_centre right") in pairs
