"""A design that is not whole yet: sized as far as it goes with what is missing estimated, and each fault pointed at by its line."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from springwright.errors import InputError
from springwright.sizing.filled import filled
from springwright.sizing.sheet import size
from springwright.vehicle.file import load
from springwright.vehicle.lines import TextLines
from springwright.vehicle.standing import standing_estimates
from tests.build import DEMOS

PART = """format = 2
[vehicle]
name = "Half a truck"
[kerb]
mass = "2100 kg"
[[states]]
name = "one"
[[axles]]
name = "nose"
behind_front_axle = "0 mm"
kind = "beam"
track = "1540 mm"
[axles.target]
frequency = "1.2 Hz"
[[axles]]
name = "tail"
behind_front_axle = "2700 mm"
kind = "beam"
[axles.tyre]
rate = "350 N/mm"
unloaded_radius = "400 mm"
"""


@pytest.fixture
def part(tmp_path):
    path = tmp_path / "part.toml"
    path.write_text(PART)
    return path


def test_what_is_given_stays_and_what_is_missing_is_estimated(part):
    file = filled(part)
    nose, tail = file.design.axles
    assert (nose.track, tail.behind_front_axle, tail.tyre.rate) == pytest.approx((1.54, 2.7, 350e3))
    assert size(file).kerb.mass == pytest.approx(2100.0)
    named = {one.entry.field for one in standing_estimates(file.design)}
    assert {
        "axles.nose.unsprung_mass",
        "axles.tail.track",
        "axles.nose.tyre.rate",
        "axles.tail.target.frequency",
        "kerb.above_ground",
    } <= named
    assert not named & {
        "kerb.mass",
        "axles.nose.track",
        "axles.tail.tyre.rate",
        "axles.nose.target.frequency",
        "axles.tail.behind_front_axle",
    }
    assert part.read_text() == PART


@pytest.mark.parametrize("name", ["fire-watch-links", "start", "bog-carrier", "survey-buggy"])
def test_a_design_that_is_whole_keeps_every_figure(name, tmp_path):
    """Nothing of a whole design is put in another's place: its sizing is the same."""
    for one in (f"{name}.toml", "springs.csv"):
        (tmp_path / one).write_bytes((DEMOS / one).read_bytes())
    whole, again = size(load(tmp_path / f"{name}.toml")), size(filled(tmp_path / f"{name}.toml"))
    for a, b in zip(whole.rates, again.rates, strict=True):
        assert b.wheel_rate == pytest.approx(a.wheel_rate)
        assert b.bump_load_factor == pytest.approx(a.bump_load_factor)


def test_without_a_mass_nothing_is_estimated(part):
    part.write_text(PART.replace('mass = "2100 kg"', ""))
    with pytest.raises(InputError, match="nothing can be estimated without it"):
        filled(part)
    part.write_text(PART.replace('"2100 kg"', '"2100 Hz"'))
    with pytest.raises(InputError, match="unit of frequency"):
        filled(part)
    part.write_text(PART.replace('"1540 mm"', '"1540"'))
    with pytest.raises(InputError, match="the unit is missing"):
        filled(part)


@pytest.mark.parametrize(
    "text",
    [
        "[[[",
        'axles = "x"',
        "axles = [1]",
        "kerb = 3",
        '[kerb]\nmass = "2 t"\n[[axles]]\nname = 3\n[[axles]]\ntarget = "x"',
        "",
    ],
)
def test_what_is_no_design_is_said_in_a_word(part, text):
    part.write_text(text)
    with pytest.raises(InputError) as caught:
        filled(part)
    assert all(one.line == 0 for one in caught.value.faults)


@pytest.mark.parametrize(
    ("at", "says"),
    [
        (("vehicle", "name"), 'name = "Half a truck"'), (("axles", 0, "track"), 'track = "1540 mm"'), (("axles", 1, "kind"), 'kind = "beam"'),
        (("axles", 1, "tyre", "rate"), 'rate = "350 N/mm"'), (("axles", 0, "unsprung_mass"), "[[axles]]"), (("axles", 0, "target", "sag"), "[axles.target]"), (("hitch", "rate"), ""),
    ],
)  # fmt: skip
def test_a_fault_is_pointed_at_by_its_line(at, says):
    number = TextLines(PART).of(at)
    assert (PART.splitlines()[number - 1] if number else "") == says
    if says == 'kind = "beam"':
        assert number == 18


def test_every_key_of_a_demo_has_its_line():
    import tomllib

    text = (DEMOS / "fire-watch.toml").read_text()
    lines, known = text.splitlines(), TextLines(text)

    def look(value, at):
        if isinstance(value, dict):
            for key, one in value.items():
                look(one, (*at, key))
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for i, one in enumerate(value):
                look(one, (*at, i))
        else:
            here = lines[known.of(at) - 1]
            key = next(step for step in reversed(at) if isinstance(step, str))
            assert key in here, (at, here)

    look(tomllib.loads(text), ())


def test_the_command_says_how_to_go_on(part):
    def run(*words):
        where = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2] / "src")}
        return subprocess.run(
            [sys.executable, "-m", "springwright", *words], capture_output=True, text=True, cwd=part.parent, env=where
        )

    plain = run("size", "part.toml")
    assert plain.returncode == 2
    assert "--estimate sizes it as far as it goes" in plain.stderr
    assert "  line 8: [[axles]]" in plain.stderr
    done = run("size", "part.toml", "--estimate")
    assert done.returncode == 0, done.stderr
    assert "Still to be given" in done.stdout
    assert run("size", "part.toml", "--estimate", "-o", "x.pdf").returncode == 2
