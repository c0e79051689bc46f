"""The tray: the kinds that an axle may be made of as drawings in rows, what each asks for, and for whom those are that do not fit."""

from __future__ import annotations

import json
from typing import Any, NamedTuple

from markupsafe import Markup

from springwright.drawing.kinds import kind_drawing
from springwright.vehicle.axle import Axle
from springwright.vehicle.mounted import SpringMount
from springwright.vehicle.shapes import BROUGHT, TAGS, Shape, fields_in, shape_at
from springwright.workbench.render.axle_words import ACTS, HELD, OWN, WHEELS, AxleWords
from springwright.workbench.render.records import kinds_of


class TrayKind(NamedTuple):
    """One kind: its words, what it asks for, whether it is the one there is, for whom it is where it does not fit, and what a press does."""

    kind: str
    words: str
    asks: str
    chosen: bool
    only: str
    does: dict[str, Any]


class TrayRow(NamedTuple):
    """A row of kinds of one sort, of which one is taken."""

    name: str
    title: str
    kinds: tuple[TrayKind, ...]


def tray(one: AxleWords) -> Markup:
    """The rows of an axle: a row is walked by the arrow keys, Enter takes."""
    return Markup('<div class="tray" data-tray="{}">{}</div>').format(
        one.index, Markup("").join(_row(one, row) for row in tray_rows(one))
    )


def tray_rows(one: AxleWords) -> list[TrayRow]:
    """Wheels, what holds them, what springs them and how it stands, dampers, bar and stop."""
    at = [*one.at]
    rows = [TrayRow("wheels", "Wheels", tuple(TrayKind(kind, words, "", kind == one.kind, "", _turn([*at, "wheels"], kind)) for kind, words in WHEELS))]  # fmt: skip
    if not one.kind:
        return rows  # the rest hangs on it
    held, own = [], []
    for kind in ("", *Axle.linkages()):
        only = "" if not kind or (kind == "axle_links") == (one.kind == "beam") else "for a beam" if kind == "axle_links" else "for wheels on their own"  # fmt: skip
        asks = asks_for(shape_at(one.form.data, (*at, kind))) if kind else ""
        held.append(TrayKind(kind, HELD[kind], asks, kind == one.links, only, _turn([*at, "held"], kind)))
    for kind in ("", *SpringMount.own_fields()):
        only = "for a beam" if kind == "leaf" and one.kind != "beam" else "for wheels on their own" if kind == "torsion_bar" and one.kind == "beam" else ""  # fmt: skip
        asks = asks_for(shape_at(one.form.data, (*at, "spring", kind))) if kind else "from the target"
        own.append(TrayKind(kind, OWN[kind], asks, kind == one.own, only, _turn([*at, "spring", "own"], kind)))
    rows += [TrayRow("held", "Held by", tuple(held)), TrayRow("own", "Sprung by", tuple(own))]
    rows += [_acting(one, "spring", "The spring acts"), _acting(one, "damper", "Damped")]
    if one.kind != "one":
        rows.append(_there(one, "bar", "Bar", "an anti-roll bar"))
    return [*rows, _there(one, "bump_stop", "Stop", "a bump stop of its own")]


def asks_for(shape: Shape, kind: str = "") -> str:
    """What must be written of a kind, counted: its points, its values."""
    if shape.what == "value":
        return "its name"
    points = values = 0
    lists = []
    for name, inner in fields_in(shape, dict.fromkeys(TAGS, kind)).items():
        if not inner.required or name in (*BROUGHT, *TAGS):
            continue
        points += inner.what == "row"
        values += inner.what == "value"
        lists += [f"{inner.least} {name}"] if inner.what == "list" else []
    told = [(points, "point"), (values, "figure")]
    return ", ".join([*(f"{count} {word}{'s' if count > 1 else ''}" for count, word in told if count), *lists])


def _acting(one: AxleWords, part: str, title: str) -> TrayRow:
    """How a spring or damper acts; a damper may be left out."""
    at = (*one.at, part, "acts")
    shape = shape_at(one.form.data, at)
    fit = kinds_of(one.form.data, at, shape)
    found = [TrayKind("", "no damper", "", not one.acts(part) and one.said(part) is None, "", _turn(at, ""))] if part == "damper" else []  # fmt: skip
    for kind in shape.kinds:
        if kind == "links" or (kind == "twist" and part == "damper"):
            continue
        only = "" if kind in fit else "for a beam" if kind in ("beam", "axle links") else "for wheels on their own"
        found.append(TrayKind(kind, ACTS[kind], asks_for(shape, kind), kind == one.acts(part), only, _turn(at, kind)))
    return TrayRow(part, title, tuple(found))


def _there(one: AxleWords, name: str, title: str, words: str) -> TrayRow:
    """A part that may be there or not."""
    at, there = [*one.at, name], one.said(name) is not None
    row = "stop" if name == "bump_stop" else name
    return TrayRow(row, title, (
        TrayKind("", "none" if name == "bar" else "as the travel says", "", not there, "", {"do": "out", "at": at}),
        TrayKind(name, words, asks_for(shape_at(one.form.data, tuple(at))), there, "", {"do": "give", "at": at}),
    ))  # fmt: skip


def _turn(at: Any, to: str) -> dict[str, Any]:
    return {"do": "turn", "at": list(at), "to": to}


def _row(one: AxleWords, row: TrayRow) -> Markup:
    chosen = next((k for k, kind in enumerate(row.kinds) if kind.chosen), 0)
    made = [_kind(row.name, kind, tab=k == chosen) for k, kind in enumerate(row.kinds)]
    return Markup('<div class="kinds" role="radiogroup" aria-label="{}"><h4>{}</h4><div>{}</div></div>').format(
        f"{one.name} axle, {row.title.lower()}", row.title, Markup("").join(made)
    )


def _kind(row: str, kind: TrayKind, *, tab: bool) -> Markup:
    """A kind to be taken; one that does not fit stands grey in its place and says for whom it is."""
    drawn = Markup(kind_drawing(row, kind.kind, kind.words).svg().replace('role="img"', 'aria-hidden="true"', 1))
    does = Markup(' data-take="{}"').format(json.dumps(kind.does)) if not kind.only and not kind.chosen else ""
    return Markup(
        '<button type="button" class="kind" role="radio" aria-checked="{}" tabindex="{}"{}{}>{}<b>{}</b><span>{}</span></button>'
    ).format(
        "true" if kind.chosen else "false", 0 if tab else -1, Markup(' aria-disabled="true"') if kind.only else "", does, drawn, kind.words, kind.only or kind.asks
    )  # fmt: skip
