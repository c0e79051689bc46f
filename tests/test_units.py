"""Texts with units, both ways."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from springwright.errors import QuantityError
from springwright.units import KINDS, displayed_in, parse, plain, show, text_in


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("240 lbf/in", "rate", 42030.4),  # 1 lbf/in = 175.1268 N/m (NIST SP 811)
        ("240 lb/in", "rate", 42030.4),
        ("740 kg/m3", "density", 740.0),
        ("33 in", "length", 0.8382),
        ("1 250 mm", "length", 1.25),
        ("−480 mm", "length", -0.48),
        ("1e3 mm", "length", 1.0),
        ("5400 lb", "mass", 2449.39884),
        ("35 psi", "pressure", 241316.5),
        ("0.4 g", "acceleration", 3.92266),
        ("50 %", "ratio", 0.5),
        (0.5, "ratio", 0.5),
        ("12 °", "angle", 0.20943951),
        ("15 lbf*s/in", "damping", 2626.9),
        ("25 mph", "speed", 11.176),
        ("46 N/mm", "rate", 46000.0),
        ("75 1/min", "frequency", 1.25),
    ],
)
def test_reads(text, kind, si):
    assert parse(text, kind) == pytest.approx(si, rel=1e-5)


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("36 kg", "rate", '"kg" is a unit of mass; a rate is wanted, such as "46 N/mm" or "240 lbf/in"'),
        ("46 kg/mm", "rate", 'did you mean "kgf/mm"?'),
        ("36", "length", "the unit is missing"),
        (36, "length", "the unit is missing"),
        ("mm", "length", "has no number in front"),
        ("nan mm", "length", "not a finite number"),
        ("inf kg", "mass", "not a finite number"),
        ("1e999 mm", "length", "not a finite number"),
        (float("nan"), "ratio", "not a finite number"),
        ("1,200 mm", "length", "use a decimal point and no commas"),
        ("12 grobs", "length", '"grobs" is no unit that is known'),
        ("1.2 Hz", "angle", "an angle is wanted"),
        ("0.5", "angle", "the unit is missing"),
        (True, "length", "a length is wanted, in quotes with its unit"),
        ("3 mm + 2 mm", "length", "is no unit that is known"),
    ],
)
def test_refuses(text, kind, says):
    with pytest.raises(QuantityError) as error:
        parse(text, kind)
    assert says in str(error.value)


@given(
    st.sampled_from(sorted(KINDS)), st.floats(min_value=1e-3, max_value=1e6), st.sampled_from(["metric", "imperial"])
)
def test_round_trip(kind, si, system):
    unit = getattr(KINDS[kind], system)
    assert parse(text_in(si, kind, unit), kind) == pytest.approx(si, rel=1e-11)


def test_shows_in_one_system_at_a_time():
    assert show(1.25, "length").replace("\N{NARROW NO-BREAK SPACE}", " ") == "1 250 mm"
    with displayed_in("imperial"):
        assert show(0.8382, "length") == "33.00 in"
        assert show(0.0175, "length", 1) == "0.689 in"
    assert show(None, "mass") == "–"


def test_minus_is_a_minus_and_zero_has_none():
    assert plain(-5.25, 1) == "−5.2"
    assert plain(-0.01, 1) == "0.0"
