"""The compiled response to random ground against its slow twin, `motion.response`."""

from dataclasses import replace

import numpy as np
import pytest

from springwright import load
from springwright.motion.equilibrium import equilibria
from springwright.motion.figures import Point
from springwright.motion.response import response
from springwright.motion.responses import responses
from springwright.motion.rig import stack
from springwright.sizing.fitted import assemble
from springwright.vehicle.assemble import with_damping, with_rates
from tests.build import DEMOS

POINTS = (Point("driver", (-1.2, 0.4, 1.1)), Point("bed", (-3.0, -0.5, 0.9)))
ASKED = {"points": POINTS, "footprint": 0.12, "count": 60}


def rigs_of(name):
    """A demo in its load states, on springs and dampers of several strengths."""
    file = load(DEMOS / name)
    return [
        with_damping(with_rates(rig, 0, stiff), 0, damped)
        for rig in (assemble(file, state.name) for state in file.design.states)
        for stiff, damped in ((1.0, 1.0), (0.7, 0.4), (1.6, 2.5))
    ]


def alike(rigs, tolerance=1e-9, **more):
    rests = equilibria(stack(rigs))
    told = responses(stack(rigs), rests, 64e-6, 11.0, **ASKED, **more)
    for r, rig in enumerate(rigs):
        one = response(rig, rests.of(r, rig), 64e-6, 11.0, **ASKED, **more)
        assert told.points[r] == pytest.approx(
            np.array([[at.up, at.along, at.across] for at in one.points]), rel=tolerance, abs=1e-8
        )
        assert told.up_raw[r] == pytest.approx([at.up_raw for at in one.points], rel=tolerance)
        assert told.tyre_load[r] == pytest.approx(one.tyre_load, rel=tolerance)
        assert told.travel[r] == pytest.approx(one.travel, rel=tolerance)
        assert told.damper_rate[r] == pytest.approx(one.damper_rate, rel=tolerance)
        assert told.rounds[r] == one.rounds
    return told


@pytest.mark.parametrize("name", ["fire-watch.toml", "fire-watch-links.toml", "survey-buggy.toml", "bog-carrier.toml"])
def test_demos_respond_as_their_slow_twins(name):
    assert np.all(alike(rigs_of(name)).tyre_load > 0)


def test_dampers_with_knees_zones_and_friction_are_straightened_alike():
    rigs = rigs_of("fire-watch.toml")[:4]
    speed = np.array([-1.5, -0.4, -0.1, 0.0, 0.08, 0.3, 1.2])
    force = np.array([-4200.0, -2600.0, -1500.0, 0.0, 900.0, 1500.0, 2400.0])
    count = len(rigs[0].friction)
    made = [
        replace(
            rig,
            damper_speed=np.tile(speed, (count, 1)),
            damper_force=np.tile((1 + 0.2 * k) * force, (count, 1)),
            friction=np.full(count, 120.0 + 60 * k),
            damper_place=np.tile([-0.05, 0.0, 0.05], (count, 1)),
            damper_factor=np.tile([1.5, 1.0, 1.8], (count, 1)),
        )
        for k, rig in enumerate(rigs)
    ]
    assert alike(made, 1e-8).rounds.min() > 3  # they are bent enough to take several rounds


def test_tracks_may_be_told_their_coherence():
    rigs = rigs_of("survey-buggy.toml")[:2]
    one, none = alike(rigs, coherence=1.0), alike(rigs, coherence=0.0)
    assert np.all(none.points[..., 2] > one.points[..., 2])  # only unlike tracks roll a body


def test_in_threads_they_are_the_same():
    rigs = rigs_of("fire-watch.toml")
    rests = equilibria(stack(rigs))
    alone, both = (responses(stack(rigs), rests, 64e-6, 11.0, **ASKED, threads=n) for n in (1, 2))
    for a, b in zip(alone, both, strict=True):
        assert np.array_equal(a, b)


def test_what_finds_no_good_pivot_is_solved_by_the_slow_twin(monkeypatch):
    def gives_up(*args):
        args[-1].rounds[:] = -1

    monkeypatch.setattr("springwright.motion.kernel.linear.respond", gives_up)
    assert np.all(alike(rigs_of("fire-watch.toml")[:2]).rounds > 0)  # those of the twin, in place of none
