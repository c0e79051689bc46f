"""The order of the house: floors, what the hard core loads, and names."""

import ast
import subprocess
import sys
import tomllib
from collections import defaultdict
from pathlib import Path

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
