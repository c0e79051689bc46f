"""A vehicle as nodes and the lines between them, for the view in the round: each node knows what moves it, so that a frame is a few numbers."""

from __future__ import annotations

from typing import Any

import numpy as np

from springwright.drawing.hull import hull_lines
from springwright.drawing.nodes import Place, Skeleton, tenths
from springwright.linkage.mounts import Lever, Measured, OnBeam, OnLinks, Stated, Twisted
from springwright.scenes.outline import positions_of
from springwright.vehicle.axle import Axle
from springwright.vehicle.design import Design
from springwright.vehicle.interconnections import beam_shares
from springwright.vehicle.mounted import SpringMount

PLAIN_WIDTH, PLAIN_LENGTH = 0.2, 0.3  # m: of a tyre and a spring where nothing is said of them
TUBE, ROD, RAIL = 0.085, 0.036, 0.11  # m: axle tube, link and frame rail as they are drawn
OVERHANG = 1.1  # tyre radii of frame beyond the end axles
HIDDEN = ("contact", "roll_centre", "side_centre", "front_centre")
STILL = 1e-6  # m within which a joint stands still over the travel
LEAF = 6  # lines from a leaf spring's seat to its eye


def skeleton_of(design: Design, centres: Any) -> Skeleton:
    """A design's hull, frame, axles, wheels, links, springs and seats.

    Parameters
    ----------
    design : Design
    centres : array of shape (w, 3)
        Wheel centres in the design position [m].

    """
    made = Skeleton()
    firsts = np.cumsum([0, *(axle.wheels for axle in design.axles[:-1])])
    hull_lines(design, made, tuple(float(centres[first][2]) for first in firsts))
    _frame(design, made)
    first = 0
    for index, axle in enumerate(design.axles):
        mine = list(range(first, first + axle.wheels))
        first += axle.wheels
        _axle(made, design, index, [(wheel, tuple(centres[wheel].tolist())) for wheel in mine])
    _walking_beams(made, design, centres)
    return made


def _frame(design: Design, made: Skeleton) -> None:
    """Two rails and their cross members where the design says how high and how wide; else its belly as a line."""
    framed = [
        (-one.behind_front_axle, one.frame_width / 2, one.ride_height + RAIL / 2)
        for one in design.axles
        if one.frame_width and one.ride_height
    ]
    if len(framed) < 2:
        if len(design.belly) > 1:
            made.line([made.node((-x, 0.0, z)) for x, z in design.belly], "dash")
        return
    (x, half, z), (x_rear, half_rear, z_rear) = framed[0], framed[-1]
    over = OVERHANG * design.axles[0].tyre.unloaded_radius
    stations = [(x + over, half, z), *framed, (x_rear - over, half_rear, z_rear)]
    for side in (1, -1):
        made.line([made.node((x, side * half, z)) for x, half, z in stations], wide=RAIL)
    for x, half, z in (stations[0], *framed, stations[-1]):
        made.line([made.node((x, side * half, z)) for side in (1, -1)], "hair")


def _axle(made: Skeleton, design: Design, index: int, wheels: list[tuple[int, Place]]) -> None:
    """Wheels, what holds them, springs and dampers of one axle."""
    axle, last = design.axles[index], len(design.axles) - 1
    end = 0 if index == 0 else 1
    pair = tuple(wheel for wheel, _ in wheels)
    links = axle.links is not None
    for side, (wheel, at) in zip((1, -1), wheels, strict=False):
        radius, width = axle.tyre.unloaded_radius, axle.tyre.section_width or PLAIN_WIDTH
        if axle.kind == "beam":
            centre = made.node(at, 0.0, {wheel: 1.0})
            inner = made.node((at[0], 0.0, at[2]), 0.0, dict.fromkeys(pair, 0.5))
        elif links:
            centre, inner = _held(made, axle, wheel, side, at)
        else:
            centre = made.node(at, 0.0, {wheel: 1.0})
            inner = made.node((at[0], at[1] - side * 0.2, at[2]), 0.0, {wheel: 1.0})
            pivot = made.node((at[0], side * (axle.frame_width or 0.4 * (axle.track or 0.8)) / 2, at[2]))
            made.line([pivot, centre], wide=ROD)
        bar = radius + 0.12
        made.wheels.append(
            {
                "centre": centre, "inner": inner, "radius": round(1e4 * radius), "width": round(1e4 * width), "end": end,
                "reach": tenths((-axle.travel.droop, axle.travel.bump + axle.travel.stop_compression)),
                "bar": round(1e4 * (bar if index < last or not index else -bar)),
            }
        )  # fmt: skip
        if not links or (axle.kind == "independent" and not isinstance(axle.spring.acts, OnLinks)):
            _plain_spring(made, design, index, side, wheel, at, pair, end)
    if axle.kind == "beam":
        made.line([made.wheels[wheel]["centre"] for wheel in pair], wide=TUBE)
    if links and axle.kind == "beam":
        _beam_links(made, axle, pair, end)


