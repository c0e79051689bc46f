"""Lessons: what a hand finds is what the sheet has, on every demo and on a vehicle carried over; each is told, and asks for what it lacks."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from builders import lessons as pages
from springwright.cli.main import app
from springwright.errors import InputError
from springwright.lessons.lesson import LESSONS, demo_design, lesson
from springwright.report.lesson import lesson_section
from springwright.sizing.first_design import first_design
from springwright.sizing.first_number import rate
from springwright.vehicle.file import load
from tests.build import DEMOS

ON = ("fire-watch", "fire-watch-leaves", "fire-watch-links", "survey-buggy", "bog-carrier", "start")


@pytest.mark.parametrize("name", ON)
def test_a_hand_finds_what_the_sheet_has(name):
    """Twelve closed forms against the whole model: the hand's own share of error is stated beside each and kept."""
    file = load(DEMOS / f"{name}.toml")
    for number in range(1, len(LESSONS) + 1):
        one = lesson(number, file)
        assert one.by_hand == pytest.approx(one.figures[0].after, rel=one.within), (number, one.title)
        assert one.figures[0].after != one.figures[0].before
        assert all((one.guess, one.change, one.why, one.hand, one.key))
        told = lesson_section(one)
        assert told.tables[0].rows


def test_on_a_vehicle_carried_over(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(first_design(rate(1740.0, frequency=1.25, ratio=310 / 470), "Mine", arm=0.47))
    for number in range(1, len(LESSONS) + 1):
        if number == 9:
            with pytest.raises(InputError, match="only one load state"):
                lesson(number, path)
            continue
        one = lesson(number, path)
        assert one.by_hand == pytest.approx(one.figures[0].after, rel=one.within), number


def test_the_pages_are_those_of_the_program():
    for path, text in pages.pages():
        assert path.read_text() == text, "python -m builders.lessons writes them anew"


def test_the_command(tmp_path):
    run = CliRunner().invoke
    assert "The lever counts twice" in run(app, ["lesson"]).output
    out = run(app, ["lesson", "3", str(DEMOS / "survey-buggy.toml")]).output
    assert "Guess first" in out
    assert "The key" in out
    assert isinstance(run(app, ["lesson", "3", str(tmp_path / "no.toml")]).exception, InputError)
    assert run(app, ["lesson", "13"]).exit_code == 2
    assert demo_design().design.vehicle.invented
