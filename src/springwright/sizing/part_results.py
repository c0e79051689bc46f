"""One part of a vehicle told whole: its law, its limits and stresses, and what to order."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from springwright.errors import Fault, InputError
from springwright.evaluation import evaluated
from springwright.formula import Working
from springwright.linkage.mounts import Lever, OnBeam
from springwright.parts.record import (
    AGREE,
    STORED,
    Dimension,
    LoadPoint,
    PartRecord,
    Tolerance,
    length,
    over_travel,
    words,
)
from springwright.parts.supply import to_settle
from springwright.parts.torsion import Bar
from springwright.parts.tyre import SCATTER, Tyre, estimated_rate, size_of
from springwright.results import Judged
from springwright.sizing.bar import bar_stress, end_travel
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import Sheet
from springwright.sizing.springs import AxleSprings
from springwright.units import GRAVITY, show
from springwright.vehicle.assemble import damper_law
from springwright.vehicle.axle import Axle
from springwright.vehicle.curves import bump_stop, droop_stop
from springwright.vehicle.file import DesignFile

KINDS = ("spring", "damper", "bump stop", "droop stop", "bar", "tyre")


@evaluated
def part_names(file: DesignFile) -> list[str]:
    """Every part that can be asked for: the axle's name and what it is."""
    found = []
    for axle in file.design.axles:
        there = {
            "damper": axle.damper is not None or (axle.target is not None and axle.target.damping_ratio is not None),
            "bar": axle.bar is not None,
        }
        found += [f"{axle.name} {kind}" for kind in KINDS if there.get(kind, True)]
        found += [f"{axle.name} helper {helper.name}" for helper in axle.helpers]
    return found


@evaluated
def part(file: DesignFile, name: str) -> PartRecord:
    """The record of a part such as "front spring".

    Raises
    ------
    InputError
        No such part; the message lists those there are.

    """
    names = part_names(file)
    name = next((one for one in names if one.lower() == name.strip().lower()), name)
    if name not in names:
        raise InputError(file.path.name, [Fault("part", f'"{name}"', f"no such part; there are {', '.join(names)}")])
    for i, axle in enumerate(file.design.axles):
        for k, helper in enumerate(axle.helpers):
            if name == f"{axle.name} helper {helper.name}":
                return sized(file).springs[i].helpers[k]
    kind = next(one for one in sorted(KINDS, key=len, reverse=True) if name.endswith(f" {one}"))
    axles = [axle.name for axle in file.design.axles]
    index = axles.index(name[: -len(kind) - 1])
    tell: dict[str, Callable[[Sheet, Axle, int], PartRecord]] = {
        "spring": _spring, "damper": _damper, "bump stop": _bump, "droop stop": _droop, "bar": _bar, "tyre": _tyre,
    }  # fmt: skip
    return tell[kind](sized(file), file.design.axles[index], index)


def _spring(sheet: Sheet, axle: Axle, index: int) -> PartRecord:  # noqa: ARG001 one signature for all
    one = sheet.springs[index]
    return one.record or _ideal(one)


def _ideal(one: AxleSprings) -> PartRecord:
    """The spring an axle is taken to have where no real one was found."""
    need, places = one.need, {"full droop": -one.need.droop, "ride": 0.0, "full bump": one.need.bump}
    told = over_travel(need, one.law, places)
    return PartRecord(
        axle=one.axle, kind=f"coil spring: {one.fitted.label}", quantity=0, dimensions=(Dimension("rate", one.fitted.rate, "N/m", "rate"),),
        points=tuple(LoadPoint(name, need.ride_length - at, load) for name, at, load in told["marks"]),
        remarks=("no real spring found: this is the ideal one",), cautions=(STORED,), **told,
    )  # fmt: skip


@evaluated
def damper_points(file: DesignFile, index: int) -> tuple[tuple[float, float], ...]:
    """The law of an axle's dampers as points, speed [m/s] and force [N] at the damper, bump positive; none where it has no damper."""
    from springwright.sizing.fitted import sized

    axle, rates = file.design.axles[index], sized(file).rates[index].damping
    law = damper_law(axle, rates.wheel if rates else None)
    if law is None:
        return ()
    ratio = 1.0 if axle.damper is None else float(axle.damper.acts.lengths(0.0, axle.damper.length or 0.0).ratio)
    return tuple(
        (float(speed) * ratio, float(force) / ratio) for speed, force in zip(law.speed, law.force, strict=True)
    )