def _held(made: Skeleton, axle: Axle, wheel: int, side: int, at: Place) -> tuple[int, int]:
    """Links, spring and damper of a wheel on pivot points of its own; gives its centre and a point inward of it on its axis."""
    own = axle.on_side(side)
    still, bump, droop = positions_of(own)
    x, flip = -axle.behind_front_axle, np.array([1.0, side, 1.0])
    up = np.array([0.0, 0.0, at[2] - still["wheel_centre"][2]])  # its tyre says how high the centre stands
    nodes: dict[str, int] = {}

    def node(name: str) -> int:
        if name not in nodes:
            places = [flip * joints[name] + [x, 0.0, 0.0] + up for joints in (droop, still, bump)]
            moves = max(float(np.abs(one - places[1]).max()) for one in places) > STILL
            nodes[name] = made.swung(wheel, places) if moves else made.node(places[1])
        return nodes[name]

    assert axle.links is not None
    for one, other in own.links.sketch():  # type: ignore[union-attr]
        made.line([node(one), node(other)], wide=ROD)
    _parts(made, own, node, set(still), 0 if axle.behind_front_axle == 0 else 1)
    travels = np.array([-axle.travel.droop, 0.0, axle.travel.bump + axle.travel.stop_compression])
    path = own.links.path(travels)  # type: ignore[union-attr]
    centre, _, z = path.start
    inner = path.at((centre, path.start[1] - 0.2, z)) * flip + [x, 0.0, 0.0] + up
    return node("wheel_centre"), made.swung(wheel, inner.tolist())


def _beam_links(made: Skeleton, axle: Axle, pair: tuple[int, ...], end: int) -> None:
    """Links, springs and dampers that hold a beam axle: what moves with it goes by how far it stands to the left, and by its share of the travel."""
    still, bump, droop = positions_of(axle)
    half = (axle.track or 1.0) / 2
    whole = float(bump["wheel_centre"][2] - droop["wheel_centre"][2])
    links = axle.links
    assert links is not None
    for tag, side in (("", 1), (" right", -1)):

        def node(name: str, tag: str = tag, side: int = side) -> int:
            there = name + tag in still
            key = name + tag if there else name
            at = still[key] * ([1.0, 1.0, 1.0] if there else [1.0, side, 1.0])
            share = float(np.clip((bump[key][2] - droop[key][2]) / whole, 0.0, 1.0))
            left = 0.5 + at[1] / (4 * half)
            of = {pair[0]: share * left, pair[1]: share * (1 - left)}
            return made.node(at - [axle.behind_front_axle, 0.0, 0.0], 1.0 - share, of)

        for one, other in links.sketch():
            if "wheel_centre" in one or one.endswith(" right") != (side < 0):
                continue
            made.line([node(one.removesuffix(tag)), node(other.removesuffix(tag))], wide=ROD)
        _parts(made, axle, node, {name for name in still if side > 0 or not name.startswith(("drag", "shaft"))}, end)


def _parts(made: Skeleton, axle: Axle, node: Any, names: set[str], end: int) -> None:
    """Spring, damper, rocker, drag link and shaft of one side, from joints by name."""
    if "spring foot" in names:
        made.spring(node("spring foot"), node("spring top"), axle.spring, end)
    for part, wide in (("damper", 0.05), ("drag link", ROD), ("shaft", ROD)):
        if f"{part} foot" in names:
            made.line([node(f"{part} foot"), node(f"{part} top")], "hair", wide=wide)
    for part in ("spring", "damper"):
        if f"{part} rod" in names:
            made.line([node(f"{part} {one}") for one in ("rod", "rocker", "pivot", "foot")])


