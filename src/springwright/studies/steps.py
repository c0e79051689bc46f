"""One step of every decision a builder has, each as changes to the design file; what cannot be stepped says why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from springwright.errors import FieldFault
from springwright.linkage.mounts import OnBeam
from springwright.sizing import frequency as ride
from springwright.sizing.rates import at_rest, sprung_mass, target_giving
from springwright.sizing.sheet import Sheet
from springwright.units import KINDS, show, text_in
from springwright.vehicle.axle import Axle
from springwright.vehicle.design import Design
from springwright.vehicle.edits import Change
from springwright.vehicle.file import DesignFile
from springwright.vehicle.mounted import COILS
from springwright.vehicle.weigh import kerb_weight


@dataclass(frozen=True)
class DecisionStep:
    """A decision changed by so much: what it is, how much in words, what it puts into the design file, or why it cannot."""

    id: str
    what: str
    by: str
    changes: tuple[Change, ...] = ()
    why: str = ""
    field: str = field(default="")  # of `trade.steps`


def steps_of(file: DesignFile, sheet: Sheet, times: float = 1.0) -> tuple[DecisionStep, ...]:
    """A step of every decision of a design, so many times as large as its [trade.steps] says [-].

    Raises
    ------
    InputError
        [trade] names a place that is not there.

    """
    design, given = file.design, file.design.trade.steps
    if times != 1.0:
        sizes = {name: times * getattr(given, name) for name in type(given).model_fields}
        trade = design.trade.model_copy(update={"steps": given.model_copy(update=sizes)})
        design = design.model_copy(update={"trade": trade})
    try:
        return tuple(_steps(design, sheet))
    except FieldFault as fault:
        raise file.fault(fault) from None


def _steps(design: Design, sheet: Sheet) -> Iterator[DecisionStep]:
    size, axles = design.trade.steps, design.axles
    for i, axle in enumerate(axles):
        yield _frequency(i, axle, sheet, size.frequency)
    yield _together(
        "damping", "damping ratio", _signed(size.damping_ratio, "ratio"), "damping_ratio",
        [
            (("axles", i, "target", "damping_ratio"), _text(axle.target.damping_ratio + size.damping_ratio, "ratio"))
            for i, axle in enumerate(axles)
            if axle.target is not None and axle.target.damping_ratio is not None
        ],
        "no axle has target.damping_ratio",
    )  # fmt: skip
    for i, axle in enumerate(axles):
        if axle.bar is not None:
            yield _bar(i, axle, size.bar)
    for end, by in (("bump", size.bump), ("droop", size.droop)):
        changes = [
            (("axles", i, "travel", end), _text(getattr(axle.travel, end) + by, "length"))
            for i, axle in enumerate(axles)
        ]
        yield DecisionStep(end, f"{end} travel, all axles", _signed(by, "length"), tuple(changes), field=end)
    yield _stop_gap(axles, size.stop_gap)
    yield _pressure(axles, size.pressure)
    yield _base(axles, size.spring_base)
    yield _cg(design, size.cg_height)
    yield _together(
        "track", "track, all axles", _signed(size.track, "length"), "track",
        [
            (("axles", i, "track"), _text(axle.track + size.track, "length"))
            for i, axle in enumerate(axles)
            if axle.track is not None
        ],
        "no axle has two wheels",
    )  # fmt: skip
    yield _mass(design, size.mass)


def _text(value: float, kind: str) -> Any:
    return text_in(value, kind, KINDS[kind].metric)


def _signed(by: float, kind: str) -> str:
    return f"{'+' if by > 0 else '−'}{show(abs(by), kind, 0 if kind == 'share' else None)}"


def _together(ident: str, what: str, by: str, of: str, changes: list[Change], why: str) -> DecisionStep:
    return DecisionStep(ident, what, by, tuple(changes), "" if changes else why, of)


def _frequency(index: int, axle: Axle, sheet: Sheet, by: float) -> DecisionStep:
    """The axle's spring as much stiffer as brings its frequency up by the step: sized again, or where a coil is given, another coil like it."""
    what, said = f"frequency of {axle.name}", _signed(by, "frequency")
    ident = f"frequency {axle.name}"
    mount, own = axle.spring, axle.spring.own_field
    if own is not None and own not in COILS:
        kind = mount.made.kind if mount.made is not None else own
        if axle.target is None or (mount.made is not None and mount.made.complete):
            return DecisionStep(ident, what, said, (), f"its {kind} is given by its own data; change that", "frequency")
    aim: Change | None = None
    if axle.target is not None:
        aim = (("axles", index, "target", "frequency"), _text(axle.target.frequency + by, "frequency"))
    if own in COILS:
        # the coil that is there, at the rate the frequency asks; its force at ride height stays, and what it sits on
        at = sheet.springs[index]
        now = at.fitted.frequency if at.fitted is not None and at.fitted.frequency else 0.0
        mass, (length, ratio, slope) = sprung_mass(axle, sheet.rates[index].axle_load), at_rest(axle)
        wheel = float(ride.rate_for_frequency(now + by, mass))
        each = (wheel - axle.beside.heave) / mount.per_wheel
        force = at.law.force
        rate = (each - force * slope) / ratio**2
        if rate <= 0:
            return DecisionStep(ident, what, said, (), "no coil gives it there", "frequency")
        coil = {"rate": _text(rate, "rate"), "free_length": _text(length + force / rate, "length")}
        changes: list[Change] = [(("axles", index, "spring", name), None) for name in COILS if name != "existing"]
        changes.append((("axles", index, "spring", "existing"), coil))
        if axle.target is not None:
            given = target_giving(axle, sheet.rates[index].axle_load, wheel)
            changes += [(("axles", index, "target", "sag"), None)] if axle.target.sag is not None else []
            changes.append((("axles", index, "target", "frequency"), _text(given, "frequency")))
        return DecisionStep(ident, what, said, tuple(changes), field="frequency")
    if aim is None:
        return DecisionStep(ident, what, said, (), "it has neither a target nor a coil", "frequency")
    sag = [(("axles", index, "target", "sag"), None)] if axle.target is not None and axle.target.sag is not None else []
    return DecisionStep(ident, what, said, (*sag, aim), field="frequency")


