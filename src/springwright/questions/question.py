"""A question that is asked of a design: what it is called and what answers it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from springwright.questions.answer import Answer, Figure
from springwright.questions.context import ProofContext
from springwright.questions.road_runs import Runs

View = tuple[frozenset[str], frozenset[str]]  # load states and grounds; all of them where there is none


class QuestionFunction(Protocol):
    """Answers a question of a design; `brief` leaves out what only fills the page."""

    def __call__(self, ready: ProofContext, runs: Runs, *, brief: bool = False) -> Answer:
        """Ask it."""


def where_it_governs(ready: ProofContext, one: Figure) -> View:
    """The load state and the ground that govern a figure."""
    return frozenset({one.state} & {at.name for at in ready.states}), frozenset(filter(None, [one.ground]))


@dataclass(frozen=True)
class Question:
    """One question: its name on the command line and in results, the word that asks it on the sheet, and what answers it."""

    name: str
    verb: str
    ask: QuestionFunction
    view: Callable[[ProofContext, Figure], View] = (
        where_it_governs  # what must be kept in view to ask about one of its figures again
    )
    part: Callable[[ProofContext, Runs, str], tuple[Figure, ...]] | None = (
        None  # figures of one id, without those that cost more
    )

    def figures(self, ready: ProofContext, runs: Runs, ident: str) -> tuple[Figure, ...]:
        """Figures of one id, with whatever else comes with them."""
        return self.part(ready, runs, ident) if self.part is not None else self.ask(ready, runs, brief=True).figures
