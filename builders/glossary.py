"""Writes docs/glossary.md: words, symbols of formulas, keys of the design file, fields of results. Run: python -m builders.glossary"""

from __future__ import annotations

import dataclasses
import pkgutil
from collections import defaultdict
from importlib import import_module
from pathlib import Path

from pydantic import BaseModel

import springwright
from springwright.commission.readings import Readings
from springwright.formula import FORMULAS
from springwright.glossary import TERMS
from springwright.results import Result
from springwright.units import pretty
from springwright.vehicle.described import default_said, holds, meaning, models

PAGE = Path("docs/glossary.md")
INTRODUCTION = """Axes are those of ISO 8855: x ahead, y to the left, z up; pitch is positive nose down, roll right side down. Everything inside the program
is SI; text with a unit becomes SI at the edge. Written by `python -m builders.glossary` from the program itself."""


def main() -> None:
    PAGE.write_text(glossary())


def glossary() -> str:
    """The whole page."""
    for module in pkgutil.walk_packages(springwright.__path__, "springwright."):
        if not module.name.endswith("__main__"):
            import_module(module.name)
    parts = [
        "# Glossary",
        INTRODUCTION,
        "## Words",
        _table(("word", "symbol", "unit", "positive", "meaning"), [_word(word) for word in TERMS]),
        "## Symbols of the formulas",
        "As they are typeset in workings; a symbol stands for what its formula says.",
        _table(("symbol", "unit", "meaning", "in"), _symbols()),
        "## Keys of the design file",
        "A quantity is text with its unit, of the kind named. Keys without a default must be there.",
        *(
            f"### {_heading(model)}\n\n{_table(('key', 'holds', 'bounds', 'means', 'default'), _keys(model))}"
            for model in models()
        ),
        "## Keys of the readings file",
        "Uncertainties are one standard deviation.",
        *(
            f"### {_heading(model)}\n\n{_table(('key', 'holds', 'bounds', 'means', 'default'), _keys(model))}"
            for model in models(Readings)
        ),
        "## Fields of results",
        "As in `--json`; a field with a unit is `{value, unit}` there.",
        *(f"### {kind.__name__}\n\n{_table(('field', 'unit'), _fields(kind))}" for kind in results()),
    ]
    return "\n\n".join(parts) + "\n"


def _table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    lines = [head, ("---",) * len(head), *rows]
    return "\n".join(f"| {' | '.join(map(_cell, row))} |".replace("  ", " ") for row in lines)


def _cell(text: str) -> str:
    return text.replace("|", r"\|").strip()


def _word(word: str) -> tuple[str, ...]:
    one = TERMS[word]
    return word, one.symbol, pretty(one.unit), one.sign, one.means


def _symbols() -> list[tuple[str, ...]]:
    found: dict[tuple[str, str, str], list[str]] = defaultdict(list)
    for one in (each for each in FORMULAS if each.function.__module__.startswith("springwright.")):
        for symbol, means, unit in one.symbols.values():
            found[symbol, pretty(unit), means].append(one.title)
    return [
        (f"`{symbol}`", unit, meaning, ", ".join(sorted(set(titles))))
        for (symbol, unit, meaning), titles in sorted(found.items())
    ]


def _means(model: type[BaseModel], name: str) -> str:
    try:
        return meaning(model, name)
    except LookupError:  # of a readings file
        return ""


def _heading(model: type[BaseModel]) -> str:
    return f"{model.__name__}: {(model.__doc__ or '').splitlines()[0].rstrip('.')}"


def _keys(model: type[BaseModel]) -> list[tuple[str, ...]]:
    return [
        (
            f"`{name}`",
            *holds(info.annotation, info.metadata),
            _means(model, name),
            "" if info.is_required() else default_said(info.default),
        )
        for name, info in model.model_fields.items()
        if name != "links"
    ]


def results() -> list[type[Result]]:
    """Every result, by name."""

    def below(kind: type[Result]) -> list[type[Result]]:
        return [each for one in kind.__subclasses__() for each in (one, *below(one))]

    mine = {
        one for one in below(Result) if one.__module__.startswith("springwright.") and dataclasses.is_dataclass(one)
    }
    return sorted(mine, key=lambda one: (one.__name__, one.__module__))


def _fields(kind: type[Result]) -> list[tuple[str, ...]]:
    return [
        (f"`{one.name}`", pretty(one.metadata["unit"]) if one.metadata.get("unit") else "")
        for one in dataclasses.fields(kind)
        if not one.metadata.get("kept")
    ]


if __name__ == "__main__":
    main()
