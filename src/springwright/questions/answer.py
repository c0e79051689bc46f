"""The shape of an answer: figures held against limits, facts beside them, curves, and one word for all."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from springwright.formula import Working
from springwright.results import Judged, Result, Word

YOURS = "your limit"
NEAR = 0.005  # m: room less than this is only close; our own choice
NONE_TOUCHES = "zero interference"
PUBLISHED = "published criterion, from memory"
ORDER: tuple[Word, ...] = ("not met", "close", "met", "not known")


@dataclass(frozen=True)
class Figure(Judged):
    """A figure held against its limit, the load state and ground that govern it, and why where it is not known.

    `lost`: it was asked and could not be worked out, as where a run diverged.
    """

    state: str = ""
    ground: str = ""
    why: str = ""
    lost: bool = False
    axle: str = ""


def figure(  # noqa: PLR0913 a figure with all that is told of it
    measure: str,
    value: float | None,
    sense: Literal["at most", "at least"],
    limit: float | None,
    unit: str,
    kind: str,
    source: str,
    *,
    state: str = "",
    ground: str = "",
    why: str = "",
    where: str = "",
    lost: bool = False,
    id: str,  # noqa: A002 what it is
    axle: str = "",
) -> Figure:
    """A figure judged, known to the program by `id` and, where it is an axle's, by that; `why` says what is missing: a reason, or the design file's field that would give the limit [SI].

    An infinite value is one that is never reached: it meets "at least", misses "at most", and has no margin.
    """
    endless = value is not None and math.isinf(value)
    shown = None if endless else value
    made = Figure.of(
        measure,
        shown,
        sense,
        limit,
        unit=unit,
        kind=kind,
        source=source if limit is not None else "",
        where=where,
        id=id,
    )
    if endless and limit is not None:
        made = replace(made, word="met" if sense == "at least" else "not met")
    missing = why if made.word == "not known" else why if endless else ""
    return replace(made, state=state, ground=ground, why=missing, lost=lost, axle=axle)


def not_below(
    measure: str,
    value: float | None,
    unit: str = "m",
    kind: str = "length",
    *,
    state: str = "every state",
    where: str = "",
    why: str = "",
    id: str,  # noqa: A002 what it is
    axle: str = "",
) -> Figure:
    """A figure that must not fall below nothing; a length nearer to it than 5 mm is close [m]."""
    made = figure(
        measure, value, "at least", 0.0, unit, kind, NONE_TOUCHES, state=state, where=where, why=why, id=id, axle=axle
    )
    near = kind == "length" and made.margin is not None and 0 <= made.margin < NEAR
    return replace(made, word="close") if near else made


def no_limit(field: str) -> str:
    """Why a figure is not judged: the design gives no limit for it."""
    return f"no limit given: limits.{field}"


@dataclass(frozen=True)
class Fact(Result):
    """A figure that nothing is asked of: it is told beside those that are."""

    measure: str
    value: float | None
    unit: str
    kind: str
    state: str = ""
    ground: str = ""
    note: str = ""


@dataclass(frozen=True)
class Curve(Result):
    """One line of a picture; None where there is nothing to tell. `beside`: the line whose fellow it is, drawn in its ink and dashed."""

    name: str
    values: tuple[float | None, ...]
    beside: str = ""


def fellow(wheel: str) -> str:
    """The line beside which a wheel's own is drawn: its axle's left wheel beside its right."""
    return f"{wheel.removesuffix(' right')} left" if wheel.endswith(" right") else ""


@dataclass(frozen=True)
class Bound(Result):
    """A limit where it acts on a picture [SI]: on the lines ("y"), on their slope through nought, or on when something happens ("x"); `above`: what lies above it is shut."""

    along: Literal["x", "y", "slope"]
    value: float
    above: bool
    says: str


@dataclass(frozen=True)
class Mark(Result):
    """Something that happens on a line, at a place of the abscissa [SI]; `gated` where it is when it happens that is asked about."""

    line: str
    x: float
    says: str
    gated: bool = False


@dataclass(frozen=True)
class Curves(Result):
    """Lines over one abscissa, SI; kinds say how they are displayed."""

    name: str
    x_name: str
    x_unit: str
    x_kind: str
    x: tuple[float, ...]
    y_name: str
    y_unit: str
    y_kind: str
    lines: tuple[Curve, ...]
    note: str = ""
    mapped: str = ""  # the id of the figure that it tells by ground (lines) and speed
    bounds: tuple[Bound, ...] = ()
    marks: tuple[Mark, ...] = ()
    state: str = ""  # the load state it is of, where it is of one


def bounds(*each: Bound | None) -> tuple[Bound, ...]:
    """Those of some limits that are given."""
    return tuple(one for one in each if one is not None)


def bound(along: Literal["x", "y", "slope"], value: float | None, says: str, *, above: bool = True) -> Bound | None:
    """A limit as it is drawn, or None where it is not given [SI]."""
    return None if value is None else Bound(along, value, above, says)


@dataclass(frozen=True)
class Answer(Result):
    """One question answered; on so many `estimates` as move its figures."""

    question: str
    asks: str
    word: Word
    figures: tuple[Figure, ...] = ()
    facts: tuple[Fact, ...] = ()
    curves: tuple[Curves, ...] = ()
    notes: tuple[str, ...] = ()
    workings: tuple[Working, ...] = ()
    estimates: int = 0

    @property
    def deciding(self) -> Figure | None:
        """The figure that decides: the worst word, and among those the least margin for its limit."""
        lost = next((one for one in self.figures if one.lost and one.limit is not None), None)
        if lost is not None and self.word == "not known":
            return lost
        known = [one for one in self.figures if one.word != "not known"]
        return min(known, key=lambda one: (ORDER.index(one.word), spare(one)), default=None)


def spare(one: Figure) -> float:
    """Margin as a share of the limit; endless where there is no margin to tell."""
    if one.margin is None:
        return math.inf
    return one.margin / abs(one.limit) if one.limit else one.margin


def answer(
    question: str,
    asks: str,
    figures: tuple[Figure, ...],
    facts: tuple[Fact, ...] = (),
    curves: tuple[Curves, ...] = (),
    notes: tuple[str, ...] = (),
    workings: tuple[Working, ...] = (),
) -> Answer:
    """An answer with its word: that of its worst figure; not known where none could be judged, or one could not be worked out."""
    words = [one.word for one in figures]
    word: Word = next((one for one in ORDER if one in words), "not known")
    if word != "not met" and any(one.lost and one.limit is not None for one in figures):
        word = "not known"
    return Answer(question, asks, word, figures, facts, curves, tuple(dict.fromkeys(notes)), workings)


def worst(figures: list[Figure]) -> Figure:
    """Of one measure in several states and on several grounds, the one that governs.

    One that could not be worked out goes before those that are met, so that it is not hidden behind them.
    """
    return min(figures, key=lambda one: (_rank(one), spare(one), _toward(one)))


def _rank(one: Figure) -> float:
    if one.word == "not known" and one.limit is not None:
        return 0.5
    return float(ORDER.index(one.word))


def _toward(one: Figure) -> float:
    """How far an unjudged value lies towards the bad side."""
    if one.value is None:
        return math.inf
    return -one.value if one.sense == "at most" else one.value
