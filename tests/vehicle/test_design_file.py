"""The design file: round trips, comments and the builder's units, whole writes, formats."""

import json
import os
import shutil

import jsonschema
import pytest
import tomlkit

import springwright
from springwright import files
from springwright.errors import InputError
from springwright.files import write_whole
from springwright.vehicle.axle import Axle
from springwright.vehicle.design import Design
from springwright.vehicle.edits import changed as edited
from springwright.vehicle.file import DesignFile, load, read_text
from springwright.vehicle.formats import lifted
from springwright.vehicle.starter import start
from springwright.workbench.model.document import Document
from tests.build import DEMOS, axle, vehicle
from tests.cli.test_cli import springwright as command

NAMES = ["fire-watch", "survey-buggy", "bog-carrier", "start"]


@pytest.mark.parametrize("name", NAMES)
def test_demo_round_trips_to_the_byte(name, tmp_path):
    path = tmp_path / "a.toml"
    shutil.copy(DEMOS / f"{name}.toml", path)
    before = path.read_bytes()
    first = load(path)
    first.save()
    assert path.read_bytes() == before
    first.with_design(first.design).save()
    assert path.read_bytes() == before


@pytest.mark.parametrize("name", NAMES)
def test_everything_in_the_schema_survives_text(name):
    design = load(DEMOS / f"{name}.toml").design
    text = tomlkit.dumps(design.model_dump(mode="json", exclude_none=True))
    again = read_text(text, "again.toml")
    assert again.model_dump(mode="json") == design.model_dump(mode="json")


def test_an_edit_keeps_comments_and_the_rest(tmp_path):
    path = tmp_path / "a.toml"
    shutil.copy(DEMOS / "fire-watch.toml", path)
    before = path.read_text().splitlines()
    edited(load(path), [(("axles", 1, "target", "frequency"), "84 1/min")]).save()
    after = path.read_text().splitlines()
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert changed == [('frequency = "1.42 Hz"', 'frequency = "84 1/min"')]
    assert load(path).design.axles[1].target.frequency == pytest.approx(1.4)


def test_a_changed_design_is_written_in_the_units_that_were_there(tmp_path):
    path = tmp_path / "a.toml"
    text = (
        (DEMOS / "survey-buggy.toml").read_text().replace('mass = "780 kg"', 'mass = "1720 lb"  # weighed at the yard')
    )
    path.write_text(text)
    old = load(path)
    kerb = old.design.kerb.model_copy(update={"mass": 800.0})
    new = old.with_design(old.design.model_copy(update={"kerb": kerb}))
    assert 'mass = "1763.69809748 lb"  # weighed at the yard' in new.text
    assert new.design.kerb.mass == pytest.approx(800.0, rel=1e-11)


def test_a_bad_edit_leaves_everything_as_it_was(tmp_path):
    path = tmp_path / "a.toml"
    shutil.copy(DEMOS / "fire-watch.toml", path)
    first = load(path)
    with pytest.raises(
        InputError,
        match=r'axles\[2\] "rear"\.target\.frequency = "1.4 kg": "kg" is a unit of mass; a frequency is wanted',
    ):
        edited(first, [(("axles", 1, "target", "frequency"), "1.4 kg")])
    assert first.design.axles[1].target.frequency == pytest.approx(1.42)
    assert load(path).text == first.text


def test_a_write_that_fails_leaves_the_old_file_and_no_scraps(tmp_path, monkeypatch):
    path = tmp_path / "a.toml"
    path.write_text("old")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(InputError, match="cannot be written: No space left on device"):
        write_whole(path, "new")
    assert path.read_text() == "old"
    assert os.listdir(tmp_path) == ["a.toml"]


def test_a_link_is_written_through_and_permissions_stay(tmp_path):
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_text("old")
    real.chmod(0o640)
    link.symlink_to(real)
    write_whole(link, "new")
    assert link.is_symlink()
    assert real.read_text() == "new"
    assert real.stat().st_mode & 0o777 == 0o640


