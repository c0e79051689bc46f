"""What brings a vehicle as built back to its target: spacers, springs, dampers and pressures, each with what it would do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any, Literal

import numpy as np

from springwright.commission.modelled import Modelled
from springwright.errors import SpringwrightError
from springwright.parts.catalogue import EMPTY, Catalogue
from springwright.parts.law import built_law
from springwright.results import KEPT, Result
from springwright.sizing.states import AxleRest, at_rest_in
from springwright.units import show
from springwright.vehicle.curves import mean_ratio

LEVEL = 0.002  # m: a height that is off by less is left
DAMPED = 0.05  # share of a damping ratio, likewise
PRESSED = 0.03  # share of a tyre's rate, likewise
SPACINGS = 3  # rounds of spacers: each takes what is left down tenfold

What = Literal["spacer", "spring", "damper", "pressure"]


@dataclass(frozen=True)
class Remedy(Result):
    """One change that can be made on the floor: of what, by how much or to what, and the figure it brings back, before and after [SI by `unit`]."""

    axle: str
    what: What
    change: str
    figure: str
    kind: str
    unit: str
    target: float
    before: float
    after: float
    note: str = ""
    does: Any = field(metadata=KEPT, repr=False, compare=False, default=None)


def rests_of(standing: Modelled, state: str) -> tuple[AxleRest, ...]:
    """Every axle at rest in a load state."""
    at = standing.at(state)
    return at_rest_in(
        standing.design, at.weight, standing.laws, np.array(standing.sheet.design_loads), standing.sheet.rates
    ).axles


def remedies(drawn: Modelled, built: Modelled, catalogue: Catalogue = EMPTY) -> tuple[Remedy, ...]:
    """What would bring each axle of a vehicle as built back to where the drawing has it in the design state."""
    state = drawn.sheet.design_state
    before, due = rests_of(built, state), rests_of(drawn, state)
    found: list[Remedy] = []
    for i in range(len(before)):
        found += filter(
            None,
            (
                _spring(built, i, before[i], due[i], state, catalogue),
                _damper(built, i, before[i], due[i], state),
                _pressure(drawn, built, i),
            ),
        )
    return (*found, *_spacers(done(built, found), before, due, state))


def done(standing: Modelled, some: Sequence[Remedy]) -> Modelled:
    """The vehicle with some of them made."""
    for one in some:
        standing = one.does(standing)
    return standing


def _with_axle(standing: Modelled, i: int, **changed: Any) -> Modelled:
    axles = list(standing.design.axles)
    axles[i] = axles[i].model_copy(update=changed)
    return Modelled(standing.design.model_copy(update={"axles": tuple(axles)}), standing.sheet, standing.laws)


def _with_law(standing: Modelled, i: int, rate: float, longer: float) -> Modelled:
    laws = list(standing.laws)
    laws[i] = built_law(laws[i], rate, longer)
    return Modelled(standing.design, standing.sheet, tuple(laws))


def _spacers(standing: Modelled, before: Sequence[AxleRest], due: Sequence[AxleRest], state: str) -> list[Remedy]:
    """Spacers under the springs, of whole millimetres, that level it all together: raising one end lowers the other a little."""
    ratios = [mean_ratio(axle) * axle.as_built.motion_ratio for axle in standing.design.axles]
    thick = [0.0] * len(ratios)

    def spaced(thick: Sequence[float]) -> Modelled:
        one = standing
        for i, more in enumerate(thick):
            one = _with_law(one, i, 1.0, more)
        return one

    for _ in range(SPACINGS):
        now = rests_of(spaced(thick), state)
        thick = [t - ratio * (a.rise - b.rise) for t, ratio, a, b in zip(thick, ratios, now, due, strict=True)]
    thick = [round(one, 3) for one in thick]
    if all(abs(one.rise - two.rise) < LEVEL for one, two in zip(rests_of(standing, state), due, strict=True)):
        return []
    after = rests_of(spaced(thick), state)
    made = []
    for i, more in enumerate(thick):
        if not more:
            continue
        note = "" if more > 0 else "of a spacer that is there, or by a lower seat"
        said = f"{show(abs(more), 'length')} {'more' if more > 0 else 'less'}"
        made.append(
            Remedy(before[i].name, "spacer", said, "height against zero travel", "length", "m", due[i].rise, before[i].rise, after[i].rise, note, does=partial(_with_law, i=i, rate=1.0, longer=more))
        )  # fmt: skip
    return made


def _spring(
    standing: Modelled, i: int, now: AxleRest, due: AxleRest, state: str, catalogue: Catalogue
) -> Remedy | None:
    axle, told = standing.design.axles[i], (now.frequency_on_springs, due.frequency_on_springs)
    if axle.target is None or told[0] is None or told[1] is None:
        return None
    target = (
        axle.target.frequency
        if axle.target.stiffness == "wheel rate" and axle.target.mass == "sprung mass"
        else told[1]
    )
    if abs(told[0] / target - 1) <= axle.target.tolerance:
        return None
    here = standing.laws[i].rate
    times = (target / told[0]) ** 2
    named, note = f"{show(times * here, 'rate')} in place of {show(here, 'rate')}", ""
    rows = list(catalogue)
    if rows:
        nearest = min(rows, key=lambda row: abs(row.rate / (times * here) - 1))
        times, named = nearest.rate / here, f"{nearest.part}, {show(nearest.rate, 'rate')}"
        note = "nearest in rate of your catalogue; its height is set by its spacer"
    force = standing.laws[i].force

    def does(one: Modelled) -> Modelled:
        law = one.laws[i]
        # it carries what the other carried at the same height: longer or shorter by what its rate asks
        return _with_law(one, i, times, force / (times * law.rate) - force / law.rate)

    try:
        after = rests_of(does(standing), state)[i].frequency_on_springs
    except SpringwrightError:
        return None
    return Remedy(
        now.name, "spring", named, "frequency", "frequency", "Hz", target, told[0], after or told[0], note, does=does
    )


def _damper(standing: Modelled, i: int, now: AxleRest, due: AxleRest, state: str) -> Remedy | None:
    axle = standing.design.axles[i]
    if (
        now.damping_ratio is None
        or due.damping_ratio is None
        or abs(now.damping_ratio / due.damping_ratio - 1) <= DAMPED
    ):
        return None
    times = due.damping_ratio / now.damping_ratio

    def does(one: Modelled) -> Modelled:
        was = one.design.axles[i].as_built
        return _with_axle(one, i, built=was.model_copy(update={"damping": times * was.damping}))

    after = rests_of(does(standing), state)[i].damping_ratio
    said = f"{show(abs(times - 1), 'share', 0)} {'more' if times > 1 else 'less'} force"
    note = "by its clicks or its valves, by the damper's own test sheet" if axle.damper is not None else ""
    return Remedy(
        now.name,
        "damper",
        said,
        "damping ratio",
        "ratio",
        "",
        due.damping_ratio,
        now.damping_ratio,
        after or 0.0,
        note,
        does=does,
    )


def _pressure(drawn: Modelled, built: Modelled, i: int) -> Remedy | None:
    """A pressure that brings a tyre's rate back: by its readings at pressures, or in proportion where it is an estimate."""
    was, now = drawn.design.axles[i], built.design.axles[i]
    wanted, there = was.tyre.rate * was.as_built.tyre_rate, now.tyre.rate * now.as_built.tyre_rate
    if was.tyre.pressure is None or not was.tyre.readings or abs(there / wanted - 1) <= PRESSED:
        return None
    from scipy.optimize import brentq

    low, high = 0.6 * was.tyre.pressure, 1.5 * was.tyre.pressure
    times = now.as_built.tyre_rate / was.as_built.tyre_rate
    if (was.tyre.rate_at(low) * times - wanted) * (was.tyre.rate_at(high) * times - wanted) > 0:
        return None
    pressure = float(brentq(lambda p: was.tyre.rate_at(p) * times - wanted, low, high))
    share = wanted / there

    def does(one: Modelled) -> Modelled:
        as_built = one.design.axles[i].as_built
        return _with_axle(one, i, built=as_built.model_copy(update={"tyre_rate": share * as_built.tyre_rate}))

    return Remedy(
        was.name, "pressure", f"{show(pressure, 'pressure')} in place of {show(was.tyre.pressure, 'pressure')}", "tyre rate", "rate", "N/m", wanted, there, wanted,
        "within what the tyre's maker allows for its load", does=does,
    )  # fmt: skip
