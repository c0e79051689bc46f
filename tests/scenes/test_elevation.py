"""The vehicle drawn to scale: what is drawn is what was worked out, and every word can be read."""

from __future__ import annotations

import itertools
from xml.etree import ElementTree as ET

import jsonschema
import numpy as np
import pytest

from springwright.drawing.elevation import elevation_drawing
from springwright.drawing.labels import spread
from springwright.errors import InputError
from springwright.scenes.elevation import Elevation, elevation, farthest_state
from springwright.sizing.fitted import sized
from springwright.units import GRAVITY, displayed_in
from springwright.vehicle.file import load
from tests.build import DEMOS, axle, design_file, merged, vehicle

NAMES = ("fire-watch", "fire-watch-leaves", "fire-watch-links", "survey-buggy", "bog-carrier")
LETTER = 6.2  # px, a letter at 12 px
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def demos():
    return {name: load(DEMOS / f"{name}.toml") for name in NAMES}


def body(**changes):
    return design_file(vehicle(vehicle={"name": "Test", "body": changes}))


def words(svg):
    """Every word with its box: left, top, right, bottom."""
    found = []
    for one in ET.fromstring(svg).iter(f"{SVG}text"):
        look, x, y = one.get("class", "").split(), float(one.get("x")), float(one.get("y"))
        wide = LETTER * len(one.text)
        left = x - wide if "end" in look else x - wide / 2 if "middle" in look else x
        found.append((one.text, (left, y - 10, left + wide, y + 2)))
    return found


def drawn(file, width=1216.0, state=None):
    return elevation_drawing(elevation(file, state, farthest_state(file, state)), width)


# ---- numbers -----------------------------------------------------------------------------------------------------


def test_wheel_centres_stand_on_their_tyres(demos):
    """Unloaded radius less load over rate, by the load the sizing finds under each wheel in every state."""
    for file in demos.values():
        for rest in sized(file).rests:
            for one, at, own in zip(elevation(file, rest.name).axles, rest.axles, file.design.axles, strict=True):
                wanted = [own.tyre.unloaded_radius - kg * GRAVITY / own.tyre.rate for kg in at.wheel_loads]
                assert one.centres == pytest.approx(wanted, abs=1e-6)  # drawn by small angles


def test_ghost_differs_by_the_rises_of_the_sizing(demos):
    for file in demos.values():
        found = elevation(file, None, farthest_state(file))
        rests = {one.name: one for one in sized(file).rests}
        for i, own in enumerate(file.design.axles):
            wanted = rests[found.ghost.state].axles[i].rise - rests[found.stance.state].axles[i].rise
            x = -own.behind_front_axle
            assert found.ghost.rise_at(x) - found.stance.rise_at(x) == pytest.approx(wanted, abs=1e-9)


def test_a_drawn_coil_is_as_long_as_its_force_presses_it():
    """Free length less force over rate, by hand, in both states; both the figure told and the line drawn."""
    own = {"existing": {"rate": "30 N/mm", "free_length": "0.52 m"}, "acts": {"by": "beam", "ratio": None, "base": "1 m", "lean_in": "9 deg", "lean": "4 deg"}}  # fmt: skip
    made = design_file(
        vehicle(axles=[axle(name, x, kind="beam", target=None, spring=own) for name, x in (("front", 0.0), ("rear", 2.5))])
    )  # fmt: skip
    for rest in sized(made).rests:
        for one, at in zip(elevation(made, rest.name).axles, rest.axles, strict=True):
            for spring, force in zip(one.springs, at.spring_forces, strict=True):
                assert spring.length == pytest.approx(0.52 - force / 30e3, abs=1e-6)
                assert np.linalg.norm(np.subtract(*spring.line)) == pytest.approx(spring.length, abs=1e-9)


def test_springs_on_pivot_points_and_links_are_as_long_as_their_mounts_say(demos):
    """A line drawn between foot and top against the mount's own law of length, which no drawing enters."""
    for name in ("fire-watch", "fire-watch-links", "survey-buggy"):
        found = elevation(demos[name], "Kerb" if name != "survey-buggy" else "Empty")
        for own, one in zip(demos[name].design.axles, found.axles, strict=True):
            length = mounted_length(own, *one.travel)
            assert one.springs[0].length == pytest.approx(length, abs=1e-7)
            line = np.linalg.norm(np.subtract(*one.springs[0].line))
            if own.spring.acts.by != "table":  # whose place is not known: it hangs from the body, its length told
                assert not one.springs[0].schematic
            assert line == pytest.approx(length, abs=1e-7)


