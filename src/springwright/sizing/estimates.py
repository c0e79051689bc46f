"""What stands on no reading: values that the file itself calls estimates, and bush rates that the builder did not give."""

from __future__ import annotations

from typing import NamedTuple

from springwright.linkage.beam_links import BUSH, BUSH_USUAL, BeamLinks
from springwright.units import show, text_in
from springwright.vehicle.design import Design
from springwright.vehicle.faults import Location
from springwright.vehicle.standing import standing_estimates


class Estimate(NamedTuple):
    """An estimate: what it is of, its fields, how it reads, what to do about it, and what may stand at its fields at either end of its range."""

    name: str
    fields: tuple[Location, ...]
    said: str
    mend: str
    ends: tuple[str | float, ...] = ()


def estimates_of(design: Design) -> tuple[Estimate, ...]:
    """The estimates of a design: bush rates that count and are not given, by axle, then those that its file lists and nobody has written over."""
    return (*bush_estimates(design), *listed_estimates(design))


def bush_estimates(design: Design) -> tuple[Estimate, ...]:
    """The bush rates that count in a design and are estimated, by axle."""
    found = []
    for i, axle in enumerate(design.axles):
        links = axle.links
        if not (isinstance(links, BeamLinks) and links.estimated):
            continue
        fields: tuple[Location, ...] = tuple(("axles", i, "axle_links", *field) for field in links.estimated)
        low, high = (show(rate, "rate", 0) for rate in BUSH_USUAL)
        names = " and ".join(dict.fromkeys(str(field[-1]) for field in fields))
        said = f"{axle.name}: {names} not given, estimated as {show(BUSH, 'rate', 0)} (usual {low} to {high}, common practice, no source)"
        ends = tuple(text_in(rate, "rate", "N/mm") for rate in BUSH_USUAL)
        found.append(Estimate(f"{axle.name} {names}", fields, said, "measure the bushes or ask their maker", ends))
    return tuple(found)


def listed_estimates(design: Design) -> tuple[Estimate, ...]:
    """The values that a design file calls estimates and nobody has written over."""
    return tuple(
        Estimate(
            one.entry.field,
            (one.at,),
            f"estimated: {one.entry.field}, {one.entry.value} ({one.entry.basis})",
            "measure it and write it in",
            () if one.entry.low is None or one.entry.high is None else (one.entry.low, one.entry.high),
        )
        for one in standing_estimates(design)
    )


def estimates_said(design: Design) -> str:
    """What the file lists as estimates, in one sentence; nothing where it lists none."""
    names = [f"{one.entry.field} {one.entry.value}" for one in standing_estimates(design)]
    if not names:
        return ""
    return f"{len(names)} {'value is an estimate' if len(names) == 1 else 'values are estimates'}, until you write your own over {'it' if len(names) == 1 else 'them'}: {', '.join(names)}"
