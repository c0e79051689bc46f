"""Lines over one axis with the limits drawn where they act: what is shut is filled and named, what happens is a ring on its line."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from springwright.drawing.chart import nice, ticks
from springwright.drawing.labels import Labels, width_of
from springwright.drawing.svg import Drawing
from springwright.units import plain

WIDE, TALL, LEFT, TOP, FOOT, BARE, NAMED = 508.0, 262.0, 46.0, 28.0, 40.0, 16.0, 104.0
STRIP, ROW = 16.0, 17.0  # px: height of a gate's strip under the axis, of a line of what happens beneath it
CLEAR, SEEN = 1.3, 1.8  # of a limit: how far past it is drawn at least, and at most
NOISE, MILLION = 1e-9, 1e6
SLIGHT = 0.03  # of the height: lines that dip less below nought have their foot there

Floats = NDArray[np.float64]
Spot = Callable[[float, float], tuple[float, float]]


@dataclass(frozen=True)
class Line:
    """A line through points in the units shown; nan where there is nothing to tell."""

    name: str
    x: Floats
    y: Floats
    ink: str
    strong: bool = False


@dataclass(frozen=True)
class Shut:
    """A limit: on the height of the lines ("y"), on their slope through nought, or on when something happens ("x", a gate)."""

    along: str
    value: float
    above: bool
    says: str


@dataclass(frozen=True)
class Event:
    """Something that happens on a line; `gated` where it is when it happens that is asked about."""

    x: float
    y: float
    says: str
    gated: bool = False


def limit_chart(
    title: str,
    lines: Sequence[Line],
    axes: tuple[str, str],
    *,
    shut: Sequence[Shut] = (),
    events: Sequence[Event] = (),
    logarithmic: bool = False,
    wide: float = WIDE,
    part: tuple[float, float] | None = None,
) -> Drawing:
    """Draw lines in their limits; `axes` are the titles along and upright, `part` is what of the axis is looked at, all of it where none is named."""
    part = looked_at(lines, part, logarithmic=logarithmic)
    if part is not None:
        lines = [_cut(line, part) for line in lines]
    gates = [one for one in shut if one.along == "x" and (part is None or part[0] < one.value)]
    gated = [one for one in events if one.gated and (part is None or part[0] <= one.x <= part[1])] if gates else []
    named = any(line.name for line in lines)
    foot = TALL - FOOT
    under = STRIP + 8 + ROW * len(gated) if gates else 0.0
    sheet = Drawing(wide, TALL + under, title)
    left, right = LEFT, wide - (NAMED if named else BARE)
    span, (least, most) = part or _along(lines, gates), _upright(lines, shut)
    turn = np.log10 if logarithmic else float
    low, high = float(turn(span[0])), float(turn(span[1]))

    def at(x: float, y: float) -> tuple[float, float]:
        along = left + (right - left) * (float(turn(x)) - low) / ((high - low) or 1.0)
        return along, foot - (foot - TOP) * (min(max(y, least), most) - least) / (most - least)

    labels = Labels(sheet, (4, 14, wide - 2, foot - 2))
    named_zones = [_zone(sheet, labels, one, (span, (least, most)), at) for one in shut]
    if least < 0 < most:
        sheet.line(left, at(span[0], 0)[1], right, at(span[0], 0)[1], "hair")
    _scales(sheet, axes, span, (least, most), at, logarithmic=logarithmic)
    with sheet.row((left, TOP, right, foot), (low, high, axes[0], logarithmic), (least, most)):
        for line in lines:
            for piece in _pieces(line, most):
                drawn = [at(x, y) for x, y in piece]
                sheet.path(drawn, f"{line.ink} thick" if line.strong else line.ink, line=line.name)
                if len(drawn) > 1:
                    labels.avoid_line(drawn)
    for places, says in filter(None, named_zones):
        labels.somewhere(places, says, "soft halo")
    seen = [one for one in events if span[0] <= one.x <= span[1] and one.y <= most]
    rings = [(*at(one.x, one.y), "" if one.gated and gates else one.says) for one in seen]
    _rings(labels, rings)
    for line in lines:
        pieces = [*_pieces(line, most)]
        if line.name and pieces:
            end = pieces[-1][-1]
            if end[1] < least + SLIGHT * (most - least):  # it dies away: it is told from the others where it is highest
                end = max((spot for piece in pieces for spot in piece), key=lambda spot: spot[1])
            labels.beside(*at(*end), line.name, "strong" if line.strong else "", toward=(1.0, 0.0))
    _said(labels, rings)
    if gates:
        _gates(sheet, gates, gated, (span, foot), at)
    return sheet


def looked_at(
    lines: Sequence[Line], part: tuple[float, float] | None, *, logarithmic: bool
) -> tuple[float, float] | None:
    """What of the axis is looked at, kept to where there are lines; None for all of it."""
    if part is None:
        return None
    whole = _along(lines, ())
    if logarithmic and (min(part) <= 0 or whole[0] <= 0):
        return None
    turn, back = (np.log, np.exp) if logarithmic else (np.asarray, np.asarray)
    (begin, end), (least, most) = turn(part), turn(whole)
    moved = max(least - begin, 0.0) - max(end - most, 0.0)  # past an end it stops there, as wide as it is
    low, high = (float(one) for one in back(np.clip([begin + moved, end + moved], least, most)))
    if not low < high or np.allclose((low, high), whole):
        return None
    return low, high


def _cut(line: Line, part: tuple[float, float]) -> Line:
    """A line from one place to another, with a point on it at either."""
    inside = (line.x > part[0]) & (line.x < part[1])
    x = np.concatenate([[part[0]], line.x[inside], [part[1]]])
    ends = np.interp(part, line.x, line.y, left=np.nan, right=np.nan)
    return replace(line, x=x, y=np.concatenate([ends[:1], line.y[inside], ends[1:]]))


def _rings(labels: Labels, spots: Sequence[tuple[float, float, str]]) -> None:
    """A ring on each thing that happens."""
    for x, y, _ in spots:
        labels.sheet.dot(x, y, 4, "f-paper")
        labels.sheet.dot(x, y, 4, "ink")
        labels.avoid(x - 5, y - 5, x + 5, y + 5)


def _said(labels: Labels, spots: Sequence[tuple[float, float, str]]) -> None:
    """What each of these is, where no gate says it."""
    for x, y, says in spots:
        if says:
            labels.beside(x, y, says, "soft", toward=(-1.0, -0.6), clear=3)


def _along(lines: Sequence[Line], gates: Sequence[Shut]) -> tuple[float, float]:
    """What the axis goes from and to: what the lines tell, and every gate."""
    ends = [line.x[k] for line in lines for k in (0, -1) if len(line.x)] or [0.0, 1.0]
    low, high = min(ends), max(*ends, *(1.1 * gate.value for gate in gates))
    if gates:
        high += 0.03 * (high - low)
    return (low, high) if high > low else (low, low + 1.0)


def _upright(lines: Sequence[Line], shut: Sequence[Shut]) -> tuple[float, float]:
    """Foot and top: whole steps from nought, or from below it, with every limit in sight and nothing far beyond it."""
    known = [y for line in lines for y in line.y if np.isfinite(y)] or [0.0]
    low, high = min(0.0, *known), max(0.0, *known)
    limits = [one.value for one in shut if one.along == "y"]
    if any(one.along == "y" and one.above for one in shut):
        high = max(CLEAR * max(limits), min(high, SEEN * max(limits)))
    elif limits:
        high = max(high, CLEAR * max(limits))
    if -low < SLIGHT * (high - low):
        low = 0.0
    if high - low < NOISE:
        high = low + 1.0
    step = nice((high - low) / 5)
    return step * np.floor(low / step + NOISE), step * np.ceil(high / step - NOISE)


def _pieces(line: Line, most: float) -> Iterator[list[tuple[float, float]]]:
    """The parts of a line that are on the sheet, cut where it leaves over the top or has nothing to tell."""
    piece: list[tuple[float, float]] = []
    points = list(zip(line.x, line.y, strict=True))
    for (x, y), (x_next, y_next) in pairwise([*points, points[-1]] if points else []):
        if np.isfinite(y) and y <= most:
            piece.append((x, y))
        if np.isfinite(y) and np.isfinite(y_next) and (y <= most) != (y_next <= most):
            cut = x + (x_next - x) * (most - y) / (y_next - y)
            piece.append((cut, most))
        if piece and not (np.isfinite(y_next) and y_next <= most):
            yield piece
            piece = []
    if piece:
        yield piece


def _zone(
    sheet: Drawing, labels: Labels, one: Shut, sides: tuple[tuple[float, float], tuple[float, float]], at: Spot
) -> tuple[list[tuple[float, float]], str] | None:
    """Fill what a limit on the lines shuts; gives the places in it where its name may stand, the best first, and the name."""
    (low, high), (least, most) = sides
    says = f"shut: {one.says}"
    wide = width_of(says, "soft")
    if one.along == "y":
        far = most if one.above else least
        (x0, y0), (x1, y1) = at(low, max(one.value, far)), at(high, min(one.value, far))
        sheet.box(x0, y0, x1 - x0, y1 - y0, "f-shut")
        edge = at(low, one.value)[1]
        sheet.line(x0, edge, x1, edge, "bold")
        labels.avoid_line([(x0, edge), (x1, edge)])
        along = (x0 + 8, (x0 + x1 - wide) / 2, x1 - wide - 8)
        rows = (edge - 10, y0 + 12) if one.above else (edge + 12, y1 - 10)
        return [(x, y) for y in rows if y0 < y < y1 for x in along if x > x0] or [(x0 + 8, rows[0])], says
    if one.along == "slope":
        reach = min(high, most / one.value) if one.value else high
        if reach <= low:
            return None
        begin = max(low, 0.0)
        corner, end = at(begin, one.value * begin), at(reach, one.value * reach)
        top = [at(reach, most), at(begin, most)]
        sheet.path([corner, end, *top], "f-shut", closed=True)
        sheet.path([corner, end], "bold")
        labels.avoid_line([corner, end])
        head = at(begin, most)[1]
        edge_at = [
            (end[0] - corner[0]) * (corner[1] - y) / (corner[1] - end[1]) for y in (head + 14, head + 30, head + 46)
        ]
        shorter = says.partition(",")[0]
        if not any(wide < room - 14 for room in edge_at):  # up to where it is judged stands among its figures
            says, wide = shorter, width_of(shorter, "soft")
        inside = [(corner[0] + 10, head + 14 + 16 * k) for k, room in enumerate(edge_at) if wide < room - 14]
        return inside or [(corner[0] + 10, head + 14)], says
    return None


def _gates(
    sheet: Drawing,
    gates: Sequence[Shut],
    gated: Sequence[Event],
    sides: tuple[tuple[float, float], float],
    at: Spot,
) -> None:
    """A strip under the axis up to what is asked, and an upright through it for each thing that happens."""
    (low, high), foot = sides
    top = foot + FOOT + 4
    words = []
    for gate in gates:
        edge = at(min(gate.value, high), 0.0)[0]
        sheet.box(LEFT, top, edge - LEFT, STRIP, "f-shut")
        if gate.value <= high:
            sheet.line(edge, top - 3, edge, top + STRIP + 3, "bold")
        said = f"shut: {gate.says}"
        inside = width_of(said) < edge - LEFT - 8
        words.append((LEFT + 6 if inside else edge + 8, top + 12, said))
    for k, event in enumerate(sorted(gated, key=lambda one: one.x)):
        x, y = at(min(event.x, high), event.y)
        if event.x < low:
            continue
        row = top + STRIP + 8 + ROW * k + 9
        sheet.line(x, y + 4, x, row - 5, "dots")
        beyond = x + 6 + width_of(event.says) > sheet.width
        sheet.word(x - 6 if beyond else x + 6, row, event.says, "end" if beyond else "")
    for x, y, said in words:
        sheet.word(x, y, said, "soft halo")


def _scales(
    sheet: Drawing,
    axes: tuple[str, str],
    span: tuple[float, float],
    sides: tuple[float, float],
    at: Spot,
    *,
    logarithmic: bool,
) -> None:
    """Ticks of whole steps upright and along, and the titles of both."""
    least, most = sides
    for tick, told in ticks(least, most, 5):
        x, y = at(span[0], tick)
        sheet.line(x - 4, y, x, y, "hair")
        sheet.word(x - 7, y + 4, told, "soft end")
    (left, foot), (right, _) = at(span[0], least), at(span[1], least)
    sheet.line(left, foot, right, foot, "ink")
    sheet.line(left, TOP, left, foot, "hair")
    if logarithmic:
        powers = range(int(np.floor(np.log10(span[0]))), int(np.ceil(np.log10(span[1]))) + 1)
        each = (1,) if len(powers) > 4 else (1, 2, 5)
        values = [m * 10.0**p for p in powers for m in each if span[0] <= m * 10.0**p <= span[1]]
        along = [(value, _large(value)) for value in values] if len(values) > 1 else ticks(*span, 6)
    else:
        along = ticks(*span, 6)
    free = -np.inf
    for tick, text in along:
        x, half = at(tick, least)[0], width_of(text) / 2
        sheet.line(x, foot, x, foot + 4, "ink")
        if x - half > free:
            sheet.word(x, foot + 17, text, "soft middle")
            free = x + half
    sheet.word(right, foot + 33, axes[0], "soft end")
    sheet.word(4, 12, axes[1], "soft")


def _large(tick: float) -> str:
    """A tick of a scale by powers of ten."""
    if tick >= MILLION:
        return f"{plain(tick / MILLION, 0)} million"
    return plain(tick, max(0, -int(np.floor(np.log10(tick) + NOISE))))