def _plain_spring(
    made: Skeleton, design: Design, index: int, side: int, wheel: int, at: Place, pair: tuple[int, ...], end: int
) -> None:
    """A spring whose place is said by numbers, or not at all: where those put it, else just inside of the wheel."""
    axle = design.axles[index]
    acts, mount = axle.spring.acts, axle.spring
    if isinstance(acts, Twisted):
        return
    width = axle.tyre.section_width or PLAIN_WIDTH
    base = axle.spring_base or getattr(acts, "base", None)
    y = side * (base / 2 if base and len(pair) == 2 else max(abs(at[1]) - width / 2 - 0.1, 0.0))
    x, z, share, long = at[0], at[2] + 0.04, 1.0, mount.rest_length or PLAIN_LENGTH
    lean_in, lean = getattr(acts, "lean_in", 0.0), getattr(acts, "lean", 0.0)
    if isinstance(acts, OnBeam):
        z = acts.foot_height or z
        if acts.arm and acts.spring_at:
            x, share = x + acts.arm - acts.spring_at, acts.spring_at / acts.arm
            made.line([made.node((at[0] + acts.arm, y, at[2])), made.node((at[0], y, at[2]), 0.0, _along(y, axle, pair))], wide=ROD)  # fmt: skip
    elif isinstance(acts, Lever):
        share = acts.spring_at / acts.arm
    elif isinstance(acts, Measured | Stated) and axle.kind == "independent":
        share = min(float(acts.lengths(0.0, long).ratio), 1.0)
    of = _along(y, axle, pair) if axle.kind == "beam" else {wheel: 1.0}
    beam = next((one for one in design.walking_beams if axle.name in one.axles), None)
    if beam is not None:  # the springs of both its axles stand on the beam at its pivot
        a, b, front, rear = beam_shares(beam, design.axles)
        firsts = [sum(one.wheels for one in design.axles[:i]) for i in (a, b)]
        way = 0 if side > 0 else 1
        x, of = -beam.pivot + (0.1 if index == a else -0.1), {firsts[0] + way: front, firsts[1] + way: rear}
    if mount.leaf is not None:
        _leaf(made, mount, (x, y, z), of, end)
        return
    foot = made.node((x, y, z), 1.0 - share, {key: share * value for key, value in of.items()})
    across = long * np.sin(lean_in)
    plane = np.sqrt(max(long**2 - across**2, 0.0))
    top = (x + plane * np.sin(lean), y - side * across, z + plane * np.cos(lean))
    made.spring(foot, made.node(top), mount, end)


def _along(y: float, axle: Axle, pair: tuple[int, ...]) -> dict[int, float]:
    """Shares of both wheels' heights at a place y along a beam."""
    left = 0.5 + y / (axle.track or 1.0)
    return {pair[0]: left, pair[1]: 1 - left}


def _leaf(made: Skeleton, mount: SpringMount, seat: Place, of: dict[int, float], end: int) -> None:
    """A leaf spring from eye to eye, bent as a cantilever is from its seat."""
    leaf = mount.leaf
    assert leaf is not None
    nodes = []
    for u in np.linspace(-1.0, 1.0, 2 * LEAF + 1):
        long = leaf.front if u > 0 else leaf.rear
        bent = float(1.5 * u**2 - 0.5 * abs(u) ** 3)
        at = (seat[0] + float(u) * long, seat[1], seat[2] + bent * leaf.eyes_above)
        nodes.append(made.node(at, bent, {key: (1 - bent) * value for key, value in of.items()}))
    made.line(nodes, "bold", end=end)


def _walking_beams(made: Skeleton, design: Design, centres: Any) -> None:
    """The beam each side that joins the wheels of two axles."""
    for beam in design.walking_beams:
        a, b, _, _ = beam_shares(beam, design.axles)
        first, second = (sum(one.wheels for one in design.axles[:i]) for i in (a, b))
        for way in range(design.axles[a].wheels):
            ends = []
            for wheel in (first + way, second + way):
                x, y, z = centres[wheel]
                inward = design.axles[a].spring_base or 0.8 * abs(y) * 2
                ends.append(made.node((x, np.sign(y) * inward / 2, z), 0.0, {wheel: 1.0}))
            made.line(ends, wide=TUBE)
