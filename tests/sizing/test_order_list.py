"""The order list: sums by hand, what is there already, what keeps a line open, and the same list as CSV and on a terminal."""

from __future__ import annotations

import csv
import io
import json

import jsonschema
import pytest

from springwright.drawing.order_parts import PAD, SCALE, part_drawing
from springwright.report.order_list import grouped, order_csv, order_section, state_of_order
from springwright.sizing.order_list import NO_MAKER, WEEK, OrderList, OrderShape, order_list
from springwright.vehicle.file import leniently, load
from tests.build import DEMOS, axle, design_file, vehicle

COIL = {"wire": "12 mm", "mean_diameter": "90 mm", "active_coils": 7, "free_length": "380 mm", "grade": "52CrMoV4"}
BAR = {"shape": {"diameter": "20 mm", "between": "600 mm", "arm": "300 mm"}, "motion_ratio": 0.7, "drop_link": "200 mm"}
DAMPER = {"acts": {"by": "ratio", "ratio": 0.9}, "length": "400 mm", "extended_length": "520 mm", "compressed_length": "260 mm"}  # fmt: skip


def listed(**front):
    return order_list(design_file(vehicle(axles=[axle("front", 0.0, **front), axle("rear", 2.5)])))


def line(found, part):
    return next(one for one in found.lines if one.part.startswith(part))


def test_sum_lead_time_and_words_of_the_demo_by_hand():
    """Two of EUR 118 and two of EUR 144, both in 21 days by their catalogue; eight lines without a maker."""
    found = order_list(load(DEMOS / "fire-watch.toml"))
    assert found.totals == {"EUR": 2 * 118 + 2 * 144}
    assert found.last.lead_time == 21 * 86400
    assert len(found.open) == 8
    says = state_of_order(found)
    assert says.startswith("Eight pieces, four lines, are ready for EUR 524, two lines of them without a price, the last of them here in three weeks.")  # fmt: skip
    assert says.endswith("so it is not an order yet.")


def test_words_where_nothing_and_where_all_is_decided():
    assert (
        state_of_order(order_list(load(DEMOS / "bog-carrier.toml")))
        == "Nothing is ready yet: nine lines are not decided."
    )
    assert state_of_order(OrderList("t", ())).startswith("Nothing is to be ordered")


def test_what_the_builder_was_told_goes_before_the_catalogue():
    data = load(DEMOS / "fire-watch.toml")
    text = data.text.replace("[axles.damper]", '[axles.damper]\nsupply = { maker = "Ellerby", price = 96.5, currency = "EUR", lead_time = "14 days" }', 1)  # fmt: skip
    assert text != data.text
    found = order_list(leniently(data.path, text))
    damper = line(found, "front damper")
    assert damper.ready
    assert damper.cost == pytest.approx(193.0)
    assert damper.lead_time == pytest.approx(2 * WEEK)
    assert found.totals == {"EUR": pytest.approx(524 + 193)}
    assert ("From Ellerby", "one letter, one line") in [group[:2] for group in grouped(found)]


def test_spring_that_is_there_is_not_ordered_and_two_a_wheel_are_four():
    there = listed(spring={"existing": {"rate": "40 N/mm", "free_length": "450 mm"}})
    assert not any(one.part.startswith("front") and "coil" in one.part for one in there.lines)
    helper = {"name": "old", "acts": {"by": "ratio", "ratio": 1.0}, "installed_length": "350 mm", "existing": {"rate": "8 N/mm", "free_length": "380 mm"}}  # fmt: skip
    assert not any("helper" in one.part for one in listed(helpers=[helper]).lines)
    double = listed(spring={"coil": COIL, "per_wheel": 2})
    assert line(double, "front coil").quantity == 4


def test_bar_and_its_drop_links_wait_for_a_maker_and_come_together():
    found = listed(bar=BAR, damper=DAMPER)
    assert line(found, "front bar").wanted == NO_MAKER
    assert line(found, "front drop link").wanted == NO_MAKER
    assert line(found, "front drop link").quantity == 2
    told = listed(bar={**BAR, "supply": {"maker": "own shop", "price": 236, "currency": "EUR", "lead_time": "35 days"}})
    assert line(told, "front bar").cost == 236
    assert line(told, "front drop link").ready
    assert line(told, "front drop link").lead_time == line(told, "front bar").lead_time
    short = listed(bar={key: value for key, value in BAR.items() if key != "drop_link"})
    assert "axles.bar.drop_link" in line(short, "front drop link").wanted


def test_part_without_what_it_is_ordered_by_says_which_field():
    assert "axles.bump_stop" in line(listed(), "front bump stop").wanted
    damper = {key: value for key, value in DAMPER.items() if key != "compressed_length"}
    told = listed(damper={**damper, "supply": {"maker": "Ellerby"}})
    assert "compressed_length" in line(told, "front damper").wanted


def test_json_csv_and_terminal_tell_the_same_lines():
    found = order_list(load(DEMOS / "fire-watch.toml"))
    jsonschema.validate(json.loads(json.dumps(found.to_json())), OrderList.schema())
    rows = list(csv.DictReader(io.StringIO(order_csv(found).split("\n", 2)[2].lstrip())))
    assert len(rows) == len(found.lines)
    assert sum(float(row["together"]) for row in rows if row["together"]) == 524
    section = order_section(found)
    assert sum(len(table.rows) for table in section.tables) == len(found.lines)


@pytest.mark.parametrize("form", ["coil", "bar", "damper", "rod", "stop", "ring"])
def test_parts_are_drawn_on_one_scale(form):
    """A part of half a metre is 86 px long; one too long for the column is drawn smaller, all of it."""
    import re

    for length, wanted in ((0.5, 0.5 * SCALE), (2.0, None)):
        shape = OrderShape(form, length, 0.1, 0.02, 7)
        svg = part_drawing(shape, form, "series-1").svg()
        width = float(re.search(r'width="([\d.]+)"', svg).group(1))
        points = [float(x) for d in re.findall(r' d="([^"]*)"', svg) for x in re.findall(r"[ML]([\d.-]+) ", d)]
        assert all(-0.1 <= x <= width + 0.1 for x in points)
        if wanted and form not in ("ring", "rod", "damper"):  # eyes stand over the ends of those
            assert max(points) - PAD == pytest.approx(wanted, rel=0.02)
