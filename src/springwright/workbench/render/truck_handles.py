"""What can be moved on the drawing of the whole vehicle: what is aboard, the centre of gravity, where its stops touch, and its outline."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from markupsafe import Markup

from springwright.drawing.elevation import band_place
from springwright.drawing.scene import Scene, scene_of
from springwright.scenes.bodywork import body_dimensions
from springwright.scenes.elevation import Elevation, design_centres
from springwright.units import number, scale_of, unit_of
from springwright.vehicle.design import Design
from springwright.vehicle.faults import Location
from springwright.vehicle.file import DesignFile
from springwright.workbench.render.slider import beside_ring, ring

LEVEL = ("front", "rear", "cab_begins", "cab_ends")  # dimensions of a body that lie along it; the others are heights


class _Handle(NamedTuple):
    """A place that is moved: seen at x, y [px], written in one field or two; `ways` says which of the sheet's ways each goes (0 across, 1 down), and with which sign it grows."""

    at: Location
    fields: tuple[str | int, ...]
    now: tuple[float, ...]
    ways: tuple[tuple[int, int], ...]
    x: float
    y: float
    label: str


def truck_handles(file: DesignFile, e: Elevation, width: float = 1216.0, *, stretch: bool = False) -> Markup:
    """The handles of the side view over an elevation's drawing; with `stretch` those of its outline too."""
    scene = scene_of(e, width)
    loose = [*_aboard(file.design, e, scene), *(_outline(file, scene) if stretch else ())]
    moved = Markup("").join(_set(one, scene.scale) for one in loose)
    shift = " ".join(f"{one:.6g}" for one in scene.body_side(e.stance))
    stops = Markup("").join(_set(one, scene.scale) for one in _stops(file.design, e, scene))
    return Markup('<g transform="matrix({})">{}</g>{}').format(shift, moved, stops)


def _aboard(design: Design, e: Elevation, scene: Scene) -> Iterator[_Handle]:
    """What is aboard in the load state drawn, and the centre of gravity at kerb where it is given."""
    there = {one.name for one in e.items if one.mass}
    both = ((0, 1), (1, -1))
    for i, item in enumerate(design.items):
        if item.name in there:
            x, y = scene.side(-item.behind_front_axle, item.above_ground)
            yield _Handle(("items", i), ("behind_front_axle", "above_ground"), (item.behind_front_axle, item.above_ground), both, x, y, item.name)  # fmt: skip
    kerb = design.kerb
    if kerb.behind_front_axle is not None and kerb.above_ground is not None:
        x, y = scene.side(-kerb.behind_front_axle, kerb.above_ground)
        yield _Handle(("kerb",), ("behind_front_axle", "above_ground"), (kerb.behind_front_axle, kerb.above_ground), both, x, y, "centre of gravity at kerb")  # fmt: skip


def _stops(design: Design, e: Elevation, scene: Scene) -> Iterator[_Handle]:
    """The ends of each axle's travel, on its band."""
    for i, (axle, drawn) in enumerate(zip(design.axles, e.axles, strict=True)):
        x, y = band_place(scene, e, i)
        for field, left, way in (("bump", drawn.bump, -1), ("droop", drawn.droop, 1)):
            now = getattr(axle.travel, field)
            yield _Handle(("axles", i, "travel"), (field,), (now,), ((1, way),), x, y + way * scene.scale * left, f"{axle.name}, {field} travel")  # fmt: skip


def _outline(file: DesignFile, scene: Scene) -> Iterator[_Handle]:
    """The dimensions of a plain body, or the corners of the outlines that are given."""
    design, body = file.design, file.design.vehicle.body
    for name, (along, high) in body_dimensions(design, design_centres(file)).items():
        x, y = scene.side(-along, high)
        level = name in LEVEL
        yield _Handle(("vehicle", "body"), (name,), (along if level else high,), ((0, 1) if level else (1, -1),), x, y, f"body, {name.replace('_', ' ')}")  # fmt: skip
    for k, shape in enumerate((body.side if body is not None else None) or ()):
        for j, (along, high) in enumerate(shape):
            x, y = scene.side(-along, high)
            yield _Handle(("vehicle", "body", "side", k, j), (0, 1), (along, high), ((0, 1), (1, -1)), x, y, f"outline {k + 1}, corner {j + 1}")  # fmt: skip


def _set(one: _Handle, scale: float) -> Markup:
    unit, length = unit_of("length"), scale_of("length")
    said = ", ".join(f"{word} {number(value, 'length')}" for word, value in zip(_words(one.fields), one.now, strict=True))  # fmt: skip
    move = {
        "at": one.at, "axes": one.fields, "now": [value / length for value in one.now], "ways": [way for way, _ in one.ways],
        "per": [sign / scale / length for _, sign in one.ways], "unit": unit, "step": 5.0 if unit == "mm" else 0.25, "label": one.label,
    }  # fmt: skip
    ident, at = f"t-{'-'.join(str(step) for step in (*one.at, *one.fields))}", (one.x, one.y)
    made = ring(
        ident, "handle free joint quiet", one.label, f"{one.now[0] / length:.4g}", ("move", move), at, f"{said} {unit}"
    )
    return made + beside_ring(at, f"{one.label}: {said}")


def _words(fields: tuple[str | int, ...]) -> tuple[str, ...]:
    if len(fields) == 1:
        return ("",)
    return "behind", "up"
