"""What the vehicle is: the design file, its load states, and its assembly into a Rig."""
