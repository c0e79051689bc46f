"""The front: the designs none of which another betters in everything, found by a search within the limits and proven in full."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from springwright.counted import CountedStep
from springwright.errors import SpringwrightError
from springwright.evaluation import evaluated
from springwright.questions.prove import ask_briefly
from springwright.questions.question import Question
from springwright.questions.registry import QUESTIONS
from springwright.sizing.fitted import sized
from springwright.studies.chunks import axis_of, evaluated_rows
from springwright.studies.decisions import Decision, today, told_changes
from springwright.studies.front_results import Front, FrontDesign, Vary
from springwright.studies.helpers import Helpers
from springwright.studies.kept import Known, known_before, told_apart, write
from springwright.studies.search import GENERATION, Archive, Tried, grid, hypervolume, knee_of, search, unbettered
from springwright.studies.setting import PRICE, Sought, StudySetting, scale_of, search_setting, spec_in
from springwright.units import told
from springwright.vehicle.edits import changed
from springwright.vehicle.file import DesignFile, opened

Floats = NDArray[np.float64]
MOST = 4000  # designs tried
AFTER = 0.5  # s between words about how far it has come
HELD = 1e-6  # share by which a figure may miss a limit that it was held at
STEPS = 12  # places at which the hypervolume is told
MISSED = 240  # designs that miss a limit, told at most


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
    begun = time.monotonic()
    stopped = False
    setting = search_setting(file, seed)
    spec = spec_in(file, setting, seed)
    known = known_before(kept, told_apart(setting, spec), resume=resume)
    with Helpers(setting.able, evaluated_rows, spec, workers, most) as helpers:
        run = _Run(file, setting, helpers, seed, most, kept, known, say, told)
        try:
            run.go()
        except KeyboardInterrupt:
            stopped = True
        finally:
            run.keep()
    found = replace(run.front(), seconds=time.monotonic() - begun, stopped=stopped)
    if stopped or prove == "none":
        return found
    return _proven(file, found, setting.decisions, prove, say, questions)


class _Run:
    """One search under way."""

    def __init__(
        self,
        file: DesignFile,
        setting: StudySetting,
        helpers: Helpers,
        seed: int,
        most: int,
        kept: Path | None,
        known: dict[tuple[float, ...], Known],
        say: Callable[[str], None],
        told: Callable[[Front], None] | None,
    ) -> None:
        self.file, self.setting, self.seed, self.most = file, setting, seed, most
        self._helpers, self._of = helpers, told_apart(setting, helpers.spec)
        self._kept, self._known, self._say, self._told = kept, known, say, told
        self.decisions, self.figures = setting.decisions, setting.figures
        self.values: list[tuple[float, ...]] = []
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
        self.values += rows
        return self._tried(np.array([self._known[one][0] for one in rows], dtype=float))

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
        scale = np.array([scale_of(one) for one in self.figures])
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
        write(self._kept, self._of, ((values, self._known[values]) for values in (*self.values, *ahead)))

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
        different = [*dict.fromkeys(self.values)]
        values, found = np.array(different), np.array([self._known[one][0] for one in different], dtype=float)
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


def _missed(one: Sought, by: float) -> str:
    """A limit that is missed by so many of its scales, in words."""
    return f"{one.words}, by {told(by * scale_of(one), one.kind)}"


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
            say(CountedStep(f"proving {k + 1} of {len(wanted)}", k, len(wanted)))
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
