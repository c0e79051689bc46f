"""The outline a body is drawn with: the builder's own, or a plain one made from axles, tyres, frame, seats, loads and their places.

Outlines are in the design position, behind the front axle (or left of the centreline) and above ground, as the file has them.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from springwright.vehicle.axle import Axle
from springwright.vehicle.body import Body
from springwright.vehicle.design import Design

Outline = tuple[tuple[float, float], ...]

# All m. What people need about the mount of their seat, and plates and gaps; common sense, for drawing only.
LEGS, BACK, HEAD, SILL, SCREEN = 0.82, 0.44, 0.92, 0.24, 0.30
SLAB, RAIL, ROUND, FRAME = 0.06, 0.11, 0.06, 0.20
TYRE = 0.2  # width drawn of a tyre whose width is not known


@dataclass(frozen=True)
class _Measures:
    """The dimensions of a plain body [m]; `roof` None: nobody sits in it. `covers`: it stands over its wheels, not between them."""

    front: float
    rear: float
    cab_begins: float
    cab_ends: float
    underside: float
    bonnet: float
    deck: float
    roof: float | None
    width: float
    covers: bool


def bodywork(design: Design, centres: tuple[float, ...]) -> tuple[tuple[Outline, ...], tuple[Outline, ...]]:
    """Outlines from the left side and from behind [m]; `centres` are the wheel centres' heights in the design position [m]."""
    given = design.vehicle.body or Body()
    measures = _measures(design, centres, given)
    return given.side or _side(design, centres, measures), given.end or _end(measures, given)


def body_dimensions(design: Design, centres: tuple[float, ...]) -> dict[str, tuple[float, float]]:
    """Where each dimension of a plain body is seen from the left side [m, behind the front axle and above ground], by the field that holds it; none where outlines are given."""
    given = design.vehicle.body or Body()
    if given.side is not None:
        return {}
    m = _measures(design, centres, given)
    middle = (m.cab_begins + m.cab_ends) / 2
    found = {
        "front": (m.front, (m.underside + m.bonnet) / 2), "rear": (m.rear, (m.underside + m.deck) / 2), "underside": (middle, m.underside),
        "deck": ((m.cab_ends + m.rear) / 2, m.deck),
    }  # fmt: skip
    if m.roof is None:
        return found
    found |= {"cab_begins": (m.cab_begins, m.bonnet), "cab_ends": (m.cab_ends, (m.bonnet + m.roof) / 2), "roof": (middle, m.roof), "bonnet": ((m.front + m.cab_begins) / 2, m.bonnet)}  # fmt: skip
    if m.rear <= m.cab_ends + ROUND:
        del found["deck"]
    return found


def drawn_width(axle: Axle) -> float:
    """Width a tyre is drawn with [m]."""
    return axle.tyre.section_width or TYRE


def _measures(design: Design, centres: tuple[float, ...], given: Body) -> _Measures:
    axles = design.axles
    seats = [seat.behind_front_axle for seat in design.seats]
    tops = [high + axle.tyre.unloaded_radius + axle.travel.bump + axle.travel.stop_compression for axle, high in zip(axles, centres, strict=True)]  # fmt: skip
    underside = _first(given.underside, _underside(design, centres))
    seat = max((one.above_ground for one in design.seats), default=None)
    bonnet = _first(given.bonnet, max(tops) + ROUND if seat is None else seat + SILL)
    bonnet = max(bonnet, underside + FRAME)
    covers = bonnet > max(tops)
    deck = _first(given.deck, max(underside + FRAME, max(tops) + ROUND if covers else bonnet))
    roof = given.roof if seat is None else _first(given.roof, seat + HEAD)
    if given.cab_begins is not None or given.cab_ends is not None:
        roof = roof or bonnet + HEAD - SILL
    front, rear = _ends(design, given)
    begins = _first(given.cab_begins, max(front, min(seats, default=front + LEGS) - LEGS))
    ends = _first(given.cab_ends, min(rear, max(seats, default=begins + LEGS) + BACK))
    if roof is not None and rear - ends < BACK:
        ends = rear
    return _Measures(
        front, rear, begins, max(ends, begins + ROUND), underside, bonnet, max(deck, underside + ROUND),
        None if roof is None else max(roof, bonnet + ROUND), _first(given.width, _width(design, covers=covers)), covers,
    )  # fmt: skip


def _ends(design: Design, given: Body) -> tuple[float, float]:
    """Front and rear end, behind the front axle: over the end wheels and past whatever is aboard."""
    axles = design.axles
    first, last = axles[0], axles[-1]
    before, after = (
        axle.tyre.unloaded_radius + axle.travel.bump + axle.travel.stop_compression for axle in (first, last)
    )
    front, rear = first.behind_front_axle - before - ROUND, last.behind_front_axle + after + ROUND
    if design.hitch is not None and design.kerb.behind_front_axle is not None:
        # a trailer's body stands about its centre of gravity and leaves the drawbar free
        reach = rear - design.kerb.behind_front_axle
        free = design.hitch.behind_front_axle + 0.3 * (first.behind_front_axle - design.hitch.behind_front_axle)
        front = min(max(design.kerb.behind_front_axle - reach, free), front)
    places = [(seat.behind_front_axle - LEGS, seat.behind_front_axle + BACK) for seat in design.seats]
    places += [(item.behind_front_axle - ROUND, item.behind_front_axle + ROUND) for item in design.items]
    places += [(along, along) for along, _ in design.belly]
    if design.lamp is not None:
        places.append((design.lamp.behind_front_axle - ROUND, design.lamp.behind_front_axle))
    front = min([front, *(low for low, _ in places)])
    rear = max([rear, *(high for _, high in places)])
    return _first(given.front, front), _first(given.rear, rear)


