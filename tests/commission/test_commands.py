"""The commands readings and measure as a user meets them."""

from __future__ import annotations

import itertools
import json
import re
import shutil

import jsonschema
import pytest
from typer.testing import CliRunner

from springwright.cli.main import app
from springwright.commission.readings import Readings
from springwright.errors import InputError
from springwright.vehicle.file import parsed
from tests.build import DEMOS, words_of


@pytest.fixture
def desk(tmp_path, monkeypatch):
    """The demo truck with its catalogue and its invented readings."""
    monkeypatch.chdir(tmp_path)
    for name in ("fire-watch.toml", "springs.csv"):
        shutil.copy(DEMOS / name, tmp_path / name)
    done = run("readings", "fire-watch.toml", "--demo", "fire-watch")
    assert "written: fire-watch.readings.toml" in done
    return tmp_path


def run(*arguments):
    done = CliRunner().invoke(app, list(arguments))
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert done.exit_code == 0, done.output
    return done.output


def test_a_readings_file_is_started_and_never_written_over(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    shutil.copy(DEMOS / "survey-buggy.toml", tmp_path / "buggy.toml")
    run("readings", "buggy.toml")
    text = (tmp_path / "buggy.readings.toml").read_text()
    # all that is commented out is a readings file, once the # are gone
    bare = "\n".join(
        line[2:]
        if line.startswith("# ") and not line.startswith(("# #", "# --", "# Read", "# Take", "# Uncert", "# Each"))
        else line
        for line in text.splitlines()
    )
    count = itertools.count(1)
    bare = re.sub(r'"0 ', lambda _: f'"{next(count)} ', bare)  # filled in: zeros are refused, as nothing read
    assert len(list(Readings.model_validate(parsed(bare)).sets())) >= 9
    with pytest.raises(InputError, match="is there already"):
        run("readings", "buggy.toml")
    assert (tmp_path / "buggy.readings.toml").read_text() == text
    with pytest.raises(InputError, match="is there already"):
        run("readings", "buggy.toml", "--demo", "survey-buggy")


def test_sheets_to_print(desk):
    """One page a sheet: what is due with its range beside each blank, tools, order of work, cautions; nothing asks for a tilt."""
    run("readings", "fire-watch.toml", "-o", "sheets.pdf")
    pages = words_of((desk / "sheets.pdf").read_bytes())
    assert len(pages) == 4
    for page, title in zip(pages, ("Weigh-in", "Push it down", "Bounce and rap", "Lean and drive"), strict=True):
        assert title in page
        assert "It takes" in page
        assert "In this order" in page
        assert "estimates, not approval" in page
    assert "never beyond" in pages[3]
    data = json.loads(run("readings", "fire-watch.toml", "--json"))
    for sheet in data["sheets"]:
        for blank in sheet["blanks"]:
            assert blank["low"] <= blank["due"] <= blank["high"], blank
    named = [blank["what"] for sheet in data["sheets"] for blank in sheet["blanks"]]
    assert not any("tilt" in one for one in named)
    schema = json.loads(run("schema", "--result", "readings"))
    jsonschema.validate(data, schema)


def test_measured_in_every_form(desk):
    said = run("measure", "fire-watch.toml", "fire-watch.readings.toml")
    assert "readings differ from what was due" in said
    for ending in ("csv", "svg", "png", "pdf", "json"):
        run("measure", "fire-watch.toml", "fire-watch.readings.toml", "-o", f"m.{ending}")
        assert (desk / f"m.{ending}").stat().st_size > 1000
    rows = (desk / "m.csv").read_text()
    assert "load front left" in rows
    data = json.loads(run("measure", "fire-watch.toml", "fire-watch.readings.toml", "--json"))
    jsonschema.validate(data, json.loads(run("schema", "--result", "measure")))
    assert json.loads((desk / "m.json").read_text())["agree"] == data["agree"]


def test_corrected_and_written(desk):
    """The hidden truth of the demo comes out: what was made 5 % stiffer, heavier and weaker is said so; the drawing and the readings stay."""
    before = {one.name: one.read_bytes() for one in desk.iterdir()}
    said = run(
        "measure", "fire-watch.toml", "fire-watch.readings.toml", "--correct", "--write", "built.toml", "-o", "m.pdf"
    )
    assert "written: built.toml; fire-watch.toml and fire-watch.readings.toml stay as they are" in said
    assert {one.name: one.read_bytes() for one in desk.iterdir() if one.name in before} == before
    text = " ".join(words_of((desk / "m.pdf").read_bytes()))
    for words in (
        "What of the model explains it",
        "To bring it back to the target",
        "The seven questions",
        "Seen and signed",
        "calibrated",
        "Invented",
    ):
        assert words in text
    built = (desk / "built.toml").read_text()
    assert "[built]" in built
    assert "INVENTED" in built
    assert "springwright" not in run("size", "built.toml").lower()[:5]
    data = json.loads(
        run("measure", "fire-watch.toml", "fire-watch.readings.toml", "--correct", "--no-prove", "--json")
    )
    jsonschema.validate(data, json.loads(run("schema", "--result", "correct")))
    by = {one["name"]: one for one in data["correction"]["inputs"]}
    truth = {"rear spring rate": 77600 * 1.05, "mass at kerb": 2180 * 1.015}
    for name, value in truth.items():
        assert abs(by[name]["value"] - value) <= by[name]["off"] * 1.3, name
    with pytest.raises(InputError, match="stays as it is"):
        run("measure", "fire-watch.toml", "fire-watch.readings.toml", "--correct", "--write", "fire-watch.toml")


def test_the_report_has_a_chapter_of_what_was_built(desk):
    run("report", "fire-watch.toml", "-o", "r.pdf", "--no-trade", "--readings", "fire-watch.readings.toml")
    text = " ".join(words_of((desk / "r.pdf").read_bytes()))
    for words in ("As built", "What of the model explains it", "The seven questions", "Seen and signed"):
        assert words in text


def test_imperial(desk):
    said = run("measure", "fire-watch.toml", "fire-watch.readings.toml", "--units", "imperial")
    assert " lb " in said
    assert " in " in said
    assert "N/mm" not in said


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--anyway",), "add --correct"),
        (("--write", "x.toml"), "add --correct"),
        (("-o", "x.doc"), "the ending tells the form"),
        (("-o", "fire-watch.readings.toml"), "the ending tells the form"),
    ],
)
def test_what_is_refused(desk, arguments, says):
    with pytest.raises(InputError, match=says):
        run("measure", "fire-watch.toml", "fire-watch.readings.toml", *arguments)
    with pytest.raises(InputError):
        run("measure", "fire-watch.toml", "fire-watch.toml")
    with pytest.raises(InputError):
        run("measure", "fire-watch.readings.toml", "fire-watch.readings.toml")
