"""The front: the designs none of which another betters in everything, found by a search within the limits and proven in full."""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import Fault, FieldFault, InputError, SpringwrightError
from springwright.evaluation import evaluated
from springwright.files import is_there, read_file, write_whole
from springwright.questions.answer import Figure
from springwright.questions.prove import ask_briefly, make_ready
from springwright.questions.question import Question
from springwright.questions.registry import QUESTIONS
from springwright.questions.ride import total
from springwright.questions.road_runs import Runs
from springwright.results import Result, Word
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import catalogue_of
from springwright.studies.chunks import SweepSpec, axis_of, evaluated_rows, spec_of
from springwright.studies.decisions import Decision, decisions_of, today, told_changes, usual_texts
from springwright.studies.evaluator import Evaluator, evaluator
from springwright.studies.figures import ASKED, DEAR, can_ask, limit_of
from springwright.studies.helpers import Helpers
from springwright.studies.search import GENERATION, Archive, Tried, grid, hypervolume, knee_of, search, unbettered
from springwright.units import show, told
from springwright.vehicle.design import Design
from springwright.vehicle.edits import changed
from springwright.vehicle.file import DesignFile, opened

Floats = NDArray[np.float64]
MOST = 3000  # designs tried
USUAL = ("weighted_acceleration", "roll_gradient", "load_variation")  # sought where the design names none
PRICE = "price"
AFTER = 0.5  # s between words about how far it has come
HELD = 1e-6  # share by which a figure may miss a limit that it was held at
KEPT = 1  # format of what is kept of a search
STEPS = 12  # places at which the hypervolume is told
MISSED = 240  # designs that miss a limit, told at most


@dataclass(frozen=True)
class Vary(Result):
    """A decision of the search as it is told: from, to, today [SI by `unit`], and the parts there are to choose from."""

    field: str
    kind: str
    low: float
    high: float
    today: float | None
    choices: tuple[str, ...] = ()
    lies: tuple[float, ...] = ()  # least and greatest of the designs that meet every limit


@dataclass(frozen=True)
class Sought(Result):
    """A figure that the search betters, or holds to a limit; `held` where today's value stands in for a limit missed today [SI by `unit`]."""

    id: str
    words: str
    unit: str
    kind: str
    sense: str
    limit: float | None = None
    held: bool = False
    sought: bool = False
    stands_in: bool = False
    today: float | None = None


@dataclass(frozen=True)
class FrontDesign(Result):
    """One design: its number, the decisions' values and how they read, the figures looked at, and once proven the word of each question.

    `worst` is the word of all seven; `missed` names a limit that the search found missed and by how much of it.
    """

    number: int
    values: tuple[float, ...]
    shown: tuple[str, ...]
    figures: tuple[float | None, ...]
    called: str = ""
    proven: bool = False
    worst: Word = "not known"
    words: tuple[tuple[str, Word], ...] = ()
    deciding: tuple[Figure, ...] = ()
    missed: str = ""
    why: str = ""


@dataclass(frozen=True)
class Front(Result):
    """What a search came to: the front, best first in the first figure sought, beside it what is bettered or misses a limit."""

    vehicle: str
    file: str
    invented: bool
    decisions: tuple[Vary, ...]
    figures: tuple[Sought, ...]
    designs: tuple[FrontDesign, ...] = ()
    today: FrontDesign | None = None
    bettered: tuple[FrontDesign, ...] = ()
    missed: tuple[FrontDesign, ...] = ()
    tried: int = 0
    feasible: int = 0
    refused: int = 0
    seed: int = 1
    road: str = ""
    seconds: float = 0.0
    proving: float = 0.0
    converged: tuple[tuple[float, float], ...] = ()  # designs tried, share of the box bettered
    by_all: bool = False  # every combination was tried
    notes: tuple[str, ...] = ()
    stopped: bool = False

    def to_dataframe(self) -> Any:
        """The front as a pandas DataFrame, a row for each design: decisions, figures [SI], the word where it is proven."""
        import pandas as pd

        rows = [
            {
                "design": one.number, "called": one.called,
                **{vary.field: vary.choices[round(value)] if vary.choices else value for vary, value in zip(self.decisions, one.values, strict=True)},
                **{figure.id: value for figure, value in zip(self.figures, one.figures, strict=True)},
                "word": one.worst if one.proven else "not yet proven",
            }
            for one in self.designs
        ]  # fmt: skip
        return pd.DataFrame(rows)


