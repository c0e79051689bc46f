"""What a sizing says, in the order of the job: sections of sentences and small tables, every figure already a text.

The terminal, the page and the typeset sheet all print this one content, in the display system in force.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from springwright.parts.coil_check import CoilCheck
from springwright.results import Judged
from springwright.sizing.choose import Candidate
from springwright.sizing.order import Order
from springwright.sizing.springs import AxleSprings
from springwright.studies.sheet import Sheet
from springwright.studies.window import SOFTEST, STIFFEST
from springwright.units import number, plain, show, unit_of

MOTION_RATIO = "motion ratio = spring travel / wheel travel"


@dataclass(frozen=True)
class Table:
    """A small table: `align` has l or r for each column; `strong` is the row that stands out."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str
    strong: int | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.rows and {len(row) for row in self.rows} | {len(self.align)} != {len(self.head)}:
            raise ValueError(f"{self.caption}: rows and alignment must have a cell for each of {self.head}")


@dataclass(frozen=True)
class Section:
    """One step of the job: a verb, sentences, tables."""

    verb: str
    question: str
    says: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    figures: tuple[str, ...] = field(default=())


def sections(sheet: Sheet) -> tuple[Section, ...]:
    """The whole sizing, overloads first."""
    return (*_overloads(sheet), _weigh(sheet), _aim(sheet), _place(sheet), _spring(sheet), _damp(sheet), _rest(sheet))


def _overloads(sheet: Sheet) -> tuple[Section, ...]:
    over = [one for one in sheet.ratings if one.word == "not met"]
    if not over:
        return ()
    says = tuple(f"Overloaded: {judged_sentence(one)}." for one in over)
    return (Section("First", "What may not stand as it is?", says),)


def judged_sentence(one: Judged) -> str:
    """A judgement in words: measure, figure, limit, state, word."""
    unit = unit_of(one.kind)
    decimals = 2 if one.kind == "ratio" else None
    figure = number(one.value, one.kind, decimals)
    limit = number(one.limit, one.kind, decimals)
    where = f" in {one.where}" if one.where else ""
    if one.limit is None or one.value is None:
        return f"{one.measure} {figure} {unit}, no limit given{where}: not known".replace("  ", " ")
    return f"{one.measure} {figure}, {one.sense} {limit} {unit}".rstrip() + f"{where}: {one.word}"


def _weigh(sheet: Sheet) -> Section:
    axles = [rate.name for rate in sheet.rates]
    says = [f"At kerb {show(sheet.kerb.mass, 'mass')}, centre of gravity {_place_of(sheet.kerb.cg)}."]
    if sheet.kerb.cg_height_scatter is not None:
        says.append(
            f"The raised weighings {'agree on its height within' if sheet.kerb.cg_height_scatter < 0.05 * sheet.kerb.cg[2] else 'DISAGREE on its height by'} {show(sheet.kerb.cg_height_scatter, 'length')}."
        )
    if sheet.kerb.cross_weight is not None:
        says.append(
            f"Cross weight (front left and rear right) {sheet.kerb.cross_weight:.1%} of the whole; 50 % is even."
        )
    length, mass = unit_of("length"), unit_of("mass")
    rows = []
    for state, rest in zip(sheet.states, sheet.rests, strict=True):
        loads = [number(axle.load, "mass") for axle in rest.axles]
        hitch = [number(rest.hitch_load, "mass")] if rest.hitch_load is not None else []
        x, y, z = state.cg
        rows.append(
            (state.name, *loads, *hitch, number(state.mass, "mass"), number(-x, "length"), number(y, "length"), number(z, "length"), number(state.sprung_mass, "mass"))
        )  # fmt: skip
    hitched = ["hitch"] if sheet.rests[0].hitch_load is not None else []
    head = (
        "",
        *(f"{name} {mass}" for name in [*axles, *hitched, "total"]),
        f"CG behind front {length}",
        f"CG left {length}",
        f"CG up {length}",
        f"sprung {mass}",
    )
    names = [state.name for state in sheet.states]
    tables = [
        Table(
            "States it runs in",
            head,
            tuple(rows),
            "l" + "r" * (len(head) - 1),
            names.index(sheet.design_state),
            f"Geometry and targets hold in {sheet.design_state}.",
        )
    ]
    tables.append(_wheel_loads(sheet))
    if sheet.ratings:
        rated = tuple(
            (
                one.measure,
                number(one.value, one.kind),
                number(one.limit, one.kind),
                unit_of(one.kind),
                one.where,
                one.word,
            )
            for one in sheet.ratings
        )
        tables.append(Table("Held against ratings", ("", "most", "rating", "", "in state", ""), rated, "lrrlll"))
    return Section("Weigh", "What is it, in every state it runs in?", tuple(says), tuple(tables))


