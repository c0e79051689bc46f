"""Which reading not yet made would tell most: every usual one tried on the model, by how much of what is open it would take away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.commission.leans import Circle
from springwright.commission.modelled import Modelled
from springwright.commission.parts_read import SpringBench, TyrePress
from springwright.commission.pushes import Push
from springwright.commission.scales import RaisedWeighing, Weighing
from springwright.commission.swings import Bounce
from springwright.commission.taken import Reduced, Taken, Workplace
from springwright.errors import SpringwrightError
from springwright.results import KEPT, Result
from springwright.units import GRAVITY, show

Floats = NDArray[np.float64]
MINUTES = {"scales": 30, "push": 20, "bench": 15, "tyre": 15, "bounce": 15, "lean": 60}  # common practice, no source
PUSHED = (0, 50, 100, 150, 200, 150, 100, 50, 0)  # kg on and off
ENOUGH = 0.02  # of all that is open, below which a reading is not worth its time


@dataclass(frozen=True)
class NextReading(Result):
    """A reading not yet made: its kind, what to do, about how long it takes, and by how much it would take down what is open [-]."""

    kind: str
    words: str
    minutes: int
    gain: float


@dataclass(frozen=True)
class Possible:
    """A reading that is thought of, as if it were made, and in words."""

    words: str
    told: Reduced = field(metadata=KEPT)


def possible(drawn: Modelled, sets: Sequence[Reduced]) -> tuple[Possible, ...]:
    """Usual readings that were not made yet; those the design is not fit for are left out."""
    made = {figure.name for one in sets for figure in one.figures}
    bench = Workplace(Path(), drawn, lambda _: None)
    found = []
    for words, kind, content in _usual(drawn):
        try:
            told = kind.model_validate(content).reduced(0, bench)
        except (SpringwrightError, ValueError):
            continue
        if not any(figure.name in made for figure in told.figures):
            found.append(Possible(words, told))
    return tuple(found)


def _usual(drawn: Modelled) -> list[tuple[str, type[Taken], dict[str, Any]]]:
    """Words, kind and made-up content of the readings a workshop would make: what they would read does not matter, what they ask does."""
    design = drawn.design
    made: list[tuple[str, type[Taken], dict[str, Any]]] = []
    for axle, spring, rates in zip(design.axles, drawn.sheet.springs, drawn.sheet.rates, strict=True):
        name, rest, law = axle.name, axle.spring.rest_length, spring.law
        lengths = [rest + 0.3 * axle.travel.droop, rest, rest - 0.5 * axle.travel.bump]
        loads = [max(float(law.at(rest - one).force), 1.0) for one in lengths]
        load = GRAVITY * rates.axle_load / axle.wheels
        tyre = axle.tyre.rate * axle.as_built.tyre_rate
        made += [
            (f"press one {name} spring to three lengths on the bench", SpringBench, {"axle": name, "lengths": _mm(*lengths), "loads": _n(*loads)}),
            (f"load the {name} axle in four steps and take it off again", Push, {"axle": name, **pushed_as_due(rates.ride_rate * axle.wheels)}),
            (f"press a {name} tyre by two loads", TyrePress, {"axle": name, "loads": _n(0.8 * load, 1.2 * load), "pressed": _mm(0.8 * load / tyre, 1.2 * load / tyre)}),
            (f"bounce it over the {name} axle", Bounce, {"axle": name, "bounces": 3, "seconds": "2.4 s", "rises": _mm(0.02, 0.006)}),
        ]  # fmt: skip
    count, long = len(design.axles), design.axles[-1].behind_front_axle
    heights = ("heights_left", "heights_right") if all(one.ride_height for one in design.axles) else ()
    for state in design.states:
        read = {
            **{side: _kg(*[500.0] * count) for side in ("left", "right")},
            **{one: _mm(*[0.5] * count) for one in heights},
        }
        made.append((f"weigh it wheel by wheel, {state.name}", Weighing, {"state": state.name, **read}))
    if count == 2 and design.hitch is None:
        up = {
            "state": design.states[0].name,
            "height": f"{0.2 * long} m",
            "on_scales": {design.axles[-1].name: "900 kg"},
        }
        made.append((f"raise the front by {show(0.2 * long, 'length')} and weigh the rear", RaisedWeighing, up))
    made.append(("drive a steady circle, gently", Circle, {"lateral": ("0.1 g", "0.2 g"), "roll": ("1 deg", "2 deg")}))
    return made


def pushed_as_due(rate: float) -> dict[str, Any]:
    """Masses on and off, and how far an axle of a rate over its tyres [N/m] is lowered by them: a push that reads what is due."""
    return {"loads": _kg(*PUSHED), "lowered": _mm(*(one * GRAVITY / rate for one in PUSHED))}


def _mm(*values: float) -> tuple[str, ...]:
    return tuple(f"{1000 * one} mm" for one in values)


def _kg(*values: float) -> tuple[str, ...]:
    return tuple(f"{one} kg" for one in values)


def _n(*values: float) -> tuple[str, ...]:
    return tuple(f"{one} N" for one in values)


def best_of(maybe: Sequence[Possible], slopes: Sequence[Floats], covariance: Floats) -> NextReading | None:
    """The reading that would take most of all that is open, for its time; None where none is worth it."""
    return _best(maybe, slopes, covariance, np.arange(len(covariance)), timed=True)


def best_for(
    group: Sequence[int], maybe: Sequence[Possible], slopes: Sequence[Floats], covariance: Floats
) -> NextReading | None:
    """The reading that would take most of what is open of some inputs."""
    return _best(maybe, slopes, covariance, np.array(group), timed=False)


def _best(
    maybe: Sequence[Possible], slopes: Sequence[Floats], covariance: Floats, of: NDArray[np.intp], *, timed: bool
) -> NextReading | None:
    whole, open_ = np.linalg.inv(covariance), float(np.diag(covariance)[of].sum())
    best: tuple[float, NextReading] | None = None
    for one, mine in zip(maybe, slopes, strict=True):
        after = np.linalg.inv(whole + mine.T @ mine)
        gain = 1 - float(np.diag(after)[of].sum()) / open_
        minutes = MINUTES[one.told.kind]
        worth = gain / minutes if timed else gain
        if gain > ENOUGH and (best is None or worth > best[0]):
            best = worth, NextReading(one.told.kind, one.words, minutes, gain)
    return None if best is None else best[1]
