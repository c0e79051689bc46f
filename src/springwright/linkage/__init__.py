"""How a wheel is held: wheel travel -> spring travel, and what that does to rates."""
