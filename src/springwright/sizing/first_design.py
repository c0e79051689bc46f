"""A first number carried into a whole design file: what was given stands as given, everything else as an estimate with its basis.

No limit is ever among them: a limit that the builder does not give stays out, and its verdict is "not known".
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from math import isclose

from springwright.errors import Fault, InputError
from springwright.reference.shelf import ShelfRow, ShelfTopic, topic
from springwright.sizing.first_number import UNSPRUNG, FirstNumber, FirstRate
from springwright.units import plain, text_in

# up to which mass of the whole vehicle [kg] an estimate is picked from which rows of the shelf; more than four wheels make a carrier
CLASSES = ((1000.0, "light buggy"), (3500.0, "light off-road vehicle"), (9000.0, "medium off-road truck"))
CARRIER = "multi-axle carrier"
PAIR = 4  # wheels of a vehicle of two axles
BUMP_SHARE = 0.45  # of the travel: common practice, no source
STOP_SHARE = 0.10  # of the travel, that a stop gives way by: common practice, no source
STAYS_LOADED = 0.9  # of the static deflection, that a wheel may hang down by: our own choice


@dataclass
class _Estimates:
    """Values that were picked, as the design file's table of estimates has them."""

    rows: list[dict[str, str | float]] = field(default_factory=list)

    def take(self, place: str, value: float, low: float, high: float, kind: str, basis: str) -> str:
        """Note an estimate and give it as it stands in the file [SI]."""
        texts = [_text(one, kind) for one in (value, low, high)]
        self.rows.append({"field": place, "value": texts[0], "low": texts[1], "high": texts[2], "basis": basis})
        return json.dumps(texts[0], ensure_ascii=False)

    def of_row(self, place: str, one: ShelfTopic, what: str, kind: str = "", times: float = 1.0) -> str:
        """The middle of a row of the shelf, so many times."""
        row = one.row(what)
        low, high = row.low * times, row.high * times
        return self.take(place, (low + high) / 2, low, high, kind or one.kind, one.cited(row))


def _text(value: float, kind: str) -> str | float:
    """A value as a builder would write it: rounded to what an estimate is worth."""
    if kind == "ratio":
        return round(value, 2)
    unit, step = {
        "length": ("mm", 5e-3),
        "distance": ("mm", 10e-3),
        "mass": ("kg", 0.01),
        "place": ("mm", 1e-4),
        "rate": ("N/mm", 1e3),
    }[kind]
    return text_in(round(value / step) * step, "length" if unit == "mm" else kind, unit)


