"""Trade: one step at a time, the front, the build spread; each is worked out when it is asked for, beside the page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from springwright.report.front import front_figure, front_section, picked
from springwright.report.spread import spread_figure, spread_section
from springwright.report.trade import changes, exchange_figure, exchange_section
from springwright.studies.exchange import Exchange
from springwright.studies.front_results import Front, FrontDesign
from springwright.studies.spread import BuildSpread
from springwright.workbench.model.shown import Study
from springwright.workbench.render.page import Page, SheetPart

ASKS = "What do I give up for what I gain?"
STEPS = {
    "frequency": "frequency", "damping_ratio": "damping ratio", "bar": "bars, of themselves", "bump": "bump travel", "droop": "droop travel",
    "stop_gap": "bump stop gap", "pressure": "tyre pressure", "spring_base": "spring base", "cg_height": "centre of gravity", "track": "track", "mass": "weight",
}  # fmt: skip
TOLERANCES = {
    "mass": "mass", "cg_height": "height of the centre of gravity", "damping": "dampers", "tyre_rate": "tyre rate", "friction": "friction",
}  # fmt: skip


def trade(page: Page) -> Mapping[str, Any]:
    """What the template of Trade shows."""
    studies = page.shown.studies
    return {
        "asks": ASKS,
        "lead": _lead(page),
        "steps": [*STEPS.items()],
        "tolerances": [*TOLERANCES.items()],
        "exchange": _exchange(page, studies.get("exchange")),
        "front": _front(page, studies.get("front")),
        "spread": _spread(page, studies.get("spread")),
    }


def _lead(page: Page) -> str:
    """The section in a sentence."""
    said = []
    for study in page.shown.studies.values():
        result = study.result
        section = (
            exchange_section(result) if isinstance(result, Exchange)
            else front_section(result) if isinstance(result, Front)
            else spread_section(result) if isinstance(result, BuildSpread)
            else None
        )  # fmt: skip
        if section is not None and section.says:
            said.append(section.says[0] + (" (for an older state of the design)" if study.late else ""))
    return (
        " ".join(said)
        or "Nothing is traded yet: ask for one step of every decision, for the front, or for the build spread."
    )


def _told(study: Study | None) -> dict[str, Any]:
    busy, late, fault = (study.busy, study.late, study.fault) if study is not None else ("", False, "")
    return {"asked": study is not None, "busy": busy, "late": late, "fault": fault}


def _exchange(page: Page, study: Study | None) -> dict[str, Any]:
    """The exchange table: a row to a step, with what trying it would do."""
    result = study.result if study is not None else None
    if not isinstance(result, Exchange):
        return {**_told(study), "rows": []}
    section = exchange_section(result)
    rows = [
        {
            "id": row.id,
            "what": f"{row.what} {row.by}",
            "cells": [changes(column, cell) for column, cell in zip(result.columns, row.cells, strict=bool(row.cells))],
            "total": f"{row.total:+.1f}" if row.total is not None else "",
            "why": row.why,
        }
        for row in result.rows
    ]
    return {
        **_told(study),
        "heads": [f"{one.head}?" for one in result.columns],
        "rows": rows,
        "drawing": page.document.evaluation.last("exchange drawn", (id(result), page.view.system), lambda: exchange_figure(result)),
        "says": section.says,
        "tables": section.tables[1:],
        "notes": result.notes,
    }  # fmt: skip


def _front(page: Page, study: Study | None) -> dict[str, Any]:
    """The front: drawn, its designs as rows, each of which can be taken."""
    result = study.result if study is not None else None
    if not isinstance(result, Front):
        return {**_told(study), "rows": []}
    section = front_section(result)
    sought = [one for one in result.figures if one.sought]
    table = next((one for one in section.tables if one.caption.startswith("The front")), None)
    made = next((one for one in section.tables if one.caption == "What they are made of"), None)
    fields = [one.field for one in result.decisions]
    some: list[FrontDesign | None] = [*([None] if result.today is not None else []), *picked(result)]
    rows = []
    if table is not None and made is not None:
        for one, figures, parts in zip(some, table.rows, made.rows, strict=True):
            take = (
                None
                if one is None
                else {"do": "take", "number": one.number, "values": list(one.values), "fields": fields}
            )
            rows.append(
                {
                    "name": figures[0],
                    "figures": figures[1:-2],
                    "parts": parts[1:],
                    "called": figures[-2],
                    "word": figures[-1],
                    "take": take,
                }
            )
    return {
        **_told(study),
        "says": section.says,
        "heads": [one.words.split(",")[0] for one in sought],
        "fields": [one.removeprefix("axles.") for one in fields],
        "rows": rows,
        "drawing": page.document.evaluation.last("front drawn", (id(result), page.view.system), lambda: front_figure(result)),
        "tables": [one for one in section.tables if one is not table and one is not made],
        "notes": result.notes,
    }  # fmt: skip


def _spread(page: Page, study: Study | None) -> dict[str, Any]:
    """The build spread: marks, histograms, tables."""
    result = study.result if study is not None else None
    if not isinstance(result, BuildSpread):
        return {**_told(study), "tables": []}
    section = spread_section(result)
    return {
        **_told(study),
        "says": section.says,
        "drawing": page.document.evaluation.last("spread drawn", (id(result), page.view.system), lambda: spread_figure(result)),
        "tables": section.tables,
        "notes": result.notes,
    }  # fmt: skip


def _hangs_on(page: Page) -> tuple[Any, ...]:
    return tuple((name, id(one.result), one.busy, one.late, one.fault) for name, one in page.shown.studies.items())


PART = SheetPart("trade", trade, step=True, edits=("trade", "tolerances"), hangs_on=_hangs_on)
