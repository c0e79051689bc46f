"""A vehicle as a model has it, in the load states it is read in: its weight, its Rig and where that rests, worked out when asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault
from springwright.motion.equilibrium import Rest, equilibrium
from springwright.motion.rig import Rig
from springwright.parts.law import Law
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import Sheet
from springwright.sizing.states import assembled, laws_in
from springwright.vehicle.design import Design
from springwright.vehicle.file import DesignFile
from springwright.vehicle.weigh import KerbWeight, StateWeight, kerb_weight, weigh

Floats = NDArray[np.float64]


class ModelledState(NamedTuple):
    """One load state: what it weighs, the laws of its springs, its Rig and its rest on level ground."""

    weight: StateWeight
    laws: tuple[Law, ...]
    rig: Rig
    rest: Rest


@dataclass(frozen=True, eq=False)
class Modelled:
    """A design on the springs that its sizing fits, or on others by `laws` [by axle]."""

    design: Design
    sheet: Sheet
    laws: tuple[Law, ...]
    _states: dict[str, ModelledState] = field(default_factory=dict, repr=False)

    @cached_property
    def kerb(self) -> KerbWeight:
        """What it weighs empty."""
        return kerb_weight(self.design)

    def at(self, name: str) -> ModelledState:
        """One of its load states."""
        if name not in self._states:
            weight = weigh(self.design, name, self.kerb)
            loads = np.array(self.sheet.design_loads)
            damping = [rate.damping.wheel if rate.damping else None for rate in self.sheet.rates]
            laws = laws_in(self.design, weight, self.laws, loads)
            rig = assembled(self.design, weight, laws, loads, damping)
            self._states[name] = ModelledState(weight, laws, rig, equilibrium(rig))
        return self._states[name]

    def axle(self, name: str, *path: str | int) -> int:
        """Which axle is called so; a fault at a place of the readings file where none is."""
        names = [one.name for one in self.design.axles]
        if name not in names:
            raise FieldFault(path, f"no such axle; there are {', '.join(names)}")
        return names.index(name)

    def state_named(self, name: str | None, *path: str | int) -> str:
        """A load state by name, the design state where none is said; a fault where there is no such one."""
        names = [one.name for one in self.design.states]
        if name is None:
            return self.sheet.design_state
        if name not in names:
            raise FieldFault(path, f"no such load state; there are {', '.join(names)}")
        return name


def modelled(file: DesignFile) -> Modelled:
    """A design file's vehicle as it says."""
    sheet = sized(file)
    return Modelled(file.design, sheet, tuple(one.law for one in sheet.springs))


def loaded(rig: Rig, mass: float, place: Sequence[float]) -> Rig:
    """The Rig with a mass set on its body [kg] at x, y, z [m]: for rest, its inertias stay."""
    whole = rig.sprung_mass + mass
    cg = (rig.sprung_mass * rig.sprung_cg + mass * np.asarray(place, dtype=float)) / whole
    return replace(rig, sprung_mass=whole, sprung_cg=cg)
