"""Two designs held against each other in pictures: how both stand, both windows on one rail, and both curves on one chart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from springwright.drawing.levels import level_drawing
from springwright.drawing.limit_chart import WIDE
from springwright.drawing.shapes import short
from springwright.drawing.windows_beside import WindowPair, windows_beside
from springwright.errors import SpringwrightError
from springwright.questions.answer import Answer, Curve, Curves
from springwright.report.exhibits import Exhibit
from springwright.report.proof import curve_chart
from springwright.report.tables import capital
from springwright.scenes.elevation import elevation
from springwright.sizing.fitted import sized
from springwright.units import show
from springwright.vehicle.file import DesignFile


def compared_pictures(
    here: DesignFile, there: DesignFile, name: str, mine: Mapping[str, Answer], theirs: Mapping[str, Answer]
) -> tuple[Exhibit, ...]:
    """Pictures of a design beside another that goes by a name: standing, windows, and the curves both have answers for."""
    name = short(name)
    found = [*_standing(here, there, name), *_windows(here, there, name)]
    for question, answer in mine.items():
        other = theirs.get(question)
        pairs = [] if other is None else [(one, next((each for each in other.curves if each.name == one.name), None)) for one in answer.curves if not one.mapped]  # fmt: skip
        one, same = next(((one, same) for one, same in pairs if same is not None), (None, None))
        if one is not None and same is not None:
            drawing = curve_chart(overlaid(one, same, name), wide=WIDE)
            found.append(Exhibit(f"beside-{question}", one.name, drawing, _of_state(one, same, name), figures=False))
    return tuple(found)


def _of_state(mine: Curves, theirs: Curves, name: str) -> str:
    """Which line is whose, and of which load states where those differ."""
    if mine.state == theirs.state:
        return f"Dashed: {name}."
    return f"Here in {mine.state}; dashed: {name} in {theirs.state}: the load states that govern."


def overlaid(mine: Curves, theirs: Curves, name: str) -> Curves:
    """The line that matters of one picture with the other design's dashed beside it, each told over the first one's abscissa."""
    marked = {mark.line for mark in mine.marks}
    chosen = next((one for one in mine.lines if one.name in marked), mine.lines[0])
    at_theirs = {mark.line for mark in theirs.marks}
    like = next((one for one in theirs.lines if one.name == chosen.name), None)
    other = like or next((one for one in theirs.lines if one.name in at_theirs), theirs.lines[0])
    known = np.array([np.nan if y is None else y for y in other.values])
    values = np.interp(mine.x, theirs.x, known, left=np.nan, right=np.nan)
    said = f"{name}: {other.name}" if other.name != chosen.name else name
    dashed = Curve(said, tuple(None if np.isnan(y) else float(y) for y in values), chosen.name)
    marks = tuple(mark for mark in mine.marks if mark.line == chosen.name)
    return replace(mine, lines=(chosen, dashed), marks=marks)


def _standing(here: DesignFile, there: DesignFile, name: str) -> list[Exhibit]:
    """The vehicle in its design state with the other's stance dashed; none where one of them finds no rest."""
    try:
        mine, other = elevation(here), elevation(there)
    except SpringwrightError:
        return []
    drawing = level_drawing(replace(mine, ghost=other.stance), None, ())
    apart = [(one.name, a - b) for one, a, b in zip(mine.axles, mine.stance.rises, other.stance.rises, strict=False)]
    told = ", ".join(f"{_higher(rise)} at {axle}" for axle, rise in apart)  # fmt: skip
    note = f"In {mine.stance.state}; dashed: {name} in {other.stance.state}. Here it stands {told}."
    return [Exhibit("beside-vehicle", "How both stand", drawing, note, figures=False)]


def _higher(rise: float) -> str:
    """How much higher or lower it stands, in words [m]."""
    told = show(abs(rise), "length")
    return f"{told} {'higher' if rise > 0 else 'lower'}" if any(digit in told for digit in "123456789") else "as high"


def _windows(here: DesignFile, there: DesignFile, name: str) -> list[Exhibit]:
    """Aims and static windows of axles that both have."""
    theirs = {one.axle: one for one in sized(there).windows}
    pairs = [
        WindowPair(capital(one.axle), *((w.softest, w.stiffest, w.target) for w in (one, theirs[one.axle])))
        for one in sized(here).windows
        if one.axle in theirs
    ]
    if not pairs:
        return []
    drawing = windows_beside("Windows of both", pairs, ("here", name), WIDE)
    return [Exhibit("beside-windows", "Both windows", drawing, "Hz, from the static requirements; what is filled is shut.", figures=False)]  # fmt: skip