def _underside(design: Design, centres: tuple[float, ...]) -> float:
    """Where the frame is, as the axles have it; else the belly; else a little over the wheel centres."""
    frames = [axle.ride_height for axle in design.axles if axle.ride_height is not None]
    if frames:
        return float(np.mean(frames))
    if design.belly:
        return max(height for _, height in design.belly)
    return max(centres) + ROUND


def _width(design: Design, *, covers: bool) -> float:
    wide = [(axle.track or 0.0) + drawn_width(axle) for axle in design.axles]
    between = [(axle.track or 0.0) - drawn_width(axle) for axle in design.axles if axle.track]
    people = 2 * max((abs(seat.left_of_centre) for seat in design.seats), default=0.0) + 2 * SILL
    if covers and between:
        return max(*wide, people)
    return max(min(between, default=0.0) - ROUND, people)


def _first(given: float | None, other: float) -> float:
    return other if given is None else given


def _side(design: Design, centres: tuple[float, ...], m: _Measures) -> tuple[Outline, ...]:
    arches = [
        (axle.behind_front_axle, high, axle.tyre.unloaded_radius + axle.travel.bump + axle.travel.stop_compression)
        for axle, high in zip(design.axles, centres, strict=True)
        if m.covers
    ]
    tail = m.rear > m.cab_ends + ROUND
    if m.roof is None:
        return ((*_foot(m.front, m.rear, m, arches), (m.front, m.deck), (m.rear, m.deck)),)
    lean = SCREEN * (m.roof - m.bonnet) / (HEAD - SILL)
    screen = (min(m.cab_begins + lean, m.cab_ends - ROUND), m.roof)
    cab = [(m.cab_begins, m.bonnet), screen, (m.cab_ends - ROUND / 2, m.roof), (m.cab_ends, m.bonnet)]
    if not m.covers:  # people sit in the open: a hoop over them, on a hull from end to end
        hull = (*_foot(m.front, m.rear, m, arches), *_nose(m), (m.rear, m.deck if tail else m.bonnet))
        return tuple(cab), _inset(cab, ROUND / 2), hull
    shapes = [(*_foot(m.front, m.cab_ends, m, arches), *_nose(m), *cab[1:]), _inset(cab, ROUND)]
    if tail:
        shapes.append(_box(m.cab_ends, m.rear - ROUND, m.underside, min(m.underside + RAIL, m.deck - SLAB)))
        shapes.append(_box(m.cab_ends + ROUND / 2, m.rear, m.deck - SLAB, m.deck))
    return tuple(shapes)


def _nose(m: _Measures) -> Outline:
    """From the front end up to the foot of the windscreen, the bonnet falling a little to the front."""
    if m.cab_begins <= m.front + ROUND:
        return ((m.front, m.bonnet),)
    return ((m.front, max(m.bonnet - ROUND, m.underside + ROUND)), (m.cab_begins, m.bonnet))


def _foot(front: float, rear: float, m: _Measures, arches: list[tuple[float, float, float]]) -> Outline:
    """The lower edge from rear to front, over the wheels where an arch (place, centre height, radius) is."""
    high = min(m.bonnet, m.deck) - ROUND / 2

    def under(along: float) -> float:
        over = [
            centre + float(np.sqrt(radius**2 - (along - place) ** 2))
            for place, centre, radius in arches
            if abs(along - place) < radius
        ]
        return min(max([m.underside, *over]), high)

    places = [front, rear]
    for place, centre, radius in arches:
        half = float(np.sqrt(max(radius**2 - max(m.underside - centre, 0.0) ** 2, 0.0)))
        places += [place + half * float(np.cos(turn)) for turn in np.linspace(0.0, np.pi, 25)]
    inside = sorted({round(one, 4) for one in places if front <= one <= rear}, reverse=True)
    return tuple((one, under(one)) for one in inside)


def _box(front: float, rear: float, low: float, high: float) -> Outline:
    return ((front, low), (front, high), (rear, high), (rear, low))


def _inset(shape: list[tuple[float, float]], by: float) -> Outline:
    """A convex outline drawn in on every side [m], its corners where the moved sides meet."""
    points = np.array(shape)
    sides = []
    for begin, end in pairwise([*points, points[0]]):
        way = (end - begin) / max(float(np.hypot(*(end - begin))), 1e-9)
        inward = np.array([way[1], -way[0]])
        sides.append((begin + by * inward, way))
    found = []
    for (a, u), (b, v) in pairwise([sides[-1], *sides]):
        cross = u[0] * v[1] - u[1] * v[0]
        along = ((b - a)[0] * v[1] - (b - a)[1] * v[0]) / cross if abs(cross) > 1e-6 else 0.0
        found.append(tuple((a + along * u).tolist()))
    return tuple(found)


def _end(m: _Measures, given: Body) -> tuple[Outline, ...]:
    half = m.width / 2
    shapes: list[Outline] = []
    if m.roof is not None:
        foot, top = m.bonnet, half - SCREEN * min(0.5, half)
        cab = [(-half, foot), (-top, m.roof), (top, m.roof), (half, foot)]
        skirt = m.underside + FRAME if m.covers else m.underside
        shapes.append(((-half, min(skirt, foot)), *cab, (half, min(skirt, foot))))
        shapes.append(_inset(cab, ROUND if m.covers else ROUND / 2))
    if m.covers and (m.rear > m.cab_ends + ROUND or m.roof is None):
        shapes.append(_box(-half, half, m.deck - (SLAB if m.roof is not None else FRAME), m.deck))
    elif not m.covers:
        shapes.append(_box(-half, half, m.underside, m.deck if given.deck else m.bonnet))
    return tuple(shapes)
