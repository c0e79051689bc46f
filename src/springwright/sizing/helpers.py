"""Springs beside an axle's own, told as parts: what each is, its law over the travel, and whether the travel fits it."""

from __future__ import annotations

from dataclasses import replace

from springwright.parts.record import (
    AGREE,
    STORED,
    Dimension,
    LoadPoint,
    PartRecord,
    Tolerance,
    length,
    over_travel,
    record_of,
)
from springwright.results import Judged
from springwright.sizing.rates import spring_need
from springwright.units import show
from springwright.vehicle.axle import Axle
from springwright.vehicle.mounted import HelperMount


def helper_records(axle: Axle) -> tuple[PartRecord, ...]:
    """Every helper of an axle, in the order of the file."""
    return tuple(_record(axle, one) for one in axle.helpers)


def _record(axle: Axle, helper: HelperMount) -> PartRecord:
    law = helper.law
    need = spring_need(axle.in_place_of(helper), law, loaded_at_droop=False)
    quantity = axle.wheels * helper.per_wheel
    if helper.made is not None:
        whole = record_of(helper.made, axle.name, quantity, need, law)
        return replace(whole, kind=f"helper {helper.name}, {whole.kind}")
    coil = helper.coil
    existing = helper.existing
    free = coil.free_length if coil else existing.free_length if existing else 0.0
    solid = float(coil.made.solid) if coil else existing.solid_length if existing else None
    spacer = existing.spacer if existing else 0.0
    places = {
        "full droop": -need.droop,
        "ride": 0.0,
        "stop touches": need.ride_length - need.stop_length,
        "full bump": need.bump,
    }
    told = over_travel(need, law, places)
    touches = [at for at, pushed in zip(told["pressed"], told["forces"], strict=True) if pushed > 0]
    remarks = ["the existing springs, or to be ordered as they are told"]
    if not touches:
        remarks.append("it bears nowhere over the travel: it is too short for its place")
    elif touches[0] > -need.droop:
        remarks.append(
            f"it bears from {show(touches[0], 'length')} pressed on"
            if touches[0] > 0
            else "it unseats before full droop"
        )
    judged = Judged.of(
        "length at full bump", need.bump_length - spacer - helper.clear, "at least", solid, unit="m", kind="length",
        source="solid length" if solid is not None else "no solid length: give it",
     id="length_at_full_bump")  # fmt: skip
    rows = [Dimension("rate", law.rate, "N/m", "rate"), length("free length", free), length("spacer", spacer), length("solid length", solid), length("clear of its seat at zero travel", helper.clear or None)]  # fmt: skip
    return PartRecord(
        axle=axle.name, kind=f"helper {helper.name}, coil spring", quantity=quantity, dimensions=tuple(row for row in rows if row.value is not None),
        points=tuple(LoadPoint(name, need.ride_length - at, load) for name, at, load in told["marks"]), judged=(judged,), **told,
        tolerances=(Tolerance("spring rate", axle.spring.rate_tolerance * law.rate, "N/m", "rate", AGREE),),
        arrival=("measure free length and outside diameter of each", "press each to its ride length on a scale and write the load down"),
        remarks=tuple(remarks), cautions=(STORED,),
    )  # fmt: skip
