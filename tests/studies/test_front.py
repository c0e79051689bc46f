"""The front: the driver on functions whose front is known, a front against one enumerated on a grid, limits, resuming, keeping, bad input."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time

import jsonschema
import numpy as np
import pytest

from springwright.errors import InputError
from springwright.questions.prove import ask_briefly
from springwright.report.front import front_csv, front_section
from springwright.report.front_pictures import front_figure
from springwright.sizing.fitted import sized
from springwright.studies import helpers as helping
from springwright.studies.candidates import check_place, pick, written_as
from springwright.studies.decisions import told_changes
from springwright.studies.front import front
from springwright.studies.front_results import Front
from springwright.studies.search import Tried, grid, hypervolume, knee_of, search, unbettered
from springwright.studies.setting import search_decisions
from springwright.vehicle.edits import changed
from springwright.vehicle.file import load
from tests.build import DEMOS
from tests.studies.test_evaluator import trucks


def free(x):
    return x


def test_zdt1_through_the_driver():
    """ZDT1: f2 = 1 - sqrt(f1), hypervolume 2/3 to the corner (1, 1) (Zitzler, Deb, Thiele 2000; closed form, from the shared list)."""

    def zdt1(x):
        g = 1 + 9 * x[:, 1:].mean(axis=1)
        return Tried(np.stack([x[:, 0], g * (1 - np.sqrt(x[:, 0] / g))], axis=1), np.zeros((len(x), 0)))

    found = search(zdt1, np.zeros(5), np.ones(5), free, objectives=2, limits=0, most=8000, seed=1)
    points = np.array(found.objectives)
    assert hypervolume(points[unbettered(points)], np.zeros(2), np.ones(2)) == pytest.approx(2 / 3, rel=0.01)


def test_dtlz2_through_the_driver():
    """DTLZ2: the front is the positive part of the unit sphere (Deb, Thiele, Laumanns, Zitzler 2005; from the shared list)."""

    def dtlz2(x):
        g = ((x[:, 2:] - 0.5) ** 2).sum(axis=1)
        c, s = np.cos(x * np.pi / 2), np.sin(x * np.pi / 2)
        f = np.stack([c[:, 0] * c[:, 1], c[:, 0] * s[:, 1], s[:, 0]], axis=1)
        return Tried((1 + g)[:, None] * f, np.zeros((len(x), 0)))

    found = search(dtlz2, np.zeros(6), np.ones(6), free, objectives=3, limits=0, most=8000, seed=1)
    points = np.array(found.objectives)
    distance = np.linalg.norm(points[unbettered(points)], axis=1)
    assert np.median(distance) == pytest.approx(1.0, abs=0.005)
    assert np.percentile(distance, 95) < 1.02
    # an eighth of a ball is left unbettered of the unit box
    assert hypervolume(points[unbettered(points)], np.zeros(3), np.ones(3)) == pytest.approx(1 - np.pi / 6, rel=0.06)


def test_limits_are_kept_and_the_same_seed_asks_the_same():
    def both(x):
        return Tried(np.stack([x[:, 0], 1 - x[:, 0] + x[:, 1]], axis=1), np.stack([0.4 - x[:, 0]], axis=1))

    def snap(x):
        return np.round(x * 50) / 50

    one, two = (search(both, np.zeros(2), np.ones(2), snap, objectives=2, limits=1, most=600, seed=3) for _ in range(2))
    assert np.array_equal(one.values, two.values)
    points, missed = np.array(one.objectives), np.array(one.missed)[:, 0]
    best = points[missed <= 0][unbettered(points[missed <= 0])]
    assert best[:, 0].min() == pytest.approx(0.4)
    assert np.allclose(best.sum(axis=1), 1.0)


def test_of_many_objectives_and_missed_limits_too_the_seed_decides_all():
    """Where both of two designs miss their limits by the same, the library's own choice has no seed; ours has."""

    def many(x):
        return Tried(np.stack([x[:, 0], x[:, 1], 1 - x[:, 0] * x[:, 1]], axis=1), np.ones((len(x), 1)))

    one, two = (search(many, np.zeros(2), np.ones(2), free, objectives=3, limits=1, most=400, seed=5) for _ in range(2))
    assert np.array_equal(one.values, two.values)


