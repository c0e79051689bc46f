"""Where the lines of a picture lie, in metres: the vehicle from the side, from above, at speed.

Nothing is drawn here.

- `bodywork`: The outline a body is drawn with: the builder's own, or a plain one made from axles, tyres, frame,
  seats, loads and their places (`bodywork`, `body_dimensions`, `drawn_width`).
- `elevation`: What a drawing of the vehicle to scale needs: body, wheels, springs, travel, loads and centres of
  gravity in a load state, at rest (`Stance`, `Spring`, `AxleElevation`, `Aboard` and more).
- `outline`: Where every joint of an axle is, for a drawing: links, springs and dampers, drag link, shaft, roll
  centre and instant centres (`positions_of`, `spring_ends`).
- `plain_joints`: Joints of an axle that has no pivot points, for a drawing: its wheel, its spring and lever by the
  mount's own dimensions (`plain_joints`).
- `playback`: A vehicle frame by frame, for the view in the round: driven over a ground, let fall, and standing on
  uneven ground (`Playback`, `playback`, `landing`, `stance` and more).
- `poses`: How the vehicle stands where a question finds its limit: leaned over on a side slope, and its axles on a
  diagonal ditch (`StoodAxle`, `Leaned`, `leaned`, `on_ditch`).
- `running_gear`: Where an axle's springs, dampers and links stand at a travel: by pivot points, by the mount's own
  dimensions, else plainly by the wheel (`SpringLine`, `AxleAt`, `springs`, `links` and more).
"""
