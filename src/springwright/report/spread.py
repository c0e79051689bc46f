"""A build spread told: how many meet each limit, which tolerance is to blame, and what a tighter one buys."""

from __future__ import annotations

from springwright.drawing.spread import SpreadRow, spread_drawing
from springwright.drawing.svg import Drawing
from springwright.report.tables import Section, Table
from springwright.report.trade import ASKS
from springwright.studies.spread import BuildSpread, HeldFigure, Interval
from springwright.units import show, told

BLAMED = 3  # tolerances named for a figure
LITTLE = 0.9  # first-order shares that add up to less leave a share that tolerances have together
FEW = 0.03  # of the variance


def spread_section(result: BuildSpread) -> Section:
    """The spread: the share that meets every limit first."""
    of = result.builds
    says = [
        f"{round(result.met.share * of)} of {of} built so would meet every limit that the drawing meets: {_share(result.met)}."
    ]
    if result.refused:
        says.append(f"{result.refused} of them could not be built or stand, and count as failing.")
    if result.fails:
        says.append("Of the rest " + ", ".join(f"{count} fail {name}" for name, count in result.fails) + ".")
    says += [f"With {_narrowed(one.tolerances, one.to)} {_share(one.met)} hold." for one in result.tighter]
    if result.stopped:
        says.append("Stopped before the end: only what was finished is told.")
    rows = tuple((one.words, told(one.drawn, one.kind), told(one.low, one.kind), told(one.high, one.kind), _limit(one), _met(one)) for one in result.figures)  # fmt: skip
    tables = [
        Table(
            "Figures over all builds", ("", "as drawn", "2.5 %", "97.5 %", "limit", "meet it"), rows, "lrrrll",
            note=f"{of} scrambled Sobol points, seed {result.seed}; tolerances are two standard deviations of a normal spread, each on its own; shares with their 95 % interval (Wilson).",
        ),
        Table("Tolerances", ("", "either way", "whose"), tuple((one.name, show(one.share, "share", 1), one.origin) for one in result.tolerances), "lrl"),
    ]  # fmt: skip
    if blame := _blame(result):
        tables.insert(1, blame)
    return Section("Trade", ASKS, tuple(says), tuple(tables), result.notes)


def _share(one: Interval) -> str:
    return f"{show(one.share, 'share', 1)} ({show(one.low, 'share', 1)} to {show(one.high, 'share', 1)})"


def _narrowed(names: tuple[str, ...], to: tuple[float, ...]) -> str:
    return " and ".join(f"{name} to ±{show(share, 'share', 1)}" for name, share in zip(names, to, strict=True))


def _limit(one: HeldFigure) -> str:
    if one.limit is None:
        return "–"
    return f"{one.sense} {told(one.limit, one.kind)}" + (", missed as drawn" if one.missed_as_drawn else "")


def _met(one: HeldFigure) -> str:
    return "" if one.met is None else _share(one.met)


def _blame(result: BuildSpread) -> Table | None:
    rows = []
    for one in result.figures:
        if not one.blame:
            continue
        first = sorted(one.blame, key=lambda each: -each.first)[:BLAMED]
        parts = [f"{each.tolerance} {each.first:.2f} ± {each.first_off:.2f}, in all {each.total:.2f} ± {each.total_off:.2f}" for each in first if each.total >= FEW]  # fmt: skip
        together = 1 - sum(max(each.first, 0.0) for each in one.blame)
        rows.append((one.words, "; ".join(parts), f"{together:.2f}" if together > 1 - LITTLE else ""))
    if not rows:
        return None
    return Table(
        "Which tolerance is to blame, as a share of the variance", ("", "first order, in all", "together"), tuple(rows), "lll",
        note=f"Sobol indices by SALib on {result.sampled} builds of their own: first order alone, in all with everything it acts with (total effect), each with its 95 % half width.",
    )  # fmt: skip


def spread_figure(result: BuildSpread) -> Drawing:
    """Marks and spreads: figures with a limit that the drawing meets."""
    rows = []
    for one in result.figures:
        if one.met is None:
            continue
        thousand = round(1000 * one.met.share)
        first = sorted(one.blame, key=lambda each: -each.first)
        named = tuple((each.tolerance, each.first) for each in first[:BLAMED] if each.first >= FEW)
        rows.append(
            SpreadRow(one.words.split(",")[0], "all" if thousand == 1000 else str(thousand), one.counts, one.edges, one.limit, one.sense == "at most", named)
        )  # fmt: skip
    return spread_drawing(
        f"{result.vehicle}: build spread", round(result.met.share * result.builds), result.fails, result.builds, rows
    )