def _wheel_loads(sheet: Sheet) -> Table:
    rows = []
    for rest in sheet.rests:
        for i, axle in enumerate(rest.axles):
            loads = axle.wheel_loads if len(axle.wheel_loads) == 2 else (*axle.wheel_loads, None)
            inertia = sheet.states[sheet.rests.index(rest)]
            extra = (
                (number(inertia.pitch_inertia, "inertia"), number(inertia.roll_inertia, "inertia"))
                if i == 0
                else ("", "")
            )
            rows.append((rest.name if i == 0 else "", axle.name, *(number(load, "mass") for load in loads), *extra))
    mass, inertia_unit = unit_of("mass"), unit_of("inertia")
    head = (
        "",
        "axle",
        f"left {mass}",
        f"right {mass}",
        f"pitch inertia {inertia_unit}",
        f"roll inertia {inertia_unit}",
    )
    note = "Wheel loads from equilibrium on the springs named below, equal left and right; inertias of the sprung body about its own centre of gravity."
    if sheet.kerb.wheel_loads is not None:
        read = ", ".join(number(load, "mass") for load in sheet.kerb.wheel_loads)
        note += f" The scales read {read} {mass} at kerb, left before right: what differs is cross weight, which new springs set afresh."
    return Table("Wheel loads and inertias", head, tuple(rows), "llrrrr", note=note)


def _aim(sheet: Sheet) -> Section:
    rows = tuple(
        (
            rate.name, number(rate.frequency, "frequency"), rate.basis, number(rate.frequency_on_springs, "frequency"),
            number(rate.frequency_with_tyre, "frequency"), number(rate.frequency_of_total_mass, "frequency"),
            _window_text(window.softest, window.stiffest), "inside" if window.holds_target else "outside",
        )
        for rate, window in zip(sheet.rates, sheet.windows, strict=True)
    )  # fmt: skip
    head = ("", "aim Hz", "basis", "on springs Hz", "with tyre Hz", "total mass Hz", "window Hz", "aim is")
    table = Table("Ride frequency", head, rows, "lrlrrrll", note="The window is on the springs alone and sprung mass.")
    needs = []
    for window in sheet.windows:
        for one in window.requirements:
            decimals = 2 if one.kind == "ratio" else None
            allowed = (
                "not known" if one.limit is None else " and ".join(_window_text(a, b) for a, b in one.allowed) or "none"
            )
            limit = one.note if one.limit is None else f"{one.sense} {show(one.limit, one.kind, decimals)}"
            needs.append(
                (
                    window.axle,
                    one.name,
                    limit,
                    one.source if one.limit is not None else "",
                    "–" if one.value is None else show(one.value, one.kind, decimals),
                    one.where,
                    allowed,
                )
            )
    requirements = Table(
        "What the window is made of",
        ("", "requirement", "limit", "whose", "now", "governed by", "allows Hz"),
        tuple(needs),
        "llllrll",
    )
    bands = "Bands beside a target: wheeled off-road vehicles about 0.6 to 1.6 Hz (common practice, no source); passenger cars 0.5 to 1.5, competition saloons 1.5 to 2.0 Hz (Giaraffa, Springs & Dampers Tech Tip 1)."
    return Section(
        "Aim",
        "How should it ride?",
        tuple(_capital(window.sentence) for window in sheet.windows),
        (table, requirements),
        figures=(bands,),
    )


