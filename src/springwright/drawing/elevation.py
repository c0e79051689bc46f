"""The vehicle to scale in a load state: its left side and the view from behind the rear axle, on one ground line."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, sin

from springwright.drawing.behind import behind_view
from springwright.drawing.labels import Labels, spread, width_of
from springwright.drawing.marks import arrow, band, centre_mark, dimension, ghost_centre, spring_mark, wheel
from springwright.drawing.scene import GAP, ROW, Scene, beside, inline, load_word, scene_of, spans, supports
from springwright.drawing.shapes import axle_ink, body_shapes, ghost_shapes, seat_mark, short, tank_mark
from springwright.drawing.svg import Drawing
from springwright.scenes.elevation import AxleElevation, Elevation, Spring
from springwright.units import number, show, unit_of


def elevation_drawing(elevation: Elevation, width: float = 1216.0) -> Drawing:
    """Draw both views on a sheet so wide [px] and at most 340 px high.

    Sprung body, wheels and running gear of the side view are the groups `body`, `wheels` and `running`, those of the view from
    behind `body-behind`, `wheels-behind` and `running-behind`; the other state's body is `ghost` and `ghost-behind`.
    """
    scene = scene_of(elevation, width)
    title = f"{elevation.vehicle}, {elevation.stance.state}, to scale: left side, and from behind the {elevation.axles[-1].name} axle"
    if elevation.ghost is not None:
        title += f"; {elevation.ghost.state} dashed"
    sheet = Drawing(width, scene.height, title)
    labels = Labels(sheet, (1.0, 0.0, width - 1.0, scene.height))
    _side_ink(sheet, scene, elevation)
    sheet.line(0, scene.ground, scene.split[0], scene.ground, "ink")
    labels.put(0, 8, f"Left side, {short(elevation.stance.state)}, {unit_of('length')}", "soft")
    _below(labels, scene, elevation)
    labels.frame = (scene.split[1] - GAP / 2, 0.0, width - 1.0, scene.height)  # words stay with their own view
    behind_view(sheet, labels, scene, elevation)
    labels.frame = (1.0, 0.0, scene.split[1] - 4.0, scene.height)
    _side_words(labels, scene, elevation)
    return sheet


def _side_ink(sheet: Drawing, scene: Scene, e: Elevation) -> None:
    if e.ghost is not None:
        with sheet.group("ghost", shift=scene.body_side(e.ghost)):
            ghost_shapes(sheet, e.side, scene.side)
    with sheet.group("body", shift=scene.body_side(e.stance)):
        body_shapes(sheet, e.side, scene.side)
        if len(e.belly) > 1:
            sheet.path([scene.side(x, z) for x, z in e.belly], "dots")
        for x, z in dict.fromkeys((x, z) for x, _, z in e.seats):
            seat_mark(sheet, scene.side, x, z)
        if e.lamp is not None:
            x, _, z = e.lamp
            sheet.box(*scene.side(x, z + 0.07), 0.05 * scene.scale, 0.14 * scene.scale, "hair")
        if e.hitch is not None:
            _drawbar(sheet, scene, e)
        for item in e.items:
            if item.tank is not None:
                tank_mark(sheet, item, scene.side, across=False)
        for item in e.items:
            if item.mass:
                sheet.dot(*scene.side(item.place[0], item.place[2]), 2.2)
    with sheet.group("wheels"):
        for axle in e.axles:
            x, y = scene.side(axle.x, axle.centres[0])
            wheel(sheet, x, y, scene.scale * axle.radius, scene.ground)
    with sheet.group("running"):
        _running(sheet, scene, e)
    for i, axle in enumerate(e.axles):
        x, y = band_place(scene, e, i)
        ghost = None if axle.ghost_travel is None else scene.scale * (axle.ghost_travel[0] - axle.travel[0])
        band(sheet, x, y, bump=scene.scale * max(axle.bump, 0.0), stop=scene.scale * axle.stop, droop=scene.scale * max(axle.droop, 0.0), ghost=ghost, ink=axle_ink(i))  # fmt: skip
    if e.ghost is not None:
        ghost_centre(sheet, *scene.side(e.ghost.cg[0], e.ghost.cg[2]))
    centre_mark(sheet, *scene.side(e.stance.cg[0], e.stance.cg[2]))


def _running(sheet: Drawing, scene: Scene, e: Elevation) -> None:
    for pivot, pair in zip(e.pivots, _pairs(e), strict=True):
        sheet.path([scene.side(pair[0].x, pair[0].centres[0]), scene.side(*pivot), scene.side(pair[1].x, pair[1].centres[0])], "bold")  # fmt: skip
        sheet.dot(*scene.side(*pivot), 4, "ink f-paper")
    for i, axle in enumerate(e.axles):
        lines = [*axle.links, *axle.dampers]
        for begin, end in axle.links:
            sheet.path([scene.side(begin[0], begin[2]), scene.side(end[0], end[2])], "hair" if axle.links_known else "dots")  # fmt: skip
        for begin, end in axle.dampers:
            sheet.path([scene.side(begin[0], begin[2]), scene.side(end[0], end[2])], "hair")
        for begin, end in lines:
            for x, _, z in (begin, end) if axle.links_known else (begin,):
                sheet.dot(*scene.side(x, z), 2.2, "hair f-paper")
        for mark in _standing(axle):
            spring_mark(sheet, mark, lambda place: scene.side(place[0], place[2]), scene.scale, axle_ink(i))
        sheet.dot(*scene.side(axle.x, axle.centres[0]), max(0.1 * axle.radius * scene.scale, 3), "ink f-paper")


def _pairs(e: Elevation) -> list[tuple[AxleElevation, AxleElevation]]:
    """The axles each walking beam joins: those on either side of its pivot."""
    return [
        next((a, b) for a, b in pairwise(e.axles) if b.x < x < a.x)
        for x, _ in e.pivots
    ]  # fmt: skip


def _standing(axle: AxleElevation) -> list[Spring]:
    """The left springs as they are drawn: where there are several at a wheel, one behind the other."""
    one = axle.springs[0]
    if one.word in ("leaf", "torsion bar"):
        return [one]
    steps = [(k - (one.count - 1) / 2) * 1.08 * one.diameter for k in range(one.count)]
    return [Spring(one.word, tuple((x + step, y, z) for x, y, z in one.line), one.length, one.diameter, one.turns) for step in steps]  # fmt: skip


def band_place(scene: Scene, e: Elevation, i: int) -> tuple[float, float]:
    """Where an axle's travel band stands [px]: beside its tyre, its bar at the wheel centre."""
    away, way = beside(e, i, scene.scale)
    x, y = scene.side(e.axles[i].x, e.axles[i].centres[0])
    return x + way * away, y


