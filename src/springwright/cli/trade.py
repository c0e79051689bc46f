"""The commands that help to choose: what is traded for what."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from springwright.cli.options import JsonOption, UnitsOption


def trade(
    context: typer.Context,
    design: Annotated[Path, typer.Argument(help="The design file.")],
    seed: Annotated[int, typer.Option(min=0, help="Of made ground; the same seed makes the same ground.")] = 1,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="Write .csv, .pdf, or the table drawn as .svg or .png.")
    ] = None,
) -> None:
    """What one step of every decision does to the figures that decide, and what one of them costs in another."""
    from springwright.cli.shared import loaded, say_if_compiling, shown, told_step, written
    from springwright.questions.registry import QUESTIONS
    from springwright.report.trade import exchange_figure, exchange_section
    from springwright.studies.exchange import exchange

    with shown(units, output, (".csv", ".svg", ".png", ".pdf")) as tell:
        file = loaded(design, output)
        say_if_compiling()
        result = exchange(file, seed=seed, progress=told_step, questions=context.obj or QUESTIONS)
        told_step("")
        written(output, exchange_section(result), lambda: exchange_figure(result))
        tell(result, exchange_section(result), as_json)
