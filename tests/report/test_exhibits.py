"""The pictures of the answers as they are drawn: limits where they act, nothing off the sheet, the same in the report as on the page."""

from __future__ import annotations

import html
import json
import re
from dataclasses import replace

import numpy as np
import pytest

from springwright.drawing.limit_chart import FOOT, TALL, TOP, Event, Line, Shut, limit_chart, looked_at
from springwright.drawing.travel_panel import TravelCurve, TravelMark, travel_panel
from springwright.questions.answer import Curve, Curves
from springwright.questions.prove import prove
from springwright.report.exhibits import charts, exhibits, posed
from springwright.report.proof import curve_chart
from springwright.report.travel_panel import travel_figures
from springwright.sizing.fitted import sized
from springwright.sizing.wheel_force import wheel_forces
from springwright.units import displayed_in
from springwright.vehicle.file import load
from tests.build import DEMOS, axle, design_file, vehicle


def paths(drawing, look):
    return paths_of(drawing.svg(), look)


def paths_of(svg, look):
    found = re.findall(rf'<path class="{look}"[^>]* d="M([^"]*)"', svg)
    return [[tuple(float(x) for x in spot.split()) for spot in one.rstrip("Z").split("L")] for one in found]


def ramp(most):
    return [Line("one", np.array([0.0, 1.0, 2.0]), np.array([0.0, most / 2, most]), "series-1")]


def test_line_is_cut_where_it_leaves_over_the_top():
    """A limit of 1 keeps what is drawn within 1.8 of it: a line to 10 ends where it passes the top and not at the corner."""
    drawing = limit_chart("t", ramp(10.0), ("x", "y"), shut=[Shut("y", 1.0, True, "over 1")])
    (line,) = paths(drawing, "series-1")
    assert line[-1][1] == pytest.approx(TOP, abs=0.01)
    right = max(x for x, _ in paths(drawing, "ink")[0])
    assert line[-1][0] < right


def test_limit_is_drawn_at_its_height_and_shuts_what_lies_above():
    drawing = limit_chart("t", ramp(2.0), ("x", "y"), shut=[Shut("y", 1.0, True, "over 1")])
    (edge,) = paths(drawing, "bold")
    (line,) = paths(drawing, "series-1")
    assert edge[0][1] == pytest.approx(line[1][1], abs=0.02)  # the line is at 1 in its middle
    y, height = (float(one) for one in re.search(r'f-shut" x="[\d.]+" y="([\d.]+)" width="[\d.]+" height="([\d.]+)"', drawing.svg()).groups())  # fmt: skip
    assert y == pytest.approx(TOP, abs=0.01)
    assert y + height == pytest.approx(edge[0][1], abs=0.02)


def test_gate_lies_under_the_axis_and_the_event_goes_through_it():
    drawing = limit_chart("t", ramp(2.0), ("x", "y"), shut=[Shut("x", 1.0, False, "not before 1")], events=[Event(1.5, 1.5, "here", gated=True)])  # fmt: skip
    edge = paths(drawing, "bold")[0]
    assert min(y for _, y in edge) > TALL - FOOT
    (upright,) = paths(drawing, "dots")
    assert upright[0][0] == upright[1][0] > edge[0][0]
    assert ">here<" in drawing.svg()


def test_slope_limit_is_a_wedge_from_nought():
    drawing = limit_chart("t", ramp(2.0), ("x", "y"), shut=[Shut("slope", 1.0, True, "steeper")])
    edge = paths(drawing, "bold")[0]
    (line,) = paths(drawing, "series-1")
    assert edge[0] == pytest.approx(line[0], abs=0.02)
    assert edge[1] == pytest.approx(line[2], abs=0.02)  # the line's own slope


def test_nothing_known_and_single_values_are_drawn_without_a_fault():
    for y in ([np.nan, np.nan], [0.0, 0.0], [-1.0, -1.0], [1e-30, 1e-30], [np.nan, 3.0]):
        svg = limit_chart("t", [Line("", np.array([1.0, 2.0]), np.array(y), "series-1")], ("x", "y")).svg()
        assert "nan" not in svg
        assert "inf" not in svg


