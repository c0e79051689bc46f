"""Fields of the design file told: what each means, holds, and what is usual for it."""

from __future__ import annotations

from collections.abc import Sequence

from springwright.report.tables import Section, Table, capital
from springwright.vehicle.described import DescribedField, described_field
from springwright.vehicle.design import Design
from springwright.vehicle.standing import standing_estimates

FEW = 3  # fields up to which each is told in full


def fields_section(fields: Sequence[DescribedField]) -> Section:
    """One field or a few in full, and what is within a table as rows."""
    first = fields[0]
    inner = [one for one in fields[1:] if one.path.startswith(f"{first.path}.")]
    told = [first] if inner else [*fields[:FEW]]
    says = [f"{one.path}: {sentence(one)}" for one in told]
    rest = inner or fields[len(told) :]
    rows = tuple(
        (one.path, one.meaning, _held(one), one.default if not one.required else "must be given") for one in rest
    )
    tables = (Table("Within it" if inner else "And", ("field", "", "holds", "default"), rows, "llll"),) if rows else ()
    return Section("Schema", "What may stand there?", tuple(says), tables)


def wanted_section(design: Design) -> Section:
    """What a design that was filled up lacks: each field with the estimate that stands in its place, and what it would add."""
    rows = []
    for one in standing_estimates(design):
        held = described_field(".".join(step for step in one.at if isinstance(step, str)))
        rows.append((one.entry.field, str(one.entry.value), "" if held is None else held.meaning))
    table = Table("Missing, and estimated here", ("field", "taken", "what it says"), tuple(rows), "lrl")
    return Section(
        "Still to be given",
        "What would each add?",
        ("Nothing was written. Give them one by one; each replaces its estimate.",),
        (table,),
    )


def sentence(one: DescribedField) -> str:
    """A field in a sentence or two."""
    parts = [
        f"{one.meaning}.",
        f"{capital(_held(one))}{'' if one.required else f'; {one.default} where it is left out'}.",
    ]
    if one.required:
        parts.append("Must be given.")
    if one.example:
        parts.append(f"Such as {one.example}.")
    if one.usual:
        parts.append(f"Usual {one.usual}{f', see springwright reference {one.topic}' if one.topic else ''}.")
    return " ".join(parts)


def _held(one: DescribedField) -> str:
    return f"{one.holds}{f', {one.bounds}' if one.bounds else ''}"