OLD = """# mine, with [[mission]] and load_factor = 2 in a comment
format = 1 # the first

[vehicle]
name = "owned = open_length"

[limits]
load_factor = 1.8
coil_loaded_at_droop=false

[[axles]]
name = "front"
behind_front_axle = "0 m"
kind = "independent"
track = "1.6 m"
unsprung_mass = "100 kg"
spring.acts = { by = "ratio", ratio = 0.9, change = "0.2 1/m" }
spring . seat_distance = "350 mm" # between seats
damper = { acts = { by = "ratio", ratio = 1.0 }, length = "400 mm", open_length = "560 mm", closed_length = "200 mm" }
travel = { bump = "140 mm", droop = "130 mm" }
tyre = { rate = "250 N/mm", unloaded_radius = "0.4 m" }
target = { frequency = "1.2 Hz" }

[[axles]]
name = "rear"
behind_front_axle = "2.5 m"
kind = "independent"
track = "1.6 m"
unsprung_mass = "100 kg"
travel = { bump = "140 mm", droop = "130 mm" }
tyre = { rate = "250 N/mm", unloaded_radius = "0.4 m" }
[axles.spring]
acts = { by = "ratio", ratio = 1.0 }
seat_distance = "350 mm"
[axles.spring.owned]
rate = "25 N/mm"
free_length = "640 mm"

[kerb]
mass = "1500 kg"
behind_front_axle = "1.2 m"
above_ground = "0.7 m"

[[states]]
name = "empty"

[[grounds]]
name = "track"
iso_class = "C"

[[mission]]
hours = "100 h"
ground = "track"
speed = "30 km/h"
state = "empty"
"""
NEW = {
    "load_factor = 1.8": "bump_load_factor = 1.8", "coil_loaded_at_droop=": "preload_at_droop=", "[[mission]]\nhours": "[[duty_cycle]]\nhours",
    "change =": "progression =", "seat_distance =": "installed_length =", ", open_length": ", extended_length", "closed_length": "compressed_length",
    "spring.owned": "spring.existing", "format = 1 #": "format = 2 #",
}  # fmt: skip


def test_a_file_of_the_first_format_is_read_and_said_to_be(tmp_path):
    """Keys alone change; comments, texts and all else stay to the letter."""
    path = tmp_path / "old.toml"
    path.write_text(OLD)
    file = load(path)
    wanted = OLD
    for old, new in NEW.items():
        wanted = wanted.replace(old, new)
    assert file.text == wanted
    assert file.design.limits.bump_load_factor == pytest.approx(1.8)
    assert file.design.axles[1].spring.existing.rate == pytest.approx(25e3)
    (said,) = file.renamed
    assert said.startswith("written in format 1 and read as format 2: ")
    for pair in ("load_factor is now bump_load_factor", "mission is now duty_cycle", "owned is now existing"):
        assert pair in said
    told = command("rest", str(path))
    assert said in told.stderr
    assert path.read_text() == OLD
    file.save()
    assert load(path).renamed == ()


def lifted_of(**changes):
    """The old file with some of its text replaced, lifted."""
    text = OLD
    for old, new in changes.values():
        assert old in text
        text = text.replace(old, new)
    return lifted(text, "old.toml")[0]


def test_names_that_the_builder_chose_are_left_alone():
    """An axle may be called change and an item mission; keys in quotes are keys all the same."""
    made = lifted_of(
        name=('name = "rear"', 'name = "change"'),
        state=('name = "empty"', 'name = "empty"\ntyre_pressure = { change = "2 bar" }'),
        quoted=("load_factor = 1.8", '"load_factor" = 1.8'),
        sure=(
            "format = 1 # the first",
            'format = 1 # the first\nsure = ["axles.front.spring.seat_distance", "axles.change.spring.owned.rate"]',
        ),
    )
    assert 'tyre_pressure = { change = "2 bar" }' in made
    assert '"bump_load_factor" = 1.8' in made
    assert 'change = "0.2 1/m"' not in made
    assert 'sure = ["axles.front.spring.installed_length", "axles.change.spring.existing.rate"]' in made


