"""What is bought or made: a force law, its limits and its strength.

A spring of any kind is a `record.SpringPart`; its law is a `law.Law`.

- `air`: An air spring as the builder writes it: bellows or sleeve, levelled or with a fixed mass of air (`Bellows`,
  `even`, `Air`, `AirSpring`).
- `catalogue`: The builder's own list of springs: a CSV file with the unit of each column in its header
  (`CatalogueSpring`, `Catalogue`, `read_catalogue`).
- `coil`: The helical compression spring after EN 13906-1: rate, stress, lengths, buckling, surge, fatigue (`rate`,
  `active_coils`, `shear_stress`, `correction` and more).
- `coil_check`: Hold a coil spring against what the axle asks of it, and find the coils that would do (`Scope`,
  `Coil`, `CoilFigures`, `evaluate` and more).
- `cone`: A conical or barrel coil of even pitch: its larger turns close first, so its rate rises as it is pressed
  (`ProgressiveCoil`).
- `damper`: Damper rates for a target damping ratio, and the test sheet of a damper that is there
  (`read_test_sheet`, `wheel_damping`, `damper_damping`, `bump_share` and more).
- `fatigue`: How long a coil lasts under loads that vary: rainflow counts of its force, each cycle's life, and
  Miner's sum (`Wound`, `cycles`, `factor_of_safety`, `reversed_stress` and more).
- `gas`: Gas springs: air bellows and hydropneumatic struts, by the polytropic law p V^n = const (`rate`,
  `pressure_at`, `volume_for`, `precharge_at` and more).
- `gas_part`: What air springs and hydropneumatic struts have in common: pressure, exponents, stroke, temperature,
  and how their stroke is judged (`GasPart`).
- `grades`: A builder's own materials: wire grades (a file each) and spring steels (a table of them), in the form of
  our data files (`grades_in`).
- `hydropneumatic`: A hydropneumatic strut as the builder writes it: a piston, oil, and one or two gas accumulators
  (`Accumulator`, `Oil`, `HydropneumaticStrut`).
- `law`: One law for everything that can hold a wheel up: force and its tangent against how far the part is pressed
  (`SpringNeed`, `Pull`, `Law`, `LinearLaw` and more).
- `leaf`: Leaf springs: multi-leaf and parabolic, rate and stress at the seat, nip, and leaves for a rate (`rate`,
  `leaves_for`, `stress`, `thickness_for` and more).
- `leaf_arcs`: A leaf spring between a fixed eye and a shackle: both halves bend as circular arcs, the seat finds
  its own place and slope (`Arcs`, `ArcsPath`, `arcs_path`, `free_height`).
- `leaf_spring`: A leaf spring as the builder writes it: multi-leaf or parabolic, with shackle, helper leaves and
  interleaf friction (`Shackle`, `Helper`, `LeafSpring`).
- `material`: The name of a grade in a design, with the grade itself where the design brings it in a file of its own
  (`Brought`).
- `plain_coil`: A plain coil in its place, whether the builder gave it, a catalogue has it or it is to be made: its
  law, and what to order (`law_in`, `CoilOrder`, `PlainCoil`).
- `record`: What every part says of itself: dimensions, its law, limits and stresses, and what to order and look at
  on arrival (`Dimension`, `LoadPoint`, `Tolerance`, `CoilShape` and more).
- `rubber`: A rubber spring by its table: force against compression, with what it is stiffer when moved quickly and
  what it loses (`Rubber`, `RubberSpring`).
- `shackle`: A leaf spring on its shackle solved once over its whole reach: its law, and smooth curves of how its
  seat goes and turns (`SolvedShackle`, `solved`).
- `sheets`: Test sheets as CSV files: named columns with their units in square brackets, numbers below
  (`read_columns`, `columns_of`, `read_points`).
- `stack`: Coils that work together: in line on one seat (one locks at its stop or solid, then the next carries on
  alone), or nested (`StackCoil`, `CoilStack`).
- `steel`: Spring steels for leaves, torsion bars and anti-roll bars: moduli and the stresses they may see, from a
  data file (`Steel`, `OfSteel`, `steels_of`, `steel`).
- `stop`: Bump and droop stops: force against compression, energy, and a stop for an energy (`Stop`,
  `progressive_force`, `progressive_rate`, `progressive_energy` and more).
- `supply`: Who makes a part, what it is called there, what one costs and how long it takes
  (`Supply`, `to_settle`).
- `torsion`: Torsion bars and anti-roll bars: round bars twisted by arms (`twist_rate`, `diameter_for`, `stress`,
  `BarShape` and more).
- `torsion_bar`: A torsion bar as the builder writes it: what twists, its adjuster, and the bar for a rate
  (`TorsionBar`).
- `tyre`: The tyre as a vertical spring under the wheel: its rate as stated, from load-deflection readings, or
  estimated from its size (`estimated_rate`, `size_of`, `rate_from_readings`, `Tyre`).
- `wire`: Spring wire and bar: strength against diameter, moduli, and what stress it may see, from data files
  (`Wire`, `read_table`, `table_of`, `wire_of` and more).
"""
