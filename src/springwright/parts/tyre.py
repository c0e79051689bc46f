"""The tyre as a vertical spring under the wheel."""

from __future__ import annotations

from springwright.units import Damping, PositiveLength, PositiveMass, PositiveRate, Pressure, Record


class Tyre(Record):
    """A tyre at its running pressure. Rate: load / (unloaded radius - loaded radius), by tape and scales."""

    rate: PositiveRate
    unloaded_radius: PositiveLength
    size: str | None = None
    pressure: Pressure | None = None
    damping: Damping | None = None
    load_rating: PositiveMass | None = None
    width: PositiveLength | None = None
