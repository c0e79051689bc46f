"""Single obstacles on level ground, under both tracks or one, as builders and testers lay them out."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from springwright.terrain.ground import Ground

Floats = NDArray[np.float64]
Side = Literal["both", "left", "right", "diagonal"]
SPACING = 0.01
BEFORE, AFTER = 12.0, 30.0  # m of level ground before and after


def _laid(
    name: str, shape: Callable[[Floats], Floats], long: float, side: Side, apart: float = 0.0, after: float = AFTER
) -> Ground:
    """A shape of x, from its own start, on level ground; `diagonal` lays it on the right again `apart` [m] later."""
    x = np.arange(0.0, BEFORE + long + apart + after, SPACING)
    first = shape(x - BEFORE)
    level = np.zeros_like(first)
    second = shape(x - BEFORE - apart)
    left, right = {
        "both": (first, first),
        "left": (first, level),
        "right": (level, first),
        "diagonal": (first, second),
    }[side]
    return Ground(
        name, SPACING, left.copy(), right.copy(), (f"obstacle begins {BEFORE:g} m along, every {1e3 * SPACING:g} mm",)
    )


def half_round(radius: float, side: Side = "both") -> Ground:
    """Half a round bar of a radius [m] lying across the way."""
    return _laid(
        f"half-round {radius:g} m", lambda x: np.sqrt(np.maximum(radius**2 - (x - radius) ** 2, 0.0)), 2 * radius, side
    )


def step(height: float, side: Side = "both") -> Ground:
    """A step up (or down, negative) of a height [m]."""
    return _laid(f"step {height:g} m", lambda x: np.where(x >= 0, height, 0.0), 0.0, side)


def ramp(height: float, length: float, side: Side = "both") -> Ground:
    """A ramp up to a height [m] over a length [m], level after it."""
    return _laid(f"ramp {height:g} m", lambda x: height * np.clip(x / length, 0, 1), length, side)


def kicker(height: float, length: float, side: Side = "both") -> Ground:
    """A ramp that ends in the air: up over a length [m] to a height [m], then straight down."""
    return _laid(
        f"jump {height:g} m", lambda x: np.where((x >= 0) & (x <= length), height * x / length, 0.0), length, side
    )


def bump(height: float, length: float, side: Side = "both") -> Ground:
    """A rounded bump, half a sine of a height and a length [m]."""
    return _laid(
        f"bump {height:g} m",
        lambda x: np.where((x > 0) & (x < length), height * np.sin(np.pi * np.clip(x / length, 0, 1)), 0.0),
        length,
        side,
    )


def ditch(depth: float, width: float, side: Side = "both") -> Ground:
    """A rounded ditch (1 - cos) of a depth and a width [m]."""
    return _laid(
        f"ditch {depth:g} m",
        lambda x: np.where((x > 0) & (x < width), -depth / 2 * (1 - np.cos(2 * np.pi * x / width)), 0.0),
        width,
        side,
    )


def pothole(depth: float, width: float, side: Side = "left") -> Ground:
    """A sharp-edged hole of a depth and a width [m]."""
    return _laid(f"pothole {depth:g} m", lambda x: np.where((x >= 0) & (x <= width), -depth, 0.0), width, side)


def corrugation(height: float, wavelength: float, length: float = 60.0) -> Ground:
    """Washboard: sine waves of a height from trough to crest and a wavelength [m], over a length [m]."""
    return _laid(
        f"corrugation {height:g} m",
        lambda x: np.where((x > 0) & (x < length), height / 2 * (1 - np.cos(2 * np.pi * x / wavelength)), 0.0),
        length,
        "both",
    )


def twist(height: float, length: float, apart: float) -> Ground:
    """A diagonal twist: the same bump under the left track and, `apart` [m] later, under the right."""
    return _laid(
        f"twist {height:g} m",
        lambda x: np.where((x > 0) & (x < length), height / 2 * (1 - np.cos(2 * np.pi * x / length)), 0.0),
        length,
        "diagonal",
        apart,
    )


def drop_off(height: float) -> Ground:
    """An edge down of a height [m], level after it."""
    return step(-height)


def flat(length: float = 100.0) -> Ground:
    """Level ground [m]."""
    level = np.zeros(int(length / 0.05) + 1)
    return Ground("level ground", 0.05, level, level.copy())
