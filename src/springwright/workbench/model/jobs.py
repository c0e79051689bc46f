"""What the slow process can do: each takes a design and a way to tell of its progress, and gives the result."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from springwright.sizing.fitted import sized
from springwright.vehicle.file import DesignFile

if TYPE_CHECKING:
    from springwright.commission.back import Remedy
    from springwright.questions.answer import Answer
    from springwright.questions.estimate_spans import EstimateWorth
    from springwright.questions.question import Question

Say = Callable[[str, Any], None]


def warm(file: DesignFile, say: Say) -> None:
    """Have the kernels compiled, once on a machine, by using them."""
    from springwright.questions.drives import drive_design

    say("progress", "preparing")
    sized(file)
    drive_design(file, "half-round 100 mm", 5.0)


def answers(file: DesignFile, say: Say, questions: tuple[Question, ...]) -> tuple[str, ...]:
    """Ask the questions one by one, each answer told as soon as it is there; gives the notes."""
    from springwright.errors import UnsolvedError
    from springwright.questions.estimate_spans import spans
    from springwright.questions.prove import ask_briefly, make_ready
    from springwright.questions.road_runs import Runs
    from springwright.sizing.estimates import bush_estimates, listed_estimates

    ready = make_ready(file)
    runs = Runs(ready, partial(say, "progress"))
    found, listed = [], len(listed_estimates(file.design))
    for one in questions:
        say("progress", one.name)
        try:
            # on all of them, until it is asked which move it
            found.append(replace(one.ask(ready, runs), estimates=listed))
            say("part", (one.name, found[-1]))
        except UnsolvedError as error:
            say("part", (one.name, str(error)))
    return (*spans(file, found, partial(ask_briefly, questions=questions), of=bush_estimates).estimates, *ready.notes)


def worths(
    file: DesignFile, say: Say, questions: tuple[Question, ...], found: tuple[Answer, ...]
) -> tuple[EstimateWorth, ...]:
    """How much hangs on each value that the file calls an estimate; each answer is told again with how many move it."""
    from springwright.questions.estimate_spans import spans
    from springwright.questions.prove import ask_briefly
    from springwright.sizing.estimates import listed_estimates

    if not listed_estimates(file.design):
        return ()
    told = spans(file, found, partial(ask_briefly, questions=questions), partial(say, "progress"), listed_estimates)
    for one in told.answers:
        say("part", (one.question, one))
    return told.worths


def alone(file: DesignFile, say: Say, questions: tuple[Question, ...]) -> None:
    """Ask the questions in every load state alone, and on every ground alone; each set is told as soon as it is there."""
    from springwright.errors import UnsolvedError
    from springwright.questions.prove import make_ready
    from springwright.questions.road_runs import Runs

    ready = make_ready(file)
    views = [("state", one.name, ready.narrowed([one.name], [])) for one in ready.states]
    views += [("ground", one.name, ready.narrowed([], [one.name])) for one in ready.stretches]
    for kind, name, view in views:
        runs, found = Runs(view, partial(say, "progress")), {}
        for question in questions:
            say("progress", f"{name}, {question.name}")
            try:
                found[question.name] = question.ask(view, runs, brief=True)
            except UnsolvedError:
                continue
        say("part", ((kind, name), found))


def moving(file: DesignFile, say: Say, questions: tuple[Question, ...]) -> Any:
    """What moves each figure that is not met."""
    from springwright.questions.prove import prove

    return prove(file, progress=partial(say, "progress"), questions=questions).moves


def window(file: DesignFile, say: Say) -> Any:
    """Every end of every axle's window."""
    from springwright.questions.dynamic_requirements import full_window

    return full_window(file, progress=partial(say, "progress"))


def report(file: DesignFile, say: Say, traded: tuple[Any, Any] | None = None) -> bytes:
    """The whole case typeset; with an exchange table and a front of it also what was traded."""
    from springwright.questions.dynamic_requirements import full_window
    from springwright.questions.prove import prove
    from springwright.report.dossier import Traded, proof_pdf

    proof = prove(file, progress=partial(say, "progress"))
    say("progress", "window")
    return proof_pdf(file, proof, full_window(file), None if traded is None else Traded(*traded))


