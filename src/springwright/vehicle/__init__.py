"""What the vehicle is: the design file, its load states, and its assembly into a Rig.

- `assemble`: From a design, a load state and its springs to a Rig (`assemble`, `on_other_springs`, `sharing`,
  `Elements` and more).
- `axle`: One axle as the builder describes it: how it is held, what carries it, and what it should do
  (`ParallelStiffness`, `Target`, `Travel`, `Room` and more).
- `body`: The outline of the sprung body as it is drawn: no mechanics follow from it (`Body`, `area`).
- `built`: What was built against what was drawn: corrections that stand beside the drawing in an as-built file, and
  leave it as it is (`BuiltAxle`, `BuiltBody`).
- `centres`: Roll centres, the roll axis and side-view lines of axles: as given, by their links or leaf springs, or
  estimated (`roll_centre`, `roll_centre_rise`, `roll_centre_wander`, `side_slope` and more).
- `curves`: What acts on a wheel against its travel: springs, stops and damper gas, as curves at the wheel, and
  whether they can follow it (`ForceCurve`, `spring_curve`, `spring_curves`, `mean_curves` and more).
- `described`: Every field of the design file described (`DescribedField`, `meaning`, `fields_named`,
  `described_schema` and more).
- `design`: The whole design as the builder wrote it: one frozen model of one TOML file (`About`, `Hitch`,
  `Inertias`, `Driveline` and more).
- `edits`: Changes to a design file by place: values put, tables made on the way, entries added and taken out, all
  or none (`Inserted`, `changed`, `rewritten`, `spaced` and more).
- `estimated`: Values of a design file that are estimates, listed in it with their basis (`EstimatedValue`).
- `faults`: Turns what pydantic found wrong into faults in the builder's words: path, value, what is allowed, what
  to do (`faults_of`, `located_faults`, `dotted`, `written` and more).
- `field_types`: What may be written at a place of the design: its kind of quantity, its choices, and how a typed
  text goes into the file (`FieldType`, `place`, `shape_of`, `alternatives` and more).
- `fields`: A field named as builders do, "axles.front.target.frequency", and where it stands; `*` stands for every
  entry of a list (`located`, `put`).
- `file`: Reading and writing the design file. The file is the truth: comments and the builder's own units stay
  (`DesignFile`, `load`, `opened`, `leniently` and more).
- `formats`: Files of an older format, lifted to the one that is written now: keys that were given the trade's names
  (`renamed`, `lifted`).
- `geometry`: How an axle's wheels are held: spring and damper along the travel, what the links do with the wheel,
  at lock and in roll too (`InPlace`, `Position`, `RollPosition`, `LockPosition` and more).
- `interconnections`: What joins wheels beyond their own axle: walking beams and cross-links (`WalkingBeam`,
  `CrossLink`, `wheel_names`, `beam_shares` and more).
- `kinds`: The kinds of a thing that a model has a field for, so that a new kind is its own module and one field
  (`kinds_in`).
- `known`: Axles met before: what was worked out of one serves every later one that says the same (`Itself`,
  `known`).
- `lines`: Which line of a TOML text says what stands at a place (`TextLines`).
- `load`: What is on board: kerb mass, items, tanks and load states (`Place`, `Scales`, `Raised`, `Kerb` and more).
- `mounted`: A spring and a damper in their places on an axle: how each acts, the room it has, and what it is
  (`ExistingSpring`, `OtherSide`, `SpringMount`, `HelperMount` and more).
- `shapes`: What may stand at every place of a design file, told by the models it is read by and not by a design:
  one need not be there yet (`Shape`, `shape_at`, `fields_in`, `in_place_of` and more).
- `side_files`: Files beside a design, such as test sheets: what they say is put into its data in place of their
  names (`SideFiles`).
- `standing`: Which of the estimates of a design still stand (`StandingEstimate`, `check_estimates`,
  `standing_estimates`).
- `starter`: Starting files: a commented blank, or one of the invented demos with its catalogue (`start`).
- `trade`: What a builder would trade: the fields that may vary, what is sought, the steps of the exchange table,
  and tolerances of what is built (`Steps`, `Trade`, `Tolerances`).
- `usual`: What is usual: entries that are possible but out of the ordinary are told, never refused, and the builder
  may say that he is sure (`Range`, `Usual`, `Entered`, `unusual` and more).
- `weigh`: What the vehicle weighs and where, in every load state: the part that statics alone gives
  (`raised_height`, `raised_height_any`, `KerbWeight`, `StateWeight` and more).
"""
