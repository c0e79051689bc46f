"""A spring of another kind to begin with: the whole vehicle then sizes to its target on it."""

from __future__ import annotations

import pytest

from springwright import load, size
from springwright.sizing.beginnings import beginning, kinds_for
from springwright.vehicle.edits import changed
from tests.build import DEMOS


@pytest.mark.parametrize(
    ("demo", "axle", "kind"),
    [("fire-watch", 0, "air"), ("fire-watch", 1, "strut"), ("fire-watch", 1, "leaf"), ("survey-buggy", 1, "torsion_bar"), ("survey-buggy", 0, "air"), ("bog-carrier", 0, "strut")],
)  # fmt: skip
def test_what_is_begun_with_rides_at_the_target(demo, axle, kind):
    file = load(DEMOS / f"{demo}.toml")
    spring = file.design.axles[axle].spring
    own = [
        name
        for name in ("existing", "coil", "part", "torsion_bar", "air", "strut")
        if getattr(spring, name) is not None
    ]
    rates = size(file).rates[axle]
    new = beginning(file.design.axles[axle], rates, kind)
    at = ("axles", axle, "spring")
    tried = size(
        changed(file, [*(((*at, name), None) for name in own), *(((*at, name), value) for name, value in new.items())])
    )
    assert tried.springs[axle].record is not None
    # leaves come in whole numbers and thicknesses that are rolled, so a leaf spring stands off its target by up to a leaf's step
    assert tried.springs[axle].fitted.frequency == pytest.approx(
        rates.frequency_on_springs, rel=0.04 if kind == "leaf" else 0.01
    )


def test_an_axle_is_offered_what_it_can_hold():
    beam, own = (load(DEMOS / f"{name}.toml").design.axles[0] for name in ("fire-watch", "survey-buggy"))
    assert "torsion_bar" not in kinds_for(beam)
    assert "leaf" not in kinds_for(own)
    with pytest.raises(ValueError, match="no leaf"):
        beginning(own, size(load(DEMOS / "survey-buggy.toml")).rates[0], "leaf")
