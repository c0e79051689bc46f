"""Where on the sheet a vehicle's two views lie: one scale, one ground line, and room for the words round them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from springwright.drawing.labels import width_of
from springwright.scenes.elevation import AxleElevation, Elevation, Stance
from springwright.units import number, show

GAP, HEAD, ROW, FIRST = (
    52.0,
    24.0,
    19.0,
    46.0,
)  # px: between the views, over the vehicle, of a further row below, of the first
TALLEST, MOST = 340.0, 190.0  # px of the whole sheet; px/m
BESIDE, BAND = 86.0, 15.0  # px kept beside the end tyres for the travel band and its words; band from the tyre


@dataclass(frozen=True)
class Scene:
    """A sheet's scale [px/m], its ground line and size [px]; `front` is where the front axle is, `middle` the centreline seen from behind [px].

    `split` is where the side view's ground line ends and the end view's begins; `rows` how many rows of figures stand below.
    """

    scale: float
    width: float
    height: float
    ground: float
    front: float
    split: tuple[float, float]
    middle: float
    rows: int

    def side(self, x: float, z: float) -> tuple[float, float]:
        """A place in the side view [px]."""
        return self.front - self.scale * x, self.ground - self.scale * z

    def end(self, y: float, z: float) -> tuple[float, float]:
        """A place in the view from behind [px]."""
        return self.middle - self.scale * y, self.ground - self.scale * z

    def body_side(self, stance: Stance) -> tuple[float, ...]:
        """What moves the body from its design position to where it stands, in the side view."""
        edge = self.front / self.scale  # x at the sheet's left edge
        return (1, -stance.pitch, 0, 1, 0, -self.scale * stance.rise_at(edge))

    def body_end(self, stance: Stance, x: float) -> tuple[float, ...]:
        """The same in the view from behind, at the rear axle's x [m]."""
        return (1, stance.roll, 0, 1, 0, -self.scale * stance.rise_at(x) - stance.roll * self.middle)


def scene_of(e: Elevation, width: float) -> Scene:
    """The largest scale at which both views, their words and their dimensions fit the sheet."""
    top = _top(e)
    fits = _widest(e, width)
    rows = 1
    for _ in range(3):
        foot = FIRST + ROW * (rows - 1)
        scale = min(fits, (TALLEST - HEAD - foot) / top, MOST)
        needed = _rows(e, scale)
        if needed <= rows:
            break
        rows = needed
    foot = FIRST + ROW * (rows - 1)
    ahead, behind, half = _reach(e, scale, _bodies(e))
    spare = max(width - ahead - behind - GAP - 2 * half, 0.0)
    side = ahead + behind + spare * 0.7
    ground = HEAD + scale * top
    return Scene(
        scale=scale, width=width, height=ground + foot, ground=ground, front=spare * 0.35 + ahead,
        split=(side, side + GAP), middle=(side + GAP + width) / 2, rows=rows,
    )  # fmt: skip


def supports(e: Elevation) -> list[tuple[float, float]]:
    """X [m] of every support and the load on it [kg], front to rear."""
    found = [(axle.x, axle.load) for axle in e.axles]
    if e.hitch is not None:
        found.append((e.hitch[0], e.hitch_load or 0.0))
    return sorted(found, reverse=True)


def spans(e: Elevation) -> list[tuple[float, float, str]]:
    """Neighbouring supports, front and rear x [m], with the figure of their distance."""
    places = [x for x, _ in supports(e)]
    words = [number(a - b, "length") for a, b in pairwise(places)]
    if len(words) == 1:
        words = [f"{'wheelbase' if e.hitch is None else 'hitch to axle'} {words[0]}"]
    return list(zip(places, places[1:], words, strict=False))


def load_word(load: float) -> str:
    """What stands under a support."""
    return show(load, "mass")


def inline(e: Elevation, scale: float) -> bool:
    """Whether the distances fit between the loads, in one row with them."""
    half = max(width_of(load_word(load), "strong") for _, load in supports(e)) / 2
    return all(scale * (a - b) - 2 * half - 20 > width_of(word) + 40 for a, b, word in spans(e))


