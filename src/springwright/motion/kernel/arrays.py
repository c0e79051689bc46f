"""What the kernel reads and fills in, and what is kept while it goes."""

from __future__ import annotations

from typing import Any, NamedTuple

BODY = 4
# Counts are cut to these: the compiler then sees that no index is below nought and leaves out looking for one.
LONGEST = 2**40 - 1
LOOK = 16  # steps between looks for a run that diverges
# figures kept for each wheel, element, damper and channel, and of the work done
WHEEL = (
    "travel",
    "travel2",
    "travel_min",
    "travel_max",
    "load",
    "load2",
    "load_min",
    "load_max",
    "off",
    "lifts",
    "rim",
)
ELEMENT = ("force_min", "force_max", "contacts", "time", "work")
DAMPER = ("speed_min", "speed_max", "work", "friction_work", "force_max")
CHANNEL = ("square", "fourth", "peak")
WORK = ("ground", "dampers", "tyres", "load", "gained")


class RigArrays(NamedTuple):
    """Rigs as the kernel reads them: flat arrays, lane last. w wheels, e elements of c cells, d dampers, h hitches."""

    on_beam: Any  # (w,) whether a wheel is on a beam axle, lanes shared; told to the search for rest alone
    rise: Any  # (w, 3) rise of the body at each wheel per pitch, roll and twist
    body_mass: Any  # (5,) of each body coordinate and between pitch and roll; in the inverse 0 where held
    body_inverse: Any
    mate: Any  # (r, w) wheels whose force moves each wheel, lanes shared
    mate_inverse: Any  # (r, w) acceleration per force there
    mate_mass: Any  # (r, w) and mass between the two
    at: Any  # (r, e), r the length of `ends`: wheels each element joins, lanes shared
    share: Any  # (r, e) share of each one's travel
    start: Any  # (e,)
    scale: Any  # (e,) 1 / knot spacing
    cells: Any  # (e, c, 4) force in a cell as a cubic of the way through it
    bottom: Any  # (e, c) energy at the start of each cell
    end: Any  # (e, 2) force per knot spacing beyond the first and the last knot
    straight: Any  # (e,) 1 where the curve of every lane is one straight line; lanes shared
    always: int  # elements before this one act always, the stops after it only where a wheel reaches them
    reach: Any  # (w, 2) travel of each wheel below and above which a droop or a bump stop may be met
    damper_at: Any  # (r, d)
    damper_share: Any
    damper_first: Any  # (d, 2) force and slope of the first line at no speed
    knee: Any  # (d, k) speed at which the slope changes
    change: Any  # (d, k) by how much
    zone_first: Any  # (d,) factor far in droop
    zone: Any  # (d, z) travel at which the factor's slope changes
    zone_change: Any  # (d, z) by how much
    friction: Any  # (d,)
    friction_speed: Any  # ()
    tyre_rate: Any  # (w,)
    tyre_damping: Any
    tyre_force: Any
    tyre_room: Any  # (w,) how far a tyre may be pressed past the design position until its rim carries
    rim_rate: Any  # (w,)
    sprung: Any  # (7,) see motion.masses.body_row
    axles: Any  # (a, 8) see motion.masses.axle_rows
    pairs: Any  # (a, 2) left and right wheel of each axle, lanes shared
    weights: Any  # (w,) unsprung mass on each wheel
    load: Any  # (4 + w,) gravity about a rest, as a straight line: what it is with every coordinate nought
    lean: Any  # (5,) more of it per body coordinate, and between pitch and roll
    opposite: Any  # (w,) the other wheel of the axle, itself where there is none; lanes shared
    tilt: Any  # (w, 2) more of it per height over the opposite wheel, and per roll
    twist_rate: Any  # ()
    hitch_rise: Any  # (h, 3)
    hitch_rate: Any  # (h,)
    hitch_force: Any
    push: Any  # (4 + w,) force per acceleration across, braking and driving about that rest; until then of the side-view lines alone
    brake: Any
    pull: Any


class Sizes(NamedTuple):
    """How many of each there are."""

    wheels: int
    elements: int
    always: int
    cells: int  # of an element
    dampers: int
    knees: int  # of a damper
    zones: int
    hitches: int


class Workspace(NamedTuple):
    """What a run works in, a row of numbers each: not cleared."""

    q: Any  # (4 + w,) position, speed, acceleration, forces, load and the speed foreseen at a step's end
    v: Any
    a: Any
    total: Any
    load: Any
    guess: Any
    first: Any  # (4,) where the body began
    travel: Any  # (w,) of each wheel, and its speed, and force of the elements and dampers on it
    rate: Any
    by_travel: Any
    tyres: Any
    ground: Any  # (w,) height under a wheel, before the step, and the speed at which it rises
    before: Any
    rising: Any
    old_travel: Any
    old_tyres: Any
    old_extra: Any
    elements: Any  # (e,) force
    old_elements: Any
    closing: Any  # (d,) speed of each damper, and its force
    dampers: Any
    frictions: Any
    old_dampers: Any
    old_frictions: Any
    old_closed: Any
    memory: Any  # (c, SECTIONS, 2) of the filters
    signal: Any  # (s,)
    highest: Any  # (springs,) whose turning points are kept
    lowest: Any
    turning: Any


class PathArrays(NamedTuple):
    """Where and how the lanes go."""

    dt: Any  # () step [s]
    steps: int  # of the longest
    start: Any  # () where the origin begins [m]
    gain: Any  # () how far it goes in a step [m]
    path: Any  # (n + 1,) where it is at each step [m] for a speed that varies, or nothing
    heights: Any  # every track one after the other, lanes shared
    track: Any  # (w,) where each wheel's track begins in them
    cells: Any  # () cells of a track
    over_dx: Any  # () 1 / spacing
    ahead: Any  # (w,)
    pace: Any  # () speed [m/s]
    paces: Any  # (n + 1,) the same at each step where it varies, or nothing
    pulls: Any  # (2, n + 1) acceleration along and across, or nothing
    settle: Any  # () first step of which figures are kept
    last: Any  # () last step


class OutputSpec(NamedTuple):
    """What is read while it goes: channels of acceleration through filters, histories, turning points."""

    points: Any  # (s, 4) each signal, an acceleration of a point, per body acceleration
    leans: Any  # (s, 3) gravity's share in it per pitch, roll and twist
    leaning: Any  # (s,) 1 by pitch, 2 by roll and twist, 0 for none; lanes shared
    signal: Any  # (c,) which signal a channel follows, lanes shared
    filter: Any  # (c,) which filter it goes through, -1 for none, lanes shared
    filters: Any  # (f, SECTIONS, 5)
    sections: Any  # (f,) lanes shared
    every: int  # steps between rows of the history, 0 for none
    bin_width: float
    swing: float  # least turn-back that counts as a turning point


class Accumulators(NamedTuple):
    """What a run fills in; see the tuples of their names. Histories, bins and turning points only for one lane alone."""

    wheel: Any  # (w, 11)
    element: Any  # (e, 5)
    damper: Any  # (d, 5)
    channel: Any  # (c, 3)
    work: Any  # (5,)
    q: Any  # (4 + w,) where it starts, and then where it ends
    v: Any
    diverged: Any  # () step at which it was seen to, or -1
    bins: Any  # (d, bins)
    turns: Any  # (s, t)
    turned: Any  # (s,)
    history: Any  # (rows, columns)
