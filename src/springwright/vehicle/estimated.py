"""Values of a design file that are estimates: listed in it with their basis."""

from __future__ import annotations

from springwright.quantities import Record


class EstimatedValue(Record):
    """A value that is an estimate: its `field`, as in "axles.front.tyre.rate", the `value` as it stands there, the range it may lie in, and its basis.

    It counts while the value at its field is still this one: whoever writes his own over it has mended it.
    """

    field: str
    value: str | float
    low: str | float | None = None
    high: str | float | None = None
    basis: str