def _damper(sheet: Sheet, axle: Axle, index: int) -> PartRecord:
    rates = sheet.rates[index].damping
    at_wheel = damper_law(axle, rates.wheel if rates else None)
    assert at_wheel is not None
    mount = axle.damper
    ratio = 1.0 if mount is None else float(mount.acts.lengths(0.0, mount.length or 0.0).ratio)
    speed, force = at_wheel.speed * ratio, at_wheel.force / ratio
    top = 1.5
    x = np.unique(np.concatenate([np.linspace(-top, top, 61), speed[np.abs(speed) <= top]]))
    slopes = (force[1] - force[0]) / (speed[1] - speed[0]), (force[-1] - force[-2]) / (speed[-1] - speed[-2])
    y = np.where(x < speed[0], force[0] + slopes[0] * (x - speed[0]), np.where(x > speed[-1], force[-1] + slopes[1] * (x - speed[-1]), np.interp(x, speed, force)))  # fmt: skip
    asked = (0.05, 0.13, 0.26, 0.39, 0.52, 1.05)
    marks = tuple(
        (f"{'bump' if sign > 0 else 'rebound'} {at:g} m/s", sign * at, float(np.interp(sign * at, x, y)))
        for sign in (1, -1)
        for at in (0.13, 0.52, 1.05)
    )
    dimensions = [Dimension("motion ratio: damper travel / wheel travel", ratio, "", "ratio")]
    if rates is not None:
        dimensions += [
            Dimension("damping ratio wanted", rates.damping_ratio, "", "ratio"),
            Dimension("bump, up to the knee", rates.bump, "N*s/m", "damping", found=True),
            Dimension("rebound, up to the knee", rates.rebound, "N*s/m", "damping", found=True),
        ]
    if mount is not None and mount.knee is not None:
        dimensions.append(words("knee", f"{mount.knee:g} m/s"))
        dimensions.append(Dimension("slope beyond the knee / before it", mount.beyond, "", "ratio"))
    dimensions += _damper_more(axle)
    return PartRecord(
        axle=axle.name, kind="damper", quantity=axle.wheels, dimensions=tuple(dimensions), law="speed",
        pressed=tuple(x.tolist()), forces=tuple(y.tolist()), rates=tuple(np.gradient(y, x).tolist()), marks=marks, judged=(*_damper_lengths(axle), *_gas_limit(axle, _widest(axle) * float(np.interp(1.05, x, y)))),
        to_settle=to_settle(None if mount is None else mount.supply, "damper"),
        valving=tuple((at, float(np.interp(at, x, y)), float(-np.interp(-at, x, y))) for at in asked),
        tolerances=(Tolerance("force at every speed, share", 0.1, "", "ratio", AGREE),),
        material="to the maker's sheet",
        arrival=(
            "ask for the test sheet of each: force against speed at the speeds above, cold and warm",
            "left and right of an axle alike within 5 % at each speed",
            "stroke each by hand through its whole length: no catch, no dead travel",
        ),
        remarks=("the force-speed points are what a valving is ordered by; slow speeds set the body's motion, fast ones what comes through from the ground",),
        cautions=("A gas-charged damper pushes its rod out: never open, heat or drill it.",),
    )  # fmt: skip


def _damper_more(axle: Axle) -> list[Dimension]:
    """Gas, zones and lengths of a damper."""
    mount = axle.damper
    if mount is None:
        return []
    rows = [length("extended length", mount.extended_length), length("compressed length", mount.compressed_length)]
    if mount.extended_length is not None and mount.compressed_length is not None:
        rows.append(length("stroke", mount.extended_length - mount.compressed_length, found=True))
    rows += [length("tube, outside diameter", mount.outside_diameter), length("tube, length", mount.body_length)]
    if mount.gas is not None:
        rows += [
            length("rod", mount.gas.rod),
            Dimension("gas, gauge pressure at zero travel", mount.gas.pressure, "Pa", "pressure"),
            Dimension("push of the gas on the rod", float(mount.gas.law().at(0.0).force), "N", "force", found=True),
        ]
    for place, factor in mount.zones or ():
        rows.append(Dimension(f"forces times this at {show(place, 'length')} from zero travel", factor, "", "ratio"))
    lean = mount.acts.lean if isinstance(mount.acts, Lever | OnBeam) else None
    if lean:
        rows.append(Dimension("leans from the path of its foot", lean, "rad", "angle"))
    return [row for row in rows if row.value is not None]


