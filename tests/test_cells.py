"""CSV files: formulas guarded everywhere, numbers numbers, and any text back letter for letter."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from springwright.cells import CellWriter, cells_of, guarded
from springwright.cli.main import app
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
