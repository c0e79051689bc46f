"""What a drawing of the vehicle to scale needs: body, wheels, springs, travel, loads and centres of gravity in a load state, at rest.

Positions are ISO 8855 from the front axle on the ground: x forward, y left, z up [m]. The body's own things (outlines, items,
seats, belly, lamp) are told in the design position and stand higher by `stance.rise_at`; wheels and springs are told where they
are in the state. A twist of the frame is not shown.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from springwright.evaluation import evaluated
from springwright.results import Result, si
from springwright.scenes.bodywork import bodywork, drawn_width
from springwright.scenes.running_gear import AxleAt, Place, dampers, drawn_diameter, links, springs
from springwright.sizing.fitted import sized, state_of
from springwright.sizing.sheet import Sheet
from springwright.sizing.states import AxleRest, StateRest
from springwright.units import GRAVITY
from springwright.vehicle.axle import Axle
from springwright.vehicle.centres import roll_centre
from springwright.vehicle.design import Design
from springwright.vehicle.file import DesignFile
from springwright.vehicle.interconnections import beam_shares
from springwright.vehicle.load import Item, State, placed

Flat = tuple[float, float]


@dataclass(frozen=True)
class Stance(Result):
    """How the body stands in a load state: its rise over each axle above the design position, pitch nose down, roll right side down."""

    state: str
    rises: tuple[float, ...] = si("m")
    pitch: float = si("rad")
    roll: float = si("rad")
    cg: tuple[float, float, float] = si("m")

    def rise_at(self, x: float, y: float = 0.0) -> float:
        """How far a point of the body stands above its design position [m]."""
        return self.rises[0] - self.pitch * x + self.roll * y


@dataclass(frozen=True)
class Spring(Result):
    """A spring of one side: the line it lies on, foot first, and its length; `schematic`: its place is not known and drawn plainly."""

    word: str
    line: tuple[Place, ...] = si("m")
    length: float | None = si("m")
    diameter: float = si("m")
    turns: float = si("")
    count: int = 1
    schematic: bool = False


@dataclass(frozen=True)
class AxleElevation(Result):
    """One axle in the state. Wheel centres, springs and travel left then right; `bump` and `droop` are what the left wheel has to go."""

    name: str
    x: float = si("m")
    track: float = si("m")
    beam: bool = False
    driven: bool = False
    radius: float = si("m", 0.0)
    width: float = si("m", 0.0)
    centres: tuple[float, ...] = si("m", ())
    load: float = si("kg", 0.0)
    travel: tuple[float, ...] = si("m", ())
    ghost_travel: tuple[float, ...] | None = si("m", None)
    bump: float = si("m", 0.0)
    droop: float = si("m", 0.0)
    stop: float = si("m", 0.0)
    springs: tuple[Spring, ...] = ()
    dampers: tuple[tuple[Place, ...], ...] = si("m", ())
    links: tuple[tuple[Place, ...], ...] = si("m", ())
    links_known: bool = True
    base: float | None = si("m", None)
    roll_centre: float | None = si("m", None)
    roll_centre_known: bool = True
    frame: tuple[float, float] | None = si("m", None)


@dataclass(frozen=True)
class Aboard(Result):
    """An item: its mass in the state (0: not aboard), its place, and its tank's length, width and height with the level in it."""

    name: str
    mass: float = si("kg")
    place: tuple[float, float, float] = si("m")
    tank: tuple[float, float, float] | None = si("m", None)
    lies: str = ""
    fill: float = si("", 1.0)


@dataclass(frozen=True)
class Elevation(Result):
    """The vehicle in a load state, with another (`ghost`) for comparison. `frame` of an axle is its width and underside."""

    vehicle: str
    stance: Stance
    ghost: Stance | None
    axles: tuple[AxleElevation, ...]
    side: tuple[tuple[Flat, ...], ...] = si("m")
    end: tuple[tuple[Flat, ...], ...] = si("m")
    items: tuple[Aboard, ...] = ()
    seats: tuple[Place, ...] = si("m", ())
    belly: tuple[Flat, ...] = si("m", ())
    lamp: tuple[float, float, float] | None = si("m", None)
    hitch: tuple[float, float] | None = si("m", None)
    hitch_load: float | None = si("kg", None)
    pivots: tuple[Flat, ...] = si("m", ())
    wheelbase: float = si("m", 0.0)


