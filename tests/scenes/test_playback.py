"""Frames for the view in the round: against rest, the ground, the other side, falling, and where a wheel lifts; and the scene made of them."""

import json

import numpy as np
import pytest

from springwright.drawing.round import scene
from springwright.errors import InputError
from springwright.motion.equilibrium import equilibrium
from springwright.questions.at_rest import rest
from springwright.questions.context import apart, felt_by
from springwright.questions.grip import cross_axle_height
from springwright.scenes.playback import articulation, diagonal, landing, playback, stance
from springwright.sizing.fitted import assemble, sized
from springwright.terrain.named import ground_named
from springwright.units import GRAVITY, displayed_in
from springwright.vehicle.file import load
from tests.build import DEMOS, axle, design_file, vehicle

NAMES = ["fire-watch", "survey-buggy", "bog-carrier"]
D40 = ("class D", 40 / 3.6)


@pytest.fixture(scope="module", params=NAMES)
def file(request):
    return load(DEMOS / f"{request.param}.toml")


@pytest.fixture(scope="module")
def truck():
    return load(DEMOS / "fire-watch.toml")


def test_a_stance_on_level_ground_is_the_rest_of_the_sheet(file):
    standing, told = stance(file, {}), rest(file)
    assert standing.loads[0] == pytest.approx([wheel.load for wheel in told.wheels], rel=1e-6)
    assert standing.travels[0] == pytest.approx([wheel.travel for wheel in told.wheels], abs=1e-8)
    assert standing.static == pytest.approx(standing.loads[0], rel=1e-9)
    assert (standing.pitch[0], standing.roll[0]) == pytest.approx((told.pitch, told.roll), abs=1e-9)


def test_a_drive_over_level_ground_stands_still_and_carries_the_weight(file):
    played = playback(file, "level", 5.0, seconds=1.0)
    weight = GRAVITY * next(one.mass for one in sized(file).states if one.name == played.state)
    assert played.loads.sum(axis=1) == pytest.approx(weight, rel=1e-3)
    assert played.loads == pytest.approx(np.tile(played.static, (len(played.time), 1)), rel=1e-4)
    assert played.travels == pytest.approx(np.tile(stance(file, {}).travels, (len(played.time), 1)), abs=1e-5)
    assert not played.off.any()


def test_frames_keep_true_time(file):
    played = playback(file, *D40, seconds=3.0, rate=60)
    assert np.diff(played.time) == pytest.approx(1 / 60, abs=1e-9)
    assert played.gone == pytest.approx(D40[1] * played.time)
    assert played.time[-1] == pytest.approx(3.0, abs=1 / 60)


def test_the_ground_under_each_wheel_is_the_profile_where_it_has_come_to(file):
    """Front wheels are where the vehicle is, the others as much later as they stand behind; each side its own track."""
    played = playback(file, *D40, seconds=4.0, rate=240)
    made = ground_named("class D", apart(file.design), 400.0)
    felt = felt_by(file.design, np.array(sized(file).design_loads), made)
    x, y = assemble(file).wheel_places.T
    place = made.spacing * np.arange(len(felt.left))
    for i in range(len(x)):
        track = felt.left if y[i] > 0 else felt.right
        assert played.ground[:, i] == pytest.approx(np.interp(played.gone + x[i] - x.min(), place, track), abs=1e-12)
    late = (x.max() - x.min()) / D40[1]
    rear, front = int(np.argmin(x)), int(np.argmax(x))
    delayed = np.interp(played.time - late, played.time, played.ground[:, front])
    after = played.time > late
    assert played.ground[after, rear] == pytest.approx(delayed[after], abs=5e-4)


def test_the_ground_told_is_the_ground_the_tyres_felt(file):
    """A tyre without damping carries its rate times its squash, so frames that told another ground than was driven would not add up."""
    rig = assemble(file)
    assert not rig.tyre_damping.any()
    played = playback(file, *D40, seconds=4.0)
    carried = rig.tyre_force - rig.tyre_rate * (played.heights - played.ground)
    assert played.loads == pytest.approx(np.maximum(carried, 0.0), abs=2.0)


