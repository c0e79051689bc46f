"""The seven answers told: one row each, a question in detail, curves as tables and charts, the same as CSV."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from springwright.cells import CellWriter
from springwright.drawing.limit_chart import WIDE, Event, Line, Shut, limit_chart
from springwright.drawing.svg import Drawing
from springwright.questions.answer import Answer, Bound, Curve, Curves, Fact, Figure
from springwright.questions.estimate_spans import MOVES, EstimateWorth
from springwright.questions.prove import Proof
from springwright.questions.sensitivities import Move
from springwright.report.tables import Section, Table, capital, judged_sentence
from springwright.units import as_drawn, display_system, drawn_unit, number, plain, pretty, scale_of, show, told

Floats = NDArray[np.float64]
MOVED = "Each input changed on its own and the question asked again; what would meet it was tried too. A spring is made stiffer or softer as it is, while a changed target finds its springs anew: ask again after an edit, and look at the window and the other questions."
LOGARITHMIC = ("frequency", "count")  # kinds of abscissa told by powers of ten
FEW = 14  # points up to which a curve is told as a table on a terminal


def summary(proof: Proof) -> Section:
    """Seven rows: question, word, and the figure that decides; overloads first."""
    says = [f"Overloaded: {judged_sentence(one)}." for one in proof.ratings if one.word == "not met"]
    says += [f"{capital(one)}." for one in (*proof.windows, *proof.unusual, *proof.estimates)]
    if proof.stopped:
        says.append("Stopped before the end: only what was finished is told.")
    rows = tuple((capital(one.question), word_of(one), deciding(one), unknown(one)) for one in proof.answers)
    note = "The word of a question is that of its worst known figure; with --question ride (or another) it is told in detail, with what moves the figures not met."
    tables = (Table("Seven questions", ("", "", "what decides", "not known"), rows, "lllr", note=note),) if rows else ()
    if proof.worths:
        tables = (*tables, worths_table(proof.worths))
    return Section("Prove", "Is it good enough?", tuple(says), tables)


def worths_table(worths: Sequence[EstimateWorth]) -> Table:
    """Estimates by how much hangs on them: what turns a verdict first, then by how far they move a figure."""
    rows = tuple(
        (
            one.name,
            f"{one.most}, {show(one.share, 'share', 0)}"
            if one.share >= MOVES
            else "nothing by 2 %"
            if one.ranged
            else "no range given",
            ", ".join(one.questions),
            "; ".join(one.turns),
        )
        for one in worths
    )
    note = "Each estimate asked at both ends of its range. What stands first is worth measuring first."
    return Table(
        "Estimates, by how much hangs on them",
        ("", "moves most", "questions on it", "verdicts that turn"),
        rows,
        "llll",
        note=note,
    )


def word_of(one: Answer) -> str:
    """The word of an answer, "so far" where less than half of its figures could be judged, and on how many estimates it hangs."""
    known = sum(figure.word != "not known" for figure in one.figures)
    word = f"{one.word} so far" if one.word in ("met", "close") and 2 * known < len(one.figures) else one.word
    return f"{word}{on_estimates(one.estimates)}" if known else word


def on_estimates(count: int) -> str:
    """What is put behind a verdict that hangs on so many estimates."""
    return f", on {count} {'estimate' if count == 1 else 'estimates'}" if count else ""


def deciding(one: Answer) -> str:
    """The figure that decides an answer, in words."""
    worst = one.deciding
    if worst is None:
        first = next(iter(one.figures), None)
        return f"{first.measure}: {first.why}" if first else "nothing could be judged"
    if worst.value is None:
        return f"{worst.measure}: {worst.why}; {worst.sense} {told(worst.limit, worst.kind)} asked"
    return (
        f"{worst.measure} {told(worst.value, worst.kind)}, {worst.sense} {told(worst.limit, worst.kind)}{_place(worst)}"
    )


def unknown(one: Answer) -> str:
    """How many of its figures are not known, of how many."""
    missing = sum(figure.word == "not known" for figure in one.figures)
    return f"{missing} of {len(one.figures)}" if missing else ""


def _place(one: Figure | Fact) -> str:
    place = " on ".join(filter(None, (one.state, one.ground)))
    return f"; {place}" if place else ""


def answer_section(one: Answer, moves: Sequence[Move] = (), *, tables_of_curves: bool = True) -> Section:
    """One question in detail: figures against limits, figures beside them, what moves those not met, notes."""
    rows = tuple(
        (
            figure.measure,
            ("never" if figure.sense == "at least" else "without end") if _endless(figure) else told(figure.value, figure.kind),
            f"{figure.sense} {told(figure.limit, figure.kind)}" if figure.limit is not None else "–",
            told(figure.margin, figure.kind) if figure.kind != "temperature" else _kelvins(figure.margin),
            figure.word,
            governs(figure),
            figure.why if figure.word == "not known" or _endless(figure) else figure.source,
        )
        for figure in one.figures
    )  # fmt: skip
    head = ("", "figure", "limit", "margin", "", "where it governs", "whose limit, or what is missing")
    tables = [Table("Checks", head, rows, "lrrrlll")]
    if moves:
        moved = tuple(
            (
                move.measure, move.input, move.change, apart(move), move.enough
            )
            for move in moves
        )  # fmt: skip
        tables.append(
            Table(
                "Sensitivities of the figures that are not met",
                ("", "input", "changed by", "moves it", "would meet it"),
                moved,
                "lllll",
                note=MOVED,
            )
        )
    if one.facts:
        tables.append(facts_table(one))
    if tables_of_curves:
        tables += [curve_table(curves) for curves in one.curves if len(curves.x) <= FEW]
    worst = deciding(one)
    return Section(capital(one.question), one.asks, (capital(f"{word_of(one)}: {worst.rstrip('.')}."),), tuple(tables), one.notes)  # fmt: skip


def facts_table(one: Answer) -> Table:
    """Figures that nothing is asked of."""
    rows = tuple(
        (fact.measure, told(fact.value, fact.kind), " on ".join(filter(None, (fact.state, fact.ground))), fact.note)
        for fact in one.facts
    )
    return Table("Other results", ("", "figure", "load state, ground", ""), rows, "lrll")


def governs(one: Figure) -> str:
    """Load state, ground, and the rest of where a figure governs."""
    place = " on ".join(filter(None, (one.state, one.ground)))
    return "; ".join(filter(None, (place, one.where)))


def apart(move: Move) -> str:
    """Before and after, with as many digits as tell them apart."""
    texts = (told(move.before, move.kind), told(move.after, move.kind))
    if texts[0] == texts[1] and move.kind != "temperature":
        places = 4 if move.kind in ("ratio", "share") else 3
        texts = (show(move.before, move.kind, places), show(move.after, move.kind, places))
    return f"{texts[0]} to {texts[1]}"


def _endless(one: Figure) -> bool:
    return one.value is None and one.word in ("met", "not met")


def _kelvins(margin: float | None) -> str:
    if margin is None:
        return "–"
    return f"{plain(margin, 0)} K" if display_system() == "metric" else f"{plain(margin * 1.8, 0)} °F"


def curve_table(curves: Curves) -> Table:
    """Curves of few points as a table, a row for each line."""
    head = (
        f"{curves.x_name} {drawn_unit(curves.x_kind)}".strip(),
        *(number(x, curves.x_kind, 2 if curves.x_kind == "ratio" else None) for x in curves.x),
    )
    rows = tuple((line.name, *(_cell(y, curves.y_kind) for y in line.values)) for line in curves.lines)
    title = f"{curves.name}: {curves.y_name} {_unit(curves.y_kind, curves.y_unit)}".strip()
    return Table(title, head, rows, "l" + "r" * len(curves.x), note=curves.note)  # fmt: skip


def _cell(value: float | None, kind: str) -> str:
    return number(value, kind) if kind != "temperature" or value is None else plain(as_drawn(value, kind), 0)


def _unit(kind: str, unit: str) -> str:
    return drawn_unit(kind) if kind != "ratio" else pretty(unit)


def curve_chart(curves: Curves, *, wide: float = WIDE, part: tuple[float, float] | None = None) -> Drawing:
    """Curves as a chart with their limits drawn where they act; `part` of its axis, in the units shown, or all of it."""
    x = np.array([as_drawn(one, curves.x_kind) for one in curves.x])
    each = {line.name: np.array([np.nan if y is None else as_drawn(y, curves.y_kind) for y in line.values]) for line in curves.lines}  # fmt: skip
    marked = {mark.line for mark in curves.marks}
    few = 0 < len(marked) < len(each)
    lines = [
        Line(line.name, x, each[line.name], ink, few and line.name in marked)
        for line, ink in zip(curves.lines, _inks(curves.lines), strict=True)
    ]
    shut = [Shut(one.along, _drawn(one, curves), one.above, one.says) for one in curves.bounds]
    events = [
        Event(at, _height(at, x, each[mark.line]), mark.says, mark.gated)
        for mark in curves.marks
        for at in [as_drawn(mark.x, curves.x_kind)]
    ]
    title = ", ".join(filter(None, (curves.y_name, _unit(curves.y_kind, curves.y_unit))))
    x_title = ", ".join(filter(None, (curves.x_name, drawn_unit(curves.x_kind))))
    return limit_chart(
        curves.name,
        lines,
        (x_title, title),
        shut=shut,
        events=events,
        logarithmic=curves.x_kind in LOGARITHMIC,
        wide=wide,
        part=part,
    )


def _height(at: float, x: Floats, y: Floats) -> float:
    """Where a line lies at a place, from what it tells."""
    there = np.isfinite(y)
    return float(np.interp(at, x[there], y[there])) if there.any() else 0.0


def _drawn(one: Bound, curves: Curves) -> float:
    """Where a limit lies on the scales of its picture."""
    if one.along == "slope":
        return one.value * scale_of(curves.x_kind) / scale_of(curves.y_kind)
    return as_drawn(one.value, curves.x_kind if one.along == "x" else curves.y_kind)


def _inks(lines: Sequence[Curve]) -> list[str]:
    """An ink to each line, one after the other; a fellow's is its line's own, dashed."""
    names = [line.name for line in lines]
    firsts = [line.name for line in lines if line.beside not in names]
    series = [f"series-{k}" for k in (1, 2, 3, 5)]  # the fourth is the ink of limits
    inks = [*series, *(f"{one} dashed" for one in series)]
    own = {name: inks[k % len(inks)] for k, name in enumerate(firsts)}
    return [own[line.name] if line.name in own else f"{own.get(line.beside, 'ink')} dashed" for line in lines]


def proof_csv(proof: Proof) -> str:
    """Every figure, fact and curve as CSV in SI, a unit beside each."""
    rows = CellWriter()
    rows.writerow(["vehicle", proof.vehicle, "invented for demonstration" if proof.invented else ""])
    rows.writerow([])
    rows.writerow(
        [
            "question",
            "measure",
            "value",
            "unit",
            "sense",
            "limit",
            "margin",
            "word",
            "load state",
            "ground",
            "where",
            "source",
            "why",
        ]
    )
    for answer in proof.answers:
        for one in answer.figures:
            rows.writerow(
                [
                    answer.question,
                    one.measure,
                    _raw(one.value),
                    one.unit,
                    one.sense,
                    _raw(one.limit),
                    _raw(one.margin),
                    one.word,
                    one.state,
                    one.ground,
                    one.where,
                    one.source,
                    one.why,
                ]
            )
    rows.writerow([])
    rows.writerow(["question", "measure", "value", "unit", "load state", "ground", "note"])
    for answer in proof.answers:
        rows.writerows(
            [answer.question, fact.measure, _raw(fact.value), fact.unit, fact.state, fact.ground, fact.note]
            for fact in answer.facts
        )
    for answer in proof.answers:
        for curves in answer.curves:
            rows.writerow([])
            rows.writerow([answer.question, curves.name, curves.note])
            rows.writerow(
                [f"{curves.x_name} [{curves.x_unit}]", *(f"{line.name} [{curves.y_unit}]" for line in curves.lines)]
            )
            rows.writerows([_raw(x), *(_raw(line.values[i]) for line in curves.lines)] for i, x in enumerate(curves.x))
    return rows.text  # fmt: skip


def _raw(value: float | None) -> str:
    return "" if value is None else f"{value:.7g}"
