"""Each thing a builder may get wrong: one clear message, exit code 2, no traceback, nothing written."""

import subprocess
import sys

import pytest
import tomlkit
from typer.testing import CliRunner

from springwright.cli.main import app
from springwright.errors import SpringwrightError
from tests.build import DEMOS, READ, axle, merged, reading_all, vehicle

SCALES = {"mass": None, "behind_front_axle": None, "above_ground": None}
CASES = {
    "unknown key": (
        vehicle(kerb={"mas": "3 kg"}),
        'kerb.mas = "3 kg": no such key; did you mean "mass"?',
    ),
    "unknown key deep inside": (
        vehicle(
            axles=[
                axle(
                    "front",
                    0.0,
                    spring={
                        "acts": {"by": "lever", "ratio": None, "arm": "1 m", "spring_at": "0.5 m", "leen": "3 deg"}
                    },
                ),
                axle("rear", 2.5),
            ]
        ),
        'axles[1] "front".spring.acts.leen = "3 deg": no such key; did you mean "lean"?',
    ),
    "missing unit": (
        vehicle(kerb={"mass": "1500"}),
        'kerb.mass = "1500": the unit is missing; write a mass such as "2450 kg" or "5400 lb"',
    ),
    "bare number": (vehicle(kerb={"mass": 1500}), "kerb.mass = 1500: the unit is missing; write it in quotes"),
    "wrong dimension": (
        vehicle(axles=[axle("front", 0.0, tyre={"rate": "250 kg"}), axle("rear", 2.5)]),
        'axles[1] "front".tyre.rate = "250 kg": "kg" is a unit of mass; a rate is wanted, such as "46 N/mm" or "240 lbf/in"',
    ),
    "not finite": (vehicle(kerb={"mass": "nan kg"}), 'kerb.mass = "nan kg": "nan kg" is not a finite number'),
    "not finite, bare": (
        vehicle(limits={"bump_load_factor": float("inf")}),
        "limits.bump_load_factor = inf: inf is not a finite number",
    ),
    "negative mass": (vehicle(kerb={"mass": "-5 kg"}), 'kerb.mass = "-5 kg": must be more than 0'),
    "impossible frequency": (
        vehicle(axles=[axle("front", 0.0, target={"frequency": "300 Hz"}), axle("rear", 2.5)]),
        "must be 20 Hz or less",
    ),
    "CG outside the supports": (
        vehicle(kerb={"behind_front_axle": "-0.4 m"}),
        'states: in state "empty" the centre of gravity lies −400 mm behind the front axle, outside the supports (0 mm to 2 500 mm)',
    ),
    "unsprung heavier than load": (
        vehicle(axles=[axle("front", 0.0, unsprung_mass="1000 kg"), axle("rear", 2.5)]),
        'axles[1] "front".unsprung_mass = "1000 kg": the axle itself, 1 000 kg, is as heavy as the load on it in state "full", 840 kg',
    ),
    "coil bind at ride height": (
        vehicle(
            axles=[
                axle(
                    "front",
                    0.0,
                    spring={"existing": {"rate": "30 N/mm", "free_length": "0.5 m", "solid_length": "0.36 m"}},
                ),
                axle("rear", 2.5),
            ]
        ),
        'axles[1] "front".spring.existing: in coil bind at ride height: solid length 360 mm, 350 mm between its seats',
    ),
    "coil bind of a drawn coil": (
        vehicle(
            axles=[
                axle(
                    "front",
                    0.0,
                    spring={
                        "coil": {
                            "wire": "16 mm",
                            "mean_diameter": "120 mm",
                            "active_coils": 22,
                            "free_length": "0.5 m",
                            "grade": "52CrMoV4",
                        }
                    },
                ),
                axle("rear", 2.5),
            ]
        ),
        "in coil bind at ride height: solid length 371 mm",
    ),
    "slack at ride height": (
        vehicle(
            axles=[
                axle("front", 0.0, spring={"existing": {"rate": "30 N/mm", "free_length": "0.3 m"}}),
                axle("rear", 2.5),
            ]
        ),
        "free length 300 mm is no longer than the 350 mm between its seats at zero travel: it would be slack",
    ),
    "wire beyond its data": (
        vehicle(
            axles=[
                axle(
                    "front",
                    0.0,
                    spring={
                        "coil": {
                            "wire": "14 mm",
                            "mean_diameter": "110 mm",
                            "active_coils": 6,
                            "free_length": "0.5 m",
                            "grade": "ASTM A401",
                        }
                    },
                ),
                axle("rear", 2.5),
            ]
        ),
        'axles[1] "front".spring.coil.wire = "14 mm": ASTM A401 has strength data from 1.6 to 9.5 mm, not at 14 mm',
    ),
    "unknown grade": (
        vehicle(axles=[axle("front", 0.0, spring={"grade": "iron"}), axle("rear", 2.5)]),
        'spring.grade = "iron": no wire grade "iron"; there are',
    ),
    "two springs": (
        vehicle(
            axles=[
                axle("front", 0.0, spring={"existing": {"rate": "30 N/mm", "free_length": "0.5 m"}, "part": "x"}),
                axle("rear", 2.5),
            ]
        ),
        'axles[1] "front".spring.part = "x": the spring is already given as existing; keep one',
    ),
    "part without a catalogue": (
        vehicle(axles=[axle("front", 0.0, spring={"part": "x"}), axle("rear", 2.5)]),
        'spring.part = "x": no catalogue was named; add catalogue',
    ),
    "no spring and no target": (
        vehicle(axles=[axle("front", 0.0, target=None), axle("rear", 2.5)]),
        'axles[1] "front": give a target (frequency) or the existing spring',
    ),
    "tyre too soft": (
        vehicle(
            axles=[axle("front", 0.0, tyre={"rate": "15 N/mm"}, target={"stiffness": "ride rate"}), axle("rear", 2.5)]
        ),
        'target.frequency = "1.2 Hz": 1.20 Hz with the tyre in series needs a stiffer tyre',
    ),
    "lever out of reach": (
        vehicle(
            axles=[
                axle(
                    "front", 0.0, spring={"acts": {"by": "lever", "ratio": None, "arm": "0.12 m", "spring_at": "0.1 m"}}
                ),
                axle("rear", 2.5),
            ]
        ),
        'axles[1] "front".spring.acts: the spring\'s mount cannot follow the wheel to 140 mm of bump',
    ),
    "lever on a beam": (
        vehicle(
            axles=[
                axle(
                    "front",
                    0.0,
                    kind="beam",
                    spring={"acts": {"by": "lever", "ratio": None, "arm": "1 m", "spring_at": "0.5 m"}},
                ),
                axle("rear", 2.5),
            ]
        ),
        'axles[1] "front".spring.acts.by = "lever": a beam axle takes by = "beam"',
    ),
    "beam without spring base": (
        vehicle(axles=[axle("front", 0.0, kind="beam"), axle("rear", 2.5)]),
        "spring.acts: base is missing: the distance between the left and right springs",
    ),
    "a table that turns": (
        vehicle(
            axles=[
                axle(
                    "front",
                    0.0,
                    spring={
                        "installed_length": None,
                        "acts": {
                            "by": "table",
                            "ratio": None,
                            "rows": [["-0.1 m", "0.4 m"], ["0 m", "0.3 m"], ["0.1 m", "0.31 m"]],
                        },
                    },
                ),
                axle("rear", 2.5),
            ]
        ),
        "spring.acts.rows: the spring must get shorter as the wheel rises",
    ),
    "unknown kind of mount": (
        vehicle(axles=[axle("front", 0.0, spring={"acts": {"by": "rope"}}), axle("rear", 2.5)]),
        'spring.acts: must be one of "lever", "beam", "table", "ratio", "wishbones", "strut", "swing arm", "links", "axle links", "twist", in by',
    ),
    "same name twice": (
        vehicle(axles=[axle("front", 0.0), axle("front", 2.5)]),
        'axles[2] "front".name = "front": "front" is there twice',
    ),
    "axles out of order": (
        vehicle(axles=[axle("front", 0.0), axle("rear", 2.5), axle("third", 1.0)]),
        'axles[3] "third".behind_front_axle = "1.0 m": must be more than that of the axle before it',
    ),
    "one axle alone": (
        vehicle(axles=[axle("front", 0.0)]),
        "axles: one axle cannot stand on its own: add an axle or a [hitch]",
    ),
    "unknown item": (
        vehicle(states=[{"name": "full", "aboard": ["lode"]}]),
        'states[1] "full".aboard[1] = "lode": no item "lode"; there are load',
    ),
    "item aboard twice": (vehicle(states=[{"name": "full", "aboard": ["load", "load"]}]), '"load" is aboard twice'),
    "filling what is no tank": (
        vehicle(states=[{"name": "full", "aboard": ["load"], "fill": {"load": 0.5}}]),
        "it has no [items.tank], so it cannot be part full",
    ),
    "fill over the brim": (
        vehicle(states=[{"name": "full", "aboard": ["load"], "fill": {"load": "120 %"}}]),
        'states[1] "full".fill.load = "120 %": must be 1 or less',
    ),
    "unknown design state": (
        vehicle(design_state="half"),
        'design_state = "half": no such state; there are empty, full',
    ),
    "shares that do not add up": (
        vehicle(driveline={"brake_split": {"front": 0.7, "rear": 0.2}}),
        "driveline.brake_split: the shares add up to 0.9, not 1",
    ),
    "torque to an idle axle": (
        vehicle(driveline={"torque_split": {"front": 1.0, "rear": 0.0}}),
        "driveline.torque_split.front = 1.0: this axle is not driven",
    ),
    "too few readings": (
        vehicle(
            kerb={**SCALES, "scales": {"left": ["400 kg"], "right": ["380 kg", "400 kg"]}, "above_ground": "0.7 m"}
        ),
        "kerb.scales.left: 1 readings for 2 wheels",
    ),
    "two ways of kerb": (
        vehicle(kerb={"scales": {"left": ["4 kg"], "right": ["4 kg"]}}),
        "kerb: give one of scales (readings under each wheel) and mass",
    ),
    "no height": (
        vehicle(kerb={**SCALES, "scales": {"left": ["400 kg", "380 kg"], "right": ["380 kg", "400 kg"]}}),
        "kerb: give one of raised (readings with one end up) and above_ground",
    ),
    "readings that cannot be": (
        vehicle(
            kerb={
                **SCALES,
                "scales": {"left": ["400 kg", "380 kg"], "right": ["380 kg", "400 kg"]},
                "raised": [{"end": "front", "height": "0.6 m", "on_scales": {"rear": "600 kg"}}],
            }
        ),
        "kerb.raised[1].on_scales: the axles still on the ground must read more than level",
    ),
    "design loads that do not balance": (
        vehicle(
            axles=[
                axle("a", 0.0, design_load="900 kg"),
                axle("b", 2.0, design_load="600 kg"),
                axle("c", 3.0, design_load="300 kg"),
            ]
        ),
        'axles[1] "a".design_load = "900 kg": the design loads must add up to 1 800 kg',
    ),
    "raised weighings that contradict each other": (
        vehicle(
            kerb={
                **SCALES,
                "scales": {"left": ["400 kg", "380 kg"], "right": ["380 kg", "400 kg"]},
                "raised": [
                    {"end": "front", "height": "0.6 m", "on_scales": {"rear": f"{reading} kg"}}
                    for reading in (815, 816, 850)
                ],
            }
        ),
        "kerb.raised[3]: the raised weighings give heights",
    ),
    "a load out beyond the wheels": (
        vehicle(
            items=[
                {
                    "name": "load",
                    "mass": "900 kg",
                    "behind_front_axle": "2.0 m",
                    "left_of_centre": "5 m",
                    "above_ground": "1.0 m",
                }
            ]
        ),
        'in state "full" the centre of gravity lies 1 875 mm to the left, outside the track',
    ),
    "metres for millimetres": (
        vehicle(axles=[axle("front", 0.0, track="1520 m"), axle("rear", 2.5)]),
        'track = "1520 m": must be between 300 mm and 6 m',
    ),
    "a damping ratio in per cent": (
        vehicle(axles=[axle("front", 0.0, target={"damping_ratio": 30}), axle("rear", 2.5)]),
        "target.damping_ratio = 30: must be 3 or less",
    ),
    "a tank that cannot hold it": (
        vehicle(
            items=[
                {
                    "name": "load",
                    "mass": "300 kg",
                    "behind_front_axle": "2.0 m",
                    "above_ground": "1.0 m",
                    "tank": {"shape": "box", "length": "3 m", "width": "1 m", "height": "1 m"},
                }
            ]
        ),
        'items[1] "load".tank: this tank full holds 3 000 kg, but the item is 300 kg',
    ),
    "a ratio of nothing": (
        vehicle(axles=[axle("front", 0.0, spring={"acts": {"by": "ratio", "ratio": 0}}), axle("rear", 2.5)]),
        'axles[1] "front".spring.acts.ratio = 0: must be more than 0',
    ),
    "catalogue that is not there": (
        vehicle(catalogue="none.csv"),
        'catalogue = "none.csv": there is no such file beside the design',
    ),
    "a tyre pressed flat by metres": (
        vehicle(
            axles=[
                axle(
                    "front",
                    0.0,
                    tyre={
                        "rate": None,
                        "rate_load": "400 kg",
                        "readings": [["2 bar", "2500 N", "10 mm"], ["2 bar", "5000 N", "20 m"]],
                    },
                ),
                axle("rear", 2.5),
            ]
        ),
        "must be 2000 mm or less",
    ),
    "an air spring of no area": (
        vehicle(
            axles=[
                axle(
                    "front",
                    0.0,
                    spring={"air": {"area": "0.0004 cm**2", "bump_stroke": "170 mm", "droop_stroke": "170 mm"}},
                ),
                axle("rear", 2.5),
            ]
        ),
        "must be 0.1 cm**2 or more",
    ),
    "a mark of the program's own": (
        vehicle(axles=[axle("front", 0.0, spring={"turned": True}), axle("rear", 2.5)]),
        'axles[1] "front".spring.turned = true: no such key',
    ),
    "format missing": (vehicle(format=None), "format: is missing; add it"),
    "a file name that cannot be": (vehicle(catalogue="9" * 400), "there is no such file beside the design"),
    "another, read before the design": (vehicle(grades=["9" * 400]), "there is no such file beside the design"),
    "a pivot in millimetres, written in metres": (
        vehicle(
            axles=[
                axle(
                    "front",
                    0.0,
                    roll_centre_height=None,
                    swing_arm={
                        "wheel_centre": ["0 mm", "800 mm", "400 m"],
                        "inner_pivot": ["450 mm", "300 mm", "400 mm"],
                        "outer_pivot": ["450 mm", "600 mm", "400 mm"],
                    },
                ),
                axle("rear", 2.5),
            ]
        ),
        "must be 30000 mm or less",
    ),
    "eyes of a leaf spring higher than it can bow": (
        vehicle(
            axles=[
                axle(
                    "front",
                    0.0,
                    kind="beam",
                    spring={
                        "acts": {"by": "beam", "base": "900 mm", "ratio": None},
                        "leaf": {"front": "600 mm", "rear": "600 mm", "eyes_above": "25 m"},
                    },
                ),
                axle("rear", 2.5),
            ]
        ),
        "is more than half of a half of the spring; check its unit",
    ),
    "a bar's overhang less than nothing": (
        vehicle(
            axles=[
                axle(
                    "front",
                    0.0,
                    bar={
                        "adds": "300 N*m/deg",
                        "motion_ratio": 0.6,
                        "shape": {"between": "800 mm", "overhang": "-600 mm", "arm": "400 mm"},
                    },
                ),
                axle("rear", 2.5),
            ]
        ),
        "must be 0 or more",
    ),
    "an axle that is no table": ({**vehicle(), "axles": "two"}, 'axles = "two": must be a list in square brackets'),
}


