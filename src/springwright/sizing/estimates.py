"""Bush rates of links that the builder did not give: what is taken in their place, and how it reads."""

from __future__ import annotations

from typing import NamedTuple

from springwright.linkage.beam_links import BUSH, BUSH_USUAL, BeamLinks
from springwright.units import show
from springwright.vehicle.design import Design


class Estimate(NamedTuple):
    """Bush rates of one axle that are not given: their fields, and how the estimate reads."""

    axle: str
    fields: tuple[tuple[str | int, ...], ...]

    @property
    def said(self) -> str:
        """In words."""
        low, high = (show(rate, "rate", 0) for rate in BUSH_USUAL)
        names = " and ".join(dict.fromkeys(str(field[-1]) for field in self.fields))
        return f"{self.axle}: {names} not given, estimated as {show(BUSH, 'rate', 0)} (usual {low} to {high}, common practice, no source)"


def estimates_of(design: Design) -> tuple[Estimate, ...]:
    """The bush rates that count in a design and are estimated, by axle."""
    found = []
    for i, axle in enumerate(design.axles):
        links = axle.links
        if isinstance(links, BeamLinks) and links.estimated:
            found.append(Estimate(axle.name, tuple(("axles", i, "axle_links", *field) for field in links.estimated)))
    return tuple(found)
