"""One axle on springs of many trial frequencies: where it rests in every load state, and the static figures read from that."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from copy import copy
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault
from springwright.evaluation import current
from springwright.motion.equilibrium import equilibria
from springwright.motion.rig import BODY, Rig
from springwright.motion.searching import CurveKnots
from springwright.parts.law import Law
from springwright.sizing import frequency as ride
from springwright.sizing.crossing_search import FigureAtFrequencies
from springwright.sizing.rates import laws_for, spring_load, sprung_mass, wheel_forces
from springwright.units import GRAVITY
from springwright.vehicle.assemble import own_springs
from springwright.vehicle.axle import Axle
from springwright.vehicle.curves import ForceCurve, lengths, mean_curves
from springwright.vehicle.weigh import StateWeight

Floats = NDArray[np.float64]


class SweptRests(NamedTuple):
    """Rest at n frequencies in s load states: q (n, s, 4 + w), travel and wheel loads (n, s, w); nan where one of the states has none."""

    q: Floats
    travel: Floats
    wheel_loads: Floats


UNASKED = 1e3  # load factor of springs that carry nothing
MOST_KNOWN = 2000  # frequencies
# What of a Rig a trial puts its own in place of.
CURVE = ("element_start", "element_step", "element_force", "element_rate")


class FrequencySweep:
    """One axle at trial frequencies: rests in every load state, each worked out once."""

    def __init__(
        self, axle: Axle, index: int, weights: Sequence[StateWeight], rigs: Rig, loads: Floats, load: float
    ) -> None:
        """`rigs` is a batch of the load states without stops, `loads` what the axle carries in each and `load` by design [kg]."""
        self.axle, self.index, self.weights = axle, index, weights
        self._mass, self._ideal = sprung_mass(axle, load), laws_for(axle, load)
        self._carried = [spring_load(axle, one) for one in loads.tolist()]
        self._rigs = rigs
        self._elements = own_springs(rigs, index)
        s, w = rigs.tyre_rate.shape
        self._lost = SweptRests(*(np.full((s, n), np.nan) for n in (BODY + w, w, w)))
        self._laws: dict[float, list[Law]] = {}
        self._known: dict[float, SweptRests] = {}
        self.looked: dict[Any, Any] = {}  # what was found of it over the whole range

    @classmethod
    def of(
        cls, axle: Axle, index: int, weights: Sequence[StateWeight], rigs: Rig, loads: Floats, load: float
    ) -> FrequencySweep:
        """A trial, with the rests of the last one where all but the axle's own spring and target are the same [N, kg]."""
        elements = own_springs(rigs, index)
        told = hashlib.sha256(loads.tobytes())
        for name in rigs.__dataclass_fields__:
            one = np.asarray(getattr(rigs, name))
            if name in CURVE:
                one = np.delete(one, elements, axis=1)
            told.update(np.ascontiguousarray(one).tobytes())
        names = tuple(one.name for one in weights)
        key = (load, names, axle.model_dump(exclude={"target"}), told.digest())
        last = current().last(("frequency sweep", index), key, lambda: cls(axle, index, weights, rigs, loads, load))
        last.forget(MOST_KNOWN)
        again = copy(last)
        again.axle, again.weights = axle, weights
        return again

    def forget(self, most: int) -> None:
        """Begin anew where rests at more than so many frequencies are kept."""
        if len(self._known) > most:
            for kept in (self._known, self._laws, self.looked):
                kept.clear()

    def law(self, frequency: float) -> Law:
        """The ideal spring at a frequency [Hz].

        Raises
        ------
        FieldFault
            No spring gives it.

        """
        return self._ideal(float(ride.rate_for_frequency(frequency, self._mass)))

    def laws(self, frequency: float) -> list[Law]:
        """That spring in every load state, at its height where it is levelled; none where no spring gives the frequency [Hz]."""
        if frequency not in self._laws:
            try:
                law = self.law(frequency)
                self._laws[frequency] = [law.carrying(force) for force in self._carried]
            except FieldFault:
                self._laws[frequency] = []
        return self._laws[frequency]

    def springs(self, frequencies: Sequence[float]) -> tuple[NDArray[np.intp], ForceCurve]:
        """The curves of this axle's springs, and which of them it has at every frequency in each load state, states within frequencies [Hz]."""
        laws = [law for f in frequencies for law in self.laws(f)]
        different = {id(law): law for law in laws}
        place = {key: i for i, key in enumerate(different)}
        return np.array([place[id(law)] for law in laws]), mean_curves(self.axle, list(different.values()))

    def rests(self, frequencies: Floats) -> SweptRests:
        """Rest at every frequency in each load state [Hz]."""
        new = [f for f in frequencies.tolist() if f not in self._known]
        self._known |= dict.fromkeys(new, self._lost)
        new = [f for f in new if self.laws(f)]
        if new:
            states = np.tile(np.arange(len(self.weights)), len(new))
            which, curves = self.springs(new)
            drawn = CurveKnots(self._elements, which, *curves)
            rests = equilibria(self._rigs, of=states, drawn=drawn, again=False)
            shape = (len(new), len(self.weights), -1)
            q, loads = rests.q.reshape(shape), rests.wheel_loads.reshape(shape)
            travel = self._rigs.travel_at(q)
            for i in np.flatnonzero(np.isfinite(q).all(axis=(1, 2))):
                self._known[new[i]] = SweptRests(q[i], travel[i], loads[i])
        known = [self._known[f] for f in frequencies.tolist()]
        return SweptRests(*(np.array(part) for part in zip(*known, strict=True)))

    def factor(self, frequencies: Floats, bump: float | None = None) -> FigureAtFrequencies:
        """Least bump load factor over the load states: spring force there / static sprung load, at the wheel; `bump` in place of its travel [m]."""
        rests, axle = self.rests(frequencies), self.axle
        still = (rests.travel @ self._rigs.element_rows[0, self._elements].T).mean(axis=2)
        pressed = axle.spring.rest_length - lengths(axle, still).length
        mine = self._rigs.wheel_axle == self.index
        carried = rests.wheel_loads[:, :, mine].mean(axis=2) - GRAVITY * axle.unsprung_mass / axle.wheels
        at_stop, stands = np.full(still.shape, np.nan), np.isfinite(still).all(axis=1)
        laws = [law for f in frequencies[stands].tolist() for law in self.laws(f)]
        quick = [law.about(at) for law, at in zip(laws, pressed[stands].ravel().tolist(), strict=True)]
        at_stop[stands] = np.reshape(
            wheel_forces(axle, quick, axle.travel.bump if bump is None else bump), (-1, still.shape[1])
        )
        # an axle that hangs carries nothing, and asks nothing of its springs at the stop
        factors = np.where(carried > 0, at_stop / np.where(carried > 0, carried, 1.0), UNASKED)
        factors[~np.isfinite(at_stop)] = np.nan
        worst = np.argmin(factors, axis=1)
        return FigureAtFrequencies(np.min(factors, axis=1), [self.weights[at].name for at in worst])

    def height_change(self, frequencies: Floats) -> FigureAtFrequencies:
        """Largest difference in height over this axle between two load states [m]."""
        rise = self._rigs.rise_row(-self.axle.behind_front_axle, 0.0)
        return self._spread(np.einsum("sb,nsb->ns", rise, self.rests(frequencies).q[:, :, :BODY]))

    def attitude_change(self, frequencies: Floats) -> FigureAtFrequencies:
        """Largest difference in pitch between two load states [rad]."""
        return self._spread(self.rests(frequencies).q[:, :, 1])

    def droop_force(self, frequencies: Floats, droop: float | None = None) -> FigureAtFrequencies:
        """Force left in the coil at full droop [N], counted on past zero; `droop` in place of its travel [m]."""
        longest = float(lengths(self.axle, -(self.axle.travel.droop if droop is None else droop)).length)
        at = self.axle.spring.rest_length - longest
        left = [float(self.law(f).at(at).force) if self.laws(f) else np.nan for f in frequencies.tolist()]
        return FigureAtFrequencies(np.array(left), ["every state"] * len(left))

    def _spread(self, values: Floats) -> FigureAtFrequencies:
        low, high = np.argmin(values, axis=1), np.argmax(values, axis=1)
        names = [f"{self.weights[b].name} to {self.weights[a].name}" for a, b in zip(low, high, strict=True)]
        return FigureAtFrequencies(np.ptp(values, axis=1), names)
