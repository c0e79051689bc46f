"""What is traded, told: the exchange table as rows and drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from springwright.drawing.exchange import ChangeBar, Ledger, Plumb, Rail, exchange_drawing
from springwright.drawing.svg import Drawing
from springwright.report.tables import Section, Table, capital
from springwright.studies.exchange import Cell, Column, Exchange, StepRow, moved
from springwright.studies.figures import ASKED
from springwright.studies.gradients import Tangent
from springwright.units import display_system, number, plain, scale_of, show, told, unit_of

ASKS = "What do I give up for what I gain?"
SHOWN = 2  # prices told for each pair of figures
PRICED = {
    "ride",
    "grip",
    "stand",
    "land",
}  # questions whose prices in each other are told; all of them stand in the JSON


def exchange_section(result: Exchange) -> Section:
    """The table: a row for each step, best first, figures as they change, margins won less lost."""
    says = [*_lead(result)]
    if result.stopped:
        says.append("Stopped before the end: only what was finished is told.")
    head = ("one step", *(f"{one.head}?" for one in result.columns), "in all")
    today = (
        "today", *(told(one.value, one.kind) if one.value is not None else "not known" for one in result.columns), ""
    )  # fmt: skip
    limits = (
        "limit",
        *(f"{one.sense} {told(one.limit, one.kind)}" if one.limit is not None else "–" for one in result.columns),
        "",
    )  # fmt: skip
    rows = tuple(
        (
            f"{row.what} {row.by}",
            *(changes(column, cell) for column, cell in zip(result.columns, row.cells, strict=True)),
            f"{row.total:+.1f}" if row.total is not None else "–",
        )
        for row in result.rows
        if row.cells
    )
    table = Table(
        "One step at a time, best first", head, (today, limits, *rows), "l" + "r" * (len(result.columns) + 1),
        note="Each row is the design worked afresh at the whole step, other decisions held and dependent parts sized again, in the load state and on the ground that govern today. A blank is no change: less than 3 % of the margin. In all: margins won less lost, each question weighed alike.",
    )  # fmt: skip
    where = Table(
        "What decides each question today", ("", "figure", "where it governs", ""),
        tuple((capital(one.head), one.measure or "nothing could be judged", " on ".join(filter(None, (one.state, one.ground))), one.word) for one in result.columns),
        "llll",
    )  # fmt: skip
    tables = [table, *_brings(result), where]
    if prices := _prices(result):
        tables.append(prices)
    if result.tangents:
        tables.append(_tangents(result.tangents))
    if result.kinks:
        tables.append(_kinks(result))
    cannot = tuple(f"{row.what} {row.by}: not tried, {row.why}" for row in result.rows if not row.cells)
    return Section("Trade", ASKS, tuple(says), tuple(tables), (*cannot, *result.notes))


def _lead(result: Exchange) -> list[str]:
    whole = [row for row in result.rows if row.total is not None]
    if not whole:
        return []
    best, dearest = whole[0], whole[-1]
    said = f"{capital(best.what)} {best.by} is the best bargain: {_sum(best)}"
    if dearest is not best:
        said += f"; {dearest.what} {dearest.by} is the dearest: {_sum(dearest)}"
    return [f"{said}."]


def _sum(row: StepRow) -> str:
    return f"{row.won:.1f} margins won for {row.lost:.1f} lost"


def changes(column: Column, cell: Cell) -> str:
    """How a figure changes, with its sign; nothing where it does not, a reason's first words where it is not known [SI]."""
    if cell.change is None:
        return "" if column.value is None else "not known"
    if not moved(column, cell):
        return ""
    return signed(cell.change, column.kind) + {"not met": " ✗"}.get(cell.word if column.word != "not met" else "", "")


def signed(value: float, kind: str) -> str:
    """A change with its sign and as many digits as tell it [SI]."""
    scaled = value / _scale(kind)
    text = plain(abs(scaled), 1) if kind == "temperature" else number(abs(value), kind, 2 if kind == "ratio" else None)
    if not any(digit in text for digit in "123456789"):
        text = f"{abs(scaled):.2g}"
    return f"{'+' if value > 0 else '−'}{text}"


def _brings(result: Exchange) -> list[Table]:
    """What a step mends and breaks, and the parts that come with it."""
    heads = {one.question: one.head for one in result.columns}
    rows = tuple(
        (
            f"{row.what} {row.by}",
            "; ".join([f"mends {heads[one]}?" for one in row.mends] + [f"breaks {heads[one]}? {measure}" for one, measure in zip(row.breaks, row.broken, strict=True)]),
            "; ".join(row.parts),
        )
        for row in result.rows
        if row.mends or row.breaks or row.parts
    )  # fmt: skip
    return (
        [Table("What comes with a step", ("", "mends and breaks", "springs sized again"), rows, "lll")] if rows else []
    )


