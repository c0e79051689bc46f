"""A coil spring drawn to scale at its lengths, side by side on one seat, with load and length written at each."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from springwright.drawing.svg import Drawing
from springwright.parts.record import CoilShape, PartRecord
from springwright.units import show

Floats = NDArray[np.float64]
WIDTH, TALLEST, FOOT, HEAD = 700.0, 230.0, 44.0, 26.0
LINE = 1.25
STEPS = 9  # points along half a turn


def spring_figure(record: PartRecord) -> Drawing | None:
    """A coil free, at full droop, ride, full bump and solid; None where its shape is not known."""
    coil = record.coil
    if coil is None or coil.wire is None or coil.mean_diameter is None or coil.active_coils is None:
        return None
    points = record.points
    cell = WIDTH / len(points)
    outside = coil.mean_diameter + coil.wire
    scale = min(TALLEST / coil.free_length, (cell - 64) / outside)
    height = HEAD + coil.free_length * scale + FOOT
    sheet = Drawing(WIDTH, height, f"Spring for the {record.axle} axle at {len(points)} lengths, drawn to scale")
    ground = HEAD + coil.free_length * scale
    if coil.least_length is not None:
        top = ground - coil.least_length * scale
        sheet.line(0, top, WIDTH, top, "dots")
        sheet.word(WIDTH, top - 4, f"shortest allowed {show(coil.least_length, 'length')}", "soft end")
    for i, point in enumerate(points):
        middle = cell * i + cell / 2 - 24
        _coil(sheet, coil, point.length, middle, ground, scale)
        edge = middle + outside * scale / 2 + 8
        top = ground - point.length * scale
        sheet.line(edge, top, edge, ground, "hair")
        sheet.line(edge - 4, top, edge + 4, top, "hair")
        sheet.word(edge + 3, top + 14, show(point.length, "length"), "strong" if point.name == "ride" else "")
        sheet.word(middle, ground + 18, point.name, "strong middle" if point.name == "ride" else "middle")
        sheet.word(middle, ground + 34, "no load" if point.force == 0 else show(point.force, "force"), "soft middle")
    sheet.line(0, ground, WIDTH, ground, "bold")
    return sheet


def _coil(sheet: Drawing, coil: CoilShape, length: float, middle: float, ground: float, scale: float) -> None:
    """One spring in side view: the far half turns first, then the near ones over them, each wire with its two edges."""
    d, radius = (coil.wire or 0.0) * scale, (coil.mean_diameter or 0.0) * scale / 2
    active = coil.active_coils or 0.0
    turns = coil.total_coils or active + 1.5
    height = _heights(turns, active, length * scale, d)
    for near in (False, True):
        halves = []
        for half in range(0 if near else 1, int(np.ceil(2 * turns)), 2):
            at = np.linspace(half / 2, min((half + 1) / 2, turns), STEPS)
            halves.append(list(zip(middle - radius * np.cos(2 * np.pi * at), ground - height(at), strict=True)))
        sheet.paths(halves, "wire" if near else "wire-far", width=d)
        sheet.paths(halves, "paper-line", width=max(d - 2 * LINE, 0.3))


def _heights(turns: float, active: float, length: float, wire: float) -> Callable[[Floats], Floats]:
    """Height of the wire's centre above the seat against turns wound: dead turns lie wire on wire, active ones share the rest."""
    dead = max(turns - active, 0.0) / 2
    lift = wire if dead else 0.0
    room = max(length - wire - 2 * dead * lift, 0.0)
    knots = [0.0, dead, turns - dead, turns]
    levels = [wire / 2, wire / 2 + dead * lift, wire / 2 + dead * lift + room, length - wire / 2]
    return lambda t: np.interp(t, knots, levels)
