"""What it drives over: roughness by class, obstacles, recorded profiles, and how a tyre reads them.

- `ground`: A ground: heights under the left and the right track at even spacing, and how a tyre reads it
  (`Ground`).
- `grounds`: Every ground in one place: made roughness, obstacles, recorded profiles, grounds by name.
- `named`: Grounds by name, as written on the command line or in a design: "class D", "half-round 120 mm", "step 150
  mm", a CSV file (`known`, `ground_named`).
- `obstacles`: Single obstacles on level ground, under both tracks or one, as builders and testers lay them out
  (`half_round`, `step`, `ramp`, `kicker` and more).
- `presets`: Grounds of our own to compare vehicles on: an ISO 8608 spectrum with obstacles laid on it. Invented,
  and of no standard (`Preset`, `preset_ground`).
- `profile`: Recorded ground from a CSV file (`read_profile`).
- `roughness`: Random ground by ISO 8608: spectra of its classes, and profiles of two tracks made from them
  (`displacement_density`, `velocity_density`, `track_coherence`, `rough_ground`).
"""
