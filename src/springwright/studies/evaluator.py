"""Many designs to figures, in blocks: under the exchange, the front, the spread and the sweep alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import UnsolvedError
from springwright.motion.rig import same_make
from springwright.questions.context import ProofContext, RoadSection, footprint, mean_tyre
from springwright.questions.prove import make_ready
from springwright.sizing.fitted import sized
from springwright.studies.decisions import Decision
from springwright.studies.figures import ASKED, Block, Road, block_of
from springwright.studies.variants import Variant, Variants
from springwright.terrain.roughness import CLASSES
from springwright.vehicle.file import DesignFile

Floats = NDArray[np.float64]
SECONDS = 6.0  # driven by each design in each state
SETTLE = 1.5  # of them, in which no figures are kept
BLOCK = 64  # designs at once


class Evaluated(NamedTuple):
    """Figures of designs (designs, figures) [SI], nan where there is none, and the reason for each that has none."""

    figures: Floats
    reasons: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Evaluator:
    """From rows of decisions to figures; all designs meet the same ground."""

    file: DesignFile
    ready: ProofContext
    variants: Variants
    asked: tuple[str, ...]
    road: Road
    driven: tuple[int, ...]
    threads: int | None = None  # of the drives; as many as there are cores where it is left out

    def __call__(self, table: Floats) -> Evaluated:
        """Figures of designs given as rows of the decisions' values [SI]."""
        rows = np.atleast_2d(table).tolist()
        done = [
            self.of([self.variants.of(values) for values in rows[i : i + BLOCK]]) for i in range(0, len(rows), BLOCK)
        ]
        return Evaluated(np.concatenate([one.figures for one in done]), tuple(why for one in done for why in one.reasons))  # fmt: skip

    def of(self, made: Sequence[Variant | str]) -> Evaluated:
        """Figures of designs that are made, or the reasons why they are not."""
        figures = np.full((len(made), len(self.asked)), np.nan)
        reasons = [one if isinstance(one, str) else "" for one in made]
        for places in self._alike(made):
            found, why = self._block([one for i in places if not isinstance(one := made[i], str)])
            figures[places] = found
            for i, reason in zip(places, why, strict=True):
                reasons[i] = reason
        return Evaluated(figures, tuple(reasons))

    def _alike(self, made: Sequence[Variant | str]) -> list[list[int]]:
        """Places of designs that go into one batch."""
        groups: list[list[int]] = []
        heads: list[Variant] = []
        for i, one in enumerate(made):
            if isinstance(one, str):
                continue
            k = next((k for k, head in enumerate(heads) if same_make(head.rigs[0], one.rigs[0])), len(heads))
            if k == len(heads):
                heads.append(one)
                groups.append([])
            groups[k].append(i)
        return groups

    def _block(self, variants: list[Variant]) -> tuple[Floats, list[str]]:
        """Figures of designs of one make; one that cannot stand in some state has none."""
        block = block_of(variants, self.road, self.driven, self.ready, self.threads)
        states = len(variants[0].rigs)
        why = [
            next((f'load state "{one.weights[s].name}": {reason}' for s, reason in enumerate(mine) if reason), "")
            for n, one in enumerate(variants)
            for mine in [block.rests.reasons[n * states : (n + 1) * states]]
        ]
        found = np.full((len(variants), len(self.asked)), np.nan)
        good = [n for n, reason in enumerate(why) if not reason]
        if not good:
            return found, why
        if len(good) < len(variants):
            block = block_of([variants[n] for n in good], self.road, self.driven, self.ready, self.threads)
        for k, ident in enumerate(self.asked):
            found[good, k] = ASKED[ident].of(block)
        if any(ASKED[ident].stands_in for ident in self.asked):
            for n, reason in zip(good, self._lost(block), strict=True):
                why[n] = reason
        found[[n for n, reason in enumerate(why) if reason]] = np.nan
        return found, why

    def _lost(self, block: Block) -> list[str]:
        each = len(self.driven)
        reasons = block.runs.reasons
        return [
            next(
                (
                    f'load state "{block.variants[n].weights[s].name}" on {self.road.name}: {reason}'
                    for s, reason in zip(self.driven, reasons[n * each : (n + 1) * each], strict=True)
                    if reason
                ),
                "",
            )
            for n in range(len(block.variants))
        ]


def evaluator(
    file: DesignFile,
    decisions: Sequence[Decision],
    asked: Sequence[str],
    *,
    seed: int = 1,
    seconds: float = SECONDS,
    ground: str = "",
    states: Sequence[str] = (),
) -> Evaluator:
    """Ready to evaluate: the design's sizing, its states, the ground that all drive over [s].

    The states that are driven, where none are named, are that of the design and the lightest; the ground, where none is, that of the
    reference, else the longest stint's, else the first, at its usual speed.

    Raises
    ------
    UnsolvedError
        There is no rough ground to drive on.

    """
    ready = make_ready(file, seed)
    stretch = ready.stretch(ground) if ground else _usual(ready)
    letter = next((one.iso_class for one in file.design.grounds if one.name == stretch.name), None)
    roughness = CLASSES[letter] if letter else None
    felt = footprint(*mean_tyre(file.design, ready.loads))
    road = Road(stretch.name, stretch.ground, stretch.speed, seconds, min(SETTLE, seconds / 4), roughness, felt)
    names = [at.name for at in ready.states]
    light = min(ready.states, key=lambda at: at.weight.mass).name
    driven = tuple(sorted({names.index(one) for one in states or (ready.home.name, light)}))
    return Evaluator(file, ready, Variants(file, sized(file), decisions), tuple(asked), road, driven)


def _usual(ready: ProofContext) -> RoadSection:
    """The rough ground the design is mostly driven on."""
    rough = {one.name: one for one in ready.stretches if one.rough}
    if not rough:
        raise UnsolvedError("none of the grounds goes on: give a [[grounds]] with iso_class, preset or profile")
    design = ready.design
    stints = sorted(design.duty_cycle, key=lambda one: -one.hours)
    wanted = [design.reference.ground, *(one.ground for one in stints)]
    return next((rough[name] for name in wanted if name in rough), next(iter(rough.values())))