def mounted_length(own, left, right):
    """Length of the left spring by its mount, its travel on a beam mixed by spring base over track."""
    acts = own.spring.acts
    if acts.by == "axle links":
        return float(acts.shares(np.array([left]), np.array([right]))[0][0])
    share = acts.base / own.track if acts.by == "beam" else 1.0
    return float(acts.lengths((left + right) / 2 + share * (left - right) / 2, own.spring.rest_length).length)


def test_travel_left_adds_up_to_the_travel_there_is(demos):
    for file in demos.values():
        for own, one in zip(file.design.axles, elevation(file).axles, strict=True):
            assert one.bump + one.droop == pytest.approx(own.travel.bump + own.travel.droop, abs=1e-12)


def test_mirrored_design_gives_a_mirrored_view_from_behind():
    def aside(left):
        item = {"name": "load", "mass": "300 kg", "behind_front_axle": "2.0 m", "above_ground": "1.0 m"}
        return elevation(design_file(vehicle(items=[{**item, "left_of_centre": f"{left} m"}])), "full", "empty")

    one, other = aside(0.3), aside(-0.3)
    assert one.stance.roll == pytest.approx(-other.stance.roll, abs=1e-9)
    assert abs(one.stance.roll) > 1e-3
    assert one.stance.cg[1] == pytest.approx(-other.stance.cg[1], abs=1e-12)
    for a, b in zip(one.axles, other.axles, strict=True):
        assert a.centres == pytest.approx(b.centres[::-1], abs=1e-9)
        for left, right in zip(a.springs, b.springs[::-1], strict=True):
            assert np.array(left.line) == pytest.approx(np.array(right.line) * [1, -1, 1], abs=1e-9)


def test_lengths_twice_as_long_are_drawn_alike():
    """Twice every length at eight times the mass and four times the rates: the same vehicle at half the scale."""

    def made(k):
        parts = {
            "track": f"{1.6 * k} m", "unsprung_mass": f"{100 * k**3} kg",
            "tyre": {"rate": f"{250 * k**2} N/mm", "unloaded_radius": f"{0.4 * k} m", "width": f"{0.2 * k} m"},
            "spring": {"acts": {"by": "beam", "ratio": None, "base": f"{k} m"}, "installed_length": f"{0.35 * k} m", "existing": {"rate": f"{40 * k**2} N/mm", "free_length": f"{0.45 * k} m"}, "largest_outside": f"{0.15 * k} m"},
            "kind": "beam", "target": None, "travel": {"bump": f"{0.14 * k} m", "droop": f"{0.13 * k} m"}, "roll_centre_height": f"{0.3 * k} m",
        }  # fmt: skip
        sides = [[[f"{-0.6 * k} m", f"{0.5 * k} m"], [f"{-0.6 * k} m", f"{1.2 * k} m"], [f"{3 * k} m", f"{k} m"]]]
        ends = [[[f"{0.8 * k} m", f"{0.5 * k} m"], [f"{-0.8 * k} m", f"{0.5 * k} m"], ["0 m", f"{1.3 * k} m"]]]
        return design_file(
            vehicle(
                vehicle={"name": "Test", "body": {"side": sides, "end": ends}},
                kerb={"mass": f"{1500 * k**3} kg", "behind_front_axle": f"{1.2 * k} m", "above_ground": f"{0.7 * k} m"},
                items=[{"name": "load", "mass": f"{300 * k**3} kg", "behind_front_axle": f"{2 * k} m", "above_ground": f"{k} m"}],
                axles=[axle("front", 0.0, **parts), axle("rear", 2.5 * k, **parts)],
            )
        )  # fmt: skip

    small, large = (elevation(made(k), "empty", "full") for k in (1.0, 2.0))
    for a, b in zip(small.axles, large.axles, strict=True):
        assert np.array(b.centres) == pytest.approx(2 * np.array(a.centres), rel=1e-6)
        assert b.springs[0].length == pytest.approx(2 * a.springs[0].length, rel=1e-6)
    assert np.array(large.side[0]) == pytest.approx(2 * np.array(small.side[0]))
    for e, other in ((small, large), (large, small)):
        assert proportions(e) == pytest.approx(proportions(other), rel=1e-3)


def proportions(e):
    """Width and height of the drawn wheel as shares of the drawn wheelbase: the same at every scale."""
    wheels = ET.fromstring(elevation_drawing(e).svg()).find(f"{SVG}g[@id='wheels']")
    tyres = [np.array(one.get("d")[1:-1].replace("L", " ").split(), dtype=float) for one in wheels.iter(f"{SVG}path")]
    hubs = [float(one.get("cx")) for one in wheels.iter(f"{SVG}circle")]
    return [np.ptp(tyres[0][i::2]) / np.ptp(hubs) for i in (0, 1)]


