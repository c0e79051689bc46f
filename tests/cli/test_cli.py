"""The command line as a user meets it."""

import json
import os
import pickle
import shlex
import subprocess
import sys

import pytest
import typer

from springwright.cli import shared
from springwright.cli.main import app
from springwright.counted import CountedStep
from tests.build import DEMOS


def springwright(*arguments, **options):
    return subprocess.run(
        [sys.executable, "-m", "springwright", *arguments], capture_output=True, text=True, check=False, **options
    )


def test_start_to_sheet(tmp_path):
    """The main job: a starting file, sized, with its sheets written beside it."""
    assert "written: truck.toml" in springwright("new", "truck.toml", cwd=tmp_path).stdout
    said = springwright("size", "truck.toml", cwd=tmp_path)
    assert said.returncode == 0
    assert said.stderr == ""
    for verb in ("Weigh", "Aim", "Place", "Spring", "Damp", "Rest", "Cautions"):
        assert f"\n{verb}" in said.stdout
    for ending in ("pdf", "html", "csv"):
        assert (
            springwright("size", "truck.toml", "-o", f"sheet.{ending}", cwd=tmp_path).stdout
            == f"written: sheet.{ending}\n"
        )
        assert (tmp_path / f"sheet.{ending}").stat().st_size > 1000


def test_json_goes_alone_to_standard_output():
    said = springwright("size", str(DEMOS / "survey-buggy.toml"), "--json")
    assert json.loads(said.stdout)["rates"][0]["name"] == "front"
    assert said.stderr == ""


def test_schemas_are_json():
    assert json.loads(springwright("schema").stdout)["properties"]["axles"]["minItems"] == 1
    assert "rates" in json.loads(springwright("schema", "--result", "size").stdout)["$defs"]["Sheet"]["properties"]


def test_a_closed_pipe_is_no_fault():
    if os.name != "posix":
        pytest.skip("no pipes to close")
    command = f"{sys.executable} -m springwright size {DEMOS / 'fire-watch.toml'} | head -1"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=True)
    assert "Fire-watch truck" in done.stdout
    assert done.stderr == ""


def test_every_command_and_option_has_help():
    group = typer.main.get_command(app)
    for name, command in group.commands.items():
        assert command.help, name
        for parameter in command.params:
            assert getattr(parameter, "help", None), f"{name} {parameter.name}"


def test_without_an_output_nothing_is_told_and_nothing_goes_wrong():
    """As by >&- in a shell: no traceback."""
    done = subprocess.run(
        f"{shlex.quote(sys.executable)} -m springwright size {shlex.quote(str(DEMOS / 'start.toml'))} >&-",
        shell=True, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")


def test_version():
    from importlib.metadata import version

    assert springwright("--version").stdout == f"springwright {version('springwright')}\n"


def test_a_count_tells_how_long_is_left(monkeypatch, capsys):
    """After 10 s a quarter is done: 30 s are left."""
    now = [100.0]
    monkeypatch.setattr(shared.time, "monotonic", lambda: now[0])
    monkeypatch.setattr(shared.sys.stderr, "isatty", lambda: True, raising=False)
    for done, at in ((0, 100.0), (1, 101.0), (5, 110.0)):
        now[0] = at
        shared.told_step(CountedStep(f"{done} of 20", done, 20))
    told = capsys.readouterr().err.split("\x1b[K")
    assert "to go" not in told[1]
    assert "to go" not in told[2]  # too soon to say
    assert "[=====               ] about 30 s to go" in told[3]
    again = pickle.loads(pickle.dumps(CountedStep("a", 1, 2)))
    assert (again, again.done, again.of) == ("a", 1, 2)
