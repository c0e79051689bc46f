"""Writes docs/fields.md: every field of the design file, what it means and holds. Run: python -m builders.fields"""

from __future__ import annotations

from pathlib import Path

from springwright.drawing.field_places import SKETCHES, place_drawing
from springwright.report.fields import sentence
from springwright.report.tables import capital
from springwright.vehicle.described import described_fields

PAGE, PICTURES = Path("docs/fields.md"), Path("docs/fields")
WRITTEN = "Entries of lists are left out of the paths: `axles.tyre.rate` is the rate of the tyre of any axle. Written by `python -m builders.fields` from the program itself; `springwright schema FIELD` tells one."


def main() -> None:
    PAGE.write_text(page())
    PICTURES.mkdir(exist_ok=True)
    for name in SKETCHES:
        (PICTURES / f"{name}.svg").write_text(place_drawing(name).standalone())


def page() -> str:
    """The whole page, a heading to each outermost table."""
    shown = [f"![{title}](fields/{name}.svg)" for name, (title, _) in SKETCHES.items()]
    parts, last = ["# Fields of the design file", WRITTEN, "## Where things are measured", *shown], ""
    lines: list[str] = []
    for one in described_fields():
        top = one.path.partition(".")[0]
        if top != last:
            parts.append("\n".join(lines))
            lines = []
            parts.append(f"## {top}")
            last = top
        lines.append(f"- `{one.path}`{f' ({one.within})' if one.path != top else ''}: {capital(sentence(one))}")
    parts.append("\n".join(lines))
    return "\n\n".join(part for part in parts if part) + "\n"


if __name__ == "__main__":
    main()
