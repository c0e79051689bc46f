"""Vehicles made up at random, as the plain data of a design file; `chance` decides all of it."""

from __future__ import annotations

import random
from copy import deepcopy
from typing import Any

import numpy as np

from springwright.units import GRAVITY
from tests.build import axle, vehicle


def vehicles(chance: random.Random, most: int = 5) -> dict[str, Any]:
    """One to five axles (or `most`) (one with a hitch), beam or independent, one or two wheels, light to heavy, any mount."""
    count = chance.randint(1, most)
    per_axle = chance.uniform(250, 6000)
    wheelbase = chance.uniform(1.6, 3.6)
    gaps = [0.0, wheelbase, *(wheelbase + 1.3 * (i + 1) for i in range(count - 2))][:count]
    width = chance.uniform(1.2, 2.2)
    axles = []
    for i in range(count):
        single = count <= 2 and chance.randint(0, 9) == 0 and i == 0 and count == 2
        beam = not single and chance.random() < 0.5
        load = per_axle / (1 if single else 2)
        frequency = chance.uniform(0.9, 1.8)
        give = GRAVITY / (2 * np.pi * frequency) ** 2
        mount = chance.choice(["plain", "link"] if beam else ["ratio", "lever", "table"])
        acts = {
            "plain": {
                "by": "beam",
                "base": f"{width * 0.65} m",
                "lean_in": f"{chance.uniform(-5, 15)} deg",
                "ratio": None,
            },
            "link": {
                "by": "beam",
                "base": f"{width * 0.65} m",
                "arm": "0.8 m",
                "spring_at": "0.65 m",
                "lean": f"{chance.uniform(-8, 12)} deg",
                "ratio": None,
            },
            "ratio": {"by": "ratio", "ratio": chance.uniform(0.4, 1.0)},
            "lever": {
                "by": "lever",
                "arm": "0.5 m",
                "spring_at": f"{chance.uniform(0.25, 0.45)} m",
                "lean": f"{chance.uniform(-10, 25)} deg",
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
                unsprung_mass=f"{per_axle * chance.uniform(0.08, 0.25)} kg", roll_centre_height=f"{chance.uniform(0.0, 0.6)} m",
                tyre={"rate": f"{load * chance.uniform(250, 700) / 1e3} N/mm", "unloaded_radius": "0.4 m"},
                spring={"acts": acts, "installed_length": None if mount == "table" else "0.36 m"},
                target={"frequency": f"{frequency} Hz", "damping_ratio": chance.uniform(0.1, 0.5)},
                travel={"bump": f"{give * 0.75} m", "droop": f"{give * 0.7} m", "stop_compression": "0.02 m"},
            )
        )  # fmt: skip
    mass = per_axle * count * 0.8
    middle = float(np.mean(gaps)) if count > 1 else -0.6
    place = middle + chance.uniform(-0.12, 0.12) * wheelbase
    changes = {
        "axles": axles,
        "kerb": {
            "mass": f"{mass} kg",
            "behind_front_axle": f"{place} m",
            "above_ground": f"{chance.uniform(0.45, 0.55) * width} m",
        },
        "items": [
            {
                "name": "load",
                "mass": f"{0.2 * mass} kg",
                "behind_front_axle": f"{place + chance.uniform(-0.3, 0.3)} m",
                "above_ground": f"{0.5 * width} m",
            }
        ],
    }
    if count == 1:
        changes["hitch"] = {"behind_front_axle": "-3 m", "above_ground": "0.4 m", "rate": f"{per_axle / 10} N/mm"}
    return vehicle(**changes)


