"""A logged drive: what was made by our own drive over a made ground comes back as what the response says, channels named in any way."""

from __future__ import annotations

import numpy as np
import pytest
from pydantic import ValidationError

from springwright.commission.logged_drive import LoggedDrive
from springwright.commission.modelled import modelled
from springwright.errors import FieldFault, InputError
from springwright.motion.drive import drive
from springwright.motion.figures import Point
from springwright.questions.context import apart, footprint, mean_tyre
from springwright.terrain.roughness import rough_ground
from tests.commission.made import reduced, truck

PLACE = (-1.2, 0.3, 1.1)
SPEED = 8.0


@pytest.fixture(scope="module")
def driven(tmp_path_factory):
    """Four minutes of class C at 8 m/s with every part at its place: a log of g, in ms, with the speed in km/h."""
    file = truck(grounds=[{"name": "track", "iso_class": "C"}])
    drawn = modelled(file)
    at = drawn.at("full")
    ground = rough_ground("C", SPEED * 240, apart(file.design), seed=2, spacing=0.05, random_amplitude=True)
    felt = ground.felt(0.0, footprint(*mean_tyre(file.design, np.array(drawn.sheet.design_loads))))
    told = drive(at.rig, felt, SPEED, points=[Point("there", PLACE)], duration=230.0, settle=2.0, history=0.005)
    history = np.asarray(told.history)
    up = history[:, told.columns.index("there up [m/s2]")]
    folder = tmp_path_factory.mktemp("drive")
    height = history[:, told.columns.index("wheel height [m] 4")]
    hub = np.zeros(len(height))
    hub[1:-1] = (height[2:] - 2 * height[1:-1] + height[:-2]) / 0.005**2
    rows = [
        f"{1e3 * t:.1f};{(a + 9.80665) / 9.80665:.5f};{3.6 * SPEED:.2f};{b / 9.80665:.5f}"
        for t, a, b in zip(history[:, 0], up, hub, strict=True)
    ]
    (folder / "drive.csv").write_text("t (ms);seat up (g);v (km/h);hub (g)\n" + "\n".join(rows) + "\n")
    return file, drawn, folder, told


CHANNEL = {"column": "seat up", "behind_front_axle": "1.2 m", "left_of_centre": "0.3 m", "above_ground": "1.1 m"}


def test_what_was_driven_is_what_was_due(driven):
    """The weighted acceleration of the log: the drive's own figure, and the response's within what one stretch scatters."""
    file, drawn, folder, told = driven
    read = reduced(
        file, LoggedDrive, {"log": "drive.csv", "ground": "track", "speed_column": "v", "channels": [CHANNEL]}, folder
    )
    (figure,) = read.figures
    assert figure.value == pytest.approx(told.points[0].up, rel=0.03)
    assert read.due(drawn)[0] == pytest.approx(figure.value, rel=0.12)
    assert any("29 km/h" in note for note in read.notes)
    lines = {line.name: line for line in read.trace.lines}
    assert len(lines["seat up up read"].x) == len(lines["seat up up due"].x) > 15
    # between 0.8 and 10 Hz each third octave of what was read lies near what was due
    x = np.array(lines["seat up up read"].x)
    inside = (x > 0.8) & (x < 10)
    ratio = np.array(lines["seat up up read"].y)[inside] / np.array(lines["seat up up due"].y)[inside]
    assert np.exp(np.log(ratio).mean()) == pytest.approx(1.0, abs=0.12)


