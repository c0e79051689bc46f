"""What do I give up for what I gain? Many designs side by side, made without a file and asked in blocks.

- `candidates`: A design of a front as a design file of its own, with what was changed as comments (`pick`,
  `check_place`, `written_as`).
- `chunks`: A chunk of a sweep: some designs of a table, evaluated wherever there is a processor, and told as plain
  columns (`SweepSpec`, `spec_of`, `values_at`, `axis_of` and more).
- `cluster`: Workers of a running Dask cluster, by its address; dask and distributed are an extra of this package,
  `cluster` (`Cluster`).
- `crews`: Who works a sweep: processes of this machine, or a running cluster (`Crew`, `Local`, `on_cluster`).
- `decisions`: What may vary: fields of the design file with their range or their choices, from texts as a builder
  writes them (`Choice`, `Decision`, `decision_of`, `kind_of` and more).
- `evaluator`: Many designs to figures, in blocks: under the exchange, the front, the spread and the sweep alike
  (`Evaluated`, `Evaluator`, `evaluator`).
- `exchange`: Exchange rates: what one step of every decision does to the figures that decide, and what one of them
  costs in another (`Column`, `Cell`, `StepRow`, `Bargain` and more).
- `figures`: What a study can ask of many designs: the figures of the seven questions that hang on statics and on
  one short drive, by their ids (`Road`, `Block`, `Asked`, `can_ask` and more).
- `front`: The front: the designs none of which another betters in everything, found by a search within the limits
  and proven in full (`front`, `prove_design`).
- `front_results`: What a search comes to: what varies, the designs of the front, and what is bettered or misses a
  limit (`Vary`, `FrontDesign`, `Front`).
- `gradients`: How steeply figures change with every decision at a design, and what one of them costs in another
  there (`Tangent`, `Kink`, `Slopes`, `gradient` and more).
- `helpers`: Rows of designs evaluated on every core of this machine: by the process that asks, and by others that
  it begins for a while (`Helpers`).
- `kept`: A search that is kept: every design that was tried with its figures, as JSON, and read again where it is
  of the same search (`told_apart`, `known_before`, `write`).
- `search`: A search for the designs none of which another betters, by pymoo: asked for a generation at a time, so
  that it can be stopped, kept and replayed (`Tried`, `Archive`, `grid`, `search` and more).
- `setting`: What a study of a design is held to: the figures it looks at with their limits, on the ground and in
  the states that govern today (`Sought`, `StudySetting`, `search_setting`, `spec_in` and more).
- `spread`: Build spread: of many vehicles built to one drawing, how many meet each limit, which tolerance is to
  blame, and what a tighter one buys (`Interval`, `Blame`, `HeldFigure`, `Tighter` and more).
- `steps`: One step of every decision a builder has, each as changes to the design file; what cannot be stepped says
  why (`DecisionStep`, `steps_of`).
- `sweep`: Sweeps: a table of designs over local cores or a cluster, to Parquet or CSV by chunk, that a stop or a
  lost worker does not harm (`Sweep`, `sweep`).
- `sweep_plan`: What a sweep goes through: a full grid of what varies, or the rows of a CSV of designs (`SweepPlan`,
  `planned`).
- `sweep_store`: Where a sweep is put, by chunk, whole or not at all: a folder of Parquet, or one CSV in the end
  (`SweepStore`).
- `tolerant`: A design as it may be built: springs, dampers, tyres, weight and its height each off by so much of its
  tolerance (`BuildTolerance`, `tolerances_of`, `built`).
- `variants`: Designs that differ in a few fields, made side by side: no file is written or read, and the springs
  are those sizing would aim at (`Variant`, `Variants`, `alike_in_all`).
"""
