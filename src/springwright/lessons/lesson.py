"""What a lesson is, and those there are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from springwright.errors import Fault, InputError
from springwright.evaluation import evaluated
from springwright.lessons import first_half, second_half
from springwright.lessons.vehicle_taken import LessonFigure, Taught, Told, made_to_measure
from springwright.results import Result
from springwright.vehicle.file import DesignFile, load, opened


@dataclass(frozen=True)
class Lesson(Result):
    """A lesson on one vehicle: what to guess, what is changed, figures before and after, why, the calculation by hand and what it gives, and the key.

    `by_hand` is what a hand finds for the first figure after the change [SI], `within` the share by which a hand may be off, and why if it may.
    """

    number: int
    title: str
    vehicle: str
    invented: bool
    guess: str
    change: str
    figures: tuple[LessonFigure, ...]
    why: str
    hand: tuple[str, ...]
    by_hand: float
    within: float
    key: str
    next: str = ""


LESSONS: tuple[tuple[str, Callable[[Taught], Told]], ...] = (
    ("Weighing", first_half.weighing),
    ("Ride frequency", first_half.frequency),
    ("The lever counts twice", first_half.lever),
    ("A beam axle in bump and in roll", first_half.beam),
    ("The tyre in series", first_half.tyre),
    ("Travel, and what is left at its end", first_half.travel),
    ("Damping", second_half.damping),
    ("Roll and the bar", second_half.roll),
    ("Load states", second_half.states),
    ("Pitch", second_half.pitch),
    ("Soft against stable: the trade", second_half.trade),
    ("Measuring what was built", second_half.measuring),
)


@evaluated
def lesson(number: int, file: DesignFile | str | Path) -> Lesson:
    """A lesson on a vehicle.

    Raises
    ------
    InputError
        There is no such lesson, or the vehicle lacks what it is about.

    """
    if not 1 <= number <= len(LESSONS):
        raise InputError("lesson", [Fault("", str(number), f"there are lessons 1 to {len(LESSONS)}")])
    file = opened(file)
    title, give = LESSONS[number - 1]
    told = give(Taught(made_to_measure(file)))
    about = file.design.vehicle
    following = LESSONS[number][0] if number < len(LESSONS) else ""
    return Lesson(
        number,
        title,
        about.name,
        about.invented,
        told.guess,
        told.change,
        tuple(told.figures),
        told.why,
        tuple(told.hand),
        told.by_hand,
        told.within,
        told.key,
        following,
    )


def demo_design() -> DesignFile:
    """The demo that lessons are given on where none is named."""
    folder = resources.files("springwright") / "demos"
    with resources.as_file(folder) as there:
        return load(there / "fire-watch.toml")
