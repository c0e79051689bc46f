"""A part's law as a curve with its load points, and the part itself to scale where its shape is simple."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from springwright.drawing.svg import Drawing
from springwright.parts.record import PartRecord
from springwright.units import number, plain, scale_of, show, unit_of

WIDTH, LEFT, RIGHT, TALL, TOP, FOOT = 700.0, 70.0, 150.0, 240.0, 34.0, 46.0


def law_figure(record: PartRecord) -> Drawing | None:
    """Force against travel, with the loads of the order table marked; None where the part has no law of its own."""
    if len(record.pressed) < 2:
        return None
    x, y = np.array(record.pressed), np.array(record.forces)
    speed = record.law == "speed"
    sheet = Drawing(WIDTH, TOP + TALL + FOOT, f"{record.axle}: {record.kind}, its characteristic")
    low, high = float(x.min()), float(x.max())
    least, most = min(float(y.min()), 0.0), float(y.max())
    span = (most - least) or 1.0

    def at(px: float, force: float) -> tuple[float, float]:
        return LEFT + (WIDTH - LEFT - RIGHT) * (px - low) / (high - low), TOP + TALL * (most - force) / span

    sheet.line(*at(low, 0.0), *at(high, 0.0), "hair")
    if low < 0 < high:
        sheet.line(*at(0.0, least), *at(0.0, most), "dots")
    sheet.path([at(float(a), float(b)) for a, b in zip(x, y, strict=True)], "series-1")
    said: list[float] = []
    for name, px, force in record.marks:
        if not low - 1e-9 <= px <= high + 1e-9:
            continue
        ax, ay = at(px, force)
        sheet.dot(ax, ay, 3.5, "f-ink")
        text_y = ay + 4
        while any(abs(text_y - other) < 14 for other in said):
            text_y += 14
        said.append(text_y)
        sheet.line(ax, ay, WIDTH - RIGHT + 4, text_y - 4, "dots")
        sheet.word(WIDTH - RIGHT + 8, text_y, f"{name} {show(force, 'force')}")
    for px in (low, high):
        read = px if speed else px / scale_of("length")
        sheet.word(at(px, 0)[0], TOP + TALL + 18, plain(read, 1), "soft middle")
    for force in {least, most}:
        sheet.word(LEFT - 8, at(low, force)[1] + 4, number(force, "force"), "soft end")
    what = "speed m/s, bump positive" if speed else f"pressed from zero travel, {unit_of('length')}"
    sheet.word(LEFT, 16, f"force, {unit_of('force')}", "soft")
    sheet.word(WIDTH - RIGHT, TOP + TALL + 36, what, "soft end")
    return sheet


class DamperGrid(NamedTuple):
    """Where a damper's figure puts speed [m/s] and force [N]: forces from `least` at the foot to `most` at `top`, `tall` px above it."""

    slow: float
    fast: float
    least: float
    most: float
    top: float
    tall: float

    def at(self, speed: float, force: float) -> tuple[float, float]:
        """Place of a point on the sheet [px]."""
        across = LEFT + (WIDTH - LEFT - RIGHT) * (speed - self.slow) / (self.fast - self.slow)
        return across, self.top + self.tall * (self.most - force) / (self.most - self.least)


def damper_figure(record: PartRecord) -> tuple[Drawing, DamperGrid]:
    """A damper's force against its speed on round axes that stand still while a point is dragged."""
    x, y = np.array(record.pressed), np.array(record.forces)
    step = 10.0 ** np.floor(np.log10(max(float(np.abs(y).max()), 1.0)))
    grid = DamperGrid(
        float(x.min()), float(x.max()), float(np.floor(min(y.min() * 1.1, 0.0) / step) * step), float(np.ceil(max(y.max() * 1.1, 0.0) / step) * step), TOP, TALL
    )  # fmt: skip
    sheet = Drawing(WIDTH, TOP + TALL + FOOT, f"{record.axle}: damper force against speed")
    sheet.line(*grid.at(grid.slow, 0.0), *grid.at(grid.fast, 0.0), "hair")
    sheet.line(*grid.at(0.0, grid.least), *grid.at(0.0, grid.most), "hair")
    sheet.path([grid.at(float(a), float(b)) for a, b in zip(x, y, strict=True)], "series-1")
    for _, speed, force in record.marks:
        at, down = grid.at(speed, force)
        sheet.dot(at, down, 2.5, "f-ink")
        late = speed > 0
        sheet.word(
            at + (6 if late else -6), down + (14 if late else -6), show(force, "force"), "soft" if late else "soft end"
        )
    for speed in np.arange(np.ceil(grid.slow / 0.5) * 0.5, grid.fast + 1e-9, 0.5):
        sheet.word(grid.at(float(speed), 0)[0], TOP + TALL + 18, plain(float(speed), 1), "soft middle")
    for force in (grid.least, grid.most):
        sheet.word(LEFT - 8, grid.at(grid.slow, force)[1] + 4, number(force, "force"), "soft end")
    sheet.word(LEFT, 16, f"force, {unit_of('force')}", "soft")
    sheet.word(WIDTH - RIGHT, TOP + TALL + 36, "speed m/s, bump positive", "soft end")
    return sheet, grid


def leaf_figure(record: PartRecord) -> Drawing | None:
    """The leaves of a leaf spring to scale, from the side, unladen; None for any other part."""
    if not record.leaves:
        return None
    longest = max(record.leaves)
    scale = (WIDTH - 60) / longest
    thick = max(record.leaf_thickness * scale, 2.0)
    rise = record.leaf_camber * scale
    sheet = Drawing(WIDTH, max(rise, 0) + thick * len(record.leaves) + 74, f"{record.axle}: leaves to scale")
    base = 30 + max(rise, 0.0)
    start = 30 + record.leaf_front * scale
    for i, leaf in enumerate(sorted(record.leaves, reverse=True)):
        ends = np.array([-record.leaf_front, longest - record.leaf_front]) * leaf / longest
        along = np.linspace(ends[0], ends[1], 41)
        up = record.leaf_camber * (2 * along / longest) ** 2
        y = base + thick * i - scale * up
        edge = [(start + scale * a, b) for a, b in zip(along, y, strict=True)]
        sheet.path(edge + [(px, py + thick - 0.6) for px, py in reversed(edge)], "ink", closed=True)
        if i == 0:
            for px, py in (edge[0], edge[-1]):
                sheet.dot(px, py, 5, "ink")
    sheet.line(start, base - 8, start, base + thick * len(record.leaves) + 8, "dash")
    sheet.word(start, base + thick * len(record.leaves) + 26, "centre bolt; front eye to the left", "soft middle")
    return sheet