def _place(sheet: Sheet) -> Section:
    rate = unit_of("rate")
    rows = tuple(
        (
            one.name, number(one.sprung_load, "force"), number(one.wheel_rate, "rate"), number(one.motion_ratio, "ratio"),
            number(one.motion_ratio_slope, "per length"), number(one.geometric_term, "rate"), number(one.spring_force, "force"), number(one.spring_rate, "rate"),
        )
        for one in sheet.rates
    )  # fmt: skip
    force = unit_of("force")
    head = (
        "",
        f"sprung load, a wheel {force}",
        f"wheel rate {rate}",
        "motion ratio",
        f"its change {unit_of('per length')}",
        f"geometric term {rate}",
        f"spring force {force}",
        f"spring rate {rate}",
    )
    chain = Table(
        "From the wheel to the spring",
        head,
        rows,
        "lrrrrrrr",
        note=f"Design state; {MOTION_RATIO}; force and rate are each spring's.",
    )
    other = tuple(
        (
            one.name, number(one.ride_rate, "rate"), number(one.roll_wheel_rate, "rate"), number(one.one_wheel_rate, "rate"), number(one.roll_stiffness, "roll rate"),
            number(one.bar_roll_stiffness, "roll rate"), number(one.static_deflection, "length"), number(one.hop_frequency, "frequency", 1),
            number(one.travel_needed, "length"), number(one.load_factor, "ratio", 2),
        )
        for one in sheet.rates
    )  # fmt: skip
    roll, length = unit_of("roll rate"), unit_of("length")
    below = (
        "",
        f"ride rate {rate}",
        f"in roll {rate}",
        f"one wheel {rate}",
        f"roll, springs {roll}",
        f"roll, bar {roll}",
        f"deflection {length}",
        "hop Hz",
        f"bump needed {length}",
        "load factor at stop",
    )
    factor = plain(sheet.rates[0].load_factor_wanted, 2)
    wheel = Table(
        "What follows at the wheel",
        below,
        other,
        "l" + "r" * 9,
        note=f"Bump needed for a load factor of {factor} on a straight-line spring.",
    )
    return Section("Place", "How do the wheels act on the springs?", (), (chain, wheel))


def _spring(sheet: Sheet) -> Section:
    says = []
    tables: list[Table] = []
    for one in sheet.springs:
        spacer = f", {show(one.fitted.spacer, 'length')} of spacer" if one.fitted.spacer else ""
        says.append(
            f"{_capital(one.axle)}: {one.fitted.label}, {show(one.fitted.rate, 'rate')}, "
            f"rides at {show(one.fitted.frequency, 'frequency')}{spacer}."
        )
        says += failures(one.order)
        tables += _of_axle(one)
    return Section("Spring", "Which coil does that, and who makes it?", tuple(says), tuple(tables))


def failures(order: Order | None) -> list[str]:
    """What a spring to be ordered does not meet, in sentences."""
    if order is None:
        return []
    word = "It does not fit as it is" if order.origin == "owned" else "Do not order it as it is"
    return [f"{word}: {said}." for said in (*order.misfits, *(judged_sentence(one) for one in order.failed))]


def _of_axle(one: AxleSprings) -> list[Table]:
    tables = []
    if one.order:
        tables.append(order_table(one.order))
    if one.checked:
        rows = tuple(judged_row(judged) for judged in one.checked.judged)
        tables.append(_figures_of(one.checked, one.axle))
        tables.append(
            Table(
                f"{_capital(one.axle)}: the coil given, held against what the axle asks",
                ("", "figure", "limit", "", ""),
                rows,
                "lrrll",
            )
        )
    if one.designs and one.designs.found:
        rows = tuple(
            (
                number(coil.wire, "length", 1), number(coil.mean_diameter, "length", 1), plain(coil.active_coils, 2), number(coil.free_length, "length", 1),
                number(coil.solid_length, "length"), number(coil.rate, "rate"), number(coil.positions[-1].stress, "stress"), plain(coil.fatigue_factor, 2), number(coil.mass, "mass", 1),
            )
            for coil in one.designs.found
        )  # fmt: skip
        length = unit_of("length")
        head = (
            f"wire {length}",
            f"mean {length}",
            "active",
            f"free {length}",
            f"solid {length}",
            f"rate {unit_of('rate')}",
            f"solid stress {unit_of('stress')}",
            "endless strokes",
            f"mass {unit_of('mass')}",
        )
        made = one.designs.found[0]
        note = f"{made.grade}, {made.made}, {made.ends}; lightest of each wire out of {plain(one.designs.tried, 0)} coils looked at. Endless strokes: factor of safety."
        tables.append(
            Table(f"{_capital(one.axle)}: coils to have made, lightest first", head, rows, "r" * 9, note=note)
        )
    elif one.designs:
        tables.append(
            Table(
                f"{_capital(one.axle)}: coils to have made", (), (), "", note=_capital(one.designs.none_because) + "."
            )
        )
    if one.candidates:
        tables.append(_catalogue_table(one))
    return tables


