"""One sizing from end to end: weigh, rates, window, springs that can be bought or made, rest in every load state."""

from __future__ import annotations

from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault, InputError, UnsolvedError, within
from springwright.evaluation import evaluated, remembered
from springwright.files import is_there, read_file
from springwright.formula import Working
from springwright.motion.equilibrium import FALLEN
from springwright.parts.catalogue import EMPTY, Catalogue, read_catalogue
from springwright.parts.law import Law
from springwright.parts.record import STORED
from springwright.parts.tyre import SCATTER
from springwright.results import Judged, Result, si
from springwright.sizing.bar import bar_stress
from springwright.sizing.choose import Band
from springwright.sizing.estimates import bush_estimates, estimates_said
from springwright.sizing.frequency import coupling_terms, faster_mode, slower_mode
from springwright.sizing.helpers import helper_records
from springwright.sizing.rates import AxleRates, law_for, wheel_rate_for, work_out
from springwright.sizing.springs import AxleSprings, law_there, springs_for
from springwright.sizing.states import StateRest, at_rest_in_each, laws_in, ratings
from springwright.sizing.window import Window, windows
from springwright.units import plain, show
from springwright.vehicle.axle import Axle
from springwright.vehicle.centres import roll_centre
from springwright.vehicle.curves import both_sides, check_travel, lengths
from springwright.vehicle.design import Design
from springwright.vehicle.file import DesignFile, opened
from springwright.vehicle.interconnections import beam_shares
from springwright.vehicle.known import known
from springwright.vehicle.usual import unusual
from springwright.vehicle.weigh import (
    KerbWeight,
    StateWeight,
    check_sideways,
    check_stands,
    kerb_weight,
    support_loads,
    weigh,
)

Floats = NDArray[np.float64]

CAUTIONS = (
    "Results are engineering estimates, not approval. Changes to suspension can need inspection or approval where the vehicle is used, and may affect brakes, steering, lights and stability control; a licensed engineer or the local authority decides.",
    STORED,
    "Work under a vehicle only on level ground, on rated stands, wheels chocked; never on a jack alone.",
    "Nominal dimensions are worked with; maker's tolerances and about 2 % scatter of the shear modulus come on top.",
)


@dataclass(frozen=True)
class Sheet(Result):
    """The whole sizing of one design. Positions are ISO 8855 from the front axle on the ground."""

    vehicle: str
    file: str
    invented: bool
    design_state: str
    kerb: KerbWeight
    states: tuple[StateWeight, ...]
    design_loads: tuple[float, ...] = si("kg")
    rates: tuple[AxleRates, ...] = ()
    windows: tuple[Window, ...] = ()
    springs: tuple[AxleSprings, ...] = ()
    rests: tuple[StateRest, ...] = ()
    ratings: tuple[Judged, ...] = ()
    catalogue_lost: str = ""
    unusual: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    estimates: tuple[str, ...] = ()  # of the notes, those on what was taken because the builder did not say
    revision: str = ""  # of the design's text, as a few letters that change with it
    estimated: str = ""  # what the file lists as estimates, in one sentence
    left_to_prove: str = ""  # of the notes, that on limits that are stated and not held against anything here
    cautions: tuple[str, ...] = CAUTIONS
    workings: tuple[Working, ...] = ()


@evaluated
def size(file: DesignFile | str | Path) -> Sheet:
    """Size every axle of a design, given as a file that was loaded or as its path.

    Raises
    ------
    InputError
        Something the builder wrote cannot be; the message says what to mend.
    UnsolvedError
        No position of rest in some load state.

    """
    file = opened(file)
    try:
        return _size(file)
    except FieldFault as fault:
        raise file.fault(fault) from None
    except UnsolvedError as error:
        kerb = file.design.kerb
        if FALLEN not in str(error) or not kerb.raised:
            raise
        height = kerb_weight(file.design).cg[2]
        raise file.fault(
            FieldFault(
                ("kerb", "raised", 0, "height" if kerb.raised[0].height is not None else "angle"),
                f"by this and the readings the centre of gravity stands {show(height, 'length')} above ground, and {error}; check both",
            )
        ) from None


