"""Everything that is to be bought or made for a design: how many of each, from whom, for how much, and what is not decided yet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from springwright.evaluation import evaluated
from springwright.parts.catalogue import CatalogueSpring
from springwright.parts.plain_coil import PlainCoil
from springwright.parts.supply import Supply
from springwright.results import Result, si
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import Sheet
from springwright.sizing.springs import AxleSprings
from springwright.units import show
from springwright.vehicle.axle import Axle
from springwright.vehicle.faults import Location
from springwright.vehicle.file import DesignFile

NO_MAKER = "no maker yet"
WEEK = 7 * 86400.0  # s


@dataclass(frozen=True)
class OrderShape(Result):
    """What a part looks like on a list: its form, its length, its width, and a thickness or a count of turns."""

    form: str
    length: float = si("m")
    width: float = si("m", 0.0)
    thick: float = si("m", 0.0)
    turns: float = si("", 0.0)


@dataclass(frozen=True)
class OrderLine(Result):
    """One part: how many, what it is, whom it is from and what one costs; `wanted` says what keeps it from being ordered, nothing where it can be.

    `supply` is the place in the design file where maker, price and lead time are written; `workshop` parts follow from their dimensions.
    """

    axle: str
    part: str
    says: str
    quantity: int
    maker: str = ""
    called: str = ""
    price: float | None = None
    currency: str = ""
    lead_time: float | None = si("s", None)
    wanted: str = ""
    workshop: bool = False
    supply: tuple[str | int, ...] = ()
    shape: OrderShape | None = None

    @property
    def ready(self) -> bool:
        """Whether it can be ordered or made as it stands."""
        return not self.wanted

    @property
    def cost(self) -> float | None:
        """Of all of them [its currency]."""
        return None if self.price is None else self.price * self.quantity


@dataclass(frozen=True)
class OrderList(Result):
    """Every line; what is there already is not on it."""

    vehicle: str
    lines: tuple[OrderLine, ...]

    @property
    def open(self) -> tuple[OrderLine, ...]:
        """Lines that are not decided."""
        return tuple(one for one in self.lines if not one.ready)

    @property
    def totals(self) -> dict[str, float]:
        """What the lines that are ready cost [each currency]."""
        return sums(one for one in self.lines if one.ready)

    @property
    def last(self) -> OrderLine | None:
        """The ready line that takes longest to come; None where no lead time is known."""
        known = [one for one in self.lines if one.ready and one.lead_time is not None]
        return max(known, key=lambda one: one.lead_time or 0.0, default=None)


def sums(lines: Iterable[OrderLine]) -> dict[str, float]:
    """What some lines cost, of those whose price is known [each currency]."""
    found: dict[str, float] = {}
    for one in lines:
        if one.cost is not None:
            found[one.currency] = found.get(one.currency, 0.0) + one.cost
    return found


@evaluated
def order_list(file: DesignFile) -> OrderList:
    """Springs, helpers, spacers, dampers, bars with their drop links, and bump stops of every axle, front first.

    Raises
    ------
    InputError
        A fault in the design.

    """
    sheet, lines = sized(file), []
    for i, axle in enumerate(file.design.axles):
        lines += [*_springs(axle, i, sheet.springs[i]), *_helpers(axle, i, sheet.springs[i])]
    for i, axle in enumerate(file.design.axles):
        lines += [*_spacers(axle, sheet.springs[i]), *_bar(axle, i), *_damper(axle, i, sheet), *_stop(axle, i)]
    currencies = {one.currency for one in lines if one.currency}
    if len(currencies) == 1:  # a price without one is in that of all others
        lines = [replace(one, currency=next(iter(currencies))) if one.price is not None else one for one in lines]
    return OrderList(file.design.vehicle.name, tuple(lines))


def _line(
    axle: Axle, part: str, says: str, quantity: int, supply: Supply | None, at: Location, row: CatalogueSpring | None = None, *, shape: OrderShape | None = None
) -> OrderLine:  # fmt: skip
    """A line by what the builder says of where it comes from; what he leaves out is the catalogue's."""
    told = supply or Supply()
    maker = told.maker or (row.maker if row else "")
    price = told.price if told.price is not None else row.price if row else None
    return OrderLine(
        axle.name, part, says, quantity, maker, told.called or (row.part if row else ""), price,
        told.currency or (row.currency if row else ""), told.lead_time or (row.lead_time if row else None),
        "" if maker else NO_MAKER, supply=at, shape=shape,
    )  # fmt: skip


def _springs(axle: Axle, i: int, springs: AxleSprings) -> list[OrderLine]:
    at: Location = ("axles", i, "spring", "supply")
    fitted, record, part = springs.fitted, springs.record, springs.part
    quantity = axle.wheels * axle.spring.per_wheel
    if fitted.origin == "existing":
        return []
    rides = f"{show(fitted.rate, 'rate')}, rides at {show(fitted.frequency, 'frequency')}"
    if record is None:
        line = _line(axle, f"{axle.name} spring", rides, quantity, None, at)
        return [replace(line, wanted=springs.none_because or "no real spring is found yet")]
    coil = record.coil
    row = part.row if isinstance(part, PlainCoil) else None
    if coil is None:
        return [_line(axle, f"{axle.name} {record.kind}", rides, record.quantity, axle.spring.supply, at)]
    ride = next((one for one in record.points if one.name == "ride"), None)
    says = f"{rides}, {show(ride.force, 'force')} at {show(ride.length, 'length')}" if ride else rides
    outside = coil.outside_diameter or 0.0
    shape = OrderShape("coil", coil.free_length, outside, coil.wire or 0.0, coil.total_coils or (coil.active_coils or 6.0) + 2)  # fmt: skip
    return [_line(axle, f"{axle.name} coil, {coil.label}", says, quantity, axle.spring.supply, at, row, shape=shape)]


