"""Trade on the worksheet: studies asked for and shown as they come, steps tried and designs taken as one change that undo takes back."""

from __future__ import annotations

import asyncio
import functools
from dataclasses import replace

import numpy as np
import pytest

from springwright.drawing.scales import FOOT, HEIGHT, LIMIT, TOP
from springwright.questions.prove import prove
from springwright.questions.registry import QUESTIONS
from springwright.report.front_pictures import axes_of, front_figure, scales_figure
from springwright.studies.exchange import exchange
from springwright.studies.front import front
from springwright.studies.spread import spread
from springwright.units import told
from springwright.vehicle.file import load
from springwright.workbench.downloads import figure_csv
from springwright.workbench.model.jobs import JOBS
from springwright.workbench.model.shown import Study
from springwright.workbench.model.work import STUDIES, Worker
from springwright.workbench.sections.trade import ORDERS, _stands
from tests.build import DEMOS
from tests.workbench.test_workbench import Idle, Sheet, desk  # noqa: F401 the desk is a fixture


@functools.cache
def studies():
    file = load(DEMOS / "fire-watch.toml")
    return {
        "exchange": exchange(file),
        "front": front(file, most=150, prove="none"),
        "spread": spread(file, builds=64, base=0),
    }


@pytest.fixture
def truck(desk):  # noqa: F811
    made = Sheet(desk).begin("fire-watch", "truck")
    made.document.view = replace(made.document.view, folded=frozenset())
    text = made.document.file.text
    made.sheet.shown.studies = {name: Study(one, text=text) for name, one in studies().items()}
    return made


def test_each_study_is_shown_with_its_figure_and_its_tables(truck):
    page = truck.part("trade")
    assert page.faults == []
    assert page.ids()[1] == []
    assert "One step at a time" in page.text
    assert "spring base, beam axles +50 mm" in page.text
    assert "not tried: fire-watch.toml" in page.text.replace("truck.toml", "fire-watch.toml")
    assert "not yet proven" in page.text
    assert "of 64 built so would meet every limit" in page.text
    for title in ("one step of every decision", "the front", "build spread"):
        assert any(title in of.get("aria-label", "") for _, of in page.elements), title


def test_before_anything_is_asked_each_can_be(truck):
    truck.sheet.shown.studies = {}
    asked = [one for one in truck.part("trade").does() if one["do"] == "study"]
    assert [one["what"] for one in asked] == ["exchange", "front", "spread"]
    assert "Nothing is traded yet" in truck.part("trade").text


def test_a_step_is_tried_and_undo_takes_it_back(truck):
    before = truck.document.file.text
    button = next(one for one in truck.part("trade").does() if one["do"] == "step" and one["id"] == "base")
    truck.press(button)
    assert truck.design.axles[0].spring_base == pytest.approx(1.07)
    assert "spring base, beam axles" in truck.document.title
    assert all(one.late for one in truck.sheet.shown.studies.values())
    page = truck.part("trade")
    assert "One step tried" in page.text
    assert {"do": "undo"} in page.does()  # pressed again it is taken back
    assert not [one for one in page.does() if one["do"] == "step" and one["id"] == "base"]
    truck.do("undo")
    assert truck.document.file.text == before
    assert not any(one.late for one in truck.sheet.shown.studies.values())
    assert "tried" not in truck.part("trade").text.split("The same as a table")[0].replace("not tried", "").replace(
        "tries", ""
    ).replace("designs tried", "")


def test_steps_tried_together_hang_where_their_answers_stand(truck):
    for name in ("base", "cg"):
        truck.press(next(one for one in truck.part("trade").does() if one["do"] == "step" and one["id"] == name))
    assert "Two steps tried" in truck.part("trade").text
    table = studies()["exchange"]
    lean = next(one for one in table.columns if one.question == "stand")
    assert _stands(truck.sheet.shown, lean) is None  # not answered yet
    answers = {
        one.question: one
        for one in prove(truck.document.file, questions=[one for one in QUESTIONS if one.name == "stand"]).answers
    }
    truck.sheet.shown.answers, truck.sheet.shown.stale = answers, frozenset()
    both = _stands(truck.sheet.shown, lean)
    each = [row.cells[table.columns.index(lean)].change for row in table.rows if row.id in ("base", "cg")]
    assert both.change == pytest.approx(sum(each), rel=0.1)  # worked together, never added
    assert both.change != sum(each)
    page = truck.part("trade")
    assert told(both.value, lean.kind) in page.text
    undo = next(one for one in page.does() if one["do"] == "undo" and one.get("times"))
    assert undo["times"] == 2
    truck.press(undo)
    assert truck.document.past == []


def test_another_edit_makes_the_steps_out_of_date(truck):
    truck.do("step", id="base")
    truck.put("vehicle", "name", value="Another")
    page = truck.part("trade")
    assert "out of date" in page.text
    assert not [one for one in page.does() if one["do"] in ("step", "take", "candidate")]