class _Setting(NamedTuple):
    """What a search works on."""

    able: Evaluator
    decisions: tuple[Decision, ...]
    figures: tuple[Sought, ...]
    scale: float  # of the short drive's acceleration, that makes it today's long one
    notes: tuple[str, ...]


@evaluated
def front(  # noqa: PLR0913 what a search may be told, by name
    file: DesignFile | str | Path,
    *,
    most: int = MOST,
    seed: int = 1,
    kept: Path | None = None,
    resume: bool = False,
    prove: str = "named",
    workers: int | None = 1,
    progress: Callable[[str], None] | None = None,
    told: Callable[[Front], None] | None = None,
    questions: Sequence[Question] = QUESTIONS,
) -> Front:
    """Search the front of a design.

    Parameters
    ----------
    file : DesignFile or path
    most : int
        Designs tried.
    seed : int
        Of the search; the same seed gives the same front.
    kept : path, optional
        Where what was tried is kept while it goes, as JSON.
    resume : bool
        Go on from what is kept there.
    prove : {"none", "named", "all"}
        Which of the front are asked the seven questions in full: none, the ends and the knee, or all.
    workers : int, optional
        Processes that evaluate, this one among them; None for one on each core where the search is long enough. It changes no figure,
        and a script that asks for more than one stands behind `if __name__ == "__main__"`, as they read it too.
    progress : callable, optional
        Told how far it has come; Ctrl-C from it, or pressed, keeps what is there.
    told : callable, optional
        Given the front so far, at most twice a second.
    questions : sequence of Question
        Those it is proven by.

    Raises
    ------
    InputError
        The design's [trade] names what cannot be, sets no limits, or what is kept is of another search.

    """
    say, file = progress or (lambda _: None), opened(file)
    say("sizing and standing")
    setting = _setting(file, seed)
    spec = spec_in(file, setting, seed)
    known = _known_before(kept, _told_apart(setting, spec), resume=resume)
    begun = time.monotonic()
    stopped = False
    with Helpers(setting.able, evaluated_rows, spec, workers, most) as helpers:
        run = _Run(file, setting, helpers, seed, most, kept, known, say, told)
        try:
            run.go()
        except KeyboardInterrupt:
            stopped = True
    run.keep()
    found = replace(run.front(), seconds=time.monotonic() - begun, stopped=stopped)
    if stopped or prove == "none":
        return found
    return _proven(file, found, setting.decisions, prove, say, questions)


def _setting(file: DesignFile, seed: int) -> _Setting:
    """What is searched, checked before any work."""
    try:
        decisions = search_decisions(file)
        if not decisions:
            raise FieldFault(("trade", "vary"), 'nothing of this design varies of itself; name fields and their ranges, such as "axles.front.travel.bump = 80..120 mm"')  # fmt: skip
        seek = _sought(file.design, decisions)
    except FieldFault as fault:
        raise file.fault(fault) from None
    return setting_of(file, decisions, seed, sought=seek)


def spec_in(file: DesignFile, setting: _Setting, seed: int) -> SweepSpec:
    """What another process is told, so that it evaluates as this one does."""
    able, texts = setting.able, file.design.trade.vary
    if not setting.decisions:
        texts = ()
    elif not texts:
        texts = usual_texts(file.design, sized(file), catalogue_of(file))
    states = tuple(able.ready.states[s].name for s in able.driven)
    return spec_of(file, texts, able.asked, seed, able.road.duration, able.road.name, states)


