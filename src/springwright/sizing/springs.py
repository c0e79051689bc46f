"""The real springs of one axle: the builder's own checked, coils designed, a catalogue ranked, and what to order."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from springwright.errors import FieldFault, NoneFitsError, UnsolvedError
from springwright.parts.catalogue import Catalogue, CatalogueSpring
from springwright.parts.coil_check import CoilCheck, CoilDesigns, check
from springwright.parts.coil_check import design as design_coil
from springwright.parts.law import Law, LinearLaw, SpringNeed
from springwright.parts.plain_coil import CoilOrder, PlainCoil
from springwright.parts.record import PartRecord, SpringPart, record_of
from springwright.parts.supply import to_settle
from springwright.parts.wire import Wire, wire
from springwright.results import KEPT, Result, si
from springwright.sizing.choose import Band, Candidate, fitted_law, rank
from springwright.sizing.rates import AxleRates, frequency_of, spring_load, spring_need
from springwright.units import show, show_some
from springwright.vehicle.axle import Axle
from springwright.vehicle.curves import mean_ratio


@dataclass(frozen=True)
class FittedSpring(Result):
    """The spring an axle is taken to have when the load states are worked out."""

    origin: str
    label: str
    rate: float = si("N/m")
    free_length: float = si("m")
    spacer: float = si("m", 0.0)
    force_at_zero_travel: float = si("N", 0.0)
    frequency: float = si("Hz", 0.0)
    solid_length: float | None = si("m", None)


@dataclass(frozen=True)
class AxleSprings(Result):
    """Springs for one axle: what is needed, what was checked, designed and found, and which is fitted.

    `none_because` says why no part of the kind asked for could be worked out, so that the ideal spring stands for it.
    """

    axle: str
    need: SpringNeed
    fitted: FittedSpring
    law: Law = field(metadata=KEPT)
    record: PartRecord | None = None
    checked: CoilCheck | None = None
    designs: CoilDesigns | None = None
    candidates: tuple[Candidate, ...] = ()
    catalogue_size: int = 0
    part: SpringPart | None = field(default=None, metadata=KEPT)
    none_because: str = ""
    helpers: tuple[PartRecord, ...] = ()


def own_spring(axle: Axle, catalogue: Catalogue) -> FittedSpring | None:
    """The spring the builder named, checked to be pressed but not solid at ride height."""
    mount = axle.spring
    if mount.existing is not None:
        existing = mount.existing
        return _placed(
            axle,
            "existing",
            "the existing spring",
            existing.rate,
            existing.free_length,
            existing.spacer,
            existing.solid_length,
            ("spring", "existing"),
        )
    if mount.coil is not None:
        coil, grade = mount.coil, _grade(mount.coil.grade, ("spring", "coil", "grade"))
        try:
            done = check(
                grade,
                coil.wire,
                coil.mean,
                coil.active_coils,
                coil.free_length,
                coil.ends,
                SpringNeed(1.0, 1.0, 0.1, 0.1, 0.1, 0.1),
                coil.total_coils,
            )
        except UnsolvedError as error:
            raise FieldFault(("spring", "coil", "wire"), str(error)) from None
        return _placed(
            axle, "coil", "the coil given", done.rate, coil.free_length, 0.0, done.solid_length, ("spring", "coil")
        )
    if mount.part is not None:
        row = catalogue.named(mount.part)
        if row is None:
            near = ", ".join(one.part for one in catalogue[:8])
            raise FieldFault(
                ("spring", "part"),
                f"is not in the catalogue; it begins with {near}"
                if near
                else 'no catalogue was named; add catalogue = "FILE.csv"',
            )
        need = mount.rest_length
        spacer = min(
            max(1.02 * need - row.free_length, 0.0), mount.largest_spacer
        )  # a first guess; the ranking finds the right one
        return _placed(
            axle, "catalogue", row.part, row.rate, row.free_length, spacer, row.solid_length, ("spring", "part")
        )
    return None


def law_there(axle: Axle, load: float, catalogue: Catalogue) -> Law:
    """The law of the spring the builder named, where there is no target to work to [kg]."""
    if axle.spring.made is not None:
        carried = LinearLaw(0.0, spring_load(axle, load))
        return in_place(axle, axle.spring.made, spring_need(axle, carried, loaded_at_droop=False))[1]
    own = own_spring(axle, catalogue)
    assert own is not None
    return _law_of(axle, own)


def own_law(axle: Axle, load: float, law: Law, catalogue: Catalogue) -> Law:
    """The law of the spring an axle with a target names, as `springs_for` fits it; the ideal one, `law`, where it names none [kg]."""
    if axle.spring.made is not None:
        return in_place(axle, axle.spring.made, spring_need(axle, law, loaded_at_droop=False))[1]
    own = own_spring(axle, catalogue)
    if own is None or own.origin != "catalogue":
        return law if own is None else _law_of(axle, own)
    at = next(i for i, part in enumerate(catalogue.texts["part"]) if part == axle.spring.part)
    need = spring_need(axle, law, loaded_at_droop=False)
    return _law_of(axle, _on_its_spacer(axle, rank(axle, load, need, 1.0, catalogue.picked([at]), None)[0]))


def _on_its_spacer(axle: Axle, one: Candidate) -> FittedSpring:
    row = one.spring
    return _placed(
        axle, "catalogue", row.part, row.rate, row.free_length, one.spacer, row.solid_length, ("spring", "part")
    )


def _placed(
    axle: Axle, origin: str, label: str, rate: float, free: float, spacer: float, solid: float | None, path: tuple[str, ...]
) -> FittedSpring:  # fmt: skip
    room = axle.spring.rest_length - spacer
    if free <= room:
        raise FieldFault(
            path,
            f"free length {show(free, 'length')} is no longer than the {show(room, 'length')} between its seats at zero travel: it would be slack",
        )
    if solid is not None and room <= solid:
        raise FieldFault(
            path,
            f"in coil bind at ride height: solid length {show(solid, 'length')}, {show(room, 'length')} between its seats; use a shorter spring or move a seat",
        )
    law = fitted_law(axle, free, rate, spacer, solid)
    return FittedSpring(origin, label, rate, free, spacer, law.force, solid_length=solid)


def _law_of(axle: Axle, fitted: FittedSpring) -> Law:
    """The law of a fitted coil; the ideal one, which is no real spring, has no solid length."""
    if fitted.origin == "ideal":
        return LinearLaw(fitted.rate, fitted.force_at_zero_travel)
    return fitted_law(axle, fitted.free_length, fitted.rate, fitted.spacer, fitted.solid_length)


def _grade(name: str, path: tuple[str, ...]) -> Wire:
    try:
        return wire(name)
    except UnsolvedError as error:
        raise FieldFault(path, str(error)) from None


def springs_for(
    axle: Axle, load: float, law: Law, rates: AxleRates, band: Band | None, catalogue: Catalogue, *, loaded_at_droop: bool, worked: float = 0.0
) -> AxleSprings:  # fmt: skip
    """Springs for one axle: the need, the builder's own held against it, coils to be made, the catalogue ranked, and an order.

    Parameters
    ----------
    load : float
        Design load on the axle [kg].
    law : Law
        The ideal spring, or the builder's own where there is no target.
    band : Band, optional
        The axle's window.
    worked : float
        Time of the duty cycle [s]; nought where there is none.

    """
    strokes = worked * rates.frequency_on_springs or None
    need = spring_need(axle, law, loaded_at_droop=loaded_at_droop, strokes=strokes)
    if axle.spring.made is not None:
        return _other_kind(axle, axle.spring.made, load, law, need, rates)
    _grade(axle.spring.grade, ("spring", "grade"))
    designs = design_coil(axle.spring.grade, need, axle.spring.ends)
    candidates = rank(axle, load, need, rates.frequency_on_springs, catalogue, band)
    own = own_spring(axle, catalogue)
    if own is not None and own.origin == "catalogue":
        own = _on_its_spacer(axle, next(one for one in candidates if one.spring.part == own.label))
    fitted = own or _best(axle, law, designs, candidates)
    checked = None
    if axle.spring.coil is not None:
        coil = axle.spring.coil
        whole = replace(need, rate=fitted.rate, ride_force=fitted.force_at_zero_travel)
        checked = check(
            _grade(coil.grade, ("spring", "coil", "grade")), coil.wire, coil.mean, coil.active_coils, coil.free_length, coil.ends, whole,
            coil.total_coils, coil.solid_shear,
        )  # fmt: skip
    fitted = replace(fitted, frequency=frequency_of(axle, load, LinearLaw(fitted.rate, law.force)))
    made = checked or (designs.found[0] if fitted.origin == "designed" else None)
    misfits = _misfits(axle, need, fitted, rates, candidates)
    row = next(
        (one.spring for one in candidates if fitted.origin == "catalogue" and one.spring.part == fitted.label), None
    )
    law_fitted = _law_of(axle, fitted)
    found = AxleSprings(axle.name, need, fitted, law_fitted, None, checked, designs, candidates, len(catalogue))
    if fitted.origin == "ideal":
        return found
    part = _plain(axle, fitted, made, row)
    record = record_of(part, axle.name, part.order.quantity, need, law_fitted)
    settled = to_settle(axle.spring.supply, "coil", _endurance(axle))
    return replace(found, part=part, record=replace(record, misfits=misfits, to_settle=settled))


def _endurance(axle: Axle) -> str:
    """The strokes that a coil is to last, in words: what its fatigue check goes by."""
    share, ratio = axle.spring.fatigue_share, abs(mean_ratio(axle))
    up, down = (show(share * ratio * way, "length") for way in (axle.travel.bump, axle.travel.droop))
    return f"a million strokes from {up} shorter to {down} longer than at ride"


def _plain(axle: Axle, fitted: FittedSpring, made: CoilCheck | None, row: CatalogueSpring | None) -> PlainCoil:
    """A fitted coil as a part, with what its axle adds to the order."""
    mount = axle.spring
    order = CoilOrder(
        axle.wheels * mount.per_wheel, mount.rate_tolerance, mount.load_tolerance, mount.free_length_tolerance, _on_the_right(axle)
    )  # fmt: skip
    return PlainCoil(
        label=fitted.label,
        existing=fitted.origin == "existing",
        rate=fitted.rate,
        free_length=fitted.free_length,
        spacer=fitted.spacer,
        solid_length=mount.existing.solid_length if mount.existing else fitted.solid_length,
        made=made,
        row=row,
        order=order,
    )


def _on_the_right(axle: Axle) -> tuple[str, ...]:
    """What the right spring has of its own."""
    other = axle.spring.right
    if other is None:
        return ()
    said = (
        [f"{show(abs(other.spacer), 'length')} {'more' if other.spacer > 0 else 'less'} of spacer"]
        if other.spacer
        else []
    )
    said += [f"rate {show(other.rate, 'rate')}"] if other.rate else []
    said += [f"free length {show(other.free_length, 'length')}"] if other.free_length else []
    return (f"told of the left spring; the right one has {', '.join(said)}",) if said else ()


def _other_kind(
    axle: Axle, part: SpringPart, load: float, ideal: Law, need: SpringNeed, rates: AxleRates
) -> AxleSprings:
    """A spring that is no plain coil: what was left out worked out, its law, and its record; the ideal one where none can be worked out."""
    try:
        whole, law = in_place(axle, part, need)
    except NoneFitsError as fault:
        if axle.target is None:
            raise
        name = f"no {part.kind} found; the ideal one"
        fitted = FittedSpring("ideal", name, ideal.rate, 0.0, 0.0, ideal.force, frequency_of(axle, load, ideal))
        return AxleSprings(axle.name, need, fitted, ideal, none_because=fault.message)
    name = f"{part.kind}" + ("" if part.complete else ", calculated")
    fitted = FittedSpring(
        "given" if part.complete else "designed", name, law.rate, 0.0, 0.0, law.force, frequency_of(axle, load, law)
    )
    record = record_of(whole, axle.name, axle.wheels * axle.spring.per_wheel, need, law)
    found = {getattr(whole, name) for name in type(part).model_fields if getattr(part, name) is None} - {None}
    marked = tuple(replace(one, found=one.found or one.value in found) for one in record.dimensions)
    misfits = _off_target(axle, need, fitted, rates) if part.complete else ()
    record = replace(record, dimensions=marked, misfits=misfits)
    return AxleSprings(axle.name, need, fitted, law, record, part=whole)


def in_place(axle: Axle, part: SpringPart, need: SpringNeed) -> tuple[SpringPart, Law]:
    """The whole part and its law, refused where the travel asks more of it than it can give.

    Raises
    ------
    FieldFault
        Full bump or full droop lies outside the part's usable range.

    """
    whole = part.sized(need)
    law = whole.law(need)
    field = axle.spring.own_field
    assert field is not None
    for asked, end, what in ((need.bump, law.most, "pressed"), (need.droop, -law.least, "let out")):
        if asked > end + 1e-9:
            raise FieldFault(
                ("spring", field),
                f"the travel asks for the {part.kind} to be {what} {show(asked, 'length')} from zero travel, and it can only be {show(max(end, 0.0), 'length')}; shorten the travel or take a longer part",
            )
    return whole, law


def _misfits(
    axle: Axle, need: SpringNeed, fitted: FittedSpring, rates: AxleRates, candidates: tuple[Candidate, ...]
) -> tuple[str, ...]:
    """Why a spring the builder named does not do what the axle asks, in words; a catalogue spring's own reasons."""
    if fitted.origin == "catalogue":
        return next(one.reasons for one in candidates if one.spring.part == fitted.label)
    if fitted.origin not in ("existing", "coil"):
        return ()
    said = list(_off_target(axle, need, fitted, rates))
    solid = axle.spring.existing.solid_length if axle.spring.existing else None
    if solid is not None and need.bump_length - fitted.spacer < solid:
        said.append(f"goes solid {show_some(solid + fitted.spacer - need.bump_length, 'length')} short of full bump")
    slack = need.droop_length - fitted.spacer - fitted.free_length
    if fitted.origin == "existing" and need.loaded_at_droop and slack > 0:
        said.append(f"unseats by {show_some(slack, 'length')} at full droop")
    return tuple(said)


