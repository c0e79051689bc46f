"""An axle drawn as parts: they lie where its joints are, tyres stand on the ground, wheels at both ends of the travel are as far apart as it is."""

from __future__ import annotations

import re

import numpy as np
import pytest

from springwright.drawing.axle_parts import AxleLooks, tube, tyre_side
from springwright.drawing.linkage import links_drawing, views_of
from springwright.drawing.svg import Drawing
from springwright.report.geometry import geometry_figure, joints_of
from springwright.vehicle.file import load
from tests.build import DEMOS


def outlines(svg, look):
    found = re.findall(rf'<path class="{look}"[^>]* d="M([^"]*)Z"', svg)
    return [np.array([[float(x) for x in spot.split()] for spot in one.split("L")]) for one in found]


def test_tube_reaches_from_joint_to_joint_and_is_as_thick_as_said():
    sheet = Drawing(200, 100, "t")
    tube(sheet, (20.0, 50.0), (120.0, 50.0), 6.0)
    (outline,) = outlines(sheet.svg(), "ink")
    assert outline[:, 0].min() == pytest.approx(14.0, abs=0.02)
    assert outline[:, 0].max() == pytest.approx(126.0, abs=0.02)
    assert np.ptp(outline[:, 1]) == pytest.approx(12.0, abs=0.02)


def test_tyre_is_flat_on_the_ground_and_round_above_it():
    sheet = Drawing(200, 200, "t")
    tyre_side(sheet, (100.0, 90.0), 60.0, 145.0)
    (outline,) = outlines(sheet.svg(), "ink")
    assert outline[:, 1].max() == pytest.approx(145.0, abs=0.02)
    free = outline[outline[:, 1] < 144.9]
    assert np.hypot(free[:, 0] - 100, free[:, 1] - 90) == pytest.approx(60.0, abs=0.02)


@pytest.mark.parametrize(("name", "axle"), [("fire-watch", "front"), ("fire-watch-links", "rear"), ("survey-buggy", "front"), ("survey-buggy", "rear")])  # fmt: skip
def test_parts_lie_where_the_joints_are(name, axle):
    """Each link's outline begins and ends half its thickness beyond its joints as the views put them; ghosts are a travel apart."""
    file = load(DEMOS / f"{name}.toml")
    one = next(each for each in file.design.axles if each.name == axle)
    pairs, positions = joints_of(file, axle)
    views = views_of(positions, one.tyre.unloaded_radius, beam=one.kind == "beam")
    drawn = links_drawing("t", pairs, positions, one.tyre.unloaded_radius, AxleLooks(0.2), beam=one.kind == "beam")
    svg = drawn.svg()
    tubes = outlines(svg, "ink")
    for begin, end in pairs:
        a, b = (np.array(views.behind(positions[0][joint])) for joint in (begin, end))
        if np.hypot(*(b - a)) < 1:
            continue
        middle = (a + b) / 2
        assert any(np.allclose(outline.mean(axis=0), middle, atol=0.6) for outline in tubes), (begin, end)
    rings = [float(y) for y in re.findall(r'<circle class="dash" cx="[\d.-]+" cy="([\d.-]+)"', svg)]
    apart = abs(positions[1]["wheel_centre"][2] - positions[2]["wheel_centre"][2])
    assert abs(rings[0] - rings[1]) == pytest.approx(views.scale * apart, abs=0.05)


def test_plan_is_drawn_only_where_there_are_links():
    plain, linked = (geometry_figure(load(DEMOS / f"{name}.toml"), "front") for name in ("fire-watch", "fire-watch-links"))  # fmt: skip
    assert "from above" not in plain.svg()
    assert "from above" in linked.svg()
    assert plain.height < linked.height