def setting_of(file: DesignFile, decisions: Sequence[Decision], seed: int, *, sought: Sequence[str]) -> _Setting:
    """An evaluator of a design's limits and of what is sought, on the ground and in the states that govern its ride today.

    Raises
    ------
    InputError
        The design sets no limits.

    """
    design = file.design
    if not design.limits.model_fields_set:
        raise file.fault(FieldFault(("limits",), "no limit is set, so that every design would do; give at least one under [limits], such as roll_gradient"))  # fmt: skip
    ready = make_ready(file, seed)
    ride = next(one for one in _ride(file, seed) if one.id == "weighted_acceleration")
    ground = ride.ground if any(one.name == ride.ground and one.rough for one in ready.stretches) else ""
    states = {ready.home.name, ride.state or ready.home.name}
    limited = [one for one in ASKED if _limited(design, one) and not can_ask(design, one) and (one not in DEAR or one in sought)]  # fmt: skip
    asked = [one for one in dict.fromkeys((*sought, *limited)) if one != PRICE]
    able = evaluator(file, decisions, asked, seed=seed, ground=ground, states=sorted(states))
    scale = _scaled(able)
    here = able.of([able.variants.as_sized()]).figures[0]
    figures, notes = [], []
    for ident, value in zip(asked, here.tolist(), strict=True):
        value *= scale if ident == "weighted_acceleration" else 1.0
        one, said = _held_to(file, seed, ident, value)
        figures.append(replace(one, sought=ident in sought))
        notes += said
    if PRICE in sought:
        figures.append(
            Sought(PRICE, f"price of the springs chosen{_currency(file)}", "", "count", "at most", sought=True)
        )
    if any(one.stands_in for one in figures):
        notes.append(f"rides are driven for {able.road.duration:g} s on {able.road.name} in {' and '.join(ready.states[s].name for s in able.driven)}; weighted acceleration is told as it compares with prove's today, {scale:.3f} times that of the short drive")  # fmt: skip
    looked = {ASKED[k].field for k in asked} | {
        "wheel_load_kept" if "load_variation" in asked else "",
        "preload_at_droop",
    }
    left = [one.replace("_", " ") for one in sorted(design.limits.model_fields_set) if one not in looked]
    if left:
        notes.append(f"limits that only prove looks at: {', '.join(left)}")
    figures.sort(key=lambda one: (not one.sought, list(sought).index(one.id) if one.sought else 0))
    return _Setting(able, tuple(decisions), tuple(figures), scale, tuple(notes))


def _held_to(file: DesignFile, seed: int, ident: str, value: float) -> tuple[Sought, list[str]]:
    """A figure with the limit it is held to, today's value where that misses it, and what is to be said of that [SI]."""
    design, one = file.design, ASKED[ident]
    limit, held, notes = limit_of(design, ident), False, []
    if ident == "load_variation" and design.limits.wheel_load_kept is not None:
        limit = _variation(file, seed, design.limits.wheel_load_kept, value)
        notes.append(f"wheel load kept is held through the variation of load that goes with it today, at most {show(limit, 'share')}")  # fmt: skip
    if limit is not None and ((value > limit) if one.sense == "at most" else (value < limit)):
        notes.append(f"{one.words} misses its limit today, {told(value, one.kind)} against {told(limit, one.kind)}: it is held no worse than it is")  # fmt: skip
        limit, held = value, True
    return Sought(
        ident, one.words, one.unit, one.kind, one.sense, limit, held, stands_in=one.stands_in, today=value
    ), notes


def search_decisions(file: DesignFile) -> tuple[Decision, ...]:
    """What a search of a design varies."""
    return decisions_of(file.design.trade.vary, file.design, sized(file), catalogue_of(file), ("trade", "vary"))


def _limited(design: Design, ident: str) -> bool:
    """Whether a design sets a limit for a figure; that of the wheel load kept is one of its variation."""
    return limit_of(design, ident) is not None or (
        ident == "load_variation" and design.limits.wheel_load_kept is not None
    )


def _ride(file: DesignFile, seed: int) -> tuple[Figure, ...]:
    """Figures of the ride as the design stands."""
    return ask_briefly(file, ["ride"], seed)[0].figures