def _size(file: DesignFile) -> Sheet:
    design, lost = file.design, ""
    try:
        catalogue = catalogue_of(file)
    except (InputError, FieldFault) as fault:
        if not file.lenient:
            raise
        catalogue, lost = EMPTY, f"catalogue {design.catalogue}: {fault}"
        design = design.model_copy(update={"axles": tuple(_without_part(axle) for axle in design.axles)})
    kerb = kerb_weight(design)
    weights = tuple(weigh(design, state.name, kerb) for state in design.states)
    heaviest = max(weights, key=lambda weight: weight.mass)
    for i, axle in enumerate(design.axles):
        with within("axles", i):
            check_travel(axle)
    of_design = next((weight for weight in weights if weight.name == design.design_state), heaviest)
    for weight in weights:
        check_stands(design, weight)
        check_sideways(design, weight)
    loads = support_loads(design, of_design)
    _carries(design, loads, of_design)
    axles = range(len(design.axles))
    laws, rates = _rates(design, loads, catalogue)
    aims = [rate.frequency_on_springs for rate in rates]
    drawn = design.as_drawn
    as_weighed = weights if drawn is design else tuple(weigh(drawn, state.name) for state in design.states)
    open_to = windows(drawn, as_weighed, tuple(laws), loads, aims)
    springs = []
    for i in axles:
        with within("axles", i):
            one = springs_for(
                design.axles[i],
                float(loads[i]),
                laws[i],
                rates[i],
                _band(open_to[i]),
                catalogue,
                loaded_at_droop=design.limits.preload_at_droop,
                worked=sum(stint.hours for stint in design.duty_cycle),
            )
            law = design.axles[i].as_built.law(one.law)
            springs.append(replace(one, law=law, helpers=helper_records(design.axles[i])))
    fitted = tuple(one.law for one in springs)
    springs = _in_every_state(design, weights, springs, loads)
    rests = at_rest_in_each(design, weights, fitted, loads, rates)
    workings = (
        *kerb.workings,
        *(work for rate in rates for work in rate.workings),
        *(
            replace(work, subject=f"{one.axle} {work.subject}")
            for one in springs
            if one.record
            for work in one.record.workings
        ),
        *_coupled(design, of_design, rates),
    )
    return Sheet(
        vehicle=design.vehicle.name,
        file=file.path.name,
        invented=design.vehicle.invented,
        design_state=of_design.name,
        kerb=kerb,
        states=weights,
        design_loads=tuple(loads.tolist()),
        rates=rates,
        windows=open_to,
        springs=tuple(springs),
        rests=rests,
        ratings=(*ratings(design, rests), *(one for axle in design.axles for one in bar_stress(axle))),
        catalogue_lost=lost,
        unusual=unusual(design),
        notes=tuple(_notes(design, weights, of_design, heaviest)),
        estimates=(*_inertias_taken(weights), *_roll_centres_taken(design)),
        revision=sha256(file.text.encode()).hexdigest()[:8],
        estimated=estimates_said(design),
        left_to_prove=_left_to_prove(design),
        workings=workings,
    )


def _in_every_state(
    design: Design, weights: tuple[StateWeight, ...], springs: list[AxleSprings], loads: Floats
) -> list[AxleSprings]:
    """The springs with what must hold in every load state judged, on the laws they have there."""
    laws = {weight.name: laws_in(design, weight, tuple(one.law for one in springs), loads) for weight in weights}
    done = []
    for i, one in enumerate(springs):
        if one.part is not None and one.record is not None:
            more = one.part.judged_in(one.need, {name: each[i] for name, each in laws.items()})
            one = replace(one, record=replace(one.record, judged=(*one.record.judged, *more)))
        done.append(one)
    return done


