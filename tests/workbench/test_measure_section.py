"""Measure on the sheet: readings are written in blank by blank and kept in their file, what cannot be stays in its blank, the result is told and kept."""

from __future__ import annotations

import html
import json
import re
import shutil
import tomllib
from pathlib import Path

import pytest

from springwright.commission.back import rests_of
from springwright.commission.begun import READ
from springwright.commission.measured import measured, tried
from springwright.commission.modelled import modelled
from springwright.commission.readings import SETS, Readings
from springwright.errors import InputError
from springwright.questions.registry import QUESTIONS
from springwright.sizing.fitted import sized
from springwright.vehicle.file import load
from springwright.workbench.actions import ACTIONS, keep_built
from springwright.workbench.model.document import Document
from springwright.workbench.model.shown import Shown, Study
from springwright.workbench.render.environment import template
from springwright.workbench.render.sheet import render
from springwright.workbench.sections import PARTS
from springwright.workbench.sections.unfinished import unfinished
from tests.build import DEMOS


@pytest.fixture
def truck(tmp_path: Path) -> Document:
    for name in ("fire-watch.toml", "springs.csv"):
        shutil.copy(DEMOS / name, tmp_path / name)
    return Document.opened(tmp_path / "fire-watch.toml")


@pytest.fixture
def read(truck: Document) -> Document:
    for one in (DEMOS / "readings").glob("fire-watch*"):
        shutil.copy(one, truck.path.parent / one.name)
    return truck


def act(document: Document, do: str, **asked: object) -> None:
    with document.evaluation:
        ACTIONS[do](document, {"do": do, **asked})


def put(document: Document, *at: str | int, value: str) -> None:
    act(document, "put", at=["readings", *at], value=value)


def section(document: Document, shown: Shown | None = None) -> str:
    document.view = document.view.__class__(**{**document.view.__dict__, "folded": frozenset()})
    return render("1", document, shown or Shown(), PARTS, template, unfinished)["measure"]


def words(shown: str) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", shown)))


def test_every_kind_has_its_row():
    assert tuple(READ) == SETS


def test_nothing_read_yet(truck):
    """The first sentence is by hand: 200 kg over an axle of two wheels at its ride rate."""
    told = words(section(truck))
    assert "Nothing read yet" in told
    assert "Start a readings file" in told
    rate = sized(truck.file).rates[-1].ride_rate
    assert f"lower the deck by {round(1e3 * 200 * 9.80665 / (2 * rate))} mm" in told
    assert not truck.readings.text


def test_begun_written_in_taken_back(truck):
    act(truck, "readings")
    path = truck.readings.path
    assert path.name == "fire-watch.readings.toml"
    begun = path.read_text()
    with pytest.raises(InputError, match="already"):
        act(truck, "readings")
    act(truck, "reading_add", kind="weighings")
    assert "Still empty or to be mended" in words(section(truck))
    # a bare number takes the unit shown; what is typed is kept in the file at once
    for k, value in enumerate(("600", "1100 lb")):
        put(truck, "weighings", 0, "left", k, value=value)
        put(truck, "weighings", 0, "right", k, value=value)
    data = tomllib.loads(path.read_text())
    assert data["weighings"][0]["left"] == ["600 kg", "1100 lb"]
    put(truck, "weighings", 0, "left", 0, value="six hundred")
    assert tomllib.loads(path.read_text())["weighings"][0]["left"] == ["600 kg", "1100 lb"]
    told = section(truck)
    assert 'value="six hundred"' in told
    assert "aria-invalid" in told
    put(truck, "weighings", 0, "date", value="yesterday")
    assert "a day is written as" in words(section(truck))
    put(truck, "weighings", 0, "date", value="2026-04-05")
    assert str(tomllib.loads(path.read_text())["weighings"][0]["date"]) == "2026-04-05"
    act(truck, "reading_out", at=["weighings", 0, "heights_left"])
    act(truck, "reading_out", at=["weighings", 0, "heights_right"])
    Readings.model_validate(tomllib.loads(path.read_text()))
    act(truck, "reading_out", at=["weighings", 0])
    for _ in range(20):
        act(truck, "unread")
    assert path.read_text() == begun
    assert truck.saved == truck.text, "the design knows nothing of it"


