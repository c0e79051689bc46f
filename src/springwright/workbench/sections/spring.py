"""Spring: the chain from target to a spring that can be bought, the coil at its lengths, designs and catalogue side by side, stops and bars."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from markupsafe import Markup

from springwright.drawing.svg import Drawing
from springwright.formula import Working
from springwright.parts.coil_check import CoilCheck
from springwright.report.parts import judged_table, loads_table, part_figure, part_order, part_section
from springwright.report.springs import candidate_row
from springwright.sizing.beginnings import kinds_for
from springwright.sizing.choose import Candidate
from springwright.sizing.part_results import part, part_names
from springwright.sizing.springs import AxleSprings
from springwright.units import KINDS, number, plain, show, text_in, unit_of
from springwright.vehicle.file import parsed
from springwright.workbench.render.page import Page, SheetPart
from springwright.workbench.render.records import told

KIND_WORDS = {
    "leaf": "a leaf spring",
    "air": "an air spring",
    "strut": "a hydropneumatic strut",
    "torsion_bar": "a torsion bar",
}


def spring(page: Page) -> Mapping[str, Any]:
    """What the template of Spring shows, an entry to an axle."""
    axles = [_axle(page, i, one) for i, one in enumerate(page.sheet.springs)]
    return {
        "lost": page.sheet.catalogue_lost,
        "axles": axles,
        "blocks": [_block(page, i, one) for i, one in enumerate(axles)],
        "others": _others(page),
    }


def _block(page: Page, index: int, told: dict[str, Any]) -> Markup:
    """One axle's springs as HTML, made anew only when something of it has changed; where a blank is wrong, always."""
    file, one = page.document.file, told["one"]
    same = (
        page.design.axles[index], parsed(file.text)["axles"][index], page.view, page.sheet.rates[index].workings,
        (one.need, one.fitted, one.record, one.designs, one.candidates),
        object() if page.document.wrong else None,
    )  # fmt: skip

    def made() -> Markup:
        page.form.begin(f"spring-{index}")
        html = page.template("spring_axle").render(page=page, one=told, design_head=design_head())
        return Markup(f"<!--+spring-{index}-->{html}<!---spring-{index}-->")

    return page.document.evaluation.last(f"spring block {index}", same, made)


def _axle(page: Page, index: int, one: AxleSprings) -> dict[str, Any]:
    axle, rate = page.design.axles[index], page.sheet.rates[index]
    shown = one.candidates if page.open(f"all-{index}") else shown_of(one, axle.spring.part)
    own = axle.spring.own_field
    works = [work for work in page.sheet.workings if _whose(work.subject, page) == axle.name]
    return {
        "index": index, "name": axle.name, "own": own, "rate": rate, "one": one, "label": one.fitted.label,
        "mass": show(rate.sprung_mass, "mass", 1), "wheel_rate": number(rate.wheel_rate, "rate"), "ratio": number(rate.motion_ratio, "ratio"),
        "spring_rate": number(rate.spring_rate, "rate"), "bought": number(one.fitted.rate, "rate"), "gives": number(one.fitted.frequency, "frequency", 3),
        "works": [(f"w-{index}-{k}", work) for k, work in enumerate(works)],
        "wheel_work": _work(works, index, "wheel or ride rate"), "spring_work": _work(works, index, "spring rate"),
        "figure": _figure(page, index, one),
        "fails": part_order(one.record)["failures"] if one.record else [],
        "tables": [loads_table(one.record), judged_table(one.record)] if one.record and one.record.coil is None else [],
        "candidates": [(candidate_row(each), each.spring.part, not each.reasons) for each in shown],
        "hidden": len(one.candidates) - len(shown_of(one, axle.spring.part)), "all": len(one.candidates),
        "designs": [_design(index, coil) for coil in (one.designs.found if one.designs else ())],
        "none_because": one.none_because or (one.designs.none_because if one.designs and not one.designs.found else ""),
        "kinds": [(kind, KIND_WORDS[kind]) for kind in kinds_for(axle) if kind != own],
        "record": told(page, ("axles", index, "spring", own), f"{axle.name} {own.replace('_', ' ')}") if own and own != "part" else [],
        "room": told(page, ("axles", index, "spring"), f"{axle.name} spring, its room and tolerances", but=("acts", "installed_length", *axle.spring.own_fields())),
    }  # fmt: skip