def test_knee_and_hypervolume_by_hand():
    corner = np.array([[0.0, 1.0], [0.2, 0.2], [1.0, 0.0]])
    assert knee_of(corner) == 1
    assert knee_of(np.array([[0.0, 1.0], [0.5, 0.5], [1.0, 0.0]])) is None
    assert knee_of(corner[:2]) is None
    assert hypervolume(np.array([[0.25, 0.5]]), np.zeros(2), np.ones(2)) == pytest.approx(0.375)
    assert unbettered(np.array([[1.0, 1.0], [1.0, 1.0], [0.0, 2.0], [2.0, 2.0]])).tolist() == [True, False, True, False]


def test_a_grid_has_every_combination_or_is_too_large():
    assert grid([np.arange(2.0), np.arange(3.0)]).tolist() == [[i, j] for i in range(2) for j in range(3)]
    assert grid([np.arange(200.0), np.arange(100.0)]) is None


def traded(**changes):
    """The small vehicle with two decisions and a limit on each of two figures."""
    return trucks(
        trade={
            "vary": ["axles.*.target.damping_ratio = 0.15..0.6", "axles.front.bar.rate = 5..35 N/mm"],
            "seek": ["weighted_acceleration", "load_variation"],
        },
        limits={"roll_gradient": "9.4 deg/g", "seat_acceleration": "2 m/s**2"},
        **changes,
    )


@pytest.fixture(scope="module")
def found():
    return front(traded(), most=700, prove="named")


def test_the_front_is_that_of_a_fine_grid(found):
    """Two decisions, enumerated at 61 by 61 places: hypervolume within 1 %, and nothing on the grid betters a design found by over 1 %."""
    file = trucks(
        trade={
            "vary": ["axles.*.target.damping_ratio = 0.15..0.6 by 0.0075", "axles.front.bar.rate = 5..35 N/mm by 0.5 N/mm"],
            "seek": ["weighted_acceleration", "load_variation"],
        },
        limits={"roll_gradient": "9.4 deg/g", "seat_acceleration": "2 m/s**2"},
    )  # fmt: skip
    every = front(file, most=61 * 61, prove="none")
    assert every.by_all
    assert every.tried == 61 * 61
    ours, theirs = (np.array([one.figures[:2] for one in front.designs]) for front in (found, every))
    low = np.minimum(ours.min(axis=0), theirs.min(axis=0))
    high = np.maximum(ours.max(axis=0), theirs.max(axis=0)) + 0.05 * np.ptp(theirs, axis=0)
    assert hypervolume(ours, low, high) == pytest.approx(hypervolume(theirs, low, high), rel=0.01)
    for one in ours:
        assert not ((theirs < 0.99 * one).all(axis=1)).any()


def test_every_design_of_the_front_meets_the_limits_and_betters_none(found):
    limits = {one.id: one for one in found.figures if one.limit is not None}
    assert set(limits) >= {"roll_gradient", "weighted_acceleration", "bump_left"}
    for one in (*found.designs, *found.bettered):
        for figure, value in zip(found.figures, one.figures, strict=True):
            if figure.limit is not None:
                assert value <= figure.limit * (1 + 1e-6) if figure.sense == "at most" else value >= figure.limit - 1e-6
    for one in found.missed:
        assert " by " in one.missed
    points = np.array([one.figures[:2] for one in found.designs])
    assert unbettered(points).all()
    assert found.tried >= 700
    assert found.feasible + len(found.missed) + found.refused <= found.tried


def test_convergence_is_told_and_grows(found):
    shares = [share for _, share in found.converged]
    assert shares == sorted(shares)
    assert shares[-1] > 0.5
    assert found.converged[-1][0] == found.tried


def test_named_designs_are_proven_and_others_say_that_they_are_not(found):
    named = [one for one in found.designs if one.called]
    assert {"knee"} <= {name for one in named for name in one.called.split(", ")}
    assert all(one.proven for one in named)
    assert not any(one.proven for one in found.designs if not one.called)
    one = pick(found, "knee")
    other = changed(traded(), told_changes(search_decisions(traded()), one.values))
    words = {answer.question: answer.word for answer in ask_briefly(other, [name for name, _ in one.words])}
    assert dict(one.words) == words
    assert "not yet proven" in front_csv(found)


def test_a_short_drive_stands_in_as_it_compares_today():
    file = traded()
    found = front(file, most=2, prove="none")
    today = found.today.figures[0]
    told = next(one for one in ask_briefly(file, ["ride"])[0].figures if one.id == "weighted_acceleration")
    assert today == pytest.approx(told.value, rel=1e-6)
    assert any("short drive" in note for note in found.notes)


