"""What random ground does to a Rig: transfer functions, spectra and root mean squares about a position of rest.

Linear about the rest, with dampers and dry friction replaced by the straight ones that do the same work at the speeds
they reach (statistical linearisation for a Gaussian speed: c = E[dF/dv]), found by iteration. Ground is ISO 8608 with
w = 2 and two tracks that share gamma of their cross-spectrum; each axle meets it later than the one before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from springwright.motion.equilibrium import Rest
from springwright.motion.forces import accelerometer, damper_factor, forces, mass_matrix, sliding, tyre_forces
from springwright.motion.rig import BODY, BUMP_STOP, DROOP_STOP, Rig
from springwright.motion.weighting import response as weighting
from springwright.results import KEPT, Result, si
from springwright.terrain.roughness import HIGHEST, LOWEST, displacement_density, track_coherence

if TYPE_CHECKING:
    from springwright.motion.figures import Point

Floats = NDArray[np.float64]
Complex = NDArray[np.complex128]
COUNT, ROUNDS, SETTLED = 256, 30, 1e-6


@dataclass(frozen=True)
class PointSpectrum(Result):
    """Acceleration at one place of the body: weighted root mean squares and the one-sided density of the unweighted rise.

    `along` and `across` are as a seat feels them, gravity's share of tilt in them; `along_moved` and `across_moved` are without it.
    """

    name: str
    up: float = si("m/s**2")
    along: float = si("m/s**2")
    across: float = si("m/s**2")
    up_raw: float = si("m/s**2")
    absorbed: float = si("W")
    density: tuple[float, ...] = si("(m/s**2)**2/Hz", ())
    along_moved: float = si("m/s**2", 0.0)
    across_moved: float = si("m/s**2", 0.0)


@dataclass(frozen=True)
class Response(Result):
    """Root mean squares over a ground at a speed. `beyond` says where the linear picture no longer holds.

    `hubs` are one-sided densities of the acceleration of each wheel at the frequencies [(m/s2)2/Hz].
    """

    roughness: float = si("m**3")
    speed: float = si("m/s")
    frequencies: tuple[float, ...] = si("Hz", ())
    points: tuple[PointSpectrum, ...] = ()
    travel: tuple[float, ...] = si("m", ())
    tyre_load: tuple[float, ...] = si("N", ())
    damper_speed: tuple[float, ...] = si("m/s", ())
    damper_rate: tuple[float, ...] = si("N*s/m", ())
    rounds: int = 0
    beyond: tuple[str, ...] = ()
    hubs: tuple[tuple[float, ...], ...] = field(metadata=KEPT, repr=False, default=())


def response(  # noqa: PLR0913 what a response may be asked, by name
    rig: Rig,
    rest: Rest,
    roughness: float,
    speed: float,
    *,
    points: Sequence[Point] = (),
    apart: float | None = None,
    coherence: float | None = None,
    lowest: float = LOWEST,
    highest: float = HIGHEST,
    footprint: float = 0.0,
    count: int = COUNT,
) -> Response:
    """Spectra and RMS over ISO 8608 ground.

    Parameters
    ----------
    rig, rest : Rig, Rest
    roughness : float
        G_d(n0) [m3].
    speed : float
        [m/s]
    points : sequence of Point
        Places of the body where acceleration is read.
    apart : float, optional
        Distance between the tracks [m]; the mean track of the wheels if left out.
    coherence : float, optional
        gamma at every frequency in place of that of isotropic ground.
    lowest, highest : float
        Range of spatial frequency [cycle/m].
    footprint : float
        Length over which the tyre averages the ground [m].
    count : int
        Frequencies, even on a logarithmic scale.

    """
    frequency = np.geomspace(lowest * speed, highest * speed, count)
    solver = _Linear(rig, rest, frequency, speed, footprint, apart, coherence)
    density = displacement_density(frequency / speed, roughness) / speed
    rates, rounds, moved = solver.linearised(density)
    travel = solver.rms(rig.travel_map @ moved, density)
    load = solver.rms(solver.tyre(moved), density)
    s = 2j * np.pi * frequency
    damper = solver.rms((rig.damper_map @ moved) * s[:, None, None], density)
    hubs = solver.spectrum(moved[:, BODY:] * (s**2)[:, None, None], density)
    return Response(
        roughness=roughness,
        speed=speed,
        frequencies=tuple(frequency.tolist()),
        points=tuple(_at(point, rig, solver, moved, density) for point in points),
        travel=tuple(travel.tolist()),
        tyre_load=tuple(load.tolist()),
        damper_speed=tuple(damper.tolist()),
        damper_rate=tuple(rates.tolist()),
        rounds=rounds,
        beyond=tuple(_beyond(rig, rest, solver.rms(rig.element_map @ moved, density), load)),
        hubs=tuple(map(tuple, hubs.T.tolist())),
    )


def transfer(rig: Rig, rest: Rest, frequency: Floats, speed: float, rates: Floats | None = None) -> Complex:
    """Motion of every coordinate per height of the left and the right track: array of shape (frequencies, 4 + w, 2).

    `rates` are damper rates at the wheel end [N s/m]; the slopes next to rest if left out.
    """
    solver = _Linear(rig, rest, frequency, speed, 0.0, None, None)
    return solver.motion(solver.slopes() if rates is None else rates)


class _Linear:
    """The linear problem at a set of frequencies, laid out once and solved for any damper rates."""

    def __init__(
        self,
        rig: Rig,
        rest: Rest,
        frequency: Floats,
        speed: float,
        footprint: float,
        apart: float | None,
        coherence: float | None,
    ) -> None:
        # a damper that depends on its travel is taken as it is where it rests
        there = damper_factor(rig, rig.damper_map @ rest.q)
        self.rig, self.frequency = replace(rig, damper_force=rig.damper_force * there[:, None]), frequency
        self.moving = rig.free
        square = np.ix_(self.moving, self.moving)
        self.omega = 2 * np.pi * frequency
        _, rate, damping = tyre_forces(rig, rest.q[BODY:])
        self.tyre_rate, self.tyre_damping = rate, damping
        own = np.zeros(len(rest.q))
        own[BODY:] = damping
        self.static = forces(rig, rest.q)[1][square] - self.omega[:, None, None] ** 2 * mass_matrix(rig)[square]
        self.static = self.static + 1j * self.omega[:, None, None] * np.diag(own[self.moving])
        self.damper_map = rig.damper_map[:, self.moving]
        side = np.sign(rig.wheel_places[:, 1])
        tracks = np.column_stack(
            [
                np.where(side > 0, 1.0, np.where(side < 0, 0.0, 0.5)),
                np.where(side < 0, 1.0, np.where(side > 0, 0.0, 0.5)),
            ]
        )
        late = np.exp(1j * self.omega[:, None] * (rig.wheel_places[:, 0] - rig.wheel_places[:, 0].max()) / speed)
        self.ground = late[:, :, None] * tracks * np.sinc(frequency / speed * footprint)[:, None, None]
        pairs = np.abs(rig.wheel_places[:, 1][rig.wheel_places[:, 1] != 0])
        wide = apart if apart is not None else 2 * float(pairs.mean()) if len(pairs) else 0.0
        self.gamma = (
            np.full(len(frequency), coherence) if coherence is not None else track_coherence(frequency / speed, wide)
        )

    def motion(self, rates: Floats) -> Complex:
        """(f, 4 + w, 2): every coordinate per height of each track [m/m, rad/m]."""
        damped = self.static + 1j * self.omega[:, None, None] * ((self.damper_map.T * rates) @ self.damper_map)
        push = np.zeros((len(self.omega), len(self.rig.wheel_places) + BODY, 2), dtype=complex)
        push[:, BODY:] = (self.tyre_rate + 1j * self.omega[:, None] * self.tyre_damping)[:, :, None] * self.ground
        moved = np.zeros_like(push)
        moved[:, self.moving] = np.linalg.solve(damped, push[:, self.moving])
        return moved

    def tyre(self, moved: Complex) -> Complex:
        """(f, w, 2): change of tyre load per height of each track."""
        return np.asarray(
            (self.tyre_rate + 1j * self.omega[:, None] * self.tyre_damping)[:, :, None]
            * (self.ground - moved[:, BODY:])
        )

    def spectrum(self, gain: Complex, density: Floats) -> Floats:
        """(f, outputs): one-sided density of outputs whose gains to both tracks are (f, outputs, 2) [SI squared per Hz]."""
        left, right = gain[..., 0], gain[..., 1]
        both = np.abs(left) ** 2 + np.abs(right) ** 2 + 2 * self.gamma[:, None] * np.real(left * np.conj(right))
        # one that cancels between the tracks may come out a rounding below nothing
        return np.asarray(np.maximum(both, 0.0) * density[:, None])

    def rms(self, gain: Complex, density: Floats) -> Floats:
        """Root mean square of each output [SI]."""
        return np.asarray(np.sqrt(np.trapezoid(self.spectrum(gain, density), self.frequency, axis=0)))

    def slopes(self) -> Floats:
        """Damper slopes next to rest [N s/m]."""
        return equivalent_rates(self.rig, np.full(len(self.rig.damper_rows), 1e-6), friction=False)

    def linearised(self, density: Floats) -> tuple[Floats, int, Complex]:
        """Damper rates that do the work the true dampers do at the speeds they reach, the rounds it took, and the motion then [N s/m]."""
        rates = self.slopes()
        moved = self.motion(rates)
        rounds, change = 0, np.inf if len(rates) else 0.0
        while rounds < ROUNDS and change > SETTLED:
            speed = self.rms((self.rig.damper_map @ moved) * (1j * self.omega)[:, None, None], density)
            better = equivalent_rates(self.rig, speed)
            change = float(np.abs(better / np.maximum(rates, 1e-9) - 1).max())
            if change > SETTLED:
                moved = self.motion(better)
            rates, rounds = better, rounds + 1
        return rates, rounds, moved


def equivalent_rates(rig: Rig, speed: Floats, *, friction: bool = True) -> Floats:
    """Straight damper that does the same work at a Gaussian speed of each root mean square [m/s]: E[F v] / E[v2], friction with it."""
    from scipy.special import ndtr

    points, force = rig.damper_speed, rig.damper_force
    slope = np.diff(force, axis=1) / np.diff(points, axis=1)
    edges = np.concatenate(
        [np.full((len(points), 1), -np.inf), points[:, 1:-1], np.full((len(points), 1), np.inf)], axis=1
    )
    share = np.diff(ndtr(edges / np.maximum(speed, 1e-12)[:, None]), axis=1)
    rates = (slope * share).sum(axis=1)
    if friction and np.any(rig.friction > 0):
        at = np.linspace(-6.0, 6.0, 601)
        bell = np.exp(-(at**2) / 2) / np.sqrt(2 * np.pi)
        rubbed = np.trapezoid(sliding(rig, speed[:, None] * at) * at * bell, at, axis=1)
        rates = rates + rig.friction * rubbed / np.maximum(speed, 1e-12)
    return np.asarray(rates)


def _at(point: Point, rig: Rig, solver: _Linear, moved: Complex, density: Floats) -> PointSpectrum:
    rows, leans = accelerometer(rig, point.place)
    body = moved[:, :BODY]
    moving = -(solver.omega[:, None, None] ** 2) * (rows @ body)
    gain = moving + leans @ body
    weights: Any = np.column_stack([weighting(name, solver.frequency) for name in ("Wk", "Wd", "Wd")])
    up, along, across = (float(value) for value in solver.rms(gain * weights[:, :, None], density))
    _, still_along, still_across = (float(value) for value in solver.rms(moving * weights[:, :, None], density))
    raw = solver.spectrum(gain, density)[:, 0]
    absorbed = np.trapezoid(np.abs(weighting("absorbed", solver.frequency)) ** 2 * raw, solver.frequency)
    return PointSpectrum(
        point.name,
        up,
        along,
        across,
        float(np.sqrt(np.trapezoid(raw, solver.frequency))),
        float(absorbed),
        tuple(raw.tolist()),
        still_along,
        still_across,
    )


def _beyond(rig: Rig, rest: Rest, stops: Floats, load: Floats) -> list[str]:
    """Where a wheel leaves the ground or a stop is met so often that the linear figures are no longer good."""
    said = []
    for i, (still, moves) in enumerate(zip(rest.wheel_loads, load, strict=True)):
        if 2.5 * moves > still:
            said.append(f"wheel {i + 1} leaves the ground: its load varies by {moves / still:.0%} (root mean square)")
    for e, wheel in rig.stops:
        kind = int(rig.element_kind[e])
        word, sign = ("bump", 1) if kind == BUMP_STOP else ("droop", -1)
        last = rig.element_step[e] * (rig.element_force.shape[1] - 1)
        contact = rig.element_start[e] + (last if kind == DROOP_STOP else 0.0)
        room = sign * (contact - float(rig.element_rows[e] @ rest.travel))
        if 2.5 * stops[e] > room:
            said.append(
                f"wheel {wheel + 1} meets its {word} stop: {1e3 * room:.0f} mm of room, {1e3 * stops[e]:.0f} mm root mean square"
            )
    return said