def test_temperatures_are_drawn_in_the_units_of_the_page():
    curves = Curves("t", "speed", "m/s", "speed", (1.0, 2.0), "warm", "K", "temperature", (Curve("a", (300.0, 400.0)),))
    assert "°C" in curve_chart(curves).svg()
    with displayed_in("imperial"):
        svg = curve_chart(curves).svg()
        assert "°F" in svg
        assert ">300<" in svg  # 400 K is 260 F: the scale goes past it


def test_fellow_line_is_dashed_in_its_own_ink():
    lines = (Curve("front left", (1.0, 2.0)), Curve("front right", (2.0, 1.0), "front left"), Curve("rear left", (1.0, 1.0)))  # fmt: skip
    curves = Curves("t", "height", "m", "length", (0.0, 1.0), "load", "N", "force", lines)
    svg = curve_chart(curves).svg()
    assert 'class="series-1 dashed"' in svg
    assert 'class="series-2"' in svg
    assert 'class="series-2 dashed"' not in svg


@pytest.mark.parametrize("name", ["fire-watch", "fire-watch-links", "fire-watch-leaves", "survey-buggy", "bog-carrier"])
@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_every_demo_has_its_pictures(name, system):
    """Each question has one at least; nothing is drawn at no place, and words stay on the sheet."""
    file = load(DEMOS / f"{name}.toml")
    with displayed_in(system):
        for answer in prove(file).answers:
            found = exhibits(file, answer)
            assert found, answer.question
            assert len({one.name for one in found}) == len(found)
            for one in found:
                svg = one.drawing.svg()
                assert "nan" not in svg, one.name
                assert "inf" not in re.sub(r"[a-z]*inf[a-z]+|[a-z]+inf", "", svg), one.name
                for look, x in re.findall(r'<text(?: class="([^"]*)")? x="(-?[\d.]+)"', svg):
                    assert -2 <= float(x) <= one.drawing.width + 2, (one.name, look)


def test_curves_are_told_by_the_answer_alone_and_poses_want_its_file():
    """An answer of an older design keeps its curves; poses of another vehicle would be a lie, and are made apart."""
    file = load(DEMOS / "fire-watch.toml")
    for answer in prove(file).answers:
        told, drawn = charts(answer), posed(file, answer)
        assert len(told) == len(answer.curves)
        assert all(one.figures for one in told)
        assert not any(one.figures for one in drawn)
        assert {one.name for one in exhibits(file, answer)} == {one.name for one in (*told, *drawn)}


# ---- along the travel ---------------------------------------------------------------------------------------------


def test_travel_panel_puts_each_name_at_its_height_and_each_value_where_it_is():
    """Heights by hand: 130 up to metal, 120 down, rest between; a curve that does not vary is a level line with one value."""
    x = np.linspace(-120.0, 130.0, 11)
    marks = [
        TravelMark(130.0, "metal", "bold"),
        TravelMark(-120.0, "full droop", "bold"),
        TravelMark(0.0, "Full", "strong"),
    ]
    curves = [TravelCurve("ratio", "", 0.9 + x / 1000, 3), TravelCurve("camber", "deg", np.full(11, 1e-12), 2)]
    svg = travel_panel("t", "Front", x, marks, curves, (-120.0, 130.0), "series-1", "mm").svg()
    lines = paths_of(svg, "series-1 thick")
    assert len(lines) == 2
    assert len({px for px, _ in lines[1]}) == 1
    for value in ("0.780", "0.900", "1.030"):
        assert f">{value}<" in svg
    assert svg.count(">0.00<") == 1
    low, high = lines[0][0][1], lines[0][-1][1]
    rest = next(y for (a, y), (b, z) in paths_of(svg, "hair") if y == z and b - a > 100)
    assert (low - rest) / (rest - high) == pytest.approx(120 / 130, rel=1e-3)
    assert ">Full  0<" in svg


@pytest.mark.parametrize("name", ["fire-watch", "fire-watch-links", "fire-watch-leaves", "survey-buggy", "bog-carrier"])
def test_every_axle_of_every_demo_has_its_travel_panel(name):
    file = load(DEMOS / f"{name}.toml")
    drawn = travel_figures(file)
    assert len(drawn) == len(file.design.axles)
    for one in drawn:
        svg = one.svg()
        assert "nan" not in svg
        assert "metal to metal" in svg
        for x in re.findall(r'<text(?: class="[^"]*")? x="(-?[\d.]+)"', svg):
            assert 0 <= float(x) <= one.width


