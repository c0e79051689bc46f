"""A front told: its designs as rows, drawn, as CSV; and one of them kept as a design file of its own."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from springwright.cells import CellWriter
from springwright.report.tables import Section, Table
from springwright.report.trade import ASKS
from springwright.studies.front_results import Front, FrontDesign, Vary
from springwright.studies.setting import PRICE, Sought
from springwright.units import show, told

SHOWN = 12  # designs of the front in a table, its named ones among them


def front_section(result: Front) -> Section:
    """What was searched and what came of it."""
    says = [_lead(result), _searched(result)]
    if result.stopped:
        says.append("Stopped before the end: what was found is kept.")
    sought = [one for one in result.figures if one.sought]
    tables = [_varied(result)]
    if result.designs:
        tables += _designs(result, sought)
        if any(one.proven for one in result.designs):
            tables.append(_proven(result))
    if result.missed:
        tables.append(_missed(result, sought))
    tables.append(_looked(result))
    if result.converged:
        tables.append(
            Table(
                "Share of the front's box that is bettered", ("after designs", *(f"{count:.0f}" for count, _ in result.converged)),
                (("hypervolume", *(f"{share:.3f}" for _, share in result.converged)),), "l" + "r" * len(result.converged),
            )
        )  # fmt: skip
    return Section("Trade", ASKS, tuple(one for one in says if one), tuple(tables), result.notes)


def _lead(result: Front) -> str:
    if not result.designs:
        near = result.missed[0] if result.missed else None
        return "No design tried meets every limit" + (f"; the nearest misses {near.missed}." if near else ".")
    sought = [one for one in result.figures if one.sought]
    first, last = (min(result.designs, key=lambda one: _worth(one, result, k)) for k in (0, 1))
    said = f"{len(result.designs)} designs, none better than another in everything"
    a, b = sought[0], sought[1]
    if first is last:
        return f"{said}; one of them is best in both {a.words} and {b.words}."
    return f"{said}: from {_value(first, result, 0)} and {_value(first, result, 1)} to {_value(last, result, 0)} and {_value(last, result, 1)} ({a.words}, {b.words})."


def _worth(one: FrontDesign, result: Front, k: int) -> float:
    at = [i for i, figure in enumerate(result.figures) if figure.sought][k]
    value = one.figures[at] or 0.0
    return value if result.figures[at].sense == "at most" else -value


def _value(one: FrontDesign, result: Front, k: int) -> str:
    at = [i for i, figure in enumerate(result.figures) if figure.sought][k]
    return told_figure(result.figures[at], one.figures[at])


def told_figure(figure: Sought, value: float | None) -> str:
    """A figure of the search as it reads [SI by the figure]."""
    if value is None or not np.isfinite(value):
        return "–"
    return f"{value:.0f}" if figure.id == PRICE else told(value, figure.kind)


def _searched(result: Front) -> str:
    how = "every combination" if result.by_all else f"seed {result.seed}"
    proving = f", proving {result.proving:.0f} s" if result.proving else ""
    return f"{result.tried} designs tried ({how}), {result.feasible} meet every limit looked at, {result.refused} cannot be built or stand; {result.seconds:.0f} s{proving}."


def _varied(result: Front) -> Table:
    rows = tuple((one.field, ended(one, one.today), ended(one, one.low), ended(one, one.high), choices_told(one), _lies(one)) for one in result.decisions)  # fmt: skip
    return Table("What may vary", ("", "today", "from", "to", "to choose from", "where those lie that meet every limit"), rows, "lrrrll")  # fmt: skip


def ended(one: Vary, value: float | None) -> str:
    """A value of a decision as it reads [SI by the decision]."""
    if value is None:
        return "–"
    return one.choices[round(value)] if one.choices else show(value, one.kind)


def choices_told(one: Vary) -> str:
    """What a decision is chosen from."""
    return f"{len(one.choices)} that can be bought" if one.choices else "any"


def _lies(one: Vary) -> str:
    if not one.lies:
        return "none"
    return f"{ended(one, one.lies[0])} to {ended(one, one.lies[1])}"


def picked(result: Front) -> list[FrontDesign]:
    """The designs of a front that a table shows: those with a name, and some evenly between."""
    named = [one for one in result.designs if one.called]
    rest = [one for one in result.designs if not one.called]
    more = max(SHOWN - len(named), 0)
    some = [rest[int(i)] for i in np.unique(np.linspace(0, len(rest) - 1, more).astype(int))] if rest and more else []
    return sorted([*named, *some], key=lambda one: one.number)


def _designs(result: Front, sought: Sequence[Sought]) -> list[Table]:
    """Figures of the designs shown, and what they are made of."""
    places = [i for i, one in enumerate(result.figures) if one.sought]
    some = [*([result.today] if result.today is not None else []), *picked(result)]
    names = ["today" if one is result.today else str(one.number) for one in some]
    rows = tuple(
        (name, *(told_figure(result.figures[i], one.figures[i]) for i in places), "" if one is result.today else one.called, _word(one))
        for name, one in zip(names, some, strict=True)
    )  # fmt: skip
    head = ("", *(one.words.split(",")[0] for one in sought), "", "")
    figures = Table(
        "The front" if len(result.designs) <= SHOWN else f"The front, {len(picked(result))} of {len(result.designs)}", head, rows, "r" + "r" * len(sought) + "ll",
        note="Not yet proven: the seven questions have not been asked in full; --prove all asks every one. All of them stand in -o .csv and --json.",
    )  # fmt: skip
    fields = ("", *(one.field.removeprefix("axles.") for one in result.decisions))
    made = tuple((name, *one.shown) for name, one in zip(names, some, strict=True))
    return [figures, Table("What they are made of", fields, made, "r" * len(fields))]


def _word(one: FrontDesign) -> str:
    if not one.proven:
        return "not yet proven"
    return one.why or one.worst


def _proven(result: Front) -> Table:
    """The words of those that were proven, beside today's."""
    proven = [one for one in (result.today, *result.designs) if one is not None and one.proven and one.words]
    names = [name for name, _ in proven[0].words] if proven else []
    rows = tuple(
        ("today" if one is result.today else f"{one.number}, {one.called}" if one.called else str(one.number), *(dict(one.words).get(name, "") for name in names))
        for one in proven
    )  # fmt: skip
    return Table("Proven", ("", *(name.capitalize() for name in names)), rows, "l" + "l" * len(names))


