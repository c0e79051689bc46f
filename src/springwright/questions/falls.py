"""Ways of falling: by how far each axle's tyres stand above the ground beneath them when the vehicle is let go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.motion.drive import drive, drive_many
from springwright.motion.figures import Drive, DriveTable, Point
from springwright.motion.rig import Rig
from springwright.questions.context import ProofContext, StateModel
from springwright.terrain.ground import Ground
from springwright.terrain.obstacles import flat

FALL_TIME = 1.6  # s watched, the longest fall counted in
CRAWL = 0.1  # m/s: no wheel reaches the edge it has not gone over within the time watched
FINE = 0.01  # m between points of a ledge


@dataclass(frozen=True)
class Fall:
    """A way of falling; `foremost` alone stand in the air, on the right side alone where `right`; all wheels where neither."""

    name: str
    said: str
    foremost: bool = False
    right: bool = False

    def airborne(self, rig: Rig) -> NDArray[np.bool_]:
        """(w,): which tyres stand in the air [-]."""
        x, y = rig.wheel_places.T
        mine = x == x.max() if self.foremost else np.ones(len(x), dtype=bool)
        return np.asarray(mine & (y < 0) if self.right else mine)

    def depth(self, at: StateModel, height: float) -> float:
        """How far lower the ground lies under tyres in the air [m] than the one they rest on, for all of them to clear it by `height`.

        A tyre at rest is squashed and leaves its ground only when that is gone: the most squashed clears it by `height`.
        """
        squash = (at.rest.wheel_loads / at.rig.tyre_rate)[self.airborne(at.rig)]
        return height + float(squash.max())

    def above(self, at: StateModel, height: float) -> float:
        """How far the whole vehicle is raised above its rest [m]: not at all where others stand on the ledge."""
        return 0.0 if self.foremost else self.depth(at, height)

    def ground(self, at: StateModel, height: float) -> Ground:
        """A ledge that the tyres in the air have just gone over, the others standing on it; level ground where all are raised [m]."""
        if not self.foremost:
            return flat(30.0)
        x, deep = at.rig.wheel_places[:, 0], self.depth(at, height)
        along, base = np.unique(x), float(np.ptp(x))
        edge = (along[-1] - along[-2]) / 2 if len(along) > 1 else 0.5  # m behind the foremost axle
        far = np.asarray(np.arange(0.0, base + 2.0, FINE) > base - edge, dtype=np.float64)
        return Ground(f"ledge of {height:g} m", FINE, (0.0 if self.right else -deep) * far, -deep * far)


LEVEL = Fall("level", "level: every tyre at the height above the ground")
FALLS = (
    LEVEL,
    Fall(
        "nose first",
        "nose first: the foremost tyres at the height above the lower ground, those behind standing on the upper",
        foremost=True,
    ),
    Fall(
        "one wheel first",
        "one wheel first: the right foremost tyre at the height above the lower ground, the others standing on the upper",
        foremost=True,
        right=True,
    ),
)


def falls_of(rig: Rig) -> tuple[Fall, ...]:
    """The ways of falling that a vehicle has: no wheel goes first where the foremost is alone on its axle."""
    alone = bool((rig.wheel_places[rig.wheel_places[:, 0] == rig.wheel_places[:, 0].max()][:, 1] == 0).any())
    return tuple(one for one in FALLS if not one.right or (rig.roll_free and not alone))


def fall_many(ready: ProofContext, fall: Fall, heights: Sequence[float]) -> DriveTable:
    """Every load state let fall from every height, heights within states [m]."""
    plan = [(at, height) for at in ready.states for height in heights]
    return drive_many(
        [at.rig for at, _ in plan],
        [fall.ground(at, height) for at, height in plan],
        CRAWL,
        points=ready.points,
        above=[fall.above(at, height) for at, height in plan],
        held=fall.foremost,
        duration=FALL_TIME,
    )


def fall_once(
    at: StateModel, fall: Fall, height: float, points: Sequence[Point], history: float | None = None
) -> Drive:
    """One fall told whole [m].

    Raises
    ------
    UnsolvedError
        The run diverges, or it goes over.

    """
    return drive(
        at.rig,
        fall.ground(at, height),
        CRAWL,
        points=points,
        above=fall.above(at, height),
        held=fall.foremost,
        duration=FALL_TIME,
        history=history,
    )