def _sought(design: Design, decisions: Sequence[Decision]) -> tuple[str, ...]:
    """Ids of the figures that are bettered."""
    seek = design.trade.seek
    if not seek:
        found = [one for one in USUAL if not can_ask(design, one)]
        priced = [one for one in decisions if one.choices]
        if priced and all(choice.price is not None for one in priced for choice in one.choices):
            found.append(PRICE)
        return tuple(found)
    for i, one in enumerate(seek):
        if one != PRICE and (one not in ASKED or (why := can_ask(design, one))):
            reason = f"it cannot be asked: {why}" if one in ASKED else f"no such figure; there are {', '.join((*ASKED, PRICE))}"  # fmt: skip
            raise FieldFault(("trade", "seek", i), reason)
        if one == PRICE and not any(decision.choices for decision in decisions):
            raise FieldFault(("trade", "seek", i), "no part is chosen, so that every design costs the same; vary a spring.part")  # fmt: skip
    if len(dict.fromkeys(seek)) < 2:
        raise FieldFault(("trade", "seek"), f"names one figure, {seek[0]}; a trade is between two or more")
    return tuple(dict.fromkeys(seek))


def _scaled(able: Evaluator) -> float:
    """The long drive's weighted acceleration over the short one's, of the design as it stands [-]."""
    short = replace(able, asked=("weighted_acceleration",)).of([able.variants.as_sized()]).figures[0, 0]
    names = {able.ready.states[s].name for s in able.driven}
    narrowed = able.ready.narrowed(names, {able.road.name})
    runs = [one for one in Runs(narrowed).told if one.run is not None and one.speed == able.road.speed]
    long = max((total(point) for one in runs for point in one.run.points), default=0.0)  # type: ignore[union-attr]
    return float(long / short) if long and np.isfinite(short) and short > 0 else 1.0


def _variation(file: DesignFile, seed: int, kept: float, varied: float) -> float:
    """The variation of wheel load at which the share kept comes to its limit, as both lie today [-]."""
    figures = ask_briefly(file, ["grip"], seed)[0].figures
    now = next((one.value for one in figures if one.id == "wheel_load_kept"), None)
    return varied * (1 - kept) / (1 - now) if now is not None and now < 1 else varied


def _currency(file: DesignFile) -> str:
    currency = catalogue_of(file).currency
    return f", {currency}" if currency else ""


_Known = tuple[list[float], str]  # figures of a design that was tried, and why it has none