def test_a_search_that_is_stopped_and_resumed_is_one_that_was_not(tmp_path, found):
    kept, calls = tmp_path / "s.json", []

    def stop(_):
        calls.append(1)
        if len(calls) == 5:
            raise KeyboardInterrupt

    part = front(traded(), most=700, kept=kept, progress=stop, prove="none")
    assert part.stopped
    assert 0 < part.tried < 700
    assert "Stopped before the end" in front_section(part).says[-1]
    whole = front(traded(), most=700, kept=kept, resume=True, prove="none")
    assert [one.values for one in whole.designs] == [one.values for one in found.designs]
    np.testing.assert_allclose(
        [one.figures for one in whole.designs], [one.figures for one in found.designs], rtol=1e-12
    )
    data = json.loads(kept.read_text(), parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))
    assert len(data["tried"]) == whole.tried


def test_more_processes_find_the_same_to_the_last_bit(found):
    """Blocks are the same whoever evaluates them, so is the front; a process that may begin no others goes alone."""
    shared = front(traded(), most=700, prove="none", workers=2)
    assert [one.values for one in shared.designs] == [one.values for one in found.designs]
    assert [one.figures for one in shared.designs] == [one.figures for one in found.designs]


def test_a_helper_that_is_killed_costs_nothing(found, monkeypatch):
    calls = []
    ask = helping.Helpers.__call__

    def kill(self, values):
        calls.append(1)
        if len(calls) == 3 and self._pool is not None:
            os.kill(next(iter(self._pool._processes)), signal.SIGKILL)
        return ask(self, values)

    monkeypatch.setattr(helping.Helpers, "__call__", kill)
    shared = front(traded(), most=700, prove="none", workers=2)
    assert [one.figures for one in shared.designs] == [one.figures for one in found.designs]


