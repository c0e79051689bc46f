"""Designs that differ in a few fields, made side by side: no file is written or read, and the springs are those sizing would aim at.

An axle with a target carries the ideal spring of just its rate, unless it names a spring: then that one. What is made is what `size` and
`prove` make of the same design with the spring named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ValidationError

from springwright.errors import FieldFault, UnsolvedError
from springwright.evaluation import Evaluation
from springwright.motion.rig import Rig
from springwright.parts.catalogue import Catalogue
from springwright.parts.damper import wheel_damping
from springwright.parts.law import Coiled, Law, LinearLaw
from springwright.sizing.rates import law_for, sprung_mass, wheel_rate_for
from springwright.sizing.sheet import Sheet, catalogue_of
from springwright.sizing.springs import law_there, own_law
from springwright.sizing.states import assembled, laws_in
from springwright.studies.decisions import Decision, told_changes
from springwright.vehicle.assemble import on_other_springs
from springwright.vehicle.axle import Axle
from springwright.vehicle.curves import check_travel
from springwright.vehicle.design import Design
from springwright.vehicle.edits import Change
from springwright.vehicle.faults import faults_of
from springwright.vehicle.fields import put
from springwright.vehicle.file import DesignFile, data_of
from springwright.vehicle.weigh import StateWeight, kerb_weight, support_loads, weigh

Floats = NDArray[np.float64]
# What of an axle neither weighing nor inertias look at.
WEIGHTLESS = ("target", "spring", "damper", "bar", "travel", "bump_stop", "droop_stop")
THREE = 3  # supports, from which on the springs say what each carries
MANY = 400  # designs after which what was remembered of the last ones is let go


@dataclass(frozen=True, eq=False)
class Variant:
    """One design: what it weighs in every load state, the laws of its springs there [by state, by axle], and its Rigs.

    `targets` are the wheel rates aimed at [N/m], where there is a target.
    """

    design: Design
    weights: tuple[StateWeight, ...]
    loads: Floats
    laws: tuple[tuple[Law, ...], ...]
    rigs: tuple[Rig, ...]


class Variants:
    """Makes designs out of one, by rows of decisions."""

    def __init__(self, file: DesignFile, sheet: Sheet, decisions: Sequence[Decision]) -> None:
        self.decisions = tuple(decisions)
        self.sheet, self.design = sheet, file.design
        self.catalogue: Catalogue = catalogue_of(file)
        self._data = data_of(file)
        self._data.get("vehicle", {}).pop("body", None)  # many points, and no mechanics follow from them
        self._pressures = any(state.tyre_pressure for state in file.design.states)
        self._light = all(
            at[0] == "axles" and len(at) > 2 and at[2] in WEIGHTLESS for one in decisions for at in one.locations
        )
        self._evaluation, self._made = Evaluation(), 0
        self._own: dict[Any, Law] = {}
        self._as_sized = self.as_sized()

    def of(self, values: Sequence[float]) -> Variant | str:
        """The design with every decision at a value [SI], or why there is none."""
        return self.changed(told_changes(self.decisions, values), weightless=self._light)

    def changed(self, changes: Sequence[Change], *, weightless: bool = False) -> Variant | str:
        """The design with some places changed, or why there is none; `weightless` where it weighs what it did."""
        data: Any = self._data
        for at, value in changes:
            data = put(data, at, value)
        self._made += 1
        if self._made % MANY == 0:
            self._evaluation = Evaluation()
            self._own.clear()
        try:
            with self._evaluation:
                design = self._rebuilt(data, changes) if weightless else Design.model_validate(data)
                return self._variant(design, weightless=weightless)
        except ValidationError as error:
            return "; ".join(str(fault) for fault in faults_of(error, data, Design))
        except (FieldFault, UnsolvedError) as error:
            return str(error)

    def _rebuilt(self, data: Any, changes: Sequence[Change]) -> Design:
        """The design with what differs of its axles read anew; the rest knows nothing of what is in them."""
        axles = list(self.design.axles)
        for i in {int(at[1]) for at, _ in changes}:
            named = {at[2] for at, _ in changes if at[1] == i}
            read = {name: held for name, held in axles[i] if isinstance(held, BaseModel) and name not in named}
            try:
                axles[i] = Axle.model_validate({**data["axles"][i], **read})
            except ValidationError:
                Design.model_validate(data)  # says it with the way to it
                raise
        return self.design.model_copy(update={"axles": tuple(axles)})

    def as_sized(self) -> Variant:
        """The design as it stands, on the very springs its sizing fits."""
        sheet = self.sheet
        damping = tuple(rate.damping.wheel if rate.damping else None for rate in sheet.rates)
        return _assembled(
            self.design, sheet.states, np.array(sheet.design_loads), tuple(one.law for one in sheet.springs), damping
        )

    def _variant(self, design: Design, *, weightless: bool) -> Variant:
        weights = self.sheet.states
        if not weightless:
            kerb = kerb_weight(design)
            weights = tuple(weigh(design, state.name, kerb) for state in design.states)
        for axle in design.axles:
            check_travel(axle)
        home = next(one for one in weights if one.name == self.sheet.design_state)
        loads = support_loads(design, home)
        laws, damping = [], []
        for i, axle in enumerate(design.axles):
            load, c = float(loads[i]), None
            if load <= axle.unsprung_mass:
                raise FieldFault(("axles", i, "unsprung_mass"), "the axle itself is as heavy as the load on it")
            if axle.target is None:
                law = law_there(axle, load, self.catalogue)
            else:
                rate = wheel_rate_for(axle, load, axle.target.frequency)
                law = self._law(i, axle, load, rate)
                if axle.target.damping_ratio is not None:
                    c = float(wheel_damping(axle.target.damping_ratio, rate, sprung_mass(axle, load)))
            laws.append(axle.as_built.law(law))
            damping.append(c)
        springs = tuple(laws)
        if weightless and alike_in_all(springs) and len(loads) < THREE and not self._pressures:
            rigs = tuple(on_other_springs(rig, design, springs, loads, damping) for rig in self._as_sized.rigs)
            return Variant(design, weights, loads, (springs,) * len(weights), rigs)
        return _assembled(design, weights, loads, springs, tuple(damping))

    def _law(self, index: int, axle: Axle, load: float, rate: float) -> Law:
        """The spring of an axle that aims at a wheel rate: its own, else the ideal one [kg, N/m]."""
        ideal = law_for(axle, load, rate)
        if axle.spring.part is None:
            return own_law(axle, load, ideal, self.catalogue)
        key = index, load, axle.spring
        if key not in self._own:
            self._own[key] = own_law(axle, load, ideal, self.catalogue)
        return self._own[key]


def alike_in_all(springs: Sequence[Law]) -> bool:
    """Whether springs are the same in every load state: plain coils, neither levelled nor of gas."""
    return all(isinstance(law, LinearLaw | Coiled) for law in springs)


def _assembled(
    design: Design,
    weights: tuple[StateWeight, ...],
    loads: Floats,
    springs: tuple[Law, ...],
    damping: tuple[float | None, ...],
) -> Variant:
    laws = tuple(laws_in(design, weight, springs, loads) for weight in weights)
    rigs = tuple(assembled(design, weight, each, loads, damping) for weight, each in zip(weights, laws, strict=True))
    return Variant(design, weights, loads, laws, rigs)