class _Run:
    """One search under way."""

    def __init__(
        self,
        file: DesignFile,
        setting: _Setting,
        helpers: Helpers,
        seed: int,
        most: int,
        kept: Path | None,
        known: dict[tuple[float, ...], _Known],
        say: Callable[[str], None],
        told: Callable[[Front], None] | None,
    ) -> None:
        self.file, self.setting, self.seed, self.most = file, setting, seed, most
        self._helpers, self._of = helpers, _told_apart(setting, helpers.spec)
        self._kept, self._known, self._say, self._told = kept, known, say, told
        self.decisions, self.figures = setting.decisions, setting.figures
        self.values: list[tuple[float, ...]] = []
        self.found: list[list[float]] = []
        self.reasons: list[str] = []
        self._begun, self._spoken = time.monotonic(), 0.0
        self._fresh = 0
        self._by_all = False

    def go(self) -> None:
        """Search until so many are tried."""
        axes = [_axis(one) for one in self.decisions]
        every = grid([one for one in axes if one is not None]) if all(one is not None for one in axes) else None
        bought = all(one.choices for one in self.decisions)
        if every is not None and (bought or len(every) <= self.most):
            self._by_all = True
            self.most = len(every)
            for first in range(0, len(every), GENERATION):
                self.evaluate(every[first : first + GENERATION])
                self._speak()
            return
        low, high = (np.array([getattr(one, end) for one in self.decisions]) for end in ("low", "high"))
        here = np.array([today(one, self.file.design, sized(self.file)) for one in self.decisions])
        begin = here[None] if np.isfinite(here).all() and (low <= here).all() and (here <= high).all() else None
        search(
            self.evaluate, low, high, self._snapped, objectives=sum(one.sought for one in self.figures),
            limits=sum(one.limit is not None for one in self.figures), most=self.most, seed=self.seed, told=self._speak, begin=begin,
        )  # fmt: skip

    def evaluate(self, values: Floats) -> Tried:
        """Objectives and missed limits of a generation, those that are known already looked up."""
        rows = [tuple(one) for one in values.tolist()]
        new = [one for one in dict.fromkeys(rows) if one not in self._known]
        if new:
            done = self._helpers(np.array(new))
            for one, figures, reason in zip(new, done.figures, done.reasons, strict=True):
                self._known[one] = self._all(one, figures), reason
            self._fresh += len(new)
        told = [self._known[one] for one in rows]
        self.values += rows
        self.found += [figures for figures, _ in told]
        self.reasons += [reason for _, reason in told]
        return self._tried(np.array([figures for figures, _ in told], dtype=float))

    def _all(self, values: tuple[float, ...], figures: Floats) -> list[float]:
        """Figures in their order, the price among them [SI]."""
        by_id = dict(zip(self.setting.able.asked, figures.tolist(), strict=True))
        if "weighted_acceleration" in by_id:
            by_id["weighted_acceleration"] *= self.setting.scale
        by_id[PRICE] = sum(
            one.choices[round(value)].price or 0.0
            for one, value in zip(self.decisions, values, strict=True)
            if one.choices
        )
        return [float(by_id[one.id]) for one in self.figures]

    def _tried(self, figures: Floats) -> Tried:
        sign = np.array([1.0 if one.sense == "at most" else -1.0 for one in self.figures])
        limits = np.array([np.nan if one.limit is None else one.limit for one in self.figures])
        scale = np.array([_scale_of(one) for one in self.figures])
        missed = sign * (figures - limits) / scale
        sought = np.array([one.sought for one in self.figures])
        return Tried((sign * figures)[:, sought], missed[:, np.isfinite(limits)])

    def _snapped(self, values: Floats) -> Floats:
        return np.array(
            [[one.snapped(value) for one, value in zip(self.decisions, row, strict=True)] for row in values.tolist()]
        )

    def _speak(self, _: Archive | None = None) -> None:
        now = time.monotonic()
        done, rate = len(self.values), max(self._fresh, 1) / max(now - self._begun, 1e-3)
        left = max(self.most - done, 0) / rate
        self._say(f"{done} of {self.most} designs tried, {rate:.0f} a second, about {left:.0f} s to go")
        if now - self._spoken < AFTER:
            return
        self._spoken = now
        self.keep()
        if self._told is not None:
            self._told(self.front())

    def keep(self) -> None:
        """Write what was tried."""
        if self._kept is None or not self.values:
            return
        tried = dict.fromkeys(self.values)
        ahead = [one for one in self._known if one not in tried]  # of the search that is gone on with, not come to yet
        rows = [
            [
                list(values),
                [one if np.isfinite(one) else None for one in self._known[values][0]],
                self._known[values][1],
            ]
            for values in (*self.values, *ahead)
        ]
        write_whole(self._kept, json.dumps({"springwright search": KEPT, "of": self._of, "tried": rows}))

    def front(self) -> Front:
        """What was found so far."""
        design, figures = self.file.design, self.figures
        made = Front(
            design.vehicle.name, self.file.path.name, design.vehicle.invented, (), figures,
            tried=len(set(self.values)), seed=self.seed, road=self.setting.able.road.name,
            by_all=self._by_all and len(self.values) >= self.most, notes=self.setting.notes,
        )  # fmt: skip
        if not self.values:
            return replace(made, decisions=self._varied(np.zeros((0, len(self.decisions)))))
        values, first = np.unique(np.array(self.values), axis=0, return_index=True)
        order = np.sort(first)
        values, found = np.array(self.values)[order], np.array(self.found, dtype=float)[order]
        tried, whole = self._tried(found), np.isfinite(found).all(axis=1)
        meets = whole & (tried.missed <= HELD).all(axis=1)
        best = np.zeros(len(values), dtype=bool)
        at = np.flatnonzero(meets)
        best[at[unbettered(tried.objectives[at])]] = True
        numbers = np.zeros(len(values), dtype=int)
        ranked = np.flatnonzero(best)[np.argsort(tried.objectives[best, 0], kind="stable")]
        numbers[ranked] = np.arange(1, len(ranked) + 1)
        called = _called(tried.objectives[ranked], [one for one in figures if one.sought])

        def told(i: int, name: str = "", miss: str = "") -> FrontDesign:
            shown = tuple(one.shown(value) for one, value in zip(self.decisions, values[i].tolist(), strict=True))
            return FrontDesign(int(numbers[i]), tuple(values[i].tolist()), shown, tuple(found[i].tolist()), name, missed=miss)  # fmt: skip

        others = [told(i) for i in np.flatnonzero(meets & ~best).tolist()]
        misses = np.flatnonzero(whole & ~meets)
        near = misses[np.argsort(tried.missed[misses].max(axis=1, initial=0.0), kind="stable")][:MISSED]
        limits = [one for one in figures if one.limit is not None]
        said = [_missed(limits[int(np.argmax(tried.missed[i]))], float(tried.missed[i].max())) for i in near]
        return replace(
            made,
            decisions=self._varied(values[meets]),
            designs=tuple(told(i, called.get(k, "")) for k, i in enumerate(ranked.tolist())),
            bettered=tuple(others),
            missed=tuple(told(i, miss=word) for i, word in zip(near.tolist(), said, strict=True)),
            feasible=int(meets.sum()),
            refused=int((~whole).sum()),
            converged=_converged(tried.objectives, meets, best),
            today=self._today(),
        )

    def _varied(self, meeting: Floats) -> tuple[Vary, ...]:
        sheet = sized(self.file)
        return tuple(
            Vary(
                one.field, one.kind, one.low, one.high,
                None if np.isnan(now := today(one, self.file.design, sheet)) else now,
                tuple(choice.part for choice in one.choices),
                (float(meeting[:, k].min()), float(meeting[:, k].max())) if len(meeting) else (),
            )
            for k, one in enumerate(self.decisions)
        )  # fmt: skip

    def _today(self) -> FrontDesign:
        able, sheet = self.setting.able, sized(self.file)
        values = tuple(today(one, self.file.design, sheet) for one in self.decisions)
        figures = self._all_today(able.of([able.variants.as_sized()]).figures[0], values)
        shown = tuple(
            "–" if np.isnan(value) else one.shown(value) for one, value in zip(self.decisions, values, strict=True)
        )
        return FrontDesign(0, values, shown, tuple(figures), "today")

    def _all_today(self, figures: Floats, values: tuple[float, ...]) -> list[float | None]:
        if any(np.isnan(value) for value in values):
            values = tuple(0.0 if np.isnan(value) else value for value in values)
            made: list[float | None] = [*self._all(values, figures)]
            return [None if one.id == PRICE else value for one, value in zip(self.figures, made, strict=True)]
        return [*self._all(values, figures)]


