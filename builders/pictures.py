"""Draws the pictures of the README from the demos. Run from the project's root: python builders/pictures.py"""

from __future__ import annotations

from pathlib import Path

from springwright import exchange, load, size
from springwright.drawing.spring import spring_figure
from springwright.drawing.window import window_figure
from springwright.report.trade import exchange_figure

DOCS = Path("docs")


def main() -> None:
    DOCS.mkdir(exist_ok=True)
    truck = load("src/springwright/demos/fire-watch.toml")
    sheet = size(truck)
    record = sheet.springs[0].record
    assert record is not None
    drawn = spring_figure(record)
    assert drawn is not None
    (DOCS / "spring.svg").write_text(drawn.standalone() + "\n")
    (DOCS / "exchange.svg").write_text(exchange_figure(exchange(truck)).standalone() + "\n")
    (DOCS / "window.svg").write_text(window_figure(sheet.windows[0]).standalone() + "\n")


if __name__ == "__main__":
    main()
