"""The commands for before there is a design file: a first number, and what is usual."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from springwright.cli.options import JsonOption, UnitsOption
from springwright.errors import Fault, InputError

if TYPE_CHECKING:
    from springwright.sizing.first_number import FirstNumber


WheelsOption = Annotated[int, typer.Option(min=1, max=64, help="How many wheels share it.")]
FrequencyOption = Annotated[str | None, typer.Option(help='Ride frequency on the springs, such as "1.25 Hz".')]
LeverOption = Annotated[str | None, typer.Option(help='Pivot to spring, and pivot to wheel, such as "310 mm : 470 mm"; without it the spring stands on the axle.')]  # fmt: skip
ShareOption = Annotated[str | None, typer.Option(help='Share of the mass on the wheels of the front axle, such as "55 %"; even if left out.')]  # fmt: skip
TotalOption = Annotated[bool, typer.Option("--total", help="The mass is the whole vehicle's: an unsprung share is taken off.")]  # fmt: skip


def rate(  # noqa: PLR0913 one for each option of the command
    mass: Annotated[str, typer.Option(help='What rides on the springs, such as "1740 kg"; with --total the whole vehicle.')],
    wheels: WheelsOption = 4,
    frequency: FrequencyOption = None,
    wheel_rate: Annotated[str | None, typer.Option(help='In place of it the wheel rate, such as "34 N/mm".')] = None,
    spring_rate: Annotated[str | None, typer.Option("--spring-rate", "--existing", help='In place of it the rate of a spring, such as "230 lbf/in": how would it ride?')] = None,
    sag: Annotated[str | None, typer.Option(help='In place of it how far it sinks under its own weight, such as "160 mm".')] = None,
    lever: LeverOption = None,
    on_axle: Annotated[bool, typer.Option("--on-axle", help="The spring stands on the axle itself: ratio 1.")] = False,
    share: ShareOption = None,
    total: TotalOption = False,
    unsprung: Annotated[str, typer.Option(help="The share that rides on no spring, of --total.")] = "15 %",
    write: Annotated[Path | None, typer.Option(help="Carry it into a whole design file: all else is written in as estimates, marked so.")] = None,
    as_json: JsonOption = False,
) -> None:  # fmt: skip
    """A first number from five things: mass, wheels, frequency, lever; or how a spring that is there would ride."""
    from springwright.report.first_number import first_number_lines

    if lever is not None and on_axle:
        raise InputError("--on-axle", [Fault("", "", "a spring stands on a lever or on the axle; give one of them")])
    given = {"--frequency": frequency, "--wheel-rate": wheel_rate, "--spring-rate": spring_rate, "--sag": sag}
    found = first_of(mass, wheels, given, lever, share, unsprung, total=total)
    if write is not None:
        carry(write, found, lever)
    if as_json:
        typer.echo(json.dumps(found.to_json(), indent=2, ensure_ascii=False))
        return
    for line in first_number_lines(found):
        typer.echo(line)
    if write is not None:
        typer.echo(f"\nwritten: {write}, {estimates_in(write)}")


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


def lesson(
    number: Annotated[int | None, typer.Argument(min=1, max=12, help="Which lesson; the list of them if left out.")] = None,
    design: Annotated[Path | None, typer.Argument(help="A design of your own to take it on; a demo if left out.")] = None,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
) -> None:  # fmt: skip
    """Take a lesson on your own design or a demo: guess first, change one number, see why, by hand, and the key."""
    from springwright.cli.shared import loaded, say_if_compiling, shown
    from springwright.lessons.lesson import LESSONS, demo_design
    from springwright.lessons.lesson import lesson as given
    from springwright.report.lesson import lesson_section

    if number is None:
        for count, (title, _) in enumerate(LESSONS, start=1):
            typer.echo(f"{count:3}  {title}")
        typer.echo(
            "springwright lesson 3 truck.toml takes the third on your own design, springwright lesson 3 on a demo"
        )
        return
    with shown(units, None, ()) as tell:
        say_if_compiling()
        found = given(number, demo_design() if design is None else loaded(design, None))
        tell(found, lesson_section(found), as_json)


KINDS = {"--frequency": "frequency", "--wheel-rate": "rate", "--spring-rate": "rate", "--sag": "length"}


def first_of(
    mass: str, wheels: int, given: dict[str, str | None], lever: str | None, share: str | None, unsprung: str = "15 %", *, total: bool,
) -> FirstNumber:  # fmt: skip
    """A first number from the options of a command."""
    from springwright.sizing.first_number import rate as first

    values = {name.strip("-").replace("-", "_"): _read(name, text, KINDS[name]) for name, text in given.items()}
    return first(
        _read("--mass", mass, "mass") or 0.0, wheels=wheels, **values, ratio=_lever(lever), front=_read("--share", share, "share"), total=total,
        unsprung=_read("--unsprung", unsprung, "share") or 0.0,
    )  # fmt: skip


def carry(target: Path, found: FirstNumber, lever: str | None, *, over: bool = False) -> None:
    """Write a first number's design file where none is yet."""
    from springwright.files import is_there, write_whole
    from springwright.sizing.first_design import first_design

    if is_there(target) and not over:
        raise InputError(str(target), [Fault("", "", "is there already and stays as it is; name another file")])
    arm = None if lever is None else _read("--lever", lever.split(":")[1].strip(), "length")
    write_whole(target, first_design(found, target.stem.replace("-", " ").replace("_", " ").capitalize(), arm=arm))


def estimates_in(target: Path) -> str:
    """How many values of a design file are estimates, and what may be done with it, in words."""
    from springwright.vehicle.file import load
    from springwright.vehicle.standing import standing_estimates

    count = len(standing_estimates(load(target).design))
    return f"{count} of its values estimates: write your own over them; springwright prove {target} says how much hangs on each"


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