def _scale_of(one: Sought) -> float:
    """What a limit missed by is measured in [SI]: the limit, of one of nothing what it is today."""
    return abs(one.limit or 0.0) or abs(one.today or 0.0) or 1.0


def _missed(one: Sought, by: float) -> str:
    """A limit that is missed by so many of its scales, in words."""
    return f"{one.words}, by {told(by * _scale_of(one), one.kind)}"


def _axis(decision: Decision) -> Floats | None:
    """Every value of a decision with choices or a step; None where any value may be taken."""
    return axis_of(decision) if decision.choices or decision.step else None


def _called(objectives: Floats, sought: Sequence[Sought]) -> dict[int, str]:
    """What designs of a front are called: the end of each figure sought, and the knee between the first two."""
    if not len(objectives):
        return {}
    names: dict[int, list[str]] = {}
    for k, one in enumerate(sought):
        if np.ptp(objectives[:, k]) == 0:
            continue
        names.setdefault(int(np.argmin(objectives[:, k])), []).append(f"best in {one.words.split(',')[0]}")
    pair = objectives[:, :2]
    at = np.flatnonzero(unbettered(pair))
    knee = knee_of(pair[at])
    if knee is not None:
        names.setdefault(int(at[knee]), []).append("knee")
    return {k: ", ".join(one) for k, one in names.items()}