def _missed(result: Front, sought: Sequence[Sought]) -> Table:
    places = [i for i, one in enumerate(result.figures) if one.sought]
    rows = tuple(
        (*(told_figure(result.figures[i], one.figures[i]) for i in places), *one.shown, one.missed)
        for one in result.missed[:6]
    )
    head = (
        *(one.words.split(",")[0] for one in sought),
        *(one.field.removeprefix("axles.") for one in result.decisions),
        "misses",
    )
    return Table("Nearest of those that miss a limit", head, rows, "r" * (len(sought) + len(result.decisions)) + "l")


def _looked(result: Front) -> Table:
    rows = tuple(
        (
            one.words,
            "sought" if one.sought else "",
            "–"
            if one.limit is None
            else f"{one.sense} {told(one.limit, one.kind)}" + (", as it is today" if one.held else ""),
            "a short drive" if one.stands_in else "",
        )
        for one in result.figures
    )
    return Table("Figures looked at", ("", "", "limit", "read from"), rows, "llll")


def front_csv(result: Front) -> str:
    """Every design of the front as a row, SI, units in the header."""
    rows = CellWriter()
    rows.writerow(
        ["design", "called", *(f"{one.field} [{_si(one)}]".replace(" []", "") for one in result.decisions), *(f"{one.id} [{one.unit}]".replace(" []", "") for one in result.figures), "word"]
    )  # fmt: skip
    for one in result.designs:
        values = [vary.choices[round(value)] if vary.choices else repr(value) for vary, value in zip(result.decisions, one.values, strict=True)]  # fmt: skip
        rows.writerow([one.number, one.called, *values, *("" if value is None else repr(value) for value in one.figures), _word(one)])  # fmt: skip
    return rows.text


def _si(one: Vary) -> str:
    from springwright.units import KINDS

    return KINDS[one.kind].si if one.kind else ""