def _widest(axle: Axle) -> float:
    """The largest factor of a damper's zones."""
    zones = axle.damper.zones if axle.damper else None
    return max(1.0, *(factor for _, factor in zones)) if zones else 1.0


def _gas_limit(axle: Axle, compression: float) -> tuple[Judged, ...]:
    """The bump force at 1.05 m/s against what the gas allows before oil cavitates behind the piston."""
    gas = axle.damper.gas if axle.damper else None
    most = None if gas is None else gas.most_compression()
    if most is None:
        return ()
    source = "gas pressure on the piston less the rod: above it the oil cavitates (common practice)"
    return (
        Judged.of(
            "bump force at 1.05 m/s",
            compression,
            "at most",
            most,
            unit="N",
            kind="force",
            source=source,
            id="bump_force",
        ),
    )


def _damper_lengths(axle: Axle) -> tuple[Judged, ...]:
    """Extended and compressed length against what the travel asks."""
    mount = axle.damper
    if mount is None or (mount.extended_length is None and mount.compressed_length is None):
        return ()
    travel = axle.travel
    ends = mount.acts.lengths(np.array([-travel.droop, travel.bump + travel.stop_compression]), mount.length or 0.0)
    longest, shortest = (float(one) for one in ends.length)
    return (
        Judged.of("damper length at full droop", longest, "at most", mount.extended_length, unit="m", kind="length", source="its extended length", id="damper_length_at_full_droop"),
        Judged.of("damper length at full bump", shortest, "at least", mount.compressed_length, unit="m", kind="length", source="its compressed length", id="damper_length_at_full_bump"),
    )  # fmt: skip


def _bump(sheet: Sheet, axle: Axle, index: int) -> PartRecord:
    return _stop(sheet, axle, index, "bump stop")


def _droop(sheet: Sheet, axle: Axle, index: int) -> PartRecord:
    return _stop(sheet, axle, index, "droop stop")


def _stop(sheet: Sheet, axle: Axle, index: int, kind: str) -> PartRecord:
    load = GRAVITY * sheet.rates[index].sprung_mass
    given = axle.bump_stop if kind == "bump stop" else axle.droop_stop
    stop = bump_stop(axle, load) if kind == "bump stop" else droop_stop(axle, load)
    x = np.linspace(0.0, stop.reach, 41)
    force, rate = stop.law(x)
    energy = stop.energy_to(stop.reach)
    dimensions = [
        length("compression its curve is known to", stop.reach, found=given is None),
        Dimension("force there", float(force[-1]), "N", "force", found=True),
        Dimension("energy taken to there", energy, "J", "energy", found=True),
        Dimension("drop of the sprung mass on this wheel that it takes alone, at rest on its touch", energy / load, "m", "length", found=True),
    ]  # fmt: skip
    if stop.loss:
        dimensions.append(
            Dimension("energy it keeps from a stroke to there", stop.loss * energy, "J", "energy", found=True)
        )
    if stop.block is not None:
        dimensions.append(length("block length", stop.block))
    if kind == "bump stop":
        dimensions.append(length("touches after a bump travel of", axle.travel.bump))
    marks = tuple((f"at {show(float(x[i]), 'length')}", float(x[i]), float(force[i])) for i in (20, 40))
    return PartRecord(
        axle=axle.name, kind=kind, quantity=axle.wheels, dimensions=tuple(dimensions), pressed=tuple(x.tolist()), forces=tuple(force.tolist()), rates=tuple(rate.tolist()), marks=marks,
        judged=(Judged.of("compression in the travel given", axle.travel.stop_compression, "at most", stop.reach, unit="m", kind="length", source="its curve", id="compression_in_the_travel_given"),) if kind == "bump stop" else (),
        tolerances=(Tolerance("force at half its compression", 0.2 * float(force[20]), "N", "force", AGREE),),
        material="microcellular urethane or rubber, to the maker's sheet",
        arrival=("press one slowly to its full compression on a scale: the curve must lie within the tolerance", "check that nothing else meets first: frame, tyre, driveshaft, damper"),
        remarks=(() if given is not None else ("no stop is given: this one is an estimate (common practice, no source)",)) + ("moved quickly urethane is 1.25 to 2.5 times as stiff (a urethane maker's impact guide)",),
    )  # fmt: skip


