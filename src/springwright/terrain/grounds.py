"""Every ground in one place: made roughness, obstacles, recorded profiles, grounds by name."""

from __future__ import annotations

from springwright.terrain.ground import Ground
from springwright.terrain.named import ground_named
from springwright.terrain.obstacles import (
    bump,
    corrugation,
    ditch,
    drop_off,
    flat,
    half_round,
    kicker,
    pothole,
    ramp,
    step,
    twist,
)
from springwright.terrain.presets import PRESETS, preset_ground
from springwright.terrain.profile import read_profile
from springwright.terrain.roughness import (
    CLASSES,
    displacement_density,
    rough_ground,
    track_coherence,
    velocity_density,
)

__all__ = [
    "CLASSES",
    "PRESETS",
    "Ground",
    "bump",
    "corrugation",
    "displacement_density",
    "ditch",
    "drop_off",
    "flat",
    "ground_named",
    "half_round",
    "kicker",
    "pothole",
    "preset_ground",
    "ramp",
    "read_profile",
    "rough_ground",
    "step",
    "track_coherence",
    "twist",
    "velocity_density",
]
