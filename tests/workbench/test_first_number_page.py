"""The start page's first number: what its blanks say is worked out, what cannot be is said, and it is carried into a sheet."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from types import SimpleNamespace
from urllib.parse import quote, urlencode

import pytest

from springwright.errors import InputError
from springwright.questions.prove import prove
from springwright.sizing.first_number import rate, taken_for_granted
from springwright.sizing.sheet import size
from springwright.vehicle.file import load
from springwright.vehicle.starter import start
from springwright.workbench.first import BLANKS, carried, read, told
from springwright.workbench.glances import glance, keep_verdicts, said_of
from springwright.workbench.model.document import Document
from springwright.workbench.model.shown import Shown
from tests.bench import Bench, compiled
from tests.build import DEMOS
from tests.served import served


def words(html):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def test_the_chain_reads_both_ways():
    """1.3 Hz, 2000 kg on four wheels, lever 300:450, by hand: 33.36 N/mm, 190.5 lbf/in, 75.06 N/mm."""
    asked = {**BLANKS, "mass": "2000 kg", "frequency": "1.3 Hz", "spring_at": "300 mm", "arm": "450 mm"}
    one = told(asked)
    assert (one["wheel_rate"], one["spring_rate"]) == ("33.36 N/mm", "75.06 N/mm")
    assert "190.5 lbf/in" in one["html"]
    back = told({**asked, "given": "spring_rate", "spring_rate": "75.06 N/mm"})
    assert (back["frequency"], back["wheel_rate"]) == ("1.30 Hz", "33.36 N/mm")
    other = told({**asked, "given": "wheel_rate", "wheel_rate": "190.5 lbf/in", "system": "imperial"})
    assert other["frequency"] == "1.30 Hz"
    assert other["spring_rate"] == "428.6 lbf/in"
    on_axle = told({**asked, "on": "axle"})
    assert on_axle["spring_rate"] == on_axle["wheel_rate"]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"mass": "heavy"}, "mass"), ({"mass": ""}, "mass"), ({"wheels": "four"}, "whole number"), ({"wheels": "900"}, "1 to 64"), ({"frequency": "1.25 kg"}, "frequency"),
        ({"arm": "0 mm"}, "more than 0"), ({"given": "luck"}, "is one of"), ({"mass": "-2 t"}, "more than 0"), ({"frequency": "0 Hz"}, "more than 0"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said(changes, says):
    found = told({**BLANKS, **changes})
    assert list(found) == ["fault"]
    assert says in found["fault"]


def test_what_was_assumed_moves_the_spring_by_what_a_hand_finds():
    """Each by its own rule: 20 % more mass; a tyre of 310 N/mm in series; 15 % that rides on no spring; 55 % in front; 15 degrees."""
    found = rate(2000.0, frequency=1.3, ratio=300 / 450)
    wheel, spring = 33359.3, 75058.4
    due = {
        "load": 1.2,
        "tyre": 310e3 / (310e3 - wheel),
        "wheels' own mass": 0.85,
        "balance": 1.1,
        "lean of the spring": 1.0718,
    }
    made = {one.what: one for one in taken_for_granted(found)}
    assert made.keys() == due.keys()
    for name, times in due.items():
        assert made[name].spring_rate == pytest.approx(times * spring, rel=1e-4)
    changes = [abs(one.change) for one in taken_for_granted(found)]
    assert changes == sorted(changes, reverse=True)


def test_it_is_carried_into_a_sheet(tmp_path):
    (tmp_path / "a.toml").write_text(carried(BLANKS, "My vehicle"))
    sheet = size(tmp_path / "a.toml")
    assert sheet.vehicle == "My vehicle"
    assert sheet.rates[0].wheel_rate == pytest.approx(read(BLANKS)[0].rates[0].wheel_rate, rel=2e-4)
    with pytest.raises(InputError, match="two axles"):
        carried({**BLANKS, "wheels": "2"}, "x")


def test_the_page(tmp_path):
    folder = tmp_path / "desk"
    folder.mkdir()
    with served(folder, demo="survey-buggy") as one:
        bench = Bench(compiled(one))
        page = bench.ask("/").text
        assert "A first number" in page
        assert "61.68 N/mm" in words(page) or "352.2 lbf/in" in words(page)
        heard = bench.ask(f"/first?{urlencode(BLANKS)}")
        assert json.loads(heard.text)["spring_rate"] == "61.68 N/mm"
        assert "fault" in json.loads(bench.ask("/first?mass=%00").text)
        assert "fault" in json.loads(bench.ask("/first").text)
        led = bench.post("/carry", urlencode({**BLANKS, "name": "mine.toml"}))
        assert led.status == 303
        assert len(load(folder / "mine.toml").design.estimates) == 22
        for name in ("mine.toml", "../up.toml", ""):
            assert bench.post("/carry", urlencode({**BLANKS, "name": name})).status == 422, name
        assert bench.post("/carry", urlencode({**BLANKS, "name": "no.toml", "mass": "x"})).status == 422
        assert not (folder / "no.toml").exists()


def test_what_is_told_of_a_design_at_a_glance(tmp_path):
    """Only of what may be opened; what was found is told of the state it was found of, and of no other."""
    folder = tmp_path / "desk"
    folder.mkdir()
    (tmp_path / "elsewhere.toml").write_text((DEMOS / "survey-buggy.toml").read_text())
    with served(folder, demo="survey-buggy") as one:
        bench = Bench(compiled(one))
        heard = json.loads(bench.ask(f"/glance?path={quote(str(folder / 'truck.toml'))}").text)
        assert heard["name"] == "Survey buggy"
        assert heard["svg"].count("<circle") == 4  # two wheels and their hubs
        assert json.loads(bench.ask("/glance?demo=bog-carrier").text)["svg"].count("<circle") == 6
        for path in ("/etc/passwd", str(tmp_path / "elsewhere.toml"), "", "../elsewhere.toml", "%00"):
            assert bench.ask(f"/glance?path={path if path == '%00' else quote(path)}").status == 403, path
        (folder / "broken.toml").write_text("format = 2\nx")
        assert (
            "cannot be read" in json.loads(bench.ask(f"/glance?path={quote(str(folder / 'broken.toml'))}").text)["said"]
        )
        assert "Where you were" in bench.ask("/").text


def test_what_was_found_is_kept_for_the_state_that_is_saved(tmp_path):
    path = start(tmp_path / "truck.toml", "survey-buggy")[0]
    document, answers = Document.opened(path), {one.question: one for one in prove(load(path)).answers}
    sheet = SimpleNamespace(document=document, shown=Shown(answers=answers))
    said = said_of(answers)
    assert said == "Rides? not met, 1 more"
    some = SimpleNamespace(document=document, shown=Shown(answers=dict([*answers.items()][2:3])))
    keep_verdicts(tmp_path, [some])
    assert glance(path, tmp_path)["said"] == ""  # of one question alone nothing is kept
    keep_verdicts(tmp_path, [sheet])
    assert glance(path, tmp_path)["said"] == said
    path.write_text(f"# another state\n{path.read_text()}")
    assert glance(path, tmp_path)["said"] == ""
    good = {name: replace(one, word="met") for name, one in answers.items()}
    assert said_of(good) == "7 met"
