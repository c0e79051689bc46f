"""The joints of a linkage as handles on its drawing: each moves where it is seen from, and is one point of the design."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from markupsafe import Markup

from springwright.drawing.linkage import Joints, views_of
from springwright.units import scale_of, unit_of
from springwright.vehicle.axle import Axle
from springwright.vehicle.faults import Location, said_at
from springwright.vehicle.shapes import fields_in, shape_at
from springwright.workbench.render.slider import beside_ring, ring

WAYS = (("behind", (1, 2), ("out", "up")), ("side", (0, 2), ("ahead", "up")))


def places_of(data: Any, index: int) -> dict[str, Location]:
    """Where each joint of an axle's drawing is written, by its name there; those that are written nowhere are left out."""
    axle: Location = ("axles", index)
    found: dict[str, Location] = {}
    for name in Axle.linkages():
        links: Location = (*axle, name)
        if said_at(data, links) is None:
            continue
        found |= {one: (*links, one) for one, shape in fields_in(shape_at(data, links)).items() if shape.what == "row"}
        for k, rod in enumerate(said_at(data, (*links, "rods")) or ()):
            found |= {f"{rod.get('name')} {end}": (*links, "rods", k, end) for end in ("body", "axle")}
        found |= {f"arm {word}": (*links, "radius_arms", field) for word, field in (("body", "body"), ("front", "axle_front"), ("rear", "axle_rear"))}  # fmt: skip
    for part in ("spring", "damper"):
        found |= {f"{part} {end}": (*axle, part, "acts", end) for end in ("foot", "top")}
    return {name: at for name, at in found.items() if isinstance(said_at(data, at), list)}


def handles(index: int, axle: Axle, positions: Sequence[Joints], places: Mapping[str, Location]) -> Markup:
    """The handles of a linkage's drawing, over its joints in the design position."""
    views = views_of(positions, axle.tyre.unloaded_radius, beam=axle.kind == "beam")
    return Markup("").join(_each(index, views, positions[0], places))


def _each(index: int, views: Any, still: Joints, places: Mapping[str, Location]) -> Iterator[Markup]:
    unit, length = unit_of("length"), scale_of("length")
    for name, at in places.items():
        if name not in still:
            continue
        for way, axes, words in WAYS:
            x, y = getattr(views, way)(still[name])
            now = [float(still[name][k]) / length for k in axes]
            said = ", ".join(f"{word} {value:.4g}" for word, value in zip(words, now, strict=True))
            move = {"at": at, "axes": axes, "now": now, "ways": [0, 1], "per": [-1 / views.scale / length] * 2, "unit": unit, "step": 1.0 if unit == "mm" else 0.05, "label": name.replace("_", " ")}  # fmt: skip
            called = name.replace("_", " ")
            ident = f"j-{index}-{way}-{name.replace(' ', '_')}"
            label = f"{called}, seen from {'behind' if way == 'behind' else 'the side'}"
            yield ring(ident, "handle free joint", label, f"{now[1]:.4g}", ("move", move), (x, y), f"{said} {unit}")
            yield beside_ring((x, y), f"{called}: {said}")
