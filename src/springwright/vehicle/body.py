"""The outline of the sprung body as it is drawn: no mechanics follow from it."""

from __future__ import annotations

from itertools import pairwise

from pydantic import model_validator

from springwright.errors import FieldFault
from springwright.quantities import Length, NonNegativeLength, PositiveLength, Record
from springwright.units import show

Shape = tuple[tuple[Length, NonNegativeLength], ...]

LONG, HIGH = 30.0, 8.0  # m; no part of a vehicle is farther away or higher: a slip of the unit
LEAST_AREA = 1e-4  # m2 that an outline must enclose
SIDE = ("front", "rear", "cab_begins", "cab_ends", "bonnet", "deck")  # drawn by `side` where that is given
RISING = (("underside", "bonnet"), ("underside", "deck"), ("bonnet", "roof"), ("deck", "roof"))
REARWARD = (("front", "rear"), ("front", "cab_begins"), ("cab_begins", "cab_ends"), ("cab_ends", "rear"))


class Body(Record):
    """What the body looks like in the design state at its design position.

    Either a few dimensions, of which those left out follow from axles, tyres, seats and loads: `front` and `rear` end, where the
    cab begins (foot of the windscreen) and ends, all behind the front axle; `underside`, `bonnet`, `deck` and `roof` above
    ground; `width`. Or outlines, drawn one over the other: `side`, each point behind the front axle and above ground, and
    `end`, left of the centreline and above ground, as seen from behind. An outline that lies within one before it is drawn
    thin, as a window or a door.
    """

    front: Length | None = None
    rear: Length | None = None
    cab_begins: Length | None = None
    cab_ends: Length | None = None
    underside: PositiveLength | None = None
    bonnet: PositiveLength | None = None
    deck: PositiveLength | None = None
    roof: PositiveLength | None = None
    width: PositiveLength | None = None
    side: tuple[Shape, ...] | None = None
    end: tuple[Shape, ...] | None = None

    @model_validator(mode="after")
    def _drawable(self) -> Body:
        for view in ("side", "end"):
            shapes: tuple[Shape, ...] | None = getattr(self, view)
            if shapes is not None and not shapes:
                raise FieldFault((view,), "has no outline in it; give one, or leave it out")
            for i, shape in enumerate(shapes or ()):
                _check(shape, (view, i))
        for name in SIDE:
            if self.side is not None and getattr(self, name) is not None:
                raise FieldFault((name,), "is drawn by side already; keep one of them")
        if self.side is not None and self.end is not None:
            for name in ("underside", "roof", "width"):
                if getattr(self, name) is not None:
                    raise FieldFault((name,), "is drawn by side and end already; keep one of them")
        self._in_order()
        return self

    def _in_order(self) -> None:
        for pairs, word in ((RISING, "higher than"), (REARWARD, "farther back than")):
            for low, high in pairs:
                one, other = getattr(self, low), getattr(self, high)
                if one is not None and other is not None and other <= one:
                    raise FieldFault((high,), f"must be {word} {low}, {show(one, 'length')}")
        for name, most in (*((one, LONG) for one in (*SIDE[:4], "width")), *((one, HIGH) for one in ("bonnet", "deck", "roof", "underside"))):  # fmt: skip
            value = getattr(self, name)
            if value is not None and abs(value) > most:
                raise FieldFault((name,), f"is more than {show(most, 'length')}; check its unit")


def _check(shape: Shape, where: tuple[str | int, ...]) -> None:
    if len(shape) < 3:
        count = "1 point" if len(shape) == 1 else f"{len(shape)} points"
        raise FieldFault(where, f"has {count}; an outline needs 3 or more")
    for j, (along, height) in enumerate(shape):
        if abs(along) > LONG or height > HIGH:
            raise FieldFault((*where, j), "lies too far away for a vehicle; check its unit")
    if abs(area(shape)) < LEAST_AREA:
        raise FieldFault(where, "encloses nothing; its points lie on a line, or it crosses itself")


def area(shape: Shape) -> float:
    """What an outline encloses [m2], counted round it."""
    return sum(x1 * z2 - x2 * z1 for (x1, z1), (x2, z2) in pairwise((*shape, shape[0]))) / 2