@pytest.mark.parametrize("kind", SETS)
def test_every_kind_can_be_begun_and_has_its_blanks(truck, kind):
    act(truck, "readings")
    act(truck, "reading_add", kind=kind)
    made = {tuple(json.loads(html.unescape(one))) for one in re.findall(r'data-at="([^"]*)"', section(truck))}
    mine = {at for at in made if at[:2] == ("readings", kind)}
    assert {("readings", kind, 0, "date"), ("readings", kind, 0, "by")} <= mine
    assert len(mine) >= 7
    for at in mine:
        truck.readings.place(at[1:])


def test_a_log_is_beside_the_design(truck):
    act(truck, "readings")
    act(truck, "reading_add", kind="bounces")
    for text in ("../secret.csv", "/etc/passwd", "a/b.csv"):
        put(truck, "bounces", 0, "log", value=text)
        assert "without its folder" in words(section(truck))
        assert text not in truck.readings.text
    put(truck, "bounces", 0, "log", value="bounce.csv")
    assert 'log = "bounce.csv"' in truck.readings.text


def test_what_is_no_place_or_no_file(truck):
    with pytest.raises(LookupError):
        truck.readings.place(("nowhere",))
    act(truck, "readings")
    for at in (("nowhere",), ("weighings", 3, "nothing"), ("vehicle", "x"), ("weighings", -1, "state")):
        with pytest.raises((LookupError, InputError)):
            put(truck, *at, value="x")
    with pytest.raises(LookupError):
        act(truck, "reading_add", kind="weather")
    with pytest.raises(LookupError):
        act(truck, "reading_out", at=["pushes", 0])
    truck.readings.path.write_text("[[broken")
    assert "cannot be read" in words(section(truck))
    truck.readings.path.unlink()
    assert "Nothing read yet" in words(section(truck))


def test_a_readings_file_is_no_revision(read):
    assert [one.name for one in read.revisions()] == []


def test_what_brings_it_back_is_tried(read):
    """Ticked, it is worked together and asked again; kept, it is an as-built design with it made."""
    found = measured(load(read.path), read.readings.path, QUESTIONS[3:4])
    assert len(found.back) >= 2
    assert len(found.drawn) == len(found.built) == len(found.mended) == 1
    study = Study(result=found, made=1, text=read.file.text, reads=read.readings.text)
    shown = Shown(studies={"measure": study})
    assert "with all of that made" in words(section(read, shown))
    made = tried(read.file.saying(found.text), found.back, QUESTIONS[3:4])
    due = rests_of(modelled(read.file), sized(read.file).design_state)
    for one, there in zip(made.axles, due, strict=True):
        assert one.rise == pytest.approx(there.rise, abs=1e-3)
    assert made.answers[0].figures == found.mended[0].figures
    shown.tried = frozenset(range(len(found.back)))
    shown.studies["tried"] = Study(result=made, made=2, text=read.file.text, reads=read.readings.text)
    told = words(section(read, shown))
    assert "with those tried" in told
    assert "Try none" in told
    keep_built(read, shown, mended=True)
    kept = load(read.path.with_name("fire-watch.brought-back.toml"))
    assert kept.text.startswith("# Brought back: ")
    for one, there in zip(rests_of(modelled(kept), sized(kept).design_state), due, strict=True):
        assert one.rise == pytest.approx(there.rise, abs=1e-3)


def test_what_was_found_is_told_and_kept(read):
    found = measured(load(read.path), read.readings.path, asks=False)
    study = Study(result=found, made=1, text=read.file.text, reads=read.readings.text)
    shown = Shown(studies={"measure": study})
    told = words(section(read, shown))
    assert "readings differ from what was due" in told
    assert "What of the model explains it" in told
    assert "To bring it back to the target" in told
    assert "Push differs" in told
    assert "Rap not read" in told
    assert "Load front left, Kerb" in told
    keep_built(read, shown)
    kept = read.path.with_name("fire-watch.as-built.toml")
    assert "[built]" in kept.read_text()
    assert read.said == "Kept as fire-watch.as-built.toml."
    put(read, "weighings", 0, "left", 0, value="630 kg")
    assert "out of date" in words(section(read, shown))
    with pytest.raises(InputError, match="up to date"):
        keep_built(read, shown)
