"""Build spread: of many vehicles built to one drawing, how many meet each limit, which tolerance is to blame, and what a tighter one buys."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.counted import CountedStep
from springwright.evaluation import evaluated
from springwright.results import Result
from springwright.sizing.fitted import sized
from springwright.studies.chunks import built_of, built_rows
from springwright.studies.evaluator import Evaluated, Evaluator
from springwright.studies.helpers import Helpers
from springwright.studies.setting import Sought, setting_of, spec_in
from springwright.studies.tolerant import BuildTolerance, tolerances_of
from springwright.vehicle.file import DesignFile, opened

Floats = NDArray[np.float64]
BUILDS = 1024
BASE = 128  # sample of the indices, taken N (k + 2) times
SURE = 1.959964  # standard normal quantile of a two-sided 95 %
BINS = 32
AT_ONCE = 256  # builds between two words
ALIKE = "left and right of an axle are taken as built alike: what unlike springs do to lean is not in it"
TIGHTER = 0.5  # of a tolerance, that is tried
BLAMED = 2  # tolerances tried tighter, and both
AFEW = 1e-6  # of its mean: a figure that spreads by less is not shared out


@dataclass(frozen=True)
class Interval(Result):
    """A share and its 95 % interval."""

    share: float
    low: float
    high: float


@dataclass(frozen=True)
class Blame(Result):
    """How much of a figure's variance a tolerance has: alone (first order) and with all it acts with (total effect), each with its 95 % half width."""

    tolerance: str
    first: float
    first_off: float
    total: float
    total_off: float


@dataclass(frozen=True)
class HeldFigure(Result):
    """A figure over all builds: as drawn, its spread [SI by `unit`], and how many meet its limit; `edges` and `counts` draw it."""

    id: str
    words: str
    unit: str
    kind: str
    sense: str
    limit: float | None
    drawn: float
    low: float
    middle: float
    high: float
    met: Interval | None
    missed_as_drawn: bool
    edges: tuple[float, ...]
    counts: tuple[int, ...]
    blame: tuple[Blame, ...] = ()


@dataclass(frozen=True)
class Tighter(Result):
    """What a tighter tolerance buys: the share of builds that meet every limit then."""

    tolerances: tuple[str, ...]
    to: tuple[float, ...]
    met: Interval


@dataclass(frozen=True)
class BuildSpread(Result):
    """A design built many times: its tolerances, every figure, how many meet every limit that is met as drawn, and what would help."""

    vehicle: str
    file: str
    invented: bool
    builds: int
    seed: int
    tolerances: tuple[BuildTolerance, ...]
    figures: tuple[HeldFigure, ...]
    met: Interval
    fails: tuple[tuple[str, int], ...] = ()
    tighter: tuple[Tighter, ...] = ()
    refused: int = 0
    sampled: int = 0
    notes: tuple[str, ...] = ()
    stopped: bool = False

    def to_dataframe(self) -> Any:
        """Figures as a pandas DataFrame, a row for each: limit, spread [SI], share that meets it."""
        import pandas as pd

        return pd.DataFrame(
            [
                {"figure": one.id, "limit": one.limit, "drawn": one.drawn, "low": one.low, "middle": one.middle, "high": one.high, "met": one.met.share if one.met else None}
                for one in self.figures
            ]
        )  # fmt: skip


class _Shop(NamedTuple):
    """Builds the design."""

    able: Evaluator
    helpers: Helpers
    tolerances: tuple[BuildTolerance, ...]
    figures: tuple[Sought, ...]
    scale: float

    def build(self, off: Floats, say: Callable[[str], None], word: str) -> Floats:
        """(builds, figures) of designs off by shares (builds, tolerances); nan where one cannot stand [SI]."""
        found = np.full((len(off), len(self.figures)), np.nan)
        order = [self.able.asked.index(one.id) for one in self.figures]
        for begin in range(0, len(off), AT_ONCE):
            say(CountedStep(f"{word}: {begin} of {len(off)} built", begin, len(off)))
            told = self.helpers(off[begin : begin + AT_ONCE]).figures[:, order]
            ride = [k for k, one in enumerate(self.figures) if one.id == "weighted_acceleration"]
            told[:, ride] *= self.scale
            found[begin : begin + AT_ONCE] = told
        return found


