"""The vehicle of a lesson: its axles and figures, and copies of it with a number changed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from springwright.errors import Fault, InputError
from springwright.results import Result
from springwright.sizing.fitted import sized
from springwright.sizing.rates import AxleRates
from springwright.sizing.sheet import Sheet
from springwright.units import text_in
from springwright.vehicle.axle import Axle, Target
from springwright.vehicle.edits import Change, changed
from springwright.vehicle.faults import said_at
from springwright.vehicle.file import DesignFile, parsed
from springwright.vehicle.weigh import StateWeight

FIXED = ("existing", "coil", "catalogue", "stack")  # springs that stay what they are where the target changes


@dataclass(frozen=True)
class LessonFigure(Result):
    """A figure of the vehicle before and after the change, of a kind of quantity [SI]."""

    name: str
    kind: str
    before: float
    after: float


class Told(NamedTuple):
    """What a lesson's own function gives."""

    guess: str
    change: str
    figures: list[LessonFigure]
    why: str
    hand: list[str]
    by_hand: float
    key: str
    within: float = 0.005


@dataclass(frozen=True)
class Taught:
    """A design that a lesson is given on."""

    file: DesignFile

    @cached_property
    def sheet(self) -> Sheet:
        """Its sizing."""
        return sized(self.file)

    @cached_property
    def aimed(self) -> int:
        """The rearmost axle that aims for a frequency.

        Raises
        ------
        InputError
            None does.

        """
        for i in reversed(range(len(self.file.design.axles))):
            if self.target(i) is not None:
                return i
        said = "no axle aims for a frequency: give one [axles.target] for this lesson"
        raise InputError(self.file.path.name, [Fault("axles", "", said)])

    def axle(self, i: int) -> Axle:
        """An axle."""
        return self.file.design.axles[i]

    def rates(self, i: int) -> AxleRates:
        """The rates of an axle."""
        return self.sheet.rates[i]

    def target(self, i: int) -> Target | None:
        """What an axle aims for, where it aims for a frequency and its spring follows that."""
        axle = self.axle(i)
        fixed = self.sheet.springs[i].fitted.origin in FIXED
        return axle.target if axle.target is not None and axle.target.frequency and not fixed else None

    @property
    def state(self) -> StateWeight:
        """The design state as it weighs."""
        return next(one for one in self.sheet.states if one.name == self.sheet.design_state)

    def with_changes(self, changes: list[Change]) -> Taught:
        """A copy with some values changed."""
        return Taught(changed(self.file, changes))

    def times(self, i: int, at: tuple[str, ...], value: float, times: float, kind: str, unit: str) -> Taught:
        """A copy with one value of an axle so many times as large [SI]."""
        said: Any = round(times * value, 6) if kind == "ratio" else text_in(round(times * value, 9), kind, unit)
        return self.with_changes([(("axles", i, *at), said)])

    def stiffer(self, factor: float, axles: list[int] | None = None) -> Taught:
        """A copy whose axles aim for so many times the frequency; all that aim for one, where none are named."""
        those = (
            [i for i in range(len(self.file.design.axles)) if self.target(i) is not None] if axles is None else axles
        )
        changes: list[Change] = []
        for i in those:
            target = self.target(i)
            assert target is not None
            assert target.frequency is not None
            changes.append(
                (("axles", i, "target", "frequency"), text_in(round(factor * target.frequency, 6), "frequency", "Hz"))
            )
        return self.with_changes(changes)

    def on_tyre(self, i: int, rate: float) -> Taught:
        """A copy with a tyre of another rate [N/m] on an axle; its springs stay, whichever frequency they were sized for."""
        at, data = ("axles", i), parsed(self.file.text)
        rated = [
            (*at, "tyre", name) for name in ("readings", "test_sheet", "estimate")
        ]  # what would say the rate otherwise
        changes: list[Change] = [(one, None) for one in rated if said_at(data, one) is not None]
        changes.append(((*at, "tyre", "rate"), text_in(round(rate, 6), "rate", "N/mm")))
        held = {
            "frequency": text_in(self.rates(i).frequency_on_springs, "frequency", "Hz"),
            "stiffness": "wheel rate",
            "mass": "sprung mass",
        }
        changes += [((*at, "target", name), said) for name, said in held.items()]
        return self.with_changes(changes)

    def with_aboard(self, mass: float, behind: float, state: str = "") -> Taught:
        """A copy with so much more aboard in the design state, at the height of its centre of gravity and a place behind the front axle [kg, m].

        With a `state` that is a load state of its own, and the springs stay as they were sized.
        """
        design = self.file.design
        k = next(k for k, one in enumerate(design.states) if one.name == self.sheet.design_state)
        name = "load of the lesson"
        item = {
            "name": name,
            "mass": text_in(mass, "mass", "kg"),
            "behind_front_axle": text_in(behind, "length", "mm"),
            "above_ground": text_in(round(self.state.cg[2], 3), "length", "mm"),
        }
        aboard = [*design.states[k].aboard, name]
        changes: list[Change] = [(("items", len(design.items)), item) if design.items else (("items",), [item])]
        if design.design_state is None:
            changes.append((("design_state",), self.sheet.design_state))
        if not state:
            return self.with_changes([*changes, (("states", k, "aboard"), aboard)])
        held = said_at(parsed(self.file.text), ("states", k))
        return self.with_changes(
            [*changes, (("states", len(design.states)), {**held, "name": state, "aboard": aboard})]
        )


def made_to_measure(file: DesignFile) -> DesignFile:
    """A design whose springs are made to measure and not taken from a catalogue: a lesson's change is not rounded to what can be bought."""
    changes: list[Change] = [] if file.design.catalogue is None else [(("catalogue",), None)]
    changes += [
        (("axles", i, "spring", "part"), None)
        for i, axle in enumerate(file.design.axles)
        if axle.spring.part is not None
    ]
    return changed(file, changes) if changes else file