def test_the_ground_told_is_the_ground_as_it_lies(truck):
    """A half-round passes under the front axle when the vehicle has gone as far as it lies ahead, no farther off than a run-up."""
    played = playback(truck, "half-round 120 mm", 20 / 3.6)
    at = played.profile_from + played.profile_step * np.arange(len(played.profile_left))
    crest = at[np.argmax(played.profile_left)]
    assert played.profile_left.max() == pytest.approx(0.12, abs=1e-3)
    gone = played.gone[np.argmax(played.ground[:, 0])]
    assert gone == pytest.approx(crest, abs=0.12)
    assert 3.0 < crest < 5.0
    assert at[0] < -2.85
    assert at[-1] > played.gone[-1]


def test_mirrored_ground_mirrors_left_and_right(tmp_path):
    file = design_file(vehicle(), tmp_path / "test.toml")
    rows = [(s / 10, 60 * np.exp(-((s / 10 - 8) ** 2)), -40 * np.exp(-((s / 10 - 11) ** 2))) for s in range(400)]
    for name, order in (("one.csv", (1, 2)), ("other.csv", (2, 1))):
        lines = ["distance [m],left [mm],right [mm]", *(f"{r[0]},{r[order[0]]:.6f},{r[order[1]]:.6f}" for r in rows)]
        (tmp_path / name).write_text("\n".join(lines))
    one, other = (playback(file, name, 8.0) for name in ("one.csv", "other.csv"))
    swapped = [1, 0, 3, 2]
    assert np.ptp(one.roll) > 0.01
    assert other.roll == pytest.approx(-one.roll, abs=1e-9)
    assert other.rise == pytest.approx(one.rise, abs=1e-9)
    assert other.loads[:, swapped] == pytest.approx(one.loads, abs=1e-3)
    assert other.profile_left == pytest.approx(one.profile_right)


def test_a_drop_falls_freely_until_it_lands(file):
    """The centre of all masses falls g t2 / 2 until a tyre touches: sooner than sqrt(2 h / g), for the springs push the wheels down meanwhile."""
    drop = 0.3
    played, rig = landing(file, drop), assemble(file)
    touched = (played.loads > 0).any(axis=1)
    first = int(np.flatnonzero(touched)[0])
    high = (rig.sprung_mass * played.rise + played.heights @ rig.wheel_weights) / rig.mass
    falling = slice(0, first)
    assert high[falling] - high[0] == pytest.approx(-GRAVITY * played.time[falling] ** 2 / 2, abs=2e-3)
    free = np.sqrt(2 * drop / GRAVITY)
    assert 0.6 * free < played.time[first] < free
    assert played.loads[-1] == pytest.approx(played.static, rel=0.02)


def test_a_wheel_that_cannot_droop_lands_when_a_stone_would():
    """With next to no droop the wheels stay where they hang: first contact at sqrt(2 h / g), within a frame."""
    short = {"travel": {"bump": "0.14 m", "droop": "2 mm"}, "droop_stop": {"depth": "2 mm", "full_force": "400 kN"}}
    file = design_file(vehicle(axles=[axle("front", 0.0, **short), axle("rear", 2.5, **short)]))
    played = landing(file, 0.5)
    first = played.time[np.flatnonzero((played.loads > 0).any(axis=1))[0]]
    assert first == pytest.approx(np.sqrt(2 * 0.5 / GRAVITY), abs=1.5 / 60)


def test_an_articulation_lifts_a_wheel_where_grip_says(file):
    swept = articulation(file)
    lifts = cross_axle_height(assemble(file))
    first = int(np.flatnonzero(swept.off.any(axis=1))[0])
    assert swept.amount[first - 1] < lifts <= swept.amount[first] * (1 + 1e-6)
    assert lifts < swept.amount[-1] < 1.2 * lifts
    assert swept.amount[0] == 0.0
    assert swept.loads[0] == pytest.approx(swept.static, rel=1e-6)


