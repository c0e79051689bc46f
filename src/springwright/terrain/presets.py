"""Grounds of our own to compare vehicles on: an ISO 8608 spectrum with obstacles laid on it. Invented, and of no standard."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from springwright.terrain import obstacles
from springwright.terrain.ground import Ground
from springwright.terrain.roughness import FADE, RoadClass, rough_ground


@dataclass(frozen=True)
class Preset:
    """A made ground: a class, an obstacle laid on it `every` so far [m], and what it is like in words."""

    says: str
    iso_class: RoadClass
    obstacle: Callable[[], Ground]
    every: float
    alternate: bool = False


PRESETS: dict[str, Preset] = {
    "graded gravel": Preset(
        "class C, stretches of 12 m of washboard 25 mm high every 0.8 m, one every 80 m",
        "C", lambda: obstacles.corrugation(0.025, 0.8, 12.0), 80.0,
    ),
    "farm track": Preset(
        "class D, cross drains 120 mm deep and 1.2 m wide every 60 m", "D", lambda: obstacles.ditch(0.12, 1.2), 60.0
    ),
    "stony track": Preset(
        "class E, stones of 60 mm under left and right by turns every 25 m", "E", lambda: obstacles.half_round(0.06, "left"), 25.0, True,
    ),
    "furrows": Preset(
        "class D, stretches of 27 m of furrows 120 mm deep every 0.9 m, one every 70 m", "D", lambda: obstacles.corrugation(0.12, 0.9, 27.0), 70.0,
    ),
    "washed-out cutting": Preset(
        "class E, humps of 250 mm and 1.8 m under one side and 1.5 m later the other, every 45 m", "E", lambda: obstacles.twist(0.25, 1.8, 1.5), 45.0,
    ),
    "boulder trail": Preset(
        "class F, stones of 150 mm under left and right by turns every 15 m", "F", lambda: obstacles.half_round(0.15, "left"), 15.0, True,
    ),
    "dune crossing": Preset("class B, crests 0.5 m high and 16 m long every 40 m", "B", lambda: obstacles.bump(0.5, 16.0), 40.0),
}  # fmt: skip


def preset_ground(name: str, length: float, apart: float, seed: int = 1) -> Ground:
    """A preset so long, with tracks so far apart [m]; the same seed gives the same ground."""
    made = PRESETS[name]
    base = rough_ground(made.iso_class, length, apart, seed=seed)
    left, right = base.left.copy(), base.right.copy()
    laid = made.obstacle()
    begin, thin = round(obstacles.BEFORE / laid.spacing), round(base.spacing / laid.spacing)
    shapes = [track[begin::thin] for track in (laid.left, laid.right)]
    for i, at in enumerate(np.arange(FADE + made.every / 2, base.length, made.every)):
        sides = shapes[::-1] if made.alternate and i % 2 else shapes
        first = round(float(at) / base.spacing)
        for track, shape in zip((left, right), sides, strict=True):
            room = track[first : first + len(shape)]
            room += shape[: len(room)]
    notes = (f"{made.says}; invented, of no standard", *base.notes)
    return replace(base, name=name, left=left, right=right, notes=notes)
