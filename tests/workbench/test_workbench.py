"""The workbench without a browser, told as its users would: what they do, and what the page and the file then say."""

from __future__ import annotations

import asyncio
import contextlib
import functools
import html.parser
import json
import math
import os
import re
import shutil
import threading
import time
import tomllib
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from types import SimpleNamespace
from unittest import mock

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import springwright
from springwright.errors import InputError
from springwright.questions import answer as answers
from springwright.questions.dynamic_requirements import full_window
from springwright.questions.measures import measure
from springwright.questions.registry import QUESTIONS
from springwright.report.proof import summary
from springwright.units import KINDS, displayed_in, number, parse, scale_of, show, split, unit_of
from springwright.vehicle.edits import changed
from springwright.vehicle.faults import said_at
from springwright.vehicle.field_types import FieldType, place, shown, typed
from springwright.vehicle.file import load, read_text
from springwright.workbench import open_sheet
from springwright.workbench.actions import ACTIONS
from springwright.workbench.audience import Reply, Visitor
from springwright.workbench.heard import MOST_WAITING, Heard
from springwright.workbench.model.chain import SPRING, WHEEL, is_rate
from springwright.workbench.model.document import Document
from springwright.workbench.model.shown import Shown
from springwright.workbench.model.view import SECTIONS
from springwright.workbench.render import marks as pages
from springwright.workbench.render import sheet
from springwright.workbench.render.changes import changed_rows
from springwright.workbench.render.form import Form, Wrong
from springwright.workbench.render.limits import limit_place
from springwright.workbench.sections import PARTS
from springwright.workbench.workspace import RECENT, Desk
from tests.build import DEMOS

NAMES = sorted(path.stem for path in DEMOS.glob("*.toml"))
SYSTEMS = ("metric", "imperial")
VOID = {"area", "br", "circle", "col", "hr", "img", "input", "line", "link", "meta", "path", "polygon", "polyline", "rect", "use"}  # fmt: skip
FOLDED = frozenset(one.name for one in PARTS if one.step)


def render(name, document, shown):
    return sheet.render(name, document, shown, PARTS)


def sections(made):
    return sheet.sections(made, PARTS)


def frame(name, title, made):
    return sheet.frame(name, title, made, PARTS)


WORKED_OUT = (("bar", "shape", "diameter"), ("bar", "shape", "bore"))  # of a bar that is found from what it adds


# ---- Tools of the stories --------------------------------------------------------------------------------------------


class Parsed(html.parser.HTMLParser):
    """A page taken apart: its elements with their attributes, its text, and what does not nest."""

    def __init__(self, text):
        super().__init__()
        self.elements, self.faults, self.words, self._open = [], [], [], []
        self.feed(text)
        self.close()
        self.faults += [f"<{tag}> is not closed" for tag in self._open]

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if len({name for name, _ in attrs}) < len(attrs):
            self.faults.append(f"<{tag}> has an attribute twice: {attrs}")
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        if self._open and self._open[-1] == tag:
            self._open.pop()
        else:
            self.faults.append(f"</{tag}> where {self._open[-3:]} are open")

    def handle_data(self, data):
        self.words.append(data)

    @property
    def text(self):
        return re.sub(r"[ \n\t]+", " ", " ".join(self.words)).strip()

    def ids(self):
        """Names of elements, and those that more than one has."""
        named = Counter(of["id"] for _, of in self.elements if "id" in of)
        return set(named), [one for one, times in named.items() if times > 1]

    def blanks(self):
        """Every blank: its place, what stands in it, and its attributes."""
        return [
            (tuple(json.loads(of["data-at"])), of.get("value", ""), of) for _, of in self.elements if "data-at" in of
        ]

    def blank(self, *at):
        return next(of for where, _, of in self.blanks() if where == at)

    def does(self):
        """What its buttons ask for."""
        return [json.loads(of[name]) for _, of in self.elements for name in ("data-do", "data-tick") if name in of]


class Idle:
    """Stands in for the slow process: takes every job and does none."""

    def __init__(self):
        self.asked = []

    def ask(self, job, _):
        self.asked.append(job)

    def drop(self, slot):
        pass


@dataclass
class Sheet:
    """A sheet on a desk, used as the page uses it: what is asked goes in as a message, what is shown comes out as parts."""

    desk: Desk
    sheet: object = None

    @property
    def document(self):
        return self.sheet.document

    @property
    def design(self):
        return self.document.file.design

    def open(self, path):
        self.sheet = self.desk.open(path)
        self.document.view = replace(self.document.view, folded=frozenset())
        return self

    def begin(self, demo, name):
        """From a demo, as the start page does; none is the blank."""
        return self.open(self.desk.begin(demo, name))

    def do(self, what, /, **asked):
        """One message of the page, as the live line hears it."""

        async def heard():
            await self.sheet.act(lambda document: ACTIONS[what](document, asked), gesture=asked.get("gesture", ""))
            self.sheet.slow.stop()
            await asyncio.gather(*(asyncio.all_tasks() - {asyncio.current_task()}))  # recovery copies and the like

        asyncio.run(heard())
        return self

    def press(self, button):
        """What a button of the page asks for."""
        return self.do(button["do"], **{key: value for key, value in button.items() if key != "do"})

    def put(self, *at, value, **more):
        return self.do("put", at=list(at), value=value, label=".".join(map(str, at)), **more)

    def part(self, name):
        return Parsed(sections(render(self.sheet.name, self.document, self.sheet.shown))[name])

    def item(self, name):
        return [one.name for one in self.design.items].index(name)

    def state(self, name):
        return [one.name for one in self.design.states].index(name)


@pytest.fixture
def desk(tmp_path, monkeypatch):
    monkeypatch.setattr("springwright.workbench.copies.KEEP", 0.0)  # copies are put away at once
    (tmp_path / "home").mkdir()
    (tmp_path / "designs").mkdir()
    return Desk(tmp_path / "designs", Idle(), tmp_path / "home")


@pytest.fixture
def truck(desk):
    """The fire-watch demo, begun from the start page."""
    return Sheet(desk).begin("fire-watch", "truck")


@functools.cache
def proof(name):
    return springwright.prove(load(DEMOS / f"{name}.toml"), sensitive=name == "fire-watch")


@functools.cache
def window(name):
    """Of two demos only, for the time it takes; the rest of the pages are as they are before it is there."""
    return full_window(load(DEMOS / f"{name}.toml")) if name in ("fire-watch", "bog-carrier") else None


@contextlib.contextmanager
def equations_of(name):
    """Equations are set for one demo only: each takes a tenth of a second."""
    with (
        contextlib.nullcontext()
        if name == "fire-watch"
        else mock.patch.object(pages, "_set", return_value="<svg></svg>")
    ):
        yield


def document_of(name, **view):
    document = Document.opened(DEMOS / f"{name}.toml")
    document.view = replace(document.view, **view)
    return document


def framed(name: str, document: Document, shown: Shown) -> str:
    """The whole page of a document."""
    return frame(name, document.file.design.vehicle.name, render(name, document, shown))


def shown_of(name):
    """What the page shows of a demo when all that is slow has been worked out."""
    found = proof(name)
    answers = {one.question: one for one in found.answers}
    return Shown(answers, notes=found.notes, window=window(name), moves=found.moves, settled=answers)


@functools.cache
def openings(name):
    """Every key that something on the page of a demo unfolds, found by opening all that is there until nothing new comes."""
    keys = frozenset(("compare", "text"))
    while True:
        with equations_of(name):
            page = Parsed(
                "".join(sections(render(f"open {name}", document_of(name, open=keys), shown_of(name))).values())
            )
        found = (
            keys
            | {one["what"] for one in page.does() if one["do"] == "open"}
            | {f"q-{one}" for one in shown_of(name).answers}
        )
        if found == keys:
            return keys
        keys = found


@functools.cache
def whole(name, system):
    """Every part of a demo's page with all that can be unfolded unfolded."""
    with equations_of(name):
        return sections(render(f"whole {name}", document_of(name, system=system, open=openings(name)), shown_of(name)))


# ---- Opening, and typing into blanks ---------------------------------------------------------------------------------


def test_a_demo_opens_and_says_what_the_library_says(truck):
    sheet = springwright.size(load(truck.document.path))
    chain, spring, weigh = truck.part("spring"), truck.part("spring").text, truck.part("weigh").text
    for i, (rate, one) in enumerate(zip(sheet.rates, sheet.springs, strict=True)):
        assert chain.blank("axles", i, "target", WHEEL)["value"] == show(rate.wheel_rate, "rate")
        assert chain.blank("axles", i, "target", SPRING)["value"] == show(rate.spring_rate, "rate")
        assert f"{number(one.fitted.rate, 'rate')}" in spring
        assert one.fitted.label in spring
    for state in sheet.states:
        assert number(state.mass, "mass") in weigh
    assert not truck.document.dirty
    assert "truck.toml, saved" in truck.part("head").text


