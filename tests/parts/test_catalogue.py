"""Catalogues: what is ranked first, why each other one is left out, and faults in the file."""

from unittest import mock

import numpy as np
import pytest

from springwright.errors import InputError
from springwright.parts.catalogue import read_catalogue
from springwright.report.content import sections
from springwright.sizing.choose import NEAREST
from springwright.sizing.sheet import size
from springwright.vehicle.file import load
from tests.build import DEMOS, axle, design_file, vehicle

HEAD = "part,rate [N/mm],free length [mm],solid length [mm],wire [mm],outside diameter [mm],active coils,price [EUR],lead time [days],pairing\n"


def row(name, rate, free, solid=None, wire=12.0, outside=130.0, rest="50,7,single"):
    """A row that agrees with itself: active coils by rate [N/mm] and size [mm] (G = 80 GPa), solid length by the coils, two of them dead."""
    active = 80e3 * wire**4 / (8 * (outside - wire) ** 3 * rate)
    return f"{name},{rate:.4f},{free:.2f},{(active + 2) * wire if solid is None else solid:.2f},{wire},{outside},{active:.2f},{rest}"


def candidates(rows, tmp_path, front=None):
    (tmp_path / "list.csv").write_text(HEAD + "\n".join(rows) + "\n")
    made = axle("front", 0.0, **(front or {}))
    data = vehicle(axles=[made, axle("rear", 2.5)], catalogue="list.csv")
    sheet = size(design_file(data, tmp_path / "v.toml"))
    return sheet, {one.spring.part: one for one in sheet.springs[0].candidates}


def test_nearest_in_rate_and_height_comes_first_and_reasons_are_given(tmp_path):
    sheet = size(design_file(vehicle()))
    rate, force = sheet.rates[0].spring_rate, sheet.rates[0].spring_force
    free = 350 + force / rate * 1e3
    k = rate / 1e3
    rows = [
        row("exact", k, free),
        row("near", 1.04 * k, 350 + force / (1.04 * rate) * 1e3, rest="40,7,single"),
        row("short", k, free - 12),
        row("too short", k, free - 60),
        row("long", k, free + 25),
        row("stiff", 1.5 * k, 350 + force / (1.5 * rate) * 1e3),
        row("soft", 0.7 * k, 350 + force / (0.7 * rate) * 1e3),
        row("binds", k, free, wire=15.5, outside=145.0),
        row("wide", k, free, wire=15.5, outside=190.0, rest="90,7,pair"),
    ]
    _, found = candidates(rows, tmp_path, {"spring": {"largest_spacer": "20 mm", "largest_outside": "160 mm"}})
    ranked = sorted((one for one in found.values() if one.rank), key=lambda one: one.rank)
    assert [one.spring.part for one in ranked] == ["short", "exact", "near"] or [one.spring.part for one in ranked][
        :2
    ] in (["exact", "short"], ["short", "exact"])
    assert ranked[-1].spring.part == "near"
    assert found["short"].spacer == pytest.approx(0.012, abs=6e-4)
    assert found["exact"].height_error == pytest.approx(0.0, abs=6e-4)
    assert "stands 40 mm too low with 20 mm of spacer" in found["too short"].reasons[0]
    assert found["long"].reasons == ("stands 25 mm too high",)
    assert "22% too stiff" in found["stiff"].reasons[0]
    assert "16% too soft" in found["soft"].reasons[0]
    assert any("coil bind" in reason for reason in found["binds"].reasons)
    assert found["wide"].reasons == ("outside diameter 190 mm for a space of 160 mm",)
    assert found["wide"].axle_price == 90
    assert found["exact"].axle_price == 100


def test_slack_at_droop_is_a_reason(tmp_path):
    """1.2 Hz: the coil is pressed to 172 mm of droop, no further."""
    sheet = size(design_file(vehicle()))
    rate, force = sheet.rates[0].spring_rate, sheet.rates[0].spring_force
    rows = [row("exact", rate / 1e3, 350 + force / rate * 1e3)]
    _, found = candidates(
        rows, tmp_path, {"travel": {"bump": "0.14 m", "droop": "0.18 m"}, "spring": {"largest_spacer": "20 mm"}}
    )
    assert any(reason.startswith("unseats by") for reason in found["exact"].reasons)


