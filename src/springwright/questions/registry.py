"""The questions there are, in the order they are asked and told: a new one is its own module and a row here."""

from __future__ import annotations

from collections.abc import Sequence

from springwright.questions.fit import FIT
from springwright.questions.grip import GRIP
from springwright.questions.land import LAND
from springwright.questions.last import LAST
from springwright.questions.level import LEVEL
from springwright.questions.question import Question
from springwright.questions.ride import RIDE
from springwright.questions.stand import STAND

QUESTIONS: tuple[Question, ...] = (RIDE, GRIP, STAND, LAND, FIT, LEVEL, LAST)


def named(name: str, questions: Sequence[Question] = QUESTIONS) -> Question:
    """The question of a name.

    Raises
    ------
    KeyError
        There is none.

    """
    for one in questions:
        if one.name == name:
            return one
    raise KeyError(name)
