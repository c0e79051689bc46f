"""The order list told: what is ready for how much, what is not decided yet, line by line; the same as CSV."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from springwright.cells import CellWriter
from springwright.report.tables import Section, Table, capital
from springwright.sizing.order_list import WEEK, OrderLine, OrderList
from springwright.units import plain

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def in_words(count: int) -> str:
    """A small number as a word."""
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def counted(count: int, noun: str) -> str:
    """A number of things."""
    return f"{in_words(count)} {noun}{'' if count == 1 else 's'}"


def money(amount: float, currency: str) -> str:
    """An amount in its currency, whole where it is."""
    return f"{currency} {plain(amount, 0 if amount == round(amount) else 2)}".strip()


def moneys(amounts: Mapping[str, float]) -> str:
    """Amounts in several currencies."""
    return " and ".join(money(amount, currency) for currency, amount in amounts.items())


def weeks_of(line: OrderLine) -> float | None:
    """How long it takes [weeks]."""
    return None if line.lead_time is None else line.lead_time / WEEK


def whole_weeks(line: OrderLine) -> int:
    """The number of weeks after which it is there, begun ones counted."""
    return math.ceil((weeks_of(line) or 0.0) - 1e-9)


def state_of_order(found: OrderList) -> str:
    """Whether it is an order at all, in a sentence or two."""
    if not found.lines:
        return "Nothing is to be ordered: every spring is there already."
    ready = [one for one in found.lines if one.ready]
    if not ready:
        return f"Nothing is ready yet: {counted(len(found.open), 'line')} {'is' if len(found.open) == 1 else 'are'} not decided."
    pieces = sum(one.quantity for one in ready)
    says = f"{capital(counted(pieces, 'piece'))}, {counted(len(ready), 'line')}, {'is' if len(ready) == 1 else 'are'} ready"
    totals = moneys(found.totals)
    unpriced = sum(one.cost is None for one in ready)
    if totals:
        says += f" for {totals}" + (f", {counted(unpriced, 'line')} of them without a price" if unpriced else "")
    if found.last is not None:
        says += f", the last of them here in {counted(whole_weeks(found.last), 'week')}"
    if not found.open:
        return f"{says}. Nothing is left to decide."
    one = len(found.open) == 1
    return f"{says}. {capital(counted(len(found.open), 'line'))} {'is' if one else 'are'} not decided, so it is not an order yet."


def grouped(found: OrderList) -> list[tuple[str, str, tuple[OrderLine, ...]]]:
    """Lines by who is written to, then what a workshop makes, then what is not decided: heading, a word on it, lines."""
    groups: list[tuple[str, str, tuple[OrderLine, ...]]] = []
    ready = [one for one in found.lines if one.ready]
    for maker in dict.fromkeys(one.maker for one in ready if not one.workshop):
        mine = tuple(one for one in ready if one.maker == maker and not one.workshop)
        groups.append((f"From {maker}", f"one letter, {counted(len(mine), 'line')}", mine))
    made = tuple(one for one in ready if one.workshop)
    if made:
        groups.append(("To be made", "any shop, from the dimensions here", made))
    if found.open:
        groups.append(("Not decided yet", "these keep the order open", found.open))
    return groups


def order_section(found: OrderList) -> Section:
    """The list as a terminal shows it."""
    tables = []
    for title, word, lines in grouped(found):
        rows = tuple(
            (f"{one.quantity} ×", capital(one.part), "–" if one.price is None else money(one.price, one.currency), "–" if one.cost is None else money(one.cost, one.currency), "–" if weeks_of(one) is None else plain(weeks_of(one) or 0.0, 1), one.wanted or "ready")
            for one in lines
        )  # fmt: skip
        tables.append(Table(f"{title}: {word}", ("", "part", "each", "together", "weeks", ""), rows, "rlrrrl"))
    return Section("Order", "What is to be bought, and what comes with it?", (state_of_order(found),), tuple(tables))


def order_csv(found: OrderList) -> str:
    """Every line as CSV: lead times in days, lengths of drawn parts left out."""
    rows = CellWriter()
    rows.writerow(["vehicle", found.vehicle])
    rows.writerow([])
    rows.writerow(["group", "quantity", "part", "what", "maker", "maker's name", "price each", "currency", "together", "lead time [days]", "still wanted"])  # fmt: skip
    for title, _, lines in grouped(found):
        for one in lines:
            days = None if one.lead_time is None else one.lead_time / 86400.0
            rows.writerow([title, one.quantity, one.part, one.says, one.maker, one.called, *_cells((one.price,)), one.currency, *_cells((one.cost, days)), one.wanted])  # fmt: skip
    return rows.text


def _cells(values: Sequence[float | None]) -> list[str]:
    return ["" if one is None else f"{one:.7g}" for one in values]