def test_steps_stand_in_the_order_that_is_asked_for(truck):
    table = studies()["exchange"]
    left = {one.question: one.margin / abs(one.limit) for one in table.columns if one.margin is not None and one.limit}
    worst = [one.question for one in table.columns].index(min(left, key=left.get))
    tried = [row for row in table.rows if row.cells]
    by = {
        "won": lambda row: -row.total, "worst": lambda row: -(row.cells[worst].won or 0), "name": lambda row: (row.what, row.by),
        "price": lambda row: -row.won / max(row.lost, 0.03),
    }  # fmt: skip
    assert set(by) == set(ORDERS)
    for order, key in by.items():
        truck.do("view", name="order", value=order)
        asked = [one["id"] for one in truck.part("trade").does() if one["do"] == "step"]
        assert asked[: len(tried)] == [row.id for row in sorted(tried, key=key)], order
    truck.do("view", name="order", value="backwards")
    assert truck.document.view.order == "price"


def test_a_step_pressed_twice_is_tried_once(truck):
    truck.do("step", id="base")
    truck.do("step", id="base")
    assert len(truck.document.past) == 1


def test_a_step_that_cannot_be_says_why_and_changes_nothing(truck):
    before = truck.document.file.text
    truck.do("step", id="pressure")
    assert "no tyre size" in truck.document.said
    assert truck.document.file.text == before


def test_a_design_is_looked_at_and_kept_as_a_file_of_its_own(truck):
    before = truck.document.file.text
    one = studies()["front"].designs[0]
    assert not [each for each in truck.part("trade").does() if each["do"] == "candidate"]
    truck.do("pick", values=list(one.values))
    page = truck.part("trade")
    assert f"Design {one.number}" in page.text
    assert "Not yet proven" in page.text
    truck.press(next(each for each in page.does() if each["do"] == "candidate"))
    path = truck.document.path.with_name(f"truck.design-{one.number}.toml")
    assert truck.document.said == f"Kept as {path.name}."
    kept = load(path)
    damping = one.values[[each.field for each in studies()["front"].decisions].index("axles.*.target.damping_ratio")]
    assert kept.design.axles[0].target.damping_ratio == pytest.approx(damping)
    assert "# traded: was" in kept.text
    assert truck.document.file.text == before
    truck.do("candidate", **{name: value for name, value in next(each for each in page.does() if each["do"] == "candidate").items() if name != "do"})  # fmt: skip
    assert truck.document.said == f"Kept as truck.design-{one.number}-2.toml."
    truck.do("pick", values=list(one.values))
    assert truck.document.view.picked == ()


def test_another_design_of_the_same_front_is_taken_after_one(truck):
    one, two = studies()["front"].designs[:2]
    for each in (one, two):
        truck.do("pick", values=list(each.values))
        truck.press(next(button for button in truck.part("trade").does() if button["do"] == "take"))
    damping = [each.field for each in studies()["front"].decisions].index("axles.*.target.damping_ratio")
    assert truck.design.axles[0].target.damping_ratio == pytest.approx(two.values[damping])
    assert len(truck.document.past) == 2


def test_the_figures_on_the_axes_are_picked(truck):
    result = studies()["front"]
    usual = [one.id for one in result.figures if one.sought]
    words = {one.id: one.words.split(",")[0] for one in result.figures}
    assert [result.figures[i].id for i in axes_of(result)] == [usual[1], usual[0]]
    truck.do("view", name="across", value=usual[2])
    assert f"{words[usual[2]]}, " in truck.part("trade").text.split("shut: its limit")[0]
    assert [result.figures[i].id for i in axes_of(result, usual[2], "")] == [usual[2], usual[0]]
    assert [result.figures[i].id for i in axes_of(result, usual[0], usual[0])] == [
        usual[1],
        usual[0],
    ]  # never one on both
    truck.do("view", name="up", value="nonsense")
    assert truck.document.view.up == ""


def test_a_front_without_a_design_says_what_is_nearest(truck):
    found = studies()["front"]
    empty = replace(found, designs=(), missed=(*found.designs[:2],), feasible=0)
    truck.sheet.shown.studies["front"] = Study(empty, text=truck.document.file.text, made=99)
    page = truck.part("trade")
    assert "No design tried meets every limit" in page.text
    assert "Nearest of those that miss a limit" in page.text
    assert "0 of the 0" in page.text


def test_a_figure_that_today_does_not_have_leaves_today_out_of_the_picture():
    found = studies()["front"]
    price = [k for k, one in enumerate(found.figures) if one.sought][1]
    today = replace(
        found.today, figures=tuple(None if k == price else one for k, one in enumerate(found.today.figures))
    )
    drawn = front_figure(replace(found, today=today)).svg()
    assert ">today<" in front_figure(found).svg()
    assert ">today<" not in drawn
    assert "nan" not in drawn