def dressed(chance: random.Random) -> dict[str, Any]:
    """Up to ten axles of every kind of spring and link: coils, air, rubber, leaves, stacks; swing arms, links; helpers, spacers, loads to one side."""
    data = vehicles(chance, most=10)
    for one in data["axles"]:
        load = GRAVITY * float(data["kerb"]["mass"].split()[0]) / len(data["axles"]) / one["wheels"]
        half = float(one["track"].split()[0]) / 2 if one.get("track") else 0.0
        arms = one["kind"] == "independent" and half and chance.random() < 0.5
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
        elif one["kind"] == "beam" and chance.random() < 0.5:
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
            if chance.random() < 0.5:
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
        kinds = ["coil", "air", "rubber", "stack", "strut"]
        if one["kind"] == "beam" and "axle_links" not in one:
            kinds.append("leaf")
        if one["kind"] == "independent" and half and not arms:
            kinds.append("torsion bar")
        kind = chance.choice(kinds)
        free = 0.36 + 1.6 * float(one["travel"]["droop"].split()[0])
        if kind == "air":
            one["spring"]["air"] = {
                "area": f"{load / 4e5} m**2",
                "bump_stroke": "0.32 m",
                "droop_stroke": "0.4 m",
                "levelled": chance.random() < 0.5,
            }
        elif kind == "strut":
            one["spring"]["strut"] = {
                "bore": f"{(load / 5e6 / 0.785) ** 0.5} m",
                "bump_stroke": "0.3 m",
                "droop_stroke": "0.3 m",
            }
        elif kind == "leaf":
            one["spring"]["acts"] = {"by": "beam", "base": f"{1.2 * half} m", "foot_height": "0.43 m"}
            one["spring"]["leaf"] = {
                "front": f"{chance.uniform(0.65, 0.85)} m",
                "rear": f"{chance.uniform(0.65, 0.85)} m",
                "clamp": "0.12 m",
                "eyes_above": "25 mm",
                "interleaf_friction": chance.choice([0.0, 0.15]),
            }
            if chance.random() < 0.5:
                one["spring"]["leaf"]["shackle"] = {"length": "90 mm", "lean": f"{chance.uniform(0, 20)} deg"}
            one["spring"].pop("installed_length", None)
            one["target"]["frequency"] = f"{chance.uniform(1.5, 2.2)} Hz"
        elif kind == "torsion bar":
            one["spring"] = {
                "acts": {"by": "twist", "arm": "0.45 m", "arm_slope": f"{chance.uniform(-8, 8)} deg"},
                "torsion_bar": {"length": f"{chance.uniform(1.0, 1.6)} m", "preset": True},
            }
        elif kind == "rubber":
            bend = [[f"{k * (free - 0.36)} m", f"{load * (k + k * k) / 2} N"] for k in (0.0, 0.5, 1.0, 1.5, 2.0)]
            one["spring"]["rubber"] = {"free_length": f"{free} m", "points": bend}
        elif kind == "stack":
            soft = {"rate": f"{load / 0.12 / 1e3} N/mm", "free_length": f"{free / 2} m", "solid_length": "30 mm"}
            one["spring"]["stack"] = {"coils": [soft, {**soft, "rate": f"{load / 0.1 / 1e3} N/mm"}]}
        if chance.random() < 0.5:
            beam = one["kind"] == "beam"
            acts = (
                {"by": "beam", "base": f"{1.1 * half} m"}
                if beam
                else {"by": "ratio", "ratio": chance.uniform(0.5, 1.0)}
            )
            one["helpers"] = [
                {
                    "name": "h",
                    "acts": acts,
                    "installed_length": "0.3 m",
                    "existing": {"rate": f"{load / 2e3} N/mm", "free_length": "0.33 m"},
                    "clear": chance.choice(["0 mm", "50 mm"]),
                }
            ]
        if one["wheels"] == 2 and chance.randint(0, 3) == 0:
            one["spring"]["right"] = {"spacer": "3 mm"}
    data["items"][0]["left_of_centre"] = f"{chance.uniform(-0.15, 0.15)} m"
    return data


def mirrored(data: dict[str, Any]) -> dict[str, Any]:
    """The same vehicle seen in a mirror."""
    made = deepcopy(data)
    for one in (made["kerb"], *made["items"]):
        if "left_of_centre" in one:
            one["left_of_centre"] = _turned(one["left_of_centre"])
    for one in made["axles"]:
        for rod in one.get("axle_links", {}).get("rods", []):
            if rod.get("both") is False:
                for end in ("body", "axle"):
                    rod[end][1] = _turned(rod[end][1])
        assert "right" not in one["spring"], "a spacer on one side has no mirror image here"
    return made


def _turned(quantity: str) -> str:
    number, unit = quantity.split()
    return f"{-float(number)!r} {unit}"


OTHERS = {"m": ("ft", 0.3048), "mm": ("in", 25.4), "kg": ("lb", 0.45359237), "N/mm": ("lbf/in", 0.17512683524647636), "deg": ("rad", 180 / np.pi), "m**2": ("in**2", 0.00064516)}  # fmt: skip


def in_other_units(value: Any) -> Any:
    """The same data with every quantity in another unit."""
    if isinstance(value, dict):
        return {key: in_other_units(one) for key, one in value.items()}
    if isinstance(value, list):
        return [in_other_units(one) for one in value]
    number, _, unit = value.partition(" ") if isinstance(value, str) else ("", "", "")
    if unit not in OTHERS:
        return value
    other, scale = OTHERS[unit]
    return f"{float(number) / scale!r} {other}"