def test_a_named_part_is_fitted(tmp_path):
    sheet = size(design_file(vehicle()))
    rate, force = sheet.rates[0].spring_rate, sheet.rates[0].spring_force
    rows = [row("mine", 1.1 * rate / 1e3, 350 + force / (1.1 * rate) * 1e3 - 10)]
    made, _ = candidates(
        rows, tmp_path, {"spring": {"part": "mine", "largest_spacer": "20 mm"}, "target": {"frequency": "1.2 Hz"}}
    )
    fitted = made.springs[0].fitted
    assert (fitted.origin, fitted.label) == ("catalogue", "mine")
    assert fitted.spacer == pytest.approx(0.010, abs=6e-4)
    assert made.rests[1].axles[0].rise == pytest.approx(0.0, abs=1e-3)
    assert fitted.frequency == pytest.approx(1.2 * 1.1**0.5, rel=1e-3)


def test_demo_catalogue_has_reasons_for_every_spring_left_out():
    for name in ("fire-watch", "survey-buggy"):
        for one in size(load(DEMOS / f"{name}.toml")).springs:
            assert 50 <= len(one.candidates) <= 70
            assert all(bool(candidate.reasons) == (candidate.rank is None) for candidate in one.candidates)


def test_semicolons_comments_and_other_units():
    text = "# mine\npart;rate [lbf/in];free length [in];solid length [in];outside diameter [in]\na;200;16;6;5.5\n"
    (one,) = read_catalogue(text, "list.csv")
    assert one.rate == pytest.approx(200 * 175.126835, rel=1e-6)
    assert one.free_length == pytest.approx(16 * 0.0254)
    assert one.price is None


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "list.csv: is empty; the first line names the columns"),
        (
            "part,rate,free length [mm],solid length [mm],outside diameter [mm]\n",
            'column "rate": its unit stands in square brackets',
        ),
        (
            "part,rate [kg],free length [mm],solid length [mm],outside diameter [mm]\n",
            '"kg" is a unit of mass; a rate is wanted',
        ),
        (
            "part,rate [N/mm],free lenght [mm],solid length [mm],outside diameter [mm]\n",
            'column "free lenght [mm]": no such column; did you mean "free length"?',
        ),
        ("part,rate [N/mm],free length [mm],outside diameter [mm]\na,1,2,3\n", 'column "solid length": is missing'),
        (HEAD + "a,36,400,,14,130,6,,,\n", 'row 1 "a", solid length: is empty; this figure is needed'),
        (HEAD + "a,36,400,150,14\n", 'row 1 "a": has 5 cells for 10 columns'),
        (HEAD + "a,3x6,400,150,14,130,6,,,\n", 'row 1 "a", rate = "3x6"'),
        (HEAD + "a,-36,400,150,14,130,6,,,\n", "must be more than 0"),
        (HEAD + "a,nan,400,150,14,130,6,,,\n", "not a finite number"),
        (HEAD + "a,36,150,400,14,130,6,,,\n", "must be less than the free length"),
        (
            HEAD + "a,36,400,150,14,13,6,,,\n",
            'row 1 "a", outside diameter = 13: nothing can be coiled so tight of 14 mm wire',
        ),
        (
            HEAD.replace("price [EUR]", "inside diameter [mm]") + "a,36,400,150,14,130,6,130,,\n",
            'row 1 "a", inside diameter = 130: must be less than the outside diameter',
        ),
        (HEAD + "a,36,400,150,14,130,6,,,triple\n", 'pairing = "triple"'),
        (HEAD + "a,36,400,150,14,130,6,,,\na,36,400,150,14,130,6,,,\n", 'part "a": is there twice'),
    ],
)
def test_faults_in_a_catalogue(text, says):
    with pytest.raises(InputError) as error:
        read_catalogue(text, "list.csv")
    assert says in str(error.value)
    assert all(line.startswith("list.csv: ") for line in str(error.value).splitlines())


def test_a_row_that_gives_no_wheel_rate_is_left_out_not_fatal(tmp_path):
    lever = {
        "by": "lever",
        "ratio": None,
        "arm": "0.5 m",
        "spring_at": "0.3 m",
        "lean": "-30 deg",
        "arm_slope": "-15 deg",
    }
    rows = [row("ok", 60, 450), row("soft", 8, 1500)]
    _, found = candidates(rows, tmp_path, {"spring": {"acts": lever}})
    assert "gives no wheel rate here" in found["soft"].reasons[0]


