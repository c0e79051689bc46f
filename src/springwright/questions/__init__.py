"""Is it good enough? One module for each question a builder asks; every figure is asked of `motion` and the parts.

`prove.prove` asks them.

- `angles`: Approach, departure and ramp angles (ISO 612) of the belly's outline against the tyres as they stand
  loaded (`Found`, `tangent_angle`, `angles`, `beyond` and more).
- `answer`: The shape of an answer: figures held against limits, facts beside them, curves, and one word for all
  (`Figure`, `figure`, `not_below`, `no_limit` and more).
- `at_rest`: The two questions that a builder asks at a standstill: where does it come to rest, and how does it want
  to move (`WheelRest`, `AxleGrip`, `RestResult`, `ModesResult` and more).
- `blows`: What stops, spring mounts, wheels and dampers feel at most: on the grounds it drives over, its obstacle,
  and the falls it must take (`cut`, `crossed`, `events`, `blows`).
- `context`: What every question is asked about: the design at rest in each load state on the springs it has, and
  the grounds it will meet (`StateModel`, `RoadSection`, `ProofContext`, `stretches_of` and more).
- `drives`: Drive a design over a named ground: the Rig it sizes, the tyre's reading of the ground, ride at every
  seat (`SpeedRun`, `SpeedTable`, `drive_speeds`, `drive_design` and more).
- `dynamic_requirements`: The full window: what the ride, the obstacle, the ditch, the corner, the slope, the drop
  and the belly allow beside the static ends (`FullWindow`, `full_window`).
- `estimate_spans`: What hangs on an estimate: the questions asked again at both ends of its usual range (`Spans`,
  `spans`).
- `falls`: Ways of falling: by how far each axle's tyres stand above the ground beneath them when the vehicle is let
  go (`Fall`, `falls_of`, `fall_many`, `fall_once`).
- `fit`: Is there room for the travel, and does every part stay inside its own limits of length? Each axle over its
  travel, at lock and fully articulated (`fit`, `belly_low`).
- `grip`: Does it keep its wheels on the ground, and can it pull? Ramps, ditches and a twist course at rest; rough
  ground in time (`grip`, `ramp_travel_index`, `diagonal`, `twists` and more).
- `land`: Does it slam? Falls level, nose first and on one wheel; half-rounds and steps by height and speed; what
  stops, mounts and dampers feel (`land`).
- `last`: Do springs, dampers and stops survive the work? Stress at lengths, life by counted cycles of the duty
  cycle, heat and stop energy (`last`, `made_of`, `steady_temperature`, `cycles_survived`).
- `leaning`: How one load state leans and where it tips: corners, side slopes, climbs, stops, and the grip it has
  left on the way (`Cornered`, `Stood`, `stood`, `gradient_of` and more).
- `left_out`: What the frame leaves out where a vehicle leans, and how much it is worth on this one, worked out on
  it (`left_out_of`, `sideways`, `swaying`).
- `level`: Does it stay level, and at the same frequency, as the load changes? And what a helper, a progressive
  spring or levelling would change (`level`).
- `limit_search`: How far a thing can grow before a wheel lifts and before the vehicle tips: corners, slopes, ramps,
  ditches (`GrowingCase`, `LimitFound`, `reaches`).
- `measures`: What the program knows of a measure by its id: a word or two for narrow places, and where the design
  sets its limit (`Measure`, `measure`).
- `prove`: The seven questions asked of a design: made ready once, asked in order, and what each not-met figure
  would take (`Proof`, `outside`, `make_ready`, `ask_briefly` and more).
- `question`: A question that is asked of a design: what it is called and what answers it (`QuestionFunction`,
  `where_it_governs`, `Question`).
- `registry`: The questions there are, in the order they are asked and told: a new one is its own module and a row
  here (`named`).
- `ride`: Does it shake the people in it? Weighted acceleration at every seat, hours to the exposure values,
  absorbed power, pitch after a bump (`no_seat`, `ride`, `total`, `health` and more).
- `road_runs`: Drives that several questions look at, each gone once and only when asked for: every load state on
  every ground (`RunPlace`, `ToldRun`, `Spread`, `Runs` and more).
- `room`: Room round a tyre at lock and travel, a hose pulled straight, a drop link's lean: what moves with a wheel,
  and what is in its way (`tyre_room`, `hose`, `hose_reach`, `drop_link`).
- `sensitivities`: What moves a figure that is not met: every input changed a little, the question asked again, and
  how far it would have to go (`Move`, `Trials`, `moves`).
- `stand`: Does it lean, and will it fall over? Corners, side slopes, climbs, braking and pulling at rest, and a
  lateral step in time (`stand`, `after_step`).
- `traction`: What the tyres can pass on under given loads through open or locked differentials, and how steep a
  slope that climbs (`traction`, `gradeability`).
- `travel_ends`: What ends an axle's travel: each part's own ends told as travel of the wheel, beside the travel
  that is asked (`TravelEnd`, `travel_ends`).
"""