def beside(e: Elevation, i: int, scale: float) -> tuple[float, int]:
    """How far from its wheel centre an axle's travel band stands [px], and on which side: -1 ahead (to the left), 1 behind."""
    axles = e.axles
    ahead = _room(axles[i - 1], axles[i], scale) if i else float("inf")
    behind = _room(axles[i], axles[i + 1], scale) if i + 1 < len(axles) else float("inf")
    way = -1 if (i == 0 or (ahead >= behind and i + 1 < len(axles))) else 1
    room = ahead if way < 0 else behind
    # past a leaf spring's eye that reaches beyond the tyre
    past = max((-way * (x - axles[i].x) for one in axles[i].springs if one.word == "leaf" for x, _, _ in one.line), default=0.0)  # fmt: skip
    tyre = scale * axles[i].radius + min(BAND, max(room / 2, 5.0))
    return max(tyre, scale * past + BAND if room > scale * past else 0.0), way


def _room(front: AxleElevation, rear: AxleElevation, scale: float) -> float:
    return scale * (front.x - front.radius - rear.x - rear.radius)


def _rows(e: Elevation, scale: float) -> int:
    return (1 if inline(e, scale) else 2) + (len(e.axles) > 2)


def _top(e: Elevation) -> float:
    """The highest there is to draw [m]."""
    rise = max(
        0.0, *(stance.rise_at(axle.x) for stance in (e.stance, e.ghost) if stance is not None for axle in e.axles)
    )
    shapes = [z for shape in (*e.side, *e.end) for _, z in shape]
    tanks = [item.place[2] + (item.tank[2] / 2 if item.tank else 0.05) for item in e.items]
    seats = [z + 0.66 for _, _, z in e.seats]
    wheels = [max(axle.centres) + axle.radius for axle in e.axles]
    return max(max([*shapes, *tanks, *seats]) + rise, *wheels)


def _bodies(e: Elevation) -> tuple[float, float, float]:
    """How far forward and back of the front axle what is drawn of the body reaches, and how far aside [m]."""
    along = [x for shape in e.side for x, _ in shape] + [item.place[0] for item in e.items]
    if e.hitch is not None:
        along.append(e.hitch[0])
    aside = [abs(y) for shape in e.end for y, _ in shape] + [(e.axles[-1].track + e.axles[-1].width) / 2]
    aside += [abs(item.place[1]) + (item.tank[1] / 2 if item.tank else 0.0) for item in e.items]
    return max(along, default=0.0), min(along, default=0.0), max(aside)


def _reach(e: Elevation, scale: float, bodies: tuple[float, float, float]) -> tuple[float, float, float]:
    """Room needed ahead of and behind the front axle and to each side of the centreline [px]."""
    first, last = e.axles[0], e.axles[-1]
    front, back, aside = bodies
    room = BESIDE - BAND
    ahead = max(scale * first.x + beside(e, 0, scale)[0] + room, scale * front + 6)
    behind = max(
        scale * (last.radius - last.x) + BAND,
        beside(e, len(e.axles) - 1, scale)[0] - scale * last.x + room,
        6 - scale * back,
    )
    if e.hitch is not None:
        half = width_of(load_word(e.hitch_load or 0.0), "strong") / 2
        ahead, behind = max(ahead, scale * e.hitch[0] + half), max(behind, half - scale * e.hitch[0])
    return ahead, behind, max(scale * aside + 8, 70.0)


def _widest(e: Elevation, width: float) -> float:
    """The scale at which both views fill the width, by halving [px/m]."""
    low, high, bodies = 0.0, 2000.0, _bodies(e)
    for _ in range(30):
        scale = (low + high) / 2
        ahead, behind, half = _reach(e, scale, bodies)
        low, high = (scale, high) if ahead + behind + GAP + 2 * half <= width else (low, scale)
    return low
