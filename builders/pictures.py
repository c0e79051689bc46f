"""Draws the pictures of the README from the demos. Run from the project's root: python -m builders.pictures"""

from __future__ import annotations

from pathlib import Path

from springwright import correct, exchange, front, load, size, spread
from springwright.drawing.spring import spring_figure
from springwright.drawing.window import window_figure
from springwright.report.front_pictures import front_figure
from springwright.report.measure import readings_figure
from springwright.report.spread import spread_figure
from springwright.report.trade import exchange_figure

DOCS = Path("docs")
TRUCK = "src/springwright/demos/fire-watch.toml"
READINGS = "src/springwright/demos/readings/fire-watch.readings.toml"


def sizing() -> None:
    """A spring and a window: a moment's work."""
    sheet = size(load(TRUCK))
    record = sheet.springs[0].record
    assert record is not None
    drawn = spring_figure(record)
    assert drawn is not None
    (DOCS / "spring.svg").write_text(drawn.standalone() + "\n")
    (DOCS / "window.svg").write_text(window_figure(sheet.windows[0]).standalone() + "\n")


def trade() -> None:
    """The exchange table, the front and the build spread: two minutes."""
    truck = load(TRUCK)
    (DOCS / "exchange.svg").write_text(exchange_figure(exchange(truck)).standalone() + "\n")
    (DOCS / "spread.svg").write_text(spread_figure(spread(truck)).standalone() + "\n")
    (DOCS / "front.svg").write_text(front_figure(front(truck, most=1500, prove="none")).standalone() + "\n")


def measured() -> None:
    """The demo's readings against what was due."""
    told = correct(load(TRUCK), READINGS)
    (DOCS / "measured.svg").write_text(readings_figure(told.comparison, told).standalone() + "\n")


def main() -> None:
    DOCS.mkdir(exist_ok=True)
    sizing()
    measured()
    trade()


if __name__ == "__main__":
    main()
