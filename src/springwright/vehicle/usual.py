"""What is usual: entries that are possible but out of the ordinary are told, never refused, and the builder may say that he is sure.

The ranges are our own judgement of what vehicles of a hundred kilograms to a hundred tonnes have; no source. What cannot be at all is
refused where a quantity is read (`units`).
"""

from __future__ import annotations

import contextlib
import difflib
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol

import numpy as np

from springwright.errors import FieldFault, QuantityError
from springwright.linkage.mounts import BY_POINTS, Stated
from springwright.parts.tyre import size_of
from springwright.units import told

if TYPE_CHECKING:
    from springwright.vehicle.axle import Axle


class Range(NamedTuple):
    """Kind of a quantity, and from where to where it is usual, SI; `hint` says what is often the matter."""

    kind: str
    least: float
    most: float
    hint: str = ""


HEIGHT = "heights are above the ground"
UNIT = "check its unit"
DIGITS = "check its unit and its digits"
# By field; * stands for every entry of a list.
RANGES: dict[str, Range] = {
    "kerb.mass": Range("mass", 120.0, 60e3, UNIT),
    "kerb.above_ground": Range("length", 0.2, 2.5, UNIT),
    "kerb.raised.*.height": Range(
        "length", 0.15, 2.0, "the raised axle's centre goes up by this; less gives no height worth having"
    ),
    "kerb.raised.*.angle": Range("angle", np.radians(4), np.radians(35), "less gives no height worth having"),
    "items.*.mass": Range("mass", 0.5, 30e3, UNIT),
    "items.*.above_ground": Range("length", 0.1, 4.0, HEIGHT),
    "items.*.behind_front_axle": Range("length", -3.0, 16.0, DIGITS),
    "items.*.left_of_centre": Range("length", -1.6, 1.6, DIGITS),
    "seats.*.above_ground": Range("length", 0.2, 3.5, HEIGHT),
    "seats.*.behind_front_axle": Range("length", -3.0, 16.0, DIGITS),
    "hitch.above_ground": Range("length", 0.2, 1.5, HEIGHT),
    "axles.*.behind_front_axle": Range("length", 0.0, 16.0, DIGITS),
    "axles.*.track": Range("length", 0.8, 3.2, UNIT),
    "axles.*.unsprung_mass": Range("mass", 8.0, 2500.0, UNIT),
    "axles.*.roll_centre_height": Range("length", -0.3, 1.5, HEIGHT),
    "axles.*.frame_width": Range("length", 0.3, 1.6, UNIT),
    "axles.*.ride_height": Range("length", 0.1, 1.5, HEIGHT),
    "axles.*.travel.bump": Range("length", 0.03, 0.5, DIGITS),
    "axles.*.travel.droop": Range("length", 0.02, 0.5, DIGITS),
    "axles.*.target.frequency": Range("frequency", 0.7, 3.5, UNIT),
    "axles.*.target.damping_ratio": Range("ratio", 0.1, 1.0),
    "axles.*.tyre.unloaded_radius": Range("length", 0.18, 1.3, "it is a radius, not a diameter"),
    "axles.*.tyre.rate": Range("rate", 40e3, 3e6, UNIT),
    "axles.*.tyre.pressure": Range("pressure", 20e3, 900e3, UNIT),
    "axles.*.spring.installed_length": Range("length", 0.08, 0.7, "between the spring's seats at zero travel"),
    "axles.*.spring.largest_outside": Range("length", 0.05, 0.3, UNIT),
    "axles.*.spring.existing.rate": Range("rate", 4e3, 1.5e6, UNIT),
    "axles.*.spring.existing.free_length": Range("length", 0.1, 0.9, UNIT),
    "axles.*.spring.coil.wire": Range("length", 4e-3, 60e-3, UNIT),
    "axles.*.spring.coil.free_length": Range("length", 0.1, 0.9, UNIT),
    "axles.*.spring.coil.active_coils": Range("ratio", 2.5, 20.0, "active coils, not the total"),
    "axles.*.damper.length": Range("length", 0.15, 1.2, UNIT),
    "axles.*.bar.end_rate": Range("rate", 1e3, 600e3, UNIT),
}
RATIO = Range(
    "ratio",
    0.3,
    1.4,
    "check that arm and spring_at, or the points, are not entered the wrong way round, and their units",
)
RADIUS = Range("ratio", 0.13, 0.45, "it is a radius, not a diameter")
BY_SIZE = Range("ratio", 0.93, 1.05, "its size and its radius do not belong together")
MEMBER = Range("length", 0.03, 2.0, "check the unit of its points")
POINT_HIGH = Range("length", 0.05, 2.0, "check the unit of its points")
GAP = Range("length", 0.6, 9.0, DIGITS)


