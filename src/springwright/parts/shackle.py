"""A leaf spring on its shackle solved once over its whole reach: its law, and smooth curves of how its seat goes and turns."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from springwright.errors import FieldFault
from springwright.parts.law import SplineLaw
from springwright.parts.leaf_arcs import Arcs, arcs_path

USABLE = 0.2  # share of its rate at zero travel below which a spring on its shackle is near the shackle's lock
REACH, STEP = 0.35, 0.005  # m of seat rise either way that is solved with a shackle, and between places solved


@dataclass(frozen=True)
class SolvedShackle:
    """A spring on its shackle at every 5 mm of what the shackle can follow, with smooth curves through the places [m]."""

    law: SplineLaw
    ahead: Any
    turn: Any


@lru_cache(maxsize=64)
def solved(arcs: Arcs) -> SolvedShackle:
    """Solve a spring over all its shackle can follow, up to where its rate falls to a fifth of that at rest.

    Raises
    ------
    FieldFault
        The shackle does not let it move.

    """
    from scipy.interpolate import CubicSpline  # only for leaf springs: it costs start-up time

    rise = np.linspace(-REACH, REACH, 2 * round(REACH / STEP) + 1)
    path = arcs_path(arcs, rise)
    middle = len(rise) // 2
    fine = np.isfinite(path.force) & (path.rate > USABLE * path.rate[middle])
    high = middle + int(np.argmin(np.append(fine[middle:], False)))
    low = middle - int(np.argmin(np.append(fine[middle::-1], False))) + 1
    x, force = rise[low:high], path.force[low:high]
    if len(x) < 9:
        raise FieldFault(
            ("spring", "leaf", "shackle"),
            "does not let the spring move; check its length, its lean and eyes_above",
        )
    ahead, turn = (CubicSpline(x, one[low:high], extrapolate=False) for one in (path.ahead, path.turn))
    leads = (float(ahead(0.0, 1)), float(turn(0.0, 1)))
    ends = {"least": float(x[0]), "most": float(x[-1])}
    law = SplineLaw(tuple(x.tolist()), tuple(force.tolist()), pulls=True, leads=leads, **ends)
    return SolvedShackle(law, ahead, turn)
