"""What may vary: fields of the design file with their range or their choices, from texts as a builder writes them."""

from __future__ import annotations

import contextlib
import difflib
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from springwright.errors import FieldFault, QuantityError
from springwright.parts.catalogue import Catalogue
from springwright.sizing import frequency as ride
from springwright.sizing.choose import rank
from springwright.sizing.rates import law_for, spring_need, sprung_mass, target_giving, wheel_rate_for
from springwright.sizing.sheet import Sheet
from springwright.units import KINDS, parse, show, split, text_in
from springwright.vehicle.axle import Axle
from springwright.vehicle.curves import check_travel
from springwright.vehicle.design import Design
from springwright.vehicle.edits import Change
from springwright.vehicle.faults import Location
from springwright.vehicle.field_types import place
from springwright.vehicle.fields import located

# What a study takes from the design as it stands: all its designs are driven, sat in and judged alike.
HELD = (
    "format",
    "vehicle",
    "limits",
    "reference",
    "duty_cycle",
    "grounds",
    "seats",
    "lamp",
    "trade",
    "tolerances",
    "sure",
    "catalogue",
    "grades",
    "design_state",
)
MOST = 12  # decisions of one search
DIGITS = 12  # of a value in steps, so that it reads as it was meant
WIDE = 0.4  # share of the frequency aimed at, within which a bought spring is a choice
BUMP, SHORTEST_BUMP, WHOLE = 0.04, 0.03, 0.001  # m either way from what it is, the least, and what it is told in
BAR = math.radians(1.0) ** -1 * 5  # N m/rad: five newton metres a degree


@dataclass(frozen=True)
class Choice:
    """One of the parts that may be chosen: its name, the frequency it gives [Hz] and what a set of them costs."""

    part: str
    frequency: float | None = None
    price: float | None = None


@dataclass(frozen=True)
class Decision:
    """One thing that may vary: a quantity between two values [SI], or one of some choices, told by their number.

    `locations` are all the places it is written to: with `*` in its field, one of each axle.
    """

    field: str
    locations: tuple[Location, ...]
    kind: str
    low: float
    high: float
    step: float = 0.0
    choices: tuple[Choice, ...] = ()
    own_springs: tuple[str, ...] = ()  # what a part that is chosen takes the place of

    def shown(self, value: float) -> str:
        """How a value reads [SI]."""
        return self.choices[round(value)].part if self.choices else show(value, self.kind)

    def changes(self, value: float) -> list[Change]:
        """What it puts into a design file [SI]; a part brings the frequency it gives, so that dampers suit it."""
        if not self.choices:
            text = text_in(value, self.kind, KINDS[self.kind].metric)
            return [change for at in self.locations for change in (*_unsagged(at), (at, text))]
        one = self.choices[round(value)]
        made: list[Change] = []
        for at in self.locations:
            made += [((*at[:-1], name), None) for name in self.own_springs]
            made.append((at, one.part))
            if one.frequency is not None:
                aim = (*at[:-2], "target", "frequency")
                made += [*_unsagged(aim), (aim, f"{one.frequency!r} Hz")]
        return made

    def snapped(self, value: float) -> float:
        """The value nearest that may be taken [SI]."""
        if self.choices:
            return float(min(max(round(value), 0), len(self.choices) - 1))
        if self.step:
            value = float(f"{self.low + round((value - self.low) / self.step) * self.step:.{DIGITS}g}")
        return float(min(max(value, self.low), self.high))


def _unsagged(at: Location) -> list[Change]:
    """What must go where a frequency is written: the sag it would contradict."""
    return [((*at[:-1], "sag"), None)] if at[-2:] == ("target", "frequency") else []


def decision_of(text: str, design: Design, sheet: Sheet | None, catalogue: Catalogue) -> Decision:
    """A decision from a text such as "axles.front.target.frequency = 1.0..1.6 Hz by 0.05" or "axles.rear.spring.part = any".

    Raises
    ------
    FieldFault
        It cannot be read, or the design has no such field: the message says what to write. Its path is empty.

    """
    field, equals, said = (one.strip() for one in text.partition("="))
    if not equals or not said:
        raise FieldFault((), 'write a field and its range, such as "axles.front.target.frequency = 1.0..1.6 Hz"')
    locations = _locations(design, field)
    if field.endswith(".spring.part"):
        return _parts(field, locations, said, design, sheet, catalogue)
    kinds = {_kind(design, at, field) for at in locations}
    kind = kinds.pop()
    ends = re.fullmatch(r"(.+?)\s*\.\.\s*(.+?)(?:\s+by\s+(.+))?", said)
    if ends is None:
        raise FieldFault((), f'{field}: write a range, such as "{_example(kind)}"; "{said}" is none')
    low, high, by = ends.groups()
    unit = _unit(high)
    first, last = _read(field, _with_unit(low, unit), kind), _read(field, high, kind)
    if not first < last:
        raise FieldFault((), f"{field}: the range is upside down, {show(first, kind)} to {show(last, kind)}; write the lesser first")  # fmt: skip
    step = 0.0 if by is None else _read(field, _with_unit(by, unit), kind)
    if by is not None and not 0 < step <= last - first:
        raise FieldFault((), f"{field}: a step of {show(step, kind)} does not divide the range; write one that is shorter than it")  # fmt: skip
    return Decision(field, locations, kind, first, last, step)


