"""The space for a coil where the builder gives none: by tape on paper, and said."""

import pytest

from springwright.sizing.sheet import size
from springwright.sizing.space import coil_room
from tests.build import axle, design, design_file, vehicle

TYRE = {"width": "250 mm"}
BEAM = {"kind": "beam", "roll_centre_height": None, "tyre": TYRE}


def room(**changes):
    return coil_room(design(axles=[axle("front", 0.0, **changes), axle("rear", 2.5)]).axles[0])


def on_beam(base, **more):
    return {**BEAM, "spring": {"acts": {"by": "beam", "ratio": None, "base": base}}, **more}


def test_given_room_is_as_given():
    assert room(spring={"largest_outside": "140 mm"}) == (0.14, "")


def test_between_tyre_and_frame():
    """Track 1.6 m, tyre 250 mm wide: its inner wall 675 mm from the middle; the frame's side 400 mm (given) or half the track."""
    wide, said = room(tyre=TYRE, frame_width="0.8 m")
    assert wide == pytest.approx(0.675 - 0.4 - 0.04)
    assert "frame 800 mm wide" in said
    assert "largest_outside is not given" in said
    assert "half the track" in room(tyre=TYRE)[1]
    assert room(tyre={"size": "265/70R17"})[0] == pytest.approx((1.6 - 0.265 - 0.8) / 2 - 0.04)


def test_by_the_nearer_of_tyre_and_frame_on_a_beam():
    """Springs 1.1 m apart: 125 mm to the tyre's wall, 150 to the frame's side at 400; under a frame 1.2 m wide the tyre alone is near."""
    assert room(**on_beam("1.1 m", frame_width="0.8 m"))[0] == pytest.approx(2 * (0.125 - 0.02))
    assert room(**on_beam("1.0 m", frame_width="0.8 m"))[0] == pytest.approx(2 * (0.1 - 0.02))
    assert room(**on_beam("1.0 m", frame_width="1.2 m"))[0] == pytest.approx(2 * (0.175 - 0.02))
    assert room(**on_beam("1.4 m")) == (None, "")


def test_coils_keep_to_it_and_say_so():
    made = design_file(
        vehicle(axles=[axle(name, x, tyre=TYRE, frame_width="0.93 m") for name, x in (("front", 0.0), ("rear", 2.5))])
    )
    front = size(made).springs[0]
    assert front.designs.found
    assert max(one.outside_diameter for one in front.designs.found) < 0.17
    by = next(one for one in front.designs.found[0].judged if one.measure.startswith("outside diameter"))
    assert by.limit == pytest.approx(0.17)
    assert by.source.startswith("taken: tyre 250 mm wide")
    assert "largest_outside is not given" in front.designs.found[0].kept