def _figure(page: Page, index: int, one: AxleSprings) -> Drawing | None:
    """The coil at its lengths, or the part that takes its place."""
    if one.record is None:
        return None
    return page.document.evaluation.last(
        f"spring figure {index}", (one.record, page.view.system), partial(part_figure, one.record)
    )


def shown_of(one: AxleSprings, chosen: str | None) -> list[Candidate]:
    """Those of a catalogue that are looked at first: the best, the first few left out with their reasons, and the one chosen."""
    good, rest = (
        [each for each in one.candidates if not each.reasons],
        [each for each in one.candidates if each.reasons],
    )
    return [*good[:6], *rest[:4], *(each for each in (*good[6:], *rest[4:]) if each.spring.part == chosen)]


def _whose(subject: str, page: Page) -> str:
    """The axle a working is about: of names that begin alike, the longest that its subject begins with."""
    names = [one.name for one in page.design.axles if f"{subject} ".startswith(f"{one.name} ")]
    return max(names, key=len, default="")


def _work(works: list[Working], index: int, title: str) -> str:
    """The key of the working that gives a figure; empty where there is none to show."""
    return next((f"w-{index}-{k}" for k, work in enumerate(works) if work.title.startswith(title)), "")


def _design(index: int, coil: CoilCheck) -> dict[str, Any]:
    """A coil that could be made, and the changes that would take it."""
    coil_table = {
        "grade": coil.grade, "ends": coil.ends, "active_coils": round(coil.active_coils, 4),
        **{name: text_in(round(value, 7), "length", KINDS["length"].metric) for name, value in (("wire", coil.wire), ("mean_diameter", coil.mean_diameter), ("free_length", coil.free_length))},
    }  # fmt: skip
    return {
        "cells": (number(coil.wire, "length", 1), number(coil.mean_diameter, "length", 1), plain(coil.active_coils, 2), number(coil.free_length, "length", 1), number(coil.solid_length, "length"),
                  number(coil.rate, "rate"), number(coil.positions[-1].stress, "stress"), plain(coil.fatigue_factor, 2), number(coil.mass, "mass", 1)),
        "take": {"do": "spring", "axle": index, "coil": coil_table},
    }  # fmt: skip


def _others(page: Page) -> list[dict[str, Any]]:
    """Stops and bars: what they are, their law, and their blanks."""
    found = []
    names = [name for name in part_names(page.document.file) if name.endswith(("bump stop", "droop stop", " bar"))]
    for name in names:
        axles = [one.name for one in page.design.axles]
        index = axles.index(_whose(name, page))
        kind = name.removeprefix(page.design.axles[index].name).strip()
        at = ("axles", index, kind.replace(" ", "_"))
        same = (
            page.design.axles[index].model_copy(update={"target": None}),
            page.sheet.rates[index].sprung_load,
            page.view.system,
        )
        ident = f"part-{index}-{at[-1]}"
        found.append(
            {
                "name": name,
                "told": page.document.evaluation.last(name, same, partial(_told, page, name, ident)),
                "record": told(page, at, name),
                "there": getattr(page.design.axles[index], at[-1]) is not None,
                "ident": ident,
            }
        )
    return found  # fmt: skip


def _told(page: Page, name: str, ident: str) -> Markup:
    """A part in words, tables and a figure, as HTML."""
    record = part(page.document.file, name)
    section, drawing = part_section(record), part_figure(record)
    return Markup(page.template("part").render(page=page, section=section, drawing=drawing, ident=ident))


HEADS = ("wire", "mean", "active", "free", "solid", "rate", "solid stress", "fatigue factor", "mass")


def design_head() -> tuple[str, ...]:
    """Head of the table of coils to be made."""
    length = unit_of("length")
    units = (length, length, "", length, length, unit_of("rate"), unit_of("stress"), "", unit_of("mass"))
    return tuple(f"{name} {unit}".strip() for name, unit in zip(HEADS, units, strict=True))


PART = SheetPart(
    "spring", spring, step=True, edits=("catalogue", "axles.spring", "axles.bump_stop", "axles.droop_stop", "axles.bar")
)
