"""Writes the pages of docs that are made from the program: commands, Python, theory, lessons. Run: python -m builders.site"""

from __future__ import annotations

import ast
import html
import importlib
import inspect
import pkgutil
import re
import zlib
from collections.abc import Iterable, Iterator
from pathlib import Path

import typer

import springwright
from builders import lessons
from springwright.cli.main import app
from springwright.formula import FORMULAS, Formula, latex_to_text
from springwright.lessons.lesson import LESSONS
from springwright.report.equations import formula_svg
from springwright.report.tables import capital
from springwright.units import pretty

CODES = "Exit codes: 0 done; 1 a fault of the program; 2 something you can mend, named by file, field, value and remedy; 130 stopped with Ctrl-C. `springwright COMMAND --help` tells the same."
DOCS = Path("docs")
VALIDATION = Path("tests/validation")
# A page of theory: its title, the modules whose model it is, and the files of tests that hold it against the outside.
THEORY: dict[str, tuple[str, tuple[str, ...], tuple[str, ...]]] = {
    "weighing": ("Weighing", ("vehicle.weigh", "vehicle.load"), ("test_iso10392", "test_rollover")),
    "rates": ("Rates through a linkage", ("linkage.rates", "linkage.mounts"), ("test_barton_fieldhouse", "test_linkage_rules")),
    "linkages": ("Linkages solved in space", ("linkage.wishbones", "linkage.beam_links", "linkage.swing", "vehicle.centres"), ("test_wishbones", "test_swing_arms", "test_beam_links_mujoco", "test_frames")),
    "frequency": ("Ride frequency and travel", ("sizing.frequency", "sizing.window"), ("test_rao_vibration", "test_thomson_vibration")),
    "coils": ("Coil springs", ("parts.coil", "parts.fatigue"), ("test_en13906", "test_coil_textbooks", "test_wire_strength", "test_fatigue")),
    "springs": ("Leaf springs, torsion bars, gas and rubber", ("parts.leaf", "parts.torsion", "parts.gas", "parts.rubber"), ("test_hardware", "test_part_laws")),
    "dampers": ("Dampers", ("parts.damper", "questions.last"), ()),
    "tyres": ("Tyres", ("parts.tyre",), ()),
    "ground": ("Ground", ("terrain.roughness", "terrain.ground", "terrain.profile"), ("test_iso8608",)),
    "rest": ("Where it comes to rest", ("motion.equilibrium", "motion.forces"), ("test_closed_forms", "test_mujoco", "test_barton_fieldhouse_roll")),
    "modes": ("Natural modes", ("motion.modes",), ("test_golden_car", "test_hinged_twin")),
    "response": ("Random ground", ("motion.response", "motion.weighting"), ("test_iso2631", "test_absorbed_power")),
    "driving": ("Driving in time", ("motion.drive", "motion.laws"), ("test_shocks",)),
    "measuring": ("Measuring what was built", ("commission.correct", "commission.free_decay", "commission.spectra", "commission.pushes"), ("test_measured_mujoco",)),
}  # fmt: skip


def main() -> None:
    lessons.main()
    for path, text in pages():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)


def pages() -> Iterator[tuple[Path, str]]:
    """Every page with its path, but for the lessons themselves."""
    yield DOCS / "commands.md", commands()
    yield DOCS / "python.md", python()
    yield DOCS / "lessons" / "index.md", lesson_index()
    yield DOCS / "theory" / "index.md", theory_index()
    for name, (title, modules, tests) in THEORY.items():
        yield DOCS / "theory" / f"{name}.md", theory(name, title, modules, tests)


def commands() -> str:
    """Every command with its arguments and options."""
    group = typer.main.get_command(app)
    assert isinstance(group, typer.core.TyperGroup)
    parts = ["# Commands", CODES]
    for name, command in sorted(group.commands.items()):
        parts.append(f"## {name}\n\n{(command.help or '').strip()}")
        rows = ["| | | |", "| --- | --- | --- |"]
        for one in command.params:
            said = getattr(one, "help", None) or ""
            choices = getattr(getattr(one, "type", None), "choices", ())
            word = (
                f"`{one.name}`"
                if one.param_type_name == "argument"
                else ", ".join(f"`{opt}`" for opt in (*one.opts, *one.secondary_opts))
            )
            default = one.default if one.default not in (None, False, (), "") and not callable(one.default) else ""
            more = f" One of {', '.join(map(str, choices))}." if choices else ""
            left = f" {default} if left out." if default != "" and "left out" not in said else ""
            rows.append(f"| {word} | {'must be given' if one.required else ''} | {_cell(said + more + left)} |")
        parts.append("\n".join(rows) if command.params else "")
    return "\n\n".join(part for part in parts if part) + "\n"