@pytest.mark.parametrize(
    ("system", "text", "written"),
    [
        ("metric", "180 kg", "180 kg"),
        ("metric", "400 lb", "400 lb"),
        ("metric", "180", "180 kg"),
        ("imperial", "400 lb", "400 lb"),
        ("imperial", "400", "400 lb"),
        ("imperial", " 180kg ", "180kg"),
    ],
)
def test_the_crew_grows_heavier(truck, system, text, written):
    """A bare number takes the unit that is shown; a unit of one's own stays as it was written."""
    truck.do("view", name="system", value=system)
    at = ("items", truck.item("crew"), "mass")
    truck.put(*at, value=text)
    assert not truck.document.wrong
    assert said_at(tomllib.loads(truck.document.file.text), at) == written
    assert truck.design.items[at[1]].mass == pytest.approx(parse(written, "mass"), rel=1e-9)
    by_hand = changed(load(truck.document.path), [(at, written)])
    assert truck.document.file.text == by_hand.text
    with displayed_in(system):
        expected = [
            show(springwright.size(by_hand).rates[0].wheel_rate, "rate"),
            number(parse(written, "mass"), "mass"),
        ]
    assert truck.part("spring").blank("axles", 0, "target", WHEEL)["value"].split()[0] == expected[0].split()[0]
    assert split(truck.part("weigh").blank(*at)["value"])[0] == pytest.approx(split(expected[1])[0], abs=0.51)


@pytest.mark.parametrize("name", ["fire-watch", "survey-buggy", "bog-carrier"])
@pytest.mark.parametrize(
    ("figure", "text", "wanted"),
    [(WHEEL, "41.5 N/mm", "41.5 N/mm"), (SPRING, "240 lbf/in", "240 lbf/in"), (SPRING, "52", "52 N/mm")],
)
def test_the_chain_reads_both_ways(desk, name, figure, text, wanted):
    """A rate that is written over is what the sizing then works out from the target."""
    sheet = Sheet(desk).begin(name, "chain")
    for i, axle in enumerate(sheet.design.axles):
        if axle.target is None:
            continue
        at = ("axles", i, "target", figure)
        sheet.put(*at, value=text)
        assert not sheet.document.wrong
        rates = springwright.size(sheet.document.file).rates[i]
        got = rates.wheel_rate if figure == WHEEL else rates.spring_rate
        assert got == pytest.approx(parse(wanted, "rate"), rel=2e-4)
        assert sheet.document.undoes == f"{'.'.join(map(str, at))}, {text}"


def test_a_rate_becomes_the_target_on_the_basis_it_names(truck):
    """By hand: springs in series, 1 / (1 / k_wheel + 1 / k_tyre), and f = sqrt(k / m) / 2 pi (general mechanics), on all the wheel carries."""
    truck.put("axles", 0, "target", "stiffness", value="ride rate").put(
        "axles", 0, "target", "mass", value="total mass"
    )
    truck.put("axles", 0, "target", WHEEL, value="33 N/mm")
    axle, load = truck.design.axles[0], springwright.size(truck.document.file).rates[0].axle_load
    series = 1 / (1 / 33e3 + 1 / axle.tyre.rate)
    assert axle.target.frequency == pytest.approx(math.sqrt(series / (load / 2)) / (2 * math.pi), abs=6e-5)


@pytest.mark.parametrize("text", ["-3", "0", "12 parsnips", "40 kg", "", "1e400 N/mm", "nan N/mm", "9e9 N/mm"])
def test_a_rate_that_cannot_be_is_told_at_its_own_blank(truck, text):
    before, at = truck.document.file.text, ("axles", 1, "target", SPRING)
    truck.put(*at, value=text)
    assert list(truck.document.wrong) == [at]
    assert truck.document.file.text == before
    page = truck.part("spring")
    assert page.blank(*at)["aria-invalid"] == "true"
    assert "aria-invalid" not in page.blank("axles", 1, "target", "frequency")
    truck.press(next(one for one in page.does() if one["do"] == "mend"))
    assert not truck.document.wrong
    for nowhere in (("axles", 9, "target", WHEEL), ("axles", -1, "target", WHEEL), ("axles", "x", "target", SPRING)):
        truck.put(*nowhere, value="40 N/mm")
        assert "no such place" in truck.document.said


@pytest.mark.parametrize("text", ["12 parsnips", "1.2 m", "-5 kg", "", "1,200 kg", "nan kg", "<b>180</b> kg", "kg"])
def test_what_cannot_be_is_told_in_the_command_lines_words_and_the_last_good_state_stays(truck, text):
    at = ("items", truck.item("crew"), "mass")
    truck.put(*at, value="180 kg").put(*at, value=text)
    with pytest.raises(InputError) as fault:
        read_text(truck.document.file.text.replace('mass = "180 kg"', f"mass = {json.dumps(text)}"), "truck.toml")
    assert truck.design.items[at[1]].mass == 180
    assert truck.document.undoes == "items.0.mass, 180 kg"
    weigh, strip = truck.part("weigh"), truck.part("watch")
    told = weigh.text
    assert " ".join(fault.value.faults[0].message.split()) in told
    assert "The sheet still uses 180 kg" in told
    assert "1 to mend" in strip.text
    blank = weigh.blank(*at)
    assert (blank["value"], blank["aria-invalid"]) == (text, "true")
    assert blank["aria-describedby"] in {of.get("id") for _, of in weigh.elements}
    (mend,) = [one for one in weigh.does() if one["do"] == "mend"]
    truck.press(mend)
    assert not truck.document.wrong
    assert split(truck.part("weigh").blank(*at)["value"])[0] == 180
    assert "to mend" not in truck.part("watch").text


def test_a_wrong_blank_elsewhere_does_not_stop_the_work(truck):
    truck.put("items", 0, "mass", value="heavy").put("items", 1, "mass", value="90 kg")
    assert truck.design.items[1].mass == 90
    assert list(truck.document.wrong) == [("items", 0, "mass")]
    truck.put("items", 0, "mass", value="170 kg")
    assert not truck.document.wrong


def test_an_edit_that_the_whole_design_cannot_take_is_told_at_its_blank(truck):
    """Nothing is wrong with the text as such; what it would lead to cannot be."""
    before = truck.document.file.text
    truck.put("axles", 0, "travel", "bump", value="2 m")
    truck.put("axles", 0, "spring", "acts", "by", value="strut")
    assert truck.document.file.text == before or ("axles", 0, "travel", "bump") not in truck.document.wrong
    assert "pivot points" in truck.document.wrong["axles", 0, "spring", "acts", "by"].message


def test_a_message_that_names_no_place_changes_nothing(truck):
    before = truck.document.file.text
    truck.put("nowhere", value="1 m").put("axles", 9, "track", value="1 m").put("items", 0, "colour", value="red")
    assert truck.document.file.text == before
    assert "no such place" in truck.document.said
    for asked in ({"at": [], "value": "1"}, {"at": "items", "value": "1"}, {"at": ["items", 0, "mass"], "value": 3}):
        with pytest.raises(LookupError):
            ACTIONS["put"](truck.document, asked)


def test_renaming_what_is_aboard_keeps_it_aboard(truck):
    index, before = truck.item("crew"), [len(state.aboard) for state in truck.design.states]
    truck.put("items", index, "name", value="two rangers").put("states", truck.state("Full"), "name", value="Laden")
    assert not truck.document.wrong
    assert truck.design.items[index].name == "two rangers"
    assert [len(state.aboard) for state in truck.design.states] == before
    assert "two rangers" in truck.design.states[truck.state("Crew")].aboard
    assert truck.design.design_state == "Laden"


def test_the_speed_of_the_page_is_read_in_the_system_shown(truck):
    truck.do("view", name="speed", value="50")
    assert truck.document.view.speed == pytest.approx(50 / 3.6)
    truck.do("view", name="system", value="imperial").do("view", name="speed", value="25")
    assert truck.document.view.speed == pytest.approx(25 * 0.44704)
    for wrong in ("0", "fast", "900 km/h", "3 kg"):
        truck.do("view", name="speed", value=wrong)
        assert truck.document.said
        assert truck.document.view.speed == pytest.approx(25 * 0.44704)
    assert not truck.document.dirty  # what is looked at is no part of the design


# ---- Going back and forth --------------------------------------------------------------------------------------------


def test_the_curves_along_the_travel_are_picked_on_the_page(truck):
    truck.do("view", name="curve-1", value="wheel rate")
    assert truck.document.view.curves == ("", "wheel rate", "")
    assert "wheel rate N/mm" in " ".join(truck.part("force").text.split())
    truck.do("view", name="curve-1", value="what no curve is called")
    assert truck.document.view.curves == ("", "wheel rate", "")


