"""Trade: one step at a time, the front, the build spread; each is worked out when it is asked for, beside the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from springwright.drawing.exchange import Plumb
from springwright.drawing.svg import Drawing
from springwright.report.front import choices_told, ended, front_section, picked, told_figure
from springwright.report.front_pictures import axes_of, front_figure, rails, scales_figure, words_of
from springwright.report.spread import spread_figure, spread_section
from springwright.report.trade import changes, exchange_figure, exchange_section, signed
from springwright.studies.exchange import LEAST, Cell, Column, Exchange, StepRow, cell_of, moved, same_figure
from springwright.studies.front_results import Front, FrontDesign
from springwright.studies.setting import PRICE
from springwright.studies.spread import BuildSpread
from springwright.units import told, unit_of
from springwright.workbench.model.shown import Shown, Study
from springwright.workbench.render.page import Page, SheetPart

NUMBERS = {2: "Two", 3: "Three", 4: "Four", 5: "Five", 6: "Six"}
TAKEN = " of the front"  # how the edit ends that takes one
ASKS = "What do I give up for what I gain?"
STEPS = {
    "frequency": "frequency", "damping_ratio": "damping ratio", "bar": "bars, of themselves", "bump": "bump travel", "droop": "droop travel",
    "stop_gap": "bump stop gap", "pressure": "tyre pressure", "spring_base": "spring base", "cg_height": "centre of gravity", "track": "track", "mass": "weight",
}  # fmt: skip


def _by_worst(result: Exchange) -> list[StepRow]:
    """What helps the figure first that leaves least of its limit, or misses it by most."""
    left = [
        (one.margin / abs(one.limit or one.value or 1.0), k)
        for k, one in enumerate(result.columns)
        if one.margin is not None
    ]
    worst = min(left, default=(0.0, 0))[1]
    return sorted(result.rows, key=lambda row: -(row.cells[worst].won or 0.0) if row.cells else 99.0)


class _Order(NamedTuple):
    words: str
    rows: Callable[[Exchange], list[StepRow]]


ORDERS = {
    "won": _Order("margins won less lost", lambda result: [*result.rows]),
    "worst": _Order("what helps the worst figure", _by_worst),
    "price": _Order("won for each one lost", lambda result: sorted(result.rows, key=lambda row: -row.won / max(row.lost, LEAST) if row.cells else 99.0)),
    "name": _Order("name", lambda result: sorted(result.rows, key=lambda row: (row.what, row.by))),
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
            said.append(
                section.says[0]
                if not study.late or _steps_alone(page, study)
                else f"{section.says[0][:-1]}, for an older state of the design."
            )
    return (
        " ".join(said)
        or "Nothing is traded yet: ask for one step of every decision, for the front, or for the build spread."
    )


def _steps_alone(page: Page, study: Study) -> bool:
    return isinstance(study.result, Exchange) and bool(_tried(page, study, study.result))


def _told(study: Study | None) -> dict[str, Any]:
    one = study or Study()
    return {"asked": study is not None, "busy": one.busy, "late": one.late, "fault": one.fault, "stopped": one.stopped}


def _exchange(page: Page, study: Study | None) -> dict[str, Any]:
    """The exchange table: a row to a step, which can be pressed to try it; steps tried hang plumb lines through all."""
    result = study.result if study is not None else None
    if study is None or not isinstance(result, Exchange):
        return {**_told(study), "rows": [], "tried": None}
    section = exchange_section(result)
    order = page.view.order if page.view.order in ORDERS else "won"
    shown = ORDERS[order].rows(result)
    tried = _tried(page, study, result)
    late = study.late and not tried
    names = {f"{row.what} {row.by}": row for row in result.rows}

    def does(row: StepRow) -> dict[str, Any] | None:
        if late or row.why:
            return None
        if row.id in tried:
            return {"do": "undo"} if row.id == tried[-1] else None
        return {"do": "step", "id": row.id}

    stands = [_stands(page.shown, column) for column in result.columns] if tried else []
    plumbs = [
        Plumb(None if cell is None else cell.won, "…" if cell is None else told(cell.value, column.kind))
        for column, cell in zip(result.columns, stands, strict=bool(stands))
    ]
    key = (study.made, page.view.system, order, tuple(tried), tuple(plumbs), late)
    drawing = page.document.evaluation.last(
        "exchange drawn", key, lambda: exchange_figure(result, rows=shown, tried=tried, plumbs=plumbs, does=does)
    )
    rows = [
        {
            "what": f"{row.what} {row.by}",
            "cells": [changes(column, cell) for column, cell in zip(result.columns, row.cells, strict=bool(row.cells))],
            "total": f"{row.total:+.1f}" if row.total is not None else "",
            "why": row.why,
            "does": does(row),
            "tried": row.id in tried,
        }
        for row in shown
    ]
    return {
        **_told(study),
        "late": late,
        "heads": [f"{one.head}?" for one in result.columns],
        "rows": rows,
        "order": order,
        "orders": [(name, one.words) for name, one in ORDERS.items()],
        "drawing": drawing,
        "tables": section.tables[1:],
        "notes": result.notes,
        "tried": _together(result, [names[title] for title in names if names[title].id in tried], stands, len(tried)),
    }  # fmt: skip


def _tried(page: Page, study: Study, result: Exchange) -> list[str]:
    """Steps of the table that lead from its design to this one, in the order they were tried; none where anything else was changed."""
    ids = {f"{row.what} {row.by}": row.id for row in result.rows}
    done = page.document.since(study.text) or ()
    return [ids[title] for title in done] if all(title in ids for title in done) else []


def _stands(shown: Shown, column: Column) -> Cell | None:
    """What has become of a column's figure in this design; None while it is worked out."""
    if column.question in shown.stale:
        return None
    answer = shown.answers.get(column.question)
    if answer is None:
        return cell_of(column, shown.lost.get(column.question, "not known"))
    return cell_of(column, same_figure(answer.figures, column))


