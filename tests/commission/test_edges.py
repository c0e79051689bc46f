"""What a sceptical user found: ends of what can be, readings that tell nothing, files written in another way."""

from __future__ import annotations

import numpy as np
import pytest
import tomlkit

from springwright.commission.as_built import as_built
from springwright.commission.compare import compare
from springwright.commission.correct import Problem, correct, most_probable
from springwright.commission.grounds_read import read_ground
from springwright.commission.logged_drive import LoggedDrive
from springwright.commission.logs import Wanted, read_log
from springwright.commission.modelled import modelled
from springwright.commission.parts_read import SpringBench, TyrePress
from springwright.commission.pushes import Push
from springwright.commission.scales import RaisedWeighing, Weighing
from springwright.commission.taken import SURE
from springwright.errors import FieldFault, InputError, UnsolvedError
from springwright.report.measure import correction_section
from springwright.sizing.sheet import size
from springwright.vehicle.file import load
from tests.build import DEMOS
from tests.commission.made import reduced, truck, write

ACC = Wanted("acc z", "acceleration")


@pytest.fixture
def demo(tmp_path):
    """The demo truck, that draws no friction."""
    for name in ("fire-watch.toml", "springs.csv"):
        (tmp_path / name).write_bytes((DEMOS / name).read_bytes())
    return load(tmp_path / "fire-watch.toml")


def of_demo(file, sets):
    path = file.path.with_name("x.readings.toml")
    path.write_text(tomlkit.dumps({"readings": 1, "vehicle": file.design.vehicle.name, **sets}))
    return path


def test_friction_is_never_less_than_none(demo):
    """A damping below what is due cannot be told by friction that is drawn as none: it stays, and nothing is called wrong that the rest allows."""
    sets = {
        "weighings": [{"state": "Full", "axles": ["1357 kg", "1584 kg"]}],
        "bounces": [{"axle": "rear", "state": "Full", "bounces": 3, "seconds": "2.1 s", "rises": ["20 mm", "6.5 mm"]}],
    }
    told = correct(demo, of_demo(demo, sets))
    friction = [one for one in told.inputs if "friction" in one.name]
    assert all(one.value >= 0 for one in friction)
    assert not told.wrong
    assert all(abs(one.left_out) < 4 for one in told.figures)
    for one in told.taken:
        assert abs(one.written - one.drawn) > 1e-4 * one.deviation


def test_an_end_in_closed_form():
    """Two readings of one input, that may not go below none: the least squares of a bounded line, by hand."""
    slopes = np.array([[2.0, 0.5], [1.0, -1.0]])
    problem = Problem(np.array([-3.0, 1.0]), np.ones(2), lambda z: slopes @ z, np.array([0.0, -np.inf]))
    found = most_probable(problem, 2)
    # with the first at nought the second alone: (0.5 x -3 - 1 x 1) / (0.25 + 1 + 1)
    assert found.z == pytest.approx([0.0, -2.5 / 2.25])
    assert found.covariance[0, 0] == pytest.approx(1.0), "the readings do not tell of what stands at its end"


def test_steps_that_win_nothing_are_not_called_settled():
    with pytest.raises(UnsolvedError, match="does not settle"):
        most_probable(
            Problem(
                np.array([1e3]), np.ones(1), lambda z: np.array([abs(float(z[0])) * (-1.0 if abs(z[0]) > 0.1 else 3.0)])
            ),
            1,
        )


def test_where_nothing_stands_a_step_is_shortened():
    def due(z):
        if z[0] > 1.0:
            raise UnsolvedError("it tips over")
        return z + 20 * z**2

    found = most_probable(Problem(np.array([10.0]), np.ones(1), due), 1)
    # the first step by the slope at nought leads to 4, where it does not stand; (1 + 40 z)(z + 20 z2 - 10) + z = 0 at 0.682
    assert found.z[0] == pytest.approx(0.682, abs=0.005)


def test_an_inline_table_stays_a_file_that_can_be_read(demo):
    inline = 'built = { mass = "2190 kg" }\n' + demo.text
    demo.path.write_text(inline)
    file = load(demo.path)
    sets = {"weighings": [{"state": "Kerb", "left": ["620 kg", "510 kg"], "right": ["608 kg", "515 kg"]}]}
    told = correct(file, of_demo(file, sets))
    made = as_built(file, told, file.path.with_name("b.toml")).save()
    assert load(made.path).design.built.mass == pytest.approx(2253, abs=5)
    assert "# mass at kerb" in made.text


