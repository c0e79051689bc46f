"""How steeply figures change with every decision at a design, and what one of them costs in another there.

Central differences on a fifth of each step, on springs of any rate: a bought spring would jump. Directions are told in steps, so
that a hertz and a millimetre can stand beside each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import UnsolvedError
from springwright.results import Result
from springwright.sizing.fitted import sized
from springwright.studies.evaluator import Evaluator, evaluator
from springwright.studies.figures import ASKED, can_ask
from springwright.studies.steps import steps_of
from springwright.vehicle.file import DesignFile

Floats = NDArray[np.float64]
PART = 0.2  # of a step, either way
FIGURES = ("weighted_acceleration", "load_variation", "roll_gradient", "cross_axle_height", "bump_load_factor", "height_change")  # fmt: skip
BENT = 0.25  # by how much of the greater the slopes to either side differ where a kink lies between
SLIGHT = 0.02  # of a figure, over a whole step: slopes less steep than this are not told to differ
PAIRED = (("roll_gradient", "weighted_acceleration"), ("load_variation", "weighted_acceleration"), ("roll_gradient", "cross_axle_height"), ("bump_load_factor", "weighted_acceleration"))  # fmt: skip


@dataclass(frozen=True)
class Tangent(Result):
    """What a unit of one figure gained costs in another at this design, moving every decision in proportion to what it gains.

    `rate` is the loss per gain [unit of `lost` per unit of `gained`], below nothing where both gain; `free_gained` and `free_lost` what
    is still won of both by a step in the direction that serves both best.
    """

    gained: str
    lost: str
    rate: float
    free_gained: float
    free_lost: float
    by: tuple[str, ...] = ()


@dataclass(frozen=True)
class Kink(Result):
    """A figure whose slope differs to either side of the design: its change by a whole step down and up, by those slopes [SI]."""

    figure: str
    what: str
    down: float
    up: float


class Slopes(NamedTuple):
    """Change of each figure by a whole step of each decision (decisions, figures): in the mean, downwards and upwards [SI]."""

    decisions: tuple[str, ...]
    ways: tuple[tuple[str, str], ...]  # how a whole step of each reads, and one the other way
    figures: tuple[str, ...]
    mean: Floats
    down: Floats
    up: Floats
    value: Floats


def gradient(file: DesignFile, asked: Sequence[str], seed: int = 1) -> Slopes:
    """Slopes of figures at a design, in steps of its decisions."""
    able = evaluator(file, (), asked, seed=seed)
    return _differences(able, file)


def _differences(able: Evaluator, file: DesignFile) -> Slopes:
    sheet = sized(file)
    each = [steps_of(file, sheet, times) for times in (PART, -PART)]
    whole = [steps_of(file, sheet, times) for times in (1.0, -1.0)]
    reads = {up.id: (f"{up.what} {up.by}", f"{down.what} {down.by}") for up, down in zip(*whole, strict=True)}
    # weight that is added has no other side: what is taken away is something else
    pairs = [(up, down) for up, down in zip(*each, strict=True) if up.changes and down.changes and up.field != "mass"]
    makes = able.variants.changed
    told = able.of([makes([])] + [makes(one.changes) for pair in pairs for one in pair])
    here, rest = told.figures[0], told.figures[1:].reshape(len(pairs), 2, -1)
    up, down = (rest[:, 0] - here) / PART, (here - rest[:, 1]) / PART
    good = np.isfinite(up).all(axis=1) & np.isfinite(down).all(axis=1)
    kept = [pair[0] for pair, fine in zip(pairs, good, strict=True) if fine]
    names, ways = tuple(one.what for one in kept), tuple(reads[one.id] for one in kept)
    return Slopes(names, ways, able.asked, ((up + down) / 2)[good], down[good], up[good], here)


def slopes(file: DesignFile, seed: int = 1) -> tuple[tuple[Tangent, ...], tuple[Kink, ...]]:
    """The exchange at a design between the figures most at odds, and where a slope differs to either side."""
    asked = [one for one in FIGURES if not can_ask(file.design, one)]
    try:
        found = gradient(file, asked, seed)
    except UnsolvedError:
        return (), ()
    if not np.isfinite(found.value).all():
        return (), ()
    tangents = [tangent(found, one, other) for one, other in PAIRED if one in asked and other in asked]
    return tuple(one for one in tangents if one is not None), tuple(_kinks(found))


def tangent(found: Slopes, gained: str, lost: str) -> Tangent | None:
    """The exchange between two figures by their gradients; none where the first is moved by nothing."""
    i, j = found.figures.index(gained), found.figures.index(lost)
    one, other = (_gain(found, k) for k in (i, j))  # what a step wins of each
    steep, wide = float(one @ one), float(np.linalg.norm(other))
    if steep == 0:
        return None
    both = one / np.sqrt(steep) + (other / wide if wide else 0.0)
    length = float(np.linalg.norm(both))
    way = both / length if length > 1e-9 else np.zeros_like(one)
    most = np.argsort(-np.abs(one))[:3]
    by = tuple(found.ways[k][0 if one[k] > 0 else 1] for k in most if abs(one[k]) > 0.1 * np.sqrt(steep))
    return Tangent(gained, lost, float(-(other @ one) / steep), float(one @ way), float(other @ way), by)


def _gain(found: Slopes, k: int) -> Floats:
    return found.mean[:, k] * (1.0 if ASKED[found.figures[k]].sense == "at least" else -1.0)


def _kinks(found: Slopes) -> list[Kink]:
    told = []
    for k, figure in enumerate(found.figures):
        for d, name in enumerate(found.decisions):
            down, up = float(found.down[d, k]), float(found.up[d, k])
            steeper = max(abs(down), abs(up))
            if abs(up - down) > BENT * steeper and steeper > SLIGHT * abs(float(found.value[k])):
                told.append(Kink(figure, name, -down, up))
    return told
