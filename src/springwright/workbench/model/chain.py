"""The rate chain read backwards: a rate that is written over becomes the target that gives it."""

from __future__ import annotations

from springwright.errors import Fault, InputError, QuantityError
from springwright.sizing.fitted import sized
from springwright.sizing.rates import target_giving, wheel_rate_giving
from springwright.units import parse, text_in
from springwright.vehicle.design import Design
from springwright.vehicle.edits import Change
from springwright.vehicle.faults import Location
from springwright.vehicle.field_types import FieldType, typed
from springwright.vehicle.file import DesignFile

WHEEL, SPRING = "wheel rate", "spring rate"  # told of a target; with a space in them no file has such a field
DECIMALS = 4  # of a target in Hz: it then gives the rate to 0.01 %


def is_rate(at: Location) -> bool:
    """Whether a place is no place of the file, but a rate worked out from an axle's target."""
    return len(at) == 4 and at[0] == "axles" and at[2] == "target" and at[3] in (WHEEL, SPRING)


def rate_at(file: DesignFile, at: Location) -> FieldType:
    """A rate as it is worked out.

    Raises
    ------
    LookupError
        There is no such axle, or it has no target.

    """
    index = at[1]
    if not isinstance(index, int) or not 0 <= index < len(file.design.axles) or file.design.axles[index].target is None:
        raise LookupError(f"no target {at}")
    rates = sized(file).rates[index]
    return FieldType(rates.wheel_rate if at[3] == WHEEL else rates.spring_rate, "quantity", "rate")


def written_over(file: DesignFile, at: Location, text: str) -> Change:
    """The change of the target that makes a rate what was typed.

    Raises
    ------
    InputError
        That is no rate, or no target gives it.

    """
    told, index = typed(rate_at(file, at), text), at[1]
    assert isinstance(index, int)
    axle, load = file.design.axles[index], sized(file).rates[index].axle_load
    try:
        rate = parse(told, "rate")
    except QuantityError as fault:
        raise InputError(file.path.name, [Fault("", f'"{text}"', str(fault))]) from None
    if at[3] == SPRING and rate > 0:
        rate = wheel_rate_giving(axle, load, rate)
    if rate <= 0:
        raise InputError(file.path.name, [Fault("", f'"{text}"', "gives no wheel rate; write a stiffer one")])
    frequency = round(target_giving(axle, load, rate), DECIMALS)
    return (*at[:3], "frequency"), text_in(frequency, "frequency", "Hz")


def overruled(design: Design, at: Location) -> list[Change]:
    """What must go where an axle's aim is written the other way: its sag where a frequency is, its frequency where a sag is."""
    if len(at) != 4 or at[2] != "target" or at[3] not in ("frequency", "sag"):
        return []
    target = design.axles[int(at[1])].target
    if target is None or (at[3] == "frequency" and target.sag is None):
        return []
    return [((*at[:3], "sag" if at[3] == "frequency" else "frequency"), None)]
