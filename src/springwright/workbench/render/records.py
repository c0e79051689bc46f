"""Any table of the design as blanks: what is written in it, what more may be given, which kind it is, and how it goes again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from markupsafe import Markup

from springwright.report.tables import capital
from springwright.vehicle.design import Design
from springwright.vehicle.faults import Location, said_at
from springwright.vehicle.shapes import BROUGHT, Shape, entry_of, fields_in, shape_at, tag_field, tag_of
from springwright.workbench.model.building import MOUNTS, one_of
from springwright.workbench.render.form import plainly

if TYPE_CHECKING:
    from springwright.workbench.render.page import Page

MOST_TABLES = 400  # of one record: a design from elsewhere cannot stall the page


@dataclass(frozen=True)
class Entry:
    """One value or row: its label, and a place for each of its blanks; `out` where it can be taken out whole."""

    label: str
    places: tuple[Location, ...]
    out: Location | None = None


@dataclass
class Group:
    """A table: its written values, those that may be added, what else may be begun in it, and which kind it is."""

    title: str
    at: Location
    written: list[Entry] = field(default_factory=list)
    more: list[Entry] = field(default_factory=list)
    gives: list[tuple[str, Location]] = field(default_factory=list)  # begun by a press
    named: list[tuple[str, Location, tuple[str, ...]]] = field(
        default_factory=list
    )  # begun under a name: picked, or typed where there is nothing to pick from
    kinds: tuple[str, ...] = ()
    kind: str = ""
    tag: str = ""  # the field that says so
    out: bool = False  # can be taken out


def groups(page: Page, at: Location, title: str, but: tuple[str, ...]) -> list[Group]:
    """The table at a place and the tables within it, outermost first; `but` names fields that stand elsewhere."""
    found: list[Group] = []
    data = page.form.data
    _look(data, at, shape_at(data, at), title, found, but)
    return [one for one in found if one.written or one.more or one.gives or one.named or one.kinds]


def _look(data: Any, at: Location, shape: Shape, title: str, found: list[Group], but: tuple[str, ...] = ()) -> None:
    if len(found) >= MOST_TABLES:
        return
    group = Group(title, at, out=not shape.required)
    found.append(group)
    said = said_at(data, at)
    if shape.what in ("list", "names", "row"):
        _hold(data, at, shape, title, group, found)
        return
    if shape.what == "kinds":
        group.kinds, group.kind, group.tag = kinds_of(data, at, shape), tag_of(said), tag_field(shape)
        but = (*but, group.tag)
    for name, inner in fields_in(shape, said).items():
        if name not in BROUGHT and name not in but:
            _field(data, (*at, name), inner, title, group, found)


def _field(data: Any, at: Location, shape: Shape, title: str, group: Group, found: list[Group]) -> None:
    label, said = str(at[-1]).replace("_", " "), said_at(data, at)
    if shape.what == "value":
        (group.more if said is None and not shape.required else group.written).append(Entry(label, (at,)))
    elif said is None and shape.what == "list" and entry_of(shape).what in ("table", "kinds"):
        group.gives.append((one_of(label), (*at, 0)))
    elif said is None and shape.what == "names":
        group.named.append((label, at, names_for(data, at)))
    elif said is None and not shape.required:
        group.gives.append((label, at))
    elif shape.what in ("table", "kinds"):
        _look(data, at, shape, _within(title, label), found)
    else:
        _hold(data, at, shape, _within(title, label), group, found)


def _hold(data: Any, at: Location, shape: Shape, title: str, group: Group, found: list[Group]) -> None:
    """What a list, a row or a table by names holds."""
    said, label = said_at(data, at), str(at[-1]).replace("_", " ")
    if shape.what == "row":
        places = tuple((*at, k) for k in range(len(shape.inner)))
        group.written.append(Entry(label, places, None if shape.required else at))
        return
    steps: Sequence[str | int] = list(said) if isinstance(said, dict) else range(len(said) if said else 0)
    inner = entry_of(shape)
    if shape.what == "names":
        group.named.append((label, at, names_for(data, at)))
    else:
        group.gives.append((one_of(label), (*at, len(steps))))
    for step in steps:
        here = (*at, step)
        name = f"{label} {step + 1}" if isinstance(step, int) else f"{label}, {step}"
        if inner.what == "value":
            group.written.append(Entry(name, (here,), here))
        elif inner.what == "row":
            group.written.append(Entry(name, tuple((*here, k) for k in range(len(inner.inner))), here))
        elif inner.what == "list":
            nested = Group(f"{title} {int(step) + 1}", here, out=True)
            found.append(nested)
            _hold(data, here, inner, nested.title, nested, found)
        else:
            told = said_at(data, (*here, "name"))
            whose = f": {told}" if isinstance(told, str) and told else ""
            _look(data, here, shape_at(data, here), f"{title} {int(step) + 1}{whose}", found)


def _within(title: str, label: str) -> str:
    return f"{title}, {label}" if title else capital(label)


def kinds_of(data: Any, at: Location, shape: Shape) -> tuple[str, ...]:
    """Which kinds a table may be turned into where it stands."""
    kinds = tuple(shape.kinds)
    if at[:1] != ("axles",) or at[-1] != "acts":
        return kinds
    axle = said_at(data, at[:2]) or {}
    fit = tuple(one for one in MOUNTS.get(str(axle.get("kind")), kinds) if one != "links")  # that is whichever there is
    if "damper" in at:
        fit = tuple(one for one in fit if one != "twist")
    now = tag_of(said_at(data, at))
    return tuple(one for one in kinds if one in fit or one == now)


def names_for(data: Any, at: Location) -> tuple[str, ...]:
    """Names that a table by names may still take; none where any may."""
    axles = [one.get("name", "") for one in data.get("axles", ()) if isinstance(one, dict)]
    items = [one.get("name", "") for one in data.get("items", ()) if isinstance(one, dict)]
    wheels = [
        f"{one.get('name', '')} {side}".strip()
        for one in data.get("axles", ())
        if isinstance(one, dict)
        for side in (("left", "right") if one.get("wheels", 2) == 2 else ("",))
    ]
    by_field = {
        "on_scales": axles, "tyre_pressure": axles, "torque_split": axles, "brake_split": axles, "fill": items, "shares": wheels,
    }  # fmt: skip
    if at[-1] == "right":
        links = shape_at(data, at[:-1])
        points = [name for name, one in fields_in(links).items() if one.what == "row"]
    else:
        points = by_field.get(str(at[-1]), [])
    there = said_at(data, at) or {}
    return tuple(one for one in points if one and one not in there)


class ToldRecord(NamedTuple):
    """A table that is to be told: where it stands, its title, and the fields that are told elsewhere."""

    at: Location
    title: str
    but: tuple[str, ...] = ()


def told(page: Page, at: Location, title: str, *, but: tuple[str, ...] = ()) -> list[ToldRecord]:
    """A table to be told, none where it is not there."""
    return [ToldRecord(at, capital(title), but)] if said_at(page.form.data, at) is not None else []


def kind_of(page: Page, group: Group) -> Markup:
    """A choice of which kind a table is."""
    label = f"{group.title}: which kind"
    return page.form.picker(label, group.kind, plainly(group.kinds), do="turn", at=group.at)


# Of a section: the fields of the design that it holds whole. An axle is held by Place.
FIELDS: dict[str, tuple[str, ...]] = {
    "weigh": ("vehicle", "kerb", "items", "states", "design_state", "inertia", "hitch", "built"),
    "aim": ("reference",),
    "place": ("walking_beams", "cross_links", "frame_twist", "driveline", "belly", "lamp"),
    "spring": ("catalogue", "grades"),
    "prove": ("seats", "grounds", "duty_cycle", "limits", "sure", "estimates"),
    "trade": ("trade", "tolerances"),
}


def rest_of(section: str) -> list[ToldRecord]:
    """All that a section holds of the design besides its axles, as a record of the whole; none where it holds nothing."""
    held = FIELDS.get(section)
    if held is None:
        return []
    return [ToldRecord((), "", tuple(name for name in Design.model_fields if name not in held))]


def record(page: Page, each: Sequence[ToldRecord]) -> Markup:
    """Tables as blanks, each made anew only when what is in it has changed; where a blank is wrong, always."""
    return Markup("").join(_record(page, one) for one in each)


def _record(page: Page, one: ToldRecord) -> Markup:
    form = page.form
    same = (
        one, form.state(one.at), form.written(one.at), page.view.system, form.named_within(one.at), names_about(form.data),
        object() if page.document.wrong else None,
    )  # fmt: skip

    def made() -> tuple[Markup, list[Location]]:
        with form.apart() as blanks:
            html = page.template("_records").module.record(page, groups(page, *one))  # type: ignore[attr-defined]
        return html, blanks

    html, blanks = page.document.evaluation.last(f"record {form.section} {one.at} {one.title}", same, made)
    for at in blanks:  # made anew or kept, they stand here
        form.named(at)
    return html


def names_about(data: Any) -> tuple[Any, ...]:
    """What a table may name of the rest of a design: axles, their wheels and kinds, and items."""
    axles = tuple(
        (one.get("name"), one.get("wheels"), one.get("kind")) for one in data.get("axles", ()) if isinstance(one, dict)
    )
    return axles, tuple(one.get("name") for one in data.get("items", ()) if isinstance(one, dict))
