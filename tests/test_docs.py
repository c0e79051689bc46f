"""The README is true: its Python runs and prints what it says, its commands exist, its pictures are what is drawn."""

import contextlib
import io
import re
from pathlib import Path

import typer

from builders import pictures
from springwright.cli.main import app
from springwright.parts.catalogue import COLUMNS, read_catalogue

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text()


def test_python_prints_what_is_shown(monkeypatch):
    monkeypatch.chdir(ROOT)
    code, shown = re.search(r"```python\n(.*?)```\n\n```text\n(.*?)```", README, re.S).groups()
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        exec(code, {})
    assert out.getvalue() == shown


def test_commands_and_options_exist():
    group = typer.main.get_command(app)
    used = re.findall(r"^    springwright (\w+)(.*)", README, re.M)
    assert {name for name, _ in used} == set(group.commands)
    for name, rest in used:
        known = {option for parameter in group.commands[name].params for option in parameter.opts}
        for option in re.findall(r"(?<=\s)(--?[a-z]+)", rest.split("#")[0]):
            assert option in known, f"{name} {option}"


def test_catalogue_columns_are_those_there_are():
    sample = re.search(r"^    (part,.*)\n    (.*)", README, re.M).groups()
    assert read_catalogue("\n".join(sample), "sample")[0].part == "A-100"
    listed = README.split("## Your own springs")[1].split("##")[0]
    assert all(f"`{name}`" in listed for name in COLUMNS)


def test_pictures_are_current(monkeypatch, tmp_path):
    monkeypatch.chdir(ROOT)
    monkeypatch.setattr(pictures, "DOCS", tmp_path)
    pictures.main()
    for name in ("spring.svg", "window.svg"):
        assert (tmp_path / name).read_text() == (ROOT / "docs" / name).read_text()


def test_every_public_function_of_the_physics_has_a_docstring_with_units():
    import importlib

    for name in ("linkage.rates", "parts.coil", "parts.damper", "sizing.frequency"):
        module = importlib.import_module(f"springwright.{name}")
        for key, value in vars(module).items():
            if (
                key.startswith("_")
                or not callable(value)
                or getattr(value, "__module__", module.__name__) != module.__name__
            ):
                continue
            assert (getattr(value, "function", value)).__doc__, f"{name}.{key}"


def test_the_answers_shown_are_those_given():
    from springwright.questions.prove import prove
    from springwright.report.proof import summary
    from springwright.vehicle.file import load

    shown = re.findall(r"^    (Ride|Stand|Level)\s{2,}(.*?)\s{2,}(.*)$", README, re.M)
    rows = summary(prove(load(ROOT / "src/springwright/demos/fire-watch.toml"), sensitive=False)).tables[0].rows
    assert shown
    assert set(shown) <= {tuple(cell.replace("\N{NARROW NO-BREAK SPACE}", " ") for cell in row[:3]) for row in rows}


def test_the_floors_told_are_those_there_are():
    """What the architecture page names stands in the source: every folder, and every module it points at."""
    page = (ROOT / "docs" / "architecture.md").read_text()
    source = ROOT / "src" / "springwright"
    floors = {name for row in re.findall(r"^\| (`.*?) \|", page, re.M) for name in re.findall(r"`(\w+)`", row)}
    assert floors == {
        path.stem if path.is_file() else path.name
        for path in source.iterdir()
        if path.name[0] not in "_." and (path.is_dir() or path.suffix == ".py") and path.name != "demos"
    }
    for name in re.findall(r"`(\w+(?:\.\w+)+)`", page):
        parts = name.split(".")
        assert any((source / "/".join(parts[:k])).with_suffix(".py").exists() for k in range(1, len(parts) + 1)), name