def _figures_of(coil: CoilCheck, axle: str) -> Table:
    """What a coil given comes to."""
    rows = (
        ("rate", show(coil.rate, "rate"), "solid length", show(coil.solid_length, "length", 1)),
        ("spring index", plain(coil.index, 2), "least gaps, static and dynamic", f"{show(coil.least_gaps, 'length', 1)}, {show(coil.working_gaps, 'length', 1)}"),
        ("stress correction", plain(coil.correction, 3), "growth at solid", show(coil.growth_at_solid, "length", 1)),
        ("tensile strength, least", show(coil.strength, "stress"), "first surge", show(coil.surge, "frequency", 0)),
        ("mass", show(coil.mass, "mass", 2), "mean diameter tolerance", "–" if coil.mean_diameter_tolerance is None else "± " + show(coil.mean_diameter_tolerance, "length", 1)),
    )  # fmt: skip
    corrected = "; ".join(
        f"{place.name} {show(place.corrected_stress, 'stress')}" for place in coil.positions if place.force
    )
    return Table(
        f"{_capital(axle)}: the coil given",
        ("", "", "", ""),
        rows,
        "lrlr",
        note=f"Shear with the correction: {corrected}.",
    )


def _catalogue_table(one: AxleSprings) -> Table:
    good = [candidate for candidate in one.candidates if candidate.rank is not None]
    rest = [candidate for candidate in one.candidates if candidate.rank is None]
    shown = [*good[:6], *rest[: 8 if good else 10]]
    length = unit_of("length")
    head = (
        "",
        "part",
        f"rate {unit_of('rate')}",
        f"free {length}",
        f"spacer {length}",
        f"sits {length}",
        "rides Hz",
        f"clear {length}",
        "price, axle",
        "why",
    )
    rows = tuple(candidate_row(candidate) for candidate in shown)
    left = len(one.candidates) - len(shown)
    note = f"{len(good)} of {len(one.candidates)} would do." + (
        f" {left} more are in --json and the CSV file, each with its reason." if left else ""
    )
    return Table(
        f"{_capital(one.axle)}: the catalogue, best first", head, rows, "rlrrrrrrrl", 0 if good else None, note
    )


def candidate_row(one: Candidate) -> tuple[str, ...]:
    """One catalogue spring as a row: rank, part, figures, and why it is in or out."""
    spring = one.spring
    sits = number(one.height_error, "length", 1)
    why = (
        "; ".join(one.reasons)
        if one.reasons
        else (
            "fits"
            if abs(one.off_target or 0) < 0.005
            else f"fits; {abs(one.off_target or 0):.1%} {'stiffer' if (one.off_target or 0) > 0 else 'softer'} than wanted"
        )
    )
    return (
        "" if one.rank is None else str(one.rank), spring.part, number(spring.rate, "rate"), number(spring.free_length, "length"), number(one.spacer, "length"),
        f"+{sits}" if one.height_error > 0 and any(c in sits for c in "123456789") else sits, number(one.frequency, "frequency"), number(one.clearance_at_bump, "length"),
        "–" if one.axle_price is None else f"{one.axle_price:.0f} {spring.currency}".strip(),
        ("left out: " if one.reasons else "") + why + (f" ({one.remark})" if one.remark and not one.reasons else ""),
    )  # fmt: skip


def judged_row(one: Judged) -> tuple[str, ...]:
    """One judgement as a row: measure, figure, limit, unit, word."""
    decimals = 2 if one.kind == "ratio" else None
    figure = "never" if one.value == float("inf") else number(one.value, one.kind, decimals)
    limit = "–" if one.limit is None else f"{one.sense} {number(one.limit, one.kind, decimals)}"
    return (one.measure, figure, limit, unit_of(one.kind), one.word)


def order_table(order: Order) -> Table:
    """Loads and lengths of a spring to order."""
    length, force, stress = unit_of("length"), unit_of("force"), unit_of("stress")
    rows = tuple(
        (point.name, number(point.length, "length", 1), number(point.force, "force"), number(point.stress, "stress"))
        for point in order.points
    )
    strong = next(i for i, point in enumerate(order.points) if point.name == "ride")
    return Table(
        f"{_capital(order.axle)}: {order.label}, loads and lengths",
        ("", f"length {length}", f"load {force}", f"shear {stress}"),
        rows,
        "lrrr",
        strong,
        "Shear without the correction for curvature.",
    )


