"""The commands that prove a design: its full window, the seven questions, the report."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from springwright.cli.options import JsonOption, UnitsOption
from springwright.errors import SpringwrightError

FRONT = 1500  # designs tried for a report


def window(
    design: Annotated[Path, typer.Argument(help="The design file.")],
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="Write .csv, or the windows drawn as .svg or .png.")
    ] = None,
) -> None:
    """Every end of each axle's window: what is too soft, what too stiff, and which limit governs."""
    from springwright.cli.shared import loaded, say_if_compiling, shown, written
    from springwright.questions.dynamic_requirements import full_window
    from springwright.report.content import window_figures, window_section

    with shown(units, output, (".csv", ".svg", ".png")) as tell:
        file = loaded(design, output)
        say_if_compiling()
        result = full_window(file)
        section = window_section(result.windows)
        written(output, section, lambda: window_figures(result.windows))
        tell(result, section, as_json)


def prove(
    context: typer.Context,
    design: Annotated[Path, typer.Argument(help="The design file.")],
    question: Annotated[
        list[str] | None, typer.Option(help="Tell this question, such as ride, in detail; may be given for each.")
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="Of made ground; the same seed makes the same ground.")] = 1,
    working: Annotated[
        bool, typer.Option("--working", help="Show the formulas of the questions asked, with their numbers and source.")
    ] = False,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="Write .csv: every figure and curve, SI.")
    ] = None,
) -> None:
    """Seven questions: does it ride, grip, stand, land, fit, stay level and last? In every load state, on every ground."""
    from springwright.cli.shared import loaded, say_if_compiling, shown, told_step, written
    from springwright.questions.prove import prove as prove_design
    from springwright.questions.registry import QUESTIONS
    from springwright.report.proof import answer_section, proof_csv, summary

    questions = context.obj or QUESTIONS  # a caller may bring more
    _known(question or [], [one.name for one in questions])
    with shown(units, output, (".csv",)) as tell:
        file = loaded(design, output)
        say_if_compiling()
        asked_whole = bool(question) or as_json or output is not None
        proof = prove_design(
            file, question or (), seed=seed, progress=told_step, sensitive=asked_whole, questions=questions
        )
        told_step("")
        if not proof.stopped:
            written(output, proof_csv(proof), None)
        sections = [summary(proof)]
        if question and proof.answers:
            sections = [
                answer_section(one, [move for move in proof.moves if move.question == one.question])
                for one in proof.answers
            ]
        if proof.stopped and output is not None:
            typer.echo(f"stopped; {output} is not written", err=True)
            raise typer.Exit(130)
        tell(proof, sections[0], as_json)
        for section in sections[1:] if not as_json else ():
            tell(proof, section, False)
        if working and not as_json and output is None:
            from rich.console import Console

            from springwright.report.terminal import tell_workings

            shown_in = Console(width=None if sys.stdout.isatty() else 132)
            tell_workings(tuple(work for one in proof.answers for work in one.workings), shown_in)
    if proof.stopped:
        typer.echo("stopped", err=True)
        raise typer.Exit(130)


def _known(asked: list[str], names: list[str]) -> None:
    from springwright.errors import Fault, InputError

    for one in asked:
        if one not in names:
            raise InputError("--question", [Fault(one, "", f"is no question; there are {', '.join(names)}")])


def report(
    design: Annotated[Path, typer.Argument(help="The design file.")],
    output: Annotated[Path, typer.Option("--output", "-o", help="Write the report: .pdf.")],
    seed: Annotated[int, typer.Option(min=0, help="Of made ground; the same seed makes the same ground.")] = 1,
    trade: Annotated[
        bool | None,
        typer.Option(
            "--trade/--no-trade", help="With a chapter of what was traded; left out, where the file has a [trade]."
        ),
    ] = None,
    readings: Annotated[
        Path | None, typer.Option(help="With a chapter of what was built, by its readings file.")
    ] = None,
    units: UnitsOption = "metric",
) -> None:
    """The whole case typeset: the vehicle to scale, the seven answers, load states, figures, order sheets, workings, sources, cautions."""
    from springwright.cli.shared import loaded, say_if_compiling, shown, told_step
    from springwright.files import write_whole
    from springwright.questions.dynamic_requirements import full_window
    from springwright.questions.prove import prove as prove_design
    from springwright.report.dossier import Traded, proof_pdf
    from springwright.studies.exchange import exchange
    from springwright.studies.front import front

    with shown(units, output, (".pdf",)):
        file = loaded(design, output)
        say_if_compiling()
        proof = prove_design(file, seed=seed, progress=told_step)
        if proof.stopped:
            raise KeyboardInterrupt
        told_step("the full window")
        found = full_window(file)
        traded = None
        if bool(file.design.trade.model_fields_set) if trade is None else trade:
            try:
                searched = front(file, most=FRONT, seed=seed, workers=None, progress=told_step)
                traded = Traded(exchange(file, seed=seed, progress=told_step), searched)
            except SpringwrightError as fault:
                if trade:
                    raise
                told_step("")
                typer.echo(f"what was traded is left out of the report: {fault}", err=True)
            if traded is not None and (traded.exchange.stopped or traded.front.stopped):
                raise KeyboardInterrupt
        built = None
        if readings is not None:
            from springwright.commission.measured import measured

            built = measured(file, readings, progress=told_step)
        told_step("typesetting")
        made = proof_pdf(file, proof, found, traded, built)
        told_step("")
        write_whole(output, made)
        typer.echo(f"written: {output}")
