"""Which of the estimates of a design still stand: those whose value is still the one that was written with their basis."""

from __future__ import annotations

from math import isclose
from typing import Any, NamedTuple

from springwright.errors import FieldFault, QuantityError
from springwright.units import parse
from springwright.vehicle.described import known_paths
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
    """Refuse an estimate of what no design has, or of what is no value of its field; one whose field is not there now counts for nothing.

    Raises
    ------
    FieldFault
        One is.

    """
    for i, one in enumerate(design.estimates):
        found = _field(design, one)
        if found is None:
            if not _could_be(one.field):
                raise FieldFault(("estimates", i, "field"), "names no field of a design file")
            continue
        for key in ("value", "low", "high"):
            said = getattr(one, key)
            if said is None:
                continue
            try:
                _read(said, found[1])
            except QuantityError as error:
                raise FieldFault(("estimates", i, key), str(error)) from None


def _could_be(field: str) -> bool:
    """Whether some design has such a field, the name of an entry within it left out."""
    top, _, rest = field.partition(".")
    known = (path.partition(".") for path in known_paths())
    return any(first == top and inner and (rest == inner or rest.endswith(f".{inner}")) for first, _, inner in known)


def standing_estimates(design: Design) -> tuple[StandingEstimate, ...]:
    """The estimates of a design that nobody has written over."""
    stand = []
    for one in design.estimates:
        found = _field(design, one)
        if found is None:
            continue
        at, here = found
        said = _read(one.value, here)
        same = (
            isclose(said, here.value, rel_tol=1e-9, abs_tol=1e-12)
            if isinstance(here.value, float)
            else said == here.value
        )
        if same:
            stand.append(StandingEstimate(at, one))
    return tuple(stand)


def _field(design: Design, one: EstimatedValue) -> tuple[Location, FieldType] | None:
    """Where an estimate's field stands, and what; None where it is not there, not given, or more than one."""
    try:
        places = located(design, one.field)
    except LookupError:
        return None
    if len(places) != 1:
        return None
    here = place(design, places[0])
    return None if here.value is None else (places[0], here)


def _read(said: str | float, here: FieldType) -> Any:
    return parse(said, here.kind) if here.sort == "quantity" else said
