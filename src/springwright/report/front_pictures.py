"""A front drawn: on its first two figures, over upright scales, and what varies on rails."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from springwright.drawing.front import Scale, Spot, front_drawing
from springwright.drawing.rails import presses, rail_drawing
from springwright.drawing.scales import LIMIT, DesignLine, UprightScale, scales_drawing
from springwright.drawing.svg import Drawing
from springwright.report.front import told_figure
from springwright.report.tables import capital
from springwright.studies.front_results import Front, FrontDesign, Vary
from springwright.studies.setting import PRICE, Sought
from springwright.units import number, plain, scale_of, unit_of

Does = Callable[[FrontDesign], Mapping[str, Any] | None]
MOST = 7  # figures on upright scales: those sought, and of the rest those that leave least to their limits
LINES = 200  # designs drawn as lines at most
HEADS = {
    "weighted_acceleration": "seat", "load_variation": "wheel load", "roll_gradient": "roll", "side_slope": "side slope", "cross_axle_height": "cross axle",
    "bump_load_factor": "bump load", "height_change": "height change", "frequency_change": "frequency change", "attitude_change": "attitude change",
    "lamp_aim_change": "lamp aim", "roll_damping": "roll damping", "spring_force_at_full_droop": "spring in droop", "bump_left": "bump left",
    "droop_left": "droop left", "belly_clearance": "belly", "off_ground": "off ground", PRICE: "price",
}  # fmt: skip
TIGHT = 0.02  # of a limit, that the best of a figure is taken to leave to it where it leaves less


def _none(_: FrontDesign) -> None:
    return None


def front_figure(result: Front, *, across: str = "", up: str = "", picked: int = 0, does: Does = _none) -> Drawing:
    """The front on two figures that are sought, named by their ids, else the first two; beads as large as a third lies from its worst.

    On a page one design is `picked`, and pressing one `does`.
    """
    first, second = axes_of(result, across, up)
    sought = [i for i, one in enumerate(result.figures) if one.sought]
    places = [second, first, *(i for i in sought if i not in (first, second))]
    scales = []
    for i in (first, second):
        one = result.figures[i]
        limit = None if one.limit is None else one.limit / _scale(one)
        title = one.words if one.id == PRICE else " ".join(f"{one.words}, {unit_of(one.kind)}".rstrip(", ").split())
        scales.append(Scale(title, limit, one.sense == "at most"))
    third = places[2] if len(places) > 2 else None
    worst, best = 0.0, 0.0
    if third is not None and result.designs:
        values = [one.figures[third] or 0.0 for one in result.designs]
        worst, best = (
            (max(values), min(values)) if result.figures[third].sense == "at most" else (min(values), max(values))
        )

    levels = _levels(result)

    def spot(one: FrontDesign, names: tuple[str, ...] = ()) -> Spot:
        size = 0.3
        if third is not None and best != worst:
            size = ((one.figures[third] or 0.0) - worst) / (best - worst)
        x, y = ((one.figures[i] or 0.0) / _scale(result.figures[i]) for i in (first, second))
        marks = " ".join(f"{share:.3f}" for share in _line(result, one, levels)) if does(one) else ""
        told = f"design {one.number}: " + ", ".join(
            told_figure(result.figures[i], one.figures[i]) for i in (second, first)
        )
        return Spot(x, y, size, names, one.number, told, does(one), picked == one.number, marks)

    def named(one: FrontDesign) -> tuple[str, ...]:
        if not one.called:
            return (f"design {one.number}, picked",) if picked == one.number else ()
        figures = " and ".join(told_figure(result.figures[i], one.figures[i]) for i in (first, second))
        return (f"{one.called}, design {one.number}", figures)

    beads = [spot(one, named(one)) for one in result.designs]
    now = result.today
    if now is not None and any(
        now.figures[i] is None or not np.isfinite(now.figures[i] or 0.0) for i in (first, second)
    ):
        now = None  # it has no such figure, such as the price of a spring that is in no catalogue
    here = None if now is None else spot(now, ("today", " and ".join(told_figure(result.figures[i], now.figures[i]) for i in (first, second))))  # fmt: skip
    return front_drawing(
        f"{result.vehicle}: the front", scales[0], scales[1], beads, [spot(one) for one in result.bettered],
        [spot(one) for one in result.missed], here, _tangent(result, first, second),
    )  # fmt: skip


def _scale(one: Sought) -> float:
    return 1.0 if one.id == PRICE else scale_of(one.kind)


def _tangent(result: Front, first: int, second: int) -> tuple[float, str] | None:
    """Slope of the front's edge near today's place, and what it says, in display units."""
    from springwright.studies.search import unbettered

    if result.today is None or len(result.designs) < 6:
        return None
    a, b = result.figures[first], result.figures[second]
    sign = [-_way(one) for one in (a, b)]
    points = np.array([[one.figures[first], one.figures[second]] for one in result.designs], dtype=float)
    edge = points[unbettered(points * sign)]
    if len(edge) < 4:
        return None
    near = edge[np.argsort(np.abs(edge[:, 0] - (result.today.figures[first] or 0.0)))[: max(len(edge) // 3, 4)]]
    if np.ptp(near[:, 0]) == 0:
        return None
    slope = float(np.polyfit(near[:, 0], near[:, 1], 1)[0]) * _scale(a) / _scale(b)
    unit = unit_of(a.kind) if a.id != PRICE else ""
    return slope, f"here 1 {unit or 'of it'} costs {number(abs(slope) * _scale(b), b.kind)} {unit_of(b.kind)}".replace(
        "  ", " "
    )


def axes_of(result: Front, across: str = "", up: str = "") -> tuple[int, int]:
    """Which figures stand across and up: those named where they are sought and two, else the second and the first sought."""
    sought = {one.id: i for i, one in enumerate(result.figures) if one.sought}
    usual = [*sought.values()]
    first, second = sought.get(across, usual[1]), sought.get(up, usual[0])
    return (first, second) if first != second else (usual[1], usual[0])


def _numbered(result: Front, number: int) -> FrontDesign | None:
    return next((one for one in result.designs if one.number == number), None)


def words_of(vary: Vary) -> str:
    """A decision in short, as its field has it."""
    left_out = ("axles", "*", "target", "part", "travel")
    words = " ".join(one.replace("_", " ") for one in vary.field.split(".") if one not in left_out)
    return capital(words + (" travel" if ".travel." in vary.field else ""))


def rails(result: Front, picked: int = 0) -> list[tuple[Drawing, str]]:
    """What varies, each on a rail, and at which end of it designs press that meet every limit."""
    mine = _numbered(result, picked)
    made = []
    for k, vary in enumerate(result.decisions):
        share = [_share(vary, one.values[k]) for one in result.designs]
        lies = (_share(vary, vary.lies[0]), _share(vary, vary.lies[1])) if vary.lies else None
        now = None if vary.today is None else _share(vary, vary.today)
        chosen = None if mine is None else _share(vary, mine.values[k])
        where = presses(lies)
        said = f"{words_of(vary)}: {len(result.designs)} of the front" + (f", designs that meet every limit press against it {where}" if where else "")  # fmt: skip
        made.append((rail_drawing(said, lies, share, now, chosen), where))
    return made


def scales_figure(result: Front, *, picked: int = 0, does: Does = _none) -> Drawing:
    """Every design of the front over what it is built with and what that gives; today's dashed, one `picked` bold with its figures."""
    levels = _levels(result)
    built = [_built(one) for one in result.decisions]
    given = [_given(one) for one in levels]

    def line(one: FrontDesign, look: str, words: tuple[str, ...] = ()) -> DesignLine:
        return DesignLine(_line(result, one, levels), look, words, one.number, f"design {one.number}", does(one))

    lines = [line(one, "faint") for one in on_scales(result) if one.number != picked]
    today = result.today
    if today is not None and all(np.isfinite(one) for one in today.values):
        lines.append(line(today, "dash"))
    mine = _numbered(result, picked)
    if mine is not None:
        parts = [_bare(vary, value) for vary, value in zip(result.decisions, mine.values, strict=True)]
        figures = [told_figure(one.figure, mine.figures[one.place]).partition(" ")[0] for one in levels]
        lines.append(line(mine, "bold", (*parts, *figures)))
    return scales_drawing(f"{result.vehicle}: all requirements at once", built, given, lines)


