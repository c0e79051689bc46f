"""Which field of the design sets the limit of a measure, so that the limit can be changed where it is read."""

from __future__ import annotations

from springwright.vehicle.design import Design
from springwright.vehicle.faults import Location

# The beginning of a measure's name -> the field under [limits].
OF_MEASURE = (
    ("weighted acceleration", "seat_acceleration"), ("hours a day", "exposure"), ("A(8) of a day", "exposure"), ("absorbed power", "absorbed_power"),
    ("diagonal height", "diagonal_height"), ("ramp travel index", "ramp_travel_index"), ("share of static wheel load kept", "wheel_load_kept"),
    ("share of time a wheel is off", "off_ground"), ("traction kept", "traction_kept"), ("steepest", "climb"), ("roll gradient", "roll_gradient"),
    ("first wheel lifts at", "wheel_lift"), ("tips over at", "tip_over"), ("side slope", "side_slope"), ("dive, braking", "pitch_gradient"),
    ("squat, pulling", "pitch_gradient"), ("damping ratio in roll", "roll_damping"), ("roll overshoot", "roll_overshoot"),
    ("drop height to", "drop_height"), ("drop taken by", "drop_height"), ("speed over a", "obstacle_speed"), ("shock over", "shock"),
    ("steer from bump", "bump_steer"), ("belly clearance at rest", "belly_clearance"), ("approach angle", "approach_angle"), ("departure angle", "departure_angle"), ("ramp angle", "ramp_angle"), ("axle clearance", "axle_clearance"),
    ("height change", "height_change"), ("frequency change", "frequency_change"), ("attitude change", "attitude_change"),
    ("headlamp aim", "lamp_aim_change"), ("Miner sum", "miner_sum"), ("damper temperature", "damper_temperature"), ("load factor", "load_factor"),
    ("coil pressed", "coil_loaded_at_droop"),
)  # fmt: skip
# The same for what an axle's own part is rated for.
OF_AXLE = (("bump stop force, ", ("bump_stop", "rating")), ("spring mount force, ", ("spring", "mount_rating")))


def limit_place(design: Design, measure: str) -> Location | None:
    """Where the limit of a measure is written; None where it follows from something else."""
    for begin, field in OF_MEASURE:
        if measure.startswith(begin):
            return ("limits", field)
    for begin, way in OF_AXLE:
        if measure.startswith(begin):
            name = measure.removeprefix(begin)
            index = next((i for i, axle in enumerate(design.axles) if axle.name == name), None)
            return None if index is None else ("axles", index, *way)
    return None
