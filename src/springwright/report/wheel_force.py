"""Force against travel at the wheel of every axle, told: one pair of scales for all of them."""

from __future__ import annotations

from springwright.drawing.chart import nice
from springwright.drawing.shapes import axle_ink
from springwright.drawing.svg import Drawing
from springwright.drawing.wheel_force import ForcePicture, force_drawing
from springwright.report.tables import capital
from springwright.sizing.fitted import sized
from springwright.sizing.wheel_force import WheelForce, wheel_forces
from springwright.units import plain, scale_of, show, unit_of
from springwright.vehicle.file import DesignFile

UNITS = {
    "N": ("kN", 1e-3, 2),
    "lbf": ("lbf", 1.0, 0),
}  # forces at a wheel as they are told: in whole figures of a few letters


def force_figures(file: DesignFile, state: str = "") -> list[Drawing]:
    """A picture to an axle, on the same scales; `state` is the load state whose point is set off, the design state where none is named."""
    each, sheet = wheel_forces(file), sized(file)
    state = state or sheet.design_state
    unit, times, places = UNITS[unit_of("force")]
    force, length = scale_of("force") / times, scale_of("length")
    ends = [(one.travel[0] / length, one.travel[-1] / length) for one in each]
    step = nice(max(high - low for low, high in ends) / 8)
    span = (min(low for low, _ in ends) - step, max(high for _, high in ends) + step)
    most = max(max(1.25 * one.at_touch, 1.15 * (one.least or 0.0)) for one in each) / force
    step = nice(most / 5)
    most = step * (int(most / step) + 2)
    axes = (f"wheel travel from the design position, {unit_of('length')}", f"{unit} at one wheel")
    pictures = []
    for i, one in enumerate(each):
        factor = one.at_touch / one.load
        asked = file.design.limits.bump_load_factor
        word = f"{plain(one.at_touch / force, places)} here, {plain(factor, 2)} of its load"
        if asked and factor < asked:
            word += f", needs {plain(asked, 2)}"
        pictures.append(force_drawing(_picture(one, state, force, length, word, axle_ink(i), places), span, most, axes))
    return pictures


def _picture(
    one: WheelForce, state: str, force: float, length: float, word: str, ink: str, places: int
) -> ForcePicture:
    return ForcePicture(
        capital(one.axle), [x / length for x in one.travel], [y / force for y in one.spring], [y / force for y in one.force], one.friction / force,
        one.droop / length, one.touches / length, one.metal / length, show(one.energy, "energy"), (one.at_touch / force, word), None if one.least is None else one.least / force,
        tuple((rest.state, rest.travel / length, rest.force / force, rest.state == state) for rest in one.rests), ink, places,
    )  # fmt: skip
