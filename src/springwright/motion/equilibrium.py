"""Where a Rig comes to rest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwright.errors import UnsolvedError
from springwright.motion.forces import BODY, GRAVITY, forces, free, tyre_forces
from springwright.vehicle.rig import Rig

Floats = NDArray[np.float64]
STEPS, STALLS, SMALLEST = 60, 2, 1e-3  # Newton steps, line searches that may fail, shortest share of a step


@dataclass(frozen=True)
class Rest:
    """A position of rest: q, wheel travel [m], load under each wheel and on each hitch [N], largest force left over [N]."""

    q: Floats
    travel: Floats
    wheel_loads: Floats
    hitch_loads: Floats
    residual: float

    def rise_at(self, rig: Rig, x: float, y: float = 0.0) -> float:
        """How far the body stands above the design position at a point in plan [m]."""
        return float(self.q[0] - self.q[1] * (x - rig.sprung_cg[0]) + self.q[2] * (y - rig.sprung_cg[1]))


def equilibrium(rig: Rig, ground: Floats | float = 0.0) -> Rest:
    """Newton with a line search on the whole force model, from the design position.

    Raises
    ------
    UnsolvedError
        No position of rest was found, or the one found would not hold: the body rolls or pitches over.

    """
    moving = free(rig)
    scale = GRAVITY * (rig.sprung_mass + rig.wheel_weights.sum())
    q = np.zeros(BODY + len(rig.wheel_places))
    force, stiffness = forces(rig, q, ground)
    stalled = 0
    for _ in range(STEPS):
        left = float(np.abs(force[moving]).max())
        if left < 1e-10 * scale:
            break
        step = np.zeros_like(q)
        step[moving] = _solved(stiffness[np.ix_(moving, moving)], force[moving])
        size = 1.0
        while True:
            trial, trial_stiffness = forces(rig, q + size * step, ground)
            if np.abs(trial[moving]).max() < (1 - 1e-4 * size) * left or size < SMALLEST:
                break
            size /= 2
        stalled += size < SMALLEST
        if stalled > STALLS:
            break
        q, force, stiffness = q + size * step, trial, trial_stiffness
    left = float(np.abs(force[moving]).max())
    if left > 1e-8 * scale or not np.all(np.isfinite(q)):
        raise UnsolvedError(
            f"no position of rest found; {left:.3g} N is left over. Springs may be slack or far too soft for the load"
        )
    if np.linalg.eigvalsh(stiffness[np.ix_(moving, moving)]).min() <= 0:
        raise UnsolvedError(
            "the body would not stay upright: roll or pitch stiffness is less than gravity's overturning moment"
        )
    return Rest(
        q=q,
        travel=rig.travel_map @ q,
        wheel_loads=tyre_forces(rig, q[BODY:] - ground)[0],
        hitch_loads=rig.hitch_force - rig.hitch_rate * (rig.hitch_map @ q),
        residual=left,
    )


def _solved(stiffness: Floats, force: Floats) -> Floats:
    """Newton's step; the least one where a slack coil or a tyre in the air leaves the tangent singular."""
    try:
        return np.asarray(np.linalg.solve(stiffness, force), dtype=float)
    except np.linalg.LinAlgError:
        return np.asarray(np.linalg.lstsq(stiffness, force, rcond=1e-12)[0], dtype=float)