def test_a_slip_in_an_old_file_is_told_as_itself(tmp_path):
    """A limit that is no number, a key in the wrong table, an old key in a new file."""
    with pytest.raises(InputError, match="bump_load_factor = nan"):
        read_text(OLD.replace("load_factor = 1.8", "load_factor = nan"), "old.toml")
    path = tmp_path / "old.toml"
    path.write_text(OLD.replace('seat_distance = "350 mm" # between', 'seat_distance = "3400 kg" # between'))
    with pytest.raises(InputError, match=r"installed_length = \"3400 kg\"(.|\n)*seat_distance is now installed_length"):
        load(path)
    with pytest.raises(InputError, match="no such key; it is bump_load_factor now"):
        read_text(OLD.replace("format = 1", "format = 2"), "old.toml")
    with pytest.raises(InputError, match="write format = 2 and rename its keys by hand"):
        read_text(OLD.replace("format = 1", "format = 0b1"), "old.toml")


def test_an_old_file_on_the_sheet_is_not_changed_elsewhere(tmp_path):
    path = tmp_path / "old.toml"
    path.write_text(OLD)
    document = Document.opened(path)
    assert not document.dirty
    assert not document.elsewhere_now
    assert document.renamed
    assert document.write(("vehicle", "name"), "other")
    assert document.dirty
    assert document.renamed
    document.undo()
    assert not document.dirty
    assert not Document.recovered(document.to_recover()).dirty
    document.redo()
    document.save()
    assert "format = 2" in path.read_text()
    assert not document.renamed


@pytest.mark.parametrize(
    ("version", "says"),
    [
        (3, "reads formats up to 2; use a newer one"),
        (0, "no format known here; write format = 2"),
        ("x", "no format known"),
    ],
)
def test_unknown_formats_are_refused(version, says):
    with pytest.raises(InputError, match=says):
        read_text(tomlkit.dumps(vehicle(format=version)), "a.toml")


def test_the_schema_describes_the_demos_and_refuses_a_bad_one():
    schema = Design.model_json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    check = jsonschema.Draft202012Validator(schema)
    for name in NAMES:
        data = tomlkit.parse((DEMOS / f"{name}.toml").read_text()).unwrap()
        assert [error.message for error in check.iter_errors(data)] == []
    assert list(check.iter_errors({**vehicle(), "colour": "red"}))
    assert list(check.iter_errors(vehicle(kerb={"mass": 1500})))
    assert "such as" in json.dumps(schema)


def test_models_cannot_be_changed_in_place():
    design = load(DEMOS / "fire-watch.toml").design
    with pytest.raises(ValueError, match="frozen"):
        design.axles[0].track = 1.0
    assert isinstance(design.axles[0], Axle)


def test_new_writes_a_start_with_its_catalogue_and_never_over(tmp_path):
    assert start(tmp_path / "a.toml", None) == [tmp_path / "a.toml"]
    assert start(tmp_path / "b.toml", "fire-watch") == [tmp_path / "b.toml", tmp_path / "springs.csv"]
    with pytest.raises(InputError, match="is there already"):
        start(tmp_path / "a.toml", "fire-watch")
    assert start(tmp_path / "a.toml", "fire-watch", over=True) == [tmp_path / "a.toml"]
    assert isinstance(load(tmp_path / "a.toml"), DesignFile)


def _valid(**changes):
    check = jsonschema.Draft202012Validator(Design.model_json_schema())
    return [
        error.message for error in check.iter_errors(vehicle(axles=[axle("front", 0.0, **changes), axle("rear", 2.5)]))
    ]


def test_the_schema_knows_what_the_loader_works_out():
    """A tyre's rate by readings, a sheet or an estimate, and pivot points by a file, are as good as written out."""
    sized = {"rate": None, "size": "265/70R17", "pressure": "2 bar"}
    assert _valid(tyre={**sized, "estimate": True}) == []
    assert _valid(tyre={**sized, "test_sheet": "tyre.csv"}) == []
    assert _valid(tyre=sized)
    assert _valid(wishbones={"points": "p.csv"}) == []
    assert _valid(swing_arm={"wheel_centre": ["0 mm", "800 mm", "400 mm"]})


def test_the_library_takes_a_path_where_it_takes_a_file():
    path = DEMOS / "fire-watch.toml"
    assert springwright.size(str(path)).rates == springwright.size(springwright.load(path)).rates
    assert springwright.assemble(path, "Kerb").mass == springwright.assemble(springwright.load(path), "Kerb").mass
    (level,) = springwright.prove(path, ["level"]).answers
    assert level.question == "level"
