"""Bush rates that are not given: what stands for them, what they are worth, and what is said."""

import numpy as np
import pytest

from springwright.linkage.beam_links import BUSH, BUSH_USUAL, BeamLinks
from springwright.questions.prove import prove
from springwright.sizing.sheet import size
from springwright.vehicle.edits import changed
from springwright.vehicle.file import load
from tests.build import DEMOS


def mm(*point):
    return [f"{one} mm" for one in point]


CENTRE = mm(0, 800, 400)
LOWER = {"name": "lower", "body": mm(900, 450, 380), "axle": mm(0, 550, 330)}
UPPER = {"name": "upper", "body": mm(700, 500, 560), "axle": mm(30, 160, 540)}
LATERAL = {"name": "lateral rod", "body": mm(-120, -520, 430), "axle": mm(-120, 520, 430), "both": False}


def linear_roll_rate(rods, rate):
    """Roll rate at a wheel [N/m] by strain energy: six freedoms of the axle, each link stretched along itself, wheels 1 up and 1 down."""
    rows = []
    for rod in rods:
        for side in (1, -1) if rod.get("both", True) else (1,):
            body, end = (
                np.array([float(one.split()[0]) / 1e3 for one in rod[name]]) * [1, side, 1] for name in ("body", "axle")
            )
            along = (end - body) / np.linalg.norm(end - body)
            rows.append(np.concatenate([along, np.cross(end, along)]))
    stretch = np.array(rows)
    wheels = np.array([np.concatenate([[0, 0, 1], np.cross([0, y, 0.4], [0, 0, 1])]) for y in (0.8, -0.8)])
    stiffness = rate * stretch.T @ stretch
    whole = np.block([[stiffness, wheels.T], [wheels, np.zeros((2, 2))]])
    moved = np.linalg.solve(whole, np.concatenate([np.zeros(6), [1.0, -1.0]]))[:6]
    return 0.5 * moved @ stiffness @ moved


def test_four_links_and_a_lateral_rod_roll_by_their_bushes():
    """Five links hold an axle that needs four; none of their rates given, each is estimated."""
    links = BeamLinks(wheel_centre=CENTRE, rods=[LOWER, UPPER, LATERAL])
    assert len(links.estimated) == 3
    heave, roll = links.bush_rates()
    assert roll == pytest.approx(linear_roll_rate([LOWER, UPPER, LATERAL], BUSH), rel=2e-3)
    assert abs(heave) < 0.05 * roll
    given = [{**rod, "bush_rate": "4 kN/mm"} for rod in (LOWER, UPPER, LATERAL)]
    stated = BeamLinks(wheel_centre=CENTRE, rods=given)
    assert stated.estimated == ()
    assert stated.bush_rates() == pytest.approx(links.bush_rates())


def test_links_that_need_no_bushes_estimate_none():
    assert BeamLinks(wheel_centre=CENTRE, rods=[LOWER, UPPER]).estimated == ()


@pytest.fixture(scope="module")
def without_rates():
    """The demo on radius arms, none of their bush rates given, and a limit near what the estimate makes of its roll gradient."""
    arms = ("axles", 0, "axle_links", "radius_arms")
    return changed(
        load(DEMOS / "fire-watch-links.toml"),
        [((*arms, "body_bush"), None), ((*arms, "axle_bush"), None), (("limits", "roll_gradient"), "9.5 deg/g")],
    )


def test_prove_names_the_estimate_a_verdict_hangs_on(without_rates):
    proof = prove(without_rates, ["stand"], sensitive=False)
    arms = ("axles", 0, "axle_links", "radius_arms")
    (said,) = proof.estimates
    assert "front: body_bush and axle_bush not given" in said
    assert "on it hangs the verdict of roll gradient" in said
    seen = {}
    for rate in (*BUSH_USUAL, BUSH):
        text = f"{rate / 1e6} kN/mm"
        given = changed(without_rates, [((*arms, name), text) for name in ("body_bush", "axle_bush")])
        again = prove(given, ["stand"], sensitive=False)
        assert again.estimates == ()
        seen[rate] = again.answers[0].figures[0]
    assert seen[BUSH].value == pytest.approx(proof.answers[0].figures[0].value, rel=1e-6)
    soft, stiff = (seen[rate] for rate in BUSH_USUAL)
    assert (soft.word, stiff.word) == ("not met", "met")
    for one in (soft, stiff):
        assert f"{np.degrees(one.value) * 9.80665:.2f} deg/g" in said
    assert any("body_bush and axle_bush not given" in note for note in size(without_rates).notes)


def test_an_estimate_on_which_nothing_hangs_is_told_with_its_span_alone(without_rates):
    easy = changed(without_rates, [(("limits", "roll_gradient"), "30 deg/g")])
    proof = prove(easy, ["stand"], sensitive=False)
    assert proof.estimates == ()
    assert any("over that range: roll gradient" in note for note in proof.answers[0].notes)
