"""What air springs and hydropneumatic struts have in common: pressure, exponents, stroke, temperature, and how their stroke is judged."""

from __future__ import annotations

from springwright.parts import gas
from springwright.parts.law import SpringNeed
from springwright.parts.record import Dimension, SpringPart, length, words
from springwright.quantities import PositiveLength, Pressure, Ratio, Temperature
from springwright.results import Judged


class GasPart(SpringPart):
    """A spring of gas: `pressure` is gauge, at zero travel; `runs_at` is the temperature it works at.

    `bump_stroke` and `droop_stroke` are what it can be pressed and let out from its place at zero travel. Slow changes go by
    `slow_exponent`, motion about a rest by `exponent`.
    """

    pressure: Pressure | None = None
    levelled: bool = False
    exponent: Ratio = 1.38
    slow_exponent: Ratio = 1.0
    bump_stroke: PositiveLength
    droop_stroke: PositiveLength
    largest_pressure: Pressure | None = None
    charged_at: Temperature = gas.ROOM
    runs_at: Temperature | None = None

    @property
    def length_matters(self) -> bool:
        """See `SpringPart`."""
        return True

    def strokes(self, need: SpringNeed) -> tuple[Judged, ...]:
        """The stroke used against the stroke there is."""
        return tuple(
            Judged.of(
                f"stroke used in {what}",
                used,
                "at most",
                there,
                unit="m",
                kind="length",
                source="your stroke",
                id="stroke_used",
            )
            for what, used, there in (
                ("bump", need.bump, self.bump_stroke),
                ("droop", need.droop, self.droop_stroke),
            )
        )

    def stroke_dimensions(self, kept: str, fixed: str) -> tuple[Dimension, ...]:
        """Strokes and how the height is kept, in words."""
        return (
            length("stroke in bump", self.bump_stroke),
            length("stroke in droop", self.droop_stroke),
            words("height", kept if self.levelled else fixed),
        )

    @property
    def exponents(self) -> str:
        """Which exponent goes for what, in words."""
        return f"quick motion by an exponent of {self.exponent:g}, slow changes by {self.slow_exponent:g}"
