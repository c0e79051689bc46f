"""What can be taken away from a sheet: documents as bytes, figures as tables of numbers."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, Any

import anyio.to_thread

from springwright.cells import CellWriter
from springwright.errors import SpringwrightError
from springwright.questions.answer import Curves
from springwright.questions.prove import Proof
from springwright.sizing.axle_geometry import geometry
from springwright.sizing.fitted import sized
from springwright.sizing.order_list import order_list
from springwright.sizing.part_results import part
from springwright.units import displayed_in
from springwright.workbench.model.document import Document
from springwright.workbench.model.shown import Shown

if TYPE_CHECKING:
    from springwright.workbench.open_sheet import OpenSheet


async def _report(sheet: OpenSheet) -> bytes:
    studies = sheet.shown.studies
    both = [studies[name].result for name in ("exchange", "front") if name in studies and not studies[name].late]
    traded = (both[0], both[1]) if len(both) > 1 and None not in both else None
    found: bytes = await sheet.slow.asked("report", {"traded": traded})
    return found


async def _orders(sheet: OpenSheet) -> bytes:
    found: bytes = await sheet.slow.asked("orders")
    return found


async def _page(sheet: OpenSheet) -> bytes:
    found: bytes = await sheet.slow.asked("page")
    return found


async def _sizing(sheet: OpenSheet) -> bytes:
    return await anyio.to_thread.run_sync(_sizing_csv, sheet.document)


def _sizing_csv(document: Document) -> bytes:
    from springwright.report.rows import as_csv

    with displayed_in(document.view.system), document.evaluation:
        return as_csv(sized(document.file)).encode()


async def _list(sheet: OpenSheet) -> bytes:
    return await anyio.to_thread.run_sync(_list_csv, sheet.document)


def _list_csv(document: Document) -> bytes:
    from springwright.report.order_list import order_csv

    with displayed_in(document.view.system), document.evaluation:
        return order_csv(order_list(document.file)).encode()


async def _answers(sheet: OpenSheet) -> bytes:
    return await anyio.to_thread.run_sync(_answers_csv, sheet)


def _answers_csv(sheet: OpenSheet) -> bytes:
    from springwright.report.proof import proof_csv

    with sheet.document.evaluation:
        design = sized(sheet.document.file)
    fresh = tuple(one for name, one in sheet.shown.answers.items() if name not in sheet.shown.stale)
    proof = Proof(
        design.vehicle, sheet.document.path.name, design.invented, design.design_state, design.ratings, answers=fresh
    )
    return proof_csv(proof).encode()


async def _fitting(sheet: OpenSheet) -> bytes:
    found: bytes = await sheet.slow.asked("fitting")
    return found


async def _workshop(sheet: OpenSheet) -> bytes:
    found: bytes = await sheet.slow.asked("workshop")
    return found


async def _measured(sheet: OpenSheet) -> bytes:
    return await anyio.to_thread.run_sync(_measured_pdf, sheet)


def _measured_pdf(sheet: OpenSheet) -> bytes:
    from springwright.report.measure import answers_beside, correction_section, measure_pdf

    found = sheet.shown.built
    if found is None:
        raise SpringwrightError("Nothing was held beside what was due yet: ask for that first.")
    with displayed_in(sheet.document.view.system):
        section = correction_section(
            found.correction, found.back, answers_beside(found.drawn, found.built, found.mended)
        )
        return measure_pdf(found.correction.comparison, section, found.correction)


async def _design(sheet: OpenSheet) -> bytes:
    return sheet.document.text.encode()


# Name -> media type and what makes it.
TAKEN: dict[str, tuple[str, Callable[[OpenSheet], Awaitable[bytes]]]] = {
    "report.pdf": ("application/pdf", _report),
    "orders.pdf": ("application/pdf", _orders),
    "fitting.pdf": ("application/pdf", _fitting),
    "sheet.html": ("text/html", _page),
    "order.csv": ("text/csv", _list),
    "sizing.csv": ("text/csv", _sizing),
    "answers.csv": ("text/csv", _answers),
    "workshop.pdf": ("application/pdf", _workshop),
    "measured.pdf": ("application/pdf", _measured),
    "design.toml": ("application/toml", _design),
}


def figure_csv(document: Document, shown: Shown, name: str) -> str | None:
    """The numbers behind a figure of the page in SI, or None where there is no such figure; of a study its tables as they read."""
    study = shown.studies.get(name)
    if study is not None and study.result is not None:
        with displayed_in(document.view.system):
            return _study_csv(study.result)
    kind, _, number = name.rpartition("-")
    if not (number.isdecimal() and number.isascii() and len(number) < 4):
        return None
    index = int(number)
    if kind in shown.answers:
        curves = shown.answers[kind].curves
        return _curves(curves[index]) if index < len(curves) else None
    if index >= len(document.file.design.axles):
        return None
    axle = document.file.design.axles[index].name
    if kind == "damper":
        with document.evaluation:
            record = part(document.file, f"{axle} damper")
        return _rows(["speed [m/s]", "force [N]"], zip(record.pressed, record.forces, strict=True))
    if kind == "along":
        with document.evaluation:
            places = geometry(document.file, axle).positions
        return _rows(
            ["travel [m]", "motion ratio", "camber [rad]", "roll centre [m]"],
            [(one.travel, one.motion_ratio, one.camber, one.roll_centre) for one in places],
        )
    return None


def _study_csv(result: Any) -> str:
    from springwright.report.front import front_csv
    from springwright.report.motion import section_csv
    from springwright.report.spread import spread_section
    from springwright.report.trade import exchange_section
    from springwright.studies.exchange import Exchange
    from springwright.studies.front_results import Front

    if isinstance(result, Front):
        return front_csv(result)
    return section_csv(exchange_section(result) if isinstance(result, Exchange) else spread_section(result))


def _curves(curves: Curves) -> str:
    head = [f"{curves.x_name} [{curves.x_unit}]", *(f"{line.name} [{curves.y_unit}]" for line in curves.lines)]
    return _rows(head, [(x, *(line.values[i] for line in curves.lines)) for i, x in enumerate(curves.x)])


def _rows(head: list[str], rows: object) -> str:
    writer = CellWriter()
    writer.writerow(head)
    writer.writerows(["" if cell is None else f"{cell:.7g}" for cell in row] for row in rows)  # type: ignore[attr-defined]
    return writer.text