def _carries(design: Design, loads: Floats, weight: StateWeight) -> None:
    for i, axle in enumerate(design.axles):
        if loads[i] <= axle.unsprung_mass:
            raise FieldFault(
                ("axles", i, "unsprung_mass"),
                f'the axle itself, {show(axle.unsprung_mass, "mass")}, is as heavy as the load on it in state "{weight.name}", '
                f"{show(float(loads[i]), 'mass')}; check the axle's mass and the readings",
            )


def _without_part(axle: Axle) -> Axle:
    """An axle whose catalogue is lost: it works to its target, where it has one."""
    if axle.spring.part is None or axle.target is None:
        return axle
    return axle.model_copy(update={"spring": axle.spring.model_copy(update={"part": None})})


def catalogue_of(file: DesignFile) -> Catalogue:
    """The catalogue a design names; an empty one where it names none."""
    if file.design.catalogue is None:
        return EMPTY
    path = Path(file.path).parent / file.design.catalogue
    if not is_there(path):
        raise FieldFault(
            ("catalogue",), "there is no such file beside the design; check the name, or take the line out"
        )
    return _read_once(read_file(path), path.name)


_read_once = remembered(4)(read_catalogue)


def _rates(design: Design, loads: Floats, catalogue: Catalogue) -> tuple[list[Law], tuple[AxleRates, ...]]:
    """The law each axle is held at while windows are worked out, and its rates: from the target, else from its own spring."""
    laws, rates = [], []
    for i, axle in enumerate(design.axles):
        load = float(loads[i])
        with within("axles", i):
            if axle.target is not None:
                law = law_for(axle, load, wheel_rate_for(axle, load, axle.target.frequency))
                rates.append(_rates_aimed_at(known(axle), load, design.limits.bump_load_factor))
            else:
                law = law_there(axle, load, catalogue)
                rates.append(work_out(axle, load, law, design.limits.bump_load_factor))
        laws.append(law)
    return laws, tuple(rates)


@remembered(32)  # where one axle is changed, the others are as they were
def _rates_aimed_at(axle: Axle, load: float, factor: float) -> AxleRates:
    return work_out(axle, load, None, factor)


def _band(window: Window) -> Band | None:
    return None if window.softest is None or window.stiffest is None else Band(window.softest, window.stiffest)


def _coupled(design: Design, weight: StateWeight, rates: tuple[AxleRates, ...]) -> tuple[Working, ...]:
    """Bounce and pitch of the body on its ride rates, in closed form beside the full modes."""
    stiffness = np.array([rate.ride_rate * axle.wheels for rate, axle in zip(rates, design.axles, strict=True)])
    places = np.array([-axle.behind_front_axle for axle in design.axles])
    if design.hitch is not None:
        stiffness = np.append(stiffness, design.hitch.rate)
        places = np.append(places, -design.hitch.behind_front_axle)
    radius = float(np.sqrt(weight.pitch_inertia / weight.sprung_mass))
    terms = coupling_terms(stiffness, places - weight.sprung_cg[0], weight.sprung_mass, radius)
    where = f"whole vehicle, {weight.name}"
    return slower_mode.work(where, **terms), faster_mode.work(where, **terms)


def _inertias_taken(weights: tuple[StateWeight, ...]) -> list[str]:
    if not any(weight.inertia_is_estimate for weight in weights):
        return []
    return [
        "inertias are estimates (common practice, no source): pitch from a dynamic index of 0.9, roll radius 0.42 of the track; state [inertia] to replace them"
    ]


def _roll_centres_taken(design: Design) -> list[str]:
    guessed = [axle.name for axle in design.axles if axle.wheels == 2 and roll_centre(axle)[1]]
    if not guessed:
        return []
    return [
        f"roll centre of {', '.join(guessed)} taken at the leaf springs' eyes, the wheel centre (beam) or the ground (independent), an estimate; give roll_centre_height"
    ]


def _built(design: Design) -> list[str]:
    named = [axle.name for axle in design.axles if axle.built is not None]
    named = ["the body", *named] if design.built is not None else named
    if not named:
        return []
    return [
        f"as built where measured ({', '.join(named)}): targets, rates and windows are of the drawing, load states and answers of what was built"
    ]