def _damp(sheet: Sheet) -> Section:
    rows = tuple(
        (
            one.name, number(found.damping_ratio, "ratio", 2), number(found.wheel, "damping"), number(found.wheel_bump, "damping"), number(found.wheel_rebound, "damping"),
            number(found.motion_ratio, "ratio"), number(found.damper, "damping"), number(found.bump, "damping"), number(found.rebound, "damping"),
        )
        for one in sheet.rates
        if (found := one.damping)
    )  # fmt: skip
    if not rows:
        return Section("Damp", "How is it calmed?", ("No damping ratio was asked for.",))
    unit = unit_of("damping")
    head = ("", "ratio", f"wheel {unit}", "bump", "rebound", "motion ratio", f"damper {unit}", "bump", "rebound")
    note = "Damping ratio on wheel rate and sprung mass, design state; motion ratio = damper travel / wheel travel."
    return Section(
        "Damp",
        "How is it calmed?",
        (),
        (Table("Damper rates for the ratio asked", head, rows, "l" + "r" * 8, note=note),),
    )


def _rest(sheet: Sheet) -> Section:
    length = unit_of("length")
    rows = []
    for rest in sheet.rests:
        for i, axle in enumerate(rest.axles):
            heights = axle.ride_heights or (None,)
            both = heights if len(heights) == 2 else (heights[0], None)
            rows.append(
                (
                    rest.name if i == 0 else "", axle.name, _signed(axle.rise, 1), *(number(height, "length") for height in both), _signed(sum(axle.travel) / len(axle.travel), 1),
                    number(axle.bump_left, "length"), number(axle.droop_left, "length"), number(axle.frequency_on_springs, "frequency"), number(axle.frequency_with_tyre, "frequency"),
                    number(axle.damping_ratio, "ratio", 2),
                )
            )  # fmt: skip
    head = (
        "",
        "axle",
        f"rise {length}",
        f"left {length}",
        f"right {length}",
        f"travel {length}",
        f"bump to go {length}",
        f"droop to go {length}",
        "on springs Hz",
        "with tyre Hz",
        "damping",
    )
    springs = "; ".join(f"{one.axle} {one.fitted.label}" for one in sheet.springs)
    at_rest = Table(
        "At rest on level ground",
        head,
        tuple(rows),
        "llrrrrrrrrr",
        note=f"Rise from the design position; left and right are ride heights; springs: {springs}.",
    )
    motions = []
    for rest in sheet.rests:
        words = {mode.name: mode for mode in rest.modes}
        bounce, pitch, roll = words.get("bounce"), words.get("pitch"), words.get("roll")
        hops = [mode for mode in rest.modes if mode.name.startswith("hop")]
        motions.append(
            (
                rest.name, number(rest.pitch, "angle"), number(rest.roll, "angle"), *(number(m.frequency if m else None, "frequency") for m in (bounce, pitch, roll)),
                *(number(-m.node if m and m.node is not None else None, "length") for m in (bounce, pitch)), " ".join(number(hop.frequency, "frequency", 1) for hop in hops),
            )
        )  # fmt: skip
    below = (
        "",
        "pitch deg",
        "roll deg",
        "bounce Hz",
        "pitch Hz",
        "roll Hz",
        f"bounce node {length}",
        f"pitch node {length}",
        "hops Hz",
    )
    modes = Table(
        "Attitude and natural motions",
        below,
        tuple(motions),
        "lrrrrrrrr",
        note="Pitch is positive nose down, roll right side down. Nodes are measured behind the front axle. Undamped, tyres included.",
    )
    return Section("Rest", "Where does it stand, and how does it ride there?", (), (at_rest, modes))


def _place_of(cg: Sequence[float]) -> str:
    side = "" if abs(cg[1]) < 5e-4 else f", {show(abs(cg[1]), 'length')} to the {'left' if cg[1] > 0 else 'right'}"
    return f"{show(-cg[0], 'length')} behind the front axle{side}, {show(cg[2], 'length')} up"


def _window_text(low: float | None, high: float | None) -> str:
    if low is None or high is None:
        return "shut"
    if low <= SOFTEST:
        return "any" if high >= STIFFEST else f"up to {plain(high, 2)}"
    return f"{plain(low, 2)} up" if high >= STIFFEST else f"{plain(low, 2)} to {plain(high, 2)}"


def _signed(value: float, decimals: int) -> str:
    text = number(value, "length", decimals)
    return f"+{text}" if value > 0 and any(digit in text for digit in "123456789") else text


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