def _converged(
    objectives: Floats, meets: NDArray[np.bool_], best: NDArray[np.bool_]
) -> tuple[tuple[float, float], ...]:
    """Share of the box of the front found that was bettered after so many designs."""
    if best.sum() < 2:
        return ()
    low, high = objectives[best].min(axis=0), objectives[best].max(axis=0)
    corner = high + 0.1 * (high - low)
    told = []
    for count in np.unique(np.linspace(1, len(objectives), STEPS + 1).astype(int)[1:]):
        some = objectives[:count][meets[:count]]
        told.append((float(count), hypervolume(some[unbettered(some)], low, corner) if len(some) else 0.0))
    return tuple(told)


def _told_apart(setting: _Setting, spec: SweepSpec) -> str:
    """What tells one search from another: the design and the files beside it, what varies, what is sought, the ground and the seed."""
    figures = [(one.id, one.limit, one.sought) for one in setting.figures]
    return hashlib.sha256(repr((spec, figures, setting.able.road.speed)).encode()).hexdigest()


def _known_before(kept: Path | None, of: str, *, resume: bool) -> dict[tuple[float, ...], _Known]:
    """What the file says of this search; without `resume` nothing where it is of another, which is written over."""
    if kept is None or not (resume or is_there(kept)):
        return {}
    try:
        return _read(kept, of)
    except InputError:
        if resume:
            raise
        return {}


def _read(kept: Path, of: str) -> dict[tuple[float, ...], _Known]:
    """What is kept of a search.

    Raises
    ------
    InputError
        It is of another search, or no such file.

    """
    try:
        data = json.loads(read_file(kept))
        version, held, rows = data["springwright search"], data["of"], data["tried"]
        known = {
            tuple(map(float, values)): ([float("nan") if one is None else float(one) for one in figures], str(why))
            for values, figures, why in rows
        }
    except (ValueError, KeyError, TypeError):
        raise InputError(str(kept), [Fault("", "", "holds no search; begin one without --resume")]) from None
    if version != KEPT or held != of:
        raise InputError(
            str(kept),
            [Fault("", "", "is of another search: the design, what varies, the limits or the seed differ; begin one without --resume")],
        )  # fmt: skip
    return known


def _proven(
    file: DesignFile,
    found: Front,
    decisions: Sequence[Decision],
    which: str,
    say: Callable[[str], None],
    questions: Sequence[Question],
) -> Front:
    """The front with its named designs, or all, asked the seven questions in full; those first that have a name."""
    begun, designs = time.monotonic(), [*found.designs]
    order = sorted(range(len(designs)), key=lambda i: (not designs[i].called, i))
    wanted = [i for i in order if which == "all" or designs[i].called]
    here, stopped = found.today, False
    try:
        if here is not None:
            say("proving today's design")
            here = _asked(file, here, found.seed, questions)
        for k, i in enumerate(wanted):
            say(f"proving {k + 1} of {len(wanted)}")
            designs[i] = prove_design(file, designs[i], decisions, found.seed, questions)
    except KeyboardInterrupt:
        stopped = True
    return replace(found, designs=tuple(designs), today=here, proving=time.monotonic() - begun, stopped=stopped)


def prove_design(
    file: DesignFile,
    one: FrontDesign,
    decisions: Sequence[Decision],
    seed: int = 1,
    questions: Sequence[Question] = QUESTIONS,
) -> FrontDesign:
    """A design of a front with the words of the seven questions; why it cannot be asked where it cannot."""
    try:
        return _asked(changed(file, told_changes(decisions, one.values)), one, seed, questions)
    except SpringwrightError as error:
        return replace(one, proven=True, worst="not met", why=str(error))


def _asked(file: DesignFile, one: FrontDesign, seed: int, questions: Sequence[Question]) -> FrontDesign:
    answers = ask_briefly(file, [question.name for question in questions], seed, questions)
    words = tuple((answer.question, answer.word) for answer in answers)
    worst = next((word for word in ("not met", "close", "met") if word in dict(words).values()), "not known")
    deciding = tuple(figure for answer in answers if (figure := answer.deciding) is not None)
    return replace(one, proven=True, worst=worst, words=words, deciding=deciding)  # type: ignore[arg-type]
