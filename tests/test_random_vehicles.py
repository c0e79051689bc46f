"""Plausible vehicles of every make-up: an answer with finite figures, or a clear refusal; nineteen in twenty are answered."""

import json

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from springwright.errors import SpringwrightError
from springwright.motion.drive import drive
from springwright.motion.equilibrium import equilibrium
from springwright.motion.forces import GRAVITY, Case
from springwright.motion.modes import modes
from springwright.motion.response import response
from springwright.studies.rigs import assemble
from springwright.studies.sheet import size
from springwright.terrain.roughness import CLASSES, rough_ground
from tests.build import axle, design_file, vehicle

ROUGH = rough_ground("D", 40.0, 1.6)


@st.composite
def vehicles(draw):
    """One to five axles (one with a hitch), beam or independent, one or two wheels, light to heavy, any mount."""
    count = draw(st.integers(1, 5))
    per_axle = draw(st.floats(250, 6000))
    wheelbase = draw(st.floats(1.6, 3.6))
    gaps = [0.0, wheelbase, *(wheelbase + 1.3 * (i + 1) for i in range(count - 2))][:count]
    width = draw(st.floats(1.2, 2.2))
    axles = []
    for i in range(count):
        single = count <= 2 and draw(st.integers(0, 9)) == 0 and i == 0 and count == 2
        beam = not single and draw(st.booleans())
        load = per_axle / (1 if single else 2)
        frequency = draw(st.floats(0.9, 1.8))
        give = GRAVITY / (2 * np.pi * frequency) ** 2
        mount = draw(st.sampled_from(["plain", "link"] if beam else ["ratio", "lever", "table"]))
        acts = {
            "plain": {
                "by": "beam",
                "base": f"{width * 0.65} m",
                "lean_in": f"{draw(st.floats(-5, 15))} deg",
                "ratio": None,
            },
            "link": {
                "by": "beam",
                "base": f"{width * 0.65} m",
                "arm": "0.8 m",
                "spring_at": "0.65 m",
                "lean": f"{draw(st.floats(-8, 12))} deg",
                "ratio": None,
            },
            "ratio": {"by": "ratio", "ratio": draw(st.floats(0.4, 1.0))},
            "lever": {
                "by": "lever",
                "arm": "0.5 m",
                "spring_at": f"{draw(st.floats(0.25, 0.45))} m",
                "lean": f"{draw(st.floats(-10, 25))} deg",
                "ratio": None,
            },
            "table": {
                "by": "table",
                "rows": [
                    [f"{x} m", f"{0.36 - 0.6 * x - 0.1 * x * x} m"] for x in (-0.25, -0.15, -0.05, 0.05, 0.15, 0.25)
                ],
                "ratio": None,
            },
        }[mount]
        axles.append(
            axle(
                f"a{i}", gaps[i],
                kind="beam" if beam else "independent", wheels=1 if single else 2, track=None if single else f"{width} m",
                unsprung_mass=f"{per_axle * draw(st.floats(0.08, 0.25))} kg", roll_centre_height=f"{draw(st.floats(0.0, 0.6))} m",
                tyre={"rate": f"{load * draw(st.floats(250, 700)) / 1e3} N/mm", "unloaded_radius": "0.4 m"},
                spring={"acts": acts, "seat_distance": None if mount == "table" else "0.36 m"},
                target={"frequency": f"{frequency} Hz", "damping_ratio": draw(st.floats(0.1, 0.5))},
                travel={"bump": f"{give * 0.75} m", "droop": f"{give * 0.7} m", "stop_compression": "0.02 m"},
            )
        )  # fmt: skip
    mass = per_axle * count * 0.8
    middle = float(np.mean(gaps)) if count > 1 else -0.2
    place = middle + draw(st.floats(-0.12, 0.12)) * wheelbase
    changes = {
        "axles": axles,
        "kerb": {
            "mass": f"{mass} kg",
            "behind_front_axle": f"{place} m",
            "above_ground": f"{draw(st.floats(0.45, 0.55)) * width} m",
        },
        "items": [
            {
                "name": "load",
                "mass": f"{0.2 * mass} kg",
                "behind_front_axle": f"{place + draw(st.floats(-0.3, 0.3))} m",
                "above_ground": f"{0.5 * width} m",
            }
        ],
    }
    if count == 1:
        changes["hitch"] = {"behind_front_axle": "-3 m", "above_ground": "0.4 m", "rate": f"{per_axle / 10} N/mm"}
    return vehicle(**changes)


def finite(value):
    """No figure of a result is infinite or not a number: JSON would hold null where the value was no number."""
    json.dumps(value, allow_nan=False)


def test_an_answer_or_a_clear_refusal_and_nineteen_in_twenty_answered():
    tried: list[str] = []  # why each was refused; nothing where it was answered

    @settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(vehicles())
    def each(data):
        tried.append(refusal(design_file(data)))

    each()
    refused = [why for why in tried if why]
    assert all(len(why) > 20 for why in refused)
    assert len(tried) >= 50
    assert len(refused) <= len(tried) / 20, "\n".join(refused)


def refusal(file):
    """Ask all that can be asked of a vehicle standing and driving; gives the words of a refusal, or nothing."""
    try:
        sheet = size(file)
        finite(sheet.to_json())
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