def _prices(result: Exchange) -> Table | None:
    """What a unit gained of one figure costs in another, by each of the cheapest steps."""
    by_name = {one.question: one for one in result.columns}
    rows = []
    for gained, lost in dict.fromkeys((one.gained, one.lost) for one in result.bargains):
        if not {gained, lost} <= PRICED:
            continue
        some = [one for one in result.bargains if (one.gained, one.lost) == (gained, lost)][:SHOWN]
        a, b = by_name[gained], by_name[lost]
        for k, one in enumerate(some):
            rows.append((_gain(a) if k == 0 else "", _price(one.rate, a, b), b.measure, f"by {one.by}"))  # fmt: skip
    head = ("gaining", "costs", "of", "")
    return Table("What one gain costs in another, cheapest first", head, tuple(rows), "lrll") if rows else None


def _gain(column: Column) -> str:
    return " ".join(f"1 {_unit(column.kind)} of {column.measure}".split())


def _price(rate: float, gained: Column, lost: Column) -> str:
    return f"{rate * _scale(gained.kind) / _scale(lost.kind):.3g} {_unit(lost.kind)}".strip()


def _unit(kind: str) -> str:
    """The unit of a change: of a temperature too, which has no zero of its own."""
    if kind == "temperature":
        return "K" if display_system() == "metric" else "°F"
    return unit_of(kind)


def _scale(kind: str) -> float:
    """What of its unit a change of one is [SI]."""
    if kind == "temperature":
        return 1.0 if display_system() == "metric" else 5 / 9
    return scale_of(kind)


def _tangents(tangents: tuple[Tangent, ...]) -> Table:
    rows = []
    for one in tangents:
        a, b = ASKED[one.gained], ASKED[one.lost]
        rate = one.rate * scale_of(a.kind) / scale_of(b.kind)
        price = f"{rate:.3g} {unit_of(b.kind)}".strip() if one.rate > 0 else f"wins {-rate:.3g} {unit_of(b.kind)}".strip()  # fmt: skip
        free = f"{a.words} {show(one.free_gained, a.kind)} and {b.words} {show(one.free_lost, b.kind)} better" if min(one.free_gained, one.free_lost) > 0 else "nothing"  # fmt: skip
        rows.append((" ".join(f"1 {unit_of(a.kind)} of {a.words}".split()), price, b.words, ", ".join(one.by), free))
    return Table(
        "At this design, by gradients", ("gaining", "costs", "of", "mostly by", "still to be had of both by one step's length"), tuple(rows), "lrlll",
        note="Central differences on a fifth of each step, on springs of any rate and a drive of six seconds; every decision moved in proportion to what it gains.",
    )  # fmt: skip


def _kinks(result: Exchange) -> Table:
    rows = tuple(
        (ASKED[one.figure].words, one.what, signed(one.down, ASKED[one.figure].kind), signed(one.up, ASKED[one.figure].kind))
        for one in result.kinks
    )  # fmt: skip
    return Table("Where the slope differs to either side", ("", "decision", "by a step less", "by a step more"), rows, "llrr")  # fmt: skip


def exchange_figure(
    result: Exchange,
    *,
    rows: Sequence[StepRow] = (),
    tried: Sequence[str] = (),
    plumbs: Sequence[Plumb] = (),
    does: Callable[[StepRow], Mapping[str, Any] | None] = lambda _: None,
) -> Drawing:
    """The table drawn as bars in lengths of margin; on a page with the rows in another order, what pressing each `does`, those `tried` and where they lead."""
    rails = tuple(
        Rail(
            f"{one.head}?", _unit(one.kind) if one.value is not None else "", _bare(one.value, one.kind),
            "" if one.limit is None else f"{one.sense} {_bare(one.limit, one.kind)}",
            "" if one.margin is None else signed(one.margin, one.kind), _side(one),
        )
        for one in result.columns
    )  # fmt: skip
    heads = {one.question: one.head for one in result.columns}
    drawn = []
    for row in rows or result.rows:
        if not row.cells:
            continue
        bars = tuple(
            ChangeBar(
                cell.won,
                changes(column, cell).replace(" ✗", ""),
                broken=cell.change is None and column.value is not None,
            )
            for column, cell in zip(result.columns, row.cells, strict=True)
        )
        under = ", ".join(
            [f"mends {heads[one]}?" for one in row.mends] + [f"breaks {heads[one]}?" for one in row.breaks]
        )
        drawn.append(Ledger(capital(row.what), row.by, under, bars, row.lost, row.won, does(row), row.id in tried))
    return exchange_drawing(f"{result.vehicle}: one step of every decision", rails, drawn, plumbs)


def _bare(value: float | None, kind: str) -> str:
    if value is None:
        return "not known"
    return told(value, kind) if kind == "temperature" else number(value, kind, 2 if kind == "ratio" else None)


def _side(column: Column) -> int:
    """Where the limit stands: left of a figure that meets it, right of one that is to come to it."""
    if column.length is None:
        return 0
    return 1 if column.word == "not met" else -1
