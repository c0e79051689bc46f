"""What a study can ask of many designs: the figures of the seven questions that hang on statics and on one short drive, by their ids."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from springwright.motion.equilibrium import Rests, equilibria
from springwright.motion.figures import POINT, WHEEL, DriveTable
from springwright.motion.modes import roll_dampings
from springwright.motion.responses import Responses, responses
from springwright.motion.rig import BODY, BUMP_STOP, DROOP_STOP, Rig, row, stack
from springwright.questions.context import ProofContext
from springwright.questions.grip import cross_axle_heights, has_diagonal
from springwright.questions.leaning import roll_gradients, side_slopes
from springwright.questions.measures import measure
from springwright.sizing import frequency as ride
from springwright.sizing.rates import wheel_forces
from springwright.sizing.states import wheel_rates
from springwright.studies.variants import Variant
from springwright.terrain.ground import Ground
from springwright.units import GRAVITY
from springwright.vehicle.curves import lengths
from springwright.vehicle.design import Design

Floats = NDArray[np.float64]
FREQUENCIES = 96  # of a spectrum


class Road(NamedTuple):
    """What every design of a study drives over: the ground as the tyres of the design as it stands feel it, and how [m/s, s]."""

    name: str
    ground: Ground
    speed: float
    duration: float
    settle: float
    roughness: float | None = None  # G_d(n0) of its ISO class [m3], where it has one
    footprint: float = 0.0
    coherence: float | None = None  # of the two tracks, in place of that of isotropic ground


@dataclass(frozen=True, eq=False)
class Block:
    """Some designs at rest in every load state, states within designs; `driven` are the states that are driven."""

    variants: Sequence[Variant]
    rigs: Rig
    rests: Rests
    road: Road
    driven: Sequence[int]
    ready: ProofContext
    threads: int | None = None

    @property
    def design(self) -> Design:
        """The first: what all have in common, such as axles and states."""
        return self.variants[0].design

    def by_state(self, values: Any) -> Floats:
        """(designs, states, ...) of values by Rig."""
        each = np.asarray(values)
        return np.asarray(each.reshape(len(self.variants), -1, *each.shape[1:]))

    @cached_property
    def q(self) -> Floats:
        """(designs, states, 4 + w): where they rest [m, rad]."""
        return self.by_state(self.rests.q)

    @cached_property
    def wheel_loads(self) -> Floats:
        """(designs, states, w): load under each wheel at rest [N]."""
        return self.by_state(self.rests.wheel_loads)

    @cached_property
    def travel(self) -> Floats:
        """(designs, states, w): travel of each wheel at rest [m]."""
        return self.by_state(np.einsum("rij,rj->ri", self.rigs.travel_map, self.rests.q))

    def rise(self, behind: Sequence[float]) -> Floats:
        """(designs, states): how much the body stands higher than as drawn at a place of each design behind its front axle [m]."""
        each = [[rig.rise_row(-at, 0.0) for rig in one.rigs] for one, at in zip(self.variants, behind, strict=True)]
        return np.asarray(np.einsum("nsb,nsb->ns", np.array(each), self.q[:, :, :BODY]))

    @cached_property
    def frequencies(self) -> Floats:
        """(designs, states, axles): of each axle on its springs alone [Hz]; nan where it carries nothing."""
        wheels = np.bincount(self.rigs.wheel_axle)
        rates = self.by_state(wheel_rates(self.rigs, self.travel.reshape(len(self.rests.q), -1)))
        unsprung = np.array([[axle.unsprung_mass for axle in one.design.axles] for one in self.variants])
        carried = self.wheel_loads @ (self.rigs.wheel_axle[:, None] == np.arange(len(wheels))) / GRAVITY
        masses = (carried - unsprung[:, None]) / wheels
        stands = (rates > 0) & (masses > 0)
        found = np.asarray(ride.frequency_of_rate(np.where(stands, rates, 1.0), np.where(stands, masses, 1.0)))
        return np.where(stands, found, np.nan)

    @cached_property
    def runs(self) -> DriveTable:
        """A row for each design and driven state."""
        from springwright.motion.drive import drive_many

        states = self.q.shape[1]
        picked = np.array([n * states + s for n in range(len(self.variants)) for s in self.driven])
        rigs = [self.variants[r // states].rigs[r % states] for r in picked]
        return drive_many(
            rigs, self.road.ground, self.road.speed, points=self.ready.points, duration=self.road.duration,
            settle=self.road.settle, threads=self.threads,
        )  # fmt: skip

    @cached_property
    def responses(self) -> Responses:
        """The linear response to the ground's class of each design and driven state, as many as `runs`."""
        states = self.q.shape[1]
        assert self.road.roughness is not None
        picked = np.array([n * states + s for n in range(len(self.variants)) for s in self.driven])
        return responses(
            row(self.rigs, picked), self.rests.some(picked), self.road.roughness, self.road.speed, points=self.ready.points,
            footprint=self.road.footprint, coherence=self.road.coherence, count=FREQUENCIES, threads=self.threads or os.cpu_count() or 1,
        )  # fmt: skip

    def worst_run(self, values: Floats) -> Floats:
        """(designs,) the greatest of values by run."""
        return np.asarray(values.reshape(len(self.variants), len(self.driven)).max(axis=1))


