"""The typeset order sheet: one page to order each axle's springs by, then how they were chosen, then the working."""

from __future__ import annotations

import json
import tempfile
from dataclasses import asdict
from datetime import date
from importlib.resources import files
from typing import Any

from springwright.drawing.svg import Drawing
from springwright.drawing.window import window_figure
from springwright.formula import Working
from springwright.report.content import sections
from springwright.report.equations import equation
from springwright.report.orders import OrderPage, order_pages
from springwright.report.tables import Section
from springwright.sizing.sheet import Sheet


def as_pdf(sheet: Sheet) -> bytes:
    """The whole sheet as a PDF. Texts reach the template as data only, so nothing a user wrote is ever run."""
    pictures: dict[str, bytes] = {}
    return compiled(content(sheet, pictures), pictures)


def pages_pdf(pages: list[OrderPage], sheet: Sheet) -> bytes:
    """Order pages alone, one to a part, as a PDF."""
    pictures: dict[str, bytes] = {}
    empty: dict[str, Any] = {name: [] for name in ("missing", "windows", "sections", "workings", "notes", "cautions")}
    return compiled({**empty, **heading(sheet), "orders": pictured(pages, pictures)}, pictures)


def heading(sheet: Sheet) -> dict[str, Any]:
    """What stands at the head of every page."""
    return {
        "vehicle": sheet.vehicle, "file": sheet.file, "invented": sheet.invented, "state": sheet.design_state, "revision": sheet.revision, "date": today(),
    }  # fmt: skip


def compiled(data: dict[str, Any], pictures: dict[str, bytes], template_name: str = "sheet.typ") -> bytes:
    """A template of ours filled in, as a PDF."""
    import typst

    template, common = ((files("springwright.report") / name).read_bytes() for name in (template_name, "common.typ"))
    with tempfile.TemporaryDirectory() as empty:
        told = json.dumps({**data, "unset": _unset(data)}).encode()
        inputs = {"main.typ": template, "common.typ": common, "data.json": told, **pictures}
        compiler: Any = typst  # its types do not know that inputs may be a dictionary of files
        return bytes(compiler.compile(inputs, root=empty, ignore_system_fonts=True))


SET_BEYOND = (
    (0x0000, 0x058F),
    (0x1E00, 0x2BFF),
    (0x3000, 0x3000),
    (0xFB00, 0xFB06),
    (0xFFFD, 0xFFFD),
)  # what the fonts at hand can set: Latin, Greek, Cyrillic, signs


def _unset(data: Any) -> str:
    """A word on names in scripts that the fonts at hand do not have; nothing where all can be set."""
    words: dict[str, None] = {}

    def look(value: Any) -> None:
        if isinstance(value, str):
            for word in value.split():
                if any(not any(low <= ord(sign) <= high for low, high in SET_BEYOND) for sign in word):
                    words[word[:40]] = None
        elif isinstance(value, dict):
            for one in value.values():
                look(one)
        elif isinstance(value, list | tuple):
            for one in value:
                look(one)

    look(data)
    if not words:
        return ""
    codes = ", ".join(" ".join(f"U+{ord(sign):04X}" for sign in word[:6]) for word in list(words)[:3])
    more = f" and {len(words) - 3} more" if len(words) > 3 else ""
    return f"{len(words)} {'word' if len(words) == 1 else 'words'} could not be set, for want of a font for its letters: {codes}{more}. Latin, Greek and Cyrillic letters can."


def section_pdf(section: Section, drawing: Drawing | None) -> bytes:
    """A section and its drawing as a PDF."""
    pictures = {} if drawing is None else {"drawing.svg": drawing.standalone().encode()}
    texts = {
        **asdict(section),
        "picture": "drawing.svg" if drawing else "",
        "title": drawing.title if drawing else section.verb,
    }
    return compiled(texts, pictures, "section.typ")


def as_png(drawing: Drawing) -> bytes:
    """A drawing as a picture, 200 points to the inch, on white."""
    import typst

    page = '#set page(width: auto, height: auto, margin: 8pt)\n#image("drawing.svg")'
    with tempfile.TemporaryDirectory() as empty:
        compiler: Any = typst
        inputs = {"main.typ": page.encode(), "drawing.svg": drawing.standalone().encode()}
        return bytes(compiler.compile(inputs, root=empty, ignore_system_fonts=True, format="png", ppi=200))


def content(sheet: Sheet, pictures: dict[str, bytes]) -> dict[str, Any]:
    """The data of the template; drawings and equations go into `pictures` by file name."""
    orders = pictured(order_pages(sheet), pictures)
    windows = []
    for i, window in enumerate(sheet.windows):
        pictures[f"window{i}.svg"] = window_figure(window).standalone().encode()
        windows.append({"picture": f"window{i}.svg", "axle": window.axle, "sentence": window.sentence})
    return {
        **heading(sheet),
        "orders": orders,
        "missing": [f"{one.axle}: {one.fitted.label}" for one in sheet.springs if one.record is None],
        "windows": windows,
        "sections": [asdict(section) for section in sections(sheet)],
        "workings": [worked(i, work, pictures) for i, work in enumerate(sheet.workings)],
        "notes": [*sheet.unusual, *sheet.notes],
        "cautions": list(sheet.cautions),
    }


def today() -> str:
    """The day, as a sheet says it."""
    return date.today().strftime("%-d %B %Y")


def pictured(pages: list[OrderPage], pictures: dict[str, bytes]) -> list[dict[str, Any]]:
    """Order pages with the names of their pictures, which go into `pictures`."""
    orders = []
    for i, page in enumerate(pages):
        if page.drawing:
            pictures[f"order{i}.svg"] = page.drawing.standalone().encode()
        orders.append({**page.texts, "picture": f"order{i}.svg" if page.drawing else ""})
    return orders


def worked(i: int, work: Working, pictures: dict[str, bytes]) -> dict[str, Any]:
    """A formula with its numbers as the template shows it; its picture goes into `pictures`."""
    pictures[f"work{i}.svg"] = equation(work).encode()
    return {
        "title": work.title,
        "subject": work.subject,
        "picture": f"work{i}.svg",
        "text": work.as_text(),
        "terms": [(term.plain_symbol, term.meaning, term.plain_value) for term in work.terms],
        "source": work.source,
    }
