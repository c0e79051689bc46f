"""How a wheel is held: wheel travel to spring travel, and what that does to rates, camber, roll centre and steer.

- `beam_links`: A beam axle on links, by their pivot points: three links and a lateral rod, four links, trailing
  links, radius arms, a Watt linkage (`Rod`, `RadiusArms`, `Watt`, `Beam` and more).
- `bodies`: Rigid bodies joined by links and balls, two wheel heights given: every position solved side by side
  (`End`, `Joined`, `Chain`, `Poses` and more).
- `constraint_solver`: A wheel's carrier held by links in space, solved for every travel at once (`Carrier`,
  `LinkReach`, `Links`, `Rack` and more).
- `held`: A wheel along its travel as a rigid body: where its points go, and camber, toe, roll centre and side-view
  slopes that follow (`Held`, `upright_path`, `LeafBeam`, `leaf_beam`).
- `mounts`: How a spring or damper acts on a wheel: its length against wheel travel, with first and second slopes
  (`Lengths`, `lever_lengths`, `Lever`, `OnBeam` and more).
- `rates`: Rates and forces through a linkage, by virtual work (`spring_force`, `spring_rate`, `wheel_rate`,
  `lever_ratio` and more).
- `rocker`: Something that turns about a fixed line and is held by a rod: a spring's rocker, a steered knuckle on
  its drag link. Closed form (`swung`, `Rocker`).
- `shaft`: A shaft with a joint at each end, from the vehicle to what moves with the wheel: propshaft or half shaft.
  Angles and plunge (`Shaft`, `ShaftPath`).
- `steering`: What steers a wheel besides its driver: a drag link on a beam axle that moves, and the wheel at full
  lock on a rack (`DragLink`, `Lock`, `at_lock`).
- `strut`: A wheel on a strut: a lower arm, a toe link, and a strut that is fixed to the upright and slides through
  its top mount (`Strut`).
- `swing`: A wheel on an arm that turns about one fixed axis: trailing arm, semi-trailing arm, swing axle. Closed
  form (`SwingArm`).
- `wishbones`: A wheel on double wishbones with a toe link, by their pivot points (`WheelLinkage`, `arm_twist`,
  `on_arm`, `check_arm` and more).
"""