def _line(result: Front, one: FrontDesign, levels: Sequence[_Level]) -> tuple[float, ...]:
    """Where a design crosses each scale, 0 at its top to 1 at its foot."""
    low = [1 - _share(vary, value) for vary, value in zip(result.decisions, one.values, strict=True)]
    return (*low, *(level.crossed(one.figures[level.place]) for level in levels))


def on_scales(result: Front) -> list[FrontDesign]:
    """The designs that are drawn as lines: all, or of too many some evenly between."""
    some = np.unique(np.linspace(0, len(result.designs) - 1, LINES).astype(int)) if result.designs else ()
    return [result.designs[int(i)] for i in some]


def _shown(result: Front) -> list[int]:
    """Figures on scales: those sought, then of those held to a limit the ones that leave least to it."""
    sought = [i for i, one in enumerate(result.figures) if one.sought]
    left = []
    for i, one in enumerate(result.figures):
        best = _best(result, i)
        if one.sought or one.limit is None or best is None:
            continue
        left.append((abs(one.limit - best) / (abs(one.limit) or 1.0), i))
    return [*sought, *(i for _, i in sorted(left)[: max(MOST - len(sought), 0)])]


def _known(result: Front, i: int) -> list[float]:
    some = (*result.designs, *([result.today] if result.today is not None else []))
    return [value for one in some if (value := one.figures[i]) is not None and np.isfinite(value)]


