"""An anti-roll bar held against its stresses, its wheels as far apart as the travel lets them."""

from __future__ import annotations

from springwright.parts.steel import steel
from springwright.results import Judged
from springwright.vehicle.axle import Axle


def end_travel(axle: Axle) -> float:
    """Travel of each end against the middle with one wheel in full bump and the other in full droop [m]."""
    assert axle.bar is not None
    apart = axle.travel.bump + axle.travel.stop_compression + axle.travel.droop
    return apart / 2 * axle.bar.motion_ratio


def bar_stress(axle: Axle) -> tuple[Judged, ...]:
    """Shear and equivalent stress there; nothing where the bar's shape is not known."""
    bar = axle.bar
    if bar is None or bar.shape is None:
        return ()
    made = steel(bar.shape.steel)
    shear, equivalent = bar.shape.stress(bar.end_rate * end_travel(axle))
    source = bar.shape.stress_origin or made.bar_source
    limits = (bar.shape.permissible or made.bar, bar.shape.permissible or made.bar_cyclic)
    measures = (
        f"{axle.name} bar, shear stress, wheels furthest apart",
        f"{axle.name} bar, equivalent stress, wheels furthest apart",
    )
    return tuple(
        Judged.of(measure, value, "at most", limit, unit="Pa", kind="stress", source=source, id="bar_stress")
        for measure, value, limit in zip(measures, (shear, equivalent), limits, strict=True)
    )
