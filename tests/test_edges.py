"""What is typed at the edges: units that look alike, figures that cannot be, files that end too soon, answers that govern in different states."""

import math
import time
from pathlib import Path

import pytest

from springwright.errors import InputError, QuantityError, UnsolvedError
from springwright.motion.forces import Case
from springwright.parts.catalogue import read_catalogue
from springwright.parts.grades import grades_in
from springwright.parts.sheets import read_points
from springwright.quantities import Kind
from springwright.questions.at_rest import rest
from springwright.questions.drives import drive_design, drive_speeds
from springwright.questions.land import DROPS, SPEEDS
from springwright.questions.prove import prove
from springwright.sizing.axle_geometry import geometry
from springwright.sizing.sheet import size
from springwright.terrain.named import ground_named
from springwright.units import KINDS, parse, plain, show_some, text_in
from springwright.vehicle.file import load
from tests.build import axle, design_file, vehicle

ONE_AND_A_THIRD = {
    "Hz": 1.3, "mHz": 1300.0, "1/s": 1.3, "cycle/s": 1.3, "cycle/min": 78.0, "cpm": 78.0, "rpm": 78.0, "1/min": 78.0,
    "rad/s": 1.3 * math.tau, "deg/s": 468.0,
}  # fmt: skip


@pytest.mark.parametrize("unit", ONE_AND_A_THIRD)
def test_a_frequency_counts_cycles(unit):
    """1.3 Hz is 78 turns a minute and 1.3 times two pi radians a second (SI brochure); 1/s means cycles."""
    assert parse(f"{ONE_AND_A_THIRD[unit]!r} {unit}", "frequency") == pytest.approx(1.3, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("800 N*m", "roll rate", "is a moment per angle"),
        ("800 lbf*ft", "twist rate", "is a moment per angle"),
        ("0.2 cycle/m", "per length", "no angle or cycle in it"),
        ("0.2 deg/m", "per length", "no angle or cycle in it"),
        ("1.3 turn/s", "frequency", "how many cycles"),
        ("1.3 rad/min", "frequency", "how many cycles"),
        ("9" * 400 + " mm", "length", "not a finite number"),
    ],
)
def test_a_unit_that_is_another_thing_is_refused_with_one_that_would_do(text, kind, says):
    with pytest.raises(QuantityError, match=says):
        parse(text, kind)


def test_displacement_density_stays_in_cubic_metres():
    assert parse("256e-6 m**3", "roughness") == pytest.approx(256e-6)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_reads_what_it_writes(kind):
    """Text and back in both systems."""
    for unit in {KINDS[kind].metric, KINDS[kind].imperial, KINDS[kind].si}:
        for si in (0.37, 41.0):
            assert parse(text_in(si, kind, unit), kind) == pytest.approx(si, rel=1e-11)


@pytest.mark.parametrize(
    ("name", "text"), [("length", "1e300 m"), ("mass", "1e200 kg"), ("rate", "1e60 N/m"), ("ratio", 1e300)]
)
def test_what_arithmetic_cannot_hold_is_refused(name, text):
    with pytest.raises(QuantityError, match="of a vehicle; check its unit"):
        Kind(name).read(text)


def test_what_is_as_good_as_nought_is_refused_where_more_is_wanted():
    with pytest.raises(QuantityError, match="as good as 0"):
        Kind("ratio", above=0.0).read(1e-300)
    with pytest.raises(QuantityError, match="finite"):
        parse(int("9" * 400), "ratio")


def test_files_that_end_too_soon_say_so(tmp_path):
    with pytest.raises(InputError):
        grades_in("# name: short\ndiameter [mm],strength least [MPa]\n4\n", "short.csv")
    with pytest.raises(InputError):
        grades_in("diameter [mm],strength least [MPa]\n4,1200\n5,1100\n", "headless.csv")
    steels = "name,leaf at ride [MPa],elastic modulus [GPa]\nmine\n"
    with pytest.raises(InputError):
        grades_in(steels, "steels.csv")
    with pytest.raises(InputError, match=r"x, y and z|no number|missing"):
        read_points("name,x [mm],y [mm],z [mm]\nball,1,2,3\nlost\n", "points.csv")
    (tmp_path / "track.csv").write_bytes(b"\xff\xfe\x00\x01")
    with pytest.raises(InputError, match="UTF-8"):
        ground_named("track.csv", 1.5, 100.0, 1, tmp_path)


