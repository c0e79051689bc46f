"""What both searches for rest go by, the compiled one and the careful one, and curves that are put in place of a Rig's own."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
STEPS, SMALLEST = 80, 1e-6  # Newton steps, shortest share of one
FARTHEST, TILTED = 4.0, 0.6  # m, and rad of pitch or roll, that is no rest any more
LONGEST = 0.5  # m or rad of a step


class CurveKnots(NamedTuple):
    """Curves at even knots (see `motion.rig.Rig`) for some elements, alike for all of them, and which of the curves each run takes."""

    elements: NDArray[np.intp]
    which: NDArray[np.intp]
    start: Floats
    step: Floats
    force: Floats
    rate: Floats
