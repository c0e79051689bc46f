"""Writes docs/reference.md: what is usual, each row with its source. Run: python -m builders.reference"""

from __future__ import annotations

from pathlib import Path

from springwright.reference.shelf import shelf
from springwright.report.reference import SAYS, topic_table

WRITTEN = "Written by `python -m builders.reference` from the CSV files of `src/springwright/reference`; look one up with `springwright reference TOPIC`."
PAGE = Path("docs/reference.md")


def main() -> None:
    PAGE.write_text(page())


def page() -> str:
    """The whole page."""
    parts = ["# What is usual", f"{SAYS} {WRITTEN}"]
    for one in shelf():
        table = topic_table(one)
        rows = [table.head, ("---",) * len(table.head), *table.rows]
        lines = "\n".join("| " + " | ".join(cells) + " |" for cells in rows)
        beside = ", ".join(f"`{field}`" for field in one.fields)
        parts.append(f"## {one.title}\n\n`{one.name}`, beside {beside}: {one.says}.\n\n{lines}")
    return "\n\n".join(parts) + "\n"


if __name__ == "__main__":
    main()
