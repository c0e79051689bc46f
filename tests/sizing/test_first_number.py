"""A first number against hand calculation in both unit systems, each of its four ways in, and what is refused."""

from __future__ import annotations

import json

import pytest
from typer.testing import CliRunner

import springwright
from springwright.cli.main import app
from springwright.errors import InputError

LBF_IN = 175.12683524647636  # N/m, exact by definition of the pound and the inch


def test_by_hand():
    """1.3 Hz, 2000 kg on four wheels: 500 (2 pi 1.3)2 = 33.36 N/mm, 190.5 lbf/in each; on a lever 300:450 the spring is 75.06 N/mm."""
    found = springwright.rate(2000.0, frequency=1.3, ratio=300 / 450)
    (one,) = found.rates
    assert one.wheel_rate == pytest.approx(33.36e3, abs=5)
    assert one.wheel_rate / LBF_IN == pytest.approx(190.5, abs=0.05)
    assert one.spring_rate == pytest.approx(75.06e3, abs=5)
    assert one.static_deflection == pytest.approx(500 * 9.80665 / 33.36e3, rel=1e-3)
    assert one.spring_force == pytest.approx(500 * 9.80665 * 1.5)


@pytest.mark.parametrize("name", ["frequency", "wheel_rate", "spring_rate", "sag"])
def test_any_one_gives_the_others(name):
    whole = springwright.rate(1740.0, frequency=1.25, ratio=0.66).rates[0]
    value = {
        "frequency": 1.25,
        "wheel_rate": whole.wheel_rate,
        "spring_rate": whole.spring_rate,
        "sag": whole.static_deflection,
    }[name]
    again = springwright.rate(1740.0, ratio=0.66, **{name: value}).rates[0]
    for field in ("frequency", "wheel_rate", "spring_rate", "static_deflection", "spring_force"):
        assert getattr(again, field) == pytest.approx(getattr(whole, field), rel=1e-12)
    assert again.workings, "each way shows its working"
    # every working's own value is one of the figures
    figures = (again.frequency, again.wheel_rate, again.spring_rate, again.static_deflection)
    for work in again.workings:
        assert any(work.value == pytest.approx(one, rel=1e-9) for one in figures), work.title


def test_shares_and_what_rides_on_no_spring():
    """55 % in front of 2000 kg less 15 %: 467.5 kg a front wheel, 382.5 kg a rear one."""
    found = springwright.rate(2000.0, frequency=1.2, front=0.55, total=True)
    assert [one.mass for one in found.rates] == pytest.approx([467.5, 382.5])
    assert found.rates[0].wheel_rate / found.rates[1].wheel_rate == pytest.approx(55 / 45)
    three = springwright.rate(300.0, wheels=3, frequency=1.2, front=0.4)
    assert [(one.wheels, one.mass) for one in three.rates] == [(1, pytest.approx(120.0)), (2, pytest.approx(90.0))]


def test_the_command_in_both_systems():
    done = CliRunner().invoke(app, ["rate", "--mass", "2000 kg", "--frequency", "1.3 Hz", "--lever", "300 mm : 450 mm"])
    assert done.exit_code == 0
    for text in ("33.36 N/mm", "190.5 lbf/in", "75.06 N/mm", "428.6 lbf/in", "78 a minute", "Worked", "Assumed"):
        assert text in done.output, text
    assert all(len(line) <= 132 for line in done.output.splitlines())
    existing = CliRunner().invoke(app, ["rate", "--mass", "4000 lb", "--existing", "230 lbf/in", "--on-axle"])
    # 230 lbf/in under 1000 lb: sqrt(230 x 386.09 / 1000) / 2 pi = 1.4998 Hz
    assert "1.50 Hz" in existing.output
    data = json.loads(CliRunner().invoke(app, ["rate", "--mass", "2000 kg", "--sag", "150 mm", "--json"]).output)
    assert data["rates"][0]["frequency"]["value"] == pytest.approx((9.80665 / 0.15) ** 0.5 / (2 * 3.141592653589793))


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--mass", "2000 kg"], "give just one"),
        (["--mass", "2000 kg", "--frequency", "1.2 Hz", "--sag", "150 mm"], "give just one"),
        (["--mass", "2000", "--frequency", "1.2 Hz"], "unit"),
        (["--mass", "0 kg", "--frequency", "1.2 Hz"], "more than 0"),
        (["--mass", "2000 kg", "--frequency", "1.2 N"], "frequency"),
        (["--mass", "2000 kg", "--frequency", "1.2 Hz", "--lever", "300 mm"], "a colon"),
        (["--mass", "2000 kg", "--frequency", "1.2 Hz", "--lever", "0 mm : 3 mm"], "more than 0"),
        (["--mass", "2000 kg", "--frequency", "1.2 Hz", "--lever", "1 m : 2 m", "--on-axle"], "one of them"),
        (["--mass", "2000 kg", "--frequency", "1.2 Hz", "--share", "120 %"], "between 0 and 100"),
        (["--mass", "2000 kg", "--frequency", "1.2 Hz", "--share", "50 %", "--wheels", "1"], "two wheels"),
        (["--mass", "nan kg", "--frequency", "1.2 Hz"], ""),
    ],
)
def test_what_is_refused(arguments, says):
    done = CliRunner().invoke(app, ["rate", *arguments])
    assert done.exit_code != 0
    assert isinstance(done.exception, InputError)
    assert says in str(done.exception)
