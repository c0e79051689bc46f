"""A vehicle frame by frame, for the view in the round: driven over a ground, let fall, and standing on uneven ground."""

# ruff: noqa: RUF009 (`si` is a dataclass field, of an array here)
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from springwright.errors import Fault, InputError, UnsolvedError
from springwright.evaluation import evaluated
from springwright.motion.equilibrium import equilibria, equilibrium
from springwright.motion.figures import Drive
from springwright.motion.rig import BODY, Rig
from springwright.questions.context import felt_by, points_of
from springwright.questions.drives import as_it_lies, own_ground
from springwright.questions.grip import diagonal as diagonal_way
from springwright.questions.grip import has_diagonal, twists
from springwright.results import Result, si
from springwright.sizing.fitted import assemble, sized, state_of
from springwright.terrain.ground import Ground
from springwright.terrain.obstacles import flat
from springwright.units import show
from springwright.vehicle.file import DesignFile
from springwright.vehicle.interconnections import wheel_names

Floats = NDArray[np.float64]
RUN_UP = (0.8, 0.7)  # m and s of level ground kept before an obstacle, whichever is the longer way
AFTER = 3.0  # s watched after the rear axle has left what is uneven, and after a fall
SHOWN = 3.0  # m of ground told before and behind the vehicle
STAND = 0.3  # m of level ground under a wheel, each way, where it stands on uneven ground
SWEEP = 121  # frames of an articulation
BEYOND = 1.15  # how far it goes, of the height at which a wheel lifts
SWEPT = 30.0  # frames per second at which it is played


@dataclass(frozen=True, eq=False)
class Playback(Result):
    """n frames of a vehicle with w wheels and s seats, ISO 8855 signs, from the design position as a Rig's coordinates are.

    time, gone : (n,)
        True time and distance gone since the first frame; both 0 where nothing is driven.
    amount : (n,)
        Cross-axle height of each frame of a stance that grows; 0 elsewhere.
    rise, pitch, roll, twist : (n,)
        Body rise at its sprung CG, and its angles.
    heights, travels, loads, ground : (n, w)
        Rise of each wheel, its travel, its tyre's load, and the ground under it as the tyre feels it.
    off, stops : (n, w)
        Whether a wheel is off the ground; 1 where its bump stop is touched, -1 where its droop stop is, else 0.
    seat_up : (n, s)
        Upward acceleration at each seat below 30 Hz.
    static : (w,)
        Load of each tyre at rest on level ground.
    centres : (w, 3)
        Wheel centres in the design position.
    pivot : (6,)
        What the body turns about: x, y of its sprung CG, heights of its roll axis there and of the CG, x of the end axles that its
        frame twists between.
    profile_from, profile_step, profile_left, profile_right, profile_scale
        Ground as it lies: from how far ahead of the foremost axle's first place (negative: behind), every so far, heights (p,) of
        both tracks, and what they are multiplied by in each frame (n,).
    """

    vehicle: str
    state: str
    what: Literal["drive", "stance", "articulation", "landing"]
    title: str
    wheels: tuple[str, ...]
    seats: tuple[str, ...]
    rate: float = si("1/s")
    speed: float = si("m/s")
    time: Any = si("s")
    gone: Any = si("m")
    amount: Any = si("m")
    rise: Any = si("m")
    pitch: Any = si("rad")
    roll: Any = si("rad")
    twist: Any = si("rad")
    heights: Any = si("m")
    travels: Any = si("m")
    loads: Any = si("N")
    off: Any = si("")
    stops: Any = si("")
    ground: Any = si("m")
    seat_up: Any = si("m/s**2")
    static: Any = si("N")
    centres: Any = si("m")
    pivot: Any = si("m")
    profile_from: float = si("m")
    profile_step: float = si("m")
    profile_left: Any = si("m")
    profile_right: Any = si("m")
    profile_scale: Any = si("")
    notes: tuple[str, ...] = ()