@evaluated
def elevation(file: DesignFile, state: str | None = None, ghost: str | None = None) -> Elevation:
    """The vehicle at rest in a load state (the design state if none is named), and how another one differs, if named.

    Raises
    ------
    InputError
        No such load state, or a fault in the design.
    UnsolvedError
        No position of rest in some load state.

    """
    design, sheet = file.design, sized(file)
    here = state_of(file, state)
    other = None if ghost is None else state_of(file, ghost)
    rest, ghosted = _rest(sheet, here), None if other is None else _rest(sheet, other)
    centres = design_centres(file)
    side, end = bodywork(design, centres)
    stance = _stance(sheet, rest)
    hitch = design.hitch
    return Elevation(
        vehicle=design.vehicle.name,
        stance=stance,
        ghost=None if ghosted is None else _stance(sheet, ghosted),
        axles=tuple(_axle(design, sheet, i, stance, rest, ghosted, centres) for i in range(len(design.axles))),
        side=tuple(tuple((-along, high) for along, high in shape) for shape in side),
        end=tuple(tuple(shape) for shape in end),
        items=tuple(_aboard(item, next(one for one in design.states if one.name == here)) for item in design.items),
        seats=tuple(seat.xyz for seat in design.seats),
        belly=tuple((-along, high) for along, high in design.belly),
        lamp=None if design.lamp is None else design.lamp.xyz,
        hitch=None if hitch is None else (-hitch.behind_front_axle, hitch.above_ground),
        hitch_load=rest.hitch_load,
        pivots=tuple(_pivot(design, i, rest, stance, centres) for i in range(len(design.walking_beams))),
        wheelbase=design.axles[-1].behind_front_axle,
    )


@evaluated
def design_centres(file: DesignFile) -> tuple[float, ...]:
    """Heights of the wheel centres in the design position [m], front to rear."""
    loads = sized(file).design_loads
    return tuple(_design_centre(axle, load) for axle, load in zip(file.design.axles, loads, strict=False))


@evaluated
def farthest_state(file: DesignFile, state: str | None = None) -> str | None:
    """The load state whose mass differs most from that of another (the design state if none is named); None where there is only one."""
    sheet = sized(file)
    here = state_of(file, state)
    mass = {one.name: one.mass for one in sheet.states}
    others = [name for name in mass if name != here]
    return max(others, key=lambda name: abs(mass[name] - mass[here]), default=None)


def _rest(sheet: Sheet, state: str) -> StateRest:
    return next(one for one in sheet.rests if one.name == state)


def _stance(sheet: Sheet, rest: StateRest) -> Stance:
    x, y, z = next(one.cg for one in sheet.states if one.name == rest.name)
    return Stance(rest.name, tuple(axle.rise for axle in rest.axles), rest.pitch, rest.roll, (x, y, z))


def _design_centre(axle: Axle, load: float) -> float:
    """Height of the wheel centre in the design position [m]: the tyre pressed by the design load [kg]."""
    return axle.tyre.unloaded_radius - load * GRAVITY / axle.wheels / axle.tyre.rate


def _axle(
    design: Design,
    sheet: Sheet,
    i: int,
    stance: Stance,
    rest: StateRest,
    ghost: StateRest | None,
    centres: tuple[float, ...],
) -> AxleElevation:
    axle, at = design.axles[i], rest.axles[i]
    x, track = -axle.behind_front_axle, axle.track or 0.0
    sides = (1, -1) if axle.wheels == 2 else (0,)
    inner = _at(design, i, rest, centres)
    diameter, turns = drawn_diameter(axle, sheet.springs[i])

    def risen(line: tuple[Place, ...]) -> tuple[Place, ...]:
        up = stance.rise_at(x, line[0][1])  # of the whole line alike, so that it keeps its true length
        return tuple((place[0] + x, place[1], place[2] + up) for place in line)

    lines, known = links(inner)
    centre, sure = roll_centre(axle)
    return AxleElevation(
        name=axle.name, x=x, track=track, beam=axle.kind == "beam", driven=axle.driven,
        radius=axle.tyre.unloaded_radius, width=drawn_width(axle),
        centres=tuple(centres[i] + travel + stance.rise_at(x, side * track / 2) for side, travel in zip(sides, at.travel, strict=True)),
        load=at.load, travel=at.travel, ghost_travel=None if ghost is None else ghost.axles[i].travel,
        bump=axle.travel.bump - at.travel[0], droop=axle.travel.droop + at.travel[0], stop=axle.travel.stop_compression,
        springs=tuple(Spring(one.word, risen(one.line), one.length, diameter, turns, axle.spring.per_wheel, one.schematic) for one in springs(inner)),
        dampers=tuple(risen(line) for line in dampers(inner)), links=tuple(risen(line) for line in lines), links_known=known,
        base=axle.spring_base if axle.wheels == 2 else None,
        roll_centre=centre if axle.wheels == 2 else None, roll_centre_known=not sure,
        frame=None if axle.frame_width is None or axle.ride_height is None else (axle.frame_width, axle.ride_height),
    )  # fmt: skip