@pytest.mark.parametrize("logarithmic", [False, True])
def test_a_part_of_a_chart_is_its_lines_between_two_places_on_a_scale_of_their_own(logarithmic):
    x = np.linspace(1.0, 10.0, 10)
    whole = [Line("one", x, x**2, "series-1"), Line("two", x, 20 - x, "series-2")]
    shut, ring = [Shut("y", 30.0, True, "most 30"), Shut("x", 9.0, False, "asked")], [Event(4.0, 16.0, "there"), Event(8.0, 64.0, "elsewhere")]  # fmt: skip
    drawn = limit_chart("t", whole, ("x", "y"), shut=shut, events=ring, logarithmic=logarithmic, part=(2.5, 5.5)).svg()
    axis = json.loads(
        html.unescape(re.search(r"data-x='([^']*)'|data-x=\"([^\"]*)\"", drawn)[0].split("=", 1)[1][1:-1])
    )
    ends = [10 ** axis[one] if logarithmic else axis[one] for one in ("low", "high")]
    assert ends == pytest.approx([2.5, 5.5])
    assert ">there<" in drawn
    assert ">elsewhere<" not in drawn
    assert ">shut: asked<" in drawn  # what is looked at lies before the gate: all of it is shut
    assert re.findall(r'class="soft middle"[^>]*>[^<]+<', drawn)  # ticks, on a scale by powers of ten too
    up = json.loads(html.unescape(re.search(r"data-y='([^']*)'|data-y=\"([^\"]*)\"", drawn)[0].split("=", 1)[1][1:-1]))
    box = json.loads(re.search(r'data-box="\[([^\]]*)\]"', drawn)[0][10:-1])
    line = re.search(r'data-line="one" d="M([^"]*)"', drawn)[1]
    first, last = ([float(one) for one in spot.split()] for spot in (line.split("L")[0], line.split("L")[-1]))
    value = [up["low"] + (up["high"] - up["low"]) * (box[3] - spot[1]) / (box[3] - box[1]) for spot in (first, last)]
    assert value == pytest.approx([6.5, 30.5], abs=0.1)  # half way between 4 and 9, and between 25 and 36
    assert (first[0], last[0]) == pytest.approx((box[0], box[2]), abs=0.1)


def test_the_curves_along_the_travel_are_those_that_are_asked_for():
    """A plain ratio of 0.8 that grows by 0.5 per metre under a spring of 60 N/mm: the wheel rate is K r^2 + F r', by hand."""
    spring = {"acts": {"ratio": 0.8, "progression": "0.5 1/m"}, "existing": {"rate": "60 N/mm", "free_length": "400 mm"}}  # fmt: skip
    file = design_file(vehicle(axles=[axle("front", 0.0, spring=spring, target=None), axle("rear", 2.5)]))
    drawn = travel_figures(file, wanted=("wheel rate", "camber", ""))[0].svg()
    force = 60.0 * (400 - 350)  # N, between seats that stand 350 mm apart
    assert f">{60 * 0.8**2 + force * 0.5 / 1000:.1f}<" in drawn
    heads = re.findall(r'class="strong" x="[\d.]+" y="12.00">([^<]*)<', drawn)
    assert heads == ["wheel rate", "camber", "motion ratio", "Front"]
    assert ">not known<" in drawn  # no points tell the camber


# ---- odd vehicles -------------------------------------------------------------------------------------------------


def told_of(data):
    file = design_file(data)
    return file, {one.question: one for one in prove(file).answers}


def test_any_name_of_a_load_state_and_axles_whose_names_begin_alike():
    """A name with a semicolon; "rear" and "rear 2": the axle drawn on the slope is the one whose wheel lifts."""
    data = vehicle(
        states=[{"name": "empty"}, {"name": "full; wet", "aboard": ["load"]}],
        axles=[axle("front", 0.0), axle("rear", 2.0), axle("rear 2", 3.0)],
    )
    file, answers = told_of(data)
    assert [one.name for one in exhibits(file, answers["grip"])][1] == "grip-axles"
    lifts = next(one for one in answers["stand"].figures if one.id == "side_slope")
    wheel = lifts.where.partition(", ")[2]
    slope = next(one for one in exhibits(file, answers["stand"]) if one.name == "stand-slope")
    assert 'class="dash"' in slope.drawing.svg(), wheel  # the wheel that lifts is on the axle that is drawn