def test_a_hub_is_read_beside_the_body(driven):
    """The right rear hub, its acceleration from the drive's own wheel heights: within what one stretch scatters of the response's."""
    file, drawn, folder, _ = driven
    hub = {"column": "hub", "axle": "rear", "side": "right"}
    read = reduced(
        file, LoggedDrive, {"log": "drive.csv", "ground": "track", "speed": "8 m/s", "channels": [hub, CHANNEL]}, folder
    )
    figure, body = read.figures
    assert figure.name.startswith("rear right hub, ")
    due = read.due(drawn)
    assert due[0] == pytest.approx(figure.value, rel=0.1)
    assert due[1] == pytest.approx(body.value, rel=0.12)
    lines = [line for line in read.trace.lines if line.name.startswith("rear right hub")]
    low, high = (np.array(line.y) for line in read.trace.lines[2:4])
    x, y = np.array(lines[0].x), np.array(lines[0].y)
    inside = (x > 0.8) & (x < 20)
    # an interval for random stretches: 95 of 100 bands of a stretch lie in it, here 14 bands, that are not all independent
    assert np.mean((low < y)[inside] & (y < high)[inside]) >= 0.85
    # the relative half width of a band's level shrinks with the root of its degrees of freedom, down to the ground's own doubt
    width = np.log(high / low)[inside] / 2
    assert width[0] > width[-1] > 1.96 * 0.15


def test_a_smoother_ground_is_due_less(driven):
    """A quarter of the roughness is half of every amplitude; friction, which passes more of a small motion on, leaves a little more."""
    file, drawn, folder, _ = driven
    dues = []
    for rough in ("256e-6 m**3", "64e-6 m**3"):
        read = reduced(
            file, LoggedDrive, {"log": "drive.csv", "roughness": rough, "speed": "8 m/s", "channels": [CHANNEL]}, folder
        )
        dues.append(read.due(drawn)[0])
    assert 0.5 < dues[1] / dues[0] < 0.53


def test_over_a_surveyed_profile(driven):
    """The ground as it was surveyed, in place of its class: its roughness from the profile, and the doubt that leaves."""
    file, drawn, folder, _ = driven
    track = rough_ground(128e-6, 3000.0, apart(file.design), seed=5, spacing=0.1, random_amplitude=True).left
    lines = "".join(f"{0.1 * k:.1f},{1e3 * z:.2f}\n" for k, z in enumerate(track))
    (folder / "track.csv").write_text("distance [m],height [mm]\n" + lines)
    content = {"log": "drive.csv", "speed": "8 m/s", "channels": [CHANNEL]}
    by_profile = reduced(file, LoggedDrive, {**content, "profile": "track.csv"}, folder)
    by_value = reduced(file, LoggedDrive, {**content, "roughness": "128e-6 m**3"}, folder)
    assert by_profile.due(drawn)[0] == pytest.approx(by_value.due(drawn)[0], rel=0.05)
    assert any("class B of ISO 8608" in note or "class C of ISO 8608" in note for note in by_profile.notes)
    assert by_value.figures[0].uncertainty <= by_profile.figures[0].uncertainty < 0.06 * by_profile.figures[0].value
    (folder / "short.csv").write_text("distance [m],height [mm]\n" + "".join(lines.splitlines(keepends=True)[:300]))
    with pytest.raises(InputError, match="too short"):
        reduced(file, LoggedDrive, {**content, "profile": "short.csv"}, folder)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"ground": "moon"}, "no class A to H"),
        ({"channels": [{**CHANNEL, "column": "seat down"}]}, 'column "seat down": is not in the header'),
        ({"channels": [{"column": "seat up"}]}, "give one of seat, axle"),
        ({"channels": [{"column": "hub", "axle": "middle"}]}, "no such axle|front, rear"),
        ({"channels": [{"column": "hub", "axle": "rear", "direction": "along"}]}, "is up on a hub"),
        ({"channels": [{"column": "seat up", "seat": "driver"}]}, "no such seat"),
        ({"slowest": "90 km/h", "fastest": "95 km/h"}, "never driven between"),
        ({"log": "gone.csv"}, "cannot be read"),
    ],
)
def test_what_cannot_be_a_drive(driven, changes, says):
    file, _, folder, _ = driven
    content = {"log": "drive.csv", "ground": "track", "speed_column": "v", "channels": [CHANNEL], **changes}
    with pytest.raises((FieldFault, InputError, ValidationError), match=says):
        reduced(file, LoggedDrive, content, folder)
