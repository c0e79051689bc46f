"""A model corrected by readings: the closed Bayesian answer, invented vehicles, wrong readings, what cannot be told apart, and the as-built file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import tomlkit

import springwright
from builders.readings import Workshop, drawn_truth
from springwright.commission.as_built import as_built, check_target
from springwright.commission.back import done, remedies, rests_of
from springwright.commission.compare import compare, due_of
from springwright.commission.correct import MostProbable, Problem, correct, fewest, most_probable, problem_of
from springwright.commission.inputs import inputs_of, stands
from springwright.commission.modelled import modelled
from springwright.commission.readings import load_readings, reduced_sets
from springwright.commission.taken import Workplace
from springwright.errors import InputError
from springwright.questions.prove import prove
from springwright.report.measure import apart_figures, comparison_section, correction_section, measure_figure
from springwright.vehicle.file import load
from tests.commission.made import truck, write

SURE = 1.959964


def on_disk(folder: Path):
    """The plain truck as a file in a folder, with friction drawn so that its tolerance is two-sided."""
    file = truck(tolerances={"friction": "60 %"})
    made = file.saying(file.text.replace('friction = "20 N"', 'friction = "150 N"'))
    (folder / "truck.toml").write_text(made.text, encoding="utf-8")
    return load(folder / "truck.toml")


def usual(shop: Workshop) -> dict[str, list]:
    """What a workshop reads in a morning."""
    return {
        "weighings": [shop.weighing("empty"), shop.weighing("full")],
        "pushes": [shop.push("front", "empty"), shop.push("rear", "empty")],
        "benches": [shop.bench("rear", [0.40, 0.35, 0.30])],
        "tyres": [shop.tyre("front", [2000, 4000, 6000])],
        "circles": [shop.circle("full", [0.8, 1.2, 1.6])],
    }


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    folder = tmp_path_factory.mktemp("truck")
    file = on_disk(folder)
    return folder, file, modelled(file)


def read_of(plain, values, rng, sets=usual):
    """Readings of a truth, reduced, and their folder."""
    folder, _, drawn = plain
    truth = stands(drawn, inputs_of(drawn), values)
    path = write(folder, sets(Workshop(truth, rng, folder, "truck")))
    return reduced_sets(load_readings(path), Workplace(folder, drawn, lambda _: None)), path


def test_the_linear_case_is_the_normal_equations():
    """z = (JᵀJ + 1)⁻¹ Jᵀ r with its covariance: the closed Bayesian answer for a linear model and a normal prior (any textbook), to 1e-8."""
    rng = np.random.default_rng(2)
    slopes, values = rng.normal(size=(12, 5)) * 3, rng.normal(size=12)
    doubts = rng.uniform(0.5, 2.0, 12)
    found = most_probable(Problem(values, doubts, lambda z: slopes @ z), 5)
    over = slopes / doubts[:, None]
    closed = np.linalg.solve(over.T @ over + np.eye(5), over.T @ (values / doubts))
    assert found.z == pytest.approx(closed, abs=1e-8)
    assert found.covariance == pytest.approx(np.linalg.inv(over.T @ over + np.eye(5)), abs=1e-8)


def test_left_out_one_at_a_time_is_what_leaving_out_gives():
    """e / sqrt(1 - h) against the answer without the reading, its difference over its own standard deviation."""
    from springwright.commission.compare import ComparedFigure
    from springwright.commission.correct import _checked

    rng = np.random.default_rng(3)
    slopes, values = rng.normal(size=(9, 3)) * 2, rng.normal(size=9)
    problem = Problem(values, np.ones(9), lambda z: slopes @ z)
    found = most_probable(problem, 3)
    figures = [ComparedFigure(1, "x", str(i), "ratio", "", 0.0, 1.0, "", 0.0, 0.0, 0.0, True) for i in range(9)]
    told = _checked(problem, found, figures)
    for r in range(9):
        others = np.arange(9) != r
        rest = most_probable(Problem(values[others], np.ones(8), lambda z, o=others: slopes[o] @ z), 3)
        gap = values[r] - slopes[r] @ rest.z
        spread = np.sqrt(1 + slopes[r] @ rest.covariance @ slopes[r])
        assert told[r].left_out == pytest.approx(gap / spread, abs=1e-6)


def test_the_fewest_inputs_that_explain():
    """Two of six differ: two are taken, whatever the noise makes of the others."""
    rng = np.random.default_rng(5)
    slopes = rng.normal(size=(40, 6)) * 3
    truth = np.array([0.0, 2.0, 0.0, 0.0, -1.5, 0.0])
    problem = Problem(slopes @ truth + 0.5 * rng.normal(size=40), np.ones(40), lambda z: slopes @ z)
    assert fewest(problem, most_probable(problem, 6)).tolist() == [1, 4]


def test_200_invented_vehicles(plain):
    """Truth drawn from the priors, readings with their own noise: inside the 95 % interval in 90 to 99 of 100 for every input.

    Slopes of what is due are those of the first vehicle for all: what is left of their change is far below a standard deviation.
    """
    inputs = inputs_of(plain[2])
    rng, count, slopes = np.random.default_rng(20), 200, None
    inside = np.zeros(len(inputs))
    for _ in range(count):
        truth = drawn_truth(inputs, rng)
        sets, _ = read_of(plain, truth, rng)
        problem = problem_of(plain[2], sets, inputs)
        if slopes is None:
            slopes = problem.slopes(np.zeros(len(inputs)), np.arange(len(inputs))) * problem.doubts[:, None]
        found = settled(problem, len(inputs), slopes / problem.doubts[:, None])
        z = np.array([(value - one.drawn) / one.deviation for one, value in zip(inputs, truth, strict=True)])
        inside += np.abs(found.z - z) <= SURE * np.sqrt(np.diag(found.covariance))
    share = inside / count
    assert share.min() >= 0.90, dict(zip([one.name for one in inputs], share, strict=True))
    assert share.max() <= 0.995
    assert share.mean() == pytest.approx(0.95, abs=0.02)


def settled(problem, count, slopes) -> MostProbable:
    """The most probable inputs by slopes that are kept: three steps leave nothing that counts."""
    inverse = np.linalg.inv(slopes.T @ slopes + np.eye(count))
    z = np.zeros(count)
    for _ in range(3):
        left = problem.left(z)
        z = z - inverse @ (slopes.T @ left[: len(slopes)] + z)
    return MostProbable(z, slopes, inverse, 3)


def test_a_pair_that_only_heights_read_is_not_told_apart(plain):
    """Rate and length of a coil both raise the frame: heights alone tell them together, and the bench would settle it; said of each of twenty vehicles."""
    folder, file, drawn = plain
    inputs, rng = inputs_of(drawn), np.random.default_rng(6)
    rear = [one.name for one in inputs if one.what in ("spring_rate", "free_length") and one.axle == 1]
    for _ in range(20):
        truth = stands(drawn, inputs, drawn_truth(inputs, rng))
        shop = Workshop(truth, rng, folder, "truck")
        one = shop.weighing("full", load=0.5, height=0.0003)
        told = correct(file, write(folder, {"weighings": [one]}))
        groups = [group for group in told.apart if set(rear) <= set(group.inputs)]
        assert groups, [group.inputs for group in told.apart]
        assert groups[0].settled_by is not None
    drawing = apart_figures(told)[told.apart.index(groups[0])]
    assert all(name.split()[0] in drawing.title for name in groups[0].inputs[:1])
    assert "told only together" in drawing.title


def test_two_springs_side_by_side_are_not_told_apart_by_heights(tmp_path):
    """A coil and a helper beside it carry together: heights in two states tell their sum, said of each of ten vehicles."""
    data = tomlkit.parse(truck().text).unwrap()
    rear = data["axles"][1]
    rear.pop("target")
    rear["spring"]["existing"] = {"rate": "18 N/mm", "free_length": "0.50 m"}
    rear["helpers"] = [
        {"name": "inner coil", "acts": {"by": "ratio", "ratio": 1.0}, "installed_length": "0.35 m", "existing": {"rate": "12 N/mm", "free_length": "0.45 m"}}
    ]  # fmt: skip
    (tmp_path / "truck.toml").write_text(tomlkit.dumps(data), encoding="utf-8")
    file = load(tmp_path / "truck.toml")
    drawn = modelled(file)
    inputs, rng = inputs_of(drawn), np.random.default_rng(11)
    for _ in range(10):
        shop = Workshop(stands(drawn, inputs, drawn_truth(inputs, rng)), rng, tmp_path, "truck")
        sets = {"weighings": [shop.weighing(state, load=0.5, height=0.0003) for state in ("empty", "full")]}
        told = correct(file, write(tmp_path, sets))
        assert any({"rear spring rate", "rear helper rate inner coil"} <= set(one.inputs) for one in told.apart)


def test_a_wrong_reading_is_named_first(plain):
    """One reading moved by ten standard deviations of its difference left out, where others check it: first of what is named, in each of fifty."""
    drawn = plain[2]
    inputs, rng = inputs_of(drawn), np.random.default_rng(7)
    raw = None
    named = 0
    for turn in range(50):
        truth = drawn_truth(inputs, rng)
        sets, _ = read_of(plain, truth, rng)
        problem = problem_of(drawn, sets, inputs)
        if raw is None:
            raw = problem.slopes(np.zeros(len(inputs)), np.arange(len(inputs))) * problem.doubts[:, None]
        slopes = raw / problem.doubts[:, None]
        inverse = np.linalg.inv(slopes.T @ slopes + np.eye(len(inputs)))
        leverage = np.einsum("ij,jk,ik->i", slopes, inverse, slopes)
        others = leverage / (1 - leverage) < 0.8 * np.sum(slopes**2, axis=1)
        checked = np.flatnonzero(others)
        wrong = int(checked[turn % len(checked)])
        values = problem.values.copy()
        values[wrong] += 10 * problem.doubts[wrong] / np.sqrt(1 - leverage[wrong])
        moved = Problem(values, problem.doubts, problem.due)
        found = settled(moved, len(inputs), slopes)
        left = (moved.values - moved.due(found.z)) / moved.doubts
        away = np.abs(left) / np.sqrt(1 - np.einsum("ij,jk,ik->i", slopes, found.covariance, slopes))
        named += int(np.argmax(away)) == wrong and away[wrong] > 3
    assert named == 50


def test_a_reading_that_nothing_checks_is_said_to_be_unchecked(plain):
    """Of tyres under a press alone nothing else tells: unchecked, however wrong it may be."""
    folder, file, _ = plain
    told = correct(
        file, write(folder, {"tyres": [{"axle": "front", "rate": "260 N/mm", "rate_uncertainty": "1 N/mm"}]})
    )
    assert [one.checked for one in told.figures] == [False]
    assert any("No other reading checks" in one for one in correction_section(told).says)
    again = correct(
        file, write(folder, {"tyres": [{"axle": "front", "rate": "260 N/mm", "rate_uncertainty": "1 N/mm"}] * 2})
    )
    assert all(one.checked for one in again.figures)


def test_the_as_built_file_stands_as_it_was_corrected(plain, tmp_path):
    folder, file, drawn = plain
    inputs = inputs_of(drawn)
    off = {
        "rear spring rate": 2.5,
        "mass at kerb": 2.0,
        "front friction at each wheel": 1.5,
        "rear right spring longer by": 2.0,
        "front free length of springs": -2.0,
    }
    truth = stands(drawn, inputs, [one.drawn + off.get(one.name, 0.0) * one.deviation for one in inputs])
    path = write(folder, usual(Workshop(truth, np.random.default_rng(1), folder, "truck")))
    told = correct(file, path)
    target = folder / "built.toml"
    target.unlink(missing_ok=True)
    check_target(target, file)
    as_built(file, told, target).save()
    again = load(target)
    assert due_of(told.comparison.sets, modelled(again)) == pytest.approx(
        due_of(told.comparison.sets, told.standing), rel=2e-3
    )
    text = target.read_text()
    assert "as built: truck.toml corrected by truck.readings.toml" in text.lower()
    assert "drawn," in text
    assert again.design.axles[1].target == file.design.axles[1].target, "what was drawn stays"
    assert file.path.read_text() == file.text
    assert prove(again, only=["stand"]).answers, "and it can be proved"
    with pytest.raises(InputError, match="is there already"):
        check_target(target, file)
    with pytest.raises(InputError, match="stays as it is"):
        check_target(file.path, file)


def test_what_brings_it_back(plain):
    """Weak dampers and a short spring: more force by the share that is wanting, and a spacer as thick as the frame hangs, times the ratio of 1."""
    drawn = plain[2]
    inputs = inputs_of(drawn)
    off = {"rear damping, times drawn": -4.0, "front free length of springs": -2.5}
    built = stands(drawn, inputs, [one.drawn + off.get(one.name, 0.0) * one.deviation for one in inputs])
    found = remedies(drawn, built)
    damper = next(one for one in found if one.what == "damper")
    assert damper.axle == "rear"
    assert damper.after == pytest.approx(damper.target, rel=1e-6)
    assert damper.target / damper.before == pytest.approx(1 / 0.8, rel=0.02)
    spacer = next(one for one in found if one.what == "spacer")
    short = next(one for one in inputs if one.name == "front free length of springs")
    assert spacer.axle == "front"
    assert spacer.change == f"{round(2.5e3 * short.deviation)} mm more"
    whole = rests_of(done(built, found), drawn.sheet.design_state)
    assert [one.rise for one in whole] == pytest.approx(
        [one.rise for one in rests_of(drawn, drawn.sheet.design_state)], abs=0.6e-3
    )


def test_another_vehicle_waits_for_anyway(plain):
    folder, file, _ = plain
    scales = {"weighings": [{"state": "empty", "axles": ["1100 kg", "1000 kg"]}]}
    told = compare(file, write(folder, scales))
    assert any("another vehicle?" in one for one in told.warnings)
    with pytest.raises(InputError, match="--anyway"):
        correct(file, write(folder, scales))
    assert correct(file, write(folder, scales), anyway=True).taken
    with pytest.raises(InputError, match="another vehicle"):
        correct(file, write(folder, scales, name="Some other truck"))


def test_from_python_told_and_drawn(plain):
    folder, file, drawn = plain
    rng = np.random.default_rng(12)
    path = write(
        folder, {**usual(shop := Workshop(drawn, rng, folder, "truck")), "bounces": [shop.bounce("rear", "full", 0.03)]}
    )
    sets = springwright.reduce(file.path, path)
    assert len(sets) == 8
    result = springwright.compare(file.path, path)
    assert result.agree >= 0.85 * len(result.figures), "as drawn, but for noise"
    json = result.to_json()
    assert json["figures"][0]["agrees"] in (True, False)
    told = springwright.correct(file.path, path)
    assert told.to_json()["comparison"]["vehicle"] == "Readings truck"
    assert comparison_section(result).tables[0].rows
    drawing = measure_figure(result, told).standalone()
    assert drawing.count("<circle") > len(result.figures)


def test_nothing_read_and_nothing_told(plain):
    folder, file, _ = plain
    with pytest.raises(InputError, match="holds no readings"):
        compare(file, write(folder, {}))
    told = correct(file, write(folder, {"tyres": [{"axle": "front", "rate": "250 N/mm"}]}))
    assert not told.taken
    with pytest.raises(InputError, match="nothing to write"):
        as_built(file, told, folder / "x.toml")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("readings = 1\n", "vehicle"),
        ('readings = 2\nvehicle = "x"\n', "readings"),
        ("axles = 1\n", "is a design"),
        ("x = 1\n", "write readings = 1"),
        ("[[weighings]\n", "not valid TOML"),
        (
            'readings = 1\nvehicle = "x"\n[[weighings]]\nstate = "full"\nleft = ["4 m"]\nright = ["4 kg"]\n',
            r"weighings\[1\].left",
        ),
        ('readings = 1\nvehicle = "x"\n[[bounces]]\naxle = "rear"\nlog = "gone.csv"\ncolumn = "z"\n', "gone.csv"),
        (
            'readings = 1\nvehicle = "x"\n[[pushes]]\naxle = "middle"\nloads = ["0 kg", "1 kg", "2 kg"]\nlowered = ["0 mm", "1 mm", "2 mm"]\n',
            r"pushes\[1\].axle.*no such axle",
        ),
        ('readings = 1\nvehicle = "x"\n[[tyres]]\naxle = "front"\nrate = "nan N/mm"\n', "number"),
    ],
)
def test_a_readings_file_that_must_be_mended(plain, tmp_path, text, says):
    path = tmp_path / "x.readings.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=says):
        compare(plain[1], path)


def test_a_readings_file_that_is_none(plain, tmp_path):
    with pytest.raises(InputError, match="no such file"):
        compare(plain[1], tmp_path / "gone.toml")
    (tmp_path / "log.csv").write_text("time,x\n")
    with pytest.raises(InputError, match="is no readings file"):
        compare(plain[1], tmp_path / "log.csv")