@pytest.mark.parametrize("count", [2, 4, 6, 10])
def test_level_picture_has_room_for_every_axle_and_a_high_lamp(count):
    axles = [axle(f"axle number {k + 1}", 1.5 * k) for k in range(count)]
    data = vehicle(
        axles=axles,
        lamp={"behind_front_axle": "-0.5 m", "above_ground": "3 m"},
        kerb={"mass": "9000 kg", "behind_front_axle": f"{0.75 * (count - 1)} m"},
        items=[
            {"name": "load", "mass": "300 kg", "behind_front_axle": f"{0.75 * (count - 1)} m", "above_ground": "1.0 m"}
        ],
    )
    file, answers = told_of(data)
    (one,) = exhibits(file, answers["level"])
    svg = one.drawing.svg()
    assert all(float(r) > 0 for r in re.findall(r' r="(-?[\d.]+)"', svg))
    for x, y in re.findall(r'<text(?: class="[^"]*")? x="(-?[\d.]+)" y="(-?[\d.]+)"', svg):
        assert 0 <= float(x) <= one.drawing.width
        assert 0 <= float(y) <= one.drawing.height


def test_rest_stands_where_it_is_and_not_at_the_design_position():
    """A spring that is too soft for its load: at rest the wheel is well up its travel, in Fits as in the panel."""
    soft = {"existing": {"rate": "40 N/mm", "free_length": "560 mm"}}
    file, answers = told_of(vehicle(axles=[axle("front", 0.0, spring=soft), axle("rear", 2.5)]))
    travel = sized(file).rests[-1].axles[0].travel[0]
    assert abs(travel) > 0.01
    fits = exhibits(file, answers["fit"])[0].drawing.svg()
    ends = [float(x) for x in re.findall(r'<path class="bold" d="M([\d.]+) ', fits)]
    at = [float(x) for x in re.findall(r'<path class="hair" d="M([\d.]+) ', fits)]
    axle_ = file.design.axles[0]
    low, high = min(ends), max(ends)
    wanted = low + (high - low) * (travel + axle_.travel.droop) / (axle_.travel.droop + axle_.travel.bump + axle_.travel.stop_compression)  # fmt: skip
    assert any(abs(x - wanted) < 0.6 for x in at)


def test_inches_are_told_with_their_decimals():
    with displayed_in("imperial"):
        svg = exhibits(load(DEMOS / "fire-watch.toml"), next(one for one in prove(load(DEMOS / "fire-watch.toml")).answers if one.question == "fit"))[0].drawing.svg()  # fmt: skip
    assert ">0.35<" in svg or ">0.36<" in svg  # 9 mm


def test_a_part_stops_at_the_end_of_what_there_is_as_wide_as_it_was():
    x = np.linspace(0.0, 100.0, 11)
    line = [Line("one", x, x, "series-1")]
    assert looked_at(line, (75.0, 125.0), logarithmic=False) == pytest.approx((50.0, 100.0))
    assert looked_at(line, (-20.0, 10.0), logarithmic=False) == pytest.approx((0.0, 30.0))
    assert looked_at(line, (-20.0, 130.0), logarithmic=False) is None  # all of it


def test_the_wheel_rate_along_the_travel_has_no_spikes():
    """Where a stop's place falls on the grid of the curve but for rounding, two points were 1e-17 m apart."""
    file = load(DEMOS / "survey-buggy.toml")
    travel = {"bump": 0.075, "stop_compression": 0.055, "droop": 0.070}
    axles = tuple(one.model_copy(update={"travel": one.travel.model_copy(update=travel)}) for one in file.design.axles)
    file = replace(file, design=file.design.model_copy(update={"axles": axles}))
    for force in wheel_forces(file):
        slope = np.gradient(np.array(force.spring), np.array(force.travel))
        assert np.abs(np.diff(slope)).max() < 0.1 * slope.mean()