def test_land_is_looked_for_from_nothing():
    """A drop of nothing is the first looked at, so that a crossing under 100 mm is found between; speeds likewise."""
    assert DROPS[0] == 0.0
    assert DROPS[1] < 0.06
    assert SPEEDS[0] < 0.5
    low = {"axles": [axle("front", 0.0), axle("rear", 2.5)], "limits": {"drop_height": "10 mm", "shock": "12 m/s**2"}}
    answer = prove(design_file(vehicle(**low)), ["land"]).answers[0]
    drop = next(one for one in answer.figures if "drop height" in one.measure)
    assert drop.value is not None
    assert 0.0 < drop.value < 0.1


def test_figures_not_met_in_different_states_are_all_answered():
    """Roll gradient governs when full, the damping of roll and the climb in others: each is asked where it governs."""
    limits = {"roll_gradient": "0.5 deg/g", "climb": "80 deg", "roll_damping": 0.99, "wheel_lift": "3 g"}
    proof = prove(design_file(vehicle(limits=limits)), ["stand"])
    failed = {one.measure: one.state for one in proof.answers[0].figures if one.word == "not met"}
    assert len(set(failed.values())) > 1
    assert {one.measure for one in proof.moves} & set(failed)


def test_braking_taken_by_the_loads_is_said():
    """Without driveline.brake_split: in proportion to the axle loads at rest in that state, 1 800 kg with its middle at 1.333 of 2.5 m."""
    file = design_file(vehicle())
    braking = rest(file, "full", Case(along=-3.0))
    said = [note for note in braking.notes if "brake_split" in note]
    ahead = (1500 * 1.2 + 300 * 2.0) / 1800
    shares = f"front {100 * (1 - ahead / 2.5):.0f} %, rear {100 * ahead / 2.5:.0f} %"
    assert len(said) == 1
    assert said[0].endswith(f"in proportion to the axle loads at rest in full, {shares}")
    assert not any("brake_split" in note for note in rest(file, "full").notes)
    given = design_file(vehicle(driveline={"brake_split": {"front": 0.6, "rear": 0.4}}))
    assert not any("brake_split" in note for note in rest(given, "full", Case(along=-3.0)).notes)


def test_a_ground_too_short_to_say_anything_is_refused(tmp_path):
    rows = "\n".join(f"{0.05 * i:.2f},{0.01 * (i % 3)}" for i in range(61))
    (tmp_path / "three.csv").write_text(f"distance [m],left [m]\n{rows}\n")
    file = design_file(vehicle(), tmp_path / "v.toml")
    with pytest.raises(UnsolvedError, match=r"the ground is only 3\.0 m long, driven in 0\.1 s; give a longer one"):
        drive_design(file, "three.csv", 30 / 3.6)
    assert [run.reason[:26] for run in drive_speeds(file, "three.csv", [5.0, 10.0]).runs] == [
        "the ground is only 3.0 m l"
    ] * 2
    assert drive_design(file, "half-round 60 mm", 5.0).duration > 0


def test_figures_read_alike():
    assert show_some(0.0002, "length") == "less than 1 mm"
    assert show_some(0.004, "length") == "4 mm"
    with pytest.raises(InputError, match=r"must be 74\.4845 deg or less"):
        design_file(
            vehicle(
                axles=[
                    axle("front", 0.0),
                    axle(
                        "rear",
                        2.5,
                        spring={
                            "acts": {
                                "by": "lever",
                                "ratio": None,
                                "arm": "0.4 m",
                                "spring_at": "0.3 m",
                                "lean": "80 deg",
                            }
                        },
                    ),
                ]
            )
        )
    assert "−" not in plain(-0.0004, 2)


