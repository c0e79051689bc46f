"""The register: the vehicle's ground line with its axles at their places, each to be pressed or moved, and where one may be put in."""

from __future__ import annotations

import json
from dataclasses import dataclass
from math import ceil
from typing import Any

from markupsafe import Markup

from springwright.units import parse, scale_of, show, unit_of
from springwright.workbench.render.slider import slider

WIDE, FOOT = 804.0, 22.0  # px; the names stand under the ground
SHORTEST = 6.0  # m of the line
BEFORE, STEP = 0.8, 2.0  # m in front of the first axle; the line grows in steps, so that it keeps still under the hand
RADIUS = 0.4  # m of a wheel that is not known


@dataclass(frozen=True)
class Standing:
    """An axle on the register: behind the front one and its radius [m], none where they are not known."""

    name: str
    place: float | None
    radius: float | None


def standing(data: Any) -> list[Standing]:
    """The axles of a design's data as they stand, whole or not."""
    return [
        Standing(
            str(one.get("name") or f"axle {i + 1}"),
            _length(one.get("behind_front_axle")),
            _length((one.get("tyre") or {}).get("unloaded_radius")),
        )
        for i, one in enumerate(data.get("axles", []))
    ]


def register(axles: list[Standing]) -> Markup:
    """The ground line and the wheels on it; a press on free ground puts an axle there, a drag moves one."""
    known = [one.place for one in axles if one.place is not None]
    last = max(known, default=0.0)
    far = max(STEP * ceil((last + 1.6) / STEP), SHORTEST)
    scale = WIDE / (far + BEFORE)
    ground = 2 * scale * max([RADIUS, *(one.radius for one in axles if one.radius)]) + 4.0
    tall = ground + FOOT
    unit = unit_of("length")
    marks = Markup('<path class="ink" d="M0,{} H{}"/>').format(_f(ground), _f(WIDE))
    if len(axles) < 10:
        marks += Markup('<rect class="hit free" x="0" y="0" width="{}" height="{}" fill="transparent" data-ground="{}"/>').format(
            _f(WIDE), _f(tall), json.dumps({"before": BEFORE / scale_of("length"), "per": 1 / scale / scale_of("length"), "unit": unit})
        )  # fmt: skip
        free = last + (max(known[-1] - known[-2], 1.2) if len(known) > 1 else 2.4 if known else 0.0)
        if not axles or free < far:
            x, r = (BEFORE + free) * scale, RADIUS * scale
            marks += Markup('<g class="offer"><circle class="hair dash" cx="{}" cy="{}" r="{}"/><text class="soft middle" x="{}" y="{}">{}</text></g>').format(
                _f(x), _f(ground - r), _f(r), _f(x), _f(tall - 6), "one more" if axles else "the first"
            )  # fmt: skip
    for i, one in enumerate(axles):
        if one.place is None:
            continue
        x, r = (BEFORE + one.place) * scale, (one.radius or RADIUS) * scale
        shape = Markup(
            '<rect class="hit" x="{}" y="{}" width="{}" height="{}"/><circle class="{}" cx="{}" cy="{}" r="{}"/><circle class="ink" cx="{}" cy="{}" r="{}"/><text class="middle" x="{}" y="{}">{}</text>'
        ).format(
            _f(x - r), _f(ground - 2 * r), _f(2 * r), _f(tall - ground + 2 * r), "ink" if one.radius else "hair", _f(x), _f(ground - r), _f(r), _f(x), _f(ground - r), _f(r * 0.3), _f(x), _f(tall - 6), one.name
        )  # fmt: skip
        if i == 0:
            marks += Markup("<g>{}</g>").format(shape)
            continue
        low, high = -BEFORE / scale_of("length"), far / scale_of("length")
        slide = {"at": ["axles", i, "behind_front_axle"], "low": low, "high": high, "wide": WIDE, "unit": unit, "step": 10.0 if unit == "mm" else 0.5, "label": f"{one.name} behind the front axle"}  # fmt: skip
        now = f"{one.place / scale_of('length'):.4g}"
        marks += slider(
            f"r-{i}", "handle", f"{one.name} axle, behind the front one, {unit}", now, (f"{low:.0f}", f"{high:.0f}"), slide, shape
        )  # fmt: skip
    told = ", ".join(f"{one.name} at {show(one.place, 'length')}" for one in axles if one.place is not None)
    return Markup('<svg class="register" role="group" aria-label="{}" viewBox="0 0 {} {}" width="{}" height="{}">{}</svg>').format(
        f"The axles from the front: {told}" if told else "No axle yet", _f(WIDE), _f(tall), _f(WIDE), _f(tall), marks
    )  # fmt: skip


def _f(value: float) -> str:
    return f"{value:.1f}"


def _length(text: Any) -> float | None:
    try:
        return float(parse(text, "length")) if isinstance(text, str) else None
    except ValueError:
        return None