class Usual(NamedTuple):
    """An entry held against what is usual: its field, by names as in `axles.rear.travel.bump`, and how it reads."""

    field: str
    value: float
    usual: Range
    what: str = ""

    @property
    def out(self) -> bool:
        """Whether it is out of the ordinary."""
        return not self.usual.least * (1 - 1e-9) - 1e-12 <= self.value <= self.usual.most * (1 + 1e-9)

    @property
    def said(self) -> str:
        """In words."""
        kind, least, most, hint = self.usual
        what = f" ({self.what})" if self.what else ""
        tail = f"; {hint}" if hint else ""
        return f'{self.field} = {told(self.value, kind)}{what} is out of the ordinary, usual {told(least, kind)} to {told(most, kind)}{tail}; if it is right, add it to sure: "{self.field}"'


class Entered(Protocol):
    """What is looked through: a design, or whatever else has axles and a list of what its builder is sure of."""

    @property
    def axles(self) -> tuple[Axle, ...]:
        """Its axles, front first."""

    @property
    def sure(self) -> tuple[str, ...]:
        """Fields that are right though out of the ordinary."""


def unusual(design: Entered) -> tuple[str, ...]:
    """Entries out of the ordinary, in words, but for those the design is sure of; of a table of points the first."""
    out = {one.field: one.said for one in reversed([*_entries(design)]) if one.out and one.field not in design.sure}
    return tuple(reversed(out.values()))


def check_sure(design: Entered) -> None:
    """Refuse a name in `sure` that is no entry held against what is usual."""
    if not design.sure:
        return
    known = list(dict.fromkeys(one.field for one in _entries(design)))
    for i, name in enumerate(design.sure):
        if name not in known:
            near = difflib.get_close_matches(name, known, 1, 0.5)
            said = f'; did you mean "{near[0]}"?' if near else ""
            raise FieldFault(("sure", i), f"is no field that is held against what is usual here{said}")


def _entries(design: Entered) -> Iterator[Usual]:
    for pattern, usual in RANGES.items():
        for field, value in _found(design, pattern.split("."), ()):
            yield Usual(field, value, usual)
    for a, b in pairwise(design.axles):
        gap = b.behind_front_axle - a.behind_front_axle
        yield Usual(f"axles.{b.name}.behind_front_axle", gap, GAP, f"behind {a.name}")
    for axle in design.axles:
        yield from _of_axle(axle)


def _found(value: Any, steps: Sequence[str], name: tuple[str, ...]) -> Iterator[tuple[str, float]]:
    """Every number at a pattern's end, with its field by names; none where something on the way is not given."""
    if value is None:
        return
    if not steps:
        yield ".".join(name), float(value)
    elif steps[0] == "*":
        for i, entry in enumerate(value):
            yield from _found(entry, steps[1:], (*name, getattr(entry, "name", str(i + 1))))
    else:
        yield from _found(getattr(value, steps[0], None), steps[1:], (*name, steps[0]))


def _of_axle(axle: Axle) -> Iterator[Usual]:
    """What is worked out of several entries: motion ratios, the radius a size makes, members and heights of pivot points."""
    where = f"axles.{axle.name}"
    for part, mount in (("spring", axle.spring), ("damper", axle.damper)):
        if mount is not None and mount.acts.by != "twist":
            length = axle.spring.rest_length if part == "spring" else getattr(mount, "length", None) or 0.3
            ratio = float(mount.acts.lengths(0.0, length or 0.3).ratio)
            yield Usual(f"{where}.{part}.acts", ratio, RATIO, "motion ratio")
        acts = mount.acts if mount is not None else None
        if isinstance(acts, BY_POINTS) and not isinstance(acts, Stated):
            for name in ("foot", "top"):
                point = getattr(acts, name, None)
                if point is not None:
                    yield Usual(f"{where}.{part}.acts.{name}", point[2], POINT_HIGH, "height above ground")
    if axle.track is not None:
        yield Usual(
            f"{where}.tyre.unloaded_radius", axle.tyre.unloaded_radius / axle.track, RADIUS, "share of the track"
        )
    if axle.tyre.size is not None:
        with contextlib.suppress(QuantityError):  # old sizes say no more than they say
            width, aspect, rim = size_of(axle.tyre.size)
            made = rim / 2 + aspect * width
            yield Usual(
                f"{where}.tyre.size",
                axle.tyre.unloaded_radius / made,
                BY_SIZE,
                f"unloaded radius / {told(made, 'length')} by its size",
            )
    links, field = axle.links, axle.linkage_field
    if links is None:
        return
    places = links.joints(0.0)
    for name, point in places.items():
        yield Usual(f"{where}.{field}", float(point[2]), POINT_HIGH, f"height of {name.replace('_', ' ')}")
    for a, b in links.sketch():
        if a in places and b in places:
            yield Usual(
                f"{where}.{field}",
                float(np.linalg.norm(places[b] - places[a])),
                MEMBER,
                f"{a} to {b}".replace("_", " "),
            )
