"""Which of the estimates of a design still stand: those whose value is still the one that was written with their basis."""

from __future__ import annotations

from math import isclose
from typing import Any, NamedTuple

from springwright.errors import FieldFault, QuantityError
from springwright.units import parse
from springwright.vehicle.design import Design
from springwright.vehicle.estimated import EstimatedValue
from springwright.vehicle.faults import Location
from springwright.vehicle.field_types import FieldType, place
from springwright.vehicle.fields import located


class StandingEstimate(NamedTuple):
    """An estimate that still stands, and where in the file."""

    at: Location
    entry: EstimatedValue


def check_estimates(design: Design) -> None:
    """Refuse an estimate of a field that the design does not have, or of what is no value of it.

    Raises
    ------
    FieldFault
        One is.

    """
    for i, one in enumerate(design.estimates):
        _, here = _field(design, one, i)
        for key in ("value", "low", "high"):
            said = getattr(one, key)
            if said is None:
                continue
            try:
                _read(said, here)
            except QuantityError as error:
                raise FieldFault(("estimates", i, key), str(error)) from None


def standing_estimates(design: Design) -> tuple[StandingEstimate, ...]:
    """The estimates of a design that nobody has written over."""
    found = []
    for i, one in enumerate(design.estimates):
        at, here = _field(design, one, i)
        said = _read(one.value, here)
        same = (
            isclose(said, here.value, rel_tol=1e-9, abs_tol=1e-12)
            if isinstance(here.value, float)
            else said == here.value
        )
        if same:
            found.append(StandingEstimate(at, one))
    return tuple(found)


def _field(design: Design, one: EstimatedValue, i: int) -> tuple[Location, FieldType]:
    try:
        places = located(design, one.field)
    except LookupError as error:
        raise FieldFault(("estimates", i, "field"), f"names no field of this design: {error}") from None
    if len(places) != 1:
        raise FieldFault(("estimates", i, "field"), "names more than one field: write an entry for each")
    here = place(design, places[0])
    if here.value is None:
        raise FieldFault(("estimates", i, "field"), "names a field that is not given: take this entry out")
    return places[0], here


def _read(said: str | float, here: FieldType) -> Any:
    return parse(said, here.kind) if here.sort == "quantity" else said