def run(path, *more):
    return CliRunner().invoke(app, ["size", str(path), *more])


@pytest.mark.parametrize("name", CASES)
def test_one_clear_message(name, tmp_path):
    data, says = CASES[name]
    path, out = tmp_path / "bad.toml", tmp_path / "out.pdf"
    path.write_text(tomlkit.dumps(data))
    done = run(path, "-o", str(out))
    assert isinstance(done.exception, SpringwrightError), done.exception
    message = str(done.exception)
    assert says in message.replace("\N{NARROW NO-BREAK SPACE}", " ")
    assert all(line.startswith(("bad.toml: ", "none.csv: ")) or "none.csv" in line for line in message.splitlines())
    assert [file.name for file in tmp_path.iterdir()] == ["bad.toml"]


def test_every_fault_is_named_at_once(tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text(tomlkit.dumps(vehicle(kerb={"mass": "1500", "above_ground": "3 kg"}, colour="red")))
    assert len(str(run(path).exception).splitlines()) == 3


def as_process(*arguments):
    return subprocess.run(
        [sys.executable, "-m", "springwright", *arguments], capture_output=True, text=True, check=False
    )


def test_as_a_process_exit_2_and_no_traceback(tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text("axles = [\n  oops")
    done = as_process("size", str(path), "-o", str(tmp_path / "o.html"))
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("bad.toml: is not valid TOML: ")
    assert "line 2" in done.stderr
    assert "Traceback" not in done.stderr
    assert [file.name for file in tmp_path.iterdir()] == ["bad.toml"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (
            ["size", "nowhere.toml"],
            "nowhere.toml: there is no such file; check the name, or start one with: springwright new FILE",
        ),
        (["size", "."], "is a folder; name the file in it"),
        (
            ["size", str(DEMOS / "fire-watch.toml"), "-o", "sheet.doc"],
            "sheet.doc: the ending tells the form: use .pdf, .html, .csv",
        ),
        (
            ["size", str(DEMOS / "fire-watch.toml"), "-o", "not/there/sheet.csv"],
            "the folder is not there; make it first",
        ),
        (["new", "not/there/a.toml"], "the folder is not there; make it first"),
    ],
)
def test_files_that_cannot_be(arguments, says):
    done = as_process(*arguments)
    assert done.returncode == 2
    assert says in done.stderr
    assert "Traceback" not in done.stderr


def test_a_binary_file_is_refused(tmp_path):
    path = tmp_path / "a.toml"
    path.write_bytes(b"\xff\xfe\x00\x01")
    assert "is not plain text in UTF-8" in str(run(path).exception)


def test_a_bad_vehicle_never_falls_over_silently(tmp_path):
    """A tall body on soft springs does not stand: said by state, not shown as a figure."""
    soft = {
        "target": {"frequency": "0.5 Hz"},
        "tyre": {"rate": "60 N/mm"},
        "spring": {"installed_length": "1.2 m"},
        "travel": {"bump": "0.3 m", "droop": "0.3 m"},
    }
    path = tmp_path / "tall.toml"
    path.write_text(
        tomlkit.dumps(
            vehicle(axles=[axle("front", 0.0, **soft), axle("rear", 2.5, **soft)], kerb={"above_ground": "2.2 m"})
        )
    )
    said = str(run(path).exception)
    assert said.startswith('load state "empty": ')
    assert "would not stay upright" in said or "The vehicle tips" in said


def test_merged_helper_takes_keys_out():
    assert merged({"a": {"b": 1, "c": 2}}, {"a": {"b": None}}) == {"a": {"c": 2}}


WRITING = (
    ("size",), ("modes",), ("rest",), ("geometry", "front"), ("part", "front spring"), ("order",), ("window",), ("prove", "--question", "level"),
    ("drive", "--ground", "half-round 60 mm", "--speed", "20 km/h"), ("drive", "--ground", "track.csv", "--speed", "20 km/h", "--speed", "25 km/h"),
)  # fmt: skip


@pytest.fixture(scope="module")
def reading(tmp_path_factory):
    """A design that reads a file of every kind, one of them through a link."""
    folder = tmp_path_factory.mktemp("reading")
    reading_all(folder)
    (folder / "other.toml").write_text(tomlkit.dumps(vehicle()))
    (folder / "link.csv").symlink_to(folder / "list.csv")
    (folder / "design.csv").symlink_to(folder / "other.toml")
    return folder


@pytest.mark.parametrize("command", WRITING, ids=" ".join)
def test_an_input_is_never_written_over(reading, command, monkeypatch):
    """Whatever a command reads, through a link too, and any other design: refused, and left letter for letter."""
    monkeypatch.chdir(reading)
    before = {one.name: one.read_bytes() for one in reading.iterdir()}
    for name in (*READ, "link.csv", "design.csv"):
        done = CliRunner().invoke(app, [command[0], "v.toml", *command[1:], "-o", name])
        said = "is a design file" if name == "design.csv" else "is read by this run"
        assert f"{said} and would be lost" in str(done.exception), (name, done.output, done.exception)
    assert {one.name: one.read_bytes() for one in reading.iterdir()} == before


def test_another_file_is_replaced_as_usual(reading, monkeypatch):
    monkeypatch.chdir(reading)
    (reading / "mine.csv").write_text("old")
    assert CliRunner().invoke(app, ["rest", "other.toml", "-o", "mine.csv"]).exit_code == 0
    assert (reading / "mine.csv").read_text().startswith("At rest")
    (reading / "mine.csv").unlink()


def test_names_are_never_read_as_markup(tmp_path):
    path = tmp_path / "v.toml"
    path.write_text(tomlkit.dumps(vehicle(axles=[axle("front [red]", 0.0), axle("rear [/b]", 2.5)])))
    said = run(path)
    assert said.exit_code == 0
    assert "front [red] kg" in said.output
    assert "rear [/b]" in said.output


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["rest", str(DEMOS / "survey-buggy.toml"), "--brake", "3 g"], "The vehicle tips"),
        (
            ["drive", str(DEMOS / "survey-buggy.toml"), "--ground", "class D", "--speed", "0 km/h"],
            "must be between 0.2 and 540 km/h",
        ),
        (
            ["drive", str(DEMOS / "survey-buggy.toml"), "--ground", "class D", "--speed", "-5 km/h"],
            "must be between 0.2 and 540 km/h",
        ),
        (
            ["drive", str(DEMOS / "survey-buggy.toml"), "--ground", "half-round -120 mm", "--speed", "9 km/h"],
            "sizes must be more than 0",
        ),
        (
            ["drive", str(DEMOS / "survey-buggy.toml"), "--ground", "class D", "--speed", "9 km/h", "--seed", "-1"],
            "--seed",
        ),
    ],
)
def test_motion_that_cannot_be(arguments, says):
    done = as_process(*arguments)
    assert done.returncode == 2
    assert says in done.stderr
    assert "Traceback" not in done.stderr
