"""Twelve lessons, each on a vehicle of the reader's own: guess first, change one number, see why, the calculation by hand, the key.

- `lesson`: What a lesson is, and those there are (`Lesson`, `lesson`, `LESSONS`, `demo_design`).
- `first_half`: From weighing to travel (`weighing`, `frequency`, `lever`, `beam`, `tyre`, `travel`).
- `second_half`: From damping to measuring (`damping`, `roll`, `states`, `pitch`, `trade`, `measuring`).
- `vehicle_taken`: The vehicle of a lesson: its axles, a changed copy of it, sized (`LessonFigure`, `Told`, `Taught`).
"""
