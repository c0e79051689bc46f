"""The view in the round as data: what the workbench's `round.js` needs to draw a vehicle frame by frame, words and units in it already."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.drawing.nodes import Skeleton, tenths
from springwright.drawing.skeleton import PLAIN_WIDTH, skeleton_of
from springwright.scenes.playback import Playback
from springwright.units import number, show, unit_of
from springwright.vehicle.design import Design

Floats = NDArray[np.float64]
ANGLE = 1e-5  # rad, the unit of angles
STRIP = (0.02, 4000)  # m between points of the ground at least, and how many there are at most
TALLEST = 0.8  # m that the greatest load's bar stands high, or that of a multiple of the static load where it is less
MULTIPLE = 2.5
FOLLOW = 1.5  # s over which the eye follows the ground's height
ASIDE = 0.25  # m of ground shown outside of the tyres


def scene(played: Playback, design: Design) -> dict[str, Any]:
    """All of a playback that is drawn, ready for JSON.

    Lengths are whole tenths of a millimetre, angles whole hundred-thousandths of a radian, loads whole newtons; arrays by frame and
    wheel are flat, all wheels of a frame together. Texts are in the display system.
    """
    made = skeleton_of(design, played.centres)
    datum = _datum(played)
    ground = _ground(played, design)
    return {
        "title": f"{played.vehicle}, {played.state}: {played.title}",
        "label": _label(played),
        "rate": played.rate,
        "frames": len(played.time),
        "nodes": made.nodes,
        "lines": made.lines,
        "panels": made.panels,
        "springs": made.springs,
        "wheels": [
            {**wheel, "name": name, "static": round(float(load))}
            for wheel, name, load in zip(made.wheels, played.wheels, played.static, strict=True)
        ],
        "pivot": tenths(played.pivot),
        "rise": tenths(played.rise),
        **{name: np.round(getattr(played, name) / ANGLE).astype(int).tolist() for name in ("pitch", "roll", "twist")},
        "heights": tenths(np.ravel(played.heights)),
        "travels": tenths(np.ravel(played.travels)),
        "under": tenths(np.ravel(played.ground)),
        "loads": np.round(np.ravel(played.loads)).astype(int).tolist(),
        "datum": tenths(datum),
        "gone": tenths(played.gone),
        "ground": ground,
        "bar": round(1e4 * TALLEST / _most(played), 4),
        "box": tenths(_box(played, made, datum, design)),
        "seat": _seat(played),
        "words": _words(played),
    }


def _datum(played: Playback) -> Floats:
    """(n,) height the eye follows [m]: the ground's mean under the wheels, smoothed in time; nothing where nothing is driven."""
    mean: Floats = np.asarray(played.ground).mean(axis=1)
    if played.what != "drive":
        return np.zeros(len(mean))
    half = min(round(FOLLOW * played.rate / 2), len(mean))
    window = np.full(2 * half + 1, 1 / (2 * half + 1))
    return np.asarray(np.convolve(np.pad(mean, half, mode="edge"), window, mode="valid"))


def _ground(played: Playback, design: Design) -> dict[str, Any]:
    """Heights of both tracks where they are in sight, and where their strips lie: y of the inner and outer edge."""
    p = np.arange(len(played.profile_left)) * played.profile_step
    step = max(played.profile_step, STRIP[0], float(p[-1]) / STRIP[1])
    at = np.arange(0.0, p[-1], step)
    left, right = (np.interp(at, p, track) for track in (played.profile_left, played.profile_right))
    width = max(axle.tyre.section_width or PLAIN_WIDTH for axle in design.axles)
    tracks = [axle.track for axle in design.axles if axle.track]
    outer = max(tracks, default=0.0) / 2 + width / 2 + ASIDE
    inner = max(min(tracks, default=0.0) / 2 - width / 2 - ASIDE, 0.0)
    scale = np.asarray(played.profile_scale)
    return {
        "from": round(1e4 * played.profile_from),
        "step": round(1e4 * step, 2),
        "left": tenths(left),
        "right": tenths(right),
        "edges": tenths((inner, outer)),
        # a diagonal ditch is told as a shape that grows: its factor in each frame, in thousandths
        "scale": [] if np.all(scale == 1) else np.round(1e3 * scale).astype(int).tolist(),
    }