SWING = {
    "swing_arm": {"wheel_centre": ["0 mm", "800 mm", "400 mm"], "inner_pivot": ["450 mm", "300 mm", "400 mm"], "outer_pivot": ["450 mm", "600 mm", "400 mm"]},
    "roll_centre_height": None,
}  # fmt: skip
CAUSES = {
    "psi misspelt": (
        {"tyre": {"rate": None, "size": "265/70R17", "pressure": "35 psj", "estimate": True}},
        'axles[1] "front".tyre.pressure = "35 psj": "psj" is no unit that is known',
    ),
    "a load in newtons": (
        {"tyre": {"rate": None, "rate_load": "4 kN", "readings": [["2 bar", "2 kN", "10 mm"], ["2 bar", "5 kN", "22 mm"]]}},
        'axles[1] "front".tyre.rate_load = "4 kN"',
    ),
    "a foot on the wrong side": (
        {**SWING, "spring": {"acts": {"by": "swing arm", "ratio": None, "foot": ["150 mm", "-600 mm", "400 mm"], "top": ["150 mm", "600 mm", "700 mm"]}, "installed_length": None, "part": "x"}},
        'axles[1] "front".spring.acts.foot: stands −600 mm out, on the other side of the centreline than its top',
    ),
    "a ratio for a lever": (
        {"spring": {"acts": {"by": "lever", "ratio": 0.7, "arm": "0.4 m", "spring_at": "0.3 m"}}},
        'axles[1] "front".spring.acts.ratio = 0.7: no such key; known here are arm, arm_slope, by, lean, spring_at',
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CAUSES)
def test_a_fault_is_laid_at_its_own_door(name):
    changes, says = CAUSES[name]
    with pytest.raises(InputError) as caught:
        design_file(vehicle(axles=[axle("front", 0.0, **changes), axle("rear", 2.5)]))
    assert says in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1


def test_a_wrong_raised_height_is_named_where_the_body_falls_over():
    """780 kg of 1 500 behind where 720 stood, at 50 mm for 600: the centre of gravity comes out at 5 m and nothing stands up."""
    kerb = {
        "mass": None, "behind_front_axle": None, "above_ground": None,
        "scales": {"left": ["390 kg", "360 kg"], "right": ["390 kg", "360 kg"]},
        "raised": [{"end": "front", "height": "50 mm", "on_scales": {"rear": "790 kg"}}],
    }  # fmt: skip
    with pytest.raises(InputError) as caught:
        size(design_file(vehicle(kerb=kerb)))
    said = str(caught.value)
    assert said.startswith(
        'test.toml: kerb.raised[1].height = "50 mm": by this and the readings the centre of gravity stands '
    )
    assert "would not stay upright" in said


def test_points_are_known_by_their_names_however_they_are_spaced():
    text = "name,x [mm],y [mm],z [mm]\nlower ball,1,2,3\nRight  Lower_Ball,4,5,6\n wheel_centre ,7,8,9\n"
    assert list(read_points(text, "p.csv")) == ["lower_ball", "right lower_ball", "wheel_centre"]
    with pytest.raises(InputError, match="is there twice"):
        read_points(text + "lower_ball,1,1,1\n", "p.csv")


@pytest.mark.parametrize("ratio", [0, 1e-300, -1])
def test_a_bar_that_does_not_move_is_refused(ratio):
    bar = {
        "adds": "400 N*m/deg",
        "motion_ratio": ratio,
        "shape": {"between": "800 mm", "overhang": "50 mm", "arm": "250 mm"},
    }
    with pytest.raises(InputError, match=r'axles\[1\] "front"\.bar: cannot be worked out: must be more than 0'):
        design_file(vehicle(axles=[axle("front", 0.0, bar=bar), axle("rear", 2.5)]))


def test_a_shackled_leaf_that_cannot_be_worked_out_has_its_geometry_told():
    leaf = {"front": "600 mm", "rear": "600 mm", "shackle": {"length": "100 mm"}}
    spring = {"acts": {"by": "beam", "ratio": None, "base": "1 m"}, "leaf": leaf}
    file = design_file(vehicle(axles=[axle("front", 0.0), axle("rear", 2.5, kind="beam", spring=spring)]))
    assert size(file).springs[1].none_because
    assert geometry(file, "rear").positions


WIRE = "# name: w\n# made: {made}\n# shear modulus: {shear}\n# elastic modulus: 206e9\n# density: {density}\n# fatigue: oil-hardened and alloy\n# source: s\n# caveat: c\n# sizes: 8 10\ndiameter [mm],strength least [MPa],shear at solid [MPa]\n8,1700,{solid}\n16,1500,\n"
FINE = {"made": "cold coiled", "shear": "80e9", "density": "7850", "solid": ""}


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"made": "hot-coiled"}, "made = hot-coiled: must be one of cold coiled, hot coiled"),
        ({"shear": "0"}, "shear modulus = 0: no metal has that"),
        ({"shear": "nan"}, "shear modulus = nan: no metal has that"),
        ({"density": "-1"}, "density = -1: no metal has that"),
        ({"solid": "inf"}, "shear at solid, row 1 = inf: no metal has that"),
    ],
)
def test_a_grade_that_no_metal_has_is_refused(wrong, says):
    assert grades_in(WIRE.format(**FINE), "w.csv")["w"].density == 7850
    with pytest.raises(InputError, match=says):
        grades_in(WIRE.format(**{**FINE, **wrong}), "w.csv")


