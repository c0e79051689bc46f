"""What was built, told: readings beside what was due, what of the model explains them, and what brings it back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from springwright.commission.back import Remedy
from springwright.commission.compare import ComparedFigure, Comparison
from springwright.commission.correct import CorrectedInput, Correction
from springwright.commission.logged_drive import SCATTER
from springwright.commission.measured import BuiltReport
from springwright.commission.taken import SURE, Reduced, Trace
from springwright.drawing.readings import ReadingRow, TraceLine, readings_drawing, trace_drawing
from springwright.drawing.svg import Drawing
from springwright.drawing.together import Shared, together_drawing
from springwright.questions.answer import Answer
from springwright.report.proof import deciding, word_of
from springwright.report.tables import Section, Table, capital
from springwright.report.typeset import compiled, today
from springwright.units import as_drawn, drawn_unit, number, pretty, show, told, unit_of

ASKS = "Is it what was built?"
FIRST = 3  # differences in the lead
LOOKS = {
    "read": "pencil",
    "fit": "bold",
    "due": "dash",
    "peaks": "points",
    "going on": "points",
    "coming off": "points",
    SCATTER: "dots",
}
PLACES = {"frequency": 3, "ratio": 3, "lean": 2, "angle": 2}  # decimals of figures that are read finely
CAUTIONS = (
    "A spring under load can leave the press: cage it, stand aside, never hold it by hand.",
    "Chock the wheels before anything is pushed, raised or rapped; nobody is under a vehicle on a jack.",
    "Circle and drive on a wide, flat, empty place, slowly upward in speed; stop well short of sliding or of a wheel going light.",
    "These are engineering estimates, not approval: a changed suspension may need inspection where the vehicle is used.",
)


def comparison_section(result: Comparison) -> Section:
    """Every reading beside what was due, what is furthest off first in words."""
    says = [*result.warnings, *_lead(result)]
    return Section(
        "Measure", ASKS, tuple(says), (_compared(result.figures, {}), _sets(result.sets)), (*result.notes, *CAUTIONS)
    )


def correction_section(
    result: Correction, back: Sequence[Remedy] = (), answers: Sequence[tuple[str, ...]] = ()
) -> Section:
    """The same with the model corrected: what explains the readings, what they cannot tell apart, and what brings it back.

    `answers` are the seven questions with what is said as drawn, as corrected, and with all that brings it back made.
    """
    told_of = result.comparison
    of = len(result.figures)
    says = [*told_of.warnings, *_lead(told_of)]
    taken = len(result.taken)
    says.append(
        f"As drawn, {told_of.agree} of {of} readings agree; with {taken} {'figure' if taken == 1 else 'figures'} corrected, {result.agree} do."
        if taken
        else f"As drawn, {told_of.agree} of {of} readings agree; the readings tell nothing that differs from the drawing."
    )
    says += [
        f"Reading {one.reading}, {one.name}, lies {abs(one.left_out):.1f} standard deviations from what all the others and the drawing predict: read it again."
        for one in result.wrong[:FIRST]
    ]
    if len(result.wrong) > FIRST:
        says.append(f"{len(result.wrong) - FIRST} more lie as far: is it this vehicle, and in that load state?")
    unchecked = [one for one in result.figures if not one.checked]
    if unchecked:
        says.append("No other reading checks " + ", ".join(f"{one.reading} {one.name}" for one in unchecked) + ".")
    says += [
        _apart(one.inputs, one.correlation, None if one.settled_by is None else one.settled_by.words)
        for one in result.apart
    ]
    if result.next_reading is not None:
        more = result.next_reading
        says.append(
            f"Worth doing next: {more.words}, some {more.minutes} minutes; it would take {show(more.gain, 'share', 0)} off all that is open."
        )
    corrected = {(one.reading, one.name): one.corrected for one in result.figures}
    tables = [_compared(told_of.figures, corrected), _inputs(result.inputs)]
    if back:
        tables.append(_back(back))
    if answers:
        tables.append(answers_table(answers))
    tables.append(_sets(told_of.sets))
    return Section("Measure", ASKS, tuple(says), tuple(tables), (*told_of.notes, *CAUTIONS))


MENDED = "with all of that made"


def answers_table(answers: Sequence[tuple[str, ...]], third: str = MENDED) -> Table:
    """The seven questions beside each other; `third` heads what was changed, where there is a third column."""
    mended = len(answers[0]) > len(("", "as drawn", "as built"))
    note = "As built: the corrected model." + (
        " A spring in its place is asked as the one drawn with its rate so many times." if mended else ""
    )
    head = ("", "as drawn", "as built", *((third,) if mended else ()))
    return Table("The seven questions", head, tuple(answers), "l" * len(head), note=note)


def answers_beside(*answers: Sequence[Answer]) -> tuple[tuple[str, ...], ...]:
    """The seven questions with their word and deciding figure, each way they were asked; what was not asked stays out."""
    asked = [one for one in answers if one]
    return tuple(
        (f"{capital(each[0].question)}?", *(f"{word_of(one)}, {deciding(one)}" for one in each))
        for each in zip(*asked, strict=True)
    )


def _lead(result: Comparison) -> list[str]:
    off = sorted((one for one in result.figures if not one.agrees), key=lambda one: -abs(one.sigmas))
    if not off:
        return [f"All {len(result.figures)} readings agree with the drawing, each within its own doubt."]
    said = "; ".join(f"{one.name} {signed_figure(one.off, one.kind)}" for one in off[:FIRST])
    verb = "differs" if len(off) == 1 else "differ"
    return [f"{len(off)} of {len(result.figures)} readings {verb} from what was due, first: {said}."]


def figure_told(value: float, kind: str, *, unit: bool = True) -> str:
    """A figure as it is read: with its unit where asked."""
    text = number(value, kind, PLACES.get(kind))
    return f"{text} {unit_of(kind)}".rstrip() if unit else text


def signed_figure(value: float, kind: str) -> str:
    """A difference as it is read, with its sign; nothing is neither [SI]."""
    text = figure_told(abs(value), kind)
    return f"{'+' if value > 0 else '−'}{text}" if any(digit in text for digit in "123456789") else text


def _compared(figures: Sequence[ComparedFigure], corrected: Mapping[tuple[int, str], float]) -> Table:
    head = ("", "", "due", "read", "±", "off", "in its own doubt", *(("corrected",) if corrected else ()))
    rows = tuple(
        (
            str(one.reading),
            one.name,
            figure_told(one.due, one.kind),
            figure_told(one.value, one.kind, unit=False),
            figure_told(one.uncertainty, one.kind, unit=False),
            signed_figure(one.off, one.kind),
            f"{one.sigmas + 0.0:+.1f}".replace("-0.0", "0.0").replace("+0.0", "0.0").replace("-", "−")
            + ("" if one.agrees else " differs"),
            *((figure_told(corrected[one.reading, one.name], one.kind),) if corrected else ()),
        )
        for one in figures
    )
    return Table(
        "Every reading against what was due", head, rows, "rlrrrrl" + ("r" if corrected else ""),
        note="± is one standard uncertainty (JCGM 100), from the readings where you gave it, else common practice. A reading agrees within two.",
    )  # fmt: skip


def _inputs(inputs: Sequence[CorrectedInput]) -> Table:
    rows = tuple(
        (
            ("taken " if one.written is not None else "") + one.name,
            told(one.drawn, one.kind),
            told(one.written if one.written is not None else one.value, one.kind),
            told(one.off, one.kind),
            told(2 * one.deviation, one.kind),
            ", ".join(map(str, one.told_by)) if one.told_by else "",
            "" if one.told or one.written is not None else "not told from the drawing",
        )
        for one in inputs
    )
    return Table(
        "What of the model explains it", ("", "drawn", "corrected", "± 95 %", "tolerance", "told by", ""), rows, "lrrrrll",
        note="Most probable values with tolerances as prior (two standard deviations). Taken are the fewest that explain the readings about as well as all together; they are then found once more by themselves, all others as drawn; ± is that of all together.",
    )  # fmt: skip


def _apart(names: Sequence[str], correlation: float, settle: str | None) -> str:
    said = (
        f"These readings do not tell {', '.join(names[:-1])} from {names[-1]} (correlation {correlation:+.2f})".replace(
            "-0", "−0"
        )
    )
    return f"{said}: to settle it, {settle}." if settle else f"{said}."


def _back(back: Sequence[Remedy]) -> Table:
    rows = tuple(
        (one.axle, one.what, one.change, f"{one.figure} {figure_told(one.before, one.kind, unit=False)} to {figure_told(one.after, one.kind)}", one.note) for one in back
    )  # fmt: skip
    return Table(
        "To bring it back to the target",
        ("axle", "", "change", "brings", ""),
        rows,
        "lllll",
        note="Springs, dampers and pressures first, then the spacers that level it with them.",
    )


def _sets(sets: Sequence[Reduced]) -> Table:
    rows = tuple(
        (str(one.number), one.title, one.day or "–", one.by or "–", one.instrument or "–", one.calibrated or "–")
        for one in sets
    )
    return Table("Readings", ("", "", "date", "by", "with", "calibrated"), rows, "rlllll")


def readings_figure(result: Comparison, correction: Correction | None = None) -> Drawing:
    """Every figure in its own uncertainty, as drawn and as corrected."""
    checks = {(one.reading, one.name): one for one in correction.figures} if correction is not None else {}
    rows = []
    for one in result.figures:
        check = checks.get((one.reading, one.name))
        rows.append(
            ReadingRow(
                str(one.reading),
                f"{capital(one.name)} {unit_of(one.kind)}".rstrip(),
                figure_told(one.due, one.kind, unit=False),
                figure_told(one.value, one.kind, unit=False),
                figure_told(one.uncertainty, one.kind, unit=False),
                "" if check is None else figure_told(check.corrected, one.kind, unit=False),
                one.sigmas,
                None if check is None else (one.value - check.corrected) / one.uncertainty,
                wrong=check is not None and check.wrong,
            )
        )
    return readings_drawing(f"Every reading of {result.vehicle} against what was due", rows)


def trace_figure(one: Reduced) -> Drawing | None:
    """What a set of readings read, drawn; None where there is nothing to draw."""
    if one.trace is None or not any(line.x for line in one.trace.lines):
        return None
    trace: Trace = one.trace
    lines = []
    for line in trace.lines:
        if not line.x:
            continue
        spectrum = trace.across == "frequency"
        look = LOOKS.get(line.name, "dash" if line.name.endswith("due") else "pencil")
        if look == "pencil" and len(line.x) < 40 and not spectrum:
            look = "points"
        lines.append(
            TraceLine(
                line.name,
                look,
                [as_drawn(x, trace.across_kind) for x in line.x],
                [as_drawn(y, trace.up_kind) for y in line.y],
            )
        )
    across, up = (
        f"{word}, {pretty(drawn_unit(kind))}".rstrip(", ")
        for word, kind in ((trace.across, trace.across_kind), (trace.up, trace.up_kind))
    )
    return trace_drawing(f"{one.number} {one.title}", across, up, lines, powers=trace.across == "frequency")


def apart_figures(correction: Correction) -> list[Drawing]:
    """Of each group of inputs that are told only together, the two that go together most, drawn."""
    names = [one.name for one in correction.inputs]
    made = []
    for group in correction.apart:
        places = [names.index(one) for one in group.inputs]
        i, k = max(
            ((i, k) for i in places for k in places if i < k),
            key=lambda pair: abs(correction.correlation[pair[0]][pair[1]]),
        )
        one, two = (_shared(correction.inputs[at]) for at in (i, k))
        made.append(
            together_drawing(f"{names[i]} and {names[k]}, told only together", one, two, correction.correlation[i][k])
        )
    return made


def _shared(one: CorrectedInput) -> Shared:
    unit = pretty(drawn_unit(one.kind))
    return Shared(
        f"{one.name}, {unit}".rstrip(", "),
        as_drawn(one.drawn, one.kind),
        as_drawn(2 * one.deviation, one.kind),
        as_drawn(one.value, one.kind),
        as_drawn(one.off, one.kind) / SURE,
    )


def measure_figure(result: Comparison, correction: Correction | None = None) -> Drawing:
    """The comparison, and under it every trace, two beside each other."""
    head = readings_figure(result, correction)
    traces = [(one, drawing) for one in result.sets if (drawing := trace_figure(one)) is not None]
    gap, word = 20.0, 22.0
    tall = max((drawing.height for _, drawing in traces), default=0.0) + word + gap
    sheet = Drawing(head.width, head.height + gap + tall * -(-len(traces) // 2), head.title)
    sheet.place(head, 0.0, 0.0)
    for k, (one, drawing) in enumerate(traces):
        x, y = (k % 2) * (head.width - drawing.width), head.height + gap + tall * (k // 2)
        sheet.word(x, y + 14, f"{one.number} {one.title}", "strong")
        sheet.place(drawing, x, y + word)
    return sheet


SIGNED = ("measured by", "compared by", "for the builder")


def measured_chapter(found: BuiltReport, pictures: dict[str, bytes]) -> dict[str, Any]:
    """The chapter of what was built; its drawings go into `pictures` by file name."""
    section = correction_section(found.correction, found.back, answers_beside(found.drawn, found.built, found.mended))
    return _chapter(found.correction.comparison, section, found.correction, pictures)


def _chapter(
    result: Comparison, section: Section, correction: Correction | None, pictures: dict[str, bytes]
) -> dict[str, Any]:
    pictures["readings.svg"] = readings_figure(result, correction).standalone().encode()
    traces = []
    for one in result.sets:
        drawing = trace_figure(one)
        if drawing is not None:
            pictures[f"trace{one.number}.svg"] = drawing.standalone().encode()
            traces.append({"title": f"{one.number} {one.title}", "file": f"trace{one.number}.svg"})
    for k, drawing in enumerate(apart_figures(correction) if correction is not None else ()):
        pictures[f"apart{k}.svg"] = drawing.standalone().encode()
        traces.append({"title": drawing.title, "file": f"apart{k}.svg"})
    return {
        "title": f"Every reading of {result.vehicle} against what was due",
        "says": list(section.says),
        "picture": "readings.svg",
        "traces": traces,
        "tables": [asdict(table) for table in section.tables],
        "notes": list(section.figures),
        "signed": list(SIGNED),
    }


def measure_pdf(result: Comparison, section: Section, correction: Correction | None = None) -> bytes:
    """The comparison typeset: in words, drawn, every trace, tables, and blanks for whoever signs."""
    pictures: dict[str, bytes] = {}
    data = {
        "vehicle": result.vehicle,
        "file": f"{result.file}, {result.readings}",
        "date": today(),
        "invented": result.invented,
        **_chapter(result, section, correction, pictures),
    }
    return compiled(data, pictures, "measure.typ")