@evaluated
def spread(
    file: DesignFile | str | Path,
    *,
    builds: int = BUILDS,
    base: int = BASE,
    seed: int = 1,
    workers: int | None = 1,
    progress: Callable[[str], None] | None = None,
    told: Callable[[BuildSpread], None] | None = None,
) -> BuildSpread:
    """Build a design many times within its tolerances.

    Parameters
    ----------
    file : DesignFile or path
    builds : int
        Scrambled Sobol points, a power of two; each tolerance on its own, normal, two standard deviations wide.
    base : int
        N of the N (k + 2) builds from which indices are taken by SALib, a power of two; 0 for none.
    seed : int
        Of the points; the same seed builds the same.
    workers : int, optional
        Processes that build, this one among them; None for one on each core where there are enough builds. It changes no figure,
        and a script that asks for more than one stands behind `if __name__ == "__main__"`, as they read it too.
    progress : callable, optional
        Told how far it has come; Ctrl-C from it, or pressed, keeps the shares once they are there.
    told : callable, optional
        Given the shares before indices are begun.

    Raises
    ------
    InputError
        A fault in the design, or it sets no limits.

    """
    say, file = progress or (lambda _: None), opened(file)
    say("sizing and standing")
    setting = setting_of(file, (), seed, sought=())
    own, spec = partial(_built, setting.able), spec_in(file, setting, seed)
    with Helpers(own, built_rows, spec, workers, builds + base) as helpers:
        shop = _Shop(setting.able, helpers, tolerances_of(file.design, sized(file)), setting.figures, setting.scale)
        return _spread(file, shop, (*setting.notes, ALIKE), builds, base, seed, say, told)


def _built(able: Evaluator, off: Floats) -> Evaluated:
    return built_of(able, off.tolist())


def _spread(
    file: DesignFile,
    shop: _Shop,
    notes: tuple[str, ...],
    builds: int,
    base: int,
    seed: int,
    say: Callable[[str], None],
    told: Callable[[BuildSpread], None] | None,
) -> BuildSpread:
    """Shares, then what is to blame, then tighter tolerances."""
    points = _points(len(shop.tolerances), builds, seed)
    width = np.array([one.share / 2 for one in shop.tolerances])
    drawn = shop.build(np.zeros((1, len(width))), say, "as drawn")[0]
    values = shop.build(points * width, say, "builds")
    meets = met(values, shop.figures)
    counted = [k for k in range(len(shop.figures)) if shop.figures[k].limit is not None and not shop.figures[k].held]
    whole = meets[:, counted].all(axis=1)
    design = file.design
    found = BuildSpread(
        design.vehicle.name, file.path.name, design.vehicle.invented, builds, seed, shop.tolerances,
        tuple(_held(one, drawn[k], values[:, k], meets[:, k]) for k, one in enumerate(shop.figures)),
        wilson(int(whole.sum()), builds), _fails(meets[:, counted], [shop.figures[k].words for k in counted]),
        refused=int((~np.isfinite(values).all(axis=1)).sum()), notes=notes,
    )  # fmt: skip
    if told is not None:
        told(found)
    try:
        if base:
            found = _blamed(found, shop, width, base, seed, say)
            found = replace(found, tighter=_tighter(found, shop, points, width, counted, say))
    except KeyboardInterrupt:
        found = replace(found, stopped=True)
    return found


def _points(inputs: int, count: int, seed: int) -> Floats:
    """Scrambled Sobol points as standard normal values (count, inputs) [-]."""
    from scipy.special import ndtri
    from scipy.stats import qmc

    unit = qmc.Sobol(inputs, scramble=True, seed=seed).random(count)
    return np.asarray(ndtri(np.clip(unit, 1e-12, 1 - 1e-12)))


def met(values: Floats, figures: Sequence[Sought]) -> NDArray[np.bool_]:
    """(builds, figures) whether each meets its limit; one without a limit does, a build that cannot stand does not."""
    found = np.isfinite(values)
    for k, one in enumerate(figures):
        if one.limit is not None:
            with np.errstate(invalid="ignore"):
                found[:, k] &= values[:, k] <= one.limit if one.sense == "at most" else values[:, k] >= one.limit
    return found


def wilson(met: int, of: int) -> Interval:
    """A share with its 95 % interval (Wilson 1927) [-]."""
    share, z = met / of, SURE
    middle = (share + z**2 / (2 * of)) / (1 + z**2 / of)
    half = z / (1 + z**2 / of) * float(np.sqrt(share * (1 - share) / of + z**2 / (4 * of**2)))
    return Interval(share, max(middle - half, 0.0), min(middle + half, 1.0))