def test_every_edit_can_be_undone_and_made_again(desk):
    document = Sheet(desk).begin("", "blank").document
    texts = [document.file.text]
    for k in range(25):
        document.write(("items", 0, "mass"), f"{50 + k} kg", "load")
        texts.append(document.file.text)
    assert len(set(texts)) == 26
    for text in reversed(texts[:-1]):
        assert document.undoes
        ACTIONS["undo"](document, {})
        assert document.file.text == text
    ACTIONS["undo"](document, {})  # nothing is left to undo, and nothing happens
    assert (document.file.text, document.undoes, document.dirty) == (texts[0], "", False)
    for text in texts[1:]:
        ACTIONS["redo"](document, {})
        assert document.file.text == text
    assert document.redoes == ""


def test_a_gesture_is_one_step_back(truck):
    at = ("axles", 0, "target", "frequency")
    truck.put(*at, value="1.31 Hz")
    for k in range(2, 8):
        truck.put(*at, value=f"1.3{k} Hz", gesture="drag-1")
    truck.put(*at, value="1.40 Hz", gesture="drag-2")
    heard = []
    while truck.document.past:
        heard.append(truck.design.axles[0].target.frequency)
        truck.do("undo")
    assert heard == pytest.approx([1.40, 1.37, 1.31])
    assert truck.design.axles[0].target.frequency == 1.30


def test_a_new_edit_after_undo_leaves_the_old_future(truck):
    truck.put("items", 0, "mass", value="180 kg").put("items", 0, "mass", value="190 kg").do("undo")
    assert truck.document.redoes == "items.0.mass, 190 kg"
    truck.put("items", 0, "mass", value="200 kg")
    assert truck.document.redoes == ""
    truck.do("undo")
    assert truck.design.items[0].mass == 180


def test_the_buttons_say_what_they_undo(truck):
    assert [of.get("disabled", "no") for tag, of in truck.part("head").elements if "undo" in of.get("data-do", "")] == [
        None
    ]
    truck.put("items", 0, "mass", value="180 kg")
    assert "Undo items.0.mass, 180 kg" in truck.part("head").text
    assert "truck.toml, not saved" in truck.part("head").text
    truck.do("undo")
    assert "Redo items.0.mass, 180 kg" in truck.part("head").text


# ---- What goes aboard ------------------------------------------------------------------------------------------------


def test_something_is_put_aboard_and_a_state_is_added(truck):
    sized = springwright.size(truck.document.file)
    heaviest = max(state.mass for state in sized.states)
    truck.do("add", list="items")
    name = truck.design.items[-1].name
    truck.put("items", len(truck.design.items) - 1, "mass", value="60 kg")
    full = truck.state("Full")
    truck.do("aboard", state=full, item=name)
    assert name in truck.design.states[full].aboard
    assert springwright.size(truck.document.file).states[full].mass == pytest.approx(heaviest + 60)
    truck.do("aboard", state=full, item=name)
    assert name not in truck.design.states[full].aboard
    truck.do("add", list="states").do("add", list="states")
    assert len({state.name for state in truck.design.states}) == len(truck.design.states) == 6
    assert springwright.size(truck.document.file).states[-1].mass == pytest.approx(heaviest + 60)
    truck.do("save")
    assert springwright.size(load(truck.document.path)).states[-1].name == truck.design.states[-1].name


def test_everything_aboard_can_be_taken_out_and_every_state_but_one(truck):
    while truck.design.items:
        truck.do("remove", list="items", index=0)
        assert not truck.document.said
        read_text(truck.document.file.text, "truck.toml", truck.document.path.parent)
    assert all(not state.aboard and not state.fill for state in truck.design.states)
    kerb = springwright.size(truck.document.file).kerb.mass
    assert all(state.mass == pytest.approx(kerb) for state in springwright.size(truck.document.file).states)
    while len(truck.design.states) > 1:
        before = truck.document.file.text
        truck.do("remove", list="states", index=len(truck.design.states) - 1)
        if truck.document.said:  # a state that the duty cycle or something else names: told, and nothing is broken
            assert truck.document.file.text == before
            assert truck.document.said.startswith("truck.toml")
            break
        read_text(truck.document.file.text, "truck.toml", truck.document.path.parent)
    while truck.document.past:
        truck.do("undo")
    assert truck.document.file.text == truck.document.saved


def test_ticks_are_where_the_file_says(truck):
    weigh = truck.part("weigh")
    ticks = [(json.loads(of["data-tick"]), "checked" in of) for _, of in weigh.elements if "data-tick" in of]
    assert len(ticks) == len(truck.design.items) * len(truck.design.states)
    for asked, is_on in ticks:
        assert is_on == (asked["item"] in truck.design.states[asked["state"]].aboard)
    assert truck.part("weigh").blank("states", truck.state("Half tank"), "fill", "water")["value"] == "50 %"


# ---- Springs and dampers ---------------------------------------------------------------------------------------------


def test_a_catalogue_spring_is_chosen_a_coil_taken_and_both_left_again(truck):
    before = springwright.size(truck.document.file).springs[0].fitted
    choices = [one for one in truck.part("spring").does() if one["do"] == "spring" and one["axle"] == 0]
    part = next(one for one in choices if "part" in one and one["part"] != before.label)
    truck.do("spring", axle=0, part=part["part"])
    found = springwright.size(truck.document.file).springs[0].fitted
    assert found.label == part["part"]
    assert f"= {number(found.frequency, 'frequency', 3)}" in truck.part("spring").text

    coil = next(one for one in choices if "coil" in one)
    truck.do("spring", axle=0, coil=coil["coil"])
    assert truck.design.axles[0].spring.part is None
    made = springwright.size(truck.document.file).springs[0].fitted
    assert made.rate == pytest.approx(springwright.size(truck.document.file).rates[0].spring_rate, rel=0.02)
    assert number(made.rate, "rate") in truck.part("spring").text

    truck.do("spring", axle=0)
    assert springwright.size(truck.document.file).springs[0].fitted == before
    truck.do("undo").do("undo").do("undo")
    assert truck.document.file.text == truck.document.saved


def test_a_spring_that_is_not_in_the_catalogue_is_refused(truck):
    before = truck.document.file.text
    truck.do("spring", axle=1, part="Nobody 1-2-3")
    assert truck.document.file.text == before
    assert "Nobody 1-2-3" in truck.document.said
    assert "Nobody 1-2-3" in truck.part("head").text


def test_a_damper_is_written_as_points_dragged_and_follows_its_target_again(truck):
    before = springwright.size(truck.document.file).rates[0].damping
    truck.do("damper", axle=0, points=True)
    assert not truck.document.said
    points = truck.design.axles[0].damper.points
    assert [speed for speed, _ in points] == sorted(speed for speed, _ in points)
    assert before.rebound > before.bump > 0
    last = len(points) - 1
    for force in (3100, 3200, 3300):
        truck.put("axles", 0, "damper", "points", last, 1, value=f"{force} N", gesture="slide-1")
    assert truck.design.axles[0].damper.points[last][1] == 3300
    assert {of["id"] for _, of in truck.part("damp").elements if of.get("role") == "slider"} == {
        f"d-0-{k}" for k, (speed, _) in enumerate(points) if speed
    }
    truck.do("damper", axle=0, points=False)
    assert truck.design.axles[0].damper.points is None
    assert springwright.size(truck.document.file).rates[0].damping == before
    truck.do("undo").do("undo").do("undo")
    assert truck.document.file.text == truck.document.saved


@pytest.mark.parametrize(
    ("system", "row"), [("metric", ("100 °C", "110 °C", "+10 °C")), ("imperial", ("212 °F", "230 °F", "+18 °F"))]
)
def test_a_warmer_damper_is_told_as_the_last_edit_left_it(system, row):
    """A temperature that decides is told as any figure is: water boils at 100 degC or 212 degF, and 10 K are 18 degF (SI brochure, NIST SP 811)."""
    was, now = (
        answers.answer(
            "last",
            "",
            (
                answers.figure(
                    "damper temperature, rear",
                    kelvin,
                    "at most",
                    363.15,
                    "K",
                    "temperature",
                    "your limit",
                    id="damper_temperature",
                ),
            ),
        )
        for kelvin in (373.15, 383.15)
    )
    page = SimpleNamespace(
        shown=Shown({"last": now}, before={"last": was}, stale=frozenset(one.name for one in QUESTIONS) - {"last"})
    )
    with displayed_in(system):
        (told,), _ = changed_rows(page)
    assert (told["was"], told["now"], told["change"]) == row


def test_what_the_last_edit_changed_is_told_beside_it(truck):
    shown = truck.sheet.shown
    shown.answers = dict(shown_of("fire-watch").answers)
    shown.settled = dict(shown.answers)
    truck.put("axles", 0, "target", "frequency", value="1.45 Hz")
    assert shown.stale >= set(shown.answers)
    assert 'class="late"' in render(truck.sheet.name, truck.document, shown)["watch"]
    after = springwright.prove(truck.document.file, ["stand", "level"], sensitive=False)
    shown.answers, shown.stale = {one.question: one for one in after.answers}, frozenset()
    told = truck.part("aim").text
    was, now = (
        next(one for one in found.answers if one.question == "stand").deciding for found in (proof("fire-watch"), after)
    )
    assert was.measure == now.measure
    assert f"Stands? {unit_of(now.kind)} {number(was.value, was.kind)} {number(now.value, now.kind)}" in told
    assert "was now change" not in truck.part("weigh").text