def _left_to_prove(design: Design) -> str:
    static = {"bump_load_factor", "height_change", "attitude_change", "preload_at_droop"}
    later = sorted(design.limits.model_fields_set - static)
    return f"limits stated but not judged by this sheet: {', '.join(later)}" if later else ""


def _notes(
    design: Design, weights: tuple[StateWeight, ...], of_design: StateWeight, heaviest: StateWeight
) -> list[str]:
    notes = []
    for beam in design.walking_beams:
        *_, front, rear = beam_shares(beam, design.axles)
        notes.append(
            f'walking beam "{beam.name}": the springs of {beam.axles[0]} and {beam.axles[1]} act together at its pivot and are sized as each axle\'s part of them; '
            "the frequency of each at rest is that of its wheels alone moving, the other axle's still; "
            f"load there is shared {plain(100 * front, 0)} to {plain(100 * rear, 0)}"
        )
    if of_design is not heaviest:
        notes.append(
            f'the design state "{of_design.name}" is not the heaviest; "{heaviest.name}" is {show(heaviest.mass - of_design.mass, "mass")} heavier'
        )
    notes += _inertias_taken(weights)
    points = dict.fromkeys(name for weight in weights for name in weight.points)
    if points:
        notes.append(
            f"{', '.join(points)}: over 5 % of the mass and taken as a point, which makes pitch and roll too quick where it is long; give its extent"
        )
    notes += _roll_centres_taken(design)
    notes += [
        f"{weight.name}: part-full tanks act as if the centre of gravity were {show(weight.virtual_rise, 'length')} higher in roll; sloshing is not modelled"
        for weight in weights
        if weight.free_surface_roll
    ]
    if len(design.axles) + (design.hitch is not None) > 2 and not all(axle.design_load for axle in design.axles):
        notes.append(
            "more than two supports: design loads are shared in proportion to ratings; give design_load on each axle to set your own"
        )
    notes += filter(None, [_left_to_prove(design)])
    notes += [
        f"{axle.name}: the tyre's rate is an estimate from size and pressure, {SCATTER:.0%} either way; measure it with tape and scales"
        for axle in design.axles
        if axle.tyre.estimate
    ]
    notes += [
        f"{state.name}: {name} tyres at {show(pressure, 'pressure')}, {show(axle.tyre.rate_at(pressure), 'rate')} in place of {show(axle.tyre.rate, 'rate')}"
        + ("" if axle.tyre.readings else ", in proportion to estimates by size and pressure")
        for state in design.states
        for name, pressure in state.tyre_pressure.items()
        for axle in design.axles
        if axle.name == name
    ]
    notes += _built(design)
    notes += [one.said for one in bush_estimates(design)]
    notes += filter(None, [estimates_said(design)])
    notes += [
        f"{axle.name}: gas of helper {helper.name} is told quick about zero travel in every state: a slow change of load presses it further"
        for axle in design.axles
        for helper in axle.helpers
        if helper.air is not None or helper.strut is not None
    ]
    for axle in design.axles:
        if axle.spring.acts.by == "ratio" and not axle.spring.acts.progression:
            notes.append(
                f"{axle.name}: how the motion ratio changes with travel is not known, so the geometric term is left out; it is often 5 to 20 % of a wheel rate"
            )
        unlike = both_sides(axle)
        if len(unlike) == 2:
            left, right = (plain(float(lengths(side, 0.0).ratio), 3) for side in unlike)
        if len(unlike) == 2 and left != right:
            notes.append(
                f"{axle.name}: what holds it makes left and right unlike: motion ratio {left} left, {right} right; rates here are of both in the mean, and each side moves by its own curve"
            )
        if axle.spring.acts.by == "table":
            notes.append(
                f"{axle.name}: readings lie {show(axle.spring.acts.scatter, 'length', decimals=2)} from the smooth curve (root mean square)"
            )
        if axle.target is not None and axle.target.damping_ratio is not None and axle.damper is None:
            notes.append(f"{axle.name}: no [axles.damper], so the damper is taken to move with the wheel")
    return notes