def _drawbar(sheet: Drawing, scene: Scene, e: Elevation) -> None:
    """From the body's nearer end to the hitch."""
    assert e.hitch is not None
    x, z = e.hitch
    ends = [px for shape in e.side for px, _ in shape]
    near = max(ends) if x > max(ends) else min(ends)
    low = min(pz for shape in e.side for px, pz in shape if abs(px - near) < 0.3) + 0.04
    sheet.path([scene.side(near, low), scene.side(x, z)], "bold")
    sheet.dot(*scene.side(x, z), 4, "ink f-paper")


def _side_words(labels: Labels, scene: Scene, e: Elevation) -> None:
    """What stands beside the marks of the side view; the least movable first."""
    _keep_off(labels, scene, e)
    for i, axle in enumerate(e.axles):
        _travel_words(labels, scene, e, i)
        one = axle.springs[0]
        text = one.word if one.length is None else f"{one.word} {number(one.length, 'length')}"
        if one.count > 1:
            text = f"{one.count} × {text}"
        foot, top = one.line[0], one.line[-1]
        at = scene.side((2 * top[0] + foot[0]) / 3, (2 * top[2] + foot[2]) / 3)
        labels.beside(*at, text, toward=(1.0, -0.6) if i == 0 else (-1.0, -0.6))
    for item in e.items:
        if item.mass:
            at = scene.side(item.place[0], item.place[2] + e.stance.rise_at(item.place[0]))
            labels.beside(*at, f"{short(item.name)} {show(item.mass, 'mass')}", toward=(0.0, -1.0) if item.tank else (-1.0, 0.0))  # fmt: skip
    labels.beside(*scene.side(e.stance.cg[0], e.stance.cg[2]), f"{short(e.stance.state)} {number(e.stance.cg[2], 'length')}, CG", toward=(0.4, 1.0), clear=5)  # fmt: skip
    if e.ghost is not None:
        labels.beside(*scene.side(e.ghost.cg[0], e.ghost.cg[2]), f"{short(e.ghost.state)} {number(e.ghost.cg[2], 'length')}", "soft", toward=(-0.4, 1.0), clear=4)  # fmt: skip
        _ghost_words(labels, scene, e)
    if e.hitch is not None:
        x, z = e.hitch
        at = scene.side(x, z + e.stance.rise_at(x))
        labels.beside(*at, f"hitch {number(z + e.stance.rise_at(x), 'length')}", toward=(0.0, -1.0))


