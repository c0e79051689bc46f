"""Order: everything that is to be bought or made, what is not decided yet, the spring orders page by page, and all that can be taken away."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from springwright.drawing.order_parts import beyond_scale, marks_of, part_drawing, ruler, weeks_drawing
from springwright.drawing.shapes import axle_ink
from springwright.report.order_list import counted, grouped, money, moneys, state_of_order, weeks_of, whole_weeks
from springwright.report.parts import part_figure, part_order
from springwright.report.tables import Table, capital
from springwright.sizing.order_list import OrderLine, order_list, sums
from springwright.units import show
from springwright.workbench.render.page import Page, SheetPart
from springwright.workbench.render.sheet import answers_of

# What may be taken: name of the route, and words.
PRINTED = (
    ("orders.pdf", "the order pages, one to a part"),
    ("fitting.pdf", "the fitting sheet for the workshop"),
    ("report.pdf", "the whole case"),
    ("sheet.html", "the sizing as one page"),
)
KEPT = (
    ("order.csv", "this list"),
    ("sizing.csv", "the sizing"),
    ("answers.csv", "every figure of the seven answers"),
    ("design.toml", "the design file as it stands here"),
)
LEAST_WEEKS = 8.0  # of the scale of lead times
STEPS = {"metric": 0.25, "imperial": 10 * 0.0254}  # m between marks of the ruler


def order(page: Page) -> Mapping[str, Any]:
    """What the template of Order shows."""
    found = order_list(page.document.file)
    most = max([LEAST_WEEKS, *(weeks_of(one) or 0.0 for one in found.lines)])
    names = [axle.name for axle in page.design.axles]
    step = STEPS[page.view.system]
    last = found.last
    records = [one for springs in page.sheet.springs for one in (springs.record, *springs.helpers) if one is not None]
    pages = [part_order(record) for record in records]
    return {
        "says": state_of_order(found), "groups": [(title, word, moneys(sums(lines)) or "–", [_row(one, most, names) for one in lines]) for title, word, lines in grouped(found)],
        "ruler": ruler("The scale of the drawings below", step, show(step * marks_of(step), "length")), "total": moneys(found.totals), "undecided": len(found.open),
        "last": f"{counted(whole_weeks(last), 'week')}: {last.part}" if last is not None else "",
        "before": _before(page), "most": most,
        "pages": [(texts, Table(**{**texts["table"], "caption": "Loads and lengths"}), _drawn(page, k, record)) for k, (texts, record) in enumerate(zip(pages, records, strict=True))],
        "printed": PRINTED, "kept": KEPT,
    }  # fmt: skip


def _row(one: OrderLine, most: float, names: list[str]) -> dict[str, Any]:
    k, weeks = names.index(one.axle), weeks_of(one)
    return {
        "drawing": None if one.shape is None else part_drawing(one.shape, one.part, axle_ink(k)), "quantity": one.quantity, "part": capital(one.part), "says": one.says,
        "each": "–" if one.price is None else money(one.price, ""), "together": "–" if one.cost is None else money(one.cost, ""),
        "weeks": weeks_drawing(weeks, most, "not known" if weeks is None else f"{weeks:.1f} weeks"), "known": weeks is not None,
        "priced": one.price is not None, "currency": one.currency, "smaller": one.shape is not None and beyond_scale(one.shape), "wanted": one.wanted, "at": one.supply, "called": one.called, "maker": one.maker, "bare": one.part,
    }  # fmt: skip


def _before(page: Page) -> str:
    """What the builder should know before it is sent: answers that are not met or not known, and limits that are not."""
    told = page.shown.answers
    failed = [one.verb for one in page.shown.questions if one.name in told and told[one.name].word == "not met"]
    ratings = [capital(one.measure) for one in page.sheet.ratings if one.word == "not met"]
    late = bool(page.shown.stale) or len(told) < len(page.shown.questions)
    says = ""
    if failed or ratings:
        each = [*(f"{verb}?" for verb in failed), *ratings]
        says = f"{', '.join(each)} {'is' if len(each) == 1 else 'are'} not met."
    return f"{says} The answers are not all worked out yet.".strip() if late else says


def _drawn(page: Page, index: int, record: Any) -> Any:
    """A part's own picture, made while it is looked at."""
    return part_figure(record) if page.open(f"order-{index}") else None


def _hangs_on(page: Page) -> tuple[Any, ...]:
    return answers_of(page.shown), page.shown.stale


PART = SheetPart("order", order, step=True, hangs_on=_hangs_on)
