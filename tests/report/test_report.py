"""What is told: PDF, page, table, terminal, drawings and JSON say what the result says."""

import csv
import io
import json
import re
from xml.etree import ElementTree as ET

import jsonschema
import pytest
import tomlkit
from pypdf import PdfReader
from rich.console import Console

from springwright.drawing.spring import spring_figure
from springwright.drawing.window import window_figure
from springwright.report.content import sections
from springwright.report.page import as_html
from springwright.report.rows import as_csv
from springwright.report.terminal import tell
from springwright.report.typeset import as_pdf
from springwright.sizing.sheet import Sheet, size
from springwright.units import displayed_in, show
from springwright.vehicle.file import load
from tests.build import DEMOS, design_file, vehicle

NAMES = ["fire-watch", "survey-buggy", "bog-carrier", "start"]
HOSTILE = '<script>alert(1)</script> #read("/etc/passwd") $x$ =1+1 & "quoted" \\frac{'
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def sheets():
    return {name: size(load(DEMOS / f"{name}.toml")) for name in NAMES}


def flat(text):
    return re.sub(r"[\s\u202f\u00a0]+", " ", text)


@pytest.mark.parametrize("name", NAMES)
def test_pdf_orders_every_spring_and_shows_the_working(sheets, name):
    sheet = sheets[name]
    pages = [flat(page.extract_text()) for page in PdfReader(io.BytesIO(as_pdf(sheet))).pages]
    for one, page in zip(sheet.springs, pages, strict=False):
        head = "Spring order" if one.record.coil else f"{one.record.kind.capitalize()} order"
        assert f"{'Spring to keep' if one.fitted.origin == 'existing' else head}, {one.axle} axle" in page
        told = one.record
        for point in told.points:
            assert flat(show(point.length, "length", 1)).removesuffix(" mm") in page
            if point.force:
                assert flat(show(point.force, "force")).removesuffix(" N") in page
        for word in (
            "signature",
            "Tolerances to ask for",
            "On arrival",
            one.record.coil.label if one.record.coil else one.record.kind,
        ):
            assert word in page
    whole = " ".join(pages)
    assert ("Invented for demonstration" in whole) == sheet.invented
    assert "Cautions" in whole
    assert "Every formula with its numbers" in whole
    for work in sheet.workings:
        assert work.title in whole


@pytest.mark.parametrize("name", NAMES)
def test_page_stands_on_its_own(sheets, name):
    page = as_html(sheets[name])
    assert not re.search(r'(src|href)="(?!#)', page)
    assert "<script" not in page
    heads = ["Spring" if one.record.coil else one.record.kind.capitalize() for one in sheets[name].springs]
    assert [page.count(f"<h2>{head} order") for head in heads] == [heads.count(head) for head in heads]
    assert sheets[name].windows[0].sentence.replace("<", "&lt;")[10:60] in page


def test_table_reads_back(sheets):
    rows = list(csv.reader(io.StringIO(as_csv(sheets["fire-watch"]))))
    rates = [float(row[1]) for row in rows if row and row[0] == "rate [N/mm]"]
    assert rates == pytest.approx([one.fitted.rate / 1e3 for one in sheets["fire-watch"].springs], rel=1e-4)
    ride = [row for row in rows if row and row[0] == "ride"][:2]
    assert [float(row[2]) for row in ride] == pytest.approx(
        [one.record.points[2].force for one in sheets["fire-watch"].springs], abs=0.5
    )
    assert sum("left out" in " ".join(row) for row in rows) > 100


@pytest.mark.parametrize("working", [False, True])
def test_terminal_says_what_was_found(sheets, working):
    out = io.StringIO()
    tell(sheets["fire-watch"], Console(file=out, width=160), working=working)
    text = flat(out.getvalue())
    rate = sheets["fire-watch"].rates[0]
    for said in (
        flat(show(rate.wheel_rate, "rate")).split()[0],
        rate.name,
        "Fire-watch truck",
        "Cautions",
        "1.28 to 1.43",
    ):
        assert said in text
    assert ("k_s = (k_w − F_s r_x) / r² = (37 204 − 5 552.9 · (−0.08869)) / 0.98481² = 38 869 N/m" in text) == working


def test_one_system_of_units_at_a_time(sheets):
    def texts(system):
        with displayed_in(system):
            sheet = size(load(DEMOS / "survey-buggy.toml"))
            for section in sections(sheet):
                yield from section.says
                for table in section.tables:
                    yield from (*table.head, table.note, *(cell for row in table.rows for cell in row))
            yield from sheet.notes

    metric = re.compile(r"\b(mm|kg|N|N/mm|MPa|N·m/deg|kg·m²)\b(?!.*coil to be made)")
    imperial = re.compile(r"\b(in|lb|lbf|lbf/in|ksi)$|\d (in|lb|lbf)\b")
    assert [text for text in texts("imperial") if metric.search(text) and "coil to be made" not in text] == []
    assert [text for text in texts("metric") if imperial.search(text)] == []


@pytest.mark.parametrize("name", NAMES)
def test_json_follows_its_schema(sheets, name):
    data = json.loads(json.dumps(sheets[name].to_json(), allow_nan=False))
    schema = Sheet.schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(data, schema)
    assert data["rates"][0]["spring_rate"] == {"value": sheets[name].rates[0].spring_rate, "unit": "N/m"}


