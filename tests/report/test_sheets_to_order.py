"""Sheets that a maker and a workshop accept: order pages alone, what is to be settled, valving once, the fitting sheet, letters that cannot be set."""

from __future__ import annotations

import numpy as np
import pytest
from typer.testing import CliRunner

from springwright.cli.main import app
from springwright.errors import InputError
from springwright.report.fitting import fitting_sections
from springwright.report.orders import every_page, part_page
from springwright.report.typeset import pages_pdf
from springwright.sizing.fitted import sized
from springwright.sizing.part_results import part
from springwright.vehicle.edits import changed
from springwright.vehicle.file import load
from tests.build import DEMOS, words_of


@pytest.fixture(scope="module")
def truck():
    return load(DEMOS / "fire-watch.toml")


def test_one_page_to_a_part(truck):
    import io

    from pypdf import PdfReader

    pages = every_page(truck)
    made = PdfReader(io.BytesIO(pages_pdf(pages, sized(truck))))
    assert len(made.pages) == len(pages) == 8
    for page in made.pages:
        assert "confirmed by the maker" in page.extract_text()
        assert sized(truck).revision in page.extract_text()


def test_a_spring_order_says_what_is_settled_and_leaves_the_rest_blank(truck):
    settled = {"winding": "right", "coating": "zinc phosphate, black", "price": 131.5, "currency": "EUR"}
    file = changed(truck, [(("axles", 0, "spring", "supply"), settled)])
    texts = every_page(file)[0].texts
    rows = dict(map(tuple, texts["settle"]))
    assert rows["hand of winding"] == "right"
    assert rows["price, each"] == "131.50 EUR"
    assert rows["fit of the ends"] == rows["delivery"] == ""
    assert rows["endurance asked"].startswith("a million strokes from ")
    facts = dict(texts["facts"])
    outside, inside, wire = (
        float(facts[name].split()[0]) for name in ("outside diameter", "inside diameter", "wire or bar")
    )
    assert inside == pytest.approx(outside - 2 * wire)
    assert sized(file).revision != sized(truck).revision


def test_a_damper_order_has_its_valving_once_in_one_unit(truck):
    record = part(truck, "front damper")
    texts = part_page(record).texts
    assert [row[0] for row in texts["table"]["rows"]] == ["0.05", "0.13", "0.26", "0.39", "0.52", "1.05"]
    for speed, bump, rebound in record.valving:
        assert bump == pytest.approx(np.interp(speed, record.pressed, record.forces), rel=1e-6)
        assert rebound == pytest.approx(-np.interp(-speed, record.pressed, record.forces), rel=1e-6)
        assert rebound > bump > 0
    facts = dict(texts["facts"])
    assert not any(" at 0." in name for name in facts)
    assert facts["stroke"] == "245.0 mm"
    assert dict(map(tuple, texts["settle"]))["eyes or studs, both ends"] == ""


def test_the_fitting_sheet_has_heights_lengths_order_of_work_and_cautions(truck):
    front, rear, work = fitting_sections(truck)
    rows = {row[0]: row for row in front.tables[0].rows}
    assert rows["between its seats at ride"][1] == "340 mm"
    assert rows["frame above ground"][1] == "590 mm"
    assert rows["from ride until the bump stop touches"][1] == "110 mm"
    assert rows["torque of each fastening"][1] == "as the maker says"
    assert {row[0] for row in rear.tables[0].rows} == set(rows)
    assert len(work.says) == 8
    assert any("compressor" in said for said in work.figures)


def test_the_commands(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name in ("fire-watch.toml", "springs.csv"):
        (tmp_path / name).write_bytes((DEMOS / name).read_bytes())
    run = CliRunner().invoke
    for more, name in (([], "orders.pdf"), (["--fitting"], "fitting.pdf")):
        done = run(app, ["order", "fire-watch.toml", *more, "-o", name])
        assert done.exit_code == 0, done.output
        assert (tmp_path / name).read_bytes().startswith(b"%PDF")
    assert "Order of work" in " ".join(words_of((tmp_path / "fitting.pdf").read_bytes()))
    assert isinstance(run(app, ["order", "fire-watch.toml", "--fitting"]).exception, InputError)
    assert isinstance(run(app, ["order", "fire-watch.toml", "--fitting", "-o", "x.csv"]).exception, InputError)


def test_letters_that_cannot_be_set_are_told(truck):
    file = changed(truck, [(("vehicle", "name"), "消防車 Wald")])
    said = " ".join(words_of(pages_pdf(every_page(file)[:1], sized(file))))
    assert "1 word could not be set" in said
    assert "U+6D88 U+9632 U+8ECA" in said
    plain = changed(truck, [(("vehicle", "name"), "Пожарная Ωmega Şık")])
    assert "could not be set" not in " ".join(words_of(pages_pdf(every_page(plain)[:1], sized(plain))))
