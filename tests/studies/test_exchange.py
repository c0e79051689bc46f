"""The exchange table: each row is what trying it gives; margins, signs, prices and tangents by hand; what cannot be stepped says why."""

from __future__ import annotations

import json

import jsonschema
import numpy as np
import pytest

from springwright.errors import InputError
from springwright.questions.prove import ask_briefly, prove
from springwright.report.trade import exchange_figure, exchange_section, signed
from springwright.sizing.fitted import sized
from springwright.studies.evaluator import evaluator
from springwright.studies.exchange import Cell, Column, Exchange, exchange, moved
from springwright.studies.gradients import Slopes, gradient, tangent
from springwright.studies.steps import steps_of
from springwright.vehicle.edits import changed
from springwright.vehicle.file import load
from tests.build import DEMOS
from tests.studies.test_evaluator import trucks


@pytest.fixture(scope="module")
def truck():
    return load(DEMOS / "fire-watch.toml")


@pytest.fixture(scope="module")
def table(truck):
    return exchange(truck)


def row(table, what):
    return next(one for one in table.rows if one.what == what)


def test_a_column_is_the_figure_that_decides_each_question(truck, table):
    told = prove(truck, sensitive=False)
    assert [one.question for one in table.columns] == [one.question for one in told.answers]
    for column, answer in zip(table.columns, told.answers, strict=True):
        assert (column.measure, column.value, column.limit) == (answer.deciding.measure, answer.deciding.value, answer.deciding.limit)  # fmt: skip


@pytest.mark.parametrize(
    "what", ["spring base, beam axles", "damping ratio", "frequency of front", "weight at pump and hose reel"]
)
def test_a_row_is_what_trying_it_gives(truck, table, what):
    step = next(one for one in steps_of(truck, sized(truck)) if one.what == what)
    other = changed(truck, step.changes)
    after = {answer.question: answer for answer in ask_briefly(other, [one.question for one in table.columns])}
    for column, cell in zip(table.columns, row(table, what).cells, strict=True):
        same = [one for one in after[column.question].figures if (one.measure, one.state, one.ground) == (column.measure, column.state, column.ground)]  # fmt: skip
        for one in same:  # where the same state and ground govern still
            assert cell.value == pytest.approx(one.value, rel=1e-9)
            assert cell.change == pytest.approx(one.value - column.value, abs=1e-12)
            assert cell.word == one.word


def test_margins_won_carry_their_sign_whatever_the_sense():
    at_most = Column("stand", "Stands", "roll", "roll", "", "", "ratio", "at most", 8.0, 10.0, 2.0, "", "", "met")
    at_least = Column("grip", "Grips", "load", "load", "", "", "ratio", "at least", 5.0, 4.0, 1.0, "", "", "met")
    missed = Column("fit", "Fits", "room", "room", "", "m", "length", "at least", 0.012, 0.020, -0.008, "", "", "not met")  # fmt: skip
    nil = Column("ride", "Rides", "seat", "seat", "", "", "ratio", "at most", 1.0, 1.0, 0.0, "", "", "close")
    assert (at_most.length, at_most.better) == (2.0, -1.0)
    assert (at_least.length, at_least.better) == (1.0, 1.0)
    assert missed.length == pytest.approx(0.008)
    assert nil.length == pytest.approx(0.01)  # a margin of nothing counts as 1 % of its limit
    assert moved(at_most, Cell(8.1, 0.1, -0.05, "met"))
    assert not moved(at_most, Cell(8.01, 0.01, -0.005, "met"))


def test_rows_stand_by_margins_won_less_lost(table):
    totals = [one.total for one in table.rows if one.total is not None]
    assert totals == sorted(totals, reverse=True)
    one = row(table, "spring base, beam axles")
    assert one.total == pytest.approx(sum(cell.won for cell in one.cells if cell.won is not None))
    stands = table.columns[2]
    cell = one.cells[2]
    assert cell.change < 0 < cell.won  # a wider base leans less, and that is won
    assert cell.won == pytest.approx(-cell.change / (stands.limit - stands.value))


def test_a_price_is_the_ratio_of_a_row(table):
    bar = row(table, "bar of rear")
    price = next(one for one in table.bargains if (one.gained, one.lost, one.by) == ("stand", "ride", "bar of rear"))
    assert price.rate == pytest.approx(bar.cells[0].change / -bar.cells[2].change)
    pairs = [(one.gained, one.lost) for one in table.bargains]
    for pair in set(pairs):
        rates = [one.rate for one, mine in zip(table.bargains, pairs, strict=True) if mine == pair]
        assert rates == sorted(rates)


def test_what_cannot_be_stepped_says_why(table):
    assert "compressed length" in row(table, "bump travel, all axles").why
    assert "no tyre size" in row(table, "tyre pressure, all axles").why
    told = exchange_section(table)
    assert any("tyre pressure, all axles" in note and "not tried" in note for note in told.figures)


def test_steps_are_as_large_as_the_file_says():
    file = trucks(trade={"steps": {"track": "80 mm", "damping_ratio": -0.1, "mass": "20 kg"}, "place": "load"})
    steps = {one.field: one for one in steps_of(file, sized(file))}
    other = changed(file, steps["track"].changes).design
    assert [axle.track for axle in other.axles] == pytest.approx([1.68, 1.68])
    other = changed(file, steps["damping_ratio"].changes).design
    assert [axle.target.damping_ratio for axle in other.axles] == pytest.approx([0.2, 0.2])
    other = changed(file, steps["mass"].changes).design
    assert [len(state.aboard) for state in other.states] == [1, 2]
    assert other.items[-1].xyz == pytest.approx(file.design.items[0].xyz)
    assert steps["mass"].what == "weight at load"