def test_json_does_not_follow_when_a_field_is_renamed(sheets):
    data = sheets["start"].to_json()
    data["rates"][0]["spring_stiffness"] = data["rates"][0].pop("spring_rate")
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, Sheet.schema())


def test_spring_is_drawn_to_scale(sheets):
    """The dimension lines stand as the lengths do, and every wire has the wire's width on the same scale."""
    order = sheets["fire-watch"].springs[0].record
    root = ET.fromstring(spring_figure(order).standalone())
    lines = [re.findall(r"-?[\d.]+", mark.get("d")) for mark in root.iter(f"{SVG}path") if mark.get("class") == "hair"]
    upright = [abs(float(line[3]) - float(line[1])) for line in lines if len(line) == 4 and line[0] == line[2]]
    assert [tall / upright[0] for tall in upright] == pytest.approx(
        [point.length / order.points[0].length for point in order.points], rel=2e-3
    )
    width = float(next(mark.get("stroke-width") for mark in root.iter(f"{SVG}path") if mark.get("class") == "wire"))
    assert width / upright[0] == pytest.approx(order.coil.wire / order.points[0].length, rel=5e-3)
    words = [mark.text for mark in root.iter(f"{SVG}text")]
    assert [word for word in ("free", "full droop", "ride", "full bump", "solid") if word in words] == [
        "free",
        "full droop",
        "ride",
        "full bump",
        "solid",
    ]


def test_window_figure_marks_its_binding_ends(sheets):
    window = sheets["fire-watch"].windows[0]
    root = ET.fromstring(window_figure(window).standalone())
    strong = {mark.text for mark in root.iter(f"{SVG}text") if "strong" in (mark.get("class") or "")}
    assert strong == {window.axle, f"{window.softest:.2f}", f"{window.stiffest:.2f}"}


def test_hostile_words_stay_words():
    data = vehicle()
    data["vehicle"]["name"] = HOSTILE[:60]
    data["axles"][0]["name"] = HOSTILE[:50]
    data["states"][0]["name"] = HOSTILE[:40]
    sheet = size(design_file(data))
    page = as_html(sheet)
    assert "<script" not in page
    assert "&lt;script&gt;" in page
    text = flat("".join(page.extract_text() for page in PdfReader(io.BytesIO(as_pdf(sheet))).pages))
    assert "<script>alert(1)</script>" in text
    ET.fromstring(window_figure(sheet.windows[0]).standalone())


def test_a_formula_in_a_name_stays_text_in_a_spreadsheet():
    data = vehicle()
    data["states"][0]["name"] = "=1+1"
    assert "\n'=1+1," in as_csv(size(design_file(data)))


def test_overloads_come_first(tmp_path):
    data = vehicle()
    data["axles"][1]["rating"] = "700 kg"
    path = tmp_path / "a.toml"
    path.write_text(tomlkit.dumps(data))
    first = sections(size(load(path)))[0]
    assert first.verb == "First"
    assert flat(first.says[0]) == "Overloaded: rear axle load 960, at most 700 kg in full: not met."


def test_a_coil_that_fails_is_not_ordered_in_silence():
    weak = {"wire": "12 mm", "mean_diameter": "110 mm", "active_coils": 4, "free_length": "0.50 m", "grade": "52CrMoV4"}
    data = vehicle()
    data["axles"][0]["spring"]["coil"] = weak
    sheet = size(design_file(data))
    said = "Do not order it as it is: shear stress pressed solid"
    assert said in as_html(sheet)
    assert said in flat(PdfReader(io.BytesIO(as_pdf(sheet))).pages[0].extract_text())
    assert any(said in line for section in sections(sheet) for line in section.says)


def test_a_named_spring_that_does_not_fit_is_said_to_be_so(tmp_path):
    """Owned: too soft, solid before full bump, slack at droop. From the catalogue: the reasons the ranking gave."""
    data = vehicle()
    data["axles"][0]["spring"]["existing"] = {"rate": "15 N/mm", "free_length": "0.47 m", "solid_length": "0.24 m"}
    said = flat(as_html(size(design_file(data))))
    for words in (
        "It does not fit as it is: rides at 1.01 Hz, 16% too soft",
        "goes solid 30 mm short of full bump",
        "unseats by 10 mm at full droop",
    ):
        assert words in said
    (tmp_path / "list.csv").write_text(
        "part,rate [N/mm],free length [mm],solid length [mm],outside diameter [mm]\nweak,12,700,150,140\n"
    )
    data = vehicle(catalogue="list.csv")
    data["axles"][0]["spring"]["part"] = "weak"
    assert "Do not order it as it is: rides at" in flat(as_html(size(design_file(data, tmp_path / "v.toml"))))


def test_limits_not_judged_are_named():
    notes = size(design_file(vehicle(limits={"side_slope": "20 deg", "belly_clearance": "0.3 m"}))).notes
    assert "limits stated but not judged by this sheet: belly_clearance, side_slope" in notes


def test_an_empty_cell_stays_empty_in_the_table():
    assert ",'" not in as_csv(size(load(DEMOS / "fire-watch.toml")))
