"""Is it good enough? One file for each question a builder asks; every figure is asked of `motion` and the parts."""
