"""What the commands share: showing a result, writing a file, reading a slope or a corner."""

from __future__ import annotations

import contextlib
import json
import re
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextvars import ContextVar
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from springwright.cli.options import QUIET
from springwright.cli.stopping import stopping
from springwright.counted import CountedStep, left
from springwright.errors import Fault, InputError, QuantityError
from springwright.evaluation import Evaluation
from springwright.report.tables import Section
from springwright.results import Result
from springwright.units import System, displayed_in, parse
from springwright.vehicle.design import Design
from springwright.vehicle.file import DesignFile, check_output, load

if TYPE_CHECKING:
    from springwright.drawing.svg import Drawing
    from springwright.motion.forces import Case
    from springwright.parts.record import PartRecord

Tell = Callable[[Result, Section, bool], None]
BEGUN: ContextVar[float] = ContextVar("begun", default=float("inf"))  # when the work began
COUNTING: ContextVar[float] = ContextVar("counting", default=float("inf"))  # when the count that is told began
BAR = 20  # letters
TOLD_AFTER = 2.0  # s, from when on it is told how long it takes, and how long is left


@contextlib.contextmanager
def shown(units: System, output: Path | None, endings: Sequence[str]) -> Iterator[Tell]:
    """In one display system, with the file name's ending checked before any work: gives the function that prints a result."""
    if output is not None and output.suffix.lower() not in endings:
        raise InputError(str(output), [Fault("", "", f"the ending tells the form: use {', '.join(endings)}")])

    def tell(result: Result, section: Section, as_json: bool) -> None:
        if output is not None:
            typer.echo(f"written: {output}", err=as_json)
        if as_json:
            typer.echo(json.dumps(result.to_json(), indent=2, ensure_ascii=False))
        elif output is None:
            from rich.console import Console

            from springwright.report.terminal import tell_section

            tell_section(section, Console(width=None if sys.stdout.isatty() else 132))

    BEGUN.set(time.monotonic())
    with displayed_in(units), Evaluation():
        yield tell


def written(output: Path | None, text: Section | str, figure: Callable[[], Drawing] | None) -> None:
    """Write a section or a text as .csv, a drawing as .svg or .png; nothing without an output."""
    if output is None:
        return
    from springwright.files import write_whole
    from springwright.report.motion import section_csv

    ending = output.suffix.lower()
    if ending == ".csv" or figure is None:
        write_whole(output, section_csv(text) if isinstance(text, Section) else text)
    elif ending == ".svg":
        write_whole(output, figure().standalone())
    elif ending == ".pdf" and isinstance(text, Section):
        from springwright.report.typeset import section_pdf

        write_whole(output, section_pdf(text, figure()))
    else:
        from springwright.report.typeset import as_png

        write_whole(output, as_png(figure()))


def written_part(output: Path | None, record: PartRecord, file: DesignFile) -> None:
    """Write a part's order page as .pdf, else its table or picture; nothing without an output."""
    from springwright.report.orders import part_page
    from springwright.report.parts import part_figure, part_section

    if output is not None and output.suffix.lower() == ".pdf":
        if not record.quantity:
            raise InputError(
                str(output), [Fault("", "", "no real spring was found, so there is nothing to order; see size for why")]
            )
        from springwright.files import write_whole
        from springwright.report.typeset import pages_pdf
        from springwright.sizing.fitted import sized

        sheet = sized(file)
        write_whole(output, pages_pdf([part_page(record, sheet.estimated)], sheet))
        return
    drawing = part_figure(record)
    if output is not None and output.suffix.lower() != ".csv" and drawing is None:
        raise InputError(str(output), [Fault("", "", "this part has no picture; write .csv or .pdf")])
    written(output, part_section(record), (lambda: drawing) if drawing else None)


def case_of(slopes: Sequence[str], corner: str | None, brake: str | None) -> Case:
    """Gravity and acceleration from the options of `rest`."""
    from springwright.motion.forces import Case

    angles = {"climb": 0.0, "lean": 0.0}
    for text in slopes:
        word, _, angle = text.strip().partition(" ")
        if word not in angles:
            raise InputError(
                "--slope", [Fault(text, "", 'write "climb 15 deg" (nose up) or "lean 20 deg" (right side down)')]
            )
        angles[word] = read_option("--slope", angle, "angle")
    across = 0.0 if corner is None else read_option("--corner", corner, "acceleration")
    along = 0.0 if brake is None else -read_option("--brake", brake, "acceleration")
    return Case(along, across, Case.slope(**angles).gravity)


def heights_of(texts: Sequence[str], design: Design) -> dict[str, float]:
    """Height under each wheel named, from texts such as "front left = 200 mm"."""
    from springwright.vehicle.interconnections import wheel_names

    names = wheel_names(design.axles)
    heights = {}
    for text in texts:
        match = re.fullmatch(r"\s*(.+?)\s*=\s*(.+)", text)
        if not match or match.group(1) not in names:
            raise InputError(
                "--ground",
                [
                    Fault(
                        text,
                        "",
                        f'write a wheel and a height, such as "{names[0]} = 200 mm"; wheels are {", ".join(names)}',
                    )
                ],
            )
        heights[match.group(1)] = read_option("--ground", match.group(2), "length")
    return heights