def _keep_off(labels: Labels, scene: Scene, e: Elevation) -> None:
    """Marks the words of the side view should leave to be seen."""
    for stance in (e.stance, e.ghost):
        for shape in e.side if stance is not None else ():
            labels.avoid_line([scene.side(x, z + stance.rise_at(x)) for x, z in (*shape, shape[0])])  # type: ignore[union-attr]
    labels.avoid_line([(0.0, scene.ground), (scene.split[0], scene.ground)])
    for axle in e.axles:
        x, y = scene.side(axle.x, axle.centres[0])
        turns = [2 * pi * k / 48 for k in range(49)]
        labels.avoid_line([(x + scene.scale * axle.radius * cos(t), y + scene.scale * axle.radius * sin(t)) for t in turns])  # fmt: skip
        for begin, end in (*axle.links, *axle.dampers):
            labels.avoid_line([scene.side(begin[0], begin[2]), scene.side(end[0], end[2])])
    for item in e.items:
        if item.tank is not None:
            (x, _, z), (long, _, tall) = item.place, item.tank
            corners = [(x + a * long / 2, z + b * tall / 2) for a, b in ((1, 1), (-1, 1), (-1, -1), (1, -1), (1, 1))]
            labels.avoid_line([scene.side(px, pz + e.stance.rise_at(px)) for px, pz in corners])
    for i, axle in enumerate(e.axles):
        x, y = band_place(scene, e, i)
        labels.avoid(x - 7, y - scene.scale * (axle.bump + axle.stop), x + 7, y + scene.scale * axle.droop)
        for mark in _standing(axle):
            spots = [scene.side(px, pz) for px, _, pz in mark.line]
            half = scene.scale * mark.diameter / 2 if mark.word != "leaf" else 4
            labels.avoid(min(px for px, _ in spots) - half, min(py for _, py in spots), max(px for px, _ in spots) + half, max(py for _, py in spots))  # fmt: skip
    for stance in (e.stance, e.ghost):
        if stance is not None:
            x, y = scene.side(stance.cg[0], stance.cg[2])
            labels.avoid(x - 8, y - 8, x + 8, y + 8)
    for item in e.items:
        x, y = scene.side(item.place[0], item.place[2] + e.stance.rise_at(item.place[0]))
        labels.avoid(x - 3, y - 3, x + 3, y + 3)


def _travel_words(labels: Labels, scene: Scene, e: Elevation, i: int) -> None:
    axle = e.axles[i]
    x, y = band_place(scene, e, i)
    _, way = beside(e, i, scene.scale)
    for word, left, end in (("bump", axle.bump, -axle.bump), ("droop", axle.droop, axle.droop)):
        labels.beside(x + 3 * way, y + scene.scale * end * 0.8, f"{word} {number(left, 'length')}", toward=(way, 0.0))


def _ghost_words(labels: Labels, scene: Scene, e: Elevation) -> None:
    """How much higher the other state stands over the first and the last support, at the corners of its outline."""
    assert e.ghost is not None
    points = [point for shape in e.side for point in shape]
    ends = [x for x, _ in supports(e)]
    for at, corner, word, way in (
        (ends[0], max(points, key=lambda one: one[0] + one[1]), "in front", -1.0),
        (ends[-1], max(points, key=lambda one: one[1] - one[0]), "behind", 1.0),
    ):
        higher = e.ghost.rise_at(at) - e.stance.rise_at(at)
        figure = number(abs(higher), "length")
        plain = not any(digit in figure for digit in "123456789")
        told = f"as high {word}" if plain else f"{figure} {'higher' if higher > 0 else 'lower'} {word}"
        if word == "in front":
            told = f"dashed: {short(e.ghost.state)}, {told}"
        x, z = corner
        labels.beside(*scene.side(x, z + e.ghost.rise_at(x)), told, "soft", toward=(way, -1.4))


def _below(labels: Labels, scene: Scene, e: Elevation) -> None:
    """Load arrows with their kilograms, and the distances between supports."""
    held = supports(e)
    words = [load_word(load) for _, load in held]
    wide = [width_of(word, "strong") for word in words]
    row = scene.ground + 33
    centres = spread([scene.side(x, 0)[0] for x, _ in held], wide, 0, scene.split[0])
    for (x, _), word, at in zip(held, words, centres, strict=True):
        arrow(labels.sheet, scene.side(x, 0)[0], scene.ground + 5)
        labels.put(at, row, word, "strong middle")
    if inline(e, scene.scale):
        for i, (_, _, word) in enumerate(spans(e)):
            _dimension(labels, centres[i] + wide[i] / 2 + 10, centres[i + 1] - wide[i + 1] / 2 - 10, row, word)
    else:
        row += ROW
        figures = spans(e)
        ends = [(scene.side(a, 0)[0], scene.side(b, 0)[0]) for a, b, _ in figures]
        places = spread([(a + b) / 2 for a, b in ends], [width_of(word) for _, _, word in figures], 0, scene.split[0])
        for (a, b), (_, _, word), at in zip(ends, figures, places, strict=True):
            _dimension(labels, a + 2, b - 2, row, word, at)
    if len(e.axles) > 2:
        first, last = scene.side(e.axles[0].x, 0)[0], scene.side(e.axles[-1].x, 0)[0]
        _dimension(labels, first, last, row + ROW, f"wheelbase {number(e.wheelbase, 'length')}")


def _dimension(labels: Labels, left: float, right: float, y: float, word: str, at: float | None = None) -> None:
    middle = (left + right) / 2 if at is None else at
    half = width_of(word) / 2 + 6
    dimension(labels.sheet, left, right, y, (middle - half, middle + half))
    labels.put(middle, y, word, "middle")