def kind_of(field: str, design: Design) -> str:
    """The kind of quantity that a field of a design is.

    Raises
    ------
    FieldFault
        The design has no such field, or it is no quantity that can vary.

    """
    return _kind(design, _locations(design, field)[0], field)


def _locations(design: Design, field: str) -> tuple[Location, ...]:
    try:
        found = located(design, field)
    except LookupError as error:
        raise FieldFault((), f"{field}: {error.args[0]}") from None
    if not found:
        raise FieldFault((), f"{field}: names nothing in this design")
    return found


def _kind(design: Design, at: Location, field: str) -> str:
    if at[0] in HELD:
        raise FieldFault((), f"{field}: is what designs are judged by, not what they are; it stays as it is")
    try:
        what = place(design, at)
    except LookupError:
        what = None
    if what is None or what.sort != "quantity":
        raise FieldFault((), f"{field}: is no quantity that can vary")
    if what.value is None:
        raise FieldFault((), f"{field}: the design does not have it; give it a value first")
    return "ratio" if what.kind == "share" else what.kind


def _example(kind: str) -> str:
    info = KINDS[kind]
    return f"0.2..0.4 {info.metric}".strip()


def _unit(text: str) -> str:
    try:
        return split(text)[1]
    except QuantityError:
        return ""


def _with_unit(text: str, unit: str) -> str:
    return text if _unit(text) or not unit else f"{text} {unit}"


def _read(field: str, text: str, kind: str) -> float:
    try:
        return parse(text, kind)
    except QuantityError as error:
        raise FieldFault((), f"{field}: {error}") from None


def _parts(
    field: str, locations: Sequence[Location], said: str, design: Design, sheet: Sheet | None, catalogue: Catalogue
) -> Decision:
    """A choice of bought springs: "any" that has room there, or some by name."""
    if len(locations) != 1 or sheet is None:
        raise FieldFault((), f"{field}: name one axle")
    index = int(locations[0][1])
    axle = design.axles[index]
    if axle.spring.made is not None:
        raise FieldFault((), f"{field}: the axle has no plain coil, so that none can be put in its place")
    fitting = choices_for(axle, float(sheet.design_loads[index]), catalogue)
    if said != "any":
        names = [one.strip() for one in said.split("|")]
        known = {one.part: one for one in fitting}
        for name in names:
            if name not in known:
                near = difflib.get_close_matches(name, known, 1, 0.5)
                raise FieldFault((), f'{field}: "{name}" is in no row of the catalogue that has room there' + (f'; did you mean "{near[0]}"?' if near else ""))  # fmt: skip
        fitting = tuple(known[name] for name in names)
    if len(fitting) < 2:
        raise FieldFault(
            (), f"{field}: {len(fitting)} of the catalogue's springs have room there, and a choice wants two"
        )
    own = tuple(name for name in type(axle.spring).own_fields() if name != "part")
    return Decision(field, tuple(locations), "", 0.0, len(fitting) - 1.0, 1.0, fitting, own)


def choices_for(axle: Axle, load: float, catalogue: Catalogue) -> tuple[Choice, ...]:
    """The springs of a catalogue that have room on an axle under a load [kg], softest first, whatever frequency they give."""
    if axle.target is None or axle.spring.made is not None or not len(catalogue):
        return ()
    aim = axle.target.frequency
    open_to_all = axle.model_copy(update={"target": axle.target.model_copy(update={"tolerance": WIDE})})
    need = spring_need(axle, law_for(axle, load, wheel_rate_for(axle, load, aim)), loaded_at_droop=False)
    fitting = [one for one in rank(open_to_all, load, need, aim, catalogue, None) if not one.reasons and one.frequency]
    fitting.sort(key=lambda one: (one.frequency or 0.0, one.spring.part))
    mass = sprung_mass(axle, load)
    aims = [target_giving(axle, load, float(ride.rate_for_frequency(one.frequency or 0.0, mass))) for one in fitting]
    return tuple(Choice(one.spring.part, f, one.axle_price) for one, f in zip(fitting, aims, strict=True))