def test_result_follows_its_schema(demos):
    found = elevation(demos["bog-carrier"], "Crew, half tank, winch", "Kerb")
    jsonschema.validate(found.to_json(), Elevation.schema())
    tank = next(item for item in found.items if item.name == "meltwater tank")
    assert tank.fill == 0.5
    assert tank.mass == pytest.approx(300.0)


def test_an_unknown_state_is_named(demos):
    with pytest.raises(InputError, match="no such load state"):
        elevation(demos["fire-watch"], "Kerb", "Nowhere")


# ---- the body in the design file ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "path", "said"),
    [
        ({"side": [[["0 mm", "500 mm"], ["900 mm", "500 mm"]]]}, "vehicle.body.side[1]", "has 2 points; an outline needs 3 or more"),
        ({"end": [[["0 mm", "500 mm"]]]}, "vehicle.body.end[1]", "has 1 point; an outline needs 3 or more"),
        ({"side": []}, "vehicle.body.side", "has no outline in it"),
        ({"side": [[["0 mm", "500 mm"], ["900 mm", "500 mm"], ["400 mm", "500 mm"]]]}, "vehicle.body.side[1]", "encloses nothing"),
        ({"side": [[["0 mm", "500 mm"], ["900 m", "500 mm"], ["400 mm", "900 mm"]]]}, "vehicle.body.side[1][2]", "check its unit"),
        ({"side": [[["0 mm", "500 mm"], ["900 mm", "-5 mm"], ["400 mm", "900 mm"]]]}, "vehicle.body.side[1][2][2]", "0 or more"),
        ({"front": "1 m", "rear": "0.5 m"}, "vehicle.body.rear", "must be farther back than front"),
        ({"deck": "1.4 m", "roof": "1.2 m"}, "vehicle.body.roof", "must be higher than deck"),
        ({"roof": "19 m"}, "vehicle.body.roof", "check its unit"),
        ({"deck": "1 m", "side": [[["0 mm", "500 mm"], ["900 mm", "500 mm"], ["400 mm", "900 mm"]]]}, "vehicle.body.deck", "is drawn by side already"),
        ({"hood": "1 m"}, "vehicle.body.hood", "no such key"),
    ],
)  # fmt: skip
def test_a_body_that_cannot_be_drawn_is_refused(changes, path, said):
    with pytest.raises(InputError) as caught:
        body(**changes)
    (fault,) = caught.value.faults
    assert fault.path == path
    assert said in fault.message


def test_dimensions_given_are_those_drawn():
    found = elevation(
        body(front="-0.9 m", rear="3.4 m", roof="2.1 m", cab_begins="0.2 m", cab_ends="1.7 m", width="1.9 m")
    )
    places = np.array([point for shape in found.side for point in shape])
    assert places[:, 0].max() == pytest.approx(0.9)
    assert places[:, 0].min() == pytest.approx(-3.4)
    assert places[:, 1].max() == pytest.approx(2.1)
    assert np.ptp([y for shape in found.end for y, _ in shape]) == pytest.approx(1.9)


def test_a_low_seat_makes_a_low_body():
    def top(high):
        seat = {"name": "driver", "behind_front_axle": "1.2 m", "above_ground": high}
        return max(z for shape in elevation(design_file(vehicle(seats=[seat]))).side for _, z in shape)

    assert top("0.4 m") < 1.4 < 1.9 < top("1.1 m")


# ---- ink ---------------------------------------------------------------------------------------------------------


def readable(svg, width, height):
    found = words(svg)
    for text, (left, top, right, bottom) in found:
        assert left >= -0.5, text
        assert right <= width + 0.5, text
        assert top >= -3, text
        assert bottom <= height + 0.5, text
    for (one, a), (other, b) in itertools.combinations(found, 2):
        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        assert apart, f"{one!r} lies on {other!r}"
    return [text for text, _ in found]


@pytest.mark.parametrize("width", [1216.0, 900.0])
@pytest.mark.parametrize("name", NAMES)
def test_every_word_of_the_demos_can_be_read(demos, name, width):
    file = demos[name]
    for state in file.design.states:
        sheet = drawn(file, width, state.name)
        assert sheet.height <= 341
        said = readable(sheet.svg(), sheet.width, sheet.height)
        assert sum(text.startswith("bump ") for text in said) == len(file.design.axles)
        assert sum(text.startswith("droop ") for text in said) == len(file.design.axles)
        assert sum(text.endswith(", CG") for text in said) == 1
        assert sum(text.startswith("dashed: ") for text in said) == 1
        assert sum(text.startswith("track ") for text in said) == 1