class Asked(NamedTuple):
    """A figure that can be asked of many designs at once: of a block the worst over load states for each design, (designs,).

    `stands_in`: it is read from a shorter drive than `prove` makes.
    """

    words: str
    unit: str
    kind: str
    sense: Literal["at most", "at least"]
    of: Callable[[Block], Floats]
    stands_in: bool = False


def _weighted(block: Block) -> Floats:
    points = block.runs.points
    each = [points[:, :, POINT.index(name)] for name in ("up", "along", "across")]
    return block.worst_run(np.sqrt(sum(one**2 for one in each)).max(axis=1))


def _varied(block: Block) -> Floats:
    moved = block.runs.wheels[:, :, WHEEL.index("load_rms")]
    still = block.wheel_loads[:, list(block.driven)].reshape(moved.shape)
    return block.worst_run((moved / still).max(axis=1))


def _weighted_linear(block: Block) -> Floats:
    return block.worst_run(np.sqrt((block.responses.points**2).sum(axis=2)).max(axis=1))


def _varied_linear(block: Block) -> Floats:
    moved = block.responses.tyre_load
    still = block.wheel_loads[:, list(block.driven)].reshape(moved.shape)
    return block.worst_run((moved / still).max(axis=1))


def _off(block: Block) -> Floats:
    return block.worst_run(block.runs.wheels[:, :, WHEEL.index("off_ground")].max(axis=1))


def _worst(figures: Callable[[Rig], Floats], *, most: bool) -> Callable[[Block], Floats]:
    def of(block: Block) -> Floats:
        each = block.by_state(figures(block.rigs))
        return np.asarray(each.max(axis=1) if most else each.min(axis=1))

    return of


def _factor(block: Block) -> Floats:
    """The least bump load factor of an axle in a state."""
    found = np.full(len(block.variants), np.inf)
    for n, one in enumerate(block.variants):
        for i, axle in enumerate(one.design.axles):
            laws = {id(each[i]): each[i] for each in one.laws}
            forces = dict(zip(laws, wheel_forces(axle, [*laws.values()], axle.travel.bump), strict=True))
            mine = block.rigs.wheel_axle == i
            for s, each in enumerate(one.laws):
                carried = block.wheel_loads[n, s, mine].mean() - GRAVITY * axle.unsprung_mass / axle.wheels
                if carried > 0:
                    found[n] = min(found[n], forces[id(each[i])] / carried)
    return found


def _height(block: Block) -> Floats:
    places = zip(*([axle.behind_front_axle for axle in one.design.axles] for one in block.variants), strict=True)
    return np.asarray(np.max([np.ptp(block.rise(behind), axis=1) for behind in places], axis=0))


def _frequency(block: Block) -> Floats:
    """Greatest over least frequency of an axle over the load states, less one."""
    return np.asarray((block.frequencies.max(axis=1) / block.frequencies.min(axis=1)).max(axis=1) - 1)


def _attitude(block: Block) -> Floats:
    return np.asarray(np.ptp(block.q[:, :, 1], axis=1))


def _aim(block: Block) -> Floats:
    home = [at.name for at in block.ready.states].index(block.ready.home.name)
    return np.asarray(np.abs(np.tan(block.q[:, :, 1] - block.q[:, home : home + 1, 1])).max(axis=1))


def _left(kind: int, end: str) -> Callable[[Block], Floats]:
    """Travel to spare at rest, of the axle and state that has least."""

    def of(block: Block) -> Floats:
        at = block.by_state(block.rigs.stop_travel(block.travel.reshape(len(block.rests.q), -1), kind))
        room = np.array([[getattr(axle.travel, end) for axle in one.design.axles] for one in block.variants])
        spare = room[:, None, block.rigs.wheel_axle] + (-at if end == "bump" else at)
        return np.asarray(spare.min(axis=(1, 2)))

    return of


def _rolls(block: Block) -> Floats:
    """The least damping ratio of the mode that is mostly roll."""
    each = block.by_state(roll_dampings(block.rigs, block.rests))
    return np.asarray(np.where(np.isnan(each), np.inf, each).min(axis=1))