@evaluated
def playback(
    file: DesignFile, ground: str, speed: float, *, state: str | None = None, seed: int = 1, seconds: float = 12.0, rate: float = 60.0
) -> Playback:  # fmt: skip
    """Drive over a ground in true time.

    Parameters
    ----------
    file : DesignFile
    ground : str
        A ground of the design, or one named as `terrain.named.ground_named` reads it.
    speed, seconds, rate : float
        Speed [m/s], longest time driven [s], frames per second [1/s]. The drive ends sooner where the ground does,
        or a little after the last obstacle.
    state : str, optional
        Load state; the design state if none is named.
    seed : int
        Of made ground.

    Raises
    ------
    InputError
        No such ground or state, no speed, or a ground shorter than the vehicle.
    UnsolvedError
        The vehicle finds no rest where it starts, or the run diverges.

    """
    from springwright.motion.drive import drive  # numba comes with it

    if not speed > 0:
        raise InputError("speed", [Fault(show(speed, "speed"), "", "must be more than 0 to drive over a ground")])
    rig, loads = assemble(file, state), np.array(sized(file).design_loads)
    base = float(np.ptp(rig.wheel_places[:, 0]))
    lies = as_it_lies(file, ground, seed)
    own = own_ground(file, ground)
    made, lasts = _shortened(replace(lies, name=own.name if own else ground.strip()), base, speed)
    if made.length <= base:
        raise InputError(ground, [Fault("", "", f"is {show(made.length, 'distance')} long, shorter than the vehicle")])
    felt = felt_by(file.design, loads, made)
    run = drive(
        rig,
        felt,
        speed,
        points=points_of(file.design),
        duration=min(seconds, lasts),
        step=_step(rig, rate),
        history=1 / rate,
    )
    time = run.column("time [s]")
    gone = speed * time
    behind = round(SHOWN / made.spacing)
    last = round((base + float(gone[-1]) + SHOWN) / made.spacing) + 1
    left, right = (
        np.pad(track[:last], (behind, max(last - len(track), 0)), mode="edge") for track in (made.left, made.right)
    )
    return _told(
        file, rig, state, run, _under(rig, felt, base + gone), what="drive", title=f"{made.name} at {show(speed, 'speed')}",
        rate=rate, speed=speed, time=time, gone=gone, profile_from=-base - behind * made.spacing, profile_step=made.spacing,
        profile_left=left, profile_right=right, notes=run.notes,
    )  # fmt: skip


@evaluated
def landing(file: DesignFile, drop: float, state: str | None = None, *, rate: float = 60.0) -> Playback:
    """A level drop in true time: let go with so much [m] under the tyres, its springs loaded as it stands, as in `questions.land`."""
    from springwright.motion.drive import drive

    rig = assemble(file, state)
    squash = float((equilibrium(rig).wheel_loads / rig.tyre_rate)[0])
    lasts = float(np.sqrt(2 * max(drop, 0.0) / 9.8)) + AFTER
    run = drive(
        rig, flat(30.0), 1.0, points=points_of(file.design), above=drop + squash, duration=lasts, step=_step(rig, rate), history=1 / rate
    )  # fmt: skip
    time = run.column("time [s]")
    under = np.zeros((len(time), len(rig.wheel_places)))
    return _told(
        file, rig, state, run, under, what="landing", title=f"level drop of {show(drop, 'length')}", rate=rate, time=time,
        **_plinths(rig, np.zeros(len(rig.wheel_places))),
    )  # fmt: skip


@evaluated
def stance(file: DesignFile, heights: Mapping[str, float], *, state: str | None = None) -> Playback:
    """At rest with wheels on uneven ground: its height [m] under each wheel by name, nought where none is said.

    Raises
    ------
    InputError
        No such wheel or state.
    UnsolvedError
        It does not come to rest: it tips.

    """
    names = wheel_names(file.design.axles)
    unknown = [name for name in heights if name not in names]
    if unknown:
        raise InputError("wheels", [Fault(unknown[0], "", f"no such wheel; there are {', '.join(names)}")])
    rig = assemble(file, state)
    under = np.array([heights.get(name, 0.0) for name in names])
    said = ", ".join(f"{name} {show(height, 'length')} up" for name, height in heights.items() if height)
    return _standing(file, rig, state, under, np.ones(1), what="stance", title=said or "level ground", rate=SWEPT)