def _helpers(axle: Axle, i: int, springs: AxleSprings) -> list[OrderLine]:
    found = []
    for k, (helper, record) in enumerate(zip(axle.helpers, springs.helpers, strict=False)):
        if helper.existing is not None:
            continue
        coil = record.coil
        shape = None if coil is None else OrderShape("coil", coil.free_length, coil.outside_diameter or 0.0, coil.wire or 0.0, coil.total_coils or 6.0)  # fmt: skip
        found.append(_line(axle, f"{axle.name} helper {helper.name}", record.kind, record.quantity, helper.supply, ("axles", i, "helpers", k, "supply"), shape=shape))  # fmt: skip
    return found


def _spacers(axle: Axle, springs: AxleSprings) -> list[OrderLine]:
    """A ring under each coil that stands higher than it is long."""
    coil = springs.record.coil if springs.record else None
    if coil is None or coil.spacer < 0.5e-3 or coil.existing:
        return []
    outside, wire = coil.outside_diameter, coil.wire
    says = "steel ring"
    if outside is not None:
        says += f", {show(outside, 'length')} outside"
        says += f", {show(outside - 2 * wire, 'length')} inside" if wire is not None else ""
    quantity = axle.wheels * axle.spring.per_wheel
    return [
        OrderLine(axle.name, f"{axle.name} spacer, {show(coil.spacer, 'length')}", says, quantity, workshop=True, shape=OrderShape("ring", outside or 0.0, coil.spacer))
    ]  # fmt: skip


def _bar(axle: Axle, i: int) -> list[OrderLine]:
    bar = axle.bar
    if bar is None:
        return []
    shape = bar.shape
    thick = "" if shape is None else f", {show(shape.diameter, 'length', 1)}"
    says = f"{show(bar.end_rate, 'rate')} at each end" + (
        "" if shape is None else f", {show(shape.between, 'length')} between bushings, arms {show(shape.arm, 'length')}"
    )
    drawn = None if shape is None else OrderShape("bar", shape.between + 2 * shape.overhang, shape.arm, shape.diameter)
    line = _line(axle, f"{axle.name} bar{thick}", says, 1, bar.supply, ("axles", i, "bar", "supply"), shape=drawn)
    if shape is None and line.ready:
        line = replace(line, wanted="give axles.bar.shape in place of its rate")
    link = OrderLine(
        axle.name, f"{axle.name} drop link" + (f", {show(bar.drop_link, 'length')}" if bar.drop_link else ""),
        "a ball joint at either end", 2, line.maker, lead_time=line.lead_time,
        wanted="give its length: axles.bar.drop_link" if bar.drop_link is None else "" if line.maker else line.wanted,
        shape=None if bar.drop_link is None else OrderShape("rod", bar.drop_link, 0.012),
    )  # fmt: skip
    return [line, link]


def _damper(axle: Axle, i: int, sheet: Sheet) -> list[OrderLine]:
    mount, rates = axle.damper, sheet.rates[i].damping
    if mount is None and rates is None:
        return []
    if mount is None:
        return [OrderLine(axle.name, f"{axle.name} damper", "", axle.wheels, wanted="give [axles.damper]: how it acts")]
    ends = [
        f"{show(length, 'length')} {word}"
        for length, word in ((mount.extended_length, "open"), (mount.compressed_length, "closed"))
        if length is not None
    ]
    line = _line(axle, f"{axle.name} damper", ", ".join(ends), axle.wheels, mount.supply, ("axles", i, "damper", "supply"), shape=_drawn_damper(axle))  # fmt: skip
    if len(ends) < 2 and line.ready:
        line = replace(line, wanted="give axles.damper.extended_length and compressed_length")
    return [line]


def _drawn_damper(axle: Axle) -> OrderShape | None:
    mount = axle.damper
    long = None if mount is None else mount.extended_length or mount.length
    if mount is None or long is None:
        return None
    return OrderShape("damper", long, mount.outside_diameter or 0.055, mount.body_length or 0.55 * long)


def _stop(axle: Axle, i: int) -> list[OrderLine]:
    """A bump stop at each wheel; one that is only a height in the travel has no part yet."""
    at = show(axle.travel.stop_compression, "length")
    name = f"{axle.name} bump stop"
    shape = OrderShape("stop", max(2.5 * axle.travel.stop_compression, 0.03), 0.05)
    if axle.bump_stop is None:
        return [OrderLine(axle.name, name, f"{at} to metal", axle.wheels, wanted="give [axles.bump_stop]: its force or its part", shape=shape)]  # fmt: skip
    taken = axle.bump_stop.energy_to(axle.travel.stop_compression)
    says = f"{at} to metal, takes {show(taken, 'energy')} on the way"
    return [_line(axle, name, says, axle.wheels, axle.bump_stop.supply, ("axles", i, "bump_stop", "supply"), shape=shape)]  # fmt: skip
