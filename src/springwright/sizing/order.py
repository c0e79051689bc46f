"""What to write on an order for one axle's springs: dimensions, loads at lengths, tolerances, material, checks on arrival."""

from __future__ import annotations

from dataclasses import dataclass

from springwright.parts.catalogue import CatalogueSpring
from springwright.parts.coil import shear_stress
from springwright.parts.coil_check import CoilCheck
from springwright.parts.law import SpringNeed
from springwright.parts.record import AGREE, LoadPoint, Tolerance
from springwright.results import Judged, Result, si
from springwright.units import show
from springwright.vehicle.axle import Axle


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
class Order(Result):
    """One order: how many, of what, and how to tell on arrival that it is right."""

    axle: str
    quantity: int
    origin: str
    label: str
    maker: str
    rate: float = si("N/m")
    wire: float | None = si("m")
    mean_diameter: float | None = si("m")
    outside_diameter: float | None = si("m")
    active_coils: float | None = si("")
    total_coils: float | None = si("")
    free_length: float = si("m")
    solid_length: float | None = si("m")
    least_length: float | None = si("m")
    spacer: float = si("m")
    mass: float | None = si("kg")
    ends: str = ""
    material: str = ""
    points: tuple[LoadPoint, ...] = ()
    tolerances: tuple[Tolerance, ...] = ()
    arrival: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    failed: tuple[Judged, ...] = ()
    misfits: tuple[str, ...] = ()


def order_for(
    axle: Axle,
    need: SpringNeed,
    fitted: FittedSpring,
    made: CoilCheck | None,
    row: CatalogueSpring | None,
    misfits: tuple[str, ...] = (),
) -> Order | None:
    """The order for a fitted spring: `made` where it is a coil of known dimensions, `row` from a catalogue; None for the ideal one."""
    if fitted.origin == "ideal":
        return None
    wire = made.wire if made else row.wire if row else None
    outside = made.outside_diameter if made else row.outside_diameter if row else None
    mean = None if outside is None or wire is None else outside - wire
    solid = (
        made.solid_length
        if made
        else row.solid_length
        if row
        else axle.spring.existing.solid_length
        if axle.spring.existing
        else None
    )
    lengths = {
        "free": fitted.free_length,
        "full droop": min(need.droop_length - fitted.spacer, fitted.free_length),
        "ride": need.ride_length - fitted.spacer,
        "full bump": need.bump_length - fitted.spacer,
    }
    if solid is not None:
        lengths["solid"] = solid
    points = []
    for name, length in lengths.items():
        force = max(fitted.rate * (fitted.free_length - length), 0.0)
        stress = None if wire is None or mean is None else float(shear_stress(force, mean, wire))
        points.append(LoadPoint(name, length, force, stress))
    return Order(
        axle=axle.name,
        quantity=axle.wheels * axle.spring.per_wheel,
        origin=fitted.origin,
        label=fitted.label,
        maker=row.maker if row else "",
        rate=fitted.rate,
        wire=wire,
        mean_diameter=mean,
        outside_diameter=outside,
        active_coils=made.active_coils if made else row.active_coils if row else None,
        total_coils=made.total_coils if made else None,
        free_length=fitted.free_length,
        solid_length=solid,
        least_length=made.solid_length + made.least_gaps if made else None,
        spacer=fitted.spacer,
        mass=made.mass if made else row.mass if row else None,
        ends=made.ends if made else "",
        material=f"{made.grade}, {made.made}, tensile strength at least {made.strength / 1e6:.0f} MPa" if made else "",
        points=tuple(points),
        tolerances=_tolerances(axle, fitted, made, points[2].force),
        arrival=_arrival(axle, made),
        remarks=(*_on_the_right(axle), *_remarks(fitted, made)),
        misfits=misfits,
        failed=tuple(one for one in made.judged if one.word == "not met") if made else (),
    )


def _tolerances(axle: Axle, fitted: FittedSpring, made: CoilCheck | None, ride_force: float) -> tuple[Tolerance, ...]:
    mount = axle.spring
    asked = [
        Tolerance("spring rate", mount.rate_tolerance * fitted.rate, "N/m", "rate", AGREE),
        Tolerance("load at ride length", mount.load_tolerance * ride_force, "N", "force", AGREE),
        Tolerance(
            "free length (for information; load governs)",
            mount.free_length_tolerance * fitted.free_length,
            "m",
            "length",
            AGREE,
        ),
    ]
    if made is not None and made.mean_diameter_tolerance is not None:
        source = "EN 15800 grade 2, from a supplier's table" + (
            "" if made.made == "cold coiled" else "; hot coiled: agree it with the maker"
        )
        asked.append(Tolerance("mean coil diameter", made.mean_diameter_tolerance, "m", "length", source))
    return tuple(asked)


def _arrival(axle: Axle, made: CoilCheck | None) -> tuple[str, ...]:
    pairs = f"weigh or press all {axle.wheels * axle.spring.per_wheel} at ride length: left and right of an axle alike within 2 %"
    steps = [
        "measure free length, wire and outside diameter of each spring",
        f"press each to its ride length on a scale and write the load down; {pairs}",
        "look for nicks, rust and bare patches in the coating: each is where a crack begins",
        "press to full-bump length once in a guarded press: free length must come back unchanged",
    ]
    if made is not None:
        steps.append("ask for the material certificate and whether the coils were pressed solid (set) and shot peened")
    return tuple(steps)


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


def _remarks(fitted: FittedSpring, made: CoilCheck | None) -> tuple[str, ...]:
    remarks = []
    if fitted.spacer:
        remarks.append("lengths are the spring's own, without the spacer; the spacer goes between spring and seat")
    if made is not None:
        remarks.append(f"strength: {made.strength_source}")
        remarks.append(made.caveat)
    return tuple(remarks)
