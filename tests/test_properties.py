"""Laws that hold whatever the numbers: units, mirror, scaling, and closing the circle."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from springwright.sizing.sheet import size
from springwright.units import KINDS, parse, split, text_in
from springwright.vehicle.file import load
from tests.build import DEMOS, axle, design_file, merged, vehicle

SLOW = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
NAMES = ["fire-watch", "survey-buggy", "bog-carrier"]


def numbers(value, path=""):
    """Every SI value of a result by its path."""
    if isinstance(value, dict):
        if set(value) == {"value", "unit"}:
            yield from numbers(value["value"], path)
        else:
            for key, item in value.items():
                yield from numbers(item, f"{path}.{key}")
    elif isinstance(value, list):
        for i, item in enumerate(value):
            yield from numbers(item, f"{path}[{i}]")
    elif isinstance(value, float):
        yield path, value


def in_other_units(value):
    """A design's data with every metric text rewritten in the imperial unit of its kind."""
    if isinstance(value, dict):
        return {key: in_other_units(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [in_other_units(item) for item in value]
    if isinstance(value, str) and value[:1] in "-0123456789.":
        try:
            unit = split(value)[1]
        except ValueError:
            return value
        for kind, info in KINDS.items():
            if info.metric == unit and info.imperial != unit:
                number = parse(value, kind) / parse(f"1 {info.imperial}", kind)
                return f"{number!r} {info.imperial}"
    return value


@pytest.mark.parametrize("name", NAMES)
def test_metric_and_imperial_inputs_are_one_vehicle(name):
    first = load(DEMOS / f"{name}.toml")
    metric = first.design.model_dump(mode="json", exclude_none=True, exclude={"catalogue"})
    one, two = (
        dict(numbers(size(design_file(data, DEMOS / "x.toml")).to_json())) for data in (metric, in_other_units(metric))
    )
    assert text_in(parse("1 in", "length"), "length", "mm") == "25.4 mm"
    assert one.keys() == two.keys()
    for path, value in one.items():
        if "residual" not in path and ".shape" not in path:
            assert two[path] == pytest.approx(value, rel=1e-9, abs=1e-9), path


@pytest.mark.parametrize("name", NAMES)
def test_mirrored_vehicle_mirrors_the_result(name):
    data = load(DEMOS / f"{name}.toml").design.model_dump(mode="json", exclude_none=True, exclude={"catalogue"})
    mirrored = merged(data, {})
    scales = mirrored["kerb"].get("scales")
    if scales:
        scales["left"], scales["right"] = scales["right"], scales["left"]
    for place in [mirrored["kerb"], *mirrored["items"]]:
        if "left_of_centre" in place:
            place["left_of_centre"] = text_in(-parse(place["left_of_centre"], "length"), "length", "mm")
    one, two = (size(design_file(each, DEMOS / "x.toml")) for each in (data, mirrored))
    for a, b in zip(one.rests, two.rests, strict=True):
        assert b.roll == pytest.approx(-a.roll, abs=1e-9)
        assert b.pitch == pytest.approx(a.pitch, abs=1e-9)
        for left, right in zip(a.axles, b.axles, strict=True):
            assert right.wheel_loads == pytest.approx(left.wheel_loads[::-1], rel=1e-9)
            assert right.travel == pytest.approx(left.travel[::-1], abs=1e-9)


def scaled(data, factor):
    """The same vehicle with every mass and rate times a factor."""
    if isinstance(data, dict):
        return {key: scaled(item, factor) for key, item in data.items()}
    if isinstance(data, list):
        return [scaled(item, factor) for item in data]
    if isinstance(data, str) and data.endswith((" kg", " N/mm")):
        number, unit = split(data)
        return f"{number * factor!r} {unit}"
    return data


@SLOW
@given(st.floats(0.2, 5.0))
def test_masses_and_rates_times_k_ride_alike(factor):
    data = vehicle()
    one, two = (size(design_file(each)) for each in (data, scaled(data, factor)))
    for a, b in zip(one.rates, two.rates, strict=True):
        assert b.wheel_rate == pytest.approx(factor * a.wheel_rate, rel=1e-9)
        assert b.travel_needed == pytest.approx(a.travel_needed, rel=1e-9)
        assert b.hop_frequency == pytest.approx(a.hop_frequency, rel=1e-9)
    for a, b in zip(one.windows, two.windows, strict=True):
        assert (b.softest, b.stiffest) == pytest.approx((a.softest, a.stiffest), rel=1e-7)


@SLOW
@given(
    frequency=st.floats(0.9, 1.6),
    lean=st.floats(-20, 20),
    share=st.floats(0.5, 0.9),
    series=st.booleans(),
    total=st.booleans(),
)
def test_target_to_rate_to_frequency_closes(frequency, lean, share, series, total):
    """An inverse check: it shows that nothing is lost on the way, not that the physics is right."""
    acts = {"by": "lever", "arm": "0.5 m", "spring_at": f"{0.5 * share} m", "lean": f"{lean} deg", "ratio": None}
    target = {
        "frequency": f"{frequency!r} Hz",
        "stiffness": "ride rate" if series else "wheel rate",
        "mass": "total mass" if total else "sprung mass",
    }
    front = axle("front", 0.0, spring={"acts": acts}, target=target)
    aimed = size(design_file(vehicle(axles=[front, axle("rear", 2.5)]))).rates[0]
    found = {
        (False, False): aimed.frequency_on_springs,
        (True, False): aimed.frequency_with_tyre,
        (False, True): aimed.frequency_of_total_mass,
    }.get((series, total), np.sqrt(aimed.ride_rate / (aimed.axle_load / 2)) / (2 * np.pi))
    assert found == pytest.approx(frequency, rel=1e-12)
    free = aimed.spring_force / aimed.spring_rate + 0.35
    existing = {"rate": f"{aimed.spring_rate / 1e3!r} N/mm", "free_length": f"{free!r} m"}
    back = merged(front, {"target": None, "spring": {"existing": existing}})
    again = size(design_file(vehicle(axles=[back, axle("rear", 2.5)]))).rates[0]
    assert again.frequency == pytest.approx(aimed.frequency_on_springs, rel=1e-12)


def test_owned_spring_rides_as_its_rate_says_in_every_state():
    """Ratio 1 and a straight spring: f = sqrt(k / m) / 2 pi with the sprung mass of each state."""
    existing = {"spring": {"existing": {"rate": "30 N/mm", "free_length": "0.55 m"}}, "target": None}
    sheet = size(design_file(vehicle(axles=[axle("front", 0.0, **existing), axle("rear", 2.5, **existing)])))
    for rest in sheet.rests:
        for one in rest.axles:
            mass = (one.load - 100) / 2
            assert one.frequency_on_springs == pytest.approx(np.sqrt(30e3 / mass) / (2 * np.pi), rel=1e-9)
            assert one.frequency_with_tyre == pytest.approx(
                np.sqrt(30e3 * 250e3 / 280e3 / mass) / (2 * np.pi), rel=1e-9
            )


def test_height_follows_load_through_spring_and_tyre():
    """Two axles far from each other's load: 300 kg at 2.0 m puts 240 kg on the rear, 60 on the front, by hand.

    The body lies over its wheel centres: nose up or down it is carried along, and takes load from one axle to the other.
    """
    existing = {"spring": {"existing": {"rate": "30 N/mm", "free_length": "0.55 m"}}, "target": None}
    sheet = size(design_file(vehicle(axles=[axle("front", 0.0, **existing), axle("rear", 2.5, **existing)])))
    empty, full = sheet.rests
    series = 30e3 * 250e3 / 280e3
    arms = {one.name: one.sprung_mass * (one.sprung_cg[2] - 0.4) * 9.80665 / 2.5 for one in sheet.states}
    for i, added, side in ((0, 60.0, 1), (1, 240.0, -1)):
        sunk = empty.axles[i].rise - full.axles[i].rise
        carried = side * (arms["full"] * np.sin(full.pitch) - arms["empty"] * np.sin(empty.pitch))
        assert sunk == pytest.approx((added * 9.80665 + carried) / 2 / series, rel=1e-6)


def test_stated_design_loads_hold_in_the_design_state_only():
    """Three axles, loads stated for full: the empty state still sizes, and full rests on just those loads."""
    stated = {"a": 700, "b": 600, "c": 500}
    place = (2.0 * 600 + 3.0 * 500) / 1800
    axles = [axle(name, x, design_load=f"{stated[name]} kg") for name, x in (("a", 0.0), ("b", 2.0), ("c", 3.0))]
    load = {"name": "load", "mass": "300 kg", "behind_front_axle": f"{place!r} m", "above_ground": "1 m"}
    sheet = size(design_file(vehicle(axles=axles, kerb={"behind_front_axle": f"{place!r} m"}, items=[load])))
    assert [one.load for one in sheet.rests[1].axles] == pytest.approx(list(stated.values()), rel=2e-3)


def test_load_factor_of_an_owned_spring_is_over_the_load_it_carries():
    """40 N/mm, 50 mm pressed at zero travel, 110 mm of bump: 40 * 160 N over the sprung load, not over what it holds at zero travel."""
    existing = {
        "spring": {"existing": {"rate": "40 N/mm", "free_length": "0.40 m"}},
        "target": None,
        "travel": {"bump": "0.11 m"},
    }
    sheet = size(design_file(vehicle(axles=[axle("front", 0.0, **existing), axle("rear", 2.5, **existing)])))
    assert sheet.rates[1].bump_load_factor == pytest.approx(40e3 * 0.160 / (430 * 9.80665), rel=1e-9)
