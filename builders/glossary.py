"""Writes docs/glossary.md: words, symbols of formulas, keys of the design file, fields of results. Run: python -m builders.glossary"""

from __future__ import annotations

import dataclasses
import pkgutil
import typing
from collections import defaultdict
from importlib import import_module
from pathlib import Path
from typing import Any

from pydantic import BaseModel

import springwright
from springwright.commission.readings import Readings
from springwright.formula import FORMULAS
from springwright.glossary import TERMS
from springwright.quantities import Kind
from springwright.results import Result
from springwright.units import KINDS, pretty
from springwright.vehicle.design import Design

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
            f"### {_heading(model)}\n\n{_table(('key', 'holds', 'bounds', 'default'), _keys(model))}"
            for model in models()
        ),
        "## Keys of the readings file",
        "Uncertainties are one standard deviation.",
        *(
            f"### {_heading(model)}\n\n{_table(('key', 'holds', 'bounds', 'default'), _keys(model))}"
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
        for symbol, meaning, unit in one.symbols.values():
            found[symbol, pretty(unit), meaning].append(one.title)
    return [
        (f"`{symbol}`", unit, meaning, ", ".join(sorted(set(titles))))
        for (symbol, unit, meaning), titles in sorted(found.items())
    ]


def models(root: type[BaseModel] = Design) -> list[type[BaseModel]]:
    """Every table a design file, or another one read, may have, outermost first."""
    found: list[type[BaseModel]] = []

    def look(annotation: Any) -> None:
        if isinstance(annotation, type) and issubclass(annotation, BaseModel):
            if annotation not in found:
                found.append(annotation)
                for name, info in annotation.model_fields.items():
                    if name != "links":  # put in from the axle, never written
                        look(info.annotation)
            return
        for part in typing.get_args(annotation):
            look(part)

    look(root)
    return found


def _heading(model: type[BaseModel]) -> str:
    return f"{model.__name__}: {(model.__doc__ or '').splitlines()[0].rstrip('.')}"


def _keys(model: type[BaseModel]) -> list[tuple[str, ...]]:
    return [
        (f"`{name}`", *holds(info.annotation, info.metadata), "" if info.is_required() else _default(info.default))
        for name, info in model.model_fields.items()
        if name != "links"
    ]


def holds(annotation: Any, metadata: list[Any]) -> tuple[str, str]:
    """What a key holds in words, and its bounds."""
    kinds = list(dict.fromkeys(one for one in _marks(annotation, metadata) if isinstance(one, Kind)))
    many = "list of " if tuple in _origins(annotation) else ""
    if len(kinds) > 1:
        return f"rows of {', '.join(_kind(one) for one in kinds)}", ""
    if kinds:
        kind = kinds[0]
        ends = (("over", kind.above), ("from", kind.least), ("to", kind.most))
        return f"{many}{_kind(kind)}", ", ".join(f"{word} {bound:g}" for word, bound in ends if bound is not None)
    names = [part.__name__ for part in _bare(annotation) if part is not type(None) and isinstance(part, type)]
    choices = [
        repr(one)
        for part in _bare(annotation)
        if typing.get_origin(part) is typing.Literal
        for one in typing.get_args(part)
    ]
    words = {"str": "text", "bool": "true or false", "int": "whole number", "float": "number", "dict": "table"}
    told = " or ".join(dict.fromkeys(words.get(name, name) for name in names)) or ("one of" if choices else "value")
    return f"{many}{told}", ", ".join(choices)


def _kind(one: Kind) -> str:
    info = KINDS[one.name]
    return f"{info.words} [{pretty(info.si)}]" if info.si else info.words


def _origins(annotation: Any) -> set[Any]:
    return {typing.get_origin(annotation)}.union(*(_origins(part) for part in typing.get_args(annotation)))


def _marks(annotation: Any, metadata: list[Any]) -> list[Any]:
    found = list(metadata)
    if typing.get_origin(annotation) is typing.Annotated:
        found += annotation.__metadata__
    for part in typing.get_args(annotation):
        found += _marks(part, [])
    return found


def _bare(annotation: Any) -> list[Any]:
    origin = typing.get_origin(annotation)
    if origin is typing.Literal or origin is None:
        return [annotation]
    if origin is dict:
        return [dict]
    return [one for part in typing.get_args(annotation) for one in _bare(part)]


def _default(value: Any) -> str:
    if value is None or value == () or isinstance(value, BaseModel):
        return "none"
    return f"{value:g}" if isinstance(value, float) else str(value).lower() if isinstance(value, bool) else str(value)


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
