"""Texts with units, both ways."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from springwright.errors import QuantityError
from springwright.units import _USUAL, KINDS, displayed_in, parse, plain, show, text_in


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


AS_TYPED = [
    ("1.25 hz", "frequency", 1.25), ("75 CPM", "frequency", 1.25), ("1740 KG", "mass", 1740.0), ("1740 kgs", "mass", 1740.0), ("40 kmh", "speed", 40 / 3.6),
    ("40 KPH", "speed", 40 / 3.6), ("25 mph", "speed", 25 * 0.44704), ('4.5"', "length", 4.5 * 0.0254), ("4 1/2 in", "length", 4.5 * 0.0254),
    ("3/4 in", "length", 0.75 * 0.0254), ("-1 1/2 in", "length", -1.5 * 0.0254), ("5 ft 2 in", "length", 62 * 0.0254), ("5' 2 1/2\"", "length", 62.5 * 0.0254),
    ("-1 ft 6 in", "length", -18 * 0.0254), ("230 #/in", "rate", 230 * 4.4482216152605 / 0.0254), ("800 Nm/deg", "roll rate", 800 * 180 / math.pi),
    ("2600 Ns/m", "damping", 2600.0), ("46 n/mm", "rate", 46e3), ("46 KN/M", "rate", 46e3), ("8.2 KN", "force", 8200.0), ("35 PSI", "pressure", 35 * 6894.757293168),
    ("2.4 BAR", "pressure", 2.4e5), ("5 MM", "length", 0.005), ("0.4 G", "lateral", 0.4 * 9.80665), ("3 T", "mass", 3000.0), ("12 Deg", "angle", math.radians(12)),
    ("30 lb-ft/deg", "twist rate", 30 * 4.4482216152605 * 0.3048 * 180 / math.pi),
]  # fmt: skip


@pytest.mark.parametrize(("text", "kind", "si"), AS_TYPED)
def test_units_as_people_type_them(text, kind, si):
    """By the definitions of the inch, the pound-force (NIST SP 811) and the hour."""
    assert parse(text, kind) == pytest.approx(si, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("5 mn", "force", "may be MN or mN"), ("980 mpa", "stress", "may be MPa or mPa"), ("980 MPA", "stress", "may be MPa or mPa"), ("3 tons", "mass", "tonne of 1000 kg or the ton of 2000 lb"),
        ("1250 milimeter", "length", 'did you mean "millimeter"'), ("1250 mmm", "length", "no unit"), ("4 1/3 in", "length", "no unit|one number"), ("5 ft 2 kg", "length", "no unit"),
        ("1250 KG", "length", "unit of mass"), ("5' 2'", "length", "no unit|unit of"),
    ],
)  # fmt: skip
def test_where_case_leaves_two_readings_it_asks(text, kind, says):
    with pytest.raises(QuantityError, match=says):
        parse(text, kind)


def test_exact_spelling_is_never_bent():
    """What can be read as it stands is: mN and MN, mm and Mm differ."""
    assert parse("5 mN", "force") == pytest.approx(0.005)
    assert parse("5 MN", "force") == pytest.approx(5e6)
    assert parse("2 Mm", "length") == pytest.approx(2e6)


def test_usual_units_are_those_of_the_library_that_knows_all_others():
    import pint

    library = pint.UnitRegistry()
    for si, units in _USUAL.items():
        for name, value in units.items():
            assert library.Quantity(1.0, name).to(si).magnitude == pytest.approx(value, rel=1e-15), name
