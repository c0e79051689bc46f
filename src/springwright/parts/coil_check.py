"""Hold a coil spring against what the axle asks of it, and find the coils that would do.

Both directions share `evaluate`, which works on single springs and on whole grids alike.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any, NamedTuple

import numpy as np
from pydantic import model_validator

from springwright.errors import FieldFault
from springwright.parts import coil
from springwright.parts.fatigue import Wound, factor_of_safety
from springwright.parts.law import SpringNeed
from springwright.parts.material import GradeName
from springwright.parts.wire import Wire, read_table, wire
from springwright.quantities import PositiveLength, Ratio, Record, Stress
from springwright.results import Judged, Result, si
from springwright.units import plain, remembered_as_shown, show

_EN = "EN 13906-1"


class Scope(NamedTuple):
    """Spring index and active coils a process can make, and where that stands."""

    least_index: float
    most_index: float
    least_active: float
    source: str


SCOPES: dict[str, Scope] = {
    "cold coiled": Scope(4.0, 20.0, 2.0, "EN 15800 scope"),
    "hot coiled": Scope(3.0, 12.0, 3.0, "EN 13906-1 scope, hot coiled, from memory"),
}
MOST_ACTIVE = 40.0  # of the search
_MEAN_STEP, _COIL_STEP, _FREE_STEP = 0.5e-3, 0.01, 0.5e-3  # what a spring maker is asked to hold


class Coil(Record):
    """A coil spring as measured or ordered. The grade decides whether it is cold or hot coiled."""

    wire: PositiveLength
    mean_diameter: PositiveLength | None = None
    outside_diameter: PositiveLength | None = None
    active_coils: Ratio
    total_coils: Ratio | None = None
    free_length: PositiveLength
    ends: coil.Ends = "closed and ground"
    grade: GradeName
    solid_shear: Stress | None = None

    @model_validator(mode="after")
    def _whole(self) -> Coil:
        if (self.mean_diameter is None) == (self.outside_diameter is None):
            raise FieldFault((), "give one of mean_diameter and outside_diameter")
        if self.mean < 1.5 * self.wire:
            raise FieldFault((), "the wire is too thick for this coil diameter; measure both again")
        if self.total_coils is not None and self.total_coils < self.active_coils:
            raise FieldFault(("total_coils",), "must be no less than active_coils")
        return self

    @property
    def made(self) -> CoilFigures:
        """What it comes to by itself, whatever is asked of it."""
        idle = SpringNeed(1.0, 1.0, 0.1, 0.1, 0.1, 0.1)
        return evaluate(
            wire(self.grade),
            self.wire,
            self.mean,
            self.active_coils,
            self.free_length,
            self.ends,
            idle,
            self.total_coils,
        )

    @property
    def mean(self) -> float:
        """Mean coil diameter [m]."""
        if self.mean_diameter is not None:
            return self.mean_diameter
        return (self.outside_diameter or 0.0) - self.wire


@dataclass(frozen=True)
class CoilFigures:
    """Everything about one coil or a grid of coils: floats or arrays of one shape, SI."""

    rate: Any
    index: Any
    total: Any
    solid: Any
    gaps: Any
    working_gaps: Any
    outside: Any
    inside: Any
    growth: Any
    pitch: Any
    mass: Any
    surge: Any
    solid_force: Any
    solid_stress: Any
    solid_limit: Any
    bump_stress: Any
    buckling: Any
    fatigue: Any
    endless: Any
    strength: Any

    def at(self, where: Any) -> CoilFigures:
        """The figures of the springs picked by an index."""
        return CoilFigures(**{f.name: np.asarray(getattr(self, f.name))[where] for f in fields(self)})


def evaluate(
    grade: Wire, d: Any, mean: Any, active: Any, free: Any, ends: coil.Ends, need: SpringNeed,
    total: Any = None, solid_limit: Any = None,
) -> CoilFigures:  # fmt: skip
    """Work out a coil (or arrays of coils) against a need."""
    rate = coil.rate(grade.shear_modulus, d, mean, active)
    total = coil.total_coils(active, ends, grade.made) if total is None else total
    solid = coil.solid_length(d, total, ends, grade.made)
    index = mean / d
    pitch = (free - solid) / active + d
    strength = grade.strength(d)
    solid_force = rate * np.maximum(free - solid, 0.0)
    middle, half = need.ride_length, need.fatigue_share
    shorter = middle - half * (middle - need.bump_length)
    longer = middle + half * (need.droop_length - middle)
    travel = free - need.bump_length
    swing = np.maximum(rate * (free - longer), 0.0), rate * (free - shorter)
    with np.errstate(divide="ignore", invalid="ignore"):
        fatigue = factor_of_safety(*swing, Wound(d, mean, strength, need.peened), need.strokes)
        endless = coil.fatigue_factor(*swing, d, mean, strength, grade.fatigue)
        buckling = (
            coil.buckling_travel(free, mean, need.seat_factor, grade.shear_modulus, grade.elastic_modulus) / travel
        )
    return CoilFigures(
        rate=rate,
        index=index,
        total=total,
        solid=solid,
        gaps=coil.least_gaps(d, mean, active, grade.made),
        working_gaps=coil.working_gaps(d, mean, active, grade.made),
        outside=mean + d,
        inside=mean - d,
        growth=np.maximum(coil.growth_at_solid(d, mean, pitch), 0.0),
        pitch=pitch,
        mass=coil.coil_mass(d, mean, total, grade.density),
        surge=coil.surge_frequency(d, mean, active, grade.shear_modulus, grade.density),
        solid_force=solid_force,
        solid_stress=coil.shear_stress(solid_force, mean, d),
        solid_limit=grade.solid_shear(d) if solid_limit is None else solid_limit,
        bump_stress=coil.correction(index) * coil.shear_stress(rate * travel, mean, d),
        buckling=buckling,
        fatigue=fatigue,
        endless=endless,
        strength=strength,
    )


@dataclass(frozen=True)
class SpringAtLength(Result):
    """The spring at one length."""

    name: str
    length: float = si("m")
    force: float = si("N")
    stress: float = si("Pa")
    corrected_stress: float = si("Pa")


@dataclass(frozen=True)
class CoilCheck(Result):
    """A coil spring held against a need: its dimensions, its loads at each length, and each judgement."""

    grade: str
    made: str
    ends: str
    wire: float = si("m")
    mean_diameter: float = si("m")
    outside_diameter: float = si("m")
    inside_diameter: float = si("m")
    active_coils: float = si("")
    total_coils: float = si("")
    free_length: float = si("m")
    solid_length: float = si("m")
    least_gaps: float = si("m")
    working_gaps: float = si("m")
    rate: float = si("N/m")
    index: float = si("")
    correction: float = si("")
    mass: float = si("kg")
    surge: float = si("Hz")
    growth_at_solid: float = si("m")
    strength: float = si("Pa")
    fatigue_factor: float = si("")
    mean_diameter_tolerance: float | None = si("m", None)
    positions: tuple[SpringAtLength, ...] = ()
    judged: tuple[Judged, ...] = ()
    strength_source: str = ""
    caveat: str = ""
    kept: str = ""

    @property
    def fits(self) -> bool:
        """Whether nothing that must hold is broken."""
        return all(one.word != "not met" for one in self.judged)


def mean_diameter_tolerance(mean: float, index: float) -> float | None:
    """Half width of the grade 2 tolerance on mean diameter [m]; None outside the table."""
    _, rows = read_table("mean-diameter-tolerance_din2097.csv")
    for row in rows:
        low, high = (float(row[f"mean diameter {edge} [mm]"]) for edge in ("above", "to"))
        text = row["index 4 to 8 [mm]"] if 4 <= index <= 8 else row["index 8 to 14 [mm]"] if 8 < index <= 14 else ""
        if low < 1e3 * mean <= high and text:
            return float(text) / 1e3
    return None


def check(
    grade: Wire, d: float, mean: float, active: float, free: float, ends: coil.Ends, need: SpringNeed,
    total: float | None = None, solid_limit: float | None = None,
) -> CoilCheck:  # fmt: skip
    """One coil against its need, in SI: wire, mean diameter and free length [m].

    Raises
    ------
    UnsolvedError
        The wire lies outside the grade's data.

    """
    f = evaluate(grade, d, mean, active, free, ends, need, total, solid_limit)
    places = {
        "free": free,
        "droop": min(need.droop_length, free),
        "ride": need.ride_length,
        "bump": need.bump_length,
        "solid": float(f.solid),
    }
    positions = []
    for name, length in places.items():
        force = max(float(f.rate) * (free - length), 0.0)
        stress = float(coil.shear_stress(force, mean, d))
        positions.append(SpringAtLength(name, length, force, stress, float(coil.correction(f.index)) * stress))
    return CoilCheck(
        grade=grade.name,
        made=grade.made,
        ends=ends,
        wire=d,
        mean_diameter=mean,
        outside_diameter=float(f.outside),
        inside_diameter=float(f.inside),
        active_coils=active,
        total_coils=float(f.total),
        free_length=free,
        solid_length=float(f.solid),
        least_gaps=float(f.gaps),
        working_gaps=float(f.working_gaps),
        rate=float(f.rate),
        index=float(f.index),
        correction=float(coil.correction(f.index)),
        mass=float(f.mass),
        surge=float(f.surge),
        growth_at_solid=float(f.growth),
        strength=float(f.strength),
        fatigue_factor=float(f.fatigue),
        mean_diameter_tolerance=mean_diameter_tolerance(mean, float(f.index)),
        positions=tuple(positions),
        judged=_judge(f, active, free, grade, need, stated=solid_limit is not None),
        strength_source=grade.source,
        caveat=grade.caveat,
        kept=f"Solid stress kept {show(need.stress_margin, 'share', 0)} under the permissible; fatigue factor for {_strokes(need)}, "
        f"each of {show(need.fatigue_share, 'share', 0)} of the travel both ways from ride"
        + (f"; outside diameter {need.room_taken}" if need.room_taken else ""),
    )


def _judge(
    f: CoilFigures, active: float, free: float, grade: Wire, need: SpringNeed, *, stated: bool
) -> tuple[Judged, ...]:
    droop_spare = free - need.droop_length
    share = f"{show(need.fatigue_share, 'share', 0)} of the travel each way from ride"
    scope, limit = SCOPES[grade.made], float(f.solid_limit)
    strict = Judged.of("fatigue safety factor, infinite life", float(f.endless), "at least", need.infinite_life_least, unit="", kind="ratio",
                       source=f"{share}; line of Sadhu Singh ex. 8.2 and Bhandari ex. 10.13, unpeened", id="endless_life")  # fmt: skip
    solid_source = "your own figure" if stated else grade.solid_source()
    return (
        Judged.of("length at full bump", need.bump_length, "at least", float(f.solid + f.gaps), unit="m", kind="length",
                  source=f"{_EN} 9.9 and 9.10: solid length and least gaps", id="length_at_full_bump"),
        Judged.of("length where the stop touches", need.stop_length, "at least", float(f.solid + f.working_gaps), unit="m", kind="length",
                  source=f"{_EN} 9.9: solid length and least gaps for dynamic use", id="length_where_the_stop_touches"),
        Judged.of("preload at full droop", droop_spare, "at least", 0.0 if need.loaded_at_droop else None, unit="m",
                  kind="length", source="a slack coil can leave its seat", id="pressed_at_full_droop"),
        Judged.of("shear stress pressed solid", float(f.solid_stress), "at most", float(f.solid_limit), unit="Pa", kind="stress",
                  source=solid_source, id="solid_shear_stress"),
        Judged.of("margin of the stress pressed solid", 1 - float(f.solid_stress) / limit, "at least", need.stress_margin or None, unit="", kind="share",
                  source="axles.spring.stress_margin, practice with no source", id="solid_margin"),
        Judged.of("buckling travel / travel used", float(f.buckling), "at least", 1.0, unit="", kind="ratio",
                  source=f"{_EN} 9.14, seat factor {need.seat_factor:g}", id="buckling"),
        Judged.of("spring index", float(f.index), "at least", scope.least_index, unit="", kind="ratio", source=scope.source, id="spring_index"),
        Judged.of("spring index", float(f.index), "at most", scope.most_index, unit="", kind="ratio", source=scope.source, id="spring_index"),
        Judged.of("active coils", active, "at least", scope.least_active, unit="", kind="ratio", source=scope.source, id="active_coils"),
        Judged.of("fatigue, factor of safety", float(f.fatigue), "at least", need.fatigue_least, unit="", kind="ratio",
                  source=f"{_strokes(need)}, {share}; Goodman on Zimmerli's limit, as Shigley", id="fatigue"),
        *((strict,) if need.infinite_life_least is not None else ()),
        Judged.of("outside diameter, grown at solid", float(f.outside + f.growth), "at most", need.largest_outside, unit="m",
                  kind="length", source=need.room_taken or "your space", id="outside_diameter"),
        Judged.of("inside diameter", float(f.inside), "at least", need.smallest_inside, unit="m", kind="length", source="your space", id="inside_diameter"),
    )  # fmt: skip


def _strokes(need: SpringNeed) -> str:
    return f"{plain(float(f'{need.strokes:.2g}'), 0)} strokes ({need.strokes_taken})"


@dataclass(frozen=True)
class CoilDesigns(Result):
    """The lightest coil for each wire that would do, lightest first, or why there is none."""

    found: tuple[CoilCheck, ...]
    tried: int
    none_because: str = ""


def design(grade_name: str, need: SpringNeed, ends: coil.Ends = "closed and ground", most: int = 8) -> CoilDesigns:
    """Search every wire of a grade and every mean diameter in half millimetres for coils that meet a need.

    Rate and ride load fix the active coils and the free length of each pair (wire, mean diameter), so
    the search is exhaustive; coils and free length are then rounded to what a maker is asked for.
    """
    return _designed(wire(grade_name), need, ends, most)


@remembered_as_shown(64)
def _designed(grade: Wire, need: SpringNeed, ends: coil.Ends, most: int) -> CoilDesigns:
    scope = SCOPES[grade.made]
    widest = min(need.largest_outside or np.inf, scope.most_index * max(grade.sizes))
    sizes = np.array([size for size in grade.sizes if grade.covers(size)])
    means = np.arange(scope.least_index * sizes[0], widest + _MEAN_STEP, _MEAN_STEP)
    means = np.round(means / _MEAN_STEP) * _MEAN_STEP
    d, mean = (grid.ravel() for grid in np.meshgrid(sizes, means, indexing="ij"))
    inside_scope = (mean >= scope.least_index * d) & (mean <= scope.most_index * d)
    d, mean = d[inside_scope], mean[inside_scope]
    active = np.round(coil.active_coils(grade.shear_modulus, d, mean, need.rate) / _COIL_STEP) * _COIL_STEP
    turns = (active >= scope.least_active) & (active <= MOST_ACTIVE)
    d, mean, active = d[turns], mean[turns], active[turns]
    free = need.ride_length + need.ride_force / coil.rate(grade.shear_modulus, d, mean, active)
    free = np.round(free / _FREE_STEP) * _FREE_STEP
    f = evaluate(grade, d, mean, active, free, ends, need)
    rules = {
        "the length at full bump": f.solid + f.gaps <= need.bump_length,
        "the length where the stop touches": f.solid + f.working_gaps <= need.stop_length,
        "a preload at full droop": (free >= need.droop_length) | (not need.loaded_at_droop),
        "the stress pressed solid": f.solid_stress <= f.solid_limit * (1 - need.stress_margin),
        "buckling": f.buckling >= 1,
        "fatigue": f.fatigue >= need.fatigue_least,
        "infinite life": f.endless >= (need.infinite_life_least or 0.0),
        "the space outside": f.outside + f.growth <= (need.largest_outside or np.inf),
        "the space inside": f.inside >= (need.smallest_inside or 0.0),
    }
    good = np.all(list(rules.values()), axis=0) if len(d) else np.zeros(0, dtype=bool)
    best: list[int] = []
    for size in np.unique(d[good]):
        of_size = np.flatnonzero(good & (d == size))
        best.append(int(of_size[np.argmin(np.asarray(f.mass)[of_size])]))
    best.sort(key=lambda i: float(np.asarray(f.mass)[i]))
    found = tuple(
        check(grade, float(d[i]), float(mean[i]), float(active[i]), float(free[i]), ends, need) for i in best[:most]
    )
    return CoilDesigns(found, len(d), "" if found else _why_none(rules, len(d)))


def _why_none(rules: dict[str, Any], tried: int) -> str:
    """Which requirement stands in the way of every coil, or which two do."""
    if not tried:
        return "no wire of this grade gives this rate with 2 (hot coiled 3) to 40 active coils and an index that can be coiled inside the space; widen the space or change the grade"
    names = list(rules)
    alone = [name for name in names if not np.any(rules[name])]
    if alone:
        return f"no coil in this space meets {' or '.join(alone)}, whatever else is given up"
    freed = [name for name in names if np.any(np.all([rules[other] for other in names if other != name], axis=0))]
    if freed:
        return f"no coil meets everything; easing {' or '.join(freed)} would open it"
    pairs = [(a, b) for i, a in enumerate(names) for b in names[i + 1 :] if not np.any(rules[a] & rules[b])]
    if pairs:
        return f"{pairs[0][0]} and {pairs[0][1]} exclude each other here"
    return "no coil meets everything, and easing one requirement alone would not help"