def _most(played: Playback) -> float:
    """The load [N] whose bar is the tallest."""
    return float(max(np.max(played.loads), MULTIPLE * np.max(played.static)))


def _box(played: Playback, made: Skeleton, datum: Floats, design: Design) -> list[float]:
    """What has to be in sight [m]: x at the rear and at the front, the lowest ground, and how far the body rises above its design position."""
    x = [np.ravel(one["at"])[0] / 1e4 for one in made.nodes]
    spare = max(axle.tyre.unloaded_radius for axle in design.axles) + 0.2
    bottom = float((np.asarray(played.ground) - datum[:, None]).min())
    lift = float((np.asarray(played.rise) - datum).max())
    return [min(x) - spare, max(x) + spare, min(bottom, 0.0), max(lift, 0.0)]


def _seat(played: Playback) -> dict[str, Any] | None:
    """Acceleration at the seat that is shaken most, as a line: hundredths of its largest value, and what that is."""
    up = np.asarray(played.seat_up)
    if played.what not in ("drive", "landing") or not np.any(up):
        return None
    worst = int(np.abs(up).max(axis=0).argmax())
    most = float(np.abs(up[:, worst]).max())
    return {
        "name": f"{played.seats[worst]}, up, below 30 Hz",
        "most": f"±{show(most, 'acceleration', 1)}",
        "line": np.round(100 * up[:, worst] / most).astype(int).tolist(),
    }


def _words(played: Playback) -> dict[str, Any]:
    """Texts: the clock of each frame, each wheel's load, what happens and from which frame on."""
    if played.what == "articulation":
        clock = [show(float(one), "length") for one in played.amount]
    elif played.what == "stance":
        clock = [played.title] * len(played.time)
    else:
        clock = [show(float(one), "duration") for one in played.time]
        if played.what == "drive":
            clock = [f"{one}, {show(float(gone), 'distance')}" for one, gone in zip(clock, played.gone, strict=True)]
    says = [_says(played, i) for i in range(len(played.time))]
    return {
        "clock": clock,
        "says": [[i, text] for i, text in enumerate(says) if i == 0 or text != says[i - 1]],
        "loads": [number(float(load), "force") for load in np.ravel(played.loads)],
        "unit": unit_of("force"),
        "off": "off",
        "scrub": {"articulation": "Cross-axle height", "stance": "Place"}.get(played.what, "Time"),
    }


def _says(played: Playback, i: int) -> str:
    """What happens to the wheels in one frame."""
    parts = []
    for names, what in (
        ([name for name, off in zip(played.wheels, played.off[i], strict=True) if off], "off the ground"),
        ([name for name, stop in zip(played.wheels, played.stops[i], strict=True) if stop > 0], "on the bump stop"),
        (
            [
                name
                for name, stop, off in zip(played.wheels, played.stops[i], played.off[i], strict=True)
                if stop < 0 and not off
            ],
            "at full droop",
        ),
    ):
        if names:
            parts.append(f"{_listed(names)} {what}")
    return "; ".join(parts) or "every wheel on the ground"


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _label(played: Playback) -> str:
    """The picture in words, for those who do not see it."""
    off = np.asarray(played.off)
    lifts = [
        f"{name} {100 * float(share):.0f} %"
        for name, share in zip(played.wheels, off.mean(axis=0), strict=True)
        if share > 0
    ]
    head = f"{played.vehicle}, {played.state}, drawn in the round: {played.title}."
    if played.what == "articulation":
        lifted = np.flatnonzero(off.any(axis=1))
        if not len(lifted):
            return f"{head} Every wheel stays on the ground up to {show(float(played.amount[-1]), 'length')}."
        first = int(lifted[0])
        return f"{head} At {show(float(played.amount[first]), 'length')} {_says(played, first)}."
    if played.what == "stance":
        loads = ", ".join(
            f"{name} {show(float(load), 'force')}" for name, load in zip(played.wheels, played.loads[0], strict=True)
        )
        return f"{head} {_says(played, 0).capitalize()}. Loads: {loads}."
    time = show(float(played.time[-1]), "duration", 1)
    share = (
        f"Off the ground for so much of the time: {', '.join(lifts)}." if lifts else "Every wheel stays on the ground."
    )
    return f"{head} {time}. {share}"
