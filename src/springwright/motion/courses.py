"""Where and how a vehicle is driven: its path over a ground in time, and several of them side by side for the kernel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.evaluation import kept_with_argument
from springwright.motion.layout import lanes
from springwright.motion.rig import BUMP_STOP, Rig
from springwright.terrain.ground import Ground

Floats = NDArray[np.float64]
LONGEST_STEP = 0.8e-3  # s; RMS and peaks stay within 0.1 % of an exact solution on ground that does not slam the stops


@dataclass(frozen=True, eq=False)
class Course:
    """One vehicle's way: a ground, a speed [m/s], time steps `dt` [s] and what set them, and how many come before figures are kept.

    ahead : (w,)
        How far each wheel is ahead of the foremost [m].
    side : (w,)
        Which of the rows of `tracks_of` each wheel takes.
    start : float
        Where the foremost axle begins [m].
    steps : int
        Steps in all.
    path : (steps + 1,) or (0,)
        Where the foremost axle is at each step [m], for a speed that varies.
    paces : (steps + 1,) or (0,)
        The speed at each step [m/s], where it varies.
    pulls : (2, steps + 1) or (2, 0)
        Acceleration along and across at each step [m/s2].
    """

    ground: Ground
    speed: float
    dt: float
    reason: str
    settle: int
    ahead: Floats
    side: NDArray[np.intp]
    start: float
    steps: int
    path: Floats
    paces: Floats
    pulls: Floats

    def place(self, step: int) -> float:
        """Where the foremost axle is at a step [m]."""
        return float(self.path[step]) if len(self.path) else self.start + step * self.dt * self.speed

    def heights(self, step: int) -> Floats:
        """Height under each wheel at a step [m]."""
        at = np.clip((self.place(step) + self.ahead) / self.ground.spacing, 0, len(self.ground.left) - 1)
        cell = np.minimum(at.astype(int), len(self.ground.left) - 2)
        left, right = (
            (1 - at + cell) * track[cell] + (at - cell) * track[cell + 1]
            for track in (self.ground.left, self.ground.right)
        )
        return np.asarray(np.choose(self.side, [left, right, (left + right) / 2]))


def course(
    rig: Rig, ground: Ground, speed: float, *, duration: float | None = None, settle: float = 0.0,
    step: float | None = None, speeds: Floats | None = None, accelerations: Floats | None = None,
) -> Course:  # fmt: skip
    """Lay out a run; see `motion.drive.drive` for what the parameters mean [m, m/s, s]."""
    dt, reason = longest_step(rig) if step is None else (step, "asked for")
    ahead = rig.wheel_places[:, 0] - rig.wheel_places[:, 0].max()
    start = -float(ahead.min())
    if duration is None:
        duration = max(ground.length - start, 0.0) / speed
    steps = max(round(duration / dt), 1)
    path = paces = np.zeros(0)
    if speeds is not None:
        paces = np.interp(np.linspace(0.0, 1.0, steps + 1), np.linspace(0, 1, len(speeds)), speeds)
        path = start + np.concatenate([[0.0], np.cumsum((paces[1:] + paces[:-1]) / 2 * dt)])
    pulls = np.zeros((2, 0))
    if accelerations is not None:
        given = np.asarray(accelerations, dtype=float)
        time, even = np.linspace(0.0, 1.0, steps + 1), np.linspace(0, 1, given.shape[1])
        pulls = np.array([np.interp(time, even, axis) for axis in given])
    lateral = rig.wheel_places[:, 1]
    side = np.select([lateral > 0, lateral < 0], [0, 1], 2)
    return Course(ground, speed, dt, reason, round(settle / dt), ahead, side, start, steps, path, paces, pulls)


def tracks_of(ground: Ground) -> Floats:
    """Left, right and the mean of both, which a single wheel takes [m]."""
    return np.array([ground.left, ground.right, (ground.left + ground.right) / 2])


def way_of(courses: Sequence[Course]) -> Any:
    """Courses as the kernel reads them, a lane each; shorter ones idle until the longest is done."""
    from springwright.motion.kernel.arrays import PathArrays

    steps = max(one.steps for one in courses)
    path = paces = np.zeros(0)
    if any(len(one.path) for one in courses):
        ways = [
            one.path if len(one.path) else one.start + one.speed * one.dt * np.arange(one.steps + 1) for one in courses
        ]
        fast = [one.paces if len(one.path) else np.full(one.steps + 1, one.speed) for one in courses]
        path, paces = (
            lanes([np.pad(each, (0, steps + 1 - len(each)), mode="edge") for each in some]) for some in (ways, fast)
        )
    grounds = {id(one.ground): one.ground for one in courses}
    sizes = [3 * len(ground.left) for ground in grounds.values()]
    begins = dict(zip(grounds, np.cumsum([0, *sizes[:-1]]).tolist(), strict=True))
    track = np.array([begins[id(one.ground)] + one.side * len(one.ground.left) for one in courses])
    pulled = [one.pulls for one in courses if one.pulls.shape[1]]
    pulls = np.zeros(0)
    if pulled:
        room = [one.pulls if one.pulls.shape[1] else np.zeros((2, one.steps + 1)) for one in courses]
        pulls = lanes([np.pad(one, ((0, 0), (0, steps + 1 - one.shape[1]))) for one in room])
    return PathArrays(
        dt=np.array([one.dt for one in courses]),
        steps=steps,
        start=np.array([one.start for one in courses]),
        gain=np.array([one.speed * one.dt for one in courses]),
        path=path,
        heights=np.concatenate([tracks_of(ground).ravel() for ground in grounds.values()]),
        track=np.ascontiguousarray(track.T).ravel(),
        cells=np.array([len(one.ground.left) - 1 for one in courses]),
        over_dx=np.array([1 / one.ground.spacing for one in courses]),
        ahead=lanes([one.ahead for one in courses]),
        pace=np.array([one.speed for one in courses]),
        paces=paces,
        pulls=pulls,
        settle=np.array([one.settle for one in courses]),
        last=np.array([one.steps for one in courses]),
    )


@kept_with_argument
def longest_step(rig: Rig) -> tuple[float, str]:
    """The default time step [s] and what set it: the steepest damper, the stiffest stop, or the cap."""
    slopes = np.abs(np.diff(rig.damper_force, axis=1) / np.diff(rig.damper_speed, axis=1)).max(axis=1, initial=0.0)
    slopes = slopes + rig.friction / rig.friction_speed
    lightest = float(1 / np.diag(np.linalg.inv(rig.wheel_masses)).max())
    found = [(LONGEST_STEP, "the cap that keeps RMS and peaks within 0.1 %")]
    if len(slopes) and slopes.max() > 0:
        found.append((0.5 * lightest / float(slopes.max()), "the steepest damper slope against the lightest wheel"))
    stops = rig.element_rate[rig.element_kind >= BUMP_STOP]
    stiffest = float(rig.tyre_rate.max() + stops.max(initial=0.0))
    found.append(
        (0.15 / float(np.sqrt(stiffest / lightest)), "the stiffest stop with the tyre against the lightest wheel")
    )
    return min(found)
