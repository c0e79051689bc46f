"""The commands that help to choose: what is traded for what."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from springwright.cli.options import JsonOption, UnitsOption
from springwright.errors import Fault, InputError

ENDINGS = (".csv", ".svg", ".png", ".pdf")


def trade(  # noqa: PLR0913 one for each option of the command
    context: typer.Context,
    design: Annotated[Path, typer.Argument(help="The design file.")],
    search: Annotated[bool, typer.Option("--search", help="Search the front: the designs none of which another betters in everything.")] = False,
    spread: Annotated[bool, typer.Option("--spread", help="Build it many times within its tolerances: how many meet each limit, and what is to blame.")] = False,
    builds: Annotated[int, typer.Option(min=2, max=1_048_576, help="Vehicles built by --spread, a power of two.")] = 1024,
    most: Annotated[int, typer.Option(min=2, max=1_000_000, help="Designs tried by a search.")] = 4000,
    prove: Annotated[Literal["none", "named", "all"], typer.Option(help="Which designs of the front are asked all seven questions: none, its ends and knee, or all.")] = "named",
    resume: Annotated[bool, typer.Option("--resume", help="Go on from what the last search kept beside the design.")] = False,
    pick: Annotated[str, typer.Option(help='Which design of the front --keep writes: its number, "knee", "best in roll gradient".')] = "knee",
    keep: Annotated[Path | None, typer.Option(help="Write the picked design as a design file of its own, what changed as comments.")] = None,
    seed: Annotated[int, typer.Option(min=0, help="Of made ground and of the search; the same seed gives the same result.")] = 1,
    units: UnitsOption = "metric",
    as_json: JsonOption = False,
    output: Annotated[Path | None, typer.Option("--output", "-o", help="Write .csv, .pdf, or the picture as .svg or .png; of a search .json too.")] = None,
) -> None:  # fmt: skip
    """What one step of every decision wins and loses; with --search the front, with --spread what is built of it."""
    if not search and (keep is not None or resume):
        raise InputError("--keep" if keep is not None else "--resume", [Fault("", "", "is of a search; add --search")])
    if search and spread:
        raise InputError("--spread", [Fault("", "", "ask for the front or for the spread, one at a time")])
    if spread:
        _spread(design, builds, seed, units, as_json, output)
    elif search:
        _front(context, design, most, prove, resume, pick, keep, seed, units, as_json, output)
    else:
        _exchange(context, design, seed, units, as_json, output)


def sweep(  # noqa: PLR0913 one for each option of the command
    design: Annotated[Path, typer.Argument(help="The design file.")],
    output: Annotated[Path, typer.Option("--output", "-o", help="Where the designs go: .parquet, a folder of parts, or .csv.")],
    vary: Annotated[list[str] | None, typer.Option(help='A field with its range and step, such as "axles.front.target.frequency = 1.0..1.6 Hz by 0.05", or "axles.rear.spring.part = any"; every combination is evaluated.')] = None,
    designs: Annotated[Path | None, typer.Option("--designs", help="A CSV of designs in place of --vary: a column for each field, its unit in brackets.")] = None,
    figures: Annotated[str | None, typer.Option(help="Ids of the figures asked, with commas between, such as roll_gradient,weighted_acceleration.")] = None,
    workers: Annotated[int | None, typer.Option(min=1, max=4096, help="Local processes; one for each core if left out.")] = None,
    cluster: Annotated[str | None, typer.Option(help="Address of a running Dask cluster in place of local processes, such as tcp://10.0.0.1:8786.")] = None,
    resume: Annotated[bool, typer.Option("--resume", help="Go on with what stands in the output.")] = False,
    seed: Annotated[int, typer.Option(min=0, help="Of made ground; the same seed makes the same ground.")] = 1,
    as_json: JsonOption = False,
) -> None:  # fmt: skip
    """Evaluate every combination of some fields, or a table of designs, on all cores or a cluster."""
    import json

    from springwright.cli.shared import loaded, say_if_compiling, told_step
    from springwright.studies.sweep import sweep as sweep_design

    file = loaded(design, output, *([designs] if designs else []))
    say_if_compiling(many=True)
    asked = [one.strip() for one in (figures or "").split(",") if one.strip()]
    result = sweep_design(
        file, vary=vary or (), designs=designs, figures=asked, output=output, workers=workers, cluster=cluster, resume=resume,
        seed=seed, progress=told_step,
    )  # fmt: skip
    told_step("")
    if as_json:
        typer.echo(json.dumps(result.to_json(), indent=2, ensure_ascii=False))
        return
    rate = (result.done - result.before) / max(result.seconds, 1e-3)
    said = (
        f"stopped at {result.done} of {result.designs} designs; --resume goes on"
        if result.stopped
        else f"written: {result.output}, {result.designs} designs"
    )
    typer.echo(
        f"{said}; {rate:.0f} a second, workers: {result.workers}; {result.refused} cannot be built or stand, each with its reason"
    )


def _exchange(context: typer.Context, design: Path, seed: int, units: Literal["metric", "imperial"], as_json: bool, output: Path | None) -> None:  # fmt: skip
    from springwright.cli.shared import loaded, say_if_compiling, shown, told_step, written
    from springwright.questions.registry import QUESTIONS
    from springwright.report.trade import exchange_figure, exchange_section
    from springwright.studies.exchange import exchange

    with shown(units, output, ENDINGS) as tell:
        file = loaded(design, output)
        say_if_compiling(many=True)
        result = exchange(file, seed=seed, progress=told_step, questions=context.obj or QUESTIONS)
        told_step("")
        written(output, exchange_section(result), lambda: exchange_figure(result))
        tell(result, exchange_section(result), as_json)


def _spread(design: Path, builds: int, seed: int, units: Literal["metric", "imperial"], as_json: bool, output: Path | None) -> None:  # fmt: skip
    from springwright.cli.shared import loaded, say_if_compiling, shown, told_step, written
    from springwright.report.spread import spread_figure, spread_section
    from springwright.studies.spread import spread

    if builds & (builds - 1):
        raise InputError("--builds", [Fault(str(builds), "", "must be a power of two, such as 1024, so that the points lie evenly")])  # fmt: skip
    with shown(units, output, ENDINGS) as tell:
        file = loaded(design, output)
        say_if_compiling(many=True)
        result = spread(file, builds=builds, seed=seed, workers=None, progress=told_step)
        told_step("")
        written(output, spread_section(result), lambda: spread_figure(result))
        tell(result, spread_section(result), as_json)


def _front(  # noqa: PLR0913 one for each option of the command
    context: typer.Context,
    design: Path,
    most: int,
    prove: str,
    resume: bool,
    pick: str,
    keep: Path | None,
    seed: int,
    units: Literal["metric", "imperial"],
    as_json: bool,
    output: Path | None,
) -> None:
    import json

    from springwright.cli.shared import loaded, say_if_compiling, shown, told_step, written
    from springwright.files import write_whole
    from springwright.questions.registry import QUESTIONS
    from springwright.report.front import front_csv, front_section
    from springwright.report.front_pictures import front_figure
    from springwright.studies.candidates import check_place, written_as
    from springwright.studies.candidates import pick as picked
    from springwright.studies.front import front
    from springwright.studies.setting import search_decisions
    from springwright.vehicle.file import check_output

    kept = design.with_suffix(".search.json")
    with shown(units, output, (*ENDINGS, ".json")) as tell:
        file = loaded(design, output)
        if keep is not None:
            check_output(keep, file)
            check_place(keep, file)
        say_if_compiling(many=True)
        result = front(
            file, most=most, seed=seed, kept=kept, resume=resume, prove=prove, workers=None, progress=told_step, questions=context.obj or QUESTIONS
        )  # fmt: skip
        told_step("")
        typer.echo(f"kept: {kept}; --resume goes on from there", err=True)
        section = front_section(result)
        if output is not None and output.suffix.lower() == ".json":
            write_whole(output, json.dumps(result.to_json(), indent=2, ensure_ascii=False))
        elif output is not None and output.suffix.lower() == ".csv":
            write_whole(output, front_csv(result))
        else:
            written(output, section, lambda: front_figure(result))
        tell(result, section, as_json)
        if keep is not None:
            chosen = written_as(file, picked(result, pick), search_decisions(file), keep)
            chosen.save()
            typer.echo(f"written: {keep}", err=as_json)
