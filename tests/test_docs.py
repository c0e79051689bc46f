"""The README is true: its Python runs and prints what it says, its commands exist, its pictures are what is drawn."""

import ast
import contextlib
import io
import json
import re
from importlib import import_module
from pathlib import Path

import pint
import pytest
import typer
from typer.testing import CliRunner

from builders import glossary, pictures
from springwright.cli.main import app
from springwright.formula import FORMULAS
from springwright.glossary import TERMS
from springwright.parts.catalogue import COLUMNS, read_catalogue
from springwright.units import pretty
from springwright.vehicle.design import Design
from springwright.vehicle.formats import RENAMED

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text()
GUIDE = (ROOT / "docs" / "guide.md").read_text()


@pytest.mark.parametrize("page", [README, GUIDE], ids=["README", "guide"])
def test_python_prints_what_is_shown(page, monkeypatch):
    monkeypatch.chdir(ROOT)
    names = {}
    for code, shown in re.findall(r"```python\n(.*?)```\n\n```text\n(.*?)```", page, re.S):
        out = io.StringIO()
        with contextlib.redirect_stdout(out):
            exec(code, names)
        assert out.getvalue() == shown


def test_the_readme_is_short():
    assert len(README.splitlines()) < 120


def test_commands_and_options_exist():
    group = typer.main.get_command(app)
    used = re.findall(r"^    springwright (\w+)(.*)", GUIDE, re.M)
    assert {name for name, _ in used} == set(group.commands)
    for name, rest in used:
        known = {option for parameter in group.commands[name].params for option in parameter.opts}
        for option in re.findall(r"(?<=\s)(--?[a-z]+)", rest.split("#")[0]):
            assert option in known, f"{name} {option}"


def test_every_schema_that_is_told_can_be_had():
    told = re.search(r"schema --result size .*?also (.*)$", GUIDE, re.M).group(1).split(", ")
    for name in told:
        done = CliRunner().invoke(app, ["schema", "--result", name])
        assert done.exit_code == 0, name
        assert json.loads(done.output)["$schema"]


def test_catalogue_columns_are_those_there_are():
    sample = re.search(r"^    (part,.*)\n    (.*)", GUIDE, re.M).groups()
    assert read_catalogue("\n".join(sample), "sample")[0].part == "A-100"
    listed = GUIDE.split("## Your own springs")[1].split("##")[0]
    assert all(f"`{name}`" in listed for name in COLUMNS)


def test_pictures_are_current(monkeypatch, tmp_path):
    monkeypatch.chdir(ROOT)
    monkeypatch.setattr(pictures, "DOCS", tmp_path)
    pictures.sizing()
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

    shown = re.findall(r"^    (Ride|Stand|Level)\s{2,}(.*?)\s{2,}(.*)$", GUIDE, re.M)
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
        found = [source / "/".join(parts[:k]) for k in range(1, len(parts) + 1)]
        assert any(one.with_suffix(".py").exists() or (one / "__init__.py").exists() for one in found), name


GLOSSARY = ROOT / "docs" / "glossary.md"


def test_the_glossary_is_that_of_the_program():
    assert GLOSSARY.read_text() == glossary.glossary(), "python -m builders.glossary writes it anew"


def test_every_key_of_the_schema_and_every_unit_is_in_the_glossary():
    text = GLOSSARY.read_text()
    schema = Design.model_json_schema()
    for model in (schema, *schema["$defs"].values()):
        for key in model.get("properties", ()):
            assert f"| `{key}` |" in text, key
    results = text.partition("## Fields of results")[2]
    for kind in glossary.results():
        part = results.partition(f"### {kind.__name__}\n")[2].partition("###")[0]
        for name, value in kind.schema()["$defs"][kind.__name__]["properties"].items():
            unit = value.get("properties", {}).get("unit", {}).get("const", "") if isinstance(value, dict) else ""
            assert f"| `{name}` | {pretty(unit)} |".replace("  ", " ") in part, (kind.__name__, name)


def test_words_have_units_that_are_units_and_formulas_units_of_one_dimension():
    ureg = pint.UnitRegistry()
    for word, one in TERMS.items():
        assert one.means
        ureg.parse_units(one.unit.replace("**1.75", "**2")), word
    for one in FORMULAS:
        for symbol, _, unit in one.symbols.values():
            ureg.parse_units(unit), (one.title, symbol)


def test_what_a_section_calls_a_term_is_in_the_glossary():
    used = set()
    for page in (ROOT / "src" / "springwright" / "workbench" / "templates").glob("*.html"):
        used |= set(re.findall(r"term\(\"([^\"]+)\"", page.read_text()))
    assert used
    assert used <= set(TERMS)


def test_old_words_are_not_used():
    """Keys, labels and heads after the trade's names; a file of the first format alone still says the old ones."""
    old = {key for names in RENAMED.values() for key in names} - {"owned", "change", "mission"}
    for path in (ROOT / "src" / "springwright").rglob("*"):
        if path.suffix in (".py", ".html", ".toml", ".typ") and path.name != "formats.py":
            found = {word for word in old if re.search(rf"\b{word}\b", path.read_text())}
            assert not found, (path.name, found)


NUMERIC = re.compile(r"\b(float|Floats|ArrayLike)\b")
PHYSICS = ("parts", "linkage", "terrain", "motion", "vehicle", "sizing", "questions")


def test_every_numeric_parameter_and_result_of_the_physics_has_a_unit_in_its_docstring():
    """A unit in brackets, or a word for what has none; what is told by a base class is told there."""
    source, found, missing = ROOT / "src" / "springwright", 0, []
    for path in sorted(one for folder in PHYSICS for one in (source / folder).rglob("*.py")):
        tree = ast.parse(path.read_text())
        public = [one for one in tree.body if not getattr(one, "name", "_").startswith("_")]
        each = [one for one in public if isinstance(one, ast.FunctionDef)]
        each += [
            one
            for kind in public
            if isinstance(kind, ast.ClassDef)
            for one in kind.body
            if isinstance(one, ast.FunctionDef)
        ]
        for one in each:
            given = [item.annotation for item in (*one.args.args, *one.args.kwonlyargs)] + [one.returns]
            if one.name.startswith("_") or not any(
                NUMERIC.search(ast.unparse(item)) for item in given if item is not None
            ):
                continue
            found += 1
            said = ast.get_docstring(one) or ""
            if not re.search(r"\[[^\]]+\]|\b(share|ratio|factor|number of|how many|times|unit)\b", said, re.I):
                missing.append(f"{path.relative_to(source)} {one.name}")
    assert found > 300
    assert not missing


def test_each_package_tells_its_modules_and_their_names():
    source = ROOT / "src" / "springwright"
    for init in sorted(source.rglob("__init__.py")):
        package = init.parent
        if package in (source, package.parent / "kernel", source / "workbench" / "sections"):
            continue  # told in their own way
        said = re.sub(r"\s+", " ", ast.get_docstring(ast.parse(init.read_text())) or "")
        told = dict(re.findall(r"- `(\w+)`: (.*?)(?=\s- `\w+`: |$)", said))
        modules = {one.stem for one in package.glob("*.py")} - {"__init__"}
        assert set(told) == modules, package.name
        for module, text in told.items():
            there = import_module(".".join(("springwright", *package.relative_to(source).parts, module)))
            listed = re.search(r"\(((?:`\w+`(?:, )?)+)", text)
            for name in re.findall(r"`(\w+)`", listed[1]) if listed else ():
                assert hasattr(there, name), (module, name)
