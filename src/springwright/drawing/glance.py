"""A vehicle in a few strokes, to know it by in a list: its outline and wheels from the left side, on the ground."""

from __future__ import annotations

from springwright.drawing.shapes import body_shapes
from springwright.drawing.svg import Drawing
from springwright.scenes.elevation import Elevation

WIDE, TALL, EDGE = 92.0, 48.0, 3.0  # px


def glance_drawing(e: Elevation) -> Drawing:
    """Draw it as large as fits; ahead is left."""
    ahead = [x for shape in e.side for x, _ in shape] + [
        axle.x + way * axle.radius for axle in e.axles for way in (-1, 1)
    ]
    high = max([z for shape in e.side for _, z in shape] + [max(axle.centres) + axle.radius for axle in e.axles])
    scale = min((WIDE - 2 * EDGE) / (max(ahead) - min(ahead)), (TALL - 2 * EDGE) / high)
    ground, middle = TALL - EDGE, (max(ahead) + min(ahead)) / 2

    def side(x: float, z: float) -> tuple[float, float]:
        return WIDE / 2 - scale * (x - middle), ground - scale * z

    sheet = Drawing(WIDE, TALL, e.vehicle)
    sheet.line(0, ground, WIDE, ground, "hair")
    body_shapes(sheet, e.side, side)
    for axle in e.axles:
        x, y = side(axle.x, axle.centres[0])
        radius = min(scale * axle.radius, ground - y)
        sheet.dot(x, y, radius, "ink f-shut")
        sheet.dot(x, y, 0.45 * radius, "hair f-paper")
    return sheet
