"""The shelf of what is usual: every row has its source, stands beside a field that is, and agrees with what the program itself goes by."""

from __future__ import annotations

import re

import pytest
from typer.testing import CliRunner

from builders import reference
from springwright.cli.main import app
from springwright.errors import InputError
from springwright.linkage.beam_links import BUSH_USUAL
from springwright.reference.shelf import beside, shelf, topic
from springwright.results import PRACTICE
from springwright.sizing.first_number import rate
from springwright.terrain.roughness import CLASSES
from springwright.units import displayed_in
from springwright.vehicle.design import Design

SOURCED = re.compile(r"ISO \d|Directive|Regulation|NHTSA|Wong|Gillespie|Giaraffa|Barton|Fancher|from memory")


def test_every_topic_that_is_asked_for_is_there():
    assert {one.name for one in shelf()} >= {
        "ride-frequency", "damping-ratio", "travel", "roll-gradient", "tyre-rate", "tyre-damping", "unsprung-share", "gyration", "cg-height",
        "bush-rate", "friction-on-ground", "roughness", "waviness", "seat-transmissibility", "exposure", "headlamp-aim",
    }  # fmt: skip


@pytest.mark.parametrize("one", shelf(), ids=lambda one: one.name)
def test_every_row_has_its_source_and_a_range(one):
    assert one.rows
    for row in one.rows:
        assert row.low <= row.high
        assert row.source == PRACTICE or SOURCED.search(row.source), row
        assert not (row.year and PRACTICE in row.source)
        assert row.written.startswith(("0", "1", "2", "3", "4", "5", "6", "7", "8", "9"))


@pytest.mark.parametrize("one", shelf(), ids=lambda one: one.name)
def test_every_field_is_one_of_the_design_file(one):
    schema = Design.model_json_schema()
    for field in one.fields:
        here = [schema]
        for step in field.split("."):
            here = [each for held in here for each in _within(held, step, schema)]
            assert here, field


def _within(held, step, schema):
    """What a key of a part of the schema may hold."""
    for each in _forms(held, schema):
        if step in each.get("properties", {}):
            yield from _forms(each["properties"][step], schema)


def _forms(held, schema):
    if "$ref" in held:
        held = schema["$defs"][held["$ref"].rpartition("/")[2]]
    for key in ("anyOf", "oneOf", "allOf"):
        for each in held.get(key, ()):
            yield from _forms(each, schema)
    if "items" in held and isinstance(held["items"], dict):
        yield from _forms(held["items"], schema)
    yield held


def test_it_agrees_with_what_the_program_goes_by():
    """ISO 8608: the class value is the geometric mean of its bounds; NHTSA: h/T is half of one over T/2h."""
    for letter, row in zip(CLASSES, topic("roughness").rows, strict=True):
        assert row.what.startswith(f"class {letter},")
        assert (row.low * row.high) ** 0.5 == pytest.approx(CLASSES[letter], rel=1e-9)
    (bush,) = topic("bush-rate").rows
    assert (bush.low, bush.high) == BUSH_USUAL
    for row in topic("cg-height").rows:
        if said := re.search(r"factor (\d\.\d+)", row.source):
            assert row.low - 0.005 <= 1 / (2 * float(said[1])) <= row.high + 0.005
    friction = {row.what: (row.low, row.high) for row in topic("friction-on-ground").rows}
    assert friction["gravel"] == (0.55, 0.60)  # sliding and peak, Wong table 1.3 after Taborek 1957


def test_a_first_number_is_placed_by_the_shelf():
    for row in topic("ride-frequency").rows[:3]:
        found = rate(1000.0, frequency=(row.low * row.high) ** 0.5)
        assert row.what in found.rides


def test_it_is_looked_up_in_any_units():
    assert topic("Tyre rate") is topic("tyre_rate")
    row = topic("tyre-rate").row("passenger car radial")
    assert topic("tyre-rate").usual(row) == "150 to 250 N/mm"
    with displayed_in("imperial"):
        assert topic("tyre-rate").usual(row) == "856.5 lbf/in to 1\u202f427.5 lbf/in"
    assert beside("axles.tyre.rate") is topic("tyre-rate")
    assert beside("vehicle.name") is None
    with pytest.raises(InputError, match='did you mean "tyre-rate"'):
        topic("tire rate")


def test_the_page_is_that_of_the_shelf():
    assert reference.PAGE.read_text() == reference.page(), "python -m builders.reference writes it anew"


def test_the_command():
    shown = CliRunner().invoke(app, ["reference"])
    assert shown.exit_code == 0
    assert all(one.name in shown.output for one in shelf())
    one = CliRunner().invoke(app, ["reference", "exposure"])
    assert "Directive 2002/44/EC" in one.output
    assert CliRunner().invoke(app, ["reference", "exposure", "--json"]).output.startswith("{")