def first_design(found: FirstNumber, name: str = "First number", *, arm: float | None = None) -> str:
    """A design file of a first number.

    Parameters
    ----------
    found : FirstNumber
        What was worked out by `rate`.
    name : str
        Of the vehicle.
    arm : float, optional
        Length of the lever, pivot to wheel [m]; without one a spring of motion ratio 1 stands on a beam axle, else its ratio is taken as known.

    Raises
    ------
    InputError
        A vehicle of so many wheels cannot stand as one sheet has it.

    """
    wheels = found.wheels
    if wheels < 3:
        raise InputError(
            "--write",
            [
                Fault(
                    "", f"{wheels} wheels", "a sheet is of a vehicle that stands on two axles or more: 3 wheels or more"
                )
            ],
        )
    if wheels > PAIR and len(found.rates) > 1:
        raise InputError("--share", [Fault("", "", "with more than two axles every wheel carries the same here: leave the share out, and set design_load in the file")])  # fmt: skip
    counts = [2] * (wheels // 2) if wheels % 2 == 0 else [1] + [2] * (wheels // 2)
    whole = found.mass / (1 - UNSPRUNG)
    kind = next((one for most, one in CLASSES if whole <= most), CARRIER) if wheels <= PAIR else CARRIER
    return "\n".join(_lines(found, name, arm, counts, kind, _Estimates()))


def _lines(
    found: FirstNumber, name: str, arm: float | None, counts: list[int], kind: str, estimates: _Estimates
) -> Iterator[str]:
    ratio = found.rates[0].ratio
    beam = arm is None and isclose(ratio, 1.0)
    rates = [
        found.rates[0] if i == 0 else found.rates[-1] for i in range(len(counts))
    ]  # front and rear, or one for all
    sprung = [n * one.mass for n, one in zip(counts, rates, strict=True)]
    shares = topic("unsprung-share").row(_built_row(kind, beam=beam))
    share = found.unsprung if found.total else (shares.low + shares.high) / 2
    whole = found.mass / (1 - share)
    light = whole - found.mass
    places = _places(len(counts), kind)
    unsprung = [light * n / sum(counts) for n in counts]
    loads = [a + b for a, b in zip(sprung, unsprung, strict=True)]
    behind = sum(load * place for load, place in zip(loads, places, strict=True)) / whole
    basis = topic("unsprung-share").cited(shares)

    yield f"# {name}: carried over from a first number. What was given stands as given; every other value of the vehicle is an estimate, marked so"
    yield "# at its place and listed at the end with its basis. Write your own over one, and it is an estimate no more."
    yield '# Limits are yours alone: none is given here, so the questions that ask for one say "not known".'
    yield "format = 2"
    yield ""
    yield "[vehicle]"
    yield f"name = {json.dumps(name, ensure_ascii=False)}"
    yield ""
    yield "[kerb]"
    lightest, heaviest = (found.mass / (1 - one) for one in (shares.low, shares.high))
    if found.total:
        stated = _given(whole, "mass", "kg")
        yield f'mass = "{stated}"  # given: the whole vehicle'
    else:
        carried = _given(found.mass, "mass", "kg")
        yield f"mass = {estimates.take('kerb.mass', whole, lightest, heaviest, 'mass', f'{carried} on the springs as given, and {basis}')}  # estimate"
    spread = 0.1 * places[-1]
    shared = (
        "as the share on the front axle asks, at this wheelbase"
        if len(found.rates) > 1
        else "every wheel carries the same"
    )
    yield f"behind_front_axle = {estimates.take('kerb.behind_front_axle', behind, behind - spread, behind + spread, 'place', shared)}  # estimate"
    track = topic("track").row(kind)
    middle = (track.low + track.high) / 2
    yield f"above_ground = {estimates.of_row('kerb.above_ground', topic('cg-height'), _height_row(kind), 'length', middle)}  # estimate"
    yield ""
    yield "[[states]]"
    yield 'name = "As weighed"'
    for i, (count, place) in enumerate(zip(counts, places, strict=True)):
        yield from _axle(i, count, place, unsprung[i], rates[i], kind, estimates, beam=beam, ratio=ratio, arm=arm, last=len(counts) - 1, shares=(shares.low, shares.high, basis), whole=whole, wheels=sum(counts))  # fmt: skip
    yield ""
    yield "# ---- Estimates: an entry counts while the value at its field is still the one written here -----------------------"
    for row in estimates.rows:
        yield ""
        yield "[[estimates]]"
        yield from (f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in row.items())
    yield ""


def _axle(  # noqa: PLR0913 what an axle needs, by name
    i: int, count: int, place: float, unsprung: float, first: FirstRate, kind: str, estimates: _Estimates, *,
    beam: bool, ratio: float, arm: float | None, last: int, shares: tuple[float, float, str], whole: float, wheels: int,
) -> Iterator[str]:  # fmt: skip
    name = _name(i, last)
    at = f"axles.{name}"
    yield ""
    yield "[[axles]]"
    yield f"name = {json.dumps(name)}"
    if i == 0:
        yield 'behind_front_axle = "0 mm"'
    elif i == 1:
        yield f"behind_front_axle = {estimates.of_row(f'{at}.behind_front_axle', topic('wheelbase'), kind, 'distance')}  # estimate"
    else:
        row = topic("wheelbase").row("neighbours of a rear group")
        low, high = place - (i - 1) * (row.high - row.low) / 2, place + (i - 1) * (row.high - row.low) / 2
        yield f"behind_front_axle = {estimates.take(f'{at}.behind_front_axle', place, low, high, 'distance', topic('wheelbase').cited(row))}  # estimate"
    yield f'kind = "{"beam" if beam and count > 1 else "independent"}"'
    if count == 1:
        yield "wheels = 1"
    else:
        yield f"track = {estimates.of_row(f'{at}.track', topic('track'), kind)}  # estimate"
    if i == 0:
        yield "steered = true"
    else:
        yield "driven = true"
    low, high = (one * whole * count / wheels for one in shares[:2])
    yield f"unsprung_mass = {estimates.take(f'{at}.unsprung_mass', unsprung, low, high, 'mass', shares[2])}  # estimate"
    yield ""
    yield "[axles.tyre]"
    yield f"rate = {estimates.of_row(f'{at}.tyre.rate', topic('tyre-rate'), _tyre_row(kind))}  # estimate"
    yield f"unloaded_radius = {estimates.of_row(f'{at}.tyre.unloaded_radius', topic('tyre-radius'), kind)}  # estimate"
    yield ""
    yield "[axles.spring]"
    if arm is not None:
        long, at_spring = _given(arm, "length", "mm"), _given(ratio * arm, "length", "mm")
        yield f'acts = {{ by = "lever", arm = "{long}", spring_at = "{at_spring}" }}  # given'
    elif beam and count > 1:
        track = topic("track").row(kind)
        base = estimates.of_row(
            f"{at}.spring.acts.base",
            topic("spring-base"),
            "beam axle with coils",
            "length",
            (track.low + track.high) / 2,
        )
        yield f'acts = {{ by = "beam", base = {base} }}  # given: on the axle; base: estimate'
    else:
        yield f'acts = {{ by = "ratio", ratio = {ratio:.6g} }}  # given'
    yield f"installed_length = {estimates.of_row(f'{at}.spring.installed_length', topic('installed-length'), kind)}  # estimate"
    yield ""
    yield "[axles.target]"
    yield f'frequency = "{first.frequency:.6g} Hz"  # given, or what was given comes to'
    yield f"damping_ratio = {estimates.of_row(f'{at}.target.damping_ratio', topic('damping-ratio'), 'off-road vehicle')}  # estimate"
    yield ""
    yield "[axles.travel]"
    yield from _travel(at, first, topic("travel").row(_built_row(kind, beam=beam)), estimates)


def _travel(at: str, first: FirstRate, usual: ShelfRow, estimates: _Estimates) -> Iterator[str]:
    """The lines of an axle's travel: its shares of what is usual, but that a wheel hangs down no farther than its spring stays loaded."""
    basis, loaded = topic("travel").cited(usual), STAYS_LOADED * first.static_deflection
    for word, part in (("bump", BUMP_SHARE), ("stop_compression", STOP_SHARE), ("droop", 1 - BUMP_SHARE - STOP_SHARE)):
        low, high = usual.low * part, usual.high * part
        taken, share = (low + high) / 2, f"{plain(100 * part, 0)} % of"
        why = f"{share} it; {basis}"
        if word == "droop" and taken > loaded:
            taken, low = loaded, min(low, loaded)
            why = f"nine tenths of the static deflection, so that the spring stays loaded; {share} what is usual is more: {basis}"
        yield f"{word} = {estimates.take(f'{at}.travel.{word}', taken, low, high, 'length', why)}  # estimate"


def _name(i: int, last: int) -> str:
    return "front" if i == 0 else "rear" if i == last else f"axle {i + 1}"


def _places(axles: int, kind: str) -> list[float]:
    """How far behind the front axle each stands, the middles of what is usual [m]."""
    wheelbase, group = topic("wheelbase").row(kind), topic("wheelbase").row("neighbours of a rear group")
    base, step = (wheelbase.low + wheelbase.high) / 2, (group.low + group.high) / 2
    return [0.0, *(base + k * step for k in range(axles - 1))]


def _built_row(kind: str, *, beam: bool) -> str:
    """The row of the shelf where it tells light off-road vehicles by how their wheels are held."""
    return f"{kind} {'on beam axles' if beam else 'with independent wheels'}" if kind == CLASSES[1][1] else kind


def _height_row(kind: str) -> str:
    return {
        "light off-road vehicle": "sport utility vehicle",
        "medium off-road truck": "off-road truck with its body",
    }.get(kind, kind)


def _tyre_row(kind: str) -> str:
    return {"light off-road vehicle": "light truck or light off-road vehicle", CARRIER: "medium off-road truck"}.get(
        kind, kind
    )


def _given(value: float, kind: str, unit: str) -> str:
    return text_in(float(f"{value:.6g}"), kind, unit)