@evaluated
def diagonal(file: DesignFile, height: float, state: str | None = None) -> Playback:
    """At rest on a diagonal ditch of a height [m]: end wheels up and down by half of it, the way in which one lifts the sooner."""
    rig = assemble(file, state)
    way, _ = _twist(file, rig)
    title = f"diagonal ditch of {show(height, 'length')}"
    return _standing(file, rig, state, way, np.array([height]), what="stance", title=title, rate=SWEPT)


@evaluated
def articulation(file: DesignFile, state: str | None = None) -> Playback:
    """A diagonal ditch that grows from nothing until a wheel lifts and a little beyond (`questions.grip.cross_axle_height`)."""
    rig = assemble(file, state)
    way, lift = _twist(file, rig)
    amounts = np.linspace(0.0, BEYOND * lift, SWEEP)
    return _standing(file, rig, state, way, amounts, what="articulation", title="diagonal ditch", rate=SWEPT)


def _shortened(ground: Ground, base: float, speed: float) -> tuple[Ground, float]:
    """A ground with no more level way before its first unevenness than a run-up, and how long a drive over it lasts [s]."""
    uneven = np.flatnonzero((np.diff(ground.left) != 0) | (np.diff(ground.right) != 0))
    end = (ground.length - base) / speed
    if not len(uneven):
        return ground, end
    first = max(int(uneven[0]) - round((base + max(RUN_UP[0], RUN_UP[1] * speed)) / ground.spacing), 0)
    left = ground.spacing * first
    lasts = min(end - left / speed, (ground.spacing * int(uneven[-1]) - left) / speed + AFTER)
    return replace(ground, left=ground.left[first:], right=ground.right[first:]), lasts


def _step(rig: Rig, rate: float) -> float:
    """A time step [s] no longer than the model's own of which a frame holds a whole number."""
    from springwright.motion.courses import longest_step

    return 1 / rate / int(np.ceil(1 / rate / longest_step(rig)[0]))


def _under(rig: Rig, felt: Ground, place: Floats) -> Floats:
    """(n, w): ground under each wheel with the foremost axle at places (n,) along it [m]; a middle wheel takes the mean of both tracks."""
    x = felt.spacing * np.arange(len(felt.left))
    tracks = {1.0: felt.left, -1.0: felt.right, 0.0: (felt.left + felt.right) / 2}
    ahead = rig.wheel_places[:, 0] - rig.wheel_places[:, 0].max()
    sides = np.sign(rig.wheel_places[:, 1])
    return np.stack([np.interp(place + a, x, tracks[float(s)]) for a, s in zip(ahead, sides, strict=True)], axis=1)


def _twist(file: DesignFile, rig: Rig) -> tuple[Floats, float]:
    """The diagonal on which a wheel lifts the sooner (w,), and the height at which it does [m]; as far as is looked where none does."""
    if not has_diagonal(file.design):
        raise InputError(
            file.path.name, [Fault("axles", "", "a diagonal ditch needs two wheels on the first and on the last axle")]
        )
    found = [np.inf if one.lift is None else one.lift for one in twists(rig)]
    way = diagonal_way(rig) * (1 if found[0] <= found[1] else -1)
    return way, float(min(*found, 1.0))


