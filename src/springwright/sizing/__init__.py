"""What it should have: targets to wheel rates, spring rates and real parts; `sheet.size` does all of it.

- `axle_geometry`: An axle of a design file along its travel, on the spring its sizing fits (`geometry`,
  `axle_index`).
- `bar`: An anti-roll bar held against its stresses, its wheels as far apart as the travel lets them (`end_travel`,
  `bar_stress`).
- `beginnings`: A spring of another kind to begin with: round dimensions from the load and travel, the rest left to
  be worked out from the target (`kinds_for`, `beginning`).
- `choose`: Rank a catalogue of springs against what an axle needs, and say why each one left out is left out
  (`Band`, `Candidate`, `rank`, `fitted_law`).
- `crossing_search`: Requirements scanned over the ride frequency of an axle: where each one holds, every end found
  side by side (`Requirement`, `Ask`, `FigureAtFrequencies`, `scan` and more).
- `estimates`: Bush rates of links that the builder did not give: what is taken in their place, and how it reads
  (`Estimate`, `estimates_of`,
  `bush_estimates`, `listed_estimates`, `estimates_said`).
- `filled`: A design that is not whole yet, filled up with estimates so that it can be sized as far as it goes
  (`filled`, `filled_up`).
- `first_design`: A first number carried into a whole design file, every other value an estimate (`first_design`).
- `first_number`: A first number from five things: mass, wheels, a frequency and a lever; or any one of frequency,
  wheel rate, spring rate and static deflection from the others (`FirstRate`, `FirstNumber`, `rate`,
  `sinks_at` and more).
- `fitted`: From a design file to a Rig on the springs its sizing fits, and what was taken on the way (`sized`,
  `assemble`, `state_of`, `assumptions`).
- `frequency`: Ride frequency and the rates, deflections and travels that follow from it (`rate_for_frequency`,
  `frequency_of_rate`, `static_deflection`, `hop_frequency` and more).
- `frequency_sweep`: One axle on springs of many trial frequencies: where it rests in every load state, and the
  static figures read from that (`SweptRests`, `FrequencySweep`).
- `helpers`: Springs beside an axle's own, told as parts: what each is, its law over the travel, and whether the
  travel fits it (`helper_records`).
- `order_list`: Everything that is to be bought or made for a design: how many of each, from whom, for how much, and
  what is not decided yet (`OrderShape`, `OrderLine`, `OrderList`, `sums` and more).
- `part_results`: One part of a vehicle told whole: its law, its limits and stresses, and what to order
  (`part_names`, `part`, `damper_points`).
- `rates`: From one axle's load and target to its wheel rate, spring rate and damper rates, with the working
  (`DamperRates`, `AxleRates`, `sprung_mass`, `AtRest` and more).
- `sheet`: One sizing from end to end: weigh, rates, window, springs that can be bought or made, rest in every load
  state (`Sheet`, `size`, `catalogue_of`).
- `space`: The space for a coil where the builder gives none: between tyre and frame, by track, tyre and frame width
  (`coil_room`).
- `springs`: The real springs of one axle: the builder's own checked, coils designed, a catalogue ranked, and what
  to order (`FittedSpring`, `AxleSprings`, `own_spring`, `law_there` and more).
- `states`: Where the vehicle rests in each load state on its real springs, and how it rides there (`AxleRest`,
  `Settled`, `StateRest`, `laws_in` and more).
- `wheel_force`: What presses on a wheel along its whole travel: spring, what stands beside it and the stops, where
  each load state rests on it, and what the stop takes (`RestPoint`, `WheelForce`, `wheel_forces`).
- `window`: The window: the ride frequencies of each axle that every requirement allows, and what binds each end
  (`Window`, `windows`).
"""
