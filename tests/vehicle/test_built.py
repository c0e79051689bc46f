"""What was built against what was drawn: each correction against closed form on a truck of one linear coil a wheel, ratio 1."""

from __future__ import annotations

import pytest

from springwright.sizing.fitted import assemble
from springwright.sizing.sheet import Sheet, size
from springwright.units import GRAVITY
from springwright.vehicle.edits import changed
from springwright.vehicle.file import DesignFile
from tests.build import axle, design_file, vehicle

DRAWN = design_file(
    vehicle(
        axles=[
            axle(name, x, target={"frequency": "1.2 Hz", "damping_ratio": 0.3})
            for name, x in (("front", 0.0), ("rear", 2.5))
        ]
    )
)
FRONT = 0


def both(**built: object) -> list[tuple[tuple[str | int, ...], object]]:
    """The same of both axles, so that the body does not pitch and carry its weight along."""
    return [(("axles", i, "built"), dict(built)) for i in (0, 1)]


def sheet_with(*changes: tuple[tuple[str | int, ...], object]) -> tuple[DesignFile, Sheet]:
    made = changed(DRAWN, list(changes))
    return made, size(made)


def front(sheet: Sheet):
    return next(one for one in sheet.rests if one.name == "full").axles[FRONT]


def test_a_stiffer_spring_stands_higher_and_rides_stiffer():
    drawn = size(DRAWN)
    _, sheet = sheet_with(*both(spring_rate=1.05))
    spring = drawn.springs[0]
    # a coil of 1.05 times the rate carries the same force pressed 1/1.05 as far
    pressed = front(drawn).spring_forces[0] / spring.law.rate
    assert front(sheet).rise - front(drawn).rise == pytest.approx(pressed * (1 - 1 / 1.05), rel=0.01)
    assert front(sheet).wheel_rate / front(drawn).wheel_rate == pytest.approx(1.05, rel=1e-3)
    assert sheet.rates[0].wheel_rate == drawn.rates[0].wheel_rate, "what was aimed at stays"
    assert any("as built" in note for note in sheet.notes)


def test_a_longer_spring_stands_as_much_higher():
    drawn = size(DRAWN)
    _, sheet = sheet_with(*both(spring_longer="5 mm"))
    assert front(sheet).rise - front(drawn).rise == pytest.approx(0.005, rel=0.01)


def test_a_stiffer_tyre_is_pressed_less():
    drawn = size(DRAWN)
    _, sheet = sheet_with(*both(tyre_rate=1.1))
    load = front(drawn).wheel_loads[0] * GRAVITY
    pressed = load / DRAWN.design.axles[0].tyre.rate
    # the drawing's height has the tyre pressed by the design load; the stiffer one is pressed 1/1.1 as far
    assert front(sheet).rise - front(drawn).rise == pytest.approx(pressed * (1 - 1 / 1.1), rel=0.01)


def test_a_motion_ratio_counts_squared():
    drawn = size(DRAWN)
    _, sheet = sheet_with((("axles", 0, "built"), {"motion_ratio": 1.02}))
    assert front(sheet).wheel_rate / front(drawn).wheel_rate == pytest.approx(1.02**2, rel=2e-3)


def test_weaker_dampers():
    drawn = size(DRAWN)
    made, sheet = sheet_with((("axles", 0, "built"), {"damping": 0.8}))
    assert front(sheet).damping_ratio / front(drawn).damping_ratio == pytest.approx(0.8, rel=1e-6)
    before, after = assemble(DRAWN), assemble(made)
    of_front = before.damper_axle == FRONT
    assert after.damper_force[of_front] == pytest.approx(0.8 * before.damper_force[of_front])
    assert after.damper_force[~of_front] == pytest.approx(before.damper_force[~of_front])


def test_a_heavier_body_sinks_on_the_springs_that_were_drawn():
    drawn = size(DRAWN)
    _, sheet = sheet_with((("built",), {"mass": f"{drawn.kerb.mass + 100} kg"}))
    assert sheet.kerb.mass == pytest.approx(drawn.kerb.mass + 100)
    assert sheet.design_loads == pytest.approx(drawn.design_loads), "springs and tyres are those of the drawing"
    for old, new in zip(drawn.rests[-1].axles, sheet.rests[-1].axles, strict=True):
        more = (new.load - old.load) / 2 * GRAVITY
        tyre = DRAWN.design.axles[0 if old.name == "front" else 1].tyre.rate
        assert old.rise - new.rise == pytest.approx(more * (1 / old.wheel_rate + 1 / tyre), rel=0.02)
    assert sum(one.load for one in sheet.rests[-1].axles) == pytest.approx(drawn.states[-1].mass + 100)


def test_its_inertia():
    drawn = size(DRAWN)
    _, sheet = sheet_with((("built",), {"pitch_inertia": 1.2}))
    light, heavy = drawn.states[0], sheet.states[0]
    assert heavy.pitch_inertia == pytest.approx(1.2 * light.pitch_inertia)
    assert heavy.roll_inertia == pytest.approx(light.roll_inertia)