def usual_decisions(design: Design, sheet: Sheet, catalogue: Catalogue) -> tuple[Decision, ...]:
    """Those looked at where the design names none, see `usual_texts`."""
    return tuple(decision_of(text, design, sheet, catalogue) for text in usual_texts(design, sheet, catalogue))


def usual_texts(design: Design, sheet: Sheet, catalogue: Catalogue) -> tuple[str, ...]:
    """What varies where the design names nothing: each end's spring, damping ratio, front bar, rear bump travel.

    Springs are those that can be bought where the catalogue has three or more that fit, else of any rate; ranges are about what
    the design has today.
    """
    texts = []
    ends = dict.fromkeys((0, len(design.axles) - 1))
    for i in ends:
        axle = design.axles[i]
        if axle.target is None or axle.spring.made is not None:
            continue
        name = f"axles.{axle.name}"
        if len(choices_for(axle, float(sheet.design_loads[i]), catalogue)) > 2:
            texts.append(f"{name}.spring.part = any")
        elif axle.spring.own_field is None:
            texts.append(_about(f"{name}.target.frequency", axle.target.frequency, 0.8, 1.25, 0.01, "frequency"))
    ratios = [axle.target.damping_ratio for axle in design.axles if axle.target and axle.target.damping_ratio]
    if len(ratios) == len(design.axles):
        texts.append("axles.*.target.damping_ratio = 0.15..0.5 by 0.01")
    bar = design.axles[0].bar
    if bar is not None and bar.adds:
        texts.append(_about(f"axles.{design.axles[0].name}.bar.adds", bar.adds, 1 / 3, 2.0, BAR, "roll rate"))
    last = design.axles[-1]
    low, high = max(last.travel.bump - BUMP, SHORTEST_BUMP), _longest(last)
    if high - low > 2 * WHOLE:
        texts.append(_about(f"axles.{last.name}.travel.bump", last.travel.bump, low / last.travel.bump, high / last.travel.bump, WHOLE, "length"))  # fmt: skip
    return tuple(texts)


def _about(field: str, value: float, low: float, high: float, step: float, kind: str) -> str:
    """A range about a value, from so many times it to so many, in whole steps, told in the unit shown [SI]."""
    unit = KINDS[kind].metric
    ends = (math.ceil(low * value / step - 1e-9) * step, math.floor(high * value / step + 1e-9) * step)
    return f"{field} = {text_in(ends[0], kind, unit)}..{text_in(ends[1], kind, unit)} by {text_in(step, kind, unit)}"


def _longest(axle: Axle) -> float:
    """The longest bump travel looked at: as far as damper and mounts follow the wheel [m]."""
    bump = axle.travel.bump
    for more in np.linspace(BUMP, 0.0, 17).tolist():
        longer = axle.model_copy(update={"travel": axle.travel.model_copy(update={"bump": bump + more})})
        with contextlib.suppress(FieldFault):
            check_travel(longer)
            return float(bump + more)
    return bump


def decisions_of(
    texts: Sequence[str], design: Design, sheet: Sheet, catalogue: Catalogue, way: Location
) -> tuple[Decision, ...]:
    """The decisions some texts name, the usual ones where there are none; `way` is where the texts stand in the design.

    Raises
    ------
    FieldFault
        One of them cannot be, two name one field, or they are too many.

    """
    if not texts:
        return usual_decisions(design, sheet, catalogue)
    made: list[Decision] = []
    for i, text in enumerate(texts):
        try:
            one = decision_of(text, design, sheet, catalogue)
        except FieldFault as fault:
            raise FieldFault((*way, i), fault.message) from None
        taken = {at for other in made for at in other.locations}
        if taken & set(one.locations):
            raise FieldFault((*way, i), f"{one.field} varies already; name each field once")
        made.append(one)
    if len(made) > MOST:
        raise FieldFault((*way, MOST), f"{len(made)} decisions; a search takes {MOST} at most")
    return tuple(made)


def today(decision: Decision, design: Design, sheet: Sheet) -> float:
    """What a decision is in the design as it stands [SI]; nan for a part that is none of the choices."""
    at = decision.locations[0]
    if decision.choices:
        part = sheet.springs[int(at[1])].fitted
        names = [one.part for one in decision.choices]
        return float(names.index(part.label)) if part is not None and part.label in names else np.nan
    return float(place(design, at).value)


def told_changes(decisions: Sequence[Decision], values: Sequence[float]) -> list[Change]:
    """What all of them put into a design file, those that name one place but once [SI]."""
    made: dict[Location, Any] = {}
    for one, value in zip(decisions, values, strict=True):
        made.update(one.changes(float(value)))
    return [*made.items()]