def test_a_diagonal_is_a_frame_of_the_articulation(truck):
    swept = articulation(truck)
    k = 60
    alone = diagonal(truck, float(swept.amount[k]))
    assert alone.loads[0] == pytest.approx(swept.loads[k], rel=1e-6)
    assert alone.profile_scale[0] == pytest.approx(swept.profile_scale[k])
    x = alone.profile_from + alone.profile_step * np.arange(len(alone.profile_left))
    for i, track in ((0, alone.profile_left), (3, alone.profile_right)):
        under = np.interp(assemble(truck).wheel_places[i, 0], x, track) * alone.profile_scale[0]
        assert under == pytest.approx(alone.ground[0, i], abs=1e-9)


def test_a_stance_on_named_wheels_is_that_of_an_equilibrium(truck):
    standing = stance(truck, {"front left": 0.12, "rear right": 0.08})
    found = equilibrium(assemble(truck), np.array([0.12, 0.0, 0.0, 0.08]))
    assert standing.loads[0] == pytest.approx(found.wheel_loads, rel=1e-6)
    assert "front left 120 mm up" in standing.title


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda file: stance(file, {"front": 0.1}), "front left"),
        (lambda file: playback(file, "class Z", 5.0), "no such ground"),
        (lambda file: playback(file, "class D", 0.0), "more than 0"),
        (lambda file: playback(file, "class D", 5.0, state="Loaded"), "no such load state"),
    ],
)
def test_what_cannot_be_is_said_in_the_builders_words(truck, ask, says):
    with pytest.raises(InputError, match=says):
        ask(truck)


def test_one_wheel_in_front_has_no_diagonal():
    single = axle("front", 0.0, wheels=1, track=None)
    file = design_file(vehicle(axles=[single, axle("rear", 2.5)]))
    with pytest.raises(InputError, match="two wheels"):
        articulation(file)
    assert len(scene(playback(file, "class C", 8.0, seconds=1.0), file.design)["wheels"]) == 3


def test_results_are_plain_data(truck):
    told = json.loads(json.dumps(playback(truck, "half-round 60 mm", 5.0, seconds=1.0).to_json()))
    assert told["loads"]["unit"] == "N"
    assert np.shape(told["loads"]["value"]) == (61, 4)


@pytest.mark.parametrize("name", [*NAMES, "fire-watch-links", "fire-watch-leaves"])
def test_a_scene_is_small_and_its_running_gear_holds_together(name):
    file = load(DEMOS / f"{name}.toml")
    played = playback(file, *D40)
    drawn = scene(played, file.design)
    assert len(json.dumps(drawn, separators=(",", ":"), ensure_ascii=False).encode()) < 400_000
    count = len(drawn["wheels"])
    assert len(drawn["loads"]) == count * drawn["frames"] == len(drawn["heights"])
    for node in drawn["nodes"]:
        if "wheel" not in node:  # what stands on wheels and body together moves as they do when all rise alike
            assert node.get("body", 0.0) + sum(share for _, share in node.get("of", [])) == pytest.approx(1.0, abs=1e-3)
    used = [i for line in drawn["lines"] for i in line["nodes"]] + [one["top"] for one in drawn["springs"]]
    assert max(used) < len(drawn["nodes"])
    springs = 2 * len(file.design.axles) - (4 if "leaves" in name else 0)
    assert len(drawn["springs"]) == springs
    assert drawn["label"].startswith(file.design.vehicle.name)


def test_what_happens_is_told_in_words(truck):
    swept = scene(articulation(truck), truck.design)
    assert swept["words"]["says"][0] == [0, "every wheel on the ground"]
    assert "front right off the ground" in swept["words"]["says"][-1][1]
    assert swept["words"]["clock"][0] == "0 mm"
    with displayed_in("imperial"):
        there = scene(articulation(truck), truck.design)["words"]
    assert there["unit"] == "lbf"
    assert there["clock"][-1].endswith(" in")
