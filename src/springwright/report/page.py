"""The same sheet as one HTML page that needs nothing else: style, drawings and equations are in it."""

from __future__ import annotations

from importlib.resources import files

from springwright.drawing.window import window_figure
from springwright.report.content import sections
from springwright.report.equations import equation
from springwright.report.orders import order_pages
from springwright.sizing.sheet import Sheet


def as_html(sheet: Sheet) -> str:
    """The whole sheet; every text is escaped, only our own drawings and equations go in as they are."""
    import jinja2
    from markupsafe import Markup

    environment = jinja2.Environment(
        autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    template = environment.from_string((files("springwright.report") / "sheet.html").read_text(encoding="utf-8"))
    orders = [{**page.texts, "svg": Markup(page.drawing.svg()) if page.drawing else ""} for page in order_pages(sheet)]
    return template.render(
        sheet=sheet,
        orders=orders,
        sections=sections(sheet),
        windows=[{"svg": Markup(window_figure(window).svg()), "axle": window.axle} for window in sheet.windows],
        workings=[
            {"work": work, "svg": Markup(equation(work, prefix=f"w{i}"))} for i, work in enumerate(sheet.workings)
        ],
    )
