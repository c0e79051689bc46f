"""Designs held against each other in pictures: how they stand, their windows on one rail, and the curve that matters of each on one chart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from springwright.drawing.levels import level_drawing
from springwright.drawing.limit_chart import WIDE
from springwright.drawing.shapes import short
from springwright.drawing.windows_beside import AxleWindows, windows_beside
from springwright.errors import SpringwrightError
from springwright.questions.answer import Answer, Curve, Curves
from springwright.report.exhibits import Exhibit
from springwright.report.proof import curve_chart
from springwright.report.tables import capital
from springwright.scenes.elevation import elevation
from springwright.sizing.fitted import sized
from springwright.units import show
from springwright.vehicle.file import DesignFile

ALIKE = 0.0005  # m: heights that are told alike


@dataclass(eq=False)
class ComparedDesign:
    """A design that another is held against: its name, its file, and its answers as far as they are there."""

    name: str
    file: DesignFile
    answers: dict[str, Answer]


def compared_pictures(
    here: DesignFile, mine: Mapping[str, Answer], others: Sequence[ComparedDesign]
) -> tuple[Exhibit, ...]:
    """Pictures of a design and its answers beside up to three others: standing, windows, and the curves that it and any of them have answers for."""
    stand = [pair for k, one in enumerate(others) for pair in _standing(here, one, k)]
    found = [one for one, differs in stand if differs] or [one for one, _ in stand[:1]]  # those alike are one picture
    found += _windows(here, others)
    for question, answer in mine.items():
        one, same = _alike(answer, [other.answers.get(question) for other in others])
        if one is not None:
            pairs = [
                (theirs, short(other.name)) for theirs, other in zip(same, others, strict=True) if theirs is not None
            ]
            drawing = curve_chart(overlaid(one, pairs), wide=WIDE)
            found.append(Exhibit(f"beside-{question}", one.name, drawing, _of_state(one, pairs), figures=False))
    return tuple(found)


def _alike(answer: Answer, others: Sequence[Answer | None]) -> tuple[Curves | None, list[Curves | None]]:
    """The first curves of an answer that any of the others has too, and theirs."""
    for one in answer.curves:
        same = [
            None if other is None else next((each for each in other.curves if each.name == one.name), None)
            for other in others
        ]
        if not one.mapped and any(each is not None for each in same):
            return one, same
    return None, []


def _of_state(mine: Curves, pairs: Sequence[tuple[Curves, str]]) -> str:
    """Which line is whose, and of which load states where those differ."""
    alone = len(pairs) == 1
    if all(theirs.state == mine.state for theirs, _ in pairs):
        return f"Dashed: {pairs[0][1]}." if alone else "Heavy: here."
    told = "; ".join(f"{'dashed: ' if alone else ''}{name} in {theirs.state}" for theirs, name in pairs)
    return f"Here in {mine.state}; {told}: the load states that govern."


def overlaid(mine: Curves, pairs: Sequence[tuple[Curves, str]]) -> Curves:
    """The line that matters of one picture with those of other designs, by name, each told over the first one's abscissa; a single other is dashed beside it."""
    marked = {mark.line for mark in mine.marks}
    chosen = next((one for one in mine.lines if one.name in marked), mine.lines[0])
    lines = [chosen]
    for theirs, name in pairs:
        at_theirs = {mark.line for mark in theirs.marks}
        like = next((one for one in theirs.lines if one.name == chosen.name), None)
        other = like or next((one for one in theirs.lines if one.name in at_theirs), theirs.lines[0])
        known = np.array([np.nan if y is None else y for y in other.values])
        values = np.interp(mine.x, theirs.x, known, left=np.nan, right=np.nan)
        said = f"{name}: {other.name}" if other.name != chosen.name else name
        lines.append(
            Curve(
                said, tuple(None if np.isnan(y) else float(y) for y in values), chosen.name if len(pairs) == 1 else ""
            )
        )
    marks = tuple(mark for mark in mine.marks if mark.line == chosen.name)
    return replace(mine, lines=tuple(lines), marks=marks)


def _standing(here: DesignFile, there: ComparedDesign, k: int) -> list[tuple[Exhibit, bool]]:
    """The vehicle in its design state with the other's stance dashed, and whether they stand differently; none where one of them finds no rest."""
    try:
        mine, other = elevation(here), elevation(there.file)
    except SpringwrightError:
        return []
    drawing = level_drawing(replace(mine, ghost=other.stance), None, ())
    apart = [(one.name, a - b) for one, a, b in zip(mine.axles, mine.stance.rises, other.stance.rises, strict=False)]
    told = ", ".join(f"{_higher(rise)} at {axle}" for axle, rise in apart)  # fmt: skip
    note = f"In {mine.stance.state}; dashed: {short(there.name)} in {other.stance.state}. Here it stands {told}."
    picture = Exhibit(f"beside-vehicle-{k}", f"How it stands, and {short(there.name)}", drawing, note, figures=False)
    return [(picture, any(abs(rise) > ALIKE for _, rise in apart))]


def _higher(rise: float) -> str:
    """How much higher or lower it stands, in words [m]."""
    told = show(abs(rise), "length")
    return f"{told} {'higher' if rise > 0 else 'lower'}" if any(digit in told for digit in "123456789") else "as high"


def _windows(here: DesignFile, others: Sequence[ComparedDesign]) -> list[Exhibit]:
    """Aims and static windows of the axles, each beside those of the same name."""
    theirs = [{one.axle: one for one in sized(other.file).windows} for other in others]
    axles = [
        AxleWindows(capital(one.axle), tuple(None if w is None else (w.softest, w.stiffest, w.target) for w in (one, *(each.get(one.axle) for each in theirs))))
        for one in sized(here).windows
    ]  # fmt: skip
    if not axles:
        return []
    drawing = windows_beside("Windows side by side", axles, ("here", *(short(other.name) for other in others)), WIDE)
    return [Exhibit("beside-windows", "Windows side by side", drawing, "Hz, from the static requirements; what is filled is shut.", figures=False)]  # fmt: skip
