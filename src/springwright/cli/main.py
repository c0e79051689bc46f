"""The springwright command."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated, Literal

import typer

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="From weights and a target to springs you can order, with the working behind every number.",
)
DEMOS = ("fire-watch", "survey-buggy", "bog-carrier")


@app.command()
def new(
    file: Annotated[Path, typer.Argument(help="Where to write the design file, such as truck.toml.")],
    demo: Annotated[
        Literal["fire-watch", "survey-buggy", "bog-carrier"] | None,
        typer.Option(help="Start from an invented demo vehicle."),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
) -> None:
    """Write a commented design file to start from."""
    from springwright.vehicle.starter import start

    for written in start(file, demo, over=force):
        typer.echo(f"written: {written}")


@app.command()
def schema(
    result: Annotated[Literal["size"] | None, typer.Option(help="The schema of a command's --json instead.")] = None,
) -> None:
    """Print the JSON Schema of the design file, for editors."""
    if result is None:
        from springwright.vehicle.design import Design

        described = {"$schema": "https://json-schema.org/draft/2020-12/schema", **Design.model_json_schema()}
    else:
        from springwright.studies.sheet import Sheet

        described = Sheet.schema()
    typer.echo(json.dumps(described, indent=2))


@app.command()
def size(
    design: Annotated[Path, typer.Argument(help="The design file.")],
    working: Annotated[bool, typer.Option("--working", help="Show every formula with its numbers and source.")] = False,
    units: Annotated[Literal["metric", "imperial"], typer.Option(help="Units to show results in.")] = "metric",
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the complete result as JSON, SI, unit beside each value.")
    ] = False,
    output: Annotated[Path | None, typer.Option("--output", "-o", help="Write a sheet: .pdf, .html or .csv.")] = None,
) -> None:
    """Weigh, aim, and size the springs of a design."""
    from springwright.studies.sheet import size as size_design
    from springwright.units import displayed_in
    from springwright.vehicle.file import load

    with displayed_in(units):
        if output is not None:
            from springwright.report.write import check_ending

            check_ending(output)
        sheet = size_design(load(design))
        if output is not None:
            from springwright.report.write import write

            write(sheet, output)
            typer.echo(f"written: {output}", err=as_json)
        if as_json:
            typer.echo(json.dumps(sheet.to_json(), indent=2, ensure_ascii=False))
        elif output is None:
            from rich.console import Console

            from springwright.report.terminal import tell

            tell(sheet, Console(width=None if sys.stdout.isatty() else 132), working=working)


def main() -> None:
    """Run the command; a fault the builder can mend is said in plain words, and the exit code is 2."""
    from springwright.errors import SpringwrightError

    try:
        app()
    except SpringwrightError as fault:
        typer.echo(str(fault), err=True)
        raise SystemExit(2) from None
