"""The order of the house: floors, what the hard core loads, and names."""

import ast
import re
import subprocess
import sys
import tomllib
from collections import defaultdict
from pathlib import Path

import grimp

import springwright
from springwright.questions import measures
from tests.build import DEMOS

ROOT = Path(__file__).parent.parent
SOURCE = ROOT / "src" / "springwright"


def test_contributing_tells_the_floors_that_the_contract_holds():
    contract = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"][0]
    floors = [one.replace(" | ", ", ") for one in reversed(contract["layers"])]
    told = next(line for line in (ROOT / "CONTRIBUTING.md").read_text().splitlines() if "<-" in line)
    above = [one.strip() for one in told.split("<-")]
    ground = [name for one in floors[: floors.index("parts, linkage, terrain")] for name in one.split(", ")]
    assert above[0].split(", ") == ground
    assert above[1:] == floors[floors.index("parts, linkage, terrain") :]


def test_the_hard_core_loads_nothing_of_units_or_the_design_file():
    asked = "import springwright.motion.drive, springwright.motion.modes, springwright.motion.response, sys; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    loaded = {name.partition(".")[0] for name in done.stdout.split()}
    assert loaded.isdisjoint({"pint", "pydantic", "tomlkit", "typer", "jinja2"})
    assert "springwright.units" not in done.stdout.split()


def test_a_class_name_stands_in_one_module_only():
    where = defaultdict(set)
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                where[node.name].add(str(path.relative_to(SOURCE)))
    assert {name: places for name, places in where.items() if len(places) > 1} == {}


SENTENCES = {"measure", "note", "title", "why", "said", "source"}  # what is written for people


def test_nothing_is_steered_by_a_sentence():
    """A figure is known by its id; no program text looks into what is written for people."""
    found = []
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            asked = text = None
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.args:
                if node.func.attr in ("startswith", "endswith", "removeprefix"):
                    asked, text = node.func.value, node.args[0]
            elif isinstance(node, ast.Compare) and isinstance(node.ops[0], ast.In | ast.Eq):
                asked, text = (node.comparators[0], node.left) if isinstance(node.ops[0], ast.In) else (node.left, node.comparators[0])  # fmt: skip
            name = getattr(asked, "attr", getattr(asked, "id", ""))
            words = [one.value for one in ast.walk(text) if isinstance(one, ast.Constant)] if text is not None else []
            if name in SENTENCES and any(isinstance(one, str) and len(one) > 2 for one in words):
                found.append(f"{path.relative_to(SOURCE)}:{node.lineno}: {ast.unparse(node)}")
    assert found == []


def test_every_figure_has_an_id_and_every_measure_is_one_of_a_figure():
    """What a demo's questions judge is known by id; what the table of measures knows is judged or required somewhere in the source."""
    text = "\n".join(path.read_text() for path in SOURCE.rglob("*.py") if path.name != "measures.py")
    for ident in measures.MEASURES:
        assert re.search(rf'["\']{ident}["\']', text) or ident.startswith("room_"), ident
    proof = springwright.prove(DEMOS / "survey-buggy.toml")
    assert all(one.id for answer in proof.answers for one in answer.figures)
    assert all(one.id for one in springwright.size(DEMOS / "survey-buggy.toml").ratings)


# Caches that live as long as the program, of pure functions of small values or of the program's own data. What is worked out of a
# design goes into its Evaluation.
PURE = {
    "formula": {"_tokens"},
    "linkage.bodies": {"compliant"},
    "linkage.mounts": {"_smooth", "_tabulated"},
    "linkage.steering": {"turn"},
    "linkage.swing": {"_reach"},
    "motion.kernel.device": {"functions", "kernel"},
    "motion.layout": {"_filters"},
    "motion.weighting": {"_absorbing"},
    "reference.shelf": {"shelf"},
    "parts.shackle": {"solved"},
    "parts.steel": {"_steels"},
    "parts.wire": {"_wires", "read_table"},
    "sizing.crossing_search": {"_grid"},
    "studies.chunks": {"_ready"},
    "units": {"_parsed", "_pint", "pretty", "unit_scale"},
    "vehicle.described": {"_described", "_meanings", "known_paths"},
    "vehicle.kinds": {"kinds_in"},
    "vehicle.shapes": {"_checker", "_fields", "_made"},
    "vehicle.field_types": {"_shape_at"},
    "workbench.render.environment": {"environment", "template"},
    "workbench.render.form": {"ident_of"},
    "workbench.render.marks": {"_set"},
}


def test_what_is_kept_for_good_is_of_pure_functions():
    found = defaultdict(set)
    for path in SOURCE.rglob("*.py"):
        name = ".".join(path.relative_to(SOURCE).with_suffix("").parts)
        for node in ast.walk(ast.parse(path.read_text())):
            assert not isinstance(node, ast.Global), (
                f"{name} line {node.lineno}: a module's name is changed from within"
            )
            if isinstance(node, ast.FunctionDef):
                marks = {ast.unparse(one).partition("(")[0] for one in node.decorator_list}
                if marks & {"lru_cache", "cache"}:
                    found[name].add(node.name)
    assert dict(found) == PURE


def test_no_modules_go_round_in_a_circle():
    """Nor through what is imported late, or for types alone."""
    graph = grimp.build_graph("springwright")
    left = {one: set(graph.find_modules_directly_imported_by(one)) for one in graph.modules}
    while ready := {one for one, needs in left.items() if not needs & set(left)}:
        for one in ready:
            del left[one]
    assert left == {}