def test_air_springs_as_built_are_sized(tmp_path):
    text = (DEMOS / "bog-carrier.toml").read_text()
    assert "[axles.spring.air]" in text
    head, _, last = text.rpartition("[axles.travel]")
    (tmp_path / "b.toml").write_text(f"{head}[axles.built]\nspring_rate = 1.04\n\n[axles.travel]{last}")
    assert size(tmp_path / "b.toml").ratings


def test_an_as_built_design_says_that_readings_count_twice(demo):
    demo.path.write_text(demo.text + '\n[built]\nmass = "2190 kg"\n')
    told = compare(load(demo.path), of_demo(demo, {"tyres": [{"axle": "front", "rate": "340 N/mm"}]}))
    assert any("count twice" in note for note in told.notes)


def push(loads, lowered, **more):
    return {
        "axle": "rear",
        "loads": [f"{one} kg" for one in loads],
        "lowered": [f"{one} mm" for one in lowered],
        **more,
    }


@pytest.mark.parametrize(
    ("kind", "content", "says"),
    [
        (Push, push((0, 100, 150, 200), (0, 9, 9, 9)), "read at two or more|goes up|one place"),
        (Push, push((0, 100, 200, 300), (0, -9, -18, -30)), "downward positive"),
        (
            SpringBench,
            {"axle": "rear", "lengths": ["50 mm", "100 mm"], "loads": ["1000 N", "3000 N"]},
            "not how far it is pressed",
        ),
        (
            TyrePress,
            {"axle": "rear", "loads": ["2000 N", "4000 N"], "pressed": ["20 mm", "10 mm"]},
            "in the order of the loads",
        ),
    ],
)
def test_slopes_that_cannot_be(kind, content, says):
    with pytest.raises(FieldFault, match=says):
        reduced(truck(), kind, content)


def test_masses_go_on_and_off_again():
    with pytest.raises(ValueError, match="rise to the most and then fall"):
        Push.model_validate(push((0, 100, 50, 200), (0, 9, 5, 18)))
    with pytest.raises(ValueError, match="at least 1"):
        RaisedWeighing.model_validate({"state": "full", "height": "0.5 m", "on_scales": {}})


def test_scatter_reaches_the_half_loop():
    """Readings 30 mm apart where 0.01 mm is claimed: the loop's doubt is of the scatter."""
    wild = push(
        (0, 50, 100, 150, 200, 150, 100, 50, 0),
        (0, 40, 8, 90, 95, 80, 11, 70, 1),
        lowered_uncertainty="0.01 mm",
        mass_uncertainty="0.1 kg",
    )
    rate, half = reduced(truck(), Push, wild).figures
    assert half.uncertainty > 200
    assert rate.uncertainty > 0.2 * rate.value


def test_three_supports_are_not_tilted_here():
    content = {"state": "Kerb", "height": "0.6 m", "on_scales": {"second": "900 kg", "third": "900 kg"}}
    carrier = load(DEMOS / "bog-carrier.toml")
    with pytest.raises(FieldFault, match="more than two supports"):
        reduced(carrier, RaisedWeighing, content)


def test_nothing_read_has_no_doubt(demo):
    bench = {"axle": "rear", "lengths": ["400 mm", "350 mm"], "loads": ["0 N", "0 N"]}
    with pytest.raises(InputError, match=r"benches\[1\]"):
        compare(demo, of_demo(demo, {"benches": [bench]}))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("time [s],acc z [m/s2]\n" + "5,1\n" * 50, "hardly moves"),
        (
            "time [s],acc z [m/s2]\n" + "".join(f"{0 if k == 0 else 1.7e9 + 0.01 * k},{k}\n" for k in range(200)),
            "time jumps here",
        ),
        (
            "time [s],acc z [m/s2],acc z [m/s2]\n" + "".join(f"{0.01 * k},{k},{k}\n" for k in range(50)),
            "more than once",
        ),
        (
            "time [s],acc z [m/s2]\n" + "".join(f"{'# ' if k % 2 else ''}{0.01 * k},{k}\n" for k in range(400)),
            "no number|no time",
        ),
    ],
)
def test_logs_that_cannot_be(tmp_path, text, says):
    path = tmp_path / "x.csv"
    path.write_text(text)
    with pytest.raises(InputError, match=says):
        read_log(path, [ACC])


