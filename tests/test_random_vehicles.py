"""Plausible vehicles of every make-up: an answer with finite figures, or a clear refusal; nineteen in twenty are answered."""

import json

import numpy as np
from hypothesis import HealthCheck, Phase, given, settings
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
def vehicles(draw, most=5):
    """One to five axles (or `most`) (one with a hitch), beam or independent, one or two wheels, light to heavy, any mount."""
    count = draw(st.integers(1, most))
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


@st.composite
def dressed(draw):
    """Up to ten axles of every kind of spring and link: coils, air, rubber, leaves, stacks; swing arms, links; helpers, spacers, loads to one side."""
    data = draw(vehicles(most=10))
    for one in data["axles"]:
        load = GRAVITY * float(data["kerb"]["mass"].split()[0]) / len(data["axles"]) / one["wheels"]
        half = float(one["track"].split()[0]) / 2 if one.get("track") else 0.0
        arms = one["kind"] == "independent" and half and draw(st.booleans())
        if arms:
            pivot = {
                "inner_pivot": ["450 mm", f"{half - 0.5} m", "420 mm"],
                "outer_pivot": ["450 mm", f"{half - 0.2} m", "420 mm"],
            }
            one["swing_arm"] = {"wheel_centre": ["0 mm", f"{half} m", "400 mm"], **pivot}
            one["spring"] = {
                "acts": {
                    "by": "swing arm",
                    "foot": ["120 mm", f"{half - 0.2} m", "410 mm"],
                    "top": ["140 mm", f"{half - 0.25} m", "760 mm"],
                }
            }
            one.pop("roll_centre_height")
        elif one["kind"] == "beam" and draw(st.booleans()):
            rods = [
                {
                    "name": "lower",
                    "body": ["900 mm", f"{0.55 * half} m", "400 mm"],
                    "axle": ["0 mm", f"{0.7 * half} m", "340 mm"],
                },
                {
                    "name": "upper",
                    "body": ["800 mm", f"{0.6 * half} m", "560 mm"],
                    "axle": ["0 mm", "160 mm", "560 mm"],
                },
            ]
            if draw(st.booleans()):
                rods.append(
                    {
                        "name": "lateral",
                        "body": ["-80 mm", f"{-0.6 * half} m", "470 mm"],
                        "axle": ["-80 mm", f"{0.6 * half} m", "450 mm"],
                        "both": False,
                    }
                )
            one["axle_links"] = {"wheel_centre": ["0 mm", f"{half} m", "400 mm"], "rods": rods}
            one.pop("roll_centre_height")
        kind = draw(st.sampled_from(["coil", "air", "rubber", "stack"]))
        free = 0.36 + 1.6 * float(one["travel"]["droop"].split()[0])
        if kind == "air":
            one["spring"]["air"] = {
                "area": f"{load / 4e5} m**2",
                "bump_stroke": "0.32 m",
                "droop_stroke": "0.4 m",
                "levelled": draw(st.booleans()),
            }
        elif kind == "rubber":
            bend = [[f"{k * (free - 0.36)} m", f"{load * (k + k * k) / 2} N"] for k in (0.0, 0.5, 1.0, 1.5, 2.0)]
            one["spring"]["rubber"] = {"free_length": f"{free} m", "points": bend}
        elif kind == "stack":
            soft = {"rate": f"{load / 0.12 / 1e3} N/mm", "free_length": f"{free / 2} m", "solid_length": "30 mm"}
            one["spring"]["stack"] = {"coils": [soft, {**soft, "rate": f"{load / 0.1 / 1e3} N/mm"}]}
        if draw(st.booleans()):
            beam = one["kind"] == "beam"
            acts = (
                {"by": "beam", "base": f"{1.1 * half} m"}
                if beam
                else {"by": "ratio", "ratio": draw(st.floats(0.5, 1.0))}
            )
            one["helpers"] = [
                {
                    "name": "h",
                    "acts": acts,
                    "seat_distance": "0.3 m",
                    "owned": {"rate": f"{load / 2e3} N/mm", "free_length": "0.33 m"},
                    "clear": draw(st.sampled_from(["0 mm", "50 mm"])),
                }
            ]
        if one["wheels"] == 2 and draw(st.integers(0, 3)) == 0:
            one["spring"]["right"] = {"spacer": "3 mm"}
    data["items"][0]["left_of_centre"] = f"{draw(st.floats(-0.15, 0.15))} m"
    return data


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


def test_every_kind_of_spring_and_link_is_answered_or_refused_and_mirrors():
    """No figure that is none, the energy audit closed, and the vehicle seen in a mirror leans the other way by as much."""
    tried: list[str] = []

    @settings(
        max_examples=12,
        deadline=None,
        phases=[Phase.generate],
        derandomize=True,
        suppress_health_check=list(HealthCheck),
    )
    @given(dressed())
    def each(data):
        try:
            why = refusal(design_file(data))
        except SpringwrightError as refused:
            why = str(refused)
        tried.append(why)
        if not why:
            mirrors(data)

    each()
    refused = [why for why in tried if why]
    assert all(len(why) > 20 for why in refused)
    assert len(refused) <= len(tried) / 8, "\n".join(refused)


def mirrors(data):
    """A load on the other side of what is alike on both."""
    for one in data["axles"]:
        one["spring"].pop("right", None)
        rods = one.get("axle_links", {}).get("rods", [])
        if any(rod.get("both") is False for rod in rods):
            return
    place = float(data["items"][0]["left_of_centre"].split()[0])
    other = {**data, "items": [{**data["items"][0], "left_of_centre": f"{-place} m"}]}
    try:
        left, right = (equilibrium(assemble(design_file(one), "full")) for one in (data, other))
    except SpringwrightError:
        return
    assert abs(left.roll + right.roll) < 1e-6 + 1e-6 * abs(left.roll)
    assert abs(left.pitch - right.pitch) < 1e-6
