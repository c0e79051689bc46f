"""A sizing on a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich import box
from rich.table import Table as RichTable
from rich.text import Text

from springwright.formula import Working
from springwright.report.content import sections
from springwright.report.tables import Section, Table

if TYPE_CHECKING:
    from rich.console import Console

    from springwright.sizing.sheet import Sheet


def tell(sheet: Sheet, console: Console, *, working: bool = False) -> None:
    """Print a whole sizing; with `working`, every formula with its numbers."""
    invented = "  (invented for demonstration)" if sheet.invented else ""
    console.print(Text(f"{sheet.vehicle}{invented}", style="bold"))
    console.print(Text(sheet.file, style="dim"))
    _lines("Out of the ordinary", sheet.unusual, console)
    for section in sections(sheet):
        tell_section(section, console)
    if working:
        tell_workings(sheet.workings, console)
    _lines("Notes", sheet.notes, console)
    _lines("Cautions", sheet.cautions, console)


def _lines(title: str, lines: tuple[str, ...], console: Console) -> None:
    if lines:
        console.print()
        console.print(Text(title, style="bold"))
        for line in lines:
            console.print(Text(f"- {line}"), soft_wrap=False)


def tell_section(section: Section, console: Console) -> None:
    """Print one step: its sentences, tables and what stands under them."""
    console.print()
    console.rule(Text(f"{section.verb}  {section.question}", style="bold"), align="left", characters="─", style="dim")
    for sentence in section.says:
        console.print(Text(sentence))
    for table in section.tables:
        _table(table, console)
    for line in section.figures:
        console.print(Text(line, style="dim"))


def _table(table: Table, console: Console) -> None:
    console.print()
    console.print(Text(table.caption, style="italic"))
    if table.rows:
        grid = RichTable(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1), header_style="dim")
        for head, align in zip(table.head, table.align, strict=True):
            grid.add_column(Text(head), justify="left" if align == "l" else "right", overflow="fold")
        for i, row in enumerate(table.rows):
            grid.add_row(*(Text(cell) for cell in row), style="bold" if i == table.strong else "")
        console.print(grid)
    if table.note:
        console.print(Text(table.note, style="dim"))


def tell_workings(workings: tuple[Working, ...], console: Console) -> None:
    """Print formulas with their numbers, each under what it is of."""
    console.print()
    console.rule(
        Text("Working  Every formula with its numbers, in SI", style="bold"), align="left", characters="─", style="dim"
    )
    subject = ""
    for work in workings:
        if work.subject != subject:
            subject = work.subject
            console.print()
            console.print(Text(subject, style="bold"))
        console.print(Text(f"{work.title}: ", style="italic") + Text(work.as_text()))
        for term in work.terms:
            origin = f"  ({term.origin})" if term.origin else ""
            console.print(
                Text(
                    f"    {term.plain_symbol}  {term.meaning}, {term.plain_value}{origin}".rstrip(),
                    style="dim",
                )
            )
        console.print(Text(f"    source: {work.source}", style="dim"))