def _held(one: Sought, drawn: float, values: Floats, meets: NDArray[np.bool_]) -> HeldFigure:
    good = values[np.isfinite(values)]
    low, middle, high = np.quantile(good, (0.025, 0.5, 0.975)).tolist() if len(good) else (np.nan,) * 3
    counts, edges = np.histogram(good, BINS) if len(good) and np.ptp(good) > 0 else (np.zeros(0), np.zeros(0))
    share = None if one.limit is None or one.held else wilson(int(meets.sum()), len(values))
    return HeldFigure(
        one.id, one.words, one.unit, one.kind, one.sense, one.limit, float(drawn), low, middle, high, share, one.held,
        tuple(edges.tolist()), tuple(int(count) for count in counts.tolist()),
    )  # fmt: skip


def _fails(meets: NDArray[np.bool_], words: Sequence[str]) -> tuple[tuple[str, int], ...]:
    """What those that fail, fail: each once by its one limit, those of several together."""
    counts: dict[str, int] = {}
    for row in meets:
        lost = [words[k] for k in np.flatnonzero(~row).tolist()]
        if lost:
            name = lost[0] if len(lost) == 1 else "more than one"
            counts[name] = counts.get(name, 0) + 1
    return tuple(sorted(counts.items(), key=lambda one: -one[1]))


def indices(
    evaluate: Callable[[Floats], Floats], names: Sequence[str], width: Floats, base: int, seed: int
) -> list[dict[str, Floats]]:
    """First-order and total-effect indices by SALib of figures (n, m) of normal inputs (n, k), each a standard deviation wide; a dictionary a figure.

    Rows without a figure stand at the mean of the others.
    """
    from SALib.analyze import sobol as analysis
    from SALib.sample import sobol as sampling

    problem = {"num_vars": len(names), "names": [*names], "bounds": [[0.0, float(one)] for one in width], "dists": ["norm"] * len(names)}  # fmt: skip
    points = sampling.sample(problem, base, calc_second_order=False, seed=seed)
    values = evaluate(np.asarray(points))
    found: list[dict[str, Floats]] = []
    for column in values.T:
        good = np.isfinite(column)
        filled = np.where(good, column, column[good].mean() if good.any() else 0.0)
        if np.std(filled) <= AFEW * abs(float(np.mean(filled))):
            found.append({})
            continue
        found.append(analysis.analyze(problem, filled, calc_second_order=False, seed=seed, num_resamples=100))
    return found


def _blamed(
    found: BuildSpread, shop: _Shop, width: Floats, base: int, seed: int, say: Callable[[str], None]
) -> BuildSpread:
    names = [one.name for one in shop.tolerances]
    told = indices(lambda off: shop.build(off, say, "which to blame"), names, width, base, seed)
    figures = []
    for one, each in zip(found.figures, told, strict=True):
        blame = [
            Blame(name, *(float(each[key][k]) for key in ("S1", "S1_conf", "ST", "ST_conf"))) for k, name in enumerate(names)
        ] if each else []  # fmt: skip
        figures.append(replace(one, blame=tuple(sorted(blame, key=lambda one: -one.total))))
    return replace(found, figures=tuple(figures), sampled=base * (len(names) + 2))


def _tighter(
    found: BuildSpread, shop: _Shop, points: Floats, width: Floats, counted: Sequence[int], say: Callable[[str], None]
) -> tuple[Tighter, ...]:
    """The tolerances most to blame for what fails, halved: each alone and together, built again on the same points."""
    weight: dict[str, float] = {}
    for one in found.figures:
        if one.met is None or one.met.share >= 1:
            continue
        for blame in one.blame:
            weight[blame.tolerance] = weight.get(blame.tolerance, 0.0) + max(blame.total, 0.0) * (1 - one.met.share)
    worst = sorted(weight, key=lambda name: -weight[name])[:BLAMED]
    names = [one.name for one in shop.tolerances]
    told = []
    for some in [*((one,) for one in worst), *([tuple(worst)] if len(worst) > 1 else [])]:
        narrow = np.array([TIGHTER if name in some else 1.0 for name in names])
        values = shop.build(points * width * narrow, say, f"with {' and '.join(some)} tighter")
        whole = met(values, shop.figures)[:, counted].all(axis=1)
        to = tuple(TIGHTER * shop.tolerances[names.index(name)].share for name in some)
        told.append(Tighter(some, to, wilson(int(whole.sum()), len(points))))
    return tuple(told)