def _droop(block: Block) -> Floats:
    """The least force left in a spring at full droop, counted on past nothing."""
    found = np.full(len(block.variants), np.inf)
    for n, one in enumerate(block.variants):
        for i, axle in enumerate(one.design.axles):
            for law in {id(each[i]): each[i] for each in one.laws}.values():
                out = axle.spring.rest_length - float(lengths(axle, -axle.travel.droop).length)
                found[n] = min(found[n], float(law.at(out).force))
    return found


def _belly(block: Block) -> Floats:
    found = np.full(len(block.variants), np.inf)
    for n, one in enumerate(block.variants):
        for behind, above in one.design.belly:
            for s, rig in enumerate(one.rigs):
                found[n] = min(found[n], above + float(rig.rise_row(-behind, 0.0) @ block.q[n, s, :BODY]))
    return found


ASKED: dict[str, Asked] = {
    "weighted_acceleration": Asked("weighted acceleration at the seat", "m/s**2", "acceleration", "at most", _weighted, True),
    "load_variation": Asked("wheel load variation, root mean square / static", "", "share", "at most", _varied, True),
    "weighted_acceleration_linear": Asked("weighted acceleration at the seat, linear", "m/s**2", "acceleration", "at most", _weighted_linear),
    "load_variation_linear": Asked("wheel load variation, linear", "", "share", "at most", _varied_linear),
    "off_ground": Asked("share of time a wheel is off the ground", "", "share", "at most", _off, True),
    "roll_gradient": Asked("roll gradient", "rad*s**2/m", "lean", "at most", _worst(roll_gradients, most=True)),
    "side_slope": Asked("side slope at which a wheel lifts", "rad", "angle", "at least", _worst(side_slopes, most=False)),
    "cross_axle_height": Asked("cross-axle articulation height", "m", "length", "at least", _worst(cross_axle_heights, most=False)),
    "bump_load_factor": Asked("bump load factor", "", "ratio", "at least", _factor),
    "height_change": Asked("height change between load states", "m", "length", "at most", _height),
    "frequency_change": Asked("frequency change between load states", "", "share", "at most", _frequency),
    "attitude_change": Asked("attitude change between load states", "rad", "angle", "at most", _attitude),
    "lamp_aim_change": Asked("headlamp aim change", "", "share", "at most", _aim),
    "roll_damping": Asked("damping ratio in roll", "", "ratio", "at least", _rolls),
    "spring_force_at_full_droop": Asked("spring force at full droop", "N", "force", "at least", _droop),
    "bump_left": Asked("bump travel to spare at rest", "m", "length", "at least", _left(BUMP_STOP, "bump")),
    "droop_left": Asked("droop travel to spare at rest", "m", "length", "at least", _left(DROOP_STOP, "droop")),
    "belly_clearance": Asked("belly clearance at rest", "m", "length", "at least", _belly),
}  # fmt: skip
DEAR = (
    "side_slope",
    "cross_axle_height",
)  # held against their limits only where they are sought: they cost a search each
NEVER_BELOW = ("bump_left", "droop_left", "spring_force_at_full_droop")  # nothing


LINEAR = ("weighted_acceleration_linear", "load_variation_linear")  # of a ground of an ISO class


def can_ask(design: Design, ident: str, roughness: float | None = None) -> str:
    """Why a figure cannot be asked of a design on a ground of a roughness [m3]; nothing where it can."""
    if ident in LINEAR and roughness is None:
        return "the ground it is driven on has no iso_class"
    rolls = any(axle.wheels == 2 for axle in design.axles)
    if ident in ("roll_gradient", "side_slope", "roll_damping") and not rolls:
        return "no axle of it has two wheels"
    if ident == "cross_axle_height" and not has_diagonal(design):
        return "a diagonal ditch wants two wheels on the first and the last axle"
    if ident == "belly_clearance" and not design.belly:
        return "give belly"
    if ident == "lamp_aim_change" and design.lamp is None:
        return "give [lamp]"
    if ident in ("height_change", "frequency_change", "attitude_change", "lamp_aim_change") and len(design.states) < 2:
        return "there is only one load state"
    return ""


def limit_of(design: Design, ident: str) -> float | None:
    """The limit a design sets for a figure [SI]; none where it sets none."""
    if ident == "spring_force_at_full_droop" and not design.limits.preload_at_droop:
        return None
    if ident in NEVER_BELOW:
        return 0.0
    field = limit_field(ident)
    limit: float | None = getattr(design.limits, field) if field else None
    return limit


def limit_field(ident: str) -> str:
    """The field of a design's limits that a figure is held to; empty where there is none."""
    table, *field = measure(ident).limit or ("",)
    return field[0] if table == "limits" else ""


def block_of(
    variants: Sequence[Variant], road: Road, driven: Sequence[int], ready: ProofContext, threads: int | None = None
) -> Block:
    """Designs of one make side by side, at rest."""
    rigs = stack([rig for one in variants for rig in one.rigs])
    return Block(variants, rigs, equilibria(rigs), road, driven, ready, threads)
