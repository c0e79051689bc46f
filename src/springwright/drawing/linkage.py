"""A wheel's links to scale, seen from behind and from the side, in the design position and at both ends of its travel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from springwright.drawing.svg import Drawing

Joints = Mapping[str, NDArray[np.float64]]
LINKS = (
    ("lower_front", "lower_ball"), ("lower_rear", "lower_ball"), ("upper_front", "upper_ball"), ("upper_rear", "upper_ball"),
    ("toe_inner", "toe_outer"), ("lower_ball", "upper_ball"), ("lower_ball", "toe_outer"), ("upper_ball", "wheel_centre"),
)  # fmt: skip
SCALE, GAP, MARGIN = 420.0, 70.0, 34.0  # px/m, px between the views, px round them


def links_drawing(title: str, positions: Sequence[Joints], radius: float) -> Drawing:
    """Draw joints and links.

    Parameters
    ----------
    title : str
    positions : sequence of joints
        The design position first, then others in thin line.
    radius : float
        Of the tyre [m].

    """
    every = np.array([point for joints in positions for name, point in joints.items()])
    top = max(float(every[:, 2].max()), float(positions[0]["wheel_centre"][2]) + radius)
    wide = float(every[:, 1].max()) + 0.12
    long = 2 * max(radius, float(np.abs(every[:, 0]).max())) + 0.05
    sheet = Drawing(2 * MARGIN + GAP + SCALE * (wide + long), 2 * MARGIN + SCALE * (top + 0.08) + 20, title)
    ground = MARGIN + SCALE * top + 14
    middle = MARGIN + SCALE * wide + GAP + SCALE * long / 2

    def behind(point: NDArray[np.float64]) -> tuple[float, float]:
        return MARGIN + SCALE * (wide - float(point[1])), ground - SCALE * float(point[2])

    def side(point: NDArray[np.float64]) -> tuple[float, float]:
        return middle - SCALE * float(point[0]), ground - SCALE * float(point[2])

    for view, left, right in (
        (behind, MARGIN, MARGIN + SCALE * wide),
        (side, middle - SCALE * long / 2, middle + SCALE * long / 2),
    ):
        sheet.line(left, ground, right, ground, "hair")
        for i, joints in reversed(list(enumerate(positions))):
            ink = "ink" if i == 0 else "dots"
            for begin, end in LINKS:
                sheet.path([view(joints[begin]), view(joints[end])], ink)
            if i == 0:
                for name, point in joints.items():
                    if name not in ("roll_centre", "contact"):
                        sheet.dot(*view(point), 3, "f-ink")
    still = positions[0]
    sheet.dot(*side(still["wheel_centre"]), SCALE * radius, "hair")
    x, z = behind(still["wheel_centre"])
    sheet.path([(x, z - SCALE * radius), (x, z + SCALE * radius)], "dash")
    x, z = behind(still["roll_centre"])
    sheet.dot(x, z, 5, "pencil")
    sheet.word(x - 10, z - 8, "roll centre", "mine end")
    sheet.line(MARGIN + SCALE * wide, ground, MARGIN + SCALE * wide, ground - SCALE * top, "dots")
    sheet.word(MARGIN, ground + 24, "from behind; the dotted line is the centreline", "soft")
    sheet.word(middle - SCALE * long / 2, ground + 24, "from the left side, front to the left", "soft")
    return sheet
