"""Numbers to ink: results as SVG.

One hand for the page, the report and the docs; nothing is computed here.

- `axle_parts`: The parts of an axle as they are drawn from behind and from the side: tyres cut and whole, tubes
  with eyes, coils, dampers, frame rails (`AxleLooks`, `tube`, `coil`, `damper` and more).
- `bars`: Loads as bars on thin rails that end at the rating, one under another on one scale (`bar_on_rail`).
- `behind`: The vehicle from behind: body, tyres, what joins them, springs, roll centre, spring base and track of
  the rear axle (`behind_view`).
- `chart`: Lines over one axis, each row a quantity of its own: histories and the like, names written at the lines'
  ends (`Row`, `chart`, `nice`, `ticks`).
- `elevation`: The vehicle to scale in a load state: its left side and the view from behind the rear axle, on one
  ground line (`elevation_drawing`).
- `exchange`: The exchange table drawn: a rail for each figure with its limit a length away, and a bar for what each
  step wins or loses (`Rail`, `ChangeBar`, `Ledger`, `Plumb` and more).
- `field_places`: Where the fields of a design file are measured, as sketches with their names: to no scale, for
  those that a word alone would leave open (`place_drawing`).
- `front`: The front drawn: two figures on the axes, down and left better for both, limits shut, the ends, the knee
  and today named (`Scale`, `Spot`, `front_drawing`).
- `first_number`: A first number drawn: one corner to scale, and where its frequency lies (`corner_drawing`,
  `lever_scale`, `lever_ends`, `scale_drawing`).
- `glance`: A vehicle in a few strokes, to know it by in a list: its outline and wheels from the left side, on the
  ground (`glance_drawing`).
- `ground_map`: A map of a figure by ground and speed: cells carry figures, the limit is one stepped line, what lies
  beyond it is shut (`ground_map`).
- `hull`: The body in the round: its outlines from the side drawn out to the width its outlines from behind have at
  each height (`hull_lines`).
- `kinds`: Kinds of what an axle is made of, as small drawings to pick from: how its wheels go together, what holds,
  springs, damps and stops them (`kind_drawing`).
- `labels`: Words beside what they name: never one over another, never off the sheet, with a thin line to what they
  name where that is far (`width_of`, `spread`, `Labels`).
- `levels`: How the vehicle stands in each load state: where its lamp points on a wall ahead, and how high it stands
  at each axle (`LevelMark`, `LevelScale`, `level_drawing`).
- `limit_bars`: Figures of one kind as bars against their limits, on one scale (`LimitBar`, `limit_bars`).
- `limit_chart`: Lines over one axis with the limits drawn where they act: what is shut is filled and named, what
  happens is a ring on its line (`Line`, `Shut`, `Event`, `limit_chart` and more).
- `linkage`: An axle as parts to scale, from behind and from the side, its links in plan, in the design position and
  at both ends of its travel (`LinkViews`, `views_of`, `links_drawing`).
- `marks`: Small marks of a vehicle drawing: springs at their length, wheels on the ground, travel bands, centres of
  gravity, dimension lines (`spring_mark`, `zigzag`, `wheel`, `band` and more).
- `nodes`: Nodes and the lines between them, as a view in the round takes them (`Skeleton`, `tenths`).
- `order_parts`: Parts of an order, each lying on its side on one scale, so that their lengths compare down the
  list; and weeks as a bar (`beyond_scale`, `part_drawing`, `marks_of`, `ruler` and more).
- `part`: A part's law as a curve with its load points, and the part itself to scale where its shape is simple
  (`law_figure`, `DamperGrid`, `damper_figure`, `leaf_figure`).
- `poses`: The vehicle where a question finds its limit: on the side slope at which it first lifts a wheel, and its
  axles on a diagonal ditch (`SlopeMark`, `slope_drawing`, `ditch_drawing`).
- `rails`: What may vary, each on a rail from the least to the most: where designs lie that meet every limit, the
  best compromises, today, and one picked (`rail_drawing`, `limit_rail`, `presses`).
- `readings`: Readings drawn: every figure read against what was due in its own uncertainty, and what was read as
  points and lines (`ReadingRow`, `readings_drawing`, `TraceLine`, `trace_drawing`).
- `round`: The view in the round as data: what the workbench's `round.js` needs to draw a vehicle frame by frame,
  words and units in it already (`scene`).
- `scales`: Designs drawn as lines over upright scales: what they are built with, and what that gives, with every
  limit on one line (`UprightScale`, `DesignLine`, `scales_drawing`).
- `scene`: Where on the sheet a vehicle's two views lie: one scale, one ground line, and room for the words round
  them (`Scene`, `scene_of`, `supports`, `spans` and more).
- `shapes`: Shapes of the sprung body: outlines with their windows, tanks with their level, seats; and the words and
  inks a vehicle drawing shares (`axle_ink`, `short`, `body_shapes` and more).
- `skeleton`: A vehicle as nodes and the lines between them, for the view in the round: each node knows what moves
  it, so that a frame is a few numbers (`skeleton_of`).
- `spread`: Build spread drawn: a mark for each build, and each figure's spread against its limit with what is to
  blame for it (`SpreadRow`, `spread_drawing`).
- `spring`: A coil spring drawn to scale at its lengths, side by side on one seat, with load and length written at
  each (`spring_figure`).
- `svg`: A small vocabulary for line drawings: lines, shapes and words with a class each, and the ink those classes
  stand for (`Drawing`).
- `together`: Two figures that are told only together: the ellipse that holds both with 95 %, over the rectangle
  that the drawing allows (`Shared`, `together_drawing`).
- `travel_ends`: Every length of an axle on one scale of wheel travel: what each shuts at its ends, and the gap to
  the wheel's own travel (`PartEnds`, `TravelMarks`, `travel_ends_drawing`).
- `travel_panel`: One upright scale of wheel travel: everything that ends it named at its own height, load states
  where they rest, curves running along it (`TravelMark`, `TravelCurve`, `travel_panel`).
- `wheel_force`: Force against travel at a wheel: where each load state rests, where the stop touches and what it
  takes, and where there is no travel left (`ForcePicture`, `force_drawing`).
- `window`: The window as a band chart: a row for each requirement, what it shuts shaded, the opening left white,
  the target as a plumb line (`window_figure`, `band_range`, `window_bands`).
- `windows_beside`: Windows of several designs under each other on one scale of frequency, an axle after the other
  (`AxleWindows`, `windows_beside`).
"""