def python() -> str:
    """The public names, then every package with its modules."""
    parts = ["# Python", "What `import springwright` gives; SI throughout, units in every docstring."]
    for name in sorted(springwright.__all__):
        one = getattr(springwright, name)
        doc = inspect.getdoc(one) or ""
        head = f"`{name}`"
        if inspect.isfunction(one):
            head = f"`{name}{_signature(one)}`"
        parts.append(f"## {name}\n\n{head}\n\n{_docstring(doc)}")
    parts.append("## Packages")
    for module in pkgutil.iter_modules(springwright.__path__):
        if module.ispkg and module.name not in ("demos",):
            doc = inspect.getdoc(importlib.import_module(f"springwright.{module.name}")) or ""
            parts.append(f"### {module.name}\n\n{doc}")
    return "\n\n".join(parts) + "\n"


def lesson_index() -> str:
    """The list of lessons."""
    says = "Guess first, change one number, see why, work it by hand, read the key. Each is given here on an invented demo, and on a vehicle of your own by `springwright lesson 3 truck.toml`."
    return _index("Lessons", says, (f"{number:02}" for number in range(1, len(LESSONS) + 1)))


def theory_index() -> str:
    """The list of theory pages."""
    says = "One page to a model: how it follows and where it ends, its formulas with symbols and sources, and the checks from outside that it passes."
    return _index("Theory", says, THEORY)


def _index(title: str, says: str, pages: Iterable[str]) -> str:
    return "\n".join([f"# {title}", "", says, "", "```{toctree}", ":maxdepth: 1", "", *pages, "```", ""])


def follows() -> dict[str, str]:
    """How each model follows and where it ends, by its page."""
    parts = Path("builders/theory.md").read_text().split("\n# ")[1:]
    return {name: text.strip() for name, _, text in (part.partition("\n") for part in parts)}


def theory(name: str, title: str, modules: tuple[str, ...], tests: tuple[str, ...]) -> str:
    """A model: how it follows and where it ends, what its modules say of it, its formulas, and what it is held against."""
    parts = [f"# {title}", follows()[name]]
    for place in modules:
        module = importlib.import_module(f"springwright.{place}")
        parts.append(f"## {place}\n\n{(module.__doc__ or '').strip()}")
        parts += [_formula(one) for one in FORMULAS if one.function.__module__ == module.__name__]
    if tests:
        parts.append("## Held against")
        parts.append(
            "Each is a test that is run with every change of the program; sources and tolerances stand in the files of `tests/validation`."
        )
    for file in tests:
        tree = ast.parse((VALIDATION / f"{file}.py").read_text())
        parts.append(f"**{(ast.get_docstring(tree) or file).splitlines()[0]}**")
        lines = []
        for one in tree.body:
            if isinstance(one, ast.FunctionDef) and one.name.startswith("test_"):
                said = ast.get_docstring(one) or one.name.removeprefix("test_").replace("_", " ")
                lines.append(f"- {' '.join(said.split())}")
        parts.append("\n".join(lines))
    return "\n\n".join(part for part in parts if part) + "\n"


def _formula(one: Formula) -> str:
    rows = "\n".join(
        f"| {latex_to_text(symbol)} | {meaning} | {pretty(unit)} |" for symbol, meaning, unit in one.symbols.values()
    )
    drawn = formula_svg(one.latex, f"f{zlib.crc32(one.title.encode()):x}")
    return f'### {capital(one.title)}\n\n<div class="formula" role="img" aria-label="{html.escape(latex_to_text(one.latex))}">{drawn}</div>\n\n| symbol | | unit |\n| --- | --- | --- |\n{rows}\n\nSource: {one.source}'


def _signature(one: object) -> str:
    text = str(inspect.signature(one))  # type: ignore[arg-type]
    return re.sub(r"<function .*?>", "...", text)


def _docstring(doc: str) -> str:
    """A docstring with its sections as headings in bold."""
    lines, made = doc.splitlines(), []
    for i, line in enumerate(lines):
        if set(line.strip()) == {"-"} and i:
            made[-1] = f"\n**{lines[i - 1].strip()}**\n"
            continue
        made.append(f"> {line.strip()}" if line.startswith("    ") else line)
    return "\n".join(made)


def _cell(text: str) -> str:
    return text.replace("|", r"\|").strip()


if __name__ == "__main__":
    main()