def _best(result: Front, i: int) -> float | None:
    values = _known(result, i)
    if not values:
        return None
    return min(values) if result.figures[i].sense == "at most" else max(values)


def _worst(result: Front, i: int) -> float:
    """What stands where limits lie: a figure's limit, without one its worst."""
    one, values = result.figures[i], _known(result, i)
    if one.limit is not None:
        return one.limit
    return (max(values) if one.sense == "at most" else min(values)) if values else 0.0


def _way(one: Sought) -> float:
    """1 where more of it is better, -1 where less is."""
    return -1.0 if one.sense == "at most" else 1.0


class _Level(NamedTuple):
    """The scale of one figure, by its place among all: its best, what stands at the level of limits, how much better its top is than that, and where the level lies."""

    place: int
    figure: Sought
    best: float | None
    worst: float
    better: float
    level: float

    def crossed(self, value: float | None) -> float:
        """Where a value crosses it, 0 at its top to 1 at the foot [SI by the figure]."""
        if value is None or not np.isfinite(value):
            return 1.0
        if self.better <= 0:
            return 0.0
        return float(min(max(self.level * (1 - _way(self.figure) * (value - self.worst) / self.better), 0.0), 1.0))

    @property
    def ends(self) -> tuple[float, float]:
        """What stands at its top and at its foot [SI by the figure]."""
        top = self.worst + _way(self.figure) * self.better
        return top, top - _way(self.figure) * self.better / self.level


def _levels(result: Front) -> list[_Level]:
    """The scales of the figures shown."""
    made = []
    for i in _shown(result):
        one, best, worst = result.figures[i], _best(result, i), _worst(result, i)
        better = 0.0 if best is None else _way(one) * (best - worst)
        if one.limit is not None:
            better = max(better, TIGHT * abs(one.limit))
        made.append(_Level(i, one, best, worst, better, 1.0 if one.limit is None else LIMIT))
    return made


def _given(level: _Level) -> UprightScale:
    one = level.figure
    unit = "" if one.id == PRICE else unit_of(one.kind)
    limit = "" if one.limit is None else _number(one, one.limit)
    top = "" if level.best is None else _number(one, level.best)
    return UprightScale(_short(one), unit, top, _number(one, level.worst), limit, level.ends)


def _short(one: Sought) -> str:
    return HEADS.get(one.id, one.words.split(",")[0])


def _number(one: Sought, value: float) -> str:
    return f"{value:.0f}" if one.id == PRICE else number(value, one.kind)


def _built(vary: Vary) -> UprightScale:
    if vary.choices:
        last = len(vary.choices)
        return UprightScale(words_of(vary), f"of {last} bought", str(last), "1", ends=(vary.high, vary.low))
    top, foot = number(vary.high, vary.kind), number(vary.low, vary.kind)
    return UprightScale(words_of(vary), unit_of(vary.kind), top, foot, ends=(vary.high, vary.low))


def _share(vary: Vary, value: float) -> float:
    """How far along its range a value lies, 0 at its least to 1 [SI by the decision]."""
    return (value - vary.low) / ((vary.high - vary.low) or 1.0)


def _bare(vary: Vary, value: float) -> str:
    return plain(value + 1, 0) if vary.choices else number(value, vary.kind)