def test_a_killed_search_leaves_what_it_had(tmp_path):
    design, kept = tmp_path / "truck.toml", tmp_path / "truck.search.json"
    design.write_text(traded().text)
    asked = [
        sys.executable,
        "-m",
        "springwright",
        "trade",
        str(design),
        "--search",
        "--most",
        "100000",
        "--prove",
        "none",
    ]
    with subprocess.Popen(asked, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as run:
        for _ in range(600):
            if kept.exists():
                break
            time.sleep(0.1)
        time.sleep(1.0)
        run.send_signal(signal.SIGKILL)
    before = json.loads(kept.read_text())["tried"]
    assert before
    after = front(load(design), most=len(before) + 100, kept=kept, resume=True, prove="none")
    rows = json.loads(kept.read_text())["tried"]
    assert rows[: len(before)] == before
    assert len({tuple(values) for values, *_ in rows}) == after.tried


def test_going_on_with_fewer_designs_keeps_all_that_was_tried(tmp_path):
    kept = tmp_path / "s.json"
    front(traded(), most=300, kept=kept, prove="none")
    before = json.loads(kept.read_text())["tried"]
    for resume in (True, False):
        front(traded(), most=100, kept=kept, resume=resume, prove="none")
        assert sorted(json.loads(kept.read_text())["tried"]) == sorted(before)


def test_a_limit_of_nothing_is_missed_by_an_amount():
    file = traded()
    tight = changed(file, [(("trade", "vary"), ["axles.*.target.damping_ratio = 0.2..0.4", "axles.front.travel.droop = 100..250 mm"])])  # fmt: skip
    found = front(tight, most=100, prove="none")
    forces = [one.missed for one in found.missed if one.missed.startswith("spring force at full droop")]
    assert forces
    assert all(one.endswith((" N", " kN")) for one in forces)


def test_some_of_a_grid_are_not_called_every_combination():
    stepped = changed(traded(), [(("trade", "vary"), ["axles.*.target.damping_ratio = 0.15..0.6 by 0.01", "axles.front.bar.rate = 5..35 N/mm by 1 N/mm"])])  # fmt: skip
    assert not front(stepped, most=192, prove="none").by_all


def test_files_beside_the_design_tell_searches_apart(tmp_path):
    for name in ("fire-watch.toml", "springs.csv"):
        (tmp_path / name).write_text((DEMOS / name).read_text())
    kept = tmp_path / "s.json"
    front(load(tmp_path / "fire-watch.toml"), most=96, kept=kept, prove="none")
    prices = tmp_path / "springs.csv"
    prices.write_text(prices.read_text() + "\n# dearer\n")
    with pytest.raises(InputError, match="of another search"):
        front(load(tmp_path / "fire-watch.toml"), most=96, kept=kept, resume=True, prove="none")


def test_a_design_is_not_kept_where_its_files_are_not(tmp_path):
    truck = load(DEMOS / "fire-watch.toml")
    with pytest.raises(InputError, match=r"springs\.csv beside it"):
        check_place(tmp_path / "one.toml", truck)
    check_place(DEMOS / "another.toml", truck)
    check_place(tmp_path / "one.toml", traded())


def test_what_is_kept_of_another_search_is_refused(tmp_path):
    kept = tmp_path / "s.json"
    front(traded(), most=100, kept=kept, prove="none")
    with pytest.raises(InputError, match="of another search"):
        front(traded(), most=100, seed=2, kept=kept, resume=True, prove="none")
    kept.write_text("{}")
    with pytest.raises(InputError, match="holds no search"):
        front(traded(), most=100, kept=kept, resume=True, prove="none")


def test_a_design_of_the_front_is_kept_as_a_file_of_its_own(tmp_path, found):
    file = traded()
    one = pick(found, "1")
    made = written_as(file, one, search_decisions(file), tmp_path / "one.toml").save()
    text = made.path.read_text()
    assert text.startswith("# Design 1 of a front traded from test.toml")
    assert text.count("# traded: was") == 3
    assert "# traded: was 20 N/mm" in text
    again = load(made.path)
    assert again.design.axles[0].target.damping_ratio == pytest.approx(one.values[0], rel=1e-9)
    assert {at for at, _ in told_changes(search_decisions(file), one.values)} >= {("axles", 0, "bar", "rate")}
    with pytest.raises(InputError, match="give a number up to"):
        pick(found, "best of all")


@pytest.mark.parametrize(
    ("trade", "said"),
    [
        ({"seek": ["weighted_acceleration"]}, "names one figure"),
        ({"seek": ["weighted_acceleration", "softness"]}, "no such figure; there are"),
        ({"seek": ["weighted_acceleration", "belly_clearance"]}, "give belly"),
        ({"seek": ["weighted_acceleration", "price"]}, "no part is chosen"),
        ({"vary": ["axles.front.bar.rates = 1..2 N/mm"]}, 'no "rates"'),
    ],
)
def test_a_trade_that_cannot_be_is_refused_before_any_work(trade, said):
    with pytest.raises(InputError, match=said):
        front(trucks(trade=trade, limits={"roll_gradient": "9 deg/g"}), most=10)


def test_no_limits_at_all_are_refused():
    with pytest.raises(InputError, match="no limit is set"):
        front(trucks(), most=10)


def test_where_nothing_meets_every_limit_the_nearest_says_what_it_misses():
    file = traded()
    hard = changed(file, [(("limits", "roll_gradient"), "9.4 deg/g"), (("limits", "attitude_change"), "0.01 deg"), (("trade", "vary"), ["axles.*.target.damping_ratio = 0.2..0.4", "kerb.above_ground = 1.4..1.6 m"])])  # fmt: skip
    found = front(hard, most=100, prove="none")
    assert not found.designs
    assert found.feasible == 0
    assert "No design tried meets every limit" in front_section(found).says[0]
    assert "today" in front_figure(found).standalone()


def test_bought_springs_are_enumerated_where_they_are_few():
    file = load(DEMOS / "fire-watch.toml")
    chosen = changed(file, [(("trade",), {"vary": ["axles.front.spring.part = any", "axles.rear.spring.part = any"], "seek": ["roll_gradient", "height_change", "price"]})])  # fmt: skip
    found = front(chosen, prove="none")
    assert found.by_all
    assert found.tried == len(found.decisions[0].choices) * len(found.decisions[1].choices)
    prices = {one.figures[2] for one in found.designs}
    assert min(prices) > 0
    cheapest = min((*found.designs, *found.bettered), key=lambda one: one.figures[2])
    candidates = [{one.spring.part: one.axle_price for one in spring.candidates} for spring in sized(file).springs]
    assert cheapest.figures[2] == pytest.approx(sum(price[name] for price, name in zip(candidates, cheapest.shown, strict=True)))  # fmt: skip


def test_the_result_follows_its_schema_is_drawn_and_is_a_table(found):
    jsonschema.validate(json.loads(json.dumps(found.to_json())), Front.schema())
    svg = front_figure(found).standalone()
    assert "knee, design" in svg
    assert "today" in svg
    table = found.to_dataframe()
    assert len(table) == len(found.designs)
    assert table["weighted_acceleration"].is_monotonic_increasing