def _standing(
    file: DesignFile, rig: Rig, state: str | None, way: Floats, amounts: Floats, *, what: Any, title: str, rate: float
) -> Playback:
    """At rest with the ground under each wheel at amounts (n,) times the way (w,); ends before the first amount at which there is no rest."""
    under = amounts[:, None] * way
    rests = equilibria(rig, under)
    lost = np.flatnonzero(np.isnan(rests.q[:, 0]))
    if len(lost) and lost[0] == 0:
        raise UnsolvedError(rests.reasons[0])
    keep = slice(0, int(lost[0]) if len(lost) else None)
    q, loads = rests.q[keep], rests.wheel_loads[keep]
    shown = amounts[keep] if what == "articulation" else 0 * amounts[keep]
    body = (q[:, 0], q[:, 1], q[:, 2], q[:, 3])
    seat_up = np.zeros((len(q), len(points_of(file.design))))
    return _frames(
        file, rig, state, body, q[:, BODY:], rig.travel_at(q), loads, under[keep], seat_up, what=what, title=title, rate=rate,
        amount=shown, **_plinths(rig, way), profile_scale=amounts[keep],
    )  # fmt: skip


def _plinths(rig: Rig, heights: Floats) -> dict[str, Any]:
    """Ground that is level under each wheel at its height (w,) and straight between them."""
    x, y = rig.wheel_places.T
    stand = min(STAND, float(np.diff(np.unique(x)).min(initial=np.inf)) / 3)
    at = np.arange(x.min() - x.max() - SHOWN, SHOWN, 0.05)
    tracks = {}
    for name, mine in (("left", y >= 0), ("right", y <= 0)):
        order = np.argsort(x[mine])
        knots = np.repeat(x[mine][order] - x.max(), 2) + np.tile([-stand, stand], len(order))
        tracks[name] = np.interp(at, knots, np.repeat(heights[mine][order], 2))
    return {
        "profile_from": float(at[0]),
        "profile_step": 0.05,
        "profile_left": tracks["left"],
        "profile_right": tracks["right"],
    }


def _told(file: DesignFile, rig: Rig, state: str | None, run: Drive, under: Floats, **about: Any) -> Playback:
    """Frames of a drive's history, with the ground under each wheel (n, w)."""
    heights, travels, loads = (
        np.stack([run.column(f"{what} {i + 1}") for i in range(len(rig.wheel_places))], axis=1)
        for what in ("wheel height [m]", "travel [m]", "tyre load [N]")
    )
    body = tuple(run.column(name) for name in ("heave [m]", "pitch [rad]", "roll [rad]", "twist [rad]"))
    seat_up = np.stack([run.column(f"{seat.name} up below 30 Hz [m/s2]") for seat in points_of(file.design)], axis=1)
    return _frames(file, rig, state, body, heights, travels, loads, under, seat_up, **about)


def _frames(
    file: DesignFile, rig: Rig, state: str | None, body: tuple[Floats, ...], heights: Floats, travels: Floats, loads: Floats,
    under: Floats, seat_up: Floats, **about: Any,
) -> Playback:  # fmt: skip
    """All there is to tell of frames; what `about` leaves out stands still."""
    axles = [file.design.axles[i].travel for i in rig.wheel_axle]
    bump, droop = (np.array([getattr(one, end) for one in axles]) for end in ("bump", "droop"))
    still = np.zeros(len(heights))
    radius = np.array([file.design.axles[i].tyre.unloaded_radius for i in rig.wheel_axle])
    x, y, z = rig.sprung_cg
    ends = rig.wheel_places[:, 0]
    plain = {"speed": 0.0, "time": still, "gone": still, "amount": still, "profile_scale": still + 1}
    return Playback(
        vehicle=file.design.vehicle.name,
        state=state_of(file, state),
        wheels=tuple(wheel_names(file.design.axles)),
        seats=tuple(seat.name for seat in points_of(file.design)),
        rise=body[0],
        pitch=body[1],
        roll=body[2],
        twist=body[3],
        heights=heights,
        travels=travels,
        loads=loads,
        off=loads <= 0,
        stops=(travels > bump).astype(int) - (travels < -droop).astype(int),
        ground=under,
        seat_up=seat_up,
        static=equilibrium(rig).wheel_loads,
        centres=np.column_stack([rig.wheel_places, radius - rig.tyre_force / rig.tyre_rate]),
        pivot=np.array([x, y, z - rig.roll_arm, z, ends.max(), ends.min()]),
        **{**plain, **about},
    )
