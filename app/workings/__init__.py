"""Physics and statistics: pure functions, SI inside, no I/O."""
