"""The commands for a vehicle that stands on its wheels: what to read, what was due, and what explains the difference."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from springwright.cli.options import JsonOption, UnitsOption
from springwright.errors import Fault, InputError

if TYPE_CHECKING:
    from springwright.cli.shared import Tell
    from springwright.commission.compare import Comparison
    from springwright.commission.correct import Correction
    from springwright.report.tables import Section
    from springwright.results import Result
    from springwright.vehicle.file import DesignFile

ENDINGS = (".csv", ".svg", ".png", ".pdf", ".json")


def readings(
    design: Annotated[Path, typer.Argument(help="The design file.")],
    file: Annotated[Path | None, typer.Argument(help="Where the readings go; DESIGN.readings.toml beside the design if left out.")] = None,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    demo: Annotated[Literal["fire-watch", "survey-buggy"] | None, typer.Option(help="Write the invented readings of a demo vehicle, with their logs.")] = None,
    output: Annotated[Path | None, typer.Option("--output", "-o", help="Write the workshop sheets to print and fill in, what is due beside each blank: .pdf or .csv; no readings file then.")] = None,
) -> None:  # fmt: skip
    """Start a readings file beside a design, or print the sheets for weigh-in, push, bounce and drive."""
    from springwright.cli.shared import loaded, say_if_compiling, shown, told_step, written
    from springwright.commission.begun import READINGS, start_demo, starting_text
    from springwright.commission.workshop import workshop_sheets
    from springwright.files import is_there, write_whole

    if output is None and not as_json:
        target = file or design.with_name(f"{design.stem}{READINGS}")
        if is_there(target):
            raise InputError(str(target), [Fault("", "", "is there already and stays as it is; name another file")])
        one = loaded(design, target)
        if demo is not None:
            for made in start_demo(target, demo):
                typer.echo(f"written: {made}")
            return
        write_whole(target, starting_text(one))
        typer.echo(f"written: {target}")
        typer.echo(f"fill it in; the sheets to print: springwright readings {design} -o sheets.pdf")
        return
    if file is not None or demo is not None:
        raise InputError(
            str(file or demo), [Fault("", "", "a readings file is started alone: leave out --json and --output")]
        )
    from springwright.commission.workshop import WorkshopSheets
    from springwright.report.workshop import workshop_pdf, workshop_section

    with shown(units, output, (".pdf", ".csv")) as tell:
        one = loaded(design, output)
        say_if_compiling()
        sheets = workshop_sheets(one, progress=told_step)
        section = workshop_section(sheets)
        told_step("")
        if output is not None and output.suffix.lower() == ".pdf":
            write_whole(output, workshop_pdf(sheets, one))
        else:
            written(output, section, None)
        tell(WorkshopSheets(one.design.vehicle.name, one.path.name, sheets), section, as_json)


def measure(  # noqa: PLR0913 one for each option of the command
    context: typer.Context,
    design: Annotated[Path, typer.Argument(help="The design file, as it was designed.")],
    readings: Annotated[Path, typer.Argument(help="Its readings file; see the command readings.")],
    correct: Annotated[bool, typer.Option("--correct", help="Correct the model by the readings: what explains them, and what they cannot tell apart.")] = False,
    anyway: Annotated[bool, typer.Option("--anyway", help="Correct even where it looks like another vehicle.")] = False,
    write: Annotated[Path | None, typer.Option(help="Write the corrected design to a file that is not there yet, each change with its reason.")] = None,
    prove: Annotated[bool, typer.Option("--prove/--no-prove", help="Ask the seven questions as drawn and as built, when correcting.")] = True,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    output: Annotated[Path | None, typer.Option("--output", "-o", help="Write .csv, .pdf, .json, or the picture as .svg or .png.")] = None,
) -> None:  # fmt: skip
    """Hold every reading of what was built beside what was due; with --correct, what of the model explains them."""
    if not correct and (anyway or write is not None):
        raise InputError("--write" if write is not None else "--anyway", [Fault("", "", "is of a correction; add --correct")])  # fmt: skip
    from springwright.cli.shared import loaded, say_if_compiling, shown, told_step
    from springwright.commission.compare import compare
    from springwright.report.measure import comparison_section

    with shown(units, output, ENDINGS) as tell:
        file = loaded(design, output, readings)
        say_if_compiling()
        if correct:
            _correct(
                context, file, readings, tell, anyway=anyway, write=write, prove=prove, as_json=as_json, output=output
            )
            return
        result = compare(file, readings, progress=told_step)
        told_step("")
        section = comparison_section(result)
        _put(output, result, section, result)
        tell(result, section, as_json)


def _correct(
    context: typer.Context, file: DesignFile, readings: Path, tell: Tell, *, anyway: bool, write: Path | None, prove: bool, as_json: bool,
    output: Path | None,
) -> None:  # fmt: skip
    from springwright.cli.shared import told_step
    from springwright.commission.as_built import check_target
    from springwright.commission.measured import measured
    from springwright.files import write_whole
    from springwright.questions.registry import QUESTIONS
    from springwright.report.measure import answers_beside, correction_section

    if write is not None:
        check_target(write, file)
    found = measured(file, readings, context.obj or QUESTIONS, anyway=anyway, asks=prove, progress=told_step)
    told_step("")
    result = found.correction
    section = correction_section(result, found.back, answers_beside(found.drawn, found.built, found.mended))
    if write is not None and found.text:
        write_whole(write, found.text)
    _put(output, found, section, result.comparison, result)
    tell(found, section, as_json)
    if write is not None and not found.text:
        raise InputError(
            readings.name, [Fault("", "", f"tells nothing that differs from the drawing: {write} is not written")]
        )
    if write is not None:
        typer.echo(f"written: {write}; {file.path.name} and {readings.name} stay as they are", err=as_json)


def _put(
    output: Path | None, result: Result, section: Section, comparison: Comparison, correction: Correction | None = None
) -> None:
    """Write the result as its ending says: all of it, the pages, the table or the picture."""
    from springwright.cli.shared import written
    from springwright.files import write_whole
    from springwright.report.measure import measure_figure, measure_pdf

    ending = output.suffix.lower() if output is not None else ""
    if output is not None and ending == ".pdf":
        write_whole(output, measure_pdf(comparison, section, correction))
    elif output is not None and ending == ".json":
        write_whole(output, json.dumps(result.to_json(), indent=2, ensure_ascii=False))
    else:
        written(output, section, lambda: measure_figure(comparison, correction))
