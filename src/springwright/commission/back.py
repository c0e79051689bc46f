"""What brings a vehicle as built back to its target: spacers, springs, dampers and pressures, each with what it would do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from springwright.commission.modelled import Modelled
from springwright.errors import SpringwrightError
from springwright.parts.catalogue import EMPTY, Catalogue
from springwright.parts.law import built_law
from springwright.results import Result
from springwright.sizing.states import AxleRest, at_rest_in
from springwright.units import show, text_in
from springwright.vehicle.built import BuiltAxle
from springwright.vehicle.curves import mean_ratio
from springwright.vehicle.edits import Change, changed
from springwright.vehicle.file import DesignFile

LEVEL = 0.002  # m: a height that is off by less is left
DAMPED = 0.05  # share of a damping ratio, likewise
PRESSED = 0.03  # share of a tyre's rate, likewise
SPACINGS = 3  # rounds of spacers: each takes what is left down tenfold

What = Literal["spacer", "spring", "damper", "pressure"]
FIELDS: dict[What, str] = {
    "spacer": "spring_rate",
    "spring": "spring_rate",
    "damper": "damping",
    "pressure": "tyre_rate",
}


@dataclass(frozen=True)
class Remedy(Result):
    """One change that can be made on the floor: of what, by how much or to what, and the figure it brings back, before and after [SI by `unit`].

    Of the axle numbered `of`, `times` multiplies the rate of a spring or a tyre or the force of a damper as built, and its springs become `longer` [m].
    """

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
    of: int = 0
    times: float = 1.0
    longer: float = 0.0

    def on(self, was: BuiltAxle) -> BuiltAxle:
        """An axle as built with it made."""
        field = FIELDS[self.what]
        return was.model_copy(
            update={field: self.times * getattr(was, field), "spring_longer": was.spring_longer + self.longer}
        )


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
    axles, laws = list(standing.design.axles), list(standing.laws)
    for one in some:
        axles[one.of] = axles[one.of].model_copy(update={"built": one.on(axles[one.of].as_built)})
        if one.what in ("spacer", "spring"):
            laws[one.of] = built_law(laws[one.of], one.times, one.longer)
    return Modelled(standing.design.model_copy(update={"axles": tuple(axles)}), standing.sheet, tuple(laws))


def brought_back(built: DesignFile, some: Sequence[Remedy]) -> DesignFile:
    """An as-built design file with some of them made: what is built of each axle says so."""
    changes: list[Change] = []
    for i, axle in enumerate(built.design.axles):
        was = now = axle.as_built
        for one in (each for each in some if each.of == i):
            now = one.on(now)
        said = {
            name: text_in(round(value, 5), "length", "mm") if name == "spring_longer" else round(value, 5)
            for name in BuiltAxle.model_fields
            if (value := getattr(now, name)) != getattr(was, name)
        }
        if axle.built is None and said:
            changes.append((("axles", i, "built"), said))
        else:
            changes += [(("axles", i, "built", name), value) for name, value in said.items()]
    return changed(built, changes)


def _spacers(standing: Modelled, before: Sequence[AxleRest], due: Sequence[AxleRest], state: str) -> list[Remedy]:
    """Spacers under the springs, of whole millimetres, that level it all together: raising one end lowers the other a little."""
    ratios = [mean_ratio(axle) * axle.as_built.motion_ratio for axle in standing.design.axles]
    thick = [0.0] * len(ratios)

    def spaced(thick: Sequence[float]) -> Modelled:
        return done(standing, [_spacer(standing, i, more) for i, more in enumerate(thick)])

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
        made.append(replace(_spacer(standing, i, more), target=due[i].rise, before=before[i].rise, after=after[i].rise))
    return made


def _spacer(standing: Modelled, i: int, more: float) -> Remedy:
    """A spacer so much thicker [m]; one under a coil brings its coil bind so much nearer."""
    springs = standing.sheet.springs[i]
    coil = springs.record.coil if springs.record else None
    note = "" if more > 0 else "of a spacer that is there, or by a lower seat"
    if more > 0 and coil is not None and coil.solid_length is not None:
        left = springs.need.bump_length - coil.spacer - (coil.least_length or coil.solid_length) - more
        note = f"leaves {show(left, 'length')} from full bump to coil bind" if left >= 0 else f"goes solid {show(-left, 'length')} short of full bump"  # fmt: skip
    said = f"{show(abs(more), 'length')} {'more' if more > 0 else 'less'}"
    name = standing.design.axles[i].name
    return Remedy(
        name, "spacer", said, "height against zero travel", "length", "m", 0.0, 0.0, 0.0, note, i, longer=more
    )


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
    # it carries what the other carried at the same height: longer or shorter by what its rate asks
    longer = standing.laws[i].force * (1 / times - 1) / here
    one = Remedy(
        now.name, "spring", named, "frequency", "frequency", "Hz", target, told[0], told[0], note, i, times, longer
    )
    try:
        after = rests_of(done(standing, [one]), state)[i].frequency_on_springs
    except SpringwrightError:
        return None
    return replace(one, after=after or told[0])


def _damper(standing: Modelled, i: int, now: AxleRest, due: AxleRest, state: str) -> Remedy | None:
    axle = standing.design.axles[i]
    if (
        now.damping_ratio is None
        or due.damping_ratio is None
        or abs(now.damping_ratio / due.damping_ratio - 1) <= DAMPED
    ):
        return None
    times = due.damping_ratio / now.damping_ratio

    said = f"{show(abs(times - 1), 'share', 0)} {'more' if times > 1 else 'less'} force"
    note = "by its clicks or its valves, by the damper's own test sheet" if axle.damper is not None else ""
    one = Remedy(
        now.name,
        "damper",
        said,
        "damping ratio",
        "ratio",
        "",
        due.damping_ratio,
        now.damping_ratio,
        0.0,
        note,
        i,
        times,
    )
    return replace(one, after=rests_of(done(standing, [one]), state)[i].damping_ratio or 0.0)


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
    return Remedy(
        was.name, "pressure", f"{show(pressure, 'pressure')} in place of {show(was.tyre.pressure, 'pressure')}", "tyre rate", "rate", "N/m", wanted, there, wanted,
        "within what the tyre's maker allows for its load", i, wanted / there,
    )  # fmt: skip