def test_a_byte_that_is_no_letter_and_a_figure_beyond_all(tmp_path):
    rows = [f"{0.01 * k},{np.sin(0.1 * k):.4f}" for k in range(300)]
    rows[200], rows[250] = "2.0,1e308", "2.5,\xff"
    path = tmp_path / "x.csv"
    path.write_bytes(("time [s],acc z [m/s2]\n" + "\n".join(rows)).encode("latin-1"))
    with pytest.raises(InputError, match=r"no number|no text"):
        read_log(path, [ACC])
    path.write_bytes(("time [s],acc z [m/s2]\n" + "\n".join(rows[:250])).encode("latin-1"))
    told = read_log(path, [ACC])
    assert np.abs(told.channels["acc z"]).max() < 2
    assert any("no figure" in note for note in told.notes)


def test_grounds_that_tell_nothing():
    with pytest.raises(UnsolvedError, match="level"):
        read_ground(np.full(9000, 3.0), 0.1)
    with pytest.raises(UnsolvedError, match="too far apart"):
        read_ground(np.random.default_rng(1).normal(size=900), 5.0)


def test_a_log_too_slow_for_what_is_felt(tmp_path):
    (tmp_path / "d.csv").write_text("time [s],z [m/s2]\n" + "".join(f"{0.1 * k},{np.sin(k):.3f}\n" for k in range(600)))
    content = {
        "log": "d.csv",
        "ground": "C",
        "speed": "8 m/s",
        "channels": [{"column": "z", "behind_front_axle": "1 m"}],
    }
    with pytest.raises(FieldFault, match="readings a second"):
        reduced(truck(), LoggedDrive, content, tmp_path)


def test_one_reading_that_differs(tmp_path):
    file = truck()
    (tmp_path / "truck.toml").write_text(file.text)
    told = correct(load(tmp_path / "truck.toml"), write(tmp_path, {"tyres": [{"axle": "front", "rate": "300 N/mm"}]}))
    assert any("1 of 1 readings differs" in one for one in correction_section(told).says)


def test_scales_of_an_axle_with_one_wheel():
    from tests.build import axle, design_file, vehicle

    one = axle("rear", 2.5, wheels=1, track=None)
    file = design_file(vehicle(axles=[axle("front", 0.0), one]))
    with pytest.raises(FieldFault, match="has one wheel"):
        reduced(file, Weighing, {"state": "full", "left": ["400 kg", "500 kg"], "right": ["400 kg", "500 kg"]})
    told = reduced(file, Weighing, {"state": "full", "left": ["400 kg", "500 kg"], "right": ["400 kg", "0 kg"]})
    assert told.due(modelled(file))[1] == pytest.approx(size(file).rests[1].axles[1].load)


def test_a_readings_file_is_no_design():
    with pytest.raises(InputError, match="is a readings file"):
        load(DEMOS / "readings" / "fire-watch.readings.toml")


def test_what_was_read_once_is_known_so_well_afterwards(demo):
    """A mass that was weighed stands in the as-built file with its interval; weighed again, the squares of both and of the scales add up."""
    pads = {"state": "Kerb", "left": ["600 kg"] * 2, "right": ["600 kg"] * 2, "load_uncertainty": "4 kg"}
    due = [
        one.due / 9.80665 if one.kind == "force" else one.due
        for one in compare(demo, of_demo(demo, {"weighings": [pads]})).figures[:4]
    ]
    pads |= {"left": [f"{due[0] + 10} kg", f"{due[2] + 10} kg"], "right": [f"{due[1] + 10} kg", f"{due[3] + 10} kg"]}
    first = correct(demo, of_demo(demo, {"weighings": [pads]}))
    mass = next(one for one in first.inputs if one.input.what == "mass")
    assert mass.written == pytest.approx(mass.drawn + 40, abs=3)
    built = as_built(demo, first, demo.path.with_name("built.toml")).save()
    assert load(built.path).design.built.within.mass == pytest.approx(mass.off, abs=0.06)
    again = correct(load(built.path), of_demo(demo, {"weighings": [pads]}))
    known = next(one for one in again.inputs if one.input.what == "mass")
    assert known.input.origin == "read before, as built"
    assert SURE * known.deviation == pytest.approx(mass.off, abs=0.06)
    scales = mass.off**-2 - (SURE * mass.deviation) ** -2  # what the scales alone know
    assert known.off == pytest.approx((mass.off**-2 + scales) ** -0.5, rel=0.02)
    assert any("count twice" in note for note in again.comparison.notes)