def _together(result: Exchange, rows: list[StepRow], stands: list[Cell | None], count: int) -> dict[str, Any] | None:
    """The steps tried: what each figure was, is now and changed by, and every word that is another."""
    if not count:
        return None
    known = [(column, cell) for column, cell in zip(result.columns, stands, strict=True) if cell is not None]
    moves = [(column, cell) for column, cell in known if moved(column, cell)]
    return {
        "title": "One step tried" if count == 1 else f"{NUMBERS.get(count, str(count))} steps tried",
        "names": " and ".join(f"{row.what} {row.by}" for row in rows),
        "rows": [
            (f"{column.head}?", unit_of(column.kind), told(column.value, column.kind), told(cell.value, column.kind), changes(column, cell))
            for column, cell in moves
        ],
        "words": [f"{column.head}? {column.word}, now {cell.word}." for column, cell in known if cell.word != column.word],
        "wait": len(known) < len(result.columns),
        "count": count,
    }  # fmt: skip


def _front(page: Page, study: Study | None) -> dict[str, Any]:
    """The front: drawn, its designs as rows and over upright scales; one picked can be taken or kept."""
    result = study.result if study is not None else None
    texts = page.design.trade.vary
    if study is None or not isinstance(result, Front):
        return {**_told(study), "shown": False, "varies": [], "picked": None, "texts": len(texts)}
    section = front_section(result)
    mine = next((one for one in result.designs if one.values == page.view.picked), None)
    number = mine.number if mine is not None else 0
    fields = [one.field for one in result.decisions]
    taken = _taken(page, study)
    view = page.view
    key = (study.made, view.system, number, view.across, view.up)

    def drawn() -> tuple[Drawing, Drawing, list[tuple[Drawing, str]]]:
        return (
            front_figure(result, across=view.across, up=view.up, picked=number, does=_pick),
            scales_figure(result, picked=number, does=_pick),
            rails(result, number),
        )

    front, scales, lines = page.document.evaluation.last("front drawn", key, drawn)
    held = len(texts) == len(result.decisions)
    varies = [
        {
            "at": ("trade", "vary", k) if held else None, "field": words_of(one), "today": ended(one, one.today),
            "low": ended(one, one.low), "high": ended(one, one.high), "choices": choices_told(one), "rail": line, "presses": where,
        }
        for k, (one, (line, where)) in enumerate(zip(result.decisions, lines, strict=True))
    ]  # fmt: skip
    sought = [one for one in result.figures if one.sought]
    table = next((one for one in section.tables if one.caption.startswith("The front")), None)
    made = next((one for one in section.tables if one.caption == "What they are made of"), None)
    rows = []
    if table is not None and made is not None:
        some = [*([None] if result.today is not None else []), *picked(result)]
        for one, figures, parts in zip(some, table.rows, made.rows, strict=True):
            rows.append(
                {"name": figures[0], "figures": figures[1:-2], "parts": parts[1:], "called": figures[-2], "word": figures[-1], "pick": None if one is None else _pick(one)}
            )  # fmt: skip
    return {
        **_told(study),
        "late": study.late and not taken,
        "shown": True,
        "says": section.says,
        "heads": [one.words.split(",")[0] for one in sought],
        "sought": [(one.id, one.words.split(",")[0]) for one in sought],
        "axes": [result.figures[i].id for i in axes_of(result, view.across, view.up)],
        "fields": [words_of(one) for one in result.decisions],
        "texts": len(texts),
        "varies": varies,
        "rows": rows,
        "found": len(result.designs),
        "today": result.today is not None,
        "feasible": result.feasible,
        "number": number,
        "picked": _panel(page, result, mine, fields) if mine is not None else None,
        "drawing": front,
        "scales": scales,
        "tables": [one for one in section.tables if one is not table and one is not made and not one.caption.startswith("What may vary")],
        "notes": result.notes,
    }  # fmt: skip


