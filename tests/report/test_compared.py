"""Two designs in pictures: the other's line is what it says itself, a design beside itself differs in nothing."""

from __future__ import annotations

import re

import numpy as np
import pytest

from springwright.drawing.windows_beside import AxleWindows, windows_beside
from springwright.questions.answer import Bound, Curve, Curves, Mark
from springwright.questions.prove import prove
from springwright.report.compared import ComparedDesign, compared_pictures, overlaid
from springwright.report.proof import curve_chart
from springwright.vehicle.file import load
from tests.build import DEMOS, axle, design_file, vehicle


def curves(x, **lines):
    return Curves("t", "a", "m", "length", tuple(x), "b", "N", "force", tuple(Curve(name, tuple(y)) for name, y in lines.items()))  # fmt: skip


def test_other_line_is_told_over_the_first_ones_places_and_not_beyond_its_own():
    mine, theirs = curves([0, 1, 2, 3], one=[0, 1, 2, 3]), curves([0, 2], one=[10.0, 30.0])
    found = overlaid(mine, [(theirs, "other")])
    assert [line.name for line in found.lines] == ["one", "other"]
    assert found.lines[1].values == (10.0, 20.0, 30.0, None)
    assert found.lines[1].beside == "one"


def test_line_that_matters_is_the_one_with_its_event_and_limits_stay():
    mine = curves([0, 1], one=[0, 1], two=[0, 2])
    mine = Curves(
        **{**mine.__dict__, "marks": (Mark("two", 0.5, "lifts"),), "bounds": (Bound("y", 1.0, True, "over"),)}
    )
    theirs = curves([0, 1], three=[5, 6])
    found = overlaid(mine, [(theirs, "other")])
    assert [line.name for line in found.lines] == ["two", "other: three"]
    assert found.bounds == mine.bounds
    assert len(found.marks) == 1


def test_design_beside_itself_is_as_high_and_has_one_window_twice():
    file = load(DEMOS / "fire-watch.toml")
    answers = {one.question: one for one in prove(file).answers}
    found = {one.name: one for one in compared_pictures(file, answers, [ComparedDesign("itself", file, answers)])}
    assert "as high at front, as high at rear" in found["beside-vehicle-0"].note
    assert {"beside-vehicle-0", "beside-windows", "beside-ride", "beside-grip", "beside-stand", "beside-land"} <= set(
        found
    )
    for one in found.values():
        assert "nan" not in one.drawing.svg()


def test_longer_springs_stand_higher_by_their_length():
    """Springs of one rate, 10 mm longer: it stands 10 mm higher at a ratio of 1."""

    def of(rate, free):
        spring = {"existing": {"rate": f"{rate} N/mm", "free_length": f"{free} mm"}}
        return design_file(vehicle(axles=[axle("front", 0.0, spring=spring), axle("rear", 2.5, spring=spring)]))

    (vehicle_picture, *_) = compared_pictures(of(45, 470), {}, [ComparedDesign("shorter", of(45, 460), {})])
    assert "10 mm higher at front, 10 mm higher at rear" in vehicle_picture.note


@pytest.mark.parametrize("ends", [(None, None, 1.2), (1.0, 1.5, 1.2), (1.2, 1.2, 1.2)])
def test_windows_are_drawn_whatever_is_open(ends):
    svg = windows_beside(
        "t", [AxleWindows("A" * 180, (ends, (0.9, 2.0, 1.1), None))], ("here", "B" * 60, "C"), 508.0
    ).svg()
    assert "nan" not in svg
    assert ">no such axle<" in svg
    assert svg.count('class="bold"') == 2 + (2 if ends[0] is not None else 0)
    assert np.isfinite(float(svg.split('width="')[1].split('"')[0]))


def test_up_to_four_stand_side_by_side_each_with_its_own_line():
    x = [0.0, 1.0]
    mine = curves(x, one=[0.0, 1.0])
    found = overlaid(mine, [(curves(x, one=[0.0, k]), name) for k, name in ((2.0, "b"), (3.0, "c"), (4.0, "d"))])
    assert [(line.name, line.values[1]) for line in found.lines] == [("one", 1.0), ("b", 2.0), ("c", 3.0), ("d", 4.0)]
    svg = curve_chart(found).svg()
    drawn = dict(re.findall(r'<path class="([^"]+)" data-line="(one|b|c|d)"', svg))
    assert len(drawn) == 4  # an ink each