def _bar(sheet: Sheet, axle: Axle, index: int) -> PartRecord:  # noqa: ARG001 one signature for all
    bar = axle.bar
    assert bar is not None
    stiffness = bar.end_rate * (bar.motion_ratio * (axle.track or 0.0)) ** 2 / 2
    most = end_travel(axle)
    x = np.linspace(-most, most, 41)
    return PartRecord(
        axle=axle.name, kind="anti-roll bar", quantity=1, dimensions=(*_bar_dimensions(bar), Dimension("roll stiffness it adds", stiffness, "N*m/rad", "roll rate", found=True)),
        pressed=tuple(x.tolist()), forces=tuple((bar.end_rate * x).tolist()), rates=tuple(np.full(41, bar.end_rate).tolist()),
        marks=(("wheels furthest apart", most, bar.end_rate * most),),
        judged=bar_stress(axle),
        tolerances=(Tolerance("end rate", 0.06 * bar.end_rate, "N/m", "rate", AGREE),),
        material=bar.shape.steel if bar.shape else "to the maker's sheet",
        arrival=("measure diameter, span of the bushings and arm lengths", "check that drop links and arms clear everything at full articulation and full lock"),
        remarks=("force and travel are at each end of the bar, the ends moving against each other",),
    )  # fmt: skip


def _bar_dimensions(bar: Bar) -> list[Dimension]:
    rows = [
        Dimension("end rate", bar.end_rate, "N/m", "rate", found=bar.shape is not None),
        Dimension("motion ratio: end travel / wheel travel", bar.motion_ratio, "", "ratio"),
    ]
    if bar.shape is not None:
        shape = bar.shape
        rows += [
            length("diameter", shape.diameter),
            length("bore", shape.bore),
            length("between the bushings", shape.between),
            length("bushing to bend", shape.overhang),
            length("arm", shape.arm),
        ]
        if shape.splay:
            rows.append(Dimension("arms splayed from square", shape.splay, "rad", "angle"))
    return rows


def _tyre(sheet: Sheet, axle: Axle, index: int) -> PartRecord:
    tyre = axle.tyre
    load = GRAVITY * sheet.rates[index].axle_load / axle.wheels
    pressed = np.linspace(0.0, 2.5 * load / tyre.rate, 41)
    dimensions = [
        words("size", tyre.size or "not given"), Dimension("vertical rate", tyre.rate, "N/m", "rate"), length("unloaded radius", tyre.unloaded_radius),
        length("pressed by the design load, on the rate", load / tyre.rate, found=True),
    ]  # fmt: skip
    if tyre.pressure is not None:
        dimensions.append(Dimension("pressure", tyre.pressure, "Pa", "pressure"))
    if tyre.damping is not None:
        dimensions.append(Dimension("damping", tyre.damping, "N*s/m", "damping"))
    remarks: tuple[str, ...] = ("it only pushes: off the ground there is no force",)
    if tyre.estimate:
        remarks = (
            *remarks,
            f"the rate is an estimate from size and pressure, {SCATTER:.0%} either way (Rhyne 2005, coefficients from memory): measure it",
        )
    if tyre.readings is not None:
        remarks = (*remarks, "the rate is the slope of your readings at the load named")
    return PartRecord(
        axle=axle.name, kind="tyre", quantity=axle.wheels, dimensions=tuple(dimensions), pressed=tuple(pressed.tolist()), forces=tuple((tyre.rate * pressed).tolist()),
        rates=tuple(np.full(41, tyre.rate).tolist()), marks=(("design load", load / tyre.rate, load),),
        judged=(Judged.of("design load", load / GRAVITY, "at most", tyre.load_rating, unit="kg", kind="mass", source="your rating", id="design_load"),),
        arrival=("measure the loaded radius at two loads and the running pressure: the difference gives the rate",),
        remarks=remarks, workings=_estimate_shown(tyre),
    )  # fmt: skip


def _estimate_shown(tyre: Tyre) -> tuple[Working, ...]:
    """How an estimated rate came about."""
    if not tyre.estimate or tyre.size is None or tyre.pressure is None:
        return ()
    width, aspect, rim = size_of(tyre.size)
    return (
        estimated_rate.work(
            "tyre", pressure=tyre.pressure, width=(1.03 - 0.4 * aspect) * width, diameter=rim + 2 * aspect * width
        ),
    )
