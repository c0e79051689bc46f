"""What a sizing says, in the order of the job: sections of sentences and small tables, every figure already a text.

The terminal, the page and the typeset sheet all print this one content, in the display system in force.
"""

from __future__ import annotations

from collections.abc import Sequence

from springwright.drawing.svg import Drawing
from springwright.drawing.window import window_figure
from springwright.report.springs import spring_section
from springwright.report.tables import Section, Table, capital, judged_sentence, signed
from springwright.sizing.sheet import Sheet
from springwright.sizing.window import SOFTEST, STIFFEST, Window
from springwright.units import number, plain, show, unit_of

MOTION_RATIO = "motion ratio = spring travel / wheel travel"


def sections(sheet: Sheet) -> tuple[Section, ...]:
    """The whole sizing, overloads first."""
    return (
        *_overloads(sheet),
        _weigh(sheet),
        _aim(sheet),
        _place(sheet),
        spring_section(sheet),
        _damp(sheet),
        _rest(sheet),
    )


def _overloads(sheet: Sheet) -> tuple[Section, ...]:
    over = [one for one in sheet.ratings if one.word == "not met"]
    if not over:
        return ()
    says = tuple(f"Overloaded: {judged_sentence(one)}." for one in over)
    return (Section("First", "What may not stand as it is?", says),)


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
    tables += weigh_tables(sheet)
    return Section("Weigh", "What is it, in every state it runs in?", tuple(says), tuple(tables))


def weigh_tables(sheet: Sheet) -> list[Table]:
    """Wheel loads and inertias, and what is held against ratings."""
    tables = [_wheel_loads(sheet)]
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
        tables.append(
            Table("Checks against ratings and limits", ("", "most", "limit", "", "where", ""), rated, "lrrlll")
        )
    return tables


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
    requirements = requirement_table(sheet.windows)
    bands = "Bands beside a target: wheeled off-road vehicles about 0.6 to 1.6 Hz (common practice, no source); passenger cars 0.5 to 1.5, competition saloons 1.5 to 2.0 Hz (Giaraffa, Springs & Dampers Tech Tip 1)."
    return Section(
        "Aim",
        "How should it ride?",
        tuple(capital(window.sentence) for window in sheet.windows),
        (table, requirements),
        figures=(bands,),
    )


def requirement_table(windows: Sequence[Window]) -> Table:
    """What each axle's window is made of."""
    needs = []
    for window in windows:
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
    head = ("", "requirement", "limit", "whose", "now", "governed by", "allows Hz")
    return Table("What the window is made of", head, tuple(needs), "llllrll")


def window_section(windows: Sequence[Window]) -> Section:
    """Every end of each window: softest and stiffest, and what each requirement allows."""
    rows = tuple(
        (
            one.axle, plain(one.target, 2), _window_text(one.softest, one.stiffest), one.bound_below, one.bound_above,
            "inside" if one.holds_target else "outside",
        )
        for one in windows
    )  # fmt: skip
    head = ("", "rides at Hz", "window Hz", "bound below by", "bound above by", "it is")
    said = Table(
        "Windows", head, rows, "lrllll", note="On the springs alone and sprung mass; the other axles as sized."
    )
    beyond = [
        f"{window.axle}, {one.name}: {one.note}"
        for window in windows
        for one in window.requirements
        if one.limit is not None and one.note
    ]
    return Section(
        "Window", "How soft may it be, and how stiff?", tuple(capital(one.sentence) for one in windows), (said, requirement_table(windows)), tuple(beyond)
    )  # fmt: skip


def window_figures(windows: Sequence[Window]) -> Drawing:
    """The windows of all axles, one under another."""
    each = [window_figure(one) for one in windows]
    whole = Drawing(max(one.width for one in each), sum(one.height for one in each), "Windows of ride frequency")
    top = 0.0
    for one in each:
        whole.place(one, 0.0, top)
        top += one.height
    return whole


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
        f"progression {unit_of('per length')}",
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
            number(one.travel_needed, "length"), number(one.bump_load_factor, "ratio", 2),
        )
        for one in sheet.rates
    )  # fmt: skip
    roll, length = unit_of("roll rate"), unit_of("length")
    below = (
        "",
        f"ride rate {rate}",
        f"in roll {rate}",
        f"single-wheel rate {rate}",
        f"roll, springs {roll}",
        f"roll, bar {roll}",
        f"deflection {length}",
        "hop Hz",
        f"bump needed {length}",
        "bump load factor",
    )
    factor = plain(sheet.rates[0].load_factor_wanted, 2)
    wheel = Table(
        "What follows at the wheel",
        below,
        other,
        "l" + "r" * 9,
        note=f"Bump needed for a bump load factor of {factor} on a straight-line spring.",
    )
    return Section("Place", "How do the wheels act on the springs?", (), (chain, wheel))


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
                    rest.name if i == 0 else "", axle.name, signed(axle.rise, 1), *(number(height, "length") for height in both), signed(sum(axle.travel) / len(axle.travel), 1),
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
        words = {mode.kind: mode for mode in rest.modes}
        bounce, pitch, roll = words.get("bounce"), words.get("pitch"), words.get("roll")
        hops = [mode for mode in rest.modes if mode.kind == "hop"]
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
        f"bounce motion centre {length}",
        f"pitch motion centre {length}",
        "hops Hz",
    )
    modes = Table(
        "Attitude and natural motions",
        below,
        tuple(motions),
        "lrrrrrrrr",
        note="Pitch is positive nose down, roll right side down. Motion centres are measured behind the front axle. Undamped, tyres included.",
    )
    return Section("Rest", "Where does it stand, and how does it ride there?", (), (at_rest, modes))


def _place_of(cg: Sequence[float]) -> str:
    side = "" if abs(cg[1]) < 5e-4 else f", {show(abs(cg[1]), 'length')} to the {'left' if cg[1] > 0 else 'right'}"
    return f"{show(-cg[0], 'length')} behind the front axle{side}, {show(cg[2], 'length')} up"


def _window_text(low: float | None, high: float | None) -> str:
    if low is None or high is None:
        return "none"
    if low <= SOFTEST:
        return "any" if high >= STIFFEST else f"up to {plain(high, 2)}"
    return f"{plain(low, 2)} up" if high >= STIFFEST else f"{plain(low, 2)} to {plain(high, 2)}"
