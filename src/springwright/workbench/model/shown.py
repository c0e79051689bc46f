"""What was worked out for the page besides the sizing."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from springwright.commission.measured import BuiltReport
from springwright.questions.answer import Answer
from springwright.questions.dynamic_requirements import FullWindow
from springwright.questions.estimate_spans import EstimateWorth
from springwright.questions.question import Question
from springwright.questions.registry import QUESTIONS
from springwright.questions.sensitivities import Move


@dataclass
class Study:
    """A study that was asked for: what came of it, so far or in the end, whether it goes on, and whether the design has changed since.

    `text` is that of the design it is of, `system` the units it is told in.
    """

    result: Any = None
    made: int = 0  # which of all results this is, so that two are never taken for one
    stopped: bool = False  # before its end
    text: str = ""
    system: str = "metric"
    busy: str = ""
    late: bool = False
    fault: str = ""
    reads: str = ""  # the readings it was made of


@dataclass
class Shown:
    """What was worked out for the page besides the sizing; `stale` names what is for an older state."""

    answers: dict[str, Answer] = field(default_factory=dict)
    questions: tuple[Question, ...] = QUESTIONS
    lost: dict[str, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    window: FullWindow | None = None
    moves: tuple[Move, ...] = ()
    worths: tuple[EstimateWorth, ...] = ()
    stale: frozenset[str] = frozenset()
    busy: str = ""
    fault: str = ""
    settled: dict[str, Answer] = field(default_factory=dict)
    before: dict[str, Answer] = field(default_factory=dict)
    gesture: str = ""
    beside: dict[str, Any] = field(default_factory=dict)
    studies: dict[str, Study] = field(default_factory=dict)  # by name: exchange, front, spread, measure, tried
    tried: frozenset[int] = frozenset()  # which of what brings a vehicle as built back
    alone: dict[tuple[str, str], dict[str, Answer]] = field(
        default_factory=dict
    )  # by kind and name of a load state or ground

    @property
    def names(self) -> frozenset[str]:
        """Names of the questions there are."""
        return frozenset(one.name for one in self.questions)

    @property
    def complete(self) -> bool:
        """Whether all questions are answered, or lost, for the design as it stands."""
        return not self.stale and bool(self.answers) and self.names <= {*self.answers, *self.lost}

    @property
    def built(self) -> BuiltReport | None:
        """What was found of the vehicle as built."""
        found = self.studies["measure"].result if "measure" in self.studies else None
        return found if isinstance(found, BuiltReport) else None
