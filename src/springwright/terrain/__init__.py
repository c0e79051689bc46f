"""What it drives over: roughness by class, obstacles, recorded profiles, and how a tyre reads them."""
