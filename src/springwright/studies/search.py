"""A search for the designs none of which another betters, by pymoo: asked for a generation at a time, so that it can be stopped, kept and replayed.

What is kept is data alone: every design that was tried, with its figures, in the order of the search. Going on from it is the same search
from its seed, whose questions find their answers there already; so a search that was stopped gives what one that was not would have given.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
FEW = 20_000  # combinations of choices up to which all of them are tried
LOST = 1e6  # what a design that has no figures counts as, in each
STRAIGHT = 0.03  # of the range, that a knee lies below the line at least
GENERATION = 96  # designs of one generation, about
PARTITIONS = {3: 12, 4: 6, 5: 5, 6: 4}  # of the reference directions, by objectives


class Tried(NamedTuple):
    """What came of some designs: objectives to be made least (n, m), how far each limit is missed (n, l), at most 0 where it is met."""

    objectives: Floats
    missed: Floats


@dataclass
class Archive:
    """Every design that was tried, in order: its decisions and what came of it."""

    values: list[Floats] = field(default_factory=list)
    objectives: list[Floats] = field(default_factory=list)
    missed: list[Floats] = field(default_factory=list)

    def add(self, values: Floats, tried: Tried) -> None:
        """Put a generation at the end."""
        self.values += [*values]
        self.objectives += [*tried.objectives]
        self.missed += [*tried.missed]

    def __len__(self) -> int:
        return len(self.values)


def grid(axes: Sequence[Floats]) -> Floats | None:
    """Every combination of some choices (n, decisions), or None where they are too many."""
    count = 1
    for axis in axes:
        count *= len(axis)
        if count >= FEW:
            return None
    return np.stack([one.ravel() for one in np.meshgrid(*axes, indexing="ij")], axis=1)


def search(  # noqa: PLR0913 what a search is told, by name
    evaluate: Callable[[Floats], Tried],
    low: Floats,
    high: Floats,
    snap: Callable[[Floats], Floats],
    *,
    objectives: int,
    limits: int,
    most: int,
    seed: int,
    told: Callable[[Archive], None] = lambda _: None,
    begin: Floats | None = None,
) -> Archive:
    """Search with NSGA-III, of two objectives NSGA-II, until so many designs are tried.

    Parameters
    ----------
    evaluate : callable
        Objectives and missed limits of rows of decisions.
    low, high : arrays of shape (decisions,)
        Ends of each decision.
    snap : callable
        Rows of decisions brought to values that may be taken.
    objectives, limits : int
        How many there are.
    told : callable
        Given what was tried so far, after every generation; what it raises ends the search.
    begin : array of shape (n, decisions), optional
        Designs that are tried first.

    Returns
    -------
    Archive
        All that was tried.

    """
    from pymoo.core.evaluator import Evaluator
    from pymoo.problems.static import StaticProblem

    algorithm = _algorithm(low, high, snap, objectives, limits, seed, begin)
    archive = Archive()
    while len(archive) < most and algorithm.has_next():
        asked = algorithm.ask()
        values = np.asarray(asked.get("X"), dtype=float)
        done = evaluate(values)
        archive.add(values, done)
        told(archive)
        made = {"F": np.nan_to_num(done.objectives, nan=LOST)}
        if limits:
            made["G"] = np.nan_to_num(done.missed, nan=LOST)
        Evaluator().eval(StaticProblem(algorithm.problem, **made), asked)
        algorithm.tell(infills=asked)
    return archive


def _algorithm(
    low: Floats,
    high: Floats,
    snap: Callable[[Floats], Floats],
    objectives: int,
    limits: int,
    seed: int,
    begin: Floats | None,
) -> Any:
    from pymoo.algorithms.moo.nsga2 import NSGA2
    from pymoo.algorithms.moo.nsga3 import NSGA3
    from pymoo.core.problem import Problem
    from pymoo.core.repair import Repair
    from pymoo.core.termination import NoTermination
    from pymoo.operators.selection.tournament import TournamentSelection
    from pymoo.util.ref_dirs import get_reference_directions

    class Snap(Repair):  # type: ignore[misc]
        def _do(self, problem: Any, X: Any, **_: Any) -> Any:  # noqa: ARG002 as pymoo calls it
            return snap(X)

    problem = Problem(n_var=len(low), n_obj=objectives, n_ieq_constr=limits, xl=low, xu=high)
    if objectives < 3:
        first = _first(problem, snap, GENERATION, begin, seed)
        algorithm = NSGA2(pop_size=GENERATION, repair=Snap(), sampling=first)
    else:
        directions = get_reference_directions("das-dennis", objectives, n_partitions=PARTITIONS.get(objectives, 3))
        count = max(len(directions), GENERATION)
        first = _first(problem, snap, count, begin, seed)
        algorithm = NSGA3(
            directions, pop_size=count, repair=Snap(), sampling=first, selection=TournamentSelection(func_comp=_nearer)
        )
    algorithm.setup(problem, termination=NoTermination(), seed=seed)
    return algorithm


def _nearer(pop: Any, pairs: Any, random_state: Any = None, **_: Any) -> Any:
    """Of each pair the one that misses its limits by less, of equals that of the better rank, then either.

    pymoo's own draws some of these from a generator without a seed, so that no two searches would be alike.
    """
    missed, rank = np.asarray(pop.get("CV")).reshape(-1), pop.get("rank")
    rank = np.array([0.0 if one is None else float(one) for one in rank])
    a, b = pairs[:, 0], pairs[:, 1]
    either = random_state.integers(0, 2, len(pairs))
    less = np.where(
        missed[a] != missed[b], missed[a] > missed[b], np.where(rank[a] != rank[b], rank[a] > rank[b], either)
    )
    return np.where(less.astype(bool), b, a)[:, None]


def _first(problem: Any, snap: Callable[[Floats], Floats], count: int, begin: Floats | None, seed: int) -> Floats:  # fmt: skip
    """The first generation: those to begin with, the rest evenly over the range."""
    from scipy.stats import qmc

    spread = qmc.LatinHypercube(problem.n_var, seed=seed).random(count)
    values = problem.xl + spread * (problem.xu - problem.xl)
    if begin is not None and len(begin):
        values[: len(begin)] = begin[:count]
    return snap(values)


def unbettered(objectives: Floats) -> NDArray[np.bool_]:
    """(n,) which designs no other betters in everything; of equals the first."""
    from pymoo.util.nds.non_dominated_sorting import NonDominatedSorting

    kept = np.zeros(len(objectives), dtype=bool)
    if not len(objectives):
        return kept
    _, first = np.unique(objectives, axis=0, return_index=True)
    first = np.sort(first)
    kept[first[NonDominatedSorting().do(objectives[first], only_non_dominated_front=True)]] = True
    return kept


def hypervolume(objectives: Floats, best: Floats, worst: Floats) -> float:
    """Share of the box between two corners that some designs better (0 to 1) [-]."""
    from pymoo.indicators.hv import HV

    span = np.where(worst > best, worst - best, 1.0)
    inside = (objectives - best) / span
    inside = inside[(inside < 1).all(axis=1)]
    return float(HV(ref_point=np.ones(len(best)))(np.maximum(inside, 0.0))) if len(inside) else 0.0


def knee_of(objectives: Floats) -> int | None:
    """Of a front of two objectives the design farthest below the line between its ends, in shares of their range; None where it is straight."""
    order = np.argsort(objectives[:, 0], kind="stable")
    span = np.ptp(objectives, axis=0)
    if len(order) < 3 or not (span > 0).all():
        return None
    x, y = ((objectives - objectives.min(axis=0)) / span)[order].T
    below = 1 - x - y
    return int(order[np.argmax(below)]) if below.max() > STRAIGHT else None
