"""Measure: what was built beside what was due. Readings are written in here, reduced and held against the drawing, which is corrected by them."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from markupsafe import Markup, escape

from springwright.commission.begun import READ
from springwright.commission.measured import BroughtBack, BuiltReport
from springwright.commission.readings import SETS
from springwright.commission.taken import Taken
from springwright.report.measure import (
    ASKS,
    CAUTIONS,
    MENDED,
    answers_beside,
    answers_table,
    apart_figures,
    correction_section,
    figure_told,
    readings_figure,
    signed_figure,
    trace_figure,
)
from springwright.report.tables import Table, capital
from springwright.units import GRAVITY, show
from springwright.vehicle.faults import Location, dotted, said_at
from springwright.workbench.model.readings_desk import ReadingsDesk
from springwright.workbench.model.shown import Study
from springwright.workbench.render.page import Page, SheetPart

COMMON = tuple(Taken.model_fields)  # of every set: who, when, with what
BROAD = 5  # readings in a row that do not fit half the width
WEIGHT = 200.0  # kg, of the load that the first sentence thinks of


def measure(page: Page) -> Mapping[str, Any]:
    """What the template of Measure shows."""
    desk, study = page.document.readings, page.shown.studies.get("measure")
    found = page.shown.built
    late = study is not None and (study.late or study.reads != desk.text)
    section = correction_section(found.correction) if found else None
    return {
        "asks": ASKS,
        "lead": _lead(page, desk, section.says if section else (), late=late),
        "file": desk.path.name,
        "there": bool(desk.text),
        "fault": desk.fault,
        "undo": bool(desk.past),
        "kinds": [(kind, one.words, one.how) for kind, one in READ.items()],
        "strip": _strip(desk, found),
        "sets": [_set(page, desk, kind, i, number, found) for number, (kind, i) in enumerate(_places(desk), start=1)],
        "wanted": [f"{dotted(at, desk.data)}: {fault.message}" for at, fault in desk.faults],
        "study": _told(study, late=late),
        "says": section.says[1:] if section else (),
        "tables": section.tables[1:-1] if section else (),  # the first is the picture, the last the sets themselves
        "drawing": readings_figure(found.correction.comparison, found.correction) if found else None,
        "apart": apart_figures(found.correction) if found else [],
        "back": _back(page, found, late=late) if found and found.back else None,
        "answers": _answers(page, found) if found else None,
        "takes": bool(found and found.text and not late),
        "taken": len(found.correction.taken) if found else 0,
        "cautions": CAUTIONS,
    }  # fmt: skip


def _back(page: Page, found: BuiltReport, *, late: bool) -> dict[str, Any]:
    """What brings it back, each to be tried, and how the axles stand with what is tried."""
    shown = page.shown
    study = shown.studies.get("tried")
    done = study.result if study is not None and isinstance(study.result, BroughtBack) else None
    rows = [
        (k, one.axle, one.what, one.change, f"{one.figure} {figure_told(one.before, one.kind, unit=False)} to {figure_told(one.after, one.kind)}", one.note)
        for k, one in enumerate(found.back)
    ]  # fmt: skip
    says = [
        f"{one.name}: {figure_told(one.rise, 'length')} from zero travel"
        + "".join(
            f", {figure_told(value, kind)}{after}"
            for value, kind, after in ((one.frequency_on_springs, "frequency", " on its springs"), (one.damping_ratio, "ratio", " of damping"))
            if value is not None
        )
        for one in (done.axles if done else ())
    ]  # fmt: skip
    return {
        "rows": rows,
        "tried": shown.tried,
        "all": len(shown.tried) == len(rows),
        "says": says,
        "late": late,
        **{key: value for key, value in _told(study, late=late).items() if key in ("busy", "fault")},
    }


def _answers(page: Page, found: BuiltReport) -> Table | None:
    """The seven questions as drawn, as built, and with what is tried of what brings it back, or with all of it."""
    study = page.shown.studies.get("tried")
    done = study.result if study is not None and isinstance(study.result, BroughtBack) else None
    beside = answers_beside(found.drawn, found.built, done.answers if done else found.mended)
    return answers_table(beside, "with those tried" if done else MENDED) if beside else None


def _places(desk: ReadingsDesk) -> list[tuple[str, int]]:
    """Every set that is written, in the order in which they are numbered."""
    data = desk.data
    return [(kind, i) for kind in SETS for i in range(len(data.get(kind, ())))]


def _lead(page: Page, desk: ReadingsDesk, says: tuple[str, ...], *, late: bool) -> str:
    if says:
        return f"{says[0][:-1]}, for an older state." if late else says[0]
    count = len(_places(desk))
    if count:
        return f"{count} {'set' if count == 1 else 'sets'} of readings; hold them beside what was due."
    rear = page.sheet.rates[-1]
    lowers = WEIGHT * GRAVITY / (rear.ride_rate * page.design.axles[-1].wheels)
    return f"Nothing read yet. Start with a known load and a rule: {show(WEIGHT, 'mass')} over the {rear.name} axle should lower the deck by {show(lowers, 'length')}."


def _told(study: Study | None, *, late: bool) -> dict[str, Any]:
    one = study or Study()
    return {"asked": study is not None, "busy": one.busy, "late": late, "fault": one.fault, "stopped": one.stopped}


def _strip(desk: ReadingsDesk, found: BuiltReport | None) -> list[tuple[str, str, str]]:
    """Each kind of reading with its word: not read, read, agrees or differs, next."""
    data, made = desk.data, []
    figures = found.correction.comparison.figures if found else ()
    nearest = found.correction.next_reading if found else None
    for name, fields, kind in (("Scales", ("weighings", "raised"), "scales"), ("Push", ("pushes",), "push"), ("Bench", ("benches",), "bench"), ("Tyre", ("tyres",), "tyre"), ("Bounce", ("bounces",), "bounce"), ("Rap", ("raps",), "rap"), ("Lean", ("circles", "tilts"), "lean"), ("Drive", ("drives",), "drive")):  # fmt: skip
        mine = [one for one in figures if one.set_kind == kind]
        if not any(data.get(field) for field in fields):
            is_next = nearest is not None and nearest.kind == kind
            made.append(
                (name, "next" if is_next else "not read", f"{nearest.minutes} minutes" if is_next and nearest else "")
            )
        elif mine:
            worst = max(mine, key=lambda one: abs(one.sigmas))
            off = f"{worst.name} {signed_figure(worst.off, worst.kind)}"
            made.append((name, "agrees" if worst.agrees else "differs", "" if worst.agrees else off))
        else:
            made.append((name, "read", ""))
    return made


def _set(page: Page, desk: ReadingsDesk, kind: str, i: int, number: int, found: BuiltReport | None) -> dict[str, Any]:
    """One set: its blanks, its figures beside what was due, and its picture. What is not given may be, behind a press."""
    at: Location = (kind, i)
    held = said_at(desk.data, at) or {}
    told = next((one for one in found.correction.comparison.sets if one.number == number), None) if found else None
    figures = [one for one in found.correction.comparison.figures if one.reading == number] if found else []
    names = [axle.name for axle in page.design.axles] if kind == "weighings" else []
    rows: list[tuple[str, list[Markup], Location]] = []
    given: list[tuple[str, Markup]] = []
    open_: list[tuple[str, Markup]] = []
    for name in READ[kind].fields:
        value = held.get(name)
        if isinstance(value, list) and not any(isinstance(one, dict) for one in value):
            count = len(value) + (not names)  # one more may be read, but for axles, which are as many as there are
            rows.append(
                (
                    _words(name),
                    [
                        _blank(desk, (*at, name, k), f"{_words(name)} {names[k] if k < len(names) else k + 1}", number)
                        for k in range(count)
                    ],
                    (*at, name),
                )
            )
            continue
        inner = (
            [(k, one) for k, each in enumerate(value) for one in each]
            if isinstance(value, list)
            else [(one,) for one in value]
            if isinstance(value, dict)
            else [()]
        )
        for steps in inner:
            words = _words(" ".join([name, *map(str, steps[-1:])])) if steps else _words(name)
            (open_ if value is None else given).append((words, _blank(desk, (*at, name, *steps), words, number)))
    return {
        "lay": f"{kind}.{i}" if "log" in READ[kind].fields else "", "number": number, "kind": kind, "title": told.title if told else READ[kind].words, "day": held.get("date", ""), "at": at, "heads": names, "lists": rows, "broad": any(len(blanks) > BROAD for _, blanks, _ in rows), "given": given,
        "open": [one for one in open_ if one[1]], "common": [(_words(name), _blank(desk, (*at, name), _words(name), number)) for name in COMMON],
        "rows": [(capital(one.name), figure_told(one.due, one.kind), figure_told(one.value, one.kind, unit=False), figure_told(one.uncertainty, one.kind, unit=False), signed_figure(one.off, one.kind), one.agrees) for one in figures],
        "drawing": trace_figure(told) if told else None, "notes": told.notes if told else (),
    }  # fmt: skip


def _words(name: str) -> str:
    return name.replace("_", " ")


def _blank(desk: ReadingsDesk, at: Location, label: str, number: int) -> Markup:
    """An input for one value of the readings file; nothing where there is no such field."""
    try:
        here = desk.place(at)
    except LookupError:
        return Markup()
    place = ("readings", *at)
    written = said_at(desk.data, at)
    wrong = desk.wrong.get(at)
    value = (
        wrong[0]
        if wrong
        else ""
        if written is None
        else str(written).lower()
        if isinstance(written, bool)
        else str(written)
    )
    whole = f"reading {number}, {label}"
    ident = "-".join(map(str, place)).replace("_", "-")
    if here.sort in ("choice", "flag"):
        options = here.choices if here.sort == "choice" else ("true", "false")
        made = Markup("").join(
            Markup('<option value="{}"{}>{}</option>').format(
                one, Markup(" selected") if one == value else "", one or "not given"
            )
            for one in ("", *options)
        )
        return Markup('<select class="q" id="{}" data-at="{}" aria-label="{}">{}</select>').format(
            ident, json.dumps(place), whole, made
        )
    bad = Markup(' aria-invalid="true" aria-describedby="{}-note"').format(ident) if wrong else Markup()
    said = (
        Markup(' <span class="note-line" id="{}-note" role="alert">{}</span>').format(ident, wrong[1])
        if wrong
        else Markup()
    )
    return Markup(
        f'<input class="q" id="{escape(ident)}" data-at="{escape(json.dumps(place))}" value="{escape(value)}" size="{max(len(value), 4)}" placeholder="" '
        f'aria-label="{escape(whole)}" autocomplete="off" spellcheck="false"{bad}>{said}'
    )


def _hangs_on(page: Page) -> tuple[Any, ...]:
    desk, study = page.document.readings, page.shown.studies.get("measure")
    wrong = tuple(sorted((at, *one) for at, one in desk.wrong.items())) if desk.wrong else ()
    state = None if study is None else (study.made, study.busy, study.late, study.fault, study.stopped, study.reads)
    tried = page.shown.studies.get("tried")
    trying = page.shown.tried, None if tried is None else (tried.made, tried.busy, tried.fault)
    return desk.text, desk.fault, bool(desk.past), wrong, state, trying


PART = SheetPart("measure", measure, step=True, hangs_on=_hangs_on)
