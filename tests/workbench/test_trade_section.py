"""Trade on the worksheet: studies asked for and shown as they come, steps tried and designs taken as one change that undo takes back."""

from __future__ import annotations

import asyncio
import functools
from dataclasses import replace

import pytest

from springwright.questions.registry import QUESTIONS
from springwright.studies.exchange import exchange
from springwright.studies.front import front
from springwright.studies.spread import spread
from springwright.vehicle.file import load
from springwright.workbench.model.jobs import JOBS
from springwright.workbench.model.shown import Study
from springwright.workbench.model.work import STUDIES, Worker
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
    made.sheet.shown.studies = {name: Study(one) for name, one in studies().items()}
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
    late = truck.part("trade")
    assert "out of date" in late.text
    assert not [one for one in late.does() if one["do"] in ("step", "take")]
    truck.do("undo")
    assert truck.document.file.text == before


def test_a_step_that_cannot_be_says_why_and_changes_nothing(truck):
    before = truck.document.file.text
    truck.do("step", id="pressure")
    assert "no tyre size" in truck.document.said
    assert truck.document.file.text == before


def test_a_design_of_the_front_is_taken_as_one_change(truck):
    before = truck.document.file.text
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
