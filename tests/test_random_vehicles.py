"""Plausible vehicles of every make-up: an answer with finite figures, or a clear refusal; nineteen in twenty are answered."""

import json
import random
from copy import deepcopy

import numpy as np
import pytest

from springwright.errors import SpringwrightError
from springwright.motion.drive import drive
from springwright.motion.equilibrium import equilibrium
from springwright.motion.forces import GRAVITY, Case
from springwright.motion.modes import modes
from springwright.motion.response import response
from springwright.sizing.fitted import assemble, sized
from springwright.terrain.roughness import CLASSES, rough_ground
from tests.build import design_file
from tests.made_up import dressed, in_other_units, mirrored, vehicles

ROUGH = rough_ground("D", 40.0, 1.6)


def finite(value):
    """No figure of a result is infinite or not a number: JSON would hold null where the value was no number."""
    json.dumps(value, allow_nan=False)


def test_an_answer_or_a_clear_refusal_and_nineteen_in_twenty_answered():
    tried = [
        refusal(design_file(vehicles(random.Random(seed)))) for seed in range(60)
    ]  # why each was refused; nothing where not
    refused = [why for why in tried if why]
    assert all(len(why) > 20 for why in refused)
    assert len(refused) <= len(tried) / 20, "\n".join(refused)


def refusal(file):
    """Ask all that can be asked of a vehicle standing and driving; gives the words of a refusal, or nothing."""
    try:
        finite(sized(file).to_json())
        rig = assemble(file)
        still = equilibrium(rig)
        assert np.all(np.isfinite(still.q))
        assert still.wheel_loads.sum() + still.hitch_loads.sum() == abs(
            still.wheel_loads.sum() + still.hitch_loads.sum()
        )
        for damped in (False, True):
            assert all(np.isfinite(mode.frequency) and mode.frequency > 0 for mode in modes(rig, still, damped=damped))
        finite(response(rig, still, CLASSES["C"], 8.0).to_json())
        run = drive(rig, ROUGH, 8.0)
        finite(run.to_json())
        assert run.audit.residual < 1e-3
        equilibrium(rig, case=Case(across=0.15 * GRAVITY, along=-0.3 * GRAVITY))
    except SpringwrightError as refused:
        return str(refused)
    return ""


def test_every_kind_of_spring_and_link_is_answered_or_refused_weighed_mirrored_and_in_other_units():
    """No figure that is none, the weight on the ground, the energy audit closed; in a mirror and in other units the same vehicle."""
    refused = [why for why in (asked_all(dressed(random.Random(seed))) for seed in range(7)) if why]
    assert all(len(why) > 20 for why in refused)
    assert len(refused) <= 1, "\n".join(refused)


def asked_all(data):
    """Ask all of a vehicle, and whether it is the same in a mirror and in other units; the words of a refusal, or nothing."""
    try:
        why = refusal(file := design_file(data))
    except SpringwrightError as refused:
        why = str(refused)
    if not why:
        same(data, file)
    return why


def same(data, file):
    """The vehicle as it is, seen in a mirror, and in other units; and its weight."""
    if "'right'" in str(data):  # a spacer on one side: looked at without it
        data = deepcopy(data)
        for one in data["axles"]:
            one["spring"].pop("right", None)
        file = design_file(data)
    rigs = [assemble(one, "full") for one in (file, *map(design_file, (mirrored(data), in_other_units(data))))]
    try:
        plain, mirror, other = (equilibrium(rig) for rig in rigs)
    except SpringwrightError:
        return
    weight = rigs[0].mass * GRAVITY
    assert abs(plain.wheel_loads.sum() + plain.hitch_loads.sum() - weight) < 1e-6 * weight
    assert abs(plain.roll + mirror.roll) < 1e-7
    assert abs(plain.pitch - mirror.pitch) < 1e-7
    assert np.sort(plain.wheel_loads) == pytest.approx(np.sort(mirror.wheel_loads), abs=1e-5 * weight)
    assert other.q == pytest.approx(plain.q, abs=1e-7)
    assert other.wheel_loads == pytest.approx(plain.wheel_loads, abs=1e-6 * weight)
