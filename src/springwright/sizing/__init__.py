"""What it should have: targets -> wheel rates -> spring rates -> real parts."""