def _taken(page: Page, study: Study) -> bool:
    """Whether all that was done since the search is to take designs of its front."""
    done = page.document.since(study.text) or ()
    return bool(done) and all(title.endswith(TAKEN) for title in done)


def _pick(one: FrontDesign) -> dict[str, Any]:
    return {"do": "pick", "values": list(one.values)}


def _panel(page: Page, result: Front, one: FrontDesign, fields: list[str]) -> dict[str, Any]:
    """A design of the front beside today's: parts, figures, words, and what can be done with it."""
    now = result.today
    parts = [
        (words_of(vary), "–" if now is None else now.shown[k], one.shown[k])
        for k, vary in enumerate(result.decisions)
        if now is None or now.shown[k] != one.shown[k]
    ]
    figures = []
    for k, figure in enumerate(result.figures):
        was, value = None if now is None else now.figures[k], one.figures[k]
        if value is None or (not figure.sought and figure.limit is None):
            continue
        change = (
            ""
            if was is None or figure.id == PRICE or abs(value - was) < 0.005 * abs(was)
            else signed(value - was, figure.kind)
        )
        figures.append((figure.words.split(",")[0], told_figure(figure, was), told_figure(figure, value), change))
    asked = {"number": one.number, "values": list(one.values), "fields": fields}
    return {
        "number": one.number,
        "called": one.called,
        "parts": parts,
        "figures": figures,
        "words": _words(page, one, now),
        "take": {"do": "take", **asked},
        "keep": {"do": "candidate", **asked, "called": one.called},
    }


def _words(page: Page, one: FrontDesign, now: FrontDesign | None) -> list[str]:
    """What the seven questions say of a design of the front, and where today's word is another."""
    if one.why:
        return [f"It cannot be proven: {one.why}."]
    if not one.proven:
        return ["Not yet proven: its seven questions are asked when it is taken."]
    before = dict(now.words) if now is not None else {}
    heads = {each.name: f"{each.verb}?" for each in page.shown.questions}
    return [
        f"{heads.get(name, name)} {word}" + (f", today {before[name]}" if before.get(name, word) != word else "") + "."
        for name, word in one.words
    ]


def _spread(page: Page, study: Study | None) -> dict[str, Any]:
    """The build spread: marks, histograms, tables."""
    result = study.result if study is not None else None
    if study is None or not isinstance(result, BuildSpread):
        return {**_told(study), "tables": []}
    section = spread_section(result)
    return {
        **_told(study),
        "says": section.says,
        "drawing": page.document.evaluation.last("spread drawn", (study.made, page.view.system), lambda: spread_figure(result)),
        "tables": section.tables,
        "notes": result.notes,
    }  # fmt: skip


def _hangs_on(page: Page) -> tuple[Any, ...]:
    studies = page.shown.studies
    told = tuple((name, one.made, one.busy, one.late, one.fault, one.stopped) for name, one in studies.items())
    view = page.view.picked, page.view.order, page.view.designs, page.view.across, page.view.up
    exchange = studies.get("exchange")
    if exchange is None or not exchange.late:
        return told, view
    return told, view, tuple(map(id, page.shown.answers.values())), page.shown.stale  # where the steps tried lead


PART = SheetPart("trade", trade, step=True, edits=("trade", "tolerances"), hangs_on=_hangs_on)