def _bar(index: int, axle: Axle, share: float) -> DecisionStep:
    bar, said = axle.bar, _signed(share, "share")
    assert bar is not None
    ident, what = f"bar {axle.name}", f"bar of {axle.name}"
    if bar.adds is not None:
        changes: list[Change] = [(("axles", index, "bar", "adds"), _text(bar.adds * (1 + share), "roll rate"))]
    elif bar.rate is not None:
        changes = [(("axles", index, "bar", "rate"), _text(bar.rate * (1 + share), "rate"))]
    else:
        changes = [  # a stated rate in place of the shape, whose diameter would be no round number
            (("axles", index, "bar", "shape"), None),
            (("axles", index, "bar", "rate"), _text(bar.end_rate * (1 + share), "rate")),
        ]
    return DecisionStep(ident, what, said, tuple(changes), field="bar")


def _stop_gap(axles: tuple[Axle, ...], by: float) -> DecisionStep:
    """The stop met so much sooner or later within the same whole travel."""
    changes: list[Change] = []
    for i, axle in enumerate(axles):
        given = axle.travel.stop_compression - by
        if given < 0:
            return DecisionStep("stop", "bump stop gap, all axles", _signed(by, "length"), (), f"{axle.name}: the stop would have to give {show(given, 'length')}", "stop_gap")  # fmt: skip
        changes += [
            (("axles", i, "travel", "bump"), _text(axle.travel.bump + by, "length")),
            (("axles", i, "travel", "stop_compression"), _text(given, "length")),
        ]
    return DecisionStep("stop", "bump stop gap, all axles", _signed(by, "length"), tuple(changes), field="stop_gap")


