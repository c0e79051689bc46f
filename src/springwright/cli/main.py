"""The springwright command."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from springwright.cli.first import (
    FrequencyOption,
    LeverOption,
    ShareOption,
    TotalOption,
    WheelsOption,
    carry,
    estimates_in,
    first_of,
    lesson,
    rate,
    reference,
)
from springwright.cli.measure import measure, readings
from springwright.cli.options import QUIET, DemoName, JsonOption, StateOption, UnitsOption
from springwright.cli.proof import prove, report, window
from springwright.cli.trade import sweep, trade
from springwright.errors import Fault, InputError

if TYPE_CHECKING:
    from springwright.vehicle.file import DesignFile

POINTED = 5  # faults whose lines are shown

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="From weights and a target to springs you can order, with the working behind every number.",
)


def _told(asked: bool) -> None:
    if asked:
        from importlib.metadata import version

        typer.echo(f"springwright {version('springwright')}")
        raise typer.Exit


@app.callback()
def springwright(
    version: Annotated[bool, typer.Option("--version", callback=_told, is_eager=True, help="Print the version.")] = False,  # noqa: ARG001 its callback prints it
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing of progress; results and faults alone.")] = False,
) -> None:  # fmt: skip
    """From weights and a target to springs you can order, with the working behind every number."""
    QUIET.set(quiet)


@app.command()
def demo(
    name: Annotated[DemoName, typer.Argument(help="Which invented vehicle.")] = "fire-watch",
) -> None:
    """Lay an invented demo vehicle into this folder, with its catalogue and where there are some its readings, and say what to try."""
    from springwright.commission.begun import READINGS, has_readings, start_demo
    from springwright.vehicle.starter import start

    file = Path(f"{name}.toml")
    made = start(file, name)
    if has_readings(name):
        made += start_demo(Path(f"{name}{READINGS}"), name)
    for written in made:
        typer.echo(f"written: {written}")
    typer.echo(f"try: springwright size {file}; springwright prove {file}; springwright open {file}")


@app.command()
def new(
    file: Annotated[Path, typer.Argument(help="Where to write the design file, such as truck.toml.")],
    demo: Annotated[DemoName | None, typer.Option(help="Start from an invented demo vehicle.")] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
    mass: Annotated[str | None, typer.Option(help='Start from a first number: what rides on the springs, such as "1740 kg".')] = None,
    wheels: WheelsOption = 4,
    frequency: FrequencyOption = None,
    lever: LeverOption = None,
    share: ShareOption = None,
    total: TotalOption = False,
) -> None:  # fmt: skip
    """Write a commented design file to start from: a blank, a demo, or a first number carried into a sheet, see rate."""
    from springwright.files import is_there

    if mass is None and any((frequency, lever, share, total)):
        raise InputError("--mass", [Fault("", "", "is missing: a first number asks for the mass on the springs")])
    if mass is not None:
        if demo is not None:
            raise InputError(
                "--demo", [Fault("", demo, "starts from a demo, --mass from a first number; give one of them")]
            )
        found = first_of(mass, wheels, {"--frequency": frequency}, lever, share, total=total)
        carry(file, found, lever, over=force)
        typer.echo(f"written: {file}, {estimates_in(file)}")
        return
    from springwright.vehicle.starter import start

    for written in start(file, demo, over=force):
        typer.echo(f"written: {written}")
    if demo and is_there(file.parent / "springs.csv"):
        typer.echo("the demo's catalogue is springs.csv beside it; a file of that name that was there is kept")


@app.command()
def schema(
    field: Annotated[str | None, typer.Argument(help="A field to be told in words, such as axles.tyre.rate or unsprung_mass; the whole schema if left out.")] = None,
    result: Annotated[
        Literal[
            "size",
            "rest",
            "modes",
            "drive",
            "speeds",
            "geometry",
            "part",
            "order",
            "window",
            "prove",
            "trade",
            "front",
            "spread",
            "sweep",
            "rate",
            "reference",
            "fields",
            "lesson",
            "readings",
            "measure",
            "correct",
        ]
        | None,
        typer.Option(help="The schema of a command's --json instead."),
    ] = None,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
) -> None:  # fmt: skip
    """Tell a field of the design file: what it means, holds, is usual; or print its JSON Schema, for editors."""
    if field is not None:
        from springwright.cli.shared import shown
        from springwright.report.fields import fields_section
        from springwright.vehicle.described import DescribedFields, fields_named

        if result is not None:
            raise InputError("--result", [Fault("", result, "has a schema of its own; leave the field out")])
        with shown(units, None, ()) as tell:
            found = fields_named(field)
            tell(DescribedFields(found), fields_section(found), as_json)
        return
    if result is None:
        from springwright.vehicle.described import described_schema

        described = described_schema()
    else:
        from springwright.cli.shared import result_kind

        described = result_kind(result).schema()
    typer.echo(json.dumps(described, indent=2))


@app.command()
def size(
    design: Annotated[Path, typer.Argument(help="The design file.")],
    working: Annotated[bool, typer.Option("--working", help="Show every formula with its numbers and source.")] = False,
    estimate: Annotated[bool, typer.Option("--estimate", help="Size a design that is not whole yet as far as it goes: what is missing is estimated, and marked so.")] = False,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    output: Annotated[Path | None, typer.Option("--output", "-o", help="Write a sheet: .pdf, .html or .csv.")] = None,
) -> None:  # fmt: skip
    """Weigh, aim, and size the springs of a design."""
    from springwright.evaluation import Evaluation
    from springwright.sizing.sheet import size as size_design
    from springwright.units import displayed_in

    with displayed_in(units), Evaluation():
        if output is not None:
            from springwright.report.write import check_ending

            check_ending(output)
        file = _whole(design, output, estimate=estimate)
        sheet = size_design(file)
        if output is not None:
            from springwright.report.write import write

            write(sheet, output)
            typer.echo(f"written: {output}", err=as_json)
        if as_json:
            typer.echo(json.dumps(sheet.to_json(), indent=2, ensure_ascii=False))
        elif output is None:
            from rich.console import Console

            from springwright.report.terminal import tell

            console = Console(width=None if sys.stdout.isatty() else 132)
            tell(sheet, console, working=working)
            if estimate:
                from springwright.report.fields import wanted_section
                from springwright.report.terminal import tell_section

                tell_section(wanted_section(file.design), console)


def _whole(design: Path, output: Path | None, *, estimate: bool) -> DesignFile:
    """The design, or where it is not whole and that was asked for, filled up with estimates."""
    from springwright.cli.shared import loaded
    from springwright.sizing.filled import filled

    if estimate:
        if output is not None:
            raise InputError(
                "--estimate", [Fault("", "", "shows how far it goes; a sheet is written of a design that is whole")]
            )
        return filled(design)
    try:
        return loaded(design, output)
    except InputError as fault:
        if not any(one.missing for one in fault.faults):
            raise
        hint = Fault(
            "", "", f"springwright size {design} --estimate sizes it as far as it goes, with what is missing estimated"
        )
        raise InputError(fault.file, [*fault.faults, hint]) from None


@app.command()
def modes(
    design: Annotated[Path, typer.Argument(help="The design file.")],
    state: StateOption = None,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    output: Annotated[Path | None, typer.Option("--output", "-o", help="Write .csv, .svg or .png.")] = None,
) -> None:
    """Natural frequencies, damping ratios and motion centres on the springs the sizing fits."""
    from springwright.cli.shared import loaded, shown, written
    from springwright.questions.at_rest import natural_modes
    from springwright.report.motion import modes_figure, modes_section

    with shown(units, output, (".csv", ".svg", ".png")) as tell:
        result = natural_modes(loaded(design, output), state)
        written(output, modes_section(result), lambda: modes_figure(result))
        tell(result, modes_section(result), as_json)


@app.command()
def rest(
    design: Annotated[Path, typer.Argument(help="The design file.")],
    state: StateOption = None,
    slope: Annotated[
        list[str] | None,
        typer.Option(
            help='Stand on a slope: "climb 15 deg" (nose up) or "lean 20 deg" (right side down); may be given twice.'
        ),
    ] = None,
    corner: Annotated[str | None, typer.Option(help='Steady corner, such as "0.4 g"; positive turns left.')] = None,
    brake: Annotated[str | None, typer.Option(help='Braking, such as "0.6 g"; negative pulls.')] = None,
    ground: Annotated[
        list[str] | None,
        typer.Option(help='Height under a wheel, such as "front left = 200 mm"; may be given for each.'),
    ] = None,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    output: Annotated[Path | None, typer.Option("--output", "-o", help="Write .csv.")] = None,
) -> None:
    """Where the vehicle comes to rest: level, on a slope, in a corner, braking, on uneven ground."""
    from springwright.cli.shared import case_of, heights_of, loaded, shown, written
    from springwright.questions.at_rest import rest as rest_of
    from springwright.report.motion import rest_section

    with shown(units, output, (".csv",)) as tell:
        file = loaded(design, output)
        result = rest_of(file, state, case_of(slope or [], corner, brake), heights_of(ground or [], file.design))
        written(output, rest_section(result), None)
        tell(result, rest_section(result), as_json)


@app.command()
def drive(  # noqa: PLR0913 one for each option of the command
    design: Annotated[Path, typer.Argument(help="The design file.")],
    ground: Annotated[
        str,
        typer.Option(
            help='What it drives over: a name under [[grounds]], "class D", a preset such as "stony track", "half-round 120 mm", a CSV file.'
        ),
    ],
    speed: Annotated[
        list[str], typer.Option(help='Such as "40 km/h" or "25 mph"; given several times, a table of speeds.')
    ],
    state: StateOption = None,
    seed: Annotated[int, typer.Option(min=0, help="Of made ground; the same seed makes the same ground.")] = 1,
    check_step: Annotated[
        bool, typer.Option("--check-step", help="Drive again at half the step and say what changes.")
    ] = False,
    step: Annotated[
        str | None, typer.Option(help='Time step, such as "0.4 ms"; the default follows the vehicle.')
    ] = None,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    output: Annotated[
        Path | None,
        typer.Option("--output", "-o", help="Write the history of one speed (.csv, .svg, .png) or the table (.csv)."),
    ] = None,
) -> None:
    """Drive over a ground in time: ride at the seats, travel, tyre loads, stops, damper speeds and power."""
    from springwright.cli.shared import loaded, progress, say_if_compiling, shown, speed_of, step_of, written
    from springwright.questions.drives import drive_design, drive_speeds
    from springwright.report.motion import drive_section, history_csv, history_figure, speeds_section
    from springwright.vehicle.interconnections import wheel_names

    with shown(units, output, (".csv", ".svg", ".png")) as tell:
        file, speeds = loaded(design, output, design.parent / ground, Path(ground)), [speed_of(one) for one in speed]
        say_if_compiling()
        if len(speeds) > 1:
            table = drive_speeds(file, ground, speeds, state=state, seed=seed, step=step_of(step), progress=progress)
            written(output, speeds_section(table), None)
            tell(table, speeds_section(table), as_json)
            return
        result = drive_design(
            file,
            ground,
            speeds[0],
            state=state,
            seed=seed,
            step=step_of(step),
            check_step=check_step,
            history=0.01 if output else None,
        )
        if result.step_error is not None and output:
            typer.echo(f"at half the step the main figures change by {100 * result.step_error:.3f} %", err=True)
        names = wheel_names(file.design.axles)
        section = drive_section(result, names)
        written(
            output,
            history_csv(result, names) if output and output.suffix == ".csv" else section,
            lambda: history_figure(result, names),
        )
        tell(result, section, as_json)


@app.command()
def geometry(
    design: Annotated[Path, typer.Argument(help="The design file.")],
    axle: Annotated[str, typer.Argument(help="The axle's name.")],
    side: Annotated[
        Literal["left", "right"], typer.Option(help="Which wheel to tell of, where pivot points differ.")
    ] = "left",
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    output: Annotated[
        Path | None,
        typer.Option("--output", "-o", help="Write .csv, .pdf, or the links and springs drawn as .svg or .png."),
    ] = None,
) -> None:
    """How a wheel is held along its travel: spring, damper, motion ratio; on links camber, toe, centres, steer and locks too."""
    from springwright.cli.shared import loaded, shown, written
    from springwright.report.geometry import geometry_figure, geometry_section
    from springwright.sizing.axle_geometry import geometry as geometry_of

    with shown(units, output, (".csv", ".svg", ".png", ".pdf")) as tell:
        file = loaded(design, output)
        result = geometry_of(file, axle, side)
        written(output, geometry_section(result), lambda: geometry_figure(file, axle))
        tell(result, geometry_section(result), as_json)


@app.command()
def part(
    design: Annotated[Path, typer.Argument(help="The design file.")],
    name: Annotated[
        str,
        typer.Argument(
            help='The part: an axle\'s name and spring, damper, bump stop, droop stop, bar or tyre, such as "front spring".'
        ),
    ],
    working: Annotated[
        bool, typer.Option("--working", help="Show its formulas with their numbers and source.")
    ] = False,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    output: Annotated[
        Path | None,
        typer.Option("--output", "-o", help="Write its order page .pdf, its table .csv, or its picture .svg or .png."),
    ] = None,
) -> None:
    """One part: its law, limits, stresses and order page."""
    from springwright.cli.shared import loaded, shown, written_part
    from springwright.report.parts import part_section
    from springwright.sizing.part_results import part as part_of

    with shown(units, output, (".csv", ".svg", ".png", ".pdf")) as tell:
        file = loaded(design, output)
        record = part_of(file, name)
        written_part(output, record, file)
        tell(record, part_section(record), as_json)
        if working and not as_json and output is None:
            from rich.console import Console

            from springwright.report.terminal import tell_workings

            tell_workings(record.workings, Console(width=None if sys.stdout.isatty() else 132))


@app.command()
def order(
    design: Annotated[Path, typer.Argument(help="The design file.")],
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    fitting: Annotated[bool, typer.Option("--fitting", help="Write the fitting sheet for the workshop instead: what goes where, in which order; -o .pdf.")] = False,
    output: Annotated[Path | None, typer.Option("--output", "-o", help="Write the list as .csv, or the order pages alone as .pdf, one to a part.")] = None,
) -> None:  # fmt: skip
    """Everything that is to be bought or made: from whom, for how much, by when, and what is not decided yet."""
    from springwright.cli.shared import loaded, shown, written
    from springwright.files import write_whole
    from springwright.report.order_list import order_csv, order_section
    from springwright.sizing.order_list import order_list

    if fitting and output is None:
        raise InputError("--fitting", [Fault("", "", "is a sheet to print; name it with -o fitting.pdf")])
    with shown(units, output, (".pdf",) if fitting else (".csv", ".pdf")) as tell:
        file = loaded(design, output)
        found = order_list(file)
        if output is not None and output.suffix.lower() == ".pdf":
            from springwright.report.fitting import fitting_pdf
            from springwright.report.orders import every_page
            from springwright.report.typeset import pages_pdf
            from springwright.sizing.fitted import sized

            write_whole(output, fitting_pdf(file) if fitting else pages_pdf(every_page(file), sized(file)))
        else:
            written(output, order_csv(found), None)
        tell(found, order_section(found), as_json)


@app.command(name="open")
def open_(
    design: Annotated[
        Path | None, typer.Argument(help="The design file; without one, the page begins with an empty desk.")
    ] = None,
    port: Annotated[int, typer.Option(min=0, max=65535, help="0 takes a free one.")] = 0,
    browser: Annotated[bool, typer.Option(help="Open the browser on it.")] = True,
    host: Annotated[str, typer.Option(help="Address to listen on; any but 127.0.0.1 needs --token.")] = "127.0.0.1",
    token: Annotated[
        str | None, typer.Option(help="Start-up token, at least 16 letters; one is made if it is left out.")
    ] = None,
) -> None:
    """Open the workbench: the whole job on one sheet in the browser. Ctrl-C ends it."""
    from springwright.workbench.serve import serve

    serve(design, host=host, port=port, token=token, browser=browser, say=typer.echo)


for command in (rate, reference, lesson, window, prove, trade, sweep, report, readings, measure):
    app.command()(command)


def main() -> None:
    """Run the command; a fault the builder can mend is said in plain words, and the exit code is 2."""
    from springwright.errors import SpringwrightError

    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # the command was given none, as by >&-
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115 open to the end
    try:
        app()
    except SpringwrightError as fault:
        typer.echo(str(fault), err=True)
        pointed = {one.line: one.text for one in fault.faults if one.line} if isinstance(fault, InputError) else {}
        for line in sorted(pointed)[:POINTED]:
            typer.echo(f"  line {line}: {pointed[line]}", err=True)
        raise SystemExit(2) from None
    except BrokenPipeError:
        raise
    except OSError as fault:
        typer.echo(f"cannot go on: {fault.strerror or fault}", err=True)
        raise SystemExit(2) from None
