"""A first number told in a dozen lines, in both systems of units."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from springwright.report.tables import capital
from springwright.sizing.first_number import PLACED, FirstNumber, FirstRate
from springwright.units import System, displayed_in, plain, show

SCALE, LOW, HIGH = 50, PLACED[0].low, PLACED[-1].high  # signs of the scale of frequencies, and its ends [Hz]
NAMES = {"all": "every wheel", "front": "each front wheel", "rear": "each rear wheel"}


def first_number_lines(found: FirstNumber) -> Iterator[str]:
    """Its lines: figures, where the frequency lies among vehicles, the working, what was assumed."""
    for one in found.rates:
        yield f"{capital(NAMES[one.place])} of {one.wheels}, carrying {_both(one.mass, 'mass')}"
        for words, kind, value in _figures(one):
            yield f"  {words:<16}{_both(value, kind)}"
    last = found.rates[-1]
    yield ""
    yield _scale(last.frequency)
    yield f"{plain(last.frequency, 2)} Hz, {plain(60 * last.frequency, 0)} a minute: {found.rides} (common practice, no source)"
    for row in PLACED:
        yield f"  {row.written}  {row.what}"
    yield ""
    yield "Worked"
    for one in found.rates:
        for work in one.workings:
            yield f"  {'' if one.place == 'all' else one.place + ': '}{replace(work, subject='').as_text()}   {work.title}"
    yield ""
    yield "Assumed"
    for said in found.assumed:
        yield f"  {said}"


def _figures(one: FirstRate) -> list[tuple[str, str, float]]:
    made = [("rides at", "frequency", one.frequency), ("wheel rate", "rate", one.wheel_rate)]
    if one.ratio != 1:
        made.append(("motion ratio", "ratio", one.ratio))
    return [
        *made,
        ("spring rate", "rate", one.spring_rate),
        ("spring carries", "force", one.spring_force),
        ("sinks", "length", one.static_deflection),
    ]


def _both(value: float, kind: str) -> str:
    """A figure in both systems; once where they are one."""
    told = []
    systems: tuple[System, ...] = ("metric", "imperial")
    for system in systems:
        with displayed_in(system):
            told.append(show(value, kind))
    return told[0] if told[0] == told[1] else f"{told[0]:<14}{told[1]}"


def _scale(frequency: float) -> str:
    """Where a frequency lies between 0.6 and 1.6 Hz, beyond either end at it."""
    at = round((min(max(frequency, LOW), HIGH) - LOW) / (HIGH - LOW) * SCALE)
    return f"  {LOW} Hz |" + "-" * at + "o" + "-" * (SCALE - at) + f"| {HIGH} Hz"
