"""How it moves: one force model on arrays alone.

It is asked where it rests, how it wants to move, what random ground does and what happens in time.

- `compiled`: Whether the kernels have been compiled on this machine: the first time takes half a minute, every
  later one a moment (`compiled`, `clear_stale`).
- `courses`: Where and how a vehicle is driven: its path over a ground in time, and several of them side by side for
  the kernel (`Course`, `course`, `tracks_of`, `way_of` and more).
- `drive`: Drive Rigs over ground in time: fixed steps, compiled, with every figure kept while they go (`Start`,
  `drive`, `let_go`, `drive_many` and more).
- `equilibrium`: Where a Rig comes to rest (`Rest`, `equilibrium`, `Rests`, `equilibria` and more).
- `figures`: What a drive comes to: the figures of points, wheels, stops, dampers and springs, and where the energy
  went (`Point`, `PointRide`, `WheelRide`, `StopRide` and more).
- `forces`: The one force model: generalised forces, tangent stiffness and damping for a Rig in any position and
  motion (`Case`, `element_forces`, `damper_factor`, `damper_forces` and more).
- `laws`: Every force law of the model, once, in SI: plain functions of floats in which nothing is chosen, so that
  arrays pass through as well (`in_cell`, `in_cell_slope`, `in_cell_energy`, `past_ends` and more).
- `layout`: A Rig laid out for the compiled kernel: what each lane reads and what it fills in (`laid_out`, `law_of`,
  `straight`, `about` and more).
- `masses`: Where the masses are: what gravity and acceleration do to them in any attitude, by exact rotations
  (`body_row`, `axle_rows`, `hang`, `sway_mass`).
- `modes`: How a Rig wants to move: undamped natural frequencies, shapes and nodes (`Mode`, `modes`, `RingDown`,
  `ring_down` and more).
- `processors`: What drives many runs: the lanes of this processor, or a graphics processor (`Processor`,
  `processor`).
- `response`: What random ground does to a Rig: transfer functions, spectra and root mean squares about a position
  of rest (`PointSpectrum`, `Response`, `response`, `transfer` and more).
- `responses`: What random ground does to many Rigs, each about its rest, compiled: the same figures as
  `motion.response` gives one by one (`Responses`, `responses`).
- `rig`: The Rig: immutable flat arrays, SI, the only thing the solvers in `motion` see (`Rig`, `same_make`,
  `stack`, `row`).
- `searching`: What both searches for rest go by, the compiled one and the careful one, and curves that are put in
  place of a Rig's own (`CurveKnots`).
- `weighting`: Frequency weightings of ISO 2631-1, and that of absorbed power, as sections of second order, analogue
  and digital (`Weighting`, `analogue`, `gain`, `response` and more).
"""
