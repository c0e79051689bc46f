"""A lesson told: on a terminal with its key last, and as a page of the documents."""

from __future__ import annotations

from collections.abc import Iterator

from springwright.lessons.lesson import Lesson
from springwright.lessons.vehicle_taken import LessonFigure
from springwright.report.tables import Section, Table
from springwright.units import show, told

FINE = {"length": 1, "frequency": 3, "ratio": 3, "lean": 2, "share": 1}  # decimals of figures that are to be compared


def lesson_section(one: Lesson) -> Section:
    """The lesson as one section."""
    invented = ", an invented vehicle" if one.invented else ""
    says = (
        f"On {one.vehicle}{invented}. Guess first, before you read on: {one.guess}",
        f"Change one number: {one.change}.",
    )
    table = Table("What it does", ("", "before", "after", "change"), tuple(_row(each) for each in one.figures), "lrrr")
    rest = [f"Why. {one.why}", *(f"By hand. {line}" for line in one.hand), _beside(one), f"The key. {one.key}"]
    if one.next:
        rest.append(f"Next: lesson {one.number + 1}, {one.next[0].lower()}{one.next[1:]}.")
    return Section(f"Lesson {one.number}", one.title, says, (table,), tuple(rest))


def lesson_page(one: Lesson) -> Iterator[str]:
    """The same as lines of Markdown."""
    yield f"# {one.number} {one.title}"
    yield ""
    yield f"*On {one.vehicle}{', an invented vehicle' if one.invented else ''}; on your own with* `springwright lesson {one.number} truck.toml`."
    yield ""
    yield f"**Guess first.** {one.guess}"
    yield ""
    yield f"**Change one number:** {one.change}."
    yield ""
    yield "| | before | after | change |"
    yield "| --- | ---: | ---: | ---: |"
    for each in one.figures:
        yield f"| {' | '.join(_row(each))} |"
    yield ""
    yield f"**Why.** {one.why}"
    yield ""
    yield "**By hand.**"
    yield ""
    for line in one.hand:
        yield f"> {line}"
        yield ">"
    yield ""
    yield _beside(one)
    yield ""
    yield "<details><summary>The key</summary>"
    yield ""
    yield one.key
    yield ""
    yield "</details>"
    yield ""


def _row(one: LessonFigure) -> tuple[str, str, str, str]:
    share = one.after / one.before - 1 if one.before else None
    change = "" if share is None else "none" if abs(share) < 5e-4 else f"{100 * share:+.1f} %".replace("-", "−")
    return one.name, _shown(one.before, one.kind), _shown(one.after, one.kind), change


def _shown(value: float, kind: str) -> str:
    return show(value, kind, FINE[kind]) if kind in FINE else told(value, kind)


def _beside(one: Lesson) -> str:
    first = one.figures[0]
    off = one.by_hand / first.after - 1 if first.after else 0.0
    said = (
        "the same"
        if abs(off) < 1e-3
        else f"{100 * abs(off):.1f} % {'more' if off > 0 else 'less'}: it leaves something out"
    )
    return (
        f"A hand finds {_shown(one.by_hand, first.kind)} where the sheet has {_shown(first.after, first.kind)}: {said}."
    )
