"""The fitting sheet for the workshop: what goes where, at which heights and lengths, in which order, with blanks for what is read."""

from __future__ import annotations

from dataclasses import asdict

from springwright.report.tables import Section, Table
from springwright.report.typeset import compiled, heading
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import Sheet
from springwright.units import show
from springwright.vehicle.axle import Axle
from springwright.vehicle.file import DesignFile

BLANK = "________"
STEPS = (
    "Chock the wheels, lift the vehicle and set it on stands; nobody is under it on a jack.",
    "Hang the axle on straps before springs and dampers come off: it must not fall, nor hang on hoses and cables.",
    "Compare what came with the order sheet: free length, wire, inside diameter, hand of winding; left and right alike.",
    "Fit the spring with the spacer named here, its end against its stop in the seat; then the damper, loose.",
    "Let the vehicle down on its wheels and roll it; tighten rubber bushes only now, at ride height, to the torque that the maker says.",
    "Read the heights, left and right, in the load state named; note what differs by more than 5 mm.",
    "Press each corner through its travel: nothing rubs, hoses and cables stay loose, the stop is met before the coil closes.",
    "Set the headlamps; drive slowly, listen, and look over every fastening again after the first hundred kilometres.",
)
CAUTIONS = (
    "A spring under load injures: use a proper compressor, stand aside, never cut or heat a coil.",
    "Never open or heat a gas damper.",
    "Torques are the makers'; self-locking nuts and bolts that stretch are used once.",
    "A changed suspension may need inspection where the vehicle is used; brakes, steering and lamps are looked over with it.",
)


def fitting_sections(file: DesignFile) -> tuple[Section, ...]:
    """A section to an axle, then the order of work."""
    sheet = sized(file)
    axles = [_axle(sheet, axle, i) for i, axle in enumerate(file.design.axles)]
    work = Section("Order of work", "", tuple(f"{k}  {said}" for k, said in enumerate(STEPS, start=1)), (), CAUTIONS)
    return (*axles, work)


def fitting_pdf(file: DesignFile) -> bytes:
    """The fitting sheet typeset: one page where the axles are two."""
    sheet = sized(file)
    data = {
        **heading(sheet),
        "estimated": f"Not to be fitted by yet: {sheet.estimated}." if sheet.estimated else "", "sections": [asdict(one) for one in fitting_sections(file)],
    }  # fmt: skip
    return compiled(data, {}, "fitting.typ")


def _axle(sheet: Sheet, axle: Axle, i: int) -> Section:
    spring, need = sheet.springs[i], sheet.springs[i].need
    record, rest = spring.record, next(one for one in sheet.rests if one.name == sheet.design_state).axles[i]
    rows: list[tuple[str, str, str, str]] = []

    def add(what: str, due: str) -> None:
        rows.append((what, due, BLANK, BLANK if axle.wheels == 2 else ""))

    label = spring.fitted.label or (record.kind if record else "spring")
    add("spring", f"{label}, {show(spring.fitted.rate, 'rate')}")
    if record is not None and record.coil is not None:
        coil = record.coil
        add("free length", show(coil.free_length, "length"))
        add("spacer under it", show(coil.spacer, "length") if coil.spacer else "none")
        add("between its seats at ride", show(need.ride_length, "length"))
        add("length under load at ride", show(need.ride_length - coil.spacer, "length"))
    if axle.ride_height is not None:
        add("frame above ground", show(axle.ride_height, "length"))
    if rest.wheel_loads:
        add("load on the wheel", show(sum(rest.wheel_loads) / len(rest.wheel_loads), "mass"))
    add("from ride until the bump stop touches", show(axle.travel.bump, "length"))
    add("from ride to full droop", show(axle.travel.droop, "length"))
    if axle.damper is not None and axle.damper.length is not None:
        add("damper, eye to eye at ride", show(axle.damper.length, "length"))
    if (
        axle.damper is not None
        and axle.damper.extended_length is not None
        and axle.damper.compressed_length is not None
    ):
        add(
            "damper, out and in",
            f"{show(axle.damper.extended_length, 'length')}, {show(axle.damper.compressed_length, 'length')}",
        )
    if axle.tyre.pressure is not None:
        add("tyre pressure", show(axle.tyre.pressure, "pressure"))
    add("torque of each fastening", "as the maker says")
    head = ("", "due", "left", "right" if axle.wheels == 2 else "")
    table = Table(f"The {axle.name} axle, in {sheet.design_state}", head, tuple(rows), "llll")
    return Section(f"{axle.name} axle", "", (), (table,))
