"""The reference shelf told: its topics, and one topic's rows with their sources."""

from __future__ import annotations

from collections.abc import Sequence

from springwright.reference.shelf import ShelfTopic
from springwright.report.tables import Section, Table, capital

ASKS = "What is usual?"
SAYS = "Usual is not right: a range is a place to begin from, never a limit, and nothing of it is preset."


def shelf_section(topics: Sequence[ShelfTopic]) -> Section:
    """Every topic with the fields of a design file that it stands beside."""
    rows = tuple((one.name, one.title, ", ".join(one.fields)) for one in topics)
    return Section("Reference", ASKS, (SAYS,), (Table("Topics", ("topic", "", "beside"), rows, "lll"),))


def topic_section(one: ShelfTopic) -> Section:
    """One topic: its rows, each with its source."""
    return Section("Reference", ASKS, (f"{one.title}: {one.says}.", SAYS), (topic_table(one),))


def topic_table(one: ShelfTopic) -> Table:
    """A topic's rows."""
    rows = tuple((capital(row.what), one.usual(row), row.said, row.caveat) for row in one.rows)
    return Table(one.title, ("", "usual", "source", "mind"), rows, "lrll")


def usual_told(one: ShelfTopic) -> str:
    """A topic in one line, as it stands beside a blank."""
    said = "; ".join(f"{row.what} {one.usual(row)} ({row.said})" for row in one.rows)
    return f"{said}."