def orders(file: DesignFile, say: Say) -> bytes:
    """Order pages alone, one to a part, typeset."""
    from springwright.report.orders import every_page
    from springwright.report.typeset import pages_pdf

    say("progress", "order sheets")
    return pages_pdf(every_page(file), sized(file))


def fitting(file: DesignFile, say: Say) -> bytes:
    """The fitting sheet for the workshop, typeset."""
    from springwright.report.fitting import fitting_pdf

    say("progress", "fitting sheet")
    return fitting_pdf(file)


def page(file: DesignFile, say: Say) -> bytes:
    """The sizing as one page of HTML."""
    from springwright.report.page import as_html

    say("progress", "page")
    return as_html(sized(file)).encode()


def exchange(file: DesignFile, say: Say, questions: tuple[Question, ...]) -> Any:
    """One step of every decision; the table so far is told as each row comes."""
    from springwright.studies.exchange import exchange as traded

    return traded(file, progress=partial(say, "progress"), told=partial(say, "part"), questions=questions)


def front(file: DesignFile, say: Say, questions: tuple[Question, ...], most: int, kept: Path | None = None) -> Any:
    """The front; what is found so far is told while it is searched. It goes on from what is `kept` of the same search."""
    from springwright.studies.front import front as searched

    if kept is not None:
        with suppress(OSError):  # what cannot be kept is searched anew
            kept.parent.mkdir(parents=True, exist_ok=True)
        kept = kept if kept.parent.is_dir() else None
    return searched(
        file, most=most, kept=kept, progress=partial(say, "progress"), told=partial(say, "part"), questions=questions
    )


def spread(file: DesignFile, say: Say) -> Any:
    """The build spread; shares are told before what is to blame."""
    from springwright.studies.spread import spread as built

    return built(file, progress=partial(say, "progress"), told=partial(say, "part"))


def measure(file: DesignFile, say: Say, readings: str, questions: tuple[Question, ...]) -> Any:
    """What was built, corrected by its readings: with what brings it back, the as-built file's text, and its answers."""
    from springwright.commission.measured import measured

    return measured(file, Path(readings), questions, progress=partial(say, "progress"))


def tried(file: DesignFile, say: Say, built: str, some: tuple[Remedy, ...], questions: tuple[Question, ...]) -> Any:
    """Some of what brings a vehicle as built back, made together."""
    from springwright.commission.measured import tried as made

    return made(file.saying(built), some, questions, progress=partial(say, "progress"))


def workshop(file: DesignFile, say: Say) -> bytes:
    """The sheets to be filled in in the workshop, typeset."""
    from springwright.commission.workshop import workshop_sheets
    from springwright.report.workshop import workshop_pdf

    return workshop_pdf(workshop_sheets(file, progress=partial(say, "progress")), file)


SCENES = ("drive", "diagonal", "obstacle", "landing")


def scene(file: DesignFile, say: Say, kind: str, state: str, ground: str, speed: float) -> str:
    """A view in the round: what happened, as lines to be drawn and frames to be played."""
    import json

    from springwright.drawing.round import scene as drawn
    from springwright.scenes.playback import articulation, landing, playback

    say("progress", kind)
    limits, reference = file.design.limits, file.design.reference
    if kind == "drive":
        found = playback(file, ground, speed, state=state)
    elif kind == "diagonal":
        found = articulation(file, state=state)
    elif kind == "landing":
        found = landing(file, limits.drop_height or 0.1, state=state)
    else:
        height = reference.obstacle_height or 0.1
        found = playback(
            file, f"half-round {1e3 * height:.0f} mm", limits.obstacle_speed or speed, state=state, seconds=6.0
        )
    return json.dumps(drawn(found, file.design), separators=(",", ":"))


JOBS: dict[str, Callable[..., Any]] = {
    "warm": warm, "answers": answers, "alone": alone, "moving": moving, "worths": worths, "window": window, "report": report, "orders": orders, "fitting": fitting, "page": page, "scene": scene,
    "exchange": exchange, "front": front, "spread": spread, "measure": measure, "tried": tried, "workshop": workshop,
}  # fmt: skip