def _at(design: Design, i: int, rest: StateRest, centres: tuple[float, ...]) -> AxleAt:
    """The axle at its rest, its springs' travel worked out by base and track, or on a walking beam at the pivot."""
    axle = design.axles[i]
    middle = -(design.axles[-1].behind_front_axle + (design.hitch.behind_front_axle if design.hitch else 0.0)) / 2
    travel = rest.axles[i].travel
    here, aside = _at_springs(axle, rest.axles[i]), 0.0
    for beam in design.walking_beams:
        a, b, front, rear = beam_shares(beam, design.axles)
        if i in (a, b):
            one, two = (_at_springs(design.axles[k], rest.axles[k]) for k in (a, b))
            here = (front * one[0] + rear * two[0], front * one[1] + rear * two[1])
            aside = axle.behind_front_axle - beam.pivot + (0.5 if i == a else -0.5) * _apart(design, a, b)
    return AxleAt(
        axle, (travel[0], travel[-1]), here, centres[i], 1 if -axle.behind_front_axle < middle - 1e-9 else -1, aside
    )


def _apart(design: Design, a: int, b: int) -> float:
    """How far apart the springs of two axles are drawn that stand at one pivot [m]."""
    wide = [axle.spring.largest_outside or 0.24 for axle in (design.axles[a], design.axles[b])]
    return 0.02 + sum(wide) / 2


def _at_springs(axle: Axle, at: AxleRest) -> tuple[float, float]:
    """Travel at the left and the right spring [m]: its wheel's, or on a beam a mix by spring base over track."""
    left, right = at.travel[0], at.travel[-1]
    share = 1.0 if axle.spring_base is None or not axle.track else axle.spring_base / axle.track
    middle, half = (left + right) / 2, share * (left - right) / 2
    return middle + half, middle - half


def _pivot(design: Design, i: int, rest: StateRest, stance: Stance, centres: tuple[float, ...]) -> Flat:
    """A walking beam's pivot on the left side: between its wheel centres."""
    beam = design.walking_beams[i]
    a, b, front, rear = beam_shares(beam, design.axles)
    ends = [
        centres[k] + rest.axles[k].travel[0] + stance.rise_at(-design.axles[k].behind_front_axle, (design.axles[k].track or 0.0) / 2)
        for k in (a, b)
    ]  # fmt: skip
    return -beam.pivot, front * ends[0] + rear * ends[1]


def _aboard(item: Item, state: State) -> Aboard:
    """An item in the state; of one that is not aboard only its tank is there."""
    there = item.name in state.aboard
    fill = state.fill.get(item.name, 1.0) if there else 0.0
    tank, lies = None, getattr(item.tank, "lies", "") if item.tank is not None else ""
    if item.tank is not None and item.tank.shape == "box":
        tank = (item.tank.length, item.tank.width, item.tank.height)
    elif item.tank is not None and item.tank.shape == "standing cylinder":
        tank = (item.tank.diameter, item.tank.diameter, item.tank.height)
    elif item.tank is not None and item.tank.shape == "lying cylinder":
        long, round_ = item.tank.length, item.tank.diameter
        tank = (long, round_, round_) if lies == "along" else (round_, long, round_)
    return Aboard(item.name, placed(item, fill).mass if there else 0.0, item.xyz, tank, lies, _level(item, fill))


def _level(item: Item, fill: float) -> float:
    """Share of a tank's height that its liquid stands at: its fill, but for a lying cylinder."""
    if item.tank is None or item.tank.shape != "lying cylinder" or not 0 < fill < 1:
        return fill
    level = np.linspace(0.0, 1.0, 501)
    half = np.arccos(1 - 2 * level)
    return float(np.interp(fill, (half - np.sin(2 * half) / 2) / np.pi, level))