@pytest.mark.parametrize(
    "text",
    ["1 mm*9**9**9", "1 mm**9", "1 mm**2**2", "1 (1+1)*mm", "1 mm*1e300", "1 mm^99", "1 " + "mm*" * 4000 + "mm", "1 __import__('os')", "1 mm;mm", "1 9*mm", "1 m**-9"],
)  # fmt: skip
def test_nothing_of_a_quantity_is_evaluated(text):
    """A number and a unit: names and their small powers; told at once, and cut where it is long."""
    begun = time.monotonic()
    with pytest.raises(QuantityError) as caught:
        parse(text, "length")
    assert time.monotonic() - begun < 1
    assert len(str(caught.value)) < 200


def test_every_spelling_of_a_unit_is_still_read():
    for name, info in KINDS.items():
        for unit in (info.metric, info.imperial):
            if unit and name != "count":
                assert parse(f"1 {unit}", name) != 0 or "temperature" in name
    for text, kind, value in (
        ("2 m3", "volume", 2.0), ("2 m^3", "volume", 2.0), ("2 m³", "volume", 2.0), ("3 N·m/deg", "roll rate", 3 * 180 / math.pi), ("5 kg*m**2", "inertia", 5.0),
        ("1 m/s**1.75", "dose", 1.0), ("78 1/min", "frequency", 1.3), ("12 %", "share", 0.12), ("4 °", "angle", math.radians(4)), ("2 m s^-1", "speed", 2.0), ("1 N/(mm)", "rate", 1000.0),
    ):  # fmt: skip
        assert parse(text, kind) == pytest.approx(value), text


def test_what_is_said_back_is_cut():
    with pytest.raises(InputError) as caught:
        design_file(vehicle(kerb={"mass": "9" * 4000 + " kg"}))
    assert len(str(caught.value)) < 300
    with pytest.raises(InputError) as caught:
        load(Path("y" * 300 + ".toml"))
    assert len(str(caught.value)) < 400


@pytest.mark.parametrize("letter", ["\x1b", "\x00", "\x07", "\x7f", "\x9b"])
def test_control_characters_are_refused_wherever_they_stand(letter, tmp_path):
    """In a name, a note, a key and the cells of every file beside the design; told as an escape, never as itself."""
    shown = ascii(letter)
    changes = (
        {"vehicle": {"name": f"Truck{letter}[31m"}}, {"vehicle": {"name": "T", "note": f"a{letter}b"}}, {"states": [{"name": f"emp{letter}ty"}]},
        {"driveline": {"brake_split": {f"fr{letter}ont": 1.0}}}, {"items": [{"name": f"lo{letter}ad", "mass": "1 kg", "behind_front_axle": "1 m", "above_ground": "1 m"}]},
    )  # fmt: skip
    for change in changes:
        with pytest.raises(InputError) as caught:
            design_file(vehicle(**change))
        assert f"holds a control character, {shown}; take it out" in str(caught.value)
        assert letter not in str(caught.value)
    (tmp_path / "list.csv").write_text(
        f"part,rate [N/mm],free length [mm],solid length [mm],outside diameter [mm]\na{letter},30,480,150,140\n"
    )
    with pytest.raises(InputError, match=r"list\.csv: line 2: holds a control character"):
        size(design_file(vehicle(catalogue="list.csv"), tmp_path / "v.toml"))


def test_tabs_and_lines_in_a_note_are_as_good_as_letters():
    assert (
        design_file(vehicle(vehicle={"name": "Ünïcode ✓ 车", "note": "one\ntwo\tthree"})).design.vehicle.note
        == "one\ntwo\tthree"
    )


def test_of_many_faults_the_first_are_told_and_the_rest_counted():
    head = "part,rate [N/mm],free length [mm],solid length [mm],outside diameter [mm]\n"
    with pytest.raises(InputError) as caught:
        read_catalogue(head + "".join(f"p{i},-1,400,150,140\n" for i in range(500)), "list.csv")
    lines = str(caught.value).splitlines()
    assert len(lines) == 21
    assert lines[-1] == "list.csv: and 480 more like these"
    assert len(caught.value.faults) == 500


def test_what_turns_the_reading_round_is_said_as_an_escape():
    with pytest.raises(InputError) as caught:
        design_file(vehicle(kerb={"mass": "\u202e15 kg"}))
    assert "\u202e" not in str(caught.value)