def loaded(design: Path, output: Path | None, *more: Path) -> DesignFile:
    """The design, with an output refused that would replace what this run reads."""
    file = load(design)
    for said in file.renamed:
        typer.echo(f"{design.name}: {said}", err=True)
    if output is not None:
        check_output(output, file, *more)
    return file


def speed_of(text: str) -> float:
    """A speed [m/s] from text; refuses one at which nothing is driven."""
    speed = read_option("--speed", text, "speed")
    if not 0.05 <= speed <= 150:
        raise InputError("--speed", [Fault(text, "", "must be between 0.2 and 540 km/h")])
    return speed


def step_of(text: str | None) -> float | None:
    """A time step [s] from text; none where none was given."""
    if text is None:
        return None
    step = read_option("--step", text, "time")
    if not 1e-6 <= step <= 0.02:
        raise InputError("--step", [Fault(text, "", "must be between 0.001 and 20 ms")])
    return step


def progress(done: int, of: int) -> None:
    """A line on standard error that says how far a long run has come, where someone is watching."""
    if sys.stderr.isatty() and not QUIET.get():
        end = "\n" if done == of else "\r"
        sys.stderr.write(f"driven {done} of {of}{end}")
        sys.stderr.flush()


def told_step(step: str) -> None:
    """What is being done, on one line of standard error, where someone is watching; nothing wipes it. Ends here if Ctrl-C was swallowed before."""
    if step:
        stopping.heed()
    if sys.stderr.isatty() and not QUIET.get():
        passed = time.monotonic() - BEGUN.get()
        for_so_long = f", {passed:.0f} s" if step and passed > TOLD_AFTER else ""
        sys.stderr.write(f"\r\x1b[K{step}{for_so_long}{_to_go(step)}{' …' if step else ''}")
        sys.stderr.flush()


def _to_go(step: str) -> str:
    """A bar, and how long is left, where the steps are counted and the count has gone on for a while."""
    now = time.monotonic()
    if not isinstance(step, CountedStep):
        COUNTING.set(float("inf"))
        return ""
    if COUNTING.get() > now or step.done == 0:
        COUNTING.set(now)
    passed = now - COUNTING.get()
    remains = left(step.done, step.of, passed)
    full = BAR * step.done // max(step.of, 1)
    bar = f" [{'=' * full}{' ' * (BAR - full)}]"
    return bar if remains is None or passed < TOLD_AFTER else f"{bar} about {remains:.0f} s to go"


def say_if_compiling(*, many: bool = False) -> None:
    """A word on standard error when the solver has not been compiled on this machine yet; `many`: with what studies of many designs call."""
    from springwright.motion.compiled import KERNELS, OF_MANY, compiled

    if not QUIET.get() and not compiled(OF_MANY if many else KERNELS):
        typer.echo("compiling the solver, once on this machine: half a minute at most", err=True)


# The result class whose schema a command's --json follows: its module and name.
RESULTS = {
    "size": ("sizing.sheet", "Sheet"),
    "rest": ("questions.at_rest", "RestResult"),
    "modes": ("questions.at_rest", "ModesResult"),
    "drive": ("motion.figures", "Drive"),
    "speeds": ("questions.drives", "SpeedTable"),
    "geometry": ("vehicle.geometry", "Geometry"),
    "part": ("parts.record", "PartRecord"),
    "order": ("sizing.order_list", "OrderList"),
    "window": ("questions.dynamic_requirements", "FullWindow"),
    "prove": ("questions.prove", "Proof"),
    "trade": ("studies.exchange", "Exchange"),
    "front": ("studies.front_results", "Front"),
    "spread": ("studies.spread", "BuildSpread"),
    "sweep": ("studies.sweep", "Sweep"),
    "rate": ("sizing.first_number", "FirstNumber"),
    "reference": ("reference.shelf", "Shelf"),
    "lesson": ("lessons.lesson", "Lesson"),
    "fields": ("vehicle.described", "DescribedFields"),
    "readings": ("commission.workshop", "WorkshopSheets"),
    "measure": ("commission.compare", "Comparison"),
    "correct": ("commission.measured", "BuiltReport"),
}


def result_kind(name: str) -> Any:
    """The result class whose schema a command's --json follows."""
    module, kind = RESULTS[name]
    return getattr(import_module(f"springwright.{module}"), kind)


def read_option(option: str, text: str, kind: str) -> float:
    """A quantity [SI] from an option's text; the option is named where it cannot be read."""
    try:
        return parse(text, kind)
    except QuantityError as error:
        raise InputError(option, [Fault(text, "", str(error))]) from None