def test_words_and_groups_of_the_truck(demos):
    svg = drawn(demos["fire-watch"]).svg()
    groups = {one.get("id") for one in ET.fromstring(svg).iter(f"{SVG}g")}
    assert {"body", "wheels", "running", "ghost", "body-behind", "wheels-behind", "running-behind"} <= groups
    said = [text.replace("\N{NARROW NO-BREAK SPACE}", " ") for text, _ in words(svg)]
    for word in ("Left side, Full, mm", "From behind, rear axle", "wheelbase 2 850", "track 1 560", "base 1 020", "roll centre 620", "water 400 kg", "1 355 kg", "1 585 kg"):  # fmt: skip
        assert word in said, word
    assert "style=" not in svg  # classes only


def test_imperial_words(demos):
    with displayed_in("imperial"):
        said = [text for text, _ in words(drawn(demos["fire-watch"]).svg())]
    assert "Left side, Full, in" in said
    assert "wheelbase 112.20" in said


def test_a_state_change_moves_the_body_by_one_transform(demos):
    """The body's marks are the same in every state without liquid; only the group's matrix differs."""
    sheets = [ET.fromstring(drawn(demos["fire-watch"], state=name).svg()) for name in ("Kerb", "Crew")]
    ways = [sheet.find(f"{SVG}g[@id='body']") for sheet in sheets]
    assert ways[0].get("transform") != ways[1].get("transform")
    scale = [float(one.get("transform")[7:-1].split()[1]) for one in ways]
    rests = {one.name: one for one in sized(demos["fire-watch"]).rests}
    assert scale == pytest.approx([-rests["Kerb"].pitch, -rests["Crew"].pitch], abs=1e-6)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5])
def test_any_number_of_axles_can_be_read(count):
    places = [1.4 * i for i in range(count)]
    tow = {"hitch": {"behind_front_axle": "-2.2 m", "above_ground": "0.45 m", "rate": "200 N/mm"}} if count == 1 else {}
    at = places[-1] / 2 - (0.15 if count == 1 else 0.0)
    file = design_file(
        vehicle(
            axles=[axle(f"number {i + 1}", x) for i, x in enumerate(places)],
            kerb={"mass": f"{700 * count} kg", "behind_front_axle": f"{at} m"},
            items=[{"name": "load", "mass": "300 kg", "behind_front_axle": f"{at} m", "above_ground": "1 m"}],
            **tow,
        )
    )
    sheet = drawn(file)
    said = readable(sheet.svg(), sheet.width, sheet.height)
    assert sum(text.startswith("bump ") for text in said) == count
    assert sum(text.endswith(" kg") and text[0].isdigit() for text in said) == count + bool(tow)


def test_one_wheel_axles_and_a_hitch_can_be_drawn():
    one = {"wheels": 1, "track": None}
    file = design_file(vehicle(axles=[axle("front", 0.0, **one), axle("rear", 1.5, **one)], kerb={"mass": "500 kg", "behind_front_axle": "0.8 m"}, items=[], states=[{"name": "only"}]))  # fmt: skip
    sheet = elevation_drawing(elevation(file))
    assert not any(text.startswith("track") for text in readable(sheet.svg(), sheet.width, sheet.height))
    assert farthest_state(file) is None


def test_other_springs_are_drawn_by_their_names():
    bar = {"acts": {"by": "twist", "ratio": None, "arm": "0.4 m"}, "installed_length": None, "torsion_bar": {"length": "1.1 m", "diameter": "28 mm"}}  # fmt: skip
    strut = {"acts": {"by": "lever", "ratio": None, "arm": "0.5 m", "spring_at": "0.35 m"}, "strut": {"bore": "60 mm", "bump_stroke": "0.2 m", "droop_stroke": "0.2 m"}}  # fmt: skip
    file = design_file(vehicle(axles=[axle("front", 0.0, spring=bar), axle("rear", 2.5, spring=strut)]))
    said = [text.replace("\N{NARROW NO-BREAK SPACE}", " ") for text, _ in words(drawn(file).svg())]
    assert "torsion bar 1 100" in said
    assert any(text.startswith("strut ") for text in said)


def test_names_are_escaped():
    name = "Load <\"a\" & 'b'>"
    file = design_file(
        merged(
            vehicle(vehicle={"name": name}),
            {
                "items": [{"name": name, "mass": "300 kg", "behind_front_axle": "2 m", "above_ground": "1 m"}],
                "states": [{"name": "empty"}, {"name": name, "aboard": [name]}],
            },
        )
    )
    sheet = drawn(file, state=name)
    root = ET.fromstring(sheet.standalone())
    assert name in root.get("aria-label")
    assert any(text.startswith(name) for text, _ in words(sheet.svg()))


def test_words_in_a_row_are_pushed_apart():
    assert spread([50, 55, 60], [30, 30, 30], 0, 200, 10) == [50, 90, 130]
    assert spread([190, 195], [30, 30], 0, 200, 10) == [145, 185]