def _off_target(axle: Axle, need: SpringNeed, fitted: FittedSpring, rates: AxleRates) -> tuple[str, ...]:
    """How a spring that is given misses the target, in words: frequency and height."""
    if axle.target is None:
        return ()
    said = []
    off = fitted.frequency / rates.frequency_on_springs - 1
    if abs(off) > axle.target.tolerance:
        said.append(
            f"rides at {show(fitted.frequency, 'frequency')}, {abs(off):.0%} too {'stiff' if off > 0 else 'soft'}"
        )
    low = (need.ride_force - fitted.force_at_zero_travel) / fitted.rate / rates.motion_ratio
    if abs(low) > axle.target.height_tolerance:
        said.append(f"stands {show(abs(low), 'length')} too {'low' if low > 0 else 'high'}")
    return tuple(said)


def _best(axle: Axle, law: Law, designs: CoilDesigns, candidates: tuple[Candidate, ...]) -> FittedSpring:
    """The first of the catalogue that would do, else the lightest coil to have made, else the ideal spring."""
    rest = axle.spring.rest_length
    if candidates and candidates[0].rank == 1:
        first = candidates[0]
        row = first.spring
        placed = fitted_law(axle, row.free_length, row.rate, first.spacer, row.solid_length)
        return FittedSpring(
            "catalogue", row.part, row.rate, row.free_length, first.spacer, placed.force, solid_length=row.solid_length
        )
    if designs.found:
        first_made = designs.found[0]
        placed = fitted_law(axle, first_made.free_length, first_made.rate, 0.0, first_made.solid_length)
        return FittedSpring(
            "designed",
            f"{show(first_made.wire, 'length', 0 if round(1e4 * first_made.wire) % 10 == 0 else 1)} coil to be made",
            first_made.rate,
            first_made.free_length,
            0.0,
            placed.force,
            solid_length=first_made.solid_length,
        )
    return FittedSpring(
        "ideal", "no real spring found; the ideal one", law.rate, rest + law.force / law.rate, 0.0, law.force
    )
