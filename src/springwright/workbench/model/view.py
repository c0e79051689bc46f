"""What the whole page is shown for: load state, ground, speed, units, and what is folded, open or looked at closer."""

from __future__ import annotations

from dataclasses import dataclass

from springwright.units import System
from springwright.vehicle.design import Design

SECTIONS = ("weigh", "aim", "place", "spring", "damp", "prove", "trade", "order", "measure")  # that can be folded
CLASSES = tuple(f"class {letter}" for letter in "BCDEF")


@dataclass(frozen=True)
class View:
    """What the whole page is shown for."""

    state: str = ""
    ground: str = ""
    speed: float = 0.0
    system: System = "metric"
    folded: frozenset[str] = frozenset()
    open: frozenset[str] = frozenset()  # workings and the like that are unfolded
    picked: tuple[
        float, ...
    ] = ()  # the design of the front that is looked at, by the values of its decisions; none for none
    across: str = ""  # figures on the axes of the front, by id; the first two sought where they are left out
    up: str = ""
    order: str = ""  # of the steps of the exchange table; see sections.trade
    designs: int = 2000  # to be tried by a search
    zooms: tuple[tuple[str, tuple[float, float]], ...] = ()  # what of a chart's axis is looked at, in the units shown
    curves: tuple[str, ...] = ("", "", "")  # along the travel, by name; the first that are known where none is named


def grounds_of(design: Design) -> list[str]:
    """Grounds the page may be shown for: the design's own, else classes of ISO 8608."""
    return [one.name for one in design.grounds] or list(CLASSES)
