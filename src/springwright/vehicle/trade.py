"""What a builder would trade: the fields that may vary, what is sought, the steps of the exchange table, and tolerances of what is built."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from springwright.errors import FieldFault
from springwright.quantities import Kind, Name, PositiveLength, Record, Share


class Steps(Record):
    """By how much each decision is changed for the exchange table, with its sign; `bar` as a share of what it is."""

    frequency: Annotated[float, Kind("frequency")] = 0.1
    damping_ratio: Annotated[float, Kind("ratio")] = 0.05
    bar: Annotated[float, Kind("ratio")] = 0.10
    bump: Annotated[float, Kind("length")] = 0.025
    droop: Annotated[float, Kind("length")] = 0.025
    stop_gap: Annotated[float, Kind("length")] = -0.010
    pressure: Annotated[float, Kind("pressure")] = -30e3
    spring_base: Annotated[float, Kind("length")] = 0.050
    cg_height: Annotated[float, Kind("length")] = -0.025
    track: Annotated[float, Kind("length")] = 0.050
    mass: Annotated[float, Kind("mass")] = 50.0

    @model_validator(mode="after")
    def _moves(self) -> Steps:
        for name in type(self).model_fields:
            if getattr(self, name) == 0:
                raise FieldFault((name,), "a step of nothing changes nothing; give its size, negative for less")
        return self


class Trade(Record):
    """What may vary, such as "axles.front.target.frequency = 1.0..1.6 Hz", the figures sought, by id, and where weight is added.

    `place` is the item beside which `steps.mass` goes; `reason` why this design was chosen, in the builder's words.
    """

    vary: tuple[str, ...] = ()
    seek: tuple[Name, ...] = ()
    place: Name | None = None
    steps: Steps = Steps()
    reason: str = ""


class Tolerances(Record):
    """How far what is built lies from what is drawn, two standard deviations of a normal spread.

    Rate and free length of springs are those of each axle's order where they are left out. The rest is common practice, no source.
    `motion_ratio`, `cg_place` (along and across) and `inertia` are for correcting a model by readings, `friction_of_load` too: of the
    sprung load on a wheel, where no friction is drawn.
    """

    spring_rate: Share | None = None
    free_length: Share | None = None
    mass: Share = 0.03
    cg_height: PositiveLength = 0.020
    damping: Share = 0.10
    tyre_rate: Share = 0.08
    friction: Annotated[float, Kind("ratio", least=0.0, most=3.0)] = 0.5
    friction_of_load: Share = 0.02
    motion_ratio: Share = 0.02
    cg_place: PositiveLength = 0.040
    inertia: Share = 0.20
