"""What the program knows of a measure by its id: a word or two for narrow places, and where the design sets its limit."""

from __future__ import annotations

from typing import NamedTuple


class Measure(NamedTuple):
    """`short` words, none where the measure's own will do; `limit` is the way to the limit, from the axle for one that begins "axle"."""

    short: str = ""
    limit: tuple[str, ...] = ()


def _of(short: str, field: str) -> Measure:
    return Measure(short, ("limits", field))


MEASURES = {
    "weighted_acceleration": _of("seat", "seat_acceleration"), "daily_hours": _of("hours a day", "exposure"), "daily_hours_by_dose": _of("hours a day", "exposure"),
    "day_acceleration": _of("", "exposure"), "absorbed_power": _of("absorbed", "absorbed_power"), "shock": _of("", "shock"),
    "cross_axle_height": _of("cross-axle", "cross_axle_height"), "ramp_travel_index": _of("ramp index", "ramp_travel_index"), "wheel_load_kept": _of("load kept", "wheel_load_kept"),
    "off_ground": _of("off ground", "off_ground"), "traction_kept": _of("traction", "traction_kept"), "climb": _of("climbs", "climb"),
    "roll_gradient": _of("roll", "roll_gradient"), "roll_gradient_without_bars": _of("roll", "roll_gradient"), "wheel_lift": _of("lifts at", "wheel_lift"), "tip_over": _of("tips at", "tip_over"),
    "side_slope": _of("side slope", "side_slope"), "steepest_climb": _of("climb", "climb"), "steepest_descent": _of("descent", "climb"), "dive": _of("dive", "pitch_gradient"),
    "squat": _of("squat", "pitch_gradient"), "roll_damping": _of("roll damping", "roll_damping"), "roll_overshoot": _of("overshoot", "roll_overshoot"),
    "drop_height": _of("drop", "drop_height"), "obstacle_speed": _of("half-round", "obstacle_speed"), "bump_load_factor": _of("bump factor", "bump_load_factor"),
    "bump_stop_force": Measure("stop", ("axle", "bump_stop", "rating")), "spring_mount_force": Measure("mount", ("axle", "spring", "mount_rating")),
    "bump_steer": _of("steers", "bump_steer"), "belly_clearance": _of("belly", "belly_clearance"), "belly_clearance_at_bump": Measure("belly"),
    "approach_angle": _of("approach", "approach_angle"), "departure_angle": _of("departure", "departure_angle"), "ramp_angle": _of("ramp", "ramp_angle"),
    "axle_clearance": _of("under axle", "axle_clearance"), "height_change": _of("height", "height_change"), "frequency_change": _of("frequency", "frequency_change"),
    "attitude_change": _of("attitude", "attitude_change"), "lamp_aim_change": _of("lamp aim", "lamp_aim_change"), "miner_sum": _of("Miner sum", "miner_sum"),
    "damper_temperature": _of("damper", "damper_temperature"), "pressed_at_full_droop": _of("", "preload_at_droop"),
    "solid_margin": Measure("solid margin"), "fatigue": Measure("fatigue"), "bump_left": Measure("bump left"), "droop_left": Measure("droop left"), "coil_bind": Measure("coil bind"),
    "spring_force_at_full_droop": Measure("at droop"), "damper_left": Measure("damper left"), "room_round_the_tyre": Measure("tyre room"), "room_over_the_tyre": Measure("tyre room"),
    "room_beside_the_tyre": Measure("tyre room"), "room_inside_the_tyre": Measure("tyre room"), "shaft_angle": Measure("shaft"), "shaft_plunge": Measure("shaft"), "brake_hose": Measure("hose"),
    "drop_link_lean": Measure("drop link"), "stroke_used": Measure("stroke"), "shear_stress": Measure("shear"), "shear_stress_at_full_bump": Measure("shear"), "solid_shear_stress": Measure("shear"),
    "gauge_pressure": Measure("pressure"), "gauge_pressure_at_full_bump": Measure("pressure"), "bar_stress": Measure("bar stress"),
}  # fmt: skip
NONE = Measure()


def measure(ident: str) -> Measure:
    """What is known of one; nothing of one that has no more than its own words."""
    return MEASURES.get(ident, NONE)
