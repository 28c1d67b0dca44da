"""A log file in, stretches of a drive and what they show out: pure, and numpy beside the standard library."""