def test_a_coil_that_is_there_is_stepped_in_rate_and_keeps_its_force():
    file = trucks()
    sheet = sized(file)
    step = next(one for one in steps_of(file, sheet) if one.id == "frequency front")
    after = sized(changed(file, step.changes))
    assert after.springs[0].fitted.frequency == pytest.approx(sheet.springs[0].fitted.frequency + 0.1, rel=1e-9)
    assert after.springs[0].law.force == pytest.approx(sheet.springs[0].law.force, rel=1e-9)


def test_the_centre_of_gravity_comes_down_by_the_step():
    file = trucks()
    step = next(one for one in steps_of(file, sized(file)) if one.field == "cg_height")
    before, after = sized(file).states, sized(changed(file, step.changes)).states
    assert [one.cg[2] for one in after] == pytest.approx([one.cg[2] - 0.025 for one in before], abs=1e-9)


@pytest.mark.parametrize(
    ("trade", "said"),
    [
        ({"place": "nowhere"}, "no such item; there are load"),
        ({"steps": {"track": "0 mm"}}, "a step of nothing"),
        ({"steps": {"track": "50"}}, "unit"),
        ({"steps": {"tracks": "50 mm"}}, "no such key"),
        ({"stops": 1}, "no such key"),
    ],
)
def test_a_trade_table_that_cannot_be_is_refused(trade, said):
    with pytest.raises(InputError, match=said):
        exchange(trucks(trade=trade))


def test_the_exchange_by_gradients_is_that_of_a_smooth_model():
    """Two figures linear in three decisions, by hand: 1 of the first gained along (3, 4, 0) / 25 costs 2 x 3 / 25 of the second."""
    mean = np.array([[-3.0, 2.0], [-4.0, 0.0], [0.0, -1.0]])
    found = Slopes(("a", "b", "c"), (("a+", "a-"), ("b+", "b-"), ("c+", "c-")), ("roll_gradient", "load_variation"), mean, mean, mean, np.ones(2))  # fmt: skip
    told = tangent(found, "roll_gradient", "load_variation")
    assert told.rate == pytest.approx(2 * 3 / 25)
    assert told.by == ("b+", "a+")
    one, other = np.array([3.0, 4.0, 0.0]) / 5, np.array([-2.0, 0.0, 1.0]) / np.sqrt(5)
    way = (one + other) / np.linalg.norm(one + other)
    assert told.free_gained == pytest.approx(np.array([3.0, 4.0, 0.0]) @ way)
    assert told.free_lost == pytest.approx(np.array([-2.0, 0.0, 1.0]) @ way)


def test_gradients_against_differences_of_fourth_order():
    """Roll gradient and bump load factor by the damper-free decisions: central differences at a fifth against those of fourth order."""
    file = trucks()
    asked = ("roll_gradient", "height_change")
    found = gradient(file, asked)
    able = evaluator(file, (), asked)

    def at(times):
        steps = {one.what: one for one in steps_of(file, sized(file), times)}
        return able.of([able.variants.changed(steps[name].changes) for name in found.decisions]).figures

    fine = (8 * (at(0.1) - at(-0.1)) - (at(0.2) - at(-0.2))) / (12 * 0.1)
    scale = np.abs(fine).max(axis=0)
    np.testing.assert_allclose(found.mean / scale, fine / scale, atol=0.01)


def test_first_order_changes_add_up_to_a_joint_one():
    """A tenth of three steps together against the sum of their gradients."""
    file = trucks()
    found = gradient(file, ("roll_gradient",))
    able = evaluator(file, (), ("roll_gradient",))
    steps = {one.what: one for one in steps_of(file, sized(file), 0.1)}
    names = [one for one in ("track, all axles", "bar of front", "centre of gravity") if one in found.decisions]
    assert len(names) == 3
    joint = able.variants.changed([change for name in names for change in steps[name].changes])
    change = able.of([joint]).figures[0, 0] - found.value[0]
    assert change == pytest.approx(0.1 * sum(found.mean[found.decisions.index(name), 0] for name in names), rel=0.02)


def test_a_word_for_every_kind_of_change():
    assert signed(0.0123, "length") == "+12"
    assert signed(-0.02, "share") == "−2.0"
    assert signed(4.0, "temperature") == "+4.0"


def test_the_result_follows_its_schema_and_is_drawn(table):
    jsonschema.validate(table.to_json(), Exchange.schema())
    assert json.dumps(table.to_json())
    svg = exchange_figure(table).standalone()
    assert svg.count("Rides?") >= 1
    assert "f-shut" in svg


def test_ctrl_c_gives_the_rows_so_far():
    done = []

    def told(one):
        done.append(one)
        if len(done) == 2:
            raise KeyboardInterrupt

    found = exchange(trucks(), told=told)
    assert found.stopped
    assert len(found.rows) == 2
    assert "Stopped before the end" in exchange_section(found).says[-1]


def test_ctrl_c_at_the_gradients_keeps_the_rows():
    def stop(word):
        if word == "gradients":
            raise KeyboardInterrupt

    found = exchange(trucks(), progress=stop)
    assert found.stopped
    assert len(found.rows) > 8


def test_a_vehicle_without_limits_has_changes_and_no_margins():
    found = exchange(trucks())
    stands = next(one for one in found.columns if one.question == "stand")
    assert stands.limit is None
    assert stands.length is None
    assert any(row.cells and row.cells[2].change for row in found.rows)
    assert any("is not counted in all" in note for note in found.notes)