def test_a_row_that_does_not_agree_with_itself_is_told_and_left_out(tmp_path):
    """0.70 in wire, 5.5 in outside, 6.5 active: 11.5e6 x 0.7^4 / (8 x 4.8^3 x 6.5) = 480 lb/in by hand, and the row says 220."""
    head = "part,rate [lbf/in],free length [in],solid length [in],wire [in],outside diameter [in],active coils\n"
    doubtful, sound = read_catalogue(head + "a,220,18,6,0.70,5.5,6.5\nb,480,18,6,0.70,5.5,6.5\n", "list.csv")
    assert sound.doubts == ()
    assert doubtful.doubts[0].startswith("does not agree with itself: rate 38.53 N/mm, and its dimensions make it 8")
    by_coils = read_catalogue(head + "a,480,18,9,0.70,5.5,6.5\n", "list.csv")[0].doubts
    assert "solid length 229 mm, and wire and active coils make it 116 mm to 178 mm" in by_coils[0]
    without = read_catalogue(
        head.replace(",active coils", "") + "a,220,18,6,0.70,5.5\nb,480,18,6,0.70,5.5\n", "list.csv"
    )
    assert [bool(one.doubts) for one in without] == [True, False]
    bored = read_catalogue(head.strip() + ",inside diameter [in]\na,480,18,6,0.70,5.5,6.5,4.5\n", "list.csv")[0].doubts
    assert "inside diameter 114 mm, and outside diameter and wire make it 104 mm" in bored[0]

    sheet = size(design_file(vehicle()))
    rate, force = sheet.rates[0].spring_rate, sheet.rates[0].spring_force
    right = row("right", rate / 1e3, 350 + force / rate * 1e3)
    cells = row("wrong", rate / 1e3, 350 + force / rate * 1e3).split(",")
    cells[6] = "4.0"
    _, found = candidates([right, ",".join(cells)], tmp_path)
    assert found["right"].rank == 1
    assert found["wrong"].rank is None
    assert "does not agree with itself: rate" in found["wrong"].reasons[0]


def test_a_large_catalogue_is_judged_by_its_nearest(tmp_path):
    """Of 5 000 springs the nearest are judged one by one, the named one too; the best are those of judging all, and the limit is told."""
    rates = np.linspace(12, 60, 5000)
    rows = [row(f"s{i}", k, 420 + 60 * ((7919 * i) % 97) / 97) for i, k in enumerate(rates)]
    (tmp_path / "list.csv").write_text(HEAD + "\n".join(rows) + "\n")
    front = axle("front", 0.0, spring={"part": "s4999", "largest_spacer": "30 mm"})
    file = design_file(vehicle(axles=[front, axle("rear", 2.5)], catalogue="list.csv"), tmp_path / "v.toml")
    one = size(file).springs[0]
    assert one.catalogue_size == 5000
    assert NEAREST <= len(one.candidates) <= NEAREST + 1
    assert any(each.spring.part == "s4999" for each in one.candidates)
    with mock.patch("springwright.sizing.choose.NEAREST", 10_000):
        whole = size(
            design_file(vehicle(axles=[front, axle("rear", 2.5)], catalogue="list.csv"), tmp_path / "v.toml")
        ).springs[0]
    ranked = [[each.spring.part for each in of.candidates if each.rank] for of in (one, whole)]
    assert len(whole.candidates) == 5000
    assert ranked[0] == ranked[1] != []
    assert any("The catalogue holds 5" in table.note for section in sections(size(file)) for table in section.tables)


def test_figures_written_in_an_odd_way_are_read_row_by_row():
    """A thin space in a number is no fault: the whole is read the slow way, as it was."""
    head = "part,rate [N/mm],free length [mm],solid length [mm],outside diameter [mm],price [EUR],maker\n"
    found = read_catalogue(head + "a,30,1 480,150,140,,Us\nb,31,400,150,140,12,\n", "list.csv")
    assert [one.free_length for one in found] == [1.48, 0.4]
    assert [(one.price, one.maker) for one in found] == [(None, "Us"), (12.0, "")]
    assert found.named("b").rate == 31e3
    assert found.named("c") is None