def _pressure(axles: tuple[Axle, ...], by: float) -> DecisionStep:
    what, said = "tyre pressure, all axles", _signed(by, "pressure")
    changes: list[Change] = []
    for i, axle in enumerate(axles):
        tyre = axle.tyre
        if tyre.pressure is None or tyre.pressure + by <= 0:
            return DecisionStep("pressure", what, said, (), f"{axle.name}: tyre.pressure is not known", "pressure")
        try:
            rate = tyre.rate_at(tyre.pressure + by)
        except (FieldFault, ValueError) as error:
            return DecisionStep(
                "pressure", what, said, (), f"{axle.name}: the tyre's rate there is not known: {error}", "pressure"
            )
        changes.append((("axles", i, "tyre", "pressure"), _text(tyre.pressure + by, "pressure")))
        if not tyre.estimate and tyre.readings is None:
            changes.append((("axles", i, "tyre", "rate"), _text(rate, "rate")))
    return DecisionStep("pressure", what, said, tuple(changes), field="pressure")


def _base(axles: tuple[Axle, ...], by: float) -> DecisionStep:
    what, said = "spring base, beam axles", _signed(by, "length")
    changes: list[Change] = []
    for i, axle in enumerate(axles):
        acts = axle.spring.acts
        if isinstance(acts, OnBeam):
            if acts.base + by > (axle.track or 0.0):
                return DecisionStep("base", what, said, (), f"{axle.name}: the springs would stand wider than the wheels", "spring_base")  # fmt: skip
            changes.append((("axles", i, "spring", "acts", "base"), _text(acts.base + by, "length")))
    return _together("base", what, said, "spring_base", changes, "no axle's spring acts by a beam")


def _cg(design: Design, by: float) -> DecisionStep:
    """The kerb's centre of gravity and every item's so much higher."""
    height = kerb_weight(design).cg[2]
    changes: list[Change] = []
    if design.kerb.raised:
        changes.append((("kerb", "raised"), None))
    changes.append((("kerb", "above_ground"), _text(height + by, "length")))
    for i, item in enumerate(design.items):
        changes.append((("items", i, "above_ground"), _text(item.above_ground + by, "length")))
    return DecisionStep("cg", "centre of gravity", _signed(by, "length"), tuple(changes), field="cg_height")


def _mass(design: Design, by: float) -> DecisionStep:
    """Weight added in every load state, at the place of an item, or taken from it."""
    if not design.items:
        return DecisionStep("mass", "more aboard", _signed(by, "mass"), (), "it has no [[items]] beside which it could go", "mass")  # fmt: skip
    names = [item.name for item in design.items]
    if design.trade.place is not None and design.trade.place not in names:
        raise FieldFault(("trade", "place"), f"no such item; there are {', '.join(names)}")
    index = len(names) - 1 if design.trade.place is None else names.index(design.trade.place)
    item = design.items[index]
    what, said = f"weight at {item.name}", _signed(by, "mass")
    if by < 0:
        if item.mass + by <= 0:
            return DecisionStep("mass", what, said, (), f"it weighs only {show(item.mass, 'mass')}", "mass")
        return DecisionStep(
            "mass", what, said, ((("items", index, "mass"), _text(item.mass + by, "mass")),), field="mass"
        )
    name = "more aboard"
    while name in names:
        name += "."
    x, y, z = item.xyz
    place = {"behind_front_axle": _text(-x, "length"), "left_of_centre": _text(y, "length"), "above_ground": _text(z, "length")}  # fmt: skip
    changes: list[Change] = [(("items", len(names)), {"name": name, "mass": _text(by, "mass"), **place})]
    for i, state in enumerate(design.states):
        changes.append((("states", i, "aboard"), [*state.aboard, name]))
    return DecisionStep("mass", what, said, tuple(changes), field="mass")
