"""The tyre as a vertical spring under the wheel."""

from __future__ import annotations

from springwright.units import Damping, PositiveLength, PositiveMass, PositiveRate, Pressure, Ratio, Record, Share


class Tyre(Record):
    """A tyre at its running pressure. Rate: load / (unloaded radius - loaded radius), by tape and scales.

    `friction` is that at `friction_load` (else the load rating, else the design load); it falls by `friction_fall` of itself
    for every such load more. Peak friction of dry earth is about 0.65 to 0.70, of gravel 0.6 (Wong, after Taborek 1957).
    """

    rate: PositiveRate
    unloaded_radius: PositiveLength
    size: str | None = None
    pressure: Pressure | None = None
    damping: Damping | None = None
    load_rating: PositiveMass | None = None
    width: PositiveLength | None = None
    friction: Ratio | None = None
    friction_fall: Share = 0.0
    friction_load: PositiveMass | None = None
