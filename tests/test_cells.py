"""CSV files: formulas guarded everywhere, numbers numbers, and any text back letter for letter."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from springwright.cells import CellWriter, cells_of, guarded, sheet_cells
from springwright.cli.main import app
from springwright.errors import InputError
from springwright.parts.catalogue import read_catalogue
from tests.build import axle, design_file, vehicle

TEXTS = st.text(st.characters(exclude_categories=["Cs", "Cc"]) | st.sampled_from("\t\r\n=+-@#';,\""), max_size=20)
FORMULAS = ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\tx", "\rx", '=HYPERLINK("x")', "'=1", "''+x"]


@given(st.lists(st.tuples(TEXTS, TEXTS, TEXTS), min_size=1, max_size=5))
def test_any_text_comes_back_letter_for_letter(rows):
    made = CellWriter()
    made.writerow(["a", "b", "c", "d"])
    made.writerows([*row, "end"] for row in rows)
    assert cells_of(made.text)[1:] == [[*row, "end"] for row in rows]


@pytest.mark.parametrize("text", FORMULAS)
def test_a_formula_is_kept_a_text(text):
    assert guarded(text) == "'" + text


@pytest.mark.parametrize("text", ["-12.5", "+3", "1e-5", "-inf", "truck", "a=b", "", "'quoted'"])
def test_numbers_and_plain_texts_stay_as_they_are(text):
    assert guarded(text) == text


def test_every_file_that_is_written_is_guarded(tmp_path, monkeypatch):
    """Names that are formulas, of vehicle, axle, state, item and part, in the CSV of every command: no cell of a spreadsheet begins one."""
    monkeypatch.chdir(tmp_path)
    head = "part,maker,rate [N/mm],free length [mm],solid length [mm],outside diameter [mm]\n"
    (tmp_path / "list.csv").write_text(head + "=cmd|x,@maker,21,520,150,140\n")
    data = vehicle(
        vehicle={"name": "=1+1"}, catalogue="list.csv", states=[{"name": "+2+2"}, {"name": "@x", "aboard": ["-3+3"]}],
        items=[{"name": "-3+3", "mass": "300 kg", "behind_front_axle": "2.0 m", "above_ground": "1.0 m"}],
        axles=[axle("=front", 0.0), axle("-rear", 2.5)], grounds=[{"name": "=g", "iso_class": "C"}],
    )  # fmt: skip
    design_file(data).save(tmp_path / "v.toml")
    for command in (
        ["size"], ["modes"], ["rest"], ["geometry", "=front"], ["part", "=front spring"], ["order"], ["window"], ["prove", "--question", "level"],
        ["drive", "--ground", "=g", "--speed", "20 km/h"],
    ):  # fmt: skip
        done = CliRunner().invoke(app, [command[0], "v.toml", *command[1:], "-o", "out.csv"])
        assert done.exit_code == 0, (command, done.output, done.exception)
        for row in csv.reader(io.StringIO((tmp_path / "out.csv").read_text())):
            for cell in row:
                if cell.startswith(("=", "+", "-", "@", "\t", "\r")):
                    float(cell)


def test_a_guarded_part_name_is_read_as_it_was_meant():
    head = "part,rate [N/mm],free length [mm],solid length [mm],outside diameter [mm]\n"
    (spring,) = read_catalogue(head + "'=A1,21,520,150,140\n", "list.csv")
    assert spring.part == "=A1"


PLAIN = "part,maker,rate [N/mm],free length [mm],solid length [mm],outside diameter [mm]\nA 1,Own,21.5,520,150,140\nA 2,Own,1024,480,1500,140\n"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (PLAIN.replace(",", ";"), "semicolons between cells"),
        (PLAIN.replace(",", "\t"), "tabs between cells"),
        (PLAIN.replace(",", ";").replace(".", ","), "decimal commas"),
        (PLAIN.replace(",", ";").replace(".", ",").replace("1024", "1.024,0"), "decimal commas"),
        (PLAIN.replace(",", "\t").replace("1024", "1,024.0").replace("1500", "1,500"), "commas between thousands"),
        (PLAIN.replace("1024", '"1,024.0"'), "commas between thousands"),
        (PLAIN.replace("[", "(").replace("]", ")"), "units in round brackets"),
        (PLAIN.replace("\n", ",,\n") + ",,,,,,,\n,,,,,,,\n", "2 empty columns left out|2 empty rows left out"),
    ],
    ids=["semicolons", "tabs", "decimal commas", "points between thousands", "thousands", "thousands in quotes", "round brackets", "empty ends"],
)  # fmt: skip
def test_a_spreadsheets_way_of_writing_is_read_and_told(text, says):
    found = sheet_cells(text)
    assert [[*map(float, row[2:])] for row in found.rows[1:]] == [[21.5, 520, 150, 140], [1024, 480, 1500, 140]]
    assert found.rows[0] == PLAIN.splitlines()[0].split(",")
    assert found.understood.startswith("read with ")
    assert all(one in found.understood for one in says.split("|")[:1])
    assert sheet_cells(PLAIN) == (cells_of(PLAIN), "")


def test_what_has_two_readings_is_left_as_it_is():
    """1,740 alone may be a thousand and more or less than two: it is not bent, and refused where a figure is wanted."""
    text = PLAIN.replace(",", ";").replace("21.5", "1,740")
    assert sheet_cells(text).rows[1][2] == "1,740"
    with pytest.raises(InputError, match="no commas"):
        read_catalogue(text, "x.csv")
    both = PLAIN.replace(",", ";").replace("21.5", "21,5").replace("1024", "1,024.0")
    assert sheet_cells(both).rows[1][2] == "21,5"


def test_the_command_says_what_it_understood(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "list.csv").write_text(PLAIN.replace(",", ";").replace(".", ",").replace("1500", "150"))
    design_file(vehicle(catalogue="list.csv")).save(tmp_path / "v.toml")
    done = CliRunner().invoke(app, ["size", "v.toml"])
    assert done.exit_code == 0, done.output
    assert "list.csv is read with semicolons between cells, decimal commas" in done.stderr
