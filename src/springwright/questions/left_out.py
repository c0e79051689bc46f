"""What the frame leaves out where a vehicle leans, and how much it is worth on this one, worked out on it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from springwright.motion.equilibrium import Rest, equilibrium
from springwright.motion.forces import Case, forces, mass_matrix
from springwright.motion.masses import sway_mass
from springwright.motion.modes import modes, solve
from springwright.motion.rig import Rig
from springwright.questions.limit_search import GrowingCase, reaches
from springwright.units import show

SIDEWAYS = 0.8  # of a tyre's vertical rate: what it gives sideways where nothing is known, common practice, no source
LEANED = 1.4  # rad, as far as a slope is looked for


def left_out_of(rig: Rig, state: str) -> tuple[str, ...]:
    """Notes on what is left out of a load state's Rig in roll: nothing for a vehicle with no track."""
    if not rig.roll_free:
        return ()
    (found,) = reaches(rig, [GrowingCase(LEANED, case=lambda a: Case.slope(lean=a))], tips=False)
    if found.lift is None:
        return ()
    other = replace(rig, on_beam=~rig.on_beam)
    (upright,) = reaches(other, [GrowingCase(LEANED, case=lambda a: Case.slope(lean=a))], tips=False)
    give = sideways(rig, Case.slope(lean=found.lift))
    lifts, less = show(upright.lift or found.lift, "angle"), show(give / max(float(rig.sprung_cg[2]), 1e-9), "angle")
    said = [
        f"{state}: springs close with the sine of the body's roll on a beam axle and in proportion to it on wheels of their own; the other way about the first wheel would lift at {lifts} in place of {show(found.lift, 'angle')} of side slope",
        f"tyres hold an axle stiffly sideways: with {SIDEWAYS:.1f} of their vertical rate they would let it go {show(give, 'length')} there, about {less} less slope",
    ]
    rest = equilibrium(rig)
    roll = next((mode.frequency for mode in modes(rig, rest) if mode.kind == "roll"), None)
    if roll:
        said.append(
            f"the sway of axles that tilt on their tyres is not in the mass matrix: roll would be at {show(swaying(rig, rest), 'frequency')} in place of {show(roll, 'frequency')}"
        )
    return tuple(said)


def sideways(rig: Rig, case: Case) -> float:
    """How far tyres that give sideways would let the vehicle go [m]."""
    return float(abs(case.specific[1]) * rig.mass / (SIDEWAYS * rig.tyre_rate.sum()))


def swaying(rig: Rig, rest: Rest) -> float:
    """Roll frequency [Hz] with the sway of axles that tilt on their tyres, and of wheels that lean, in the mass matrix."""
    free = np.ix_(rig.free, rig.free)
    mass = mass_matrix(rig) + sway_mass(rig, rest.q)
    squares, shapes = solve(mass[free], forces(rig, rest.q)[1][free])
    rolls = np.argmax(np.abs(shapes[list(rig.free).index(2)]) * (squares > 0))
    return float(np.sqrt(max(squares[rolls], 0.0)) / (2 * np.pi))
