"""A first number carried into a sheet: the same rates, every other value an estimate that is marked, ranked, and gone when it is written over."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from springwright.cli.main import app
from springwright.errors import InputError
from springwright.questions.prove import prove
from springwright.questions.registry import QUESTIONS
from springwright.report.proof import word_of, worths_table
from springwright.report.typeset import content
from springwright.sizing.first_design import first_design
from springwright.sizing.first_number import rate
from springwright.sizing.sheet import size
from springwright.vehicle.edits import changed
from springwright.vehicle.file import load
from springwright.vehicle.standing import standing_estimates

GIVEN = [
    ({"mass": 1740.0, "frequency": 1.25, "ratio": 310 / 470}, 0.47),
    ({"mass": 2000.0, "frequency": 1.3}, None),
    ({"mass": 600.0, "wheels": 3, "sag": 0.2, "ratio": 0.7}, 0.4),
    ({"mass": 9000.0, "wheels": 6, "frequency": 1.4}, None),
    ({"mass": 12000.0, "wheels": 8, "spring_rate": 3e5}, None),
    ({"mass": 1740.0, "wheel_rate": 28e3, "ratio": 0.6, "front": 0.55}, None),
    ({"mass": 3000.0, "total": True, "unsprung": 0.18, "frequency": 1.2, "front": 0.45}, None),
]


def carried(tmp_path, given, arm):
    found = rate(**given)
    path = tmp_path / "carried.toml"
    path.write_text(first_design(found, "Carried", arm=arm))
    return found, load(path)


@pytest.mark.parametrize(("given", "arm"), GIVEN)
def test_the_sheet_has_the_same_rates(tmp_path, given, arm):
    found, file = carried(tmp_path, given, arm)
    sheet = size(file)
    assert sum(axle.wheels for axle in file.design.axles) == found.wheels
    for i, one in enumerate(sheet.rates):
        due = found.rates[0 if i == 0 or len(found.rates) == 1 else 1]
        assert one.wheel_rate == pytest.approx(due.wheel_rate, rel=2e-4)
        wanted = one.wheel_rate / due.ratio**2
        assert wanted == pytest.approx(due.spring_rate, rel=2e-4)
        assert sheet.springs[i].fitted.rate == pytest.approx(due.spring_rate, rel=1e-3)
        travel = file.design.axles[i].travel  # rounded to 5 mm
        assert travel.droop < 0.9 * due.static_deflection + 0.0026  # the spring stays loaded
    assert sheet.unusual == ()


@pytest.mark.parametrize(("given", "arm"), GIVEN)
def test_every_value_that_was_not_given_is_an_estimate_and_no_limit_is(tmp_path, given, arm):
    _, file = carried(tmp_path, given, arm)
    said = [
        line
        for line in file.text.splitlines()
        if "estimate" in line and "=" in line and not line.startswith(("#", "basis"))
    ]
    standing = standing_estimates(file.design)
    assert len(said) == len(standing) == len(file.design.estimates)
    assert file.design.limits.model_fields_set == set()
    assert not any(one.entry.field.startswith("limits") for one in standing)
    for one in standing:
        assert one.entry.basis
        if given.get("total"):
            assert one.entry.field != "kerb.mass"


def test_it_is_an_estimate_until_somebody_writes_over_it(tmp_path):
    _, file = carried(tmp_path, *GIVEN[0])
    count = len(standing_estimates(file.design))
    other = changed(file, [(("axles", 0, "tyre", "rate"), "240 N/mm")])
    assert len(standing_estimates(other.design)) == count - 1
    same = changed(
        file, [(("axles", 0, "tyre", "rate"), "310 kN/m")]
    )  # the same value in another unit is still that estimate
    assert len(standing_estimates(same.design)) == count
    with pytest.raises(InputError, match="names no field"):
        changed(file, [(("estimates", 0, "field"), "axles.front.tyre.weight")])
    gone = changed(
        file, [(("axles", 0, "target", "damping_ratio"), None)]
    )  # what is not there any more counts for nothing
    assert len(standing_estimates(gone.design)) == count - 1
    with pytest.raises(InputError, match="unit"):
        changed(file, [(("estimates", 0, "value"), "12 Hz")])


@pytest.fixture(scope="module")
def proved(tmp_path_factory):
    found = rate(1740.0, frequency=1.25, ratio=310 / 470)
    path = tmp_path_factory.mktemp("carried") / "carried.toml"
    path.write_text(first_design(found, "Carried", arm=0.47))
    file = changed(load(path), [(("limits", "roll_gradient"), "9 deg/g")])
    return file, prove(file, ["stand", "land"], sensitive=False)


def test_verdicts_say_on_how_many_estimates_they_hang(proved):
    file, proof = proved
    stand, land = proof.answers
    assert word_of(land).endswith(f", on {land.estimates} estimates")
    assert 0 < stand.estimates <= len(standing_estimates(file.design))
    on = [one.name for one in proof.worths if "stand" in one.questions]
    assert len(on) == stand.estimates
    assert "axles.front.track" in on
    # how a vehicle rolls does not ask how stiffly it goes solid
    assert "axles.front.travel.stop_compression" not in on


def test_what_turns_a_verdict_stands_first_and_is_what_asking_again_gives(proved):
    """Of the first on the list, the figure is moved by just so much when its value is changed by hand."""
    file, proof = proved
    turns = [len(one.turns) for one in proof.worths]
    assert turns == sorted(turns, reverse=True)
    one = next(each for each in proof.worths if each.name == "kerb.above_ground")
    entry = next(each for each in standing_estimates(file.design) if each.entry.field == one.name)
    figures = {(a.question, f.measure): f for a in proof.answers for f in a.figures}
    most = 0.0
    for text in (entry.entry.low, entry.entry.high):
        again = prove(changed(file, [(entry.at, text)]), ["stand", "land"], sensitive=False)
        for answer in again.answers:
            for figure in answer.figures:
                was = figures[answer.question, figure.measure]
                if figure.measure == one.most and None not in (was.value, figure.value):
                    most = max(most, abs(figure.value - was.value) / max(abs(was.value), abs(was.limit or 0.0)))
    assert most == pytest.approx(one.share, rel=1e-6)
    assert "verdicts that turn" in worths_table(proof.worths).head


def test_an_order_page_says_so_and_is_not_signed(proved):
    file, _ = proved
    data = content(size(file), {})
    assert data["orders"]
    assert all(page["estimated"].startswith("Not to be ordered by yet: 2") for page in data["orders"])
    assert any("values are estimates" in note for note in data["notes"])


def test_the_commands(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    given = ["--mass", "1740 kg", "--wheels", "4", "--frequency", "1.25 Hz", "--lever", "310 mm : 470 mm"]
    done = CliRunner().invoke(app, ["rate", *given, "--write", "my-truck.toml"])
    assert done.exit_code == 0, done.output
    assert "written: my-truck.toml" in done.output
    assert load(tmp_path / "my-truck.toml").design.vehicle.name == "My truck"
    again = CliRunner().invoke(app, ["rate", *given, "--write", "my-truck.toml"])
    assert isinstance(again.exception, InputError)
    new = CliRunner().invoke(app, ["new", "other.toml", *given])
    assert new.exit_code == 0, new.output
    assert (tmp_path / "other.toml").read_text().replace("Other", "My truck") == (
        tmp_path / "my-truck.toml"
    ).read_text()
    two = CliRunner().invoke(
        app, ["rate", "--mass", "300 kg", "--wheels", "2", "--frequency", "1.5 Hz", "--write", "x.toml"]
    )
    assert isinstance(two.exception, InputError)
    assert not (tmp_path / "x.toml").exists()
    both = CliRunner().invoke(app, ["new", "third.toml", "--demo", "survey-buggy", *given])
    assert isinstance(both.exception, InputError)


def test_only_what_a_file_lists_is_asked_over(proved):
    _, proof = proved
    assert all(one.ranged for one in proof.worths)
    assert {one.name for one in QUESTIONS} >= {question for one in proof.worths for question in one.questions}