def test_what_varies_is_written_out_and_changed_on_the_page(truck):
    assert not truck.design.trade.vary
    truck.do("vary")
    texts = truck.design.trade.vary
    assert any(one.startswith("axles.*.target.damping_ratio = 0.15..0.5") for one in texts)
    k = next(k for k, one in enumerate(texts) if "damping_ratio" in one)
    truck.put("trade", "vary", k, value="axles.*.target.damping_ratio = 0.2..0.3 by 0.01")
    assert truck.design.trade.vary[k].endswith("0.2..0.3 by 0.01")
    truck.put("trade", "vary", k, value="")
    assert len(truck.design.trade.vary) == len(texts) - 1


def test_how_many_designs_a_search_tries_is_a_blank(truck):
    truck.do("view", name="designs", value="500")
    assert truck.document.view.designs == 500
    truck.do("view", name="designs", value="9")
    assert "100 to 20000" in truck.document.said
    assert truck.document.view.designs == 500


@pytest.mark.parametrize(
    ("name", "holds"), [("exchange", "Centre of gravity"), ("front", "roll_gradient"), ("spread", "roll gradient")]
)
def test_each_drawing_is_kept_as_numbers(truck, name, holds):
    rows = figure_csv(truck.document, truck.sheet.shown, name)
    assert holds.lower() in rows.lower()
    if name == "front":
        assert len(rows.splitlines()) == 1 + len(studies()["front"].designs)
    assert figure_csv(truck.document, truck.sheet.shown, "scales") is None


def test_every_design_crosses_every_scale_where_its_figure_lies():
    """Limits lie on one line, the best found at the top of each scale."""
    result = studies()["front"]
    lines = [
        mark
        for mark in scales_figure(result).svg().split("<g ")
        if 'data-design="' in mark and 'class="design faint"' in mark
    ]
    assert len(lines) == len(result.designs)
    ends = [[float(point.split()[1]) for point in line.split(' d="M')[1].split('"')[0].split("L")] for line in lines]
    k = len(result.decisions) + [one.id for one in result.figures if one.sought].index("roll_gradient")
    roll = [one.id for one in result.figures].index("roll_gradient")
    limit = result.figures[roll].limit
    values = np.array([one.figures[roll] for one in result.designs])
    height = HEIGHT - TOP - FOOT
    level = TOP + LIMIT * height
    wanted = level - LIMIT * height * (limit - values) / (limit - min(values.min(), result.today.figures[roll]))
    assert [one[k] for one in ends] == pytest.approx(wanted, abs=0.02)


def test_a_design_of_the_front_is_taken_as_one_change(truck):
    before = truck.document.file.text
    truck.do("pick", values=list(studies()["front"].designs[0].values))
    button = next(one for one in truck.part("trade").does() if one["do"] == "take")
    truck.press(button)
    damping = button["values"][button["fields"].index("axles.*.target.damping_ratio")]
    assert [axle.target.damping_ratio for axle in truck.design.axles] == pytest.approx([damping, damping])
    assert truck.design.axles[0].spring.part is not None
    truck.do("undo")
    assert truck.document.file.text == before


def test_folded_it_is_a_sentence(truck):
    truck.do("fold", part="trade")
    assert "best bargain" in truck.part("trade").text
    assert not [one for one in truck.part("trade").does() if one["do"] == "study"]


@pytest.mark.parametrize("what", ["exchange", "front", "spread"])
def test_a_study_is_asked_for_shown_as_it_comes_and_left(truck, what):
    class Telling(Idle):
        def ask(self, job, tell):
            super().ask(job, tell)
            self.tell = tell

    worker = truck.sheet.slow._worker = Telling()
    seen = []

    async def gone():
        asked = asyncio.ensure_future(truck.sheet.slow.study(what))
        await asyncio.sleep(0)
        worker.tell("progress", "3 of 13")
        await asyncio.sleep(0)
        seen.append(truck.sheet.shown.studies[what].busy)
        worker.tell("part", studies()[what])
        await asyncio.sleep(0)
        seen.append(truck.sheet.shown.studies[what].result)
        worker.tell("dropped", None)
        await asked
        await asyncio.gather(*(asyncio.all_tasks() - {asyncio.current_task()}))

    asyncio.run(gone())
    assert seen == ["3 of 13", studies()[what]]
    assert truck.sheet.shown.studies[what].busy == ""
    assert truck.sheet.shown.studies[what].result is studies()[what]
    assert worker.asked[0].what == what


def test_studies_have_a_process_of_their_own_so_that_no_answer_waits():
    worker = Worker()
    assert worker._studies is not None
    assert worker._studies._studies is None
    assert set(STUDIES) <= set(JOBS)
    worker.close()


def test_the_jobs_tell_of_what_there_is_so_far():
    said = []
    file = load(DEMOS / "fire-watch.toml")

    def say(kind, value):
        said.append((kind, value))
        if kind == "part" and sum(one == "part" for one, _ in said) == 2:
            raise KeyboardInterrupt

    found = JOBS["exchange"](file, say, QUESTIONS)
    assert found.stopped
    rows = [len(value.rows) for kind, value in said if kind == "part"]
    assert rows == [1, 2]
    assert any(kind == "progress" and "of 13 steps" in value for kind, value in said)
