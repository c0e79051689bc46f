"""What a search comes to: what varies, the designs of the front, and what is bettered or misses a limit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from springwright.questions.answer import Figure
from springwright.results import Result, Word
from springwright.studies.setting import Sought


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