# ---- The file on disk ------------------------------------------------------------------------------------------------


def test_saving_keeps_comments_and_the_builders_own_units(truck):
    path = truck.document.path
    path.write_text(path.read_text().replace('mass = "170 kg"', 'mass = "375 lb"   # weighed, two of them'))
    sheet = Sheet(truck.desk)
    sheet.desk.sheets.clear()
    sheet.open(path)
    before = path.read_text().splitlines()
    sheet.put("items", sheet.item("water"), "mass", value="0.42 t").do("save")
    after = path.read_text().splitlines()
    assert [(a, b) for a, b in zip(before, after, strict=True) if a != b] == [
        ('mass = "400 kg"                # the tank full', 'mass = "0.42 t"                # the tank full')
    ]
    assert load(path).design.items[2].mass == pytest.approx(420)
    assert not sheet.document.dirty
    assert "truck.toml, saved" in sheet.part("head").text


def test_a_save_that_fails_leaves_the_file_whole_and_says_so(truck, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    path = truck.document.path
    before = path.read_bytes()
    truck.put("items", 0, "mass", value="180 kg")
    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", full)
        ACTIONS_SAVE = ACTIONS["save"]
        with pytest.raises(InputError, match="No space left"):
            ACTIONS_SAVE(truck.document, {})
    assert path.read_bytes() == before
    assert truck.document.dirty
    assert [one.name for one in path.parent.iterdir() if one.name.startswith(".")] == []
    truck.do("save")
    assert load(path).design.items[0].mass == 180


def changed_elsewhere(sheet):
    """An edit of the open file by another program."""
    path = sheet.document.path
    path.write_text(path.read_text().replace('mass = "80 kg"', 'mass = "95 kg"'))


def test_a_change_on_disk_is_noticed_and_never_written_over(truck):
    truck.put("items", 0, "mass", value="180 kg")
    assert truck.document.on_disk() is None
    changed_elsewhere(truck)
    theirs = truck.document.path.read_text()
    assert truck.document.on_disk() == theirs
    truck.do("save")
    assert truck.document.path.read_text() == theirs
    assert "was changed elsewhere" in truck.document.said
    truck.document.elsewhere = True  # as the watch on the disk says within a second
    head = truck.part("head")
    assert {"read", "save", "beside"} <= {one["do"] for one in head.does()}
    assert "was changed on disk" in head.text


def test_keep_mine(truck):
    truck.put("items", 0, "mass", value="180 kg")
    changed_elsewhere(truck)
    truck.do("save", over=True)
    assert load(truck.document.path).design.items[0].mass == 180
    assert load(truck.document.path).design.items[1].mass == 80
    assert truck.document.on_disk() is None
    assert not truck.document.elsewhere


def test_read_it(truck):
    truck.put("items", 0, "mass", value="180 kg")
    changed_elsewhere(truck)
    truck.do("read")
    assert (truck.design.items[0].mass, truck.design.items[1].mass) == (170, 95)
    assert not truck.document.dirty
    truck.do("undo")  # what was here is one step back
    assert (truck.design.items[0].mass, truck.design.items[1].mass) == (180, 80)
    assert truck.document.dirty
    truck.do("save")
    assert load(truck.document.path).design.items[0].mass == 180


def test_a_broken_file_on_disk_is_told_and_the_sheet_goes_on(truck):
    truck.document.path.write_text("this is no design")
    truck.do("read")
    assert truck.document.said
    assert truck.design.items[0].mass == 170
    assert truck.document.on_disk() == "this is no design"


def test_the_text_of_the_file_is_edited_as_a_whole(truck):
    truck.do("open", what="text")
    text = truck.document.file.text
    truck.do("text", text=text.replace('mass = "170 kg"', 'mass = "12 parsnips"'))
    assert "parsnips" in truck.part("text").text
    assert truck.document.file.text == text
    truck.do("text", text=text.replace('mass = "170 kg"', 'mass = "185 kg"'))
    assert truck.design.items[0].mass == 185
    assert truck.document.text_said == ""
    truck.do("undo")
    assert truck.document.file.text == text


def test_a_state_is_kept_as_a_named_revision(truck):
    truck.put("axles", 0, "target", "frequency", value="1.35 Hz").do("keep", name="Stiffer front!")
    (kept,) = truck.document.revisions()
    assert kept.name == "truck.stiffer-front.toml"
    assert springwright.size(load(kept)).rates[0].frequency == pytest.approx(1.35)
    assert kept.name in truck.part("head").text
    assert load(truck.document.path).design.axles[0].target.frequency == 1.30  # the design itself is not saved by it
    truck.do("keep", name="stiffer front")
    assert "already" in truck.document.said
    truck.do("keep", name=" /.. ")
    assert "letters or figures" in truck.document.said
    truck.do("keep", name="../../elsewhere")
    assert {one.parent for one in truck.document.revisions()} == {truck.desk.folder}


def test_a_design_may_not_name_files_outside_its_folder(truck):
    before = truck.document.file.text
    truck.do("text", text=before.replace('"springs.csv"', '"../springs.csv"'))
    assert "outside" in truck.document.text_said
    assert truck.document.file.text == before


def test_the_rest_of_the_page_lets_what_is_done_meanwhile_go_first(truck, monkeypatch):
    made, parts_of = [], open_sheet.render

    def slowly(*given):
        *given, only, before_each = given

        def waits():
            before_each()
            time.sleep(0.05)

        if only is None:
            made.append("begun")
        try:
            parts = parts_of(*given, only, waits)
        except Exception:
            made.append("left off")
            raise
        made.append("all" if only is None else "in sight")
        return parts

    monkeypatch.setattr(open_sheet, "render", slowly)

    async def edits():
        for value in ("1.31 Hz", "1.32 Hz"):
            await truck.sheet.act(
                lambda one, to=value: one.write(("axles", 0, "target", "frequency"), to), sight=frozenset({"aim"})
            )
            while made[-1] == "in sight":  # from then on the rest takes as long as a second
                await asyncio.sleep(0.01)
        await asyncio.gather(*(asyncio.all_tasks() - {asyncio.current_task()}))

    asyncio.run(edits())
    assert made[:5] == ["in sight", "begun", "left off", "in sight", "begun"]
    assert "all" in made[5:]
    assert truck.document.file.text.count("1.32 Hz") == 1


def test_a_change_shown_with_the_next_is_kept_before_both_are_answered_to(truck, desk, monkeypatch):
    """Even where the next is a step of a drag, of which copies are put away later: killed after the answer, nothing of it is lost."""
    monkeypatch.setattr("springwright.workbench.copies.KEEP", 60.0)
    kept = []

    async def answered(message):
        if message["n"] is not None:
            copies = [one.read_text() for one in (desk.home / "recovery").glob("*.json")]
            kept.append((message["n"], ["1.31 Hz" in copy for copy in copies]))

    async def edits():
        visitor = Visitor(answered)
        truck.sheet.audience.visitors.append(visitor)

        async def put(value, number, **more):
            at = ("axles", 0, "target", "frequency")
            await truck.sheet.act(lambda one: one.write(at, value), reply=Reply(visitor, number), **more)

        await truck.sheet.show()  # something was shown a moment ago
        await put("1.31 Hz", 1, acts_next=lambda: True)
        assert kept == []
        await put("1.32 Hz", 2, gesture="drag-1")
        for task in asyncio.all_tasks() - {asyncio.current_task()}:
            task.cancel()

    asyncio.run(edits())
    ((number, found),) = kept
    assert number == 2
    assert any(found)


def test_a_revision_that_names_a_file_outside_is_refused_before_that_file_is_read(truck):
    truck.do("keep", name="elsewhere")
    (kept,) = truck.document.revisions()
    kept.write_text(
        truck.document.file.text.replace('"springs.csv"', '"../nowhere.csv"')
    )  # reading it would say it is missing

    async def held():
        truck.sheet.beside_the_line(truck.sheet.hold_against(truck.desk, {"path": kept.name}))
        await asyncio.gather(*(asyncio.all_tasks() - {asyncio.current_task()}))

    asyncio.run(held())
    assert '"../nowhere.csv"' in truck.document.said
    assert "outside the design's folder" in truck.document.said
    assert "others" not in truck.sheet.shown.beside


def test_a_design_is_held_against_three_others_at_most_and_each_can_be_let_go(truck):
    names = ["softer", "stiffer", "taller", "wider"]
    for k, name in enumerate(names):
        truck.put("axles", 0, "target", "frequency", value=f"{1.0 + 0.05 * k} Hz").do("keep", name=name)

    def hold(**asked):
        async def held():
            truck.sheet.slow.answers_of = lambda *_: None  # each asks its questions: not of matter here
            await truck.sheet.hold_against(truck.desk, asked)

        asyncio.run(held())
        return [one.name for one in truck.sheet.shown.beside["others"]]

    kept = {name: next(one.name for one in truck.document.revisions() if name in one.name) for name in names}
    assert hold(path=kept["softer"]) == [kept["softer"]]
    assert hold(path=kept["stiffer"]) == [kept["softer"], kept["stiffer"]]
    assert hold(path=kept["softer"]) == [kept["stiffer"], kept["softer"]]  # read anew
    hold(path=kept["taller"])
    told = truck.part("beside")
    rows = " ".join(told.text.split())
    assert "Four stand side by side" in rows
    for name, aim in (("stiffer", "1.05"), ("softer", "1.00"), ("taller", "1.10")):
        assert f"{aim}" in rows.split("Springs", 1)[1], name
    assert hold(drop=kept["softer"]) == [kept["stiffer"], kept["taller"]]
    assert hold() == []


# ---- After a crash, and another day ----------------------------------------------------------------------------------


def test_nothing_is_lost_in_a_crash(truck):
    at = ("items", truck.item("crew"), "mass")
    truck.put(*at, value="180 kg").put(*at, value="190 kg").put(*at, value="200 kg").do("undo")
    truck.put("axles", 0, "track", value="wide")
    path, text = truck.document.path, truck.document.file.text
    on_disk = path.read_text()

    desk = Desk(truck.desk.folder, Idle(), truck.desk.home)  # the process has gone; another one is started
    assert desk.left() == [path]
    again = Sheet(desk).open(path)
    assert again.document.file.text == text
    assert path.read_text() == on_disk
    assert again.document.dirty
    assert "left without being saved" in again.part("head").text
    assert again.part("place").blank("axles", 0, "track")["value"] == "wide"
    assert again.document.wrong == truck.document.wrong
    again.do("redo")
    assert again.design.items[at[1]].mass == 200
    again.do("undo").do("undo")
    assert again.design.items[at[1]].mass == 180
    again.do("undo")
    assert again.document.undoes == ""
    again.do("redo").do("save")
    assert desk.left() == []
    assert load(path).design.items[at[1]].mass == 180
    assert Desk(desk.folder, Idle(), desk.home).open(path).document.past == []


def test_a_wrong_blank_alone_is_kept_over_a_crash(truck):
    truck.put("axles", 0, "track", value="wide")
    again = Sheet(Desk(truck.desk.folder, Idle(), truck.desk.home)).open(truck.document.path)
    assert again.document.wrong["axles", 0, "track"].text == "wide"
    assert not again.document.dirty


def test_a_torn_recovery_copy_does_not_stop_the_opening(truck):
    truck.put("items", 0, "mass", value="180 kg")
    (kept,) = (truck.desk.home / "recovery").glob("*.json")
    kept.write_text(kept.read_text()[:-40])
    again = Desk(truck.desk.folder, Idle(), truck.desk.home).open(truck.document.path)
    assert again.document.file.design.items[0].mass == 170


def test_a_copy_that_cannot_be_taken_away_does_not_stop_the_opening(truck, monkeypatch):
    """A home that has become read only: what was left unsaved is there all the same."""
    truck.put("items", 0, "mass", value="180 kg")

    def refused(*_, **__):
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(Path, "unlink", refused)
    again = Desk(truck.desk.folder, Idle(), truck.desk.home).open(truck.document.path)
    assert again.document.file.design.items[0].mass == 180


def test_a_change_on_disk_after_a_crash_is_not_written_over(truck):
    truck.put("items", 0, "mass", value="180 kg")
    changed_elsewhere(truck)
    theirs = truck.document.path.read_text()
    again = Sheet(Desk(truck.desk.folder, Idle(), truck.desk.home)).open(truck.document.path)
    assert again.design.items[0].mass == 180
    again.do("save")
    assert again.document.path.read_text() == theirs


def test_recent_designs_newest_first(desk):
    for k in range(RECENT + 2):
        Sheet(desk).begin("survey-buggy", f"buggy {k}")
    assert [path.stem for path in desk.recent()] == [f"buggy {k}" for k in range(RECENT + 1, 1, -1)]
    desk.recent()[0].unlink()
    assert f"buggy {RECENT + 1}" not in [path.stem for path in desk.recent()]
    another = Desk(desk.folder, Idle(), desk.home)
    first = another.open(desk.folder / "buggy 3.toml")
    assert another.recent()[0].stem == "buggy 3"
    assert another.open(desk.folder / "buggy 3.toml") is first  # one sheet to a file
    assert desk.may_open(desk.folder / "buggy 5.toml")
    assert not desk.may_open(desk.folder.parent / "home" / "recent.json")
    assert not desk.may_open(desk.folder / ".." / "other.toml")
    assert {path.stem for path in desk.designs_here()} == {f"buggy {k}" for k in range(RECENT + 1)}


@pytest.mark.parametrize("name", ["", " ", "../up", "a/b", "c\\d", ".hidden", "tab\there"])
def test_a_new_file_has_a_plain_name(desk, name):
    with pytest.raises(InputError, match="file name is wanted"):
        desk.begin("fire-watch", name)
    assert list(desk.folder.iterdir()) == []


def test_a_file_is_brought_to_the_page(desk):
    text = (DEMOS / "survey-buggy.toml").read_text().replace('catalogue = "springs.csv"', "")
    sheet = desk.bring("mine.toml", text)
    assert sheet.document.path == desk.folder / "mine.toml"
    with pytest.raises(InputError, match="there already"):
        desk.bring("mine.toml", text)
    with pytest.raises(InputError):
        desk.bring("broken.toml", "format = 2\n")
    assert not (desk.folder / "broken.toml").exists()
    with pytest.raises(InputError, match="lines"):
        desk.bring("long.toml", "\n" * 30_000)


# ---- The page as it stands -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", NAMES)
def test_every_section_of_every_demo_stands_folded_and_unfolded(name, system):
    parts, shown = whole(name, system), shown_of(name)
    for part, text in parts.items():
        assert text.strip().startswith("<")
        assert (part, Parsed(text).faults) == (part, [])
        assert f'id="{part}"' in text
    for folded, opened in ((frozenset(), openings(name)), (FOLDED, frozenset()), (frozenset(), frozenset())):
        with equations_of(name):
            page = Parsed(framed(f"whole {name}", document_of(name, system=system, folded=folded, open=opened), shown))
        assert page.faults == []
        ids, twice = page.ids()
        assert twice == []
        labels = {of.get("for") for _, of in page.elements}
        for tag, of in page.elements:
            assert "for" not in of or of["for"] in ids
            if tag == "a" and of.get("href", "").startswith("#") and not of.get("data-unfold"):
                assert of["href"][1:] in ids
            if "data-at" in of or tag == "textarea" or of.get("type") == "checkbox":
                assert of.get("aria-label") or of.get("id") in labels
            assert "style" not in of  # the policy forbids both
            assert not any(one.startswith("on") for one in of)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_on_the_page_is_left_unworded(name):
    """No Python, JSON or template shows through."""
    for system in SYSTEMS:
        for part, text in whole(name, system).items():
            told = re.search(r"\b(None|nan|inf|True|False|Undefined)\b|object at 0x|\{\{|\{%|\\u", Parsed(text).text)
            assert told is None or part == "text", (part, told)


METRIC = re.compile(r"\d[\d.\u202f]*[ \u202f](?:mm|m|kg|N/mm|km/h|m/s|N|kN|MPa|°C|bar|kPa|J)\b(?!(?:/s)?\^)[^,;]*")
SAID_BY_A_SOURCE = "hot coiled: 900 MPa at 10 mm to 700 MPa at 60 mm"


@pytest.mark.parametrize("name", ["fire-watch", "bog-carrier", "survey-buggy"])
def test_nothing_is_told_in_the_system_that_was_left(name):
    """Sized and rendered in one system, then in the other; only workings, and what sources and the file say, stay as they are."""
    document, file = document_of(name), load(DEMOS / f"{name}.toml")
    assert METRIC.search("".join(render(f"left {name}", document, Shown()).values()))
    opened = frozenset(f"q-{one.question}" for one in proof(name).answers)
    document.view = replace(document.view, system="imperial", open=opened)
    with displayed_in("imperial"):
        found = springwright.prove(file, sensitive=False)
        asked = {one.question: one for one in found.answers}
        shown = Shown(asked, notes=found.notes, window=full_window(file), settled=asked)
    parts = sections(render(f"left {name}", document, shown))
    parts["spring"] = re.sub(r'<p class="row"><span>.*?</p>', "", parts["spring"], flags=re.DOTALL)  # workings
    for part in ("head", "watch", "weigh", "aim", "place", "spring", "damp", "prove", "beside"):
        page = Parsed(parts[part])
        hints = " ".join(of["placeholder"] for _, of in page.elements if of.get("placeholder"))
        assert METRIC.findall(f"{page.text} {hints}".replace(SAID_BY_A_SOURCE, "")) == []


def test_nothing_is_said_to_be_answered_before_it_is(truck):
    async def begun():
        truck.sheet.slow.begin_later(0.0)
        return truck.part("watch").text

    told = asyncio.run(begun())
    assert "working out" in told
    assert "All seven answers" not in told


def test_a_change_of_units_has_the_answers_told_anew(truck):
    before = truck.sheet.slow.version
    truck.do("view", name="system", value="imperial")
    assert truck.sheet.slow.version == before + 1
    assert "ride" in truck.sheet.shown.stale
    assert truck.sheet.shown.before == {}  # no edit

    async def begun():
        truck.sheet.slow.begin()

    asyncio.run(begun())
    assert truck.desk.worker.asked[-1].system == "imperial"


@pytest.mark.parametrize("name", ["fire-watch", "start"])
def test_a_message_hangs_from_every_blank_that_holds_what_cannot_be(name):
    """A limit stands in Aim and in Prove: wherever a blank is marked, the message it names is there, once."""
    document = document_of(name, open=openings(name))
    blanks = list(dict.fromkeys(at for at, _, _ in Parsed("".join(whole(name, "metric").values())).blanks()))
    form = Form(document.file, {})
    wrong = [at for at in blanks if form.place(*at).sort == "quantity" and at[2:] not in WORKED_OUT]
    document.wrong = {at: Wrong("12 parsnips", "A message.", "a blank") for at in wrong}
    with equations_of(name):
        page = Parsed(framed(f"wrong {name}", document, shown_of(name)))
    ids, twice = page.ids()
    marked = [(at, of) for at, _, of in page.blanks() if "aria-invalid" in of]
    assert {at for at, _ in marked} == set(wrong)
    assert {of["aria-describedby"] for _, of in marked} <= ids
    assert twice == []
    assert {tuple(one["at"]) for one in page.does() if one["do"] == "mend"} == set(wrong)
    assert document.file.text == document.saved


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", NAMES)
def test_every_blank_can_be_read_and_written_back_unchanged(name, system):
    """What a blank shows, typed again, leaves the same value to the digits shown."""
    file = load(DEMOS / f"{name}.toml")
    every = Parsed("".join(whole(name, system).values())).blanks()
    drawn = {at: value for at, value, _ in every if not is_rate(at)}  # no file holds one
    assert len(drawn) > 60
    with displayed_in(system):
        places = {at: place(file.design, at) for at in drawn}
        assert [at for at, here in places.items() if here.sort == "other"] == []
        for at, value in drawn.items():
            here = places[at]
            if here.sort != "choice":
                assert bool(value) == (shown(here) != ""), at
            if here.optional:
                assert typed(here, "") in (None, ""), at
        filled = {
            at: value
            for at, value in drawn.items()
            if value and not (at[2:] in WORKED_OUT and said_at(tomllib.loads(file.text), at) is None)
        }
        again = changed(file, [(at, typed(places[at], value)) for at, value in filled.items()])
        for at, value in filled.items():
            before, after = places[at], place(again.design, at)
            if before.sort == "quantity":
                digits = re.match(r"[-+−]?([\d\s.]*)", value)[1]
                step = 0.5 * 10.0 ** -len(digits.strip().partition(".")[2]) * scale_of(before.kind)
                close = (
                    max(1.001 * step, 1e-5 * abs(before.value))
                    if not re.search(r"\de[+-]?\d", value)
                    else 1e-5 * abs(before.value)
                )
                assert after.value == pytest.approx(before.value, abs=close), (at, value)
            elif before.sort == "temperature":
                assert after.value == pytest.approx(before.value, abs=0.56), (at, value)
            else:
                assert after.value == before.value, (at, value)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", NAMES)
def test_enter_without_a_change_writes_nothing(name, system):
    """Every blank of every section, its own text committed again: the file stays what it was, to the letter, and there is nothing to undo."""
    document = document_of(name, open=openings(name), system=system)
    blanks = Parsed("".join(whole(name, system).values())).blanks()
    with displayed_in(system), document.evaluation:
        for at, value, _ in blanks:
            if not is_rate(at) and place(document.file.design, at).sort == "choice":
                continue  # speaks only when another is picked
            assert document.write(at, value), (at, value, document.wrong)
    assert document.file.text == document.saved
    assert document.past == []


def test_a_value_that_is_stepped_is_written_in_the_files_own_unit():
    document = document_of("fire-watch", system="imperial")
    text = document.file.text.replace('obstacle_speed = "25 km/h"', 'obstacle_speed = "7 m/s"')
    document = Document(document.file.saying(text), text, view=document.view)
    at = ("limits", "obstacle_speed")
    with displayed_in("imperial"), document.evaluation:
        document.write(at, "16 mph", gesture="step-1")  # as it is shown: 15.66
        assert document.file.text == text
        document.write(at, "17 mph", gesture="step-1")
        assert 'obstacle_speed = "7.59968 m/s"' in document.file.text  # 17 times 0.44704 exactly, BIPM
        assert document.title.endswith(", 17 mph")  # as it was seen
        document.write(at, "18 mph")
        assert 'obstacle_speed = "18 mph"' in document.file.text
        text = document.file.text.replace('height_change = "70 mm"', 'height_change = "1 070 mm"')
        document = Document(document.file.saying(text), text, view=document.view)
        document.write(("limits", "height_change"), "43 in", gesture="step-2")
        assert 'height_change = "1092.2 mm"' in document.file.text  # 43 times 25.4 exactly


WRITTEN = sorted(set(KINDS) - {"distance", "dose"})  # kinds a design file may hold


@settings(max_examples=300, deadline=None)
@given(
    kind=st.sampled_from(WRITTEN),
    value=st.floats(1e-3, 9.99e5) | st.floats(-9.99e5, -1e-3) | st.just(0.0),
    system=st.sampled_from(SYSTEMS),
    with_unit=st.booleans(),
)
def test_what_is_shown_can_be_typed(kind, value, system, with_unit):
    with displayed_in(system):
        here = FieldType(value * scale_of(kind), "quantity", kind)
        text = shown(here)
        unit = unit_of(kind)
        assume(unit or not with_unit)
        written = typed(here, f"{text} {unit}" if with_unit else text)
        assert parse(written, kind) == pytest.approx(here.value, rel=1.01e-5 if kind != "share" else 2e-5, abs=1e-12)
        assert (
            shown(replace(here, value=parse(written, kind))) == text
        )  # and it stays what it is, however often it is typed


@given(st.text(max_size=30))
def test_whatever_is_typed_is_told_or_taken(text):
    """No text that can be typed does more than be refused."""
    for here in (
        FieldType(1.0, "quantity", "mass"),
        FieldType(None, "quantity", "length", optional=True),
        FieldType(2, "whole"),
        FieldType(True, "flag"),
        FieldType(293.15, "temperature"),
        FieldType("a", "text"),
    ):
        written = typed(here, text)
        assert written is None or isinstance(written, str | int | float | bool)


# ---- Limits where they are read --------------------------------------------------------------------------------------


def numbered(name):
    """A demo with each of its limits moved by a share of its own, so that a figure's limit says which of them it is."""
    file = load(DEMOS / f"{name}.toml")
    limits = file.design.limits
    given = {field: value for field in type(limits).model_fields if isinstance(value := getattr(limits, field), float)}
    shares = {field: 1 + 1e-4 * (k + 1) for k, field in enumerate(given)}
    moved = limits.model_copy(update={field: value * shares[field] for field, value in given.items()})
    return file.with_design(file.design.model_copy(update={"limits": moved})), shares


@pytest.mark.parametrize("name", NAMES)
def test_every_limit_can_be_changed_where_it_is_read(name):
    file, shares = numbered(name)
    before = {(one.measure, one.state, one.ground): one for answer in proof(name).answers for one in answer.figures}
    after = springwright.prove(file, sensitive=False)
    seen = set()
    for answer in after.answers:
        for one in answer.figures:
            old = before.get((one.measure, one.state, one.ground))
            if old is None or not old.limit or one.limit is None:
                continue
            moved = one.limit / old.limit
            field = next((field for field, share in shares.items() if abs(moved - share) < 2e-5), None)
            at = limit_place(file.design, one.id, one.axle)
            if field is not None:
                seen.add(field)
                assert at == ("limits", field), one.measure
            elif at is not None and at[0] == "limits" and old.word != "not known":
                raise AssertionError(f"{one.measure}: its limit {old.limit} is not limits.{at[1]}")
            if at is not None and at[0] == "axles":
                with displayed_in("metric"):
                    assert Form(file, {}).place(*at).value == pytest.approx(one.limit), one.measure
    assert seen or name == "start"


def test_a_limit_that_is_not_given_can_be_given_where_it_is_missed():
    """A figure that is not known for want of a limit has a blank for it in Prove."""
    for name in NAMES:
        design = load(DEMOS / f"{name}.toml").design
        for answer in proof(name).answers:
            for one in answer.figures:
                wanted = re.search(r"limits\.(\w+)", one.why)
                if wanted:
                    assert limit_place(design, one.id, one.axle) == ("limits", wanted[1]), one.measure


def test_an_aim_written_the_other_way_takes_the_first_out():
    """A frequency where a sag stood, a sag where a frequency stood, a rate typed over a sag: one of them is in the file, never both."""
    document = Document.opened(DEMOS / "fire-watch.toml")
    aim = ("axles", 0, "target")
    assert document.write((*aim, "sag"), "150 mm")
    target = document.file.design.axles[0].target
    assert (target.sag, "frequency" in tomllib.loads(document.file.text)["axles"][0]["target"]) == (
        pytest.approx(0.15),
        False,
    )
    assert target.frequency == pytest.approx(math.sqrt(9.80665 / 0.15) / (2 * math.pi))
    assert document.write((*aim, "frequency"), "1.35 Hz")
    assert document.file.design.axles[0].target.sag is None
    assert document.file.design.axles[0].target.frequency == pytest.approx(1.35)


def test_a_new_name_is_carried_to_what_the_design_is_sure_of():
    document = Document.opened(DEMOS / "fire-watch.toml")
    name = document.file.design.items[0].name
    document.apply([(("sure",), [f"items.{name}.mass"])], "sure")
    assert document.write(("items", 0, "name"), "another")
    assert document.file.design.sure == ("items.another.mass",)


def test_axles_whose_names_begin_alike_are_told_apart(tmp_path):
    """ "rear" and "rear two": the whole page with a stop of each unfolded, each told as its own."""
    text = (DEMOS / "bog-carrier.toml").read_text()
    for old, new in (
        ('"second"', '"rear"'),
        ('"third"', '"rear two"'),
        ("second =", "rear ="),
        ("third =", '"rear two" ='),
    ):
        text = text.replace(old, new)
    (tmp_path / "alike.toml").write_text(text)
    (tmp_path / "springs.csv").write_text((DEMOS / "springs.csv").read_text())
    document = Document.opened(tmp_path / "alike.toml")
    assert [one.name for one in document.file.design.axles] == ["first", "rear", "rear two"]
    parts = frozenset(f"part-{i}-{kind}" for i in range(3) for kind in ("bump_stop", "droop_stop"))
    document.view = replace(document.view, open=parts)
    page = framed("alike", document, Shown())
    for name in ("first", "rear", "rear two"):
        assert f"{name} bump stop" in page.lower() or f"{name.capitalize()} bump stop" in page


def test_a_file_that_is_no_text_any_more_is_changed_elsewhere(truck):
    """Bytes of another encoding, or a file that may not be read: told, never written over; kept as it was where it is."""
    truck.put("items", 0, "mass", value="180 kg")
    path = truck.document.path
    theirs = path.read_text().replace("crew", "équipage").encode("latin-1")
    path.write_bytes(theirs)
    assert truck.document.elsewhere_now
    truck.do("save")
    assert path.read_bytes() == theirs
    assert "was changed elsewhere" in truck.document.said
    truck.do("save", over=True)
    assert load(path).design.items[0].mass == 180
    kept = path.with_name(f"{path.stem}.replaced-1.toml")
    assert kept.read_bytes() == theirs
    assert truck.document.said == f"What was on the disk is kept as {kept.name}."
    truck.put("items", 0, "mass", value="190 kg")
    truck.do("save")
    assert truck.document.said == ""
    assert not path.with_name(f"{path.stem}.replaced-2.toml").exists()


def test_of_two_that_save_at_once_one_wins_and_the_other_is_told(tmp_path):
    """Two workbenches on one file, twenty times: one is told that it is saved, and the disk holds what that one wrote."""
    path = tmp_path / "truck.toml"
    for _ in range(20):
        path.write_text((DEMOS / "start.toml").read_text())
        both = [Document.opened(path) for _ in range(2)]
        for document, mass in zip(both, ("151 kg", "161 kg"), strict=True):
            assert document.write(("items", 0, "mass"), mass)
        together = threading.Barrier(2)

        def save(document, together=together):
            together.wait()
            try:
                document.save()
            except InputError as fault:
                return str(fault)
            return ""

        with ThreadPoolExecutor(2) as pool:
            told = list(pool.map(save, both))
        assert sorted(bool(one) for one in told) == [False, True]
        assert path.read_text() == both[told.index("")].file.text


@pytest.mark.parametrize("harm", ["gone", "broken", "no text"])
def test_a_lost_catalogue_leaves_the_page_and_says_so(truck, harm):
    """Undo and Save work on; the part that needs the file says what is the matter; put back, it is read again."""
    catalogue = truck.document.path.with_name(truck.design.catalogue)
    was = catalogue.read_bytes()
    truck.put("items", 0, "mass", value="180 kg")
    if harm == "gone":
        catalogue.unlink()
    else:
        catalogue.write_bytes(b"part,rate\n1,2\n" if harm == "broken" else b"\xff\xfe\x00")
    truck.put("items", 0, "mass", value="190 kg")
    assert truck.design.items[0].mass == 190
    spring = truck.part("spring")
    assert truck.design.catalogue in spring.text
    assert "Springs are told without it" in spring.text
    truck.do("undo")
    assert truck.design.items[0].mass == 180
    truck.do("save")
    assert load(truck.document.path).design.items[0].mass == 180
    with pytest.raises(InputError):
        springwright.size(load(truck.document.path))
    catalogue.write_bytes(was)
    truck.put("items", 0, "mass", value="185 kg")
    assert "Springs are told without it" not in truck.part("spring").text


def test_a_kill_right_after_a_save_opens_what_was_saved(truck):
    """The copy of the state before is gone when the save is told, and one that was saved is never taken for unsaved."""
    truck.put("items", 0, "mass", value="180 kg")
    copies = truck.desk.home / "recovery"
    assert len(list(copies.glob("*.json"))) == 1
    truck.put("items", 0, "mass", value="190 kg")
    truck.document.save()  # and nothing after it: the process is killed
    assert list(copies.glob("*.json")) == []
    again = Sheet(Desk(truck.desk.folder, Idle(), truck.desk.home)).open(truck.document.path)
    assert (again.design.items[0].mass, again.document.dirty) == (190, False)
    again.put("items", 0, "mass", value="200 kg").do("save")
    assert load(truck.document.path).design.items[0].mass == 200


def test_every_process_has_a_copy_of_its_own(truck):
    """That of a workbench that runs is left alone; of those that are gone the last made is taken, whatever the clock said.

    The others are a step back each, and all are cleared away.
    """
    truck.put("items", 0, "mass", value="180 kg")
    copies, path = truck.desk.home / "recovery", truck.document.path
    (kept,) = copies.glob("*.json")
    name = kept.stem.rpartition("-")[0]
    running = copies / f"{name}-{os.getppid()}.json"
    running.write_bytes(kept.read_bytes().replace(b"180 kg", b"777 kg"))
    gone = [copies / f"{name}-{2**22 + k}.json" for k in (1, 2)]
    for one, mass, count, age in zip(gone, (b"188 kg", b"199 kg"), (b"7", b"8"), (10, 50), strict=True):
        said = kept.read_bytes().replace(b"180 kg", mass).replace(b'"copies": 1', b'"copies": ' + count)
        one.write_bytes(said)
        os.utime(one, (time.time() - age, time.time() - age))
    kept.unlink()
    again = Sheet(Desk(truck.desk.folder, Idle(), truck.desk.home)).open(path)
    assert again.design.items[0].mass == 199
    assert running.exists()
    assert not any(one.exists() for one in gone)
    again.do("undo")
    assert again.design.items[0].mass == 188
    assert running.exists()
    running.unlink()


@pytest.mark.parametrize("harm", ["gone", "broken", "no text"])
def test_a_lost_test_sheet_leaves_the_page_and_says_so(truck, harm):
    """What it said last is used: edits, Undo and Save work on, and the head says what is the matter; put back, it is read again."""
    sheet = truck.document.path.with_name("sheet.csv")
    sheet.write_text("speed [m/s],force [N]\n-0.5,-900\n0,0\n0.5,600\n")
    truck.put("axles", 0, "damper", "test_sheet", value="sheet.csv").put("items", 0, "mass", value="180 kg")
    if harm == "gone":
        sheet.unlink()
    else:
        sheet.write_bytes(b"speed,force\n1,2\n" if harm == "broken" else b"\xff\xfe\x00")
    truck.put("items", 0, "mass", value="190 kg").put("items", 0, "mass", value="191 kg")
    assert truck.design.items[0].mass == 191
    assert truck.design.axles[0].damper.points[-1][1] == 600
    assert "sheet.csv" in truck.part("head").text
    assert "what it said last is used" in truck.part("head").text
    truck.do("undo").do("save")
    assert truck.design.items[0].mass == 190
    assert not truck.document.dirty
    sheet.write_text("speed [m/s],force [N]\n-0.5,-900\n0,0\n0.5,700\n")
    truck.do("redo")
    assert truck.design.axles[0].damper.points[-1][1] == 700
    assert "what it said last is used" not in truck.part("head").text


def test_what_cannot_be_read_after_a_crash_is_told_and_kept(truck):
    """A file that the unsaved state reads is away: the saved one opens, and the copy waits for the file."""
    points = truck.document.path.with_name("sheet.csv")
    points.write_text("speed [m/s],force [N]\n-0.5,-900\n0,0\n0.5,600\n")
    truck.put("axles", 0, "damper", "test_sheet", value="sheet.csv").put("items", 0, "mass", value="180 kg")
    points.rename(points.with_suffix(".away"))
    desk = Desk(truck.desk.folder, Idle(), truck.desk.home)
    again = Sheet(desk).open(truck.document.path)
    assert again.design.items[0].mass == 170
    assert "left unsaved cannot be read now and is kept" in again.part("head").text
    points.with_suffix(".away").rename(points)
    after = Sheet(Desk(truck.desk.folder, Idle(), truck.desk.home)).open(truck.document.path)
    assert after.design.items[0].mass == 180


def test_what_cannot_be_kept_is_said_and_the_page_goes_on(tmp_path):
    """A home in which nothing can be written: designs open and are saved, and the page says that a crash would lose what is not."""
    home = tmp_path / "home"
    home.mkdir()
    (home / "recovery").write_text("in the way")
    (home / "recent.json").mkdir()
    (tmp_path / "truck.toml").write_text((DEMOS / "start.toml").read_text())
    sheet = Sheet(Desk(tmp_path, Idle(), home)).open(tmp_path / "truck.toml")
    sheet.put("items", 0, "mass", value="181 kg")
    assert "No copy can be kept against a crash" in sheet.part("head").text
    sheet.do("save")
    assert load(tmp_path / "truck.toml").design.items[0].mass == 181


def test_drafts_that_a_kill_left_are_cleared_and_fresh_ones_left(tmp_path):
    path = tmp_path / "truck [1].toml"
    path.write_text((DEMOS / "start.toml").read_text())
    old, fresh, other = (
        tmp_path / name for name in (".truck [1].toml.abcdefgh", ".truck [1].toml.ijklmnop", ".truck [1].toml.notes")
    )
    for one in (old, fresh, other):
        one.write_text("half")
    os.utime(old, (time.time() - 3600, time.time() - 3600))
    os.utime(other, (time.time() - 3600, time.time() - 3600))
    (tmp_path / "home").mkdir()
    Desk(tmp_path, Idle(), tmp_path / "home").open(path)
    assert (old.exists(), fresh.exists(), other.exists()) == (False, True, True)


def test_a_target_outside_its_window_is_said_wherever_it_is_judged():
    """In words, by how much, which way and for which limit: in the sizing, in the proof, on the strip's tape and in Prove; inside, nothing is said."""
    file = load(DEMOS / "fire-watch.toml")
    assert [one.outside for one in springwright.size(file).windows] == ["", ""]
    off = changed(file, [(("axles", 0, "target", "frequency"), "1.6 Hz")])
    window = springwright.size(off).windows[0]
    said = f"front: 1.60 Hz lies outside its window, {window.softest:.2f} Hz to {window.stiffest:.2f} Hz; {1.6 - window.stiffest:.2f} Hz too stiff for the preload at full droop"
    assert window.outside == said
    found = springwright.prove(off, ["level"], sensitive=False)
    assert found.windows == (said,)
    assert f"F{said[1:]}." in summary(found).says
    near = replace(window, target=window.stiffest + 0.001)
    assert "less than 0.01 Hz too stiff" in near.outside
    assert replace(window, bound_above="").outside.endswith("Hz too stiff for what is looked at")
    shut = replace(window, softest=None, stiffest=None, bound_below="bump load factor", bound_above="")
    assert shut.outside == "front: 1.60 Hz lies outside its window, which bump load factor at least 1.70 shuts"
    document = document_of("fire-watch")
    with displayed_in("metric"), document.evaluation:
        document.write(("axles", 0, "target", "frequency"), "1.6 Hz")
    page = framed("off", document, Shown())
    tape = page[page.index('data-step="aim"') : page.index('data-step="place"')]
    assert said in tape
    assert "not met" in tape
    assert f"F{said[1:]}" in page[page.index("Your other limits") :]
    inside = framed("on", document_of("fire-watch"), Shown())
    others = inside[inside.index("Your other limits") : inside.index("In each load state, and on each ground, alone")]
    assert others.count("aim in its window") == 4  # two axles, each in words and in its rail
    assert "outside" not in others
    assert others.count('role="img"') == 2 + len(springwright.size(file).ratings)


def test_a_damper_at_rest_gives_nothing_and_that_cannot_be_written():
    """No blank and no handle for the force at no speed; written into the file it is refused, and the message says where gas goes."""
    file = load(DEMOS / "fire-watch.toml")
    at = ("axles", 0, "damper", "points")
    given = [["-0.3 m/s", "-900 N"], ["0 m/s", "0 N"], ["0.3 m/s", "500 N"]]
    again = changed(file, [(at, given)])
    document = Document(again, again.text)
    with displayed_in("metric"), document.evaluation:
        document._settle_view()
    blanks = {place for place, _, _ in Parsed(framed("damper", document, Shown())).blanks()}
    assert {(*at, 0, 1), (*at, 1, 0), (*at, 2, 1)} <= blanks
    assert (*at, 1, 1) not in blanks
    with pytest.raises(InputError, match="write 0 N at no speed; what its gas pushes with goes into"):
        changed(file, [(at, [given[0], ["0 m/s", "120 N"], given[2]])])


def test_a_damper_measured_with_its_gas_is_read_as_it_is(tmp_path):
    """A maker's sheet may show what the gas pushes with at no speed: it is not the builder's to change."""
    text = (DEMOS / "fire-watch.toml").read_text()
    shutil.copy(DEMOS / "springs.csv", tmp_path)
    (tmp_path / "sheet.csv").write_text("speed [m/s],force [N]\n-0.3,-900\n0,25\n0.3,500\n")
    (tmp_path / "truck.toml").write_text(text.replace("[axles.damper]", '[axles.damper]\ntest_sheet = "sheet.csv"', 1))
    assert load(tmp_path / "truck.toml").design.axles[0].damper.points[1] == (0.0, 25.0)


def test_all_sections_fold_and_unfold_at_once(truck):
    steps = [one.name for one in PARTS if one.step]
    assert [*SECTIONS] == steps
    truck.do("folds", all=True)
    page = Parsed(framed("folds", truck.document, truck.sheet.shown))
    folded = {of["id"] for tag, of in page.elements if tag == "section" and "folded" in of.get("class", "")}
    assert folded >= set(SECTIONS)
    truck.do("unfold", part="place", open=[])
    assert "place" not in truck.document.view.folded
    truck.do("folds", all=False)
    assert truck.document.view.folded == frozenset()


def test_a_first_visit_opens_where_the_job_begins(desk):
    """Weigh and Aim; each later one as it was left to whoever comes, all unfolded."""
    path = desk.begin("fire-watch", "truck")
    assert frozenset(SECTIONS) - desk.open(path).document.view.folded == {"weigh", "aim"}
    later = Desk(desk.folder, Idle(), desk.home)
    assert later.open(path).document.view.folded == frozenset()


@pytest.mark.parametrize("name", NAMES)
def test_every_limit_given_has_a_verdict_in_sight(name):
    """A figure of one of the seven for each limit the file sets; shock and dose say how others are read, the preload is a yes or no."""
    given = load(DEMOS / f"{name}.toml").design.limits.model_fields_set - {"shock", "dose_decides", "preload_at_droop"}
    judged = {
        measure(one.id).limit[1:] for answer in proof(name).answers for one in answer.figures if one.limit is not None
    }
    assert {(one,) for one in given} <= judged


@pytest.mark.parametrize("ends", ["in good order", "in the midst"])
@pytest.mark.parametrize("count", [0, 1, MOST_WAITING - 1, MOST_WAITING, MOST_WAITING + 1, 3 * MOST_WAITING])
def test_all_that_a_page_has_sent_is_done_before_it_is_left(count, ends):
    """In its order, whether or not the next is looked at before its turn; more than may wait stays in the line."""
    sent = [{"type": "websocket.receive", "text": json.dumps({"do": "undo", "n": k})} for k in range(count)]
    sent.insert(count // 2, {"type": "websocket.receive", "text": '{"do": 7}'})  # passed over

    async def receive():
        if sent:
            return sent.pop(0)
        if ends == "in the midst":
            raise RuntimeError("the line is gone")
        return {"type": "websocket.disconnect"}

    async def story():
        heard, done = Heard(receive), []
        listening = asyncio.ensure_future(heard.listen())
        while (asked := await asyncio.wait_for(heard.next(), 5)) is not None:
            done.append(asked["n"])
            heard.acts_next()
        await listening
        return done

    assert asyncio.run(story()) == list(range(count))
