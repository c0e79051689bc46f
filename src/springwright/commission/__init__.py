"""Is it what was built? Readings of a vehicle on its wheels, reduced, held beside what was due, and the model corrected by them.

- `as_built`: The corrected model as a design file of its own: the drawing stays in it, each changed value has its
  reason beside it as a comment (`check_target`, `as_built`).
- `back`: What brings a vehicle as built back to its target: spacers, springs, dampers and pressures, each with what
  it would do (`Remedy`, `rests_of`, `remedies`, `done`).
- `begun`: How readings are begun: a file to fill in beside a design, a set of any kind with what is asked in it,
  the invented ones of a demo (`KindRead`, `new_set`, `starting_text`, `start_demo`).
- `compare`: Every reading beside what was due of the design as it says: in units and in the reading's own
  uncertainty (`ComparedFigure`, `Comparison`, `reduce`, `compare` and more).
- `correct`: What of the model explains the readings: uncertain inputs by the readings and their tolerances together
  (`CorrectedInput`, `CheckedFigure`, `NotToldApart`, `Correction` and more).
- `free_decay`: A free decay read: frequency and damping of the mode that swings most, by fitting to a trace the
  model's own free motion (`Peak`, `Decay`, `Release`, `alone` and more).
- `grounds_read`: A ground read from a surveyed or logged profile: its roughness, waviness and class of ISO 8608,
  each with its interval (`GroundRead`, `read_ground`, `class_of`, `read_profile`).
- `inputs`: What of a model may be otherwise than drawn: every uncertain input with its drawn value and its
  tolerance as prior (`UncertainInput`, `inputs_of`, `stands`).
- `leans`: Leaned: how far the body rolls in a steady circle, and at which tilt a wheel lifts, as a test house found
  it (`Circle`, `TiltTable`, `lifting_tilt`).
- `logged_drive`: A logged drive: accelerations at places of the body over a ground at a speed, as a spectrum and as
  ISO 2631-1 weighs them (`Channel`, `LoggedDrive`).
- `logs`: Logs of phones and recorders: CSV files with a header, read as they come, and brought to even time
  (`Heading`, `Log`, `Wanted`, `read_log` and more).
- `measured`: All that is told of a vehicle that was built, in one: corrected, what brings it back, its as-built
  file and its seven answers (`BuiltReport`, `measured`).
- `modelled`: A vehicle as a model has it, in the load states it is read in: its weight, its Rig and where that
  rests, worked out when asked for (`ModelledState`, `Modelled`, `modelled`, `loaded`).
- `next_reading`: Which reading not yet made would tell most: every usual one tried on the model, by how much of
  what is open it would take away (`NextReading`, `Possible`, `possible`, `pushed_as_due` and more).
- `parts_read`: Parts read by themselves: a spring pressed to some lengths on the bench, and a tyre pressed by some
  loads (`SpringBench`, `TyrePress`).
- `pushes`: Pushed down and let up: known masses on and off a place of the body, how far it goes down; the slope is
  the ride rate, the loop friction (`Branches`, `Push`).
- `readings`: The readings file: dated sets of readings beside a design, each with its unit and, where it is not
  left to practice, its uncertainty (`Readings`, `ReadingsFile`, `load_readings`, `reduced_sets`).
- `scales`: On the scales: loads under wheels or axles and heights of the frame in a load state, and loads with one
  end raised (`Weighing`, `RaisedWeighing`).
- `spectra`: Spectra of what was logged, with their confidence, and weighted accelerations as ISO 2631-1 has them
  (`Spectrum`, `spectrum`, `weighted`, `thirds`).
- `swings`: Bounced and rapped: how the body swings after it was pushed and let go, and a wheel after a blow, from a
  log or counted off a video (`Bounce`, `Rap`).
- `taken`: What every kind of reading has in common: when, by whom, with what; and what it comes to, beside what was
  due (`Taken`, `FigureRead`, `ReadLine`, `Trace` and more).
- `workshop`: Sheets for the workshop: what to read and in which order, with what is due and its range beside each
  blank; and the readings file to fill in (`Blank`, `WorkshopSheet`, `WorkshopSheets`, `workshop_sheets` and more).
"""
