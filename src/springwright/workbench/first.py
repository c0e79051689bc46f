"""The start page's first number: what five blanks say, worked out as one types, and carried into a sheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from markupsafe import Markup

from springwright.drawing.first_number import corner_drawing, lever_ends, lever_scale, scale_drawing
from springwright.errors import Fault, InputError, QuantityError
from springwright.reference.shelf import topic
from springwright.sizing.first_design import first_design
from springwright.sizing.first_number import MORE, FirstNumber, FirstRate, rate, sinks_at, taken_for_granted
from springwright.units import System, displayed_in, number, parse, scale_of, show, unit_of
from springwright.workbench.render.environment import environment
from springwright.workbench.render.slider import ring

GIVEN = {"frequency": "frequency", "wheel_rate": "rate", "spring_rate": "rate"}
BLANKS = {"mass": "1740 kg", "wheels": "4", "frequency": "1.25 Hz", "on": "lever", "spring_at": "310 mm", "arm": "470 mm", "system": "metric", "given": "frequency"}  # fmt: skip
ROWS = ("passenger car", "competition saloon")  # drawn beside what is usual off road
MOST_WHEELS = 64


def read(asked: Mapping[str, str]) -> tuple[FirstNumber, float | None]:
    """A first number from the blanks, and the length of its lever [m].

    Raises
    ------
    InputError
        A blank cannot be read; the message names it.

    """
    given = asked.get("given", "frequency")
    if given not in GIVEN:
        raise InputError("first number", [Fault("given", given, f"is one of {', '.join(GIVEN)}")])
    wheels = asked.get("wheels", "").strip()
    if not (wheels.isascii() and wheels.isdecimal() and 1 <= int(wheels) <= MOST_WHEELS):
        raise InputError("wheels", [Fault("", wheels, f"write a whole number, 1 to {MOST_WHEELS}")])
    arm, ratio = None, 1.0
    if asked.get("on") == "lever":
        arm, spring_at = _read(asked, "arm", "length"), _read(asked, "spring_at", "length")
        if not (arm > 0 and spring_at > 0):
            raise InputError("lever", [Fault("", "", "both lengths must be more than 0")])
        ratio = spring_at / arm
    more: dict[str, Any] = {given: _read(asked, given, GIVEN[given])}
    return rate(_read(asked, "mass", "mass"), wheels=int(wheels), ratio=ratio, **more), arm


def _read(asked: Mapping[str, str], name: str, kind: str) -> float:
    text = asked.get(name, "").strip()
    try:
        return parse(text, kind)
    except QuantityError as error:
        raise InputError(name.replace("_", " "), [Fault("", text, str(error))]) from None


def told(asked: Mapping[str, str]) -> dict[str, str]:
    """What the page shows for what its blanks say: the blanks that follow, and the rest as HTML; or what is the matter."""
    system: System = "imperial" if asked.get("system") == "imperial" else "metric"
    with displayed_in(system):
        try:
            found, arm = read(asked)
        except InputError as fault:
            return {"fault": str(fault)}
        one = found.rates[-1]
        made = {
            "frequency": show(one.frequency, "frequency"),
            "wheel_rate": show(one.wheel_rate, "rate"),
            "spring_rate": show(one.spring_rate, "rate"),
        }
        made.pop(asked.get("given", "frequency"))
        return {"html": _html(found, arm, system), **made}


def _html(found: FirstNumber, arm: float | None, system: System) -> str:
    one = found.rates[-1]
    shelf = topic("ride-frequency")
    usual = shelf.rows[0], shelf.rows[1], shelf.rows[2], *(shelf.row(what) for what in ROWS)
    assumed = taken_for_granted(found)
    most = max(abs(each.change) for each in assumed)
    with displayed_in("metric" if system == "imperial" else "imperial"):
        other = show(one.wheel_rate, "rate"), show(one.spring_rate, "rate")
    return (
        environment()
        .get_template("first.html")
        .render(
            found=found,
            one=one,
            other=other,
            lever=None if arm is None else f"{number(one.ratio * arm, 'length')} to {number(arm, 'length')}",
            corner=Markup(corner_drawing(one, arm).svg(_ends(one, arm))),
            scale=scale_drawing(one.frequency, usual),
            assumed=[(each, 70 * each.change / most) for each in assumed],
            extra=show(MORE * one.mass * found.wheels, "mass"),
            sinks=[show(sinks_at(f, MORE), "length") for f in (one.frequency, 1.0, 1.6)],
        )
    )


def _ends(one: FirstRate, arm: float | None) -> Markup:
    """The ends of the lever's dimensions, to be drawn along: each writes its blank."""
    if arm is None:
        return Markup("")
    unit, length = unit_of("length"), scale_of("length")
    made = Markup("")
    for place, field, value, said in zip(lever_ends(one, arm), ("spring_at", "arm"), (one.ratio * arm, arm), ("spring", "wheel"), strict=True):  # fmt: skip
        end = {"field": field, "now": value / length, "per": 1 / lever_scale(one, arm) / length, "unit": unit, "step": 5.0 if unit == "mm" else 0.25}  # fmt: skip
        made += ring(f"end-{field}", "end-of", f"{said} to pivot, {unit}", f"{value / length:.4g}", ("end", end), place)
    return made


def carried(asked: Mapping[str, str], name: str) -> str:
    """The text of a design file of that name, carried over from the blanks."""
    found, arm = read(asked)
    return first_design(found, name, arm=arm)
