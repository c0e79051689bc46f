"""The whole case typeset: the vehicle to scale, the seven answers with their pictures, load states, orders, workings, sources, cautions."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any, NamedTuple

from springwright.commission.measured import BuiltReport
from springwright.drawing.elevation import elevation_drawing
from springwright.drawing.window import window_figure
from springwright.evaluation import evaluated
from springwright.questions.dynamic_requirements import FullWindow
from springwright.questions.prove import Proof
from springwright.report.content import window_section
from springwright.report.exhibits import HALF, exhibits
from springwright.report.front import front_section
from springwright.report.front_pictures import front_figure, scales_figure
from springwright.report.measure import measured_chapter
from springwright.report.orders import every_page
from springwright.report.proof import answer_section, deciding, summary, unknown, word_of
from springwright.report.tables import capital
from springwright.report.trade import exchange_figure, exchange_section
from springwright.report.travel_panel import travel_figures
from springwright.report.typeset import compiled, content, pictured, worked
from springwright.report.wheel_force import force_figures
from springwright.scenes.elevation import elevation, farthest_state
from springwright.sizing.estimates import listed_estimates
from springwright.sizing.fitted import sized
from springwright.sizing.order_list import order_list
from springwright.studies.exchange import Exchange
from springwright.studies.front_results import Front
from springwright.vehicle.file import DesignFile

PICTURE = 900.0  # px that the vehicle is drawn wide: on the page's width its words are then large enough to read
METHODS = (
    "ISO 2631-1: weighting of vibration at the seat; 2002/44/EC: exposure action and limit values",
    "ISO 8608: classes of ground, their spectra from several published copies",
    "Pradko and Lee 1966, SAE 660139: absorbed power, from memory; 6 W and 2.5 g criteria of military mobility practice, from memory",
    "EN 13906-1: coil springs; Shigley, helical springs under fatigue loading with Zimmerli's limits, from memory; ASTM E1049-85: rainflow counting",
    "ISO 8855: axes and signs; ISO 10392: height of the centre of gravity",
)


class Traded(NamedTuple):
    """What a design was traded against: one step of every decision, and the front it stands beside."""

    exchange: Exchange
    front: Front


@evaluated
def proof_pdf(
    file: DesignFile,
    proof: Proof,
    window: FullWindow,
    traded: Traded | None = None,
    measured: BuiltReport | None = None,
) -> bytes:
    """The whole case as a PDF."""
    pictures: dict[str, bytes] = {}
    return compiled(proof_content(file, proof, window, pictures, traded, measured), pictures, "proof.typ")


def proof_content(
    file: DesignFile,
    proof: Proof,
    window: FullWindow,
    pictures: dict[str, bytes],
    traded: Traded | None = None,
    measured: BuiltReport | None = None,
) -> dict[str, Any]:
    """The data of the template; drawings go into `pictures` by file name."""
    sheet, design = sized(file), file.design
    data = content(sheet, pictures)
    data["orders"] = pictured(every_page(file), pictures)
    vehicle = elevation(file, None, farthest_state(file))
    pictures["vehicle.svg"] = elevation_drawing(vehicle, PICTURE).standalone().encode()
    full = window_section(window.windows)
    for i, one in enumerate(window.windows):
        pictures[f"window{i}.svg"] = window_figure(one).standalone().encode()
    data["windows"] = [
        {"picture": f"window{i}.svg", "axle": one.axle, "sentence": one.sentence}
        for i, one in enumerate(window.windows)
    ]
    sections = [one for one in data["sections"] if one["verb"] not in ("First",)]
    aim = next(i for i, one in enumerate(sections) if one["verb"] == "Aim")
    sections[aim]["says"] = full.says
    ride_table, (windows_table, requirements) = sections[aim]["tables"][0], asdict(full)["tables"]
    # the frequencies as they were sized, without their static window; the full one follows
    ride_table["head"], ride_table["align"] = ride_table["head"][:6], ride_table["align"][:6]
    ride_table["rows"], ride_table["note"] = [row[:6] for row in ride_table["rows"]], ""
    sections[aim]["tables"] = [ride_table, windows_table, requirements]
    known = sum(figure.word != "not known" for one in proof.answers for figure in one.figures)
    total = sum(len(one.figures) for one in proof.answers)
    bought = order_list(file)
    priced = [one.cost for one in bought.lines if one.cost is not None]
    missing = len(bought.lines) - len(priced)
    money = {one.currency for one in bought.lines if one.cost is not None}
    cost = f"{sum(priced):.0f} {money.pop() if len(money) == 1 else ''}".strip() if len(money) <= 1 and priced else ""
    return {
        **data,
        "bought": [[f"{one.quantity} ×", one.part, one.says, f"{one.cost:.0f} {one.currency}".strip() if one.cost is not None else "–"] for one in bought.lines],
        "cost": f"Together {cost or 'not known'}{f', and {missing} without a price' if missing and cost else ''}.",
        "placeholder": "" if design.vehicle.body is not None else "The outline of the body is a placeholder: [vehicle.body] says what it looks like.",
        "estimated": f"Stands on {count} values that are estimates; they are named in the notes at the end." if (count := len(listed_estimates(design))) else "",
        "sections": sections,
        "note": design.vehicle.note,
        "builder": f"Built by {design.vehicle.builder}." if design.vehicle.builder else "",
        "picture": "vehicle.svg",
        "over": list(summary(proof).says),
        "travel": _travel(file, pictures),
        "traded": None if traded is None else _traded(file, traded, pictures),
        "measured": None if measured is None else measured_chapter(measured, pictures),
        "answers": [_answer(file, i, proof, pictures) for i in range(len(proof.answers))],
        "counts": f"{known} of {total} figures could be judged; the rest say what is missing. The word of a question is that of its worst known figure.",
        "sources": [*METHODS, *sorted({figure.source for one in proof.answers for figure in one.figures if any(sign in figure.source for sign in ("ISO", "EN ", "EC", "DIN", "Shigley", "SAE"))})],
        "workings": [*data["workings"], *(worked(len(sheet.workings) + i, work, pictures) for i, work in enumerate(w for one in proof.answers for w in one.workings))],
        "notes": [*dict.fromkeys([*proof.notes, *(note for note in sheet.notes if note != sheet.left_to_prove)])],
        "cautions": list(proof.cautions),
    }  # fmt: skip


def _travel(file: DesignFile, pictures: dict[str, bytes]) -> list[str]:
    """What happens along the travel of each axle, and the force at its wheel: names of pictures, two beside each other."""
    names = []
    for word, drawn in (("along", travel_figures(file)), ("force", force_figures(file))):
        for i, one in enumerate(drawn):
            names.append(f"{word}{i}.svg")
            pictures[names[-1]] = one.standalone().encode()
    return names


def _traded(file: DesignFile, traded: Traded, pictures: dict[str, bytes]) -> dict[str, Any]:
    """The chapter of what was traded: why this design in the builder's words, the steps, the design against the ends and the knee."""
    pictures["exchange.svg"] = exchange_figure(traded.exchange).standalone().encode()
    pictures["front.svg"] = front_figure(traded.front).standalone().encode()
    pictures["scales.svg"] = scales_figure(traded.front).standalone().encode()
    steps, found = exchange_section(traded.exchange), front_section(traded.front)
    named = {"The front", "What they are made of", "Proven", "What may vary"}
    tables = [one for one in asdict(found)["tables"] if one["caption"].partition(",")[0] in named]
    reason = file.design.trade.reason
    return {
        "reason": f"Why this design, in the builder's words: {reason.rstrip('.')}." if reason else "The file does not say why this design was chosen: trade.reason.",
        "parts": [
            {"head": "One step of every decision", "says": steps.says, "picture": "exchange.svg", "tables": asdict(steps)["tables"][:2], "notes": steps.figures},
            {"head": "The design against the front", "says": found.says, "picture": "front.svg", "tables": tables, "notes": found.figures},
            {"head": "All requirements at once", "says": ("Each line is a design of the front; dashed is the one of this report.",), "picture": "scales.svg", "tables": (), "notes": ()},
        ],
    }  # fmt: skip


def _answer(file: DesignFile, index: int, proof: Proof, pictures: dict[str, bytes]) -> dict[str, Any]:
    one = proof.answers[index]
    section = answer_section(
        one, [move for move in proof.moves if move.question == one.question], tables_of_curves=False
    )
    shown = []
    for k, exhibit in enumerate(exhibits(file, one)):
        name = f"picture{index}-{k}.svg"
        pictures[name] = exhibit.drawing.standalone().encode()
        shown.append({"file": name, "name": exhibit.title, "note": exhibit.note, "whole": exhibit.drawing.width > HALF})
    return {
        "head": capital(one.question), "asks": one.asks, "word": word_of(one), "decides": deciding(one), "unknown": f"{unknown(one)} not known" if unknown(one) else "",
        "says": section.says, "tables": asdict(section)["tables"], "pictures": shown, "notes": section.figures,
    }  # fmt: skip
