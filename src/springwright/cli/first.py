"""The commands for before there is a design file: a first number, and what is usual."""

from __future__ import annotations

import json
from typing import Annotated

import typer

from springwright.cli.options import JsonOption, UnitsOption
from springwright.errors import Fault, InputError


def rate(  # noqa: PLR0913 one for each option of the command
    mass: Annotated[str, typer.Option(help='What rides on the springs, such as "1740 kg"; with --total the whole vehicle.')],
    wheels: Annotated[int, typer.Option(min=1, max=64, help="How many wheels share it.")] = 4,
    frequency: Annotated[str | None, typer.Option(help='Ride frequency on the springs, such as "1.25 Hz".')] = None,
    wheel_rate: Annotated[str | None, typer.Option(help='In place of it the wheel rate, such as "34 N/mm".')] = None,
    spring_rate: Annotated[str | None, typer.Option("--spring-rate", "--existing", help='In place of it the rate of a spring, such as "230 lbf/in": how would it ride?')] = None,
    sag: Annotated[str | None, typer.Option(help='In place of it how far it sinks under its own weight, such as "160 mm".')] = None,
    lever: Annotated[str | None, typer.Option(help='Pivot to spring, and pivot to wheel, such as "310 mm : 470 mm".')] = None,
    on_axle: Annotated[bool, typer.Option("--on-axle", help="The spring stands on the axle itself: ratio 1.")] = False,
    share: Annotated[str | None, typer.Option(help='Share of the mass on the front wheels, such as "55 %"; even if left out.')] = None,
    total: Annotated[bool, typer.Option("--total", help="The mass is the whole vehicle's: an unsprung share is taken off.")] = False,
    unsprung: Annotated[str, typer.Option(help="The share that rides on no spring, of --total.")] = "15 %",
    as_json: JsonOption = False,
) -> None:  # fmt: skip
    """A first number from five things: mass, wheels, frequency, lever; or how a spring that is there would ride."""
    from springwright.report.first_number import first_number_lines
    from springwright.sizing.first_number import rate as first

    if lever is not None and on_axle:
        raise InputError("--on-axle", [Fault("", "", "a spring stands on a lever or on the axle; give one of them")])
    found = first(
        _read("--mass", mass, "mass") or 0.0,
        wheels=wheels,
        frequency=_read("--frequency", frequency, "frequency"),
        wheel_rate=_read("--wheel-rate", wheel_rate, "rate"),
        spring_rate=_read("--spring-rate", spring_rate, "rate"),
        sag=_read("--sag", sag, "length"),
        ratio=_lever(lever),
        front=_read("--share", share, "share"),
        total=total,
        unsprung=_read("--unsprung", unsprung, "share") or 0.0,
    )
    if as_json:
        typer.echo(json.dumps(found.to_json(), indent=2, ensure_ascii=False))
        return
    for line in first_number_lines(found):
        typer.echo(line)


def reference(
    topic: Annotated[str | None, typer.Argument(help="What to look up, such as tyre-rate; all topics if left out.")] = None,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
) -> None:  # fmt: skip
    """Look up what is usual, by class of vehicle, each range with its source; nothing of it is ever preset."""
    from springwright.cli.shared import shown
    from springwright.reference.shelf import Shelf, shelf
    from springwright.reference.shelf import topic as named
    from springwright.report.reference import shelf_section, topic_section

    with shown(units, None, ()) as tell:
        if topic is None:
            tell(Shelf(shelf()), shelf_section(shelf()), as_json)
        else:
            one = named(topic)
            tell(one, topic_section(one), as_json)


def _read(option: str, text: str | None, kind: str) -> float | None:
    from springwright.cli.shared import read_option

    return None if text is None else read_option(option, text, kind)


def _lever(text: str | None) -> float:
    """Motion ratio of "310 mm : 470 mm", spring first; 1 where there is none."""
    if text is None:
        return 1.0
    parts = text.split(":")
    if len(parts) != 2:
        raise InputError(
            "--lever", [Fault(text, "", 'write pivot to spring, a colon, pivot to wheel, as in "310 mm : 470 mm"')]
        )
    spring, wheel = (_read("--lever", one.strip(), "length") or 0.0 for one in parts)
    if spring <= 0 or wheel <= 0:
        raise InputError("--lever", [Fault(text, "", "both lengths must be more than 0")])
    return spring / wheel
